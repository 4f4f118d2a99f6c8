"""The whole of both systems at once: standard series and limits of size, computed from arrays.

pandas is loaded when a table is asked for; `limit_arrays` does without.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitcheck.errors import one_of
from fitcheck.threads import asme_b1_1, iso965
from fitcheck.threads.definition import ISO, UNIFIED
from fitcheck.threads.series import metric_sizes, unified_arrays, unified_sizes
from fitcheck.units import FloatArray

METRIC_CLASSES = (
    "3h4h", "4h", "5h4h", "5h6h", "6h", "7h6h", "4g6g", "5g6g", "6g", "7g6g", "8g", "9g8g", "6f", "6e", "7e6e", "8e",
    "4H", "5H", "6H", "7H", "8H", "5G", "6G", "7G", "8G",
)  # fmt: skip
"""The classes that ISO 965-1 recommends, and 4g6g of ASME B1.13M; any other may be asked for by name."""

UNIFIED_CLASSES = ("1A", "2A", "3A", "1B", "2B", "3B")

_COLUMNS = ("major_max", "major_min", "pitch_max", "pitch_min", "minor_max", "minor_min", "unr_minor_max")


class Standard(NamedTuple):
    """The threads of a system as arrays: mm for ISO, inches for Unified."""

    size: NDArray[np.str_]
    nominal: FloatArray
    pitch: FloatArray
    tpi: FloatArray
    series: NDArray[np.str_]

    def where(self, here: NDArray[np.bool_]) -> Standard:
        return Standard(self.size[here], self.nominal[here], self.pitch[here], self.tpi[here], self.series[here])


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


def limit_arrays(tolerance_class: str) -> tuple[Standard, dict[str, FloatArray]]:
    """The standard threads that a class is tabulated for, and their limits in the unit of the system.

    For a metric class: those whose pitch and diameter the tables of ISO 965-1 fill for its grades and
    position. For class 1: UNC and UNF from 1/4 in. Missing limits are missing keys.
    """
    if tolerance_class in UNIFIED_CLASSES:
        return _unified(tolerance_class)
    grades, position = _metric_class(tolerance_class)
    every = standard(ISO)
    here = iso965.tabulated(every.nominal, every.pitch, grades, position)
    kept = every.where(here)
    find = iso965.external_limits if iso965.positions()[position].external else iso965.internal_limits
    found = find(kept.nominal, kept.pitch, grades, position)
    return kept, {key: found[key] / 1000 for key in _COLUMNS if key in found}


def limits_frame(tolerance_class: str | None = None) -> Any:
    """A DataFrame of limits of size: of one class, or of every usual class of both systems.

    Columns: system, size, nominal, pitch, tpi, series, class and the limits, each in the unit of its system
    (column `unit`); NaN where the standard prints none.
    """
    import pandas as pd

    names = (*METRIC_CLASSES, *UNIFIED_CLASSES) if tolerance_class is None else (tolerance_class,)
    parts = []
    for name in names:
        threads, limits = limit_arrays(name)
        metric = name not in UNIFIED_CLASSES
        start = {"system": ISO if metric else UNIFIED, "unit": "mm" if metric else "in"}
        parts.append(pd.DataFrame({**threads._asdict(), "class": name, **limits}).assign(**start))
    frame = pd.concat(parts, ignore_index=True)
    lead = ["system", "unit", *Standard._fields, "class"]
    return frame[[*lead, *(column for column in _COLUMNS if column in frame)]]


def series_frame(system: str | None = None) -> Any:
    """A DataFrame of the standard series of one system or both, with their basic pitch and minor diameters."""
    import pandas as pd

    parts = []
    for name in (ISO, UNIFIED) if system is None else (system,):
        threads = standard(name)
        H = np.sqrt(3) / 2 * threads.pitch
        columns = {
            **threads._asdict(),
            "pitch_diameter": threads.nominal - 0.75 * H,
            "minor_diameter": threads.nominal - 1.25 * H,
        }
        start = {"system": name, "unit": "mm" if name == ISO else "in"}
        parts.append(pd.DataFrame({**{k: [v] * len(H) for k, v in start.items()}, **columns}))
    return pd.concat(parts, ignore_index=True)


def _unified(name: str) -> tuple[Standard, dict[str, FloatArray]]:
    every = standard(UNIFIED)
    here = np.full(len(every.size), True)
    if name.startswith("1"):
        here = np.isin(every.series, ("UNC", "UNF")) & (every.nominal >= 0.25)
    kept = every.where(here)
    sizes = unified_arrays(kept.nominal, kept.tpi, list(kept.series))
    find = asme_b1_1.external_limits if name.endswith("A") else asme_b1_1.internal_limits
    found = find(sizes, name)
    if name.endswith("A"):
        del found["minor_max"]  # a reference size that the table does not print
    return kept, {key: found[key] / 10_000 for key in _COLUMNS if key in found}


def _metric_class(name: str) -> tuple[tuple[int, int], str]:
    from fitcheck.threads.resolve import thread

    read = thread(f"M10-{name}").tolerance_class
    digits = [int(one) for one in read if one.isdigit()]
    return (digits[0], digits[-1]), read[-1]
