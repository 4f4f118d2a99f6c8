"""What the standards say of a set screw that the user has not measured: point, length, socket and key."""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple

from fitcheck.basis import Basis
from fitcheck.errors import InputError
from fitcheck.mechanics import (
    Material,
    ScrewSize,
    key_test_torque,
    key_torque,
    key_yield_torque,
    length_tolerance,
    lengths_that_fit,
    point_length,
    protrusion,
    set_screw,
    set_screw_names,
)
from fitcheck.mechanics.set_screws import INCOMPLETE_PITCHES
from fitcheck.mechanics.wall import standing_tip
from fitcheck.questions.readers import stated_in
from fitcheck.stack import Dimension, between, dimension
from fitcheck.threads import Thread
from fitcheck.threads.profile import root_diameter
from fitcheck.units import LENGTH, STRESS, Unit, unit

SOCKET_GRADE = "45H"
"""The property class whose proof torques ISO 898-5 prints."""


UNKNOWN_DEPTH = 0.4
"""Of a full socket: what one bears whose depth no table seen here prints. No source; the least printed is 0.47."""


class Bears(NamedTuple):
    """A torque in N·m that a part bears, and where the number comes from."""

    torque: float
    basis: str


def standard_screw(thread: Thread) -> ScrewSize | None:
    """The standard set screw with the nominal diameter of `thread`; None if the standards have none of that size."""
    sizes = (set_screw(name) for name in set_screw_names())
    own = [size for size in sizes if size.metric is (thread.unit == "mm")]
    return next((size for size in own if abs(size.d - thread.nominal) < 0.01), None)


INCOMPLETE_TAKEN = "chamfer of the point, and up to 2P incomplete by ISO 4026 to 4029"
"""What is taken for the length without full thread, in words."""


SOCKET_END_TAKEN = (
    "chamfered by 45° to the root at least, one pitch at the most: half of the 2P that may be incomplete, ISO 4753, "
    "from memory"
)
"""What is taken for the length without full thread at the socket, in words."""


def length_taken(size: ScrewSize) -> str:
    """What is taken for the length of a screw, in words."""
    return f"standard length of {size.name}"


def point_taken(size: ScrewSize, point: str) -> str:
    """What is taken for the diameter of a point, in words."""
    return f"{point} point of {size.name}"


def point_zone(thread: Thread, size: ScrewSize | None, point: str) -> Dimension:
    """The diameter that carries the friction of a standard point, between the limits of its standard.

    A cone touches with the dent it makes, which lies between its own flat and half the screw's diameter (estimate).
    """
    if size is None:
        known = ", ".join(name for name in set_screw_names() if name.startswith("M") is (thread.unit == "mm"))
        raise InputError(
            f"point_diameter: missing: no standard set screw is as large as {thread.designation} ({known}); a diameter "
            "such as '1.9 ± 0.1' is needed",
            key="point_diameter",
        )
    low, high = size.points[point]
    if point == "cone":
        high = max(high, thread.nominal / 2)
    origin = f"{point_taken(size, point)}: {size.source}"
    return between(low, high, name="point diameter", unit=unit(thread.unit), origin=origin, basis=size.rests_on)


def incomplete_zone(thread: Thread, size: ScrewSize | None, point: str, tip: Dimension, length: Dimension) -> Dimension:
    """Length at the tip without full thread: from what is turned off to what the standards let be incomplete besides.

    The least is the chamfer of the point; the most is two pitches, or the chamfer where that is longer. Neither is
    more than the screw.
    """
    d = thread.nominal
    if point == "cone":  # the dent it makes is not the shape of its end
        low_tip, high_tip = (0.0, 0.0) if size is None else size.points["cone"]
    else:
        low_tip, high_tip = (min(max(limit, 0.0), d) for limit in (tip.lower, tip.upper))
    low_dog, high_dog = size.dog_length if size is not None and point == "dog" else (0.0, 0.0)
    low = float(point_length(point, d, high_tip, dog_length=low_dog))
    high = max(INCOMPLETE_PITCHES * thread.pitch, float(point_length(point, d, low_tip, dog_length=high_dog)))
    return between(
        min(low, length.upper),
        min(high, length.upper),
        name="point length",
        unit=length.unit,
        origin=INCOMPLETE_TAKEN,
        basis=Basis.STANDARD,
    )


def socket_end_zone(thread: Thread, length: Dimension) -> Dimension:
    """Length at the socket without full thread: from a chamfer of 45° down to the root to half of what the standards
    let be incomplete; never more than the screw.
    """
    low = (thread.nominal - float(root_diameter(thread.nominal, thread.pitch))) / 2
    return between(
        min(low, length.upper),
        min(INCOMPLETE_PITCHES / 2 * thread.pitch, length.upper),
        name="socket end",
        unit=length.unit,
        origin=SOCKET_END_TAKEN,
        basis=Basis.MEMORY,
    )


