"""The plug question: yield, what to change, marking out, measured parts. Numbers invented.

Checked against corner enumeration, an independent sample, and the closed form of a sum of uniform variables.
"""

import itertools
import json
import math
import re
from pathlib import Path

import numpy as np
import pytest

import fitcheck as fc
from fitcheck.errors import InputError
from fitcheck.questions import PlugLength, PortClearance, Verdict
from fitcheck.questions.plug.cutting import share_words

PLUG = {
    "travel": "4.0 ± 0.2",
    "seat": "9.0 ± 0.2",
    "adds": ["118.0 ± 0.3"],
    "takes": ["101.5 ± 0.3"],
    "hold": "0.3 mm",
    "free": "0.1 mm",
}
TIGHT = {**PLUG, "seat": "6.0 ± 0.2"}  # a window of no width at worst case
SHORT = {**PLUG, "seat": "5.0 ± 0.2"}  # an empty one


def ask(asked, **more):
    finding, *_ = PlugLength.read({**asked, **more}).findings()
    return finding


@pytest.mark.parametrize(
    ("failing", "words"),
    [(0.9998, "0.02 %"), (0.9999, "0.01 %"), (0.99996, "almost none"), (1 - 1e-12, "almost none"), (1.0, "none")],
)
def test_a_share_that_is_not_nothing_is_not_printed_as_nothing(failing, words):
    assert share_words(failing) == words


def enumerated(question):
    """Least margins over every corner, written out without the library's sums."""
    members = [question.travel, question.seat, *question.adds, *question.takes, question.chosen]
    opens, closes = [], []
    for travel, seat, room, takes, length in itertools.product(*[(d.lower, d.upper) for d in members]):
        opens.append(length - (room - takes) - travel - question.hold)
        closes.append((room - takes) + seat - length - question.free)
    return min(opens), min(closes)


@pytest.mark.parametrize("asked", [PLUG, TIGHT, SHORT])
def test_margins_and_slack_are_those_of_the_enumerated_corners(asked):
    question = PlugLength.read(asked)
    opens, closes = enumerated(question)
    assert question.findings()[0].worst_case.min == pytest.approx(min(opens, closes), abs=1e-9)
    assert question.margins.slack == pytest.approx(opens + closes)
    window = question.window
    assert question.margins.slack == pytest.approx(window.max - window.min - 0.4)  # less the tolerance of the cut


def test_the_tolerance_that_remains_is_half_the_window():
    said = "tolerance that remains about the length"
    # room at most 17.1 + travel 4.2 + hold 0.3 = 21.6 mm; room at least 15.9 + seat 6.6 - free 0.1 = 22.4 mm
    assert ask(PLUG, seat="6.8 ± 0.2").details[said] == "± 0.40 mm"
    assert ask(PLUG, seat="6.8 ± 0.2", length="21.7 ± 0.05").details[said] == "± 0.10 mm"
    assert ask(TIGHT).details[said] == "none"


STACKS = json.loads((Path(__file__).parents[1] / "reference" / "stack_examples.json").read_text())["linear_stacks"]
TEXTBOOK = [
    case
    for case in STACKS
    if all("tol_plus" in d and abs(d["coef"]) == 1 for d in case["dims"]) and any(d["coef"] > 0 for d in case["dims"])
]


@pytest.mark.parametrize("case", TEXTBOOK, ids=lambda case: case["id"])
def test_textbook_stacks_as_the_room_of_a_plug_and_of_a_chassis(case):
    """Sources: tests/reference/stack_examples.json names the book or note of every case."""
    made = [
        (d["coef"], fc.dim(d["nominal"], plus=d["tol_plus"], minus=d["tol_minus"], name=d["name"]))
        for d in case["dims"]
    ]
    adds, takes = [d for c, d in made if c > 0], [d for c, d in made if c < 0]
    low, high = case["computed"]["wc_min"], case["computed"]["wc_max"]
    # Some of the gaps are below 0, which no room may be: 1 mm more is given to all.
    lengths = {"travel": 4.0, "seat": 900.0, "adds": [*adds, 1.0], "takes": takes}
    plug = PlugLength.read({**lengths, "hold": 0.5, "free": 0.25})
    assert plug.window == pytest.approx((high + 5.5, low + 900.75), abs=1e-9)
    if takes:
        port = {"bore": 32.0, "chassis": 31.0, "width": 10.0, "reach": 10.0}
        end = PortClearance.read({**port, "adds": adds, "takes": takes}).findings()[2]
        assert end.worst_case == pytest.approx((low, high), abs=1e-9)


