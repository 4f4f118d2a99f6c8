"""The names of spreads: what a note, a sheet or `spread=` may write, and the numbers behind a name."""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable

from fitcheck.errors import InputError, brief, one_of
from fitcheck.stack.shapes import Arcsine, Beta, CurvilinearTrapezoid, TruncatedNormal
from fitcheck.stack.spreads import Normal, Spread, Trapezoidal, Triangular, Uniform
from fitcheck.stack.student_t import StudentT

NAMES: dict[str, Callable[..., Spread]] = {
    "uniform": Uniform,
    "triangular": Triangular,
    "normal": Normal,
    "truncated normal": TruncatedNormal,
    "trapezoidal": Trapezoidal,
    "curvilinear trapezoid": CurvilinearTrapezoid,
    "beta": Beta,
    "arcsine": Arcsine,
    "student t": StudentT,
}
"""The spreads that a note or `spread=` may name, in lower case.

The numbers behind a name are the parameters of its class, in their order; one called `k` counts standard deviations,
so it is written "2 sigma". Those with a default may be left out, from the last one on.
"""

_NUMBER = r"(?:\d+(?:\.\d*)?|\.\d+)"
_EXAMPLES = {"top": "0.5", "beta": "3", "degrees": "4"}  # of the numbers behind a name, where 2 would be none
_SAID_OF = re.compile(r"(?<=\d)\s+degrees?\s+of\s+freedom\b|\bk\s*=(?=\s*[\d.])|[,']s?(?=\s)")  # words between them


def named_spread(value: str | Spread) -> Spread:
    """The spread called `value`, or `value` itself if it is one.

    Names: "uniform", "triangular", "normal" (zone = 3 sigma), "normal 2 sigma", "truncated normal" (3 sigma, sorted),
    "truncated normal 2 sigma", "trapezoidal" (flat over half the zone), "trapezoidal 0.3", "curvilinear trapezoid"
    (limits known to a third of themselves), "curvilinear trapezoid 0.8", "arcsine", "beta 2 3", "Student t, 4 degrees
    of freedom" (zone = 2 standard uncertainties), "Student t, 4 degrees of freedom, k = 2.87", or "student t 4 2.87".
    Raises `InputError` for any other, with the names there are.
    """
    if not isinstance(value, str):
        if hasattr(value, "cumulant") and hasattr(value, "moments"):
            return value
        raise InputError(f"spread = {brief(value)}: one of {', '.join(map(repr, NAMES))} is needed")
    words = _SAID_OF.sub(" ", value.casefold()).split()
    numbers = [word for word in words if re.fullmatch(f"[-+]?{_NUMBER}", word, re.ASCII)]
    name = " ".join(word for word in words if word not in numbers and word != "sigma")
    make = NAMES[name if name in NAMES else one_of("spread", value, NAMES)]
    parameters = inspect.signature(make).parameters
    least = sum(parameter.default is parameter.empty for parameter in parameters.values())
    if words not in [_written(name, list(parameters)[:n], numbers) for n in range(least, len(parameters) + 1)]:
        asked = list(parameters)[: max(least, 1)]
        wanted = " ".join(_written(name, asked, [_EXAMPLES.get(key, "2") for key in asked]))
        raise InputError(
            f"spread = {brief(value)}: {f'{name!r} or ' if not least and asked else ''}{wanted!r} is needed"
        )
    return make(*map(float, numbers))


def _written(name: str, parameters: list[str], numbers: list[str]) -> list[str]:
    """The words of a spread with its numbers: "normal", "2", "sigma"."""
    if len(numbers) != len(parameters):
        return []
    pairs = zip(parameters, numbers, strict=True)
    return [*name.split(), *(word for key, n in pairs for word in ([n, "sigma"] if key == "k" else [n]))]


def spread_behind(note: str) -> tuple[str, Spread | None]:
    """A note without the words at its end that name a spread, and that spread, or None where there are no such words.

    The words stand behind a comma, in brackets or behind a space: "10 ± 1, normal 2 sigma", "10 ± 1 (normal)".
    Raises `InputError` for what stands where only a spread can and is none.
    """
    names = "|".join(
        name.replace(" ", r"(?:'s)?\s+" if name == "student t" else r"\s+")
        for name in sorted(NAMES, key=len, reverse=True)
    )
    known = rf"(?:{names})(?:,?\s+(?:k\s*=\s*)?{_NUMBER}(?:\s+degrees?\s+of\s+freedom)?)*(?:\s+sigma)?"
    other = r"[a-z][a-z\s]+[a-z\d.\s]*"
    behind = rf"(?:[,;]\s*(?:{known}|{other})|\s+{known}|\s*\((?:{known}|{other})\))\s*"
    match = re.search(rf"(?P<said>{behind})$", note, re.ASCII | re.IGNORECASE)
    return (
        (note, None)
        if match is None
        else (note[: match.start()].rstrip(), named_spread(match["said"].strip(" \t,;()")))
    )
