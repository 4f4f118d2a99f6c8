"""How the hole of a set screw was drilled and tapped: bell mouth, slant, and the minor diameter that a drill leaves."""

from __future__ import annotations

from fitcheck.basis import Basis
from fitcheck.mechanics.tapping import BELL_MOUTH_BY_HAND, SLANT_BY_HAND, drill_oversize, oversize_table
from fitcheck.stack import Dimension, between, dimension
from fitcheck.threads import Thread
from fitcheck.units import Unit

BY_HAND, GUIDED = "by hand", "guided"
WAYS = (BY_HAND, GUIDED)
"""How a hole is tapped: with a wrench and the eye, or with the tap held square and on its axis by a machine."""

BELL_MOUTH_TAKEN = f"tapped by hand, up to {BELL_MOUTH_BY_HAND:g} pitches: common practice, no source"
"""What is taken for the bell mouth of a hole that is tapped by hand, in words."""


def bell_mouth_zone(thread: Thread, how: str, unit: Unit) -> Dimension:
    """The bell mouth of a hole that was tapped so: none where the tap was guided."""
    if how == GUIDED:
        return dimension(0.0, name="bell mouth", unit=unit, origin="tapped with a guide", basis=Basis.ASSUMED)
    most = BELL_MOUTH_BY_HAND * thread.pitch
    return between(0.0, most, name="bell mouth", unit=unit, origin=BELL_MOUTH_TAKEN, basis=Basis.NO_SOURCE)


def slant_taken(how: str) -> float:
    """How far off square the tap stood at the most, radians."""
    return 0.0 if how == GUIDED else float(SLANT_BY_HAND)


def drilled_minor(drill: Dimension) -> Dimension:
    """The minor diameter of a hole drilled with this drill, in millimetres inside: it comes out as large or larger."""
    mean, _ = drill_oversize(drill.nominal)
    _, most = drill_oversize(drill.upper)
    read = oversize_table()
    return between(
        drill.lower,
        drill.upper + float(most),
        drill.nominal + float(mean),
        name="hole minor diameter",
        unit=drill.unit,
        origin=f"tap drill of {drill}, cut larger by up to {drill.unit.show(float(most))}: {read.source}",
        basis=read.rests_on,
    )
