"""Set screws over their life: every screw, every tightening, what key and driver pass; advice does what it says.

All numbers are invented; the checks are plain simulation and the question asked again.
"""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from screw_inputs import SCREW

import fitcheck as fc
from fitcheck.errors import InputError
from fitcheck.mechanics import hand_torque
from fitcheck.planning.buy_and_cut import to_buy
from fitcheck.questions import SetScrew, Verdict
from fitcheck.questions.moves import lines_of
from fitcheck.questions.set_screw.findings import hold_finding
from fitcheck.questions.set_screw.sentences import changes
from fitcheck.questions.set_screw.torque_limits import advised_torque, down, passes
from fitcheck.sheet import load
from fitcheck.stack.synthesis import moved
from fitcheck.units import unit

DEMO = Path(__file__).parents[2] / "notebooks" / "wand.toml"


def test_the_risk_is_that_any_screw_strips_in_its_life():
    """Two holes with strengths that stay, turned twenty times each with a torque drawn anew."""
    asked = {**SCREW, "hand_torque": "0.4 ± 0.2 N·m", "screws": 2, "tightenings": 20}
    question = SetScrew.read(asked)
    lives = 200_000
    rng = np.random.default_rng(7)
    strips = np.zeros(lives, dtype=bool)
    for seed in (11, 12):
        strength = question.strip_torque.sample(lives, seed=seed)
        turned = np.zeros(lives)
        for _ in range(20):
            turned = np.maximum(turned, rng.uniform(0.2, 0.6, lives))
        strips |= strength < turned
    one = question.strip_margin.probability(below=1.0)
    simulated = strips.mean()
    assert 1 - (1 - one) ** 2 == pytest.approx(simulated, abs=5 * np.sqrt(simulated / lives))
    once = SetScrew.read({**asked, "tightenings": 1}).strip_margin.probability(below=1.0)
    assert one > 2 * once
    strip = question.findings()[0]
    # 0.001 was asked for, and the tests can tell no less than 0.01.
    assert (strip.requirement.risk, strip.requirement.asked_risk) == pytest.approx((0.005, 0.0005))
    assert "for 2 screws, tightened 20 times" in strip.answer


def test_the_safe_torque_is_that_of_all_screws():
    one, two = (SetScrew.read({**SCREW, "screws": n}) for n in (1, 2))
    assert two.safe_torque < one.safe_torque
    strength = np.minimum(one.strip_torque.sample(400_000, seed=3), one.strip_torque.sample(400_000, seed=4))
    share = (strength < two.safe_torque).mean()
    # It is found for nine tenths of the risk, so that it still meets it when that is sampled again; that of one screw,
    # 0.0045, is known to 3 % at the worst, one standard error.
    assert share == pytest.approx(0.009, abs=3 * 0.03 * 0.009 + 4 * np.sqrt(0.009 / 400_000))
    assert share <= 0.01


def test_a_torque_that_the_key_cannot_pass_presses_nothing():
    """M4 in tempered steel: a plain key may give way at 1.9 N·m, whatever the hand does."""
    thick = {**SCREW, "wall_material": "4140 Q&T 425 °C", "outside": "34 ± 0.05", "screw_length": "6.0 ± 0.24"}
    strong, exact = (
        fc.ask("set_screw", **{**thick, "hand_torque": torque, "pull": "3200 N"})
        for torque in ("3.2 ± 0.2 N·m", "1.9 N·m")
    )
    assert strong[0].verdict is Verdict.LIKELY
    assert "of which the key passes 1.90 N·m" in strong[1].answer
    assert strong[1].worst_case == pytest.approx(exact[1].worst_case)


def test_a_good_makers_key_passes_more_and_the_plain_one_is_taken_where_nobody_says():
    """M4 in tempered steel: ISO 2936 asks 1.9 N·m of a key of 2 mm, a good maker's yields at 2.4 N·m."""
    thick = {**SCREW, "wall_material": "4140 Q&T 425 °C", "outside": "34 ± 0.05", "screw_length": "6.0 ± 0.24"}
    limits = {
        kind: passes(SetScrew.read({**thick, **more}))
        for kind, more in {"unsaid": {}, "plain": {"key_had": "plain"}, "good": {"key_had": "good"}}.items()
    }
    assert limits["unsaid"] == limits["plain"]
    assert limits["plain"].torque == pytest.approx(1.9)
    assert "a good maker's key yields at 2.40 N·m" in limits["plain"].basis
    assert limits["good"].torque == pytest.approx(2.4)
    assert "asks 1.90 N·m of any" in limits["good"].basis
    with pytest.raises(InputError, match=r"key_had = 'best': one of 'plain', 'good' is needed"):
        SetScrew.read({**thick, "key_had": "best"})


