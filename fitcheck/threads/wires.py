"""A thread measured over three wires, as a practitioner has it: notes in, a pitch diameter as a dimension out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from fitcheck import units
from fitcheck.basis import Basis
from fitcheck.errors import InputError
from fitcheck.notation import dim, dim_beside
from fitcheck.shown import Shown
from fitcheck.stack import Dimension, Normal, Sum
from fitcheck.stack.dimension import combine
from fitcheck.threads import resolve
from fitcheck.threads.measuring import (
    best_wire,
    over_wires,
    over_wires_uncertainty,
    pitch_diameter_over_wires,
    pitch_error_effect,
    wire_range,
)
from fitcheck.threads.thread import Thread


@dataclass(frozen=True, repr=False)
class Wires(Shown):
    """The wires a screw is measured over, and what the measurement reads within its limits.

    thread: the screw. best, least, most: diameters of the wire, mm: that which touches at the pitch line, and the
    smallest and largest that will do. reads: the least and the greatest measurement over the best wires, mm.
    """

    thread: Thread
    best: float
    least: float
    most: float
    reads: tuple[float, float]

    def __str__(self) -> str:
        show = units.unit(self.thread.unit).show
        places = 3 if self.thread.unit == "mm" else 4
        best, least, most, low, high = (show(x, places) for x in (self.best, self.least, self.most, *self.reads))
        return f"{self.thread}: wires of {best}, {least} to {most} will do; over the best it reads {low} to {high}"

    __repr__ = __str__


def _screw(thread: Thread | str) -> Thread:
    found = resolve.thread(thread, external=True)
    if not found.external:
        raise InputError(f"thread = {found.designation!r}: a nut is not measured over wires: a screw is needed")
    return found


def wires(thread: Thread | str) -> Wires:
    """The wires to measure a screw over, and what the measurement reads within its limits [1]_.

    thread: a screw, or its designation. Raises `InputError` for a nut and for a text that cannot be read.

    >>> wires("M6x1-6g")
    M6x1-6g: wires of 0.577 mm, 0.505 mm to 1.010 mm will do; over the best it reads 6.080 mm to 6.192 mm

    References
    ----------
    .. [1] Machinery's Handbook 31, p. 2129 and 2130.
    """
    screw = _screw(thread)
    P, pitch = screw.pitch, screw.limits().pitch
    assert pitch.min is not None
    assert pitch.max is not None
    best = float(best_wire(P))
    least, most = (float(x) for x in wire_range(screw.nominal, screw.pitch_diameter, P))
    low, high = (float(over_wires(d2, best, P, starts=screw.starts)) for d2 in (pitch.min, pitch.max))
    return Wires(screw, best, least, most, (low, high))


def pitch_over_wires(thread: Thread | str, over: Any, wire: Any = None) -> Dimension:
    """The pitch diameter of a screw, from a measurement over three wires, as a dimension [1]_ [2]_.

    Its zone is the expanded uncertainty of the measurement and of the wires. It goes to `worn` and to the questions as
    a measured size. thread: the screw, or its designation. over: the measurement, "6.160 measured ± 0.004". wire: the
    diameter of the wires, a note, with its uncertainty or exact; the best wire without. Raises `InputError` for a nut,
    for a wire that does not fit the thread and for a measurement that is no such screw's.

    >>> pitch_over_wires("M6x1-6g", "6.160 measured ± 0.004", "0.577 ± 0.0005")
    <pitch diameter over wires: 5.29346 ± 0.004272 mm, normal>

    References
    ----------
    .. [1] Machinery's Handbook 31, p. 2129 and 2130.
    .. [2] JCGM 100:2008, 5.1.2.
    """
    screw = _screw(thread)
    reading = dim_beside(over, units.unit(screw.unit), name="over", what="a thread")
    found = wires(screw)
    used = (
        dim(found.best, name="wire") if wire is None else dim_beside(wire, reading.unit, name="wire", what="a reading")
    )
    if not found.least <= used.middle <= found.most:
        show = units.unit(screw.unit).show
        raise InputError(
            f"wire = {used}: wires of {show(found.least, 4)} to {show(found.most, 4)} are needed for {screw}"
        )
    d2 = float(pitch_diameter_over_wires(reading.middle, used.middle, screw.pitch, starts=screw.starts))
    if not abs(d2 - screw.pitch_diameter) < screw.pitch:
        raise InputError(
            f"over = {reading}: {found.reads[0]:.4g} mm to {found.reads[1]:.4g} mm is read over such wires on a good "
            f"{screw.designation}"
        )
    U = float(over_wires_uncertainty(reading.half_width, used.half_width, 0.0))
    return Dimension(
        d2, d2 - U, d2 + U, Normal(2.0), "pitch diameter over wires", reading.unit,
        f"{reading} over wires of {used}", Basis.MEASURED,
    )  # fmt: skip


def functional_pitch(thread: Thread | str, pitch: Any, pitch_error: Any) -> Sum:
    """The functional pitch diameter of a thread whose pitch is off: that of the true mate that just goes together.

    A screw with an error δP of its pitch over the engagement acts as if its pitch diameter were larger by |δP| cot 30°,
    a nut as if it were smaller [1]_. thread: a thread or its designation. pitch: the simple pitch diameter, a dimension
    or a note. pitch_error: the error, a note such as "0.01 ± 0.004". Raises `InputError` for one that is below 0
    somewhere in its zone.

    >>> functional_pitch("M6x1-6g", "5.30 measured ± 0.004", "0.010")
    <sum of 2: 5.317 mm, worst case 5.313 mm to 5.322 mm>

    References
    ----------
    .. [1] NBS Handbook H28, from memory: the factor 1.732.
    """
    found = resolve.thread(thread)
    unit = units.unit(found.unit)
    size = dim_beside(pitch, unit, name="pitch", what="a thread")
    error = dim_beside(pitch_error, size.unit, name="pitch_error", what="a pitch diameter")
    if error.lower < 0:
        raise InputError(f"pitch_error = {error}: a length of at least 0 over its whole zone is needed")
    factor = float(pitch_error_effect(1.0))
    return combine([(1.0, size), (factor if found.external else -factor, error)])
