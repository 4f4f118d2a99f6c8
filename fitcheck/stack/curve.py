"""How a quantity is spread, as a curve that a figure draws: its density, and how likely it lies further out."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np

from fitcheck.errors import InputError, UnresolvedError, brief
from fitcheck.later import special
from fitcheck.stack.dimension import Linear
from fitcheck.stack.exact.distribution import Distribution
from fitcheck.stack.probability.sampling import each_alone, even_lines
from fitcheck.stack.response import Response
from fitcheck.stack.spreads import Spread
from fitcheck.units import FloatArray

_POINTS = 200
_FEW = 20
_FAR = 1e-6  # the risk beyond either end of a curve
_NEAR = 1e-3  # no end lies more than twice as far from the median as all but this share of the values
_LINES, _STOPS = 2048, 101
_ONE_LINE = 4001  # stops, where a single dimension varies: each piece of the line is a step of the density
_ROUGH_LINES, _ROUGH_STOPS = 512, 51  # for a hill a thumb high: its height to two parts in a hundred
_FEWEST = 10  # of the lines: a tail that fewer reach says nothing


class Curve(NamedTuple):
    """A quantity along the places where it can lie.

    places: ascending, in mm or the inside unit of its kind. heights: density at each, one over that unit. below, above:
    the probability of lying below and above each, nan where too few of the lines drawn reach. sampled: whether lines
    were drawn; else all is exact.
    """

    places: FloatArray
    heights: FloatArray
    below: FloatArray
    above: FloatArray
    sampled: bool


def curve(
    quantity: Linear | Response | Distribution | Spread, also: Iterable[float] = (), *, rough: bool = False
) -> Curve:
    """The density of a quantity and its tails, over all but a millionth of it on either side.

    Exact for a sum or a single spread; for a function, and for correlated dimensions that are not normal, from evenly
    drawn lines, its tails to a few parts in a hundred. A spread alone lies in the standard zone from -1 to 1. quantity:
    a dimension, a sum, a response, a distribution or a spread. also: places, in the inside unit, that the curve must
    reach. rough: for a small figure, its height to two parts in a hundred and no tails: they are nan. Raises
    `InputError` for anything else, and for what does not vary.

    >>> import fitcheck as fc
    >>> found = curve(fc.dim("10 ± 0.1, triangular") + fc.dim("2 ± 0.1, triangular"))
    >>> f"{found.places[np.argmax(found.heights)]:.2f}", found.sampled
    ('12.00', False)
    """
    if isinstance(quantity, Linear | Response):
        if not any(d.half_width for d in quantity.members):
            raise InputError("nothing varies: there is no spread to plot")
        if isinstance(quantity, Response):
            return _by_lines(quantity, also, rough)
        try:
            return _exact(quantity.exact(), also, rough)
        except UnresolvedError:
            return _by_lines(quantity, also, rough)
    return _exact(distribution_of(quantity), also, rough)


def distribution_of(quantity: Distribution | Spread) -> Distribution:
    """A distribution as it is; a spread over its standard zone. Raises `InputError` for anything else."""
    if isinstance(quantity, Distribution):
        return quantity
    if hasattr(quantity, "cumulant"):
        return Distribution(0.0, [(1.0, quantity)])
    raise InputError(f"{brief(quantity)} cannot be plotted: a dimension, a sum, a response or a spread is needed")


def _exact(known: Distribution, also: Iterable[float], rough: bool) -> Curve:
    """By the exact distribution; parts that were inspected one by one have steps in place of a density."""
    low, high = known.support
    least, most = _ends([*map(known.quantile, (_FAR, _NEAR, 0.5)), *map(known.upper_quantile, (_NEAR, _FAR))], also)
    # Middles of equal steps, and the mean of the first and last: a density may be infinite at the limits of a zone.
    inside_low, inside_high = max(least, low), min(most, high)
    step = (inside_high - inside_low) / _POINTS
    x = np.asarray(inside_low + step * (np.arange(_POINTS) + 0.5), dtype=float)
    untold = np.full(_POINTS, np.nan)
    below, above = (untold if rough else np.asarray(ask(x), dtype=float) for ask in (known.cdf, known.sf))
    dense = np.empty(_POINTS)
    try:
        dense[:] = known.pdf(x)
        ends = inside_low + step * np.array([0, 1, _POINTS - 1, _POINTS])
        dense[[0, -1]] = np.diff(known.cdf(ends))[::2] / step
    except InputError:  # inspected parts alone have no density: what lies in each twentieth of their range
        edges = np.linspace(inside_low, inside_high, _FEW + 1)
        shares = np.diff(known.cdf(edges), prepend=0.0)[1:]
        shares[0] += known.cdf(edges[0])
        dense[:] = np.repeat(shares / np.diff(edges), _POINTS // _FEW)
    return _closed(Curve(x, dense, below, above, False), step, least, most)


def _by_lines(what: Linear | Response, also: Iterable[float], rough: bool) -> Curve:
    """By lines through the zone, along the dimension that changes the result most.

    Between two points of a line the result is taken as straight, so each piece of it spreads its share evenly: points
    alone would leave the density as rough as a count of them, and empty tails.
    """
    members = what.members
    varying = sum(d.half_width > 0 for d in members)
    lines, count = (_ROUGH_LINES, _ROUGH_STOPS) if rough else (_LINES, _STOPS)
    if varying == 1:
        lines, count = 1, _ONE_LINE
    stops = np.asarray(special.ndtr(np.linspace(-5, 5, count)))
    stops[[0, -1]] = 1e-10, 1 - 1e-10  # nearly the limits of a zone, and still finite for a normal spread
    z = even_lines(members, _strongest(what), lines, stops)
    y = np.concatenate([what.at(block.reshape(-1, len(members))) for block in np.array_split(z, max(lines // 256, 1))])
    y = y.reshape(lines, count)
    smallest, largest = float(y.min()), float(y.max())
    if not largest > smallest:
        raise InputError("nothing varies: there is no spread to plot")
    low, high = np.minimum(y[:, :-1], y[:, 1:]).ravel(), np.maximum(y[:, :-1], y[:, 1:]).ravel()
    share = np.tile(np.diff(stops) / lines, lines)
    order = np.argsort(low + high)
    risks = np.cumsum(share[order])
    least, most = _ends(np.interp([_FAR, _NEAR, 0.5, 1 - _NEAR, 1 - _FAR], risks, (low + high)[order] / 2), also)
    edges = np.linspace(max(least, smallest), min(most, largest), _POINTS + 1)
    step = float(edges[1] - edges[0])
    # What does not vary along a piece still has a width, by what is drawn: the whole range may be a million times that.
    high = np.maximum(high, low + 1e-4 * step)
    x = (edges[:-1] + edges[1:]) / 2
    dense = np.diff(_share_below(edges, low, high, share)) / step
    if rough:
        untold = np.full(_POINTS, np.nan)
        return _closed(Curve(x, dense, untold, untold, True), step, least, most)
    below, above = _share_below(x, low, high, share), _share_below(-x[::-1], -high, -low, share)[::-1]
    # A tail that few of the lines reach is not told, nor one beyond the ends.
    reach = np.searchsorted(np.sort(y.min(axis=1)), x), lines - np.searchsorted(np.sort(y.max(axis=1)), x)
    below, above = (
        np.where((some < min(_FEWEST, lines)) | (tail < _FAR), np.nan, tail)
        for some, tail in zip(reach, (below, above), strict=True)
    )
    return _closed(Curve(x, dense, below, above, True), step, least, most)


def _strongest(what: Linear | Response) -> int:
    """Which member changes the result most, from one of its own tails to the other: it makes those of the result."""
    members = what.members
    y = what.at(each_alone(members, np.array([_FAR, 1 - _FAR])).reshape(-1, len(members))).reshape(-1, 2)
    return int(np.argmax(np.abs(y[:, 1] - y[:, 0])))


def _share_below(x: FloatArray, low: FloatArray, high: FloatArray, share: FloatArray) -> FloatArray:
    """Of pieces that each lie evenly between `low` and `high`, the share below each x."""
    total = np.zeros(x.size)
    for ends, sign in ((low, 1.0), (high, -1.0)):
        order = np.argsort(ends)
        slope = (share / (high - low))[order]
        slopes, starts = np.cumsum(slope), np.cumsum(slope * (ends[order] - x[0]))
        index = np.searchsorted(ends[order], x) - 1
        total += np.where(index < 0, 0.0, sign * ((x - x[0]) * slopes[index] - starts[index]))
    return np.asarray(np.clip(total, 0.0, 1.0))


def _ends(values: Iterable[float], also: Iterable[float]) -> tuple[float, float]:
    """Where a curve begins and ends: where its tails do, not so far that nothing is seen of it, and past `also`.

    values: those below which lie the shares `_FAR`, `_NEAR`, a half, all but `_NEAR` and all but `_FAR`.
    """
    far, near, middle, other, top = values
    least, most = max(far, middle - 2 * (middle - near)), min(top, middle + 2 * (other - middle))
    room = 0.05 * (most - least)
    places = list(also)
    return min([least, *(place - room for place in places)]), max([most, *(place + room for place in places)])


def _closed(one: Curve, step: float, least: float, most: float) -> Curve:
    """With the flat ground on either side of what is not 0, up to the ends of the curve."""
    x = one.places
    first, last = x[0] - step / 2, x[-1] + step / 2
    before, after = [first], [last]
    if least < first:
        before = [least, first]
    if most > last:
        after = [last, most]
    return Curve(
        np.concatenate([before, x, after]),
        np.concatenate([np.zeros(len(before)), one.heights, np.zeros(len(after))]),
        np.concatenate([np.zeros(len(before)), one.below, np.ones(len(after))]),
        np.concatenate([np.ones(len(before)), one.above, np.zeros(len(after))]),
        one.sampled,
    )