@pytest.mark.parametrize("asked", [TIGHT, SHORT])
def test_yield_is_that_of_an_independent_sample(asked):
    question = PlugLength.read(asked)
    rng, n = np.random.default_rng(3), 400_000
    room, takes, travel, seat, length = (
        rng.uniform(d.lower, d.upper, n)
        for d in (*question.adds, *question.takes, question.travel, question.seat, question.chosen)
    )
    space = room - takes
    failed = np.mean((length - space - travel < 0.3) | (space + seat - length < 0.1))
    assert question.margins.exclusive
    assert question.margins.failing() == pytest.approx(failed, abs=5 * math.sqrt(failed / n) + 1e-6)
    found = question.findings()[0].probability
    assert found == pytest.approx(question.margins.failing(), abs=4 * found.standard_error)
    assert found.standard_error < 0.02 * found
    assert f"{100 * (1 - question.margins.failing()):.2f} %" in question.findings()[0].details["cuts that work"]


def test_yield_of_two_uniform_lengths_is_the_closed_form():
    """Only room and cut vary, each ± 0.3: a margin of 0.4 fails where their triangular sum passes 0.4 of 0.6."""
    question = PlugLength.read(
        {"travel": "4", "seat": "8", "adds": ["10 ± 0.3"], "length": "14.4 ± 0.3", "hold": 0, "free": 0}
    )
    assert question.margins.failing() == pytest.approx(0.2**2 / (2 * 0.6**2), rel=1e-9)


def test_the_length_that_works_most_often_is_the_best_of_all():
    question = PlugLength.read(SHORT)
    step = question.step
    best = question.margins.best(step, 1.0)
    others = [question.margins.failing(i * step) for i in range(-20, 21)]
    assert question.margins.failing(best) == pytest.approx(min(others))
    assert ask(SHORT).details["length that works most often"].startswith("21.10 mm")


def test_one_tolerance_brought_down_as_advised_makes_a_window():
    finding = ask(TIGHT)
    assert finding.verdict is Verdict.FAILS
    # Missing is the 0.4 mm of the cut; room and takes have 0.6 mm each, so either may come down to ± 0.1.
    assert finding.change[1] == (
        "one tolerance alone would do, with the plug cut to 21.60 mm: "
        "adds no. 1 (118 ± 0.3 mm) to ± 0.10 mm or takes no. 1 (101.5 ± 0.3 mm) to ± 0.10 mm"
    )
    mended = PlugLength.read({**TIGHT, "adds": ["118.0 ± 0.1"]})
    assert mended.margins.slack == pytest.approx(0, abs=1e-9)
    assert mended.findings()[0].verdict is Verdict.HOLDS
    assert "no single tolerance is enough" in ask(SHORT).change[1]


def test_a_one_sided_tolerance_is_advised_one_sided():
    asked = {**TIGHT, "adds": ["118.0 +0.6/-0"], "seat": "6.3 ± 0.2"}
    finding = ask(asked)
    said = r"adds no\. 1 \(118 \+0\.6/-0 mm\) to (\+.*? mm/-.*? mm) with the plug cut to (.*? mm)"
    advised, cut = re.search(said, finding.change[1]).groups()
    mended = PlugLength.read({**asked, "adds": [f"118.0 {advised}"]})
    assert mended.margins.slack >= -0.01
    # Cut as it says, the plug holds: each of the ways has its own length.
    given = PlugLength.read({**asked, "adds": [f"118.0 {advised}"], "length": f"{cut} ± 0.2"})
    assert given.findings()[0].verdict is Verdict.HOLDS


def test_the_length_that_goes_with_a_tolerance_is_said_and_holds():
    """A plug that was given: the line said "the length in the middle", and left the reader to find it."""
    asked = {**TIGHT, "length": "22 ± 0.1"}
    finding = ask(asked)
    advised, cut = re.search(r"the plug cut to (.*? mm): adds no\. 1 .*? mm\) to (.*? mm)", finding.change[1]).groups()[
        ::-1
    ]
    assert ask({**asked, "adds": [f"118.0 {advised}"], "length": f"{cut} ± 0.1"}).verdict is Verdict.HOLDS


