"""Threads that are worn or damaged: what is left to hold, from measured sizes."""

from __future__ import annotations

import numpy as np

from fitcheck.errors import InputError, not_negative, positive
from fitcheck.units import Number


def worn_engagement(LE: Number, P: Number, *, turns_gone: Number = 0.0, part_gone: Number = 0.0) -> Number:
    """Length of full thread that still holds, mm: max(LE - turns_gone P, 0) (1 - part_gone).

    LE: engaged length, mm. P: pitch, mm. turns_gone: turns torn out or crossed. part_gone: part of the circumference
    on which the thread is gone (a keyway, a flat, a gall), 0 to 1. Arrays broadcast. The area is proportional to
    the length left, and so is the number of threads that `short.py` counts; a thread lost on one side also tilts
    the screw, which is not in here. Source: geometry.
    """
    LE, P = not_negative("LE", LE, "mm"), positive("P", P, "mm")
    turns_gone, part_gone = not_negative("turns_gone", turns_gone), not_negative("part_gone", part_gone)
    if np.any(np.greater(part_gone, 1)):
        raise InputError(f"part_gone = {np.max(part_gone):.4g}: a fraction from 0 to 1 is needed")
    left: Number = np.maximum(LE - turns_gone * P, 0.0) * (1 - part_gone)
    return left


def flank_area(LE: Number, P: Number, d: Number, D1: Number) -> Number:
    """Area of the flanks that press on each other, seen along the axis, mm²: π/4 (d² - D1²) LE/P.

    LE: engaged full threads, mm. P: pitch. d: major diameter of the screw, D1: minor diameter of the hole, mm, as
    measured. 0 where they do not overlap. Arrays broadcast. Source: geometry.

    With little overlap the flanks crush before the thread shears: the strip load is not above flank_area times the
    bearing strength (about 2 to 2.3 times the tensile strength for aluminium at a wide edge, MIL-HDBK-5 from memory).
    """
    LE, P = not_negative("LE", LE, "mm"), positive("P", P, "mm")
    d, D1 = positive("d", d, "mm"), positive("D1", D1, "mm")
    return np.pi / 4 * np.maximum(d**2 - D1**2, 0.0) * LE / P
