"""What a question says of inputs that make no sense, that have no name, or that name something else."""

import pickle
import re

import pytest
from asked import DEPTH, EVERY_QUESTION, HEAT, JOINT, PLUG, PORT, SLIDING, TUBE
from screw_inputs import SCREW

import fitcheck as fc
from fitcheck.__main__ import main
from fitcheck.errors import InputError, SheetError
from fitcheck.questions import QUESTIONS, BladeDepth, PlugLength, PortClearance, StuckTube, ThreadEngagement
from fitcheck.questions.readers import Exact, Toleranced

STACK = {"adds": ["118.0 ± 0.3"], "takes": ["101.5 ± 0.3"]}
CELL = {"cell": "cell 18650", "cell_bore": "19.2 ± 0.1"}
SPRING = {"spring_free": "18 ± 0.5", "spring_solid": "8 ± 0.3"}

NONSENSE = [
    ("blade_depth", DEPTH, {"adds": ["60 ± 0.2", "-5 ± 0.1"]}, "adds[2] = -5 ± 0.1 mm"),
    ("blade_depth", DEPTH, {"takes": ["-14.5 ± 0.3"]}, "takes[1] = -14.5 ± 0.3 mm"),
    ("blade_depth", DEPTH, {"screws": ["12", "-3 ± 0.2"]}, "screws[2] = -3 ± 0.2 mm"),
    ("blade_depth", DEPTH, {"cover": "-2 mm"}, "cover = -2 mm"),
    ("blade_depth", DEPTH, {"blade": "0.1 ± 0.2"}, "blade = 0.1 ± 0.2 mm"),
    ("blade_depth", DEPTH, {"bore": "-25.4"}, "bore = -25.4 mm"),
    ("blade_depth", DEPTH, {"outside": "-30"}, "outside = -30 mm"),
    ("blade_depth", DEPTH, {"bore": "25.4", "outside": "25.0"}, "bore = 25.4 mm, outside = 25 mm"),
    ("blade_depth", DEPTH, {"blade_length": "-300"}, "blade_length = -300 mm"),
    ("blade_depth", DEPTH, {"bow": "-0.2"}, "bow = -0.2 mm"),
    ("blade_depth", DEPTH, {"friction_bore": "-0.1"}, "friction_bore = -0.1"),
    ("port_clearance", PORT, {"width": "-14 ± 0.2"}, "width = -14 ± 0.2 mm"),
    ("port_clearance", PORT, {"reach": "-13.5 ± 0.2"}, "reach = -13.5 ± 0.2 mm"),
    ("port_clearance", PORT, {"gap": "-0.2 mm"}, "gap = -0.2 mm"),
    ("port_clearance", PORT, {"gap": "-0.01 cm"}, "gap = -0.01 cm"),
    ("port_clearance", PORT, {"slide": -0.05}, "slide = -0.05 mm"),
    ("port_clearance", PORT, {"outside": "-36"}, "outside = -36 mm"),
    ("port_clearance", PORT, {"outside": "31"}, "bore = 32 +0.1/-0 mm, outside = 31 mm"),
    ("port_clearance", PORT, {"port": "-12"}, "port = -12 mm"),
    ("port_clearance", PORT, {**CELL, "sleeve": "-0.15 ± 0.02"}, "sleeve = -0.15 ± 0.02 mm"),
    ("port_clearance", PORT, {**CELL, "cell": "-18"}, "cell = -18 mm"),
    ("port_clearance", PORT, {**CELL, "cell_play": "-1 mm"}, "cell_play = -1 mm"),
    ("port_clearance", PORT, {**STACK, "adds": ["-118 ± 0.3"]}, "adds[1] = -118 ± 0.3 mm"),
    ("port_clearance", PORT, {**STACK, "takes": ["-101.5 ± 0.3"]}, "takes[1] = -101.5 ± 0.3 mm"),
    ("port_clearance", PORT, {**STACK, **SPRING, "spring_solid": "-8"}, "spring_solid = -8 mm"),
    ("port_clearance", PORT, {**STACK, **SPRING, "spring_press": "-1 mm"}, "spring_press = -1 mm"),
    ("plug_length", PLUG, {"travel": "-4.0 ± 0.2"}, "travel = -4 ± 0.2 mm"),
    ("plug_length", PLUG, {"seat": "-9.0 ± 0.2", "travel": "0"}, "seat = -9 ± 0.2 mm"),
    ("plug_length", PLUG, {"adds": ["-118 ± 0.3"]}, "adds[1] = -118 ± 0.3 mm"),
    ("plug_length", PLUG, {"takes": ["101.5 ± 0.3", "-9.5 ± 0.1"]}, "takes[2] = -9.5 ± 0.1 mm"),
    ("plug_length", PLUG, {"length": "-23 ± 0.2"}, "length = -23 ± 0.2 mm"),
    ("plug_length", PLUG, {"bought": "-38"}, "bought = -38 mm"),
    ("plug_length", PLUG, {"kerf": "-0.03 cm"}, "kerf = -0.03 cm"),
    ("thread_engagement", JOINT, {"length": "-7.5"}, "length = -7.5 mm"),
    ("thread_engagement", JOINT, {"external_major": "-36"}, "external_major = -36 mm"),
    ("thread_engagement", JOINT, {"internal_minor": "-34"}, "internal_minor = -34 mm"),
    ("thread_engagement", JOINT, {"external_bore": "-32"}, "external_bore = -32 mm"),
    ("thread_engagement", JOINT, {"load": "-450 lbf"}, "load = -450 lbf"),
    ("thread_engagement", JOINT, {"threads": -3}, "threads = -3"),
    ("set_screw", SCREW, {"countersink": "-0.1"}, "countersink = -0.1 mm"),
    ("set_screw", SCREW, {"screw_length": "-4"}, "screw_length = -4 mm"),
    ("blade_depth", DEPTH, {"blade": "15 ± 0.1", "bore": "25.4 H9"}, "blade = 15 ± 0.1 mm: 10.43 mm smaller than"),
    ("blade_depth", DEPTH, {"blade": "29", "bore": "25.4"}, "blade = 29 mm: 3.60 mm larger than its bore of 25.4 mm"),
    ("blade_depth", DEPTH, {"friction_bore": "30"}, "friction_bore = 30: a coefficient of friction of at most 1"),
    ("set_screw", SCREW, {"blade": "15 ± 0.1", "screw_length": "20"}, "blade = 15 ± 0.1 mm: 10.43 mm smaller than"),
    ("set_screw", SCREW, {"friction_thread": "15"}, "friction_thread = 15: a coefficient of friction of at most 1"),
    ("set_screw", SCREW, {"friction_point": "0.9 ± 0.2"}, "friction_point = 0.9 ± 0.2: a coefficient of friction of"),
    ("handling", TUBE, {"friction_tightened": "12", "friction_loosened": "0.2"}, "friction_tightened = 12: a coeff"),
    ("handling", TUBE, {"neck": "-33", "groove_radius": "0.3"}, "neck = -33 mm"),
]  # fmt: skip


