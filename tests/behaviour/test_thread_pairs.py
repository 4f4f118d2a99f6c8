"""Threads put together, coated, measured, worn, identified and clocked, as a user meets them."""

import math
import re

import numpy as np
import pytest
from scipy.integrate import quad
from screw_inputs import SCREW

from fitcheck import stack
from fitcheck.basis import Basis
from fitcheck.errors import InputError
from fitcheck.mechanics import shear_area_internal
from fitcheck.notation import dim
from fitcheck.questions import SetScrew
from fitcheck.report.figures import profiles, svg
from fitcheck.threads import (
    OldThread,
    Size,
    SizedThread,
    clock,
    coat,
    coating,
    cut_for_coating,
    decide,
    decide_size,
    identify,
    pair,
    thread,
    worn,
)
from fitcheck.threads.known_threads import known, of
from fitcheck.threads.series import unified_sizes


def deg(angle):
    return math.radians(angle)


# -- pairs ---------------------------------------------------------------------------------------------


def test_one_text_may_name_a_pair():
    one = pair("M6-6H/6g")
    assert one.external.thread == thread("M6x1-6g")
    assert one.internal.thread == thread("M6x1-6H")
    assert one.designation == "M6x1-6H/6g"
    assert pair("M6").designation == "M6x1-6H/6g"
    assert pair("1/4-20 UNC-2A/2B-LH").designation == "1/4-20 UNC-2B/2A-LH"
    assert pair("M6-6g/6H").designation == one.designation
    for text in ("M6-6g", "M6-6g/6h", "M6-6H/5H"):
        with pytest.raises(InputError, match=r"pair|class"):
            pair(text)


def test_a_standard_pair_starts_and_runs_freely():
    one = pair("M6-6H/6g")
    assert one.clearance("pitch") == pytest.approx((5.350 - 5.324, 5.500 - 5.212))
    assert one.clearance("major") == (pytest.approx(6.000 - 5.974), None)
    assert one.overlap() == pytest.approx(((5.794 - 5.153) / 2, (5.974 - 4.917) / 2))
    assert one.percent()[0] == pytest.approx(100 * one.overlap()[0] / 0.541266, rel=1e-5)
    assert one.start == "starts"
    assert one.turns() == (math.inf, math.inf)
    assert "runs freely" in str(one)


@pytest.mark.parametrize(
    ("screw", "nut", "start", "words"),
    [
        ("#10-32 UNF-2A", "M5-6H", "starts", "binds after 18.3 to 36.9 turns"),
        ("M5-6g", "#10-32 UNF-2B", "may start", "binds within 4.0 turns"),
        ("M4-6g", "#8-36 UNF-2B", "starts", "binds after 19.8 to 38.6 turns"),
        ("M6-6g", "1/4-28 UNF-2B", "starts", "binds after 2.2 to 3.6 turns"),
        ("1/4-28 UNF-2A", "M6-6H", "does not start", "does not start"),
        ("M8-6g", "M8x1-6H", "may start", "binds within 0.6 turns"),
        ("M6-6g", "M8-6H", "drops through", "do not reach each other"),
        ("M8-6g", "M6-6H", "does not start", "does not start"),
        ("M16xPh3P1.5-6g", "M16x1.5-6H", "does not start", "2 and 1 starts do not go together"),
    ],
)
def test_false_pairs(screw, nut, start, words):
    one = pair(screw, nut)
    assert one.start == start
    assert words in one.verdict()


def test_the_turns_of_a_false_pair_by_hand():
    """#10-32 in M5: the clearance 4.480 - 0.1688 in becomes axial play, of which every turn uses 0.8 - 0.79375 mm.

    A ridge of 1/32 in is narrower than a groove of 0.8 mm besides: half a turn more.
    """
    play = (4.480 - 0.1688 * 25.4) * math.tan(deg(30)) + (0.8 - 25.4 / 32) / 2
    assert pair("#10-32 UNF-2A", "M5-6H").play()[0] == pytest.approx(play)
    assert pair("#10-32 UNF-2A", "M5-6H").turns().min == pytest.approx(play / (0.8 - 25.4 / 32), rel=1e-6)


