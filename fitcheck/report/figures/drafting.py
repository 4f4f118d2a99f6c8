"""What every figure draws with: colours, a sheet to scale, dimension lines and numbered parts.

Room for labels is counted in points, which do not depend on the size of the parts; a `Scale` turns them into lengths of
the drawing.
"""

from __future__ import annotations

import math
import textwrap
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from fitcheck.report.colours import BLUE, GREY, INK, METAL, ORANGE, PALE, PALE_BLUE, PALE_ORANGE
from fitcheck.report.figures.svg import SMALL, TEXT, WIDTH, any_letters, drafted, new_axes
from fitcheck.report.summary import printable
from fitcheck.units import Unit
from fitcheck.units import unit as named

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = [
    "BLUE", "CENTRE_LINE", "GREY", "GROUND", "INK", "LINE", "METAL", "ORANGE", "PALE", "PALE_BLUE", "PALE_ORANGE",
    "SMALL", "TEXT", "WIDTH", "Scale", "apart", "balloon", "density_label", "dimension_line", "drafted", "in_lines",
    "legend", "new_axes", "numbers_along", "readable", "to_scale", "width_of", "with_unit", "wrapped_to",
]  # fmt: skip

CENTRE_LINE: Any = (0, (12, 3, 2, 3))
"""The line style of an axis."""

GROUND: Any = {"fc": "white", "ec": "none", "pad": 0.6}
"""What a text stands on where lines may lie."""

LINE = 12.5
"""Points between lines of text."""


@dataclass(frozen=True, slots=True)
class Scale:
    """The scale of a drawing: mm in a point."""

    mm: float

    def __call__(self, points: float) -> float:
        """`points` as a length of the drawing."""
        return points * self.mm

    def points(self, length: float) -> float:
        """A length of the drawing in points."""
        return length / self.mm


def to_scale(
    ax: Axes | None,
    x: tuple[float, float],
    y: tuple[float, float],
    *,
    left: float = 4,
    right: float = 4,
    below: float = 4,
    above: float = 4,
    tallest: float = 210,
) -> tuple[Axes, Scale]:
    """Axes without a frame on which the box `x` by `y` mm is drawn to scale, the same across and upwards.

    The margins are points for labels around the box. New axes are as high as the box and its margins need; given axes
    keep their size and the box is fitted in.
    """
    wide, high = max(x[1] - x[0], 1e-6), max(y[1] - y[0], 1e-6)
    if ax is None:
        scale = Scale(max(wide / (WIDTH - left - right), high / tallest))
        total_x, total_y = WIDTH, scale.points(high) + below + above
        ax = new_axes(total_y)
    else:
        box = ax.get_window_extent()
        total_x, total_y = (72 / ax.figure.dpi * side for side in (box.width, box.height))
        scale = Scale(max(wide / max(total_x - left - right, 20), high / max(total_y - below - above, 20)))
    spare_x = (total_x - left - right - scale.points(wide)) / 2
    spare_y = (total_y - below - above - scale.points(high)) / 2
    ax.set_xlim(x[0] - scale(left + spare_x), x[1] + scale(right + spare_x))
    ax.set_ylim(y[0] - scale(below + spare_y), y[1] + scale(above + spare_y))
    ax.set_aspect("equal")
    ax.set_axis_off()
    return ax, scale


def dimension_line(
    ax: Axes,
    scale: Scale,
    start: tuple[float, float],
    end: tuple[float, float],
    text: str,
    *,
    beside: float,
    colour: str = INK,
) -> None:
    """A dimension line from `start` to `end`, across or upwards, with its text on it.

    `beside` is where the part is, as the coordinate square to the line; thin lines then lead from there to the ends.
    A line too short for its arrowheads gets them from outside.
    """
    upright = start[0] == end[0]
    along, across = (1, 0) if upright else (0, 1)
    for point in (start, end):
        tip = point[across] + scale(3) * (1 if point[across] > beside else -1)
        places = [beside, tip]
        fixed = [point[along]] * 2
        ax.plot(*((places, fixed) if upright else (fixed, places)), color=GREY, lw=0.5, solid_capstyle="butt")
    style: dict[str, Any] = {"shrinkA": 0, "shrinkB": 0, "lw": 0.7, "color": colour, "mutation_scale": 6}
    low, high = sorted((start, end), key=lambda p: p[along])
    if scale.points(high[along] - low[along]) >= 16:
        ax.annotate("", low, high, arrowprops={"arrowstyle": "<|-|>", **style})
    else:
        for point, way in ((low, -1), (high, 1)):
            tail = list(point)
            tail[along] += way * scale(11)
            ax.annotate("", point, (tail[0], tail[1]), arrowprops={"arrowstyle": "-|>", **style})
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    # White behind the text, which may be longer than the line and then lies on a line that leads to it.
    look: dict[str, Any] = {"fontsize": SMALL, "color": colour, "zorder": 6, "bbox": GROUND}
    if upright:
        ax.text(middle[0] - scale(2), middle[1], text, rotation=90, ha="right", va="center", **look)
    else:
        ax.text(middle[0], middle[1] + scale(2.5), text, ha="center", va="bottom", **look)


