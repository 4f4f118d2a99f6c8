"""The loads a screwed joint of tubes bears: its threads strip, or the wall under one of them yields."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from fitcheck.mechanics import Material
from fitcheck.mechanics.short_engagement import strip_loads
from fitcheck.mechanics.tube import external_root, internal_root
from fitcheck.questions.quantities import material_property, root_depth, shear_strength, strip_fit, strip_scatter
from fitcheck.stack import Dimension, Response
from fitcheck.threads import Thread
from fitcheck.units import Number, Unit

Limit = Callable[[Number, Number, Number], Number]
"""Load or torque at which a tube yields, from outer diameter, inner diameter and yield strength."""


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
    def root(self) -> Dimension:
        return root_depth(self.thread.external)

    @cached_property
    def shear(self) -> Dimension:
        return shear_strength(self.material, f"shear strength of {self.material.name}")

    @cached_property
    def strength(self) -> Dimension:
        """Yield strength; tensile strength where no source prints one."""
        return material_property(self.material, "yield" if self.material.yield_ else "tensile")

    def section(self, pitch_diameter: Number, root: Number, wall: Number) -> tuple[Number, Number]:
        """Outer and inner diameter of the tube at the root of the thread."""
        P = self.thread.pitch
        if self.thread.external:
            return external_root(pitch_diameter, P, root), wall
        return wall, internal_root(pitch_diameter, P, root)

    def tube(self, limit: Limit, shown: Unit) -> Response | None:
        """The load or torque at which its wall yields at the root of the thread; None where the wall is not known."""
        if self.wall is None:
            return None
        mark = {"external": "_s", "internal": "_n"}[self.name]
        inputs = {
            "d2" if self.thread.external else "D2": self.pitch_diameter,
            f"root{mark}": self.root,
            f"wall{mark}": self.wall,
            f"Rp{mark}": self.strength,
        }

        def yields(**v: Number) -> Number:
            pitch_diameter, root, wall, Rp = (v[key] for key in inputs)
            return limit(*self.section(pitch_diameter, root, wall), Rp)

        return Response(yields, inputs, unit=shown, name=f"tube with the {self.name} thread")


@dataclass(frozen=True)
class JointLoad:
    """Two halves that engage over a length."""

    external: Half
    internal: Half
    length: Dimension
    shown: Unit
    """The unit its loads are told in."""

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
        }

    def strip_both(self, **v: Any) -> tuple[Number, Number]:
        """Loads that strip the internal and the external thread, by the model of a set screw in its wall.

        Scatter of the tests and error of the fit take part however many threads engage. Both are relative: with more
        threads the error of the lost length fades by itself, as loss/n does, and what stays is how well long threads
        are known.
        """
        keys = ("d", "d2", "D1", "D2", "tau_internal", "tau_external", "scatter", "fit")
        return strip_loads(v["length"], self.external.thread.pitch, *(v[key] for key in keys))

    @cached_property
    def strip(self) -> Response:
        """The load that strips the weaker thread."""

        def weaker(**v: Any) -> Number:
            return np.asarray(np.minimum(*self.strip_both(**v)))

        return Response(weaker, self.strip_inputs, unit=self.shown, name="strip load")

    def tubes(self, limit: Limit, shown: Unit) -> dict[str, Response]:
        """The known walls by the half they belong to."""
        walls = {half.name: half.tube(limit, shown) for half in (self.external, self.internal)}
        return {name: wall for name, wall in walls.items() if wall is not None}
