"""What is left of a screw's clamp load as the blade creeps and as it gets cold."""

from __future__ import annotations

import numpy as np

from fitcheck.errors import finite, not_negative, positive
from fitcheck.units import Number

POISSON = 0.4
"""Poisson's ratio of the stiffest blade that is asked about, a plastic; a metal has 0.3 (from memory)."""


def contact_stiffness(E: Number, diameter: Number) -> Number:
    """Load for a unit of depth with which a point is pressed on a thick blade, N/mm: E diameter / (1 - ν²) [1]_.

    A rigid flat end on a half space, 2 a E/(1 - ν²) with a = diameter/2 and ν of `POISSON`; the blade's other side and
    the wall give way as well, so the true one is softer. E: modulus of the blade, MPa. diameter: of the point, mm.
    Floats or arrays that broadcast. Raises `InputError` for a modulus or diameter not above 0.

    References
    ----------
    .. [1] Boussinesq; K. L. Johnson, Contact Mechanics, section 3.4, from memory.
    """
    E, diameter = positive("E", E, "MPa"), positive("diameter", diameter, "mm")
    return E * diameter / (1 - POISSON**2)


def shrunk_away(diameter: Number, alpha_blade: Number, alpha_wall: Number, colder: Number) -> Number:
    """How far a blade shrinks away from the screw as blade and wall get colder, mm: diameter (α_blade - α_wall) ΔT.

    0 where the wall shrinks more, which presses it harder. Free expansion, the definition. diameter: of the blade, mm.
    alpha_*: thermal expansion, 1/K. colder: ΔT, K. Floats or arrays that broadcast. Raises `InputError` for a diameter
    not above 0 or a ΔT below 0.
    """
    alpha_blade, alpha_wall = finite("alpha_blade", alpha_blade, "1/K"), finite("alpha_wall", alpha_wall, "1/K")
    diameter, colder = positive("diameter", diameter, "mm"), not_negative("colder", colder)
    shrunk: Number = np.maximum(diameter * (alpha_blade - alpha_wall) * colder, 0.0)
    return shrunk


def clamp_left(F: Number, kept: Number, stiffness: Number = 0.0, shrunk: Number = 0.0) -> Number:
    """Clamp load that is left of one screw, N: kept F - stiffness shrunk, at the least 0.

    Creep first, then the cold: both are counted in full, the safe side. F: as tightened, N. kept: the part that creep
    leaves (`clamp_kept`). stiffness: N/mm. shrunk: mm. Floats or arrays that broadcast. Raises `InputError` for a value
    below 0.
    """
    F, kept = not_negative("F", F, "N"), not_negative("kept", kept)
    stiffness, shrunk = not_negative("stiffness", stiffness, "N/mm"), not_negative("shrunk", shrunk, "mm")
    return np.maximum(kept * F - stiffness * shrunk, 0.0)
