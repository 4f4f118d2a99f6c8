"""What change would meet a requirement: how far the nominal of a sum must move."""

from __future__ import annotations

from typing import NamedTuple

from fitcheck.bench.finding import Requirement
from fitcheck.stack import Linear


class Shift(NamedTuple):
    """How far the sum must move to meet the requirement at worst case, and within the accepted risk.

    `None` where no move does it, because the spread is wider than the requirement allows.
    """

    at_worst_case: float | None
    within_risk: float | None


def needed_shift(quantity: Linear, requirement: Requirement) -> Shift:
    """The smallest moves of `quantity` that meet `requirement`; 0 where it is met already."""
    worst = quantity.worst_case()
    at_worst = _move_into(worst.min, worst.max, requirement)
    known, risk = quantity.exact(), requirement.risk
    if requirement.at_least is not None and requirement.at_most is not None:
        # With two limits the risk is shared; half on either side is on the safe side.
        risk /= 2
    low, high = (known.quantile(risk), known.quantile(1 - risk)) if risk > 0 else worst
    # The risk never asks for more than the worst case does: a normal member has tails beyond its zone.
    within = _move_into(max(low, worst.min), min(high, worst.max), requirement)
    return Shift(at_worst, within)


def _move_into(low: float, high: float, requirement: Requirement) -> float | None:
    up = max(requirement.at_least - low, 0.0) if requirement.at_least is not None else 0.0
    down = max(high - requirement.at_most, 0.0) if requirement.at_most is not None else 0.0
    if up and down:
        return None
    if up and requirement.at_most is not None and high + up > requirement.at_most:
        return None
    if down and requirement.at_least is not None and low - down < requirement.at_least:
        return None
    return up - down
