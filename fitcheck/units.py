"""Units at the boundary of the library.

Inside, lengths are mm, forces N, stresses MPa, torques N·m, temperatures °C and angles radians. A public
function takes a plain number in that unit, a text with its unit (`"0.250 in"`, `"12 in·lbf"`), or a pint
quantity of any registry; what is of the wrong kind is refused by name. A torque, a mass, an angle and an angular
speed have their unit named always: no drawing is in radians, and no key is turned by a bare 5.

The units of a workshop are known by their definitions; any other is pint's, which is loaded when the first text or
quantity with such a unit arrives, because loading it takes longer than most answers.
"""

from __future__ import annotations

import math
import re
import sys
import threading
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from functools import lru_cache
from typing import Any, NoReturn

import numpy as np
from numpy.typing import NDArray

from fitcheck.errors import UnitError, brief, finite, one_of
from fitcheck.shown import Shown

FloatArray = NDArray[np.float64]
Number = float | FloatArray
"""What a model takes and returns: a float, or an array that broadcasts with the others."""


@dataclass(frozen=True, slots=True, repr=False)
class Kind(Shown):
    """A kind of quantity: its name, the unit used inside, pint's word for that unit, and an example."""

    name: str
    base: str
    pint_name: str
    example: str
    bare: bool = True
    """Whether a number without a unit is one in the inside unit."""

    def __reduce__(self) -> tuple[Callable[[str], Kind], tuple[str]]:
        """The one of its name, for `copy` and `pickle`: a kind is known by its identity."""
        return _kind, (self.name,)

    @staticmethod
    def named(name: str, value: Any) -> Kind:
        """`value` if it is a kind, or else the one of that name, "angular speed"; any other is refused by `name`.

        >>> Kind.named("kind", "torque") is TORQUE
        True
        """
        return value if isinstance(value, Kind) else _kind(one_of(name, value, [kind.name for kind in KINDS]))

    @property
    def with_article(self) -> str:
        """ "a length", "an angle"."""
        return f"{'an' if self.name[0] in 'aeiou' else 'a'} {self.name}"


LENGTH = Kind("length", "mm", "millimeter", "'12.7 mm' or '0.500 in'")
FORCE = Kind("force", "N", "newton", "'250 N' or '56 lbf'")
STRESS = Kind("stress", "MPa", "megapascal", "'205 MPa' or '30 ksi'")
TORQUE = Kind("torque", "N·m", "newton * meter", "'0.8 N·m' or '7 in·lbf'", bare=False)
ANGLE = Kind("angle", "rad", "radian", "'120 deg' or '2.094 rad'", bare=False)
TEMPERATURE = Kind("temperature", "°C", "degree_Celsius", "'20 °C' or '68 °F'")
MASS = Kind("mass", "kg", "kilogram", "'0.35 kg' or '12 oz'", bare=False)
SPEED = Kind("angular speed", "rad/s", "radian / second", "'6 rad/s' or '60 rpm'", bare=False)
EXPANSION = Kind("thermal expansion", "1/K", "1 / kelvin", "'23e-6 1/K'")
POWER = Kind("power", "W", "watt", "'3 W'")
RATIO = Kind("ratio", "", "", "0.15 or '15 %'")

KINDS = (LENGTH, FORCE, STRESS, TORQUE, TEMPERATURE, MASS, SPEED, EXPANSION, ANGLE, POWER, RATIO)


def _kind(name: str) -> Kind:
    return next(kind for kind in KINDS if kind.name == name)


# Spellings of the workshop that pint reads differently or not at all.
_SPELLINGS = {
    '"': "inch",
    "″": "inch",
    "in": "inch",
    "mm": "millimeter",
    "°": "degree",
    "°C": "degree_Celsius",
    "°F": "degree_Fahrenheit",
    "C": "degree_Celsius",
    "F": "degree_Fahrenheit",
    "%": "percent",
    **dict.fromkeys(("rev/min", "r/min", "1/min", "min^-1", "min-1", "min⁻¹"), "rpm"),
    **dict.fromkeys(("rev/s", "r/s", "rps", "turn/s", "turns/s"), "turn / second"),
}
_IN_CAPITALS = ("in", "inch", "inches", "mm", "rpm", "rev/min", "deg", "lbf")  # as they stand on drawings

