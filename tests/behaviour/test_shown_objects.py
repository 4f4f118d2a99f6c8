"""Every public class says itself shortly in the REPL, and as a table in a notebook: found by walking the packages."""

import enum
import importlib
import inspect
import re
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest
from asked import EVERY_QUESTION
from screw_inputs import SCREW

import fitcheck as fc
from fitcheck import fits, mechanics, planning, stack, threads, units
from fitcheck.questions import QUESTIONS, Requirement
from fitcheck.shown import ShownTable
from fitcheck.stack.plotted import Plotted

PACKAGES = ["", ".stack", ".fits", ".threads", ".mechanics", ".questions", ".sheet", ".planning", ".units"]
LINE, WHOLE = 360, 2600  # characters: of what is one line, and of a table for reading
ODD = '<script>"x" & y</script>'
THIRD = 1 / 3

HOLE, PIN = fc.dim("40 H7", name="hole"), fc.dim("40 k6", name=ODD)
SHIM = fc.dim("0.3 ± 0.1, normal", name="shim")
GAP = HOLE - PIN + SHIM
WALL = {key: value for key, value in SCREW.items() if key not in ("screw", "hole")}
DEMO = Path(__file__).parents[2] / "notebooks" / "wand.toml"


def product(a, b):
    return a * b


def asked(name):
    for table, inputs in EVERY_QUESTION.values():
        if table == name:
            return QUESTIONS[name].read(inputs)
    raise AssertionError(name)


@cache
def pitches():
    return fc.compare_pitches(["M4x0.7", "M4x0.5"], **WALL)


@cache
def build():
    return fc.load(DEMO)


def measurements():
    return planning.Measurements((MADE["Worth"](),), tuple(plug()))


@cache
def plug():
    return fc.ask("plug_length", **EVERY_QUESTION["plug"][1])


def first(items):
    return next(iter(items))


