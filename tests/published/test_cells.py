"""Sizes of cells against what IEC 60086-2 and IEC 61960-3 say of them.

IEC 60086-2 prints greatest diameter and height; the maxima below are from memory, written down apart from the table.
IEC 60086-1 names round cells by those maxima: CR17345 is at most 17 mm across and 34.5 mm high. Trade names of
lithium-ion cells have the diameter in mm and the length in tenths of a mm.
"""

import pytest

from fitcheck.bench.cells import CellSize, cell, cell_names, cell_size
from fitcheck.errors import InputError
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
    assert "IEC 60086-2" in found.source


@pytest.mark.parametrize("name", ["CR17345", "CR15H270"])
def test_designation_of_lithium_primary_cells_gives_their_maxima(name):
    """CR 17 345: 17 mm, 34.5 mm. The letter H marks a diameter above the whole number of mm."""
    found, digits = cell(name), name.removeprefix("CR")
    across, height = int(digits[:2]), int(digits[-3:]) / 10
    assert found.length[1] == height
    assert across <= found.diameter[1] < across + 1


@pytest.mark.parametrize("name", [n for n in cell_names() if n.isdigit()])
def test_trade_name_of_a_lithium_ion_cell_lies_in_its_zone(name):
    found = cell(name)
    assert found.diameter[0] <= int(name[:2]) <= found.diameter[1]
    assert found.length[0] <= int(name[2:]) / 10 <= found.length[1]
    # IEC 61960-3 rounds the greatest sizes up to whole mm in its designation, so they exceed the trade name.
    assert found.diameter[1] - int(name[:2]) <= 1
    assert "common practice, no source" in found.source


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
            assert 0 < high - low <= 3.0
        assert "from memory" in found.source
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
