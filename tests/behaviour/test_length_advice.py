"""Advice is made and asked again: every change line that names an amount does what it says, in every unit.

All numbers here are invented.
"""

import dataclasses
import tomllib
from pathlib import Path

import pytest
from advice import LENGTHS, TORQUES, joint, made_and_asked, plug, random_build
from asked import EVERY_QUESTION, JOINT, PLUG, PORT

import fitcheck as fc
from fitcheck.errors import InputError
from fitcheck.questions import QUESTIONS, SetScrew, Verdict
from fitcheck.questions.moves import Besides, in_a_row, ways
from fitcheck.report.first_page import tasks
from fitcheck.stack import Dimension
from fitcheck.units import LENGTH, unit

DEMO = Path(__file__).parents[2] / "notebooks" / "wand.toml"
_BLADE = EVERY_QUESTION["blade"][1]
_SOUND = {key: _BLADE[key] for key in ("adds", "takes", "at_least", "cut", "slug_screw")}
_PLAY = {key: _BLADE[key] for key in ("blade", "bore")}
_SHALLOW = {"adds": ["60 ± 0.2"], "at_least": "36 mm"}
_WARM = {key: EVERY_QUESTION["warm blade"][1][key] for key in ("temperature", "blade_material", "socket_material")}
_STACK = {"adds": ["118.0 ± 0.3"], "takes": ["65.2 ± 0.2", "52.4 ± 0.3"]}
SHORT = {
    "too shallow, a slug to cut": ("blade_depth", {**_SOUND, "at_least": "51.4 mm"}),
    "too shallow, nothing to cut": ("blade_depth", {"adds": ["60 ± 0.2"], "takes": ["8 ± 0.1"], "at_least": "52.1 mm"}),
    "too deep": ("blade_depth", {**_SHALLOW, "at_most": "58 mm"}),
    "screws miss": ("blade_depth", {**_SOUND, "screws": ["49 ± 0.2, normal"]}),
    "the slug's screw misses": ("blade_depth", {**_SOUND, "slug_screw": "53.5 ± 0.2"}),
    "the slug's screw is too deep": ("blade_depth", {**_SOUND, "slug_screw": "62.4 ± 0.2"}),
    "the blade jams": ("blade_depth", {**_SHALLOW, **_PLAY, "blade": "25.41 ± 0.05"}),
    "the blade jams when warm": ("blade_depth", {**_SHALLOW, **_PLAY, **_WARM, "blade": "25.38 ± 0.02"}),
    "the tip strays": ("blade_depth", {**_SHALLOW, **_PLAY, "blade_length": "300 ± 1", "wander_at_most": "0.4 mm"}),
    "the chassis jams": ("port_clearance", {**PORT, "chassis": "31.98 ± 0.1"}),
    "the corner touches": ("port_clearance", {**PORT, "reach": "14.2 ± 0.2"}),
    "two bodies touch": (
        "port_clearance",
        {
            "bore": "32 +0.1/-0",
            "chassis": "31.5 ± 0.1",
            "bodies": [
                {"name": "plug head", "width": "14 ± 0.2", "reach": "14.2 ± 0.2", "angle": "-30 ± 3 deg"},
                {"name": "nut", "diameter": "10 ± 0.1", "offset": "10.9 ± 0.1"},
            ],
        },
    ),
    "no end gap": ("port_clearance", {**PORT, **_STACK}),
    "the spring is loose": (
        "port_clearance",
        {**PORT, **_STACK, "takes": ["65 ± 0.2", "40 ± 0.3"], "spring_free": "13 ± 0.5", "spring_solid": "6 ± 0.3"},
    ),
    "the spring is solid": (
        "port_clearance",
        {**PORT, **_STACK, "takes": ["65 ± 0.2", "46 ± 0.3"], "spring_free": "18 ± 0.5", "spring_solid": "6.9 ± 0.3"},
    ),
    "the cell jams": ("port_clearance", {**PORT, "cell": "18.5 ± 0.1", "cell_bore": "18.6 ± 0.05"}),
    "the plug is long": ("plug_length", {**PLUG, "length": "26 ± 0.1"}),
    "the plug is short": ("plug_length", {**PLUG, "length": "20.6 measured ± 0.02"}),
    "no plug works": ("plug_length", {**PLUG, "seat": "6.2 ± 0.1"}),
    "what is bought is short": ("plug_length", {**PLUG, "bought": "23.1 ± 0.5"}),
    "few threads": ("thread_engagement", {**JOINT, "length": "4.2 ± 0.4, normal"}),
}
"""A name, then the question and inputs, each of which is advised on."""


