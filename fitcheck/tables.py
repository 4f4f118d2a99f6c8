"""Readers of `tables/*.csv`, the standard values the library works from.

A table is a CSV file with comment lines on top (`# key: text`: title, source, edition, units and what else
a reader must know), then one header row, then the values as printed. A checkout reads `tables/` in place; an
installed wheel reads its own copy, `fitcheck/_tables`.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from fitcheck.basis import Basis
from fitcheck.errors import TableError

_SHIPPED = Path(__file__).with_name("_tables")
_CHECKOUT = Path(__file__).resolve().parent.parent / "tables"


@dataclass(frozen=True, slots=True)
class Table:
    """A table: its notes (title, source, edition, units) and its rows, typed by the reader."""

    name: str
    notes: Mapping[str, str]
    rows: tuple[Mapping[str, Any], ...]

    @property
    def source(self) -> str:
        return self.notes["source"]

    @property
    def rests_on(self) -> Basis:
        """What its numbers rest on where no row says it: the comment line `# rests on`, else printed."""
        return Basis(self.notes.get("rests on", Basis.PRINTED))


def folder() -> Path:
    """Where the tables are: beside the package in a checkout, inside it in a wheel."""
    return _SHIPPED if _SHIPPED.is_dir() else _CHECKOUT


def number(text: str) -> float | None:
    """A cell that holds a number or nothing."""
    return float(text) if text.strip() else None


def rests_on(text: str) -> tuple[Basis, ...]:
    """A cell that says what each part of the source of its row rests on: "printed; from memory"."""
    return tuple(Basis(part.strip()) for part in text.split(";"))


@lru_cache(maxsize=64)
def _raw(name: str) -> Table:
    path = folder() / f"{name}.csv"
    if not path.is_file():
        raise TableError(f"table {name!r}: no file {path}")
    with path.open(encoding="utf-8", newline="") as file:
        lines = file.read().splitlines()
    notes: dict[str, str] = {}
    while lines and lines[0].startswith("#"):
        key, _, text = lines.pop(0).removeprefix("#").partition(":")
        notes[key.strip()] = text.strip()
    if "source" not in notes:
        raise TableError(f"table {name!r}: the comment lines on top name no source")
    reader = csv.DictReader(lines)
    return Table(name, notes, tuple(reader))


def table(name: str, columns: Mapping[str, Callable[[str], Any]] | None = None) -> Table:
    """The table `tables/NAME.csv`; each column named in `columns` is converted by its function.

    Columns that are not named stay text. Raises `TableError` with file, row and column for a cell that does
    not convert and for a missing column.
    """
    raw = _raw(name)
    if not columns:
        return raw
    rows: list[dict[str, Any]] = []
    for index, row in enumerate(raw.rows, start=1):
        typed: dict[str, Any] = dict(row)
        for column, convert in columns.items():
            try:
                typed[column] = convert(row[column])
            except KeyError:
                raise TableError(f"table {name!r} has no column {column!r}") from None
            except ValueError as error:
                raise TableError(f"table {name!r}, row {index}, column {column!r}: {error}") from None
        rows.append(typed)
    return Table(name, raw.notes, tuple(rows))
