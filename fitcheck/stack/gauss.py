"""Gauss's rules: where a smooth function is taken, and with what weight, for its integral.

Loading `numpy.polynomial` takes as long as all the rest of a first answer, so it is loaded with the first rule.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from fitcheck.units import FloatArray


@cache
def legendre(n: int) -> tuple[FloatArray, FloatArray]:
    """The n nodes and weights of the rule from -1 to 1.

    >>> nodes, weights = legendre(2)
    >>> bool(abs(weights @ nodes**2 - 2 / 3) < 1e-15)
    True
    """
    nodes, weights = np.polynomial.legendre.leggauss(n)
    return nodes, weights


@cache
def hermite(n: int) -> tuple[FloatArray, FloatArray]:
    """The n nodes and weights of the rule for the weight exp(-x²/2) over the whole line.

    >>> nodes, weights = hermite(2)
    >>> bool(abs(weights @ nodes**2 / weights.sum() - 1) < 1e-15)
    True
    """
    nodes, weights = np.polynomial.hermite_e.hermegauss(n)
    return nodes, weights
