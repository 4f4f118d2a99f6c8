"""Every figure of every finding can be read, and argues with the numbers of its finding."""

from __future__ import annotations

import re
from functools import cache

import pytest
from asked import demo_findings, findings_of
from figure_words import on_each_other, placed, under_lines, words
from matplotlib.axes import Axes
from screw_inputs import SCREW

import fitcheck as fc
from fitcheck.questions.finding import Verdict
from fitcheck.report import figures
from fitcheck.stack import dimension
from fitcheck.units import unit

CASES = ("heat, too warm", "sliding, tight", "no plug", "port")
INCHES = {
    "blade_depth": {
        "adds": ["2.520 ± 0.008 in"], "takes": ["0.118 ± 0.004 in", "0.571 ± 0.012 in", "0.315 ± 0.004 in"],
        "at_least": "1.50 in", "screws": ["0.472 ± 0.008 in", "1.437 ± 0.008 in"], "cover": "0.12 in",
    },
    "port_clearance": {
        "bore": "1.260 +0.004/-0.000 in", "chassis": "1.240 ± 0.004 in", "width": "0.551 ± 0.008 in",
        "reach": "0.520 ± 0.008 in", "gap": "0.022 in",
    },
}  # fmt: skip


@cache
def drawn():
    """What every finding of the demo and of some cases draws, by its title: (finding, axes)."""
    found = {}
    inches = [(question, fc.ask(question, **inputs)) for question, inputs in INCHES.items()]
    for case, findings in (("demo", demo_findings()), *inches, *((name, findings_of(name)) for name in CASES)):
        for one in findings:
            pair = getattr(one.drawing, "pair", None)
            made = {
                "drawing": figures.drawing_of(one),
                "threads": None if pair is None else figures.draw(pair),
                "where": figures.where(one) if one.verdict is not Verdict.HOLDS else None,
                "drivers": figures.drivers(one) if case == "demo" else None,
            }
            found |= {f"{case}: {one.title}: {what}": (one, ax) for what, ax in made.items() if ax is not None}
    return found


def test_there_is_a_figure_of_every_kind():
    assert {type(one.drawing).__name__ for one, _ in drawn().values()} >= {
        "TubeStack", "MissedScrew", "CrossSection", "BodySection", "PlugStack", "StripDrawing", "Pair", "FitZones",
        "HeatOverContact",
    }  # fmt: skip
    assert len(drawn()) > 40


def test_no_word_lies_on_another_or_under_a_line():
    on = {title: found for title, (_, ax) in drawn().items() if (found := on_each_other(ax))}
    assert on == {}
    under = {title: found for title, (_, ax) in drawn().items() if (found := under_lines(ax))}
    assert under == {}


def test_words_are_large_enough_and_on_the_paper():
    for title, (_, ax) in drawn().items():
        wide, high = 72 * ax.figure.figure.get_size_inches()
        for text, (x0, y0, x1, y1) in placed(ax):
            assert text.get_fontsize() >= 7, (title, text)
            assert -14 < x0 <= x1 < wide + 14, (title, text, x0, x1, wide)
            assert -14 < y0 <= y1 < high + 14, (title, text)


def axes_with_numbers(ax):
    """The axes of a figure that have a scale, each with its name and the numbers seen on it."""
    for axes in ax.figure.figure.findobj(Axes):
        if axes.axison:
            for axis, (low, high) in ((axes.xaxis, axes.get_xlim()), (axes.yaxis, axes.get_ylim())):
                seen = [tick for tick in axis.get_major_ticks() if low <= tick.get_loc() <= high]
                numbers = [tick.label1.get_text() or tick.label2.get_text() for tick in seen]
                if any(re.fullmatch(r"[−-]?[\d.e−-]+", number) for number in numbers):
                    yield axis.get_label().get_text().replace("\N{NO-BREAK SPACE}", " "), numbers


def test_an_axis_has_a_name_with_its_unit_and_two_numbers():
    units = {"mm", "in", "N", "kN", "lbf", "N·m", "in·lbf", "°C", "°F", "deg", "rpm", "kg"}
    for title, (one, ax) in drawn().items():
        for name, numbers in axes_with_numbers(ax):
            assert len(numbers) >= 2, (title, numbers)
            assert name, title
            plain = name.startswith(("threads in the wall", "measured / textbook", "times that"))
            told = any(f", {text}" in name or f"1/({text})" in name or f"1/{text}" in name for text in units)
            assert plain or told or not one.unit.text, (title, name)


