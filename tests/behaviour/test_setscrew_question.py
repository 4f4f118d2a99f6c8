"""What a user meets who asks about a set screw: findings, what the standards fill in, refusals, pitches.

All numbers here are invented; the checks are plain arithmetic, geometry and the tables of set screws.
"""

import math
import re

import numpy as np
import pytest
from scipy.integrate import trapezoid
from screw_inputs import SCREW

import fitcheck as fc
from fitcheck.errors import InputError
from fitcheck.mechanics import (
    NO_TAPPED_TESTS,
    add_material,
    axial_load,
    dent_depth,
    point_radius,
    short_engagement_factor,
    wall_share,
)
from fitcheck.questions import SetScrew, Verdict, compare_pitches
from fitcheck.questions.moves import Besides
from fitcheck.questions.quantities import shear_assumption
from fitcheck.questions.set_screw.findings import bench_card, dent_finding, loose_finding
from fitcheck.questions.set_screw.remedies import longer_screw
from fitcheck.questions.set_screw.rules_of_thumb import rules_of_thumb
from fitcheck.questions.set_screw.sentences import backing_words, changes, filled_in, fitting_words, locking_words
from fitcheck.questions.set_screw.torque_limits import Gives, advised_torque, dented, most_used, torque_limits
from fitcheck.report import figures
from fitcheck.report.card import _backing as backing_on_card

WALL = {key: value for key, value in SCREW.items() if key not in ("hole", "screw", "pull")}


def without(*keys, **change):
    return {**{key: value for key, value in SCREW.items() if key not in keys}, **change}


@pytest.fixture(scope="module")
def question():
    """A screw with every limit stated, so that all four findings are made."""
    return SetScrew.read({**SCREW, "blade_material": "polycarbonate", "stays": 1, "dent": "0.2 mm", "screws": 2})


@pytest.fixture(scope="module")
def findings(question):
    return question.findings()


def test_the_strip_finding_says_all_that_a_machinist_needs(question, findings):
    strip = findings[0]
    assert set(strip.details) == {
        "at the bench", "threads in the wall", "strip torque", "percent of thread", "flanks",
        "safe torque", "more trials", "textbook strip torque", "rules of thumb", "limits first",
        "risk", "weaker thread", "dent in the blade", "backing off", "outer end", "standard lengths", "self-locking",
        "socket",
    }  # fmt: skip
    assert NO_TAPPED_TESTS in strip.assumptions
    assert any("'bolting 0.6'" in sentence and "45H" in sentence for sentence in strip.assumptions)
    assert not any("6061-T6: 0.6" in sentence for sentence in strip.assumptions), "its shear strength is printed"
    assert strip.probability.standard_error > 0
    assert "threads of M4x0.7 in 6061-T6" in strip.details["at the bench"]
    assert "times the model: it promises too much for 2.1 threads" in strip.details["textbook strip torque"]
    # ISO 4029: 2 mm across flats, 1.5 mm deep in a short M4; a collar maker seats it with 2.2 N·m.
    assert strip.details["socket"].startswith("2.00 mm across flats, at least 1.50 mm deep")
    assert "2.20 N·m" in strip.details["socket"]
    # Sorted, and each limit with its number: the plastic blade is dented first, the hole strips before socket and key.
    order = [part.split()[0] for part in strip.details["limits first"].split("; ")]
    assert order == ["blade", "hole", "socket", "key", "screw"]
    first = strip.details["limits first"]
    assert "key 1.90 N·m (least of ISO 2936, from memory, a good maker's key yields at 2.40 N·m)" in first
    # The screw of 4 mm is shorter than any whose socket is proved, and its socket 1.5 mm deep instead of 2.5 mm.
    assert "socket 1.50 N·m (proof torque of screws from 6 mm, ISO 898-5, and 60% of it by the depth" in first


def test_every_finding_carries_the_cautions_of_strength(findings):
    for finding in findings:
        said = " ".join(finding.cautions)
        for words in ("not a certificate", "fly out", "eye protection", "scrap", "licensed engineer"):
            assert words in said, (finding.quantity, words)


@pytest.mark.parametrize("hand", ["0.12 ± 0.04 N·m", "1.8 ± 0.8 N·m"])
def test_hold_is_judged_at_a_torque_that_the_thread_survives(hand):
    """A thread that the hand torque strips holds nothing, so there the safe torque is judged."""
    question = SetScrew.read({**SCREW, "hand_torque": hand, "screws": 2})
    strip, hold = question.findings()
    survives = strip.probability <= question.risk_a_screw
    used = question.hand_torque if survives else question.put_on_up_to(question.safe_torque)
    torque = used.nominal
    v = {key: d.nominal for key, d in question.strip_inputs.items()}
    load = axial_load(torque, 0.7, v["d2"], 0.15, 0.3, point_radius("cup", 1.9))
    # Of a blade of unknown material 0.6 of the clamp load stay, as of a plastic.
    assert hold.nominal == pytest.approx(0.6 * 2 * load * 0.3, rel=1e-6), "opposed, as nobody says where they press"
    assert ("at the hand torque" if survives else "at the safe torque") in hold.answer
    assert survives == (hand == "0.12 ± 0.04 N·m")
    assert hold.requirement.at_least == pytest.approx(60.0)
    assert "times what is asked for" in hold.details["margin"]


def test_backing_off_counts_the_way_to_the_bore(question, findings):
    loose = findings[2]
    # A thread that 0.4 N·m may strip is turned with no more than the advised torque, which makes the dent.
    torque = min(0.4, advised_torque(question).torque)
    dent = dent_depth(question.load({**question.nominal, "hand_torque": torque}), "cup", 1.9, 86.2)
    turns = (25.4 + 0.026 - 25.0 + dent) / 0.7  # the nominal of 25.4 H9 is 25.4, its middle 25.426
    assert f"backed off {(25.4 - 25.0 + dent) / 0.7:.1f} turns" in loose.answer or f"{turns:.1f} turns" in loose.answer
    # Between the screw's full thread and the outside of the tube, averaged around the hole.
    y = question.nominal["d"] / 2 * np.sin(np.linspace(0, math.pi / 2, 20_001))
    length = np.sqrt(15.0**2 - y**2) - (12.7 + question.nominal["point_length"])
    assert loose.nominal == pytest.approx(trapezoid(length) / 20_000 / 0.7, rel=1e-6)
    assert loose.requirement.at_least == 1


