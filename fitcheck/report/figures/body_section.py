"""The cross-section of a tube with several bodies on its chassis, and the gap of the body that its finding names."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from fitcheck.questions.port.drawing import BodySection, PlacedBody
from fitcheck.report.figures.drafting import (
    BLUE,
    GREY,
    INK,
    LINE,
    PALE,
    PALE_BLUE,
    apart,
    balloon,
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


def _area(body: PlacedBody) -> float:
    if body.is_round:
        return math.pi * body.radius**2
    (x0, y0), (x1, y1), (x2, y2), _ = body.points
    return math.hypot(x1 - x0, y1 - y0) * math.hypot(x2 - x0, y2 - y0)


def _mark(body: PlacedBody) -> tuple[float, float]:
    """A place on its outline: bodies about one middle have different ones."""
    if body.is_round:
        return body.points[0][0] - body.radius, body.points[0][1]
    return min(body.points, key=lambda point: (point[0], -point[1]))


def _shape(body: PlacedBody, shift: tuple[float, float] = (0.0, 0.0), **look: Any) -> Any:
    """Its outline, moved by `shift`."""
    from matplotlib.patches import Circle, Polygon

    moved = [(x + shift[0], y + shift[1]) for x, y in body.points]
    if body.is_round:
        return Circle(moved[0], body.radius, **look)
    left, right, inner_left, inner_right = moved
    return Polygon([inner_left, left, right, inner_right], **look)


@drafted
def bodies(
    drawing: BodySection,
    ax: Axes | None = None,
    unit: Unit = MM,
    *,
    worst: float | None = None,
    needed: float | None = None,
) -> Axes:
    """Draw the cross-section with all its bodies to scale, sizes in `unit`, and the gap of one enlarged beside it.

    It is the body that the finding names: nearest to the wall at worst case, which need not be the one nearest with
    nominal sizes. Sizes are drawn nominal. The chassis stands in the middle; dashed lines show it and that body where
    the shift is worst. worst, needed: the gap with the sizes at their worst too, and the least that is required; they
    are drawn and said in place of the gap of a chassis in the middle.
    """
    outside = max(drawing.outside or drawing.bore * 1.12, drawing.bore)
    half = outside / 2
    placed, first, shift = drawing.bodies, drawing.named, drawing.shift
    lines = _lines(placed, drawing.first + 1, unit)
    crowded = max(0.0, 9.0 * len(placed) - 55)  # points by which the numbers stand out above and below the tube
    ax, scale = to_scale(
        ax,
        (-half, half),
        (-half, half),
        left=32,
        right=DETAIL + 24,
        below=max(8 + 5 * LINE, crowded + 8) + LINE * len(lines) + 4,
        above=8 + crowded,
        tallest=140,
    )
    _section(ax, drawing, outside)
    centre_lines(ax, half + scale(5))

    marks = [_mark(body) for body in placed]
    order = sorted(range(len(placed)), key=lambda i: marks[i][1])
    for i, y in zip(order, apart([marks[i][1] for i in order], scale(18)), strict=True):
        balloon(ax, (-half - scale(18), y), str(i + 1), marks[i])

    # The point moves with the chassis; a round body meets the wall a radius further out.
    x, y = first.nearest[0] + shift[0], first.nearest[1] + shift[1]
    far = math.hypot(x, y)
    way = (x / far, y / far) if far > 0 else (0.0, 1.0)
    start, end = far + first.radius, drawing.bore / 2
    middle, view = (start + end) / 2, min(max(3 * abs(first.gap), 0.12 * outside), 0.6 * outside)
    words = [f"worst shift: {gap_words(first.gap, unit)}", f"centred: {gap_words(drawing.centred, unit)}"]
    if worst is not None and needed is not None:
        words = [*worst_words(worst, needed, unit), f"nominal: {gap_words(first.gap, unit)}"]
    words.append(_direction(first.nearest))
    # A longer name would run out of the figure; it stands in the list below.
    which = f"{drawing.first + 1} {first.name}" if len(first.name) <= 10 else f"number {drawing.first + 1}"
    inset = enlarged(ax, scale, half, (middle * way[0], middle * way[1]), view, which, words)
    _section(inset, drawing, outside)
    if worst is None or needed is None:
        mark_gap(inset, (start * way[0], start * way[1]), (end * way[0], end * way[1]))
    else:
        mark_worst(inset, way, end, start, worst, needed)
    left = -half - scale(26)
    legend(ax, scale, (left + scale(26) if crowded else left, -half - scale(11)), _about_the_tube(drawing, unit))
    legend(ax, scale, (left, -half - scale(max(4 + 5 * LINE, crowded + 10))), lines)
    return ax


def _section(ax: Axes, drawing: BodySection, outside: float) -> None:
    """Tube, chassis and bodies, the smaller ones on top; then the chassis and the nearest body shifted."""
    tube(ax, outside, drawing.bore)
    ax.add_patch(_chassis(drawing, fc=PALE, ec=GREY, lw=0.8))
    for body in sorted(drawing.bodies, key=lambda body: -_area(body)):
        ax.add_patch(_shape(body, fc=PALE_BLUE, ec=BLUE, lw=1.1))
    ax.add_patch(_chassis(drawing, drawing.shift, fill=False, ec=GREY, lw=0.8, ls=DASHED))
    ax.add_patch(_shape(drawing.named, drawing.shift, fill=False, ec=INK, lw=1.0, ls=DASHED))


def _chassis(drawing: BodySection, shift: tuple[float, float] = (0.0, 0.0), **look: Any) -> Any:
    from matplotlib.patches import Circle, Rectangle

    if len(drawing.chassis) == 1:
        return Circle(shift, drawing.chassis[0] / 2, **look)
    wide, high = drawing.chassis
    return Rectangle((shift[0] - wide / 2, shift[1] - high / 2), wide, high, **look)


def _about_the_tube(drawing: BodySection, unit: Unit) -> list[str]:
    sides = " × ".join(without_unit(unit, side) for side in drawing.chassis)
    return [
        *([f"tube ⌀ {without_unit(unit, drawing.outside)}"] if drawing.outside else []),
        f"bore ⌀ {without_unit(unit, drawing.bore)}",
        f"chassis {'⌀ ' if len(drawing.chassis) == 1 else ''}{sides}",
    ]


def _lines(placed: Sequence[PlacedBody], first: int, unit: Unit) -> list[str]:
    """The sizes of every numbered body, with its least gap."""

    def show(size: float) -> str:
        return without_unit(unit, size)

    lines = []
    for i, body in enumerate(placed, start=1):
        sizes = body.sizes
        name, offset = f"{i} {body.name}", sizes.get("offset", 0.0)
        gap = gap_words(body.gap, unit).removesuffix(unit.text).strip()
        more = []
        if body.is_round:
            size = f"⌀ {show(sizes['diameter'])}"
            if offset:
                at = math.degrees(sizes.get("angle", 0.0))
                more.append(f"{show(offset)} from the axis, at {at:.4g}°")
        else:
            size = f"{show(sizes['width'])} wide, face at {show(sizes['reach'])}"
            if "depth" in sizes:
                more.append(f"{show(sizes['depth'])} deep")
            if offset:
                more.append(f"{show(abs(offset))} to the {'right' if offset > 0 else 'left'}")
            if sizes.get("angle"):
                more.append(f"turned {math.degrees(sizes['angle']):.4g}°")
        lines += in_lines([f"{name}, {size}: {gap}"])
        if more:
            lines.append(f"    {', '.join(more)}")
    return [*lines, f"Least gaps: each at its worst shift, that of {first} dashed.", f"Nominal sizes ({unit.text})."]


def _direction(point: tuple[float, float]) -> str:
    """Where a point lies, seen from the axis of the chassis."""
    degrees = round(math.degrees(math.atan2(*point)))
    if degrees == 0:
        return "straight up"
    return f"{abs(degrees)}° {'clockwise' if degrees > 0 else 'anticlockwise'}"
