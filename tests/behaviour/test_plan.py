"""The plan of a build, against enumeration: none that fails when asked again, none missed that a fine grid finds."""

import itertools
import re

import numpy as np
import pytest
from plan_inputs import BLADE, sheet_of

import fitcheck as fc
from fitcheck.errors import InputError, SheetError
from fitcheck.planning import OpenSize, Variant, plan_for
from fitcheck.planning.bounds import Bound
from fitcheck.planning.most_room import contradiction, most_room, relaxed_by
from fitcheck.questions import BladeDepth, Verdict
from fitcheck.stack.synthesis import scaled

GRID = 0.05


def random_build(seed):
    """A build of sums with three open sizes, and its requirements as a NumPy function of them, worst case."""
    g = np.random.default_rng(seed)
    names = ("socket", "lens", "module", "screw", "floor", "carrier", "port", "travel", "seat")
    t = dict(zip(names, g.uniform(0.05, 0.3, 9).round(2).tolist(), strict=True))
    socket, module, screw = g.uniform(60, 66), g.uniform(13, 16), g.uniform(33, 38)
    floor, port, travel = g.uniform(115, 120), g.uniform(8, 10), g.uniform(3, 5)
    seat = travel + g.uniform(1.5, 5)
    size = {"socket": socket, "module": module, "screw": screw, "floor": floor, "port": port, "travel": travel,
            "seat": seat, "lens": 3.0}  # fmt: skip
    size = {key: round(float(value), 2) for key, value in size.items()}
    slug, plug, carrier = ((lo, round(lo + w, 2)) for lo, w in ((5.0, g.uniform(0.5, 3)), (20.0, 4.0), (90.0, 3.0)))
    at_least, at_most = round(float(g.uniform(36, 40)), 2), round(float(g.uniform(40, 44)), 2)
    cover, end = round(float(g.uniform(0.5, 3)), 2), round(float(g.uniform(0.2, 1.5)), 2)
    at_most = max(at_least, at_most)
    cut = {"slug": 0.1, "plug": 0.2, "carrier": 0.15}
    parts = "\n".join(f'{key} = "{size[key]} ± {t[key]}"' for key in size)
    text = f"""sheet = 1
[workshop]
saw = "± {cut["plug"]}"
lathe = "± {cut["slug"]}"
mill = "± {cut["carrier"]}"
cut_with = {{ slug = "lathe", plug = "saw", carrier = "mill" }}
[open]
slug = "{slug[0]} .. {slug[1]}"
plug = "{plug[0]} .. {plug[1]}"
carrier = "{carrier[0]} .. {carrier[1]}"
[parts]
{parts}
[blade_depth]
adds = ["socket"]
takes = ["lens", "module", "slug"]
at_least = "{at_least} mm"
at_most = "{at_most} mm"
screws = ["screw"]
cover = "{cover} mm"
[port_clearance]
bore = "32 ± 0.1"
cell = "18.4 ± 0.1"
cell_bore = "19 ± 0.1"
adds = ["floor"]
takes = ["carrier", "port", "plug_out"]
end_gap = "{end} mm"
[plug_length]
travel = "travel"
seat = "seat"
adds = ["floor"]
takes = ["carrier", "port"]
length = "plug"
"""
    text = text.replace("[parts]\n", '[parts]\nplug_out = "14.1 ± 0.2"\n')

    def all_hold(s, p, c, eps=0.0):
        depth = size["socket"] - size["lens"] - size["module"] - s
        t_depth = t["socket"] + t["lens"] + t["module"] + cut["slug"]
        room, t_room = size["floor"] - c - size["port"], t["floor"] + t["port"] + cut["carrier"]
        margins = [
            depth - t_depth - at_least,
            at_most - depth - t_depth,
            depth - size["screw"] - t_depth - t["screw"] - cover,
            room - 14.1 - t_room - 0.2 - end,
            p - room - size["travel"] - cut["plug"] - t_room - t["travel"] - 0.3,
            room + size["seat"] - p - cut["plug"] - t_room - t["seat"] - 0.1,
        ]
        return np.min(np.broadcast_arrays(*margins), axis=0) >= -eps

    grid = [np.arange(low, high + 1e-9, GRID) for low, high in (slug, plug, carrier)]
    return text, all_hold, np.meshgrid(*grid, indexing="ij")


def number(note):
    return float(re.match(r"[-\d.]+", note)[0])


