"""What each dimension of a function does to the result: shares of its variance and of its worst case.

*Share of the variance.* Let A and B be two independent draws of all dimensions. On the way from B to A the dimensions
are switched one after the other; d_i f is the change of the function when dimension i is switched, averaged over the
orders of switching. Then

    share_i = Cov(f(A), d_i f) / Var f .

The changes add up to f(A) - f(B), so the shares add up to 1, whatever the function. For independent dimensions this
is the Shapley value of the variance: the first-order Sobol' index and an equal part of whatever the dimension does
together with others, so it lies between the first-order and the total index. For a sum c_1 X_1 + ... it is
c_i Cov(X_i, sum) / Var(sum), tied or not, which is what `Linear.contributions` says.

The mean slope l_i of the function in each dimension splits it into a straight line and a rest. What the line
contributes is exact; only the rest is averaged over points, which are always the same. A Student's t goes no farther
than its central 99 % (`fitcheck.stack.central`), as the exponential of one has no variance. Shares are good to 0.01, or
to 0.02 with such a dimension in an exponential.

*Share of the worst case.* The most that the dimension alone, going through its zone, can change the result wherever
the others stand, as a share of the sum over the dimensions. The others are tried at corners of the zone: all of them up
to six dimensions; beyond, the two that the slopes point to and 62 more. For a sum it is |c_i| times the half-width,
over their sum.

References: A. B. Owen, SIAM/ASA J. Uncertainty Quantification 2 (2014) 245-251 (Shapley values of a variance);
T. Goda, Reliability Engineering and System Safety 213 (2021) 107803 (all of them from one walk); both from memory.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache
from typing import Any

import numpy as np

from fitcheck.stack.central import counted_variance, moved_in
from fitcheck.stack.correlation import correlation_of
from fitcheck.stack.member import Member
from fitcheck.stack.probability.sampling import AT_ONCE, to_zone
from fitcheck.stack.results import Contribution
from fitcheck.units import FloatArray

_EVALUATIONS, _FEWEST_WALKS, _MOST_WALKS = 1 << 15, 1 << 10, 1 << 12
_STEPS, _FEW_STEPS = 17, 5  # values of one dimension that are tried at a corner, and of one that goes one way there
_CORNERS = 64
_ROUNDING = 64 * float(np.finfo(float).eps)

Values = Callable[[FloatArray], FloatArray]


def contributions(values: Values, members: Sequence[Member]) -> list[Contribution]:
    """What each of the `members` does to the function `values` of the standard zone, the largest share first."""
    if not members:
        return []
    slopes, of_variance = _variance_shares(values, members)
    of_range = _range_shares(values, slopes, [i for i, d in enumerate(members) if d.half_width > 0])
    table = [
        Contribution(d.name, float(slope / d.half_width) if d.half_width else 0.0, float(width), float(share), d.called)
        for d, slope, width, share in zip(members, slopes, of_range, of_variance, strict=True)
    ]
    return sorted(table, key=lambda row: (-row.variance_share, -row.worst_case_share, row.name))


def _variance_shares(values: Values, members: Sequence[Member]) -> tuple[FloatArray, FloatArray]:
    """Mean slope in each dimension, per half-width, and share of the variance."""
    n = len(members)
    walks = min(max(_EVALUATIONS // (2 * n), _FEWEST_WALKS), _MOST_WALKS)
    a, b = _two_draws(members, walks)
    order = _orders(walks, n)
    way = _way(values, a, b, order, np.array([d.half_width > 0 for d in members]))
    moved = np.take_along_axis(a - b, order, axis=1).T
    change = _changes(way)

    def by_dimension(x: FloatArray) -> FloatArray:
        return np.asarray(np.bincount(order.T.ravel(), weights=x.ravel(), minlength=n), dtype=float)

    square = by_dimension(moved**2)
    slopes: FloatArray = np.divide(by_dimension(change * moved), square, out=np.zeros(n), where=square > 0)
    if np.ptp(way) <= _ROUNDING * np.abs(way).max():
        return np.zeros(n), np.zeros(n)
    half = np.cumsum(np.concatenate([np.zeros((1, walks)), moved * slopes[order.T]]), axis=0)
    line = np.concatenate([half[:-1], half[-1] - half[:-1]])
    tied = any(d.tie is not None for d in members)
    bent = by_dimension(_products(way, tied) - _products(line, tied)) / walks
    found = slopes * (_covariance(members) @ slopes) + bent
    return slopes, found / math.fsum(found)


def _way(values: Values, a: FloatArray, b: FloatArray, order: Any, varies: Any) -> FloatArray:
    """The function from B to A and on to B again: a closed way of 2 n points, a row each, the opposite one of each
    being redrawn throughout. Where the dimension that is switched does not vary it stands as before.
    """
    moves, m = varies[order], np.count_nonzero(varies)
    if m == 0:
        return np.repeat(values(b)[None, :], 2 * len(varies), axis=0)
    first = np.argsort(~moves, axis=1, kind="stable")[:, :m]
    way = _evaluated(values, _stations(a, b, np.take_along_axis(order, first, axis=1)))
    before = (np.cumsum(moves, axis=1) - moves).T
    return np.take_along_axis(way, np.concatenate([before, before + m]) % (2 * m), axis=0)


def _stations(a: FloatArray, b: FloatArray, order: Any) -> Iterator[FloatArray]:
    """The points of all walks, one station after the other, a column a point."""
    walks, n = order.shape  # the dimensions that are switched
    at, column = b.T.copy(), np.arange(walks)
    for k in range(2 * n):
        yield at.copy()
        step = order[:, k % n]
        at[step, column] = (a if k < n else b)[column, step]


def _evaluated(values: Values, pieces: Iterator[FloatArray]) -> FloatArray:
    """The function at pieces of equally many points, a column a point: a row a piece, several of them in a call."""
    found: list[FloatArray] = []
    for first in pieces:
        together = [first, *itertools.islice(pieces, max(AT_ONCE // first.shape[1], 1) - 1)]
        found.append(values(np.concatenate(together, axis=1).T).reshape(len(together), -1))
    return np.concatenate(found)


def _changes(way: FloatArray) -> FloatArray:
    """What each switch changes, the mean of the way there and the way back."""
    n = len(way) // 2
    steps = np.diff(way, axis=0, append=way[:1])
    return np.asarray((steps[:n] - steps[n:]) / 2)


def _products(way: FloatArray, tied: bool) -> FloatArray:
    """For each switch an estimate of Cov(f(A), d_i f), whose mean is the share of the variance.

    By symmetry it is half of E[(f(A) - f(B)) d_i f]. Any two opposite points of the way are two independent draws, the
    first with A_i and the second with B_i, unless dimensions are tied: the mean over all of them scatters less.
    """
    n = len(way) // 2
    apart = way[n:] - way[:n]  # f(A) - f(B), and the same of the other opposite points
    if tied:
        return np.asarray(_changes(way) * apart[0] / 2)
    # Switch k turns A_i into B_i between the points n + k and n + k + 1, so that beyond it the signs change.
    ahead = np.cumsum(apart, axis=0)
    return np.asarray(_changes(way) * (2 * ahead - ahead[-1]) / (2 * n))


def _two_draws(members: Sequence[Member], count: int) -> tuple[FloatArray, FloatArray]:
    """`count` pairs of points in the standard zone, evenly spread: multiples of the roots of the primes, modulo 1."""
    n = len(members)
    uniform = _evenly(count, 2 * n)
    tied = any(d.tie is not None for d in members)
    a, b = (to_zone(members, half, tied=tied) for half in (uniform[:, :n], uniform[:, n:]))
    return moved_in(members, a), moved_in(members, b)


@lru_cache(maxsize=4)
def _evenly(count: int, n: int) -> FloatArray:
    """Points of the unit cube, a row each; the same for every function."""
    uniform = np.asfortranarray(np.outer(np.arange(1, count + 1), np.sqrt(_primes(n))) % 1.0)
    uniform.flags.writeable = False
    return uniform


@lru_cache(maxsize=4)
def _orders(walks: int, n: int) -> Any:
    """The order in which each walk switches the dimensions, a row a walk; the same for every function."""
    order = np.argsort(np.random.default_rng(0).random((walks, n)), axis=1)
    order.flags.writeable = False
    return order


def _primes(count: int) -> list[int]:
    found: list[int] = []
    candidate = 2
    while len(found) < count:
        if all(candidate % p for p in found):
            found.append(candidate)
        candidate += 1
    return found


def _covariance(members: Sequence[Member]) -> FloatArray:
    """Of the members in the standard zone."""
    sd = np.sqrt([counted_variance(d.spread) for d in members])
    matrix = np.diag(sd**2)
    tied = [i for i, d in enumerate(members) if d.tie is not None]
    for i in tied:
        for j in tied:
            if i < j:
                matrix[i, j] = matrix[j, i] = correlation_of(members[i], members[j]) * sd[i] * sd[j]
    return matrix


def _range_shares(values: Values, slopes: FloatArray, varying: Sequence[int]) -> FloatArray:
    """Share of the most that each dimension alone can change the result, the others lying at corners of the zone."""
    n = len(slopes)
    if not varying:
        return np.zeros(n)
    if 2**n <= _CORNERS:
        corners = np.array(list(itertools.product((-1.0, 1.0), repeat=n)))
    else:
        drawn = np.random.default_rng(0).choice((-1.0, 1.0), (_CORNERS // 2, n))
        drawn[0] = np.where(slopes < 0, -1.0, 1.0)
        corners = np.concatenate([drawn, -drawn])
    change, left = np.zeros(n), np.array(varying, dtype=int)
    for steps in (_FEW_STEPS, _STEPS):
        if not left.size:
            break
        y = _evaluated(values, _lines(corners, left.tolist(), steps)).reshape(len(left), steps, -1)
        changed: FloatArray = np.ptp(y, axis=1).max(axis=1)
        rounding = _ROUNDING * np.abs(y).max(axis=(1, 2))
        change[left] = np.where(changed <= rounding, 0.0, changed)
        along = np.diff(y, axis=1) * np.sign(y[:, -1] - y[:, 0])[:, None]
        # What goes one way from corner to corner is most at its ends, however many places are tried.
        one_way = (along.min(axis=(1, 2)) >= -rounding) & (changed > rounding)
        left = left[~one_way]
    total = math.fsum(change)
    return change / total if total > 0 else change


def _lines(corners: FloatArray, varying: Sequence[int], steps: int) -> Iterator[FloatArray]:
    """From each corner along one dimension after the other: the places on the line in turn, a column a corner."""
    for i in varying:
        points = np.repeat(corners.T[:, None, :], steps, axis=1)
        points[i] = np.linspace(-1.0, 1.0, steps)[:, None]
        yield points.reshape(len(points), -1)
