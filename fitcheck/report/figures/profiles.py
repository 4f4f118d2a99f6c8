"""The thread profiles of a screw in a nut, at both ends of their limits of size, laid over each other."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitcheck.printed import Says, printed
from fitcheck.report.figures.drafting import (
    BLUE,
    CENTRE_LINE,
    GREY,
    INK,
    LINE,
    METAL,
    ORANGE,
    PALE,
    PALE_BLUE,
    balloon,
    dimension_line,
    drafted,
    legend,
    to_scale,
)
from fitcheck.report.summary import without_unit
from fitcheck.threads.pair import Gap, HasSizes, Pair, pair
from fitcheck.threads.profile import HALF_ANGLE, sharp_crest_diameter, triangle_height
from fitcheck.threads.thread import DIAMETERS, Size, limit_places
from fitcheck.units import FloatArray, Unit
from fitcheck.units import unit as named

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_POINTS = 1201


class Outline(NamedTuple):
    """Diameters of one profile, mm."""

    major: float
    pitch: float
    minor: float

    def radius(self, x: FloatArray, P: float) -> FloatArray:
        """Radius of the flank at `x` along the axis, a ridge of the screw (a groove of the nut) at 0, P, 2 P."""
        off = np.abs((x + P / 2) % P - P / 2)
        flank = self.pitch / 2 + (P / 4 - off) / math.tan(HALF_ANGLE)
        return np.clip(flank, self.minor / 2, self.major / 2)


def outlines(one: HasSizes) -> tuple[Outline, Outline]:
    """The profile at maximum and at minimum material.

    Where the standard sets no limit: the least root of a screw is drawn H/6 from its sharp corner, and the largest root
    of a nut P/8 wide, both at the limit of the pitch diameter at minimum material.
    """
    t, H = one.thread, float(triangle_height(one.thread.pitch))
    pitch = _both(one.pitch, t.pitch_diameter, t.pitch_diameter)
    if t.external:
        major = _both(one.major, t.nominal, t.nominal)
        flat, round_root = pitch.max - H / 2, pitch.min - 2 / 3 * H
        minor = _both(one.minor, flat, min(round_root, one.minor.max or flat))
        return Outline(major.max, pitch.max, minor.max), Outline(major.min, pitch.min, minor.min)
    sharp = float(sharp_crest_diameter(pitch.max, t.pitch))
    major = _both(one.major, max(sharp, one.major.min or sharp), t.nominal)
    minor = _both(one.minor, t.minor_diameter, t.minor_diameter)
    return Outline(major.min, pitch.min, minor.min), Outline(major.max, pitch.max, minor.max)


class _Ends(NamedTuple):
    max: float
    min: float


def _both(size: Size, largest: float, least: float) -> _Ends:
    return _Ends(largest if size.max is None else size.max, least if size.min is None else size.min)


@drafted
def profiles(threads: str | Pair | tuple[Any, Any], ax: Axes | None = None, unit: Unit | None = None) -> Axes:
    """Draw screw and nut in section to scale, concentric, one ridge centred in its groove; sizes in `unit`.

    threads: a pair, the two threads of one, or its text such as "M6-6H/6g". Solid lines are the profiles at maximum
    material, dashed ones those at minimum material; what lies between them is left white. Where the two can meet in
    metal it is hatched.
    """
    known = threads if isinstance(threads, Pair) else pair(*((threads,) if isinstance(threads, str) else threads))
    unit = unit or named(known.external.thread.unit)
    P, P_nut = known.external.thread.pitch, known.internal.thread.pitch
    screw, nut = outlines(known.external), outlines(known.internal)
    wide = 1.25 * max(P, P_nut)
    x = np.linspace(-wide, wide, _POINTS)
    full, least = (one.radius(x, P) for one in screw)
    nut_full, nut_least = (one.radius(x, P_nut) for one in nut)
    body = 0.22 * P
    bottom, top = float(least.min()) - body, float(nut_least.max()) + body

    meet = full > nut_full + known.rounding / 2 + 1e-6
    lines = _lines(known, unit, bool(meet.any()))
    ax, scale = to_scale(
        ax, (-wide, wide), (bottom, top), left=6, right=34, below=24 + LINE * len(lines), above=22, tallest=170
    )
    bent = _bends(np.array([least, nut_least]), 1e-6 * P)
    ax.fill_between(x[bent], bottom, least[bent], fc=PALE_BLUE, ec="none")
    ax.fill_between(x[bent], nut_least[bent], top, fc=METAL, ec="none")
    for radius, colour, style in ((full, BLUE, "-"), (least, BLUE, "--"), (nut_full, INK, "-"), (nut_least, INK, "--")):
        ax.plot(x, radius, color=colour, lw=1.1 if style == "-" else 0.8, ls=style, zorder=3)
    ax.fill_between(x, nut_full, full, where=meet, fc="none", ec=ORANGE, hatch="xxxx", lw=0.8, zorder=2.5)
    middle = (screw[0].pitch + screw[1].pitch + nut[0].pitch + nut[1].pitch) / 8
    ax.plot([-wide, wide], [middle, middle], color=GREY, lw=0.5, ls=CENTRE_LINE, zorder=2)
    behind = {"fc": PALE, "ec": "none", "pad": 1}
    ax.text(-wide + scale(4), top - scale(3), "internal", ha="left", va="top", fontsize=8.5, bbox=behind)
    ax.text(-wide + scale(4), bottom + scale(3), "external", ha="left", va="bottom", fontsize=8.5, bbox=behind)

    # Each number leads to the gap it stands for, at maximum material.
    flank = P / 4 - (middle - (screw[0].pitch + nut[0].pitch) / 4) * math.tan(HALF_ANGLE)
    gaps = (
        ("1", (0.0, (screw[0].major + nut[0].major) / 4), (0.0, top + scale(11))),
        ("2", (flank, middle), (max(flank, scale(20)), top + scale(11))),
        ("3", (-P / 2, (screw[0].minor + nut[0].minor) / 4), (-P / 2, bottom - scale(11))),
    )
    for name, place, at in gaps:
        balloon(ax, at, name, place)
    low, high = nut[0].minor / 2, screw[0].major / 2
    if high > low:
        right = wide + scale(16)
        dimension_line(ax, scale, (right, low), (right, high), "", beside=wide)
        balloon(ax, (right + scale(12), (low + high) / 2), "4", (right, (low + high) / 2))
    legend(ax, scale, (-wide, bottom - scale(24)), lines)
    return ax


def _bends(outlines: FloatArray, within: float) -> NDArray[np.bool_]:
    """Where one of the outlines, a row each, bends by more than `within`; between these they are straight."""
    bends = np.ones(outlines.shape[1], dtype=bool)
    bends[1:-1] = (np.abs(np.diff(outlines, 2)) > within).any(axis=0)
    return bends


def _lines(known: Pair, unit: Unit, meet: bool) -> list[str]:
    """The clearances by their numbers in the drawing; `meet`: whether metal meets metal in it."""
    places = limit_places(unit.text)
    lines = []
    for i, which in enumerate(DIAMETERS, start=1):
        lines.append(f"{i} {which} diameter: clearance {_range(known.clearance(which), unit, places)}")
        sizes = [getattr(half, which) for half in (known.external, known.internal)]
        one, other = (_range(Gap(size.min, size.max), unit, places) for size in sizes)
        lines.append(f"    screw {one}, nut {other}")
    least, most = known.overlap()
    if most is not None and most > 0:
        percent = " to ".join(f"{value:.0f}" for value in known.percent() if value is not None)
        lines.append(f"4 ridges overlap {_range(Gap(least, most), unit, places)}, {percent} % of 5/8 H")
    elif least is not None and most is not None:
        lines.append(f"The ridges pass each other by {_range(Gap(-most, -least), unit, places)}.")
    if meet:
        lines.append("Hatched: they meet in metal.")
    elif (least := known.clearance("minor").min) is not None and least < 0:
        lines.append("Less than 0: limits rounded in print; they touch.")
    screw = known.external.thread
    pitch = (
        f"pitch {without_unit(unit, screw.pitch, places)}, flanks at 60°, ⌀ {without_unit(unit, screw.nominal, places)}"
    )
    return [*lines, f"{pitch}.", f"Solid: most metal; dashed: least. To scale ({unit.text})."]


def _range(gap: Gap, unit: Unit, places: int) -> str:
    ends = zip((Says.LEAST_FOUND, Says.MOST_FOUND), gap, strict=True)
    low, high = (None if value is None else printed(says, value, unit, places, bare=True) for says, value in ends)
    if low is None and high is None:
        return "not set"
    if low is None or high is None:
        return f"{low} or more" if low is not None else f"up to {high}"
    return low if low == high else f"{low} to {high}"
