"""Handling a stuck screwed tube: what twist its thinnest section bears against what it takes to turn it loose.

Both halves are thin where they are threaded: the screwed-in half under the root of its thread (or in the groove behind
it), the outer half over the root of its own. Heat, penetrant and time free more joints than torque does; they are
advice, not numbers.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, ClassVar

import numpy as np

from fitcheck.errors import InputError, TableError
from fitcheck.mechanics import (
    Material,
    axial_load,
    friction,
    friction_names,
    groove_factor,
    shoulder_torque,
    torsion_limit,
)
from fitcheck.questions.checks import check_friction, refuse_other_hand, same_thread
from fitcheck.questions.named import MaterialName, NamedRange, ThreadText
from fitcheck.questions.quantities import thread_size
from fitcheck.questions.question import Question, given
from fitcheck.questions.readers import Toleranced
from fitcheck.stack import Dimension, Response, dimension
from fitcheck.stack.probability.quantile import low_quantile
from fitcheck.threads import Thread
from fitcheck.threads.profile import sharp_crest_diameter
from fitcheck.units import RATIO, TORQUE, Number, unit

ROOT_OUTSIDE = 0.616025
"""Deepest root of an external thread under its pitch diameter, in pitches: ISO 965-1, root radius 0.125 P."""

_FRICTION = NamedRange(RATIO, friction_names, friction)
_LEAST_WALL = 1e-6


@dataclass(frozen=True, kw_only=True)
class StuckTube(Question):
    """May a stuck screwed tube be turned as hard as it takes without yielding at its thinnest section?"""

    title: ClassVar[str] = "handling"

    external: Thread = given(ThreadText(external=True), "thread of the half that is screwed in")
    internal: Thread = given(ThreadText(external=False), "thread of the half around it")
    bore: Dimension = given(Toleranced(), "inside diameter of the half that is screwed in; 0 mm if it is solid")
    outside: Dimension = given(Toleranced(), "outside diameter of the half around it, over the thread")
    external_material: Material = given(MaterialName(), "material of the half that is screwed in")
    internal_material: Material = given(MaterialName(), "material of the half around it")
    seized: Dimension = given(
        Toleranced(TORQUE), "the torque that seized it: screwed home with, or turned on it in vain"
    )
    harder: Dimension = given(
        Toleranced(RATIO), "times harder it sits than it was tightened, by corrosion or adhesive", default="1"
    )
    friction_tightened: Dimension | None = given(
        _FRICTION, "friction when it was tightened against its shoulder", default=None
    )
    friction_loosened: Dimension | None = given(_FRICTION, "friction when it starts to turn loose", default=None)
    neck: Dimension | None = given(Toleranced(), "diameter in the groove behind the external thread", default=None)
    groove_radius: Dimension | None = given(Toleranced(), "radius at the bottom of that groove", default=None)

    @classmethod
    def refuse_early(cls, values: Mapping[str, Any]) -> None:
        refuse_other_hand(values.get("external"), values.get("internal"))

    def __post_init__(self) -> None:
        super().__post_init__()
        same_thread(self.external, self.internal)
        for name, least in (("outside", "above"), ("seized", "above"), ("harder", "above"), ("bore", "from")):
            value: Dimension = getattr(self, name)
            if value.lower < 0 or (least == "above" and value.lower == 0):
                raise InputError(f"{name} = {value}: a value {least} 0 over its whole zone is needed")
        for name in ("external_material", "internal_material"):
            try:
                getattr(self, name).get("yield")
            except TableError as error:
                raise TableError(f"{name}: {error}") from None
        if (self.friction_tightened is None) is not (self.friction_loosened is None):
            missing = "friction_tightened" if self.friction_tightened is None else "friction_loosened"
            raise InputError(f"{missing}: missing: friction_tightened and friction_loosened go together")
        for name in ("friction_tightened", "friction_loosened"):
            value = getattr(self, name)
            if value is not None:
                check_friction(name, value)
        self._check_walls()

    def _check_walls(self) -> None:
        worst = {key: value.upper if key in ("bore", "D2") else value.lower for key, value in self.sections.items()}
        inner, outer = self.diameters(worst)
        if inner[0] <= inner[1]:
            raise InputError(
                f"bore = {self.bore}: no wall is left under the thread, whose root may be as small as "
                f"{self.bore.unit.show(float(inner[0]))}; a smaller bore is needed"
            )
        if outer[0] <= outer[1]:
            raise InputError(
                f"outside = {self.outside}: no wall is left over the thread, whose root may be as large as "
                f"{self.outside.unit.show(float(outer[1]))}; a larger outside is needed"
            )
        if (self.neck is None) is not (self.groove_radius is None):
            missing = "neck" if self.neck is None else "groove_radius"
            raise InputError(f"{missing}: missing: neck and groove_radius go together")
        if self.neck is not None and self.groove_radius is not None:
            if not self.bore.upper < self.neck.lower or self.neck.upper > self.external.nominal:
                raise InputError(
                    f"neck = {self.neck}: a diameter between the bore of {self.bore} and the thread of "
                    f"{self.neck.unit.show(self.external.nominal)} is needed"
                )
            if self.groove_radius.lower <= 0:
                raise InputError(
                    f"groove_radius = {self.groove_radius}: a radius above 0 is needed; no groove is sharp"
                )

    # -- the models, on floats or arrays -----------------------------------------------------------------

    @cached_property
    def sections(self) -> dict[str, Dimension]:
        sizes = {
            "bore": self.bore,
            "outside": self.outside,
            "d2": thread_size(self.external, "pitch", "external pitch diameter"),
            "D2": thread_size(self.internal, "pitch", "internal pitch diameter"),
        }
        if self.neck is not None and self.groove_radius is not None:
            sizes |= {"neck": self.neck, "groove_radius": self.groove_radius}
        return sizes

    @cached_property
    def bearing_inputs(self) -> dict[str, Dimension]:
        """All that the torque it bears depends on."""
        return {
            **self.sections,
            "yield_external": _yield(self.external_material),
            "yield_internal": _yield(self.internal_material),
        }

    @cached_property
    def loosening_inputs(self) -> dict[str, Dimension]:
        """All that the torque to loosen it depends on, besides sizes."""
        inputs = {"seized": self.seized, "harder": self.harder}
        if self.friction_tightened is not None and self.friction_loosened is not None:
            inputs |= {"mu_on": self.friction_tightened, "mu_off": self.friction_loosened}
        return inputs

    def diameters(self, v: Mapping[str, Any]) -> tuple[tuple[Number, Number], tuple[Number, Number]]:
        """Outer and inner diameter of the screwed-in half under its thread, and of the half around it."""
        P = self.external.pitch
        inner = (np.asarray(v["d2"]) - ROOT_OUTSIDE * P, v["bore"])
        outer = (v["outside"], sharp_crest_diameter(v["D2"], P))
        return inner, outer

    def bears(self, v: Mapping[str, Any]) -> dict[str, Number]:
        """Torque at which each section begins to yield, N·m."""
        (Do, bore), (outside, Di) = self.diameters(v)
        found = {
            "screwed-in half under its thread": _limit(Do, bore, v["yield_external"]),
            "outer half over its thread": _limit(outside, Di, v["yield_internal"]),
        }
        if "neck" in v:
            depth = np.maximum(self.external.nominal - np.asarray(v["neck"]), 0.0) / 2
            notch = groove_factor(depth, np.maximum(v["groove_radius"], _LEAST_WALL))
            found["groove behind the thread"] = _limit(v["neck"], bore, v["yield_external"], notch)
        return found

    def weakest(self, v: Mapping[str, Any]) -> Number:
        return np.asarray(functools.reduce(np.minimum, self.bears(v).values()))

    def takes(self, v: Mapping[str, Any]) -> Number:
        """Torque that turns it loose, N·m."""
        seized = np.maximum(v["seized"], self.seized.nominal / 1000)
        if "mu_on" in v:
            d2, P = v["d2"], self.external.lead
            shoulder = (np.asarray(v["outside"]) + self.external.nominal) / 4  # mean radius of the ring
            on, off = np.maximum(v["mu_on"], 0.0), np.maximum(v["mu_off"], 0.0)
            load = axial_load(seized, P, d2, on, on, shoulder)
            # A thread that would unwind by itself still takes a touch.
            seized = np.maximum(shoulder_torque(load, P, d2, off, off, shoulder), 1e-3 * seized)
        return np.asarray(seized * np.maximum(v["harder"], _LEAST_WALL))

    # -- the finding ---------------------------------------------------------------------------------------

    @cached_property
    def torque_borne(self) -> Response:
        """Torque at which the weakest section begins to yield, N·m."""

        def weakest(**v: Any) -> Number:
            return self.weakest(v)

        return Response(weakest, self.bearing_inputs, unit=self.seized.unit, name="torque the tube bears")

    @cached_property
    def torque_taken(self) -> Response:
        """Torque that turns it loose, N·m."""

        def taken(**v: Any) -> Number:
            return np.asarray(self.takes(v))

        inputs = dict(self.loosening_inputs)
        if "mu_on" in inputs:
            inputs |= {key: self.sections[key] for key in ("d2", "outside")}
        return Response(taken, inputs, unit=self.seized.unit, name="torque to loosen it")

    @cached_property
    def safe_torque(self) -> float:
        """Torque at which the weakest section yields with no more than the accepted risk, N·m."""
        return low_quantile(self.torque_borne, self.risk)


def _limit(Do: Number, Di: Number, Rp: Number, notch: Number = 1.0) -> Number:
    """`torsion_limit` with the wall that a spread without end may draw away kept above nothing."""
    return torsion_limit(Do, np.clip(Di, 0.0, np.asarray(Do) * (1 - _LEAST_WALL)), Rp, notch=notch)


def _yield(material: Material) -> Dimension:
    strength = material.get("yield")
    return dimension(
        strength.value,
        plus=strength.upper - strength.value,
        minus=strength.value - strength.lower,
        name=f"yield strength of {material.name}",
        unit=unit("MPa"),
        origin=f"{material.name}: {strength.basis}; {strength.source}",
        basis=strength.weakest,
    )