@pytest.mark.parametrize(
    "part", [pytest.param(part, marks=[pytest.mark.long] if part > 0 else []) for part in range(8)]
)
def test_no_plan_fails_and_none_is_missed_that_a_fine_grid_finds(part, tmp_path):
    found = {True: 0, False: 0}
    for seed in range(25 * part, 25 * part + 25):
        text, all_hold, grid = random_build(seed)
        sheet = tmp_path / "s.toml"
        sheet.write_text(text, encoding="utf-8")
        plan = fc.plan(sheet)
        possible = bool(all_hold(*grid).any())
        holds = plan.works and plan.verdict is Verdict.HOLDS
        if holds:
            assert all_hold(*(number(plan.values[name]) for name in ("slug", "plug", "carrier")), eps=1e-9), seed
        else:
            assert not possible, seed
        found[holds] += 1
    assert found[True] > 2
    assert found[False] > 2


def test_the_size_lies_in_the_middle_of_what_holds_on_a_mark_of_a_ruler(tmp_path):
    plan = fc.plan(sheet_of(tmp_path, BLADE + 'at_least = "39 mm"\nat_most = "42 mm"\n'))
    assert plan.values == {"slug": "6 ± 0.1 mm"}  # 46.5 - slug between 39.6 and 41.4: 5.1 to 6.9
    assert plan.works
    assert [f.verdict for f in plan.findings] == [Verdict.HOLDS]
    assert str(plan).splitlines()[-2:] == [
        "Least room is left by blade depth: depth of the blade: 0.90 mm more.",
        "Cut slug from 8 ± 0.1 mm to 6 ± 0.1 mm, 2.00 mm off.",
    ]


def test_a_narrow_window_takes_a_finer_mark(tmp_path):
    plan = fc.plan(sheet_of(tmp_path, BLADE + 'at_least = "39.43 mm"\nat_most = "40.69 mm"\n'))
    assert plan.values == {"slug": "6.44 ± 0.1 mm"}


def test_where_nothing_holds_the_sizes_are_likely_to_work(tmp_path):
    plan = fc.plan(sheet_of(tmp_path, BLADE + 'at_least = "39.5 mm"\nat_most = "40.6 mm"\n'))
    assert plan.works
    assert plan.verdict is Verdict.LIKELY
    assert "1 likely" in str(plan)


def test_requirements_that_contradict_each_other_are_named_with_what_relaxing_each_costs(tmp_path):
    text = BLADE.replace("[open]", 'screw = "38 ± 0.2"\nspare = "10 ± 0.1"\n[open]')
    text += 'at_least = "30 mm"\nat_most = "41 mm"\nscrews = ["screw"]\ncover = "2 mm"\n'
    text += '[plug_length]\nadds = ["spare"]\ntravel = "4 ± 0.1"\nseat = "9 ± 0.1"\n'
    plan = fc.plan(sheet_of(tmp_path, text))
    assert not plan.works
    assert [c.finding.quantity for c in plan.conflicts] == [
        "depth of the blade",
        "blade beyond the axis of the set screw",
    ]
    for conflict in plan.conflicts:
        relaxed = conflict.relax
        assert relaxed > 0
    # Relaxed by as much, rounded to the safe side, it can be met.
    cover = 2 - plan.conflicts[1].relax - 0.005
    assert fc.plan(sheet_of(tmp_path, text.replace('cover = "2 mm"', f'cover = "{cover:.3f} mm"'))).works
    cover = 2 - plan.conflicts[1].relax + 0.02
    assert not fc.plan(sheet_of(tmp_path, text.replace('cover = "2 mm"', f'cover = "{cover:.3f} mm"'))).works


def test_where_two_pairs_contradict_each_other_relaxing_one_is_not_enough(tmp_path):
    text = '[parts]\nslug = "8.0 ± 0.1"\nlens = "3.0 ± 0.1"\n[open]\nslug = "5.0 .. 8.0"\nlens = "2.0 .. 5.0"\n'
    for part, size in (("slug", 6), ("lens", 3)):
        for limit in (f'at_most = "{57.5 - size + 6} mm"', f'at_least = "{58.5 - size + 6} mm"'):
            text += f'[[blade_depth]]\nadds = ["64.0 ± 0.2"]\ntakes = ["{part}"]\n{limit}\n'
    plan = fc.plan(sheet_of(tmp_path, text))
    assert [one.relax for one in plan.conflicts] == [None, None]
    first, *ways = str(plan).splitlines()
    assert first.startswith("No plan: these requirements contradict each other (nearest: slug = ")
    assert all(way.endswith("; relaxing it alone is not enough") for way in ways[:2])
    # As it says: without both of the slug the other pair still stands in the way.
    head, *asked = text.split("[[blade_depth]]")
    left = fc.plan(sheet_of(tmp_path, "[[blade_depth]]".join([head, *asked[2:]])))
    assert [one.relax is None for one in left.conflicts] == [False, False]


