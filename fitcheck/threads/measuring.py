"""Measuring threads: over wires, the functional diameter that pitch and angle errors make, and whether a measured size
lies inside its limits.

Plain functions on floats or arrays. Lengths in one unit, angles in radians; arguments broadcast.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from fitcheck import units
from fitcheck.errors import InputError, UnitError, brief, finite, one_of, positive
from fitcheck.expected import flag
from fitcheck.keywords import keywords_named
from fitcheck.shown import Shown, ShownTable
from fitcheck.stack import Dimension, conformance, guard_band, verdict
from fitcheck.stack.conformity import UNDECIDED
from fitcheck.threads import resolve
from fitcheck.threads.profile import HALF_ANGLE, TRIANGLE
from fitcheck.threads.thread import DIAMETERS, Size, SizedThread, Thread, length
from fitcheck.units import Number


def best_wire(P: Number) -> Number:
    """Diameter of the wire that touches the flanks at the pitch line, P / (2 cos 30°) = 0.57735 P.

    An error of the flank angle does not show in a measurement over such wires. Source: Machinery's Handbook 31
    p. 2129; US Army Ordnance course OD1645 p. 124 (0.57735 / n).
    """
    P = positive("P", P)
    wire: Number = P / (2 * math.cos(HALF_ANGLE))
    return wire


def wire_range(d: Number, d2: Number, P: Number) -> tuple[Number, Number]:
    """Smallest and largest wire that measures a screw of major diameter d and pitch diameter d2.

    The smallest still stands out of the thread (the reading exceeds d); the largest touches the flanks at the
    crest. Geometry of the 60° profile without lead angle: c = (d - d2)/2 is the height of the crest over the
    pitch line; a wire w has its centre w - P cos 30°/2 above it and touches w/2 sin 30° lower.
    """
    d, d2, P = positive("d", d), positive("d2", d2), positive("P", P)
    crest = (d - d2) / 2
    if np.any(np.less_equal(crest, 0)):
        raise InputError("d and d2: the major diameter must exceed the pitch diameter")
    middle = P / 2 / math.tan(HALF_ANGLE) / 2
    smallest: Number = (crest + middle) / 1.5
    largest: Number = (crest + middle) / 0.75
    return smallest, largest


def lead_correction(w: Number, P: Number, d2: Number, *, starts: int = 1) -> Number:
    """What the lead angle adds to a measurement over wires: c = (w/2) tan²λ cos α cot α, with α = 30°.

    λ is the lead angle at d2. It is the first term of the exact expression, good while tan λ is small: for
    single-start standard threads it is a few micrometres at most. Source: from memory of ASME B1.2 and NBS
    Handbook H28; checked against the wire laid into a numerical helicoid in the tests.
    """
    w, P, d2 = positive("w", w), positive("P", P), positive("d2", d2)
    tangent = starts * P / (math.pi * d2)
    correction: Number = w / 2 * tangent**2 * math.cos(HALF_ANGLE) / math.tan(HALF_ANGLE)
    return correction


def over_wires(d2: Number, w: Number, P: Number, *, starts: int = 1) -> Number:
    """Measurement M over three wires of diameter w on a screw of pitch diameter d2.

    M = d2 + w (1 + 1/sin α) - (P/2) cot α + c = d2 + 3 w - 0.866025 P + c, c of `lead_correction`.
    Source: Machinery's Handbook 31 p. 2129 and 2130 (without c).
    """
    d2, w, P = positive("d2", d2), positive("w", w), positive("P", P)
    M: Number = d2 + 3 * w - TRIANGLE * P + lead_correction(w, P, d2, starts=starts)
    return M


def pitch_diameter_over_wires(M: Number, w: Number, P: Number, *, starts: int = 1) -> Number:
    """Pitch diameter from a measurement over three wires, d2 = M - 3 w + 0.866025 P - c.

    c depends on d2 itself, so the equation is solved by repetition; two rounds leave less than 1e-9 of d2.
    Raises `InputError` if M is too small for wires of this size.
    """
    M, w, P = positive("M", M), positive("w", w), positive("P", P)
    d2: Number = M - 3 * w + TRIANGLE * P
    if np.any(np.less_equal(d2, 0)):
        raise InputError(f"M = {M}: too small a measurement over wires of {w} for a pitch of {P}")
    plain = d2
    for _ in range(6):
        d2 = plain - lead_correction(w, P, d2, starts=starts)
    return d2


def over_wires_uncertainty(U_M: Number, U_w: Number, U_P: Number) -> Number:
    """Expanded uncertainty of d2 from those of the measurement, the wires (alike) and the pitch, same k.

    U² = U_M² + (3 U_w)² + ((√3/2) U_P)²: the derivatives of M - 3 w + 0.866025 P, the errors independent and the
    three wires from one set, so that they err together. Law of propagation, JCGM 100:2008.
    """
    square: Number = finite("U_M", U_M) ** 2 + (3 * finite("U_w", U_w)) ** 2 + (TRIANGLE * finite("U_P", U_P)) ** 2
    root: Number = np.sqrt(square)
    return root


def pitch_error_effect(pitch_error: Number) -> Number:
    """Pitch diameter that a pitch error uses up, f_p = |δP| cot 30° = 1.732 |δP|.

    δP: the greatest error between any two threads within the engagement. Source: geometry of the 60° profile;
    the factor 1.732 is in every handbook of thread gauging (from memory of NBS Handbook H28).
    """
    effect: Number = np.abs(finite("pitch_error", pitch_error)) / math.tan(HALF_ANGLE)
    return effect


def angle_error_effect(P: Number, errors: tuple[Number, Number], *, external: bool = True) -> Number:
    """Pitch diameter that errors of the two flank angles use up, f_α.

    errors: departures of the two flank angles from 30°, radians. A screw flank that is too blunt (positive)
    touches the mating thread at the nut's crest, H/4 below the pitch line; one too sharp (negative) at its own
    crest, 3/8 H above. On a nut it is the other way about. For each flank the axial departure is
    h |tan(30° + δ) - tan 30°|, and f_α = (sum of both) cot 30°. For small errors this is
    0.073 P (k1 |δ1| + k2 |δ2|) µm with δ in minutes, P in mm and k = 2 or 3, as in gauging practice (from memory).
    """
    P = positive("P", P)
    total: Number = 0.0
    for error in errors:
        error = finite("angle error", error)
        if np.any(np.abs(error) >= HALF_ANGLE):
            raise InputError(f"angle error = {error}: less than {HALF_ANGLE:.3f} rad (30°) is needed")
        inner = np.greater(error, 0) if external else np.less(error, 0)
        height = np.where(inner, 0.25, 0.375) * TRIANGLE * P
        total = total + height * np.abs(np.tan(HALF_ANGLE + error) - math.tan(HALF_ANGLE))
    effect: Number = total / math.tan(HALF_ANGLE)
    return effect


def functional_diameter(
    d2: Number,
    P: Number,
    *,
    pitch_error: Number = 0.0,
    angle_errors: tuple[Number, Number] = (0.0, 0.0),
    external: bool = True,
) -> Number:
    """Functional (virtual) pitch diameter: the pitch diameter of the perfect mating thread that just fits.

    A screw: d2 + f_p + f_α; a nut: D2 - f_p - f_α. See `pitch_error_effect` and `angle_error_effect`.
    """
    used = pitch_error_effect(pitch_error) + angle_error_effect(P, angle_errors, external=external)
    functional: Number = positive("d2", d2) + (used if external else -used)
    return functional


@dataclass(frozen=True, slots=True)
class Decision(Shown):
    """What a measurement proves.

    measured: the reading, mm. lower: the lower limit, mm, and upper: the upper one, mm; None for an open side.
    unit: "mm" or "in", for display. verdict: "conforms", "does not conform" or "cannot be decided". guard: how far from
    a limit the reading must lie to prove either, mm. probability_inside: that the true size lies within the limits, for
    a normal error of standard uncertainty U / k. needed: the largest expanded uncertainty with which this same reading
    would have decided it; 0 if the reading lies on a limit.
    """

    verdict: str
    measured: float
    U: float
    lower: float | None
    upper: float | None
    guard: float
    probability_inside: float
    needed: float
    unit: str = "mm"

    @property
    def risk(self) -> float:
        """Probability of being wrong if the part is taken for what the reading says, in or out."""
        within = (self.lower is None or self.measured >= self.lower) and (
            self.upper is None or self.measured <= self.upper
        )
        return 1 - self.probability_inside if within else self.probability_inside

    def _table(self) -> ShownTable:
        """What a notebook shows: the numbers in the unit of the thread."""
        given = {"reading": self.measured, "U": self.U, "lower limit": self.lower, "upper limit": self.upper}
        sizes = [(name, "open" if x is None else f"{length(x, self.unit)} {self.unit}") for name, x in given.items()]
        return ShownTable(self.verdict, [*sizes, ("probability inside", f"{self.probability_inside:.3g}")])

    def __repr__(self) -> str:
        return f"<{self}>"

    def __str__(self) -> str:
        def show(value: float | None) -> str:
            return "open" if value is None else f"{length(value, self.unit)} {self.unit}"

        head = f"{show(self.measured)} with U = {show(self.U)} against {show(self.lower)} to {show(self.upper)}"
        head += f": {self.verdict}"
        if self.verdict == UNDECIDED:
            head += f" with this instrument (U of at most {show(self.needed)} is needed)"
        return f"{head}; the risk in going by the reading is {self.risk:.2%}."


@keywords_named
def decide(
    measured: Any,
    U: Any,
    lower: Any,
    upper: Any,
    *,
    k: float = 2.0,
    unit: str = "mm",
    whole_U: bool = False,
) -> Decision:
    """Decide by ISO 14253-1 whether a size conforms, all in mm, or all with their unit [1]_.

    Parameters
    ----------
    measured : the reading, mm
    U : its expanded uncertainty, mm
    k : the coverage factor of U, a number
    lower, upper : the limits, mm; None for an open side
    unit : "mm" or "in", for display
    whole_U : keep the whole U from a limit (editions of 1998 and 2013) instead of 1.65 U / k

    The rule is that of `fitcheck.stack.verdict`, which see. Raises `InputError` for U or k not above 0, for no limit,
    and for limits that leave no room.

    References
    ----------
    .. [1] ISO 14253-1:2017, decision rules (default rule, from memory).

    Examples
    --------
    >>> print(decide(5.79, 0.02, 5.794, 5.974))
    5.790 mm with U = 0.020 mm against 5.794 mm to 5.974 mm: cannot be decided with this instrument (U of at most \
0.005 mm is needed); the risk in going by the reading is 34.46%.
    """
    given = {"measured": measured, "U": U, "lower": lower, "upper": upper}
    open_sides = [key for key in ("lower", "upper") if given[key] is None]
    read = {key: units.read_stated(x, units.LENGTH, key) for key, x in given.items() if key not in open_sides}
    units.refuse_mixed("decide", {key: used for key, (_, used) in read.items()}, given)
    y, U, k = read["measured"][0], positive("U", read["U"][0], "mm"), positive("k", k, one=True)
    lower, upper = (read[key][0] if key in read else None for key in ("lower", "upper"))
    u = U / k
    guard = U if flag("whole_U", whole_U) else guard_band(u)
    found = verdict(y, u, lower=lower, upper=upper, guard=guard)
    probability = conformance(y, u, lower=lower, upper=upper)
    apart = min(abs(y - limit) for limit in (lower, upper) if limit is not None)
    return Decision(found, float(y), float(U), lower, upper, guard, probability, float(apart * U / guard), unit)


@keywords_named
def decide_size(thread: Thread | str, which: str, measured: str | float, U: str | float, *, k: float = 2.0) -> Decision:
    """Decide on the major, pitch or minor diameter of a thread against its standard limits, as `decide` does [1]_.

    thread: a thread or its designation. which: "major", "pitch" or "minor". measured, U: the reading and its expanded
    uncertainty, texts with their unit ("0.2458 in") or quantities; of a metric thread also numbers, mm. k: the coverage
    factor of U. The pitch diameter decides on the functional size only if it was measured as such (gauge, or
    `functional_diameter`).
    Raises `InputError` for a diameter that the standard does not limit, for a number without unit on a Unified thread,
    and what `decide` and `thread` raise.

    References
    ----------
    .. [1] ISO 14253-1:2017, decision rules (default rule, from memory).

    Examples
    --------
    >>> decide_size("M6x1-6g", "pitch", 5.33, 0.01).verdict
    'cannot be decided'
    """
    thread = resolve.thread(thread)
    size: Size = getattr(thread.limits(), one_of("diameter", which, DIAMETERS))
    if size.min is None and size.max is None:
        raise InputError(f"{thread}: {thread.standard} sets no limit to the {which} diameter")
    y, used = units.read_stated(measured, units.LENGTH, f"{which} diameter")
    spread, used_U = units.read_stated(U, units.LENGTH, "U")
    units.refuse_mixed(f"{which} diameter", {"measured": used, "U": used_U}, {"measured": measured, "U": U})
    if used is None and thread.unit == "in":
        raise UnitError(
            f"{which} diameter = {y:g} names no unit, and the limits of {thread} are in inches: write it with its "
            f"unit, for example '{y:g} in'"
        )
    limit = size.max if size.max is not None else size.min
    if used is None and limit is not None and not 0.5 < y / limit < 2:
        raise UnitError(
            f"{which} diameter = {y:g} names no unit and cannot be meant in mm, as that of {thread} is about "
            f"{limit:.4g} mm: write it with its unit, for example '{y:g} in'"
        )
    return decide(y, spread, size.min, size.max, k=k, unit=thread.unit)


def worn(thread: Thread | str, **measured: Dimension) -> SizedThread:
    """A measured, worn thread: the sizes given replace the standard limits, and the others stay.

    thread: a thread or its designation. measured: `major`, `pitch`, `minor` as dimensions, for example
    `major=dim("5.71 measured ± 0.02")`; both ends of the interval are kept. The result makes a pair like any thread,
    and its sizes go to the shear areas of `fitcheck.mechanics`, so that both play and strength that remain can be
    asked for. Raises `InputError` for any other diameter and for a size that is no dimension.

    >>> import fitcheck as fc
    >>> crest = worn("M6x1-6g", major=fc.dim("5.71 measured ± 0.02")).major
    >>> round(crest.max, 3), round(crest.min, 3)
    (5.73, 5.69)
    """
    thread = resolve.thread(thread)
    limits = thread.limits()
    sizes = {which: getattr(limits, which) for which in DIAMETERS}
    for which, found in measured.items():
        one_of("diameter", which, DIAMETERS)
        if not isinstance(found, Dimension):
            raise InputError(
                f"{which} = {brief(found)}: a dimension is needed, for example dim('5.71 measured ± 0.02')"
            )
        sizes[which] = Size(found.upper, found.lower)
    return SizedThread(thread, **sizes, note="as measured", found=measured)
