"""Set-screw strip risk: a short screw in a thin round wall, turned by hand.

The thread that holds is what the curved wall leaves between countersinks and the end of the screw. The axial load that
strips it, over the load that a unit of torque makes, is the strip torque; the question is how likely a hand reaches it.
What is said about the answers is in `screwfindings`, what the standards fill in is in `screwsize`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, ClassVar

import numpy as np

from fitcheck.mechanics import (
    Material,
    ScrewSize,
    axial_hold,
    axial_load,
    drop_pull,
    friction,
    friction_names,
    hand_torque,
    hand_torque_names,
    lever_arm,
    point_radius,
    slip_demand,
    swing_pull,
    wall_share,
    weight_pull,
    worn_engagement,
)
from fitcheck.mechanics.short_engagement import strip_loads, textbook_loads
from fitcheck.mechanics.torque import POINTS
from fitcheck.mechanics.wall import engaged_length, standing_tip
from fitcheck.questions.checks import refuse_other_hand
from fitcheck.questions.finding import Finding, Verdict
from fitcheck.questions.named import MaterialName, NamedRange, ShearRule, ThreadText
from fitcheck.questions.quantities import SHEAR_RULE, shear_strength, strip_fit, strip_scatter, thread_size
from fitcheck.questions.question import Question, given
from fitcheck.questions.readers import Choice, Count, Exact, Several, Sign, Toleranced, stated_in
from fitcheck.questions.set_screw import standard
from fitcheck.questions.set_screw.checks import check
from fitcheck.questions.set_screw.findings import dent_finding, hold_finding, loose_finding, strip_finding
from fitcheck.stack import Dimension, Response
from fitcheck.stack.probability.quantile import low_quantile
from fitcheck.threads import Pair, Thread, worn
from fitcheck.threads.pair import HasSizes
from fitcheck.units import ANGLE, FORCE, LENGTH, MASS, PLAIN, RATIO, SPEED, TORQUE, Number

_FRICTION = NamedRange(RATIO, friction_names, friction)
_IN_THE_WALL = ("outside", "bore", "screw_length", "point_length", "countersink", "countersink_inside", "d")
_ENGAGED = (*_IN_THE_WALL, "blade")


@dataclass(frozen=True, kw_only=True)
class SetScrew(Question):
    """May the set screw be turned by hand without stripping the wall, and does it then hold the blade?"""

    title: ClassVar[str] = "set screw"
    alternatives: ClassVar[tuple[str, ...]] = ("one of pull, mass",)

    hole: Thread = given(ThreadText(external=False), "thread of the hole")
    screw: Thread = given(ThreadText(external=True), "thread of the screw")
    outside: Dimension = given(Toleranced(), "outside diameter of the tube at the screw")
    bore: Dimension = given(Toleranced(), "inside diameter of the tube at the screw")
    blade: Dimension = given(Toleranced(), "diameter of the blade")
    screw_length: Dimension | None = given(
        Toleranced(), "overall length of the screw; a standard length that fits if not given", default=None
    )
    point_length: Dimension | None = given(
        Toleranced(), "incomplete thread at the tip; what the standard allows if not given", default=None
    )
    point: str = given(Choice(POINTS), "form of the point", default="cup")
    point_diameter: Dimension | None = given(
        Toleranced(), "diameter of the cup's rim, flat or dog, or of a cone's dent; standard if not given", default=None
    )
    countersink: Dimension = given(Toleranced(), "depth of the countersink on the outside", default="0 mm")
    countersink_inside: Dimension = given(Toleranced(), "depth of the countersink in the bore", default="0 mm")
    wall_material: Material = given(MaterialName(), "material of the tube")
    screw_material: Material = given(MaterialName(), "material of the screw")
    blade_material: Material | None = given(MaterialName(), "material of the blade, for its dent", default=None)
    shear_rule: str | None = given(
        ShearRule(), "what stands in for a shear strength that is printed nowhere", default=SHEAR_RULE
    )
    friction_thread: Dimension = given(_FRICTION, "friction in the thread")
    friction_point: Dimension = given(_FRICTION, "friction under the point")
    friction_bore: Dimension = given(_FRICTION, "friction of the blade on the bore")
    hand_torque: Dimension = given(
        NamedRange(TORQUE, hand_torque_names, hand_torque), "the torque a hand puts on the key, with its scatter"
    )
    key: float | None = given(Exact(), "width of the key; that of the standard socket if not given", default=None)
    screws: int = given(Count(), "how many such screws hold the blade", default=1)
    angles: tuple[float, ...] | None = given(
        Several(Exact(ANGLE)), "directions of the screws around the tube; all on one side if not given", default=None
    )
    pull: float | None = given(
        Exact(FORCE, Sign.NOT_NEGATIVE), "the pull along the blade that the screws must hold", default=None
    )
    mass: float | None = given(Exact(MASS), "mass of the blade, in place of the pull", default=None)
    swing: float | None = given(Exact(SPEED), "how fast the blade is swung", default=None)
    reach: float | None = given(Exact(LENGTH), "from the shoulder to the blade's centre of mass", default=None)
    drop: float | None = given(Exact(LENGTH), "height from which the whole may be dropped", default=None)
    stop: float | None = given(Exact(LENGTH), "way over which a drop is stopped", default=None)
    twist: float = given(Exact(TORQUE), "twist of the blade that the screws must hold as well", default="0 N·m")
    stays: float | None = given(
        Exact(RATIO), "threads that must hold the screw when it is backed off for the blade", default=None
    )
    dent: float | None = given(Exact(), "the deepest dent in the blade that is accepted", default=None)

    hole_minor: Dimension | None = given(Toleranced(), "measured minor diameter of a worn hole", default=None)
    hole_pitch: Dimension | None = given(Toleranced(), "measured pitch diameter of a worn hole", default=None)
    screw_major: Dimension | None = given(Toleranced(), "measured major diameter of a worn screw", default=None)
    screw_pitch: Dimension | None = given(Toleranced(), "measured pitch diameter of a worn screw", default=None)
    turns_gone: Dimension | None = given(
        Toleranced(RATIO), "turns of the hole's thread that are torn out", default=None
    )
    part_gone: Dimension | None = given(
        Toleranced(RATIO), "part of the hole's circumference on which the thread is gone", default=None
    )

    @classmethod
    def refuse_early(cls, values: Mapping[str, Any]) -> None:
        refuse_other_hand(values.get("screw"), values.get("hole"))

    def __post_init__(self) -> None:
        super().__post_init__()
        check(self)

    # -- what the standards fill in ----------------------------------------------------------------------

    @cached_property
    def size(self) -> ScrewSize | None:
        """The standard set screw of this diameter, if there is one."""
        return standard.standard_screw(self.screw)

    @cached_property
    def sizes(self) -> dict[str, Dimension]:
        """The sizes that say how the thread of the screw stands in that of the wall."""
        tube = (self.outside.middle, self.bore.middle, self.blade.middle)
        length = self.screw_length or standard.length_zone(self.size, self.point, self.screw, *tube)
        return {
            "outside": self.outside,
            "bore": self.bore,
            "blade": self.blade,
            "screw_length": length,
            "point_length": self.point_length
            or standard.incomplete_zone(self.screw, self.size, self.point, self._tip, length),
            "countersink": self.countersink,
            "countersink_inside": self.countersink_inside,
            "d": self.screw_major or thread_size(self.screw, "major", "screw major diameter"),
            "d2": self.screw_pitch or thread_size(self.screw, "pitch", "screw pitch diameter"),
            "D1": self.hole_minor or thread_size(self.hole, "minor", "hole minor diameter"),
            "D2": self.hole_pitch or thread_size(self.hole, "pitch", "hole pitch diameter"),
            **self._damage,
        }

    @cached_property
    def _damage(self) -> dict[str, Dimension]:
        damage = {"turns_gone": self.turns_gone, "part_gone": self.part_gone}
        return {key: value for key, value in damage.items() if value is not None}

    @cached_property
    def _tip(self) -> Dimension:
        return self.point_diameter or standard.point_zone(self.screw, self.size, self.point)

    @cached_property
    def torque_inputs(self) -> dict[str, Dimension]:
        """What turns torque into axial load, besides the pitch diameter."""
        return {
            "friction_thread": self.friction_thread,
            "friction_point": self.friction_point,
            "point_diameter": self._tip,
        }

    @cached_property
    def strip_inputs(self) -> dict[str, Dimension]:
        """All that the strip torque depends on."""
        wall, screw = self.wall_material, self.screw_material
        return {
            **self.sizes,
            **self.torque_inputs,
            "tau_wall": shear_strength(wall, f"shear strength of {wall.name}", self.shear_rule),
            "tau_screw": shear_strength(screw, f"shear strength of {screw.name}", self.shear_rule),
            "scatter": strip_scatter(),
            "fit": strip_fit(),
        }

    @cached_property
    def pair(self) -> Pair:
        """The screw in its hole, by the standard, or worn and measured where it was."""
        screw = {"major": self.screw_major, "pitch": self.screw_pitch}
        hole = {"pitch": self.hole_pitch, "minor": self.hole_minor}
        return Pair(_as_it_is(self.screw, screw), _as_it_is(self.hole, hole))

    @cached_property
    def nominal(self) -> dict[str, float]:
        """Nominal values of `strip_inputs`."""
        return {key: value.nominal for key, value in self.strip_inputs.items()}

    # -- the models, on floats or arrays -----------------------------------------------------------------

    def length(self, v: Mapping[str, Any]) -> Number:
        """Engaged length with the screw on the blade, mm, less what is torn out of the hole."""
        return self._left(engaged_length(tip=standing_tip(v["blade"], v["bore"]), **_wall(v)), v)

    def backed_off(self, v: Mapping[str, Any]) -> Number:
        """Engaged length with the tip flush with the bore, out of the way of any blade, mm."""
        return self._left(engaged_length(tip=np.asarray(v["bore"]) / 2, **_wall(v)), v)

    def _left(self, length: Number, v: Mapping[str, Any]) -> Number:
        if not self._damage:
            return length
        turns, part = np.maximum(v.get("turns_gone", 0.0), 0.0), np.clip(v.get("part_gone", 0.0), 0.0, 1.0)
        return worn_engagement(length, self.screw.pitch, turns_gone=turns, part_gone=part)

    def arm(self, v: Mapping[str, Any]) -> Number:
        """Torque for a unit of axial load, mm. Frictions and diameters that a spread draws below 0 count as 0."""
        thread, point, tip = (np.maximum(v[key], 0.0) for key in self.torque_inputs)
        return lever_arm(self.screw.lead, v["d2"], thread, point, point_radius(self.point, tip))

    def both_loads(self, v: Mapping[str, Any], *, textbook: bool = False) -> tuple[Number, Number]:
        """Loads that strip the hole's and the screw's thread, N."""
        LE, P = self.length(v), self.screw.pitch
        parts = {key: v[key] for key in ("d", "d2", "D1", "D2", "tau_wall", "tau_screw")}
        if textbook:
            return textbook_loads(LE, P, **parts)
        return strip_loads(LE, P, **parts, scatter=v["scatter"], fit=v["fit"])

    def torque_to_strip(self, *, textbook: bool = False, **v: Any) -> Number:
        """Torque that strips the weaker thread, N·m."""
        hole, screw = self.both_loads(v, textbook=textbook)
        return np.asarray(np.minimum(hole, screw) * self.arm(v) / 1000)

    def load(self, v: Mapping[str, Any]) -> Number:
        """Axial load at the hand torque, N."""
        thread, point, tip = (np.maximum(v[key], 0.0) for key in self.torque_inputs)
        radius = point_radius(self.point, tip)
        return axial_load(np.maximum(v["hand_torque"], 0.0), self.screw.lead, v["d2"], thread, point, radius)

    def hold(self, **v: Any) -> Number:
        """Friction that all screws together hold the blade with, N."""
        point, bore = np.maximum(v["friction_point"], 0.0), np.maximum(v["friction_bore"], 0.0)
        return np.asarray(axial_hold(self.load(v), point, bore, self.screws, share=self.share))

    # -- the quantities --------------------------------------------------------------------------------------

    def _turns(self, length: Callable[[Mapping[str, Any]], Number], keys: tuple[str, ...], name: str) -> Response:
        def turns(**v: Any) -> Number:
            return np.asarray(length(v) / self.screw.pitch)

        inputs = {key: self.sizes[key] for key in keys} | self._damage
        return Response(turns, inputs, unit=PLAIN, name=name)

    @cached_property
    def threads_engaged(self) -> Response:
        """Threads of the wall and of the screw that engage."""
        return self._turns(self.length, _ENGAGED, "engaged threads")

    @cached_property
    def threads_backed_off(self) -> Response:
        """Threads that still hold the screw in the wall when its tip is flush with the bore."""
        return self._turns(self.backed_off, _IN_THE_WALL, "threads when backed off")

    @cached_property
    def strip_torque(self) -> Response:
        """Torque on the key that strips the weaker thread, N·m."""
        return Response(self.torque_to_strip, self.strip_inputs, unit=self.hand_torque.unit, name="strip torque")

    @cached_property
    def strip_margin(self) -> Response:
        """Strip torque over hand torque: below 1 the thread strips."""

        def margin(hand_torque: Number, **v: Any) -> Number:
            # A hand that a spread draws below a thousandth of its usual torque strips nothing.
            return np.asarray(self.torque_to_strip(**v) / np.maximum(hand_torque, self.hand_torque.nominal / 1000))

        inputs = {**self.strip_inputs, "hand_torque": self.hand_torque}
        return Response(margin, inputs, unit=PLAIN, name="strip torque over hand torque")

    def hold_at(self, torque: Dimension) -> Response:
        """Friction that holds the blade when every screw is turned with `torque`, N."""
        inputs = {"d2": self.sizes["d2"], "friction_bore": self.friction_bore, "hand_torque": torque}
        return Response(
            self.hold, {**self.torque_inputs, **inputs}, unit=stated_in(self.pull, FORCE), name="hold on the blade"
        )

    @cached_property
    def safe_torque(self) -> float:
        """Torque that strips the thread with no more than the accepted risk, N·m."""
        return low_quantile(self.strip_torque, self.risk)

    @cached_property
    def share(self) -> float:
        """Part of the screws' thrust that presses the blade on the bore."""
        return 1.0 if self.angles is None else wall_share(list(self.angles))

    @cached_property
    def pulled(self) -> tuple[float, str]:
        """The pull along the blade in N, and what makes it."""
        if self.mass is None:
            return self.pull or 0.0, "as given"
        pulls = [(float(weight_pull(self.mass)), "the weight of the blade hanging down")]
        if self.swing is not None and self.reach is not None:
            pulls.append((float(swing_pull(self.mass, self.swing, self.reach)), "the swing"))
        if self.drop is not None and self.stop is not None:
            pulls.append((float(drop_pull(self.mass, self.drop, self.stop)), "the drop"))
        return max(pulls)

    @property
    def demand(self) -> float:
        """Friction that pull and twist together ask for, N."""
        return float(slip_demand(self.pulled[0], self.twist, self.blade.nominal))

    def findings(self) -> tuple[Finding, ...]:
        strip = strip_finding(self)
        found = [strip, hold_finding(self, strips=strip.verdict is Verdict.FAILS)]
        if self.stays is not None:
            found.append(loose_finding(self, self.stays))
        if self.dent is not None:
            found.append(dent_finding(self, self.dent))
        return tuple(found)


def _as_it_is(thread: Thread, measured: Mapping[str, Dimension | None]) -> HasSizes:
    return worn(thread, **{which: size for which, size in measured.items() if size is not None})


def _wall(v: Mapping[str, Any]) -> dict[str, Any]:
    """The arguments of `engaged_length` other than the tip."""
    return {"hole": v["d"], **{key: v[key] for key in _IN_THE_WALL if key != "d"}}