def test_what_cannot_be_met_alone_is_not_mended_by_relaxing_it_where_others_contradict_each_other(tmp_path):
    text = '[parts]\nslug = "8.0 ± 0.1"\nlens = "3.0 ± 0.1"\n[open]\nslug = "5.0 .. 8.0"\nlens = "2.0 .. 5.0"\n'
    limits = ("slug", 'at_most = "57.5 mm"'), ("slug", 'at_least = "58.5 mm"')
    for part, limit in (*limits, ("lens", 'at_least = "60.0 mm"\nat_most = "60.1 mm"')):
        text += f'[[blade_depth]]\nadds = ["64.0 ± 0.2"]\ntakes = ["{part}"]\n{limit}\n'
    (alone,) = fc.plan(sheet_of(tmp_path, text)).conflicts
    assert alone.alone
    assert alone.finding.requirement.at_most == 60.1
    assert str(alone).endswith("; relaxing it alone is not enough")
    # As it says: with limits that the lens can keep, the two of the slug still stand in the way.
    left = fc.plan(sheet_of(tmp_path, text.replace("60.1", "62.0")))
    assert [one.finding.requirement.at_most for one in left.conflicts] == [57.5, None]


def test_what_is_likely_and_not_open_stands_in_nothings_way(tmp_path):
    text = BLADE + 'at_least = "39 mm"\nat_most = "42 mm"\n'
    text += '[port_clearance]\nbore = "32.0 +0.1/-0.0"\nchassis = "31.5 ± 0.1"\nwidth = "14.0 ± 0.2"\n'
    plan = fc.plan(sheet_of(tmp_path, text + 'reach = "13.2 ± 0.2"\ngap = "0.55 mm"\n'))
    assert plan.values == {"slug": "6 ± 0.1 mm"}
    assert [str(f.verdict) for f in plan.findings] == ["holds", "holds", "likely"]
    # What fails and is not open is named as such, with what relaxing it costs; the rest is no part of it.
    plan = fc.plan(sheet_of(tmp_path, text + 'reach = "13.2 ± 0.2"\ngap = "0.7 mm"\n'))
    (conflict,) = plan.conflicts
    assert conflict.alone
    assert conflict.finding.quantity.startswith("gap between the corner")
    relaxed = 0.7 - conflict.relax - 0.005
    assert fc.plan(sheet_of(tmp_path, text + f'reach = "13.2 ± 0.2"\ngap = "{relaxed:.3f} mm"\n')).works


def test_a_list_is_tried_one_by_one_and_a_bought_part_is_one(tmp_path):
    text = BLADE.replace('slug = "5.0 .. 8.0"', 'slug = ["5.0 ± 0.1", "6.2 ± 0.1", "7.5 ± 0.1"]')
    plan = fc.plan(sheet_of(tmp_path, text + 'at_least = "39 mm"\nat_most = "42 mm"\n'))
    assert plan.values == {"slug": "6.2 ± 0.1"}
    assert plan.tried == 3


def test_of_two_lists_every_pair_is_tried(tmp_path):
    both = 'slug = ["5.0 ± 0.1", "6.2 ± 0.1"]\nat_most = ["40 mm", "42 mm"]'
    plan = fc.plan(sheet_of(tmp_path, BLADE.replace('slug = "5.0 .. 8.0"', both) + 'at_least = "39 mm"\n'))
    assert plan.tried == 4
    assert plan.values == {"slug": "6.2 ± 0.1", "at_most": "42 mm"}  # 40.3 ± 0.6 deep; with 40 mm neither holds
    assert plan.verdict is Verdict.HOLDS


def test_a_function_is_followed_to_where_it_holds(tmp_path):
    text = """[workshop]
printer = "± 0.1"
cut_with = { reach = "printer", chassis = "printer" }
[open]
reach = "10 .. 14"
chassis = "30.5 .. 32"
[port_clearance]
bore = "32.0 +0.1/-0.0"
chassis = "chassis"
width = "14.0 ± 0.2"
reach = "reach"
gap = "0.55 mm"
"""
    plan = fc.plan(sheet_of(tmp_path, text))
    assert plan.works
    assert plan.verdict is Verdict.HOLDS


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (('slug = "5.0 .. 8.0"', 'slog = "5.0 .. 8.0"'), "slog: a tolerance is needed"),
        (('slug = "5.0 .. 8.0"', 'slug = "6.0"'), "a range such as '5.0 .. 8.0'"),
        (('slug = "5.0 .. 8.0"', 'slug = ["6.0"]'), "a list of at least two"),
        (('slug = "5.0 .. 8.0"', 'slug = "five to eight"'), "line 7: [open]: slug = 'five to eight' cannot be read"),
        (
            ('slug = "5.0 .. 8.0"', 'slog = ["6.0 ± 0.1", "7.0 ± 0.1"]'),
            "slog: neither a part nor an input of a question of this sheet (did you mean 'slug'?)",
        ),
        (
            ('slug = "5.0 .. 8.0"', f"slug = {[f'{5 + i / 200:.3f}' for i in range(501)]}"),
            "s.toml: [open]: 501 ways to choose: at most 500 are tried",
        ),
        (
            ('slug = "5.0 .. 8.0"', 'cover = "1.0 .. 3.0"'),
            "cover: is no size with a tolerance in blade depth: give a list to choose from",
        ),
        (('slug = "5.0 .. 8.0"', 'slug = "5 .. 8 N"'), "a length is needed"),
        (('slug = "8.0 ± 0.1"', 'slug = "8.0 measured ± 0.02"'), "was measured"),
        (('[open]\nslug = "5.0 .. 8.0"', ""), "a table [open] is needed, with a line such as slug = '6.0 .. 10.0 mm'"),
    ],
)
def test_what_is_open_and_makes_no_sense_is_refused(tmp_path, change, said):
    sheet = sheet_of(tmp_path, BLADE.replace(*change) + 'at_least = "39 mm"\n')
    with pytest.raises(SheetError) as error:
        fc.plan(sheet)
    assert said in str(error.value)


