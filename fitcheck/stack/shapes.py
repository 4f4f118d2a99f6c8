"""Spreads bounded by the zone that are not sums of uniform ones: truncated normal, beta, arcsine, inspected parts."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, ClassVar

import numpy as np

from fitcheck.errors import InputError, finite, positive
from fitcheck.later import special
from fitcheck.stack.gauss import legendre
from fitcheck.stack.plotted import Plotted
from fitcheck.stack.spreads import (
    LIMITS,
    Moments,
    Symmetric,
    checked_probability,
)
from fitcheck.units import FloatArray


@dataclass(frozen=True, slots=True, repr=False)
class TruncatedNormal(Symmetric):
    """Parts of a process whose zone is `k` standard deviations, from which those outside were sorted out.

    k: number of standard deviations of the unsorted process in half the zone. Raises `InputError` outside 0.2 to 12.
    """

    k: float = 3.0
    name: ClassVar[str] = "truncated normal"
    bounded: ClassVar[bool] = True
    boxes: ClassVar[tuple[float, ...] | None] = None
    places: ClassVar[tuple[float, ...]] = LIMITS

    def __post_init__(self) -> None:
        if not 0.2 <= finite("k", self.k) <= 12:
            raise InputError(f"k = {self.k:g}: from 0.2 to 12 standard deviations in the half zone are needed")

    @property
    def _inside(self) -> float:
        """Probability of the zone before the sorting."""
        return math.erf(self.k / math.sqrt(2))

    @property
    def variance(self) -> float:
        """Variance of Z, a number: the half width of the zone counts as 1."""
        return self.moments[1]

    @property
    def moments(self) -> Moments:
        """E Z, E Z², ..., E Z⁶, about the middle of the zone: numbers, the half width of the zone being 1."""
        # By parts: E Z^n = ((n - 1) E Z^(n-2) - 2 f(1)) / k^2 for even n.
        edge = float(self.pdf(1.0))
        found = [1.0]
        for n in (2, 4, 6):
            found.append(((n - 1) * found[-1] - 2 * edge) / self.k**2)
        return (0.0, found[1], 0.0, found[2], 0.0, found[3])

    def pdf(self, z: Any) -> FloatArray:
        """Density at `z`, a number for a unit of z; 0 outside the zone.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """
        z = np.asarray(z, dtype=float)
        x = z * self.k
        density = self.k / math.sqrt(2 * math.pi) * np.exp(-x * x / 2) / self._inside
        return np.where(np.abs(z) <= 1, density, 0.0)

    def cdf(self, z: Any) -> FloatArray:
        """Probability of at most `z`.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """
        x = self.k * np.clip(np.asarray(z, dtype=float), -1.0, 1.0)
        # Near the lower limit the probability is density times distance; the difference of two tails would cancel.
        d = x + self.k
        points, weights = legendre(12)
        t = -self.k + d[..., None] * (points + 1) / 2
        near = (np.exp(-t * t / 2) @ weights) * d / 2 / math.sqrt(2 * math.pi)
        far = special.ndtr(x) - special.ndtr(-self.k)
        return np.asarray(np.where(d < 0.5, near, far) / self._inside)

    def quantile(self, p: Any) -> FloatArray:
        """The place in the zone, a number from -1 to 1, that lies above the share `p` of all parts.

        p: probability. Floats or arrays. Raises `InputError` for p outside 0 to 1.
        """
        p = checked_probability(p)
        low = special.ndtr(-self.k)
        tail = np.minimum(p, 1 - p)
        z = special.ndtri(low + tail * self._inside) / self.k
        # One Newton step restores the accuracy that adding `low` cost.
        z = np.clip(z - (self.cdf(z) - tail) / self.pdf(np.clip(z, -1.0, 1.0)), -1.0, 1.0)
        return np.asarray(np.where(p < 0.5, z, -z))

    def cumulant(self, s: Any) -> Any:
        """exp(t^2/2) (Phi(k - t) - Phi(-k - t)) with t = s/k, by the scaled error function w(z), which cannot overflow.

        The sign of s does not matter; the half plane of positive real part is used.
        """
        t = np.asarray(s) / self.k
        t = np.where(np.real(t) < 0, -t, t)
        k = self.k
        upper = special.wofz(1j * (t - k) / math.sqrt(2))
        lower = special.wofz(1j * (t + k) / math.sqrt(2))
        inner = (upper - np.exp(-2 * k * t) * lower) / (2 * self._inside)
        return np.log(inner) + t * k - k * k / 2

    @property
    def far(self) -> float:
        """|s| from which on `ends` holds, a number."""
        # Here the normal bulk, which either end carries with it, has fallen to nothing.
        return max(6.0, self.k * max(9.0, self.k))

    def ends(self, s: Any) -> tuple[Any, Any]:
        """The two terms of `cumulant` apart; s: complex numbers in the upper half plane, arrays too."""
        t, k = np.asarray(s) / self.k, self.k
        scale = math.exp(-k * k / 2) / (2 * self._inside)
        upper = special.wofz(1j * (t - k) / math.sqrt(2))
        lower = special.wofz(1j * (t + k) / math.sqrt(2))
        return scale * upper, -scale * lower

    def sample(self, generator: np.random.Generator, n: int) -> FloatArray:
        """`n` places in the zone, numbers from -1 to 1, drawn at random with `generator`.

        One outside the zone is drawn again.
        """
        drawn = generator.normal(0.0, 1 / self.k, n)
        outside = np.flatnonzero(np.abs(drawn) > 1)
        while outside.size:
            drawn[outside] = generator.normal(0.0, 1 / self.k, outside.size)
            outside = outside[np.abs(drawn[outside]) > 1]
        return np.asarray(drawn)


@dataclass(frozen=True, slots=True, repr=False)
class CurvilinearTrapezoid(Symmetric):
    """Uniform between limits that are not known exactly [1]_: from a share of the zone to all of it,
    each as likely. top: that share of the zone, a number.

    Limits of ± w, each known to ± d, are a zone of ± (w + d) with `top` = (w - d) / (w + d), from 0.01 to 0.99. The
    standard deviation is that of the standard, sqrt(w² / 3 + d² / 9).

    References
    ----------
    .. [1] JCGM 101:2008, 6.4.3.

    Examples
    --------
    >>> import fitcheck as fc
    >>> f"{fc.dim('10 ± 0.5, curvilinear trapezoid 0.6').exact().std:.6f}"  # w = 0.4, d = 0.1
    '0.233333'
    """

    top: float = 0.5
    name: ClassVar[str] = "curvilinear trapezoid"
    bounded: ClassVar[bool] = True
    boxes: ClassVar[tuple[float, ...] | None] = None

    def __post_init__(self) -> None:
        if not 0.01 <= finite("top", self.top) <= 0.99:
            raise InputError(f"top = {self.top:g}: a share of the zone from 0.01 to 0.99 is needed")

    @property
    def variance(self) -> float:
        """Variance of Z, a number: the half width of the zone counts as 1."""
        return self.moments[1]

    @property
    def moments(self) -> Moments:
        """E Z, E Z², ..., E Z⁶, about the middle of the zone: numbers, the half width of the zone being 1."""
        # Z = W U, W uniform from top to 1 and U from -1 to 1: E W^n E U^n.
        r = self.top
        even = [(1 - r ** (n + 1)) / ((1 - r) * (n + 1) ** 2) for n in (2, 4, 6)]
        return (0.0, even[0], 0.0, even[1], 0.0, even[2])

    def pdf(self, z: Any) -> FloatArray:
        """Density at `z`, a number for a unit of z; 0 outside the zone.

        z: place in the zone, a number; arrays.
        """
        z = np.abs(np.asarray(z, dtype=float))
        density = -np.log(np.clip(z, self.top, 1.0)) / (2 * (1 - self.top))
        return np.where(z <= 1, density, 0.0)

    def _tail(self, d: FloatArray) -> FloatArray:
        """Probability within d of one limit, where the density falls: (d + (1 - d) log(1 - d)) / (2 (1 - top))."""
        series = sum(d**k / (k * (k - 1)) for k in range(2, 30))  # which does not cancel where d is small
        closed = d + (1 - d) * np.log1p(-d)
        return np.asarray(np.where(d < 0.25, series, closed) / (2 * (1 - self.top)))

    def cdf(self, z: Any) -> FloatArray:
        """Probability of at most `z`.

        z: place in the zone, a number; arrays.
        """
        z = np.clip(np.asarray(z, dtype=float), -1.0, 1.0)
        d, r = 1 - np.abs(z), self.top
        flat = 0.5 + np.abs(z) * math.log(r) / (2 * (1 - r))
        tail = np.where(d < 1 - r, self._tail(np.minimum(d, 1 - r)), flat)
        return np.asarray(np.where(z < 0, tail, 1 - tail))

    def quantile(self, p: Any) -> FloatArray:
        """The place in the zone, a number from -1 to 1, that lies above the share `p` of all parts.

        p: probability from 0 to 1; arrays. `InputError` for another.
        """
        p = checked_probability(p)
        tail, r = np.minimum(p, 1 - p), self.top
        # The tail is convex in d and at least d² / (4 (1 - top)), so that Newton comes down to the root from above.
        d = np.minimum(np.sqrt(4 * (1 - r) * tail), 1 - r)
        for _ in range(12):
            slope = -np.log1p(-d) / (2 * (1 - r))
            d = np.clip(d - (self._tail(d) - tail) / np.where(slope > 0, slope, 1.0), 0.0, 1 - r)
        inner = (0.5 - tail) * 2 * (1 - r) / -math.log(r)
        z = np.where(inner < r, inner, 1 - d)
        return np.asarray(np.where(p < 0.5, -z, z))

    def cumulant(self, s: Any) -> Any:
        """log of (Shi(s) - Shi(top s)) / ((1 - top) s), Shi being the hyperbolic sine integral."""
        s = np.asarray(s, dtype=complex)
        t = np.where(s.real < 0, -s, s)
        r = self.top
        small, large = np.abs(t) < 0.05, t.real > 300
        middle = np.where(small | large, 1.0, t)
        found = np.log((special.shichi(middle)[0] - special.shichi(r * middle)[0]) / ((1 - r) * middle))
        # Shi(t) = exp(t) / (2 t) (1 + 1! / t + 2! / t² + ...) far out.
        far = np.where(large, t, 1e3)

        def series(x: Any) -> Any:
            return sum(math.factorial(k) / x**k for k in range(12)) / (2 * x)

        inner = series(far) - np.exp(-(1 - r) * far) * np.where(r * far.real > 40, series(r * far), 0.0)
        found = np.where(large, np.log(inner / ((1 - r) * far)) + far, found)
        _, m2, _, m4, _, m6 = self.moments
        k4, k6 = m4 - 3 * m2**2, m6 - 15 * m4 * m2 + 30 * m2**3
        near = np.where(small, t, 0.0) ** 2
        return np.where(small, near * (m2 / 2 + near * (k4 / 24 + near * k6 / 720)), found)

    far: ClassVar[float] = 30.0

    @property
    def places(self) -> tuple[float, ...]:
        """The limits, and the two ends of its flat part."""
        return (*LIMITS, self.top, -self.top)

    def ends(self, s: Any) -> tuple[Any, ...]:
        """What limits and ends of the flat part contribute to E exp(s Z).

        Above the real axis Shi(s) = (E1(s) - E1(-s) + i π) / 2, E1 being the exponential integral [2]_; the constant
        goes out of the difference of `cumulant`. s: complex numbers in the upper half plane, arrays too.

        References
        ----------
        .. [2] M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions (1964), 5.1 and 5.2, from memory.
        """
        s, r = np.asarray(s, dtype=complex), self.top
        scale = 0.5 / ((1 - r) * s)
        upper, lower = -scale * _scaled_exp1(-s), scale * _scaled_exp1(s)
        return upper, lower, scale * _scaled_exp1(-r * s), -scale * _scaled_exp1(r * s)

    def sample(self, generator: np.random.Generator, n: int) -> FloatArray:
        """`n` draws, numbers from -1 to 1 in an array of shape (n,).

        generator: NumPy's; n: how many, a whole number.
        """
        return np.asarray(generator.uniform(-1.0, 1.0, n) * generator.uniform(self.top, 1.0, n))


def _scaled_exp1(z: Any) -> Any:
    """exp(z) E1(z), E1 being the exponential integral, without overflow."""
    near = np.abs(z) < 50
    inner = np.where(near, z, 1.0)
    outer = np.where(near, 50.0, z)
    # 1/z (1 - 1!/z + 2!/z² - ...): at 50 its terms fall to e^-50.
    total, term = np.ones_like(outer), np.ones_like(outer)
    for k in range(1, 40):
        term = -term * k / outer
        total = total + term
    return np.where(near, np.exp(inner) * special.exp1(inner), total / outer)


@dataclass(frozen=True, slots=True, repr=False)
class Arcsine(Symmetric):
    """The projection of a circle: ovality or runout met at an unknown angle."""

    name: ClassVar[str] = "arcsine"
    bounded: ClassVar[bool] = True
    variance: ClassVar[float] = 1 / 2
    moments: ClassVar[Moments] = (0.0, 1 / 2, 0.0, 3 / 8, 0.0, 5 / 16)
    boxes: ClassVar[tuple[float, ...] | None] = None
    places: ClassVar[tuple[float, ...]] = LIMITS

    def pdf(self, z: Any) -> FloatArray:
        """Density at `z`, a number for a unit of z; 0 outside the zone.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """
        z = np.asarray(z, dtype=float)
        return np.where(np.abs(z) <= 1, self.density(1 + np.clip(z, -1, 1), 1 - np.clip(z, -1, 1)), 0.0)

    def density(self, below: FloatArray, above: FloatArray) -> FloatArray:
        """Density at given distances from the lower and the upper limit, a number for a unit of z.

        below, above: the distances, each a number with half the zone as 1; they add up to 2. Arrays that broadcast.
        Infinite
        at a limit where the density is.
        """
        with np.errstate(divide="ignore"):
            return np.asarray(1 / (math.pi * np.sqrt(below * above)))

    def cdf(self, z: Any) -> FloatArray:
        """Probability of at most `z`.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """
        z = np.clip(np.asarray(z, dtype=float), -1.0, 1.0)
        return np.asarray(2 / math.pi * np.arcsin(np.sqrt((1 + z) / 2)))

    def quantile(self, p: Any) -> FloatArray:
        """The place in the zone, a number from -1 to 1, that lies above the share `p` of all parts: -cos(π p).

        p: probability. Floats or arrays. Raises `InputError` for p outside 0 to 1.
        """
        return np.asarray(-np.cos(math.pi * checked_probability(p)))

    def cumulant(self, s: Any) -> Any:
        """log E exp(s Z) = log I0(s), a number, I0 the modified Bessel function.

        s: complex numbers, floats or arrays.
        """
        s = np.asarray(s, dtype=complex)
        near = np.abs(s) < self.far
        inner = np.where(near, s, 0.0)
        found = np.log(special.ive(0, inner)) + np.abs(inner.real)
        if near.all():
            return found
        # The Bessel function of scipy loses digits far out, and all of them at 1e9.
        outer = np.where(near, self.far, s)
        return np.where(near, found, _log_of_ends(outer, *self.ends(outer)))

    @property
    def far(self) -> float:
        """|s| from which on `ends` holds, a number."""
        return _far(0.5, 0.5)

    def ends(self, s: Any) -> tuple[Any, Any]:
        """Those of the beta spread of 1/2 and 1/2, which this is.

        s: complex numbers in the upper half plane, arrays too.
        """
        return _end_series(s, 0.5, 0.5), _end_series(-s, 0.5, 0.5)

    def sample(self, generator: np.random.Generator, n: int) -> FloatArray:
        """`n` places in the zone, numbers from -1 to 1, drawn at random with `generator`."""
        return np.asarray(np.cos(math.pi * generator.random(n)))


def _far(alpha: float, beta: float) -> float:
    """|s| from which on the asymptotic series of the ends of a beta spread are good to the last digit."""
    return 25.0 + 1.25 * max(alpha, beta)


# |s| up to which exp(s Z) is averaged to the last digit, and the step of the rule that does so
_RULES = ((10.0, 0.06), (25.0, 0.04), (50.0, 0.03))


@lru_cache(maxsize=96)
def _beta_rule(alpha: float, beta: float, step: float) -> tuple[FloatArray, FloatArray]:
    """Nodes and weights of the tanh-sinh rule over the beta density, which may be infinite at its ends."""
    below, above, weights = _tanh_sinh(step)
    weights = weights * Beta(alpha, beta).density(below, above)
    # Where hardly anything lies nearer to an end than a node, as against within 1/50 of it, the node does not count.
    counts = np.minimum(
        np.cumsum(weights) / weights[below < 0.02].sum(), np.cumsum(weights[::-1])[::-1] / weights[above < 0.02].sum()
    )
    kept = counts > 1e-18
    nodes = np.where(below < above, below - 1, 1 - above)
    return nodes[kept], weights[kept] / weights.sum()


def _tanh_sinh(step: float) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Nodes over the standard zone, as distances from its two limits, and weights (H. Takahasi and M. Mori, 1974).

    The nodes go to within 1e-75 of the limits, enough for a density that is infinite there as x^-0.8.
    """
    t = step * np.arange(-round(4.72 / step), round(4.72 / step) + 1)
    q = np.exp(-math.pi * np.sinh(np.abs(t)))  # distance from the nearer end over that from the farther
    near, far = q / (1 + q), 1 / (1 + q)
    weights = 2 * step * math.pi * np.cosh(t) * near * far
    return np.where(t < 0, near, far) * 2, np.where(t < 0, far, near) * 2, weights


