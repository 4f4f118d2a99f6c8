"""Changes that are advised, as data: which inputs to set to what, and what is promised of the answer after it.

A line of advice is for people; beside it stand the moves that carry it out. A move can be made of the question it is
about, so that whoever gives the advice, tests it or plans with it asks again instead of reading a sentence.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, NamedTuple, TypeVar

from fitcheck.shown import Shown, shown
from fitcheck.stack import Dimension
from fitcheck.stack.synthesis import moved as resized

Asked = TypeVar("Asked")


class Effect(StrEnum):
    """What is promised of a finding after a move.

    >>> Effect.HOLDS.value
    'holds at worst case'
    """

    HOLDS = "holds at worst case"
    WITHIN_RISK = "is within the risk"


@shown
class Edit(NamedTuple):
    """An input of a question and its new value.

    key: the input as errors name it: "blade", "takes[2]" for the second of a list, "bodies[1].reach" for a size of the
    first body. value: a dimension, a number in the inside unit of the input, or None for "not given". by: how much
    larger its nominal becomes, where that is all that changes; 0 for any other edit.
    """

    key: str
    value: Any
    by: float = 0.0


@dataclass(frozen=True, slots=True, repr=False)
class Move(Shown):
    """Edits that are made together, and their effect on the finding that advises them.

    words: the line of advice that it carries out, one of the finding's `change`. edits: what to set; sizes in mm.
    do: what is to be done, without what it is good for, where the line can be told so.

    >>> import fitcheck as fc
    >>> asked = dict(adds=["40 ± 0.2"], takes=["8 ± 0.1"], at_least="32 mm")
    >>> (move, *_) = fc.ask("blade_depth", **asked)[0].moves
    >>> move.words, move.edits[0].key, str(move.edits[0].value)
    ('seat the blade 0.30 mm deeper and it holds at worst case', 'adds[1]', '40.3 ± 0.2 mm')
    >>> move.made(fc.QUESTIONS["blade_depth"].read(asked)).findings()[0].verdict.value
    'holds'
    """

    words: str
    edits: tuple[Edit, ...]
    effect: Effect
    do: str = ""

    def __str__(self) -> str:
        return f"move: {self.words}"

    def made(self, asked: Asked) -> Asked:
        """The question with its inputs changed so; a part that stands in several places is changed in all of them.

        asked: the question, or another with the same inputs. Raises `InputError` where the new values cannot be asked
        about.
        """
        values = {f.name: getattr(asked, f.name) for f in dataclasses.fields(asked)}  # type: ignore[arg-type]
        for edit in self.edits:
            name, place, size = _parts_of(edit.key)
            old = values[name]
            if place is not None:
                old = old[place] if size is None else old[place].sizes[size]
            if isinstance(old, Dimension):
                values = {key: _put(value, old, edit.value) for key, value in values.items()}
            else:
                values[name] = edit.value
        return dataclasses.replace(asked, **values)  # type: ignore[type-var]


def _parts_of(key: str) -> tuple[str, int | None, str | None]:
    """Name, place in a list from 0 and size of a body: "bodies[1].reach" is ("bodies", 0, "reach")."""
    name, bracket, rest = key.partition("[")
    if not bracket:
        return name, None, None
    place, _, size = rest.partition("]")
    return name, int(place) - 1, size.removeprefix(".") or None


def _put(value: Any, old: Dimension, new: Any) -> Any:
    """`value` with `new` wherever `old` stands in it: itself, in a list, among the sizes of a body."""
    if value is old:
        return new
    if isinstance(value, tuple):
        return tuple(_put(one, old, new) for one in value)
    sizes = getattr(value, "sizes", None)
    if isinstance(sizes, Mapping) and any(one is old for one in sizes.values()):
        return dataclasses.replace(value, sizes={key: _put(one, old, new) for key, one in sizes.items()})
    return value


class Resizing(NamedTuple):
    """A part that is made longer by some amount, or shorter where `rate` is below 0, its tolerances unchanged."""

    key: str
    part: Dimension
    rate: float = 1.0

    def by(self, amount: float) -> Edit:
        """The edit that makes it `amount` longer, in its inside unit."""
        more = self.rate * amount
        return Edit(self.key, resized(self.part, self.part.nominal + more), more)

    @property
    def most(self) -> float:
        """By how much it can be changed before nothing is left of it; infinite where it grows."""
        return float("inf") if self.rate >= 0 else self.part.lower / -self.rate


@dataclass(frozen=True, slots=True)
class Change:
    """A line of advice with the moves that carry it out: each of them does what the line says."""

    words: str
    moves: tuple[Move, ...] = ()
    do: str = ""
    """What is to be done, without what it is good for."""

    @classmethod
    def of(cls, words: str, effect: Effect, *ways: Iterable[Edit], do: str = "") -> Change:
        """The line with one move for each of `ways`; the edits of a way are made together."""
        return cls(words, tuple(Move(words, tuple(edits), effect, do) for edits in ways), do)

    @classmethod
    def doing(cls, do: str, effect: Effect, *ways: Iterable[Edit], pause: str = "") -> Change:
        """What is to be done, and what it is good for: "cut the slug 1 mm shorter and it holds at worst case".

        pause: a comma where what is done ends with words set off by one. The moves as `of`.
        """
        return cls.of(f"{do}{pause} and it {effect}", effect, *ways, do=do)


class Besides(str):
    """A line beside the ways to meet a requirement that is no way of its own: how far one reaches, what comes first."""

    __slots__ = ()


def ways(changes: Sequence[str]) -> list[tuple[str, str]]:
    """Each line with the word before it, "either" and "or" where there are several ways; nothing before what is none.

    changes: the lines of a finding.

    >>> ways(["cut it", "buy another", Besides("measure it again")])
    [('either', 'cut it'), ('or', 'buy another'), ('', 'measure it again')]
    """
    several = sum(not isinstance(one, Besides) for one in changes) > 1
    found: list[tuple[str, str]] = []
    first = True
    for one in changes:
        if isinstance(one, Besides) or not several:
            found.append(("", one))
        else:
            found.append(("either" if first else "or", one))
            first = False
    return found


def in_a_row(changes: Sequence[str]) -> str:
    """The lines as one: "either cut it, or buy another; measure it again".

    changes: the lines of a finding.

    >>> in_a_row(["cut it", "buy another", Besides("measure it again")])
    'either cut it, or buy another; measure it again'
    """
    told = [one for one in changes if not isinstance(one, Besides)]
    one_is_enough = ", ".join(f"{word} {line}".strip() for word, line in ways(told))
    return "; ".join(filter(None, [one_is_enough, *(one for one in changes if isinstance(one, Besides))]))


def lines_of(changes: Iterable[str | Change]) -> tuple[str, ...]:
    """What people read of the changes."""
    return tuple(one if isinstance(one, str) else one.words for one in changes)


def moves_of(changes: Iterable[str | Change]) -> Iterator[Move]:
    """All moves of the changes, in their order."""
    for one in changes:
        if isinstance(one, Change):
            yield from one.moves
