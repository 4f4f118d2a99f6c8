"""How likely a function, or one of several, is to fail its limits: counted where failures are frequent, by importance
sampling about the design points where they are rare, or through counted failures where these lie nowhere near one.

Counting comes first, as it rests on nothing but the function. Only where a function is so slow that it would take
longer than `_TOO_LONG` are design points looked for at once, and some thousand evaluations in all have to do.
"""

from __future__ import annotations

import math
import time
from collections.abc import Iterator, Sequence
from typing import Protocol

import numpy as np

from fitcheck.errors import InputError, one_of
from fitcheck.later import special
from fitcheck.stack.probability import importance, sampling
from fitcheck.stack.results import Method, Probability, assumption
from fitcheck.stack.worst_case import Extremes
from fitcheck.units import FloatArray

_ENOUGH_HITS = 1000  # counted failures that settle a probability to about 3 %
_FEW_HITS = 20  # counted failures that say where to look for more
_TOO_LONG = 60.0  # seconds of counting
_PILOT = (16, 48, 192)  # points by whose time a function is judged
_SPARING = 1500  # evaluations of a slow function
_MANY = 40  # members beyond which the failures may lie far from every design point, with none of its scatter to show it
_CHECKED = 1 << 15  # points that check a design point of so many members
_NO_POINT = "no design point was found within 8.5 standard deviations"
_NO_HIT = "no point about the design point failed"


class Limited(sampling.Sampled, Protocol):
    """What a limit is put on."""

    def extremes(self) -> Extremes: ...
    def even_values(self, points: int) -> Iterator[tuple[int, FloatArray]]:
        """As `sampling.even_values`, for a function that may remember them."""
        ...


