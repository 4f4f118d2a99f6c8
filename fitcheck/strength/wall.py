"""The thread in a radial hole through a round tube wall.

The hole axis meets the tube axis at a right angle. Heights z run along the hole axis from the tube axis
outwards; the thread lies on a cylinder of radius r around the hole axis. Around the hole (angle θ from the
tube's length direction) the wall is cut at the sideways offset y = r sin θ, so the thread begins at the bore,
z = sqrt(Ri² - y²), and ends at the outside, z = sqrt(Ro² - y²): shortest along the tube, longest across it.

A countersink takes the thread away above (outside) or below (inside) a plane z = constant; its depth is counted
from where the cutter first touches the edge of the hole: the top of the tube outside, the sides of the hole
inside. Unit mm and radians; arrays broadcast.
"""

from __future__ import annotations

import functools

import numpy as np
from scipy.special import ellipeinc

from fitcheck.errors import InputError, finite, not_negative, positive
from fitcheck.units import Number


def wall_length(
    theta: Number,
    r: Number,
    Ri: Number,
    Ro: Number,
    *,
    outside: Number = 0.0,
    inside: Number = 0.0,
    screw_from: Number | None = None,
    screw_to: Number | None = None,
) -> Number:
    """Threaded length of the wall at the angle theta around the hole, mm.

    L(θ) = min(sqrt(Ro² - y²), Ro - outside, screw_to) - max(sqrt(Ri² - y²), sqrt(Ri² - r²) + inside, screw_from)
    with y = r sin θ, and not below 0

    theta: 0 along the tube, π/2 across. r: radius of the threaded cylinder. Ri, Ro: bore and outer radius.
    outside, inside: depths of the countersinks. screw_from, screw_to: heights over the tube axis between which
    the screw has full thread, where it is shorter than the wall.

    `InputError` for a wall that is not there, a hole wider than the bore, countersinks that meet.
    Source: geometry. tests/properties/test_strength_laws.py compares with numerical integrals and with the
    flat plate, the limit of large radii.
    """
    theta = finite("theta", theta, "rad")
    r, Ri, Ro, top, bottom = _checked(r, Ri, Ro, outside, inside, screw_from, screw_to)
    return _length(theta, r, Ri, Ro, top, bottom)


def wall_length_range(
    r: Number,
    Ri: Number,
    Ro: Number,
    *,
    outside: Number = 0.0,
    inside: Number = 0.0,
    screw_from: Number | None = None,
    screw_to: Number | None = None,
) -> tuple[Number, Number, Number]:
    """Least, mean and greatest threaded length around the hole, mm. Arguments and errors as `wall_length`.

    The mean over θ is what the shear area needs: integrated over the curved band, the area is
    π (mean/P) d [...] of `shear_area_internal`. Closed form with the elliptic integral of the second kind E(φ|m):

        mean = (2/π) [top θ1 + Ro (E(π/2|m_o) - E(θ1|m_o)) - Ri E(θ2|m_i) - bottom (π/2 - θ2)],  m = r²/R²

    θ1, θ2 are the angles at which the arcs drop below the planes of countersinks or screw ends. Where those planes
    leave thread on a part of the circle only, the integral runs over that part.
    """
    r, Ri, Ro, top, bottom = _checked(r, Ri, Ro, outside, inside, screw_from, screw_to)
    # Angles at which the outer arc drops below the top plane and the inner arc below the bottom plane.
    outer_turn, inner_turn = _angle(Ro, top, r), _angle(Ri, bottom, r)
    # There is thread only from where the inner arc is below the top plane to where the outer arc meets the bottom.
    first = _angle(Ri, top, r)
    last = np.where(np.less(bottom, top), np.maximum(_angle(Ro, bottom, r), first), first)
    outer_turn, inner_turn = np.clip(outer_turn, first, last), np.clip(inner_turn, first, last)
    upper = top * (outer_turn - first) + _arc(Ro, r, outer_turn, last)
    lower = _arc(Ri, r, first, inner_turn) + bottom * (last - inner_turn)
    mean = np.maximum((upper - lower) * 2 / np.pi, 0.0)
    # Between those angles the length only rises, or rises and then falls: it is extreme at one of them or an end.
    stations = [_length(at, r, Ri, Ro, top, bottom) for at in (0.0, np.pi / 2, outer_turn, inner_turn)]
    return _least(stations), mean[()], _greatest(stations)