def test_a_window_of_one_length_is_one_whatever_binary_numbers_make_of_it():
    """Room 17.1, travel 4.2 and hold 0.3 ask for 21.6 mm; room 15.9 and seat 5.8 less free 0.1 allow 21.6 mm."""
    for more in ({}, {"travel": "3.8 ± 0.2", "seat": "5.8 ± 0.2"}, {"hold": "0.4 mm", "free": "0 mm"}):
        same = {**TIGHT, **more}
        asked = PlugLength.read({**same, "cut_tolerance": "0 ± 0"})
        low, high = asked.window
        found = asked.findings()[0]
        assert low == high, same
        assert found.verdict is Verdict.HOLDS
        assert found.answer == f"Cut the plug to {low:.2f} mm: only {low:.2f} mm works at worst case."
        assert found.do == f"cut the plug to {low:.2f} mm; only {low:.2f} mm works"
    only = "only 21.60 mm works at worst case."
    for length, answer in (
        ("21.6 ± 0", f"The plug works as it is: its length is 21.6 mm, and {only}"),
        ("21.7 ± 0", f"Cut the plug to 21.60 mm: {only} This one, 21.7 mm, is too long."),
        ("21.6 ± 0.1", f"{only} This one, 21.6 ± 0.1 mm, can be too short and can be too long."),
    ):
        assert ask(TIGHT, length=length).answer.endswith(answer)
    assert ask(SHORT).do == "cut the plug to 21.10 mm"  # where none works none is named


def test_a_second_look_with_measured_parts():
    names = {"cap": "118.0 ± 0.3", "carrier": "101.5 ± 0.3"}
    first = PlugLength.read(
        {**SHORT, "adds": ["cap"], "takes": ["carrier"]}, {k: fc.dim(v, name=k) for k, v in names.items()}
    )
    assert first.findings()[0].details["worth measuring next"].startswith("cap: its tolerance takes 0.60 mm")
    names |= {"cap": "118.12 measured ± 0.02", "carrier": "101.43 measured ± 0.02"}
    parts = {k: fc.dim(v, name=k) for k, v in names.items()}
    second = PlugLength.read(
        {**SHORT, "adds": ["cap"], "takes": ["carrier"], "cut_tolerance": "0 ± 0.02"}, parts
    ).findings()[0]
    assert "measured" in second.details
    assert second.details["measured"] == "cap and carrier"
    assert second.details["worth measuring next"].startswith(("travel", "seat"))
    assert second.verdict is Verdict.HOLDS


def test_a_plug_that_was_cut_and_measured_is_corrected():
    long = ask(PLUG, length="25.0 measured ± 0.02")
    # The window is 21.6 to 24.6; with the caliper's 0.02 it is 21.62 to 24.58.
    assert long.change[1] == "take another 0.42 mm to 3.38 mm off this one"
    short = ask(PLUG, length="21.0 measured ± 0.02")
    assert "too short by 0.62 mm" in short.change[1]
    assert ask(PLUG, length="24.5 measured ± 0.02").verdict is Verdict.HOLDS
    mended = ask(PLUG, length=f"{25.0 - 0.42} measured ± 0.02")
    assert mended.verdict is Verdict.HOLDS
    # Room within 1.8 mm instead of 0.6 leaves 22.8 to 23.4: a disc of less than a millimetre makes up for 22.6.
    rough = {**PLUG, "adds": ["118.0 ± 1.5"]}
    assert "too short by 0.22 mm" in ask(rough, length="22.6 measured ± 0.02").change[1]
    assert ask(rough, length="23.6 measured ± 0.02").change[1] == "take another 0.22 mm to 0.78 mm off this one"


@pytest.mark.parametrize(
    ("given", "answer"),
    [
        ({"length": "20 ± 0.3"}, "Cut another plug to 23.10 mm: .*[.] This one, 20 ± 0.3 mm, is too short[.]"),
        ({"length": "21.7 ± 0.3"}, "Cut another plug to 23.10 mm: .*[.] This one, 21.7 ± 0.3 mm, can be too short[.]"),
        ({"length": "25 measured ± 0.02"}, "Cut the plug to 23.10 mm: .*[.] This one, 25 ± 0.02 mm, is too long[.]"),
        (
            {
                "travel": "0.16 ± 0.01 in",
                "seat": "0.36 ± 0.01 in",
                "adds": ["0.65 ± 0.02 in"],
                "length": "0.8 ± 0.01 in",
            },
            "Cut another plug to 0.915 in: .*[.] This one, 0.8 ± 0.01 in, is too short[.]",
        ),
        # No cut with so wide a tolerance works: there is no length to name.
        ({"length": "22 ± 2"}, "This plug does not work for every part: .*, can be too short[.]"),
    ],
)
def test_a_plug_that_does_not_work_is_answered_by_the_length_to_cut_to(given, answer):
    asked = {"travel": "4 ± 0.2", "seat": "9 ± 0.2", "adds": ["16.5 ± 0.6"], "takes": [], **given}
    asked |= {} if "in" in asked["travel"] else {"hold": "0.3 mm", "free": "0.1 mm"}
    found = fc.ask("plug_length", **asked)[0]
    assert found.verdict is Verdict.FAILS
    assert re.fullmatch(answer, found.answer)
    if cut := re.match(r"Cut (?:another|the) plug to ([\d.]+ \w+): ", found.answer):
        assert f"plug to {cut[1]}, or to between" in found.change[0]
        tolerance = given["length"].partition("±")[2]
        again = fc.ask("plug_length", **{**asked, "length": f"{cut[1].split()[0]} ±{tolerance}"})[0]
        assert again.verdict is Verdict.HOLDS
        assert all(move.made(PlugLength.read(asked)).findings()[0].verdict is Verdict.HOLDS for move in found.moves)


