"""Student's t as a spread, and its transform, which makes sums with it exact."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, ClassVar

import numpy as np

from fitcheck.errors import InputError, finite, positive
from fitcheck.later import special
from fitcheck.stack.spreads import Moments, Symmetric, checked_probability
from fitcheck.units import FloatArray

MOST_DEGREES = 200
"""Degrees of freedom up to which the transform is within the range of the Bessel functions of scipy."""
_FARTHEST = 1e100  # whose square is still a number


@dataclass(frozen=True, slots=True, repr=False)
class StudentT(Symmetric):
    """A mean of few readings, or a calibrated value whose uncertainty rests on few degrees of freedom [1]_.

    degrees: degrees of freedom, a number from 2 to 1e6: readings less one, or the effective ones of a certificate.
    coverage: standard uncertainties in half the zone, a number: the coverage factor k of a certificate, whose zone is
    ± U; of n readings with the standard deviation s the zone is ± k s / √n. The 2 that is taken if none is stated is
    never too narrow for a U that holds 95.4 % or more. The standard deviation is sqrt(degrees / (degrees - 2)) of the
    standard uncertainty as stated, and without limit for 2 degrees: what asks for it is then refused. Raises
    `InputError` for degrees outside and for a coverage not above 0.

    References
    ----------
    .. [1] JCGM 101:2008, 6.4.9.

    Examples
    --------
    >>> import fitcheck as fc
    >>> bore = fc.dim("25 ± 0.05, Student t, 4 degrees of freedom")
    >>> bore, f"{bore.probability(above=25.1):.4f}"
    (<25 ± 0.05 mm, Student t, 4 degrees of freedom>, '0.0081')
    """

    degrees: float
    coverage: float = 2.0
    bounded: ClassVar[bool] = False
    boxes: ClassVar[tuple[float, ...] | None] = None

    def __post_init__(self) -> None:
        if not 2 <= finite("degrees", self.degrees, one=True) <= 1e6:
            raise InputError(
                f"degrees = {self.degrees:g}: from 2 (three readings) to 1e6 degrees of freedom are needed"
            )
        positive("coverage", self.coverage, one=True)

    @property
    def name(self) -> str:
        """The words for it, with its degrees of freedom, as a note may name it."""
        return f"Student t, {self.degrees:g} degrees of freedom"

    @property
    def variance(self) -> float:
        """degrees / (degrees - 2) / coverage², a number: the half width of the zone counts as 1.

        Raises `InputError` for 2 degrees, where it has no limit.
        """
        if self.degrees == 2:
            raise InputError(
                "Student t with 2 degrees of freedom has no standard deviation: one more reading is needed, or ask for "
                "an interval or a probability"
            )
        return self.moments[1]

    @property
    def moments(self) -> Moments:
        """E Z, E Z², ..., E Z⁶, about the middle of the zone: numbers, the half width of the zone being 1.

        Those that are without limit are infinite. The odd ones are 0, by symmetry where they do not exist.
        """
        even, found = [], 1.0
        for n in (2, 4, 6):
            # E T^n = E T^(n-2) (n - 1) v / (v - n)
            found = found * (n - 1) * self.degrees / (self.degrees - n) if self.degrees > n else math.inf
            even.append(found / self.coverage**n)
        return (0.0, even[0], 0.0, even[1], 0.0, even[2])

    def pdf(self, z: Any) -> FloatArray:
        """Density at `z`, a number for a unit of z.

        z: number about the middle of the zone, 1 at its limits. Floats or arrays.
        """
        v = self.degrees
        t = np.asarray(z, dtype=float) * self.coverage
        # B(v/2, 1/2) √v of the density, without the cancellation of two large log-gammas.
        scale = self.coverage / (math.sqrt(v) * special.beta(v / 2, 0.5))
        return np.asarray(scale * np.exp(-(v + 1) / 2 * np.log1p(t / v * t)))

    def cdf(self, z: Any) -> FloatArray:
        """Probability of at most `z`.

        z: number about the middle of the zone, 1 at its limits. Floats or arrays.

        References
        ----------
        .. [4] Abramowitz, M. and Stegun, I. A.: Handbook of Mathematical Functions (1964), 26.7.4, from memory.
        """
        t = np.asarray(z, dtype=float) * self.coverage
        if self.degrees != 4:
            return np.asarray(special.stdtr(self.degrees, t))
        # In closed form [4]_: the tail is (1 - s)² (2 + s) / 4, s = |t| / sqrt(4 + t²), without cancellation.
        far = np.minimum(np.abs(t), _FARTHEST)
        root = np.sqrt(4 + far**2)
        s = far / root
        tail = (4 / (root * (root + far))) ** 2 * (2 + s) / 4
        return np.asarray(np.where(t < 0, tail, 1 - tail))

    def quantile(self, p: Any) -> FloatArray:
        """The place that lies above the share `p` of all parts.

        It is a number about the middle of the zone, with 1 at its limits. p: probability; infinite at 0 and 1. Floats
        or arrays. Raises `InputError` for p outside 0 to 1.

        References
        ----------
        .. [3] Shaw, W. T.: Sampling Student's T distribution, J. Comput. Finance 9 (2006) 37, from memory.
        """
        p = checked_probability(p)
        v, tail = self.degrees, np.minimum(p, 1 - p)
        t = np.empty(p.shape)
        far = tail < (0.49 if v == 4 else 0.25)
        with np.errstate(divide="ignore"):
            if v == 4:  # in closed form [3]_, which cancels near the middle only
                root = 2 * np.sqrt(tail[far]) * np.sqrt(1 - tail[far])
                t[far] = 2 * np.sqrt(np.cos(np.arccos(root) / 3) / root - 1)
            else:
                x = special.betaincinv(v / 2, 0.5, 2 * tail[far])
                t[far] = np.sqrt(v) * np.sqrt((1 - x) / x)
        # x = v / (v + t²) is small in the tails, 1 - x in the middle; each is found without cancellation.
        inner = special.betaincinv(0.5, v / 2, 1 - 2 * tail[~far])
        t[~far] = np.sqrt(v * inner / (1 - inner))
        return np.asarray(np.where(p < 0.5, -t, t) / self.coverage)

    def cumulant(self, s: Any) -> Any:
        """log E exp(s Z), a number, for imaginary s; floats or arrays.

        Raises `InputError` for another s than an imaginary one or 0: the mean has no limit there.
        """
        s = np.asarray(s, dtype=complex)
        if np.any(s.real != 0):
            raise InputError("Student t: the mean of exp(s Z) has a limit for imaginary s only")
        return self.continued(1j * np.abs(s.imag)).real

    @property
    def _scale(self) -> float:
        """Log of the factor 2^(1 - m) / Γ(m) of the transform, m = degrees / 2."""
        m = self.degrees / 2
        return float((1 - m) * math.log(2) - special.gammaln(m))

    def _near(self, square: Any) -> Any:
        """The transform at z² = `square` near 0: 1 + z²/4 / (1 - m) + ..., without its part z^(2 m), for m above 20."""
        m = self.degrees / 2
        total, term = np.ones_like(square), np.ones_like(square)
        for j in range(1, 12):
            term = term * square / (4 * j * (j - m))
            total = total + term
        return total

    def continued(self, s: Any) -> Any:
        """log of the transform, continued from the upper imaginary half axis to the quarter right of it.

        With z = -i s √v / coverage and m = v/2, the transform is 2^(1 - m) / Γ(m) z^m K_m(z), a number [2]_. s: complex
        numbers with no negative part, arrays too. Good up to `MOST_DEGREES`.

        References
        ----------
        .. [2] S. T. Hurst, The characteristic function of the Student t distribution (1995), from memory.
        """
        m = self.degrees / 2
        z = np.asarray(-1j * np.asarray(s, dtype=complex) * (math.sqrt(self.degrees) / self.coverage))
        z = np.where(z == 0, 1e-100, z)
        near = (np.abs(z) < 1) & (m > 20) | (np.abs(z) < 1e-9)
        far = np.where(near, 1.0, z)
        found = self._scale + m * np.log(far) + np.log(special.kve(m, far)) - far
        small = np.where(near, z, 0.0)
        return np.where(near, np.log(self._near(small * small)) if m > 20 else 0.0, found)

    def on_cut(self, x: Any) -> tuple[FloatArray, FloatArray]:
        """Real and imaginary part of the transform, continued to the right of the origin, at x above 0.

        Both are numbers, found apart, so that a small imaginary part keeps its digits: -z^m Y_m(z) and z^m J_m(z)
        times π 2^-m / Γ(m), with z = x √v / coverage. x: floats or arrays. Good up to `MOST_DEGREES`.
        """
        m = self.degrees / 2
        z = np.asarray(x, dtype=float) * (math.sqrt(self.degrees) / self.coverage)
        factor = np.exp(self._scale + m * np.log(z)) * (math.pi / 2)
        near = (z < 1) & (m > 20) | (z < 1e-9)
        far = np.where(near, 1.0, z)
        small = np.where(near, z, 0.0)
        real = np.where(near, self._near(-small * small) if m > 20 else 1.0, -factor * special.yv(m, far))
        return real, np.asarray(factor * special.jv(m, z))

    def sample(self, generator: np.random.Generator, n: int) -> FloatArray:
        """`n` places, numbers about the middle of the zone with 1 at its limits, drawn at random with `generator`."""
        return np.asarray(generator.standard_t(self.degrees, n) / self.coverage)
