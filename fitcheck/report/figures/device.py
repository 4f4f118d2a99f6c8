"""The whole device along its axis, in one section to scale, and where on it a requirement is not met."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

from fitcheck.errors import InputError
from fitcheck.questions.blade.findings import TubeStack
from fitcheck.questions.finding import Station, Verdict
from fitcheck.questions.port.drawing import BodyStack, CrossSection
from fitcheck.report.figures.drafting import (
    BLUE,
    CENTRE_LINE,
    GREY,
    INK,
    METAL,
    ORANGE,
    PALE,
    PALE_BLUE,
    SMALL,
    Scale,
    dimension_line,
    drafted,
    new_axes,
)
from fitcheck.report.summary import shortened, without_unit
from fitcheck.threads.pair import Pair
from fitcheck.units import MM, Unit

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_WIDE = 540.0
"""Points; a page of A4 or Letter has as many between its margins."""
_TALLEST = 96.0
_ROW = 15.0
_BREAK = 13.0
"""Points left for the break where it is not known how far the socket lies from the body."""

T = TypeVar("T")


class Mark(NamedTuple):
    """A requirement that is not met: the number of its finding, where it is met, and what was found and needed."""

    number: str
    verdict: Verdict
    station: Station
    at: float | None
    words: str


@dataclass(frozen=True, slots=True)
class _Place:
    """Where the parts lie along the figure: mm from the mouth of the socket to each."""

    tube: TubeStack | None
    body: BodyStack | None
    bottom: float
    shoulder: float
    broken: bool

    @property
    def floor(self) -> float:
        """The floor of the end cap."""
        return self.shoulder + (sum(length for _, length in self.body.adds) if self.body else 0.0)

    @property
    def last(self) -> float:
        """The end of what stands in the body, the plug's if there is one."""
        return self.shoulder + (sum(length for _, length in self.body.takes) if self.body else 0.0)

    def of(self, mark: Mark) -> float:
        """Where a mark points to."""
        tube = self.tube
        if mark.station in (Station.SAW, Station.SCREW) and tube is not None:
            if mark.at is not None:
                return mark.at
            return tube.depth if mark.station is Station.SAW or not tube.screws else tube.screws[0][1]
        if mark.station in (Station.TUBE, Station.PLUG) and self.body is not None:
            before = self.body.takes[-1][1] if self.body.takes else 0.0
            return self.last - before / 2 if mark.at is None else self.shoulder + mark.at
        return (self.bottom + self.shoulder) / 2


def _first(kind: type[T], drawings: Iterable[object]) -> T | None:
    return next((one for one in drawings if isinstance(one, kind)), None)


def shows_device(drawings: Sequence[object]) -> bool:
    """Whether there is a socket or a body among the drawings of some findings."""
    return any(isinstance(one, TubeStack | BodyStack) for one in drawings)


@drafted
def device(
    drawings: Sequence[object],
    ax: Axes | None = None,
    unit: Unit = MM,
    *,
    marks: Sequence[Mark] = (),
    shoulder: float | None = None,
) -> Axes:
    """Draw socket and body along their common axis to scale, sizes in `unit`.

    Parameters
    ----------
    drawings : those of the findings: of them the first socket and the first body are drawn
    marks : a number each, with a line to its place
    shoulder : mm from the mouth of the socket to the shoulder in the body; without it they are drawn with a break

    Raises `InputError` where there is neither a socket nor a body among the drawings.
    """
    if not shows_device(drawings):
        raise InputError(
            "device: the drawing of a socket or of a body is needed, as blade_depth and port_clearance give"
        )
    tube, body = _first(TubeStack, drawings), _first(BodyStack, drawings)
    round_body, pair = _first(CrossSection, drawings), _first(Pair, drawings)
    bottom = tube.depth + sum(length for _, length in tube.below) if tube else 0.0
    stub = 0.22 * bottom if tube else 0.0
    across = max(filter(None, _diameters(tube, body, round_body)), default=20.0)
    broken = tube is not None and body is not None and shoulder is None
    known = shoulder if shoulder is not None and body is not None else bottom
    length = stub + max(known, bottom) + (sum(x for _, x in body.adds) if body else 0.0) + 4
    margins = 26.0 + (_BREAK if broken else 0.0)
    above, below = 10 + _ROW * len(marks), 46.0
    wide, tallest = _WIDE, _TALLEST
    if ax is not None:
        box = ax.get_window_extent()
        wide, tallest = (72 / ax.figure.dpi * side for side in (box.width, box.height - above - below))
    scale = Scale(max(length / max(wide - margins, 20), across / max(tallest, 20)))
    where = _Place(tube, body, bottom, known + (scale(_BREAK) if broken else 0.0), broken)

    if ax is None:
        ax = new_axes(scale.points(across) + above + below, wide)
    left = -stub - scale(8)
    ax.set_xlim(left, left + scale(wide))
    ax.set_ylim(-across / 2 - scale(below), across / 2 + scale(above))
    ax.set_aspect("equal")
    ax.set_axis_off()
    end = max(where.floor, where.bottom) + scale(10)
    ax.plot([left, end], [0, 0], color=GREY, lw=0.6, ls=CENTRE_LINE, zorder=1.5)
    if tube is not None:
        _socket(ax, scale, tube, where, stub)
    if body is not None:
        _body(ax, scale, body, where, round_body)
    if broken or pair is not None:
        _joint(ax, scale, where, across, pair)
    _lengths(ax, scale, where, unit, across)
    _marks(ax, scale, where, marks, across)
    _bar(ax, scale, unit, end, across)
    return ax