def test_a_plug_bought_too_short_says_how_long_it_must_be():
    asked = {"travel": "4 ± 0.2", "seat": "9 ± 0.2", "adds": ["16.5 ± 0.6"], "kerf": "0.8 mm", "facing": "0.5 mm"}
    short = fc.ask("plug_length", **asked, bought="15 ± 0.5")[1]
    assert short.answer.startswith(
        "The plug as bought is too short: 24.40 mm is needed; it is too short by 9.40 mm, at"
    )


def test_marking_out_allows_for_facing_and_the_saw():
    details = ask(PLUG, kerf="0.8 mm", facing="0.5 mm", bought="38 ± 0.5").details
    assert details["mark out from the tip"] == "23.60 mm"
    assert details["to cut off"] == "14.90 mm"
    assert details["offcut"] == f"at the least {37.5 - 23.1 - 0.5 - 0.8:.2f} mm"
    scant = ask(PLUG, kerf="0.8 mm", facing="0.5 mm", bought="23.9 ± 0.1").details
    assert "file or face it off" in scant["to cut off"]
    assert "mark out from the tip" not in ask(PLUG, kerf="0.8 mm", length="24 measured ± 0.02").details
    assert "mark out from the tip" not in ask(PLUG).details


def test_what_fails_even_with_nominal_parts_is_counted_by_sampling():
    finding = ask(PLUG, seat="4.4 ± 0.1")
    assert "samples" in finding.details["cuts that work"]
    shown = float(finding.details["cuts that work"].split(" %")[0])
    assert shown == pytest.approx(100 * (1 - finding.probability), abs=0.5)
    assert "length that works most often" not in finding.details


def test_a_cell_in_the_room_goes_by_its_name():
    question = PlugLength.read({**PLUG, "takes": ["cell 18650", "36 ± 0.1"]})
    low, high = fc.questions.cells.cell("18650").length
    assert question.room.worst_case() == pytest.approx((117.7 - high - 36.1, 118.3 - low - 35.9))


def test_inches_are_marked_in_thousandths():
    asked = {"travel": "0.160 ± 0.005 in", "seat": "0.360 ± 0.005 in", "adds": ["0.650 ± 0.010 in"], "hold": "0.01 in"}
    finding = ask(asked, kerf="0.030 in", facing="0.020 in")
    assert finding.details["mark out from the tip"].endswith(" in")
    assert finding.verdict is Verdict.HOLDS


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"kerf": "-0.8 mm"}, "kerf = -0.8 mm"),
        ({"facing": "-0.1 mm"}, "facing = -0.1 mm"),
        ({"hold": "-1 mm"}, "hold = -1 mm"),
        ({"kerf": "0.8 N"}, "kerf = '0.8 N' is a force"),
        ({"adds": []}, "adds"),
        ({"takes": ["130 ± 1"]}, "takes: together 130.00 mm, 12.00 mm more than the room of 118.00 mm: .* exceeds"),
        ({"seat": "4 ± 0.2", "travel": "9 ± 0.2"}, "seat = 4 ± 0.2 mm: more than travel = 9 ± 0.2 mm is needed"),
        ({"kerff": "1"}, "kerff: unknown.*did you mean 'kerf'"),
    ],
)
def test_bad_input_is_one_clear_line(change, words):
    with pytest.raises(InputError, match=words) as caught:
        ask(PLUG, **change)
    assert "\n" not in str(caught.value)


def test_a_plug_bought_too_short_fails():
    asked = {"travel": "4.0 ± 0.2", "seat": "9.0 ± 0.2", "adds": ["16.5 ± 0.6"]}
    for bought, verdict in (("20 ± 0.5", "fails"), ("38 ± 0.5", "holds"), ("23.2 ± 0.5", "fails")):
        margin, long_enough = fc.ask("plug_length", **asked, bought=bought)
        assert margin.verdict == "holds"
        assert long_enough.verdict == verdict
    assert "is too short by 3.10 mm" in fc.ask("plug_length", **asked, bought="20 ± 0.5")[1].answer
    assert len(fc.ask("plug_length", **asked, bought="20 ± 0.5", length="23.1 measured ± 0.05")) == 1


