"""Sheared areas of a screw thread and the loads they carry.

Every area is for the 60° profile of ISO 68-1 and ASME B1.1. The textbook load of a strip is
`area * shear strength`; for fewer than about three threads it is too high, see `short_engagement.py`.

Which sizes go in matters more than anything else here: the basic sizes give areas 30 to 65 % larger than the
limits that hold least (largest hole, smallest screw) on M1.6 to M8. The argument names say which limit the
standard uses; a sampled or measured size goes in the same place.
"""

from __future__ import annotations

import numpy as np

from fitcheck.errors import InputError, finite, not_negative, positive
from fitcheck.units import Number

TAN30 = 1 / np.sqrt(3)
# The coefficients as the standards print them; the exact ones are 13√3/24 and 9√3/16.
STRESS_METRIC = 0.938194
STRESS_UNIFIED = 0.9743
STRESS_HIGH_STRENGTH = 0.16238


def tensile_stress_area(d: Number, P: Number) -> Number:
    """Tensile stress area of a metric screw, mm².

    As = π/4 (d - 0.938194 P)², the circle on the mean of pitch diameter d2 and root diameter d3 [1]_.

    d: nominal diameter, mm. P: pitch, mm. Floats or arrays that broadcast.
    Valid for ISO metric threads. Raises `InputError` where a size is not positive or P leaves no core.

    References
    ----------
    .. [1] ISO 898-1:2013, clause 9.1.6.1; ISO 16228.

    Examples
    --------
    >>> print(round(tensile_stress_area(6.0, 1.0), 2))
    20.12
    """
    d, P = positive("d", d, "mm"), positive("P", P, "mm")
    return np.pi / 4 * _core(d - STRESS_METRIC * P, d, P) ** 2


def tensile_stress_area_unified(d: Number, P: Number) -> Number:
    """Tensile stress area of a Unified screw, mm².

    As = π/4 (d - 0.9743 P)², with P = 25.4 mm over the threads per inch [1]_.

    d: basic major diameter, mm. P: pitch, mm. Floats or arrays that broadcast.
    Raises `InputError` where a size is not positive or P leaves no core. For steels above about 690 MPa see
    `tensile_stress_area_high_strength`.

    References
    ----------
    .. [1] ASME B1.1-2003, appendix B.

    Examples
    --------
    >>> print(round(tensile_stress_area_unified(12.7, 25.4 / 13), 1))
    91.5
    """
    d, P = positive("d", d, "mm"), positive("P", P, "mm")
    return np.pi / 4 * _core(d - STRESS_UNIFIED * P, d, P) ** 2


def tensile_stress_area_high_strength(d2_min: Number, P: Number) -> Number:
    """Tensile stress area of a Unified screw of more than about 100 ksi, from its smallest pitch diameter, mm².

    As = π (d2_min/2 - 0.16238 P)² [1]_.

    d2_min: smallest pitch diameter, mm. P: pitch, mm. Floats or arrays that broadcast.
    Raises `InputError` where a size is not positive or P leaves no core.

    References
    ----------
    .. [1] FED-STD-H28/2, from memory (Machinery's Handbook prints the same form).

    Examples
    --------
    >>> print(round(tensile_stress_area_high_strength(11.265, 25.4 / 13), 1))  # 1/2-13 UNC-2A
    88.8
    """
    d2_min, P = positive("d2_min", d2_min, "mm"), positive("P", P, "mm")
    return np.pi * _core(d2_min / 2 - STRESS_HIGH_STRENGTH * P, d2_min, P) ** 2


def overlap(d: Number, D1: Number) -> Number:
    """Radial overlap of screw crest and hole crest, mm; 0 where they pass. Geometry; the basic overlap is 5/8 H =
    0.541266 P.

    d: major diameter of the screw, mm. D1: minor diameter of the hole, mm. Floats or arrays that broadcast.
    Raises `InputError` where a size is not positive.

    >>> print(round(overlap(4.0, 3.242), 3))
    0.379
    """
    d, D1 = positive("d", d, "mm"), positive("D1", D1, "mm")
    return np.maximum((d - D1) / 2, 0.0)