def test_a_part_without_a_size_is_answered_by_the_plan_alone(tmp_path):
    text = BLADE.replace('slug = "8.0 ± 0.1"\n', "") + 'at_least = "39 mm"\n[workshop]\nsaw = "± 0.2"\n'
    sheet = sheet_of(tmp_path, text + 'cut_with = { slug = "saw" }\n')
    assert fc.plan(sheet).works
    with pytest.raises(SheetError, match="slug is open and has no size yet"):
        fc.load(sheet).findings()


def test_a_torque_keeps_its_scatter_in_proportion_rounded_to_the_safe_side():
    size = OpenSize("hand_torque", fc.dim("1.8 ± 0.8 N·m", name="hand_torque"), 0.1, 1.5)
    assert size.note(0.1) == "0.1 ± 0.0445 N·m"
    assert size.at(0.1).upper == pytest.approx(0.1445)
    # a side without a tolerance keeps none
    size = OpenSize("hand_torque", fc.dim("0.4 +0.1/-0 N·m", name="hand_torque"), 0.1, 1.5)
    assert (size.at(0.8).lower, size.at(0.8).upper) == pytest.approx((0.8, 1.0))


@pytest.mark.parametrize("part", [0.001, 0.01, 0.1, 0.3])
@pytest.mark.parametrize("most", [5.04, 5.5, 8.0, 40.0])
def test_a_size_is_moved_by_a_mark_no_less_than_is_asked_and_stays_within_a_quarter_of_its_range(part, most):
    size = OpenSize("slug", fc.dim("5 ± 0.1", name="slug"), 5.0, most)
    step = size.step(part)
    assert step >= part * (most - 5.0)
    if step > part * (most - 5.0):
        assert step <= (most - 5.0) / 4
        assert step in (0.5, 0.1, 0.05, 0.01, 0.005, 0.001)


def test_the_smallest_contradiction_is_found():
    def bound(rates, least, most=np.inf):
        return [Bound(np.array(rates, dtype=float), least, most, 1.0)]

    # x <= 1, y <= 1, x + y >= 2.5, and a bound of no consequence.
    groups = [bound([-1, 0], -1), bound([0, 1], -np.inf, 1), bound([1, 1], 2.5), bound([1, -1], -5)]
    box = [(0.0, 3.0), (0.0, 3.0)]
    assert contradiction(groups, box) == (0, 1, 2)
    assert [relaxed_by(groups, i, box) for i in (0, 1, 2)] == pytest.approx([0.5, 0.5, 0.5])
    assert contradiction(groups[:2] + groups[3:], box) == ()
    for drop in itertools.combinations(groups[:3], 2):
        assert most_room([b for group in drop for b in group], box).least >= 0


def test_the_room_is_shared_and_what_is_left_goes_to_the_others():
    # 0 <= x <= 2 leaves 1 each; 3 y >= 0 then gets all that the box has.
    bounds = [Bound(np.array([1.0, 0.0]), 0.0, 2.0, 1.0), Bound(np.array([0.0, 1.0]), 0.0, np.inf, 1.0)]
    room = most_room(bounds, [(-5.0, 5.0), (-5.0, 5.0)])
    assert room.least == pytest.approx(1.0)
    assert room.x == pytest.approx([1.0, 5.0])


INCH = """[parts]
socket = "2.500 ± 0.008 in"
module = "0.690 ± 0.012 in"
[workshop]
lathe = "± 0.002 in"
cut_with = { slug = "lathe" }
[open]
slug = "0.200 .. 0.320 in"
[blade_depth]
adds = ["socket"]
takes = ["module", "slug"]
at_least = "1.500 in"
at_most = "1.590 in"
"""


