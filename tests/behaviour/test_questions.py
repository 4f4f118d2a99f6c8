"""The bench questions against brute force: corners by enumeration, probabilities by independent sampling.

All numbers here are invented; the checks are exact mathematics.
"""

import itertools
import re

import numpy as np
import pytest
from asked import DEPTH, EVERY_QUESTION, JOINT, PLUG, PORT, findings_of
from screw_inputs import SCREW

import fitcheck as fc
from fitcheck.errors import InputError
from fitcheck.mechanics.cross_section import corner_gap
from fitcheck.questions import BladeDepth, PlugLength, PortClearance, SetScrew, ThreadEngagement, Verdict


def corners(*dimensions):
    return itertools.product(*[(d.lower, d.upper) for d in dimensions])


def test_blade_depth_is_the_enumerated_sum():
    question = BladeDepth.read(DEPTH)
    (finding,) = question.findings()
    depths = [a + b - c - d for a, b, c, d in corners(*question.adds, *question.takes)]
    assert finding.worst_case == pytest.approx((min(depths), max(depths)))
    assert finding.nominal == pytest.approx(42.5)
    assert finding.verdict is Verdict.HOLDS


def test_a_set_screw_lands_or_not_and_the_slug_to_cut_is_named():
    parts = {"slug": fc.dim("8 ± 0.1", name="slug")}
    asked = {
        **DEPTH,
        "takes": ["14.5 ± 0.3", "slug"],
        "screws": ["12 ± 0.2", "41 ± 0.2"],
        "cover": "2 mm",
        "cut": "slug",
    }
    _, first, second = BladeDepth.read(asked, parts).findings()
    assert first.verdict is Verdict.HOLDS
    assert second.verdict is Verdict.FAILS
    # 1.5 nominal less 0.9 of tolerances leaves 0.6; 2 are asked for, so 1.4 must come off the slug.
    assert second.change[0].startswith("cut slug 1.40 mm shorter")
    shorter = {**asked, "takes": ["14.5 ± 0.3", "6.59 ± 0.1"], "cut": ""}
    assert BladeDepth.read(shorter, parts).findings()[2].verdict is Verdict.HOLDS


def test_likely_lies_between_holds_and_fails():
    """The middle verdict needs a worst case that misses and a probability within the risk."""
    asked = {**DEPTH, "risk": 0.01}
    exact = BladeDepth.read(asked).depth.exact()
    for least, verdict in [(41.79, "holds"), (exact.quantile(0.009), "likely"), (exact.quantile(0.011), "fails")]:
        (finding,) = BladeDepth.read({**asked, "at_least": least}).findings()
        assert finding.verdict == verdict


def test_corner_gap_is_plane_geometry():
    # 3-4-5: half the width 3, reach 4, so the corner lies on a circle of radius 5 in a bore of radius 6.
    assert corner_gap(12.0, 12.0, 6.0, 4.0, 0.0) == pytest.approx(1.0)
    assert corner_gap(12.0, 11.0, 6.0, 4.0, 1.0) == pytest.approx(0.5)
    # Fully shifted, the wall is where the chassis circle is: half its diameter less the corner's radius.
    assert corner_gap(12.0, 11.0, 6.0, 4.0, 1.0) == pytest.approx(11.0 / 2 - 5.0)


def test_port_clearance_is_the_enumerated_worst_case():
    question = PortClearance.read({**PORT, "gap": "0.2 mm"})
    slides, corner = question.findings()
    sizes = corners(question.bore, question.chassis, question.width, question.reach)
    gaps = [corner_gap(b, c, w, h, 1.0) for b, c, w, h in sizes]  # pressed to the worst side
    assert corner.worst_case == pytest.approx((min(gaps), max(gaps)), abs=1e-9)
    assert slides.worst_case == pytest.approx((0.4, 0.7))
    rng = np.random.default_rng(7)
    n = 400_000
    b, c, w, h = (
        rng.uniform(d.lower, d.upper, n) for d in (question.bore, question.chassis, question.width, question.reach)
    )
    missed = np.mean(corner_gap(b, c, w, h, rng.uniform(0, 1, n)) < 0.2)
    assert corner.probability == pytest.approx(missed, abs=5 * np.sqrt(missed * (1 - missed) / n) + 1e-4)


def test_the_plug_window_is_the_enumerated_one():
    question = PlugLength.read({**PLUG, "hold": "0.5 mm", "free": "0.3 mm"})
    room = [a - b for a, b in corners(*question.adds, *question.takes)]
    low = max(r + t for r in room for t in (question.travel.lower, question.travel.upper)) + 0.5
    high = min(r + s for r in room for s in (question.seat.lower, question.seat.upper)) - 0.3
    assert question.window == pytest.approx((low, high))
    (finding,) = question.findings()
    assert finding.verdict is Verdict.HOLDS
    assert low < question.chosen.lower < question.chosen.upper < high
    assert "Cut the plug to" in finding.answer
    # A length at either end of the window, cut without tolerance, is the last that works at worst case.
    for length, verdict in [(low, "holds"), (high, "holds"), (low - 0.01, "likely"), (high + 0.01, "likely")]:
        (one,) = PlugLength.read({**PLUG, "hold": "0.5 mm", "free": "0.3 mm", "length": length}).findings()
        assert one.verdict == verdict, length


