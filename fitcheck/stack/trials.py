"""Own trials: what a few pieces, broken or only tried, tell of a bench that was known from others alone.

A strength is known from published tests as a median, a level of the bench (unknown, Student t about 1) and a scatter
of single pieces. Pieces of one's own tell of the level directly, and of the scatter a little. Everything is in natural
logarithms, so 0.1 is about ten per cent.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np

from fitcheck.errors import InputError, finite, not_negative, positive
from fitcheck.later import optimize, special
from fitcheck.stack.mixture import NormalMixture
from fitcheck.stack.paper import by_secant, on_paper
from fitcheck.units import FloatArray

_LEAST_WEIGHT = 1e-9  # of a law, to be kept in a mixture
_LAST_STEP = 1e-6  # of a secant, whose error is far smaller


@dataclass(frozen=True, slots=True)
class Piece:
    """One trial.

    off: ln(value / what the published tests predict for it). spread: standard deviation of that, of the piece's sizes.
    """

    off: float
    spread: float = 0.0


def _inverse_chi(degrees: float, *, nodes: int, beyond: float) -> tuple[FloatArray, FloatArray]:
    """A standard deviation over its estimate of so many degrees of freedom: places, and weights in proportion.

    beyond: how far the upper tail is followed, over the degrees.
    """
    if math.isinf(degrees):
        return np.ones(1), np.ones(1)
    wide = 7 / math.sqrt(2 * degrees)
    log = np.linspace(-wide, 1.4 * wide + beyond / degrees, nodes)
    density = np.exp(-degrees * log - degrees / 2 * (np.exp(-2 * log) - 1))
    return np.exp(log), density


class _Laws(NamedTuple):
    """Normal laws of a level, nobody knows which: how probable each is, and what scatter of pieces belongs to it."""

    share: FloatArray
    mean: FloatArray
    variance: FloatArray
    scatter: FloatArray

    def below(self, off: float, spread: float = 0.0) -> float:
        """Probability of a piece below `off`, with the spread of its own sizes."""
        deviation = np.sqrt(self.variance + self.scatter**2 + spread**2)
        return float(self.share @ special.ndtr((off - self.mean) / deviation))


@dataclass(frozen=True)
class Bench:
    """What is known of the level and the scatter of a bench.

    error: of the level, and degrees: its degrees of freedom as Student t. shared: standard deviation of what all pieces
    of the bench have in common besides, such as friction; normal. scatter: of single pieces, an estimate with
    scatter_degrees degrees of freedom. All in logarithms. broke: trials that gave way at their value; held: those
    that bore it, and would have borne more. Raises `InputError` for numbers that cannot be.

    The posterior is found by quadrature over the scatter and the error of the level. The degrees of freedom make the
    level a mixture of normal laws, so that only trials that held need a quadrature over the level [1]_.

    >>> bench = Bench(0.2, 4, scatter=0.2, broke=(Piece(0.1), Piece(0.0), Piece(0.2)))
    >>> round(bench.level, 2), round(bench.level_error, 2)
    (0.07, 0.1)

    References
    ----------
    .. [1] Gelman, A. et al.: Bayesian Data Analysis, 3rd ed. (2013), sections 3.2, 3.3 and 10.2.
    """

    error: float
    degrees: float
    scatter: float
    scatter_degrees: float = math.inf
    shared: float = 0.0
    broke: Sequence[Piece] = field(default=())
    held: Sequence[Piece] = field(default=())

    def __post_init__(self) -> None:
        positive("error", self.error)
        positive("scatter", self.scatter)
        not_negative("shared", self.shared)
        for key in ("degrees", "scatter_degrees"):
            if math.isnan(getattr(self, key)) or getattr(self, key) <= 0:
                raise InputError(f"{key} = {getattr(self, key):g}: degrees of freedom above 0 are needed")
        for piece in (*self.broke, *self.held):
            finite("off", piece.off)
            not_negative("spread", piece.spread)

    @cached_property
    def _scatters(self) -> tuple[FloatArray, FloatArray]:
        """Nodes and weights of the scatter before the trials: an inverse chi-square with its degrees of freedom."""
        factors, share = _inverse_chi(self.scatter_degrees, nodes=25, beyond=4.0)
        return self.scatter * factors, share

    @cached_property
    def _errors(self) -> tuple[FloatArray, FloatArray]:
        """Standard deviations of the level and their weights: Student t as a mixture of normal laws."""
        factors, share = _inverse_chi(self.degrees, nodes=81, beyond=8.0)
        return np.hypot(self.error * factors, self.shared), share

    @cached_property
    def _posterior(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Levels, scatters and the probability of each pair, an array of scatters by levels."""
        scatters, of_scatter = self._scatters
        levels = self._levels(scatters)
        errors, of_error = self._errors
        prior = np.exp(-((levels[:, None] / errors) ** 2) / 2) @ (of_error / errors)
        with np.errstate(divide="ignore"):
            log = np.log(prior) + np.log(of_scatter)[:, None]
        for piece in self.broke:
            s = np.hypot(scatters, piece.spread)[:, None]
            log = log - ((piece.off - levels) / s) ** 2 / 2 - np.log(s)
        for piece in self.held:
            log = log + special.log_ndtr((levels - piece.off) / np.hypot(scatters, piece.spread)[:, None])
        share = np.exp(log - log.max())
        return levels, scatters, share / share.sum()

    def _levels(self, scatters: FloatArray) -> FloatArray:
        """Levels close enough for the narrowest law they are weighed by, as far out as any may be believed."""
        errors, _ = self._errors
        reach = 12 * float(np.median(errors)) * (1 + 4 / min(self.degrees, 1e6))
        low = min([-reach, *(piece.off - reach / 4 for piece in (*self.broke, *self.held))])
        high = max([reach, *(piece.off + reach / 4 for piece in (*self.broke, *self.held))])
        step = min(float(scatters.min()) / max(math.sqrt(len(self.broke)), 1.0), float(errors.min())) / 2
        return np.linspace(low, high, int(np.clip((high - low) / step, 401, 4001)))

    @cached_property
    def _laws(self) -> _Laws:
        """The posterior as normal laws of the level, one for each error of it and each scatter [1]_.

        Every trial that broke moves them in closed form. Those that held leave none normal: then each place of the
        quadrature is one of its own, without width.
        """
        if self.held:
            levels, scatters, share = self._posterior
            at, of = np.nonzero(share > 0)
            return _Laws(share[at, of], levels[of], np.zeros(at.shape), scatters[at])
        (errors, of_error), (scatters, of_scatter) = self._errors, self._scatters
        log = np.log(of_error)[:, None] + np.log(of_scatter)
        variance, scatters = np.broadcast_arrays(errors[:, None] ** 2, scatters)
        mean = np.zeros(log.shape)
        for piece in self.broke:
            both = variance + scatters**2 + piece.spread**2
            log = log - (piece.off - mean) ** 2 / (2 * both) - np.log(both) / 2
            mean, variance = mean + variance / both * (piece.off - mean), variance * (1 - variance / both)
        share = np.exp(log - log.max())
        return _Laws(*(row.ravel() for row in (share / share.sum(), mean, variance, scatters)))

    @cached_property
    def level(self) -> float:
        """Mean of the logarithm of this bench over what the published tests predict."""
        return float(self._laws.share @ self._laws.mean)

    @property
    def level_error(self) -> float:
        """Standard deviation of that."""
        laws = self._laws
        return float(np.sqrt(laws.share @ (laws.variance + (laws.mean - self.level) ** 2)))

    @property
    def piece_scatter(self) -> float:
        """Root of the mean square of the scatter of single pieces."""
        return float(np.sqrt(self._laws.share @ self._laws.scatter**2))

    def below(self, off: float, spread: float = 0.0) -> float:
        """Probability that the next piece gives way below exp(off) times the prediction.

        off: a logarithm. spread: standard deviation of what its own sizes add, a logarithm.
        """
        return self._laws.below(off, spread)

    def quantile(self, probability: float, spread: float = 0.0) -> float:
        """The logarithm below which the next piece gives way with that probability, from 0 to 1, both excluded.

        spread: standard deviation of what its own sizes add, a logarithm. By a secant, or by Brent's method, to 1e-9.
        """
        laws = self._laws
        deviation = np.sqrt(laws.variance + laws.scatter**2 + spread**2)
        wide = math.sqrt(float(laws.share @ (deviation**2 + (laws.mean - self.level) ** 2)))
        aim = on_paper(probability)

        def missed(off: float) -> float:
            return on_paper(laws.below(off, spread)) - aim

        low, high = float((laws.mean - 9 * deviation).min()), float((laws.mean + 9 * deviation).max())
        found = by_secant(missed, self.level + aim * wide, 1 / wide, (low, high), step=_LAST_STEP)
        if found is not None:
            return found.at
        return float(optimize.brentq(lambda off: laws.below(off, spread) - probability, low, high, xtol=1e-9))

    def after(self, pieces: Sequence[Piece]) -> Bench:
        """The same bench when these have given way as well."""
        return replace(self, broke=(*self.broke, *pieces))

    def draw(self, generator: np.random.Generator, n: int) -> tuple[FloatArray, FloatArray]:
        """`n` levels and scatters, drawn at random with `generator`; logarithms."""
        levels, scatters, share = self._posterior
        which = generator.choice(share.size, size=n, p=share.ravel())
        step = levels[1] - levels[0]
        return levels[which % len(levels)] + step * (generator.random(n) - 0.5), scatters[which // len(levels)]

    def next_piece(self, zone: float) -> NormalMixture:
        """Level and scatter of the next piece together, about `level`, as a spread.

        zone: half of its zone, a logarithm above 0; raises `InputError` for another.
        """
        levels, scatters, share = self._posterior
        step = levels[1] - levels[0]
        parts = []
        # Levels closer than half a scatter are one normal law a little wider, so that some hundred laws say it all.
        for scatter, row in zip(scatters.tolist(), share, strict=True):
            every = max(1, int(scatter / 2 / step))
            edges = np.arange(0, len(levels), every)
            weight = np.add.reduceat(row, edges)
            keep = weight > _LEAST_WEIGHT
            mean = np.add.reduceat(row * levels, edges)[keep] / weight[keep]
            square = np.add.reduceat(row * levels**2, edges)[keep] / weight[keep]
            parts.append(np.stack([weight[keep], mean, np.sqrt(scatter**2 + np.maximum(square - mean**2, 0.0))]))
        weights, means, deviations = np.concatenate(parts, axis=1)
        zone = positive("zone", zone)
        return NormalMixture(
            tuple(weights.tolist()), tuple(((means - self.level) / zone).tolist()), tuple((deviations / zone).tolist())
        )
