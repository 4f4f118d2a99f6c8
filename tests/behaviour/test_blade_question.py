"""The blade question: the slug to cut, its own screw, tilt and tip wander, heat. All numbers here are invented.

Checked against corner enumeration, plane geometry in shapely, and exact mathematics.
"""

import itertools
import json
import math
from pathlib import Path

import numpy as np
import pytest
from asked import DEPTH
from shapely import affinity
from shapely.geometry import LineString, Polygon

import fitcheck as fc
from fitcheck.errors import InputError
from fitcheck.mechanics.blade import bow_offset, play_at, pressed_offset, tilt, tip_offset, wedging_depth
from fitcheck.questions import BladeDepth, Verdict
from fitcheck.questions.blade.findings import _landing as landing_alone
from fitcheck.questions.blade.findings import lengths_asked
from fitcheck.questions.finding import Requirement
from fitcheck.questions.remedy import allowed_lengths, allowed_moves, enough, needed_shift

ASKED = {
    "adds": ["60 ± 0.2", "4 ± 0.1"],
    "takes": ["3 ± 0.1", "14.5 ± 0.3", "slug", "1.5 ± 0.1"],
    "at_least": "36 mm",
    "at_most": "40 mm",
    "screws": ["12 ± 0.2", "34 ± 0.2"],
    "cover": "2 mm",
    "cut": "slug",
    "slug_screw": "58.5 ± 0.2",
    "slug_cover": "1 mm",
}
PLAY = {"blade": "25.0 ± 0.1", "bore": "25.4 +0.1/-0", "blade_length": "300 ± 1"}
WARM = {"temperature": "-10 .. 45 °C", "blade_material": "polycarbonate", "socket_material": "6061-T6"}


def ask(slug="8 ± 0.1", **more):
    asked = {key: value for key, value in {**ASKED, **more}.items() if value is not None}
    return BladeDepth.read(asked, {"slug": fc.dim(slug, name="slug")})


def corners(*dimensions):
    return itertools.product(*[(d.lower, d.upper) for d in dimensions])


def meets_at_every_corner(question):
    """Every requirement at every corner of the stack, written out without the library's sums."""
    n, m = len(question.adds), len(question.takes)
    for sizes in corners(*question.adds, *question.takes, *question.screws, question.slug_screw):
        adds, takes, axes, slug_axis = sizes[:n], sizes[n : n + m], sizes[n + m : -1], sizes[-1]
        seat = sum(adds) - sum(takes)
        top_of_slug = sum(adds) - takes[3] - takes[2]
        fits = 36 - 1e-9 <= seat <= 40 + 1e-9 and all(seat - axis >= 2 - 1e-9 for axis in axes)
        if not (fits and slug_axis - top_of_slug >= 1 - 1e-9):
            return False
    return True


@pytest.mark.parametrize("middle", ["58.5 ± 0.2", "57.5 ± 0.2"])
def test_slug_lengths_that_work_are_those_of_the_enumerated_corners(middle):
    question = ask(slug_screw=middle)
    slug = question.takes[2]
    worst, likely = allowed_lengths(slug, lengths_asked(question))
    assert likely.min <= worst.min
    assert likely.max >= worst.max
    for length in np.arange(4.0, 9.0, 0.1) + 0.005:
        inside = worst.min <= length <= worst.max
        assert bool(inside) is meets_at_every_corner(ask(f"{length} ± 0.1", slug_screw=middle)), length


def test_the_answer_names_lengths_of_slug_or_says_that_none_works():
    details = ask(slug_screw="59.5 ± 0.2").findings()[0].details
    # Without slug it is 45 deep, with 0.9 of tolerances. At most 40 deep needs a slug of 45 + 0.9 - 40 = 5.9, which is
    # more than its screw asks for; the far screw, with 1.1 of tolerances, leaves 45 - 1.1 - 34 - 2 = 7.9.
    assert details["slug that works at worst case"] == "5.90 mm to 7.90 mm"
    assert details["depth gained by cutting slug"] == "1 mm for each mm"
    assert ask(slug_screw="56 ± 0.2").findings()[0].details["slug that works at worst case"] == "none"