def test_what_makes_no_pair_is_refused_by_name():
    with pytest.raises(InputError, match="M6x1-6g-LH is left-hand and M6x1-6H right-hand"):
        pair("M6-6g-LH", "M6-6H")
    with pytest.raises(InputError, match="M6x1-6g is external"):
        pair("M6-6g", "M6-6g")
    with pytest.raises(InputError, match="one text such as"):
        pair(thread("M6"))
    with pytest.raises(InputError, match="one of '5/8 H', '3/4 H'"):
        pair("M6").percent("H")


def test_a_pair_says_what_its_halves_are():
    assert str(pair(coat("M6-6h", "hard anodic"), "M6-6H")).startswith("M6x1-6H/6h; screw with hard anodic\n")
    assert repr(worn("M6-6g", major=dim("5.71 measured ± 0.02"))) == (
        "M6x1-6g, as measured\n"
        "  mm       max    min\n"
        "  major  5.730  5.690\n"
        "  pitch  5.324  5.212\n"
        "  minor  4.891  4.596"
    )


def test_a_pair_prints_as_a_table_in_the_unit_of_its_screw():
    assert repr(pair("1/4-20 UNC-2A/2B")) == (
        "1/4-20 UNC-2B/2A\n"
        "  in                  min     max\n"
        "  major clearance  0.0011       -\n"
        "  pitch clearance  0.0011  0.0097\n"
        "  minor clearance  0.0012       -\n"
        "  radial overlap   0.0169  0.0264\n"
        "  % of 5/8 H           62      98\n"
        "  1/4-20 UNC-2A starts in 1/4-20 UNC-2B and runs freely. "
        "The ridges overlap by 62 to 98 % of the basic height."
    )


@pytest.mark.parametrize("text", ["#8-32 UNC-2B/3A", "#8-32 UNC-3B/3A", "#6-32 UNC-2B/3A", "3/8-16 UNC-3B/3A"])
def test_the_rounding_of_printed_limits_is_no_metal(text):
    # Flat root and bore are both the basic minor diameter, in print to 0.0001 in and 0.001 in; see
    # tests/reference/unified_limits.csv and thread_limits_memory.csv: #8-32 UNC has 0.1640 - 1.0825 / 32 = 0.13017.
    one = pair(text)
    assert -0.00055 * 25.4 <= one.clearance("minor").min <= 0
    assert one.start == "starts"
    assert not any(one.meets(which) for which in ("major", "pitch", "minor"))


@pytest.mark.parametrize(("text", "screw", "nut"), [("#8-32 UNC-2B/3A", 1e-4, 1e-3), ("#2-56 UNC-2B/3A", 1e-4, 1e-4)])
def test_what_seems_to_overlap_is_half_of_the_last_place_of_either_half(text, screw, nut):
    # ASME B1.1 prints the bores below #6 to as many places as their screws.
    one = pair(text)
    for half, place, key in ((one.external, screw, "unr_minor_max"), (one.internal, nut, "minor_min")):
        assert 10.0 ** -len(half.as_printed()[key].split(".")[1]) == pytest.approx(place)
    assert one.rounding == pytest.approx(25.4 * (screw + nut) / 2)


def test_a_screw_of_which_nothing_was_measured_is_one_by_the_standard():
    # A question keeps its threads as sizes of their own, which may be measured; these are not.
    kept = SetScrew.read({**SCREW, "hole": "#8-32 UNC-2B", "screw": "#8-32 UNC-3A"}).pair
    assert kept.rounding == pair("#8-32 UNC-2B/3A").rounding > 0
    assert not kept.meets("minor")
    measured = SetScrew.read({**SCREW, "hole": "#8-32 UNC-2B", "screw": "#8-32 UNC-3A", "hole_minor": "3.28 ± 0.01"})
    assert measured.pair.rounding == 0


