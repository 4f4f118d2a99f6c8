"""A set screw whose point stands in the blade, in a dimple or a drilled hole: what locks the blade beside friction.

Plain functions on floats or arrays, which broadcast. Sizes in mm, strengths in MPa, loads in N. They take one screw: of
several holes one bears first, and how soon the others help it nobody knows.
"""

from __future__ import annotations

import numpy as np

from fitcheck.errors import InputError, included_angle, not_negative, one_of, positive
from fitcheck.units import Number

SPOTS = {"cup": "dimple", "cone": "dimple", "dog": "hole"}
"""What a point stands in: a dimple of its own angle, or a drilled hole that fits it. A flat has no such place."""
CUP_SHARE = 0.5
"""Part of its section that a cup bears with, as it is hollow: no source."""


def spot_width(kind: str, end: Number, depth: Number, *, cone_angle: Number = np.pi / 2) -> Number:
    """Width of a point at the surface of what it stands in, mm: end + 2 depth tan(cone_angle/2), of a dog its end.

    kind: 'cup', 'cone' or 'dog'. end: diameter of the rim, the flat on the cone (0: sharp) or the dog, mm. depth: that
    the point stands in, mm. cone_angle: included, of cone and dimple, or of the bevel around a cup, radians. Geometry.
    Arrays broadcast; `InputError` for any other kind, an end or depth below 0, a cone_angle not between 0 and π.

    >>> print(round(float(spot_width("cone", 0.0, 0.8)), 3))
    1.6
    """
    kind, end, depth = one_of("kind", kind, tuple(SPOTS)), not_negative("end", end, "mm"), _depth(depth)
    if kind == "dog":
        return np.asarray(end + 0.0 * depth)[()]
    return np.asarray(end + 2 * depth * _tangent(cone_angle))[()]


def spot_depth(depth: Number, width: Number, blade: Number) -> Number:
    """How deep a point stands in a round blade at its sides, where the blade falls away, mm; 0 where that is none.

        depth - R + √(R² - width²/4), R = blade/2

    depth: at the middle, mm. width: of the point at the surface, at most the blade. blade: its diameter, mm. Geometry.
    Arrays broadcast; `InputError` for a depth or width below 0, a blade not above 0, and a width above the blade.

    >>> print(round(float(spot_depth(0.8, 2.5, 25.0)), 4))
    0.7373
    """
    depth, width, R = _depth(depth), not_negative("width", width, "mm"), positive("blade", blade, "mm") / 2
    if np.any(np.greater(width, 2 * R)):
        raise InputError(f"width = {np.max(width):.6g} mm: at most the blade of {np.min(2 * R):.6g} mm is needed")
    return np.asarray(np.maximum(depth - R + np.sqrt(R**2 - np.square(width) / 4), 0.0))[()]


def spot_bearing(end: Number, width: Number, depth: Number, strength: Number) -> Number:
    """Load across a point at which it crushes the side of its hole, N: strength · depth (end + width)/2 [1]_.

    The area is that seen along the load, as for rivets and pins. end: diameter at the tip, mm. width: at the surface,
    mm. depth: mm, `spot_depth`. strength: of the blade: that in compression is the least it bears so; a metal with the
    edge two diameters away bears about twice that. Arrays broadcast; `InputError` for a size below 0, a strength not
    above 0.

    References
    ----------
    .. [1] Bearing of pins and rivets, A = t d: Shigley's Mechanical Engineering Design, 9th ed., section 8-12, from
       memory.

    Examples
    --------
    >>> print(round(float(spot_bearing(2.5, 2.5, 0.8, 86.2)), 1))
    172.4
    """
    end, width = not_negative("end", end, "mm"), not_negative("width", width, "mm")
    return np.asarray(positive("strength", strength, "MPa") * _depth(depth) * (end + width) / 2)[()]


