"""What the REPL shows of findings: all that matters within 80 columns, whatever is asked, and no number parted."""

import dataclasses
import re

import pytest
from asked import EVERY_QUESTION, TUBE, demo_findings, findings_of
from report_findings import finding, sample
from test_printed import rounded_outwards

import fitcheck as fc
from fitcheck.errors import InputError
from fitcheck.questions import Findings, Requirement, Verdict
from fitcheck.questions.judge import Topic, judge
from fitcheck.questions.several import counts
from fitcheck.questions.wrapping import one_line
from fitcheck.stack import Probability, dimension
from fitcheck.stack.results import Method
from fitcheck.units import unit


def told(one):
    """The lines of the representation of a finding, which say all that they must within 80 columns."""
    lines = repr(one).split("\n")
    assert str(one) == repr(one)
    assert max(map(len, lines)) <= 80, lines
    said = squeezed(repr(one))
    assert lines[0].startswith(one.verdict.upper())
    assert all(line.startswith(" " * 7) for line in lines[1:])
    for words in (
        one.answer,
        "required: ",
        "nominal ",
        "worst case ",
        f"risk {one.risk_value}, accepted ",
        *one.change,
    ):
        assert squeezed(words) in said, (words, lines)
    assert squeezed(one.span(one.worst_case)) in said
    rounded_outwards(one)
    if one.drivers:
        assert f"{one.drivers[0].variance_share:.0%}" in said
    return lines


def squeezed(words):
    return " ".join(words.split())


@pytest.mark.parametrize("case", EVERY_QUESTION)
def test_every_question_fits_the_page(case):
    for one in findings_of(case):
        told(one)


def test_the_demo_fits_the_page():
    for one in demo_findings():
        told(one)


def test_findings_print_what_fails_first_and_a_line_for_what_holds():
    for found in (findings_of("screw"), Findings(sample())):
        said = repr(found)
        assert max(map(len, said.split("\n"))) <= 80
        assert said.startswith(counts(found))
        words = re.findall(r"^(?:FAILS|LIKELY|HOLDS)", said, re.MULTILINE)
        assert words == sorted(words, key=["FAILS", "LIKELY", "HOLDS"].index)
        assert len(words) == len(found)
        for one in found:
            if one.verdict is not Verdict.HOLDS:
                assert repr(one) in said


def test_what_is_asked_twice_is_found_alike():
    asked = {"travel": "4 ± 0.2", "seat": "9 ± 0.2", "adds": ["16.5 ± 0.6"]}
    once, again = fc.ask("plug_length", **asked), fc.ask("plug_length", **asked)
    assert once == again
    assert once[0].of is not again[0].of
    assert fc.ask("plug_length", **{**asked, "seat": "9 ± 0.3"}) != once


def test_findings_are_picked_by_what_they_are_about():
    found = Findings(sample())
    assert [one.quantity for one in found["port clearance"]] == ["corner gap", "end gap", "play"]
    assert [one.name for one in found["strip load"]] == ["front", "rear"]
    assert found["rear"] == Findings([found[8]])
    assert found[:2] == tuple(found)[:2]
    assert isinstance(found[:2], Findings)
    assert {one.verdict for one in found.failing} == {Verdict.FAILS}
    with pytest.raises(InputError, match=r"findings\['end gab'\]: there is none .*did you mean 'end gap'"):
        found["end gab"]
    assert found["Port_clearance"] == found["PORT  CLEARANCE"] == found["port clearance"]
    both = found["rear"] + found["front"]
    assert isinstance(both, Findings)
    assert [one.name for one in both] == ["rear", "front"]
    for odd in ("", "  ", "x" * 500):
        with pytest.raises(InputError, match="there is none of that name") as caught:
            found[odd]
        assert len(str(caught.value)) <= 300
    with pytest.raises(InputError, match="there are no findings"):
        Findings([])["gap"]


def test_findings_draw_themselves_and_show_as_a_table_in_a_notebook():
    from matplotlib.axes import Axes

    found = findings_of("screw")
    for one in found:
        assert isinstance(one.plot(), Axes)
    table = found._repr_html_()
    assert table.count("<tr>") == 1 + len(found)
    assert found.frame()["verdict"].tolist() == [one.verdict.value for one in found]