# What a unit of force or length stands for inside a torque: "in-lbs", "lbf.ft", "oz-in", "N-m", "Ncm".
_ARMS = {"in": "inch", "inch": "inch", "ft": "foot", "foot": "foot"}
_POUNDS = {"lb": "lbf", "lbs": "lbf", "lbf": "lbf", "oz": "ounce_force", "ozf": "ounce_force"}
_ARM, _POUND, _TIMES = "|".join(_ARMS), "|".join(sorted(_POUNDS, key=len, reverse=True)), r"\s*[-·⋅.* ]\s*"
_INCH_TORQUE = re.compile(rf"(?P<a>{_ARM}){_TIMES}(?P<f>{_POUND})|(?P<g>{_POUND}){_TIMES}(?P<b>{_ARM})", re.IGNORECASE)
_METRIC_TORQUE = re.compile(r"(?P<f>[mk]?N)\s*[-·⋅.*]?\s*(?P<a>[cm]?m)")

_MEANT = {
    "nm": "N·m for a torque, µm for a length",
    **dict.fromkeys(("mil", "mils"), "thou for a thousandth of an inch, mrad for an angle"),
    **dict.fromkeys(("J", "kJ", "mJ"), "N·m for a torque"),
    "sr": "rad or deg for an angle",
    **dict.fromkeys(("Hz", "kHz", "cps", "1/s", "s^-1", "s-1", "s⁻¹"), "rpm, rev/s or rad/s"),
}
"""Units that mean one thing to pint and another to a workshop, and what to write in place of them."""


def _spelled(text: str) -> str:
    """A unit in the words of pint."""
    text = text.strip().rstrip(".").replace("μ", "µ")  # Greek mu and the micro sign look alike
    text = text.lower() if text.lower() in _IN_CAPITALS and text != "Mm" else text
    if found := _INCH_TORQUE.fullmatch(text):
        return f"{_ARMS[(found['a'] or found['b']).lower()]} * {_POUNDS[(found['f'] or found['g']).lower()]}"
    if found := _METRIC_TORQUE.fullmatch(text):
        return f"{found['f']} * {found['a']}"
    return _SPELLINGS.get(text) or re.sub(r"(?<=[A-Za-z])([234])\b", r"**\1", text.replace("·", "*").replace("⋅", "*"))


class Rounding(Enum):
    """Which way a printed number may differ from the number behind it."""

    NEAREST = "nearest"
    UP = "up"
    DOWN = "down"


