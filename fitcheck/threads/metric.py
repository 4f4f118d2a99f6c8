"""From the parts of an ISO metric designation to a thread; what it leaves out is filled by ISO 261 and ISO 965-1."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from fitcheck.errors import InputError
from fitcheck.threads import iso965, profile
from fitcheck.threads.definition import ISO, Thread, short
from fitcheck.threads.designation import Parts, stated_gender
from fitcheck.threads.series import metric_sizes, nearest
from fitcheck.threads.standard import metric_class


class MetricClass(NamedTuple):
    """A class as its parts: canonical name, gender, (pitch diameter grade, crest grade), position, its standing."""

    name: str
    external: bool
    grades: tuple[int, int]
    letter: str
    status: str


def metric_thread(parts: Parts, external: bool | None, special: bool, engagement: float | None) -> Thread:
    assumed: list[str] = []
    d, P, series = _metric_size(parts, special, assumed)
    starts = _starts(parts)
    if starts > 1:
        assumed.append("tolerances of the single-start thread of this pitch")
    group = parts.group or _group(d, P, engagement, assumed)
    at = _metric_class(parts, external, d, group, assumed)
    limits = metric_class(at.grades, at.letter)
    if not limits.is_tabulated((d, P, "")):
        assumed.extend(iso965.untabulated(d, P, at.grades, at.letter))
    if at.status != "ISO 965-1":
        assumed.append(f"tolerance position {at.letter}: {at.status}")
    found = limits.find((d, P, ""))
    if found is None:
        try:
            iso965.deviation(P, at.letter)
        except InputError as error:
            parts.refuse("class", str(error))
        tolerance = int(iso965.pitch_tolerance(d, P, at.grades[0], external=at.external))
    else:
        tolerance = found["pitch_max"] - found["pitch_min"]
    if tolerance >= 1000 * profile.ADDENDUM * P:
        parts.refuse(
            "pitch",
            f"pitch {P:g} mm is too fine: the tolerance of {at.name} on {d:g} mm, {tolerance / 1000:g} mm, "
            "eats the thread",
        )
    return Thread(
        ISO,
        short(d),
        d,
        P,
        25.4 / P,
        at.external,
        parts.left_hand,
        at.name,
        series,
        starts,
        group,
        assumed=tuple(assumed),
    )


def _metric_size(parts: Parts, special: bool, assumed: list[str]) -> tuple[float, float, str]:
    assert parts.diameter is not None
    d = float(parts.diameter)
    known = metric_sizes().get(d)
    if known is None and not special:
        if not iso965.SMALLEST < d <= 300:
            parts.refuse("size", f"diameter {d:g} mm: ISO 261 has diameters from 1 mm to 300 mm")
        near = ", ".join(f"M{one:g}" for one in nearest(d, list(metric_sizes())))
        parts.refuse(
            "size", f"M{d:g} is no diameter of ISO 261 (nearest: {near}): add 'special' to have it all the same"
        )
    if not iso965.SMALLEST < d <= iso965.LARGEST:
        parts.refuse("size", f"diameter {d:g} mm: over {iso965.SMALLEST} mm up to {iso965.LARGEST:g} mm is accepted")
    if parts.pitch is None:
        if known is None or known.coarse is None:
            fine = f": its pitches are {_listed(known.pitches)}" if known else ""
            parts.refuse("size", f"M{d:g} has no coarse pitch, so its pitch must be stated{fine}")
        assumed.append(f"pitch {known.coarse:g} mm: the coarse pitch of ISO 261")
        return d, known.coarse, "coarse"
    P = float(parts.pitch)
    if known is not None and P in known.pitches:
        return d, P, "coarse" if known.coarse == P else "fine"
    if P <= 0 or not iso965.FINEST <= P <= iso965.COARSEST:
        parts.refuse("pitch", f"pitch {P:g} mm: {iso965.FINEST:g} mm to {iso965.COARSEST:g} mm is accepted")
    if not special:
        pitches = _listed(known.pitches) if known else ""
        parts.refuse(
            "pitch", f"M{d:g} has no pitch {P:g} in ISO 261 (it has {pitches}): add 'special' to have it all the same"
        )
    if d - 1.5 * P <= 0:
        parts.refuse(
            "pitch", f"pitch {P:g} mm is too coarse for diameter {d:g} mm: less than {d / 1.5:.3g} mm is needed"
        )
    assumed.append("special: diameter and pitch are not combined in ISO 261; tolerances by the formulas of ISO 965-1")
    return d, P, "special"


def _starts(parts: Parts) -> int:
    if parts.lead is None:
        return 1
    assert parts.pitch is not None
    starts = parts.lead / parts.pitch if parts.pitch else Fraction(0)
    if starts.denominator != 1 or not 1 <= starts <= 9:
        lead, pitch = float(parts.lead), float(parts.pitch)
        parts.refuse("lead", f"lead {lead:g} is no multiple of pitch {pitch:g}: for example 'M16xPh3P1.5', two starts")
    return int(starts)


def _group(d: float, P: float, engagement: float | None, assumed: list[str]) -> str:
    span = iso965.engagement_group_N(d, P)
    if engagement is None or span is None:
        between = "" if span is None else f" ({span[0]:g} mm to {span[1]:g} mm)"
        assumed.append(f"length of engagement of group N{between}")
        return "N"
    group = "S" if engagement < span[0] else "L" if engagement > span[1] else "N"
    assumed.append(f"length of engagement {engagement:g} mm is of group {group} (N: {span[0]:g} mm to {span[1]:g} mm)")
    return group


def _metric_class(parts: Parts, external: bool | None, d: float, group: str, assumed: list[str]) -> MetricClass:
    name = parts.classes[0] if parts.classes else None
    if name is None:
        if external is None:
            assumed.append("external thread: the text states no class; external=False asks for the nut")
            external = True
        name = _metric_default(d, group, external)
        assumed.append(f"class {name}: what ISO 965-1 recommends for the medium quality, group {group}")
    found = read_class(name)
    if isinstance(found, str):
        parts.refuse("class", f"class {name!r} {found}")
    if parts.classes:
        stated_gender(parts, found.external, external)
    return found


@lru_cache(maxsize=512)
def read_class(name: str) -> MetricClass | str:
    """A class such as 6g or 5H6H as its parts, or what is wrong with it, to follow its name in a message."""
    letters = [one for one in name if one.isalpha()]
    digits = "".join(one if one.isdigit() else " " for one in name).split()
    if not letters or len(letters) != len(digits) or name != "".join(map("".join, zip(digits, letters, strict=True))):
        return "is none of ISO 965-1: one such as 6g or 5H6H is accepted"
    allowed = iso965.positions()
    for letter in letters:
        if letter not in allowed:
            return f"has no tolerance position {letter!r}: {_letters()} are accepted"
    if len(set(letters)) > 1:
        return f"mixes positions {letters[0]} and {letters[1]}: both parts need one letter"
    at = allowed[letters[0]]
    grades = (int(digits[0]), int(digits[-1]))
    for grade, quantity in zip(grades, ("Td2", "Td") if at.external else ("TD2", "TD1"), strict=True):
        known = iso965.grades()[quantity]
        if grade not in known:
            which = "pitch" if quantity.endswith("2") else "crest"
            kind = "screws" if at.external else "nuts"
            return f"has no grade {grade} for the {which} diameter: {kind} have {', '.join(map(str, known))}"
    one, other = (f"{grade}{at.letter}" for grade in grades)
    return MetricClass(one if one == other else one + other, at.external, grades, at.letter, at.status)


def _metric_default(d: float, group: str, external: bool) -> str:
    if external:
        return (
            {"S": "5h6h", "N": "6h", "L": "7h6h"}[group] if d <= 1.4 else {"S": "5g6g", "N": "6g", "L": "7g6g"}[group]
        )
    return {"S": "4H", "N": "5H", "L": "6H"}[group] if d <= 1.4 else {"S": "5H", "N": "6H", "L": "7H"}[group]


def _letters() -> str:
    # Positions with a longer name are national ones that no designation can state.
    outer = [one for one, at in iso965.positions().items() if at.external and len(one) == 1]
    inner = [one for one, at in iso965.positions().items() if not at.external]
    return f"{', '.join(outer)} for screws and {', '.join(inner)} for nuts"


def _listed(pitches: tuple[float, ...]) -> str:
    return ", ".join(f"{pitch:g}" for pitch in pitches)
