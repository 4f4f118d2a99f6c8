"""Measure next: the parts of a build by what measuring them would settle."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, overload

from fitcheck.basis import Basis
from fitcheck.errors import InputError, name_some
from fitcheck.planning.outlook import Outlook, Reading, by_readings, certain, outlook
from fitcheck.planning.replaced import parts_of, with_parts
from fitcheck.planning.workshop import Workshop
from fitcheck.questions import Finding, Question, Verdict
from fitcheck.questions.cells import OfCell
from fitcheck.questions.words import listed
from fitcheck.shown import Shown
from fitcheck.stack import Dimension, Linear
from fitcheck.stack.measured import with_reading
from fitcheck.units import LENGTH, Rounding, Unit

WORTH_A_WORD = 0.005
"""A chance below this settles nothing to speak of."""


@dataclass(frozen=True, slots=True, repr=False)
class Worth(Shown):
    """What measuring one part would settle.

    part: its name; called: what people call it. instrument: what it is measured with. uncertainty: expanded, k = 2, in
    the inside unit (mm). unit: that it is shown in. outlooks: the findings it bears on, each with the chances of its
    verdict once it is measured.
    """

    part: str
    called: str
    instrument: str
    uncertainty: float
    unit: Unit
    outlooks: tuple[tuple[Finding, Outlook], ...]

    @property
    def settles(self) -> float:
        """How many questions it settles on the average, a number: the sum of the chances."""
        return sum(after.turns(finding.verdict) for finding, after in self.outlooks)

    def lines(self) -> list[str]:
        """What it would settle, a line a finding; those first that it settles most often."""
        found = [(after.turns(finding.verdict), finding, after) for finding, after in self.outlooks]
        found = [one for one in found if one[0] >= WORTH_A_WORD]
        return [_words(finding, after) for _, finding, after in sorted(found, key=lambda one: -one[0])]


def _words(finding: Finding, after: Outlook) -> str:
    chances = [(after.holds, "it then holds as it is")] if finding.verdict is not Verdict.HOLDS else []
    if finding.verdict is not Verdict.FAILS:
        chances.append((after.fails, "it then fails, and that is known before metal is cut"))
    said = [f"with {percent(p)} {what}" for p, what in chances if p >= WORTH_A_WORD]
    return f"{_about(finding)}: {', '.join(said)}"


def _about(finding: Finding) -> str:
    return f"{finding.question}{f' ({finding.name})' if finding.name else ''}, {finding.quantity}"


_MEANS = {"caliper": "caliper", "micrometer": "micrometer", "depth_gauge": "depth gauge", "pins": "over pins"}


def percent(chance: float) -> str:
    """A chance in words, never more sure than it is.

    chance: a probability.

    >>> percent(0.826), percent(0.9996), percent(0.0004)
    ('83 %', 'more than 99 %', 'less than 1 %')
    """
    if chance >= 1 - 1e-9:
        return "100 %"
    if chance > 0.99:
        return "more than 99 %"
    return "less than 1 %" if 0 < chance < 0.01 else f"{chance:.0%}".replace("%", " %")


@dataclass(frozen=True, repr=False)
class Measurements(Sequence[Worth], Shown):
    """The parts that can be measured, the one first whose measurement settles most; they print as advice.

    rows: one a part. still_open: the findings that do not hold as long as nothing is measured. together: those among
    them on sums, each with the outlook once every part is measured. coarse: parts of which a reading is no closer than
    what is known of them.
    """

    rows: tuple[Worth, ...]
    still_open: tuple[Finding, ...]
    together: tuple[tuple[Finding, Outlook], ...] = ()
    coarse: tuple[str, ...] = ()

    @overload
    def __getitem__(self, index: int) -> Worth: ...
    @overload
    def __getitem__(self, index: slice) -> tuple[Worth, ...]: ...
    def __getitem__(self, index: int | slice) -> Worth | tuple[Worth, ...]:
        return self.rows[index]

    def __len__(self) -> int:
        return len(self.rows)

    def __iter__(self) -> Iterator[Worth]:
        return iter(self.rows)

    @property
    def first(self) -> Worth | None:
        """The part to measure first; None where no single measurement settles anything."""
        return self.rows[0] if self.rows and self.rows[0].lines() else None

    def lines(self) -> list[str]:
        """The advice, a line each."""
        if not self.rows:
            left = "Nothing is left to measure: every part that could be was measured, or no length varies."
            if self.coarse:
                parts = name_some(self.coarse)
                left = f"Nothing is worth measuring: a reading is no closer than the tolerance of {parts}."
            return [left, *(f"Change it, for measuring does not help: {_about(one)}." for one in self.still_open)]
        found = []
        for i, row in enumerate(row for row in self.rows if row.lines()):
            U = row.unit.exactly(row.uncertainty, rounding=Rounding.UP)
            head = f"Measure the {row.called}{' first' if i == 0 else ''} ({_MEANS[row.instrument]}, ± {U})"
            said = row.lines()
            found.append(f"{head}: {said[0]}." if len(said) == 1 else f"{head}:")
            found += [f"  {line}." for line in said if len(said) > 1]
        if not found and not self.still_open:
            return ["Every finding holds, and would with whatever the parts measure: measure nothing for it."]
        if not found:
            found.append("No single measurement settles an open finding.")
        settled = {id(f) for row in self.rows for f, after in row.outlooks if after.turns(f.verdict) >= WORTH_A_WORD}
        all_measured = {id(f): after for f, after in self.together}
        for finding in self.still_open:
            after = all_measured.get(id(finding))
            if after is not None and after.holds >= WORTH_A_WORD and len(self.rows) > 1:
                found.append(f"Every part measured: {_words(finding, after)}.")
            elif id(finding) not in settled:
                found.append(
                    f"Change it, for measuring {'' if after else 'one part '}does not help: {_about(finding)}."
                )
        return found

    def __str__(self) -> str:
        return "\n".join(self.lines())

    __repr__ = __str__

    def frame(self) -> Any:
        """One row a part and finding, as a pandas DataFrame: the verdict now, and the chance of each once measured."""
        import pandas as pd

        columns = [
            "part",
            "instrument",
            "question",
            "name",
            "quantity",
            "verdict",
            "holds",
            "likely",
            "fails",
            "settles",
        ]
        rows = [
            [row.part, row.instrument, f.question, f.name, f.quantity, str(f.verdict), *after, after.turns(f.verdict)]
            for row in self.rows
            for f, after in row.outlooks
        ]
        return pd.DataFrame(rows, columns=columns)


def worth_measuring(
    questions: Sequence[Question], workshop: Workshop, findings: Sequence[Sequence[Finding]] | None = None
) -> Measurements:
    """The parts of some questions, ranked by what measuring each of them would settle.

    Of a part that occurs in several questions all are counted, for it is one part. Sizes of threads count as well: a
    crest is measured as any length, a pitch diameter over pins, if the workshop has any.

    Parameters
    ----------
    questions : those of a sheet, or one
    workshop : how closely it measures
    findings : the answers to the questions, where they are known already; they are asked without

    Raises `InputError` where a question cannot be answered.

    >>> from fitcheck.questions import BladeDepth
    >>> asked = BladeDepth.read({"adds": ["64 ± 0.2"], "takes": ["14.5 ± 0.3", "8.0 ± 0.1"], "at_least": "41.2 mm"})
    >>> worth_measuring([asked], Workshop.read({"caliper": "0.02 mm"})).first.part
    'takes no. 1 (14.5 ± 0.3 mm)'
    """
    answers = [question.findings() for question in questions] if findings is None else findings
    outlooks: dict[Dimension, list[tuple[Finding, Outlook]]] = {}
    means: dict[Dimension, tuple[str, float]] = {}
    for question, found in zip(questions, answers, strict=True):
        for part, how in _measurable(question, found, workshop).items():
            means[part] = how
            outlooks.setdefault(part, []).extend(_after(question, found, part, how[1]))
    often = Counter(part.called for part, each in outlooks.items() if each)
    rows = [
        Worth(part.name, _whose(part, each, often), *means[part], part.unit, tuple(each))
        for part, each in outlooks.items()
        if each
    ]
    ranked = tuple(sorted(rows, key=lambda row: -row.settles))
    open_now = tuple(f for f in itertools.chain(*answers) if f.verdict is not Verdict.HOLDS)
    together = []
    for finding in open_now:
        if isinstance(finding.of, Linear):
            known = {part: U for part, (_, U) in means.items() if any(part is d for d in finding.of.members)}
            together.append((finding, outlook(finding, known) if known else certain(finding.verdict)))
    coarse = dict.fromkeys(
        d.called
        for question, found in zip(questions, answers, strict=True)
        for d, (_, U) in _readable(question, found, workshop).items()
        if 0 < d.half_width <= U
    )
    return Measurements(ranked, open_now, tuple(together), tuple(coarse))


def _whose(part: Dimension, each: Sequence[tuple[Finding, Outlook]], often: Mapping[str, int]) -> str:
    """What a part is called, with what was asked of it where another is called the same."""
    asked = dict.fromkeys(finding.name or finding.question for finding, _ in each)
    return f"{part.called} ({listed(list(asked))})" if often[part.called] > 1 else part.called


_AS_DRAWN = (Basis.DRAWN, Basis.STANDARD, Basis.MEMORY)


def _measurable(question: Question, found: Sequence[Finding], workshop: Workshop) -> dict[Dimension, tuple[str, float]]:
    """The lengths that a reading would narrow, each with its instrument and the uncertainty of a reading."""
    return {d: (how, U) for d, (how, U) in _readable(question, found, workshop).items() if d.half_width > U}


def _readable(question: Question, found: Sequence[Finding], workshop: Workshop) -> dict[Dimension, tuple[str, float]]:
    """The lengths that are as drawn and can be read, closely enough or not."""
    members = dict.fromkeys(d for finding in found if finding.of is not None for d in finding.of.members)
    given = parts_of(question)
    means: dict[Dimension, tuple[str, float]] = {}
    for d in dict.fromkeys((*given, *members)):
        if d in question.pitch_diameters:
            if workshop.over_pins is not None:
                means[d] = "pins", workshop.over_pins
        elif d in given or d in question.crests:
            means[d] = workshop.reading(d.name)
    return {
        d: (how, U)
        for d, (how, U) in means.items()
        if d in members and d.unit.kind is LENGTH and d.basis in _AS_DRAWN
        if not isinstance(d, OfCell)  # another one takes its place
    }


def _after(question: Question, found: Sequence[Finding], part: Dimension, U: float) -> list[tuple[Finding, Outlook]]:
    if question.chooses:
        return _by_asking(question, found, part, U)
    bears_on = [f for f in found if f.of is not None and any(part is d for d in f.of.members)]
    return [(finding, outlook(finding, {part: U})) for finding in bears_on]


def _by_asking(
    question: Question, found: Sequence[Finding], part: Dimension, U: float
) -> list[tuple[Finding, Outlook]]:
    """The outlook of a question that chooses a size itself: it is asked anew for each reading."""
    answers: dict[float, dict[str, Verdict]] = {}

    def verdict(label: str, m: float) -> Verdict:
        if m not in answers:
            try:
                again = with_parts(question, {part: with_reading(part, m, U)}).findings()
                answers[m] = {one.quantity: one.verdict for one in again}
            except InputError:  # a reading with which the question makes no sense
                answers[m] = {}
        return answers[m].get(label, Verdict.FAILS)

    reading = Reading.of(part, U)
    return [(finding, by_readings(reading, partial(verdict, finding.quantity), finding.verdict)) for finding in found]
