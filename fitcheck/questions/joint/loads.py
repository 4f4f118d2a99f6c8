"""The loads a screwed joint of tubes bears: its threads strip, or the wall under one of them yields."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from fitcheck.mechanics import Material, bending_pull, crushing_shares
from fitcheck.mechanics.short_engagement import bench_error, strip_loads
from fitcheck.questions.quantities import SHEAR_RULE, bearing_ratio
from fitcheck.questions.short_threads import bench_level, limits_share, strip_scatter, strip_strength
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
        return strip_strength(self.material, SHEAR_RULE)

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
            "bench": bench_level(),
            "scatter": strip_scatter(),
            **({} if self.moment is None else {"moment": self.moment}),
        }

    def strip_both(self, **v: Any) -> tuple[Number, Number]:
        """Loads that strip the internal and the external thread, or crush their flanks, as of a set screw in its wall.

        Scatter of the tests and level of the bench take part however many threads engage: they are relative.
        """
        sizes = {key: v[key] for key in ("d", "d2", "D1", "D2")}
        strengths = {"tau_wall": v["tau_internal"], "tau_screw": v["tau_external"]}
        pitch = self.external.thread.pitch
        level = v["bench"] * bench_error(np.asarray(v["length"]) / pitch)
        both = strip_loads(v["length"], pitch, **sizes, **strengths, level=level, scatter=v["scatter"])
        limits = limits_share(self.internal.thread)
        crushing = crushing_shares(pitch, v["d"], v["d2"], v["D1"], v["D2"], *self.bearing_ratios)
        loads = both[0] * limits[0] * crushing[0], both[1] * limits[1] * crushing[1]
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
