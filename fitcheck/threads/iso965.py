"""Tolerances and limits of size of ISO metric threads by ISO 965-1: functions on floats or arrays.

Diameters and pitches are in mm, tolerances, deviations and limits in whole µm. Arguments broadcast; grade and
position are scalars. The tables of the standard are its formulas, rounded to the preferred numbers R40, with
a few departures; the departures are data (`tables/iso_grade_exceptions.csv`,
`tables/iso_position_exceptions.csv`), each with its evidence.

How the rounding goes: only grade 6 is rounded to R40. Every other grade is the R40 number a fixed count of
places away, because each ratio between grades is itself an R40 number. TD2 and Td2 share one base.

Sources: ISO 965-1:1998 (adopted in JIS B 0209-1:2001); ASME B1.13M clause 6.2 for the rounding; Machinery's
Handbook 27 p. 1794 to 1802 and 31 p. 2025 for formulas and printed tables. The formulas of Td and TD1 are from
memory and confirmed by the printed tables (tests/published/test_iso965.py).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fitcheck.errors import InputError, brief, positive
from fitcheck.tables import number, table
from fitcheck.threads import iso965
from fitcheck.threads.profile import ROUNDED_ROOT, TRIANGLE
from fitcheck.threads.rounding import Integers, half_up

LARGEST = 355.0
"""The standard's largest diameter range ends here, in mm."""

SMALLEST = 0.99
"""The standard's smallest diameter range begins above this, in mm."""

FINEST, COARSEST = 0.05, 15.0
"""Pitches in mm for which the formulas are used; the standard's tables go from 0.2 to 8."""


@dataclass(frozen=True, slots=True)
class Position:
    """A tolerance position: the letter, its deviation constant + slope P in µm, and where it comes from."""

    letter: str
    external: bool
    constant: float | None
    slope: float | None
    pitch_from: float
    status: str


def crest_tolerance(P: ArrayLike, grade: int, *, external: bool) -> Any:
    """Tolerance of the crest diameter in µm: Td of the screw's major, TD1 of the nut's minor diameter.

    Td(6) = 180 P^(2/3) - 3.15 / √P;  TD1(6) = 433 P - 190 P^1.22 up to P = 0.8, 230 P^0.7 from P = 1.

    P: pitch in mm, 0.2 to 8 in the standard's table (other pitches by the same formula).
    grade: 4, 6, 8 for Td; 4 to 8 for TD1. Source: ISO 965-1:1998 clause 13 and Tables 2 and 3.
    """
    return _crest(_pitch(P), grade, external)


def pitch_tolerance(d: ArrayLike, P: ArrayLike, grade: int, *, external: bool) -> Any:
    """Tolerance of the pitch diameter in µm: Td2 of the screw, TD2 of the nut.

    Td2(6) = 90 P^0.4 dm^0.1 with dm the geometric mean of the ends of the diameter range that holds d;
    TD2(6) = 1.32 Td2(6).

    d: basic major diameter in mm, over 0.99 up to 355. P: pitch in mm. grade: 3 to 9 for Td2, 4 to 8 for TD2.
    Source: ISO 965-1:1998 clause 13 and Tables 4 and 5.
    """
    return _pitch_diameter(np.asarray(positive("d", d, "mm")), _pitch(P), grade, external)


def deviation(P: ArrayLike, position: str) -> Any:
    """Fundamental deviation in µm: es (zero or negative) of a screw, EI (zero or positive) of a nut.

    es = -(constant + slope P), EI = constant + slope P, to the nearest R40 number by difference, then to whole
    µm, halves to even: g and G 15 + 11 P, f 30 + 11 P, e 50 + 11 P, h and H 0.
    Source: ISO 965-1:1998 Table 1. Positions a to d are those of the 2013 edition, from memory and
    unconfirmed, and exist for the standard pitches from 1 mm only.
    """
    return _deviation(_pitch(P), position)