def test_what_objects_print_is_short_and_keeps_small_numbers_apart():
    clearance = fc.dim("40 H7") - fc.dim("40 k6")
    shown = {
        repr(clearance): "<sum of 2: 0.000 mm, worst case -0.018 mm to 0.023 mm; all spreads assumed uniform>",
        repr(clearance.worst_case()): "Interval(min=-0.018, max=0.023)",
        repr(clearance.probability(below=0)): "0.4",
        repr(clearance.exact()): "<distribution of 2 members about 0.0025, exact (piecewise polynomial)>",
        repr(fc.fits.limits("g6", 25.0)): "<25 g6 shaft: -0.02 / -0.007 mm, 24.9800 to 24.9930 mm (printed)>",
    }
    assert list(shown) == list(shown.values())
    small = fc.dim("0.5000 ± 0.0002 in") - fc.dim("0.4990 ± 0.0002 in")
    assert "worst case 0.0006 in to 0.0014 in" in repr(small)
    for one in (
        fc.fit("40 H7/k6"),
        fc.mechanics.set_screws.set_screw("M4"),
        fc.stack.allocate(fc.dim("3 ± 1", name="a") - fc.dim("2 ± 1", name="b"), half_width=1.0),
    ):
        assert repr(one).startswith("<")
        assert len(repr(one)) < 250
    assert fc.report.table.csv([]).startswith("question")
    assert not {"Any", "version", "TYPE_CHECKING"} & set(dir(fc))


def test_a_number_stays_with_its_unit_and_its_digits():
    long = "It lies " + "12.345 mm ± 0.678 mm off, " * 9 + "at the most 99.99 N·m."
    for pad in range(40):
        lines = told(finding(answer="x" * pad + " " + long))
        for line in lines[1 : next(i for i, line in enumerate(lines) if "required: " in line)]:
            assert not re.search(r"[\d±.]$", line.rstrip()) or line.strip()[-1] == ".", line
            assert not line.strip().startswith(("mm", "N·m", "±")), line
        short = one_line("x" * pad + " " + long, 73)
        assert len(short) <= 73
        assert short.endswith("…")
        assert set(re.findall(r"\d+\.\d+", short)) <= {"12.345", "0.678", "99.99"}


@pytest.mark.parametrize(
    "about",
    [
        {"answer": ""},
        {"answer": "word" * 100},
        {"answer": "line\nafter\tline " * 30},
        {"answer": "a sentence of many words without a stop " * 9},
        {"label": "quantity of a long name " * 9},
        {"label": "quantity" * 20},
    ],
)
def test_no_text_takes_more_than_its_room(about):
    one = finding(**about)
    assert max(map(len, repr(one).split("\n"))) <= 80
    assert max(map(len, repr(Findings([one])).split("\n"))) <= 80


def test_long_numbers_are_said_in_full():
    long = dimension(1.5e9, plus=2.5e8, name="x", unit=unit("µm"))
    one = judge(Topic("q"), long, Requirement(at_least=1e9, at_most=2e9), label="x", answer="Long.")
    assert max(map(len, repr(one).split("\n"))) <= 80
    assert "worst case 1250000000000 to 1750000000000 µm" in squeezed(repr(one))


def test_a_finding_in_another_unit_fits_too():
    one = finding().in_unit("in")
    assert "nominal 0.394 in" in squeezed(repr(one))
    told(one)
    told(dataclasses.replace(one, decimals=4))


def test_a_risk_is_said_in_two_digits_and_no_sampling_error():
    def said(value, error=0.0):
        p = Probability(value, Method.SAMPLING if error else Method.EXACT, error)
        return dataclasses.replace(finding(), probability=p, certain=False).risk_value

    assert [said(0.9023, 4e-4), said(0.9, 4e-4), said(1.61e-4, 3e-6), said(3.2e-7)] == [
        "0.90",
        "0.90",
        "0.00016",
        "3.2e-07",
    ]
    assert [said(0.0), said(1.0), said(0.9999, 1e-5), said(0.0, 4e-6)] == ["0", "1", "over 0.99", "below 4e-06"]


def test_what_is_cut_of_a_tube_that_may_not_be_turned_is_not_the_reason():
    (one,) = fc.ask("handling", **{**TUBE, "seized": "300 ± 50 N·m"})
    assert one.answer.startswith("Do not force it: about 300.00 N·m turns it loose; ")
    assert "with up to" not in one.answer
    assert re.search(r"No more than [\d.]+ N·m is safe; turn clockwise, it is left-hand", one.answer)
