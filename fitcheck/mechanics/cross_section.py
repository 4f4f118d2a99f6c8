"""Plane geometry of a chassis in a round tube: how near do the bodies on it come to the wall, wherever it lies?

Plain functions on floats or arrays, which broadcast; lengths in mm. The tube is a circle of diameter D about the
origin. The chassis is a circle of diameter d, or a rectangle w by h, about its own axis, and shifts in any direction
until it touches the wall. A body is one or more points (x, y) seen from the chassis axis, each with a radius r about
it: 0 for the corner of a block, the body's own radius for a round one. In a round tube it makes no difference how
chassis and bodies are turned together; only how the bodies stand on a rectangular chassis does.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from fitcheck.units import FloatArray, Number

Point = tuple[Number, Number]


def turned(x: Number, y: Number, angle: Number) -> Point:
    """The point (x, y) turned clockwise by `angle` (radians) about the origin."""
    cos, sin = np.cos(angle), np.sin(angle)
    return np.asarray(x * cos + y * sin)[()], np.asarray(y * cos - x * sin)[()]


def block_corners(
    width: Number, reach: Number, offset: Number, angle: Number, depth: Number | None = None
) -> list[Point]:
    """Corners of a block, its outer ones first: left and right outer, left and right inner.

    width: across its outer face. reach: of that face from the chassis axis. offset: of the middle of the face, to the
    right seen in the direction in which it faces. angle: of that direction, radians clockwise from up. depth: from the
    outer face inwards; without it the block goes down to the level of the axis.
    """
    left, right = offset - np.asarray(width) / 2, offset + np.asarray(width) / 2
    inner = np.asarray(reach) - depth if depth is not None else np.minimum(reach, 0.0)
    return [turned(x, y, angle) for x, y in ((left, reach), (right, reach), (left, inner), (right, inner))]


def gap_at(D: Number, x: Number, y: Number, r: Number, shift_x: Number, shift_y: Number) -> Number:
    """Gap between the wall and a body's point, the chassis shifted: D/2 - |(x, y) + shift| - r; below 0: overlap."""
    away = np.hypot(np.asarray(x) + shift_x, np.asarray(y) + shift_y)
    return np.asarray(np.asarray(D) / 2 - away - r)[()]


def least_gap_round(D: Number, d: Number, x: Number, y: Number, r: Number) -> Number:
    """The least of `gap_at` over every shift of a round chassis: min(D, d)/2 - |(x, y)| - r.

    The worst shift is straight towards the point, by (D - d)/2, so that the bore drops out. A chassis larger than the
    bore counts as one that sits in the middle.
    """
    D, d = np.asarray(D), np.asarray(d)
    play = np.maximum(D - d, 0.0)
    return np.asarray(D / 2 - play / 2 - np.hypot(x, y) - r)[()]


def least_gap_rectangular(D: Number, w: Number, h: Number, x: Number, y: Number, r: Number) -> Number:
    """The least of `gap_at` over every shift of a rectangular chassis, w wide and h high.

    The shifts that leave its four corners in the tube fill a curved rhombus: four arcs of radius D/2 about the points
    opposite to the corners, which meet on the two axes. The farthest point of a convex region lies on its edge, so the
    four meeting points are tried, and on every arc the point straight beyond (x, y) seen from the arc's corner, where
    that lies on the arc. A chassis whose diagonal exceeds the bore counts as one that sits in the middle.
    """
    D, w, h, x, y, r = np.broadcast_arrays(*(np.asarray(v, dtype=float) for v in (D, w, h, x, y, r)))
    away = np.zeros_like(x)
    for possible, shift_x, shift_y in _farthest_shifts(D, w, h, x, y):
        away = np.where(possible, np.maximum(away, np.hypot(x + shift_x, y + shift_y)), away)
    return np.asarray(D / 2 - away - r)[()]


def _farthest_shifts(
    D: FloatArray, w: FloatArray, h: FloatArray, x: FloatArray, y: FloatArray
) -> Iterator[tuple[Any, FloatArray, FloatArray]]:
    """The shifts of a rectangular chassis of which one brings (x, y) farthest out: where each is possible, and it."""
    R, a, b = D / 2, w / 2, h / 2
    along_x, along_y = rectangular_play(D, w, h)
    nothing = np.zeros_like(x)
    for sign in (1, -1):
        yield True, nothing, nothing + sign * along_y
        yield True, nothing + sign * along_x, nothing
    fits = np.hypot(a, b) <= R
    for sign_x, sign_y in ((1, 1), (1, -1), (-1, -1), (-1, 1)):
        px, py = x - sign_x * a, y - sign_y * b
        far = np.hypot(px, py)
        scale = np.divide(R, far, out=np.zeros_like(far), where=far > 0)
        shift_x, shift_y = px * scale - sign_x * a, py * scale - sign_y * b
        yield fits & (far > 0) & (sign_x * shift_x >= 0) & (sign_y * shift_y >= 0), shift_x, shift_y


