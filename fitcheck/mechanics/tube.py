"""Twisting a stuck screwed tube loose: the torque its weakest section bears, against the torque that seized it.

Heat, penetrant and time free more joints than torque does; they are advice, not numbers, and not in here.
"""

from __future__ import annotations

import numpy as np

from fitcheck.errors import InputError, not_negative, positive
from fitcheck.mechanics.torque import axial_load, loosening_torque
from fitcheck.threads.profile import TRIANGLE
from fitcheck.units import Number

SHEAR_YIELD = 1 / np.sqrt(3)  # of the tensile yield strength, von Mises


def torsion_section(Do: Number, Di: Number) -> Number:
    """Torsion section modulus of a round tube, mm³: π/16 (Do⁴ - Di⁴)/Do. Elementary torsion, the definition.

    Do, Di: outer and inner diameter of the section, mm (Di may be 0). Under a thread they are the thread's own
    root: the minor diameter outside (`external_root`), the major diameter inside (`internal_root`). Floats or arrays
    that broadcast. Raises `InputError` where no wall is left, for Do not above 0 and Di below 0.

    >>> print(round(torsion_section(20.0, 0.0), 1))
    1570.8
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
    memory), and its share of the area. Raises `InputError` where no wall is left, for Do or Rp not above 0, Di below 0
    and a notch below 1.

    >>> print(round(torsion_limit(34.11, 32.05, 275.0), 1))
    272.9
    """
    Rp, notch = positive("Rp", Rp, "MPa"), positive("notch", notch)
    if np.any(np.less(notch, 1)):
        raise InputError(f"notch = {np.min(notch):.4g}: a stress concentration of at least 1 is needed")
    limit: Number = SHEAR_YIELD * Rp * torsion_section(Do, Di) / notch / 1000
    return limit


HOLE_FACTOR = 4.0
"""What a set-screw hole divides the torque of its section by, on the safe side.

At the edge of a small round hole in a flat wall the stress is 4 times the shear stress beside it, along the edge [1]:
it reaches the tensile yield strength at sqrt(3)/4, 43 %, of the torque of the plain tube. The curvature of a thin tube
and the thread that is cut into the edge raise it further, by amounts no source here gives, so the whole 4 is taken.
Valid for a hole whose radius is at most sqrt(R t) of the wall's mean radius and thickness (`largest_hole`).

[1] G. Kirsch, Z. VDI 42 (1898); Peterson's Stress Concentration Factors, chapter 4: from memory.
"""


def largest_hole(Do: Number, Di: Number) -> Number:
    """Diameter of the largest hole in a tube's wall that `HOLE_FACTOR` stands for, mm: 2 sqrt(R t).

    Do, Di: outer and inner diameter, mm; R = (Do + Di)/4, t = (Do - Di)/2. Arrays broadcast. From memory: beyond it the
    curvature of the wall rules.
    """
    Do, Di = positive("Do", Do, "mm"), not_negative("Di", Di, "mm")
    return np.asarray(2 * np.sqrt((Do + Di) / 4 * np.maximum(Do - Di, 0.0) / 2))[()]


def pinch_limit(Do: Number, Di: Number, Rp: Number) -> Number:
    """Grip at which two opposite jaws begin to flatten a tube for good, N for each mm of their length: π t² Rp / (6 R).

    Do, Di: outer and inner diameter, mm; R = (Do + Di)/4 and t = (Do - Di)/2 of the wall. Rp: yield strength, MPa.
    The largest moment of a ring between two opposite loads W, W R/π, against t² Rp/6 [1]. For thin walls, t up to
    about R/5. The tube beside the jaws helps, so it bears somewhat more: the safe side. Arrays broadcast.

    [1] Roark's Formulas for Stress and Strain, circular rings, case 1: from memory.
    """
    Do, Di, Rp = positive("Do", Do, "mm"), not_negative("Di", Di, "mm"), positive("Rp", Rp, "MPa")
    t = np.maximum(Do - Di, 0.0) / 2
    return np.asarray(np.pi * t**2 * Rp / (6 * (Do + Di) / 4))[()]


def groove_factor(depth: Number, radius: Number) -> Number:
    """Stress concentration of a shallow groove around the tube in torsion, a factor: 1 + sqrt(depth/radius) [1]_.

    depth: of the groove, mm. radius: at its bottom, mm. Exact for a shallow elliptical groove; on the safe side for a
    deep one. Floats or arrays that broadcast. A sharp V groove (radius towards 0) has no finite value: `InputError`.

    References
    ----------
    .. [1] Neuber, Kerbspannungslehre; Peterson's Stress Concentration Factors, chapter 2, from memory.

    Examples
    --------
    >>> print(groove_factor(0.5, 0.5))  # a half round groove
    2.0
    """
    depth, radius = not_negative("depth", depth, "mm"), positive("radius", radius, "mm")
    factor: Number = 1 + np.sqrt(depth / radius)
    return factor