@pytest.mark.parametrize(("question", "asked", "change", "words"), NONSENSE)
def test_a_length_that_makes_no_sense_is_refused_by_name(question, asked, change, words):
    with pytest.raises(InputError, match=f"^{re.escape(words)}") as caught:
        fc.ask(question, **{**asked, **change})
    assert "\n" not in str(caught.value)
    assert re.search(r" (needed|between) ?", str(caught.value))


@pytest.mark.parametrize(
    ("question", "asked", "change"),
    [
        ("blade_depth", DEPTH, {"adds": ["65 ± 0.2", "0 ± 0.1"]}),  # an allowance among the lengths
        ("blade_depth", DEPTH, {"takes": ["22.5 ± 0.3", "0.05 ± 0.1"]}),
        ("blade_depth", DEPTH, {"at_least": "-1 mm"}),  # a blade that may stand out
        ("blade_depth", DEPTH, {"play_at_least": "-0.1 mm"}),  # a blade pressed in
        ("port_clearance", PORT, {**STACK, "end_gap": "-0.5 mm"}),  # a pad that gives
        ("port_clearance", PORT, {"bodies": [{"name": "a", "width": "4", "reach": "9", "offset": "-0.5 ± 0.2"}]}),
        ("plug_length", PLUG, {"cut_tolerance": "0 ± 0.2"}),
        ("plug_length", PLUG, {"cut_tolerance": "-0.05 ± 0.2"}),  # a saw that cuts short
        ("plug_length", PLUG, {"travel": "0", "hold": 0}),
        ("thread_engagement", JOINT, {"play": "-0.01 mm"}),  # an interference thread
        ("thread_engagement", JOINT, {"clock_now": "-40 ± 1 deg", "clock_cut": "-0.01 ± 0.02"}),
    ],
)
def test_what_may_be_negative_stays_allowed(question, asked, change):
    assert fc.ask(question, **{**asked, **change})