def worst_shift(D: float, sides: Sequence[float], x: float, y: float) -> tuple[float, float]:
    """The shift of the chassis that brings the point (x, y) nearest to the wall, mm.

    D: diameter of the tube, mm. sides: the diameter of the chassis, or its width and height, mm. x, y: of the point,
    seen from the chassis axis, mm. Exact, by the same plane geometry as `least_gap_round` and `least_gap_rectangular`;
    of several shifts that are alike the first clockwise from up.

    >>> worst_shift(32.0, (31.5,), 0.0, 10.0)
    (0.0, 0.25)
    """
    if len(sides) == 1:
        found = turned(0.0, max(D - sides[0], 0.0) / 2, np.arctan2(x, y))
    else:
        given = np.broadcast_arrays(*(np.asarray(v, dtype=float) for v in (D, *sides, x, y)))
        shifts = [(float(sx), float(sy)) for possible, sx, sy in _farthest_shifts(*given) if np.all(possible)]
        # Those that differ by less than a rounding are alike.
        found = max(shifts, key=lambda by: (round(np.hypot(x + by[0], y + by[1]), 9), -_clockwise(*by)))
    return float(found[0]) + 0.0, float(found[1]) + 0.0


def _clockwise(x: float, y: float) -> float:
    """The direction of (x, y), radians clockwise from up, from 0 on."""
    return float(np.arctan2(x, y) % (2 * np.pi))


def rectangular_play(D: Number, w: Number, h: Number) -> Point:
    """How far a rectangular chassis can shift along its width and along its height, mm; 0 where it does not fit."""
    R, a, b = np.asarray(D) / 2, np.asarray(w) / 2, np.asarray(h) / 2
    fits = np.hypot(a, b) <= R
    along_x = np.where(fits, np.sqrt(np.maximum(R**2 - b**2, 0.0)) - a, 0.0)
    along_y = np.where(fits, np.sqrt(np.maximum(R**2 - a**2, 0.0)) - b, 0.0)
    return np.maximum(along_x, 0.0)[()], np.maximum(along_y, 0.0)[()]


def rectangle_play(bore: Number, width: Number, height: Number, broken: Number = 0.0) -> Number:
    """Play of a rectangular chassis in a round tube, mm: D - (sqrt(w^2 + h^2) - b), the bore less the diagonal.

    bore, width, height: D, w and h. broken: b, what breaking the edges takes off the diagonal. Below 0 the chassis
    does not go in. The arguments broadcast. Plane geometry.
    """
    return np.asarray(np.asarray(bore) - np.hypot(width, height) + broken)[()]


def furthest_shift(D: Number, sides: Sequence[Number], direction: Number) -> Number:
    """How far the chassis can shift in a direction (radians clockwise from up) until it touches the wall, mm.

    sides: its diameter, or width and height.
    """
    R = np.asarray(D) / 2
    if len(sides) == 1:
        return np.asarray(np.maximum(R - np.asarray(sides[0]) / 2, 0.0))[()]
    a, b = np.asarray(sides[0]) / 2, np.asarray(sides[1]) / 2
    # The corner that leads is the one on the side to which it shifts; it meets the wall first.
    along = a * np.abs(np.sin(direction)) + b * np.abs(np.cos(direction))
    root = np.maximum(along**2 + R**2 - a**2 - b**2, 0.0)
    return np.asarray(np.maximum(np.sqrt(root) - along, 0.0))[()]


def least_gaps(D: Number, sides: Sequence[Number], points: Sequence[Point], r: Number) -> FloatArray:
    """The least gap of every point of a body over every shift of the chassis, stacked along the first axis.

    sides: the diameter of the chassis, or its width and height; points: seen from its axis; r: the radius about each.
    """
    least = [
        least_gap_round(D, sides[0], x, y, r)
        if len(sides) == 1
        else least_gap_rectangular(D, sides[0], sides[1], x, y, r)
        for x, y in points
    ]
    return np.stack(np.broadcast_arrays(*least))


def corner_gap(bore: Number, chassis: Number, width: Number, reach: Number, shift: Number) -> Number:
    """Gap between the tube wall and the corner of a block on a chassis that has shifted towards that corner.

        g = D/2 - sqrt((w/2)^2 + h^2) - s max(D - d, 0) / 2

    Parameters
    ----------
    bore : D, inside diameter of the tube, mm
    chassis : d, diameter of the circle on which the chassis slides, mm
    width : w, width of the block across its outer face, mm
    reach : h, distance of the outer face from the chassis axis, mm
    shift : s, the share of the free play that is used up towards the corner, 0 to 1

    Returns the gap in mm, negative where corner and wall would overlap. The arguments broadcast. Plane geometry; the
    shift is taken straight towards the corner, which is the worst direction.
    """
    corner = np.hypot(np.asarray(width) / 2, reach)
    play = np.maximum(np.asarray(bore) - chassis, 0.0)
    return np.asarray(np.asarray(bore) / 2 - corner - shift * play / 2)[()]
