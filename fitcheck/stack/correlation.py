"""Dimensions that vary together, such as two faces cut in one set-up.

A tie joins several dimensions by a Gaussian copula: behind each stands a standard normal variable, these have the
given correlation matrix, and each dimension is the quantile of its own spread at the probability of its variable.
For normal spreads the matrix is the ordinary correlation; for others it is that of the variables behind them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from fitcheck.errors import InputError, finite
from fitcheck.later import special
from fitcheck.stack.gauss import hermite
from fitcheck.stack.member import Member, Tied
from fitcheck.stack.spreads import Normal, Spread, Uniform
from fitcheck.stack.student_t import StudentT
from fitcheck.units import FloatArray


class Tie:
    """The correlation matrix of several dimensions; each member of the tie knows its row."""

    def __init__(self, correlation: Any, names: Sequence[str]) -> None:
        n, listed = len(names), ", ".join(names)
        matrix = np.asarray(finite(f"correlation of {listed}", correlation), dtype=float)
        if matrix.shape != (n, n):
            raise InputError(
                f"correlation of {listed}: a matrix of {n} rows and columns is needed, not shape {matrix.shape}"
            )
        if not np.allclose(matrix, matrix.T, atol=1e-12) or not np.allclose(np.diag(matrix), 1.0, atol=1e-12):
            raise InputError(f"correlation of {listed}: a symmetric matrix with 1 on its diagonal is needed")
        if np.abs(matrix).max() > 1 + 1e-12:
            raise InputError(f"correlation of {listed}: numbers from -1 to 1 are needed")
        values, vectors = np.linalg.eigh(matrix)
        if values.min() < -1e-10:
            raise InputError(
                f"correlation of {listed}: no set of dimensions can have it (smallest eigenvalue "
                f"{values.min():.3g}, at least 0 is needed)"
            )
        self.matrix: FloatArray = matrix
        self._root: FloatArray = vectors * np.sqrt(np.clip(values, 0.0, None))

    def mix(self, independent: FloatArray) -> FloatArray:
        """Correlated normal variables from independent ones, one row each."""
        return np.asarray(independent @ self._root.T)


def from_normal(spread: Spread, z: FloatArray) -> FloatArray:
    """The value in the standard zone that has the probability of the standard normal variable z."""
    if isinstance(spread, Normal):
        return np.asarray(z / spread.k)
    if isinstance(spread, Uniform):
        return np.asarray(np.copysign(1 - 2 * special.ndtr(-np.abs(z)), z))
    # Above the middle by the mirrored tail where the spread is symmetric, which keeps small probabilities exact.
    if spread.moments[0] == 0 == spread.moments[2]:
        return np.asarray(np.where(z < 0, 1.0, -1.0) * spread.quantile(special.ndtr(-np.abs(z))))
    return np.asarray(spread.quantile(special.ndtr(z)))


def normal_blocks(members: Sequence[Member]) -> list[tuple[Tied | None, list[int]]]:
    """The members grouped by tie: positions that vary together, and singles with no tie."""
    groups: dict[int, tuple[Tied | None, list[int]]] = {}
    for i, d in enumerate(members):
        key = -1 - i if d.tie is None else id(d.tie[0])
        groups.setdefault(key, (None if d.tie is None else d.tie[0], []))[1].append(i)
    return list(groups.values())


def correlate(members: Sequence[Member], independent: FloatArray) -> FloatArray:
    """Standard normal variables of the members, correlated by their ties, from independent ones in columns."""
    out = np.array(independent, dtype=float)
    for tie, columns in normal_blocks(members):
        if tie is None or len(columns) < 2:
            continue
        rows = [row for _, row in (members[i].tie or (tie, 0) for i in columns)]
        part = Tie(tie.matrix[np.ix_(rows, rows)], [members[i].name for i in columns])
        out[:, columns] = part.mix(independent[:, columns])
    return out


_REACH = np.arange(-37.0, 37.1, 0.25)
_WIDE = _REACH, np.exp(-_REACH * _REACH / 2)


def correlation_of(a: Member, b: Member) -> float:
    """Ordinary correlation of two dimensions: that of their tie for normal spreads, by quadrature for others."""
    if a is b:
        return 1.0
    if a.tie is None or b.tie is None or a.tie[0] is not b.tie[0]:
        return 0.0
    rho = float(a.tie[0].matrix[a.tie[1], b.tie[1]])
    if rho == 0 or (isinstance(a.spread, Normal) and isinstance(b.spread, Normal)):
        return rho
    # Heavy tails grow with x as exp(x² / 2 v): a polynomial rule misses them, an even one reaches to where they end.
    x, w = _WIDE if any(isinstance(d.spread, StudentT) for d in (a, b)) else hermite(48)
    w = w / w.sum()
    first = from_normal(a.spread, x)
    mixed = rho * x[:, None] + math.sqrt(max(1 - rho * rho, 0.0)) * x[None, :]
    second = from_normal(b.spread, mixed) @ w
    product = float((w * first) @ second)
    return (product - a.spread.moments[0] * b.spread.moments[0]) / math.sqrt(a.spread.variance * b.spread.variance)
