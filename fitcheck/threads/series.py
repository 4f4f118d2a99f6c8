"""The standard series: which diameters and pitches ISO 261 and ASME B1.1 hold, and the limits of a whole class at once.

The array functions of `iso965` and `asme_b1_1` are the only source of limits. A class is worked out for all standard
threads when it is first asked for, which takes a millisecond or two, and kept; a single standard thread is then looked
up. Threads outside the standard series are worked out one by one by the same functions.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitcheck.errors import one_of
from fitcheck.tables import number, table
from fitcheck.threads import asme_b1_1, iso965
from fitcheck.threads.asme_b1_1 import SERIES, Sizes, based_on_diameter, engagement_basis, tolerance_diameter
from fitcheck.threads.rounding import Integers
from fitcheck.units import FloatArray


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


ISO = "ISO metric"


UNIFIED = "Unified"


class Standard(NamedTuple):
    """The threads of a system as arrays: mm for ISO, inches for Unified."""

    size: NDArray[np.str_]
    nominal: FloatArray
    pitch: FloatArray
    tpi: FloatArray
    series: NDArray[np.str_]

    def where(self, here: NDArray[np.bool_]) -> Standard:
        return Standard(self.size[here], self.nominal[here], self.pitch[here], self.tpi[here], self.series[here])


Key = tuple[float, float, str]


class ClassLimits(NamedTuple):
    """The limits of the standard threads of one class, in µm or 0.0001 in, in the order of `standard`.

    kept: which of the threads of `standard` have limits in this class. tabulated: which of those kept the tables of
    the standard fill. place: where a thread stands among those kept. columns: the same limits as plain lists.
    """

    kept: NDArray[np.bool_]
    tabulated: NDArray[np.bool_]
    limits: Mapping[str, Integers]
    place: Mapping[Key, int]
    columns: Mapping[str, list[int]]

    def find(self, key: Key) -> dict[str, int] | None:
        """The limits of one thread; None if it is not among them."""
        k = self.place.get(key)
        return None if k is None else {name: column[k] for name, column in self.columns.items()}

    def is_tabulated(self, key: Key) -> bool:
        return key in self.place and bool(self.tabulated[self.place[key]])


@lru_cache(maxsize=2)
def standard(system: str) -> Standard:
    """Every diameter and pitch of ISO 261, or of the series of ASME B1.1."""
    if one_of("system", system, (ISO, UNIFIED)) == ISO:
        rows = [(one, P) for one in metric_sizes().values() for P in one.pitches]
        d, P = np.array([one.diameter for one, _ in rows]), np.array([pitch for _, pitch in rows])
        size = np.array([f"M{one.diameter:g}" for one, _ in rows])
        series = np.array(["coarse" if pitch == one.coarse else "fine" for one, pitch in rows])
        return Standard(size, d, P, 25.4 / P, series)
    found = list(unified_sizes().values())
    n = np.array([one.tpi for one in found])
    size, series = np.array([one.size for one in found]), np.array([one.series for one in found])
    return Standard(size, np.array([one.diameter for one in found]) / 10_000, 1 / n, n, series)


def metric_limits(
    grades: tuple[int, int], position: str
) -> tuple[NDArray[np.bool_], NDArray[np.bool_], dict[str, Integers]]:
    """Of all standard metric threads: which a class is defined for, which its tables fill, and their limits in µm.

    grades: (pitch diameter, crest). The 2013 positions a to d are defined for pitches from 1 mm only.
    """
    every, at = standard(ISO), iso965.positions()[position]
    kept = every.pitch >= (at.pitch_from if at.constant is None else 0.0) - 1e-9
    d, P = (every.nominal, every.pitch) if kept.all() else (every.nominal[kept], every.pitch[kept])
    find = iso965.external_limits if at.external else iso965.internal_limits
    pitches, which = _pitches()
    tabulated = _combined() & iso965.filled(pitches, grades, position)[which]
    return kept, tabulated[kept], find(d, P, grades, position)


def unified_limits(
    name: str, procedure: str = "table"
) -> tuple[NDArray[np.bool_], NDArray[np.bool_], dict[str, Integers]]:
    """Of all standard Unified threads: that every class is defined for each, which it is tabulated for, the limits.

    Classes 1A and 1B are tabulated for UNC and UNF from 1/4 in, and 1-14 UNS, once of the fine series (from memory).
    Limits are in 0.0001 in.
    """
    every = standard(UNIFIED)
    tabulated = np.full(len(every.size), True)
    if name.startswith("1"):
        tabulated = np.array([one.has_class_1 for one in unified_sizes().values()])
    find = asme_b1_1.external_limits if name.endswith("A") else asme_b1_1.internal_limits
    return np.full(len(every.size), True), tabulated, find(_unified_sizes(), name, procedure)


@lru_cache(maxsize=256)
def metric_class(grades: tuple[int, int], position: str) -> ClassLimits:
    """`metric_limits`, kept, for looking up single threads by (diameter, pitch, "")."""
    kept, tabulated, limits = metric_limits(grades, position)
    every = standard(ISO).where(kept)
    keys = ((d, P, "") for d, P in zip(every.nominal.tolist(), every.pitch.tolist(), strict=True))
    return _kept(kept, tabulated, limits, {key: k for k, key in enumerate(keys)})


@lru_cache(maxsize=16)
def unified_class(name: str, procedure: str = "table") -> ClassLimits:
    """`unified_limits`, kept, for looking up single threads by (diameter in 0.0001 in, threads per inch, series)."""
    place: dict[Key, int] = {(one.diameter, one.tpi, one.series): k for k, one in enumerate(unified_sizes().values())}
    return _kept(*unified_limits(name, procedure), place)


def _kept(
    kept: NDArray[np.bool_], tabulated: NDArray[np.bool_], limits: dict[str, Integers], place: dict[Key, int]
) -> ClassLimits:
    columns = {name: column.tolist() for name, column in limits.items()}
    return ClassLimits(kept, tabulated, limits, place, columns)


@lru_cache(maxsize=1)
def _pitches() -> tuple[FloatArray, NDArray[np.intp]]:
    """The different pitches of the standard metric threads, and which of them each thread has."""
    every = standard(ISO).pitch
    pitches = np.array(sorted(set(every.tolist())))  # np.unique would load numpy.ma, a sixth of all that is loaded
    return pitches, np.searchsorted(pitches, every)


@lru_cache(maxsize=1)
def _combined() -> NDArray[np.bool_]:
    every = standard(ISO)
    return iso965.combined(every.nominal, every.pitch)


@lru_cache(maxsize=1)
def _unified_sizes() -> asme_b1_1.Sizes:
    every = standard(UNIFIED)
    return unified_arrays(every.nominal, every.tpi, every.series.tolist())
