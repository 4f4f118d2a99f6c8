"""In a sheet that uses inches a forgotten unit is seen, however the note is written."""

import pytest

import fitcheck as fc
from fitcheck.errors import SheetError
from fitcheck.stack import spread_names

SHEET = """sheet = 1
[parts]
tube = "{tube}"
slug = "{slug}"
[blade_depth]
adds = ["tube"]
takes = ["slug"]
at_least = "{least}"
"""
NAMES = (
    *sorted({*spread_names.NAMES} - {"beta", "student t"}),
    "normal 2 sigma",
    "truncated normal 2 sigma",
    "trapezoidal 0.5",
    "student t 4",
    "beta 2 3",
    "student t 4",
)
BARE = [
    "0.560",
    "0.560 ± 0.010",
    "0.560 measured ± 0.010",
    "0.560 +0.01/−0.01",
    "0.560 –0.01",
    "0.55 .. 0.57",
    "0.55 to 0.57",
    "0.56 +/- 0.01",
]
INCHES = [
    "1.500 in",
    '1.500"',
    "1 1/2 in",
    "1500 thou",
    "1500 ± 2 thou",
    "1.500 measured ± 0.001 in",
    "1.500 +0.001/−0.002 in",
    "0.125 ft",
    "1.500 in ± 0.010, arcsine",
    "1.500 inch",
]


def load(tmp_path, tube, slug, least="0.9 in"):
    path = tmp_path / "wand.toml"
    path.write_text(SHEET.format(tube=tube.replace('"', '\\"'), slug=slug, least=least), encoding="utf-8")
    return fc.load(path)


@pytest.mark.parametrize("name", NAMES)
def test_a_note_reads_every_name_of_a_spread(name):
    """The recipe of DEVELOPERS.md: a class, and its name in one place."""
    for note in (f"10 ± 1, {name}", f"10 ± 1 {name}", f"10 ± 1 ({name})", f"10 ± 1 mm, {name}"):
        assert fc.dim(note).spread == spread_names.named_spread(name)


@pytest.mark.parametrize("name", ["", *(f", {name}" for name in NAMES), " (normal)"])
@pytest.mark.parametrize("note", BARE)
def test_a_note_without_a_unit_is_refused(tmp_path, note, name):
    with pytest.raises(SheetError, match=r"slug = .* names no unit, in a sheet that uses inches"):
        load(tmp_path, "1.500 in", note + name)


@pytest.mark.parametrize("tube", INCHES)
def test_inches_are_seen_in_every_spelling(tmp_path, tube):
    with pytest.raises(SheetError, match=r"slug = .* names no unit"):
        load(tmp_path, tube, "0.560 ± 0.010")
    (finding,) = load(tmp_path, tube, "0.560 ± 0.010 in").findings()
    assert finding.nominal / 25.4 == pytest.approx(0.940)


@pytest.mark.parametrize("tube", ["38.1", "38.1 mm", "3.81 cm", "38.1 ± 0.1, arcsine"])
def test_a_metric_sheet_may_leave_the_unit_out(tmp_path, tube):
    (finding,) = load(tmp_path, tube, "14.2 ± 0.1", least="20 mm").findings()
    assert finding.nominal == pytest.approx(23.9)
