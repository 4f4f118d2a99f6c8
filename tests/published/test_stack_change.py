"""What to change: allocation of tolerances, the nominal that meets a requirement, tightening one dimension.

Sources: `tests/reference/stack_examples.json`, section `allocation`: K. W. Chase, ADCATS 99-6 (shaft, bearings and
housing; recalled, recomputed there from the Lagrange conditions), closed forms after Spotts; and the exercise of
Budynas and Nisbett, ch. 1 (L02) for the nominal that gives a wanted least gap.
"""

import json
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.errors import InputError
from fitcheck.stack import (
    Cost,
    Normal,
    allocate,
    combine,
    correlated,
    dimension,
    in_proportion,
    response,
    solve_for,
    tighten,
)

REFERENCE = json.loads((Path(__file__).parents[1] / "reference" / "stack_examples.json").read_text())
BY_ID = {case["id"]: case for case in REFERENCE["allocation"]}
LINEAR = {case["id"]: case for case in REFERENCE["linear_stacks"]}

# The chain of shaft, bearings and housing: A, C, G are bought with fixed tolerances.
FIXED = {"A": 0.0015, "C": 0.0025, "G": 0.0025}
FREE = ["B", "D", "E", "F"]
SIZES = {"B": 8.0, "D": 0.4, "E": 7.711, "F": 0.4}
SIGNS = {"A": -1, "B": 1, "C": -1, "D": 1, "E": -1, "F": 1, "G": -1}


def chain(spread="uniform"):
    inputs = BY_ID["A1"]["inputs"]
    half = {**FIXED, **{n: float(t) for n, t in zip(FREE, inputs["original"], strict=True)}}
    made = {n: dimension(SIZES.get(n, 1.0), plus=t, name=n, spread=spread) for n, t in half.items()}
    return combine([(SIGNS[n], made[n]) for n in SIGNS])


def costs():
    inputs = BY_ID["A1"]["inputs"]
    return {n: Cost(float(b), float(k), 1.0) for n, b, k in zip(FREE, inputs["B"], inputs["k"], strict=True)}


def test_cost_of_the_original():
    inputs = BY_ID["A1"]["inputs"]
    spent = sum(c.of(float(t)) for c, t in zip(costs().values(), inputs["original"], strict=True))
    assert spent == pytest.approx(BY_ID["A1"]["computed"]["cost_original"], rel=1e-9)
    assert f"${spent:.2f}" == BY_ID["A1"]["printed"]["cost_original"]


@pytest.mark.parametrize(("case", "by"), [("A1", "worst case"), ("A2", "rss")])
def test_least_cost(case, by):
    found = allocate(chain(), costs(), half_width=0.015, by=by)
    known = BY_ID[case]["computed"]
    assert list(found.tolerances.values()) == pytest.approx(known["t"], rel=1e-8)
    assert found.cost == pytest.approx(known["cost"], rel=1e-9)
    assert found.multiplier == pytest.approx(known["lagrange"], rel=1e-6)
    assert found.optimality < 1e-9
    # Printed $11.07 and $8.06; the optimum of the printed inputs is 11.078 and 8.054.
    assert found.cost == pytest.approx(float(BY_ID[case]["printed"]["cost_optimum"][1:]), abs=0.01)
    reach = found.total.worst_case() if by == "worst case" else found.total.rss()
    assert (reach.max - reach.min) / 2 == pytest.approx(0.015, rel=1e-10)


@pytest.mark.parametrize(("case", "by"), [("A3", "worst case"), ("A4", "rss")])
def test_proportional_scaling(case, by):
    found = in_proportion(chain(), FREE, half_width=0.015, by=by)
    assert list(found.values()) == pytest.approx(BY_ID[case]["computed"]["t"], rel=1e-9)
    for value, printed in zip(found.values(), BY_ID[case]["printed"]["t"], strict=True):
        assert f"{value:.5f}".lstrip("0") == printed


@pytest.mark.parametrize(("by", "key"), [("worst case", "t"), ("rss", "t_rss")])
def test_precision_factor(by, key):
    found = in_proportion(chain(), {n: SIZES[n] ** (1 / 3) for n in FREE}, half_width=0.015, by=by)
    assert list(found.values()) == pytest.approx(BY_ID["A5"]["computed"][key], rel=1e-8)


