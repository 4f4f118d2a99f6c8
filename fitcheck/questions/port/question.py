"""Chassis-to-port clearance: does the outermost corner clear the tube wall, and the stack clear the cap?

The cross-section is a round tube with a chassis that is free to shift until it touches the wall. In the simple form
what stands out furthest, the plug or the port, is a block `width` wide whose outer face lies `reach` from the chassis
axis; its corners are the points that come near the wall. With `bodies`, any number of blocks and round bodies stand on
a round or rectangular chassis, off its axis and turned, and the smallest gap among them is judged wherever the chassis
lies. Along the tube, what fills the room must leave a gap to the end cap, or press a spring as far as it may go.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, partial
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from fitcheck.errors import InputError
from fitcheck.mechanics.cross_section import corner_gap
from fitcheck.questions.checks import check_wall
from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.judge import judge
from fitcheck.questions.lengths import length_finding, moved, said
from fitcheck.questions.named import CellSize
from fitcheck.questions.port.bodies import Body, BodyTable, Section, drawn, free_shift, shown_size
from fitcheck.questions.question import Question, given
from fitcheck.questions.readers import Exact, Several, Sign, Toleranced, Words
from fitcheck.questions.words import ELECTRICAL_CAUTIONS, assumed_spreads
from fitcheck.stack import Dimension, Response, Sum
from fitcheck.stack.dimension import combine

_SIZE = Toleranced(sign=Sign.POSITIVE)
_AT_LEAST_0 = Exact(sign=Sign.NOT_NEGATIVE)
_SHIFT = (
    "The {} is taken as uniform, straight to the worst side by a share of the way, from the middle to the wall; the "
    "details say what the risk is with the chassis always pressed to that side."
)
_CHASSIS = "one of chassis (its diameter), chassis_width with chassis_height"
_BLOCK = "one of width with reach (of the block that stands out), bodies"
_CELL_ALONE = "or, for the cell alone, cell with cell_bore in place of both"
_ALONG = "sum of the lengths along the tube"


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


@dataclass(frozen=True, slots=True)
class BodySection:
    """What a figure of a cross-section with several bodies draws, nominal sizes in mm and radians."""

    outside: float | None
    bore: float
    chassis: tuple[float, ...]
    """Its diameter, or its width and height."""
    bodies: tuple[tuple[str, dict[str, float]], ...]
    """Name and sizes: width, reach, perhaps offset, angle, depth of a block; diameter, offset, angle of a round one."""
    nearest: str
    gap: float


@dataclass(frozen=True, kw_only=True)
class PortClearance(Question):
    """Does the chassis slide, does its outermost corner clear the wall, and does its end clear the cap?"""

    title: ClassVar[str] = "port clearance"
    alternatives: ClassVar[tuple[str, ...]] = (_CHASSIS, _BLOCK, _CELL_ALONE)

    bore: Dimension = given(_SIZE, "inside diameter of the tube")
    chassis: Dimension | None = given(_SIZE, "diameter over the surfaces on which a round chassis slides", default=None)
    chassis_width: Dimension | None = given(_SIZE, "width of a rectangular chassis", default=None)
    chassis_height: Dimension | None = given(_SIZE, "height of a rectangular chassis", default=None)
    width: Dimension | None = given(
        _SIZE, "width of the block that stands out furthest, across its outer face", default=None
    )
    reach: Dimension | None = given(
        Toleranced(sign=Sign.NOT_NEGATIVE), "distance of that face from the chassis axis", default=None
    )
    what: str = given(Words(), "what the block is, for the report", default="plug")
    bodies: tuple[Body, ...] = given(
        Several(BodyTable()), "the bodies on the chassis: port barrel, nut, plug head, room for wires", default=[]
    )
    gap: float = given(_AT_LEAST_0, "the least gap between corner and wall", default="0.2 mm")
    slide: float = given(_AT_LEAST_0, "the least diametral play of the chassis in the tube", default="0.05 mm")
    outside: Dimension | None = given(_SIZE, "outside diameter of the tube, for the figure", default=None)
    port: Dimension | None = given(_SIZE, "diameter of the port barrel, for the figure", default=None)
    cell: Dimension | None = given(
        CellSize("diameter", Sign.POSITIVE), "diameter of the cell, or its name: 'cell 18650'", default=None
    )
    cell_bore: Dimension | None = given(_SIZE, "bore of the chassis in which the cell sits", default=None)
    sleeve: Dimension | None = given(
        Toleranced(sign=Sign.NOT_NEGATIVE), "wall thickness of the insulating sleeve on the cell", default=None
    )
    cell_play: float = given(_AT_LEAST_0, "the least diametral play of the sleeved cell in its bore", default="0.1 mm")
    space: tuple[Dimension, ...] = given(
        Several(Toleranced(sign=Sign.STACKED)),
        "lengths that make room along the tube, up to the floor of the end cap",
        default=[],
    )
    fills: tuple[Dimension, ...] = given(
        Several(CellSize("length", Sign.STACKED)),
        "lengths that fill that room: chassis, 'cell 18650', port, plug head",
        default=[],
    )
    end_gap: float = given(Exact(), "the least gap to the end cap; below 0 for a pad that gives", default="0.5 mm")
    spring_free: Dimension | None = given(_SIZE, "free length of the spring in what is left", default=None)
    spring_solid: Dimension | None = given(_SIZE, "length of that spring pressed solid", default=None)
    spring_press: float = given(_AT_LEAST_0, "how far the spring must be pressed to make contact", default="1 mm")
    spring_spare: float = given(_AT_LEAST_0, "travel the spring must keep before it is solid", default="0.5 mm")

    def __post_init__(self) -> None:
        super().__post_init__()
        if bool(self.space) != bool(self.fills):
            raise InputError("space and fills go together: give both, or neither to leave the end gap out")
        sides = [key for key in ("chassis_width", "chassis_height") if getattr(self, key) is not None]
        if self.chassis is not None and sides:
            raise InputError(f"chassis and {sides[0]}: the chassis is round or rectangular: give one of the two")
        block = [key for key in ("width", "reach") if getattr(self, key) is not None]
        missing = []
        if self.chassis is None and len(sides) < 2 and not self._cell_alone:
            missing.append(("chassis", _CHASSIS))
        if len(block) == 1 or (not block and not self.bodies and not self._cell_alone):
            missing.append(("reach" if block == ["width"] else "width", _BLOCK))
        if missing:
            keys, needed = ", ".join(key for key, _ in missing), " and ".join(needed for _, needed in missing)
            raise InputError(f"{keys}: missing: {needed} is needed, {_CELL_ALONE}")
        if (self.cell is None) is not (self.cell_bore is None) or (self.sleeve is not None and self.cell is None):
            raise InputError("cell, cell_bore: both are needed to say whether the cell goes in (sleeve is optional)")
        if (self.spring_free is None) is not (self.spring_solid is None):
            raise InputError("spring_free, spring_solid: both are needed to say how far the spring is pressed")
        if self.spring_free is not None and not self.space:
            raise InputError("spring_free: space and fills are needed too, for the room that the spring is left")
        if self.spring_free and self.spring_solid and self.spring_solid.upper >= self.spring_free.lower:
            raise InputError(
                f"spring_solid = {self.spring_solid}: shorter than spring_free, {self.spring_free}, is needed"
            )
        check_wall(self.bore, self.outside)
        for key in ("bore", "chassis", "chassis_width", "chassis_height", "outside", "port", "cell", "cell_bore"):
            across = getattr(self, key)
            for along in ("space", "fills"):
                if any(across is one for one in getattr(self, along)):
                    raise InputError(
                        f"{key} = {across.name!r}: the same part is a length along the tube in {along}, and {key} "
                        "lies across it: did you mean another part?"
                    )

    @property
    def _cell_alone(self) -> bool:
        """Whether nothing but the cell is asked about."""
        cross = ("chassis", "chassis_width", "chassis_height", "width", "reach")
        told = self.bodies or any(getattr(self, key) is not None for key in cross)
        return self.cell is not None and self.cell_bore is not None and not told

    def findings(self) -> tuple[Finding, ...]:
        found = [] if self._cell_alone else [self._slides()]
        # The simple form is one block on a round chassis, straight up.
        if self.chassis is not None and self.width is not None and self.reach is not None:
            found.append(self._corner(self.chassis, self.width, self.reach))
        if self.section.bodies:
            found.append(self._bodies())
        if self.cell is not None and self.cell_bore is not None:
            found.append(self._cell(self.cell, self.cell_bore))
        if self.spring_free is not None and self.spring_solid is not None:
            found += [self._pressed(self.spring_free), self._not_solid(self.spring_solid)]
        elif self.space:
            found.append(self._end())
        return tuple(found)

    @cached_property
    def section(self) -> Section:
        """The cross-section with its bodies; on a rectangular chassis the block of the simple form is one of them."""
        sides = [d for d in (self.chassis, self.chassis_width, self.chassis_height) if d is not None]
        bodies = self.bodies
        if self.chassis is None and self.width is not None and self.reach is not None:
            bodies = (Body(self.what, {"width": self.width, "reach": self.reach}), *bodies)
        return Section(self.bore, tuple(sides), bodies)

    def _slides(self) -> Finding:
        label, sentence = "play of the chassis in the tube", "The chassis has {} play in the tube, between {} and {}."
        if self.chassis is not None:
            how, source = "take {} off the chassis diameter", "difference of two diameters"
            return self._length(self.bore - self.chassis, self.slide, label, sentence, how, source)
        assert self.chassis_width is not None
        assert self.chassis_height is not None
        sizes = {"bore": self.bore, "width": self.chassis_width, "height": self.chassis_height}
        play = Response(
            lambda bore, width, height: bore - np.hypot(width, height), sizes, unit=self.bore.unit, name="play"
        )
        show, (low, high) = play.unit.show, play.worst_case()
        return judge(
            self,
            play,
            Requirement(at_least=self.slide, risk=self.risk),
            label=label,
            answer=sentence.format(show(play.nominal), show(low), show(high)),
            change=[f"take {show(self.slide - low)} off the diagonal, by breaking its edges, and it holds"],
            assumptions=assumed_spreads(*sizes.values()),
            sources=("diagonal of a rectangle",),
            cautions=ELECTRICAL_CAUTIONS,
        )

    def _corner(self, chassis: Dimension, width: Dimension, reach: Dimension) -> Finding:
        shift = free_shift("shift towards the corner")
        sizes = {"bore": self.bore, "chassis": chassis, "width": width, "reach": reach}
        gap = Response(corner_gap, {**sizes, "shift": shift}, unit=self.bore.unit, name="corner gap")
        pressed = Response(partial(corner_gap, shift=1.0), sizes, unit=self.bore.unit, name="corner gap, pressed")
        show = gap.unit.show
        low, high = gap.worst_case()
        if high < 0:
            answer = f"The corner of the {self.what} cannot clear the wall: it overlaps by {show(-high)} at best."
        elif low < 0:
            answer = f"The corner of the {self.what} can touch the wall: gap {show(gap.nominal)}, worst {show(low)}."
        else:
            centred = show(float(gap.function(**{key: d.nominal for key, d in gap.inputs.items()} | {"shift": 0.0})))
            answer = (
                f"The corner of the {self.what} clears the wall by {show(low)} at the least, {centred} when centred."
            )
        missing = self.gap - low
        # Taking material off the face moves the corner by the cosine of the angle between face normal and corner.
        corner = float(np.hypot(width.nominal / 2, reach.nominal))
        off = missing * corner / reach.nominal if reach.nominal > 0 else missing
        return judge(
            self,
            gap,
            Requirement(at_least=self.gap, risk=self.risk),
            label=f"gap between the corner of the {self.what} and the wall",
            answer=answer,
            change=[f"bring the outer face of the {self.what} about {show(off)} nearer to the axis and it holds"],
            assumptions=(
                *assumed_spreads(self.bore, chassis, width, reach),
                _SHIFT.format(shift.name),
            ),
            sources=("plane geometry of a circle and a rectangle",),
            cautions=ELECTRICAL_CAUTIONS,
            details={"worst case": gap.worst_case_method, **self._pressed_risk(pressed)},
            drawing=CrossSection(
                outside=self.outside.nominal if self.outside else None,
                bore=self.bore.nominal,
                chassis=chassis.nominal,
                width=width.nominal,
                reach=reach.nominal,
                what=self.what,
                port=self.port.nominal if self.port else None,
                gap=gap.nominal,
            ),
        )

    def _bodies(self) -> Finding:
        section, gap, pressed = self.section, self.section.gap_shifted, self.section.gap
        show = gap.unit.show
        low = gap.worst_case().min
        each = dict(zip(section.bodies, (one.worst_case().min for one in pressed.each), strict=True))
        first = min(each, key=lambda body: each[body])
        nearest = section.nearest(first)
        at_random = section.gaps_at_random()
        ends = f"the worst gap is {show(low)}" if low >= 0 else f"it can overlap the wall by {show(-low)}"
        return judge(
            self,
            gap,
            Requirement(at_least=self.gap, risk=self.risk),
            label="smallest gap between the bodies and the wall",
            answer=f"Nearest to the wall is {nearest}: {ends}; nominal parts pressed there: {show(pressed.nominal)}.",
            change=[
                f"bring {section.nearest(body)}, {show(self.gap - worst)} nearer to the axis and it holds"
                for body, worst in each.items()
                if worst < self.gap
            ],
            assumptions=(
                *assumed_spreads(self.bore, *section.chassis, *(d for b in section.bodies for d in b.sizes.values())),
                _SHIFT.format(section.shift.name),
                "The tube is round, so it does not matter how the chassis as a whole is turned in it.",
            ),
            sources=("plane geometry of a circle, rectangles and circles",),
            cautions=ELECTRICAL_CAUTIONS,
            details={
                **{f"{b.name} ({shown_size(b, gap.unit)})": f"at the least {show(worst)}" for b, worst in each.items()},
                **self._pressed_risk(pressed),
                "probability of touching, sizes and shift at random": _share(at_random < 0),
                f"probability of less than {show(self.gap)}, sizes and shift at random": _share(at_random < self.gap),
            },
            drawing=BodySection(
                outside=self.outside.nominal if self.outside else None,
                bore=self.bore.nominal,
                chassis=tuple(d.nominal for d in section.chassis),
                bodies=tuple((body.name, drawn(body)) for body in section.bodies),
                nearest=nearest,
                gap=pressed.nominal,
            ),
        )

    def _pressed_risk(self, pressed: Response) -> dict[str, str]:
        """The risk where the chassis always lies at the worst place, whatever shakes it there."""
        risk = pressed.probability(below=self.gap)
        words = f"{risk:.2g}" if risk or not risk.standard_error else f"below {risk.standard_error:.1g}"
        return {"risk with the chassis always pressed to the worst side": words}

    def _cell(self, cell: Dimension, bore: Dimension) -> Finding:
        sleeve = [(-2.0, self.sleeve)] if self.sleeve is not None else []
        return self._length(
            combine([(1.0, bore), (-1.0, cell), *sleeve]),
            self.cell_play,
            "play of the cell in the chassis",
            f"The {'sleeved ' if sleeve else ''}cell has {{}} play, between {{}} and {{}}.",
            "open the bore for the cell by {}",
            "difference of diameters",
            cell.origin,
        )

    @cached_property
    def _room(self) -> Sum:
        return combine([(1.0, d) for d in self.space] + [(-1.0, d) for d in self.fills])

    def _end(self) -> Finding:
        return self._length(
            self._room,
            self.end_gap,
            "gap to the floor of the end cap",
            "The stack ends {} before the end cap, between {} and {}.",
            "shorten the stack by {}",
            _ALONG,
        )

    def _pressed(self, free: Dimension) -> Finding:
        return self._length(
            free - self._room,
            self.spring_press,
            "travel by which the spring is pressed",
            "The cap presses the spring by {}, between {} and {}.",
            "lengthen the stack or the spring by {}",
            _ALONG,
        )

    def _not_solid(self, solid: Dimension) -> Finding:
        return self._length(
            self._room - solid,
            self.spring_spare,
            "travel left until the spring is solid",
            "The spring is {} short of solid, between {} and {}.",
            "shorten the stack by {}",
            _ALONG,
        )

    def _length(self, length: Sum, least: float, label: str, sentence: str, how: str, *sources: str) -> Finding:
        requirement = Requirement(at_least=least, risk=self.risk)
        return length_finding(
            self,
            length,
            requirement,
            label=label,
            answer=said(length, sentence),
            change=moved(length, requirement, how),
            sources=tuple(filter(None, sources)),
            cautions=ELECTRICAL_CAUTIONS,
        )


def _share(hits: NDArray[np.bool_]) -> str:
    """The share of samples that hit; no hit is a bound, not 0."""
    share, n = float(np.mean(hits)), hits.size
    return f"{share:.2g} ({n:,} samples)" if share else f"below {1 / n:.0e} (none of {n:,} samples)"