def test_the_most_that_can_be_cut_leaves_the_screw_just_landing():
    question = ask()
    worst, likely = question.slug.most_cut
    assert worst == pytest.approx(58.5 + 8 + 1.5 - 64 - 0.7 - 1)
    assert likely > worst
    for cut, verdict in [(worst - 1e-6, "holds"), (likely - 1e-3, "likely"), (likely + 1e-3, "fails")]:
        towards_mouth = ask(f"{8 - cut} ± 0.1").findings()[3]
        assert towards_mouth.verdict == verdict
        assert towards_mouth.quantity.endswith("towards the mouth")
    assert "2.30 mm can be cut off slug" in ask().findings()[3].answer
    assert "Nothing can be cut off slug" in ask("5 ± 0.1").findings()[3].answer


def cuts_offered(finding):
    return [float(line.split()[2]) for line in finding.change if line.startswith("cut slug ")]


def test_no_cut_is_offered_that_the_screw_of_the_slug_does_not_allow():
    """The far screw at 40 asks for more and more of the slug; its own screw allows 2.3 mm at worst case."""
    worst, likely = ask().slug.most_cut
    for axis in np.arange(34.0, 40.0, 0.25):
        question = ask(screws=[f"{axis} ± 0.2"], at_most=None, cover="1 mm")
        landing = landing_alone(question, 1)
        need = -(64 - 3 - 14.5 - 8 - 1.5 - axis) + 1 + 1.1  # to hold at worst case
        if landing.verdict is Verdict.HOLDS:
            assert need <= 1e-9
            continue
        offered = cuts_offered(landing)
        assert all(cut <= likely + 0.01 for cut in offered)
        at_worst = [line for line in landing.change if line.startswith("cut slug ") and "worst case" in line]
        assert bool(at_worst) is bool(need <= worst + 1e-9), axis
        for line in at_worst:
            shorter = 8 - float(line.split()[2])
            mended = ask(f"{shorter} ± 0.1", screws=[f"{axis} ± 0.2"], at_most=None, cover="1 mm").findings()
            assert mended[1].verdict is Verdict.HOLDS
            assert mended[2].worst_case.min >= 1 - 0.006, "its own screw still lands"
        if not offered:
            assert landing.change[0].startswith("no cut that its screw allows for slug does it: ")
            assert "would have to come off" in landing.change[0]
            assert any(line.startswith("set the screw of slug deeper") for line in landing.change)
    assert not offered, "the last one asks for more than is allowed"
    assert question.findings()[1].change == landing.change


def test_no_more_is_cut_off_than_there_is():
    landing = ask("3 ± 0.1", slug_screw=None, screws=["45 ± 0.2"], at_most=None).findings()[1]
    assert not cuts_offered(landing)
    (only,) = landing.change
    assert only.startswith("no cut of slug, 3 ± 0.1 mm, does it: ")
    # 42 deep, 3 short of the axis, 2 asked for: 5 without tolerances, 6.1 with all 1.1 of them.
    worst, likely = (float(words.split()[0]) for words in only.split(": ")[1].split(" and "))
    assert 5 < likely < worst == 6.1
    assert only.endswith(" to be within the risk would have to come off")
    assert [name for name, _ in ask().findings()[0].drawing.below] == [
        "takes no. 1",
        "takes no. 2",
        "slug",
        "takes no. 4",
    ]


def test_the_slug_must_reach_beyond_its_screw_on_the_far_side_too():
    far = ask(slug_screw="61 ± 0.2").findings()[4]
    assert far.nominal == pytest.approx(64 - 1.5 - 61)
    assert far.worst_case.min == pytest.approx(1.5 - 0.6)
    assert far.verdict is not Verdict.HOLDS
    assert "0.10 mm nearer to the mouth" in far.change[0]


def test_two_slugs_of_one_part_gain_two_for_one():
    question = ask(takes=["3 ± 0.1", "14.5 ± 0.3", "slug", "slug"], screws=["30 ± 0.2"], slug_screw=None, at_most=None)
    assert question.findings()[0].details["depth gained by cutting slug"] == "2 mm for each mm"
    takes = ["3 ± 0.1", "14.5 ± 0.3", "slug", "slug"]
    alone = {"takes": takes, "screws": ["30 ± 0.2"], "slug_screw": None, "at_most": None, "cover": "4"}
    landing = ask(**alone, at_least="30").findings()[1]
    # 64 - 17.5 - 16 = 30.5 deep, 0.5 beyond; 4 asked for and 1.1 of tolerances: 4.6 is missing, 2.3 off each.
    assert landing.change[0].startswith("cut slug 2.30 mm shorter")
    assert landing.answer.startswith("Cut slug 2.30 mm shorter: the blade reaches 0.50 mm beyond")