def test_the_dent_is_the_balance_of_forces(question, findings):
    dent = findings[3]
    load = question.load({**question.nominal, "hand_torque": 0.4})
    assert dent.nominal == pytest.approx(float(load) / (math.pi * 1.9 * 2 * 86.2))
    assert dent.verdict is Verdict.FAILS
    asked = {"point": "flat", "point_diameter": "2.4 ± 0.1", "blade_material": "6061-T6", "dent": "0.1 mm"}
    flat = dent_finding(SetScrew.read({**SCREW, **asked}), 0.1)
    assert flat.quantity.startswith("pressure under the point")
    # The friction of a flat acts at a third of its diameter.
    load = axial_load(0.4, 0.7, question.nominal["d2"], 0.15, 0.3, 2.4 / 3)
    assert flat.nominal == pytest.approx(load / (math.pi / 4 * 2.4**2) / 241.3)
    # What is accepted is a depth; the blade bears a flat point up to its strength, however deep a dent would do.
    assert dent.requirement.at_most == pytest.approx(0.2)
    assert flat.requirement.at_most == 1


def test_the_standard_fills_in_what_was_not_measured():
    question = SetScrew.read(without("screw_length", "point_diameter"))
    # ISO 4029, M4: cup 1.75 to 2.0 mm, lengths from 3 mm; ISO 4759-1: ± 0.2 mm at 3 mm.
    tip, length = question.torque_inputs["point_diameter"], question.sizes["screw_length"]
    assert (tip.lower, tip.upper) == pytest.approx((1.75, 2.0))
    assert (length.nominal, length.upper - length.nominal) == pytest.approx((3.0, 0.2))
    incomplete = question.sizes["point_length"]
    # From the chamfer of the widest cup, (4 - 2)/2, to two pitches.
    assert (incomplete.lower, incomplete.upper) == pytest.approx((1.0, 1.4))
    said = " ".join(filled_in(question))
    for name in ("screw length", "point length", "point diameter"):
        assert f"The {name} is not given" in said
    # A thick wall has a length that neither stands out nor drops out: of 7.3 mm of way the longest is 6 mm.
    thick = SetScrew.read(without("screw_length", outside="40.0 ± 0.1"))
    assert thick.sizes["screw_length"].nominal == 6.0
    assert "5.0 mm, 6.0 mm neither" in fitting_words(thick)


def test_a_sunk_screw_loses_thread_at_its_socket_too():
    """3.0 mm on the blade end 0.40 mm under the surface of 31.4 mm; a chamfer of 45° to the root is 0.43 mm deep."""
    sunk = without("screw_length", outside="31.4 ± 0.1", point_length="0.61")
    whole, chamfered, taken = (
        SetScrew.read({**sunk, **end}) for end in ({"socket_end": "0"}, {"socket_end": "0.43"}, {})
    )
    assert whole.sizes["screw_length"].nominal == 3.0
    lost = whole.threads_engaged.nominal - chamfered.threads_engaged.nominal
    assert lost == pytest.approx(0.43 / 0.7)
    # Not given: from that chamfer to one pitch, half of the 2P that may be incomplete.
    end = taken.sizes["socket_end"]
    assert (end.lower, end.upper) == pytest.approx((0.6134 * 0.7, 0.7), rel=1e-4)
    assert taken.strip_torque.nominal < 0.85 * whole.strip_torque.nominal
    assert any("The socket end is not given" in line for line in filled_in(taken))
    # One that stands out of the wall has lost nothing there.
    out = SetScrew.read({**SCREW, "screw_length": "5.0 ± 0.2"})
    assert (
        out.threads_engaged.nominal
        == SetScrew.read({**SCREW, "screw_length": "5.0 ± 0.2", "socket_end": "0"}).threads_engaged.nominal
    )
    assert not any("socket end" in line for line in filled_in(out))
    with pytest.raises(InputError, match=r"socket_end = 3 ± 0.1 mm: less than what the point leaves of the screw of 3"):
        SetScrew.read({**sunk, "socket_end": "3 ± 0.1"})


def test_a_hole_tapped_by_hand_has_a_mouth_and_stands_askew():
    guided, hand = SetScrew.read(SCREW), SetScrew.read(without("tapped"))
    mouth = hand.sizes["bell_mouth"]
    assert (mouth.lower, mouth.upper) == pytest.approx((0.0, 0.25 * 0.7))
    assert hand.slant == pytest.approx(math.radians(1))
    lost = (guided.threads_engaged.nominal - hand.threads_engaged.nominal) * 0.7
    # (2/π) r tan 1° for the slant; the mouth takes no more than its depth.
    askew = 2 / math.pi * hand.nominal["d"] / 2 * math.tan(math.radians(1))
    assert askew < lost <= askew + mouth.nominal
    assert hand.strip_torque.nominal > 0.85 * guided.strip_torque.nominal, "a default that lets nothing pass is none"
    said = " ".join(filled_in(hand))
    assert "bell mouth is not given" in said
    assert "1° off square" in said
    assert said.count("common practice, no source") == 2
    known = SetScrew.read(without("tapped", bell_mouth="0", tap_slant="0 deg"))
    assert known.threads_engaged.nominal == guided.threads_engaged.nominal
    deep = SetScrew.read({**SCREW, "bell_mouth": "0.3", "countersink": "0.2"})
    sunk = SetScrew.read({**SCREW, "countersink": "0.5"})
    assert deep.threads_engaged.nominal == pytest.approx(sunk.threads_engaged.nominal), "it lies under the countersink"


