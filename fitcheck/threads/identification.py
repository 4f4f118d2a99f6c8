"""Which thread is this? From a diameter and a pitch, each with its uncertainty, in all systems at once.

Bayes' rule with odds by how common a series is: the true diameter of a candidate is uniform between its limits of size
(6g and 2A, or 6H and 2B), the true pitch is its nominal pitch, and the readings have normal errors. A share is kept for
threads that are on no list, so that no probability says more than the lists can.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from fitcheck import units
from fitcheck.basis import Basis
from fitcheck.errors import InputError, brief, not_negative, positive
from fitcheck.keywords import keywords_named
from fitcheck.later import special
from fitcheck.notation import dim, dim_beside, unit_said
from fitcheck.shown import Shown
from fitcheck.threads.known_threads import Known, known, of
from fitcheck.threads.old_threads import OldThread
from fitcheck.threads.thread import Thread, aligned
from fitcheck.units import FloatArray

if TYPE_CHECKING:
    import pandas

# What a bench reaches with ordinary care, U in mm with k = 2 (common practice, no source).
_CALIPER, _WIRES = 0.03, 0.01
# Threads on no list that turn up on a millimetre of diameter, in the weights of `COMMON`: about one in twenty of all at
# the sizes of tubes. Half of them have a pitch that is on a list, half any pitch within a factor of ten (common
# practice, no source).
_UNLISTED, _PITCH_RATIO = 0.3, 10.0
_LEAST = 0.0005  # of the probability: less prints as 0.0 %
_SPAN = 10  # pitches that a rule or caliper is laid over


@dataclass(frozen=True, slots=True, repr=False)
class Candidate(Shown):
    """A thread that may have given the readings. thread: which, an `OldThread` where it is of an old series.
    probability: its share among all of them and the threads on no list, 0 to 1.
    """

    thread: Thread | OldThread
    probability: float


@dataclass(frozen=True, slots=True)
class Identified(Shown):
    """What the readings may be. candidates: the most probable first. none_of_these: probability, 0 to 1, that the
    thread is on no list. next_measurement: a sentence on the measurement that would tell the first two apart.
    """

    candidates: tuple[Candidate, ...]
    none_of_these: float
    next_measurement: str

    @property
    def best(self) -> Thread | OldThread:
        """The most probable thread."""
        return self.candidates[0].thread

    def frame(self) -> pandas.DataFrame:
        """The candidates as a pandas DataFrame: designation, standard, and probability as a fraction.

        The last row is that of a thread on no list.
        """
        import pandas as pd

        rows = [(one.thread.designation, one.thread.standard, one.probability) for one in self.candidates]
        rows.append(("a thread on no list", "", self.none_of_these))
        return pd.DataFrame(rows, columns=["thread", "standard", "probability"])

    def __str__(self) -> str:
        rows = [("thread", "probability")]
        rows += [(one.thread.designation, _share(one.probability)) for one in self.candidates]
        rows += [("a thread on no list", _share(self.none_of_these))]
        said = [self.next_measurement]
        old = {one.thread.standard: one.thread for one in self.candidates if isinstance(one.thread, OldThread)}
        if old:
            names = ", ".join(f"{standard} ({one.angle:g}°)" for standard, one in old.items())
            said += [
                f"Of {names} diameters and pitches are known from memory, to tell them apart; no limits are given."
            ]
        return "\n  ".join([aligned(rows), *said])

    __repr__ = __str__


def _share(probability: float) -> str:
    """A probability in percent that prints as neither none nor all."""
    return "> 99.9%" if probability >= 0.9995 else "< 0.1%" if probability < 0.0005 else f"{probability:.1%}"


@keywords_named
def identify(
    *,
    outside: str | float | None = None,
    bore: str | float | None = None,
    pitch: str | float | None = None,
    tpi: float | None = None,
    U: str | float | None = None,
    U_pitch: str | float | None = None,
    wear: str | float = 0.0,
    most: int = 5,
) -> Identified:
    """The threads that a measured diameter and pitch may belong to, ranked by Bayes' rule, no source for its weights.

    outside: outside diameter of a screw, mm. bore: inside diameter of a nut, mm; one of the two. pitch: mm. tpi:
    number of threads per inch, in place of the pitch. A reading may be a note of what was measured, "31.8 measured ±
    0.02", and then has its uncertainty with it. U, U_pitch: expanded uncertainties (k = 2) of diameter and pitch, mm,
    where the reading is a plain number; a caliper's 0.03, and for the pitch a caliper over ten threads. wear: how much
    a screw's crest may have worn off the diameter (or a bore's onto it), mm. most: whole number, how many candidates
    to name. Texts with units are accepted, and fractions of an inch ("1 7/16 in"); beside a reading in inches each of
    them names its unit, and the answer is in inches.

    Besides the standard series of ISO 261 and ASME B1.1 the candidates are specials (whole millimetres with a pitch of
    ISO 261, Unified diameters with a usual number of threads) and, to be told apart only, old series of 55° and 47.5°
    (tables/old_threads.csv, from memory), for which no limits are given.

    `probability` says how the candidates share what the readings allow. Before anything is measured a thread of the
    series coarse or UNC has the weight 3, fine or UNF 2, UN or UNEF 1, G 0.3, a special and the other old ones 0.1, and
    all threads on no list 0.3 a millimetre of diameter: common practice, no source. A candidate of less than 0.05 % is
    left out; readings that fit no known thread within 6 standard uncertainties raise `InputError`, and so do both or
    neither of outside and bore.

    >>> print(identify(outside=5.9, pitch=1.0).best)
    M6x1-6g
    >>> print(identify(outside="31.8 measured ± 0.02", pitch=1.0).best)
    M32x1-6g special
    """
    if (outside is None) == (bore is None):
        raise InputError("identify: give outside= of a screw or bore= of a nut, one of the two")
    external = outside is not None
    across = "outside" if external else "bore"
    unit = _shown_in({across: outside if external else bore, "pitch": pitch, "wear": wear, "U": U, "U_pitch": U_pitch})
    size, U_size = _reading(outside if external else bore, across, U, "U", _CALIPER)
    gone = not_negative("wear", units.read(wear, units.LENGTH, "wear"), "mm")
    if isinstance(most, bool) or not isinstance(most, int) or most < 1:
        raise InputError(f"most = {brief(most)}: a whole number from 1 up is needed")
    if pitch is not None and tpi is not None:
        raise InputError("identify: give pitch= or tpi=, not both")
    P, U_P = _reading(pitch, "pitch", U_pitch, "U_pitch", _CALIPER / _SPAN)
    if tpi is not None:
        P = 25.4 / positive("tpi", tpi, one=True)
    every = known(external)
    weights, unlisted = _likelihoods(every, size, U_size / 2, P, U_P / 2, gone, external)
    found = np.flatnonzero(weights)
    total = math.fsum([*weights[found], unlisted])
    if not found.size:
        raise InputError(_nothing(every, size, across, P, gone, external, unit))
    order = sorted(found, key=lambda k: (-weights[k], every.rank[k], every.name[k]))[:most]
    kept = tuple(
        Candidate(of(str(every.name[k]), external), float(weights[k]) / total)
        for k in order
        if weights[k] / total >= _LEAST
    )
    if not kept:
        raise InputError(_nothing(every, size, across, P, gone, external, unit))
    return Identified(kept, unlisted / total, _next(kept, external, U_size, unit))


def _shown_in(given: Mapping[str, Any]) -> units.Unit:
    """The unit of what was measured, which answers are in; beside inches each length has to name its unit."""
    said = {key: unit_said(x, units.LENGTH, key) for key, x in given.items() if x is not None}
    unit = next((one for one in said.values() if one is not None and one.inch), None)
    for key, one in said.items():
        if unit is not None and one is None:
            dim_beside(given[key], unit, name=key, what="a reading")
    return unit or units.MM


def _reading(value: Any, name: str, U: Any, U_name: str, usual: float) -> tuple[Any, float]:
    """A size in mm and its expanded uncertainty: of a number, a text, a fraction of an inch, or a note of a reading."""
    stated = None if U is None else positive(U_name, units.read(U, units.LENGTH, U_name), "mm")
    if value is None:
        return None, usual if stated is None else float(stated)
    if isinstance(value, str):
        try:
            read = units.read(value, units.LENGTH, name)
        except InputError:
            note = dim(value, name=name, kind=units.LENGTH)
            read = note.middle
            if note.lower < note.upper:
                if note.basis is not Basis.MEASURED:
                    raise InputError(
                        f"{name} = {brief(value)}: a size without tolerance is needed, and {U_name}= is its "
                        f"uncertainty; or a measurement such as '31.8 measured ± 0.02 mm'"
                    ) from None
                if stated is not None:
                    raise InputError(
                        f"{name} = {brief(value)}: it states its uncertainty; leave out {U_name} = {brief(U)}"
                    ) from None
                stated = note.half_width
    else:
        read = units.read(value, units.LENGTH, name)
    return float(positive(name, read, "mm")), usual if stated is None else float(stated)


def _likelihoods(
    every: Known, y: float, u: float, P: float | None, u_P: float, wear: float, external: bool
) -> tuple[FloatArray, float]:
    """The likelihood of each known thread times how common it is, 0 out of reach; and that of threads on no list."""
    low, high = (every.low - wear, every.high) if external else (every.low, every.high + wear)
    likelihood = every.weight * (special.ndtr((high - y) / u) - special.ndtr((low - y) / u)) / (high - low)
    near = (y > low - 6 * u) & (y < high + 6 * u)
    unlisted = _UNLISTED
    if P is not None:
        z = (P - every.pitch) / u_P
        near &= np.abs(z) < 6
        likelihood = likelihood * np.exp(-(z**2) / 2)
        pitches = np.unique(np.round(every.pitch, 6))
        usual = float(np.mean(np.exp(-(((P - pitches) / u_P) ** 2) / 2)))
        unlisted *= (usual + math.sqrt(2 * math.pi) * u_P / P / math.log(_PITCH_RATIO)) / 2
    return np.where(near, likelihood, 0.0), unlisted


def _nothing(
    every: Known, y: float, across: str, P: float | None, wear: float, external: bool, unit: units.Unit
) -> str:
    """What is said where nothing is in reach: the nearest thread of that pitch, and the wear that would explain it."""

    def show(size: float, digits: str = "g") -> str:
        return f"{unit.from_base(size):{digits}} {unit.text}"

    what = f"{across} {show(y)}" + ("" if P is None else f", pitch {show(P, '.4g')}")
    said = f"identify: no thread that is known has {what} within the stated uncertainty"
    if P is None:
        return f"{said}: a larger U or wear?"
    apart = np.abs(every.pitch - P)
    same = np.flatnonzero(apart <= apart.min() + 1e-9)
    if apart.min() > 0.02 * P:
        return f"{said}: the nearest pitch of any is {show(every.pitch[same[0]], '.4g')}; a larger U_pitch?"
    k = same[np.argmin(np.maximum(every.low[same] - y, y - every.high[same]))]
    # What wear may explain: a screw's crest that lies below its limit, a bore's above.
    gap = every.low[k] - y if external else y - every.high[k]
    places = _places(unit)
    if not wear < gap <= every.pitch[k] / 2:
        ends = f"{unit.rounded(every.low[k], places):.{places}f} to {unit.show(every.high[k], places)}"
        return f"{said}: the nearest, {every.name[k]}, has {ends} there"
    return (
        f"{said}: a larger U or wear? With wear of {unit.up(gap)} it may be {every.name[k]}; "
        f"else it is a thread of its own"
    )


def _places(unit: units.Unit) -> int:
    """Decimals of a thread's sizes: one more than customary."""
    return unit.decimals + 1


