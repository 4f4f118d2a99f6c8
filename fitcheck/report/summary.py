"""What every form of report says the same way: how many findings hold, which belong together, numbers, ranges."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from fitcheck.questions.finding import Finding
from fitcheck.questions.several import ORDER, counts
from fitcheck.questions.wrapping import printable
from fitcheck.units import Unit

__all__ = [
    "by_question", "counts", "numbered", "once", "printable", "required", "shortened", "tightest",
    "without_unit",
]  # fmt: skip

_NUMBERS = 12
"""Of findings, each by itself; more are no reading."""


def by_question(findings: Iterable[Finding]) -> dict[str, list[tuple[int, Finding]]]:
    """The findings of each question with their numbers from 1, in the order in which the questions come up."""
    groups: dict[str, list[tuple[int, Finding]]] = {}
    for number, finding in enumerate(findings, start=1):
        groups.setdefault(finding.question, []).append((number, finding))
    return groups


def tightest(findings: Sequence[Finding]) -> list[tuple[int, Finding]]:
    """The findings with their numbers from 1, the tightest first: what fails, what is likely, then by what is left."""
    numbered = enumerate(findings, start=1)
    return sorted(numbered, key=lambda each: (ORDER.index(each[1].verdict), each[1].margin.least, each[0]))


def numbered(which: Sequence[int]) -> str:
    """Numbers of findings, ascending, in a line: all of a few; of many those that follow each other as from and to.

    >>> numbered([1, 2, 3, 7])
    '1, 2, 3, 7'
    >>> numbered([*range(1, 21), 30])
    '1 to 20, 30'
    """
    if len(which) <= _NUMBERS:
        return ", ".join(map(str, which))
    rows: list[list[int]] = []
    for number in which:
        if rows and number == rows[-1][-1] + 1:
            rows[-1].append(number)
        else:
            rows.append([number])
    said = [f"{row[0]} to {row[-1]}" if len(row) > 1 else str(row[0]) for row in rows[:_NUMBERS]]
    more = sum(map(len, rows[_NUMBERS:]))
    return ", ".join(said) + (f" and {more} more" if more else "")


def once(sentences: Iterable[str]) -> list[str]:
    """Each sentence once, in the order of its first mention.

    >>> once(["a", "b", "a"])
    ['a', 'b']
    """
    return list(dict.fromkeys(sentences))


def without_unit(unit: Unit, inside: float, decimals: int | None = None) -> str:
    """`inside`, in the inside unit of its kind, as on a drawing: in `unit`, without its name.

    >>> from fitcheck.units import INCH
    >>> without_unit(INCH, 25.4)
    '1.000'
    """
    places = unit.decimals if decimals is None else decimals
    return f"{unit.rounded(inside, places):.{places}f}"


def required(finding: Finding) -> str:
    """What is required, without its subject: "at least 0.30 mm"."""
    return finding.requirement.words(finding.unit, finding.decimals)


def uncapital(sentence: str) -> str:
    """A sentence as it stands inside another one: with a small letter first."""
    return sentence[:1].lower() + sentence[1:]


def shortened(name: str, most: int) -> str:
    """`name`, its end left out if it is longer than `most` characters.

    >>> shortened("room for the wires of the port", 18)
    'room for the wire…'
    """
    return name if len(name) <= most else name[: most - 1].rstrip() + "…"
