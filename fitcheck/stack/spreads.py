"""How a dimension lies within its tolerance zone.

A spread is written for the standard zone from -1 to +1; a dimension moves and scales it to its own limits.
Each gives its density, cumulative probability, quantile, cumulant generating function (which is what makes
sums exact, see `fitcheck.stack.exact`) and a sample.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, ClassVar, Protocol

import numpy as np
from scipy import special

from fitcheck.errors import InputError, one_of, positive
from fitcheck.units import FloatArray


class Spread(Protocol):
    """A distribution over the standard zone [-1, 1]."""

    @property
    def name(self) -> str: ...
    @property
    def bounded(self) -> bool:
        """Whether nothing lies outside the zone."""
        ...

    @property
    def variance(self) -> float: ...
    @property
    def boxes(self) -> tuple[float, ...] | None:
        """Half-widths of the independent uniform members it is the sum of, if it is such a sum."""
        ...

    def pdf(self, z: Any) -> FloatArray: ...
    def cdf(self, z: Any) -> FloatArray: ...
    def quantile(self, p: Any) -> FloatArray: ...
    def cumulant(self, s: Any) -> Any:
        """log E exp(s Z), for complex s."""
        ...

    def sample(self, generator: np.random.Generator, n: int) -> FloatArray: ...


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


@dataclass(frozen=True, slots=True)
class Uniform:
    """Every value in the zone is as likely as any other: a bought part of unknown process."""

    name: ClassVar[str] = "uniform"
    bounded: ClassVar[bool] = True
    variance: ClassVar[float] = 1 / 3
    boxes: ClassVar[tuple[float, ...] | None] = (1.0,)

    def pdf(self, z: Any) -> FloatArray:
        return np.where(np.abs(z) <= 1, 0.5, 0.0)

    def cdf(self, z: Any) -> FloatArray:
        return np.asarray(np.clip((1 + np.asarray(z, dtype=float)) / 2, 0.0, 1.0))

    def quantile(self, p: Any) -> FloatArray:
        return np.asarray(2 * np.asarray(p, dtype=float) - 1)

    def cumulant(self, s: Any) -> Any:
        return log_sinhc(s)

    def sample(self, generator: np.random.Generator, n: int) -> FloatArray:
        return np.asarray(generator.uniform(-1.0, 1.0, n))


@dataclass(frozen=True, slots=True)
class Triangular:
    """Most parts in the middle of the zone, none outside: the sum of two equal uniform ones."""

    name: ClassVar[str] = "triangular"
    bounded: ClassVar[bool] = True
    variance: ClassVar[float] = 1 / 6
    boxes: ClassVar[tuple[float, ...] | None] = (0.5, 0.5)

    def pdf(self, z: Any) -> FloatArray:
        return np.asarray(np.clip(1 - np.abs(z), 0.0, 1.0))

    def cdf(self, z: Any) -> FloatArray:
        z = np.clip(np.asarray(z, dtype=float), -1.0, 1.0)
        tail = (1 - np.abs(z)) ** 2 / 2
        return np.asarray(np.where(z < 0, tail, 1 - tail))

    def quantile(self, p: Any) -> FloatArray:
        p = np.asarray(p, dtype=float)
        return np.asarray(np.where(p < 0.5, np.sqrt(2 * p) - 1, 1 - np.sqrt(2 * (1 - p))))

    def cumulant(self, s: Any) -> Any:
        return 2 * log_sinhc(np.asarray(s) / 2)

    def sample(self, generator: np.random.Generator, n: int) -> FloatArray:
        return np.asarray(generator.triangular(-1.0, 0.0, 1.0, n))


@dataclass(frozen=True, slots=True)
class Normal:
    """A process under control whose zone is plus or minus `k` standard deviations; some parts lie outside."""

    k: float = 3.0
    name: ClassVar[str] = "normal"
    bounded: ClassVar[bool] = False
    boxes: ClassVar[tuple[float, ...] | None] = None

    def __post_init__(self) -> None:
        positive("k", self.k)

    @property
    def variance(self) -> float:
        return 1 / self.k**2

    def pdf(self, z: Any) -> FloatArray:
        x = np.asarray(z, dtype=float) * self.k
        return np.asarray(self.k / math.sqrt(2 * math.pi) * np.exp(-x * x / 2))

    def cdf(self, z: Any) -> FloatArray:
        return np.asarray(special.ndtr(np.asarray(z, dtype=float) * self.k))

    def quantile(self, p: Any) -> FloatArray:
        return np.asarray(special.ndtri(np.asarray(p, dtype=float)) / self.k)

    def cumulant(self, s: Any) -> Any:
        return np.asarray(s) ** 2 / (2 * self.k**2)

    def sample(self, generator: np.random.Generator, n: int) -> FloatArray:
        return np.asarray(generator.normal(0.0, 1 / self.k, n))


_BY_NAME: dict[str, type[Uniform] | type[Triangular] | type[Normal]] = {
    "uniform": Uniform,
    "normal": Normal,
    "triangular": Triangular,
}


def spread(value: str | Spread) -> Spread:
    """The spread called `value`: "uniform", "triangular", "normal" (zone = 3 sigma) or "normal 2 sigma"."""
    if not isinstance(value, str):
        if hasattr(value, "cumulant") and hasattr(value, "quantile"):
            return value
        raise InputError(f"spread = {value!r}: one of {', '.join(map(repr, _BY_NAME))} is needed")
    words = value.split()
    if len(words) == 3 and words[0] == "normal" and words[2] == "sigma":
        try:
            return Normal(float(words[1]))
        except ValueError:
            raise InputError(f"spread = {value!r}: for example 'normal 2 sigma' is needed") from None
    return _BY_NAME[one_of("spread", value, _BY_NAME)]()