def test_no_plug_length_works_and_it_says_why():
    for seat in ("5.0 ± 0.2", "4.2 ± 0.1"):
        (finding,) = PlugLength.read({**PLUG, "seat": seat}).findings()
        assert finding.answer.startswith("No length works")
        assert finding.verdict is Verdict.FAILS
        assert finding.change


def test_a_hand_on_the_key_fingers_hold_and_a_full_pull_strips():
    """Common practice, no source: in a wall of about two threads fingers are fine and a full pull is not."""
    fingers, hold = SetScrew.read({**SCREW, "pull": "40 N"}).findings()
    assert fingers.verdict is not Verdict.FAILS or fingers.probability < 0.05
    assert hold.verdict is Verdict.HOLDS
    pull = SetScrew.read({**SCREW, "hand_torque": "4.0 ± 1.5 N·m"}).findings()[0]
    assert pull.verdict is Verdict.FAILS
    assert pull.probability > 0.5


def test_strip_probability_is_that_of_an_independent_sample():
    question = SetScrew.read({**SCREW, "hand_torque": "1.0 ± 0.5 N·m"})
    finding = question.findings()[0]
    strip = question.strip_torque.sample(100_000, seed=11)
    hand = np.random.default_rng(12).uniform(0.5, 1.5, 100_000)
    p = np.mean(strip < hand)
    assert finding.probability == pytest.approx(p, abs=5 * np.sqrt(p * (1 - p) / 1e5))
    # The safe torque is stripped by nine tenths of what the least risk that can be told allows.
    risk = 0.9 * question.claimed_risk
    assert np.mean(strip < question.safe_torque) == pytest.approx(risk, abs=6 * np.sqrt(risk / 1e5))


def test_a_screw_that_does_not_reach_engages_nothing():
    question = SetScrew.read({**SCREW, "screw_length": "0.3"})
    assert question.threads_engaged.worst_case().max < 1
    assert question.findings()[0].verdict is Verdict.FAILS


def test_joint_of_a_pair_and_of_a_worn_part():
    engaged, mates, carries = ThreadEngagement.read(JOINT).findings()
    assert engaged.nominal == pytest.approx(5.0)
    assert mates.worst_case.min > 0
    assert carries.verdict is Verdict.HOLDS
    # A swollen bore that was measured: the pitch diameters overlap.
    _, jams, _ = ThreadEngagement.read({**JOINT, "internal_pitch": "34.90 measured ± 0.02"}).findings()
    assert "can jam" in jams.answer
    assert jams.verdict is Verdict.FAILS


@pytest.mark.parametrize(
    ("question", "change", "words"),
    [
        ("blade_depth", {"adds": []}, "adds"),
        ("blade_depth", {"cut": "slag"}, "cut = 'slag'"),
        ("plug_length", {"seat": "3.0 ± 0.1"}, "seat"),
        ("port_clearance", {"adds": ["10"]}, "adds and takes go together"),
        ("set_screw", {"screw": "M4x0.7-6g-LH"}, "left-hand"),
        ("set_screw", {"screw": "M4x0.5-6g"}, "pitch"),
        ("set_screw", {"hand_torque": "0.1 ± 0.2 N·m"}, "hand_torque"),
        ("set_screw", {"hand_torque": "3 N"}, "hand_torque = '3 N' is a force"),
        ("set_screw", {"friction_thread": "-0.1"}, "mu_t|friction_thread"),
        ("set_screw", {"bore": "31 ± 0.1"}, "wall"),
        ("set_screw", {"hole": "M4x0.7-6g"}, "hole"),
        ("set_screw", {"screws": 0}, "screws"),
    ],
)
def test_bad_input_is_one_clear_line(question, change, words):
    asked = {"blade_depth": DEPTH, "plug_length": PLUG, "port_clearance": PORT, "set_screw": SCREW}[question]
    with pytest.raises(InputError, match=words) as caught:
        fc.ask(question, **{**asked, **change})
    assert "\n" not in str(caught.value)


def test_findings_are_complete_and_print_within_the_page():
    for finding in (*fc.ask("set_screw", **SCREW), *fc.ask("blade_depth", **DEPTH), *fc.ask("plug_length", **PLUG)):
        assert finding.answer
        assert finding.assumptions
        assert finding.sources
        assert finding.cautions
        assert finding.drivers[0].variance_share >= finding.drivers[-1].variance_share
        assert sum(d.variance_share for d in finding.drivers) == pytest.approx(1.0)
        assert finding.interval.min >= finding.worst_case.min - 1e-9
        assert "nan" not in str(finding)


@pytest.mark.parametrize("case", EVERY_QUESTION)
def test_every_result_says_which_spreads_are_assumed(case):
    """Default for a part of unknown process: uniform over the zone; each finding names whose spread that is."""
    for finding in findings_of(case):
        (default,) = [line for line in finding.assumptions if "uniform over the zone, as for parts of unknown" in line]
        named = default.partition(": taken")[0]
        for d in finding.of.assumed:
            assert d.name
            assert d.called in named, (finding.quantity, d.name)
        for d in finding.of.members:
            if d.half_width and not d.assumed:
                how = re.compile(f"{re.escape(d.called)}.*(: | is )(taken as|uniform over)")
                assert any(map(how.search, finding.assumptions)), (finding.quantity, d.name)
