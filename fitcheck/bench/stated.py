"""Numbers that remember the unit they were stated in, so that answers can use it."""

from __future__ import annotations

from fitcheck.units import Kind, Unit, unit


class Stated(float):
    """A number in the inside unit that remembers the unit it was stated in."""

    unit: Unit

    def __new__(cls, inside: float, used: Unit) -> Stated:
        self = super().__new__(cls, inside)
        self.unit = used
        return self


def stated_in(value: float | None, kind: Kind) -> Unit:
    """The unit in which to answer about `value`: the one it was stated in, else the inside unit of its kind."""
    return value.unit if isinstance(value, Stated) else unit(kind.base)