@pytest.mark.parametrize(("case", "by", "k"), [("A6", "worst case", 2), ("A7", "rss", 2), ("A8", "worst case", 1)])
def test_closed_forms(case, by, k):
    inputs = BY_ID[case]["inputs"]
    law = {f"d{i}": Cost(b, k, inputs.get("A", [0] * 3)[i]) for i, b in enumerate(inputs["B"])}
    total = combine([(1.0, dimension(10.0, plus=0.1, name=name)) for name in law])
    found = allocate(total, law, half_width=inputs["T"], by=by)
    assert found.method == "closed form"
    assert list(found.tolerances.values()) == pytest.approx(BY_ID[case]["computed"]["t"], rel=1e-9)
    assert found.cost == pytest.approx(BY_ID[case]["computed"]["cost"], rel=1e-12)


def test_bounds_are_kept_and_the_rest_is_optimal():
    found = allocate(chain(), costs(), half_width=0.015, by="rss", bounds={"B": (0.001, 0.005), "D": (0.009, 0.02)})
    assert found.tolerances["B"] == pytest.approx(0.005)
    assert found.tolerances["D"] == pytest.approx(0.009)
    assert found.optimality < 1e-9
    assert found.cost > BY_ID["A2"]["computed"]["cost"]


def test_allocation_by_probability_of_normal_members_is_that_of_rss():
    # With every spread normal at 3 sigma, outside 3 sigma of the sum lies 0.0027: the rss target.
    risk = math.erfc(3 / math.sqrt(2))
    found = allocate(chain(Normal(3.0)), costs(), half_width=0.015, by="probability", risk=risk)
    assert list(found.tolerances.values()) == pytest.approx(BY_ID["A2"]["computed"]["t"], rel=1e-3)
    assert found.cost == pytest.approx(BY_ID["A2"]["computed"]["cost"], rel=1e-6)
    low, high = found.total.middle - 0.015, found.total.middle + 0.015
    assert found.total.probability(below=low, above=high) == pytest.approx(risk, rel=1e-4)


def test_allocation_by_probability_of_uniform_members():
    found = allocate(chain(), costs(), half_width=0.015, by="probability", risk=0.001)
    low, high = found.total.middle - 0.015, found.total.middle + 0.015
    assert found.total.probability(below=low, above=high) == pytest.approx(0.001, rel=1e-3)
    assert found.optimality < 1e-2
    # Between the worst case and nothing at all: cheaper than A1.
    assert found.cost < BY_ID["A1"]["computed"]["cost"]


@given(st.lists(st.tuples(st.floats(0.1, 10), st.floats(0.3, 3)), min_size=2, max_size=5), st.integers(0, 4))
@settings(deadline=None, max_examples=30)
def test_no_neighbour_is_cheaper(laws, which):
    law = {f"d{i}": Cost(b, k) for i, (b, k) in enumerate(laws)}
    total = combine([(1.0, dimension(10.0, plus=0.1, name=name)) for name in law])
    found = allocate(total, law, half_width=0.5)
    assert sum(found.tolerances.values()) == pytest.approx(0.5, rel=1e-9)
    names = list(law)
    a, b = names[which % len(names)], names[(which + 1) % len(names)]
    for share in (0.01, -0.01):
        step = share * min(found.tolerances[a], found.tolerances[b])
        near = {**found.tolerances, a: found.tolerances[a] + step, b: found.tolerances[b] - step}
        assert sum(law[n].of(near[n]) for n in law) >= found.cost * (1 - 1e-12)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"half_width": 0.006}, "already take"),
        ({"half_width": -1.0}, "greater than 0"),
        ({"half_width": 0.015, "by": "rsss"}, "did you mean 'rss'"),
        ({"half_width": 0.015, "bounds": {"Z": (1, 2)}}, "Z"),
        ({"half_width": 0.015, "bounds": {"B": (2.0, 1.0)}}, "least"),
        ({"half_width": 0.001, "by": "probability", "risk": 1e-6}, "fixed already exceed the risk of 1e-06"),
    ],
)
def test_an_allocation_that_cannot_be_made(change, words):
    with pytest.raises(InputError, match=words):
        allocate(chain(), costs(), **change)