SPREADS = {
    "Arcsine": stack.Arcsine,
    "Beta": lambda: stack.Beta(1 + THIRD, 2.0),
    "CurvilinearTrapezoid": lambda: stack.CurvilinearTrapezoid(THIRD),
    "Empirical": lambda: stack.inspected([THIRD, 0.4, 0.5]).spread,
    "Normal": lambda: stack.Normal(3 + THIRD),
    "StudentT": lambda: stack.StudentT(3 + THIRD),
    "Trapezoidal": lambda: stack.Trapezoidal(THIRD),
    "Triangular": stack.Triangular,
    "TruncatedNormal": lambda: stack.TruncatedNormal(2 + THIRD),
    "Uniform": stack.Uniform,
}
MADE = {
    **SPREADS,
    **{type(asked(name)).__name__: (lambda name=name: asked(name)) for name in QUESTIONS},
    "Agreement": lambda: stack.compare_intervals((THIRD, 0.7), (0.1, 2 / 3), 0.05),
    "Allocation": lambda: stack.allocate(GAP, half_width=THIRD),
    "Build": build,
    "Candidate": lambda: fc.identify(outside=5.9, pitch=1.0).candidates[0],
    "Capability": lambda: stack.capability(THIRD, 0.1, lower=0.0, upper=2 / 3),
    "Clocked": lambda: threads.clock("90 deg", "20 deg", "M30x1"),
    "Coated": lambda: threads.coat("M6-6g", threads.coating(ODD, "10 ± 3 µm")),
    "Coating": lambda: threads.coating(ODD, "10 ± 3 µm"),
    "Conflict": lambda: planning.Conflict(first(plug()), THIRD),
    "Contribution": lambda: GAP.contributions()[-1],
    "Cost": lambda: stack.Cost(THIRD, 2 / 3),
    "Decision": lambda: threads.decide_size("1 3/8-18 UNEF-2A", "pitch", "1.3330 in", "0.0004 in"),
    "Dimension": lambda: PIN,
    "Distribution": GAP.exact,
    "Finding": lambda: first(plug()),
    "Findings": plug,
    "Fit": lambda: fc.fit("40 H7/k6"),
    "Gap": lambda: fc.pair("M6").percent(),
    "Identified": lambda: fc.identify(outside=5.9, pitch=1.0),
    "Index": lambda: stack.sobol_indices(fc.response(product, a=HOLE, b=SHIM))[0],
    "Interval": lambda: GAP.interval(),
    "Kind": lambda: units.LENGTH,
    "Limits": lambda: fc.thread("M6-6g").limits(),
    "Material": lambda: fc.material("6061-T6"),
    "Measurements": measurements,
    "Moments": lambda: fc.response(product, a=HOLE, b=SHIM).moments(),
    "OldThread": lambda: fc.identify(outside=20.9, tpi=14).best,
    "OpenSize": lambda: planning.OpenSize(ODD, PIN, THIRD, 2 / 3),
    "Outlook": lambda: planning.Outlook(THIRD, THIRD, THIRD),
    "Pair": lambda: fc.pair("M6"),
    "PitchRow": lambda: pitches()[0],
    "PitchTable": pitches,
    "PlainLimits": lambda: fits.limits("H7", 25.0),
    "Plan": lambda: planning.Plan({ODD: "6 ± 0.1"}, {}, (), refused=(ODD,)),
    "PreferredFit": lambda: fits.preferred_fits()[0],
    "PrevailingTorque": lambda: mechanics.prevailing_torque("M4"),
    "Probability": lambda: GAP.probability(below=0.25),
    "Property": lambda: fc.material("6061-T6").tensile,
    "Range": lambda: mechanics.friction("C"),
    "Required": lambda: stack.Required(GAP, below=THIRD),
    "Requirement": lambda: Requirement(at_least=THIRD),
    "Response": lambda: fc.response(product, a=HOLE, b=PIN, name=ODD),
    "Risks": lambda: stack.Risks(THIRD, 2 / 3),
    "ScrewSize": lambda: mechanics.set_screw("M4"),
    "ShortModel": mechanics.short_model,
    "Size": lambda: threads.Size(THIRD, None),
    "SizedThread": lambda: threads.worn("M6-6g", major=fc.dim("5.71 measured ± 0.02")),
    "StripTrials": lambda: fc.strip_trials(["1.1 N·m"], **SCREW),
    "Sum": lambda: GAP,
    "Thread": lambda: fc.thread("M6-6g"),
    "TighterTolerances": lambda: planning.TighterTolerances(plug(), (planning.Tightened(PIN, HOLE),)),
    "Tightened": lambda: planning.Tightened(PIN, HOLE),
    "Tightening": lambda: stack.Tightening(ODD, THIRD, THIRD, THIRD),
    "ToBuy": lambda: first(build_to_buy()),
    "ToTap": lambda: planning.ToTap(ODD, "M4x0.7", 2, 3.3, stack.Interval(60 + THIRD, 80.0), THIRD, 2.2, 0.5, units.MM),
    "ToCut": lambda: planning.ToCut(ODD, PIN, HOLE),
    "Unit": lambda: units.unit("in"),
    "Variant": lambda: planning.Variant({ODD: ODD}, tuple),
    "Window": lambda: stack.solve_for(GAP, SHIM, below=0, risk=0.01),
    "Wires": lambda: threads.wires("M6-6g"),
    "Workshop": planning.Workshop,
    "Worth": lambda: planning.Worth(ODD, ODD, "caliper", THIRD, units.MM, ()),
}
"""An object of each public class, with odd names and with numbers that have no end where it takes any."""


def build_to_buy():
    return [
        planning.ToBuy(
            "x", "M4x0.7-6g", "cup", 4.0, 2, 2.0, stack.Interval(-THIRD, THIRD), THIRD, True, units.MM, "0.33 N·m"
        )
    ]


