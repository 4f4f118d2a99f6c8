"""The value that a strength falls below with a small probability: the limit a risk allows."""

from __future__ import annotations

import math

from fitcheck.later import special
from fitcheck.stack import Response

_COUNTED = 1e-4  # risks down to here are counted among the samples of an interval
_CLOSE = 0.01  # of the risk


def low_quantile(quantity: Response, risk: float) -> float:
    """The value that `quantity`, which is never below 0, falls below with probability `risk`.

    Down to a risk of 1e-4 it is read from the samples. For less, the probability of a rare failure is asked for and the
    value moved until it is the risk: on normal probability paper the logarithm of a strength is nearly a straight line,
    so a secant finds it in a few steps. A value that no search can reach (no failure within 8.5 standard deviations)
    is replaced by the worst case, which is lower.
    """
    at = quantity.interval(1 - 2 * max(risk, _COUNTED)).min
    if risk >= _COUNTED or at <= 0:
        return at
    start = quantity.interval(1 - 2 * 10 * _COUNTED).min
    points = [(math.log(start), float(special.ndtri(10 * _COUNTED))), (math.log(at), float(special.ndtri(_COUNTED)))]
    goal = float(special.ndtri(risk))
    for _ in range(8):
        (x0, y0), (x1, y1) = points[-2:]
        if not y0 > y1:
            break
        x = x1 + (goal - y1) * (x1 - x0) / (y1 - y0)
        p = quantity.probability(below=math.exp(x), method="design point")
        if not 0 < p < 1:
            break
        if abs(p / risk - 1) < max(_CLOSE, p.standard_error / p):
            return math.exp(x)
        points.append((x, float(special.ndtri(float(p)))))
        points.sort(reverse=True)
    return max(quantity.worst_case().min, 0.0)
