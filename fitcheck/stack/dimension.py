"""Toleranced dimensions, and sums of them that remember their members.

A `Dimension` is a quantity known only within limits: a length from a drawing, a strength from a table, a
torque from a hand. A `Sum` is a linear combination of dimensions. It keeps a coefficient for each member, so
a dimension that is used twice counts as one: `a - a` is exactly 0 with no spread.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np

from fitcheck.basis import Basis
from fitcheck.errors import (
    InputError,
    UnitError,
    UnresolvedError,
    brief,
    finite,
    fraction,
    in_short,
    not_negative,
    one_of,
    whole,
)
from fitcheck.expected import flag, text_of
from fitcheck.keywords import keywords_named
from fitcheck.shown import ShownTable
from fitcheck.stack.central import counted_variance
from fitcheck.stack.correlation import Tie, correlation_of, normal_blocks
from fitcheck.stack.ends import Interval
from fitcheck.stack.exact.distribution import Distribution
from fitcheck.stack.plotted import Plotted
from fitcheck.stack.probability.failure import LimitStates
from fitcheck.stack.probability.sampling import (
    BLOCK,
    SAMPLES,
    draw_values,
    even_values,
    evenly_drawn,
    random,
    sampled_interval,
)
from fitcheck.stack.results import (
    Contribution,
    Method,
    Probability,
    assumption,
    in_brief,
    known_unit,
    lies,
    limits_of_risk,
    shortest_interval,
    spread_table,
    unit_of_given,
)
from fitcheck.stack.spread_names import named_spread
from fitcheck.stack.spreads import Normal, Spread, Unstated
from fitcheck.stack.worst_case import Extremes
from fitcheck.units import (
    MM,
    FloatArray,
    Unit,
    is_quantity,
    let_quantities_give_way,
    quantity,
    read_beside,
    read_stated,
    refuse_mixed,
)

UNSTATED: Spread = Unstated()
"""The spread of a dimension for which none was stated."""

_KEPT = ("_distribution", "_mirrored", "_drawn")  # found once, and again where a copy is asked


class Linear(Plotted):
    """What a dimension and a sum of dimensions can both be asked."""

    nominal: float
    unit: Unit

    @property
    def terms(self) -> tuple[tuple[Dimension, float], ...]:
        """The dimensions in it, each once, with their coefficients."""
        return ()

    @property
    def members(self) -> tuple[Dimension, ...]:
        """The dimensions in it, each once."""
        return tuple(d for d, _ in self.terms)

    @property
    def constant(self) -> float:
        """What is added to the dimensions, in mm or the inside unit of its kind; 0 for a single dimension."""
        return 0.0

    @property
    def assumed(self) -> tuple[Dimension, ...]:
        """The dimensions in it whose spread nobody stated, so that uniform over the zone is assumed."""
        return tuple(d for d, _ in self.terms if isinstance(d.spread, Unstated) and d.half_width)

    def __getstate__(self) -> dict[str, Any]:
        """What `copy` and `pickle` take along. A copy is another dimension; what is copied together stays together."""
        return {key: value for key, value in self.__dict__.items() if key not in _KEPT}

    # -- where it can lie ------------------------------------------------------------------------------

    @property
    def middle(self) -> float:
        """The middle of the zone; the mean of the result too, unless a spread leans to one side.

        In mm, or in the inside unit of its kind.
        """
        return self.constant + math.fsum(c * d.middle for d, c in self.terms)

    def worst_case(self) -> Interval:
        """The result when every dimension lies at the limit that is worst for it."""
        low = math.fsum(c * (d.lower if c > 0 else d.upper) for d, c in self.terms)
        high = math.fsum(c * (d.upper if c > 0 else d.lower) for d, c in self.terms)
        return Interval(self.constant + low, self.constant + high).with_unit(self.unit)

    def at(self, z: FloatArray) -> FloatArray:
        """The result at points of the standard zone, in mm or the inside unit of its kind.

        z: array, each a number from -1 to 1, the limits of a dimension; one row a point, one column a member. Returns
        an array with one value a row.
        """
        return np.asarray(self.middle + z @ np.array([c * d.half_width for d, c in self.terms]))

    def as_quantity(self, inside: float | None = None, *, registry: Any = None) -> Any:
        """A value of it as a pint quantity, in the unit it is shown in.

        inside: the value in mm, or in the inside unit of its kind, or a text with its unit; the nominal one if not
        given. registry: the caller's own pint registry; that of the application if it is not given. Raises `UnitError`
        for what is none.

        >>> import fitcheck as fc
        >>> print(fc.dim("0.315 ± 0.001 in").as_quantity())
        0.315 inch
        """
        return quantity(self.nominal if inside is None else inside, self.unit, registry)

    def extremes(self) -> Extremes:
        """The worst case, and where in the standard zone it lies."""
        low, high = self.worst_case()
        up = np.array([1.0 if c > 0 else -1.0 for _, c in self.terms])
        return Extremes(low, high, -up, up, True, "exact: a sum")

    def rss(self) -> Interval:
        """Root sum square of the semi-tolerances t about the middle of the zone; correlated ones with what they share.

        half² = sum over i, j of c_i t_i c_j t_j r_ij, r being the correlations: for independent dimensions the plain
        root sum square. For normal dimensions whose tolerances are k standard deviations it is the zone of k of theirs.

        >>> import fitcheck as fc
        >>> (fc.dim("10 ± 0.3") + fc.dim("5 ± 0.4")).rss()
        Interval(min=14.5, max=15.5)
        """
        half = math.sqrt(max(math.fsum(_shared(self.terms, lambda d: d.half_width)), 0.0))
        return Interval(self.middle - half, self.middle + half).with_unit(self.unit)

    # -- how it is spread ------------------------------------------------------------------------------

    @cached_property
    def _distribution(self) -> Distribution:
        dimensions = self.members
        if all(d.tie is None for d in dimensions):
            return Distribution(self.middle, [(c * d.half_width, d.spread) for d, c in self.terms])
        parts: list[tuple[float, Spread]] = []
        for _, group in normal_blocks(dimensions):
            chosen = [self.terms[i] for i in group]
            if len(chosen) == 1:
                parts.append((chosen[0][1] * chosen[0][0].half_width, chosen[0][0].spread))
            elif all(isinstance(d.spread, Normal) for d, _ in chosen):
                variance = math.fsum(_shared(chosen, lambda d: math.sqrt(d.variance)))
                parts.append((math.sqrt(max(variance, 0.0)), Normal(1.0)))
            else:
                names = ", ".join(d.name or "dimension" for d, _ in chosen)
                raise UnresolvedError(f"correlated dimensions {names}: the exact distribution needs normal spreads")
        return Distribution(self.middle, parts)

    def exact(self) -> Distribution:
        """The distribution of the sum, by exact convolution of its members' spreads."""
        return self._distribution

    @keywords_named
    def interval(self, confidence: float = 0.99, *, shortest: bool = False) -> Interval:
        """The range that holds the result with `confidence`, in mm or the inside unit of its kind.

        The same risk is left on either side, or (`shortest`) the range is the shortest one [1]_. Sampled where the
        exact distribution is not to be had. confidence: probability, above 0 and below 1. Raises `InputError` outside.

        References
        ----------
        .. [1] JCGM 101:2008, 7.7.
        """
        confidence, shortest = fraction("confidence", confidence), flag("shortest", shortest)
        try:
            known = self.exact()
            found = shortest_interval(known.quantile, confidence) if shortest else known.interval(confidence)
        except UnresolvedError:
            found = sampled_interval(self._drawn, confidence, shortest=shortest)
        return found.with_unit(self.unit)

    @keywords_named
    def sample(self, n: int, *, seed: int | None = 0) -> FloatArray:
        """`n` values drawn at random; the same `seed` gives the same values.

        They are in mm, or in the inside unit of its kind. n: whole number from 0 up. Raises `InputError` for any other.
        It holds the n values, 8 bytes each (800 MB for 1e8), and little else.
        """
        generator = random(seed)
        total = np.full(whole("n", n), self.middle)
        dimensions = self.members
        for start in range(0, n, BLOCK):  # a block stays in the processor's cache while all members are added to it
            block = total[start : start + BLOCK]
            for (d, c), z in zip(self.terms, draw_values(dimensions, generator, block.size), strict=True):
                z *= c * d.half_width
                block += z
        return total

    @keywords_named
    def probability(self, *, below: Any = None, above: Any = None) -> Probability:
        """Probability that the result lies below `below`, or above `above`, or (both given) outside the two.

        below, above: the limits, numbers in mm (in the inside unit of its kind), texts with their unit ("1.312 in") or
        quantities; of what is shown in another unit, such as inches, a number alone is refused. Exact where the spreads
        allow it, else sampled; the answer says which. Raises `InputError` without a limit, and for below beyond above.

        >>> import fitcheck as fc
        >>> gap = fc.dim("10 ± 0.1, normal") - fc.dim("9.8 ± 0.1, normal")
        >>> f"{gap.probability(below=0.1):.4f}"
        '0.0169'
        """
        return self.outside(*limits_of_risk(below, above, self.unit))

    def outside(self, low: float | None, high: float | None) -> Probability:
        """`probability` of limits that have been read.

        low, high: numbers in mm, or in the inside unit of its kind; None for an open side.
        """
        if not any(d.half_width for d, _ in self.terms):
            slack = 1e-14 * (abs(self.constant) + math.fsum(abs(c * d.middle) for d, c in self.terms))
            low, high = (-math.inf if low is None else low), (math.inf if high is None else high)
            fails = not low - slack <= self.middle <= high + slack
            return Probability(float(fails), Method.NO_VARIATION, reason="no dimension varies")
        try:
            known = self.exact()
            p = (0.0 if low is None else self._mirrored.sf(-low)) + (0.0 if high is None else known.sf(high))
        except UnresolvedError as error:
            found = LimitStates([(self, low, high)]).probability(method="auto", samples=SAMPLES)
            found.reason = f"{found.reason}; not exact: {error}"
            return found
        why = "one dimension" if len(self.terms) == 1 else "a sum of independent dimensions"
        if any(d.tie for d, _ in self.terms):
            why = "a sum of correlated normal dimensions"
        reason = "; ".join(filter(None, [why, assumption(self.assumed)]))
        return Probability(p, Method.EXACT, reason=reason, words=known.method)

    @cached_property
    def _mirrored(self) -> Distribution:
        """The distribution of the negative, whose upper tail is the probability of less, a single value not counted."""
        return (-self).exact()

    @cached_property
    def _drawn(self) -> FloatArray:
        """Evenly spread values, for what the exact distribution does not resolve."""
        return evenly_drawn(self, SAMPLES)

    def even_values(self, points: int) -> Iterator[tuple[int, FloatArray]]:
        """The number of the scramble and the result at a block of its points: `sampling.even_values`.

        points: of each scramble, a whole number, a power of two.
        """
        return even_values(self, points)

    def contributions(self) -> list[Contribution]:
        """What each dimension does to the result, the largest share of the variance first.

        A Student's t counts within its central 99 %: with 2 degrees of freedom it has no variance else.
        """
        widths = [abs(c) * d.half_width for d, c in self.terms]
        variances = _shared(self.terms, lambda d: math.sqrt(d.half_width**2 * counted_variance(d.spread)))
        width, variance = math.fsum(widths) or 1.0, math.fsum(variances) or 1.0
        table = [
            Contribution(d.name, c, w / width, v / variance, d.called)
            for (d, c), w, v in zip(self.terms, widths, variances, strict=True)
        ]
        return sorted(table, key=lambda row: (-row.variance_share, -row.worst_case_share, row.name))

    def _table(self) -> ShownTable:
        """What a notebook shows: where it lies, and what drives it."""
        return spread_table(self)

    # -- arithmetic ------------------------------------------------------------------------------------

    # A length that is added is a number in mm, a text with its unit or a quantity; beside inches it names its unit.

    def __add__(self, other: Any) -> Sum:
        if isinstance(other, Linear):
            return combine([(1.0, self), (1.0, other)])
        return combine([(1.0, self)], constant=_added(other, self.unit))

    __radd__ = __add__

    def __sub__(self, other: Any) -> Sum:
        if isinstance(other, Linear):
            return combine([(1.0, self), (-1.0, other)])
        return combine([(1.0, self)], constant=-_added(other, self.unit))

    def __rsub__(self, other: Any) -> Sum:
        return combine([(-1.0, self)], constant=_added(other, self.unit))

    def __mul__(self, factor: float | Linear) -> Sum:
        if isinstance(factor, Linear) or is_quantity(factor):
            raise InputError(
                "a product of two sizes is not a sum: use fitcheck.response(lambda a, b: a * b, a=..., b=...)"
            )
        return combine([(_constant(factor), self)])

    __rmul__ = __mul__

    def __truediv__(self, divisor: float | Linear) -> Sum:
        if isinstance(divisor, Linear) or _constant(divisor) == 0:
            raise InputError(f"a dimension can be divided by a number other than 0, not by {brief(divisor)}")
        return combine([(1 / _constant(divisor), self)])

    def __rtruediv__(self, dividend: Any) -> Sum:
        raise InputError("a quotient by a dimension is not a sum: use fitcheck.response(lambda a: 1 / a, a=...)")

    def __pow__(self, exponent: Any) -> Sum:
        raise InputError("a power of a dimension is not a sum: use fitcheck.response(lambda a: a**2, a=...)")

    __array_ufunc__ = None  # so that NumPy's numbers leave the arithmetic to this class

    def __neg__(self) -> Sum:
        return combine([(-1.0, self)])

    def __pos__(self) -> Sum:
        return combine([(1.0, self)])


