"""A screwed tube joint: how many threads hold, do the halves mate, what load does it bear, where does it come to rest?

The pull on a joint of tubes can strip its threads, or pull a thin tube apart across the root of its thread; the smaller
of the two counts. The wall under a thread is known only if the bore of the one part and the outside of the other are.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property, partial
from typing import Any, ClassVar

import numpy as np

from fitcheck.errors import InputError
from fitcheck.mechanics import Material
from fitcheck.questions.checks import refuse_other_hand, same_thread
from fitcheck.questions.finding import Station
from fitcheck.questions.joint.loads import Half, JointLoad
from fitcheck.questions.named import CoatingName, HoleSize, MaterialName, ThreadText
from fitcheck.questions.quantities import pair_sizes
from fitcheck.questions.question import Question, given
from fitcheck.questions.readers import Choice, Count, Exact, Sign, Toleranced, stated_in
from fitcheck.questions.threaded_tube import refuse_large_holes
from fitcheck.stack import Dimension, Response
from fitcheck.threads import Thread
from fitcheck.threads.coating import Coating, coat
from fitcheck.threads.pair import HasSizes, Pair
from fitcheck.threads.thread import Size, SizedThread
from fitcheck.units import ANGLE, FORCE, PLAIN, RATIO, TORQUE, Number

_SIZE = Toleranced(sign=Sign.POSITIVE)


@dataclass(frozen=True, kw_only=True, repr=False)
class ThreadEngagement(Question):
    """Do the two halves of a screwed joint mate, how many threads engage, and do they carry the load?

    >>> asked = ThreadEngagement.read({
    ...     "external": "M36x1.5-6g", "internal": "M36x1.5-6H", "length": "7.5 ± 0.4", "load": "2000 N",
    ...     "external_material": "6061-T6", "internal_material": "6061-T6"})
    >>> [(found.quantity, found.verdict.value) for found in asked.findings()]
    [('engaged threads', 'holds'), ('play between the flanks', 'holds'), ('strip load', 'holds')]
    """

    title: ClassVar[str] = "thread engagement"
    station: ClassVar[Station] = Station.JOINT
    example: ClassVar[Mapping[str, Any]] = {
        "external": "M36x1.5-6g", "internal": "M36x1.5-6H", "length": "7.5 ± 0.4", "external_material": "6061-T6",
        "internal_material": "6061-T6", "load": "2000 N",
    }  # fmt: skip

    external: Thread = given(ThreadText(external=True), "thread on the outer face of one part")
    internal: Thread = given(ThreadText(external=False), "thread in the bore of the other part")
    length: Dimension = given(_SIZE, "length over which full threads engage")
    external_material: Material = given(MaterialName(), "material of the external thread")
    internal_material: Material = given(MaterialName(), "material of the internal thread")
    load: float = given(Exact(FORCE, Sign.NOT_NEGATIVE), "the axial load the joint must carry")
    threads: float = given(Exact(RATIO, Sign.NOT_NEGATIVE), "the least number of engaged threads", default=3)
    play: float = given(Exact(), "the least play between the flanks, on the pitch diameter", default="0 mm")
    external_major: Dimension | None = given(_SIZE, "measured major diameter of a worn part", default=None)
    external_pitch: Dimension | None = given(_SIZE, "measured pitch diameter of a worn part", default=None)
    internal_minor: Dimension | None = given(_SIZE, "measured minor diameter of a worn part", default=None)
    internal_pitch: Dimension | None = given(_SIZE, "measured pitch diameter of a worn part", default=None)
    external_coating: Coating | None = given(CoatingName(), "coating the external thread is to get", default=None)
    internal_coating: Coating | None = given(CoatingName(), "coating the internal thread is to get", default=None)
    external_bore: Dimension | None = given(_SIZE, "bore of the part with the external thread", default=None)
    internal_outside: Dimension | None = given(
        _SIZE, "outside diameter of the part with the internal thread", default=None
    )
    moment: Dimension = given(
        Toleranced(TORQUE, Sign.NOT_NEGATIVE), "bending moment on the joint, as of a weight or knock", default="0 N·m"
    )
    holes: Dimension | None = given(
        HoleSize(), "diameter of the largest set-screw hole in a wall beside the thread", default=None
    )
    holes_abreast: int = given(Count(), "how many such holes lie in one section of a wall", default=1)
    removal_torque: Dimension | None = given(
        Toleranced(TORQUE, Sign.NOT_NEGATIVE), "torque it takes to unscrew the joint", default=None
    )
    clock_now: Dimension | None = given(
        Toleranced(ANGLE), "where its button or hole comes to rest, clockwise as seen by who screws it in", default=None
    )
    clock_wanted: float = given(Exact(ANGLE), "where it should come to rest", default="0 deg")
    clock_within: float = given(Exact(ANGLE, Sign.POSITIVE), "how far off that it may be, either way", default="5 deg")
    clock_by: str = given(Choice(("facing", "shim")), "what is done about it", default="facing")
    clock_cut: Dimension = given(
        Toleranced(), "how exactly that can be cut: a tolerance about 0", default="0 ± 0.02 mm"
    )
    clock_places: int = given(Count(), "number of equal places around the part that will do", default=1)

    @classmethod
    def refuse_early(cls, values: Mapping[str, Any]) -> None:
        """Raises `InputError` where the two threads in `values`, the inputs read so far by name, differ in hand."""
        refuse_other_hand(values.get("external"), values.get("internal"))

    def __post_init__(self) -> None:
        super().__post_init__()
        if not self.unlike or self.external.left_hand is not self.internal.left_hand:
            same_thread(self.external, self.internal)
        for tube in self.load_borne.tubes.values():
            Do, Di = tube.nominal_section
            if Di >= Do:
                key = "external_bore" if tube.thread.external else "internal_outside"
                raise InputError(
                    f"{key} = {tube.wall}: no wall is left at the root of {tube.thread.designation}, "
                    f"{Di:.3f} mm inside and {Do:.3f} mm outside",
                    key=key,
                )
        if self.holes is not None:
            if not self.load_borne.tubes:
                raise InputError("holes: external_bore or internal_outside is needed, for the wall they go through")
            refuse_large_holes(self.holes, self.load_borne.tubes.values(), self.holes_abreast)
        if self.removal_torque is not None and self.external_bore is None and self.internal_outside is None:
            raise InputError(
                "removal_torque: external_bore or internal_outside is needed, for the wall it twists",
                key="removal_torque",
            )

    # -- sizes -----------------------------------------------------------------------------------------

    @cached_property
    def pair_sizes(self) -> Mapping[str, Dimension]:
        """The four diameters on which the threads meet."""
        measured = {
            "d": self.external_major, "d2": self.external_pitch, "D1": self.internal_minor, "D2": self.internal_pitch,
        }  # fmt: skip
        return pair_sizes(self.external, self.internal, measured, ("external", "internal"))

    @property
    def unlike(self) -> bool:
        """Whether a half was replaced by one of another pitch."""
        return abs(self.external.lead - self.internal.lead) > 1e-6

    @property
    def films(self) -> dict[str, Coating]:
        """The films that are still to come: a part that was measured has its own on it."""
        films = {}
        if self.external_coating is not None and self.external_pitch is None:
            films["external"] = self.external_coating
        if self.internal_coating is not None and self.internal_pitch is None:
            films["internal"] = self.internal_coating
        return films

    @property
    def measured_crests(self) -> set[str]:
        """The halves whose crest was measured as it is, film and all."""
        crests = {"external": self.external_major, "internal": self.internal_minor}
        return {half for half, crest in crests.items() if crest is not None}

    @cached_property
    def pair(self) -> Pair:
        """The two halves as they will meet: by the standard, worn and measured, coated."""
        outer, inner = self.external.limits(), self.internal.limits()

        def size(measured: Dimension | None, standard: Size) -> Size:
            return standard if measured is None else Size(measured.upper, measured.lower)

        halves: dict[str, HasSizes] = {
            "external": SizedThread(
                self.external,
                size(self.external_major, outer.major),
                size(self.external_pitch, outer.pitch),
                outer.minor,
            ),
            "internal": SizedThread(
                self.internal,
                inner.major,
                size(self.internal_pitch, inner.pitch),
                size(self.internal_minor, inner.minor),
            ),
        }
        for half, film in self.films.items():
            coated = coat(halves[half], film)
            if half in self.measured_crests:
                own = halves[half]
                coated = replace(coated, major=own.major) if half == "external" else replace(coated, minor=own.minor)
            halves[half] = coated
        return Pair(halves["external"], halves["internal"])

    @cached_property
    def load_borne(self) -> JointLoad:
        sizes = self.pair_sizes
        return JointLoad(
            Half(self.external, self.external_material, sizes["d"], sizes["d2"], self.external_bore),
            Half(self.internal, self.internal_material, sizes["D1"], sizes["D2"], self.internal_outside),
            self.length,
            stated_in(self.load, FORCE),
            self.moment if self.moment.upper > 0 else None,
            self.holes,
            self.holes_abreast,
        )

    # -- findings --------------------------------------------------------------------------------------

    @cached_property
    def turns(self) -> Response:
        """Threads that engage."""
        return Response(
            partial(_turns, pitch=self.external.pitch),
            {"length": self.length},
            unit=PLAIN,
            name="engaged threads",
        )


def _turns(length: Number, pitch: float) -> Number:
    return np.asarray(length / pitch)
