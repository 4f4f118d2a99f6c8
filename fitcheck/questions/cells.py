"""Cylindrical cells as dimensions, by name ("cell 18650", "cell AA"), and the usual sizes of some bought-in parts.

No print of the standards on cells was at hand: most sizes are from memory, and such a dimension says so in its name.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import lru_cache
from typing import Any

from fitcheck.basis import Basis
from fitcheck.errors import NotationError, TableError, brief, did_you_mean, name_some, one_of
from fitcheck.stack import Dimension, between
from fitcheck.tables import table

_NUMBERS = ("diameter_min", "diameter_max", "length_min", "length_max")
_USUAL = re.compile(r"\s*usual\s+(?P<name>\S+)(?:\s+(?P<which>diameter|length))?\s*", re.IGNORECASE)
_CELL = re.compile(r"\s*cell\s+(?P<name>\S.*?)(?:\s+(?P<which>diameter|length))?\s*", re.IGNORECASE)


@dataclass(frozen=True, eq=False, repr=False)
class OfCell(Dimension):
    """A size of a cell, which knows whose it is whatever it is called in a sheet."""

    cell: str = ""

    @classmethod
    def of(cls, size: Dimension, cell: str) -> OfCell:
        """The dimension `size` as one of the cell `cell`."""
        return cls(**{one.name: getattr(size, one.name) for one in fields(size)}, cell=cell)


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell: limits of its diameter and overall length in mm, and where they come from."""

    name: str
    chemistry: str
    diameter: tuple[float, float]
    length: tuple[float, float]
    source: str
    rests_on: Basis

    def size(self, which: str) -> Dimension:
        """Its "diameter" or "length" as a dimension, uniform between the limits; every call is another cell."""
        low, high = (
            self.diameter if one_of("size of a cell", which, ("diameter", "length")) == "diameter" else self.length
        )
        name = f"{which} of cell {self.name}{' (from memory)' if self.rests_on.unsourced else ''}"
        return OfCell.of(between(low, high, name=name, origin=self.source, basis=self.rests_on), self.name)


def cell(name: str) -> Cell:
    """The cell `name`, such as "18650", "LR6" or "AA"; case does not matter. `TableError` lists the nearest names."""
    found = _named().get(str(name).strip().casefold())
    if found is None:
        raise TableError(
            f"cell {brief(name)} is not known{did_you_mean(str(name), _named())}; the cells are "
            f"{name_some(cell_names())}"
        )
    return found


def cell_names() -> list[str]:
    """Names of the cells of the table, in its order."""
    return [row.name for row in _cells()]


@lru_cache(maxsize=1)
def _cells() -> tuple[Cell, ...]:
    return tuple(
        Cell(
            row["cell"],
            row["chemistry"],
            (row["diameter_min"], row["diameter_max"]),
            (row["length_min"], row["length_max"]),
            row["source"],
            row["rests_on"],
        )
        for row in table("cells", {**dict.fromkeys(_NUMBERS, float), "rests_on": Basis}).rows
    )


@lru_cache(maxsize=1)
def _named() -> Mapping[str, Cell]:
    also = [row["also"].split() for row in table("cells").rows]
    return {name.casefold(): one for one, names in zip(_cells(), also, strict=True) for name in (one.name, *names)}


def usual_size(part: str, which: str) -> Dimension:
    """The "diameter" or "length" a "cell", "port" or "speaker" usually has; common practice, no source."""
    known = {
        (row["part"], row["size"]): row
        for row in table("usual_sizes", {"low": float, "high": float, "rests_on": Basis}).rows
    }
    part, which = part.casefold(), one_of("size of a part", which, ("diameter", "length"))
    row = known.get((part, which))
    if row is None:
        hint = did_you_mean(part, {name for name, _ in known} - {part})
        listed = ", ".join(f"{name} {size}" for name, size in known)
        raise TableError(f"no usual {which} of a {brief(part)} is known{hint}; the usual sizes are {listed}")
    name = f"{which} of a usual {part} (no source)"
    return between(row["low"], row["high"], name=name, origin=row["source"], basis=row["rests_on"])


def cell_size(note: Any, where: str, which: str = "") -> Dimension | None:
    """The dimension of a note such as "cell 18650 length" or "usual port", or None if the note is of neither.

    which: the size that is meant if the note does not say. Raises `NotationError` for a cell or part that is not known,
    and where neither says which size is meant.
    """
    if not isinstance(note, str):
        return None
    of_cell = _CELL.fullmatch(note)
    match = of_cell or _USUAL.fullmatch(note)
    if match is None:
        return None
    which = (match["which"] or which).lower()
    if not which:
        raise NotationError(
            f"{where} = {brief(note)}: its size is needed too, '{brief(note.strip())[1:-1]} length' or '... diameter'"
        )
    try:
        return cell(match["name"]).size(which) if of_cell else usual_size(match["name"], which)
    except TableError as error:
        raise NotationError(f"{where} = {brief(note)}: {error}") from None
