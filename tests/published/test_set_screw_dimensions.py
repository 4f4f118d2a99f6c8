"""Dimensions of set screws against the published rows in `tests/reference/setscrews_*.csv`.

Sources: Machinery's Handbook, 31st ed. (ISO 4026 to 4029; ASME B18.3), a supplier's sheet of DIN EN ISO 4026, and
others named in the rows. Each cell the library hands out is compared with the row it was printed in.
"""

import csv
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


def test_metric_sizes_as_printed():
    checked = 0
    for row in _rows("setscrews_metric_detail.csv", "dimension"):
        if row["item"] in METRIC and row["thread"].startswith("M"):
            found = METRIC[row["item"]](set_screw(row["thread"]))
            assert found == pytest.approx(float(row["value"]), abs=1e-9), (row["thread"], row["item"])
            checked += 1
    assert checked == 13 * len(METRIC)


def test_metric_sizes_against_a_second_print():
    checked = 0
    for row in _rows("setscrews_metric_detail.csv", "dimension check"):
        if row["item"] == "t min (as printed, short)":
            assert set_screw(row["thread"]).key_depth[0] == float(row["value"]), row["thread"]
            checked += 1
    assert checked == 13


def test_usual_lengths_as_printed():
    points = {"ISO 4026 flat": "flat", "ISO 4027 cone": "cone", "ISO 4028 dog": "dog", "ISO 4029 cup": "cup"}
    checked = 0
    for row in _rows("setscrews_metric_detail.csv", "dimension"):
        if row["item"] == "popular length range":
            lengths = set_screw(row["thread"]).lengths(points[row["standard"]])
            assert f"{lengths[0]:g}-{lengths[-1]:g}" == row["value"], (row["thread"], row["standard"])
            checked += 1
    assert checked == 52


def test_inch_sizes_as_printed():
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
    assert set_screw("#8").lengths("cup")[:2] == pytest.approx((3 / 16 * 25.4, 6.35))
    assert len(set_screw_names()) == 30
    with pytest.raises(TableError, match=r"set screw '#9'.*one of M1.6, M2.*7/8 is needed"):
        set_screw("#9")
    with pytest.raises(InputError, match="point = 'oval'"):
        set_screw("M4").lengths("oval")