def test_a_spacer_that_lies_above_the_blade_and_under_it_is_not_made_longer():
    """One part taken twice, down and up again, makes no difference; the tube beside it does."""
    spacer, tube, seat = (
        fc.dim(size, name=name) for size, name in (("3 ± 0.1", "s"), ("64 ± 0.2", "t"), ("14 ± 0.3", ""))
    )
    asked = BladeDepth(adds=(spacer, tube), takes=(spacer, seat), at_least=52.0)
    depth = asked.findings()[0]
    assert depth.change[0] == "seat the blade 2.50 mm deeper and it holds at worst case"
    longer = depth.moves[0].made(asked)
    assert longer.adds[0] == spacer
    assert longer.adds[1].middle == pytest.approx(66.5)
    assert longer.findings()[0].verdict is Verdict.HOLDS


def test_one_cut_is_advised_that_meets_every_requirement():
    """Two findings that each ask for another cut of one slug would stand on the first page as two things to do."""
    stack = {"takes": ["3 ± 0.1", "14.5 ± 0.3", "slug"], "at_least": "39", "slug_screw": None, "at_most": None}
    asked = ask(**stack, screws=["37 ± 0.2"], cover="4")
    depth, landing = asked.findings()[:2]
    alone = ask(**stack, screws=[]).findings()[0]
    assert depth.change[0] == landing.change[0]
    assert alone.change[0] != depth.change[0]
    assert all(one.verdict is Verdict.HOLDS for one in landing.moves[0].made(asked).findings()[:2])


def test_moves_within_the_risk_miss_by_just_the_risk():
    total = fc.dim("10 ± 0.5") + fc.dim("5 ± 0.2, normal")
    for requirement in (Requirement(at_least=15.2), Requirement(at_most=15.1, risk=0.01)):
        move = needed_shift(total, requirement).within_risk
        moved = total + move
        assert moved.probability(below=requirement.at_least, above=requirement.at_most) == pytest.approx(
            requirement.risk, rel=1e-6
        )
    both = allowed_moves(total, Requirement(at_least=14, at_most=16))
    assert both.at_worst_case == pytest.approx((-0.3, 0.3))
    assert allowed_moves(total, Requirement(at_least=14.5, at_most=15)).at_worst_case.min > 0
    assert needed_shift(total, Requirement(at_least=14.5, at_most=15)) == (None, None)


def test_a_risk_of_more_than_half_asks_for_no_more_than_a_smaller_one():
    total = fc.dim("10 ± 0.5") + fc.dim("5 ± 0.2, normal")
    for limits in ({"at_least": 15.2}, {"at_most": 14.8}):
        likely, even, generous = (
            needed_shift(total, Requirement(risk=risk, **limits)).within_risk for risk in (0.1, 0.5, 0.9)
        )
        moved = total + generous
        assert moved.probability(below=limits.get("at_least"), above=limits.get("at_most")) <= 0.9
        assert 0 < abs(generous) <= abs(even) < abs(likely)


def test_no_amount_is_told_where_none_is_enough():
    """What does not change by the amount is never enough, however far one goes; nor is one beyond the farthest."""
    need, total = Requirement(at_least=6), fc.dim("5 ± 0.1") + 0.0
    assert enough(lambda by: [total], need, 0.5, fc.units.MM, math.inf) is None
    assert enough(lambda by: [total + by], need, 0.5, fc.units.MM, 1.0) is None
    assert enough(lambda by: [total + by], need, 1.1, fc.units.MM, 2.0) == pytest.approx(1.1)


def test_what_does_not_depend_on_a_part_says_nothing_of_its_length():
    slug, other = fc.dim("8 ± 0.1"), fc.dim("3 ± 0.1")
    asked = [(20 - slug, Requirement(at_least=10, at_most=13))]
    alone = allowed_lengths(slug, asked)
    assert alone.at_worst_case == pytest.approx((7.1, 9.9))
    for need in (Requirement(at_least=2), Requirement(at_least=50)):
        assert allowed_lengths(slug, [*asked, (other + 0.0, need)]) == alone


