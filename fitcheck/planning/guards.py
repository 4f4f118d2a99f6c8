"""What a plan may not do though no question asks it: turn a screw harder than the line says that it is bought with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.planning.bounds import Bound
from fitcheck.planning.openings import OpenSize
from fitcheck.questions import Finding, Question, SetScrew
from fitcheck.questions.finding import Requirement
from fitcheck.questions.judge import judge
from fitcheck.questions.set_screw.torque_limits import advised_torque, printed_down, set_to
from fitcheck.stack import Dimension


@dataclass(frozen=True, slots=True)
class Guard:
    """A limit on an open size itself: the finding that says it, and its bound on further moves."""

    finding: Finding
    bound: Bound


def torque_guard(asked: Question, sizes: Sequence[OpenSize], at: Sequence[Dimension]) -> Guard | None:
    """That the most torque of a plan is not above what is advised for its screw, as printed; None without an open one.

    Who turns by hand puts on up to the upper end of the torque; a driver is set to its nominal. asked: the question
    with the open sizes. sizes: the open ones. at: the dimensions that stand for them. Raises `InputError` where the
    safe torque cannot be found.
    """
    place = next((i for i, d in enumerate(at) if isinstance(asked, SetScrew) and d is asked.hand_torque), None)
    if place is None or not isinstance(asked, SetScrew):
        return None
    hand = at[place]
    advised = most_torque(asked)
    most, rate = (hand.upper, _rate(hand)) if asked.driver is None else (hand.nominal, 1.0)
    limit = advised + (hand.upper - most)
    finding = judge(asked, hand, Requirement(at_most=max(limit, 0.0)), label="torque on the key", answer="")
    rates = np.zeros(len(sizes))
    rates[place] = rate
    half = hand.half_width or hand.nominal / 100
    return Guard(finding, Bound(rates, -np.inf, advised - most, half))


def most_torque(asked: SetScrew) -> float:
    """The torque that a screw is not to be turned with more than, as it is printed for the bench, N·m.

    asked: the question. Raises `InputError` where it cannot be found.
    """
    return max(printed_down(asked, set_to(asked, advised_torque(asked).torque)), 0.0)


def _rate(hand: Dimension) -> float:
    """How fast the upper end of a torque grows with its nominal, as its scatter is in proportion."""
    return hand.upper / hand.nominal if hand.nominal > 0 else 1.0
