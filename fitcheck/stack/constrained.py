"""The least of a smooth function between bounds and under one constraint, by sequential quadratic programming."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np

from fitcheck.later import optimize
from fitcheck.units import FloatArray


def least_under(
    function: Callable[[FloatArray], Any],
    start: FloatArray,
    constraint: Mapping[str, Any],
    bounds: Sequence[tuple[float | None, float | None]],
    *,
    jac: Callable[[FloatArray], FloatArray] | bool = True,
    most: int,
    ftol: float,
) -> FloatArray:
    """Where the function is least, as far as `most` steps of SciPy's SLSQP come; the caller judges how near that is.

    A step that rounding puts outside a bound is put back on it by SciPy, with a warning to whoever asked. It says
    nothing of the answer, so it goes no further.

    function, jac, constraint, bounds: as `scipy.optimize.minimize` takes them; the lengths of `start`. ftol: change of
    the function at which it stops. No unit is read; raises nothing of its own.

    >>> nearest = least_under(lambda x: (x @ x / 2, x), np.array([3.0, 0.0]),
    ...     {"type": "eq", "fun": lambda x: x.sum() - 2}, [(-5.0, 5.0)] * 2, most=30, ftol=1e-9)
    >>> print([round(float(x), 6) for x in nearest])
    [1.0, 1.0]
    """
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", "Values in x were outside bounds", RuntimeWarning)
        found = optimize.minimize(
            function,
            start,
            jac=jac,
            bounds=bounds,
            constraints=constraint,
            method="SLSQP",
            options={"maxiter": most, "ftol": ftol},
        )
    return np.asarray(found.x, dtype=float)
