"""Tails of a sum of independent members by inversion of its transform.

For a sum Y of mean 0 with cumulant generating function K,

    P(Y > y) = 1/(2 pi i) * integral over c - i oo .. c + i oo of exp(K(s) - s y) / s ds,   c > 0

and the density is the same without the factor 1/s. On the vertical line through the saddle point of the integrand
nothing oscillates against something larger, so a small tail keeps its relative accuracy. With step h the trapezoidal
rule gives the tail plus its images exp(c d k) P(Y > y + d k) for all k != 0, where d = 2 pi / h (Poisson's summation
formula). The images above vanish beyond the end of the support, and fall as exp(-d^2 / 2 V) before it, V being the
tilted variance; those below fall as exp(-c d). Both give a step that makes them negligible.

The integrand falls as one power of s for each uniform member, so a dozen members of similar width need some
hundred and fifty points. Where a few rough members make it fall slowly the path is turned: see
`fitcheck.stack.exact.branches`.

References: S. O. Rice, Bell System Technical Journal 52 (1973) 707-722; R. Lugannani and S. Rice, Advances in
Applied Probability 12 (1980) 475-490 (both from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from fitcheck.errors import UnresolvedError
from fitcheck.stack.spreads import Spread

_DIGITS = 31.0  # natural logarithm of the accuracy asked of the step, about 3e-14
_BOXES_AT_ONCE = 16  # bounds the memory, and keeps products from overflowing
_BLOCK_KEPT, _MOST_KEPT = 1 << 9, 256  # largest block and number of blocks that are kept: 4 MiB
_SMALLEST = -745.0  # natural logarithm of numbers that are 0 in double precision
_SETTLED = 1e-14  # relative to the sum: what the points left out may add


_PLACES = 16  # of a line in an octave
_FIRST_BLOCK = 192  # a dozen uniform members of similar width are done with it


class Transform:
    """The transform of a sum of centred members: uniform ones, one normal, and others.

    boxes : half-widths of the uniform members
    sigma : standard deviation of the normal members together
    others : half-width and spread of each remaining member
    """

    def __init__(self, boxes: Sequence[float], sigma: float, others: Sequence[tuple[float, Spread]]) -> None:
        self._kept: dict[tuple[float, float, int, int], tuple[Any, Any]] = {}
        self.boxes = np.array(sorted(boxes, reverse=True))
        self.sigma = sigma
        self.others = tuple(others)
        self._shift = math.fsum(a * spread.moments[0] for a, spread in self.others)
        self._reach = float(self.boxes.sum())
        self.variance = math.fsum(
            [*(self.boxes**2 / 3), sigma * sigma, *(a * a * spread.variance for a, spread in self.others)]
        )
        self._others_squared = math.fsum(a * a for a, _ in self.others)
        #: where the bounded members end above the mean
        self.bounded_end = self._reach + math.fsum(a for a, _ in self.others) - self._shift
        #: where the distribution ends above the mean
        self.end = math.inf if sigma else self.bounded_end

    def points_needed(self) -> float:
        """About how many points an inversion at the mean needs, of members that vary."""
        std = math.sqrt(self.variance)
        if self.sigma > std / 5 or (len(self.boxes) > 7 and self.boxes[7] > std / 5):
            return 500.0  # plain enough not to look closer
        t = c = 2.5 / std
        while self._log_envelope(c, t) > -_DIGITS and t < 1e9 * c:
            t *= 1.5
        return t * 14 * std / (2 * math.pi)

    def tail(self, y: float, power: int, most: int) -> float:
        """Probability above y (power 0) or density at y (power -1), relatively accurate for y from 0 to below `end`.

        Raises `UnresolvedError` if that takes more than `most` points.
        """
        c = _rounded_up(self._line(y, power))
        bound = np.minimum(self.boxes**2 / 3, 1 / (c * c)).sum() + self.sigma**2 + self._others_squared
        other_c = float(self._others_at(complex(c)).real) if self.others else 0.0
        at_c = self._log_boxes(c) + other_c - y * c
        clear = _DIGITS - at_c + math.log(c * math.sqrt(2 * math.pi * float(bound)) + 1)
        # On the line, the normal member lies about sigma^2 c, and the others below their end.
        ends = self.bounded_end + self.sigma**2 * c + 9 * self.sigma - y
        d = max(min(ends, 9 * math.sqrt(float(bound))), clear / c)
        if at_c < _SMALLEST:
            return 0.0
        return math.exp(at_c - (power + 1) * math.log(c)) * self._trapezoid(
            y, power, c, 2 * math.pi / _rounded_up(d), other_c, most
        )

    def saddle(self, y: float, power: int) -> float:
        """Where the line may cross the real axis: near the saddle point, but one of few places, which serve again.

        Half an octave costs no digits, unless the sum is so skewed that the integrand is steep there.
        """
        c = max(self._saddle(y, power), 0.3 / math.sqrt(self.variance))
        near = 2.0 ** (round(2 * math.log2(c)) / 2)
        return near if self._log_at(near, y) < self._log_at(c, y) + 3 else c

    # -- inside ------------------------------------------------------------------------------------------

    def _trapezoid(self, y: float, power: int, c: float, h: float, other_c: float, most: int) -> float:
        """The integral relative to the integrand at c."""
        total, start, block = 0.0, 0, _FIRST_BLOCK
        while start < most:
            t = h * np.arange(start, start + block)
            exponent, factor = self._on_line(c, h, start, block, other_c)
            terms = np.exp(exponent + 1j * t * (self._reach - y))
            if power == 0:
                factor = factor / (1 + 1j * t / c)
            terms *= factor
            total += float(terms.real.sum()) - (0.5 if start == 0 else 0.0)
            start += block
            # Beyond this block the integrand falls at least as a power of t, so index times size bounds the rest.
            if float(np.abs(terms[-16:]).max()) * start < _SETTLED * max(abs(total), 1e-3):
                return total * h / math.pi
            block = min(max(64, start // 32 * 16), 1 << 14)
        raise UnresolvedError(
            f"the exact distribution needs more than {most} points because a few rough members are much wider "
            "than the others: probability() and interval() sample instead"
        )

    def _on_line(self, c: float, h: float, start: int, block: int, other_c: float) -> tuple[Any, Any]:
        """Exponent and factor of the integrand, relative to those at c, whatever y."""
        key = (c, h, start, block)
        if key in self._kept:
            return self._kept[key]
        t = h * np.arange(start, start + block)
        exponent = (self.sigma**2 / 2) * (2j * c * t - t * t)
        if self.boxes.size:
            exponent -= min(len(self.boxes), _BOXES_AT_ONCE) * np.log(1 + 1j * t / c)
        if self.others:
            exponent += self._others_at(c + 1j * t) - other_c
        found = exponent, self._ends(c, h, start, block)
        if block <= _BLOCK_KEPT:
            while len(self._kept) >= _MOST_KEPT:
                del self._kept[next(iter(self._kept))]
            self._kept[key] = found
        return found

    def _ends(self, c: float, h: float, start: int, block: int) -> Any:
        """Product over the uniform members of 1 - exp(-2 a s), over its value at c, on a block of the grid.

        Of the members after the first few also c / s, lest their product overflow; the others leave it to the caller.
        On an even grid exp is needed at every 16th point only, times 16 fixed factors.
        """
        total: Any = 1.0
        coarse = c + 1j * h * np.arange(start, start + block, 16)
        fine = 1j * h * np.arange(16)
        small = int(np.searchsorted(-self.boxes, -0.05 / c))  # from here on 1 - exp would cancel
        s = (coarse[:, None] + fine).ravel()
        for first in range(0, small, _BOXES_AT_ONCE):
            a = -2 * self.boxes[first : min(first + _BOXES_AT_ONCE, small), None]
            grid = np.exp(a * coarse)[:, :, None] * np.exp(a * fine)[:, None, :]
            np.subtract(1, grid, out=grid)
            total = total * grid.reshape(len(a), block).prod(axis=0) / float((-np.expm1(a * c)).prod())
            if first:
                total = total * (c / s) ** len(a)
        for i, a in enumerate((-2 * self.boxes[small:]).tolist(), start=small):
            total = total * (np.expm1(a * s) / math.expm1(a * c))
            if i >= _BOXES_AT_ONCE:
                total = total * (c / s)
        return total

    def _others_at(self, s: Any) -> Any:
        """The cumulants of the other members, about their mean."""
        total: Any = -s * self._shift
        for a, spread in self.others:
            total = total + spread.cumulant(a * s)
        return total

    def _line(self, y: float, power: int) -> float:
        """The saddle point, or a place above it that needs fewer points, if the integrand is not much larger there."""
        c = 2.5 / math.sqrt(self.variance)
        if self.others:
            while self._log_at(c, y) > 6:
                c /= 1.5
        return max(c, self._saddle(y, power))

    def _log_at(self, c: float, y: float) -> float:
        """K(c) - c y."""
        return self._log_boxes(c) + (float(self._others_at(complex(c)).real) if self.others else 0.0) - c * y

    def _log_boxes(self, c: float) -> float:
        """The cumulants of the uniform and the normal members at c: of a box, log of exp(x) (1 - exp(-2 x)) / (2 x)."""
        x = self.boxes * c
        return float(np.log(-np.expm1(-2 * x) / (2 * x)).sum()) + self._reach * c + (self.sigma * c) ** 2 / 2

    def _log_envelope(self, c: float, t: float) -> float:
        """Bound of the log of the integrand at height t over its value at c."""
        s = math.hypot(c, t)
        x = self.boxes * c
        log = float(np.minimum(0.0, np.log(c / (s * np.tanh(x)))).sum()) - math.log(s / c)
        log -= (self.sigma * t) ** 2 / 2
        if self.others:
            # Two heights, lest the bound rest on a zero of an oscillating factor.
            at = self._others_at(np.array([c + 1j * t, c + 1.07j * t, complex(c)])).real
            log += float(max(at[0], at[1]) - at[2])
        return log

    def _saddle(self, y: float, power: int) -> float:
        """About where exp(K(s) - s y) / s^(p + 1) is least on the positive real axis.

        Any c > 0 is valid, so the slope coth(x) - 1/x of a uniform member is replaced by x / (1 + sqrt(4 + x^2)),
        which is right at both ends and within 4 % between.
        """
        order = power + 1
        c = (y + math.sqrt(y * y + 4 * max(order, 0.5) * self.variance)) / (2 * self.variance)
        if math.isfinite(self.end):
            c = max(c, (len(self.boxes) + order) / (self.end - y) / 2)
        boxes = self.boxes
        # For a density at the mean, which has no pole, the least value is at 0 itself.
        low, high, lowest = 0.0, math.inf, 1e-3 / math.sqrt(self.variance)
        for _ in range(60):
            x = boxes * c
            root = np.sqrt(4 + x * x)
            rise = float((boxes * x / (1 + root)).sum()) + self.sigma**2 * c
            curve = float((boxes**2 * (root + 4) / (root * (1 + root) ** 2)).sum()) + self.sigma**2
            if self.others:
                # Not less: near the end of the support the cumulants are large, and their differences cancel.
                e = 0.01 * c
                up, at, down = self._others_at(np.array([c + e, c, c - e], dtype=complex)).real
                rise += float(up - down) / (2 * e)
                curve += max(float(up - 2 * at + down) / (e * e), 0.0)
            value = c * (rise - y) - order
            if value > 0:
                high = c
            else:
                low = c
            step = -value / (rise - y + c * curve) if rise - y + c * curve > 0 else c
            new = c + step
            if not low < new < high:
                new = 2 * c if math.isinf(high) else (math.sqrt(low * high) if low > 0 else high / 3)
            # A tenth off, and the logarithm of the integrand less than a half.
            if abs(new - c) < 0.1 * c and (new - c) ** 2 * (curve + order / c**2) < 1:
                return new
            c = new
            if c < lowest:
                return lowest
        return c


def _rounded_up(x: float) -> float:
    """One of few places and steps, so that the values on the line serve the next y as well."""
    return math.pow(2.0, math.ceil(_PLACES * math.log2(x)) / _PLACES)
