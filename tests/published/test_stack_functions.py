"""Functions of dimensions: worst cases, moments, intervals.

Sources: the one-way clutch of Fortini, used by Chase and co-workers (`nonlinear` N01 of
`tests/reference/stack_examples.json`: inputs recalled, every other value computed there by exact quadrature); metrology
course notes N02 and N04; JCGM 101:2008 clause 9.4 (recalled); `uncertainties` for linear propagation; closed forms.
"""

import itertools
import json
import math
from pathlib import Path

import numpy as np
import pytest
import uncertainties
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from uncertainties import umath

from fitcheck.stack import Beta, Method, Normal, TruncatedNormal, combine, correlated, dimension, response
from fitcheck.stack.system import LeastOfSums

REFERENCE = json.loads((Path(__file__).parents[1] / "reference" / "stack_examples.json").read_text())
BY_ID = {case["id"]: case for case in REFERENCE["nonlinear"] + REFERENCE["jcgm101"]}
EXACT = {case["id"]: case for case in REFERENCE["exact_distributions"]}
CLUTCH = BY_ID["N01"]["computed"]


def clutch(spread, k=3.0):
    """Contact angle in degrees from hub, roller radius and ring in mm; spread over the printed tolerances."""
    made = Normal(k) if spread == "normal" else spread
    return response(
        lambda a, c, e: np.degrees(np.arccos((a + c) / (e - c))),
        name="contact angle",
        a=dimension(27.645, plus=0.0125, spread=made, name="a"),
        c=dimension(11.43, plus=0.01, spread=made, name="c"),
        e=dimension(50.8, plus=0.05, spread=made, name="e"),
    )


def test_clutch_nominal_and_worst_case():
    angle = clutch("uniform")
    assert angle.nominal == pytest.approx(CLUTCH["phi_nominal_deg"], rel=1e-11)
    assert angle.worst_case() == pytest.approx((CLUTCH["wc_exact_min_deg"], CLUTCH["wc_exact_max_deg"]), rel=1e-10)
    assert angle.worst_case_method == "searched; both extremes lie at corners"


def test_clutch_second_order_mean_and_moments():
    known = CLUTCH["normal_T_over_3"]
    mean, variance, method = clutch("normal").moments()
    assert mean == pytest.approx(known["second_order_mean"], abs=2e-6)
    # What second order leaves out (first times third derivatives) is 0.3 % here; first order leaves out more.
    assert variance == pytest.approx(known["variance"], rel=4e-3)
    assert "second order" in method
    drawn = clutch("normal").sample(400_000, seed=5)
    assert drawn.mean() == pytest.approx(known["mean"], abs=4 * known["sd"] / math.sqrt(400_000))


@pytest.mark.parametrize(
    ("spread", "limit", "key"),
    [
        ("normal", {"below": 6.0}, "P_lt_6deg"),
        ("normal", {"above": 8.0}, "P_gt_8deg"),
        ("normal", {"below": 6.0184}, "P_lt_6_0184"),
        ("normal", {"above": 8.0184}, "P_gt_8_0184"),
        ("normal", {"below": 5.0}, "P_lt_5deg"),
        ("uniform", {"below": 6.0}, "P_lt_6deg"),
        ("uniform", {"below": 6.2}, "P_lt_6_2deg"),
        ("uniform", {"above": 7.7}, "P_gt_7_7deg"),
    ],
)
def test_clutch_tails(spread, limit, key):
    known = float(CLUTCH["normal_T_over_3" if spread == "normal" else "uniform_pm_T"][key])
    found = clutch(spread).probability(**limit)
    # 6.0184 and 8.0184 are printed rounded; the slope of the log density is about 25 per degree there.
    slack = 0.002 * known if "0184" in key else 0.0
    assert abs(found - known) <= 4 * found.standard_error + slack
    assert found.standard_error <= 0.05 * known


def test_clutch_beyond_its_support():
    found = clutch("uniform").probability(above=8.0)
    assert found == 0
    assert found.method is Method.WORST_CASE


def test_clutch_sensitivities():
    known = CLUTCH["sens_deg_per_mm"]
    rows = {row.name: row for row in clutch("normal").contributions()}
    for name, slope in known.items():
        # Over the whole zone the straight line departs from the derivative by the curvature.
        assert rows[name].sensitivity == pytest.approx(slope, rel=0.02)
        assert 100 * rows[name].variance_share == pytest.approx(CLUTCH["percent_contribution"][name], rel=0.02)


