"""The plan: sizes and choices with which every finding of a build holds, with the greatest least margin.

Each choice (a screw, say) is tried; for each the sizes come from linear programs on the bounds of the findings, again
where a finding is no straight line in them, are rounded to what a ruler or a caliper has a mark for, and every question
is asked again with them. Where not all can hold, those that stand in the way need only be within their risk. Of choices
that do as well one with screws that a standard has is taken. Where none does, the smallest set of requirements that
contradict each other is named, with what relaxing each costs.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.errors import InputError
from fitcheck.planning.answers import Answers
from fitcheck.planning.buy_and_cut import is_standard, to_do
from fitcheck.planning.conflicts import Conflict, conflicts_of
from fitcheck.planning.openings import OpenSize
from fitcheck.planning.replaced import with_parts
from fitcheck.planning.search import Outcome, Point, SizeSearch
from fitcheck.planning.tolerances import TighterTolerances, tighter_tolerances
from fitcheck.questions import Finding, Question, SetScrew, Verdict
from fitcheck.questions.moves import Effect
from fitcheck.shown import Shown
from fitcheck.stack import Dimension


@dataclass(frozen=True, slots=True, repr=False)
class Variant(Shown):
    """One way to choose what is no size: the words of the choice by its name, and the questions that it leads to.

    `questions` makes them; it may refuse the choice. What no choice changes is the same question in every variant, so
    that it is asked once.
    """

    chosen: Mapping[str, str]
    questions: Callable[[], tuple[Question, ...]]


@dataclass(frozen=True, repr=False)
class Plan(Shown):
    """What to choose, and what is found with it; or what stands in the way. It prints as advice.

    values: a drawing note for each open size, and the words of each choice, by name. tools: what the sizes are cut
    with, by name. findings: the answers with these values, every question asked again. tightest: the finding with the
    least room, and its room in its inside unit (mm, N). conflicts: what stands in the way; empty where it works.
    refused: variants that make no sense, each with the reason. tried: number of variants. to_do: what to buy and to cut
    for it, a line each. tighter: the tolerances with which what does not hold would, set by set of requirements.
    drivers: what a torque driver, which scatters less than a hand, would make hold, a line each.
    """

    values: Mapping[str, str]
    tools: Mapping[str, str]
    findings: tuple[Finding, ...]
    tightest: tuple[Finding, float] | None = None
    conflicts: tuple[Conflict, ...] = ()
    refused: tuple[str, ...] = ()
    tried: int = 1
    to_do: tuple[str, ...] = ()
    tighter: tuple[TighterTolerances, ...] = ()
    drivers: tuple[str, ...] = ()

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
        found += [*self.to_do, *(line for one in self.tighter for line in one.lines()), *self.drivers]
        return [*found, *(f"Left out: {reason}" for reason in self.refused)]

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
            *(line for one in self.tighter for line in one.lines()),
            *self.drivers,
        ] + [f"Left out: {reason}" for reason in self.refused]

    def __str__(self) -> str:
        return "\n".join(self.lines())

    __repr__ = __str__


def plan_for(
    variants: Iterable[Variant],
    sizes: Sequence[OpenSize],
    now: Mapping[str, Dimension] | None = None,
    made: Collection[str] = (),
) -> Plan:
    """The values of open sizes and choices with which all findings hold, with the greatest least margin.

    The margin of a finding counts in its own spread: half the zone of its worst case. variants: the choices, each with
    its questions. sizes: that are open. now: the parts as they are, by name, to be cut. made: the names of parts that
    are made here, whose tolerances can be tighter. Raises `InputError` where nothing is open.

    >>> from fitcheck.questions import BladeDepth
    >>> from fitcheck.stack import dimension
    >>> slug = dimension(7.0, plus=0.1, name="slug")
    >>> inputs = {"adds": ["64 ± 0.2"], "takes": ["14.5 ± 0.3", slug], "at_least": "41 mm", "at_most": "44 mm"}
    >>> asked = BladeDepth.read(inputs)
    >>> plan_for([Variant({}, lambda: (asked,))], [OpenSize("slug", slug, 5.0, 9.0)]).values
    {'slug': '7 ± 0.1 mm'}
    """
    answers = Answers(list(sizes))
    outcomes: list[tuple[Variant, tuple[Question, ...], Outcome]] = []
    refused, tried = [], 0
    for variant in variants:
        tried += 1
        # Where the best one so far works, another is likely to work as well.
        first = max((one for _, _, one in outcomes), key=lambda one: one.rank).point.x if outcomes else None
        try:
            questions = variant.questions()
            outcomes.append((variant, questions, SizeSearch(answers, questions).solved(first)))
        except InputError as error:
            refused.append(", ".join([*(f"{k} = {v}" for k, v in variant.chosen.items())]) + f": {error}")
    if not sizes and tried < 2:
        raise InputError("open: nothing is open: a size between two ends, or a list to choose from, is needed")
    if not outcomes:
        return Plan({}, {}, (), refused=tuple(refused), tried=tried)
    variant, questions, best = max(outcomes, key=lambda one: _rank(answers, *one[1:]))
    search, point = SizeSearch(answers, questions), best.point
    box, at = search.box(point.x), answers.placed(point.x.tolist())
    conflicts = conflicts_of(best, sizes, at, box)
    said = point.x if not conflicts else [size.on_scale(float(x)) for size, x in zip(sizes, point.x, strict=True)]
    values = {size.name: size.note(float(x)) for size, x in zip(sizes, said, strict=True)}
    tools = {size.name: size.tool for size in sizes}
    asked = _as_chosen(answers, questions, point)
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
        # With nothing eased, what stands in the way is what does not hold.
        tighter_tolerances(search.point(point.x), sizes, at, box, made) if best.levels else (),
        tuple(_by_driver(point.findings)),
    )


def _by_driver(findings: Iterable[Finding]) -> Iterator[str]:
    """What would hold with another torque driver than what turns the screws, a line each."""
    for one in findings:
        for move in one.moves:
            if move.effect is Effect.HOLDS and any(edit.key == "driver" for edit in move.edits):
                yield f"With less scatter of the torque it holds ({one.title}): {move.words}."
                break


def _as_chosen(answers: Answers, questions: Sequence[Question], point: Point) -> list[Question]:
    """The questions with the sizes of a point in them."""
    placed = answers.placed(point.x.tolist())
    new = dict(zip((size.part for size in answers.sizes), placed, strict=True))
    return [with_parts(question, new) for question in questions]


def _rank(answers: Answers, questions: Sequence[Question], outcome: Outcome) -> tuple[int, int, int, float]:
    """What is better is greater, as by `Outcome.rank`; of what does as well, screws that are sold, then the margin."""
    works, likely, margin = outcome.rank
    special = 0
    if works:
        chosen = _as_chosen(answers, questions, outcome.point)
        special = sum(isinstance(one, SetScrew) and not is_standard(one) for one in chosen)
    return works, likely, -special, margin


def _tightest(point: Point) -> tuple[Finding, float] | None:
    nought = np.zeros(len(point.x))
    margins = [
        (bound.margin(nought), finding, bound.spread)
        for finding, group in ((row.finding, row.group) for row in point.rows)
        for bound in group
        if bound.least > -np.inf or bound.most < np.inf
    ]
    if not margins:
        return None
    margin, finding, spread = min(margins, key=lambda one: one[0])
    return finding, margin * spread
