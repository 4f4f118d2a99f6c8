"""A spread that nobody stated is uniform over the zone, and every result that rests on it says so."""

import dataclasses

import numpy as np
import pytest

import fitcheck as fc
from fitcheck.stack import (
    Required,
    Uniform,
    allocate,
    any_fails,
    as_built,
    correlated,
    dimension,
    inspected,
    measured,
    response,
    solve_for,
)

BOUGHT = fc.dim("10 ± 0.1", name="bought")
STATED = fc.dim("4 ± 0.2, uniform", name="stated")
WORDS = "spread assumed uniform, as none is stated: bought"


@pytest.mark.parametrize(
    "made",
    [
        dimension(10.0, plus=0.1),
        fc.dim("10 ± 0.1"),
        fc.dim("25 H7"),
        fc.dim(10.0, plus=0.1),
        fc.dim("9.9 .. 10.1"),
        fc.Dimension(10.0, 9.9, 10.1),
        correlated([BOUGHT, STATED], 0.5)[0],
        dataclasses.replace(BOUGHT, nominal=10.05),
        dimension(3.0, plus=0.1, spread=BOUGHT.spread),
    ],
)
def test_an_unstated_spread_is_known_to_be_assumed(made):
    assert made.assumed == (made,)
    assert "uniform (assumed)" in repr(made)
    assert isinstance(made.spread, Uniform)


@pytest.mark.parametrize(
    "made",
    [
        dimension(10.0, plus=0.1, spread="uniform"),
        dimension(10.0, plus=0.1, spread=Uniform()),
        fc.dim("10 ± 0.1, uniform"),
        fc.dim("10 ± 0.1", spread="normal"),
        fc.dim("12.43 measured ± 0.02"),
        fc.dim(10.0, plus=0.1, spread="triangular"),
        measured(10.0, 0.1),
        as_built(BOUGHT, 10.02, 0.01),
        inspected([9.9, 10.0, 10.1]),
        fc.dim("10"),
    ],
)
def test_a_stated_spread_is_not(made):
    assert made.assumed == ()
    assert "assumed" not in repr(made)


def test_the_results_of_a_sum_say_so():
    total = BOUGHT - STATED
    assert total.assumed == (BOUGHT,)
    assert repr(total).endswith("; 1 of 2 spreads assumed uniform>")
    assert repr(BOUGHT + 1.0).endswith("; spread assumed uniform>")
    assert repr(BOUGHT + fc.dim("3 ± 1")).endswith("; all spreads assumed uniform>")
    assert repr(BOUGHT + fc.dim("3")).endswith("13.10 mm; spread assumed uniform>")
    assert "assumed" not in repr(STATED + 1.0)
    assert total.probability(below=5.8).reason == f"a sum of independent dimensions; {WORDS}"
    assert STATED.probability(below=3.9).reason == "one dimension"
    assert solve_for(total, STATED, below=5.7, risk=0.01).reason == f"risk of 0.01; {WORDS}"
    assert solve_for(total, STATED, below=5.7).reason == "worst case"
    assert allocate(total, half_width=0.2, by="probability").method.endswith(WORDS)
    many = sum(fc.dim("1 ± 0.1", name=f"d{i}") for i in range(9)).probability(above=9.5)
    assert many.reason.endswith("d0, d1, d2, d3 and 5 more")


@pytest.mark.parametrize("method", ["auto", "sampling", "design point"])
def test_the_results_of_a_function_say_so(method):
    area = response(lambda a, b: a * b, name="area", a=BOUGHT, b=STATED)
    assert area.assumed == (BOUGHT,)
    assert repr(area) == "<area: 40.00, worst case 37.62 to 42.42; 1 of 2 spreads assumed uniform>"
    assert area.probability(above=42.0, method=method).reason.endswith(WORDS)
    assert area.moments().method.endswith(WORDS)
    # What holds at worst case holds for any spread.
    assert "assumed" not in area.probability(above=43.0).reason
    both = any_fails([Required(area, above=42.0), Required(BOUGHT, below=9.95)], method=method)
    assert both.reason.endswith(WORDS)
    alone = response(lambda a: np.sqrt(a), name="root", a=STATED)
    assert "assumed" not in repr(alone) + alone.probability(above=2.0).reason


def test_a_limit_on_the_other_side_of_the_nominal_is_shown_with_its_sign():
    assert str(fc.dim("25 g6")) == "25 -0.007/-0.02 mm"
    assert str(dimension(10.0, plus=0.2, minus=-0.1)) == "10 +0.2/+0.1 mm"
    assert str(dimension(10.0, plus=0.1, minus=0.0)) == "10 +0.1/-0 mm"
    assert str(dimension(10.0, plus=0.1, minus=0.05)) == "10 +0.1/-0.05 mm"
