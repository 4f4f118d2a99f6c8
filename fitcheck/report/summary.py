"""What every form of report says the same way: how many findings hold, which belong together, numbers, ranges."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from fitcheck.bench.finding import Finding, Verdict
from fitcheck.units import Unit


def counts(findings: Sequence[Finding]) -> str:
    """How many findings there are and what they conclude: "7 findings: 4 hold, 2 likely, 1 fails"."""
    total = f"{len(findings)} finding{'' if len(findings) == 1 else 's'}"
    forms = {Verdict.HOLDS: ("holds", "hold"), Verdict.LIKELY: ("likely", "likely"), Verdict.FAILS: ("fails", "fail")}
    parts = []
    for verdict, (one, many) in forms.items():
        n = sum(finding.verdict is verdict for finding in findings)
        if n:
            parts.append(f"{n} {one if n == 1 else many}")
    return f"{total}: {', '.join(parts)}" if parts else total


def by_question(findings: Iterable[Finding]) -> dict[str, list[Finding]]:
    """The findings of each question, in the order in which the questions come up."""
    groups: dict[str, list[Finding]] = {}
    for finding in findings:
        groups.setdefault(finding.question, []).append(finding)
    return groups


def once(sentences: Iterable[str]) -> list[str]:
    """Each sentence once, in the order of its first mention."""
    return list(dict.fromkeys(sentences))


def number(unit: Unit, inside: float) -> str:
    """`inside` as on a drawing: in `unit`, without its name."""
    return unit.show(inside).removesuffix(unit.text).strip()


def span(unit: Unit, low: float, high: float) -> str:
    """A range with its unit said once: "45.65 to 46.75 mm"."""
    return f"{number(unit, low)} to {unit.show(high)}"
