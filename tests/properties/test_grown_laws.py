"""A response that grows by a known law: its probabilities against quadrature and counts, its law against itself."""

import copy
import itertools
import math
import pickle
from functools import partial

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from screw_inputs import SCREW

from fitcheck.errors import InputError
from fitcheck.mechanics.short_engagement import new_bench_below
from fitcheck.questions.set_screw.strength import SetScrew
from fitcheck.stack import Method, Normal, Response, StudentT, dimension
from fitcheck.stack.grown import Grown, Growth
from fitcheck.stack.paper import by_secant
from fitcheck.stack.probability.quantile import advised_quantile, low_quantile

PLACED = {"blade_out": "700 mm", "seated": "38.5 ± 0.7", "screws_at": ["12.0 ± 0.2", "36.5 ± 0.2"], "screws": 2}
ASKED = {
    "tests of others": {},
    "own trials": {"trials": ["1.1 N·m", "0.9 N·m"]},
    "one that held": {"survived": ["0.6 N·m"]},
    "proved": {"proved": "0.3 N·m"},
    "a locking": {"prevailing": "0.1 ± 0.05 N·m"},
    "worn, often": {"hole_minor": "3.45 ± 0.05", "tightenings": 10},
    "inch": {"hole": "#8-32 UNC-2B", "screw": "#8-32 UNC-2A"},
    "a thin wall": {"outside": "27.2 ± 0.1"},
}
BENCH, SCATTER = 0.19, 0.2


def strength(x, e, load=1000.0):
    return load * np.exp(BENCH * x + e)


def bench_and_scatter(**more):
    """A strength of 1,000 with the bench of a Student t and a normal scatter, both in closed form."""
    inputs = {
        "x": dimension(0.0, plus=2.776, spread=StudentT(4, 2.776), name="bench"),
        "e": dimension(0.0, plus=2 * SCATTER, spread=Normal(2), name="scatter"),
    }
    return Grown(partial(strength, **more), inputs, along="x", law=partial(Growth, 1000.0, BENCH), beside="e")


@pytest.mark.parametrize("y", [150, 300, 500, 900, 1400, 3000])
def test_the_probability_is_that_of_a_quadrature(y):
    expected = float(new_bench_below(math.log(y / 1000), BENCH, SCATTER, 4))
    found = bench_and_scatter().probability(below=y)
    assert found.method is Method.AVERAGE
    assert found == pytest.approx(expected, rel=2e-3)
    assert bench_and_scatter().probability(above=y) == pytest.approx(1 - expected, rel=2e-3)


@pytest.mark.parametrize(("y", "known"), [(60, False), (62, False), (65, True), (70, True)])
def test_what_it_tells_to_no_better_than_a_twentieth_is_left_to_others(y, known):
    # A load that varies far more than x: the mean over few loads tells little of the lowest.
    load = dimension(100.0, plus=45.0, spread=Normal(3), name="load")
    x = dimension(0.0, plus=0.06, spread=Normal(3), name="x")
    asked = Grown(lambda load, x: load * np.exp(x), {"load": load, "x": x}, along="x", law=lambda load: Growth(load, 1))
    found = asked.probability(below=y)
    assert (found.method is Method.AVERAGE) == known
    assert not known or found.standard_error <= found / 20


@pytest.mark.parametrize("risk", [1e-4, 0.0045, 0.05, 0.4])
def test_the_ends_of_an_interval_leave_the_risk_and_no_more(risk):
    asked = bench_and_scatter()
    low, high = asked.interval(1 - 2 * risk)
    assert asked.probability(below=low) <= risk
    assert asked.probability(below=low * (1 + 1e-5)) > risk
    assert float(new_bench_below(math.log(low / 1000), BENCH, SCATTER, 4)) == pytest.approx(risk, rel=2e-3)
    assert float(new_bench_below(math.log(high / 1000), BENCH, SCATTER, 4)) == pytest.approx(1 - risk, rel=2e-3)
    assert asked.low_end(risk) == pytest.approx(low, rel=1e-9)


