"""The exact distribution of a sum of independent members, as the user meets it.

How the probabilities are found, and why so, is told in `fitcheck.stack.exact.convolution`. The aim, which the tests
hold it to: absolute error of a cumulative probability at most 1e-12, relative error of a tail at most 1e-9 down to
1e-15, for 1 to 200 members whose widths differ by up to a million.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import cached_property
from typing import Any

import numpy as np

from fitcheck.errors import InputError, finite, fraction
from fitcheck.later import optimize, special
from fitcheck.shown import ShownTable
from fitcheck.stack.ends import Interval
from fitcheck.stack.exact.convolution import Convolution, cumulants
from fitcheck.stack.plotted import Plotted
from fitcheck.stack.shapes import Empirical
from fitcheck.stack.spreads import Normal, Spread
from fitcheck.stack.student_t import StudentT

_CLOSE = 9e-16  # of a quantile: as near as the search goes
_LEAST = 1e-150  # half-width whose square is still a number of full digits
_GUESSED = 0.02  # standard deviations: what a guess may be off


class Distribution(Plotted):
    """Distribution of `middle` plus the members, each a half-width and a spread over it.

    Both are in mm, or in the inside unit of the kind. A negative half-width mirrors its spread. Every probability is of
    a single value or, given an array, of each.
    """

    def __init__(self, middle: float, members: Sequence[tuple[float, Spread]]) -> None:
        self._middle: float = finite("middle", middle)
        self._members = [(a, spread) for a, spread in members if a != 0]
        if not all(math.isfinite(a) for a, _ in self._members):
            raise InputError("half-widths: finite numbers are needed")
        self._shift = math.fsum(a * spread.moments[0] for a, spread in self._members)

    def __repr__(self) -> str:
        return f"<distribution of {len(self._members)} members about {self._middle:.6g}, {self.method}>"

    def _table(self) -> ShownTable:
        """What a notebook shows."""
        low, high = self.interval(0.99)
        rows = [("mean", f"{self.mean:.6g}"), ("99 % interval", f"{low:.6g} to {high:.6g}"), ("found by", self.method)]
        return ShownTable(repr(self), rows)

    @property
    def _heavy(self) -> bool:
        """Whether a standard deviation, if there is one, says nothing of the tails."""
        return any(isinstance(spread, StudentT) for _, spread in self._members)

    @cached_property
    def _sum(self) -> Convolution:
        widest = max((abs(a) for a, _ in self._members), default=1.0)
        if widest < _LEAST:
            raise InputError(
                f"half-widths up to {widest:g}: one of {_LEAST:g} or more is needed, or exact sizes: of less the "
                "squares are lost"
            )
        return Convolution.of(self._members)

    @property
    def method(self) -> str:
        """How the probabilities are found, in words."""
        return self._sum.method

    # -- moments -----------------------------------------------------------------------------------------

    @property
    def mean(self) -> float:
        """Mean, in mm or the inside unit of the sum."""
        return self._middle + self._shift

    @cached_property
    def variance(self) -> float:
        """Variance, in mm² or the square of the inside unit of the sum.

        Raises `InputError` for a member that has none: Student t with 2 degrees of freedom.
        """
        return math.fsum(a * a * spread.variance for a, spread in self._members)

    @property
    def std(self) -> float:
        """Standard deviation, in mm or the inside unit of the sum."""
        return math.sqrt(self.variance)

    @property
    def skewness(self) -> float:
        """Third central moment over the cube of the standard deviation; 0 if nothing varies.

        A ratio. Raises `InputError` for a member that has none: Student t with up to 3 degrees of freedom.
        """
        self._must_have(3, "skewness")
        std = self.std  # the members over it, so that no power of a tiny one is lost
        return math.fsum((a / std) ** 3 * cumulants(spread)[2] for a, spread in self._members) if std else 0.0

    @property
    def kurtosis(self) -> float:
        """Fourth central moment over the square of the variance, 3 for a normal one; 3 if nothing varies.

        A ratio. Raises `InputError` for a member that has none: Student t with up to 4 degrees of freedom.
        """
        self._must_have(4, "kurtosis")
        std = self.std
        return 3.0 + (math.fsum((a / std) ** 4 * cumulants(spread)[3] for a, spread in self._members) if std else 0.0)

    def _must_have(self, order: int, what: str) -> None:
        for _, spread in self._members:
            if isinstance(spread, StudentT) and spread.degrees <= order:
                raise InputError(f"{spread.name}: there is no {what}: more than {order} are needed")

    @property
    def support(self) -> Interval:
        """The range that holds everything; infinite if a member is normal or of Student's t."""
        if all(spread.bounded for _, spread in self._members):
            half = math.fsum(abs(a) for a, _ in self._members)
            return Interval(self._middle - half, self._middle + half)
        return Interval(-math.inf, math.inf)

    # -- probabilities -----------------------------------------------------------------------------------

    def sf(self, x: Any) -> Any:
        """Probability of a value above `x`.

        x: value, in mm or the inside unit of the sum. Floats or arrays. Raises `InputError` for one that is not finite.
        """
        return self._each(self._sum.above, x)

    def cdf(self, x: Any) -> Any:
        """Probability of a value of at most `x`.

        x: value, in mm or the inside unit of the sum. Floats or arrays. Raises `InputError` for one that is not finite.
        """
        if any(not isinstance(spread, Empirical) for _, spread in self._members):
            return self._each(lambda y: self._sum.mirrored.above(-y), x)
        # Inspected parts alone have probabilities of their own, which the mirrored tail would leave out.
        return self._each(lambda y: 1.0 - self._sum.above(y), x)

    def pdf(self, x: Any) -> Any:
        """Density at `x`, a probability for a unit of x.

        x: value, in mm or the inside unit of the sum. Floats or arrays. Raises `InputError` for one that is not finite,
        and where no member varies or inspected parts alone do: single values have no density.
        """
        if not self._members:
            raise InputError("no member varies: the distribution is a single value and has no density")
        return self._each(self._sum.density, x)

    def _each(self, ask: Callable[[float], float], x: Any) -> Any:
        x = finite("x", x)
        if isinstance(x, float):
            return ask((x - self._middle) - self._shift)
        return np.array([ask((v - self._middle) - self._shift) for v in x.ravel().tolist()]).reshape(x.shape)

    def quantile(self, p: float) -> float:
        """The value that is not exceeded with probability `p`, in mm or the inside unit of the sum.

        p: probability. Raises `InputError` for p not above 0 and below 1.

        Its distance from the mean is found to 2e-15 of the largest such distance (of three standard deviations if there
        is none), and rounded with the mean. Where the density is steep, as near an end, so small a step may change the
        probability by more than the 1e-9 of itself to which a tail is known.
        """
        p = fraction("p", p)
        if not self._members:
            return self._middle
        if p > 0.5:
            return self.mean + self._distance(self._sum, 1 - p)
        return self.mean - self._distance(self._sum.mirrored, p)

    def upper_quantile(self, p: float) -> float:
        """The value that is exceeded with probability `p`, also where 1 - p is 1 in double precision.

        In mm, or in the inside unit of the sum. p: probability. Raises `InputError` for p not above 0 and below 1.
        """
        p = fraction("p", p)
        if not self._members:
            return self._middle
        return self.mean + self._distance(self._sum, p) if p < 0.5 else self.quantile(1 - p)

    def interval(self, confidence: float) -> Interval:
        """The range that holds the result with `confidence`, the same risk left on either side.

        In mm, or in the inside unit of the sum. confidence: probability. Raises `InputError` for one not above 0 and
        below 1.
        """
        confidence = fraction("confidence", confidence)
        if not self._members:
            return Interval(self._middle, self._middle)
        risk = (1 - confidence) / 2
        below = self._distance(self._sum.mirrored, risk)
        above = below if self._sum.mirrored is self._sum else self._distance(self._sum, risk)
        return Interval(self.mean - below, self.mean + above)

    def _distance(self, side: Convolution, p: float) -> float:
        """How far above the mean the probability of more is `p`, for p of at most a half."""
        std = side.width
        if all(isinstance(spread, Normal) for _, spread in self._members):
            return float(-special.ndtri(p)) * std
        symmetric = side.mirrored is side
        if symmetric and p == 0.5:
            return 0.0
        # Cantelli's inequality: the distance lies within a standard deviation below and std / sqrt(p) above.
        low = 0.0 if symmetric else (-math.inf if self._heavy else -std)
        high = min(side.end, math.inf if self._heavy else std / math.sqrt(p))
        known: dict[float, float] = {}

        # The logarithm of a tail is nearly straight, which suits the search; where it is 0, anything below p will do.
        def log_ratio(y: float) -> float:
            if y not in known:
                left = side.above(y)
                known[y] = math.log(left) - math.log(p) if left > 0 else -1.0
            return known[y]

        # From a guess outwards: far from it each place would need a transform of its own.
        below = above = min(max(self._guess(p, 1 if side is self._sum else -1) * std, low), high)
        step = _GUESSED * std
        if log_ratio(above) > 0:
            while above < high and log_ratio(above) > 0:
                below, above, step = above, min(above + step, high), 4 * step
        else:
            while below > low and log_ratio(below) <= 0:
                below, above, step = max(below - step, low), below, 4 * step
        if log_ratio(below) <= 0:
            return below
        if log_ratio(above) >= 0:
            return above
        return float(optimize.brentq(log_ratio, below, above, xtol=_CLOSE * max(abs(above), std), rtol=_CLOSE))

    def _guess(self, p: float, sign: int) -> float:
        """About how many standard deviations above the mean the probability of more is `p`: the expansion of Cornish
        and Fisher to the fourth cumulant (M. G. Kendall and A. Stuart, The Advanced Theory of Statistics, vol. 1, 6.25,
        from memory). sign: -1 for the mirrored sum.
        """
        z = float(-special.ndtri(p))
        if self._heavy:
            return z
        third, fourth = sign * self.skewness, self.kurtosis - 3
        return z + (z * z - 1) * third / 6 + (z**3 - 3 * z) * fourth / 24 - (2 * z**3 - 5 * z) * third**2 / 36
