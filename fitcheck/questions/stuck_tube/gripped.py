"""How a stuck tube is held while it is turned: what its grip passes before it crushes the tube it holds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property, partial
from itertools import product
from typing import Any

import numpy as np

from fitcheck.mechanics.grip import GRIPS, collet_torque, jaw_torque, plug_play, strap_torque
from fitcheck.questions.threaded_tube import ThreadedTube
from fitcheck.stack import Dimension, Response
from fitcheck.units import Number, Unit

_MODELS = dict(zip(GRIPS, (collet_torque, strap_torque, jaw_torque), strict=True))
HOLE_UNDER_GRIP = 3.0
"""How much a hole under the grip lowers what the wall bears: the stress at the edge of a round hole in a wall that is
pressed one way, G. Kirsch, Z. VDI 42 (1898), from memory; less where the wall is bent."""
CLEAR = 2.0
"""Diameters of a hole from its edge on where it does not count: the stress is within some per cent by then (Kirsch)."""
_SOME = 1e-6
"""What a spread without end leaves of a size that cannot be nothing."""


@dataclass(frozen=True)
class Held:
    """A grip on one half: where, how long, on which friction, and what is inside."""

    by: str
    grip: Dimension
    """Length of the grip along the tube."""
    friction: Dimension
    tube: ThreadedTube
    """The half that is held; its section at the thread is that under the grip where no bore is given."""
    outside: Dimension
    bore: Dimension | None
    strength: Dimension
    plug: Dimension | None = None
    modulus: Dimension | None = None
    """Of the half, to know how far it closes before a plug bears."""
    holed: bool = False
    """Whether a hole lies under the grip or near it."""

    @cached_property
    def inputs(self) -> dict[str, Dimension]:
        """All that it passes depends on."""
        section = {"held_outside": self.outside}
        section |= self.tube.inputs if self.bore is None else {"held_bore": self.bore}
        more = {"plug": self.plug, "modulus": self.modulus}
        return {
            "grip": self.grip,
            "mu_grip": self.friction,
            "Rp_held": self.strength,
            **section,
            **{key: one for key, one in more.items() if one is not None},
        }

    def passes(self, v: Mapping[str, Any]) -> Number:
        """Torque that the grip passes as the tube under it begins to yield, N·m."""
        Do = np.maximum(v["held_outside"], _SOME)
        Di = np.clip(v["held_bore"] if self.bore is not None else self.tube.section(v)[1], 0.0, Do)
        Rp, mu = np.maximum(v["Rp_held"], _SOME), np.clip(v["mu_grip"], 0.0, 1.0)
        model = _MODELS[self.by]
        each = model(Do, Di, Rp, mu)
        if "plug" in v:
            bears = Di - v["plug"] <= plug_play(self.by, Do, Di, Rp, np.maximum(v["modulus"], _SOME))
            each = np.where(bears, np.maximum(model(Do, Di, Rp, mu, plugged=True), each), each)
        return np.asarray(each * np.maximum(v["grip"], 0.0) / (HOLE_UNDER_GRIP if self.holed else 1.0))

    def borne(self, shown: Unit) -> Response:
        """`passes` as a quantity."""
        return Response(partial(_passes, self), self.inputs, unit=shown, name="torque the grip passes")

    @property
    def play(self) -> float | None:
        """The play, mm, up to which a plug bears, at the least; None where no plug can be reckoned with."""
        if self.bore is None or self.modulus is None:
            return None
        ends = product((self.outside.lower, self.outside.upper), (self.bore.lower, self.bore.upper))
        plays = (plug_play(self.by, *sizes, self.strength.lower, self.modulus.upper) for sizes in ends)
        return float(min(plays))

    def by_another(self, by: str) -> Held:
        """The same with another way to grip."""
        return replace(self, by=by)


def _passes(held: Held, **v: Any) -> Number:
    return held.passes(v)
