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
from dataclasses import dataclass
from functools import cached_property
from typing import ClassVar

import numpy as np

from fitcheck.bench.finding import Finding, Requirement, judge
from fitcheck.bench.inputs import Exact, Question, Several, Toleranced, given
from fitcheck.bench.words import ELECTRICAL_CAUTIONS, assumed_spreads
from fitcheck.errors import InputError
from fitcheck.stack import Dimension, Interval, Response, Sum, dimension
from fitcheck.stack.dimension import combine
from fitcheck.units import Number


def plug_margin(length: Number, room: Number, travel: Number, seat: Number, hold: float, free: float) -> Number:
    """The smaller of the two margins of a shortened plug, mm.

        min(length - room - travel - hold, room + seat - free - length)

    Parameters
    ----------
    length : length of the plug from tip to cut end, mm
    room : from the face of the port to the floor of the closed cap, mm
    travel, seat : insertion at which the contact opens, and at which the plug stops, mm
    hold : insertion required beyond the opening of the contact, mm
    free : gap required between plug and cap, mm

    The arguments broadcast. Sum of lengths; no published source.
    """
    opens = np.asarray(length) - room - travel - hold
    closes = np.asarray(room) + seat - free - length
    return np.asarray(np.minimum(opens, closes))[()]


@dataclass(frozen=True, slots=True)
class PlugStack:
    """What the figure of the plug draws, nominal sizes in mm."""

    travel: float
    seat: float
    room: float
    length: float
    window: Interval


