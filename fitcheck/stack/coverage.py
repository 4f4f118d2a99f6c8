"""Coverage: effective degrees of freedom and coverage factors [1]_, and whether propagation and simulation agree [2]_.

References
----------
.. [1] JCGM 100:2008 (GUM), G.4.1 (Welch and Satterthwaite), G.3.2 and table G.2 (coverage factors).
.. [2] JCGM 101:2008, 7.9.2 (numerical tolerance) and clause 8 (validation).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from fitcheck.errors import InputError, brief, fraction, not_negative, positive, two_numbers, whole
from fitcheck.expected import degrees_of_freedom
from fitcheck.later import special
from fitcheck.shown import shown


def effective_degrees_of_freedom(uncertainties: Sequence[float], degrees: Sequence[float]) -> float:
    """Degrees of freedom of a combined uncertainty, sum(u_i²)² / sum(u_i⁴ / v_i) [1]_.

    Parameters
    ----------
    uncertainties : standard uncertainties u_i that the independent inputs give the result (sensitivity times
        uncertainty), all in one unit
    degrees : degrees of freedom v_i of each, above 0; math.inf for one that is known exactly

    The result is infinite if every u_i with finite degrees is 0. Raises `InputError` for lists of different length,
    for no uncertainty above 0, and for what is no such number.

    Examples
    --------
    The end gauge of JCGM 100:2008, H.1: nanometres.

    >>> round(effective_degrees_of_freedom([25, 9.7, 2.9, 16.6], [18, 25.6, 50, 2]), 1)
    16.8

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), G.4.1.
    """
    for key, row in (("uncertainties", uncertainties), ("degrees", degrees)):
        if not hasattr(row, "__len__"):
            raise InputError(f"{key} = {brief(row)}: a list of numbers is needed")
    if len(uncertainties) != len(degrees):
        raise InputError(f"degrees: one for each uncertainty is needed, {len(uncertainties)} and not {len(degrees)}")
    squares = [not_negative(f"uncertainties[{i}]", u, one=True) ** 2 for i, u in enumerate(uncertainties)]
    total = math.fsum(squares)
    if not total > 0:
        raise InputError("uncertainties: at least one above 0 is needed")
    known = [math.inf if v == math.inf else positive(f"degrees[{i}]", v, one=True) for i, v in enumerate(degrees)]
    parts = math.fsum((square / total) ** 2 / v for square, v in zip(squares, known, strict=True))
    return 1 / parts if parts > 0 else math.inf


def coverage_factor(confidence: float, degrees: float = math.inf) -> float:
    """The k that makes k standard uncertainties hold the true value with `confidence`, both sides together [1]_.

    Parameters
    ----------
    confidence : a probability between 0 and 1
    degrees : degrees of freedom, above 0: k is the quantile of Student's t; of the normal distribution if infinite. The
        guide allows to round effective ones down to a whole number, which is on the safe side.

    Raises `InputError` for a confidence that is none, and for degrees not above 0.

    Examples
    --------
    >>> f"{coverage_factor(0.99, 16):.2f}", f"{coverage_factor(0.95):.2f}"
    ('2.92', '1.96')

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), G.3.2 and table G.2.
    """
    above = (1 + fraction("confidence", confidence)) / 2
    degrees = degrees_of_freedom("degrees", degrees)
    return float(special.ndtri(above) if degrees == math.inf else special.stdtrit(degrees, above))


@shown
class Agreement(NamedTuple):
    """Whether two intervals agree.

    low: how far the lower ends lie apart, in the unit of u. high: the upper ends, in the same unit. tolerance: what may
    be between them, in the same unit. agrees: whether it is no more at either end.
    """

    low: float
    high: float
    tolerance: float
    agrees: bool


def compare_intervals(
    propagated: tuple[float, float], simulated: tuple[float, float], u: float, *, digits: int = 2
) -> Agreement:
    """Whether an interval by the law of propagation is confirmed by one of a simulation [2]_.

    It is, if both ends differ by no more than the numerical tolerance d = 10^l / 2, the standard uncertainty being
    u = c 10^l with a whole number c of `digits` digits.

    Parameters
    ----------
    propagated, simulated : lower and upper end of the two intervals, for one coverage probability, in the unit of u
    u : standard uncertainty of the result, above 0, a number in one unit with the intervals
    digits : significant digits of u that matter, a whole number, 1 or 2 as a rule

    Raises `InputError` for an interval whose ends are no two numbers in order, and for u not above 0.

    Examples
    --------
    Four equal rectangular inputs, JCGM 101:2008, 9.2.3 (from memory): the propagated interval is too wide.

    >>> compare_intervals((-3.92, 3.92), (-3.88, 3.88), 2.0, digits=1).agrees
    True
    >>> compare_intervals((-3.92, 3.92), (-3.88, 3.88), 2.0, digits=3).agrees
    False

    References
    ----------
    .. [2] JCGM 101:2008, 7.9.2 and clause 8.
    """
    first, second = two_numbers("propagated", propagated), two_numbers("simulated", simulated)
    written = f"{positive('u', u, one=True):.{whole('digits', digits, 1) - 1}e}"
    tolerance = 0.5 * 10.0 ** (int(written.partition("e")[2]) - (digits - 1))
    low, high = abs(first[0] - second[0]), abs(first[1] - second[1])
    slack = tolerance * (1 + 1e-9)
    return Agreement(low, high, tolerance, low <= slack and high <= slack)
