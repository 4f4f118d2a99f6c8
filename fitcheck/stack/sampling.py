"""Points of the standard zone that fill it evenly: scrambled Sobol points, in blocks that bound the memory.

A sequence is scrambled several times over; each scramble gives an independent unbiased estimate, and their scatter the
standard error (A. B. Owen, SIAM J. Numer. Anal. 34 (1997) 1884-1910, from memory).
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Iterator, Sequence

import numpy as np
from scipy import special

from fitcheck.stack.dimension import Dimension
from fitcheck.stack.spreads import Uniform
from fitcheck.stack.ties import correlate, from_normal
from fitcheck.units import FloatArray

SCRAMBLES = 8
_BLOCK = 1 << 15
_MOST_COLUMNS = 21_000  # of a Sobol sequence


def size(samples: int) -> int:
    """Points of each scramble, a power of two, for at least `samples` points in all."""
    return 1 << max(4, math.ceil(math.log2(max(samples, 1) / SCRAMBLES)))


def even_blocks(members: Sequence[Dimension], points: int, *, seed: int = 0) -> Iterator[tuple[int, FloatArray]]:
    """The number of the scramble and a block of points in the standard zone, one column a member."""
    from scipy.stats import qmc  # half a second to load, so only here

    n = len(members)
    tied = any(d.tie is not None for d in members)
    for scramble in range(SCRAMBLES):
        with warnings.catch_warnings():
            # The 2^k points of a scramble are complete; scipy warns because it sees them in blocks.
            warnings.simplefilter("ignore", UserWarning)
            engine = qmc.Sobol(min(n, _MOST_COLUMNS), scramble=True, seed=np.random.default_rng([seed, scramble]))
            for start in range(0, points, _BLOCK):
                yield scramble, to_zone(members, engine.random(min(_BLOCK, points - start)), tied=tied)


def to_zone(members: Sequence[Dimension], uniform: FloatArray, *, tied: bool) -> FloatArray:
    """Points of the unit cube as values of the members in the standard zone."""
    tiny = 0.5**54
    uniform = np.clip(uniform, tiny, 1 - tiny)
    if tied:
        return normal_to_zone(members, special.ndtri(uniform))
    columns = [
        2 * uniform[:, i] - 1 if isinstance(d.spread, Uniform) else d.spread.quantile(uniform[:, i])
        for i, d in enumerate(members)
    ]
    return np.column_stack(columns)


def normal_to_zone(members: Sequence[Dimension], u: FloatArray) -> FloatArray:
    """Independent standard normal variables as values of the members in the standard zone."""
    z = correlate(members, u)
    return np.column_stack([from_normal(d.spread, z[:, i]) for i, d in enumerate(members)])