def external_limits(d: ArrayLike, P: ArrayLike, grades: tuple[int, int], position: str) -> dict[str, Integers]:
    """Limits of size of a screw in µm: major, pitch and minor, each max and min.

    grades: (pitch diameter, crest). `minor_max` is that of a flat root, d1 + es; `minor_min` that of the
    rounded root with R = 0.125 P, d2 min - 0.616025 P; `root_max` that of the H/6 root, d2 max - 2/3 H.
    Sizes are carried unrounded and rounded once (ISO 965-1:1998; Machinery's Handbook 27 p. 1794).
    """
    d, P = np.asarray(positive("d", d, "mm")), _pitch(P)
    es = _deviation(P, position)
    Td = _crest(P, grades[1], external=True)
    Td2 = _pitch_diameter(d, P, grades[0], external=True)
    d2 = 1000 * (d - 0.75 * TRIANGLE * P) + es
    major_max = half_up(1000 * d + es)
    pitch_max = half_up(d2)
    return {
        "major_max": major_max,
        "major_min": major_max - Td,
        "pitch_max": pitch_max,
        "pitch_min": pitch_max - Td2,
        "minor_max": half_up(1000 * (d - 1.25 * TRIANGLE * P) + es),
        "minor_min": half_up(d2 - Td2 - 1000 * ROUNDED_ROOT * TRIANGLE * P),
        "root_max": half_up(d2 - 1000 * TRIANGLE * 2 / 3 * P),
    }


def internal_limits(d: ArrayLike, P: ArrayLike, grades: tuple[int, int], position: str) -> dict[str, Integers]:
    """Limits of size of a nut in µm: least major diameter, and pitch and minor diameter, max and min.

    grades: (pitch diameter, crest). The standard sets no largest major diameter.
    Source: ISO 965-1:1998; Machinery's Handbook 27 p. 1794.
    """
    d, P = np.asarray(positive("d", d, "mm")), _pitch(P)
    EI = _deviation(P, position)
    TD1 = _crest(P, grades[1], external=False)
    TD2 = _pitch_diameter(d, P, grades[0], external=False)
    pitch_min = half_up(1000 * (d - 0.75 * TRIANGLE * P) + EI)
    minor_min = half_up(1000 * (d - 1.25 * TRIANGLE * P) + EI)
    return {
        "major_min": half_up(1000 * d + EI) + 0 * pitch_min,
        "pitch_max": pitch_min + TD2,
        "pitch_min": pitch_min,
        "minor_max": minor_min + TD1,
        "minor_min": minor_min,
    }


def engagement_group_N(d: float, P: float) -> tuple[float, float] | None:
    """Least and greatest length of thread engagement of group N in mm; None where the table is blank.

    Source: ISO 965-1:1998 Table 6 (data; the approximate formulas of the standard do not reproduce it).
    """
    index = bisect_left(_bounds_list(), d)
    return _engagement().get((index, round(P * _PITCH_STEPS)))


def tabulated(d: ArrayLike, P: ArrayLike, grades: tuple[int, int], position: str) -> NDArray[np.bool_]:
    """Whether the standard's tables fill every cell that the limits of a thread rest on; arrays broadcast.

    grades: (pitch diameter, crest). What is not tabulated is computed by the same formulas.
    """
    return np.asarray(combined(d, P) & filled(P, grades, position))


def combined(d: ArrayLike, P: ArrayLike) -> NDArray[np.bool_]:
    """Whether the standard's tables of pitch diameter tolerance and engagement combine the diameter with the pitch."""
    d, P = np.asarray(d, dtype=float), np.asarray(P, dtype=float)
    cells, asked = _engagement_cells(), np.searchsorted(_bounds(), d) * _CELL + np.rint(P * _PITCH_STEPS)
    return np.asarray(cells[np.minimum(np.searchsorted(cells, asked), cells.size - 1)] == asked)


