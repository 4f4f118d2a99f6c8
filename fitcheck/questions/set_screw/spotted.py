"""A blade that is spotted: the point stands in a dimple or a drilled hole, which locks the blade beside friction."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from enum import StrEnum
from functools import partial
from typing import Any

import numpy as np

from fitcheck.errors import InputError
from fitcheck.mechanics import slip_demand
from fitcheck.mechanics.spot import (
    SPOTS,
    levered_on_thread,
    point_strength,
    spot_bearing,
    spot_depth,
    spot_width,
    tear_out,
)
from fitcheck.mechanics.wall import standing_tip
from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.judge import judge
from fitcheck.questions.moves import Besides
from fitcheck.questions.quantities import of_property, shear_assumption
from fitcheck.questions.readers import stated_in
from fitcheck.questions.set_screw.hands import takes_driver
from fitcheck.questions.set_screw.sentences import filled_in, torque_advice
from fitcheck.questions.set_screw.strength import POINTS, SetScrew
from fitcheck.questions.set_screw.torque_limits import advised_torque, down, printed_down, set_to
from fitcheck.questions.words import BLADE_CAUTIONS, STRENGTH_CAUTIONS, Meaning, assumed_spreads
from fitcheck.stack import Dimension, Response, dimension
from fitcheck.stack.probability.quantile import advised_quantile
from fitcheck.units import FORCE, Number

_SOME = 1e-6
"""What a spread without end leaves of a size or strength that cannot be nothing."""
_OFFERED = {False: (0.8, 0.1), True: (0.762, 0.127)}
"""mm: how deep a spot is offered, and its tolerance, by whether it is told in inches (0.030 ± 0.005 in): what a bench
drills to a stop (common practice, no source)."""

_LIGHTLY = 0.25
"""Part of its safe torque that a screw is offered to be turned with in a spot: what it clamps, its thread lacks."""


class Part(StrEnum):
    """What gives way as a blade pulls across a point in its hole; the value is what people call it."""

    HOLE = "side of the hole in the blade"
    POINT = "point of the screw"
    THREAD = "thread of the screw, which is tilted"
    WALL = "wall beside the screw"
    END = "end of the blade, torn out"


def _inputs(q: SetScrew, torque: Dimension) -> dict[str, Dimension]:
    assert q.blade_material is not None
    inputs = {
        **q.strip_inputs,
        "hand_torque": torque,
        "crush_blade": of_property(q.blade_material, "compressive"),
    }
    if q.seated is not None and q.screws_at is not None:
        lowest = max(q.screws_at, key=lambda at: at.middle)
        inputs |= {"seated": q.seated, "lowest": lowest}
        inputs["shear_blade"] = of_property(q.blade_material, "shear", q.shear_rule)
    return inputs


def _bears(q: SetScrew, passes: float, v: Mapping[str, Any]) -> dict[Part, Number]:
    """Loads across one point in its hole at which each part gives way, N.

    v: numbers or arrays by the names of `_inputs`. passes: what key and socket pass, N·m.
    """
    blade = np.minimum(v["blade"], v["bore"])
    deep = np.maximum(v["spotted"], 0.0)
    # A cone is taken as sharp, whose side is the smallest.
    end = np.clip(v["point_diameter"], _SOME, q.screw.nominal) if q.point != "cone" else 0.0
    width = np.clip(spot_width(q.point, end, deep), _SOME, blade)
    sides = spot_depth(deep, width, blade)
    gap = np.maximum(v["bore"] - blade, 0.0)
    length = np.maximum(q.length(v), 0.0)
    arm = np.maximum(v["outside"] / 2 - length / 2 - standing_tip(v["blade"], v["bore"]) + deep / 2, 0.0)
    clamp = q.load({**v, "hand_torque": np.minimum(v["hand_torque"], passes)})
    thread = np.maximum(q.load_relied_on(v) - clamp, 0.0) / levered_on_thread(q.point, arm, v["d2"])
    lever = deep / 2 + (gap if q.point == "dog" else 0.0)
    found = {
        Part.HOLE: spot_bearing(end, width, sides, np.maximum(v["crush_blade"], _SOME)),
        Part.POINT: point_strength(q.point, width, lever, np.maximum(v["tau_screw"], _SOME)),
        Part.THREAD: thread,
        Part.WALL: np.maximum(v["tau_wall"], 0.0) * q.bearing_ratios["bearing_wall"] * length * v["d2"],
    }
    if "seated" in v:
        edge = v["seated"] - v["lowest"] - width / 2
        found[Part.END] = tear_out(edge, sides, np.maximum(v["shear_blade"], _SOME))
    return found


def _locks(q: SetScrew, passes: float, **v: Any) -> Number:
    return np.asarray(np.minimum.reduce(np.broadcast_arrays(*_bears(q, passes, v).values())))


def lock_at(q: SetScrew, torque: Dimension, passes: float) -> Response:
    """What one point in its hole bears across it when its screw is turned with `torque`, N.

    torque: a dimension, N·m inside. passes: what key and socket pass, N·m.
    """
    used = stated_in(q.pull, FORCE, beside=q.hand_torque.unit)
    return Response(
        partial(_locks, q, passes), _inputs(q, torque), unit=used, name="hold of a point in the blade", samples=POINTS
    )


def lock_demand(q: SetScrew) -> float:
    """What pull and twist ask of the one point that bears them, at the depth that its hole reaches, N."""
    deep = 0.0 if q.spotted is None else q.spotted.upper
    across = min(q.blade.lower, q.bore.lower) - 2 * deep
    return float(slip_demand(q.pulled[0], q.twist, across))


def lock_borne(q: SetScrew, lock: Response) -> float:
    """What a point bears across it but at the accepted risk, or the smallest that the tests of threads can tell, N."""
    return max(advised_quantile(lock, q.claimed_risk), 0.0)


def spot_finding(q: SetScrew, torque: Dimension, passes: float) -> Finding:
    """What the points hold by their shape, which is taken in place of friction.

    torque: that the screws are turned with, N·m inside. passes: what key and socket pass, N·m.
    """
    assert q.spotted is not None
    assert q.blade_material is not None
    lock, demand = lock_at(q, torque, passes), lock_demand(q)
    show, least_of = lock.unit.show, lock.unit.down
    nominal = {key: value.nominal for key, value in lock.inputs.items()}
    parts = {where: float(np.asarray(load)) for where, load in _bears(q, passes, nominal).items()}
    first = min(parts, key=lambda one: parts[one])
    friction = q.hold_at(torque, passes)
    least, spot = friction.worst_case().min, SPOTS[q.point]
    pull, why = q.pulled
    size = q.spotted.unit.show
    return judge(
        q,
        lock,
        Requirement(at_least=demand, risk=q.risk),
        label="hold of a point in the blade",
        means=Meaning("The blade is locked by the point in it", "The point in the blade does not lock it"),
        answer=(
            f"the {q.point} point stands {size(q.spotted.nominal)} in a {spot} of the blade and bears "
            f"about {show(lock.nominal)} across it, and {least_of(lock_borne(q, lock))} at the accepted risk; "
            f"the {first} gives way first. "
            f"By friction alone: {show(friction.nominal)}, at the least {least_of(least)}."
        ),
        change=(
            *(
                ("turn the screws with less torque: their clamp load is a part of what the thread bears",)
                if first is Part.THREAD
                else ()
            ),
            f"use a wider point, or one that stands deeper; {torque_advice(q)}",
            *(("ask without spotted: friction alone holds it",) if least >= demand else ()),
        ),
        assumptions=(
            *assumed_spreads(*lock.inputs.values()),
            *filled_in(q),
            "One point is taken to bear all, and friction is left out: several holes never bear at once, and a blade "
            "slips until its hole meets the point.",
            f"The {spot} fits the point within a tenth of a millimetre and is drilled through the thread, so that it "
            "stands where the screw does; a larger one bears on a line.",
            "The blade bears its compressive strength on the side of the hole, which is the least; levers and the "
            "climbing of a cone come on the thread beside the clamp load, without help from friction.",
            *(
                ()
                if q.seated is not None
                else (
                    "The hole lies two diameters of the point or more from the end of the blade; give seated, "
                    "screws_at and blade_out to count what tears out to it.",
                )
            ),
            *shear_assumption(q.blade_material, q.shear_rule),
            "A load that comes and goes wears the hole wider, and is not counted.",
        ),
        sources=(
            "bearing and shear of pins, edge of a plate: Shigley, section 8-12, from memory; levers: statics",
            of_property(q.blade_material, "compressive").origin,
        ),
        cautions=(*_weakened(q), *BLADE_CAUTIONS, *STRENGTH_CAUTIONS),
        details={
            "pull": f"{show(pull)} ({why}), {show(demand)} at the hole with the twist"
            if q.twist
            else f"{show(pull)} ({why})",
            **{f"gives way at, {where}": show(load) for where, load in parts.items()},
            "friction alone": f"{show(friction.nominal)}, at the least {least_of(least)}",
        },
        least_risk=q.least_risk,
    )


def _weakened(q: SetScrew) -> tuple[str, ...]:
    """What a hole takes of the blade itself, which no number here counts."""
    assert q.blade_material is not None
    said = [
        "A hole weakens the blade where a knock bends it most: the stress at its edge is up to 3 times that beside it "
        "(Kirsch, Peterson, from memory), and what the hole takes of the section comes on top. It is not counted."
    ]
    if not q.blade_material.metal:
        said.append(
            "A notch makes plastic brittle: polycarbonate that bends without a hole breaks at one, the sooner the "
            "sharper its edge and the thicker the blade, and acrylic cracks from it. Drill with a sharp, slow drill "
            "and water, round the edge, polish, and keep oil, solvent and thread-lock off it: they craze it. Look for "
            "cracks before every use."
        )
    return tuple(said)


def spot_offer(q: SetScrew) -> tuple[str, ...]:
    """What a spot of usual depth would hold in place of friction, where it can be reckoned; nothing where it cannot."""
    if q.point not in SPOTS or q.blade_material is None or q.blade_bore is not None:
        return ()
    shown = q.bore.unit
    at, off = _OFFERED[shown.inch]
    deep = dimension(at, plus=off, name="spot", unit=shown)
    try:
        asked = dataclasses.replace(q, spotted=deep, dent=None)
    except InputError:
        return ()
    torque = printed_down(asked, set_to(asked, _LIGHTLY * advised_torque(asked).torque))
    if not torque > 0:
        return ()
    lock = lock_at(asked, asked.put_on_up_to(torque * (1 + (q.driver or 0.0))), np.inf)
    borne, spot = lock_borne(asked, lock), SPOTS[q.point]
    bears = f"one point then bears {lock.unit.down(borne)} by its shape"
    if borne < lock_demand(asked):
        return (Besides(f"not even the {q.point} point {deep} deep in a {spot} of the blade (spotted) does: {bears}"),)
    most = f"{down(q.put_on.unit, torque)}{takes_driver(q, torque)}"
    return (
        f"let the {q.point} point stand {deep} deep in a {spot} of the blade (spotted), turned lightly, with no "
        f"more than {most}: {bears}, which is within the risk, and the {spot} weakens the blade",
    )
