"""What a question takes in, and how each input is read from text.

A question is a frozen dataclass whose fields are declared with `given(...)`. The declaration carries how the field is
read from a note and a line of documentation. The sheet, the REPL and the error messages all work from these
declarations, so a new question is one small file.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, ClassVar, Self, TypeVar

from fitcheck.basis import Basis
from fitcheck.errors import InputError, did_you_mean, in_short, name_some
from fitcheck.mechanics import Material, material_names
from fitcheck.questions.finding import Finding, Quantity, Requirement, Station
from fitcheck.questions.named import NamedRange
from fitcheck.questions.readers import Fraction, Parts, Reader, Several, Sign, Stated, Words, stated_in
from fitcheck.questions.unit_names import forgotten_units
from fitcheck.shown import Shown, brief_value, fields_of
from fitcheck.stack import Dimension

Asked = TypeVar("Asked", bound="Question")
Answers = Callable[[Asked], tuple[Finding, ...]]


_NEEDED = object()


@dataclass(frozen=True, slots=True, repr=False)
class _Unread:
    """A default that is read when a question is made, which knows the key that names it."""

    note: Any

    def __repr__(self) -> str:
        """In a signature, what it stands for."""
        return repr(self.note)

    def __hash__(self) -> int:
        return id(self)


def given(reader: Reader, doc: str, *, default: Any = _NEEDED, of: str = "") -> Any:
    """Declare an input of a question. A default is read like any value, so it may be a note.

    of: the input that names what it is a size of: people call it "reach of the plug head", a part of a sheet as it is.
    """
    about = {"reader": reader, "doc": doc, "default": default, "of": of}
    if default is _NEEDED:
        return field(metadata=about)
    return field(default=None if default is None else _Unread(default), metadata=about)


_SHOWN = 3  # inputs in a line


@dataclass(frozen=True, kw_only=True, repr=False)
class Question(Shown):
    """A bench question: inputs, and the findings they lead to."""

    title: ClassVar[str] = ""
    station: ClassVar[Station] = Station.BENCH
    """Where at the bench its findings are met."""
    alternatives: ClassVar[tuple[str, ...]] = ()
    """What is needed besides, where one input may stand for another: "one of pull, mass"."""
    example: ClassVar[Mapping[str, Any]] = {}
    """Inputs with which it can be asked, as they stand in a sheet: the needed ones, and one of alternatives."""
    renamed: ClassVar[Mapping[str, str]] = {}
    """Inputs by the name they once had: what such a key is called now, for the error that it gets."""
    goes_with: ClassVar[Mapping[str, tuple[str, ...]]] = {}
    """Inputs that describe another: where that is changed, what was said of the old one is left out."""

    name: str = given(Words(), "what the question is about, where a sheet asks it several times", default="")
    risk: float = given(Fraction(), "the accepted probability of missing a requirement", default=1e-3)
    confidence: float = given(Fraction(), "the confidence of the interval that is reported", default=0.99)

    def __post_init__(self) -> None:
        """Read the defaults of what was not given, and refuse what may not be negative; subclasses check the rest."""
        for key, declared in self.inputs().items():
            reader = declared.metadata["reader"]
            if isinstance(getattr(self, key), _Unread):
                taken = reader.read(declared.metadata["default"], key, {})
                if isinstance(taken, Dimension):  # nobody drew it
                    taken = dataclasses.replace(taken, basis=Basis.ASSUMED)
                object.__setattr__(self, key, taken)
            value = getattr(self, key)
            listed = isinstance(reader, Several)
            one = reader.each if listed else reader
            for i, item in enumerate(value if listed and value is not None else (value,), start=1):
                if item is not None and isinstance(sign := getattr(one, "sign", None), Sign):
                    sign.check(f"{key}[{i}]" if listed else key, item, one.kind)

    def __repr__(self) -> str:
        """What it is about, and the first of its inputs; `_repr_html_` has all of them."""
        given = [f"{key}={brief_value(value)}" for key, value in fields_of(self).items() if value]
        more = f", … {len(given)} inputs in all" if len(given) > _SHOWN else ""
        return f"<{self.title}: {', '.join(given[:_SHOWN])}{more}>"

    def findings(self) -> tuple[Finding, ...]:
        """The answers, one finding a requirement: by the function that `answers` has registered for this question."""
        return _ANSWERS[type(self)](self)

    @property
    def chooses(self) -> bool:
        """Whether it picks a size itself, such as a length to cut, so that another part makes it pick another one."""
        return False

    def judged(self) -> tuple[tuple[Quantity, Requirement], ...] | None:
        """What its findings judge, in their order, each with its requirement; None where only `findings` knows.

        A question that `chooses` says it, so that many devices can be judged without a finding on each.
        """
        return None

    @property
    def taken_for_granted(self) -> tuple[str, ...]:
        """What a material of which only the kind is known is taken to be, a sentence each."""
        given = (getattr(self, key) for key in self.inputs())
        return tuple(dict.fromkeys(one.assumed for one in given if isinstance(one, Material) and one.assumed))

    @property
    def pair_sizes(self) -> Mapping[str, Dimension]:
        """Of a pair of threads: d and d2 of the screw, D1 and D2 of the nut; none where it is not about a pair."""
        return {}

    @property
    def crests(self) -> tuple[Dimension, ...]:
        """The crest diameters of threads that it takes from their standard, as none was measured."""
        return self._not_measured("d", "D1")

    @property
    def pitch_diameters(self) -> tuple[Dimension, ...]:
        """The pitch diameters of threads that it takes from their standard, as none was measured."""
        return self._not_measured("d2", "D2")

    def _not_measured(self, *keys: str) -> tuple[Dimension, ...]:
        sizes = self.pair_sizes
        return tuple(sizes[key] for key in keys if key in sizes and sizes[key].basis is not Basis.MEASURED)

    @classmethod
    def refuse_early(cls, values: Mapping[str, Any]) -> None:
        """Raise `InputError` for inputs that do not go together, where others are missing or cannot be read.

        values: the inputs that could be read, by name.
        """

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
            line = f"  {key:{width}}  {cls.meaning(key)}"
            default = declared.metadata["default"]
            if default is _NEEDED:
                needed.append(line)
            else:
                optional.append(line if default in (None, [], "") else f"{line} [{default}]")
        head = f"{cls.title}: {(cls.__doc__ or '').splitlines()[0]}"
        needed += [f"  {one}" for one in cls.alternatives]
        return "\n".join([head, "needed", *needed, "optional [what is taken otherwise]", *optional])

    @classmethod
    def meaning(cls, key: str) -> str:
        """What an input is, and what is accepted. key: a name of `inputs`."""
        about = cls.inputs()[key].metadata
        return f"{about['doc']}; {about['reader'].expects}"

    @classmethod
    def needed(cls) -> list[str]:
        """The inputs without a default."""
        return [key for key, declared in cls.inputs().items() if declared.metadata["default"] is _NEEDED]

    @classmethod
    def read(cls, values: Mapping[str, Any], parts: Parts | None = None) -> Self:
        """The question with its inputs read from notes; `parts` may be named instead of a note.

        values: a note, a number or a dimension for each input, by its name. parts: dimensions by name; a sheet, which
        hands them in, sees to forgotten units itself. Raises `InputError` for an unknown, missing or unreadable input,
        and for a number that names no unit beside one in inches, and names it.
        """
        inputs = cls.inputs()
        read_values: dict[str, Any] = {}
        unknown: list[InputError] = []
        for key in values:
            if key in cls.renamed:
                unknown.append(InputError(f"{key}: is called {cls.renamed[key]} now", key=key))
            elif key not in inputs:
                hint = did_you_mean(key, inputs)
                unknown.append(InputError(f"{in_short(key)}: unknown{hint}; accepted are {name_some(inputs)}", key=key))
        # A sheet has looked at all of its tables together.
        problems: list[InputError] = forgotten_units(inputs, values) if parts is None else []
        for key, declared in inputs.items():
            reader: Reader = declared.metadata["reader"]
            if key in values:
                try:
                    read_values[key] = reader.read(values[key], key, parts or {})
                except InputError as first:
                    for error in (first, *first.others):
                        said = f"{error}{_another_kind(value_at(values, error.key or key), inputs, parts or {})}"
                        problems.append(type(error)(said, key=error.key or key))
            elif declared.metadata["default"] is _NEEDED and not unknown:  # it may be the one that is misspelt
                wanted = getattr(reader, "needed", reader.expects)  # in short, where what is accepted is a long list
                missing = f"{key}: missing: {wanted} is needed ({declared.metadata['doc']})"
                problems.append(InputError(missing, key=key))
        for key, value in read_values.items():
            of, known = inputs[key].metadata["of"], (values[key], *(parts or {}).values())
            if of and isinstance(value, Dimension) and not any(value is one for one in known):
                what = read_values.get(of, inputs[of].metadata["default"])
                read_values[key] = dataclasses.replace(value, title=f"{value.called} of the {what}")
        if problems and not unknown:
            cls.refuse_early(read_values)
        if problems := [*unknown, *problems]:
            problems[0].others = tuple(problems[1:])
            raise problems[0]
        return cls(**_told_in_inches(inputs, values, read_values, parts or {}))


def _told_in_inches(
    inputs: Mapping[str, dataclasses.Field[Any]], values: Mapping[str, Any], read: dict[str, Any], parts: Parts
) -> dict[str, Any]:
    """The inputs that were read; beside inches a range of a table, "short key", is told in in·lbf like the rest."""
    flat = (one for value in read.values() for one in (value if isinstance(value, tuple) else (value,)))
    beside = next((one.unit for one in flat if isinstance(one, Dimension | Stated) and one.unit.inch), None)
    for key, value in read.items():
        reader = inputs[key].metadata["reader"]
        if beside is not None and isinstance(reader, NamedRange) and reader.is_name(values[key], parts):
            read[key] = dataclasses.replace(value, unit=stated_in(None, reader.kind, beside=beside))
    return read


_ANSWERS: dict[type[Question], Callable[[Any], tuple[Finding, ...]]] = {}


def answers(question: type[Asked]) -> Callable[[Answers[Asked]], Answers[Asked]]:
    """Register the decorated function as the one that answers `question`.

    What a question finds stands in a file of its own, above the question: nothing below imports upwards.
    """

    def register(function: Answers[Asked]) -> Answers[Asked]:
        _ANSWERS[question] = function
        return function

    return register


def value_at(values: Mapping[str, Any], key: str) -> Any:
    """What was given for an input, or for an item of it: `values["adds"][1]`, still in a list, for "adds[2]".

    values: notes by the name of their input. key: that of an error; None is returned for one that was not given.
    """
    name, _, item = key.partition("[")
    value = values.get(name.split(".")[0])
    number = int(item.partition("]")[0]) if item else 0
    return value[number - 1 : number] if number and isinstance(value, (list, tuple)) else value


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
