"""Holding a thin tube by its outside: the torque that a collet, a strap or two jaws pass before they crush it.

Plain functions on floats or arrays, which broadcast: for each mm of the length that is gripped, with nothing inside.
"""

from __future__ import annotations

import numpy as np

from fitcheck.errors import not_negative, positive
from fitcheck.mechanics.tube import pinch_limit
from fitcheck.units import Number

STRAP_ARC = 5.0
"""Arc that a strap lies on, radians: 285°, what the head of a strap wrench leaves of the circle; common practice."""


def collet_torque(Do: Number, Di: Number, Rp: Number, mu: Number) -> Number:
    """Torque for each mm of length that a collet passes by friction when the tube begins to yield, N·m: 2π R² μ p.

    The even pressure p = Rp t/R presses a thin tube together at its yield strength (the boiler formula [1]_ turned
    round), R = (Do + Di)/4 and t = (Do - Di)/2. A tube that buckles first, t below about R/30 or out of round, bears
    less, and so does one in a collet of another size, which grips on lines. Do, Di: outer and inner diameter, mm. Rp:
    yield strength, MPa. mu: friction. Arrays broadcast; `InputError` for a Di or mu below 0, a Do or Rp not above 0.

    References
    ----------
    .. [1] Statics of a thin ring under even pressure.

    Examples
    --------
    >>> print(round(collet_torque(40.0, 37.0, 200.0, 0.2), 2))
    7.26
    """
    Do, Di, Rp = positive("Do", Do, "mm"), not_negative("Di", Di, "mm"), positive("Rp", Rp, "MPa")
    R, t = (Do + Di) / 4, np.maximum(Do - Di, 0.0) / 2
    return np.asarray(2 * np.pi * R * t * Rp * not_negative("mu", mu) / 1e3)[()]


def strap_torque(Do: Number, Di: Number, Rp: Number, mu: Number, arc: Number = STRAP_ARC) -> Number:
    """Torque for each mm of its width that a strap passes when the tube under its tight end yields, N·m.

        R t Rp (1 - exp(-μ arc))

    The tight end pulls S = t Rp for each mm, which presses the ring beside it together at its yield strength; around
    the arc the friction takes it down to S exp(-μ arc) (the rope on a bollard [1]_). The bending by a pressure that
    falls along the arc is left out, so half of it is what to use. arc: that the strap lies on, radians. The rest, and
    errors, as `collet_torque`.

    References
    ----------
    .. [1] Euler and Eytelwein; statics.

    Examples
    --------
    >>> print(round(strap_torque(40.0, 37.0, 200.0, 0.2), 2))
    3.65
    """
    Do, Di, Rp = positive("Do", Do, "mm"), not_negative("Di", Di, "mm"), positive("Rp", Rp, "MPa")
    R, t = (Do + Di) / 4, np.maximum(Do - Di, 0.0) / 2
    taken = -np.expm1(-not_negative("mu", mu) * not_negative("arc", arc))
    return np.asarray(R * t * Rp * taken / 1e3)[()]


def jaw_torque(Do: Number, Di: Number, Rp: Number, mu: Number) -> Number:
    """Torque for each mm of their length that two opposite jaws pass when they begin to flatten the tube, N·m: μ W Do.

    W: `pinch_limit`. Arguments and errors as `collet_torque`; statics. Arrays broadcast.

    >>> print(round(jaw_torque(40.0, 37.0, 200.0, 0.2), 3))
    0.098
    """
    Do = positive("Do", Do, "mm")
    return np.asarray(not_negative("mu", mu) * pinch_limit(Do, Di, Rp) * Do / 1e3)[()]