@dataclass(frozen=True, slots=True)
class Unit(Shown):
    """A unit for display: `inside = shown * scale + offset`."""

    text: str
    kind: Kind
    scale: float = 1.0
    offset: float = 0.0
    inch: bool = False
    """Whether it is made from the inch, the foot or the yard."""

    def __repr__(self) -> str:
        """Short, as it stands in the signature of every function with a unit."""
        return f"<unit {self.text}>" if self.text else "<no unit>"

    @property
    def is_difference(self) -> bool:
        """Whether it measures a difference of temperatures and no temperature: "Δ°C", "delta_degF"."""
        return self.text.startswith(("Δ", "delta_"))

    @property
    def is_inside(self) -> bool:
        """Whether a number alone is in it: the unit used inside. A ratio is a number, "15 %" or 0.15."""
        return self.kind is RATIO or (math.isclose(self.scale, 1.0) and self.offset == 0.0)

    def to_base(self, shown: Any) -> Any:
        return shown * self.scale + self.offset

    def from_base(self, inside: Any) -> Any:
        return (inside - self.offset) / self.scale

    def rounded(self, inside: float, decimals: int | None = None, rounding: Rounding = Rounding.NEAREST) -> float:
        """The number that `show` prints, in this unit.

        A number that is advised is rounded to the safe side: "at least" up, "at most" down.
        """
        places = self.decimals if decimals is None else decimals
        shown = float(self.from_base(inside))
        if rounding is Rounding.NEAREST:
            return round(shown, places) + 0.0  # + 0.0 turns -0.0 into 0.0
        steps = shown * 10.0**places
        # What is a printed number but for the rounding of binary numbers stays.
        whole = math.ceil(steps - _NOISE) if rounding is Rounding.UP else math.floor(steps + _NOISE)
        return round(whole / 10.0**places, places) + 0.0

    def show(
        self,
        inside: float,
        decimals: int | None = None,
        *,
        sign: bool = False,
        rounding: Rounding = Rounding.NEAREST,
    ) -> str:
        """`inside` as text in this unit; the decimals default to those customary for the unit.

        A force of 10,000 or more is an estimate of three figures, "29.3 kN", unless decimals are asked for.
        """
        if decimals is None and self.kind is FORCE and abs(float(self.from_base(inside))) >= _MANY:
            return self._in_three_figures(float(inside), sign, rounding)
        places = self.decimals if decimals is None else decimals
        shown = self.rounded(inside, places, rounding)
        return f"{shown:{'+' if sign else ''}.{places}f}{'' if self.text in ('', '%') else ' '}{self.text}"

    def _in_three_figures(self, inside: float, sign: bool, rounding: Rounding) -> str:
        used = unit("kN") if self.text == "N" else self
        places = 3 - math.ceil(math.log10(abs(float(used.from_base(inside))) * (1 + _NOISE)))
        return f"{used.rounded(inside, places, rounding):{'+' if sign else ''}.{max(places, 0)}f} {used.text}"

    def up(self, inside: float, decimals: int | None = None) -> str:
        """`show`, never less than `inside`: for "at least" and for how much to change."""
        return self.show(inside, decimals, rounding=Rounding.UP)

    def down(self, inside: float, decimals: int | None = None) -> str:
        """`show`, never more than `inside`: for "at most"."""
        return self.show(inside, decimals, rounding=Rounding.DOWN)

    def decimals_of(self, *inside: float) -> int:
        """Decimals with which some values are told apart: those customary, or more where they lie close together.

        As many as round none of them by more than a twentieth of their range; four more than customary at the most.
        """
        wide = max(inside) - min(inside)
        for places in range(self.decimals, self.decimals + 4):
            off = max(abs(float(self.to_base(self.rounded(one, places))) - one) for one in inside)
            if off <= wide / 20 + _NOISE:
                return places
        return self.decimals + 4

    def exact_places(self, inside: float, decimals: int | None = None) -> int | None:
        """The decimals, up to three more than usual, with which a value is printed as it is; None where none do."""
        first = self.decimals if decimals is None else decimals
        for places in range(first, first + 4):
            if self.rounded(inside, places, Rounding.UP) == self.rounded(inside, places, Rounding.DOWN):
                return places
        return None

    def exactly(self, inside: float, decimals: int | None = None, rounding: Rounding = Rounding.NEAREST) -> str:
        """`show` with up to three decimals more where they say the value as it is; else rounded as asked."""
        exact = self.exact_places(inside, decimals)
        return self.show(inside, decimals, rounding=rounding) if exact is None else self.show(inside, exact)

    def decimals_between(self, least: float, most: float) -> int:
        """Decimals with which `least` rounded up is not above `most`: those customary, or more for a narrow window.

        `least` and `most` in the inside unit. Eight more at the most: what is narrower than that is one number.
        """
        first = self.decimals
        for places in range(first, first + 8):
            if self.rounded(least, places, Rounding.UP) <= self.rounded(most, places, Rounding.DOWN):
                return places
        return first + 8

    @property
    def decimals(self) -> int:
        """Decimals customary on a drawing in this unit (common practice, no source).

        As many as it takes for the last one to be worth at most five times the step customary for its kind: 2 in mm, 3
        in inches, 4 in feet, 5 in metres.
        """
        step = _STEPS.get(self.kind)
        return 2 if step is None else max(0, math.ceil(math.log10(self.scale / (5 * step)) - _NOISE))


