"""Corrections to the textbook strip load of long threads, and how the load divides over the threads.

Alexander's three failure modes (screw breaks, screw thread strips, hole thread strips) with his reductions for a
nut that dilates and threads that bend. They were found on nuts of about 0.8 d and more; for a few threads in a
thin wall `short_engagement.py` is the model, and the two are not multiplied.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from fitcheck.errors import InputError, positive, whole
from fitcheck.later import optimize
from fitcheck.tables import table
from fitcheck.units import FloatArray, Number

DILATION_RANGE = (1.4, 1.9)
RATIO_RANGE = (0.4, 2.2)
FIRM_BENDING = 0.897  # of the weaker thread; C2 and C3 both reach it at a strength ratio of 1


def dilation_factor(s: Number, d: Number) -> Number:
    """C1: what a nut or boss that widens under load leaves of the strip load, a factor.

    C1 = -(s/d)² + 3.8 s/d - 2.61 for 1.4 <= s/d < 1.9, and 1 above   [1]_

    s: width across flats, or outer diameter of the boss, mm. d: nominal diameter, mm. Floats or arrays that broadcast.
    Raises `InputError` below s/d = 1.4, as the method does not reach there and is not extrapolated, and for sizes not
    above 0. A flat plate or a tube wall around a small hole is wide: C1 = 1.

    References
    ----------
    .. [1] E. M. Alexander, SAE 770420 (1977); ISO/TR 16224. Coefficients from memory.

    Examples
    --------
    >>> print(round(dilation_factor(15.0, 10.0), 4))
    0.84
    """
    ratio = positive("s", s, "mm") / positive("d", d, "mm")
    low, high = DILATION_RANGE
    if np.any(np.less(ratio, low)):
        raise InputError(f"s/d = {np.min(ratio):.4g}: the method reaches down to {low}; a wider nut or boss is needed")
    return _where(np.less(ratio, high), -(ratio**2) + 3.8 * ratio - 2.61, 1.0)


def strength_ratio(AS_n: Number, Rm_n: Number, AS_s: Number, Rm_s: Number) -> Number:
    """Rs: strength of the hole thread over that of the screw thread, (Rm_n AS_n) / (Rm_s AS_s), a ratio.

    AS_n, AS_s: shear areas of hole and screw for the same engagement, mm². Rm_n, Rm_s: their tensile (or shear)
    strengths, MPa. Floats or arrays that broadcast. Raises `InputError` where one is not above 0. References as
    `dilation_factor`.

    >>> print(round(strength_ratio(134.63, 310.0, 97.29, 1040.0), 3))  # M8 class 10.9 in 6061-T6
    0.412
    """
    AS_n, Rm_n = positive("AS_n", AS_n, "mm²"), positive("Rm_n", Rm_n, "MPa")
    AS_s, Rm_s = positive("AS_s", AS_s, "mm²"), positive("Rm_s", Rm_s, "MPa")
    return AS_n * Rm_n / (AS_s * Rm_s)


def screw_bending_factor(Rs: Number) -> Number:
    """C2: what the bending of the threads leaves of the strip load of the screw thread, a factor.

    C2 = 0.897 for Rs <= 1; 5.594 - 13.682 Rs + 14.107 Rs² - 6.057 Rs³ + 0.9353 Rs⁴ for 1 < Rs < 2.2

    Rs: ratio, `strength_ratio`, from 0.4 to 2.2; raises `InputError` outside. Floats or arrays. References as
    `dilation_factor`.

    >>> print(round(screw_bending_factor(1.5), 4))
    1.1043
    """
    Rs = _ratio(Rs)
    polynomial = 5.594 - 13.682 * Rs + 14.107 * Rs**2 - 6.057 * Rs**3 + 0.9353 * Rs**4
    return _where(np.less_equal(Rs, 1), FIRM_BENDING, polynomial)


def hole_bending_factor(Rs: Number) -> Number:
    """C3: what the bending of the threads leaves of the strip load of the hole thread, a factor.

    C3 = 0.897 for Rs >= 1; 0.728 + 1.769 Rs - 2.896 Rs² + 1.296 Rs³ for 0.4 < Rs < 1

    Rs: ratio, `strength_ratio`, from 0.4 to 2.2; raises `InputError` outside. Floats or arrays. References as
    `dilation_factor`.

    >>> print(round(hole_bending_factor(0.7), 4))
    0.9918
    """
    Rs = _ratio(Rs)
    polynomial = 0.728 + 1.769 * Rs - 2.896 * Rs**2 + 1.296 * Rs**3
    return _where(np.greater_equal(Rs, 1), FIRM_BENDING, polynomial)


def failure_loads(
    As: Number, Rm_s: Number, AS_s: Number, Rm_n: Number, AS_n: Number, *, C1: Number = 1.0
) -> tuple[Number, Number, Number]:
    """Loads at which the screw breaks, its thread strips and the hole's thread strips, N; the lowest governs.

    break = Rm_s As;  screw = 0.6 Rm_s AS_s C1 C2;  hole = 0.6 Rm_n AS_n C1 C3

    As, AS_s, AS_n: stress and shear areas, mm². Rm_s, Rm_n: tensile strengths of screw and hole, MPa. C1: factor of
    `dilation_factor`. Floats or arrays that broadcast. Raises `InputError` for a strength ratio outside 0.4 to 2.2, and
    where one is not above 0.
    Valid for engagements of about 0.8 d and more. References as `dilation_factor`.

    >>> [round(float(load)) for load in failure_loads(36.609, 1040.0, 97.29, 310.0, 134.63)]  # M8, 8 mm engaged
    [38073, 54456, 26441]
    """
    AS_s, AS_n = positive("AS_s", AS_s, "mm²"), positive("AS_n", AS_n, "mm²")
    Rm_s, Rm_n = positive("Rm_s", Rm_s, "MPa"), positive("Rm_n", Rm_n, "MPa")
    Rs = strength_ratio(AS_n, Rm_n, AS_s, Rm_s)
    As, C1 = positive("As", As, "mm²"), positive("C1", C1)
    screw = 0.6 * Rm_s * AS_s * C1 * screw_bending_factor(Rs)
    hole = 0.6 * Rm_n * AS_n * C1 * hole_bending_factor(Rs)
    return Rm_s * As, screw, hole


def load_share(n: int, decay: float | None = None) -> FloatArray:
    """Elastic share of the load on each of n engaged threads, from the loaded face; the sum is 1.

    The screw is stretched and the nut pressed, so the load left at the depth z falls as sinh(λ(n - z))/sinh(λ n) [1]_:

        share_i = [sinh(λ(n - i + 1)) - sinh(λ(n - i))] / sinh(λ n)

    n: whole number of threads. decay: factor λ for one pitch; left out, the value that fits the printed shares of a
    six-thread steel nut best (`fitted_decay`, about 0.4) [2]_. With two threads the shares are nearly even (54 and 46
    %): there is no length over which the difference of stretch could build up. Beyond about six, more threads take
    little. In plastic stripping all full threads carry. Raises `InputError` for n no whole number from 1 up, and a
    decay not above 0.

    References
    ----------
    .. [1] Sopwith (1948) and Goodier (1940) for the mechanics, in this one-dimensional form standard.
    .. [2] tables/strip_load_share.csv.

    Examples
    --------
    >>> [round(float(share), 2) for share in load_share(2)]
    [0.54, 0.46]
    """
    n = whole("n", n, 1)
    lam: float = positive("decay", fitted_decay() if decay is None else decay)
    left = np.arange(n, -1, -1, dtype=float)
    # exp form of sinh(λ left)/sinh(λ n): no overflow for long threads
    held = np.exp(lam * (left - n)) * -np.expm1(-2 * lam * left) / -np.expm1(-2 * lam * n)
    share: FloatArray = -np.diff(held)
    return share


@lru_cache(maxsize=1)
def fitted_decay() -> float:
    """λ of `load_share` by least squares on the printed shares of a six-thread nut."""
    printed = np.array([row["share"] for row in table("strip_load_share", {"share": float}).rows])

    def misfit(lam: float) -> float:
        return float(np.sum((load_share(len(printed), lam) - printed) ** 2))

    return float(optimize.minimize_scalar(misfit, bounds=(0.01, 3.0), method="bounded").x)


def _ratio(Rs: Number) -> Number:
    Rs = positive("Rs", Rs)
    low, high = RATIO_RANGE
    if np.any(np.less(Rs, low)) or np.any(np.greater(Rs, high)):
        bad = np.min(Rs) if np.any(np.less(Rs, low)) else np.max(Rs)
        raise InputError(f"Rs = {bad:.4g}: a strength ratio from {low} to {high} is needed")
    return Rs


def _where(condition: object, here: Number, there: Number) -> Number:
    chosen: Number = np.where(condition, here, there)[()]  # type: ignore[call-overload]
    return chosen