def test_a_film_on_the_same_screw_does_meet_metal():
    coated = pair(coat("#8-32 UNC-3A", coating("zinc plate", "4 ± 1 µm")), "#8-32 UNC-2B")
    assert coated.meets("minor")
    assert coated.meets("pitch")
    assert coated.start == "may start"
    mixed = pair("M8-6g", "M8x1-6H")
    assert mixed.start == "may start"
    assert mixed.rounding == 0


def test_every_standard_pair_of_one_class_starts():
    for (_, tpi), size in list(unified_sizes().items())[::9]:
        for one, other in (("2A", "2B"), ("3A", "2B"), ("3A", "3B")):
            assert (
                pair(f"{size.size}-{tpi:g} {size.series}-{one}", f"{size.size}-{tpi:g} {size.series}-{other}").start
                == "starts"
            )


def test_what_touches_in_print_is_said_to_touch():
    assert "The minor diameters touch at the basic size" in repr(pair("#8-32 UNC-2B/3A"))
    assert "touch" not in repr(pair("#8-32 UNC-2B/2A"))


@pytest.mark.parametrize("question", [coat, cut_for_coating])
def test_a_designation_may_stand_for_a_thread(question):
    film = coating("zinc plate", "4 ± 1 µm")
    assert question("M6-6g", film).pitch == question(thread("M6-6g"), film).pitch
    with pytest.raises(InputError, match="a designation such as 'M6x1-6g', a thread, or one with its sizes"):
        question(6, film)


def test_what_is_no_thread_is_refused_by_every_question():
    for question in (
        lambda: pair(6, "M6"),
        lambda: decide_size(6, "pitch", 5, 0.1),
        lambda: worn(6),
        lambda: clock(0, "1 deg", 6),
    ):
        with pytest.raises(InputError, match=r"thread 6: a (designation|text)"):
            question()


# -- coating -------------------------------------------------------------------------------------------


def test_the_four_times_rule():
    film = coating("zinc plate", "6 ± 1 µm")
    before, after = thread("M6-6g").limits(), coat(thread("M6-6g"), film)
    assert after.pitch.max - before.pitch.max == pytest.approx(4 * 0.007)
    assert after.pitch.min - before.pitch.min == pytest.approx(4 * 0.005)
    assert after.major.max - before.major.max == pytest.approx(2 * 0.007)
    nut = coat(thread("M6-6H"), film)
    assert nut.pitch.min - thread("M6-6H").limits().pitch.min == pytest.approx(-4 * 0.007)
    assert nut.major.max is None


def test_whether_the_allowance_covers_the_film():
    assert coat(thread("M6-6g"), coating("zinc plate", "5 ± 1 µm")).covered
    thick = coat(thread("M6-6g"), coating("zinc plate", "6 ± 1 µm"))
    assert not thick.covered
    assert thick.room == pytest.approx(0.026 - 0.028, abs=6e-4)
    assert "does not cover zinc plate" in str(thick)
    # Half of the last digit of the thread's own table is rounding: 0.5 µm, and 0.00005 in (1.27 µm).
    for text, half in (("M6-6g", 0.5), ("1/4-20 UNC-2A", 1.27)):
        basic, most = thread(text).pitch_diameter, thread(text).limits().pitch.max
        for over in (half - 0.2, half + 0.2):
            film = 1000 * (basic - most) / 4 + over / 4
            assert coat(thread(text), coating("zinc plate", f"{film:.4f} ± 0 µm")).covered is (over < half)
    assert "0.0013 in" in coat(thread("1/4-20 UNC-2A"), coating("zinc plate", "8 ± 0 µm")).verdict()


def test_anodic_film_grows_by_its_share():
    half = coat(thread("M6-6g"), coating("hard anodic", "0.040 ± 0.010"))
    assert half.pitch.max - thread("M6-6g").limits().pitch.max == pytest.approx(4 * 0.5 * 0.050)


