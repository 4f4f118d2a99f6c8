"""The open sizes that leave every finding the most room: the greatest least margin, then the next, by linear programs.

With bounds least <= rates @ x <= most, each with the scale s of its margin, the largest t with

    rates @ x - least >= t s,    most - rates @ x >= t s    for every bound

is a linear program in x and t. Bounds that are tight at its solution are held there, and the others are given the most
room that is left, until none can gain (lexicographic max-min, as for a Chebyshev centre). A t below 0 says by how much
of their spreads the bounds cannot be met. Where several x leave as much room, the one nearest to what is there is
taken: least is cut, and less still is made anew.

Reference: S. Boyd, L. Vandenberghe, Convex Optimization, 8.5.1 (Chebyshev centre), from memory.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from fitcheck.later import optimize
from fitcheck.planning.bounds import Bound
from fitcheck.units import FloatArray

_MOST = 1e4
"""Margin, in spreads, beyond which more is of no use."""
_TIGHT = 1e-9
_ANEW = 2.0
"""How much worse it is to make a part larger than it is, which takes another part, than to cut as much off."""


class Room(NamedTuple):
    """Moves of the open sizes, and the least margin that they leave, in spreads.

    x: array, in the inside unit of each size (mm). least: a number, below 0 where the bounds cannot all be met.
    """

    x: FloatArray
    least: float


def _rows(bounds: Sequence[Bound]) -> tuple[FloatArray, FloatArray, FloatArray]:
    """The bounds as rates @ x + scale t <= limit, leaving out those without a limit."""
    rates, scales, limits = [], [], []
    for one in bounds:
        if one.least > -math.inf:
            rates.append(-one.rates)
            limits.append(-one.least)
            scales.append(one.spread)
        if one.most < math.inf:
            rates.append(one.rates)
            limits.append(one.most)
            scales.append(one.spread)
    return np.array(rates), np.array(scales), np.array(limits)


def impossible(one: Bound) -> bool:
    """Whether no move at all meets a bound: its spread is wider than its limits, or it is not met and nothing moves it.

    one: the bound.
    """
    return one.least > one.most or (one.fixed and not one.least <= 0 <= one.most)


def most_room(
    bounds: Sequence[Bound],
    box: Sequence[tuple[float, float]],
    now: Sequence[float | None] | None = None,
    enough: float = _MOST,
    *,
    least_alone: bool = False,
) -> Room:
    """The moves with the greatest least margin, and of these those with the next greatest, and so on.

    bounds: of the findings. box: the least and the greatest move of each open size, in its inside unit (mm). now: the
    moves to the sizes as they are, None where there is none. enough: a number, the margin in spreads of which more is
    of no use. least_alone: whether any moves with the greatest least margin do.
    """
    n = len(box)
    if any(impossible(one) for one in bounds):
        return Room(np.array([(low + high) / 2 for low, high in box]), -math.inf)
    moving = [one for one in bounds if not one.fixed and (one.least > -math.inf or one.most < math.inf)]
    there = [0.0] * n if now is None else [0.0 if move is None else move for move in now]
    nearest = np.array([min(max(move, low), high) for move, (low, high) in zip(there, box, strict=True)])
    nought = np.zeros(n)
    stays = min((one.margin(nought) for one in bounds if one.fixed), default=_MOST)
    if not moving:
        return Room(nearest, min(stays, _MOST))
    rates, scales, limits = _rows(moving)
    held = np.zeros(len(limits), dtype=bool)
    level = np.zeros(len(limits))
    x, least, t = nearest, None, -_MOST
    for _ in range(n + 1):
        matrix = np.column_stack([rates, np.where(held, 0.0, scales)])
        found = optimize.linprog(
            np.append(np.zeros(n), -1.0),
            A_ub=matrix,
            b_ub=limits - np.where(held, level * scales, 0.0) + _TIGHT * scales * held,
            bounds=[*box, (None, enough)],
            method="highs",
        )
        if found.x is None:
            break
        x, t = found.x[:n], float(found.x[n])
        least = t if least is None else least
        tight = ~held & (found.ineqlin.marginals < -_TIGHT)
        if least_alone or not tight.any() or t >= enough:
            break
        held |= tight
        level[tight] = t
        if held.all():
            break
    if now is not None and least is not None and not least_alone:
        level[~held] = t
        x = _nearest(rates, limits - level * scales + _TIGHT * scales, box, now, x)
    least = -_MOST if least is None else min(least, stays)
    return Room(np.clip(x, [low for low, _ in box], [high for _, high in box]), least)


def _nearest(
    rates: FloatArray,
    limits: FloatArray,
    box: Sequence[tuple[float, float]],
    now: Sequence[float | None],
    x: FloatArray,
) -> FloatArray:
    """The moves nearest to `now` with rates @ x <= limits, each counted in its range; `x` where none are found."""
    n = len(box)
    weights = [0.0 if move is None else 1 / max(high - low, 1e-9) for move, (low, high) in zip(now, box, strict=True)]
    aims = np.array([0.0 if move is None else move for move in now])
    one, none = np.eye(n), np.zeros((len(limits), n))
    # x - up + down = aim, with what it costs to be above or below it
    found = optimize.linprog(
        np.concatenate([np.zeros(n), _ANEW * np.array(weights), weights]),
        A_ub=np.hstack([rates, none, none]),
        b_ub=limits,
        A_eq=np.hstack([one, -one, one]),
        b_eq=aims,
        bounds=[*box, *[(0.0, None)] * (2 * n)],
        method="highs",
    )
    return x if found.x is None else np.asarray(found.x[:n])


def contradiction(groups: Sequence[Sequence[Bound]], box: Sequence[tuple[float, float]]) -> tuple[int, ...]:
    """The smallest set of findings whose bounds cannot be met together: their places; empty if all can.

    Sets of one, two and three are all tried. If it takes more, findings are left out one by one as long as the rest
    still cannot be met, which leaves a set of which every one is needed.

    groups: the bounds of each finding. box: as for `most_room`.
    """

    def met(places: Sequence[int]) -> bool:
        return _can_be_met([bound for i in places for bound in groups[i]], box)

    every = range(len(groups))
    if met(every):
        return ()
    for size in range(1, min(3, len(groups)) + 1):
        for places in itertools.combinations(every, size):
            if not met(places):
                return places
    left = list(every)
    for i in every:
        rest = [j for j in left if j != i]
        if rest and not met(rest):
            left = rest
    return tuple(left)


def _can_be_met(bounds: Sequence[Bound], box: Sequence[tuple[float, float]]) -> bool:
    return most_room(bounds, box, enough=1.0, least_alone=True).least >= -_TIGHT


def relaxed_by(groups: Sequence[Sequence[Bound]], place: int, box: Sequence[tuple[float, float]]) -> float | None:
    """By how much the limits of one finding must be relaxed for all findings to be met; None if that is not enough.

    In the inside unit of the finding (mm, N). groups, box: as for `contradiction`. place: of the finding.
    """
    others = [bound for i, group in enumerate(groups) if i != place for bound in group]
    if any(impossible(one) for one in others) or any(one.least > one.most for one in groups[place]):
        return None
    if any(one.least == math.inf for one in groups[place]):
        return None
    n = len(box)
    rates, _, limits = _rows([one for one in others if not one.fixed])
    mine, _, my_limits = _rows(groups[place])
    matrix = np.vstack(
        [
            *([np.column_stack([rates, np.zeros(len(limits))])] if len(limits) else []),
            *([np.column_stack([mine, -np.ones(len(my_limits))])] if len(my_limits) else []),
        ]
    )
    found = optimize.linprog(
        np.append(np.zeros(n), 1.0),
        A_ub=matrix,
        b_ub=np.concatenate([limits, my_limits]),
        bounds=[*box, (0.0, None)],
        method="highs",
    )
    return None if found.x is None else float(found.x[n])
