"""Measured, inspected, correlated and warm dimensions.

Sources: JCGM 100:2008 for expanded uncertainty; NIST Statistical Reference Datasets NumAcc1 to NumAcc4 (recalled,
exact by construction) for inspected parts; closed forms for correlated normals and for thermal growth.
"""

import json
import math
from pathlib import Path

import numpy as np
import pytest

import fitcheck as fc
from fitcheck.errors import InputError
from fitcheck.stack import (
    Beta,
    Normal,
    Uniform,
    as_built,
    at_temperature,
    correlated,
    dimension,
    inspected,
    measured,
)
from fitcheck.stack.correlation import correlation_of
from fitcheck.units import unit

NIST = json.loads((Path(__file__).parents[1] / "reference" / "stack_examples.json").read_text())["nist_strd"]


def data(text):
    """'a, b, c' or 'a then 500 pairs (b, c)'."""
    first, pairs, rest = text.partition(" then 500 pairs (")
    if not pairs:
        return [float(x) for x in text.split(",")]
    return [float(first.split()[0]), *[float(x) for x in rest.split(")")[0].split(",")] * 500]


@pytest.mark.parametrize("case", [case["id"] for case in NIST])
def test_nist_numerical_accuracy(case):
    known = next(one for one in NIST if one["id"] == case)
    values = data(known["data"])
    made, n = inspected(values).exact(), len(values)
    assert n == (3 if case == "NumAcc1" else 1001)
    assert made.mean == pytest.approx(float(known["mean"]), rel=1e-14)
    # The certified deviation divides by n - 1; the values themselves carry 2e-9 of rounding at 1e7.
    assert made.std * math.sqrt(n / (n - 1)) == pytest.approx(float(known["sd"]), rel=1e-8)


def test_measured_value_is_normal_with_u_over_k():
    d = measured(12.43, 0.02, k=2.0, name="bore")
    assert d.exact().std == pytest.approx(0.01, rel=1e-12)
    assert d.probability(above=12.45) == pytest.approx(0.02275013194817921, rel=1e-9)
    assert d.worst_case() == pytest.approx((12.41, 12.45))


def test_as_built_replaces_the_drawing():
    drawing = dimension(12.5, plus=0.1, name="bore", origin="12.5 ± 0.1")
    built = as_built(drawing, 12.43, 0.02)
    assert (built.name, built.nominal) == ("bore", 12.43)
    assert "12.5 ± 0.1" in built.origin
    assert as_built(drawing, 12.43).worst_case() == (12.43, 12.43)


@pytest.mark.parametrize("rho", [-0.9, 0.0, 0.5, 1.0])
def test_correlated_normals_have_the_closed_form(rho):
    a, b = correlated([dimension(10, plus=0.3, spread=Normal(3.0)), dimension(4, plus=0.6, spread=Normal(3.0))], rho)
    for total, sign in ((a + b, 1), (a - b, -1)):
        assert total.exact().variance == pytest.approx(0.01 + 0.04 + 2 * sign * rho * 0.02, abs=1e-15)
    assert (a - b).worst_case() == pytest.approx((5.1, 6.9))
    drawn = (a - b).sample(200_000, seed=3)
    assert drawn.std() == pytest.approx(math.sqrt(0.05 - 0.04 * rho), rel=0.01)
    for total, sign in ((a + b, 1), (a - b, -1)):
        variance = 0.05 + 2 * sign * rho * 0.02
        # What each has in common with the sum: its variance and its covariance with the other.
        shares = [row.variance_share for row in sorted(total.contributions(), key=lambda row: row.worst_case_share)]
        assert shares == pytest.approx([(own + sign * rho * 0.02) / variance for own in (0.01, 0.04)])
        assert total.rss().max - total.middle == pytest.approx(3 * math.sqrt(variance))


def test_correlated_uniforms_keep_their_spread():
    a, b = correlated([dimension(0, plus=1.0), dimension(0, plus=1.0)], 0.6)
    total = a + b
    # Gaussian copula of uniforms: correlation 6/pi asin(rho/2).
    expected = 2 / 3 * (1 + 6 / math.pi * math.asin(0.3))
    assert total.sample(400_000, seed=1).var() == pytest.approx(expected, rel=0.01)
    assert total.contributions()[0].variance_share == pytest.approx(0.5)
    with pytest.raises(InputError, match="normal spreads"):
        total.exact()
    assert np.abs(a.sample(1000)).max() <= 1
    assert a.exact().sf(0.5) == pytest.approx(0.25)


