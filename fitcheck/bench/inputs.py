"""What a question takes in, and how each input is read from text.

A question is a frozen dataclass whose fields are declared with `given(...)`. The declaration carries how the field is
read from a note and a line of documentation. The sheet, the REPL and the error messages all work from these
declarations, so a new question is one small file.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, ClassVar, Protocol, Self

from fitcheck import threads
from fitcheck.bench.finding import Finding
from fitcheck.bench.sign import Sign
from fitcheck.bench.stated import Stated
from fitcheck.errors import InputError, NotationError, UnitError, did_you_mean, one_of
from fitcheck.mechanics import Material, material, material_names
from fitcheck.notation import dim
from fitcheck.stack import Dimension
from fitcheck.tables import table
from fitcheck.threads import Thread
from fitcheck.units import LENGTH, RATIO, Kind, read, stated_unit

Parts = Mapping[str, Dimension]
"""Dimensions that have a name of their own and may be used in several questions."""

_PART_NAME = re.compile(r"[A-Za-z_]\w*")
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
        if isinstance(value, str) and _PART_NAME.fullmatch(value):
            if value not in parts:
                known = f"; the parts are {', '.join(parts)}" if parts else ""
                raise NotationError(f"{where} = {value!r}: no part has this name{did_you_mean(value, parts)}{known}")
            part = parts[value]
            if part.unit.kind is not self.kind:
                raise UnitError(
                    f"{where} = {value!r}: this part is {Sign.ANY.kind_words(part.unit.kind)}, {part}: "
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
    bare = str(value).strip().removesuffix(".0") if isinstance(value, (str, int, float)) else ""
    if bare.isdigit() and any(bare == row["cell"] for row in table("cells").rows):
        raise NotationError(
            f"{where} = {value!r}: write 'cell {bare}' for the cell of this name; as a length it is "
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
            raise InputError(f"{where} = {value!r}: {self.expects} is needed")
        return tuple(self.each.read(item, f"{where}[{i}]", parts) for i, item in enumerate(value, start=1))

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
        return Stated(read(value, self.kind, where), stated_unit(value, self.kind))

    def schema(self) -> dict[str, Any]:
        return _TEXT_OR_NUMBER


@dataclass(frozen=True, slots=True)
class Fraction:
    """A probability: above 0 and below 1."""

    expects: ClassVar[str] = "a probability above 0 and below 1, such as 0.001 or '0.1 %'"

    def read(self, value: Any, where: str, parts: Parts) -> float:
        number = read(value, RATIO, where)
        if not 0 < number < 1:
            raise InputError(f"{where} = {value!r}: {self.expects} is needed")
        return number

    def schema(self) -> dict[str, Any]:
        return {"anyOf": [{"type": "number", "exclusiveMinimum": 0, "exclusiveMaximum": 1}, {"type": "string"}]}


@dataclass(frozen=True, slots=True)
class Count:
    """A whole number of at least 1."""

    expects: ClassVar[str] = "a whole number of at least 1"

    def read(self, value: Any, where: str, parts: Parts) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or value < 1:
            raise InputError(f"{where} = {value!r}: {self.expects} is needed")
        return value

    def schema(self) -> dict[str, Any]:
        return {"type": "integer", "minimum": 1}


@dataclass(frozen=True, slots=True)
class Words:
    """Free text."""

    expects: ClassVar[str] = "text"

    def read(self, value: Any, where: str, parts: Parts) -> str:
        if not isinstance(value, str):
            raise InputError(f"{where} = {value!r}: text is needed")
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
class MaterialName:
    """A material of the table of materials."""

    expects: ClassVar[str] = "a material of the table, such as '6061-T6'"

    def read(self, value: Any, where: str, parts: Parts) -> Material:
        if isinstance(value, Material):
            return value
        try:
            return material(value)
        except InputError as error:
            raise type(error)(f"{where}: {error}") from None

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "examples": material_names()}


_NEEDED, _UNREAD = object(), object()


def given(reader: Reader, doc: str, *, default: Any = _NEEDED) -> Any:
    """Declare an input of a question. A default is read like any value, so it may be a note."""
    about = {"reader": reader, "doc": doc, "default": default}
    if default is _NEEDED:
        return field(metadata=about)
    # Read when a question is made, which knows the key that names it.
    return field(default=None if default is None else _UNREAD, metadata=about)


@dataclass(frozen=True, kw_only=True)
class Question:
    """A bench question: inputs, and the findings they lead to."""

    title: ClassVar[str] = ""
    alternatives: ClassVar[tuple[str, ...]] = ()
    """What is needed besides, where one input may stand for another: "one of pull, mass"."""

    name: str = given(Words(), "what the question is about, where a sheet asks it several times", default="")
    risk: float = given(Fraction(), "the accepted probability of missing a requirement", default=1e-3)
    confidence: float = given(Fraction(), "the confidence of the interval that is reported", default=0.99)

    def __post_init__(self) -> None:
        """Read the defaults of what was not given, and refuse what may not be negative; subclasses check the rest."""
        for key, declared in self.inputs().items():
            reader = declared.metadata["reader"]
            if getattr(self, key) is _UNREAD:
                object.__setattr__(self, key, reader.read(declared.metadata["default"], key, {}))
            value = getattr(self, key)
            listed = isinstance(reader, Several)
            one = reader.each if listed else reader
            for i, item in enumerate(value if listed and value is not None else (value,), start=1):
                if item is not None and (sign := getattr(one, "sign", Sign.ANY)) is not Sign.ANY:
                    sign.check(f"{key}[{i}]" if listed else key, item, one.kind)

    def findings(self) -> tuple[Finding, ...]:
        """The answers, one finding a requirement."""
        return ()

    @classmethod
    def refuse_early(cls, values: Mapping[str, Any]) -> None:
        """Raise `InputError` for inputs that do not go together, where others are missing or cannot be read."""

    @classmethod
    def inputs(cls) -> dict[str, dataclasses.Field[Any]]:
        """The declared inputs by name."""
        return {f.name: f for f in dataclasses.fields(cls)}

    @classmethod
    def describe(cls) -> str:
        """Every input with what it is and what is accepted, one a line; the needed ones first."""
        needed, optional = [], []
        width = max(len(key) for key in cls.inputs())
        for key, declared in cls.inputs().items():
            line = f"  {key:{width}}  {declared.metadata['doc']}; {declared.metadata['reader'].expects}"
            default = declared.metadata["default"]
            if default is _NEEDED:
                needed.append(line)
            else:
                optional.append(line if default in (None, [], "") else f"{line} [{default}]")
        head = f"{cls.title}: {(cls.__doc__ or '').splitlines()[0]}"
        needed += [f"  {one}" for one in cls.alternatives]
        return "\n".join([head, "needed", *needed, "optional [what is taken otherwise]", *optional])

    @classmethod
    def needed(cls) -> list[str]:
        """The inputs without a default."""
        return [key for key, declared in cls.inputs().items() if declared.metadata["default"] is _NEEDED]

    @classmethod
    def read(cls, values: Mapping[str, Any], parts: Parts | None = None) -> Self:
        """The question with its inputs read from notes; `parts` may be named instead of a note.

        Raises `InputError` for an unknown, missing or unreadable input, and names it.
        """
        parts = parts or {}
        inputs = cls.inputs()
        for key in values:
            if key not in inputs:
                hint = did_you_mean(key, inputs)
                raise InputError(f"{key}: unknown{hint}; accepted are {', '.join(inputs)}")
        read_values: dict[str, Any] = {}
        problem: InputError | None = None
        for key, declared in inputs.items():
            reader: Reader = declared.metadata["reader"]
            if key in values:
                try:
                    read_values[key] = reader.read(values[key], key, parts)
                except InputError as error:
                    problem = problem or type(error)(f"{error}{_another_kind(values[key], inputs, parts)}")
            elif declared.metadata["default"] is _NEEDED:
                missing = f"{key}: missing: {reader.expects} is needed ({declared.metadata['doc']})"
                problem = problem or InputError(missing)
        if problem is not None:
            cls.refuse_early(read_values)
            raise problem
        return cls(**read_values)


def _another_kind(value: Any, inputs: Iterable[str], parts: Parts) -> str:
    """A clause for a value that cannot be read but names something else: a part, an input, a material."""
    for one in value if isinstance(value, (list, tuple)) else (value,):
        if not isinstance(one, str):
            continue
        if one in inputs and one not in parts:
            return f"; {one} is an input of this question and no part (did you mean to give it a line under [parts]?)"
        if one in material_names():
            return f"; {one} is a material"
        if one in parts and not isinstance(value, (list, tuple)):
            return f"; {one} is a part, {parts[one]}"
    return ""
