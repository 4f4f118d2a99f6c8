"""A user's function called with arrays: what it returns is checked, and what goes wrong is said in one line.

The function must work element by element: for arrays of a shape it returns an array of that shape, in which every
element depends on the elements at its own place only. A test of a condition (`if a > b`) or a function of `math` does
not; `np.where` and NumPy's functions do.
"""

from __future__ import annotations

import math
import reprlib
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from fitcheck.errors import InputError
from fitcheck.units import FloatArray

_HOW = "it must work element by element on arrays (np.where in place of if, np.sqrt in place of math.sqrt)"


def call(function: Callable[..., Any], arguments: Mapping[str, FloatArray], shape: tuple[int, ...], name: str) -> Any:
    """`function` of the arguments, arrays of one shape, as a float array of that shape.

    Raises `InputError` for a result that is no array of real, finite numbers of that shape, and for an exception of the
    function, which is its cause; an `InputError` of the function itself passes unchanged.
    """
    with np.errstate(all="ignore"):
        try:
            returned = function(**arguments)
        except InputError:
            raise
        except Exception as error:
            raise InputError(_raised(function, arguments, name, error)) from error
    result = _numbers(returned, name)
    if result.shape != shape:
        raise InputError(
            f"response {name}: the function returned shape {result.shape} for inputs of shape {shape}: {_HOW}"
        )
    if not np.all(np.isfinite(result)):
        at = int(np.argmin(np.isfinite(result)))
        raise InputError(f"response {name}: the function is not a finite number at {_point(arguments, at)}")
    return result


def check_elements(function: Callable[..., Any], arguments: Mapping[str, FloatArray], name: str) -> None:
    """Refuse a function whose elements change with their neighbours or from one call to the next.

    It is called for all the arguments and for the first two in reverse. One that cannot be called so is not judged.
    """
    shape = next(iter(arguments.values())).shape
    try:
        with np.errstate(all="ignore"):
            there = _numbers(function(**arguments), name)
            back = _numbers(function(**{key: value[1::-1] for key, value in arguments.items()}), name)
    except Exception:  # whatever it is, `call` says it at the points that are asked for
        return
    if there.shape != shape or back.shape != (2,):
        return
    pairs = zip(there[:2].tolist(), back[::-1].tolist(), strict=True)
    scale = max(map(abs, there[np.isfinite(there)].tolist()), default=0.0)
    for at, (one, other) in enumerate(pairs):
        if math.isfinite(one) and not math.isclose(one, other, rel_tol=1e-6, abs_tol=1e-9 * scale):
            raise InputError(
                f"response {name}: the function returned {one:.6g} and then {other:.6g} at {_point(arguments, at)}: "
                f"{_HOW} and without chance"
            )


def _numbers(returned: Any, name: str) -> FloatArray:
    if isinstance(returned, np.ndarray) and returned.dtype == float and not isinstance(returned, np.ma.MaskedArray):
        return returned  # nearly always; everything else may take its time

    def refused(more: str = "") -> InputError:
        what = f"response {name}: the function returned {_short(returned)}: real numbers without a unit are needed"
        return InputError(what + more)

    if (
        returned is None
        or hasattr(returned, "magnitude")
        or (np.ma.isMaskedArray(returned) and np.ma.is_masked(returned))
    ):
        raise refused()
    try:
        found = np.asarray(returned)
        if found.dtype.kind not in "biufO":
            raise refused()
        return np.asarray(found, dtype=float)
    except InputError:
        raise
    except (TypeError, ValueError):
        raise refused(f"; {_HOW}") from None


def _raised(function: Callable[..., Any], arguments: Mapping[str, FloatArray], name: str, error: Exception) -> str:
    """What to say of an exception: that arrays are at fault, if single numbers pass."""
    said = f"{type(error).__name__}: {' '.join(str(error).split())}"[:200]
    if "read-only" in said:
        return f"response {name}: the function raised {said}: it must not change its arguments"
    if any(value.size for value in arguments.values()):
        try:
            function(**{key: float(np.ravel(value)[0]) for key, value in arguments.items()})
        except Exception:
            return f"response {name}: the function raised {said}, first called at {_point(arguments, 0)}"
    return f"response {name}: the function raised {said}: {_HOW}"


def _point(arguments: Mapping[str, FloatArray], at: int) -> str:
    return ", ".join(f"{key} = {float(np.ravel(value)[at]):.6g}" for key, value in arguments.items())


def _short(value: Any) -> str:
    return " ".join(reprlib.repr(value).split())
