"""Twisting a stuck screwed tube loose: the torque its weakest section bears, against the torque that seized it.

Heat, penetrant and time free more joints than torque does; they are advice, not numbers, and not in here.
"""

from __future__ import annotations

import numpy as np

from fitcheck.errors import InputError, not_negative, positive
from fitcheck.mechanics.torque import loosening_torque
from fitcheck.threads.profile import TRIANGLE
from fitcheck.units import Number

SHEAR_YIELD = 1 / np.sqrt(3)  # of the tensile yield strength, von Mises


def torsion_section(Do: Number, Di: Number) -> Number:
    """Torsion section modulus of a round tube, mm³: π/16 (Do⁴ - Di⁴)/Do. Elementary torsion, the definition.

    Do, Di: outer and inner diameter of the section, mm (Di may be 0). Under a thread they are the thread's own
    root: the minor diameter outside, the major diameter inside (`threaded_section`). Floats or arrays that broadcast.
    Raises `InputError` where no wall is left.
    """
    Do, Di = positive("Do", Do, "mm"), not_negative("Di", Di, "mm")
    if np.any(np.greater_equal(Di, Do)):
        raise InputError(
            f"Di = {np.max(Di):.6g} mm, Do = {np.min(Do):.6g} mm: no wall is left; an outer diameter greater than the "
            "inner is needed"
        )
    return np.pi / 16 * (Do**4 - Di**4) / Do


def torsion_limit(Do: Number, Di: Number, Rp: Number, *, notch: Number = 1.0) -> Number:
    """Torque at which the tube's weakest section begins to yield, N·m.

    T = (Rp/√3) W / notch, W of `torsion_section`: elementary torsion and the yield condition of von Mises, no source

    Do, Di: diameters of the section, mm. Rp: tensile yield strength, MPa. notch: stress concentration of a groove, at
    least 1 (`groove_factor`); 1 where a little local yielding does no harm. Floats or arrays that broadcast. A
    set-screw hole of diameter a in the section takes a factor of about 4 at its edge (a small hole in torsion, from
    memory), and its share of the area. Raises `InputError` where no wall is left and for a notch below 1.
    """
    Rp, notch = positive("Rp", Rp, "MPa"), positive("notch", notch)
    if np.any(np.less(notch, 1)):
        raise InputError(f"notch = {np.min(notch):.4g}: a stress concentration of at least 1 is needed")
    limit: Number = SHEAR_YIELD * Rp * torsion_section(Do, Di) / notch / 1000
    return limit


def groove_factor(depth: Number, radius: Number) -> Number:
    """Stress concentration of a shallow groove around the tube in torsion, a factor: 1 + sqrt(depth/radius) [1]_.

    depth: of the groove, mm. radius: at its bottom, mm. Exact for a shallow elliptical groove; on the safe side for a
    deep one. Floats or arrays that broadcast. A sharp V groove (radius towards 0) has no finite value: `InputError`.

    References
    ----------
    .. [1] Neuber, Kerbspannungslehre; Peterson's Stress Concentration Factors, chapter 2, from memory.
    """
    depth, radius = not_negative("depth", depth, "mm"), positive("radius", radius, "mm")
    factor: Number = 1 + np.sqrt(depth / radius)
    return factor


def threaded_section(
    outside: Number, bore: Number, *, minor_outside: Number | None = None, major_inside: Number | None = None
) -> tuple[Number, Number]:
    """Outer and inner diameter that a thread leaves of a tube, mm. Geometry.

    outside, bore: of the tube, mm. minor_outside: root diameter of a thread cut on the outside, mm. major_inside: root
    (major) diameter of a thread cut in the bore, mm. Floats or arrays that broadcast. Raises `InputError` for a root
    outside the wall.
    """
    outside, bore = positive("outside", outside, "mm"), not_negative("bore", bore, "mm")
    Do, Di = outside, bore
    if minor_outside is not None:
        Do = positive("minor_outside", minor_outside, "mm")
        if np.any(np.greater(Do, outside)):
            raise InputError(
                f"minor_outside = {np.max(Do):.6g} mm: a root below the outside {np.min(outside):.6g} mm is needed"
            )
    if major_inside is not None:
        Di = positive("major_inside", major_inside, "mm")
        if np.any(np.less(Di, bore)):
            raise InputError(
                f"major_inside = {np.min(Di):.6g} mm: a root above the bore {np.max(bore):.6g} mm is needed"
            )
    if np.any(np.less_equal(Do, Di)):
        raise InputError(f"the threads leave no wall: {np.min(Do):.6g} mm outside, {np.max(Di):.6g} mm inside")
    return Do, Di


def shoulder_torque(F: Number, P: Number, d2: Number, mu_t: Number, mu_s: Number, shoulder_radius: Number) -> Number:
    """Torque that loosens a tube screwed against a shoulder, N·m.

    T = F [-P/(2π) + mu_t d2 / (2 cos 30°) + mu_s r]: `loosening_torque` with the shoulder in the place of the
    point. Corrosion, galling and cured adhesive come on top; starting friction of dry aluminium is that of class E.

    F: axial load, N. P: lead, mm. d2: pitch diameter, mm. mu_t, mu_s: friction in the thread and on the shoulder.
    shoulder_radius: r, mean radius of the shoulder, mm. Floats or arrays that broadcast. Errors and references as
    `loosening_torque`.
    """
    return loosening_torque(F, P, d2, mu_t, mu_s, shoulder_radius)


_SLIVER = 1e-9  # of the outer diameter: what counts as a wall at all


def external_root(d2: Number, P: Number, depth: Number) -> Number:
    """Root diameter of an external thread of pitch diameter d2: d2 - depth H, H = 0.866 P; depth of `root_depth`."""
    return np.asarray(d2 - np.asarray(depth) * TRIANGLE * P)[()]


def internal_root(D2: Number, P: Number, depth: Number) -> Number:
    """Root (major) diameter of an internal thread of pitch diameter D2: D2 + depth H; depth of `root_depth`."""
    return np.asarray(D2 + np.asarray(depth) * TRIANGLE * P)[()]


def pull_limit(Do: Number, Di: Number, Rp: Number) -> Number:
    """Pull at which a round tube yields, N: π/4 (Do² - Di²) Rp. Do, Di: outer and inner diameter of the section.

    Elementary tension; the notch of the root is left out, since a ductile metal yields there and shares the load.
    """
    Do = np.asarray(Do)
    return np.asarray(np.pi / 4 * np.maximum(Do**2 - np.asarray(Di) ** 2, 0.0) * Rp)[()]


def twist_limit(Do: Number, Di: Number, Rp: Number) -> Number:
    """Torque at which a round tube yields, N·m: (Rp/√3) π/16 (Do⁴ - Di⁴)/Do, `torsion_limit`."""
    Do = np.asarray(Do)
    inner = np.minimum(Di, Do * (1 - _SLIVER))
    return np.asarray(SHEAR_YIELD * np.asarray(Rp) * torsion_section(Do, inner) / 1000)[()]
