"""Tolerances and limits of size of Unified inch threads by ASME B1.1: functions on floats or arrays.

Diameters D and lengths of engagement LE are in inches, n is threads per inch, limits are whole ten-thousandths
of an inch. Arguments broadcast; the class is a scalar. P = 1/n.

Two rounding procedures are offered. `"table"` reproduces the printed tables (B1.1-1982 and 1989, as reprinted
in handbooks): the three terms of the pitch diameter tolerance are rounded to six decimals and added, the
tolerances to four decimals, and only then added to sizes that have four decimals. `"worked"` is the newer
one, in which intermediate values keep six decimals and each limit is rounded once, as worked in Machinery's
Handbook 31 p. 624 to 637.

Sources: formulas from memory of ASME B1.1-1989, confirmed by printed rows (tests/published/test_asme_b1_1.py);
where the printed tables depart from them the values are data (`tables/unified_exceptions.csv`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fitcheck.errors import one_of, positive
from fitcheck.tables import number, table
from fitcheck.threads.rounding import Integers, half_even, half_up, share

Procedure = Literal["table", "worked"]
PROCEDURES = ("table", "worked")

PITCH_FACTOR = 0.64951905  # 3/4 H / P, with the eight decimals of the standard
MINOR_FACTOR = 1.08253175  # 5/4 H / P
EIGHTH_FACTOR = 0.10825318  # H/8 / P
UNR_FACTOR = 1.19078493  # 11/8 H / P


@dataclass(frozen=True, slots=True)
class UnifiedClass:
    """A class: multiples (in thousandths) of the 2A pitch diameter tolerance, and the major tolerance factor."""

    name: str
    external: bool
    multiplier: int
    allowance: int
    major_tolerance: float | None


@dataclass(frozen=True, slots=True)
class Sizes:
    """What the limits of a set of threads follow from; arrays of one shape, or floats.

    D: basic major diameter, in, four decimals. n: threads per inch. LE: length of engagement, in.
    D_tolerance: the diameter in the pitch diameter tolerance, in; D itself unless the printed tables take
    sizes in groups. series: index into `SERIES`; UNS has one minor diameter tolerance for all sizes.
    """

    D: Any
    n: Any
    LE: Any
    D_tolerance: Any
    series: Any


SERIES = ("UNC", "UNF", "UNEF", "UN", "UNS")


def pitch_tolerance_terms(D: ArrayLike, LE: ArrayLike, n: ArrayLike) -> Any:
    """Pitch diameter tolerance of class 2A in millionths of an inch, each term rounded to six decimals.

    Td2 = 0.0015 D^(1/3) + 0.0015 LE^(1/2) + 0.015 P^(2/3)
    """
    return (
        half_up(1500 * np.cbrt(positive("D", D, "in")))
        + half_up(1500 * np.sqrt(positive("LE", LE, "in")))
        + half_up(15000 * np.cbrt(1 / np.asarray(positive("n", n))) ** 2)
    )


def pitch_tolerance(D: ArrayLike, LE: ArrayLike, n: ArrayLike) -> Any:
    """The same tolerance in inches, unrounded."""
    P23 = np.cbrt(1 / np.asarray(positive("n", n))) ** 2
    return 0.0015 * np.cbrt(positive("D", D, "in")) + 0.0015 * np.sqrt(positive("LE", LE, "in")) + 0.015 * P23


def minor_tolerance(D: ArrayLike, n: ArrayLike, tolerance_class: str, *, special: ArrayLike = False) -> Any:
    """Tolerance of the internal minor diameter in inches, unrounded.

    1B, 2B from 1/4 in, and UNS of every size: 0.25 P - 0.40 P² for n >= 4, 0.15 P below.
    1B, 2B under 1/4 in: 0.05 P^(2/3) + 0.03 P/D - 0.002, at least the former, at most 0.394 P.
    3B: 0.05 P^(2/3) + 0.03 P/D - 0.002, at most 0.394 P, at least 0.23 P - 1.5 P² (n >= 13) or 0.120 P.
    """
    D, n = np.asarray(positive("D", D, "in")), np.asarray(positive("n", n))
    P = 1 / n
    by_size = np.minimum(0.05 * np.cbrt(P) ** 2 + 0.03 * P / D - 0.002, 0.394 * P)
    if tolerance_class == "3B":
        return np.maximum(by_size, np.where(n >= 13, 0.23 * P - 1.5 * P**2, 0.12 * P))
    plain = np.where(n >= 4, 0.25 * P - 0.40 * P**2, 0.15 * P)
    return np.where((D < 0.25) & ~np.asarray(special), np.maximum(by_size, plain), plain)


def engagement_basis(D: ArrayLike, n: ArrayLike, series: str) -> Any:
    """Length of engagement, in, that the tolerances of a series are based on: D, or 9 P.

    The diameter for UNC, UNF, 4-, 6- and 8-UN and 1-14 UNS, good up to 1.5 D; else nine pitches, good from 5 P to
    15 P.
    """
    D, n = np.asarray(positive("D", D, "in")), np.asarray(positive("n", n))
    return np.where(based_on_diameter(D, n, series), D, 9 / n)


def based_on_diameter(D: ArrayLike, n: ArrayLike, series: str) -> Any:
    """Whether the tolerances of a series are based on an engagement of one diameter; if not, on nine pitches."""
    D, n = np.asarray(D), np.asarray(n)
    found = np.zeros(np.broadcast_shapes(D.shape, n.shape), dtype=bool)
    for tpi, diameter in _by_diameter()[one_of("series", series, SERIES)]:
        here = True if tpi is None else n == tpi
        found |= here if diameter is None else here & (np.abs(D - diameter) < 5e-5)
    return found


def tolerance_diameter(D: ArrayLike) -> Any:
    """Diameter, in, that the printed tables put in the tolerance formula of a standard thread based on 9 P.

    The tables take sizes in groups, each over the mean of its diameter and the one below, up to and including
    the mean of its diameter and the one above (`tables/unified_diameter_groups.csv`). Inferred from print.
    """
    representative, upto = _groups()
    D = np.asarray(positive("D", D, "in"))
    index = np.searchsorted(upto, D, side="left")
    return np.where(index < len(representative) - 1, representative[index], np.maximum(D, representative[-1]))


def external_limits(sizes: Sizes, tolerance_class: str, procedure: str = "table") -> dict[str, Integers]:
    """Limits of size of a screw in 0.0001 in: major and pitch max and min, and the two minor diameters.

    `unr_minor_max` is the largest minor diameter of a UNR thread, the one the tables print; `minor_max` the
    reference minor diameter of a UN thread with a flat root, major max - 1.08253175 P; `hot_rolled_min` the
    least major diameter of unfinished hot-rolled material, by 0.090 P^(2/3).
    """
    at = _class(tolerance_class, external=True)
    D4, P = half_up(10000 * np.asarray(sizes.D)), 1 / np.asarray(sizes.n)
    P23 = np.cbrt(P) ** 2
    assert at.major_tolerance is not None
    if one_of("procedure", procedure, PROCEDURES) == "worked":
        Td2 = pitch_tolerance(sizes.D, sizes.LE, sizes.n)
        es = half_up(10000 * _six(_six(Td2) * at.allowance / 1000))
        major_max = D4 - es
        pitch_max = half_up(major_max - 10000 * _six(PITCH_FACTOR * P))
        return {
            "allowance": es,
            "major_max": major_max,
            "major_min": half_up(major_max - 10000 * _six(at.major_tolerance * P23)),
            "pitch_max": pitch_max,
            "pitch_min": half_up(pitch_max - 10000 * _six(Td2 * at.multiplier / 1000)),
            "minor_max": half_up(major_max - 10000 * _six(MINOR_FACTOR * P)),
            "unr_minor_max": half_up(major_max - 10000 * _six(UNR_FACTOR * P)),
            "hot_rolled_min": half_up(major_max - 10000 * _six(0.090 * P23)),
        }
    terms = pitch_tolerance_terms(sizes.D_tolerance, sizes.LE, sizes.n)
    es = share(terms, at.allowance, 100_000)
    if at.allowance:
        es = _excepted("allowance", sizes, tolerance_class, es)
    tolerance = _excepted("pitch_tolerance", sizes, tolerance_class, share(terms, at.multiplier, 100_000))
    step = _excepted("unr_step", sizes, tolerance_class, half_up(10000 * EIGHTH_FACTOR * P))
    major_max = D4 - es
    pitch_max = half_up(major_max - 10000 * PITCH_FACTOR * P)
    return {
        "allowance": es,
        "major_max": major_max,
        "major_min": major_max - half_up(10000 * at.major_tolerance * P23),
        "pitch_max": pitch_max,
        "pitch_min": pitch_max - tolerance,
        "minor_max": half_up(D4 - 10000 * MINOR_FACTOR * P) - es,
        "unr_minor_max": half_up(D4 - 10000 * MINOR_FACTOR * P) - step - es,
        "hot_rolled_min": major_max - half_up(900 * P23),
    }


def internal_limits(sizes: Sizes, tolerance_class: str, procedure: str = "table") -> dict[str, Integers]:
    """Limits of size of a nut in 0.0001 in: least major, pitch and minor diameter max and min.

    Minor diameters are rounded to the places that `minor_places` says.
    """
    at = _class(tolerance_class, external=False)
    D4, P = half_up(10000 * np.asarray(sizes.D)), 1 / np.asarray(sizes.n)
    TD1 = minor_tolerance(sizes.D, sizes.n, tolerance_class, special=np.equal(sizes.series, SERIES.index("UNS")))
    three = minor_places(sizes.D, tolerance_class) == 3
    if one_of("procedure", procedure, PROCEDURES) == "worked":
        TD2 = _six(pitch_tolerance(sizes.D, sizes.LE, sizes.n) * at.multiplier / 1000)
        pitch_min = half_up(D4 - 10000 * _six(PITCH_FACTOR * P))
        D1 = D4 - 10000 * _six(MINOR_FACTOR * P)
        D1_max = D1 + 10000 * _six(TD1)
        return {
            "major_min": D4,
            "pitch_max": half_up(pitch_min + 10000 * TD2),
            "pitch_min": pitch_min,
            "minor_max": np.where(three, 10 * half_up(D1_max / 10), half_up(D1_max)),
            "minor_min": np.where(three, 10 * half_up(D1 / 10), half_up(D1)),
        }
    terms = pitch_tolerance_terms(sizes.D_tolerance, sizes.LE, sizes.n)
    tolerance = _excepted("pitch_tolerance", sizes, tolerance_class, share(terms, at.multiplier, 100_000))
    pitch_min = half_up(D4 - 10000 * PITCH_FACTOR * P)
    D1 = half_up(D4 - 10000 * MINOR_FACTOR * P)
    D1_max = D1 + half_up(10000 * TD1)
    coarse = np.asarray(sizes.D) >= _THREE_PLACES_FROM
    return {
        "major_min": D4,
        "pitch_max": pitch_min + tolerance,
        "pitch_min": pitch_min,
        "minor_max": np.where(three, half_even(D1_max, 10), D1_max),
        # From #6 up, 3B prints the three-place value with a zero added.
        "minor_min": np.where(coarse, half_even(D1, 10), D1),
    }


_THREE_PLACES_FROM = 0.138  # size #6, in


def minor_places(D: ArrayLike, tolerance_class: str) -> Any:
    """Decimals with which the tables print an internal minor diameter: 3 for 1B and 2B from #6 up, else 4."""
    coarse = np.asarray(D) >= _THREE_PLACES_FROM
    return np.where(coarse & (tolerance_class != "3B"), 3, 4)