def test_what_is_accepted_is_described():
    assert "a length above 0 with its tolerance" in PortClearance.describe()
    assert "each item a length of at least 0 with its tolerance" in BladeDepth.describe()


def test_a_question_made_without_a_sheet_is_checked_too():
    with pytest.raises(InputError, match=r"travel = -4 ± 0.2 mm: a length of at least 0 over its whole zone is needed"):
        PlugLength(travel=fc.dim("-4 ± 0.2"), seat=fc.dim("9"), adds=(fc.dim("118"),))


# -- hands -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("question", "inputs"),
    [
        ("thread_engagement", {"external": "M36x1.5-6g-LH", "internal": "M36x1.5-6H"}),
        ("thread_engagement", {**JOINT, "external": "M36x1.5-6g-LH", "external_material": "unobtainium"}),
        ("set_screw", {"hole": "M4x0.7-6H-LH", "screw": "M4x0.7-6g"}),
        ("set_screw", {**SCREW, "hole": "M4x0.7-6H-LH", "wall_material": "unobtainium"}),
        ("handling", {"external": "M36x1.5-6g-LH", "internal": "M36x1.5-6H"}),
    ],
)
def test_halves_of_two_hands_are_told_before_anything_that_is_missing(question, inputs):
    with pytest.raises(InputError, match=r"is left-hand, .* right-hand: both must be alike"):
        fc.ask(question, **inputs)
    alike = {key: value.replace("-LH", "") if isinstance(value, str) else value for key, value in inputs.items()}
    with pytest.raises(InputError, match=r"missing|unobtainium"):
        fc.ask(question, **alike)


# -- names -------------------------------------------------------------------------------------------------


def test_a_length_without_a_name_is_called_by_its_place_and_size():
    question = BladeDepth.read({**DEPTH, "takes": ["3 ± 0.1", "14.5 ± 0.3", 0.5]})
    assert [d.name for d in question.takes] == [
        "takes no. 1 (3 ± 0.1 mm)",
        "takes no. 2 (14.5 ± 0.3 mm)",
        "takes no. 3 (0.5 mm)",
    ]
    (finding,) = question.findings()
    assert finding.drivers[0].name == "takes no. 2 (14.5 ± 0.3 mm)"
    assert "takes no. 2 (14.5 ± 0.3 mm) 6" in repr(finding)
    assert not any("[" in words for words in (str(finding), repr(finding), *finding.assumptions))
    inch = BladeDepth.read({"adds": ["2.5 ± 0.01 in"], "at_least": "40 mm"}).adds[0]
    assert inch.name == "adds no. 1 (2.5 ± 0.01 in)"


def test_an_error_names_an_item_of_a_list_as_it_is_written(tmp_path):
    path = tmp_path / "build.toml"
    path.write_text('sheet = 1\n[blade_depth]\nat_least = "1"\nadds = ["40", "forty"]\n', encoding="utf-8")
    with pytest.raises(SheetError, match=r"line 4: \[blade_depth\]: adds\[2\] = 'forty'"):
        fc.load(path)
    path.write_text('sheet = 1\n[blade_depth]\nat_least = "1"\nadds = ["40", "-4"]\n', encoding="utf-8")
    with pytest.raises(SheetError, match=r"line 4: \[blade_depth\]: adds\[2\] = -4 mm"):
        fc.load(path)


