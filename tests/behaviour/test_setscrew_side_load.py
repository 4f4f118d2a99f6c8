"""A push at the blade's tip: how it levers on the screws, and what their thread bears. All numbers are invented."""

import re

import numpy as np
import pytest
from screw_inputs import SCREW

import fitcheck as fc
from fitcheck.errors import InputError
from fitcheck.mechanics.holding import side_leverage
from fitcheck.questions import SetScrew, Verdict
from fitcheck.questions.set_screw.remedies import other_screws
from fitcheck.questions.set_screw.side_load import row_for_side, side_finding

PLACED = {
    **SCREW,
    "hand_torque": "0.10 ± 0.02 N·m",
    "screws": 2,
    "angles": ["0 deg", "0 deg"],
    "blade_out": "700 mm",
    "seated": "38.5 ± 0.5",
    "screws_at": ["12.0 ± 0.2", "36.5 ± 0.2"],
}


def test_the_levers_are_those_of_a_rigid_bar():
    """Forces and moments in balance, solved as equations: end of the seat (or mouth) and screws as supports."""
    out, seated, at = 700.0, 38.5, [12.0, 36.5]
    # Towards the screws: F at the tip, the upper screw pushes back, the end of the blade on the far wall.
    screw, _ = np.linalg.solve([[1, -1], [at[0], -seated]], [1, -out])
    assert side_leverage(out, seated, at, in_line=True) == pytest.approx(screw) == pytest.approx(738.5 / 26.5)
    # One screw near the mouth of a deep seat is loaded more by a push away from it, about the mouth.
    assert side_leverage(700.0, 60.0, [12.0], in_line=True) == pytest.approx(700 / 12)
    # Opposed screws are the pivot of each other.
    upper, _ = np.linalg.solve([[1, -1], [at[0], -at[1]]], [1, -out])
    opposed = side_leverage(out, seated, [20.0, 36.5], in_line=False)
    assert upper == pytest.approx(736.5 / 24.5)
    assert opposed == pytest.approx(736.5 / 16.5)
    # Three around the blade at one depth: the end of the seat is the pivot.
    around = side_leverage(700.0, 38.5, [30.0, 30.0, 30.0], in_line=False, apart=4.0)
    assert around == pytest.approx(738.5 / 8.5)
    pushes = side_leverage(np.array([0.0, 700.0]), 38.5, [12.0, np.array([30.0, 36.5])], in_line=True)
    assert pushes == pytest.approx([38.5 / 26.5, 738.5 / 26.5])


@pytest.mark.parametrize("at", [[38.5], [-1.0], [0.0], []])
def test_screws_beside_the_blade_have_no_lever(at):
    with pytest.raises((InputError, ValueError)):
        side_leverage(700.0, 38.5, at, in_line=True)


def test_the_thread_bears_clamp_and_side_load_together():
    """Nominal: what strips less the clamp load, over the lever; at the risk: by plain sampling."""
    question = SetScrew.read({**PLACED, "side": "5 N"})
    finding = question.findings()[2]
    v = {**question.nominal, "hand_torque": 0.10}
    strips = min(float(np.asarray(load)) for load in question.both_loads(v))
    assert finding.nominal == pytest.approx((strips - float(question.load(v))) / (738.5 / 26.5), rel=1e-3)
    borne = float(finding.answer.rsplit("bears ", 1)[1].removesuffix(" N."))
    sampled = finding.of.sample(200_000, seed=5)
    assert (sampled < borne).mean() <= 1.1 * question.risk_a_screw
    assert (sampled < borne + 1.5).mean() > 0.5 * question.risk_a_screw
    assert finding.details["leverage"].startswith("27.9 times")
    for side, verdict in ((f"{borne / 2} N", {Verdict.HOLDS, Verdict.LIKELY}), ("60 N", {Verdict.FAILS})):
        assert fc.ask("set_screw", **{**PLACED, "side": side})[2].verdict in verdict


