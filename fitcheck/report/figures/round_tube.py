"""What every cross-section draws: a round tube, its axes, a gap, and what lies about the gap enlarged."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from fitcheck.printed import Says, printed
from fitcheck.report.figures.drafting import CENTRE_LINE, GREY, INK, LINE, METAL, ORANGE, SMALL, Scale
from fitcheck.units import Unit

if TYPE_CHECKING:
    from matplotlib.axes import Axes

DETAIL = 104.0
"""Points across the enlarged detail."""

DASHED: Any = (0, (3, 2))
"""The line style of what has shifted."""


def tube(ax: Axes, outside: float, bore: float) -> None:
    """The wall of a round tube, cut."""
    from matplotlib.patches import Annulus, Circle

    wall = max((outside - bore) / 2, 1e-6)
    ax.add_patch(Annulus((0, 0), outside / 2, wall, fc=METAL, ec=GREY, hatch="/////", lw=0))
    for size in (outside, bore):
        ax.add_patch(Circle((0, 0), size / 2, fill=False, ec=INK, lw=0.9))


def centre_lines(ax: Axes, reach: float) -> None:
    """The two axes through the middle of a tube."""
    for line in ((-reach, reach), (0, 0)), ((0, 0), (-reach, reach)):
        ax.plot(*line, color=GREY, lw=0.5, ls=CENTRE_LINE, zorder=3)


def enlarged(
    ax: Axes, scale: Scale, half: float, at: tuple[float, float], view: float, what: str, words: Sequence[str]
) -> Axes:
    """Axes right of a section of radius `half` for what lies around `at`, `view` mm wide, with `words` under it.

    The first of the words, under that which says how much larger it is, stands out.
    """
    from matplotlib.patches import Circle

    left, top = half + scale(16), half
    size = scale(DETAIL)
    inset = ax.inset_axes((left, top - size, size, size), transform=ax.transData)
    inset.set_xlim(at[0] - view / 2, at[0] + view / 2)
    inset.set_ylim(at[1] - view / 2, at[1] + view / 2)
    inset.set_aspect("equal")
    inset.set_xticks([])
    inset.set_yticks([])
    ring = scale(9)
    ax.add_patch(Circle(at, ring, fill=False, ec=INK, lw=0.7, zorder=6))
    # From the ring to the nearest point of the frame.
    to = (left, min(max(at[1], top - size), top))
    far = math.hypot(to[0] - at[0], to[1] - at[1])
    start = (at[0] + ring * (to[0] - at[0]) / far, at[1] + ring * (to[1] - at[1]) / far)
    ax.annotate("", to, start, arrowprops={"arrowstyle": "-", "lw": 0.7, "color": INK, "shrinkA": 0, "shrinkB": 0})
    for i, line in enumerate((f"{what}, {size / view:.0f}× larger", *words)):
        place = (left, top - size - scale(4 + LINE * i))
        ax.text(*place, line, ha="left", va="top", fontsize=SMALL, color=ORANGE if i == 1 else INK)
    return inset


def mark_gap(ax: Axes, start: tuple[float, float], end: tuple[float, float]) -> None:
    """A gap from the point of a body to the wall, or an overlap from it back to the wall."""
    ax.plot([start[0], end[0]], [start[1], end[1]], color=ORANGE, lw=2.2, solid_capstyle="butt", zorder=5)
    ax.plot([start[0]], [start[1]], marker="o", ms=3.5, color=ORANGE, zorder=6)


def mark_worst(ax: Axes, way: tuple[float, float], wall: float, nominal: float, worst: float, needed: float) -> None:
    """The gap at worst case on its way to the wall, and dotted how near to the wall a body may come.

    way: from the axis, of length 1. wall, nominal: from the axis to the wall and to the body that has shifted.
    worst, needed: gaps, mm. A thin line leads from the body with nominal sizes to where it lies at worst case.
    """
    from matplotlib.patches import Circle

    ax.add_patch(Circle((0, 0), wall - needed, fill=False, ec=ORANGE, lw=1.0, ls=":", zorder=4.5))
    points = [(far * way[0], far * way[1]) for far in (nominal, wall - worst, wall)]
    ax.plot(*zip(*points[:2], strict=True), color=ORANGE, lw=0.8, zorder=5)
    mark_gap(ax, points[1], points[2])


def worst_words(worst: float, needed: float, unit: Unit) -> list[str]:
    """The gap at worst case and the one that is needed, as the finding has them."""
    found, least = Says.LEAST_FOUND, Says.AT_LEAST
    gap = f"gap {printed(found, worst, unit)}" if worst >= 0 else f"overlap {printed(Says.MOST_FOUND, -worst, unit)}"
    return [f"at worst: {gap}", f"needed: {printed(least, needed, unit)}"]


def gap_words(gap: float, unit: Unit) -> str:
    """A gap in words, an overlap where it is less than nothing."""
    return f"gap {unit.show(gap)}" if gap >= 0 else f"overlap {unit.show(-gap)}"
