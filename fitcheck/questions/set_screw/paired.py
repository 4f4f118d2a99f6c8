"""Two threads in one wall against each other: what they share cancels, what they do not share stays.

The same bench, tube, blade, materials and friction serve both, so a poor bench or a slippery screw is poor for both.
Their own sizes differ, and so does what nobody knows of pitches: the published tests have two pairs, which disagree.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from fitcheck.mechanics import short_model
from fitcheck.questions.set_screw.strength import SetScrew
from fitcheck.stack import Dimension, Interval, Normal, Response, dimension
from fitcheck.units import PLAIN, Number

_SHARED = ("outside", "bore", "blade", "countersink", "countersink_inside", "tau_wall", "tau_screw")
_OF_THE_BENCH = ("friction_thread", "friction_point", "bench")
_DECIDED = 0.95
"""Probability from which on the evidence is said to decide."""


@dataclass(frozen=True, slots=True)
class Rivals:
    """The strip torque of one thread over that of another in the same wall, of middling holes; numbers.

    first, second: designations. ratio: nominal. interval: nine of ten. stronger: probability that the first strips
    later. decided: whether that is beyond 95 % either way.
    """

    first: str
    second: str
    ratio: float
    interval: Interval
    stronger: float

    @property
    def decided(self) -> bool:
        return max(self.stronger, 1 - self.stronger) >= _DECIDED

    def __str__(self) -> str:
        said = (
            f"{self.first} bears {self.ratio:.2f} times the torque of {self.second}, {self.interval.min:.2f} to "
            f"{self.interval.max:.2f} nine times in ten"
        )
        if self.decided:
            return said
        return f"{said}: which of the two is stronger is not decided by the evidence"


def rivals(first: SetScrew, second: SetScrew) -> Rivals:
    """The two compared. Raises `InputError` where the models refuse a size.

    Trials of either take the place of what other benches say of that one; the bench then no longer cancels.
    """
    both = {"a": first, "b": second}
    shared = _SHARED if first.tried or second.tried else (*_SHARED, *_OF_THE_BENCH)
    inputs: dict[str, Dimension] = {"pair": _pair()}
    for side, q in both.items():
        for key, d in q.strip_inputs.items():
            if key != "scatter":
                inputs[key if key in shared else f"{side}_{key}"] = d

    def ratio(**v: Any) -> Number:
        return np.asarray(_torque(first, "a", shared, v) / _torque(second, "b", shared, v) * np.exp(v["pair"]))

    found = Response(ratio, inputs, unit=PLAIN, name="ratio of strip torques", samples=1 << 15)
    low, high = found.interval(0.9)
    stronger = 1 - float(found.outside(1.0, None))
    return Rivals(first.screw.designation, second.screw.designation, found.nominal, Interval(low, high), stronger)


def _torque(q: SetScrew, side: str, shared: tuple[str, ...], v: Mapping[str, Any]) -> Number:
    own = {key: v[key if key in shared else f"{side}_{key}"] for key in q.strip_inputs if key != "scatter"}
    # One that holds nothing is compared all the same: it is beaten by any.
    return np.maximum(q.torque_to_strip(**own), _NOTHING)


_NOTHING = 1e-9


def _pair() -> Dimension:
    model = short_model()
    return dimension(
        0.0,
        plus=2 * model.pair.value,
        spread=Normal(2),
        name="what two pitches differ by",
        unit=PLAIN,
        origin=model.source,
        basis=model.rests_on,
    )
