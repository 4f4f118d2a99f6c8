"""Every public figure function takes an Axes and returns it. Found by walking the package: a new one is held to it."""

from __future__ import annotations

import importlib
import inspect
import pickle
import pkgutil
import re
from functools import cache

import pytest
from asked import HEAT, SLIDING
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from report_findings import BODY, PLUG, SECTION, TUBE, finding
from screw_inputs import SCREW

import fitcheck
import fitcheck as fc
from fitcheck.errors import InputError
from fitcheck.questions import SetScrew
from fitcheck.questions.blade.findings import MissedScrew
from fitcheck.questions.finding import Shape
from fitcheck.questions.port.drawing import body_section
from fitcheck.questions.set_screw.compare import compare_pitches
from fitcheck.questions.shape import shape, tails
from fitcheck.report import figures
from fitcheck.stack import dimension

PARTS = {"fitcheck.report.figures.drafting", "fitcheck.report.figures.svg", "fitcheck.report.figures.round_tube"}
"""What figures are made of, not figures."""


@cache
def strip():
    return SetScrew.read(SCREW).findings()[0].drawing


def pitch_table():
    wall = {key: value for key, value in SCREW.items() if key not in ("screw", "hole")}
    return compare_pitches(["M4x0.7", "M4x0.5"], **wall)


ARGUMENTS = {
    "bodies": lambda: body_section(36.0, 32.0, (31.5,), [("nut", {"diameter": 14.0})]),
    "cross_section": lambda: SECTION,
    "density": lambda: tails(dimension(3.0, plus=0.1, name="a") + dimension(3.0, plus=0.2, name="b")),
    "device": lambda: [TUBE, BODY],
    "draw": lambda: TUBE,
    "drawing_of": lambda: finding(drawing=TUBE),
    "drivers": finding,
    "missed_screw": lambda: MissedScrew(TUBE, 44.0, "2.20 mm beyond, 3.00 mm needed"),
    "pitches": pitch_table,
    "plotted": finding,
    "plug": lambda: PLUG,
    "profiles": lambda: "M6-6H/6g",
    "share_figure": lambda: (dimension(3.0, plus=0.1, name="a") + 1.0).contributions(),
    "module_heat": lambda: _drawn("module_heat", HEAT),
    "chassis_fit": lambda: _drawn("sliding_fit", SLIDING),
    "shares": lambda: (dimension(3.0, plus=0.1, name="a") + 1.0).contributions(),
    "short_threads": lambda: (1.5, 2.0, 2.5),
    "spread": lambda: shape(dimension(3.0, plus=0.1, name="a") + dimension(3.0, plus=0.1, name="b")),
    "strip_risk": strip,
    "torques": strip,
    "tube_stack": lambda: TUBE,
    "where": finding,
}


def _drawn(question, inputs):
    return next(one.drawing for one in fc.ask(question, **inputs) if one.drawing is not None)


def drawing_functions():
    """Public functions of the package that say "Axes" or "Figure" in their signature, by name."""
    found = {}
    for module in pkgutil.walk_packages(fitcheck.__path__, "fitcheck."):
        if module.name in PARTS or module.name == "fitcheck.__main__":
            continue
        for name, one in vars(importlib.import_module(module.name)).items():
            if name.startswith("_") or not callable(one) or getattr(one, "__module__", None) != module.name:
                continue
            said = " ".join(map(str, getattr(one, "__annotations__", {}).values()))
            if inspect.isfunction(one) and ("Axes" in said or "Figure" in said):
                found[name] = one
    return found


FUNCTIONS = drawing_functions()


