"""What the tests of the thread tables share: reading the reference files, comparing cells as printed text.

Run as a program it reports the comparison: cells compared, cells equal, and each known difference with its evidence.
"""

import csv
from pathlib import Path

from fitcheck.threads import thread

REFERENCE = Path(__file__).parents[1] / "reference"
KEYS = ("major_max", "major_min", "pitch_max", "pitch_min", "unr_minor_max", "minor_max", "minor_min")


def rows(name):
    lines = (REFERENCE / name).read_text(encoding="utf-8").splitlines()
    while lines[0].startswith("# "):
        del lines[0]
    return list(csv.DictReader(lines))


def same_number(ours, printed):
    """Equal as text; some sources drop the zero before the point or zeros at the end, or add zeros."""
    shown = "0" + printed if printed.startswith(".") else printed
    return ours == shown or ours.rstrip("0") == shown.rstrip("0")


def differences(table, designation, printed_as):
    """(cells compared, cells equal, the unequal ones) of a table of limits."""
    compared, wrong = 0, []
    for row in table:
        found = printed_as(row, thread(designation(row)).limits())
        for key in KEYS:
            if row.get(key):
                compared += 1
                if not same_number(found.get(key, ""), row[key]):
                    wrong.append((row["source"], row["designation"], row["class"], key, row[key], found.get(key)))
    return compared, compared - len(wrong), sorted(wrong)


_ALL = sorted(tuple(row[k] for k in ("source", "designation", "class", "key", "printed", "computed"))
              for row in rows("thread_known_differences.csv"))  # fmt: skip
KNOWN = {
    "iso": [row for row in _ALL if row[1].startswith("M")],
    "unified": [row for row in _ALL if not row[1].startswith("M")],
}


def main():
    from test_asme_b1_1 import LIMITS as UNIFIED
    from test_asme_b1_1 import name
    from test_iso965 import LIMITS as ISO
    from test_iso965 import TOLERANCES, VALUE, root, tolerance

    equal = sum(f"{tolerance(row):g}" == row[VALUE] for row in TOLERANCES)
    print(f"ISO 965-1 tolerances, deviations and lengths: {len(TOLERANCES)} cells compared, {equal} equal")
    iso = differences(ISO, lambda row: f"{row['designation']}-{row['class']}", root)
    unified = differences(UNIFIED, name, lambda row, limits: limits.as_printed())
    print(f"ISO metric limits of size: {iso[0]} cells compared, {iso[1]} equal")
    print(f"Unified limits of size: {unified[0]} cells compared, {unified[1]} equal")
    for row in rows("thread_known_differences.csv"):
        where = f"{row['source']} {row['designation']}-{row['class']} {row['key']}"
        print(f"  {row['kind']}: {where} printed {row['printed']}, computed {row['computed']}: {row['evidence']}")
    found, known = iso[2] + unified[2], KNOWN["iso"] + KNOWN["unified"]
    print("every difference is a known one" if found == known else f"UNKNOWN DIFFERENCES: {set(found) ^ set(known)}")


if __name__ == "__main__":
    main()
