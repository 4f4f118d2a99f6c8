"""What a user meets who asks how hard a stuck screwed tube may be turned. All numbers here are invented.

Checks: elementary torsion of a tube and statics of a screw.
"""

import itertools
import math
import re

import pandas as pd
import pytest
from asked import TUBE

import fitcheck as fc
from fitcheck.errors import InputError
from fitcheck.mechanics.grip import collet_torque, jaw_torque
from fitcheck.mechanics.tube import pinch_limit
from fitcheck.questions import StuckTube, Verdict
from fitcheck.questions.stuck_tube.held import held_finding


def test_a_stuck_tube_is_turned_the_right_way_and_not_too_hard():
    question = StuckTube.read(TUBE)
    (finding,) = question.findings()
    # W = pi/16 (Do^4 - Di^4)/Do under the usual root d2 - 2/3 H; yield at 275/sqrt(3) MPa.
    Do = question.twist.inner.pitch_diameter.nominal - 2 / 3 * math.sqrt(3) / 2 * 1.5
    limit = math.pi / 16 * (Do**4 - 32.0**4) / Do * 275 / math.sqrt(3) / 1000
    assert f"the screwed-in half under its thread yields at about {limit:.2f} N·m" in finding.answer
    assert finding.nominal == pytest.approx(limit / 25)
    assert finding.verdict is Verdict.HOLDS
    assert "Turn clockwise, it is left-hand" in finding.answer
    assert question.safe_torque < limit
    right = StuckTube.read({**TUBE, "external": "M36x1.5-6g", "internal": "M36x1.5-6H"}).findings()[0]
    assert "anticlockwise" in right.answer
    said = " ".join(right.cautions)
    for words in ("never heat a tube with a cell", "not a certificate", "eye protection", "licensed engineer"):
        assert words in said
    assert "no number" in right.details["first"]


def test_the_thinnest_section_is_that_of_the_worst_corner():
    twist = StuckTube.read(TUBE).twist
    for tube in (twist.inner, twist.outer):
        sections = [
            tube.section(dict(zip(tube.inputs, corner, strict=True)))
            for corner in itertools.product(*[(d.lower, d.upper) for d in tube.inputs.values()])
        ]
        Do, Di = min(sections, key=lambda ends: ends[0] - ends[1])
        assert tube.thinnest_section == pytest.approx((Do, Di))
        assert Di < Do < tube.nominal_section[0] + 1


def test_a_stuck_tube_and_a_joint_to_unscrew_are_one_tube():
    """One body, asked about twice: the section under a thread is one, so the torque that twists it is one number."""
    body = {key: TUBE[key] for key in ("external", "internal", "external_material", "internal_material")}
    joint = {"length": "7.5 ± 0.4", "load": "2 kN", "external_bore": TUBE["bore"], "internal_outside": TUBE["outside"]}
    unscrews = fc.ask("thread_engagement", **body, **joint, removal_torque="100 ± 10 N·m")[-1]
    (stuck,) = fc.ask("handling", **TUBE)
    for half, where in (("external", "screwed-in half under its"), ("internal", "outer half over its")):
        assert unscrews.details[f"tube under the {half} thread twists at"] == stuck.details[f"{where} thread yields at"]
    question = StuckTube.read(TUBE)
    assert unscrews.worst_case.min == pytest.approx(question.torque_borne.worst_case().min - 110)
    # Both reach the thinnest section that the standards allow, d2 min - 0.616025 P, and no thinner.
    d2 = fc.thread(TUBE["external"]).limits().pitch
    assert question.twist.inner.thinnest_section == pytest.approx((d2.min - 0.616025 * 1.5, 32.1), abs=1e-6)


def test_a_groove_and_a_harder_seat_are_told():
    (finding,) = fc.ask("handling", **TUBE, neck="33.6 ± 0.05", groove_radius="0.3 ± 0.1", harder="1.0 .. 6.0")
    assert "the groove behind the thread yields" in finding.answer
    assert finding.verdict is Verdict.FAILS
    assert any("penetrant" in change for change in finding.change)


