"""How a quantity is spread, in small form: what a figure draws of it, so that no figure has to draw samples."""

from __future__ import annotations

from contextlib import suppress
from typing import NamedTuple

import numpy as np

from fitcheck.errors import InputError
from fitcheck.questions.finding import Quantity, Shape
from fitcheck.stack import Dimension, Distribution, Interval, Linear, Method, Probability, Response, Spread
from fitcheck.stack.curve import Curve, curve, distribution_of
from fitcheck.stack.results import limits_of_risk
from fitcheck.units import PLAIN, FloatArray, Unit

_SAMPLES = 100_000  # enough for a histogram of 80 bars
_FEW = 20_000  # enough for bars that only show where two quantities overlap


def shape(quantity: Quantity) -> Shape | None:
    """The density of a quantity; None for one that does not vary.

    Exact for a sum that has a density, at 241 places; else a histogram of 80 bars. All but one in ten thousand lies
    between its ends. Places in the inside unit of `quantity.unit`, heights in one over that unit.

    >>> import fitcheck as fc
    >>> found = shape(fc.dim("10 ± 0.1, triangular") + fc.dim("2 ± 0.1, triangular"))
    >>> len(found.places), bool(max(found.heights) == found.heights[120])
    (241, True)
    """
    if not isinstance(quantity, Linear | Response):
        return None
    low, high = quantity.interval(0.9999)
    if not high > low:
        return None
    if isinstance(quantity, Linear):
        # Parts that were inspected one by one have no density.
        with suppress(InputError):
            x = np.linspace(low, high, 241)
            exact = np.asarray(quantity.exact().pdf(x), dtype=float)
            if np.all(np.isfinite(exact)) and exact.max() > 0:
                return Shape(tuple(x.tolist()), tuple(exact.tolist()))
    values = quantity.drawn() if isinstance(quantity, Response) else quantity.sample(_SAMPLES)
    dense, edges = np.histogram(values, bins=80, range=(low, high), density=True)
    return Shape(tuple(np.repeat(edges, 2)[1:-1].tolist()), tuple(np.repeat(dense, 2).tolist()))


class Beyond(NamedTuple):
    """A limit, and what lies beyond it.

    side: "below" or "above". limit: in the inside unit. probability: of lying there.
    """

    side: str
    limit: float
    probability: Probability


class Tails(NamedTuple):
    """How a quantity is spread, with its tails, as a figure draws it; places in the inside unit of `unit`.

    name: what is spread. unit: that it is shown in. curve: where it lies. nominal, worst_case: of a sum or a response;
    None for a spread alone. beyond: what lies outside the limits that were asked for.
    """

    name: str
    unit: Unit
    curve: Curve
    nominal: float | None
    worst_case: Interval | None
    beyond: tuple[Beyond, ...]


def tails(
    quantity: Linear | Response | Distribution | Spread,
    below: float | str | None = None,
    above: float | str | None = None,
) -> Tails:
    """The density of whatever is spread, its tails, and how much of it lies outside two limits.

    quantity: a dimension, a sum, a response, a distribution or a spread. below, above: limits, numbers in mm (in the
    inside unit of its kind) or texts with their unit ("1.312 in"). Raises `InputError` for what is none of these or
    does not vary, and for limits that `probability` refuses.

    >>> import fitcheck as fc
    >>> found = tails(fc.dim("40 H7") - fc.dim("40 k6"), below=0)
    >>> found.beyond[0].probability.said, found.worst_case
    ('0.40', Interval(min=-0.018, max=0.023))
    """
    unit = quantity.unit if isinstance(quantity, Linear | Response) else PLAIN
    limits = (None, None) if below is None and above is None else limits_of_risk(below, above, unit.kind)
    found = curve(quantity, [limit for limit in limits if limit is not None])
    beyond = tuple(
        Beyond(side, limit, _probability(quantity, side, limit))
        for side, limit in zip(("below", "above"), limits, strict=True)
        if limit is not None
    )
    nominal, worst = (
        (quantity.nominal, quantity.worst_case()) if isinstance(quantity, Linear | Response) else (None, None)
    )
    return Tails(_name(quantity), unit, found, nominal, worst, beyond)


def _probability(quantity: Linear | Response | Distribution | Spread, side: str, limit: float) -> Probability:
    if isinstance(quantity, Linear | Response):
        return quantity.probability(below=limit) if side == "below" else quantity.probability(above=limit)
    known = distribution_of(quantity)
    return Probability(known.cdf(limit) if side == "below" else known.sf(limit), Method.EXACT)


def _name(quantity: Linear | Response | Distribution | Spread) -> str:
    """What is spread, for the axis of a figure."""
    if isinstance(quantity, Dimension):
        return quantity.called or "size"
    if isinstance(quantity, Response):
        return quantity.name
    if isinstance(quantity, Linear):
        return f"sum of {len(quantity.members)}"
    return "value" if isinstance(quantity, Distribution) else f"{quantity.name}: place in the zone, limits at -1 and 1"


class Bars(NamedTuple):
    """Two densities over the same bars: their edges in the inside unit, and a row of heights each.

    Both to one scale, the highest bar of all 1: the areas under them are equal, as each quantity lies somewhere.
    """

    edges: tuple[float, ...]
    heights: tuple[tuple[float, ...], ...]


def bars(first: Response, second: Linear | Response, *, at_least: float, count: int = 89) -> Bars:
    """Where `first` and `second`, both of one unit and at least 0, lie: bars from 0 past the ends of both.

    The bars reach 5 % past the largest of `at_least`, of the second and of all but 0.5 % of the first. A sum is exact,
    a function is sampled.
    """
    values = [one.drawn() if isinstance(one, Response) else one.sample(_FEW) for one in (first, second)]
    edges = np.linspace(0, max(np.quantile(values[0], 0.995), values[1].max(), at_least) * 1.05, count + 1)
    found = [_shares(one, drawn, edges) for one, drawn in zip((first, second), values, strict=True)]
    highest = max(max(one.max() for one in found), 1e-300)
    return Bars(tuple(edges.tolist()), tuple(tuple((one / highest).tolist()) for one in found))


def _shares(quantity: Linear | Response, drawn: FloatArray, edges: FloatArray) -> FloatArray:
    """The share of a quantity in each bar."""
    if isinstance(quantity, Linear) and any(d.half_width for d in quantity.members):
        with suppress(InputError):  # parts that were inspected one by one have no distribution in closed form
            below = np.asarray(quantity.exact().cdf(edges), dtype=float)
            if np.all(np.isfinite(below)):
                return np.diff(below)
    return np.asarray(np.histogram(drawn, edges)[0] / drawn.size)
