"""How a number is printed: by what it says, the same in a sentence, a table and a figure.

A size is rounded to the nearest. What was found is rounded outwards, so that no worst case looks better than it is.
What is required is printed as it is where three decimals more say so, else to the strict side. What is advised is
rounded to its safe side.
"""

from __future__ import annotations

from decimal import Decimal
from enum import Enum

from fitcheck.units import Rounding, Unit


class Says(Enum):
    """What a printed number says of the thing it is a number of.

    >>> Says.LEAST_FOUND.rounding
    <Rounding.DOWN: 'down'>
    """

    SIZE = "is meant to be this"
    LEAST_FOUND = "is this at the least: the low end of a worst case or of an interval"
    MOST_FOUND = "is this at the most: the high end of a worst case or of an interval"
    AT_LEAST = "must be this at the least"
    AT_MOST = "must be this at the most"
    AS_MUCH = "is to be changed by this, or more; is to be made at least this"
    NO_MORE = "is not to pass this: a torque, a tolerance, the longest that works"

    @property
    def rounding(self) -> Rounding:
        """Which way it is rounded."""
        if self is Says.SIZE:
            return Rounding.NEAREST
        return Rounding.UP if self in (Says.MOST_FOUND, Says.AT_LEAST, Says.AS_MUCH) else Rounding.DOWN

    @property
    def required(self) -> bool:
        """Whether it is a limit of a requirement."""
        return self in (Says.AT_LEAST, Says.AT_MOST)


def printed(says: Says, inside: float, unit: Unit, decimals: int | None = None, *, bare: bool = False) -> str:
    """A number as text.

    Parameters
    ----------
    says : what it says, which decides how it is rounded
    inside : the number, in the inside unit of the kind of `unit`
    unit : that it is printed in
    decimals : their number; None for those customary for the unit
    bare : without the name of the unit, as on a drawing

    >>> from fitcheck.units import MM
    >>> [printed(says, 0.5363, MM) for says in (Says.SIZE, Says.LEAST_FOUND, Says.MOST_FOUND)]
    ['0.54 mm', '0.53 mm', '0.54 mm']
    >>> printed(Says.AT_LEAST, 0.125, MM), printed(Says.AT_LEAST, 1 / 3, MM, bare=True)
    ('0.125 mm', '0.34')
    """
    exact = unit.exact_places(inside, decimals) if says.required else None
    way, places = (says.rounding, decimals) if exact is None else (Rounding.NEAREST, exact)
    if not bare:
        return unit.show(inside, places, rounding=way)
    places = unit.decimals if places is None else places
    return f"{unit.rounded(inside, places, way):.{places}f}"


def span(low: float, high: float, unit: Unit, decimals: int | None = None, *, bare: bool = False) -> str:
    """What was found from `low` to `high`, its unit said once: both ends rounded outwards; the rest as `printed`.

    >>> from fitcheck.units import MM
    >>> span(45.654, 46.741, MM)
    '45.65 to 46.75 mm'
    """
    ends = [
        printed(says, end, unit, decimals, bare=bare)
        for says, end in ((Says.LEAST_FOUND, low), (Says.MOST_FOUND, high))
    ]
    (first, _, one), (last, _, other) = (end.partition(" ") for end in ends)
    return f"{first} to {last} {other}".rstrip() if one == other else f"{first} {one} to {last} {other}"


def choice(low: float, high: float, unit: Unit, *, bare: bool = False) -> tuple[str, str]:
    """The ends of what may be chosen between, rounded inwards, with more decimals where it is narrow.

    Where `low` is above `high` nothing may be chosen, and they are two limits that contradict each other.

    >>> from fitcheck.units import MM
    >>> choice(21.896, 24.307, MM), choice(5.001, 5.004, MM, bare=True)
    (('21.90 mm', '24.30 mm'), ('5.001', '5.004'))
    """
    places = unit.decimals_between(low, high) if low <= high else None
    first, last = ((Says.AS_MUCH, low), (Says.NO_MORE, high))
    return printed(*first, unit, places, bare=bare), printed(*last, unit, places, bare=bare)


def rounded_down(used: Unit, torque: float) -> str:
    """A torque in N·m that is not to be passed, in the unit `used`, rounded down to the two digits a hand can follow.

    >>> from fitcheck.units import unit
    >>> rounded_down(unit("N·m"), 311.65)
    '310 N·m'
    """
    shown = Decimal(repr(used.from_base(torque)))
    if not shown > 0:
        return used.show(0.0, 0)
    step = Decimal(1).scaleb(shown.adjusted() - 1)
    down = shown // step * step
    return f"{down:f} {used.text}" if step < 1 else f"{int(down)} {used.text}"
