"""A chassis that slides in the tube: play, wires, warmth, jamming, sag; and what is refused."""

import dataclasses

import numpy as np
import pytest
from asked import SLIDING

import fitcheck as fc
from fitcheck.errors import InputError
from fitcheck.mechanics import jam_length, sag
from fitcheck.questions import QUESTIONS, Verdict
from fitcheck.questions.moves import Effect
from fitcheck.stack.synthesis import moved as resized

SlidingFit = QUESTIONS["sliding_fit"]

PRINTED = {**SLIDING, "printed": "0.20 ± 0.10"}
JAM = {"guided": "40 ± 1", "friction": "0.3 ± 0.1, uniform"}
SAG = {"span": "200", "relief": "0.5 ± 0.05", "mass": "0.3 kg", "material": "PLA"}


def test_play_is_the_bore_less_what_comes_out_of_the_printer():
    (turned,) = fc.ask("sliding_fit", **SLIDING)
    (printed,) = fc.ask("sliding_fit", **PRINTED)
    (sleeved,) = fc.ask("sliding_fit", **PRINTED, sleeve="0.1 ± 0.01")
    assert turned.worst_case == pytest.approx((0.4, 0.7))
    # ISO 286-1's preferred fits of the hole basis that play, and no others.
    named = [one.split(": ")[0] for one in turned.details["turned to a shaft of ISO 286, in this bore"].split("; ")]
    assert named == ["loose running, c11", "free running, d9", "close running, f7", "sliding, g6",
                     "locational clearance, h6"]  # fmt: skip
    assert printed.worst_case == pytest.approx((0.1, 0.6))
    assert sleeved.worst_case == pytest.approx((0.1 - 0.22, 0.6 - 0.18))
    assert printed.details["comes out at"] == "31.70 mm, 31.50 mm to 31.90 mm"
    assert any("measured with a meter, not assumed" in said for said in turned.cautions)


def test_what_is_advised_holds_when_it_is_asked_again():
    (tight,) = fc.ask("sliding_fit", **{**PRINTED, "chassis": "31.9 ± 0.1"})
    assert tight.verdict == "fails"
    (move, *_) = [one for one in tight.moves if one.effect.value == "it holds" or "holds" in one.words]
    (again,) = fc.ask("sliding_fit", **{**PRINTED, move.edits[0].key: move.edits[0].value})
    assert again.verdict == "holds"
    (loose,) = fc.ask("sliding_fit", **SLIDING, at_most="0.5 mm")
    assert "larger" in loose.change[0]


def test_inches_and_millimetres_say_the_same():
    (inch,) = fc.ask("sliding_fit", bore="1.2598 +0.004/-0 in", chassis="1.2402 ± 0.004 in")
    (mm,) = fc.ask("sliding_fit", bore="31.99892 +0.1016/-0", chassis="31.50108 ± 0.1016")
    assert inch.worst_case == pytest.approx(mm.worst_case)
    assert " in play" in inch.answer
    assert "in" in inch.details["turned to a shaft of ISO 286, in this bore"]


def test_fits_are_offered_in_words_for_this_bore():
    (found,) = fc.ask("sliding_fit", **SLIDING)
    offered = found.details["turned to a shaft of ISO 286, in this bore"]
    # 32 g6 is -9 to -25 µm: in a bore of 32.0 to 32.1.
    assert "sliding, g6: play 0.009 mm to 0.125 mm" in offered
    (large,) = fc.ask("sliding_fit", bore="600 ± 0.1", chassis="599 ± 0.1")
    assert "turned to a shaft of ISO 286, in this bore" not in large.details


def test_a_wire_lies_where_the_chassis_is_pushed_away():
    room = fc.ask("sliding_fit", **SLIDING, wires=["0.3 ± 0.02", "0.6 ± 0.02"])[1]
    assert room.worst_case == pytest.approx((0.4 - 0.62, 0.7 - 0.58))
    assert room.verdict == "fails"


