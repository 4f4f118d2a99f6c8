"""A finding on a length that is a sum of others: what the blade, port and plug questions ask again and again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.judge import judge
from fitcheck.questions.moves import Change, Effect, Resizing
from fitcheck.questions.question import Question
from fitcheck.questions.remedy import amount, needed_shift
from fitcheck.questions.words import Meaning, assumed_spreads
from fitcheck.stack import Sum


def length_finding(
    asked: Question,
    length: Sum,
    requirement: Requirement,
    *,
    label: str,
    answer: str,
    means: Meaning | None = None,
    change: Sequence[str | Change],
    cautions: Sequence[str],
    sources: Sequence[str] = ("sum of the lengths",),
    details: Mapping[str, str] | None = None,
    drawing: Any = None,
    at: float | None = None,
) -> Finding:
    """The finding of `asked` on `length`; it assumes nothing but how the lengths in it are spread."""
    return judge(
        asked,
        length,
        requirement,
        label=label,
        answer=answer,
        means=means,
        change=change,
        assumptions=assumed_spreads(length),
        sources=sources,
        cautions=cautions,
        details=details,
        drawing=drawing,
        at=at,
    )


def said(length: Sum, sentence: str) -> str:
    """`sentence` with nominal, least and greatest length in place of its three {}; the last two rounded outwards."""
    unit, (low, high) = length.unit, length.worst_case()
    return sentence.format(unit.show(length.nominal), unit.down(low), unit.up(high))


def how_to_meet(length: Sum, requirement: Requirement, how: str, *ways: Resizing) -> list[str | Change]:
    """What to do to meet a lower limit, at worst case and within the risk; `how` says by how much in place of {0}.

    `ways` are the parts that can be changed so, each alone; one of which less is left than would have to come off is
    no way, and where none is left nothing is advised.
    """
    shift = needed_shift(length, requirement)
    moves = ((shift.at_worst_case, Effect.HOLDS), (shift.within_risk, Effect.WITHIN_RISK))
    found: dict[str, Change] = {}
    for least, effect in moves:
        if not least:
            continue
        by = amount(length.unit, least)
        possible = [way for way in ways if by.inside < way.most]
        if possible:
            # Where the risk asks for as much as the worst case does, the first line says it all.
            do = how.format(by.text)
            edits = ([way.by(by.inside)] for way in possible)
            found.setdefault(by.text, Change.doing(do, effect, *edits))
    return list(found.values())
