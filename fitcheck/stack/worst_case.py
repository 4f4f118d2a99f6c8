"""The extremes over the zone of the dimensions: of a function by search, of the least of several sums exactly.

1. All corners (up to twelve dimensions; a few thousand of more), and a few thousand points inside. The best few of
   them that lie apart go to the corner that their slopes point to, as long as that is better. It is an end if the
   slopes of all dimensions there point out of the zone; from one that is none, a descent.
2. *Kinks.* A descent stalls where the function has an edge, as the least of several sums has: the slope at the point
   points along none of them. So slopes are also taken at points around. If they do not all say that the end is one,
   the function is replaced by the lowest of the planes that touch it there, the best point of these is found by linear
   programming within a distance, which shrinks where that point is no better, and so on. For the least of linear
   functions the first programme has the answer.

A search proves nothing: of a function with a narrow peak it may see the foot only, and whoever rests on a worst case
is told that it was searched.

References: J. V. Burke, A. S. Lewis and M. L. Overton, SIAM J. Optim. 15 (2005) 751-779 (slopes at points around);
J. E. Kelley, J. Soc. Ind. Appl. Math. 8 (1960) 703-712 (touching planes). Both from memory.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from functools import lru_cache, partial
from typing import NamedTuple

import numpy as np

from fitcheck.later import optimize
from fitcheck.stack.probability.even_points import even_points
from fitcheck.units import FloatArray

_MOST_CORNERS = 12  # dimensions whose corners are all tried
_STARTS, _MORE_STARTS = 3, 8  # of a search, and where not all corners were tried
_INTERIOR = 4096
_NEAR = 0.05  # of the half zone: where slopes are taken about an end
_STEP = 1e-7  # of the difference quotients
_MOST_PROGRAMMES = 40
_MOST_IDLE, _BESIDE = 4, 6  # programmes that gain next to nothing at one distance; planes taken beside a point
_MOST_MOVES = 6  # from corner to corner

Values = Callable[[FloatArray], FloatArray]


class Extremes(NamedTuple):
    """Lowest and highest value, where they lie in the standard zone, and whether they are exact or searched."""

    low: float
    high: float
    at_low: FloatArray
    at_high: FloatArray
    exact: bool
    method: str


def find_extremes(values: Values, n: int) -> Extremes:
    """The extremes over the standard zone [-1, 1]^n of `values`, which takes points, one a row."""
    if n == 0:
        only = float(values(np.empty((1, 0)))[0])
        return Extremes(only, only, np.empty(0), np.empty(0), True, "exact: no dimension varies")
    z = _tried_first(n)
    y = values(z)
    # What differs by less than 1 is enlarged, as a slope of 1e-5 ends a descent; a power of two costs no digit.
    one = math.ldexp(1.0, min(math.frexp(float(np.ptp(y)))[1], 0))
    low, high = _lowest_and_highest(partial(_turned, values, 1 / one), z, y / one)
    where = "both extremes lie at corners" if low.corner and high.corner else "an extreme lies inside the zone"
    return Extremes(low.value * one, high.value * one, low.at, high.at, False, f"searched; {where}")


@lru_cache(maxsize=12)
def _tried_first(n: int) -> FloatArray:
    """The middle, the corners and the points inside of so many dimensions, a row each; the same for every function."""
    inside = 2 * np.concatenate(list(even_points(n, _INTERIOR, np.random.default_rng(0)))) - 1
    if n <= _MOST_CORNERS:
        corners = np.array(list(itertools.product((-1.0, 1.0), repeat=n)))
    else:
        corners = np.where(inside < 0, -1.0, 1.0)
    tried = np.asfortranarray(np.concatenate([np.zeros((1, n)), corners, inside]))
    tried.flags.writeable = False
    return tried


def least_of_sums(middles: FloatArray, slopes: FloatArray) -> Extremes:
    """The exact extremes over the standard zone of min_i(m_i + slopes_i z).

    middles: m_i of the sums, shape (k,); slopes: shape (k, n), per half-width. The lower end is the lowest that
    any of the sums can be. The upper end is that of a linear programme: the largest t with t <= m_i + slopes_i z for
    all i and z in [-1, 1]^n.
    """
    k, n = slopes.shape
    lows = middles - np.abs(slopes).sum(axis=1)
    weakest = int(np.argmin(lows))
    found = optimize.linprog(
        np.append(np.zeros(n), -1.0),
        A_ub=np.column_stack([-slopes, np.ones(k)]),
        b_ub=middles,
        bounds=[(-1.0, 1.0)] * n + [(None, None)],
    )
    at_high = np.asarray(found.x[:n])
    high = float(np.min(middles + slopes @ at_high))
    at_low = np.where(slopes[weakest] > 0, -1.0, 1.0)
    return Extremes(float(lows[weakest]), high, at_low, at_high, True, "exact: the least of several sums")


class _End(NamedTuple):
    """The lowest or the highest point, its value, and whether it is a corner."""

    at: FloatArray
    value: float
    corner: bool


def _lowest_and_highest(values: Values, tried: FloatArray, y: FloatArray) -> list[_End]:
    """Both ends from the best of those tried on; they share their calls, as a call of few points costs most."""
    scale = float(np.ptp(y))
    turns = (1.0, -1.0)  # upside down the highest is the lowest
    starts = [_apart(tried, turn * y) for turn in turns]
    turn_of = np.repeat(turns, [len(found) for found in starts])
    moved, reached, done = _to_corners(values, tried[np.concatenate(starts)], turn_of)
    found = []
    for turn in turns:
        own = zip(*(row[turn_of == turn] for row in (moved, reached, done)), strict=True)
        turned = partial(_turned, values, turn)
        ways = [(z, float(best)) if there else _descend(turned, z, float(best)) for z, best, there in own]
        found.append(min(ways, key=lambda way: way[1]))
    around = [_points_around(z, _NEAR) for z, _ in found]
    slopes = np.split(_slopes(values, np.concatenate(around))[1], 2)
    ends = []
    for turn, (z, value), slope in zip(turns, found, slopes, strict=True):
        turned = partial(_turned, values, turn)
        if not _is_an_end(z, turn * slope):
            z, value = _by_planes(turned, z, value, scale)
        z, value, corner = _at_corner(turned, z, value)
        ends.append(_End(z, turn * value, corner))
    return ends


def _turned(values: Values, turn: float, points: FloatArray) -> FloatArray:
    return turn * values(points)


def _apart(tried: FloatArray, y: FloatArray) -> list[int]:
    """The lowest few points that lie apart."""
    starts: list[int] = []
    most = _STARTS if tried.shape[1] <= _MOST_CORNERS else _MORE_STARTS
    for i in np.argsort(y)[:64].tolist():
        if len(starts) < most and all(np.abs(tried[i] - tried[j]).max() > 0.5 for j in starts):
            starts.append(i)
    return starts


def _to_corners(values: Values, z: FloatArray, turn: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Points moved from corner to corner while their slopes point to a lower one, their values, and whether each now
    is where its slopes point to. Each row is turned upside down by its `turn` of -1.
    """

    def turned(points: FloatArray) -> tuple[FloatArray, FloatArray]:
        y, slopes = _slopes(values, points)
        return turn * y, turn[:, None] * slopes

    y, slopes = turned(z)
    for _ in range(_MOST_MOVES):
        corner = np.where(slopes == 0, np.where(z < 0, -1.0, 1.0), -np.sign(slopes))
        done = (corner == z).all(axis=1)
        if done.all():
            break
        y_there, slopes_there = turned(corner)
        better = ~done & (y_there <= y)
        if not better.any():
            break
        y = np.where(better, y_there, y)
        z, slopes = (np.where(better[:, None], new, old) for new, old in ((corner, z), (slopes_there, slopes)))
    return z, y, done


