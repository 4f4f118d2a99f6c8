"""A thread: system, size, pitch, gender, hand and class; its limits of size, in mm and as its standard prints them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

import numpy as np

from fitcheck import units
from fitcheck.basis import Basis
from fitcheck.errors import InputError, one_of
from fitcheck.shown import Shown
from fitcheck.stack import Dimension, between
from fitcheck.threads import asme_b1_1, iso965, profile
from fitcheck.threads.iso965 import read_metric_class
from fitcheck.threads.profile import triangle_height
from fitcheck.threads.series import ISO, metric_class, unified_arrays, unified_class

DIAMETERS = ("major", "pitch", "minor")


_KEYS = ("major_max", "major_min", "pitch_max", "pitch_min", "minor_max", "minor_min")


@dataclass(frozen=True, slots=True, repr=False)
class Size(Shown):
    """Largest and least size: max, min: mm; None where the standard sets none."""

    max: float | None
    min: float | None

    @property
    def tolerance(self) -> float | None:
        """Width between the two, mm; None where one of them is open."""
        return None if self.max is None or self.min is None else self.max - self.min


@dataclass(frozen=True, slots=True)
class Thread(Shown):
    """A 60° screw thread of one gender. Lengths are in mm; `unit` is the one its standard prints in.

    system: "ISO metric" or "Unified". size: as the designation writes it, "6" or "1/4". nominal: basic major diameter,
    mm. pitch: mm. tpi: number of threads per inch. external: True for a screw. left_hand: True for a left-hand thread.
    tolerance_class: as in the designation (6g, 5H6H, 2A). series: coarse, fine or special for a metric thread, and UNC,
    UNF, UNEF, UN or UNS for a Unified one. starts: number of them. group: the ISO length of engagement group.
    engagement: length of engagement, mm, that a Unified tolerance is based on, if it is not that of the series.
    rounded_root: tells UNR from UN. assumed: what the text left out, one sentence each.
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
            group = "" if self.group == "N" else f"-{self.group}"
            special = " special" if self.series == "special" else ""
            return f"{self.size_and_pitch}-{self.tolerance_class}{group}{hand}{special}"
        length = "" if self.engagement is None else f" LE {short(self.engagement / 25.4)}"
        return f"{self.size_and_pitch}-{self.tolerance_class}{hand}{length}"

    @property
    def size_and_pitch(self) -> str:
        """The designation up to its tolerance class, the hand left out: "M4x0.7", "#8-32 UNC"."""
        if self.system == ISO:
            pitch = short(self.pitch) if self.starts == 1 else f"Ph{short(self.lead)}P{short(self.pitch)}"
            return f"M{self.size}x{pitch}"
        series = self.series.replace("UN", "UNR") if self.rounded_root else self.series
        return f"{self.size}-{short(self.tpi)} {series}"

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
        """The limits of size, by `standard`.

        procedure: for a Unified thread "table" (as the tables print) or "worked" (the newer procedure).
        hot_rolled: the larger major tolerance of unfinished hot-rolled material, class 2A of UNC and 8-UN.
        Raises `InputError` for any other procedure, and for hot_rolled where the standard gives none.

        >>> import fitcheck as fc
        >>> fc.thread("M6x1-6g").limits().as_printed()["pitch_max"]
        '5.324'
        """
        return limits_of_size(self, procedure, hot_rolled)

    def mirrored(self) -> Thread:
        """The same thread of the other hand."""
        return replace(self, left_hand=not self.left_hand)

    def __str__(self) -> str:
        return self.designation

    def __repr__(self) -> str:
        return thread_table(self)


