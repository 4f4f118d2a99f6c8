"""What to buy and to cut: one line a screw, one line a cut, true to the question behind it."""

from pathlib import Path

import pytest

import fitcheck as fc
from fitcheck.mechanics import drill_oversize, protrusion
from fitcheck.mechanics.wall import standing_tip
from fitcheck.planning import ToCut, to_buy, to_do, to_tap
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


def test_a_screw_in_a_dimple_stands_out_by_so_much_less():
    """The line that buys it and the finding on it say the same height."""
    plain, spotted = bought(), bought(spotted="0.8 ± 0.1", blade_material="polycarbonate")
    assert tuple(spotted.out) == pytest.approx((plain.out.min - 0.9, plain.out.max - 0.7), abs=1e-6)


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


@pytest.mark.parametrize(
    ("more", "drill", "left_hand"),
    [
        ({}, 3.3, False),
        ({"hole": "M5x0.8-6H", "screw": "M5x0.8-6g"}, 4.2, False),
        ({"hole": "M3x0.5-6H-LH", "screw": "M3x0.5-6g-LH"}, 2.5, True),
        ({"tap_drill": "3.4 ± 0.02"}, 3.4, False),
    ],
)
def test_a_hole_is_drilled_a_pitch_less_and_its_thread_is_told_in_percent(more, drill, left_hand):
    asked = QUESTIONS["set_screw"].read({**SCREW, **more})
    holes = to_tap(asked)
    assert holes.drill == pytest.approx(drill)
    assert holes.thread.endswith("-LH") is left_hand
    least, most = holes.percent
    thread = asked.hole
    # As drill tables count it: 100 (d - hole) / 1.299 P, Machinery's Handbook, 31st ed., p. 2155, for the drill itself.
    if "tap_drill" not in more:
        assert most == pytest.approx(100 * (thread.nominal - drill) / (1.299038 * thread.pitch), abs=0.01)
    assert 40 < least < most < 80
    assert holes.turns == asked.threads_engaged.nominal


@pytest.mark.parametrize(("thread", "step"), [("M4x0.7", 0.05), ("M6x0.75", 0.05), ("M3x0.35", 0.05)])
def test_a_close_thread_gets_the_largest_drill_that_its_limits_take(thread, step):
    """A smaller drill than a pitch less is taken as long as the larger hole it cuts passes the limit of the thread."""
    asked = QUESTIONS["set_screw"].read({**SCREW, "hole": f"{thread}-4H", "screw": f"{thread}-6g"})
    minor, drill = asked.sizes["D1"], to_tap(asked).drill

    def largest(d):
        return d + float(drill_oversize(d)[1])

    assert drill >= minor.lower - 1e-9
    assert largest(drill) <= minor.upper or drill - step < minor.lower
    usual = asked.hole.nominal - asked.hole.pitch
    assert largest(drill + step) > minor.upper or drill + step > usual


def test_an_inch_hole_is_drilled_in_thousandths_and_a_worn_one_not_at_all():
    inches = {
        "hole": "#8-32 UNC-2B", "screw": "#8-32 UNC-2A", "outside": "1.181 ± 0.004 in", "bore": "1.000 ± 0.001 in",
        "blade": "0.984 ± 0.006 in", "screw_length": "0.156 ± 0.01 in", "pull": "5 lbf",
        "hand_torque": "2 ± 0.5 in·lbf",
    }  # fmt: skip
    assert "tap drill 0.132 in for" in str(to_tap(QUESTIONS["set_screw"].read({**SCREW, **inches})))
    worn = {"hole_minor": "3.45 measured ± 0.02", "hole_pitch": "3.70 measured ± 0.02"}
    assert to_tap(QUESTIONS["set_screw"].read({**SCREW, **worn})) is None


def test_a_cut_says_from_where_to_where():
    now, to = fc.dim("8 ± 0.1"), fc.dim("5.5 ± 0.05")
    assert str(ToCut("slug", now, to, "lathe")) == "Cut slug from 8 ± 0.1 mm to 5.5 ± 0.05 mm (lathe), 2.50 mm off."
    assert "too short to cut" in str(ToCut("slug", to, now))
    assert str(ToCut("slug", None, to, "saw")) == "Cut slug to 5.5 ± 0.05 mm (saw)."


def test_the_demo_has_its_screws_and_its_plug():
    screw, holes, plug = DEMO.to_do()
    assert screw.startswith("Buy 2 set screws (M4 in the socket wall): M4x0.7-6g")
    assert holes == (
        "Tap 2 holes (M4 in the socket wall): M4x0.7-6H, tap drill 3.30 mm for 64 to 77 % of thread; "
        "1.7 turns in a wall of 2.27 mm; countersink no deeper than 0.30 mm."
    )
    assert plug == "Cut the plug from 38 ± 0.5 mm to 23.1 ± 0.3 mm, 14.90 mm off."


def test_what_stays_as_it_is_is_not_cut():
    d = fc.dim("8 ± 0.1")
    assert to_do([], {"slug": d}, {"slug": d}) == []
    assert to_do([], {"slug": fc.dim("7 ± 0.1")}, {"slug": d}) == [
        "Cut slug from 8 ± 0.1 mm to 7 ± 0.1 mm, 1.00 mm off."
    ]
