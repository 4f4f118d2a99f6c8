"""A tube with a thread: the section that the root of its thread leaves, and the pull or twist at which it yields.

The one place where questions ask for that section: a joint that is pulled or unscrewed, and one that is stuck.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property, partial

from fitcheck.mechanics import Material
from fitcheck.mechanics.tube import external_root, internal_root
from fitcheck.questions.quantities import of_property, root_depth
from fitcheck.stack import Dimension, Response
from fitcheck.threads import Thread
from fitcheck.units import Number, Unit

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
