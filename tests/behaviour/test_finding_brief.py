"""What the REPL shows of a finding: five lines of 80 columns, whatever is asked, and no number parted."""

import dataclasses
import re
from pathlib import Path

import pytest
from asked import EVERY_QUESTION, TUBE
from report_findings import finding, sample

import fitcheck as fc
from fitcheck.questions import Findings, Requirement
from fitcheck.questions.judge import Topic, judge
from fitcheck.stack import dimension
from fitcheck.units import unit

DEMO = Path(__file__).parents[2] / "notebooks" / "wand.toml"


def five_lines(one):
    """The lines of the representation of a finding, which say all that they must and fit the page."""
    lines = repr(one).split("\n")
    assert len(lines) == 5, lines
    assert max(map(len, lines)) <= 80, lines
    said = "\n".join(lines)
    assert lines[0].startswith(one.verdict.upper())
    assert all(line.startswith(" " * 7) for line in lines[1:])
    for words in ("required: ", "nominal ", "worst case ", f"{100 * one.confidence:g} % ", "risk ", "accepted "):
        assert words in said, (words, lines)
    assert one.risk_value in said
    assert one.show(one.worst_case.max).split()[0] in said
    if one.drivers:
        assert f"{one.drivers[0].variance_share:.0%}" in said
    return lines


def answer_shown(one):
    """The answer as the representation has it, on one line."""
    lines = repr(one).split("\n")
    first = next(i for i, line in enumerate(lines) if line.startswith(" " * 7 + "required: "))
    return " ".join([lines[0][7:].strip(), *(line.strip() for line in lines[1:first])])


@pytest.fixture(scope="module")
def findings():
    return {name: fc.ask(question, **inputs) for name, (question, inputs) in EVERY_QUESTION.items()}


@pytest.mark.parametrize("case", EVERY_QUESTION)
def test_every_question_fits_five_lines(case, findings):
    for one in findings[case]:
        five_lines(one)
        shown = answer_shown(one)
        if shown != one.answer:
            # Cut at the end of a clause, and said so; `str` has the whole.
            kept = shown.removesuffix(" …")
            assert one.answer.startswith(kept)
            assert kept[-1] in ".;"
            assert one.answer in str(one)


def test_the_demo_fits_five_lines():
    for one in fc.load(DEMO).findings():
        five_lines(one)
        assert answer_shown(one) == one.answer


def test_findings_print_one_below_the_other(findings):
    assert repr(findings["screw"]) == "\n\n".join(map(repr, findings["screw"]))
    for block in repr(Findings(sample())).split("\n\n"):
        assert len(block.split("\n")) == 5


def test_a_number_stays_with_its_unit_and_its_digits():
    long = "It lies " + "12.345 mm ± 0.678 mm off, " * 9 + "at the most 99.99 N·m."
    for pad in range(40):
        one = finding(answer="x" * pad + " " + long)
        lines = five_lines(one)
        for line in lines:
            assert not re.search(r"[\d±.]$", line.rstrip()) or line.strip()[-1] == ".", line
            assert not line.strip().startswith(("mm", "N·m", "±")), line
        said = set(re.findall(r"\d+\.\d+", answer_shown(one)))
        assert said <= {"12.345", "0.678", "99.99"}
        assert answer_shown(one).endswith("…")


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
    five_lines(finding(**about))


@pytest.mark.parametrize("answer", ["Short.", "An answer that takes two lines, since it goes on and on " * 2])
def test_no_name_of_a_driver_takes_more_than_its_room(answer):
    total = dimension(2.0, plus=0.1, name="a dimension with a name far longer than a line " * 3) + dimension(
        1.0, plus=0.1, name="endless" * 20
    )
    lines = five_lines(judge(Topic("q"), total, Requirement(at_least=2.9), label="sum", answer=answer))
    assert "…" in lines[-1]


def test_long_numbers_keep_their_size():
    """Numbers too long for the line are said in three digits, which is a rounding and no cut."""
    long = dimension(1.5e9, plus=2.5e8, name="x", unit=unit("µm"))
    one = judge(Topic("q"), long, Requirement(at_least=1e9, at_most=2e9), label="x", answer="Long.")
    lines = repr(one).split("\n")
    assert len(lines) == 5
    assert max(map(len, lines)) <= 80
    assert "nominal 1.5e+12, worst case 1.25e+12 to 1.75e+12" in lines[2]


def test_a_finding_in_another_unit_fits_too():
    one = finding().in_unit("in")
    assert "0.394" in five_lines(one)[2]
    assert "in" in five_lines(one)[1]
    five_lines(dataclasses.replace(one, decimals=4))


def test_what_is_cut_of_a_tube_that_may_not_be_turned_is_not_the_reason():
    (one,) = fc.ask("handling", **{**TUBE, "seized": "300 ± 50 N·m"})
    lines = " ".join(line.strip() for line in five_lines(one)[:2])
    assert lines.startswith("FAILS  Do not force it: about 300.00 N·m turns it loose; ")
    assert "with up to" not in one.answer
    assert re.search(r"No more than [\d.]+ N·m is safe; turn clockwise, it is left-hand", one.answer)