def test_cylinder_volume(tally):
    # N02: printed V = 294,524.3, u_c = 66.8.
    volume = response(
        lambda D, L: math.pi / 4 * D**2 * L,
        D=dimension(50.0, plus=0.005, spread=Normal(1.0)),
        L=dimension(150.0, plus=0.016, spread=Normal(1.0)),
    )
    assert f"{volume.nominal:,.1f} mm^3" == BY_ID["N02"]["printed"]["V"]
    tally("metrology course notes, volume and height", 1)
    assert math.sqrt(volume.moments().variance) == pytest.approx(BY_ID["N02"]["computed"]["u_c"], rel=1e-4)


def test_volume_from_mass_and_density():
    volume = response(
        lambda m, rho: m / rho,
        m=dimension(1570.0, plus=0.032, spread=Normal(1.0)),
        rho=dimension(5.33, plus=0.0065, spread=Normal(1.0)),
    )
    assert math.sqrt(volume.moments().variance) == pytest.approx(BY_ID["N04"]["computed"]["u_c"], rel=1e-4)


KNOWN_DIFFERENCES = {"N03": "prints 633.4; the root sum square of its own three contributions is 633.305"}


def test_building_height(tally):
    # H = h1 + L tan(theta): the three contributions of the notes, combined.
    parts = [dimension(0.0, plus=u, spread=Normal(1.0)) for u in BY_ID["N03"]["inputs"]["contributions_mm"]]
    u_c = (parts[0] + parts[1] + parts[2]).exact().std
    assert u_c == pytest.approx(BY_ID["N03"]["computed"]["u_c"], rel=1e-9)
    made = response(lambda a, b, c: a + b + c, **dict(zip("abc", parts, strict=True)))
    assert math.sqrt(made.moments().variance) == pytest.approx(u_c, rel=1e-9)
    assert f"{u_c:.1f} mm" != BY_ID["N03"]["printed"]["u_c"], KNOWN_DIFFERENCES["N03"]
    tally("metrology course notes, volume and height", 1, 1)


@pytest.mark.parametrize("method", ["auto", "design point"])
def test_product_of_two_normal_variables(method):
    x, y = (dimension(0.0, plus=1.0, spread=Normal(1.0), name=name) for name in "xy")
    found = response(lambda x, y: x * y, x=x, y=y).probability(above=3.0, method=method)
    assert abs(found - float(EXACT["PN_gt3"]["value"])) <= 4 * found.standard_error
    assert found.standard_error <= 0.05 * found


@pytest.mark.parametrize("case", [c for c in BY_ID if c.startswith("J5")])
def test_jcgm_101_comparison_loss(case):
    # JCGM 101:2008, 9.4: 1e6 dY = (X1^2 + X2^2) 1e6, normal inputs of standard deviation 0.005, correlated by r.
    r, x1 = (float(part[1:]) for part in case.split("_")[1:])
    a, b = dimension(x1, plus=0.005, spread=Normal(1.0)), dimension(0.0, plus=0.005, spread=Normal(1.0))
    if r:
        a, b = correlated([a, b], r)
    loss = response(lambda x, y: 1e6 * (x**2 + y**2), x=a, y=b)
    known = BY_ID[case]["computed"]
    mean, variance, _ = loss.moments()
    # A quadratic function of normal inputs: the second-order moments are exact.
    assert mean == pytest.approx(known["mean"], rel=1e-7)
    assert math.sqrt(variance) == pytest.approx(known["u"], rel=1e-6)
    assert loss.interval(0.95) == pytest.approx(known["symmetric95"], rel=0.01, abs=0.05 * 0.01 * known["u"])
    shortest = loss.interval(0.95, shortest=True)
    assert shortest.max - shortest.min == pytest.approx(known["shortest95"][1] - known["shortest95"][0], rel=0.01)