def test_the_nominal_for_a_least_gap():
    # L02: what mean of d gives w_min = 0.010 in? Printed 6.528 in (tolerance 0.010, the other blocks 0.008).
    made = {d["name"]: dimension(d["nominal"], plus=d["tol_plus"], name=d["name"]) for d in LINEAR["L02"]["dims"]}
    gap = made["d"] - made["a"] - made["b"] - made["c"]
    found = solve_for(gap, made["d"], below=0.010)
    assert f"{found.nominal:.3f} in" == LINEAR["L02"]["printed"]["d_mean_for_wmin_0_010"]
    assert found.possible
    assert found.most == math.inf


def plug_and_port():
    plug, seat, cap = dimension(12.0, plus=0.2, name="plug"), dimension(30.0, plus=0.1), dimension(17.0, plus=0.3)
    return seat - plug - cap, plug


def test_a_window_of_nominals_at_worst_case():
    gap, plug = plug_and_port()
    found = solve_for(gap, plug, below=0.1, above=1.5)
    # 13 - plug ± 0.6 within 0.1 .. 1.5: plug from 12.1 to 12.3.
    assert found[:3] == pytest.approx((12.2, 12.1, 12.3), abs=1e-12)
    assert found.risk == 0


def test_a_window_of_nominals_at_a_risk():
    gap, plug = plug_and_port()
    found = solve_for(gap, plug, below=0.3, above=1.3, risk=0.01)
    for nominal in (found.least, found.most):
        moved = 30.0 - dimension(nominal, plus=0.2) + dimension(0, plus=0.1) - dimension(17.0, plus=0.3)
        assert moved.probability(below=0.3, above=1.3) == pytest.approx(0.01, rel=1e-6)
    assert found.nominal == pytest.approx(12.2, abs=1e-6)
    one_sided = solve_for(gap, plug, below=0.3, risk=0.01)
    assert one_sided.most > found.most - 1e-9
    assert one_sided.risk == pytest.approx(0.01, rel=1e-9)


def test_no_nominal_meets_it():
    gap, plug = plug_and_port()
    found = solve_for(gap, plug, below=0.5, above=1.5)
    assert not found.possible
    assert found.nominal == pytest.approx(12.0)
    assert "0.2 mm too wide" in found.reason
    assert not solve_for(gap, plug, below=0.7, above=1.0, risk=1e-6).possible


def test_the_nominal_of_a_function():
    # A square bar of side s in a round tube of bore 20 ± 0.1: its diagonal must leave 0.2.
    side, bore = dimension(13.0, plus=0.1, name="side"), dimension(20.0, plus=0.1, name="bore")
    room = response(lambda s, D: D - s * math.sqrt(2), s=side, D=bore)
    found = solve_for(room, side, below=0.2, between=(12.0, 15.0))
    assert found.most == pytest.approx(19.7 / math.sqrt(2) - 0.1, abs=1e-5)
    assert found.least == pytest.approx(12.0)
    assert not solve_for(room, side, below=5.0, between=(12.0, 15.0)).possible
    with pytest.raises(InputError, match="between"):
        solve_for(room, side, below=0.2)


def test_nominals_that_are_looked_between():
    gap, plug = plug_and_port()
    # 13 - plug ± 0.6 within 0.1 .. 1.5: plug from 12.1 to 12.3, or from what is allowed.
    assert solve_for(gap, plug, below=0.1, above=1.5, between=(12.25, 14.0))[:3] == pytest.approx((12.275, 12.25, 12.3))
    assert solve_for(gap, plug, below=0.1, between=(11.0, 11.5))[:3] == pytest.approx((11.25, 11.0, 11.5))
    none = solve_for(gap, plug, below=0.1, above=1.5, between=(12.4, 14.0))
    assert not none.possible
    assert "between 12.4 and 14" in none.reason


def test_the_nominal_of_correlated_faces():
    # Without the exact distribution the window comes from samples; for rho = 0 it must be that of the exact one.
    seat, left, right = (
        dimension(30.0, plus=0.1),
        dimension(17.0, plus=0.3, name="l"),
        dimension(12.0, plus=0.2, name="r"),
    )
    exact = solve_for(seat - left - right, right, below=0.3, above=1.3, risk=0.01)
    left, right = correlated([left, right], 0.0)
    found = solve_for(seat - left - right, right, below=0.3, above=1.3, risk=0.01)
    assert found[:3] == pytest.approx(exact[:3], abs=2e-3)
    assert found.risk == pytest.approx(exact.risk, rel=0.05)
    one = solve_for(seat - left - right, right, below=0.3, risk=0.01)
    assert (one.nominal, one.least) == (one.most, -math.inf)
    with pytest.raises(InputError, match=r"risk = 1e-09: .*sampled"):
        solve_for(seat - left - right, right, below=0.3, risk=1e-9)


