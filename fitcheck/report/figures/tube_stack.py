"""The tube stack, along its axis: socket, blade, what lies under the blade, and the axes of the set screws."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from fitcheck.questions.blade.findings import MissedScrew, TubeStack
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
    SMALL,
    apart,
    balloon,
    dimension_line,
    drafted,
    legend,
    to_scale,
)
from fitcheck.report.summary import shortened, without_unit
from fitcheck.units import MM, Unit

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_ROW = 15.0  # points between dimension lines


@drafted
def tube_stack(drawing: TubeStack, ax: Axes | None = None, unit: Unit = MM) -> Axes:
    """Draw the tube stack to scale, the mouth on the left, nominal sizes shown in `unit`.

    A diameter that is not known is drawn in proportion to the others, and the figure says so.
    """
    return _stack(drawing, ax, unit, None)


@drafted
def missed_screw(drawing: MissedScrew, ax: Axes | None = None, unit: Unit = MM) -> Axes:
    """Draw the tube stack, and dark on it how far the blade reaches beyond a screw that it misses."""
    return _stack(drawing.stack, ax, unit, drawing)


def _stack(drawing: TubeStack, ax: Axes | None, unit: Unit, missed: MissedScrew | None) -> Axes:
    from matplotlib.patches import Polygon, Rectangle

    depth, bottom = drawing.depth, drawing.depth + sum(length for _, length in drawing.below)
    known = (drawing.blade, drawing.bore, drawing.outside)
    bore = drawing.bore or (drawing.blade or (drawing.outside or max(abs(depth), 1.0) * 0.6) * 0.8) * 1.02
    outside = max(drawing.outside or bore * 1.2, bore)
    blade = min(drawing.blade or bore * 0.98, outside)
    end = max([bottom, *(at for _, at in drawing.screws), depth, 1e-3])
    stub = 0.2 * (end - min(depth, 0.0)) + 0.1 * outside

    sizes = drawing.notes or tuple(without_unit(unit, length) for _, length in drawing.below)
    names = [name for name, _ in drawing.below]
    parts = [f"{i} {name} {size}" for i, (name, size) in enumerate(zip(names, sizes, strict=True), start=1)]
    lines = textwrap.wrap(";  ".join(parts), 44)
    if missed is not None:
        lines = [*textwrap.wrap(f"Dark: {missed.words}.", 44), *lines]
    lines.append(f"Nominal sizes ({unit.text})." + ("" if all(known) else " Diameters not given are not to scale."))
    rows = len(drawing.screws) + 1
    ax, scale = to_scale(
        ax,
        (min(0.0, depth) - stub, end),
        (-outside / 2, outside / 2),
        left=22,
        right=50,
        below=(30 if drawing.below else 10) + LINE * len(lines) + 4,
        above=_ROW * rows + 14,
    )

    # The tube goes on beyond the last part, so its end is left open.
    far = end + scale(8)
    for side in (-1, 1):
        wall = sorted((side * bore / 2, side * outside / 2))
        ax.add_patch(Rectangle((0, wall[0]), far, wall[1] - wall[0], fc=METAL, ec=GREY, hatch="/////", lw=0))
        for y in wall:
            ax.plot([0, far], [y, y], color=INK, lw=0.9)
        ax.plot([0, 0], wall, color=INK, lw=0.9)

    left = min(0.0, depth) - stub
    zigzag = [(left + (scale(4) if i % 2 else 0), blade * (i / 6 - 0.5)) for i in range(7)]
    ax.add_patch(Polygon([*zigzag, (depth, blade / 2), (depth, -blade / 2)], fc=PALE_BLUE, ec=BLUE, lw=0.9))
    if scale.points(depth - left) > 40:
        behind = {"fc": PALE_BLUE, "ec": "none", "pad": 1}
        ax.text(left + scale(10), 0, "blade", ha="left", va="center", fontsize=SMALL, bbox=behind)

    centres = []
    at = depth
    for i, (_, length) in enumerate(drawing.below):
        fill = PALE if i % 2 else "#a9b1ba"
        ax.add_patch(Rectangle((at, -bore / 2), length, bore, fc=fill, ec=INK, lw=0.7))
        centres.append(at + length / 2)
        at += length
    order = sorted(range(len(centres)), key=lambda i: centres[i])
    for i, x in zip(order, apart([centres[i] for i in order], scale(18)), strict=True):
        balloon(ax, (x, -outside / 2 - scale(18)), str(i + 1), (centres[i], -bore / 4))

    ax.plot([left - scale(6), far + scale(2)], [0, 0], color=GREY, lw=0.6, ls=CENTRE_LINE, zorder=1.5)
    _screws(ax, drawing, outside, bore, scale.mm)
    top = outside / 2
    measured = sorted([(at, name) for name, at in drawing.screws])
    for row, (x, name) in enumerate(measured):
        y = top + scale(_ROW * row + 10)
        dimension_line(ax, scale, (0, y), (x, y), f"{shortened(name, 24)}: {without_unit(unit, x)}", beside=top)
    y = top + scale(_ROW * (rows - 1) + 10)
    dimension_line(ax, scale, (0, y), (depth, y), f"depth {without_unit(unit, depth)}", beside=top, colour=BLUE)

    if missed is not None:
        # From the axis of the screw to the end of the blade, where it fails.
        at = missed.at
        y = -outside / 2 - scale(9)
        dimension_line(ax, scale, (at, y), (depth, y), "", beside=-outside / 2, colour=ORANGE)
        ax.plot([at, depth], [0, 0], color=ORANGE, lw=3.0, zorder=5, solid_capstyle="butt")
    if drawing.blade:
        x = left - scale(8)
        dimension_line(ax, scale, (x, -blade / 2), (x, blade / 2), f"⌀ {without_unit(unit, blade)}", beside=left)
    x = far + scale(18)
    for size in (drawing.bore, drawing.outside):
        if size:
            dimension_line(ax, scale, (x, -size / 2), (x, size / 2), f"⌀ {without_unit(unit, size)}", beside=far)
            x += scale(18)
    legend(ax, scale, (left - scale(16), -outside / 2 - scale(30 if drawing.below else 10)), lines)
    return ax


def _screws(ax: Axes, drawing: TubeStack, outside: float, bore: float, mm: float) -> None:
    """The axis of every set screw, and a screw of no particular size in the upper wall."""
    from matplotlib.patches import Rectangle

    for _, x in drawing.screws:
        ax.plot(
            [x, x], [-outside / 2 - 5 * mm, outside / 2 + 5 * mm], color=INK, lw=0.7, ls=(0, (8, 2, 1.5, 2)), zorder=3
        )
        wide, inner = 7 * mm, min(bore, drawing.blade or bore) / 2
        ax.add_patch(
            Rectangle((x - wide / 2, inner), wide, outside / 2 - inner, fc=INK, ec="white", lw=0.6, zorder=2.5)
        )