@lru_cache(maxsize=1)
def classes() -> dict[str, UnifiedClass]:
    """The six classes by name."""
    columns: dict[str, Callable[[str], Any]] = {"multiplier": int, "allowance": int, "major_tolerance": number}
    return {
        row["class"]: UnifiedClass(
            row["class"], row["external"] == "1", row["multiplier"], row["allowance"], row["major_tolerance"]
        )
        for row in table("unified_classes", columns).rows
    }


def _class(name: str, *, external: bool) -> UnifiedClass:
    kinds = [one.name for one in classes().values() if one.external == external]
    return classes()[one_of("tolerance class", name, kinds)]


def _six(value: Any) -> Any:
    return half_up(np.asarray(value) * 1e6) / 1e6


def _excepted(quantity: str, sizes: Sizes, tolerance_class: str, value: Any) -> Any:
    for D, n, series, only, printed in _exceptions().get(quantity, ()):
        if only and only != tolerance_class:
            continue
        here = np.equal(sizes.n, n) & np.equal(sizes.series, series)
        if D is not None:
            here = here & (np.abs(np.asarray(sizes.D) - D) < 5e-5)
        value = np.where(here, printed, value)
    return value


@lru_cache(maxsize=1)
def _exceptions() -> dict[str, list[tuple[float | None, float, int, str, int]]]:
    found: dict[str, list[tuple[float | None, float, int, str, int]]] = {}
    for row in table("unified_exceptions", {"diameter": number, "tpi": float, "value": float}).rows:
        entry = (row["diameter"], row["tpi"], SERIES.index(row["series"]), row["class"], round(10000 * row["value"]))
        found.setdefault(row["quantity"], []).append(entry)
    return found


@lru_cache(maxsize=1)
def _by_diameter() -> dict[str, list[tuple[float | None, float | None]]]:
    """For each series the (n, D) whose tolerance is based on the diameter; None stands for every one."""
    rows = table("unified_engagement", {"tpi": number, "diameter": number}).rows
    by_diameter = [row for row in rows if row["basis"] == "diameter"]
    return {name: [(row["tpi"], row["diameter"]) for row in by_diameter if row["series"] == name] for name in SERIES}


@lru_cache(maxsize=1)
def _groups() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    columns: dict[str, Callable[[str], Any]] = {"diameter": float, "upto": number}
    rows = table("unified_diameter_groups", columns).rows
    return np.array([row["diameter"] for row in rows]), np.array([row["upto"] for row in rows[:-1]])
