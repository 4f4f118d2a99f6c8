"""Which values of a question name their unit, and which need one: beside inches a bare number is a forgotten unit.

A bare number is mm, N or N·m. Beside inches that is almost always a forgotten unit, and 0.560 mm where 0.560 in was
meant, or 5 N·m where 5 in·lbf was, is a plausible wrong number; so where inches are used, whatever the two systems
measure differently has to name its unit. What a note says of its unit is asked of `fitcheck.notation`, which reads it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import Field, dataclass
from typing import Any

import numpy as np

from fitcheck.errors import InputError, UnitError, brief
from fitcheck.notation import Note, read_note
from fitcheck.questions.readers import Stated
from fitcheck.stack import Dimension
from fitcheck.units import FORCE, LENGTH, MASS, STRESS, TEMPERATURE, TORQUE, Kind, is_quantity, unit_of_quantity

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
    """A value that has a unit or needs one, and where it stands."""

    table: str
    index: int
    """Of the table, among those of its name in a sheet."""
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
    def inch(self) -> bool:
        """Whether it is in inches, or another unit made of them."""
        if isinstance(self.value, (Dimension, Stated)):
            return self.value.unit.inch
        if is_quantity(self.value):
            try:
                return unit_of_quantity(self.value).inch
            except Exception:  # what its reader will refuse
                return False
        return self.note is not None and self.note.inch

    @property
    def is_bare(self) -> bool:
        """Whether it names no unit and needs one: 0 mm is 0 in, but 0 °C is not 0 °F."""
        if self.kind not in UNITS or isinstance(self.value, (bool, Stated)):
            return False
        if isinstance(self.value, (int, float, np.number)):
            return self.value != 0 or self.kind is TEMPERATURE
        note = self.note
        return note is not None and not note.unit_named


def inputs_written(
    inputs: Mapping[str, Field[Any]], values: Mapping[str, Any], table: str = "", index: int = 0
) -> Iterator[Written]:
    """The values of a question, one by one, by the `inputs` it declares."""
    for key, declared in inputs.items():
        reader = declared.metadata["reader"]
        kind = getattr(getattr(reader, "each", reader), "kind", None)  # of what a list holds, if it is one
        value = values.get(key)
        for note in value if isinstance(value, (list, tuple)) else [value]:
            if isinstance(note, Mapping):  # a body or a coating: its sizes are lengths
                sizes = ((part, size) for part, size in note.items() if part not in _NO_LENGTH)
                yield from (Written(table, index, f"{key}.{part}", size, LENGTH) for part, size in sizes)
            elif kind is not None:
                yield Written(table, index, key, note, kind)


def forgotten_units(inputs: Mapping[str, Field[Any]], values: Mapping[str, Any]) -> list[InputError]:
    """An error for each value that names no unit beside one in inches."""
    written = list(inputs_written(inputs, values))
    inch = next((one for one in written if one.inch), None)
    if inch is None:
        return []
    return [
        UnitError(
            f"{one.key} = {brief(one.value)} names no unit, beside {inch.key} = {brief(inch.value)}: write "
            f"{UNITS[one.kind]} behind it",
            key=one.key.split(".")[0],
        )
        for one in written
        if one.is_bare
    ]