STACKS = json.loads((Path(__file__).parents[1] / "reference" / "stack_examples.json").read_text())["linear_stacks"]
TEXTBOOK = [
    case
    for case in STACKS
    if all("tol_plus" in d and abs(d["coef"]) == 1 for d in case["dims"]) and any(d["coef"] > 0 for d in case["dims"])
]
LIMITS = {"L15": (149.83, 150.21), "L17": (55.7, 56.3), "L24": (11.9, 12.1)}
"""Normal stacks with a printed probability of staying within two limits; tests/published compares what is printed."""


@pytest.mark.parametrize("case", TEXTBOOK, ids=lambda case: case["id"])
def test_textbook_stacks_through_the_question(case):
    """Sources: tests/reference/stack_examples.json names the book or note of every case."""
    made = [
        (d["coef"], fc.dim(d["nominal"], plus=d["tol_plus"], minus=d["tol_minus"], name=d["name"]))
        for d in case["dims"]
    ]
    question = BladeDepth.read(
        {"adds": [d for c, d in made if c > 0], "takes": [d for c, d in made if c < 0], "at_least": -1e3}
    )
    known = case["computed"]
    (finding,) = question.findings()
    assert finding.nominal == pytest.approx(known["nominal"], abs=1e-9)
    assert finding.worst_case == pytest.approx((known["wc_min"], known["wc_max"]), abs=1e-9)
    shares = {row.name: 100 * row.variance_share for row in finding.drivers}
    assert shares == pytest.approx(known["percent_contribution"], rel=1e-8)


@pytest.mark.parametrize("name", LIMITS)
def test_textbook_probabilities_through_the_question(name):
    low, high = LIMITS[name]
    (case,) = (case for case in STACKS if case["id"] == name)
    made = [
        (d["coef"], fc.dim(d["nominal"], plus=3 * d["sigma"], spread="normal", name=d["name"])) for d in case["dims"]
    ]
    question = BladeDepth.read(
        {
            "adds": [d for c, d in made if c > 0],
            "takes": [d for c, d in made for _ in range(-c)],  # a part taken twice is the same dimension twice
            "at_least": low,
            "at_most": high,
        }
    )
    known = case["computed"]
    within = next(value for key, value in known.items() if key.startswith("P"))
    if name == "L15":
        within = known["P_149_83_150_21"]
    assert 1 - question.findings()[0].probability == pytest.approx(within, rel=2e-9)


# -- play, tilt, wander ---------------------------------------------------------------------------------------


def stands(D, d, H, angle, length):
    """Whether a blade leaning to the right by `angle` has a place in the socket, by polygons.

    Its right lower corner stands on the seat; it is moved so that its left lower corner touches the left wall.
    """
    walls = Polygon([(0, -1), (0, H), (-9 * D, H), (-9 * D, -1)]).union(
        Polygon([(D, -1), (D, H), (9 * D, H), (9 * D, -1)])
    )
    blade = affinity.rotate(
        Polygon([(0, 0), (d, 0), (d, length), (0, length)]), -angle, origin=(0, 0), use_radians=True
    )
    blade = affinity.translate(blade, 0, d * math.sin(angle))
    return blade.intersection(walls).area < 1e-10 * d


@pytest.mark.parametrize(("D", "d", "H"), [(25.4, 25.0, 38.5), (25.6, 24.9, 12.0), (10.0, 8.0, 30.0), (20.0, 20.0, 9)])
def test_tilt_is_where_the_polygons_touch(D, d, H):
    angle = tilt(D, d, H)
    assert stands(D, d, H, angle, 60.0) or angle == 0
    assert not stands(D, d, H, angle + 1e-4, 60.0)
    assert stands(D, d, H, max(angle - 1e-4, 0), 60.0)
    assert angle == pytest.approx((D - d) / H, rel=0.3)


def test_the_tip_is_where_a_line_along_the_tilted_blade_ends():
    D, d, H, b = 25.4, 25.0, 38.5, 300.0
    angle = tilt(D, d, H)
    axis = affinity.rotate(LineString([(d / 2, 0), (d / 2, b)]), -angle, origin=(0, 0), use_radians=True)
    assert tip_offset(D, d, H, b) == pytest.approx(axis.coords[1][0] - D / 2)
    assert tip_offset(D, d, H, b) == pytest.approx((D - d) * (b / H - 0.5), rel=0.01)
    # A blade no longer than its socket can do no more than shift.
    assert tip_offset(D, d, H, 20.0) == pressed_offset(D, d) == pytest.approx(0.2)


