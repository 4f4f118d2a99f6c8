"""Torque of keys and sockets against printed tables.

Sources: a key maker's technical page (rule and 55 values); ISO 898-5:2012, table 5 (proof
torques of class 45H), second print and a collar maker's seating torques, `tests/reference/setscrews_metric_detail.csv`.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from fitcheck.errors import InputError
from fitcheck.mechanics import (
    axial_load,
    hand_torque,
    key_test_torque,
    key_torque,
    key_yield_torque,
    material,
    point_radius,
    set_screw,
    set_screw_names,
    tensile_stress_area,
)

PSI = 4.4482216152605 / 25.4**2
LBF_IN = 4.4482216152605 * 25.4 / 1000
REFERENCE = Path(__file__).parent.parent / "reference" / "setscrews_metric_detail.csv"

# tensile strength, psi: torque in lb·in for keys of 0.078, 0.125, 0.156, 0.25, 0.312 in.
WIDTHS = (0.078, 0.125, 0.156, 0.25, 0.312)
PRINTED = {
    360_000: (34, 141, 273, 1125, 2187),
    340_000: (32, 133, 258, 1063, 2065),
    320_000: (30, 125, 243, 1000, 1944),
    300_000: (28, 117, 228, 938, 1822),
    280_000: (27, 109, 213, 875, 1701),
    260_000: (25, 102, 197, 813, 1579),
    240_000: (23, 94, 182, 750, 1458),
    220_000: (21, 86, 167, 688, 1336),
    200_000: (19, 78, 152, 625, 1215),
    180_000: (17, 70, 137, 563, 1093),
    160_000: (15, 63, 121, 500, 972),
}


@pytest.mark.parametrize("strength", PRINTED)
def test_key_torque_as_printed(strength, tally):
    for width, printed in zip(WIDTHS, PRINTED[strength], strict=True):
        # Cells are rounded or truncated to 1 lb·in, so half a unit either way is the print's own resolution.
        assert key_torque(25.4 * width, strength * PSI) / LBF_IN == pytest.approx(printed, abs=0.501)
    tally("a key maker, key torques", len(WIDTHS))


def test_key_rule_stands_for_a_shear_strength_of_two_thirds():
    # Sand-hill analogy: twice the volume under a roof of slope τ over the hexagon, √3/6 τ s³.
    plastic_over_tau = np.sqrt(3) / 6
    assert 0.2 / plastic_over_tau == pytest.approx(0.69, abs=0.005)


def test_key_yield_between_the_printed_sizes():
    assert key_yield_torque(2.0) == pytest.approx(2.4)
    printed = {0.711: 0.10, 0.889: 0.23, 1.27: 0.63, 1.5: 1.02}  # the maker's table, as printed
    assert {s: key_yield_torque(s) for s in printed} == pytest.approx(printed)
    assert 1.02 < key_yield_torque(1.5875) < 1.35
    assert key_yield_torque(8.0) == pytest.approx(158)
    for torque in (key_yield_torque, key_test_torque):
        with pytest.raises(InputError, match=r"s = 14 mm: a key from 0.711 to 12 mm"):
            torque(14.0)


def test_a_key_of_the_standard_bears_less_than_a_good_makers():
    """ISO 2936, test torques of keys, from memory: 0.23 to 0.25 s³ for every width, so no cell stands out."""
    remembered = {1.5: 0.82, 2: 1.9, 2.5: 3.8, 3: 6.6, 4: 16, 5: 30, 6: 52, 8: 120, 10: 220, 12: 370}
    for s, torque in remembered.items():
        assert key_test_torque(s) == pytest.approx(torque)
        assert 0.21 < torque / s**3 < 0.255
        assert 1.1 < key_yield_torque(s) / torque < 1.5
    # The smallest strength that a socket key of the standard can have, 44 HRC or about 1420 MPa, by the key maker's
    # rule: the test torque lies at 0.75 to 0.95 of what breaks it.
    assert all(0.7 < torque / key_torque(s, 1420) < 0.95 for s, torque in remembered.items())


def _detail(record: str, item: str) -> dict[str, float]:
    with REFERENCE.open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["record"] == record and row["item"] == item]
    return {row["thread"]: float(row["value"]) for row in rows}


def test_proof_torques_are_those_of_iso_898_5(tally):
    printed = _detail("45H torque test", "proof torque")
    assert len(printed) == 10
    tally("ISO 898-5, proof torques", len(printed))
    for name, torque in printed.items():
        assert set_screw(name).proof_torque == torque
    for name, torque in _detail("45H torque test (second print)", "proof torque 45H").items():
        if name in set_screw_names():  # M14 and M18 are not in ISO 4026
            assert set_screw(name).proof_torque == torque


def test_proof_torque_over_the_key_rule_for_each_size():
    # The proof torque grows with s³: it is the socket that is proved, not the thread. With the strength of class 45H
    # the rule gives it within 10 %, but for M3, whose proof torque is lower than its socket would bear.
    strength = material("45H").get("tensile").value
    ratios = {}
    for name in set_screw_names():
        screw = set_screw(name)
        if screw.proof_torque is not None:
            ratios[name] = key_torque(screw.socket, strength) / screw.proof_torque
    print("\nkey rule at 1455 MPa over proof torque")
    print("\n".join(f"{name:>5} {ratio:.2f}" for name, ratio in ratios.items()))
    assert all(0.9 < ratio < 1.0 for name, ratio in ratios.items() if name != "M3")
    assert ratios["M3"] == pytest.approx(1.0913, abs=0.001)


def test_seating_torques_are_a_little_under_the_proof_torque():
    seating = _detail("seating torque", "recommended seating torque, alloy steel")
    assert len(seating) == 8
    for name, torque in seating.items():
        screw = set_screw(name)
        assert screw.seating_torque == torque
        if name == "M3":  # known difference: the collar maker prints 0.92 over a proof torque of 0.9
            assert torque > screw.proof_torque
        elif screw.proof_torque is not None:
            assert 0.8 <= torque / screw.proof_torque <= 0.9


def test_seating_torque_strains_a_steel_screw_evenly_over_the_sizes():
    # At the seating torque (friction 0.15, cup) the axial stress is 350 to 600 MPa for every size: a quarter to two
    # fifths of the strength of class 45H. The hole, not the screw, is the weak part.
    for name, P in (("M3", 0.5), ("M4", 0.7), ("M5", 0.8), ("M6", 1.0), ("M8", 1.25), ("M10", 1.5)):
        screw = set_screw(name)
        rim = point_radius("cup", np.mean(screw.points["cup"]))
        load = axial_load(screw.seating_torque, P, screw.d - 0.649519 * P, 0.15, 0.15, rim)
        stress = load / tensile_stress_area(screw.d, P)
        assert 350 < stress < 600, name


def test_common_practice_key_and_hand():
    # Common practice, no source: the full pull on a 2 mm key passes what the key and an M4 socket bear; fingers do not.
    assert hand_torque("full pull").high > key_yield_torque(2.0)
    assert hand_torque("fingers").high < 0.5 * set_screw("M4").proof_torque
