"""Tails of a sum of independent members by inversion of its transform.

For a sum Y of mean 0 with cumulant generating function K, the integrated tail of power p is the Laplace integral

    E (Y - y)_+^p / p! = 1/(2 pi i) * integral over c - i oo .. c + i oo of exp(K(s) - s y) / s^(p + 1) ds,   c > 0

p = 0 is the probability above y, p = -1 the density. On the vertical line through the saddle point of the
integrand nothing oscillates against something larger, so a small tail keeps its relative accuracy. With step h the
trapezoidal rule gives the tail plus its images exp(c d k) I_p(y + d k) for all k != 0, where d = 2 pi / h (Poisson's
summation formula). The images above vanish beyond the end of the support, and fall as exp(-d^2 / 2 V) before
it, V being the tilted variance; those below fall as exp(-c d). Both give a step that makes them negligible.

The integrand falls as one power of s for each uniform member, so a dozen members of similar width need some
eighty points. A member much wider than the rest together makes it fall slowly: such members are taken out first
(`fitcheck.stack.convolution`), which leaves a sum of members of similar width and a power p.

References: S. O. Rice, Bell System Technical Journal 52 (1973) 707-722; R. Lugannani and S. Rice, Advances in
Applied Probability 12 (1980) 475-490 (both from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property
from typing import Any

import numpy as np

from fitcheck.errors import UnresolvedError
from fitcheck.stack.spreads import Spread

_DIGITS = 31.0  # natural logarithm of the accuracy asked of the step, about 3e-14
_SETTLED = 1e-14  # relative to the sum: what the points left out may add
_SETTLED_LATE = 1e-11  # the same once there are many points, where the parts left out cancel anyway
_MANY_POINTS = 1 << 15
_MOST_POINTS = 1 << 21


class Transform:
    """The transform of a sum of centred members: uniform ones, one normal, and others.

    boxes : half-widths of the uniform members
    sigma : standard deviation of the normal members together
    others : scale (negative for a mirrored member) and spread of each remaining member
    """

    def __init__(self, boxes: Sequence[float], sigma: float, others: Sequence[tuple[float, Spread]]) -> None:
        self.boxes = np.array(sorted(boxes, reverse=True))
        self.sigma = sigma
        self.others = tuple(others)
        self._shift = math.fsum(a * spread.moments[0] for a, spread in self.others)
        self._reach = float(self.boxes.sum())
        self.variance = math.fsum(
            [*(self.boxes**2 / 3), sigma * sigma, *(a * a * spread.variance for a, spread in self.others)]
        )
        self._others_squared = math.fsum(a * a for a, _ in self.others)
        #: where the distribution ends above the mean
        self.end = math.inf
        if sigma == 0:
            self.end = self._reach + math.fsum(abs(a) for a, _ in self.others) - self._shift

    @cached_property
    def mirrored(self) -> Transform:
        """The transform of the sum with its sign changed."""
        if not self.others:
            return self
        other = Transform(self.boxes.tolist(), self.sigma, [(-a, spread) for a, spread in self.others])
        other.__dict__["mirrored"] = self
        return other

    def points_needed(self, y: float = 0.0, power: int = 0) -> float:
        """About how many points an inversion at y needs."""
        if self.variance == 0 or y >= self.end:
            return math.inf
        std = math.sqrt(self.variance)
        if y == 0 and (self.sigma > std / 5 or (len(self.boxes) > 7 and self.boxes[7] > std / 5)):
            return 500.0  # plain enough not to look closer
        t = c = 2.5 / std if y == 0 else max(self._saddle(y, power), 2.5 / std)
        while self._log_envelope(c, t, power) > -_DIGITS and t < 1e9 * c:
            t *= 1.5
        return t * max(14 * std if y == 0 else 0.0, min(self.end - y, 9 * std), 35 / c) / (2 * math.pi)

    def tail(self, y: float, power: int) -> float:
        """E (Y - y)_+^p / p!, relatively accurate for y of at least 0."""
        if y >= self.end:
            return 0.0
        std = math.sqrt(self.variance)
        c = max(self._saddle(y, power), 2.5 / std)
        x = self.boxes * c
        bound = np.minimum(self.boxes**2 / 3, 1 / (c * c)).sum() + self.sigma**2 + self._others_squared
        # log of the integrand at c; each box contributes (1 - exp(-2 x)) / (2 x), and exp(x) with the reach.
        at_c = float(np.log(-np.expm1(-2 * x) / (2 * x)).sum()) + (self._reach - y) * c + (self.sigma * c) ** 2 / 2
        other_c = self._others_at(complex(c)).real if self.others else 0.0
        at_c += float(other_c)
        clear = _DIGITS - at_c + math.log(c * math.sqrt(2 * math.pi * float(bound)) + 1)
        clear += max(power, 0) * math.log(60.0) - math.lgamma(max(power, 0) + 1)
        d = max(min(self.end - y, 9 * math.sqrt(float(bound))), clear / c)
        return math.exp(at_c - (power + 1) * math.log(c)) * self._trapezoid(y, power, c, 2 * math.pi / d, other_c)

    # -- inside ------------------------------------------------------------------------------------------

    def _trapezoid(self, y: float, power: int, c: float, h: float, other_c: float) -> float:
        """The integral relative to the integrand at c."""
        order = len(self.boxes) + power + 1
        slope, half_square = self._reach - y, self.sigma**2 / 2
        total, start, block = 0.0, 0, 64
        while start < _MOST_POINTS:
            t = h * np.arange(start, start + block)
            exponent = 1j * t * slope - order * np.log(1 + 1j * t / c)
            if half_square:
                exponent += half_square * (2j * c * t - t * t)
            if self.others:
                exponent += self._others_at(c + 1j * t) - other_c
            terms = np.exp(exponent)
            if self.boxes.size:
                terms *= self._ends(c, h, start, block)
            total += float(terms.real.sum()) - (0.5 if start == 0 else 0.0)
            start += block
            # Beyond this block the integrand falls at least as a power of t, so index times size bounds the rest.
            settled = _SETTLED if start < _MANY_POINTS else _SETTLED_LATE
            if float(np.abs(terms[-16:]).max()) * start < settled * max(abs(total), 1e-3):
                return total * h / math.pi
            block = min(max(64, start // 32 * 16), 1 << 14)
        raise UnresolvedError(
            "the exact distribution needs more than two million points because a few rough members are much wider than "
            "the others: probability() and interval() sample instead"
        )

    def _ends(self, c: float, h: float, start: int, block: int) -> Any:
        """Product over the uniform members of 1 - exp(-2 a s), over its value at c, on a block of the grid.

        On an even grid exp is needed at every 16th point only, times 16 fixed factors.
        """
        total: Any = 1.0
        coarse = c + 1j * h * np.arange(start, start + block, 16)
        fine = 1j * h * np.arange(16)
        small = int(np.searchsorted(-self.boxes, -0.05 / c))  # from here on 1 - exp would cancel
        for first in range(0, small, 16):  # bounds the memory
            a = -2 * self.boxes[first : min(first + 16, small), None]
            grid = np.exp(a * coarse)[:, :, None] * np.exp(a * fine)[:, None, :]
            np.subtract(1, grid, out=grid)
            total = total * grid.reshape(len(a), block).prod(axis=0) / float((-np.expm1(a * c)).prod())
        if small < len(self.boxes):
            s = (coarse[:, None] + fine).ravel()
            for a in -2 * self.boxes[small:]:
                total = total * (np.expm1(a * s) / math.expm1(a * c))
        return total

    def _others_at(self, s: Any) -> Any:
        """The cumulants of the other members, about their mean."""
        total: Any = -s * self._shift
        for a, spread in self.others:
            total = total + spread.cumulant(a * s)
        return total

    def _log_envelope(self, c: float, t: float, power: int) -> float:
        """Bound of the log of the integrand at height t over its value at c."""
        s = math.hypot(c, t)
        x = self.boxes * c
        log = float(np.minimum(0.0, np.log(c / (s * np.tanh(x)))).sum()) - (power + 1) * math.log(s / c)
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
        low, high = 0.0, math.inf
        for _ in range(60):
            x = boxes * c
            root = np.sqrt(4 + x * x)
            rise = float((boxes * x / (1 + root)).sum()) + self.sigma**2 * c
            curve = float((boxes**2 * (root + 4) / (root * (1 + root) ** 2)).sum()) + self.sigma**2
            if self.others:
                e = 1e-5 * c
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
            if abs(new - c) < 0.1 * c:
                return new
            c = new
        return c
