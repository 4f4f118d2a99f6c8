"""Tolerances for all dimensions of a sum at once: the cheapest that meet a target, or the old ones in proportion.

The cost of a tolerance t (half the zone) is a + b / t^k, the reciprocal power law. For a worst-case or root-sum-square
target the cheapest tolerances satisfy one equation each with one multiplier,

    worst case:       k b / t^(k + 1) = m |c|           sum of |c| t = T
    root sum square:  k b / t^(k + 1) = 2 m c^2 t       sum of c^2 t^2 = T^2

(K. W. Chase, ADCATS report 99-6; M. F. Spotts, J. Eng. Ind. 95 (1973) 762-764 for k = 2; both from memory). With one
exponent for all and no bound in the way that is a closed form; otherwise the multiplier is found as a root, a
tolerance that would leave its bounds being held there, which is optimal because the problem is convex. A target of
probability is met by sequential quadratic programming. The optimality conditions are checked in every case.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from scipy import optimize

from fitcheck.errors import InputError, finite, one_of, positive
from fitcheck.stack.dimension import Dimension, Linear, Sum
from fitcheck.units import FloatArray


@dataclass(frozen=True, slots=True)
class Cost:
    """The cost a + b / t^k of a tolerance of half-width t."""

    b: float
    k: float = 1.0
    a: float = 0.0

    def __post_init__(self) -> None:
        positive("b", self.b)
        positive("k", self.k)
        finite("a", self.a)

    def of(self, t: float) -> float:
        return float(self.a + self.b / t**self.k)


class Allocation(NamedTuple):
    """Half-widths by dimension, their cost, the multiplier of the target, and how well the optimality conditions hold.

    `optimality` is the largest relative violation of the conditions over the dimensions that are free; `total` is the
    sum with the new tolerances.
    """

    tolerances: dict[str, float]
    cost: float
    multiplier: float
    optimality: float
    method: str
    total: Sum


def allocate(
    total: Linear,
    cost: Mapping[str, Cost],
    *,
    half_width: float,
    by: str = "worst case",
    risk: float = 0.0027,
    bounds: Mapping[str, tuple[float, float]] | None = None,
) -> Allocation:
    """The least-cost tolerances that keep a sum within its target.

    Parameters
    ----------
    total : the sum; dimensions without a cost keep their tolerances
    cost : cost of each dimension to be toleranced, by name
    half_width : half the zone the sum may take, about its middle
    by : "worst case", "rss" (root sum square), or "probability" (outside the zone with at most `risk`, by the exact
        distribution of the members' spreads)
    risk : for "probability"
    bounds : least and greatest half-width, by name

    Raises `InputError` if the fixed tolerances, or the least ones allowed, already exceed the target.
    """
    one_of("by", by, ("worst case", "rss", "probability"))
    T = positive("half_width", half_width)
    free, fixed = _split(total, cost)
    c = np.array([abs(k) for _, k in free])
    law = [cost[d.name] for d, _ in free]
    b, k = np.array([x.b for x in law]), np.array([x.k for x in law])
    limits = bounds or {}
    for name in limits:
        one_of("bounds", name, cost)
    low = np.array([positive(f"bounds of {d.name}", limits[d.name][0]) if d.name in limits else 0.0 for d, _ in free])
    high = np.array(
        [positive(f"bounds of {d.name}", limits[d.name][1]) if d.name in limits else math.inf for d, _ in free]
    )
    if np.any(low > high):
        raise InputError("bounds: the least tolerance must not exceed the greatest")
    if by == "probability":
        t, multiplier, optimality = _by_probability(total, free, T, risk, b, k, low, high)
        method = "sequential quadratic programming"
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
        t, multiplier, method = _by_multiplier(b, k, c, room, power, low, high)
        optimality = _violation(k * b / t ** (k + 1), multiplier * power * c**power * t ** (power - 1), t, low, high)
    tolerances = {d.name: float(x) for (d, _), x in zip(free, t, strict=True)}
    spent = math.fsum(x.of(float(y)) for x, y in zip(law, t, strict=True))
    return Allocation(tolerances, spent, multiplier, optimality, method, with_tolerances(total, tolerances))


def in_proportion(
    total: Linear, free: Mapping[str, float] | list[str], *, half_width: float, by: str = "worst case"
) -> dict[str, float]:
    """Half-widths in given proportions that meet a target.

    `free` lists the dimensions to change, in proportion to their present tolerances, or maps each to a weight, such
    as the cube root of its size (precision factor method). The others keep their tolerances.
    """
    one_of("by", by, ("worst case", "rss"))
    power = 1 if by == "worst case" else 2
    T = positive("half_width", half_width)
    chosen, fixed = _split(total, dict.fromkeys(free))
    weights = {
        d.name: positive(f"weight of {d.name}", free[d.name] if isinstance(free, Mapping) else d.half_width)
        for d, _ in chosen
    }
    room = T**power - math.fsum((abs(c) * d.half_width) ** power for d, c in fixed)
    if room <= 0:
        raise InputError(f"half_width = {T:g}: the tolerances that are fixed already exceed it")
    whole = math.fsum((abs(c) * weights[d.name]) ** power for d, c in chosen)
    factor = (room / whole) ** (1 / power)
    return {name: factor * w for name, w in weights.items()}


def with_tolerances(total: Linear, tolerances: Mapping[str, float]) -> Sum:
    """The sum with new half-widths, each zone about its old middle."""
    terms = []
    for d, c in total.members:
        if d.name in tolerances:
            t = tolerances[d.name]
            d = dataclasses.replace(d, lower=d.middle - t, upper=d.middle + t)
        terms.append((d, c))
    return Sum(tuple(terms), total.constant, total.nominal, total.unit)


def _split(
    total: Linear, names: Mapping[str, object]
) -> tuple[list[tuple[Dimension, float]], list[tuple[Dimension, float]]]:
    """The members to be toleranced and the others."""
    members = {d.name: (d, c) for d, c in total.members}
    if len(members) < len(total.members):
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


def _by_probability(
    total: Linear,
    free: list[tuple[Dimension, float]],
    T: float,
    risk: float,
    b: FloatArray,
    k: FloatArray,
    low: FloatArray,
    high: FloatArray,
) -> tuple[FloatArray, float, float]:
    if not 0 < finite("risk", risk) < 0.5:
        raise InputError(f"risk = {risk:g}: a probability between 0 and 0.5 is needed")
    names = [d.name for d, _ in free]
    middle = total.middle

    def log_risk(t: FloatArray) -> float:
        exact = with_tolerances(total, dict(zip(names, t.tolist(), strict=True))).exact()
        p = float(exact.cdf(middle - T)) + float(exact.sf(middle + T))
        return math.log(max(p, 1e-250) / risk)

    def slope(t: FloatArray) -> FloatArray:
        found = np.empty(len(t))
        for i in range(len(t)):
            h = 1e-5 * t[i]
            up, down = t.copy(), t.copy()
            up[i] += h
            down[i] -= h
            found[i] = (log_risk(up) - log_risk(down)) / (2 * h)
        return found

    if np.any(low > 0) and log_risk(np.maximum(low, 1e-12 * T)) > 0:
        raise InputError(f"half_width = {T:g}: the least tolerances allowed already exceed the risk of {risk:g}")
    start = (b * k) ** (1 / (k + 2))
    start = np.clip(start * T / float(np.sqrt((start**2).sum())), low, np.where(np.isfinite(high), high, 1e300))
    scale = 1.0
    while log_risk(np.clip(scale * start, low, high)) > 0 and scale > 1e-6:
        scale *= 0.8
    if scale <= 1e-6:
        raise InputError(f"half_width = {T:g}: the tolerances that are fixed already exceed the risk of {risk:g}")
    x0 = np.log(np.clip(scale * start, np.maximum(low, 1e-9 * T), high))
    unit = float((b / np.exp(x0) ** k).sum())
    found = optimize.minimize(
        lambda x: float((b * np.exp(-k * x)).sum()) / unit,
        x0,
        jac=lambda x: -k * b * np.exp(-k * x) / unit,
        bounds=[
            (math.log(max(lo, 1e-9 * T)), math.log(hi) if math.isfinite(hi) else None)
            for lo, hi in zip(low, high, strict=True)
        ],
        constraints={
            "type": "ineq",
            "fun": lambda x: -log_risk(np.exp(x)),
            "jac": lambda x: -slope(np.exp(x)) * np.exp(x),
        },
        method="SLSQP",
        options={"ftol": 1e-13, "maxiter": 200},
    )
    t = np.exp(found.x)
    gain, price = k * b / t ** (k + 1), slope(t)
    inner = (t > low * (1 + 1e-6)) & (t < high * (1 - 1e-6))
    if not inner.any():
        inner[:] = True
    multiplier = float((gain[inner] @ price[inner]) / (price[inner] @ price[inner]))
    optimality = max(_violation(gain, multiplier * price, t, low, high), max(log_risk(t), 0.0))
    if optimality > 1e-2:
        raise InputError(f"allocation by probability did not settle (optimality {optimality:.2g}): give bounds")
    return t, multiplier, optimality
