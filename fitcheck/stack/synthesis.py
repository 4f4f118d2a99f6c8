"""What to change so that a requirement is met: one nominal, or the tolerance of one dimension.

A requirement is a lower or an upper limit, or both, and a risk: the accepted probability of lying outside. A risk of 0
asks for the worst case. Tolerances are allocated over all dimensions at once in `fitcheck.stack.allocate`.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Iterable, Iterator
from typing import Any, NamedTuple, Protocol

import numpy as np

from fitcheck.errors import InputError, UnresolvedError, brief, finite, in_short, two, two_numbers
from fitcheck.keywords import keywords_named
from fitcheck.later import optimize
from fitcheck.printed import Says, printed
from fitcheck.shown import shown
from fitcheck.stack.dimension import Dimension, Linear, Sum
from fitcheck.stack.ends import Interval, InUnit
from fitcheck.stack.probability.sampling import SAMPLES, evenly_drawn
from fitcheck.stack.response import Response
from fitcheck.stack.results import assumption, limits_of_risk, shortest_interval
from fitcheck.units import FloatArray, read_beside


class _Window(NamedTuple):
    nominal: float
    least: float | None
    most: float | None
    risk: float
    reason: str


class Window(InUnit, _Window):
    """The nominals of one dimension that meet a requirement, and the one that leaves the most room.

    nominal, least, most: in the inside unit of the dimension (mm, N, MPa). If none meets it, `nominal` is the nearest
    to it, `least` and `most` are None, and `reason` says what is missing. risk: probability of lying outside at
    `nominal`.
    """

    sizes = ("nominal", "least", "most")

    @property
    def said(self) -> str:
        """The nominals in the unit of the dimension: "0.571 in, 0.561 in to 0.581 in"; the ends rounded inwards."""
        if self.unit is None:
            return ""
        nominal = printed(Says.SIZE, self.nominal, self.unit)
        if self.least is None or self.most is None:
            return f"nearest {nominal}"
        least = "any" if math.isinf(self.least) else printed(Says.AS_MUCH, self.least, self.unit)
        most = "any" if math.isinf(self.most) else printed(Says.NO_MORE, self.most, self.unit)
        return f"{nominal}, {least} to {most}"

    @property
    def possible(self) -> bool:
        """Whether any nominal meets the requirement."""
        return self.least is not None


@shown
class Tightening(NamedTuple):
    """How far the tolerance of one dimension alone must come down: to `share` of itself; None if that is not enough.

    name: the name of the dimension. share: fraction of its tolerance that it may keep. plus, minus: the tolerances that
    are left, above and below the nominal, in the inside unit of the dimension (mm, N, MPa).
    """

    name: str
    share: float | None
    plus: float | None
    minus: float | None


def moved(d: Dimension, nominal: float) -> Dimension:
    """The dimension with another nominal and the same tolerances."""
    by = nominal - d.nominal
    return dataclasses.replace(d, nominal=nominal, lower=d.lower + by, upper=d.upper + by)


def scaled(d: Dimension, share: float) -> Dimension:
    """The dimension with both tolerances multiplied by `share`."""
    return dataclasses.replace(
        d, lower=d.nominal + share * (d.lower - d.nominal), upper=d.nominal + share * (d.upper - d.nominal)
    )


def substituted(what: Linear | Response, old: Dimension, new: Dimension) -> Linear | Response:
    """The same sum or response with `new` in the place of `old`."""
    if isinstance(what, Response):
        return what.with_inputs({key: _put(value, old, new) for key, value in what.inputs.items()})
    return _put(what, old, new)


def _put(part: Linear, old: Dimension, new: Dimension) -> Linear:
    if part is old:
        return new
    if all(d is not old for d in part.members):
        return part
    terms = tuple((new if d is old else d, c) for d, c in part.terms)
    return Sum(terms, part.constant, part.constant + math.fsum(c * d.nominal for d, c in terms), part.unit)


def _asked(what: object) -> None:
    if not isinstance(what, (Linear, Response)):
        raise InputError(f"{brief(what)} has no dimensions to change: a sum or a response is needed")


def _member(what: Linear | Response, d: Dimension) -> None:
    _asked(what)
    if not isinstance(d, Dimension):
        raise InputError(f"solve_for: {brief(d)}: one dimension among the members is needed")
    members = what.members
    if all(m is not d for m in members):
        names = ", ".join(m.name or "unnamed" for m in members)
        raise InputError(f"{d.name or 'dimension'}: not a member; the members are {names}")


def _requirement(limits: tuple[float | None, float | None], risk: float) -> tuple[float, float, float]:
    low, high = limits
    if not 0 <= finite("risk", risk, one=True) < 0.5:
        raise InputError(f"risk = {risk:g}: a probability from 0 (worst case) to less than 0.5 is needed")
    return (-math.inf if low is None else low), (math.inf if high is None else high), risk


def _shortfall(what: Linear | Response, low: float, high: float, risk: float) -> float:
    """How far the requirement is from being met, negative if it is met: a length, or a logarithm of probabilities."""
    if risk == 0:
        worst = what.worst_case()
        return max(low - worst.min, worst.max - high)
    p = what.outside(None if math.isinf(low) else low, None if math.isinf(high) else high)
    return math.log(max(p, 1e-300) / risk)


@keywords_named
def solve_for(
    what: Linear | Response,
    dimension: Dimension,
    *,
    below: Any = None,
    above: Any = None,
    risk: float = 0.0,
    between: tuple[Any, Any] | None = None,
) -> Window:
    """The nominal of `dimension` that meets a requirement at a stated risk: the slug to cut, the shim to add.

    Parameters
    ----------
    what : a sum or response with `dimension` among its members
    dimension : the one to change
    below, above : what the result must not lie below or above, numbers in its inside unit (mm, N, MPa), quantities
        or texts with their unit ("0.1 in"), which what is shown in another unit needs
    risk : accepted probability of lying outside; 0 asks for the worst case
    between : nominals to look between, as below and above; needed for a response

    The tolerances of the dimension stay as they are. The nominal returned leaves the most room: it lies in the middle
    of the window, or for one limit and no `between` at its edge. A sum without an exact distribution is sampled. It is
    arithmetic for a sum and a search for a response. Raises `InputError` for a dimension that is no member, without a
    limit, for a risk outside 0 to 0.5 and for a response without `between`.

    >>> import fitcheck as fc
    >>> from fitcheck.stack import solve_for
    >>> shim = fc.dim("1 ± 0.25", name="shim")
    >>> found = solve_for(fc.dim("10 ± 0.25") - shim, shim, below=8.0, above=9.5)
    >>> found.nominal, found.least, found.most
    (1.25, 1.0, 1.5)
    """
    _member(what, dimension)
    allowed = None
    if between is not None:
        unit = dimension.unit
        ends = [read_beside(x, unit.kind, "between", unit, what=_called(dimension)) for x in two("between", between)]
        allowed = two_numbers("between", ends)
    found = nominal_within(what, dimension, limits_of_risk(below, above, what.unit), risk, allowed)
    return found.with_unit(dimension.unit)


def _called(d: Dimension) -> str:
    return f"the dimension {in_short(d.name)}" if d.name else "a dimension"


def nominal_within(
    what: Linear | Response,
    dimension: Dimension,
    limits: tuple[float | None, float | None],
    risk: float = 0.0,
    between: tuple[float, float] | None = None,
) -> Window:
    """`solve_for` with limits that have been read: numbers in the inside unit (mm, N, MPa); None for an open side."""
    low, high, risk = _requirement(limits, risk)
    if isinstance(what, Response):
        if between is None:
            raise InputError("solve_for: between=(least, most) nominal is needed for a response")
        return _search(what, dimension, low, high, risk, between)
    c = next(c for d, c in what.terms if d is dimension)
    if risk == 0:
        ends = what.worst_case()
    else:
        exact = _spread_of(what, risk)
        # Each limit alone; both together are settled below.
        ends = Interval(exact.quantile(risk), exact.upper_quantile(risk))
    least, most = low - ends.min, high - ends.max  # shifts of the result
    if risk and math.isfinite(least) and math.isfinite(most):
        least, most = _both(what, low, high, risk, least, most)
    middle = (least + most) / 2 if math.isfinite(least + most) else (least if math.isfinite(least) else most)
    shifts = sorted(x / c for x in (least, most))
    nominal, first, last = (dimension.nominal + x for x in (middle / c, *shifts))
    allowed = (-math.inf, math.inf) if between is None else two_numbers("between", between)
    if least > most:
        wide = f"{(least - most) / what.unit.scale:.4g} {what.unit.text}".rstrip()
        reason = f"no nominal meets it: the spread of the result is {wide} too wide for its limits"
    elif last < allowed[0] or first > allowed[1]:
        reason = f"no nominal between {allowed[0]:g} and {allowed[1]:g} meets it; the nearest is given"
    else:
        first, last = max(first, allowed[0]), min(last, allowed[1])
        nominal = (first + last) / 2 if math.isfinite(first + last) else min(max(nominal, first), last)
        reason = ""
    after = substituted(what, dimension, moved(dimension, nominal))
    left = _risk_of(after, low, high)
    if reason:
        return Window(nominal, None, None, left, reason)
    return Window(nominal, first, last, left, _basis(risk, what))


class _Spread(Protocol):
    """What a change asks of the distribution of a sum."""

    @property
    def std(self) -> float: ...
    def cdf(self, x: float) -> float: ...
    def sf(self, x: float) -> float: ...
    def quantile(self, p: float) -> float: ...
    def upper_quantile(self, p: float) -> float: ...


class _Sampled:
    """The distribution of a sum that is not exact, by sorted samples."""

    def __init__(self, values: FloatArray) -> None:
        self._values = values
        self.std = float(values.std())

    def cdf(self, x: float) -> float:
        return float(np.searchsorted(self._values, x, side="left")) / len(self._values)

    def sf(self, x: float) -> float:
        return 1 - float(np.searchsorted(self._values, x, side="right")) / len(self._values)

    def quantile(self, p: float) -> float:
        return float(np.quantile(self._values, p))

    def upper_quantile(self, p: float) -> float:
        return self.quantile(1 - p)


def _spread_of(what: Linear, risk: float) -> _Spread:
    """The exact distribution, or samples, if they can tell the risk."""
    try:
        exact: _Spread = what.exact()
        exact.quantile(risk)
    except UnresolvedError as error:
        values = evenly_drawn(what, SAMPLES)
        if risk * len(values) < 100:
            raise InputError(
                f"risk = {risk:g}: of a sum that is sampled a risk of at least {100 / len(values):.1g} is needed, or 0 "
                f"for the worst case ({error})"
            ) from None
        return _Sampled(values)
    return exact


def _basis(risk: float, what: Linear | Response) -> str:
    """What a change rests on: the worst case, or a risk and the spreads assumed for it."""
    return "worst case" if risk == 0 else "; ".join(filter(None, [f"risk of {risk:g}", assumption(what.assumed)]))


def _risk_of(what: Linear | Response, low: float, high: float) -> float:
    return float(what.outside(None if math.isinf(low) else low, None if math.isinf(high) else high))


def _both(what: Linear, low: float, high: float, risk: float, least: float, most: float) -> tuple[float, float]:
    """Shifts between which the two tails together stay within the risk; crossed over if there are none."""
    exact = _spread_of(what, risk)

    def excess(shift: float) -> float:
        return float(exact.cdf(low - shift) + exact.sf(high - shift)) - risk

    span = abs(most - least) + exact.std
    best = float(
        optimize.minimize_scalar(
            excess, bounds=(min(least, most) - span, max(least, most) + span), method="bounded", options={"xatol": 1e-9}
        ).x
    )
    if excess(best) > 0:
        # What the limits lack is what the shortest range with this risk outside has more than they.
        shortest = shortest_interval(exact.quantile, 1 - risk)
        lacking = max((shortest.max - shortest.min) - (high - low), 1e-9 * span)
        return best + lacking / 2, best - lacking / 2
    first = optimize.brentq(excess, best - 4 * span, best, xtol=1e-14 * span) if excess(best - 4 * span) > 0 else best
    last = optimize.brentq(excess, best, best + 4 * span, xtol=1e-14 * span) if excess(best + 4 * span) > 0 else best
    return float(first), float(last)


def _search(what: Response, d: Dimension, low: float, high: float, risk: float, between: tuple[float, float]) -> Window:
    first, last = two_numbers("between", between)
    if first == last:
        raise InputError(f"between = ({first:g}, {last:g}): the first nominal must lie below the last")

    def shortfall(nominal: float) -> float:
        return _shortfall(substituted(what, d, moved(d, nominal)), low, high, risk)

    grid = np.linspace(first, last, 33)
    values = np.array([shortfall(x) for x in grid.tolist()])
    best = int(np.argmin(values))
    if values[best] > 0:
        left = max(best - 1, 0)
        right = min(best + 1, len(grid) - 1)
        refined = optimize.minimize_scalar(shortfall, bounds=(grid[left], grid[right]), method="bounded")
        if refined.fun > 0:
            after = substituted(what, d, moved(d, float(refined.x)))
            return Window(
                float(refined.x), None, None, _risk_of(after, low, high),
                f"no nominal between {first:g} and {last:g} meets it",
            )  # fmt: skip
        grid, values = np.insert(grid, right, refined.x), np.insert(values, right, refined.fun)
        best = right
    a = b = best
    while a > 0 and values[a - 1] <= 0:
        a -= 1
    while b < len(grid) - 1 and values[b + 1] <= 0:
        b += 1
    least = float(grid[a]) if a == 0 else _edge(shortfall, float(grid[a - 1]), float(grid[a]))
    most = float(grid[b]) if b == len(grid) - 1 else _edge(shortfall, float(grid[b + 1]), float(grid[b]))
    nominal = (least + most) / 2
    if shortfall(nominal) > 0:
        nominal = float(grid[best])
    after = substituted(what, d, moved(d, nominal))
    return Window(nominal, least, most, _risk_of(after, low, high), _basis(risk, what))


def _edge(shortfall: Callable[[float], float], outside: float, inside: float) -> float:
    """The nominal nearest to `outside` that still meets the requirement, to 1e-6 of the step, on the safe side."""
    for _ in range(20):
        middle = (outside + inside) / 2
        if shortfall(middle) > 0:
            outside = middle
        else:
            inside = middle
    return inside


@keywords_named
def tighten(what: Linear | Response, *, below: Any = None, above: Any = None, risk: float = 0.0) -> list[Tightening]:
    """For each dimension alone, to what share of itself its tolerance must come down for the requirement to be met.

    what: a sum or response. below, above: what it must not lie below or above, numbers in its inside unit (mm, N,
    MPa), quantities or texts with their unit ("0.1 in"), which what is shown in another unit needs. risk: accepted
    probability of lying outside; 0 asks for the worst case.

    The nominals stay; a share of 1 means that the requirement is met already, None that tightening this dimension alone
    does not do. Sorted by the largest share, the least effort, first. It is a search for the root in the share, which
    has no source. Raises `InputError` without a limit and for a risk outside 0 to 0.5.

    >>> import fitcheck as fc
    >>> from fitcheck.stack import tighten
    >>> rows = tighten(fc.dim("10 ± 0.2", name="a") + fc.dim("5 ± 0.1", name="b"), above=15.2)
    >>> [(row.name, row.share and round(row.share, 3)) for row in rows]
    [('a', 0.5), ('b', 0.0)]
    """
    _asked(what)
    low, high, risk = _requirement(limits_of_risk(below, above, what.unit), risk)

    def after(old: Dimension, new: Dimension) -> float:
        return _shortfall(substituted(what, old, new), low, high, risk)

    rows = []
    for d, share in shares_that_meet(what.members, after):
        if share is None:
            rows.append(Tightening(d.name, None, None, None))
        else:
            rows.append(Tightening(d.name, share, share * (d.upper - d.nominal), share * (d.nominal - d.lower)))
    return sorted(rows, key=lambda row: (row.share is None, -(row.share or 0.0), row.name))


def shares_that_meet(
    members: Iterable[Dimension], after: Callable[[Dimension, Dimension], float]
) -> Iterator[tuple[Dimension, float | None]]:
    """Each member with the largest share of its tolerance at which nothing is missing; None if that is not enough.

    `after` says how much is missing where its second argument stands in the place of the first; below 0 nothing is.
    """
    for d in members:
        yield d, _largest(lambda share, d=d: after(d, scaled(d, share)))  # type: ignore[misc]


def _largest(shortfall: Callable[[float], float]) -> float | None:
    """The largest share from 0 to 1 that meets the requirement."""
    if shortfall(1.0) <= 0:
        return 1.0
    if shortfall(0.0) > 0:
        return None
    share, step = float(optimize.brentq(shortfall, 0.0, 1.0, xtol=1e-13)), 1e-13
    while shortfall(share) > 0:  # the root is met to within rounding, or to within a sample
        share, step = max(share - step, 0.0), 2 * step
    return share
