"""What the library says when it cannot use a value, and the checks that say it.

Every error is one line that names the value, the place, and what would be accepted. All of them are
`ValueError`, so a caller needs to know only that.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from typing import Any

import numpy as np


class InputError(ValueError):
    """A value that cannot be used. `key` is the input it is about, "adds[2]" for an item of a list; "" if unknown."""

    def __init__(self, message: str = "", *, key: str = "") -> None:
        super().__init__(message)
        self.key = key
        self.others: tuple[InputError, ...] = ()
        """What else is wrong with the same inputs: they are told together, not one a run."""


class DesignationError(InputError):
    """A thread designation that cannot be read, or names no thread of the standard."""


class NotationError(InputError):
    """A drawing note that cannot be read as a toleranced dimension."""


class UnitError(InputError):
    """A unit that is unknown or of the wrong kind."""


class UnresolvedError(InputError):
    """A sum whose exact distribution is not to be had: members that are correlated, or too rough to invert."""


class KeywordError(InputError, TypeError):
    """A keyword that a function does not have: a `TypeError` too, as Python's own is."""


class TableError(InputError):
    """A name or size that a table of standard values does not hold."""


class SheetError(InputError):
    """A build sheet that cannot be used. `line` is where, from 1; 0 if it cannot be told."""

    def __init__(self, message: str = "", *, key: str = "", line: int = 0) -> None:
        super().__init__(message, key=key)
        self.line = line


def did_you_mean(text: str, names: Iterable[str], *, most: int = 3) -> str:
    """A clause with the names nearest to `text`: `" (did you mean 'pitch'?)"`, or nothing.

    First those with `text` as one of their words, then those that have most of its letters.
    """
    by_folded = {name.casefold(): name for name in names}
    near = [name for name in by_folded if spelled(text) in spelled(name).split()]
    near += difflib.get_close_matches(text.casefold(), by_folded, n=most, cutoff=0.6)
    near = list(dict.fromkeys(near))[:most]
    if not near:
        return ""
    return " (did you mean " + " or ".join(repr(by_folded[name]) for name in near) + "?)"


def brief(value: Any, most: int = 80) -> str:
    """`value` as an error shows it: on one line, and not the whole of one of more than `most` letters."""
    try:
        value = value.item() if isinstance(value, np.number) else value  # 0.001, not np.float64(0.001)
        shown = f"{value:~P}" if hasattr(value, "magnitude") else repr(value)
    except (TypeError, ValueError):  # an integer of thousands of digits, a magnitude that is none
        shown = f"({type(value).__name__} that cannot be printed)"
    return in_short(shown, most)