@pytest.mark.parametrize("question", QUESTIONS)
def test_no_dimension_is_called_default(question):
    """A question made by its class reads its own defaults, once, and names them by their keys."""
    made = {
        "thread_engagement": lambda: ThreadEngagement.read(JOINT),
        "set_screw": lambda: QUESTIONS["set_screw"].read(SCREW),
        "blade_depth": lambda: BladeDepth(adds=(fc.dim("60"),), at_least=40.0),
        "port_clearance": lambda: PortClearance.read(PORT),
        "plug_length": lambda: PlugLength(travel=fc.dim("4"), seat=fc.dim("9"), adds=(fc.dim("18"),)),
        "handling": lambda: StuckTube.read(TUBE),
        "module_heat": lambda: QUESTIONS["module_heat"].read(HEAT),
        "sliding_fit": lambda: QUESTIONS["sliding_fit"].read(SLIDING),
    }[question]()
    for key in made.inputs():
        value = getattr(made, key)
        for one in value if isinstance(value, tuple) else (value,):
            assert getattr(one, "name", "") != "default", key
    if question == "plug_length":
        assert made.cut_tolerance.name == "cut tolerance"
        assert (made.hold, made.free) == (0.3, 0.1)


def test_a_default_is_read_once(monkeypatch):
    counted = []
    for reader in (Toleranced, Exact):

        def counting(self, value, where, parts, read=reader.read):
            counted.append(where)
            return read(self, value, where, parts)

        monkeypatch.setattr(reader, "read", counting)
    PlugLength.read(PLUG)
    assert sorted(counted) == ["adds[1]", "cut_tolerance", "free", "hold", "seat", "takes[1]", "travel"]


# -- names of another kind -----------------------------------------------------------------------------------

PARTS = {"port": fc.dim("9.5 ± 0.1", name="port"), "turn": fc.dim("10 ± 1 deg", name="turn")}


@pytest.mark.parametrize(
    ("change", "parts", "words"),
    [
        # The key of an input is no part.
        (
            {**STACK, "port": "12 ± 0.1", "takes": ["101.5 ± 0.3", "port"]},
            {"carrier": fc.dim("9", name="carrier")},
            r"takes\[2\] = 'port': no part has this name; the parts are carrier; port is an input of this question and "
            r"no part \(did you mean to give it a line under \[parts\]\?\)",
        ),
        # A length along the tube is no diameter.
        ({**STACK, "port": "port", "takes": ["101.5 ± 0.3", "port"]}, PARTS, "port = 'port': the same part is a length "
         r"along the tube in takes, and port lies across it: did you mean another part\?"),
        ({"port": "prot"}, PARTS, r"port = 'prot': no part has this name \(did you mean 'port'\?\)"),
        ({"port": "turn"}, PARTS, "port = 'turn': this part is an angle, 10 ± 1 deg: a length above 0 is needed"),
        ({"bore": "6061-T6"}, PARTS, "bore = '6061-T6' cannot be read.*; 6061-T6 is a material"),
    ],
)  # fmt: skip
def test_a_value_that_names_something_else(change, parts, words):
    with pytest.raises(InputError, match=words):
        PortClearance.read({**PORT, **change}, parts)


def test_a_part_in_place_of_a_material():
    with pytest.raises(InputError, match=r"internal_material: .*; port is a part, 9.5 ± 0.1 mm"):
        ThreadEngagement.read({**JOINT, "internal_material": "port"}, PARTS)


def test_a_part_may_be_called_like_a_key(tmp_path):
    """A part named `port` is used by its name; the key `port` of the question may hold it, or a size of its own."""
    question = PortClearance.read({**PORT, **STACK, "port": "12 ± 0.1", "takes": ["101.5 ± 0.3", "port"]}, PARTS)
    assert question.takes[1] is PARTS["port"]
    assert question.port.nominal == 12
    path = tmp_path / "build.toml"
    path.write_text(
        'sheet = 1\n[parts]\nport = "12 ± 0.1"\n[port_clearance]\nbore = "32"\nchassis = "31.5"\nwidth = "14"\n'
        'reach = "13.5"\nport = "port"\n', encoding="utf-8",
    )  # fmt: skip
    assert main([str(path)]) == 0