@pytest.mark.parametrize("spread", [Beta(2.0, 5.0), Beta(5.0, 2.0), Uniform()])
def test_shares_of_two_of_one_spread_that_go_together(spread):
    """The wider is always twice the other: it has two thirds of what they have in common, lopsided or not."""
    a, b = correlated([dimension(10, plus=0.1, spread=spread), dimension(4, plus=0.2, spread=spread)], 1.0)
    shares = [row.variance_share for row in (a + b).contributions()]
    assert shares == pytest.approx([2 / 3, 1 / 3], rel=1e-9)
    assert correlation_of(a, b) == pytest.approx(1.0, rel=1e-9)


@pytest.mark.parametrize(
    ("matrix", "words"),
    [
        ([[1.0, 0.5], [0.4, 1.0]], "symmetric"),
        ([[1.0, 1.5], [1.5, 1.0]], "-1 to 1"),
        ([[1.0, 0.5, 0.5], [0.5, 1.0, 0.5]], "shape"),
        ([[2.0, 0.5], [0.5, 1.0]], "diagonal"),
        ([[1.0, math.nan], [math.nan, 1.0]], "finite"),
    ],
)
def test_a_matrix_that_is_no_correlation(matrix, words):
    parts = [dimension(1.0, plus=0.1, name="left face"), dimension(2.0, plus=0.1, name="right face")]
    with pytest.raises(InputError, match=words) as caught:
        correlated(parts, matrix)
    assert "left face" in str(caught.value) or words == "finite"


def test_an_impossible_set_of_correlations():
    parts = [dimension(1.0, plus=0.1, name=name) for name in ("a", "b", "c")]
    with pytest.raises(InputError, match="eigenvalue"):
        correlated(parts, [[1, 0.9, -0.9], [0.9, 1, 0.9], [-0.9, 0.9, 1]])


def test_thermal_growth():
    # 100 mm of aluminium, 23e-6 1/K, from 20 to 60 °C grows by 0.092 mm.
    tube = dimension(100.0, plus=0.05, name="tube")
    warm = at_temperature(tube, 23e-6, 60.0)
    assert warm.nominal == pytest.approx(100.092, abs=1e-12)
    assert warm.worst_case() == pytest.approx((100.092 - 0.05 * 1.00092, 100.092 + 0.05 * 1.00092))


def test_parts_that_share_their_temperature():
    # An aluminium tube over a polycarbonate blade (65e-6 1/K): the difference grows with L (alpha1 - alpha2).
    air = dimension(20.0, plus=20.0, name="air", unit=unit("°C"))
    tube, blade = dimension(100.0, name="tube"), dimension(100.0, name="blade")
    gap = at_temperature(tube, 23e-6, air) - at_temperature(blade, 65e-6, air)
    assert gap.nominal == pytest.approx(0, abs=1e-12)
    assert gap.worst_case() == pytest.approx((-0.084, 0.084), rel=1e-9)
    assert gap.contributions()[0].name == "air"


def test_uncertain_expansion():
    alpha = dimension(65e-6, plus=5e-6, name="alpha", unit=unit("1/K"))
    warm = at_temperature(dimension(200.0, name="blade"), alpha, 50.0)
    assert warm.nominal == pytest.approx(200.39)
    assert warm.worst_case().max - warm.nominal == pytest.approx(200 * 30 * 5e-6)


def test_the_expansion_of_a_material():
    aluminium = fc.material("6061-T6").expansion
    warm = at_temperature(dimension(100.0, name="tube"), aluminium, "140 °F")
    assert warm.nominal == pytest.approx(100 * (1 + aluminium.value * 40), rel=1e-12)
    assert warm.worst_case() == pytest.approx((100 + 4000 * aluminium.lower, 100 + 4000 * aluminium.upper), rel=1e-12)
    assert at_temperature(dimension(100.0), "23e-6 1/K", 40).nominal == pytest.approx(100.046)


def test_a_temperature_must_be_one():
    with pytest.raises(InputError, match="temperature"):
        at_temperature(dimension(1.0), 23e-6, dimension(20.0))
    with pytest.raises(InputError, match="alpha"):
        at_temperature(dimension(1.0), 23.0, 40.0)


def test_inspected_parts_need_numbers():
    with pytest.raises(InputError, match="slug"):
        inspected([3.0], name="slug")
    with pytest.raises(InputError, match="nan"):
        inspected([3.0, math.nan], name="slug")
    same = inspected([3.0, 3.0, 3.0])
    assert same.worst_case() == (3.0, 3.0)
    assert same.exact().sf(2.9) == 1.0
    assert isinstance(dimension(1.0).spread, Uniform)
