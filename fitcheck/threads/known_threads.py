"""Every thread that a reading may belong to, as arrays: standard, special and old, with how often each turns up."""

from __future__ import annotations

import itertools
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from fitcheck.threads import asme_b1_1, iso965
from fitcheck.threads.catalogue import limit_arrays
from fitcheck.threads.old_threads import OldThread, old_threads
from fitcheck.threads.profile import ADDENDUM
from fitcheck.threads.resolve import thread
from fitcheck.threads.series import ISO, UNIFIED, metric_sizes, standard, unified_arrays, unified_diameters
from fitcheck.threads.thread import Thread
from fitcheck.units import FloatArray

# How often a thread of a series turns up, before anything is measured (common practice, no source). The constant-pitch
# series and the fine metric one are what tubes are cut with, so they stay within reach of the coarse ones. The order is
# that in which equally probable ones are named.
COMMON = {
    "coarse": 3.0, "UNC": 3.0, "UNF": 2.0, "fine": 2.0, "UNEF": 1.0, "UN": 1.0, "UNS": 0.1, "special": 0.1,
    "G": 0.3, "BSW": 0.1, "BSF": 0.1, "BA": 0.1, "brass": 0.1,
}  # fmt: skip
# Where the crest of an old thread lies: below the basic diameter, or above the basic bore, by up to so many pitches.
# That is the width of ISO 965-1 grade 6 at 1 mm, taken because no limits are held (common practice, no source).
_CREST, _BORE = 0.18, 0.236
_SPECIAL_FROM, _SPECIAL_UPTO = 2, 200  # mm, whole: diameters that specials are cut to
_SPECIAL_TPI = (10, 11, 12, 14, 16, 18, 20, 24, 27, 28, 32, 36, 40, 48, 56)


class Known(NamedTuple):
    """Threads of one gender. name: what `of` reads again. low, high: limits of the crest (a screw's major diameter, a
    nut's minor one), mm. pitch: mm. weight: how often one turns up. rank: its place among equally probable ones.
    """

    name: NDArray[np.str_]
    low: FloatArray
    high: FloatArray
    pitch: FloatArray
    weight: FloatArray
    rank: NDArray[np.intp]


@lru_cache(maxsize=2)
def known(external: bool) -> Known:
    """Every standard, special and old thread as a screw (6g up to 6h at 1.4 mm, 2A) or as a nut (6H, 5H, 2B)."""
    parts = [_standard(cls) for cls in (("6h", "6g", "2A") if external else ("5H", "6H", "2B"))]
    parts += [_metric_specials(external), _inch_specials(external), _old(external)]
    return Known(*(np.concatenate(columns) for columns in zip(*parts, strict=True)))


@lru_cache(maxsize=512)
def of(name: str, external: bool) -> Thread | OldThread:
    """The thread that goes by a name of `known`."""
    return next((old for old in old_threads(external) if old.designation == name), None) or thread(name)


def _known(names: list[str], low: FloatArray, high: FloatArray, pitch: FloatArray, series: list[str]) -> Known:
    order = list(COMMON)
    return Known(
        np.array(names, dtype=object), low, high, pitch, np.array([COMMON[one] for one in series]),
        np.array([order.index(one) for one in series], dtype=np.intp),
    )  # fmt: skip


def _standard(cls: str) -> Known:
    every, limits = limit_arrays(cls)
    metric = cls not in ("2A", "2B")
    if metric:
        # The defaults of ISO 965-1 part at 1.4 mm, so that no thread counts twice.
        here = (every.nominal <= 1.4) == (cls in ("6h", "5H"))
        every, limits = every.where(here), {key: column[here] for key, column in limits.items()}
    scale = 1.0 if metric else 25.4
    key = "major" if cls in ("6h", "6g", "2A") else "minor"
    if metric:
        names = [f"{size}x{P:g}-{cls}" for size, P in zip(every.size, every.pitch, strict=True)]
    else:
        names = [f"{size}-{n:g} {of}-{cls}" for size, n, of in zip(every.size, every.tpi, every.series, strict=True)]
    low, high = scale * limits[f"{key}_min"], scale * limits[f"{key}_max"]
    return _known(names, low, high, scale * every.pitch, list(every.series))


