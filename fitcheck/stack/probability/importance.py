"""Rare failures of a function: the design point, then importance sampling about it.

The members are mapped to independent standard normal variables u. A limit state is a function g(u) that is negative
where the requirement fails; a system fails if any of its limit states does.

1. *Design points.* The point of g = 0 nearest to the origin (the point of Hasofer and Lind), by their steps, a value
   and its slopes in one call; where the surface is too curved for them, by sequential quadratic programming (scipy's
   SLSQP) from where they lead. Further starts on a sphere beyond the first point look for other regions.
2. *Shape.* About each point the distance r(v) of the surface along the direction of the point is fitted by a quadratic
   form in the coordinates v across it, from a few dozen lines.
3. *Importance sampling.* v is drawn from the normal density that the quadratic form suggests, r from the normal tail
   beyond the fitted surface less a margin, and a part of the points from a plain normal density about the design
   point, so that nothing depends on the fit being right. Where failures were seen in directions that no design point
   stands for, as outside a sphere, a part is drawn in all directions alike, from the standard normal density beyond
   the nearest of them: else what lies there is hardly drawn, and its absence looks like precision. Each point costs
   one evaluation and tells only whether it fails; the mean of the density ratios over the failing points is an
   unbiased estimate, and their scatter its standard error.

References: A. M. Hasofer and N. C. Lind, J. Eng. Mech. Div. ASCE 100 (1974) 111-121; R. Rackwitz and B. Fiessler,
Computers and Structures 9 (1978) 489-494; M. Hohenbichler and R. Rackwitz, J. Eng. Mech. 114 (1988) 2195-2199; Y. Zhang
and A. Der Kiureghian, in Reliability and Optimization of Structural Systems (1995) 297-305, for steps that are
shortened (all from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.later import special
from fitcheck.stack.constrained import least_under
from fitcheck.stack.probability.densities import FARTHEST, Apart, Cloud, Plain, Region, Shell
from fitcheck.units import FloatArray

_UNMOVED = 0.15  # share of points drawn from the standard normal density, so that no density ratio is above 1 / 0.15
_DEFENSIVE = 0.12  # share of points drawn without regard to the fitted shape
_ALL_ROUND = 0.2  # share of points drawn in all directions alike, where there are failures off the design points
_WITHIN = 0.98  # of the distance of the nearest design point: from where on they are drawn
_NEAR = 0.75  # cosine of the angle from a design point within which it stands for a failure
_STEP = 1e-4  # of the difference quotients
_REACH = FARTHEST + 1  # how far a search may go
_MOST_STEPS = 15  # of Hasofer and Lind
_MOST_SHORTENED = 2  # of these
_SETTLED, _ON_IT = 1e-3, 1e-6  # of the distance: what the last step is shorter than, and how near g = 0 is by its slope

LimitState = Callable[[FloatArray], FloatArray]
"""From points u, one a row, to one value a limit state (columns), negative where it fails."""


@dataclass
class Estimate:
    """A probability of failure and how it was found."""

    p: float
    standard_error: float
    evaluations: int
    betas: tuple[float, ...]


class _Surface:
    """One limit state, its values and slopes, each found once."""

    def __init__(self, g: LimitState, state: int, n: int) -> None:
        self._g, self._state, self._n = g, state, n
        self._known: dict[bytes, tuple[float, FloatArray | None]] = {}

    def value(self, u: FloatArray) -> float:
        if u.tobytes() not in self._known:
            self._known[u.tobytes()] = float(self._g(u[None, :])[0, self._state]), None
        return self._known[u.tobytes()][0]

    def value_and_slope(self, u: FloatArray) -> tuple[float, FloatArray]:
        """Both in one call, by difference quotients; the value is not asked for again where it is known."""
        here, slope = self._known.get(u.tobytes(), (None, None))
        if here is None or slope is None:
            beside = u + _STEP * np.eye(self._n)
            y = self._g(np.concatenate([u[None, :], beside]) if here is None else beside)[:, self._state]
            here, beside_it = (float(y[0]), y[1:]) if here is None else (here, y)
            slope = (beside_it - here) / _STEP
            self._known[u.tobytes()] = here, slope
        return here, slope

    def walk(self, u: FloatArray) -> tuple[FloatArray, bool]:
        """From u towards the design point by the steps of Hasofer and Lind; where it ends, and whether it has settled.

        Each step goes to the point nearest to the origin of the plane that touches g at u: the whole way, or as far as
        |u|^2 / 2 + c |g| falls [Zhang and Der Kiureghian]. A surface that is too curved for whole steps is left.
        """
        g, slope = self.value_and_slope(u)
        shortened = 0
        for _ in range(_MOST_STEPS):
            size = float(np.linalg.norm(slope))
            if size == 0 or shortened > _MOST_SHORTENED:
                break
            aim = np.clip(float(slope @ u - g) / size**2 * slope, -_REACH, _REACH)
            move = aim - u
            length = float(np.linalg.norm(aim))
            if float(np.linalg.norm(move)) < _SETTLED * length and abs(g) < _ON_IT * size * length:
                return u, True
            c = 2 * length / size
            merit = 0.5 * float(u @ u) + c * abs(g)
            for part in (1.0, 0.5, 0.25):
                tried = u + part * move
                # The whole step is taken most times, so its slope is asked for with it.
                value = self.value_and_slope(tried)[0] if part == 1 else self.value(tried)
                if 0.5 * float(tried @ tried) + c * abs(value) < merit:
                    shortened += part < 1
                    break
            else:
                break
            u = tried
            g, slope = self.value_and_slope(u)
        return u, False


class Search:
    """The search for the failures of one system of limit states in n standard normal variables."""

    def __init__(self, g: LimitState, n: int, *, seed: int = 0) -> None:
        self._g = g
        self.n = n
        self.elsewhere = False
        """Whether failures were seen in directions that no design point stands for."""
        self.evaluations = 0
        self._random = np.random.default_rng(seed)

    def g(self, u: FloatArray) -> FloatArray:
        self.evaluations += len(u)
        return self._g(u)

    # -- design points -------------------------------------------------------------------------------------

    def design_point(self, start: FloatArray, state: int, *, most: int = 30) -> Region | None:
        """The point of the surface nearest to the origin, the least |u|^2 / 2 with g(u) = 0; None if none is found."""
        surface = _Surface(self.g, state, self.n)
        start = np.clip(np.array(start, dtype=float), -_REACH, _REACH)
        first, slope = surface.value_and_slope(start)
        size = float(np.linalg.norm(slope))
        if size <= 1e-9 * abs(first):
            return None
        u, settled = surface.walk(start)
        if not settled:
            # Where the walk has come no nearer to g = 0, such as on a plateau, a longer search hardly does.
            far = abs(surface.value(u)) > 0.5 * abs(first)
            u = least_under(
                lambda u: (0.5 * float(u @ u), u),
                start if far else u,
                {
                    "type": "eq",
                    "fun": lambda u: surface.value(u) / size,
                    "jac": lambda u: surface.value_and_slope(u)[1] / size,
                },
                [(-_REACH, _REACH)] * self.n,
                most=15 if far else most,
                ftol=1e-7,
            )
        value, slope = surface.value_and_slope(u)
        size, length = float(np.linalg.norm(slope)), float(np.linalg.norm(u))
        # On a plateau at the limit itself there is no slope: no point of it is nearest by that.
        if not size > 0 or not 1e-3 < length <= _REACH or abs(value) > 4e-3 * size:
            return None
        across = u - float(u @ slope) / size**2 * slope
        return Region(u, state, -size) if float(np.linalg.norm(across)) < 0.02 * length else None

    def nearest_failing(self, failing: FloatArray) -> Region:
        """The nearest failing point that a random search comes to from some, where the surface is not smooth."""
        best = failing[np.argmin((failing**2).sum(axis=1))]
        width = 0.3 * float(np.linalg.norm(best)) / math.sqrt(self.n)
        for _ in range(8):
            tried = 0.97 * best + width * self._random.standard_normal((12, self.n))
            tried = np.concatenate([tried, np.outer(np.linspace(0.7, 0.99, 8), best)])
            tried = tried[(tried**2).sum(axis=1) < float(best @ best)]
            hit = tried[self.g(tried).min(axis=1) < 0] if len(tried) else tried
            if len(hit):
                best = hit[np.argmin((hit**2).sum(axis=1))]
            else:
                width *= 0.6
        region = Region(best, -1, -1.0)
        region.margin = 0.5 / region.beta
        return region

    def regions(self, states: int, *, starts: Sequence[FloatArray] = (), spend: int) -> list[Region]:
        """Design points of every limit state, from the origin, from `starts`, and from spheres beyond the first."""
        found: list[Region] = []

        def add(region: Region | None) -> None:
            if region is None or region.beta >= FARTHEST - 1e-6:
                return
            if all(np.linalg.norm(r.u - region.u) > 0.2 * region.beta for r in found):
                found.append(region)

        for state in range(states):
            add(self.design_point(np.zeros(self.n), state))
        for start in starts:
            add(self.design_point(start, int(np.argmin(self.g(start[None, :])[0]))))
        directions = self._random.standard_normal((spend, self.n))
        directions = np.concatenate([directions, np.eye(self.n), -np.eye(self.n), *[-r.u[None, :] for r in found]])
        directions /= np.linalg.norm(directions, axis=1, keepdims=True)
        radii = [min(r.beta for r in found) + 0.7] if found else [3.0, 4.5, 6.0, 8.0]
        for radius in radii:
            points = radius * directions
            values = self.g(points)
            worst = values.min(axis=1)
            attempts = 0
            for i in np.argsort(worst):
                if worst[i] >= 0 or attempts == 4 or len(found) == 8:
                    break
                if all(float(points[i] @ r.u) < _NEAR * r.beta * radius for r in found):
                    attempts += 1
                    region = self.design_point(points[i], int(np.argmin(values[i])))
                    if region is None and not found:
                        region = self.nearest_failing(points[worst < 0])
                    add(region)
            if found:
                seen = points[worst < 0] @ np.stack([r.u / r.beta for r in found]).T
                self.elsewhere = bool((seen < _NEAR * radius).all(axis=1).any())
                break
        return found

    # -- shape ---------------------------------------------------------------------------------------------

    def shape(self, region: Region, lines: int) -> None:
        """Measure the surface along lines parallel to the direction of the design point, and fit it."""
        k = self.n - 1
        if k == 0:
            region.margin = 0.3 / region.beta
            return
        v = self._random.standard_normal((lines, k))
        across = v @ region.axes[1:]
        towards = region.axes[0]
        r0 = np.full(lines, region.beta)
        g0 = self.g(across + r0[:, None] * towards)[:, region.state]
        r1 = np.clip(r0 - g0 / region.slope, region.beta - 2, region.beta + 2)
        for _ in range(2):
            g1 = self.g(across + r1[:, None] * towards)[:, region.state]
            with np.errstate(all="ignore"):
                slope = (g1 - g0) / (r1 - r0)
                slope = np.where(np.isfinite(slope) & (slope * region.slope > 0), slope, region.slope)
                r0, g0, r1 = r1, g1, r1 - g1 / slope
            r1 = np.clip(r1, region.beta - 2.5, region.beta + 4)
        good = np.isfinite(r1)
        region.fit(v[good], r1[good])

    # -- importance sampling -----------------------------------------------------------------------------

    def sample(self, regions: Sequence[Region], *, error: float, most: int) -> Estimate:
        """Importance sampling about the regions until the relative standard error or the evaluations are reached.

        If a fifth of the points has not sufficed, a normal density fitted to the failing points is added to the
        mixture and the count begins anew, at most twice.
        """
        weights = np.array([special.ndtr(-r.beta) for r in regions])
        weights = np.maximum(weights / weights.sum(), 0.05)
        weights /= weights.sum()
        parts: list[tuple[float, Region | Cloud | Plain | Shell]] = []
        for w, region in zip(weights.tolist(), regions, strict=True):
            parts += [(w * (1 - _DEFENSIVE), region), (w * _DEFENSIVE, Plain(region.u))]
        if self.elsewhere:
            nearest = min(r.beta for r in regions)
            parts = [(w * (1 - _ALL_ROUND), part) for w, part in parts]
            parts.append((_ALL_ROUND, Shell(self.n, _WITHIN * nearest)))
        left = most
        for stage in range(3):
            spend = left if stage == 2 or most < 3000 else max(600, most // 5)
            p, scatter, hits, ratios = self._mixture(parts, error, min(spend, left))
            left -= spend
            if left <= 0 or (p > 0 and scatter <= error * p):
                break
            if p > 0:
                kept: list[tuple[float, Region | Cloud | Plain | Shell]]
                kept = [(0.35 * w, part) for w, part in parts if not isinstance(part, Cloud)]
                kept += [(0.2 * w, part) for w, part in parts if isinstance(part, Cloud)]
                parts = [*kept, (1 - sum(w for w, _ in kept), Cloud.through(hits, ratios))]
        return Estimate(p, scatter, self.evaluations, tuple(r.beta for r in regions))

    def _mixture(
        self, parts: Sequence[tuple[float, Region | Cloud | Plain | Apart | Shell]], error: float, most: int
    ) -> tuple[float, float, FloatArray, FloatArray]:
        """The estimate, its standard error, the failing points and their density ratios; 0 if none failed."""
        shares = np.array([w for w, _ in parts])
        hits: list[FloatArray] = []
        ratios: list[FloatArray] = []
        done, p, scatter = 0, 0.0, math.inf
        while done < most:
            n = min(max(200, done // 2), most - done)
            counts = self._random.multinomial(n, shares / shares.sum()).tolist()
            u = np.concatenate([part.draw(self._random, k) for k, (_, part) in zip(counts, parts, strict=True)])
            hit = u[(self.g(u) < 0).any(axis=1)]
            done += n
            if len(hit):
                logs = [math.log(w) + part.log_density(hit) for w, part in parts]
                hits.append(hit)
                ratios.append(np.exp(-np.logaddexp.reduce(logs)))
                every = np.concatenate(ratios)
                p = float(every.sum()) / done
                scatter = math.sqrt(max(float((every**2).sum()) / done - p * p, 0.0) / done)
                effective = float(every.sum()) ** 2 / float((every**2).sum())
                if effective < 30:
                    scatter = max(scatter, p)  # too few points carry the estimate for its scatter to be believed
                if scatter <= error * p and done >= 300:
                    break
        if not hits:
            return 0.0, math.inf, np.empty((0, self.n)), np.empty(0)
        return p, scatter, np.concatenate(hits), np.concatenate(ratios)


def probability(
    g: LimitState,
    n: int,
    states: int,
    *,
    starts: Sequence[FloatArray] = (),
    error: float = 0.04,
    most: int = 1400,
    seed: int = 0,
) -> Estimate | None:
    """Probability that any limit state is negative, or None if no design point was found.

    Parameters
    ----------
    g : the limit states
    n, states : number of variables and of limit states
    starts : points from which design points are looked for besides the origin
    error : relative standard error to reach
    most : evaluations of g, all counted
    """
    search = Search(g, n, seed=seed)
    regions = search.regions(states, starts=starts, spend=min(48, most // 20))
    if not regions:
        return None
    nearest = min(r.beta for r in regions)
    regions = [r for r in regions if r.beta < nearest + 2.5]
    parameters = (n - 1) * n // 2 + n
    lines = min(max(24, round(1.7 * parameters)), 70, max(24, (most - search.evaluations) // (6 * len(regions))))
    for region in regions:
        if region.state >= 0 and search.evaluations + 3 * lines < 0.6 * most:
            search.shape(region, lines)
    return search.sample(regions, error=error, most=max(300, most - search.evaluations))


def through_failures(g: LimitState, points: FloatArray, *, error: float, most: int, seed: int = 0) -> Estimate:
    """Probability that any limit state is negative, from points in which one is, where there is no one design point.

    Of many variables that each matter a little, failures lie nowhere near the nearest of them, but all about where they
    were counted. So points are drawn from a normal density through those, and from the standard normal one, which
    bounds the density ratios and with them the scatter; a quarter of them first, whose failures say better where to
    draw the rest. That too is unbiased, whatever the density.

    points: failing points in the standard normal space, one a row. error, most: as in `probability`.
    """
    search = Search(g, points.shape[1], seed=seed)
    weights, p, scatter = np.ones(len(points)), 0.0, math.inf
    for spend in (most // 4, most - most // 4):
        if not len(points):
            break
        parts: list[tuple[float, Region | Cloud | Plain | Apart]]
        parts = [(1 - _UNMOVED, Apart.through(points, weights)), (_UNMOVED, Plain(np.zeros(search.n)))]
        p, scatter, points, weights = search._mixture(parts, error, spend)
        if scatter <= error * p:
            break
    return Estimate(p, scatter, search.evaluations, ())


def first_order(g: LimitState, n: int, states: int, *, starts: Sequence[FloatArray] = ()) -> list[float] | None:
    """The distance of the nearest design point of each limit state, below 0 if the mean fails; None if one has none.

    A state that no search finds, while another is found, is farther than `FARTHEST` and counts as infinitely far.
    """
    search = Search(g, n)
    found = search.regions(states, starts=starts, spend=48)
    if not found:
        return None
    at_mean = g(np.zeros((1, n)))[0]
    nearest = [min((r.beta for r in found if r.state == state), default=math.inf) for state in range(states)]
    return [-beta if value < 0 else beta for beta, value in zip(nearest, at_mean.tolist(), strict=True)]
