"""The value that a strength falls below with a small probability: the limit a risk allows."""

from __future__ import annotations

import math

from fitcheck.later import special
from fitcheck.stack import Method, Response

_COUNTED = 1e-4  # risks down to here are counted among the samples of an interval
_CLOSE = 0.01  # of the risk
_AT_THE_END = 1e-3  # of a value: so near to the worst case it is the worst case
_MOST = 8  # probabilities asked for one value
_SURE = 0.1  # standard error of a probability, of itself, from which on more points are taken


_SURELY = 0.9
"""Part of a risk that a limit is advised for."""


def advised_quantile(quantity: Response, risk: float) -> float:
    """`low_quantile` for nine tenths of the risk: a limit that still meets the risk when that is sampled again."""
    return low_quantile(quantity, _SURELY * risk)


def low_quantile(quantity: Response, risk: float) -> float:
    """The value that `quantity`, which is never below 0, falls below with probability `risk`.

    Down to a risk of 1e-4 it is read from the samples. For less, the values of fixed risks, two a decade, are found one
    after the other, whatever risk is asked for, and the value lies between two of them: on normal probability paper the
    logarithm of a strength is nearly a straight line. So less risk never gives more. A value that no search can reach
    (no failure within 8.5 standard deviations) is replaced by the worst case, which is lower.
    """
    at = quantity.low_end(max(risk, _COUNTED))
    if risk >= _COUNTED or at <= 0:
        return at
    start = quantity.low_end(10 * _COUNTED)
    worst = max(quantity.worst_case().min, 0.0)
    bounded = worst > 0 and all(d.spread.bounded for d in quantity.members)
    least = math.log(worst) if bounded else -math.inf
    above, last = (math.log(start), _paper(10 * _COUNTED)), (math.log(at), _paper(_COUNTED))
    rung = 0
    while (reached := _COUNTED * 10 ** (-rung / 2)) > risk:
        rung += 1
        aim = _COUNTED * 10 ** (-rung / 2)
        x = _log_quantile(quantity, aim, above, last, least) if last[0] - least > _AT_THE_END else None
        if x is None:
            return min(worst, math.exp(last[0]))
        above, last = last, (min(x, last[0]), _paper(aim))
    along = (_paper(max(risk, reached)) - above[1]) / (last[1] - above[1])
    return math.exp(above[0] + along * (last[0] - above[0]))


def _paper(p: float) -> float:
    """Where a probability stands on normal probability paper."""
    return float(special.ndtri(p))


def _log_quantile(
    quantity: Response, risk: float, above: tuple[float, float], last: tuple[float, float], least: float
) -> float | None:
    """The logarithm of the value of a risk, by a secant from the last two; None if no failure is found there.

    Where the spread ends the line bends: then between a value that is too low, `least` to begin with, and one that is
    not, and if that takes too long, the one that is too low.
    """
    (x0, y0), (x1, y1) = above, last
    low, high = least, x1
    for _ in range(_MOST):
        if not y0 > y1 or not x0 > x1:
            break
        x = x1 + (_paper(risk) - y1) * (x1 - x0) / (y1 - y0)
        if not low < x < high:
            x = (low + high) / 2
        p = quantity.outside(math.exp(x), None, method="design point")
        if p.standard_error > _SURE * p:
            p = quantity.outside(math.exp(x), None)
        if p.method is Method.WORST_CASE:
            low = x
            continue
        if not 0 < p < 1:
            break
        if abs(p / risk - 1) < max(_CLOSE, min(p.standard_error / p, _SURE)):
            return x
        low, high = (x, high) if p < risk else (low, x)
        (x0, y0), (x1, y1) = sorted([(x1, y1), (x, _paper(float(p)))], reverse=True)
    return low if math.isfinite(low) else None
