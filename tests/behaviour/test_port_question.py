"""The port question: bodies, cells, springs. Checked against corners drawn in shapely, numbers invented."""

import itertools
import math

import numpy as np
import pytest
from asked import PORT
from shapely import affinity
from shapely.geometry import Point, box

import fitcheck as fc
from fitcheck.errors import InputError
from fitcheck.mechanics.cross_section import corner_gap
from fitcheck.questions import PlugLength, PortClearance, Requirement, Verdict, judge
from fitcheck.questions.port.bodies import Body

BORE, ROUND = {"bore": "32 +0.1/-0"}, {"chassis": "31.5 ± 0.1"}
SQUARE = {"chassis_width": "24 ± 0.1", "chassis_height": "20 ± 0.1"}
HEAD = {"name": "plug head", "width": "14 ± 0.2", "reach": "13.2 ± 0.2", "offset": "0.5 ± 0.2", "angle": "10 ± 3 deg"}
NUT = {"name": "nut", "diameter": "14 ± 0.2", "offset": "8 ± 0.1", "angle": "90 ± 2 deg"}
STACK = {"adds": ["118.0 ± 0.3"], "takes": ["cell 18650", "40 ± 0.3"]}
SPRING = {"spring_free": "18 ± 0.5", "spring_solid": "8 ± 0.3"}


def ask(**given):
    return PortClearance.read({**BORE, **given})


def bodies_finding(question):
    (found,) = [f for f in question.findings() if "bodies" in f.quantity]
    return found


def ends(dimension):
    return sorted({dimension.lower, dimension.upper})


def drawn_gap(D, sides, shape):
    """The least gap of a shapely shape over every shift of the chassis, by scanning the edge of its free play."""
    least = np.inf
    for direction in np.concatenate([np.linspace(0, 2 * np.pi, 180), np.arange(4) * np.pi / 2]):
        u = np.array([math.sin(direction), math.cos(direction)])
        if len(sides) == 1:
            way = (D - sides[0]) / 2
        else:
            c = np.copysign([sides[0] / 2, sides[1] / 2], u)
            way = -c @ u + math.sqrt((c @ u) ** 2 + D * D / 4 - c @ c)
        moved = affinity.translate(shape, *(way * u))
        least = min(least, D / 2 - moved.hausdorff_distance(Point(0, 0)))
    return least


def drawn_head(width, reach, offset, angle):
    upright = box(offset - width / 2, 0, offset + width / 2, reach)
    return affinity.rotate(upright, -angle, origin=(0, 0), use_radians=True)


@pytest.mark.parametrize("chassis", [ROUND, SQUARE])
def test_worst_case_of_a_block_is_that_of_its_drawn_corners(chassis):
    question = ask(**chassis, bodies=[HEAD])
    body = question.bodies[0].sizes
    keys = ("width", "reach", "offset", "angle")
    # The gap of a corner is worst at an end of every size; only the angle can be worst inside, so it is scanned.
    angles = np.linspace(body["angle"].lower, body["angle"].upper, 5)
    section = question.section
    drawn = [
        drawn_gap(D, sides, drawn_head(w, h, o, a))
        for D in (question.bore.lower,)
        for sides in itertools.product(*(ends(d) for d in section.chassis))
        for w, h, o in itertools.product(*(ends(body[key]) for key in keys[:3]))
        for a in angles
    ]
    drawn_large = drawn_gap(
        question.bore.upper, [d.lower for d in section.chassis], drawn_head(14.2, 13.4, 0.7, angles[0])
    )
    least = section.gap.worst_case().min
    assert least <= min(drawn) + 1e-6
    assert least == pytest.approx(min(*drawn, drawn_large), abs=0.02)


def test_one_block_straight_up_is_the_simple_form():
    simple = {"width": "14 ± 0.2", "reach": "13.2 ± 0.2"}
    gap = ask(**ROUND, bodies=[{"name": "plug", **simple}]).section.gap
    corner = [corner_gap(32.0, d, w, h, 1.0) for d, w, h in itertools.product((31.4, 31.6), (13.8, 14.2), (13.0, 13.4))]
    assert gap.worst_case().min == pytest.approx(min(corner), abs=1e-9)
    assert gap.nominal == pytest.approx(corner_gap(32.0, 31.5, 14.0, 13.2, 1.0))
    both = ask(**ROUND, **simple, bodies=[NUT]).findings()
    assert [f.quantity.split()[0] for f in both] == ["play", "gap", "smallest"]