def filled(P: ArrayLike, grades: tuple[int, int], position: str) -> NDArray[np.bool_]:
    """Whether the standard's tables have the grades and the position of a class for the pitch."""
    P, at = np.asarray(P, dtype=float), positions()[position]
    found = at.pitch_from <= P + 1e-9
    for quantity, grade in zip(("Td2", "Td") if at.external else ("TD2", "TD1"), grades, strict=True):
        found &= _filled(quantity, P, grade)
    return found


def untabulated(d: float, P: float, grades: tuple[int, int], position: str) -> tuple[str, ...]:
    """What of a thread's tolerances stands in no cell of the standard's tables, and so is by formula only."""
    external = positions()[position].external
    names = ("Td2", "Td") if external else ("TD2", "TD1")
    missing = []
    for quantity, grade in zip(names, grades, strict=True):
        if not _filled(quantity, np.asarray(P), grade):
            missing.append(f"{quantity} of grade {grade} at pitch {P:g}")
    if not missing and engagement_group_N(d, P) is None:
        missing.append(f"{names[0]} at diameter {d:g} with pitch {P:g}")
    if positions()[position].pitch_from > P + 1e-9:
        missing.append(f"position {position} at pitch {P:g}")
    return tuple(f"{what} stands in no table of ISO 965-1: by its formula" for what in missing)


@lru_cache(maxsize=1)
def positions() -> dict[str, Position]:
    """Every tolerance position offered, by its letter."""
    rows = table("iso_positions", {"constant": number, "slope": number, "pitch_from": float}).rows
    return {
        row["position"]: Position(
            row["position"], row["external"] == "1", row["constant"], row["slope"], row["pitch_from"], row["status"]
        )
        for row in rows
    }


@lru_cache(maxsize=1)
def grades() -> dict[str, dict[int, int]]:
    """The grades of each quantity (Td, Td2, TD1, TD2) and their R40 places from the base of grade 6."""
    found: dict[str, dict[int, int]] = {}
    for row in table("iso_grades", {"grade": int, "places": int}).rows:
        found.setdefault(row["quantity"], {})[row["grade"]] = row["places"]
    return found


def _deviation(P: NDArray[np.float64], position: str) -> Any:
    at = positions().get(position)
    if at is None:
        raise InputError(f"tolerance position {brief(position)}: one of {', '.join(positions())} is needed")
    if at.constant is None or at.slope is None:
        size = np.full(P.shape, -1, dtype=np.int64)
    elif at.constant == 0:
        size = np.zeros(P.shape, dtype=np.int64)
    else:
        numbers, _, mean = _r40()
        size = np.rint(numbers[np.searchsorted(mean, at.constant + at.slope * P)]).astype(np.int64)
    for pitch, value in _position_exceptions().get(position.lower() if position in "GFE" else position, ()):
        size = np.where(_same(P, pitch), value, size)
    if np.any(size < 0):
        missing = float(P[size < 0].flat[0])
        raise InputError(
            f"tolerance position {brief(position)} with pitch {missing:g}: only standard pitches from 1 mm have it"
        )
    return -size if at.external else size


def _crest(P: NDArray[np.float64], grade: int, external: bool) -> Any:
    if external:
        return _graded("Td", 180 * P ** (2 / 3) - 3.15 / np.sqrt(P), 0.0, P, grade)
    # Between the two formulas, for pitches of no standard, they meet at about P = 0.9.
    fine = 433 * P - 190 * P**1.22
    return _graded("TD1", np.where(P < 0.9, fine, 230 * P**0.7), 0.0, P, grade)


def _pitch_diameter(d: NDArray[np.float64], P: NDArray[np.float64], grade: int, external: bool) -> Any:
    lower, upper = _range(d)
    formula = 90 * P**0.4 * (lower * upper) ** 0.05
    return _graded("Td2" if external else "TD2", formula, lower, P, grade)