def test_limits_to_cut_to_come_back_after_coating():
    film = coating("zinc plate", "6 ± 1 µm")
    for text in ("M6-6h", "M6-6H", "1/4-20 UNC-3A", "1/4-20 UNC-2B"):
        wanted, cut = thread(text).limits(), cut_for_coating(thread(text), film)
        for which in ("major", "pitch", "minor"):
            after, limits = getattr(cut, which), getattr(wanted, which)
            for end in ("max", "min"):
                if getattr(limits, end) is not None:
                    assert getattr(after, end) == pytest.approx(getattr(limits, end))
    with pytest.raises(InputError, match=r"scatter takes 0\.1000 mm of the pitch diameter"):
        cut_for_coating(thread("M3-6h"), coating("paint"))


def test_coatings_are_refused_with_what_would_do():
    with pytest.raises(InputError, match="zinc plate"):
        coating("gold")
    with pytest.raises(InputError, match="no limit may lie below 0"):
        coating("gold", "1 ± 2 µm")
    with pytest.raises(InputError, match="a share from 0 to 1"):
        coating("gold", "1 ± 0.1 µm", growth=2)
    assert "common practice, no source" in coating("clear anodic").note


# -- measuring -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("reading", "verdict"),
    [
        (5.90, "conforms"),
        (5.812, "conforms"),
        (5.80, "cannot be decided"),
        (5.78, "cannot be decided"),
        (5.77, "does not conform"),
        (6.0, "does not conform"),
    ],
)
def test_the_decision_rule(reading, verdict):
    # The guard band is 1.65 u = 0.0165 mm.
    found = decide_size(thread("M6-6g"), "major", reading, 0.02)
    assert found.verdict == verdict
    assert verdict in str(found)


@pytest.mark.parametrize("k", [1.0, 2.0, 3.0])
def test_a_reading_is_decided_alike_wherever_it_is_asked(k):
    for reading in np.linspace(4.97, 5.13, 81):
        found = decide(reading, 0.02, 5.0, 5.1, k=k)
        assert found.verdict == stack.verdict(reading, 0.02 / k, lower=5.0, upper=5.1)
        strict = decide(reading, 0.02, 5.0, 5.1, k=k, whole_U=True)
        assert strict.verdict == stack.verdict(reading, 0.02 / k, lower=5.0, upper=5.1, guard=0.02)
        # The uncertainty that is needed decides, and a little more does not.
        for U, decided in ((0.999, True), (1.001, False)):
            if found.needed > 1e-6:
                again = decide(reading, found.needed * U, 5.0, 5.1, k=k).verdict
                assert (again != "cannot be decided") == decided


def test_the_risk_of_an_undecided_reading():
    at_limit = decide(5.0, 0.02, 5.0, None)
    assert at_limit.risk == pytest.approx(0.5)
    assert at_limit.needed == 0
    one_u_inside = decide(5.01, 0.02, 5.0, None)
    assert one_u_inside.risk == pytest.approx(0.158655, abs=1e-6)  # the normal tail beyond one standard deviation
    assert decide(4.99, 0.02, 5.0, None).risk == pytest.approx(0.158655, abs=1e-6)


def test_readings_in_inches_are_answered_in_inches():
    assert "0.2140 in with U = 0.0005 in against 0.2127 in to 0.2164 in: conforms" in str(
        decide_size(thread("1/4-20 UNC-2A"), "pitch", "0.2140 in", "0.0005 in")
    )


def test_a_worn_thread_makes_a_pair():
    one = pair(worn(thread("M6-6g"), major=dim("5.71 measured ± 0.02"), pitch=dim("5.18 measured ± 0.02")), "M6-6H")
    assert one.overlap() == pytest.approx(((5.69 - 5.153) / 2, (5.73 - 4.917) / 2))
    with pytest.raises(InputError, match="one of 'major', 'pitch', 'minor'"):
        worn(thread("M6-6g"), root=dim("5 ± 0.1"))
    with pytest.raises(InputError, match="a dimension is needed"):
        worn(thread("M6-6g"), major=5.7)


