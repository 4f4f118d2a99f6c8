"""Two or three sizes that are answered together and know the unit they are shown in: the ends of a range, a window.

They are plain tuples of numbers in the inside unit, equal to others of the same numbers; the unit says how they print
and what quantities they make.
"""

from __future__ import annotations

import math
from abc import abstractmethod
from collections.abc import Sequence
from typing import Any, ClassVar, NamedTuple, Self

from fitcheck.printed import span as told
from fitcheck.shown import ShownTable, in_a_line
from fitcheck.units import LENGTH, RATIO, Unit, quantity


class InUnit:
    """Of a named tuple: the unit that its sizes are shown in, and what it says in it."""

    unit: Unit | None = None
    """None where it is of numbers alone."""
    sizes: ClassVar[Sequence[str]] = ("min", "max")
    """The fields that are sizes."""

    def with_unit(self, unit: Unit | None) -> Self:
        """The same, shown in `unit`."""
        made: Self = type(self)(*self)  # type: ignore[misc]
        made.unit = unit
        return made

    def _replace(self, **changed: Any) -> Self:
        """As of every named tuple; the unit stays."""
        new: Self = super()._replace(**changed)  # type: ignore[misc]
        return new.with_unit(self.unit)

    @property
    @abstractmethod
    def said(self) -> str:
        """In the unit that it is shown in: "1.929 to 1.969 in"; ends that were found are rounded outwards."""

    def as_quantities(self, *, registry: Any = None) -> tuple[Any, ...]:
        """Its sizes as pint quantities in the unit that it is shown in; None for one that is open.

        registry: the caller's own pint registry; that of the application if it is not given.
        """
        used = self.unit
        given = [getattr(self, name) for name in self.sizes]
        if used is None:
            return tuple(given)
        return tuple(None if x is None or math.isinf(x) else quantity(x, used, registry) for x in given)

    @property
    def _plain(self) -> bool:
        """Whether its numbers say all: in mm, or without a unit."""
        used = self.unit
        return used is None or (used.is_inside and used.kind in (LENGTH, RATIO) and not used.text.startswith("%"))

    def __repr__(self) -> str:
        line = in_a_line(self)
        return line if self._plain else f"{line[:-1]}; {self.said})"

    def __str__(self) -> str:
        return repr(self) if self._plain else self.said

    def _repr_html_(self) -> str:
        used = self.unit
        rows = []
        for name, value in self._asdict().items():  # type: ignore[attr-defined]
            size = used is not None and not self._plain and value is not None and name in self.sizes
            shown = used.show(value, self._places) if size and used is not None else _cell(value)
            rows.append((name, shown))
        return ShownTable(type(self).__name__, rows).html()

    @property
    def _places(self) -> int:
        assert self.unit is not None
        known = [x for x in (getattr(self, name) for name in self.sizes) if x is not None]
        return self.unit.decimals_of(*known) if known else self.unit.decimals


def _cell(value: Any) -> str:
    if value is None:
        return "-"
    return f"{value:.6g}" if isinstance(value, float) else str(value)


class _Ends(NamedTuple):
    min: float
    max: float


class Interval(InUnit, _Ends):
    """Lower and upper end of a range.

    min: the lower end. max: the upper end. Both in mm, or in the inside unit of what was asked.

    >>> import fitcheck as fc
    >>> low, high = (fc.dim("2.520 ± 0.008 in") - fc.dim("0.571 ± 0.012 in")).worst_case()
    >>> round(low, 4), round(high, 4)
    (48.9966, 50.0126)
    >>> print(fc.dim("2.520 ± 0.008 in").worst_case())
    2.512 to 2.528 in
    """

    @property
    def said(self) -> str:
        """Its ends in the unit that it is shown in, rounded outwards: "1.929 to 1.969 in"; by definition of a range."""
        return told(self.min, self.max, self.unit, self._places) if self.unit is not None else ""
