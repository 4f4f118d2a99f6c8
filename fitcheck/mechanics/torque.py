"""Torque and axial load of a screw: thread friction, friction at the point, locking and loosening.

A set screw has no head. The torque on the key goes into three places: lifting along the helix, friction on
the thread flanks, and friction of the point on what it presses. Torque is N·m at the boundary; lengths are mm.
A left-hand screw needs the same torques with the direction of rotation reversed.
"""

from __future__ import annotations

import numpy as np

from fitcheck.errors import InputError, not_negative, one_of, positive
from fitcheck.threads.profile import HALF_ANGLE
from fitcheck.units import Number

POINTS = ("cup", "cone", "flat", "dog")


def lever_arm(
    P: Number, d2: Number, mu_t: Number, mu_p: Number, r_p: Number, *, half_angle: Number = HALF_ANGLE
) -> Number:
    """Torque for each newton of axial load while tightening, mm.

    T/F = P/(2π) + mu_t d2 / (2 cos α) + mu_p r_p   [1]_

    P: lead (the pitch of a single-start thread), mm. d2: pitch diameter, mm. mu_t: friction in the thread.
    mu_p: friction under the point. r_p: mean contact radius of the point, mm (`point_radius`); for a headed screw
    half the mean bearing diameter. half_angle: α, radians; 30° for ISO and Unified. Floats or arrays that broadcast.

    Valid for small lead angles: against the exact flank equilibrium (`power_screw_torque`) the thread part is
    low by 100 mu_t tan λ / cos α percent, 1 % on M4 at mu_t = 0.15.
    Raises `InputError` for P or d2 not above 0, friction or r_p below 0, and a half_angle not from 0 to below π/2.

    References
    ----------
    .. [1] VDI 2230-1:2015, 5.4.1, with the point in place of the head.

    Examples
    --------
    >>> print(round(lever_arm(0.7, 3.545, 0.15, 0.15, 1.0), 3))
    0.568
    """
    lift, thread, point = _parts(P, d2, mu_t, mu_p, r_p, half_angle)
    return lift + thread + point


def tightening_torque(
    F: Number, P: Number, d2: Number, mu_t: Number, mu_p: Number, r_p: Number, *, half_angle: Number = HALF_ANGLE
) -> Number:
    """Torque that makes the axial load F, N·m: F times the arm. Other arguments, errors and references as `lever_arm`.

    F: N, not below 0.

    >>> print(round(tightening_torque(500.0, 0.7, 3.545, 0.15, 0.15, 1.0), 3))
    0.284
    """
    F = not_negative("F", F, "N")
    return F * lever_arm(P, d2, mu_t, mu_p, r_p, half_angle=half_angle) / 1000


def axial_load(
    T: Number, P: Number, d2: Number, mu_t: Number, mu_p: Number, r_p: Number, *, half_angle: Number = HALF_ANGLE
) -> Number:
    """Axial load made by the torque T, N.

    F = 1000 T / [P/(2π) + mu_t d2 / (2 cos α) + mu_p r_p]; without friction it is 2π · 1000 T / P.

    T: N·m, not below 0. Other arguments, errors and references as `lever_arm`.

    >>> print(round(axial_load(1.0, 0.7, 3.545, 0.15, 0.15, 1.0)))
    1759
    """
    T = not_negative("T", T, "N·m")
    return 1000 * T / lever_arm(P, d2, mu_t, mu_p, r_p, half_angle=half_angle)


def loosening_torque(
    F: Number, P: Number, d2: Number, mu_t: Number, mu_p: Number, r_p: Number, *, half_angle: Number = HALF_ANGLE
) -> Number:
    """Torque that turns the screw loose under the axial load F, N·m; below 0 it turns loose by itself.

    T = F [-P/(2π) + mu_t d2 / (2 cos α) + mu_p r_p]

    F: N, not below 0. Other arguments, errors and references as `lever_arm`. Seized threads, corrosion and cured
    adhesive come on top and are not in here.

    >>> print(round(loosening_torque(500.0, 0.7, 3.545, 0.15, 0.15, 1.0), 3))
    0.173
    """
    F = not_negative("F", F, "N")
    lift, thread, point = _parts(P, d2, mu_t, mu_p, r_p, half_angle)
    return F * (thread + point - lift) / 1000


def self_locking_friction(P: Number, d2: Number, *, half_angle: Number = HALF_ANGLE) -> Number:
    """Least thread friction that keeps the screw from unwinding without help from the point.

    mu_t = tan λ cos α, with tan λ = P / (π d2)   [1]_

    P: lead, mm. d2: pitch diameter, mm. half_angle: α, radians. Floats or arrays that broadcast.
    Raises `InputError` for sizes not above 0 and a half_angle not from 0 to below π/2. Vibration across the thread can
    unwind a self-locking screw all the same.

    References
    ----------
    .. [1] Shigley's Mechanical Engineering Design, section 8-2, for the square thread; with the flank angle by the
       equilibrium on the flank.

    Examples
    --------
    >>> print(round(self_locking_friction(0.7, 3.545), 3))
    0.054
    """
    P, d2 = positive("P", P, "mm"), positive("d2", d2, "mm")
    return P / (np.pi * d2) * np.cos(_flank(half_angle))