def fitting_lengths(
    size: ScrewSize,
    point: str,
    thread: Thread,
    outside: float,
    bore: float,
    blade: float,
    incomplete: float,
    socket_end: float,
) -> tuple[float, ...]:
    """Standard lengths that do not stand out on the blade and keep one thread when the tip is flush with the bore."""
    return lengths_that_fit(
        size.lengths(point),
        outside=outside,
        bore=bore,
        blade=min(blade, bore),
        P=thread.pitch,
        incomplete=incomplete,
        socket_end=socket_end,
        clearance=max(bore - blade, 0.0),
    )


def length_zone(
    size: ScrewSize | None, point: str, thread: Thread, outside: float, bore: float, blade: float
) -> Dimension:
    """A standard length for the wall, with its tolerance.

    The longest of `fitting_lengths`; where there is none, the shortest that fills the wall, which then stands out; of
    all lengths the longest where even that is too short.
    """
    if size is None:
        raise InputError(
            f"screw_length: missing: no standard set screw is as large as {thread.designation}; a length such as "
            "'4.0 ± 0.2' is needed",
            key="screw_length",
        )
    missing = INCOMPLETE_PITCHES * thread.pitch
    fit = fitting_lengths(size, point, thread, outside, bore, blade, incomplete=missing, socket_end=missing / 2)
    tip, lengths = float(standing_tip(blade, bore)), size.lengths(point)
    filling = [length for length in lengths if protrusion(tip, length, outside) >= 0]
    chosen = fit[-1] if fit else filling[0] if filling else lengths[-1]
    return length_zone_of(size, chosen, thread)


def length_zone_of(size: ScrewSize, length: float, thread: Thread) -> Dimension:
    """The standard length `length` with its tolerance."""
    half = length_tolerance(length, "metric" if size.metric else "inch")
    source = f"{length_taken(size)}: {size.source}"
    return dimension(length, plus=half, name="screw length", unit=unit(thread.unit), origin=source, basis=size.rests_on)


def socket_bears(size: ScrewSize, material: Material, length: Dimension, point: str) -> Bears | None:
    """The torque that the screw's hexagon socket bears; None where neither standard nor strength is known.

    A short screw has a shallow socket, and bears the less of it the less of the key goes in: the proof torque is tested
    on longer ones only.
    """
    deep = size.depth(length.nominal, point)
    share = UNKNOWN_DEPTH if deep is None else min(deep / size.key_depth[1], 1.0)
    said = "" if share == 1 else f", and {share:.0%} of it by the depth of a short screw's socket (no source)"
    if size.proof_torque is not None and material.name == SOCKET_GRADE:
        tested = size.tested_lengths.get(point)
        of = "" if tested is None or not said else f" of screws from {tested:g} mm"
        return Bears(size.proof_torque * share, f"proof torque{of}, ISO 898-5{said}")
    if material.tensile is None:
        return None
    least, shown = material.tensile.lower, stated_in(None, STRESS, beside=length.unit)
    return Bears(float(key_torque(size.socket, least)) * share, f"rule 0.2 Rm s³ with {shown.show(least, 0)}{said}")


class Key(StrEnum):
    """The key that is had: what it bears at the least."""

    PLAIN = "plain"
    """No more than the standard asks of any key."""
    GOOD = "good"
    """A good maker's, whose tables print when it yields."""


def key_bears(width: float, key: Key, shown: Unit) -> Bears | None:
    """The torque at which a hexagon key may give way; None beyond the sizes of the table.

    width: across flats, mm. key: which one is had. shown: the unit that its words tell a torque in.
    """
    try:
        test, good = key_test_torque(width), key_yield_torque(width)
    except InputError:
        return None
    if key is Key.GOOD:
        least = shown.show(test)
        return Bears(good, f"a good maker's key yields, by a maker's table; ISO 2936, from memory, asks {least} of any")
    return Bears(test, f"least of ISO 2936, from memory, a good maker's key yields at {shown.show(good)}")


def check_key(width: float, size: ScrewSize) -> None:
    """Refuse a key that does not enter the socket, or turns in it."""
    low, high = size.socket_limits
    if not 0.96 * min(low, size.socket) <= width <= max(high, size.socket):
        used = stated_in(width, LENGTH)

        def show(across: float) -> str:
            return f"{used.from_base(across):.4g} {used.text}"

        raise InputError(
            f"key = {show(width)}: the socket of {size.name} is {show(size.socket)} across flats; a key of that "
            "width is needed",
            key="key",
        )
