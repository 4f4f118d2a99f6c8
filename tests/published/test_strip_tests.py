"""The short-thread model against published pull-out tests: `tests/reference/strip_tests.csv` (sources in its rows).

The shear areas are of the worst limits of class 2A/2B (tests/reference/unified_limits.csv; 5/16-18 from ASME B1.1, from
memory), the strength is 0.6 times the stated minimum tensile strength. `pytest -s` prints the ratio table.
"""

import csv
import itertools
from pathlib import Path

import numpy as np
import pytest

from fitcheck.mechanics import (
    NO_TAPPED_TESTS,
    friction,
    hand_torque,
    lever_arm,
    material,
    point_radius,
    shear_area_internal,
    short_engagement_bounds,
    short_engagement_factor,
    short_model,
    strip_load,
)
from fitcheck.mechanics.strip_fit import StripTests, fit_strip_tests, left_out, strip_tests

LBF = 4.4482216152605

# in: threads per inch, major diameter basic, 2A min, 2A max; pitch diameter 2B max, min.
SIZES = {
    "1/4-20": (20, 0.25, 0.2408, 0.2489, 0.2224, 0.2175),
    "#12-24": (24, 0.216, 0.2078, 0.2150, 0.1933, 0.1889),
    "5/16-18": (18, 0.3125, 0.3026, 0.3113, 0.2817, 0.2764),
}

# The load no longer grows with the wall: the screw gives way, not the thread.
SCREW_LIMITED = {"EA15", "EA16", "EA17", "IT44", "IT45"}
NO_STRENGTH = {"HI24", "HI25", "HI26"}  # no stated strength in the source


def _areas(thread: str, wall: float) -> dict[str, float]:
    tpi, d, d_min, d_max, D2_max, D2_min = SIZES[thread]
    pairs = {
        "limits": (d_min, D2_max),
        "mean": ((d_min + d_max) / 2, (D2_max + D2_min) / 2),
        "basic": (d, D2_min),
    }
    return {name: shear_area_internal(wall, 25.4 / tpi, 25.4 * a, 25.4 * b) for name, (a, b) in pairs.items()}


@pytest.fixture(scope="module")
def tests():
    """Threads in the wall and test over textbook load, one row a test."""
    rows = []
    path = Path(__file__).parent.parent / "reference" / "strip_tests.csv"
    with path.open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            if row["id"] in NO_STRENGTH:
                assert row["stated_min_tensile_MPa"] == ""
                continue
            wall, strength = float(row["wall_mm"]), 0.6 * float(row["stated_min_tensile_MPa"])
            ratios = {
                sizes: float(row["pull_out_load"]) * LBF / strip_load(area, strength)
                for sizes, area in _areas(row["thread"], wall).items()
            }
            n = wall * SIZES[row["thread"]][0] / 25.4
            rows.append({"id": row["id"], "material": row["material"], "n": n, **ratios})
    return rows


def test_rows_left_out_as_limited_by_the_screw_level_off(tests):
    # Evidence for leaving them out: the wall grows by 25 to 67 % and the load by less than 1 %.
    ratio = {row["id"]: row["limits"] * row["n"] for row in tests}  # proportional to the load at equal strength
    assert max(ratio[i] for i in ("EA15", "EA16", "EA17")) < 1.01 * min(ratio[i] for i in ("EA15", "EA16", "EA17"))
    assert ratio["IT45"] == pytest.approx(ratio["IT44"], rel=1e-3)
    assert ratio["IT44"] > 1.25 * ratio["IT43"]  # below the limit the load still grew with the wall


@pytest.fixture(scope="module")
def shipped():
    return strip_tests()


@pytest.fixture(scope="module")
def refit(shipped):
    return fit_strip_tests(shipped)


def test_coefficients_are_those_of_a_refit(shipped, refit):
    model = short_model()
    assert len(shipped.threads) == 45
    assert set(shipped.laboratory) == {
        "plate table",
        "extrusion table",
        "sheet steel table",
        "technical guide",
        "research report",
    }
    assert (model.half.value, model.half.error) == pytest.approx((refit.half, refit.half_error), abs=0.001)
    assert (model.bench.value, model.scatter.value) == pytest.approx((refit.bench, refit.scatter), abs=0.001)
    assert model.bench.freedom == refit.bench_freedom == 4
    assert model.scatter.freedom == pytest.approx(refit.scatter_freedom, abs=1)
    assert model.next_scatter == pytest.approx(refit.next_scatter, rel=0.01)


def test_the_fit_is_the_analysis_of_variance_where_that_has_a_closed_form():
    """Equal groups at one number of threads: the analysis of variance is then the same (any text)."""
    rng = np.random.default_rng(8)
    groups, each = 8, 6
    level = rng.normal(0, 0.4, groups)
    y = np.log(2 / 3.1) + level[:, None] + rng.normal(0, 0.1, (groups, each))
    names = tuple(f"laboratory {i}" for i in range(groups) for _ in range(each))
    fit = fit_strip_tests(StripTests(np.full(groups * each, 2.0), np.exp(y.ravel()), names, names))
    within = y.var(axis=1, ddof=1).mean()
    between = y.mean(axis=1).var(ddof=1) - within / each
    assert fit.scatter**2 == pytest.approx(within, rel=1e-4)
    assert fit.bench**2 == pytest.approx(between, rel=1e-4)
    assert short_engagement_factor(2.0, fit.half) == pytest.approx(np.exp(y.mean()), rel=1e-6)
    # The standard error of the mean level is that of eight laboratories, not of forty-eight tests.
    of_mean = fit.half_error / (2.0 + fit.half)
    assert of_mean == pytest.approx(np.sqrt(between / groups + within / (groups * each)), rel=1e-4)


