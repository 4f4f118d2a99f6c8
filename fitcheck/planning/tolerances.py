"""Which tolerance would make it hold, where no sizes do at the tolerance that the bench can hold.

Requirements that contradict each other leave a shortage: the least s by which all their limits would have to give way,

    rates @ x - s <= limit    for every bound,    x within its ranges

a linear program. A tighter tolerance moves the limits; that of one part alone is found as a root in its share
(`fitcheck.stack.tighten` does the same for one sum). Shared between the parts to be made, the multipliers of the
program say what each tolerance takes of the slack, and `fitcheck.stack.allocate` shares it at least cost, 1 / t a part.
"""

from __future__ import annotations

import dataclasses
import itertools
import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from fitcheck.basis import Basis
from fitcheck.errors import InputError
from fitcheck.later import optimize
from fitcheck.planning.bounds import Bound, Level, bounds_of, margin
from fitcheck.planning.most_room import contradiction
from fitcheck.planning.openings import OpenSize
from fitcheck.planning.search import Point, Row
from fitcheck.questions import Finding
from fitcheck.shown import Shown, shown
from fitcheck.stack import Dimension, Linear, Response, Sum, allocate
from fitcheck.stack.allocation import Cost
from fitcheck.stack.synthesis import scaled, shares_that_meet, substituted
from fitcheck.units import LENGTH, MM, FloatArray, Rounding

_Box = Sequence[tuple[float, float]]
_SLACK = 1e-9
_FINEST = 0.01
"""Part of a tolerance to which it is not brought down."""
_LESS = (1.0, 0.98, 0.95, 0.9, 0.8)
"""Parts of what would do, tried one after the other, until what is printed leaves the open sizes a mark."""
_MOST_WAYS = 3


@shown
class Tightened(NamedTuple):
    """A part with a tighter tolerance in place of its own; both as dimensions, in mm inside."""

    now: Dimension
    then: Dimension

    def __str__(self) -> str:
        return f"{self.now.name} {_tolerance(self.then)} (now {_tolerance(self.now)})"


@dataclass(frozen=True, slots=True, repr=False)
class TighterTolerances(Shown):
    """What would make some requirements hold together at worst case.

    findings: on them. alone: parts, each with the tolerance that alone is enough, the least effort first. shared:
    tolerances that are enough together: of the parts to be made, or where neither they nor any part alone does, of all;
    empty where no two are in it.
    """

    findings: tuple[Finding, ...]
    alone: tuple[Tightened, ...]
    shared: tuple[Tightened, ...] = ()

    def __str__(self) -> str:
        return "\n".join(self.lines())

    def lines(self) -> list[str]:
        """The advice, a line each."""
        about = " and ".join(one.title for one in self.findings)
        it = "it holds" if len(self.findings) == 1 else "they hold together"
        found = []
        if self.alone:
            ways = ", or ".join(str(one) for one in self.alone)
            found.append(f"With a tighter tolerance {it} ({about}): {ways}.")
        if self.shared:
            ways = ", ".join(str(one) for one in self.shared)
            found.append(f"With the slack shared {it} ({about}): {ways}.")
        return found


def tighter_tolerances(
    here: Point, sizes: Sequence[OpenSize], at: Sequence[Dimension], box: _Box, made: Collection[str]
) -> tuple[TighterTolerances, ...]:
    """The tolerances that would make hold what does not, set by set of requirements that stand in each other's way.

    here: a point with bounds on what is asked to hold. sizes: that are open; at: the dimensions that stand for them
    there. box: the moves that their ranges leave. made: the names of parts that are made here.
    """
    found, left = [], [row for row in here.rows if not row.guard]
    while stands := contradiction([row.group for row in left], box):
        rows = [left[i] for i in stands]
        left = [row for row in left if row not in rows]
        one = _of(rows, sizes, at, box, made)
        if one.alone or one.shared:
            found.append(one)
    return tuple(found)


