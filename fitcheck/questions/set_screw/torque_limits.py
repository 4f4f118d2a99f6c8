"""What limits the torque on a set screw: thread, key, socket and blade; the torque that is advised, and its dent."""

from __future__ import annotations

import math
from enum import StrEnum
from typing import NamedTuple

import numpy as np

from fitcheck.errors import InputError
from fitcheck.mechanics import dent_depth, dent_load
from fitcheck.questions.set_screw.pressed_blade import yields
from fitcheck.questions.set_screw.standard import Bears, Key, key_bears, socket_bears
from fitcheck.questions.set_screw.strength import SetScrew, tip_stands
from fitcheck.units import Rounding, Unit


class Gives(StrEnum):
    """What gives way as a key is turned too hard; the value is what people call it."""

    HOLE = "hole thread"
    SCREW = "screw thread"
    THREAD = "thread"
    """The weaker of the two, with what is spread and the risk that is accepted."""
    SOCKET = "socket"
    KEY = "key"
    BLADE = "blade"


class Limit(NamedTuple):
    """A torque in N·m at which something gives way, and in words what the number rests on."""

    kind: Gives
    torque: float
    basis: str


def torque_limits(q: SetScrew) -> tuple[Limit, ...]:
    """What limits the torque, with nominal sizes, the lowest first."""
    hole, screw = (float(np.asarray(q.torque_for(load, q.nominal))) for load in q.both_loads(q.nominal))
    found = [Limit(Gives.HOLE, hole, "strips, nominal"), Limit(Gives.SCREW, screw, "strips, nominal")]
    found += [Limit(kind, bears.torque, bears.basis) for kind, bears in tool_limits(q).items()]
    if (dent := dent_torque(q)) is not None:
        found.append(dent)
    if q.blade_torque is not None:
        words = "the tube begins to yield, nominal" if yields(q) else "the tube cracks, nominal"
        found.append(Limit(Gives.BLADE, q.blade_torque.nominal, words))
    return tuple(sorted(found, key=lambda limit: limit.torque))


def tool_limits(q: SetScrew) -> dict[Gives, Bears]:
    """What socket and key bear, where it is known."""
    width = q.key or (None if q.size is None else q.size.socket)
    found = {Gives.KEY: None if width is None else key_bears(width, Key(q.key_had), q.hand_torque.unit)}
    if q.size is not None:
        found[Gives.SOCKET] = socket_bears(q.size, q.screw_material, q.sizes["screw_length"], q.point)
    return {kind: bears for kind, bears in found.items() if bears is not None}


def passes(q: SetScrew) -> Limit | None:
    """What key and socket pass at the most; None where neither is known."""
    found = [Limit(what, bears.torque, bears.basis) for what, bears in tool_limits(q).items()]
    return min(found, key=lambda limit: limit.torque, default=None)


def dent_torque(q: SetScrew) -> Limit | None:
    """The torque at which a flat or dog point sinks into the blade, or a cup or cone reaches the accepted dent."""
    if q.blade_material is None or (q.dent is None and q.point in ("cup", "cone")):
        return None
    load = dent_load(q.point, _end(q), q.blade_material.get("compressive").value, depth=q.dent or 0.0)
    words = "the point sinks in" if q.point in ("flat", "dog") else f"dent of {q.bore.unit.show(q.dent or 0.0)}"
    return Limit(Gives.BLADE, float(np.asarray(q.torque_for(load, q.nominal))), words)


class TurnsOff(NamedTuple):
    """Turns from standing on the blade, dented by the most torque that may be used, to being flush with the bore."""

    nominal: float
    most: float
    """With the smallest blade in the largest bore."""


def turns_off(q: SetScrew) -> TurnsOff:
    """How far the screw is backed off to let the blade in."""
    dent = dented(q, most_used(q)) or 0.0
    usual = {"blade": q.blade.nominal, "bore": q.bore.nominal}
    worst = {"blade": q.blade.lower, "bore": q.bore.upper}
    if q.spotted is not None:
        usual["spotted"], worst["spotted"] = q.spotted.nominal, q.spotted.upper
    return TurnsOff(*((v["bore"] / 2 - float(tip_stands(v)) + dent) / q.screw.lead for v in (usual, worst)))


def most_used(q: SetScrew) -> float:
    """The most torque that is put on the key by who keeps to the advice, N·m."""
    return max(min(q.put_on.upper, advised_torque(q).torque), 0.0)


def dented(q: SetScrew, torque: float) -> float | None:
    """Depth of the dent at a torque, nominal, mm; None without a blade material, or where a flat point sinks in.

    A cup or cone in a dimple that fits it bears on all of it: it dents no further (common practice, no source).
    """
    if q.blade_material is None:
        return None
    if q.spotted is not None and q.point != "dog":
        return 0.0
    load = q.load({**q.nominal, "hand_torque": torque})
    try:
        return float(dent_depth(load, q.point, _end(q), q.blade_material.get("compressive").value))
    except InputError:
        return None


def _end(q: SetScrew) -> float:
    """Diameter of the end that bears on the blade; a cone is taken as sharp, which dents deepest."""
    return 0.0 if q.point == "cone" else q.nominal["point_diameter"]


def advised_torque(q: SetScrew) -> Limit:
    """The torque to stay below: that of the accepted strip risk, or what socket, key or blade bear if that is less."""
    limits = [Limit(Gives.THREAD, q.safe_torque, ""), Limit(Gives.BLADE, q.safe_for_blade, "")]
    if (tool := passes(q)) is not None:
        limits.append(tool)
    return min(limits, key=lambda limit: limit.torque)


def set_to(q: SetScrew, most: float) -> float:
    """What a torque driver is set to, so that it does not pass `most`; without a driver `most` itself, N·m."""
    return most / (1 + (q.driver or 0.0))


def down(used: Unit, torque: float) -> str:
    """A torque that is not to be passed as text: rounded down, to the customary decimals and at least to two digits."""
    return used.down(torque, places(used, torque))


def printed_down(q: SetScrew, torque: float) -> float:
    """The value that `down` prints in the unit of the hand torque, N·m."""
    used = q.hand_torque.unit
    return float(used.to_base(used.rounded(torque, places(used, torque), Rounding.DOWN)))


def places(used: Unit, torque: float) -> int:
    """Decimals of a torque in that unit: those customary, and as many as two digits take."""
    shown = used.from_base(torque)
    return max(used.decimals, 1 - math.floor(math.log10(shown))) if shown > 0 else used.decimals
