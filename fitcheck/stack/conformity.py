"""Decisions from measurements and processes: guard bands, conformance, the risks of both sides, capability.

Everything is for a normal measurement error of standard uncertainty u, and where a process is meant, a normal process.

References: ISO 14253-1:2017 (decision rules); JCGM 106:2012 (conformance probability, clause 7; specific and global
risks, clause 9); capability indices as in D. C. Montgomery, Introduction to Statistical Quality Control.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from fitcheck.errors import InputError, finite, not_negative, positive
from fitcheck.later import special
from fitcheck.shown import shown
from fitcheck.stack.ends import Interval
from fitcheck.stack.gauss import legendre

CONFORMS, FAILS, UNDECIDED = "conforms", "does not conform", "cannot be decided"


@shown
class Risks(NamedTuple):
    """Probabilities over a whole production: a bad part accepted, and a good part rejected.

    consumer: probability that a part is bad and accepted. producer: probability that a part is good and rejected.
    """

    consumer: float
    producer: float


@shown
class Capability(NamedTuple):
    """Cp and Cpk of a process, and the parts out of tolerance in a million, below and above.

    cp: ratio of the tolerance to six standard deviations, infinite with one limit. cpk: ratio of the distance of the
    nearer limit from the mean to three. ppm_below, ppm_above: number of parts in a million beyond each limit.
    """

    cp: float
    cpk: float
    ppm_below: float
    ppm_above: float


def _limits(lower: float | None, upper: float | None) -> tuple[float, float]:
    if lower is None and upper is None:
        raise InputError("limits: a lower limit, an upper limit or both are needed")
    low = -math.inf if lower is None else finite("lower", lower, one=True)
    high = math.inf if upper is None else finite("upper", upper, one=True)
    if low >= high:
        raise InputError(f"limits: lower = {low:g} must lie below upper = {high:g}")
    return low, high


def conformance(value: float, u: float, *, lower: float | None = None, upper: float | None = None) -> float:
    """Probability that the true value lies within the limits, given a measured value and its standard uncertainty.

    P = Phi((upper - value) / u) - Phi((lower - value) / u)   [1]_, nothing else being known.

    value: what was measured, in mm or any one unit. u: standard uncertainty, in the same unit. lower, upper: the
    limits, in the same unit; one may be left out. Raises `InputError` without a limit, for lower not below upper and
    for u below 0.

    >>> f"{conformance(10.02, 0.01, upper=10.04):.4f}"
    '0.9772'

    References
    ----------
    .. [1] JCGM 106:2012, 7.3 to 7.4.
    """
    low, high = _limits(lower, upper)
    value, u = finite("value", value, one=True), not_negative("u", u, one=True)
    if u == 0:
        return float(low <= value <= high)
    a, b = (low - value) / u, (high - value) / u
    # Of the two ways to take the difference, the one that does not cancel.
    return float(special.ndtr(b) - special.ndtr(a) if a < 0 else special.ndtr(-a) - special.ndtr(-b))


def guard_band(u: float, confidence: float = 0.95) -> float:
    """Width to stay inside a limit so that conformance is at least `confidence`: g = z u, z one-sided.

    u: standard uncertainty, in mm or any one unit, which is that of g too. confidence: probability from 0.5 to less
    than 1; 95 % is the default of the standard, g = 1.65 u [1]_. Raises `InputError` for a confidence outside and for u
    below 0.

    >>> f"{guard_band(0.01):.5f}"
    '0.01645'

    References
    ----------
    .. [1] ISO 14253-1:2017.
    """
    confidence = finite("confidence", confidence, one=True)
    if not 0.5 <= confidence < 1:
        raise InputError(f"confidence = {confidence:g}: a probability from 0.5 to less than 1 is needed")
    return float(special.ndtri(confidence) * not_negative("u", u, one=True))


def acceptance(g: float, *, lower: float | None = None, upper: float | None = None) -> Interval:
    """The limits within which a measured value is accepted, each moved inwards by the guard band g. Plain arithmetic.

    g: guard band, in mm or any one unit. lower, upper: the limits, in the same unit; one may be left out. Raises
    `InputError` without a limit, for lower not below upper, and where twice the guard band exceeds the tolerance.

    >>> acceptance(0.25, lower=9.5, upper=10.5)
    Interval(min=9.75, max=10.25)
    """
    low, high = _limits(lower, upper)
    g = finite("g", g, one=True)
    if low + g > high - g:
        raise InputError(f"g = {g:g}: twice the guard band exceeds the tolerance of {high - low:g}")
    return Interval(low + g, high - g)


def verdict(
    value: float,
    u: float,
    *,
    lower: float | None = None,
    upper: float | None = None,
    confidence: float = 0.95,
    guard: float | None = None,
) -> str:
    """The decision of ISO 14253-1: "conforms", "does not conform", or "cannot be decided" between the two [1]_.

    Parameters
    ----------
    value, u : the measured value and its standard uncertainty, in mm or any one unit
    lower, upper : the limits, in the same unit; at least one
    confidence : probability that a part which is said to conform, or not to, does so; it makes the guard band z u,
        one-sided, 1.65 u by default
    guard : the guard band itself, in the same unit, instead; U = k u is the rule of the editions of 1998 and 2013

    It conforms if the value lies within the limits moved inwards by the guard band, and does not if it lies beyond
    them moved outwards. Raises `InputError` without a limit, or for limits that leave no room.

    >>> verdict(10.08, 0.01, upper=10.1), verdict(10.083, 0.01, upper=10.1), verdict(10.085, 0.01, upper=10.1)
    ('conforms', 'conforms', 'cannot be decided')
    >>> verdict(10.083, 0.01, upper=10.1, guard=0.02)
    'cannot be decided'

    References
    ----------
    .. [1] ISO 14253-1:2017 (default rule, from memory).
    """
    low, high = _limits(lower, upper)
    value = finite("value", value, one=True)
    g = guard_band(u, confidence) if guard is None else not_negative("guard", guard, one=True)
    if low + g <= value <= high - g:
        return CONFORMS
    if value < low - g or value > high + g:
        return FAILS
    return UNDECIDED


def global_risks(
    mean: float,
    sd: float,
    u: float,
    *,
    lower: float | None = None,
    upper: float | None = None,
    g: float = 0.0,
) -> Risks:
    """Consumer's and producer's risk of a production measured with uncertainty u [1]_.

    Parameters
    ----------
    mean, sd : mean and standard deviation of the process, in mm or any one unit
    u : standard uncertainty of the measurement, in the same unit
    lower, upper : tolerance limits, in the same unit; one may be left out
    g : guard band, in the same unit; accepted is what measures within the limits moved inwards by g

    consumer = integral outside the limits of f(x) P(accepted | x) dx,
    producer = integral inside the limits of f(x) P(rejected | x) dx.

    Raises `InputError` without a limit, for lower not below upper, for sd or u not above 0, and where twice the guard
    band exceeds the tolerance.

    References
    ----------
    .. [1] JCGM 106:2012, 9.5.

    Examples
    --------
    >>> risks = global_risks(1500.0, 0.12, 0.04, lower=1499.8, upper=1500.2)  # the resistors of [1], in ohm
    >>> round(risks.consumer, 4), round(risks.producer, 4)
    (0.0189, 0.0372)
    """
    low, high = _limits(lower, upper)
    accept_low, accept_high = acceptance(g, lower=lower, upper=upper)
    mean, sd, u = finite("mean", mean, one=True), positive("sd", sd, one=True), positive("u", u, one=True)

    def accepted(x: np.ndarray) -> np.ndarray:
        return np.asarray(special.ndtr((accept_high - x) / u) - special.ndtr((accept_low - x) / u))

    def density(x: np.ndarray) -> np.ndarray:
        return np.asarray(np.exp(-(((x - mean) / sd) ** 2) / 2) / (sd * math.sqrt(2 * math.pi)))

    nodes, weights = legendre(32)
    cuts = {mean + 12 * sd * k / 24 for k in range(-24, 25)}
    for edge in (low, high, accept_low, accept_high):
        if math.isfinite(edge):
            cuts |= {edge + k * u for k in range(-10, 11)}
    ends = sorted(c for c in cuts if abs(c - mean) <= 12 * sd)
    left, right = np.array(ends[:-1]), np.array(ends[1:])
    half = (right - left)[:, None] / 2
    x = (left[:, None] + half) + half * nodes
    mass = half * weights * density(x)
    inside = (x >= low) & (x <= high)
    share = accepted(x)
    rejected = special.ndtr((x - accept_high) / u) + special.ndtr((accept_low - x) / u)
    return Risks(float(np.sum((mass * share)[~inside])), float(np.sum((mass * rejected)[inside])))


def capability(mean: float, sd: float, *, lower: float | None = None, upper: float | None = None) -> Capability:
    """Capability of a normal process.

    Cp = (upper - lower) / (6 sd), infinite with one limit; Cpk = distance of the nearer limit from the mean / (3 sd)
    [1]_

    mean, sd: mean and standard deviation of the process, in mm or any one unit. lower, upper: the limits, in the same
    unit; one may be left out. Raises `InputError` without a limit, for lower not below upper and for sd not above 0.

    >>> found = capability(10.0, 0.01, lower=9.96, upper=10.04)
    >>> f"{found.cp:.2f} {found.cpk:.2f}"
    '1.33 1.33'

    References
    ----------
    .. [1] D. C. Montgomery, Introduction to Statistical Quality Control.
    """
    low, high = _limits(lower, upper)
    mean, sd = finite("mean", mean, one=True), positive("sd", sd, one=True)
    return Capability(
        (high - low) / (6 * sd),
        min(high - mean, mean - low) / (3 * sd),
        1e6 * float(special.ndtr((low - mean) / sd)),
        1e6 * float(special.ndtr((mean - high) / sd)),
    )