def _graded(quantity: str, formula: Any, lower: Any, P: Any, grade: int) -> Any:
    """The tolerance of `grade` from the grade 6 `formula`; `lower` tells the diameter range apart."""
    places = grades()[quantity]
    if grade not in places:
        raise InputError(f"grade {brief(grade)} of {quantity}: one of {', '.join(map(str, places))} is needed")
    numbers, geometric, arithmetic = _r40()
    base = np.searchsorted(arithmetic if quantity == "Td" else geometric, formula)
    for over, pitch, index, _ in _grade_exceptions().get((quantity, 6), ()):
        base = np.where(_same(P, pitch) & (lower == over), index, base)
    tolerance = np.rint(numbers[base + places[grade]]).astype(np.int64)
    for over, pitch, _, value in _grade_exceptions().get((quantity, grade), ()) if grade != 6 else ():
        tolerance = np.where(_same(P, pitch) & (lower == over), value, tolerance)
    return tolerance


def _range(d: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    bounds = _bounds()
    index = np.searchsorted(bounds, d, side="left")
    if np.any((index == 0) | (index == len(bounds))):
        wrong = float(d[(index == 0) | (index == len(bounds))].flat[0])
        raise InputError(f"diameter d = {wrong:g} mm: ISO 965-1 covers diameters over {SMALLEST} up to {LARGEST:g} mm")
    return bounds[index - 1], bounds[index]


def _filled(quantity: str, P: NDArray[np.float64], grade: int) -> NDArray[np.bool_]:
    filled = np.zeros(P.shape, dtype=bool)
    for finest, coarsest, first, last in _coverage()[quantity]:
        if first <= grade <= last:
            filled |= (finest - 1e-9 <= P) & (coarsest + 1e-9 >= P)
    return filled


def _pitch(P: ArrayLike) -> NDArray[np.float64]:
    P = np.asarray(positive("P", P, "mm"))
    if np.any((P < FINEST) | (P > COARSEST)):
        wrong = float(P[(P < FINEST) | (P > COARSEST)].flat[0])
        raise InputError(f"pitch P = {wrong:g} mm: {FINEST:g} mm to {COARSEST:g} mm is accepted")
    return P


def _same(P: Any, pitch: float) -> Any:
    return np.abs(P - pitch) < 1e-9


@lru_cache(maxsize=1)
def _bounds() -> NDArray[np.float64]:
    rows = table("iso_ranges", {"over": float, "upto": float}).rows
    return np.array([row["over"] for row in rows] + [rows[-1]["upto"]])


@lru_cache(maxsize=1)
def _r40() -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """R40 from 0.1 to 10 000, and the borders between neighbours by ratio and by difference."""
    decade = [round(100 * float(row["value"])) for row in table("iso_r40").rows]
    values = np.array([value * 10**k / 1000 for k in range(5) for value in decade])
    borders = np.sqrt(values[:-1] * values[1:]), (values[:-1] + values[1:]) / 2
    return values, *borders


@lru_cache(maxsize=1)
def _grade_exceptions() -> dict[tuple[str, int], list[tuple[float, float, int, int]]]:
    """By quantity and grade: (lower end of the range or 0, pitch, index in R40, value in µm)."""
    values = _r40()[0]
    columns: dict[str, Callable[[str], Any]] = {"over": number, "pitch": float, "grade": int, "value": int}
    found: dict[tuple[str, int], list[tuple[float, float, int, int]]] = {}
    for row in table("iso_grade_exceptions", columns).rows:
        index = int(np.argmin(np.abs(values - row["value"])))
        for quantity in {"Td2": ("Td2", "TD2")}.get(row["quantity"], (row["quantity"],)):
            entry = (row["over"] or 0.0, row["pitch"], index, row["value"])
            found.setdefault((quantity, row["grade"]), []).append(entry)
    return found


@lru_cache(maxsize=1)
def _position_exceptions() -> dict[str, list[tuple[float, int]]]:
    found: dict[str, list[tuple[float, int]]] = {}
    for row in table("iso_position_exceptions", {"pitch": float, "value": int}).rows:
        found.setdefault(row["position"], []).append((row["pitch"], row["value"]))
    return found


@lru_cache(maxsize=1)
def _coverage() -> dict[str, list[tuple[float, float, int, int]]]:
    columns: dict[str, Callable[[str], Any]] = {
        "pitch_from": float,
        "pitch_upto": float,
        "grade_from": int,
        "grade_upto": int,
    }
    found: dict[str, list[tuple[float, float, int, int]]] = {}
    for row in table("iso_coverage", columns).rows:
        span = (row["pitch_from"], row["pitch_upto"], row["grade_from"], row["grade_upto"])
        found.setdefault(row["quantity"], []).append(span)
    return found


@lru_cache(maxsize=1)
def _bounds_list() -> list[float]:
    return list(map(float, _bounds()))


# Pitches are told apart to a nanometre, so that one reckoned from another unit is still found in a table.
_PITCH_STEPS = 1_000_000
_CELL = 100 * _PITCH_STEPS


@lru_cache(maxsize=1)
def _engagement() -> dict[tuple[int, int], tuple[float, float]]:
    """Lengths of engagement of group N by (index of the upper end of the diameter range, pitch in nm)."""
    names = ("over", "upto", "pitch", "lN_min", "lN_max")
    columns: dict[str, Callable[[str], Any]] = dict.fromkeys(names, float)
    return {
        (bisect_left(_bounds_list(), row["upto"]), round(row["pitch"] * _PITCH_STEPS)): (row["lN_min"], row["lN_max"])
        for row in table("iso_engagement", columns).rows
    }


@lru_cache(maxsize=1)
def _engagement_cells() -> NDArray[np.float64]:
    """The cells of the table of engagement that are filled, ascending."""
    return np.array(sorted(index * _CELL + pitch for index, pitch in _engagement()), dtype=float)


class MetricClass(NamedTuple):
    """A class as its parts: canonical name, gender, (pitch diameter grade, crest grade), position, its standing."""

    name: str
    external: bool
    grades: tuple[int, int]
    letter: str
    status: str


@lru_cache(maxsize=512)
def read_metric_class(name: str) -> MetricClass | str:
    """A class such as 6g or 5H6H as its parts, or what is wrong with it, to follow its name in a message."""
    letters = [one for one in name if one.isalpha()]
    digits = "".join(one if one.isdigit() else " " for one in name).split()
    if not letters or len(letters) != len(digits) or name != "".join(map("".join, zip(digits, letters, strict=True))):
        return "is none of ISO 965-1: one such as 6g or 5H6H is accepted"
    allowed = iso965.positions()
    for letter in letters:
        if letter not in allowed:
            return f"has no tolerance position {letter!r}: {_letters()} are accepted"
    if len(set(letters)) > 1:
        return f"mixes positions {letters[0]} and {letters[1]}: both parts need one letter"
    at = allowed[letters[0]]
    grades = (int(digits[0]), int(digits[-1]))
    for grade, quantity in zip(grades, ("Td2", "Td") if at.external else ("TD2", "TD1"), strict=True):
        known = iso965.grades()[quantity]
        if grade not in known:
            which = "pitch" if quantity.endswith("2") else "crest"
            kind = "screws" if at.external else "nuts"
            return f"has no grade {grade} for the {which} diameter: {kind} have {', '.join(map(str, known))}"
    one, other = (f"{grade}{at.letter}" for grade in grades)
    return MetricClass(one if one == other else one + other, at.external, grades, at.letter, at.status)


def _letters() -> str:
    # Positions with a longer name are national ones that no designation can state.
    outer = [one for one, at in iso965.positions().items() if at.external and len(one) == 1]
    inner = [one for one, at in iso965.positions().items() if not at.external]
    return f"{', '.join(outer)} for screws and {', '.join(inner)} for nuts"
