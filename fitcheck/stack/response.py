"""A response: any function of several toleranced dimensions, asked the same questions as a sum.

The function is the same plain function that gives the nominal value. It is called with whole arrays, so it must
work element by element, as every model of this library does.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping
from functools import cached_property
from typing import Any

import numpy as np

from fitcheck.errors import InputError
from fitcheck.stack.dimension import (
    Contribution,
    Dimension,
    Linear,
    Probability,
    draw,
    limits_of_risk,
    whole,
)
from fitcheck.stack.exact import Interval
from fitcheck.units import PLAIN, FloatArray, Unit

SAMPLES = 200_000
"""Samples behind a probability or an interval of a response, unless told otherwise."""

_MOST_CORNERS = 12  # dimensions whose corners are all tried; beyond that the interior points must do
_INTERIOR = 4096


class Response:
    """`function` of several dimensions or sums, given by keyword; made by `fitcheck.response`."""

    def __init__(
        self,
        function: Callable[..., Any],
        inputs: Mapping[str, Linear],
        *,
        unit: Unit = PLAIN,
        name: str = "",
        samples: int = SAMPLES,
    ) -> None:
        if not callable(function):
            raise InputError(f"response: {function!r} cannot be called: a function of the dimensions is needed")
        for key, value in inputs.items():
            if not isinstance(value, Linear):
                raise InputError(f"response: {key} = {value!r}: a dimension or a sum of dimensions is needed")
        if not inputs:
            raise InputError(
                "response: no dimensions: give them by keyword, for example response(f, a=dim('10 ± 0.1'))"
            )
        self.function = function
        self.inputs = dict(inputs)
        self.unit = unit
        self.name = name or getattr(function, "__name__", "response")
        self.samples = samples

    @property
    def members(self) -> tuple[Dimension, ...]:
        """The dimensions it depends on, each once."""
        return tuple(dict.fromkeys(d for value in self.inputs.values() for d, _ in value.members))

    # -- evaluation ------------------------------------------------------------------------------------

    def _evaluate(self, values: Mapping[Dimension, Any], shape: tuple[int, ...]) -> FloatArray:
        """The function at given values of the members, checked for shape and for finite numbers."""
        arguments = {
            key: np.broadcast_to(
                np.asarray(value.constant + sum(c * np.asarray(values[d]) for d, c in value.members)), shape
            )
            for key, value in self.inputs.items()
        }
        with np.errstate(all="ignore"):
            returned = self.function(**arguments)
        try:
            result = np.asarray(returned, dtype=float)
        except (TypeError, ValueError):
            raise InputError(f"response {self.name}: the function returned {returned!r}: numbers are needed") from None
        if result.shape != shape:
            raise InputError(
                f"response {self.name}: the function returned shape {result.shape} for inputs of shape {shape}: "
                "it must work element by element"
            )
        if not np.all(np.isfinite(result)):
            at = np.argmin(np.isfinite(result))
            where = ", ".join(f"{key} = {float(np.ravel(value)[at]):.6g}" for key, value in arguments.items())
            raise InputError(f"response {self.name}: the function is not a finite number at {where}")
        return result

    def _at(self, z: FloatArray) -> FloatArray:
        """The function at points of the standard zone, one row a point, one column a member."""
        values = {d: d.at(z[:, i]) for i, d in enumerate(self.members)}
        return self._evaluate(values, (len(z),))

    # -- where it can lie ------------------------------------------------------------------------------

    @property
    def nominal(self) -> float:
        return float(self._evaluate({d: d.nominal for d in self.members}, (1,))[0])

    @cached_property
    def _worst(self) -> tuple[Interval, str]:
        n = len(self.members)
        points = [np.zeros((1, n))]
        if n <= _MOST_CORNERS:
            points.append(np.array(list(itertools.product((-1.0, 1.0), repeat=n))))
        from scipy.stats import qmc  # half a second to load, so only here

        points.append(2 * qmc.Sobol(n, seed=0).random(_INTERIOR) - 1)
        z = np.concatenate(points)
        y = self._at(z)
        ends = [
            self._polish(z[np.argmin(y)], float(y.min()), +1),
            self._polish(z[np.argmax(y)], float(y.max()), -1),
        ]
        inside = any(not corner for _, corner in ends)
        how = "searched; an extreme lies inside the zone" if inside else "searched; both extremes lie at corners"
        return Interval(ends[0][0], ends[1][0]), how

    def _polish(self, start: FloatArray, best: float, sign: int) -> tuple[float, bool]:
        """Descend from the best point found, within the zone; says whether the end is a corner."""
        from scipy import optimize

        found = optimize.minimize(
            lambda z: sign * float(self._at(z[None, :])[0]),
            start,
            method="L-BFGS-B",
            bounds=[(-1.0, 1.0)] * len(start),
        )
        z, value = (found.x, sign * float(found.fun)) if sign * (sign * found.fun - best) < 0 else (start, best)
        # A member that makes no difference may lie anywhere without making it less of a corner.
        corner = np.where(z < 0, -1.0, 1.0)
        at_corner = float(self._at(corner[None, :])[0])
        if sign * (at_corner - value) <= 0:
            return at_corner, True
        return value, bool(math.isclose(at_corner, value, rel_tol=1e-9, abs_tol=1e-12))

    def worst_case(self) -> Interval:
        """The extremes found over the zone: all corners, interior points, and a descent from the best of them."""
        return self._worst[0]

    @property
    def worst_case_method(self) -> str:
        """How sure the worst case is."""
        return self._worst[1]

    # -- how it is spread ------------------------------------------------------------------------------

    def sample(self, n: int, *, seed: int | None = 0) -> FloatArray:
        """`n` values drawn at random; the same `seed` gives the same values."""
        generator = np.random.default_rng(seed)
        members = self.members
        drawn = draw(members, generator, whole("n", n))
        return self._evaluate({d: d.at(z) for d, z in zip(members, drawn, strict=True)}, (n,))

    @cached_property
    def _drawn(self) -> FloatArray:
        return np.sort(self.sample(self.samples))

    def interval(self, confidence: float = 0.99) -> Interval:
        """The range that holds the result with `confidence`, the same risk left on either side, by sampling."""
        if not 0 < confidence < 1:
            raise InputError(f"confidence = {confidence:g}: a number between 0 and 1 is needed, for example 0.99")
        low, high = np.quantile(self._drawn, [(1 - confidence) / 2, (1 + confidence) / 2])
        return Interval(float(low), float(high))

    def probability(self, *, below: float | None = None, above: float | None = None) -> Probability:
        """Probability of a result below `below`, or above `above`, or outside both, by seeded sampling."""
        low, high = limits_of_risk(below, above)
        n = len(self._drawn)
        hits = 0 if low is None else int(np.searchsorted(self._drawn, low, side="left"))
        hits += 0 if high is None else n - int(np.searchsorted(self._drawn, high, side="right"))
        p = hits / n
        # With no hit at all the 63 % upper bound 1/n is the honest error, not 0.
        error = math.sqrt(max(p * (1 - p), 1 / n) / n)
        return Probability(p, f"sampling, {n:,} samples", error)

    def contributions(self) -> list[Contribution]:
        """What each dimension does to the result on its own, the others at the middle of their zones.

        The shares are those of the straight line through the two limits of each dimension, and add up to 1.
        """
        members = self.members
        n = len(members)
        z = np.concatenate([np.eye(n), -np.eye(n)])
        y = self._at(z)
        slopes = (y[:n] - y[n:]) / 2
        variances = slopes**2 * np.array([d.spread.variance for d in members])
        width = float(np.abs(slopes).sum()) or 1.0
        variance = float(variances.sum()) or 1.0
        table = [
            Contribution(
                d.name,
                float(slope / d.half_width) if d.half_width else 0.0,
                float(abs(slope)) / width,
                float(v) / variance,
            )
            for d, slope, v in zip(members, slopes, variances, strict=True)
        ]
        return sorted(table, key=lambda row: (-row.variance_share, -row.worst_case_share, row.name))

    def __repr__(self) -> str:
        low, high = self.worst_case()
        show = self.unit.show
        return f"<{self.name}: {show(self.nominal)}, worst case {show(low)} to {show(high)}>"


def response(function: Callable[..., Any], /, *, unit: Unit = PLAIN, name: str = "", **inputs: Linear) -> Response:
    """`function` of the dimensions given by keyword: `response(lambda a, b: a * b, a=..., b=...)`.

    The function is called with arrays in the inside units and returns one value an element. Raises `InputError`
    for an input that is no dimension; a result of the wrong shape, or not finite, is refused when it is found.
    """
    return Response(function, inputs, unit=unit, name=name)