def test_a_percentage_of_friction_without_its_sign_gets_both_ways_to_write_it():
    with pytest.raises(InputError, match=r"is needed: write 0.15 or '15 %' for 15 percent$"):
        fc.ask("set_screw", **{**SCREW, "friction_thread": "15"})
    with pytest.raises(InputError, match=r"of at most 1 is needed$"):
        fc.ask("set_screw", **{**SCREW, "friction_thread": "150 %"})
    asked, written = (fc.ask("set_screw", **{**SCREW, "friction_thread": text})[0] for text in ("0.15", "15 %"))
    assert asked.nominal == written.nominal


def test_a_blade_that_does_not_reach_its_socket_is_no_depth():
    found = fc.ask("blade_depth", **{**DEPTH, "takes": ["75 ± 0.2"]})[0]
    assert found.verdict == "fails"
    assert "does not reach into its socket: its seat lies 10.00 mm above the mouth" in found.answer


@pytest.mark.parametrize(
    ("question", "asked", "old", "new"),
    [
        ("port_clearance", PORT, "space", "adds"),
        ("port_clearance", PORT, "fills", "takes"),
        ("plug_length", PLUG, "room", "adds"),
        ("plug_length", PLUG, "cut", "cut_tolerance"),
    ],
)
def test_a_key_by_its_old_name_says_the_new_one(question, asked, old, new):
    with pytest.raises(InputError, match=f"^{old}: is called {new} now$"):
        fc.ask(question, **asked, **{old: "5 ± 0.1"})
    assert old not in QUESTIONS[question].inputs()
    assert set(QUESTIONS[question].renamed.values()) <= set(QUESTIONS[question].inputs())


@pytest.mark.parametrize(("question", "asked"), EVERY_QUESTION.values(), ids=EVERY_QUESTION)
def test_an_error_carries_the_input_it_is_about(question, asked):
    """In a field: nobody has to look for it in the sentence."""
    for key, value in asked.items():
        with pytest.raises(InputError) as caught:
            fc.ask(question, **{**asked, key: [*value[:1], object()] if isinstance(value, list) else object()})
        assert caught.value.key == (f"{key}[{len(value[:1]) + 1}]" if isinstance(value, list) else key)
    with pytest.raises(InputError) as caught:
        fc.ask(question, **asked, nonsense=1)
    assert caught.value.key == "nonsense"
    assert pickle.loads(pickle.dumps(caught.value)).key == "nonsense"


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"blade": "30 ± 0.1"}, "blade"),
        ({"outside": "20 ± 0.1"}, "bore"),
        ({"friction_bore": "20"}, "friction_bore"),
        ({"screw_length": "-4"}, "screw_length"),
        ({"screws": 3, "angles": ["0 deg", "120 deg"]}, "angles"),
    ],
)
def test_an_error_of_inputs_that_do_not_go_together_does_too(change, key):
    with pytest.raises(InputError) as caught:
        fc.ask("set_screw", **{**SCREW, **change})
    assert caught.value.key == key


@pytest.mark.parametrize("which", EVERY_QUESTION)
def test_what_was_read_is_read_again_as_it_is(which):
    """A plan asks a question again with all it was given, whatever the units: angles, torques and speeds among them."""
    name, inputs = EVERY_QUESTION[which]
    question = QUESTIONS[name].read({**inputs, **_PLACED.get(name, {})})
    given = {key: value for key in question.inputs() if (value := getattr(question, key)) is not None}
    again = type(question).read(given)
    assert {key: getattr(again, key) for key in given} == given


_PLACED = {"set_screw": {"screws": 3, "angles": ["0 deg", "120 deg", "4.18879 rad"]}}