def test_a_drawer_jams_at_the_length_at_which_its_forces_balance():
    """The push F at e and two forces N with friction: moments about the axis solved, F = 2 μ N and F e = N L."""
    mu, e = 0.35, 12.0
    L = float(jam_length(mu, e))
    N = float(np.linalg.solve([[2 * mu]], [1.0])[0])  # so that a push of 1 N just moves it
    assert pytest.approx(e) == L * N
    short, long = (fc.ask("sliding_fit", **SLIDING, friction="0.35", pushed_at="12", guided=x)[1] for x in ("8", "9"))
    assert (short.verdict, long.verdict) == ("fails", "holds")
    rim = fc.ask("sliding_fit", **SLIDING, **JAM)[1]
    assert rim.nominal == pytest.approx(40 - 2 * 0.3 * 31.5 / 2)
    for near in ("0", "0.4"):  # pushed on its axis it never jams
        found = fc.ask("sliding_fit", **SLIDING, friction="0.3", pushed_at=near, guided="40")[1]
        assert found.nominal == pytest.approx(40 - 2 * 0.3 * float(near))


def test_the_sag_is_that_of_a_beam_that_is_integrated():
    m, L, Do, Di, E = 0.3, 250.0, 20.0, 12.0, 2400.0
    x = np.linspace(0, L, 20001)
    w, EI = m * 9.80665 / L, E * np.pi / 64 * (Do**4 - Di**4)
    curvature = w * x * (L - x) / 2 / EI
    step = x[1]
    slope = np.concatenate([[0], np.cumsum((curvature[1:] + curvature[:-1]) / 2 * step)])
    down = np.concatenate([[0], np.cumsum((slope[1:] + slope[:-1]) / 2 * step)])
    down -= down[-1] * x / L
    deepest = float(sag(m, L, Do, Di, E))
    assert deepest == pytest.approx(float(np.abs(down).max()), rel=1e-6)
    found = fc.ask("sliding_fit", **SLIDING, **SAG)[1]
    assert found.nominal == pytest.approx(0.5 - sag(0.3, 200, 30.5, 0.0, 3000), rel=1e-6)
    assert 0 < found.worst_case.min < 1
    low = fc.ask("sliding_fit", **SLIDING, **{**SAG, "relief": "0.1 ± 0.1"})[1]
    assert ["can sag onto" in one.answer for one in (found, low)] == [False, True]
    hollow = fc.ask("sliding_fit", **SLIDING, **SAG, hollow="28 ± 0.1")[1]
    assert hollow.nominal < found.nominal


def test_a_printed_chassis_binds_where_it_is_warm():
    cold = fc.ask("sliding_fit", **SLIDING, temperature="20 °C", material="ASA", tube_material="6061-T6")[1]
    warm = fc.ask("sliding_fit", **SLIDING, temperature="20 .. 60 °C", material="ASA", tube_material="6061-T6")[1]
    assert cold.nominal == pytest.approx(0.5)
    assert warm.nominal == pytest.approx(32 * (1 + 23.6e-6 * 40) - 31.5 * (1 + 95e-6 * 40), abs=2e-3)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"guided": "40"}, "friction: missing"),
        ({"temperature": "20 .. 60 °C"}, "material: missing"),
        ({"span": "200", "relief": "0.5", "mass": "0.3 kg"}, "material: missing"),
        ({"at_most": "0 mm"}, "at_most: more than at_least is needed"),
        ({"printed": "-40 ± 1"}, "nothing is left of the chassis"),
        ({"hollow": "33"}, "a bore inside the chassis"),
        ({"chassis": "-3"}, "chassis = -3 mm"),
        ({"wires": ["0"]}, "wires[1] = 0 mm"),
        ({"guided": "40", "friction": "1.4"}, "friction"),
        ({"mass": "3"}, "mass"),
        ({"bore": "32 N"}, "is a force"),
        ({"span": "200", "relief": "16", "mass": "0.3 kg", "material": "PLA"}, "relief = 16 mm"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(more, words):
    with pytest.raises(InputError) as caught:
        fc.ask("sliding_fit", **{**SLIDING, **more})
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)


DOUBTFUL = {
    **PRINTED, "chassis": "31.9 ± 0.1", "guided": "8 ± 1", "friction": "0.5 ± 0.1, uniform", "pushed_at": "10 ± 1",
    "span": "300 ± 1", "relief": "0.05 ± 0.02", "mass": "1 kg", "hollow": "28 ± 0.1", "material": "PLA",
    "tube_material": "6061-T6", "temperature": "-10 .. 45 °C",
}  # fmt: skip


