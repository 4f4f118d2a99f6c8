"""The whole device along its axis, in one section to scale, and where on it a requirement is not met."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from fitcheck.errors import InputError
from fitcheck.questions.blade.findings import TubeStack
from fitcheck.questions.finding import Station, Verdict
from fitcheck.questions.port.drawing import BodyStack, CrossSection
from fitcheck.questions.set_screw.findings import StripDrawing
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
    Scale,
    apart,
    dimension_line,
    drafted,
    legend,
    new_axes,
    width_of,
    wrapped_to,
)
from fitcheck.report.summary import without_unit
from fitcheck.threads.pair import Pair
from fitcheck.units import MM, Unit

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_WIDE = 540.0
"""Points; a page of A4 or Letter has as many between its margins."""
_TALLEST = 88.0
_BADGES = 32.0
"""Points over the section that the numbers of the marks take."""
_ROWS = (18.0, 34.0, 48.0, 61.0)
"""Points below the section of its rows: two of lengths, the thread, the bar of the scale."""
_FILLS = ("#a9b1ba", PALE)
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

    def surface(self, x: float, scale: Scale) -> float:
        """How high the section is at a place."""
        tube, body = self.tube, self.body
        if tube is not None and (body is None or x <= self.bottom + scale(3)):
            return _rounds(tube)[2] / 2
        return (body.outside or body.bore * 1.12) / 2 if body is not None else 0.0

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
    marks : a number each, with a line to its place; left out where its part is not among the drawings
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
    wide, room = _WIDE, None
    if ax is not None:
        box = ax.get_window_extent()
        wide, room = (72 / ax.figure.dpi * side for side in (box.width, box.height))
    thread = _thread(pair)
    marks = [mark for mark in marks if _is_drawn(mark.station, tube, body)]
    told = [wrapped_to(f"{mark.verdict.value}: {mark.words}", wide - 40) for mark in marks]
    above = 6 + (_BADGES + _heights(told) if marks else 0.0)
    key: list[str] = []
    before = after = 8.0  # points left of the socket and right of the cap
    last = _ROWS[2]
    # What does not fit on its line takes room beside the section, which is drawn smaller then.
    for _ in range(5):
        below = last + 10 + LINE * len(key)
        tallest = _TALLEST if room is None else room - above - below
        margins = before + after + 10 + (_BREAK if broken else 0.0)
        scale = Scale(max(length / max(wide - margins, 20), across / max(tallest, 20)))
        where = _Place(tube, body, bottom, known + (scale(_BREAK) if broken else 0.0), broken)
        lengths = [*_lengths_of(where, unit)]
        named = [*_parts(where, stub, scale)]
        key = wrapped_to(";  ".join(f"{one.letter} {one.name}" for one in named if one.letter), wide - 20)
        before = max([before, *(one.beside(scale) - scale.points(stub) for one in lengths if one.way < 0)])
        after = max([after, *(one.beside(scale) for one in lengths if one.way > 0)])
        if body is None and thread:
            after = max(after, width_of(thread) + 12)
        end = max(where.floor, where.bottom) + scale(10)
        _, taken = _joint(where, scale, thread, -stub - scale(before), wide)
        last = _ROWS[3] if _bar(scale, unit, end)[1] < taken else _ROWS[2]

    below = last + 10 + LINE * len(key)
    if ax is None:
        ax = new_axes(scale.points(across) + above + below, wide)
    left = -stub - scale(before)
    ax.set_xlim(left, left + scale(wide))
    ax.set_ylim(-across / 2 - scale(below), across / 2 + scale(above))
    ax.set_aspect("equal")
    ax.set_axis_off()
    ax.plot([-stub - scale(8), end], [0, 0], color=GREY, lw=0.6, ls=CENTRE_LINE, zorder=1.5)
    if tube is not None:
        _socket(ax, scale, tube, where, stub)
        _how_many(ax, scale, tube, drawings)
    if body is not None:
        _body(ax, scale, body, where, round_body)
    for one in named:
        _label(ax, scale, one)
    if broken:
        _broken(ax, scale, where, across)
    for each in lengths:
        _length(ax, scale, each, across)
    _draw_joint(ax, scale, where, across, thread)
    _draw_bar(ax, scale, unit, end, -across / 2 - scale(last))
    legend(ax, scale, (left + scale(8), -across / 2 - scale(last + 8)), key)
    _marks(ax, scale, where, marks, told, across)
    return ax


def _is_drawn(station: Station, tube: TubeStack | None, body: BodyStack | None) -> bool:
    """Whether what is worked on there is drawn: a mark of another part would point at the wrong one."""
    if station in (Station.SAW, Station.SCREW):
        return tube is not None
    return body is not None or station not in (Station.TUBE, Station.PLUG)


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

    blade, bore, outside = _rounds(tube)
    floor = scale(3)
    _walls(ax, 0.0, where.bottom + floor, bore, outside)
    ax.add_patch(Rectangle((where.bottom, -bore / 2), floor, bore, fc=METAL, ec=INK, lw=0.8, hatch="/////"))
    zigzag = [(-stub + (scale(4) if i % 2 else 0), blade * (i / 6 - 0.5)) for i in range(7)]
    end = [(tube.depth, blade / 2), (tube.depth, -blade / 2)]
    ax.add_patch(Polygon([*zigzag, *end], fc=PALE_BLUE, ec=BLUE, lw=1.0, zorder=1))
    at = tube.depth
    for i, (_, length) in enumerate(tube.below):
        ax.add_patch(Rectangle((at, -bore / 2), length, bore, fc=_FILLS[i % 2], ec=INK, lw=0.7))
        at += length
    for _, x in tube.screws:
        wide = _screw(scale, outside)
        ax.add_patch(
            Rectangle((x - wide / 2, blade / 2), wide, outside / 2 - blade / 2, fc=INK, ec="white", lw=0.6, zorder=3)
        )
        ax.plot([x, x], [-outside / 2, outside / 2 + scale(4)], color=INK, lw=0.6, ls=(0, (8, 2, 1.5, 2)), zorder=3)


def _how_many(ax: Axes, scale: Scale, tube: TubeStack, drawings: Iterable[object]) -> None:
    """How many screws a mark stands for, beside it: around the tube they lie in one section, and are drawn as one.

    Those that the tube names at one depth; where there is but one depth, those that the question on the screws names.
    """
    number = Counter(x for _, x in tube.screws)
    told = [one.bench.screws for one in drawings if isinstance(one, StripDrawing)]
    if len(number) == len(told) == 1:
        number = Counter({x: max(n, told[0]) for x, n in number.items()})
    outside = _rounds(tube)[2]
    for x, n in number.items():
        if n > 1:
            beside = x + _screw(scale, outside) / 2 + scale(3)
            ax.text(beside, outside / 2 + scale(1.5), f"×{n}", ha="left", va="bottom", fontsize=SMALL, zorder=6)


def _screw(scale: Scale, outside: float) -> float:
    """How wide a screw is drawn."""
    return max(scale(7), 0.06 * outside)


def _body(ax: Axes, scale: Scale, body: BodyStack, where: _Place, section: CrossSection | None) -> None:
    from matplotlib.patches import Rectangle

    outside = body.outside or (section.outside if section and section.outside else body.bore * 1.12)
    cap = max(scale(5), 0.02 * where.floor)
    _walls(ax, where.shoulder, where.floor, body.bore, outside)
    ax.add_patch(Rectangle((where.floor, -outside / 2), cap, outside, fc=METAL, ec=INK, lw=0.8, hatch="/////"))
    at = where.shoulder
    for i, (_, length) in enumerate(body.takes):
        high, fill = _high(body, i), PALE if i == 0 else PALE_BLUE
        ax.add_patch(Rectangle((at, -high / 2), length, high, fc=fill, ec=INK if i == 0 else BLUE, lw=0.8))
        at += length


def _high(body: BodyStack, i: int) -> float:
    """How high what stands in the body is drawn: the chassis as it is; what follows, a port, a plug, as it may be."""
    return (body.chassis or body.bore * 0.95) * (1.0 if i == 0 else 0.55 if i % 2 else 0.4)


def _rounds(tube: TubeStack) -> tuple[float, float, float]:
    """The diameters of blade, bore and outside; likely ones where they are not known."""
    bore = tube.bore or (tube.blade or (tube.outside or tube.depth * 0.5) * 0.8) * 1.02
    outside = max(tube.outside or bore * 1.2, bore)
    return min(tube.blade or bore * 0.98, outside), bore, outside


# -- the names of the parts --------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Named:
    """A part that is named: where its name has room, along and across, and how it is said there.

    letter: that stands in the part, for a name that does not fit, which a key below the drawing then says.
    """

    name: str
    start: float
    end: float
    high: float
    fill: str
    upright: bool = False
    letter: str = ""


def _parts(where: _Place, stub: float, scale: Scale) -> Iterator[_Named]:
    """Every part that is wide enough to be named."""
    shapes: list[tuple[str, float, float, float, str]] = []
    if (tube := where.tube) is not None:
        blade, bore, _ = _rounds(tube)
        # The name of the blade stands where no axis of a screw crosses it.
        stops = sorted([-stub + scale(4), *(x for _, x in tube.screws if -stub < x < tube.depth), tube.depth])
        start, end = max(pairwise(stops), key=lambda each: each[1] - each[0])
        shapes.append(("blade", start, end, blade, PALE_BLUE))
        at = tube.depth
        for i, (name, length) in enumerate(tube.below):
            shapes.append((name, at, at + length, bore, _FILLS[i % 2]))
            at += length
    if (body := where.body) is not None:
        at = where.shoulder
        for i, (name, length) in enumerate(body.takes):
            shapes.append((name, at, at + length, _high(body, i), PALE if i == 0 else PALE_BLUE))
            at += length
    letters = 0
    for name, start, end, high, fill in shapes:
        one = _Named(name.replace("_", " "), start, end, high, fill)
        along, across, long = scale.points(end - start), scale.points(high), width_of(one.name) + 6
        if along < 10 or across < 11:
            continue
        if long <= along:
            yield one
        elif along >= 11.5 and long <= across:
            yield replace(one, upright=True)
        else:
            yield replace(one, letter=_letter(letters))
            letters += 1


def _letter(i: int) -> str:
    """a, b, ... z, aa, ab, ..."""
    return ("" if i < 26 else _letter(i // 26 - 1)) + chr(ord("a") + i % 26)


def _label(ax: Axes, scale: Scale, one: _Named) -> None:
    """The name of a part, or its letter: over the axis, or upright, with the axis broken behind it."""
    over = 0.25 * one.high if scale.points(one.high) >= 28 and not one.upright else 0.0
    ax.text((one.start + one.end) / 2, over, one.letter or one.name, ha="center", va="center", fontsize=SMALL,
            rotation=90 if one.upright else 0, bbox={"fc": one.fill, "ec": "none", "pad": 0.3}, zorder=4)  # fmt: skip


# -- lengths and marks -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Length:
    """A dimension line below the section, in one of its rows; way: to which side its words go where they do not fit."""

    start: float
    end: float
    words: str
    row: int
    way: int
    colour: str = INK
    inside: bool = True

    def fits(self, scale: Scale) -> bool:
        return self.inside and scale.points(abs(self.end - self.start)) >= width_of(self.words) + 8

    def beside(self, scale: Scale) -> float:
        """Points that its words take outside; 0 where they stand on the line."""
        return 0.0 if self.fits(scale) else width_of(self.words) + 22


def _lengths_of(where: _Place, unit: Unit) -> Iterator[_Length]:
    """The lengths that everything else is counted from."""
    if where.tube is not None:
        depth = where.tube.depth
        yield _Length(0.0, depth, f"depth {without_unit(unit, depth)}", 0, -1, BLUE)
        yield _Length(0.0, where.bottom, f"to the bottom {without_unit(unit, where.bottom)}", 1, -1)
    if where.body is not None:
        start, floor = where.shoulder, where.floor
        yield _Length(start, floor, f"shoulder to cap {without_unit(unit, floor - start)} {unit.text}", 1, 1)
        if where.body.takes:
            yield _Length(where.last, floor, f"{without_unit(unit, floor - where.last)} left", 0, 1, BLUE, inside=False)


def _length(ax: Axes, scale: Scale, one: _Length, across: float) -> None:
    y = -across / 2 - scale(_ROWS[one.row])
    dimension_line(ax, scale, (one.start, y), (one.end, y), "", beside=-across / 2, colour=one.colour)
    if one.fits(scale):
        ax.text((one.start + one.end) / 2, y + scale(2.5), one.words, ha="center", va="bottom", fontsize=SMALL,
                color=one.colour, zorder=6)  # fmt: skip
        return
    # Beyond the arrowhead that comes from outside.
    low, high = sorted((one.start, one.end))
    x, side = (low - scale(14), "right") if one.way < 0 else (high + scale(14), "left")
    ax.text(x, y, one.words, ha=side, va="center", fontsize=SMALL, color=one.colour, zorder=6)


def _broken(ax: Axes, scale: Scale, where: _Place, across: float) -> None:
    """The break between socket and body."""
    low, high = where.bottom + scale(3), where.shoulder
    for x in (low + (high - low) * 0.35, low + (high - low) * 0.75):
        ys = [(across / 2 + scale(4)) * (i / 4 - 1) for i in range(9)]
        ax.plot([x + scale(1.5 if i % 2 else -1.5) for i in range(9)], ys, color=GREY, lw=0.8, zorder=2)


def _thread(pair: Pair | None) -> str:
    if pair is None:
        return ""
    thread = pair.external.thread
    return f"{thread.size_and_pitch}{' LEFT-HAND' if thread.left_hand else ''}"


def _joint(where: _Place, scale: Scale, thread: str, left: float, wide: float) -> tuple[float, float]:
    """The middle of the words on the thread under the lengths, and how far its row is then taken, from the left."""
    if not thread or where.body is None:
        return 0.0, left
    half = scale(width_of(thread) / 2)
    x = (where.bottom + scale(3) + where.shoulder) / 2 if where.tube is not None else where.shoulder
    # The row ends where the drawing does.
    x = min(max(x, left + scale(4) + half), left + scale(wide - 4) - half)
    return x, x + half


def _draw_joint(ax: Axes, scale: Scale, where: _Place, across: float, thread: str) -> None:
    """The thread that joins socket and body, with a line to it; beside the end of a socket alone."""
    if not thread:
        return
    low, high = ax.get_xlim()
    if where.body is None:
        x, y, side = where.bottom + scale(8), -across / 2 - scale(_ROWS[0]), "left"
    else:
        (x, _), side = _joint(where, scale, thread, low, scale.points(high - low)), "center"
        y = -across / 2 - scale(_ROWS[2])
    if where.body is not None and where.tube is not None:
        at = (where.bottom + scale(3) + where.shoulder) / 2
        ax.plot([at, at], [-across / 2 - scale(7), y + scale(6)], color=GREY, lw=0.5, zorder=1.4)
    ax.text(x, y, thread, ha=side, va="center", fontsize=SMALL, zorder=5)


def _heights(told: Sequence[Sequence[str]]) -> float:
    """Points that the words of all marks take."""
    return sum(LINE * len(lines) + 2 for lines in told)


def _marks(
    ax: Axes, scale: Scale, where: _Place, marks: Sequence[Mark], told: Sequence[Sequence[str]], across: float
) -> None:
    """A number over the place of each, and above them what each number means; dark where it fails.

    The words stand in lines of their own, so that no line to a place crosses them, however many there are.
    """
    if not marks:
        return
    left, right = ax.get_xlim()
    order = sorted(range(len(marks)), key=lambda i: where.of(marks[i]))
    gap = scale(max(width_of(mark.number) for mark in marks) + 12)
    places = apart([where.of(marks[i]) for i in order], gap)
    # Together they are moved into the drawing.
    moved = max(left + gap - places[0], 0.0) or min(right - gap - places[-1], 0.0)
    badge = across / 2 + scale(18)
    for i, place in zip(order, places, strict=True):
        mark, x = marks[i], where.of(marks[i])
        colour, top = _colour(mark), where.surface(x, scale) + scale(5)
        ax.plot([x, place + moved], [top, badge], color=colour, lw=1.2 if _fails(mark) else 0.9, zorder=5)
        ax.plot([x], [top], marker="o", ms=3.5, color=colour, zorder=6)
        _badge(ax, (place + moved, badge), mark)
    y = across / 2 + scale(_BADGES + _heights(told) - LINE / 2)
    for mark, lines in zip(marks, told, strict=True):
        _badge(ax, (left + scale(14), y), mark)
        for line in lines:
            ax.text(left + scale(32), y, line, va="center", ha="left", fontsize=SMALL, color=_colour(mark), zorder=7)
            y -= scale(LINE)
        y -= scale(2)


def _fails(mark: Mark) -> bool:
    return mark.verdict is Verdict.FAILS


def _colour(mark: Mark) -> str:
    return ORANGE if _fails(mark) else GREY


def _badge(ax: Axes, at: tuple[float, float], mark: Mark) -> None:
    fails, colour = _fails(mark), _colour(mark)
    box = {"boxstyle": "round,pad=0.2", "fc": colour if fails else "white", "ec": colour, "lw": 1.0}
    ax.text(*at, mark.number, ha="center", va="center", fontsize=SMALL, fontweight="bold",
            color="white" if fails else colour, bbox=box, zorder=7)  # fmt: skip


def _bar(scale: Scale, unit: Unit, end: float) -> tuple[int, float]:
    """A round length for the bar that ends at `end`, in `unit`, and where its words begin."""
    steps = [1, 2, 5, 10, 20, 50, 100, 200, 500]
    shown = next((s for s in steps if scale.points(s * unit.scale) >= 34), steps[-1])
    return shown, end - shown * unit.scale - scale(width_of(f"{shown} {unit.text}") + 12)


def _draw_bar(ax: Axes, scale: Scale, unit: Unit, end: float, y: float) -> None:
    """A bar of a round length, by which the scale of a copy is seen."""
    shown, _ = _bar(scale, unit, end)
    start = end - shown * unit.scale
    ax.plot([start, end], [y, y], color=INK, lw=2.2, solid_capstyle="butt")
    ax.text(start - scale(3), y, f"{shown} {unit.text}", ha="right", va="center", fontsize=SMALL)
