"""The sum of independent members, each a half-width and a spread over it: which way its tail is found, and why so.

*Closed form.* A sum of uniform members alone is a piecewise polynomial. With s over the 2^n choices of sign,

    P(sum > y) = sum over s of prod(s_i) (sum(s_i a_i) - y)_+^n / (n! prod(2 a_i))

It is quick, but it cancels where widths differ, so it is done in whole numbers of binary steps, which is exact for the
binary numbers given. It serves up to six uniform members alone.

*Inversion* of the transform (`fitcheck.stack.exact.inversion`) serves every sum whose members are of similar width:
some hundred and fifty points for a dozen members.

*Branches.* A few rough members (uniform, arcsine, beta, truncated normal, curvilinear trapezoid), or a member much
wider than the rest, make the transform fall so slowly that inversion needs thousands of points. It is then followed to
the ends of the members' supports (`fitcheck.stack.exact.branches`), at some hundred points a branch.

*Heavy tails.* With members of Student's t, whose transform has a cut, the path goes along it
(`fitcheck.stack.exact.heavy_tails`).

*Parts.* Inspected parts have no transform that falls. Where inversion does not settle, they are counted: the tail is a
mean over the parts of the tail of the rest.

References: W. Feller, An Introduction to Probability Theory and Its Applications, vol. 2, 2nd edition (1971), I.9 (from
memory).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from functools import cached_property

import numpy as np

from fitcheck.errors import UnresolvedError
from fitcheck.later import special
from fitcheck.stack.exact.branches import Branches
from fitcheck.stack.exact.heavy_tails import HeavyTails
from fitcheck.stack.exact.inversion import Transform
from fitcheck.stack.shapes import Empirical
from fitcheck.stack.spreads import Edged, Normal, Spread, Uniform
from fitcheck.stack.student_t import StudentT
from fitcheck.units import FloatArray

_MOST_CORNERS = 6  # uniform members alone that are summed in closed form
_FEW_POINTS = 1 << 10  # of an inversion; beyond, the branches are followed instead
_MANY_POINTS = 1 << 17  # of an inversion, where there are too many branches
_NORMAL_END = 40.0  # standard deviations above which a normal member has a probability of less than 1e-348
_MOST_WIDE = 3.0  # units of a heavy member that count as its width
_MOST_PARTS = 1_000_000  # combinations of inspected parts that are counted


class Convolution:
    """The sum of centred members: `above(y)` and `density(y)` at a distance y above its mean."""

    def __init__(
        self,
        boxes: Sequence[float],
        sigma: float,
        others: Sequence[tuple[float, Spread]],
        heavy: Sequence[tuple[float, StudentT]] = (),
    ) -> None:
        self._boxes = sorted(boxes, reverse=True)
        self._sigma = sigma
        self._others = sorted(others, key=lambda member: -member[0])
        self._heavy = tuple(heavy)
        self._transform = Transform(self._boxes, sigma, self._others)
        self._variance = self._transform.variance  # without the heavy members, which may have none
        #: the standard deviation; of a heavy member at most `_MOST_WIDE` of its units
        self.width = math.sqrt(
            math.fsum(
                [
                    self._variance,
                    *((a / t.coverage) ** 2 * min(t.moments[1] * t.coverage**2, _MOST_WIDE**2) for a, t in self._heavy),
                ]
            )
        )
        #: where nothing is left above, in double precision
        self.end = math.inf if self._heavy else self._transform.bounded_end + _NORMAL_END * sigma
        self._settles_below = math.inf  # towards the end of the support an inversion takes ever more points

    @classmethod
    def of(cls, members: Sequence[tuple[float, Spread]]) -> Convolution:
        """Of members given by scale and spread; a negative scale mirrors the spread."""
        boxes: list[float] = []
        others: list[tuple[float, Spread]] = []
        heavy: list[tuple[float, StudentT]] = []
        squares: list[float] = []
        for a, spread in members:
            if isinstance(spread, Normal):
                squares.append((a / spread.k) ** 2)
            elif isinstance(spread, StudentT):
                heavy.append((abs(a), spread))
            elif spread.boxes is not None:
                boxes.extend(abs(a) * box for box in spread.boxes)
            else:
                others.append((abs(a), spread if a > 0 else spread.mirrored))
        return cls(boxes, math.sqrt(math.fsum(squares)), others, heavy)

    @cached_property
    def mirrored(self) -> Convolution:
        """The sum with its sign changed."""
        mirrored = [(a, spread.mirrored) for a, spread in self._others]
        if all(new is old for (_, new), (_, old) in zip(mirrored, self._others, strict=True)):
            return self
        other = Convolution(self._boxes, self._sigma, mirrored, self._heavy)
        other.__dict__["mirrored"] = self
        return other

    # -- the choice --------------------------------------------------------------------------------------

    @cached_property
    def _way(self) -> str:
        if self._heavy:
            return "single" if len(self._heavy) == 1 and self._variance == 0 else "heavy tails"
        if self._variance == 0:
            return "constant"
        if not self._boxes and not self._others:
            return "normal"
        if not self._boxes and not self._sigma and len(self._others) == 1:
            return "single"
        if not self._sigma and not self._others and len(self._boxes) <= _MOST_CORNERS:
            return "closed form"
        if not self._boxes and not self._sigma and all(isinstance(spread, Empirical) for _, spread in self._others):
            return "parts"
        if self._transform.points_needed() <= _FEW_POINTS:
            return "inversion"
        return self._way_when_rough

    @property
    def _way_when_rough(self) -> str:
        """The way where inversion does not settle."""
        return "parts" if any(isinstance(spread, Empirical) for _, spread in self._others) else "branches"

    @property
    def method(self) -> str:
        """How the probabilities are found, in words."""
        return {
            "constant": "no member varies",
            "normal": "exact (normal)",
            "single": "exact (one member)",
            "closed form": "exact (piecewise polynomial)",
            "inversion": "exact (inversion of the transform)",
            "heavy tails": "exact (inversion of the transform, along its cut)",
            "branches": "exact (inversion of the transform, member by member)",
            "parts": "exact (mean over the inspected parts)",
        }[self._way]

    # -- the questions -----------------------------------------------------------------------------------

    def above(self, y: float) -> float:
        """Probability of more than y above the mean."""
        if y >= self.end:
            return 0.0
        if y <= -self.mirrored.end:
            return 1.0
        if self._way == "normal":
            return float(special.ndtr(-y / self._sigma))
        if self._way == "single":
            return float(self._single_above(np.asarray(y)))
        if self._way == "parts":
            return self._counted(y, 0)
        if y < 0:
            return 1.0 - self.mirrored.above(-y)
        return max(self._tail(y, 0), 0.0)  # some 1e-200 may come out negative

    def density(self, y: float) -> float:
        """Density at y above the mean; infinite where two infinite ends meet."""
        if self._way == "single":
            a, spread = self._single
            return float(spread.pdf(y / a + spread.moments[0])) / a
        if y >= self.end or y <= -self.mirrored.end:
            return 0.0
        if self._way == "normal":
            return math.exp(-(y**2) / (2 * self._variance)) / math.sqrt(2 * math.pi * self._variance)
        if self._way == "parts":
            return self._counted(y, -1)
        if y < 0:
            return self.mirrored.density(-y)
        return max(self._tail(y, -1), 0.0)

    def above_each(self, y: FloatArray) -> FloatArray:
        """`above` for each element of an array."""
        if self._way == "normal":
            return np.asarray(special.ndtr(-y / self._sigma))
        if self._way == "single":
            return self._single_above(y)
        return np.array([self.above(v) for v in y.tolist()])

    # -- inside ------------------------------------------------------------------------------------------

    @property
    def _single(self) -> tuple[float, Spread]:
        """The only member, where there is one."""
        return self._heavy[0] if self._heavy else self._others[0]

    def _single_above(self, y: FloatArray) -> FloatArray:
        a, spread = self._single
        return spread.sf(y / a + spread.moments[0])

    def _tail(self, y: float, power: int) -> float:
        """Probability above y (power 0), or density at y (power -1), for y of at least 0."""
        if self._way == "heavy tails":
            return self._tails.tail(y, power)
        if self._way == "closed form":
            return self._corner_sum(y, power)
        if self._way == "inversion" and y < self._settles_below:
            try:
                return self._transform.tail(y, power, _FEW_POINTS)
            except UnresolvedError:
                self._settles_below = y
        if self._way_when_rough == "parts":
            return self._counted(y, power)
        try:
            return self._branches.tail(y, power, self._transform.saddle(y, power))
        except UnresolvedError:  # so many members of one size that together they are not that rough
            return self._transform.tail(y, power, _MANY_POINTS)

    @cached_property
    def _tails(self) -> HeavyTails:
        return HeavyTails(self._boxes, self._sigma, self._others, self._heavy)

    @cached_property
    def _branches(self) -> Branches:
        edged = [(a, spread) for a, spread in self._others if isinstance(spread, Edged)]
        if len(edged) < len(self._others):
            raise UnresolvedError("the exact distribution needs spreads whose ends are known")
        return Branches([*((a, Uniform()) for a in self._boxes), *edged], self._sigma)

    @cached_property
    def _corners(self) -> tuple[list[tuple[int, int]], int, int]:
        """Positions and signs of the corners of the polynomial and the product of the widths, in whole steps of 2^-k;
        and k.
        """
        k = max(_binary_places(a) for a in self._boxes)
        widths = [_steps(a, k) for a in self._boxes]
        points = [
            (sum(s * a for s, a in zip(signs, widths, strict=True)), math.prod(signs))
            for signs in itertools.product((1, -1), repeat=len(widths))
        ]
        return points, math.prod(2 * a for a in widths), k

    def _corner_sum(self, y: float, power: int) -> float:
        points, volume, k = self._corners
        order = len(self._boxes) + power
        finer = max(_binary_places(y) - k, 0)
        at = _steps(y, k + finer)
        beyond = [(sign, (point << finer) - at) for point, sign in points]
        total = sum(sign * far**order for sign, far in beyond if far > 0)
        # Whole numbers, and their quotient is the float nearest to it.
        return float((total << k * len(self._boxes)) / (math.factorial(order) * volume << (k + finer) * order))

    def _counted(self, y: float, power: int) -> float:
        """The mean over the inspected parts of one member of the tail or the density of the rest."""
        a, spread, rest, count = self._parted
        at, counts = np.unique(spread.values, return_counts=True)
        if count > _MOST_PARTS:
            raise UnresolvedError(f"{count:.2g} combinations of inspected parts are too many to count")
        u = y - a * (at - spread.moments[0])
        each = rest.above_each(u) if power == 0 else np.array([rest.density(v) for v in u.tolist()])
        return float(counts @ each) / spread.values.size

    @cached_property
    def _parted(self) -> tuple[float, Empirical, Convolution, float]:
        """A member of inspected parts, the sum of the rest, and how many combinations of parts there are."""
        i = next(i for i, (_, spread) in enumerate(self._others) if isinstance(spread, Empirical))
        a, spread = self._others[i]
        assert isinstance(spread, Empirical)
        count = math.prod(float(np.unique(s.values).size) for _, s in self._others if isinstance(s, Empirical))
        return a, spread, Convolution(self._boxes, self._sigma, self._others[:i] + self._others[i + 1 :]), count


def _binary_places(x: float) -> int:
    """The least k of which x is a whole number of steps of 2^-k."""
    return x.as_integer_ratio()[1].bit_length() - 1


def _steps(x: float, k: int) -> int:
    """x in steps of 2^-k."""
    top, bottom = x.as_integer_ratio()
    return (top << k) // bottom


def cumulants(spread: Spread) -> tuple[float, float, float, float, float, float]:
    """The first six cumulants, from the moments."""
    raw = (1.0, *spread.moments)
    found: list[float] = []
    for n in range(1, 7):
        lower = math.fsum(math.comb(n - 1, j - 1) * found[j - 1] * raw[n - j] for j in range(1, n))
        found.append(raw[n] - lower)
    return (found[0], found[1], found[2], found[3], found[4], found[5])
