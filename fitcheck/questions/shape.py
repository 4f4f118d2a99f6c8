"""How a quantity is spread, in small form: what a figure draws of it, so that no figure has to draw samples."""

from __future__ import annotations

from contextlib import suppress
from typing import Any, NamedTuple

import numpy as np

from fitcheck.errors import InputError
from fitcheck.questions.finding import Quantity, Shape
from fitcheck.stack import Dimension, Distribution, Interval, Linear, Method, Probability, Response, Spread
from fitcheck.stack.curve import Curve, curve, distribution_of
from fitcheck.stack.results import limits_of_risk
from fitcheck.units import PLAIN, Unit


def shape(quantity: Quantity) -> Shape | None:
    """The density of a quantity; None for one that does not vary.

    Exact for a sum; for a function smooth, to two parts in a hundred of its height; parts that were inspected one by
    one have steps. Places in the inside unit of `quantity.unit`, heights in one over that unit.

    >>> import fitcheck as fc
    >>> found = shape(fc.dim("10 ± 0.1, triangular") + fc.dim("2 ± 0.1, triangular"))
    >>> f"{found.places[found.heights.index(max(found.heights))]:.2f}"
    '12.00'
    """
    if not isinstance(quantity, Linear | Response):
        return None
    with suppress(InputError):  # nothing varies, or a function gives one number over nearly all of what does
        found = curve(quantity, rough=True)
        return Shape(tuple(found.places.tolist()), tuple(found.heights.tolist()))
    return None


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
    below: Any = None,
    above: Any = None,
) -> Tails:
    """The density of whatever is spread, its tails, and how much of it lies outside two limits.

    quantity: a dimension, a sum, a response, a distribution or a spread. below, above: limits, numbers in mm (in the
    inside unit of its kind), quantities or texts with their unit ("1.312 in"). Raises `InputError` for what is none of
    these or does not vary, and for limits that `probability` refuses.

    >>> import fitcheck as fc
    >>> found = tails(fc.dim("40 H7") - fc.dim("40 k6"), below=0)
    >>> found.beyond[0].probability.said, found.worst_case
    ('0.40', Interval(min=-0.018, max=0.023))
    """
    unit = quantity.unit if isinstance(quantity, Linear | Response) else PLAIN
    limits = (None, None) if below is None and above is None else limits_of_risk(below, above, unit)
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
        return quantity.outside(limit, None) if side == "below" else quantity.outside(None, limit)
    known = distribution_of(quantity)
    return Probability(known.cdf(limit) if side == "below" else known.sf(limit), Method.EXACT)


def _name(quantity: Linear | Response | Distribution | Spread) -> str:
    """What is spread, for the axis of a figure."""
    if isinstance(quantity, Dimension):
        return quantity.called or "size"
    if isinstance(quantity, Response):
        return "result" if quantity.name == "<lambda>" else quantity.name
    if isinstance(quantity, Linear):
        return f"sum of {len(quantity.members)}"
    return "value" if isinstance(quantity, Distribution) else f"{quantity.name}: place in the zone, limits at -1 and 1"


class Hills(NamedTuple):
    """What is borne, and what is put on it: the density of each, None for what does not vary.

    put_on_at: the nominal of what is put on. most: past which neither lies, but for half a percent of what is borne.
    All in the inside unit of both.
    """

    borne: Shape | None
    put_on: Shape | None
    put_on_at: float
    most: float


def hills(borne: Response, put_on: Linear | Response) -> Hills:
    """How what is borne and what is put on it are spread; both of one unit, and at least 0.

    >>> import fitcheck as fc
    >>> pull = fc.response(lambda a: a**2, a=fc.dim("3 ± 0.5"), unit=fc.units.MM)
    >>> found = hills(pull, fc.dim("4"))
    >>> found.put_on, found.put_on_at, f"{found.most:.1f}"
    (None, 4.0, '12.2')
    """
    known = shape(borne)
    most = put_on.worst_case().max
    if known is not None:
        x, dense = map(np.asarray, known)
        below = np.concatenate([[0.0], np.cumsum(np.diff(x) * (dense[1:] + dense[:-1]) / 2)])
        most = max(most, float(np.interp(0.995 * below[-1], below, x)))
    return Hills(known, shape(put_on), put_on.nominal, most)
