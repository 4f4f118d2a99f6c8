"""How a quantity is spread, in small form: what a figure draws of it, so that no figure has to draw samples."""

from __future__ import annotations

from contextlib import suppress
from typing import NamedTuple

import numpy as np

from fitcheck.errors import InputError
from fitcheck.questions.finding import Quantity, Shape
from fitcheck.stack import Linear, Response
from fitcheck.units import FloatArray

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
