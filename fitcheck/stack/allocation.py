"""Tolerances for all dimensions of a sum at once: the cheapest that meet a target, or the old ones in proportion.

The cost of a tolerance t (half the zone) is a + b / t^k, the reciprocal power law. For a worst-case or root-sum-square
target the cheapest tolerances satisfy one equation each with one multiplier,

    worst case:       k b / t^(k + 1) = m |c|           sum of |c| t = T
    root sum square:  k b / t^(k + 1) = 2 m c^2 t       sum of c^2 t^2 = T^2

(K. W. Chase, ADCATS report 99-6; M. F. Spotts, J. Eng. Ind. 95 (1973) 762-764 for k = 2; both from memory). With one
exponent for all and no bound in the way that is a closed form; otherwise the multiplier is found as a root, a
tolerance that would leave its bounds being held there, which is optimal because the problem is convex. A target of
probability, and a cost of another form, are met by sequential quadratic programming, which finds the least cost in the
neighbourhood (the only one if the costs are convex). The optimality conditions are checked in every case.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple, Protocol

import numpy as np

from fitcheck.errors import InputError, brief, finite, fraction, one_of, positive, two, two_numbers
from fitcheck.expected import items_of
from fitcheck.keywords import keywords_named
from fitcheck.later import optimize
from fitcheck.shown import Shown, in_a_notebook
from fitcheck.stack.constrained import least_under
from fitcheck.stack.correlation import correlation_of
from fitcheck.stack.dimension import Dimension, Linear, Sum
from fitcheck.stack.results import assumption
from fitcheck.units import FloatArray, read_beside

_Term = tuple[Dimension, float]


@dataclass(frozen=True, slots=True, repr=False)
class Cost(Shown):
    """The cost a + b / t^k of a tolerance of half-width t.

    t is in mm, or in the inside unit of the dimension. k: exponent, a number above 0. b: number above 0, the cost of a
    tolerance of 1 less a. a: number, the cost however wide the tolerance. Raises `InputError` for b or k not above 0.
    """

    b: float
    k: float = 1.0
    a: float = 0.0

    def __post_init__(self) -> None:
        positive("cost: b", self.b, one=True)
        positive("cost: k", self.k, one=True)
        finite("cost: a", self.a, one=True)

    def of(self, t: float) -> float:
        """The cost, a number, of a tolerance.

        t: half-width, in mm or the inside unit of the dimension.
        """
        return float(self.a + self.b / t**self.k)

    def gain(self, t: float) -> float:
        """What a unit more of tolerance saves, a number for a unit of t: k b / t^(k + 1).

        t: half-width, in mm or the inside unit of the dimension.
        """
        return float(self.k * self.b / t ** (self.k + 1))


@dataclass(frozen=True, slots=True)
class _OtherCost:
    """A cost given as a function of the half-width."""

    name: str
    function: Callable[[float], float]

    def of(self, t: float) -> float:
        return float(finite(f"cost of {self.name} at a tolerance of {t:g}", self.function(t), one=True))

    def gain(self, t: float) -> float:
        return (self.of(t * (1 - 1e-5)) - self.of(t * (1 + 1e-5))) / (2e-5 * t)


class Allocation(NamedTuple):
    """Half-widths by dimension, their cost, the multiplier of the target, and how well the optimality conditions hold.

    tolerances: half-widths by name, in the inside unit of the dimensions (mm, N, MPa). cost: number, of all that were
    toleranced. multiplier: number m of the conditions (`fitcheck.stack.allocation`). optimality: the largest relative
    violation of the conditions over the dimensions that are free, a ratio. method: how they were found, in words.
    total: the sum with the new tolerances.
    """

    tolerances: dict[str, float]
    cost: float
    multiplier: float
    optimality: float
    method: str
    total: Sum

    def __repr__(self) -> str:
        unit = self.total.unit
        shown = {name: half / unit.scale for name, half in self.tolerances.items()}
        text = "" if unit.is_inside else f" {unit.text}"
        widths = ", ".join(f"{name} ± {half:.4g}{text}" for name, half in shown.items())
        return f"<allocation: {widths}; cost {self.cost:.4g}, {self.method}>"

    def _repr_html_(self) -> str:
        return in_a_notebook(self)


@keywords_named
def allocate(
    total: Linear,
    cost: Mapping[str, Cost | Callable[[float], float]] | None = None,
    *,
    half_width: Any,
    by: str = "worst case",
    risk: float = 0.0027,
    bounds: Mapping[str, tuple[Any, Any]] | None = None,
) -> Allocation:
    """The least-cost tolerances that keep a sum within its target [1]_, [2]_.

    Parameters
    ----------
    total : the sum; dimensions without a cost keep their tolerances
    cost : cost of each dimension to be toleranced, a number, by name: a reciprocal power (`Cost`) or a function of the
        half-width that falls as it grows; by default 1 / t for every dimension that has a tolerance
    half_width : half the zone the sum may take, about its middle: a number in its inside unit (mm, N, MPa), a quantity
        or a text with its unit, which a sum shown in another unit needs
    by : "worst case", "rss" (root sum square, with what correlated dimensions share), or "probability" (outside the
        zone with at most `risk`, by the exact distribution of the members' spreads)
    risk : accepted probability, for "probability"
    bounds : least and greatest half-width, by name, likewise

    Raises `InputError` if the fixed tolerances, or the least ones allowed, already exceed the target, for a half_width
    or bound not above 0, and for a name that is no dimension of the sum.

    References
    ----------
    .. [1] K. W. Chase, ADCATS report 99-6. From memory.
    .. [2] M. F. Spotts, J. Eng. Ind. 95 (1973) 762-764, for k = 2. From memory.

    Examples
    --------
    >>> import fitcheck as fc
    >>> gap = fc.dim("30 ± 0.1", name="room") - fc.dim("29 ± 0.1", name="part")
    >>> found = allocate(gap, {"room": Cost(4.0), "part": Cost(1.0)}, half_width=0.3)
    >>> {name: round(t, 3) for name, t in found.tolerances.items()}
    {'room': 0.2, 'part': 0.1}
    """
    one_of("by", by, ("worst case", "rss", "probability"))
    T = _target(total, half_width)
    if cost is None:
        cost = {d.name: Cost(1.0) for d, _ in total.terms if d.half_width}
    if not isinstance(cost, Mapping):
        raise InputError(f"cost = {brief(cost)}: the costs by name are needed, for example {{'spacer': Cost(2.0)}}")
    free, fixed = _split(total, cost)
    c = np.array([abs(k) for _, k in free])
    law = [_law(d.name, cost[d.name]) for d, _ in free]
    low, high = _bounds(free, {} if bounds is None else bounds)
    names = [d.name for d, _ in free]
    target: _Target
    if by == "probability":
        fraction("risk", risk, "0.0027")
        target = _Risk(total, names, T, risk)
    elif by == "rss" and any(d.tie for d, _ in total.terms):
        target = _Ellipsoid.of(free, fixed, T)
    else:
        power = 1 if by == "worst case" else 2
        used = math.fsum((abs(e) * d.half_width) ** power for d, e in fixed)
        room = T**power - used
        least = float(((c * low) ** power).sum())
        if room <= least:
            raise InputError(
                f"half_width = {T:g}: the tolerances that are fixed or at their least already take "
                f"{(used + least) ** (1 / power):g}"
            )
        target = _Room(c, power, room)
    plain = [x for x in law if isinstance(x, Cost)]
    if isinstance(target, _Room) and len(plain) == len(law):
        b, k = np.array([x.b for x in plain]), np.array([x.k for x in plain])
        t, multiplier, method = _by_multiplier(b, k, c, target.room, target.power, low, high)
        optimality = _violation(k * b / t ** (k + 1), multiplier * target.slope(t), t, low, high)
    else:
        t, multiplier, optimality = _by_programming(names, law, target, T, low, high)
        method = "sequential quadratic programming"
        if by == "probability":
            method = "; ".join(filter(None, [method, assumption(total.assumed)]))
    tolerances = {d.name: float(x) for (d, _), x in zip(free, t, strict=True)}
    spent = math.fsum(x.of(float(y)) for x, y in zip(law, t, strict=True))
    return Allocation(tolerances, spent, multiplier, optimality, method, with_tolerances(total, tolerances))


def _target(total: Linear, half_width: Any) -> float:
    """Half the zone that a sum may take, in its inside unit."""
    if not isinstance(total, Linear):
        raise InputError(f"allocation: {brief(total)}: a sum of dimensions is needed")
    unit = total.unit
    half = read_beside(half_width, unit.kind, "half_width", unit, difference=True)
    return float(positive("half_width", half, unit.kind.base, one=True))


def _law(name: str, cost: Any) -> Cost | _OtherCost:
    if isinstance(cost, Cost):
        return cost
    if not callable(cost):
        raise InputError(f"cost of {name} = {brief(cost)}: Cost(b, k, a) or a function of the half-width is needed")
    return _OtherCost(name, cost)


def _bounds(free: Sequence[_Term], bounds: Mapping[str, tuple[Any, Any]]) -> tuple[FloatArray, FloatArray]:
    """Least and greatest half-width of each dimension."""
    names = [d.name for d, _ in free]
    low, high = np.zeros(len(free)), np.full(len(free), math.inf)
    if not isinstance(bounds, Mapping):
        raise InputError(f"bounds = {brief(bounds)}: pairs by name are needed, for example {{'spacer': (0.01, 0.1)}}")
    for name in bounds:
        i = names.index(one_of("bounds", name, names))
        unit = free[i][0].unit
        ends = [read_beside(x, unit.kind, f"bounds of {name}", unit) for x in two(f"bounds of {name}", bounds[name])]
        first, last = two_numbers(f"bounds of {name}", ends)
        low[i], high[i] = positive(f"bounds of {name}: the least", first, one=True), last
    return low, high


@keywords_named
def in_proportion(
    total: Linear, free: Mapping[str, float] | Sequence[str], *, half_width: Any, by: str = "worst case"
) -> dict[str, float]:
    """Half-widths in given proportions that meet a target, in the inside unit of the sum (mm, N, MPa).

    total: the sum. half_width: half the zone it may take, as for `allocate`. by: "worst case", sum of |c| t =
    half_width, or "rss", sum of c² t² = half_width². Plain arithmetic. free: the dimensions to change, a list of names,
    in proportion to their present tolerances, or a weight for each, a number, such as the cube root of its size
    (precision factor method). The others keep their tolerances. Raises `InputError` for a name that is no member's, a
    weight not above 0, and if the fixed tolerances already exceed the target.

    >>> import fitcheck as fc
    >>> from fitcheck.stack import in_proportion
    >>> in_proportion(fc.dim("10 ± 0.5", name="a") + fc.dim("5 ± 0.25", name="b"), ["a", "b"], half_width=0.375)
    {'a': 0.25, 'b': 0.125}
    """
    one_of("by", by, ("worst case", "rss"))
    power = 1 if by == "worst case" else 2
    T = _target(total, half_width)
    if not isinstance(free, Mapping):
        free = [free] if isinstance(free, str) else items_of("free", free, "a list of names, or a table of weights,")
    chosen, fixed = _split(total, dict.fromkeys(free))
    weights = {
        d.name: positive(f"weight of {d.name}", free[d.name] if isinstance(free, Mapping) else d.half_width, one=True)
        for d, _ in chosen
    }
    if by == "rss" and any(d.tie for d, _ in total.terms):
        target = _Ellipsoid.of(chosen, fixed, T)
        if target.c >= T**2:
            raise InputError(f"half_width = {T:g}: the tolerances that are fixed already exceed it")
        factor = target.share(np.array(list(weights.values())))
        return {name: factor * w for name, w in weights.items()}
    room = T**power - math.fsum((abs(c) * d.half_width) ** power for d, c in fixed)
    if room <= 0:
        raise InputError(f"half_width = {T:g}: the tolerances that are fixed already exceed it")
    whole = math.fsum((abs(c) * weights[d.name]) ** power for d, c in chosen)
    factor = (room / whole) ** (1 / power)
    return {name: factor * w for name, w in weights.items()}


def with_tolerances(total: Linear, tolerances: Mapping[str, float]) -> Sum:
    """The sum with new half-widths, each zone about its old middle."""
    terms = []
    for d, c in total.terms:
        if d.name in tolerances:
            t = tolerances[d.name]
            d = dataclasses.replace(d, lower=d.middle - t, upper=d.middle + t)
        terms.append((d, c))
    return Sum(tuple(terms), total.constant, total.nominal, total.unit)


def _split(total: Linear, names: Mapping[str, object]) -> tuple[list[_Term], list[_Term]]:
    """The members to be toleranced and the others."""
    members = {d.name: (d, c) for d, c in total.terms}
    if len(members) < len(total.terms):
        raise InputError("allocation: every dimension needs a name of its own")
    for name in names:
        one_of("dimension", name, members)
    if not names:
        raise InputError("allocation: no dimension to be toleranced: name at least one")
    return [members[name] for name in names], [m for name, m in members.items() if name not in names]


def _by_multiplier(
    b: FloatArray, k: FloatArray, c: FloatArray, room: float, power: int, low: FloatArray, high: FloatArray
) -> tuple[FloatArray, float, str]:
    """Tolerances for sum of (c t)^power = room."""

    def at(log_m: float) -> FloatArray:
        return np.asarray(np.clip((k * b / (power * c**power) * math.exp(-log_m)) ** (1 / (k + power)), low, high))

    def excess(log_m: float) -> float:
        return float(((c * at(log_m)) ** power).sum()) / room - 1

    if np.all(k == k[0]):
        shape = (b / c**power) ** (1 / (k + power))
        t = shape * (room / float(((c * shape) ** power).sum())) ** (1 / power)
        if np.all((t >= low) & (t <= high)):
            multiplier = k * b / (power * c**power * t ** (k + power))
            return t, float(multiplier[0]), "closed form"
    if np.all(np.isfinite(high)) and float(((c * high) ** power).sum()) <= room:
        return high.copy(), 0.0, "all at their greatest"
    start = math.log(float((k * b).max()) / room)
    first, last = start - 1.0, start + 1.0
    while excess(first) < 0:
        first -= 5.0
    while excess(last) > 0:
        last += 5.0
    log_m = float(optimize.brentq(excess, first, last, xtol=1e-14, rtol=1e-14))
    return at(log_m), math.exp(log_m), "root of the multiplier"


def _violation(gain: FloatArray, price: FloatArray, t: FloatArray, low: FloatArray, high: FloatArray) -> float:
    """Largest relative departure from gain = price where a tolerance is free, or from the right sign at a bound."""
    apart = (gain - price) / np.maximum(gain, price)
    apart = np.where(t >= high * (1 - 1e-9), np.minimum(apart, 0.0), apart)  # would like to grow, may not
    apart = np.where(t <= low * (1 + 1e-9), np.maximum(apart, 0.0), apart)  # would like to shrink, may not
    return float(np.abs(apart).max())


class _Target(Protocol):
    """What the tolerances must keep: `excess` at most 0."""

    @property
    def scale(self) -> float: ...
    def excess(self, t: FloatArray) -> float: ...
    def slope(self, t: FloatArray) -> FloatArray: ...
    def too_tight(self) -> str: ...


@dataclass(frozen=True, slots=True)
class _Room:
    """Sum of (c t)^power at most the room."""

    c: FloatArray
    power: int
    room: float

    @property
    def scale(self) -> float:
        return self.room

    def excess(self, t: FloatArray) -> float:
        return float(((self.c * t) ** self.power).sum()) - self.room

    def slope(self, t: FloatArray) -> FloatArray:
        return np.asarray(self.power * self.c**self.power * t ** (self.power - 1))

    def too_tight(self) -> str:
        return "already exceed it"


@dataclass(frozen=True, slots=True)
class _Ellipsoid:
    """Root sum square of correlated tolerances: t A t + 2 b t + c at most T²."""

    A: FloatArray
    b: FloatArray
    c: float
    T: float

    @classmethod
    def of(cls, free: Sequence[_Term], fixed: Sequence[_Term], T: float) -> _Ellipsoid:
        n = len(free)
        terms = [*free, *fixed]
        sizes = np.array([*(c for _, c in free), *(c * d.half_width for d, c in fixed)])
        shared = np.outer(sizes, sizes) * [[correlation_of(d, f) for f, _ in terms] for d, _ in terms]
        return cls(shared[:n, :n], shared[:n, n:].sum(axis=1), float(shared[n:, n:].sum()), T)

    @property
    def scale(self) -> float:
        return self.T**2

    def excess(self, t: FloatArray) -> float:
        return float(t @ self.A @ t + 2 * self.b @ t) + self.c - self.T**2

    def slope(self, t: FloatArray) -> FloatArray:
        return np.asarray(2 * (self.A @ t + self.b))

    def too_tight(self) -> str:
        return "already exceed it"

    def share(self, weights: FloatArray) -> float:
        """The factor of the weights that just meets it."""
        a, b = float(weights @ self.A @ weights), float(self.b @ weights)
        return (-b + math.sqrt(b * b - a * (self.c - self.T**2))) / a


@dataclass(frozen=True, slots=True)
class _Risk:
    """Probability of lying outside the middle plus or minus T at most the risk, in logarithms."""

    total: Linear
    names: list[str]
    T: float
    risk: float

    @property
    def scale(self) -> float:
        return 1.0

    def excess(self, t: FloatArray) -> float:
        exact = with_tolerances(self.total, dict(zip(self.names, t.tolist(), strict=True))).exact()
        p = float(exact.cdf(self.total.middle - self.T)) + float(exact.sf(self.total.middle + self.T))
        return math.log(max(p, 1e-250) / self.risk)

    def slope(self, t: FloatArray) -> FloatArray:
        found = np.empty(len(t))
        for i in range(len(t)):
            h = 1e-5 * t[i]
            up, down = t.copy(), t.copy()
            up[i] += h
            down[i] -= h
            found[i] = (self.excess(up) - self.excess(down)) / (2 * h)
        return found

    def too_tight(self) -> str:
        return f"already exceed the risk of {self.risk:g}"


def _by_programming(
    names: Sequence[str],
    law: Sequence[Cost | _OtherCost],
    target: _Target,
    T: float,
    low: FloatArray,
    high: FloatArray,
) -> tuple[FloatArray, float, float]:
    """Tolerances, multiplier and optimality by sequential quadratic programming in the logarithms of the tolerances."""
    if np.any(low > 0) and target.excess(low) > 0:
        raise InputError(f"half_width = {T:g}: the least tolerances allowed {target.too_tight()}")
    start = np.array([(x.b * x.k) ** (1 / (x.k + 2)) if isinstance(x, Cost) else 1.0 for x in law])
    start = np.clip(start * T / float(np.sqrt((start**2).sum())), low, np.where(np.isfinite(high), high, 1e300))
    scale = 1.0
    while target.excess(np.clip(scale * start, low, high)) > 0 and scale > 1e-6:
        scale *= 0.8
    if scale <= 1e-6:
        raise InputError(f"half_width = {T:g}: the tolerances that are fixed {target.too_tight()}")
    x0 = np.log(np.clip(scale * start, np.maximum(low, 1e-9 * T), high))

    def spent(x: FloatArray) -> float:
        return math.fsum(one.of(t) for one, t in zip(law, np.exp(x).tolist(), strict=True))

    def gains(t: FloatArray) -> FloatArray:
        return np.array([one.gain(x) for one, x in zip(law, t.tolist(), strict=True)])

    def saved(x: FloatArray) -> FloatArray:
        """The slope of the cost in the logarithms, with its sign turned."""
        return np.asarray(gains(np.exp(x)) * np.exp(x))

    unit = float(np.abs(saved(x0)).sum()) or 1.0
    found = least_under(
        lambda x: spent(x) / unit,
        x0,
        {
            "type": "ineq",
            "fun": lambda x: -target.excess(np.exp(x)) / target.scale,
            "jac": lambda x: -target.slope(np.exp(x)) * np.exp(x) / target.scale,
        },
        [
            (math.log(max(lo, 1e-9 * T)), math.log(hi) if math.isfinite(hi) else None)
            for lo, hi in zip(low, high, strict=True)
        ],
        jac=lambda x: -saved(x) / unit,
        most=200,
        ftol=1e-13,
    )
    t = np.exp(found)
    gain, price = gains(t), target.slope(t)
    inner = (t > low * (1 + 1e-6)) & (t < high * (1 - 1e-6))
    if np.any(gain[inner] <= 0):
        which = ", ".join(one for one, rises in zip(names, inner & (gain <= 0), strict=True) if rises)
        raise InputError(f"cost of {which}: it must fall as the tolerance grows; bounds can keep it to where it does")
    for one, least in zip(names, (t <= 1e-7 * T) & (low == 0), strict=True):
        if least:
            raise InputError(f"cost of {one}: the least cost leaves it no tolerance at all: give bounds")
    if not inner.any() and target.excess(t) < -1e-6 * target.scale:
        multiplier = 0.0  # room is left over
    else:
        if not inner.any():
            inner[:] = True
        multiplier = float((gain[inner] @ price[inner]) / (price[inner] @ price[inner]))
    optimality = max(_violation(gain, multiplier * price, t, low, high), max(target.excess(t) / target.scale, 0.0))
    if optimality > 1e-2:
        raise InputError(f"allocation did not settle (optimality {optimality:.2g}): give bounds")
    return t, multiplier, optimality
