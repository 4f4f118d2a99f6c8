"""The one way in: a designation and what may be said beside it, to a thread."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from fitcheck import units
from fitcheck.errors import InputError, brief, positive
from fitcheck.keywords import keywords_named
from fitcheck.threads import asme_b1_1, iso965, profile
from fitcheck.threads.designation import Parts, read_designation, stated_gender
from fitcheck.threads.iso965 import MetricClass, read_metric_class
from fitcheck.threads.series import (
    ISO,
    UNIFIED,
    metric_class,
    metric_sizes,
    nearest,
    unified_class,
    unified_diameters,
    unified_sizes,
)
from fitcheck.threads.thread import Thread, short


@keywords_named
def thread(
    text: str | Thread,
    *,
    external: bool | None = None,
    special: bool = False,
    engagement: float | str | None = None,
) -> Thread:
    """The thread that a designation names.

    text: an ISO metric or Unified designation, such as "M6x1-6g", "M6", "1/4-20 UNC-2A", "#8-32 UNC-2B-LH".
    external: whether a text without class means the screw or the nut. Left open, the screw is assumed, and
        `assumed` says so. It must agree with a class that is stated.
    special: allow a diameter or pitch outside ISO 261, or outside the series of ASME B1.1. In the text the word
            "special" asks for the same, and "UNS" for a Unified thread.
    engagement: length of engagement, mm or a text with its unit, which a Unified thread needs. It selects the group of
        a metric thread and the tolerance of a Unified one, where it lies outside the span that the standard tolerance
        is good for.

    What the text leaves out is the standard's default: coarse pitch, 6g/6H (6h/5H up to 1.4 mm; of group S and
    L the classes that ISO 965-1 recommends), the series of a standard Unified size. Class 2A/2B is common
    practice, no source. Raises `DesignationError`, which points at the spot.

    >>> thread("M6")
    M6x1-6g: external, right-hand, ISO metric coarse, lead angle 3.40°
      basic              mm
      major diameter  6.000
      pitch diameter  5.350
      minor diameter  4.917
      pitch           1.000
      assumed: pitch 1 mm: the coarse pitch of ISO 261
      assumed: length of engagement of group N (3 mm to 9 mm)
      assumed: external thread: the text states no class; external=False asks for the nut
      assumed: class 6g: what ISO 965-1 recommends for the medium quality, group N
    >>> thread("1/4-20 UNC-2A").limits().as_printed()["pitch_max"]
    '0.2164'
    """
    if isinstance(text, Thread):
        return text
    if external is not None and not isinstance(external, bool):
        raise InputError(f"external = {brief(external)}: True (screw), False (nut) or None is needed")
    if not isinstance(special, bool):
        raise InputError(f"special = {brief(special)}: True or False is needed")
    length = None
    if engagement is not None:
        beside = units.MM if read_designation(text).metric else units.INCH
        length = units.read_beside(engagement, units.LENGTH, "engagement", beside, what="a thread")
        length = positive("engagement", length, "mm")
    return (
        _thread(text, external, special, length)
        if isinstance(text, str)
        else resolve(read_designation(text), None, False, None)
    )


@lru_cache(maxsize=4096)
def _thread(text: str, external: bool | None, special: bool, engagement: float | None) -> Thread:
    return resolve(read_designation(text), external, special, engagement)


def resolve(parts: Parts, external: bool | None, special: bool, engagement: float | None) -> Thread:
    """The thread of a designation that names one class at most."""
    if len(parts.classes) > 1:
        parts.refuse("second class", f"'{'/'.join(parts.classes)}' names a pair: fitcheck.threads.pair reads it")
    return (metric_thread if parts.metric else unified_thread)(parts, external, special or parts.special, engagement)


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
    found = read_metric_class(name)
    if isinstance(found, str):
        parts.refuse("class", f"class {brief(name)} {found}")
    if parts.classes:
        stated_gender(parts, found.external, external)
    return found


def _metric_default(d: float, group: str, external: bool) -> str:
    if external:
        return (
            {"S": "5h6h", "N": "6h", "L": "7h6h"}[group] if d <= 1.4 else {"S": "5g6g", "N": "6g", "L": "7g6g"}[group]
        )
    return {"S": "4H", "N": "5H", "L": "6H"}[group] if d <= 1.4 else {"S": "5H", "N": "6H", "L": "7H"}[group]


def _listed(pitches: tuple[float, ...]) -> str:
    return ", ".join(f"{pitch:g}" for pitch in pitches)


def unified_thread(parts: Parts, external: bool | None, special: bool, engagement: float | None) -> Thread:
    assumed: list[str] = []
    assert parts.pitch is not None
    tpi = round(float(parts.pitch), 4)  # the decimals that a designation holds
    if not 1 <= tpi <= 120:
        parts.refuse("pitch", f"{tpi:g} threads per inch: from 1 to 120 are accepted")
    D = _unified_diameter(parts, tpi, assumed)
    series, rounded = _unified_series(parts, D, tpi, special, assumed)
    if D / 10000 - 1.3 / tpi <= 0:
        parts.refuse("pitch", f"{tpi:g} threads per inch are too coarse for a diameter of {D / 10000:.4f} in")
    name, external = _unified_class(parts, external, assumed)
    D_in = D / 10000
    LE = float(parts.engagement) if parts.engagement is not None else None if engagement is None else engagement / 25.4
    known = unified_sizes().get((D, tpi))
    if known is None or known.series != series:
        known = None
    if name.startswith("1") and not (known and known.has_class_1):
        assumed.append(f"class {name}: ASME B1.1 does not tabulate it for this thread; by the same formula")
    by_diameter = known.by_diameter if known else bool(asme_b1_1.based_on_diameter(D_in, tpi, series))
    length = _unified_engagement(parts, D_in, tpi, series, by_diameter, LE, assumed)
    found = None if known is None or length else unified_class(name).find((D, tpi, series))
    if found is None:
        basis = length / 25.4 if length else D_in if by_diameter else 9 / tpi
        share = asme_b1_1.classes()[name].multiplier / 1000
        tolerance = float(asme_b1_1.pitch_tolerance(D_in, basis, tpi)) * share
    else:
        tolerance = (found["pitch_max"] - found["pitch_min"]) / 10_000
    if tolerance >= profile.ADDENDUM / tpi:
        parts.refuse(
            "pitch",
            f"{tpi:g} threads per inch are too fine: the tolerance of {name}, {tolerance:.4f} in, eats the thread",
        )
    return Thread(
        UNIFIED,
        _size_text(D, tpi),
        D * 254 / 100_000,
        25.4 / tpi,
        tpi,
        external,
        parts.left_hand,
        name,
        series,
        engagement=length,
        rounded_root=rounded,
        assumed=tuple(assumed),
    )


def _unified_diameter(parts: Parts, tpi: float, assumed: list[str]) -> int:
    """The basic major diameter in 0.0001 in."""
    standard = unified_sizes()
    if parts.number is not None:
        by_number = next((D for D, size in unified_diameters().items() if size == f"#{parts.number}"), None)
        if parts.diameter is None:
            if by_number is None:
                names = ", ".join(size for size in unified_diameters().values() if size.startswith("#"))
                parts.refuse("size", f"#{parts.number} is no number size: {names} are accepted")
            return by_number
        whole = parts.number * 10000
        if by_number is not None and (whole, tpi) not in standard:
            if (by_number, tpi) in standard:
                assumed.append(f"{parts.number} is read as number size #{parts.number}")
                return by_number
            parts.refuse("size", f"{parts.number} may be #{parts.number} or {parts.number} inches: "
                                 f"write '#{parts.number}' or '{parts.number}.0'")  # fmt: skip
        if whole == 0 or whole > 240_000:
            parts.refuse("size", f"diameter {parts.number} in: over 0 up to 24 in is accepted")
        return whole
    assert parts.diameter is not None
    D = int(parts.diameter * 10000 + Fraction(1, 2))
    if not 500 <= D <= 240_000:
        parts.refuse("size", f"diameter {float(parts.diameter):g} in: from 0.05 in to 24 in is accepted")
    decimals = len(parts.size.partition(".")[2])
    if (D, tpi) not in standard and decimals == 3:
        # A size such as 5/16 is often written with three decimals, 0.312 or 0.313 for 0.3125.
        for one in unified_diameters():
            if (one // 10 == D // 10 or (one + 5) // 10 == D // 10) and (one, tpi) in standard:
                assumed.append(f"{parts.size} is read as {standard[one, tpi].size} ({one / 10000:.4f} in)")
                return one
    return D


def _unified_series(parts: Parts, D: int, tpi: float, special: bool, assumed: list[str]) -> tuple[str, bool]:
    known = unified_sizes().get((D, tpi))
    said = parts.series
    rounded = said is not None and said.startswith("UNR")
    base = None if said is None else said.replace("UNR", "UN")
    size = unified_diameters().get(D) or _inch_text(D)
    if base is None and known is not None:
        assumed.append(f"series {known.series}: the one {size}-{tpi:g} belongs to")
        return known.series, rounded
    if base == "UNS":
        if known is not None and known.series != "UNS":
            assumed.append(f"{size}-{tpi:g} is {known.series}; as UNS its tolerances are based on 9 pitches")
        return "UNS", rounded
    if known is not None and (base == known.series or (base == "UN" and known.series != "UNS")):
        if base != known.series:
            assumed.append(f"series {known.series}: the name ASME B1.1 gives {size}-{tpi:g}")
        return known.series, rounded
    if special:
        assumed.append(f"UNS: {size}-{tpi:g} is no {base or 'standard'} thread of ASME B1.1")
        return "UNS", rounded
    held = sorted(
        ((one.tpi, one.series) for (diameter, _), one in unified_sizes().items() if diameter == D), reverse=True
    )
    listed = ", ".join(f"{n:g} {name}" for n, name in held)
    if listed:
        nearby = f"{size} has {listed}"
    else:
        near = nearest(D, list(map(float, unified_diameters())))
        nearby = "the nearest sizes are " + ", ".join(unified_diameters()[int(one)] for one in near)
    parts.refuse(
        "series" if base and known else "pitch" if listed else "size",
        f"{size}-{tpi:g} is no {base or 'standard'} thread of ASME B1.1 ({nearby}): write UNS to have it all the same",
    )


def _unified_class(parts: Parts, external: bool | None, assumed: list[str]) -> tuple[str, bool]:
    if not parts.classes:
        if external is None:
            assumed.append("external thread: the text states no class; external=False asks for the nut")
            external = True
        name = "2A" if external else "2B"
        assumed.append(f"class {name}: common practice, no source")
        return name, external
    name = parts.classes[0].upper()
    known = asme_b1_1.classes().get(name)
    if known is None:
        parts.refuse("class", f"class {brief(name)} is unknown: {', '.join(asme_b1_1.classes())} are accepted")
    return name, stated_gender(parts, known.external, external)


def _unified_engagement(
    parts: Parts, D: float, n: float, series: str, by_diameter: bool, LE: float | None, assumed: list[str]
) -> float | None:
    span = (0.0, 1.5 * D) if by_diameter else (5 / n, 15 / n)
    basis = f"{D:g} in, the diameter" if by_diameter else f"9 pitches, {9 / n:.4g} in"
    good = f"good up to {span[1]:.4g} in" if by_diameter else f"good from {span[0]:.4g} in to {span[1]:.4g} in"
    if LE is None:
        assumed.append(f"length of engagement: tolerances are based on {basis}, {good}")
        return None
    if LE <= 0 or LE > 20 * D:
        parts.refuse("engagement", f"length of engagement {LE:g} in: over 0 up to {20 * D:g} in is accepted")
    if series != "UNS" and span[0] <= LE <= span[1]:
        assumed.append(f"length of engagement {LE:g} in: the standard tolerance, based on {basis}, is {good}")
        return None
    assumed.append(f"length of engagement {LE:g} in: the tolerances are worked out for it")
    return round(LE, 4) * 25.4


def _size_text(D: int, tpi: float) -> str:
    size = unified_diameters().get(D) or _inch_text(D)
    # A whole number that is no standard size with this pitch may be taken for a number size such as #8.
    return f"{size}.0" if size.isdigit() and (D, tpi) not in unified_sizes() else size


def _inch_text(D: int) -> str:
    """A diameter in 0.0001 in as text: a fraction in 64ths if it is one, else four decimals."""
    for denominator in (2, 4, 8, 16, 32, 64):
        top = round(D * denominator / 10000)
        if top and int(Fraction(top, denominator) * 10000 + Fraction(1, 2)) == D:
            whole, rest = divmod(Fraction(top, denominator), 1)
            return f"{whole} {rest}" if whole and rest else str(rest or whole)
    return f"{D / 10000:.4f}"
