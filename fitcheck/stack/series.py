"""Several requirements at once: a series system, which fails if any one of them does."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from fitcheck.errors import InputError
from fitcheck.stack.checks import limits_of_risk, whole
from fitcheck.stack.dimension import Linear
from fitcheck.stack.failure import Function, Limits
from fitcheck.stack.response import SAMPLES, Response
from fitcheck.stack.results import Probability


class Required(NamedTuple):
    """What must not lie below or above its limits."""

    what: Linear | Response
    below: float | str | None = None
    above: float | str | None = None


def any_fails(requirements: Sequence[Required], *, method: str = "auto", samples: int = SAMPLES) -> Probability:
    """Probability that at least one of the requirements is not met.

    Dimensions that occur in several requirements are the same dimension in all of them, so the requirements may
    well fail together. `method` and the result are those of `Response.probability`.
    """
    if isinstance(requirements, (Linear, Response)) or not requirements:
        raise InputError("any_fails: no requirement: at least one is needed, for example [Required(gap, below=0.1)]")
    parts: list[tuple[Function, float | None, float | None]] = []
    for requirement in requirements:
        try:
            what, below, above = requirement
        except (TypeError, ValueError):
            raise InputError(
                f"any_fails: {requirement!r}: a requirement is needed, for example Required(gap, below=0.1)"
            ) from None
        if isinstance(what, Linear):
            what = Response(_itself, {"total": what}, unit=what.unit)
        elif not isinstance(what, Response):
            raise InputError(f"any_fails: {what!r}: a dimension, a sum or a response is needed")
        low, high = limits_of_risk(below, above, what.unit.kind)
        parts.append((what, low, high))
    return Limits(parts).probability(method=method, samples=whole("samples", samples, 1))


def _itself(total: float) -> float:
    return total