def test_the_walk_finds_every_figure():
    assert set(FUNCTIONS) == set(ARGUMENTS)
    assert set(figures.__all__) - {"svg"} <= set(FUNCTIONS)


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_figure_function_takes_and_returns_an_axes(name):
    function = FUNCTIONS[name]
    signature = inspect.signature(function)
    assert signature.parameters["ax"].annotation == "Axes | None"
    assert signature.parameters["ax"].default is None
    assert signature.return_annotation == ("Axes | None" if name in ("draw", "drawing_of") else "Axes")
    about = ARGUMENTS[name]()
    own = Figure(figsize=(6, 5)).add_subplot()
    assert function(about, ax=own) is own
    assert own.figure.axes[0] is own
    made = function(about)
    assert isinstance(made, Axes)
    assert made.figure is not own.figure


@pytest.mark.parametrize("kind", [kind for kind in figures.draw.registry if kind is not object])
def test_what_draw_chooses_is_one_of_them(kind):
    assert figures.draw.registry[kind] in FUNCTIONS.values()


def test_a_figure_shows_itself_in_a_notebook():
    shape = Shape((1.0, 2.0, 3.0), (0.0, 1.0, 0.0))
    ax, other = figures.spread(shape), figures.spread(shape._replace(places=(1.0, 2.5, 3.0)))
    shown = ax._repr_svg_()
    assert shown.startswith("<svg")
    assert shown == ax.figure._repr_svg_() == pickle.loads(pickle.dumps(ax))._repr_svg_()
    ids, others = (set(re.findall(r' id="([^"]*)"', text)) for text in (shown, other._repr_svg_()))
    assert ids
    assert not ids & others  # cells of one page


@pytest.mark.parametrize("note", ["12345678 ± 0.000001", "1234567.8 ± 0.1", "123456 ± 0.0001"])
def test_a_narrow_zone_far_from_zero_has_numbers_that_differ_and_lie_in_it(note):
    ax = fc.dim(note).plot()
    low, high = ax.get_xlim()
    ticks = [tick for tick in ax.get_xticks() if low <= tick <= high]
    labels = [label.get_text() for label in ax.get_xticklabels()]
    assert len(ticks) >= 2
    assert len(set(labels)) == len(labels) == len(ticks)


def test_the_density_of_what_does_not_vary_like_a_quantity_is_refused():
    with pytest.raises(InputError, match="density of 5: the tails of a quantity that varies are needed"):
        figures.density(5)


def test_no_standard_shafts_stand_beside_a_bore_beyond_the_standard():
    """ISO 286 has no fits above 3150 mm, and those of ordinary sizes have shafts."""
    for bore, chassis, offered in (("32 +0.1/-0", "31.5 ± 0.1", True), ("2000 ± 9", "1900 ± 9", False)):
        drawing = fc.ask("sliding_fit", bore=bore, chassis=chassis)[0].drawing
        ax = figures.chassis_fit(drawing)
        names = [label.get_text() for label in ax.get_xticklabels()]
        assert names[:2] == ["bore", "chassis"]
        assert (len(names) > 2) is offered
        assert ("shafts of fits that slide" in ax.get_xlabel()) is offered


def test_screws_that_nothing_holds_have_no_share_of_it_to_compare():
    wall = {key: one for key, one in SCREW.items() if key not in ("screw", "hole", "point_diameter")}
    _, why = figures.pitches(fc.compare_pitches(["M4x0.7", "M5x0.5"], **{**wall, "outside": "27.0 ± 0.1"})).child_axes
    assert why.get_legend_handles_labels()[1] == ["torque for one load"]


def test_what_key_and_socket_pass_is_marked_only_where_the_axis_reaches():
    def named(**about):
        drawing = fc.ask("set_screw", **{**SCREW, **about})[0].drawing
        ax = figures.torques(drawing)
        passed = [one.torque for one in drawing.limits if one.kind in ("key", "socket")]
        return ax.get_xlim()[1], passed, ax.get_legend_handles_labels()[1]

    for about in ({}, {"outside": "27.0 ± 0.1"}):
        right, passed, labels = named(**about)
        marked = [label for label in labels if label.startswith(("key ", "socket "))]
        assert len(passed) == 2
        assert len(marked) == sum(one < right for one in passed)
