"""What the library says when it cannot use a value, and the checks that say it.

Every error is one line that names the value, the place, and what would be accepted. All of them are
`ValueError`, so a caller needs to know only that.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from typing import Any

import numpy as np


class InputError(ValueError):
    """A value that cannot be used."""


class DesignationError(InputError):
    """A thread designation that cannot be read, or names no thread of the standard."""


class NotationError(InputError):
    """A drawing note that cannot be read as a toleranced dimension."""


class UnitError(InputError):
    """A unit that is unknown or of the wrong kind."""


class UnresolvedError(InputError):
    """A sum whose exact distribution is not to be had: members that are correlated, or too rough to invert."""


class TableError(InputError):
    """A name or size that a table of standard values does not hold."""


class SheetError(InputError):
    """A build sheet that cannot be used."""


def did_you_mean(text: str, names: Iterable[str], *, most: int = 3) -> str:
    """A clause with the names nearest to `text`: `" (did you mean 'pitch'?)"`, or nothing."""
    by_folded = {name.casefold(): name for name in names}
    near = difflib.get_close_matches(text.casefold(), by_folded, n=most, cutoff=0.6)
    if not near:
        return ""
    return " (did you mean " + " or ".join(repr(by_folded[name]) for name in near) + "?)"


def finite(name: str, value: Any, unit: str = "") -> Any:
    """`value` as float or float array; refused by `name` unless every element is a finite real number."""
    try:
        array = np.asarray(value, dtype=float)
    except (TypeError, ValueError):
        raise InputError(f"{name} = {value!r}: a number{_in(unit)} is needed") from None
    if not np.all(np.isfinite(array)):
        raise InputError(f"{name} = {_first(array, ~np.isfinite(array))}: a finite number{_in(unit)} is needed")
    return float(array) if array.ndim == 0 else array


def positive(name: str, value: Any, unit: str = "") -> Any:
    """Like `finite`, and every element greater than zero."""
    value = finite(name, value, unit)
    if not np.all(np.greater(value, 0)):
        bad = _first(np.asarray(value), ~np.greater(value, 0))
        raise InputError(f"{name} = {bad}: a number{_in(unit)} greater than 0 is needed")
    return value


def not_negative(name: str, value: Any, unit: str = "") -> Any:
    """Like `finite`, and no element less than zero."""
    value = finite(name, value, unit)
    if not np.all(np.greater_equal(value, 0)):
        bad = _first(np.asarray(value), ~np.greater_equal(value, 0))
        raise InputError(f"{name} = {bad}: a number{_in(unit)} of at least 0 is needed")
    return value


def one_of(name: str, value: Any, choices: Iterable[str]) -> str:
    """`value` if it is among `choices`; otherwise the error lists them and the nearest."""
    choices = list(choices)
    if isinstance(value, str) and value in choices:
        return value
    listed = ", ".join(repr(choice) for choice in choices)
    hint = did_you_mean(value, choices) if isinstance(value, str) else ""
    raise InputError(f"{name} = {value!r}: one of {listed} is needed{hint}")


def _in(unit: str) -> str:
    return f" in {unit}" if unit else ""


def _first(array: Any, bad: Any) -> float:
    return float(np.asarray(array)[bad].flat[0])