def test_a_laboratory_is_predicted_from_the_others(shipped, tally):
    """Leaving one out: the 90 % band holds 85 % of its rows at least; 2 % at most lie under the lower 99 % bound."""
    below = left_out(shipped)
    inside, under = np.mean((below > 0.05) & (below < 0.95)), np.mean(below < 0.005)
    lower, median, upper = short_engagement_bounds(2.0)
    print(
        f"\n90 % band: {inside:.0%} of rows left out inside; under the lower 99 % bound: {under:.1%}; "
        f"the band is {lower / median:.2f} to {upper / median:.2f} of the median"
    )
    assert inside >= 0.85
    assert under <= 0.02
    # Nor does it say nothing: half of the rows lie in the middle half of what is predicted, or not many more.
    assert 0.4 <= np.mean((below > 0.25) & (below < 0.75)) <= 0.65
    assert upper / lower < 3
    # No smaller probability is claimed than these rows can show.
    assert below.min() > short_model().least_risk
    tally("45 pull-out tests, each laboratory from the others", 45, int(45 - round(45 * inside)), how="in a 90 % band")


def test_the_forms_that_fit_as_well_lie_within_the_band():
    """The form is not determined by the tests: a lost length with a floor, 1 - exp(-n/N), each with its own fit."""
    n = np.linspace(0.9, 7.5, 40)
    lower, _, upper = short_engagement_bounds(n, 0.5)
    for other in (np.maximum(1 - 0.583 / n, 0.304), 1 - np.exp(-n / np.exp(0.455))):
        assert np.all((lower < other) & (other < upper))


def test_the_metal_is_not_asked_for_as_an_effect(shipped):
    """Aluminium lies 0.19 ± 0.09 higher, by least squares; it leaves what laboratories differ by as it is."""
    left = np.log(shipped.ratio) - np.log(short_engagement_factor(shipped.threads))
    aluminium = np.array([metal == "aluminium" for metal in shipped.metal])
    apart = left[aluminium].mean() - left[~aluminium].mean()
    assert 0 < apart < 2.5 * short_model().bench.value * np.sqrt(1 / 3 + 1 / 3)


def _span(values) -> str:
    return f"{values.mean():.2f} ({values.min():.2f}-{values.max():.2f})"


def test_ratio_table_by_threads_in_the_wall(shipped):
    edges = [0, 1.5, 2.6, 4, 8]
    n, ratio = shipped.threads, shipped.ratio
    model = ratio / short_engagement_factor(n)
    lines = ["threads    tests  test/textbook (range)     test/model (range)"]
    for low, high in itertools.pairwise(edges):
        pick = (n > low) & (n <= high)
        lines.append(f"{low:3.1f} - {high:3.1f} {pick.sum():6d}  {_span(ratio[pick])}          {_span(model[pick])}")
        assert 0.8 < np.exp(np.log(model[pick]).mean()) < 1.25  # no trend with the number of threads is left
    print("\n".join(lines))
    # The textbook is wrong where it matters: below two and a half threads the mean test is under it.
    assert ratio[n <= 1.5].mean() < 0.65
    assert ratio[n <= 2.6].mean() < 0.80


def test_group_means_of_the_126_tests(tests, tally):
    # Means of 126 tests of five makers' tables (areas of basic sizes, which are those of the limits over 0.776);
    # strip_tests.csv holds those that are kept here. The model must meet each mean within the 90 % band of one test.
    groups = [  # middle of the group, mean of test/textbook, material
        (0.8, 0.33, "aluminium"),
        (1.25, 0.55, "aluminium"),
        (2.05, 0.78, "aluminium"),
        (3.85, 0.90, "aluminium"),
        (0.8, 0.48, "steel"),
        (1.25, 0.51, "steel"),
        (2.05, 0.61, "steel"),
        (3.85, 0.68, "steel"),
    ]
    level = 0.776
    for n, mean, metal in groups:
        lower, _, upper = short_engagement_bounds(n, coverage=0.9)
        assert lower * level < mean < upper * level, (n, metal)
        tally("126 pull-out tests, means of their groups", 1, how="in a 90 % band")


def test_common_practice_of_two_threads_of_m4_in_aluminium():
    # Common practice, no source: two threads of M4 in 6061-T6 bear finger-tight; a full pull on the key strips them.
    # Worst-limit area, shear strength and friction from the tables; the least of nine tests in ten against the hand.
    P, n = 0.7, 2.0
    area = shear_area_internal(n * P, P, 3.838, 3.663)
    shear, mu = material("6061-T6").shear, friction("C")
    lower, _, upper = short_engagement_bounds(n)
    arms = [lever_arm(P, 3.545, m, m, point_radius("cup", 2.0)) / 1000 for m in (mu.low, mu.high)]
    weakest, strongest = (
        strip_load(area, shear.lower) * lower * arms[0],
        strip_load(area, shear.upper) * upper * arms[1],
    )
    assert hand_torque("finger driver").high < weakest
    assert hand_torque("fingers").middle < weakest
    assert hand_torque("full pull").middle > strongest


def test_one_and_a_half_threads_never_hold_the_textbook_load():
    assert short_engagement_factor(1.5) < 0.65
    assert short_engagement_bounds(1.5)[0] < 0.42
    assert "tapped" in NO_TAPPED_TESTS
