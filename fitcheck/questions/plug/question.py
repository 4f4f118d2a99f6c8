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

from fitcheck.errors import InputError
from fitcheck.mechanics.plug import plug_margin
from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.judge import judge
from fitcheck.questions.lengths import length_finding, moved, said
from fitcheck.questions.named import CellSize
from fitcheck.questions.plug.cutting import TwoLimits, share_words, tightened_words, unmeasured, was_measured
from fitcheck.questions.question import Question, given
from fitcheck.questions.readers import Exact, Several, Sign, Toleranced
from fitcheck.questions.words import ELECTRICAL_CAUTIONS, assumed_spreads, listed
from fitcheck.stack import Dimension, Interval, Response, Sum, dimension
from fitcheck.stack.dimension import combine
from fitcheck.units import Number

_FINEST = 0.01
"""No tolerance finer than ± this, mm, is asked of a plug or a room (common practice, no source)."""

_AT_LEAST_0 = Exact(sign=Sign.NOT_NEGATIVE)


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

    travel: Dimension = given(Toleranced(sign=Sign.NOT_NEGATIVE), "insertion at which the contact opens")
    seat: Dimension = given(Toleranced(sign=Sign.POSITIVE), "insertion at which the plug stops")
    room: tuple[Dimension, ...] = given(
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
    cut: Dimension = given(Toleranced(), "how exactly the plug can be cut: a tolerance about 0", default="0 ± 0.2 mm")
    length: Dimension | None = given(
        Toleranced(sign=Sign.POSITIVE), "the length planned or measured, if there is one", default=None
    )
    bought: Dimension | None = given(Toleranced(sign=Sign.POSITIVE), "length of the plug as bought", default=None)
    kerf: float | None = given(_AT_LEAST_0, "width of the saw's cut", default=None)
    facing: float | None = given(_AT_LEAST_0, "what is left on to face or file after sawing", default=None)

    def __post_init__(self) -> None:
        super().__post_init__()
        if not self.room:
            raise InputError("room = []: at least one length is needed")
        if self.seat.nominal <= self.travel.nominal:
            raise InputError(
                f"seat = {self.seat}: more than travel = {self.travel} is needed: the contact must open before the "
                "plug stops"
            )
        if self.space.nominal < 0:
            show, room = self.space.unit.show, self.space.nominal + sum(d.nominal for d in self.takes)
            raise InputError(
                f"takes: together {show(room - self.space.nominal)}, {show(-self.space.nominal)} more than the room of "
                f"{show(room)}: what stands under the cap exceeds the room and leaves none for a plug"
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
        middle = math.floor(sum(self.window) / 2 / self._step + 0.5) * self._step
        return dimension(
            middle,
            plus=self.cut.upper,
            minus=-self.cut.lower,
            spread=self.cut.spread,
            name="plug length",
            unit=unit,
            origin="the middle of the window",
        )

    @property
    def _step(self) -> float:
        """What a workshop can mark, mm."""
        unit = self.travel.unit
        return float(unit.to_base(0.1 if unit.text == "mm" else 0.005) - unit.to_base(0.0))

    @cached_property
    def margins(self) -> TwoLimits:
        """What keeps the contact open, and what lets the cap close, each with what it must be at the least."""
        return TwoLimits(
            self.chosen - self.space - self.travel, self.hold, self.space + self.seat - self.chosen, self.free
        )

    @cached_property
    def smaller_margin(self) -> Response:
        """The smaller of the two margins."""
        hold, free = self.hold, self.free

        def margin(length: Number, room: Number, travel: Number, seat: Number) -> Number:
            return plug_margin(length, room, travel, seat, hold, free)

        inputs = {"length": self.chosen, "room": self.space, "travel": self.travel, "seat": self.seat}
        return Response(margin, inputs, unit=self.chosen.unit, name="plug margin")

    def findings(self) -> tuple[Finding, ...]:
        chosen, smaller = self.chosen, self.smaller_margin
        requirement = Requirement(at_least=0.0, risk=self.risk)
        found = [
            judge(
                self,
                smaller,
                requirement,
                label="the smaller margin, to the contact or to the cap",
                answer=self._answer(),
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
        ]
        if self.space.worst_case().min < 0:
            found.append(self._room_left())
        # A plug that was measured after cutting needs no more length.
        if self.bought is not None and self.length is None:
            found.append(self._long_enough(self.bought))
        return tuple(found)

    def _room_left(self) -> Finding:
        """Whether any room is left under the cap, where that is in doubt: the port must not stand out of the tube."""
        requirement = Requirement(at_least=0.0, risk=self.risk)
        return length_finding(
            self,
            self.space,
            requirement,
            label="room between port and cap",
            answer=said(self.space, "The room between port and cap is {}, {} to {}: below 0 the takes exceed it."),
            change=moved(self.space, requirement, "make {} more room"),
            sources=("sum of the lengths along the axis",),
            cautions=ELECTRICAL_CAUTIONS,
        )

    def _long_enough(self, bought: Dimension) -> Finding:
        """Whether the plug as bought leaves the length to cut, with what sawing and facing take."""
        over = bought - self.chosen - (self.facing or 0.0) - (self.kerf or 0.0)
        show = over.unit.show
        low, _ = over.worst_case()
        verb = "is long enough by" if over.nominal >= 0 else "is too short by"
        return length_finding(
            self,
            over,
            Requirement(at_least=0.0, risk=self.risk),
            label="length of the plug as bought over what is needed",
            answer=f"The plug as bought {verb} {show(abs(over.nominal))}, at the least {show(low)} over.",
            change=(f"buy a plug at least {show(-low)} longer",),
            sources=("difference of two lengths",),
            cautions=ELECTRICAL_CAUTIONS,
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
        chosen = self.chosen
        if high - low >= chosen.upper - chosen.lower and not (low <= chosen.lower and chosen.upper <= high):
            first, last = low + chosen.nominal - chosen.lower, high - (chosen.upper - chosen.nominal)
            lines = [f"cut to between {show(first)} and {show(last)} with the same tolerance and it holds"]
            if chosen.nominal > last:
                lines.append(
                    f"take another {show(chosen.nominal - last)} to {show(chosen.nominal - first)} off this one"
                )
            elif chosen.nominal < first:
                lines.append(
                    f"this one is too short by {show(first - chosen.nominal)}: cut another, or fix a disc from "
                    f"{show(first - chosen.nominal)} to {show(last - chosen.nominal)} thick to its end"
                )
            return lines
        missing = (chosen.upper - chosen.lower) - (high - low)
        if missing <= 0:
            return []
        lines = [
            f"tighten the cut and the lengths of the room by {show(missing)} together, measure the real parts "
            "and give their sizes, or choose a port whose plug goes in deeper after the contact opens"
        ]
        # A measurement is as good as the caliper; only what is still as drawn can be made better by making it better.
        alone = [tightened_words(d, share) for d, share in self.margins.tighten(_FINEST) if not was_measured(d)]
        if alone:
            lines.append(f"one tolerance alone would do, and the length in the middle: {listed(alone, 'or')}")
        else:
            lines.append("no single tolerance is enough: several must come down, or the parts must be measured")
        return lines

    def _details(self) -> dict[str, str]:
        show = self.chosen.unit.show
        low, high = self.window
        first, last = self.nominal_window
        chosen, margins = self.chosen, self.margins
        details = {
            "window with nominal parts": f"{show(first)} to {show(last)}",
            "window at worst case": f"{show(low)} to {show(high)}" if low <= high else "empty",
        }
        if low <= high:
            left = min(chosen.nominal - low, high - chosen.nominal)
            details["tolerance that remains about the length"] = f"± {show(left)}" if left > 0 else "none"
        details["cuts that work"] = self._yield_words()
        if margins.slack < 0 and self.length is None and margins.exclusive:
            best = margins.best(self._step, abs(last - first) / 2 + self._step)
            details["length that works most often"] = (
                f"{show(chosen.nominal + best)}: {share_words(margins.failing(best))}"
            )
        details |= self._marking()
        return details | self._second_look()

    def _yield_words(self) -> str:
        """The share of cuts that work: exact where a part cannot miss both limits, else sampled."""
        if self.margins.exclusive:
            return share_words(self.margins.failing())
        missed = float(np.mean(self.smaller_margin.sample(100_000) < 0))
        return f"{share_words(missed)} (100,000 samples)"

    def _marking(self) -> dict[str, str]:
        """Where to mark and to saw."""
        show = self.chosen.unit.show
        facing, kerf = self.facing or 0.0, self.kerf or 0.0
        details = {}
        cut_already = self.length is not None and was_measured(self.length)
        if (self.kerf is not None or self.facing is not None) and not cut_already:
            details["mark out from the tip"] = show(self.chosen.nominal + facing)
            details["saw beyond the mark"] = f"the kerf takes {show(kerf)}, facing takes {show(facing)}"
        if self.bought is not None:
            off = self.bought.nominal - self.chosen.nominal
            details["to cut off"] = show(off) if off >= 0 else f"nothing: the plug is {show(-off)} too short"
            spare = self.bought.lower - self.chosen.nominal - facing - kerf
            if spare < 0 <= off and kerf:
                details["to cut off"] += ", which the saw may not leave a chip of: file or face it off"
            elif kerf:
                details["offcut"] = f"at the least {show(spare)}"
        return details

    def _second_look(self) -> dict[str, str]:
        """What has been measured, and what would be worth measuring next."""
        show = self.chosen.unit.show
        losses = self.margins.losses()
        known = [loss.part.name for loss in losses if was_measured(loss.part)]
        details = {"measured": listed(known)} if known else {}
        if next_one := unmeasured(losses, [self.chosen])[:1]:
            part, amount = next_one[0]
            details["worth measuring next"] = f"{part.name}: its tolerance takes {show(amount)} of the window"
        return details