_NOISE = 1e-9
_MANY = 1e4
_STEPS = {LENGTH: 0.01, FORCE: 1.0, STRESS: 1.0, TORQUE: 0.01, MASS: 0.01, ANGLE: math.pi / 180 * 0.01}
"""The last printed step customary for a kind, in its inside unit; two decimals for any other kind."""

MM = Unit("mm", LENGTH)
INCH = Unit("in", LENGTH, 25.4, inch=True)
PLAIN = Unit("", RATIO)
PERCENT = Unit("%", RATIO, 0.01)

GRAVITY = 9.80665
"""m/s², standard value (CGPM 1901)."""

# Exact by definition; NIST SP 811:2008, appendix B, from memory: the pound in kg, and by standard gravity in N.
_FOOT, _POUND_MASS = 12 * 25.4, 0.45359237
_LBF = _POUND_MASS * GRAVITY
_PSI = _LBF / 25.4**2
_RPM, _DEGREE = 2 * math.pi / 60, math.pi / 180


def _defined() -> Iterator[tuple[str, Unit]]:
    """The units of a workshop, by pint's words for them."""
    plain: Mapping[Kind, Mapping[str, float]] = {
        LENGTH: {"millimeter": 1.0, "cm": 10.0, "m": 1000.0, "µm": 1e-3, "um": 1e-3},
        FORCE: {"N": 1.0, "kN": 1000.0, "lbf": _LBF, "ounce_force": _LBF / 16},
        STRESS: {
            **{"MPa": 1.0, "GPa": 1000.0, "kPa": 1e-3, "Pa": 1e-6, "N/mm²": 1.0, "N/mm**2": 1.0, "N/mm^2": 1.0},
            **{"psi": _PSI, "ksi": 1000 * _PSI},
        },
        TORQUE: {"N * m": 1.0, "N * cm": 1e-2, "N * mm": 1e-3, "kN * m": 1000.0},
        ANGLE: {"rad": 1.0, "mrad": 1e-3, "degree": _DEGREE, "deg": _DEGREE},
        MASS: {"kg": 1.0, "g": 1e-3, "lb": _POUND_MASS, "oz": _POUND_MASS / 16},
        SPEED: {"rad/s": 1.0, "deg/s": _DEGREE, "rpm": _RPM, "turn / second": 2 * math.pi},
        EXPANSION: {"1/K": 1.0},
        POWER: {"W": 1.0, "kW": 1000.0, "mW": 1e-3},
        RATIO: {"percent": 0.01, "ppm": 1e-6},
    }
    for kind, scales in plain.items():
        yield from ((words, Unit(words, kind, scale)) for words, scale in scales.items())
    lengths = {"inch": 25.4, "thou": 0.0254, "ft": _FOOT, "foot": _FOOT}
    yield from ((words, Unit(words, LENGTH, scale, inch=True)) for words, scale in lengths.items())
    for arm, length in {"inch": 25.4, "foot": _FOOT}.items():
        for weight, force in {"lbf": _LBF, "ounce_force": _LBF / 16}.items():
            words = f"{arm} * {weight}"
            yield words, Unit(words, TORQUE, length * force / 1000, inch=True)
    yield "degree_Celsius", Unit("degree_Celsius", TEMPERATURE)
    yield "degree_Fahrenheit", Unit("degree_Fahrenheit", TEMPERATURE, 5 / 9, -160 / 9)
    yield "K", Unit("K", TEMPERATURE, 1.0, -273.15)


