"""The plan: sizes and choices with which every finding of a build holds, with the greatest least margin.

Each choice (a screw, say) is tried; for each the sizes come from linear programs on the bounds of the findings, again
where a finding is no straight line in them, are rounded to what a ruler or a caliper has a mark for, and every question
is asked again with them. Where not all can hold, those that stand in the way need only be within their risk. Where that
does not do either, the smallest set of requirements that contradict each other is named, with what relaxing each costs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from functools import partial

import numpy as np

from fitcheck.errors import InputError
from fitcheck.planning.bounds import Bound, Level, bounds_by_asking, bounds_of
from fitcheck.planning.buy_and_cut import to_do
from fitcheck.planning.most_room import Room, contradiction, impossible, most_room, relaxed_by
from fitcheck.planning.openings import OpenSize
from fitcheck.planning.replaced import parts_of, with_parts
from fitcheck.questions import Finding, Question, Verdict
from fitcheck.stack import Dimension, Response
from fitcheck.stack.system import LeastOfSums
from fitcheck.units import FloatArray

_ROUNDS = 12
"""Times the questions are asked again where a finding is no straight line in the open sizes."""
_GAIN = 0.03
"""A gain of the least margin, in spreads, for which asking again is not worth it."""
_NEAREST = 0.01
"""Part of the ranges below which no nearer point is tried."""
_SCANNED = (0.05, 0.2, 0.35, 0.65, 0.95)
"""Where in the ranges it is tried again if the way from the middle leads nowhere."""
_KEPT = (0.8, 0.95, 0.999, 0.0)
"""Parts of the least margin that rounding may leave, tried one after the other."""
_TRIES = 4


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


@dataclass
class Answers:
    """The findings of questions by the open sizes in them: one whose inputs did not change is not asked again."""

    sizes: Sequence[OpenSize]
    _placed: dict[tuple[int, float], Dimension] = field(default_factory=dict)
    _found: dict[tuple[int, tuple[int, ...]], tuple[Finding, ...]] = field(default_factory=dict)
    _kept: list[Question] = field(default_factory=list)

    def placed(self, nominals: Sequence[float]) -> list[Dimension]:
        """The dimensions that stand for the open sizes at nominals: the same objects whenever they are asked for.

        nominals: numbers, in the inside units (mm, N·m).
        """
        found = []
        for i, (size, nominal) in enumerate(zip(self.sizes, nominals, strict=True)):
            key = i, round(float(nominal), 12)
            if key not in self._placed:
                self._placed[key] = size.at(float(nominal))
            found.append(self._placed[key])
        return found

    def holds_open(self, question: Question) -> bool:
        """Whether a question depends on an open size."""
        own = parts_of(question)
        return any(size.part is d for size in self.sizes for d in own)

    def of(self, question: Question, nominals: Sequence[float]) -> tuple[Finding, ...]:
        """The findings of a question with the open sizes at nominals. Raises `InputError` where it refuses them."""
        own = parts_of(question)
        at = self.placed(nominals)
        new = {size.part: d for size, d in zip(self.sizes, at, strict=True) if any(size.part is p for p in own)}
        key = id(question), tuple(id(d) for d in new.values())
        if key not in self._found:
            self._kept.append(question)  # so that no other question gets its id
            self._found[key] = with_parts(question, new).findings()
        return self._found[key]


@dataclass(frozen=True, slots=True)
class _Point:
    """What was found with the open sizes at some nominals: the findings, and their bounds on further moves."""

    x: FloatArray
    findings: tuple[Finding, ...]
    groups: tuple[tuple[Bound, ...], ...]
    straight: bool
    pending: frozenset[int]
    """Places of findings that miss and that no open size moves here, but elsewhere may, as their question is open."""
    closed: frozenset[int]
    """Places of findings that miss and that no open size ever moves."""

    @property
    def bounds(self) -> list[Bound]:
        """What is known of further moves."""
        return [bound for i, group in enumerate(self.groups) if i not in self.pending | self.closed for bound in group]

    @property
    def score(self) -> float:
        """The least margin, in spreads, of all that a size moves here or elsewhere."""
        nought = np.zeros(len(self.x))
        open_ones = [bound for i, group in enumerate(self.groups) if i not in self.closed for bound in group]
        return min((bound.margin(nought) for bound in open_ones), default=0.0)


class _Search:
    """The search for the sizes of one variant."""

    def __init__(self, answers: Answers, questions: Sequence[Question]) -> None:
        self.answers, self.questions, self.sizes = answers, questions, answers.sizes
        self.levels: dict[int, Level] = {}
        self.more: dict[int, float] = {}
        """Margin, in spreads, that findings must keep besides, as sampling is not exact."""

    def point(self, x: FloatArray) -> _Point:
        findings: list[Finding] = []
        groups: list[tuple[Bound, ...]] = []
        straight, pending, closed = True, set(), set()
        at = self.answers.placed(x.tolist())
        for question in self.questions:
            found = self.answers.of(question, x.tolist())
            levels = [self.levels.get(len(findings) + i, Level.HOLDS) for i in range(len(found))]
            is_open = self.answers.holds_open(question)
            if question.chooses and is_open:
                by_level = {
                    level: bounds_by_asking(partial(self.answers.of, question), found, self.sizes, x.tolist(), level)
                    for level in set(levels)
                }
                own = [by_level[level][i] for i, level in enumerate(levels)]
                straight = False
            else:
                own = [bounds_of(one, self.sizes, at, level) for one, level in zip(found, levels, strict=True)]
                bent = [isinstance(one.of, Response) and not isinstance(one.of, LeastOfSums) for one in found]
                missed = {len(findings) + i for i, group in enumerate(own) if any(map(impossible, group))}
                if not is_open:
                    closed |= missed
                elif any(bent):
                    straight = False
                    pending |= missed
            for i, group in enumerate(own):
                kept = self.more.get(len(findings) + i, 0.0)
                groups.append(tuple(_kept_off(bound, kept) for bound in group))
            findings += found
        return _Point(x, tuple(findings), tuple(groups), straight, frozenset(pending), frozenset(closed))

    def box(self, x: FloatArray) -> list[tuple[float, float]]:
        return [(s.least - a, s.most - a) for s, a in zip(self.sizes, x.tolist(), strict=True)]

    def start(self) -> _Point:
        """The middle of the ranges, or where the questions refuse it, another place in them."""
        refused: InputError | None = None
        for share in (0.5, 0.25, 0.75, 0.05, 0.95):
            try:
                return self.point(np.array([s.least + share * (s.most - s.least) for s in self.sizes]))
            except InputError as error:
                refused = refused or error
        assert refused is not None
        raise refused

    def scan(self) -> list[_Point]:
        """Points across the ranges, where the questions do not refuse them."""
        found = []
        for share in _SCANNED:
            with suppress(InputError):
                found.append(self.point(np.array([s.least + share * (s.most - s.least) for s in self.sizes])))
        return found

    def best(self, here: _Point) -> tuple[_Point, Room]:
        """The point with the greatest least margin, and the room that is left from it."""
        reach = 1.0
        room = self.room(here, reach)
        for _ in range(_ROUNDS):
            enough = _GAIN if here.score >= 0 else _GAIN / 5
            if here.straight or (not here.pending and room.least - here.score < enough):
                break
            try:
                there = self.point(here.x + room.x)
            except InputError:
                there = None
            if there is not None and there.score > here.score:
                here, room = there, self.room(there, reach)
                continue
            reach /= 4
            if reach < _NEAREST:
                break
            room = self.room(here, reach)
        return here, room

    def room(self, here: _Point, reach: float) -> Room:
        """The most room from a point, no further than a part `reach` of the ranges."""
        box = self.box(here.x)
        if reach < 1:
            wide = [reach * (s.most - s.least) for s in self.sizes]
            box = [(max(low, -w), min(high, w)) for (low, high), w in zip(box, wide, strict=True)]
        return most_room(here.bounds, box)

    def rounded(self, here: _Point, room: Room, keep: float) -> FloatArray:
        """Nominals with marks, one after the other, that keep a part of the least margin; as they are if none does."""
        bounds, box = here.bounds, self.box(here.x)
        wanted = keep * room.least if room.least > 0 else room.least - 1e-9
        x = here.x + room.x
        for i, size in enumerate(self.sizes):
            for marks in size.marks(float(x[i])):
                tried = []
                for mark in marks:
                    move = mark - float(here.x[i])
                    left = most_room(bounds, [*box[:i], (move, move), *box[i + 1 :]])
                    tried.append((left.least, move, left.x))
                if tried and max(tried, key=lambda one: one[0])[0] >= wanted:
                    _, move, moves = max(tried, key=lambda one: one[0])
                    box[i] = (move, move)
                    x = here.x + moves
                    break
        return np.asarray(x)

    def missed(self, findings: Sequence[Finding]) -> list[int]:
        """The places of findings that are not what is asked of them."""
        wanted = {Level.HOLDS: (Verdict.HOLDS,), Level.LIKELY: (Verdict.HOLDS, Verdict.LIKELY)}
        return [i for i, f in enumerate(findings) if f.verdict not in wanted[self.levels.get(i, Level.HOLDS)]]


def _kept_off(bound: Bound, margin: float) -> Bound:
    if not margin:
        return bound
    by = margin * bound.spread
    return Bound(bound.rates, bound.least + by, bound.most - by, bound.spread)


@dataclass(frozen=True, slots=True)
class _Outcome:
    point: _Point
    levels: Mapping[int, Level]
    conflicts: tuple[Conflict, ...] = ()

    @property
    def rank(self) -> tuple[int, int, float]:
        likely = sum(f.verdict is Verdict.LIKELY for f in self.point.findings)
        return (0 if self.conflicts else 1, -likely, self.point.score)


def _solved(answers: Answers, questions: Sequence[Question]) -> _Outcome:
    """The sizes that make one variant work, or what stands in the way. Raises `InputError` where it makes no sense."""
    search = _Search(answers, questions)
    here, scanned = search.start(), False
    for _ in range(3 * len(here.findings) + _TRIES):
        if here.closed and any(search.levels.get(i, Level.HOLDS) is Level.HOLDS for i in here.closed):
            search.levels |= dict.fromkeys(here.closed, Level.LIKELY)
            here = search.point(here.x)
        here, room = search.best(here)
        if here.closed:
            return _Outcome(here, search.levels, _conflicts(here, sorted(here.closed), search.box(here.x)))
        if room.least < -1e-9 or here.pending:
            places = sorted(here.pending) or contradiction(here.groups, search.box(here.x)) or tuple(_worst(here))
            eased = [i for i in places if search.levels.get(i, Level.HOLDS) is Level.HOLDS]
            if not eased and not here.straight and not scanned:
                scanned = True
                here = max([here, *search.scan()], key=lambda point: point.score)
                continue
            if not eased:
                return _Outcome(here, search.levels, _conflicts(here, places, search.box(here.x)))
            search.levels |= dict.fromkeys(eased, Level.LIKELY)
            here = search.point(here.x)
            continue
        last: _Point | None = None
        for keep in _KEPT:
            x = search.rounded(here, room, keep) if keep else here.x + room.x
            try:
                last = search.point(x)
            except InputError:
                continue
            if not search.missed(last.findings):
                return _Outcome(last, search.levels)
        if last is None:
            break
        for i in search.missed(last.findings):
            search.more[i] = search.more.get(i, 0.0) + max(
                0.02, -min(b.margin(np.zeros(len(x))) for b in last.groups[i])
            )
        here = search.point(here.x)
    conflicts = tuple(Conflict(here.findings[i], None) for i in _worst(here))
    return _Outcome(here, search.levels, conflicts)


def _conflicts(here: _Point, places: Sequence[int], box: Sequence[tuple[float, float]]) -> tuple[Conflict, ...]:
    """What stands in the way: every requirement that cannot be met by itself, or else those that contradict each other.

    places: of the findings in a smallest contradiction.
    """
    alone = [i for i in range(len(here.groups)) if contradiction([here.groups[i]], box)]
    if not alone:
        return tuple(Conflict(here.findings[i], relaxed_by(here.groups, i, box)) for i in places)
    found = []
    for i in alone:
        others = [group for j, group in enumerate(here.groups) if j not in alone]
        found.append(Conflict(here.findings[i], relaxed_by([*others, here.groups[i]], len(others), box), alone=True))
    return tuple(found)


def _worst(here: _Point) -> list[int]:
    """The place of the finding with the least margin."""
    nought = np.zeros(len(here.x))
    return [int(np.argmin([min((b.margin(nought) for b in group), default=np.inf) for group in here.groups]))]


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
    outcomes: list[tuple[Variant, _Outcome]] = []
    refused, tried = [], 0
    for variant in variants:
        tried += 1
        try:
            outcomes.append((variant, _solved(answers, variant.questions())))
        except InputError as error:
            refused.append(", ".join([*(f"{k} = {v}" for k, v in variant.chosen.items())]) + f": {error}")
    if not sizes and tried < 2:
        raise InputError("open: nothing is open: a size between two ends, or a list to choose from, is needed")
    if not outcomes:
        return Plan({}, {}, (), refused=tuple(refused), tried=tried)
    variant, best = max(outcomes, key=lambda one: one[1].rank)
    point = best.point
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
        best.conflicts,
        tuple(refused),
        tried,
        () if best.conflicts else tuple(to_do(asked, cut, now, tools)),
    )


def _tightest(point: _Point) -> tuple[Finding, float] | None:
    nought = np.zeros(len(point.x))
    margins = [
        (bound.margin(nought), finding, bound.spread)
        for finding, group in zip(point.findings, point.groups, strict=True)
        for bound in group
        if not bound.fixed
    ]
    if not margins:
        return None
    margin, finding, spread = min(margins, key=lambda one: one[0])
    return finding, margin * spread
