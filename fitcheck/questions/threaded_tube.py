"""A tube with a thread: the section that the root of its thread leaves, and the pull or twist at which it yields;
holes through its wall, and what a clamp does to it.

The one place where questions ask for that section: a joint that is pulled or unscrewed, and one that is stuck.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property, partial

import numpy as np

from fitcheck.errors import InputError
from fitcheck.mechanics import (
    Material,
    bending_pull,
    collet_torque,
    grip_to_hold,
    hole_share,
    jaw_torque,
    squeezed_pull_limit,
    strap_torque,
)
from fitcheck.mechanics.tube import external_root, internal_root, largest_hole, pinch_limit, pull_limit
from fitcheck.questions.quantities import of_property, root_depth
from fitcheck.questions.readers import stated_in
from fitcheck.stack import Dimension, Response
from fitcheck.threads import Thread
from fitcheck.units import FORCE, Number, Unit

Limit = Callable[[Number, Number, Number], Number]
"""Load or torque at which a tube yields, from outer diameter, inner diameter and yield strength."""


@dataclass(frozen=True)
class ThreadedTube:
    """A tube with a thread outside or inside, and the wall that is left beside the root of the thread."""

    thread: Thread
    material: Material
    pitch_diameter: Dimension
    wall: Dimension
    """Bore of a tube with an external thread, outside of one with an internal thread."""

    @property
    def name(self) -> str:
        return "external" if self.thread.external else "internal"

    @cached_property
    def root(self) -> Dimension:
        return root_depth(self.thread.external)

    @cached_property
    def strength(self) -> Dimension:
        """Yield strength; tensile strength where no source prints one."""
        return of_property(self.material, "yield" if self.material.yield_ else "tensile")

    @cached_property
    def inputs(self) -> dict[str, Dimension]:
        """What its section and strength depend on: pitch diameter, root, wall and strength by the key of each."""
        mark = "_s" if self.thread.external else "_n"
        return {
            "d2" if self.thread.external else "D2": self.pitch_diameter,
            f"root{mark}": self.root,
            f"wall{mark}": self.wall,
            f"Rp{mark}": self.strength,
        }

    def section(self, v: Mapping[str, Number]) -> tuple[Number, Number]:
        """Outer and inner diameter of the tube at the root of the thread, from values by the keys of `inputs`."""
        pitch_diameter, root, wall, _ = (v[key] for key in self.inputs)
        if self.thread.external:
            return external_root(pitch_diameter, self.thread.pitch, root), wall
        return wall, internal_root(pitch_diameter, self.thread.pitch, root)

    @property
    def nominal_section(self) -> tuple[float, float]:
        """`section` at the nominal sizes."""
        Do, Di = self.section({key: one.nominal for key, one in self.inputs.items()})
        return float(Do), float(Di)

    @property
    def thinnest_section(self) -> tuple[float, float]:
        """`section` with every size at the limit that leaves the least wall."""
        _, root, wall, _ = self.inputs
        thin = {key: one.lower if self.thread.external else one.upper for key, one in self.inputs.items()}
        thin |= {root: self.root.upper, wall: self.wall.upper if self.thread.external else self.wall.lower}
        Do, Di = self.section(thin)
        return float(Do), float(Di)

    def yields(self, limit: Limit, v: Mapping[str, Number]) -> Number:
        """Load or torque at which it yields at the root of the thread, from values by the keys of `inputs`."""
        *_, Rp = (v[key] for key in self.inputs)
        return limit(*self.section(v), Rp)

    def response(self, limit: Limit, shown: Unit) -> Response:
        """`yields` as a quantity."""
        return Response(
            partial(_yields, self, limit), self.inputs, unit=shown, name=f"tube with the {self.name} thread"
        )


def _yields(tube: ThreadedTube, limit: Limit, **v: Number) -> Number:
    return tube.yields(limit, v)


_SOME = 1e-6
"""What a spread without end leaves of a diameter, mm."""


@dataclass(frozen=True)
class PulledTube:
    """A threaded tube that is pulled by its thread, and what else acts on its wall."""

    tube: ThreadedTube
    length: Dimension
    """Of full thread that engages."""
    moment: Dimension | None
    """That bends the joint."""
    holes: Dimension | None
    """Diameter of each hole in the section."""
    abreast: int
    """How many holes lie in one section."""

    @cached_property
    def inputs(self) -> dict[str, Dimension]:
        """All that the pull it bears depends on, by the key of each."""
        more = {"moment": self.moment, "holes": self.holes}
        return {**self.tube.inputs, "length": self.length, **{key: one for key, one in more.items() if one is not None}}

    def yields(self, v: Mapping[str, Number]) -> Number:
        """Pull at which it first yields, by tension, squeeze and bending together, from values by the keys of `inputs`.

        Holes take their share of the section, all side by side and all in the thinnest place.
        """
        Do, Di = self.tube.section(v)
        Do = np.maximum(Do, _SOME)
        Di = np.clip(Di, 0.0, Do)
        pitch_diameter, *_, Rp = (v[key] for key in self.tube.inputs)
        external = self.tube.thread.external
        pull = squeezed_pull_limit(Do, Di, pitch_diameter, v["length"], Rp, external=external)
        if self.holes is not None:
            pull = pull * hole_share((Do + Di) / 2, np.maximum(v["holes"], 0.0), self.abreast)
        if self.moment is not None:
            pull = np.maximum(pull - bending_pull(np.maximum(v["moment"], 0.0), Do, Di), 0.0)
        return np.asarray(pull)

    @property
    def across(self) -> float:
        """Pull at which the section at the root yields with nothing but the pull on it, N: what parts the tube."""
        return float(self.tube.yields(pull_limit, {key: one.nominal for key, one in self.tube.inputs.items()}))

    def response(self, shown: Unit) -> Response:
        """`yields` as a quantity."""
        return Response(
            partial(_first_yields, self), self.inputs, unit=shown, name=f"tube with the {self.tube.name} thread"
        )


def _first_yields(pulled: PulledTube, **v: Number) -> Number:
    return pulled.yields(v)


def refuse_large_holes(holes: Dimension, tubes: Iterable[ThreadedTube], abreast: int = 1) -> None:
    """`InputError` for set-screw holes larger than the models of a holed wall stand for, or that leave half of it."""
    sections = [tube.thinnest_section for tube in tubes]
    most = min(float(largest_hole(*section)) for section in sections)
    if holes.upper > most:
        raise InputError(
            f"holes = {holes}: at most {holes.unit.show(most)} is needed in these walls; no "
            "model here says what a larger hole leaves of them",
            key="holes",
        )
    if min(float(hole_share(sum(section) / 2, holes.upper, abreast)) for section in sections) <= 0:
        raise InputError(f"holes = {holes}: {abreast} of them in one section leave no tube", key="holes")


SOFT_JAWS = 0.2
"""Friction taken between soft jaws and a metal tube: an assumption, common practice."""


def clamp_caution(tube: ThreadedTube, torque: float, shown: Unit) -> str:
    """What two jaws do to a tube with an internal thread, and how long they must be to hold a torque in N·m."""
    length = tube.wall.unit
    force = stated_in(None, FORCE, beside=length)
    some, places = (12.7, 1) if length.inch else (10.0, 0)
    flattens = float(pinch_limit(*tube.thinnest_section, tube.strength.lower))
    grip = float(grip_to_hold(max(torque, 0.0), tube.wall.nominal, SOFT_JAWS))
    return (
        "A clamp crushes a thin tube: two jaws begin to flatten the half around the thread at about "
        f"{force.show(some * flattens, 0)} of grip for each {length.show(some, places)} of their length (pinched ring: "
        "Roark, from memory). "
        f"To hold {shown.show(torque)} by a friction of {SOFT_JAWS:g} (assumed) soft jaws need {force.show(grip, 0)}, "
        f"so at least {length.up(grip / flattens, 0 if length.text == 'mm' else 1)} of length; with less, use a strap "
        "or a split clamp that fits all around."
    )


def how_to_hold(tube: ThreadedTube, torque: float, shown: Unit) -> str:
    """What length each way to grip a tube must have to pass a torque in N·m before it crushes it, the surest first.

    The section is the thinnest, at the root of the thread, and the yield strength the least: beside the thread the wall
    bears more. A strap bends the ring as its pull falls along its arc.
    """
    length = tube.wall.unit
    Do, Di = tube.thinnest_section
    at = (Do, Di, tube.strength.lower, SOFT_JAWS)
    ways = (
        ("a collet or split clamp that fits all around", float(collet_torque(*at))),
        ("a strap", float(strap_torque(*at))),
        ("two soft jaws", float(jaw_torque(*at))),
    )
    places = 0 if length.text == "mm" else 1
    needed = "; ".join(f"{way} {length.up(max(torque, 0.0) / each, places)} long" for way, each in ways)
    return (
        f"to pass {shown.show(torque)} by a friction of {SOFT_JAWS:g} (assumed), with nothing inside: {needed}. A plug "
        "that fits the bore within a tenth, put inside under the grip, takes the crushing off; keep the grip off the "
        "thread, and off set-screw holes by two of their diameters, where the wall yields first"
    )
