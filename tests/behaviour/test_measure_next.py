"""What measuring a part would settle: exact for sums, nested for functions, both against measuring many such parts."""

import itertools
import math

import numpy as np
import pytest

import fitcheck as fc
from fitcheck.errors import InputError, SheetError
from fitcheck.planning import Workshop, outlook, worth_measuring
from fitcheck.planning.replaced import parts_of, with_parts
from fitcheck.questions import QUESTIONS, Requirement, Verdict, judge
from fitcheck.questions.judge import Topic
from fitcheck.questions.remedy import holds
from fitcheck.stack import Linear
from fitcheck.stack.measured import with_reading
from fitcheck.stack.synthesis import substituted

DEPTH = {"adds": ["64 ± 0.2"], "takes": ["14.5 ± 0.3", "8.0 ± 0.1"], "at_least": "41.2 mm"}
PORT = {"bore": "32.0 +0.1/-0.0", "chassis": "31.5 ± 0.1", "width": "14 ± 0.2", "reach": "13.2 ± 0.2", "gap": "0.7 mm"}


def by_measuring(finding, parts, n, seed=1):
    """The shares of the verdicts after measuring `n` such parts, each judged by its reading alone."""
    generator = np.random.default_rng(seed)
    found = dict.fromkeys(Verdict, 0)
    for _ in range(n):
        after = finding.of
        for part, U in parts.items():
            true = part.middle + part.half_width * part.spread.sample(generator, 1)[0]
            after = substituted(after, part, with_reading(part, true + generator.normal(0, U / 2), U))
        p = after.outside(finding.requirement.at_least, finding.requirement.at_most)
        if not finding.requirement.accepts(p):
            found[Verdict.FAILS] += 1
        else:
            found[Verdict.HOLDS if holds(after, finding.requirement) else Verdict.LIKELY] += 1
    return [found[verdict] / n for verdict in (Verdict.HOLDS, Verdict.LIKELY, Verdict.FAILS)]


def agree(told, counted, n):
    for p, share in zip(told, counted, strict=True):
        assert abs(p - share) < 4 * math.sqrt(max(p * (1 - p), 0.25 / n) / n) + 1e-3, (told, counted)


@pytest.mark.parametrize(
    ("at_least", "U"), [("40.9 mm", 0.02), ("41.1 mm", 0.15), ("41.2 mm", 0.0), ("41.35 mm", 0.02)]
)
def test_the_outlook_of_a_sum_is_what_measuring_many_parts_gives(at_least, U):
    (depth,) = fc.ask("blade_depth", **DEPTH | {"at_least": at_least})
    part = max(depth.of.members, key=lambda d: d.half_width)
    agree(outlook(depth, {part: U}), by_measuring(depth, {part: U}, 400), 400)


def test_several_parts_of_a_sum_are_measured_at_once():
    (depth,) = fc.ask("blade_depth", **DEPTH)
    parts = dict.fromkeys(depth.of.members, 0.02)
    agree(outlook(depth, parts), by_measuring(depth, parts, 400), 400)


def test_two_limits_leave_a_window_of_readings():
    part = fc.dim("10 ± 0.3, normal", name="part")
    gap = judge(Topic("gap"), 10.5 - part, Requirement(at_least=0.35, at_most=0.6), label="gap", answer="")
    agree(outlook(gap, {part: 0.02}), by_measuring(gap, {part: 0.02}, 500), 500)


@pytest.mark.parametrize("part", ["reach", "chassis"])
def test_the_outlook_of_a_function_is_what_measuring_many_parts_gives(part):
    corner = next(f for f in fc.ask("port_clearance", **PORT) if not isinstance(f.of, Linear))
    one = next(d for d in corner.of.members if d.name == part)
    told, counted = outlook(corner, {one: 0.02}), by_measuring(corner, {one: 0.02}, 50)
    assert told.holds + told.fails > 0.02
    agree(told, counted, 50)


def test_the_chances_add_up_to_one_and_a_better_caliper_settles_no_less():
    (depth,) = fc.ask("blade_depth", **DEPTH)
    part = depth.of.members[1]
    chances = [outlook(depth, {part: U}) for U in (0.0, 0.02, 0.05, 0.1)]
    assert all(sum(one) == pytest.approx(1.0) for one in chances)
    assert all(a.holds >= b.holds for a, b in itertools.pairwise(chances))


