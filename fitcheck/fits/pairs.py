"""A hole and a shaft of one nominal size: `fit("25 H7/g6")`."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from fitcheck.basis import Basis, weakest
from fitcheck.errors import NotationError, brief
from fitcheck.fits.plain import PlainLimits, limits, number_in
from fitcheck.shown import Shown
from fitcheck.stack import Sum
from fitcheck.tables import table

Kind = Literal["clearance", "transition", "interference"]

_PAIR = re.compile(r"(?P<size>.+?)\s*(?P<first>[A-Za-z]+[0-9]+)\s*/\s*(?P<second>[A-Za-z]+[0-9]+)")
_BACKED = {
    Basis.PRINTED: "limits as printed in the tables of ISO 286",
    Basis.RULE: "limits by a rule of ISO 286 from its printed tables",
    Basis.MEMORY: "limits of ISO 286, from memory",
}
_ACCEPTED = "a size, the class of the hole, '/' and the class of the shaft are needed, for example '25 H7/g6'"


@dataclass(frozen=True, slots=True)
class Fit(Shown):
    """A hole and a shaft of the same nominal size, and what lies between them, in mm; shown in the unit of the size.

    Clearance is hole minus shaft and carries its sign: a negative clearance is an interference of that size,
    and the other way round (ISO 286-1:2010, 3.3).
    """

    hole: PlainLimits
    shaft: PlainLimits

    @property
    def clearance_min(self) -> float:
        """The smallest hole with the largest shaft, mm; negative where they interfere."""
        return round(self.hole.lower_deviation - self.shaft.upper_deviation, 9)

    @property
    def clearance_max(self) -> float:
        """The largest hole with the smallest shaft, mm; negative where they interfere."""
        return round(self.hole.upper_deviation - self.shaft.lower_deviation, 9)

    @property
    def interference_min(self) -> float:
        """The smallest shaft in the largest hole, mm; negative where there is clearance."""
        return 0.0 - self.clearance_max  # 0.0 - 0.0 is 0.0, and -(0.0) is -0.0

    @property
    def interference_max(self) -> float:
        """The largest shaft in the smallest hole, mm; negative where there is clearance."""
        return 0.0 - self.clearance_min

    def clearance_sum(self) -> Sum:
        """The clearance, hole minus shaft, as a sum of dimensions, mm, to be added and asked for a probability.

        Each call makes a hole and a shaft of its own: keep the sum to use one pair twice.

        >>> fit("25 H7/g6").clearance_sum()
        <sum of 2: 0.024 mm, worst case 0.007 mm to 0.041 mm; all spreads assumed uniform>
        """
        hole, shaft = (replace(d, nominal=d.middle) for d in (self.hole.dimension(), self.shaft.dimension()))
        return hole - shaft

    @property
    def span(self) -> float:
        """How much the clearance can vary, mm: the sum of both tolerances."""
        return round(self.hole.tolerance + self.shaft.tolerance, 9)

    @property
    def kind(self) -> Kind:
        """Always loose or just touching: clearance; always tight or just touching: interference; else transition."""
        if self.clearance_min >= 0:
            return "clearance"
        return "interference" if self.clearance_max <= 0 else "transition"

    @property
    def basis(self) -> Basis:
        """The weaker of what backs the hole and the shaft."""
        return weakest(self.hole.basis, self.shaft.basis)

    def __repr__(self) -> str:
        return f"<{self}>"

    def __str__(self) -> str:
        unit = self.hole.unit
        low, high = number_in(self.clearance_min, unit), number_in(self.clearance_max, unit)
        tight, tightest = number_in(self.interference_min, unit), number_in(self.interference_max, unit)
        between = {
            "clearance": f"clearance {low} to {high} {unit.text}",
            "transition": f"from clearance {high} to interference {tightest} {unit.text}",
            "interference": f"interference {tight} to {tightest} {unit.text}",
        }[self.kind]
        pair = f"{self.hole.called}/{self.shaft.tolerance_class}"
        return f"{pair}, {self.kind} fit: {between} ({_BACKED[self.basis]})"


def fit(text: str) -> Fit:
    """The fit written as size, class of the hole, '/' and class of the shaft: `"25 H7/g6"`, `"Ø12 mm H8/f7"` [1]_.

    text: the size is in mm unless it carries another unit of length (`"1 in H7/g6"`).
    Raises `NotationError` for a text that cannot be read or names the shaft first, and what `limits` raises.

    References
    ----------
    .. [1] ISO 286-1:2010, clauses 3.3 and 4.2, and Tables 1 to 5.

    Examples
    --------
    >>> fit("25 H7/g6").clearance_max
    0.041
    """
    match = _PAIR.fullmatch(text.strip()) if isinstance(text, str) and len(text) < 80 else None
    if match is None:
        raise NotationError(f"fit {brief(text)}: {_ACCEPTED}")
    nominal = match["size"].lstrip("Øø⌀ ")
    first, second = limits(match["first"], nominal), limits(match["second"], nominal)
    if first.internal and not second.internal:
        return Fit(hole=first, shaft=second)
    if second.internal and not first.internal:
        pair = f"{match['second']}/{match['first']}"
        raise NotationError(f"fit {brief(text)} names the shaft first: write '{match['size']} {pair}'")
    both = "holes (capitals)" if first.internal else "shafts (small letters)"
    raise NotationError(f"fit {brief(text)} has two {both}: {_ACCEPTED}")


@dataclass(frozen=True, slots=True, repr=False)
class PreferredFit(Shown):
    """One of the fits a standard puts forward before others.

    pair: classes of hole and shaft, "H7/g6". basis_system: "hole" or "shaft", whichever has its deviation at 0. kind:
    holds for sizes over 3 mm. name: the standard's word for it, empty where it has none. standard: which one.
    """

    pair: str
    basis_system: Literal["hole", "shaft"]
    kind: Kind
    name: str
    standard: str


@lru_cache(maxsize=1)
def preferred_fits() -> tuple[PreferredFit, ...]:
    """Preferred fits from loose to tight [1]_ [2]_; `fit(f"25 {preferred.pair}")` gives one at a size.

    References
    ----------
    .. [1] ANSI B4.2 (1978), from memory.
    .. [2] ISO 286-1:2010, from memory; the table is tables/iso286_preferred_fits.csv.

    Examples
    --------
    >>> preferred_fits()[0].pair
    'H11/c11'
    """
    return tuple(PreferredFit(**row) for row in table("iso286_preferred_fits").rows)
