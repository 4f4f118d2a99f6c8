"""Several at once: requirements of which any may fail (a series system), and the least of several quantities."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property, partial
from typing import Any, NamedTuple

import numpy as np

from fitcheck.errors import InputError, brief, whole
from fitcheck.expected import items_of
from fitcheck.shown import shown
from fitcheck.stack.dimension import Linear
from fitcheck.stack.ends import Interval
from fitcheck.stack.probability.failure import Limited, LimitStates
from fitcheck.stack.probability.sampling import SAMPLES
from fitcheck.stack.response import Response
from fitcheck.stack.results import Probability, limits_of_risk
from fitcheck.stack.worst_case import Extremes, least_of_sums


@shown
class Required(NamedTuple):
    """What must not lie below or above its limits.

    what: a dimension, sum or response. below, above: its limits, numbers in its inside unit (mm, N, MPa), quantities or
    texts with their unit ("0.1 in"), which what is shown in another unit needs; one may be left out.
    """

    what: Linear | Response
    below: Any = None
    above: Any = None


def any_fails(requirements: Sequence[Required], *, method: str = "auto", samples: int = SAMPLES) -> Probability:
    """Probability that at least one of the requirements is not met.

    Dimensions that occur in several requirements are the same dimension in all of them, so the requirements may well
    fail together. `method`, `samples` and the result are those of `Response.probability`. Raises `InputError` without a
    requirement, and for one without a limit.

    >>> import fitcheck as fc
    >>> part = fc.dim("10 ± 0.1", name="part")
    >>> slot, cover = fc.dim("10.1 ± 0.1"), fc.dim("10.1 ± 0.1")
    >>> each = (slot - part).probability(below=0.0)
    >>> both = any_fails([Required(slot - part, below=0.0), Required(cover - part, below=0.0)])
    >>> round(float(each), 3), each < both < 2 * each
    (0.125, True)
    """
    requirements = items_of("requirements", requirements, "a list such as [Required(gap, below=0.1)]")
    if not requirements:
        raise InputError("any_fails: no requirement: at least one is needed, for example [Required(gap, below=0.1)]")
    parts: list[tuple[Limited, float | None, float | None]] = []
    for requirement in requirements:
        try:
            what, below, above = requirement
        except (TypeError, ValueError):
            raise InputError(
                f"any_fails: {brief(requirement)}: a requirement is needed, for example Required(gap, below=0.1)"
            ) from None
        if not isinstance(what, (Linear, Response)):
            raise InputError(f"any_fails: {brief(what)}: a dimension, a sum or a response is needed")
        low, high = limits_of_risk(below, above, what.unit)
        parts.append((what, low, high))
    return LimitStates(parts).probability(method=method, samples=whole("samples", samples, 1))


def _least(**values: Any) -> Any:
    return np.min(np.stack(np.broadcast_arrays(*values.values())), axis=0)


def _least_answer(each: Sequence[Response], **v: Any) -> Any:
    return _least(**{str(i): one.function(**{key: v[key] for key in one.inputs}) for i, one in enumerate(each)})


class Least(Response):
    """The least of several responses, each of few enough dimensions to find its extremes well.

    The lower end of its worst case is the lowest of theirs, which is exact; together they may have more dimensions
    than have corners that can be tried. Inputs of one name must be the same in all of them.
    """

    def __init__(self, each: Sequence[Response], *, name: str) -> None:
        inputs: dict[str, Any] = {}
        for one in each:
            for key, value in one.inputs.items():
                if inputs.setdefault(key, value) is not value:
                    raise InputError(f"{name}: the input {key} means two different things")

        super().__init__(partial(_least_answer, tuple(each)), inputs, unit=each[0].unit, name=name)
        self.each = tuple(each)

    def worst_case(self) -> Interval:
        low, high = super().worst_case()
        least = min(low, *(one.worst_case().min for one in self.each))
        return Interval(least, high).with_unit(self.unit)

    @property
    def weakest(self) -> int:
        """Which of them is least with nominal inputs."""
        return int(np.argmin([one.nominal for one in self.each]))


class LeastOfSums(Response):
    """The least of several sums, such as the smaller of two margins; its worst case is exact.

    Inputs: the sums, of one kind. It is asked what every response is asked.
    """

    def __init__(self, sums: Sequence[Linear], *, name: str) -> None:
        super().__init__(_least, {f"sum {i}": one for i, one in enumerate(sums)}, unit=sums[0].unit, name=name)
        self.sums = tuple(sums)

    def with_inputs(self, inputs: Mapping[str, Linear]) -> LeastOfSums:
        """The least of other sums, in mm or the inside unit of their kind. Raises `InputError` for anything else."""
        return LeastOfSums([*inputs.values()], name=self.name)

    @cached_property
    def _worst(self) -> Extremes:
        place = {d: i for i, d in enumerate(self.members)}
        slopes = np.zeros((len(self.sums), len(place)))
        for row, one in zip(slopes, self.sums, strict=True):
            for d, c in one.terms:
                row[place[d]] += c * d.half_width
        return least_of_sums(np.array([one.middle for one in self.sums]), slopes)