@dataclass(frozen=True, slots=True, repr=False)
class Beta(Plotted):
    """Leaning to one limit: density (1 + z)^(alpha - 1) (1 - z)^(beta - 1); a worn tool, an operator playing safe.

    alpha, beta: each a number, the powers of the density; it leans to the upper limit if alpha is the larger. Raises
    `InputError` for
    one outside 0.2 to 20.
    """

    alpha: float
    beta: float
    name: ClassVar[str] = "beta"
    bounded: ClassVar[bool] = True
    boxes: ClassVar[tuple[float, ...] | None] = None
    places: ClassVar[tuple[float, ...]] = LIMITS

    def __post_init__(self) -> None:
        for which in ("alpha", "beta"):
            value = finite(which, getattr(self, which))
            if not 0.2 <= value <= 20:
                raise InputError(f"{which} = {value:g}: a number from 0.2 to 20 is needed")

    @property
    def variance(self) -> float:
        """4 α β / ((α + β)² (α + β + 1)), a number: the half width of the zone counts as 1."""
        a, b = self.alpha, self.beta
        return 4 * a * b / ((a + b) ** 2 * (a + b + 1))

    @property
    def moments(self) -> Moments:
        """E Z, E Z², ..., E Z⁶, about the middle of the zone: numbers, the half width of the zone being 1."""
        # With B on [0, 1] and Z = 2 B - 1, E B^n being a product.
        raw = [1.0]
        for n in range(6):
            raw.append(raw[-1] * (self.alpha + n) / (self.alpha + self.beta + n))
        found = [math.fsum(math.comb(n, j) * 2.0**j * (-1) ** (n - j) * raw[j] for j in range(n + 1)) for n in range(7)]
        # The mirrored spread must have exactly the opposite mean: near a limit the last digit shows.
        mean = (self.alpha - self.beta) / (self.alpha + self.beta)
        return (mean, found[2], found[3], found[4], found[5], found[6])

    def pdf(self, z: Any) -> FloatArray:
        """Density at `z`, a number for a unit of z; 0 outside the zone.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """
        z = np.asarray(z, dtype=float)
        return np.where(np.abs(z) <= 1, self.density(1 + np.clip(z, -1, 1), 1 - np.clip(z, -1, 1)), 0.0)

    def density(self, below: FloatArray, above: FloatArray) -> FloatArray:
        """Density at given distances from the lower and the upper limit, a number for a unit of z.

        below, above: the distances, each a number with half the zone as 1; they add up to 2. Arrays that broadcast.
        Infinite
        at a limit where the density is.
        """
        a, b = self.alpha, self.beta
        with np.errstate(divide="ignore"):
            log = (a - 1) * np.log(below) if a != 1 else 0.0
            log = log + ((b - 1) * np.log(above) if b != 1 else 0.0)
        return np.asarray(np.exp(log - special.betaln(a, b) - (a + b - 1) * math.log(2)))

    def cdf(self, z: Any) -> FloatArray:
        """Probability of at most `z`.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """
        z = np.clip(np.asarray(z, dtype=float), -1.0, 1.0)
        return np.asarray(special.betainc(self.alpha, self.beta, (1 + z) / 2))

    def sf(self, z: Any) -> FloatArray:
        """Probability above `z`, without the cancellation of 1 - cdf.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """
        z = np.clip(np.asarray(z, dtype=float), -1.0, 1.0)
        return np.asarray(special.betainc(self.beta, self.alpha, (1 - z) / 2))

    def quantile(self, p: Any) -> FloatArray:
        """The place in the zone, a number from -1 to 1, that lies above the share `p` of all parts.

        p: probability. Floats or arrays. Raises `InputError` for p outside 0 to 1.
        """
        p = checked_probability(p)
        low = p < 0.5
        # From the nearer limit, which keeps small probabilities exact.
        x = special.betaincinv(
            np.where(low, self.alpha, self.beta), np.where(low, self.beta, self.alpha), np.where(low, p, 1 - p)
        )
        return np.asarray(np.where(low, 2 * x - 1, 1 - 2 * x))

    def cumulant(self, s: Any) -> Any:
        """log of exp(-s) 1F1(alpha; alpha + beta; 2 s), by quadrature, and far out by its two
        asymptotic series (NIST Digital Library of Mathematical Functions, 13.7.2), one for each limit."""
        s = np.asarray(s, dtype=complex)
        flat = s.ravel()
        near = np.abs(flat) < self.far
        out = np.empty(flat.shape, dtype=complex)
        t = flat[near]
        largest = float(np.abs(t).max()) if t.size else 0.0
        nodes, weights = _beta_rule(self.alpha, self.beta, next(step for reach, step in _RULES if largest <= reach))
        shift = np.abs(t.real)
        out[near] = np.log(_mean_of_exp(t, nodes, weights)) + shift
        far = flat[~near]
        if far.size:
            out[~near] = _log_of_ends(far, *self.ends(far))
        return out.reshape(s.shape)

    @property
    def far(self) -> float:
        """|s| from which on `ends` holds, a number."""
        return _far(self.alpha, self.beta)

    def ends(self, s: Any) -> tuple[Any, Any]:
        """The two series of `cumulant` apart; s: complex numbers in the upper half plane, arrays too."""
        return _end_series(s, self.alpha, self.beta), _end_series(-s, self.beta, self.alpha)

    @property
    def mirrored(self) -> Beta:
        """The spread of -Z: `alpha` and `beta` change places."""
        return Beta(self.beta, self.alpha)

    def sample(self, generator: np.random.Generator, n: int) -> FloatArray:
        """`n` places in the zone, numbers from -1 to 1, drawn at random with `generator`."""
        return np.asarray(2 * generator.beta(self.alpha, self.beta, n) - 1)