def test_a_block_and_the_same_block_as_a_body_get_one_verdict():
    """The demo's block: by width and reach, and as one of bodies; judged where it lies worst, not where it may lie."""
    simple = {"width": "14 ± 0.2", "reach": "13.2 ± 0.2"}
    for gap, verdict in (("0.53 mm", Verdict.HOLDS), ("0.55 mm", Verdict.LIKELY), ("0.6 mm", Verdict.FAILS)):
        one = ask(**ROUND, **simple, gap=gap).findings()[1]
        other = bodies_finding(ask(**ROUND, bodies=[{"name": "plug", **simple}], gap=gap))
        assert (one.verdict, other.verdict) == (verdict, verdict)
        assert other.probability == pytest.approx(one.probability, rel=0.1)
        assert tuple(other.worst_case) == pytest.approx(tuple(one.worst_case), abs=1e-9)
        assert other.change == one.change
        for found in (one, other):
            assert any("pressed to the wall on the worst side" in line for line in found.assumptions)
    # By an independent sample of the sizes alone, always pressed to the side of the corner.
    rng, n = np.random.default_rng(8), 400_000
    d, w, h = (rng.uniform(x - t, x + t, n) for x, t in ((31.5, 0.1), (14.0, 0.2), (13.2, 0.2)))
    assert one.probability == pytest.approx(np.mean(d / 2 - np.hypot(w / 2, h) < 0.6), abs=0.001)
    assert one.probability > 0.01


def test_turning_everything_on_a_round_chassis_changes_nothing():
    bodies = [HEAD, NUT]
    turned = [{**body, "angle": f"{at} ± {tol} deg"} for body, at, tol in ((HEAD, 130, 3), (NUT, 210, 2))]
    one, other = (ask(**ROUND, bodies=each).section.gap for each in (bodies, turned))
    assert one.worst_case() == pytest.approx(other.worst_case(), abs=1e-9)
    # On a rectangular one it does: what stands out beside the long side finds less room there.
    a, b = (ask(**SQUARE, bodies=[{**HEAD, "angle": f"{at} ± 0 deg"}]).section.gap.nominal for at in (0, 90))
    assert a != pytest.approx(b, abs=0.01)


def test_the_nearest_body_is_named_with_its_place_and_what_to_take_off():
    found = bodies_finding(ask(**ROUND, bodies=[HEAD, NUT], gap="0.4 mm"))
    assert "the right outer corner of the plug head, 40° clockwise from up" in found.answer
    assert found.verdict is Verdict.FAILS
    assert any("plug head" in line for line in found.change)
    assert found.drawing.named.name == "plug head"
    # What the advice says is enough.
    (only,) = found.change
    assert only.startswith("bring the outer face of the plug head ")
    off = float(only.split(" mm ")[0].split()[-1])
    mended = bodies_finding(ask(**ROUND, bodies=[{**HEAD, "reach": f"{13.2 - off} ± 0.2"}, NUT], gap="0.4 mm"))
    assert mended.verdict is Verdict.HOLDS


