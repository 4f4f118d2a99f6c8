"""The sizes that a plan finds: off every mark, on functions that bend, and where a question refuses some of them."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from plan_inputs import BLADE, sheet_of

import fitcheck as fc
from fitcheck.errors import InputError
from fitcheck.planning import OpenSize
from fitcheck.planning.bounds import Bound
from fitcheck.planning.most_room import contradiction, relaxed_by
from fitcheck.planning.plan import Variant, plan_for
from fitcheck.questions import Question, Verdict
from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.judge import judge
from fitcheck.questions.question import given
from fitcheck.questions.readers import Toleranced
from fitcheck.stack import Dimension, Response


@pytest.mark.parametrize(("limit", "end"), [('at_most = "37.5 mm"', 8.0), ('at_least = "60 mm"', 5.0)])
def test_however_fine_the_parts_are_the_end_that_misses_least_is_named(limit, end, tmp_path):
    fine = BLADE.replace("± 0.2", "± 0.00001").replace("± 0.3", "± 0.00001").replace("8.0 ± 0.1", "7.0 ± 0.00001")
    plan = fc.plan(sheet_of(tmp_path, fine + limit + "\n"))
    assert not plan.works
    assert fc.dim(plan.values["slug"]).nominal == end
    assert not plan.tighter  # no tolerance makes up for what the range lacks


def test_a_size_that_no_mark_holds_with_is_put_on_one_that_is_likely(tmp_path):
    # 46.5 - slug ± 0.6 within the limits: slug from 6.4493 to 6.4497
    text = BLADE + 'at_least = "39.4503 mm"\nat_most = "40.6507 mm"\n'
    plan = fc.plan(sheet_of(tmp_path, text))
    assert plan.values == {"slug": "6.45 ± 0.1 mm"}
    assert plan.verdict is Verdict.LIKELY
    # Between the marks every part would do, but nobody can cut to it.
    between = fc.load(sheet_of(tmp_path, text.replace("8.0 ± 0.1", "6.4495 ± 0.1"))).findings()
    assert [one.verdict for one in between] == [Verdict.HOLDS]


def test_a_range_without_a_mark_in_it_is_kept_to(tmp_path):
    text = BLADE.replace("5.0 .. 8.0", "6.0002 .. 6.0008") + 'at_least = "39 mm"\nat_most = "42 mm"\n'
    plan = fc.plan(sheet_of(tmp_path, text))
    assert plan.verdict is Verdict.HOLDS
    assert 6.0002 <= fc.dim(plan.values["slug"]).nominal <= 6.0008


PLUG = """[parts]
floor = "118 ± 0.2"
port = "9 ± 0.1"
carrier = "91 ± 0.15"
bought = "{bought} ± 0.2"
[open]
carrier = "90 .. 94"
[plug_length]
travel = "4 ± 0.1"
seat = "9 ± 0.1"
adds = ["floor"]
takes = ["carrier", "port"]
bought = "bought"
kerf = "1 mm"
"""


def test_a_part_is_planned_beside_a_length_that_its_question_chooses(tmp_path):
    # The middle between contact and cap stands 6.6 mm over the room of 109 - carrier; bought less the kerf must do.
    plan = fc.plan(sheet_of(tmp_path, PLUG.format(bought=24.6)))
    assert plan.verdict is Verdict.HOLDS
    carrier = fc.dim(plan.values["carrier"])
    assert 109 - carrier.nominal + 6.6 < 24.6 - 1
    again = PLUG.format(bought=24.6).replace("91 ± 0.15", str(carrier))
    assert [one.verdict for one in fc.load(sheet_of(tmp_path, again)).findings()] == [Verdict.HOLDS] * 2
    # One that is too short for the least room of the range stands in the way.
    plan = fc.plan(sheet_of(tmp_path, PLUG.format(bought=20)))
    assert [one.finding.quantity for one in plan.conflicts] == ["length of the plug as bought over what is needed"]
    assert fc.dim(plan.values["carrier"]).nominal == 94


def test_a_contradiction_of_four_is_found_and_what_each_of_them_costs():
    def bound(rates, least, most=np.inf):
        return [Bound(np.array(rates, dtype=float), least, most, 1.0)]

    # No size above 1, all together 3.5, and two bounds of no consequence.
    groups = [bound([1, -1, 0], -9), bound([-1, 0, 0], -1), bound([0, -1, 0], -1), bound([0, 0, -1], -1)]
    groups += [bound([1, 1, 1], 3.5), bound([0, 1, 1], -9)]
    box = [(0.0, 3.0)] * 3
    assert contradiction(groups, box) == (1, 2, 3, 4)
    assert [relaxed_by(groups, i, box) for i in (1, 2, 3, 4)] == pytest.approx([0.5] * 4)
    assert relaxed_by(groups, 0, box) is None
    # Of what fails by nobody knows how much, no limit is wide enough.
    assert relaxed_by([*groups[:4], bound([0, 0, 0], np.inf)], 4, box) is None


SHAPES: dict[str, Callable[..., Any]] = {
    "hill": lambda a, b: 10 - (a - 6) ** 2 - (b - 5) ** 2,
    "roof": lambda a, b: np.minimum(a, 12 - 2 * a) + 0.1 * b,
    "ridge": lambda a, b: 0.2 * a - np.abs(a - b),
    "area": lambda a, b: a * b,
    "saddle": lambda a, b: (a - 6) * (b - 6),
}


def asked_of(limits, most_a=np.inf, most_b=np.inf):
    """A kind of question on functions of two sizes, each with its limits; it refuses sizes that are too large."""

    @dataclass(frozen=True, kw_only=True, repr=False)
    class Shape(Question):
        a: Dimension = given(Toleranced(), "one size")
        b: Dimension = given(Toleranced(), "another")

        def findings(self) -> tuple[Finding, ...]:
            if self.a.nominal > most_a or self.b.nominal > most_b:
                raise InputError(f"a = {self.a}, b = {self.b}: too large")
            return tuple(
                judge(
                    self,
                    Response(SHAPES[shape], {"a": self.a, "b": self.b}, name=shape),
                    Requirement(at_least=low, at_most=high),
                    label=shape,
                    answer=shape,
                )
                for shape, low, high in limits
            )

    return Shape


def shape_plan(limits, a, b, tolerance, **most):
    sizes = [fc.dim(f"{sum(ends) / 2} ± {tolerance}", name=name) for name, ends in (("a", a), ("b", b))]
    kind = asked_of(limits, **most)
    asked = kind(a=sizes[0], b=sizes[1])
    opened = [OpenSize(d.name, d, *ends) for d, ends in zip(sizes, (a, b), strict=True)]
    return plan_for([Variant({}, lambda: (asked,))], opened), kind


@pytest.mark.parametrize(
    ("limits", "a", "b", "tolerance", "most"),
    [
        ([("hill", -0.05, 3.95)], (2, 6.5), (5, 10), 0.1, {}),
        pytest.param([("roof", 1.18, 1.68)], (5, 6.5), (2, 10), 0.05, {}, marks=pytest.mark.long),
        ([("ridge", -5.21, -1.21), ("area", 20.14, 24.14)], (4, 6.5), (2, 6), 0.05, {}),
        ([("saddle", -0.42, 0.08)], (5, 8), (4, 10), 0.1, {"most_a": 5.93, "most_b": 8.99}),
        ([("ridge", -1.4161, -0.5657)], (2, 8), (4, 6), 0.05, {"most_a": 5.22, "most_b": 4.35}),
        ([("saddle", 0.1139, 0.5267)], (5, 8), (5, 6), 0.1, {}),
        ([("hill", 9.9, 10.4), ("roof", 0.1, 0.3)], (5, 6.5), (4, 6), 0.02, {"most_b": 4.8}),
        ([("saddle", 0.45, 1.95)], (5, 6.5), (2, 10), 0.01, {"most_a": 5.7}),
    ],
)
def test_what_holds_somewhere_is_found_where_functions_bend_and_sizes_are_refused(limits, a, b, tolerance, most):
    plan, kind = shape_plan(limits, a, b, tolerance, **most)
    assert plan.works
    found = {name: fc.dim(note, name=name) for name, note in plan.values.items()}
    assert a[0] <= found["a"].nominal <= a[1]
    assert b[0] <= found["b"].nominal <= b[1]
    again = kind(**found).findings()
    assert [one.verdict for one in again] == [one.verdict for one in plan.findings]
    assert Verdict.FAILS not in {one.verdict for one in again}
    if plan.verdict is Verdict.HOLDS:
        finding, room = plan.tightest
        (low, high), need = finding.worst_case, finding.requirement
        left = [low - need.at_least] * (need.at_least is not None) + [need.at_most - high] * (need.at_most is not None)
        assert room >= max(0, min(left) - 1e-6), "no less than at worst case"


def test_where_no_size_holds_what_stands_in_the_way_is_named():
    # The top of the hill is 10.
    plan, _ = shape_plan([("hill", 10.1, None), ("roof", 0.1, None)], (5, 6.5), (4, 6), 0.02, most_b=4.8)
    assert not plan.works
    (conflict,) = plan.conflicts
    assert conflict.finding.quantity == "hill"
    assert conflict.finding.verdict is Verdict.FAILS
    assert fc.dim(plan.values["b"]).nominal <= 4.8


def test_sizes_that_a_question_refuses_all_over_the_range_give_its_reason():
    plan, _ = shape_plan([("area", 4, None)], (5, 8), (4, 6), 0.1, most_a=4.0)
    assert not plan.works
    assert "a = 6.5 ± 0.1 mm, b = 5 ± 0.1 mm: too large" in str(plan)


@dataclass(frozen=True, kw_only=True, repr=False)
class TwoLimits(Question):
    """A length between two limits, each of them a finding of its own."""

    a: Dimension = given(Toleranced(), "one length")
    b: Dimension = given(Toleranced(), "another")

    def findings(self) -> tuple[Finding, ...]:
        limits = (Requirement(at_least=15.8), Requirement(at_most=16.2))
        return tuple(judge(self, self.a + self.b, one, label=one.words(self.a.unit), answer="") for one in limits)


@pytest.mark.parametrize(("tolerance", "holds"), [("0.3", False), ("0.1", True), ("0.11", False)])
def test_two_limits_on_one_length_give_a_tolerance_as_wide_as_one_finding_with_both(tolerance, holds):
    """a ± 0.1 leaves b ± 0.1 of the ± 0.2 between the limits."""
    a, b = fc.dim("6 ± 0.1", name="a"), fc.dim(f"10 ± {tolerance}", name="b")
    plan = plan_for([Variant({}, lambda: (TwoLimits(a=a, b=b),))], [OpenSize("a", a, 5, 7)])
    assert (plan.verdict is Verdict.HOLDS) is holds
    told = {now.name: then.half_width for one in plan.tighter for now, then in one.alone}
    assert told.get("b") == (None if holds else pytest.approx(0.1))