def _diameters(tube: TubeStack | None, body: BodyStack | None, section: CrossSection | None) -> Iterator[float | None]:
    if tube is not None:
        yield from (tube.outside, tube.bore, tube.blade)
    if body is not None:
        yield from (body.outside, body.bore, section.outside if section else None)


def _walls(ax: Axes, start: float, end: float, bore: float, outside: float) -> None:
    from matplotlib.patches import Rectangle

    for side in (-1, 1):
        low, high = sorted((side * bore / 2, side * outside / 2))
        ax.add_patch(Rectangle((start, low), end - start, high - low, fc=METAL, ec=GREY, hatch="/////", lw=0))
        ax.plot([start, end, end, start, start], [low, low, high, high, low], color=INK, lw=0.8)


def _socket(ax: Axes, scale: Scale, tube: TubeStack, where: _Place, stub: float) -> None:
    from matplotlib.patches import Polygon, Rectangle

    bore = tube.bore or (tube.blade or (tube.outside or tube.depth * 0.5) * 0.8) * 1.02
    outside = max(tube.outside or bore * 1.2, bore)
    blade = min(tube.blade or bore * 0.98, outside)
    floor = scale(3)
    _walls(ax, 0.0, where.bottom + floor, bore, outside)
    ax.add_patch(Rectangle((where.bottom, -bore / 2), floor, bore, fc=METAL, ec=INK, lw=0.8, hatch="/////"))
    zigzag = [(-stub + (scale(4) if i % 2 else 0), blade * (i / 6 - 0.5)) for i in range(7)]
    end = [(tube.depth, blade / 2), (tube.depth, -blade / 2)]
    ax.add_patch(Polygon([*zigzag, *end], fc=PALE_BLUE, ec=BLUE, lw=1.0, zorder=1))
    _label(ax, scale, "blade", -stub, tube.depth, PALE_BLUE)
    at = tube.depth
    for i, (name, length) in enumerate(tube.below):
        fill = PALE if i % 2 else "#a9b1ba"
        ax.add_patch(Rectangle((at, -bore / 2), length, bore, fc=fill, ec=INK, lw=0.7))
        _label(ax, scale, name, at, at + length, fill)
        at += length
    for _, x in tube.screws:
        wide = max(scale(7), 0.06 * outside)
        ax.add_patch(
            Rectangle((x - wide / 2, blade / 2), wide, outside / 2 - blade / 2, fc=INK, ec="white", lw=0.6, zorder=3)
        )
        ax.plot([x, x], [-outside / 2, outside / 2 + scale(4)], color=INK, lw=0.6, ls=(0, (8, 2, 1.5, 2)), zorder=3)


def _body(ax: Axes, scale: Scale, body: BodyStack, where: _Place, section: CrossSection | None) -> None:
    from matplotlib.patches import Rectangle

    outside = body.outside or (section.outside if section and section.outside else body.bore * 1.12)
    cap = max(scale(5), 0.02 * where.floor)
    _walls(ax, where.shoulder, where.floor, body.bore, outside)
    ax.add_patch(Rectangle((where.floor, -outside / 2), cap, outside, fc=METAL, ec=INK, lw=0.8, hatch="/////"))
    at, across = where.shoulder, body.chassis or body.bore * 0.95
    for i, (name, length) in enumerate(body.takes):
        # The chassis fills the bore; what follows it is a port, a plug, of no stated diameter.
        high = across if i == 0 else across * (0.55 if i % 2 else 0.4)
        fill = PALE if i == 0 else PALE_BLUE
        ax.add_patch(Rectangle((at, -high / 2), length, high, fc=fill, ec=INK if i == 0 else BLUE, lw=0.8))
        _label(ax, scale, name, at, at + length, fill)
        at += length


