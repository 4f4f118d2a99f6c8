"""Steady heat through a slug, its gap and a tube into the air: series resistances, as textbooks of heat have them.

Plain functions on floats or arrays, which broadcast. Lengths in mm, powers in W, resistances in K/W.
"""

from __future__ import annotations

import numpy as np

from fitcheck.errors import InputError, finite, positive
from fitcheck.mechanics.ranges import Range, find_range, range_names
from fitcheck.units import Number


def gap_conductance(k: Number, d: Number, D: Number) -> Number:
    """Heat that an even gap around a round slug passes, per area of the slug and kelvin, W/(m² K): 2 k/(d ln(D/d)).

    The cylindrical wall of textbooks [1]_. k: conductivity of what fills the gap, W/(m K). d: slug, mm. D: bore around
    it, mm. A slug that lies on one side passes more. Arrays broadcast; `InputError` for what is not above 0 and for a D
    that is not above d.

    References
    ----------
    .. [1] F. P. Incropera, D. P. DeWitt, Fundamentals of Heat and Mass Transfer, radial conduction: from memory.

    Examples
    --------
    >>> print(round(gap_conductance(0.026, 25.0, 25.2), 1))
    261.0
    """
    k, d, D = positive("k", k, "W/(m K)"), positive("d", d, "mm"), positive("D", D, "mm")
    if np.any(np.less_equal(D, d)):
        raise InputError(f"D = {np.min(D):.6g} mm: a bore above the slug of {np.max(d):.6g} mm is needed")
    return np.asarray(2 * k / (d / 1000 * np.log(D / d)))[()]


def fin_resistance(h: Number, k: Number, Do: Number, Di: Number, L: Number) -> Number:
    """Resistance from one end of a round bar or tube to what is around it, K/W: coth(m L)/√(h P k A).

    The straight fin with an insulated tip [1]_: P = π Do gives off h, A = π/4 (Do² - Di²) conducts, m = √(h P/(k A)).
    h: given off per area and kelvin, W/(m² K). k: conductivity, W/(m K). Do, Di: outer and inner diameter, mm. L:
    length, mm. The temperature across the section is taken as even: h Do/k below about 0.2. Arrays broadcast;
    `InputError` for h, k, Do, L not above 0 and for a Di of Do or more.

    References
    ----------
    .. [1] F. P. Incropera, D. P. DeWitt, Fundamentals of Heat and Mass Transfer, fins of uniform cross-section: from
       memory.

    Examples
    --------
    >>> print(round(fin_resistance(10.0, 165.0, 32.0, 28.0, 150.0), 2))
    8.17
    """
    h, k, Do, L = (
        positive("h", h, "W/(m² K)"),
        positive("k", k, "W/(m K)"),
        positive("Do", Do, "mm"),
        positive("L", L, "mm"),
    )
    Di = finite("Di", Di, "mm")
    if np.any(np.less(Di, 0)) or np.any(np.greater_equal(Di, Do)):
        raise InputError(f"Di = {np.max(Di):.6g} mm: from 0 to less than Do = {np.min(Do):.6g} mm is needed")
    P, A = np.pi * Do / 1000, np.pi / 4 * (Do**2 - np.square(Di)) / 1e6
    return np.asarray(1 / (np.sqrt(h * P * k * A) * np.tanh(np.sqrt(h * P / (k * A)) * L / 1000)))[()]


def heat_metal(name: str) -> Range:
    """Conductivity of a metal, W/(m K), by its name in tables/heat_metals.csv; `TableError` lists the near names.

    >>> heat_metal("brass").middle
    115.0
    """
    return find_range(name, "heat_metals", "metal")


def heat_gap(name: str) -> Range:
    """Conductivity of what fills a gap, W/(m K), by its name in tables/heat_gaps.csv; `TableError` lists the names.

    >>> heat_gap("air").middle
    0.026
    """
    return find_range(name, "heat_gaps", "gap")


def heat_surface(name: str) -> Range:
    """What a surface gives off, W/(m² K), by its name in tables/heat_surfaces.csv; `TableError` lists the names.

    >>> heat_surface("dark in still air").middle
    10.0
    """
    return find_range(name, "heat_surfaces", "surface")


def touch_limit(name: str) -> Range:
    """Burn threshold of bare metal, °C, by how long it is held: tables/touch_limits.csv.

    name: one of `heat_names("touch_limits")`; `TableError` lists the near names.

    >>> touch_limit("10 min").middle
    48.0
    """
    return find_range(name, "touch_limits", "time held")


def heat_names(which: str) -> list[str]:
    """The names that one of the tables of heat knows.

    which: "heat_metals", "heat_gaps", "heat_surfaces" or "touch_limits". Raises `TableError` for no such table.

    >>> heat_names("heat_gaps")
    ['air', 'paste']
    """
    return range_names(which)
