"""Sheets with the slips people make: each is told by its line, its text and what to write instead."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.errors import SheetError
from fitcheck.sheet import load
from fitcheck.sheet.locate import line_of
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


@pytest.mark.parametrize(
    ("key", "line"),
    [("takes[1]", 10), ("takes[2]", 11), ("bodies[1]", 21), ("bodies[2]", 23), ("screws[1]", 15), ("takes[9]", 9)],
)
def test_an_item_is_found_on_its_own_line(key, line):
    assert line_of(SHEET, "port_clearance" if "bodies" in key else "blade_depth", key) == line


@given(st.integers(0, len(SHEET) - 1), st.sampled_from(['"', "[", "]", "=", ",", "\n", "{", "#", " ", "é", ""]))
def test_any_one_wrong_character_gives_one_line(tmp_path_factory, at, sign):
    path = tmp_path_factory.getbasetemp() / "any.toml"
    path.write_text(SHEET[:at] + sign + SHEET[at + 1 :], encoding="utf-8")
    message = ""
    try:
        load(path)
    except SheetError as error:
        message = str(error)
    assert "\n" not in message


def test_an_error_without_a_place_is_passed_on():
    assert explain("a = 1", "too deep") == (None, "not valid TOML: too deep")
    assert explain("", "Expected a key (at line 7, column 1)") == (None, "not valid TOML: Expected a key")
