"""Prevailing torque: what a self-locking thread takes before anything is clamped, and still takes as it comes off."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from fitcheck.basis import Basis
from fitcheck.errors import TableError, brief, did_you_mean
from fitcheck.mechanics.set_screws import LBF_INCH
from fitcheck.shown import Shown
from fitcheck.tables import table

_UNITS = {"N·m": 1.0, "lbf·in": LBF_INCH}


@dataclass(frozen=True, slots=True, repr=False)
class PrevailingTorque(Shown):
    """Limits of the torque that turns a self-locking thread while nothing is clamped, N·m.

    size: as it is asked for, "M4" or "#8". first_on_max: the most it may take when it is first screwed on; so much of a
    tightening torque may never reach the thread. first_off_min: the least it must take at the first removal.
    used_off_min: the least at the fifth removal (ISO), or at any (US). source: where they are printed. rests_on: its
    kind.
    """

    size: str
    first_on_max: float
    first_off_min: float
    used_off_min: float
    source: str
    rests_on: Basis


def prevailing_torque(size: str) -> PrevailingTorque:
    """The limits of prevailing torque of a size, N·m: tables/prevailing_torque.csv.

    size: "M3" to "M10", "#8" to "5/16", one of `prevailing_torque_names()`; the size alone, whatever its pitch.
    `TableError` lists the near names. They are limits of nuts; those of a patched screw were not read.

    >>> prevailing_torque("M4").first_on_max
    0.9
    """
    known = _limits()
    if not isinstance(size, str) or size.strip() not in known:
        hint = did_you_mean(size, known) if isinstance(size, str) else ""
        raise TableError(f"prevailing torque {brief(size)}: one of {', '.join(known)} is needed{hint}")
    return known[size.strip()]


def prevailing_torque_names() -> list[str]:
    """Sizes that `prevailing_torque` knows, the smallest first of each system.

    >>> prevailing_torque_names()[:3]
    ['M3', 'M4', 'M5']
    """
    return list(_limits())


@lru_cache(maxsize=1)
def _limits() -> dict[str, PrevailingTorque]:
    columns = ("first_on_max", "first_off_min", "used_off_min")
    read = table("prevailing_torque", {**dict.fromkeys(columns, float), "rests_on": Basis})
    found = {}
    for row in read.rows:
        on, off, used = (row[column] * _UNITS[row["unit"]] for column in columns)
        found[row["size"]] = PrevailingTorque(row["size"], on, off, used, row["source"], row["rests_on"])
    return found