def _shared(terms: Sequence[tuple[Dimension, float]], size: Callable[[Dimension], float]) -> list[float]:
    """The covariance of each term with the sum, `size` giving the deviations; without ties that of the term itself."""
    tied = [(d, c * size(d)) for d, c in terms if d.tie]
    return [
        math.fsum(c * size(d) * a * correlation_of(d, f) for f, a in tied) if d.tie else (c * size(d)) ** 2
        for d, c in terms
    ]


@dataclass(frozen=True, eq=False)
class Dimension(Linear):
    """A quantity known within limits: `lower` to `upper` about `nominal`, in the inside unit of its kind (mm, N, MPa).

    spread: how it lies between the limits. name: what it is called in tables and messages. title: what people call it,
    for sentences and drawings; the name where it is empty. unit: the unit it is shown in. origin: where it comes from,
    for people. basis: what it rests on, for the library to decide by. tie: with which others it varies together; made
    by `fitcheck.stack.correlated`. Two dimensions are the same only if they are the same object: two spacers from one
    drawing vary independently. Raises `InputError` for a lower limit above the upper one.
    """

    nominal: float
    lower: float
    upper: float
    spread: Spread = UNSTATED
    name: str = ""
    unit: Unit = MM
    origin: str = ""
    basis: Basis = Basis.DRAWN
    tie: tuple[Tie, int] | None = field(default=None, repr=False)
    title: str = field(default="", repr=False)

    def __post_init__(self) -> None:
        let_quantities_give_way(Dimension)
        where = in_short(text_of("name", self.name)) or "dimension"
        base = known_unit(f"{where}: unit", self.unit).kind.base
        for part in ("nominal", "lower", "upper"):
            object.__setattr__(self, part, finite(f"{where}: {part}", getattr(self, part), base, one=True))
        if not hasattr(self.spread, "cumulant"):
            raise InputError(f"{where}: spread = {brief(self.spread)}: a spread is needed, for example Normal(3.0)")
        object.__setattr__(self, "basis", Basis(one_of(f"{where}: basis", self.basis, [*map(str, Basis)])))
        if self.lower > self.upper:
            raise InputError(
                f"{where}: lower limit {self.lower:g} lies above upper limit {self.upper:g}: "
                "the lower limit must not exceed the upper one"
            )

    @property
    def called(self) -> str:
        """What people call it: its title, or its name with spaces."""
        return self.title or self.name.replace("_", " ")

    @property
    def terms(self) -> tuple[tuple[Dimension, float], ...]:
        """Itself, with the coefficient 1."""
        return ((self, 1.0),)

    @property
    def middle(self) -> float:
        """The middle of the zone, (lower + upper) / 2, in the unit of the limits (mm, N, MPa)."""
        return (self.lower + self.upper) / 2

    @property
    def half_width(self) -> float:
        """Half the width of the zone, (upper - lower) / 2, in the unit of the limits (mm, N, MPa)."""
        return (self.upper - self.lower) / 2

    @property
    def variance(self) -> float:
        """Variance, in the square of the unit of the limits (mm², N², MPa²).

        Raises `InputError` for a spread that has none: Student t with 2 degrees of freedom.
        """
        try:
            return self.half_width**2 * self.spread.variance
        except InputError as error:
            raise InputError(f"{in_short(self.name) or 'dimension'}: {error}") from None

    def __str__(self) -> str:
        plus, minus = self.upper - self.nominal, self.nominal - self.lower
        scale, text = self.unit.scale, self.unit.text
        shown, up, down = f"{self.unit.from_base(self.nominal):.6g}", _digits(plus / scale), _digits(-minus / scale)
        # A limit on the other side of the nominal, as on a g6 shaft, keeps its own sign.
        tolerance = f"± {up}" if down == f"-{up}" else f"{'' if plus < 0 else '+'}{up}/{'+' if minus < 0 else ''}{down}"
        exact = self.upper == self.lower == self.nominal
        return f"{shown}{'' if exact else ' ' + tolerance} {text}".rstrip()

    def __repr__(self) -> str:
        label = f"{self.name}: " if self.name else ""
        spread = f", {self.spread.name}{' (assumed)' if self.assumed else ''}" if self.half_width else ""
        return f"<{label}{self}{spread}>"


