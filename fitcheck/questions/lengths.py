"""A finding on a length that is a sum of others: what the blade, port and plug questions ask again and again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.judge import judge
from fitcheck.questions.question import Question
from fitcheck.questions.remedy import needed_shift
from fitcheck.questions.words import assumed_spreads
from fitcheck.stack import Sum


def length_finding(
    asked: Question,
    length: Sum,
    requirement: Requirement,
    *,
    label: str,
    answer: str,
    change: Sequence[str],
    cautions: Sequence[str],
    sources: Sequence[str] = ("sum of the lengths",),
    details: Mapping[str, str] | None = None,
    drawing: Any = None,
) -> Finding:
    """The finding of `asked` on `length`; it assumes nothing but how the lengths in it are spread."""
    return judge(
        asked,
        length,
        requirement,
        label=label,
        answer=answer,
        change=change,
        assumptions=assumed_spreads(length),
        sources=sources,
        cautions=cautions,
        details=details,
        drawing=drawing,
    )


def said(length: Sum, sentence: str) -> str:
    """`sentence` with nominal, least and greatest length in place of its three {}."""
    return sentence.format(*(length.unit.show(value) for value in (length.nominal, *length.worst_case())))


def moved(length: Sum, requirement: Requirement, how: str) -> list[str]:
    """What to do to meet a lower limit, at worst case and within the risk; `how` says by how much in place of {}."""
    shift = needed_shift(length, requirement)
    moves = ((shift.at_worst_case, "holds at worst case"), (shift.within_risk, "is within the risk"))
    return [f"{how.format(length.unit.show(move))} and it {effect}" for move, effect in moves if move]
