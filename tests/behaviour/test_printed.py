"""One rule of rounding: a number says the same wherever it stands, and no worst case looks better than it is."""

import re
from dataclasses import replace

import pytest
from asked import findings_of
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.printed import Says, choice, printed, span
from fitcheck.questions.finding import Requirement
from fitcheck.questions.judge import Topic, judge
from fitcheck.report.figures.quantity import where
from fitcheck.report.first_page import first_page
from fitcheck.report.notebook import findings_cell
from fitcheck.stack import Interval, dimension
from fitcheck.units import FORCE, LENGTH, TORQUE, unit

UNITS = [unit(text) for text in ("mm", "in", "N", "kN", "lbf", "N·m", "in·lbf", "deg", "°F", "W", "%", "")]
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def value_of(words, used):
    """The number that is printed, in the inside unit; thousands of newtons are said in kN."""
    named = unit("kN") if used.kind is FORCE and words.endswith(" kN") else used
    return float(named.to_base(float(NUMBER.search(words)[0])))


def rounded_outwards(one):
    """That the worst case of a finding is printed no better than it is, and stands so in its text."""
    said, worst = value_of(one.at_worst, one.unit), one.worst
    least = one.requirement.at_most is None or (one.requirement.at_least is not None and worst == one.worst_case.min)
    noise = 1e-8 * abs(worst) + 1e-9
    assert said <= worst + noise if least else said >= worst - noise, one
    assert NUMBER.search(one.at_worst)[0] in NUMBER.findall(one.span(one.worst_case))


@given(st.sampled_from(UNITS), st.floats(-1e6, 1e6), st.sampled_from(Says), st.sampled_from([None, 0, 1, 4]))
def test_a_number_is_rounded_by_what_it_says(used, inside, says, decimals):
    said = value_of(printed(says, inside, used, decimals), used)
    noise = 1e-9 * max(abs(inside), abs(used.scale), 1.0) * 10
    if says in (Says.LEAST_FOUND, Says.AT_MOST, Says.NO_MORE):
        assert said <= inside + noise
    if says in (Says.MOST_FOUND, Says.AT_LEAST, Says.AS_MUCH):
        assert said >= inside - noise
    bare = printed(says, inside, used, decimals, bare=True)
    assert NUMBER.fullmatch(bare)


@given(st.floats(-1e4, 1e4), st.floats(0, 100))
def test_what_was_found_is_widened_and_what_may_be_chosen_is_narrowed(low, wide):
    mm, high = unit("mm"), low + wide
    first, last = map(float, NUMBER.findall(span(low, high, mm)))
    assert first <= low + 1e-8
    assert high <= last + 1e-8
    first, last = map(float, choice(low, high, mm, bare=True))
    assert low <= first + 1e-8
    assert last <= high + 1e-8
    # What contradicts itself does so as printed.
    first, last = map(float, choice(high + 0.02, low, mm, bare=True))
    assert first > last


@pytest.mark.parametrize("case", ["joint", "jams", "sliding, tight", "blade", "port", "plug given", "another pitch"])
@pytest.mark.parametrize("inches", [False, True])
def test_the_worst_case_is_the_same_on_page_scale_text_and_cell(case, inches):
    """Of every question it is so in the text: `test_finding_brief.py` walks them all."""
    for one in findings_of(case):
        if inches and one.unit.kind is not LENGTH:
            continue
        shown = replace(one.in_unit("in") if inches else one, drawing=None)
        rounded_outwards(shown)
        for words in (repr(shown), first_page([shown]), findings_cell([shown])):
            assert NUMBER.search(shown.at_worst)[0] in NUMBER.findall(words)


@pytest.mark.parametrize("case", ["port", "blade", "screw", "plug", "heat"])
def test_a_limit_over_a_figure_is_the_one_of_the_text(case):
    for one in findings_of(case):
        over = [text.get_text() for text in where(one).texts]
        for words in one.requirement.words(one.unit, one.decimals).split(" and "):
            assert words in over, (one, over)


def test_a_worst_case_that_does_not_vary_is_rounded_away_from_its_only_limit():
    exact = dimension(1.2345) + 0.0
    tall = judge(Topic("q"), exact, Requirement(at_most=2.0), label="height", answer="It is so high.")
    deep = judge(Topic("q"), exact, Requirement(at_least=0.5), label="depth", answer="It is so deep.")
    assert (tall.at_worst, deep.at_worst) == ("1.24 mm", "1.23 mm")


@pytest.mark.parametrize(
    ("requirement", "size", "words"),
    [
        (Requirement(at_least=1 / 3), 0.334, ("0.334 mm", "at least 0.334 mm")),  # 0.33 and 0.34 would be a miss
        (Requirement(at_most=1 / 3), 0.333, ("0.333 mm", "at most 0.333 mm")),  # 0.34 and 0.33 too
        (Requirement(at_least=1 / 3), 0.33, ("0.33 mm", "at least 0.34 mm")),
        (Requirement(at_least=0.3), 0.2996, ("0.29 mm", "at least 0.30 mm")),
        (Requirement(at_least=0.3), 0.3004, ("0.30 mm", "at least 0.30 mm")),
    ],
)
def test_worst_case_and_limit_compare_as_printed_as_they_do(requirement, size, words):
    found = judge(Topic("q"), dimension(size) + 0.0, requirement, label="depth", answer="It is so deep.")
    assert (found.at_worst, found.requirement.words(found.unit, found.decimals)) == words


def test_a_torque_of_a_requirement_is_rounded_to_the_strict_side():
    used = unit("in·lbf")
    assert used.kind is TORQUE
    assert Requirement(at_least=0.1).words(used) == "at least 0.9 in·lbf"
    assert span(*Interval(1 / 3, 2 / 3), unit("N·m")) == "0.33 to 0.67 N·m"
