"""Threads, limits and pairs as small aligned tables, in their own unit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fitcheck.threads.coatings import Coated
    from fitcheck.threads.definition import Thread
    from fitcheck.threads.limits import Limits, SizedThread
    from fitcheck.threads.pairs import Gap, Pair


def aligned(rows: Sequence[Sequence[str]], indent: str = "  ") -> str:
    """Rows as text, the first column to the left and the others to the right."""
    widths = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))]
    lines = []
    for row in rows:
        cells = [row[0].ljust(widths[0])] + [cell.rjust(width) for cell, width in zip(row[1:], widths[1:], strict=True)]
        lines.append((indent + "  ".join(cells)).rstrip())
    return "\n".join(lines)


def length(value: float | None, unit: str) -> str:
    """A length in mm as the standards print it: three decimals in mm, four in inches."""
    if value is None:
        return "-"
    return f"{value:.3f}" if unit == "mm" else f"{value / 25.4:.4f}"


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


def pair_table(one: Pair) -> str:
    """Clearances, overlap and the verdict of a pair, in the unit of its screw."""
    unit = one.external.thread.unit

    def row(name: str, gap: Gap) -> tuple[str, str, str]:
        return (name, length(gap.min, unit), length(gap.max, unit))

    rows = [row(f"{which} clearance", one.clearance(which)) for which in ("major", "pitch", "minor")]
    least, most = one.percent()
    percent = tuple("-" if value is None else f"{value:.0f}" for value in (least, most))
    table = aligned([(unit, "min", "max"), *rows, row("radial overlap", one.overlap()), ("% of 5/8 H", *percent)])
    sides = (("screw", one.external), ("nut", one.internal))
    notes = "".join(f"; {side} {note}" for side, sizes in sides if (note := getattr(sizes, "note", "")))
    return f"{one.designation}{notes}\n{table}\n  {one.verdict()}"


def coated_table(one: Coated) -> str:
    """Limits before and after coating, in the unit of the thread, and whether the allowance covers the film."""
    unit = one.thread.unit
    rows: list[tuple[str, ...]] = [("", "before", "", "after", ""), (unit, "max", "min", "max", "min")]
    for which in ("major", "pitch", "minor"):
        sizes = (getattr(one.before, which), getattr(one, which))
        rows.append((which, *(length(end, unit) for size in sizes for end in (size.max, size.min))))
    growth = "" if one.film.growth == 1 else f", {one.film.growth:.0%} outward"
    head = f"{one.thread.designation} with {one.film.name} {one.film.thickness}{growth}"
    return f"{head}\n{aligned(rows)}\n  {one.verdict()}"
