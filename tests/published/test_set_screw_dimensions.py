"""Dimensions of set screws against the published rows in `tests/reference/setscrews_*.csv`.

Sources: Machinery's Handbook, 31st ed. (ISO 4026 to 4029; ASME B18.3), a supplier's sheet of DIN EN ISO 4026, and
others named in the rows. Each cell the library hands out is compared with the row it was printed in.
"""

import csv
import math
from fractions import Fraction
from pathlib import Path

import pytest

from fitcheck.errors import InputError, TableError
from fitcheck.mechanics import length_tolerance, point_length, set_screw, set_screw_names, standard_lengths

FOLDER = Path(__file__).parent.parent / "reference"

METRIC = {
    "s hex socket width nominal": lambda screw: screw.socket,
    "s min": lambda screw: screw.socket_limits[0],
    "s max": lambda screw: screw.socket_limits[1],
    "t min, short screws": lambda screw: screw.key_depth[0],
    "t min, long screws": lambda screw: screw.key_depth[1],
    "dp (dz) max flat point": lambda screw: screw.points["flat"][1],
    "dp min flat / dog point": lambda screw: screw.points["flat"][0],
    "dt max cone point flat": lambda screw: screw.points["cone"][1],
    "dv (dz) max cup point": lambda screw: screw.points["cup"][1],
    "dv min cup point": lambda screw: screw.points["cup"][0],
    "dp max dog point": lambda screw: screw.points["dog"][1],
    "z short dog min": lambda screw: screw.dog_length[0],
    "z short dog max": lambda screw: screw.dog_length[1],
}
INCH = {
    "D basic major diameter": lambda screw: screw.d,
    "J hex socket size nominal": lambda screw: screw.socket,
    "T_H minimum key engagement hex": lambda screw: screw.key_depth[0],
    "cup and flat point diameter max": lambda screw: screw.points["cup"][1],
    "cup and flat point diameter min": lambda screw: screw.points["cup"][0],
    "P half dog diameter max": lambda screw: screw.points["dog"][1],
    "P half dog diameter min": lambda screw: screw.points["dog"][0],
    "Q half dog length max": lambda screw: screw.dog_length[1],
    "Q half dog length min": lambda screw: screw.dog_length[0],
}


def _rows(name: str, record: str) -> list[dict[str, str]]:
    with (FOLDER / name).open(encoding="utf-8") as file:
        return [row for row in csv.DictReader(file) if row["record"] == record]


def test_metric_sizes_as_printed(tally):
    checked = 0
    for row in _rows("setscrews_metric_detail.csv", "dimension"):
        if row["item"] in METRIC and row["thread"].startswith("M"):
            found = METRIC[row["item"]](set_screw(row["thread"]))
            assert found == pytest.approx(float(row["value"]), abs=1e-9), (row["thread"], row["item"])
            checked += 1
    assert checked == 13 * len(METRIC)
    tally("ISO 4026 to 4029, set screws", checked)


def test_metric_sizes_against_a_second_print(tally):
    checked = 0
    for row in _rows("setscrews_metric_detail.csv", "dimension check"):
        if row["item"] == "t min (as printed, short)":
            assert set_screw(row["thread"]).key_depth[0] == float(row["value"]), row["thread"]
            checked += 1
    assert checked == 13
    tally("ISO 4026 to 4029, set screws", checked)


def test_usual_lengths_as_printed(tally):
    points = {"ISO 4026 flat": "flat", "ISO 4027 cone": "cone", "ISO 4028 dog": "dog", "ISO 4029 cup": "cup"}
    checked = 0
    for row in _rows("setscrews_metric_detail.csv", "dimension"):
        if row["item"] == "popular length range":
            lengths = set_screw(row["thread"]).lengths(points[row["standard"]])
            assert f"{lengths[0]:g}-{lengths[-1]:g}" == row["value"], (row["thread"], row["standard"])
            checked += 1
    assert checked == 52
    tally("ISO 4026 to 4029, set screws", checked)


