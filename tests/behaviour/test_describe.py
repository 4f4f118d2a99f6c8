"""`describe` knows whatever has a name in the library, says its numbers, and names the nearest where it does not."""

import pytest

import fitcheck as fc
from fitcheck.errors import InputError
from fitcheck.fits import limits
from fitcheck.mechanics import friction, friction_names, hand_torque_names, material, material_names, set_screw_names
from fitcheck.questions import QUESTIONS
from fitcheck.questions.cells import cell_names
from fitcheck.threads.coating import coatings


def test_without_a_name_it_lists_what_may_be_asked():
    said = fc.describe()
    assert all(
        f"{name}: " in said for name in (*QUESTIONS, "materials", "friction", "hands", "fits", "identify", "cells")
    )


@pytest.mark.parametrize("name", QUESTIONS)
def test_a_question_is_described_by_its_table_or_its_title(name):
    said = QUESTIONS[name].describe()
    assert fc.describe(name) == fc.describe(name.replace("_", " ").upper()) == said
    assert fc.describe(QUESTIONS[name].title) == said


@pytest.mark.parametrize(
    ("subject", "names"),
    [
        ("materials", material_names()),
        ("friction", friction_names()),
        ("hands", hand_torque_names()),
        ("coatings", list(coatings())),
        ("cells", cell_names()),
        ("set screws", [f"set screw {name}" for name in set_screw_names()]),
    ],
)
def test_every_name_of_a_subject_is_listed_and_described(subject, names):
    listed = fc.describe(subject)
    for name in names:
        assert f"\n  {name}: " in listed
        alone = fc.describe(name)
        assert name in alone.splitlines()[0]
        assert any(letter.isdigit() for letter in alone)


def test_an_input_is_described_for_every_question_that_has_it():
    assert fc.describe("hand torque").startswith("set_screw, hand_torque: the torque a hand puts on the key")
    assert [line.split(":")[0] for line in fc.describe("key").splitlines()] == ["set_screw, key"]
    having = [name for name, question in QUESTIONS.items() if "bore" in question.inputs()]
    lines = fc.describe("bore").splitlines()
    assert [line.split(", bore: ")[0] for line in lines] == having
    assert all(line.split(": ", 1)[1] in QUESTIONS[name].describe() for name, line in zip(having, lines, strict=True))


def test_measuring_over_wires_is_described_with_what_to_type():
    said = fc.describe("wires")
    assert "fitcheck.threads.wires(thread)" in said
    assert '>>> pitch_over_wires("M6x1-6g", "6.160 measured ± 0.004", "0.577 ± 0.0005")' in said


def test_what_is_said_is_what_the_tables_have():
    assert fc.describe("6061 t6") == repr(material("6061-T6"))
    assert f"{friction('C').low:g} to {friction('C').high:g}" in fc.describe("C")
    assert "source: VDI 2230-1 class C (printed)" in fc.describe("c")
    assert fc.describe("25 H7") == str(limits("H7", 25.0))
    assert fc.describe("25 H7/g6") == str(fc.fit("25 H7/g6"))
    assert "over 18 up to 30 mm: 0 to +0.021" in fc.describe("H7")
    assert "over 18 up to 30 mm: transition fit, hole less shaft -0.015 to +0.019 mm" in fc.describe("H7/k6")
    assert "sliding (ANSI B4.2 (1978))" in fc.describe("H7/g6")
    assert "socket 2.00 mm across flats" in fc.describe("set screw M4")
    assert "socket 0.0781 in across flats" in fc.describe("Set screw #8")
    assert "LR6" in fc.describe("AA")
    assert "outside: outside diameter of a screw" in fc.describe("identify")


def test_a_kind_of_material_lists_its_members_and_the_weakest():
    said = fc.describe("brass")
    assert "'brass, unknown' is the weakest" in said
    assert "C360 brass: tensile 400 (379 to 440)" in said
    assert fc.describe("aluminum") == fc.describe("Aluminium")


def test_a_thread_has_its_limits_and_both_halves_where_no_class_is_stated():
    assert fc.describe("M6-6g") == f"{fc.thread('M6-6g')!r}\n{fc.thread('M6-6g').limits()!r}"
    both = fc.describe("#8-32")
    assert "#8-32 UNC-2A: limits of size" in both
    assert "#8-32 UNC-2B: limits of size" in both


def test_what_is_added_is_known_too():
    fc.add_material("workshop bar", source="own pull tests", tensile=(380, 400, 420))
    assert "own pull tests" in fc.describe("workshop bar")


@pytest.mark.parametrize(
    ("name", "near"),
    [
        ("bras", "'brass'"),
        ("blade_dept", "'blade_depth'"),
        ("6061", "'6061-T6'"),
        ("set screw M5x", "'set screw M5'"),
        ("short kei", "'short key'"),
        ("H77", "nothing is called so"),
        ("plug", "'plug_length'"),
        ("heat", "'module_heat'"),
        ("torque", "'hand_torque'"),
        ("wire", "'wires'"),
        ("x" * 500, "nothing is called so"),
        (5, "a name is needed as text"),
        (None, "a name is needed as text"),
    ],
)
def test_an_unknown_name_has_one_error_with_the_nearest(name, near):
    with pytest.raises(InputError) as caught:
        fc.describe(name)
    said = str(caught.value)
    assert near in said
    assert len(said) <= 300
    assert "\n" not in said
