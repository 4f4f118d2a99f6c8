"""Thread engagement of a screwed tube joint: how many threads hold, do they still mate, and what load strips them?"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any, ClassVar

import numpy as np

from fitcheck.bench.finding import Finding, Requirement, judge
from fitcheck.bench.inputs import Exact, MaterialName, Question, ThreadText, Toleranced, given
from fitcheck.bench.sizes import same_thread, shear_strength, strip_scatter, thread_size
from fitcheck.bench.strip import strip_loads
from fitcheck.bench.words import STRENGTH_CAUTIONS, assumed_spreads
from fitcheck.stack import Dimension, Response
from fitcheck.strength import NO_TAPPED_TESTS, Material, short_model
from fitcheck.threads import Thread
from fitcheck.threads.profile import thread_height
from fitcheck.units import FORCE, PLAIN, RATIO, Number, unit


@dataclass(frozen=True, kw_only=True)
class ThreadEngagement(Question):
    """Do the two halves of a screwed joint mate, how many threads engage, and do they carry the load?"""

    title: ClassVar[str] = "thread engagement"

    external: Thread = given(ThreadText(external=True), "thread on the outer face of one part")
    internal: Thread = given(ThreadText(external=False), "thread in the bore of the other part")
    length: Dimension = given(Toleranced(), "length over which full threads engage")
    external_material: Material = given(MaterialName(), "material of the external thread")
    internal_material: Material = given(MaterialName(), "material of the internal thread")
    load: float = given(Exact(FORCE), "the axial load the joint must carry")
    threads: float = given(Exact(RATIO), "the least number of engaged threads", default=3)
    play: float = given(Exact(), "the least play between the flanks, on the pitch diameter", default="0 mm")
    external_major: Dimension | None = given(Toleranced(), "measured major diameter of a worn part", default=None)
    external_pitch: Dimension | None = given(Toleranced(), "measured pitch diameter of a worn part", default=None)
    internal_minor: Dimension | None = given(Toleranced(), "measured minor diameter of a worn part", default=None)
    internal_pitch: Dimension | None = given(Toleranced(), "measured pitch diameter of a worn part", default=None)

    def __post_init__(self) -> None:
        same_thread(self.external, self.internal)

    @cached_property
    def _sizes(self) -> dict[str, Dimension]:
        return {
            "d": self.external_major or thread_size(self.external, "major", "external major diameter"),
            "d2": self.external_pitch or thread_size(self.external, "pitch", "external pitch diameter"),
            "D1": self.internal_minor or thread_size(self.internal, "minor", "internal minor diameter"),
            "D2": self.internal_pitch or thread_size(self.internal, "pitch", "internal pitch diameter"),
        }

    def findings(self) -> tuple[Finding, ...]:
        return (self._engaged(), self._mates(), self._carries())

    def _engaged(self) -> Finding:
        turns = Response(
            lambda length: np.asarray(length / self.external.pitch),
            {"length": self.length},
            unit=PLAIN,
            name="engaged threads",
        )
        low, high = turns.worst_case()
        short = self.length.unit.show((self.threads - low) * self.external.pitch)
        return judge(
            turns,
            Requirement(at_least=self.threads, risk=self.risk),
            question=self.title,
            name=self.name,
            label="engaged threads",
            answer=f"{turns.nominal:.1f} turns of {self.external.designation} engage, {low:.1f} to {high:.1f}.",
            confidence=self.confidence,
            change=(f"engage {short} more of full thread and it holds at worst case",),
            assumptions=assumed_spreads(self.length),
            sources=("three threads at least: common practice, no source",),
            cautions=STRENGTH_CAUTIONS,
        )

    def _mates(self) -> Finding:
        play = self._sizes["D2"] - self._sizes["d2"]
        overlap = (self._sizes["d"] - self._sizes["D1"]) / 2
        height = float(thread_height(self.external.pitch))
        show = play.unit.show
        places = 4 if play.unit.text == "in" else 3  # as the limits of size are printed
        low, high = play.worst_case()
        few, most = overlap.worst_case()
        hand = "left-hand" if self.external.left_hand else "right-hand"
        return judge(
            play,
            Requirement(at_least=self.play, risk=self.risk),
            question=self.title,
            name=self.name,
            label="play between the flanks",
            answer=(
                f"The {hand} pair mates with {show(play.nominal, places)} play on the pitch diameter, "
                f"at the least {show(low, places)}; it turns freely up to {show(high, places)}."
                if low >= 0
                else f"The {hand} pair can jam: the pitch diameters overlap by {show(-low, places)} at worst."
            ),
            confidence=self.confidence,
            change=("chase the threads with a tap or die of this size and measure again",),
            assumptions=(
                *assumed_spreads(play),
                "Lead and angle errors of worn threads are left out.",
            ),
            decimals=places,
            sources=(self.external.standard, "thread height 5/8 H: ISO 68-1, ASME B1.1"),
            cautions=("A thread that binds is not forced: a seized aluminium thread does not come apart again.",),
            details={
                "radial overlap": f"{show(few, places)} to {show(most, places)}, "
                f"{few / height:.0%} to {most / height:.0%} of the basic thread height"
            },
        )

    def _carries(self) -> Finding:
        def both(**v: Any) -> tuple[Number, Number]:
            return strip_loads(
                v["length"],
                self.external.pitch,
                *(v[key] for key in ("d", "d2", "D1", "D2", "tau_internal", "tau_external", "scatter")),
            )

        def weaker(**v: Any) -> Number:
            return np.asarray(np.minimum(*both(**v)))

        inputs = {
            "length": self.length,
            **self._sizes,
            "tau_internal": shear_strength(self.internal_material, f"shear strength of {self.internal_material.name}"),
            "tau_external": shear_strength(self.external_material, f"shear strength of {self.external_material.name}"),
            "scatter": strip_scatter(),
        }
        strip = Response(weaker, inputs, unit=unit("N"), name="strip load")
        hole, screw = both(**{key: value.nominal for key, value in inputs.items()})
        show = strip.unit.show
        low, _ = strip.worst_case()
        first = "internal" if hole <= screw else "external"
        return judge(
            strip,
            Requirement(at_least=self.load, risk=self.risk),
            question=self.title,
            name=self.name,
            label="strip load",
            answer=f"The {first} thread strips first, at {show(strip.nominal)}; at the least {show(low)}.",
            confidence=self.confidence,
            change=("engage more thread, or make the weaker half of a stronger material",),
            assumptions=(
                *assumed_spreads(*inputs.values()),
                NO_TAPPED_TESTS,
                "The tube walls do not give way; a thin wall that widens holds less.",
            ),
            sources=(
                "shear areas: FED-STD-H28/2, ASME B1.1 appendix B",
                f"short threads: {short_model().source}",
                inputs["tau_internal"].origin,
                inputs["tau_external"].origin,
            ),
            cautions=STRENGTH_CAUTIONS,
            details={
                "internal thread strips at": show(float(hole)),
                "external thread strips at": show(float(screw)),
            },
        )
