"""What a set-screw question refuses, one line an argument, before anything is computed."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from fitcheck.errors import InputError, TableError, positive
from fitcheck.questions.checks import check_blade, check_friction, check_wall, same_thread
from fitcheck.questions.quantities import shear_strength
from fitcheck.questions.set_screw.standard import check_key
from fitcheck.stack import Dimension

if TYPE_CHECKING:
    from fitcheck.questions.set_screw.question import SetScrew


def check(q: SetScrew) -> None:
    """Raise `InputError` naming the first argument of `q` that cannot be."""
    same_thread(q.screw, q.hole)
    _above_zero("outside", q.outside, "a diameter")
    _above_zero("bore", q.bore, "a diameter")
    _above_zero("blade", q.blade, "a diameter")
    _above_zero("hand_torque", q.hand_torque, "a torque")
    for name in ("friction_thread", "friction_point", "friction_bore"):
        check_friction(name, getattr(q, name))
    for name in ("countersink", "countersink_inside"):
        _not_below_zero(name, getattr(q, name), "a depth")
    for name in ("wall_material", "screw_material"):
        try:
            shear_strength(getattr(q, name), "", q.shear_rule)
        except TableError as error:
            raise TableError(f"{name}: {error}") from None
    _check_measured(q)
    _check_wall(q)
    _check_screw(q)
    check_blade(q.blade, q.bore)
    _check_pull(q)
    if q.dent is not None:
        positive("dent", q.dent, "mm")
        if q.blade_material is None:
            raise InputError("blade_material: missing: the material of the blade is needed to find its dent")
    if q.blade_material is not None and q.blade_material.compressive is None:
        raise TableError(f"blade_material: material {q.blade_material.name!r} has no compressive value: give one with "
                         "add_material")  # fmt: skip
    if q.stays is not None:
        positive("stays", q.stays)
    if q.key is not None:
        positive("key", q.key, "mm")
        if q.size is not None:
            check_key(q.key, q.size)


def _check_wall(q: SetScrew) -> None:
    check_wall(q.bore, q.outside)
    d = q.screw.nominal
    if d >= q.bore.lower:
        raise InputError(f"screw = {q.screw.designation!r}: a screw narrower than the bore of {q.bore} is needed")
    if q.blade.lower > q.bore.upper:
        raise InputError(f"blade = {q.blade}: does not enter the bore of {q.bore}; a smaller blade is needed")
    # The outer countersink is counted from the top of the tube, the inner one from the sides of the hole.
    sides = math.sqrt((q.bore.middle / 2) ** 2 - (d / 2) ** 2)
    room = q.outside.middle / 2 - sides
    if q.countersink.middle + q.countersink_inside.middle >= room or q.countersink.middle >= room:
        raise InputError(
            f"countersink = {q.countersink}, countersink_inside = {q.countersink_inside}: the countersinks meet in the "
            f"wall; together less than {q.bore.unit.show(room)} is needed"
        )


def _check_screw(q: SetScrew) -> None:
    d = q.screw.nominal
    if q.point_diameter is not None:
        _not_below_zero("point_diameter", q.point_diameter, "a diameter")
        if q.point_diameter.upper > d:
            raise InputError(
                f"point_diameter = {q.point_diameter}: a point not wider than the screw of "
                f"{q.point_diameter.unit.show(d)} is needed"
            )
    length, incomplete = q.sizes["screw_length"], q.sizes["point_length"]
    _above_zero("screw_length", length, "a length")
    _not_below_zero("point_length", incomplete, "a length")
    if incomplete.lower > length.upper:
        raise InputError(f"point_length = {incomplete}: a point not longer than the screw of {length} is needed")
    # Where the wall's thread begins lowest: at the sides of the hole.
    sides = math.sqrt((q.bore.lower / 2) ** 2 - (d / 2) ** 2)
    highest_tip = min(q.blade.upper, q.bore.lower) - q.bore.lower / 2
    if highest_tip + length.upper <= sides:
        gap = q.bore.middle - min(q.blade.middle, q.bore.middle)
        least = gap + incomplete.middle + q.screw.pitch
        raise InputError(
            f"screw_length = {length}: the screw never reaches the blade: it leaves the wall before its tip is there; "
            f"at least {length.unit.show(least)} is needed for one thread to hold"
        )


def _check_measured(q: SetScrew) -> None:
    basic = {"major": q.screw.nominal, "pitch": q.screw.pitch_diameter, "minor": q.screw.minor_diameter}
    for name in ("hole_minor", "hole_pitch", "screw_major", "screw_pitch"):
        value: Dimension | None = getattr(q, name)
        if value is None:
            continue
        # Wear takes metal off, at most the whole thread; more metal than a tenth of a pitch is another thread.
        part, _, which = name.partition("_")
        off, on = 1.2 * q.screw.pitch, 0.1 * q.screw.pitch
        low, high = (
            (basic[which] - on, basic[which] + off) if part == "hole" else (basic[which] - off, basic[which] + on)
        )
        if not low <= value.lower <= value.upper <= high:
            show = value.unit.show
            raise InputError(
                f"{name} = {value}: a size from {show(low, 3)} to {show(high, 3)} is needed for this thread"
            )
    if q.turns_gone is not None:
        _not_below_zero("turns_gone", q.turns_gone, "a number of turns")
    if q.part_gone is not None and not 0 <= q.part_gone.lower <= q.part_gone.upper <= 1:
        raise InputError(f"part_gone = {q.part_gone}: a part from 0 to 1 over its whole zone is needed")


def _check_pull(q: SetScrew) -> None:
    if (q.pull is None) is (q.mass is None):
        what = "missing" if q.pull is None else f"{q.pull:g} N and mass = {q.mass:g} kg are both given"
        raise InputError(
            f"pull: {what}: either pull in N, or mass in kg (with swing and reach, drop and stop) is needed"
        )
    for one, other in (("swing", "reach"), ("drop", "stop")):
        if (getattr(q, one) is None) is not (getattr(q, other) is None):
            given, missing = (one, other) if getattr(q, other) is None else (other, one)
            raise InputError(f"{missing}: missing: {one} and {other} go together, and {given} is given")
        if getattr(q, one) is not None and q.mass is None:
            raise InputError(f"mass: missing: the mass of the blade is needed for {one}")
    for name in ("mass", "reach", "stop", "drop", "swing"):
        if getattr(q, name) is not None:
            positive(name, getattr(q, name), {"mass": "kg", "swing": "rad/s"}.get(name, "mm"))
    if not math.isfinite(q.twist):
        raise InputError(f"twist = {q.twist:g}: a finite torque in N·m is needed")
    if q.angles is not None and len(q.angles) != q.screws:
        raise InputError(
            f"angles: {len(q.angles)} directions for screws = {q.screws}: one direction for each screw is needed"
        )


def _above_zero(name: str, value: Dimension, what: str) -> None:
    if value.lower <= 0:
        raise InputError(f"{name} = {value}: {what} above 0 over its whole zone is needed")


def _not_below_zero(name: str, value: Dimension, what: str) -> None:
    if value.lower < 0:
        raise InputError(f"{name} = {value}: {what} of at least 0 over its whole zone is needed")
