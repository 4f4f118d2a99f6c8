"""Other set screws that would do: a length that is sold with more thread in the wall, and how many hold."""

from __future__ import annotations

import dataclasses
import math
from typing import Any, NamedTuple

from fitcheck.errors import InputError
from fitcheck.questions.moves import Edit
from fitcheck.questions.set_screw.standard import length_zone_of
from fitcheck.questions.set_screw.strength import SetScrew
from fitcheck.questions.set_screw.torque_limits import passes, printed_down, set_to
from fitcheck.stack import Dimension
from fitcheck.stack.synthesis import moved

_MORE = 0.2
"""Threads by which another screw must be better to be offered."""
_STEPS, _NEAR = 6, 0.001
"""Steps towards a torque that holds what is asked, and how near is near enough; it holds no less in any case."""
_MOST_SCREWS = 12
"""Screws that still find room around a tube."""


class Longer(NamedTuple):
    """A standard screw with more thread in the wall."""

    length: float
    threads: float


def longer_screw(q: SetScrew) -> Longer | None:
    """The shortest standard screw that has nearly the most threads in this wall, where it has more than the one asked.

    Its length and its incomplete thread vary as the standards let them.
    """
    if q.size is None:
        return None
    found = []
    for length in q.size.lengths(q.point):
        zone = length_zone_of(q.size, length, q.screw)
        if zone.upper <= q.sizes["point_length"].lower:
            continue
        try:
            other = dataclasses.replace(q, screw_length=zone)
        except InputError:  # too short to reach the blade
            continue
        found.append(Longer(length, other.threads_engaged.nominal))
    most = max((one.threads for one in found), default=0.0)
    if most < q.threads_engaged.nominal + _MORE:
        return None
    return next(one for one in found if one.threads > most - _MORE / 2)


def torque_to_hold(q: SetScrew, put_on: Dimension, safe: float) -> float | None:
    """By how much `put_on` must be multiplied to hold what is asked at worst case; None where that passes `safe` N·m.

    The hold at worst case is not in proportion to the torque: a locking takes its share of the torque, and the cold of
    the load.
    """
    tool = passes(q)
    most = min(safe, math.inf if tool is None else tool.torque)

    def least(torque: float) -> float:
        return q.hold_at(q.put_on_up_to(torque)).worst_case().min

    if not most > 0 or (held := least(most)) < q.demand:
        return None
    low, at_low, high = 0.0, 0.0, most
    for _ in range(_STEPS):
        if held - q.demand <= _NEAR * q.demand:
            break
        between = low + (q.demand - at_low) / (held - at_low) * (high - low)
        found = least(between)
        if found >= q.demand:
            high, held = between, found
        else:
            low, at_low = between, found
    return high / put_on.upper


def placed(q: SetScrew) -> tuple[str, ...]:
    """The inputs that say where the present screws stand, which says nothing of other screws: those that are given."""
    along = ("angles", "side", "blade_out", "seated", "screws_at")
    return tuple(key for key in along if key == "angles" or getattr(q, key) is not None)


class Screws(NamedTuple):
    """How many, and the torque that is safe for all of them as it is printed, N·m."""

    number: int
    torque: float


def screws_to_hold(q: SetScrew) -> Screws | None:
    """Such screws that hold what is asked at worst case at their safe torque, in any directions; None beyond a dozen.

    More screws strip oftener, so the torque that is safe for all of them is less.
    """
    tool = passes(q)
    unplaced: dict[str, Any] = dict.fromkeys(placed(q))

    def so_many(n: int) -> Screws | None:
        more = dataclasses.replace(q, screws=n, **unplaced)
        safe = min(q.safe_torque_of(n), more.safe_for_blade, math.inf if tool is None else tool.torque)
        if safe <= 0:
            return None
        torque = printed_down(q, set_to(q, safe))
        held = more.hold_at(q.put_on_up_to(torque * (1 + (q.driver or 0.0)))).worst_case().min
        return Screws(n, torque) if held >= q.demand else None

    # Each screw adds more than the lower torque of all takes away, so that the least number is between two.
    few, enough = q.screws, so_many(_MOST_SCREWS) if q.screws < _MOST_SCREWS else None
    while enough is not None and enough.number - few > 1:
        found = so_many((few + enough.number) // 2)
        if found is None:
            few = (few + enough.number) // 2
        else:
            enough = found
    return enough


def turned_with(q: SetScrew, torque: float) -> Edit:
    """The edit for a driver that is set to a torque, N·m, or for a hand that never passes it."""
    return Edit("hand_torque", q.put_on_up_to(torque) if q.driver is None else moved(q.hand_torque, torque))
