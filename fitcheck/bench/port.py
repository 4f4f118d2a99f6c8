"""Chassis-to-port clearance: does the outermost corner clear the tube wall, and the stack clear the cap?

The cross-section is a round tube with a chassis that is free to shift until it touches the wall. What stands out
furthest, the plug or the port, is a block `width` wide whose outer face lies `reach` from the chassis axis; its
corners are the points that come near the wall.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from fitcheck.bench.finding import Finding, Requirement, judge
from fitcheck.bench.inputs import Exact, Question, Several, Toleranced, Words, given
from fitcheck.bench.remedy import needed_shift
from fitcheck.bench.words import ELECTRICAL_CAUTIONS, assumed_spreads
from fitcheck.errors import InputError
from fitcheck.stack import Dimension, Response, Sum, dimension
from fitcheck.stack.dimension import combine
from fitcheck.units import PLAIN, Number


def corner_gap(bore: Number, chassis: Number, width: Number, reach: Number, shift: Number) -> Number:
    """Gap between the tube wall and the corner of a block on a chassis that has shifted towards that corner.

        g = D/2 - sqrt((w/2)^2 + h^2) - s max(D - d, 0) / 2

    Parameters
    ----------
    bore : D, inside diameter of the tube, mm
    chassis : d, diameter of the circle on which the chassis slides, mm
    width : w, width of the block across its outer face, mm
    reach : h, distance of the outer face from the chassis axis, mm
    shift : s, the share of the free play that is used up towards the corner, 0 to 1

    Returns the gap in mm, negative where corner and wall would overlap. The arguments broadcast. Plane geometry; the
    shift is taken straight towards the corner, which is the worst direction.
    """
    corner = np.hypot(np.asarray(width) / 2, reach)
    play = np.maximum(np.asarray(bore) - chassis, 0.0)
    return np.asarray(np.asarray(bore) / 2 - corner - shift * play / 2)[()]


@dataclass(frozen=True, slots=True)
class CrossSection:
    """What the figure of the cross-section draws, nominal sizes in mm."""

    outside: float | None
    bore: float
    chassis: float
    width: float
    reach: float
    what: str
    port: float | None
    gap: float


@dataclass(frozen=True, kw_only=True)
class PortClearance(Question):
    """Does the chassis slide, does its outermost corner clear the wall, and does its end clear the cap?"""

    title: ClassVar[str] = "port clearance"

    bore: Dimension = given(Toleranced(), "inside diameter of the tube")
    chassis: Dimension = given(Toleranced(), "diameter over the surfaces on which the chassis slides")
    width: Dimension = given(Toleranced(), "width of the block that stands out furthest, across its outer face")
    reach: Dimension = given(Toleranced(), "distance of that face from the chassis axis")
    what: str = given(Words(), "what the block is, for the report", default="plug")
    gap: float = given(Exact(), "the least gap between corner and wall", default="0.2 mm")
    slide: float = given(Exact(), "the least diametral play of the chassis in the tube", default="0.05 mm")
    outside: Dimension | None = given(Toleranced(), "outside diameter of the tube, for the figure", default=None)
    port: Dimension | None = given(Toleranced(), "diameter of the port barrel, for the figure", default=None)
    space: tuple[Dimension, ...] = given(
        Several(Toleranced()), "lengths that make room along the tube, up to the floor of the end cap", default=[]
    )
    fills: tuple[Dimension, ...] = given(
        Several(Toleranced()), "lengths that fill that room: chassis, port, plug head", default=[]
    )
    end_gap: float = given(Exact(), "the least gap to the end cap", default="0.5 mm")

    def __post_init__(self) -> None:
        if bool(self.space) != bool(self.fills):
            raise InputError("space and fills go together: give both, or neither to leave the end gap out")

    def findings(self) -> tuple[Finding, ...]:
        found = [self._slides(), self._corner()]
        if self.space:
            found.append(self._end())
        return tuple(found)

    def _slides(self) -> Finding:
        play = self.bore - self.chassis
        show = play.unit.show
        low, high = play.worst_case()
        return judge(
            play,
            Requirement(at_least=self.slide, risk=self.risk),
            question=self.title,
            name=self.name,
            label="play of the chassis in the tube",
            answer=f"The chassis has {show(play.nominal)} play in the tube, between {show(low)} and {show(high)}.",
            confidence=self.confidence,
            change=_smaller(play, Requirement(at_least=self.slide, risk=self.risk), "take {} off the chassis diameter"),
            assumptions=assumed_spreads(play),
            sources=("difference of two diameters",),
            cautions=ELECTRICAL_CAUTIONS,
        )

    def _corner(self) -> Finding:
        shift = dimension(0.5, plus=0.5, name="shift towards the corner", unit=PLAIN, origin="free to shift")
        gap = Response(
            corner_gap,
            {"bore": self.bore, "chassis": self.chassis, "width": self.width, "reach": self.reach, "shift": shift},
            unit=self.bore.unit,
            name="corner gap",
        )
        show = gap.unit.show
        low, high = gap.worst_case()
        if high < 0:
            answer = f"The corner of the {self.what} cannot clear the wall: it overlaps by {show(-high)} at best."
        elif low < 0:
            answer = f"The corner of the {self.what} can touch the wall: gap {show(gap.nominal)}, worst {show(low)}."
        else:
            answer = f"The corner of the {self.what} clears the wall by {show(gap.nominal)}, at the least {show(low)}."
        missing = self.gap - low
        # Taking material off the face moves the corner by the cosine of the angle between face normal and corner.
        corner = float(np.hypot(self.width.nominal / 2, self.reach.nominal))
        off = missing * corner / self.reach.nominal if self.reach.nominal > 0 else missing
        return judge(
            gap,
            Requirement(at_least=self.gap, risk=self.risk),
            question=self.title,
            name=self.name,
            label=f"gap between the corner of the {self.what} and the wall",
            answer=answer,
            confidence=self.confidence,
            change=[f"bring the outer face of the {self.what} about {show(off)} nearer to the axis and it holds"],
            assumptions=(
                *assumed_spreads(self.bore, self.chassis, self.width, self.reach),
                "The chassis may shift anywhere from the middle to full contact, straight towards the corner.",
            ),
            sources=("plane geometry of a circle and a rectangle",),
            cautions=ELECTRICAL_CAUTIONS,
            details={"worst case": gap.worst_case_method},
            drawing=self._drawing(gap.nominal),
        )

    def _end(self) -> Finding:
        room = combine([(1.0, d) for d in self.space] + [(-1.0, d) for d in self.fills])
        show = room.unit.show
        low, high = room.worst_case()
        requirement = Requirement(at_least=self.end_gap, risk=self.risk)
        return judge(
            room,
            requirement,
            question=self.title,
            name=self.name,
            label="gap to the floor of the end cap",
            answer=f"The stack ends {show(room.nominal)} before the end cap, between {show(low)} and {show(high)}.",
            confidence=self.confidence,
            change=_smaller(room, requirement, "shorten the stack by {}"),
            assumptions=assumed_spreads(room),
            sources=("sum of the lengths along the tube",),
            cautions=ELECTRICAL_CAUTIONS,
        )

    def _drawing(self, gap: float) -> CrossSection:
        return CrossSection(
            outside=self.outside.nominal if self.outside else None,
            bore=self.bore.nominal,
            chassis=self.chassis.nominal,
            width=self.width.nominal,
            reach=self.reach.nominal,
            what=self.what,
            port=self.port.nominal if self.port else None,
            gap=gap,
        )


def _smaller(quantity: Sum, requirement: Requirement, how: str) -> list[str]:
    shift = needed_shift(quantity, requirement)
    show = quantity.unit.show
    lines = []
    if shift.at_worst_case:
        lines.append(f"{how.format(show(shift.at_worst_case))} and it holds at worst case")
    if shift.within_risk:
        lines.append(f"{how.format(show(shift.within_risk))} and it is within the risk")
    return lines
