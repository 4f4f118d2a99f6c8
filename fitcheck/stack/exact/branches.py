"""Tails of a sum of a few rough members, by following the ends of their supports.

The inversion of `fitcheck.stack.exact.inversion` goes up a vertical line c + i t until the integrand has died away.
A member with an edge (uniform, arcsine, beta, truncated normal) lets it fall as a power of t only, so that a
sum of two or three such members, or one with a member much wider than the rest, would take millions of points. But
well above the real axis the transform of such a member is made of its two ends,

    E exp(s a Z) = exp(s a) U(a s) + exp(-s a) L(a s),          U and L analytic and not oscillating,

exactly (uniform: U = 1 / (2 s)), or by asymptotic series that are good to the last digit there; that of a curvilinear
trapezoid, which has edges inside too, of four. So the line is climbed by Gauss-Legendre quadrature only to the height
at which the widest member can be taken apart. There the integrand branches: each branch has one exponential exp(z s),
z being the distance of one combination of ends from y, and

- if z is large against the members that are still whole, the rest of the path is turned to a ray on which exp(z s) and
  all that is left die away, to the left for z > 0 and to the right for z < 0, and the rule of the doubly exponential
  map sums it with some hundred points;
- else nothing oscillates fast, and the climb goes on to the height of the next member.

With normal members the climb ends where they have made the integrand nothing. For uniform members alone the branches
are the corners of the piecewise polynomial, without its cancellation.

References: H. Takahasi and M. Mori, Publications of RIMS 9 (1974) 721-741; N. Bleistein and R. A. Handelsman,
Asymptotic Expansions of Integrals (1975), 7.1 on the turned path (both from memory).
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from fitcheck.errors import UnresolvedError
from fitcheck.later import special
from fitcheck.stack.spreads import Edged
from fitcheck.units import FloatArray

_ANGLE = math.radians(67.5)  # of the rays: exp(z s) and exp(s^2) both die away for 22.5 degrees either way
_STEP = 0.05  # of the rule on a ray; its error is exp(-2 pi 0.39 / _STEP)
_LOWEST = -3.7  # where the doubly exponential map has come within 1e-17 of the start of the ray
_NOTHING = 45.0  # natural logarithm of what cannot matter any more
_SMALLEST = -700.0  # the same of numbers that are 0 in double precision
_CLEAR = 1.5  # how far, in widths of the members still whole, a ray must clear them
_NORMAL = 10.0  # standard deviations that count as the width of a normal member, and end the climb
_PHASE = 400.0  # radians one Gauss-Legendre rule may span
_MOST_BRANCHES = 1 << 16
_AT_ONCE = 1 << 18  # branches times nodes; bounds the memory
_MOST_LINES = 24


_Member = tuple[float, Edged, int]  # half-width, spread, and how many members are just like it


class Branches:
    """The sum of centred members, each bounded by edges, and of one normal member.

    members : half-width (above 0) and spread of each bounded member
    sigma : standard deviation of the normal members together, 0 if there are none
    """

    def __init__(self, members: Sequence[tuple[float, Edged]], sigma: float) -> None:
        self._members, self._sigma = tuple((a, spread, count) for (a, spread), count in Counter(members).items()), sigma
        self._shift = math.fsum(a * spread.moments[0] for a, spread in members)
        self._lines: dict[float, _Line] = {}

    def tail(self, y: float, power: int, c: float) -> float:
        """Probability above y (power 0), or the density at y (power -1), on the vertical line through c.

        Every c > 0 gives the same result; the saddle point of the integrand gives the most digits. The values on a line
        do not depend on y, and are kept for the next y.
        """
        if c not in self._lines:
            while len(self._lines) >= _MOST_LINES:
                del self._lines[next(iter(self._lines))]
            self._lines[c] = _Line(self._members, self._sigma, self._shift, c)
        return self._lines[c].integral(y, power) / math.pi


class _Line:
    """The path of integration that starts at c."""

    def __init__(self, members: Sequence[_Member], sigma: float, shift: float, c: float) -> None:
        self._shift, self._sigma, self._c = shift, sigma, c

        def height(member: _Member) -> float:
            least = member[1].far / member[0]
            return 0.0 if c * math.sin(_ANGLE) >= least else least

        order = sorted(members, key=lambda member: (height(member), -member[0]))
        heights = [height(member) for member in order]
        highest = _NORMAL / sigma if sigma else math.inf
        self._stages: list[_Stage] = []
        at, whole = 0.0, 0
        while True:
            while whole < len(order) and heights[whole] <= at:
                whole += 1
            # Members of similar width are taken apart together.
            alike = [h for h in heights[whole:] if h <= 2 * heights[whole]]
            top = min(alike[-1] if alike else math.inf, highest)
            self._stages.append(_Stage(order[:whole], order[whole:], sigma, c, at, top))
            at = top
            if math.isinf(top) or top >= highest:
                break

    def integral(self, y: float, power: int) -> float:
        # Where an end lies is summed without rounding: near the end of the support only its last digits are left.
        end, error = np.array([-self._shift]), np.zeros(1)
        chosen = np.zeros((1, 0), dtype=int)  # which combination of ends each member's like are at
        size = self._stages[0].log_size(y + self._shift)
        if size < _SMALLEST:
            return 0.0
        least = size - _NOTHING
        total = 0.0
        for stage in self._stages:
            for a, spread, count in stage.split[chosen.shape[1] :]:
                kinds = len(spread.places)
                if len(end) * math.comb(count + kinds - 1, count) > _MOST_BRANCHES:
                    raise UnresolvedError(f"the exact distribution needs more than {_MOST_BRANCHES} branches")
                at = [
                    a * math.fsum(n * place for n, place in zip(counts, spread.places, strict=True))
                    for counts, _ in _combinations(kinds, count)
                ]
                ends = [_two_sum(end, place) for place in at]
                end = np.concatenate([new for new, _ in ends])
                error = np.concatenate([error + rounded for _, rounded in ends])
                chosen = np.concatenate([np.column_stack([chosen, np.full(len(chosen), k)]) for k in range(len(at))])
            z = (end - y) + error
            matters = stage.start_size(z, chosen) > least
            clear = np.abs(z) > _CLEAR * (stage.reach + _NORMAL * self._sigma)
            left = matters & (z >= 0) & (clear | math.isinf(stage.top))
            # A ray to the right from low down would first gain on the normal members.
            right = matters & (z < 0) & (clear if self._sigma == 0 or stage.start >= self._c / 2 else False)
            for way, side in ((left, 1), (right, -1)):
                if way.any():
                    total += stage.ray(z[way], chosen[way], power, side)
            on = matters & ~(left | right)
            if not on.any():
                break
            end, error, chosen = end[on], error[on], chosen[on]
            found, alive = stage.climb(z[on], chosen, power, math.exp(least))
            total += found
            if not alive:
                break
        return total


@dataclass
class _Nodes:
    """Nodes and weights of a rule along a part of the path, and what stands there whatever the branch."""

    s: Any
    weight: Any
    whole: Any  # logarithm of the members not taken apart
    ends: list[Any]  # of each of the others and its like, a row for each combination of ends

    def integral(self, z: FloatArray, chosen: Any, power: int) -> tuple[float, float]:
        """The sum over all branches, and the largest of the last eight terms of any branch."""
        total, last = 0.0, 0.0
        each = max(1, _AT_ONCE // len(self.s))
        for first in range(0, len(z), each):
            some = chosen[first : first + each]
            terms = np.exp(z[first : first + each, None] * self.s + self.whole)
            for i, rows in enumerate(self.ends):
                terms *= rows[some[:, i]]
            terms *= self.weight / self.s ** (power + 1)
            total += float(terms.imag.sum())
            last = max(last, float(np.abs(terms[:, -8:]).max()))
        return total, last


class _Stage:
    """The part of the path between two heights: the members in `split` are taken apart, those in `whole` are not."""

    def __init__(
        self,
        split: Sequence[_Member],
        whole: Sequence[_Member],
        sigma: float,
        c: float,
        start: float,
        top: float,
    ) -> None:
        self.split, self.start, self.top = split, start, top
        self._whole, self._sigma, self._c = whole, sigma, c
        self.reach = math.fsum(a * count for a, _, count in whole)
        self._kept: dict[Any, _Nodes] = {}

    def log_size(self, y: float) -> float:
        """Log of the integrand at c, about."""
        members = (*self.split, *self._whole)
        each = (count * float(spread.cumulant(complex(a * self._c)).real) for a, spread, count in members)
        return math.fsum(each) + (self._sigma * self._c) ** 2 / 2 - y * self._c

    def start_size(self, z: FloatArray, chosen: Any) -> FloatArray:
        """Log of the size of each branch at the start of this stage."""
        at = self._nodes("start", lambda: (np.array([self._c + 1j * self.start]), np.ones(1)))
        size = z * self._c + at.whole.real
        with np.errstate(divide="ignore"):
            for i, rows in enumerate(at.ends):
                size = size + np.log(np.abs(rows[chosen[:, i], 0]))
        return np.asarray(size)

    def ray(self, z: FloatArray, chosen: Any, power: int, side: int) -> float:
        """The rest of the path for branches that die away to one side: 1 is left, -1 is right."""
        distance = np.abs(z)
        start = complex(self._c, self.start)
        scale = min(abs(start), 1 / max(float(distance.max()), 1e-300))
        near = 2.0 ** math.floor(math.log2(scale))
        nearest = float(distance.min())
        span = _NOTHING / math.cos(_ANGLE) / nearest if nearest > 0 else 1e100 * abs(start)
        n = 32 * math.ceil((math.log(span / near + 1.0) - _LOWEST) / _STEP / 32)

        def rule() -> tuple[Any, Any]:
            v = _LOWEST + _STEP * np.arange(n)
            r = near * np.exp(v - np.exp(-v))
            way = complex(-side * math.cos(_ANGLE), math.sin(_ANGLE))
            return start + r * way, _STEP * r * (1 + np.exp(-v)) * way

        found, last = self._nodes((side, near, n), rule).integral(z, chosen, power)
        if nearest == 0 and last > 1e-6 * abs(found):
            return math.inf  # two infinite ends meet in y, and the terms do not fall
        return found

    def climb(self, z: FloatArray, chosen: Any, power: int, nothing: float) -> tuple[float, bool]:
        """The path from start to top, and whether anything is left of the branches there."""
        total = 0.0
        # Rounded up, so that the nodes serve the next y as well.
        furthest = max(_CLEAR * (self.reach + _NORMAL * self._sigma), float(np.abs(z).max()))
        for low, high in self._panels(furthest):
            n = 16 * math.ceil(((high - low) * (self.reach + furthest) / 2 + 30) / 16)

            def rule(low: float = low, high: float = high, n: int = n) -> tuple[Any, Any]:
                x, weight = _legendre(n)
                return self._c + 1j * ((low + high) / 2 + (high - low) / 2 * x), 1j * weight * (high - low) / 2

            found, last = self._nodes((low, high, n), rule).integral(z, chosen, power)
            total += found
            if last * n < nothing:
                return total, False
        return total, True

    def _panels(self, furthest: float) -> Iterator[tuple[float, float]]:
        """Parts of the climb: growing eightfold, as the pole at 0 is left behind, but not with too many waves."""
        low = self.start
        while low < self.top:
            high = max(4 * self._c, 8 * low)
            high = self.top if high > self.top / 1.5 else high
            parts = math.ceil((high - low) * (self.reach + furthest) / _PHASE)
            cuts = np.linspace(low, high, max(parts, 1) + 1).tolist()
            yield from itertools.pairwise(cuts)
            low = high

    def _nodes(self, key: Any, rule: Callable[[], tuple[Any, Any]]) -> _Nodes:
        if key not in self._kept:
            s, weight = rule()
            whole: Any = (self._sigma * s) ** 2 / 2
            for a, spread, count in self._whole:
                whole = whole + count * spread.cumulant(a * s)
            ends = [_products(spread.ends(a * s), count) for a, spread, count in self.split]
            self._kept[key] = _Nodes(s, weight, whole, ends)
        return self._kept[key]


@lru_cache(maxsize=64)
def _legendre(n: int) -> tuple[FloatArray, FloatArray]:
    x, weight = special.roots_legendre(n)
    return x, weight


@lru_cache(maxsize=64)
def _combinations(ends: int, count: int) -> tuple[tuple[tuple[int, ...], int], ...]:
    """How many of `count` like members are at each of their ends, and in how many ways."""
    found = itertools.combinations_with_replacement(range(ends), count)
    each = [tuple(taken.count(end) for end in range(ends)) for taken in found]
    return tuple((n, math.factorial(count) // math.prod(map(math.factorial, n))) for n in each)


def _products(ends: tuple[Any, ...], count: int) -> Any:
    """The terms of (U + L)^count, those with most of U first; of more than two ends likewise."""
    terms = []
    for counts, ways in _combinations(len(ends), count):
        term: Any = ways
        for end, n in zip(ends, counts, strict=True):
            term = term * end**n
        terms.append(term)
    return np.array(terms)


def _two_sum(a: FloatArray, b: float) -> tuple[FloatArray, FloatArray]:
    """a + b, and what rounding took from it (D. E. Knuth, Seminumerical Algorithms, 4.2.2, from memory)."""
    total = a + b
    back = total - a
    return total, (a - (total - back)) + (b - back)
