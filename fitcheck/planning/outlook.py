"""What a measurement would settle: the chance of each verdict once a part has been measured.

A part now lies in its zone with its spread. Measured, it will read m = part + error, the error normal with the standard
deviation U / 2 of the instrument, and the reading then stands in place of the drawing: m ± U, normal. So the verdict
becomes a function of m alone, and the chance of each verdict is that of the readings that bring it about.

For a sum the readings that make it hold are an interval, by `fitcheck.stack.solve_for`, and the distribution of the
reading is exact. For a function the verdict is found at readings across their spread, by sampling the other members
anew for each (nested sampling, the same points for all), and where two neighbours differ the edge is found by halves.

References: JCGM 100:2008, 6.2 (expanded uncertainty). That a reading is judged before it is taken has no source.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from fitcheck.basis import Basis
from fitcheck.errors import InputError
from fitcheck.expected import one_kind, table_of
from fitcheck.questions.finding import Finding, Requirement, Verdict
from fitcheck.questions.remedy import allowed_moves
from fitcheck.shown import shown
from fitcheck.stack import Dimension, Interval, Linear, Normal, Response
from fitcheck.stack.dimension import combine
from fitcheck.stack.measured import with_reading
from fitcheck.stack.probability.sampling import SAMPLES, even_blocks, evenly_drawn
from fitcheck.stack.synthesis import substituted
from fitcheck.units import FloatArray

_POINTS = 4096
"""Of each of the eight scrambles, for the members that are not measured."""
_READINGS = 17
"""Across the spread of a reading."""
_HALVES = 9
_ENDS = 5e-4
"""The share of readings beyond the first and the last that are tried, on either side."""
_HOPELESS = 20
"""Times the accepted risk: where five readings across the spread all leave more than that, none is searched for."""


@shown
class Outlook(NamedTuple):
    """The chances of each verdict on a finding once a part is measured.

    holds, likely, fails: probabilities, which add up to 1.
    """

    holds: float
    likely: float
    fails: float

    def turns(self, now: Verdict) -> float:
        """The chance, a probability, that the question is settled: an open finding holds, or one in doubt fails.

        now: the verdict as long as nothing is measured.
        """
        if now is Verdict.HOLDS:
            return self.fails
        return self.holds if now is Verdict.FAILS else self.holds + self.fails


_CERTAIN = {Verdict.HOLDS: Outlook(1.0, 0.0, 0.0), Verdict.LIKELY: Outlook(0.0, 1.0, 0.0)}


def certain(verdict: Verdict) -> Outlook:
    """The outlook where no measurement changes the verdict."""
    return _CERTAIN.get(verdict, Outlook(0.0, 0.0, 1.0))


def outlook(finding: Finding, uncertainty: Mapping[Dimension, float]) -> Outlook:
    """The chance of each verdict on a finding once some of its parts are measured.

    finding: one that keeps the quantity it judged. uncertainty: expanded, k = 2, in the inside unit (mm), of each part
    to be measured; of a function one part, of a sum any number. Raises `InputError` for several parts of a function.

    >>> import fitcheck as fc
    >>> part = fc.dim("10.0 ± 0.1", name="part")
    >>> from fitcheck.questions import Requirement, judge
    >>> from fitcheck.questions.judge import Topic
    >>> gap = judge(Topic("gap"), 10.05 - part, Requirement(at_least=0.0), label="gap", answer="")
    >>> found = outlook(gap, {part: 0.02})
    >>> gap.verdict.value, round(found.holds, 3)  # readings to 10.019: 3.09 standard deviations of them below 10.05
    ('fails', 0.595)
    """
    what = one_kind("finding", finding, Finding, "a finding").of
    uncertainty = table_of("uncertainty", uncertainty, "{part: 0.02}")
    known = {d: U for d, U in uncertainty.items() if what is not None and any(d is m for m in what.members)}
    if not known or not isinstance(what, Linear | Response):  # of a torque turned in vain no reading tells more
        return certain(finding.verdict)
    if isinstance(what, Linear):
        try:
            return _of_sum(what, finding.requirement, known)
        except InputError:  # correlated, or too rough for an exact distribution
            pass
    if len(known) > 1:
        raise InputError("outlook: several parts of a function: one part at a time is needed")
    ((part, U),) = known.items()
    whole = what if isinstance(what, Response) else _as_response(what)
    nested = _Nested(whole, part, U, finding.requirement)
    return by_readings(Reading.of(part, U), nested.verdict, finding.verdict, nested.hopeless)


def _of_sum(what: Linear, requirement: Requirement, uncertainty: Mapping[Dimension, float]) -> Outlook:
    """By the moves of the sum that meet the requirement, and the exact distribution of what the readings move it by."""
    after: Linear | Response = what
    move: list[tuple[float, Linear]] = []
    rates = dict(what.terms)
    for part, U in uncertainty.items():
        after = substituted(after, part, with_reading(part, part.middle, U))
        move += [(rates[part], part), (rates[part], _error(U, part)), (-rates[part], _fixed(part))]
    assert isinstance(after, Linear)
    distribution = combine(move).exact()
    settled = allowed_moves(after, requirement)
    holds, accepted = (_chance(distribution.cdf, interval) for interval in settled)
    return Outlook(holds, max(accepted - holds, 0.0), max(1.0 - max(accepted, holds), 0.0))


def _chance(cdf: Callable[[float], float], interval: Interval) -> float:
    if interval.min > interval.max:
        return 0.0
    below = 0.0 if interval.min == -np.inf else float(cdf(interval.min))
    return max((1.0 if interval.max == np.inf else float(cdf(interval.max))) - below, 0.0)


def _error(U: float, part: Dimension) -> Dimension:
    return Dimension(0.0, -U, U, Normal(2.0), f"error of {part.name}", part.unit, basis=Basis.MEASURED)


def _fixed(part: Dimension) -> Dimension:
    return Dimension(part.middle, part.middle, part.middle, name="middle", unit=part.unit)


def _as_response(what: Linear) -> Response:
    """A sum as a function of itself."""
    return Response(lambda total: total, {"total": what}, unit=what.unit, name="total")


class Reading:
    """How a reading of a part will be spread: its own spread and the error of the instrument together."""

    def __init__(self, cdf: Callable[[float], float], quantile: Callable[[float], float]) -> None:
        self.cdf, self.quantile = cdf, quantile

    @classmethod
    def of(cls, part: Dimension, U: float) -> Reading:
        """That of a part; exact where its spread allows, else by sampling.

        U: expanded uncertainty with coverage factor 2, in the inside unit (mm).
        """
        alone = Dimension(part.nominal, part.lower, part.upper, part.spread, part.name, part.unit)
        total = alone + _error(U, part)
        try:
            exact = total.exact()
            exact.quantile(_ENDS)
        except InputError:
            drawn = evenly_drawn(total, SAMPLES)
            return cls(lambda x: float(np.searchsorted(drawn, x)) / len(drawn), lambda p: float(np.quantile(drawn, p)))
        return cls(lambda x: float(exact.cdf(x)), lambda p: float(exact.quantile(p)))

    def tried(self, count: int) -> list[float]:
        """So many readings across the spread, by equal steps of probability. count: their number."""
        return [self.quantile(p) for p in np.linspace(_ENDS, 1 - _ENDS, count).tolist()]


def by_readings(
    reading: Reading,
    verdict: Callable[[float], Verdict],
    now: Verdict,
    hopeless: Callable[[Sequence[float]], bool] | None = None,
) -> Outlook:
    """The chance of each verdict, which `verdict` tells for a reading.

    reading: how the reading is spread. now: the verdict as long as nothing is measured; what holds for the whole zone
    of a part holds for what lies within, so of that only the ends and the middle are tried. hopeless: whether at some
    readings the requirement is missed by so much that no other is tried.
    """
    if now is Verdict.FAILS and hopeless is not None and hopeless(reading.tried(5)):
        return certain(Verdict.FAILS)
    if now is Verdict.HOLDS and all(verdict(m) is not Verdict.FAILS for m in reading.tried(3)):
        return certain(Verdict.HOLDS)
    at = reading.tried(_READINGS)
    found = [verdict(m) for m in at]
    chance = dict.fromkeys(Verdict, 0.0)
    done = 0.0
    for (a, of_a), (b, of_b) in itertools.pairwise(zip(at, found, strict=True)):
        if of_a is of_b:
            continue
        low, high = a, b
        for _ in range(_HALVES):
            middle = (low + high) / 2
            if verdict(middle) is of_a:
                low = middle
            else:
                high = middle
        here = reading.cdf((low + high) / 2)
        chance[of_a] += here - done
        done = here
    chance[found[-1]] += 1.0 - done
    return Outlook(chance[Verdict.HOLDS], chance[Verdict.LIKELY], chance[Verdict.FAILS])


class _Nested:
    """The verdict on a function for a reading of one of its members, the others sampled at the same points for all."""

    def __init__(self, what: Response, part: Dimension, U: float, requirement: Requirement) -> None:
        self._what, self._part, self._U, self._requirement = what, part, U, requirement
        members = self._after(part.middle).members
        self._z: FloatArray = np.concatenate([z for _, z in even_blocks(members, _POINTS)])

    def _after(self, m: float) -> Response:
        after = substituted(self._what, self._part, with_reading(self._part, m, self._U))
        assert isinstance(after, Response)
        return after

    def _missed(self, after: Response) -> float:
        y = after.at(self._z)
        low, high = self._requirement.at_least, self._requirement.at_most
        missed = np.zeros(len(y), dtype=bool)
        if low is not None:
            missed |= y < low
        if high is not None:
            missed |= y > high
        return float(missed.mean())

    def verdict(self, m: float) -> Verdict:
        after = self._after(m)
        if not self._requirement.accepts(self._missed(after)):
            return Verdict.FAILS
        return Verdict.HOLDS if self._requirement.met_by(after.worst_case()) else Verdict.LIKELY

    def hopeless(self, readings: Sequence[float]) -> bool:
        return all(self._missed(self._after(m)) > _HOPELESS * self._requirement.risk for m in readings)