_ROW = 16


def _mean_of_exp(t: Any, nodes: FloatArray, weights: FloatArray) -> Any:
    """The mean of exp(t node), over exp(|Re t|), for each t.

    Of even steps upwards, as an inversion takes them, exp is needed at every 16th t only, times 16 fixed factors.
    """
    if t.size > 2 * _ROW and np.all(t.real == t.real[0]):
        fine = (t.imag[_ROW] - t.imag[0]) / _ROW * np.arange(_ROW)
        coarse = t[::_ROW]
        if np.abs((coarse.imag[:, None] + fine).ravel()[: t.size] - t.imag).max() <= 1e-15 * np.abs(t.imag).max():
            first = np.exp(np.multiply.outer(coarse, nodes) - abs(t.real[0])) * weights
            return (first @ np.exp(1j * np.multiply.outer(nodes, fine))).ravel()[: t.size]
    return np.exp(np.multiply.outer(t, nodes) - np.abs(t.real)[:, None]) @ weights


def _log_of_ends(s: Any, upper: Any, lower: Any) -> Any:
    """log of exp(s) U + exp(-s) L, without overflow."""
    big = np.real(s) >= 0
    ahead = np.where(big, s, -s)
    return np.log(np.where(big, upper, lower) + np.exp(-2 * ahead) * np.where(big, lower, upper)) + ahead


