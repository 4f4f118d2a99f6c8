"""Lengths without a unit in a sheet that uses inches.

A bare number is mm. In a sheet of inches that is almost always a forgotten unit, and 0.560 mm where 0.560 in was meant
is a plausible wrong number; so such a sheet has to name the unit of every length.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from fitcheck.bench import Question
from fitcheck.units import LENGTH

# Only notes: "M4 in the wall" is a name.
_INCH = re.compile(r'[-+]?[\d.][\d\s.,eE±+\-/…]*(?:to\s[\d\s.,]+)?(?:in\b|inch|["″])')
_NO_UNIT = re.compile(r"(?:[\d\s.,eE±+\-/…]|to|measured)*(?:uniform|triangular|normal[\w\s.]*)?")


def uses_inches(content: Any) -> bool:
    """Whether any text in it is a number of inches."""
    if isinstance(content, Mapping):
        return any(uses_inches(value) for value in content.values())
    if isinstance(content, list):
        return any(uses_inches(value) for value in content)
    return isinstance(content, str) and bool(_INCH.match(content))


def bare_parts(parts: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """Parts whose note, or measurement, names no unit. A fit ("25 H7") is in mm by its standard."""
    for name, value in parts.items():
        for note in value.values() if isinstance(value, Mapping) else [value]:
            if _is_bare(note):
                yield name, note


def bare_inputs(question: type[Question], values: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """Inputs of a question that are lengths and name no unit."""
    for key, declared in question.inputs().items():
        reader = declared.metadata["reader"]
        each = getattr(reader, "each", reader)  # what a list holds
        if key in values and getattr(each, "kind", None) is LENGTH:
            value = values[key]
            for note in value if isinstance(value, list) else [value]:
                if _is_bare(note):
                    yield key, note


def _is_bare(note: Any) -> bool:
    if isinstance(note, (int, float)) and not isinstance(note, bool):
        return note != 0
    return isinstance(note, str) and bool(re.search(r"\d", note)) and bool(_NO_UNIT.fullmatch(note))