def test_the_safe_torque_is_put_on_with_the_scatter_of_the_hand_or_the_driver():
    hand = fc.ask("set_screw", **{**SCREW, "hand_torque": "1.0 ± 0.5 N·m"})[1]
    exact = fc.ask("set_screw", **{**SCREW, "hand_torque": "1.5 N·m"})[1]
    assert hand.worst_case.min == pytest.approx(exact.worst_case.min / 3)
    driver = SetScrew.read({**SCREW, "hand_torque": "0.2 N·m", "driver": "6 %"})
    assert (driver.put_on.lower, driver.put_on.upper) == pytest.approx((0.188, 0.212))
    with pytest.raises(InputError, match=r"driver = 0.06, hand_torque = 0.4 ± 0.1 N·m: .*without a tolerance"):
        fc.ask("set_screw", **{**SCREW, "driver": "6 %"})
    light = {**SCREW, "pull": "10 N", "hand_torque": "1.5 N·m", "driver": "25 %"}  # held at the safe torque too
    set_to = fc.ask("set_screw", **light)[0].change[0]
    most = float(re.fullmatch(r"set the driver to no more than ([\d.]+) N·m", set_to)[1])
    assert SetScrew.read(SCREW).safe_torque - 0.01 * 1.25 < most * 1.25 <= SetScrew.read(SCREW).safe_torque


def test_screws_whose_directions_are_not_given_are_taken_at_their_worst():
    least, opposed, in_line = (
        fc.ask("set_screw", **{**SCREW, "screws": 2, "hand_torque": "0.1 N·m", **angles})[1]
        for angles in ({}, {"angles": ["0 deg", "180 deg"]}, {"angles": ["0 deg", "0 deg"]})
    )
    assert least.nominal == pytest.approx(opposed.nominal)
    assert in_line.nominal == pytest.approx(2 * least.nominal)
    assert 'for one side give angles = ["0 deg", "0 deg"]' in least.answer
    assert "directions" not in opposed.answer + in_line.answer


def test_a_mass_alone_is_a_weight_that_hangs_still():
    asked = {key: value for key, value in SCREW.items() if key != "pull"} | {"mass": "0.35 kg"}
    assert "a weight that hangs still: give swing and arm, or drop and stop" in fc.ask("set_screw", **asked)[1].answer
    swung = fc.ask("set_screw", **asked, swing="6 rad/s", arm="500 mm")[1]
    assert "hangs still" not in swung.answer


def test_worn_crests_that_hardly_overlap_hold_nothing():
    light = {**SCREW, "hand_torque": "0.10 ± 0.02 N·m", "screw_major": "3.90 ± 0.01"}
    strip, hold, crests = fc.ask("set_screw", **{**light, "hole_minor": "3.85 ± 0.01", "hole_pitch": "3.60 ± 0.02"})
    assert crests.verdict is strip.verdict is hold.verdict is Verdict.FAILS
    assert "no torque is safe" in hold.answer.lower()
    assert not any("safe torque" in heading for heading in hold.details), "no number of screws is told at no torque"
    assert "common practice, no source" in crests.sources[0]
    found = fc.ask("set_screw", **{**SCREW, "hole_minor": "3.45 ± 0.02"})
    assert found[2].verdict is Verdict.HOLDS
    assert "The pitch diameter of the hole was not measured" in found[2].answer
    assert any("pitch diameter of the hole was not measured" in line for line in found[0].assumptions)
    assert len(fc.ask("set_screw", **SCREW)) == 2, "a thread as made is not asked for its overlap"


@pytest.mark.parametrize(
    ("torque", "text"), [(0.0153, "0.015 N·m"), (2.4, "2.40 N·m"), (0.289, "0.28 N·m"), (0, "0.00 N·m")]
)
def test_a_torque_not_to_be_passed_is_rounded_down(torque, text):
    assert down(unit("N·m"), torque) == text


