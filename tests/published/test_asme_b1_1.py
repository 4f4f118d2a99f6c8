"""Unified threads, cell by cell, against what is printed.

Sources, named row by row: `tests/reference/unified_limits.csv` and `unified_hotrolled.csv` (ASME B1.1 tables as
reprinted in Machinery's Handbook 27, makers' catalogues and charts) and the two worked calculations of Machinery's
Handbook 31, pages 624 to 637. Known differences: `tests/reference/thread_known_differences.csv`.
"""

import numpy as np
import pytest
from threadtables import KEYS, KNOWN, differences, rows, same_number

from fitcheck.threads import asme_b1_1, thread
from fitcheck.threads.series import unified_arrays, unified_sizes

LIMITS = rows("unified_limits.csv")


def name(row):
    return f"{row['designation']}-{row['class']}"


def test_every_printed_limit(tally):
    compared, equal, wrong = differences(LIMITS, name, lambda row, limits: limits.as_printed())
    assert wrong == KNOWN["unified"]
    assert (compared, equal) == (552, 551)
    tally("ASME B1.1", compared, len(wrong))


def test_every_printed_allowance(tally):
    cells = [(row, thread(name(row)).limits()) for row in LIMITS if row["allowance"]]
    assert len(cells) == 49
    for row, found in cells:
        assert f"{found.allowance / 25.4:.4f}" == row["allowance"]
    tally("ASME B1.1", len(cells))


def test_the_tolerance_of_a_small_minor_diameter_is_what_lies_between_its_printed_limits():
    """Under 1/4 in by the size, but for UNS; where four decimals are printed, each of them rounded."""
    small = [row for row in LIMITS if row["class"] == "2B" and len(row["minor_max"]) == len(row["minor_min"]) == 6]
    small = [row for row in small if float(row["nominal_in"]) < 0.25]
    assert len(small) >= 3
    for row in small:
        found = asme_b1_1.minor_tolerance(float(row["nominal_in"]), float(row["tpi"]), "2B")
        assert found == pytest.approx(float(row["minor_max"]) - float(row["minor_min"]), abs=1.01e-4), name(row)


def test_the_internal_minor_diameter_keeps_its_decimals():
    """The handbook pages print three decimals for 1B and 2B from #6 up and four elsewhere."""
    exact = [row for row in LIMITS if row["source"] in ("MH27a", "MH27b", "P3") and row["class"].endswith("B")]
    for row in exact:
        found = thread(name(row)).limits().as_printed()
        for key in ("minor_max", "minor_min"):
            assert not row[key] or found[key] == row[key]


def test_the_hot_rolled_column():
    for row in rows("unified_hotrolled.csv"):
        found = thread(name(row)).limits(hot_rolled=True).as_printed()
        assert found["major_min"] == row["major_min_unfinished_hot_rolled"]
    with pytest.raises(ValueError, match="class 2A of UNC"):
        thread("2 1/2-6 UN-2A").limits(hot_rolled=True)


def test_the_size_groups_are_needed():
    """With the size itself in the tolerance formula, cells of these threads come out wrong; with the group none does.

    The grouping is inferred, so this shows what it rests on. The two cells of #12-32 and 11/16-12 were not used in
    finding it.
    """
    decided = set()
    for row in LIMITS:
        size, (D, n) = row["designation"], (float(row["nominal_in"]), float(row["tpi"]))
        if asme_b1_1.based_on_diameter(D, n, row["series"]):
            continue
        sizes = unified_arrays(np.array([D]), np.array([n]), [row["series"]])
        own = asme_b1_1.Sizes(sizes.D, sizes.n, sizes.LE, sizes.D, sizes.series)
        find = asme_b1_1.external_limits if row["class"].endswith("A") else asme_b1_1.internal_limits
        grouped, alone = find(sizes, row["class"]), find(own, row["class"])
        for key in KEYS:
            if row[key] and key in grouped and grouped[key] != alone[key]:
                assert same_number(f"{int(grouped[key][0]) / 10000:.4f}", row[key])
                decided.add(size)
    assert decided == {"#12-32 UNEF", "15/16-12 UN", "2 3/8-20 UN", "5 3/4-10 UNS", "5 3/4-14 UNS", "5 3/4-16 UN"}


WORKED = [
    ("1/2-28 UNEF-2A", {"major_max": "0.4989", "major_min": "0.4924", "pitch_max": "0.4757", "pitch_min": "0.4720",
                        "unr_minor_max": "0.4564"}),
    ("1/2-28 UNEF-2B", {"minor_min": "0.461"}),
    ("19/64-36 UNS-2A", {"major_max": "0.2960", "unr_minor_max": "0.2629"}),
    ("19/64-36 UNS-2B", {"minor_min": "0.267", "minor_max": "0.273", "pitch_min": "0.2789"}),
]  # fmt: skip


@pytest.mark.parametrize(("text", "printed"), WORKED)
def test_the_newer_procedure_reproduces_its_worked_examples(text, printed):
    found = thread(text).limits(procedure="worked").as_printed()
    assert {key: found[key] for key in printed} == printed


def test_the_flat_root_of_the_worked_examples():
    for text, printed in (("1/2-28 UNEF-2A", "0.4602"), ("19/64-36 UNS-2A", "0.2659")):
        assert f"{thread(text).limits(procedure='worked').root('UN').max / 25.4:.4f}" == printed


def test_the_tolerance_of_the_worked_example():
    """Machinery's Handbook 31 prints 0.003668 for 1/2-28 UNEF class 2A.

    It prints 0.006508 for the major diameter, one unit in the last place above 0.060 P^(2/3); four decimals agree.
    """
    assert round(float(asme_b1_1.pitch_tolerance(0.5, 9 / 28, 28)), 6) == 0.003668
    assert round(0.060 * (1 / 28) ** (2 / 3), 6) == 0.006507


def test_the_two_procedures_hardly_differ():
    """Over all standard threads and classes: by two ten-thousandths, or one unit where three decimals are printed.

    Only the least minor diameter of 3B is another matter: the tables round it to three decimals and add a zero.
    """
    for one in unified_sizes().values():
        for cls in asme_b1_1.classes():
            if cls[0] == "1" and (one.series not in ("UNC", "UNF") or one.diameter < 2500):
                continue  # not tabulated
            found = thread(f"{one.size}-{one.tpi:g} {one.series}-{cls}").limits().differences()
            for key, (table, worked) in found.items():
                most = 0.0005 if (cls, key) == ("3B", "minor_min") else 0.0002 if table[-5] == "." else 0.001
                assert abs(float(table) - float(worked)) < most + 5e-5, (one, cls, key, table, worked)


def test_every_size_in_print_is_a_standard_one():
    printed = {(round(10000 * float(row["nominal_in"])), float(row["tpi"])): row["series"] for row in LIMITS}
    assert len(printed) == 50
    for key, series in printed.items():
        assert unified_sizes()[key].series == series