@dataclass(frozen=True, kw_only=True)
class PlugLength(Question):
    """How long must the plug be cut, and does that length work for every part within its tolerance?"""

    title: ClassVar[str] = "shortened plug"

    travel: Dimension = given(Toleranced(), "insertion at which the contact opens")
    seat: Dimension = given(Toleranced(), "insertion at which the plug stops")
    room: tuple[Dimension, ...] = given(
        Several(Toleranced()), "lengths that add up to the room from the port's face to the cap's floor"
    )
    takes: tuple[Dimension, ...] = given(Several(Toleranced()), "lengths that lessen that room", default=[])
    hold: float = given(Exact(), "insertion required beyond the opening of the contact", default="0.3 mm")
    free: float = given(Exact(), "gap required between plug and cap", default="0.1 mm")
    cut: Dimension = given(Toleranced(), "how exactly the plug can be cut: a tolerance about 0", default="0 ± 0.2 mm")
    length: Dimension | None = given(Toleranced(), "the length planned or measured, if there is one", default=None)
    bought: Dimension | None = given(Toleranced(), "length of the plug as bought", default=None)

    def __post_init__(self) -> None:
        if not self.room:
            raise InputError("room = []: at least one length is needed")
        if self.seat.nominal <= self.travel.nominal:
            raise InputError(
                f"seat = {self.seat} does not exceed travel = {self.travel}: the contact opens before the plug stops"
            )

    @cached_property
    def space(self) -> Sum:
        """From the face of the port to the floor of the closed cap."""
        return combine([(1.0, d) for d in self.room] + [(-1.0, d) for d in self.takes])

    @cached_property
    def window(self) -> Interval:
        """The lengths that work at worst case; empty (min above max) if there are none."""
        return Interval(
            (self.space + self.travel).worst_case().max + self.hold,
            (self.space + self.seat).worst_case().min - self.free,
        )

    @cached_property
    def nominal_window(self) -> Interval:
        """The lengths that work if every part is nominal."""
        return Interval((self.space + self.travel).nominal + self.hold, (self.space + self.seat).nominal - self.free)

    @cached_property
    def chosen(self) -> Dimension:
        """The length judged: the one given, or the middle of the window rounded to what a workshop can mark."""
        if self.length is not None:
            return self.length
        unit = self.travel.unit
        step = unit.to_base(0.1 if unit.text == "mm" else 0.005) - unit.to_base(0.0)
        middle = math.floor(sum(self.window) / 2 / step + 0.5) * step
        return dimension(
            middle,
            plus=self.cut.upper,
            minus=-self.cut.lower,
            spread=self.cut.spread,
            name="plug length",
            unit=unit,
            origin="the middle of the window",
        )

    def findings(self) -> tuple[Finding, ...]:
        hold, free = self.hold, self.free

        def margin(length: Number, room: Number, travel: Number, seat: Number) -> Number:
            return plug_margin(length, room, travel, seat, hold, free)

        chosen = self.chosen
        smaller = Response(
            margin,
            {"length": chosen, "room": self.space, "travel": self.travel, "seat": self.seat},
            unit=chosen.unit,
            name="plug margin",
        )
        requirement = Requirement(at_least=0.0, risk=self.risk)
        return (
            judge(
                smaller,
                requirement,
                question=self.title,
                name=self.name,
                label="smaller margin of contact and cap",
                answer=self._answer(),
                confidence=self.confidence,
                change=self._change(),
                assumptions=(
                    *assumed_spreads(chosen, self.space, self.travel, self.seat),
                    "A loose plug can back out until the cap stops it; the cap does not give.",
                ),
                sources=("sum of the lengths along the axis",),
                cautions=(
                    *ELECTRICAL_CAUTIONS,
                    "Check with a meter that the power is cut, with the plug pushed home and drawn back to the cap.",
                ),
                details=self._details(),
                drawing=PlugStack(
                    self.travel.nominal, self.seat.nominal, self.space.nominal, chosen.nominal, self.window
                ),
            ),
        )

    def _answer(self) -> str:
        show = self.chosen.unit.show
        low, high = self.window
        chosen = self.chosen
        if self.length is not None:
            inside = low <= chosen.lower and chosen.upper <= high
            verb = "lies inside" if inside else "does not lie inside"
            limits = f"{show(low)} to {show(high)}" if low <= high else "which is empty"
            return f"The plug length {chosen} {verb} the window that works at worst case, {limits}."
        if low > high:
            first, last = self.nominal_window
            if first > last:
                return (
                    f"No length works: the plug must exceed {show(first)} to keep the contact open and stay under "
                    f"{show(last)} for the cap to close, even with nominal parts."
                )
            return (
                f"No length works for every part: the worst parts need at least {show(low)} to keep the contact "
                f"open and at most {show(high)} for the cap to close."
            )
        return f"Cut the plug to {show(chosen.nominal)}; lengths from {show(low)} to {show(high)} work at worst case."

    def _change(self) -> list[str]:
        show = self.chosen.unit.show
        low, high = self.window
        lines = []
        chosen = self.chosen
        if high - low >= chosen.upper - chosen.lower and not (low <= chosen.lower and chosen.upper <= high):
            first, last = low + chosen.nominal - chosen.lower, high - (chosen.upper - chosen.nominal)
            lines.append(f"cut to between {show(first)} and {show(last)} with the same tolerance and it holds")
        else:
            missing = (chosen.upper - chosen.lower) - (high - low)
            if missing > 0:
                lines.append(
                    f"tighten the cut and the lengths of the room by {show(missing)} together, measure the real parts "
                    "and give their sizes, or choose a port whose plug goes in deeper after the contact opens"
                )
        return lines

    def _details(self) -> dict[str, str]:
        show = self.chosen.unit.show
        low, high = self.window
        first, last = self.nominal_window
        chosen = self.chosen
        details = {
            "window with nominal parts": f"{show(first)} to {show(last)}",
            "window at worst case": f"{show(low)} to {show(high)}" if low <= high else "empty",
        }
        if low <= high:
            left = min(chosen.nominal - low, high - chosen.nominal)
            details["tolerance that remains about the length"] = f"± {show(left)}" if left > 0 else "none"
        if self.bought is not None:
            off = self.bought.nominal - chosen.nominal
            details["to cut off"] = show(off) if off >= 0 else f"nothing: the plug is {show(-off)} too short"
        return details
