"""A shortened plug in its port under the closed cap, along the axis."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from fitcheck.printed import choice
from fitcheck.questions.plug.findings import PlugStack
from fitcheck.report.figures.drafting import (
    BLUE,
    CENTRE_LINE,
    GREY,
    GROUND,
    INK,
    LINE,
    METAL,
    ORANGE,
    PALE_BLUE,
    PALE_ORANGE,
    SMALL,
    Scale,
    dimension_line,
    drafted,
    legend,
    to_scale,
)
from fitcheck.report.summary import without_unit
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

    Below, enlarged, lies the length of the plug against the window of lengths that work at worst case.
    """
    from matplotlib.patches import Rectangle

    seat, travel, room = drawing.seat, drawing.travel, drawing.room
    end = drawing.length - seat
    right = max(room, end, *(length - seat for length in drawing.window))
    ax, scale = to_scale(ax, (-seat, right), (0.0, 0.0), left=24, right=34, below=_HALF + 109 + LINE, above=_HALF + 46)
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
    names: dict[str, Any] = {"rotation": 90, "va": "center", "fontsize": SMALL, "zorder": 6}
    names["bbox"] = GROUND  # on the centre line
    ax.text(back - scale(3), 0, "port", ha="right", **names)
    ax.text(max(room + thick, right) + scale(3), 0, "cap", ha="left", **names)

    # One line a row: a text may be longer than what it measures.
    rows = (
        (tall + scale(8), -travel, 0.0, f"contact opens {without_unit(unit, travel)}", tall, ORANGE),
        (tall + scale(24), -seat, 0.0, f"plug stops {without_unit(unit, seat)}", tall, INK),
        (-tall - scale(18), 0.0, room, f"room {without_unit(unit, room)}", -tall, INK),
        (-tall - scale(34), -seat, end, f"length {without_unit(unit, drawing.length)}", -pin, INK),
    )
    for y, start, stop, text, beside, colour in rows:
        dimension_line(ax, scale, (start, y), (stop, y), text, beside=beside, colour=colour)
    _window(ax, drawing, scale, unit, (back, right + thick), -tall - scale(66))
    notes = [f"Lengths nominal ({unit.text}) and to scale, widths not.", "The lengths that work, enlarged."]
    legend(ax, scale, (back, -tall - scale(96)), notes)
    return ax


def _window(ax: Axes, drawing: PlugStack, scale: Scale, unit: Unit, span: tuple[float, float], y: float) -> None:
    """The window at worst case and the length of the plug on a line across `span`, enlarged until they fill it."""
    from matplotlib.patches import Rectangle

    low, high = drawing.window
    works = low <= high
    first, last = min(low, high, drawing.length), max(low, high, drawing.length)
    room = 0.3 * (last - first) or 0.1
    start, factor = first - room, (span[1] - span[0]) / (last - first + 2 * room)

    def place(length: float) -> float:
        return span[0] + (length - start) * factor

    left, right = sorted((place(low), place(high)))
    face, edge, hatch = (PALE_BLUE, BLUE, None) if works else (PALE_ORANGE, ORANGE, "xxxx")
    ax.plot(span, [y, y], color=GREY, lw=0.7)
    ax.add_patch(
        Rectangle((left, y - scale(4)), right - left, scale(8), fc=face, ec=edge, hatch=hatch, lw=1.1, zorder=3)
    )
    least, most = choice(low, high, unit, bare=True)
    text = f"works: {least} to {most}" if works else f"none works: at least {least}, at most {most}"
    _label(ax, text, (left + right) / 2, span, y - scale(7), va="top", color=edge)
    at = place(drawing.length)
    ax.plot([at], [y + scale(7)], marker="v", ms=5, color=INK, zorder=4)
    _label(ax, f"length {without_unit(unit, drawing.length)}", at, span, y + scale(11), va="bottom")


def _label(ax: Axes, text: str, x: float, span: tuple[float, float], y: float, **how: Any) -> None:
    """`text` at `x`, turned inwards where it would leave `span`."""
    third = (x - span[0]) / (span[1] - span[0])
    side = "left" if third < 0.34 else "right" if third > 0.66 else "center"
    ax.text(x, y, text, ha=side, fontsize=SMALL, **how)