def test_what_is_not_in_the_finding_changes_nothing():
    (depth,) = fc.ask("blade_depth", **DEPTH)
    other = fc.dim("1 ± 0.1")
    assert outlook(depth, {other: 0.02}) == (0.0, 0.0, 1.0)


@pytest.mark.long
def test_a_plug_without_a_window_gets_one_by_measuring():
    # The window is 1.2 mm too narrow at worst case; a port measured to ± 0.02 mm gives it back 2 * 0.68 mm.
    values = {"travel": "4 ± 0.1", "seat": "6.5 ± 0.1", "adds": ["16.5 ± 0.7"], "cut_tolerance": "0 ± 0.2"}
    found = fc.measure_next("plug_length", workshop={"caliper": "0.02 mm"}, **values, hold="0.3 mm", free="0.3 mm")
    first = found.first
    assert first.part.startswith("adds no. 1")
    assert first.outlooks[0][1].holds == 1.0
    room = str(found).splitlines()[0]
    assert room.startswith("Measure the adds no. 1")
    assert "with 100 % it then holds as it is" in room


def test_the_ranking_counts_a_part_in_every_question(tmp_path):
    sheet = tmp_path / "s.toml"
    sheet.write_text(
        'sheet = 1\n[workshop]\ncaliper = "0.02 mm"\n[parts]\na = "10 ± 0.2"\nb = "5 ± 0.25"\n'
        '[[blade_depth]]\nadds = ["a"]\nat_least = "9.9 mm"\n'
        '[[blade_depth]]\nadds = ["a", "b"]\nat_least = "14.9 mm"\n',
        encoding="utf-8",
    )
    found = fc.measure_next(sheet)
    assert [row.part for row in found] == ["a", "b"]
    assert found[0].settles == pytest.approx(sum(after.holds for _, after in found[0].outlooks))
    frame = found.frame()
    assert list(frame["part"]) == ["a", "a", "b"]
    assert str(fc.measure_next(fc.load(sheet), workshop={"caliper": 0.2})) != str(found)


def test_what_was_measured_is_not_measured_again():
    found = fc.measure_next("blade_depth", **DEPTH | {"takes": ["14.4 measured ± 0.02", "8.0 ± 0.1"]})
    assert "takes no. 1" not in " ".join(row.part for row in found)


@pytest.mark.parametrize(
    ("change", "caliper", "said"),
    [
        ({}, "0.5 mm", "Nothing is worth measuring: a reading is no closer than the tolerance of "),
        ({"adds": ["64"], "takes": ["14.5", "8.4"]}, "0.02 mm", "Nothing is left to measure"),
        ({"adds": ["64 measured ± 0.02"], "takes": ["22.9 measured ± 0.02"]}, "0.02 mm", "Nothing is left to measure"),
    ],
)
def test_where_no_reading_helps_the_reason_is_said_and_what_fails_is_to_be_changed(change, caliper, said):
    found = fc.measure_next("blade_depth", workshop={"caliper": caliper}, **DEPTH | change)
    assert found.first is None
    first, second = found.lines()
    assert first.startswith(said)
    assert second == "Change it, for measuring does not help: blade depth, depth of the blade."


@pytest.mark.parametrize(
    ("values", "caliper"),
    [
        # inches, a caliper that is hardly better than the tolerances, and a spread that leans to one side
        ({"adds": ["2.520 ± 0.008 in"], "takes": ["0.571 ± 0.012 in"], "at_least": "1.945 in"}, "0.001 in"),
        ({}, "0.15 mm"),
        ({"adds": ["64 +0.4/-0"], "takes": ["14.5 ± 0.3, normal", "8.0 +0/-0.2"], "at_most": "42.2 mm"}, "0.02 mm"),
    ],
)
def test_odd_builds_are_told_what_measuring_many_of_them_gives(values, caliper):
    found = fc.measure_next("blade_depth", workshop={"caliper": caliper}, **DEPTH | values)
    first = found.first
    ((finding, told),) = first.outlooks
    (part,) = (d for d in finding.of.members if d.name == first.part)
    agree(told, by_measuring(finding, {part: first.uncertainty}, 200), 200)


