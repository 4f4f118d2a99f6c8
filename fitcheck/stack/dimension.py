"""Toleranced dimensions, and sums of them that remember their members.

A `Dimension` is a quantity known only within limits: a length from a drawing, a strength from a table, a
torque from a hand. A `Sum` is a linear combination of dimensions. It keeps a coefficient for each member, so
a dimension that is used twice counts as one: `a - a` is exactly 0 with no spread.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from fitcheck.errors import InputError, UnitError, UnresolvedError, finite, not_negative
from fitcheck.stack.exact import Distribution, Interval
from fitcheck.stack.naming import spread as named_spread
from fitcheck.stack.spreads import Normal, Spread, Uniform
from fitcheck.stack.ties import Tie, correlate, correlation_of, from_normal, normal_blocks
from fitcheck.units import MM, FloatArray, Kind, Unit, read

if TYPE_CHECKING:
    from fitcheck.stack.response import Response


class Contribution(NamedTuple):
    """What one dimension does to a result.

    `sensitivity` is the change of the result for a unit change of the dimension; of a function, the mean over its
    spread. The two shares say how much of the worst-case range and of the variance is due to it; each column of shares
    sums to 1. A share of the variance can be negative if dimensions are correlated and work against each other.
    """

    name: str
    sensitivity: float
    worst_case_share: float
    variance_share: float


class Probability(float):
    """A probability that knows how it was found.

    `method` names the method, `reason` says why it was chosen, `standard_error` is 0 unless it was sampled, and
    `evaluations` counts the calls of the function, one a point.
    """

    method: str
    standard_error: float
    reason: str
    evaluations: int

    def __new__(
        cls, value: float, method: str, standard_error: float = 0.0, reason: str = "", evaluations: int = 0
    ) -> Probability:
        self = super().__new__(cls, min(max(float(value), 0.0), 1.0))
        self.method = method
        self.standard_error = standard_error
        self.reason = reason
        self.evaluations = evaluations
        return self


class Linear:
    """What a dimension and a sum of dimensions can both be asked."""

    nominal: float
    unit: Unit

    @property
    def members(self) -> tuple[tuple[Dimension, float], ...]:
        """The dimensions in it, each once, with their coefficients."""
        return ()

    @property
    def constant(self) -> float:
        return 0.0

    # -- where it can lie ------------------------------------------------------------------------------

    @property
    def middle(self) -> float:
        """The middle of the zone; the mean of the result too, unless a spread leans to one side."""
        return self.constant + math.fsum(c * d.middle for d, c in self.members)

    def worst_case(self) -> Interval:
        """The result when every dimension lies at the limit that is worst for it."""
        low = math.fsum(c * (d.lower if c > 0 else d.upper) for d, c in self.members)
        high = math.fsum(c * (d.upper if c > 0 else d.lower) for d, c in self.members)
        return Interval(self.constant + low, self.constant + high)

    def rss(self) -> Interval:
        """Root sum square of the semi-tolerances, about the middle of the zone."""
        half = math.sqrt(math.fsum((c * d.half_width) ** 2 for d, c in self.members))
        return Interval(self.middle - half, self.middle + half)

    # -- how it is spread ------------------------------------------------------------------------------

    @cached_property
    def _distribution(self) -> Distribution:
        dimensions = [d for d, _ in self.members]
        if all(d.tie is None for d in dimensions):
            return Distribution(self.middle, [(c * d.half_width, d.spread) for d, c in self.members])
        parts: list[tuple[float, Spread]] = []
        for _, group in normal_blocks(dimensions):
            chosen = [self.members[i] for i in group]
            if len(chosen) == 1:
                parts.append((chosen[0][1] * chosen[0][0].half_width, chosen[0][0].spread))
            elif all(isinstance(d.spread, Normal) for d, _ in chosen):
                variance = math.fsum(
                    c * e * math.sqrt(d.variance * f.variance) * correlation_of(d, f)
                    for d, c in chosen
                    for f, e in chosen
                )
                parts.append((math.sqrt(max(variance, 0.0)), Normal(1.0)))
            else:
                names = ", ".join(d.name or "dimension" for d, _ in chosen)
                raise UnresolvedError(f"correlated dimensions {names}: the exact distribution needs normal spreads")
        return Distribution(self.middle, parts)

    def exact(self) -> Distribution:
        """The distribution of the sum, by exact convolution of its members' spreads."""
        return self._distribution

    def interval(self, confidence: float = 0.99) -> Interval:
        """The range that holds the result with `confidence`, the same risk left on either side."""
        try:
            return self.exact().interval(confidence)
        except UnresolvedError:
            return self._as_response().interval(confidence)

    def sample(self, n: int, *, seed: int | None = 0) -> FloatArray:
        """`n` values drawn at random; the same `seed` gives the same values.

        It holds the n values, 8 bytes each (800 MB for 1e8), and little else.
        """
        generator = np.random.default_rng(seed)
        total = np.full(whole("n", n), self.middle)
        dimensions = [d for d, _ in self.members]
        for start in range(0, n, BLOCK):  # a block stays in the processor's cache while all members are added to it
            block = total[start : start + BLOCK]
            for (d, c), z in zip(self.members, draw(dimensions, generator, block.size), strict=True):
                z *= c * d.half_width
                block += z
        return total

    def probability(self, *, below: float | str | None = None, above: float | str | None = None) -> Probability:
        """Probability that the result lies below `below`, or above `above`, or (both given) outside the two."""
        low, high = limits_of_risk(below, above, self.unit.kind)
        try:
            known = self.exact()
            p = (0.0 if low is None else known.cdf(low)) + (0.0 if high is None else known.sf(high))
        except UnresolvedError:
            return self._as_response().probability(below=below, above=above)
        return Probability(p, known.method)

    def _as_response(self) -> Response:
        """The same quantity as a function of its members, for what the exact distribution does not resolve."""
        from fitcheck.stack.response import Response

        return Response(lambda total: total, {"total": self}, unit=self.unit)

    def contributions(self) -> list[Contribution]:
        """What each dimension does to the result, the largest share of the variance first."""
        widths = [abs(c) * d.half_width for d, c in self.members]
        # The covariance of a member with the whole; without ties, the variance of the member.
        variances = [
            math.fsum(
                c * e * math.sqrt(d.variance * f.variance) * correlation_of(d, f)
                for f, e in self.members
                if f is d or (d.tie and f.tie)
            )
            for d, c in self.members
        ]
        width, variance = math.fsum(widths) or 1.0, math.fsum(variances) or 1.0
        table = [
            Contribution(d.name, c, w / width, v / variance)
            for (d, c), w, v in zip(self.members, widths, variances, strict=True)
        ]
        return sorted(table, key=lambda row: (-row.variance_share, -row.worst_case_share, row.name))

    # -- arithmetic ------------------------------------------------------------------------------------

    def __add__(self, other: Linear | float) -> Sum:
        if isinstance(other, Linear):
            return combine([(1.0, self), (1.0, other)])
        return combine([(1.0, self)], constant=_constant(other))

    __radd__ = __add__

    def __sub__(self, other: Linear | float) -> Sum:
        if isinstance(other, Linear):
            return combine([(1.0, self), (-1.0, other)])
        return combine([(1.0, self)], constant=-_constant(other))

    def __rsub__(self, other: float) -> Sum:
        return combine([(-1.0, self)], constant=_constant(other))

    def __mul__(self, factor: float | Linear) -> Sum:
        if isinstance(factor, Linear):
            raise InputError(
                "a product of two dimensions is not a sum: use fitcheck.response(lambda a, b: a * b, a=..., b=...)"
            )
        return combine([(_constant(factor), self)])

    __rmul__ = __mul__

    def __truediv__(self, divisor: float | Linear) -> Sum:
        if isinstance(divisor, Linear) or _constant(divisor) == 0:
            raise InputError(f"a dimension can be divided by a number other than 0, not by {divisor!r}")
        return combine([(1 / _constant(divisor), self)])

    def __neg__(self) -> Sum:
        return combine([(-1.0, self)])

    def __pos__(self) -> Sum:
        return combine([(1.0, self)])