def test_shortest_interval_of_a_sum():
    # Beta(1, 2) has the density 2 (1 - x) on 0 .. 1, so that the shortest interval begins at 0.
    leaning = dimension(0.5, plus=0.5, spread="beta 1 2")
    assert leaning.interval(0.95, shortest=True) == pytest.approx((0.0, 1 - math.sqrt(0.05)), abs=1e-6)
    # Symmetric and with one peak: the one with equal risks.
    even = leaning + dimension(1.5, plus=0.5, spread="beta 2 1")
    assert even.interval(0.9, shortest=True) == pytest.approx(even.interval(0.9), rel=1e-9)
    # Against the same sum as a function, by samples.
    total = leaning + dimension(3.0, plus=0.1, spread="beta 1 3")
    sampled = response(lambda x: x, x=total).interval(0.95, shortest=True)
    assert total.interval(0.95, shortest=True) == pytest.approx(sampled, abs=5e-3)
    exact, other = total.interval(0.95, shortest=True), total.interval(0.95)
    assert exact.max - exact.min < other.max - other.min
    assert total.exact().cdf(exact.max) - total.exact().cdf(exact.min) == pytest.approx(0.95, abs=1e-9)


FUNCTIONS = [
    (lambda a, b, c: a * b / c, lambda a, b, c: a * b / c),
    (lambda a, b, c: np.sqrt(a**2 + b**2) - c, lambda a, b, c: umath.sqrt(a**2 + b**2) - c),
    (lambda a, b, c: np.exp(-a / b) * np.sin(c), lambda a, b, c: umath.exp(-a / b) * umath.sin(c)),
    (lambda a, b, c: np.arctan(a / b) + np.log(c), lambda a, b, c: umath.atan(a / b) + umath.log(c)),
]


@pytest.mark.parametrize(("ours", "theirs"), FUNCTIONS)
def test_small_spreads_against_the_uncertainties_package(ours, theirs):
    values, sds = (3.0, 4.0, 2.0), (1e-4, 2e-4, 3e-4)
    made = response(
        ours, **{n: dimension(v, plus=s, spread=Normal(1.0)) for n, v, s in zip("abc", values, sds, strict=True)}
    )
    linear = theirs(*(uncertainties.ufloat(v, s) for v, s in zip(values, sds, strict=True)))
    assert math.sqrt(made.moments().variance) == pytest.approx(linear.std_dev, rel=1e-5)
    assert made.moments().mean == pytest.approx(linear.nominal_value, rel=1e-6)


# (function, limits of a and b, lowest, highest, whether an extreme lies inside)
EXTREMES = [
    (lambda a, b: a * b, (-1, 2), (3, 5), -5.0, 10.0, False),
    (lambda a, b: (a - 1) ** 2 + b, (0, 3), (0, 1), 0.0, 5.0, True),
    (lambda a, b: np.sin(a) + 0 * b, (0, 3), (0, 1), 0.0, 1.0, True),
    (lambda a, b: np.hypot(a, b), (3, 6), (4, 8), 5.0, 10.0, False),
    (lambda a, b: a / b - b / a, (1, 2), (1, 4), 0.25 - 4, 2 - 0.5, False),
    (lambda a, b: np.maximum(a, b) + np.abs(a - 1), (0, 2), (1, 3), 1.0, 4.0, True),
    (lambda a, b: np.tan(a) * np.cos(b), (0.1, 1.2), (-1, 1), math.tan(0.1) * math.cos(1), math.tan(1.2), True),
    (lambda a, b: np.exp(-(a**2) - b**2), (-1, 2), (-1, 1), math.exp(-5), 1.0, True),
    (lambda a, b: 2**a - np.log(b) + np.arcsin(a / 4), (0, 2), (1, 2), 1 - math.log(2), 4 + math.asin(0.5), False),
    (lambda a, b: np.sqrt(a) * a**-1.5 * b**3, (1, 4), (-1, 2), -1.0, 8.0, False),
]


@pytest.mark.parametrize(("f", "a", "b", "low", "high", "inside"), EXTREMES)
def test_worst_case_is_found(f, a, b, low, high, inside):
    made = response(f, a=dimension(sum(a) / 2, plus=(a[1] - a[0]) / 2), b=dimension(sum(b) / 2, plus=(b[1] - b[0]) / 2))
    assert made.worst_case() == pytest.approx((low, high), rel=1e-7, abs=1e-7)
    assert made.worst_case_method.startswith("searched")
    assert not made.extremes().exact
    assert ("inside" in made.worst_case_method) == inside
    assert ("corners" in made.worst_case_method) != inside


