"""Blade depth: how deep the blade sits in the tube stack, and whether the set screws land on it.

The depth is a sum of lengths from the mouth of the socket to the seat of the blade. A set screw lands on the blade if
the blade's end lies far enough beyond the screw's axis. A slug under the blade that may be cut has a screw of its own,
which it must not lose. The blade's play in the bore lets it tilt; screws push it to one side.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import ClassVar

from fitcheck.mechanics import Material
from fitcheck.mechanics.blade import play_at, wedging_depth
from fitcheck.questions.blade.checks import check
from fitcheck.questions.blade.slug import Slug, working_lengths
from fitcheck.questions.blade.wander import Wander
from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.judge import judge
from fitcheck.questions.lengths import length_finding, said
from fitcheck.questions.named import MaterialName
from fitcheck.questions.quantities import material_property
from fitcheck.questions.question import Question, given
from fitcheck.questions.readers import Exact, Several, Sign, Toleranced, Words
from fitcheck.questions.remedy import needed_shift
from fitcheck.questions.words import BLADE_CAUTIONS, assumed_spreads, listed
from fitcheck.stack import Dimension, Interval, Response, Sum
from fitcheck.stack.dimension import combine
from fitcheck.units import RATIO, TEMPERATURE

_SUM = ("sum of the lengths of the tube stack",)


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

    adds: tuple[Dimension, ...] = given(
        Several(Toleranced(sign=Sign.STACKED)),
        "lengths from the mouth down that make it deeper: tubes, spacers, shoulders, a gasket as thick as when pressed",
    )
    takes: tuple[Dimension, ...] = given(
        Several(Toleranced(sign=Sign.STACKED)),
        "lengths under the blade that make it shallower, from the blade down",
        default=[],
    )
    at_least: float = given(Exact(), "the least depth")
    at_most: float | None = given(Exact(), "the greatest depth", default=None)
    screws: tuple[Dimension, ...] = given(
        Several(Toleranced(sign=Sign.NOT_NEGATIVE)), "distance from the mouth to each set screw's axis", default=[]
    )
    cover: float = given(
        Exact(sign=Sign.NOT_NEGATIVE), "how far the blade must reach beyond a screw's axis", default="2 mm"
    )
    cut: str = given(Words(), "the part among `takes` that may be cut shorter", default="")
    slug_screw: Dimension | None = given(
        Toleranced(sign=Sign.NOT_NEGATIVE),
        "distance from the mouth to the axis of the screw that retains the part to be cut",
        default=None,
    )
    slug_cover: float = given(
        Exact(sign=Sign.NOT_NEGATIVE), "how far that part must reach beyond its screw's axis", default="1 mm"
    )
    blade: Dimension | None = given(Toleranced(sign=Sign.POSITIVE), "diameter of the blade", default=None)
    bore: Dimension | None = given(Toleranced(sign=Sign.POSITIVE), "bore of the socket", default=None)
    outside: Dimension | None = given(Toleranced(sign=Sign.POSITIVE), "outside diameter of the socket", default=None)
    blade_length: Dimension | None = given(
        Toleranced(sign=Sign.POSITIVE), "length of the blade from its seat to its tip", default=None
    )
    bow: Dimension | None = given(
        Toleranced(sign=Sign.NOT_NEGATIVE),
        "bow of the blade against a straight edge over its whole length",
        default=None,
    )
    wander_at_most: float | None = given(
        Exact(sign=Sign.POSITIVE), "how far the blade's tip may lie off the axis of the socket", default=None
    )
    temperature: Dimension | None = given(
        Toleranced(TEMPERATURE), "the temperatures of use, for example -10 .. 45 °C", default=None
    )
    blade_material: Material | None = given(MaterialName(), "material of the blade, for its expansion", default=None)
    socket_material: Material | None = given(MaterialName(), "material of the socket, for its expansion", default=None)
    play_at_least: float = given(Exact(), "the least play of the blade at these temperatures", default="0 mm")
    friction_bore: Dimension | None = given(
        Toleranced(RATIO, Sign.NOT_NEGATIVE), "friction of the blade on the bore", default=None
    )

    def __post_init__(self) -> None:
        super().__post_init__()
        check(self)

    @property
    def depth(self) -> Sum:
        """Depth of the seat below the mouth."""
        return combine([(1.0, d) for d in self.adds] + [(-1.0, d) for d in self.takes])

    @cached_property
    def slug(self) -> Slug | None:
        """The part to cut with the screw that retains it."""
        if self.slug_screw is None:
            return None
        at = [d.name for d in self.takes].index(self.cut)
        requirement = Requirement(at_least=self.slug_cover, risk=self.risk)
        return Slug(self.takes[at], self.adds, self.takes[at + 1 :], self.slug_screw, requirement)

    @property
    def _part(self) -> Dimension | None:
        return next((d for d in self.takes if d.name == self.cut), None) if self.cut else None

    @property
    def gain(self) -> float:
        """Depth gained for each mm cut off the part that may be cut."""
        return -dict(self.depth.terms).get(self._part, 0.0) if self._part is not None else 1.0

    def findings(self) -> tuple[Finding, ...]:
        found = [self._depth(), *(self._landing(i) for i in range(1, len(self.screws) + 1))]
        if self.slug is not None:
            found += [self._retained(self.slug, True), self._retained(self.slug, False)]
        if self.temperature is not None:
            found.append(self._warm())
        if self.wander_at_most is not None:
            if self.temperature is None:
                found.append(self._goes_in())
            found.append(self._wander(self.wander_at_most))
        return tuple(found)

    def _depth(self) -> Finding:
        depth, requirement = self._asked[0]
        return length_finding(
            self,
            depth,
            requirement,
            label="depth of the blade",
            answer=self._sits(depth),
            change=self._change(depth, requirement),
            sources=_SUM,
            cautions=BLADE_CAUTIONS,
            details=self._details(),
            drawing=self._drawing(),
        )

    @staticmethod
    def _sits(depth: Sum) -> str:
        """Where the seat of the blade lies, in words; one above the mouth is no depth."""
        if depth.nominal > 0:
            return said(depth, "The blade sits {} deep, between {} and {}.")
        above = depth.unit.show(-depth.nominal)
        return (
            f"The blade does not reach into its socket: its seat lies {above} above the mouth, because the lengths "
            "under the blade exceed those that make it deeper."
        )

    @cached_property
    def _asked(self) -> list[tuple[Sum, Requirement]]:
        """Every requirement on a length of the stack, that on the depth first."""
        asked = [(self.depth, Requirement(at_least=self.at_least, at_most=self.at_most, risk=self.risk))]
        asked += [(self.depth - screw, Requirement(at_least=self.cover, risk=self.risk)) for screw in self.screws]
        if self.slug is not None:
            asked.append((self.slug.above_axis, self.slug.requirement))
        return asked

    def _details(self) -> dict[str, str]:
        show = self.depth.unit.show
        details = {}
        if self.blade and self.bore:
            play = self.bore - self.blade
            details["play of the blade in the bore"] = (
                f"{play.unit.show(play.worst_case().min)} to {play.unit.show(play.worst_case().max)}"
            )
        part = self._part
        if part is not None:
            details[f"depth gained for 1 mm cut off {part.name}"] = show(self.gain)
            details |= working_lengths(part, self._asked)
        if self.friction_bore is not None and self.blade is not None:
            wedges = float(wedging_depth(self.friction_bore.upper, self.blade.upper))
            details["can wedge askew"] = f"while less than {show(wedges)} deep"
        return details

    def _landing(self, number: int) -> Finding:
        beyond, requirement = self._asked[number]
        show = beyond.unit.show
        low, _ = beyond.worst_case()
        which = f"set screw {number}" if len(self.screws) > 1 else "the set screw"
        reach = f"reaches {show(beyond.nominal)} beyond" if beyond.nominal >= 0 else "ends short of"
        return length_finding(
            self,
            beyond,
            requirement,
            label=f"blade beyond the axis of {which}",
            answer=f"The blade {reach} the axis of {which}, at the least {show(low)}.",
            change=self._change(beyond, requirement),
            sources=_SUM,
            cautions=BLADE_CAUTIONS,
        )

    def _retained(self, slug: Slug, towards_mouth: bool) -> Finding:
        beyond = slug.above_axis if towards_mouth else slug.below_axis
        show, name = beyond.unit.show, slug.part.name
        low = beyond.worst_case().min
        side = "towards the mouth" if towards_mouth else "on the far side"
        reach = f"reaches {show(beyond.nominal)} beyond" if beyond.nominal >= 0 else "ends short of"
        move = needed_shift(beyond, slug.requirement).at_worst_case or 0.0
        if towards_mouth:
            change = f"make {name} {show(move)} longer or set its screw {show(move)} deeper and it holds at worst case"
        else:
            change = f"set the screw of {name} {show(move)} nearer to the mouth and it holds at worst case"
        return length_finding(
            self,
            beyond,
            slug.requirement,
            label=f"{name} beyond the axis of its screw {side}",
            answer=f"The {name} {reach} the axis of its screw {side}, at the least {show(low)}."
            + (f" {slug.cut_words()}" if towards_mouth else ""),
            change=[change],
            sources=_SUM,
            cautions=BLADE_CAUTIONS,
        )

    def _goes_in(self) -> Finding:
        assert self.blade is not None
        assert self.bore is not None
        play = self.bore - self.blade
        show = play.unit.show
        low, high = play.worst_case()
        requirement = Requirement(at_least=self.play_at_least, risk=self.risk)
        move = needed_shift(play, requirement).at_worst_case or 0.0
        return length_finding(
            self,
            play,
            requirement,
            label="play of the blade in the bore",
            answer=f"The blade has {show(play.nominal)} play in the bore, between {show(low)} and {show(high)}."
            if play.nominal >= 0
            else f"The blade is {show(-play.nominal)} too large for the bore.",
            change=[f"take {show(move)} off the blade's diameter and it holds at worst case"],
            sources=("difference of two diameters",),
            cautions=BLADE_CAUTIONS,
        )

    def _warm(self) -> Finding:
        assert self.temperature is not None
        assert self.blade is not None
        assert self.bore is not None
        assert self.blade_material is not None
        assert self.socket_material is not None
        inputs = {
            "D": self.bore,
            "d": self.blade,
            "alpha_D": material_property(self.socket_material, "expansion"),
            "alpha_d": material_property(self.blade_material, "expansion"),
            "T": self.temperature,
        }
        play = Response(play_at, inputs, unit=self.bore.unit, name="play of the blade")
        show = play.unit.show
        low, high = play.worst_case()
        cold, warm = (self.temperature.unit.show(t, 0) for t in (self.temperature.lower, self.temperature.upper))
        missing = self.play_at_least - low
        binds = f"It binds by {show(-low)} at worst" if low < 0 else f"At the least {show(low)} is left"
        return judge(
            self,
            play,
            Requirement(at_least=self.play_at_least, risk=self.risk),
            label=f"play of the blade in the bore from {cold} to {warm}",
            answer=f"{binds} between {cold} and {warm}, at the most {show(high)}.",
            change=[f"take {show(missing)} off the blade's diameter and it holds at worst case"],
            assumptions=(
                *assumed_spreads(*inputs.values()),
                "Blade and socket are equally warm and free to expand; drawing sizes hold at 20 °C.",
            ),
            sources=(
                "free expansion; reference temperature: ISO 1",
                *(inputs[key].origin for key in ("alpha_D", "alpha_d")),
            ),
            cautions=(*BLADE_CAUTIONS, "A clear blade that is squeezed by its socket or screws can craze and crack."),
        )

    def _wander(self, limit: float) -> Finding:
        assert self.blade is not None
        assert self.bore is not None
        assert self.blade_length is not None
        wander = Wander(self.bore, self.blade, self.depth, self.blade_length, self.bow)
        loose, tight, tilt = wander.loose, wander.tight, wander.tilt
        judged, state = (tight, "screws tight") if self.screws else (loose, "loose")
        show = judged.unit.show
        assumptions = [
            *assumed_spreads(*wander.sizes.values()),
            "Blade and socket are rigid and straight but for the bow given.",
        ]
        if self.screws:
            assumptions.append("The screws stand in one row and press the blade against the wall opposite.")
        if self.bore.lower < self.blade.upper:
            assumptions.append("The largest blade does not go into the least bore; such a pair counts as without play.")
        sleeve = wander.sleeve(limit, tight=bool(self.screws))
        change = (
            f"take up {show(sleeve)} of the play on the diameter, with a sleeve or tape, and it holds at worst case"
            if sleeve is not None
            else "the bow alone puts the tip off by more than that: straighten the blade, or use a shorter one"
        )
        return judge(
            self,
            judged,
            Requirement(at_most=limit, risk=self.risk),
            label=f"tip wander, {state}",
            answer=(
                f"The tip lies up to {show(loose.worst_case().max)} off the axis with the blade loose"
                + (f", up to {show(tight.worst_case().max)} with the screws tight" if self.screws else "")
                + f"; loose, the blade tilts up to {tilt.unit.show(tilt.worst_case().max)}."
            ),
            change=[change],
            assumptions=assumptions,
            sources=("plane geometry of a rod in a bore",),
            cautions=BLADE_CAUTIONS,
            details={
                "tip off the axis, loose": f"{show(loose.nominal)}, at the most {show(loose.worst_case().max)}",
                "tip off the axis, screws tight on one side": f"{show(tight.nominal)}, at the most "
                f"{show(tight.worst_case().max)}",
                "tilt, loose": f"{tilt.unit.show(tilt.nominal)}, at the most {tilt.unit.show(tilt.worst_case().max)}",
                "tilt, screws tight on one side": "none: the blade lies along the wall",
            },
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
        lines, too_much = [], []
        moves = (
            (shift.at_worst_case, "and it holds at worst case", "to hold at worst case"),
            (shift.within_risk, "and it is within the risk", "to be within the risk"),
        )
        for (move, effect, aim), most in zip(moves, self._most_cut, strict=True):
            amount = abs(move or 0.0) / self.gain
            if move and move > 0 and amount > most + 1e-9:
                too_much.append(f"{show(amount)} {aim}")
            elif move:
                lines.append(f"{how[0 if move > 0 else 1].format(show(amount))} {effect}")
        if too_much and not lines:
            allows = (
                f"that its screw allows for {self.cut}" if self.slug is not None else f"of {self.cut}, {self._part},"
            )
            lines.append(f"no cut {allows} does it: {listed(too_much)} would have to come off")
        if (lines or too_much) and self.slug is not None:
            lines.append(self.slug.cut_words())
            if too_much:
                lines.append(f"set the screw of {self.cut} deeper, or take the rest off another part under the blade")
        return lines

    @property
    def _most_cut(self) -> Interval:
        """The most that may come off the part that may be cut, at worst case and within the risk."""
        if self._part is None:
            return Interval(math.inf, math.inf)
        whole = self._part.lower
        worst, likely = self.slug.most_cut if self.slug is not None else (whole, whole)
        return Interval(min(worst, whole), min(likely, whole))

    def _drawing(self) -> TubeStack:
        return TubeStack(
            depth=self.depth.nominal,
            below=tuple((d.name.removesuffix(f" ({d})"), d.nominal) for d in self.takes),  # its size is drawn anyway
            screws=tuple((f"screw {i}", d.nominal) for i, d in enumerate(self.screws, start=1)),
            blade=self.blade.nominal if self.blade else None,
            bore=self.bore.nominal if self.bore else None,
            outside=self.outside.nominal if self.outside else None,
        )
