"""The search for open sizes with which the findings of some questions hold, with the greatest least margin.

The questions are asked at a point; what they find bounds the open sizes, and linear programs say where most room is.
Where a finding is no straight line, its function is taken again at the new sizes, until no more is gained. Then the
sizes are rounded to marks and every question is asked again: nothing is believed that was not asked. Where not all can
hold, those that stand in the way need only be within their risk.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from typing import NamedTuple

import numpy as np

from fitcheck.errors import InputError
from fitcheck.planning.answers import Answers
from fitcheck.planning.bounds import (
    Bound,
    Level,
    bound_by_asking,
    bounds_of,
    function_bound,
    rates_by_asking,
)
from fitcheck.planning.guards import torque_guard
from fitcheck.planning.most_room import Room, contradiction, impossible, most_room
from fitcheck.questions import Finding, Question, Verdict
from fitcheck.stack import Dimension, Response
from fitcheck.stack.synthesis import substituted
from fitcheck.stack.system import LeastOfSums
from fitcheck.units import FloatArray

_ROUNDS = 12
"""Times a point is left for a better one where a finding is no straight line in the open sizes."""
_GAIN = 0.03
"""A gain of the least margin, in spreads, for which going on is not worth it."""
_NEAREST = 0.01
"""Part of the ranges below which no nearer point is tried."""
_SCANNED = (0.05, 0.2, 0.35, 0.65, 0.95)
"""Where in the ranges it is tried again if the way from the first point leads nowhere."""
_KEPT = (0.8, 0.95, 0.999, 0.0)
"""Parts of the least margin that rounding must leave, tried one after the other; the last where no mark leaves more."""
_NO_ROOM = 0.02
"""A margin, in spreads, that leaves nothing for rounding."""
_ENOUGH = 3.0
"""A margin, in spreads, of which more is of no use: what is there is rather left as it is."""
_AS_TOLD = 0.6
"""Part of the margin that was foreseen with which what is found by asking is good enough to stop."""
_TRIES = 6
_MET = {Level.HOLDS: (Verdict.HOLDS,), Level.LIKELY: (Verdict.HOLDS, Verdict.LIKELY)}


class Place(NamedTuple):
    """Which requirement a finding is about, wherever the sizes lie: a question may find more or fewer there."""

    question: int
    quantity: str
    number: int


@dataclass(frozen=True, slots=True)
class Row:
    """A finding at a point, and what it leaves to the open sizes.

    place: which it is. finding: as it was asked, here or at a point nearby. function: what it judged, with the sizes of
    the point in it, where that is no straight line in them. group: its bounds. pending: whether it is missed and no
    open size moves it here, but elsewhere one may. closed: whether it is missed and no open size ever moves it. guard:
    whether it is a limit on an open size itself, which no question asked for and nothing eases.
    """

    place: Place
    finding: Finding
    function: Response | None
    group: tuple[Bound, ...]
    bent: bool = False
    pending: bool = False
    closed: bool = False
    guard: bool = False

    @property
    def margin(self) -> float:
        """How far it is from being missed, in spreads."""
        return self.after(np.zeros(len(self.group[0].rates))) if self.group else np.inf

    def after(self, x: FloatArray) -> float:
        """The same after a move of the open sizes by `x`, in their inside units (mm, N·m)."""
        return min((one.margin(x) for one in self.group), default=np.inf)


@dataclass(frozen=True, slots=True)
class Point:
    """What was found with the open sizes at some nominals, `x` in their inside units (mm, N·m)."""

    x: FloatArray
    rows: tuple[Row, ...]

    @property
    def groups(self) -> list[tuple[Bound, ...]]:
        """The bounds of each finding."""
        return [row.group for row in self.rows]

    @property
    def bounds(self) -> list[Bound]:
        """What is known of further moves."""
        return [bound for row in self.rows if not (row.pending or row.closed) for bound in row.group]

    @property
    def score(self) -> float:
        """The least margin, in spreads, of all that a size moves here or elsewhere."""
        return min((row.margin for row in self.rows if not row.closed), default=0.0)

    @property
    def worst(self) -> int:
        """The number of the row with the least margin."""
        return int(np.argmin([row.margin for row in self.rows]))

    @property
    def straight(self) -> bool:
        """Whether every finding is a straight line in the open sizes, so that the bounds say all."""
        return not any(row.bent for row in self.rows)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What the questions found."""
        return tuple(row.finding for row in self.rows if not row.guard)