@pytest.mark.parametrize(("f", "a", "b", "low", "high", "inside"), [case for case in EXTREMES if case[-1]])
def test_the_worst_case_does_not_hang_on_the_unit_of_the_values(f, a, b, low, high, inside):
    """A second moment of area in m^4 is some 1e-11."""
    sizes = {n: dimension((x + y) / 2, plus=(y - x) / 2) for n, (x, y) in (("a", a), ("b", b))}
    for one in (1e-18, 1e-11, 1e9):
        made = response(lambda a, b, one=one: one * f(a, b), **sizes)
        assert [end / one for end in made.worst_case()] == pytest.approx([low, high], rel=1e-7, abs=1e-7)
        assert ("inside" in made.worst_case_method) == inside


def test_worst_case_of_a_function_that_branches_is_searched():
    made = response(lambda a: np.where(a > 10, 20 - a, a), a=dimension(10.0, plus=1.0))
    assert made.worst_case() == pytest.approx((9.0, 10.0), abs=1e-4)
    assert made.worst_case_method == "searched; an extreme lies inside the zone"


def test_worst_case_of_a_narrow_peak_claims_no_more_than_a_search():
    made = response(lambda a: np.exp(-(((a - 0.2345678) / 1e-5) ** 2)), a=dimension(0.0, plus=1.0))
    assert not made.extremes().exact  # the peak is 1e-5 wide: no search finds it


def test_a_spring_that_thirteen_parts_press_in_few_of_their_corners_only_is_pressed_at_worst():
    """It has 9 mm of play before it is touched. The parts take up 13 mm where every one of them does its worst; the
    standard deviation of what they take up is 2.1 mm, so that next to no point inside their zones touches it.
    """
    parts = {f"x{i}": dimension(0.0, plus=1.0, name=f"x{i}") for i in range(13)}
    signs = dict(zip(parts, itertools.cycle((1, -1))))

    def force(**x):
        return np.maximum(sum(signs[name] * size for name, size in x.items()) - 9, 0.0)

    pressed = response(force, **parts)
    assert pressed.worst_case() == pytest.approx((0.0, 4.0), abs=1e-6)


def test_the_least_of_sums_has_an_exact_worst_case():
    """A plug between two limits: growing helps the one and hurts the other, so the best lies at a kink."""
    length, room, travel, seat = (
        dimension(x, plus=t, name=name)
        for name, x, t in (("length", 23.1, 0.3), ("room", 16.5, 0.6), ("travel", 4.0, 0.2), ("seat", 9.0, 0.2))
    )
    least = LeastOfSums([length - room - travel, room + seat - length], name="margin")
    corners = np.array(list(itertools.product((-1.0, 1.0), repeat=4)))
    assert least.worst_case().min == pytest.approx(least.at(corners).min(), abs=1e-12)
    # The two sums add up to seat - travel, at most 5.4: the smaller is at most half of that, 2.7, and can be.
    assert least.worst_case().max == pytest.approx(2.7, abs=1e-12)
    assert least.extremes().exact
    assert least.worst_case_method == "exact: the least of several sums"
    assert float(least.at(least.extremes().at_high[None, :])[0]) == pytest.approx(2.7, abs=1e-12)


@given(st.integers(1, 4), st.integers(1, 4), st.integers(0, 10_000))
@settings(deadline=None, max_examples=60)
def test_no_draw_lies_beyond_the_worst_case_of_the_least_of_sums(k, n, seed):
    generator = np.random.default_rng(seed)
    parts = [dimension(m, plus=w) for m, w in zip(generator.normal(size=n), generator.uniform(0, 1, n), strict=True)]
    sums = [combine(list(zip(generator.integers(-2, 3, n).tolist(), parts, strict=True))) for _ in range(k)]
    least = LeastOfSums(sums, name="least")
    low, high = least.worst_case()
    z = generator.uniform(-1, 1, (4000, len(least.members)))
    assert low - 1e-9 <= least.at(z).min()
    assert least.at(z).max() <= high + 1e-9
    ends = least.extremes()
    assert least.at(np.array([ends.at_low, ends.at_high])) == pytest.approx([low, high], abs=1e-9)


