"""Holding a thin tube by its outside: the torque that a collet, a strap or two jaws pass before they crush it.

Plain functions on floats or arrays, which broadcast: for each mm of the length that is gripped, with nothing inside or
with a plug. R = (Do + Di)/4 and t = (Do - Di)/2 of the wall.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from fitcheck.errors import InputError, not_negative, one_of, positive
from fitcheck.mechanics.tube import pinch_limit
from fitcheck.units import FloatArray, Number

STRAP_ARC = 5.0
"""Arc that a strap lies on, radians: 285°, what the head of a strap wrench leaves of the circle; common practice."""
GRIPS = ("collet", "strap", "soft jaws")
"""Ways to grip a tube: all around, around most of it, or between two flats."""


def collet_torque(Do: Number, Di: Number, Rp: Number, mu: Number, *, plugged: bool = False) -> Number:
    """Torque for each mm of length that a collet passes by friction when the tube begins to yield, N·m: 2π R² μ p.

    The even pressure p = Rp t/R presses a thin tube together at its yield strength (the boiler formula [1]_ turned
    round). Over a plug that takes it first, p = Rp: pressed from both faces, and around by no more than its yield
    strength, the wall yields at no less (von Mises). A tube that is out of round bears less, and so does one in a
    collet of another size, which grips on lines; one that fits lets it not buckle.

    Do, Di: outer and inner diameter, mm. Rp: yield strength, MPa. mu: friction. plugged: whether a plug inside bears
    (`plug_play`). Arrays broadcast; `InputError` for a Di or mu below 0, a Do or Rp not above 0.

    References
    ----------
    .. [1] Statics of a thin ring under even pressure.

    Examples
    --------
    >>> print(round(collet_torque(40.0, 37.0, 200.0, 0.2), 2))
    7.26
    """
    R, t, Rp = _ring(Do, Di, Rp)
    p = Rp if plugged else Rp * t / R
    return np.asarray(2 * np.pi * R**2 * not_negative("mu", mu) * p / 1e3)[()]


def strap_torque(
    Do: Number, Di: Number, Rp: Number, mu: Number, *, arc: float = STRAP_ARC, plugged: bool = False
) -> Number:
    """Torque for each mm of its width that a strap passes when the tube under it yields, N·m: R S (1 - exp(-μ arc)).

    S = t Rp / (1 + 6 k R/t) is the pull of its tight end for each mm: it presses the ring together by S/t, and, as it
    falls along the arc by friction (the rope on a bollard [1]_) and leaves a gap, bends it by k S R (`strap_bending`).
    Over a plug that bears, nothing bends: S = t Rp. The tube beside the strap helps, so it bears somewhat more: the
    safe side.

    arc: that the strap lies on, radians, one number. The rest, and errors, as `collet_torque`; `InputError` for an arc
    that is not above 0 and below 2π. Arrays broadcast.

    References
    ----------
    .. [1] Euler and Eytelwein; statics.

    Examples
    --------
    >>> print(round(strap_torque(40.0, 37.0, 200.0, 0.2), 3))
    0.391
    >>> print(round(strap_torque(40.0, 37.0, 200.0, 0.2, plugged=True), 2))
    3.65
    """
    R, t, Rp = _ring(Do, Di, Rp)
    mu, arc = not_negative("mu", mu), _arc(arc)
    bends = 0.0 if plugged else 6 * strap_bending(mu, arc) * R / np.maximum(t, _SLIVER * R)
    return np.asarray(R * t * Rp / (1 + bends) * -np.expm1(-mu * arc) / 1e3)[()]


def strap_bending(mu: Number, arc: float = STRAP_ARC) -> Number:
    """Greatest moment k in a thin ring that a strap is pulled around, over the pull of its tight end and R.

    Radial p = exp(-μ θ) S/R and friction μ p along the arc, by their harmonics on a ring without stretch [1]_:

        M_n = S R c_n/(n² - 1), n from 2        c_n = (1 - i μ/n) (1 - exp(-(μ + i n) arc)) / (2π (μ + i n))

    What is left over is borne by the tube beside it, as even and sinusoidal shear, or by the head of the wrench as a
    line in the middle of the gap: k is the greater of both. 0.157 for a smooth strap of 285°, 0.108 at μ = 0.2.

    mu: friction, up to 1; a greater one counts as 1. arc: radians, one number. Arrays broadcast. Raises `InputError`
    for a mu below 0, an arc not above 0 and below 2π.

    References
    ----------
    .. [1] S. Timoshenko, Strength of Materials, part II, thin rings: from memory; the cut ring is solved beside it in
       tests/published/test_grip.py.

    Examples
    --------
    >>> print(round(float(strap_bending(0.2)), 3))
    0.108
    """
    known, k = _strap_bending(_arc(arc))
    mu = not_negative("mu", mu)
    return np.asarray(np.interp(mu, known, k))[()]


def _arc(arc: float) -> float:
    arc = float(positive("arc", arc, "rad", one=True))
    if arc >= 2 * np.pi:
        raise InputError(f"arc = {arc:.4g} rad: less than the whole circle, 6.283, is needed")
    return arc


@lru_cache(maxsize=8)
def _strap_bending(arc: float) -> tuple[FloatArray, FloatArray]:
    """Frictions, and k for each of them."""
    middle = (arc + 2 * np.pi) / 2  # of the gap, under the head, where the moment has its tip
    mu, n, at = np.linspace(0.0, 1.0, 51)[:, None], np.arange(2.0, 121.0), middle + np.linspace(0, 2 * np.pi, 721)
    c = (1 - 1j * mu / n) * -np.expm1(-(mu + 1j * n) * arc) / (2 * np.pi * (mu + 1j * n))
    strap = 2 * (c @ (np.exp(1j * np.outer(n, at)) / (n**2 - 1)[:, None])).real
    turning = 1j - mu
    force = (-1 - 1j * mu) * np.expm1(turning * arc) / turning  # of the strap on the tube
    phi = np.mod(at - middle, 2 * np.pi)
    line = (0.5 + np.cos(phi) / 4 - (np.pi - phi) * np.sin(phi) / 2) / np.pi  # as in `ring_moment`
    head = (force * np.exp(-1j * middle)).real * line
    return mu[:, 0], np.maximum(*(np.abs(one).max(axis=1) for one in (strap, strap + head)))


def jaw_torque(Do: Number, Di: Number, Rp: Number, mu: Number, *, plugged: bool = False) -> Number:
    """Torque for each mm of their length that two opposite jaws pass when they begin to flatten the tube, N·m: μ W Do.

    W: `pinch_limit`; over a plug that bears, t Rp, which the wall passes on over its own thickness (statics; the safe
    side for jaws that are soft). Arguments and errors as `collet_torque`. Arrays broadcast.

    >>> print(round(jaw_torque(40.0, 37.0, 200.0, 0.2), 3))
    0.098
    """
    _, t, strength = _ring(Do, Di, Rp)
    W = t * strength if plugged else pinch_limit(Do, Di, Rp)
    return np.asarray(not_negative("mu", mu) * W * positive("Do", Do, "mm") / 1e3)[()]


def collet_pressure(torque: Number, Do: Number, Di: Number, mu: Number, length: Number) -> Number:
    """Even pressure of a collet that passes a torque by friction, MPa: T/(2π R² μ l), as in `collet_torque`.

    torque: N·m. length: that is gripped, mm. Do, Di: outer and inner diameter, mm. mu: friction. Arrays broadcast;
    `InputError` for a torque or Di below 0, a Do, mu or length not above 0.

    >>> print(round(collet_pressure(7.26, 40.0, 37.0, 0.2, 1.0), 1))  # the tube of `collet_torque` begins to yield
    15.6
    """
    R = _mean_radius(Do, Di)
    mu, length = positive("mu", mu), positive("length", length, "mm")
    return np.asarray(1e3 * not_negative("torque", torque, "N·m") / (2 * np.pi * R**2 * mu * length))[()]


def strap_pull(torque: Number, Do: Number, Di: Number, mu: Number, *, arc: float = STRAP_ARC) -> Number:
    """Pull of the tight end of a strap that passes a torque, N: T/(R (1 - exp(-μ arc))) [1]_, as in `strap_torque`.

    torque: N·m. arc: that the strap lies on, radians, one number. Do, Di: outer and inner diameter, mm. mu: friction.
    Arrays broadcast; `InputError` for a torque or Di below 0, a Do or mu not above 0, an arc not above 0 and below 2π.

    References
    ----------
    .. [1] Euler and Eytelwein, the rope on a bollard; statics.

    Examples
    --------
    >>> print(round(strap_pull(0.391, 40.0, 37.0, 0.2), 1))
    32.1
    """
    R = _mean_radius(Do, Di)
    slips = -np.expm1(-positive("mu", mu) * _arc(arc))
    return np.asarray(1e3 * not_negative("torque", torque, "N·m") / (R * slips))[()]


def plug_play(grip: str, Do: Number, Di: Number, Rp: Number, E: Number) -> Number:
    """Play of a plug in the bore, on the diameter, up to which it bears before the tube yields, mm.

    Jaws flatten a ring by 0.149 W R³/(E t³/12) [1]_, which is 0.935 Rp R²/(E t) as it begins to yield (`pinch_limit`).
    Even pressure closes it by 2 R Rp/E, which is less, and is taken for a strap as well.

    grip: 'collet', 'strap' or 'soft jaws'. E: modulus, MPa. The rest as `collet_torque`. Arrays broadcast;
    `InputError` for any other grip, a Di below 0, a Do, Rp or E not above 0.

    References
    ----------
    .. [1] Roark's Formulas for Stress and Strain, 7th ed., table 9.2, case 1: from memory.

    Examples
    --------
    >>> print(round(plug_play("soft jaws", 40.0, 37.0, 200.0, 69000.0), 2))
    0.67
    """
    R, t, Rp = _ring(Do, Di, Rp)
    E = positive("E", E, "MPa")
    if one_of("grip", grip, GRIPS) == "soft jaws":
        return np.asarray((np.pi / 4 - 2 / np.pi) * 2 * np.pi * Rp * R**2 / (E * np.maximum(t, _SLIVER * R)))[()]
    return np.asarray(2 * R * Rp / E)[()]


_SLIVER = 1e-6  # of the radius: what counts as a wall at all


def _ring(Do: Number, Di: Number, Rp: Number) -> tuple[Number, Number, Number]:
    """Mean radius and wall, mm, and strength, checked."""
    Do, Di, Rp = positive("Do", Do, "mm"), not_negative("Di", Di, "mm"), positive("Rp", Rp, "MPa")
    return _mean_radius(Do, Di), np.maximum(Do - Di, 0.0) / 2, Rp


def _mean_radius(Do: Number, Di: Number) -> Number:
    return np.asarray(positive("Do", Do, "mm") + not_negative("Di", Di, "mm"))[()] / 4