def test_in_pounds_and_inches_it_is_the_same():
    metric = {**PLACED, "outside": "30.0 ± 0.1 mm", "bore": "25.426 ± 0.026 mm", "blade": "25.0 ± 0.15 mm",
              "screw_length": "4.0 ± 0.2 mm", "point_diameter": "1.9 ± 0.1 mm"}  # fmt: skip
    inch = {
        **metric,
        "blade_out": "27.559055 in",
        "seated": "1.515748 ± 0.019685 in",
        "screws_at": ["0.472441 ± 0.007874 in", "1.437008 ± 0.007874 in"],
    }
    metric = fc.ask("set_screw", **{**metric, "side": "4.4482216 N"})[2]
    imperial = fc.ask("set_screw", **{**inch, "side": "1 lbf"})[2]
    assert imperial.nominal == pytest.approx(metric.nominal, rel=1e-4)
    assert "1 lbf across the tip" in imperial.answer


def test_screws_in_unknown_directions_are_taken_at_their_worst():
    known = SetScrew.read({**PLACED, "side": "5 N"}).findings()[2]
    unknown = SetScrew.read({**{k: v for k, v in PLACED.items() if k != "angles"}, "side": "5 N"}).findings()[2]
    assert unknown.nominal < known.nominal


def test_a_knock_is_cautioned_with_its_lever_where_nobody_asks():
    def caution(asked):
        (found,) = (line for line in fc.ask("set_screw", **asked)[1].cautions if "knock" in line)
        return found

    assert "give side, blade_out, seated and screws_at" in caution(SCREW)
    said = caution(PLACED)
    assert "levers on one screw, 27.9 times its force: the thread bears" in said
    asked = fc.ask("set_screw", **PLACED, side="5 N")
    assert not any("knock at the blade's tip" in line for line in asked[1].cautions)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"blade_out": None, "side": "5 N"}, r"blade_out: missing: blade_out, seated, screws_at go together"),
        ({"screws_at": None}, r"screws_at: missing: .* and blade_out is given"),
        ({"screws_at": ["12"]}, r"screws_at: 1 depths for screws = 2: one depth for each screw is needed"),
        ({"screws_at": ["12", "38.2 ± 0.2"]}, r"screws_at\[2\] = 38.2 ± 0.2 mm: a screw that presses on the blade"),
        ({"screws_at": ["-1", "36"]}, r"screws_at\[1\] = -1 mm: a length above 0"),
        ({"side": "-5 N"}, r"side = -5 N: a force of at least 0"),
        ({"side": "5 mm"}, r"side = '5 mm'"),
        ({"seated": "0"}, r"seated = 0 mm: a length above 0"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(change, words):
    asked = {key: value for key, value in {**PLACED, **change}.items() if value is not None}
    with pytest.raises(InputError, match=words) as caught:
        fc.ask("set_screw", **asked)
    assert "\n" not in str(caught.value)


def test_more_screws_are_offered_without_their_places():
    """Where other screws would stand is not known: the advice says their number, and asks again without places."""
    asked = {**PLACED, "hand_torque": "0.08 ± 0.01 N·m", "pull": "60 N", "kept": "metal", "side": "1 N"}
    question = SetScrew.read(asked)
    hold = question.findings()[1]
    moves = [move for move in hold.moves if move.words.startswith("use ")]
    for move in moves:
        again = move.made(question)
        assert (again.angles, again.side, again.screws_at) == (None, None, None)
        assert again.findings()[1].verdict is Verdict.HOLDS
    assert moves or hold.verdict is Verdict.HOLDS


@pytest.mark.parametrize("inch", [False, True], ids=["mm", "in"])
def test_a_push_says_how_many_screws_in_a_row_it_takes(inch):
    """One screw near the mouth is levered on most; more in a row share, turned with no more than holds the blade."""
    one = {**PLACED, "screws": 1, "angles": ["0 deg"], "pull": "10 N", "kept": "metal", "side": "25 N"}
    one |= {"screws_at": ["12 ± 0.2"], "blade_out": "200 ± 2", "hand_torque": "0.10 ± 0.02 N·m"}
    if inch:
        mm = ("outside", "blade", "screw_length", "point_diameter", "blade_out", "seated")
        one |= {key: f"{one[key]} mm" for key in mm} | {"bore": "25.426 ± 0.026 mm", "screws_at": ["0.472 ± 0.008 in"]}
    question = SetScrew.read(one)
    found = side_finding(question, question.put_on, np.inf, question.side)
    assert found.verdict is Verdict.FAILS
    (move,) = found.moves
    number = int(re.match(r"use (\d+) screws in one row at depths of", move.words)[1])
    made = move.made(question)
    assert made.screws == number == len(made.screws_at)
    strip, hold, after = made.findings()[:3]
    assert after.verdict is not Verdict.FAILS
    assert hold.verdict is Verdict.HOLDS
    assert strip.verdict is not Verdict.FAILS
    # One screw takes out/at of a push away from it, 16.7; two at 12 and 33.8 mm share it, and the seat's lever rules.
    assert row_for_side(question, question.side).number == number == 2
    assert after.details["leverage"].startswith("9 times")
    assert all(str(at.unit) == str(question.screws_at[0].unit) for at in made.screws_at)


def test_a_push_that_no_number_of_screws_bears_is_said_so():
    """In a row of any number the first screw takes the lever of tip and seat: (out + seated)/(seated - at)."""
    question = SetScrew.read({**PLACED, "side": "60 N"})
    found = side_finding(question, question.put_on, np.inf, question.side)
    assert not found.moves
    assert any("no number of such screws in one row bears it" in line for line in found.change)


def test_worn_crests_that_hardly_overlap_bear_no_push():
    worn = {**PLACED, "side": "1 N", "screw_major": "3.90 ± 0.01", "hole_minor": "3.85 ± 0.01"}
    question = SetScrew.read({**worn, "hole_pitch": "3.60 ± 0.02"})
    found = side_finding(question, question.put_on, np.inf, question.side)
    assert found.nominal == 0
    assert found.verdict is Verdict.FAILS


def test_two_screws_are_not_in_one_place():
    """Three in one line at one depth shared a push that one would have taken: they cannot be there."""
    same = {**PLACED, "screws": 3, "screws_at": ["12 ± 0.2", "30 ± 0.2", "14 ± 0.2"], "angles": ["0 deg"] * 3}
    with pytest.raises(InputError, match=r"screws_at\[3\] = 14 ± 0.2 mm: 2.00 mm from screws_at\[1\] in the wall"):
        SetScrew.read(same)
    near = {**same, "angles": ["359 deg", "0 deg", "11 deg"]}
    with pytest.raises(InputError, match=r"screws_at\[3\] .* from screws_at\[1\]"):
        SetScrew.read(near)
    SetScrew.read({**same, "angles": ["0 deg", "0 deg", "30 deg"]})
    SetScrew.read({**same, "angles": ["0 deg", "120 deg", "240 deg"], "screws_at": ["12 ± 0.2"] * 3})


def test_one_screw_more_is_offered_where_it_holds():
    """Two that stand in any directions hold 35 N at the torque that is safe for two: no third is asked for."""
    question = SetScrew.read({**SCREW, "hand_torque": "0.10 ± 0.02 N·m", "pull": "35 N"})
    assert question.screws == 1
    (offered,) = other_screws(question)
    assert (offered.number, offered.in_row) == (2, False)
    two = SetScrew.read({**SCREW, "screws": 2, "pull": "35 N"})
    assert two.hold_at(two.put_on_up_to(offered.torque)).worst_case().min >= 35


def test_no_row_is_offered_that_the_socket_has_no_room_for():
    """100 N takes three screws in a row: M4 6 mm apart, and one diameter from the seat, need 16 mm of socket."""
    one = {**SCREW, "hand_torque": "0.10 ± 0.02 N·m", "pull": "100 N", "screws": 2, "angles": ["0 deg", "180 deg"]}
    deep = {**one, "blade_out": "100", "screws_at": ["5", "9.5"], "seated": "60"}
    rows = [one for one in other_screws(SetScrew.read(deep)) if one.in_row]
    assert rows[0].number == 3
    assert not [one for one in other_screws(SetScrew.read({**deep, "seated": "15.5"})) if one.in_row]


def test_a_row_is_turned_as_tightly_as_is_safe_where_nothing_pulls():
    """Without a pull nothing must be held, so the torque may be as little as leaves the thread to the push."""
    one = {**PLACED, "screws": 1, "angles": ["0 deg"], "screws_at": ["12 ± 0.2"], "blade_out": "200 ± 2"}
    row = row_for_side(SetScrew.read({**one, "pull": "0 N", "side": "25 N"}), 25.0)
    assert row.number == 2
    assert 0 < row.torque <= 0.12


def test_a_dozen_screws_that_find_room_may_still_be_too_few():
    """A socket of 100 mm has room for twelve M4 in a row, which cannot hold 5 kN at any torque that is safe."""
    assert row_for_side(SetScrew.read({**PLACED, "seated": "100 ± 0.5", "pull": "5000 N", "side": "1 N"}), 1.0) is None
