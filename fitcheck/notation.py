"""Drawing notes as toleranced dimensions.

    "25.4 ± 0.05"                  symmetric (also "+-" and "+/-")
    "12 +0.1/-0.0 mm"              two-sided; "12 +0.1 -0.05" and a one-sided "12 -0.1" as well
    "1.000 +0.002/-0.000 in"       in another unit; the unit stands last
    "24.9 .. 25.1"                 limits of size; "24.9 to 25.1" too
    "25 H7"                        a fit of ISO 286
    "12.43 measured ± 0.02"        a measurement with its expanded uncertainty (k = 2)
    "6.35"                         exact: the note gives no tolerance
    "3/16 in", "1 1/2 in ± 0.01"   inches as fractions
    '0.315" ± 0.004"'              the unit may stand behind each number, and two may be mixed:
    "1 in ± 2 thou"
    "⌀12 H7"                       a diameter

A spread may follow in words: "25.4 ± 0.05, normal" (the zone is 3 sigma), "25.4 ± 0.05 (normal 2 sigma)", "truncated
normal 3 sigma" (sorted parts), "triangular", "trapezoidal 0.5", "beta 2 3", "arcsine", "Student t, 4 degrees of
freedom" (the zone is two standard uncertainties; or "Student t, 4 degrees of freedom, k = 2.87"). Without one it is
uniform over the zone, the cautious choice for a bought part of unknown process; a measurement is normal.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from fitcheck import fits
from fitcheck.basis import Basis
from fitcheck.errors import (
    LONGEST_MESSAGE,
    InputError,
    NotationError,
    UnitError,
    brief,
    finite,
    in_short,
)
from fitcheck.keywords import keywords_named
from fitcheck.stack import Dimension, Normal, Spread, between, dimension
from fitcheck.stack.spread_names import spread_behind
from fitcheck.units import (
    LENGTH,
    MM,
    Kind,
    Unit,
    decimal_inches,
    is_quantity,
    read_beside,
    read_stated,
    refuse_difference,
    refuse_mixed,
    two_meanings,
    unit_of_quantity,
)
from fitcheck.units import unit as unit_of

_N = r"(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?"
# A number in a unit is an exponent, "205 N/mm2", or stands under a stroke, "23e-6 1/K".
_UNIT = r"(?P<unit>(?:[^\d\s+\-±.,/]|1\s*/)[^\d±]*(?:(?<=[A-Za-z])\^?-?\d[^\d±]*)*)?"
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
    "fit": re.compile(rf"(?P<x>{_N})\s*(?P<unit>mm|in|inch|[\"″])?\s*(?P<fit>[A-Za-z]{{1,2}}\d{{1,2}})", re.ASCII),
    "measured": re.compile(rf"(?P<x>[-+]?{_N})\s*measured\s*(?:±|\+/?-)\s*(?P<plus>{_N})\s*{_UNIT}", re.ASCII),
    "plain": re.compile(rf"(?P<x>[-+]?{_N})\s*{_UNIT}", re.ASCII),
}
_NUMBER_WITH_UNIT = re.compile(
    rf"(?P<x>{_N})(?P<gap>\s*)(?P<unit>(?!(?:measured|to)\b)"
    r"(?:[A-Za-zµΔ\"″°%](?:[A-Za-zµ_\"″°·⋅*%²³]|[-/](?=[A-Za-z])|(?<=[A-Za-z])\^?-?[1-4](?![\d.,]))*))?",
    re.ASCII,
)
_SIXTY_FOURTHS = re.compile(r"(±|\+/?-)\s*(\d{1,2})/(2|4|8|16|32|64)(?=\s*(?:in\b|inch|[\"″]|$))", re.ASCII)
_DIAMETER = re.compile(r"[∅⌀Øø]\s*(?=[\d.,])")
_NUMBER_OR_CLASS = re.compile(r"(?P<x>\d+(?:[.,]\d*)?)(?P<fit>[eE]\d{1,2})", re.ASCII)
# Characters that a drawing program or a web page puts in place of the plain ones.
_LOOK_ALIKES = str.maketrans({"−": "-", "–": "-", "\u00a0": " ", "\u202f": " ", "\u2009": " "})
_ACCEPTED = (
    "'25.4 ± 0.05', '12 +0.1/-0.05 mm', '1.000 +0.002/-0 in', '24.9 .. 25.1', '25 H7' or '12.43 measured ± 0.02 mm'"
)


@keywords_named
def dim(
    note: Any,
    *,
    plus: Any = None,
    minus: Any = None,
    spread: str | Spread | None = None,
    name: str = "",
    kind: Kind | str | None = None,
) -> Dimension:
    """A toleranced dimension from a drawing note, or from a number with `plus` and `minus`.

    Parameters
    ----------
    note : the note, a number in the inside unit, a pint quantity, or a dimension (returned as it is)
    plus, minus : tolerances up and down, for a number or a quantity; `minus` defaults to `plus`
    spread : "uniform" (default), "triangular", "normal" (zone = 3 sigma), "normal 2 sigma", or a spread
    name : what the dimension is called in results
    kind : the kind of quantity expected, "length", "force", "torque" and the like; any kind is taken if it is not
        given, and a length if there is no unit

    Raises `NotationError` for a note that cannot be read, `UnitError` for one of the wrong kind.

    >>> dim("12 +0.1/-0.05", name="lens")
    <lens: 12 +0.1/-0.05 mm, uniform (assumed)>
    >>> dim(12.0, plus=0.1, minus=0.05).worst_case()
    Interval(min=11.95, max=12.1)
    >>> print(dim("3/16 in"), dim("25 H7"))
    0.1875 in 25 +0.021/-0 mm
    """
    if not isinstance(name, str):
        raise InputError(f"name = {brief(name)}: a text is needed")
    where = in_short(name) or "dimension"
    kind = None if kind is None else Kind.named("kind", kind)
    if isinstance(note, Dimension):
        if kind is not None and note.unit.kind is not kind:
            raise UnitError(
                f"{where} is {note.unit.kind.with_article}: {kind.with_article} is needed, for example {kind.example}"
            )
        return note
    if not isinstance(note, str):
        return _from_number(note, plus, minus, spread, name, kind)
    if plus is not None or minus is not None:
        raise NotationError(
            f"{where} = {brief(note)}: a note carries its own tolerances; plus and minus go with a number"
        )
    found = read_note(note, kind=kind, where=where)
    if spread is not None and found.spread is not None and found.basis is not Basis.MEASURED:
        raise NotationError(f"{where} = {brief(note)}: the note names a spread and spread= gives another: keep one")
    try:
        return between(
            found.lower,
            found.upper,
            found.nominal,
            spread=spread or found.spread,
            name=name,
            unit=found.unit,
            origin=found.origin,
            basis=found.basis,
        )
    except InputError as error:
        raise NotationError(_told(where, note, error)) from None


def _from_number(
    value: Any, plus: Any, minus: Any, spread: str | Spread | None, name: str, kind: Kind | None
) -> Dimension:
    """A dimension from a number or a quantity and its tolerances; they name their units all, or none does."""
    where = in_short(name) or "dimension"
    expected = kind or LENGTH
    if kind is None and is_quantity(value):
        try:
            expected = unit_of_quantity(value).kind
        except UnitError as error:
            raise UnitError(f"{where} = {brief(value)}: {error}") from None
    nominal, used = read_stated(value, expected, where)
    units, given = {where: used}, {where: value, "plus": plus, "minus": minus}
    up = down = 0.0
    if plus is not None:
        up, units["plus"] = read_stated(plus, expected, f"{where}: plus", difference=True)
        down = up
    if minus is not None:
        down, units["minus"] = read_stated(minus, expected, f"{where}: minus", difference=True)
    refuse_mixed(where, units, given)
    shown = next((one for one in units.values() if one is not None), unit_of(expected.base))
    return dimension(nominal, plus=up, minus=down, spread=spread, name=name, unit=shown, origin="given")


def dim_beside(note: Any, beside: Unit, *, name: str, kind: Kind = LENGTH, what: str = "a quantity") -> Dimension:
    """`dim` of what stands beside `what` in the unit `beside`: beside inches the note has to name its unit.

    note: as for `dim`. Raises `UnitError` for a number or a note without a unit beside inches, and what `dim` raises.
    """
    found = dim(note, name=name, kind=kind)
    size = found.upper or found.lower
    if size and unit_said(note, kind, name) is None:
        read_beside(size, kind, name, beside, what=what, said=in_short(note) if isinstance(note, str) else "")
    return found


def unit_said(note: Any, kind: Kind, where: str) -> Unit | None:
    """The unit that a note, a quantity or a dimension names; None for a number alone. Raises as `read_note`."""
    if isinstance(note, Dimension):
        return note.unit
    if is_quantity(note):
        return unit_of_quantity(note)
    if not isinstance(note, str):
        return None
    read = read_note(note, kind=kind, where=where)
    return read.unit if read.unit_named else None


@dataclass(frozen=True, slots=True)
class Note:
    """A drawing note that has been read: its limits in the inside unit, and what it says of unit and spread."""

    text: str
    nominal: float
    lower: float
    upper: float
    unit: Unit
    unit_named: bool
    """Whether the note says what its numbers are in. A fit ("25 H7") is in mm by its standard."""
    spread: Spread | None
    """The spread that it names; of a measurement, the normal one of its uncertainty."""
    basis: Basis
    """What it rests on: a drawing, a standard (a fit; memory, if the library holds its limits so) or a measurement."""
    origin: str
    """Its text, and what backs it where that is not the note itself."""

    @property
    def inch(self) -> bool:
        """Whether its numbers are in inches, or another unit made of them."""
        return self.unit_named and self.unit.inch


def read_note(note: str, *, kind: Kind | None = None, where: str = "note") -> Note:
    """What a drawing note says; the one place that knows how a note is written.

    `kind` is the kind of quantity expected; any kind is taken if it is not given, and a length if there is no unit.
    Raises `NotationError` for a note that cannot be read, `UnitError` for one of the wrong kind; both name `where`.

    >>> read_note("1.000 +0.002/-0.000 in").unit
    <unit in>
    """
    if len(note) > 200:
        raise NotationError(
            f"{where} = {brief(note)}: a note of at most 200 characters is needed, such as '25.4 ± 0.05'"
        )
    tidy = " ".join(note.split())
    try:
        text, spread = spread_behind(_DIAMETER.sub("", tidy.translate(_LOOK_ALIKES), count=1))
    except InputError as error:
        raise NotationError(_told(where, note, error)) from None
    if hint := _two_meanings(text):
        raise NotationError(f"{where} = {brief(note)}: {hint}")
    plain = _plain(text, where, note)
    for form, pattern in _FORMS.items():
        match = pattern.fullmatch(plain)
        if match is None or (form != "measured" and "measured" in plain):
            continue
        said = (match["unit"] or "").strip()
        used = _size_unit(said, kind, where, note)
        nominal, lower, upper = _zone(form, match, used, where, note)
        if form == "two-sided" and upper < lower:
            break
        if not said and not used.kind.bare and (nominal or lower or upper):
            raise UnitError(
                f"{where} = {brief(note)} names no unit: {used.kind.with_article} is needed, "
                f"for example {used.kind.example}"
            )
        # Expanded uncertainty with k = 2 (GUM, JCGM 100:2008, 6.2): the zone is two standard deviations.
        spread = spread or (Normal(2.0) if form == "measured" else None)
        named = bool(said) or form == "fit"
        basis, origin = Basis.MEASURED if form == "measured" else Basis.DRAWN, tidy
        if form == "fit":
            basis = Basis.STANDARD
            if fits.limits(match["fit"], nominal).basis is Basis.MEMORY:
                basis, origin = Basis.MEMORY, f"{tidy}: limits of ISO 286-1, from memory"
        return Note(tidy, nominal, lower, upper, used, named, spread, basis, origin)
    if "measured" in plain:
        raise NotationError(
            f"{where} = {brief(note)}: a measurement needs its expanded uncertainty behind the word, "
            "for example '12.43 measured ± 0.02 mm'"
        )
    raise NotationError(
        f"{where} = {brief(note)} cannot be read: a note such as {_ACCEPTED} is needed; the unit stands last"
    )


def _two_meanings(text: str) -> str:
    """What to write in place of a number that may be read in two ways; nothing if there is none."""
    if (match := _NUMBER_OR_CLASS.fullmatch(text)) is not None:
        x, fit = match["x"], match["fit"]
        number = float(text.replace(",", "."))
        return (
            f"may be the number {number:.10g} or {x} in the class {fit}: write {number:.10g}, or '{x} {fit}' for a fit"
        )
    return two_meanings(text)


def _plain(text: str, where: str, note: str) -> str:
    """The note with fractions of an inch as decimals, and one unit, at its end."""
    text = decimal_inches(text)
    text = _SIXTY_FOURTHS.sub(lambda m: f"{m[1]} {int(m[2]) / int(m[3]):.10g}", text)
    numbers = list(_NUMBER_WITH_UNIT.finditer(text))
    said = [match["unit"] for match in numbers]
    first = next((one for one in said if one), None)
    if first is None or len(said) < 2 or not any(said[:-1]) or _FORMS["fit"].fullmatch(text):
        return text
    begin, into = numbers[0].start(), _unit(first, None, where, note)
    parts = [text[:begin]]
    for match, after in zip(numbers, [*numbers[1:], None], strict=True):
        shown = match["x"]
        if match["unit"] not in (None, first):
            other = _unit(match["unit"], None, where, note)
            # A tolerance of a temperature is a difference, in kelvin or in degrees; its zero plays no part.
            signed = text[: match.start()].rstrip()[-1:] in ("±", "+", "-")
            if other.kind is not into.kind or (other.offset != into.offset and not signed):
                raise UnitError(f"{where} = {brief(note)}: {first} and {match['unit']} cannot stand in one note")
            shown = f"{float(shown.replace(',', '.')) * (other.scale / into.scale):.12g}"
        parts += [shown, match["gap"], text[match.end() : after.start() if after else len(text)]]
    return f"{''.join(parts).rstrip()} {first}"


def _zone(form: str, match: re.Match[str], used: Unit, where: str, note: str) -> tuple[float, float, float]:
    """Nominal, lower and upper limit in the inside unit."""

    def number(group: str) -> float:
        return float("".join(match[group].split()).replace(",", "."))

    def inside(shown: float) -> float:
        return float(finite(where, used.to_base(shown)))

    if form == "limits":
        low, high = number("low"), number("high")
        if low > high:
            raise NotationError(f"{where} = {brief(note)}: the lower limit comes first")
        return inside((low + high) / 2), inside(low), inside(high)
    x = number("x")
    if form == "fit":
        if used.kind is not LENGTH:
            raise NotationError(f"{where} = {brief(note)}: a fit is a length")
        try:
            x = round(inside(x), 10)  # 1.5 in are 38.1 mm
            limits = fits.limits(match["fit"], x)
        except InputError as error:
            raise NotationError(_told(where, note, error)) from None
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
                f"{where} = {brief(note)}: a tolerance larger than the size itself: "
                f"limits are written {x:g} .. {-end:g}, a tolerance {x:g} +0/{shown}"
            )
        return inside(x), inside(x + min(end, 0.0)), inside(x + max(end, 0.0))
    return inside(x), inside(x), inside(x)


_BEFORE = 60
"""Letters left for the line and the table that a sheet names before it."""


def _told(where: str, note: str, error: InputError) -> str:
    """What is wrong with a part of a note, which is shown before it where both fit in one message."""
    whole = f"{where} = {brief(note)}: {error}"
    return whole if len(whole) <= LONGEST_MESSAGE - _BEFORE else f"{where}: {error}"


def _unit(text: str, kind: Kind | None, where: str, note: str) -> Unit:
    if not text:
        return MM if kind in (None, LENGTH) else unit_of((kind or LENGTH).base)
    try:
        used = unit_of(text)
    except UnitError as error:
        raise UnitError(_told(where, note, error)) from None
    if kind is not None and used.kind is not kind:
        raise UnitError(
            f"{where} = {brief(note)} is {used.kind.with_article}: {kind.with_article} is needed, "
            f"for example {kind.example}"
        )
    return used


def _size_unit(text: str, kind: Kind | None, where: str, note: str) -> Unit:
    """`_unit` of a size itself, which is no difference."""
    used = _unit(text, kind, where, note)
    if used.is_difference:
        refuse_difference(where, note, used.kind)
    return used
