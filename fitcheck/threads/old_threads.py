"""Old threads that are neither ISO metric nor Unified: known by diameter and pitch, so that a worn part is told apart.

No limits of size are held for them, and nothing else reckons with one. Source: tables/old_threads.csv, from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import NoReturn

from fitcheck.basis import Basis
from fitcheck.errors import InputError
from fitcheck.shown import Shown
from fitcheck.tables import number, table

# Depth of thread over pitch: that of the full form, rounded crests and roots taken off. BS 84 and BS 93, from memory.
_DEPTH = {55.0: 0.640327, 47.5: 0.6}


@dataclass(frozen=True, slots=True, repr=False)
class OldThread(Shown):
    """A thread of an old series, to be told apart only.

    series: BSW, BSF, G, BA or brass. size: as its series writes it. standard: which. nominal: basic major diameter, mm.
    pitch: mm. angle: between the flanks, degrees. external: True for a screw. rests_on: what its numbers rest on.
    """

    series: str
    size: str
    standard: str
    nominal: float
    pitch: float
    angle: float
    external: bool
    rests_on: Basis

    @property
    def system(self) -> str:
        """Neither ISO metric nor Unified."""
        return "old series"

    @property
    def tpi(self) -> float:
        """Threads per inch."""
        return 25.4 / self.pitch

    @property
    def minor(self) -> float:
        """Basic minor diameter of a nut, mm: the major one less twice the depth of the full form."""
        return self.nominal - 2 * _DEPTH[self.angle] * self.pitch

    @property
    def pitch_diameter(self) -> float:
        """Basic pitch diameter, mm: half way between the two."""
        return self.nominal - _DEPTH[self.angle] * self.pitch

    @property
    def designation(self) -> str:
        """Series, size and threads per inch, with "nut" for an internal one: "BSW 1/4-20", "G 1-11", "BA 4 x 0.66"."""
        fine = f" x {self.pitch:g}" if self.series == "BA" else f"-{self.tpi:g}"
        return f"{self.series} {self.size}{fine}{'' if self.external else ' nut'}"

    def limits(self) -> NoReturn:
        """Raises `InputError`: no limits of size are held for an old thread."""
        raise InputError(
            f"{self.designation}: a thread of {self.standard}, {self.angle:g}°, is known here to be told apart only: "
            f"its limits must come from the standard itself"
        )

    def __str__(self) -> str:
        return self.designation


@lru_cache(maxsize=2)
def old_threads(external: bool = True) -> tuple[OldThread, ...]:
    """Every old thread that is known here, as screws or as nuts. external: True for screws."""
    read = table("old_threads", {"diameter": float, "tpi": number, "pitch": number, "angle": float})
    return tuple(
        OldThread(
            row["series"],
            row["size"],
            row["standard"],
            row["diameter"],
            row["pitch"] if row["tpi"] is None else 25.4 / row["tpi"],
            row["angle"],
            external,
            read.rests_on,
        )
        for row in read.rows
    )
