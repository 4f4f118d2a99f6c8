"""The basic profile of 60° screw threads (ISO 68-1, ASME B1.1): plain functions on floats or arrays.

Every length is in one unit, whichever the caller uses; results have the same unit. Arguments broadcast.

    d   basic major diameter     P   pitch     H   height of the fundamental triangle

Source: ISO 68-1:1998 and ISO 724:1993; ASME B1.1 uses the same profile.
"""

from __future__ import annotations

import math

import numpy as np

from fitcheck.errors import InputError, one_of, positive
from fitcheck.units import Number

HALF_ANGLE = math.pi / 6
"""Half of the thread angle, in radians: 30°."""

TRIANGLE = math.sqrt(3) / 2
"""H / P."""

ADDENDUM = TRIANGLE / 2
"""Diameter difference from the pitch line to the basic minor diameter, H/2, over P."""


ROUNDED_ROOT = 1 - 0.25 / TRIANGLE
"""Depth under the pitch diameter of a screw's root with a radius of 0.125 P, on the diameter, over H: 0.616025 P."""

EXTERNAL_ROOTS = (5 / 8, 2 / 3, ROUNDED_ROOT)
"""Depths under the pitch diameter of the roots a screw may have, on the diameter, over H: shallowest, usual, deepest.

5/8 is that of UNR (ASME B1.1), 2/3 that of ISO 965-3 and of the stress area, with R = H/6; the deepest has the least
radius that ISO 965-1 allows, 0.125 P.
"""

INTERNAL_ROOTS = (3 / 4, 5 / 6, 11 / 12)
"""Depths over the pitch diameter of the roots a nut may have, on the diameter, over H: shallowest, middle, deepest.

3/4 is the flat root of the basic profile (ISO 68-1). The standards set no largest major diameter; 11/12, the flat P/8
rounded full, is the largest that a tap leaves (Machinery's Handbook 27 p. 1794).
"""

HEIGHTS = {"5/8 H": 0.625, "3/4 H": 0.75, "basic": 0.625, "drill table": 0.75}
"""Thread heights that percentages refer to, in H: the basic overlap, and the full height that tapping tables use."""


def triangle_height(P: Number) -> Number:
    """Height of the fundamental triangle, H = (√3 / 2) P."""
    P = positive("P", P)
    return TRIANGLE * P


def thread_height(P: Number) -> Number:
    """Basic thread height, H1 = 5/8 H = 0.541266 P: the radial overlap of a basic screw and a basic nut."""
    return 0.625 * triangle_height(P)


def pitch_diameter(d: Number, P: Number) -> Number:
    """Basic pitch diameter, d2 = D2 = d - 3/4 H = d - 0.649519 P."""
    return _inside(d, P, 0.75, "pitch diameter")


def minor_diameter(d: Number, P: Number) -> Number:
    """Basic minor diameter, d1 = D1 = d - 5/4 H = d - 1.082532 P (flat root of the screw, bore of the nut)."""
    return _inside(d, P, 1.25, "minor diameter")


def root_diameter(d: Number, P: Number) -> Number:
    """Root diameter of the screw with H/6 truncation, d3 = d - 17/12 H = d - 1.226869 P.

    The design size of ISO 965-3 and the one in the tensile stress area, with root radius R = H/6.
    """
    return _inside(d, P, 17 / 12, "root diameter")


def sharp_crest_diameter(d2: Number, P: Number) -> Number:
    """Major diameter at which an internal thread of pitch diameter d2 has its root flat P/8 rounded full.

    D2 + 0.793857 P = D2 + 11/12 H; the largest major diameter a tap leaves (Machinery's Handbook 27 p. 1794).
    """
    d2 = positive("d2", d2)
    return d2 + INTERNAL_ROOTS[-1] * triangle_height(P)


def percent_of_overlap(overlap: Number, P: Number, convention: str) -> Number:
    """A radial overlap of two ridges in percent of the thread height that `convention` names, one of `HEIGHTS`."""
    full = HEIGHTS[one_of("convention", convention, HEIGHTS)] * triangle_height(P)
    percent: Number = 100 * np.asarray(overlap) / full
    return percent


def percent_thread(d: Number, hole: Number, P: Number, *, convention: str = "basic") -> Number:
    """Percentage of full thread that a hole leaves to a screw of diameter d: 100 (d - hole) / (2 h H).

    convention: "basic" or "5/8 H", the overlap of the basic profiles, h = 5/8 (2 h H = 1.082532 P); "drill table" or
    "3/4 H", with which tapping tables reckon (1.299038 P). The same hole reads 83 % in one and 69 % in the other.
    d, hole, P: major diameter, diameter of the hole and pitch, one unit. Arrays broadcast; below 0 where the hole is
    larger than the screw. `InputError` for sizes not above 0 and for another convention.

    References
    ----------
    .. [1] Machinery's Handbook, 31st ed., p. 2155, table 2.

    Examples
    --------
    >>> print(round(percent_thread(6.0, 5.0, 1.0), 1))
    92.4
    """
    return percent_of_overlap((positive("d", d) - positive("hole", hole)) / 2, P, convention)


def lead_angle(d2: Number, P: Number, starts: Number = 1) -> Number:
    """Lead angle at the pitch diameter in radians, atan(n P / (π d2)) with n starts."""
    angle: Number = np.arctan(positive("starts", starts) * positive("P", P) / (math.pi * positive("d2", d2)))
    return angle


def _inside(d: Number, P: Number, heights: float, name: str) -> Number:
    d, P = positive("d", d), positive("P", P)
    inner = d - heights * TRIANGLE * P
    if np.any(np.less_equal(inner, 0)):
        raise InputError(
            f"pitch P = {_at_fault(P, inner)} is too coarse for diameter d = {_at_fault(d, inner)}: no {name} is left"
        )
    return inner


def _at_fault(value: Number, inner: Number) -> float:
    value, inner = np.broadcast_arrays(value, inner)
    return float(value[inner <= 0].flat[0])


def flank_overlap(d: Number, d2: Number, D1: Number, D2: Number, P: Number, P_nut: Number) -> Number:
    """How far the ridges of screw and nut reach into each other, mm on the radius; below 0 they miss.

        (min(d, d2 + H) - max(D1, D2 - H_nut)) / 2,   H = (√3 / 2) P

    d, d2: major and pitch diameter of the screw; D1, D2: minor and pitch diameter of the nut, as they are; P, P_nut:
    pitches; mm, the arguments broadcast. The flanks of a ridge meet in the apex of its triangle, H/2 over the pitch
    line, so that a ridge reaches no further, whatever its crest measures: a worn pitch diameter takes the apex with it.
    Where both apexes rule, the flanks pass each other once D2 - d2 exceeds H + H_nut, 2 H of like pitches. Halves on
    one axis. Geometry of 60° flanks, no source; tests/behaviour/test_worn_joint_question.py lays the polygons together.
    """
    screw = np.minimum(d, np.asarray(d2) + TRIANGLE * np.asarray(P))
    nut = np.maximum(D1, np.asarray(D2) - TRIANGLE * np.asarray(P_nut))
    return np.asarray((screw - nut) / 2)[()]
