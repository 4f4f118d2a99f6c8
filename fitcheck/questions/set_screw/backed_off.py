"""How far a set screw stands out on the blade, and which longer one stays in the wall when it is backed off."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

from fitcheck.errors import InputError
from fitcheck.mechanics import protrusion
from fitcheck.questions.set_screw.standard import length_zone_of
from fitcheck.questions.set_screw.strength import SetScrew, tip_stands
from fitcheck.stack import Response
from fitcheck.units import Number

_STANDS_OUT = "blade", "bore", "spotted", "screw_length", "outside"


def stands_out(q: SetScrew) -> Response:
    """How far the screw's end stands out over the tube with its point on the blade, mm; below 0 under the surface."""
    return Response(_over_the_tube, {key: q.sizes[key] for key in _STANDS_OUT if key in q.sizes}, unit=q.bore.unit)


def _over_the_tube(screw_length: Number, outside: Number, **v: Number) -> Number:
    return protrusion(tip_stands(v), screw_length, outside)


class Staying(NamedTuple):
    """A standard screw that stays in the wall when it is backed off: its length, mm.

    threads: that hold it backed off, at worst case. out: its end over the tube with its point on the blade, mm at most.
    """

    length: float
    threads: float
    out: float


def staying_screw(q: SetScrew, threads: float) -> Staying | None:
    """The shortest longer standard screw of which so many threads hold when it is backed off; None where none does."""
    if q.size is None:
        return None
    for length in q.size.lengths(q.point):
        if length <= q.sizes["screw_length"].nominal:
            continue
        try:
            longer = replace(q, screw_length=length_zone_of(q.size, length, q.screw))
        except InputError:
            continue
        kept = longer.threads_backed_off.worst_case().min
        if kept >= threads:
            return Staying(length, kept, stands_out(longer).worst_case().max)
    return None