def test_rules_of_thumb_stand_beside_what_was_found(question, findings):
    strip = findings[0]
    rows = {row.rule: row for row in strip.rules}
    assert len(rows) == len(strip.rules) == 8
    assert all(all(row) for row in strip.rules), "a row without its reason or source"
    assert rows["1.5 d of thread in aluminium"].says == "asks 6.00 mm"
    assert rows["at least three threads"].says == "asks 2.10 mm"
    assert strip.details["rules of thumb"].startswith(
        "1 d in steel is 4.0 mm, 1.5 d in aluminium 6.0 mm, three threads"
    )
    # 0.6 of the 310 MPa that are typical of 6061-T6, in place of the strength that the model is fitted with.
    textbook = float(question.torque_to_strip(textbook=True, **question.nominal))
    assert (
        rows["0.6 Rm on the sheared area"].says
        == f"promises {textbook * 0.6 * 310 / question.nominal['tau_wall']:.2f} N·m"
    )
    # π dm τ L / 3, turned into a torque as every load here is.
    v = question.nominal
    load = math.pi * v["d2"] * 205 * float(question.length(v)) / 3
    assert rows["π dm τ L / 3"].says == f"promises {load * float(question.lever(v)) / 1000:.2f} N·m"
    assert "FED-STD-H28/2" in rows["length that breaks the screw first"].source
    assert not any("rules" in line.lower() for line in str(strip).splitlines()), "the short form has no room for them"
    none = SetScrew.read({**SCREW, "screw_length": "0.3"}).findings()[0]
    assert {row.rule for row in none.rules} == set(rows)
    soft = add_material("a wall of unknown Rm", source="invented", shear=60.0)
    fewer = SetScrew.read({**SCREW, "wall_material": soft}).findings()[0].rules
    assert set(rows) - {row.rule for row in fewer} == {
        "0.6 Rm on the sheared area",
        "length that breaks the screw first",
    }


def test_a_tap_drill_says_how_full_the_thread_is():
    """3.3 mm for M4 is the drill of the tables: 100 * 0.7 / (1.299038 * 0.7) = 77 %, less by what it cuts larger."""
    usual, wide = (SetScrew.read({**SCREW, "tap_drill": size}) for size in ("3.3", "3.6"))
    minor = usual.sizes["D1"]
    assert minor.lower == pytest.approx(3.3)
    assert 3.3 < minor.nominal < minor.upper < 3.45
    strip, _, crests = usual.findings()
    assert crests.verdict is Verdict.HOLDS
    assert strip.details["percent of thread"].startswith(
        "with a tap drill of 3.3 mm 64 to 77 % as drill tables count it"
    )
    assert usual.strip_torque.nominal > wide.strip_torque.nominal > 0
    assert wide.findings()[2].verdict is Verdict.FAILS
    assert wide.findings()[2].change == ("use a smaller tap drill",)
    assert usual.pair.internal.minor.max == pytest.approx(minor.upper)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"tap_drill": "3.3", "hole_minor": "3.35"}, r"tap_drill = 3.3 mm, hole_minor = 3.35 mm: the drill or the mea"),
        ({"tap_drill": "2.9"}, r"tap_drill = 2.9 mm: a drill that leaves a hole from 3.17 mm to less than 4.00 mm"),
        ({"tap_drill": "3.95"}, r"tap_drill = 3.95 mm: .* and this one leaves up to 4.0"),
        ({"tap_drill": "0 mm"}, r"tap_drill = 0 mm: a length above 0"),
        ({"tapped": "by eye"}, r"tapped"),
        ({"tap_slant": "12 deg"}, r"tap_slant = 12°: at most 10° is needed"),
        ({"tap_slant": "-1 deg"}, r"tap_slant = -1 deg: an angle of at least 0"),
        ({"bell_mouth": "2.6"}, r"bell_mouth = 2.6 mm: less than the 2.\d+ mm that the countersinks leave"),
    ],
)
def test_a_hole_that_cannot_be_tapped_so_is_refused(change, words):
    with pytest.raises(InputError, match=words):
        SetScrew.read({**SCREW, **change})


def test_an_inch_screw_is_asked_in_inches_and_answers_alike():
    inch = {
        "hole": "#8-32 UNC-2B", "screw": "#8-32 UNC-2A", "outside": "1.181 ± 0.004 in", "bore": "1.000 +0.002/-0 in",
        "blade": "0.984 ± 0.006 in", "screw_length": "0.156 ± 0.010 in", "point_diameter": "0.0815 ± 0.0055 in",
        "hand_torque": "3.5 ± 0.9 in·lbf", "pull": "13.5 lbf",
    }  # fmt: skip
    asked = {**SCREW, **inch}
    metric = {**asked, "outside": "29.9974 ± 0.1016", "bore": "25.4 +0.0508/-0", "blade": "24.9936 ± 0.1524",
              "screw_length": "3.9624 ± 0.254", "point_diameter": "2.0701 ± 0.1397",
              "hand_torque": "0.395446 ± 0.101686 N·m", "pull": "60.05 N"}  # fmt: skip
    one, other = SetScrew.read(asked), SetScrew.read(metric)
    assert one.strip_torque.nominal == pytest.approx(other.strip_torque.nominal, rel=1e-9)
    assert one.threads_engaged.worst_case() == pytest.approx(other.threads_engaged.worst_case(), rel=1e-6)
    assert "in·lbf" in str(one.strip_torque)
    default = SetScrew.read({key: value for key, value in asked.items() if key != "point_diameter"})
    # ASME B18.3, #8: cup 0.076 to 0.087 in.
    tip = default.torque_inputs["point_diameter"]
    assert (tip.lower / 25.4, tip.upper / 25.4) == pytest.approx((0.076, 0.087))


def test_ranges_go_by_name():
    question = SetScrew.read({**SCREW, "hand_torque": "short key", "friction_thread": "C"})
    assert (question.hand_torque.lower, question.hand_torque.nominal, question.hand_torque.upper) == (1.0, 1.8, 3.0)
    assert (question.friction_thread.lower, question.friction_thread.upper) == (0.14, 0.24)


def test_the_pull_of_weight_swing_and_drop():
    def pulled(**how):
        return SetScrew.read(without("pull", mass="0.35 kg", **how)).pulled

    assert pulled() == (pytest.approx(0.35 * 9.80665), "the weight of the blade hanging still")
    swing = {"swing": "12 rad/s", "arm": "800 mm"}
    assert pulled(**swing) == (pytest.approx(0.35 * (144 * 0.8 + 9.80665)), "the swing")
    # The stronger of the two is what must be held.
    assert pulled(**swing, drop="1 m", stop="3 mm") == (pytest.approx(2 * 0.35 * 9.80665 * 1003 / 3), "the drop")
    twisted = SetScrew.read({**SCREW, "twist": "0.5 N·m"})
    assert twisted.demand == pytest.approx(math.hypot(60, 2 * 500 / 25))


