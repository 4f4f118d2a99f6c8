"""A tube that is pressed from outside by points, as a blade that is a tube is by its screws: a ring cut from it.

Plain functions on floats or arrays, which broadcast. R is the mean radius of the wall and t its thickness, mm; loads in
N, moments in N·mm. Angles lie around the tube, in radians.
"""

from __future__ import annotations

import numpy as np

from fitcheck.errors import InputError, finite, not_negative, positive
from fitcheck.units import FloatArray, Number


def in_balance(angles: FloatArray | list[float]) -> tuple[FloatArray, FloatArray]:
    """Directions and sizes, in loads of one screw, of all that presses on the ring: equal screws, and the bore that
    returns what is left over.

    The bore presses at one line, opposite to the sum of the screws' thrust; where they balance each other, not at all.
    Statics; a line is sharper than the patch by which a bore touches, which is the safe side.

    angles: directions of the screws, radians, one for each. Raises `InputError` for none.
    """
    theta = np.atleast_1d(finite("angles", angles, "rad"))
    if theta.size == 0:
        raise InputError("angles = []: the direction of at least one screw is needed")
    rest = np.exp(1j * theta).sum()
    if abs(rest) < 1e-9:
        return theta, np.ones(theta.size)
    return np.append(theta, np.angle(-rest)), np.append(np.ones(theta.size), abs(rest))


def ring_moment(angles: FloatArray | list[float], at: FloatArray | list[float]) -> FloatArray:
    """Bending moment in a ring under equal radial screws and the bore, over F R, one for each place in `at`.

    Above 0 where it pulls on the inside, as under a screw. Superposed from that of one load, where φ is the way from
    it and the parts that do not balance cancel in the sum [1]_:

        m(φ) = (1/π) Σ cos(nφ)/(n² - 1), n from 2 = (1/π) (1/2 + cos(φ)/4 - (π - φ) sin(φ)/2), 0 <= φ <= 2π

    One screw against the bore: 1/π under it, 1/π - 1/2 at the sides; three at 120°: 0.189 under each [2]_.

    angles: directions of the screws, radians. at: where the moment is asked, radians. For a thin ring without stretch:
    within 1 % for R/t above 4. Raises `InputError` for no screw.

    References
    ----------
    .. [1] Harmonics of an inextensible ring, S. Timoshenko, Strength of Materials, part II: from memory.
    .. [2] Roark's Formulas for Stress and Strain, 7th ed., table 9.2, cases 1 and 7: from memory.

    Examples
    --------
    >>> print(round(float(ring_moment([0.0], [0.0])[0]), 4))
    0.3183
    """
    where, loads = in_balance(angles)
    phi = np.mod(np.subtract.outer(np.atleast_1d(finite("at", at, "rad")), where), 2 * np.pi)
    one = (0.5 + np.cos(phi) / 4 - (np.pi - phi) * np.sin(phi) / 2) / np.pi
    return np.asarray(one @ loads)


def ring_deflection(angles: FloatArray | list[float], at: FloatArray | list[float]) -> FloatArray:
    """How far the ring is bent inwards, over F R³/(E I), one for each place in `at`; a shift of the whole is left out.

        w(φ) = (1/π) Σ cos(nφ)/(n² - 1)², n from 2
             = (1/π) (ψ sin(ψ)/4 - ψ² cos(ψ)/8 - 1/2 + (π²/24 + 3/16) cos(ψ)), ψ = π - φ

    One screw against the bore: 0.0744 at both, so that the ring is flattened by 0.1488 [1]_.

    Arguments, validity and errors as `ring_moment`.

    References
    ----------
    .. [1] Roark's Formulas for Stress and Strain, 7th ed., table 9.2, case 1: from memory.
    """
    where, loads = in_balance(angles)
    psi = np.pi - np.mod(np.subtract.outer(np.atleast_1d(finite("at", at, "rad")), where), 2 * np.pi)
    one = psi * np.sin(psi) / 4 - psi**2 * np.cos(psi) / 8 - 0.5 + (np.pi**2 / 24 + 3 / 16) * np.cos(psi)
    return np.asarray(one @ loads / np.pi)


