"""Other set screws that would do, and ways to turn them: a length that is sold with more thread, how many, a driver."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from fitcheck.errors import InputError
from fitcheck.questions.moves import Edit
from fitcheck.questions.set_screw.hands import takes_driver
from fitcheck.questions.set_screw.refused import refuse_length
from fitcheck.questions.set_screw.standard import length_zone_of
from fitcheck.questions.set_screw.strength import SetScrew
from fitcheck.questions.set_screw.torque_limits import down, passes, places, printed_down, set_to
from fitcheck.stack import Dimension, dimension
from fitcheck.stack.synthesis import moved
from fitcheck.units import Rounding

_MORE = 0.2
"""Threads by which another screw must be better to be offered."""
_STEPS, _NEAR = 6, 0.001
"""Steps towards a torque that holds what is asked, and how near is near enough; it holds no less in any case."""
MOST_SCREWS = 12
"""Screws that still find room in a tube."""


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
    others = []
    for length in q.size.lengths(q.point):
        sizes = q.sizes_of(length_zone_of(q.size, length, q.screw))
        if sizes["screw_length"].upper <= q.sizes["point_length"].lower:
            continue
        try:
            refuse_length(q, sizes)
        except InputError:  # too short to reach the blade
            continue
        others.append((length, sizes))
    if not others:
        return None
    nominal = {key: np.array([sizes[key].nominal for _, sizes in others]) for key in q.sizes}
    threads = np.asarray(q.length(nominal)) / q.screw.pitch
    found = [Longer(length, float(n)) for (length, _), n in zip(others, threads, strict=True)]
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


class TorqueWindow(NamedTuple):
    """Torques between which the screws hold what is asked and strip nothing, N·m, as they are printed in `between`.

    The lowest is the least that a hand may put on, or a driver be set to; the highest the most. marks: whether they are
    printed with no more decimals than a torque that is advised.
    """

    lowest: float
    highest: float
    between: str
    marks: bool


def torque_window(q: SetScrew, put_on: Dimension, safe: float) -> TorqueWindow | None:
    """The torques with which what is asked is held at worst case; None where none is.

    put_on: what is put on the key, N·m. safe: not to be passed, N·m.
    """
    if (needed := torque_to_hold(q, put_on, safe)) is None:
        return None
    # What the least of the scatter must be, or what a driver must be set to; rounded up.
    used = put_on.unit
    least, most = (put_on.lower if q.driver is None else put_on.nominal) * needed, set_to(q, safe)
    if least > most:
        return None
    decimals = used.decimals_between(least, most)
    printed = used.rounded(least, decimals, Rounding.UP), used.rounded(most, decimals, Rounding.DOWN)
    lowest, highest = (float(used.to_base(shown)) for shown in printed)
    between = f"at least {used.up(least, decimals)}, and no more than {used.down(most, decimals)}"
    if lowest == highest:
        between = used.down(most, decimals)
    return TorqueWindow(lowest, highest, between, decimals <= places(used, most))


DRIVERS = (0.06, 0.03)
"""How far torque drivers are off what they are set to, either way: those up to 10 N·m by ISO 6789-1:2017 (from memory),
and good ones (common practice, no source)."""


def with_drivers(q: SetScrew) -> Iterator[SetScrew]:
    """The question with a torque driver that scatters less than what turns its screws now, the usual driver first."""
    now = q.put_on.upper / q.put_on.nominal - 1
    for off in DRIVERS:
        if off < now:
            exact = dimension(q.hand_torque.nominal, name=q.hand_torque.name, unit=q.hand_torque.unit)
            yield dataclasses.replace(q, driver=off, hand_torque=exact)


def placed(q: SetScrew) -> tuple[str, ...]:
    """The inputs that say where the present screws stand, which says nothing of other screws: those that are given."""
    along = ("angles", "side", "blade_out", "seated", "screws_at")
    return tuple(key for key in along if key == "angles" or getattr(q, key) is not None)


@dataclass(frozen=True, slots=True)
class Screws:
    """So many screws, the torque that is safe for all of them as it is printed, N·m, and whether they stand in a row.

    Not in a row they may stand in any directions, as evenly spread around: then the bore holds nothing.
    """

    number: int
    torque: float
    in_row: bool

    @property
    def angles(self) -> tuple[float, ...] | None:
        """Their directions, radians; None for any."""
        return (0.0,) * self.number if self.in_row else None

    @property
    def where(self) -> str:
        """Where they stand, in words."""
        if self.in_row:
            return "in one row"
        return "in any directions" + (f", such as {360 / self.number:.3g}° apart" if self.number > 1 else "")


def screws_to_hold(
    q: SetScrew, demand: float, first: int = 1, *, in_row: bool = False, by: SetScrew | None = None
) -> Screws | None:
    """The fewest screws, from `first` on, that hold `demand` N at worst case at their safe torque; None beyond a dozen.

    More screws strip oftener, so the torque that is safe for all of them is less, and so is what each of them holds: n
    of them hold no more than n times what one of fewer does, which says how many to try next. by: the question with
    another driver, that turns them.
    """
    number = first
    while number <= MOST_SCREWS:
        screws, held = _held_by(q, number, in_row, by or q)
        if screws is None or held >= demand:
            return screws
        if not held > 0:
            return None
        number = max(number + 1, math.ceil(demand * number / held * (1 - _ROUNDING)))
    return None


def between_axes(q: SetScrew) -> float:
    """The least from axis to axis of two screws in one row, mm: 1.5 diameters, so that metal is left between the holes
    (common practice, no source).
    """
    return 1.5 * q.screw.nominal


def other_screws(q: SetScrew, by: SetScrew | None = None) -> tuple[Screws, ...]:
    """More screws in any directions, and fewer or as many in one row, that hold what is asked; none beyond a dozen.

    by: the question with another driver, that turns them.
    """
    around = screws_to_hold(q, q.demand, q.screws + 1, by=by)
    # A row asks for no more screws than there are, unless they stand in one.
    row = screws_to_hold(q, q.demand, q.screws + (1 if q.share == 1 else 0), in_row=True, by=by)
    if row is not None and around is not None and row.number >= around.number:
        row = None
    # Where the depth of the socket is known, so is the room for a row.
    if (
        row is not None
        and q.seated is not None
        and (row.number - 1) * between_axes(q) > q.seated.lower - q.screw.nominal
    ):
        row = None
    return tuple(one for one in (around, row) if one is not None)


_ROUNDING = 1e-9
"""By which a whole number may be passed in rounding."""


@lru_cache(maxsize=2 * MOST_SCREWS)
def _held_by(q: SetScrew, number: int, in_row: bool, by: SetScrew) -> tuple[Screws | None, float]:
    """So many screws at their safe torque, and what they hold at worst case, N; None where no torque is safe.

    Kept for the question at hand, of which several demands are asked. by: the question with what turns them.
    """
    unplaced: dict[str, Any] = dict.fromkeys(placed(q))
    unplaced |= {"angles": (0.0,) * number if in_row else None}
    more = dataclasses.replace(q, screws=number, **unplaced)
    tool = passes(q)
    # What strips does not depend on who turns: `q` knows it already.
    safe = min(q.safe_torque_of(number), more.safe_for_blade, math.inf if tool is None else tool.torque)
    if safe <= 0:
        return None, 0.0
    torque = printed_down(by, set_to(by, safe))
    held = more.hold_at(by.put_on_up_to(torque * (1 + (by.driver or 0.0)))).worst_case().min
    return Screws(number, torque, in_row), held


def each_turned(q: SetScrew, torque: float, tool: str = "the driver") -> str:
    """What is said of screws that may be turned with no more than a torque, N·m; of a driver what it is set to.

    tool: what the driver is called.
    """
    how = "turned with" if q.driver is None else f"with {tool} set to"
    return f"each {how} no more than {down(q.put_on.unit, torque)}{takes_driver(q, torque)}"


def a_driver(q: SetScrew) -> str:
    """A torque driver as accurate as that of a question, in words."""
    assert q.driver is not None
    return f"a torque driver of ± {100 * q.driver:.3g} % or better"


def turned_with(q: SetScrew, torque: float) -> Edit:
    """The edit for a driver that is set to a torque, N·m, or for a hand that never passes it."""
    return Edit("hand_torque", q.put_on_up_to(torque) if q.driver is None else moved(q.hand_torque, torque))