def test_the_directions_of_the_screws_count():
    in_line, around = (
        SetScrew.read({**SCREW, "screws": 3, "angles": ["0 deg"] * 3}),
        SetScrew.read({**SCREW, "screws": 3, "angles": ["0 deg", "120 deg", "240 deg"]}),
    )
    v = {key: d.nominal for key, d in {**in_line.strip_inputs, "hand_torque": in_line.hand_torque,
                                       "friction_bore": in_line.friction_bore}.items()}  # fmt: skip
    # Three screws around the blade press nothing on the bore: only the points hold.
    assert around.share == pytest.approx(wall_share(np.radians([0, 120, 240])), abs=1e-12)
    assert around.hold(**v) / in_line.hold(**v) == pytest.approx(0.3 / (0.3 + 0.3))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        # Bad input, as the issue lists it
        ({"bore": "30.0"}, r"bore = 30 mm, outside = .*: no wall is left"),
        ({"bore": "31 ± 0.1"}, r"bore = 31 ± 0.1 mm, outside = .*: no wall is left"),
        ({"blade": "15 ± 0.1"}, r"screw_length = 4 ± 0.2 mm: the screw never reaches the blade"),
        ({"countersink": "2.0", "countersink_inside": "0.6"}, r"countersink = .*: the countersinks meet"),
        ({"countersink": "2.5"}, r"countersink = .*: the countersinks meet"),
        ({"friction_thread": "-0.1"}, r"friction_thread = -0.1: a ratio of at least 0"),
        ({"friction_bore": "0.1 ± 0.2"}, r"friction_bore = 0.1 ± 0.2: a ratio of at least 0"),
        ({"shear_rule": "none"}, r"screw_material: material '45H' has no printed shear strength"),
        ({"shear_rule": None}, r"screw_material: material '45H' has no printed shear strength"),
        ({"hand_torque": "3 N"}, r"hand_torque = '3 N' is a force: a torque is needed"),
        # and what else cannot be
        ({"shear_rule": "bolting"}, r"shear_rule = 'bolting': one of .*did you mean 'bolting 0.6'"),
        ({"hand_torque": "0 N·m"}, r"hand_torque = 0 N·m: a torque above 0"),
        ({"blade": "26 ± 0.1"}, r"blade = 26 ± 0.1 mm: does not enter the bore"),
        ({"screw": "M30x2-6g", "hole": "M30x2-6H"}, r"screw = 'M30x2-6g': a screw narrower than the bore"),
        ({"point_diameter": "4.5"}, r"point_diameter = 4.5 mm: a point not wider than the screw"),
        ({"point_length": "5 ± 0.1"}, r"point_length = 5 ± 0.1 mm: a point not longer than the screw"),
        ({"screw_length": "0"}, r"screw_length = 0 mm: a length above 0"),
        ({"countersink": "-0.1"}, r"countersink = -0.1 mm: a length of at least 0"),
        ({"pull": "-5 N"}, r"pull = -5 N: a force of at least 0"),
        ({"mass": "1 kg"}, r"pull: 60 N and mass = 1 kg are both given"),
        ({"swing": "3 rad/s"}, r"arm: missing: swing and arm go together"),
        ({"swing": "3 rad/s", "reach": "1 m"}, r"reach: is called arm now"),
        ({"swing": "3 rad/s", "arm": "1 m"}, r"mass: missing"),
        ({"angles": ["0 deg", "90 deg"]}, r"angles: 2 directions for screws = 1"),
        ({"key": "2.5 mm"}, r"key = 2.5 mm: the socket of M4 is 2 mm across flats"),
        ({"key": "1.9 mm"}, r"key = 1.9 mm: the socket of M4 is 2 mm across flats"),
        ({"dent": "0.1 mm"}, r"blade_material: missing"),
        ({"blade_material": "A2-70"}, r"blade_material: material 'A2-70' has no compressive value"),
        ({"stays": 0}, r"stays = 0"),
        ({"hole_minor": "2.5"}, r"hole_minor = 2.5 mm: a size from 3.173 mm to 4.082 mm"),
        ({"part_gone": "1.5"}, r"part_gone = 1.5: a part from 0 to 1"),
        ({"turns_gone": "-1"}, r"turns_gone = -1: a ratio of at least 0"),
    ],
)
def test_one_clear_line_that_names_the_argument(change, words):
    with pytest.raises(InputError, match=words) as caught:
        fc.ask("set_screw", **{**SCREW, **change})
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("name", ["screw_major", "screw_pitch", "hole_minor", "hole_pitch"])
@pytest.mark.parametrize(
    ("threads", "used"),
    [
        ({}, "mm"),
        ({"screw": "M1.6x0.35-6g", "hole": "M1.6x0.35-6H", "point_diameter": "0.8"}, "mm"),
        (
            {
                "screw": "#4-40 UNC-2A",
                "hole": "#4-40 UNC-2B",
                "outside": "1.2 in",
                "bore": "1 in",
                "blade": "0.98 in",
                "screw_length": "0.156 in",
                "point_diameter": "0.05 in",
            },
            "in",
        ),
    ],
)
def test_the_sizes_that_a_refusal_names_are_taken(name, threads, used):
    """They are rounded inwards, and none lies outside by the rounding of binary numbers."""
    asked = {**SCREW, **threads}
    with pytest.raises(InputError) as caught:
        SetScrew.read({**asked, name: f"9 {used}"})
    least, most = re.search(rf"from ([\d.]+) {used} to ([\d.]+) {used}", str(caught.value)).groups()
    for size, beyond in ((least, -0.001), (most, 0.001)):
        assert getattr(SetScrew.read({**asked, name: f"{size} {used}"}), name).unit.text == used
        with pytest.raises(InputError, match="is needed for this thread"):
            SetScrew.read({**asked, name: f"{float(size) + beyond:.3f} {used}"})


def test_neither_pull_nor_mass():
    with pytest.raises(InputError, match="pull: missing: either pull in N, or mass in kg"):
        SetScrew.read(without("pull"))


