"""A finding: the answer to one bench question about one quantity, with everything behind it.

`judge` is the one place where a verdict is made. Every question builds a quantity (a sum or a response), states
a requirement, and lets `judge` say where the quantity can lie, how it is spread, how likely it misses the
requirement and what drives it.
"""

from __future__ import annotations

import math
import re
import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Any, NamedTuple, Protocol

from fitcheck.errors import InputError, UnitError, finite
from fitcheck.stack import Contribution, Dimension, Interval, Probability
from fitcheck.units import Unit, unit


class Verdict(StrEnum):
    """What a finding concludes; `meaning` says it in a sentence.

    >>> Verdict.LIKELY.value
    'likely'
    """

    HOLDS = "holds"
    LIKELY = "likely"
    FAILS = "fails"

    @property
    def meaning(self) -> str:
        """What the verdict says, in a sentence; a definition."""
        return {
            "holds": "the requirement is met at worst case, and the probability of failing is within the stated risk",
            "likely": "not met at worst case, but the probability of failing is within the stated risk",
            "fails": "the probability of failing is above the stated risk",
        }[self.value]


class Quantity(Protocol):
    """What a sum and a response have in common."""

    @property
    def unit(self) -> Unit: ...
    @property
    def nominal(self) -> float: ...
    @property
    def members(self) -> Sequence[Dimension]: ...
    def worst_case(self) -> Interval: ...
    def interval(self, confidence: float = ...) -> Interval: ...
    def probability(self, *, below: float | str | None = ..., above: float | str | None = ...) -> Probability: ...
    def contributions(self) -> list[Contribution]: ...


@dataclass(frozen=True, slots=True)
class Requirement:
    """What a quantity must satisfy, in the inside unit, and the risk of missing it that is accepted, from 0 to below 1.

    Raises `InputError` where neither limit is given, where at_most lies below at_least, and for another risk.

    >>> from fitcheck.units import MM
    >>> Requirement(at_least=0.3, at_most=1.2).words(MM)
    'at least 0.30 mm and at most 1.20 mm'
    """

    at_least: float | None = None
    at_most: float | None = None
    risk: float = 1e-3

    def __post_init__(self) -> None:
        if self.at_least is None and self.at_most is None:
            raise InputError("requirement: give at_least=, at_most= or both")
        if self.at_least is not None and self.at_most is not None and self.at_least > self.at_most:
            raise InputError(
                f"at_most = {self.at_most:g} lies below at_least = {self.at_least:g}: no value can meet both"
            )
        if not 0 <= finite("risk", self.risk) < 1:
            raise InputError(f"risk = {self.risk:g}: a probability from 0 to below 1 is needed, for example 0.001")

    def met_by(self, interval: Interval) -> bool:
        """Whether every value of the interval meets it, to within the rounding of binary numbers.

        0.1 + 0.2 is not 0.3 in binary; a stack that meets its limit exactly on paper must meet it here.
        """
        low = self.at_least is None or interval.min >= self.at_least - _rounding(self.at_least)
        return low and (self.at_most is None or interval.max <= self.at_most + _rounding(self.at_most))

    @property
    def eased(self) -> tuple[float | None, float | None]:
        """Its limits, wider by a hundredth of what `met_by` leaves to rounding, to solve for what just meets them."""
        low, high = self.at_least, self.at_most
        return (
            None if low is None else low - _rounding(low) / 100,
            None if high is None else high + _rounding(high) / 100,
        )

    def accepts(self, probability: float) -> bool:
        """Whether a probability of missing it is within the risk, to within the rounding of binary numbers.

        probability: of missing the requirement, a fraction from 0 to 1.
        """
        return probability <= self.risk * (1 + 1e-9)

    def words(self, unit: Unit, decimals: int | None = None) -> str:
        """The requirement in words, without its subject: "at least 0.30 mm".

        unit: the unit to show it in. decimals: their number; None for those customary for the unit.
        """
        parts = []
        if self.at_least is not None:
            parts.append(f"at least {unit.show(self.at_least, decimals)}")
        if self.at_most is not None:
            parts.append(f"at most {unit.show(self.at_most, decimals)}")
        return " and ".join(parts)


# No model of a workshop is good to more; the number itself stays in `Finding.probability`.
_LEAST_SAID = 1e-12


def _rounding(limit: float) -> float:
    return 1e-10 * max(1.0, abs(limit))


class Shape(NamedTuple):
    """How a quantity is spread: places in the inside unit, ascending, and the density at each."""

    places: tuple[float, ...]
    heights: tuple[float, ...]


