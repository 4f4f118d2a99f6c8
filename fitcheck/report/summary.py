"""What every form of report says the same way: how many findings hold, which belong together, numbers, ranges."""

from __future__ import annotations

from collections.abc import Iterable

from fitcheck.questions.finding import Finding
from fitcheck.questions.several import counts
from fitcheck.questions.wrapping import printable
from fitcheck.units import Unit

__all__ = ["by_question", "counts", "once", "printable", "required", "shortened", "without_unit"]


def by_question(findings: Iterable[Finding]) -> dict[str, list[tuple[int, Finding]]]:
    """The findings of each question with their numbers from 1, in the order in which the questions come up."""
    groups: dict[str, list[tuple[int, Finding]]] = {}
    for number, finding in enumerate(findings, start=1):
        groups.setdefault(finding.question, []).append((number, finding))
    return groups


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


def shortened(name: str, most: int) -> str:
    """`name`, its end left out if it is longer than `most` characters.

    >>> shortened("room for the wires of the port", 18)
    'room for the wire…'
    """
    return name if len(name) <= most else name[: most - 1].rstrip() + "…"