def _next(kept: tuple[Candidate, ...], external: bool, U: float, unit: units.Unit) -> str:
    """The measurement whose difference between the first two is largest in terms of what the bench reaches."""
    if len(kept) < 2:
        return f"Of the threads that are known only {kept[0].thread} is left."
    a, b = kept[0].thread, kept[1].thread
    crest = "outside diameter" if external else "bore"
    difference = abs(a.pitch - b.pitch)
    if difference * _SPAN < _CALIPER and _angle(a) != _angle(b):
        template = f"a template of {_angle(a):g}° and one of {_angle(b):g}°"
        return f"Next, hold {template} to the flanks: that tells {a} from {b}, which are of one pitch."
    # As few pitches as leave a caliper's uncertainty half of what would do: a worn end may have no more.
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
    places = _places(unit)
    usual = f"{unit.from_base(reach):.2g} {unit.text}"
    enough = "" if reach <= apart / 2 else f", finer than the {usual} usual at a bench"
    return (
        f"Next, measure {name}: {unit.show(here, places)} for {a}, {unit.show(there, places)} for {b}; "
        f"U of at most {unit.down(apart / 2, places)} tells them apart{enough}."
    )


def _angle(one: Thread | OldThread) -> float:
    """Between the flanks, degrees."""
    return one.angle if isinstance(one, OldThread) else 60.0


def _middle(one: Thread | OldThread) -> float:
    """Where the crest lies, mm: half way between its limits, or the basic size where none are held."""
    if isinstance(one, OldThread):
        return one.nominal if one.external else one.minor
    size = one.limits().major if one.external else one.limits().minor
    assert size.max is not None
    assert size.min is not None
    return (size.max + size.min) / 2