def shear_area_internal(
    LE: Number, P: Number, d_min: Number, D2_max: Number, *, D1_max: Number | None = None
) -> Number:
    """Shear area of the hole thread, AS_n, mm²: a cylinder of the screw's major diameter.

    AS_n = π (LE/P) d_min [P/2 + (d_min - D2_max) tan 30°]   [1]_ [2]_ [3]_

    LE: length of engagement of full threads, mm. P: pitch, mm. d_min: smallest major diameter of the screw, mm.
    D2_max: largest pitch diameter of the hole, mm. D1_max: largest minor diameter of the hole, mm, optional; with it
    the area is 0 where the crests no longer overlap (worn or oversize parts), which the formula alone does not know.
    Floats or arrays that broadcast.

    The bracket is never less than 0. Raises `InputError` for LE below 0, any other size not above 0, and a thread that
    would be wider than its pitch at d_min (sizes of different threads).

    References
    ----------
    .. [1] FED-STD-H28/2; ISO/TR 16224.
    .. [2] ASME B1.1, appendix B.
    .. [3] J. H. Bickford, Introduction to the Design and Behavior of Bolted Joints, 4th ed., table of stress and shear
       areas: the printed areas of tests/published/test_shear_areas.py.

    Examples
    --------
    >>> print(round(shear_area_internal(5.0, 0.8, 4.826, 4.605), 2))
    49.99
    """
    LE, P = not_negative("LE", LE, "mm"), positive("P", P, "mm")
    d_min, D2_max = positive("d_min", d_min, "mm"), positive("D2_max", D2_max, "mm")
    width = _width(P, d_min - D2_max, "d_min - D2_max")
    return np.pi * LE / P * d_min * width * _meets(d_min, D1_max, "D1_max", hole=True)


def shear_area_external(
    LE: Number, P: Number, D1_max: Number, d2_min: Number, *, d_min: Number | None = None
) -> Number:
    """Shear area of the screw thread, AS_s, mm²: a cylinder of the hole's minor diameter.

    AS_s = π (LE/P) D1_max [P/2 + (d2_min - D1_max) tan 30°]

    LE: length of engagement of full threads, mm. P: pitch, mm. D1_max: largest minor diameter of the hole, mm.
    d2_min: smallest pitch diameter of the screw, mm. d_min: smallest major diameter of the screw, mm, optional; with
    it the area is 0 where the crests no longer overlap. Floats or arrays that broadcast.

    The bracket is never less than 0. Errors and references as `shear_area_internal`.

    Examples
    --------
    >>> print(round(shear_area_external(5.0, 0.8, 4.334, 4.361), 2))
    35.37
    """
    LE, P = not_negative("LE", LE, "mm"), positive("P", P, "mm")
    D1_max, d2_min = positive("D1_max", D1_max, "mm"), positive("d2_min", d2_min, "mm")
    width = _width(P, d2_min - D1_max, "d2_min - D1_max")
    return np.pi * LE / P * D1_max * width * _meets(D1_max, d_min, "d_min", hole=False)


def strip_load(area: Number, shear_strength: Number) -> Number:
    """Load that shears an area, N: area times shear strength, the definition. For few threads: `short_engagement.py`.

    area: mm². shear_strength: MPa. Floats or arrays that broadcast. Raises `InputError` for an area below 0 or a
    strength not above 0.

    >>> print(round(strip_load(7.769, 207.0)))  # 1 mm of M4 in 6061-T6
    1608
    """
    area, shear_strength = not_negative("area", area, "mm²"), positive("shear_strength", shear_strength, "MPa")
    return area * shear_strength


