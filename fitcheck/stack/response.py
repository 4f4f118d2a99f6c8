"""A response: any function of several toleranced dimensions, asked the same questions as a sum.

The function is the same plain function that gives the nominal value. It is called with whole arrays, so it must
work element by element, as every model of this library does.
"""

from __future__ import annotations

import weakref
from collections import deque
from collections.abc import Callable, Iterator, Mapping
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from fitcheck.errors import InputError, brief, fraction, whole
from fitcheck.expected import flag, text_of
from fitcheck.keywords import keywords_named
from fitcheck.shown import ShownTable, shown
from fitcheck.stack.correlation import correlation_of
from fitcheck.stack.dimension import Dimension, Linear
from fitcheck.stack.ends import Interval
from fitcheck.stack.plotted import Plotted
from fitcheck.stack.probability import sampling
from fitcheck.stack.probability.failure import LimitStates
from fitcheck.stack.probability.sampling import SAMPLES, draw_values, random
from fitcheck.stack.results import (
    Contribution,
    Probability,
    assumption,
    in_brief,
    known_unit,
    lies,
    limits_of_risk,
    spread_table,
)
from fitcheck.stack.sensitivity import contributions
from fitcheck.stack.user_function import call, check_elements
from fitcheck.stack.worst_case import Extremes, find_extremes
from fitcheck.units import PLAIN, FloatArray, Unit, quantity

_BLOCK = 1 << 17  # points of a sample drawn at a time
_MOST_COUNTED = 1 << 18  # values that a count keeps: those that an interval takes too, unless it is asked for more


@shown
class Moments(NamedTuple):
    """Mean and variance, and how they were found.

    mean: in the inside unit of the result (mm, N, MPa). variance: in its square (mm², N², MPa²). method: in words.
    """

    mean: float
    variance: float
    method: str


class _Drawn(NamedTuple):
    """The function at evenly spread points, a row a scramble, and all in order."""

    by_scramble: FloatArray
    in_order: FloatArray