@pytest.mark.parametrize("sides", [ROUND, SQUARE])
def test_what_only_holds_together_is_said_of_all_of_it_together(sides):
    """A block, a round body beside the axis and one on it, all too near to the wall."""
    bodies = [
        {"name": "plug head", "width": "14 ± 0.2", "reach": "14.2 ± 0.2"},
        {"name": "post", "diameter": "3 ± 0.1", "offset": "14.2 ± 0.1", "angle": "120 ± 2 deg"},
        {"name": "speaker", "diameter": "31.6 ± 0.1"},
    ]
    found = bodies_finding(ask(**sides, bodies=bodies, gap="0.3 mm"))
    (line,) = found.change
    assert line.endswith("; all of it together and it holds")
    face, post, speaker = (float(one.split(" mm ")[0].split()[-1]) for one in line.split(", "))
    assert "the post" in line.split(", ")[1]
    assert "the speaker" in line.split(", ")[2]
    assert "smaller in diameter" in line.split(", ")[2]
    changed = [
        {**bodies[0], "reach": f"{14.2 - face} ± 0.2"},
        {**bodies[1], "offset": f"{14.2 - post} ± 0.1"},
        {**bodies[2], "diameter": f"{31.6 - speaker} ± 0.1"},
    ]
    assert bodies_finding(ask(**sides, bodies=changed, gap="0.3 mm")).verdict is Verdict.HOLDS
    for i in range(3):
        but_one = [bodies[i] if j == i else body for j, body in enumerate(changed)]
        asked = ask(**sides, bodies=but_one, gap="0.3 mm")
        needed = Requirement(at_least=asked.gap, risk=asked.risk)
        assert judge(asked, asked.section.gap, needed, label="gap", answer="").verdict is Verdict.FAILS


def test_a_wide_block_is_made_narrower_where_its_face_alone_is_not_enough():
    found = ask(**ROUND, width="31.6 ± 0.1", reach="2 ± 0.1", what="board").findings()[1]
    (line,) = found.change
    off = float(line.removeprefix("make the board ").removesuffix(" mm narrower and it holds"))
    assert ask(**ROUND, width=f"{31.6 - off} ± 0.1", reach="2 ± 0.1").findings()[1].verdict is Verdict.HOLDS


def test_a_size_that_keeps_the_gap_only_at_worst_case_is_not_advised():
    """Within its zone the chassis leaves room for the least speaker there can be; its spread has more than its zone."""
    speaker = {"name": "speaker", "diameter": "31 ± 0.1"}
    zone, more = (
        bodies_finding(ask(chassis=f"31 ± 3, {spread}", bodies=[speaker], gap="13.5 mm"))
        for spread in ("uniform", "normal")
    )
    (line,) = zone.change
    off = float(line.removeprefix("make the speaker ").removesuffix(" mm smaller in diameter and it holds"))
    smaller = {**speaker, "diameter": f"{31 - off} ± 0.1"}
    for spread, verdict in (("uniform", Verdict.HOLDS), ("normal", Verdict.FAILS)):
        asked = ask(chassis=f"31 ± 3, {spread}", bodies=[smaller], gap="13.5 mm")
        assert bodies_finding(asked).verdict is verdict
        assert asked.section.gap.worst_case().min >= 13.5 - 1e-9
    assert more.change == ("no size of the speaker alone is enough",)


def test_the_smallest_of_many_bodies_is_found_beyond_the_corners_that_can_be_tried():
    """Six blocks have far more corners than can be enumerated together; each alone has few."""
    bodies = [
        {**HEAD, "name": f"post {i}", "angle": f"{60 * i} ± 2 deg", "reach": f"{12 + 0.1 * i} ± 0.2"} for i in range(6)
    ]
    section = ask(**ROUND, bodies=bodies).section
    alone = [ask(**ROUND, bodies=[body]).section.gap.worst_case().min for body in bodies]
    assert section.gap.worst_case().min == pytest.approx(min(alone), abs=1e-9)
    assert "post 5" in bodies_finding(ask(**ROUND, bodies=bodies)).answer


def test_a_small_gap_is_a_gap_and_an_overlap_is_one():
    for reach, words in (("13.2 ± 0.2", "the worst gap is "), ("14.2 ± 0.2", "it can overlap the wall by ")):
        found = bodies_finding(ask(**ROUND, bodies=[{"name": "plug", "width": "14 ± 0.2", "reach": reach}]))
        assert -1 < found.worst_case.min < 1
        said = float(found.answer.split(words)[1].split(" mm")[0])
        assert said == pytest.approx(abs(found.worst_case.min), abs=0.0101)