def _of(
    rows: Sequence[Row], sizes: Sequence[OpenSize], at: Sequence[Dimension], box: _Box, made: Collection[str]
) -> TighterTolerances:
    findings = tuple(row.finding for row in rows)
    members = dict.fromkeys(d for one in findings if one.of is not None for d in one.of.members)
    parts = [d for d in members if d.unit.kind is LENGTH and d.half_width and d.basis is Basis.DRAWN and d.name]

    def short(new: Mapping[Dimension, Dimension]) -> float:
        return _shortage([_with(row, new, sizes, at) for row in rows], box).by

    # What no tolerance mends is not searched.
    if not parts or not all(isinstance(one.of, Linear | Response) for one in findings):
        return TighterTolerances(findings, ())
    if short({d: scaled(d, 0.0) for d in parts}) > _SLACK:
        return TighterTolerances(findings, ())
    alone = []
    for d, share in shares_that_meet(parts, lambda old, new: short({old: new}) - _SLACK / 2):
        for less in _LESS if share is not None else ():
            then = _printed(d, less * (share or 0.0))
            if then is not None and _has_marks([_with(row, {d: then}, sizes, at) for row in rows], sizes, at, box):
                alone.append((share or 0.0, Tightened(d, then)))
                break
    own = [d for d in parts if d.name in made or any(d is part for part in at)]
    best = sorted(alone, key=lambda each: (not any(each[1].now is d for d in own), -each[0]))
    shared = _shared(rows, own, sizes, at, box) or (_shared(rows, parts, sizes, at, box) if not alone else ())
    return TighterTolerances(findings, tuple(one for _, one in best[:_MOST_WAYS]), shared)


def _with(
    row: Row, new: Mapping[Dimension, Dimension], sizes: Sequence[OpenSize], at: Sequence[Dimension]
) -> tuple[Bound, ...]:
    """The bounds of a finding with other tolerances in it, for the verdict that it holds."""
    what = row.finding.of
    assert isinstance(what, Linear | Response)
    for old, part in new.items():
        what = substituted(what, old, part)
    there = [new.get(d, d) for d in at]
    members = set(what.members)
    after = dataclasses.replace(row.finding, of=what)
    if row.bent or not any(d in members for d in there):
        (bound, *_) = row.group
        return (Bound(bound.rates, -margin(after, Level.HOLDS), math.inf, bound.spread),)
    if isinstance(what, Linear) and all(d.spread.bounded for d in members):
        # As `bounds_of`, but where no move meets both limits it keeps by how much.
        (low, high), worst, rates = row.finding.requirement.eased, what.worst_case(), dict(what.terms)
        least, most = -math.inf if low is None else low - worst.min, math.inf if high is None else high - worst.max
        return (Bound(np.array([rates.get(d, 0.0) for d in there]), least, most, row.group[0].spread),)
    return tuple(bounds_of(after, sizes, there, Level.HOLDS))


class _Shortage(NamedTuple):
    """By how much all limits would have to give way, in the inside unit of the findings (mm); and for each limit what a
    unit of it is worth. The limits are those of each bound, its least and then its most, where it has them.
    """

    by: float
    worth: FloatArray


def _rows(groups: Sequence[Sequence[Bound]]) -> tuple[FloatArray, FloatArray]:
    """The limits as rates @ x <= limit."""
    rates, limits = [], []
    for bound in (one for group in groups for one in group):
        far = 1e3 * bound.spread  # where no move at all does
        if bound.least > -math.inf:
            rates.append(-bound.rates)
            limits.append(-min(bound.least, far))
        if bound.most < math.inf:
            rates.append(bound.rates)
            limits.append(max(bound.most, -far))
    return np.array(rates), np.array(limits)


def _shortage(groups: Sequence[Sequence[Bound]], box: _Box) -> _Shortage:
    rates, limits = _rows(groups)
    n = len(box)
    found = optimize.linprog(
        np.append(np.zeros(n), 1.0),
        A_ub=np.column_stack([rates, -np.ones(len(limits))]),
        b_ub=limits,
        bounds=[*box, (None, None)],
        method="highs",
    )
    if found.x is None:
        return _Shortage(math.inf, np.zeros(len(limits)))
    return _Shortage(float(found.x[n]), -np.asarray(found.ineqlin.marginals))