def test_friction_of_a_clean_thread_helps_to_loosen_it():
    plain = StuckTube.read(TUBE)
    clean = StuckTube.read({**TUBE, "friction_tightened": "B", "friction_loosened": "B"})
    dry = StuckTube.read({**TUBE, "friction_tightened": "B", "friction_loosened": "E"})
    assert clean.loosening.torque.nominal < plain.loosening.torque.nominal < dry.loosening.torque.nominal


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"bore": "34.5"}, r"bore = 34.5 mm: no wall is left under the thread"),
        ({"outside": "36.2"}, r"outside = 36.2 mm: no wall is left over the thread"),
        ({"neck": "30", "groove_radius": "1"}, r"neck = 30 mm: a diameter between"),
        ({"neck": "34"}, r"groove_radius: missing"),
        ({"neck": "34", "groove_radius": "0"}, r"groove_radius = 0 mm: a length above 0"),
        ({"seized": "3 N"}, r"seized = '3 N' is a force"),
        ({"seized": "0 N·m"}, r"seized = 0 N·m: a torque above 0"),
        ({"external_material": "PMMA"}, r"external_material: material 'PMMA' has no yield value"),
        ({"friction_loosened": "E"}, r"friction_tightened: missing"),
        ({"internal": "M36x1.5-6H"}, r"left-hand"),
    ],
)
def test_a_stuck_tube_that_cannot_be(change, words):
    with pytest.raises(InputError, match=words) as caught:
        fc.ask("handling", **{**TUBE, **change})
    assert "\n" not in str(caught.value)


def test_a_torque_in_vain_is_only_the_least_it_takes():
    body = {key: value for key, value in TUBE.items() if key != "seized"}
    (vain,) = fc.ask("handling", **body, in_vain="60 ± 5 N·m")
    assert vain.verdict is Verdict.FAILS
    assert "more than 60.00 N·m turns it loose, and nothing says how much more" in vain.answer
    assert "about 60" not in vain.answer
    assert vain.probability == 1
    (screwed,) = fc.ask("handling", **body, seized="60 ± 5 N·m")
    assert screwed.verdict is Verdict.HOLDS
    assert "about 60.00 N·m turns it loose" in screwed.answer
    (both,) = fc.ask("handling", **TUBE, in_vain="60 ± 5 N·m")
    assert "more than 60.00" in both.answer
    with pytest.raises(InputError, match="seized or in_vain is needed"):
        fc.ask("handling", **body)


def test_a_hole_yields_at_a_quarter_of_its_section():
    (plain,), (holed,) = fc.ask("handling", **TUBE), fc.ask("handling", **TUBE, holes="4 ± 0.1")
    bare, edge = (StuckTube.read({**TUBE, **more}).torque_borne for more in ({}, {"holes": "4 ± 0.1"}))
    assert edge.nominal == pytest.approx(bare.nominal / 4)
    assert "edge of a set-screw hole" in holed.answer
    assert any("about a quarter" in one for one in plain.assumptions)
    with pytest.raises(InputError, match="holes = 20 mm: at most"):
        fc.ask("handling", **TUBE, holes="20")


def test_a_clamp_is_cautioned_with_its_grip():
    """A ring between two loads bends with W R/pi at the loads: checked against the moments integrated around it."""
    angles = [(i + 0.5) * math.pi / 2 / 5000 for i in range(5000)]
    # M = m - W R/2 (1 - cos) from the free quarter; no turning of its ends means that M averages to 0.
    m = sum(0.5 * (1 - math.cos(a)) for a in angles) / len(angles)
    assert abs(m - 0.5) == pytest.approx(1 / math.pi, rel=1e-3)
    assert float(pinch_limit(40.0, 36.0, 275.0)) == pytest.approx(2**2 * 275 / 6 / (19 * abs(m - 0.5)), rel=1e-3)
    (one,) = fc.ask("handling", **TUBE)
    assert any("two jaws begin to flatten" in caution and " N of grip" in caution for caution in one.cautions)
    # 35 N·m at most, on 40 mm, at a friction of 0.2: 4375 N.
    assert any("To hold 35.00 N·m" in caution and "need 4375 N" in caution for caution in one.cautions)


def test_a_stuck_tube_is_told_how_to_be_held():
    (found,) = fc.ask("handling", **TUBE)
    said = found.details["hold it with"]
    assert "a collet or split clamp that fits all around" in said
    assert "two soft jaws" in said
    lengths = [float(one) for one in re.findall(r"([0-9]+) mm long", said)]
    assert len(lengths) == 3
    assert lengths == sorted(lengths)
    assert "A plug that fits the bore" in said
    inch = fc.ask("handling", **{**TUBE, "outside": "1.575 ± 0.004 in", "bore": "1.264 in"})[0].details["hold it with"]
    assert " in long" in inch


# -- how it is held ------------------------------------------------------------------------------------------

PLAIN = {**TUBE, "held_by": "soft jaws", "grip": "30 ± 1", "held_bore": "32 ± 0.05"}


