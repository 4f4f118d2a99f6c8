"""What a sheet leaves open for a plan to choose: sizes between two ends, and lists to choose from.

    [open]
    slug = "5.0 .. 8.0"                        a part: between these two nominals
    hand_torque = "0.1 .. 1.0 N·m"             an input of a question, which says its scatter
    screw = ["M4x0.7", "M4x0.5", "#8-36"]      one of these; the hole goes with its screw

A size keeps the tolerance of its note under [parts], or has that of the tool it is cut with ([workshop], cut_with), and
then it needs no note.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from fitcheck.basis import Basis
from fitcheck.errors import InputError, brief, did_you_mean
from fitcheck.notation import dim
from fitcheck.planning import OpenSize, Variant, Workshop
from fitcheck.planning.replaced import with_parts
from fitcheck.questions import QUESTIONS, Question
from fitcheck.questions.named import ThreadText
from fitcheck.questions.question import Asked
from fitcheck.stack import Dimension
from fitcheck.stack.synthesis import moved

_MOST_VARIANTS = 500


@dataclass(frozen=True, slots=True)
class Opened:
    """What is open, as it was read.

    parts: sizes that are parts, by name. choices: lists to choose from, by the name of a part or an input. inputs:
    ranges of inputs of questions, by name. new: the parts that the sheet gives no other size.
    """

    parts: Mapping[str, OpenSize] = field(default_factory=dict)
    choices: Mapping[str, tuple[Any, ...]] = field(default_factory=dict)
    inputs: Mapping[str, Dimension] = field(default_factory=dict)
    new: tuple[str, ...] = ()


def read_open(
    table: Mapping[str, Any], content: Mapping[str, Any], parts: Mapping[str, Dimension], workshop: Workshop
) -> Opened:
    """What a table [open] leaves open.

    content: the whole sheet. parts: those it gives a size. workshop: its tools. Raises `InputError` with the key.
    """
    sizes, choices, inputs, new = {}, {}, {}, []
    known = {key for asked in QUESTIONS if asked in content for key in QUESTIONS[asked].inputs()}
    for name, value in table.items():
        if isinstance(value, list):
            if len(value) < 2:
                raise InputError(f"{name} = {brief(value)}: a list of at least two to choose from is needed", key=name)
            if name not in parts and name not in known:
                hint = did_you_mean(name, [*parts, *known])
                raise InputError(f"{name}: neither a part nor an input of a question of this sheet{hint}", key=name)
            choices[name] = tuple(value)
            continue
        try:
            between = dim(value, name=name)
        except InputError as error:
            raise type(error)(str(error), key=name) from None
        if not between.half_width:
            raise InputError(
                f"{name} = {brief(value)}: a range such as '5.0 .. 8.0' or a list to choose from is needed", key=name
            )
        if name in known and name not in parts and name not in workshop.cut_with:
            inputs[name] = between
            continue
        sizes[name] = _size(name, between, parts.get(name), workshop)
        if name not in parts:
            new.append(name)
    return Opened(sizes, choices, inputs, tuple(new))


def _size(name: str, between: Dimension, known: Dimension | None, workshop: Workshop) -> OpenSize:
    tool = workshop.cut_with.get(name, "")
    if known is not None and known.unit.kind is not between.unit.kind:
        raise InputError(f"{name} = {between}: {known.unit.kind.with_article} is needed, as under [parts]", key=name)
    if tool:
        by = workshop.tolerance[tool]
        middle = between.middle
        title = known.title if known is not None else ""
        low, high = middle + by.lower, middle + by.upper
        part = Dimension(middle, low, high, by.spread, name, between.unit, f"cut: {tool}", title=title)
    elif known is None:
        raise InputError(
            f"{name}: a tolerance is needed: a line for it under [parts], or a tool under [workshop], "
            f"cut_with = {{ {name} = 'saw' }}",
            key=name,
        )
    elif known.basis is Basis.MEASURED:
        raise InputError(
            f"{name}: was measured, so that its tolerance is not that of a cut: name a tool under [workshop], "
            f"cut_with = {{ {name} = 'saw' }}",
            key=name,
        )
    else:
        part = moved(known, between.middle)
    now = None if known is None else known.nominal
    return OpenSize(name, part, between.lower, between.upper, tool, now)


def variants_of(
    opened: Opened,
    parts: Mapping[str, Dimension],
    questions: tuple[tuple[str, int, Question], ...],
) -> tuple[list[Variant], list[OpenSize]]:
    """Every way to choose, with its questions, and the sizes that are open in all of them.

    parts, questions: of the sheet as it was read, with the open sizes in it. Raises `InputError` for more
    than a plan tries, and where an input that is open has no scatter.
    """
    sizes = list(opened.parts.values())
    base: list[tuple[str, int, Question]] = []
    for table, index, question in questions:
        for name, between in opened.inputs.items():
            if name in question.inputs():
                size = _input_size(name, between, question, next((s for s in sizes if s.name == name), None))
                sizes = [s for s in sizes if s.name != name] + [size]
                question = with_parts(question, {getattr(question, name): size.part})
        base.append((table, index, question))
    ways = [[(name, one) for one in options] for name, options in opened.choices.items()]
    count = 1
    for options in ways:
        count *= len(options)
    if count > _MOST_VARIANTS:
        raise InputError(f"{count} ways to choose: at most {_MOST_VARIANTS} are tried", key="")
    read: dict[tuple[Any, ...], Question] = {}
    found = []
    for way in itertools.product(*ways):
        chosen = {name: one if isinstance(one, str) else str(one) for name, one in way}
        found.append(Variant(chosen, _Asks(dict(way), base, parts, read)))
    return found, sizes


def _input_size(name: str, between: Dimension, question: Question, already: OpenSize | None) -> OpenSize:
    """The open size of an input: the same in every question that has it, so that all must give its scatter alike."""
    now = getattr(question, name)
    if not isinstance(now, Dimension):
        raise InputError(
            f"{name}: is no size with a tolerance in {question.title}: give a list to choose from", key=name
        )
    if now.unit.kind is not between.unit.kind:
        raise InputError(f"{name} = {between}: {now.unit.kind.with_article} is needed", key=name)
    first = OpenSize(name, now, between.lower, between.upper)
    part = first.at(between.middle)
    if already is None:
        return OpenSize(name, part, between.lower, between.upper, now=now.nominal)
    if (part.lower, part.upper, part.spread) != (already.part.lower, already.part.upper, already.part.spread):
        raise InputError(
            f"{name}: several questions give it different tolerances, {part} and {already.part}: make it a part, or "
            "give them alike",
            key=name,
        )
    return already


@dataclass(frozen=True)
class _Asks:
    """The questions of one way to choose; those that no choice changes are those of the sheet."""

    chosen: Mapping[str, Any]
    base: list[tuple[str, int, Question]]
    parts: Mapping[str, Dimension]
    read: dict[tuple[Any, ...], Question]

    def __call__(self) -> tuple[Question, ...]:
        swapped = {self.parts[name]: dim(one, name=name) for name, one in self._choices() if name in self.parts}
        return tuple(with_parts(self._read(table, index, question), swapped) for table, index, question in self.base)

    def _choices(self) -> Iterator[tuple[str, Any]]:
        yield from self.chosen.items()

    def _read(self, table: str, index: int, question: Question) -> Question:
        own = {name: one for name, one in self._choices() if name in question.inputs() and name not in self.parts}
        if not own:
            return question
        key = table, index, *(repr(one) for one in own.items())
        if key not in self.read:
            self.read[key] = _with_inputs(question, own)
        return self.read[key]


def _with_inputs(question: Asked, chosen: Mapping[str, Any]) -> Asked:
    """The question with other inputs: a thread brings its mate along, and what belonged to the old one is left out.

    Raises `InputError` where one cannot be read.
    """
    inputs = type(question).inputs()
    values: dict[str, Any] = {key: getattr(question, key) for key in inputs}
    for name, one in chosen.items():
        values[name] = one
        if isinstance(inputs[name].metadata["reader"], ThreadText):
            _change_thread(values, name, one, question)
    given = {key: value for key, value in values.items() if value is not None}
    return type(question).read(given)


def _change_thread(values: dict[str, Any], name: str, one: Any, question: Question) -> None:
    mates = [k for k, f in question.inputs().items() if isinstance(f.metadata["reader"], ThreadText) and k != name]
    both = one if isinstance(one, list) else [one] * (1 + len(mates))
    if len(both) != 1 + len(mates):
        raise InputError(
            f"{name} = {brief(one)}: a designation such as 'M4x0.7', or ['M4x0.7-6g', 'M4x0.7-6H'], is needed"
        )
    values |= dict(zip([name, *mates], both, strict=True))
    old = getattr(question, name)
    new = question.inputs()[name].metadata["reader"].read(both[0], name, {})
    if (new.nominal, new.pitch) != (old.nominal, old.pitch):
        for key in question.goes_with.get(name, ()):
            declared = question.inputs()[key].metadata["default"]
            values[key] = None if declared in (None, []) else declared