_DEFINED = dict(_defined())
_INSIDE = {kind.base: Unit(kind.base, kind) for kind in KINDS}
_KNOWN = {**_INSIDE, "in": INCH, '"': INCH, "″": INCH}


_EXAMPLES = "mm, in, N, lbf, MPa, ksi, N·m, in·lbf, deg, °C"
# Letters and signs, and numbers as exponents only: "kg/m^3", "m2", "1/K".
_UNIT_TEXT = re.compile(r"(?:1\s*/\s*)?[^\W\d_][^\d±+]*(?:(?<!\s)-?\d[^\d±+]*)*|[°%][^\d±+]*", re.DOTALL)
# "1 1/2 in": a fraction is one of an inch, so that a tolerance such as 12 +0.1/0 keeps its stroke.
_FRACTION = re.compile(r"^\s*(?:(\d{1,3})[ -])?([1-9]\d?)/([1-9]\d?)(\s*(?:in\b|inch|[\"″]))", re.ASCII)


def decimal_inches(text: str) -> str:
    """The text with a fraction of an inch at its start as a decimal: "1 1/2 in" is "1.5 in", a pitch of "1/20 in" 0.05.

    >>> decimal_inches("1 1/2 in ± 0.01")
    '1.5 in ± 0.01'
    """
    return _FRACTION.sub(lambda m: f"{int(m[1] or 0) + int(m[2]) / int(m[3]):.10g}{m[4]}", text)


def unit(text: str) -> Unit:
    """The unit written as `text`, of any kind in `KINDS`; `UnitError` for any other.

    >>> unit("in·lbf").kind.name, round(unit("in·lbf").to_base(1.0), 4)
    ('torque', 0.113)
    """
    if not isinstance(text, str):
        raise UnitError(f"unit = {brief(text)}: the text of a unit is needed, for example {_EXAMPLES}")
    return _unit_spelled(text.strip().replace("μ", "µ"))


@lru_cache(maxsize=512)
def _unit_spelled(text: str) -> Unit:
    if text in _KNOWN:
        return _KNOWN[text]
    if text in _MEANT:
        raise UnitError(f"unit {brief(text)} is not read, as it may mean two things: write {_MEANT[text]}")
    if not _UNIT_TEXT.fullmatch(text):  # pint would read a number in it as a factor
        raise UnitError(f"{brief(text, 40)} is no unit: one is needed alone, for example {_EXAMPLES}")
    words = _spelled(text)
    if words in _DEFINED:
        defined = _DEFINED[words]
        return Unit(text, defined.kind, defined.scale, defined.offset, defined.inch)
    try:
        one = _registry().Quantity(1.0, words)
    except Exception:  # pint raises many kinds for unreadable text; all mean the same here
        raise UnitError(f"unknown unit {brief(text)}: for example {_EXAMPLES}") from None
    return _unit_of(one, text)


_INCHES = re.compile(r"\b(?:micro|milli)?(?:inch|thou|foot|yard)\b")
_TURNS = re.compile(r"deg(?!ree_)|rad|arcm|arcs|turn|grad|rev|rpm")
_SIZES = (0.999e-6, 1.001e6)


