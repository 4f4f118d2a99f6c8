"""Which standard thread is this? From a diameter and a pitch, each with its uncertainty, in both systems at once.

Bayes' rule with odds by how common a series is: the true diameter of a candidate is uniform between its limits of size
(6g and 2A, or 6H and 2B), the true pitch is its nominal pitch, and the readings have normal errors.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from fitcheck import units
from fitcheck.errors import InputError, brief, not_negative, positive
from fitcheck.later import special
from fitcheck.notation import dim
from fitcheck.threads.catalogue import limit_arrays
from fitcheck.threads.resolve import thread
from fitcheck.threads.thread import Thread, aligned

# What a bench reaches with ordinary care, U in mm with k = 2 (common practice, no source).
_CALIPER, _WIRES = 0.03, 0.01
# How often a thread of a series turns up, before anything is measured (common practice, no source). The constant-pitch
# series and the fine metric one are what tubes are cut with, so they stay within reach of the coarse ones.
_COMMON = {"coarse": 3.0, "UNC": 3.0, "fine": 2.0, "UNF": 2.0, "UN": 1.0, "UNEF": 1.0, "UNS": 0.1}
_LEAST = 0.0005  # of the probability: less prints as 0.0 %
_SPAN = 10  # pitches that a rule or caliper is laid over


@dataclass(frozen=True, slots=True)
class Candidate:
    """A standard thread that may have given the readings. thread: which. probability: its share among all of them, 0
    to 1.
    """

    thread: Thread
    probability: float


@dataclass(frozen=True, slots=True)
class Identified:
    """What the readings may be. candidates: the most probable first. next_measurement: a sentence on the measurement
    that would tell the first two apart.
    """

    candidates: tuple[Candidate, ...]
    next_measurement: str

    @property
    def best(self) -> Thread:
        """The most probable thread."""
        return self.candidates[0].thread

    def __str__(self) -> str:
        rows = [("thread", "probability")]
        rows += [(one.thread.designation, f"{one.probability:.1%}") for one in self.candidates]
        return f"{aligned(rows)}\n  {self.next_measurement}"

    __repr__ = __str__


def identify(
    *,
    outside: str | float | None = None,
    bore: str | float | None = None,
    pitch: str | float | None = None,
    tpi: float | None = None,
    U: str | float = _CALIPER,
    U_pitch: str | float | None = None,
    wear: str | float = 0.0,
    most: int = 5,
) -> Identified:
    """The standard threads that a measured diameter and pitch may belong to, ranked by Bayes' rule, no source for its
    weights.

    outside: outside diameter of a screw, mm. bore: inside diameter of a nut, mm; one of the two. pitch: mm. tpi:
    number of threads per inch, in place of the pitch. U, U_pitch: expanded uncertainties (k = 2) of diameter and
    pitch, mm; the pitch defaults to a caliper over ten threads. wear: how much a screw's crest may have worn off the
    diameter (or a bore's onto it), mm. most: whole number, how many candidates to name. Texts with units are accepted,
    and fractions of an inch ("1 7/16 in").

    `probability` says how the candidates share what the readings allow. Before anything is measured a thread of the
    series coarse or UNC has the weight 3, fine or UNF 2, UN or UNEF 1 and UNS (specials) 0.1: common practice, no
    source. A candidate of less than 0.05 % is left out; readings that fit no standard thread within 6 standard
    uncertainties raise `InputError`, and so do both or neither of outside and bore.

    >>> print(identify(outside=5.9, pitch=1.0).best)
    M6x1-6g
    """
    if (outside is None) == (bore is None):
        raise InputError("identify: give outside= of a screw or bore= of a nut, one of the two")
    external = outside is not None
    across = "outside" if external else "bore"
    y = float(positive(across, _size(outside if external else bore, across), "mm"))
    u = positive("U", units.read(U, units.LENGTH, "U"), "mm") / 2
    gone = not_negative("wear", units.read(wear, units.LENGTH, "wear"), "mm")
    if isinstance(most, bool) or not isinstance(most, int) or most < 1:
        raise InputError(f"most = {brief(most)}: a whole number from 1 up is needed")
    if pitch is not None and tpi is not None:
        raise InputError("identify: give pitch= or tpi=, not both")
    P = None if pitch is None else positive("pitch", units.read(pitch, units.LENGTH, "pitch"), "mm")
    if tpi is not None:
        P = 25.4 / positive("tpi", tpi, one=True)
    U_P = _CALIPER / _SPAN if U_pitch is None else positive("U_pitch", units.read(U_pitch, units.LENGTH, "U_pitch"))
    names: list[str] = []
    weights: list[float] = []
    for cls in ("6h", "6g", "2A") if external else ("5H", "6H", "2B"):
        found = _likelihoods(cls, y, u, P, U_P / 2, gone, external)
        names += found[0]
        weights += list(found[1])
    total = math.fsum(weights)
    if total <= 0 or not names:
        what = f"{across} {y:g} mm" + ("" if P is None else f", pitch {P:.4g} mm")
        raise InputError(f"identify: no standard thread has {what} within the stated uncertainty: a larger U or wear?")
    order = sorted(zip(weights, names, strict=True), key=lambda pair: (-pair[0], _rarity(pair[1]), pair[1]))[:most]
    kept = tuple(Candidate(thread(name), weight / total) for weight, name in order if weight / total >= _LEAST)
    return Identified(kept, _next(kept, external, 2 * u))


def _size(value: Any, name: str) -> float:
    """A diameter in mm; a fraction of an inch as the notes of drawings have it."""
    if not isinstance(value, str) or "/" not in value:
        return units.read(value, units.LENGTH, name)
    read = dim(value, name=name, kind=units.LENGTH)
    if read.lower < read.upper:
        raise InputError(f"{name} = {value!r}: a size without tolerance is needed; U= is its uncertainty")
    return read.nominal


def _likelihoods(
    cls: str, y: float, u: float, P: float | None, u_P: float, wear: float, external: bool
) -> tuple[list[str], list[float]]:
    """Names of the threads of one class, and their likelihoods times how common their series is."""
    every, limits = limit_arrays(cls)
    metric = cls not in ("2A", "2B")
    scale = 1.0 if metric else 25.4
    key = "major" if external else "minor"
    low, high = scale * limits[f"{key}_min"], scale * limits[f"{key}_max"]
    low, high = (low - wear, high) if external else (low, high + wear)
    likelihood = (special.ndtr((high - y) / u) - special.ndtr((low - y) / u)) / (high - low)
    likelihood = likelihood * np.array([_COMMON[str(series)] for series in every.series])
    near = (y > low - 6 * u) & (y < high + 6 * u)
    if metric:
        # The defaults of ISO 965-1 part at 1.4 mm, so that no thread counts twice.
        near &= (every.nominal <= 1.4) == (cls in ("6h", "5H"))
    if P is not None:
        z = (P - scale * every.pitch) / u_P
        near &= np.abs(z) < 6
        likelihood = likelihood * np.exp(-(z**2) / 2)
    chosen = np.flatnonzero(near)
    if metric:
        return [f"{every.size[k]}x{every.pitch[k]:g}-{cls}" for k in chosen], [float(likelihood[k]) for k in chosen]
    return (
        [f"{every.size[k]}-{every.tpi[k]:g} {every.series[k]}-{cls}" for k in chosen],
        [float(likelihood[k]) for k in chosen],
    )


def _rarity(name: str) -> int:
    """Of equally probable threads the coarse and the fine series are named first."""
    series = thread(name).series
    return ("coarse", "UNC", "UNF", "fine", "UNEF", "UN", "UNS").index(series)


def _next(kept: tuple[Candidate, ...], external: bool, U: float) -> str:
    """The measurement whose difference between the first two is largest in terms of what the bench reaches."""
    if len(kept) < 2:
        return f"Only {kept[0].thread} is left."
    a, b = kept[0].thread, kept[1].thread
    crest = "outside diameter" if external else "bore"
    # As few pitches as leave a caliper's uncertainty half of what would do: a worn end may have no more.
    difference = abs(a.pitch - b.pitch)
    span = _SPAN if difference == 0 else min(max(math.ceil(4 * _CALIPER / difference), 2), _SPAN)
    choices = [
        (f"the length of {span} pitches, or more", span * a.pitch, span * b.pitch, _CALIPER),
        (f"the {crest}", _middle(a), _middle(b), min(U, _WIRES)),
    ]
    if external:
        choices.append(("the pitch diameter over wires", a.pitch_diameter, b.pitch_diameter, _WIRES))
    # Of readings that part them well enough the first will do; else the one that does it best.
    name, here, there, reach = max(choices, key=lambda one: min(abs(one[1] - one[2]) / one[3], 4.0))
    apart = abs(here - there)
    if apart < 1e-6:
        return f"No diameter or pitch tells {a} from {b}."
    enough = "" if reach <= apart / 2 else f", finer than the {reach:g} mm usual at a bench"
    return (
        f"Next, measure {name}: {here:.3f} mm for {a}, {there:.3f} mm for {b}; "
        f"U of at most {apart / 2:.3f} mm tells them apart{enough}."
    )


def _middle(one: Thread) -> float:
    size = one.limits().major if one.external else one.limits().minor
    assert size.max is not None
    assert size.min is not None
    return (size.max + size.min) / 2
