"""Limits of size of a thread, as numbers in mm and as the text its standard prints."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import numpy as np

from fitcheck import units
from fitcheck.errors import InputError, one_of
from fitcheck.stack import Dimension, dimension
from fitcheck.threads import asme_b1_1, iso965
from fitcheck.threads.definition import ISO, Thread
from fitcheck.threads.metric import read_class
from fitcheck.threads.profile import triangle_height
from fitcheck.threads.series import unified_arrays
from fitcheck.threads.standard import metric_class, unified_class

DIAMETERS = ("major", "pitch", "minor")
_KEYS = ("major_max", "major_min", "pitch_max", "pitch_min", "minor_max", "minor_min")


@dataclass(frozen=True, slots=True)
class Size:
    """Largest and least size in mm; None where the standard sets none."""

    max: float | None
    min: float | None

    @property
    def tolerance(self) -> float | None:
        return None if self.max is None or self.min is None else self.max - self.min


@dataclass(frozen=True, slots=True)
class SizedThread:
    """A thread with sizes other than its standard limits, cut for a coating or worn; `note` says which."""

    thread: Thread
    major: Size
    pitch: Size
    minor: Size
    note: str = ""

    def __str__(self) -> str:
        from fitcheck.threads.shown import sized_table

        return sized_table(self)

    __repr__ = __str__


@dataclass(frozen=True, slots=True)
class Limits:
    """The limits of size of `thread`.

    `minor` of a screw: for a metric thread its max is that of a flat root, which the mating thread must clear,
    and its min that of the rounded root of radius 0.125 P (ASME B1.13M prints the two together; `root` offers
    all conventions); for a Unified thread its max is the reference minor diameter of its own root, flat for
    UN and rounded for UNR. `allowance` is the gap between the basic size and the largest screw or least nut.
    """

    thread: Thread
    major: Size
    pitch: Size
    minor: Size
    procedure: str
    values: Mapping[str, int] = field(repr=False, compare=False)
    """The same limits as whole µm, or ten-thousandths of an inch, by the keys of `as_printed`."""

    @property
    def allowance(self) -> float:
        """Distance in mm from the basic size to the nearest limit: |es| of a screw, EI of a nut."""
        t = self.thread
        edge = self.major.max if t.external else self.major.min
        assert edge is not None
        return abs(t.nominal - edge)

    def as_printed(self) -> dict[str, str]:
        """The limits as text, in the unit and with the decimals of the standard's own table.

        Keys: major_max, major_min, pitch_max, pitch_min, minor_max, minor_min, and unr_minor_max for a
        Unified screw; a key is absent where the standard prints nothing.
        """
        if self.thread.system == ISO:
            return {key: f"{self.values[key] / 1000:.3f}" for key in _KEYS if key in self.values}
        keys = ("major_max", "major_min", "pitch_max", "pitch_min", "unr_minor_max")
        if self.thread.external:
            return {key: f"{self.values[key] / 10000:.4f}" for key in keys}
        D = self.thread.nominal / 25.4
        places = int(asme_b1_1.minor_places(round(D, 4), self.thread.tolerance_class))
        return {
            key: f"{self.values[key] / 10000:.{places if key.startswith('minor') else 4}f}"
            for key in _KEYS
            if key in self.values
        }

    def quantities(self) -> dict[str, Any]:
        """The limits of `as_printed` as pint quantities in the unit of the thread."""
        unit = units.unit(self.thread.unit)
        return {key: units.quantity(unit.to_base(float(text)), unit) for key, text in self.as_printed().items()}

    def root(self, convention: str) -> Size:
        """The minor diameter of a screw under one of the conventions in use, by its name.

        ISO metric. "flat": largest, d1 + es, the flat P/4 of the basic profile. "H/6": d2 - 2/3 H at both
        limits of d2, the root of ISO 965-3 and of the stress area. "0.125 P": least, d2 min - 0.616025 P, with
        the least root radius that ISO 965-1 allows.
        Unified. "UN": largest, flat root (reference). "UNR": largest, rounded root.
        """
        t, values = self.thread, self.values
        if not t.external:
            raise InputError(f"{t.designation} is an internal thread: roots by convention exist for external threads")
        if t.system == ISO:
            drop = 2 / 3 * float(triangle_height(t.pitch))
            assert self.pitch.min is not None
            sizes = {
                "flat": Size(values["minor_max"] / 1000, None),
                "H/6": Size(values["root_max"] / 1000, round(self.pitch.min - drop, 3)),
                "0.125 P": Size(None, values["minor_min"] / 1000),
            }
        else:
            sizes = {
                name: Size(values[key] * 254 / 1e5, None)
                for name, key in (("UN", "minor_max"), ("UNR", "unr_minor_max"))
            }
        return sizes[one_of("root convention", convention, sizes)]

    def differences(self) -> dict[str, tuple[str, str]]:
        """Where the two Unified rounding procedures differ: key -> (as the tables print, newer procedure)."""
        if self.thread.system == ISO:
            return {}
        table, worked = (self.thread.limits(procedure=one).as_printed() for one in asme_b1_1.PROCEDURES)
        return {key: (table[key], worked[key]) for key in table if table[key] != worked[key]}

    def dimension(self, which: str) -> Dimension:
        """The major, pitch or minor diameter as a dimension of a stack, uniform between its limits.

        Its nominal is the basic size. Raises `InputError` where the standard limits it on one side only.
        """
        size: Size = getattr(self, one_of("diameter", which, DIAMETERS))
        t = self.thread
        if size.max is None or size.min is None:
            side = "largest" if size.max is None else "least"
            raise InputError(f"{t.designation}: {t.standard} sets no {side} {which} diameter, so it is no dimension")
        basic = {"major": t.nominal, "pitch": t.pitch_diameter, "minor": t.minor_diameter}[which]
        return dimension(
            basic,
            plus=size.max - basic,
            minus=basic - size.min,
            name=f"{which} diameter of {t.designation}",
            unit=units.unit(t.unit),
            origin=t.standard,
        )

    def __str__(self) -> str:
        from fitcheck.threads.shown import limits_table

        return limits_table(self)

    __repr__ = __str__


@lru_cache(maxsize=4096)
def limits(thread: Thread, procedure: str = "table", hot_rolled: bool = False) -> Limits:
    """The limits of size of `thread`; `Thread.limits` is the way to ask."""
    one_of("procedure", procedure, asme_b1_1.PROCEDURES)
    if thread.system == ISO:
        if hot_rolled:
            raise InputError(f"{thread.designation}: hot_rolled holds for Unified threads of class 2A only")
        values = _metric(thread)
        scale, per = 1, 1000
    else:
        values = _unified(thread, procedure, hot_rolled)
        scale, per = 254, 100_000

    def size(which: str) -> Size:
        high, low = values.get(f"{which}_max"), values.get(f"{which}_min")
        return Size(None if high is None else high * scale / per, None if low is None else low * scale / per)

    minor = size("minor")
    if thread.rounded_root and thread.external:
        minor = Size(values["unr_minor_max"] * scale / per, None)
    return Limits(thread, size("major"), size("pitch"), minor, procedure, values)


def _metric(t: Thread) -> dict[str, int]:
    at = read_class(t.tolerance_class)
    if isinstance(at, str):
        raise InputError(f"{t.designation}: class {t.tolerance_class!r} {at}")
    kept = metric_class(at.grades, at.letter).find((t.nominal, t.pitch, ""))
    if kept is not None:
        return kept
    find = iso965.external_limits if t.external else iso965.internal_limits
    return _whole(find(t.nominal, t.pitch, at.grades, at.letter))


def _unified(t: Thread, procedure: str, hot_rolled: bool) -> dict[str, int]:
    D = round(t.nominal / 25.4, 4)
    standard = unified_class(t.tolerance_class, procedure) if t.engagement is None else None
    values = standard.find((round(D * 10_000), t.tpi, t.series)) if standard else None
    if values is None:
        LE = None if t.engagement is None else np.array([t.engagement / 25.4])
        sizes = unified_arrays(np.array([D]), np.array([t.tpi]), [t.series], LE)
        find = asme_b1_1.external_limits if t.external else asme_b1_1.internal_limits
        values = _whole(find(sizes, t.tolerance_class, procedure))
    if hot_rolled:
        if t.tolerance_class != "2A" or not ((t.series == "UNC" and D >= 0.25) or (t.series == "UN" and t.tpi == 8)):
            raise InputError(
                f"{t.designation}: ASME B1.1 gives unfinished hot-rolled material a major diameter of its own "
                "for class 2A of UNC from 1/4 in and of 8-UN only"
            )
        values["major_min"] = values["hot_rolled_min"]
    return values


def _whole(found: Mapping[str, Any]) -> dict[str, int]:
    return {key: int(np.asarray(value).item()) for key, value in found.items()}