def test_a_body_on_the_other_side_by_its_sign_is_advised_alike():
    here, there = (
        bodies_finding(ask(**ROUND, bodies=[{"name": "post", "diameter": "3 ± 0.1", **at}], gap="0.3 mm"))
        for at in ({"offset": "14.2 ± 0.1", "angle": "120 deg"}, {"offset": "-14.2 ± 0.1", "angle": "-60 deg"})
    )
    assert here.verdict is there.verdict is Verdict.FAILS
    assert here.change == there.change
    (new,) = [edit.value for move in there.moves for edit in move.edits]
    (old,) = [edit.value for move in here.moves for edit in move.edits]
    assert new.nominal == pytest.approx(-old.nominal)


def test_a_point_is_told_by_where_it_lies():
    post = Body("post", {"diameter": fc.dim("3 ± 0.1"), "offset": fc.dim("14")})
    block = Body("block", {"width": fc.dim("14"), "reach": fc.dim("13")})
    for degrees, words in ((0, "straight up"), (1, "1° clockwise from up"), (-1, "1° anticlockwise from up")):
        x, y = math.sin(math.radians(degrees)), math.cos(math.radians(degrees))
        assert post.where(0, x, y) == f"the post, {words}"
        assert block.where(0, x, y).endswith(f" of the block, {words}")
    assert post.where(0, 0.0, 0.0) == "the post"
    assert len({block.where(corner, 1.0, 0.0) for corner in range(4)}) == 4


def test_probability_at_random_is_that_of_an_independent_sample():
    question = ask(**ROUND, bodies=[{"name": "plug", "width": "14 ± 0.2", "reach": "14.0 ± 0.2"}])
    ours = np.mean(question.section.gaps_at_random() < 0.2)
    rng, n = np.random.default_rng(5), 200_000
    D, d = rng.uniform(32.0, 32.1, n), rng.uniform(31.4, 31.6, n)
    w, h = rng.uniform(13.8, 14.2, n), rng.uniform(13.8, 14.2, n)
    way, at = rng.uniform(0, 1, n) * (D - d) / 2, rng.uniform(-np.pi, np.pi, n)
    away = np.maximum(
        np.hypot(w / 2 + way * np.sin(at), h + way * np.cos(at)),
        np.hypot(-w / 2 + way * np.sin(at), h + way * np.cos(at)),
    )
    p = np.mean(D / 2 - away < 0.2)
    assert 0.01 < p < 0.99
    assert ours == pytest.approx(p, abs=6 * math.sqrt(p * (1 - p) / 1e5))
    said = bodies_finding(question).details
    touching = float(np.mean(question.section.gaps_at_random() < 0))
    assert said["probability of touching, sizes and shift at random"] == f"{touching:.2g} (100,000 samples)"
    clear = bodies_finding(ask(**ROUND, bodies=[{"name": "plug", "width": "10 ± 0.1", "reach": "10 ± 0.1"}])).details
    assert clear["probability of touching, sizes and shift at random"] == "below 1e-05 (none of 100,000 samples)"


def test_a_rectangular_chassis_slides_on_its_diagonal():
    play = ask(**SQUARE, bodies=[NUT]).findings()[0]
    assert play.worst_case == pytest.approx((32.0 - math.hypot(24.1, 20.1), 32.1 - math.hypot(23.9, 19.9)), abs=1e-9)
    jammed = ask(chassis_width="28 ± 0.1", chassis_height="16 ± 0.1", bodies=[NUT]).findings()[0]
    assert jammed.verdict is Verdict.FAILS
    assert "diagonal" in jammed.change[0]


def test_a_cell_fills_the_room_by_its_name_and_goes_into_its_bore():
    question = ask(**ROUND, bodies=[NUT], **STACK, cell="cell 18650", cell_bore="19.2 ± 0.1", sleeve="0.15 ± 0.02")
    cell, end = question.findings()[2:]
    size = fc.questions.cells.cell("18650")
    assert cell.worst_case.min == pytest.approx(19.1 - size.diameter[1] - 2 * 0.17)
    assert cell.verdict is Verdict.HOLDS
    assert end.worst_case == pytest.approx((117.7 - 40.3 - size.length[1], 118.3 - 39.7 - size.length[0]))
    assert any("common practice" in source for source in cell.sources)