def in_unit(question, text):
    """The question with every length of its parts shown in the unit `text`."""
    used = unit(text)

    def shown(value):
        if isinstance(value, tuple):
            return tuple(map(shown, value))
        if getattr(value, "sizes", None):
            return dataclasses.replace(value, sizes={key: shown(size) for key, size in value.sizes.items()})
        if isinstance(value, Dimension) and value.unit.kind is LENGTH:
            return dataclasses.replace(value, unit=used)
        return value

    return dataclasses.replace(question, **{key: shown(getattr(question, key)) for key in question.inputs()})


@pytest.mark.parametrize("text", ["mm", "in", "m"])
@pytest.mark.parametrize("name", SHORT)
def test_every_advised_change_does_what_it_says(name, text):
    question, inputs = SHORT[name]
    asked = QUESTIONS[question].read({key: value for key, value in inputs.items() if value is not None}, {})
    assert made_and_asked(in_unit(asked, text)), "something is advised"


def test_the_advice_of_the_demo_does_what_it_says():
    tried = sum(made_and_asked(question) for _, _, question in fc.load(DEMO).questions)
    assert tried >= 2


# What is asked, how many builds, and how many pieces of advice there are at least.
WALKS = [
    pytest.param((plug, joint), 0, 20, 8, id="plugs and joints"),
    pytest.param(LENGTHS[:2], 1006, 4, 8, id="blades and ports"),
    pytest.param(TORQUES, 2000, 4, 2, id="screws and tubes"),
    pytest.param(LENGTHS, 3000, 440, 250, id="all lengths", marks=pytest.mark.long),
    pytest.param(TORQUES, 4000, 60, 20, id="all torques", marks=pytest.mark.long),
]


@pytest.mark.parametrize(("builds", "first", "number", "least"), WALKS)
def test_the_advice_for_random_builds_does_what_it_says(builds, first, number, least):
    units = ("mm", "in", "m") if builds is not TORQUES else ("mm", "in")
    tried = refused = 0
    for seed in range(first, first + number):
        try:
            question = random_build(seed, units, builds)
        except InputError:  # not every draw can be built
            refused += 1
            continue
        tried += made_and_asked(question)
    assert tried >= least
    assert refused < number / 4


def test_what_stands_together_can_be_done_together():
    """No torque for two screws beside another for four, as if both were to be done: ways are told apart, each whole."""
    text = DEMO.read_text(encoding="utf-8").replace('pull = "40 N"', 'pull = "60 N"')
    inputs = tomllib.loads(text)
    parts = {name: fc.dim(note, name=name) for name, note in inputs["parts"].items() if isinstance(note, str)}
    parts["socket_outside"] = fc.dim("29.94 measured ± 0.02", name="socket_outside")
    asked = SetScrew.read({**inputs["set_screw"]}, parts)
    strip, hold, *_ = asked.findings()
    assert strip.verdict is hold.verdict is Verdict.FAILS
    whole = list(dict.fromkeys(move.words for move in hold.moves))
    assert len(whole) > 1
    assert list(strip.change[: len(whole)]) == whole
    for move in hold.moves:
        again = move.made(asked).findings()
        assert again[0].verdict is not Verdict.FAILS, move
        assert again[1].verdict is Verdict.HOLDS, move
    words = [task.words for task in tasks([strip, hold])]
    assert words == [f"either {whole[0]}, or {whole[1]}"]
    assert f"\n       or {whole[1]}"[:40] in strip.text()
    assert not any(task.words for task in tasks([dataclasses.replace(strip, verdict=Verdict.HOLDS, do="")]))


def test_a_remark_is_no_way():
    lines = ("cut it", Besides("nothing more can be cut"), "buy another")
    assert ways(lines) == [("either", "cut it"), ("", "nothing more can be cut"), ("or", "buy another")]
    assert ways(lines[:2]) == [("", "cut it"), ("", "nothing more can be cut")]
    assert in_a_row(lines) == "either cut it, or buy another; nothing more can be cut"
