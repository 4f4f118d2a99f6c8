"""The extremes of a function over the zone of its dimensions, searched: all corners (up to twelve dimensions), a few
thousand points inside, and a descent from the best of them.

A search proves nothing: of a function with a narrow peak it may see the foot only, and whoever rests on a worst case
is told that it was searched. The worst case of a sum, and of the least of several sums, is exact.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from fitcheck.later import optimize
from fitcheck.units import FloatArray

_MOST_CORNERS = 12  # dimensions whose corners are all tried; beyond that the interior points must do
_INTERIOR = 4096


class Extremes(NamedTuple):
    """Lowest and highest value, where they lie in the standard zone, and whether they are exact or searched."""

    low: float
    high: float
    at_low: FloatArray
    at_high: FloatArray
    exact: bool
    method: str


def find_extremes(values: Callable[[FloatArray], FloatArray], n: int) -> Extremes:
    """The extremes over the standard zone [-1, 1]^n of a function given by `values`, one row a point."""
    if n == 0:
        only = float(values(np.empty((1, 0)))[0])
        return Extremes(only, only, np.empty(0), np.empty(0), True, "exact: no dimension varies")
    from scipy.stats import qmc  # half a second to load, so only here

    points = [np.zeros((1, n)), 2 * qmc.Sobol(n, seed=0).random(_INTERIOR) - 1]
    if n <= _MOST_CORNERS:
        points.insert(1, np.array(list(itertools.product((-1.0, 1.0), repeat=n))))
    z = np.concatenate(points)
    y = values(z)
    at_low, low, low_corner = _descend(values, z[np.argmin(y)], float(y.min()), +1)
    at_high, high, high_corner = _descend(values, z[np.argmax(y)], float(y.max()), -1)
    where = "both extremes lie at corners" if low_corner and high_corner else "an extreme lies inside the zone"
    return Extremes(low, high, at_low, at_high, False, f"searched; {where}")


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


def _descend(
    values: Callable[[FloatArray], FloatArray], start: FloatArray, best: float, sign: int
) -> tuple[FloatArray, float, bool]:
    """Descend (sign +1) or climb (-1) from the best point found; also says whether the end is a corner."""
    n = len(start)
    step = 1e-7

    def value_and_slope(z: FloatArray) -> tuple[float, FloatArray]:
        # One call for the point and its n neighbours: a call costs far more than a row. Steps point into the zone.
        inward = np.where(z > 0, -step, step)
        y = sign * values(np.concatenate([z[None, :], z + np.diag(inward)]))
        return float(y[0]), (y[1:] - y[0]) / inward

    found = optimize.minimize(value_and_slope, start, method="L-BFGS-B", jac=True, bounds=[(-1.0, 1.0)] * n)
    z, value = (found.x, sign * float(found.fun)) if found.fun < sign * best else (start, best)
    # A dimension that makes no difference may lie anywhere without making it less of a corner.
    corner = np.where(z < 0, -1.0, 1.0)
    at_corner = float(values(corner[None, :])[0])
    if sign * (at_corner - value) <= 0 or math.isclose(at_corner, value, rel_tol=1e-9, abs_tol=1e-12):
        return corner, at_corner, True
    return z, value, False