def countersink_depth(diameter: Number, hole: Number, *, angle: Number = np.pi / 2) -> Number:
    """Depth along the hole axis that a countersink takes from the thread, mm; 0 where it is not wider.

    depth = (diameter - hole) / (2 tan(angle/2)): diameter of the countersink where the cutter first touches,
    hole: diameter of the threaded cylinder (the major diameter for a safe count), angle: included, radians.
    """
    diameter, hole = positive("diameter", diameter, "mm"), positive("hole", hole, "mm")
    angle = positive("angle", angle, "rad")
    if np.any(np.greater_equal(angle, np.pi)):
        raise InputError(
            f"angle = {np.max(angle):.4g} rad: an included angle below π is needed, for example 1.571 for 90°"
        )
    return np.maximum((diameter - hole) / (2 * np.tan(angle / 2)), 0.0)


def edge_left(centre: Number, hole: Number) -> Number:
    """Material between a hole and the end of the tube, mm: distance of its centre less half its diameter.

    `InputError` where the hole breaks out. Common practice, no source: leave at least one hole diameter.
    """
    centre, hole = positive("centre", centre, "mm"), positive("hole", hole, "mm")
    left = centre - hole / 2
    if np.any(np.less_equal(left, 0)):
        raise InputError(
            f"centre = {np.min(centre):.4g} mm from the end: a hole of {np.max(hole):.4g} mm breaks out; "
            f"more than {np.max(hole) / 2:.4g} mm is needed"
        )
    return left


def _checked(
    r: Number,
    Ri: Number,
    Ro: Number,
    outside: Number,
    inside: Number,
    screw_from: Number | None,
    screw_to: Number | None,
) -> tuple[Number, Number, Number, Number, Number]:
    """The radii, and the planes between which countersinks and screw leave thread."""
    r, Ri, Ro = positive("r", r, "mm"), positive("Ri", Ri, "mm"), positive("Ro", Ro, "mm")
    if np.any(np.greater_equal(Ri, Ro)):
        raise InputError(
            f"Ri = {np.max(Ri):.6g} mm, Ro = {np.min(Ro):.6g} mm: no wall is left; an outer radius greater than the "
            "bore radius is needed"
        )
    if np.any(np.greater_equal(r, Ri)):
        raise InputError(
            f"r = {np.max(r):.6g} mm: a radial hole smaller than the bore radius {np.min(Ri):.6g} mm is needed"
        )
    outside, inside = not_negative("outside", outside, "mm"), not_negative("inside", inside, "mm")
    top, bottom = Ro - outside, np.sqrt(Ri**2 - r**2) + inside
    if np.any(np.less_equal(np.minimum(top, np.sqrt(Ro**2 - r**2)), bottom)) or np.any(np.less_equal(top, Ri)):
        raise InputError(
            f"outside = {np.max(outside):.4g} mm and inside = {np.max(inside):.4g} mm: the countersinks meet in a wall "
            f"of {np.min(Ro - Ri):.4g} mm; no full thread is left"
        )
    if screw_to is not None:
        top = np.minimum(top, finite("screw_to", screw_to, "mm"))
    if screw_from is not None:
        bottom = np.maximum(bottom, finite("screw_from", screw_from, "mm"))
    return r, Ri, Ro, top, bottom


def _length(theta: Number, r: Number, Ri: Number, Ro: Number, top: Number, bottom: Number) -> Number:
    y2 = (r * np.sin(theta)) ** 2
    above, below = np.minimum(np.sqrt(Ro**2 - y2), top), np.maximum(np.sqrt(Ri**2 - y2), bottom)
    length: Number = np.maximum(above - below, 0.0)
    return length


def _angle(R: Number, plane: Number, r: Number) -> Number:
    """Angle at which the arc of radius R comes down to the plane, between 0 and π/2."""
    offset = np.sqrt(np.maximum(R**2 - np.maximum(plane, 0.0) ** 2, 0.0))
    angle: Number = np.arcsin(np.minimum(offset / r, 1.0))
    return angle


def _arc(R: Number, r: Number, start: Number, end: Number) -> Number:
    """∫ sqrt(R² - r² sin² θ) dθ from start to end: R times an incomplete elliptic integral of the second kind."""
    m = (r / R) ** 2
    area: Number = R * (ellipeinc(end, m) - ellipeinc(start, m))
    return area


def _least(lengths: list[Number]) -> Number:
    least: Number = functools.reduce(np.minimum, lengths)
    return least


def _greatest(lengths: list[Number]) -> Number:
    greatest: Number = functools.reduce(np.maximum, lengths)
    return greatest
