"""What set screws hold of a blade in a tube, what they do to it, and what pulls on it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from fitcheck.errors import InputError, finite, included_angle, not_negative, one_of, positive
from fitcheck.mechanics.torque import POINTS
from fitcheck.units import GRAVITY, FloatArray, Number


def wall_share(angles: FloatArray | list[float]) -> float:
    """Part of the screws' thrust that the bore has to return, 0 to 1: statics.

    |Σ exp(i θ)| / n over the directions θ of n equal screws. In line it is 1, at 120° apart 1/2, opposed 0: screws that
    press on each other press nothing on the wall.

    angles: θ, radians around the tube, an array of one for each screw. Raises `InputError` for none.

    >>> print(round(wall_share([0.0, 2 * np.pi / 3]), 3))
    0.5
    """
    theta = np.atleast_1d(finite("angles", angles, "rad"))
    if theta.size == 0:
        raise InputError("angles = []: the direction of at least one screw is needed")
    return min(float(np.abs(np.exp(1j * theta).sum()) / theta.size), 1.0)  # rounding may pass 1


def axial_hold(F: Number, mu_point: Number, mu_wall: Number, n: Number = 1, *, share: Number = 1.0) -> Number:
    """Axial pull that n screws hold by friction alone, N: statics.

    hold = n F (mu_point + share mu_wall): the blade slips on the points and on the wall it is pressed against.

    F: axial load of one screw, N. mu_point, mu_wall: friction on the blade under the point and at the wall.
    n: number of equal screws. share: `wall_share` of their directions, a part from 0 to 1. Floats or arrays that
    broadcast. Raises `InputError` for a load or friction below 0, n not above 0, a share outside 0 to 1.
    A cup that has bitten into soft steel holds more: printed holding powers are 1.2 to 2 times this (both frictions
    0.15) up to 1/2 in, less than this from 5/8 in (tests/published/test_set_screw_holding.py). On a soft blade only the
    friction part is safe.

    >>> print(round(axial_hold(500.0, 0.15, 0.15, 3, share=0.0), 1))
    225.0
    """
    F, n = not_negative("F", F, "N"), positive("n", n)
    share = not_negative("share", share)
    if np.any(np.greater(share, 1)):
        raise InputError(f"share = {np.max(share):.4g}: a fraction from 0 to 1 is needed")
    mu_point, mu_wall = not_negative("mu_point", mu_point), not_negative("mu_wall", mu_wall)
    return n * F * (mu_point + share * mu_wall)


def torsional_hold(axial: Number, diameter: Number) -> Number:
    """Torque about the tube axis that the same friction holds, N·m: axial hold times half the diameter, statics.

    axial: N. diameter: of the blade, mm. Floats or arrays that broadcast. Raises `InputError` for a hold below 0 or a
    diameter not above 0.

    >>> print(round(torsional_hold(225.0, 20.0), 3))
    2.25
    """
    axial, diameter = not_negative("axial", axial, "N"), positive("diameter", diameter, "mm")
    return axial * diameter / 2000


def slip_demand(pull: Number, twist: Number, diameter: Number) -> Number:
    """Friction force that a pull and a twist on a blade ask for together, N: statics.

    sqrt(pull² + (2 twist/diameter)²): friction has one direction at a time. Compare with `axial_hold`.

    pull: N. twist: N·m. diameter: of the blade, mm. Floats or arrays that broadcast. Raises `InputError` for a
    diameter not above 0.

    >>> print(round(slip_demand(30.0, 0.4, 20.0), 3))
    50.0
    """
    pull, twist = finite("pull", pull, "N"), finite("twist", twist, "N·m")
    diameter = positive("diameter", diameter, "mm")
    demand: Number = np.hypot(pull, 2000 * twist / diameter)
    return demand


def point_area(kind: str, diameter: Number, depth: Number = 0.0, *, cone_angle: Number = np.pi / 2) -> Number:
    """Area of the blade that carries the point, seen along the screw, mm²: geometry.

    flat, dog: π/4 diameter². cup: a rim of 45° on both sides, π diameter · 2 depth. cone: π (depth tan(angle/2))²,
    beside the flat of `diameter` at its tip: π (diameter/2 + depth tan(angle/2))².

    kind: 'cup', 'cone', 'flat' or 'dog'. diameter: rim, flat or dog diameter, or the flat on the cone (0: sharp),
    mm. depth: of the dent, mm. cone_angle: included, radians. Floats or arrays that broadcast.
    Raises `InputError` for any other kind, a size below 0, a cone_angle not between 0 and π.

    >>> print(round(point_area("flat", 2.0), 3))
    3.142
    """
    kind, cone_angle = one_of("kind", kind, POINTS), included_angle("cone_angle", cone_angle)
    diameter, depth = not_negative("diameter", diameter, "mm"), not_negative("depth", depth, "mm")
    if kind == "cup":
        return np.pi * diameter * 2 * depth
    if kind == "cone":
        return np.pi * (diameter / 2 + depth * np.tan(cone_angle / 2)) ** 2
    return np.pi / 4 * diameter**2


def dent_depth(
    F: Number,
    kind: str,
    diameter: Number,
    compressive_yield: Number,
    *,
    constraint: Number = 1.0,
    cone_angle: Number = np.pi / 2,
) -> Number:
    """Depth of the dent that a point leaves, mm: where `point_area` times the dent pressure balances F.

    The dent pressure is constraint · compressive_yield. For a flat or dog point the depth is 0 while the pressure
    is below it; above it the point sinks and no depth stops it, which is an error: see `dent_load`.

    F: N. kind: as `point_area`. diameter: as there, mm. compressive_yield: of the blade, MPa. constraint: a factor, 1
    for a safe (deep) estimate; about 3 is the full indentation pressure of a metal [1]_, polymers lie between.
    cone_angle: included, radians. Floats or arrays that broadcast. Creep of a plastic blade deepens the dent with time.
    Raises `InputError` for any other kind, a load below 0, a strength, a constraint or the rim of a cup not above 0, a
    cone_angle not between 0 and π, and a flat or dog point that sinks in.

    References
    ----------
    .. [1] D. Tabor, The Hardness of Metals, from memory.

    Examples
    --------
    >>> print(round(dent_depth(100.0, "cup", 2.0, 70.0), 3))
    0.114
    """
    kind, cone_angle = one_of("kind", kind, POINTS), included_angle("cone_angle", cone_angle)
    F, pressure = not_negative("F", F, "N"), _dent_pressure(compressive_yield, constraint)
    if kind == "cup":
        diameter = positive("diameter", diameter, "mm")
        return F / (pressure * 2 * np.pi * diameter)
    if kind == "cone":
        diameter = not_negative("diameter", diameter, "mm")
        rim = np.sqrt(F / (np.pi * pressure))  # radius of the dent at the surface
        return np.maximum(rim - diameter / 2, 0.0) / np.tan(cone_angle / 2)
    limit = dent_load(kind, diameter, compressive_yield, constraint=constraint)
    if np.any(np.greater(F, limit)):
        raise InputError(
            f"F = {np.max(F):.4g} N: a {kind} point of {np.min(diameter):.4g} mm sinks into the blade above "
            f"{np.min(limit):.4g} N; a lower load or a wider point is needed"
        )
    return F * 0.0


def dent_load(
    kind: str,
    diameter: Number,
    compressive_yield: Number,
    *,
    depth: Number = 0.0,
    constraint: Number = 1.0,
    cone_angle: Number = np.pi / 2,
) -> Number:
    """Load at which the dent reaches `depth` (cup, cone) or a flat or dog point starts to sink, N: statics on
    `point_area`.

    kind, diameter, compressive_yield, constraint, cone_angle: factors, mm, MPa and radians as `dent_depth`, with its
    errors. depth: mm.

    >>> print(round(dent_load("cup", 2.0, 70.0, depth=0.114), 1))
    100.3
    """
    area = point_area(kind, diameter, depth, cone_angle=cone_angle)
    return area * _dent_pressure(compressive_yield, constraint)


def weight_pull(mass: Number) -> Number:
    """Weight of the blade hanging straight down, N: mass times standard gravity, the definition.

    mass: kg. Floats or arrays. Raises `InputError` for a mass not above 0.

    >>> print(round(weight_pull(1.0), 5))
    9.80665
    """
    mass = positive("mass", mass, "kg")
    return mass * GRAVITY


def swing_pull(mass: Number, omega: Number, arm: Number) -> Number:
    """Pull on a swung blade at the bottom of the swing, N: m (ω² R + g). Mechanics of a circle, no source.

    mass: kg. omega: ω, angular speed, rad/s. arm: R, from the shoulder or elbow that it turns about to the blade's
    centre of mass, mm. Floats or arrays that broadcast. Raises `InputError` for a mass not above 0, an arm below 0.

    >>> print(round(swing_pull(0.2, 10.0, 600.0), 2))
    13.96
    """
    mass, omega = positive("mass", mass, "kg"), finite("omega", omega, "rad/s")
    arm = not_negative("arm", arm, "mm")
    return mass * (omega**2 * arm / 1000 + GRAVITY)


def drop_pull(mass: Number, height: Number, stop: Number) -> Number:
    """Peak pull of a blade whose holder is dropped and stops within `stop`, N. Balance of energy, no source.

    Force growing with the way, as in a spring: F = 2 m g (height + stop) / stop; twice the mean force.

    mass: kg. height: of the fall, mm. stop: stopping distance, mm, at the blade (the floor, the case and the
    blade together; 1 to 5 mm on a hard floor, estimate). Floats or arrays that broadcast.
    Raises `InputError` for a mass or stop not above 0, a height below 0.

    >>> print(round(drop_pull(0.2, 1000.0, 2.0)))
    1965
    """
    mass, stop = positive("mass", mass, "kg"), positive("stop", stop, "mm")
    height = not_negative("height", height, "mm")
    return 2 * mass * GRAVITY * (height + stop) / stop


def side_leverage(out: Number, seated: Number, at: Sequence[Number], *, in_line: bool, apart: Number = 0.0) -> Number:
    """Load on the screw that is loaded most, over a force across the tip of a rigid blade: statics.

    Pushed towards the screws the blade turns about the end of its seat, so that the screw nearest to the mouth, at a,
    takes (out + seated)/(seated - a). Pushed away it turns about the mouth, and screws in line share as they are moved,
    out a/Σa². Screws that are not in line may be the pivot of each other, or have no help: (out + a₂)/(a₂ - a) with the
    next screw at a₂, and out/a. The greatest of these.

    out: how far the tip stands out of the mouth, mm. seated: depth of the blade's end below the mouth, mm. at: depths
    of the screws below the mouth, mm, one or more. in_line: whether they press from one side. apart: screws no farther
    from each other than this, mm, are around the blade at one place, and no pivot. Floats or arrays that broadcast.
    Raises `InputError` for out below 0 and for screws that are not between mouth and seat.

    >>> print(round(float(side_leverage(700.0, 38.5, [12.0, 36.5], in_line=True)), 2))
    27.87
    """
    out, seated = not_negative("out", out, "mm"), positive("seated", seated, "mm")
    depths = np.sort(np.stack(np.broadcast_arrays(*(positive("at", one, "mm") for one in at))), axis=0)
    if np.any(np.greater_equal(depths[-1], seated)):
        raise InputError(f"at = {np.max(depths):.6g} mm: a screw above the seat of {np.min(seated):.6g} mm is needed")
    first = depths[0]
    pivot = seated
    if not in_line:
        pivot = np.where(depths - first > apart, depths, seated).min(axis=0)
    towards = (out + pivot) / (pivot - first)
    away = out * depths[-1] / (depths**2).sum(axis=0) if in_line else out / first
    return np.asarray(np.maximum(towards, away))[()]


def _dent_pressure(compressive_yield: Number, constraint: Number) -> Number:
    compressive_yield = positive("compressive_yield", compressive_yield, "MPa")
    constraint = positive("constraint", constraint)
    return compressive_yield * constraint