@pytest.mark.parametrize(("case", "by"), [("A1", "worst case"), ("A2", "rss")])
def test_a_cost_of_another_form(case, by):
    # The same costs as functions go through the solver, and must come to the same tolerances.
    as_functions = {name: law.of for name, law in costs().items()}
    found = allocate(chain(), as_functions, half_width=0.015, by=by)
    assert list(found.tolerances.values()) == pytest.approx(BY_ID[case]["computed"]["t"], rel=1e-6)
    assert found.cost == pytest.approx(BY_ID[case]["computed"]["cost"], rel=1e-9)
    assert found.multiplier == pytest.approx(BY_ID[case]["computed"]["lagrange"], rel=1e-4)
    assert found.optimality < 1e-6


@pytest.mark.parametrize("by", ["worst case", "rss", "probability"])
def test_an_exponential_cost_within_bounds(by):
    # exp(-t / s): at the least cost exp(-t_i / s_i) / s_i is the multiplier times the price of each.
    scale = {"B": 0.004, "D": 0.002, "E": 0.003, "F": 0.002}
    law = {name: (lambda t, s=s: 10 * math.exp(-t / s)) for name, s in scale.items()}
    found = allocate(chain(), law, half_width=0.015, by=by, risk=0.001, bounds={"F": (0.0005, 0.001)})
    assert found.tolerances["F"] == pytest.approx(0.001 if by != "worst case" else found.tolerances["F"])
    assert found.optimality < 1e-5
    t = found.tolerances
    if by != "probability":
        power = 1 if by == "worst case" else 2
        ratio = [math.exp(-t[n] / scale[n]) / scale[n] / t[n] ** (power - 1) for n in ("B", "D", "E")]
        assert ratio == pytest.approx([ratio[0]] * 3, rel=1e-4)
        reach = found.total.worst_case() if power == 1 else found.total.rss()
        assert (reach.max - reach.min) / 2 == pytest.approx(0.015, rel=1e-6)
    else:
        low, high = found.total.middle - 0.015, found.total.middle + 0.015
        assert found.total.probability(below=low, above=high) == pytest.approx(0.001, rel=1e-3)


def test_the_cost_left_out():
    # 1 / t for every dimension: of two equal ones each takes a half.
    a, b, fixed = dimension(1.0, plus=0.3, name="a"), dimension(1.0, plus=0.1, name="b"), dimension(1.0, name="c")
    assert allocate(a + b + fixed, half_width=0.5).tolerances == pytest.approx({"a": 0.25, "b": 0.25})


def test_tightening_one_dimension():
    gap, _ = plug_and_port()
    rows = {row.name: row for row in tighten(gap, below=0.55)}
    # Worst case 1.0 - 0.6 = 0.4; 0.15 is missing: the plug from 0.2 to 0.05.
    assert rows["plug"].plus == pytest.approx(0.05, abs=1e-9)
    assert rows["plug"].share == pytest.approx(0.25, abs=1e-9)
    assert all(row.share == 1.0 for row in tighten(gap, below=0.3))
    at_risk = {row.name: row for row in tighten(gap, below=0.55, risk=0.001)}
    assert at_risk["plug"].share is None or at_risk["plug"].share > rows["plug"].share
    with pytest.raises(InputError, match="not a member"):
        solve_for(gap, dimension(1.0, name="slug"), below=0.0)


def test_a_tolerance_with_unequal_sides_is_tightened_on_both():
    # Up to 15.3 as drawn, 0.15 too much: a from +0.2 to +0.05, a quarter, and so its other side.
    a, b = dimension(10.0, plus=0.2, minus=0.1, name="a"), dimension(5.0, plus=0.1, name="b")
    row = tighten(a + b, above=15.15)[0]
    assert row == ("a", pytest.approx(0.25), pytest.approx(0.05), pytest.approx(0.025))