def test_bow_of_a_flat_arc():
    b, H, bow = 300.0, 40.0, 0.8
    R = (b / 2) ** 2 / (2 * bow) + bow / 2  # circle through both ends and the top of the arc
    points = [(R * math.sin(s / R), R * (1 - math.cos(s / R))) for s in (0.0, H, b)]
    (x0, y0), (x1, y1), (x2, y2) = points
    off = ((x2 - x0) * (y1 - y0) - (y2 - y0) * (x1 - x0)) / math.hypot(x1 - x0, y1 - y0)
    assert bow_offset(bow, H, b) == pytest.approx(abs(off), rel=2e-3)
    assert bow_offset(bow, 300.0, 200.0) == 0


def test_play_at_a_temperature_is_free_expansion():
    assert play_at(25.4, 25.0, 23.6e-6, 67.5e-6, 20.0) == pytest.approx(0.4)
    assert play_at(25.4, 25.0, 23.6e-6, 67.5e-6, 60.0) == pytest.approx(0.4 + 40 * (25.4 * 23.6e-6 - 25 * 67.5e-6))
    assert wedging_depth(0.3, 25.0) == pytest.approx(7.5)


def test_heat_makes_a_close_plastic_blade_bind():
    close = {**PLAY, **WARM, "bore": "25.06 ± 0.02", "blade": "25.0 ± 0.05"}
    goes_in, warm = ask(**close).findings()[5:]
    # At 20 °C the largest blade is 0.01 too large for the least bore.
    assert goes_in.quantity == "play of the blade in the bore"
    assert goes_in.worst_case.min == pytest.approx(-0.01)
    assert "from -10 °C to 45 °C" in warm.quantity
    assert warm.verdict is Verdict.FAILS
    # The largest blade in the least bore, at 45 °C with the plastic that expands most and the metal that does least.
    pc, al = fc.material("polycarbonate").expansion, fc.material("6061-T6").expansion
    assert warm.worst_case.min == pytest.approx(25.04 * (1 + 25 * al.lower) - 25.05 * (1 + 25 * pc.upper), abs=1e-6)
    off = 25.0 - float(warm.change[0].split()[1])
    (again,) = ask(**{**close, "blade": f"{off} ± 0.05"}).findings()[5:]
    assert again.quantity == warm.quantity
    assert again.verdict is Verdict.HOLDS


@pytest.mark.parametrize(
    "more", [{}, {**WARM}, {"screws": []}, {"blade": "2.50 ± 0.01 cm", "bore": "2.44 ± 0.0025 cm"}]
)
def test_a_blade_that_does_not_go_in_is_a_finding_that_fails(more):
    """27 in a bore of 25.4, as in a sheet that gave the blade of another wand: the depth is no answer."""
    asked = {"adds": ["55 ± 0.2"], "takes": ["16 ± 0.3", "6 ± 0.1"], "at_least": "30 mm", "outside": "29.4 ± 0.03",
             "blade": "27 ± 0.02", "bore": "25.4 ± 0.02", "screws": ["12 ± 0.2"], **more}  # fmt: skip
    (play,) = [f for f in BladeDepth.read(asked).findings() if f.quantity == "play of the blade in the bore"]
    assert play.verdict is Verdict.FAILS
    assert play.answer.startswith("The blade does not go in: it is ")
    assert play.worst_case.max < 0
    (off,) = [line.split(" off ")[0].removeprefix("take ") for line in play.change if "worst case" in line]
    smaller = fc.dim(asked["blade"]) - fc.dim(off)
    assert (fc.dim(asked["bore"]) - smaller).worst_case().min >= -1e-10


def test_a_blade_that_goes_in_needs_no_finding_of_its_own():
    found = BladeDepth.read({**DEPTH, "blade": "25 ± 0.1", "bore": "25.4 ± 0.1"}).findings()
    assert len(found) == 1
    pressed = {**DEPTH, "blade": "25.5 ± 0.02", "bore": "25.4 ± 0.02", "play_at_least": "-0.15 mm"}
    assert len(BladeDepth.read(pressed).findings()) == 1, "a blade that may be pressed in"


