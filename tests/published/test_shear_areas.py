"""Thread shear areas against Bickford, Introduction to the Design and Behavior of Bolted Joints, 4th ed., table of
metric stress and shear areas (= ASME B1.13M appendix), seen as a reproduced table;
the short rule of NASA RP-1228 (1990), p. 23.
"""

import math

import pytest

import fitcheck as fc
from fitcheck.mechanics import (
    break_load,
    engagement_for_load,
    engagement_handbook,
    engagement_to_break_screw,
    shear_area_external,
    shear_area_internal,
    strength_ratio_J,
    strip_load,
    strip_load_nasa,
    tensile_stress_area,
)

# d, P, D1max, D2max, dmin, d2min (6g), printed: As, AS_s 6g, AS_s 4g6g, AS_n; LE = d.
PRINTED = [
    (5, 0.8, 4.334, 4.605, 4.826, 4.361, "14.183", "35.366", "37.085", "49.994"),
    (8, 1.25, 6.912, 7.348, 7.76, 7.042, "36.609", "97.290", "100.74", "134.63"),
    (12, 1.75, 10.441, 11.063, 11.701, 10.679, "84.267", "227.72", "234.86", "313.41"),
    (16, 2, 14.21, 14.913, 15.682, 14.503, "156.67", "417.55", "429.92", "569.12"),
    (24, 3, 21.252, 22.316, 23.577, 21.803, "352.50", "971.10", "994.23", "1320.2"),
    (36, 4, 32.27, 33.702, 35.465, 33.118, "816.72", "2271.5", "2315.8", "3026.2"),
    (48, 5, 43.297, 45.087, 47.399, 44.431, "1473.2", "4119.5", "4187.3", "5482.0"),
]

# Pitch diameter tolerance and allowance of ISO 965, mm, to make d2min of 4g6g: d2 basic - es - Td2(4).
ES = {0.8: 0.024, 1.25: 0.028, 1.75: 0.034, 2: 0.038, 3: 0.048, 4: 0.060, 5: 0.071}
TD2_4 = {0.8: 0.060, 1.25: 0.075, 1.75: 0.095, 2: 0.100, 3: 0.125, 4: 0.140, 5: 0.160}

PI = 3.1416
"""What the print reckons with: four of its cells show it in their last digit, and with it all are met as printed."""


def _as_printed(value: float, like: str) -> str:
    return f"{value:.{len(like.split('.')[1])}f}"


@pytest.mark.parametrize("row", PRINTED, ids=lambda row: f"M{row[0]}")
def test_areas_as_printed(row, tally):
    d, P, D1max, D2max, dmin, d2min, As, external_6g, external_4g, internal = row
    d2min_4g = round(d - 0.649519 * P, 3) - ES[P] - TD2_4[P]
    found = {
        "As": (tensile_stress_area(d, P), As),
        "AS_s 6g": (shear_area_external(d, P, D1max, d2min), external_6g),
        "AS_s 4g6g": (shear_area_external(d, P, D1max, d2min_4g), external_4g),
        "AS_n": (shear_area_internal(d, P, dmin, D2max), internal),
    }
    for name, (value, printed) in found.items():
        assert _as_printed(value * PI / math.pi, printed) == printed, name
        assert value == pytest.approx(float(printed), abs=0.6 * 10.0 ** -len(printed.split(".")[1])), name
    tally("Bickford, stress and shear areas", len(found))


# Areas for 1 mm of engagement at the limits of 6H/6g that hold least, and the load in 6061-T6 of 207 MPa: calculated
# by hand from printed external limits and internal limits from memory.
PER_MM = [
    ("M1.6", 2.645, 1.870, 547),
    ("M2", 3.441, 2.447, 712),
    ("M2.5", 4.477, 3.177, 927),
    ("M3", 5.547, 3.903, 1148),
    ("M4", 7.769, 5.473, 1608),
    ("M5", 9.999, 7.073, 2070),
    ("M6", 12.191, 8.646, 2524),
    ("M8", 16.829, 12.161, 3484),
]


