"""What shares of a spread are reckoned with where the tails of Student's t would leave it without a variance.

The exponential of a Student's t has no variance, with however many degrees of freedom, and the t itself has none with
2: a share of it would be whatever the points happen to reach. So wherever a share of a variance is asked for, of a sum
or of a function, a Student's t goes no farther than the ends of its central 99 %, as far as an interval usually does.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from fitcheck.later import special
from fitcheck.stack.member import Member
from fitcheck.stack.spreads import Spread
from fitcheck.stack.student_t import StudentT
from fitcheck.units import FloatArray

_ABOVE = 0.005
"""Of a Student's t, beyond either end of what is central."""


def moved_in(members: Sequence[Member], z: FloatArray) -> FloatArray:
    """Points of the standard zone, those of a Student's t being moved in to the ends of its central 99 %.

    z: one row a point, one column a member.
    """
    ends = [_end(d.spread) if isinstance(d.spread, StudentT) else math.inf for d in members]
    return z if min(ends) == math.inf else np.asarray(np.clip(z, np.negative(ends), ends))


def counted_variance(spread: Spread) -> float:
    """The variance of a spread, that of a Student's t being of its values moved in; 1 is that of the half zone.

    Of v degrees of freedom, the part of E T² from within ± c is v / (v - 2) times the regularised incomplete beta
    function I_x(3/2, v/2 - 1) at x = c² / (v + c²), for v = 2 in the limit 2 (asinh(c / √2) - c / √(2 + c²)); c² times
    what lies beyond is added to it.
    """
    if not isinstance(spread, StudentT):
        return spread.variance
    v, c = spread.degrees, _end(spread) * spread.coverage
    if v == 2:
        inside = 2 * (math.asinh(c / math.sqrt(2)) - c / math.hypot(math.sqrt(2), c))
    else:
        inside = v / (v - 2) * float(special.betainc(1.5, v / 2 - 1, c**2 / (v + c**2)))
    return (inside + 2 * _ABOVE * c**2) / spread.coverage**2


def _end(spread: StudentT) -> float:
    return float(spread.quantile(1 - _ABOVE))
