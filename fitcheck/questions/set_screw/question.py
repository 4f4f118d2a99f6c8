"""A set screw in a thin round wall: its inputs, what the standards fill in, and what is refused."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, ClassVar

from fitcheck.basis import Basis
from fitcheck.mechanics import (
    Material,
    ScrewSize,
    short_model,
    wall_share,
)
from fitcheck.mechanics.torque import POINTS
from fitcheck.questions.checks import refuse_other_hand
from fitcheck.questions.finding import Station
from fitcheck.questions.named import CLAMP_KEPT, FRICTION, HAND_TORQUE, MaterialName, ShearRule, ThreadText
from fitcheck.questions.quantities import SHEAR_RULE, bearing_ratio, pair_sizes
from fitcheck.questions.question import Question, given
from fitcheck.questions.readers import Choice, Colder, Count, Exact, Several, Sign, Toleranced
from fitcheck.questions.set_screw import standard, tapped
from fitcheck.questions.set_screw.locking import Locking, LockingTorque, torque_taken
from fitcheck.questions.short_threads import bench_level, strip_scatter, strip_strength
from fitcheck.stack import Dimension, dimension
from fitcheck.threads import Pair, Thread, worn
from fitcheck.threads.pair import HasSizes
from fitcheck.units import ANGLE, FORCE, LENGTH, MASS, RATIO, SPEED, TORQUE

_SIZE = Toleranced(sign=Sign.POSITIVE)
_DEPTH = Toleranced(sign=Sign.NOT_NEGATIVE)


@dataclass(frozen=True, kw_only=True, repr=False)
class ScrewInputs(Question):
    """A short screw in a thin round wall: what is given, what the standards fill in, and what may not be."""

    title: ClassVar[str] = "set screw"
    station: ClassVar[Station] = Station.SCREW
    example: ClassVar[Mapping[str, Any]] = {
        "hole": "M4x0.7-6H", "screw": "M4x0.7-6g", "outside": "30 ± 0.1", "bore": "25.4 ± 0.05", "blade": "25.0 ± 0.1",
        "wall_material": "6061-T6", "screw_material": "45H", "friction_thread": "steel on aluminium dry",
        "friction_point": "steel on polycarbonate", "friction_bore": "aluminium on polycarbonate",
        "hand_torque": "short key", "pull": "60 N",
    }  # fmt: skip
    alternatives: ClassVar[tuple[str, ...]] = ("one of pull, mass",)
    renamed: ClassVar[Mapping[str, str]] = {"reach": "arm"}
    goes_with: ClassVar[Mapping[str, tuple[str, ...]]] = dict.fromkeys(
        ("screw", "hole"),
        (
            *("screw_length", "point_length", "point_diameter", "key", "screw_major", "screw_pitch", "spotted"),
            *("hole_minor", "hole_pitch", "turns_gone", "part_gone"),
        ),
    )

    hole: Thread = given(ThreadText(external=False), "thread of the hole")
    screw: Thread = given(ThreadText(external=True), "thread of the screw")
    outside: Dimension = given(_SIZE, "outside diameter of the tube at the screw")
    bore: Dimension = given(_SIZE, "inside diameter of the tube at the screw")
    blade: Dimension = given(_SIZE, "diameter of the blade")
    screw_length: Dimension | None = given(
        _SIZE, "overall length of the screw; a standard length that fits if not given", default=None
    )
    point_length: Dimension | None = given(
        _DEPTH, "incomplete thread at the tip; what the standard allows if not given", default=None
    )
    socket_end: Dimension | None = given(
        Toleranced(sign=Sign.NOT_NEGATIVE),
        "incomplete thread at the socket end; what the standard allows if not given",
        default=None,
    )
    point: str = given(Choice(POINTS), "form of the point", default="cup")
    point_diameter: Dimension | None = given(
        _DEPTH, "diameter of the cup's rim, flat or dog, or of a cone's dent; standard if not given", default=None
    )
    countersink: Dimension = given(_DEPTH, "depth of the countersink on the outside", default="0 mm")
    countersink_inside: Dimension = given(_DEPTH, "depth of the countersink in the bore", default="0 mm")
    tapped: str = given(Choice(tapped.WAYS), "how the hole is tapped", default=tapped.BY_HAND)
    bell_mouth: Dimension | None = given(
        _DEPTH, "depth of the mouth that the tap widens; by how it is tapped if not given", default=None
    )
    tap_slant: float | None = given(
        Exact(ANGLE, Sign.NOT_NEGATIVE),
        "how far off square the thread stands at the most; by how it is tapped if not given",
        default=None,
    )
    tap_drill: Dimension | None = given(
        Toleranced(sign=Sign.POSITIVE),
        "diameter of the tap drill, for a hole of another minor diameter than the standard's",
        default=None,
    )
    wall_material: Material = given(MaterialName(), "material of the tube")
    screw_material: Material = given(MaterialName(screw=True), "material of the screw")
    blade_material: Material | None = given(MaterialName(), "material of the blade, for its dent", default=None)
    shear_rule: str | None = given(
        ShearRule(), "what stands in for a shear strength that is printed nowhere", default=SHEAR_RULE
    )
    friction_thread: Dimension = given(FRICTION, "friction in the thread")
    friction_point: Dimension = given(FRICTION, "friction under the point")
    friction_bore: Dimension = given(FRICTION, "friction of the blade on the bore")
    hand_torque: Dimension = given(
        HAND_TORQUE,
        "the torque a hand puts on the key, with its scatter",
    )
    driver: float | None = given(
        Exact(RATIO, Sign.POSITIVE), "how far a torque driver is off what it is set to, either way", default=None
    )
    trials: tuple[float, ...] | None = given(
        Several(Exact(TORQUE, Sign.POSITIVE)), "torques that stripped such screws in scrap of the stock", default=None
    )
    survived: tuple[float, ...] | None = given(
        Several(Exact(TORQUE, Sign.POSITIVE)), "torques that such screws in scrap were turned to and held", default=None
    )
    proved: float | None = given(
        Exact(TORQUE, Sign.POSITIVE), "torque that every one of these very holes was turned to and held", default=None
    )
    trial_outside: Dimension | None = given(_SIZE, "outside diameter of the scrap, if it differs", default=None)
    trial_bore: Dimension | None = given(_SIZE, "inside diameter of the scrap, if it differs", default=None)
    trial_wall: Dimension | None = given(_SIZE, "thickness of the scrap, if it is flat", default=None)
    tightenings: int = given(Count(), "how often each screw is tightened in its life", default=1)
    key: float | None = given(
        Exact(sign=Sign.POSITIVE), "width of the key; that of the standard socket if not given", default=None
    )
    key_had: str = given(
        Choice(tuple(key.value for key in standard.Key)),
        "the key at hand: plain, which bears no more than ISO 2936 asks, or a good maker's",
        default=standard.Key.PLAIN.value,
    )
    screws: int = given(Count(), "how many such screws hold the blade", default=1)
    angles: tuple[float, ...] | None = given(
        Several(Exact(ANGLE)),
        "directions of the screws around the tube; of several the worst for the hold if not given",
        default=None,
    )
    pull: float | None = given(
        Exact(FORCE, Sign.NOT_NEGATIVE), "the pull along the blade that the screws must hold", default=None
    )
    mass: float | None = given(Exact(MASS, Sign.POSITIVE), "mass of the blade, in place of the pull", default=None)
    swing: float | None = given(Exact(SPEED, Sign.POSITIVE), "how fast the blade is swung", default=None)
    arm: float | None = given(
        Exact(LENGTH, Sign.POSITIVE), "from the shoulder to the blade's centre of mass", default=None
    )
    drop: float | None = given(Exact(LENGTH, Sign.POSITIVE), "height from which the whole may be dropped", default=None)
    stop: float | None = given(Exact(LENGTH, Sign.POSITIVE), "way over which a drop is stopped", default=None)
    twist: float = given(Exact(TORQUE), "twist of the blade that the screws must hold as well", default="0 N·m")
    stays: float | None = given(
        Exact(RATIO, Sign.POSITIVE),
        "threads that must hold the screw when it is backed off for the blade",
        default=None,
    )
    dent: float | None = given(
        Exact(sign=Sign.POSITIVE), "the deepest dent in the blade that is accepted", default=None
    )

    # what else acts on the screw
    blade_bore: Dimension | None = given(
        _SIZE, "bore of a blade that is a tube; solid where the screws press if not given", default=None
    )
    spotted: Dimension | None = given(
        _SIZE,
        "how deep the point stands in the blade, in a dimple (cup, cone) or a drilled hole (dog) that fits it; on the "
        "plain blade if not given",
        default=None,
    )
    prevailing: Dimension | Locking | None = given(
        LockingTorque(), "torque that a patch or thread-lock takes before anything is clamped", default=None
    )
    kept: Dimension | None = given(
        CLAMP_KEPT, "part of the clamp load that creep leaves; by the blade's material if not given", default=None
    )
    cold: float | None = given(Colder(), "how much colder it gets than when the screws were tightened", default=None)

    side: float | None = given(
        Exact(FORCE, Sign.NOT_NEGATIVE), "the force across the blade's tip that the screws must bear", default=None
    )
    blade_out: Dimension | None = given(_SIZE, "how far the blade's tip stands out of the mouth", default=None)
    seated: Dimension | None = given(_SIZE, "how deep the blade stands below the mouth", default=None)
    screws_at: tuple[Dimension, ...] | None = given(
        Several(_SIZE), "depths of the screws' axes below the mouth", default=None
    )

    hole_minor: Dimension | None = given(Toleranced(), "measured minor diameter of a worn hole", default=None)
    hole_pitch: Dimension | None = given(Toleranced(), "measured pitch diameter of a worn hole", default=None)
    screw_major: Dimension | None = given(Toleranced(), "measured major diameter of a worn screw", default=None)
    screw_pitch: Dimension | None = given(Toleranced(), "measured pitch diameter of a worn screw", default=None)
    turns_gone: Dimension | None = given(
        Toleranced(RATIO, Sign.NOT_NEGATIVE), "turns of the hole's thread that are torn out", default=None
    )
    part_gone: Dimension | None = given(
        Toleranced(RATIO), "part of the hole's circumference on which the thread is gone", default=None
    )

    @classmethod
    def refuse_early(cls, values: Mapping[str, Any]) -> None:
        refuse_other_hand(values.get("screw"), values.get("hole"))

    # -- what the standards fill in ----------------------------------------------------------------------

    @cached_property
    def size(self) -> ScrewSize | None:
        """The standard set screw of this diameter, if there is one."""
        return standard.standard_screw(self.screw)

    @cached_property
    def sizes(self) -> dict[str, Dimension]:
        """The sizes that say how the thread of the screw stands in that of the wall."""
        sunk = 0.0 if self.spotted is None else self.spotted.middle
        tube = (self.outside.middle, self.bore.middle, min(self.blade.middle, self.bore.middle) - sunk)
        return self.sizes_of(self.screw_length or standard.length_zone(self.size, self.point, self.screw, *tube))

    def sizes_of(self, length: Dimension) -> dict[str, Dimension]:
        """`sizes` of a screw of another length, mm; what was not given of it comes from the standards for that one."""
        return {
            "outside": self.outside,
            "bore": self.bore,
            "blade": self.blade,
            "screw_length": length,
            "point_length": self.point_length
            or standard.incomplete_zone(self.screw, self.size, self.point, self.tip, length),
            "socket_end": self.socket_end or standard.socket_end_zone(self.screw, length),
            "countersink": self.countersink,
            "countersink_inside": self.countersink_inside,
            "bell_mouth": self.bell_mouth or tapped.bell_mouth_zone(self.hole, self.tapped, self.outside.unit),
            **self.pair_sizes,
            **self.damage,
            **({} if self.spotted is None else {"spotted": self.spotted}),
        }

    @cached_property
    def pair_sizes(self) -> Mapping[str, Dimension]:
        """The four diameters on which the threads meet."""
        measured = {
            "d": self.screw_major, "d2": self.screw_pitch, "D2": self.hole_pitch,
            "D1": self.hole_minor or self.drilled,
        }  # fmt: skip
        return pair_sizes(self.screw, self.hole, measured, ("screw", "hole"))

    @cached_property
    def drilled(self) -> Dimension | None:
        """The minor diameter that the tap drill leaves; None where no drill is given."""
        return None if self.tap_drill is None else tapped.drilled_minor(self.tap_drill)

    @cached_property
    def slant(self) -> float:
        """How far off square the thread stands at the most, radians."""
        return tapped.slant_taken(self.tapped) if self.tap_slant is None else self.tap_slant

    @cached_property
    def damage(self) -> dict[str, Dimension]:
        damage = {"turns_gone": self.turns_gone, "part_gone": self.part_gone}
        return {key: value for key, value in damage.items() if value is not None}

    @cached_property
    def tip(self) -> Dimension:
        return self.point_diameter or standard.point_zone(self.screw, self.size, self.point)

    @cached_property
    def torque_inputs(self) -> dict[str, Dimension]:
        """What turns torque into axial load, besides the pitch diameter."""
        return {
            "friction_thread": self.friction_thread,
            "friction_point": self.friction_point,
            "point_diameter": self.tip,
        }

    @cached_property
    def clamping(self) -> dict[str, Dimension]:
        """What makes the clamp load of the torque on the key, besides that torque."""
        taken = torque_taken(self.prevailing, self.screw)
        return {**self.torque_inputs, "d2": self.sizes["d2"], **({} if taken is None else {"prevailing": taken})}

    @cached_property
    def published_inputs(self) -> dict[str, Dimension]:
        """All that the strip torque depends on, by published tests alone."""
        wall, screw = self.wall_material, self.screw_material
        return {
            **self.sizes,
            **self.clamping,
            "tau_wall": strip_strength(wall, self.shear_rule),
            "tau_screw": strip_strength(screw, self.shear_rule),
            "bench": bench_level(),
            "scatter": strip_scatter(),
        }

    @cached_property
    def bearing_ratios(self) -> dict[str, float]:
        """Bearing over shear strength of the materials of wall and screw."""
        both = {"bearing_wall": self.wall_material, "bearing_screw": self.screw_material}
        return {key: bearing_ratio(material, self.shear_rule) for key, material in both.items()}

    @cached_property
    def pair(self) -> Pair:
        """The screw in its hole, by the standard, or worn and measured where it was."""
        screw = {"major": self.screw_major, "pitch": self.screw_pitch}
        hole = {"pitch": self.hole_pitch, "minor": self.hole_minor or self.drilled}
        return Pair(_as_it_is(self.screw, screw), _as_it_is(self.hole, hole))

    @cached_property
    def nominal(self) -> dict[str, float]:
        """Nominal values of `published_inputs`."""
        return {key: value.nominal for key, value in self.published_inputs.items()}

    @cached_property
    def share(self) -> float:
        """Part of the screws' thrust that presses the blade on the bore."""
        if self.angles is not None:
            return wall_share(list(self.angles))
        # Of several screws whose directions nobody stated: opposed they press nothing on the bore, which is the least.
        return 1.0 if self.screws == 1 else 0.0

    @cached_property
    def put_on(self) -> Dimension:
        """The torque that is put on the key each time: by the hand, or by a driver that is set to the hand torque."""
        if self.driver is None:
            return self.hand_torque
        off = self.driver * self.hand_torque.nominal
        return dimension(
            self.hand_torque.nominal,
            plus=off,
            name="torque of the driver",
            unit=self.hand_torque.unit,
            origin="accuracy of the torque driver",
        )

    def put_on_up_to(self, most: float) -> Dimension:
        """What is put on by who never passes `most` N·m, with the scatter that hand or driver has now."""
        now = self.put_on
        part = most / now.upper
        return dimension(
            now.nominal * part,
            plus=(now.upper - now.nominal) * part,
            minus=(now.nominal - now.lower) * part,
            spread=None if now.assumed else now.spread,
            name="safe torque",
            unit=now.unit,
            basis=Basis.ASSUMED,
        )

    @property
    def own_thread(self) -> bool:
        """Whether a diameter of the thread is the user's own, so that its crests may be worn or cut too shallow."""
        return any((self.hole_minor, self.hole_pitch, self.tap_drill, self.screw_major, self.screw_pitch))

    @property
    def risk_a_screw(self) -> float:
        """The accepted risk that one of the screws strips: n of them strip no oftener than n times one."""
        return self.claimed_risk / self.screws

    @property
    def least_risk(self) -> float:
        """The smallest risk of stripping that the tests can tell, over all screws: m own trials tell 1 in m + 1.

        Of a torque that no tightening passes and that these very holes have borne nothing is left to be told by tests.
        """
        hand = self.put_on
        if self.proved is not None and hand.upper <= self.proved and hand.spread.bounded:
            return 0.0
        return min(short_model().least_risk, 1 / (len(self.trials or ()) + 1))

    @property
    def claimed_risk(self) -> float:
        """The accepted risk of stripping, over all screws, or the smallest that the tests can tell if that is more."""
        return max(self.risk, self.least_risk)


def _as_it_is(thread: Thread, measured: Mapping[str, Dimension | None]) -> HasSizes:
    return worn(thread, **{which: size for which, size in measured.items() if size is not None})
