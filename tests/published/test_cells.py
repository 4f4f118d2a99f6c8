"""Sizes of cells against what the IEC standards on cells say of them, from memory: no print of them was at hand.

IEC 60086-2, specification sheets: greatest diameter and height of primary cells; the maxima below are written apart
from the table. IEC 60086-1, annex C, names other round cells by their greatest sizes: the diameter in mm, a letter for
its tenths (B is 0, C 1, D 2, ..., H 6, J 7, K 8, L 9), and the height in tenths of a mm. IEC 61960-3, 5.1, names a
lithium-ion cell by its greatest diameter and height, each rounded up to whole mm; its own example is ICR19/66. Trade
names of lithium-ion cells have the nominal diameter in mm and the nominal length in tenths of a mm.
"""

import math
import re

import pytest

from fitcheck.basis import Basis
from fitcheck.errors import InputError
from fitcheck.questions import PortClearance
from fitcheck.questions.cells import cell, cell_names, cell_size, usual_size
from fitcheck.questions.named import CellSize
from fitcheck.tables import table

MAXIMA = {
    "LR6": (14.5, 50.5),
    "LR03": (10.5, 44.5),
    "LR14": (26.2, 50.0),
    "LR20": (34.2, 61.5),
    "LR1": (12.0, 30.2),
    "LR8D425": (8.3, 42.5),
}
"""IEC 60086-2, from memory."""


@pytest.mark.parametrize("name", MAXIMA)
def test_greatest_sizes_of_primary_cells(name):
    found = cell(name)
    assert (found.diameter[1], found.length[1]) == MAXIMA[name]
    assert "IEC 60086-2, specification sheet" in found.source


LETTERS = "BCDEFGHJKL"
"""Of the tenths of a diameter, 0 to 9. IEC 60086-1, annex C, from memory."""

KNOWN_DIFFERENCES = {
    "LR8D425": "the rule gives 8.2 mm, the sheet is remembered with 8.3 mm; the larger is the safe one",
}
"""Names whose code and remembered greatest diameter disagree."""


def coded_maxima(code):
    """Greatest diameter and height that a size code such as "17345" or "15H270" stands for."""
    across, letter, height = re.fullmatch(r"(\d\d?)([B-L]?)(\d{3})", code).groups()
    return int(across) + (LETTERS.index(letter) / 10 if letter else 0.0), int(height) / 10


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("CR17345", "17345"),
        ("CR15H270", "15H270"),
        ("LR8D425", "8D425"),
        ("LR03", "10G445"),  # FR10G445
    ],
)
def test_the_size_code_of_a_primary_cell_gives_its_maxima(name, code, tally):
    found, (across, height) = cell(name), coded_maxima(code)
    assert found.length[1] == height
    if name in KNOWN_DIFFERENCES:
        assert found.diameter[1] == pytest.approx(across + 0.1)
    else:
        assert found.diameter[1] == pytest.approx(across)
    tally("IEC 60086-1, size codes of cells", 2, int(name in KNOWN_DIFFERENCES), how="as remembered")


def test_the_code_of_a_recommended_diameter_leaves_its_tenths_out():
    """FR14505 is 14.5 mm across and 50.5 mm high: 14 is the code of the recommended diameter 14.5 mm."""
    assert cell("FR14505") is cell("LR6")
    assert cell("FR14505").length[1] == 50.5
    assert int(cell("FR14505").diameter[1]) == 14


@pytest.mark.parametrize("name", [n for n in cell_names() if n.isdigit()])
def test_trade_name_of_a_lithium_ion_cell_lies_in_its_zone(name):
    found = cell(name)
    assert found.diameter[0] <= int(name[:2]) <= found.diameter[1]
    assert found.length[0] <= int(name[2:]) / 10 <= found.length[1]
    assert "common practice, no source" in found.source


@pytest.mark.parametrize(
    "row", [r for r in table("cells").rows if r["chemistry"] == "lithium-ion"], ids=lambda r: r["cell"]
)
def test_greatest_sizes_of_a_lithium_ion_cell_rounded_up_are_its_name_in_iec_61960_3(row):
    found = cell(row["cell"])
    assert row["iec_size"] == f"{math.ceil(found.diameter[1])}/{math.ceil(found.length[1])}"
    assert f"IEC 61960-3, 5.1 (from memory) names it {row['iec_size']}" in found.source


def test_the_example_of_iec_61960_3_is_the_commonest_cell():
    """IEC 61960-3, 5.1, from memory: ICR19/66 is over 18 to 19 mm across and over 65 to 66 mm high."""
    found = cell("18650")
    assert 18 < found.diameter[1] <= 19
    assert 65 < found.length[1] <= 66


@pytest.mark.parametrize("name", cell_names())
def test_every_source_names_standard_clause_and_memory(name):
    source = cell(name).source
    primary = r"IEC 60086-2, specification sheet of \w+;.*(from memory|as printed in Linden's Handbook)"
    assert re.search(rf"{primary}|IEC 61960-3, 5\.1 \(from memory\)", source)


# Linden's Handbook of Batteries, table 4.9a, p. 4.11: least and greatest diameter, least and greatest height, mm.
LINDEN = {
    "LR6": (13.5, 14.5, 49.2, 50.5),
    "LR03": (9.5, 10.5, 43.3, 44.5),
    "LR14": (24.9, 26.2, 48.6, 50.0),
    "LR20": (32.3, 34.2, 59.5, 61.5),
    "LR1": (10.9, 12.0, 29.1, 30.2),
}


