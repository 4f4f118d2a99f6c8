"""Spreads by name, as a drawing note or a build sheet writes them."""

from __future__ import annotations

from collections.abc import Callable

from fitcheck.errors import InputError, one_of
from fitcheck.stack.shapes import Arcsine, Beta, TruncatedNormal
from fitcheck.stack.spreads import Normal, Spread, Trapezoidal, Triangular, Uniform

_PLAIN: dict[str, Callable[[], Spread]] = {
    "uniform": Uniform,
    "normal": Normal,
    "triangular": Triangular,
    "truncated normal": TruncatedNormal,
    "trapezoidal": Trapezoidal,
    "arcsine": Arcsine,
}
_WITH_NUMBERS = ("normal 2 sigma", "truncated normal 2 sigma", "trapezoidal 0.5", "beta 2 3")


def spread(value: str | Spread) -> Spread:
    """The spread called `value`, or `value` itself if it is one.

    Names: "uniform", "triangular", "normal" (zone = 3 sigma), "normal 2 sigma", "truncated normal" (3 sigma, sorted),
    "truncated normal 2 sigma", "trapezoidal" (flat over half the zone), "trapezoidal 0.3", "arcsine", "beta 2 3".
    """
    if not isinstance(value, str):
        if hasattr(value, "cumulant") and hasattr(value, "moments"):
            return value
        raise InputError(f"spread = {value!r}: one of {', '.join(map(repr, _PLAIN))} is needed")
    words = value.split()
    numbers = [float(word) for word in words if _is_number(word)]
    match ([word for word in words if not _is_number(word)], numbers):
        case (["normal", "sigma"], [k]):
            return Normal(k)
        case (["truncated", "normal", "sigma"], [k]):
            return TruncatedNormal(k)
        case (["trapezoidal"], [top]):
            return Trapezoidal(top)
        case (["beta"], [alpha, beta]):
            return Beta(alpha, beta)
    if words and (numbers or words[-1] == "sigma" or words[0] == "beta"):
        raise InputError(f"spread = {value!r}: for example {', '.join(map(repr, _WITH_NUMBERS))} is needed")
    return _PLAIN[one_of("spread", " ".join(words), _PLAIN)]()


def _is_number(word: str) -> bool:
    try:
        float(word)
    except ValueError:
        return False
    return True
