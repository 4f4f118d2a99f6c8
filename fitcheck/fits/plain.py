"""A plain hole or shaft with a tolerance class: `limits("H7", 25.0)`."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from fitcheck.basis import Basis, weakest
from fitcheck.fits.classes import read_class
from fitcheck.fits.deviations import deviation_basis, limit_deviations
from fitcheck.fits.grades import tolerance_basis
from fitcheck.shown import Shown, ShownTable
from fitcheck.stack import Dimension, between
from fitcheck.units import LENGTH, MM, Unit, read_stated

STANDARD = "ISO 286-1:2010"


@dataclass(frozen=True, slots=True)
class PlainLimits(Shown):
    """The limits of size of one hole or shaft, in mm.

    tolerance_class: letter and grade, "H7". nominal: size, mm. lower_deviation, upper_deviation: EI and ES of a hole,
    ei and es of a shaft, mm. internal: True for a hole. basis: the weaker of what the tolerance and the deviation rest
    on: "printed", "rule" (of the standard, applied to such prints) or "from memory". source: names them. unit: that of
    the size as it was given, which it is shown in.
    """

    tolerance_class: str
    nominal: float
    lower_deviation: float
    upper_deviation: float
    internal: bool
    basis: Basis
    source: str
    unit: Unit = field(default=MM, compare=False, repr=False)

    @property
    def min(self) -> float:
        """Lower limit of size, mm."""
        return _sum(self.nominal, self.lower_deviation)

    @property
    def max(self) -> float:
        """Upper limit of size, mm."""
        return _sum(self.nominal, self.upper_deviation)

    @property
    def tolerance(self) -> float:
        """Width of the tolerance, mm."""
        return _sum(self.upper_deviation, -self.lower_deviation)

    def dimension(self, name: str = "") -> Dimension:
        """The hole or shaft as a dimension of a stack, mm.

        name: what it is called in tables and messages; "hole" or "shaft" without one. Raises no `InputError`: limits
        that could be found make a dimension.
        """
        return between(
            self.min,
            self.max,
            self.nominal,
            name=name or ("hole" if self.internal else "shaft"),
            unit=self.unit,
            origin=self.called,
            basis=Basis.STANDARD,
        )

    def _table(self) -> ShownTable:
        """What a notebook shows."""
        rows = [
            ("limits", self._limits),
            ("deviations", self._deviations),
            ("rests on", self.basis),
            ("source", self.source),
        ]
        return ShownTable(f"{self.called} {'hole' if self.internal else 'shaft'}", rows)

    @property
    def called(self) -> str:
        """The size with its class: "25 H7", "1.5 in H7"; a name, by ISO 286-1."""
        return f"{size_text(self.nominal, self.unit)} {self.tolerance_class}"

    @property
    def _limits(self) -> str:
        return f"{number_in(self.min, self.unit)} to {number_in(self.max, self.unit)} {self.unit.text}"

    @property
    def _deviations(self) -> str:
        ends = (number_in(one, self.unit, sign=True) for one in (self.lower_deviation, self.upper_deviation))
        return f"{' / '.join(ends)} {self.unit.text}"

    def __repr__(self) -> str:
        return f"<{self}>"

    def __str__(self) -> str:
        kind = "hole" if self.internal else "shaft"
        return f"{self.called} {kind}: {self._deviations}, {self._limits} ({self.basis})"


def limits(tolerance_class: str, nominal: Any) -> PlainLimits:
    """The limits of size of a plain hole (`"H7"`) or shaft (`"g6"`) of a nominal size [1]_.

    tolerance_class: letter and grade, capitals for a hole. nominal: size, a number in mm, a text with its unit or a
    pint quantity, over 0 up to and including 500 mm. Size steps are "over ... up to and including ...": 30 mm belongs
    to the step 18 to 30 mm. What backs each value is in `.basis` and `.source`.

    Raises `NotationError` for a class that cannot be read, `TableError` for a size, grade or letter for which
    the standard gives no value, `UnitError` or `InputError` for a nominal that is no length.

    References
    ----------
    .. [1] ISO 286-1:2010, Tables 1 to 5.

    Examples
    --------
    >>> limits("g6", 25.0).max
    24.993
    """
    size, used = read_stated(nominal, LENGTH, "nominal size")
    size = round(size, 10)  # 1.5 in are 38.1 mm
    kind = read_class(tolerance_class)
    lower, upper = limit_deviations(tolerance_class, size)
    width, width_print = tolerance_basis(kind.grade, size)
    place, place_print = deviation_basis(kind, size)
    source = f"{STANDARD}; {_backed(kind.grade, width, width_print)}; {_backed(kind.letter, place, place_print)}"
    basis = weakest(width, place)
    return PlainLimits(str(kind), size, float(lower), float(upper), kind.internal, basis, source, used or MM)


def _backed(symbol: str, basis: Basis, source: str) -> str:
    return f"{symbol} {basis}" + (f" ({source})" if source else "")


def _sum(a: float, b: float) -> float:
    # Sizes and deviations are decimals; 25 + 0.021 is 25.021 and not the float beside it.
    return round(a + b, 9)


def number_in(inside: float, unit: Unit, *, sign: bool = False) -> str:
    """A size or a deviation as a number: to a tenth of a micrometre or nearly, 4 decimals in mm and 5 in inches."""
    places = unit.decimals + 2
    if sign:
        return f"{unit.from_base(inside):+.{places}f}".rstrip("0") if inside else "0"
    return f"{unit.from_base(inside):.{places}f}"


def size_text(nominal: float, unit: Unit) -> str:
    """A nominal size as it is written before a class: "25" in mm, "1.5 in" in another unit."""
    return f"{unit.from_base(nominal):g}" if unit.is_inside else f"{unit.from_base(nominal):g} {unit.text}"
