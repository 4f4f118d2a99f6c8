"""The exact distribution of a sum of independent members.

Two ways, both convolutions of the members' densities:

*Closed form.* A uniform member is a box and a triangular one two equal boxes. The distribution of a sum of m
boxes is piecewise polynomial of degree m with 2^m corners. The sum over the corners cancels badly in floating
point when the widths differ, so it is done in rational arithmetic, which is exact for the binary numbers given.
It serves up to six boxes.

*Inversion.* Any other sum: the probability above x is the Laplace integral

    Q(x) = 1/(2 pi i) * integral over c - i oo .. c + i oo of exp(K(s) - s x) / s ds,   c > 0

with K the sum of the members' cumulant generating functions. On the vertical line through the saddle point
of the integrand nothing oscillates against something larger, so a small tail keeps its relative accuracy. The
trapezoidal rule with step h has the error sum over k != 0 of exp(2 pi k c / h) Q(x + 2 pi k / h), which vanishes
for k > 0 beyond the end of the support and falls exponentially for k < 0.

References
----------
[1] S. O. Rice, "Efficient evaluation of integrals of analytic functions by the trapezoidal rule", Bell System
    Technical Journal 52 (1973), 707-722.
[2] R. Lugannani, S. Rice, "Saddle point approximation for the distribution of the sum of independent random
    variables", Advances in Applied Probability 12 (1980), 475-490.
[3] Sum of uniform variables of any widths: W. Feller, An Introduction to Probability Theory and Its Applications,
    vol. 2, 2nd edition (1971), section I.9. (All three from memory.)
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

import numpy as np
from scipy import optimize, special

from fitcheck.errors import InputError, finite
from fitcheck.stack.dimension import Interval
from fitcheck.stack.spreads import Normal, Spread

_MOST_BOXES = 6
_DIGITS = 34.0  # natural logarithm of the relative accuracy asked of the inversion, about 1e-15
_POINTS = 1 << 20  # the most points of an inversion; a step finer than that is refused


class Distribution:
    """Distribution of `middle` plus the members, each a half-width and a spread over it."""

    def __init__(self, middle: float, members: Sequence[tuple[float, Spread]]) -> None:
        self._middle = middle
        self._members = [(a, spread) for a, spread in members if a > 0]
        self._variance = math.fsum(a * a * spread.variance for a, spread in self._members)
        boxes: list[float] | None = []
        for a, spread in self._members:
            if boxes is None or spread.boxes is None or len(boxes) + len(spread.boxes) > _MOST_BOXES:
                boxes = None
            else:
                boxes += [a * box for box in spread.boxes]
        self._corners = None if boxes is None else _Corners(boxes)

    @property
    def method(self) -> str:
        """How the probabilities are found, in words."""
        if not self._members:
            return "no member varies"
        if self._is_normal:
            return "exact (normal)"
        return "exact (piecewise polynomial)" if self._corners else "exact (inversion of the transform)"

    @property
    def mean(self) -> float:
        return self._middle

    @property
    def variance(self) -> float:
        return self._variance

    @property
    def std(self) -> float:
        return math.sqrt(self._variance)

    @property
    def support(self) -> Interval:
        """The range that holds everything; infinite if a member is normal."""
        if all(spread.bounded for _, spread in self._members):
            half = math.fsum(a for a, _ in self._members)
            return Interval(self._middle - half, self._middle + half)
        return Interval(-math.inf, math.inf)

    def sf(self, x: float) -> float:
        """Probability of a value above `x`."""
        return self._above(finite("x", x) - self._middle)

    def cdf(self, x: float) -> float:
        """Probability of a value of at most `x`; every spread here is symmetric about its middle."""
        distance = self._middle - finite("x", x)
        return self._above(distance) if self._members else float(distance <= 0)

    def pdf(self, x: float) -> float:
        """Density at `x`."""
        y = abs(finite("x", x) - self._middle)
        if not self._members:
            raise InputError("no member varies: the distribution is a single value and has no density")
        end = self.support.max
        if y > end - self._middle:
            return 0.0
        if self._is_normal:
            return math.exp(-(y**2) / (2 * self._variance)) / math.sqrt(2 * math.pi * self._variance)
        if self._corners:
            return self._corners.density(y)
        return self._invert(y, density=True)

    def quantile(self, p: float) -> float:
        """The value that is not exceeded with probability `p`."""
        if not 0 < finite("p", p) < 1:
            raise InputError(f"p = {p:g}: a probability between 0 and 1 is needed")
        if not self._members:
            return self._middle
        if p > 0.5:
            return self._middle + self._distance(1 - p)
        return self._middle - self._distance(p)

    def interval(self, confidence: float) -> Interval:
        """The range that holds the result with `confidence`, the same risk left on either side."""
        if not 0 < finite("confidence", confidence) < 1:
            raise InputError(f"confidence = {confidence:g}: a number between 0 and 1 is needed, for example 0.99")
        half = self._distance((1 - confidence) / 2) if self._members else 0.0
        return Interval(self._middle - half, self._middle + half)

    # -- inside: distances from the middle ---------------------------------------------------------------

    @property
    def _is_normal(self) -> bool:
        return bool(self._members) and all(isinstance(spread, Normal) for _, spread in self._members)

    def _distance(self, p: float) -> float:
        """How far above the middle the probability of more is `p`, for p of at most a half."""
        if p == 0.5:
            return 0.0
        if self._is_normal:
            return float(-special.ndtri(p)) * self.std
        end = self.support.max - self._middle
        bounded = math.isfinite(end)
        end = end if bounded else 1.1 * self.std
        while not bounded and self._above(end) > p:
            end *= 1.5
        # The root of the logarithm is nearly straight in the tail; below that the support ends.
        return float(
            optimize.brentq(lambda y: math.log(max(self._above(y), 1e-300) / p), 0.0, end, xtol=1e-14 * end, rtol=1e-14)
        )

    def _above(self, y: float) -> float:
        """Probability of more than `y` above the middle."""
        if not self._members:
            return float(y < 0)
        if y < 0:
            return 1.0 - self._above(-y)
        if y >= self.support.max - self._middle:
            return 0.0
        if self._is_normal:
            return float(special.ndtr(-y / self.std))
        if self._corners:
            return self._corners.above(y)
        return self._invert(y, density=False)

    def _cumulant(self, s: Any) -> Any:
        return np.asarray(sum(spread.cumulant(a * np.asarray(s)) for a, spread in self._members))

    def _invert(self, y: float, *, density: bool) -> float:
        c = self._saddle(y)
        at_saddle = float(np.real(self._cumulant(complex(c)))) - c * y
        reach = math.fsum(a for a, spread in self._members if spread.bounded)
        sigma = math.sqrt(math.fsum(a * a * d.variance for a, d in self._members if not d.bounded))
        # Step: no image of the tail within the support, and the images on the other side negligible.
        h = min(
            2 * math.pi / (reach - y + 12 * sigma) if reach - y + 12 * sigma > 0 else math.inf,
            2 * math.pi * c / (_DIGITS - min(at_saddle, 0.0)),
        )
        total, start, block = 0.0, 0, 256
        first = 0.0
        while start < _POINTS:
            t = h * np.arange(start, start + block)
            s = c + 1j * t
            terms = np.exp(self._cumulant(s) - s * y - at_saddle)
            terms = terms if density else terms / s
            real = np.real(terms)
            if start == 0:
                real[0] /= 2
                first = abs(terms[0])
            total += float(np.sum(real))
            # What is left falls at least as fast as the envelope; stop once it cannot be seen.
            if abs(terms[-1]) * (start + block) < 1e-17 * first:
                return math.exp(at_saddle) * total * h / math.pi
            start += block
            block = min(2 * block, 1 << 15)
        raise InputError(
            "the exact distribution needs more than a million points because the widest member is over a "
            "thousand times as wide as the others: use sample()"
        )

    def _saddle(self, y: float) -> float:
        """Where exp(K(s) - s y) / s is least on the positive real axis."""

        def slope(log_s: float) -> float:
            s = math.exp(log_s)
            d = s * 1e-6
            rise = float(np.real(self._cumulant(complex(s + d)) - self._cumulant(complex(s - d)))) / (2 * d)
            return s * (rise - y) - 1.0

        low, high = math.log(1e-3 / self.std), math.log(1.0 / self.std)
        while slope(high) < 0 and high < 700:
            high += 1.0
        while slope(low) > 0:
            low -= 2.0
        return math.exp(float(optimize.brentq(slope, low, high, xtol=1e-3)))


class _Corners:
    """A sum of boxes in closed form.

    With s ranging over the 2^m choices of signs and y_s = sum(s_i a_i) - y:
    Q(y) = sum over y_s > 0 of prod(s_i) y_s^m / (m! prod(2 a_i)).
    """

    def __init__(self, half_widths: Sequence[float]) -> None:
        widths = [Fraction(a) for a in half_widths]
        self._m = len(widths)
        self._volume = math.prod((2 * a for a in widths), start=Fraction(1))
        self._points = [
            (sum((s * a for s, a in zip(signs, widths, strict=True)), Fraction(0)), math.prod(signs))
            for signs in itertools.product((1, -1), repeat=self._m)
        ]

    def above(self, y: float) -> float:
        return self._sum(Fraction(y), self._m)

    def density(self, y: float) -> float:
        return self._sum(Fraction(y), self._m - 1)

    def _sum(self, y: Fraction, power: int) -> float:
        total = sum((sign * (point - y) ** power for point, sign in self._points if point > y), Fraction(0))
        return float(total / (math.factorial(power) * self._volume))