def test_the_grip_is_asked_by_hand():
    """A collet on the thread's root, and jaws on plain tube, with nominal sizes."""
    collet = StuckTube.read({**TUBE, "held_by": "collet", "grip": "30"})
    found = collet.findings()[1]
    root = collet.twist.outer.nominal_section[1]
    assert found.nominal == pytest.approx(30 * collet_torque(40.0, root, 275.0, 0.2) / 25)
    assert found.verdict is Verdict.HOLDS
    jaws = fc.ask("handling", **PLAIN)[1]
    assert jaws.nominal == pytest.approx(30 * jaw_torque(40.0, 32.0, 275.0, 0.2) / 25)
    # 96 N·m would take 3840 N a jaw: T/(mu D).
    grip = float(re.search(r"a grip of (\d+) N", jaws.details["it stands"])[1])
    assert grip == pytest.approx(jaws.nominal * 25 * 1e3 / (0.2 * 40), abs=1)
    assert len(fc.ask("handling", **TUBE)) == 1


def test_a_grip_that_crushes_says_the_gentlest_that_does_and_each_change_does_what_it_says():
    question = StuckTube.read(PLAIN)
    found = held_finding(question, question.held)
    assert found.verdict is Verdict.FAILS
    assert "Held so, turn it by no more than" in found.answer
    assert {edit.key for move in found.moves for edit in move.edits} == {"held_by", "grip", "plug_inside"}
    assert "use a collet in its place" in found.change[0]
    for move in found.moves:
        made = move.made(question)
        after = held_finding(made, made.held)
        assert after.verdict is Verdict.HOLDS, f"{move}\n{after}"
    most = float(re.search(r"no more than ([\d.]+) N·m", found.answer)[1])
    # Turned by no more, the jaws do no harm: asked as a torque that takes exactly that.
    again = StuckTube.read({**PLAIN, "seized": f"{most} N·m"})
    assert held_finding(again, again.held).verdict in (Verdict.HOLDS, Verdict.LIKELY)


def passed(asked):
    """Torque that the grip passes, N·m, nominal."""
    question = StuckTube.read(asked)
    return question.held.borne(question.loosening.unit).nominal


def test_a_plug_counts_only_where_it_bears():
    thin = {**PLAIN, "held_half": "screwed-in half", "held_outside": "36 ± 0.05", "held_by": "soft jaws"}
    none, near, far = (
        passed({**thin, **more}) for more in ({}, {"plug_inside": "31.9 ± 0.02"}, {"plug_inside": "30 ± 0.02"})
    )
    assert near > 5 * none
    assert far == pytest.approx(none)


def test_holes_under_the_grip_weaken_it_and_those_away_from_it_do_not():
    plain, under, away, near = (
        passed({**PLAIN, **more})
        for more in (
            {},
            {"holes": "4 ± 0.1"},
            {"holes": "4 ± 0.1", "hole_clear": "9"},
            {"holes": "4 ± 0.1", "hole_clear": "5"},
        )
    )
    assert under == pytest.approx(plain / 3) == near
    assert away == pytest.approx(plain)


def test_a_torque_in_vain_is_held_by_no_grip_for_sure():
    body = {key: value for key, value in PLAIN.items() if key != "seized"}
    found = fc.ask("handling", **{**body, "held_by": "collet"}, in_vain="20 N·m")[1]
    assert found.verdict is Verdict.FAILS
    assert "more than 20.00 N·m turns it loose" in found.answer
    assert not found.moves


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"grip": None}, r"grip: missing: held_by and grip go together"),
        ({"held_by": None}, r"held_by: missing: held_by and grip go together"),
        ({"held_by": "vice"}, r"held_by = 'vice': one of 'collet', 'strap', 'soft jaws'"),
        ({"held_half": "screwed-in half"}, r"held_outside: missing"),
        ({"held_bore": "41"}, r"held_bore = 41 mm: less than the outside"),
        ({"plug_inside": "33"}, r"plug_inside = 33 mm: a plug that goes into"),
        ({"plug_inside": "31.9", "held_bore": None}, r"held_bore: missing"),
        ({"hole_clear": "9"}, r"holes: missing"),
        ({"friction_grip": "1.2"}, r"friction_grip = 1.2"),
        ({"grip": "0"}, r"grip = 0 mm: a length above 0"),
        ({"held_by": None, "grip": None, "plug_inside": "31"}, r"held_by: missing: held_bore is about how"),
    ],
)
def test_a_grip_that_cannot_be(change, words):
    asked = {key: value for key, value in {**PLAIN, **change}.items() if value is not None}
    with pytest.raises(InputError, match=words) as caught:
        fc.ask("handling", **asked)
    assert "\n" not in str(caught.value)


def test_a_grip_in_inches_is_that_in_millimetres():
    inch = {
        "outside": "1.5748031 in",
        "held_bore": "1.2598425 in",
        "grip": "1.1811024 in",
        "seized": "221.26866 ± 88.507463 in·lbf",
    }
    metric = {"outside": "40 mm", "held_bore": "32 mm", "grip": "30 mm", "bore": "32 ± 0.1 mm"}
    inch["bore"] = metric["bore"]
    one, two = (fc.ask("handling", **{**PLAIN, **more})[1] for more in (metric, inch))
    assert one.nominal == pytest.approx(two.nominal, rel=1e-6)
    assert "lbf between the jaws" in two.details["it stands"]
    assert "in·lbf turns it loose" in two.answer