def _unit_of(one: Any, text: str) -> Unit:
    """The unit of the quantity `one`, of magnitude 1, called `text`."""
    words = str(one.units)
    # An angle has no dimension either, nor has a turn a second another than 1/s; only the words tell them apart.
    turns = bool(_TURNS.search(words))
    for kind in KINDS:
        if (kind in (ANGLE, SPEED) and not turns) or (kind is RATIO and turns):
            continue
        try:
            # A difference of temperatures has no zero; it is no temperature, and `read` refuses it as one.
            inside = "kelvin" if kind is TEMPERATURE and re.fullmatch(r"delta_\w+", words) else kind.pint_name
            scale = float(one.to(inside).magnitude)
            offset = float(type(one)(0.0, one.units).to(inside).magnitude) if kind is TEMPERATURE else 0.0
        except Exception:  # pint's errors for another dimension
            continue
        scale -= offset
        if not _SIZES[0] <= scale <= _SIZES[1]:
            near = (
                f", {kind.base} with its letters as they stand here" if text.casefold() == kind.base.casefold() else ""
            )
            raise UnitError(
                f"unit {brief(text)} is {scale:g} {kind.base}, no unit of a workshop: write {kind.example}{near}"
            )
        return Unit(text, kind, scale, offset, bool(_INCHES.search(words)))
    if not turns and one.dimensionality == _registry().Quantity(1.0, "hertz").dimensionality:
        raise UnitError(f"unit {brief(text)} says neither turns nor an angle: write {_MEANT['Hz']}")
    raise UnitError(f"unit {brief(text)} is of no kind used here: {', '.join(kind.name for kind in KINDS)}")


_SHOWN = (
    *("mm", "in", "µm", "thou", "m", "ft", "N", "lbf", "kN", "MPa", "ksi", "psi", "GPa", "N·m", "in·lbf", "ft·lbf"),
    *("deg", "rad", "°C", "°F", "kg", "g", "lb", "oz", "rpm", "rad/s", "1/K", "%", ""),
)


def is_quantity(value: Any) -> bool:
    """Whether it is a pint quantity, of any registry.

    >>> is_quantity(quantity(6.35, INCH)), is_quantity(6.35)
    (True, False)
    """
    return hasattr(value, "magnitude") and hasattr(value, "units") and hasattr(value, "to")


def unit_of_quantity(value: Any) -> Unit:
    """The unit of a pint quantity of any registry, by its usual short name; `UnitError` for one of no kind.

    >>> unit_of_quantity(quantity(6.35, INCH))
    <unit in>
    """
    one = getattr(
        getattr(value, "_REGISTRY", None), "Quantity", type(value)
    )  # a measurement's own type takes no number
    found = _unit_of(one(1.0, value.units), str(value.units))
    for text in _SHOWN:
        known = unit(text) if text else PLAIN
        # To the last digits: a registry may reckon the same factor in another order.
        same = math.isclose(known.scale, found.scale, rel_tol=1e-12)
        if known.kind is found.kind and same and math.isclose(known.offset, found.offset, abs_tol=1e-9):
            return known
    return found


_NUMBER_AND_UNIT = re.compile(r"\s*([-+]?\s*(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?)\s*(.*?)\s*", re.DOTALL)
_THOUSANDS = re.compile(r"(?<![\d.,])[1-9]\d{0,2}(?:,\d{3})+(?![\d,])", re.ASCII)
_DECIMAL_COMMA = re.compile(r"(?<!\d)0*,\d|\d,(?:\d{1,2}|\d{4,})(?!\d)", re.ASCII)


def two_meanings(text: str) -> str:
    """What to write in place of a number such as "1,000", a thousand to one and 1 to another; "" if there is none.

    Beside a number that shows what its comma is ("25,400 ± 0,050") it is clear.

    >>> two_meanings("1,000 mm")
    '1,000 may be read in two ways: write 1000 or 1.000'
    """
    found = None if _DECIMAL_COMMA.search(text) else _THOUSANDS.search(text)
    if found is None:
        return ""
    point = found[0].replace(",", ".", 1) if found[0].count(",") == 1 else ""
    return f"{found[0]} may be read in two ways: write {found[0].replace(',', '')}{' or ' + point if point else ''}"


def read(value: Any, kind: Kind, name: str, *, difference: bool = False, bare: bool = False) -> float:
    """`value` as a float in the inside unit of `kind`.

    `value` is a number already in that unit, a text with its unit, or a pint quantity. Raises `UnitError`
    for a wrong kind and `InputError` for what is not one finite number; both name `name`. Of a `difference`, such as a
    tolerance, the zero of a scale of temperature plays no part. `bare` takes a number alone as one in the inside unit
    for a kind that has none otherwise, where the documentation of the argument says so.

    >>> read("0.250 in", LENGTH, "wall"), read(6.35, LENGTH, "wall")
    (6.35, 6.35)
    """
    return read_stated(value, kind, name, difference=difference, bare=bare)[0]


