"""Sheets with the slips people make: each is told by its line, its text and what to write instead."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.errors import InputError, SheetError
from fitcheck.notation import dim
from fitcheck.report.page import page
from fitcheck.sheet import load
from fitcheck.sheet.places import line_of
from fitcheck.sheet.syntax import explain

SHEET = """sheet = 1
[parts]
lens = "3.0 ± 0.1"      # polycarbonate
slug = "8.0 ± 0.1"
body = { note = "30 ± 0.1", measured = "29.94 measured ± 0.02" }

[blade_depth]
adds = ["64 ± 0.2"]
takes = [
  "lens",  # from the mouth, down
  "slug",
]
at_least = "36 mm"
cover = "3 mm"
screws = ["12 ± 0.2"]

[port_clearance]
bore = "32"
chassis = "31.5"
bodies = [
  { name = "nut, brass", diameter = "14 ± 0.1" },
  # { name = "spare" },
  { name = "head", width = "14 ± 0.2", reach = "12" },
]
"""

SLIPS = {
    "no closing quote": ('"8.0 ± 0.1"\n', '"8.0 ± 0.1\n', 4, ["'slug = \"8.0 ± 0.1'", "no closing quotation mark"]),
    "a number with its unit": ('"36 mm"', "36 mm", 13, ["at_least = 36 mm", 'write "36 mm"']),
    "a bare note": ('"3.0 ± 0.1"', "3.0 ± 0.1", 3, ["lens = 3.0 ± 0.1", 'write "3.0 ± 0.1"']),
    "a decimal comma": ('"3.0 ± 0.1"', "3,0", 3, ["lens = 3,0", 'write "3.0"']),
    "a colon": ('lens = "3', 'lens: "3', 3, ["joined by '='", "lens = ..."]),
    "two words": ('slug = "8', 'brass slug = "8', 4, ["a key is one word", "brass_slug = ..."]),
    "a key twice": ('slug = "8.0 ± 0.1"', 'slug = "8.0 ± 0.1"\nlens = "4"', 5, ["lens is written twice"]),
    "a table twice": ("[port_clearance]", "[blade_depth]", 17, ["a second time", "write [[blade_depth]] both times"]),
    "half a header": ("[blade_depth]", "[blade_depth", 7, ["'[blade_depth'", "one of them is missing"]),
    "wrong table": ("[blade_depth]", "[blade_dept]", 7, ["blade_dept: unknown", "did you mean 'blade_depth'"]),
    "wrong key": ("cover =", "covers =", 14, ["[blade_depth]: covers: unknown", "did you mean 'cover'"]),
    "wrong key of a part": ("measured =", "mesured =", 5, ["[parts]: body.mesured: unknown", "note and measured"]),
    "wrong key in a list": ("reach =", "reech =", 23, ["bodies[2].reech: unknown", "did you mean 'reach'"]),
    "wrong unit": ('"36 mm"', '"36 N"', 13, ["at_least = '36 N' is a force", "length"]),
    "a list for a text": ('"36 mm"', '["36 mm"]', 13, ["at_least = ['36 mm']", "a length is needed"]),
    "a text for a list": ('["64 ± 0.2"]', '"64 ± 0.2"', 8, ["adds = '64 ± 0.2'", "a list"]),
    "misspelt part": ('"slug",', '"slag",', 11, ["takes[2] = 'slag'", "did you mean 'slug'"]),
    "a newer sheet": ("sheet = 1", "sheet = 2", 1, ["sheet = 2", "version 1", "install a newer fitcheck"]),
    "an older sheet": ("sheet = 1", "sheet = 0", 1, ["sheet = 0", "version 1", "write sheet = 1"]),
    "a version as text": ("sheet = 1", 'sheet = "1"', 1, ["sheet = '1'", "whole number, without quotation marks"]),
}


def told(tmp_path: Path, text: str) -> str:
    path = tmp_path / "slip.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(SheetError) as refused:
        load(path)
    return str(refused.value).removeprefix(str(path))


def test_without_a_slip_it_is_read(tmp_path):
    path = tmp_path / "slip.toml"
    path.write_text(SHEET, encoding="utf-8")
    assert len(load(path).questions) == 2


@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_is_told_by_line_text_and_correction(slip, tmp_path):
    right, wrong, line, words = SLIPS[slip]
    assert SHEET.count(right) == 1
    message = told(tmp_path, SHEET.replace(right, wrong))
    assert message.startswith(f", line {line}: ")
    assert "\n" not in message
    for word in words:
        assert word in message


def test_what_is_very_long_or_cannot_be_seen_is_told_in_one_short_line(tmp_path):
    for slip in (
        f'lens = "3.0 ± 0.1"\n{"x" * 500} = 1\n{"x" * 500} = 2',
        f'{"x" * 500} = "3',
        f"lens = {'9 ' * 300}",
        f"lens : {'x' * 500}",
        f"{'lens ' * 200}= 3",
        f"{'x' * 500} =",
        "lens = 3.0\xa0mm",
        'lens = "cell 1865 length"',
    ):
        message = told(tmp_path, SHEET.replace('lens = "3.0 ± 0.1"', slip))
        assert len(message) <= 300
        assert message.isprintable()


@pytest.mark.parametrize(
    ("key", "line"),
    [("takes[1]", 10), ("takes[2]", 11), ("bodies[1]", 21), ("bodies[2]", 23), ("screws[1]", 15), ("takes[9]", 9)],
)
def test_an_item_is_found_on_its_own_line(key, line):
    assert line_of(SHEET, "port_clearance" if "bodies" in key else "blade_depth", key) == line


@given(st.integers(0, len(SHEET) - 1), st.sampled_from(['"', "[", "]", "=", ",", "\n", "{", "#", " ", "é", ""]))
def test_any_one_wrong_character_gives_a_line_for_each_thing_it_breaks(tmp_path_factory, at, sign):
    path = tmp_path_factory.getbasetemp() / "any.toml"
    path.write_text(SHEET[:at] + sign + SHEET[at + 1 :], encoding="utf-8")
    try:
        load(path)
    except SheetError as error:
        # One sign can break several: "#" before a header hands its keys to the table above.
        lines = str(error).splitlines()
        assert all(line.startswith(str(path)) and len(line) <= 300 + len(str(path)) for line in lines)


INCHES = """sheet = 1
[thread_engagement]
external = "1 7/16-16 UN-2A"
internal = "1 7/16-16 UN-2B"
length = "0.30 ± 0.02 in"
external_material = "6061-T6"
internal_material = "6061-T6"
load = "300 lbf"
external_coating = { name = "film", thickness = "0.001 ± 0.0002 in" }

