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
import math

import numpy as np

from fitcheck.errors import InputError, finite, included_angle, not_negative, positive
from fitcheck.later import special
from fitcheck.units import FloatArray, Number

_LEAST_WALL = 1e-6  # part of the outside diameter
_NARROW = 0.25  # m of a hole half as wide as its tube
_ROUNDING = float(np.finfo(float).eps)


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

    theta: radians, 0 along the tube, π/2 across. r: radius of the threaded cylinder, mm. Ri, Ro: bore and outer radius,
    mm. outside, inside: depths of the countersinks, mm. screw_from, screw_to: heights over the tube axis, mm, between
    which the screw has full thread, where it is shorter than the wall. Floats or arrays that broadcast.

    Raises `InputError` for a wall that is not there, a hole wider than the bore, countersinks that meet or are below 0,
    and radii not above 0.
    Geometry; tests/properties/test_strength_laws.py compares with numerical integrals and with the
    flat plate, the limit of large radii.

    >>> print(round(wall_length(0.0, 2.0, 11.5, 12.7), 3))  # along the tube: its wall
    1.2
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

    >>> [round(float(length), 3) for length in wall_length_range(2.0, 11.5, 12.7)]
    [1.2, 1.208, 1.217]
    """
    planes = _checked(r, Ri, Ro, outside, inside, screw_from, screw_to)
    mean, outer_turn, inner_turn = _mean(*planes)
    # Between those angles the length only rises, or rises and then falls: it is extreme at one of them or an end.
    stations = [_length(at, *planes) for at in (0.0, np.pi / 2, outer_turn, inner_turn)]
    return _least(stations), mean, _greatest(stations)


def _mean(r: Number, Ri: Number, Ro: Number, top: Number, bottom: Number) -> tuple[Number, Number, Number]:
    """The mean of `wall_length_range`, and the angles at which the arcs turn from the planes."""
    # Angles at which the outer arc drops below the top plane and the inner arc below the bottom plane.
    outer_turn, inner_turn = _angle(Ro, top, r), _angle(Ri, bottom, r)
    # There is thread only from where the inner arc is below the top plane to where the outer arc meets the bottom.
    first = _angle(Ri, top, r)
    last = np.where(np.less(bottom, top), np.maximum(_angle(Ro, bottom, r), first), first)
    outer_turn, inner_turn = np.clip(outer_turn, first, last), np.clip(inner_turn, first, last)
    upper = top * (outer_turn - first) + _arc(Ro, r, outer_turn, last)
    lower = _arc(Ri, r, first, inner_turn) + bottom * (last - inner_turn)
    return np.maximum((upper - lower) * 2 / np.pi, 0.0)[()], outer_turn, inner_turn


def countersink_depth(diameter: Number, hole: Number, *, angle: Number = np.pi / 2) -> Number:
    """Depth along the hole axis that a countersink takes from the thread, mm; 0 where it is not wider. Geometry.

    depth = (diameter - hole) / (2 tan(angle/2))

    diameter: of the countersink where the cutter first touches, mm. hole: diameter of the threaded cylinder, mm (the
    major diameter for a safe count). angle: included, radians. Floats or arrays that broadcast.
    Raises `InputError` for sizes not above 0 and an angle not between 0 and π.

    >>> print(round(countersink_depth(5.0, 4.0), 3))
    0.5
    """
    diameter, hole = positive("diameter", diameter, "mm"), positive("hole", hole, "mm")
    angle = included_angle("angle", angle)
    return np.maximum((diameter - hole) / (2 * np.tan(angle / 2)), 0.0)


def edge_left(centre: Number, hole: Number) -> Number:
    """Material between a hole and the end of the tube, mm: distance of its centre less half its diameter.

    centre: distance from the end, mm. hole: diameter, mm. Floats or arrays that broadcast.
    Raises `InputError` where the hole breaks out, and for sizes not above 0. Common practice, no source: leave at least
    one hole diameter.

    >>> edge_left(6.0, 4.0)
    4.0
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
    R, r, start, end = np.broadcast_arrays(R, r, start, end)
    area = np.zeros(R.shape)
    some = end > start  # planes of countersinks and screw ends mostly leave no arc at all
    R, m = R[some], (r[some] / R[some]) ** 2
    area[some] = R * (_elliptic(end[some], m) - _elliptic(start[some], m))
    return area


def _elliptic(phi: FloatArray, m: FloatArray) -> FloatArray:
    """The incomplete elliptic integral of the second kind E(φ|m), for angles from 0 to π/2.

    Of a hole narrow beside its tube by the series of sqrt(1 - m sin² θ): with sqrt(1 - x) = Σ a_k x^k,

        E = Σ a_k m^k S_k,  S_k = ∫ sin^2k θ dθ = [(2k - 1) S_(k-1) - sin^(2k-1) φ cos φ] / 2k,  S_0 = φ

    which is good to rounding and many times faster.
    """
    most = float(m.max(initial=_ROUNDING))
    if most > _NARROW:
        return np.asarray(special.ellipeinc(phi, m))
    square, odd = np.sin(phi) ** 2, np.sin(2 * phi) / 2
    found, power, factor = phi, phi, np.ones(())
    for k in range(1, math.ceil(math.log(_ROUNDING) / math.log(most))):
        power = ((2 * k - 1) * power - odd) / (2 * k)
        factor = factor * m * ((2 * k - 3) / (2 * k))
        found = found + factor * power
        odd = odd * square
    return found


