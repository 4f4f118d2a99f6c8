"""What becomes of a screw's clamp load in the blade: the part that creep leaves, and what the cold takes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from fitcheck.mechanics import clamp_kept, clamp_kept_names
from fitcheck.mechanics.clamp import clamp_left, contact_stiffness, shrunk_away
from fitcheck.questions.quantities import of_property
from fitcheck.questions.set_screw.pressed_blade import tube_stiffness
from fitcheck.questions.set_screw.question import ScrewInputs
from fitcheck.stack import Dimension, between
from fitcheck.units import PERCENT, PLAIN, Number


def kept_part(q: ScrewInputs) -> Dimension:
    """The part of the clamp load that stays: as given, or by the blade's material; an unknown one as a plastic."""
    if q.kept is not None:
        return q.kept
    found = clamp_kept(_like(q))
    return between(
        found.low,
        found.high,
        found.middle,
        name="clamp that stays",
        unit=PLAIN,
        origin=f"{found.name}: {found.meaning} ({found.source})",
        basis=found.rests_on,
    )


def _like(q: ScrewInputs) -> str:
    """The row of the table of creep for the blade."""
    if q.blade_material is None:
        return "plastic"
    if q.blade_material.name in clamp_kept_names():
        return q.blade_material.name
    return "metal" if q.blade_material.metal else "plastic"


def clamp_inputs(q: ScrewInputs) -> dict[str, Dimension]:
    """What decides how much of the clamp load stays."""
    inputs = {"kept": kept_part(q)}
    if q.cold is not None and q.blade_material is not None:
        inputs |= {
            "blade": q.blade,
            **({} if q.blade_bore is None else {"blade_bore": q.blade_bore}),
            "modulus": of_property(q.blade_material, "modulus"),
            "expansion_blade": of_property(q.blade_material, "expansion"),
            "expansion_wall": of_property(q.wall_material, "expansion"),
        }
    return inputs


def clamp_at_the_end(q: ScrewInputs, F: Number, v: Mapping[str, Any]) -> Number:
    """Clamp load of one screw after creep and in the cold, N.

    F: as tightened, N. v: numbers or arrays by the names of `clamp_inputs`, and point_diameter; without them F stays.
    """
    kept = np.clip(v.get("kept", 1.0), 0.0, 1.0)
    if q.cold is None or "modulus" not in v:
        return clamp_left(F, kept)
    stiffness = contact_stiffness(v["modulus"], np.maximum(v["point_diameter"], _SHARP))
    if q.blade_bore is not None:  # a tube is softer than its contact: two springs in a row
        stiffness = 1 / (1 / stiffness + 1 / tube_stiffness(v))
    shrunk = shrunk_away(v["blade"], v["expansion_blade"], v["expansion_wall"], q.cold)
    return clamp_left(F, kept, stiffness, shrunk)


_SHARP = 0.01
"""The least width of a point, mm: a sharp cone has bitten that far."""


def clamp_assumptions(q: ScrewInputs) -> tuple[str, ...]:
    """What the hold finding takes for granted of the clamp load's future."""
    part = kept_part(q)
    said = []
    if part.upper < 1 or part.lower < 1:
        of = "as given" if q.kept is not None else f"as of {_like(q)} after 1,000 h at room temperature"
        unknown = "; give blade_material or kept if it is another" if _unknown(q) else ""
        said.append(f"The clamp load falls to {part.lower:.0%} to {part.upper:.0%} by creep, {of}{unknown}.")
    if q.cold is not None:
        said.append(
            f"All is {q.cold:g} K colder than when it was tightened: the blade shrinks away from the screws, which "
            "press it as stiffly as they can, the safe side."
        )
    return tuple(said)


def _unknown(q: ScrewInputs) -> bool:
    return q.kept is None and q.blade_material is None


def clamp_cautions(q: ScrewInputs) -> tuple[str, ...]:
    """What makes screws lose their clamp, and what is done about it."""
    said = []
    if q.screws > 1:
        said.append(
            "Each screw relaxes the ones before it: tighten all of them in turns, in small steps, until none moves."
        )
    if kept_part(q).lower < 1:
        said.append(
            "A plastic blade creeps away from its screws: turn them again after a day and after the first cold."
        )
    else:
        said.append("Turn the screws again after a day: even hard faces settle.")
    if q.cold is None:
        said.append("Cold lets a blade shrink away from its screws and is not counted here: give cold to count it.")
    shaking = "Shaking loosens screws that hold by friction alone: look at them before every use"
    if q.prevailing is None:
        said.append(
            f"{shaking}, or lock them. A patch or thread-lock takes its part of the torque, and none is counted: give "
            "prevailing."
        )
    else:
        said.append(f"{shaking}.")
    return tuple(said)


def locking_assumption(q: ScrewInputs) -> list[str]:
    """What a locking that is counted takes of the torque on the key."""
    taken = q.clamping.get("prevailing")
    if taken is None:
        return []
    show = taken.unit.show
    return [
        f"The locking takes {show(taken.lower)} to {show(taken.upper)} of the torque on the key; only the rest clamps "
        "the screw and can strip its thread."
    ]


def scatter_taken(q: ScrewInputs) -> tuple[str, ...]:
    """Why advice differs with the scatter of the hand torque: whoever follows it is taken to scatter as much."""
    put_on = q.put_on
    if not put_on.half_width:
        return ()
    who = "hand" if q.driver is None else "driver"
    least = PERCENT.show(max(put_on.lower, 0.0) / put_on.upper, 0)
    return (
        f"A {who} that keeps to the torque advised scatters as the one stated does: at the least it puts on {least} of "
        "its most. A steadier one needs fewer screws.",
    )
