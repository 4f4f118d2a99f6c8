"""A blade that is a tube, pressed by its screws: the load at which its wall yields or cracks, and its flattening."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from fitcheck.mechanics.ring import pressed_width, ring_stress, tube_flattening
from fitcheck.questions.quantities import of_property
from fitcheck.questions.set_screw.question import ScrewInputs
from fitcheck.stack import Dimension
from fitcheck.units import Number

_THINNEST = 0.01
"""The least wall that a spread may leave, mm."""


def yields(q: ScrewInputs) -> bool:
    """Whether the blade's material yields before it breaks; one without a yield strength cracks."""
    return q.blade_material is not None and q.blade_material.yield_ is not None


def tube_inputs(q: ScrewInputs) -> dict[str, Dimension]:
    """What the blade's wall bears with; empty for a solid blade."""
    if q.blade_bore is None or q.blade_material is None:
        return {}
    strength = of_property(q.blade_material, "yield" if yields(q) else "tensile")
    inputs = {"blade": q.blade, "blade_bore": q.blade_bore, "strength": strength}
    if q.seated is not None and q.screws_at is not None:
        inputs |= {"seated": q.seated, "lowest": max(q.screws_at, key=lambda at: at.middle)}
    return inputs


def load_borne(q: ScrewInputs, v: Mapping[str, Any]) -> Number:
    """Load of each screw at which the wall of the blade begins to yield or cracks, N.

    v: numbers or arrays by the names of `tube_inputs`, and point_diameter (mm).
    """
    R, t = _wall_of(v)
    to_end = v["seated"] - v["lowest"] if "seated" in v else np.inf
    width = pressed_width(R, t, np.maximum(v["point_diameter"], 0.0), to_end=to_end)
    alone = ring_stress(1.0, R, t, width, [0.0])
    together = alone if _apart(q) else ring_stress(1.0, R, t, width, _directions(q))
    return np.asarray(v["strength"] / np.maximum(alone, together))


def _apart(q: ScrewInputs) -> bool:
    """Whether the screws stand so far from each other along the blade that each has its own piece of it."""
    if q.screws == 1:
        return True
    if q.screws_at is None or q.blade_bore is None:
        return False
    R, t = _wall_of({"blade": q.blade.middle, "blade_bore": q.blade_bore.middle})
    width = float(pressed_width(R, t, q.tip.upper))
    return bool(np.all(np.diff(sorted(at.middle for at in q.screws_at)) >= width))


def _directions(q: ScrewInputs) -> list[float]:
    """The screws' directions; where nobody says them, all in one, which bends the wall most."""
    return list(q.angles) if q.angles is not None else [0.0] * q.screws


def _wall_of(v: Mapping[str, Any]) -> tuple[Number, Number]:
    outer = np.asarray(v["blade"])
    t = np.clip((outer - v["blade_bore"]) / 2, _THINNEST, 0.49 * outer)
    return (outer - t) / 2, t


def flattened(q: ScrewInputs, F: Number) -> float:
    """How far a screw flattens the blade at its load F in N, nominal, mm; away from the blade's ends."""
    assert q.blade_material is not None
    assert q.blade_bore is not None
    R, t = _wall_of({"blade": q.blade.nominal, "blade_bore": q.blade_bore.nominal})
    return float(tube_flattening(F, R, t, q.blade_material.get("modulus").value))


_STIFFER = 1.4
"""How much stiffer a tube may be than `tube_flattening` says."""


def tube_stiffness(v: Mapping[str, Any]) -> Number:
    """Load for a unit of flattening of the blade, N/mm, at the most.

    v: numbers or arrays: blade, blade_bore (mm) and modulus (MPa).
    """
    R, t = _wall_of(v)
    return np.asarray(_STIFFER / tube_flattening(1.0, R, t, v["modulus"]))
