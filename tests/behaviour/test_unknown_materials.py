"""A piece of which only the kind is known, what is printed in a printer, and materials of a sheet's own."""

import json

import pytest
from screw_inputs import SCREW

import fitcheck as fc
from fitcheck import mechanics
from fitcheck.basis import Basis
from fitcheck.errors import SheetError, TableError
from fitcheck.sheet import schema

SHEET = """
sheet = 1
[materials]
"old tube" = {{ {about} }}
[handling]
external = "M36x1.5-6g"
internal = "M36x1.5-6H"
bore = "32 ± 0.1"
outside = "40 ± 0.1"
external_material = "{material}"
internal_material = "6061-T6"
seized = "20 ± 5 N·m"
"""


def asked(tmp_path, about='yield = ["150 MPa", "180 MPa", "200 MPa"], source = "own pull test"', material="old tube"):
    path = tmp_path / "s.toml"
    path.write_text(SHEET.format(about=about, material=material), encoding="utf-8")
    return fc.load(path)


@pytest.mark.parametrize("kind", ["aluminium", "steel", "brass", "stainless"])
def test_an_unknown_material_is_as_weak_as_any_of_its_kind(kind):
    members = mechanics.materials._families()[kind]
    found = fc.material(f"{kind}, unknown")
    for which in ("tensile", "yield"):
        assert found.get(which).lower == min(one.get(which).lower for one in members)
        assert found.get(which).value == min(one.get(which).value for one in members)
    modulus = found.get("modulus")
    assert modulus.lower <= min(one.get("modulus").lower for one in members)
    assert modulus.upper >= max(one.get("modulus").upper for one in members)
    # A shear strength that one of them lacks would be that of a stronger one.
    if any(one.shear is None for one in members):
        assert found.shear is None
    assert "annealed or softer stock is weaker still" in found.assumed
    assert f"\n  {found.assumed}\n" in repr(found)


def test_other_spellings_and_the_bare_kind():
    assert fc.material("Aluminum, unknown") is fc.material("aluminium unknown")
    assert fc.material("stainless steel, unknown").name == "stainless, unknown"
    with pytest.raises(TableError, match="'aluminium, unknown' is the weakest of"):
        fc.material("aluminum")


def test_a_finding_says_that_the_weakest_was_taken(tmp_path):
    unknown, known = (asked(tmp_path, material=name).findings()[0] for name in ("aluminium, unknown", "6061-T6"))
    assert any("taken as the weakest of" in said for said in unknown.assumptions)
    assert not any("taken as the weakest of" in said for said in known.assumptions)
    assert unknown.nominal < known.nominal


@pytest.mark.parametrize("name", ["PLA", "PETG", "ASA", "PA12"])
def test_what_is_printed_is_known_from_memory_and_weak_across_its_layers(name):
    found = fc.material(name)
    assert found.name == f"printed {name}"
    assert not found.metal
    assert found.get("tensile").weakest.unsourced
    assert found.get("tensile").lower < 0.85 * found.get("tensile").value
    assert Basis.MEMORY in found.get("expansion").rests_on


def test_a_sheet_has_materials_of_its_own_and_keeps_them_to_itself(tmp_path):
    build = asked(tmp_path)
    (finding,) = build.findings()
    assert "own pull test" in " ".join([*finding.sources, *(one.origin for one in finding.sizes)])
    with pytest.raises(TableError, match="is not known"):
        fc.material("old tube")
    inch = asked(tmp_path, 'yield = ["21.76 ksi", "26.11 ksi", "29.01 ksi"], source = "own pull test"')
    assert inch.findings()[0].nominal == pytest.approx(finding.nominal, rel=1e-3)


@pytest.mark.parametrize(
    ("about", "words"),
    [
        ('yield = "180 MPa"', "old tube.source: missing"),
        ('yield = 180, source = "a"', "a text with its unit, '180 MPa'"),
        ('yield = "180 mm", source = "a"', "is a length"),
        ('yeild = "180 MPa", source = "a"', "did you mean 'yield'"),
        ('yield = ["1 MPa", "2 MPa"], source = "a"', "[lower, value, upper]"),
        ('yield = ["3 MPa", "2 MPa", "4 MPa"], source = "a"', "lower <= value <= upper"),
        ('source = "a"', "no property is given"),
        ('yield = "180 MPa", source = "a", metal = "yes"', "true or false"),
    ],
)
def test_a_material_that_cannot_be_used_is_refused_in_one_line(tmp_path, about, words):
    with pytest.raises(SheetError) as caught:
        asked(tmp_path, about)
    assert words in str(caught.value)
    assert "line 4" in str(caught.value)
    assert len(str(caught.value).splitlines()) == 1


def test_a_name_of_the_table_is_not_taken_over(tmp_path):
    path = tmp_path / "s.toml"
    text = SHEET.format(about='yield = "1 MPa", source = "a"', material="6061-T6").replace('"old tube"', '"6061-T6"')
    path.write_text(text, encoding="utf-8")
    with pytest.raises(SheetError, match="is a material of the table"):
        fc.load(path)


def test_the_schema_knows_the_table():
    text = json.dumps(schema())
    assert '"materials"' in text
    assert "where the numbers come from" in text


def test_a_screw_is_of_a_class_and_a_kind_in_other_words_is_found():
    with pytest.raises(TableError, match=r"'steel, unknown' is the weakest of .*a screw has a class, such as '45H'"):
        fc.ask("set_screw", **{**SCREW, "screw_material": "alloy steel"})
    with pytest.raises(TableError, match=r"'brass, unknown' is the weakest of [^;]*$"):
        fc.ask("set_screw", **{**SCREW, "wall_material": "hard brass rod"})
