"""The joint question where threads are worn until they no longer meet, and what its loads rest on.

Checked against ridges drawn in shapely, corner enumeration and a sample of its own. Numbers invented.
"""

import itertools
import math

import numpy as np
import pytest
from asked import JOINT
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from fitcheck.mechanics import short_model
from fitcheck.questions import ThreadEngagement, Verdict
from fitcheck.threads.profile import flank_overlap

WALLS = {"external_bore": "32 +0.1/-0", "internal_outside": "38 ± 0.1"}
H = math.sqrt(3) / 2 * 1.5

T30 = math.tan(math.pi / 6)


def ask(**asked):
    return ThreadEngagement.read({**JOINT, **asked})


def ridge(crest, pitch_radius, P, towards):
    """Half a pitch wide at the pitch line, flanks of 30° that meet in an apex, cut off at the crest, as a polygon."""
    height = P / 4 / math.tan(math.pi / 6)
    apex = (0.0, pitch_radius + towards * height)
    foot = pitch_radius - towards * 9 * height
    triangle = Polygon([apex, (10 * P / 4, foot), (-10 * P / 4, foot)])
    return triangle.intersection(box(-99, min(foot, crest), 99, max(foot, crest)))


@given(st.floats(33, 37), st.floats(32, 36), st.floats(33, 37), st.floats(33, 38), st.sampled_from((1.5, 2.0)))
def test_flanks_that_overlap_are_ridges_that_cannot_be_pulled_past_each_other(d, d2, D1, D2, P_nut):
    """The ridges of both, drawn crest to crest, share metal just where the height is above 0."""
    height = float(flank_overlap(d, d2, D1, D2, 1.5, P_nut))
    assume(abs(height) > 1e-6)
    screw, nut = ridge(d / 2, d2 / 2, 1.5, 1), ridge(D1 / 2, D2 / 2, P_nut, -1)
    assert (screw.intersection(nut).area > 0) == (height > 0)
    if height > 0:
        low, high = (screw.intersection(nut).bounds[i] for i in (1, 3))
        assert high - low == pytest.approx(height, abs=1e-6)


@pytest.mark.parametrize(
    ("worn", "words"),
    [
        ({"external_pitch": "33.2 measured ± 0.02"}, "can drop through each other: at worst the flanks miss by"),
        ({"external_pitch": "32.5 measured ± 0.02"}, "drop through each other: even the best of them miss by"),
        ({"internal_pitch": "37.6 measured ± 0.02"}, "drop through each other: even the best of them miss by"),
        ({"external_major": "34.2 measured ± 0.05", "external_pitch": "34.0 measured ± 0.05"}, "even the best"),
        ({"internal_minor": "35.9 measured ± 0.05"}, "can drop through each other"),
    ],
)
def test_threads_without_a_flank_left_do_not_mate(worn, words):
    question = ask(**worn)
    mates = question.findings()[1]
    assert mates.quantity == "height over which the flanks meet"
    assert mates.verdict is Verdict.FAILS
    assert words in mates.answer
    ends = [
        (min(d, d2 + H) - max(D1, D2 - H)) / 2
        for d, d2, D1, D2 in itertools.product(*[(x.lower, x.upper) for x in question.pair_sizes.values()])
    ]
    assert mates.worst_case == pytest.approx((min(ends), max(ends)), abs=1e-9)
    assert "pitch line" in " ".join(mates.assumptions)
    assert "runs freely" not in " ".join(mates.details.values())
    # What drops through carries nothing: no load is told.
    assert [one.quantity for one in question.findings()[2:]] == []


def test_a_large_play_is_no_missing_flank():
    """2 H is 2.6 mm: one of 0.9 mm leaves the standard crests nearly all they had."""
    mates = ask(external_pitch="34.3 measured ± 0.02").findings()[1]
    assert mates.quantity == "play between the flanks"
    assert mates.verdict is Verdict.HOLDS


def test_a_film_can_make_flanks_meet_again():
    worn = {"internal_minor": "35.75 measured ± 0.01", "external_major": "35.77 measured ± 0.015"}
    bare = ask(**worn).findings()[1]
    assert bare.quantity == "height over which the flanks meet"
    thin = {"internal_minor": "35.75 measured ± 0.01"}
    plated = ask(**thin, external_coating={"name": "plate", "thickness": "100 ± 5 µm"}).findings()[1]
    assert plated.quantity == "play between the flanks", "an unmeasured crest grows by its film"


# -- loads -------------------------------------------------------------------------------------------------