def _at_corner(values: Values, z: FloatArray, value: float) -> tuple[FloatArray, float, bool]:
    """The corner next to a lowest point where it is no higher, its value, and whether it is.

    A dimension that makes no difference may lie anywhere without making it less of a corner.
    """
    corner = np.where(z < 0, -1.0, 1.0)
    if np.array_equal(corner, z):
        return z, value, True
    at_corner = float(values(corner[None, :])[0])
    if at_corner <= value or math.isclose(at_corner, value, rel_tol=1e-9, abs_tol=1e-12):
        return corner, at_corner, True
    return z, value, False


def _slopes(values: Values, points: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The values and the slopes at points of the zone, by steps that stay in it, in one call."""
    m, n = points.shape
    inward = np.where(points > 0, -_STEP, _STEP)
    beside = points[:, None, :] + inward[:, :, None] * np.eye(n)
    y = values(np.concatenate([points, beside.reshape(-1, n)]))
    return y[:m], (y[m:].reshape(m, n) - y[:m, None]) / inward


def _descend(values: Values, start: FloatArray, best: float) -> tuple[FloatArray, float]:
    def value_and_slope(z: FloatArray) -> tuple[float, FloatArray]:
        y, slope = _slopes(values, z[None, :])
        return float(y[0]), slope[0]

    found = optimize.minimize(value_and_slope, start, method="L-BFGS-B", jac=True, bounds=[(-1.0, 1.0)] * len(start))
    return (found.x, float(found.fun)) if found.fun < best else (start, best)


def _points_around(z: FloatArray, reach: float, count: int | None = None) -> FloatArray:
    """Points about `z` inside the zone, `count` or twice as many as dimensions, behind `z` itself."""
    n = len(z)
    apart = np.random.default_rng(0).uniform(-reach, reach, (2 * n + 2 if count is None else count, n))
    return np.concatenate([z[None, :], np.clip(z + apart, -1.0, 1.0)])


def _is_an_end(z: FloatArray, slopes: FloatArray) -> bool:
    """Whether every slope about a corner says that the function falls towards it."""
    return bool(np.all(np.abs(z) == 1) and np.all(slopes * np.sign(z) <= 0))


def _by_planes(values: Values, z: FloatArray, best: float, scale: float) -> tuple[FloatArray, float]:
    """Lower points by the planes that touch the function about the lowest one.

    Each point that the planes promise to be lowest brings its own plane, as in Kelley's method: of a function that is
    the greatest of several sums the lowest point is found once each of them has shown its plane [1]_. Of another one
    planes from afar may promise too little or too much, so that those nearer to the point follow.

    References
    ----------
    .. [1] J. E. Kelley, J. Soc. Indust. Appl. Math. 8 (1960) 703-712; from memory.
    """
    n, reach, idle = len(z), 2.0, 0
    points, y, slopes = _planes(values, z, reach, 2 * n + 2)
    for _ in range(_MOST_PROGRAMMES):
        offsets = y - np.sum(slopes * points, axis=1)
        # The least t that no plane exceeds: y_i + g_i (x - x_i) <= t.
        found = optimize.linprog(
            np.append(np.zeros(n), 1.0),
            A_ub=np.column_stack([slopes, -np.ones(len(points))]),
            b_ub=-offsets,
            bounds=[*zip(np.maximum(z - reach, -1.0), np.minimum(z + reach, 1.0), strict=True), (None, None)],
        )
        if found.x is None:
            break
        there = np.clip(found.x[:n], -1.0, 1.0)
        beside = _planes(values, there, 1e-3 * reach, _BESIDE)
        points, y, slopes = (np.concatenate(each) for each in zip((points, y, slopes), beside, strict=True))
        tried = np.concatenate([there[None, :], beside[0]])
        reached = np.append(values(there[None, :]), beside[1])
        i = int(np.argmin(reached))
        gained, promised = best - float(reached[i]), best - float(found.x[n])
        if gained > 0:
            z, best = tried[i], float(reached[i])
        idle = 0 if gained > 1e-3 * promised else idle + 1
        # Planes that promise less than there is tell nothing at this distance, nor do those that never keep it.
        if promised <= 1e-12 * scale or idle >= _MOST_IDLE:
            if reach < 4e-7 or (reach < 4e-3 and gained <= 1e-12 * scale):
                break
            reach, idle = reach / 4, 0
            points, y, slopes = _planes(values, z, reach, 2 * n + 2)
    return z, best


def _planes(values: Values, z: FloatArray, reach: float, count: int) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Points about `z`, the values and the slopes there.

    Not at z, where several sums may be as great as each other: what steps give there is no plane of any of them.
    """
    points = _points_around(z, reach, count)[1:]
    return points, *_slopes(values, points)