def _digits(tolerance: float) -> str:
    """A tolerance as text: as it was stated where six digits say so; 0.05 mm in inches is no more than 0.001969."""
    stated = math.isclose(float(f"{tolerance:.6g}"), tolerance, rel_tol=1e-8, abs_tol=1e-12)
    return f"{tolerance:.6g}" if stated else f"{tolerance:.4g}"


@dataclass(frozen=True, eq=False)
class Sum(Linear):
    """A linear combination of dimensions, made by `+`, `-` and `*`.

    pairs: the dimensions, each once, with their coefficients. offset: what is added to them. nominal: the result with
    all dimensions at their nominals. unit: the unit it is shown in. Offset and nominal are in the inside unit of its
    kind (mm, N, MPa).
    """

    pairs: tuple[tuple[Dimension, float], ...]
    offset: float
    nominal: float
    unit: Unit

    @property
    def terms(self) -> tuple[tuple[Dimension, float], ...]:
        """The dimensions in it, each once, with their coefficients."""
        return self.pairs

    @property
    def constant(self) -> float:
        """What is added to the dimensions, in the inside unit of its kind (mm, N, MPa)."""
        return self.offset

    def __repr__(self) -> str:
        return f"<sum of {len(self.terms)}: {lies(self)}{in_brief(self.assumed, self.members)}>"