# -- advice is applied and asked again -----------------------------------------------------------------------


def _safe(question):
    """Whether the strip finding does not fail."""
    return question.strip_margin.probability(below=1.0, method="sampling") <= question.risk_a_screw


def _hand(asked, low, high, used):
    return {**asked, "hand_torque": f"{(low + high) / 2:.12g} ± {(high - low) / 2:.12g} {used}"}


def _check_advice(asked):
    """Every change of strip and hold that names a number, applied; how many there were."""
    question = SetScrew.read(asked)
    strips = not _safe(question)
    strip = lines_of(changes(question, advised_torque(question).torque))
    hold = hold_finding(question, strips=strips).change
    hand = question.hand_torque
    part, used = hand.lower / hand.upper, hand.unit.text
    tried = 0
    for line in (*strip, *hold):
        assert "full thread fills" not in line
        if found := re.fullmatch(
            r"turn the key with no more than ([\d.]+) [^ ,]+(?:, which takes a torque driver: .*)?", line
        ):
            most = float(found[1])
            again = SetScrew.read(_hand(asked, part * most, most, used))
            assert _safe(again), (asked, line)
        elif found := re.fullmatch(r"use a screw of ([\d.]+) (mm|in): ([\d.]+) threads in the wall .*", line):
            half = {"mm": 0.2, "in": 0.01}[found[2]]
            longer = {**asked, "screw_length": f"{found[1]} ± {half} {found[2]}"}
            threads = SetScrew.read(longer).threads_engaged.nominal
            assert threads == pytest.approx(float(found[3]), abs=0.06), (asked, line)
        elif found := re.fullmatch(
            r"use (\d+) screws in (?:any directions, such as [\d.]+° apart|one row), each turned with no more than "
            r"([\d.]+) .*",
            line,
        ):
            most = float(found[2])
            # Where those screws stand is another matter.
            along = ("angles", "side", "blade_out", "seated", "screws_at")
            more = {key: value for key, value in asked.items() if key not in along} | {"screws": int(found[1])}
            if "one row" in line:
                more["angles"] = ["0 deg"] * int(found[1])
            again = SetScrew.read(_hand(more, part * most, most, used))
            assert _safe(again), (asked, line)
            assert hold_finding(again, strips=False).verdict is Verdict.HOLDS, (asked, line)
        elif found := re.fullmatch(r"turn every screw with at least ([\d.]+) .*no more than ([\d.]+) .*", line):
            again = SetScrew.read(_hand(asked, float(found[1]), float(found[2]), used))
            assert _safe(again), (asked, line)
            assert hold_finding(again, strips=False).verdict is Verdict.HOLDS, (asked, line)
        else:
            continue
        tried += 1
    return tried


def _build(rng, inch):
    """A random screw in a random wall, in the notes of one system."""
    thread, d = [("M3x0.5", 3.0), ("M4x0.7", 4.0), ("M5x0.8", 5.0), ("M4x0.5", 4.0)][rng.integers(4)]
    if inch:
        thread, d = [("#6-32 UNC", 3.5), ("#8-32 UNC", 4.17), ("#10-32 UNF", 4.83)][rng.integers(3)]
    scale, places, used = (25.4, 4, " in") if inch else (1.0, 2, "")

    def note(size, half):
        return f"{size / scale:.{places}f} ± {half / scale:.{places}f}{used}"

    bore, wall = rng.uniform(20, 32), rng.uniform(1.5, 5)
    most, part = rng.uniform(0.05, 3) * (d / 4) ** 3, rng.uniform(0.4, 0.95)
    torque, shown = (most / 0.1129848, "in·lbf") if inch else (most, "N·m")
    ext, internal = ("-2A", "-2B") if inch else ("-6g", "-6H")
    return {
        **{key: SCREW[key] for key in ("friction_thread", "friction_point", "friction_bore", "screw_material")},
        "screw": thread + ext,
        "hole": thread + internal,
        "outside": note(bore + 2 * wall, 0.05),
        "bore": note(bore, 0.03),
        "blade": note(bore - rng.uniform(0.1, 0.5), 0.05),
        "wall_material": str(rng.choice(["6061-T6", "6063-T5", "304"])),
        "hand_torque": f"{torque * (1 + part) / 2:.3f} ± {torque * (1 - part) / 2:.3f} {shown}",
        "screws": int(rng.integers(1, 4)),
        "pull": f"{rng.uniform(20, 600):.0f} N",
    }


