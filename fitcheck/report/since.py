"""What has changed since another table of findings: each finding before and after, in words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fitcheck.errors import InputError
from fitcheck.questions.finding import Finding
from fitcheck.report.table import COLUMNS, frame, from_csv
from fitcheck.units import unit

if TYPE_CHECKING:
    import pandas

_ABOUT = ["question", "name", "quantity"]


def read_before(path: str | Path) -> pandas.DataFrame:
    """The table of findings that `--csv` or `fitcheck.report.table.csv` wrote to a file.

    path: of the file. Raises `InputError` where it cannot be read, or is no such table.
    """
    try:
        text = Path(path).read_text(encoding="utf-8-sig")
    except (OSError, ValueError) as error:
        raise InputError(f"{path}: cannot be read: {getattr(error, 'strerror', None) or error}") from None
    needed = f"{path}: a table of findings as --csv writes it is needed"
    try:
        before = from_csv(text)
    except ValueError:  # pandas' error for what is no CSV, and a number that is none
        raise InputError(needed) from None
    if missing := [column for column in COLUMNS if column not in before.columns]:
        raise InputError(f"{needed}; it has no column {missing[0]!r}")
    return before


def changes_since(before: pandas.DataFrame, findings: Sequence[Finding]) -> list[str]:
    """What has changed, a line a finding, in the order of `findings`; what is no longer asked comes last.

    A verdict that changed comes with the worst case before and after; of the others those whose worst case or
    requirement changed as printed. before: a table of findings. findings: those of now.

    >>> import fitcheck as fc
    >>> now = fc.ask("blade_depth", adds=["40 ± 0.2"], at_least="39 mm")
    >>> then = frame(fc.ask("blade_depth", adds=["39 ± 0.2"], at_least="39 mm"))
    >>> for part in changes_since(then, now)[0].split("; "):
    ...     print(part)
    blade depth, depth of the blade: fails before, holds now
    worst case 38.80 mm to 39.20 mm before, 39.80 mm to 40.20 mm now
    """
    old, new = _by_finding(before), _by_finding(frame(findings))
    found = []
    for about, row in new.items():
        said = _title(about)
        if about not in old:
            found.append(f"{said}: not asked before, {row['verdict']} now")
            continue
        differences = _differences(old[about], row)
        if differences:
            found.append(f"{said}: {'; '.join(differences)}")
    gone = [(about, row) for about, row in old.items() if about not in new]
    return found + [f"{_title(about)}: {row['verdict']} before, not asked now" for about, row in gone]


def _by_finding(table: pandas.DataFrame) -> dict[tuple[str, ...], dict[str, Any]]:
    """The rows by what they are about; those about the same are numbered."""
    found: dict[tuple[str, ...], dict[str, Any]] = {}
    for row in table.to_dict("records"):
        about = tuple(str(row[key]) for key in _ABOUT)
        again = sum(key[:3] == about for key in found)
        found[about if not again else (*about, str(again + 1))] = row
    return found


def _title(about: tuple[str, ...]) -> str:
    question, name, quantity, *number = about
    return f"{question}{f' ({name})' if name else ''}, {quantity}{f' no. {number[0]}' if number else ''}"


def _differences(old: dict[str, Any], new: dict[str, Any]) -> list[str]:
    differences = []
    if old["verdict"] != new["verdict"]:
        differences.append(f"{old['verdict']} before, {new['verdict']} now")
    for what, keys in (("required", ("at_least", "at_most")), ("worst case", ("worst_min", "worst_max"))):
        was, now = _range(old, keys), _range(new, keys)
        if was != now:
            differences.append(f"{what} {was} before, {now} now")
    return differences


def _range(row: dict[str, Any], keys: tuple[str, str]) -> str:
    shown = unit(row["unit"]) if row["unit"] else None
    places = 2 if shown is None else shown.decimals
    ends = [float(row[key]) for key in keys]
    said = ["" if math.isnan(end) else f"{round(end, places) + 0.0:.{places}f} {row['unit']}".rstrip() for end in ends]
    if all(said):
        return " to ".join(said)
    return f"at least {said[0]}" if said[0] else f"at most {said[1]}"