def read_stated(
    value: Any, kind: Kind, name: str, *, difference: bool = False, bare: bool = False
) -> tuple[float, Unit | None]:
    """Like `read`, and the unit that `value` names, or None for a number alone.

    >>> read_stated("0.250 in", LENGTH, "wall")
    (6.35, <unit in>)
    """
    wanted = f"{kind.with_article} is needed, for example {kind.example}"
    if isinstance(value, str):
        match = _NUMBER_AND_UNIT.fullmatch(decimal_inches(value)) if len(value) < 200 else None
        if hint := two_meanings(value) if match is not None else "":
            raise UnitError(f"{name} = {brief(value)}: {hint}")
        if match is not None and re.match(r"[-+±.,]|\d(?!\s*/)", match[2]):
            raise UnitError(f"{name} = {brief(value)}: {kind.with_article} without tolerance is needed, {kind.example}")
        if match is None:
            raise UnitError(f"{name} = {brief(value)}: {wanted}")
        number = float("".join(match[1].split()).replace(",", "."))
        used = _checked(match[2], kind, name, value) if match[2] else None
        if used is not None and used.is_difference and not difference:
            refuse_difference(name, value, kind)
    elif is_quantity(value):
        try:
            used = unit_of_quantity(value)
        except UnitError as error:
            raise UnitError(f"{name} = {brief(value)}: {error}; {wanted}") from None
        except Exception:  # a registry of another make
            raise UnitError(f"{name} = {brief(value)}: {wanted}") from None
        if used.kind is not kind:
            raise UnitError(f"{name} = {brief(value)} is {used.kind.with_article}: {wanted}")
        if not difference and "delta_" in str(value.units):  # which the usual name of the unit does not say
            refuse_difference(name, value, kind)
        number = value.magnitude
    else:
        number, used = value, None
    if hasattr(number, "std_dev"):
        raise UnitError(
            f"{name} = {brief(value)} has an uncertainty of its own: write a number with plus= for a tolerance, or "
            "fitcheck.stack.measured(value, U) for a measurement"
        )
    if isinstance(number, bool) or not isinstance(number, (int, float, np.integer, np.floating)):
        raise UnitError(f"{name} = {brief(value)}: {wanted}")
    number = finite(name, number, kind.base)
    if used is None and not (bare or kind.bare) and number != 0:
        raise UnitError(f"{name} = {brief(value)} names no unit: {wanted}")
    inside = number if used is None else number * used.scale if difference else used.to_base(number)
    return float(finite(name, inside, kind.base)), used


def read_beside(
    value: Any,
    kind: Kind,
    name: str,
    beside: Unit,
    *,
    what: str = "a quantity",
    difference: bool = False,
    said: str = "",
) -> float:
    """Like `read`, of a value that stands beside `what`, which is in the unit `beside`; `said` as an error shows it.

    A number alone is in the inside unit, as documented; beside inches or lbf it is likelier a forgotten unit, and is
    refused with what to write. 0 is 0 in every unit but those of temperature.

    >>> read_beside("1.93 in", LENGTH, "below", INCH), read_beside(0, LENGTH, "below", INCH)
    (49.022, 0.0)
    """
    inside, used = read_stated(value, kind, name, difference=difference, bare=True)
    nothing = inside == 0 and (difference or kind is not TEMPERATURE)
    if used is None and not beside.is_inside and not nothing:
        number = said or (value.strip() if isinstance(value, str) else f"{inside:.10g}")
        other = beside.text if beside.kind is kind else _BESIDE_INCHES.get(kind, "")
        ways = " or ".join(f"'{number} {one}'" for one in (other, kind.base) if one)
        there = "inches" if beside.kind is LENGTH and beside.scale == INCH.scale else beside.text
        raise UnitError(f"{name} = {number} names no unit, beside {what} in {there}: write {ways}")
    return inside


