"""How an input of a question is read: a note, a number with a unit, words, one of several; and what may be negative."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Any, ClassVar, Protocol

from fitcheck.errors import InputError, NotationError, UnitError, brief, did_you_mean, finite, one_of
from fitcheck.notation import dim
from fitcheck.stack import Dimension
from fitcheck.tables import table
from fitcheck.units import LENGTH, RATIO, TEMPERATURE, Kind, Unit, read, read_stated, unit


class Stated(float):
    """A number in the inside unit that remembers the unit it was stated in."""

    unit: Unit

    def __new__(cls, inside: float, used: Unit) -> Stated:
        self = super().__new__(cls, inside)
        self.unit = used
        return self

    def __reduce__(self) -> tuple[type[Stated], tuple[float, Unit]]:
        """For pickle and copy: the unit goes along."""
        return Stated, (float(self), self.unit)


_OF_INCHES = {"N": "lbf", "MPa": "ksi", "N·m": "in·lbf", "mm": "in"}
"""What a workshop of inches measures a kind in, by its inside unit."""


def stated_in(value: float | None, kind: Kind, *, beside: Unit | None = None) -> Unit:
    """The unit in which to answer about `value`: the one it was stated in, else the inside unit of its kind.

    beside: a unit that was stated with it: where that is of the inch, so is the answer about what was not stated.
    """
    if isinstance(value, Stated):
        return value.unit
    return unit(_OF_INCHES.get(kind.base, kind.base) if beside is not None and beside.inch else kind.base)


class Sign(Enum):
    """What an input must be; a dimension must be so over its whole zone."""

    ANY = "any"
    POSITIVE = "positive"
    NOT_NEGATIVE = "not negative"
    STACKED = "not negative before its tolerance"
    """A length that is added to others: "0 ± 0.1" is an allowance among them, such as a runout."""

    def kind_words(self, kind: Kind) -> str:
        """The kind with its article: "a length above 0"."""
        which = "" if self is Sign.ANY else " above 0" if self is Sign.POSITIVE else " of at least 0"
        return f"{kind.with_article}{which}"

    def check(self, where: str, value: Dimension | float, kind: Kind) -> None:
        """Raise `InputError` naming `where` unless `value` is so."""
        if isinstance(value, Dimension):
            least = value.nominal if self is Sign.STACKED else value.lower
            shown, zone = str(value), "" if self is Sign.STACKED else " over its whole zone"
        else:
            finite(where, value, kind.base, one=True)
            used = stated_in(value, kind)
            least, shown, zone = value, f"{used.from_base(value):g} {used.text}".rstrip(), ""
        if (least < 0 and self is not Sign.ANY) or (least == 0 and self is Sign.POSITIVE):
            raise InputError(f"{where} = {shown}: {self.kind_words(kind)}{zone} is needed", key=where)


Parts = Mapping[str, Dimension]


PART_NAME = re.compile(r"[A-Za-z_]\w*")


_ITEM = re.compile(r"(?P<list>\w+)\[(?P<number>\d+)\]")


class Reader(Protocol):
    """Reads one input. `where` names it in errors; `expects` says in a few words what is accepted."""

    @property
    def expects(self) -> str: ...
    def read(self, value: Any, where: str, parts: Parts) -> Any: ...
    def schema(self) -> dict[str, Any]:
        """What TOML may hold here, as a JSON Schema; the reader itself is the stricter judge."""
        ...


_TEXT_OR_NUMBER: dict[str, Any] = {"type": ["string", "number"]}


@dataclass(frozen=True, slots=True)
class Toleranced:
    """A toleranced dimension: a drawing note, or the name of a part."""

    kind: Kind = LENGTH
    sign: Sign = Sign.ANY

    @property
    def expects(self) -> str:
        return f"{self.sign.kind_words(self.kind)} with its tolerance, or the name of a part"

    def read(self, value: Any, where: str, parts: Parts) -> Dimension:
        if isinstance(value, str) and PART_NAME.fullmatch(value):
            if value not in parts:
                known = f"; the parts are {', '.join(parts)}" if parts else ""
                raise NotationError(
                    f"{where} = {brief(value)}: no part has this name{did_you_mean(value, parts)}{known}"
                )
            part = parts[value]
            if part.unit.kind is not self.kind:
                raise UnitError(
                    f"{where} = {brief(value)}: this part is {Sign.ANY.kind_words(part.unit.kind)}, {part}: "
                    f"{self.sign.kind_words(self.kind)} is needed, for example {self.kind.example}"
                )
            return part
        if self.kind is LENGTH:
            _refuse_bare_cell(value, where)
        read_as = dim(value, name=where, kind=self.kind)
        # Errors name the key as it is written; results name the input in words.
        return read_as if read_as is value else dataclasses.replace(read_as, name=_in_words(where, read_as))

    def schema(self) -> dict[str, Any]:
        return _TEXT_OR_NUMBER


def _refuse_bare_cell(value: Any, where: str) -> None:
    """Refuse "18650", which names a cell and would be a length of 18 m."""
    if not isinstance(value, str) and not (isinstance(value, (int, float)) and 0 < value < 1e6):
        return
    bare = str(value).strip().removesuffix(".0")
    if bare.isdigit() and any(bare == row["cell"] for row in table("cells").rows):
        raise NotationError(
            f"{where} = {brief(value)}: write 'cell {bare}' for the cell of this name; as a length it is "
            f"{int(bare) / 1000:g} m, to be written '{bare} mm'"
        )


def _in_words(where: str, read_as: Dimension) -> str:
    """What results call a dimension that has no name but its key: "wall thickness", "takes no. 2 (14.5 ± 0.3 mm)"."""
    item = _ITEM.fullmatch(where)
    return f"{item['list'].replace('_', ' ')} no. {item['number']} ({read_as})" if item else where.replace("_", " ")


@dataclass(frozen=True, slots=True)
class Several:
    """A list, every item read by the same reader."""

    each: Reader

    @property
    def expects(self) -> str:
        return f"a list, each item {self.each.expects}"

    def read(self, value: Any, where: str, parts: Parts) -> tuple[Any, ...]:
        if not isinstance(value, (list, tuple)):
            raise InputError(f"{where} = {brief(value)}: {self.expects} is needed")
        items: list[Any] = []
        wrong: list[InputError] = []
        for i, item in enumerate(value, start=1):
            try:
                items.append(self._read_item(item, f"{where}[{i}]", parts))
            except InputError as error:
                wrong.append(error)
        if wrong:
            wrong[0].others = tuple(wrong[1:])
            raise wrong[0]
        return tuple(items)

    def _read_item(self, item: Any, where: str, parts: Parts) -> Any:
        try:
            return self.each.read(item, where, parts)
        except InputError as error:
            error.key = where
            raise

    def schema(self) -> dict[str, Any]:
        return {"type": "array", "items": self.each.schema()}


@dataclass(frozen=True, slots=True)
class Exact:
    """A number without tolerance, such as a requirement: in the inside unit, or with its unit."""

    kind: Kind = LENGTH
    sign: Sign = Sign.ANY

    @property
    def expects(self) -> str:
        return f"{self.sign.kind_words(self.kind)} such as {self.kind.example}"

    def read(self, value: Any, where: str, parts: Parts) -> Stated:
        if isinstance(value, Stated) and value.unit.kind is self.kind:  # read before, as an angle of a planned build
            return value
        inside, used = read_stated(value, self.kind, where)
        return Stated(inside, used or unit(self.kind.base))

    def schema(self) -> dict[str, Any]:
        return _TEXT_OR_NUMBER


@dataclass(frozen=True, slots=True)
class Colder:
    """By how much something gets colder, K: a difference of temperatures, of at least 0."""

    expects: ClassVar[str] = "a difference of temperatures such as '25 K' or '45 °F'"

    def read(self, value: Any, where: str, parts: Parts) -> float:
        colder = read(value, TEMPERATURE, where, difference=True)
        if colder < 0:
            raise InputError(f"{where} = {brief(value)}: {self.expects} of at least 0 is needed")
        return colder

    def schema(self) -> dict[str, Any]:
        return _TEXT_OR_NUMBER


@dataclass(frozen=True, slots=True)
class Fraction:
    """A probability: above 0 and below 1."""

    expects: ClassVar[str] = "a probability above 0 and below 1, such as 0.001 or '0.1 %'"

    def read(self, value: Any, where: str, parts: Parts) -> float:
        number = read(value, RATIO, where)
        if not 0 < number < 1:
            raise InputError(f"{where} = {brief(value)}: {self.expects} is needed")
        return number

    def schema(self) -> dict[str, Any]:
        return {"anyOf": [{"type": "number", "exclusiveMinimum": 0, "exclusiveMaximum": 1}, {"type": "string"}]}


@dataclass(frozen=True, slots=True)
class Count:
    """A whole number of at least 1."""

    expects: ClassVar[str] = "a whole number of at least 1"

    def read(self, value: Any, where: str, parts: Parts) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or value < 1:
            raise InputError(f"{where} = {brief(value)}: {self.expects} is needed")
        return value

    def schema(self) -> dict[str, Any]:
        return {"type": "integer", "minimum": 1}


@dataclass(frozen=True, slots=True)
class Words:
    """Free text."""

    expects: ClassVar[str] = "text"

    def read(self, value: Any, where: str, parts: Parts) -> str:
        if not isinstance(value, str):
            raise InputError(f"{where} = {brief(value)}: text is needed")
        return value

    def schema(self) -> dict[str, Any]:
        return {"type": "string"}


@dataclass(frozen=True, slots=True)
class Choice:
    """One of a few words."""

    options: tuple[str, ...]

    @property
    def expects(self) -> str:
        return "one of " + ", ".join(self.options)

    def read(self, value: Any, where: str, parts: Parts) -> str:
        return one_of(where, value, self.options)

    def schema(self) -> dict[str, Any]:
        return {"enum": list(self.options)}