def test_a_tolerance_that_must_go_whole_is_a_share_of_nothing_and_one_that_is_too_small_none():
    """Of 15 ± 0.375, each of numbers that are whole in binary, 0.25 is too much, and more than 0.25 too little."""
    total = dimension(10.0, plus=0.25, name="a") + dimension(5.0, plus=0.125, name="b")
    shares = [{row.name: row.share for row in tighten(total, above=15 + most)} for most in (0.25, 0.24)]
    assert shares[0] == {"a": pytest.approx(0.5), "b": 0.0}
    assert shares[1] == {"a": pytest.approx(0.46), "b": None}


def test_rss_of_correlated_tolerances_is_their_three_sigma_zone():
    parts = [dimension(n, plus=0.3, spread="normal", name=name) for name, n in (("a", 10.0), ("b", 5.0))]
    a, b = correlated(parts, 0.9)
    c = dimension(3.0, plus=0.1, spread="normal", name="c")
    for total in (a + b, a - b, 2 * a + b - c):
        assert total.rss().max - total.middle == pytest.approx(3 * total.exact().std, rel=1e-12)
    # 0.3² (1 + 1 + 2 · 0.9)
    assert (a + b).rss().max == pytest.approx(15 + 0.3 * math.sqrt(3.8), rel=1e-12)
    made = allocate(a + b, half_width=0.4, by="rss")
    assert made.tolerances == pytest.approx(dict.fromkeys("ab", 0.4 / math.sqrt(3.8)), rel=1e-6)
    middle = made.total.middle
    assert made.total.probability(below=middle - 0.4, above=middle + 0.4) == pytest.approx(0.0027, rel=1e-3)
    # With a fixed tolerance among them, and in proportion.
    share = in_proportion(a + b + c, ["a", "b"], half_width=0.4, by="rss")
    assert share == pytest.approx(dict.fromkeys("ab", math.sqrt((0.16 - 0.01) / 3.8)), rel=1e-9)
    assert allocate(a + b + c, dict.fromkeys("ab", Cost(1.0)), half_width=0.4, by="rss").tolerances == pytest.approx(
        share, rel=1e-6
    )
    with pytest.raises(InputError, match="already exceed"):
        in_proportion(a + b + c, ["c"], half_width=0.4, by="rss")


@pytest.mark.parametrize(
    ("spread", "below", "above", "lacking"),
    [
        # The sum of two uniform ones of ± 0.3 leaves 0.001 outside ± (0.6 - 0.6 sqrt(0.001)).
        ("uniform", 4.42, 5.58, 2 * (0.6 - 0.6 * math.sqrt(0.001)) - 1.16),
        # 2 · 3.2905 standard deviations of 0.1 sqrt(2), the normal quantile of 0.0005.
        ("normal", 4.6, 5.4, 2 * 3.2905267 * 0.1 * math.sqrt(2) - 0.8),
    ],
)
def test_what_the_limits_lack_is_said_for_both_together(spread, below, above, lacking):
    a, b = dimension(10.0, plus=0.3, spread=spread, name="a"), dimension(5.0, plus=0.3, spread=spread, name="b")
    found = solve_for(a - b, a, below=below, above=above, risk=0.001)
    assert not found.possible
    assert f"is {lacking:.4g} mm too wide" in found.reason
    assert found.nominal == pytest.approx(10.0, abs=1e-6)
    # With so much more between the limits there is a nominal.
    more = lacking / 2 * 1.001
    assert solve_for(a - b, a, below=below - more, above=above + more, risk=0.001).possible


def test_a_risk_beyond_the_last_digit_of_one_is_met():
    a, b = dimension(10.0, plus=0.3, name="a"), dimension(5.0, plus=0.3, spread="normal", name="b")
    nominals = [solve_for(a - b, a, below=4.0, risk=risk).nominal for risk in (1e-6, 1e-12, 1e-17, 1e-300, 1e-310)]
    assert nominals == sorted(nominals)
    # One limit above is the mirror image.
    assert solve_for(b - a, a, above=-4.0, risk=1e-17).nominal == pytest.approx(nominals[2], rel=1e-12)
    assert solve_for(a + 0.0, a, below=4.0, risk=1e-300).nominal == pytest.approx(4.3, abs=1e-9)


GREATEST = {"B": (0.001, 0.004), "D": (0.0005, 0.001), "E": (0.001, 0.002), "F": (0.0005, 0.001)}