@dataclass(frozen=True, eq=False)
class Dimension(Linear):
    """A quantity known within limits: `lower` to `upper` about `nominal`, in the inside unit of its kind.

    `unit` is the unit it is shown in, `origin` says where it comes from. Two dimensions are the same only if
    they are the same object: two spacers from one drawing vary independently.
    """

    nominal: float
    lower: float
    upper: float
    spread: Spread = field(default_factory=Uniform)
    name: str = ""
    unit: Unit = MM
    origin: str = ""
    tie: tuple[Tie, int] | None = field(default=None, repr=False)

    def __post_init__(self) -> None:
        where = self.name or "dimension"
        for part in ("nominal", "lower", "upper"):
            finite(f"{where}: {part}", getattr(self, part), self.unit.kind.base)
        if self.lower > self.upper:
            raise InputError(
                f"{where}: lower limit {self.lower:g} lies above upper limit {self.upper:g}: "
                "the lower limit must not exceed the upper one"
            )

    @property
    def members(self) -> tuple[tuple[Dimension, float], ...]:
        return ((self, 1.0),)

    @property
    def middle(self) -> float:
        return (self.lower + self.upper) / 2

    @property
    def half_width(self) -> float:
        return (self.upper - self.lower) / 2

    @property
    def variance(self) -> float:
        return self.half_width**2 * self.spread.variance

    def at(self, z: Any) -> Any:
        """The value at `z` in the standard zone, where -1 is the lower and +1 the upper limit."""
        return self.middle + self.half_width * z

    def __str__(self) -> str:
        plus, minus = self.upper - self.nominal, self.nominal - self.lower
        scale, text = self.unit.scale, self.unit.text
        shown, up, down = (f"{x:.6g}" for x in (self.unit.from_base(self.nominal), plus / scale, minus / scale))
        tolerance = f"± {up}" if up == down else f"+{up}/-{down}"
        exact = self.upper == self.lower == self.nominal
        return f"{shown}{'' if exact else ' ' + tolerance} {text}".rstrip()

    def __repr__(self) -> str:
        label = f"{self.name}: " if self.name else ""
        return f"<{label}{self}, {self.spread.name}>"


