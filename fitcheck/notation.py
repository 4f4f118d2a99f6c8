"""Drawing notes as toleranced dimensions.

    "25.4 ± 0.05"                  symmetric (also "+-" and "+/-")
    "12 +0.1/-0.0 mm"              two-sided; "12 +0.1 -0.05" and a one-sided "12 -0.1" as well
    "1.000 +0.002/-0.000 in"       in another unit; the unit stands last
    "24.9 .. 25.1"                 limits of size; "24.9 to 25.1" too
    "25 H7"                        a fit of ISO 286
    "12.43 measured ± 0.02"        a measurement with its expanded uncertainty (k = 2)
    "6.35"                         exact: the note gives no tolerance
    "3/16 in", "1 1/2 in ± 0.01"   inches as fractions
    '0.315" ± 0.004"'              the unit may stand behind the first number too

A spread may follow in words: "25.4 ± 0.05, normal" (the zone is 3 sigma), "normal 2 sigma", "truncated normal 3 sigma"
(sorted parts), "triangular", "trapezoidal 0.5", "beta 2 3", "arcsine". Without one it is uniform over the zone, the
cautious choice for a bought part of unknown process; a measurement is normal.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from fitcheck import fits
from fitcheck.basis import Basis
from fitcheck.errors import InputError, NotationError, UnitError, finite
from fitcheck.stack import Dimension, Normal, Spread, dimension
from fitcheck.stack.shapes import FIRST_WORDS
from fitcheck.units import LENGTH, MM, Kind, Unit, decimal_inches, read
from fitcheck.units import unit as unit_of

_N = r"(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?"
_UNIT = r"(?P<unit>[^\d\s+\-±.,/][^\d±]*|1/K)?"
# ASCII digits only: text in other scripts is refused rather than guessed at.
_FORMS = {
    "symmetric": re.compile(rf"(?P<x>[-+]?{_N})\s*(?:±|\+/?-)\s*(?P<plus>{_N})\s*{_UNIT}", re.ASCII),
    # A bare 0 needs a space or a stroke before it, or "100 -0.1" would read as 10, 0 and -0.1.
    "two-sided": re.compile(
        rf"(?P<x>[-+]?{_N})(?P<plus>\s*\+\s*{_N}|\s+0)(?:\s*/\s*|\s+|(?=-))(?P<minus>-\s*{_N}|[+-]?0(?:[.,]0*)?)\s*{_UNIT}",
        re.ASCII,
    ),
    "same side": re.compile(rf"(?P<x>[-+]?{_N})\s*(?P<a>[-+]\s*{_N})\s*/\s*(?P<b>[-+]\s*{_N})\s*{_UNIT}", re.ASCII),
    "one-sided": re.compile(rf"(?P<x>[-+]?{_N})\s*(?P<one>[-+]\s*{_N})\s*{_UNIT}", re.ASCII),
    "limits": re.compile(rf"(?P<low>[-+]?{_N})\s*(?:\.\.+|…|to)\s*(?P<high>[-+]?{_N})\s*{_UNIT}", re.ASCII),
    "fit": re.compile(rf"(?P<x>{_N})\s*(?P<fit>[A-Za-z]{{1,2}}\d{{1,2}})", re.ASCII),
    "measured": re.compile(rf"(?P<x>[-+]?{_N})\s*measured\s*(?:±|\+/?-)\s*(?P<plus>{_N})\s*{_UNIT}", re.ASCII),
    "plain": re.compile(rf"(?P<x>[-+]?{_N})\s*{_UNIT}", re.ASCII),
}
_UNIT_BEHIND_EACH = re.compile(
    rf"([-+]?{_N})\s*(?!measured|to\b)([A-Za-zµ\"″·/%°]+)(\s*(?:±|\+/?-|\.\.+|to|[-+])\s*{_N}\s*)(?:\2)?", re.ASCII
)
# Which names there are, and what may follow each, `fitcheck.stack.shapes.spread` knows.
_SPREAD = re.compile(rf",?\s+(?P<open>\()?(?P<spread>(?:{'|'.join(FIRST_WORDS)})\b[^()]*)(?(open)\))\s*$", re.ASCII)
_BASIS = {"measured": Basis.MEASURED, "fit": Basis.STANDARD}
# Characters that a drawing program or a web page puts in place of the plain ones.
_LOOK_ALIKES = str.maketrans({"−": "-", "–": "-", "\u00a0": " ", "\u202f": " ", "\u2009": " "})
_ACCEPTED = (
    "'25.4 ± 0.05', '12 +0.1/-0.05 mm', '1.000 +0.002/-0 in', '24.9 .. 25.1', '25 H7' or '12.43 measured ± 0.02 mm'"
)


def dim(
    note: Any,
    *,
    plus: Any = None,
    minus: Any = None,
    spread: str | Spread | None = None,
    name: str = "",
    kind: Kind | None = None,
) -> Dimension:
    """A toleranced dimension from a drawing note, or from a number with `plus` and `minus`.

    Parameters
    ----------
    note : the note, a number in the inside unit, a pint quantity, or a dimension (returned as it is)
    plus, minus : tolerances up and down, for a number or a quantity; `minus` defaults to `plus`
    spread : "uniform" (default), "triangular", "normal" (zone = 3 sigma), "normal 2 sigma", or a spread
    name : what the dimension is called in results
    kind : the kind of quantity expected; any kind is taken if it is not given, and a length if there is no unit

    Raises `NotationError` for a note that cannot be read, `UnitError` for one of the wrong kind.
    """
    where = name or "dimension"
    if isinstance(note, Dimension):
        if kind is not None and note.unit.kind is not kind:
            raise UnitError(
                f"{where} is {note.unit.kind.with_article}: {kind.with_article} is needed, for example {kind.example}"
            )
        return note
    if not isinstance(note, str):
        expected = kind or LENGTH
        up = read(0.0 if plus is None else plus, expected, f"{where}: plus")
        down = up if minus is None else read(minus, expected, f"{where}: minus")
        shown = MM if expected is LENGTH else unit_of(expected.base)
        nominal = read(note, expected, where)
        return dimension(nominal, plus=up, minus=down, spread=spread, name=name, unit=shown, origin="given")
    if plus is not None or minus is not None:
        raise NotationError(f"{where} = {note!r}: a note carries its own tolerances; plus and minus go with a number")
    return _from_note(note, where, spread, name, kind)


def _from_note(note: str, where: str, spread: str | Spread | None, name: str, kind: Kind | None) -> Dimension:
    if len(note) > 200:
        raise NotationError(
            f"{where} = {note[:40]!r}...: a note of at most 200 characters is needed, such as {_ACCEPTED}"
        )
    text, named = _parted(note)
    if named:
        if spread is not None:
            raise NotationError(f"{where} = {note!r}: the note names a spread and spread= gives another: keep one")
        spread = named
    for form, match in _matches(text):
        used = _unit(match.groupdict().get("unit"), kind, where, note)
        nominal, lower, upper = _zone(form, match, used, where, note)
        if form == "measured":
            # Expanded uncertainty with k = 2 (GUM, JCGM 100:2008, 6.2): the zone is two standard deviations.
            spread = spread or Normal(2.0)
        if form == "two-sided" and upper < lower:
            break
        try:
            return dimension(
                nominal,
                plus=upper - nominal,
                minus=nominal - lower,
                spread=spread,
                name=name,
                unit=used,
                origin=note,
                basis=_BASIS.get(form, Basis.DRAWN),
            )
        except InputError as error:
            raise NotationError(f"{where} = {note!r}: {error}") from None
    if "measured" in text:
        raise NotationError(
            f"{where} = {note!r}: a measurement needs its expanded uncertainty behind the word, "
            "for example '12.43 measured ± 0.02 mm'"
        )
    raise NotationError(
        f"{where} = {note!r} cannot be read: a note such as {_ACCEPTED} is needed; the unit stands last"
    )


def unit_in(note: str) -> Unit | None:
    """The unit that a note names, or None if it leaves it to be understood. A fit ("25 H7") is in mm by its standard.

    Raises `NotationError` for a text that is no note, `UnitError` for a unit that is unknown.
    """
    text, _ = _parted(note)
    for form, match in _matches(text):
        written = (match.groupdict().get("unit") or "").strip()
        return MM if form == "fit" else unit_of(written) if written else None
    raise NotationError(f"{note!r} cannot be read: a note such as {_ACCEPTED} is needed; the unit stands last")


def _parted(note: str) -> tuple[str, str]:
    """The note in plain characters, its unit last, and the name of a spread that followed it."""
    text = _plain(note.translate(_LOOK_ALIKES).strip())
    named = _SPREAD.search(text)
    if named is None:
        return text, ""
    return _plain(text[: named.start()].strip()), " ".join(named["spread"].split())


def _matches(text: str) -> Iterator[tuple[str, re.Match[str]]]:
    """The forms of a note that the text has, the one that it is read as first."""
    for form, pattern in _FORMS.items():
        match = pattern.fullmatch(text)
        if match is not None and (form == "measured" or "measured" not in text):
            yield form, match


def _plain(text: str) -> str:
    """The note with fractions of an inch as decimals, and its unit only at the end."""
    text = decimal_inches(text)
    each = _UNIT_BEHIND_EACH.fullmatch(text)
    return f"{each[1]}{each[3]} {each[2]}" if each else text


def _zone(form: str, match: re.Match[str], used: Unit, where: str, note: str) -> tuple[float, float, float]:
    """Nominal, lower and upper limit in the inside unit."""

    def number(group: str) -> float:
        return float(match[group].replace(",", ".").replace(" ", ""))

    def inside(shown: float) -> float:
        return float(finite(where, used.to_base(shown)))

    if form == "limits":
        low, high = number("low"), number("high")
        if low > high:
            raise NotationError(f"{where} = {note!r}: the lower limit comes first")
        return inside((low + high) / 2), inside(low), inside(high)
    x = number("x")
    if form == "fit":
        if used.kind is not LENGTH:
            raise NotationError(f"{where} = {note!r}: a fit is a length")
        try:
            limits = fits.limits(match["fit"], x)
        except InputError as error:
            raise NotationError(f"{where} = {note!r}: {error}") from None
        return x, limits.min, limits.max
    if form in ("symmetric", "measured"):
        return inside(x), inside(x - number("plus")), inside(x + number("plus"))
    if form == "two-sided":
        up, down = number("plus"), number("minus")
        return inside(x), inside(x + min(up, down)), inside(x + max(up, down))
    if form == "same side":
        a, b = sorted((number("a"), number("b")))
        return inside(x), inside(x + a), inside(x + b)
    if form == "one-sided":
        end = number("one")
        if end < -x < 0:
            shown = "".join(match["one"].split())
            raise NotationError(
                f"{where} = {note!r}: a tolerance larger than the size itself: limits are written {x:g} .. {-end:g}, "
                f"a tolerance {x:g} +0/{shown}"
            )
        return inside(x), inside(x + min(end, 0.0)), inside(x + max(end, 0.0))
    return inside(x), inside(x), inside(x)


def _unit(text: str | None, kind: Kind | None, where: str, note: str) -> Unit:
    if not text or not text.strip():
        return MM if kind in (None, LENGTH) else unit_of((kind or LENGTH).base)
    try:
        used = unit_of(text.strip())
    except UnitError as error:
        raise UnitError(f"{where} = {note!r}: {error}") from None
    if kind is not None and used.kind is not kind:
        raise UnitError(
            f"{where} = {note!r} is {used.kind.with_article}: {kind.with_article} is needed, for example {kind.example}"
        )
    return used
