"""A threaded tube that is pulled: its section, the squeeze of the flanks on its wall, bending, and holes through it.

The flanks of a 60° thread push a tube radially as well as along it: a tube with its thread outside is squeezed, one
with its thread inside is spread. Both is elastic and before anything moves: a ductile tube parts or jumps the thread
later, so what these give is where yielding begins, not where the joint comes apart.
"""

from __future__ import annotations

import numpy as np

from fitcheck.errors import InputError, finite, not_negative, positive
from fitcheck.units import Number

FLANK = np.pi / 6  # half the thread angle, radians


def flank_pressure(F: Number, d2: Number, LE: Number) -> Number:
    """Mean radial pressure of the flanks on the wall of a tube, MPa: p = F tan 30° / (π d2 LE) [1]_.

    F: pull on the thread, N. d2: pitch diameter, mm. LE: length of full thread that engages, mm. Floats or arrays that
    broadcast. Friction on the flanks, which takes some of it away, is left out (the safe side); so is that the first
    threads bear more than their share (not the safe side, until they yield). Raises `InputError` for an F below 0 and
    where d2 or LE is not above 0.

    References
    ----------
    .. [1] E. M. Alexander, SAE 770420 (1977), the radial force of a flank that dilates a nut: statics of the flank.

    Examples
    --------
    >>> print(round(flank_pressure(1000.0, 34.95, 7.5), 3))
    0.701
    """
    F, d2, LE = not_negative("F", F, "N"), positive("d2", d2, "mm"), positive("LE", LE, "mm")
    return np.asarray(F * np.tan(FLANK) / (np.pi * d2 * LE))[()]


def squeezed_pull_limit(Do: Number, Di: Number, d2: Number, LE: Number, Rp: Number, *, external: bool) -> Number:
    """Pull at which a threaded tube first yields under tension and the squeeze of its flanks together, N.

    Tension: σz = F / [π/4 (Do² - Di²)] over the section at the root of the thread. Squeeze: the pressure p of
    `flank_pressure` on the pitch cylinder, Lamé's stresses [1]_ in the ring between the pitch cylinder and the plain
    face of the wall (the ridges go around, and bear hoop stress as far as they reach on average). Thread outside, with
    the bore Di and q = 1/(d2² - Di²):

        bore: σθ = -2 p d2² q, σr = 0    pitch cylinder: σθ = -p (d2² + Di²) q, σr = -p

    Thread inside, with the outside Do and q = 1/(Do² - d2²):

        pitch cylinder: σθ = p (Do² + d2²) q, σr = -p    outside: σθ = 2 p d2² q, σr = 0

    All grow with F, so the limit is Rp over the greatest stress of von Mises [2]_ at 1 N.

    Do, Di: outer and inner diameter of the section at the root, mm: a root diameter and a plain one. d2: pitch
    diameter, mm. LE: length of full thread that engages, mm. Rp: yield strength, MPa. external: whether the thread is
    outside. Arrays broadcast; `InputError` for what is not finite. 0 where no wall or no engagement is left. The full
    pull and the full squeeze are taken at one place: in a long tube the squeeze is about half at the end where the pull
    is whole, so this is on the safe side of an even sharing among the threads.

    References
    ----------
    .. [1] S. P. Timoshenko and J. N. Goodier, Theory of Elasticity, 3rd ed., art. 28: from memory; the ring is solved
       as a boundary value problem in tests/published/test_pulled_tube.py.
    .. [2] R. von Mises (1913); Shigley's Mechanical Engineering Design, 9th ed., section 5-5.

    Examples
    --------
    >>> print(round(squeezed_pull_limit(34.11, 32.05, 34.95, 7.5, 275.0, external=True)))
    17486
    """
    Do, Di, d2 = finite("Do", Do, "mm"), finite("Di", Di, "mm"), finite("d2", d2, "mm")
    LE, Rp = finite("LE", LE, "mm"), finite("Rp", Rp, "MPa")
    plain = Di if external else Do
    wall = np.where(external, d2**2 - plain**2, plain**2 - d2**2)
    stands = (Do > Di) & (wall > 0) & (LE > 0) & (Di >= 0) & (Rp > 0)
    area = np.pi / 4 * np.where(stands, Do**2 - Di**2, 1.0)
    p = np.tan(FLANK) / (np.pi * np.where(stands, d2 * LE, 1.0))
    sign, wall = (-1.0 if external else 1.0), np.where(stands, wall, 1.0)
    threaded = _mises(1 / area, sign * p * (d2**2 + plain**2) / wall, -p)
    smooth = _mises(1 / area, sign * 2 * p * d2**2 / wall, 0.0)
    return np.asarray(np.where(stands, Rp / np.maximum(threaded, smooth), 0.0))[()]


