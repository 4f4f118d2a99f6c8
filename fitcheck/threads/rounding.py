"""Rounding as the standards do it, on whole numbers of the last printed place.

Limits are carried as integers (µm, or ten-thousandths of an inch), so that a tie is a tie and not an
accident of binary fractions.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

Integers = NDArray[np.int64]

# A formula that should give exactly half a unit may miss it by some 1e-12 in binary; nothing printed in the
# tables comes this close to half a unit without being meant as half.
_TIE = 1e-8


def half_up(value: ArrayLike) -> Any:
    """`value` to the nearest whole number, halves upward (values here are positive)."""
    return np.floor(np.asarray(value) + (0.5 + _TIE)).astype(np.int64)


def half_even(value: Integers, step: int) -> Any:
    """Whole numbers to the nearest multiple of `step`, halves to the even multiple."""
    quotient, rest = np.divmod(value, step)
    up = (2 * rest > step) | ((2 * rest == step) & (quotient % 2 == 1))
    return (quotient + up) * step


def share(value: Integers, numerator: ArrayLike, denominator: int) -> Any:
    """`value * numerator / denominator` to the nearest whole number, halves upward, in integer arithmetic."""
    return (2 * value * np.asarray(numerator) + denominator) // (2 * denominator)