@dataclass(frozen=True, slots=True, repr=False)
class Finding:
    """The answer to one question; lengths and other numbers are in the inside unit of `unit.kind`.

    question, name: what was asked, and about what. answer: one sentence with the numbers. quantity: what was judged, in
    words. unit: that it is shown in. requirement, verdict: what was to be met, and whether it is. nominal: mm for a
    length, the inside unit for another kind, as worst_case: its bounds, and interval: at `confidence`, a probability.
    probability: of missing the requirement. drivers: the members by their share of the variance.
    change: what would meet the requirement. assumptions, sources, cautions: a sentence each. details: words by their
    heading. drawing: what a figure draws; None for nothing.
    """

    question: str
    name: str
    answer: str
    quantity: str
    unit: Unit
    requirement: Requirement
    verdict: Verdict
    nominal: float
    worst_case: Interval
    confidence: float
    interval: Interval
    probability: Probability
    drivers: tuple[Contribution, ...]
    change: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    details: Mapping[str, str] = field(default_factory=dict)
    drawing: Any = None
    decimals: int | None = None
    """Decimals of its numbers; None for those customary for the unit."""
    of: Quantity | None = field(default=None, compare=False)
    """The quantity judged, to ask it more; None for a finding made by hand. No report needs it."""
    shape: Shape | None = None
    """How the quantity is spread, for figures; None for a finding that holds, or where nothing varies."""

    def show(self, inside: float) -> str:
        """A value of the quantity as text, in the unit and with the decimals of this finding.

        inside: the value in the inside unit: mm for a length.
        """
        return self.unit.show(inside, self.decimals)

    def in_unit(self, text: str) -> Finding:
        """The same finding with its numbers shown in the unit `text`, such as "in", to about the same resolution.

        Inside nothing changes. What was said in words (answer, change, details) keeps the unit it names: its numbers
        are rounded already, some of them to the safe side, and rounding them again could turn a limit to the unsafe
        one. For sentences in another unit, ask with notes in that unit. Raises `UnitError` for a unit of another kind.
        """
        used, kind = unit(text), self.unit.kind
        if used.kind is not kind:
            raise UnitError(
                f"unit = {text!r} is {used.kind.with_article}: "
                f"{kind.with_article} is needed, for example {kind.example}"
            )
        shown = self.unit.decimals if self.decimals is None else self.decimals
        # 0.01 mm is shown as 0.001 in: as many decimals more as the unit is times ten larger.
        return replace(self, unit=used, decimals=max(0, round(shown + math.log10(used.scale / self.unit.scale))))

    @property
    def title(self) -> str:
        """Question, name and quantity: what this finding is about."""
        return f"{self.question}{f' ({self.name})' if self.name else ''}: {self.quantity}"

    @property
    def requirement_words(self) -> str:
        """The requirement with its subject: "depth at least 0.30 mm"."""
        return f"{self.quantity} {self.requirement.words(self.unit, self.decimals)}"

    @property
    def risk_value(self) -> str:
        """The probability of missing the requirement, with its standard error where it was sampled."""
        p = self.probability
        if not p > 0 and p.standard_error:
            return f"below {p.standard_error:.1g}"
        if p.standard_error:
            return f"{p:.2g} ± {p.standard_error:.1g}"
        return f"below {_LEAST_SAID:g}" if 0 < p < _LEAST_SAID else f"{p:.2g}"

    @property
    def risk_words(self) -> str:
        """The probability of missing the requirement, and how it was found."""
        return f"{self.risk_value}, {self.probability.words}; accepted risk {self.requirement.risk:g}"

    def __str__(self) -> str:
        show = self.show
        low, high = self.worst_case
        leading = ", ".join(f"{d.name} {d.variance_share:.0%}" for d in self.drivers[:3] if d.variance_share >= 0.005)
        return "\n".join(
            [
                f"{self.verdict.upper():6} {self.answer}",
                f"       required: {self.requirement_words}",
                f"       nominal {show(self.nominal)}, worst case {show(low)} to {show(high)}, "
                f"{self.confidence:.3g} interval {show(self.interval.min)} to {show(self.interval.max)}",
                f"       probability of failing: {self.risk_words}",
                f"       driven by: {leading or 'nothing varies'}",
            ]
        )

    def __repr__(self) -> str:
        """What the REPL shows: five lines of at most 80 columns. `str` and the reports say it in full."""
        return brief(self)


class Findings(tuple[Finding, ...]):
    """The findings on one question; they print one below the other."""

    __slots__ = ()

    def __repr__(self) -> str:
        return "\n\n".join(repr(finding) for finding in self)


_INDENT = 7


_ROOM = 80 - _INDENT