def pressed_width(R: Number, t: Number, patch: Number, *, to_end: Number = np.inf) -> Number:
    """Length of a tube that carries a point load as a ring does, mm.

        b = (6/π) R / (0.75 + 0.66 ln(R/c) - 0.25 ln(R/t)), the divisor at least 0.3
        c = √π r for a round patch of radius r, r = √(0.4 patch² + t²) - 0.675 t for a patch below t [1]_

    With it the greatest bending stress of the ring is that of a long thin shell under two opposite patches, by its
    double series [2]_, or up to 12 % more, for R/t from 2.5 to 25, c from R/25 to 0.3 R and ν from 0.3 to 0.38
    (`tests/properties/test_ring_laws.py`). Near an end of the tube only what is there carries: half of b and the way
    `to_end` (common practice, no source).

    R, t: mean radius and wall, mm. patch: diameter of the point, mm. to_end: from the load to the end of the tube, mm.
    Raises `InputError` for R or t not above 0, a patch below 0.

    References
    ----------
    .. [1] Westergaard; Roark's Formulas for Stress and Strain, 7th ed., section 11.1, from memory.
    .. [2] L. S. D. Morley, An improvement on Donnell's approximation for thin-walled circular cylinders, Q. J. Mech.
       Appl. Math. 12 (1959), from memory.
    """
    R, t, patch = positive("R", R, "mm"), positive("t", t, "mm"), not_negative("patch", patch, "mm")
    spread = np.where(np.less(patch, t), np.sqrt(0.4 * patch**2 + t**2) - 0.675 * t, patch / 2)
    c = np.sqrt(np.pi) * spread
    width = 6 / np.pi * R / np.maximum(0.75 + 0.66 * np.log(R / c) - 0.25 * np.log(R / t), 0.3)
    return np.asarray(np.minimum(width, width / 2 + np.maximum(to_end, 0.0)))[()]


def ring_stress(F: Number, R: Number, t: Number, width: Number, angles: FloatArray | list[float]) -> Number:
    """Greatest stress in the wall of a tube that equal screws press, MPa: bending and push of a curved bar [1]_.

        σ = M/(A e) (r - r_n)/r + N/A at the inner and outer face, M = F R m of `ring_moment`
        N = M/R - ΣF/(2π), A = width t, r_n = t / ln(r_o/r_i), e = R - r_n

    The greatest lies under a screw or where the bore presses. F: load of one screw, N. R, t: mean radius and wall, mm;
    t below 2 R. width: of the tube that carries, mm (`pressed_width`). angles: directions of the screws, radians, in
    one plane. F, R, t and width broadcast. Raises `InputError` for F below 0, sizes not above 0, and no hole.

    References
    ----------
    .. [1] Winkler and Bach; Shigley's Mechanical Engineering Design, 9th ed., section 3-18, from memory.
    """
    F, R, t = not_negative("F", F, "N"), positive("R", R, "mm"), positive("t", t, "mm")
    width = positive("width", width, "mm")
    inner, outer = R - t / 2, R + t / 2
    if np.any(np.less_equal(inner, 0)):
        raise InputError(f"t = {np.max(t):.6g} mm, R = {np.min(R):.6g} mm: a wall thinner than twice R is needed")
    where, loads = in_balance(angles)
    neutral = t / np.log(outer / inner)
    e, area = R - neutral, width * t
    worst: Number = 0.0
    for m in ring_moment(angles, list(where)):
        push = F * (m - loads.sum() / (2 * np.pi)) / area
        for face in (inner, outer):
            # A moment above 0 pulls on the inside.
            bent = F * R * m / (area * e) * (neutral - face) / face
            worst = np.maximum(worst, np.abs(bent + push))
    return np.asarray(worst)[()]


def tube_flattening(F: Number, R: Number, t: Number, E: Number) -> Number:
    """How far a long tube is flattened between a screw and the bore opposite, mm: 1.61 (F/(E t)) (R/t)^(3/2).

    Twice the sum over even n of the deflection of a long shell under two opposite points; each dies away along
    the tube as its bending around and its stretching along are in balance, λ << n in Morley's equation [1]_:

        2 w = F/(E t) (R/t)^(3/2) (√2/π) (12 (1 - ν²))^(3/4) Σ n/(n² - 1)^(3/2), n = 2, 4, ..., with ν = 0

    Above the full double series by 10 to 40 % for R/t from 4 to 25 and ν from 0.3 to 0.4. Near an end of the tube it is
    more, and a plastic creeps: it goes on with time.

    F: load, N. R, t: mean radius and wall, mm. E: modulus, MPa. Floats or arrays that broadcast. Raises `InputError`
    for F below 0, the others not above 0.

    References
    ----------
    .. [1] L. S. D. Morley, An improvement on Donnell's approximation for thin-walled circular cylinders, Q. J. Mech.
       Appl. Math. 12 (1959), from memory.
    """
    F, R, t, E = not_negative("F", F, "N"), positive("R", R, "mm"), positive("t", t, "mm"), positive("E", E, "MPa")
    return np.asarray(_FLATTENED * F / (E * t) * (R / t) ** 1.5)[()]


_EVEN = np.arange(2.0, 20001.0, 2.0)
_FLATTENED = float(np.sqrt(2) / np.pi * 12**0.75 * ((_EVEN / (_EVEN**2 - 1) ** 1.5).sum() + 0.5 / 20001))