def test_a_sheet_of_inches_is_planned_in_inches(tmp_path):
    plan = fc.plan(sheet_of(tmp_path, INCH))
    assert plan.verdict is Verdict.HOLDS
    value, rest = plan.values["slug"].split(" ", 1)
    assert rest == "± 0.002 in"
    assert float(value) * 1000 == pytest.approx(round(float(value) * 1000))
    # 1.810 - slug, give or take 0.022, between the limits
    assert 1.500 + 0.022 <= 1.810 - float(value) <= 1.590 - 0.022
    with pytest.raises(SheetError, match="names no unit, in a sheet that uses inches"):
        fc.load(sheet_of(tmp_path, INCH.replace('slug = "0.200 .. 0.320 in"', 'slug = "5.0 .. 8.0"')))
    with pytest.raises(SheetError, match="names no unit, in a sheet that uses inches"):
        fc.load(sheet_of(tmp_path, INCH.replace('lathe = "± 0.002 in"', 'lathe = "± 0.05"')))


SCREW = """[[set_screw]]
name = "{name}"
hole = "M4x0.7-6H"
screw = "M4x0.7-6g"
outside = "30.0 ± 0.1"
bore = "25.4 ± 0.03"
blade = "25.0 ± 0.15"
screw_length = "4.0 ± 0.24"
wall_material = "6061-T6"
screw_material = "45H"
friction_thread = "0.15 ± 0.05"
friction_point = "0.30 ± 0.10"
friction_bore = "0.30 ± 0.10"
hand_torque = "{torque}"
pull = "20 N"
"""


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            'parts = { spacer = "0.320 ± 0.004 in" }\n'
            'blade_depth = { adds = ["2 in"], takes = ["spacer"], at_least = "1 in" }',
            "such as spacer = '0.24 .. 0.40 in'",
        ),
        (SCREW.format(name="a", torque="0.2 N·m"), "such as hand_torque = '0.1 .. 1.0 N·m' or screw = ['M4x0.7', "),
    ],
)
def test_what_could_be_open_is_told_of_the_very_sheet(text, said, tmp_path):
    with pytest.raises(SheetError, match=re.escape(said)):
        fc.plan(sheet_of(tmp_path, text))


def test_a_torque_is_found_between_stripping_and_holding(tmp_path):
    # In the middle of the range the thread strips, at its low end the screw does not hold.
    screw = SCREW.replace("20 N", "42 N")
    text = '[open]\nhand_torque = "0.1 .. 1.5 N·m"\n'
    plan = fc.plan(sheet_of(tmp_path, text + screw.format(name="a", torque="1.8 ± 0.4 N·m")))
    assert plan.works
    assert {f.verdict for f in plan.findings} <= {Verdict.HOLDS, Verdict.LIKELY}
    assert 0.1 < number(plan.values["hand_torque"]) < 0.5
    # The scatter keeps its proportion, and the note asked again by itself says the same.
    again = fc.load(sheet_of(tmp_path, screw.format(name="a", torque=plan.values["hand_torque"]))).findings()
    assert [f.verdict for f in again] == [f.verdict for f in plan.findings]
    # Who turns with it never passes what the line says that the screw is bought with.
    (line,) = (line for line in plan.lines() if line.startswith("Buy 1 set screw (a)"))
    assert fc.dim(plan.values["hand_torque"]).upper <= number(line.split("turned with no more than ")[1])


@pytest.mark.long
@pytest.mark.parametrize(("hand", "besides"), [("1.8 N·m", "driver = 0.06\n"), ("1.8 ± 0.4 N·m", "tightenings = 5\n")])
def test_a_torque_of_a_driver_or_of_many_tightenings_is_found_as_well(hand, besides, tmp_path):
    screw = SCREW.replace("20 N", "42 N").format(name="a", torque=hand) + besides
    plan = fc.plan(sheet_of(tmp_path, '[open]\nhand_torque = "0.1 .. 1.5 N·m"\n' + screw))
    assert plan.works
    (line,) = (line for line in plan.lines() if line.startswith("Buy 1 set screw (a)"))
    used = fc.dim(plan.values["hand_torque"])
    assert used.upper <= number(line.split("turned with no more than ")[1])
    again = fc.load(sheet_of(tmp_path, screw.replace(hand, plan.values["hand_torque"]))).findings()
    assert [f.verdict for f in again] == [f.verdict for f in plan.findings]


@pytest.mark.long
def test_a_torque_that_no_screw_bears_is_no_plan(tmp_path):
    screw = SCREW.replace("20 N", "42 N").format(name="a", torque="1.8 ± 0.4 N·m")
    plan = fc.plan(sheet_of(tmp_path, '[open]\nhand_torque = "0.5 .. 1.5 N·m"\n' + screw))
    assert not plan.works
    assert "torque on the key at most 0." in str(plan)