def in_short(text: str, most: int = 50) -> str:
    """A text as an error shows it: on one line, without signs that cannot be seen, and not the whole of a long one."""
    shown = "".join(sign if sign.isprintable() else "?" for sign in " ".join(text.split()))
    return shown if len(shown) <= most else shown[: most * 3 // 4] + "..."


def spelled(words: str) -> str:
    """A name however it is written: "blade depth" of "Blade depth" as well as of "blade_depth"."""
    return " ".join(words.replace("_", " ").casefold().split())


def name_some(names: Iterable[str]) -> str:
    """Names as an error lists them: all of them, or as many as fit in a line and the number of the others."""
    names = list(names)
    shown = names
    while len(", ".join(shown)) > 110:
        shown = shown[:-1]
    return ", ".join(shown) + (f" and {len(names) - len(shown)} more" if len(shown) < len(names) else "")


LONGEST_MESSAGE = 300
"""Characters: what a terminal shows in four lines."""
LARGEST = 1e15
_TURNS = re.compile(r"rad|deg(?!ree_)|turn|arc|rev|rpm")
_TOO_LARGE = f"a number of at most {LARGEST:g} is needed"


def _without_unit(name: str, value: Any, unit: str) -> Any:
    """The number of a pint quantity in `unit`, by the registry that it comes from."""
    spelled = unit.replace("°C", "degree_Celsius").replace("·", "*") or "dimensionless"
    try:
        # An angle has no dimension: pint would take a number without unit for radians, and degrees for a number.
        if ("rad" in unit) is not bool(_TURNS.search(str(value.units))):
            raise ValueError
        return value.to(spelled).magnitude
    except Exception:  # pint's errors for another dimension
        raise UnitError(f"{name} = {brief(value)}: a number{_in(unit) or ' without unit'} is needed") from None


def finite(name: str, value: Any, unit: str = "", *, one: bool = False) -> Any:
    """`value` as float or float array; refused by `name` unless every element is a finite real number.

    A pint quantity of any registry is converted to `unit`, or refused where it is of another kind or none is named:
    this is the door of every number, so that no unit is lost on the way in. No number beyond 1e15 is taken: nothing of
    a workshop is so large, and its powers would leave the range of a float. A text, a truth value, a time and a complex
    number are none. `one` asks for a single number and refuses a row of them.
    """
    # What comes oftenest, at a tenth of the time.
    if type(value) is float and -LARGEST <= value <= LARGEST:
        return value
    if not one and _plain(value) and value.max() <= LARGEST and value.min() >= -LARGEST:
        return value
    if hasattr(value, "magnitude") and hasattr(value, "units"):
        value = _without_unit(name, value, unit)
    elif isinstance(value, (list, tuple)) and any(hasattr(item, "magnitude") for item in value):
        value = [_without_unit(name, item, unit) for item in value]
    try:
        array = np.asarray(value)
        if value is None or array.dtype.kind in "bSUcmM" or (one and array.ndim):
            raise TypeError
        array = array.astype(float)
    except OverflowError:
        raise InputError(f"{name} = {brief(value)}: {_TOO_LARGE}") from None
    except (TypeError, ValueError):
        raise InputError(f"{name} = {brief(value)}: a number{_in(unit)} is needed") from None
    if array.size and not np.abs(array).max() <= LARGEST:  # nor is a comparison with NaN true
        _refuse(name, array, ~np.isfinite(array), f"a finite number{_in(unit)} is needed")
        _refuse(name, array, np.abs(array) > LARGEST, _TOO_LARGE)
    return float(array) if array.ndim == 0 else array


def positive(name: str, value: Any, unit: str = "", *, one: bool = False) -> Any:
    """Like `finite`, and every element greater than zero."""
    if not one and _plain(value) and value.min() > 0 and value.max() <= LARGEST:
        return value
    value = finite(name, value, unit, one=one)
    if not (value > 0 if type(value) is float else (value > 0).all()):
        _refuse(name, value, np.less_equal(value, 0), f"a number{_in(unit)} greater than 0 is needed")
    return value


def not_negative(name: str, value: Any, unit: str = "", *, one: bool = False) -> Any:
    """Like `finite`, and no element less than zero."""
    if not one and _plain(value) and value.min() >= 0 and value.max() <= LARGEST:
        return value
    value = finite(name, value, unit, one=one)
    if not (value >= 0 if type(value) is float else (value >= 0).all()):
        _refuse(name, value, np.less(value, 0), f"a number{_in(unit)} of at least 0 is needed")
    return value


def included_angle(name: str, value: Any) -> Any:
    """Like `positive` in radians, and every angle less than a straight one."""
    angle = positive(name, value, "rad")
    if np.any(np.greater_equal(angle, np.pi)):
        raise InputError(
            f"{name} = {np.max(angle):.4g} rad: an included angle below π is needed, for example 1.571 for 90°"
        )
    return angle


def _plain(value: Any) -> bool:
    """Whether a value is a row of floats, as the numerics pass from one model to the next: the quick way in."""
    return type(value) is np.ndarray and value.dtype == float and value.ndim > 0 and value.size > 0


def _refuse(name: str, value: Any, bad: Any, needed: str) -> None:
    """Raise `InputError` that shows the first element of `value` for which `bad` is true, if there is one."""
    if np.any(bad):
        raise InputError(f"{name} = {np.asarray(value)[bad].flat[0]:g}: {needed}")


def one_of(name: str, value: Any, choices: Iterable[str]) -> str:
    """`value` if it is among `choices`; otherwise the error lists them and the nearest."""
    choices = list(choices)
    if isinstance(value, str) and value in choices:
        return value
    listed = ", ".join(repr(choice) for choice in choices)
    hint = did_you_mean(value, choices) if isinstance(value, str) else ""
    raise InputError(f"{name} = {brief(value, 50)}: one of {listed} is needed{hint}")


def _in(unit: str) -> str:
    return f" in {unit}" if unit else ""


def whole(name: str, value: Any, least: int = 0) -> int:
    """`value` as a whole number of at least `least`."""
    if isinstance(value, bool) or not isinstance(value, (int, np.integer)) or value < least:
        raise InputError(f"{name} = {brief(value)}: a whole number of at least {least} is needed")
    return int(value)


def fraction(name: str, value: Any, example: str = "0.99") -> float:
    """`value` as a number between 0 and 1, both excluded."""
    value = finite(name, value, one=True)
    if not 0 < value < 1:
        raise InputError(f"{name} = {value:g}: a number between 0 and 1 is needed, for example {example}")
    return float(value)


def two(name: str, value: Any) -> tuple[Any, Any]:
    """`value` as two of something, whatever they are."""
    try:
        first, last = value
    except (TypeError, ValueError):
        raise InputError(f"{name} = {brief(value)}: two numbers, the least and the greatest, are needed") from None
    return first, last


def two_numbers(name: str, value: Any) -> tuple[float, float]:
    """`value` as two finite numbers, the second not below the first."""
    first, last = two(name, value)
    first, last = finite(name, first, one=True), finite(name, last, one=True)
    if first > last:
        raise InputError(f"{name} = ({first:g}, {last:g}): the least must not exceed the greatest")
    return first, last
