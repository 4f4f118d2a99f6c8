"""The whole of both systems at once: standard series and limits of size, computed from arrays.

pandas is loaded when a table is asked for; `limit_arrays` does without.
"""

from __future__ import annotations

from typing import Any

from fitcheck.errors import InputError, brief
from fitcheck.expected import text_of
from fitcheck.threads.iso965 import read_metric_class
from fitcheck.threads.profile import TRIANGLE
from fitcheck.threads.series import ISO, UNIFIED, Standard, metric_limits, standard, unified_limits
from fitcheck.units import FloatArray

METRIC_CLASSES = (
    "3h4h", "4h", "5h4h", "5h6h", "6h", "7h6h", "4g6g", "5g6g", "6g", "7g6g", "8g", "9g8g", "6f", "6e", "7e6e", "8e",
    "4H", "5H", "6H", "7H", "8H", "5G", "6G", "7G", "8G",
)  # fmt: skip
"""The classes that ISO 965-1 recommends, and 4g6g of ASME B1.13M; any other may be asked for by name."""

UNIFIED_CLASSES = ("1A", "2A", "3A", "1B", "2B", "3B")

_COLUMNS = ("major_max", "major_min", "pitch_max", "pitch_min", "minor_max", "minor_min", "unr_minor_max")


def limit_arrays(tolerance_class: str) -> tuple[Standard, dict[str, FloatArray]]:
    """The standard threads that a class is tabulated for, and their limits in the unit of the system.

    For a metric class: those whose pitch and diameter the tables of ISO 965-1 fill for its grades and
    position. For class 1: UNC and UNF from 1/4 in, and 1-14 UNS. Missing limits are missing keys.
    """
    if tolerance_class in UNIFIED_CLASSES:
        every, per = standard(UNIFIED), 10_000
        kept, tabulated, found = unified_limits(tolerance_class)
        # The flat-root minor diameter of a screw is a reference size that the tables do not print.
        hidden = "minor_max" if tolerance_class.endswith("A") else ""
    else:
        every, per, hidden = standard(ISO), 1000, ""
        kept, tabulated, found = metric_limits(*_of_class(tolerance_class))
    if not tabulated.all():
        found = {key: column[tabulated] for key, column in found.items()}
        kept = kept.copy()
        kept[kept] = tabulated
    every = every if kept.all() else every.where(kept)
    return every, {key: found[key] / per for key in _COLUMNS if key in found and key != hidden}


def limits_frame(tolerance_class: str | None = None) -> Any:
    """A DataFrame of limits of size: of one class, or of every usual class of both systems.

    tolerance_class: "6g", "5H6H", "2B" ...; left out, all. Columns: system, size, nominal, pitch, tpi, series, class
    and the limits, each in the unit of its system, mm or in (column `unit`); NaN where the standard prints none. Raises
    `InputError` for a class that is none. By ISO 965-1:1998 and ASME B1.1-1989.

    >>> frame = limits_frame("6g")
    >>> frame[(frame["size"] == "M6") & (frame["pitch"] == 1.0)]["pitch_max"].tolist()
    [5.324]
    """
    import pandas as pd

    every = (*METRIC_CLASSES, *UNIFIED_CLASSES)
    names = every if tolerance_class is None else (text_of("tolerance_class", tolerance_class),)
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
    """A DataFrame of the standard series of one system or both, with their basic pitch and minor diameters.

    system: "ISO metric" or "Unified"; left out, both. Each in the unit of its system, mm or in (column `unit`). Raises
    `InputError` for any other. By ISO 261 and ASME B1.1.

    >>> frame = series_frame("Unified")
    >>> frame[(frame["size"] == "1/4") & (frame["tpi"] == 20)]["pitch_diameter"].round(4).tolist()
    [0.2175]
    """
    import pandas as pd

    parts = []
    for name in (ISO, UNIFIED) if system is None else (text_of("system", system),):
        threads = standard(name)
        H = TRIANGLE * threads.pitch
        columns = {
            **threads._asdict(),
            "pitch_diameter": threads.nominal - 0.75 * H,
            "minor_diameter": threads.nominal - 1.25 * H,
        }
        start = {"system": name, "unit": "mm" if name == ISO else "in"}
        parts.append(pd.DataFrame({**{k: [v] * len(H) for k, v in start.items()}, **columns}))
    return pd.concat(parts, ignore_index=True)


def _of_class(name: str) -> tuple[tuple[int, int], str]:
    found = read_metric_class(name) if isinstance(name, str) else "is no text: one such as '6g' or '2A' is accepted"
    if isinstance(found, str):
        raise InputError(f"tolerance class {brief(name)} {found}; Unified classes are {', '.join(UNIFIED_CLASSES)}")
    return found.grades, found.letter
