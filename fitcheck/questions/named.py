"""Inputs that may be given by a name of a table: threads, materials, friction, hands, shear rules, coatings, cells."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from fitcheck import threads
from fitcheck.basis import Basis
from fitcheck.errors import InputError, NotationError, brief, did_you_mean, name_some, one_of
from fitcheck.mechanics import (
    Material,
    Range,
    clamp_kept,
    clamp_kept_names,
    friction,
    friction_names,
    hand_torque,
    hand_torque_names,
    heat_names,
    material,
    material_names,
    shear_rules,
)
from fitcheck.questions.cells import _USUAL, _named, cell_size
from fitcheck.questions.readers import Fraction, Parts, Sign, Toleranced
from fitcheck.stack import Dimension, between, dimension
from fitcheck.tables import table
from fitcheck.threads import Thread
from fitcheck.threads.coating import Coating, coating, coatings
from fitcheck.units import LENGTH, RATIO, TORQUE, Kind, unit


@dataclass(frozen=True, slots=True)
class ThreadText:
    """A thread designation of one gender."""

    external: bool

    @property
    def expects(self) -> str:
        return f"an {'external' if self.external else 'internal'} thread such as {self._example!r}"

    @property
    def _example(self) -> str:
        return "M4x0.7-6g" if self.external else "M4x0.7-6H"

    def read(self, value: Any, where: str, parts: Parts) -> Thread:
        if isinstance(value, Thread):
            found = value
        else:
            try:
                found = threads.thread(value, external=self.external)
            except InputError as error:
                raise type(error)(f"{where}: {error}") from None
        if found.external is not self.external:
            raise InputError(f"{where} = {found.designation!r} is the other half of a pair: {self.expects} is needed")
        return found

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "examples": [self._example]}


@dataclass(frozen=True, slots=True)
class HoleSize:
    """The diameter of a hole, or the thread in it, which reaches to its major diameter."""

    kind: ClassVar[Kind] = LENGTH
    sign: ClassVar[Sign] = Sign.POSITIVE
    plain: ClassVar[Toleranced] = Toleranced(sign=Sign.POSITIVE)

    @property
    def expects(self) -> str:
        return f"{self.plain.expects}, or the thread of the hole such as 'M4'"

    def read(self, value: Any, where: str, parts: Parts) -> Dimension:
        try:
            return self.plain.read(value, where, parts)
        except InputError as error:
            try:
                found = threads.thread(value, external=False)
            except InputError:
                raise type(error)(f"{error}; or the thread of the hole, such as 'M4'", key=error.key) from None
        return dimension(
            found.nominal,
            name=where.replace("_", " "),
            unit=unit(found.unit),
            origin=f"major diameter of {found.size_and_pitch}",
            basis=Basis.STANDARD,
        )

    def schema(self) -> dict[str, Any]:
        return self.plain.schema()


@dataclass(frozen=True, slots=True)
class MaterialName:
    """A material of the table of materials; that of a screw is named by its class."""

    screw: bool = False

    @property
    def expects(self) -> str:
        return f"a material of the table, such as {_SCREWS if self.screw else _STOCK}"

    def read(self, value: Any, where: str, parts: Parts) -> Material:
        if isinstance(value, Material):
            return value
        try:
            return material(value)
        except InputError as error:
            classes = f"; a screw has a class, such as {_SCREWS}" if self.screw else ""
            raise type(error)(f"{where}: {error}{classes}") from None

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "examples": material_names()}


_SCREWS = "'45H' or 'A2-70'"
_STOCK = "'6061-T6', or 'aluminium, unknown'"


@dataclass(frozen=True, slots=True)
class NamedRange:
    """A toleranced dimension, or the name of a range of a table such as a friction class; parts come first."""

    kind: Kind
    names: Callable[[], Iterable[str]]
    find: Callable[[str], Range]
    sign: Sign = Sign.ANY

    @property
    def expects(self) -> str:
        return f"{Toleranced(self.kind, self.sign).expects}, or one of {', '.join(self.names())}"

    @property
    def needed(self) -> str:
        """`expects`, as an error says it: not all of many names."""
        return f"{Toleranced(self.kind, self.sign).expects}, or one of {name_some(self.names())}"

    def is_name(self, value: Any, parts: Parts) -> bool:
        """Whether a value is a name of the table, and no part's."""
        known = map(str.casefold, self.names())
        return isinstance(value, str) and value not in parts and value.strip().casefold() in known

    def read(self, value: Any, where: str, parts: Parts) -> Dimension:
        if self.is_name(value, parts):
            found = self.find(value)
            return between(
                found.low,
                found.high,
                found.middle,
                name=where.replace("_", " "),
                unit=unit(self.kind.base),
                origin=f"{found.name}: {found.meaning} ({found.source})",
                basis=found.rests_on,
            )
        if isinstance(value, str) and value not in parts and not any(letter.isdigit() for letter in value):
            # Not a note; the names of the table are the likelier meaning, so they are listed with the parts.
            known = [*self.names(), *parts]
            raise InputError(f"{where} = {brief(value)}: {self.needed} is needed{did_you_mean(value, known)}")
        return Toleranced(self.kind, self.sign).read(value, where, parts)

    def schema(self) -> dict[str, Any]:
        return {"type": ["string", "number"], "examples": list(self.names())}


