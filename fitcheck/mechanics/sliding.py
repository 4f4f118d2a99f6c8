"""A round part that slides in a tube: what makes it jam, and how far it sags. Plain functions on floats or arrays."""

from __future__ import annotations

import numpy as np

from fitcheck.errors import InputError, not_negative, positive
from fitcheck.units import GRAVITY, Number


def jam_length(mu: Number, e: Number) -> Number:
    """Guided length at or below which a part that is pushed off its axis jams, however hard it is pushed, mm: 2 μ e.

    The push F at the distance e from the axis is held by two forces N = F e/L at the ends of the guided length L; their
    friction 2 μ N reaches F at L = 2 μ e: the drawer effect [1]_. The play does not come into it, as long as it is
    small against L. mu: friction of the part in the tube. e: how far off the axis it is pushed, mm, 0 or more. Arrays
    broadcast; `InputError` for a mu or e below 0.

    References
    ----------
    .. [1] Statics of a drawer, as textbooks of engineering mechanics have it, from memory; for pushing at the rim it is
       the limit of wedging of Whitney, ASME J. Dyn. Sys. Meas. Control 104 (1982), from memory: `wedging_depth`.

    Examples
    --------
    >>> print(jam_length(0.3, 15.0))
    9.0
    """
    return np.asarray(2 * not_negative("mu", mu) * not_negative("e", e, "mm"))[()]


def sag(m: Number, L: Number, Do: Number, Di: Number, E: Number) -> Number:
    """How far a round tube or rod that lies on two rings sags midway between them, mm: 5 m g L³/(384 E I).

    An even load on two supports [1]_, I = π/64 (Do⁴ - Di⁴); shear is left out, so L of ten times Do or more is meant,
    and a shorter one hardly sags. m: mass between the rings, kg. L: distance of the rings, mm. Do, Di: outer and inner
    diameter of what is stiff, mm. E: modulus of elasticity, MPa. Arrays broadcast. Raises `InputError` for an m or Di
    below 0, for L, Do or E not above 0, and for a Di that leaves no wall.

    References
    ----------
    .. [1] Roark's Formulas for Stress and Strain, 7th ed., table 8.1, case 2e: from memory.

    Examples
    --------
    >>> print(round(sag(0.3, 250.0, 20.0, 0.0, 3000.0), 4))
    0.0254
    """
    m, L, Do = not_negative("m", m, "kg"), positive("L", L, "mm"), positive("Do", Do, "mm")
    Di, E = not_negative("Di", Di, "mm"), positive("E", E, "MPa")
    if np.any(np.greater_equal(Di, Do)):
        raise InputError(f"Di = {np.max(Di):.6g} mm: less than Do = {np.min(Do):.6g} mm is needed")
    return np.asarray(5 * m * GRAVITY * L**3 / (384 * E * np.pi / 64 * (Do**4 - Di**4)))[()]
