"""Standard tolerances: how wide the tolerance of a grade is (ISO 286-1:2010, Table 1)."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from fitcheck.basis import Basis
from fitcheck.errors import TableError, brief, finite
from fitcheck.fits.classes import GRADES
from fitcheck.tables import number, table
from fitcheck.units import FloatArray, Number

LARGEST = 500.0
"""The largest nominal size held here, mm."""


@dataclass(frozen=True, slots=True)
class SteppedTable:
    """Columns of values by steps of nominal size; NaN where the standard gives none."""

    name: str
    over: FloatArray
    upto_incl: FloatArray
    columns: Mapping[str, FloatArray]

    def step(self, nominal: Number) -> Any:
        """The index of the step that holds each size: over the lower bound, up to and including the upper."""
        return np.searchsorted(self.upto_incl, checked_size(nominal), side="left")


@lru_cache(maxsize=8)
def stepped(name: str) -> SteppedTable:
    """The table `tables/NAME.csv` with columns `over`, `upto_incl` and one column a symbol."""
    symbols = [column for column in table(name).rows[0] if column not in ("over", "upto_incl")]
    rows = table(name, dict.fromkeys(("over", "upto_incl", *symbols), number)).rows
    values = {column: np.array([row[column] for row in rows], dtype=float) for column in rows[0]}
    over, upto_incl = values.pop("over"), values.pop("upto_incl")
    return SteppedTable(name, over, upto_incl, values)


def checked_size(nominal: Number) -> Any:
    """`nominal` in mm, rounded to 1e-9 mm so that a size that came out of arithmetic stays in its step.

    Raises `TableError` for a size that is not over 0 up to and including 500 mm, `InputError` for no number.
    """
    size = np.round(np.asarray(finite("nominal size", nominal, "mm")), 9)
    outside = (size <= 0) | (size > LARGEST)
    if np.any(outside):
        bad = float(size[outside].flat[0])
        raise TableError(
            f"nominal size {bad:g} mm: ISO 286-1 is held for sizes over 0 mm up to and including {LARGEST:g} mm"
        )
    return size


def standard_tolerance(grade: str, nominal: Number) -> Number:
    """Standard tolerance IT of a grade, mm, as the table has it: read, not computed [1]_.

    grade: "IT01", "IT0", "IT1" to "IT18". nominal: size over 0 up to 500 mm; a float or an array. IT14 and coarser are
    not for sizes up to and including 1 mm (footnote to Table 1, from memory).
    Raises `TableError` for any other grade or size, `InputError` for a size that is no number.

    References
    ----------
    .. [1] ISO 286-1:2010, Table 1.

    Examples
    --------
    >>> standard_tolerance("IT7", 25.0)
    0.021
    """
    return in_mm(tolerance_um(grade, nominal))


def tolerance_um(grade: str, nominal: Number) -> Any:
    """Like `standard_tolerance`, in µm, the unit of the table."""
    rank = _rank(grade)
    grades = stepped("iso286_grades")
    step = grades.step(nominal)
    size = checked_size(nominal)
    if rank >= 14 and np.any(size <= 1):
        bad = float(size[size <= 1].flat[0])
        raise TableError(f"{grade} at {bad:g} mm: for sizes up to and including 1 mm IT13 or finer is used")
    return grades.columns[grade][step]


def size_mean(nominal: Number) -> Number:
    """Geometric mean D of the step of Table 1 that holds each nominal size, mm: D = sqrt(D1 D2) [1]_.

    D1 and D2 are the bounds of the step; for the first step, up to 3 mm, D1 = 1 mm. The rules for grades and deviations
    are in D. nominal: size over 0 up to 500 mm; a float or an array. Raises `TableError` for any other size,
    `InputError` for no number.

    References
    ----------
    .. [1] ISO 286-1:1988, annex A, from memory.

    Examples
    --------
    >>> round(size_mean(25.0), 3)
    23.238
    """
    grades = stepped("iso286_grades")
    step = grades.step(nominal)
    lower = np.where(grades.over[step] > 0, grades.over[step], 1.0)
    return _plain(np.sqrt(lower * grades.upto_incl[step]))


def tolerance_factor(D: Number) -> Number:
    """Standard tolerance factor i, µm: i = 0.45 D^(1/3) + 0.001 D [1]_.

    D: geometric mean of the size step, mm (`size_mean`), over 0 up to 500; a float or an array. Raises `TableError` for
    any other D, `InputError` for no number.

    References
    ----------
    .. [1] ISO 286-1:1988, annex A, from memory.

    Examples
    --------
    >>> round(tolerance_factor(size_mean(25.0)), 2)
    1.31
    """
    D = checked_size(D)
    return _plain(0.45 * np.cbrt(D) + 0.001 * D)


def grade_formula(grade: str, D: Number) -> Number:
    """The tolerance that the rule behind Table 1 gives for a grade, µm, before the standard rounds it [1]_.

    IT01 = 0.3 + 0.008 D, IT0 = 0.5 + 0.012 D, IT1 = 0.8 + 0.020 D; IT2, IT3, IT4 in geometric steps from IT1
    to IT5; IT5 = 7 i, IT6 = 10 i, IT7 = 16 i, IT8 = 25 i, IT9 = 40 i, IT10 = 64 i, IT11 = 100 i, and from
    IT12 ten times the value five grades finer.

    grade: "IT01" to "IT18". D: geometric mean of the size step, mm, as for `tolerance_factor`; a float or an array.
    Raises `TableError` for any other grade or D, `InputError` for no number.

    It explains the table; `standard_tolerance` gives what is printed. Of the cells printed for IT5 to IT11 up
    to 120 mm one in three is not this value rounded to 1 µm.

    References
    ----------
    .. [1] ISO 286-1:1988, annex A, from memory.

    Examples
    --------
    >>> round(grade_formula("IT7", size_mean(25.0)), 1)
    20.9
    """
    rank = _rank(grade)
    i = tolerance_factor(D)
    if rank >= 5:
        finer, decades = (rank, 0) if rank < 12 else (7 + (rank - 7) % 5, (rank - 7) // 5)
        multiples = {5: 7, 6: 10, 7: 16, 8: 25, 9: 40, 10: 64, 11: 100}
        return _plain(multiples[finer] * 10.0**decades * i)
    constant, slope = {-1: (0.3, 0.008), 0: (0.5, 0.012)}.get(rank, (0.8, 0.020))
    finest = constant + slope * np.asarray(D)
    return _plain(finest * (7 * i / finest) ** (max(rank - 1, 0) / 4))


@lru_cache(maxsize=1)
def _prints() -> Mapping[str, tuple[float, str]]:
    rows = table("iso286_prints", {"upto_incl": float}).rows
    return {row["symbol"]: (row["upto_incl"], row["print"]) for row in rows}


def print_of(symbol: str, nominal: float) -> str | None:
    """The print that backs the table's value of `symbol` (a grade or a letter) at a size, or None."""
    upto_incl, source = _prints().get(symbol, (-math.inf, ""))
    return source if checked_size(nominal) <= upto_incl else None


def tolerance_basis(grade: str, nominal: float) -> tuple[Basis, str]:
    """Where the standard tolerance of `grade` at one size comes from, and the print behind it."""
    source = print_of(grade, nominal)
    if source:
        return Basis.PRINTED, source
    rank = _rank(grade)
    finer = f"IT{7 + (rank - 7) % 5}"
    source = print_of(finer, nominal)
    if rank >= 12 and source:
        return Basis.RULE, f"{10 ** ((rank - 7) // 5)} x {finer}, {source}"
    return Basis.MEMORY, ""


def in_mm(um: Any) -> Number:
    """µm of the tables as mm: a plain float for one size, an array for many."""
    # The finest value is a multiple of 0.05 µm; rounding takes off what adding such decimals as floats leaves.
    return _plain(np.round(um, 3) / 1000)


def _rank(grade: str) -> int:
    """-1 for IT01, 0 for IT0, n for ITn."""
    if not isinstance(grade, str) or grade not in GRADES:
        raise TableError(f"standard tolerance grade {brief(grade)}: one of {', '.join(GRADES)} is needed")
    return GRADES.index(grade) - 1


def _plain(value: Any) -> Number:
    array = np.asarray(value, dtype=float)
    return float(array) if array.ndim == 0 else array