def break_load(As: Number, Rm: Number) -> Number:
    """Load that breaks the screw in tension, N: stress area times tensile strength, the definition.

    As: stress area, mm². Rm: tensile strength, MPa. Floats or arrays that broadcast. Raises `InputError` where one is
    not above 0.

    >>> print(round(break_load(36.6, 1040.0)))  # M8 class 10.9
    38064
    """
    As, Rm = positive("As", As, "mm²"), positive("Rm", Rm, "MPa")
    return As * Rm


def engagement_for_load(
    F: Number, shear_strength: Number, area_per_mm: Number, *, P: Number = 1.0, half: Number = 0.0
) -> Number:
    """Length of engagement whose strip load is F, mm: `strip_load` turned round, by its definition.

    LE = L/2 + sqrt(L²/4 + L half P),   L = F / (τ a)

    F: load, N. shear_strength: τ, MPa. area_per_mm: a, shear area for 1 mm of engagement, mm²/mm. half: the
    number of threads that hold half of the textbook load (`short_model().half`); 0 gives the textbook length L. P:
    pitch, mm, used with half. Floats or arrays that broadcast. Raises `InputError` where the threads do not overlap
    (a = 0), for F or half below 0, and for P or a strength not above 0.

    >>> print(round(engagement_for_load(38064.0, 180.0, 16.829), 2))  # M8 class 10.9 in soft aluminium
    12.57
    """
    F, shear_strength = not_negative("F", F, "N"), positive("shear_strength", shear_strength, "MPa")
    area_per_mm = positive("area_per_mm", area_per_mm, "mm²/mm")
    P, half = positive("P", P, "mm"), not_negative("half", half)
    textbook = F / (shear_strength * area_per_mm)
    return np.asarray(textbook / 2 + np.sqrt(textbook**2 / 4 + textbook * half * P))[()]


def engagement_to_break_screw(
    As: Number,
    Rm: Number,
    *,
    internal_per_mm: Number,
    tau_internal: Number,
    external_per_mm: Number,
    tau_external: Number,
    P: Number = 1.0,
    half: Number = 0.0,
) -> Number:
    """Length of engagement above which the screw breaks before either thread strips, mm: statics.

    the longer of `engagement_for_load` of Rm As for either thread

    As: stress area, mm². Rm: tensile strength of the screw, MPa. internal_per_mm, external_per_mm: shear areas
    for 1 mm, mm²/mm. tau_*: shear strengths, MPa. half: number of threads, as in `engagement_for_load`. P: pitch, mm.
    Floats or arrays that broadcast. Raises `InputError` for a strength or area not above 0.
    For a long thread the strength reduction of `alexander.py` applies as well.

    >>> areas = {"internal_per_mm": 16.829, "external_per_mm": 12.161}  # M8
    >>> print(round(engagement_to_break_screw(36.6, 1040.0, **areas, tau_internal=180.0, tau_external=624.0), 2))
    12.57
    """
    F = break_load(As, Rm)
    internal_per_mm = positive("internal_per_mm", internal_per_mm, "mm²/mm")
    external_per_mm = positive("external_per_mm", external_per_mm, "mm²/mm")
    tau_internal = positive("tau_internal", tau_internal, "MPa")
    tau_external = positive("tau_external", tau_external, "MPa")
    hole = engagement_for_load(F, tau_internal, internal_per_mm, P=P, half=half)
    screw = engagement_for_load(F, tau_external, external_per_mm, P=P, half=half)
    return np.maximum(hole, screw)


def engagement_handbook(As: Number, P: Number, D1_max: Number, d2_min: Number, *, J: Number = 1.0) -> Number:
    """Length of engagement of the handbooks: the screw breaks first when both parts have equal strength, mm.

    LE = 2 As / (π D1_max [1/2 + (d2_min - D1_max) tan 30° / P]), times J where J is above 1   [1]_ [2]_

    The 2 stands for a shear strength of half the tensile strength.

    As: stress area, mm². P: pitch, mm. D1_max: largest minor diameter of the hole, mm. d2_min: smallest pitch diameter
    of the screw, mm. J: ratio, `strength_ratio_J` for a weaker hole. Floats or arrays that broadcast.
    Raises `InputError` where one is not above 0 or the threads do not overlap.

    References
    ----------
    .. [1] FED-STD-H28/2; ASME B1.1, appendix B.
    .. [2] The use of J is from memory.

    Examples
    --------
    >>> print(round(engagement_handbook(36.609, 1.25, 6.912, 7.042), 2))  # M8
    6.02
    """
    As, J = positive("As", As, "mm²"), positive("J", J)
    one: Number = positive("shear area", shear_area_external(1.0, P, D1_max, d2_min), "mm²")
    return 2 * As / one * np.maximum(J, 1.0)