def test_a_material_of_the_users_own_needs_no_rule_if_its_shear_strength_is_given():
    soft = add_material("a soft wall of the tests", source="invented", tensile=100.0, shear=(55.0, 60.0, 65.0))
    question = SetScrew.read({**SCREW, "wall_material": soft, "screw_material": soft, "shear_rule": None})
    assert not shear_assumption(soft, question.shear_rule)
    strong = SetScrew.read(SCREW)
    # The least of either: 54 is 0.6 times the least tensile strength of a metal of 100, and 173.76 of one of 289.6.
    least = question.strip_inputs["tau_wall"].nominal
    assert least == pytest.approx(54.0)
    assert question.both_loads(question.nominal)[0] / strong.both_loads(strong.nominal)[0] == pytest.approx(
        least / 173.76
    )


def test_no_thread_engages_and_it_says_so():
    strip = SetScrew.read({**SCREW, "screw_length": "0.3"}).findings()[0]
    assert strip.verdict is Verdict.FAILS
    assert strip.probability == 1
    assert "no thread engages" in strip.details["textbook strip torque"]
    assert "not even" in strip.details["at the bench"]


def test_a_weak_socket_limits_before_the_thread():
    """A stainless M1.6 in a thick steel wall: the socket is what gives way, and the safe torque is its torque."""
    small = {
        "hole": "M1.6x0.35-6H",
        "screw": "M1.6x0.35-6g",
        "outside": "34 ± 0.1",
        "screw_length": "5.0 ± 0.1",
        "wall_material": "4140 Q&T 650 °C",
        "screw_material": "A2-70",
        "point_diameter": "0.7 ± 0.05",
    }
    question = SetScrew.read({**SCREW, **small})
    first, torque = torque_limits(question)[0], advised_torque(question)
    assert (first.kind, torque.kind) == (Gives.SOCKET, Gives.SOCKET)
    # 0.2 Rm s^3 with the 700 MPa of ISO 3506 and the 0.7 mm socket of ISO 4029
    assert torque.torque == pytest.approx(0.2 * 700 * 0.7**3 / 1000)
    assert question.safe_torque > torque.torque


def test_a_cone_rubs_at_the_radius_of_a_flat_that_is_wider_by_its_slope():
    """Friction of pivots: a cone of 90° whose dent is d across rubs at the mean radius of a flat of d √2."""
    cone = SetScrew.read({**SCREW, "point": "cone", "point_diameter": "1.0"})
    flat = SetScrew.read({**SCREW, "point": "flat", "point_diameter": f"{math.sqrt(2):.12f}"})
    assert cone.lever(cone.nominal) == pytest.approx(flat.lever(flat.nominal), rel=1e-9)
    assert cone.threads_engaged.nominal < flat.threads_engaged.nominal  # its end is longer, and has no thread
    strip, *_ = fc.ask("set_screw", **{**SCREW, "point": "cone", "screw": "M4x0.7-6g"})
    assert strip.verdict in set(Verdict)
    # 1 mm beside the axis, from 12.7 to 15 mm: √(15² - 1) - √(12.7² - 1) is 2.306 mm of wall for 2.3 mm.
    assert "one that misses it by 1.00 mm goes through 0.3% more wall" in " ".join(strip.assumptions)


def test_a_worn_or_torn_thread_is_what_was_measured():
    sound = SetScrew.read(SCREW)
    n = sound.threads_engaged.nominal
    torn = SetScrew.read({**SCREW, "turns_gone": "0.5", "part_gone": "0.25 ± 0.05"})
    assert torn.threads_engaged.nominal == pytest.approx((n - 0.5) * 0.75)
    assert SetScrew.read({**SCREW, "turns_gone": "0.5"}).threads_engaged.nominal == pytest.approx(n - 0.5)
    assert SetScrew.read({**SCREW, "part_gone": "0.25"}).threads_engaged.nominal == pytest.approx(n * 0.75)
    # Zones from nothing gone to all of it are sizes; at the one nothing is lost, at the other nothing holds.
    for zone, least in (("0.05 ± 0.05", 0.9), ("0.95 ± 0.05", 0.0)):
        worn = SetScrew.read({**SCREW, "part_gone": zone}).threads_engaged.worst_case().min
        assert worn == pytest.approx(least * sound.threads_engaged.worst_case().min, abs=1e-9)
    # A hole worn to the screw's crest holds nothing, one worn half way less than a sound one.
    half, open_ = (SetScrew.read({**SCREW, "hole_minor": size}) for size in ("3.55 measured ± 0.02", "3.95"))
    torques = [float(q.torque_to_strip(**q.nominal)) for q in (sound, torn, half, open_)]
    assert torques[0] > torques[1] > 0
    assert half.both_loads(half.nominal)[1] > sound.both_loads(sound.nominal)[1] * 0.5
    assert torques[3] == 0
    wide = SetScrew.read({**SCREW, "hole_pitch": "3.75 measured ± 0.02"})
    assert float(wide.torque_to_strip(**wide.nominal)) < torques[0]


def test_where_no_thread_is_left_no_torque_is_told():
    """Also where nothing pulls at the blade, so that even these screws hold it."""
    strip, hold = SetScrew.read({**SCREW, "part_gone": "1", "pull": "0 N"}).findings()
    assert (strip.verdict, hold.verdict) == (Verdict.FAILS, Verdict.HOLDS)
    assert strip.answer == "No thread of the screw engages in the wall: nothing holds it, and no torque is safe."
    assert strip.do == ""  # not "turn the key with no more than 0"


# -- pitches -----------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def pitches():
    return compare_pitches(["M4x0.7", "M4x0.5", "#8-36", "M4x0.7-5H/6g"], **WALL)


