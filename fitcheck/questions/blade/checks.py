"""What a blade question refuses, before anything is computed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitcheck.errors import InputError, did_you_mean
from fitcheck.questions.checks import check_blade, check_friction, check_wall
from fitcheck.questions.words import listed

if TYPE_CHECKING:
    from fitcheck.questions.blade.question import BladeDepth


def check(q: BladeDepth) -> None:
    """Raise `InputError` naming the first input of `q` that cannot be."""
    if not q.adds:
        raise InputError("adds = []: at least one length is needed")
    _check_cut(q)
    _needs(q, "wander_at_most", "blade", "bore", "blade_length")
    _needs(q, "temperature", "blade", "bore", "blade_material", "socket_material")
    check_wall(q.bore, q.outside)
    if q.friction_bore is not None:
        check_friction("friction_bore", q.friction_bore)
    if q.blade is not None and q.bore is not None:
        check_blade(q.blade, q.bore)
    if q.wander_at_most is not None and q.depth.worst_case().min <= 0:
        raise InputError("wander_at_most: the blade may not reach into its socket: a depth above 0 is needed")


def _check_cut(q: BladeDepth) -> None:
    names = [d.name for d in q.takes]
    if q.cut and q.cut not in names:
        hint = did_you_mean(q.cut, names)
        raise InputError(f"cut = {q.cut!r}: the name of a part among takes is needed{hint}")
    if q.cut and q.gain <= 0:
        raise InputError(f"cut = {q.cut!r}: it is among adds too, so that cutting it makes the blade no deeper")
    if q.slug_screw is not None and not q.cut:
        raise InputError("slug_screw: cut is needed too, the name of the part among takes that this screw retains")


def _needs(q: BladeDepth, key: str, *others: str) -> None:
    missing = [other for other in others if getattr(q, other) is None]
    if getattr(q, key) is not None and missing:
        raise InputError(f"{key}: {listed(missing)} must be given too")