@pytest.mark.parametrize("inputs", ASKED.values(), ids=ASKED)
def test_the_law_is_the_function(inputs):
    q = SetScrew.read({**SCREW, **inputs})
    z = np.random.default_rng(1).uniform(-1.5, 1.5, (300, 40))
    for asked in (q.strip_torque, q.strip_margin):
        values = asked.inputs_at(z[:, : len(asked.members)])
        x = values.pop(asked.along)
        expected = asked.function(**values, **{asked.along: x})
        assert asked.law(**values).at(x) == pytest.approx(expected, rel=1e-12, abs=1e-12)
        if asked.beside in values:  # which stands beside the rate
            law = asked.law(**{key: value for key, value in values.items() if key != asked.beside})
            beside = np.exp(values[asked.beside])
            assert law._replace(scale=law.scale * beside).at(x) == pytest.approx(expected, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize("inputs", ASKED.values(), ids=ASKED)
def test_probability_and_interval_are_those_of_a_long_count(inputs):
    q = SetScrew.read({**SCREW, **inputs})
    asked, drawn = q.strip_margin, Response.drawn(q.strip_margin, 1 << 18)
    for at in filter(None, np.quantile(drawn, [0.005, 0.05, 0.5, 0.99]).tolist()):
        found, counted = asked.probability(below=at), np.searchsorted(drawn, at) / len(drawn)
        error = math.hypot(found.standard_error, math.sqrt(counted * (1 - counted) / len(drawn)))
        assert found.method is Method.AVERAGE
        assert abs(found - counted) < 4 * error, "of the stated errors"
    low, high = asked.interval(0.99)
    assert [low, high] == pytest.approx(np.quantile(drawn, [0.005, 0.995]).tolist(), rel=0.02)


@pytest.mark.parametrize("inputs", ASKED.values(), ids=ASKED)
def test_the_torque_that_is_advised_meets_its_risk_when_asked_again(inputs):
    q = SetScrew.read({**SCREW, **inputs})
    if not q.safe_torque > 0:
        pytest.skip("no torque is safe")
    again = SetScrew.read({**SCREW, **inputs, "tightenings": 1, "hand_torque": f"{q.safe_torque} N·m"})
    assert again.strip_margin.probability(below=1.0) <= q.risk_a_screw
    assert again.strip_margin.probability(below=1.0, method="sampling", samples=1 << 18) <= q.risk_a_screw


def test_a_finding_is_judged_by_it():
    q = SetScrew.read(SCREW)
    strip = q.findings()[0]
    assert strip.probability.method is Method.AVERAGE
    assert strip.probability == q.strip_margin.probability(below=1.0)
    assert "averaged over 2,048 cases" in strip.how_found


def test_less_risk_never_gives_more():
    q = SetScrew.read({**SCREW, "proved": "0.3 N·m"})
    found = [low_quantile(q.strip_torque, risk) for risk in (0.2, 0.01, 1e-3, 1.1e-4, 0.9e-4, 1e-5)]
    assert all(less <= more * (1 + 1e-6) for more, less in itertools.pairwise(found))
    assert found[-1] == pytest.approx(0.3), "what has been proved is borne at any risk"


def test_a_function_that_stands_at_0_has_that_share_there():
    """Of which no logarithm is taken."""
    asked = Grown(
        lambda load, x: np.maximum(load * np.exp(0.2 * x) - 80, 0.0),
        {"load": dimension(100.0, plus=40.0, name="load"), "x": dimension(0.0, plus=3.0, spread=Normal(3), name="x")},
        along="x",
        law=lambda load: Growth(load, 0.2, offset=-80.0),
    )
    nothing = asked.probability(below=1e-9)
    assert nothing == pytest.approx(asked.probability(below=1e-9, method="sampling"), abs=0.005)
    assert asked.interval(1 - 2 * 0.9 * nothing).min == 0.0
    assert asked.interval(1 - 2 * min(1.02 * nothing, 0.499)).min > 0.0
    assert advised_quantile(asked, 0.01) == 0.0


def test_a_cap_holds_what_would_grow_past_it():
    x = dimension(0.0, plus=3.0, spread=Normal(3), name="x")
    asked = Grown(lambda x: np.minimum(np.exp(x), 2.0), {"x": x}, along="x", law=lambda: Growth(1.0, 1.0, cap=2.0))
    assert asked.probability(above=1.999) == pytest.approx(1 - x.spread.cdf(math.log(1.999) / 3), rel=1e-6)
    assert asked.interval(0.999).max == pytest.approx(2.0, rel=1e-5)
    assert asked.probability(above=2.0) == 0


def test_where_the_law_is_of_no_use_it_is_a_response_like_another():
    asked = bench_and_scatter()
    fixed = asked.with_inputs({**asked.inputs, "x": dimension(0.0, name="bench")})
    plain = Response(fixed.function, fixed.inputs)
    assert fixed.interval(0.9) == plain.interval(0.9)
    assert fixed.probability(below=700) == plain.probability(below=700)
    twice = asked.with_inputs({**asked.inputs, "load": asked.inputs["x"] + 1000.0})
    assert twice.probability(below=500).method is not Method.AVERAGE


def test_it_can_be_sent_to_another_process():
    q = SetScrew.read(SCREW)
    before = q.strip_margin.probability(below=1.0)
    for again in (copy.copy(q.strip_margin), pickle.loads(pickle.dumps(q.strip_margin))):
        assert again.probability(below=1.0) == before
        assert again.with_inputs(again.inputs).interval(0.9) == q.strip_margin.interval(0.9)


def test_a_law_that_is_no_number_is_refused():
    x = dimension(0.0, plus=1.0, spread=Normal(2), name="x")
    size = dimension(1.0, plus=2.0, name="size")
    asked = Grown(
        lambda size, x: np.sqrt(size) * np.exp(x), {"size": size, "x": x}, along="x",
        law=lambda size: Growth(np.sqrt(size), 1.0), name="root",
    )  # fmt: skip
    with pytest.raises(InputError, match="root: its law is not a finite number"):
        asked.interval(0.9)


@given(st.floats(-5, 5), st.floats(0.1, 50), st.floats(0.5, 2))
def test_the_root_of_a_straight_line_is_found_from_a_slope_that_is_about_right(root, slope, off):
    """Two steps of a secant meet a straight line wherever they begin."""
    ends = (-1000.0, 1000.0)
    found = by_secant(lambda x: slope * (x - root), 0.0, slope * off, ends, step=1e-6)
    assert found.at == pytest.approx(root, abs=1e-6)
    assert by_secant(lambda x: slope * (x - root), 0.0, slope * off, (root + 0.1, root + 1e-3), step=1e-6) is None


@pytest.mark.parametrize(
    "curve",
    [lambda _: 1.0, lambda x: -x, lambda x: (x - 1) ** 9],
    ids=["flat", "falling", "too flat at its root"],
)
def test_a_secant_that_does_not_soon_find_a_root_says_none(curve):
    """None, and not a place that is no root, as the search between the ends then goes on without it."""
    assert by_secant(curve, 0.5, 1.0, (-9.0, 9.0), step=1e-9) is None


def test_an_end_at_a_cap_is_the_cap():
    """A strength that a thin wall holds to 20 and a thick one to 40, either as likely; 100 before, give or take 10."""

    def cap(wall):
        return np.where(wall > 2.0, 40.0, 20.0)

    inputs = {"x": dimension(0.0, plus=0.1, spread=Normal(2), name="x"), "wall": dimension(2.0, plus=0.5, name="wall")}
    asked = Grown(
        lambda x, wall: np.minimum(100 * np.exp(x), cap(wall)),
        inputs,
        along="x",
        law=lambda wall: Growth(100.0, 1.0, cap=cap(wall)),
    )
    low, high = asked.interval(0.98)
    assert (low, high) == pytest.approx((20.0, 40.0), rel=1e-5)
    assert high == pytest.approx(Response.interval(asked, 0.98).max)
    assert asked.probability(below=high) == pytest.approx(0.5, abs=0.01)
