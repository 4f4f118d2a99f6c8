"""A screw in a nut: clearances, overlap, and whether and how far they go together, of one system or of two."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import NamedTuple, Protocol

from fitcheck.basis import Basis
from fitcheck.errors import InputError, brief, one_of
from fitcheck.printed import Says, printed, span
from fitcheck.shown import Shown
from fitcheck.stack import Interval, Linear, Sum
from fitcheck.stack.dimension import combine
from fitcheck.stack.ends import InUnit
from fitcheck.threads import profile
from fitcheck.threads.designation import read_designation
from fitcheck.threads.resolve import resolve, thread
from fitcheck.threads.thread import DIAMETERS, Limits, Size, Thread, aligned, length
from fitcheck.units import Unit
from fitcheck.units import unit as unit_of


class HasSizes(Protocol):
    """What a pair needs to know of a thread: standard limits, coated, or worn and measured ones alike."""

    @property
    def thread(self) -> Thread: ...
    @property
    def major(self) -> Size: ...
    @property
    def pitch(self) -> Size: ...
    @property
    def minor(self) -> Size: ...
    def dimension(self, which: str) -> Linear:
        """One of its diameters as part of a stack."""
        ...


class _OpenEnds(NamedTuple):
    min: float | None
    max: float | None


class Gap(InUnit, _OpenEnds):
    """Two ends of a range. min, max: least and greatest value, mm (of a percentage or turns: without unit); None where
    the standards leave it open.
    """

    @property
    def said(self) -> str:
        """Its ends in the unit that it is shown in, rounded outwards: "0.001 to 0.010 in", "at least 0.001 in"."""
        if self.unit is None:
            return ""
        if self.min is not None and self.max is not None:
            return span(self.min, self.max, self.unit, self._places)
        ends = [(Says.LEAST_FOUND, "at least", self.min), (Says.MOST_FOUND, "at most", self.max)]
        known = [f"{word} {printed(says, x, self.unit)}" for says, word, x in ends if x is not None]
        return known[0] if known else "open"


def axial_play(clearance: float, P: float, P_nut: float) -> float:
    """How far a screw can move along in a nut, flank to flank, on one ridge: c tan 30° + (P_nut - P) / 2.

    c: clearance on the pitch diameter, D2 - d2. At its own pitch diameter a ridge of the screw is P / 2 wide and a
    groove of the nut P_nut / 2; at the nut's the ridge is c tan 30° narrower. Negative if a ridge is too wide for a
    groove. Lengths in one unit. Geometry of 60° flanks; tests/properties/test_thread_polygons.py lays them together.
    """
    return clearance * math.tan(profile.HALF_ANGLE) + (P_nut - P) / 2


def turns_to_bind(play: float, lead: float, other_lead: float) -> float:
    """Turns of engagement after which the difference in lead has used up the axial play; inf for equal leads.

    N = play / |l1 - l2|: over N turns ridge and groove drift apart by N |l1 - l2|, and shifted to the best place the
    first ridge rests on one flank and the last on the other. Zero without play. Rigid threads of true form; lengths in
    one unit. For equal pitches it is the functional diameter of a pitch error (1.732 δP, Machinery's Handbook).
    """
    if play <= 0:
        return 0.0
    difference = abs(lead - other_lead)
    return play / difference if difference > 1e-9 else math.inf


@dataclass(frozen=True, slots=True)
class Pair(Shown):
    """`external` in `internal`, each a thread with its sizes; lengths are in mm."""

    external: HasSizes
    internal: HasSizes

    def __post_init__(self) -> None:
        a, b = self.external.thread, self.internal.thread
        for one, wanted in ((a, True), (b, False)):
            if one.external is not wanted:
                kinds = {True: "external", False: "internal"}
                raise InputError(
                    f"pair: {one} is {kinds[one.external]}: one external and one internal thread are needed"
                )
        if a.left_hand is not b.left_hand:
            left, right = (a, b) if a.left_hand else (b, a)
            raise InputError(f"pair: {left} is left-hand and {right} right-hand: both must be of one hand")

    @property
    def designation(self) -> str:
        """Both threads in one text, as ISO 965-1 writes it, if they differ in class only."""
        a, b = self.external.thread, self.internal.thread
        one, other = a.designation, b.designation
        if other.replace(b.tolerance_class, a.tolerance_class) == one:
            return one.replace(a.tolerance_class, f"{b.tolerance_class}/{a.tolerance_class}")
        return f"{one} in {other}"

    def clearance(self, which: str) -> Gap:
        """Clearance on one diameter, mm; negative where the two overlap in metal.

        which: "major", "pitch" or "minor"; `InputError` for any other. The standards set no largest major diameter of
        a nut, so the largest clearance there is open.
        """
        one_of("diameter", which, DIAMETERS)
        screw, nut = getattr(self.external, which), getattr(self.internal, which)
        return Gap(_minus(nut.min, screw.max), _minus(nut.max, screw.min)).with_unit(self._unit)

    @property
    def rounding(self) -> float:
        """By how much two minor diameters that touch may seem to overlap, mm, as both are rounded in print.

        The flat root of a Unified screw without allowance and the least bore of its nut are both the basic minor
        diameter, and ASME B1.1 prints the one to 0.0001 in, the other to 0.001 in. 0 for metric threads, and where a
        minor diameter is not that of the standard: coated, worn or measured.

        >>> from fitcheck.threads import worn
        >>> pair(worn("#8-32 UNC-3A"), "#8-32 UNC-2B").meets("minor")
        False
        """
        halves = [(half.minor, _printed(half)) for half in (self.external, self.internal)]
        return math.fsum(by.minor_rounding for _, by in halves) if all(own == by.minor for own, by in halves) else 0.0

    def meets(self, which: str) -> bool:
        """Whether the two can overlap in metal on one diameter, by more than the rounding of what is printed.

        which: "major", "pitch" or "minor"; `InputError` for any other.

        >>> pair("#8-32 UNC-2B/3A").meets("minor")
        False
        """
        least = self.clearance(which).min
        return least is not None and least < -(1e-9 + (self.rounding if which == "minor" else 0.0))

    def clearance_sum(self, which: str = "pitch") -> Sum:
        """The clearance on one diameter as a sum of dimensions, mm, to be added and asked for a probability.

        which: "major", "pitch" or "minor"; `InputError` for any other, and where a diameter has one limit only. Each
        call makes parts of its own: keep the sum to use one pair twice.

        >>> gap = pair("M6-6H/6g").clearance_sum()
        >>> gap
        <sum of 2: 0.16 mm, worst case 0.02 mm to 0.29 mm; all spreads assumed uniform>
        >>> f"{gap.probability(below=0.05):.4f}"
        '0.0171'
        """
        one_of("diameter", which, DIAMETERS)
        return combine([(1.0, _centred(self.internal, which)), (-1.0, _centred(self.external, which))])

    def overlap(self) -> Gap:
        """Radial overlap of the thread ridges, (d - D1) / 2; zero or less means that they pass each other."""
        d, D1 = self.external.major, self.internal.minor
        least, most = _minus(d.min, D1.max), _minus(d.max, D1.min)
        found = Gap(None if least is None else least / 2, None if most is None else most / 2)
        return found.with_unit(self._unit)

    def percent(self, height: str = "5/8 H") -> Gap:
        """The overlap in percent of a thread height of the screw.

        height: "5/8 H", the overlap of the basic profiles, or "3/4 H" (diameter difference 1.299 P), which the
        percentages of the handbook's tapping tables refer to; `InputError` for any other.
        """
        P, given = self.external.thread.pitch, one_of("height", height, profile.HEIGHTS)
        percents = [one if one is None else float(profile.percent_of_overlap(one, P, given)) for one in self.overlap()]
        return Gap(*percents)

    def turns(self) -> Gap:
        """Turns until it binds, at the tightest and the loosest limits; inf if it never does by its lead."""
        a, b = self.external.thread, self.internal.thread
        tight, loose = self.play()
        return Gap(turns_to_bind(tight, a.lead, b.lead), turns_to_bind(loose, a.lead, b.lead))

    @property
    def _unit(self) -> Unit:
        """What it is shown in: that of the screw."""
        return unit_of(self.external.thread.unit)

    def play(self) -> Interval:
        """Least and greatest axial play of one ridge in its groove, mm; negative where it is too wide for it."""
        P, P_nut = self.external.thread.pitch, self.internal.thread.pitch
        tight, loose = self.clearance("pitch")
        assert tight is not None
        assert loose is not None
        return Interval(axial_play(tight, P, P_nut), axial_play(loose, P, P_nut)).with_unit(self._unit)

    @property
    def start(self) -> str:
        """ "starts", "may start", "does not start", or "drops through"."""
        if self._passes():
            return "drops through"
        if self.external.thread.starts != self.internal.thread.starts:
            return "does not start"
        gaps = [self.clearance("major"), Gap(*self.play()), self.clearance("minor")]
        if any(gap.max is not None and gap.max < 0 for gap in gaps) or self._root_blocked():
            return "does not start"
        tight = self.play()[0] < -1e-9 or self.meets("major") or self.meets("minor")
        return "may start" if tight else "starts"

    def _passes(self) -> bool:
        """Whether the ridges miss each other even at the fullest screw and the tightest nut, by crest or by flank."""
        a, b = self.external, self.internal
        d, d2, D1, D2 = a.major.max, a.pitch.max, b.minor.min, b.pitch.min
        if d is None or d2 is None or D1 is None or D2 is None:
            return False
        return float(profile.flank_overlap(d, d2, D1, D2, a.thread.pitch, b.thread.pitch)) <= 0

    def _root_blocked(self) -> bool:
        """Whether the smallest screw is too large for the largest root a tap leaves in the nut."""
        screw, nut = self.external.major.min, self.internal.pitch.max
        if screw is None or nut is None:
            return False
        return screw > float(profile.sharp_crest_diameter(nut, self.internal.thread.pitch))

    def verdict(self) -> str:
        """One sentence: will it start, when will it bind, and how much do the ridges overlap."""
        a, b = self.external.thread, self.internal.thread
        if self.start == "drops through":
            return f"{a} drops through {b}: the ridges do not reach each other."
        if a.starts != b.starts:
            return f"{a} does not start in {b}: {a.starts} and {b.starts} starts do not go together."
        if self.start == "does not start":
            return f"{a} does not start in {b} at any size within the limits."
        held = " to ".join(f"{max(one, 0.0):.0f}" for one in self.percent() if one is not None)
        tail = f"The ridges overlap by {held} % of the basic height." if held else "Their overlap is not known."
        few, many = self.turns()
        assert few is not None
        assert many is not None
        only = "" if self.start == "starts" else " at some sizes within the limits only"
        if math.isinf(many):
            return f"{a} starts in {b}{only} and runs freely. {tail}"
        bind = f"binds after {few:.1f} to {many:.1f} turns" if few > 0 else f"binds within {many:.1f} turns"
        return f"{a} starts in {b}{only}, but is no thread of its kind: it {bind}. {tail}"

    def __str__(self) -> str:
        return pair_table(self)

    __repr__ = __str__


def pair(external: str | HasSizes | Thread, internal: str | HasSizes | Thread | None = None) -> Pair:
    """A screw in a nut: `pair("M6-6H/6g")`, `pair("1/4-20 UNC-2A/2B")`, or `pair("M5-6g", "#10-32 UNF-2B")`.

    external: the screw, or one text for both halves; without class they have the default classes. internal: the nut.
    Threads, limits, coated and measured threads are accepted in place of texts.
    Raises `InputError` for two of one kind and for two hands, `DesignationError` for a text that cannot be read.

    >>> pair("M6x1-6H/6g").start
    'starts'
    """
    if internal is not None:
        return Pair(sizes_of(external, True), sizes_of(internal, False))
    if not isinstance(external, str):
        raise InputError("pair: an external and an internal thread are needed, or one text such as 'M6-6H/6g'")
    halves = []
    for wanted in (True, False):
        parts = read_designation(external)
        if len(parts.classes) == 1:
            parts.refuse("class", f"one class, {parts.classes[0]!r}, makes no pair: for example 'M6-6H/6g'")
        if parts.classes:
            kept = [name for name in parts.classes if _is_external(name, parts.metric) is wanted]
            if len(kept) != 1:
                kind = "an external" if wanted else "an internal"
                parts.refuse("class", f"'{'/'.join(parts.classes)}' needs {kind} class too: for example 'M6-6H/6g'")
            parts.classes = kept
        halves.append(resolve(parts, wanted, False, None).limits())
    return Pair(*halves)


def _printed(half: HasSizes) -> Limits:
    """The limits in print of a half, whatever sizes it has now."""
    return half if isinstance(half, Limits) else half.thread.limits()


def _centred(sizes: HasSizes, which: str) -> Linear:
    """A diameter whose limits of a standard have their nominal in the middle, not at the basic size at one end."""
    found = sizes.dimension(which)
    terms = [(c, replace(d, nominal=d.middle) if d.basis is Basis.STANDARD else d) for d, c in found.terms]
    return combine(terms, constant=found.constant)


def _is_external(name: str, metric: bool) -> bool:
    return name[-1].islower() if metric else name[-1] in "aA"


def sizes_of(one: str | HasSizes | Thread, external: bool | None = None) -> HasSizes:
    """A designation or a thread as its limits; what has sizes already stays as it is. Nothing else is accepted."""
    if isinstance(one, str):
        # A stated class of the other kind is left to Pair, which names both threads.
        stated = external is None or bool(read_designation(one).classes)
        return thread(one, external=None if stated else external).limits()
    if isinstance(one, Thread):
        return one.limits()
    if all(hasattr(one, name) for name in ("thread", *DIAMETERS)):
        return one
    raise InputError(f"thread {brief(one)}: a designation such as 'M6x1-6g', a thread, or one with its sizes is needed")


def _minus(a: float | None, b: float | None) -> float | None:
    return None if a is None or b is None else a - b


def pair_table(one: Pair) -> str:
    """Clearances, overlap and the verdict of a pair, in the unit of its screw."""
    unit = one.external.thread.unit

    def row(name: str, gap: Gap) -> tuple[str, str, str]:
        return (name, length(gap.min, unit), length(gap.max, unit))

    rows = [row(f"{which} clearance", one.clearance(which)) for which in ("major", "pitch", "minor")]
    least, most = one.percent()
    percent = tuple("-" if value is None else f"{value:.0f}" for value in (least, most))
    table = aligned([(unit, "min", "max"), *rows, row("radial overlap", one.overlap()), ("% of 5/8 H", *percent)])
    least_minor = one.clearance("minor").min
    touch = least_minor is not None and least_minor < -1e-9 and not one.meets("minor")
    rounded = (
        "\n  The minor diameters touch at the basic size; less than 0 is the rounding of the printed limits."
        if touch
        else ""
    )
    sides = (("screw", one.external), ("nut", one.internal))
    notes = "".join(f"; {side} {note}" for side, sizes in sides if (note := getattr(sizes, "note", "")))
    return f"{one.designation}{notes}\n{table}{rounded}\n  {one.verdict()}"