def test_every_move_holds_when_it_is_made_and_asked_again():
    """Play, warm play, jam and sag: each names an amount that does it, and of warm play, jam and sag hardly more."""
    question = SlidingFit.read(DOUBTFUL)
    tried = set()
    for finding in question.findings():
        for move in finding.moves:
            assert move.words in finding.change
            after = {one.quantity: one for one in move.made(question).findings()}[finding.quantity]
            assert after.verdict in (Verdict.HOLDS, Verdict.LIKELY)
            assert after.verdict is Verdict.HOLDS or move.effect is not Effect.HOLDS
            tried |= {edit.key for edit in move.edits}
            if "play of the chassis in" not in finding.quantity:
                (edit,) = move.edits
                way = edit.value.nominal - getattr(question, edit.key).nominal
                less = resized(edit.value, edit.value.nominal - 0.1 * way)
                short = dataclasses.replace(question, **{edit.key: less})
                verdict = {one.quantity: one for one in short.findings()}[finding.quantity].verdict
                assert verdict is not Verdict.HOLDS, move
    assert tried == {"chassis", "guided", "pushed_at", "span"}


@pytest.mark.parametrize("hollow", [None, "22 ± 0.2", "31 ± 0.1"])
def test_a_hollow_chassis_is_made_smaller_as_a_solid_one_is_where_its_wall_allows(hollow):
    """How far it may shrink ends at its own bore, which says nothing against the little that is needed."""
    tight = {**SLIDING, "chassis": "31.98 ± 0.05", "temperature": "-10 .. 45 °C", "material": "PETG"}
    tight |= {"tube_material": "6061-T6"} | ({} if hollow is None else {"hollow": hollow})
    question = SlidingFit.read(tight)
    warm = question.findings()[1]
    # At worst case 32 less 32.03 is 0.03 too little; 25 °C more take 0.05, of 32 mm of PETG in aluminium.
    assert warm.change[0] == "make the chassis 0.08 mm smaller and it holds at worst case"
    (move,) = warm.moves
    assert move.made(question).findings()[1].verdict is Verdict.HOLDS
    thin = SlidingFit.read({**tight, "hollow": "31.8 ± 0.1"}).findings()[1]
    assert thin.verdict is Verdict.FAILS
    assert not thin.moves


def test_a_figure_shows_the_zones_and_what_binds():
    (found,) = fc.ask("sliding_fit", **SLIDING)
    assert (found.drawing.bore.low, found.drawing.bore.high) == pytest.approx((32.0, 32.1))
    ax = found.plot()
    assert [text.get_text() for text in ax.get_xticklabels()][:2] == ["bore", "chassis"]
    assert "g6" in [text.get_text() for text in ax.get_xticklabels()]
    assert ax.get_xlabel() == "play 0.40 to 0.70 mm\nwhite: shafts of fits that slide, for this bore"
    tall = [bar for bar in ax.patches if bar.get_width() == pytest.approx(0.62)]
    assert [bar.get_height() for bar in tall[:2]] == pytest.approx([0.1, 0.2])
    (tight,) = fc.ask("sliding_fit", **{**PRINTED, "chassis": "31.9 ± 0.1"})
    assert tight.plot().get_xlabel().startswith("play -0.30 to 0.20 mm; hatched: it binds")


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"chassis": "31.9 ± 0.05", "wires": ["0.4 ± 0.05"]}, "smaller"),
        ({"chassis": "30.9 ± 0.05", "wires": ["0.6 ± 0.05"], "at_most": "1 mm"}, "larger"),
        ({"chassis": "30.9 ± 0.05", "wires": ["1.2 ± 0.05"], "at_most": "1 mm"}, None),
    ],
)
def test_one_size_of_the_chassis_is_advised_for_play_and_wires(more, says):
    asked = SlidingFit.read({**SLIDING, **more})
    play, wires = asked.findings()
    if says is None:
        assert not wires.moves
        assert any("no size of the chassis" in line for line in wires.change)
        return
    failing = [one for one in (play, wires) if one.verdict is not Verdict.HOLDS]
    assert len({one.moves[0].words for one in failing}) == 1
    assert says in failing[0].change[0]
    after = failing[0].moves[0].made(asked).findings()
    assert all(one.verdict is Verdict.HOLDS for one in after)


def test_play_that_is_left_is_not_said_to_bind():
    """Worst play 0.3 mm, more than that wanted: too tight; below 0 it can bind."""
    tight, bound = (
        fc.ask("sliding_fit", **{**SLIDING, "chassis": chassis, "at_least": "0.5 mm"})[0]
        for chassis in ("31.6 ± 0.1", "32.0 ± 0.1")
    )
    assert tight.worst_case.min == pytest.approx(0.3)
    assert "can be too tight" in tight.answer
    assert "can bind" in bound.answer
