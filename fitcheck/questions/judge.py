"""The one place where a verdict is made: where can the quantity lie, how is it spread, how likely does it fail?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import Any, NamedTuple, Protocol

from fitcheck.basis import Basis
from fitcheck.questions.finding import Finding, Quantity, Requirement, RuleOfThumb, SizeUsed, Station, Verdict
from fitcheck.questions.moves import Change, lines_of, moves_of
from fitcheck.questions.readers import stated_in
from fitcheck.questions.shape import shape
from fitcheck.questions.words import Meaning, taken_as_exact
from fitcheck.stack import Dimension, Method, Probability
from fitcheck.units import FORCE, LENGTH, STRESS, Unit


class Asker(Protocol):
    """Who asks: a question of a sheet has this to say of itself."""

    @property
    def title(self) -> str: ...
    @property
    def name(self) -> str:
        """What it is about, where the same question is asked several times."""
        ...

    @property
    def confidence(self) -> float:
        """Of the interval that is reported."""
        ...

    @property
    def station(self) -> Station:
        """Where at the bench it is met."""
        ...

    @property
    def taken_for_granted(self) -> tuple[str, ...]:
        """What its inputs assume, whatever is found: that an unknown material is the weakest of its kind."""
        ...


class Topic(NamedTuple):
    """An asker that is no question of a sheet."""

    title: str
    name: str = ""
    confidence: float = 0.99
    station: Station = Station.BENCH
    taken_for_granted: tuple[str, ...] = ()


def judge(
    asked: Asker,
    quantity: Quantity,
    requirement: Requirement,
    *,
    label: str,
    answer: str,
    means: Meaning | None = None,
    change: Sequence[str | Change] = (),
    assumptions: Sequence[str] = (),
    sources: Sequence[str] = (),
    cautions: Sequence[str] = (),
    details: Mapping[str, str] | None = None,
    drawing: Any = None,
    handover: Any = None,
    do: str = "",
    at: float | None = None,
    rules: Sequence[RuleOfThumb] = (),
    decimals: int | None = None,
    least_risk: float = 0.0,
    worn: str = "",
) -> Finding:
    """What `asked` finds: the finding on `quantity`, called `label`, against `requirement`.

    `answer` is the sentence with the numbers, and `means` what it means at the bench: the words that it starts with.
    `change` says what would meet the requirement, with the moves that carry it out where it names an amount; it is kept
    unless it holds. `sources` get what a member from a table says of itself where it has no printed source, and
    `assumptions` what was given without a tolerance, so that no finding can leave them out. Raises `InputError` where
    the confidence of `asked` is not between 0 and 1, and whatever the function of a response raises.

    Parameters
    ----------
    asked : the question, or a `Topic`
    quantity : a sum or a response; limits of the requirement are in its inside unit
    label : what the quantity is called, "depth of the blade"
    details, drawing : what the page shows besides: words by their heading, and what a figure draws
    handover : what the handover card says of it
    do : what is to be done at the bench though it holds, as words after "to": "cut the plug to 23.10 mm"
    at : where on the drawing of the device it lies, mm from the mouth or the shoulder; None for the usual place
    rules : what handbooks and the trade say of the same
    assumptions, cautions : what it takes for granted, and what to heed: a sentence each
    decimals : of the finding's numbers; None for those customary for its unit
    least_risk : the smallest probability that the evidence behind the quantity can tell (by definition: no source says
        it): none smaller is claimed, and a smaller risk that is accepted is raised to it, which the finding says
    worn : the measured threads behind it that lie outside their class, in words

    >>> import fitcheck as fc
    >>> gap = fc.dim("10.2 ± 0.1", name="room") - fc.dim("10.0 ± 0.05", name="part")
    >>> judge(Topic("gap"), gap, Requirement(at_least=0.0), label="gap", answer="It goes in.").verdict.value
    'holds'
    """
    worst = quantity.worst_case()
    probability = quantity.outside(requirement.at_least, requirement.at_most)
    if probability < least_risk:
        probability = Probability(
            least_risk, Method.EVIDENCE, evaluations=probability.evaluations, words="the least that the tests can tell"
        )
    if requirement.risk < least_risk:
        requirement = replace(requirement, risk=least_risk, asked_risk=requirement.risk)
    # The worst case of a spread without end is that of its zone, beyond which some parts lie: it alone settles nothing.
    if not requirement.accepts(probability):
        verdict = Verdict.FAILS
    else:
        verdict = Verdict.HOLDS if requirement.met_by(worst) else Verdict.LIKELY
    return Finding(
        question=asked.title,
        name=asked.name,
        answer=answer if means is None else means.said(verdict, answer),
        quantity=label,
        unit=quantity.unit,
        requirement=requirement,
        verdict=verdict,
        nominal=quantity.nominal,
        worst_case=worst,
        confidence=asked.confidence,
        interval=quantity.interval(asked.confidence),
        probability=probability,
        change=() if verdict is Verdict.HOLDS else lines_of(change),
        moves=() if verdict is Verdict.HOLDS else tuple(moves_of(change)),
        assumptions=(*asked.taken_for_granted, *assumptions, *taken_as_exact(quantity.members)),
        sources=tuple(dict.fromkeys((*sources, *_unsourced(quantity)))),
        cautions=tuple(cautions),
        details=dict(details or {}),
        drawing=drawing,
        handover=handover,
        station=asked.station,
        do=do,
        at=at,
        sizes=_sizes(quantity),
        certain=requirement.met_by(worst) and all(d.spread.bounded for d in quantity.members),
        rules=tuple(rules),
        decimals=requirement.told_by(worst, quantity.unit, decimals),
        of=quantity,
        shaped=None if verdict is Verdict.HOLDS else partial(shape, quantity),
        driven=quantity.contributions,
        means="" if means is None else means.words(verdict),
        worn=worn,
    )


def _sizes(quantity: Quantity) -> tuple[SizeUsed, ...]:
    beside = next((d.unit for d in quantity.members if d.unit.inch), None)
    return tuple(
        SizeUsed(
            name=d.name,
            note=_note(d, beside),
            basis=d.basis,
            origin=d.origin,
            spread=d.spread.name if d.half_width else "",
            assumed=bool(d.assumed),
            outside=0.0 if d.spread.bounded else float(d.spread.sf(1.0) + d.spread.cdf(-1.0)),
            measurable=d.unit.kind is LENGTH and d.half_width > 0 and d.basis in (Basis.DRAWN, Basis.STANDARD),
            called=d.called,
        )
        for d in quantity.members
        if d.half_width or d.nominal  # a size of 0 is none: a countersink that is not there
    )


def _note(d: Dimension, beside: Unit | None) -> str:
    """A size as on a drawing; a strength of a table in the units of what stands beside it."""
    if beside is not None and d.unit.kind in (STRESS, FORCE):
        d = replace(d, unit=stated_in(None, d.unit.kind, beside=beside))
    return str(d)


def _unsourced(quantity: Quantity) -> list[str]:
    return [d.origin for d in quantity.members if d.basis.unsourced]
