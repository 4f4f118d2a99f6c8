"""Clocking: the angle at which a shouldered threaded part comes to rest, and the cut or shim that changes it.

Angles are in radians, clockwise positive, seen from the side of the part that is being screwed in, along the
direction in which it moves. Screwed home, a right-hand part has turned clockwise, a left-hand one anticlockwise.
A part whose shoulder is faced by c goes further by c / lead turns; a shim of thickness c stops it that much
earlier. Plain geometry of the helix, no source; the torque that seats the shoulder turns it a little further, so
the last few degrees are fitted by trial.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from fitcheck.errors import finite, not_negative, one_of, positive
from fitcheck.keywords import keywords_named
from fitcheck.shown import shown
from fitcheck.threads import resolve
from fitcheck.threads.thread import Thread
from fitcheck.units import ANGLE, LENGTH, Number, read, read_beside, unit

TURN = 2 * math.pi


def angle_of(axial: Number, lead: Number, *, left_hand: bool = False) -> Number:
    """Turn of a part that advances by `axial` (positive: further in), radians clockwise; not reduced to a turn."""
    lead = positive("lead", lead, "mm")
    turned: Number = (-1.0 if left_hand else 1.0) * TURN * axial / lead
    return turned


def advance_of(angle: Number, lead: Number, *, left_hand: bool = False) -> Number:
    """Axial advance in mm for a turn of `angle` radians clockwise; the inverse of `angle_of`."""
    lead = positive("lead", lead, "mm")
    moved: Number = (-1.0 if left_hand else 1.0) * lead * angle / TURN
    return moved


@shown
class Clocked(NamedTuple):
    """A cut or shim and what it does.

    amount: mm to face off the shoulder, or thickness of the shim, 0 to less than one lead.
    angle: where the part comes to rest with it, radians clockwise from 0 to one turn.
    angle_tolerance: ± radians that a ± tolerance of the amount makes.
    amount_tolerance: ± mm the amount may be off for the angle to stay within what is wanted; None if not asked.
    """

    amount: float
    angle: float
    angle_tolerance: float
    amount_tolerance: float | None


def least_cut(
    now: float,
    wanted: float,
    lead: float,
    *,
    left_hand: bool = False,
    by: str = "facing",
    tolerance: float = 0.0,
    within: float | None = None,
    every: float = TURN,
) -> Clocked:
    """The least facing cut or shim that brings a shouldered part from the angle `now` to the angle `wanted`.

    All angles are radians clockwise, lead and tolerance mm: the model behind `clock`, which see. Raises `InputError`
    for any other `by`, a number that is not finite, a lead or `every` not above 0, `tolerance` or `within` below 0.
    """
    one_of("by", by, ("facing", "shim"))
    now, wanted, lead = finite("now", now, "rad"), finite("wanted", wanted, "rad"), positive("lead", lead, "mm")
    every, tolerance = positive("every", every, "rad"), not_negative("tolerance", tolerance, "mm")
    # Facing lets a right-hand part go on clockwise; a shim or the other hand turns the sense round.
    sense = (1.0 if by == "facing" else -1.0) * (-1.0 if left_hand else 1.0)
    turn = (sense * (wanted - now)) % every
    if every - turn < 1e-9:  # a remainder of a full pattern is rounding, and needs no cut
        turn = 0.0
    allowed = None if within is None else lead * float(not_negative("within", within, "rad")) / TURN
    return Clocked(lead * turn / TURN, (now + sense * turn) % TURN, TURN * tolerance / lead, allowed)


@keywords_named
def clock(
    now: Any,
    wanted: Any,
    thread: Thread | str,
    *,
    by: str = "facing",
    tolerance: Any = 0.0,
    within: Any = None,
    every: Any = "360 deg",
) -> Clocked:
    """The least facing cut or shim that brings a shouldered part from the angle `now` to the angle `wanted`.

    now, wanted: angles clockwise with their unit, "90 deg" or a quantity; 0 needs none, and no other number is taken
    without one. thread: a thread or its designation. by: "facing" the shoulder, or a "shim" under it. tolerance: of the
    cut or shim, ± mm; of an inch thread with its unit. within: the angle that it may be off, either way. every: the
    pattern of the part repeats after this angle ("60 deg" for a button with six equal holes). One part at a time.
    Raises `InputError` for any other `by`, an angle without unit, a tolerance below 0. Geometry of the helix.

    >>> print(round(clock(0, "90 deg", "M6x1-6g").amount, 3))
    0.25
    """
    thread = resolve.thread(thread)
    given = {"now": now, "wanted": wanted, "every": every, "within": within}
    angles = {key: None if key == "within" and x is None else read(x, ANGLE, key) for key, x in given.items()}
    return least_cut(
        lead=thread.lead,
        left_hand=thread.left_hand,
        by=by,
        tolerance=read_beside(tolerance, LENGTH, "tolerance", unit(thread.unit), what="a thread"),
        **angles,  # type: ignore[arg-type]
    )