class LimitStates:
    """Functions with a lower or an upper limit each, or both; together they fail if any of them does."""

    def __init__(self, parts: Sequence[tuple[Limited, float | None, float | None]]) -> None:
        self._parts = parts
        self._count = sum((low is not None) + (high is not None) for _, low, high in parts)
        every = dict.fromkeys(d for function, _, _ in parts for d in function.members)
        self.members = tuple(d for d in every if d.half_width > 0)
        self._evaluations = 0
        self._failing: dict[int, list[int]] = {}  # of the last count, by the scramble, while they are few

    def _values(self, z: FloatArray) -> FloatArray:
        """The limit states at points of the standard zone, one column a state."""
        self._evaluations += len(z)
        column = {d: z[:, i] for i, d in enumerate(self.members)}
        found = []
        for function, _, _ in self._parts:
            own = np.zeros((len(function.members), len(z)))
            for row, d in zip(own, function.members, strict=True):
                row[:] = column.get(d, 0.0)
            found.append(function.at(own.T))
        return self._states_of(found)

    def _states_of(self, values: Sequence[FloatArray]) -> FloatArray:
        """The limit states where the functions have these values."""
        found = []
        for y, (_, low, high) in zip(values, self._parts, strict=True):
            found += [y - low] if low is not None else []
            found += [high - y] if high is not None else []
        return np.column_stack(found)

    def _evenly(self, points: int) -> Iterator[tuple[int, FloatArray]]:
        """The number of the scramble and the limit states at a block of its points."""
        if len(self._parts) > 1:
            yield from ((scramble, self._values(z)) for scramble, z in sampling.even_blocks(self.members, points))
            return
        for scramble, y in self._parts[0][0].even_values(points):
            self._evaluations += len(y)
            yield scramble, self._states_of([y])

    def probability(self, *, method: str, samples: int) -> Probability:
        """By `method`; "auto" counts, and turns to the design point if too few points fail."""
        found = self._found(method, samples)
        if found.method is not Method.WORST_CASE:  # which holds whatever the spread
            assumed = assumption([d for d in self.members if d.assumed])
            found.reason = "; ".join(filter(None, [found.reason, assumed]))
        return found

    def _found(self, method: str, samples: int) -> Probability:
        one_of("method", method, ("auto", "sampling", "design point", "first order"))
        if not self.members:
            fails = bool((self._values(np.zeros((1, 0))) < 0).any())
            return Probability(float(fails), Method.NO_VARIATION, reason="no dimension varies", evaluations=1)
        if method == "first order":
            return self._first_order()
        if method == "design point":
            found = self._rare([], error=0.04, most=1400)
            if found is None:
                return self._counted(samples, f"{_NO_POINT}, so it was counted")
            if found.p == 0:
                return self._counted(samples, f"{_NO_HIT}, so it was counted")
            if len(self.members) > _MANY:
                few = self._counted(_CHECKED, "")
                if why := self._doubt(found, few, round(few * _CHECKED), _CHECKED):
                    return self._counted(samples, f"{why} among {len(self.members)} members, so it was counted")
            return self._told(found, "asked for")
        if method == "sampling":
            return self._counted(samples, "asked for")
        if (found_sparingly := self._sparing(samples)) is not None:
            return found_sparingly
        counted = self._counted(samples, "failures are frequent enough to count")
        n = sampling.size(samples) * sampling.SCRAMBLES
        hits = round(counted * n)
        if hits >= min(_ENOUGH_HITS, n // 4):
            return counted
        if hits == 0 and (reason := self._excluded()):
            return Probability(0.0, Method.WORST_CASE, 0.0, reason, self._evaluations, reason)
        seldom = f"only {hits} of {n:,} samples failed"
        many = len(self.members) > _MANY
        if many and (through := self._where_failed(counted, hits, n, seldom)) is not None:
            return through
        found = self._rare(self._starts(), error=0.02, most=20_000)
        why = _NO_POINT if found is None else self._doubt(found, counted, hits, n)
        if found is not None and not why:
            return self._told(found, seldom)
        if not many and (through := self._where_failed(counted, hits, n, why)) is not None:
            return through
        return Probability(counted, counted.method, counted.standard_error, why, self._evaluations, words=counted.words)

    def _where_failed(self, counted: Probability, hits: int, n: int, reason: str) -> Probability | None:
        """By importance sampling through the points that failed in a count; None if that tells no more than the count.

        Of many variables that each matter a little, failures lie far from the nearest one.
        """
        if hits < _FEW_HITS:
            return None
        failed = sampling.normal_behind(len(self.members), n // sampling.SCRAMBLES, self._failing)
        found = importance.through_failures(self._in_normal, failed, error=0.02, most=20_000)
        if found.standard_error > counted.standard_error / 2 or self._doubt(found, counted, hits, n):
            return None
        return self._told(found, reason)

    def _sparing(self, samples: int) -> Probability | None:
        """With few evaluations, if counting would take too long; None if it would not, or if few tell too little.

        The time of a point is the least of a few blocks of growing size, so that neither what a call costs whatever the
        number of its points nor a moment in which the machine is busy makes a function slow.
        """
        if len(self.members) > _MANY:
            return None
        generator, n = np.random.default_rng(2), sampling.size(samples) * sampling.SCRAMBLES
        least, hits = math.inf, 0
        for points in _PILOT:
            z = sampling.normal_to_zone(self.members, generator.standard_normal((points, len(self.members))))
            start = time.perf_counter()
            hits += int(np.count_nonzero((self._values(z) < 0).any(axis=1)))
            least = min(least, (time.perf_counter() - start) / points)
            if least * n < _TOO_LONG:
                self._evaluations = 0  # those of the answer are what the caller can repeat
                return None
        why = f"the function takes {1000 * least:.2g} ms a point, too long to count {n:,}"
        if hits > sum(_PILOT) / 10:
            return self._counted(min(samples, 4096), why)
        for most in (_SPARING - self._evaluations, 20_000):
            found = self._rare([], error=0.05, most=most)
            if found is None or found.p == 0:
                return None
            if found.standard_error <= 0.1 * found.p:
                return self._told(found, why)
        return None

    def _first_order(self) -> Probability:
        """Phi(-beta) of the nearest design point, summed over the limit states: the surface taken as a plane."""
        betas = importance.first_order(self._in_normal, len(self.members), self._count)
        if betas is None or min(betas) == math.inf:
            raise InputError(f"method = 'first order': {_NO_POINT}: ask for 'auto'")
        near = ", ".join(f"{beta:.4g}" for beta in sorted(betas) if beta < math.inf)
        return Probability(
            float(special.ndtr(-np.array(betas)).sum()),
            Method.FIRST_ORDER,
            0.0,
            "asked for; right for a plane surface of failure, and nothing is said of its curvature",
            self._evaluations,
            f"first order, design point at {near} standard deviations",
        )

    @staticmethod
    def _doubt(found: importance.Estimate, counted: Probability, hits: int, n: int) -> str:
        """Why the count of `hits` among `n` points is to be believed rather than the design point, or nothing."""
        if found.p == 0:
            return _NO_HIT
        # Even points scatter less than random ones, whose count would follow Poisson's law.
        if min(special.pdtr(hits, found.p * n), special.pdtrc(hits - 1, found.p * n) if hits else 1.0) < 1e-5:
            return "too irregular for a design point"
        if hits < 10:
            return ""
        if counted.standard_error * found.p < found.standard_error * counted:
            return "counting is the more precise"
        apart = abs(found.p - counted) / math.hypot(found.standard_error, counted.standard_error)
        return "too irregular for a design point" if apart > 4 else ""

    def _excluded(self) -> str:
        """How it is known that bounded members cannot reach the limits; nothing if it is not."""
        if not all(d.spread.bounded for d in self.members):
            return ""
        exact = True
        for function, low, high in self._parts:
            known = function.extremes()
            exact = exact and known.exact
            if (low is not None and low > known.low) or (high is not None and high < known.high):
                return ""
        return "no point of the zone fails" + ("" if exact else ", as far as was searched")

    def _counted(self, samples: int, reason: str) -> Probability:
        """The share of failing points, with the scatter between scrambles."""
        points = sampling.size(samples)
        hits, seen = np.zeros(sampling.SCRAMBLES), np.zeros(sampling.SCRAMBLES, dtype=int)
        self._failing = {scramble: [] for scramble in range(sampling.SCRAMBLES)}
        for scramble, states in self._evenly(points):
            numbers = np.flatnonzero((states < 0).any(axis=1))
            hits[scramble] += len(numbers)
            if hits.sum() < _ENOUGH_HITS:
                self._failing[scramble] += (numbers + seen[scramble]).tolist()
            seen[scramble] += len(states)
        n = points * sampling.SCRAMBLES
        shares = hits / points
        p = float(shares.mean())
        # Even points may all give the same count, and yet a count tells no less than one of them.
        error = max(float(shares.std(ddof=1)) / math.sqrt(sampling.SCRAMBLES), 1 / n)
        # With few failures the scatter of eight numbers says little, and with none it says nothing.
        if min(hits.sum(), n - hits.sum()) < _ENOUGH_HITS:
            error = max(error, math.sqrt(max(p * (1 - p), 1 / n) / n))
        return Probability(p, Method.SAMPLING, error, reason, self._evaluations, f"sampling, {n:,} Sobol points")

    def _in_normal(self, u: FloatArray) -> FloatArray:
        """The limit states at independent standard normal variables."""
        return self._values(sampling.normal_to_zone(self.members, u))

    def _rare(self, starts: Sequence[FloatArray], *, error: float, most: int) -> importance.Estimate | None:
        return importance.probability(
            self._in_normal,
            len(self.members),
            self._count,
            starts=starts,
            error=error,
            most=most,
        )

    def _starts(self) -> list[FloatArray]:
        """Points near failure, in different directions, to start a search from."""
        u = 1.7 * np.random.default_rng(1).standard_normal((4096, len(self.members)))
        values = self._values(sampling.normal_to_zone(self.members, u))
        scale = np.abs(values).mean(axis=0) + 1e-300
        found: list[FloatArray] = []
        for i in np.argsort((values / scale).min(axis=1))[:200]:
            apart = all(u[i] @ v < 0.6 * np.linalg.norm(u[i]) * np.linalg.norm(v) for v in found)
            if apart and len(found) < 3:
                found.append(u[i])
        return found

    def _told(self, found: importance.Estimate, reason: str) -> Probability:
        if not found.betas:
            words = "importance sampling through the points that failed"
            return Probability(found.p, Method.IMPORTANCE, found.standard_error, reason, self._evaluations, words)
        betas = ", ".join(f"{beta:.2f}" for beta in found.betas)
        points = "design point" if len(found.betas) == 1 else "design points"
        words = f"importance sampling about the {points} at {betas} standard deviations"
        return Probability(found.p, Method.IMPORTANCE, found.standard_error, reason, self._evaluations, words)