@pytest.mark.parametrize("inch", [False, True], ids=["mm", "in"])
def test_every_advised_change_does_what_it_says(inch):
    rng = np.random.default_rng(20 + inch)
    tried = sum(_check_advice(_build(rng, inch)) for _ in range(4))
    assert tried > 3


def test_the_advice_for_the_samples_does_what_it_says():
    for change in ({"hand_torque": "4.0 ± 1.5 N·m"}, {"turns_gone": "0.3 ± 0.1", "screws": 2, "pull": "300 N"}):
        assert _check_advice({**SCREW, **change})


def test_the_advice_of_the_demo_does_what_it_says():
    (question,) = (q for table, _, q in load(DEMO).questions if table == "set_screw")
    asked = {key: getattr(question, key) for key in question.inputs()}
    assert _check_advice({key: value for key, value in asked.items() if value is not None})


def test_how_many_screws_a_blow_a_swing_and_a_twist_take():
    """Each cause on its own; the number that is named holds it, one fewer does not, and none is named where none does.

    Checks: the question asked again with only that cause, at the torque that is safe for so many.
    """
    body = {key: value for key, value in SCREW.items() if key != "pull"}
    asked = {**body, "mass": "0.3 kg", "swing": "30 rad/s", "arm": "600 mm", "twist": "2.5 N·m", "kept": "metal"}
    blow = {"drop": "1 m", "stop": "2 mm"}
    hold = fc.ask("set_screw", **asked, **blow)[1]
    said = dict(part.split(": ") for part in hold.details["screws it takes, each at its safe torque"].split("; "))
    assert said["the drop"] == "more than 12"
    assert "not even 12 such screws hold it by friction" in " ".join(hold.change)
    assert not [move for move in hold.moves if move.words.startswith("use ")]
    one = SetScrew.read(asked)
    for cause, words in (("the swing", {"twist": "0 N·m"}), ("the twist", {"mass": None, "pull": "0 N"})):
        alone = {key: value for key, value in {**asked, **words}.items() if value is not None}
        if cause == "the twist":
            alone = {key: value for key, value in alone.items() if key not in ("swing", "arm")}
        number = int(said[cause].split(",")[0])
        assert number > 1, said

        def least(n, alone=alone):
            more = SetScrew.read({**alone, "screws": n})
            torque = down(more.hand_torque.unit, one.safe_torque_of(n))
            return more.hold_at(more.put_on_up_to(float(torque.split()[0]))).worst_case().min / more.demand

        assert least(number) >= 1 > least(number - 1), (cause, said)


def test_a_dozen_screws_with_a_locking_hold_less_than_two():
    """The torque that is safe for more screws comes down to what the locking takes: the few that hold are found."""
    asked = {**SCREW, "prevailing": "0.3 ± 0.16 N·m", "hand_torque": "0.5 N·m", "kept": "metal"}
    question = SetScrew.read({**asked, "pull": "64 N"})
    hold = hold_finding(question, strips=False)
    assert "use 2 screws in one row" in " ".join(hold.change)
    (move,) = (move for move in hold.moves if move.words.startswith("use "))
    assert move.made(question).findings()[1].verdict is Verdict.HOLDS
    many = SetScrew.read({**asked, "pull": "64 N", "screws": 12, "angles": ["0 deg"] * 12})
    assert many.hold_at(many.put_on_up_to(many.safe_torque)).worst_case().min == 0
    assert "not even 12" in " ".join(hold_finding(SetScrew.read({**asked, "pull": "80 N"}), strips=False).change)


IN_A_ROW = {**SCREW, "screws": 2, "angles": ["0 deg", "0 deg"], "hand_torque": "0.4 ± 0.12 N·m"}