def _end_series(s: Any, alpha: float, beta: float) -> Any:
    """What the upper limit contributes to E exp(s Z), without its factor exp(s)."""
    z = 2 * s
    total, term = np.ones_like(z), np.ones_like(z)
    for j in range(60):
        term = term * (beta + j) * (1 - alpha + j) / ((j + 1) * z)
        total = total + term
        if np.all(np.abs(term) <= 1e-17 * np.abs(total)):
            break
    scale = math.exp(special.gammaln(alpha + beta) - special.gammaln(alpha))
    return scale * np.exp(-beta * np.log(z)) * total


@dataclass(frozen=True, slots=True, repr=False)
class Empirical(Plotted):
    """Inspected parts, each as likely as the others; nothing beyond the smallest and the largest.

    `values` are in the standard zone; `Empirical.of` makes them from measurements.
    """

    values: FloatArray = field(repr=False)
    name: ClassVar[str] = "inspected parts"
    bounded: ClassVar[bool] = True
    boxes: ClassVar[tuple[float, ...] | None] = None

    def __repr__(self) -> str:
        return f"<{self.values.size} inspected parts>"

    def __post_init__(self) -> None:
        values = np.sort(np.atleast_1d(np.asarray(finite("values", self.values), dtype=float)))
        if values.ndim != 1 or not values.size or values[0] < -1 or values[-1] > 1:
            raise InputError("values: a row of numbers from -1 to 1 is needed")
        values.setflags(write=False)
        object.__setattr__(self, "values", values)

    @classmethod
    def of(cls, measured: Iterable[float]) -> tuple[float, float, Empirical]:
        """The smallest and largest of `measured`, in their own unit, and how the parts lie between them.

        Returns those two numbers and a spread of the class `cls`.

        measured: a row of at least 2 numbers in one unit. Raises `InputError` for fewer, and for one that is not
        finite.

        >>> low, high, parts = Empirical.of([9.9, 10.0, 10.2])
        >>> low, high, parts.values.round(3).tolist()
        (9.9, 10.2, [-1.0, -0.333, 1.0])
        """
        parts = np.asarray(finite("measured", measured), dtype=float)
        if parts.ndim != 1 or parts.size < 2:
            raise InputError(f"measured: a row of at least 2 numbers is needed, not an array of shape {parts.shape}")
        low, high = float(parts.min()), float(parts.max())
        half = positive("spread of the measured parts", (high - low) / 2) if high > low else 1.0
        return low, high, cls(np.clip((parts - (low + high) / 2) / half, -1.0, 1.0))

    @property
    def variance(self) -> float:
        """Variance of the parts, a number: the half width of the zone counts as 1."""
        return float(self.values.var())

    @property
    def moments(self) -> Moments:
        """E Z, E Z², ..., E Z⁶, about the middle of the zone: numbers, the half width of the zone being 1."""
        m = [math.fsum(self.values**n) / self.values.size for n in range(1, 7)]
        return (m[0], m[1], m[2], m[3], m[4], m[5])

    def pdf(self, z: Any) -> FloatArray:
        """Refused with an `InputError` for any `z`: a part is a single value and has no density."""
        raise InputError("inspected parts are single values and have no density")

    def cdf(self, z: Any) -> FloatArray:
        """Probability of at most `z`: the share of the parts up to it, one at `z` counted.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """
        return np.asarray(np.searchsorted(self.values, z, side="right") / self.values.size)

    def sf(self, z: Any) -> FloatArray:
        """Probability above `z`: the share of the parts beyond it, one at `z` not counted.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """
        return np.asarray((self.values.size - np.searchsorted(self.values, z, side="right")) / self.values.size)

    def quantile(self, p: Any) -> FloatArray:
        """The smallest part, a number from -1 to 1, up to which at least the share `p` of the parts lies.

        p: probability. Floats or arrays. Raises `InputError` for p outside 0 to 1.
        """
        rank = np.ceil(checked_probability(p) * self.values.size * (1 - 1e-15)).astype(int) - 1
        return np.asarray(self.values[np.clip(rank, 0, self.values.size - 1)])

    def cumulant(self, s: Any) -> Any:
        """log E exp(s Z), a number: the mean of exp over the parts; s: complex numbers, floats or arrays."""
        s = np.asarray(s)
        shift = np.where(np.real(s) >= 0, s * self.values[-1], s * self.values[0])
        total: Any = 0.0
        for part in np.array_split(self.values, 1 + self.values.size // 2048):  # bounds the memory
            total = total + np.exp(np.multiply.outer(s, part) - shift[..., None]).sum(axis=-1)
        return np.log(total / self.values.size) + shift

    @property
    def mirrored(self) -> Empirical:
        """The spread of -Z: every part with the other sign."""
        return Empirical(-self.values)

    def sample(self, generator: np.random.Generator, n: int) -> FloatArray:
        """`n` values, each that of a part, a number from -1 to 1, drawn at random with `generator` and put back."""
        return np.asarray(generator.choice(self.values, n))