def test_the_strip_load_is_as_uncertain_as_that_of_a_set_screw():
    """Scatter of the tests and error of the fit, against a sample of its own."""
    question = ask(length="3.0", external_material="45H")
    carries = question.findings()[2]
    names = {driver.name for driver in carries.drivers}
    assert {"scatter of strip tests", "level of this bench"} <= names
    said = " ".join(carries.assumptions)
    assert "level of this bench: taken as Student t" in said
    assert "How far a new bench lies off the tests" in said
    assert "No source prints the shear strength of 45H: 0.6" in said
    assert "The tests had" not in said
    model, inputs = short_model(), question.load_borne.strip_inputs
    rng, n = np.random.default_rng(4), 200_000
    v = {k: rng.uniform(d.lower, d.upper, n) for k, d in inputs.items() if k not in ("scatter", "bench")}
    n_threads = 3.0 / 1.5
    error = math.hypot(model.bench.value, model.half.error / (n_threads + model.half.value))
    k = np.exp(error * rng.standard_t(4, n) + model.next_scatter * rng.standard_normal(n))
    k *= n_threads / (n_threads + model.half.value)
    # The areas of the worst limits of 6g/6H over those of their middles: d 35.732 to 35.968, d2 34.844 to 34.994,
    # D2 35.026 to 35.226, D1 34.376 to 34.676 (ISO 965-2).
    of_hole = 35.732 * (0.75 + (35.732 - 35.226) * T30) / (35.85 * (0.75 + (35.85 - 35.126) * T30))
    of_screw = 34.676 * (0.75 + (34.844 - 34.676) * T30) / (34.526 * (0.75 + (34.919 - 34.526) * T30))
    turns = math.pi * n_threads
    hole = turns * v["d"] * (0.75 + (v["d"] - v["D2"]) * T30) * v["tau_internal"] * k * of_hole
    screw = turns * v["D1"] * (0.75 + (v["d2"] - v["D1"]) * T30) * v["tau_external"] * k * of_screw
    for share in (0.005, 0.995):
        ours = carries.interval[0 if share < 0.5 else 1]
        assert ours == pytest.approx(np.quantile(np.minimum(hole, screw), share), rel=0.02)


@pytest.mark.parametrize(("length", "told"), [("15", True), ("11", False), ("1.0", True)])
def test_beyond_the_tests_is_said(length, told):
    carries = ask(length=length).findings()[2]
    assert any("The tests had 0.9 to 7.5 threads" in line for line in carries.assumptions) is told


def test_a_load_is_answered_in_the_unit_it_was_stated_in():
    metric, pounds = (ask(**WALLS, load=load).findings()[2] for load in ("2000 N", "450 lbf"))
    assert pounds.unit.text == "lbf"
    assert pounds.nominal == pytest.approx(metric.nominal)  # inside it is N
    assert pounds.answer.count(" lbf") == 2
    assert " N" not in str(pounds)
    assert "at least 450 lbf" in str(pounds)
    assert all(words.endswith(" lbf") for words in pounds.details.values())
    assert ask(load=2000.0).findings()[2].unit.text == "N"


@pytest.mark.parametrize(
    ("measured", "words"),
    [
        (
            {"external_pitch": "34.204 measured ± 0.02"},
            "external pitch diameter is worn: 0.640 mm below the 6g limit",
        ),
        (
            {"internal_pitch": "35.326 measured ± 0.02"},
            "internal pitch diameter is worn: 0.100 mm above the 6H limit",
        ),
        (
            {"external_major": "35.632 measured ± 0.02"},
            "external major diameter is worn: 0.100 mm below the 6g limit",
        ),
        ({"external_pitch": "35.0 measured ± 0.005"}, "is outside its class: 0.006 mm above the 6g limit"),
        ({"external_pitch": "32.5 measured ± 0.02"}, "is worn: 2.344 mm below the 6g limit"),
        ({"external_pitch": "34.843 measured ± 0.02"}, "is worn: 0.001 mm below the 6g limit"),
    ],
)
def test_a_measured_size_outside_its_class_is_called_so(measured, words):
    """Limits by ISO 965-2, mm: 6g pitch 34.844 to 34.994, major 35.732 to 35.968; 6H pitch 35.026 to 35.226."""
    joint = ask(**measured)
    mates = joint.findings()[1]
    assert words in mates.answer
    assert any(words.split("is ")[1] in row for row in mates.details.values())
    for found in joint.findings()[2:]:
        assert any(words in line for line in found.assumptions)


def test_a_measured_size_within_its_class_is_not_called_worn():
    mates = ask(external_pitch="34.9 measured ± 0.02", internal_minor="34.6 measured ± 0.02").findings()[1]
    assert "worn" not in mates.answer
    assert "at the most" in mates.answer
    assert "turns freely" not in mates.answer


def test_edges_of_ridges_bear_no_load():
    """Crests 0.025 mm into each other, of 0.812 mm: no model of a whole thread may say that it holds."""
    worn = {"internal_minor": "35.75 ± 0.02", "external_major": "35.80 ± 0.02"}
    engaged, meets = ask(**worn).findings()
    assert meets.quantity == "height over which the flanks meet"
    assert meets.verdict is Verdict.FAILS
    assert meets.requirement.at_least == pytest.approx(0.4 * 5 / 8 * H)
    assert any("40%" in one and "no source" in one for one in meets.sources)
    assert meets.answer.count("The internal pitch diameter was not measured") == 1
    assert "external pitch diameter was not" not in meets.answer, "its crest is within its class"
    assert engaged.verdict is Verdict.HOLDS
    measured = {"external_pitch": "34.9 measured ± 0.02", "internal_pitch": "35.1 measured ± 0.02"}
    assert "was not measured" not in ask(**worn, **measured).findings()[1].answer