def test_a_screw_is_chosen_with_its_hole_and_what_described_the_old_one_is_left_out(tmp_path):
    text = '[open]\nscrew = ["M4x0.7", "M5x0.8", "M40x4"]\n' + SCREW.format(name="a", torque="0.2 ± 0.04 N·m")
    plan = fc.plan(sheet_of(tmp_path, text.replace('pull = "20 N"', 'pull = "2 N"')))
    assert plan.tried == 3
    (refused,) = plan.refused
    assert refused.startswith("screw = M40x4: ")
    screw = plan.values["screw"]
    assert any(line.startswith(f"Buy 1 set screw (a): {screw}-6g") for line in plan.lines())


def test_where_every_choice_is_refused_each_is_told_with_its_reason(tmp_path):
    text = '[open]\nscrew = [["M4x0.7-6g"], "M40x4"]\n' + SCREW.format(name="a", torque="0.2 ± 0.04 N·m")
    plan = fc.plan(sheet_of(tmp_path, text))
    assert not plan.works
    first, one, other = str(plan).splitlines()
    assert first == "No plan: no choice makes sense."
    assert "a designation such as 'M4x0.7', or ['M4x0.7-6g', 'M4x0.7-6H'], is needed" in one
    assert other.startswith("  screw = M40x4: ")
    assert "has no pitch 4" in other


def test_a_range_in_the_wrong_unit_is_refused(tmp_path):
    text = '[open]\nhand_torque = "0.1 .. 1.5 mm"\n' + SCREW.format(name="a", torque="0.2 ± 0.04 N·m")
    with pytest.raises(SheetError, match=r"hand_torque = 0.8 ± 0.7 mm: a torque is needed"):
        fc.plan(sheet_of(tmp_path, text))


def test_a_plan_with_nothing_open_is_refused():
    asked = BladeDepth.read({"adds": ["64 ± 0.2"], "at_least": "41 mm"})
    with pytest.raises(InputError, match="nothing is open"):
        plan_for([Variant({}, lambda: (asked,))], [])


@pytest.mark.parametrize("order", [["M4x0.5", "M4x0.7"], ["M4x0.7", "M4x0.5"]])
def test_of_screws_that_do_as_well_the_one_that_is_sold_is_taken(order, tmp_path):
    """The finer one leaves more of its room, but no standard has a set screw of its pitch."""
    text = SCREW.replace('pull = "20 N"', 'pull = "2 N"').format(name="a", torque="0.2 ± 0.04 N·m")
    plan = fc.plan(sheet_of(tmp_path, f"[open]\nscrew = {order}\n" + text))
    assert plan.values == {"screw": "M4x0.7"}
    assert "a standard size" in plan.to_do[0]


def test_where_a_hand_scatters_too_much_the_plan_names_the_driver_that_does_not(tmp_path):
    screw = SCREW.replace("20 N", "50 N").format(name="a", torque="0.2 ± 0.06 N·m")
    either = '[open]\nhand_torque = ["0.2 ± 0.06 N·m", "0.25 ± 0.08 N·m"]\n'
    plan = fc.plan(sheet_of(tmp_path, either + screw))
    (line,) = plan.drivers
    assert line in plan.lines()
    about, advice = line.split("): turn every screw with a torque driver of ± 6 % or better, set to at least ")
    assert about == "With less scatter of the torque it holds (set screw (a): friction hold on the blade"
    driven = screw.replace("0.2 ± 0.06 N·m", advice.split(",")[0]) + 'driver = "6 %"\n'
    strip, hold = fc.load(sheet_of(tmp_path, driven)).findings()
    assert (strip.verdict, hold.verdict) == (Verdict.LIKELY, Verdict.HOLDS)


def test_one_torque_in_two_questions_is_one_and_must_be_alike(tmp_path):
    text = '[open]\nhand_torque = "0.1 .. 1.5 N·m"\n' + SCREW.format(name="a", torque="1.8 ± 0.4 N·m")
    other = SCREW.format(name="b", torque="1.8 ± 0.8 N·m")
    with pytest.raises(SheetError, match="several questions give it different tolerances"):
        fc.plan(sheet_of(tmp_path, text + other))


def test_a_size_that_two_questions_give_alike_is_chosen_for_both(tmp_path):
    plugs = "".join(
        f'[[plug_length]]\nadds = ["{room} ± 0.3"]\ntravel = "4 ± 0.1"\nseat = "8 ± 0.1"\nlength = "24 ± 0.1"\n'
        for room in (19.0, 17.0)
    )
    plan = fc.plan(sheet_of(tmp_path, '[open]\ntravel = "1.0 .. 8.0"\n' + plugs))
    assert plan.verdict is Verdict.HOLDS
    assert list(plan.values) == ["travel"]
    assert len(plan.findings) == 2


