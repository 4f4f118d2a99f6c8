"""Threads, limits and pairs as small aligned tables, in their own unit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fitcheck.threads.definition import Thread
    from fitcheck.threads.limits import Limits


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
    procedure = "" if one.procedure == "table" else ", newer rounding procedure"
    return f"{one.thread.designation}: limits of size, {one.thread.standard}{procedure}\n{table}"
