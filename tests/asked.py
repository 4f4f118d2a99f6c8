"""One set of inputs a question, as the tests of several files ask, and what it answers. All numbers are invented."""

import functools
from pathlib import Path

from screw_inputs import SCREW

import fitcheck as fc
from fitcheck.questions import Findings

DEMO = Path(__file__).parents[1] / "notebooks" / "wand.toml"

JOINT = {
    "external": "M36x1.5-6g",
    "internal": "M36x1.5-6H",
    "length": "7.5 ± 0.4",
    "external_material": "6061-T6",
    "internal_material": "6061-T6",
    "load": "2000 N",
}
DEPTH = {"adds": ["60 ± 0.2", "5 ± 0.1"], "takes": ["14.5 ± 0.3", "8 ± 0.1"], "at_least": "40 mm"}
PORT = {"bore": "32 +0.1/-0", "chassis": "31.5 ± 0.1", "width": "14 ± 0.2", "reach": "13.5 ± 0.2"}
PLUG = {"travel": "4.0 ± 0.2", "seat": "9.0 ± 0.2", "adds": ["118.0 ± 0.3"], "takes": ["101.5 ± 0.3"]}
TUBE = {
    "external": "M36x1.5-6g-LH",
    "internal": "M36x1.5-6H-LH",
    "bore": "32 ± 0.1",
    "outside": "40 ± 0.1",
    "external_material": "6061-T6",
    "internal_material": "6061-T6",
    "seized": "25 ± 10 N·m",
}

_WALLS = {"external_bore": "32 +0.1/-0", "internal_outside": "38 ± 0.1"}
_BLADE = {
    "adds": ["60 ± 0.2", "4 ± 0.1"], "takes": ["3 ± 0.1", fc.dim("8 ± 0.1", name="slug"), "1.5 ± 0.1"],
    "at_least": "36 mm", "at_most": "40 mm", "screws": ["12 ± 0.2", "34 ± 0.2"], "cut": "slug",
    "slug_screw": "58.5 ± 0.2", "blade": "25.0 ± 0.1", "bore": "25.4 +0.1/-0", "blade_length": "300 ± 1",
    "wander_at_most": "0.4 mm",
}  # fmt: skip
_PORT = {
    "bore": "32 +0.1/-0", "chassis": "31.5 ± 0.1", "width": "14 ± 0.2", "reach": "13.5 ± 0.2",
    "bodies": [{"name": "plug head", "width": "14 ± 0.2", "reach": "13.2 ± 0.2", "angle": "-30 ± 3 deg"}],
    "adds": ["118.0 ± 0.3"], "takes": ["cell 18650", "40 ± 0.3"], "cell": "cell 18650", "cell_bore": "19.2 ± 0.1",
}  # fmt: skip
_WARM = {"temperature": "-10 .. 45 °C", "blade_material": "polycarbonate", "socket_material": "6061-T6"}
SLIDING = {"bore": "32 +0.1/-0", "chassis": "31.5 ± 0.1"}
_SLIDING = {
    **SLIDING, "printed": "0.10 ± 0.08", "sleeve": "0.05 ± 0.01", "at_most": "1 mm", "wires": ["0.5 ± 0.05"],
    "guided": "40 ± 1", "friction": "0.3 ± 0.1, uniform", "pushed_at": "10 ± 1", "temperature": "-10 .. 45 °C",
    "material": "PETG", "tube_material": "6061-T6", "relief": "0.5 ± 0.1", "span": "200 ± 1", "hollow": "22 ± 0.2",
    "mass": "0.2 ± 0.02 kg",
}  # fmt: skip
HEAT = {
    "power": "3 W", "slug": "24.9 ± 0.02", "socket": "25.1 ± 0.02", "contact": "15 ± 0.2", "gap": "air",
    "slug_metal": "aluminium", "tube_metal": "aluminium", "outside": "32", "tube_length": "150", "around": "25 °C",
    "surface": "dark in still air", "module_limit": "85 °C", "blade_limit": "100 °C", "held_for": "10 min",
}  # fmt: skip
EVERY_QUESTION = {
    "heat": ("module_heat", HEAT),
    "heat, too warm": ("module_heat", {**HEAT, "power": "8 ± 1 W", "module_resistance": "2 ± 0.5"}),
    "sliding": ("sliding_fit", _SLIDING),
    "sliding, tight": ("sliding_fit", {**_SLIDING, "chassis": "32.0 ± 0.1", "guided": "4 ± 1", "relief": "0 ± 0"}),
    "joint": ("thread_engagement", {**JOINT, **_WALLS, "removal_torque": "60 ± 20 N·m", "clock_now": "40 ± 1 deg"}),
    "another pitch": ("thread_engagement", {**JOINT, "internal": "1.4375-16 UN-2B", "length": "9.0 ± 0.6"}),
    "jams": ("thread_engagement", {**JOINT, "internal_pitch": "34.90 measured ± 0.02"}),
    "screw": ("set_screw", {**SCREW, "blade_material": "polycarbonate", "stays": 1, "dent": "0.2 mm", "screws": 2}),
    "full pull": ("set_screw", {**SCREW, "hand_torque": "4.0 ± 1.5 N·m"}),
    "blade": ("blade_depth", _BLADE),
    "warm blade": ("blade_depth", {**_BLADE, **_WARM, "screws": []}),
    "port": ("port_clearance", _PORT),
    "spring": ("port_clearance", {**_PORT, "spring_free": "18 ± 0.5", "spring_solid": "8 ± 0.3"}),
    "plug": ("plug_length", {**PLUG, "bought": "38 ± 0.5"}),
    "no plug": ("plug_length", {**PLUG, "seat": "4.2 ± 0.1"}),
    "plug given": ("plug_length", {**PLUG, "length": "24.5 measured ± 0.02"}),
    "stuck": ("handling", TUBE),
    "stuck, clean": ("handling", {**TUBE, "friction_tightened": "B", "friction_loosened": "0.2 ± 0.05, uniform"}),
    "stuck, held": ("handling", {**TUBE, "held_by": "strap", "grip": "30 ± 1", "held_bore": "32 ± 0.05"}),
    "coated": ("thread_engagement", {**JOINT, "external_coating": "zinc plate", "internal_coating": "clear anodic"}),
    "worn": ("thread_engagement", {**JOINT, "external_pitch": "33.2 measured ± 0.02"}),
    "square chassis": ("port_clearance", {
        "bore": "32 +0.1/-0", "chassis_width": "24 ± 0.1", "chassis_height": "20 ± 0.1", "width": "14 ± 0.2",
        "reach": "13.2 ± 0.2",
    }),
    "worn screw": ("set_screw", {**SCREW, "turns_gone": "0.3 ± 0.1", "hole_minor": "3.4 ± 0.02, triangular"}),
    "spotted blade": ("set_screw", {
        **SCREW, "point": "dog", "point_diameter": "2.4 ± 0.1", "spotted": "0.8 ± 0.1",
        "blade_material": "polycarbonate",
    }),
    "bent blade": ("blade_depth", {**_BLADE, "bow": "0.2 ± 0.1, uniform"}),
}  # fmt: skip
"""A name, then the question and inputs that between them lead to every finding there is."""


@functools.cache
def findings_of(case: str) -> Findings:
    """What a case of `EVERY_QUESTION` answers, asked once for the tests that only read it."""
    question, inputs = EVERY_QUESTION[case]
    return fc.ask(question, **inputs)


@functools.cache
def demo_findings() -> Findings:
    """What the demo answers, asked once for the tests that only read it."""
    return fc.load(DEMO).findings()
