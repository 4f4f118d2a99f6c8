"""What the flanks of screw and hole bear on each other: where they overlap little they crush before the thread shears.

The crests of a screw on the axis of its hole overlap by the same height all around. A screw with play lies on one side:
there it overlaps more, and opposite less. Two opposite places then bear no more than the lesser of them, or the screw
would tilt; `evenly_borne` is the mean of that around the hole. Lengths in mm; arrays broadcast.
"""

from __future__ import annotations

import numpy as np

from fitcheck.errors import finite, not_negative, positive
from fitcheck.mechanics.shear_areas import shear_area_external, shear_area_internal
from fitcheck.threads.profile import flank_overlap
from fitcheck.units import Number

LEAST_OVERLAP = 0.4
"""Overlap on one axis, of that of the basic profile, below which no thread is relied on (common practice, no source).

Below it broken edges, ovality and the sideways play of the halves are as large as what is left of the thread.
"""


def evenly_borne(middle: Number, swing: Number) -> Number:
    """Mean around the hole of what two opposite places both have, of something that is more on one side.

        1/π ∫ max(m - s |cos φ|, 0) dφ over half a turn = (2/π) [m arcsin q - s (1 - sqrt(1 - q²))],  q = m/s, 0 to 1

    which is m - 2 s/π while s does not exceed m. The least of it, on the poorer side, is m - s.

    middle: m, its mean around the hole, mm. swing: s, by how much one side has more and the other less, mm, its sign
    does not matter. Floats or arrays that broadcast. 0 for a middle not above 0. Raises `InputError` for what is not
    finite. Statics: the sum of the moments is 0; tests/properties/test_flank_laws.py integrates around the hole.

    >>> print(round(evenly_borne(0.25, 0.05), 4))
    0.2182
    """
    m, s = np.maximum(finite("middle", middle, "mm"), 0.0), np.abs(finite("swing", swing, "mm"))
    wide = m >= s
    if np.all(wide):  # as of nearly every thread: q is 1
        return np.asarray(m - 2 / np.pi * s)[()]
    q = np.where(wide, 1.0, m / np.where(wide, 1.0, s))
    mean: Number = np.asarray(2 / np.pi * (m * np.arcsin(q) - s * (1 - np.sqrt(1 - q**2))))[()]
    return mean


def sideways_play(d2: Number, D2: Number) -> Number:
    """How far a screw can lie to one side of its hole, mm: (D2 - d2) / 2, until both flanks of a ridge touch; 0 for a
    pair without play. Geometry.

    d2, D2: pitch diameters of screw and hole, mm. Floats or arrays that broadcast. Raises `InputError` where one is not
    above 0.

    >>> print(round(sideways_play(3.433, 3.663), 3))  # M4, the loosest pair of 6g and 6H
    0.115
    """
    aside: Number = np.maximum((positive("D2", D2, "mm") - positive("d2", d2, "mm")) / 2, 0.0)
    return aside


def flank_area(LE: Number, P: Number, d: Number, D1: Number) -> Number:
    """Area of the flanks that press on each other, seen along the axis, mm²: π/4 (d² - D1²) LE/P. Geometry.

    LE: engaged full threads, mm. P: pitch, mm. d: major diameter of the screw, mm. D1: minor diameter of the hole, mm,
    as measured. 0 where they do not overlap. On one axis; with play see `flank_area_aside`. Floats or arrays that
    broadcast. Raises `InputError` for LE below 0, the others not above 0.

    >>> print(round(flank_area(0.7, 0.7, 4.0, 3.242), 3))  # one thread of M4, basic sizes
    4.311
    """
    LE, P = not_negative("LE", LE, "mm"), positive("P", P, "mm")
    d, D1 = positive("d", d, "mm"), positive("D1", D1, "mm")
    return np.pi / 4 * np.maximum(d**2 - D1**2, 0.0) * LE / P