def combine(parts: Iterable[tuple[float, Linear]], constant: float = 0.0) -> Sum:
    """The sum of `factor * part`; members that occur in several parts are merged. Plain arithmetic.

    parts: pairs of a number and a dimension or sum, all of one kind. constant: what is added, in mm or the inside unit
    of that kind. Raises `InputError` for no parts or something else in a pair, `UnitError` for a length added to a
    force.

    >>> import fitcheck as fc
    >>> a = fc.dim("10 ± 0.1")
    >>> combine([(1, a), (-1, a)], constant=2.5).worst_case()
    Interval(min=2.5, max=2.5)
    """
    let_quantities_give_way(Sum)
    try:
        parts = [(_constant(factor), part) for factor, part in parts]
    except (TypeError, ValueError) as error:
        if isinstance(error, InputError):
            raise
        raise InputError("sum: pairs of a number and a dimension are needed, for example [(1, a), (-1, b)]") from None
    for _, part in parts:
        if not isinstance(part, Linear):
            raise InputError(f"{brief(part)} cannot take part in a sum: a dimension or a sum is needed")
    constant = _constant(constant)
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
        for d, c in part.terms:
            coefficients[d] = coefficients.get(d, 0.0) + factor * c
    terms = tuple((d, c) for d, c in coefficients.items() if c != 0)
    return Sum(terms, constant, constant + math.fsum(c * d.nominal for d, c in terms), first)