def _metric_specials(external: bool) -> Known:
    """Whole millimetres with the pitches of ISO 261, where the standard does not combine the two.

    No pitch is coarser than the coarse series has for its size, and none so fine that its tolerance eats the thread.
    """
    of_a_coarse = [one for one in metric_sizes().values() if one.coarse is not None]
    at, coarse = np.array([one.diameter for one in of_a_coarse]), np.array([one.coarse for one in of_a_coarse], float)
    pitches = sorted({float(P) for P in standard(ISO).pitch})
    listed = {(one.diameter, P) for one in metric_sizes().values() for P in one.pitches}
    pairs = [
        (float(d), P)
        for d, P in itertools.product(range(_SPECIAL_FROM, _SPECIAL_UPTO + 1), pitches)
        if (d, P) not in listed and float(np.interp(float(d), at, coarse)) >= P
    ]
    d, P = (np.array(column) for column in zip(*pairs, strict=True))
    limits = (iso965.external_limits if external else iso965.internal_limits)(d, P, (6, 6), "g" if external else "H")
    cls, key = ("6g", "major") if external else ("6H", "minor")
    kept = limits["pitch_max"] - limits["pitch_min"] < 1000 * ADDENDUM * P
    names = [f"M{one:g}x{pitch:g}-{cls} special" for one, pitch in zip(d[kept], P[kept], strict=True)]
    low, high = limits[f"{key}_min"][kept] / 1000, limits[f"{key}_max"][kept] / 1000
    return _known(names, low, high, P[kept], ["special"] * len(names))


def _inch_specials(external: bool) -> Known:
    """Diameters of the Unified series with the usual numbers of threads, where the standard does not combine the two.

    None is coarser than its size has in the series, and none so fine that its tolerance eats the thread.
    """
    every = standard(UNIFIED)
    listed = set(zip(every.nominal.tolist(), every.tpi.tolist(), strict=True))
    coarsest = {D: min(n for d, n in listed if d == D) for D, _ in listed}
    of_a_series = {round(10_000 * d) for d, of in zip(every.nominal, every.series, strict=True) if of != "UNS"}
    sizes = {D: size for D, size in unified_diameters().items() if D in of_a_series}
    pairs = [
        (D / 10_000, float(n))
        for D, n in itertools.product(sizes, _SPECIAL_TPI)
        if (D / 10_000, float(n)) not in listed and n > coarsest[D / 10_000]
    ]
    D, n = (np.array(column) for column in zip(*pairs, strict=True))
    find = asme_b1_1.external_limits if external else asme_b1_1.internal_limits
    cls, key = ("2A", "major") if external else ("2B", "minor")
    limits = find(unified_arrays(D, n, ["UNS"] * len(D)), cls)
    kept = limits["pitch_max"] - limits["pitch_min"] < 10_000 * ADDENDUM / n
    # A whole number of inches is written 2.0, since 2-48 may be #2-48.
    written = {D: f"{size}.0" if size.isdigit() else size for D, size in sizes.items()}
    names = [f"{written[round(10_000 * d)]}-{t:g} UNS-{cls}" for d, t in zip(D[kept], n[kept], strict=True)]
    low, high = (25.4 * limits[f"{key}_{end}"][kept] / 10_000 for end in ("min", "max"))
    return _known(names, low, high, 25.4 / n[kept], ["UNS"] * len(names))


def _old(external: bool) -> Known:
    every = old_threads(external)
    pitch = np.array([one.pitch for one in every])
    if external:
        high = np.array([one.nominal for one in every])
        low = high - _CREST * pitch
    else:
        low = np.array([one.minor for one in every])
        high = low + _BORE * pitch
    return _known([one.designation for one in every], low, high, pitch, [one.series for one in every])