@dataclass(frozen=True, slots=True)
class RangeByName:
    """A range of a table by its name, as a dimension; what has no unit at a bench is given no other way."""

    table: str
    find: Callable[[str], Range]
    kind: Kind = RATIO

    @property
    def expects(self) -> str:
        return f"one of {', '.join(heat_names(self.table))}"

    def read(self, value: Any, where: str, parts: Parts) -> Dimension:
        if isinstance(value, Dimension):  # read before: one of the table, and no other
            zone = value.lower, value.nominal, value.upper
            known = (self._of(name, where) for name in heat_names(self.table))
            if any(zone == (one.lower, one.nominal, one.upper) for one in known):
                return value
        return self._of(one_of(where, value, heat_names(self.table)), where)

    def _of(self, name: str, where: str) -> Dimension:
        found = self.find(name)
        return between(
            found.low,
            found.high,
            found.middle,
            name=f"{where.replace('_', ' ')} ({found.name})",
            unit=unit(self.kind.base),
            origin=f"{found.name}: {found.meaning}, {found.unit} ({found.source})",
            basis=found.rests_on,
        )

    def schema(self) -> dict[str, Any]:
        return {"enum": heat_names(self.table)}


FRICTION = NamedRange(RATIO, friction_names, friction, Sign.NOT_NEGATIVE)
"""A coefficient of friction, or the name of a friction class."""
CLAMP_KEPT = NamedRange(RATIO, clamp_kept_names, clamp_kept, Sign.NOT_NEGATIVE)
"""The part of its clamp load that a screw keeps, or the name of what it presses on."""
HAND_TORQUE = NamedRange(TORQUE, hand_torque_names, hand_torque, Sign.POSITIVE)
"""A torque put on by hand, or the name of a way to do so."""


@dataclass(frozen=True, slots=True)
class ShearRule:
    """A rule for the shear strength of a material that has none printed; None or "none" refuses such a material."""

    expects: ClassVar[str] = "the name of a shear rule such as 'bolting 0.6', or 'none'"

    def read(self, value: Any, where: str, parts: Parts) -> str | None:
        if value is None or (isinstance(value, str) and value == "none"):
            return None
        return one_of(where, value, (*shear_rules(), "none"))

    def schema(self) -> dict[str, Any]:
        return {"enum": [*shear_rules(), "none"]}


_KEYS = ("name", "thickness", "growth")


@dataclass(frozen=True, slots=True)
class CoatingName:
    """Reads a coating: a name of the table, or `{ name, thickness, growth }`."""

    @property
    def expects(self) -> str:
        return f"a coating ({', '.join(coatings())}), or {{ name, thickness, growth }} with the film on each surface"

    def read(self, value: Any, where: str, parts: Parts) -> Coating:
        if isinstance(value, Coating):
            return value
        about = {"name": value} if isinstance(value, str) else value
        if not isinstance(about, Mapping) or not isinstance(about.get("name"), str):
            raise InputError(f"{where} = {brief(value)}: {self.expects} is needed")
        for key in about:
            if key not in _KEYS:
                raise InputError(f"{where}.{key}: unknown; accepted are {', '.join(_KEYS)}")
        growth = about.get("growth")
        if growth is not None and growth != 1:
            growth = Fraction().read(growth, f"{where}.growth", parts)
        try:
            found = coating(about["name"], about.get("thickness"), growth)
        except InputError as error:
            raise type(error)(f"{where}: {error}") from None
        # A film of its own: two parts are not coated alike because one name stands for both.
        return dataclasses.replace(found, thickness=dataclasses.replace(found.thickness, name=f"film, {where}"))

    def schema(self) -> dict[str, Any]:
        size: dict[str, Any] = {"type": ["string", "number"]}
        table = {
            "type": "object",
            "properties": {"name": {"type": "string"}, "thickness": size, "growth": {"type": "number"}},
            "required": ["name"],
            "additionalProperties": False,
        }
        return {"anyOf": [{"type": "string", "examples": list(coatings())}, table]}


@dataclass(frozen=True, slots=True)
class CellSize:
    """A length, or the diameter or length of a cell by its name, or of a usual part."""

    which: str
    sign: Sign = Sign.ANY
    usual: tuple[str, ...] = ("cell",)
    """The usual parts that make sense here."""
    kind: ClassVar[Kind] = LENGTH

    @property
    def plain(self) -> Toleranced:
        return Toleranced(self.kind, self.sign)

    @property
    def expects(self) -> str:
        return f"{self.plain.expects}, or 'cell 18650' and the like, or {' or '.join(map(repr, self._usual_words))}"

    @property
    def _usual_words(self) -> list[str]:
        return [f"usual {part}" for part in self.usual]

    def read(self, value: Any, where: str, parts: Parts) -> Dimension:
        if isinstance(value, str) and value not in parts:
            _refuse_bare_name(value, where)
        if isinstance(value, str) and (match := _USUAL.fullmatch(value)) is not None:
            known = {row["part"] for row in table("usual_sizes").rows}
            if match["name"].lower() in known - {*self.usual}:
                raise NotationError(
                    f"{where} = {brief(value)}: {' or '.join(map(repr, self._usual_words))} can stand here"
                )
        found = cell_size(value, where, self.which)
        return self.plain.read(value, where, parts) if found is None else found

    def schema(self) -> dict[str, Any]:
        return self.plain.schema()


def _refuse_bare_name(value: str, where: str) -> None:
    """Refuse "AA", which names a cell without saying so."""
    name = value.strip()
    if name.casefold() in _named():
        raise NotationError(f"{where} = {brief(value)}: write 'cell {name}' for the cell of this name")
