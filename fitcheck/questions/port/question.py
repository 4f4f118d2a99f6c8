"""Chassis-to-port clearance: does the outermost corner clear the tube wall, and the stack clear the cap?

The cross-section is a round tube with a chassis that is free to shift until it touches the wall. In the simple form
what stands out furthest, the plug or the port, is a block `width` wide whose outer face lies `reach` from the chassis
axis; its corners are the points that come near the wall. With `bodies`, any number of blocks and round bodies stand on
a round or rectangular chassis, off its axis and turned, and the smallest gap among them is judged wherever the chassis
lies. Along the tube, what fills the room must leave a gap to the end cap, or press a spring as far as it may go.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, ClassVar

from fitcheck.errors import InputError
from fitcheck.questions.checks import check_wall
from fitcheck.questions.finding import Station
from fitcheck.questions.named import CellSize
from fitcheck.questions.port.bodies import Body, BodyTable, Section
from fitcheck.questions.question import Question, given
from fitcheck.questions.readers import Exact, Several, Sign, Toleranced, Words
from fitcheck.stack import Dimension, Sum
from fitcheck.stack.dimension import combine

_SIZE = Toleranced(sign=Sign.POSITIVE)
_AT_LEAST_0 = Exact(sign=Sign.NOT_NEGATIVE)
_CHASSIS = "one of chassis (its diameter), chassis_width with chassis_height"
_BLOCK = "one of width with reach (of the block that stands out), bodies"
_CELL_ALONE = "or, for the cell alone, cell with cell_bore in place of both"


@dataclass(frozen=True, kw_only=True, repr=False)
class PortClearance(Question):
    """Does the chassis slide, does its outermost corner clear the wall, and does its end clear the cap?

    >>> inputs = {"bore": "32 ± 0.1", "chassis": "31.5 ± 0.1", "width": "14 ± 0.2", "reach": "13.2 ± 0.2"}
    >>> asked = PortClearance.read(inputs)
    >>> [(found.quantity, found.verdict.value) for found in asked.findings()]
    [('play of the chassis in the tube', 'holds'), ('gap between the corner of the plug and the wall', 'holds')]
    """

    title: ClassVar[str] = "port clearance"
    station: ClassVar[Station] = Station.TUBE
    example: ClassVar[Mapping[str, Any]] = {
        "bore": "32 +0.1/-0", "chassis": "31.5 ± 0.1", "width": "14 ± 0.2", "reach": "13.5 ± 0.2",
    }  # fmt: skip
    renamed: ClassVar[Mapping[str, str]] = {"space": "adds", "fills": "takes"}
    alternatives: ClassVar[tuple[str, ...]] = (_CHASSIS, _BLOCK, _CELL_ALONE)

    bore: Dimension = given(_SIZE, "inside diameter of the tube")
    chassis: Dimension | None = given(_SIZE, "diameter over the surfaces on which a round chassis slides", default=None)
    chassis_width: Dimension | None = given(_SIZE, "width of a rectangular chassis", default=None)
    chassis_height: Dimension | None = given(_SIZE, "height of a rectangular chassis", default=None)
    width: Dimension | None = given(
        _SIZE, "width of the block that stands out furthest, across its outer face", default=None, of="what"
    )
    reach: Dimension | None = given(
        Toleranced(sign=Sign.NOT_NEGATIVE), "distance of that face from the chassis axis", default=None, of="what"
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
    adds: tuple[Dimension, ...] = given(
        Several(Toleranced(sign=Sign.STACKED)),
        "lengths that make room along the tube, up to the floor of the end cap",
        default=[],
    )
    takes: tuple[Dimension, ...] = given(
        Several(CellSize("length", Sign.STACKED)),
        "lengths that take of that room: chassis, 'cell 18650', port, plug head",
        default=[],
    )
    end_gap: float = given(Exact(), "the least gap to the end cap; below 0 for a pad that gives", default="0.5 mm")
    spring_free: Dimension | None = given(_SIZE, "free length of the spring in what is left", default=None)
    spring_solid: Dimension | None = given(_SIZE, "length of that spring pressed solid", default=None)
    spring_press: float = given(_AT_LEAST_0, "how far the spring must be pressed to make contact", default="1 mm")
    spring_spare: float = given(_AT_LEAST_0, "travel the spring must keep before it is solid", default="0.5 mm")

    def __post_init__(self) -> None:
        super().__post_init__()
        if bool(self.adds) != bool(self.takes):
            raise InputError("adds and takes go together: give both, or neither to leave the end gap out")
        sides = [key for key in ("chassis_width", "chassis_height") if getattr(self, key) is not None]
        if self.chassis is not None and sides:
            raise InputError(f"chassis and {sides[0]}: the chassis is round or rectangular: give one of the two")
        block = [key for key in ("width", "reach") if getattr(self, key) is not None]
        missing = []
        if self.chassis is None and len(sides) < 2 and not self.cell_alone:
            missing.append(("chassis", _CHASSIS))
        if len(block) == 1 or (not block and not self.bodies and not self.cell_alone):
            missing.append(("reach" if block == ["width"] else "width", _BLOCK))
        if missing:
            keys, needed = ", ".join(key for key, _ in missing), " and ".join(needed for _, needed in missing)
            raise InputError(f"{keys}: missing: {needed} is needed, {_CELL_ALONE}", key=keys)
        if (self.cell is None) is not (self.cell_bore is None) or (self.sleeve is not None and self.cell is None):
            raise InputError(
                "cell, cell_bore: both are needed to say whether the cell goes in (sleeve is optional)", key="cell"
            )
        if (self.spring_free is None) is not (self.spring_solid is None):
            raise InputError(
                "spring_free, spring_solid: both are needed to say how far the spring is pressed", key="spring_free"
            )
        if self.spring_free is not None and not self.adds:
            raise InputError(
                "spring_free: adds and takes are needed too, for the room that the spring is left", key="spring_free"
            )
        if self.spring_free and self.spring_solid and self.spring_solid.upper >= self.spring_free.lower:
            raise InputError(
                f"spring_solid = {self.spring_solid}: shorter than spring_free, {self.spring_free}, is needed",
                key="spring_solid",
            )
        check_wall(self.bore, self.outside)
        for key in ("bore", "chassis", "chassis_width", "chassis_height", "outside", "port", "cell", "cell_bore"):
            across = getattr(self, key)
            for along in ("adds", "takes"):
                if any(across is one for one in getattr(self, along)):
                    raise InputError(
                        f"{key} = {across.name!r}: the same part is a length along the tube in {along}, and {key} "
                        "lies across it: did you mean another part?",
                        key=key,
                    )

    @property
    def cell_alone(self) -> bool:
        """Whether nothing but the cell is asked about."""
        cross = ("chassis", "chassis_width", "chassis_height", "width", "reach")
        told = self.bodies or any(getattr(self, key) is not None for key in cross)
        return self.cell is not None and self.cell_bore is not None and not told

    @cached_property
    def section(self) -> Section:
        """The cross-section with its bodies; on a rectangular chassis the block of the simple form is one of them."""
        sides = [d for d in (self.chassis, self.chassis_width, self.chassis_height) if d is not None]
        bodies = self.bodies
        if self.chassis is None and self.width is not None and self.reach is not None:
            bodies = (Body(self.what, {"width": self.width, "reach": self.reach}), *bodies)
        return Section(self.bore, tuple(sides), bodies)

    @cached_property
    def room(self) -> Sum:
        """What is left along the tube."""
        return combine([(1.0, d) for d in self.adds] + [(-1.0, d) for d in self.takes])
