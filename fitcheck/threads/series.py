"""The standard series: which diameters and pitches ISO 261 and ASME B1.1 hold."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from fitcheck.tables import number, table
from fitcheck.threads.asme_b1_1 import SERIES, Sizes, based_on_diameter, engagement_basis, tolerance_diameter


@dataclass(frozen=True, slots=True)
class MetricSize:
    """A row of ISO 261: diameter in mm, order of preference (1 to 3), coarse pitch if any, fine pitches."""

    diameter: float
    choice: int
    coarse: float | None
    fine: tuple[float, ...]

    @property
    def pitches(self) -> tuple[float, ...]:
        return (*([] if self.coarse is None else [self.coarse]), *self.fine)


@dataclass(frozen=True, slots=True)
class UnifiedSize:
    """A standard Unified thread: size as it is written, diameter in 0.0001 in, threads per inch, series."""

    size: str
    diameter: int
    tpi: float
    series: str
    by_diameter: bool
    """Whether its tolerances are based on an engagement of one diameter; if not, on nine pitches."""

    @property
    def has_class_1(self) -> bool:
        """Whether the standard tabulates classes 1A and 1B for it."""
        return self.by_diameter and self.series in ("UNC", "UNF", "UNS") and self.diameter >= 2500


@lru_cache(maxsize=1)
def metric_sizes() -> dict[float, MetricSize]:
    """ISO 261 by diameter in mm."""
    rows = table("iso_series", {"diameter": float, "choice": int, "coarse": number}).rows
    return {
        row["diameter"]: MetricSize(
            row["diameter"], row["choice"], row["coarse"], tuple(float(pitch) for pitch in row["fine"].split())
        )
        for row in rows
    }


@lru_cache(maxsize=1)
def unified_sizes() -> dict[tuple[int, float], UnifiedSize]:
    """The standard series and selected combinations of ASME B1.1, by (diameter in 0.0001 in, threads per inch)."""
    rows = table("unified_series", {"diameter": float, "tpi": float}).rows
    found = [
        UnifiedSize(
            row["size"],
            round(10000 * row["diameter"]),
            row["tpi"],
            row["series"],
            bool(based_on_diameter(row["diameter"], row["tpi"], row["series"])),
        )
        for row in rows
    ]
    return {(one.diameter, one.tpi): one for one in found}


@lru_cache(maxsize=1)
def unified_diameters() -> dict[int, str]:
    """The standard Unified diameters, in 0.0001 in, and how each is written."""
    return {one.diameter: one.size for one in unified_sizes().values()}


def nearest(value: float, choices: list[float], most: int = 3) -> list[float]:
    """The members of `choices` nearest to `value` by ratio, in rising order."""
    return sorted(sorted(choices, key=lambda one: abs(np.log(one / value)))[:most])


def unified_arrays(
    D: NDArray[np.float64], n: NDArray[np.float64], series: list[str], LE: NDArray[np.float64] | None = None
) -> Sizes:
    """What the limits of many Unified threads follow from; `LE` in inches if it is not that of the series.

    A special combination of diameter and pitch uses its own diameter in the tolerance formula; a standard one
    that is based on nine pitches uses that of its group, as the printed tables do.
    """
    index = np.array([SERIES.index(name) for name in series])
    basis = np.empty(len(index))
    nine = np.empty(len(index), dtype=bool)
    for k, name in enumerate(SERIES):
        here = index == k
        if here.any():
            basis[here] = engagement_basis(D[here], n[here], name)
            nine[here] = ~based_on_diameter(D[here], n[here], name)
    standard = np.array([(round(10000 * d), float(t)) in unified_sizes() for d, t in zip(D, n, strict=True)])
    grouped = standard & nine & (LE is None)
    return Sizes(D, n, basis if LE is None else LE, np.where(grouped, tolerance_diameter(D), D), index)