@dataclass(frozen=True, eq=False)
class Sum(Linear):
    """A linear combination of dimensions, made by `+`, `-` and `*`."""

    terms: tuple[tuple[Dimension, float], ...]
    offset: float
    nominal: float
    unit: Unit

    @property
    def members(self) -> tuple[tuple[Dimension, float], ...]:
        return self.terms

    @property
    def constant(self) -> float:
        return self.offset

    def __repr__(self) -> str:
        low, high = self.worst_case()
        show = self.unit.show
        return f"<sum of {len(self.terms)}: {show(self.nominal)}, worst case {show(low)} to {show(high)}>"


def combine(parts: Iterable[tuple[float, Linear]], constant: float = 0.0) -> Sum:
    """The sum of `factor * part`; members that occur in several parts are merged."""
    parts = list(parts)
    if not parts:
        raise InputError("sum of nothing: at least one dimension is needed")
    first = parts[0][1].unit
    coefficients: dict[Dimension, float] = {}
    for factor, part in parts:
        if part.unit.kind is not first.kind:
            raise UnitError(
                f"a {first.kind.name} and a {part.unit.kind.name} cannot be added: both must be of one kind"
            )
        constant += factor * part.constant
        for d, c in part.members:
            coefficients[d] = coefficients.get(d, 0.0) + factor * c
    terms = tuple((d, c) for d, c in coefficients.items() if c != 0)
    return Sum(terms, constant, constant + math.fsum(c * d.nominal for d, c in terms), first)


def dimension(
    nominal: float,
    *,
    plus: float = 0.0,
    minus: float | None = None,
    spread: str | Spread = "uniform",
    name: str = "",
    unit: Unit = MM,
    origin: str = "",
) -> Dimension:
    """A dimension from its nominal and its two tolerances (`minus` counts downwards and defaults to `plus`).

    All numbers are in the inside unit of `unit.kind`. A tolerance below 0 puts that limit on the other side
    of the nominal, as on a fit: a g6 shaft of 25 mm has `plus=-0.007, minus=0.020`.
    """
    where = name or "dimension"
    nominal, plus = finite(f"{where}: nominal", nominal), finite(f"{where}: plus", plus)
    minus = plus if minus is None else finite(f"{where}: minus", minus)
    not_negative(f"{where}: plus + minus (the width of the zone)", plus + minus)
    return Dimension(nominal, nominal - minus, nominal + plus, named_spread(spread), name, unit, origin)


BLOCK = 1 << 14


def draw(dimensions: Sequence[Dimension], generator: np.random.Generator, n: int) -> Iterable[FloatArray]:
    """`n` values of each dimension in the standard zone, those that are tied varying together."""
    if all(d.tie is None for d in dimensions):
        return (d.spread.sample(generator, n) for d in dimensions)
    columns: dict[int, FloatArray] = {}
    for tie, group in normal_blocks(dimensions):
        if tie is None:
            columns[group[0]] = dimensions[group[0]].spread.sample(generator, n)
            continue
        chosen = [dimensions[i] for i in group]
        normal = correlate(chosen, generator.standard_normal((n, len(group))))
        columns |= {i: from_normal(dimensions[i].spread, normal[:, j]) for j, i in enumerate(group)}
    return [columns[i] for i in range(len(dimensions))]


def limits_of_risk(
    below: float | str | None, above: float | str | None, kind: Kind
) -> tuple[float | None, float | None]:
    """The two limits of a probability in the inside unit: numbers in it, or texts with their unit ("1.312 in")."""
    if below is None and above is None:
        raise InputError("probability: give below=, above= or both")
    low = None if below is None else read(below, kind, "below")
    high = None if above is None else read(above, kind, "above")
    if low is not None and high is not None and low > high:
        raise InputError(f"probability: below = {low:g} must not exceed above = {high:g}")
    return low, high


def whole(name: str, value: Any, least: int = 0) -> int:
    """`value` as a whole number of at least `least`."""
    if isinstance(value, bool) or not isinstance(value, (int, np.integer)) or value < least:
        raise InputError(f"{name} = {value!r}: a whole number of at least {least} is needed")
    return int(value)


def _constant(value: Any) -> float:
    if isinstance(value, (int, float, np.integer, np.floating)) and not isinstance(value, bool):
        return float(finite("number in a sum", value))
    raise InputError(f"{value!r} cannot take part in a sum: a dimension, a sum or a number is needed")
