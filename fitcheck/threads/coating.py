"""Coated threads: what a film on every surface does to the limits of size.

A film that grows by g at right angles to every surface moves a flank of a 60° thread by g across, so the pitch
diameter of a screw grows by 2 g / sin 30° = 4 g, while crest and root diameters grow by 2 g; a nut shrinks by the
same. An anodic film grows partly into the metal: g is its thickness times its outward share.

Source: the four-times rule follows from the geometry; ASME B1.1 and ISO 965-4 presume it for plated threads. That
class 2A limits hold before coating, and that a coated thread may reach the basic size, is from memory of ASME B1.1;
ISO 965-1 says the same of positions e to g.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from fitcheck.errors import InputError, brief, finite
from fitcheck.expected import one_kind
from fitcheck.notation import dim
from fitcheck.shown import Shown
from fitcheck.stack import Dimension, Linear, between
from fitcheck.stack.dimension import combine
from fitcheck.tables import table
from fitcheck.threads import profile
from fitcheck.threads.pair import HasSizes, sizes_of
from fitcheck.threads.thread import DIAMETERS, Size, SizedThread, Thread, aligned, length

PITCH_FACTOR = 2 / math.sin(profile.HALF_ANGLE)
"""Growth of the pitch diameter per growth of a surface: 4 for a 60° thread."""

_THICKEST = 1.0
"""mm: what is thicker is a wrong unit; hard anodic films end at about 0.1 (common practice, no source)."""

_FACTORS = {"major": 2.0, "pitch": PITCH_FACTOR, "minor": 2.0}


@dataclass(frozen=True, slots=True, repr=False)
class Coating(Shown):
    """A film on a surface.

    name: what it is called. thickness: on each surface, a dimension in mm. growth: share of it that grows outward, 0
    to 1. note: where the numbers come from.
    """

    name: str
    thickness: Dimension
    growth: float = 1.0
    note: str = ""

    def __post_init__(self) -> None:
        if self.thickness.lower < 0:
            raise InputError(f"coating {self.name}: thickness {self.thickness}: no limit may lie below 0")
        if self.thickness.upper > _THICKEST:
            raise InputError(
                f"coating {self.name}: thickness {self.thickness}: a film of at most {_THICKEST:g} mm is needed; "
                "micrometres are written with their unit, for example '20 µm'"
            )
        object.__setattr__(self, "growth", finite("growth", self.growth, one=True))
        if not 0 <= self.growth <= 1:
            raise InputError(f"coating {self.name}: growth = {self.growth}: a share from 0 to 1 is needed")

    @property
    def least(self) -> float:
        """Least outward growth of a surface, mm."""
        return self.thickness.lower * self.growth

    @property
    def most(self) -> float:
        """Greatest outward growth of a surface, mm."""
        return self.thickness.upper * self.growth


def coating(name: str, thickness: str | float | Dimension | None = None, growth: float | None = None) -> Coating:
    """A coating by name, with its usual values [1]_ or your own.

    name: one of the table, or any other with a thickness. thickness: film on each surface, a drawing note such as
    "0.010 ± 0.003" or "10 ± 3 µm", or a number in mm. growth: the outward share, 0 to 1; 1 for plating and paint.
    Raises `InputError` for an unknown name without thickness, a thickness that may be below 0, a growth outside 0 to 1.

    References
    ----------
    .. [1] tables/thread_coatings.csv: common practice, no source.

    Examples
    --------
    >>> film = coating("zinc plate", "10 ± 3 µm")
    >>> round(film.most, 4), round(film.least, 4)
    (0.013, 0.007)
    """
    if not isinstance(name, str):
        raise InputError(f"coating {brief(name)}: the name of a coating is needed: {', '.join(coatings())}")
    known = coatings().get(name)
    if thickness is None and known is None:
        raise InputError(f"coating {brief(name)}: {', '.join(coatings())} are known; any other needs a thickness")
    if thickness is None and known is not None:
        film, note = known.thickness, known.note
    else:
        film, note = dim(thickness, name=f"{name} film"), ""
    share = growth if growth is not None else known.growth if known else 1.0
    return Coating(name, film, share, note)


@lru_cache(maxsize=1)
def coatings() -> dict[str, Coating]:
    """The coatings of the table, by name."""
    found = {}
    read = table("thread_coatings", {"thickness_min": float, "thickness_max": float, "growth": float})
    for row in read.rows:
        low, high = row["thickness_min"] / 1000, row["thickness_max"] / 1000
        film = between(low, high, name=f"{row['name']} film", origin="given", basis=read.rests_on)
        found[row["name"]] = Coating(row["name"], film, row["growth"], f"{row['note']}; common practice, no source")
    return found


@dataclass(frozen=True, slots=True)
class Coated(Shown):
    """A thread with a film on it.

    before: the thread with the limits it is cut to. film: the `Coating`. major, pitch, minor: `Size` after coating, mm.
    """

    before: HasSizes
    film: Coating
    major: Size
    pitch: Size
    minor: Size

    @property
    def thread(self) -> Thread:
        """The thread that is coated."""
        return self.before.thread

    @property
    def note(self) -> str:
        """What sets it apart from the bare thread, for headings."""
        return f"with {self.film.name}"

    def dimension(self, which: str) -> Linear:
        """The major, pitch or minor diameter with its film, as part of a stack.

        which: "major", "pitch" or "minor". Raises `InputError` where it has one limit only.
        """
        bare = self.before.dimension(which)
        grows = _FACTORS[which] * self.film.growth
        return combine([(1.0, bare), (grows if self.thread.external else -grows, self.film.thickness)])

    @property
    def room(self) -> float:
        """What the pitch diameter leaves to the basic size after the thickest film, mm; negative if it runs over.

        The basic size is where the other half of the pair may begin (class H, 2B), so this says whether an
        allowance such as that of 6g or 2A still covers the film.
        """
        basic, size = self.thread.pitch_diameter, self.pitch
        if self.thread.external:
            assert size.max is not None
            return basic - size.max
        assert size.min is not None
        return size.min - basic

    @property
    def covered(self) -> bool:
        """Whether the thread still passes the basic size after the thickest film."""
        return self.room >= -0.5e-3 if self.thread.unit == "mm" else self.room >= -0.5 * 0.00254

    def verdict(self) -> str:
        """One sentence on whether the allowance still covers the film."""
        allowance = abs(_edge(self.before) - self.thread.pitch_diameter)
        film = PITCH_FACTOR * self.film.most
        does = "covers" if self.covered else "does not cover"
        unit = self.thread.unit
        return (
            f"The allowance of {self.thread}, {length(allowance, unit)} {unit} on the pitch diameter, {does} "
            f"{self.film.name}: the thickest film takes {length(film, unit)} {unit}, four times its growth."
        )

    def __str__(self) -> str:
        return coated_table(self)

    __repr__ = __str__


def _film(film: Coating | str) -> Coating:
    return coating(film) if isinstance(film, str) else one_kind("film", film, Coating, "a coating, or its name,")


def coat(before: HasSizes | Thread | str, film: Coating | str) -> Coated:
    """The thread after coating: a thread cut to `before` that gets `film` on every surface.

    Pitch diameters grow by four times the growth of a surface, the others by twice; a nut shrinks by as much. before: a
    designation, a thread or one with its sizes. film: a `Coating` or its name. Geometry of 60° flanks.
    Raises `InputError` for a film or thread that is not known.

    >>> print(round(coat("M6x1-6g", coating("zinc", "0.005")).pitch.max, 3))
    5.344
    """
    film = _film(film)
    before = sizes_of(before)
    major, pitch, minor = (_grown(before, which, film) for which in DIAMETERS)
    return Coated(before, film, major, pitch, minor)


def cut_for_coating(after: HasSizes | Thread | str, film: Coating | str) -> Coated:
    """The limits to cut to, so that the coated thread lies within the limits `after` at any film thickness.

    after: a designation, a thread or one with its sizes. film: a `Coating` or its name. Geometry of 60° flanks.
    Raises `InputError` if the scatter of the film takes up a whole tolerance, and for a film or thread that is not
    known.

    >>> bare = cut_for_coating("M6x1-6g", coating("zinc plate", "8 ± 2 µm"))
    >>> round(bare.before.pitch.max, 3), round(bare.pitch.max, 3)  # cut to, and coated: the limit of M6x1-6g
    (5.284, 5.324)
    """
    film = _film(film)
    after = sizes_of(after)
    sizes = []
    for which in DIAMETERS:
        size: Size = getattr(after, which)
        high, low = (_FACTORS[which] * one for one in (film.most, film.least))
        if after.thread.external:
            cut = Size(_shift(size.max, -high), _shift(size.min, -low))
        else:
            cut = Size(_shift(size.max, low), _shift(size.min, high))
        if cut.max is not None and cut.min is not None and cut.min > cut.max:
            raise InputError(
                f"{after.thread} with {film.name} {film.thickness}: the film's scatter takes {high - low:.4f} mm of "
                f"the {which} diameter, more than its tolerance of {size.tolerance:.4f} mm: a wider class or a tighter "
                "film is needed"
            )
        sizes.append(cut)
    major, pitch, minor = sizes
    return coat(SizedThread(after.thread, major, pitch, minor, "as cut"), film)


def _grown(before: HasSizes, which: str, film: Coating) -> Size:
    size: Size = getattr(before, which)
    high, low = _FACTORS[which] * film.most, _FACTORS[which] * film.least
    if before.thread.external:
        return Size(_shift(size.max, high), _shift(size.min, low))
    return Size(_shift(size.max, -low), _shift(size.min, -high))


def _shift(value: float | None, by: float) -> float | None:
    return None if value is None else value + by


def _edge(sizes: HasSizes) -> float:
    edge = sizes.pitch.max if sizes.thread.external else sizes.pitch.min
    assert edge is not None
    return edge


def coated_table(one: Coated) -> str:
    """Limits before and after coating, in the unit of the thread, and whether the allowance covers the film."""
    unit = one.thread.unit
    rows: list[tuple[str, ...]] = [("", "before", "", "after", ""), (unit, "max", "min", "max", "min")]
    for which in ("major", "pitch", "minor"):
        sizes = (getattr(one.before, which), getattr(one, which))
        rows.append((which, *(length(end, unit) for size in sizes for end in (size.max, size.min))))
    growth = "" if one.film.growth == 1 else f", {one.film.growth:.0%} outward"
    head = f"{one.thread.designation} with {one.film.name} {one.film.thickness}{growth}"
    return f"{head}\n{aligned(rows)}\n  {one.verdict()}"
