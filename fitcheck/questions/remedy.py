"""What change would meet a requirement: how far the nominal of a sum may or must move."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from fitcheck.questions.finding import Requirement
from fitcheck.stack import Dimension, Interval, Linear


class Shift(NamedTuple):
    """How far the sum must move to hold, which is at worst case and within the accepted risk, and for the risk alone.

    `None` where no move does it, because the spread is wider than the requirement allows.
    """

    at_worst_case: float | None
    within_risk: float | None


class Moves(NamedTuple):
    """The moves of a sum by which a requirement holds (at worst case and within the risk), and within the risk alone.

    An end is infinite where nothing limits it; `min` above `max` where no move does it.
    """

    at_worst_case: Interval
    within_risk: Interval


def allowed_moves(quantity: Linear, requirement: Requirement) -> Moves:
    """All moves of `quantity`, its spread unchanged, that meet `requirement`."""
    worst = quantity.worst_case()
    known, risk = quantity.exact(), requirement.risk
    if requirement.at_least is not None and requirement.at_most is not None:
        # With two limits the risk is shared; half on either side is on the safe side.
        risk /= 2
    low, high = (known.quantile(risk), known.upper_quantile(risk)) if risk > 0 else worst
    # A normal member has tails beyond its zone: the risk may ask for more than the worst case does.
    certain = Interval(min(low, worst.min), max(high, worst.max))
    return Moves(_into(certain, requirement), _into(Interval(low, high), requirement))


def needed_shift(quantity: Linear, requirement: Requirement) -> Shift:
    """The smallest moves of `quantity` that meet `requirement`; 0 where it is met already."""
    return Shift(*(_smallest(moves) for moves in allowed_moves(quantity, requirement)))


def allowed_lengths(part: Dimension, asked: Iterable[tuple[Linear, Requirement]]) -> Moves:
    """The nominal sizes of `part`, its tolerance unchanged, that meet every requirement on every quantity.

    A quantity that does not depend on the part neither widens nor narrows them. Sizes below 0 are left out.
    """
    lows, highs = [[0.0], [0.0]], [[math.inf], [math.inf]]
    for quantity, requirement in asked:
        rate = dict(quantity.terms).get(part, 0.0)
        if rate == 0:
            continue
        for i, moves in enumerate(allowed_moves(quantity, requirement)):
            ends = sorted((moves.min / rate, moves.max / rate)) if moves.min <= moves.max else (math.inf, -math.inf)
            lows[i].append(part.nominal + ends[0])
            highs[i].append(part.nominal + ends[1])
    return Moves(*(Interval(max(low), min(high)) for low, high in zip(lows, highs, strict=True)))


def _into(zone: Interval, requirement: Requirement) -> Interval:
    return Interval(
        -math.inf if requirement.at_least is None else requirement.at_least - zone.min,
        math.inf if requirement.at_most is None else requirement.at_most - zone.max,
    )


def _smallest(moves: Interval) -> float | None:
    if moves.min > moves.max:
        return None
    return min(max(0.0, moves.min), moves.max)
