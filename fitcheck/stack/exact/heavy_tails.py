"""Tails of a sum with members of Student's t, whose mean of exp(s Z) has no limit for any real s but 0.

The line of `fitcheck.stack.exact.inversion` cannot be followed across the real axis: the transform of Student's t has a
cut there. But it can be continued from the upper imaginary half axis to the right, up to the cut, where it is known by
Bessel functions. So the upper half of the path may leave the origin along the upper side of the cut and climb from any
c > 0,

    P(Y > y) = 1/π ( ∫ from 0 to c of Im φ(x) exp(K(x) - x y) / x dx
                     + Im ∫ from c to c + i oo of φ(s) exp(K(s) - s y) / s ds ),

φ being the product of the continued transforms of the members of Student's t and K the cumulant of the others; the
lower half is its mirror image. (On the cut the rest of the integrand is real.) The density is the same without the
factor 1/s. The first part is what the heavy tails add, and has no cancellation; the second is the tail of the others
where c is near their saddle point. So a small tail keeps its digits whichever of the two it is made of.

The first part is summed by Gauss-Legendre rules over halves of halves of (0, c), as its integrand goes with a power of
x; the second over panels that hold a few waves each. It dies away as exp(-√v a t), a being the scale of a member of v
degrees of freedom: too slowly only where that is some thousand times narrower than a rough member.

References: M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions (1964), 9.1.3, 9.6.4 (Bessel functions
on the cut); N. Bleistein and R. A. Handelsman, Asymptotic Expansions of Integrals (1975), 7.1. Both from memory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property
from typing import Any

import numpy as np

from fitcheck.errors import UnresolvedError
from fitcheck.stack.gauss import legendre
from fitcheck.stack.spreads import Spread, log_sinhc
from fitcheck.stack.student_t import MOST_DEGREES, StudentT
from fitcheck.units import FloatArray

_POINTS = 32  # of a rule
_WAVES = 12.0  # radians that one rule may span
_NOTHING = 45.0  # natural logarithm of what cannot matter any more
_SMALLEST = -745.0  # natural logarithm of numbers that are 0 in double precision
_MOST_NODES = 1 << 16
_AT_ONCE = 1 << 11
_PLACES = 4  # in an octave where the path may climb


class HeavyTails:
    """The sum of centred members: uniform ones, one normal, others, and at least one of Student's t.

    boxes : half-widths of the uniform members
    sigma : standard deviation of the normal members together
    others : half-width and spread of each remaining member whose transform is known everywhere
    heavy : half-width and spread of each member of Student's t
    """

    def __init__(
        self,
        boxes: Sequence[float],
        sigma: float,
        others: Sequence[tuple[float, Spread]],
        heavy: Sequence[tuple[float, StudentT]],
    ) -> None:
        many = max(spread.degrees for _, spread in heavy)
        if many > MOST_DEGREES:
            raise UnresolvedError(
                f"the exact distribution of a sum needs Student t of at most {MOST_DEGREES} degrees of freedom, not "
                f"{many:g}"
            )
        self._boxes, self._sigma, self._others, self._heavy = np.array(boxes), sigma, others, heavy
        self._shift = math.fsum(a * spread.moments[0] for a, spread in others)
        self._reach = math.fsum([*boxes, *(a for a, _ in others)])
        self._fading = math.fsum(math.sqrt(spread.degrees) * a / spread.coverage for a, spread in heavy)
        self._least = min(spread.degrees for _, spread in heavy)

    def tail(self, y: float, power: int) -> float:
        """Probability above y (power 0) or density at y (power -1), for y of at least 0."""
        c = self._start(y, power)
        along = self._along_the_cut(y, power, c)
        return (along + self._climb(y, power, c, along)) / math.pi

    # -- inside ------------------------------------------------------------------------------------------

    def _rest(self, s: Any) -> Any:
        """K: the cumulants of the members that are not of Student's t, about their mean."""
        s = np.asarray(s)
        total: Any = (self._sigma * s) ** 2 / 2 - s * self._shift
        if len(self._boxes):
            total = total + log_sinhc(np.multiply.outer(self._boxes, s)).sum(axis=0)
        for a, spread in self._others:
            total = total + spread.cumulant(a * s)
        return total

    def _log_heavy(self, s: Any) -> Any:
        return sum(spread.continued(a * s) for a, spread in self._heavy)

    @cached_property
    def _places(self) -> tuple[FloatArray, FloatArray]:
        """Where the path may climb, and the log of the integrand there but for its factor with y."""
        width = math.fsum([self._reach, self._sigma, *(a / spread.coverage for a, spread in self._heavy)])
        first = math.floor(_PLACES * math.log2(1e-2 / width))
        last = math.ceil(_PLACES * math.log2(600.0 / self._fading))
        c = 2.0 ** (np.arange(first, last + 1) / _PLACES)
        return c, np.real(self._rest(c.astype(complex))) + np.real(self._log_heavy(c))

    def _start(self, y: float, power: int) -> float:
        """Where the path leaves the cut: at the first place where the integrand is least, or is nothing any more.

        Beyond it the continued transform may be large, and what it adds along the cut would cancel.
        """
        c, log = self._places
        size = log - c * y - (power + 1) * np.log(c)
        rising, nothing = np.flatnonzero(np.diff(size) > 0), np.flatnonzero(log - c * y < _SMALLEST)
        first = min([len(c) - 1, *rising[:1].tolist(), *nothing[:1].tolist()])
        # Far out the tail is what lies near the origin: c may lie below all places.
        return float(c[first]) if first or not nothing.size else -_SMALLEST / y

    def _along_the_cut(self, y: float, power: int, c: float) -> float:
        """The integral from 0 to c."""
        halves = math.ceil(55 / self._least + math.log2(1 + c * y)) + 2
        ends = c * 0.5 ** np.arange(halves + 1)
        parts = np.ceil((ends[:-1] - ends[1:]) * (self._fading + self._reach + self._sigma) / _WAVES).astype(int)
        cuts = np.concatenate(
            [np.linspace(a, b, n, endpoint=False) for a, b, n in zip(ends[:-1], ends[1:], parts, strict=True)]
        )
        cuts = np.append(cuts, ends[-1])[::-1]
        x, weight = _nodes(cuts)
        log = np.real(self._rest(x.astype(complex))) - x * y
        real, imaginary = np.ones_like(x), np.zeros_like(x)
        for a, spread in self._heavy:
            r, i = spread.on_cut(a * x)
            real, imaginary = real * r - imaginary * i, real * i + imaginary * r
        return float((weight * imaginary * np.exp(log) / x ** (power + 1)).sum())

    def _climb(self, y: float, power: int, c: float, along: float) -> float:
        """The imaginary part of the integral from c to c + i oo, as far as it matters beside `along`."""
        at = complex(c)
        log = float(np.real(self._rest(at) + self._log_heavy(at))) - c * y
        if log < _SMALLEST or (along > 0 and log - power * math.log(c) < math.log(along) - _NOTHING):
            return 0.0
        waves = _WAVES / (self._reach + abs(y) + self._sigma**2 * c + self._fading / 8)
        total, low, nodes = 0.0, 0.0, 0
        while nodes < _MOST_NODES:
            # Panels grow as the origin is left behind, up to the waves that a rule can bear.
            cuts = [low]
            while len(cuts) <= _AT_ONCE // _POINTS:
                cuts.append(cuts[-1] + min(waves, math.hypot(c, cuts[-1])))
            t, weight = _nodes(np.array(cuts))
            s = c + 1j * t
            terms = 1j * weight * np.exp(self._rest(s) + self._log_heavy(s) - s * y) / s ** (power + 1)
            total += float(terms.sum().imag)
            low, nodes = cuts[-1], nodes + len(t)
            last = float(np.abs(terms[-32:]).max()) * len(t)
            if last <= 1e-17 * max(abs(total), along, 1e-3 * math.exp(log)):
                return total
        raise UnresolvedError(
            "a member of Student's t is so much narrower than the others that the exact distribution needs more than "
            f"{_MOST_NODES} points: probability() and interval() sample instead"
        )


def _nodes(cuts: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Nodes and weights of the rule in each part between the cuts."""
    x, weight = legendre(_POINTS)
    half, middle = np.diff(cuts) / 2, (cuts[1:] + cuts[:-1]) / 2
    return (middle[:, None] + half[:, None] * x).ravel(), (half[:, None] * weight).ravel()