def test_pitches_side_by_side(pitches):
    assert [row.screw for row in pitches] == ["M4x0.7-6g", "M4x0.5-6g", "#8-36 UNF-2A", "M4x0.7-6g"]
    assert [row.hole for row in pitches] == ["M4x0.7-6H", "M4x0.5-6H", "#8-36 UNF-2B", "M4x0.7-5H"]
    alone = SetScrew.read(SCREW)
    assert pitches[0].strip_torque == pytest.approx(alone.strip_torque.nominal)
    assert pitches[0].safe_torque == pytest.approx(alone.safe_torque)
    for row in pitches:
        assert row.strip_torque == pytest.approx(row.effective_threads * row.load_per_thread * row.arm / 1000)
        assert row.load == pytest.approx(row.effective_threads * row.load_per_thread)
        assert row.effective_threads == pytest.approx(row.threads * short_engagement_factor(row.threads))
        assert row.textbook_torque > row.strip_torque > row.safe_torque
        assert 0 < row.overlap_eaten < row.overlap_eaten_worst < 1
        assert row.threads_worst < row.threads
        assert row.risk.standard_error > 0
    # ISO 965: 6g and 6H leave 0.5 mm of pitch less of its overlap than 0.7; class 5H is closer than 6H.
    assert pitches[1].overlap_eaten > pitches[0].overlap_eaten > pitches[3].overlap_eaten
    assert pitches.best is pitches[1]
    assert pitches.best.screw in pitches.why()


@pytest.mark.parametrize(
    ("outside", "length", "fine_is_better"),
    [("29.0 ± 0.1", "3.0 ± 0.2", True), ("30.0 ± 0.1", "4.0 ± 0.2", True), ("40.0 ± 0.1", "10.0 ± 0.24", False)],
)
def test_a_fine_pitch_is_better_in_a_thin_wall_and_worse_in_a_thick_one(outside, length, fine_is_better):
    """With the same point, what a thin wall gains by more threads a thick one loses by overlap and lead."""
    coarse, fine = (
        SetScrew.read(
            {**SCREW, "hole": f"M4x{P}-6H", "screw": f"M4x{P}-6g", "outside": outside, "screw_length": length,
             "point_length": "1.2 ± 0.2"}
        )
        for P in ("0.7", "0.5")
    )  # fmt: skip
    strips = [float(q.torque_to_strip(**q.nominal)) for q in (coarse, fine)]
    assert (strips[1] > strips[0]) is fine_is_better
    assert fine.lever(fine.nominal) < coarse.lever(coarse.nominal)


def test_pitches_as_a_table(pitches):
    frame = pitches.frame()
    assert list(frame["screw"]) == [row.screw for row in pitches]
    assert list(frame["risk"]) == [float(row.risk) for row in pitches]
    assert frame["risk_error"].gt(0).all()
    text = str(pitches).splitlines()
    assert len(text) == 1 + len(pitches) + 2
    assert "textbook" in text[0]


@pytest.mark.parametrize(
    ("threads", "change", "words"),
    [
        ("M4x0.7", {}, "threads = 'M4x0.7': a list of designations"),
        ([], {}, "a list of designations"),
        (["M4x0.7", "M4x7"], {}, r"M4x7: "),
        (["M30x2"], {}, r"M30x2: screw = .*: a screw narrower than the bore"),
        (["M4x0.7"], {"hole": "M4"}, r"hole: is taken from the list"),
        (["M4x0.7"], {"hand_torqe": "1 N·m"}, r"M4x0.7: hand_torqe: unknown \(did you mean 'hand_torque'"),
    ],
)
def test_pitches_that_cannot_be_compared(threads, change, words):
    with pytest.raises(InputError, match=words):
        compare_pitches(threads, **{**WALL, **change})


# -- figures -----------------------------------------------------------------------------------------------


def test_figures_of_strip_risk_and_pitches(findings, pitches):
    for drawing, said in (
        (findings[0].drawing, ("strips the thread", "the hand turns with", "textbook", "model", "threads in the wall")),
        (pitches, ("M4x0.5-6g", "#8-36 UNF-2A", "threads that hold", "load a thread", "torque for one load")),
    ):
        text = figures.svg(figures.draw(drawing), "figure", "a figure")
        assert all(words in text for words in said)
    shown = figures.short_threads((1.5, 2.1, 2.7))
    assert "this wall, nominal" in figures.svg(shown, "figure", "a figure")
    assert "this wall" not in figures.svg(figures.short_threads(), "figure", "a figure")


def test_a_pull_and_a_twist_are_answered_in_the_units_they_were_stated_in():
    metric = SetScrew.read({**SCREW, "twist": "0.5 N·m"}).findings()[1]
    lengths = ("outside", "blade", "screw_length", "point_diameter")
    in_mm = {**SCREW, **{key: f"{SCREW[key]} mm" for key in lengths}}
    stated = SetScrew.read({**in_mm, "pull": "13.5 lbf", "twist": "4.4 in·lbf"}).findings()[1]
    assert stated.unit.text == "lbf"
    assert stated.nominal == pytest.approx(metric.nominal)
    assert "lbf, at the least" in stated.answer
    assert stated.requirement_words.endswith(" lbf")
    assert stated.details["pull"] == "14 lbf (as given), with a twist of 4.4 in·lbf"
    assert stated.details["hold against twist"].endswith(" in·lbf")
    assert metric.details["hold against twist"].endswith(" N·m")


@pytest.mark.parametrize("key", ["2 mm", "1.95 mm", "1.984 mm"])
def test_a_key_that_enters_the_socket_and_does_not_turn_in_it_is_taken(key):
    assert SetScrew.read({**SCREW, "key": key}).key is not None


@pytest.mark.parametrize("key", ["point_diameter", "screw_length"])
def test_a_screw_larger_than_the_standards_names_what_is_missing(key):
    large = {**SCREW, "screw": "M30x3.5-6g", "hole": "M30x3.5-6H", "outside": "120 ± 0.1", "bore": "100 H9"}
    large |= {"blade": "99.5 ± 0.15", "screw_length": "12 ± 0.2", "point_diameter": "20 ± 0.1"}
    with pytest.raises(InputError, match=f"^{key}: missing: no standard set screw is as large as M30x3.5-6g"):
        SetScrew.read({name: value for name, value in large.items() if name != key})


def test_less_countersink_is_advised_where_there_is_any():
    for inputs, advised in (({}, False), ({"countersink": "0.2"}, True), ({"countersink_inside": "0.2"}, True)):
        assert ("use less countersink" in changes(SetScrew.read({**SCREW, **inputs}), 0.0)) is advised


def test_a_change_that_is_met_already_is_left_out():
    likely = {**SCREW, "hand_torque": "0.28 ± 0.02 N·m"}
    question = SetScrew.read(likely)
    assert question.safe_torque > question.hand_torque.upper
    assert not any("turn the key" in line for line in changes(question, advised_torque(question).torque))
    assert any("turn the key" in line for line in fc.ask("set_screw", **{**SCREW, "hand_torque": "2 N·m"})[0].change)


