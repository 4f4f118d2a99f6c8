"""What an argument has to be where its type alone decides: a text, a list, a table, a yes or no, one of our own."""

from __future__ import annotations

import math
import os
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

from fitcheck.errors import InputError, brief, positive

Wanted = TypeVar("Wanted")


def one_kind(name: str, value: Any, kind: type[Wanted], needed: str) -> Wanted:
    """`value` if it is of the type `kind`; any other is refused by `name`, with what is needed.

    >>> one_kind("k", "x", str, "a text")
    'x'
    """
    if not isinstance(value, kind):
        raise InputError(f"{name} = {brief(value)}: {needed} is needed")
    return value


def text_of(name: str, value: Any) -> str:
    """`value` as a text."""
    return one_kind(name, value, str, "a text")


def flag(name: str, value: Any) -> bool:
    """`value` as True or False."""
    if not isinstance(value, (bool, np.bool_)):
        raise InputError(f"{name} = {brief(value)}: True or False is needed")
    return bool(value)


def table_of(name: str, value: Any, example: str) -> Mapping[Any, Any]:
    """`value` as a table of names and what goes with them."""
    if not isinstance(value, Mapping):
        raise InputError(f"{name} = {brief(value)}: a table such as {example} is needed")
    return value


def items_of(name: str, value: Any, needed: str) -> list[Any]:
    """The items of a list, a tuple, an array of one dimension or the like; a text and a table are none."""
    alone = isinstance(value, (str, bytes, Mapping, type)) or getattr(value, "ndim", 1) == 0
    if alone or not isinstance(value, Iterable):
        raise InputError(f"{name} = {brief(value)}: {needed} is needed")
    return list(value)


def path_of(name: str, value: Any) -> Path:
    """`value` as the path of a file."""
    if not isinstance(value, (str, os.PathLike)):
        raise InputError(f"{name} = {brief(value)}: the path of a file is needed")
    return Path(value)


def degrees_of_freedom(name: str, value: Any) -> float:
    """Degrees of freedom: a number above 0, or infinity."""
    if isinstance(value, float) and value == math.inf:
        return value
    return float(positive(name, value, one=True))
