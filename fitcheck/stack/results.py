"""What a stack answers with: a probability that knows how it was found, what a dimension contributes, the shortest
interval, and the words for what was assumed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from enum import StrEnum
from typing import Any, NamedTuple, Protocol

import numpy as np

from fitcheck.errors import InputError, brief
from fitcheck.later import optimize
from fitcheck.printed import Says, printed
from fitcheck.shown import ShownTable, shown
from fitcheck.stack.ends import Interval
from fitcheck.stack.member import Member
from fitcheck.units import LENGTH, MM, Unit, is_quantity, read_beside, read_stated, unit_of_quantity


@shown
class Contribution(NamedTuple):
    """What one dimension does to a result.

    name: the name of the dimension, and called: what people call it. sensitivity: the change of the result for a unit
    change of the dimension, in the unit of the result over that of the dimension (a plain number where both are one
    unit); of a function, the mean over its spread. worst_case_share and variance_share: how much of the worst-case
    range and of the variance is due to it, each a fraction; each column of shares sums to 1. A share of the variance
    can be negative if dimensions are correlated and work against each other.
    """

    name: str
    sensitivity: float
    worst_case_share: float
    variance_share: float
    called: str = ""


class Method(StrEnum):
    """How a probability was found; the value is the word for it."""

    EXACT = "exact"
    NO_VARIATION = "no dimension varies"
    WORST_CASE = "worst case"
    SAMPLING = "sampling"
    AVERAGE = "average over samples"
    """Of the probability given all dimensions but one or two, which is exact: `fitcheck.stack.grown`."""
    IMPORTANCE = "importance sampling"
    FIRST_ORDER = "first order"
    EVIDENCE = "no less can be told"
    """Not the probability itself but what it lies below: the evidence tells no smaller one."""

    @property
    def sampled(self) -> bool:
        """Whether it was drawn at random, so that it has a standard error."""
        return self in (Method.SAMPLING, Method.AVERAGE, Method.IMPORTANCE)


_LEAST_SAID = 1e-12  # no model of a workshop is good to more; the number itself stays


class Probability(float):
    """A probability that knows how it was found.

    Parameters
    ----------
    value : the probability; rounding beyond 0 and 1 is cut off
    method : how it was found; `words` says it with its particulars, such as the number of points
    standard_error : 0 unless it was sampled; if no sampled point failed, what the probability is likely to be below
    reason : why the method was chosen, and whose spread was assumed because nobody stated it
    evaluations : calls of the function, one a point

    >>> import fitcheck as fc
    >>> p = (fc.dim("10 ± 0.1, normal") - fc.dim("9.8 ± 0.1, normal")).probability(below=0.1)
    >>> f"{p:.4f}", p.method, p.words
    ('0.0169', <Method.EXACT: 'exact'>, 'exact (normal)')
    """

    method: Method
    words: str
    standard_error: float
    reason: str
    evaluations: int

    def __new__(
        cls,
        value: float,
        method: Method,
        standard_error: float = 0.0,
        reason: str = "",
        evaluations: int = 0,
        words: str = "",
    ) -> Probability:
        self = super().__new__(cls, min(max(float(value), 0.0), 1.0))
        self.method = method
        self.words = words or method.value
        self.standard_error = standard_error
        self.reason = reason
        self.evaluations = evaluations
        return self

    @property
    def said(self) -> str:
        """In the two digits that a person can use: "0.017"; "below 4e-06" where no point that was drawn failed.

        >>> Probability(0.0169486, Method.EXACT).said
        '0.017'
        """
        if self.method is Method.EVIDENCE:
            return f"below {self:.2g}"
        if not self > 0 and self.standard_error:
            return f"below {self.standard_error:.1g}"
        if 0 < self < _LEAST_SAID:
            return f"below {_LEAST_SAID:g}"
        if 0.995 <= self < 1:
            return "over 0.99"
        return f"{self:#.2g}" if 1e-4 <= self < 1 else f"{self:.2g}"

    def __repr__(self) -> str:
        """With the digits that a person can use; the number itself has them all."""
        return repr(float(f"{float(self):.8g}"))

    def _repr_html_(self) -> str:
        off = f" ± {self.standard_error:.1g}" if self.standard_error else ""
        rows = [("probability", f"{self.said}{off}"), ("found by", self.words), ("because", self.reason or "-")]
        return ShownTable("", rows).html()

    def __reduce__(self) -> tuple[type[Probability], tuple[Any, ...]]:
        """What makes the same one again: for `copy` and `pickle`."""
        parts = (self.method, self.standard_error, self.reason, self.evaluations, self.words)
        return Probability, (float(self), *parts)


class _Spread(Protocol):
    """A sum or a response."""

    @property
    def unit(self) -> Unit: ...
    @property
    def nominal(self) -> float: ...
    def worst_case(self) -> Interval: ...
    def interval(self, confidence: float = ...) -> Interval: ...
    def contributions(self) -> list[Contribution]: ...


def lies(one: _Spread) -> str:
    """Nominal and worst case, with decimals enough to tell them apart: "0.20 mm, worst case 0.13 mm to 0.27 mm".

    A nominal outside the worst case, of basic sizes with their zones on one side, is called so.
    """
    low, high = one.worst_case()
    places = one.unit.decimals_of(low, high)
    nominal = printed(Says.SIZE, one.nominal, one.unit, places)
    least, most = _ends(one, low, high, places)
    return f"{'' if low <= one.nominal <= high else 'nominal '}{nominal}, worst case {least} to {most}"


def _ends(one: _Spread, low: float, high: float, places: int) -> tuple[str, str]:
    """The ends of where it lies, rounded outwards."""
    return printed(Says.LEAST_FOUND, low, one.unit, places), printed(Says.MOST_FOUND, high, one.unit, places)


_ROWS = 12  # of a table of drivers


def spread_table(one: _Spread) -> ShownTable:
    """Where a sum or a response can lie and what drives it; the dimensions by their share of the variance."""
    low, high = one.worst_case()
    likely = one.interval(0.99)
    places = one.unit.decimals_of(low, high)
    nominal = printed(Says.SIZE, one.nominal, one.unit, places)
    (least, most), (near, far) = _ends(one, low, high, places), _ends(one, *likely, places)
    rows: list[tuple[str, ...]] = [
        ("nominal", nominal, ""),
        ("worst case", f"{least} to {most}", ""),
        ("99 % interval", f"{near} to {far}", ""),
    ]
    drivers = one.contributions()
    shares = ((d.called, f"{d.variance_share:.0%}", f"{d.worst_case_share:.0%}") for d in drivers[:_ROWS])
    rows += [(called or "unnamed", *told) for called, *told in shares]
    if len(drivers) > _ROWS:
        rows.append((f"{len(drivers) - _ROWS} more", "", ""))
    return ShownTable(repr(one), rows, ("", "of the variance", "of the worst case"))


def in_brief(assumed: Sequence[Member], members: Sequence[Member]) -> str:
    """How many of the spreads are assumed, as the last words of a `repr`; an exact member has none."""
    if not assumed:
        return ""
    n = sum(d.half_width > 0 for d in members)
    which = "spread" if n == 1 else "all spreads" if len(assumed) == n else f"{len(assumed)} of {n} spreads"
    return f"; {which} assumed uniform"


def assumption(assumed: Sequence[Member]) -> str:
    """Whose spread nobody stated, in words; nothing if everybody's is."""
    if not assumed:
        return ""
    names = [d.name or "unnamed" for d in assumed]
    rest = f" and {len(names) - 4} more" if len(names) > 5 else ""
    return f"spread assumed uniform, as none is stated: {', '.join(names[:4] if rest else names)}{rest}"