def narrow_build(seed):
    """A stack of sums whose limits leave less than its tolerances take, with two parts that are made here."""
    g = np.random.default_rng(seed)
    t = dict(zip(("socket", "module", "lens", "screw"), g.uniform(0.1, 0.3, 4).round(2).tolist(), strict=True))
    cut = float(g.choice([0.05, 0.1, 0.2]))
    whole = t["socket"] + t["module"] + t["lens"] + cut
    inch = bool(seed % 2)
    least = round(36.0 + float(g.uniform(0, 1)), 2)
    most = round(least + 2 * whole - float(g.uniform(0.02, 0.15)), 2)
    pair = bool(seed % 3 == 0)

    def note(x):
        return f"{x / 25.4:.6f}" if inch else f"{x}"

    unit = " in" if inch else " mm"
    parts = "\n".join(
        f'{name} = "{note(size)} ± {note(t[name])}{unit}"'
        for name, size in (("socket", 64.0), ("module", 14.5), ("lens", 3.0), ("screw", 33.0))
    )
    limits = f'at_least = "{note(least)}{unit}"\nat_most = "{note(most)}{unit}"\n'
    if pair:  # the lower limit is that of a screw's axis
        cover = round(least - 33.0 + t["screw"], 2)
        limits = f'at_least = "{note(1)}{unit}"\nat_most = "{note(most)}{unit}"\nscrews = ["screw"]\n'
        limits += f'cover = "{note(cover - 2 * t["screw"])}{unit}"\n'
    return f"""[workshop]
lathe = "± {note(cut)}{unit}"
cut_with = {{ slug = "lathe" }}
[open]
slug = "{note(6)} .. {note(12)}{unit}"
[parts]
{parts}
[blade_depth]
adds = ["socket"]
takes = ["module", "slug", "lens"]
{limits}"""


def replaced_tolerance(text, part, new):
    """The sheet with another tolerance of a part, by its note or by that of the tool it is cut with."""
    name = "lathe" if part == "slug" else part
    half = f"{new.unit.from_base(new.half_width):.9f} {new.unit.text}"
    return re.sub(rf'^({name} = "[^±]*± ).*"', rf'\g<1>{half}"', text, flags=re.M)


@pytest.mark.parametrize(
    "seeds", [(1,), *(pytest.param(range(3 * i, 3 * i + 3), marks=pytest.mark.long) for i in range(8))]
)
def test_a_tolerance_that_is_advised_makes_it_hold_and_a_wider_one_does_not(seeds, tmp_path):
    told = 0
    for seed in seeds:
        text = narrow_build(seed)
        plan = fc.plan(sheet_of(tmp_path, text))
        assert plan.verdict is not Verdict.HOLDS, seed
        for one in plan.tighter:
            for now, then in one.alone:
                after = fc.plan(sheet_of(tmp_path, replaced_tolerance(text, now.name, then)))
                assert after.verdict is Verdict.HOLDS, (seed, now.name, str(after))
                wider = scaled(then, (then.half_width + 0.03) / then.half_width)
                if wider.half_width < now.half_width:
                    after = fc.plan(sheet_of(tmp_path, replaced_tolerance(text, now.name, wider)))
                    assert after.verdict is not Verdict.HOLDS, (seed, now.name)
                told += 1
            if one.shared:
                all_of = text
                for now, then in one.shared:
                    all_of = replaced_tolerance(all_of, now.name, then)
                assert fc.plan(sheet_of(tmp_path, all_of)).verdict is Verdict.HOLDS, seed
    assert told


MADE = BLADE.replace("[open]", '[workshop]\nlathe = "± 0.05"\ncut_with = { slug = "lathe" }\n[open]')
TWO_MADE = MADE.replace("{ slug", '{ lens = "saw", slug').replace(
    "[workshop]", 'lens = "3 ± 0.3"\n[workshop]\nsaw = "± 0.3"'
)
TWO_MADE = TWO_MADE.replace("[blade_depth]", 'lens = "2.0 .. 4.0"\n[blade_depth]').replace('"slug"]', '"slug", "lens"]')


@pytest.mark.parametrize(
    ("text", "limits", "shared"),
    [
        # what is made here gives all the slack, and what is bought stays as it is
        (TWO_MADE, (36.0, 37.15), {"slug", "lens"}),
        # more than what is made here has to give: all parts share it
        (TWO_MADE, (36.0, 37.0), {"socket", "module", "slug", "lens"}),
        # limits between which the middle is on no mark of a caliper
        (MADE, (40.00037, 40.0307), {"socket", "module", "slug"}),
        # limits so near that a part would keep less than what is printed, and less than a hundredth
        (MADE, (40.0, 40.0112), set()),
        (MADE, (40.0, 40.01), set()),
    ],
)
def test_what_shares_the_slack_holds_and_no_tolerance_of_nothing_is_advised(text, limits, shared, tmp_path):
    text += f'at_least = "{limits[0]} mm"\nat_most = "{limits[1]} mm"\n'
    tighter = fc.plan(sheet_of(tmp_path, text)).tighter
    told = [each for one in tighter for each in one.shared]
    assert {now.name for now, _ in told} <= shared
    assert bool(told) is bool(shared)
    for now, then in told:
        assert 0 < then.half_width < now.half_width
        name = {"slug": "lathe", "lens": "saw"}.get(now.name, now.name)
        text = re.sub(rf'^({name} = "[^±"]*± )[0-9.]*', rf"\g<1>{then.half_width:.6f}", text, flags=re.M)
    if told:
        assert fc.plan(sheet_of(tmp_path, text)).verdict is Verdict.HOLDS


