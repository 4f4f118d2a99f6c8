"""How a dimension lies within its tolerance zone: the spread protocol, and the spreads a drawing may name.

A spread is written for the standard zone from -1 to +1; a dimension moves and scales it to its own limits.
Each gives its density, cumulative probability, quantile, moments, cumulant generating function (which is what
makes sums exact, see `fitcheck.stack.exact`) and a sample. Those bounded by the zone but not flat or
triangular are in `fitcheck.stack.shapes`.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import Any, ClassVar, Protocol, Self, runtime_checkable

import numpy as np

from fitcheck.errors import InputError, finite, positive
from fitcheck.later import special
from fitcheck.stack.plotted import Plotted
from fitcheck.units import FloatArray

LIMITS = (1.0, -1.0)
"""The edges of a spread that has none between its limits."""
Moments = tuple[float, float, float, float, float, float]


class Spread(Protocol):
    """A distribution over the standard zone [-1, 1]."""

    @property
    def name(self) -> str:
        """The word for it, as a note on a drawing may name it."""
        ...

    @property
    def bounded(self) -> bool:
        """Whether nothing lies outside the zone."""
        ...

    @property
    def variance(self) -> float:
        """Variance of Z, a number: the half width of the zone counts as 1."""
        ...

    @property
    def moments(self) -> Moments:
        """E Z, E Z², ..., E Z⁶, about the middle of the zone: numbers, the half width of the zone being 1."""
        ...

    @property
    def boxes(self) -> tuple[float, ...] | None:
        """Half-widths of the independent uniform members it is the sum of, if it is such a sum.

        Each is a fraction of half the zone.
        """
        ...

    def pdf(self, z: Any) -> FloatArray:
        """Density at `z`, a number for a unit of z.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """
        ...

    def cdf(self, z: Any) -> FloatArray:
        """Probability of at most `z`.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """
        ...

    def sf(self, z: Any) -> FloatArray:
        """Probability above `z`, without the cancellation of 1 - cdf.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """
        ...

    def quantile(self, p: Any) -> FloatArray:
        """The place in the zone, a number from -1 to 1, that lies above the share `p` of all parts.

        p: probability. Floats or arrays. Raises `InputError` for p outside 0 to 1.
        """
        ...

    def cumulant(self, s: Any) -> Any:
        """log E exp(s Z), a number, for complex s; floats or arrays."""
        ...

    @property
    def mirrored(self) -> Spread:
        """The spread of -Z; itself if it is symmetric."""
        ...

    def sample(self, generator: np.random.Generator, n: int) -> FloatArray:
        """`n` places, numbers about the middle of the zone with 1 at its limits, drawn at random with `generator`."""
        ...


@runtime_checkable
class Edged(Spread, Protocol):
    """A bounded spread whose transform can be taken apart into what its limits, and edges between, contribute."""

    @property
    def places(self) -> tuple[float, ...]:
        """Where its edges lie in the zone: 1 and -1 first, and others between them."""
        ...

    @property
    def far(self) -> float:
        """|s| from which on `ends` holds."""
        ...

    def ends(self, s: Any) -> tuple[Any, ...]:
        """The U of E exp(s Z) = sum of exp(s place) U, one for each of `places`, for s in the upper half plane."""
        ...


def log_sinhc(s: Any) -> Any:
    """log(sinh(s) / s) for complex s, without overflow, and by its series near 0.

    With t = s or -s, whichever has a real part of at least 0: log(sinh t / t) = t - log(2 t) + log(1 - exp(-2 t)).
    """
    t = np.where(np.real(s) < 0, -s, s)
    small = np.abs(t) < 1e-2
    safe = np.where(small, 1.0, t)
    large = safe - np.log(2 * safe) + np.log1p(-np.exp(-2 * safe))
    t2 = t * t
    series = t2 / 6 - t2**2 / 180 + t2**3 / 2835 - t2**4 / 37800
    return np.where(small, series, large)


def checked_probability(p: Any) -> FloatArray:
    """`p` as an array, refused unless every element lies in [0, 1]."""
    p = np.asarray(finite("p", p))
    if np.any((p < 0) | (p > 1)):
        raise InputError(f"p = {p[(p < 0) | (p > 1)].flat[0]:g}: a probability from 0 to 1 is needed")
    return np.asarray(p)


class Symmetric(Plotted, ABC):
    """What a spread that is symmetric about the middle of its zone need not say twice."""

    __slots__ = ()

    @abstractmethod
    def cdf(self, z: Any) -> FloatArray:
        """Probability of at most `z`.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """

    def sf(self, z: Any) -> FloatArray:
        """Probability above `z`, as that below -z.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """
        return self.cdf(-np.asarray(z, dtype=float))

    @property
    def mirrored(self) -> Self:
        """The spread of -Z, which is this one."""
        return self


@dataclass(frozen=True, slots=True, repr=False)
class Uniform(Symmetric):
    """Every value in the zone is as likely as any other: a bought part of unknown process."""

    name: ClassVar[str] = "uniform"
    bounded: ClassVar[bool] = True
    variance: ClassVar[float] = 1 / 3
    moments: ClassVar[Moments] = (0.0, 1 / 3, 0.0, 1 / 5, 0.0, 1 / 7)
    boxes: ClassVar[tuple[float, ...] | None] = (1.0,)
    places: ClassVar[tuple[float, ...]] = LIMITS
    far: ClassVar[float] = 30.0

    def pdf(self, z: Any) -> FloatArray:
        """Density at `z`: the number 1/2 in the zone, 0 outside.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """
        return np.where(np.abs(z) <= 1, 0.5, 0.0)

    def cdf(self, z: Any) -> FloatArray:
        """Probability of at most `z`: (1 + z) / 2 in the zone.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """
        return np.asarray(np.clip((1 + np.asarray(z, dtype=float)) / 2, 0.0, 1.0))

    def quantile(self, p: Any) -> FloatArray:
        """The place in the zone, a number from -1 to 1, that lies above the share `p` of all parts: 2 p - 1.

        p: probability. Floats or arrays. Raises `InputError` for p outside 0 to 1.
        """
        return np.asarray(2 * checked_probability(p) - 1)

    def cumulant(self, s: Any) -> Any:
        """log E exp(s Z) = log(sinh(s) / s), a number; s: complex numbers, floats or arrays."""
        return log_sinhc(s)

    def ends(self, s: Any) -> tuple[Any, Any]:
        """U = 1/(2 s) and L = -U of E exp(s Z) = exp(s) U + exp(-s) L; s: complex numbers other than 0, arrays too."""
        upper = 0.5 / np.asarray(s)
        return upper, -upper

    def sample(self, generator: np.random.Generator, n: int) -> FloatArray:
        """`n` places in the zone, numbers from -1 to 1, drawn at random with `generator`."""
        return np.asarray(generator.uniform(-1.0, 1.0, n))


@dataclass(frozen=True, slots=True, repr=False)
class Unstated(Uniform):
    """The spread of a dimension for which none was stated: uniform, as for a bought part of unknown process.

    A class of its own, so that it stays unstated wherever it is handed on, copied or pickled.
    """


@dataclass(frozen=True, slots=True, repr=False)
class Trapezoidal(Symmetric):
    """Flat over the inner part `top` of the zone and falling to nothing at its limits; the sum of two uniform ones.

    top: width of the flat part, a fraction of the zone from 0 to less than 1. Raises `InputError` outside.
    """

    top: float = 0.5
    name: ClassVar[str] = "trapezoidal"
    bounded: ClassVar[bool] = True

    def __post_init__(self) -> None:
        if not 0 <= finite("top", self.top) < 1:
            raise InputError(f"top = {self.top:g}: a share of the zone from 0 to less than 1 is needed")

    @property
    def boxes(self) -> tuple[float, ...] | None:
        """Half-widths of its two uniform members: (1 + top)/2 and (1 - top)/2.

        Each is a fraction of half the zone.
        """
        return ((1 + self.top) / 2, (1 - self.top) / 2)

    @property
    def variance(self) -> float:
        """(1 + top²) / 6, a number: the half width of the zone counts as 1."""
        return (1 + self.top**2) / 6

    @property
    def moments(self) -> Moments:
        """E Z, E Z², ..., E Z⁶, about the middle of the zone: numbers, the half width of the zone being 1."""
        a, b = (1 + self.top) / 2, (1 - self.top) / 2
        a2, b2, a4, b4 = a * a / 3, b * b / 3, a**4 / 5, b**4 / 5
        sixth = a**6 / 7 + 15 * (a4 * b2 + a2 * b4) + b**6 / 7
        return (0.0, a2 + b2, 0.0, a4 + 6 * a2 * b2 + b4, 0.0, sixth)

    def pdf(self, z: Any) -> FloatArray:
        """Density at `z`, a number for a unit of z; 0 outside the zone.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """
        slope = (1 - np.abs(np.asarray(z, dtype=float))) / (1 - self.top)
        return np.asarray(np.clip(slope, 0.0, 1.0) / (1 + self.top))

    def cdf(self, z: Any) -> FloatArray:
        """Probability of at most `z`.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """
        z = np.clip(np.asarray(z, dtype=float), -1.0, 1.0)
        d = 1 - np.abs(z)  # the distance to the nearer limit
        t = self.top
        tail = np.where(d < 1 - t, d**2 / (2 * (1 - t * t)), (d - (1 - t) / 2) / (1 + t))
        return np.asarray(np.where(z < 0, tail, 1 - tail))

    def quantile(self, p: Any) -> FloatArray:
        """The place in the zone, a number from -1 to 1, that lies above the share `p` of all parts.

        p: probability. Floats or arrays. Raises `InputError` for p outside 0 to 1.
        """
        p = checked_probability(p)
        tail, t = np.minimum(p, 1 - p), self.top
        sloping = tail < (1 - t) / (2 * (1 + t))
        d = np.where(sloping, np.sqrt(2 * tail * (1 - t * t)), tail * (1 + t) + (1 - t) / 2)
        return np.asarray(np.where(p < 0.5, d - 1, 1 - d))

    def cumulant(self, s: Any) -> Any:
        """log E exp(s Z), a number: those of the two uniform members added; s: complex numbers, floats or arrays."""
        s = np.asarray(s)
        return log_sinhc(s * ((1 + self.top) / 2)) + log_sinhc(s * ((1 - self.top) / 2))

    def sample(self, generator: np.random.Generator, n: int) -> FloatArray:
        """`n` places in the zone, numbers from -1 to 1, drawn at random with `generator`."""
        a, b = (1 + self.top) / 2, (1 - self.top) / 2
        return np.asarray(generator.uniform(-a, a, n) + generator.uniform(-b, b, n))


@dataclass(frozen=True, slots=True, repr=False)
class Triangular(Symmetric):
    """Most parts in the middle of the zone, none outside: the sum of two equal uniform ones."""

    name: ClassVar[str] = "triangular"
    bounded: ClassVar[bool] = True
    variance: ClassVar[float] = 1 / 6
    moments: ClassVar[Moments] = (0.0, 1 / 6, 0.0, 1 / 15, 0.0, 1 / 28)
    boxes: ClassVar[tuple[float, ...] | None] = (0.5, 0.5)

    def pdf(self, z: Any) -> FloatArray:
        """Density at `z`: the number 1 - |z| in the zone, 0 outside.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """
        return np.asarray(np.clip(1 - np.abs(z), 0.0, 1.0))

    def cdf(self, z: Any) -> FloatArray:
        """Probability of at most `z`.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """
        z = np.clip(np.asarray(z, dtype=float), -1.0, 1.0)
        tail = (1 - np.abs(z)) ** 2 / 2
        return np.asarray(np.where(z < 0, tail, 1 - tail))

    def quantile(self, p: Any) -> FloatArray:
        """The place in the zone, a number from -1 to 1, that lies above the share `p` of all parts.

        p: probability. Floats or arrays. Raises `InputError` for p outside 0 to 1.
        """
        p = checked_probability(p)
        return np.asarray(np.where(p < 0.5, np.sqrt(2 * p) - 1, 1 - np.sqrt(2 * (1 - p))))

    def cumulant(self, s: Any) -> Any:
        """log E exp(s Z) = 2 log(sinh(s/2) / (s/2)), a number; s: complex numbers, floats or arrays."""
        return 2 * log_sinhc(np.asarray(s) / 2)

    def sample(self, generator: np.random.Generator, n: int) -> FloatArray:
        """`n` places in the zone, numbers from -1 to 1, drawn at random with `generator`."""
        return np.asarray(generator.triangular(-1.0, 0.0, 1.0, n))


@dataclass(frozen=True, slots=True, repr=False)
class Normal(Symmetric):
    """A process under control whose zone is plus or minus `k` standard deviations; some parts lie outside.

    k: number of standard deviations in half the zone. Raises `InputError` for k not above 0.
    """

    k: float = 3.0
    name: ClassVar[str] = "normal"
    bounded: ClassVar[bool] = False
    boxes: ClassVar[tuple[float, ...] | None] = None

    def __post_init__(self) -> None:
        positive("k", self.k)

    @property
    def variance(self) -> float:
        """1/k², a number: the half width of the zone counts as 1."""
        return 1 / self.k**2

    @property
    def moments(self) -> Moments:
        """E Z, E Z², ..., E Z⁶, about the middle of the zone: numbers, the half width of the zone being 1."""
        v = self.variance
        return (0.0, v, 0.0, 3 * v * v, 0.0, 15 * v**3)

    def pdf(self, z: Any) -> FloatArray:
        """Density at `z`, a number for a unit of z.

        z: number about the middle of the zone, 1 at its limits. Floats or arrays.
        """
        x = np.asarray(z, dtype=float) * self.k
        return np.asarray(self.k / math.sqrt(2 * math.pi) * np.exp(-x * x / 2))

    def cdf(self, z: Any) -> FloatArray:
        """Probability of at most `z`.

        z: number about the middle of the zone, 1 at its limits. Floats or arrays.
        """
        return np.asarray(special.ndtr(np.asarray(z, dtype=float) * self.k))

    def quantile(self, p: Any) -> FloatArray:
        """The place that lies above the share `p` of all parts.

        It is a number about the middle of the zone, with 1 at its limits. p: probability; infinite at 0 and 1. Floats
        or arrays. Raises `InputError` for p outside 0 to 1.
        """
        return np.asarray(special.ndtri(checked_probability(p)) / self.k)

    def cumulant(self, s: Any) -> Any:
        """log E exp(s Z) = s² / (2 k²), a number; s: complex numbers, floats or arrays."""
        return np.asarray(s) ** 2 / (2 * self.k**2)

    def sample(self, generator: np.random.Generator, n: int) -> FloatArray:
        """`n` places, numbers about the middle of the zone with 1 at its limits, drawn at random with `generator`."""
        return np.asarray(generator.normal(0.0, 1 / self.k, n))