def flank_area_aside(LE: Number, P: Number, d: Number, d2: Number, D1: Number, D2: Number) -> Number:
    """The part of `flank_area` that bears evenly with the screw lying on one side of its hole, mm².

        A = π (D1 + h) h LE/P,  h = evenly_borne(h0, e),  h0 = `flank_overlap`,  e = (D2 - d2)/2

    At the angle φ from where it lies the screw's crest stands sqrt(d²/4 - e² sin² φ) + e cos φ from the axis of the
    hole, so the overlap there is h0 + e cos φ to within e²/d: its mean is h0, its least h0 - e. The area is right to
    2 e² for a thread. Without play it is `flank_area`.

    LE: engaged full threads, mm. P: pitch, mm. d, d2: major and pitch diameter of the screw, mm; D1, D2: minor and
    pitch diameter of the hole, mm, as they are. Floats or arrays that broadcast. Raises `InputError` for LE below 0,
    the others not above 0. Geometry and statics; tests/properties/test_flank_laws.py integrates circles that are moved.

    >>> print(round(flank_area_aside(0.7, 0.7, 4.0, 3.545, 3.242, 3.545), 3))  # without play: `flank_area`
    4.311
    >>> print(round(flank_area_aside(0.7, 0.7, 3.838, 3.433, 3.422, 3.663), 3))  # the loosest pair of 6g and 6H
    1.506
    """
    LE, P = not_negative("LE", LE, "mm"), positive("P", P, "mm")
    d, d2, D1, D2 = (positive(*size, "mm") for size in (("d", d), ("d2", d2), ("D1", D1), ("D2", D2)))
    height = evenly_borne(flank_overlap(d, d2, D1, D2, P, P), sideways_play(d2, D2))
    return np.pi * (D1 + height) * height * LE / P


def crushing_shares(
    P: Number, d: Number, d2: Number, D1: Number, D2: Number, bearing_wall: Number, bearing_screw: Number
) -> tuple[Number, Number]:
    """What the flanks bear over what shears the thread, of hole and screw, at most 1: their strip loads times these.

        min(1, σ_b A / (τ AS)),  A of `flank_area_aside`, AS the shear area, both of one thread

    The load of few threads is g(n) min(τ AS, σ_b A): the incomplete ends take as much of the flanks as of the sheared
    cylinder, which is on the safe side of leaving the flanks whole.

    P: pitch, mm. d, d2: major and pitch diameter of the screw, mm; D1, D2: minor and pitch diameter of the
    hole, mm, as they are. bearing_wall, bearing_screw: ratio of bearing to shear strength, σ_b/τ, of the material of
    the hole and of the screw. Floats or arrays that broadcast. 1 where a thread has no shear area. Raises `InputError`
    where one is not above 0. Check: of 50 to 65 % thread a toolmaker's page promises 75 to 100 % of the load [1]_.

    References
    ----------
    .. [1] tests/published/test_percent_thread.py, from memory; bearing strengths: MIL-HDBK-5, from memory.

    Examples
    --------
    >>> hole, screw = crushing_shares(0.7, 3.838, 3.433, 3.422, 3.663, bearing_wall=3.0, bearing_screw=3.0)
    >>> print(round(hole, 2), round(screw, 2))
    0.83 1.0
    """
    P = positive("P", P, "mm")
    A = flank_area_aside(P, P, d, d2, D1, D2)
    hole, screw = shear_area_internal(P, P, d, D2), shear_area_external(P, P, D1, d2)
    bearing_wall, bearing_screw = positive("bearing_wall", bearing_wall), positive("bearing_screw", bearing_screw)
    return _at_most_one(bearing_wall * A, hole), _at_most_one(bearing_screw * A, screw)


def _at_most_one(borne: Number, sheared: Number) -> Number:
    none = np.less_equal(sheared, 0)
    share: Number = np.minimum(np.where(none, 1.0, borne / np.where(none, 1.0, sheared)), 1.0)[()]
    return share
