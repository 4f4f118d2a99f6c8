"""Fundamental deviations: where the tolerance lies against the nominal size (ISO 286-1:2010, Tables 2 to 5).

The tables hold the shafts. Those of the holes follow by the standard's rules:

- `A` to `H`: the mirror of the shaft, EI = -es.
- `JS`: half the tolerance to each side, exactly; the older habit of rounding JS7 to JS11 to whole µm is not
  followed.
- `K`, `M`, `N` to IT8 and `P` to `ZC` to IT7: ES = -ei + Δ with Δ = ITn - IT(n-1), for sizes over 3 mm and
  IT3 or coarser (Δ = 0 up to 3 mm). So a hole of grade n takes the shaft of the next finer grade as tightly as
  the hole `H` takes the mirrored shaft.
- `M`, `N`, `P` to `ZC` of coarser grades: ES = -ei, but 0 for `N` over 3 mm; `K` coarser than IT8 only up to
  3 mm.
- `J` and one value of `M6` are tabulated (tables/iso286_hole_deviations.csv).
"""

from __future__ import annotations

from typing import Any

import numpy as np

from fitcheck.basis import Basis
from fitcheck.errors import TableError
from fitcheck.fits.classes import GRADES, ToleranceClass, read_class
from fitcheck.fits.grades import (
    SteppedTable,
    checked_size,
    in_mm,
    print_of,
    stepped,
    tolerance_basis,
    tolerance_um,
)
from fitcheck.units import FloatArray, Number

_SHAFTS = "iso286_shaft_deviations"
_HOLES = "iso286_hole_deviations"
_DELTA_UPTO = {"K": 8, "M": 8, "N": 8}  # the coarsest grade with Δ; 7 for the letters from P on
_DELTA_FROM = 3


def fundamental_deviation(tolerance_class: str, nominal: Number) -> Number:
    """Fundamental deviation of a class, mm: the limit deviation nearest to the nominal size [1]_.

    It is es of shafts a to h, ei of shafts j to zc, EI of holes A to H, ES of holes J to ZC; of js and JS, where both
    are as near, the upper one, +IT/2. The rules by which holes follow from shafts stand on top of this module.

    tolerance_class: letter and grade, for example "g6" or "K7". nominal: size over 0 up to 500 mm; a float or an array.
    Raises `NotationError` for a class that cannot be read, `TableError` for a size or grade for which the standard
    gives none, `InputError` for a size that is no number.

    References
    ----------
    .. [1] ISO 286-1:2010, Tables 2 to 5; footnotes on sizes up to 1 mm from memory.

    Examples
    --------
    >>> fundamental_deviation("g6", 25.0)
    -0.007
    """
    return in_mm(_fundamental_um(read_class(tolerance_class), nominal))


def limit_deviations(tolerance_class: str, nominal: Number) -> tuple[Number, Number]:
    """Lower and upper limit deviation of a class, mm: EI and ES of a hole, ei and es of a shaft [1]_.

    tolerance_class: letter and grade, for example "g6" or "H7". nominal: size over 0 up to 500 mm; a float or an array.
    Raises what `fundamental_deviation` and `standard_tolerance` raise: `NotationError`, `TableError`, `InputError`.

    References
    ----------
    .. [1] ISO 286-1:2010, Tables 1 to 5.

    Examples
    --------
    >>> limit_deviations("g6", 25.0)
    (-0.02, -0.007)
    """
    read = read_class(tolerance_class)
    fundamental = _fundamental_um(read, nominal)
    tolerance = tolerance_um(read.grade, nominal)
    at_lower_limit = read.follows_zero_line != read.internal and read.letter not in ("js", "JS")
    lower = fundamental if at_lower_limit else fundamental - tolerance
    return in_mm(lower), in_mm(lower + tolerance)


def deviation_basis(read: ToleranceClass, nominal: float) -> tuple[Basis, str]:
    """Where the fundamental deviation of a class at one size comes from, and the print behind it."""
    letter, shaft = read.letter, read.letter.lower()
    if letter in ("js", "JS"):
        basis, source = tolerance_basis(read.grade, nominal)
        return (Basis.RULE if source else basis), source
    source = print_of(letter, nominal) or ""
    if source:
        # k is printed for IT4 to IT7; that it is 0 for other grades is the standard's rule.
        other_k = letter == "k" and not 4 <= read.grade_number <= 7
        return (Basis.RULE if other_k else Basis.PRINTED), source
    source = print_of(shaft, nominal) or ""
    if not read.internal or not source:
        return Basis.MEMORY, ""
    if read.follows_zero_line and nominal > 3 and read.grade_number <= _delta_upto(letter):
        finer = GRADES[GRADES.index(read.grade) - 1]
        if print_of(finer, nominal) is None or print_of(read.grade, nominal) is None:
            return Basis.MEMORY, ""
    return Basis.RULE, source


