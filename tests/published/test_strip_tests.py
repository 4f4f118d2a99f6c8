"""The short-thread model against published pull-out tests: `tests/reference/strip_tests.csv` (sources in its rows).

The shear areas are of the worst limits of class 2A/2B (tests/reference/unified_limits.csv; 5/16-18 from ASME B1.1, from
memory), the strength is 0.6 times the stated minimum tensile strength. `pytest -s` prints the ratio table.
"""

import csv
import itertools
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import least_squares

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


@pytest.fixture(scope="module")
def fitted_rows(tests):
    return [row for row in tests if row["id"] not in SCREW_LIMITED]


def test_rows_left_out_as_limited_by_the_screw_level_off(tests):
    # Evidence for leaving them out: the wall grows by 25 to 67 % and the load by less than 1 %.
    ratio = {row["id"]: row["limits"] * row["n"] for row in tests}  # proportional to the load at equal strength
    assert max(ratio[i] for i in ("EA15", "EA16", "EA17")) < 1.01 * min(ratio[i] for i in ("EA15", "EA16", "EA17"))
    assert ratio["IT45"] == pytest.approx(ratio["IT44"], rel=1e-3)
    assert ratio["IT44"] > 1.25 * ratio["IT43"]  # below the limit the load still grew with the wall


def test_coefficients_are_those_of_a_refit(fitted_rows):
    n = np.array([row["n"] for row in fitted_rows])
    y = np.log([row["limits"] for row in fitted_rows])
    assert len(n) == 34
    # The floor makes the cost kinked, so several starts are tried and the best kept.
    fits = [
        least_squares(lambda p: y - np.log(np.maximum(1 - p[0] / n, p[1])), [a, b], bounds=([0.01, 0.05], [2, 0.95]))
        for a in (0.3, 0.5, 0.7, 0.9)
        for b in (0.25, 0.4, 0.5, 0.6)
    ]
    best = min(fits, key=lambda fit: fit.cost)
    freedom = len(n) - 2
    scatter = np.sqrt(2 * best.cost / freedom)
    error = scatter * np.sqrt(np.diag(np.linalg.inv(best.jac.T @ best.jac)))
    model = short_model()
    assert (model.loss.value, model.floor.value) == pytest.approx(best.x, abs=0.001)
    assert (model.loss.error, model.floor.error) == pytest.approx(error, abs=0.001)
    assert model.scatter.value == pytest.approx(scatter, abs=0.001)
    assert model.scatter.error == pytest.approx(scatter / np.sqrt(2 * freedom), abs=0.001)


def test_levels_are_the_geometric_means_of_test_over_model(fitted_rows):
    model = short_model()
    g = short_engagement_factor(np.array([row["n"] for row in fitted_rows]))
    for sizes in ("limits", "mean", "basic"):
        residual = np.log([row[sizes] for row in fitted_rows]) - np.log(g)
        level = np.exp(residual.mean())
        assert model.level_for(sizes).error == pytest.approx(level * residual.std(ddof=1) / np.sqrt(34), abs=0.001)
        if sizes == "limits":  # held at 1, because the free fit does not differ from 1
            assert abs(level - 1) < model.level_for(sizes).error
        else:
            assert model.level_for(sizes).value == pytest.approx(level, abs=0.001)


def test_at_least_eight_of_ten_tests_lie_within_the_stated_spread(fitted_rows):
    n = np.array([row["n"] for row in fitted_rows])
    ratio = np.array([row["limits"] for row in fitted_rows])
    lower, _, upper = short_engagement_bounds(n, coverage=0.9)
    inside = (lower <= ratio) & (ratio <= upper)
    assert inside.mean() >= 0.8
    # The spread must not be so wide that the statement says nothing: at 0.5 coverage about half may lie outside.
    lower, _, upper = short_engagement_bounds(n, coverage=0.5)
    assert 0.25 <= ((lower <= ratio) & (ratio <= upper)).mean() <= 0.75


def _span(values) -> str:
    return f"{values.mean():.2f} ({values.min():.2f}-{values.max():.2f})"


def test_ratio_table_by_threads_in_the_wall(fitted_rows):
    edges = [0, 1.5, 2.6, 4, 8]
    n = np.array([row["n"] for row in fitted_rows])
    ratio = np.array([row["limits"] for row in fitted_rows])
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


def test_group_means_of_the_126_tests(tests):
    # Means of 126 tests of five makers' tables (basic areas); strip_tests.csv holds those that are kept here. The
    # model, at its level for
    # basic sizes, must meet each mean within the 90 % band of one test.
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
    level = short_model().level_for("basic").value
    for n, mean, metal in groups:
        lower, _, upper = short_engagement_bounds(n, coverage=0.9)
        assert lower * level < mean < upper * level, (n, metal)


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
