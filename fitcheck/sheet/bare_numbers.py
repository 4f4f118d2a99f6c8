"""Sizes, forces and torques without a unit in a sheet that uses inches: the whole sheet names its units, or none does.

Why, and what counts as bare, is said in `fitcheck.questions.unit_names`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from fitcheck.planning.workshop import TOOLS
from fitcheck.questions import QUESTIONS
from fitcheck.questions.unit_names import Written, inputs_written
from fitcheck.units import LENGTH


def uses_inches(content: Mapping[str, Any]) -> bool:
    """Whether a value of the sheet is in inches, or in a unit made from them."""
    return any(value.inch for value in _written(content))


def bare(content: Mapping[str, Any]) -> Iterator[Written]:
    """What names no unit and needs one, in the order of the sheet; nothing in a sheet that uses no inches."""
    values = list(_written(content))
    if any(value.inch for value in values):
        yield from (value for value in values if value.is_bare)


def _written(content: Mapping[str, Any]) -> Iterator[Written]:
    """Parts, and the inputs of the questions."""
    yield Written("", 0, "shoulder", content.get("shoulder"), LENGTH)
    parts = content.get("parts", {})
    for name, value in parts.items() if isinstance(parts, Mapping) else ():
        notes = [v for k, v in value.items() if k != "title"] if isinstance(value, Mapping) else [value]
        for note in notes:
            yield Written("parts", 0, name, note, LENGTH)
    workshop = content.get("workshop", {})
    for key, value in workshop.items() if isinstance(workshop, Mapping) else ():
        if not isinstance(value, Mapping):  # of a tool the tolerance alone is written
            yield Written("workshop", 0, key, f"0 {value}" if key in TOOLS else value, LENGTH)
    left_open = content.get("open", {})
    for key, value in left_open.items() if isinstance(left_open, Mapping) else ():
        if not isinstance(value, list):
            yield Written("open", 0, key, value, LENGTH)
    for table, question in QUESTIONS.items():
        asked = content.get(table, [])
        for index, values in enumerate(asked if isinstance(asked, list) else [asked]):
            values = values if isinstance(values, Mapping) else {}
            yield from inputs_written(question.inputs(), values, table, index)
