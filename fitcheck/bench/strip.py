"""Engagement and strip loads of a thread pair with few threads, from sizes as made."""

from __future__ import annotations

import math

import numpy as np

from fitcheck.strength import (
    shear_area_external,
    shear_area_internal,
    short_engagement_factor,
    short_model,
    wall_length_range,
)
from fitcheck.units import Number

_LEAST_WALL = 1e-6  # part of the outside diameter


def standing_tip(blade: Number, bore: Number) -> Number:
    """Height over the tube axis of a tip that stands on a blade pressed to the far side of the bore, mm.

    blade - bore/2, and bore/2 for a blade as large as the bore. A blade larger than the bore, which a spread without
    end can draw, is taken as filed until it enters. Diameters in mm; they broadcast.
    """
    return np.minimum(blade, bore) - np.asarray(bore) / 2


def engaged_length(
    outside: Number,
    bore: Number,
    hole: Number,
    tip: Number,
    screw_length: Number,
    point_length: Number,
    countersink: Number = 0.0,
    countersink_inside: Number = 0.0,
) -> Number:
    """Mean length around the hole over which wall and screw thread engage, mm.

    The screw has full thread from `point_length` above its tip to its outer end; the wall has thread from the bore or
    the inner countersink to the outside or the outer one. 0 where the two do not meet, for sizes of any kind: a sample
    beyond a tolerance must not end the run, so what leaves no wall holds nothing.

    outside, bore: diameters of the tube. hole: diameter of the sheared cylinder. tip: height of the screw's tip over
    the tube axis (`standing_tip`). screw_length: overall. point_length: incomplete thread at the tip. countersink,
    countersink_inside: depths. All mm; they broadcast. Geometry: `fitcheck.strength.wall_length_range`.
    """
    Ro = np.asarray(outside) / 2
    Ri = np.minimum(np.asarray(bore) / 2, Ro * (1 - _LEAST_WALL))
    r = np.minimum(np.asarray(hole) / 2, Ri * (1 - _LEAST_WALL))
    sides = np.sqrt(Ri**2 - r**2)
    _, mean, _ = wall_length_range(
        r,
        Ri,
        Ro,
        screw_from=np.maximum(np.asarray(tip) + point_length, sides + np.maximum(countersink_inside, 0.0)),
        screw_to=np.minimum(np.asarray(tip) + screw_length, Ro - np.maximum(countersink, 0.0)),
    )
    return mean


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
    fit: Number = 0.0,
) -> tuple[Number, Number]:
    """Loads that strip the hole's and the screw's thread, N, for few threads.

        F_n = tau_n AS_n(LE) g(LE/P) k exp(scatter), and the same with tau_s AS_s(LE)

    LE: engaged length; d, d2: major and pitch diameter of the screw; D1, D2: minor and pitch diameter of the hole, mm,
    as made. tau_*: shear strengths, MPa. g: `short_engagement_factor`. k: `short_model().level_for("mean")`, since
    sizes as made give a larger area than the limits the tests were compared with. scatter: logarithm of one test over
    the median. fit: how many standard errors the fitted coefficients are off, all to the same side, which is on the
    safe side of leaving them independent; below 0 the model holds less. The arguments broadcast. Sources as in
    `fitcheck.strength`.
    """
    hole, screw = textbook_loads(LE, P, d, d2, D1, D2, tau_wall, tau_screw)
    model, fit = short_model(), np.asarray(fit)
    level = model.level_for("mean")
    less = (
        short_engagement_factor(
            np.asarray(LE) / P,
            np.maximum(model.loss.value - fit * model.loss.error, 0.0),
            np.clip(model.floor.value + fit * model.floor.error, 0.0, 1.0),
        )
        * level.value
        * np.exp(np.asarray(scatter) + fit * level.error / level.value)
    )
    return hole * less, screw * less


def textbook_loads(
    LE: Number, P: float, d: Number, d2: Number, D1: Number, D2: Number, tau_wall: Number, tau_screw: Number
) -> tuple[Number, Number]:
    """Loads of `strip_loads` as textbooks have them: shear area times shear strength, whatever the number of threads.

    For fewer than about three threads they are too high; they are there to be compared with.
    """
    hole = tau_wall * shear_area_internal(LE, P, d, D2, D1_max=D1)
    screw = tau_screw * shear_area_external(LE, P, D1, d2, d_min=d)
    return hole, screw


def threads_to_fill(outside: float, bore: float, countersink: float, countersink_inside: float, P: float) -> float:
    """Threads of a flat wall as thick as the tube's, between the countersinks: what a perfect screw could use."""
    return math.fsum((outside / 2, -bore / 2, -countersink, -countersink_inside)) / P
