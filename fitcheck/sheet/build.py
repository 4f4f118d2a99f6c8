"""A build sheet: one TOML file that describes a device and asks the bench questions about it.

    sheet = 1                             version of the sheet format
    title = "..."
    notes = ["..."]                       printed in the report
    risk = 0.001                          for every question, unless it has its own
    confidence = 0.99
    shoulder = "72 ± 1"                   from the mouth of the socket to the shoulder in the body, for the drawing

    [parts]                               dimensions with a name, used by several questions
    slug = "12.0 ± 0.1"
    tube = { note = "38 ± 0.1", measured = "37.95 measured ± 0.02", title = "tube, as bought" }
    cell = "cell 18650 length"

    [materials]                           materials of one's own, each with its source
    "tube of 1962" = { yield = "180 MPa", tensile = ["200 MPa", "220 MPa", "240 MPa"], source = "own pull test" }

    [workshop]                            what it is measured and cut with: `fitcheck.planning.workshop`
    caliper = "0.02 mm"

    [open]                                what a plan may choose: `fitcheck.sheet.opened`
    slug = "5.0 .. 8.0"

    [blade_depth]                         a question; [[blade_depth]] if it is asked several times
    adds = ["socket", "spacer"]           names of parts, or notes
    at_least = "40 mm"

Each question takes the inputs its class in `fitcheck.questions` declares. A part is one dimension wherever it is used,
so the findings of a sheet agree with one another.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fitcheck.basis import Basis
from fitcheck.errors import InputError, SheetError, brief, did_you_mean, in_short, name_some, one_of
from fitcheck.expected import path_of
from fitcheck.mechanics import Material, material_names, new_material
from fitcheck.notation import dim
from fitcheck.planning import Workshop, lot_of, match_parts, to_do
from fitcheck.questions import QUESTIONS, Finding, Findings, Question
from fitcheck.questions.cells import cell_size
from fitcheck.questions.named import MaterialName
from fitcheck.questions.question import value_at
from fitcheck.questions.readers import PART_NAME
from fitcheck.questions.unit_names import UNITS
from fitcheck.sheet.bare_numbers import bare, uses_inches
from fitcheck.sheet.opened import Opened, read_open
from fitcheck.sheet.places import line_of
from fitcheck.sheet.syntax import explain, still_empty
from fitcheck.shown import Shown
from fitcheck.stack import Dimension
from fitcheck.units import LENGTH

if TYPE_CHECKING:
    import pandas

VERSION = 1
_HEAD = ("sheet", "title", "notes", "risk", "confidence", "shoulder", "parts", "materials", "workshop", "open")
_LARGEST = 1 << 20  # bytes; a sheet is a page of text


@dataclass(frozen=True, slots=True, repr=False)
class Build(Shown):
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
    opened: Opened = field(default_factory=Opened)
    """What a plan may choose."""
    shoulder: Dimension | None = None
    """From the mouth of the socket to the shoulder in the body, for the drawing of the device."""

    def __repr__(self) -> str:
        return f"<build {self.title!r}: {len(self.parts)} parts, {len(self.questions)} questions>"

    def change(self, changes: Mapping[str, Any] | None = None, /, **parts: Any) -> Build:
        """The same build with some of its values changed, as if the sheet had been written so.

        changes: values by their place in the sheet, "set_screw.hand_torque" or, where a question is asked several
        times, "set_screw[2].hand_torque"; parts: values by the name of the part. A part whose new note is a
        measurement keeps its drawing note. Raises `InputError` for a place that the sheet does not have, for a value
        that no sheet can have and for one in inches where the others name no unit, `SheetError` for one that cannot be
        used.

            build.change(slug="6.00 measured ± 0.03")
            build.change({"set_screw.hand_torque": "0.4 ± 0.1 N·m"}, slug="6.0 ± 0.1")
        """
        content = tomllib.loads(self.text)
        metric, said = not uses_inches(content), []
        for place, value in {**{f"parts.{name}": value for name, value in parts.items()}, **(changes or {})}.items():
            given = f"change {place} = {brief(value)}"
            if not isinstance(value, str | int | float | list | tuple | dict):
                raise InputError(f"{given}: a note as in a sheet is needed, such as '6.0 ± 0.1'")
            _put(content, place, value)
            if metric and any(bare(content)):
                raise InputError(
                    f"{given}: beside inches the other numbers of the sheet would name no unit: a value in mm is "
                    "needed, or a sheet that names them all"
                )
            said.append(f"# changed: {place} = {value!r}")
        path = self.path.with_name(f"{self.path.stem}, changed{self.path.suffix}")
        return _build(path, "\n".join([self.text.rstrip("\n"), *said, ""]), content)

    def refuse_unset(self) -> None:
        """Raise `SheetError` where a part is open and has no size, so that the questions have no answer yet."""
        for name in self.opened.new:
            problem = f"{name} is open and has no size yet: ask for the plan (--plan), or give it a line under [parts]"
            raise _Place(self.path, self.text).error("open", name, problem)

    def findings(self, *, progress: Callable[[str], None] | None = None) -> Findings:
        """The findings of every question, in the order of the sheet. Raises `SheetError` where one cannot be found.

        `progress` is told in words which question is about to be answered: a large sheet takes some seconds.
        """
        self.refuse_unset()
        found: list[Finding] = []
        for number, (table, index, question) in enumerate(self.questions, start=1):
            if progress is not None:
                progress(f"question {number} of {len(self.questions)}: {question.title}")
            try:
                found.extend(question.findings())
            except InputError as error:
                raise _Place(self.path, self.text).error(table, "", str(error), index) from None
        return Findings(found)

    def to_do(self) -> list[str]:
        """What to buy and to cut for it as it stands, a line each: its screws, and a plug that is bought longer.

        Raises `SheetError` where a part has no size yet, `InputError` where a torque cannot be found.
        """
        self.refuse_unset()
        return to_do([question for _, _, question in self.questions])

    def lot(self, readings: pandas.DataFrame, *, processes: int | None = None) -> pandas.DataFrame:
        """The verdicts and margins of many devices of this build, a row each, from what was measured of their parts.

        readings: a row a device, a column a part by its name; numbers in the unit that the sheet gives the part, or in
        that of the heading, "module [in]"; texts with their unit or pint quantities; an empty cell is a part that was
        not measured. processes: how many work at once. Raises `InputError` for a column that is no part and a reading
        that cannot be one. See `fitcheck.planning.lots`.
        """
        self.refuse_unset()
        asked = [question for _, _, question in self.questions]
        return lot_of(asked, self.parts, self.workshop, readings, processes=processes)

    def match(
        self, readings: pandas.DataFrame, moved: str | Sequence[str], *, processes: int | None = None
    ) -> pandas.DataFrame:
        """Which part goes to which body, so that most devices hold: a row a body, with the part it gets.

        readings: as for `lot`, a row a body and part as they lie now; spare ones leave the other's cells empty. moved:
        the columns that belong to the part. processes: how many work at once. Raises `InputError` as `lot` does.
        """
        self.refuse_unset()
        asked = [question for _, _, question in self.questions]
        return match_parts(asked, self.parts, self.workshop, readings, moved, processes=processes)


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
        return SheetError(f"{at}: {where}{problem}", line=line or 0)


def load(path: str | Path) -> Build:
    """Read the sheet at `path`. Raises `SheetError` with file, line, table, key and what would be accepted.

    What is wrong with its values is told all at once, a line each and ten lines at the most.

    >>> import tempfile
    >>> folder = tempfile.TemporaryDirectory()
    >>> path = Path(folder.name, "wand.toml")
    >>> _ = path.write_text('''
    ... sheet = 1
    ... [blade_depth]
    ... adds = ["64 ± 0.2"]
    ... takes = ["14.5 ± 0.3", "8.0 ± 0.1"]
    ... at_least = "40 mm"
    ... ''', encoding="utf-8")
    >>> print(load(path).findings()[0].answer)
    Deep enough: the blade sits 41.50 mm deep, between 40.90 mm and 42.10 mm.
    >>> folder.cleanup()
    """
    path = path_of("path", path)
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
        raise _no_toml(path, text, str(error)) from None
    return _build(path, text, content)


def _no_toml(path: Path, text: str, error: str) -> SheetError:
    """What is wrong with a sheet that is no TOML: the `error` of its reader, and what is still to be filled in."""
    line, problem = explain(text, error)
    found = [SheetError(f"{path}{f', line {line}' if line else ''}: {problem}", line=line or 0)]
    empty = still_empty(text)
    # The reader stops at the first key without a value, or at what is wrong above it.
    if line is not None and any(one.line == line for one in empty):
        found = []
    for one in empty:
        where = f"[{in_short(one.table)}]: " if one.table else ""
        said = f"{path}, line {one.line}: {where}still to be filled in: {name_some(one.keys)}"
        found.append(SheetError(said, line=one.line))
    return _together(path, found)


_PLACE = re.compile(r"(?P<table>\w+)(?:\[(?P<number>\d+)\])?\.(?P<key>\w+)")


def _put(content: dict[str, Any], place: str, value: Any) -> None:
    """Set a value of a sheet by its place, "slug" among the parts or "set_screw[2].hand_torque" in a question."""
    found = _PLACE.fullmatch(place)
    if found is None:
        raise InputError(f"change {place!r}: a table and a key are needed, for example 'set_screw.hand_torque'")
    tables = [key for key in content if isinstance(content[key], dict | list)]
    table: Any = content[one_of("table", found["table"], tables)]
    if isinstance(table, list):
        number = int(found["number"] or 1)
        if not 1 <= number <= len(table) or (len(table) > 1 and not found["number"]):
            raise InputError(
                f"change {place!r}: {found['table']}[1] to {found['table']}[{len(table)}] are in the sheet"
            )
        table = table[number - 1]
    elif found["number"] not in (None, "1"):
        raise InputError(f"change {place!r}: there is one [{found['table']}] in the sheet")
    key = found["key"]
    if found["table"] == "parts":
        one_of("part", key, table)
        old = table[key] if isinstance(table[key], dict) else {"note": table[key]}
        if not isinstance(value, dict):
            measured = isinstance(value, str) and dim(value, name=key).basis is Basis.MEASURED
            kept = {one: words for one, words in old.items() if one != "measured"}
            value = {**kept, "measured" if measured else "note": value}
    table[key] = value


_MOST = 10
"""Errors of a sheet that are told in one run."""


def _build(path: Path, text: str, content: Mapping[str, Any]) -> Build:
    place = _Place(path, text)
    version = content.get("sheet")
    if version is None:
        raise place.error("", "", f"sheet: missing: the first line `sheet = {VERSION}` says how the sheet is written")
    if version != VERSION or isinstance(version, bool):
        raise place.error("", "sheet", f"sheet = {brief(version)}: {_other_version(version)}")
    wrong: list[SheetError] = []
    for key in content:
        if key not in _HEAD and key not in QUESTIONS:
            hint = did_you_mean(key, [*_HEAD, *QUESTIONS])
            accepted = f"; accepted are {name_some([*_HEAD, *QUESTIONS])}"
            is_table = isinstance(content[key], (dict, list))
            wrong.append(
                place.error(
                    key if is_table else "", "" if is_table else key, f"{in_short(key)}: unknown{hint}{accepted}"
                )
            )
    parts, unread = _parts(content.get("parts", {}), place, wrong)
    materials, unmade = _materials(content.get("materials", {}), place, wrong)
    workshop, opened = _opened(content, parts, place, wrong)
    for found in bare(content):
        problem = f"names no unit, in a sheet that uses inches: write {UNITS[found.kind]} behind it"
        said = f"{found.key} = {brief(found.value)} {problem}"
        wrong.append(place.error(found.table, found.key.split(".")[0], said, found.index))
    shared = {key: content[key] for key in ("risk", "confidence") if key in content}
    questions = []
    # TOML tables keep their order, so questions are answered in the order the sheet asks them.
    for table in content:
        if table in QUESTIONS:
            asked = content[table] if isinstance(content[table], list) else [content[table]]
            for index, values in enumerate(asked):
                try:
                    questions.append(
                        (table, index, _question(table, index, _made(table, values, materials), shared, parts, place))
                    )
                except _SeveralError as several:
                    # What rests on a part that cannot be read is no error of its own.
                    wrong += [error for key, error in several.errors if not _names(values, key, unread | unmade)]
    if not questions and not wrong:
        raise place.error("", "", f"asks no question: at least one table of {', '.join(QUESTIONS)} is needed")
    title, notes = content.get("title", path.stem), content.get("notes", [])
    if not isinstance(title, str):
        wrong.append(place.error("", "title", f"title = {brief(title)}: text is needed"))
    if not isinstance(notes, list) or not all(isinstance(note, str) for note in notes):
        wrong.append(place.error("", "notes", f"notes = {brief(notes)}: a list of texts is needed"))
    shoulder = None
    if "shoulder" in content:
        try:
            shoulder = dim(content["shoulder"], name="shoulder", kind=LENGTH)
        except InputError as error:
            wrong.append(place.error("", "shoulder", str(error)))
    if wrong:
        raise _together(path, wrong)
    return Build(path, text, title, tuple(notes), parts, tuple(questions), workshop, opened, shoulder)


def reread(build: Build, parts: Mapping[str, Dimension]) -> Build:
    """The same build with other dimensions for some of its parts, and all its questions read anew."""
    content = tomllib.loads(build.text)
    return _build(build.path, build.text, {**content, "parts": {**content.get("parts", {}), **parts}})


def _opened(
    content: Mapping[str, Any], parts: dict[str, Dimension], place: _Place, wrong: list[SheetError]
) -> tuple[Workshop, Opened]:
    """What a plan may choose, and what it is cut with; a part that is open and has no size gets one to be read by."""
    workshop, opened = Workshop(), Opened()
    table = content.get("open", {})
    if not isinstance(table, dict):
        at = ("open", "") if isinstance(table, list) else ("", "open")
        wrong.append(place.error(*at, "open: a table [open] with a range or a list a line is needed"))
        table = {}
    try:
        workshop = _workshop(content.get("workshop", {}), [*parts, *table], place)
        opened = read_open(table, content, parts, workshop)
    except SheetError as error:
        wrong.append(error)
    except InputError as error:
        wrong.append(place.error("open", error.key, str(error)))
    parts |= {name: opened.parts[name].part for name in opened.new}
    return workshop, opened


def _workshop(table: Any, parts: Iterable[str], place: _Place) -> Workshop:
    if not isinstance(table, dict):
        raise place.error("", "workshop", "workshop: a table [workshop] with an instrument or a tool a line is needed")
    try:
        return Workshop.read(table, parts)
    except InputError as error:
        raise place.error("workshop", error.key, str(error)) from None


class _SeveralError(Exception):
    """What is wrong with one question: the input of each error, and the error with its place."""

    def __init__(self, errors: list[tuple[str, SheetError]]) -> None:
        super().__init__()
        self.errors = errors


def _names(values: Any, key: str, unread: set[str]) -> bool:
    """Whether the input `key` of a question names a part that could not be read."""
    value = value_at(values, key) if isinstance(values, dict) else None
    named = value if isinstance(value, list) else [value]
    return any(isinstance(one, str) and one in unread for one in named)


def _together(path: Path, wrong: list[SheetError]) -> SheetError:
    """All errors of a sheet as one, a line each, in the order of its lines, then what has none; each only once."""
    lines = list(dict.fromkeys(str(one) for one in sorted(wrong, key=lambda one: one.line or _LARGEST)))
    if len(lines) > _MOST:
        lines = [*lines[:_MOST], f"{path}: and {len(lines) - _MOST} more"]
    return SheetError("\n".join(lines))


def _other_version(version: Any) -> str:
    """Why a sheet of another version is not read, and what to do."""
    reads = f"this fitcheck reads sheets of version {VERSION}"
    if isinstance(version, bool) or not isinstance(version, int):
        return f"the version is a whole number, without quotation marks: {reads}"
    if version > VERSION:
        return f"{reads}: install a newer fitcheck for this sheet"
    return f"{reads}, which is the first: write sheet = {VERSION} and check every key against the README"


def _parts(table: Any, place: _Place, wrong: list[SheetError]) -> tuple[dict[str, Dimension], set[str]]:
    """The parts that could be read, and the names of those that could not; what is wrong is added to `wrong`."""
    if not isinstance(table, dict):
        raise place.error("", "parts", "parts: a table [parts] with one dimension a line is needed")
    parts: dict[str, Dimension] = {}
    unread: set[str] = set()
    for name, value in table.items():
        try:
            parts[name] = _part(name, value)
        except InputError as error:
            unread.add(name)
            wrong.append(place.error("parts", name, str(error)))
    return parts, unread


PROPERTIES = ("tensile", "yield", "shear", "compressive", "bearing", "modulus", "expansion")
_OF_A_MATERIAL = (*PROPERTIES, "metal", "note", "source")


def _materials(table: Any, place: _Place, wrong: list[SheetError]) -> tuple[dict[str, Material], set[str]]:
    """The sheet's own materials, and the names of those that cannot be read; they are known to this sheet only."""
    if not isinstance(table, dict):
        raise place.error("", "materials", "materials: a table [materials] with one material a line is needed")
    made: dict[str, Material] = {}
    unmade: set[str] = set()
    for name, about in table.items():
        try:
            made[name] = _material(name, about)
        except InputError as error:
            unmade.add(name)
            wrong.append(place.error("materials", name, str(error)))
    return made, unmade


