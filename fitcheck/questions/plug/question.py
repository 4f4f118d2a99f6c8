"""Shortened plug: which lengths keep the power cut and still let the end cap close?

A plug that opens a contact in the charge port is cut short so that it stays in under the closed cap. Lengths along the
axis, all seen with the cap closed:

    travel   how far the tip must enter the port to open the contact
    seat     how far it can enter before it stops
    room     from the face of the port to the floor of the cap

With the plug home, its end stands `length - seat` out of the port, which must not exceed the room. Should the plug
work loose, the cap stops it with its tip `length - room` deep, which must still open the contact. So

    room + travel <= length <= room + seat.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, ClassVar

from fitcheck.errors import InputError
from fitcheck.questions.finding import Quantity, Requirement, Station
from fitcheck.questions.named import CellSize
from fitcheck.questions.plug.cutting import NOISE, TwoLimits
from fitcheck.questions.question import Question, given
from fitcheck.questions.readers import Exact, Several, Sign, Toleranced
from fitcheck.stack import Dimension, Interval, Sum, dimension
from fitcheck.stack.dimension import combine
from fitcheck.stack.system import LeastOfSums
from fitcheck.units import INCH

_AT_LEAST_0 = Exact(sign=Sign.NOT_NEGATIVE)


@dataclass(frozen=True, kw_only=True, repr=False)
class PlugLength(Question):
    """How long must the plug be cut, and does that length work for every part within its tolerance?

    >>> asked = PlugLength.read({"travel": "4 ± 0.2", "seat": "9 ± 0.2", "adds": ["16.5 ± 0.6"]})
    >>> print(asked.findings()[0].answer)
    Cut the plug to 23.10 mm: lengths from 21.60 mm to 24.60 mm work at worst case.
    """

    title: ClassVar[str] = "shortened plug"
    station: ClassVar[Station] = Station.PLUG
    example: ClassVar[Mapping[str, Any]] = {"travel": "4.0 ± 0.2", "seat": "9.0 ± 0.2", "adds": ["16.5 ± 0.6"]}
    renamed: ClassVar[Mapping[str, str]] = {"room": "adds", "cut": "cut_tolerance"}

    travel: Dimension = given(Toleranced(sign=Sign.NOT_NEGATIVE), "insertion at which the contact opens")
    seat: Dimension = given(Toleranced(sign=Sign.POSITIVE), "insertion at which the plug stops")
    adds: tuple[Dimension, ...] = given(
        Several(CellSize("length", Sign.STACKED)),
        "lengths that add up to the room from the port's face to the cap's floor",
    )
    takes: tuple[Dimension, ...] = given(
        Several(CellSize("length", Sign.STACKED)),
        "lengths that lessen that room: the chassis, 'cell 18650', the port",
        default=[],
    )
    hold: float = given(_AT_LEAST_0, "insertion required beyond the opening of the contact", default="0.3 mm")
    free: float = given(_AT_LEAST_0, "gap required between plug and cap", default="0.1 mm")
    cut_tolerance: Dimension = given(
        Toleranced(), "how exactly the plug can be cut: a tolerance about 0", default="0 ± 0.2 mm"
    )
    length: Dimension | None = given(
        Toleranced(sign=Sign.POSITIVE),
        "the whole length planned or measured, from end to end, if there is one",
        default=None,
    )
    bought: Dimension | None = given(Toleranced(sign=Sign.POSITIVE), "whole length of the plug as bought", default=None)
    kerf: float | None = given(_AT_LEAST_0, "width of the saw's cut", default=None)
    facing: float | None = given(_AT_LEAST_0, "what is left on to face or file after sawing", default=None)

    def __post_init__(self) -> None:
        super().__post_init__()
        if not self.adds:
            raise InputError("adds = []: at least one length is needed", key="adds")
        if self.seat.nominal <= self.travel.nominal:
            raise InputError(
                f"seat = {self.seat}: more than travel = {self.travel} is needed: the contact must open before the "
                "plug stops",
                key="seat",
            )
        if self.room.nominal < 0:
            show, room = self.room.unit.show, self.room.nominal + sum(d.nominal for d in self.takes)
            raise InputError(
                f"takes: together {show(room - self.room.nominal)}, {show(-self.room.nominal)} more than the room of "
                f"{show(room)}: what stands under the cap exceeds the room and leaves none for a plug",
                key="takes",
            )

    @property
    def chooses(self) -> bool:
        """Whether the length to cut is chosen here: none is given."""
        return self.length is None

    @property
    def over(self) -> Sum | None:
        """What the plug as bought has over the length needed, the saw and facing; None where none is to be cut."""
        # A plug that was measured after cutting needs no more length.
        if self.bought is None or self.length is not None:
            return None
        return combine([(1.0, self.bought), (-1.0, self.chosen)], -(self.facing or 0.0) - (self.kerf or 0.0))

    def judged(self) -> tuple[tuple[Quantity, Requirement], ...]:
        found: list[Quantity] = [self.smaller_margin]
        if self.room.worst_case().min < 0:
            found.append(self.room)
        if self.over is not None:
            found.append(self.over)
        return tuple((one, Requirement(at_least=0.0, risk=self.risk)) for one in found)

    @cached_property
    def room(self) -> Sum:
        """From the face of the port to the floor of the closed cap."""
        return combine([(1.0, d) for d in self.adds] + [(-1.0, d) for d in self.takes])

    @cached_property
    def window(self) -> Interval:
        """The lengths that work at worst case; empty (min above max) if there are none."""
        low = (self.room + self.travel).worst_case().max + self.hold
        high = (self.room + self.seat).worst_case().min - self.free
        return Interval(low, low if abs(high - low) <= NOISE else high)  # one length, and not none for rounding

    @cached_property
    def moves_that_hold(self) -> Interval:
        """How much longer the length may be for the plug to hold; empty (min above max) if no length does."""
        return self.margins.moves_that_hold(self.risk)

    @cached_property
    def nominal_window(self) -> Interval:
        """The lengths that work if every part is nominal."""
        return Interval((self.room + self.travel).nominal + self.hold, (self.room + self.seat).nominal - self.free)

    @cached_property
    def chosen(self) -> Dimension:
        """The length judged: the one given, or the middle of the window rounded to what a workshop can mark."""
        if self.length is not None:
            return self.length
        low, high = self.window
        steps = [self.step / 10**finer for finer in range(4)]
        # The zone of the cut lies about the middle, which its nominal does not where its tolerances differ.
        middle = (low + high) / 2 - self.cut_tolerance.middle
        lengths = [self._cut_to(math.floor(middle / step + 0.5) * step) for step in steps]
        # A window hardly wider than the tolerance of the cut takes a finer scale.
        return next((one for one in lengths if low <= one.lower + NOISE and one.upper <= high + NOISE), lengths[0])

    def _cut_to(self, length: float) -> Dimension:
        return dimension(
            length,
            plus=self.cut_tolerance.upper,
            minus=-self.cut_tolerance.lower,
            spread=self.cut_tolerance.spread,
            name="plug length",
            unit=self.travel.unit,
            origin="the middle of the window",
        )

    @property
    def step(self) -> float:
        """What a workshop can mark, mm: 0.1 mm, or 0.005 in; in any other unit the power of ten next below 0.1 mm."""
        unit = self.travel.unit
        shown = 0.005 if unit.scale == INCH.scale else 10.0 ** math.floor(math.log10(0.1 / unit.scale) + 1e-9)
        return float(unit.to_base(shown))

    @cached_property
    def margins(self) -> TwoLimits:
        """What keeps the contact open, and what lets the cap close, each with what it must be at the least."""
        return TwoLimits(
            self.chosen - self.room - self.travel, self.hold, self.room + self.seat - self.chosen, self.free
        )

    @property
    def works(self) -> bool:
        """Whether the length works for every part, at worst case."""
        return self.smaller_margin.worst_case().min >= -NOISE

    @cached_property
    def smaller_margin(self) -> LeastOfSums:
        """The smaller of the two margins."""
        low, low_least, high, high_least = self.margins.low, self.hold, self.margins.high, self.free
        each = [combine([(1.0, low)], -low_least), combine([(1.0, high)], -high_least)]
        return LeastOfSums(each, name="plug margin")