def _least(lengths: list[Number]) -> Number:
    least: Number = functools.reduce(np.minimum, lengths)
    return least


def _greatest(lengths: list[Number]) -> Number:
    greatest: Number = functools.reduce(np.maximum, lengths)
    return greatest


def standing_tip(blade: Number, bore: Number) -> Number:
    """Height over the tube axis of a tip that stands on a blade pressed to the far side of the bore, mm.

    blade - bore/2, and bore/2 for a blade as large as the bore. A blade larger than the bore, which a spread without
    end can draw, is taken as filed until it enters. Diameters in mm; they broadcast.
    """
    return np.minimum(blade, bore) - np.asarray(bore) / 2


def engaged_length(
    outside: Number,
    bore: Number,
    d: Number,
    tip: Number,
    screw_length: Number,
    point_length: Number,
    countersink: Number = 0.0,
    countersink_inside: Number = 0.0,
    socket_end: Number = 0.0,
) -> Number:
    """Mean length around the hole over which wall and screw thread engage, mm.

    The screw has full thread from `point_length` above its tip to `socket_end` below its outer end; the wall has
    thread from the bore or the inner countersink to the outside or the outer one. 0 where the two do not meet, for
    sizes of any kind: a sample beyond a tolerance must not end the run, so what leaves no wall holds nothing.

    outside, bore: diameters of the tube. d: diameter of the sheared cylinder, the major
    diameter of the screw. tip: height of the screw's tip over
    the tube axis (`standing_tip`). screw_length: overall. point_length: incomplete thread at the tip. countersink,
    countersink_inside: depths. socket_end: incomplete thread at the outer end. All mm; they broadcast. Geometry:
    `wall_length_range`.
    """
    Ro = np.asarray(outside) / 2
    Ri = np.minimum(np.asarray(bore) / 2, Ro * (1 - _LEAST_WALL))
    r = np.minimum(np.asarray(d) / 2, Ri * (1 - _LEAST_WALL))
    sides = np.sqrt(Ri**2 - r**2)
    bottom = np.maximum(np.asarray(tip) + point_length, sides + np.maximum(countersink_inside, 0.0))
    top = np.minimum(np.asarray(tip) + screw_length - np.maximum(socket_end, 0.0), Ro - np.maximum(countersink, 0.0))
    return _mean(*_checked(r, Ri, Ro, 0.0, 0.0, bottom, top))[0]


