"""Points of the unit cube that fill it evenly: scrambled Sobol points.

The i-th point is the exclusive or of those columns of the generating matrices, one matrix a coordinate, that the Gray
code of i selects; the first 2^k points then lie one in each of 2^k equal slices of every coordinate, whatever k.
Each matrix is multiplied by a random lower triangular one over {0, 1} and a random shift is applied to all points,
which keeps this and makes every point uniformly distributed: the mean over the points of one scramble is unbiased.

References: S. Joe and F. Y. Kuo, SIAM J. Sci. Comput. 30 (2008) 2635-2654 (direction numbers, `sobol_directions.csv`);
I. A. Antonov and V. M. Saleev, USSR Comput. Math. Math. Phys. 19 (1979) 252-256 (Gray code); J. Matousek,
J. Complexity 14 (1998) 527-556 (scramble). The last two from memory.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Any

import numpy as np

from fitcheck.tables import table
from fitcheck.units import FloatArray

_BITS = 30
MOST_POINTS = 1 << _BITS
"""Points of one scramble."""
_BLOCK = 1 << 15  # points at once
_MOST_NUMBERS = 1 << 24  # at once, where coordinates are many
_WEIGHTS = 1 << np.arange(_BITS - 1, -1, -1, dtype=np.uint32)


def even_points(n: int, points: int, generator: np.random.Generator) -> Iterator[FloatArray]:
    """The first `points` points of a new scramble in [0, 1)^n, in blocks of at most 2^15 points, a column a coordinate.

    points: a power of two, at most `MOST_POINTS`. generator: what the scramble is drawn from. Coordinates beyond the
    1,024 of the table are independent uniform ones, which leaves the mean over the points unbiased.
    """
    block = min(points, _BLOCK, 1 << max(4, (_MOST_NUMBERS // max(n, 1)).bit_length() - 1))
    low, high = block.bit_length() - 1, points.bit_length() - 1
    matrix, shift = _scrambled(min(n, len(_printed()) + 1), high, generator)
    first = np.empty((len(matrix), block), dtype=np.uint32)
    first[:, 0] = shift
    for j in range(low):  # the Gray code of the second half is that of the first half backwards, and one bit more
        half = 1 << j
        first[:, half : 2 * half] = first[:, half - 1 :: -1] ^ matrix[:, j, None]
    for b in range(points // block):
        chosen = [low + j for j in range(high - low) if (b ^ (b >> 1)) >> j & 1] + ([low - 1] if b & 1 and low else [])
        here = first ^ np.bitwise_xor.reduce(matrix[:, chosen], axis=1)[:, None] if chosen else first
        found: FloatArray = np.multiply(here, 0.5**_BITS, dtype=np.float64)
        if n > len(matrix):
            found = np.concatenate([found, generator.uniform(size=(n - len(matrix), block))])
        yield found.T


def scrambling(seed: Sequence[int]) -> np.random.Generator:
    """The generator that scrambles: one of its own for each seed, so that other draws of that seed are independent."""
    return np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(0,)))


def _scrambled(n: int, columns: int, generator: np.random.Generator) -> tuple[Any, Any]:
    """The first columns of n generating matrices, each a whole number, times a random matrix; and a random shift."""
    shift = generator.integers(2, size=(n, _BITS), dtype=np.uint32) @ _WEIGHTS[::-1]
    lower = np.tril(generator.integers(2, size=(n, _BITS, _BITS), dtype=np.uint32))
    lower[:, np.arange(_BITS), np.arange(_BITS)] = 1
    bits = _directions(n)[:, None, :columns] >> np.arange(_BITS - 1, -1, -1, dtype=np.uint32)[:, None] & 1
    # Sums of at most 30 ones, so single precision is exact.
    product = (lower.astype(np.float32) @ bits.astype(np.float32)).astype(np.uint32) & 1
    return np.einsum("ikj,k->ij", product, _WEIGHTS), shift


def _directions(n: int) -> Any:
    """The generating matrices of the first n coordinates, one row each: a whole number of 30 bits a column."""
    return np.array([_direction(i) for i in range(n)], dtype=np.uint32).reshape(n, _BITS)


@lru_cache(maxsize=1024)
def _direction(i: int) -> tuple[int, ...]:
    """The columns of one generating matrix, v_k = m_k 2^(30 - k).

    With the primitive polynomial x^s + a_1 x^(s-1) + ... + a_(s-1) x + 1 and the first numbers m_1 to m_s,
    m_k = 2 a_1 m_(k-1) ^ 4 a_2 m_(k-2) ^ ... ^ 2^s m_(k-s) ^ m_(k-s); those of the first coordinate are all 1.
    """
    if i == 0:
        return tuple(1 << (_BITS - k) for k in range(1, _BITS + 1))
    s, a, m = _printed()[i - 1]
    m = list(m)
    for k in range(s, _BITS):
        new = m[k - s] ^ m[k - s] << s
        for j in range(1, s):
            if a >> (s - 1 - j) & 1:
                new ^= m[k - j] << j
        m.append(new)
    return tuple(one << (_BITS - k) for k, one in enumerate(m, start=1))


@lru_cache(maxsize=1)
def _printed() -> list[tuple[int, int, list[int]]]:
    """The degree, the inner coefficients and the first numbers of every coordinate but the first."""
    rows = table("sobol_directions", {"s": int, "a": int}).rows
    return [(row["s"], row["a"], [int(one) for one in row["m"].split()]) for row in rows]
