"""What a requirement leaves to the open sizes: linear bounds on their moves, for a verdict that it holds or is likely.

A finding on a sum moves with the open sizes and keeps its spread, so that what it must not leave is an interval of
moves, exactly, by `fitcheck.stack.solve_for`. The least of several sums gives one such interval for each. A function is
taken as straight about the point where it is asked: its margin there, and how fast the margin changes.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from fitcheck.errors import InputError
from fitcheck.planning.openings import OpenSize
from fitcheck.questions.finding import Finding, Requirement, Verdict
from fitcheck.questions.remedy import allowed_moves
from fitcheck.stack import Dimension, Interval, Linear, Response
from fitcheck.stack.probability.sampling import evenly_drawn
from fitcheck.stack.synthesis import substituted
from fitcheck.stack.system import LeastOfSums
from fitcheck.units import FloatArray

_SAMPLES = 1 << 15
_SLOPE = 1e-3
"""Part of the range of an open size over which the slope of a margin is taken."""

_NOTHING = 1e-6
"""A change of a margin, in spreads, that is rounding and no change."""


class Level(Enum):
    """What is asked of a finding: that it holds, or that it is within its risk."""

    HOLDS = "holds"
    LIKELY = "likely"


@dataclass(frozen=True, slots=True)
class Bound:
    """What one finding leaves to the open sizes, x being their nominals less those where it was asked.

    least <= rates @ x <= most, in the inside unit of the finding (mm, N). spread: half the zone of its quantity, the
    scale of its margin.
    """

    rates: FloatArray
    least: float
    most: float
    spread: float

    def margin(self, x: FloatArray) -> float:
        """How far it is from being missed, in spreads: below 0 where it is missed.

        x: array, the moves of the open sizes in their inside units (mm).
        """
        at = float(self.rates @ x)
        return min(at - self.least, self.most - at) / self.spread

    def moved(self, x: FloatArray) -> Bound:
        """The same bound on moves from another point, `x` away from the first.

        x: array, in the inside units (mm).
        """
        at = float(self.rates @ x)
        return Bound(self.rates, self.least - at, self.most - at, self.spread)

    def kept_off(self, margin: float) -> Bound:
        """The bound with less room on both sides.

        margin: how much less, in spreads.
        """
        if not margin:
            return self
        by = margin * self.spread
        return Bound(self.rates, self.least + by, self.most - by, self.spread)

    @property
    def fixed(self) -> bool:
        """Whether no open size changes it."""
        return not np.any(self.rates)


def bounds_of(finding: Finding, sizes: Sequence[OpenSize], at: Sequence[Dimension], level: Level) -> list[Bound]:
    """The bounds that one finding puts on the open sizes, for a verdict.

    finding: as asked. sizes: the open ones. at: the dimensions that stood for them when it was asked. level: the
    verdict that is wanted. Raises `InputError` where the quantity cannot be found.
    """
    what = finding.of
    spread = spread_of(finding)
    if what is None or not any(d is m for d in at for m in what.members):
        return [_fixed(finding, len(sizes), level, spread)]
    if isinstance(what, LeastOfSums):
        # Each of them at the whole risk: what is asked with the sizes that are found says whether that is enough.
        limit = Requirement(at_least=finding.requirement.at_least, risk=finding.requirement.risk)
        return [_of_sum(one, limit, at, level, spread) for one in what.sums]
    if isinstance(what, Linear):
        return [_of_sum(what, finding.requirement, at, level, spread)]
    if isinstance(what, Response):
        return [function_bound(what, finding.requirement, sizes, at, level, spread)]
    return [_fixed(finding, len(sizes), level, spread)]


def _fixed(finding: Finding, n: int, level: Level, spread: float) -> Bound:
    """The bound of a finding that no open size changes: none where it is met."""
    met = finding.verdict is Verdict.HOLDS or (level is Level.LIKELY and finding.verdict is Verdict.LIKELY)
    if met or finding.of is None:
        return Bound(np.zeros(n), -math.inf if met else math.inf, math.inf, spread)
    return Bound(np.zeros(n), max(-margin(finding, level), 1e-9), math.inf, spread)


def spread_of(finding: Finding) -> float:
    """Half the zone of what a finding judged, the scale of its margin, in its inside unit (mm, N); above 0."""
    low, high = finding.worst_case
    half = (high - low) / 2
    return half if half > 0 else max(abs(finding.nominal) / 100, 1e-3)


def _of_sum(what: Linear, requirement: Requirement, at: Sequence[Dimension], level: Level, spread: float) -> Bound:
    rates = dict(what.terms)
    wanted = _moves(what, requirement, level)
    return Bound(np.array([rates.get(d, 0.0) for d in at]), wanted.min, wanted.max, spread)


def _moves(what: Linear, requirement: Requirement, level: Level) -> Interval:
    """The moves of a sum with which it holds, or is within the risk."""
    if level is Level.HOLDS and all(d.spread.bounded for d in what.members):  # then the worst case says it all
        (low, high), worst = requirement.eased, what.worst_case()
        least, most = -math.inf if low is None else low - worst.min, math.inf if high is None else high - worst.max
        return Interval(least, most) if least <= most else Interval(math.inf, -math.inf)
    moves = allowed_moves(what, requirement)
    return moves.at_worst_case if level is Level.HOLDS else moves.within_risk


def function_bound(
    what: Response,
    requirement: Requirement,
    sizes: Sequence[OpenSize],
    at: Sequence[Dimension],
    level: Level,
    spread: float,
) -> Bound:
    """What a requirement on a function leaves to the open sizes, taken as straight about the point where they are.

    at: the dimensions that stand for them there, members of `what` or not. spread: the scale of its margin.
    """
    here = margin_of(what, requirement, level)
    rates = np.zeros(len(sizes))
    for i, (size, part) in enumerate(zip(sizes, at, strict=True)):
        if any(part is d for d in what.members):
            step = _step(size, part.nominal, _SLOPE)
            there = substituted(what, part, size.at(part.nominal + step))
            assert isinstance(there, Response)
            rates[i] = (margin_of(there, requirement, level) - here) / step
    return Bound(rates, -here, math.inf, spread)


def _step(size: OpenSize, nominal: float, part: float) -> float:
    """A step from a nominal by a part of the range, away from its end."""
    return _away(size, nominal, part * (size.most - size.least))


def _away(size: OpenSize, nominal: float, step: float) -> float:
    return step if nominal + step <= size.most else -step


def margin_of(what: Response, requirement: Requirement, level: Level) -> float:
    """How far a function is from missing a requirement, in its inside unit: below 0 where it misses it.

    For a verdict that it holds the worst case counts, and where a spread has no end the quantile of the risk as well;
    for one that it is likely, the quantile. what: the function. requirement: on it. level: the verdict that is wanted.
    """
    ends = []
    if level is Level.HOLDS:
        ends.append(what.worst_case())
    if level is Level.LIKELY or not all(d.spread.bounded for d in what.members):
        drawn = evenly_drawn(what, _SAMPLES)
        both = requirement.at_least is not None and requirement.at_most is not None
        risk = requirement.risk / 2 if both else requirement.risk
        ends.append(Interval(float(np.quantile(drawn, risk)), float(np.quantile(drawn, 1 - risk))))
    return min(room_within(end, requirement) for end in ends)


def room_within(end: Interval, requirement: Requirement) -> float:
    """How far an interval lies within the limits; below 0 where it passes one.

    end: the interval, in the inside unit (mm, N). requirement: with the limits.
    """
    low, high = requirement.at_least, requirement.at_most
    return min(end.min - low if low is not None else math.inf, high - end.max if high is not None else math.inf)


Ask = Callable[[Sequence[float]], Sequence[Finding]]


def rates_by_asking(
    ask: Ask,
    found: Sequence[Finding],
    sizes: Sequence[OpenSize],
    at: Sequence[float],
    levels: Sequence[Level],
    places: Sequence[int],
) -> FloatArray:
    """How fast the margins of a question's findings change with some open sizes, by asking it again beside the point.

    One row a finding, one column an open size; 0 for those that are not among `places`. ask: the findings with the open
    sizes at some nominals. found: those at `at`, numbers in the inside units (mm, N·m). levels: what is asked of each.
    """
    here = [margin(one, level) for one, level in zip(found, levels, strict=True)]
    rates = np.zeros((len(found), len(sizes)))
    for i in places:
        step = _away(sizes[i], at[i], sizes[i].step(10 * _SLOPE))
        try:
            there = ask([x + step if j == i else x for j, x in enumerate(at)])
        except InputError:
            continue
        if len(there) == len(found):
            moved = [margin(one, level) for one, level in zip(there, levels, strict=True)]
            changes = np.array([after - before for after, before in zip(moved, here, strict=True)])
            changes[np.abs(changes) < _NOTHING * np.array([spread_of(one) for one in found])] = 0.0
            rates[:, i] = changes / step
    return rates


def bound_by_asking(finding: Finding, rates: FloatArray, level: Level) -> Bound:
    """The bound of a finding of which the margin and its rates are known, as by `rates_by_asking`.

    rates: array, of the margin, one number an open size.
    """
    return Bound(rates, -margin(finding, level), math.inf, spread_of(finding))


def margin(finding: Finding, level: Level) -> float:
    """How far a finding is from its limits: by its worst case, or by the interval of its risk.

    In its inside unit (mm, N), below 0 where it misses them.
    """
    what, requirement = finding.of, finding.requirement
    if isinstance(what, Response):
        return margin_of(what, requirement, level)
    if isinstance(what, Linear):
        wanted = _moves(what, requirement, level)
        return min(-wanted.min, wanted.max)
    # Of what only one side is known of, such as a torque that was turned in vain, there is no more than its bounds.
    return room_within(finding.worst_case, requirement)