def point_strength(kind: str, width: Number, lever: Number, tau: Number) -> Number:
    """Load across a point that shears and bends it off, N: 1/√((1/V)² + (lever/M)²).

        V = π/4 width² τ        M = π/32 width³ √3 τ

    Shear over the whole section, as of pins [1]_, bending to the first yield by von Mises [2]_, and half of both for a
    cup, which is hollow. kind: 'cup', 'cone' or 'dog'. width: of the section, mm. lever: from there to the load, mm.
    tau: shear strength of the screw, MPa. Arrays broadcast; `InputError` for any other kind, a lever below 0, a width
    or tau not above 0.

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, 9th ed., section 8-12, from memory.
    .. [2] The same, sections 3-10 and 5-5: bending of a round bar, distortion energy.

    Examples
    --------
    >>> print(round(float(point_strength("dog", 2.5, 0.0, 870.0))))
    4271
    >>> print(round(float(point_strength("dog", 2.5, 1.0, 870.0))))
    2033
    """
    kind, width = one_of("kind", kind, tuple(SPOTS)), positive("width", width, "mm")
    lever, tau = not_negative("lever", lever, "mm"), positive("tau", tau, "MPa")
    part = CUP_SHARE if kind == "cup" else 1.0
    shear, bending = np.pi / 4 * width**2 * tau, np.pi / 32 * width**3 * np.sqrt(3) * tau
    return np.asarray(part / np.hypot(1 / shear, lever / bending))[()]


def tear_out(edge: Number, depth: Number, tau: Number) -> Number:
    """Load at which a point tears out of its hole to the end of the blade, N: 2 edge · depth · τ, two planes [1]_.

    edge: from the side of the hole to the end of the blade, mm; 0 or less is nothing. depth: mm. tau: shear strength of
    the blade, MPa. Arrays broadcast; `InputError` for a depth below 0, a tau not above 0.

    References
    ----------
    .. [1] Edge shearing of riveted members: Shigley's Mechanical Engineering Design, 9th ed., section 8-12, from
       memory; edges of one and a half diameters and more are left out there.

    Examples
    --------
    >>> print(round(float(tear_out(3.0, 0.8, 41.4)), 1))
    198.7
    """
    return np.asarray(2 * np.maximum(edge, 0.0) * _depth(depth) * positive("tau", tau, "MPa"))[()]


def levered_on_thread(kind: str, arm: Number, d2: Number, *, cone_angle: Number = np.pi / 2) -> Number:
    """Load along the screw for a unit of load across its point: what a point in a hole puts on the thread.

        4 arm/d2        and for a cup or a cone (π/2) tan(cone_angle/2) besides

    The screw is tilted: the moment about the middle of its thread lies on the flanks, as around a line of d2 at its
    worst place (`bending_pull`). A cone climbs: pressed evenly over the half that bears, it is pushed out by π/2 times
    the tangent of its half angle; the tangent alone, or 4/π of it, come from sharper sharing. Friction, which takes
    from both, is left out. Statics.

    kind: 'cup', 'cone' or 'dog'. arm: from the middle of the thread to the middle of what stands in the blade, mm. d2:
    pitch diameter, mm. cone_angle: included, radians. Arrays broadcast; `InputError` for any other kind, an arm below
    0, a d2 not above 0, a cone_angle not between 0 and π.

    >>> print(round(float(levered_on_thread("dog", 2.0, 3.5)), 3), round(float(levered_on_thread("cone", 2.0, 3.5)), 3))
    2.286 3.857
    """
    kind, arm, d2 = one_of("kind", kind, tuple(SPOTS)), not_negative("arm", arm, "mm"), positive("d2", d2, "mm")
    climbs = 0.0 if kind == "dog" else np.pi / 2 * _tangent(cone_angle)
    return np.asarray(4 * arm / d2 + climbs)[()]


def _depth(depth: Number) -> Number:
    depth = not_negative("depth", depth, "mm")
    return depth


def _tangent(cone_angle: Number) -> Number:
    return np.asarray(np.tan(included_angle("cone_angle", cone_angle) / 2))