def test_room_that_the_takes_may_exceed_never_passes_for_a_plug_that_holds():
    asked = {"travel": "4 ± 0.2", "seat": "9 ± 0.2", "adds": ["16.5 ± 0.6"]}
    for takes in (["30 ± 1"], ["16.51"]):
        with pytest.raises(InputError, match="exceeds the room"):
            fc.ask("plug_length", **asked, takes=takes)
    margin, room = fc.ask("plug_length", **asked, takes=["16 ± 0.4"])
    assert margin.verdict is Verdict.HOLDS
    assert room.verdict is Verdict.FAILS
    assert "below 0 the takes exceed it" in room.answer
    # Two uniform tolerances, 0.6 and 0.4, and 0.5 to spare: the corner of 0.5 by 0.5 of the 1.2 by 0.8 field.
    assert room.probability == pytest.approx(0.5 * 0.5**2 / (1.2 * 0.8))
    assert len(fc.ask("plug_length", **asked, takes=["15.5 ± 0.4"])) == 1


def test_the_worst_case_of_the_smaller_margin_is_exact():
    # The two margins share room and length: together they have seat - travel - hold - free, at the most 5.0.
    assert ask(PLUG).worst_case.max == pytest.approx(2.5, abs=1e-12)
    assert PlugLength.read(PLUG).smaller_margin.worst_case_method == "exact: the least of several sums"


@pytest.mark.parametrize("unit", ["mm", "cm", "m", "in", "µm"])
def test_the_length_that_is_advised_works_in_every_unit(unit):
    """A step of 0.005 m would have cut the plug to 25 mm, where 21.6 to 24.6 mm work."""
    one = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "µm": 1e-3}[unit]
    notes = {key: f"{x / one:.10g} ± {t / one:.10g} {unit}" for key, (x, t) in LENGTHS.items()}
    room = notes.pop("adds")
    (plug,) = fc.ask("plug_length", adds=[room], **notes)
    assert plug.verdict == "holds"
    said = re.match(rf"Cut the plug to ([\d.]+) {unit}:", plug.answer)
    (again,) = fc.ask("plug_length", adds=[room], length=f"{said[1]} {unit}", **notes)
    assert again.verdict == "holds"


LENGTHS = {"travel": (4.0, 0.2), "seat": (9.0, 0.2), "adds": (16.5, 0.6)}


def test_a_window_that_the_risk_closes_says_so_and_only_what_opens_it_is_advised():
    """Hardly more than the seat varies: its normal spread leaves its zone more often than is accepted."""
    alone = {"travel": "4 ± 0.01", "adds": ["118.0"], "takes": ["101.5"], "cut_tolerance": "0", "hold": "0.3"}
    seat = "4.825 ± 0.4, normal"
    closed = ask(alone, seat=seat)
    assert closed.verdict is Verdict.FAILS
    assert closed.change == (
        "no length is within the risk: what was measured must be measured more closely, or the rest tightened",
    )
    assert ask(alone, seat=seat, risk=0.01).verdict is Verdict.HOLDS
    # A room that varies closes it at worst case too; held closer it would open a window that the risk closes again.
    alone |= {"seat": "4.85 ± 0.4, normal", "risk": 0.0005}
    question = PlugLength.read({**alone, "adds": ["118.0 ± 0.1"]})
    closer = {**alone, "adds": ["118.0 ± 0.02"]}
    assert PlugLength.read(closer).margins.slack >= 0
    assert ask(closer).verdict is Verdict.FAILS
    told, *_ = question.findings()
    assert [edit.key for move in told.moves for edit in move.edits if edit.key != "length"] == ["seat"]
    for move in told.moves:
        assert move.made(question).findings()[0].verdict is Verdict.HOLDS


@pytest.mark.parametrize(
    ("more", "number"),
    [
        ({}, 1),
        ({"bought": "38 ± 0.5"}, 2),
        ({"bought": "38 ± 0.5", "length": "23 ± 0.1"}, 1),
        ({"adds": ["16.5 ± 0.6"], "takes": ["16 ± 0.4"]}, 2),
    ],
)
def test_each_device_of_a_lot_is_judged_as_the_question_is_answered(more, number):
    question = PlugLength.read({**PLUG, **more})
    found, judged = question.findings(), question.judged()
    assert len(found) == len(judged) == number
    for finding, (quantity, requirement) in zip(found, judged, strict=True):
        assert finding.worst_case == pytest.approx(quantity.worst_case())
        assert finding.requirement == requirement