@pytest.mark.parametrize("n", [2, 5, 9, 10, 12, 13, 14, 19, 26])
def test_the_search_finds_the_ridge_of_a_least_of_sums(n):
    generator = np.random.default_rng(n)
    slopes, constants = generator.normal(size=(4, n)), 0.3 * generator.normal(size=4)
    parts = [dimension(0.0, plus=1.0, name=f"x{i}") for i in range(n)]
    sums = [combine(zip(row, parts, strict=True), constant=c) for row, c in zip(slopes, constants, strict=True)]

    def least(**x):
        return np.min(slopes @ np.array(list(x.values())) + constants[:, None], axis=0)

    searched = response(least, **{d.name: d for d in parts})
    assert searched.worst_case_method.startswith("searched")
    known = LeastOfSums(sums, name="least").worst_case()
    assert tuple(searched.worst_case()) == pytest.approx(tuple(known), abs=1e-6)


def test_sums_as_inputs_share_their_members():
    a = dimension(10.0, plus=0.1, spread=TruncatedNormal(3.0))
    assert response(lambda x, y: x - y, x=a + 1.0, y=a).worst_case() == pytest.approx((1.0, 1.0), abs=1e-12)


@pytest.mark.parametrize(
    ("function", "mean", "variance"),
    [
        # |o| of a uniform o in ± 0.1 is uniform from 0 to 0.1.
        (lambda o, b: np.abs(o) + 0 * b, 0.05, 0.1**2 / 12),
        (lambda o, b: np.abs(o) + b, 5.05, 0.1**2 / 12 + 0.2**2 / 3),
        # the greater of o and 0: mean 0.1 / 4, mean square 0.1² / 6
        (lambda o, b: np.maximum(o, 0.0) + 0 * b, 0.025, 0.1**2 / 6 - 0.025**2),
    ],
)
def test_moments_at_a_kink_are_those_of_samples(function, mean, variance):
    found = response(
        function, o=dimension(0.0, plus=0.1, spread="uniform"), b=dimension(5.0, plus=0.2, spread="uniform")
    ).moments()
    assert found.mean == pytest.approx(mean, rel=1e-4)
    assert found.variance == pytest.approx(variance, rel=1e-3)
    assert found.method == "sampling, as the function is no parabola about the mean"


def test_second_order_moments_do_not_depend_on_the_order_of_the_inputs():
    x, y = (dimension(m, plus=s, spread=Normal(1.0), name=n) for m, s, n in ((0.0, 1.0, "x"), (10.0, 3.0, "y")))
    one, other = (response(lambda x, y: x / y, **inputs).moments() for inputs in ({"x": x, "y": y}, {"y": y, "x": x}))
    assert one == other
    # g = (1/10, 0), H_xy = -1/100, H_yy = 0: 1/100 + 9/10,000.
    assert one.variance == pytest.approx(0.0109, rel=1e-3)
    assert one.method == "second order, by derivatives at the mean"
    # No independent y of mean 10 can bring it below Var(x) / 10²: Var(x/y) = Var(x) E(1/y²), and E(1/y²) > 1 / E(y)².
    # (A variance of 0.0749635² would need a standard deviation of x of less than 0.75.) For a y that stays clear of 0:
    y = dimension(10.0, plus=3.0, spread="uniform", name="y")
    made = response(lambda x, y: x / y, x=x, y=y)
    assert made.moments().variance > 0.01
    assert 0.01 < made.sample(400_000).var() == pytest.approx((1 / 7 - 1 / 13) / 6, rel=0.01)  # E(1/y²) of a uniform y


def test_moments_of_a_parabola_of_a_skewed_member():
    # Second order is exact for a parabola, whatever the spread: against SciPy's integral over the beta law.
    a = dimension(3.0, plus=2.0, spread=Beta(2.0, 5.0), name="a")
    found = response(lambda a: a + 0.3 * a**2, a=a).moments()
    law = stats.beta(2, 5, loc=1.0, scale=4.0)
    mean = law.expect(lambda x: x + 0.3 * x**2)
    variance = law.expect(lambda x: (x + 0.3 * x**2 - mean) ** 2)
    assert "second order" in found.method
    assert found.mean == pytest.approx(mean, rel=1e-6)
    assert found.variance == pytest.approx(variance, rel=1e-5)