def strength_ratio_J(AS_s: Number, Rm_external: Number, AS_n: Number, Rm_internal: Number) -> Number:
    """J = (AS_s Rm_external) / (AS_n Rm_internal), without unit: above 1 the hole strips before the screw [1]_.

    AS_s, AS_n: shear areas of screw and hole for the same engagement, mm². Rm_external, Rm_internal: tensile strengths
    of screw and hole, MPa. Floats or arrays that broadcast. Raises `InputError` where one is not above 0.

    References
    ----------
    .. [1] FED-STD-H28/2, as paraphrased in Machinery's Handbook.

    Examples
    --------
    >>> print(round(strength_ratio_J(97.29, 1040.0, 134.63, 310.0), 3))
    2.424
    """
    AS_s, Rm_external = positive("AS_s", AS_s, "mm²"), positive("Rm_external", Rm_external, "MPa")
    AS_n, Rm_internal = positive("AS_n", AS_n, "mm²"), positive("Rm_internal", Rm_internal, "MPa")
    return AS_s * Rm_external / (AS_n * Rm_internal)


def strip_load_nasa(dm: Number, shear_strength: Number, L: Number) -> Number:
    """Pull-out load of a tapped hole by the short rule π dm τ L / 3, N [1]_.

    dm: about the pitch diameter, mm. shear_strength: τ, MPa. L: engaged full thread, mm; the last two or three
    threads of a blind hole are not counted. The 1/3 is empirical; 1/2 would be a perfect fit. Floats or arrays that
    broadcast. Raises `InputError` for L below 0, the others not above 0.

    References
    ----------
    .. [1] R. T. Barrett, Fastener Design Manual, NASA RP-1228 (1990), p. 23.

    Examples
    --------
    >>> print(round(strip_load_nasa(5.761, 186.2, 6.35)))  # 1/4-28 UNF
    7133
    """
    dm, shear_strength = positive("dm", dm, "mm"), positive("shear_strength", shear_strength, "MPa")
    L = not_negative("L", L, "mm")
    return np.pi * dm * shear_strength * L / 3


def _core(core: Number, d: Number, P: Number) -> Number:
    if np.any(np.less_equal(core, 0)):
        raise InputError(f"P = {_worst(P)} mm leaves no core in a screw of {_worst(d)} mm: check diameter and pitch")
    return core


def _width(P: Number, radial: Number, name: str) -> Number:
    """Axial thickness of one thread at the sheared cylinder, from 0 to one pitch."""
    radial = finite(name, radial, "mm")
    width = P / 2 + radial * TAN30
    if np.any(np.greater(width, P)):
        raise InputError(
            f"{name} = {np.max(radial):.4g} mm with pitch {_worst(P)} mm: the thread would be thicker than its "
            "pitch; sizes of one thread pair in mm are needed"
        )
    thickness: Number = np.maximum(width, 0.0)
    return thickness


def _meets(here: Number, there: Number | None, name: str, *, hole: bool) -> Number:
    """1 where screw crest and hole crest overlap, 0 where not; 1 where the other crest is not given."""
    if there is None:
        return 1.0
    there = positive(name, there, "mm")
    meets: Number = np.where(np.greater(here, there) if hole else np.less(here, there), 1.0, 0.0)[()]
    return meets


def _worst(value: Number) -> str:
    return f"{np.max(value):.6g}"
