"""Cutting a part to a length that two limits bound: the share of cuts that work, and which tolerance is in the way."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from fitcheck.basis import Basis
from fitcheck.stack import Dimension, Sum
from fitcheck.units import Unit


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

    def tighten(self, finest: float = 0.0) -> list[tuple[Dimension, float]]:
        """Which dimension alone, its tolerance scaled by the share given, would let a length work for every part.

        One that would have to be held within ± `finest` is left out.
        """
        missing = -self.slack
        shares = [(d, 1 - missing / amount) for d, amount in self.losses() if 0 < missing < amount]
        return [(d, share) for d, share in shares if share * d.half_width >= finest]


def tightened_words(d: Dimension, share: float) -> str:
    """A tolerance scaled by `share`, in words."""
    plus, minus = (d.upper - d.nominal) * share, (d.nominal - d.lower) * share
    unit = Unit(d.unit.text, d.unit.kind, d.unit.scale)
    places = unit.decimals + 1 if max(plus, minus) < unit.scale * 0.1 else unit.decimals
    up, down = (unit.show(x, places) for x in (plus, minus))
    return f"{d.name} to {f'± {up}' if up == down else f'+{up}/-{down}'}"


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