def test_the_worn_sizes_go_to_the_strength_that_remains():
    nut, new = thread("M6-6H").limits(), thread("M6-6g").limits()
    gone = worn("M6-6g", major=dim("5.71 measured ± 0.02"))
    left, before = (shear_area_internal(5.0, 1.0, one.major.min, nut.pitch.max) for one in (gone, new))
    assert left < before
    assert left == pytest.approx(5 * math.pi * 5.69 * (0.5 + (5.69 - 5.5) * math.tan(deg(30))))


# -- identify ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text", ["M5-6g", "M6x1-6g", "M8x1-6g", "#8-32 UNC-2A", "1/4-28 UNF-2A", "3/8-16 UNC-2A", "M1.2-6h"]
)
def test_a_thread_is_found_from_its_own_sizes(text):
    one = thread(text)
    size = one.limits().major
    assert identify(outside=(size.max + size.min) / 2, pitch=one.pitch).best == one


def test_a_nut_is_found_from_its_bore_and_threads_per_inch():
    assert identify(bore="0.135 in", tpi=32).best == thread("#8-32 UNC-2B")
    assert identify(bore=5.03, pitch="1 mm").best == thread("M6-6H")


def test_the_likelihoods_are_those_of_bayes_rule():
    """The odds of two candidates, by integrating the normal error over the zone of each numerically.

    A coarse thread has 3 to 2 over a fine one before anything is measured.
    """
    y, u = 4.83, 0.025
    every = identify(outside=y, U=2 * u, most=1000)
    found = {one.thread.designation: one.probability for one in every.candidates}

    def likelihood(text):
        size = thread(text).limits().major
        return quad(lambda d: math.exp(-(((y - d) / u) ** 2) / 2), size.min, size.max)[0] / (size.max - size.min)

    assert found["M5x0.8-6g"] / found["#10-32 UNF-2A"] == pytest.approx(
        3 / 2 * likelihood("M5x0.8-6g") / likelihood("#10-32 UNF-2A"), rel=1e-6
    )
    # What is left out of the list has less than 0.05 % each.
    reach = known(True)
    left_out = int(((reach.low - 6 * u < y) & (y < reach.high + 6 * u)).sum()) - len(found)
    assert 1 - 0.0005 * left_out < math.fsum(found.values()) + every.none_of_these <= 1


def test_a_pitch_tells_by_half_of_its_expanded_uncertainty():
    """Two threads of one diameter, which differ by the density of a normal reading about each pitch.

    A coarse thread has 3 to 2 over a fine one before anything is measured.
    """
    P, u = 0.86, 0.07
    found = {
        one.thread.designation: one.probability for one in identify(outside=5.9, pitch=P, U_pitch=2 * u).candidates
    }

    def likelihood(text):
        crest = thread(text).limits().major  # within it, far from either end, a diameter is as likely as another
        return math.exp(-(((P - thread(text).pitch) / u) ** 2) / 2) / (crest.max - crest.min)

    odds = 3 / 2 * likelihood("M6x1-6g") / likelihood("M6x0.75-6g")
    assert found["M6x1-6g"] / found["M6x0.75-6g"] == pytest.approx(odds, rel=1e-3)


@pytest.mark.parametrize("external", [True, False])
def test_special_inch_threads_have_every_usual_number_of_threads(external):
    names = known(external).name.tolist()
    assert len(set(names)) == len(names)
    for tpi in (10, 11, 12, 14, 16, 18, 20, 24, 27, 28, 32, 36, 40, 48, 56):
        assert any(f"-{tpi} UNS-" in name for name in names), tpi


def test_a_pitch_read_nearer_to_one_thread_tells_for_it_as_a_normal_error_does():
    """From one pitch to the other, one standard uncertainty away, the odds change by exp(1/2) twice."""
    odds = []
    for pitch in (1.25, 1.0):
        every = identify(outside=7.9, pitch=pitch, U_pitch=0.5, most=1000).candidates
        found = {one.thread.designation: one.probability for one in every}
        odds.append(found["M8x1.25-6g"] / found["M8x1-6g"])
    assert odds[0] / odds[1] == pytest.approx(math.e)


