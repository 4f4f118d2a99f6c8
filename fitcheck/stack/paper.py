"""Normal probability paper: the share below a value stands on it where a normal spread has that share.

The shares of most that is made of several spreads are nearly a straight line there, so that a secant soon finds the
value of a share.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from fitcheck.later import special

_LEAST, _MOST = 1e-300, 1 - 1e-16
_STEPS = 8


def on_paper(share: float) -> float:
    """Where a share stands, in standard deviations; one that rounding has made 0 or 1 stands far out."""
    return float(special.ndtri(min(max(share, _LEAST), _MOST)))


class Root(NamedTuple):
    """Where a function is 0, and its slope there."""

    at: float
    slope: float


def by_secant(
    missed: Callable[[float], float], at: float, slope: float, ends: tuple[float, float], *, step: float
) -> Root | None:
    """The root of a rising, nearly straight function between two ends, from a place and a slope near it; None if it is
    not soon found there.

    step: the last step, whose square or so is what is missed then.
    """
    here = missed(at)
    for _ in range(_STEPS):
        if not 0 < slope < math.inf:
            return None
        last, at = at, at - here / slope
        if not ends[0] <= at <= ends[1]:
            return None
        if abs(at - last) < step:
            return Root(at, slope)
        there = missed(at)
        here, slope = there, (there - here) / (at - last)
    return None
