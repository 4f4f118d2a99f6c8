"""Strip loads of a thread pair with few threads, from sizes as made."""

from __future__ import annotations

import numpy as np

from fitcheck.strength import shear_area_external, shear_area_internal, short_engagement_factor, short_model
from fitcheck.units import Number


def strip_loads(
    LE: Number,
    P: float,
    d: Number,
    d2: Number,
    D1: Number,
    D2: Number,
    tau_wall: Number,
    tau_screw: Number,
    scatter: Number = 0.0,
) -> tuple[Number, Number]:
    """Loads that strip the hole's and the screw's thread, N, for few threads.

        F_n = tau_n AS_n(LE) g(LE/P) k exp(scatter), and the same with tau_s AS_s(LE)

    LE: engaged length; d, d2: major and pitch diameter of the screw; D1, D2: minor and pitch diameter of the hole, mm,
    as made. tau_*: shear strengths, MPa. g: `short_engagement_factor`. k: `short_model().level_for("mean")`, since
    sizes as made give a larger area than the limits the tests were compared with. scatter: logarithm of one test over
    the median. The arguments broadcast. Sources as in `fitcheck.strength`.
    """
    less = (
        short_engagement_factor(np.asarray(LE) / P)
        * short_model().level_for("mean").value
        * np.exp(np.asarray(scatter))
    )
    hole = tau_wall * shear_area_internal(LE, P, d, D2, D1_max=D1) * less
    screw = tau_screw * shear_area_external(LE, P, D1, d2, d_min=d) * less
    return hole, screw