def tip_height(blade: Number, bore: Number, *, offset: Number = 0.0, tip: Number = 0.0, dent: Number = 0.0) -> Number:
    """Height of the screw's tip over the tube axis when it stands on a blade pressed to the far side of the bore, mm.

    z = standing_tip(blade, bore) - blade/2 + sqrt((blade/2)² - y²) - dent,  y = max(|offset| - tip/2, 0)

    blade, bore: diameters, mm. offset: how far the screw's axis misses the tube axis, mm. tip: diameter of a flat tip,
    whose nearer edge touches first, mm. dent: depth the tip has sunk in, mm. Floats or arrays that broadcast.
    Raises `InputError` for a blade that does not enter the bore, a tip that passes beside the blade, diameters not
    above 0, and a tip or dent below 0. Geometry.

    >>> print(round(tip_height(20.0, 20.0, offset=6.0), 3))
    8.0
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
    lower = blade / 2 - np.sqrt((blade / 2) ** 2 - aside**2)
    return standing_tip(blade, bore) - lower - dent


def screw_span(
    tip_at: Number, length: Number, incomplete: Number, *, socket_end: Number = 0.0
) -> tuple[Number, Number]:
    """Heights between which the screw has full thread, mm: `screw_from` and `screw_to` of `wall_length_range`.
    Geometry.

    tip_at: height of the tip, mm. length: of the screw, mm. incomplete: thread missing at the tip (point and lead-in),
    mm. socket_end: thread missing at the other end (chamfer, run-out), mm. Floats or arrays that broadcast. Raises
    `InputError` where no full thread is left, for a length not above 0 and missing thread below 0.

    >>> screw_span(10.0, 4.0, 1.5)
    (11.5, 14.0)
    """
    tip_at, length = finite("tip_at", tip_at, "mm"), positive("length", length, "mm")
    incomplete = not_negative("incomplete", incomplete, "mm")
    socket_end = not_negative("socket_end", socket_end, "mm")
    if np.any(np.greater_equal(incomplete + socket_end, length)):
        also = f", socket_end = {np.max(socket_end):.4g} mm" if np.any(socket_end) else ""
        raise InputError(
            f"incomplete = {np.max(incomplete):.4g} mm{also}: a screw of {np.min(length):.4g} mm has no full thread "
            "left"
        )
    return tip_at + incomplete, tip_at + length - socket_end


def protrusion(tip_at: Number, length: Number, outside: Number) -> Number:
    """How far the screw's outer end stands out of the tube, mm; below 0 it lies under the surface. Geometry.

    At the middle of the hole. tip_at: `tip_height`, mm. length: of the screw, mm. outside: diameter of the tube, mm.
    Floats or arrays that broadcast. Raises `InputError` for a length or diameter not above 0.

    >>> protrusion(10.0, 4.0, 27.0)
    0.5
    """
    tip_at, length = finite("tip_at", tip_at, "mm"), positive("length", length, "mm")
    outside = positive("outside", outside, "mm")
    return tip_at + length - outside / 2


def back_off(tip_at: Number, bore: Number, blade: Number, P: Number, *, clearance: Number = 0.0) -> Number:
    """Turns to back the screw off until the blade can be put in, from standing at `tip_at`. Geometry.

    turns = (needed height - tip_at) / P, not below 0; needed height = blade/2 - (bore - blade)/2 + clearance, at most
    bore/2, where the tip is flush with the bore and out of the way of any blade

    The needed height is that of a blade pressed to the far side, its widest place not dented: after a dent it is more
    than what the screw was turned in last.

    tip_at: height of the tip over the tube axis, mm. bore, blade: diameters, mm. P: pitch, mm. clearance: room asked
    for besides, mm. Floats or arrays that broadcast. Raises `InputError` for a blade larger than the bore, sizes not
    above 0 and a clearance below 0.

    >>> print(round(back_off(9.45, 20.0, 19.8, 0.7), 3))
    0.5
    """
    tip_at, P = finite("tip_at", tip_at, "mm"), positive("P", P, "mm")
    blade, bore = positive("blade", blade, "mm"), positive("bore", bore, "mm")
    needed = np.minimum(tip_height(blade, bore) + not_negative("clearance", clearance, "mm"), bore / 2)
    turns: Number = np.maximum((needed - tip_at) / P, 0.0)
    return turns


def back_off_left(
    tip_at: Number, length: Number, incomplete: Number, outside: Number, bore: Number, *, socket_end: Number = 0.0
) -> Number:
    """Length of full screw thread inside the wall (middle of the hole), mm; 0: it falls out. Geometry.

    min(outside/2, tip_at + length - socket_end) - max(bore/2, tip_at + incomplete), not below 0. With countersinks and
    around the hole: `wall_length_range` with `screw_span`.

    tip_at: height of the tip, mm. length: of the screw, mm. incomplete: thread missing at the tip, mm. outside, bore:
    diameters of the tube, mm. socket_end: thread missing at the outer end, mm. Floats or arrays that broadcast. Raises
    `InputError` where the screw has no full thread, for sizes not above 0 and missing thread below 0.

    >>> print(round(back_off_left(10.0, 4.0, 1.4, 25.4, 20.0), 3))
    1.3
    """
    start, end = screw_span(tip_at, length, incomplete, socket_end=socket_end)
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
    socket_end: float = 0.0,
) -> tuple[float, ...]:
    """Standard lengths that neither protrude with the blade clamped nor drop out with the screw backed off, mm.
    Geometry.

    lengths: nominal lengths to choose from, mm (`ScrewSize.lengths`). outside, bore: diameters of the tube, mm. blade:
    its diameter, mm. P: pitch, mm. incomplete: thread missing at the tip, mm. clearance: room that the blade needs
    besides, mm. most_out: greatest `protrusion` accepted when the screw stands on the blade, mm. least_turns: full
    turns of thread that must stay in the wall when it is backed off. socket_end: thread missing at the outer end, mm.
    An empty result means no length does both: the
    play of the blade is too large for the wall. Raises `InputError` for sizes not above 0, missing thread and clearance
    below 0, and a blade larger than the bore.

    >>> lengths_that_fit((2.0, 2.5, 3.0, 4.0), outside=25.4, bore=20.0, blade=19.8, P=0.7, incomplete=0.7)
    (2.0, 2.5)
    """
    lengths, P = np.atleast_1d(positive("lengths", lengths, "mm")).tolist(), positive("P", P, "mm", one=True)
    incomplete = not_negative("incomplete", incomplete, "mm", one=True)
    clearance = not_negative("clearance", clearance, "mm", one=True)
    most_out = finite("most_out", most_out, "mm", one=True)
    outside = positive("outside", outside, "mm", one=True)
    blade, bore = positive("blade", blade, "mm", one=True), positive("bore", bore, "mm", one=True)
    least_turns = finite("least_turns", least_turns, one=True)
    socket_end = not_negative("socket_end", socket_end, "mm", one=True)
    clamped = tip_height(blade, bore)
    backed = clamped + back_off(clamped, bore, blade, P, clearance=clearance) * P
    return tuple(
        length
        for length in lengths
        if length > incomplete + socket_end
        and protrusion(clamped, length, outside) <= most_out
        and back_off_left(backed, length, incomplete, outside, bore, socket_end=socket_end) >= least_turns * P
    )
