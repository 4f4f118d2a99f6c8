"""How a hole is drilled and tapped: what the drill cuts larger, a tap that stands askew, a mouth that it widens.

A tap that is turned by hand rocks until its own thread guides it. Over the depth of that bell mouth the hole's thread
is wide and is not counted: the bell mouth takes its depth off the wall as a countersink does, which is on the safe
side, as a part of that thread still bears.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from fitcheck.errors import InputError, finite, not_negative, positive
from fitcheck.mechanics.flank_bearing import evenly_borne
from fitcheck.mechanics.set_screws import INCH
from fitcheck.tables import Table, table
from fitcheck.units import Number

BELL_MOUTH_BY_HAND = 0.25
"""The deepest bell mouth of a hole that is tapped by hand, in pitches: common practice, no source."""

SLANT_BY_HAND = np.pi / 180
"""How far a tap that is turned by hand stands off square at the most, radians: 1°, common practice, no source."""


def slanted_engagement(LE: Number, r: Number, slant: Number) -> Number:
    """Length of thread that bears evenly around a screw that stands askew in its wall, mm.

        evenly_borne(LE, r tan β),  which is LE - (2/π) r tan β for a small β

    One end of the engaged thread is a face of the wall, the other the incomplete thread of the screw, and they stand at
    the angle β to each other: at the angle φ around the hole the length is LE + r tan β cos φ. Two opposite places bear
    the lesser of both. Where both ends are faces of the wall nothing is lost; it is taken off there too, to be safe.

    LE: mean engaged length of the screw that stands square, mm. r: radius of the sheared cylinder, mm. slant: β, angle
    off square, radians, below π/4. Floats or arrays that broadcast. Raises `InputError` for another angle, LE below 0
    and r not above 0. Geometry and statics; tests/properties/test_flank_laws.py integrates a slanted hole in a tube.

    >>> print(round(slanted_engagement(1.4, 2.0, 0.02), 4))
    1.3745
    """
    LE, r, slant = not_negative("LE", LE, "mm"), positive("r", r, "mm"), finite("slant", slant, "rad")
    if np.any(np.abs(slant) >= np.pi / 4):
        raise InputError(f"slant = {np.max(np.abs(slant)):.4g} rad: an angle below π/4 off square is needed")
    return evenly_borne(LE, r * np.tan(slant))


def drill_oversize(drill: Number) -> tuple[Number, Number]:
    """How much larger than its drill a hole comes out, mm: on average, and the most; between the rows of
    tables/drill_oversize.csv.

    drill: its diameter, mm; below the smallest row in proportion to it, above the greatest as that. Floats or arrays
    that broadcast. Raises `InputError` for a diameter not above 0.

    >>> [round(float(wider), 3) for wider in drill_oversize(3.3)]
    [0.077, 0.116]
    """
    drill = positive("drill", drill, "mm")
    rows = oversize_table().rows
    sizes, means, mosts = ([0.0, *(row[key] * INCH for row in rows)] for key in ("drill", "mean", "most"))
    return np.interp(drill, sizes, means), np.interp(drill, sizes, mosts)


@lru_cache(maxsize=1)
def oversize_table() -> Table:
    """The table behind `drill_oversize`, with its source."""
    return table("drill_oversize", {"drill": float, "mean": float, "most": float})
