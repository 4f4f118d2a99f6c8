"""What change would meet a requirement: how far a sum may or must move, and how much is enough when asked again."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any, NamedTuple, TypeVar

from fitcheck.errors import InputError
from fitcheck.questions.finding import Quantity, Requirement
from fitcheck.questions.moves import Change, Effect, Resizing
from fitcheck.stack import Dimension, Interval, Linear
from fitcheck.stack.synthesis import nominal_within
from fitcheck.units import Rounding, Unit

Asked = TypeVar("Asked", bound=Any)


class Shift(NamedTuple):
    """How far the sum must move to hold, which is at worst case and within the risk, and to be within the risk alone.

    `None` where no move does it, because the spread is wider than the requirement allows.
    """

    at_worst_case: float | None
    within_risk: float | None


class Moves(NamedTuple):
    """The moves of a sum that meet a requirement at worst case and within the risk, and within the risk alone.

    An end is infinite where nothing limits it; `min` above `max` where no move does it. The worst case of a spread
    without end is that of its zone, so that the risk may ask for more than it.
    """

    at_worst_case: Interval
    within_risk: Interval


def allowed_moves(quantity: Linear, requirement: Requirement) -> Moves:
    """All moves of `quantity`, its spread unchanged, that meet `requirement`: by `nominal_within`."""
    worst = _window(quantity, requirement, 0.0)
    if not any(d.half_width for d in quantity.members):
        return Moves(worst, worst)
    # nominal_within asks for less than one half; to allow less than was accepted is on the safe side.
    likely = _window(quantity, requirement, min(requirement.risk, _MOST_RISK))
    return Moves(Interval(max(worst.min, likely.min), min(worst.max, likely.max)), likely)


_MOST_RISK = 0.49


def _window(quantity: Linear, requirement: Requirement, risk: float) -> Interval:
    """The moves that `nominal_within` finds: of a part of length 0 that is added to the sum."""
    move = Dimension(0.0, 0.0, 0.0, name="move", unit=quantity.unit)
    low, high = requirement.eased
    found = nominal_within(quantity + move, move, (low, high), risk)
    if found.least is None or found.most is None:
        return Interval(math.inf, -math.inf)
    return Interval(found.least, found.most)


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


def _smallest(moves: Interval) -> float | None:
    if moves.min > moves.max:
        return None
    return min(max(0.0, moves.min), moves.max)


class Amount(NamedTuple):
    """How much to change: the text that is printed, and the value that it stands for in the inside unit."""

    text: str
    inside: float


def amount(unit: Unit, least: float, most: float = math.inf) -> Amount:
    """How much to change: at least `least`, rounded up, with as many decimals as `most` makes it take."""
    places = unit.decimals if math.isinf(most) else unit.decimals_between(least, most)
    return Amount(unit.up(least, places), float(unit.to_base(unit.rounded(least, places, Rounding.UP))))


def enough(
    after: Callable[[float], Sequence[Quantity]], requirement: Requirement, first: float, unit: Unit, most: float
) -> float | None:
    """The first printed amount from `first` on, at most `most`, after which `requirement` holds; inside unit.

    `after` says what is asked after a change by that much. None if no amount does it. Each amount that is tried is more
    than the one before by a printed step, or by a twentieth.
    """
    shown = unit.rounded(max(first, 0.0), None, Rounding.UP)
    step = 10.0**-unit.decimals
    for _ in range(_TRIES):
        changed = float(unit.to_base(shown))
        if changed > most:
            return None
        if all(holds(one, requirement) for one in after(changed)):
            return changed
        shown = unit.rounded(float(unit.to_base(shown + max(step, shown / 20))), None, Rounding.UP)
    return None


_TRIES = 20


def least_change(
    asked: Asked, way: Resizing, quantity: Callable[[Asked], Quantity | None], requirement: Requirement, most: float
) -> float | None:
    """How far `way` must be changed, as printed, so that the quantity holds when it is asked again; inside unit.

    quantity: of the question with the part changed, which grows better the farther it is; None where it has none. most:
    the farthest that is offered; None comes back where even that does not do. The worst case is halved in on, then
    rounded to the safe side.
    """

    def after(by: float) -> list[Quantity]:
        found = quantity(dataclasses.replace(asked, **{way.key: way.by(by).value}))
        assert found is not None, "what is asked of the part does not go with its size"
        return [found]

    def can_be(by: float) -> bool:
        try:
            after(by)[0].worst_case()
        except InputError:
            return False
        return True

    def met(by: float) -> bool:
        return requirement.met_by(after(by)[0].worst_case())

    most = min(most, 0.98 * way.most)
    if not can_be(most):  # a chassis is no thinner than its bore
        most, _ = _halved(lambda by: not can_be(by), most)
    if not met(most):
        return None
    _, high = _halved(met, most)
    return enough(after, requirement, high, way.part.unit, most)


_HALVINGS = 14


def _halved(beyond: Callable[[float], bool], most: float) -> Interval:
    """Two amounts near each other, the first not `beyond` and the second so, as 0 and `most` are."""
    low, high = 0.0, most
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (low, middle) if beyond(middle) else (middle, high)
    return Interval(low, high)


def change_by(
    asked: Asked,
    line: str,
    way: Resizing,
    quantity: Callable[[Asked], Quantity | None],
    requirement: Requirement,
    most: float,
) -> Iterator[Change]:
    """The line that says by how much `way` is changed for a quantity to hold, in place of {}; none where none is needed
    or does. The rest as `least_change`.
    """
    found = quantity(asked)
    if found is None or holds(found, requirement):
        return
    by = least_change(asked, way, quantity, requirement, most)
    if by is not None:
        do = line.format(way.part.unit.up(by))
        yield Change.doing(do, Effect.HOLDS, [way.by(by)])


def holds(quantity: Quantity, requirement: Requirement) -> bool:
    """Whether a quantity meets a requirement at worst case and within the risk: the verdict without the finding."""
    return requirement.met_by(quantity.worst_case()) and requirement.accepts(
        quantity.outside(requirement.at_least, requirement.at_most)
    )