@dataclass(frozen=True, slots=True)
class Outcome:
    """Where a search ended.

    point: the last that was asked. levels: what was asked of each finding there, by its place; that it holds where
    nothing is said. conflict: the places of the findings that stand in the way; empty where all is met.
    """

    point: Point
    levels: Mapping[Place, Level]
    conflict: tuple[Place, ...] = ()

    @property
    def rank(self) -> tuple[int, int, float]:
        """What is better is greater: that it works, that fewer are only likely, and the least margin."""
        likely = sum(one.verdict is Verdict.LIKELY for one in self.point.findings)
        return (0 if self.conflict else 1, -likely, self.point.score)


class SizeSearch:
    """The search for the sizes of one variant.

    answers: what was asked already. questions: of the variant.
    """

    def __init__(self, answers: Answers, questions: Sequence[Question]) -> None:
        self.answers, self.questions, self.sizes = answers, questions, answers.sizes
        self.levels: dict[Place, Level] = {}
        self.more: dict[Place, float] = {}
        """Margin, in spreads, that findings must keep besides, as sampling is not exact."""

    # -- points ------------------------------------------------------------------------------------------

    def point(self, x: FloatArray) -> Point:
        """What the questions find with the sizes at `x`. Raises `InputError` where one refuses them."""
        return Point(x, tuple(row for i in range(len(self.questions)) for row in self._asked(i, x.tolist())))

    def near(self, here: Point, x: FloatArray) -> Point:
        """What is to be expected at `x`: the functions that were found at a point, taken again with other sizes.

        Right where a question judges the same functions there. Raises `InputError` where one cannot be reckoned.
        """
        old, new = self.answers.placed(here.x.tolist()), self.answers.placed(x.tolist())
        moved = {a: b for a, b in zip(old, new, strict=True) if a is not b}
        return Point(x, tuple(self._again(row, moved, new, x - here.x) for row in here.rows))

    def _asked(self, number: int, x: list[float]) -> Iterator[Row]:
        """The findings of one question."""
        question, at = self.questions[number], self.answers.placed(x)
        found, open_in = self.answers.of(question, x), self.answers.open_in(question)
        places = _places(number, found)
        levels = [self._level(place) for place in places]
        beside = self._beside(question, found, at)
        ask = partial(self.answers.of, question)
        rates = rates_by_asking(ask, found, self.sizes, x, levels, beside) if beside else None
        elsewhere = not question.chooses and any(_bends(one) for one in found)
        for i, (place, one, level) in enumerate(zip(places, found, levels, strict=True)):
            told = rates is not None and (question.chooses or bool(rates[i].any()))
            if told and rates is not None:
                group: tuple[Bound, ...] = (bound_by_asking(one, rates[i], level),)
            else:
                group = tuple(bounds_of(one, self.sizes, at, level))
            missed = any(map(impossible, group))
            yield Row(
                place, one,
                one.of if _bends(one) and not told and isinstance(one.of, Response) else None,
                self._kept(place, group),
                bent=bool(open_in) and (told or _bends(one)),
                pending=missed and bool(open_in) and elsewhere,
                closed=missed and not open_in,
            )  # fmt: skip
        if open_in and (guard := torque_guard(self.answers.question(question, x), self.sizes, at)) is not None:
            place = Place(number, guard.finding.quantity, -1)
            yield Row(place, guard.finding, None, self._kept(place, (guard.bound,)), guard=True)

    def _beside(self, question: Question, found: Sequence[Finding], at: Sequence[Dimension]) -> list[int]:
        """The open sizes of which only asking beside tells what they do: all of a question that chooses a size itself,
        of others those that no finding says it depends on.
        """
        members = {id(d) for one in found if one.of is not None for d in one.of.members}
        return [i for i in self.answers.open_in(question) if question.chooses or id(at[i]) not in members]

    def _again(self, row: Row, moved: Mapping[Dimension, Dimension], at: Sequence[Dimension], by: FloatArray) -> Row:
        function = row.function
        if function is None or not any(d in moved for d in function.members):
            return dataclasses.replace(row, group=tuple(one.moved(by) for one in row.group))
        for a, b in moved.items():
            there = substituted(function, a, b)
            assert isinstance(there, Response)
            function = there
        scale = row.group[0].spread
        bound = function_bound(function, row.finding.requirement, self.sizes, at, self._level(row.place), scale)
        group = self._kept(row.place, (bound,))
        return dataclasses.replace(row, function=function, group=group, pending=any(map(impossible, group)))

    def _kept(self, place: Place, group: tuple[Bound, ...]) -> tuple[Bound, ...]:
        return tuple(one.kept_off(self.more.get(place, 0.0)) for one in group)

    def _level(self, place: Place) -> Level:
        return self.levels.get(place, Level.HOLDS)

    def _ease(self, here: Point, numbers: Sequence[int]) -> bool:
        """Let some findings be likely only; whether any of them had to hold until now."""
        rows = [here.rows[i] for i in numbers if not here.rows[i].guard]
        eased = [row.place for row in rows if self._level(row.place) is Level.HOLDS]
        self.levels |= dict.fromkeys(eased, Level.LIKELY)
        return bool(eased)

    def missed(self, here: Point) -> list[int]:
        """The numbers of the findings that are not what is asked of them."""
        return [i for i, row in enumerate(here.rows) if row.finding.verdict not in _MET[self._level(row.place)]]

    # -- where to look -----------------------------------------------------------------------------------

    def box(self, x: FloatArray) -> list[tuple[float, float]]:
        """The moves that the ranges leave from `x`."""
        return [(s.least - a, s.most - a) for s, a in zip(self.sizes, x.tolist(), strict=True)]

    def _now(self, x: FloatArray) -> list[float | None]:
        """The moves from `x` to the sizes as they are."""
        return [None if s.now is None else s.now - a for s, a in zip(self.sizes, x.tolist(), strict=True)]

    def start(self, first: FloatArray | None) -> Point:
        """A first point: `first`, the middle of the ranges, or where the questions refuse it, another place in them."""
        refused: InputError | None = None
        begin = self._allowed(self._between(0.5) if first is None else first)
        for x in [begin, *(self._between(share) for share in (0.5, 0.25, 0.75, 0.05, 0.95))]:
            try:
                return self.point(x)
            except InputError as error:
                refused = refused or error
        assert refused is not None
        raise refused

    def _between(self, share: float) -> FloatArray:
        return np.array([s.least + share * (s.most - s.least) for s in self.sizes])

    def _allowed(self, x: FloatArray) -> FloatArray:
        """The same, but no torque above what its screw bears: there its question finds what it finds in a plan."""
        at = self.answers.placed(x.tolist())
        with suppress(InputError):
            for question in self.questions:
                if self.answers.open_in(question):
                    guard = torque_guard(self.answers.question(question, x.tolist()), self.sizes, at)
                    if guard is not None and guard.bound.most < 0:
                        x = x + np.where(guard.bound.rates > 0, guard.bound.most / max(guard.bound.rates), 0.0)
        return np.clip(x, [s.least for s in self.sizes], [s.most for s in self.sizes])

    def scan(self) -> list[Point]:
        """Points across the ranges, where the questions do not refuse them."""
        found = []
        for share in _SCANNED:
            with suppress(InputError):
                found.append(self.point(self._between(share)))
        return found

    def best(self, here: Point, at: Callable[[Point, FloatArray], Point]) -> tuple[Point, Room]:
        """The point with the greatest least margin, and the room that is left from it.

        here: where to begin. at: what is found at another point.
        """
        reach = 1.0
        room = self._room(here, reach)
        for _ in range(_ROUNDS):
            enough = _GAIN if here.score >= 0 else _GAIN / 5
            pending = any(row.pending for row in here.rows)
            if here.straight or (not pending and room.least - here.score < enough):
                break
            try:
                there = at(here, here.x + room.x)
            except InputError:
                there = None
            if there is not None and there.score > here.score:
                here, room = there, self._room(there, reach)
                continue
            reach /= 4
            if reach < _NEAREST:
                break
            room = self._room(here, reach)
        return here, room

    def _room(self, here: Point, reach: float) -> Room:
        """The most room from a point, no further than a part `reach` of the ranges."""
        box = self.box(here.x)
        if reach < 1:
            wide = [reach * (s.most - s.least) for s in self.sizes]
            box = [(max(low, -w), min(high, w)) for (low, high), w in zip(box, wide, strict=True)]
        return most_room(here.bounds, box, self._now(here.x), _ENOUGH)

    def rounded(self, here: Point, room: Room, keep: float) -> FloatArray | None:
        """Nominals with marks, one after the other, that keep a part of the least margin; None if there are none."""
        bounds, box = here.bounds, self.box(here.x)
        wanted = keep * max(room.least, 0.0) - 1e-9
        x = here.x + room.x
        for i, size in enumerate(self.sizes):
            for marks in size.marks(float(x[i])):
                moves = [mark - float(here.x[i]) for mark in marks]
                boxes = [[*box[:i], (move, move), *box[i + 1 :]] for move in moves]
                left = [most_room(bounds, one, enough=_ENOUGH, least_alone=True).least for one in boxes]
                if left and max(left) >= wanted:
                    box = boxes[left.index(max(left))]
                    x = here.x + most_room(bounds, box, self._now(here.x), _ENOUGH).x
                    break
            else:
                return None
        return np.asarray(x)

    # -- the whole ---------------------------------------------------------------------------------------

    def solved(self, first: FloatArray | None = None) -> Outcome:
        """The sizes that make the variant work, or what stands in the way.

        first: where to begin. Raises `InputError` where the questions refuse every point.
        """
        here, scanned = self.start(first), False
        good: Point | None = None
        for _ in range(3 * len(here.rows) + 2 * _TRIES):
            closed = [i for i, row in enumerate(here.rows) if row.closed]
            if closed:
                if self._ease(here, closed):
                    here = self.point(here.x)
                    continue
                return self._no_way(*self.best(here, self.near), closed, here)
            local, room = self.best(here, self.near)
            if (stands := self._in_the_way(local, room)) and not self._ease(local, stands):
                # Before it is believed, every point on the way is asked; and then from elsewhere.
                local, room = self.best(here, lambda _, x: self.point(x))
                stands = self._in_the_way(local, room)
                if stands and not self._ease(local, stands):
                    if local.straight or scanned:
                        return self._no_way(local, room, stands, here)
                    scanned = True
                    here = max([local, *self.scan()], key=lambda point: point.score)
                    continue
            if stands:
                here = self.point(here.x)
                continue
            last = self._on_marks(local, room)
            if last is None:  # as a size that no ruler has a mark for is of no use, what is tight need only be likely
                tight = [i for i, row in enumerate(local.rows) if row.after(room.x) < _NO_ROOM]
                if self._ease(local, tight):
                    here = self.point(here.x)
                    continue
                with suppress(InputError):
                    last = self.point(local.x + room.x)
            if last is None:
                break
            missed = self.missed(last)
            if not missed:
                if good is not None and good.score >= last.score:
                    return self._met(good)
                if last.straight or last.score >= _AS_TOLD * room.least or good is not None:
                    return self._met(last)
                here = good = last
                continue
            if good is not None:
                return self._met(good)
            for i in missed:
                row = last.rows[i]
                self.more[row.place] = self.more.get(row.place, 0.0) + max(0.02, -row.margin)
            here = self.point(last.x)
        if good is not None:
            return self._met(good)
        local, room = self.best(here, lambda _, x: self.point(x))  # what is foreseen may lie where a question refuses
        return self._no_way(local, room, (local.worst,), here)

    def _met(self, good: Point) -> Outcome:
        """What is found at a point where all is met, with its whole room: nothing is kept besides any more."""
        if self.more:
            self.more.clear()
            good = self.point(good.x)
        return Outcome(good, self.levels)

    def _no_way(self, there: Point, room: Room, stands: Sequence[int], here: Point) -> Outcome:
        """What the questions find where they miss least, or if they refuse that, at another point.

        Where all is met at one of the points after all, as what was foreseen there was too dark, nothing is in the way.
        """
        places = tuple(there.rows[i].place for i in stands)
        if self.more:  # what was kept besides may be all that stands in the way
            self.more.clear()
            here = self.point(here.x)
            there, room = self.best(here, lambda _, x: self.point(x))
        found = [here]
        for x in (there.x, there.x + room.x):
            with suppress(InputError):
                found.append(self.point(x))
        if good := [point for point in found if not self.missed(point)]:
            return Outcome(self._beside_marks(max(good, key=lambda point: point.score)), self.levels)
        return Outcome(max(found, key=lambda point: point.score), self.levels, places)

    def _beside_marks(self, good: Point) -> Point:
        """What is found on the coarsest marks next to a point where all is met that meet it too; else the point."""
        marks = [size.marks(x) for size, x in zip(self.sizes, good.x.tolist(), strict=True)]
        for each in zip(*marks, strict=True):
            with suppress(InputError):
                if all(each) and not self.missed(there := self.point(np.array([near[0] for near in each]))):
                    return there
        return good

    def _in_the_way(self, here: Point, room: Room) -> tuple[int, ...]:
        """The numbers of the findings that no move meets together; empty where all can be."""
        pending = tuple(i for i, row in enumerate(here.rows) if row.pending)
        if pending or room.least >= -1e-9:
            return pending
        return contradiction(here.groups, self.box(here.x)) or (here.worst,)

    def _on_marks(self, here: Point, room: Room) -> Point | None:
        """What is found at the first rounded sizes with which all is met, else at the last; None where none have marks
        or every such point is refused.
        """
        last = None
        for keep in _KEPT:
            x = self.rounded(here, room, keep)
            if x is None:
                continue
            try:
                last = self.point(x)
            except InputError:
                continue
            if not self.missed(last):
                break
        return last


def _places(number: int, found: Sequence[Finding]) -> list[Place]:
    """The places of a question's findings; those on the same quantity are numbered."""
    places: list[Place] = []
    for one in found:
        again = sum(place.quantity == one.quantity for place in places)
        places.append(Place(number, one.quantity, again))
    return places


def _bends(finding: Finding) -> bool:
    """Whether what a finding judged is a function, not a sum or the least of some."""
    return isinstance(finding.of, Response) and not isinstance(finding.of, LeastOfSums)
