"""What to buy and to cut: one line a screw, one line a cut, true to the question behind it."""

from pathlib import Path

import pytest

import fitcheck as fc
from fitcheck.mechanics import protrusion
from fitcheck.mechanics.wall import standing_tip
from fitcheck.planning import ToCut, to_buy, to_do
from fitcheck.questions import QUESTIONS

DEMO = fc.load(Path(__file__).parents[2] / "notebooks" / "wand.toml")
SCREW = {
    "hole": "M4x0.7-6H", "screw": "M4x0.7-6g", "outside": "30.0 ± 0.1", "bore": "25.4 ± 0.03", "blade": "25.0 ± 0.15",
    "screw_length": "4.0 ± 0.24", "wall_material": "6061-T6", "screw_material": "45H", "friction_thread": "0.15 ± 0.05",
    "friction_point": "0.30 ± 0.10", "friction_bore": "0.30 ± 0.10", "hand_torque": "0.3 ± 0.1 N·m", "pull": "20 N",
}  # fmt: skip


def bought(**more):
    return to_buy(QUESTIONS["set_screw"].read({**SCREW, **more}))


def test_a_screw_is_one_line():
    one = bought(screws=3)
    line = str(one)
    assert "\n" not in line
    assert line.startswith("Buy 3 set screws: M4x0.7-6g, cup point, 4.0 mm long, key 2.0 mm; a standard size; ")
    assert f"turned with no more than {one.set_to}." in line
    assert float(one.set_to.split()[0]) <= one.torque


def test_it_stands_out_as_far_as_the_corners_of_its_sizes_say():
    one = bought()
    ends = [
        float(protrusion(standing_tip(blade, bore), length, outside))
        for blade in (24.85, 25.15) for bore in (25.37, 25.43) for length in (3.76, 4.24) for outside in (29.9, 30.1)
    ]  # fmt: skip
    assert tuple(one.out) == pytest.approx((min(ends), max(ends)), abs=1e-6)
    assert "standing out by 1" in str(one) or "standing out by 0" in str(one)
    assert "sunk by" in str(bought(screw_length="2.0 ± 0.1", outside="31 ± 0.1"))


@pytest.mark.parametrize(
    ("more", "standard"),
    [
        ({}, True),
        ({"hole": "M4x0.5-6H", "screw": "M4x0.5-6g"}, False),  # set screws come in the coarse pitch
        ({"screw_length": "4.3 ± 0.2"}, False),
        ({"hole": "M4x0.7-6H-LH", "screw": "M4x0.7-6g-LH"}, False),
        ({"hole": "#8-36 UNF-2B", "screw": "#8-36 UNF-2A", "screw_length": "4.7625 ± 0.25"}, True),
    ],
)
def test_what_a_standard_has_is_said(more, standard):
    one = bought(**more)
    assert one.standard is standard
    assert ("a standard size" in str(one)) is standard


def test_a_cut_says_from_where_to_where():
    now, to = fc.dim("8 ± 0.1"), fc.dim("5.5 ± 0.05")
    assert str(ToCut("slug", now, to, "lathe")) == "Cut slug from 8 ± 0.1 mm to 5.5 ± 0.05 mm (lathe), 2.50 mm off."
    assert "too short to cut" in str(ToCut("slug", to, now))


def test_the_demo_has_its_screws_and_its_plug():
    screw, plug = DEMO.to_do()
    assert screw.startswith("Buy 2 set screws (M4 in the socket wall): M4x0.7-6g")
    assert plug == "Cut the plug from 38 ± 0.5 mm to 23.1 ± 0.3 mm, 14.90 mm off."


def test_what_stays_as_it_is_is_not_cut():
    d = fc.dim("8 ± 0.1")
    assert to_do([], {"slug": d}, {"slug": d}) == []
    assert to_do([], {"slug": fc.dim("7 ± 0.1")}, {"slug": d}) == [
        "Cut slug from 8 ± 0.1 mm to 7 ± 0.1 mm, 1.00 mm off."
    ]