def readable(unit: Unit, *values: float) -> Unit:
    """The unit in which an axis shows some values of the inside unit: kN for newtons by the ten thousand.

    >>> from fitcheck.units import unit
    >>> readable(unit("N"), 2000, 23422).text
    'kN'
    """
    return named("kN") if unit.text == "N" and max(map(abs, values)) >= 1e4 else unit


def numbers_along(ax: Axes, points: float) -> None:
    """At least two numbers on the lower axis, which is `points` long, as many as have room and each in full."""
    low, high = ax.get_xlim()
    ax.ticklabel_format(axis="x", useOffset=False, style="plain")
    edge = 0.05 * (high - low)  # a number nearer to an end would run out of the axis
    for most in (6, 5, 4, 3, 2, 1):
        ax.locator_params(axis="x", nbins=most)
        ticks = [tick for tick in ax.get_xticks() if low + edge <= tick <= high - edge]
        labels = ax.xaxis.get_major_formatter().format_ticks(ticks)
        if len(ticks) * 5.6 * (max(map(len, labels), default=0) + 1) <= points:
            break
    if len(ticks) < 2:  # one number is no scale
        places = 2 - math.floor(math.log10(high - low))  # digits of the width, however far from 0 it lies
        ticks = [round(low + part * (high - low), places) for part in (0.15, 0.85)]
    ax.set_xticks(ticks)


def with_unit(name: str, unit: Unit) -> str:
    """The name of an axis with its unit.

    >>> from fitcheck.units import MM
    >>> with_unit("depth", MM)
    'depth, mm'
    """
    return f"{name}, {unit.text}" if unit.text else name


def density_label(unit: Unit) -> str:
    """The name of an axis of densities of a quantity in `unit`.

    >>> from fitcheck.units import MM
    >>> density_label(MM)
    'density, 1/mm'
    """
    text = f"({unit.text})" if "·" in unit.text or "/" in unit.text else unit.text
    return f"density, 1/{text}" if text else "density"


def apart(positions: Sequence[float], gap: float) -> list[float]:
    """`positions`, ascending, moved as little as possible (least squares) until they are `gap` apart."""
    blocks: list[tuple[float, int]] = []  # mean of the positions less the gaps before them, and how many
    for i, position in enumerate(positions):
        mean, count = position - i * gap, 1
        while blocks and blocks[-1][0] > mean:
            before, many = blocks.pop()
            mean, count = (before * many + mean * count) / (many + count), many + count
        blocks.append((mean, count))
    means = [mean for mean, count in blocks for _ in range(count)]
    return [mean + i * gap for i, mean in enumerate(means)]


def width_of(text: str, size: float = SMALL) -> float:
    """How wide a line of text is, in points, in the font that figures are measured in.

    A letter of a script that is as wide as high, which that font may lack, counts as wide as high.
    """
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import text_to_path

    # "W" is as good as one em.
    plain = "".join("W" if unicodedata.east_asian_width(letter) in "WF" else letter for letter in printable(text))
    with any_letters():
        wide, _, _ = text_to_path.get_text_width_height_descent(plain, FontProperties(size=size), False)
    return float(wide)


def wrapped_to(text: str, wide: float) -> list[str]:
    """The lines of `text`, none wider than `wide` points; a word that is wider itself is broken."""
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".lstrip()
        if width_of(longer) <= wide:
            lines[-1] = longer
            continue
        if lines[-1]:
            lines.append("")
        for letter in word:
            if lines[-1] and width_of(lines[-1] + letter) > wide:
                lines.append("")
            lines[-1] += letter
    return [line for line in lines if line]


def balloon(ax: Axes, at: tuple[float, float], text: str, part: tuple[float, float]) -> None:
    """The number of a part in a circle at `at`, with a line to a dot on the part."""
    ax.plot([at[0], part[0]], [at[1], part[1]], color=GREY, lw=0.6, zorder=4)
    ax.plot([part[0]], [part[1]], marker="o", ms=2, color=INK, zorder=5)
    circle = {"boxstyle": "circle,pad=0.25", "fc": "white", "ec": INK, "lw": 0.6}
    ax.text(*at, text, ha="center", va="center", fontsize=SMALL, bbox=circle, zorder=6)


def in_lines(parts: Sequence[str], letters: int = 50) -> list[str]:
    """Parts of a legend in lines: as many in a line as fit, none broken but one that is longer than a line.

    >>> in_lines(["1 lens: 3 ± 0.1 mm", "2 module: 14.5 ± 0.3 mm", "3 slug: 8 ± 0.1 mm"], 44)
    ['1 lens: 3 ± 0.1 mm;  2 module: 14.5 ± 0.3 mm', '3 slug: 8 ± 0.1 mm']
    """
    lines: list[str] = []
    for part in parts:
        if lines and len(lines[-1]) + len(part) + 3 <= letters:
            lines[-1] += f";  {part}"
        else:
            lines += textwrap.wrap(part, letters, subsequent_indent="    ")
    return lines


def legend(ax: Axes, scale: Scale, at: tuple[float, float], lines: Sequence[str]) -> None:
    """Lines of text downwards from `at`."""
    for i, line in enumerate(lines):
        ax.text(at[0], at[1] - scale(LINE * i), line, ha="left", va="top", fontsize=SMALL, zorder=6, bbox=GROUND)
