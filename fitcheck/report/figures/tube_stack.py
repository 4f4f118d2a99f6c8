"""The tube stack, along its axis: socket, blade, what lies under the blade, and the axes of the set screws."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from fitcheck.questions.blade.findings import MissedScrew, TubeStack
from fitcheck.questions.finding import Finding, Verdict
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
    PALE_ORANGE,
    SMALL,
    Scale,
    apart,
    balloon,
    dimension_line,
    drafted,
    in_lines,
    legend,
    to_scale,
)
from fitcheck.report.summary import shortened, without_unit
from fitcheck.units import MM, Unit

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_ROW = 15.0  # points between dimension lines
_BALLOONS, _IN_A_ROW = 18.0, 12  # points between rows of numbers, and numbers in one


@drafted
def tube_stack(drawing: TubeStack, ax: Axes | None = None, unit: Unit = MM, *, judged: Finding | None = None) -> Axes:
    """Draw the tube stack to scale, the mouth on the left, sizes shown in `unit`.

    A diameter that is not known is drawn in proportion to the others, and the figure says so. judged: the finding on
    the depth; where it does not hold, the zone in which the blade can end and the depths that are needed are dark.
    """
    return _stack(drawing, ax, unit, None, judged)


@drafted
def missed_screw(
    drawing: MissedScrew, ax: Axes | None = None, unit: Unit = MM, *, judged: Finding | None = None
) -> Axes:
    """Draw the tube stack, and dark on it how far the blade reaches beyond a screw that it misses.

    judged: the finding on it; the zone in which the blade can end and where it should are then dark too.
    """
    return _stack(drawing.stack, ax, unit, drawing, judged)


def _stack(drawing: TubeStack, ax: Axes | None, unit: Unit, missed: MissedScrew | None, judged: Finding | None) -> Axes:
    from matplotlib.patches import Polygon, Rectangle

    depth, bottom = drawing.depth, drawing.depth + sum(length for _, length in drawing.below)
    known = (drawing.blade, drawing.bore, drawing.outside)
    bore = drawing.bore or (drawing.blade or (drawing.outside or max(abs(depth), 1.0) * 0.6) * 0.8) * 1.02
    outside = max(drawing.outside or bore * 1.2, bore)
    blade = min(drawing.blade or bore * 0.98, outside)
    end = max([bottom, *(at for _, at in drawing.screws), depth, 1e-3])
    stub = 0.2 * (end - min(depth, 0.0)) + 0.1 * outside

    sizes = drawing.notes or tuple(_size(unit, length) for _, length in drawing.below)
    names = [name for name, _ in drawing.below]
    lines = in_lines([f"{i} {name}: {size}" for i, (name, size) in enumerate(zip(names, sizes, strict=True), start=1)])
    fails = judged if judged is not None and judged.verdict is not Verdict.HOLDS else None
    dark = missed.words if missed is not None else "" if fails is None else _found(fails)
    if dark:
        lines = [*textwrap.wrap(f"Dark: {dark}.", 50), *lines]
    lines.append(f"Nominal sizes ({unit.text})." + ("" if all(known) else " Diameters not given are not to scale."))
    rows = len(drawing.screws) + (1 if missed is None else 2)
    ax, scale = to_scale(
        ax,
        (min(0.0, depth) - stub, end),
        (-outside / 2, outside / 2),
        left=22,
        right=50,
        below=(30 + _BALLOONS * (_rows_of(drawing) - 1) if drawing.below else 10) + LINE * len(lines) + 4,
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
    _balloons(ax, scale, centres, _rows_of(drawing), (left, far + scale(36)), (-outside / 2 - scale(18), -bore / 4))

    ax.plot([left - scale(6), far + scale(2)], [0, 0], color=GREY, lw=0.6, ls=CENTRE_LINE, zorder=1.5)
    _screws(ax, drawing, outside, bore, scale.mm)
    top = outside / 2
    measured = sorted([(at, name) for name, at in drawing.screws])
    for row, (x, name) in enumerate(measured):
        y = top + scale(_ROW * row + 10)
        dimension_line(ax, scale, (0, y), (x, y), f"{shortened(name, 24)}: {_size(unit, x)}", beside=top)
    y = top + scale(_ROW * len(measured) + 10)
    colour = ORANGE if fails is not None and missed is None else BLUE
    dimension_line(ax, scale, (0, y), (depth, y), f"depth {_size(unit, depth)}", beside=top, colour=colour)

    start = 0.0 if missed is None else missed.at
    if missed is not None:
        # From the axis of the screw to the end of the blade, where it fails.
        y += scale(_ROW)
        text = f"{_size(unit, abs(depth - start))} {'beyond' if depth >= start else 'short of'} the screw"
        dimension_line(ax, scale, (start, y), (depth, y), text, beside=top, colour=ORANGE)
        ax.plot([start, depth], [0, 0], color=ORANGE, lw=3.0, zorder=5, solid_capstyle="butt")
    if fails is not None:
        # Where the blade can end, and where it should.
        low, high = (start + end for end in fails.worst_case)
        look: dict[str, Any] = {"fc": PALE_ORANGE, "ec": ORANGE, "hatch": "////", "lw": 0.8, "alpha": 0.85}
        ax.add_patch(Rectangle((low, -blade / 2), high - low, blade, zorder=2.2, **look))
        for needed in (fails.requirement.at_least, fails.requirement.at_most):
            if needed is not None and left < start + needed < far:
                ax.plot([start + needed] * 2, [-outside / 2 - scale(4), top], color=ORANGE, lw=1.2, ls=(0, (4, 2)),
                        zorder=4)  # fmt: skip
    if drawing.blade:
        x = left - scale(8)
        dimension_line(ax, scale, (x, -blade / 2), (x, blade / 2), f"⌀ {_size(unit, blade)}", beside=left)
    x = far + scale(18)
    for size in (drawing.bore, drawing.outside):
        if size:
            dimension_line(ax, scale, (x, -size / 2), (x, size / 2), f"⌀ {_size(unit, size)}", beside=far)
            x += scale(18)
    below = 30 + _BALLOONS * (_rows_of(drawing) - 1) if drawing.below else 10
    legend(ax, scale, (left - scale(16), -outside / 2 - scale(below)), lines)
    return ax


def _size(unit: Unit, length: float) -> str:
    """A nominal size, with the decimals that it was given with where two do not say it."""
    return without_unit(unit, length, unit.exact_places(length))


def _found(judged: Finding) -> str:
    """What was found and what is needed, in the words of the finding."""
    low, high = judged.worst_case
    found = judged.span(judged.worst_case) if high > low else judged.at_worst
    return f"{found} found, {judged.requirement.words(judged.unit, judged.decimals)} needed"


def _rows_of(drawing: TubeStack) -> int:
    """Rows of numbers below the tube."""
    return -(-len(drawing.below) // _IN_A_ROW)


def _balloons(
    ax: Axes,
    scale: Scale,
    centres: Sequence[float],
    rows: int,
    between: tuple[float, float],
    y: tuple[float, float],
) -> None:
    """The numbers of the parts, every row `between` two ends. y: of the first row, and of the dots on the parts."""
    order = sorted(range(len(centres)), key=lambda i: centres[i])
    for row in range(rows):
        own = order[row::rows]
        places = apart([centres[i] for i in own], scale(18))
        over = max(places[-1] - between[1], 0.0)
        under = max(between[0] - (places[0] - over), 0.0)
        for i, x in zip(own, places, strict=True):
            balloon(ax, (x - over + under, y[0] - scale(_BALLOONS * row)), str(i + 1), (centres[i], y[1]))


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