class Response(Plotted):
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
            raise InputError(f"response: {brief(function)} cannot be called: a function of the dimensions is needed")
        for key, value in inputs.items():
            if not isinstance(value, Linear):
                raise InputError(f"response: {key} = {brief(value)}: a dimension or a sum of dimensions is needed")
        text_of("name", name)
        if not inputs:
            raise InputError(
                "response: no dimensions: give them by keyword, for example response(f, a=dim('10 ± 0.1'))"
            )
        self.function = function
        self.inputs = dict(inputs)
        self.unit = known_unit("response: unit", unit)
        self.name = name or getattr(function, "__name__", "response")
        self.samples = whole("samples", samples, 1)
        self._checked = False
        self._kept: _Drawn | None = None

    def __getstate__(self) -> dict[str, Any]:
        """What `copy` and `pickle` take along: not the samples, which are the same when drawn again."""
        return self.__dict__ | {"_kept": None}

    @cached_property
    def members(self) -> tuple[Dimension, ...]:
        """The dimensions it depends on, each once."""
        return tuple(dict.fromkeys(d for value in self.inputs.values() for d in value.members))

    @property
    def assumed(self) -> tuple[Dimension, ...]:
        """The dimensions whose spread nobody stated, so that uniform over the zone is assumed."""
        return tuple(d for d in self.members if d.assumed)

    def with_inputs(self, inputs: Mapping[str, Linear]) -> Response:
        """The same function of other dimensions or sums, by the same keywords. Raises `InputError` for anything else.

        inputs: in mm, or in the inside unit of their kind.
        """
        return Response(self.function, inputs, unit=self.unit, name=self.name, samples=self.samples)

    # -- evaluation ------------------------------------------------------------------------------------

    @cached_property
    def _zones(self) -> tuple[FloatArray, FloatArray]:
        """Middles and half-widths of the members, a row each."""
        zones = np.array([(d.middle, d.half_width) for d in self.members]).reshape(-1, 2)
        return zones[:, :1], zones[:, 1:]

    def _values(self, z: FloatArray) -> dict[Dimension, FloatArray]:
        """The values of the members at points of the standard zone, one row a point."""
        middles, half_widths = self._zones
        # A row of memory each, as the function goes through one after the other.
        placed = np.multiply(half_widths, z.T, order="C")
        placed += middles
        return dict(zip(self.members, placed, strict=True))

    def _arguments(self, values: Mapping[Dimension, FloatArray], shape: tuple[int, ...]) -> dict[str, FloatArray]:
        """The inputs at given values of the members, which are arrays of that shape."""
        found = {}
        for key, value in self.inputs.items():
            if isinstance(value, Dimension):
                found[key] = values[value]
            else:
                found[key] = np.full(shape, value.constant + sum(c * values[d] for d, c in value.terms))
            found[key].flags.writeable = False
        return found

    def inputs_at(self, z: FloatArray) -> dict[str, FloatArray]:
        """The inputs by their keywords at points of the standard zone, in the inside unit of their kind (mm, N, MPa).

        z: array, each a number from -1 to 1, the limits of a dimension; one row a point, one column a member.
        """
        return self._arguments(self._values(z), (len(z),))

    def _evaluate(self, values: Mapping[Dimension, FloatArray], shape: tuple[int, ...]) -> FloatArray:
        """The function at given values of the members, checked for shape and for finite numbers."""
        if not self._checked:
            self._checked = True
            some = np.outer([0.0, 0.3, -0.1], (-1.0) ** np.arange(len(self.members)))
            check_elements(self.function, self._arguments(self._values(some), (3,)), self.name)
        arguments = self._arguments(values, shape)
        return np.asarray(call(self.function, arguments, shape, self.name))

    def at(self, z: FloatArray) -> FloatArray:
        """The function at points of the standard zone, in the inside unit of its kind (mm, N, MPa).

        z: array, each a number from -1 to 1, the limits of a dimension; one row a point, one column a member. Returns
        an array with one value a row. Raises `InputError` where the function gives the wrong shape or no finite number.
        """
        return self._evaluate(self._values(z), (len(z),))

    # -- where it can lie ------------------------------------------------------------------------------

    @cached_property
    def nominal(self) -> float:
        """The function at the nominals of all dimensions, in the inside unit of its kind (mm, N, MPa)."""
        # Twice, because what works for one element alone need not work for arrays.
        return float(self._evaluate({d: np.full(2, d.nominal) for d in self.members}, (2,))[0])

    @cached_property
    def _worst(self) -> Extremes:
        return find_extremes(self.at, len(self.members))

    def extremes(self) -> Extremes:
        """The extremes over the zone, where they lie, and whether they are exact or searched."""
        return self._worst

    def worst_case(self) -> Interval:
        """The extremes over the zone; `worst_case_method` says whether they are exact or searched."""
        return Interval(self._worst.low, self._worst.high).with_unit(self.unit)

    def as_quantity(self, inside: float | None = None, *, registry: Any = None) -> Any:
        """A value of it as a pint quantity, in the unit it is shown in.

        inside: the value in mm, or in the inside unit of its kind; the nominal one if not given. registry: the
        caller's own pint registry; that of the application if it is not given. Raises `UnitError` for what is none.
        """
        return quantity(self.nominal if inside is None else inside, self.unit, registry)

    @property
    def worst_case_method(self) -> str:
        """How sure the worst case is."""
        return self._worst.method

    # -- how it is spread ------------------------------------------------------------------------------

    @keywords_named
    def sample(self, n: int, *, seed: int | None = 0) -> FloatArray:
        """`n` values drawn at random; the same `seed` gives the same values.

        They are in the inside unit of its kind (mm, N, MPa). n: whole number from 0 up. Raises `InputError` for any
        other, and where the function gives no finite number. It holds the n values, 8 bytes each (800 MB for 1e8), and
        a block of points at a time. `probability` and `interval` do not keep their samples.
        """
        generator = random(seed)
        members = self.members
        found = np.empty(whole("n", n))
        for start in range(0, n, _BLOCK):
            block = found[start : start + _BLOCK]
            drawn = draw_values(members, generator, block.size)
            values = {d: d.middle + d.half_width * z for d, z in zip(members, drawn, strict=True)}
            block[:] = self._evaluate(values, block.shape)
        return found

    @keywords_named
    def interval(self, confidence: float = 0.99, *, shortest: bool = False, samples: int | None = None) -> Interval:
        """The range that holds the result with `confidence`, by sampling.

        In the inside unit of its kind (mm, N, MPa). The same risk is left on either side, or (`shortest`) the range is
        the shortest one [1]_. confidence: probability, above 0 and below 1. `samples` defaults to those of the
        response; the memory is bounded whatever their number. The shortest range comes from at most 4 million of them,
        as it needs all at once. Raises `InputError` for a confidence outside and for samples no whole number from 1 up.

        References
        ----------
        .. [1] JCGM 101:2008, 7.7.
        """
        confidence, shortest = fraction("confidence", confidence), flag("shortest", shortest)
        wanted = self.samples if samples is None else whole("samples", samples, 1)
        if shortest or wanted <= sampling.MOST_KEPT:
            return sampling.sampled_interval(self.drawn(wanted), confidence, shortest=shortest).with_unit(self.unit)
        ends = [(1 - confidence) / 2, (1 + confidence) / 2]
        pilot = self.drawn(sampling.MOST_KEPT // 8)
        found = Interval(*sampling.quantiles(self.at, self.members, wanted, ends, pilot))
        return found.with_unit(self.unit)

    def low_end(self, risk: float) -> float:
        """The lower end of the interval that leaves `risk` on either side, in the inside unit of its kind (mm, N, MPa).

        risk: probability, above 0 and below 0.5. Raises `InputError` as `interval` does.
        """
        return self.interval(1 - 2 * risk).min

    def drawn(self, samples: int | None = None) -> FloatArray:
        """The function at so many Sobol points, sorted; those last asked for are kept, of the last few
        responses that were asked.

        Values in the inside unit of its kind (mm, N, MPa). samples: their number, that of the response by default.
        Raises `InputError` where the function gives no finite number.
        """
        wanted = self.samples if samples is None else samples
        return self._evenly_drawn(sampling.size(min(wanted, sampling.MOST_KEPT))).in_order

    def even_values(self, points: int) -> Iterator[tuple[int, FloatArray]]:
        """The number of the scramble and the function at a block of its Sobol points, from those kept where they are.

        points: of each scramble, a whole number, a power of two. Raises `InputError` where the function gives no finite
        number.
        """
        if points * sampling.SCRAMBLES > _MOST_COUNTED:
            return sampling.even_values(self, points)
        return enumerate(self._evenly_drawn(points).by_scramble)

    def _evenly_drawn(self, points: int) -> _Drawn:
        """The function at so many points of each scramble."""
        kept = self._kept
        if kept is None or kept.by_scramble.shape[1] != points:
            y = np.concatenate([y for _, y in sampling.even_values(self, points)])
            self._kept = kept = _Drawn(y.reshape(sampling.SCRAMBLES, points), np.sort(y))
            keep_last(self)
        return kept

    def forget(self) -> None:
        """Let go of the samples, which are the same when drawn again."""
        self._kept = None

    def moments(self) -> Moments:
        """Mean and variance to second order, by the derivatives at the mean [1], or by sampling where they say nothing.

        With gradient g and second derivatives H at the mean, and covariances V,
        mean = f + tr(H V) / 2 and
        variance = g V g + tr(H V H V) / 2 + sum(g_i H_ii m3_i) + sum(H_ii^2 (m4_i - 3 v_i^2)) / 4,
        m3 and m4 being the third and fourth central moments of each dimension; exact for a quadratic function of
        independent or of normal dimensions. The derivatives are difference quotients over a twentieth of the
        standard deviations. Where the function departs a standard deviation from the mean by more than a quarter from
        what they say, as at a kink, mean and variance are those of the samples; `method` says which.

        [1] JCGM 100:2008, 5.1.2, extended to second order.

        >>> import fitcheck as fc
        >>> import numpy as np
        >>> eccentric = fc.response(lambda e: np.abs(e), e=fc.dim("0 ± 0.1, uniform"))
        >>> mean, variance, method = eccentric.moments()
        >>> f"{mean:.4f}", f"{variance:.6f}", method
        ('0.0500', '0.000833', 'sampling, as the function is no parabola about the mean')
        """
        if not self.members:
            return Moments(self.nominal, 0.0, "no dimension varies")
        found = self._second_order()
        if found is None:
            drawn = self.drawn()
            mean, variance = float(drawn.mean()), float(drawn.var())
            method = "sampling, as the function is no parabola about the mean"
            endless = [d.name or "a member" for d in self.members if not np.isfinite(d.spread.moments).all()]
            if endless:
                method += f"; the tails of {', '.join(endless)} are so heavy that they may have no limit"
        else:
            mean, variance = found
            method = "second order, by derivatives at the mean"
        return Moments(mean, variance, "; ".join(filter(None, [method, assumption(self.assumed)])))

    def _second_order(self) -> tuple[float, float] | None:
        """Mean and variance by derivatives; None if the function departs from the parabola that they make."""
        members = self.members
        n = len(members)
        raw = np.array([d.spread.moments for d in members])
        m1 = raw[:, 0]
        v = np.array([d.spread.variance for d in members])
        m3 = raw[:, 2] - 3 * m1 * raw[:, 1] + 2 * m1**3
        m4 = raw[:, 3] - 4 * m1 * raw[:, 2] + 6 * m1**2 * raw[:, 1] - 3 * m1**4
        sd = np.sqrt(v)
        h = np.where(sd > 0, 0.05 * sd, 0.05)
        pairs = [(i, j) for i in range(n) for j in range(i)]
        turns = np.array([(1.0, 1.0), (-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0)])
        steps = np.diag(h)
        crossed = [a * steps[i] + b * steps[j] for i, j in pairs for a, b in turns]
        corners = np.random.default_rng(0).choice((-1.0, 1.0), (64, n)) * sd
        probes = np.concatenate([np.diag(sd), -np.diag(sd), corners])
        moves = np.concatenate([np.zeros((1, n)), steps, -steps, np.array(crossed).reshape(-1, n), probes])
        y = self.at(m1 + moves)
        centre, up, down = y[0], y[1 : n + 1], y[n + 1 : 2 * n + 1]
        g, H = (up - down) / (2 * h), np.diag((up - 2 * centre + down) / h**2)
        V = np.diag(v)
        mixed = y[2 * n + 1 : len(y) - len(probes)].reshape(-1, 4) @ np.array([1.0, 1.0, -1.0, -1.0])
        for (i, j), difference in zip(pairs, mixed.tolist(), strict=True):
            H[i, j] = H[j, i] = difference / (4 * h[i] * h[j])
            V[i, j] = V[j, i] = correlation_of(members[i], members[j]) * sd[i] * sd[j]
        there = y[len(y) - len(probes) :] - centre
        parabola = probes @ g + np.einsum("ij,jk,ik->i", probes, H, probes) / 2
        if np.abs(there - parabola).max() > 0.25 * np.abs(there).max() + 1e-12 * abs(centre):
            return None
        HV = H @ V
        own = np.diag(H)
        if not np.isfinite(m4).all():
            straight = np.abs(own) * v <= 1e-9 * np.abs(g) * sd
            if not straight[~np.isfinite(m4)].all():
                return None
            m4 = np.where(np.isfinite(m4), m4, 0.0)
        variance = g @ V @ g + np.trace(HV @ HV) / 2 + (g * own) @ m3 + own**2 @ (m4 - 3 * v**2) / 4
        return float(centre + np.trace(HV) / 2), float(variance)

    # -- how likely it is to fail ------------------------------------------------------------------------

    @keywords_named
    def probability(
        self,
        *,
        below: Any = None,
        above: Any = None,
        method: str = "auto",
        samples: int | None = None,
    ) -> Probability:
        """Probability of a result below `below`, or above `above`, or outside both.

        Parameters
        ----------
        below, above : the limits, numbers in the inside unit (mm, N, MPa), quantities or texts with their unit
            ("1.312 in"); of what is shown in another unit, such as inches, a number alone is refused
        method : "auto", "sampling" (scrambled Sobol points), "design point" (importance sampling about the failing
            point nearest to the mean, for rare failures with few evaluations), or "first order": Phi(-beta), beta being
            the distance of that point in standard deviations, for comparison with handbooks
        samples : points to count, those of the response by default; the memory is bounded whatever their number

        The result carries its method, the reason for it, its standard error and the evaluations it took. Raises
        `InputError` without a limit, for below beyond above and for an unknown method.
        """
        low, high = limits_of_risk(below, above, self.unit)
        return self.outside(low, high, method=method, samples=samples)

    def outside(
        self, low: float | None, high: float | None, *, method: str = "auto", samples: int | None = None
    ) -> Probability:
        """`probability` of limits that have been read.

        low, high: numbers in the inside unit of its kind (mm, N, MPa); None for an open side. method, samples: as
        there. Raises `InputError` for an unknown method, and where the function gives no finite number.
        """
        wanted = self.samples if samples is None else whole("samples", samples, 1)
        return LimitStates([(self, low, high)]).probability(method=method, samples=wanted)

    def contributions(self) -> list[Contribution]:
        """What each dimension does to the result, the largest share of the variance first.

        `sensitivity` is the mean slope over the spreads. The share of the variance is the covariance of the result with
        the change that a dimension brings about when the dimensions are redrawn one after the other, over the variance:
        the mean over all orders. For independent dimensions these are Shapley values, which lie between the first-order
        and the total Sobol' index. The share of the worst case is the most that a dimension alone can change the
        result, over the sum of these. Both add up to 1, and are those of a sum if the function is one, correlated or
        not. The points are always the same, so the answer is too. See `fitcheck.stack.sensitivity`.
        """
        return contributions(self.at, self.members)

    def _table(self) -> ShownTable:
        """What a notebook shows: where it lies, and what drives it."""
        return spread_table(self)

    def __repr__(self) -> str:
        name = "response" if self.name == "<lambda>" else self.name
        return f"<{name}: {lies(self)}{in_brief(self.assumed, self.members)}>"


def response(function: Callable[..., Any], /, *, unit: Unit = PLAIN, name: str = "", **inputs: Linear) -> Response:
    """`function` of the dimensions given by keyword: `response(lambda a, b: a * b, a=..., b=...)`.

    The function is called with arrays in the inside units and returns one value an element. `unit` is that of the
    result (a plain number without one), `name` what it is called (the name of the function without one), `inputs` the
    dimensions or sums by the names of its parameters. Raises `InputError` for an input that is no dimension; a result
    of the wrong shape, or not finite, is refused when it is found.

    >>> import fitcheck as fc
    >>> area = fc.response(lambda a, b: a * b, a=fc.dim("10 ± 0.1"), b=fc.dim("5 ± 0.1"))
    >>> low, high = area.worst_case()
    >>> f"{low:.2f} to {high:.2f}"
    '48.51 to 51.51'
    """
    return Response(function, inputs, unit=unit, name=name)


_MOST_HOLDERS = 8
_holders: deque[weakref.ref[Response]] = deque()


def keep_last(response: Response) -> None:
    """Let an earlier response forget its samples: findings hold on to what they judge, a sheet may ask a thousand."""
    _holders.append(weakref.ref(response))
    if len(_holders) > _MOST_HOLDERS and (earlier := _holders.popleft()()) is not None and earlier is not response:
        earlier.forget()
