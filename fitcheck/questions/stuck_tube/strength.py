"""What twists a stuck tube: the torque that each of its sections bears, and the torque that turns it loose."""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from fitcheck.mechanics import groove_factor
from fitcheck.mechanics.tube import HOLE_FACTOR, loosening_after, shoulder_radius, twist_limit
from fitcheck.questions.threaded_tube import ThreadedTube
from fitcheck.stack import Contribution, Dimension, Interval, Response
from fitcheck.stack.results import Method, Probability
from fitcheck.units import Number, Unit

_SOME = 1e-6
"""What a spread without end leaves of a size that cannot be nothing, mm."""


@dataclass(frozen=True)
class Groove:
    """A groove behind the external thread: the diameter it leaves, and the radius at its bottom."""

    neck: Dimension
    radius: Dimension


@dataclass(frozen=True)
class Twist:
    """A tube that is screwed into another and twisted."""

    inner: ThreadedTube
    outer: ThreadedTube
    groove: Groove | None
    holed: bool = False
    """Whether set-screw holes go through its walls: where is not known, so each is taken to be beside the thread."""

    @cached_property
    def inputs(self) -> dict[str, Dimension]:
        """All that the torque it bears depends on."""
        grooved = {} if self.groove is None else {"neck": self.groove.neck, "groove_radius": self.groove.radius}
        return {**self.inner.inputs, **self.outer.inputs, **grooved}

    def bears(self, v: Mapping[str, Any]) -> dict[str, Number]:
        """Torque at which each section begins to yield, N·m."""
        found = {
            "screwed-in half under its thread": self.inner.yields(twist_limit, v),
            "outer half over its thread": self.outer.yields(twist_limit, v),
        }
        if self.holed:
            found |= {f"edge of a set-screw hole in the {at}": T / HOLE_FACTOR for at, T in found.items()}
        if self.groove is not None:
            depth = np.maximum(self.inner.thread.nominal - np.asarray(v["neck"]), 0.0) / 2
            notch = groove_factor(depth, np.maximum(v["groove_radius"], _SOME))
            found["groove behind the thread"] = twist_limit(v["neck"], v["wall_s"], v["Rp_s"], notch)
        return found

    def weakest(self, v: Mapping[str, Any]) -> Number:
        """The least of `bears`."""
        return np.asarray(functools.reduce(np.minimum, self.bears(v).values()))


@dataclass(frozen=True)
class Loosening:
    """What it takes to turn the tube loose that a torque has screwed home, or that a torque has not turned."""

    tube: ThreadedTube
    """The half around the thread, which bears on the shoulder."""
    pitch_diameter: Dimension
    """Of the half that is screwed in."""
    seized: Dimension | None
    in_vain: Dimension | None
    """A torque that did not turn it: it takes more, and nothing says how much."""
    harder: Dimension
    friction: tuple[Dimension, Dimension] | None
    """When it was tightened and when it starts to turn loose."""

    @cached_property
    def inputs(self) -> dict[str, Dimension]:
        """All that the torque depends on."""
        inputs = {}
        if self.in_vain is not None:
            inputs["in_vain"] = self.in_vain
        if self.seized is None:
            return inputs
        inputs |= {"seized": self.seized, "harder": self.harder}
        if self.friction is not None:
            on, off = self.friction
            inputs |= {"mu_on": on, "mu_off": off, "d2": self.pitch_diameter, "wall_n": self.tube.wall}
        return inputs

    def takes(self, v: Mapping[str, Any]) -> Number:
        """Torque that turns it loose, N·m; with a torque in vain, the least that it can be."""
        if self.seized is None:
            return np.asarray(np.maximum(v["in_vain"], _SOME))
        torque = np.maximum(v["seized"], self.seized.nominal / 1000)
        if self.friction is not None:
            thread = self.tube.thread
            on, off = np.maximum(v["mu_on"], 0.0), np.maximum(v["mu_off"], 0.0)
            radius = shoulder_radius(v["wall_n"], thread.nominal)
            torque = loosening_after(torque, thread.lead, v["d2"], on, off, radius)
        torque = np.asarray(torque * np.maximum(v["harder"], _SOME))
        return torque if self.in_vain is None else np.asarray(np.maximum(torque, v["in_vain"]))

    @property
    def unit(self) -> Unit:
        """What its torques are told in."""
        known = self.seized or self.in_vain
        assert known is not None
        return known.unit

    @cached_property
    def torque(self) -> Response:
        """`takes` as a quantity."""
        return Response(functools.partial(_takes, self), self.inputs, unit=self.unit, name="torque to loosen it")


def _takes(loosening: Loosening, **v: Any) -> Number:
    return loosening.takes(v)


@dataclass(frozen=True)
class AtMost:
    """A quantity above 0 of which only the most is known: it cannot be shown to be as large as is asked for."""

    best: Response
    why: str

    @property
    def unit(self) -> Unit:
        return self.best.unit

    @property
    def nominal(self) -> float:
        return self.best.nominal

    @property
    def members(self) -> Sequence[Dimension]:
        return self.best.members

    def worst_case(self) -> Interval:
        return Interval(0.0, self.best.worst_case().max).with_unit(self.unit)

    def interval(self, confidence: float = 0.99) -> Interval:
        return Interval(0.0, self.best.interval(confidence).max).with_unit(self.unit)

    def outside(self, low: float | None, high: float | None) -> Probability:
        """1: nothing says that it is less."""
        return Probability(1.0, Method.WORST_CASE, reason=self.why)

    def contributions(self) -> list[Contribution]:
        return self.best.contributions()
