"""Effective degrees of freedom, coverage factors and the comparison of intervals.

Sources: JCGM 100:2008, H.1 (end gauge: u_c = 32 nm, 16.7 effective degrees, t99(16) = 2.92) and table G.2; JCGM
101:2008, 7.9.2 (numerical tolerance: 0.00035 with two digits gives 0.000005, with one 0.00005); from memory.
"""

import math

import pytest

from fitcheck.errors import InputError
from fitcheck.stack import compare_intervals, coverage_factor, dimension, effective_degrees_of_freedom


def test_end_gauge(tally):
    degrees = effective_degrees_of_freedom([25.0, 9.7, 2.9, 16.6], [18, 25.6, 50, 2])
    assert degrees == pytest.approx(16.7, abs=0.1)
    assert f"{coverage_factor(0.99, math.floor(degrees)):.2f}" == "2.92"
    tally("JCGM 100, degrees of freedom and coverage factors", 2, how="as remembered")


@pytest.mark.parametrize(
    ("confidence", "degrees", "printed"),
    [
        (0.95, 1, "12.71"), (0.95, 2, "4.30"), (0.95, 10, "2.23"), (0.95, 50, "2.01"), (0.95, math.inf, "1.96"),
        (0.99, 5, "4.03"), (0.9973, math.inf, "3.00"),
    ],
)  # fmt: skip
def test_coverage_factors_of_table_g2(confidence, degrees, printed, tally):
    assert f"{coverage_factor(confidence, degrees):.2f}" == printed
    tally("JCGM 100, degrees of freedom and coverage factors", 1, how="as remembered")


def test_laws_of_the_effective_degrees():
    assert effective_degrees_of_freedom([3.0], [7]) == pytest.approx(7)
    assert effective_degrees_of_freedom([1.0] * 5, [4] * 5) == pytest.approx(20)
    assert effective_degrees_of_freedom([1.0, 2.0], [math.inf, math.inf]) == math.inf
    assert effective_degrees_of_freedom([0.0, 2.0], [3, math.inf]) == math.inf
    for bad in (([1.0], [1, 2]), ([0.0], [1]), ([-1.0], [1]), ([1.0], [0])):
        with pytest.raises(InputError):
            effective_degrees_of_freedom(*bad)


@pytest.mark.parametrize(("u", "digits", "tolerance"), [(0.00035, 2, 5e-6), (0.00035, 1, 5e-5), (0.99996, 2, 0.05)])
def test_numerical_tolerance(u, digits, tolerance):
    assert compare_intervals((0, 1), (0, 1), u, digits=digits).tolerance == pytest.approx(tolerance)


def test_four_rectangular_inputs_against_their_exact_sum():
    # JCGM 101:2008, 9.2.3: four rectangular inputs of standard deviation 1; u = 2, printed ± 3.88 against ± 3.92.
    total = sum(
        (dimension(0.0, plus=math.sqrt(3), spread="uniform") for _ in range(3)), dimension(0.0, plus=math.sqrt(3))
    )
    exact = total.interval(0.95)
    assert f"{exact.max:.2f}" == "3.88"
    k = coverage_factor(0.95)
    found = compare_intervals((-2 * k, 2 * k), exact, 2.0, digits=2)
    assert (found.tolerance, found.agrees) == (pytest.approx(0.05), True)
    assert not compare_intervals((-2 * k, 2 * k), exact, 2.0, digits=3).agrees
    with pytest.raises(InputError):
        compare_intervals((1, 0), (0, 1), 1.0)
