"""The extremes of a function over the zone of its dimensions: proved where interval arithmetic follows the function,
searched where it does not.

*Proved.* Bounds of the function and of its derivatives over the whole zone (`fitcheck.stack.enclosure`) decide at
once if it rises or falls throughout with every dimension; then both extremes lie at corners. Otherwise the zone is
cut in halves, parts that cannot hold the extreme are dropped, and dimensions in which a part is monotonic are set to
their end, until what is left is settled.

*Searched.* All corners (up to twelve dimensions), a few thousand points inside, and a descent from the best of them.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from fitcheck.later import optimize
from fitcheck.stack.enclosure import Enclosure
from fitcheck.units import FloatArray

_MOST_CORNERS = 12  # dimensions whose corners are all tried; beyond that the interior points must do
_INTERIOR = 4096
_MOST_PARTS = 400  # of the zone looked at in a proof


class Extremes(NamedTuple):
    """Lowest and highest value, where they lie in the standard zone, and how sure they are."""

    low: float
    high: float
    at_low: FloatArray
    at_high: FloatArray
    proved: bool
    method: str


def find_extremes(
    values: Callable[[FloatArray], FloatArray],
    enclose: Callable[[FloatArray, FloatArray], Enclosure],
    n: int,
) -> Extremes:
    """The extremes over the standard zone [-1, 1]^n of a function given by `values` and, over a box, by `enclose`."""
    if n == 0:
        only = float(values(np.empty((1, 0)))[0])
        return Extremes(only, only, np.empty(0), np.empty(0), True, "proved: no dimension varies")
    points = [np.zeros((1, n))]
    if n <= _MOST_CORNERS:
        points.append(np.array(list(itertools.product((-1.0, 1.0), repeat=n))))
    whole = _try(enclose, -np.ones(n), np.ones(n))
    if whole is not None and np.all((whole.dlo >= 0) | (whole.dhi <= 0)):
        up = np.where(whole.dlo >= 0, 1.0, -1.0)
        low, high = values(np.array([-up, up]))
        return Extremes(
            float(low), float(high), -up, up, True,
            "proved: monotonic in every dimension, so both extremes lie at corners",
        )  # fmt: skip
    from scipy.stats import qmc  # half a second to load, so only here

    points.append(2 * qmc.Sobol(n, seed=0).random(_INTERIOR) - 1)
    z = np.concatenate(points)
    y = values(z)
    ends = [
        _descend(values, z[np.argmin(y)], float(y.min()), +1),
        _descend(values, z[np.argmax(y)], float(y.max()), -1),
    ]
    proofs = [False, False]
    if whole is not None:
        scale = max(ends[1][1] - ends[0][1], 1e-12 * max(abs(ends[0][1]), abs(ends[1][1])))
        for i, sign in ((0, -1), (1, +1)):
            at, value, proofs[i] = _prove(values, enclose, ends[i][0], ends[i][1], sign, 1e-9 * scale)
            if sign * (value - ends[i][1]) > 0:
                ends[i] = (at, value, bool(np.all(np.abs(at) == 1)))
    where = "both extremes lie at corners" if ends[0][2] and ends[1][2] else "an extreme lies inside the zone"
    proved = all(proofs)
    how = f"{'proved by subdivision' if proved else 'searched'}; {where}"
    return Extremes(ends[0][1], ends[1][1], ends[0][0], ends[1][0], proved, how)


def _try(enclose: Callable[[FloatArray, FloatArray], Enclosure], low: FloatArray, high: FloatArray) -> Enclosure | None:
    try:
        with np.errstate(all="ignore"):
            found = enclose(low, high)
    except Exception:  # the function asks for something only real arrays have; what fails with these too is said there
        return None
    if not isinstance(found, Enclosure) or not (np.all(np.isfinite(found.dlo)) and np.all(np.isfinite(found.dhi))):
        return None
    return found


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


def _prove(
    values: Callable[[FloatArray], FloatArray],
    enclose: Callable[[FloatArray, FloatArray], Enclosure],
    at: FloatArray,
    best: float,
    sign: int,
    tolerance: float,
) -> tuple[FloatArray, float, bool]:
    """Show that nothing in the zone exceeds `best` (sign +1, or falls below it, -1), or find what does."""
    n = len(at)
    parts = [(-np.ones(n), np.ones(n))]
    looked_at = 0
    while parts:
        low, high = parts.pop()
        looked_at += 1
        found = _try(enclose, low, high)
        if found is None or looked_at > _MOST_PARTS:
            return at, best, False
        if (found.hi if sign > 0 else -found.lo) <= sign * best + tolerance:
            continue
        rise, fall = (found.dlo, found.dhi) if sign > 0 else (-found.dhi, -found.dlo)
        up = rise >= 0
        new_low, new_high = np.where(up, high, low), np.where(~up & (fall <= 0), low, high)
        if np.array_equal(new_low, new_high):
            value = float(values(new_low[None, :])[0])
            if sign * (value - best) > 0:
                at, best = new_low, value
            continue
        if not (np.array_equal(new_low, low) and np.array_equal(new_high, high)):
            parts.append((new_low, new_high))
            continue
        cut = int(np.argmax((high - low) * np.maximum(np.abs(found.dlo), np.abs(found.dhi))))
        middle = (low[cut] + high[cut]) / 2
        left, right = high.copy(), low.copy()
        left[cut] = right[cut] = middle
        parts += [(low, left), (right, high)]
    return at, best, True
