"""Densities that importance sampling draws from, each given over the standard normal density.

`Region` follows the surface of failure about a design point, `Plain` is the standard normal density moved there,
`Cloud` a normal density through points that failed, `Apart` one of independent variables, for points that are too few
to tell how many variables go together, `Shell` the standard normal one beyond a distance, for failures on all sides.
`importance` says how they are used.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from fitcheck.later import special
from fitcheck.units import FloatArray

FARTHEST = 8.5  # standard deviations; beyond lies 1e-17, and the mapping of bounded members runs out of digits


@dataclass
class Region:
    """A design point and the shape of the surface about it."""

    u: FloatArray
    state: int
    slope: float
    beta: float = field(init=False)
    axes: FloatArray = field(init=False)  # first row towards the point, the others across
    margin: float = 0.3

    def __post_init__(self) -> None:
        self.beta = float(np.linalg.norm(self.u))
        n = len(self.u)
        basis = np.eye(n)
        basis[:, 0] = self.u
        q, r = np.linalg.qr(basis)
        self.axes = (q * np.where(np.diag(r) < 0, -1.0, 1.0)).T
        self.linear, self.quadratic = np.zeros(n - 1), np.zeros((n - 1, n - 1))
        self._set_density()

    def _set_density(self) -> None:
        values, vectors = np.linalg.eigh(np.eye(len(self.linear)) + self.beta * self.quadratic)
        values = np.clip(values, 0.25, 100.0)
        self.root = vectors / np.sqrt(values) * 1.1  # a little wider than the fit says
        self.centre = -(vectors / values) @ (vectors.T @ (self.beta * self.linear))
        length = float(np.linalg.norm(self.centre))
        if length > 3:
            self.centre *= 3 / length
        self._log_det = -0.5 * float(np.log(values).sum()) + len(values) * math.log(1.1)
        self._inverse = np.linalg.inv(self.root)

    def surface(self, v: FloatArray) -> FloatArray:
        """Fitted distance of the surface at v, kept within reach."""
        fit = self.beta + v @ self.linear + 0.5 * np.einsum("ij,jk,ik->i", v, self.quadratic, v)
        return np.asarray(np.clip(fit, max(self.beta - 2.5, 0.05), FARTHEST))

    def fit(self, v: FloatArray, r: FloatArray) -> None:
        """The quadratic form through measured distances r at v."""
        k = v.shape[1]
        pairs = [(i, j) for i in range(k) for j in range(i, k)]
        if len(pairs) + k + 1 > 0.8 * len(v):
            pairs = [(i, i) for i in range(k)]
        if len(pairs) + k > 0.9 * len(v):
            self._fit_sphere(v, r)
            return
        columns = [v[:, i] * v[:, j] / (2.0 if i == j else 1.0) for i, j in pairs]
        design = np.column_stack([v, *columns])
        # Near points count most: what lies a standard deviation farther hardly ever fails.
        weight = np.exp(-0.5 * np.clip(self.beta * (r - self.beta), -4.0, 12.0))
        ridge = 1e-3 * np.eye(design.shape[1]) * weight.sum()
        normal = design.T @ (weight[:, None] * design) + ridge
        found = np.linalg.solve(normal, design.T @ (weight * (r - self.beta)))
        self.linear = found[:k]
        self.quadratic = np.zeros((k, k))
        for (i, j), value in zip(pairs, found[k:], strict=True):
            self.quadratic[i, j] = self.quadratic[j, i] = value
        self._set_density()
        self._set_margin(v, r, weight)

    def _fit_sphere(self, v: FloatArray, r: FloatArray) -> None:
        """One curvature in all directions, where there are too many directions to tell them apart."""
        square = (v**2).sum(axis=1) / 2
        self.quadratic = np.eye(v.shape[1]) * float(square @ (r - self.beta)) / float(square @ square)
        self._set_density()
        self._set_margin(v, r, np.ones(len(v)))

    def _set_margin(self, v: FloatArray, r: FloatArray, weight: FloatArray) -> None:
        residual = r - self.surface(v)
        spread = math.sqrt(float((weight * residual**2).sum() / weight.sum()))
        self.margin = min(max(3.5 * spread, 0.5 / self.beta), 1.5)

    def _edge(self, v: FloatArray) -> FloatArray:
        """Where the drawn points begin: before the surface, the more so the farther v lies from the fitted lines."""
        z = (v - self.centre) @ self._inverse.T
        far = (z**2).sum(axis=1) / max(v.shape[1], 1)
        return np.asarray(self.surface(v) - self.margin * (0.5 + 0.5 * far**1.5))

    def draw(self, generator: np.random.Generator, n: int) -> FloatArray:
        """Points from the fitted density."""
        v = self.centre + generator.standard_normal((n, len(self.linear))) @ self.root.T
        edge = self._edge(v)
        r = -special.ndtri(generator.uniform(0.0, 1.0, n) * special.ndtr(-edge) + 1e-300)
        return np.asarray(np.column_stack([r, v]) @ self.axes)

    def log_density(self, u: FloatArray) -> FloatArray:
        """Log of the density `draw` draws from, over the standard normal density."""
        local = u @ self.axes.T
        r, v = local[:, 0], local[:, 1:]
        z = (v - self.centre) @ self._inverse.T
        edge = self._edge(v)
        ratio = 0.5 * (v**2).sum(axis=1) - 0.5 * (z**2).sum(axis=1) - self._log_det - special.log_ndtr(-edge)
        return np.where(r >= edge, ratio, -np.inf)


@dataclass
class Plain:
    """The standard normal density moved to a point."""

    u: FloatArray

    def draw(self, generator: np.random.Generator, n: int) -> FloatArray:
        return np.asarray(self.u + generator.standard_normal((n, len(self.u))))

    def log_density(self, u: FloatArray) -> FloatArray:
        """Log of its density over the standard normal density."""
        return np.asarray(u @ self.u - float(self.u @ self.u) / 2)


class Shell:
    """The standard normal density beyond a distance from the mean, in all directions alike."""

    def __init__(self, n: int, distance: float) -> None:
        self._n, self._distance = n, distance
        self._beyond = float(special.gammaincc(n / 2, distance**2 / 2))

    def draw(self, generator: np.random.Generator, n: int) -> FloatArray:
        u = generator.standard_normal((n, self._n))
        square = 2 * special.gammainccinv(self._n / 2, self._beyond * (1 - generator.random(n)))
        return np.asarray(u * np.sqrt(square / (u**2).sum(axis=1))[:, None])

    def log_density(self, u: FloatArray) -> FloatArray:
        """Log of its density over the standard normal density."""
        within = (u**2).sum(axis=1) < self._distance**2
        return np.where(within, -np.inf, -math.log(self._beyond))


@dataclass
class Cloud:
    """A normal density through weighted failing points."""

    u: FloatArray
    root: FloatArray

    @classmethod
    def through(cls, points: FloatArray, weights: FloatArray) -> Cloud:
        w = weights / weights.sum()
        centre = w @ points
        apart = points - centre
        n, effective = points.shape[1], 1 / float((w**2).sum())
        faith = effective / (effective + 3 * n)  # few points say little about the covariance
        covariance = faith * (apart.T * w) @ apart + (1 - faith) * np.eye(n)
        values, vectors = np.linalg.eigh(covariance)
        return cls(centre, vectors * np.sqrt(np.clip(values, 0.05, 6.0)) * 1.1)

    def draw(self, generator: np.random.Generator, n: int) -> FloatArray:
        return np.asarray(self.u + generator.standard_normal((n, len(self.u))) @ self.root.T)

    def log_density(self, u: FloatArray) -> FloatArray:
        """Log of its density over the standard normal density."""
        z = np.linalg.solve(self.root, (u - self.u).T).T
        log_det = float(np.linalg.slogdet(self.root)[1])
        return np.asarray(0.5 * (u**2).sum(axis=1) - 0.5 * (z**2).sum(axis=1) - log_det)


@dataclass
class Apart:
    """A normal density of independent variables through weighted failing points."""

    u: FloatArray
    width: FloatArray

    @classmethod
    def through(cls, points: FloatArray, weights: FloatArray) -> Apart:
        w = weights / weights.sum()
        effective = 1 / float((w**2).sum())
        centre = w @ points
        scatter = np.sqrt(w @ (points - centre) ** 2 / effective)
        # Of many variables most make no difference; what looks like one would cost much in all of them together.
        centre = np.where(np.abs(centre) > 2.5 * scatter, centre, 0.0)
        variance = np.clip(w @ (points - centre) ** 2, 0.05, 6.0)
        faith = effective / (effective + 50)  # few points say less about one variable than all variables do
        logs = np.log(variance)
        return cls(centre, 1.03 * np.exp((faith * logs + (1 - faith) * logs.mean()) / 2))

    def draw(self, generator: np.random.Generator, n: int) -> FloatArray:
        return np.asarray(self.u + generator.standard_normal((n, len(self.u))) * self.width)

    def log_density(self, u: FloatArray) -> FloatArray:
        """Log of its density over the standard normal density."""
        z = (u - self.u) / self.width
        return np.asarray(0.5 * ((u**2).sum(axis=1) - (z**2).sum(axis=1)) - float(np.log(self.width).sum()))
