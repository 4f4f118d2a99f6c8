"""Checks of what a stack is given: single numbers, limits, seeds."""

from __future__ import annotations

from typing import Any

import numpy as np

from fitcheck.errors import InputError, finite
from fitcheck.units import Kind, Unit, read


def number(name: str, value: Any, unit: str = "") -> float:
    """`value` as one finite number; a text, a truth value or a row of numbers is refused by name."""
    where = f" in {unit}" if unit else ""
    if isinstance(value, (bool, str, np.bool_)) or value is None or np.ndim(value):
        raise InputError(f"{name} = {' '.join(repr(value).split())}: a number{where} is needed")
    return float(finite(name, value, unit))


def not_below_zero(name: str, value: Any, unit: str = "") -> float:
    """`value` as one finite number of at least 0."""
    value = number(name, value, unit)
    if value < 0:
        raise InputError(f"{name} = {value:g}: a number{f' in {unit}' if unit else ''} of at least 0 is needed")
    return float(value)


def above_zero(name: str, value: Any, unit: str = "") -> float:
    """`value` as one finite number greater than 0."""
    value = number(name, value, unit)
    if value <= 0:
        raise InputError(f"{name} = {value:g}: a number{f' in {unit}' if unit else ''} greater than 0 is needed")
    return float(value)


def whole(name: str, value: Any, least: int = 0) -> int:
    """`value` as a whole number of at least `least`."""
    if isinstance(value, bool) or not isinstance(value, (int, np.integer)) or value < least:
        raise InputError(f"{name} = {value!r}: a whole number of at least {least} is needed")
    return int(value)


def share(name: str, value: Any, example: str = "0.99") -> float:
    """`value` as a number between 0 and 1, both excluded."""
    value = number(name, value)
    if not 0 < value < 1:
        raise InputError(f"{name} = {value:g}: a number between 0 and 1 is needed, for example {example}")
    return float(value)


def pair(name: str, value: Any) -> tuple[float, float]:
    """`value` as two finite numbers, the second not below the first."""
    try:
        first, last = value
    except (TypeError, ValueError):
        raise InputError(f"{name} = {value!r}: two numbers, the least and the greatest, are needed") from None
    first, last = number(name, first), number(name, last)
    if first > last:
        raise InputError(f"{name} = ({first:g}, {last:g}): the least must not exceed the greatest")
    return first, last


def known_unit(name: str, value: Any) -> Unit:
    """`value` if it is a unit of this library."""
    if not isinstance(value, Unit):
        raise InputError(f"{name} = {value!r}: a unit is needed, for example fitcheck.units.unit('mm')")
    return value


def random(seed: Any) -> np.random.Generator:
    """The generator of random numbers that belongs to a seed."""
    if seed is not None:
        whole("seed", seed)
    return np.random.default_rng(seed)


def limits_of_risk(
    below: float | str | None, above: float | str | None, kind: Kind
) -> tuple[float | None, float | None]:
    """The two limits of a probability in the inside unit: numbers in it, or texts with their unit ("1.312 in")."""
    if below is None and above is None:
        raise InputError("probability: give below=, above= or both")
    low = None if below is None else read(below, kind, "below")
    high = None if above is None else read(above, kind, "above")
    if low is not None and high is not None and low > high:
        raise InputError(f"probability: below = {low:g} must not exceed above = {high:g}")
    return low, high
