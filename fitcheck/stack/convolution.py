"""The distribution of a sum of independent members, by whichever exact way its widths allow.

*Closed form.* The distribution of a sum of m uniform members is piecewise polynomial of degree m with 2^m
corners. The sum over the corners cancels badly in floating point when the widths differ, so it is done in
rational arithmetic, which is exact for the binary numbers given. It serves up to six uniform members alone.

*Inversion* of the transform (`fitcheck.stack.inversion`) serves every sum whose members are of similar width.

*Corners.* If one or several uniform members are much wider than the rest Y, they are integrated in closed form:
with s over the 2^m choices of sign and z_s = y - sum(s_i a_i),

    P(sum > y) = sum over s of prod(s_i) I_m(z_s) / prod(2 a_i),      I_m(z) = E (Y - z)_+^m / m!

Above the support of Y the integrated tail I_m is 0; below it, it is a polynomial in the moments of Y; in between,
which concerns few corners because the wide members are wide, it is inverted on its own saddle line. The
polynomials, which cancel, are summed in rational arithmetic.

*Conditioning.* If a wide member is neither uniform nor normal (arcsine, beta, truncated normal, inspected parts), then

    P(W + Y > y) = P(W > y - y_min) + integral of f_W(y - u) P(Y > u) du over the support of Y

by double exponential quadrature between the corners of Y; all terms are positive, so a tail keeps its relative
accuracy. For inspected parts the integral is a mean over the parts.

References: W. Feller, An Introduction to Probability Theory and Its Applications, vol. 2, 2nd edition (1971), I.9;
H. Takahasi and M. Mori, Publications of RIMS 9 (1974) 721-741 (both from memory).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import cached_property

import numpy as np
from scipy import special

from fitcheck.stack.inversion import Transform
from fitcheck.stack.shapes import Empirical, double_exponential
from fitcheck.stack.spreads import Normal, Spread
from fitcheck.units import FloatArray

_MOST_CORNERS = 6  # uniform members integrated in closed form
_ENOUGH = 1500  # points of an inversion that are not worth avoiding
_TOO_MANY = 8_000  # points of an inversion beyond which a single wide member is conditioned on
_NEGLIGIBLE = 9.5  # standard deviations beyond which a normal tail is below 1e-20


class Convolution:
    """The sum of centred members: `above(y)` and `density(y)` at a distance y above its mean."""

    def __init__(self, boxes: Sequence[float], sigma: float, others: Sequence[tuple[float, Spread]]) -> None:
        self._boxes = sorted(boxes, reverse=True)
        self._sigma = sigma
        self._others = sorted(others, key=lambda member: -abs(member[0]))
        self._whole = Transform(self._boxes, sigma, self._others)
        self.variance = self._whole.variance
        self.end = self._whole.end

    @classmethod
    def of(cls, members: Sequence[tuple[float, Spread]]) -> Convolution:
        """Of members given by scale and spread."""
        boxes: list[float] = []
        others: list[tuple[float, Spread]] = []
        squares: list[float] = []
        for a, spread in members:
            if isinstance(spread, Normal):
                squares.append((a / spread.k) ** 2)
            elif spread.boxes is not None:
                boxes.extend(abs(a) * box for box in spread.boxes)
            else:
                others.append((a, spread))
        return cls(boxes, math.sqrt(math.fsum(squares)), others)

    @cached_property
    def mirrored(self) -> Convolution:
        """The sum with its sign changed."""
        if not self._others:
            return self
        other = Convolution(self._boxes, self._sigma, [(-a, spread) for a, spread in self._others])
        other.__dict__["mirrored"] = self
        return other

    # -- the choice --------------------------------------------------------------------------------------

    @cached_property
    def _plan(self) -> tuple[str, int]:
        """The way, and how many of the widest uniform members are integrated in closed form."""
        if self.variance == 0:
            return "constant", 0
        if not self._boxes and not self._others:
            return "normal", 0
        if not self._boxes and not self._sigma and len(self._others) == 1:
            return "single", 0
        if not self._sigma and not self._others and len(self._boxes) <= _MOST_CORNERS:
            return "closed form", len(self._boxes)
        if not self._boxes and not self._sigma and all(isinstance(spread, Empirical) for _, spread in self._others):
            return "conditioning", 0
        best, fewest = 0, self._whole.points_needed()
        if fewest > _ENOUGH:
            for m in range(1, min(_MOST_CORNERS, len(self._boxes)) + 1):
                needed = Transform(self._boxes[m:], self._sigma, self._others).points_needed() + 30.0 * 2**m
                if needed < fewest:
                    best, fewest = m, needed
        # With one or two rough members and little beside them conditioning is quick, and good to the very end.
        lone = len(self._others) == 1 and len(self._boxes) <= 2
        pair = len(self._others) == 2 and not self._boxes
        if (lone or pair) and self._sigma**2 < self.variance / 2500:
            return "conditioning", 0
        # Conditioning on several members nests, so that each asks sixteen times the points first.
        if self._others and fewest > self._limit:
            return "conditioning", 0
        return ("corners" if best else "inversion"), best

    @property
    def _limit(self) -> float:
        return float(_TOO_MANY * 16 ** min(len(self._others) - 1, 2))

    def _way_at(self, y: float, power: int) -> tuple[str, int]:
        """The plan, but conditioning where near the end of its support the transform falls too slowly."""
        way, m = self._plan
        few = len(self._boxes) + len(self._others) <= 5
        if way == "inversion" and self._others and few and self._whole.points_needed(abs(y), power) > self._limit:
            return "conditioning", 0
        return way, m

    @property
    def method(self) -> str:
        """How the probabilities are found, in words."""
        return {
            "constant": "no member varies",
            "normal": "exact (normal)",
            "single": "exact (one member)",
            "closed form": "exact (piecewise polynomial)",
            "inversion": "exact (inversion of the transform)",
            "corners": "exact (wide members in closed form, the rest by inversion)",
            "conditioning": "exact (integrated over the widest member)",
        }[self._plan[0]]

    # -- the questions -----------------------------------------------------------------------------------

    def above(self, y: float) -> float:
        """Probability of more than y above the mean."""
        if y >= self.end:
            return 0.0
        if y <= -self.mirrored.end:
            return 1.0
        way, m = self._way_at(y, 0)
        if way == "constant":
            return float(y < 0)
        if way == "normal":
            return float(special.ndtr(-y / self._sigma))
        if way == "single":
            return float(self._single_above(np.asarray(y)))
        if way == "conditioning":
            return self._conditioned(y, lambda rest, u: rest.above_each(u), whole=True)
        if y < 0:
            return 1.0 - self.mirrored.above(-y)
        return self._corner_sum(y, m, m) if m else self._whole.tail(y, 0)

    def density(self, y: float) -> float:
        """Density at y above the mean."""
        if y > self.end or y < -self.mirrored.end:
            return 0.0
        way, m = self._way_at(y, -1)
        if way == "normal":
            return math.exp(-(y**2) / (2 * self.variance)) / math.sqrt(2 * math.pi * self.variance)
        if way == "single":
            a, spread = self._others[0]
            return float(spread.pdf(y / a + spread.moments[0])) / abs(a)
        if way == "conditioning":
            return self._conditioned(y, lambda rest, u: np.array([rest.density(v) for v in u.tolist()]), whole=False)
        if y < 0:
            return self.mirrored.density(-y)
        return self._corner_sum(y, m, m - 1) if m else self._whole.tail(y, -1)

    def above_each(self, y: FloatArray) -> FloatArray:
        """`above` for each element of an array."""
        if self._plan[0] == "normal":
            return np.asarray(special.ndtr(-y / self._sigma))
        if self._plan[0] == "single":
            return self._single_above(y)
        return np.array([self.above(v) for v in y.tolist()])

    def _single_above(self, y: FloatArray) -> FloatArray:
        a, spread = self._others[0]
        z = y / a + spread.moments[0]
        if a > 0:
            return spread.sf(z)
        if isinstance(spread, Empirical):  # less than z, not at most z
            return np.asarray(np.searchsorted(spread.values, z, side="left") / spread.values.size)
        return spread.cdf(z)

    # -- corners -----------------------------------------------------------------------------------------

    @cached_property
    def _corners(self) -> tuple[list[tuple[Fraction, int]], Fraction, Transform, list[Fraction]]:
        """Positions and signs of the corners, the product of the widths, the rest, and its moments from 0."""
        m = self._plan[1]
        wide = [Fraction(a) for a in self._boxes[:m]]
        points = [
            (sum((s * a for s, a in zip(signs, wide, strict=True)), Fraction(0)), math.prod(signs))
            for signs in itertools.product((1, -1), repeat=m)
        ]
        volume = math.prod((2 * a for a in wide), start=Fraction(1))
        rest = Transform(self._boxes[m:], self._sigma, self._others)
        return points, volume, rest, [Fraction(x) for x in _moments(rest)]

    def _corner_sum(self, y: float, m: int, power: int) -> float:
        points, volume, rest, moments = self._corners
        exact, parts = Fraction(0), []
        for point, sign in points:
            z = Fraction(y) - point
            near = float(z)
            if z < 0:
                # I_p(z) = E (Y - z)^p / p! - (-1)^p E (z - Y)_+^p / p!
                exact += sign * sum(
                    (math.comb(power, k) * moments[k] * (-z) ** (power - k) for k in range(power + 1)), Fraction(0)
                )
                if rest.variance and -near < rest.mirrored.end:
                    parts.append(-sign * (-1) ** power * rest.mirrored.tail(-near, power))
            elif rest.variance and near < rest.end:
                parts.append(sign * rest.tail(near, power))
        return float(exact / (math.factorial(power) * volume)) + math.fsum(parts) / float(volume)

    # -- conditioning ------------------------------------------------------------------------------------

    @cached_property
    def _rest(self) -> tuple[float, float, Spread, Convolution]:
        """The widest other member, its mean, and the sum of the rest."""
        a, spread = self._others[0]
        return a, a * spread.moments[0], spread, Convolution(self._boxes, self._sigma, self._others[1:])

    def _conditioned(self, y: float, ask: Callable[[Convolution, FloatArray], FloatArray], *, whole: bool) -> float:
        """P(W + Y > y), or the density there; `ask` asks the rest Y."""
        a, mean, spread, rest = self._rest
        if isinstance(spread, Empirical):
            at, counts = np.unique(spread.values, return_counts=True)
            return float(counts @ ask(rest, y - (a * at - mean))) / spread.values.size
        tail = _NEGLIGIBLE * rest._sigma
        finite_end = math.fsum([*rest._boxes, *(abs(b) * (1 + abs(d.moments[0])) for b, d in rest._others)])
        low, high = -min(rest.mirrored.end, finite_end + tail), min(rest.end, finite_end + 4 * tail)
        # u = y - w runs over the support of W from first (w at its upper limit) to last.
        first, last = y - (abs(a) - mean), y + abs(a) + mean
        start, stop = max(low, first), min(high, last)
        total = 0.0
        if whole and low > first:
            # Where the rest exceeds u for certain only W matters: P(W > y - low), W counted from its mean.
            z = (y - low + mean) / a
            total = float(spread.sf(z) if a > 0 else spread.cdf(z))
        if stop <= start:
            return total
        knots = sorted({start, stop, *(k for k in rest._knots() if start < k < stop)})
        for left, right in itertools.pairwise(knots):
            from_left, from_right, weights = double_exponential(right - left)
            upper = np.where(from_left < from_right, from_left + (left - first), (right - first) - from_right)
            lower = np.where(from_left < from_right, (last - left) - from_left, from_right + (last - right))
            # Distances of w from its two limits, in half-widths; a mirrored member has them exchanged.
            near_top, near_bottom = (upper, lower) if a > 0 else (lower, upper)
            f = _density(spread, near_bottom / abs(a), near_top / abs(a)) / abs(a)
            u = np.where(from_left < from_right, left + from_left, right - from_right)
            total += float(np.sum(weights * f * ask(rest, u)))
        return total

    def _knots(self) -> list[float]:
        """Where the distribution is not smooth: sums of limits of its rough members, if they are few."""
        ends = [(a, -a) for a in self._boxes] + [
            (a * (1 - d.moments[0]), -a * (1 + d.moments[0])) for a, d in self._others
        ]
        if len(ends) > 4:
            return [0.0]
        inner = [math.fsum(choice) for choice in itertools.product(*ends)]
        if self._sigma:
            return sorted({x + d * self._sigma for x in inner for d in (-6.0, 0.0, 6.0)})
        return sorted(set(inner))


def _density(spread: Spread, below: FloatArray, above: FloatArray) -> FloatArray:
    """Density of a bounded spread at distances from its limits, accurate where it is infinite at a limit."""
    density = getattr(spread, "density", None)
    if density is not None:
        return np.asarray(density(below, above))
    return spread.pdf(np.where(below < above, below - 1, 1 - above))


def _moments(rest: Transform) -> list[float]:
    """E Y^k for k = 0 .. 6 of a centred sum, by the cumulants of its members."""
    b = rest.boxes
    k2 = rest.variance
    k4 = -2 / 15 * float((b**4).sum())
    k6 = 16 / 63 * float((b**6).sum())
    k3 = k5 = 0.0
    for a, spread in rest.others:
        k = cumulants(spread)
        k3, k4, k5, k6 = k3 + a**3 * k[2], k4 + a**4 * k[3], k5 + a**5 * k[4], k6 + a**6 * k[5]
    return [
        1.0,
        0.0,
        k2,
        k3,
        k4 + 3 * k2**2,
        k5 + 10 * k3 * k2,
        k6 + 15 * k4 * k2 + 10 * k3**2 + 15 * k2**3,
    ]


def cumulants(spread: Spread) -> tuple[float, float, float, float, float, float]:
    """The first six cumulants, from the moments."""
    raw = (1.0, *spread.moments)
    found: list[float] = []
    for n in range(1, 7):
        lower = math.fsum(math.comb(n - 1, j - 1) * found[j - 1] * raw[n - j] for j in range(1, n))
        found.append(raw[n] - lower)
    return (found[0], found[1], found[2], found[3], found[4], found[5])