def _shared(
    rows: Sequence[Row],
    own: Sequence[Dimension],
    sizes: Sequence[OpenSize],
    at: Sequence[Dimension],
    box: _Box,
) -> tuple[Tightened, ...]:
    """Tolerances of some parts that do together, at least cost; none where less than two are in it, or they do not."""
    names = [d.name for d in own]
    if (
        len(own) < 2
        or len(set(names)) < len(names)
        or any(row.bent or not isinstance(row.finding.of, Linear) for row in rows)
    ):
        return ()
    now = {d: d for d in own}
    short = _shortage([_with(row, now, sizes, at) for row in rows], box)
    takes = dict.fromkeys(own, 0.0)
    worth = iter(short.worth.tolist())
    for row in rows:
        limits = [end for end in (row.finding.requirement.at_least, row.finding.requirement.at_most) if end is not None]
        price = math.fsum(itertools.islice(worth, len(limits)))
        assert isinstance(row.finding.of, Linear)
        for d, rate in row.finding.of.terms:
            if d in takes:
                takes[d] += price * abs(rate)
    taken = [(d, rate) for d, rate in takes.items() if rate > 0]
    half = math.fsum(rate * d.half_width for d, rate in taken)
    # The program is straight only about the point where it was solved, and what is printed is rounded down.
    for less in _LESS:
        room = less * (half - max(short.by, 0.0))
        if room <= _FINEST * half:
            return ()
        total = Sum(tuple(taken), 0.0, math.fsum(rate * d.nominal for d, rate in taken), MM)
        bounds = {d.name: (_FINEST * d.half_width, d.half_width) for d, _ in taken}
        try:
            widths = allocate(total, {d.name: Cost(1.0) for d, _ in taken}, half_width=room, bounds=bounds).tolerances
        except InputError:
            return ()
        new = {d: _printed(d, widths[d.name] / d.half_width) for d, _ in taken}
        if any(then is None for then in new.values()):
            return ()
        given = {d: then for d, then in new.items() if then is not None}
        if _has_marks([_with(row, given, sizes, at) for row in rows], sizes, at, box):
            changed = tuple(Tightened(d, then) for d, then in given.items() if then.half_width < d.half_width)
            return changed if len(changed) > 1 else ()
    return ()


def _has_marks(
    groups: Sequence[Sequence[Bound]], sizes: Sequence[OpenSize], at: Sequence[Dimension], box: _Box
) -> bool:
    """Whether the open sizes can all be put on marks so that the bounds are met: one after the other."""
    within = list(box)
    for i, (size, part) in enumerate(zip(sizes, at, strict=True)):
        ends = [_end(groups, within, i, sign) for sign in (1.0, -1.0)]
        low, high = ends[0], ends[1]
        if low is None or high is None:
            return False
        marks = size.marks(part.nominal + (low + high) / 2)
        moves = [mark - part.nominal for each in marks for mark in each]
        move = next((one for one in moves if low - _SLACK <= one <= high + _SLACK), None)
        if move is None:
            return False
        within[i] = (move, move)
    return _shortage(groups, within).by <= _SLACK


def _end(groups: Sequence[Sequence[Bound]], box: _Box, place: int, sign: float) -> float | None:
    """The least move of an open size, or with a sign of -1 the greatest, with which the bounds are met."""
    rates, limits = _rows(groups)
    aim = np.zeros(len(box))
    aim[place] = sign
    found = optimize.linprog(aim, A_ub=rates, b_ub=limits + _SLACK, bounds=box, method="highs")
    return None if found.x is None else float(found.x[place])


def _printed(d: Dimension, share: float) -> Dimension | None:
    """The part with a share of its tolerance, rounded down to what is printed; None where nothing is left of it."""
    if share >= 1.0:
        return d
    half = share * d.half_width
    places = max(d.unit.decimals, 1 - math.floor(math.log10(max(float(d.unit.from_base(half)), 1e-9))))
    places = min(places, d.unit.decimals + 1)
    shown = d.unit.rounded(half, places, Rounding.DOWN)
    return scaled(d, float(d.unit.to_base(shown)) / d.half_width) if shown > 0 else None


def _tolerance(d: Dimension) -> str:
    """The tolerance of a part as on a drawing."""
    up, down = d.upper - d.nominal, d.nominal - d.lower
    places = max(d.unit.exact_places(side, d.unit.decimals) or d.unit.decimals + 3 for side in (up, down))
    if abs(up - down) < _SLACK:
        return f"± {d.unit.down(up, places)}"
    # A limit on the other side of the nominal, as on a k6 shaft, keeps its own sign.
    above = f"+{d.unit.down(up, places)}" if up >= 0 else f"-{d.unit.up(-up, places)}"
    return f"{above}/{f'-{d.unit.down(down, places)}' if down >= 0 else f'+{d.unit.up(-down, places)}'}"