def test_old_threads_of_one_size_and_pitch_are_equally_probable():
    """The old series but G have one weight: a quarter of an inch of 26 threads is in two of them."""
    first, second = identify(outside=6.3, tpi=26).candidates
    assert {first.thread.designation, second.thread.designation} == {"BSF 1/4-26", "brass 1/4-26"}
    assert first.probability == pytest.approx(second.probability)


def test_a_rare_special_does_not_lead():
    found = identify(outside=9.85)
    assert found.best == thread("M10x1.5-6g")
    assert "0.390-27 UNS-2A" in [one.thread.designation for one in identify(outside=9.85, most=9).candidates]
    # With its own pitch measured, which is no metric one, it is the one left.
    assert identify(outside=9.85, tpi=27).best == thread("0.390-27 UNS-2A")
    assert "0.0%" not in str(identify(outside=9.85, most=1000))
    assert "common practice, no source" in " ".join((identify.__doc__ or "").split())


@pytest.mark.parametrize(
    ("text", "mm"), [("1/4 in", 6.35), ('1/4"', 6.35), ("1 7/16 in", 36.5125), ("1-7/16 in", 36.5125)]
)
def test_a_diameter_may_be_a_fraction_of_an_inch(text, mm):
    def told(**inputs):
        return [(one.thread, round(one.probability, 9)) for one in identify(**inputs).candidates]

    assert told(outside=text, U="0.1 mm") == told(outside=mm, U=0.1)
    assert told(bore=text, U="0.1 mm", wear="1 mm") == told(bore=mm, U=0.1, wear=1)


def test_the_answer_is_in_the_unit_of_the_reading():
    said = str(identify(outside="0.1875 in"))
    assert " in for #10-32" in said or " in for #10-24" in said
    assert " mm" not in said
    with pytest.raises(
        InputError, match=r"outside 0.1875 in, pitch 0.05556 in .* 0\.\d{4} to 0\.\d{4} in there"
    ) as caught:
        identify(outside="0.1875 in", pitch="1/18 in")
    assert " mm" not in str(caught.value)


def test_the_five_likeliest_are_named_unless_more_are_asked_for():
    five, every = identify(outside=9.85), identify(outside=9.85, most=1000)
    assert five.candidates == every.candidates[:5] != every.candidates


@pytest.mark.parametrize("most", [0, -1, 1.5, True])
def test_how_many_candidates_is_a_whole_number(most):
    with pytest.raises(InputError, match="a whole number from 1 up"):
        identify(outside=5, most=most)


def test_the_next_measurement_separates_the_first_two():
    found = identify(bore=4.2, U=0.02, most=2)
    a, b = (one.thread for one in found.candidates)
    narrowed = identify(bore=4.2, U=0.02, pitch=a.pitch)
    assert narrowed.best == a
    assert all(one.thread != b for one in narrowed.candidates)


def test_without_pitch_both_systems_stay_and_the_next_measurement_is_named():
    found = identify(outside=4.83, U=0.05)
    systems = {one.thread.system for one in found.candidates}
    assert systems == {"ISO metric", "Unified"}
    assert sum(one.probability for one in found.candidates) <= 1 + 1e-12
    assert found.candidates[0].probability >= found.candidates[1].probability
    assert "Next, measure" in found.next_measurement
    assert "tells them apart" in str(found)


def test_wear_widens_what_is_possible():
    with pytest.raises(InputError, match=r"With wear of 0\.10 mm it may be M6x1-6g"):
        identify(outside=5.70, pitch=1.0, U=0.02)
    assert identify(outside=5.70, pitch=1.0, U=0.02, wear=0.2).best == thread("M6-6g")


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({}, "outside= of a screw or bore= of a nut"),
        ({"outside": 5, "bore": 5}, "one of the two"),
        ({"outside": 5, "pitch": 1, "tpi": 20}, "not both"),
        ({"outside": 5, "U": 0}, "U = 0"),
        ({"outside": -5}, "outside = -5"),
        ({"bore": -5}, "bore = -5"),
        ({"outside": "1/4 ± 0.01 in"}, "outside = '1/4 ± 0.01 in'"),
        ({"outside": "1/4 in ± 0.01"}, "U= is its uncertainty"),
        ({"outside": "1/0 in"}, "outside = '1/0 in'"),
        ({"outside": float("nan")}, "finite"),
        ({"outside": "5 N"}, "is a force"),
        ({"outside": 5, "tpi": 0}, "tpi = 0"),
    ],
)
def test_identify_refuses(given, words):
    with pytest.raises(InputError, match=words):
        identify(**given)