@pytest.mark.parametrize("name", LINDEN)
def test_primary_cells_as_printed(name, tally):
    found = cell(name)
    assert (*found.diameter, *found.length) == LINDEN[name]
    assert found.rests_on is Basis.PRINTED
    assert "memory" not in found.size("length").name
    tally("Linden's Handbook of Batteries, primary cells", 4)


@pytest.mark.parametrize("name", ["14500", "16340", "18650", "21700", "26650"])
def test_a_protected_cell_is_longer_and_thicker(name):
    """As a seller prints it (batteries18650.com): 2.5 to 3 mm longer and up to 0.5 mm wider than the bare cell."""
    bare, protected = cell(name), cell(f"{name} protected")
    assert protected.length[0] == pytest.approx(bare.length[0] + 2.5)
    assert protected.length[1] >= bare.length[1] + 3.0
    assert protected.diameter[1] == pytest.approx(bare.diameter[1] + 0.5)


def test_a_printed_18650_lies_in_its_zone():
    """battsysbattery.com, 18650 in its jacket: 18.0 ± 0.2 mm across, 65.0 ± 0.5 mm long."""
    found = cell("18650")
    assert found.diameter[0] <= 17.8
    assert found.diameter[1] >= 18.2
    assert found.length[0] <= 64.5
    assert found.length[1] >= 65.5


@pytest.mark.parametrize(
    ("part", "which", "size"),
    [("cell", "length", 65), ("port", "diameter", 12), ("speaker", "diameter", 20)],
)
def test_usual_sizes(part, which, size):
    """Common practice, no source: cells are 65 mm long, ports 12 mm, speakers 20 mm across."""
    found = usual_size(part, which)
    assert found.nominal == size
    assert (found.lower, found.upper) == (size - 0.5, size + 0.5)
    assert found.origin.startswith("common practice, no source")
    assert "no source" in found.name
    assert cell_size(f"usual {part} {which}", "size").nominal == size


def test_the_usual_cell_is_an_18650():
    """A bore sketched for the usual cell must take the largest 18650 of the table of cells."""
    found = usual_size("cell", "diameter")
    assert (found.lower, found.upper) == cell("18650").diameter


def test_usual_sizes_are_bodies_and_parts_and_what_is_not_known_is_refused():
    bodies = [
        {"name": "port", "diameter": "usual port", "offset": "8 ± 0.1"},
        {"name": "b", "diameter": "usual speaker"},
    ]
    question = PortClearance.read({"bore": "32", "chassis": "31.5", "bodies": bodies})
    assert [body.sizes["diameter"].nominal for body in question.bodies] == [12, 20]
    with pytest.raises(InputError, match=r"a = 'usual spaeker': no usual diameter .*did you mean 'speaker'"):
        cell_size("usual spaeker", "a", "diameter")
    with pytest.raises(
        InputError, match="no usual length of a 'port' is known; the usual sizes are cell diameter, cell le"
    ):
        cell_size("usual port length", "a")
    with pytest.raises(InputError, match="its size is needed too, 'usual port length' or"):
        cell_size("usual port", "a")


def test_a_finding_that_uses_a_cell_says_that_its_size_is_from_memory():
    asked = {"bore": "32", "chassis": "31.5", "width": "10", "reach": "10", "adds": ["118 ± 0.3"]}
    cell_in = {"cell": "cell 18650", "cell_bore": "19.2 ± 0.1"}
    found = PortClearance.read({**asked, "takes": ["cell 18650", "40 ± 0.3"], **cell_in}).findings()
    using = [one for one in found if any("cell 18650" in d.name for d in one.drivers)]
    assert len(using) == 2
    for one in using:
        assert "of cell 18650 (from memory)" in " ".join(one.assumptions)
        assert "of cell 18650 (from memory)" in str(one)


def test_common_practice_cells_are_18_by_65():
    """Common practice, no source: cells are 18 x 65 mm."""
    found = cell("18650")
    assert found.diameter[0] == pytest.approx(18, abs=0.6)
    assert sum(found.length) / 2 == pytest.approx(65, abs=0.5)
    assert cell("18650 protected").length[0] > found.length[1]


def test_every_row_is_a_zone_with_a_source():
    rows = table("cells").rows
    assert len(rows) == len(cell_names()) == len(set(cell_names()))
    for name in cell_names():
        found = cell(name)
        for low, high in (found.diameter, found.length):
            assert 0 < high - low <= 5.0
        assert "from memory" in found.source or found.rests_on is Basis.PRINTED
        assert found.length[0] > found.diameter[1]


def test_a_cell_is_found_by_its_other_names_and_is_a_dimension():
    assert cell("aa") is cell("LR6") is cell("R6")
    assert cell("CR123A") is cell("CR17345")
    size = CellSize("length").read("cell AAA", "fills[1]", {})
    assert (size.lower, size.upper) == pytest.approx((43.3, 44.5))
    assert size.name == "length of cell LR03"
    assert CellSize("length").read("65 ± 0.3", "fills[1]", {}).nominal == 65
    with pytest.raises(InputError, match=r"fills\[1\] = 'cell 1865O': .*did you mean '18650"):
        CellSize("length").read("cell 1865O", "fills[1]", {})


def test_a_note_may_say_which_size_is_meant():
    assert cell_size("cell 18650 protected length", "cell").nominal == pytest.approx(68.5)
    assert cell_size("Cell AA Diameter", "cell").nominal == pytest.approx(14.0)
    assert CellSize("diameter").read("cell AA length", "cell", {}).nominal == pytest.approx(49.85)
    assert cell_size("65 ± 0.3", "cell") is None
    assert cell_size(65.0, "cell") is None
    with pytest.raises(InputError, match="cell = 'cell 18650': its size is needed too"):
        cell_size("cell 18650", "cell")