@keywords_named
def dimension(
    nominal: Any,
    *,
    plus: Any = 0.0,
    minus: Any = None,
    spread: str | Spread | None = None,
    name: str = "",
    unit: Unit | None = None,
    origin: str = "",
    basis: Basis = Basis.DRAWN,
) -> Dimension:
    """A dimension from its nominal and its two tolerances (`minus` counts downwards and defaults to `plus`).

    All numbers are in the inside unit of `unit.kind` (mm without a unit); pint quantities of any registry are
    converted, and then all of them name their unit. The dimension is shown in `unit`, or else in that of the nominal. A
    tolerance below 0 puts that limit on the other side of the nominal, as on a fit: a g6 shaft of 25 mm has
    `plus=-0.007, minus=0.020`. Without a `spread` the part counts as bought, of unknown process: uniform over the zone,
    and every result says that this is assumed. `name` is what tables and messages call it; `origin` says in words where
    it comes from; `basis` what it rests on, by its word too ("measured"). Raises `InputError` for a number that is not
    finite, a zone of negative width and an unknown spread, `UnitError` for a unit of another kind.

    >>> from fitcheck.stack import dimension
    >>> shaft = dimension(25, plus=-0.007, minus=0.020)
    >>> shaft.worst_case()
    Interval(min=24.98, max=24.993)
    """
    where = in_short(text_of("name", name)) or "dimension"
    unit = unit_of_given(f"{where}: unit", unit, nominal)
    given = {"nominal": nominal, "plus": plus, "minus": plus if minus is None else minus}
    nominal, plus, minus = _numbers(where, given, unit, differences=("plus", "minus")).values()
    not_negative(f"{where}: plus + minus (the width of the zone)", plus + minus, one=True)
    try:
        used = UNSTATED if spread is None else named_spread(spread)
    except InputError as error:
        raise InputError(f"{where}: {error}") from None
    return Dimension(nominal, nominal - minus, nominal + plus, used, name, unit, origin, basis)


