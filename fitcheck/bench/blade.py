"""Blade depth: how deep the blade sits in the tube stack, and whether the set screws land on it.

The depth is a sum of lengths from the mouth of the socket to the seat of the blade. A set screw lands on the blade if
the blade's end lies far enough beyond the screw's axis.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from fitcheck.bench.finding import Finding, Requirement, judge
from fitcheck.bench.inputs import Exact, Question, Several, Toleranced, Words, given
from fitcheck.bench.remedy import needed_shift
from fitcheck.bench.words import BLADE_CAUTIONS, assumed_spreads
from fitcheck.errors import InputError, did_you_mean
from fitcheck.stack import Dimension, Sum
from fitcheck.stack.dimension import combine


@dataclass(frozen=True, slots=True)
class TubeStack:
    """What the figure of the tube stack draws, nominal sizes in mm, lengths measured from the mouth."""

    depth: float
    below: tuple[tuple[str, float], ...]
    """What lies under the blade, from the blade's seat downwards: name and length."""
    screws: tuple[tuple[str, float], ...]
    blade: float | None
    bore: float | None
    outside: float | None


@dataclass(frozen=True, kw_only=True)
class BladeDepth(Question):
    """How deep does the blade sit, and do the set screws land on it?"""

    title: ClassVar[str] = "blade depth"

    adds: tuple[Dimension, ...] = given(Several(Toleranced()), "lengths from the mouth down that make it deeper")
    takes: tuple[Dimension, ...] = given(
        Several(Toleranced()), "lengths under the blade that make it shallower, from the blade down", default=[]
    )
    at_least: float = given(Exact(), "the least depth")
    at_most: float | None = given(Exact(), "the greatest depth", default=None)
    screws: tuple[Dimension, ...] = given(
        Several(Toleranced()), "distance from the mouth to each set screw's axis", default=[]
    )
    cover: float = given(Exact(), "how far the blade must reach beyond a screw's axis", default="2 mm")
    cut: str = given(Words(), "the part among `takes` that may be cut shorter", default="")
    blade: Dimension | None = given(Toleranced(), "diameter of the blade", default=None)
    bore: Dimension | None = given(Toleranced(), "bore of the socket", default=None)
    outside: Dimension | None = given(Toleranced(), "outside diameter of the socket", default=None)

    def __post_init__(self) -> None:
        if not self.adds:
            raise InputError("adds = []: at least one length is needed")
        names = [d.name for d in self.takes]
        if self.cut and self.cut not in names:
            hint = did_you_mean(self.cut, names)
            raise InputError(f"cut = {self.cut!r}: the name of a part among takes is needed{hint}")

    @property
    def depth(self) -> Sum:
        """Depth of the seat below the mouth."""
        return combine([(1.0, d) for d in self.adds] + [(-1.0, d) for d in self.takes])

    def findings(self) -> tuple[Finding, ...]:
        depth = self.depth
        show = depth.unit.show
        low, high = depth.worst_case()
        requirement = Requirement(at_least=self.at_least, at_most=self.at_most, risk=self.risk)
        details = {}
        if self.blade and self.bore:
            play = self.bore - self.blade
            details["play of the blade in the bore"] = (
                f"{play.unit.show(play.worst_case().min)} to {play.unit.show(play.worst_case().max)}"
            )
        main = judge(
            depth,
            requirement,
            question=self.title,
            name=self.name,
            label="depth of the blade",
            answer=f"The blade sits {show(depth.nominal)} deep, between {show(low)} and {show(high)}.",
            confidence=self.confidence,
            change=self._change(depth, requirement),
            assumptions=assumed_spreads(depth),
            sources=("sum of the lengths of the tube stack",),
            cautions=BLADE_CAUTIONS,
            details=details,
            drawing=self._drawing(),
        )
        return (main, *(self._landing(i, screw) for i, screw in enumerate(self.screws, start=1)))

    def _landing(self, number: int, screw: Dimension) -> Finding:
        beyond = self.depth - screw
        show = beyond.unit.show
        low, _ = beyond.worst_case()
        requirement = Requirement(at_least=self.cover, risk=self.risk)
        which = f"set screw {number}" if len(self.screws) > 1 else "the set screw"
        reach = f"reaches {show(beyond.nominal)} beyond" if beyond.nominal >= 0 else "ends short of"
        return judge(
            beyond,
            requirement,
            question=self.title,
            name=self.name,
            label=f"blade beyond the axis of {which}",
            answer=f"The blade {reach} the axis of {which}, at the least {show(low)}.",
            confidence=self.confidence,
            change=self._change(beyond, requirement),
            assumptions=assumed_spreads(beyond),
            sources=("sum of the lengths of the tube stack",),
            cautions=BLADE_CAUTIONS,
        )

    def _change(self, quantity: Sum, requirement: Requirement) -> list[str]:
        shift = needed_shift(quantity, requirement)
        show = quantity.unit.show
        how = (
            (f"cut {self.cut} {{}} shorter", f"make {self.cut} {{}} longer")
            if self.cut
            else ("seat the blade {} deeper", "seat the blade {} higher")
        )
        if shift.at_worst_case is None and shift.within_risk is None:
            return ["no change of a length alone does it: the tolerances are wider than the requirement; tighten them"]
        lines = []
        for move, effect in ((shift.at_worst_case, "holds at worst case"), (shift.within_risk, "is within the risk")):
            if move:
                lines.append(f"{how[0 if move > 0 else 1].format(show(abs(move)))} and it {effect}")
        return lines

    def _drawing(self) -> TubeStack:
        return TubeStack(
            depth=self.depth.nominal,
            below=tuple((d.name, d.nominal) for d in self.takes),
            screws=tuple((f"screw {i}", d.nominal) for i, d in enumerate(self.screws, start=1)),
            blade=self.blade.nominal if self.blade else None,
            bore=self.bore.nominal if self.bore else None,
            outside=self.outside.nominal if self.outside else None,
        )