def test_a_torque_that_was_in_vain_is_planned_measured_and_listed_as_what_it_is(tmp_path):
    """Nothing proves that it comes loose, whatever is measured or cut: that is said, of one device and of many."""
    path = tmp_path / "vain.toml"
    path.write_text(
        'sheet = 1\n[parts]\nslug = "8 ± 0.1"\noutside = "40 ± 0.1"\n[open]\nslug = "5 .. 8"\noutside = "38 .. 41"\n'
        '[blade_depth]\nadds = ["46.5 ± 0.2"]\ntakes = ["slug"]\nat_least = "40 mm"\n[handling]\n'
        'external = "M36x1.5-6g"\ninternal = "M36x1.5-6H"\nbore = "32 ± 0.1"\noutside = "outside"\n'
        'external_material = "6061-T6"\ninternal_material = "6061-T6"\nin_vain = "25 N·m"\nheld_by = "strap"\n'
        'grip = "30 ± 1"\n',
        encoding="utf-8",
    )
    build = fc.load(path)
    plan = fc.plan(build)
    assert not plan.works
    assert {one.finding.question for one in plan.conflicts} == {"handling"}
    assert all(row.part != "outside" or row.settles == 0 for row in fc.measure_next(build))
    lot = build.lot(pd.DataFrame({"slug": [6.0, 7.0], "outside": [40.0, 39.9]}))
    verdicts = [name for name in lot.columns if name.startswith("handling") and "margin" not in name]
    assert len(verdicts) == 2
    assert (lot[verdicts] == "fails").all(axis=None)


def held_answer(**change):
    """The finding on the grip, of `PLAIN` with some inputs changed, or left out where they are None."""
    asked = {key: value for key, value in {**PLAIN, **change}.items() if value is not None}
    return fc.ask("handling", **asked)[1]


def test_a_grip_without_friction_passes_nothing_and_no_longer_one_does():
    """No friction, no torque, whatever the length: nothing is offered but the torque not to be passed."""
    slips = held_answer(friction_grip="0")
    assert slips.nominal == 0
    assert slips.verdict is Verdict.FAILS
    assert "passes no torque" in slips.details["it stands"]
    assert slips.details["share of what the tube stands"].count("no torque") == 3
    perhaps = held_answer(friction_grip="0 .. 0.2")
    assert not slips.moves
    assert not perhaps.moves
    assert perhaps.nominal > 0


def test_a_tube_that_no_grip_turns_is_told_only_what_it_stands():
    """Eighty times what the tube is used to: no other grip, no plug and no length that a workshop has is enough."""
    stuck = held_answer(seized="2000 N·m")
    assert stuck.verdict is Verdict.FAILS
    (most,) = stuck.change
    assert most.startswith("held so, turn it by no more than")
    assert not stuck.moves


def test_a_plug_is_offered_where_the_bore_and_the_stiffness_are_known():
    """Without a bore there is nothing to measure it by; without a modulus nobody knows when it bears."""
    alloy = fc.add_material("an alloy of unknown stiffness", source="own test", yield_=275.0)
    known, no_bore, soft = (
        {edit.key for move in held_answer(**more).moves for edit in move.edits}
        for more in ({}, {"held_bore": None}, {"internal_material": alloy})
    )
    assert known == {"held_by", "grip", "plug_inside"}
    # One as large as the least bore goes into every tube.
    held = held_answer(held_bore="32.004 ± 0.05")
    (plug,) = (edit.value for move in held.moves for edit in move.edits if edit.key == "plug_inside")
    assert plug.upper == pytest.approx(31.954)
    assert f"to {plug.upper:.3f} mm inside" in " ".join(map(str, held.change))
    assert no_bore == soft == {"held_by", "grip"}
    with pytest.raises(InputError, match=r"internal_material: no modulus is known, which says when a plug bears"):
        held_answer(internal_material=alloy, plug_inside="31.9 ± 0.02")


def test_what_is_taken_of_holes_and_plug_is_said_with_the_grip():
    def said(**more):
        return " ".join(held_answer(**more).assumptions)

    assert "No hole lies under the grip; give holes" in said()
    assert "A hole lies under the grip, and the stress at its edge is 3 times" in said(holes="4 ± 0.1")
    away = said(holes="4 ± 0.1", hole_clear="9")
    assert "2 diameters and more away from the holes" in away
    assert "A hole lies under" not in away
    assert "plug" not in said()
    assert "The plug is solid, as long as the grip" in said(plug_inside="31.9 ± 0.02")
