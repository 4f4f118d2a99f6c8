"""Reading the text of a thread designation into its parts, by the grammar of ISO 965-1 and ASME B1.1.

Nothing is looked up here: whether the parts name a thread of the standard is decided in `resolve.py`. The
reader walks along the text once, trying one short anchored pattern at a time, so its work is linear in the
length of the text. Every error names the text, the spot and what is accepted; in a traceback a caret line
below the message points at the spot.

ISO metric    M<d> [x<P> | xPh<lead>P<P>] [-<class>[-S|-N|-L]] [-LH] [special]
                 class: 6g, 5g6g, 6H, 5H6H
Unified       <size>-<tpi> [UNC|UNF|UNEF|UN|UNS|UNR...] [-1A...-3B] [-LH] [LE <in, or mm with its unit>] [special]
    size: #8, 1/4, 1 1/8, 0.250
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from typing import Any, NoReturn

from fitcheck.errors import DesignationError, brief

EXAMPLES = "'M6x1-6g', 'M10x1.25-5H6H-LH', '1/4-20 UNC-2A' or '#8-32 UNC-2B-LH'"
LONGEST = 80
"""Characters in the longest text that is read; the longest designation of the standards has about 40."""


@dataclass(slots=True)
class Parts:
    """What a designation says, as written; None where it says nothing. `spots` tells where each part begins."""

    text: str
    metric: bool
    size: str = ""
    diameter: Fraction | None = None
    """Basic major diameter in the unit of the system; None for a number size or a bare whole number."""
    number: int | None = None
    """A number size, or a whole number that may be one."""
    pitch: Fraction | None = None
    """mm for a metric thread, threads per inch for a Unified one."""
    lead: Fraction | None = None
    series: str | None = None
    classes: list[str] = field(default_factory=list)
    group: str | None = None
    engagement: Fraction | None = None
    left_hand: bool = False
    special: bool = False
    spots: dict[str, int] = field(default_factory=dict)

    def refuse(self, part: str, problem: str) -> NoReturn:
        """Raise a `DesignationError` that points at `part`."""
        refuse(self.text, self.spots.get(part, 0), problem)


def refuse(text: str, spot: int, problem: str) -> NoReturn:
    """Raise a `DesignationError` for `text`, pointing at character `spot`."""
    shown = text if len(text) <= LONGEST else text[: LONGEST // 2] + "..."
    error = DesignationError(f"thread {shown!r}, character {spot + 1}: {problem}")
    if shown.isprintable() and shown.isascii():
        error.add_note(f"    {shown}\n    {' ' * min(spot, len(shown))}^")
    raise error


# One character for one, so that a spot in the folded text is the spot in the text.
_FOLD = str.maketrans({"×": "x", "−": "-", "–": "-", "—": "-", "‐": "-", "‑": "-", ",": ".", "\t": " ",
                       "\u00a0": " ", "\u2009": " ", "\u202f": " ", "″": '"', "”": '"'})  # fmt: skip

_NUMBER = r"(?:[0-9]{1,4}(?:\.[0-9]{0,4})?|\.[0-9]{1,4})"
_D = re.compile(_NUMBER)
_TIMES = re.compile(r" *[xX*] *")
_LEAD = re.compile(rf"[pP][hH] *({_NUMBER}) *[pP] *({_NUMBER})")
_SLASH = re.compile(r" */ *")
_TPI_DASH = re.compile(r" *- *")
_METRIC_CLASS = re.compile(r"([1-9][0-9]?[A-Za-z](?:[1-9][0-9]?[A-Za-z])?)(?![A-Za-z0-9])")
_WORD = re.compile(r"[^ \-/]+")
_HAND = re.compile(r"(?:(LH|left)|RH|right)(?:(?<=t)[- ]?hand(?:ed)?)?(?![A-Za-z0-9])", re.IGNORECASE)
_GROUP = re.compile(r"([SNL])(?![A-Za-z0-9])", re.IGNORECASE)
_SPECIAL = re.compile(r"special(?![A-Za-z0-9])", re.IGNORECASE)
_STARTS = re.compile(r"\( *(two|three|four|[2-9]) +starts? *\)", re.IGNORECASE)

# NPT, NPTF, NPS, NPSM, NPSC, NPSL; G, R, Rp, Rc, BSP, BSPP, BSPT; with their size on either side of the letters.
_PIPE_SIZE = r"[0-9]{1,2}(?:[ -][0-9]/[0-9]{1,2}|/[0-9]{1,2})?"
_PIPE_NAME = r"(?:NP(?:TF?|S[FMCLH]?|TR)|BSP[PT]?|R[PC]?|G)"
_PIPE = re.compile(
    rf" *(?:{_PIPE_NAME} *{_PIPE_SIZE}(?![0-9])|{_PIPE_SIZE} *(?:\"|in)? *(?:-? *[0-9]{{1,2}}(?:[.]5| *1/2)?)? *-? *"
    r"(?:NP(?:TF?|S[FMCLH]?|TR)|BSP[PT]?)(?![A-Z]))",
    re.IGNORECASE,
)

_NUMBER_SIZE = re.compile(r"(?:#|[nN][oO]\.? ?) *(0|[1-9][0-9]{0,2})(?![0-9./])")
_MIXED = re.compile(r"([0-9]{1,2})(?: +|-)([0-9]{1,3})/([0-9]{1,3})(?![0-9./])")
_FRACTION = re.compile(r"([0-9]{1,3})/([0-9]{1,3})(?![0-9./])")
_DECIMAL = re.compile(r"([0-9]{0,2}\.[0-9]{1,5})(?![0-9.])")
_WHOLE = re.compile(r"(0|[1-9][0-9]?)(?![0-9./])")
_INCH = re.compile(r' *(?:"|in(?![A-Za-z]))')
_TPI = re.compile(
    r"([0-9]{1,3})(?: +([1-9])/([2-9]))?(?![0-9./A-Za-z])|([0-9]{1,3}\.[0-9]{1,4})(?![0-9./])|([0-9]{1,3})(?=[uU][nN])"
)
_SERIES = re.compile(r"(UN(?:R?(?:C|F|EF|S)|R)?)(?![A-Za-z])", re.IGNORECASE)
_UNIFIED_CLASS = re.compile(r"([1-9][0-9]?[A-Za-z])(?![A-Za-z0-9])")
_ENGAGEMENT = re.compile(rf"L\.?E\.? *=? *({_NUMBER})(?: *(\"|in|mm))?(?![A-Za-z0-9.])", re.IGNORECASE)


def read_designation(text: Any) -> Parts:
    """The parts of a thread designation; `DesignationError` for anything else."""
    if not isinstance(text, str):
        raise DesignationError(f"thread {brief(text)}: a text is needed, for example {EXAMPLES}")
    if len(text) > LONGEST:
        refuse(text, LONGEST, f"{len(text)} characters are too many, {LONGEST} at most: for example {EXAMPLES}")
    folded = text.translate(_FOLD)
    start = len(folded) - len(folded.lstrip(" "))
    first = folded[start : start + 1]
    if _PIPE.match(folded):
        refuse(
            text,
            start,
            "a pipe thread (ASME B1.20.1, ISO 7-1, ISO 228-1) seals on its taper or a gasket and is not handled here; "
            f"handled are ISO metric and Unified threads, for example {EXAMPLES}",
        )
    if first in ("M", "m"):
        return _read_metric(text, folded, start + 1)
    if first and first in "#.0123456789nN":
        return _read_unified(text, folded, start)
    refuse(text, start, f"a designation begins with M or with an inch size, for example {EXAMPLES}")


@lru_cache(maxsize=4096)
def _exact(number: str) -> Fraction:
    return Fraction(number.rstrip("."))


def _read_metric(text: str, folded: str, at: int) -> Parts:
    parts = Parts(text, metric=True)
    at = _skip(folded, at)
    found = _D.match(folded, at)
    if not found:
        refuse(text, at, "a diameter in mm is needed after M, for example 'M6x1-6g'")
    parts.size, parts.diameter, parts.spots["size"] = found[0], _exact(found[0]), at
    at = found.end()
    times = _TIMES.match(folded, at)
    if times:
        at = times.end()
        parts.spots["pitch"] = at
        if lead := _LEAD.match(folded, at):
            parts.spots["lead"] = at
            parts.lead, parts.pitch = _exact(lead[1]), _exact(lead[2])
            at = lead.end()
        elif pitch := _D.match(folded, at):
            parts.pitch = _exact(pitch[0])
            at = pitch.end()
        else:
            refuse(text, at, "a pitch in mm is needed after x, for example 'M6x1' or 'M16xPh3P1.5'")
    while (at := _separated(text, folded, at)) < len(folded):
        if found := _HAND.match(folded, at):
            _once(parts, "hand", at)
            parts.left_hand = found[1] is not None
        elif found := _SPECIAL.match(folded, at):
            _once(parts, "special", at)
            parts.special = True
        elif (found := _STARTS.match(folded, at)) and parts.lead is not None and parts.pitch is not None:
            _once(parts, "starts", at)
            said = {"two": 2, "three": 3, "four": 4}.get(found[1].lower()) or int(found[1])
            if said * parts.pitch != parts.lead:
                refuse(
                    text, at, f"lead {float(parts.lead):g} and pitch {float(parts.pitch):g} do not make {said} starts"
                )
        elif found := _METRIC_CLASS.match(folded, at):
            at = _classes(parts, folded, at, _METRIC_CLASS)
            continue
        elif found := _GROUP.match(folded, at):
            _once(parts, "group", at)
            parts.group = found[1].upper()
            if not parts.classes:
                _refuse_early_group(parts, at)
        else:
            _unknown(text, folded, at, "a class such as 6g or 5H6H (two parts at most), S, N or L, or LH")
        at = found.end()
    return parts


def _refuse_early_group(parts: Parts, at: int) -> NoReturn:
    """Raise for a length of engagement without a class before it; an L there may be meant for the hand."""
    letter = parts.group
    said = f"the length of engagement {letter} is written after a tolerance class, such as '6g-{letter}' (ISO 965-1)"
    if letter == "L" and "hand" not in parts.spots:
        pitch = "" if parts.pitch is None or parts.lead is not None else f"x{float(parts.pitch):g}"
        said = f"L alone can mean two things: LH is needed for left-hand, 'M{parts.size}{pitch}-LH'; {said}"
    refuse(parts.text, at, said)


def _read_unified(text: str, folded: str, at: int) -> Parts:
    parts = Parts(text, metric=False)
    parts.spots["size"] = at
    at = _read_size(parts, folded, at)
    if inch := _INCH.match(folded, at):
        at = inch.end()
    dash = _TPI_DASH.match(folded, at)
    found = _TPI.match(folded, dash.end()) if dash else None
    if not dash or not found:
        spot = dash.end() if dash else at
        if (times := _TIMES.match(folded, at)) and (pitch := _D.match(folded, times.end())):
            _refuse_times(parts, at, pitch[0])
        refuse(text, spot, "threads per inch are needed after the size, for example '1/4-20 UNC-2A' or '#8-32 UNC-2B'")
    parts.spots["pitch"] = dash.end()
    parts.pitch = _exact(found[1] or found[4] or found[5])
    if found[2]:
        parts.pitch += Fraction(int(found[2]), int(found[3]))
    at = found.end()
    while (at := _separated(text, folded, at)) < len(folded):
        if found := _SERIES.match(folded, at):
            _once(parts, "series", at)
            parts.series = found[1].upper()
        elif found := _HAND.match(folded, at):
            _once(parts, "hand", at)
            parts.left_hand = found[1] is not None
        elif found := _SPECIAL.match(folded, at):
            _once(parts, "special", at)
            parts.special = True
        elif found := _ENGAGEMENT.match(folded, at):
            _once(parts, "engagement", at)
            parts.engagement = _exact(found[1]) / (Fraction("25.4") if (found[2] or "").lower() == "mm" else 1)
        elif found := _UNIFIED_CLASS.match(folded, at):
            at = _classes(parts, folded, at, _UNIFIED_CLASS)
            continue
        else:
            _unknown(
                text, folded, at, "a series such as UNC, a class 1A to 3B, LH, or a length of engagement 'LE 0.75'"
            )
        at = found.end()
    return parts


def _refuse_times(parts: Parts, at: int, pitch: str) -> NoReturn:
    """Raise for a size with a pitch behind an x, which is that of a metric thread but for its M."""
    metric, inch = f"'M{parts.size}x{pitch}'", f"'{parts.size}-{pitch}'"
    if "/" in parts.size or not parts.size[0].isdigit():
        refuse(parts.text, at, f"a dash stands before threads per inch: {inch} is needed")
    if "." in pitch:
        refuse(parts.text, at, f"a metric thread begins with M: {metric} is needed")
    refuse(parts.text, at, f"{metric} for a metric thread or {inch} for an inch thread is needed")


def _read_size(parts: Parts, folded: str, at: int) -> int:
    """Read an inch size into `parts`; the position after it."""
    if found := _NUMBER_SIZE.match(folded, at):
        parts.number = int(found[1])
    elif found := _MIXED.match(folded, at):
        parts.diameter = int(found[1]) + _fraction(parts.text, at, found[2], found[3])
    elif found := _FRACTION.match(folded, at):
        parts.diameter = _fraction(parts.text, at, found[1], found[2])
    elif found := _DECIMAL.match(folded, at):
        parts.diameter = _exact(found[1])
    elif found := _WHOLE.match(folded, at):
        parts.number, parts.diameter = int(found[1]), _exact(found[1])
    else:
        refuse(parts.text, at, "an inch size is needed, for example '#8', '1/4', '1 1/8' or '0.250'")
    parts.size = found[0]
    return found.end()


def _fraction(text: str, at: int, top: str, bottom: str) -> Fraction:
    if int(bottom) == 0 or int(top) >= int(bottom):
        refuse(text, at, f"{top}/{bottom} is no proper fraction of an inch, for example '1/4' or '1 1/8'")
    return Fraction(int(top), int(bottom))


def _classes(parts: Parts, folded: str, at: int, pattern: re.Pattern[str]) -> int:
    """Read one class, or two with a slash between them; the position after it."""
    _once(parts, "class", at)
    found = pattern.match(folded, at)
    assert found is not None
    parts.classes.append(found[1])
    slash = _SLASH.match(folded, found.end())
    if not slash:
        return found.end()
    parts.spots["second class"] = slash.end()
    second = pattern.match(folded, slash.end())
    if not second:
        refuse(parts.text, slash.end(), "a second class is needed after the slash, for example 'M6-6H/6g'")
    parts.classes.append(second[1])
    return second.end()


def stated_gender(parts: Parts, stated: bool, asked: bool | None) -> bool:
    """Whether the class that is stated is of a screw; refused if the caller asked for the other kind."""
    if asked is not None and asked is not stated:
        kinds = {True: "an external (screw)", False: "an internal (nut)"}
        parts.refuse(
            "class", f"class {parts.classes[0]!r} is of {kinds[stated]} thread: {kinds[asked]} thread is needed"
        )
    return stated


def _once(parts: Parts, part: str, at: int) -> None:
    if part in parts.spots:
        refuse(parts.text, at, f"{part} is stated twice: once is enough")
    parts.spots[part] = at


def _unknown(text: str, folded: str, at: int, accepted: str) -> NoReturn:
    word = _WORD.match(folded, at)
    refuse(text, at, f"{(word[0] if word else folded[at])!r} is not understood: {accepted} is accepted here")


def _skip(folded: str, at: int) -> int:
    while folded[at : at + 1] == " ":
        at += 1
    return at


def _separated(text: str, folded: str, at: int) -> int:
    """The position after spaces and one dash; a dash must be followed by something."""
    begin = at
    at = _skip(folded, at)
    if folded[at : at + 1] == "-":
        at = _skip(folded, at + 1)
        if at == len(folded):
            refuse(text, begin, f"nothing follows the dash: for example {EXAMPLES}")
    return at
