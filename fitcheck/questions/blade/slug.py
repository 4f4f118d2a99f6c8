"""The slug under the blade: how long it may be, and how much can come off before its own screw loses it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.questions.finding import Requirement
from fitcheck.questions.remedy import Moves, allowed_lengths, allowed_moves
from fitcheck.stack import Dimension, Interval, Sum
from fitcheck.stack.dimension import combine
from fitcheck.units import Unit


@dataclass(frozen=True, slots=True)
class Slug:
    """A part under the blade that may be cut shorter, and the axis of the screw that keeps it in place."""

    part: Dimension
    adds: tuple[Dimension, ...]
    below: tuple[Dimension, ...]
    """What lies under it."""
    screw: Dimension
    """From the mouth to the axis of its screw."""
    requirement: Requirement

    @property
    def above_axis(self) -> Sum:
        """How far it reaches beyond the axis of its screw towards the mouth; a cut takes this away."""
        lengths = [self.screw, self.part, *self.below]
        return combine([(1.0, d) for d in lengths] + [(-1.0, d) for d in self.adds])

    @property
    def below_axis(self) -> Sum:
        """How far it reaches beyond the axis of its screw away from the mouth; a cut on top does not change this."""
        return combine([(1.0, d) for d in self.adds] + [(-1.0, d) for d in (*self.below, self.screw)])

    @property
    def most_cut(self) -> Interval:
        """The most that can be cut off to hold (`min`) and to be within the risk (`max`); below 0 where it is short."""
        worst, likely = allowed_moves(self.above_axis, self.requirement)
        return Interval(-worst.min, -likely.min)

    def cut_words(self) -> str:
        """One sentence on the most that can be cut off."""
        down, name, (worst, likely) = self.above_axis.unit.down, self.part.called, self.most_cut
        if likely <= 0:
            return f"Nothing can be cut off {name}."
        if worst <= 0:
            return f"At worst case nothing can be cut off {name}; within the risk {down(likely)} can."
        return f"At most {down(worst)} can be cut off {name} at worst case, {down(likely)} within the risk."


def working_lengths(part: Dimension, asked: Sequence[tuple[Sum, Requirement]]) -> dict[str, str]:
    """The lengths of `part` that meet all of `asked`, as rows for a report."""
    moves: Moves = allowed_lengths(part, asked)
    return {
        f"{part.called} that works {how}": interval_words(lengths, part.unit)
        for how, lengths in (("at worst case", moves.at_worst_case), ("within the risk", moves.within_risk))
    }


def interval_words(lengths: Interval, unit: Unit) -> str:
    """An interval of lengths in words; a lower end that nothing limits is left out. The upper one is finite."""
    low, high = lengths
    if low > high:
        return "none"
    places = unit.decimals_between(max(low, 0.0), high)
    if low <= 0:
        return f"at most {unit.down(high, places)}"
    return f"{unit.up(low, places)} to {unit.down(high, places)}"