@pytest.mark.parametrize("as_functions", [False, True])
def test_more_room_than_the_bounds_can_use_is_left_over(as_functions):
    # The fixed tolerances take 0.0065 and the greatest ones 0.008 of 0.02: nothing is gained by less of any.
    law = {name: one.of if as_functions else one for name, one in costs().items()}
    found = allocate(chain(), law, half_width=0.02, by="worst case", bounds=GREATEST)
    assert found.tolerances == pytest.approx({name: high for name, (_, high) in GREATEST.items()}, rel=1e-6)
    assert found.cost == pytest.approx(sum(costs()[name].of(high) for name, (_, high) in GREATEST.items()), rel=1e-6)
    assert found.total.worst_case().max - found.total.middle < 0.02


def test_the_unit_of_a_coefficient_does_not_matter():
    # A sum in which everything counts a thousandth, as of strains, leaves the same tolerances to be found.
    law = {"a": Cost(1.0, 1.0), "b": Cost(2.0, 0.5), "c": Cost(0.5, 2.0)}
    parts = [dimension(10.0, plus=0.1, name=name) for name in law]
    whole = allocate(combine([(1.0, d) for d in parts]), law, half_width=0.3)
    small = allocate(combine([(1e-3, d) for d in parts]), law, half_width=0.3e-3)
    assert small.tolerances == pytest.approx(whole.tolerances, rel=1e-9)
    assert sum(small.tolerances.values()) == pytest.approx(0.3, rel=1e-9)
    # To loosen the limit of the sum by as much is worth a thousand times less tolerance.
    assert small.multiplier == pytest.approx(1000 * whole.multiplier, rel=1e-6)
    large = allocate(combine([(1.0, d) for d in parts]), law, half_width=3000.0)
    assert sum(large.tolerances.values()) == pytest.approx(3000.0, rel=1e-9)
    assert large.optimality < 1e-9


def test_tolerances_that_vary_together_and_are_bought_can_take_all_the_room():
    pair = [dimension(size, plus=0.1, name=name, spread=Normal(3.0)) for size, name in ((10.0, "a"), (5.0, "b"))]
    bought = correlated(pair, 0.5)
    total = bought[0] + bought[1] + dimension(2.0, plus=0.1, name="c")
    # a and b alone: sqrt(0.1² + 0.1² + 0.1²) = 0.173
    with pytest.raises(InputError, match=r"half_width = 0.17: the tolerances that are fixed already exceed it"):
        allocate(total, {"c": Cost(1.0)}, half_width=0.17, by="rss")
    left = allocate(total, {"c": Cost(1.0)}, half_width=0.2, by="rss").tolerances["c"]
    assert left == pytest.approx(math.sqrt(0.2**2 - 0.03), rel=1e-6)
    with pytest.raises(InputError, match=r"the least tolerances allowed already exceed it"):
        allocate(total, {"c": Cost(1.0)}, half_width=0.2, by="rss", bounds={"c": (0.11, 0.2)})


def test_a_window_narrower_than_the_first_look_is_found():
    # |d - 3.01| ± 0.001 at most 0.005: between 0 and 32 no whole number of millimetres is within it.
    part = dimension(3.0, plus=0.001, name="d")
    miss = response(lambda d: np.abs(d - 3.01), d=part)
    found = solve_for(miss, part, above=0.005, between=(0.0, 32.0))
    assert found[:3] == pytest.approx((3.01, 3.006, 3.014), abs=1e-6)
    # Its own tolerance is more than 0.0009: missed by a hair is missed.
    assert solve_for(miss, part, above=0.0009, between=(0.0, 32.0))[:3] == (pytest.approx(3.01, abs=1e-4), None, None)
    with pytest.raises(InputError, match=r"between = \(3, 3\): the first nominal must lie below"):
        solve_for(miss, part, above=0.005, between=(3.0, 3.0))


def test_a_window_is_followed_to_both_ends_from_its_middle():
    # (d - 16)² at most 25: from 11 to 21, a tolerance of 0.25 within.
    part = dimension(16.0, plus=0.25, name="d")
    found = solve_for(response(lambda d: (d - 16.0) ** 2, d=part), part, above=25.0, between=(0.0, 32.0))
    assert found[:3] == pytest.approx((16.0, 11.25, 20.75), abs=1e-6)
