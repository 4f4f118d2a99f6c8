"""A question with some of its parts replaced, wherever it holds them: in a list, on a body, in a film."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping
from typing import Any, TypeVar

from fitcheck.questions import Question
from fitcheck.stack import Dimension

Asked = TypeVar("Asked", bound=Question)


def parts_of(question: Question) -> tuple[Dimension, ...]:
    """The dimensions that a question was given, or took for want of one, each once.

    question: one that has been read.
    """
    return tuple(dict.fromkeys(_within(question)))


def with_parts(question: Asked, new: Mapping[Dimension, Dimension]) -> Asked:
    """The same question with other dimensions in place of some of its own; itself where it holds none of them.

    question: one that has been read. new: what replaces what. Raises `InputError` where the question refuses one.
    """
    changed = {key: _put(getattr(question, key), new) for key in question.inputs()}
    changed = {key: value for key, value in changed.items() if value is not getattr(question, key)}
    return dataclasses.replace(question, **changed) if changed else question


def _within(value: Any) -> Iterator[Dimension]:
    if isinstance(value, Dimension):
        yield value
    elif isinstance(value, tuple):
        for item in value:
            yield from _within(item)
    elif isinstance(value, Mapping):
        yield from _within(tuple(value.values()))
    elif dataclasses.is_dataclass(value) and not isinstance(value, type):
        yield from _within(tuple(getattr(value, one.name) for one in dataclasses.fields(value)))


def _put(value: Any, new: Mapping[Dimension, Dimension]) -> Any:
    """`value` with what is replaced in it; the same object where nothing is."""
    if isinstance(value, Dimension):
        return new.get(value, value)
    if isinstance(value, tuple):
        items = tuple(_put(item, new) for item in value)
        same = all(a is b for a, b in zip(items, value, strict=True))
        return value if same else (type(value)(*items) if hasattr(value, "_fields") else items)
    if isinstance(value, Mapping):
        put = {key: _put(item, new) for key, item in value.items()}
        return value if all(put[key] is value[key] for key in put) else put
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        every = {one.name: getattr(value, one.name) for one in dataclasses.fields(value) if one.init}
        swapped = {key: _put(item, new) for key, item in every.items()}
        other = {key: item for key, item in swapped.items() if item is not every[key]}
        return dataclasses.replace(value, **other) if other else value
    return value