def test_a_cell_without_its_word_is_no_length_but_with_a_unit_it_is():
    """What the texts offer is accepted, and a usual port only where a port can be."""
    assert "usual port" not in PortClearance.inputs()["cell"].metadata["reader"].expects
    assert "usual port" not in PortClearance.inputs()["takes"].metadata["reader"].expects
    ask(**ROUND, bodies=[NUT], cell="usual cell", cell_bore="19.2 ± 0.1", adds=["118"], takes=["usual cell"])
    ask(**ROUND, bodies=[{"name": "port", "diameter": "usual port"}])
    long = PortClearance.read({**BORE, **ROUND, "bodies": [NUT], "adds": ["21700 mm"], "takes": ["cell 18650"]})
    assert long.adds[0].nominal == 21700


def test_a_spring_takes_the_place_of_the_gap_at_the_end():
    question = ask(**ROUND, bodies=[NUT], **STACK, **SPRING)
    pressed, spare = question.findings()[2:]
    room = question.room.worst_case()
    assert pressed.worst_case == pytest.approx((17.5 - room.max, 18.5 - room.min))
    assert spare.worst_case == pytest.approx((room.min - 8.3, room.max - 7.7))
    slack = ask(**ROUND, bodies=[NUT], adds=["125 ± 0.3"], takes=STACK["takes"], **SPRING).findings()[2]
    assert slack.verdict is Verdict.FAILS
    assert slack.change[0].startswith("lengthen the stack or the spring")
    solid = ask(**ROUND, bodies=[NUT], adds=["113.5 ± 0.3"], takes=STACK["takes"], **SPRING).findings()[3]
    assert solid.verdict is Verdict.FAILS


def test_two_cells_vary_independently():
    first, second = ask(**ROUND, bodies=[NUT], adds=["140 ± 0.3"], takes=["cell 18650", "cell 18650"]).takes
    assert first is not second
    assert (first - second).worst_case().max > 0


def test_a_body_takes_parts_by_name():
    head = fc.dim("14 ± 0.2", name="head")
    question = PortClearance.read({**BORE, **ROUND, "bodies": [{**HEAD, "width": "head"}]}, {"head": head})
    assert question.bodies[0].sizes["width"] is head
    assert question.bodies[0].sizes["reach"].name == "plug head reach"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({}, "width: missing: one of width with reach"),
        ({"chassis": None}, "chassis, width: missing: one of chassis .*, chassis_width .* and one of width .*, bodies"),
        ({"width": "14"}, "reach: missing"),
        ({"chassis": None, "bodies": [NUT]}, "chassis: missing"),
        ({"bodies": [NUT], "chassis_width": "20"}, "chassis and chassis_width"),
        ({"bodies": ["nut"]}, r"bodies\[1\] = 'nut': a body"),
        ({"bodies": [{"name": "nut", "diametre": "14"}]}, r"bodies\[1\].diametre: unknown \(did you mean"),
        ({"bodies": [{"name": "head", "width": "14"}]}, r"bodies\[1\].reach: missing"),
        (
            {"bodies": [{**NUT, "angle": "90 ± 2 deg"}, {**NUT, "angle": "2 mm"}]},
            r"bodies\[2\].angle = '2 mm' is a length",
        ),
        ({"bodies": [{**NUT, "diameter": "0 ± 1"}]}, r"bodies\[1\].diameter"),
        ({"bodies": [{**NUT, "diameter": "cell 18560"}]}, "18560.*did you mean '18650'"),
        ({"bodies": [NUT], "cell": "cell AA"}, "cell_bore: both"),
        ({"bodies": [NUT], "cell": "21700"}, "cell = '21700': write 'cell 21700'"),
        ({"bodies": [NUT], "cell": 21700}, "cell = 21700: write 'cell 21700' for the cell of this name; .* 21.7 m"),
        ({"bodies": [NUT], "cell": ["18650"]}, "cell = "),
        ({"bodies": [NUT], "cell": "aa"}, "cell = 'aa': write 'cell aa'"),
        ({"bodies": [NUT], "cell_bore": "18650"}, "cell_bore = '18650': write 'cell 18650'"),
        ({"bodies": [{**NUT, "diameter": "18650"}]}, r"bodies\[1\].diameter = '18650': write 'cell 18650'"),
        ({"bodies": [NUT], **STACK, "takes": ["18650 protected"]}, r"takes\[1\] = .*write 'cell 18650 protected'"),
        ({"bodies": [NUT], "cell": "usual port"}, "cell = 'usual port': 'usual cell' can stand here"),
        ({"bodies": [NUT], **STACK, "takes": ["usual port"]}, r"takes\[1\] = 'usual port': 'usual cell' can stand"),
        ({"bodies": [NUT], **SPRING}, "spring_free: adds and takes"),
        ({"bodies": [NUT], **STACK, "spring_free": "18"}, "spring_solid: both"),
        ({"bodies": [NUT], **STACK, "spring_free": "7 ± 1", "spring_solid": "8"}, "shorter than spring_free"),
        ({"bodies": [NUT], "bore": "0 ± 1"}, "bore = "),
    ],
)
def test_bad_input_is_one_clear_line(change, words):
    given = {key: value for key, value in {**BORE, **ROUND, **change}.items() if value is not None}
    with pytest.raises(InputError, match=words) as caught:
        PortClearance.read(given).findings()
    assert "\n" not in str(caught.value)


