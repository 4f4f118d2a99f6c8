"""What stands in the way of a plan: the requirements that contradict each other, and what relaxing each would cost."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.planning.bounds import Bound, Level, bounds_of
from fitcheck.planning.most_room import contradiction, relaxed_by
from fitcheck.planning.openings import OpenSize
from fitcheck.planning.search import Outcome, Row
from fitcheck.questions import Finding
from fitcheck.shown import Shown
from fitcheck.stack import Dimension, Linear

_Box = Sequence[tuple[float, float]]
_DOUBLED = 16
_HALVES = 30


@dataclass(frozen=True, slots=True, repr=False)
class Conflict(Shown):
    """A requirement that stands in the way of others.

    finding: with the sizes that miss least. relax: by how much its limit must be relaxed for the plan to work, in the
    inside unit of the finding (mm, N); None if that alone is not enough. alone: whether it cannot be met even if
    nothing else is asked.
    """

    finding: Finding
    relax: float | None
    alone: bool = False

    def __str__(self) -> str:
        f = self.finding
        about = f"{f.question}{f' ({f.name})' if f.name else ''}: {f.requirement_words}"
        if self.relax is None:
            return f"{about}; relaxing it alone is not enough"
        low, high, by = f.requirement.at_least, f.requirement.at_most, f.unit.up(self.relax, f.decimals)
        limits = [] if low is None else [f"at least {f.unit.down(low - self.relax, f.decimals)}"]
        limits += [] if high is None else [f"at most {f.unit.up(high + self.relax, f.decimals)}"]
        return f"{about}; relaxed by {by}, to {' and '.join(limits)}, the rest can be met"


def conflicts_of(
    outcome: Outcome, sizes: Sequence[OpenSize], at: Sequence[Dimension], box: _Box
) -> tuple[Conflict, ...]:
    """What stands in the way: every requirement that cannot be met by itself, or else those that contradict each other.

    outcome: of a search; nothing stands in the way of one that found sizes. sizes: that are open; at: the dimensions
    that stand for them at its point. box: the moves that the ranges leave from there, in their inside units (mm).
    """
    here = outcome.point
    if not outcome.conflict:
        return ()
    alone = [i for i, row in enumerate(here.rows) if contradiction([row.group], box)]
    named = alone or [i for i, row in enumerate(here.rows) if row.place in outcome.conflict] or [here.worst]
    found = []
    for i in named:
        row = here.rows[i]
        others = [one.group for j, one in enumerate(here.rows) if j != i and j not in alone]
        relax = relaxed_by([*others, row.group], len(others), box)
        if relax is None:
            level = outcome.levels.get(row.place, Level.HOLDS)
            relax = _widened(row, others, level, sizes, at, box)
        found.append(Conflict(row.finding, relax, alone=bool(alone)))
    return tuple(found)


def _widened(
    row: Row,
    others: Sequence[Sequence[Bound]],
    level: Level,
    sizes: Sequence[OpenSize],
    at: Sequence[Dimension],
    box: _Box,
) -> float | None:
    """By how much both limits of a sum must be further apart than its spread; None where that is not enough."""
    finding, scale = row.finding, row.group[0].spread
    if not isinstance(finding.of, Linear) or row.bent or row.guard:
        return None

    def met(by: float) -> bool:
        low, high = finding.requirement.at_least, finding.requirement.at_most
        wider = dataclasses.replace(
            finding.requirement,
            at_least=None if low is None else low - by,
            at_most=None if high is None else high + by,
        )
        again = dataclasses.replace(finding, requirement=wider)
        return not contradiction([*others, tuple(bounds_of(again, sizes, at, level))], box)

    enough = next((scale * 2.0**k for k in range(-4, _DOUBLED) if met(scale * 2.0**k)), None)
    if enough is None:
        return None
    short, by = 0.0, enough
    for _ in range(_HALVES):
        middle = (short + by) / 2
        short, by = (short, middle) if met(middle) else (middle, by)
    return by