def _fundamental_um(read: ToleranceClass, nominal: Number) -> Any:
    size = checked_size(nominal)
    if read.letter in ("js", "JS"):
        return tolerance_um(read.grade, nominal) / 2
    _refuse_up_to_1_mm(read, size)
    if not read.internal:
        return _shaft_um(read, size)
    if not read.follows_zero_line:
        return -_shaft_um(read, size) + 0.0  # + 0.0 turns -0.0 into 0.0
    return _tight_hole_um(read, size)


def _shaft_um(read: ToleranceClass, size: FloatArray) -> Any:
    letter, n = read.letter.lower(), read.grade_number
    if letter == "k" and not 4 <= n <= 7:
        return np.zeros_like(size)
    return _column(stepped(_SHAFTS), f"j{n}" if letter == "j" else letter, read, size)


def _tight_hole_um(read: ToleranceClass, size: FloatArray) -> Any:
    letter, n = read.letter, read.grade_number
    holes = stepped(_HOLES)
    if letter == "J":
        return _column(holes, str(read), read, size)
    with_delta = n <= _delta_upto(letter)
    if with_delta and n < _DELTA_FROM:
        raise TableError(f"{read}: the standard gives holes {letter} from IT3 on, not {read.grade}")
    if letter == "K" and not with_delta and np.any(size > 3):
        bad = float(size[size > 3].flat[0])
        raise TableError(f"{read} at {bad:g} mm: coarser than IT8, K is given up to and including 3 mm; K8 or finer")
    # The hole is the mirror of the shaft's column for IT4 to IT7, whatever the hole's own grade.
    mirrored = -stepped(_SHAFTS).columns[letter.lower()][stepped(_SHAFTS).step(size)] + 0.0
    if np.any(np.isnan(mirrored)):
        raise _missing(stepped(_SHAFTS), letter.lower(), read, size, np.isnan(mirrored))
    if not with_delta:
        return np.where(size > 3, 0.0, mirrored) if letter == "N" else mirrored
    finer = GRADES[GRADES.index(read.grade) - 1]
    delta = np.where(size > 3, tolerance_um(read.grade, size) - tolerance_um(finer, size), 0.0)
    tabulated = holes.columns.get(str(read), np.full(holes.over.shape, np.nan))[holes.step(size)]
    return np.where(np.isnan(tabulated), mirrored + delta, tabulated)


def _delta_upto(letter: str) -> int:
    return _DELTA_UPTO.get(letter, 7)


def _column(held: SteppedTable, symbol: str, read: ToleranceClass, size: FloatArray) -> Any:
    if symbol not in held.columns:
        grades = [name for name in held.columns if name.startswith(read.letter) and name[1:].isdigit()]
        raise TableError(f"{read}: the standard gives {read.letter} for {', '.join(grades)} only")
    values = held.columns[symbol][held.step(size)]
    if np.any(np.isnan(values)):
        raise _missing(held, symbol, read, size, np.isnan(values))
    return values


def _missing(held: SteppedTable, symbol: str, read: ToleranceClass, size: FloatArray, blank: Any) -> TableError:
    given = ~np.isnan(held.columns[symbol])
    bad = float(size[blank].flat[0])
    return TableError(
        f"{read} at {bad:g} mm: {read.letter} is held for this grade from over {held.over[given].min():g} mm "
        f"up to and including {held.upto_incl[given].max():g} mm"
    )


def _refuse_up_to_1_mm(read: ToleranceClass, size: FloatArray) -> None:
    # Footnotes to Tables 2, 3 and 4 of the standard, from memory.
    letter = read.letter
    coarse_n = letter == "N" and read.grade_number > 8
    if (letter in ("a", "A", "b", "B") or coarse_n) and np.any(size <= 1):
        bad = float(size[size <= 1].flat[0])
        what = "N coarser than IT8" if coarse_n else letter
        raise TableError(f"{read} at {bad:g} mm: {what} is not used for sizes up to and including 1 mm")