@dataclass(frozen=True, slots=True)
class Limits(Shown):
    """The limits of size of `thread`.

    major, pitch: `Size` of the diameters, mm.
    minor: `Size`; of a metric screw its max is that of a flat root, which the mating thread must clear, and its min
    that of the rounded root of radius 0.125 P (ASME B1.13M prints the two together; `root` offers all conventions); of
    a Unified screw its max is the reference minor diameter of its own root, flat for UN and rounded for UNR.
    procedure: how a Unified thread is rounded, "table" or "worked".
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

    @property
    def minor_rounding(self) -> float:
        """How far the printed minor diameter may lie from the one that it was rounded from, mm.

        ASME B1.1 rounds the bore of a nut from #6 up to 0.001 in and adds a 0 for class 3B. 0 for a metric thread,
        whose two halves are rounded alike.
        """
        t = self.thread
        if t.system == ISO:
            return 0.0
        places = 4 if t.external else int(asme_b1_1.minor_places(round(t.nominal / 25.4, 4), "2B"))
        return 25.4 * 0.5 * 10.0**-places

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

    def quantities(self, *, registry: Any = None) -> dict[str, Any]:
        """The limits of `as_printed` as pint quantities in the unit of the thread, mm or in; by the same keys.

        registry: the caller's own pint registry; that of the application if it is not given. Raises `UnitError` for
        what is none.
        """
        unit, printed = units.unit(self.thread.unit), self.as_printed().items()
        return {key: units.quantity(unit.to_base(float(text)), unit, registry) for key, text in printed}

    def root(self, convention: str) -> Size:
        """The minor diameter of a screw under one of the conventions in use, by its name.

        convention: of an ISO metric screw "flat": largest, d1 + es, the flat P/4 of the basic profile; "H/6": d2 - 2/3
        H at both limits of d2, the root of ISO 965-3 and of the stress area; "0.125 P": least, d2 min - 0.616025 P,
        with the least root radius that ISO 965-1 allows. Of a Unified screw "UN": largest, flat root (reference);
        "UNR": largest, rounded root. Raises `InputError` for any other, and for a nut.
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

        which: "major", "pitch" or "minor". Its nominal is the basic size, mm. Raises `InputError` where the standard
        limits it on one side only.
        """
        size: Size = getattr(self, one_of("diameter", which, DIAMETERS))
        t = self.thread
        if size.max is None or size.min is None:
            side = "largest" if size.max is None else "least"
            raise InputError(f"{t.designation}: {t.standard} sets no {side} {which} diameter, so it is no dimension")
        basic = {"major": t.nominal, "pitch": t.pitch_diameter, "minor": t.minor_diameter}[which]
        return between(
            size.min,
            size.max,
            basic,
            name=f"{which} diameter of {t.designation}",
            unit=units.unit(t.unit),
            origin=t.standard,
            basis=Basis.STANDARD,
        )

    def __str__(self) -> str:
        return limits_table(self)

    __repr__ = __str__


@dataclass(frozen=True, slots=True)
class SizedThread(Shown):
    """A thread with sizes other than its standard limits, cut for a coating or worn.

    thread: what it was made as. major, pitch, minor: `Size` of the diameters, mm. note: which sizes they are.
    """

    thread: Thread
    major: Size
    pitch: Size
    minor: Size
    note: str = ""
    found: Mapping[str, Dimension] = field(default_factory=dict)
    """Diameters that were measured, by which they are: with the spread of their measurement."""

    def dimension(self, which: str) -> Dimension:
        """The major, pitch or minor diameter as a dimension of a stack: as measured, else uniform between its sizes.

        which: "major", "pitch" or "minor". Raises `InputError` where it has one limit only.
        """
        one_of("diameter", which, DIAMETERS)
        if which in self.found:
            return self.found[which]
        size: Size = getattr(self, which)
        standard = self.thread.limits()
        if size == getattr(standard, which) or size.min is None or size.max is None:
            return standard.dimension(which)
        name = f"{which} diameter of {self.thread.designation}, {self.note}".rstrip(", ")
        return between(size.min, size.max, name=name, unit=units.unit(self.thread.unit), origin=self.note)

    def __str__(self) -> str:
        return sized_table(self)

    __repr__ = __str__


@lru_cache(maxsize=4096)
def limits_of_size(thread: Thread, procedure: str = "table", hot_rolled: bool = False) -> Limits:
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
    at = read_metric_class(t.tolerance_class)
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


def aligned(rows: Sequence[Sequence[str]], indent: str = "  ") -> str:
    """Rows as text, the first column to the left and the others to the right."""
    widths = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))]
    lines = []
    for row in rows:
        cells = [row[0].ljust(widths[0])] + [cell.rjust(width) for cell, width in zip(row[1:], widths[1:], strict=True)]
        lines.append((indent + "  ".join(cells)).rstrip())
    return "\n".join(lines)


def length(value: float | None, unit: str) -> str:
    """A length in mm as the standards print it."""
    if value is None:
        return "-"
    return f"{value if unit == 'mm' else value / 25.4:.{limit_places(unit)}f}"


def limit_places(unit: str) -> int:
    """Decimals of limits of size as the standards print them: four in inches ("in"), three in mm."""
    return 4 if unit == "in" else 3


def thread_table(one: Thread) -> str:
    """The heading of a thread, its basic sizes and what its text left out."""
    kind = f"{'external' if one.external else 'internal'}, {'left' if one.left_hand else 'right'}-hand"
    # A pitch such as 1/32 in needs its fifth decimal.
    pitch = f"{one.pitch:.3f}" if one.unit == "mm" else f"{one.pitch / 25.4:.5f}"
    rows = [
        ("major diameter", length(one.nominal, one.unit)),
        ("pitch diameter", length(one.pitch_diameter, one.unit)),
        ("minor diameter", length(one.minor_diameter, one.unit)),
        ("pitch", pitch),
    ]
    if one.starts > 1:
        rows.append(("lead", length(one.lead, one.unit)))
    table = aligned([("basic", one.unit), *rows])
    angle = f"lead angle {math.degrees(one.lead_angle):.2f}°"
    tpi = f", {one.tpi:g} threads per inch" if one.unit == "in" else ""
    starts = f", {one.starts} starts" if one.starts > 1 else ""
    said = "".join(f"\n  assumed: {note}" for note in one.assumed)
    return f"{one.designation}: {kind}, {one.system} {one.series}{tpi}{starts}, {angle}\n{table}{said}"


def limits_table(one: Limits) -> str:
    """The limits as printed, with the minor diameter of a Unified screw under its own name."""
    unit, printed = one.thread.unit, one.as_printed()
    rows = [
        (name, printed.get(f"{key}_max", "-"), printed.get(f"{key}_min", "-"))
        for name, key in (("major", "major"), ("pitch", "pitch"), ("minor", "minor"), ("UNR minor", "unr_minor"))
        if f"{key}_max" in printed or f"{key}_min" in printed
    ]
    table = aligned([(unit, "max", "min"), *rows])
    if "minor_max" in printed and one.thread.external:
        table += (
            "\n  minor max: flat root, which the nut must clear; min: least root radius, 0.125 P; "
            "root() has each by its name, and H/6"
        )
    procedure = "" if one.procedure == "table" else ", newer rounding procedure"
    return f"{one.thread.designation}: limits of size, {one.thread.standard}{procedure}\n{table}"


def sized_table(one: SizedThread) -> str:
    """The sizes of a thread that are not its standard limits."""
    unit = one.thread.unit
    sizes = ((which, getattr(one, which)) for which in ("major", "pitch", "minor"))
    rows = [(which, length(size.max, unit), length(size.min, unit)) for which, size in sizes]
    return f"{one.thread.designation}{f', {one.note}' if one.note else ''}\n{aligned([(unit, 'max', 'min'), *rows])}"


def short(value: float) -> str:
    """A size as designations write it: up to four decimals, none that say nothing."""
    return f"{value:.4f}".rstrip("0").rstrip(".")