def test_inch_sizes_as_printed(tally):
    checked = 0
    seen = set()
    for row in _rows("setscrews_inch.csv", "dimension"):
        if row["item"] not in INCH or (row["size"], row["item"]) in seen:
            continue  # the rows of 1 in follow under the name "1", which #1 has taken; 1 in is not in the table
        seen.add((row["size"], row["item"]))
        name = f"#{row['size']}" if row["size"].isdigit() else row["size"]
        found = INCH[row["item"]](set_screw(name)) / 25.4
        assert found == pytest.approx(float(Fraction(row["value"])), abs=1e-7), (name, row["item"])
        checked += 1
    assert checked == 17 * 9
    tally("ASME B18.3, set screws", checked)


def test_length_tolerances():
    # Inch: +/-0.01 in up to 0.63 in, +/-0.02 to 2 in, as printed in rows "length tolerance". Metric: js15 of ISO 286-1.
    printed = {row["item"]: row["value"] for row in _rows("setscrews_inch.csv", "length tolerance")}
    assert printed["up to 0.63"] == "+/-0.01"
    assert printed["over 0.63 to 2"] == "+/-0.02"
    assert [length_tolerance(25.4 * length, "inch") / 25.4 for length in (0.125, 0.625, 0.75, 2.0)] == pytest.approx(
        [0.01, 0.01, 0.02, 0.02]
    )
    # Half of IT15, mm, for the ranges up to 3, 6, 10, 18, 30, 50, 80 mm (ISO 286-1, table 1).
    it15 = {3: 0.40, 6: 0.48, 10: 0.58, 18: 0.70, 30: 0.84, 50: 1.00, 80: 1.20}
    for length in standard_lengths("metric"):
        zone = next(zone for upto, zone in it15.items() if length <= upto)
        assert length_tolerance(length, "metric") == pytest.approx(zone / 2), length
    with pytest.raises(InputError, match="length = 80 mm"):
        length_tolerance(80, "metric")


def test_points_and_their_length():
    # A 45° chamfer from 4 to 2 mm is 1 mm long; a 90° cone of M4 down to a sharp tip 2 mm; a dog adds its length.
    assert point_length("cup", 4.0, 2.0) == pytest.approx(1.0)
    assert point_length("cone", 4.0, 0.0) == pytest.approx(2.0)
    assert point_length("dog", 4.0, 2.5, dog_length=1.0) == pytest.approx(1.75)
    assert set_screw("M4").depth(3.0) == 1.5
    assert set_screw("M4").depth(6.0) == 2.5
    with pytest.raises(InputError, match="tip = 5 mm"):
        point_length("flat", 4.0, 5.0)


def test_lengths_and_names():
    assert standard_lengths("metric")[:6] == (2, 2.5, 3, 4, 5, 6)
    assert set_screw("M4").lengths("cup")[:4] == (3, 4, 5, 6)
    assert len(set_screw_names()) == 30
    with pytest.raises(TableError, match=r"set screw '#9'.*one of M1.6, M2.*7/8 is needed"):
        set_screw("#9")
    for refused in (set_screw("M4").lengths, lambda point: set_screw("M4").depth(4.0, point)):
        with pytest.raises(InputError, match="point = 'oval'"):
            refused("oval")


# "Shortest Optimum Nominal Length to Which TH Applies, B": cup and flat, 90° cone and oval, half dog, in, as printed in
# a copy of ASME B18.3 (boltport.com); .13, .19 and .31 are 1/8, 3/16 and 5/16 rounded.
OPTIMUM = {
    "#0": (0.13, 0.13, 0.13),
    "#1": (0.13, 0.19, 0.13),
    "#2": (0.13, 0.19, 0.19),
    "#3": (0.19, 0.19, 0.19),
    "#4": (0.19, 0.19, 0.19),
    "#5": (0.19, 0.19, 0.19),
    "#6": (0.19, 0.25, 0.19),
    "#8": (0.19, 0.25, 0.19),
    "#10": (0.19, 0.25, 0.25),
    "1/4": (0.25, 0.31, 0.31),
}


