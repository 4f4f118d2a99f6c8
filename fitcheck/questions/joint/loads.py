"""The loads a screwed joint of tubes bears: its threads strip, or the wall under one of them yields."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from fitcheck.mechanics import Material, bending_pull, crushing_shares
from fitcheck.mechanics.short_engagement import strip_loads
from fitcheck.questions.quantities import bearing_ratio, of_property, strip_fit, strip_scatter
from fitcheck.questions.threaded_tube import PulledTube, ThreadedTube
from fitcheck.stack import Dimension, Response
from fitcheck.threads import Thread
from fitcheck.units import Number, Unit


@dataclass(frozen=True)
class Half:
    """One half of the joint: its thread as it is, its material, and what tells its wall."""

    thread: Thread
    material: Material
    crest: Dimension
    """Major diameter of an external thread, minor diameter of an internal one."""
    pitch_diameter: Dimension
    wall: Dimension | None
    """Bore of the part with the external thread, outside of the part with the internal one."""

    @property
    def name(self) -> str:
        return "external" if self.thread.external else "internal"

    @cached_property
    def shear(self) -> Dimension:
        return of_property(self.material, "shear")

    @cached_property
    def tube(self) -> ThreadedTube | None:
        """What the thread leaves of its tube; None where the wall is not known."""
        if self.wall is None:
            return None
        return ThreadedTube(self.thread, self.material, self.pitch_diameter, self.wall)


@dataclass(frozen=True)
class JointLoad:
    """Two halves that engage over a length."""

    external: Half
    internal: Half
    length: Dimension
    shown: Unit
    """The unit its loads are told in."""
    moment: Dimension | None = None
    """That bends the joint; it loads thread and tube as a pull does, at its worst side."""
    holes: Dimension | None = None
    """Diameter of each hole through a wall beside the thread."""
    abreast: int = 1
    """How many holes lie in one section."""

    @cached_property
    def strip_inputs(self) -> dict[str, Dimension]:
        return {
            "length": self.length,
            "d": self.external.crest,
            "d2": self.external.pitch_diameter,
            "D1": self.internal.crest,
            "D2": self.internal.pitch_diameter,
            "tau_internal": self.internal.shear,
            "tau_external": self.external.shear,
            "scatter": strip_scatter(),
            "fit": strip_fit(),
            **({} if self.moment is None else {"moment": self.moment}),
        }

    def strip_both(self, **v: Any) -> tuple[Number, Number]:
        """Loads that strip the internal and the external thread, or crush their flanks, as of a set screw in its wall.

        Scatter of the tests and error of the fit take part however many threads engage. Both are relative: with more
        threads the error of the lost length fades by itself, as loss/n does, and what stays is how well long threads
        are known.
        """
        keys, P = ("d", "d2", "D1", "D2", "tau_internal", "tau_external", "scatter", "fit"), self.external.thread.pitch
        internal, external = strip_loads(v["length"], P, *(v[key] for key in keys))
        share, screw_share = crushing_shares(P, v["d"], v["d2"], v["D1"], v["D2"], *self.bearing_ratios)
        loads = internal * share, external * screw_share
        if self.moment is None:
            return loads
        bent = bending_pull(np.maximum(v["moment"], 0.0), v["d2"], v["d2"])
        return np.asarray(np.maximum(loads[0] - bent, 0.0)), np.asarray(np.maximum(loads[1] - bent, 0.0))

    @cached_property
    def bearing_ratios(self) -> tuple[float, float]:
        """Bearing over shear strength, of the internal and of the external thread's material."""
        return bearing_ratio(self.internal.material), bearing_ratio(self.external.material)

    def strip_weaker(self, **v: Any) -> Number:
        """The lower of the two."""
        return np.asarray(np.minimum(*self.strip_both(**v)))

    @cached_property
    def strip(self) -> Response:
        """The load that strips the weaker thread."""
        return Response(self.strip_weaker, self.strip_inputs, unit=self.shown, name="strip load")

    @cached_property
    def tubes(self) -> dict[str, ThreadedTube]:
        """The halves whose wall is known, by their names."""
        halves = {half.name: half.tube for half in (self.external, self.internal)}
        return {name: tube for name, tube in halves.items() if tube is not None}

    @cached_property
    def pulled(self) -> dict[str, PulledTube]:
        """The same, pulled by their threads."""
        return {
            name: PulledTube(tube, self.length, self.moment, self.holes, self.abreast)
            for name, tube in self.tubes.items()
        }