def shoulder_torque(F: Number, P: Number, d2: Number, mu_t: Number, mu_s: Number, shoulder_radius: Number) -> Number:
    """Torque that loosens a tube screwed against a shoulder, N·m.

    T = F [-P/(2π) + mu_t d2 / (2 cos 30°) + mu_s r]: `loosening_torque` with the shoulder in the place of the
    point. Corrosion, galling and cured adhesive come on top; starting friction of dry aluminium is that of class E.

    F: axial load, N. P: lead, mm. d2: pitch diameter, mm. mu_t, mu_s: friction in the thread and on the shoulder.
    shoulder_radius: r, mean radius of the shoulder, mm. Floats or arrays that broadcast. Errors and references as
    `loosening_torque`.

    >>> print(round(shoulder_torque(5000.0, 1.5, 35.026, 0.2, 0.2, 18.5), 2))
    37.53
    """
    mu_s, r = not_negative("mu_s", mu_s), not_negative("shoulder_radius", shoulder_radius, "mm")
    return loosening_torque(F, P, d2, mu_t, mu_s, r)


def shoulder_radius(outside: Number, d: Number) -> Number:
    """Mean radius of the shoulder that a tube of outside diameter `outside` leaves around a thread d, mm."""
    return np.asarray((np.asarray(outside) + d) / 4)[()]


def loosening_after(T: Number, P: Number, d2: Number, mu_on: Number, mu_off: Number, shoulder_radius: Number) -> Number:
    """Torque that loosens a tube which the torque T has screwed home against its shoulder, N·m.

    F = T / [P/(2π) + mu_on (d2 / (2 cos 30°) + r)], then `shoulder_torque` of F with mu_off, and never less than a
    thousandth of T: a thread that would unwind by itself still takes a touch.

    T: N·m. P: lead, d2: pitch diameter, shoulder_radius: r, mm. mu_on, mu_off: friction in thread and shoulder while
    it was tightened and when it starts to turn loose. Arrays broadcast. `InputError` as for `axial_load`.
    Source: VDI 2230-1:2015, 5.4.1, with the shoulder in the place of the head.
    """
    load = axial_load(T, P, d2, mu_on, mu_on, shoulder_radius)
    loose = shoulder_torque(load, P, d2, mu_off, mu_off, shoulder_radius)
    return np.asarray(np.maximum(loose, 1e-3 * np.asarray(T)))[()]


_SLIVER = 1e-9  # of the outer diameter: what counts as a wall at all


def external_root(d2: Number, P: Number, depth: Number) -> Number:
    """Root diameter of an external thread, the outer diameter of the section it leaves of its tube: d2 - depth H, mm.

    H = 0.866025 P. d2: pitch diameter as it is, P: pitch, mm. depth: of the root under the pitch diameter, on the
    diameter, in H. Arrays broadcast.

    The root is not one size: it is cut with the flanks, so it goes with the pitch diameter, and its own depth lies
    between the forms of `fitcheck.threads.profile.EXTERNAL_ROOTS`. A section at the deepest form and the middle of the
    pitch diameter's zone is neither an average tube nor the weakest one; with the depth as a dimension of its own
    the nominal section is that of an average tube and the worst case has both at their worst.
    Source: ISO 965-1, ISO 965-3, ASME B1.1 (the forms).
    """
    return np.asarray(d2 - np.asarray(depth) * TRIANGLE * P)[()]


def internal_root(D2: Number, P: Number, depth: Number) -> Number:
    """Root (major) diameter of an internal thread, the inner diameter of the section it leaves: D2 + depth H, mm.

    As `external_root`; depth between the forms of `fitcheck.threads.profile.INTERNAL_ROOTS`: the standards print only a
    least major diameter, and a tap cuts deeper, up to a root rounded full.
    Source: ISO 68-1; Machinery's Handbook 27 p. 1794.
    """
    return np.asarray(D2 + np.asarray(depth) * TRIANGLE * P)[()]


def pull_limit(Do: Number, Di: Number, Rp: Number) -> Number:
    """Pull at which a round tube yields, N: π/4 (Do² - Di²) Rp. Do, Di: outer and inner diameter of the section.

    Elementary tension; the notch of the root is left out, since a ductile metal yields there and shares the load.
    """
    Do = np.asarray(Do)
    return np.asarray(np.pi / 4 * np.maximum(Do**2 - np.asarray(Di) ** 2, 0.0) * Rp)[()]


def twist_limit(Do: Number, Di: Number, Rp: Number, notch: Number = 1.0) -> Number:
    """`torsion_limit` of a section that may have no wall left, which bears nothing, N·m.

    Sizes with a spread without end may draw the wall away; there it is not an error but a tube that does not hold.
    """
    Do = np.asarray(Do)
    return torsion_limit(Do, np.clip(Di, 0.0, Do * (1 - _SLIVER)), Rp, notch=notch)
