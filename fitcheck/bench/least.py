"""The least of several responses: the nearest of several bodies, the weakest of several parts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from fitcheck.errors import InputError
from fitcheck.stack import Interval, Response


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

        def least(**v: Any) -> Any:
            found = [np.asarray(one.function(**{key: v[key] for key in one.inputs})) for one in each]
            return np.min(np.stack(np.broadcast_arrays(*found)), axis=0)

        super().__init__(least, inputs, unit=each[0].unit, name=name)
        self.each = tuple(each)

    def worst_case(self) -> Interval:
        low, high = super().worst_case()
        return Interval(min(low, *(one.worst_case().min for one in self.each)), high)

    @property
    def weakest(self) -> int:
        """Which of them is least with nominal inputs."""
        return int(np.argmin([one.nominal for one in self.each]))