def test_where_no_pitch_is_safe_the_table_says_so():
    asked = {key: SCREW[key] for key in SCREW if key not in ("screw", "hole", "screw_length", "outside", "pull")}
    wall = {"outside": "28 ± 0.1", "screw_length": "4 ± 0.2", "point_diameter": "8 ± 0.2"}
    table = compare_pitches(["M12"], **{**asked, **wall})
    assert table.why().startswith("No hand torque is safe on M12x1.75-6g in this wall")
    assert "is safe." not in table.why()


def test_a_point_that_goes_deep_into_a_clear_blade_draws_a_caution():
    asked = {**SCREW, "blade_material": "polycarbonate", "wall_material": "A2-70", "outside": "36 ± 0.1"}
    asked |= {"screw_length": "6 ± 0.2", "hand_torque": "1.8 ± 0.4 N·m"}
    question = SetScrew.read(asked)
    depth = dented(question, most_used(question))
    assert depth > 0.3
    (caution,) = [line for line in question.findings()[0].cautions if "sinks" in line]
    assert f"sinks {depth:.2f} mm into the blade of polycarbonate" in caution
    assert "common practice, no source" in caution
    for change in ({"hand_torque": "0.06 ± 0.02 N·m"}, {"dent": "3.5 mm"}):
        assert not any("sinks" in line for line in SetScrew.read({**asked, **change}).findings()[0].cautions)
    assert any("without end" in line for line in SetScrew.read({**asked, "point": "dog", "point_diameter": "1 mm"})
               .findings()[0].cautions)  # fmt: skip


def test_the_card_backs_the_screw_off_as_far_as_the_finding():
    for change in ({}, {"hand_torque": "0.2 ± 0.1 N·m"}, {"hand_torque": "1.8 ± 0.8 N·m"}):
        question = SetScrew.read({**SCREW, "blade_material": "polycarbonate", **change})
        ((_, on_card),) = backing_on_card(bench_card(question))
        in_finding = question.findings()[0].details["backing off"]
        assert in_finding.split(" turns")[0] == on_card.split(" turns")[0]


def test_what_gives_way_first_is_a_kind_and_its_words_follow():
    asked = SetScrew.read(SCREW)
    kinds = [one.kind for one in torque_limits(asked)]
    assert {Gives.HOLE, Gives.SCREW} <= set(kinds)
    assert Gives.THREAD not in kinds
    weaker = next(kind for kind in kinds if kind in (Gives.HOLE, Gives.SCREW))
    strip, *_ = asked.findings()
    assert f"{strip.details['weaker thread']} thread" == weaker.value
    assert strip.details["limits first"].startswith(f"{kinds[0]} ")


def test_what_is_taken_for_a_size_that_is_not_given_is_said_as_the_dimension_says_it():
    asked = SetScrew.read(SCREW)
    said = [line for line in filled_in(asked) if "is not given" in line]
    used = {**asked.sizes, **asked.torque_inputs}
    left_out = [key for key in ("screw_length", "point_length", "point_diameter") if getattr(asked, key) is None]
    assert left_out
    assert len(said) == len(left_out)
    for line, key in zip(said, left_out, strict=True):
        assert line.startswith(f"The {used[key].name} is not given: {used[key]} is taken (")
        assert used[key].origin.startswith(line.rpartition("(")[2].removesuffix(")."))


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"screws": 3}, False),  # in any directions
        ({"screws": 3, "angles": ["0 deg", "0 deg", "0 deg"]}, False),  # all press alike
        ({"screws": 3, "angles": ["0 deg", "120 deg", "240 deg"]}, True),
    ],
)
def test_screws_around_the_bore_are_counted_as_the_first_one_turned(more, said):
    lines = filled_in(SetScrew.read({**SCREW, **more}))
    assert any("pressed to its far side, as by the first one turned" in line for line in lines) is said


@pytest.mark.parametrize("outside", ["30 ± 0.1", "34 ± 0.1"])
@pytest.mark.parametrize("stays", [1, 3])
def test_a_longer_screw_is_advised_only_where_one_stays_in_the_wall(outside, stays):
    asked = {**SCREW, "outside": outside, "screw_length": "3 ± 0.2", "stays": stays}
    loose = next(one for one in fc.ask("set_screw", **asked) if one.quantity == "threads that hold the loose screw")
    if loose.verdict is Verdict.HOLDS:
        assert not loose.change
        return
    advised = re.match(r"use a screw of ([\d.]+) mm: at the least ([\d.]+) threads", loose.change[0])
    if advised is None:
        assert "no standard screw that is longer keeps enough" in loose.change[0]
        assert loose.change.index("back it off only until the blade just enters") > 0
        return
    q = SetScrew.read({**asked, "screw_length": f"{advised[1]} ± 0.24"})
    again = q.threads_backed_off.worst_case().min
    assert stays <= float(advised[2]) + 0.1
    assert again >= stays - 0.02  # the zone of that length by the standard is near the one asked here


def test_a_dimple_that_does_not_hold_is_no_way_to_hold():
    weak = fc.ask(
        "set_screw", **{**SCREW, "blade_material": "polycarbonate", "hand_torque": "0.2 ± 0.05 N·m", "pull": "400 N"}
    )
    hold = next(one for one in weak if one.quantity == "friction hold on the blade")
    (said,) = (line for line in hold.change if "dimple" in line)
    assert isinstance(said, Besides)
    assert "not even" in said


LARGE = {
    **SCREW, "screw": "M30x3.5-6g", "hole": "M30x3.5-6H", "outside": "120 ± 0.1", "bore": "100 H9",
    "blade": "99.5 ± 0.15", "screw_length": "12 ± 0.2", "point_diameter": "20 ± 0.1", "point_length": "1 ± 0.2",
    "hand_torque": "300 ± 100 N·m", "stays": 3,
}  # fmt: skip
"""Larger than any standard set screw."""