@pytest.mark.parametrize(
    ("outside", "pitch", "text"),
    [
        (31.8, 1.0, "M32x1-6g special"),
        (33.9, 1.0, "M34x1-6g special"),
        (33.9, 1.5, "M34x1.5-6g special"),
        ("1.248 in", "0.03125 in", "1 1/4-32 UNS-2A"),
    ],
)
def test_specials_of_both_systems_are_offered(outside, pitch, text):
    """Thin tubes carry fine pitches that no series has; their limits follow from the formulas of the standard."""
    found = identify(outside=outside, pitch=pitch)
    assert found.best == thread(text)
    assert 0.9 < found.candidates[0].probability < 1
    assert 0 < found.none_of_these < 0.1
    assert "100.0%" not in str(found)
    assert "a thread on no list" in str(found)


@pytest.mark.parametrize("external", [True, False])
def test_every_known_thread_reads_back_with_the_limits_it_is_judged_by(external):
    """The arrays come from the formulas in one go; one in 40 is compared with the thread that its name gives."""
    every = known(external)
    assert len(set(every.name)) == len(every.name)
    for k in range(0, len(every.name), 40):
        one = of(every.name[k], external)
        assert one.external is external
        assert one.pitch == pytest.approx(every.pitch[k])
        if not isinstance(one, OldThread):
            size = one.limits().major if external else one.limits().minor
            assert (every.low[k], every.high[k]) == pytest.approx((size.min, size.max))


@pytest.mark.parametrize(
    ("given", "text", "angle"),
    [
        ({"outside": 33.1, "tpi": 11}, "G 1-11", 55),
        ({"outside": 4.65, "pitch": 0.81}, "BA 2 x 0.81", 47.5),
        ({"outside": "0.62 in", "tpi": 26}, "brass 5/8-26", 55),
        ({"bore": 30.4, "tpi": 11}, "G 1-11 nut", 55),
    ],
)
def test_an_old_thread_is_told_apart_and_has_no_limits(given, text, angle):
    found = identify(**given)
    assert found.best.designation == text
    assert found.best.angle == angle
    assert found.best.rests_on is Basis.MEMORY
    assert "no limits are given" in str(found)
    with pytest.raises(InputError, match="to be told apart only"):
        found.best.limits()


def test_a_coarse_thread_of_one_pitch_with_an_old_one_is_told_by_its_angle():
    found = identify(outside=6.3, tpi=20)
    assert [one.thread.designation for one in found.candidates] == ["1/4-20 UNC-2A", "BSW 1/4-20"]
    assert "hold a template of 60° and one of 55°" in found.next_measurement


def test_a_reading_is_a_note_with_its_uncertainty():
    given = identify(outside="31.8 measured ± 0.02", pitch="1.0 measured ± 0.01")
    assert str(given) == str(identify(outside=31.8, U=0.02, pitch=1.0, U_pitch=0.01))
    inch = identify(outside="0.2485 measured ± 0.0005 in", tpi=20)
    assert str(inch) == str(identify(outside="0.2485 in", U="0.0005 in", tpi=20))
    with pytest.raises(InputError, match=r"leave out U = 0\.03"):
        identify(outside="31.8 measured ± 0.02", U=0.03)


def test_the_share_of_threads_on_no_list_grows_as_the_fit_gets_worse():
    inside, edge = (identify(outside=y, pitch=1.0, U=0.02).none_of_these for y in (5.9, 5.77))
    assert 0 < inside < edge < 1


# -- clocking ------------------------------------------------------------------------------------------