def test_a_torque_driver_comes_before_more_screws_where_the_scatter_of_the_hand_takes_them():
    question = SetScrew.read({**IN_A_ROW, "pull": "100 N"})
    strip, hold = question.findings()
    line = (
        "turn every screw with a torque driver of ± 6 % or better, set to at least 0.24 N·m, and no more than 0.26 N·m"
    )
    assert hold.change[:2] == (
        line,
        "use 4 screws in one row, each turned with no more than 0.24 N·m, by a torque driver",
    )
    assert strip.change[:2] == hold.change[:2]
    low, high = (move.made(question) for move in hold.moves[:2])
    for driven in (low, high):
        assert (driven.driver, driven.screws) == (0.06, 2)
        assert [one.verdict for one in driven.findings()] == [Verdict.LIKELY, Verdict.HOLDS]
    # One mark below the window it no longer holds, one above it can strip.
    below = replace(low, hand_torque=moved(low.hand_torque, 0.23))
    above = replace(high, hand_torque=moved(high.hand_torque, 0.27))
    assert below.findings()[1].verdict is not Verdict.HOLDS
    assert above.put_on.upper > above.safe_torque


@pytest.mark.parametrize(
    ("given", "offered"),
    [
        ({"pull": "110 N"}, "a torque driver of ± 3 % or better, set to at least 0.26 N·m, and no more than 0.27 N·m"),
        (
            {"pull": "150 N"},
            "use 3 screws in one row, each with a torque driver of ± 6 % or better, set to no",
        ),
        ({"pull": "110 N", "hand_torque": "0.2 N·m", "driver": "15 %"}, "a torque driver of ± 3 % or better, set to"),
        ({"pull": "60 N", "hand_torque": "0.10 ± 0.02 N·m"}, ""),  # the hand may turn harder
        ({"pull": "200 N", "hand_torque": "0.3 N·m"}, ""),  # nothing scatters
        ({"pull": "120 N", "hand_torque": "0.2 N·m", "driver": "3 %"}, ""),  # it scatters no more than a good one
    ],
)
def test_a_driver_is_offered_only_where_it_takes_less_than_what_turns_the_screws_now(given, offered):
    question = SetScrew.read({**IN_A_ROW, **given})
    hold = question.findings()[1]
    said = "; ".join(hold.change)
    assert bool(offered) == ("a torque driver of" in said), said
    assert offered in said
    for move in hold.moves:
        if any(edit.key == "driver" for edit in move.edits):
            assert move.made(question).findings()[1].verdict is Verdict.HOLDS


INCH = {"hole": "#6-40 UNF-2B", "screw": "#6-40 UNF-2A", "outside": "1.110 ± 0.004 in", "bore": "1 ± 0.001 in",
        "blade": "0.984 ± 0.004 in", "hand_torque": "12 ± 6 in·lbf", "pull": "0.2 lbf"}  # fmt: skip
THICK = {"hole": "M6x1-6H", "screw": "M6x1-6g", "outside": "36.0 ± 0.1", "hand_torque": "short key"}


@pytest.mark.parametrize(
    ("given", "line"),
    [
        (
            {"outside": "28.8 ± 0.1", "hand_torque": "short key"},
            r"turn the key with no more than 0\.\d+ N·m, which takes a torque driver: fingers can reach 0\.38 N·m",
        ),
        (
            INCH,
            r"turn the key with no more than [\d.]+ in·lbf, which takes a torque driver: fingers can reach 3\.4 in·lbf",
        ),
        (
            {"outside": "28.0 ± 0.1", "hand_torque": "0.4 N·m", "driver": "6 %"},
            r"set the driver to no more than 0\.\d+ N·m",
        ),
        (THICK, r"turn the key with no more than 2\.\d+ N·m"),
    ],
    ids=["thin", "inch", "driver", "thick"],
)
def test_a_torque_too_low_for_fingers_is_said_to_take_a_driver(given, line):
    """No hand feels so little: what would change it, what is to be done and what is bought all say what it takes."""
    question = SetScrew.read({**fc.QUESTIONS["set_screw"].example, "pull": "1 N", **given})
    strip = question.findings()[0]
    assert re.fullmatch(line, strip.do)
    assert strip.do in strip.change
    low = hand_torque("finger driver").high > advised_torque(question).torque
    assert ("which takes a torque driver" in strip.do) is (low and question.driver is None)
    assert (", by a torque driver." in str(to_buy(question))) is ("which takes" in line)