def too_long(text):
    """The numbers of a text with more digits than a person can use."""
    return [one for one in re.findall(r"\d+\.\d+", text) if len(one.replace(".", "").lstrip("0")) > 8]


def public_classes():
    """The public classes of `fitcheck` and its packages, without errors, words of a choice, and what only checks."""
    found = {}
    for package in PACKAGES:
        module = importlib.import_module(f"fitcheck{package}")
        listed = getattr(module, "__all__", None)
        for name in listed or [one for one in dir(module) if not one.startswith("_")]:
            one = getattr(module, name)
            home = getattr(one, "__module__", "")
            if inspect.isclass(one) and (home.startswith("fitcheck") if listed else home == module.__name__):
                found[name] = one
    plain = (Exception, enum.Enum)
    return {
        name: one
        for name, one in found.items()
        if not issubclass(one, plain) and not getattr(one, "_is_protocol", False) and name not in BASES
    }


BASES = {"Linear", "Question"}
"""What no object is of alone."""


class Tags(HTMLParser):
    """The tags of an HTML text, and whether each that is opened is closed."""

    def __init__(self, text):
        super().__init__()
        self.opened, self.seen, self.styles = [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.seen.append(tag)
        self.styles += [value for key, value in attrs if key == "style"]
        self.opened.append(tag)

    def handle_endtag(self, tag):
        assert self.opened.pop() == tag


def test_every_public_class_is_tried():
    assert set(public_classes()) == set(MADE)


@pytest.mark.parametrize("name", sorted(MADE))
def test_what_the_repl_shows_is_short_and_readable(name):
    made = MADE[name]()
    assert type(made).__name__ == name
    said = repr(made)
    assert len(said) <= (WHOLE if "\n" in said else LINE), said
    assert "array(" not in said
    assert " object at 0x" not in said
    assert too_long(said) == []


@pytest.mark.parametrize("name", sorted(MADE))
def test_a_notebook_shows_it_escaped_and_without_colours_of_its_own(name):
    made = MADE[name]()
    shown = made._repr_html_()
    own = shown.partition("<svg")[0]
    tags = Tags(own)
    assert not tags.opened
    assert set(tags.seen) <= {"p", "b", "table", "thead", "tbody", "tr", "th", "td", "pre"}
    assert set(tags.styles) <= {"text-align:left"}
    assert "<script" not in shown
    assert too_long(re.sub(r"<[^>]*>", " ", own)) == []
    if ODD in repr(made):
        assert "&lt;script&gt;" in shown


def test_what_is_spread_shows_and_plots_itself():
    for name, made in MADE.items():
        assert isinstance(made(), Plotted) == (name in {*SPREADS, "Dimension", "Sum", "Response", "Distribution"})


def test_decimals_are_enough_to_tell_the_ends_apart():
    assert repr(HOLE - PIN) == "<sum of 2: 0.000 mm, worst case -0.018 mm to 0.023 mm; all spreads assumed uniform>"
    shown = (HOLE - PIN)._repr_html_()
    assert "-0.018 mm to 0.023 mm" in shown
    assert "29%" in shown


def test_a_nominal_outside_the_worst_case_is_called_one():
    assert repr(fc.dim("6 g6") + 1.0).startswith("<sum of 1: nominal 7.000 mm, worst case 6.988 mm to 6.996 mm")
    assert repr(fc.response(product, a=fc.dim("40 H7"), b=HOLE)).startswith("<product: 1600.00, worst case 1600.00")
    assert repr(fc.response(product, a=PIN, b=PIN)).startswith("<product: nominal 1600.00, worst case 1600.16")


def test_a_row_of_any_length_is_shown_in_brief():
    made = stack.Window(THIRD, THIRD, THIRD, THIRD, "x" * 500)
    assert len(repr(made)) < LINE
    assert "x" * 500 in made._repr_html_()
    assert ShownTable("", [("a", "b")], ("one", "two")).html().count("<th") == 3