def test_facing_turns_a_right_hand_part_on():
    one = thread("M36x1.5-6g")
    quarter = clock(0, "90 deg", one)
    assert quarter.amount == pytest.approx(1.5 / 4)
    back = clock("90 deg", 0, one)
    assert back.amount == pytest.approx(1.5 * 3 / 4)
    assert clock("90 deg", 0, one, by="shim").amount == pytest.approx(1.5 / 4)
    assert clock("10 deg", "10 deg", one).amount == 0


def test_left_hand_is_the_mirror_image():
    right, left = thread("M36x1.5-6g"), thread("M36x1.5-6g-LH")
    for now, wanted, back, forth in (
        ("0.1 rad", "2 rad", "-0.1 rad", "-2 rad"),
        ("5 rad", "0.3 rad", "-5 rad", "-0.3 rad"),
    ):
        assert clock(now, wanted, right).amount == pytest.approx(clock(back, forth, left).amount)
        assert clock(now, wanted, left).amount == pytest.approx(clock(now, wanted, right, by="shim").amount)


def test_the_angle_has_a_tolerance():
    found = clock(0, "90 deg", thread("M36x1.5-6g"), tolerance=0.02, within="5 deg")
    assert math.degrees(found.angle_tolerance) == pytest.approx(0.02 / 1.5 * 360)
    assert found.amount_tolerance == pytest.approx(1.5 * 5 / 360)
    holes = clock(0, "90 deg", thread("M36x1.5-6g"), every="60 deg")
    assert holes.amount == pytest.approx(1.5 * 30 / 360)
    with pytest.raises(InputError, match="one of 'facing', 'shim'"):
        clock(0, "1 deg", thread("M6"), by="file")
    with pytest.raises(InputError, match="wanted"):
        clock(0, math.nan, thread("M6"))


def test_a_screw_worn_to_nothing_at_the_pitch_line_drops_through():
    # H = 0.866 mm for a pitch of 1 mm: flanks 2 H = 1.73 mm apart on the diameter pass each other.
    for pitch, start in (("5.2 measured ± 0.02", "starts"), ("3.4 measured ± 0.02", "drops through")):
        left = pair(worn("M6-6g", pitch=dim(pitch)), "M6-6H")
        assert left.start == start
    assert "drops through" in left.verdict()


@pytest.mark.parametrize("unknown", ["crest of the screw", "bore of the nut"])
def test_a_diameter_of_which_nothing_is_known_is_said_to_be_open(unknown):
    """What is known still decides: the flanks have play, so that screw and nut go together."""
    screw, nut = thread("M6-6g").limits(), thread("M6-6H").limits()
    if unknown == "bore of the nut":
        one = pair(screw, SizedThread(nut.thread, nut.major, nut.pitch, Size(None, None)))
        assert one.clearance("minor").said == "open"
        assert one.clearance("major").said == "at least 0.02 mm"
    else:
        one = pair(SizedThread(screw.thread, Size(None, None), screw.pitch, screw.minor), nut)
        assert one.clearance("major").said == "open"
    assert one.overlap() == one.percent() == (None, None)
    assert one.start == "starts"
    assert one.verdict() == "M6x1-6g starts in M6x1-6H and runs freely. Their overlap is not known."
    shown = svg(profiles(one), "figure", "a figure")
    assert "clearance not set" in shown
    assert "ridges overlap" not in shown
    assert "ridges pass" not in shown


def test_a_range_says_its_ends_in_its_unit_and_numbers_alone_are_numbers():
    inches = pair("1/4-20 UNC-2A/2B").clearance("pitch")
    # 0.0011 in and 0.0103 in by ASME B1.1: D2 0.2175 to 0.2224, d2 0.2127 to 0.2164. Rounded outwards.
    assert inches.said == "0.001 to 0.010 in"
    turns = pair("M6").turns()
    assert (turns.said, turns.as_quantities()) == ("", (math.inf, math.inf))
    largest = re.search(r"max</th><td[^>]*>(.*?)</td>", pair("M6").clearance("major")._repr_html_())
    assert largest[1] == "-", "no standard sets the largest root of a nut"