def _label(ax: Axes, scale: Scale, name: str, start: float, end: float, fill: str) -> None:
    """The name of a part, upright where it is too short for it."""
    name = name.replace("_", " ")
    room = scale.points(end - start)
    upright = room < 5.2 * len(name) + 6
    if room < 9:
        return
    shown = shortened(name, max(int(scale.points(scale(_TALLEST)) / 6), 6)) if upright else name
    behind: dict[str, Any] = {"fc": fill, "ec": "none", "pad": 0.6}
    ax.text((start + end) / 2, 0, shown, ha="center", va="center", fontsize=SMALL, rotation=90 if upright else 0,
            bbox=behind, zorder=4)  # fmt: skip


def _joint(ax: Axes, scale: Scale, where: _Place, across: float, pair: Pair | None) -> None:
    """The break between socket and body, and the thread that joins them."""
    low, high = where.bottom + scale(3), where.shoulder
    if where.broken:
        for x in (low + (high - low) * 0.35, low + (high - low) * 0.75):
            ys = [(across / 2 + scale(4)) * (i / 4 - 1) for i in range(9)]
            ax.plot([x + scale(1.5 if i % 2 else -1.5) for i in range(9)], ys, color=GREY, lw=0.8, zorder=2)
    if pair is not None:
        thread = pair.external.thread
        hand = " LEFT-HAND" if thread.left_hand else ""
        ax.text((low + high) / 2, -across / 2 - scale(5), f"{thread.size_and_pitch}{hand}", ha="center", va="top",
                fontsize=SMALL, zorder=5)  # fmt: skip


def _lengths(ax: Axes, scale: Scale, where: _Place, unit: Unit, across: float) -> None:
    """The lengths that everything else is counted from, below the section."""
    low = -across / 2
    first, second = low - scale(18), low - scale(34)
    if where.tube is not None:
        outside = where.tube.outside or across
        rows = ((where.tube.depth, "depth", first, BLUE), (where.bottom, "to the bottom", second, INK))
        for end, name, y, colour in rows:
            words = f"{name} {without_unit(unit, end)}"
            dimension_line(ax, scale, (0, y), (end, y), words, beside=-outside / 2, colour=colour)
    if where.body is not None:
        start, floor = where.shoulder, where.floor
        words = f"shoulder to cap {without_unit(unit, floor - start)} {unit.text}"
        dimension_line(ax, scale, (start, second), (floor, second), words, beside=low)
        if where.body.takes:
            left = floor - where.last
            ax.text(
                floor, first, f"{without_unit(unit, left)} left", ha="right", va="center", fontsize=SMALL, color=BLUE
            )


def _marks(ax: Axes, scale: Scale, where: _Place, marks: Sequence[Mark], across: float) -> None:
    """A number for each, in rows over the section, the words beside it; dark where it fails."""
    placed = sorted(((where.of(mark), mark) for mark in marks), key=lambda each: each[0])
    rows = len(placed)
    for i, (x, mark) in enumerate(placed):
        fails = mark.verdict is Verdict.FAILS
        colour = ORANGE if fails else GREY
        y = across / 2 + scale(10 + _ROW * (rows - 1 - i))
        ax.plot([x, x], [across * 0.36, y], color=colour, lw=1.2 if fails else 0.9, zorder=5)
        ax.plot([x], [across * 0.36], marker="o", ms=3.5, color=colour, zorder=6)
        box = {"boxstyle": "round,pad=0.25", "fc": colour if fails else "white", "ec": colour, "lw": 1.1}
        ax.text(x, y, f"{mark.number}", ha="center", va="center", fontsize=SMALL, fontweight="bold",
                color="white" if fails else colour, bbox=box, zorder=7)  # fmt: skip
        right = scale.points(x - ax.get_xlim()[0]) < 0.62 * _WIDE
        beside = scale(7 + 3 * len(mark.number))
        ax.text(x + (beside if right else -beside), y, f"{mark.verdict.value}: {mark.words}", va="center", color=colour,
                ha="left" if right else "right", fontsize=SMALL, zorder=7,
                bbox={"fc": "white", "ec": "none", "pad": 0.5})  # fmt: skip


def _bar(ax: Axes, scale: Scale, unit: Unit, end: float, across: float) -> None:
    """A bar of a round length, by which the scale of a copy is seen."""
    steps = [1, 2, 5, 10, 20, 50, 100, 200, 500]
    shown = next((s for s in steps if scale.points(s * unit.scale) >= 34), steps[-1])
    x, y = end, -across / 2 - scale(40)
    ax.plot([x - shown * unit.scale, x], [y, y], color=INK, lw=2.2, solid_capstyle="butt")
    ax.text(x - shown * unit.scale - scale(3), y, f"{shown} {unit.text}", ha="right", va="center", fontsize=SMALL)
