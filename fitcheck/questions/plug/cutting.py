"""Cutting a part to a length that two limits bound: the share of cuts that work, and which tolerance is in the way."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple, cast

from fitcheck.basis import Basis
from fitcheck.later import optimize
from fitcheck.printed import choice
from fitcheck.stack import Dimension, Interval, Sum
from fitcheck.stack.synthesis import shares_that_meet, substituted
from fitcheck.units import Rounding, Unit


class Loss(NamedTuple):
    """How much of the room between the two limits a dimension takes at worst case, both ways together."""

    part: Dimension
    amount: float


@dataclass(frozen=True)
class TwoLimits:
    """A length that must keep two margins: `low` at least `low_least`, `high` at least `high_least`.

    Growing by x, the length adds x to `low` and takes x from `high`.
    """

    low: Sum
    low_least: float
    high: Sum
    high_least: float

    @property
    def slack(self) -> float:
        """What both margins together have to spare at worst case; below 0 no nominal length works for every part."""
        return self.low.worst_case().min - self.low_least + self.high.worst_case().min - self.high_least

    @property
    def exclusive(self) -> bool:
        """Whether no part within its tolerances misses both limits, so that their probabilities add up."""
        return (self.low + self.high).worst_case().min >= self.low_least + self.high_least

    def failing(self, longer: float = 0.0) -> float:
        """Probability that a length `longer` than now misses a limit; exact if `exclusive`, else an upper bound."""
        too_short = self.low.exact().cdf(self.low_least - longer)
        too_long = self.high.exact().cdf(self.high_least + longer)
        return float(min(too_short + too_long, 1.0))

    def best(self, step: float, span: float) -> float:
        """How much longer, in whole steps within ± span, the length would work most often."""
        steps = int(span / step) + 1
        # Of lengths that work alike often, the one in the middle of them.
        tried = {i: round(self.failing(i * step), 12) for i in range(-steps, steps + 1)}
        least = [i for i, p in tried.items() if p == min(tried.values())]
        return least[len(least) // 2] * step

    def losses(self) -> list[Loss]:
        """The dimensions by what they take from the room at worst case, the largest first."""
        found: dict[Dimension, float] = {}
        for margin in (self.low, self.high):
            for d, c in margin.terms:
                side = d.nominal - d.lower if c > 0 else d.upper - d.nominal
                found[d] = found.get(d, 0.0) + abs(c) * side
        return sorted((Loss(d, a) for d, a in found.items() if a > 1e-12), key=lambda loss: -loss.amount)

    def moves_that_hold(self, risk: float) -> Interval:
        """How much longer the length may be for both margins to be kept, at worst case and within `risk`.

        `min` above `max` where no length does. The risk asks for more than the worst case where a spread has no end.
        """
        worst = Interval(self.low_least - self.low.worst_case().min, self.high.worst_case().min - self.high_least)
        if worst.min > worst.max + NOISE:
            return Interval(math.inf, -math.inf)
        middle = sum(worst) / 2
        accepted = _SAFE * risk

        def excess(longer: float) -> float:
            return self.failing(longer) - accepted

        if self.failing(middle) > risk:
            return Interval(math.inf, -math.inf)
        ends = [
            end if excess(end) <= 0 or excess(middle) >= 0 else float(optimize.brentq(excess, middle, end, xtol=1e-12))
            for end in worst
        ]
        return Interval(min(ends[0], middle), max(ends[1], middle))

    def tighten(self, risk: float, finest: float = 0.0) -> list[Tighter]:
        """Which dimension alone could be held closer so that a length works for every part, and within what.

        Its tolerances are scaled and rounded down as they are printed. One that would have to be held within ± `finest`
        is left out. The length is cut to the middle afterwards.
        """
        found = []

        def missing(old: Dimension, new: Dimension) -> float:
            return -self._with(old, new).slack - NOISE

        for d, share in shares_that_meet([loss.part for loss in self.losses()], missing):
            if share is None or share == 1 or share * d.half_width < finest:
                continue
            tighter = _tighter(d, share)
            new = replace(d, lower=d.nominal - tighter.minus, upper=d.nominal + tighter.plus)
            allowed = self._with(d, new).moves_that_hold(risk)
            if allowed.min <= allowed.max:
                found.append(tighter)
        return found

    def _with(self, old: Dimension, new: Dimension) -> TwoLimits:
        low, high = (cast(Sum, substituted(margin, old, new)) for margin in (self.low, self.high))
        return replace(self, low=low, high=high)


class Tighter(NamedTuple):
    """A dimension, and the tolerances within which it would have to be held, in its inside unit."""

    part: Dimension
    plus: float
    minus: float
    decimals: int

    def words(self) -> str:
        up, down = (self.part.unit.show(x, self.decimals) for x in (self.plus, self.minus))
        return f"{self.part.called} to {f'± {up}' if up == down else f'+{up}/-{down}'}"


NOISE = 1e-10
"""mm; less than this is the rounding of binary numbers."""
_SAFE = 0.95
"""Of the risk, so that a probability that is sampled does not pass it by its own scatter."""


def _tighter(d: Dimension, share: float) -> Tighter:
    """The tolerances of `d` scaled by `share` and rounded down, with a decimal more where they are small."""
    sides = [(d.upper - d.nominal) * share, (d.nominal - d.lower) * share]
    small = max(sides) < d.unit.to_base(0.1)
    places = d.unit.decimals + (1 if small else 0)
    plus, minus = (float(d.unit.to_base(d.unit.rounded(side, places, Rounding.DOWN))) for side in sides)
    return Tighter(d, plus, minus, places)


def share_words(failing: float) -> str:
    """The share of cuts that work, in words; `failing` is the probability that one does not.

    >>> share_words(0.0004)
    '99.96 %'
    """
    if failing <= 0:
        return "every cut within these tolerances"
    if failing < 1e-4:
        return f"all but {failing:.1g} of them"
    return "none" if failing >= 1 else "almost none" if failing > 1 - 5e-5 else f"{100 * (1 - failing):.2f} %"


def was_measured(d: Dimension) -> bool:
    """Whether a dimension is a measurement of the real part."""
    return d.basis is Basis.MEASURED


def unmeasured(losses: Iterable[Loss], besides: Sequence[Dimension] = ()) -> list[Loss]:
    """The losses of dimensions that are still as drawn."""
    return [loss for loss in losses if not was_measured(loss.part) and loss.part not in besides]


def window_words(unit: Unit, window: Interval, between: str = "to") -> str:
    """A window of lengths (mm) in words, its lower end rounded up and its upper end down."""
    return f" {between} ".join(choice(*window, unit))
