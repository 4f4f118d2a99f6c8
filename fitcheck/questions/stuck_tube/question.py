"""Handling a stuck screwed tube: what twist its thinnest section bears against what it takes to turn it loose.

Both halves are thin where they are threaded: the screwed-in half under the root of its thread (or in the groove behind
it), the outer half over the root of its own. Heat, penetrant and time free more joints than torque does; they are
advice, not numbers.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property, partial
from typing import Any, ClassVar

from fitcheck.errors import InputError, TableError
from fitcheck.mechanics import Material
from fitcheck.mechanics.grip import GRIPS
from fitcheck.questions.checks import check_friction, refuse_other_hand, same_thread
from fitcheck.questions.finding import Station
from fitcheck.questions.named import FRICTION, HoleSize, MaterialName, ThreadText
from fitcheck.questions.quantities import of_property, thread_size
from fitcheck.questions.question import Question, given
from fitcheck.questions.readers import Choice, Sign, Toleranced
from fitcheck.questions.stuck_tube.gripped import CLEAR, Held
from fitcheck.questions.stuck_tube.strength import Groove, Loosening, Twist
from fitcheck.questions.threaded_tube import SOFT_JAWS, ThreadedTube, refuse_large_holes
from fitcheck.stack import Dimension, Response
from fitcheck.stack.probability.quantile import advised_quantile
from fitcheck.threads import Thread
from fitcheck.units import RATIO, TORQUE, Number

_SIZE = Toleranced(sign=Sign.POSITIVE)
_TORQUE = Toleranced(TORQUE, Sign.POSITIVE)
HALVES = "outer half", "screwed-in half"
"""What may be gripped: the half around the thread, or the one that is screwed in."""


@dataclass(frozen=True, kw_only=True, repr=False)
class StuckTube(Question):
    """May a stuck screwed tube be turned as hard as it takes without yielding at its thinnest section?

    >>> asked = StuckTube.read({
    ...     "external": "M36x1.5-6g", "internal": "M36x1.5-6H", "bore": "32 ± 0.05", "outside": "40 ± 0.1",
    ...     "external_material": "6061-T6", "internal_material": "6061-T6", "seized": "25 ± 5 N·m"})
    >>> asked.findings()[0].verdict.value
    'holds'
    """

    title: ClassVar[str] = "handling"
    station: ClassVar[Station] = Station.JOINT
    example: ClassVar[Mapping[str, Any]] = {
        "external": "M36x1.5-6g", "internal": "M36x1.5-6H", "bore": "32 ± 0.1", "outside": "40 ± 0.1",
        "external_material": "6061-T6", "internal_material": "6061-T6", "seized": "25 ± 10 N·m",
    }  # fmt: skip
    alternatives: ClassVar[tuple[str, ...]] = ("one of seized, in_vain",)

    external: Thread = given(ThreadText(external=True), "thread of the half that is screwed in")
    internal: Thread = given(ThreadText(external=False), "thread of the half around it")
    bore: Dimension = given(
        Toleranced(sign=Sign.NOT_NEGATIVE), "inside diameter of the half that is screwed in; 0 mm if it is solid"
    )
    outside: Dimension = given(_SIZE, "outside diameter of the half around it, over the thread")
    external_material: Material = given(MaterialName(), "material of the half that is screwed in")
    internal_material: Material = given(MaterialName(), "material of the half around it")
    seized: Dimension | None = given(_TORQUE, "the torque it was screwed home with", default=None)
    in_vain: Dimension | None = given(_TORQUE, "a torque that did not turn it loose", default=None)
    holes: Dimension | None = given(
        HoleSize(), "diameter of the largest set-screw hole in the halves, threaded or not", default=None
    )
    harder: Dimension = given(
        Toleranced(RATIO, Sign.POSITIVE),
        "times harder it sits than it was tightened, by corrosion or adhesive",
        default="1",
    )
    friction_tightened: Dimension | None = given(
        FRICTION, "friction when it was tightened against its shoulder", default=None
    )
    friction_loosened: Dimension | None = given(FRICTION, "friction when it starts to turn loose", default=None)
    neck: Dimension | None = given(Toleranced(), "diameter in the groove behind the external thread", default=None)
    groove_radius: Dimension | None = given(_SIZE, "radius at the bottom of that groove; none is sharp", default=None)

    # how it is held
    held_by: str | None = given(Choice(GRIPS), "what grips the half that is asked about", default=None)
    held_half: str = given(Choice(HALVES), "the half that is gripped", default=HALVES[0])
    grip: Dimension | None = given(_SIZE, "length of the grip along the tube", default=None)
    held_outside: Dimension | None = given(
        _SIZE, "outside diameter under the grip; that over the thread if not given", default=None
    )
    held_bore: Dimension | None = given(
        Toleranced(sign=Sign.NOT_NEGATIVE),
        "inside diameter under the grip; of the half around the thread the root of its thread if not given",
        default=None,
    )
    friction_grip: Dimension = given(FRICTION, "friction of the grip on the tube", default=f"{SOFT_JAWS:g}")
    plug_inside: Dimension | None = given(_SIZE, "diameter of a plug put inside under the grip", default=None)
    hole_clear: Dimension | None = given(
        Toleranced(sign=Sign.NOT_NEGATIVE),
        "from the grip to the edge of the nearest set-screw hole; holes lie under it if not given",
        default=None,
    )

    @classmethod
    def refuse_early(cls, values: Mapping[str, Any]) -> None:
        """Raises `InputError` where the two threads in `values`, the inputs read so far by name, differ in hand."""
        refuse_other_hand(values.get("external"), values.get("internal"))

    def __post_init__(self) -> None:
        super().__post_init__()
        same_thread(self.external, self.internal)
        if self.seized is None and self.in_vain is None:
            raise InputError("seized or in_vain is needed: the torque it was screwed home with, or one that failed")
        for name in ("external_material", "internal_material"):
            try:
                getattr(self, name).get("yield")
            except TableError as error:
                raise TableError(f"{name}: {error}", key=name) from None
        if (self.friction_tightened is None) is not (self.friction_loosened is None):
            missing = "friction_tightened" if self.friction_tightened is None else "friction_loosened"
            raise InputError(f"{missing}: missing: friction_tightened and friction_loosened go together", key=missing)
        for name in ("friction_tightened", "friction_loosened"):
            if (value := getattr(self, name)) is not None:
                check_friction(name, value)
        self._check_walls()
        self._check_grip()

    def _check_grip(self) -> None:
        together = {"held_by": self.held_by, "grip": self.grip}
        if (self.held_by is None) is not (self.grip is None):
            missing = next(key for key, value in together.items() if value is None)
            raise InputError(f"{missing}: missing: held_by and grip go together", key=missing)
        if self.held_by is None:
            for key in ("held_outside", "held_bore", "plug_inside", "hole_clear"):
                if getattr(self, key) is not None:
                    raise InputError(f"held_by: missing: {key} is about how the tube is held", key="held_by")
            return
        if self.held_half == HALVES[1] and self.held_outside is None:
            raise InputError(
                "held_outside: missing: the screwed-in half is gripped beside its thread, on a diameter that is needed",
                key="held_outside",
            )
        check_friction("friction_grip", self.friction_grip)
        if self.hole_clear is not None and self.holes is None:
            raise InputError("holes: missing: hole_clear says how far they lie from the grip", key="holes")
        held = self.held
        assert held is not None
        if held.bore is not None and held.bore.upper >= held.outside.lower:
            raise InputError(
                f"held_bore = {held.bore}: less than the outside diameter under the grip, {held.outside}, is needed",
                key="held_bore",
            )
        if held.bore is None and held.tube.thinnest_section[1] >= held.outside.lower:
            raise InputError(f"held_outside = {held.outside}: no wall is left over the thread", key="held_outside")
        if self.plug_inside is None:
            return
        if held.bore is None:
            raise InputError("held_bore: missing: a plug needs the bore that it is put into", key="held_bore")
        if self.plug_inside.lower > held.bore.upper:
            raise InputError(
                f"plug_inside = {self.plug_inside}: a plug that goes into the bore of {held.bore} is needed",
                key="plug_inside",
            )
        if held.modulus is None:
            name = ("internal_material", "external_material")[HALVES.index(self.held_half)]
            raise TableError(f"{name}: no modulus is known, which says when a plug bears", key=name)

    def _check_walls(self) -> None:
        (root, bore), (outside, major) = self.twist.inner.thinnest_section, self.twist.outer.thinnest_section
        if root <= bore:
            raise InputError(
                f"bore = {self.bore}: no wall is left under the thread, whose root may be as small as "
                f"{self.bore.unit.show(root)}; a smaller bore is needed",
                key="bore",
            )
        if outside <= major:
            raise InputError(
                f"outside = {self.outside}: no wall is left over the thread, whose root may be as large as "
                f"{self.outside.unit.show(major)}; a larger outside is needed",
                key="outside",
            )
        if self.holes is not None:
            refuse_large_holes(self.holes, (self.twist.inner, self.twist.outer))
        if (self.neck is None) is not (self.groove_radius is None):
            missing = "neck" if self.neck is None else "groove_radius"
            raise InputError(f"{missing}: missing: neck and groove_radius go together", key=missing)
        most = self.external.nominal
        if self.neck is not None and not self.bore.upper < self.neck.lower <= self.neck.upper <= most:
            raise InputError(
                f"neck = {self.neck}: a diameter between the bore of {self.bore} and the thread of "
                f"{self.neck.unit.show(most)} is needed",
                key="neck",
            )

    @cached_property
    def twist(self) -> Twist:
        """What its sections bear."""
        d2 = thread_size(self.external, "pitch", "external pitch diameter")
        D2 = thread_size(self.internal, "pitch", "internal pitch diameter")
        groove = None
        if self.neck is not None and self.groove_radius is not None:
            groove = Groove(self.neck, self.groove_radius)
        return Twist(
            ThreadedTube(self.external, self.external_material, d2, self.bore),
            ThreadedTube(self.internal, self.internal_material, D2, self.outside),
            groove,
            self.holes is not None,
        )

    @cached_property
    def loosening(self) -> Loosening:
        """What it takes to turn it loose."""
        inner, outer = self.twist.inner, self.twist.outer
        friction = None
        if self.friction_tightened is not None and self.friction_loosened is not None:
            friction = self.friction_tightened, self.friction_loosened
        return Loosening(outer, inner.pitch_diameter, self.seized, self.in_vain, self.harder, friction)

    @cached_property
    def held(self) -> Held | None:
        """How it is held; None where nobody says it."""
        if self.held_by is None or self.grip is None:
            return None
        inner = self.held_half == HALVES[1]
        tube = self.twist.inner if inner else self.twist.outer
        material = tube.material
        return Held(
            self.held_by,
            self.grip,
            self.friction_grip,
            tube,
            self.held_outside or self.outside,
            self.held_bore or (self.bore if inner else None),
            tube.strength,
            self.plug_inside,
            None if material.modulus is None else of_property(material, "modulus"),
            self.holes is not None and (self.hole_clear is None or self.hole_clear.lower < CLEAR * self.holes.upper),
        )

    @cached_property
    def torque_borne(self) -> Response:
        """Torque at which the weakest section begins to yield, N·m."""
        return Response(
            partial(_weakest, self.twist), self.twist.inputs, unit=self.loosening.unit, name="torque the tube bears"
        )

    @cached_property
    def safe_torque(self) -> float:
        """Torque at which the weakest section yields with no more than the accepted risk, N·m."""
        return advised_quantile(self.torque_borne, self.risk)


def _weakest(twist: Twist, **v: Any) -> Number:
    return twist.weakest(v)
