"""Where a set screw stands in the wall: on the blade, backed off to let it in, and which length fits.

Heights are along the screw from the tube axis outwards, as in `wall.py`: the bore is at bore/2, the outside at
outside/2, the tip of the screw lower than its outer end by the screw's length. Unit mm; arrays broadcast.
"""

from __future__ import annotations

import numpy as np

from fitcheck.errors import InputError, finite, not_negative, positive
from fitcheck.units import Number


def tip_height(blade: Number, bore: Number, *, offset: Number = 0.0, tip: Number = 0.0, dent: Number = 0.0) -> Number:
    """Height of the screw's tip over the tube axis when it stands on a blade pressed to the far side of the bore.

    z = sqrt((blade/2)² - y²) - (bore - blade)/2 - dent,  y = max(|offset| - tip/2, 0)

    blade, bore: diameters. offset: how far the screw's axis misses the tube axis. tip: diameter of a flat tip, whose
    nearer edge touches first. dent: depth the tip has sunk in.
    `InputError` for a blade that does not enter the bore, and a tip that passes beside the blade.
    Source: geometry.
    """
    blade, bore = positive("blade", blade, "mm"), positive("bore", bore, "mm")
    offset, tip = finite("offset", offset, "mm"), not_negative("tip", tip, "mm")
    dent = not_negative("dent", dent, "mm")
    if np.any(np.greater(blade, bore)):
        raise InputError(
            f"blade = {np.max(blade):.4g} mm does not enter a bore of {np.min(bore):.4g} mm: a blade not larger than "
            "the bore is needed"
        )
    aside = np.maximum(np.abs(offset) - tip / 2, 0.0)
    if np.any(np.greater_equal(aside, blade / 2)):
        raise InputError(
            f"offset = {np.max(np.abs(offset)):.4g} mm: the tip passes beside a blade of {np.min(blade):.4g} mm; an "
            "offset below half the blade is needed"
        )
    return np.sqrt((blade / 2) ** 2 - aside**2) - (bore - blade) / 2 - dent


def screw_span(tip_at: Number, length: Number, incomplete: Number) -> tuple[Number, Number]:
    """Heights between which the screw has full thread: `screw_from` and `screw_to` of `wall_length_range`.

    tip_at: height of the tip. length: of the screw. incomplete: thread missing at the tip (point and lead-in).
    `InputError` where no full thread is left.
    """
    tip_at, length = finite("tip_at", tip_at, "mm"), positive("length", length, "mm")
    incomplete = not_negative("incomplete", incomplete, "mm")
    if np.any(np.greater_equal(incomplete, length)):
        raise InputError(
            f"incomplete = {np.max(incomplete):.4g} mm: a screw of {np.min(length):.4g} mm has no full thread left"
        )
    return tip_at + incomplete, tip_at + length


def protrusion(tip_at: Number, length: Number, outside: Number) -> Number:
    """How far the screw's outer end stands out of the tube; below 0 it lies under the surface.

    At the middle of the hole. tip_at: `tip_height`. length: of the screw. outside: diameter of the tube.
    """
    tip_at, length = finite("tip_at", tip_at, "mm"), positive("length", length, "mm")
    outside = positive("outside", outside, "mm")
    return tip_at + length - outside / 2


def back_off(tip_at: Number, bore: Number, blade: Number, P: Number, *, clearance: Number = 0.0) -> Number:
    """Turns to back the screw off until the blade can be put in, from standing at `tip_at`.

    turns = (needed height - tip_at) / P, not below 0; needed height = blade/2 - (bore - blade)/2 + clearance, at most
    bore/2, where the tip is flush with the bore and out of the way of any blade

    The needed height is that of a blade pressed to the far side, its widest place not dented: after a dent it is more
    than what the screw was turned in last. clearance: room asked for besides. P: pitch. Source: geometry.
    """
    tip_at, P = finite("tip_at", tip_at, "mm"), positive("P", P, "mm")
    needed = np.minimum(tip_height(blade, bore) + not_negative("clearance", clearance, "mm"), bore / 2)
    turns: Number = np.maximum((needed - tip_at) / P, 0.0)
    return turns


def back_off_left(tip_at: Number, length: Number, incomplete: Number, outside: Number, bore: Number) -> Number:
    """Length of full screw thread inside the wall (middle of the hole) with the tip at `tip_at`; 0: it falls out.

    min(outside/2, tip_at + length) - max(bore/2, tip_at + incomplete), not below 0. Arguments as above. With
    countersinks and around the hole: `wall_length_range` with `screw_span`.
    """
    start, end = screw_span(tip_at, length, incomplete)
    outside, bore = positive("outside", outside, "mm"), positive("bore", bore, "mm")
    left: Number = np.maximum(np.minimum(outside / 2, end) - np.maximum(bore / 2, start), 0.0)
    return left


def lengths_that_fit(
    lengths: tuple[float, ...] | list[float],
    *,
    outside: float,
    bore: float,
    blade: float,
    P: float,
    incomplete: float,
    clearance: float = 0.1,
    most_out: float = 0.0,
    least_turns: float = 1.0,
) -> tuple[float, ...]:
    """Standard lengths that neither protrude with the blade clamped nor drop out with the screw backed off.

    lengths: nominal lengths to choose from (`ScrewSize.lengths`). most_out: greatest `protrusion` accepted when the
    screw stands on the blade. least_turns: full threads that must stay in the wall when it is backed off. The other
    arguments as above. An empty result means no length does both: the play of the blade is too large for the wall.
    """
    clamped = tip_height(blade, bore)
    backed = clamped + back_off(clamped, bore, blade, P, clearance=clearance) * P
    return tuple(
        length
        for length in lengths
        if length > incomplete
        and protrusion(clamped, length, outside) <= most_out
        and back_off_left(backed, length, incomplete, outside, bore) >= least_turns * P
    )
