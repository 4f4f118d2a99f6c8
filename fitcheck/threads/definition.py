"""A thread: system, size, pitch, gender, hand and class."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from fitcheck.threads import profile

if TYPE_CHECKING:
    from fitcheck.threads.limits import Limits

ISO = "ISO metric"
UNIFIED = "Unified"


def short(value: float) -> str:
    """A size as designations write it: up to four decimals, none that say nothing."""
    return f"{value:.4f}".rstrip("0").rstrip(".")


@dataclass(frozen=True, slots=True)
class Thread:
    """A 60° screw thread of one gender. Lengths are in mm; `unit` is the one its standard prints in.

    `tolerance_class` is as in the designation (6g, 5H6H, 2A). `series` is coarse, fine or special for a
    metric thread, and UNC, UNF, UNEF, UN or UNS for a Unified one; `rounded_root` tells UNR from UN.
    `group` is the ISO length of engagement group. `engagement` is the length of engagement in mm that a
    Unified tolerance is based on, if it is not that of the series. `assumed` says what the text left out.
    """

    system: str
    size: str
    nominal: float
    pitch: float
    tpi: float
    external: bool
    left_hand: bool
    tolerance_class: str
    series: str
    starts: int = 1
    group: str = "N"
    engagement: float | None = None
    rounded_root: bool = False
    assumed: tuple[str, ...] = field(default=(), compare=False)

    @property
    def unit(self) -> str:
        """ "mm" or "in"."""
        return "mm" if self.system == ISO else "in"

    @property
    def lead(self) -> float:
        """Advance in one turn, mm."""
        return self.starts * self.pitch

    @property
    def standard(self) -> str:
        """Where the limits come from."""
        return "ISO 965-1:1998" if self.system == ISO else "ASME B1.1-1989"

    @property
    def designation(self) -> str:
        """The one canonical text of this thread; parsing it gives an equal thread."""
        hand = "-LH" if self.left_hand else ""
        if self.system == ISO:
            pitch = short(self.pitch) if self.starts == 1 else f"Ph{short(self.lead)}P{short(self.pitch)}"
            group = "" if self.group == "N" else f"-{self.group}"
            special = " special" if self.series == "special" else ""
            return f"M{self.size}x{pitch}-{self.tolerance_class}{group}{hand}{special}"
        series = self.series.replace("UN", "UNR") if self.rounded_root else self.series
        length = "" if self.engagement is None else f" LE {short(self.engagement / 25.4)}"
        return f"{self.size}-{short(self.tpi)} {series}-{self.tolerance_class}{hand}{length}"

    @property
    def pitch_diameter(self) -> float:
        """Basic pitch diameter, mm."""
        return float(profile.pitch_diameter(self.nominal, self.pitch))

    @property
    def minor_diameter(self) -> float:
        """Basic minor diameter, mm."""
        return float(profile.minor_diameter(self.nominal, self.pitch))

    @property
    def lead_angle(self) -> float:
        """Lead angle at the basic pitch diameter, in radians."""
        return float(profile.lead_angle(self.pitch_diameter, self.pitch, self.starts))

    def limits(self, *, procedure: str = "table", hot_rolled: bool = False) -> Limits:
        """The limits of size.

        procedure: for a Unified thread "table" (as the tables print) or "worked" (the newer procedure).
        hot_rolled: the larger major tolerance of unfinished hot-rolled material, class 2A of UNC and 8-UN.
        """
        from fitcheck.threads.limits import limits

        return limits(self, procedure, hot_rolled)

    def mirrored(self) -> Thread:
        """The same thread of the other hand."""
        return replace(self, left_hand=not self.left_hand)

    def __str__(self) -> str:
        return self.designation

    def __repr__(self) -> str:
        from fitcheck.threads.shown import thread_table

        return thread_table(self)