def test_a_figure_says_the_worst_case_as_its_finding_does():
    said = 0
    for title, (one, ax) in drawn().items():
        text = " ".join(" ".join(words(ax)).split())
        if title.endswith("where"):
            assert f"worst case {one.span(one.worst_case)}" in text, title
            assert one.risk_value in text, title
        elif not title.endswith("drawing"):
            continue
        elif type(one.drawing).__name__ in ("CrossSection", "BodySection") and one.worst >= 0:
            assert f"at worst: gap {one.at_worst}" in text, title
            assert f"needed: {one.requirement.words(one.unit, one.decimals).removeprefix('at least ')}" in text, title
        elif type(one.drawing).__name__ == "TubeStack" and one.verdict is not Verdict.HOLDS:
            assert f"{one.span(one.worst_case)} found, {one.requirement.words(one.unit)} needed" in text, title
        elif type(one.drawing).__name__ == "StripDrawing":
            assert f"risk of stripping {one.risk_value}" in text, title
        else:
            continue
        said += 1
    assert said > 10


def test_what_fails_is_dark_where_it_is():
    inputs = {"adds": ["64 ± 0.2"], "takes": ["14.5 ± 0.3", "11 ± 0.1"], "at_least": "39 mm", "screws": ["36.5 ± 0.2"]}
    depth, landing = fc.ask("blade_depth", **inputs, cover="3 mm")
    for one, start, needed in ((depth, 0.0, 39.0), (landing, 36.5, 39.5)):
        ax = one.plot()
        zone = next(p for p in ax.patches if p.get_hatch() == "////" and p.get_alpha())
        ends = zone.get_x() - start, zone.get_x() + zone.get_width() - start
        assert ends == pytest.approx(one.worst_case)
        assert needed in [pytest.approx(line.get_xdata()[0]) for line in ax.lines]
    assert "2.00 beyond the screw" in words(landing.plot())
    short = fc.ask("blade_depth", **{**inputs, "screws": ["40 ± 0.2"]})[1]
    assert "1.50 short of the screw" in words(short.plot())


def test_limits_and_names_are_whole():
    gap = dimension(0.001, plus=0.0002, name="a name that is longer than the widest line of a figure has room for")
    found = fc.require(gap - dimension(0.0005, plus=0.0002, name="b"), at_least="0.0003 mm", what="gap")
    assert "at least 0.0003 mm" in words(found.plot())
    assert "a name that is longer than the\nwidest line of a figure has room\nfor" in words(figures.drivers(found))
    many = fc.require(sum((dimension(2.0, plus=0.1, name=f"p{i}") for i in range(11)), gap), at_least="20 mm")
    assert "4 more" in words(figures.drivers(many))
    still = fc.require(dimension(2.0, name="a") + 1.0, at_least="4 mm")
    assert " nothing varies" in words(figures.drivers(still))


def test_a_large_force_is_in_kilonewtons_and_a_narrow_length_has_no_offset():
    force = fc.response(lambda a, b: a * b, a=fc.dim("100 ± 10"), b=fc.dim("150 ± 10"), unit=unit("N"), name="load")
    assert figures.where(fc.require(force, at_least="14 kN")).get_xlabel().startswith("load,\N{NO-BREAK SPACE}kN")
    narrow = fc.dim("1000000 ± 0.002", name="w") - fc.dim("500 ± 0.001", name="v")
    for ax in (figures.where(fc.require(narrow, at_least="999499.9995 mm")), narrow.plot()):
        ax.figure.draw_without_rendering()
        assert ax.xaxis.get_offset_text().get_text() == ""
        assert "999500.000" in words(ax)
        assert on_each_other(ax) == []


def test_two_limits_close_together_are_told_apart():
    about = fc.require(fc.dim("10 ± 0.1", name="w") + 0.0, at_least="9.99 mm", at_most="10.01 mm")
    ax = figures.where(about)
    assert on_each_other(ax) == []
    assert {"at least 9.99 mm", "at most 10.01 mm"} <= set(words(ax))


def test_a_hand_that_does_not_vary_is_a_line():
    drawing = fc.ask("set_screw", **{**SCREW, "hand_torque": "0.4 N·m"})[0].drawing
    ax = figures.torques(drawing)
    assert "the hand turns with 0.40 N·m" in words(ax)
    assert len(ax.collections) == 1
