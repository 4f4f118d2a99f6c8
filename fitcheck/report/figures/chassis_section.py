"""The cross-section of a tube with its chassis, and what stands out from it, shifted towards the wall."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from fitcheck.questions.port.drawing import CrossSection
from fitcheck.report.figures.drafting import (
    BLUE,
    GREY,
    LINE,
    PALE,
    PALE_BLUE,
    Scale,
    drafted,
    in_lines,
    legend,
    to_scale,
)
from fitcheck.report.figures.round_tube import (
    DASHED,
    DETAIL,
    centre_lines,
    enlarged,
    gap_words,
    mark_gap,
    mark_worst,
    tube,
    worst_words,
)
from fitcheck.report.summary import without_unit
from fitcheck.units import MM, Unit

if TYPE_CHECKING:
    from matplotlib.axes import Axes


@drafted
def cross_section(drawing: CrossSection, ax: Axes | None = None, unit: Unit = MM) -> Axes:
    """Draw the cross-section to scale with nominal sizes in `unit`, and its tightest corner enlarged beside it.

    The chassis stands in the middle of the tube; dashed lines show it shifted until it touches the wall.
    """
    outside = max(drawing.outside or drawing.bore * 1.12, drawing.bore)
    half = outside / 2
    lines = [
        f"tube ⌀ {without_unit(unit, drawing.outside)}, bore ⌀ {without_unit(unit, drawing.bore)}"
        if drawing.outside
        else f"bore ⌀ {without_unit(unit, drawing.bore)}",
        f"chassis ⌀ {without_unit(unit, drawing.chassis)}"
        + (f", port ⌀ {without_unit(unit, drawing.port)}" if drawing.port else ""),
        *in_lines(
            [
                f"{drawing.what} {without_unit(unit, drawing.width)} wide, its face "
                f"{without_unit(unit, drawing.reach)} from the axis"
            ]
        ),
        f"dashed: shifted until it touches; nominal sizes ({unit.text})",
        *([] if drawing.needed is None else ["dotted: so far from the wall it may come, at worst case"]),
    ]
    ax, scale = to_scale(
        ax,
        (-half, half),
        (-half, half),
        left=8,
        right=DETAIL + 24,
        below=12 + LINE * len(lines),
        above=8,
        tallest=140,
    )
    _section(ax, drawing, outside)
    centre_lines(ax, half + scale(5))
    _detail(ax, drawing, outside, scale, unit)
    legend(ax, scale, (-half, -half - scale(11)), lines)
    return ax


def _corner(drawing: CrossSection) -> tuple[float, float, float]:
    """The upper right corner of the block on the centred chassis, and its distance from the axis."""
    x, y = drawing.width / 2, drawing.reach
    return x, y, math.hypot(x, y) or 1.0


def _section(ax: Axes, drawing: CrossSection, outside: float) -> None:
    """Tube, chassis, block and port, then chassis and block shifted; drawn in the figure and in its detail."""
    from matplotlib.patches import Circle, Polygon

    tube(ax, outside, drawing.bore)
    x, y, far = _corner(drawing)
    foot = min(0.0, y - drawing.width / 2)
    block = [(-x, foot), (-x, y), (x, y), (x, foot)]
    ax.add_patch(Circle((0, 0), drawing.chassis / 2, fc=PALE, ec=GREY, lw=0.8))
    ax.add_patch(Polygon(block, fc=PALE_BLUE, ec=BLUE, lw=1.1))
    if drawing.port:
        port = Circle((0, y - drawing.port / 2), drawing.port / 2, fc="white", ec=BLUE, lw=0.8)
        ax.add_patch(port)
    play = max(drawing.bore - drawing.chassis, 0.0) / 2
    dx, dy = play * x / far, play * y / far
    ax.add_patch(Circle((dx, dy), drawing.chassis / 2, fill=False, ec=GREY, lw=0.8, ls=DASHED))
    ax.add_patch(Polygon([(px + dx, py + dy) for px, py in block], fill=False, ec=BLUE, lw=0.9, ls=DASHED))


def _detail(ax: Axes, drawing: CrossSection, outside: float, scale: Scale, unit: Unit) -> None:
    """The corner that comes nearest to the wall, enlarged, with its gap when the chassis has shifted."""
    x, y, far = _corner(drawing)
    centred, shifted = drawing.centred, drawing.gap
    # Seen: the corner centred and shifted, and the wall it nears.
    middle = drawing.bore / 2 - (centred + min(shifted, 0.0)) / 2
    view = min(max(2.6 * (centred - min(shifted, 0.0)), 3 * abs(shifted), 0.05 * outside), 0.6 * outside)
    at = middle * x / far, middle * y / far
    words = [f"shifted: {gap_words(shifted, unit)}", f"centred: {gap_words(centred, unit)}"]
    if drawing.worst is not None and drawing.needed is not None:
        words = [*worst_words(drawing.worst, drawing.needed, unit), *words]
    inset = enlarged(ax, scale, outside / 2, at, view, "corner", words)
    _section(inset, drawing, outside)
    start, end = far + centred - shifted, drawing.bore / 2
    if drawing.worst is None or drawing.needed is None:
        mark_gap(inset, (start * x / far, start * y / far), (end * x / far, end * y / far))
    else:
        mark_worst(inset, (x / far, y / far), end, start, drawing.worst, drawing.needed)
