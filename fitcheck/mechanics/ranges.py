"""Friction classes of threads and points, and usual torques of the hand: ranges with their sources."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from fitcheck.basis import Basis
from fitcheck.errors import TableError, brief, did_you_mean
from fitcheck.shown import Shown
from fitcheck.tables import table


@dataclass(frozen=True, slots=True, repr=False)
class Range(Shown):
    """A number that is known as a range.

    name: as it is asked for. low, middle, high: the number, in `unit`, "N·m" or none of friction. unit: as the table
    has it. meaning: what it stands for. source: where it is printed. rests_on: its kind.
    how: how a hand puts such a torque on a screw, in words; "" for other ranges.
    """

    name: str
    low: float
    middle: float
    high: float
    unit: str
    meaning: str
    source: str
    rests_on: Basis
    how: str = ""


def friction(name: str) -> Range:
    """The friction coefficient `name` of `tables/friction.csv`, for example "C" or "steel on aluminium".

    A class of VDI 2230 by its letter, a pair of materials in a thread, or a pair under the point. `TableError`
    lists the near names.

    >>> friction("C").low, friction("C").high
    (0.14, 0.24)
    """
    return find_range(name, "friction", "friction")


def hand_torque(name: str) -> Range:
    """The usual torque of a hand, N·m, for example "fingers" or "full pull": tables/hand_torque.csv.

    name: one of `hand_torque_names()`; `TableError` lists the near names.

    >>> hand_torque("fingers").low, hand_torque("fingers").high
    (0.3, 0.5)
    """
    return find_range(name, "hand_torque", "hand torque")


def clamp_kept(name: str) -> Range:
    """The part of its clamp load that a screw keeps in a blade after 1,000 h, a ratio: tables/clamp_kept.csv.

    name: one of `clamp_kept_names()`; `TableError` lists the near names.

    >>> clamp_kept("metal").low
    1.0
    """
    return find_range(name, "clamp_kept", "clamp kept")


def clamp_kept_names() -> list[str]:
    """Names that `clamp_kept` knows.

    >>> clamp_kept_names()
    ['polycarbonate', 'plastic', 'metal']
    """
    return list(_ranges("clamp_kept"))


def friction_names() -> list[str]:
    """Names that `friction` knows.

    >>> friction_names()[:5]
    ['A', 'B', 'C', 'D', 'E']
    """
    return list(_ranges("friction"))


def hand_torque_names() -> list[str]:
    """Names that `hand_torque` knows, the lightest first.

    >>> hand_torque_names()[:2]
    ['finger driver', 'fingers']
    """
    return list(_ranges("hand_torque"))


def range_names(table_name: str) -> list[str]:
    """The names of a table of ranges. table_name: that of its file in tables."""
    return list(_ranges(table_name))


def find_range(name: str, table_name: str, what: str) -> Range:
    """The range `name` of a table of ranges. what: the word for it in an error. `TableError` lists the near names."""
    known = _ranges(table_name)
    folded = {known_name.casefold(): known_name for known_name in known}
    if not isinstance(name, str) or name.strip().casefold() not in folded:
        listed = ", ".join(repr(known_name) for known_name in known)
        hint = did_you_mean(name, known) if isinstance(name, str) else ""
        raise TableError(f"{what} {brief(name)}: one of {listed} is needed{hint}")
    return known[folded[name.strip().casefold()]]


@lru_cache(maxsize=8)
def _ranges(table_name: str) -> dict[str, Range]:
    read = table(table_name, {"low": float, "middle": float, "high": float, "rests_on": Basis})
    unit = read.notes.get("units", "")
    return {
        row["name"]: Range(
            row["name"],
            row["low"],
            row["middle"],
            row["high"],
            unit,
            row["meaning"],
            row["source"],
            row["rests_on"],
            row.get("how", ""),
        )
        for row in read.rows
    }
