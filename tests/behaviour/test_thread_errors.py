"""What a user of the thread models reads when an input cannot be used: one line, naming the value."""

import math

import numpy as np
import pytest

import fitcheck as fc
from fitcheck.errors import InputError, TableError, UnitError
from fitcheck.tables import table
from fitcheck.threads import iso965, measuring, profile


@pytest.mark.parametrize(
    ("call", "names"),
    [
        (lambda: profile.minor_diameter(np.array([6.0, 1.0]), 1.0), ["P = 1.0", "diameter d = 1.0", "minor diameter"]),
        (lambda: profile.minor_diameter(np.array([2.0, 1.0]), np.array([1.0, 1.5])), ["P = 1.5", "diameter d = 1.0"]),
        (lambda: iso965.deviation(1.0, "x"), ["position 'x'", "one of "]),
        (lambda: iso965.deviation(np.array([1.0, 0.5]), "d"), ["position 'd'", "pitch 0.5", "from 1 mm"]),
        (lambda: iso965.crest_tolerance(1.0, 99, external=True), ["grade 99 of Td", "one of "]),
        (lambda: iso965.pitch_tolerance(0.5, 0.25, 6, external=True), ["d = 0.5 mm", "ISO 965-1 covers"]),
        (lambda: iso965.pitch_tolerance(500.0, 4.0, 6, external=True), ["d = 500 mm", "ISO 965-1 covers"]),
        (lambda: iso965.crest_tolerance(np.array([1.0, 20.0]), 6, external=True), ["P = 20 mm", "is accepted"]),
        (lambda: fc.thread("M6x1-6"), ["6", "such as 6g or 5H6H"]),
        (lambda: measuring.wire_range(5.0, 5.5, 1.0), ["d and d2", "must exceed"]),
        (lambda: measuring.pitch_diameter_over_wires(1.0, 1.0, 1.0), ["M = 1.0", "too small"]),
        (lambda: measuring.angle_error_effect(1.0, (0.0, 0.6)), ["angle error = 0.6", "30°"]),
        (lambda: measuring.angle_error_effect(1.0, (-math.pi / 6, 0.0)), ["angle error = -0.523", "30°"]),
        (lambda: measuring.decide_size("M6x1-6g", "minor", 4.8, 0.01), []),
        (lambda: fc.thread("M6x1-6g").limits(hot_rolled=True), ["M6x1-6g", "class 2A only"]),
        (lambda: fc.thread("1/4-4 UNS-2A"), ["4 threads per inch are too coarse", "0.2500 in"]),
        (lambda: fc.thread("0.04-80 UNS-2A"), ["diameter 0.04 in", "from 0.05 in to 24 in"]),
        (lambda: fc.thread("0.77-20 UNC-2A"), ["0.7700-20 is no UNC thread", "nearest sizes are 11/16, 3/4, 13/16"]),
        (lambda: fc.identify(outside=0.05), ["outside", "0.05 mm", "a larger U or wear?"]),
        (lambda: fc.identify(outside=6.0, pitch=7.77), ["pitch 7.77 mm", "nearest pitch", "a larger U_pitch?"]),
        (lambda: fc.identify(outside=0.4, pitch=1.0), ["pitch 1 mm", "the nearest, ", "there"]),
    ],
)
def test_bad_input_gets_one_line_that_names_it(call, names):
    if not names:  # the one that is none: a limit on one side decides
        assert call().verdict
        return
    with pytest.raises(InputError) as caught:
        call()
    message = str(caught.value)
    assert "\n" not in message
    assert len(message) <= 300
    for name in names:
        assert name in message, message


def test_a_reading_names_its_unit_where_the_limits_are_in_inches_or_it_cannot_be_mm():
    with pytest.raises(UnitError, match=r"pitch diameter = 0\.2164 names no unit.*in inches.*'0\.2164 in'"):
        measuring.decide_size("1/4-20 UNC-2A", "pitch", 0.2164, 0.0001)
    with pytest.raises(UnitError, match=r"pitch diameter = 0\.21 names no unit and cannot be meant in mm"):
        measuring.decide_size("M6x1-6g", "pitch", 0.21, 0.001)
    assert measuring.decide_size("1/4-20 UNC-2A", "pitch", "0.2150 in", "0.0002 in").verdict == "conforms"


def test_a_decision_is_shown_with_its_sentence():
    found = measuring.decide(5.79, 0.02, 5.794, 5.974)
    assert repr(found) == f"<{found}>"
    assert found.risk == pytest.approx(1 - found.probability_inside if 5.794 <= 5.79 else found.probability_inside)
    inside = measuring.decide(5.8, 0.02, 5.794, None)
    assert inside.risk == pytest.approx(1 - inside.probability_inside)
    assert inside.needed == pytest.approx(0.006 * 0.02 / inside.guard)
    rows = dict(inside._table().rows)
    assert (rows["lower limit"], rows["upper limit"]) == ("5.794 mm", "open")


def test_a_table_that_cannot_be_used_says_why():
    with pytest.raises(TableError, match="table 'no such table': no file"):
        table("no such table")
    with pytest.raises(TableError, match="has no column 'no such column'"):
        table("iso_positions", {"no such column": float})


def test_a_thread_of_several_starts_shows_its_lead():
    assert "lead  " not in repr(fc.thread("M6x1-6g"))
    double = fc.thread("M6xPh2P1-6g")
    assert "  lead  " in repr(double)
    assert math.isclose(double.lead, 2.0)


def test_a_coated_or_worn_size_is_a_dimension_between_its_limits_and_the_others_are_the_standards():
    worn = measuring.worn("M6x1-6g", major=fc.dim("5.71 measured ± 0.02"))
    assert worn.dimension("major").nominal == pytest.approx(5.71)
    assert worn.dimension("pitch").worst_case() == fc.thread("M6x1-6g").limits().dimension("pitch").worst_case()


def test_a_size_to_be_identified_may_be_written_as_on_a_drawing():
    assert str(fc.identify(outside="Ø31.8")) == str(fc.identify(outside=31.8)) == str(fc.identify(outside="31.8 mm"))
