"""Points of the standard zone that fill it evenly: scrambled Sobol points, in blocks that bound the memory.

A sequence is scrambled several times over; each scramble gives an independent unbiased estimate, and their scatter the
standard error (A. B. Owen, SIAM J. Numer. Anal. 34 (1997) 1884-1910, from memory).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, Protocol

import numpy as np

from fitcheck.errors import InputError, whole
from fitcheck.later import special
from fitcheck.stack.correlation import correlate, from_normal, normal_blocks
from fitcheck.stack.ends import Interval
from fitcheck.stack.member import Member
from fitcheck.stack.probability.even_points import MOST_POINTS, even_points, scrambling
from fitcheck.stack.spreads import Uniform
from fitcheck.units import FloatArray

SAMPLES = 200_000
"""Samples behind a probability or an interval, unless told otherwise."""
SCRAMBLES = 8
MOST_KEPT = 1 << 22
"""Values kept at once for an interval."""
_TINY = 0.5**54  # how near the edge of the unit cube a point may lie
AT_ONCE = 1 << 13
"""Points in a call of a function: many enough to make light of the call, and not too many for the caches."""
_FEW_POINTS, _FEW_MEMBERS = 1 << 12, 32  # of one scramble, that it is kept: 1 MiB


def size(samples: int) -> int:
    """Points of each scramble, a power of two, for at least `samples` points in all."""
    if samples > SCRAMBLES * MOST_POINTS:
        raise InputError(f"samples = {samples:,}: at most {SCRAMBLES * MOST_POINTS:,} are needed")
    return 1 << max(4, math.ceil(math.log2(max(samples, 1) / SCRAMBLES)))


def even_blocks(members: Sequence[Member], points: int, *, seed: int = 0) -> Iterator[tuple[int, FloatArray]]:
    """The number of the scramble and a block of points in the standard zone, one column a member.

    A member without a zone stands in the middle of it: it takes no coordinate of the points from those that vary.
    """
    varying = [i for i, d in enumerate(members) if d.half_width > 0]
    if not varying:
        yield from ((scramble, np.zeros((points, len(members)))) for scramble in range(SCRAMBLES))
        return
    chosen = [members[i] for i in varying]
    tied = any(d.tie is not None for d in chosen)
    for scramble in range(SCRAMBLES):
        for block in _points(len(varying), points, seed, scramble):
            z = to_zone(chosen, block, tied=tied)
            if len(varying) < len(members):
                rows = np.zeros((len(members), len(z)))
                rows[varying] = z.T
                z = rows.T
            yield scramble, z


def even_rows(members: Sequence[Member], points: int) -> FloatArray:
    """The points of `even_blocks` of all scrambles, one after the other: few of them, so that they are kept.

    points: of each scramble, a power of two. Returns an array, one row a point, one column a member.
    """
    varying = [i for i, d in enumerate(members) if d.half_width > 0]
    rows = np.zeros((len(members), SCRAMBLES * points))
    if varying:
        chosen = [members[i] for i in varying]
        tied = any(d.tie is not None for d in chosen)
        rows[varying] = to_zone(chosen, _cube(len(varying), points), tied=tied).T
    return rows.T


@lru_cache(maxsize=32)
def _cube(n: int, points: int) -> FloatArray:
    """The points of all scrambles in the unit cube."""
    cube = np.concatenate([block for i in range(SCRAMBLES) for block in _points(n, points, 0, i)])
    cube.flags.writeable = False
    return cube


def even_lines(members: Sequence[Member], along: int, lines: int, stops: FloatArray) -> FloatArray:
    """Points on lines through the standard zone: on each, one member takes the same shares, the others stay.

    along: which member varies on a line. lines: how many, a power of two, evenly spread over the other members. stops:
    the shares of the member that lie below each point, ascending from 0 to 1. Returns an array, a line a row of blocks,
    one column a member: shape (lines, stops, members).
    """
    n = len(members)
    cube = np.concatenate([*even_points(n, lines, scrambling([0, 0]))])
    if not any(d.tie is not None for d in members):  # then the others need to be found once a line
        points = np.repeat(to_zone(members, cube, tied=False)[:, np.newaxis, :], len(stops), axis=1)
        points[:, :, along] = to_zone([members[along]], stops[:, np.newaxis], tied=False)[:, 0]
        return points
    points = np.repeat(cube[:, np.newaxis, :], len(stops), axis=1)
    points[:, :, along] = stops
    return to_zone(members, points.reshape(-1, n), tied=True).reshape(points.shape)


def each_alone(members: Sequence[Member], stops: FloatArray) -> FloatArray:
    """A line of `even_lines` through one point for each member in turn: shape (members, stops, members)."""
    if any(d.tie is not None for d in members):
        return np.concatenate([even_lines(members, i, 1, stops) for i in range(len(members))])
    start = even_lines(members, 0, 1, stops[:1])[0, 0]
    start[0] = to_zone(members[:1], np.array([[0.5]]), tied=False)[0, 0]
    points = np.tile(start, (len(members), len(stops), 1))
    own = to_zone(members, np.repeat(stops[:, np.newaxis], len(members), axis=1), tied=False)
    for i in range(len(members)):
        points[i, :, i] = own[:, i]
    return points


def normal_behind(n: int, points: int, chosen: Mapping[int, Sequence[int]]) -> FloatArray:
    """The independent standard normal variables behind some of the points of `even_blocks` for n members that vary.

    chosen: for the number of a scramble the numbers of points in it, ascending.
    """
    found = [np.empty((0, n))]
    for scramble, numbers in chosen.items():
        wanted, start = np.asarray(numbers, dtype=int), 0
        for block in even_points(n, points, scrambling([0, scramble])):
            here = wanted[(wanted >= start) & (wanted < start + len(block))] - start
            found.append(special.ndtri(np.clip(block[here], _TINY, 1 - _TINY)))
            start += len(block)
    return np.concatenate(found)


def _points(n: int, points: int, seed: int, scramble: int) -> Iterable[FloatArray]:
    """The points of one scramble in the unit cube, in blocks."""
    if points <= _FEW_POINTS and n <= _FEW_MEMBERS:
        return _kept_points(n, points, seed, scramble)
    return even_points(n, points, scrambling([seed, scramble]))


@lru_cache(maxsize=4 * SCRAMBLES)
def _kept_points(n: int, points: int, seed: int, scramble: int) -> tuple[FloatArray, ...]:
    """Few points are kept for the next function of as many dimensions: a sheet asks the same question many times."""
    kept = tuple(even_points(n, points, scrambling([seed, scramble])))
    for block in kept:
        block.flags.writeable = False
    return kept


class Sampled(Protocol):
    """What is sampled."""

    @property
    def members(self) -> Sequence[Member]: ...
    def at(self, z: FloatArray) -> FloatArray:
        """Its values at points of the standard zone, one row a point, one column a member."""
        ...


def even_values(what: Sampled, points: int) -> Iterator[tuple[int, FloatArray]]:
    """The number of the scramble and the values at a block of its points; several small blocks go in one call."""
    blocks = even_blocks(what.members, points)
    while together := list(itertools.islice(blocks, max(AT_ONCE // points, 1))):
        y = what.at(np.concatenate([z.T for _, z in together], axis=1).T)
        yield from zip((scramble for scramble, _ in together), np.split(y, len(together)), strict=True)


def evenly_drawn(what: Sampled, samples: int) -> FloatArray:
    """The values at so many evenly spread points, sorted; at most `MOST_KEPT` of them."""
    return np.sort(np.concatenate([y for _, y in even_values(what, size(min(samples, MOST_KEPT)))]))


def sampled_interval(drawn: FloatArray, confidence: float, *, shortest: bool = False) -> Interval:
    """The range that holds the share `confidence` of sorted values: the same on either side, or the shortest one."""
    if not shortest:
        low, high = np.quantile(drawn, [(1 - confidence) / 2, (1 + confidence) / 2]).tolist()
        return Interval(low, high)
    n = len(drawn)
    span = min(math.ceil(confidence * n), n - 1)
    start = int(np.argmin(drawn[span:] - drawn[: n - span]))
    return Interval(float(drawn[start]), float(drawn[start + span]))


def quantiles(
    values: Callable[[FloatArray], FloatArray],
    members: Sequence[Member],
    samples: int,
    ends: Sequence[float],
    pilot: FloatArray,
) -> list[float]:
    """Quantiles of a function over more points than are kept.

    A smaller, sorted sample says between which two values each quantile lies; the points below and at the two are
    counted, and only those between are kept.
    """
    points = size(samples)
    last, reach = points * SCRAMBLES - 1, 8.0
    while True:
        brackets = [_Bracket.about(p, pilot, reach) for p in ends]
        for _, z in even_blocks(members, points):
            y = values(z)
            for bracket in brackets:
                bracket.take(y)
        found = [bracket.value(p * last) for p, bracket in zip(ends, brackets, strict=True)]
        if None not in found:
            return [x for x in found if x is not None]
        reach *= 4


@dataclass
class _Bracket:
    """Two values that hold a quantile between them, and what was seen of the points about them."""

    low: float
    high: float
    below: int = 0
    at_low: int = 0
    at_high: int = 0
    inside: list[FloatArray] = field(default_factory=list)

    @classmethod
    def about(cls, p: float, pilot: FloatArray, reach: float) -> _Bracket:
        """Values of the sorted pilot as many standard deviations of a rank to either side."""
        n = len(pilot)
        by = reach * math.sqrt(p * (1 - p) * n)
        first, last = int(p * n - by), int(p * n + by) + 1
        low, high = -math.inf if first < 0 else float(pilot[first]), math.inf if last >= n else float(pilot[last])
        return cls(low, high)

    def take(self, y: FloatArray) -> None:
        self.below += int(np.count_nonzero(y < self.low))
        self.at_low += int(np.count_nonzero(y == self.low))
        self.at_high += int(np.count_nonzero((y == self.high) & (y > self.low)))
        self.inside.append(y[(y > self.low) & (y < self.high)])

    def value(self, rank: float) -> float | None:
        """The value of a rank, between two ranks in proportion; None if it lies outside."""
        middle = np.sort(np.concatenate(self.inside))
        self.inside = [middle]

        def at(k: int) -> float | None:
            k -= self.below
            if k < 0:
                return None
            if k < self.at_low:
                return self.low
            k -= self.at_low
            if k < len(middle):
                return float(middle[k])
            return self.high if k - len(middle) < self.at_high else None

        one, next_one = at(math.floor(rank)), at(math.ceil(rank))
        if one is None or next_one is None:
            return None
        return one + (rank - math.floor(rank)) * (next_one - one)


def to_zone(members: Sequence[Member], uniform: FloatArray, *, tied: bool) -> FloatArray:
    """Points of the unit cube as values of the members in the standard zone."""
    uniform = np.clip(uniform, _TINY, 1 - _TINY)
    if tied:
        return normal_to_zone(members, special.ndtri(uniform))
    columns = [
        2 * uniform[:, i] - 1 if isinstance(d.spread, Uniform) else d.spread.quantile(uniform[:, i])
        for i, d in enumerate(members)
    ]
    return np.stack(columns).T


def normal_to_zone(members: Sequence[Member], u: FloatArray) -> FloatArray:
    """Independent standard normal variables as values of the members in the standard zone."""
    z = correlate(members, u)
    return np.column_stack([from_normal(d.spread, z[:, i]) for i, d in enumerate(members)])


def random(seed: Any) -> np.random.Generator:
    """The generator of random numbers that belongs to a seed."""
    if seed is not None:
        whole("seed", seed)
    return np.random.default_rng(seed)


BLOCK = 1 << 14


def draw_values(dimensions: Sequence[Member], generator: np.random.Generator, n: int) -> Iterable[FloatArray]:
    """`n` values of each dimension in the standard zone, those that are tied varying together."""
    if all(d.tie is None for d in dimensions):
        return (d.spread.sample(generator, n) for d in dimensions)
    columns: dict[int, FloatArray] = {}
    for tie, group in normal_blocks(dimensions):
        if tie is None:
            columns[group[0]] = dimensions[group[0]].spread.sample(generator, n)
            continue
        chosen = [dimensions[i] for i in group]
        normal = correlate(chosen, generator.standard_normal((n, len(group))))
        columns |= {i: from_normal(dimensions[i].spread, normal[:, j]) for j, i in enumerate(group)}
    return [columns[i] for i in range(len(dimensions))]