def _material(name: str, about: Any) -> Material:
    if not isinstance(about, dict):
        raise InputError(f"{name} = {brief(about)}: a table such as {{ yield = '180 MPa', source = '...' }} is needed")
    for key in about:
        if key not in _OF_A_MATERIAL:
            hint = did_you_mean(key, _OF_A_MATERIAL)
            raise InputError(f"{name}.{key}: unknown{hint}; accepted are {', '.join(_OF_A_MATERIAL)}")
    if name in material_names():
        raise InputError(f"{name}: is a material of the table: another name is needed for one's own")
    if "source" not in about:
        raise InputError(f"{name}.source: missing: where the numbers come from, one line, is needed")
    if not isinstance(about.get("metal", True), bool):
        raise InputError(f"{name}.metal = {brief(about['metal'])}: true or false is needed")
    numbers: dict[str, Any] = {}
    for key in PROPERTIES:
        if key in about:
            three = about[key] if isinstance(about[key], list) else [about[key]]
            if len(three) not in (1, 3) or not all(isinstance(one, str) for one in three):
                example = "'23e-6 1/K'" if key == "expansion" else "'180 MPa'"
                raise InputError(
                    f"{name}.{key} = {brief(about[key])}: a text with its unit, {example}, or a list of three such, "
                    "[lower, value, upper], is needed"
                )
            numbers["yield_" if key == "yield" else key] = tuple(three) if len(three) == 3 else three[0]
    if not numbers:
        raise InputError(f"{name}: no property is given: one of {', '.join(PROPERTIES)} is needed")
    try:
        return new_material(
            name, **numbers, source=about["source"], metal=about.get("metal", True), note=about.get("note", "")
        )
    except InputError as error:
        raise type(error)(f"{name}: {error}") from None