_CUT = " …"


# A space that is glued does not end a line, nor a text that is cut.
_GLUE = "\u00a0"


_GLUED = re.compile(r"(?<=\d) (?=(?:[nµm]?m|in|k?N|lbf|MPa|ksi|N·m|in·lbf|deg|°C|°F|kg|%)(?![\w·]))|(?<=±) | (?=±)")


_CLAUSES = (r"[.;](?=\s)", r"[,:](?=\s)", r"(?<=\S)(?=[ ])")


def brief(finding: Finding) -> str:
    """What the REPL shows of a finding: exactly five lines of at most 80 columns."""
    answer = _wrapped(_plain(finding.answer))
    if len(answer) > 2:
        answer = _wrapped(_cut(_plain(finding.answer)))
    drivers = [(_plain(d.name), f"{d.variance_share:.0%}") for d in finding.drivers[:3] if d.variance_share >= 0.005]
    lines = [*answer, _required(finding), _numbers(finding)]
    risk = _risk(finding)
    if len(answer) > 1:
        by = f"{risk}; by " if drivers else f"{risk}; "
        lines.append(by + _leading(drivers, _ROOM - len(by)))
    else:
        lines += [risk, "driven by: " + _leading(drivers, _ROOM - len("driven by: "))]
    first, *others = (_within(line) for line in lines)
    return "\n".join([f"{finding.verdict.upper():6} {first}".rstrip(), *(" " * _INDENT + line for line in others)])


def _required(finding: Finding) -> str:
    low, high = finding.requirement.at_least, finding.requirement.at_most
    if low is not None and high is not None:
        limits = f"{_number(finding, low)} to {finding.show(high)}"
    else:
        limits = f">= {finding.show(low)}" if low is not None else f"<= {finding.show(high or 0.0)}"
    return f"required: {_short(_plain(finding.quantity), _ROOM - len(limits) - len('required:  '))} {limits}"


def _numbers(finding: Finding) -> str:
    """Nominal, worst case and interval, the unit said once; with three digits, then without the interval, if too long.

    The library's own findings never need that.
    """
    inside = (finding.nominal, *finding.worst_case, *finding.interval)
    sure = f"{100 * finding.confidence:.10g} %"
    unit = finding.unit.text
    digits = [f"{finding.unit.from_base(value):.3g}" for value in inside]
    for nominal, low, high, least, most in ([_number(finding, value) for value in inside], digits):
        line = f"nominal {nominal}, worst case {low} to {high}, {sure} {least} to {most} {unit}".rstrip()
        if len(line) <= _ROOM:
            return line
    return f"nominal {digits[0]}, worst case {digits[1]} to {digits[2]} {unit}".rstrip()


def _risk(finding: Finding) -> str:
    method = finding.probability.method
    how = "sampled" if method.sampled else method.value
    return f"risk {finding.risk_value} ({how}), accepted {finding.requirement.risk:.6g}"


def _leading(drivers: Sequence[tuple[str, str]], room: int) -> str:
    """As many of the drivers as there is room for; the first one always, its name shortened if it must be."""
    if not drivers:
        return "nothing varies"
    (name, share), *others = drivers
    said = f"{_short(name, room - len(share) - 1)} {share}"
    for name, share in others:
        if len(said) + len(f", {name} {share}") > room:
            break
        said += f", {name} {share}"
    return said


def _number(finding: Finding, inside: float) -> str:
    return finding.show(inside).removesuffix(finding.unit.text).strip()


def _plain(text: str) -> str:
    return _GLUED.sub(_GLUE, " ".join(text.split()))


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, _ROOM, break_on_hyphens=False) or [""]


def _cut(text: str) -> str:
    """The longest beginning of `text` that takes two lines with the mark of a cut and ends with a clause, or a word."""
    for ends in _CLAUSES:
        at = [match.end() for match in re.finditer(ends, text)]
        fitting = [end for end in at if len(_wrapped(text[:end] + _CUT)) <= 2]
        if fitting and fitting[-1] > _ROOM // 2:
            return text[: fitting[-1]] + _CUT
    return text[: 2 * _ROOM - len(_CUT)] + _CUT  # one endless word


def _short(text: str, room: int) -> str:
    """`text` with the words at its end left out if it is longer than `room`; a word too long for that is cut."""
    if len(text) <= room:
        return text
    kept = text[: max(room, 2) - 1]
    if text[len(kept)] != " ":
        kept = kept.rpartition(" ")[0] or kept
    return kept.rstrip(" ,;:") + "…"


def _within(line: str) -> str:
    return _short(line, _ROOM).replace(_GLUE, " ")
