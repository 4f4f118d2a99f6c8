"""The findings of questions by the open sizes in them: one whose inputs did not change is not asked again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from fitcheck.planning.openings import OpenSize
from fitcheck.planning.replaced import parts_of, with_parts
from fitcheck.questions import Finding, Question
from fitcheck.stack import Dimension


@dataclass
class Answers:
    """What was asked so far, by question and by the sizes that it holds.

    sizes: that are open.
    """

    sizes: Sequence[OpenSize]
    _placed: dict[tuple[int, float], Dimension] = field(default_factory=dict)
    _asked: dict[tuple[int, tuple[int, ...]], Question] = field(default_factory=dict)
    _found: dict[int, tuple[Finding, ...]] = field(default_factory=dict)
    _open: dict[int, tuple[int, ...]] = field(default_factory=dict)
    _kept: list[Question] = field(default_factory=list)
    """Every question that was asked about, so that no other gets its id."""

    def placed(self, nominals: Sequence[float]) -> list[Dimension]:
        """The dimensions that stand for the open sizes at nominals: the same objects whenever they are asked for.

        nominals: numbers, in the inside units (mm, N·m).
        """
        found = []
        for i, (size, nominal) in enumerate(zip(self.sizes, nominals, strict=True)):
            key = i, round(float(nominal), 12)
            if key not in self._placed:
                self._placed[key] = size.at(float(nominal))
            found.append(self._placed[key])
        return found

    def open_in(self, question: Question) -> tuple[int, ...]:
        """The places, among the open sizes, of those that a question depends on."""
        if id(question) not in self._open:
            self._kept.append(question)
            own = set(map(id, parts_of(question)))
            self._open[id(question)] = tuple(i for i, size in enumerate(self.sizes) if id(size.part) in own)
        return self._open[id(question)]

    def question(self, question: Question, nominals: Sequence[float]) -> Question:
        """The question with the open sizes at nominals; it refuses them by `InputError`.

        nominals: numbers, in the inside units (mm, N·m).
        """
        at = self.placed(nominals)
        new = {self.sizes[i].part: at[i] for i in self.open_in(question)}
        key = id(question), tuple(id(d) for d in new.values())
        if key not in self._asked:
            self._asked[key] = with_parts(question, new)
        return self._asked[key]

    def of(self, question: Question, nominals: Sequence[float]) -> tuple[Finding, ...]:
        """The findings of a question with the open sizes at nominals. Raises `InputError` where it refuses them.

        nominals: numbers, in the inside units (mm, N·m).
        """
        asked = self.question(question, nominals)
        if id(asked) not in self._found:
            self._found[id(asked)] = asked.findings()
        return self._found[id(asked)]
