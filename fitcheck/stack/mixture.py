"""A mixture of normal spreads: what is believed of a quantity after trials, where no single law describes it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any, ClassVar

import numpy as np

from fitcheck.errors import InputError, finite
from fitcheck.later import special
from fitcheck.stack.spreads import Moments, checked_probability
from fitcheck.units import FloatArray

_FAR = 9.0  # standard deviations of the table of quantiles
_EVERY = 0.05  # of the least deviation
_MANY = 256  # places that a table is worth its while for
_TOGETHER = 32  # places at a time


@dataclass(frozen=True)
class NormalMixture:
    """One of several normal spreads, nobody knows which: `weights` are their probabilities.

    weights: above 0, of any sum; they are scaled to 1. means, deviations: of each, in units of half the zone, which the
    mixture passes; deviations above 0. Equal lengths. Raises `InputError` for others.

    >>> import fitcheck as fc
    >>> two = NormalMixture((0.5, 0.5), (-0.2, 0.2), (0.1, 0.1))
    >>> f"{fc.dim(10.0, plus=1.0, spread=two).probability(below=9.8):.3f}"
    '0.250'
    """

    weights: tuple[float, ...]
    means: tuple[float, ...]
    deviations: tuple[float, ...]
    name: ClassVar[str] = "mixture of normal spreads"
    bounded: ClassVar[bool] = False
    boxes: ClassVar[tuple[float, ...] | None] = None

    def __post_init__(self) -> None:
        rows = [finite(key, np.array(getattr(self, key), dtype=float)) for key in ("weights", "means", "deviations")]
        if len({row.shape for row in rows}) != 1 or rows[0].ndim != 1 or not rows[0].size:
            raise InputError("a mixture: as many weights as means and deviations are needed, at least one")
        if np.any(rows[0] <= 0) or np.any(rows[2] <= 0):
            raise InputError("a mixture: weights and deviations above 0 are needed")

    @cached_property
    def _parts(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        weights = np.array(self.weights)
        return weights / weights.sum(), np.array(self.means), np.array(self.deviations)

    @cached_property
    def mean(self) -> float:
        """The mean, in half zones."""
        weights, means, _ = self._parts
        return float(weights @ means)

    @property
    def variance(self) -> float:
        """Variance of Z, a number: the half width of the zone counts as 1."""
        weights, means, deviations = self._parts
        return float(weights @ (deviations**2 + (means - self.mean) ** 2))

    @property
    def moments(self) -> Moments:
        """E Z, E Z², ..., E Z⁶, about the middle of the zone: numbers, the half width of the zone being 1."""
        weights, m, s = self._parts
        raw = [np.ones_like(m), m]
        for n in range(2, 7):  # E Z^n = m E Z^(n-1) + (n - 1) s² E Z^(n-2) of each normal spread
            raw.append(m * raw[-1] + (n - 1) * s**2 * raw[-2])
        first, second, third, fourth, fifth, sixth = (float(weights @ one) for one in raw[1:])
        return (first, second, third, fourth, fifth, sixth)

    def _each(self, z: Any) -> FloatArray:
        _, means, deviations = self._parts
        return np.asarray((np.asarray(z, dtype=float)[..., None] - means) / deviations)

    def pdf(self, z: Any) -> FloatArray:
        """Density at `z`, a number for a unit of z.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """
        weights, _, deviations = self._parts
        return np.asarray(np.exp(-(self._each(z) ** 2) / 2) @ (weights / deviations) / math.sqrt(2 * math.pi))

    def cdf(self, z: Any) -> FloatArray:
        """Probability of at most `z`; of many places by the table that `quantile` reads.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """
        z = np.asarray(z, dtype=float)
        if z.size > _MANY:
            return np.asarray(np.where(np.isinf(z), z > 0, special.ndtr(np.interp(z, *self._table))))
        return self._below(z)

    def _below(self, z: FloatArray) -> FloatArray:
        """The share below each place, some places at a time, as a row of all spreads is as long as they are many."""
        weights, means, deviations = self._parts
        found = np.empty(z.size)
        for at in range(0, z.size, _TOGETHER):
            each = z.ravel()[at : at + _TOGETHER, None] - means
            each /= deviations
            found[at : at + _TOGETHER] = special.ndtr(each, out=each) @ weights
        return found.reshape(z.shape)

    def sf(self, z: Any) -> FloatArray:
        """Probability above `z`, without the cancellation of 1 - cdf.

        z: place in the zone, a number, -1 and 1 at its limits. Floats or arrays.
        """
        return self.mirrored._below(-np.asarray(z, dtype=float))

    @cached_property
    def _table(self) -> tuple[FloatArray, FloatArray]:
        """Places, and where their probability stands on normal probability paper: the two grow together."""
        _, means, deviations = self._parts
        low, high = float((means - _FAR * deviations).min()), float((means + _FAR * deviations).max())
        step = _EVERY * float(deviations.min())
        z = np.linspace(low, high, int(np.clip((high - low) / step, 1001, 4001)))
        middle = int(np.searchsorted(z, self.mean))  # either side without cancellation
        above = -special.ndtri(self.mirrored._below(-z[middle:]))
        paper = np.concatenate([special.ndtri(self._below(z[:middle])), above])
        kept = np.isfinite(paper)
        return z[kept], np.maximum.accumulate(paper[kept])

    def quantile(self, p: Any) -> FloatArray:
        """The place that lies above the share `p` of all parts, by a table that is good to 1e-4 of a deviation.

        It is a number about the middle of the zone, with 1 at its limits. p: probability; infinite at 0 and 1. Floats
        or arrays. Raises `InputError` for p outside 0 to 1.
        """
        p = checked_probability(p)
        z, paper = self._table
        aim = special.ndtri(p)
        found = np.interp(aim, paper, z)
        return np.asarray(np.where((p == 0) | (p == 1), aim, found))

    def cumulant(self, s: Any) -> Any:
        """log E exp(s Z), a number, for complex s; floats or arrays."""
        weights, means, deviations = self._parts
        s = np.asarray(s, dtype=complex)[..., None]
        each = np.log(weights) + s * means + s**2 * deviations**2 / 2
        most = each.real.max(axis=-1, keepdims=True)
        return np.log(np.exp(each - most).sum(axis=-1)) + most[..., 0]

    @cached_property
    def mirrored(self) -> NormalMixture:
        """The spread of -Z."""
        return NormalMixture(self.weights, tuple(-m for m in self.means), self.deviations)

    def sample(self, generator: np.random.Generator, n: int) -> FloatArray:
        """`n` places, numbers about the middle of the zone with 1 at its limits, drawn at random with `generator`."""
        weights, means, deviations = self._parts
        which = generator.choice(len(weights), size=n, p=weights)
        return np.asarray(means[which] + deviations[which] * generator.standard_normal(n))
