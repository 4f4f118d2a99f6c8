"""Units at the boundary of the library.

Inside, lengths are mm, forces N, stresses MPa, torques N·m, temperatures °C and angles radians. A public
function takes a plain number in that unit, a text with its unit (`"0.250 in"`, `"12 in·lbf"`), or a pint
quantity; what is of the wrong kind is refused by name.

The conversions are pint's. It is loaded when the first text or quantity with a unit other than the inside
one arrives, because most work at the REPL is in mm and loading pint takes a third of a second.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitcheck.errors import UnitError, finite

FloatArray = NDArray[np.float64]
Number = float | FloatArray
"""What a model takes and returns: a float, or an array that broadcasts with the others."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of quantity: its name, the unit used inside, pint's word for that unit, and an example."""

    name: str
    base: str
    pint_name: str
    example: str

    @property
    def with_article(self) -> str:
        """ "a length", "an angle"."""
        return f"{'an' if self.name[0] in 'aeiou' else 'a'} {self.name}"


LENGTH = Kind("length", "mm", "millimeter", "'12.7 mm' or '0.500 in'")
FORCE = Kind("force", "N", "newton", "'250 N' or '56 lbf'")
STRESS = Kind("stress", "MPa", "megapascal", "'205 MPa' or '30 ksi'")
TORQUE = Kind("torque", "N·m", "newton * meter", "'0.8 N·m' or '7 in·lbf'")
ANGLE = Kind("angle", "rad", "radian", "'120 deg' or '2.094 rad'")
TEMPERATURE = Kind("temperature", "°C", "degree_Celsius", "'20 °C' or '68 °F'")
MASS = Kind("mass", "kg", "kilogram", "'0.35 kg' or '12 oz'")
SPEED = Kind("angular speed", "rad/s", "radian / second", "'6 rad/s' or '60 rpm'")
EXPANSION = Kind("thermal expansion", "1/K", "1 / kelvin", "'23e-6 1/K'")
RATIO = Kind("ratio", "", "", "0.15 or '15 %'")

KINDS = (LENGTH, FORCE, STRESS, TORQUE, TEMPERATURE, MASS, SPEED, EXPANSION, ANGLE, RATIO)

