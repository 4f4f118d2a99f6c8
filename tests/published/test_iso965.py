"""ISO metric threads, cell by cell, against what is printed.

Sources, named row by row in the files: `tests/reference/iso_tolerances.csv` (ISO 965-1 as reprinted in Machinery's
Handbook 27 and 31, BS 3643, a tap maker's chart, a Polish textbook; cells marked "memory" were not seen in print) and
`tests/reference/iso_limits.csv` (limits of size from ten reprints). What the library does not reproduce stands in
`tests/reference/thread_known_differences.csv` with its evidence, and nothing else may differ.
"""

import pytest
from threadtables import KNOWN, differences, rows

from fitcheck.threads import iso965, thread

TOLERANCES = rows("iso_tolerances.csv")
VALUE = "value_um (mm for lN)"
LIMITS = rows("iso_limits.csv")


def tolerance(row):
    quantity, grade, P = row["quantity"], row["grade_or_position"], float(row["pitch_mm"])
    d = float(row["d_upto"] or "nan")
    if quantity in ("Td", "TD1"):
        return int(iso965.crest_tolerance(P, int(grade), external=quantity == "Td"))
    if quantity in ("Td2", "TD2"):
        return int(iso965.pitch_tolerance(d, P, int(grade), external=quantity == "Td2"))
    if quantity.startswith("lN"):
        return iso965.engagement_group_N(d, P)[quantity == "lN_max"]
    return int(iso965.deviation(P, "d PN" if quantity == "es_d_PN" else grade))


@pytest.mark.parametrize("printed", [True, False], ids=["printed", "from memory"])
def test_every_tolerance_cell(printed, tally):
    cells = [row for row in TOLERANCES if (row["source"] != "memory") is printed]
    assert len(cells) == (580 if printed else 454)
    wrong = [(row, tolerance(row)) for row in cells if f"{tolerance(row):g}" != row[VALUE]]
    assert not wrong
    if printed:
        tally("ISO 965-1, tolerances and deviations", len(cells))


def root(row, limits):
    """Limits as the row's source prints them: the fastener data sheet (FD) gives the H/6 root as minor_max."""
    found = limits.as_printed()
    if row["source"] == "FD":
        found["minor_max"] = f"{limits.root('H/6').max:.3f}"
    return found


def test_every_printed_limit(tally):
    compared, equal, wrong = differences(LIMITS, lambda row: f"{row['designation']}-{row['class']}", root)
    assert wrong == KNOWN["iso"]
    assert (compared, equal) == (590, 578)
    tally("ISO 965-1, limits of size", compared, len(wrong))


def test_the_limits_of_size_come_out_as_numbers_too():
    for row in LIMITS:
        found = thread(f"{row['designation']}-{row['class']}").limits()
        for key, text in found.as_printed().items():
            diameter, end = key.split("_")
            assert getattr(getattr(found, diameter), end) == pytest.approx(float(text), abs=1e-12)


@pytest.mark.parametrize(
    ("quantity", "P", "grade", "formula_says"),
    [("TD1", 0.25, 6, 75), ("TD1", 0.5, 6, 132), ("TD1", 2.5, 6, 425), ("Td", 4, 6, 450)],
)
def test_an_exception_is_one(quantity, P, grade, formula_says):
    """The tabulated departures really depart: the formula with R40 rounding gives the other number."""
    table = int(iso965.crest_tolerance(P, grade, external=quantity == "Td"))
    assert table != formula_says
    nearby = int(iso965.crest_tolerance(P + 1e-6, grade, external=quantity == "Td"))
    assert nearby == formula_says


def test_what_stands_in_no_table_is_said():
    assert thread("M6x1-6g").assumed == ("length of engagement of group N (3 mm to 9 mm)",)
    assert any("stands in no table" in note for note in thread("M1.2-6H").assumed)
    assert any("unconfirmed" in note for note in thread("M10-6a").assumed)


def test_every_tabulated_cell_is_known_to_be_tabulated():
    for row in TOLERANCES:
        if row["quantity"] in ("Td2", "TD2"):
            external = row["quantity"] == "Td2"
            grades = (int(row["grade_or_position"]), 4)
            d, P = float(row["d_upto"]), float(row["pitch_mm"])
            assert iso965.untabulated(d, P, grades, "h" if external else "H") == ()