def shortest_interval(quantile: Callable[[float], float], confidence: float) -> Interval:
    """The shortest range between two quantiles that holds the share `confidence`: searched over the risk left below."""

    def width(below: float) -> float:
        return quantile(below + confidence) - quantile(below)

    risk = 1 - confidence
    tried = risk * (np.arange(16) + 0.5) / 16
    best = tried[int(np.argmin([width(p) for p in tried.tolist()]))]
    found = optimize.minimize_scalar(
        width,
        bounds=(max(best - risk / 16, 1e-9 * risk), min(best + risk / 16, (1 - 1e-9) * risk)),
        method="bounded",
        options={"xatol": 1e-8 * risk},
    )
    below = risk / 2 if width(risk / 2) <= found.fun * (1 + 1e-12) else float(found.x)
    return Interval(quantile(below), quantile(below + confidence))


def known_unit(name: str, value: Any) -> Unit:
    """`value` if it is a unit of this library."""
    if not isinstance(value, Unit):
        raise InputError(f"{name} = {brief(value)}: a unit is needed, for example fitcheck.units.unit('mm')")
    return value


def unit_of_given(name: str, unit: Unit | None, value: Any) -> Unit:
    """The unit that a dimension is shown in: `unit` if there is one, else that of `value` if it names one, else mm."""
    if unit is not None:
        return known_unit(name, unit)
    if is_quantity(value):
        return unit_of_quantity(value)
    try:
        return (read_stated(value, LENGTH, name)[1] if isinstance(value, str) else None) or MM
    except InputError:  # refused by its own name where it is read
        return MM


def limits_of_risk(below: Any, above: Any, unit: Unit) -> tuple[float | None, float | None]:
    """The two limits of a probability of what is shown in `unit`, in its inside unit.

    They are texts with their unit ("1.312 in"), quantities, or numbers in the inside unit, where `unit` is that one.
    """
    if below is None and above is None:
        raise InputError("probability: give below=, above= or both")
    low = None if below is None else read_beside(below, unit.kind, "below", unit)
    high = None if above is None else read_beside(above, unit.kind, "above", unit)
    if low is not None and high is not None and low > high:
        first, last = (f"{x:g}" if unit.is_inside else f"{unit.from_base(x):g} {unit.text}" for x in (low, high))
        raise InputError(f"probability: below = {first} must not exceed above = {last}")
    return low, high
