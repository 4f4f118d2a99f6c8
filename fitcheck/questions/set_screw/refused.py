"""What cannot be asked of a set screw in a thin round wall: inputs that leave no wall, reach no blade or contradict."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping

from fitcheck.errors import InputError, TableError
from fitcheck.mechanics.spot import SPOTS
from fitcheck.questions.checks import check_blade, check_friction, check_wall, same_thread
from fitcheck.questions.quantities import of_property
from fitcheck.questions.set_screw.locking import torque_taken
from fitcheck.questions.set_screw.question import ScrewInputs
from fitcheck.questions.set_screw.standard import check_key
from fitcheck.questions.short_threads import strip_strength
from fitcheck.questions.words import listed
from fitcheck.stack import Dimension

_MOST_SLANT = math.radians(10)
"""A tap further off square breaks, or cuts no thread that a screw enters: common practice, no source."""

_ROUNDING = 1e-9
"""How far a size may lie past a limit that it was read off from, mm: the rounding of binary numbers."""


def refuse_impossible(q: ScrewInputs) -> None:
    """Raise `InputError` naming the first input of `q` that cannot be."""
    same_thread(q.screw, q.hole)
    if q.driver is not None and q.hand_torque.half_width > 0:
        raise InputError(
            f"driver = {q.driver:.3g}, hand_torque = {q.hand_torque}: the torque that the driver is set to is needed "
            "without a tolerance, which driver gives"
        )
    if q.driver is not None and q.driver >= 1:
        raise InputError(f"driver = {q.driver:.3g}: a part below 1 such as '6 %' is needed")
    for name in ("friction_thread", "friction_point", "friction_bore"):
        check_friction(name, getattr(q, name))
    for name in ("wall_material", "screw_material"):
        try:
            strip_strength(getattr(q, name), q.shear_rule)
        except TableError as error:
            raise TableError(f"{name}: {error}", key=name) from None
    _check_measured(q)
    _check_wall(q)
    _check_screw(q)
    check_blade(q.blade, q.bore)
    _check_pull(q)
    if q.dent is not None and q.blade_material is None:
        raise InputError(
            "blade_material: missing: the material of the blade is needed to find its dent", key="blade_material"
        )
    if q.blade_material is not None and q.blade_material.compressive is None:
        raise TableError(f"blade_material: material {q.blade_material.name!r} has no compressive value: give one with "
                         "add_material", key="blade_material")  # fmt: skip
    if q.key is not None and q.size is not None:
        check_key(q.key, q.size)
    torque_taken(q.prevailing, q.screw)
    _check_clamp(q)
    _check_side(q)
    _check_tube(q)
    _check_spot(q)


def _check_wall(q: ScrewInputs) -> None:
    check_wall(q.bore, q.outside)
    d = q.screw.nominal
    if d >= q.bore.lower:
        raise InputError(
            f"screw = {q.screw.designation!r}: a screw narrower than the bore of {q.bore} is needed", key="screw"
        )
    if q.blade.lower > q.bore.upper:
        raise InputError(
            f"blade = {q.blade}: does not enter the bore of {q.bore}; a smaller blade is needed", key="blade"
        )
    # The outer countersink is counted from the top of the tube, the inner one from the sides of the hole.
    sides = math.sqrt((q.bore.middle / 2) ** 2 - (d / 2) ** 2)
    room = q.outside.middle / 2 - sides
    both = q.countersink.middle + q.countersink_inside.middle
    if both >= room:
        raise InputError(
            f"countersink = {q.countersink}, countersink_inside = {q.countersink_inside}: the countersinks meet in the "
            f"wall; together less than {q.bore.unit.show(room)} is needed",
            key="countersink",
        )
    if q.bell_mouth is not None and both + q.bell_mouth.middle >= room:
        raise InputError(
            f"bell_mouth = {q.bell_mouth}: less than the {q.bore.unit.show(room - both)} that the countersinks leave "
            "of the wall is needed",
            key="bell_mouth",
        )


def _check_screw(q: ScrewInputs) -> None:
    d = q.screw.nominal
    if q.point_diameter is not None and q.point_diameter.upper > d:
        raise InputError(
            f"point_diameter = {q.point_diameter}: a point not wider than the screw of "
            f"{q.point_diameter.unit.show(d)} is needed",
            key="point_diameter",
        )
    refuse_length(q, q.sizes)


def refuse_length(q: ScrewInputs, sizes: Mapping[str, Dimension]) -> None:
    """Raise `InputError` for a screw that has no full thread or does not reach the blade; sizes: of `q.sizes_of`."""
    length, incomplete = sizes["screw_length"], sizes["point_length"]
    if incomplete.lower > length.upper:
        raise InputError(
            f"point_length = {incomplete}: a point not longer than the screw of {length} is needed", key="point_length"
        )
    if q.socket_end is not None and q.socket_end.lower + incomplete.lower > length.upper:
        raise InputError(
            f"socket_end = {q.socket_end}: less than what the point leaves of the screw of {length} is needed",
            key="socket_end",
        )
    # Where the wall's thread begins lowest: at the sides of the hole.
    sides = math.sqrt((q.bore.lower / 2) ** 2 - (q.screw.nominal / 2) ** 2)
    highest_tip = min(q.blade.upper, q.bore.lower) - q.bore.lower / 2
    if highest_tip + length.upper <= sides:
        gap = q.bore.middle - min(q.blade.middle, q.bore.middle)
        least = gap + incomplete.middle + q.screw.pitch
        raise InputError(
            f"screw_length = {length}: the screw never reaches the blade: it leaves the wall before its tip is there; "
            f"at least {length.unit.show(least)} is needed for one thread to hold",
            key="screw_length",
        )


def _check_measured(q: ScrewInputs) -> None:
    basic = {"major": q.screw.nominal, "pitch": q.screw.pitch_diameter, "minor": q.screw.minor_diameter}
    for name in ("hole_minor", "hole_pitch", "screw_major", "screw_pitch"):
        value: Dimension | None = getattr(q, name)
        if value is None:
            continue
        # Wear takes metal off, at most the whole thread; more metal than a tenth of a pitch is another thread.
        part, _, which = name.partition("_")
        off, on = 1.2 * q.screw.pitch + _ROUNDING, 0.1 * q.screw.pitch + _ROUNDING
        low, high = (
            (basic[which] - on, basic[which] + off) if part == "hole" else (basic[which] - off, basic[which] + on)
        )
        if not low <= value.lower <= value.upper <= high:
            least, most = value.unit.up(low, 3), value.unit.down(high, 3)
            raise InputError(f"{name} = {value}: a size from {least} to {most} is needed for this thread", key=name)
    _check_tapping(q)
    if q.part_gone is not None and not 0 <= q.part_gone.lower <= q.part_gone.upper <= 1:
        raise InputError(
            f"part_gone = {q.part_gone}: a part from 0 to 1 over its whole zone is needed", key="part_gone"
        )


def _check_clamp(q: ScrewInputs) -> None:
    if q.kept is not None and q.kept.upper > 1:
        raise InputError(f"kept = {q.kept}: a part of at most 1 over its whole zone is needed", key="kept")
    if q.cold is None:
        return
    if q.blade_material is None:
        raise InputError(
            "blade_material: missing: the material of the blade is needed to find how it shrinks in the cold",
            key="blade_material",
        )
    for name, which in (("blade_material", "modulus"), ("blade_material", "expansion"), ("wall_material", "expansion")):
        try:
            of_property(getattr(q, name), which)
        except TableError as error:
            raise TableError(f"{name}: {error}", key=name) from None


def _check_tapping(q: ScrewInputs) -> None:
    if q.tap_slant is not None and q.tap_slant > _MOST_SLANT:
        raise InputError(
            f"tap_slant = {math.degrees(q.tap_slant):.3g}°: at most {math.degrees(_MOST_SLANT):.0f}° is needed; a tap "
            "does not cut a thread that stands further off square",
            key="tap_slant",
        )
    if q.tap_drill is None or q.drilled is None:
        return
    if q.hole_minor is not None:
        raise InputError(
            f"tap_drill = {q.tap_drill}, hole_minor = {q.hole_minor}: the drill or the measured hole is needed, not "
            "both",
            key="tap_drill",
        )
    low, high, show = q.hole.minor_diameter - 0.1 * q.hole.pitch, q.hole.nominal, q.tap_drill.unit.show
    if not low <= q.drilled.lower <= q.drilled.upper < high:
        raise InputError(
            f"tap_drill = {q.tap_drill}: a drill that leaves a hole from {show(low)} to less than {show(high)} is "
            f"needed, and this one leaves up to {show(q.drilled.upper)}",
            key="tap_drill",
        )


def _check_tube(q: ScrewInputs) -> None:
    if q.blade_bore is None:
        return
    if q.blade_bore.upper >= q.blade.lower:
        raise InputError(
            f"blade_bore = {q.blade_bore}, blade = {q.blade}: no wall is left; a bore smaller than the blade over the "
            "whole zone is needed",
            key="blade_bore",
        )
    if q.blade_material is None:
        raise InputError(
            "blade_material: missing: the material of the blade is needed to find what its wall bears",
            key="blade_material",
        )
    for which in ("modulus", *(["tensile"] if q.blade_material.yield_ is None else [])):
        try:
            of_property(q.blade_material, which)
        except TableError as error:
            raise TableError(f"blade_material: {error}", key="blade_material") from None


def _check_spot(q: ScrewInputs) -> None:
    """What a point that stands in the blade asks for: a shape that fits, a blade to stand in, strengths, no tube."""
    if q.spotted is None:
        return
    where, show = f"spotted = {q.spotted}", q.spotted.unit.show
    if q.point not in SPOTS:
        kinds = listed(tuple(SPOTS), "or")
        raise InputError(f"point = {q.point!r}: a {kinds} is needed for a blade that is spotted", key="point")
    if q.blade_bore is not None:
        raise InputError(
            f"{where}, blade_bore = {q.blade_bore}: no model here says what a tube with holes bears of its screws; "
            "glue a plug into it, and ask without blade_bore",
            key="spotted",
        )
    if q.dent is not None:
        raise InputError(f"{where}, dent = {q.dent:.4g} mm: a plain blade or no dent is needed", key="dent")
    if q.blade_material is None:
        raise InputError(
            "blade_material: missing: the material of the blade is needed to find what its hole bears",
            key="blade_material",
        )
    try:
        of_property(q.blade_material, "shear", q.shear_rule)
    except TableError as error:
        raise TableError(f"blade_material: {error}", key="blade_material") from None
    if q.point == "dog":
        standard = q.size is not None and q.point_length is None
        most = q.size.dog_length[1] if q.size is not None and standard else q.sizes["point_length"].upper
        why = "the dog is long"
    elif q.point == "cup":
        most, why = (q.screw.nominal - q.tip.lower) / 2, "the bevel around the cup is deep"
    else:
        most, why = q.screw.nominal / 2, "the cone is long"
    if q.spotted.upper > most:
        raise InputError(f"{where}: at most the {show(most)} that {why} are needed", key="spotted")
    if q.spotted.upper >= q.blade.lower / 2:
        raise InputError(f"{where}: less than half of the blade of {q.blade} is needed", key="spotted")


def _check_side(q: ScrewInputs) -> None:
    """Where blade and screws stand along the socket: all of it or nothing, and the screws between mouth and seat."""
    together = ("blade_out", "seated", "screws_at")
    absent = [name for name in together if getattr(q, name) is None]
    given = [name for name in (*together, "side") if getattr(q, name) is not None]
    if absent and given:
        raise InputError(
            f"{absent[0]}: missing: {', '.join(together)} go together and with side, and {given[0]} is given",
            key=absent[0],
        )
    if q.screws_at is None or q.seated is None:
        return
    if len(q.screws_at) != q.screws:
        raise InputError(
            f"screws_at: {len(q.screws_at)} depths for screws = {q.screws}: one depth for each screw is needed",
            key="screws_at",
        )
    for i, at in enumerate(q.screws_at, start=1):
        if at.upper >= q.seated.lower:
            raise InputError(
                f"screws_at[{i}] = {at}: a screw that presses on the blade, above its end at {q.seated}, is needed",
                key="screws_at",
            )
    _check_places(q)


def _check_places(q: ScrewInputs) -> None:
    """Two screws are not in one place: nearer than a diameter in the wall they cut into each other."""
    if q.screws_at is None or q.angles is None or len(q.angles) != q.screws:
        return
    places = [(at.middle, angle) for at, angle in zip(q.screws_at, q.angles, strict=True)]
    for (i, one), (j, other) in itertools.combinations(enumerate(places, start=1), 2):
        turn = abs(math.remainder(one[1] - other[1], 2 * math.pi))
        apart = math.hypot(one[0] - other[0], q.bore.middle / 2 * turn)
        if apart < q.screw.nominal:
            show = q.screws_at[j - 1].unit.show
            raise InputError(
                f"screws_at[{j}] = {q.screws_at[j - 1]}: {show(apart)} from screws_at[{i}] in the wall; at least the "
                f"screw's diameter of {show(q.screw.nominal)} is needed between two axes",
                key="screws_at",
            )


def _check_pull(q: ScrewInputs) -> None:
    if (q.pull is None) is (q.mass is None):
        what = "missing" if q.pull is None else f"{q.pull:g} N and mass = {q.mass:g} kg are both given"
        raise InputError(
            f"pull: {what}: either pull in N, or mass in kg (with swing and arm, drop and stop) is needed", key="pull"
        )
    for one, other in (("swing", "arm"), ("drop", "stop")):
        if (getattr(q, one) is None) is not (getattr(q, other) is None):
            given, missing = (one, other) if getattr(q, other) is None else (other, one)
            raise InputError(f"{missing}: missing: {one} and {other} go together, and {given} is given", key=missing)
        if getattr(q, one) is not None and q.mass is None:
            raise InputError(f"mass: missing: the mass of the blade is needed for {one}", key="mass")
    if q.angles is not None and len(q.angles) != q.screws:
        raise InputError(
            f"angles: {len(q.angles)} directions for screws = {q.screws}: one direction for each screw is needed",
            key="angles",
        )
