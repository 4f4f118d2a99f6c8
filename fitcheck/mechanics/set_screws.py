"""Hexagon socket set screws: the standard's sizes, lengths and torques, and the torque of key and socket."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from fitcheck import units
from fitcheck.basis import Basis
from fitcheck.errors import InputError, TableError, brief, did_you_mean, included_angle, not_negative, one_of, positive
from fitcheck.mechanics.torque import POINTS
from fitcheck.shown import Shown
from fitcheck.tables import Table, number, table
from fitcheck.units import Number

KEY_FACTOR = 0.2
INCH = 25.4
LBF_INCH = units.unit("in·lbf").scale  # N·m
_SAME = 1e-6  # mm: two lengths of tables are one
INCOMPLETE_PITCHES = 2.0  # thread that may be incomplete at the point (ISO 4026 to 4029, u <= 2P)

_ENDS = {"cone": "flat on the cone"}

Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class ScrewSize(Shown):
    """A standard set screw. Lengths in mm, torques in N·m; None where the standard or the table is silent.

    name: "M4" or "#8". d: major diameter, mm. socket: width across flats, nominal, mm; socket_limits: least and
    greatest, mm. key_depth: least depth of the socket for short and for long screws, mm (inch: of long ones twice).
    short_depths: by point, the lengths too short for that depth and the depth of each, mm; None where no print of it
    was seen (inch only). points: least and greatest diameter of cup, flat, dog and of the flat on a cone, mm.
    dog_length: least and greatest, of the short dog, mm. length_range: shortest and longest usual length by point, mm;
    of an inch screw the shortest with a socket of full depth. proof_torque: the socket must carry it (ISO 898-5, class
    45H), N·m. tested_lengths: shortest length it is tested on by point, mm; {} where none is. seating_torque: usual
    tightening torque of an alloy steel screw, N·m. metric: False for an inch screw. source: of its table. rests_on: the
    kind of that source.
    """

    name: str
    d: float
    socket: float
    socket_limits: Span
    key_depth: Span
    short_depths: Mapping[str, Mapping[float, float | None]]
    points: Mapping[str, Span]
    dog_length: Span
    length_range: Mapping[str, Span]
    proof_torque: float | None
    tested_lengths: Mapping[str, float]
    seating_torque: float | None
    metric: bool
    source: str
    rests_on: Basis

    def __str__(self) -> str:
        """All that is known of it, in its own unit."""
        unit, places = (units.MM, 2) if self.metric else (units.INCH, 4)

        def span(ends: Span) -> str:
            low, high = (f"{unit.from_base(end):.{places}f}" for end in ends)
            return f"{low} to {high} {unit.text}" if low != high else f"{low} {unit.text}"

        short, long = (unit.show(depth, places) for depth in self.key_depth)
        across = f"{unit.show(self.socket, places)} across flats ({span(self.socket_limits)})"
        rows = [
            f"⌀ {unit.show(self.d, places)}, socket {across}",
            f"the key goes in at least {short} of a short screw, {long} of a long one",
            *(f"{_ENDS.get(which, which)}: ⌀ {span(ends)}" for which, ends in self.points.items() if ends[1]),
            *(f"lengths with a {point} point: {span(ends)}" for point, ends in self.length_range.items()),
        ]
        if self.proof_torque is not None:
            rows.append(f"the socket carries {self.proof_torque:.3g} N·m in a test (class 45H)")
        if self.seating_torque is not None:
            rows.append(f"usually tightened to {self.seating_torque:.3g} N·m")
        return "\n  ".join([f"set screw {self.name}", *rows, f"source: {self.source} ({self.rests_on})"])

    def __repr__(self) -> str:
        return f"<set screw {self.name}: ⌀ {self.d:.4g} mm, socket {self.socket:.4g} mm>"

    def depth(self, length: float, point: str = "cup") -> float | None:
        """Least socket depth of a screw, mm; None where no print of it was seen.

        A metric screw is short up to about one diameter; an inch screw below the shortest full length of its point, and
        one between two listed lengths has the depth of the shorter. length: of the screw, mm; raises `InputError` where
        it is not above 0. point: 'cup', 'cone', 'flat' or 'dog'; raises `InputError` for any other.
        """
        length, point = positive("length", length, "mm"), one_of("point", point, POINTS)
        if self.metric:
            return self.key_depth[0] if length <= self.d else self.key_depth[1]
        if length >= self.length_range[point][0] - _SAME:
            return self.key_depth[1]
        below = [depth for short, depth in self.short_depths[point].items() if short <= length + _SAME]
        return below[-1] if below else None

    def lengths(self, point: str) -> tuple[float, ...]:
        """Standard nominal lengths for a point, mm, shortest first, those with a shallow socket too.

        point: 'cup', 'cone', 'flat' or 'dog'; raises `InputError` for any other.
        """
        shortest, longest = self.length_range[one_of("point", point, POINTS)]
        known = standard_lengths("metric" if self.metric else "inch")
        usual = (length for length in known if shortest - _SAME <= length <= longest + _SAME)
        return (*self.short_depths[point], *usual)


def set_screw(name: str) -> ScrewSize:
    """The standard set screw `name`: "M1.6" to "M24" (ISO 4026 to 4029), "#0" to "7/8" (ASME B18.3).

    The size alone names it: a fine-pitch screw has the same socket and points. `TableError` lists the near names.

    >>> set_screw("M4").socket, set_screw("M4").proof_torque
    (2.0, 2.5)
    """
    sizes = _sizes()
    if isinstance(name, str) and name.strip() in sizes:
        return sizes[name.strip()]
    hint = did_you_mean(name, sizes) if isinstance(name, str) else ""
    raise TableError(f"set screw {brief(name)}: one of {', '.join(sizes)} is needed{hint}")


def set_screw_names() -> list[str]:
    """Names that `set_screw` knows.

    >>> set_screw_names()[:4]
    ['M1.6', 'M2', 'M2.5', 'M3']
    """
    return list(_sizes())


@lru_cache(maxsize=2)
def standard_lengths(system: str) -> tuple[float, ...]:
    """Standard nominal lengths of set screws, mm: tables/setscrew_lengths.csv.

    system: 'metric' or 'inch'; raises `InputError` for any other.

    >>> standard_lengths("metric")[:5]
    (2.0, 2.5, 3.0, 4.0, 5.0)
    """
    one_of("system", system, ("metric", "inch"))
    unit = 1.0 if system == "metric" else INCH
    rows = table("setscrew_lengths", {"length": float}).rows
    return tuple(round(row["length"] * unit, 6) for row in rows if row["system"] == system)


def length_tolerance(length: float, system: str) -> float:
    """Half the tolerance zone of a standard length, mm; of the next longer one for a length in between.

    length: mm, above 0 up to the longest of `standard_lengths`. system: 'metric' or 'inch'. Raises `InputError` for any
    other. Source: tables/setscrew_lengths.csv.

    >>> length_tolerance(5.0, "metric")
    0.24
    """
    known = standard_lengths(system)
    length = positive("length", length, "mm")
    if length > known[-1] + 1e-6:
        raise InputError(f"length = {length:.4g} mm: a set screw up to {known[-1]:g} mm is needed")
    unit = 1.0 if system == "metric" else INCH
    rows = [row for row in table("setscrew_lengths", {"tolerance": float}).rows if row["system"] == system]
    at = next(index for index, standard in enumerate(known) if standard >= length - 1e-6)
    return float(rows[at]["tolerance"]) * unit


def point_length(
    kind: str, d: Number, tip: Number, *, dog_length: Number = 0.0, cone_angle: Number = np.pi / 2
) -> Number:
    """Length at the end of the screw that is turned below the thread and holds nothing, mm: geometry [1]_.

    cup, flat: a chamfer of 45° from d to the tip, (d - tip)/2. cone: (d - tip) / (2 tan(cone_angle/2)). dog:
    dog_length and the same chamfer above it. The first threads above it may be incomplete too, up to
    `INCOMPLETE_PITCHES` from the end in all: a safe count takes the greater of the two.

    kind: 'cup', 'cone', 'flat' or 'dog'. d: major diameter, mm. tip: rim, flat or dog diameter, or the flat on the
    cone, mm. dog_length: mm. cone_angle: included, radians. Floats or arrays that broadcast.
    Raises `InputError` for any other kind, a tip wider than the screw, a d not above 0, a tip or dog_length below 0,
    and a cone_angle not between 0 and π.

    References
    ----------
    .. [1] ISO 4026 to 4029: the points, and u <= 2P of incomplete thread.

    Examples
    --------
    >>> print(round(point_length("flat", 4.0, 2.5), 3))
    0.75
    """
    kind = one_of("kind", kind, POINTS)
    d, tip = positive("d", d, "mm"), not_negative("tip", tip, "mm")
    dog_length = not_negative("dog_length", dog_length, "mm")
    if np.any(np.greater(tip, d)):
        raise InputError(f"tip = {np.max(tip):.4g} mm: a tip not wider than the screw of {np.min(d):.4g} mm is needed")
    cone_angle = included_angle("cone_angle", cone_angle)
    chamfer = (d - tip) / 2
    if kind == "cone":
        return chamfer / np.tan(cone_angle / 2)
    return chamfer + dog_length if kind == "dog" else chamfer


def key_torque(s: Number, Rm: Number) -> Number:
    """Torque that a hexagon key carries, N·m: 0.2 Rm s³ [1]_.

    s: width across flats, mm. Rm: tensile strength of the key, MPa (about 2200 for 57 HRC). Floats or arrays that
    broadcast. Raises `InputError` where one is not above 0. A solid hexagon that
    is plastic all through carries √3/6 τ s³ (sand-hill analogy), so the rule takes a shear strength of 0.69 Rm: it is
    a breaking torque, not a working one.

    References
    ----------
    .. [1] A key maker's rule; its printed table in tests/published/test_set_screw_torque.py.

    Examples
    --------
    >>> print(round(key_torque(3.175, 2482.1) / LBF_INCH))  # a key of 1/8 in of 360,000 psi, in lbf·in [1]
    141
    """
    s, Rm = positive("s", s, "mm"), positive("Rm", Rm, "MPa")
    return KEY_FACTOR * Rm * s**3 / 1000


def key_yield_torque(s: float) -> float:
    """Torque at which a good maker's key of width s (mm) yields, N·m, between the printed sizes as s³.

    Valid from 0.711 to 12 mm; `InputError` outside. Source: `tables/setscrew_keys.csv`.

    >>> round(key_yield_torque(2.0), 2)
    2.4
    """
    return _key(s, "yield")


def key_test_torque(s: float) -> float:
    """Torque that the standard asks a key of width s (mm) to bear at the least, N·m, between its sizes as s³ [1]_.

    A plain key need bear no more; a good maker's yields at about 1.2 times this (`key_yield_torque`). Valid from 0.711
    to 12 mm; `InputError` outside. Source: `tables/setscrew_keys.csv`.

    References
    ----------
    .. [1] ISO 2936:2014, test torques: from memory.

    Examples
    --------
    >>> round(key_test_torque(2.0), 2)
    1.9
    """
    return _key(s, "test")


def _key(s: float, column: str) -> float:
    rows = table("setscrew_keys", {"s": float, column: float}).rows
    widths, torques = np.array([row["s"] for row in rows]), np.array([row[column] for row in rows])
    s = positive("s", s, "mm")
    if not widths[0] <= s <= widths[-1]:
        raise InputError(f"s = {s:.4g} mm: a key from {widths[0]:g} to {widths[-1]:g} mm is needed")
    # torque/s³ changes slowly with size, so it is what is interpolated
    return float(np.interp(s, widths, torques / widths**3) * s**3)


def _span(text: str, unit: float = 1.0) -> Span:
    low, high = text.split("-")
    return float(low) * unit, float(high) * unit


def _cell(row: Mapping[str, Any], column: str, unit: float = 1.0) -> float:
    return round(float(row[column]) * unit, 6)


def _optional(text: str, unit: float = 1.0) -> float | None:
    value = number(text)
    return None if value is None else value * unit


@lru_cache(maxsize=1)
def _sizes() -> dict[str, ScrewSize]:
    metric, inch = table("setscrews_metric"), table("setscrews_inch")
    sizes = [_metric(row, metric) for row in metric.rows] + [_inch(row, inch) for row in inch.rows]
    return {size.name: size for size in sizes}


def _metric(row: Mapping[str, Any], read: Table) -> ScrewSize:
    flat = _cell(row, "flat_min"), _cell(row, "flat_max")
    return ScrewSize(
        name=row["thread"],
        d=_cell(row, "d"),
        socket=_cell(row, "s"),
        socket_limits=(_cell(row, "s_min"), _cell(row, "s_max")),
        key_depth=(_cell(row, "t_short"), _cell(row, "t_long")),
        short_depths={point: {} for point in POINTS},
        points={
            "cup": (_cell(row, "cup_min"), _cell(row, "cup_max")),
            "cone": (0.0, _cell(row, "cone_max")),
            "flat": flat,
            "dog": (flat[0], _cell(row, "dog_max")),
        },
        dog_length=(_cell(row, "dog_short_min"), _cell(row, "dog_short_max")),
        length_range={point: _span(row[f"lengths_{point}"]) for point in POINTS},
        proof_torque=_optional(row["proof_torque"]),
        tested_lengths={point: float(row[f"tested_{point}"]) for point in POINTS if row[f"tested_{point}"]},
        seating_torque=_optional(row["seating_torque"]),
        metric=True,
        source=read.source,
        rests_on=read.rests_on,
    )


def _inch(row: Mapping[str, Any], read: Table) -> ScrewSize:
    cup = _cell(row, "cup_min", INCH), _cell(row, "cup_max", INCH)
    depth = _cell(row, "key_engagement", INCH)
    full = {point: _cell(row, f"full_{'cup' if point == 'flat' else point}", INCH) for point in POINTS}
    short = table("setscrews_inch_short", {"length": float, "key_engagement": number}).rows
    shallow = {
        round(one["length"] * INCH, 6): None if one["key_engagement"] is None else one["key_engagement"] * INCH
        for one in short
        if one["size"] == row["size"]
    }
    return ScrewSize(
        name=row["size"],
        d=_cell(row, "d", INCH),
        socket=_cell(row, "s", INCH),
        socket_limits=(_cell(row, "s_min", INCH), _cell(row, "s_max", INCH)),
        key_depth=(depth, depth),
        short_depths={point: shallow if point in ("cup", "flat") else {} for point in POINTS},
        points={
            "cup": cup,
            "cone": (0.0, 0.0),
            "flat": cup,
            "dog": (_cell(row, "dog_min", INCH), _cell(row, "dog_max", INCH)),
        },
        dog_length=(_cell(row, "dog_length_min", INCH), _cell(row, "dog_length_max", INCH)),
        length_range={point: (shortest, 2 * INCH) for point, shortest in full.items()},
        proof_torque=None,
        tested_lengths={},
        seating_torque=_optional(row["seating_torque"], LBF_INCH),
        metric=False,
        source=read.source,
        rests_on=read.rests_on,
    )
