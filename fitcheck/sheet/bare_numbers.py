"""Sizes, forces and torques without a unit in a sheet that uses inches.

A bare number is mm, N or N·m. In a sheet of inches that is almost always a forgotten unit, and 0.560 mm where 0.560 in
was meant, or 5 N·m where 5 in·lbf was, is a plausible wrong number; so such a sheet has to name the unit of whatever
the two systems measure differently.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from fitcheck.errors import InputError
from fitcheck.notation import unit_in
from fitcheck.questions import Question
from fitcheck.units import FORCE, LENGTH, MASS, PLAIN, STRESS, TEMPERATURE, TORQUE, Kind, Unit

UNITS = {
    LENGTH: "mm or in",
    FORCE: "N or lbf",
    TORQUE: "N·m or in·lbf",
    STRESS: "MPa or ksi",
    MASS: "kg or lb",
    TEMPERATURE: "°C or °F",
}
"""Kinds that a workshop of inches measures in units of its own, and what may stand behind a number of them."""

_NO_LENGTH = ("name", "angle", "growth")  # keys of the tables of bodies and coatings


def uses_inches(content: Any) -> bool:
    """Whether any text in it is a number of inches."""
    if isinstance(content, Mapping):
        return any(uses_inches(value) for value in content.values())
    if isinstance(content, list):
        return any(uses_inches(value) for value in content)
    if not isinstance(content, str):
        return False
    used = _unit_in(content)
    return used is not None and used.of_inches


def bare_parts(parts: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """Parts whose note, or measurement, names no unit. A fit ("25 H7") is in mm by its standard."""
    for name, value in parts.items():
        for note in value.values() if isinstance(value, Mapping) else [value]:
            if _is_bare(note):
                yield name, note


def bare_inputs(question: type[Question], values: Mapping[str, Any]) -> Iterator[tuple[str, Any, Kind]]:
    """Inputs of a question that name no unit and need one, each with its kind."""
    for key, declared in question.inputs().items():
        reader = declared.metadata["reader"]
        kind = getattr(getattr(reader, "each", reader), "kind", None)  # of what a list holds, if it is one
        value = values.get(key)
        for note in value if isinstance(value, list) else [value]:
            if isinstance(note, Mapping):  # a body or a coating: its sizes are lengths
                lengths = ((f"{key}.{part}", size) for part, size in note.items() if part not in _NO_LENGTH)
                yield from ((part, size, LENGTH) for part, size in lengths if _is_bare(size))
            elif kind in UNITS and (_is_bare(note) or (kind is TEMPERATURE and note == 0)):  # 0 °F is not 0 °C
                yield key, note, kind


def _is_bare(note: Any) -> bool:
    if isinstance(note, (int, float)) and not isinstance(note, bool):
        return note != 0
    return isinstance(note, str) and _unit_in(note) is None


def _unit_in(text: str) -> Unit | None:
    """The unit of a note; a text that is none, such as the name of a part, wants no unit and counts as having one."""
    try:
        return unit_in(text)
    except InputError:
        return PLAIN