def power_screw_torque(F: Number, lead: Number, d2: Number, mu_t: Number, *, half_angle: Number = 0.0) -> Number:
    """Thread torque that raises the load F, without the small-angle step, N·m.

    T = F d2/2 (cos φ tan λ + mu) / (cos φ - mu tan λ), tan λ = lead / (π d2), tan φ = tan α cos λ   [1]_ [2]_

    F: load, N. lead, d2: lead and pitch diameter, mm. mu_t: friction in the thread. half_angle: α, radians; 0 for a
    square thread, 14.5° for Acme. φ is the flank half angle in the section normal to the helix; books that print cos
    14.5° neglect its difference from α. Floats or arrays that broadcast.
    Raises `InputError` for lead or d2 not above 0, F or friction below 0, a half_angle not from 0 to below π/2, and
    friction with which no torque raises the load.

    References
    ----------
    .. [1] R. L. Mott, Machine Elements in Mechanical Design, 4th ed., example 17-1.
    .. [2] Shigley's Mechanical Engineering Design, equation 8-1.

    Examples
    --------
    >>> collar = 6400.0 * 0.08 * 0.020
    >>> print(round(power_screw_torque(6400.0, 8.0, 30.0, 0.08) + collar, 2))  # Shigley, example 8-1, with its collar
    26.18
    """
    return _power(F, lead, d2, mu_t, half_angle, raising=True)


def power_screw_lowering_torque(
    F: Number, lead: Number, d2: Number, mu_t: Number, *, half_angle: Number = 0.0
) -> Number:
    """Thread torque that lowers the load F, N·m; below 0 the load runs down by itself.

    T = F d2/2 (mu - cos φ tan λ) / (cos φ + mu tan λ); arguments, errors and references as `power_screw_torque`.

    >>> print(round(power_screw_lowering_torque(6400.0, 8.0, 30.0, 0.08), 3))  # Shigley 8-1, without its collar
    -0.466
    """
    return _power(F, lead, d2, mu_t, half_angle, raising=False)


def point_radius(kind: str, diameter: Number, *, cone_angle: Number = np.pi / 2) -> Number:
    """Mean radius at which the friction of a set-screw point acts, mm.

    cup: diameter/2, the rim carries. flat, dog: diameter/3, an even pressure over a disc. cone:
    diameter / (3 sin(cone_angle/2)), an even pressure over the cone, where `diameter` is that of the dent.

    kind: 'cup', 'cone', 'flat' or 'dog'. diameter: cup rim, flat, dog end, or dent of the cone, mm; 0 for a
    sharp cone that has not bitten yet. cone_angle: included angle, radians. Floats or arrays that broadcast.
    Raises `InputError` for any other kind, a diameter below 0, a cone_angle not above 0, and that of a cone over π.
    Friction of pivots, standard mechanics, no source.

    >>> print(round(point_radius("flat", 3.0), 3))
    1.0
    """
    kind, cone_angle = one_of("kind", kind, POINTS), positive("cone_angle", cone_angle, "rad")
    diameter = not_negative("diameter", diameter, "mm")
    if kind == "cup":
        return diameter / 2
    if kind == "cone":
        if np.any(np.greater(cone_angle, np.pi)):
            raise InputError(f"cone_angle = {np.max(cone_angle):.4g} rad: an included angle up to π is needed")
        return diameter / (3 * np.sin(cone_angle / 2))
    return diameter / 3


def nut_factor(T: Number, d: Number, F: Number) -> Number:
    """K of the short form T = K d F, its definition, for comparison with printed nut factors; without unit.

    T: N·m. d: nominal diameter, mm. F: axial load, N. Floats or arrays that broadcast. Raises `InputError` for T below
    0, the others not above 0.

    >>> print(round(nut_factor(130.84, 12.7, 52075.0), 3))
    0.198
    """
    T, d, F = not_negative("T", T, "N·m"), positive("d", d, "mm"), positive("F", F, "N")
    return 1000 * T / (d * F)


def _flank(half_angle: Number) -> Number:
    half_angle = not_negative("half_angle", half_angle, "rad")
    if np.any(np.greater_equal(half_angle, np.pi / 2)):
        raise InputError(
            f"half_angle = {np.max(half_angle):.4g}: radians below π/2 are needed, for example 0.5236 for 30°"
        )
    return half_angle


def _parts(
    P: Number, d2: Number, mu_t: Number, mu_p: Number, r_p: Number, half_angle: Number
) -> tuple[Number, Number, Number]:
    P, d2 = positive("P", P, "mm"), positive("d2", d2, "mm")
    mu_t, mu_p, r_p = not_negative("mu_t", mu_t), not_negative("mu_p", mu_p), not_negative("r_p", r_p, "mm")
    return P / (2 * np.pi), mu_t * d2 / (2 * np.cos(_flank(half_angle))), mu_p * r_p


def _power(F: Number, lead: Number, d2: Number, mu: Number, half_angle: Number, *, raising: bool) -> Number:
    F, lead, d2 = not_negative("F", F, "N"), positive("lead", lead, "mm"), positive("d2", d2, "mm")
    mu = not_negative("mu_t", mu)
    tan_lead = lead / (np.pi * d2)
    cos_lead = 1 / np.sqrt(1 + tan_lead**2)
    cos_flank = np.cos(np.arctan(np.tan(_flank(half_angle)) * cos_lead))
    if raising:
        under = cos_flank - mu * tan_lead
        if np.any(np.less_equal(under, 0)):
            raise InputError(
                f"mu_t = {np.max(mu):.4g}: with this lead no torque raises the load (friction angle too large)"
            )
        return F * d2 / 2 * (cos_flank * tan_lead + mu) / under / 1000
    return F * d2 / 2 * (mu - cos_flank * tan_lead) / (cos_flank + mu * tan_lead) / 1000