# Spellings of the workshop that pint reads differently or not at all.
_SPELLINGS = {
    '"': "inch",
    "″": "inch",
    "in": "inch",
    "Nm": "newton * meter",
    "rev/min": "rpm",
    "1/min": "rpm",
    "in-lb": "inch * lbf",
    "in·lb": "inch * lbf",
    "in lb": "inch * lbf",
    "lb·in": "inch * lbf",
    "ft-lb": "foot * lbf",
    "ft·lb": "foot * lbf",
    "°": "degree",
    "°C": "degree_Celsius",
    "°F": "degree_Fahrenheit",
    "C": "degree_Celsius",
    "F": "degree_Fahrenheit",
    "%": "percent",
}


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit for display: `inside = shown * scale + offset`."""

    text: str
    kind: Kind
    scale: float = 1.0
    offset: float = 0.0

    def __repr__(self) -> str:
        """Short, as it stands in the signature of every function with a unit."""
        return f"<unit {self.text}>" if self.text else "<no unit>"

    def to_base(self, shown: Any) -> Any:
        return shown * self.scale + self.offset

    def from_base(self, inside: Any) -> Any:
        return (inside - self.offset) / self.scale

    def show(self, inside: float, decimals: int | None = None, *, sign: bool = False) -> str:
        """`inside` as text in this unit; the decimals default to those customary for the unit."""
        places = self.decimals if decimals is None else decimals
        shown = round(float(self.from_base(inside)), places) + 0.0  # + 0.0 turns -0.0 into 0.0
        return f"{shown:{'+' if sign else ''}.{places}f}{'' if self.text in ('', '%') else ' '}{self.text}"

    @property
    def of_inches(self) -> bool:
        """Whether it is an inch, a foot or a part of an inch."""
        millionths = self.scale / 25.4e-6
        return self.kind is LENGTH and abs(millionths - round(millionths)) < 1e-6

    @property
    def decimals(self) -> int:
        """Decimals customary on a drawing in this unit (common practice, no source)."""
        return {"mm": 2, "in": 3, "N": 0, "lbf": 0, "MPa": 0, "N·m": 2, "in·lbf": 1}.get(self.text, 2)


MM = Unit("mm", LENGTH)
INCH = Unit("in", LENGTH, 25.4)
PLAIN = Unit("", RATIO)

_INSIDE = {kind.base: Unit(kind.base, kind) for kind in KINDS}
_KNOWN = {**_INSIDE, "in": INCH, '"': INCH, "″": INCH}


_EXAMPLES = "mm, in, N, lbf, MPa, ksi, N·m, in·lbf, deg, °C"
# Letters and signs, and numbers as exponents only: "kg/m^3", "m2", "1/K".
_UNIT_TEXT = re.compile(r"(?:1\s*/\s*)?[^\W\d_][^\d±+]*(?:(?<!\s)-?\d[^\d±+]*)*|[°%][^\d±+]*", re.DOTALL)
# "1 1/2 in": a fraction is one of an inch, so that a tolerance such as 12 +0.1/0 keeps its stroke.
_FRACTION = re.compile(r"^\s*(?:(\d{1,3})[ -])?(\d{1,2})/(2|4|8|16|32|64)(\s*(?:in\b|[\"″]))", re.ASCII)


def decimal_inches(text: str) -> str:
    """The text with a fraction of an inch at its start as a decimal: "1 1/2 in" is "1.5 in"."""
    return _FRACTION.sub(lambda m: f"{int(m[1] or 0) + int(m[2]) / int(m[3]):.10g}{m[4]}", text)


@lru_cache(maxsize=512)
def unit(text: str) -> Unit:
    """The unit written as `text`, of any kind in `KINDS`; `UnitError` for any other."""
    text = text.strip().replace("μ", "µ")  # Greek mu and the micro sign look alike
    if text in _KNOWN:
        return _KNOWN[text]
    if not _UNIT_TEXT.fullmatch(text):  # pint would read a number in it as a factor
        raise UnitError(f"{text!r} is no unit: one is needed alone, for example {_EXAMPLES}")
    registry = _registry()
    spelled = _SPELLINGS.get(text, text).replace("·", "*").replace("⋅", "*")
    try:
        one = registry.Quantity(1.0, spelled)
        zero = registry.Quantity(0.0, spelled)
    except Exception:  # pint raises many kinds for unreadable text; all mean the same here
        raise UnitError(f"unknown unit {text!r}: for example {_EXAMPLES}") from None
    for kind in _candidates(text):
        if one.check(registry.Quantity(1.0, kind.pint_name).dimensionality):
            offset = float(zero.to(kind.pint_name).magnitude)
            return Unit(text, kind, float(one.to(kind.pint_name).magnitude) - offset, offset)
    kinds = ", ".join(kind.name for kind in KINDS)
    raise UnitError(f"unit {text!r} is of no kind used here: {kinds}")


def _candidates(text: str) -> tuple[Kind, ...]:
    # An angle has no dimension either; only its spelling tells it from a ratio.
    is_angle = bool(re.search(r"deg|rad|°|arcmin|arcsec|turn|grad", text))
    return tuple(kind for kind in KINDS if kind is not (RATIO if is_angle else ANGLE))


_NUMBER_AND_UNIT = re.compile(r"\s*([-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?)\s*(.*?)\s*", re.DOTALL)


def read(value: Any, kind: Kind, name: str) -> float:
    """`value` as a float in the inside unit of `kind`.

    `value` is a number already in that unit, a text with its unit, or a pint quantity. Raises `UnitError`
    for a wrong kind and `InputError` for what is not one finite number; both name `name`.
    """
    if isinstance(value, str):
        match = _NUMBER_AND_UNIT.fullmatch(decimal_inches(value)) if len(value) < 200 else None
        if match is not None and re.match(r"[-+±.,]|\d(?!\s*/)", match[2]):
            raise UnitError(f"{name} = {value!r}: {kind.with_article} without tolerance is needed, {kind.example}")
        if match is None:
            shown = value if len(value) < 60 else value[:60] + "..."
            raise UnitError(f"{name} = {shown!r}: {kind.with_article} is needed, for example {kind.example}")
        number = float(match[1].replace(",", "."))
        used = _checked(match[2], kind, name, value) if match[2] else _INSIDE[kind.base]
        return float(finite(name, used.to_base(number), kind.base))
    if hasattr(value, "magnitude") and hasattr(value, "to"):
        try:
            inside = value.to(kind.pint_name).magnitude
        except Exception:  # pint's errors for a wrong dimension; a magnitude that is no number fails below
            raise UnitError(f"{name} = {value}: {kind.with_article} is needed, for example {kind.example}") from None
        return float(finite(name, inside, kind.base))
    if isinstance(value, bool) or not isinstance(value, (int, float, np.integer, np.floating)):
        raise UnitError(f"{name} = {value!r}: {kind.with_article} is needed, for example {kind.example}")
    return float(finite(name, value, kind.base))


def stated_unit(value: Any, kind: Kind) -> Unit:
    """The unit a value that `read` accepts is stated in; the inside unit if it states none that can be shown."""
    match = _NUMBER_AND_UNIT.fullmatch(decimal_inches(value)) if isinstance(value, str) else None
    return unit(match[2]) if match and match[2] else _INSIDE[kind.base]


def _checked(text: str, kind: Kind, name: str, value: object) -> Unit:
    try:
        used = unit(text)
    except UnitError as error:
        raise UnitError(f"{name} = {value!r}: {error}; {kind.with_article} is needed, {kind.example}") from None
    if used.kind is not kind:
        raise UnitError(
            f"{name} = {value!r} is {used.kind.with_article}: {kind.with_article} is needed, for example {kind.example}"
        )
    return used


def _registry() -> Any:
    import pint

    # The application's registry, so that quantities made here and by the user can be added.
    return pint.get_application_registry()  # type: ignore[no-untyped-call]


def quantity(inside: float, used: Unit) -> Any:
    """`inside` as a pint quantity in the unit `used`."""
    registry = _registry()
    spelled = _SPELLINGS.get(used.text, used.text).replace("·", "*").replace("⋅", "*")
    return registry.Quantity(float(used.from_base(inside)), spelled or "dimensionless")