def _mises(x: Number, y: Number, z: Number) -> Number:
    """Equivalent stress of three principal stresses."""
    return np.asarray(np.sqrt(((x - y) ** 2 + (y - z) ** 2 + (z - x) ** 2) / 2))


def bending_pull(M: Number, Do: Number, Di: Number) -> Number:
    """Pull that stresses a round tube as much as a bending moment does at its worst fibre, N: 8 M Do/(Do² + Di²).

    The moment over its section modulus, M / [π/32 (Do⁴ - Di⁴)/Do], times the area: elementary bending, the definition.
    With Do = Di = d2 it is the line of a thread, whose load goes as the cosine around: 4 M/d2 at the worst place. It
    adds to a pull.

    M: moment, N·m, 0 or more. Do, Di: diameters of the section, mm. Floats or arrays that broadcast. Raises
    `InputError` for an M or Di below 0, a Do not above 0, and a Di above Do.

    >>> print(round(bending_pull(1.0, 20.0, 20.0), 3))
    200.0
    """
    M, Do, Di = not_negative("M", M, "N·m"), positive("Do", Do, "mm"), not_negative("Di", Di, "mm")
    if np.any(np.greater(Di, Do)):
        raise InputError(f"Di = {np.max(Di):.6g} mm: an inner diameter not above Do = {np.min(Do):.6g} mm is needed")
    return np.asarray(8e3 * M * Do / (Do**2 + Di**2))[()]


def hole_share(d: Number, hole: Number, n: Number = 1) -> Number:
    """Share of its pull that a thin tube bears across a section with holes, at most 1, with their edges yielding last.

    The holes take the arc 2α of the section, α = n hole/d, all side by side, the worst place: the rest is a thin open
    ring, which bears less for its area and because the pull no longer goes through its middle:

        share = (1/2π) / {1/(2β) + (sin α/β) (cos α + sin α/β) / (β - sin α cos α - 2 sin² α/β)}, β = π - α

    About 1 - 3 α/π for small holes: three times the area that is lost. Elementary bending of an open ring; no source
    beside that. The stress at the edge of a hole is 3 times that beside it (G. Kirsch, Z. VDI 42, 1898): it yields
    there first, over little metal, which takes nothing off a ductile tube that is pulled a few times and much off one
    that is shaken.

    d: mean diameter of the wall, mm. hole: diameter of each hole, mm, 0 or more. n: how many lie in one section. Floats
    or arrays that broadcast. Raises `InputError` for a d not above 0, and a hole or n below 0. 0 where half of the ring
    or more is gone: such a tube is two brackets.

    >>> print(round(hole_share(34.0, 4.0, 3), 3))
    0.678
    """
    d, hole, n = positive("d", d, "mm"), not_negative("hole", hole, "mm"), not_negative("n", n)
    gone = np.asarray(n * hole / d)
    alpha = np.minimum(gone, np.pi / 2)
    beta, s, c = np.pi - alpha, np.sin(alpha), np.cos(alpha)
    stress = 1 / (2 * beta) + s / beta * (c + s / beta) / (beta - s * c - 2 * s**2 / beta)
    return np.asarray(np.where(gone < np.pi / 2, 1 / (2 * np.pi) / stress, 0.0))[()]


def grip_to_hold(T: Number, D: Number, mu: Number) -> Number:
    """Grip of two opposite jaws that holds a round part against a torque by friction, N: T / (mu D). Statics.

    T: torque, N·m. D: diameter gripped, mm. mu: friction between jaws and part. Floats or arrays that broadcast; raises
    `InputError` for a T below 0 and where D or mu is not above 0. Compare `pinch_limit` times the length of the jaws.

    >>> print(round(grip_to_hold(10.0, 25.0, 0.2), 3))
    2000.0
    """
    T, D, mu = not_negative("T", T, "N·m"), positive("D", D, "mm"), positive("mu", mu)
    return np.asarray(1e3 * T / (mu * D))[()]