_BESIDE_INCHES = {LENGTH: "in", FORCE: "lbf", TORQUE: "in·lbf", STRESS: "ksi", MASS: "lb", TEMPERATURE: "°F"}


def refuse_difference(name: str, value: object, kind: Kind) -> NoReturn:
    """Raise `UnitError` for a difference of temperatures where a temperature is needed."""
    raise UnitError(
        f"{name} = {brief(value)} is a difference of temperatures: {kind.with_article} is needed, for example "
        f"{kind.example}"
    )


def refuse_mixed(name: str, units: Mapping[str, Unit | None], values: Mapping[str, Any]) -> None:
    """Raise `UnitError` where one of several values that belong together names a unit and another, not 0, does not."""
    said = [key for key, used in units.items() if used is not None]
    for key, used in units.items():
        if said and used is None and values[key] is not None and values[key] != 0:
            raise UnitError(
                f"{name}: {key} = {brief(values[key])} names no unit, beside {said[0]} = {brief(values[said[0]])}: "
                "both with their unit, or both without, are needed"
            )


def _checked(text: str, kind: Kind, name: str, value: object) -> Unit:
    try:
        used = unit(text)
    except UnitError as error:
        raise UnitError(f"{name} = {brief(value)}: {error}; {kind.with_article} is needed, {kind.example}") from None
    if used.kind is not kind:
        raise UnitError(
            f"{name} = {brief(value)} is {used.kind.with_article}: {kind.with_article} is needed, "
            f"for example {kind.example}"
        )
    return used


def let_quantities_give_way(one: type) -> None:
    """Leave `quantity + one` to `one`, if pint is loaded: it asks whether a type is on its list of those above it.

    Without it a quantity on the left refuses before `one` is asked, and `0.5 * inch + socket` has no answer.
    """
    if "pint" in sys.modules and one not in _ABOVE:
        above = getattr(sys.modules["pint"], "compat", None)
        if isinstance(listed := getattr(above, "upcast_type_map", None), dict):
            listed[f"{one.__module__}.{one.__qualname__}"] = one
            _ABOVE.add(one)


_ABOVE: set[type] = set()

_LOADING = threading.Lock()


@lru_cache(maxsize=1)
def _registry() -> Any:
    """The application's registry, so that quantities made here and by the user can be added.

    Under a lock, as pint builds it at its first use: threads that start together would each see half of it.
    """
    with _LOADING:
        import pint

        registry = pint.get_application_registry()  # type: ignore[no-untyped-call]
        registry.Quantity(1.0, "millimeter").to("inch")
    return registry


def quantity(inside: Any, used: Unit, registry: Any = None) -> Any:
    """`inside` as a pint quantity in the unit `used`.

    inside: a number in the inside unit of its kind, a text with its unit or a quantity. registry: the caller's own pint
    registry, as quantities of two registries cannot be added; that of the application if it is not given
    (`pint.set_application_registry` changes it).

    >>> print(quantity(6.35, INCH))
    0.25 inch
    """
    if registry is not None and not hasattr(registry, "Quantity"):
        raise UnitError(f"registry = {brief(registry)}: a pint.UnitRegistry is needed")
    if not isinstance(used, Unit):
        raise UnitError(f"used = {brief(used)}: a unit is needed, for example fitcheck.units.unit('in')")
    if hasattr(inside, "Quantity"):
        raise UnitError("inside: a pint registry stands where a value is needed: write registry=")
    inside = read(inside, used.kind, "inside", bare=True)
    made = (registry if registry is not None else _registry()).Quantity
    return made(float(used.from_base(inside)), _spelled(used.text) or "dimensionless")