def test_no_tolerance_is_advised_that_leaves_the_open_size_without_a_mark(tmp_path):
    limits = 'at_least = "40.2 mm"\nat_most = "40.8 mm"\n'
    between, on_one = (
        fc.plan(sheet_of(tmp_path, MADE.replace("5.0 .. 8.0", ends) + limits))
        for ends in ("6.0002 .. 6.0008", "6.000 .. 6.001")
    )
    assert not between.works
    assert not between.tighter
    assert {now.name for one in on_one.tighter for now, _ in one.alone} == {"module"}


def test_where_no_tolerance_alone_does_the_slack_is_shared(tmp_path):
    text = BLADE.replace("[open]", '[workshop]\nlathe = "± 0.05"\ncut_with = { slug = "lathe" }\n[open]')
    text += 'at_least = "40 mm"\nat_most = "40.3 mm"\n'
    plan = fc.plan(sheet_of(tmp_path, text))
    # A limit that is narrower than the tolerances is wide enough when it is relaxed by as much as is said.
    (conflict,) = plan.conflicts
    at_least, at_most = 40 - conflict.relax - 0.001, 40.3 + conflict.relax + 0.001
    relaxed = text.replace("40 mm", f"{at_least:.3f} mm").replace("40.3 mm", f"{at_most:.3f} mm")
    assert fc.plan(sheet_of(tmp_path, relaxed)).works
    (one,) = plan.tighter
    assert not one.alone
    assert {now.name for now, _ in one.shared} <= {"socket", "module", "slug"}
    assert any(line.startswith("With the slack shared it holds") for line in plan.lines())
    for now, then in one.shared:
        name = "lathe" if now.name == "slug" else now.name
        text = re.sub(rf'^({name} = "[^±]*± ).*"', rf'\g<1>{then.half_width:.6f}"', text, flags=re.M)
    assert fc.plan(sheet_of(tmp_path, text)).verdict is Verdict.HOLDS


TWO = BLADE.replace('slug = "8.0 ± 0.1"', 'slug = "8.0 ± 0.1"\nlens = "3.0 ± 0.1"').replace(
    '"slug"]', '"slug", "lens"]'
)


@pytest.mark.parametrize(
    ("change", "limits", "values"),
    [
        # a lower limit alone; more than three spreads of room are of no use, and less is cut then
        (('slug = "5.0 .. 8.0"', 'slug = "1.0 .. 8.0"'), 'at_least = "34 mm"', {"slug": "6.5 ± 0.1 mm"}),
        # an upper limit alone, that the part meets as it is
        (("", ""), 'at_most = "42 mm"', {"slug": "8 ± 0.1 mm"}),
        # two ways that are as good: what is there is left as it is
        (
            ('slug = "5.0 .. 8.0"', 'slug = "5.0 .. 8.0"\nlens = "2.0 .. 5.0"'),
            'at_least = "34.5 mm"\nat_most = "36.5 mm"',
            {"slug": "8 ± 0.1 mm", "lens": "3 ± 0.1 mm"},
        ),
    ],
)
def test_what_is_there_is_left_where_more_room_is_of_no_use(change, limits, values, tmp_path):
    plan = fc.plan(sheet_of(tmp_path, TWO.replace(*change) + limits + "\n"))
    assert plan.verdict is Verdict.HOLDS
    assert plan.values == values


def test_an_open_size_that_no_finding_depends_on_stays_as_it_is(tmp_path):
    text = BLADE.replace('slug = "5.0 .. 8.0"', 'spare = "2.0 .. 5.0"').replace("[open]", 'spare = "3.0 ± 0.1"\n[open]')
    plan = fc.plan(sheet_of(tmp_path, text + 'at_least = "37 mm"\n'))
    assert plan.values == {"spare": "3 ± 0.1 mm"}
    assert plan.verdict is Verdict.HOLDS
    assert not plan.to_do


def test_a_range_that_cannot_hold_names_the_end_that_misses_least(tmp_path):
    plan = fc.plan(sheet_of(tmp_path, BLADE + 'at_most = "37.5 mm"\n'))
    assert not plan.works
    assert plan.values == {"slug": "8 ± 0.1 mm"}