def _to_two(value: float) -> float:
    """Rounded as these tables round: 0.125 to 0.13, 0.3125 to 0.31."""
    return math.floor(value * 100 + 0.5) / 100


@pytest.mark.parametrize("size", OPTIMUM)
def test_shortest_lengths_with_a_full_socket(size):
    screw = set_screw(size)
    for point, printed in zip(("cup", "cone", "dog"), OPTIMUM[size], strict=True):
        full = screw.length_range[point][0]
        assert _to_two(full / 25.4) == printed
        assert screw.depth(full, point) == screw.key_depth[1]
        assert screw.length_range["flat"] == screw.length_range["cup"]


def test_a_full_socket_needs_no_more_length_than_bs_2470_asks():
    """BS 2470, dog point. ASME B18.3 asks more of four small sizes and 1/8 in more of 5/8, 3/4: the longer is kept."""
    longer = {"#0", "#1", "#2", "#3", "#4", "5/8", "3/4"}
    checked = set()
    for row in _rows("setscrews_inch.csv", "minimum length"):
        name = f"#{row['size']}" if row["size"].isdigit() else row["size"]
        if not row["item"].startswith("shortest nominal length") or name in checked:
            continue  # 1 in follows under the name "1"
        checked.add(name)
        full = set_screw(name).length_range["dog"][0] / 25.4
        assert (full > float(Fraction(row["value"])) + 1e-9) is (name in longer), name
    assert len(checked) == 17


# Table 5B of a maker's copy of ASME B18.3-2003: size, length, key engagement of cup and flat, in.
SHALLOW = [
    ("#0", 0.09, 0.040),
    ("#1", 0.09, 0.040),
    ("#3", 0.13, 0.055),
    ("#4", 0.13, 0.060),
    ("1/4", 0.19, 0.090),
    ("3/8", 0.25, 0.110),
    ("1/2", 0.38, 0.175),
    ("5/8", 0.50, 0.205),
]


@pytest.mark.parametrize(("size", "length", "engagement"), SHALLOW)
def test_short_screws_have_a_shallow_socket(size, length, engagement):
    screw = set_screw(size)
    (own,) = (one for one in screw.lengths("cup") if _to_two(one / 25.4) == length)
    assert screw.depth(own) / 25.4 == pytest.approx(engagement)
    assert screw.depth(own, "flat") == screw.depth(own)
    assert screw.depth(own + 0.1) == screw.depth(own)
    assert own not in screw.lengths("dog")
    assert screw.depth(own, "dog") is None


def test_the_short_screws_a_thin_wall_needs_are_offered():
    assert [length / 25.4 for length in set_screw("1/4").lengths("cup")[:3]] == pytest.approx([3 / 16, 1 / 4, 5 / 16])
    assert set_screw("#8").lengths("cup")[:2] == pytest.approx((3.175, 5 / 32 * 25.4))
    assert set_screw("#8").depth(3.175) is None
    assert set_screw("#8").lengths("cone")[0] == pytest.approx(6.35)
    assert set_screw("M4").points["cone"][0] == 0.0  # ISO 4027 lets a cone end in a point
    for name in set_screw_names():
        for point in ("cup", "cone", "flat", "dog"):
            lengths = set_screw(name).lengths(point)
            assert list(lengths) == sorted(set(lengths)), (name, point)


def test_the_proof_torque_is_tested_on_longer_screws():
    printed = {
        (row["thread"], row["item"].removeprefix("minimum test length, ").removesuffix(" point")): float(row["value"])
        for row in _rows("setscrews_metric_detail.csv", "45H torque test")
        if row["item"].startswith("minimum test length")
    }
    assert len(printed) == 36
    for (thread, point), length in printed.items():
        assert set_screw(thread).tested_lengths[point] == length
    assert set_screw("#8").tested_lengths == {}