def test_pitch_diameters_are_measured_over_pins_and_only_so():
    joint = {"external": "M36x1.5-6g", "internal": "M36x1.5-6H", "length": "7.5 ± 0.4", "external_material": "6061-T6",
             "internal_material": "6061-T6", "load": "2 N"}  # fmt: skip
    asked = [QUESTIONS["thread_engagement"].read(joint)]
    with_pins = worth_measuring(asked, Workshop.read({"caliper": "0.02 mm", "pins": "0.01 mm"}))
    without = worth_measuring(asked, Workshop.read({"caliper": "0.02 mm"}))
    assert {row.part for row in with_pins if row.instrument == "pins"} == {
        "external pitch diameter",
        "internal pitch diameter",
    }
    assert not [row for row in without if "pitch" in row.part]


def test_a_question_is_put_together_again_with_another_part():
    asked = QUESTIONS["port_clearance"].read(PORT)
    new = fc.dim("13.0 ± 0.1", name="reach")
    again = with_parts(asked, {asked.reach: new})
    assert again.reach is new
    assert again.bore is asked.bore
    assert asked.reach in parts_of(asked)
    assert new in parts_of(again)
    assert with_parts(asked, {new: asked.reach}) is asked


def test_so_is_one_with_bodies_on_its_chassis():
    body = {"name": "switch", "width": "6 ± 0.1", "reach": "5 ± 0.2"}
    asked = QUESTIONS["port_clearance"].read({**PORT, "bodies": [body]})
    old = asked.bodies[0].sizes["reach"]
    new = fc.dim("4.0 ± 0.1", name="reach")
    again = with_parts(asked, {old: new})
    assert old in parts_of(asked)
    assert again.bodies[0].sizes["reach"] is new
    assert again.bodies[0].sizes["width"] is asked.bodies[0].sizes["width"]
    assert with_parts(asked, {new: old}) is asked


def test_the_outlook_of_a_function_is_mirrored_with_its_limit():
    a, b = (fc.dim(f"{size} ± 0.1", name=name) for size, name in ((10, "a"), (4, "b")))
    up = fc.response(lambda a, b: a * b / 10, a=a, b=b)
    down = fc.response(lambda a, b: -a * b / 10, a=a, b=b)
    most = judge(Topic("gap"), up, Requirement(at_most=4.1), label="gap", answer="")
    least = judge(Topic("gap"), down, Requirement(at_least=-4.1), label="gap", answer="")
    found = outlook(most, {b: 0.02})
    assert 0.1 < found.holds < 0.95
    assert found == pytest.approx(outlook(least, {b: 0.02}), abs=2e-3)
    with pytest.raises(InputError, match="several parts of a function: one part at a time"):
        outlook(most, {a: 0.02, b: 0.02})


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ('saw = "± 0"', "a tolerance such as '± 0.2'"),
        ('cut_with = "saw"', "a table of parts such as { slug = 'saw' } is needed"),
        ('calliper = "0.02 mm"', "did you mean 'caliper'"),
        ('caliper = "0 mm"', "a length above 0"),
        ('saw = "0.2"', "a tolerance such as '± 0.2'"),
        ('saw = "± 0.2"\ncut_with = { slug = "lathe" }', "one of saw is needed"),
        ('measured_with = { slig = "caliper" }', "no part has this name (did you mean 'slug'?)"),
    ],
)
def test_a_workshop_that_cannot_be_read_is_refused_with_its_line(tmp_path, line, said):
    sheet = tmp_path / "s.toml"
    sheet.write_text(
        f'sheet = 1\n[parts]\nslug = "8 ± 0.1"\n[workshop]\n{line}\n[blade_depth]\nadds = ["slug"]\nat_least = 1\n',
        encoding="utf-8",
    )
    with pytest.raises(SheetError) as error:
        fc.load(sheet)
    assert said in str(error.value)
    assert "line" in str(error.value)


def test_inputs_go_with_a_question_alone():
    with pytest.raises(InputError, match="one of 'thread_engagement'"):
        fc.measure_next("blade_dept")
    with pytest.raises(InputError, match="inputs go with the name of a question"):
        fc.measure_next("no.toml", adds=["1"])