def test_a_cell_alone_needs_no_chassis():
    (found,) = ask(cell="cell 18650", cell_bore="19.2 ± 0.1").findings()
    assert found.quantity == "play of the cell in the chassis"
    both = ask(cell="cell 18650", cell_bore="19.2 ± 0.1", **STACK).findings()
    assert [one.quantity.split()[0] for one in both] == ["play", "gap"]


def test_what_is_needed_in_one_of_several_ways_is_described_with_what_is_needed():
    for question, words in (("set_screw", "one of pull, mass"), ("port_clearance", "one of width with reach")):
        needed, _ = fc.describe(question).split("optional [")
        assert words in needed
    assert "one of chassis" in fc.describe("port_clearance").split("optional [")[0]


def test_the_plug_of_one_question_is_a_part_of_the_other():
    """Taken whole, with the way it is pushed in added, it stands out of the port by what the two leave of it."""
    notes = {
        "cap": "118.0 ± 0.3",
        "carrier": "92.0 ± 0.3",
        "port": "9.5 ± 0.1",
        "seat": "9 ± 0.2",
        "plug": "23.1 ± 0.2",
    }
    parts = {name: fc.dim(note, name=name) for name, note in notes.items()}
    stack = {"adds": ["cap"], "takes": ["carrier", "port"]}
    plug = PlugLength.read({**stack, "travel": "4.0 ± 0.2", "seat": "seat", "length": "plug"}, parts)
    stack = {"adds": ["cap", "seat"], "takes": ["carrier", "port", "plug"], "end_gap": "0.5 mm"}
    port = PortClearance.read({**BORE, **ROUND, "width": "14", "reach": "13", **stack}, parts)
    assert plug.findings()[0].verdict == "holds"
    (gap,) = (one for one in port.findings() if one.quantity == "gap to the floor of the end cap")
    assert gap.nominal == pytest.approx(118.0 - 92.0 - 9.5 - (23.1 - 9.0))
    assert gap.worst_case == pytest.approx((2.4 - 1.1, 2.4 + 1.1))


@pytest.mark.parametrize(("gap", "says"), [("0.9 mm", "closes with too little room"), ("3 mm", "closes with")])
def test_a_stack_that_ends_before_the_cap_is_not_said_to_keep_it_open(gap, says):
    """Worst room 0.8 mm: less than is wanted, yet the cap closes; only below 0 it may not."""
    along = {**PORT, "adds": ["20 ± 0.1"], "takes": ["19 ± 0.1"]}
    *_, end = fc.ask("port_clearance", **along, end_gap=gap)
    assert end.worst_case.min == pytest.approx(0.8)
    assert says in end.answer
    *_, shut = fc.ask("port_clearance", **{**along, "takes": ["20 ± 0.1"]}, end_gap=gap)
    assert "may not close" in shut.answer
