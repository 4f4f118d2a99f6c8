"""The text of a tolerance class: `"H7"`, `"g6"`, `"JS9"`."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from fitcheck.errors import NotationError, brief

LETTERS = (
    *("a", "b", "c", "cd", "d", "e", "ef", "f", "fg", "g", "h", "j", "js", "k", "m", "n"),
    *("p", "r", "s", "t", "u", "v", "x", "y", "z", "za", "zb", "zc"),
)
"""The letters of shafts in the standard's order; those of holes are the same in capitals."""

GRADES = ("IT01", "IT0", *(f"IT{n}" for n in range(1, 19)))
"""The standard tolerance grades from the finest to the coarsest."""

_CLASS = re.compile(r"([A-Za-z]+)([0-9]+)")
_ACCEPTED = "a letter and a grade are needed, capitals for a hole ('H7'), small letters for a shaft ('g6')"


@dataclass(frozen=True, slots=True)
class ToleranceClass:
    """A letter for where the tolerance lies and a grade for how wide it is (ISO 286-1:2010, 4.1)."""

    letter: str
    grade: str

    @property
    def internal(self) -> bool:
        """True for a hole (capital letters), False for a shaft."""
        return self.letter.isupper()

    @property
    def grade_number(self) -> int:
        """-1 for IT01, 0 for IT0, n for ITn: the order of the grades."""
        return GRADES.index(self.grade) - 1

    @property
    def follows_zero_line(self) -> bool:
        """True for `j` to `zc`: the shaft's tolerance begins near or above the nominal size."""
        return LETTERS.index(self.letter.lower()) > LETTERS.index("h")

    def __str__(self) -> str:
        return self.letter + self.grade.removeprefix("IT")


def read_class(text: str) -> ToleranceClass:
    """The tolerance class written as `text`; capitals mean a hole, small letters a shaft.

    Raises `NotationError` for any other text, with what would be accepted.
    """
    if not isinstance(text, str):
        raise NotationError(f"tolerance class {brief(text)}: {_ACCEPTED}")
    return _read(text)


@lru_cache(maxsize=1024)
def _read(text: str) -> ToleranceClass:
    match = _CLASS.fullmatch(text.strip())
    if match is None:
        shown = text if len(text) < 40 else text[:40] + "..."
        raise NotationError(f"tolerance class {shown!r}: {_ACCEPTED}")
    letter, grade = match[1], f"IT{match[2]}"
    if letter.upper() == "IT":
        raise NotationError(f"tolerance class {brief(text)} is a grade without a position: {_ACCEPTED}")
    if letter.lower() not in LETTERS:
        raise NotationError(
            f"tolerance class {brief(text)}: {letter!r} is no letter of ISO 286-1; for a hole "
            f"{' '.join(LETTERS).upper()}; the same in small letters for a shaft"
        )
    if not (letter.isupper() or letter.islower()):
        raise NotationError(
            f"tolerance class {brief(text)} mixes capitals and small letters: "
            f"'{letter.upper()}{match[2]}' for a hole, '{letter.lower()}{match[2]}' for a shaft"
        )
    if grade not in GRADES:
        raise NotationError(f"tolerance class {brief(text)}: grade {match[2]!r} is none of 01, 0, 1, 2 to 18")
    return ToleranceClass(letter, grade)