[set_screw]
hole = "#8-32 UNC-2B"
screw = "#8-32 UNC-2A"
outside = "1.250 ± 0.004 in"
bore = "1.000 +0.003/-0 in"
blade = "0.990 ± 0.004 in"
wall_material = "6061-T6"
screw_material = "45H"
friction_thread = "0.16 ± 0.04"
friction_point = "steel on polycarbonate"
friction_bore = 0.3
hand_torque = "5 ± 1 in·lbf"
mass = "0.8 lb"
swing = "12 rad/s"
arm = "9 in"
twist = 0

[blade_depth]
adds = ["2.125 ± 0.008 in"]
at_least = "1.10 in"
blade = "0.990 ± 0.004 in"
bore = "1.000 +0.003/-0 in"
temperature = "5 .. 104 °F"
blade_material = "polycarbonate"
socket_material = "6061-T6"

[port_clearance]
bore = "1.312 in"
chassis = "1.295 in"
bodies = [{ name = "nut", diameter = "0.55 ± 0.01 in", offset = 0, angle = "1.5 rad" }]
"""


def test_a_sheet_of_inches_is_read_with_its_units(tmp_path):
    path = tmp_path / "inches.toml"
    path.write_text(INCHES, encoding="utf-8")
    assert len(load(path).questions) == 4


@pytest.mark.parametrize(
    ("right", "wrong", "units"),
    [
        ('load = "300 lbf"', 'load = "300"', "N or lbf"),
        ('load = "300 lbf"', "load = 300", "N or lbf"),
        ('hand_torque = "5 ± 1 in·lbf"', 'hand_torque = "5 ± 1"', "N·m or in·lbf"),
        ("twist = 0", "twist = 2.5", "N·m or in·lbf"),
        ('mass = "0.8 lb"', 'mass = "0.8"', "kg or lb"),
        ('mass = "0.8 lb"', "pull = 12", "N or lbf"),
        ('temperature = "5 .. 104 °F"', 'temperature = "5 .. 104"', "°C or °F"),
        ('temperature = "5 .. 104 °F"', "temperature = 0", "°C or °F"),
        ("0.001 ± 0.0002 in", "0.001 ± 0.0002", "mm or in"),
        ("0.55 ± 0.01 in", "0.55 ± 0.01", "mm or in"),
    ],
)
def test_a_sheet_of_inches_names_the_unit_of_every_size_force_and_torque(right, wrong, units, tmp_path):
    """300 N where 300 lbf was meant is a quarter of it, and 5 N·m is nine times 5 in·lbf."""
    assert INCHES.count(right) == 1
    text = INCHES.replace(right, wrong)
    message = told(tmp_path, text)
    line = text[: text.index(wrong)].count("\n") + 1
    assert message.startswith(f", line {line}: ")
    assert f"names no unit, in a sheet that uses inches: write {units} behind it" in message


def test_an_error_without_a_place_is_passed_on():
    assert explain("a = 1", "too deep") == (None, "not valid TOML: too deep")
    assert explain("", "Expected a key (at line 7, column 1)") == (None, "not valid TOML: Expected a key")


def test_a_build_is_changed_by_the_names_of_its_sheet(tmp_path):
    path = tmp_path / "slip.toml"
    path.write_text(SHEET, encoding="utf-8")
    build = load(path)
    changed = build.change({"blade_depth.cover": "2 mm"}, slug="6.00 measured ± 0.03", lens="2.9 ± 0.1")
    assert (changed.parts["slug"].nominal, changed.parts["lens"].nominal, build.parts["slug"].nominal) == (
        6.0,
        2.9,
        8.0,
    )
    assert changed.questions[0][2].cover == 2.0
    assert changed.text.startswith(SHEET)
    assert "# changed: parts.slug = '6.00 measured ± 0.03'" in changed.text
    assert path.read_text(encoding="utf-8") == SHEET
    again = changed.change(body="31 ± 0.1")
    assert again.parts["body"].nominal == 31.0
    # A part that is measured keeps its drawing note, and drawn again, loses its measurement.
    assert build.change(body="29.9 measured ± 0.02").parts["body"].nominal == 29.9
    for place, value, said in (
        ("slag", "3", "did you mean 'slug'"),
        ("blade_depth.covers", "3", "covers: unknown.*did you mean 'cover'"),
        ("blade_dept.cover", "3", "did you mean 'blade_depth'"),
        ("blade_depth[2].cover", "3", "there is one"),
        ("blade depth", "3", "a table and a key are needed"),
    ):
        with pytest.raises(InputError, match=said):
            build.change({place if "." in place or " " in place else f"parts.{place}": value})


def test_of_a_question_that_is_asked_twice_a_change_says_which(tmp_path):
    path = tmp_path / "two.toml"
    table = '[[blade_depth]]\nadds = ["64 ± 0.2"]\ntakes = ["slug"]\nat_least = "36 mm"\n'
    path.write_text('sheet = 1\n[parts]\nslug = "8.0 ± 0.1"\n' + 2 * table, encoding="utf-8")
    build = load(path)
    changed = build.change({"blade_depth[2].at_least": "60 mm"})
    assert [str(one.verdict) for one in changed.findings()] == ["holds", "fails"]
    for place in ("blade_depth.at_least", "blade_depth[0].at_least", "blade_depth[3].at_least"):
        with pytest.raises(InputError, match=r"blade_depth\[1\] to blade_depth\[2\] are in the sheet"):
            build.change({place: "60 mm"})
    # A part that is written out as in a sheet is taken as it is.
    written = {"note": "8.0 ± 0.1", "measured": "7.9 measured ± 0.02", "title": "brass slug"}
    assert build.change(slug=written).parts["slug"].title == "brass slug"
    assert build.change(slug=written).parts["slug"].nominal == 7.9


def test_a_change_that_no_sheet_could_have_is_refused_in_one_line(tmp_path):
    path = tmp_path / "slip.toml"
    path.write_text(SHEET, encoding="utf-8")
    build = load(path)
    for value, said in (
        ("0.236 in", "beside inches the other numbers of the sheet would name no unit: a value in mm"),
        (dim("6 ± 0.1"), "a note as in a sheet is needed"),
        (None, "a note as in a sheet is needed"),
    ):
        with pytest.raises(InputError, match=said) as caught:
            build.change(slug=value)
        assert "\n" not in str(caught.value)
        assert "parts.slug" in str(caught.value)
    assert build.change(slug=6.0).parts["slug"].nominal == 6.0


def test_an_inch_sheet_is_changed_in_inches_and_in_mm(tmp_path):
    path = tmp_path / "inch.toml"
    path.write_text(
        'sheet = 1\n[parts]\nslug = "0.315 ± 0.004 in"\n[blade_depth]\nadds = ["2.5 ± 0.01 in"]\ntakes = ["slug"]\n',
        encoding="utf-8",
    )
    build = load(path)
    assert build.change(slug="0.236 ± 0.004 in").parts["slug"].nominal == pytest.approx(0.236 * 25.4)
    assert build.change(slug="6.0 ± 0.1 mm").parts["slug"].nominal == 6.0
    with pytest.raises(InputError, match="names no unit, in a sheet that uses inches"):
        build.change(slug="6.0 ± 0.1")


def test_a_part_has_a_title_for_people_and_a_name_that_can_be_used(tmp_path):
    path = tmp_path / "slip.toml"
    titled = SHEET.replace('slug = "8.0 ± 0.1"', 'slug = { note = "8.0 ± 0.1", title = "brass slug" }')
    path.write_text(titled.replace("sheet = 1", 'sheet = 1\nshoulder = "78 ± 1"'), encoding="utf-8")
    build = load(path)
    assert build.parts["slug"].called == "brass slug"
    assert build.shoulder.nominal == 78.0
    assert "brass slug" in page(build.findings(), title="wand")
    assert "'brass slug' can never be used" in told(tmp_path, SHEET.replace("slug =", '"brass slug" ='))
    assert "slug.title = 3: text is needed" in told(tmp_path, titled.replace('"brass slug"', "3"))