def _made(table: str, values: Any, materials: Mapping[str, Material]) -> Any:
    """The values of a question with the sheet's own materials in place of their names."""
    if not isinstance(values, dict):
        return values
    inputs = QUESTIONS[table].inputs()
    named = {key for key, one in inputs.items() if isinstance(one.metadata["reader"], MaterialName)}
    return {
        key: materials.get(value, value) if key in named and isinstance(value, str) else value
        for key, value in values.items()
    }


def _part(name: str, value: Any) -> Dimension:
    if not PART_NAME.fullmatch(name):
        raise InputError(
            f"{name!r} can never be used: the name of a part is letters, digits and '_', with no digit first; a title "
            'for people goes beside it, { note = "...", title = "..." }'
        )
    if not isinstance(value, dict):
        return cell_size(value, name) or dim(value, name=name)
    for key in value:
        if key not in ("note", "measured", "title"):
            raise InputError(
                f"{in_short(name)}.{in_short(key)}: unknown; accepted are note and measured, and title for people"
            )
    if not isinstance(value.get("title", ""), str):
        raise InputError(f"{in_short(name)}.title = {brief(value['title'])}: text is needed")
    if "note" not in value:
        raise InputError(f"{in_short(name)}.note: missing: a drawing note is needed")
    drawn = dim(value["note"], name=name)
    # A measurement of the real part replaces the drawing; the drawing's kind still has to fit.
    part = dim(value["measured"], name=name, kind=drawn.unit.kind) if "measured" in value else drawn
    return replace(part, title=value.get("title", ""))


def _question(
    table: str, index: int, values: Any, shared: Mapping[str, Any], parts: Mapping[str, Dimension], place: _Place
) -> Question:
    if not isinstance(values, dict):
        raise _SeveralError([("", place.error("", table, f"{table} = {brief(values)}: a table [{table}] is needed"))])
    try:
        return QUESTIONS[table].read({**shared, **values}, parts)
    except InputError as first:
        found = []
        for error in (first, *first.others):
            key = error.key.split("[")[0]
            if key in shared and key not in values:
                found.append((key, place.error("", key, str(error))))
            else:
                told = place.error(table, error.key if key in values else "", str(error), index)
                # What is missing stands on no line: it comes after what is wrong.
                found.append((error.key, told if key in values else SheetError(str(told))))
        raise _SeveralError(found) from None
