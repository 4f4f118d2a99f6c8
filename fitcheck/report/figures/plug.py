"""A shortened plug in its port under the closed cap, along the axis."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitcheck.bench.plug import PlugStack
from fitcheck.report.figures.drafting import (
    BLUE,
    CENTRE_LINE,
    GREY,
    INK,
    METAL,
    ORANGE,
    PALE_BLUE,
    PALE_ORANGE,
    SMALL,
    Scale,
    dimension_line,
    drafted,
    legend,
    number,
    to_scale,
)
from fitcheck.units import MM, Unit

if TYPE_CHECKING:
    from matplotlib.axes import Axes

# Widths are not to scale; these are points.
_HALF = 24.0  # from the axis to the outside of the port
_PIN = 9.0  # from the axis to the bore of the port
_THICK = 10.0  # floor of the port, and cap


@drafted
def plug(drawing: PlugStack, ax: Axes | None = None, unit: Unit = MM) -> Axes:
    """Draw port, plug pushed home and cap along the axis, lengths to scale and widths not; sizes in `unit`.

    Below lies the window of lengths that work at worst case, as the places where the plug's cut end may be.
    """
    from matplotlib.patches import Rectangle

    seat, travel, room = drawing.seat, drawing.travel, drawing.room
    end = drawing.length - seat
    right = max(room, end, *(length - seat for length in drawing.window))
    ax, scale = to_scale(ax, (-seat, right), (0.0, 0.0), left=24, right=34, below=_HALF + 74, above=_HALF + 44)
    tall, pin, thick = scale(_HALF), scale(_PIN), scale(_THICK)

    back = -seat - thick
    for y in (pin, -tall):
        ax.add_patch(Rectangle((back, y), -back, tall - pin, fc=METAL, ec=GREY, hatch="/////", lw=0))
    ax.add_patch(Rectangle((back, -pin), thick, 2 * pin, fc=METAL, ec=GREY, hatch="/////", lw=0))
    outline = [(back, -tall), (back, tall), (0, tall), (0, pin), (-seat, pin), (-seat, -pin), (0, -pin), (0, -tall)]
    ax.plot(*zip(*outline, outline[0], strict=True), color=INK, lw=0.9)
    ax.add_patch(Rectangle((room, -tall), thick, 2 * tall, fc=METAL, ec=GREY, hatch="\\\\\\\\\\", lw=0))
    ax.plot([room, room], [-tall, tall], color=INK, lw=1.1)
    ax.add_patch(
        Rectangle((-seat, -0.8 * pin), drawing.length, 1.6 * pin, fc=PALE_BLUE, ec=BLUE, lw=1.1, alpha=0.9, zorder=3)
    )
    ax.plot([-travel] * 2, [-tall - scale(3), tall + scale(8)], color=ORANGE, lw=1, ls=(0, (4, 2)), zorder=4)
    ax.plot([back - scale(4), right + scale(14)], [0, 0], color=GREY, lw=0.5, ls=CENTRE_LINE, zorder=5)
    ax.text(back - scale(3), 0, "port", rotation=90, ha="right", va="center", fontsize=SMALL)
    ax.text(max(room + thick, right) + scale(3), 0, "cap", rotation=90, ha="left", va="center", fontsize=SMALL)

    at = tall + scale(8)
    opens = f"contact opens {number(unit, travel)}"
    dimension_line(ax, scale, (-travel, at), (0, at), opens, beside=tall, colour=ORANGE)
    dimension_line(ax, scale, (0, at), (room, at), f"room {number(unit, room)}", beside=tall)
    at += scale(16)
    dimension_line(ax, scale, (-seat, at), (0, at), f"plug stops {number(unit, seat)}", beside=tall)
    at = -tall - scale(18)
    dimension_line(ax, scale, (-seat, at), (end, at), f"length {number(unit, drawing.length)}", beside=-pin)
    _window(ax, drawing, scale, unit, -tall - scale(34))
    note = f"Lengths to scale, nominal, in {unit.text}; widths are not to scale."
    legend(ax, scale, (back, -tall - scale(64)), [note])
    return ax


def _window(ax: Axes, drawing: PlugStack, scale: Scale, unit: Unit, y: float) -> None:
    """The window at worst case, from shortest to longest; where it is empty, what the two ends ask for."""
    from matplotlib.patches import Rectangle

    low, high = drawing.window
    works = low <= high
    left, right = sorted((low - drawing.seat, high - drawing.seat))
    face, edge, hatch = (PALE_BLUE, BLUE, None) if works else (PALE_ORANGE, ORANGE, "xxxx")
    tall = scale(8)
    ax.plot([-drawing.seat, right], [y - tall / 2] * 2, color=GREY, lw=0.6)
    ax.add_patch(Rectangle((left, y - tall), right - left, tall, fc=face, ec=edge, hatch=hatch, lw=1.1, zorder=3))
    end = drawing.length - drawing.seat
    ax.plot([end], [y + scale(1.5)], marker="v", ms=5, color=INK, zorder=4, clip_on=False)
    text = (
        f"lengths that work at worst case: {number(unit, low)} to {number(unit, high)}"
        if works
        else f"no length works at worst case: at least {number(unit, low)}, at most {number(unit, high)}"
    )
    ax.text(-drawing.seat - scale(_THICK), y - tall - scale(3), text, ha="left", va="top", fontsize=SMALL, color=edge)
