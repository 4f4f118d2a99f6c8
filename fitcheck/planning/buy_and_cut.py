"""What to buy, to tap and to cut for a build: one line a screw, one line for its holes, one line a cut."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from fitcheck.errors import InputError
from fitcheck.mechanics.tapping import drill_oversize
from fitcheck.questions import PlugLength, Question, SetScrew
from fitcheck.questions.set_screw.backed_off import stands_out
from fitcheck.questions.set_screw.hands import takes_driver
from fitcheck.questions.set_screw.torque_limits import advised_torque, down, set_to
from fitcheck.shown import Shown
from fitcheck.stack import Dimension, Interval
from fitcheck.threads import thread
from fitcheck.threads.profile import percent_thread
from fitcheck.units import Unit

_SAME = 1e-6  # mm
_STEP, _STEPS = 0.05, {"in": 0.0254}
"""Of tap drills, mm: in general, and where they are named in another unit."""


@dataclass(frozen=True, slots=True, repr=False)
class ToBuy(Shown):
    """A set screw to buy. Lengths in mm, the torque in N·m.

    name: of the question it is about. thread: its designation. point: cup, cone, flat or dog. length: nominal.
    number: how many. key: width of the key; None where no table has the screw. out: least and greatest height of its
    end over the tube when it stands on the blade, below 0 under the surface. torque: not to be passed. standard:
    whether a standard has it in this pitch and length. unit, torque_unit: that they are shown in. set_to: the torque
    as text, rounded down, and that it takes a torque driver where it is too low for hands.
    """

    name: str
    thread: str
    point: str
    length: float
    number: int
    key: float | None
    out: Interval
    torque: float
    standard: bool
    unit: Unit
    set_to: str

    def __str__(self) -> str:
        places = 3 if self.unit.text == "in" else 1
        many = f"{self.number} set screws" if self.number > 1 else "1 set screw"
        size = f"{self.thread}, {self.point} point, {self.unit.show(self.length, places)} long"
        key = "" if self.key is None else f", key {self.unit.show(self.key, places)}"
        sold = "a standard size" if self.standard else "no standard size: ask before you drill"
        turn = f"turned with no more than {self.set_to}" if self.torque > 0 else "no torque is safe on it"
        about = f" ({self.name})" if self.name else ""
        return f"Buy {many}{about}: {size}{key}; {sold}; {self._height()}; {turn}."

    def _height(self) -> str:
        low, high = self.out
        up, down = self.unit.up, self.unit.down
        if high <= 0:
            return f"sunk by {down(-high)} to {up(-low)}"
        if low >= 0:
            return f"standing out by {down(low)} to {up(high)}"
        return f"from {up(-low)} sunk to {up(high)} standing out"


def to_buy(asked: SetScrew) -> ToBuy:
    """The set screw that a question is about, as it is bought.

    asked: the question. Raises `InputError` where the safe torque cannot be found.

    >>> asked = SetScrew.read({
    ...     "hole": "M4x0.7-6H", "screw": "M4x0.7-6g", "outside": "30 ± 0.1", "bore": "25.4 ± 0.05",
    ...     "blade": "25 ± 0.1", "wall_material": "6061-T6", "screw_material": "45H", "pull": "20 N",
    ...     "friction_thread": "0.15 ± 0.05", "friction_point": "0.3 ± 0.1", "friction_bore": "0.3 ± 0.1",
    ...     "hand_torque": "0.2 ± 0.05 N·m"})
    >>> screw = to_buy(asked)
    >>> screw.thread, screw.length, screw.key
    ('M4x0.7-6g', 3.0, 2.0)
    """
    sizes = asked.sizes
    length, torque = sizes["screw_length"], advised_torque(asked).torque
    used = asked.hand_torque.unit
    return ToBuy(
        asked.name,
        asked.screw.designation,
        asked.point,
        length.nominal,
        asked.screws,
        asked.key if asked.key is not None or asked.size is None else asked.size.socket,
        stands_out(asked).worst_case(),
        torque,
        is_standard(asked),
        length.unit,
        down(used, set_to(asked, torque)) + takes_driver(asked, torque),
    )


def is_standard(asked: SetScrew) -> bool:
    """Whether a standard has the screw: its length for the point, right-hand, metric ones in the coarse pitch alone.

    asked: the question. Raises `InputError` where its sizes cannot be found.
    """
    size, length = asked.size, asked.sizes["screw_length"].nominal
    if size is None or asked.screw.left_hand or all(abs(one - length) > _SAME for one in size.lengths(asked.point)):
        return False
    if not size.metric:
        return True
    try:
        return abs(thread(f"M{asked.screw.nominal:g}", external=True).pitch - asked.screw.pitch) < _SAME
    except InputError:  # a diameter without a coarse pitch
        return False


@dataclass(frozen=True, slots=True, repr=False)
class ToTap(Shown):
    """The holes of a set screw, as they are drilled and tapped. Lengths in mm.

    name: of the question it is about. thread: its designation. number: how many. drill: diameter of the tap drill.
    percent: of thread that it leaves, the least and the most, as drill tables count it. turns: full threads in the wall
    with nominal sizes. wall: its thickness, nominal. countersink: the depth that may not be passed, 0 for none. unit:
    that they are shown in.
    """

    name: str
    thread: str
    number: int
    drill: float
    percent: Interval
    turns: float
    wall: float
    countersink: float
    unit: Unit

    def __str__(self) -> str:
        about = f" ({self.name})" if self.name else ""
        many = f"{self.number} holes" if self.number > 1 else "1 hole"
        show, places = self.unit.show, 3 if self.unit.text == "in" else 2
        sunk = "no countersink"
        if self.countersink > 0:
            sunk = f"countersink no deeper than {self.unit.down(self.countersink, places)}"
        least, most = self.percent
        return (
            f"Tap {many}{about}: {self.thread}, tap drill {show(self.drill, places)} for {math.floor(least)} to "
            f"{most:.0f} % of thread; {self.turns:.1f} turns in a wall of {show(self.wall, places)}; {sunk}."
        )


def to_tap(asked: SetScrew) -> ToTap | None:
    """The holes of the set screw that a question is about; None where the hole is there already and was measured.

    asked: the question. A tap drill that it does not name is a pitch less than the screw (common practice, no source),
    or so much smaller that the hole, as much wider as it comes out, stays within the standard's minor diameter.

    >>> asked = SetScrew.read({
    ...     "hole": "M4x0.7-6H", "screw": "M4x0.7-6g", "outside": "30 ± 0.1", "bore": "25.4 ± 0.05",
    ...     "blade": "25 ± 0.1", "wall_material": "6061-T6", "screw_material": "45H", "pull": "20 N",
    ...     "friction_thread": "0.15 ± 0.05", "friction_point": "0.3 ± 0.1", "friction_bore": "0.3 ± 0.1",
    ...     "hand_torque": "0.2 ± 0.05 N·m"})
    >>> holes = to_tap(asked)
    >>> round(holes.drill, 3), holes.countersink
    (3.3, 0.0)
    """
    if asked.hole_minor is not None or asked.hole_pitch is not None:
        return None
    minor, unit = asked.sizes["D1"], asked.outside.unit
    d, P = asked.hole.nominal, asked.hole.pitch
    if asked.tap_drill is not None:
        drill, least, most = asked.tap_drill.nominal, minor.lower, minor.upper
    else:
        step = _STEPS.get(unit.text, _STEP)
        drill = step * math.floor((d - P) / step + _SAME)
        while drill - step >= minor.lower and drill + float(drill_oversize(drill)[1]) > minor.upper:
            drill -= step
        least, most = drill, drill + float(drill_oversize(drill)[1])
    percent = [float(percent_thread(d, hole, P, convention="drill table")) for hole in (most, least)]
    return ToTap(
        asked.name,
        asked.hole.designation,
        asked.screws,
        drill,
        Interval(percent[0], percent[1]),
        asked.threads_engaged.nominal,
        (asked.outside.nominal - asked.bore.nominal) / 2,
        asked.countersink.upper,
        unit,
    )


@dataclass(frozen=True, slots=True, repr=False)
class ToCut(Shown):
    """A part to cut. part: its name. now: as it is; None where nothing is known of it. to: the size with its tolerance.
    tool: what it is cut with, "" where nothing is said.
    """

    part: str
    now: Dimension | None
    to: Dimension
    tool: str = ""

    def __str__(self) -> str:
        with_tool = f" ({self.tool})" if self.tool else ""
        if self.now is None:
            return f"Cut {self.part} to {self.to}{with_tool}."
        if self.now.nominal < self.to.nominal:
            return f"Make or buy {self.part} anew, to {self.to}{with_tool}: it is now {self.now}, too short to cut."
        by = self.to.unit.show(self.now.nominal - self.to.nominal, 3 if self.to.unit.text == "in" else None)
        return f"Cut {self.part} from {self.now} to {self.to}{with_tool}, {by} off."


def to_do(
    questions: Sequence[Question],
    cut: Mapping[str, Dimension] | None = None,
    now: Mapping[str, Dimension] | None = None,
    tools: Mapping[str, str] | None = None,
) -> list[str]:
    """What to buy and to cut, a line each: screws and their holes, parts that are cut, a plug that is bought longer.

    questions: of the build, as planned. cut: the sizes to cut parts to, by name. now: the parts as they are. tools:
    what they are cut with, by name. Raises `InputError` where a question refuses its inputs.

    >>> import fitcheck as fc
    >>> to_do([], {"slug": fc.dim("7 ± 0.1")}, {"slug": fc.dim("8 ± 0.1")}, {"slug": "saw"})
    ['Cut slug from 8 ± 0.1 mm to 7 ± 0.1 mm (saw), 1.00 mm off.']
    """
    screws = [asked for asked in questions if isinstance(asked, SetScrew)]
    lines = [str(line) for asked in screws for line in (to_buy(asked), to_tap(asked)) if line is not None]
    for part, size in (cut or {}).items():
        old = (now or {}).get(part)
        if old is None or abs(old.nominal - size.nominal) > _SAME:
            lines.append(str(ToCut(part, old, size, (tools or {}).get(part, ""))))
    plugs = [asked for asked in questions if isinstance(asked, PlugLength) and asked.over is not None]
    return lines + [str(ToCut("the plug", asked.bought, asked.chosen)) for asked in plugs]