@pytest.mark.parametrize(("size", "internal", "external", "newtons"), PER_MM)
def test_small_set_screw_areas_of_the_rules(size, internal, external, newtons):
    screw, hole = fc.thread(f"{size}-6g"), fc.thread(f"{size}-6H")
    small, large = screw.limits(), hole.limits()
    AS_n = shear_area_internal(1.0, screw.pitch, small.major.min, large.pitch.max)
    assert AS_n == pytest.approx(internal, abs=0.0006)
    assert shear_area_external(1.0, screw.pitch, large.minor.max, small.pitch.min) == pytest.approx(external, abs=6e-4)
    assert strip_load(AS_n, 207) == pytest.approx(newtons, abs=0.6)


def test_m8_screw_in_soft_aluminium():
    # Own example: M8 10.9 breaks at 38.06 kN; aluminium of 180 MPa shear needs 12.57 mm, 1.57 d.
    As, per_mm = tensile_stress_area(8, 1.25), shear_area_internal(1.0, 1.25, 7.76, 7.348)
    assert round(per_mm, 2) == 16.83
    load = break_load(As, 1040)
    assert load == pytest.approx(38_073, abs=1)  # the example multiplies the rounded 36.6
    assert engagement_for_load(load, 180, per_mm) == pytest.approx(12.57, abs=0.006)
    both = engagement_to_break_screw(
        As, 1040, internal_per_mm=per_mm, tau_internal=180, external_per_mm=12.161, tau_external=0.6 * 1040
    )
    assert both == pytest.approx(12.57, abs=0.006)


def test_nasa_short_rule_against_the_full_area():
    # Own example by the rule: 1/4-28 UNF, 27 ksi, L = 0.25 in: 1603 lb by the rule, 0.1303 in² and 3519 lb by the area.
    assert strip_load_nasa(0.2268, 27_000, 0.25) == pytest.approx(1603, abs=0.6)
    area = shear_area_internal(0.25, 1 / 28, 0.2425, 0.2311)
    assert area == pytest.approx(0.1303, abs=0.00006)
    assert strip_load(area, 27_000) == pytest.approx(3519, abs=1.5)


def test_handbook_engagement_is_the_length_at_which_equal_materials_break_together():
    # FED-STD-H28/2: LE = 2 As / (...): with shear strength half the tensile strength both loads are equal.
    As = tensile_stress_area(8, 1.25)
    LE = engagement_handbook(As, 1.25, 6.912, 7.042)
    assert strip_load(shear_area_external(LE, 1.25, 6.912, 7.042), 400) == pytest.approx(break_load(As, 800), rel=1e-12)
    assert pytest.approx(2 * 36.609 / (97.290 / 8), rel=1e-4) == LE  # from the printed areas
    J = strength_ratio_J(97.290, 1040, 134.63, 310)
    assert engagement_handbook(As, 1.25, 6.912, 7.042, J=J) == pytest.approx(J * LE)
    assert engagement_handbook(As, 1.25, 6.912, 7.042, J=0.5) == LE


def test_common_practice_of_engagement_lengths():
    # Common practice, no source: one diameter in steel, one and a half to two in aluminium break the screw first.
    As, hole, screw = tensile_stress_area(6, 1.0), 12.191, 8.646
    steel = engagement_to_break_screw(
        As, 800, internal_per_mm=hole, tau_internal=0.6 * 500, external_per_mm=screw, tau_external=0.6 * 800
    )
    aluminium = engagement_to_break_screw(
        As, 800, internal_per_mm=hole, tau_internal=115, external_per_mm=screw, tau_external=0.6 * 800
    )
    assert 0.7 * 6 < steel < 1.0 * 6
    assert 1.5 * 6 < aluminium < 2.0 * 6
    assert math.isclose(aluminium, 800 * As / (115 * hole))