def test_tip_wander_before_and_after_tightening():
    asked = {**PLAY, "slug_screw": None, "wander_at_most": "0.4 mm"}
    tight = ask(**asked).findings()[-1]
    assert tight.quantity == "tip wander, screws tight"
    assert tight.worst_case == pytest.approx((0.15, 0.3))
    assert tight.verdict is Verdict.HOLDS
    loose = ask(**asked, screws=[]).findings()[-1]
    assert loose.quantity == "tip wander, loose"
    question = ask(**asked)
    depth = question.depth.worst_case()
    ends = [tip_offset(D, d, H, b) for D, d, H, b in itertools.product((25.4, 25.5), (24.9, 25.1), depth, (299, 301))]
    assert loose.worst_case == pytest.approx((min(ends), max(ends)), abs=1e-6)
    assert loose.verdict is Verdict.FAILS
    assert "deg" in loose.details["tilt, loose"]
    taken = float(loose.change[0].split()[2])
    mended = ask(**{**asked, "bore": f"{25.4 - taken} +0.1/-0", "screws": []}).findings()[-1]
    assert mended.worst_case.max <= 0.4 + 1e-9


def test_a_blade_too_large_for_its_bore_does_not_pass_for_one_that_cannot_wander():
    large = {**PLAY, "blade": "25.6 ± 0.05", "slug_screw": None, "wander_at_most": "1 mm"}
    play, wander = ask(**large).findings()[-2:]
    assert play.verdict is Verdict.FAILS
    assert "0.20 mm too large" in play.answer
    assert any("does not go into" in line for line in wander.assumptions)
    off = float(play.change[0].split()[1])
    assert ask(**{**large, "blade": f"{25.6 - off} ± 0.05"}).findings()[-2].verdict is Verdict.HOLDS
    warm = ask(**{**large, **WARM}).findings()
    assert [f.quantity.split()[0] for f in warm[-2:]] == ["play", "tip"]


def test_a_bow_can_be_all_of_the_wander():
    bent = ask(**PLAY, bow="0.5 ± 0.3", wander_at_most="1 mm", slug_screw=None).findings()[-1]
    assert bent.verdict is Verdict.FAILS
    assert "bow alone" in bent.change[0]
    assert bent.drivers[0].name == "bow"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"cut": "", "slug_screw": "58 ± 0.2"}, "slug_screw: cut is needed"),
        ({"adds": ["slug", "60"]}, "cut = 'slug': it is among adds too"),
        ({"wander_at_most": "1 mm"}, "wander_at_most: blade, bore and blade_length must be given"),
        ({**PLAY, "temperature": "-10 .. 45 °C"}, "temperature: blade_material and socket_material must"),
        ({**PLAY, **WARM, "temperature": "45 mm"}, "temperature = '45 mm' is a length"),
        ({**PLAY, **WARM, "blade_material": "glas"}, "blade_material"),
        ({**PLAY, "wander_at_most": "-1 mm"}, "wander_at_most = -1 mm"),
        ({"bow": "0.2 ± 0.3"}, "bow"),
        ({"blade": "0.1 ± 0.3"}, "blade = "),
        ({**PLAY, "adds": ["30"], "at_least": "1", "wander_at_most": "1", "screws": []}, "too shallow for this play"),
        ({**PLAY, "adds": ["27"], "at_least": "1", "wander_at_most": "1"}, "a depth above 0"),
    ],
)
def test_bad_input_is_one_clear_line(change, words):
    with pytest.raises(InputError, match=words) as caught:
        ask(**{"slug_screw": None, **change}).findings()
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("function", "arguments", "words"),
    [
        (tilt, (25.4, 25.0, 0.0), "depth"),
        (tilt, (25.4, -25.0, 30.0), "blade"),
        (tilt, (30.0, 20.0, 25.0), "falls over"),
        (bow_offset, (-0.1, 30.0, 300.0), "bow"),
        (wedging_depth, (-0.1, 25.0), "mu"),
    ],
)
def test_models_refuse_what_makes_no_sense(function, arguments, words):
    with pytest.raises(InputError, match=words):
        function(*arguments)
