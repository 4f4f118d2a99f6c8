"""The play of a blade in its socket: how far it tilts, how far its tip wanders, what heat and friction do to it.

Plain functions on floats or arrays, which broadcast. The blade is a rigid round rod of diameter d that stands H deep in
a rigid bore of diameter D and is b long from its seat to its tip. Lengths in mm, angles in radians.
"""

from __future__ import annotations

import numpy as np

from fitcheck.errors import InputError, not_negative, positive
from fitcheck.stack.measured import expanded
from fitcheck.units import Number

_ROUNDS = 12  # of a fixed point whose error shrinks by play times diameter over depth squared, a hundredth or so


def tilt(D: Number, d: Number, H: Number) -> Number:
    """Greatest tilt of the loose blade, radians: one corner of its end and the far edge of the mouth touch.

        D cos θ = d + (H - d sin θ) sin θ, to first order θ = (D - d) / H

    The other corner of the end stands on the seat, so the touching one is d sin θ higher. D: bore. d: blade. H: depth
    of the seat below the mouth. 0 where the blade is no smaller than the bore. `InputError` for sizes not above 0, and
    for a socket so shallow for its play that little stops the blade: H² > 4 (D - d) d is needed. Plane geometry in the
    plane of the two axes, no source; for a round blade that plane holds the points that touch.
    """
    D, d, H = positive("bore", D, "mm"), positive("blade", d, "mm"), positive("depth", H, "mm")
    d = np.minimum(d, D)
    if np.any(np.greater_equal(4 * (D - d) * d, np.square(H))):
        raise InputError(
            f"depth = {np.min(H):.6g} mm: too shallow for this play, the blade falls over: more than "
            f"{2 * np.sqrt(np.max((D - d) * d)):.6g} mm is needed"
        )
    theta = np.zeros(np.broadcast_shapes(np.shape(D), np.shape(d), np.shape(H)))
    for _ in range(_ROUNDS):
        h = H - d * np.sin(theta)
        # D cos θ - h sin θ = √(D² + h²) cos(θ + atan(h/D))
        theta = np.maximum(np.arccos(d / np.hypot(D, h)) - np.arctan2(h, D), 0.0)
    return np.asarray(theta)[()]


def tip_offset(D: Number, d: Number, H: Number, b: Number) -> Number:
    """How far the tip's centre can lie from the axis of the bore, mm, with the screws loose; either way.

        e = d/2 cos θ + b sin θ - D/2 with θ of `tilt`, at the least the parallel shift (D - d)/2

    To first order e = (D - d)(b/H - 1/2). Arguments and errors as `tilt`; b: length of the blade.
    """
    b = positive("blade_length", b, "mm")
    theta = tilt(D, d, H)
    leaning = np.minimum(d, D) / 2 * np.cos(theta) + b * np.sin(theta) - np.asarray(D) / 2
    return np.asarray(np.maximum(leaning, pressed_offset(D, d)))[()]


def pressed_offset(D: Number, d: Number) -> Number:
    """How far screws on one side push the whole blade off the axis, mm: (D - d)/2, without tilt, along the wall.

    A screw that lands between seat and mouth presses the blade against the line of the wall opposite; a rigid blade
    cannot tilt there. 0 where the blade is no smaller than the bore. Plane geometry, no source.
    """
    D, d = positive("bore", D, "mm"), positive("blade", d, "mm")
    return np.asarray(np.maximum(D - d, 0.0) / 2)[()]


def bow_offset(bow: Number, H: Number, b: Number) -> Number:
    """How far an even bow puts the tip off the straight line of the part in the socket, mm: 4 δ (b - H)/b.

    bow: δ, height of the arc over the whole length b, as seen against a straight edge. H: length in the socket, whose
    two ends touch. 0 if the whole blade is in the socket. A flat arc taken as a parabola; plane geometry, no source.
    """
    bow, H, b = not_negative("bow", bow, "mm"), positive("depth", H, "mm"), positive("blade_length", b, "mm")
    return np.asarray(4 * bow * np.maximum(b - H, 0.0) / b)[()]


def play_at(D: Number, d: Number, alpha_D: Number, alpha_d: Number, T: Number) -> Number:
    """Play of the blade at the temperature T, mm: D (1 + α_D ΔT) - d (1 + α_d ΔT), negative where it binds.

    D, d: sizes at 20 °C, to which drawings refer (ISO 1). alpha_*: thermal expansion, 1/K. T: °C, of both. Free
    expansion; a plastic that is held tight and warm creeps besides, which this leaves out.
    """
    D, d = positive("bore", D, "mm"), positive("blade", d, "mm")
    return np.asarray(expanded(D, alpha_D, T) - expanded(d, alpha_d, T))[()]


def wedging_depth(mu: Number, d: Number) -> Number:
    """Depth below which a blade put in or drawn out askew can wedge itself, mm: μ d.

    At two opposite contacts the friction cones hold the line between them if its slope H/d is below μ, and then no pull
    along the axis frees it: straighten it, don't pull harder. mu: friction blade on bore. Source: Whitney, Quasi-static
    assembly of compliantly supported rigid parts, ASME J. Dyn. Sys. Meas. Control 104 (1982), from memory.
    """
    return np.asarray(not_negative("mu", mu) * positive("blade", d, "mm"))[()]
