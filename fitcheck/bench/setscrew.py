"""Set-screw strip risk: a short screw in a thin round wall, turned by hand.

The thread that holds is what the curved wall leaves between countersinks and the end of the screw. The axial load that
strips it, over the load that a unit of torque makes, is the strip torque; the question is how likely a hand reaches it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, ClassVar

import numpy as np

from fitcheck.bench.finding import Finding, Requirement, judge
from fitcheck.bench.inputs import Choice, Count, Exact, MaterialName, Question, ThreadText, Toleranced, given
from fitcheck.bench.sizes import same_thread, shear_strength, strip_scatter, thread_size
from fitcheck.bench.strip import strip_loads
from fitcheck.bench.words import BLADE_CAUTIONS, STRENGTH_CAUTIONS, assumed_spreads
from fitcheck.errors import InputError
from fitcheck.stack import Dimension, Response, dimension
from fitcheck.strength import (
    NO_TAPPED_TESTS,
    Material,
    axial_hold,
    axial_load,
    lever_arm,
    point_radius,
    self_locking_friction,
    short_model,
    wall_length_range,
)
from fitcheck.strength.torque import POINTS
from fitcheck.threads import Thread
from fitcheck.units import FORCE, PLAIN, RATIO, TORQUE, Number, unit


def engaged_length(
    outside: Number,
    bore: Number,
    blade: Number,
    hole: Number,
    screw_length: Number,
    point_length: Number,
    countersink: Number,
) -> Number:
    """Mean length around the hole over which wall and screw thread engage, mm.

    The blade is pressed against the far side of the bore, so the screw's tip stands `blade - bore/2` above the tube
    axis; its full thread begins `point_length` higher and ends at its outer end.

    outside, bore, blade: diameters, mm. hole: diameter of the sheared cylinder, mm. screw_length: overall, mm.
    point_length: incomplete thread at the tip, mm. countersink: depth of the outside countersink, mm. The arguments
    broadcast; 0 where the screw does not reach. Geometry: `fitcheck.strength.wall_length_range`.
    """
    tip = np.asarray(blade) - np.asarray(bore) / 2
    _, mean, _ = wall_length_range(
        np.asarray(hole) / 2,
        np.asarray(bore) / 2,
        np.asarray(outside) / 2,
        outside=countersink,
        screw_from=tip + point_length,
        screw_to=tip + screw_length,
    )
    return np.maximum(mean, 0.0)


@dataclass(frozen=True, kw_only=True)
class SetScrew(Question):
    """May the set screw be turned by hand without stripping the wall, and does it then hold the blade?"""

    title: ClassVar[str] = "set screw"

    hole: Thread = given(ThreadText(external=False), "thread of the hole")
    screw: Thread = given(ThreadText(external=True), "thread of the screw")
    outside: Dimension = given(Toleranced(), "outside diameter of the tube at the screw")
    bore: Dimension = given(Toleranced(), "inside diameter of the tube at the screw")
    blade: Dimension = given(Toleranced(), "diameter of the blade")
    screw_length: Dimension = given(Toleranced(), "overall length of the screw")
    point_length: Dimension | None = given(
        Toleranced(), "incomplete thread at the tip; 0 to 2 pitches if not given", default=None
    )
    point: str = given(Choice(POINTS), "form of the point", default="cup")
    point_diameter: Dimension = given(
        Toleranced(), "diameter of the cup's rim, of the flat or dog, or of a cone's dent"
    )
    countersink: Dimension = given(Toleranced(), "depth of the countersink on the outside", default="0 mm")
    wall_material: Material = given(MaterialName(), "material of the tube")
    screw_material: Material = given(MaterialName(), "material of the screw")
    friction_thread: Dimension = given(Toleranced(RATIO), "friction in the thread")
    friction_point: Dimension = given(Toleranced(RATIO), "friction under the point")
    friction_bore: Dimension = given(Toleranced(RATIO), "friction of the blade on the bore")
    hand_torque: Dimension = given(Toleranced(TORQUE), "the torque a hand puts on the key, with its scatter")
    screws: int = given(Count(), "how many such screws hold the blade, on one side of it", default=1)
    pull: float = given(Exact(FORCE), "the pull along the blade that the screws must hold")

    def __post_init__(self) -> None:
        same_thread(self.screw, self.hole)

    @cached_property
    def _sizes(self) -> dict[str, Dimension]:
        P = self.screw.pitch
        point_length = self.point_length or dimension(P, plus=P, name="point length", unit=self.screw_length.unit)
        return {
            "outside": self.outside,
            "bore": self.bore,
            "blade": self.blade,
            "screw_length": self.screw_length,
            "point_length": point_length,
            "countersink": self.countersink,
            "d": thread_size(self.screw, "major", "screw major diameter"),
            "d2": thread_size(self.screw, "pitch", "screw pitch diameter"),
            "D1": thread_size(self.hole, "minor", "hole minor diameter"),
            "D2": thread_size(self.hole, "pitch", "hole pitch diameter"),
        }

    @cached_property
    def _torque_inputs(self) -> dict[str, Dimension]:
        return {
            "friction_thread": self.friction_thread,
            "friction_point": self.friction_point,
            "point_diameter": self.point_diameter,
        }

    @cached_property
    def _strip_inputs(self) -> dict[str, Dimension]:
        return {
            **self._sizes,
            **self._torque_inputs,
            "tau_wall": shear_strength(self.wall_material, f"shear strength of {self.wall_material.name}"),
            "tau_screw": shear_strength(self.screw_material, f"shear strength of {self.screw_material.name}"),
            "scatter": strip_scatter(),
        }

    # -- the models, on floats or arrays -----------------------------------------------------------------

    def _length(self, v: Mapping[str, Any]) -> Number:
        return engaged_length(
            v["outside"], v["bore"], v["blade"], v["d"], v["screw_length"], v["point_length"], v["countersink"]
        )

    def _strip_torque(self, **v: Any) -> Number:
        P = self.screw.pitch
        hole, screw = strip_loads(
            self._length(v), P, v["d"], v["d2"], v["D1"], v["D2"], v["tau_wall"], v["tau_screw"], v["scatter"]
        )
        arm = lever_arm(
            P, v["d2"], v["friction_thread"], v["friction_point"], point_radius(self.point, v["point_diameter"])
        )
        return np.asarray(np.minimum(hole, screw) * arm / 1000)

    def _hold(self, **v: Any) -> Number:
        load = axial_load(
            v["hand_torque"],
            self.screw.pitch,
            v["d2"],
            v["friction_thread"],
            v["friction_point"],
            point_radius(self.point, v["point_diameter"]),
        )
        return np.asarray(axial_hold(load, v["friction_point"], v["friction_bore"], self.screws))

    # -- the findings --------------------------------------------------------------------------------------

    @cached_property
    def threads_engaged(self) -> Response:
        """Threads of the wall and of the screw that engage."""

        def engaged(**v: Any) -> Number:
            return np.asarray(self._length(v) / self.screw.pitch)

        needed = ("outside", "bore", "blade", "screw_length", "point_length", "countersink", "d")
        return Response(engaged, {key: self._sizes[key] for key in needed}, unit=PLAIN, name="engaged threads")

    @cached_property
    def strip_torque(self) -> Response:
        """Torque on the key that strips the weaker thread, N·m."""
        return Response(self._strip_torque, self._strip_inputs, unit=self.hand_torque.unit, name="strip torque")

    @property
    def safe_torque(self) -> float:
        """Torque that strips the thread with no more than the accepted risk, N·m."""
        return self.strip_torque.interval(1 - 2 * self.risk).min

    def findings(self) -> tuple[Finding, ...]:
        return (self._strips(), self._holds())

    def _strips(self) -> Finding:
        def margin(hand_torque: Number, **v: Any) -> Number:
            return np.asarray(self._strip_torque(**v) / hand_torque)

        if self.hand_torque.lower <= 0:
            raise InputError(f"hand_torque = {self.hand_torque}: a torque above 0 over its whole zone is needed")
        ratio = Response(
            margin,
            {**self._strip_inputs, "hand_torque": self.hand_torque},
            unit=PLAIN,
            name="strip torque over hand torque",
        )
        show = self.hand_torque.unit.show
        strip, safe, threads = self.strip_torque, self.safe_torque, self.threads_engaged
        few, many = threads.worst_case()
        requirement = Requirement(at_least=1.0, risk=self.risk)
        nominal = {key: value.nominal for key, value in self._strip_inputs.items()}
        hole, screw = strip_loads(
            self._length(nominal),
            self.screw.pitch,
            *(nominal[key] for key in ("d", "d2", "D1", "D2", "tau_wall", "tau_screw")),
        )
        locking = self_locking_friction(self.screw.pitch, nominal["d2"])
        return judge(
            ratio,
            requirement,
            question=self.title,
            name=self.name,
            label="strip torque over hand torque",
            answer=(
                f"With {threads.nominal:.1f} threads in the wall (worst {few:.1f}) the thread strips at about "
                f"{show(strip.nominal)}; a safe hand torque is {show(safe)}."
            ),
            confidence=self.confidence,
            change=(
                f"turn the key with no more than {show(safe)}",
                "use a longer screw or less countersink if the screw's end leaves thread unused",
                "use a coarser thread or a thicker wall",
            ),
            assumptions=(
                *assumed_spreads(*self._strip_inputs.values(), self.hand_torque),
                NO_TAPPED_TESTS,
                "The blade is pressed against the far side of the bore and does not yield.",
            ),
            sources=(
                "shear areas: FED-STD-H28/2, ASME B1.1 appendix B",
                f"short threads: {short_model().source}",
                "torque and load: VDI 2230-1, 5.4.1, with the point in place of the head",
                *(self._strip_inputs[key].origin for key in ("tau_wall", "tau_screw")),
            ),
            cautions=STRENGTH_CAUTIONS,
            details={
                "threads in the wall": f"{threads.nominal:.2f}, worst case {few:.2f} to {many:.2f}",
                "strip torque": f"{show(strip.nominal)} nominal",
                "safe torque": f"{show(safe)} at a risk of {self.risk:g}",
                "weaker thread": "hole" if hole <= screw else "screw",
                "self-locking": (
                    "yes" if self.friction_thread.lower > locking else f"only above a thread friction of {locking:.3f}"
                ),
            },
        )

    def _holds(self) -> Finding:
        hold = Response(
            self._hold,
            {
                **self._torque_inputs,
                "d2": self._sizes["d2"],
                "friction_bore": self.friction_bore,
                "hand_torque": self.hand_torque,
            },
            unit=unit("N"),
            name="hold on the blade",
        )
        show = hold.unit.show
        low, _ = hold.worst_case()
        screws = "1 screw holds" if self.screws == 1 else f"{self.screws} screws hold"
        more = self.hand_torque.nominal * self.pull / low if low > 0 else float("inf")
        return judge(
            hold,
            Requirement(at_least=self.pull, risk=self.risk),
            question=self.title,
            name=self.name,
            label="friction hold on the blade",
            answer=f"{screws} the blade with {show(hold.nominal)} at the hand torque, at the least {show(low)}.",
            confidence=self.confidence,
            change=(
                f"a mean hand torque of {self.hand_torque.unit.show(more)} would hold at worst case; "
                "compare it with the safe torque",
                "use more screws",
            ),
            assumptions=(
                *assumed_spreads(self.hand_torque, *self._torque_inputs.values(), self.friction_bore),
                "Friction alone holds; the bite of the point is left out. The screws press from one side.",
            ),
            sources=("friction at the points and at the far side of the bore: statics",),
            cautions=BLADE_CAUTIONS,
        )
