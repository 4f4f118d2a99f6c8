"""Sizes, forces and torques without a unit in a sheet that uses inches.

A bare number is mm, N or N·m. In a sheet of inches that is almost always a forgotten unit, and 0.560 mm where 0.560 in
was meant, or 5 N·m where 5 in·lbf was, is a plausible wrong number; so such a sheet has to name the unit of whatever
the two systems measure differently. What a note says of its unit is asked of `fitcheck.notation`, which reads it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from fitcheck.errors import InputError
from fitcheck.notation import Note, read_note
from fitcheck.planning.workshop import TOOLS
from fitcheck.questions import QUESTIONS, Question
from fitcheck.units import FORCE, LENGTH, MASS, STRESS, TEMPERATURE, TORQUE, Kind

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


@dataclass(frozen=True, slots=True)
class Written:
    """A value of a sheet that has a unit or needs one, and where it stands."""

    table: str
    index: int
    """Of the table, among those of its name."""
    key: str
    value: Any
    kind: Kind
    """What is expected here; of a part, which may be of any kind, a length."""

    @property
    def note(self) -> Note | None:
        """What it says, if it is a note."""
        try:
            return read_note(self.value) if isinstance(self.value, str) else None
        except InputError:  # a name, or a note that its reader will refuse
            return None

    @property
    def is_bare(self) -> bool:
        """Whether it names no unit and needs one: 0 mm is 0 in, but 0 °C is not 0 °F."""
        if self.kind not in UNITS or isinstance(self.value, bool):
            return False
        if isinstance(self.value, (int, float)):
            return self.value != 0 or self.kind is TEMPERATURE
        note = self.note
        return note is not None and not note.unit_named


def bare(content: Mapping[str, Any]) -> Iterator[Written]:
    """What names no unit and needs one, in the order of the sheet; nothing in a sheet that uses no inches."""
    values = list(_written(content))
    if any(value.note is not None and value.note.inch for value in values):
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
            yield from _inputs(table, index, question, values if isinstance(values, Mapping) else {})


def _inputs(table: str, index: int, question: type[Question], values: Mapping[str, Any]) -> Iterator[Written]:
    for key, declared in question.inputs().items():
        reader = declared.metadata["reader"]
        kind = getattr(getattr(reader, "each", reader), "kind", None)  # of what a list holds, if it is one
        value = values.get(key)
        for note in value if isinstance(value, list) else [value]:
            if isinstance(note, Mapping):  # a body or a coating: its sizes are lengths
                sizes = ((part, size) for part, size in note.items() if part not in _NO_LENGTH)
                yield from (Written(table, index, f"{key}.{part}", size, LENGTH) for part, size in sizes)
            elif kind is not None:
                yield Written(table, index, key, note, kind)
