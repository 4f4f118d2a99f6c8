"""What every form of report says the same way: how many findings hold, which belong together, numbers, ranges."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from fitcheck.questions.finding import Finding, Verdict
from fitcheck.stack import Interval
from fitcheck.units import Unit


def counts(findings: Sequence[Finding]) -> str:
    """How many findings there are and what they conclude: "7 findings: 4 hold, 2 likely, 1 fails".

    >>> counts([])
    '0 findings'
    """
    total = f"{len(findings)} finding{'' if len(findings) == 1 else 's'}"
    forms = {Verdict.HOLDS: ("holds", "hold"), Verdict.LIKELY: ("likely", "likely"), Verdict.FAILS: ("fails", "fail")}
    parts = []
    for verdict, (one, many) in forms.items():
        n = sum(finding.verdict is verdict for finding in findings)
        if n:
            parts.append(f"{n} {one if n == 1 else many}")
    return f"{total}: {', '.join(parts)}" if parts else total


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
    return unit.show(inside, decimals).removesuffix(unit.text).strip()


def span(finding: Finding, interval: Interval) -> str:
    """A range of the quantity of a finding, the unit said once: "45.65 to 46.75 mm"."""
    return f"{without_unit(finding.unit, interval.min, finding.decimals)} to {finding.show(interval.max)}"


def required(finding: Finding) -> str:
    """What is required, without its subject: "at least 0.30 mm"."""
    return finding.requirement.words(finding.unit, finding.decimals)


def shortened(name: str, most: int) -> str:
    """`name`, its end left out if it is longer than `most` characters.

    >>> shortened("room for the wires of the port", 18)
    'room for the wire…'
    """
    return name if len(name) <= most else name[: most - 1].rstrip() + "…"


_UNPRINTABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff]")


def printable(text: str) -> str:
    """`text` with a replacement sign for every character that no page or terminal can show."""
    return _UNPRINTABLE.sub("\ufffd", text)
