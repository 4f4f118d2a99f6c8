"""The plan: sizes and choices with which every finding of a build holds, with the greatest least margin.

Each choice (a screw, say) is tried; for each the sizes come from linear programs on the bounds of the findings, again
where a finding is no straight line in them, are rounded to what a ruler or a caliper has a mark for, and every question
is asked again with them. Where not all can hold, those that stand in the way need only be within their risk. Where that
does not do either, the smallest set of requirements that contradict each other is named, with what relaxing each costs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.errors import InputError
from fitcheck.planning.answers import Answers
from fitcheck.planning.buy_and_cut import to_do
from fitcheck.planning.most_room import contradiction, relaxed_by
from fitcheck.planning.openings import OpenSize
from fitcheck.planning.replaced import with_parts
from fitcheck.planning.search import Outcome, Point, SizeSearch
from fitcheck.questions import Finding, Question, Verdict
from fitcheck.stack import Dimension


@dataclass(frozen=True, slots=True)
class Variant:
    """One way to choose what is no size: the words of the choice by its name, and the questions that it leads to.

    `questions` makes them; it may refuse the choice. What no choice changes is the same question in every variant, so
    that it is asked once.
    """

    chosen: Mapping[str, str]
    questions: Callable[[], tuple[Question, ...]]


@dataclass(frozen=True, slots=True)
class Conflict:
    """A requirement that stands in the way of others.

    finding: with the sizes that miss least. relax: by how much its limit must be relaxed for the plan to work, in the
    inside unit of the finding (mm, N); None if that alone is not enough. alone: whether it cannot be met even if
    nothing else is asked.
    """

    finding: Finding
    relax: float | None
    alone: bool = False

    def __str__(self) -> str:
        f = self.finding
        about = f"{f.question}{f' ({f.name})' if f.name else ''}: {f.requirement_words}"
        if self.relax is None:
            return f"{about}; relaxing it alone is not enough"
        low, high, by = f.requirement.at_least, f.requirement.at_most, f.unit.up(self.relax, f.decimals)
        limits = [] if low is None else [f"at least {f.unit.down(low - self.relax, f.decimals)}"]
        limits += [] if high is None else [f"at most {f.unit.up(high + self.relax, f.decimals)}"]
        return f"{about}; relaxed by {by}, to {' and '.join(limits)}, the rest can be met"


@dataclass(frozen=True, repr=False)
class Plan:
    """What to choose, and what is found with it; or what stands in the way. It prints as advice.

    values: a drawing note for each open size, and the words of each choice, by name. tools: what the sizes are cut
    with, by name. findings: the answers with these values, every question asked again. tightest: the finding with the
    least room, and its room in its inside unit (mm, N). conflicts: what stands in the way; empty where it works.
    refused: variants that make no sense, each with the reason. tried: number of variants. to_do: what to buy and to cut
    for it, a line each.
    """

    values: Mapping[str, str]
    tools: Mapping[str, str]
    findings: tuple[Finding, ...]
    tightest: tuple[Finding, float] | None = None
    conflicts: tuple[Conflict, ...] = ()
    refused: tuple[str, ...] = ()
    tried: int = 1
    to_do: tuple[str, ...] = ()

    @property
    def works(self) -> bool:
        """Whether every finding holds, or at least is likely to."""
        return not self.conflicts and bool(self.findings)

    @property
    def verdict(self) -> Verdict:
        """The worst verdict among the findings."""
        order = list(Verdict)
        return max((f.verdict for f in self.findings), key=order.index, default=Verdict.FAILS)

    def lines(self) -> list[str]:
        """The advice, a line each."""
        if not self.works:
            return self._why_not()
        found = [
            f"{name}: {value}{f' ({self.tools[name]})' if self.tools.get(name) else ''}"
            for name, value in self.values.items()
        ]
        likely = [f for f in self.findings if f.verdict is Verdict.LIKELY]
        count = f"{len(self.findings)} findings" if len(self.findings) > 1 else "The finding"
        if not likely:
            found.append(f"With these every finding holds ({len(self.findings)} asked again).")
        else:
            found.append(f"{count} asked again: {len(self.findings) - len(likely)} hold, {len(likely)} likely:")
            found += [f"  {f.title}" for f in likely]
        if self.tightest is not None:
            finding, room = self.tightest
            found.append(f"Least room is left by {finding.title}: {finding.unit.down(room, finding.decimals)} more.")
        return [*found, *self.to_do, *(f"Left out: {reason}" for reason in self.refused)]

    def _why_not(self) -> list[str]:
        if not self.findings:
            return ["No plan: no choice makes sense.", *(f"  {reason}" for reason in self.refused)]
        many = len(self.conflicts) > 1
        choice = ", ".join(f"{name} = {value}" for name, value in self.values.items())
        stands = "none of these can be met within what is open" if many else "this cannot be met within what is open"
        if not all(one.alone for one in self.conflicts):
            stands = "these requirements contradict each other" if many else "this stands in the way"
        return [
            f"No plan: {stands}{f' (nearest: {choice})' if choice else ''}.",
            *(f"  {one}" for one in self.conflicts),
        ] + [f"Left out: {reason}" for reason in self.refused]

    def __str__(self) -> str:
        return "\n".join(self.lines())

    __repr__ = __str__


def _conflicts(outcome: Outcome, box: Sequence[tuple[float, float]]) -> tuple[Conflict, ...]:
    """What stands in the way: every requirement that cannot be met by itself, or else those that contradict each other.

    outcome: of a search that found no sizes. box: the moves that the ranges leave from its point.
    """
    here = outcome.point
    groups, findings = here.groups, [row.finding for row in here.rows]
    if not outcome.conflict:
        return ()
    alone = [i for i in range(len(groups)) if contradiction([groups[i]], box)]
    if not alone:
        named = [i for i, row in enumerate(here.rows) if row.place in outcome.conflict]
        return tuple(Conflict(findings[i], relaxed_by(groups, i, box)) for i in named or [here.worst])
    found = []
    for i in alone:
        others = [group for j, group in enumerate(groups) if j not in alone]
        found.append(Conflict(findings[i], relaxed_by([*others, groups[i]], len(others), box), alone=True))
    return tuple(found)


def plan_for(
    variants: Iterable[Variant], sizes: Sequence[OpenSize], now: Mapping[str, Dimension] | None = None
) -> Plan:
    """The values of open sizes and choices with which all findings hold, with the greatest least margin.

    The margin of a finding counts in its own spread: half the zone of its worst case. variants: the choices, each with
    its questions. sizes: that are open. now: the parts as they are, by name, to be cut. Raises `InputError` where
    nothing is open.

    >>> from fitcheck.questions import BladeDepth
    >>> from fitcheck.stack import dimension
    >>> slug = dimension(7.0, plus=0.1, name="slug")
    >>> inputs = {"adds": ["64 ± 0.2"], "takes": ["14.5 ± 0.3", slug], "at_least": "41 mm", "at_most": "44 mm"}
    >>> asked = BladeDepth.read(inputs)
    >>> plan_for([Variant({}, lambda: (asked,))], [OpenSize("slug", slug, 5.0, 9.0)]).values
    {'slug': '7 ± 0.1 mm'}
    """
    answers = Answers(list(sizes))
    outcomes: list[tuple[Variant, Outcome]] = []
    refused, tried = [], 0
    for variant in variants:
        tried += 1
        # Where the best one so far works, another is likely to work as well.
        first = max(outcomes, key=lambda one: one[1].rank)[1].point.x if outcomes else None
        try:
            outcomes.append((variant, SizeSearch(answers, variant.questions()).solved(first)))
        except InputError as error:
            refused.append(", ".join([*(f"{k} = {v}" for k, v in variant.chosen.items())]) + f": {error}")
    if not sizes and tried < 2:
        raise InputError("open: nothing is open: a size between two ends, or a list to choose from, is needed")
    if not outcomes:
        return Plan({}, {}, (), refused=tuple(refused), tried=tried)
    variant, best = max(outcomes, key=lambda one: one[1].rank)
    point, conflicts = best.point, _conflicts(best, SizeSearch(answers, ()).box(best.point.x))
    values = {size.name: size.note(float(x)) for size, x in zip(sizes, point.x, strict=True)}
    tools = {size.name: size.tool for size in sizes}
    at = answers.placed(point.x.tolist())
    new = dict(zip((size.part for size in sizes), at, strict=True))
    asked = [with_parts(question, new) for question in variant.questions()]
    # What a tool cuts, and what is a part already; a torque or another input is not cut.
    cut = {s.name: d for s, d in zip(sizes, at, strict=True) if s.tool or (now is not None and s.name in now)}
    return Plan(
        {**values, **variant.chosen},
        tools,
        point.findings,
        _tightest(point),
        conflicts,
        tuple(refused),
        tried,
        () if conflicts else tuple(to_do(asked, cut, now, tools)),
    )


def _tightest(point: Point) -> tuple[Finding, float] | None:
    nought = np.zeros(len(point.x))
    margins = [
        (bound.margin(nought), finding, bound.spread)
        for finding, group in ((row.finding, row.group) for row in point.rows)
        for bound in group
        if not bound.fixed
    ]
    if not margins:
        return None
    margin, finding, spread = min(margins, key=lambda one: one[0])
    return finding, margin * spread