def test_a_screw_larger_than_the_standards_is_answered_by_what_was_measured():
    """No socket, key or length of a standard is known: none is offered, and the thread alone limits."""
    found = fc.ask("set_screw", **LARGE)
    strip = found[0]
    assert strip.details["standard lengths"] == "no standard set screw is as large as M30x3.5-6g"
    assert "socket" not in strip.details
    assert "key" not in strip.details["limits first"]
    assert not any("use a screw of" in line for one in found for line in one.change)
    loose = next(one for one in found if one.quantity == "threads that hold the loose screw")
    assert "no standard screw that is longer keeps enough" in loose.change[0]
    keyed = torque_limits(SetScrew.read({**LARGE, "key": "12 mm"}))
    assert [one.kind for one in keyed] == [Gives.KEY, Gives.HOLE, Gives.SCREW]


@pytest.mark.parametrize(
    ("screw", "bore", "length"),
    [
        # The wall ends 0.04 mm beside the middle of its bore, and the blade 9 mm under it: 8 mm end before the wall.
        ("12 ± 0.2", "100", 16.0),
        # The longest M4 of the standards is 20 mm, and the blade lies 27 mm down.
        ("35 ± 0.2", "300", None),
    ],
)
def test_a_standard_screw_that_never_reaches_the_blade_is_not_offered(screw, bore, length):
    wide = {"bore": f"{bore} H9", "outside": f"{float(bore) + 10} ± 0.1", "blade": f"{0.91 * float(bore)} ± 0.1"}
    offered = longer_screw(SetScrew.read({**SCREW, **wide, "screw_length": screw}))
    assert (offered and offered.length) == length


def test_a_standard_screw_that_is_all_point_is_not_offered():
    """The point takes 5 mm of every screw: one of 5 mm has no thread, and one of 12 has the most of this wall."""
    pointed = SetScrew.read({**SCREW, "outside": "45", "screw_length": "8 ± 0.2", "point_length": "5 ± 0.2"})
    assert longer_screw(pointed).length > pointed.sizes["screw_length"].nominal


@pytest.mark.parametrize(
    ("length", "means", "falls"),
    [
        ("4 ± 0.2", "The loose screw stays in the wall", False),
        ("2.5 ± 0.2", "The loose screw hangs on too little thread", False),
        ("2 ± 0.5", "The loose screw can fall out", True),
    ],
)
def test_only_a_screw_that_may_have_no_thread_left_is_said_to_fall_out(length, means, falls):
    """Backed off flush with the bore, one of 1.5 mm is all point and countersink."""
    question = SetScrew.read({**SCREW, "screw_length": length})
    loose = loose_finding(question, 1)
    assert loose.answer.startswith(f"{means}: ")
    assert (loose.worst_case.min <= 0) is falls
    assert ("it can fall out" in backing_words(question)["backing off"]) is falls


def test_a_screw_that_stays_is_one_that_reaches_the_blade():
    """A screw known to ± 2.2 mm may reach; of the longer ones of the standard 8 mm cannot, and 10 mm is offered."""
    wide = {"bore": "100 H9", "outside": "110 ± 0.1", "blade": "91 ± 0.1", "screw_length": "7 ± 2.2", "stays": 4}
    loose = fc.ask("set_screw", **{**SCREW, **wide})[-1]
    assert loose.quantity == "threads that hold the loose screw"
    assert loose.change[0].startswith("use a screw of 10.0 mm: at the least")


def test_a_slippery_thread_locks_only_above_its_slope():
    """Free of the blade a screw turns by itself where friction is below lead over circumference, times cos 30°."""
    slope = 0.7 / (math.pi * SetScrew.read(SCREW).nominal["d2"]) * math.cos(math.pi / 6)
    for friction, said in (("0.02 ± 0.005", "only above a thread friction of "), ("0.15 ± 0.05", "yes")):
        words = locking_words(SetScrew.read({**SCREW, "friction_thread": friction}))
        assert words.startswith(said)
        assert float(re.search(r"0\.\d+", words)[0]) == pytest.approx(slope, abs=6e-4)


def test_a_blade_larger_than_its_bore_is_filed_until_it_enters():
    for blade, filed in (("25.4 ± 0.15", True), ("25.0 ± 0.15", False)):
        assert (
            any("filed until it enters" in line for line in filled_in(SetScrew.read({**SCREW, "blade": blade})))
            is filed
        )


def test_crests_that_do_not_meet_break_no_screw_at_any_length():
    rule = "length that breaks the screw first"
    worn = {"screw_major": "3.85 ± 0.02", "hole_minor": "4.06 ± 0.01", "hole_pitch": "4.1 ± 0.02"}
    assert rule in [one.rule for one in rules_of_thumb(SetScrew.read(SCREW))]
    assert rule not in [one.rule for one in rules_of_thumb(SetScrew.read({**SCREW, **worn}))]


def test_a_cone_point_of_a_standard_carries_on_its_dent_at_most_half_the_screw_wide():
    point = SetScrew.read(without("point_diameter", point="cone")).torque_inputs["point_diameter"]
    assert (point.lower, point.upper) == pytest.approx((0, 2))


def test_a_socket_of_unknown_strength_is_no_limit():
    """A screw material of which only the shear strength is known says nothing of its socket."""
    own = add_material("a screw steel of the tests", source="invented", shear=(300.0, 320.0, 340.0))
    assert Gives.SOCKET in [one.kind for one in torque_limits(SetScrew.read(SCREW))]
    assert Gives.SOCKET not in [one.kind for one in torque_limits(SetScrew.read({**SCREW, "screw_material": own}))]


def test_pitches_of_a_screw_and_a_hole_of_their_own():
    pair, alone = compare_pitches([("M4x0.7-6g", "M4x0.7-5H"), "M4x0.7"], **WALL)
    assert (pair.screw, pair.hole) == ("M4x0.7-6g", "M4x0.7-5H")
    assert pair.overlap_eaten < alone.overlap_eaten  # 5H is the closer tolerance
    for bad in (3, ("M4x0.7", "M4x0.7", "M4x0.7")):
        with pytest.raises(InputError, match=r"a designation such as 'M4x0.7', or \(screw, hole\), is needed"):
            compare_pitches([bad], **WALL)


def test_rows_of_two_tables_are_not_compared(pitches):
    other = compare_pitches(["M4x0.7"], **{**WALL, "outside": "34 ± 0.1"})
    with pytest.raises(InputError, match=r"M4x0.7-6g: a row of this table is needed"):
        pitches.against(pitches[0], other[0])
