"""A build sheet: one TOML file that describes a device and asks the bench questions about it.

    sheet = 1                             version of the sheet format
    title = "..."
    notes = ["..."]                       printed in the report
    risk = 0.001                          for every question, unless it has its own
    confidence = 0.99

    [parts]                               dimensions with a name, used by several questions
    slug = "12.0 ± 0.1"
    tube = { note = "38 ± 0.1", measured = "37.95 measured ± 0.02" }
    cell = "cell 18650 length"

    [workshop]                            what it is measured and cut with: `fitcheck.planning.workshop`
    caliper = "0.02 mm"

    [blade_depth]                         a question; [[blade_depth]] if it is asked several times
    adds = ["socket", "spacer"]           names of parts, or notes
    at_least = "40 mm"

Each question takes the inputs its class in `fitcheck.questions` declares. A part is one dimension wherever it is used,
so the findings of a sheet agree with one another.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from fitcheck.errors import InputError, SheetError, brief, did_you_mean
from fitcheck.notation import dim
from fitcheck.planning import Workshop
from fitcheck.questions import QUESTIONS, Finding, Question
from fitcheck.questions.cells import cell_size
from fitcheck.sheet.bare_numbers import UNITS, bare
from fitcheck.sheet.places import line_of
from fitcheck.sheet.syntax import explain
from fitcheck.stack import Dimension

VERSION = 1
_HEAD = ("sheet", "title", "notes", "risk", "confidence", "parts", "workshop")
_LARGEST = 1 << 20  # bytes; a sheet is a page of text


@dataclass(frozen=True, slots=True)
class Build:
    """A sheet that has been read: its text, parts and questions."""

    path: Path
    text: str
    title: str
    notes: tuple[str, ...]
    parts: Mapping[str, Dimension]
    questions: tuple[tuple[str, int, Question], ...]
    """Table name, its index among tables of that name, and the question."""
    workshop: Workshop = field(default_factory=Workshop)
    """What it measures and cuts with."""

    def findings(self, *, progress: Callable[[str], None] | None = None) -> list[Finding]:
        """The findings of every question, in the order of the sheet. Raises `SheetError` where one cannot be found.

        `progress` is told in words which question is about to be answered: a large sheet takes some seconds.
        """
        found: list[Finding] = []
        for number, (table, index, question) in enumerate(self.questions, start=1):
            if progress is not None:
                progress(f"question {number} of {len(self.questions)}: {question.title}")
            try:
                found.extend(question.findings())
            except InputError as error:
                raise _Place(self.path, self.text).error(table, "", str(error), index) from None
        return found


@dataclass(frozen=True, slots=True)
class _Place:
    """Makes errors that name file, line, table and key."""

    path: Path
    text: str

    def error(self, table: str, key: str, problem: str, index: int = 0) -> SheetError:
        # Readers name a list item "adds[2]" or "bodies[2]".
        line = line_of(self.text, table, key, index) or line_of(self.text, table, "", index)
        at = f"{self.path}{f', line {line}' if line else ''}"
        where = f"[{table}]{f' no. {index + 1}' if index else ''}: " if table else ""
        return SheetError(f"{at}: {where}{problem}")


def load(path: str | Path) -> Build:
    """Read the sheet at `path`. Raises `SheetError` with file, line, table, key and what would be accepted."""
    path = Path(path)
    try:
        if path.stat().st_size > _LARGEST:
            raise SheetError(f"{path}: too large for a sheet: at most 1 MiB of TOML text is needed")
        text = path.read_text(encoding="utf-8-sig")  # some editors put a mark of the byte order first
    except FileNotFoundError:
        raise SheetError(f"{path}: no such file: the path of a TOML build sheet is needed") from None
    except IsADirectoryError:
        raise SheetError(f"{path}: is a folder: the path of a TOML build sheet is needed") from None
    except UnicodeDecodeError as error:
        raise SheetError(f"{path}: not UTF-8 text (byte {error.start}): a TOML build sheet is needed") from None
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path
        raise SheetError(f"{path}: cannot be read: {getattr(error, 'strerror', None) or error}") from None
    try:
        content = tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # ValueError: an integer of thousands of digits, too
        line, problem = explain(text, str(error))
        raise SheetError(f"{path}{f', line {line}' if line else ''}: {problem}") from None
    return _build(path, text, content)


def _build(path: Path, text: str, content: Mapping[str, Any]) -> Build:
    place = _Place(path, text)
    version = content.get("sheet")
    if version is None:
        raise place.error("", "", f"sheet: missing: the first line `sheet = {VERSION}` says how the sheet is written")
    if version != VERSION or isinstance(version, bool):
        raise place.error("", "sheet", f"sheet = {brief(version)}: {_other_version(version)}")
    for key in content:
        if key not in _HEAD and key not in QUESTIONS:
            hint = did_you_mean(key, [*_HEAD, *QUESTIONS])
            accepted = f"; accepted are {', '.join([*_HEAD, *QUESTIONS])}"
            is_table = isinstance(content[key], (dict, list))
            raise place.error(key if is_table else "", "" if is_table else key, f"{key}: unknown{hint}{accepted}")
    parts = _parts(content.get("parts", {}), place)
    for found in bare(content):
        problem = f"names no unit, in a sheet that uses inches: write {UNITS[found.kind]} behind it"
        said = f"{found.key} = {found.value!r} {problem}"
        raise place.error(found.table, found.key.split(".")[0], said, found.index)
    shared = {key: content[key] for key in ("risk", "confidence") if key in content}
    questions = []
    # TOML tables keep their order, so questions are answered in the order the sheet asks them.
    for table in content:
        if table in QUESTIONS:
            asked = content[table] if isinstance(content[table], list) else [content[table]]
            for index, values in enumerate(asked):
                questions.append((table, index, _question(table, index, values, shared, parts, place)))
    if not questions:
        raise place.error("", "", f"asks no question: at least one table of {', '.join(QUESTIONS)} is needed")
    title, notes = content.get("title", path.stem), content.get("notes", [])
    if not isinstance(title, str):
        raise place.error("", "title", f"title = {brief(title)}: text is needed")
    if not isinstance(notes, list) or not all(isinstance(note, str) for note in notes):
        raise place.error("", "notes", f"notes = {brief(notes)}: a list of texts is needed")
    workshop = _workshop(content.get("workshop", {}), parts, place)
    return Build(path, text, title, tuple(notes), parts, tuple(questions), workshop)


def _workshop(table: Any, parts: Mapping[str, Dimension], place: _Place) -> Workshop:
    if not isinstance(table, dict):
        raise place.error("", "workshop", "workshop: a table [workshop] with an instrument or a tool a line is needed")
    try:
        return Workshop.read(table, parts)
    except InputError as error:
        raise place.error("workshop", error.key, str(error)) from None


def _other_version(version: Any) -> str:
    """Why a sheet of another version is not read, and what to do."""
    reads = f"this fitcheck reads sheets of version {VERSION}"
    if isinstance(version, bool) or not isinstance(version, int):
        return f"the version is a whole number, without quotation marks: {reads}"
    if version > VERSION:
        return f"{reads}: install a newer fitcheck for this sheet"
    return f"{reads}, which is the first: write sheet = {VERSION} and check every key against the README"


def _parts(table: Any, place: _Place) -> dict[str, Dimension]:
    if not isinstance(table, dict):
        raise place.error("", "parts", "parts: a table [parts] with one dimension a line is needed")
    parts: dict[str, Dimension] = {}
    for name, value in table.items():
        try:
            if not isinstance(value, dict):
                parts[name] = cell_size(value, name) or dim(value, name=name)
                continue
            for key in value:
                if key not in ("note", "measured"):
                    raise InputError(f"{name}.{key}: unknown; accepted are note and measured")
            if "note" not in value:
                raise InputError(f"{name}.note: missing: a drawing note is needed")
            drawn = dim(value["note"], name=name)
            # A measurement of the real part replaces the drawing; the drawing's kind still has to fit.
            parts[name] = dim(value["measured"], name=name, kind=drawn.unit.kind) if "measured" in value else drawn
        except InputError as error:
            raise place.error("parts", name, str(error)) from None
    return parts


def _question(
    table: str, index: int, values: Any, shared: Mapping[str, Any], parts: Mapping[str, Dimension], place: _Place
) -> Question:
    if not isinstance(values, dict):
        raise place.error("", table, f"{table} = {brief(values)}: a table [{table}] is needed")
    try:
        return QUESTIONS[table].read({**shared, **values}, parts)
    except InputError as error:
        key = error.key.split("[")[0]
        if key in shared and key not in values:
            raise place.error("", key, str(error)) from None
        raise place.error(table, error.key if key in values else "", str(error), index) from None