@keywords_named
def between(
    low: Any,
    high: Any,
    nominal: Any = None,
    *,
    spread: str | Spread | None = None,
    name: str = "",
    unit: Unit | None = None,
    origin: str = "",
    basis: Basis = Basis.DRAWN,
) -> Dimension:
    """A dimension from the two ends of its zone, `low` not above `high`; its nominal is the middle unless one is given.

    Units, the rest and what is refused are as for `dimension`.

    >>> print(between(24.9, 25.1, name="blade"))
    25 ± 0.1 mm
    """
    where = in_short(text_of("name", name)) or "dimension"
    unit = unit_of_given(f"{where}: unit", unit, low)
    given = {"low": low, "high": high, **({} if nominal is None else {"nominal": nominal})}
    read = _numbers(where, given, unit)
    low, high = read["low"], read["high"]
    middle = read.get("nominal", (low + high) / 2)
    plus, minus = high - middle, middle - low
    return dimension(middle, plus=plus, minus=minus, spread=spread, name=name, unit=unit, origin=origin, basis=basis)


def _numbers(where: str, given: Mapping[str, Any], unit: Unit, differences: Collection[str] = ()) -> dict[str, float]:
    """What was given, as finite numbers in the inside unit; beside a quantity all of them name their unit."""
    if any(map(is_quantity, given.values())):
        read = {
            key: read_stated(x, unit.kind, f"{where}: {key}", difference=key in differences, bare=True)
            for key, x in given.items()
        }
        refuse_mixed(where, {key: used for key, (_, used) in read.items()}, given)
        given = {key: x for key, (x, _) in read.items()}
    return {key: finite(f"{where}: {key}", x, unit.kind.base, one=True) for key, x in given.items()}


def _added(value: Any, unit: Unit) -> float:
    """What is added to a dimension that is shown in `unit`, in the inside unit."""
    if not isinstance(value, str) and not is_quantity(value):
        value = _constant(value)
    return read_beside(value, unit.kind, "number in a sum", unit, difference=True)


def _constant(value: Any) -> float:
    if isinstance(value, (int, float, np.integer, np.floating)) and not isinstance(value, bool):
        return float(finite("number in a sum", value, one=True))
    raise InputError(f"{brief(value)} cannot take part in a sum: a dimension, a sum or a number is needed")
