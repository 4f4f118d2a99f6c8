"""What to do next, asked of a sheet or of one question at the REPL."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from fitcheck.basis import Basis
from fitcheck.errors import InputError, SheetError, UnitError, brief, in_short, one_of
from fitcheck.expected import table_of
from fitcheck.planning import Measurements, Plan, Workshop, plan_for, worth_measuring
from fitcheck.questions import QUESTIONS, BladeDepth, Question, SetScrew
from fitcheck.questions.unit_names import UNITS
from fitcheck.sheet.bare_numbers import bare
from fitcheck.sheet.build import Build, load, reread
from fitcheck.sheet.opened import variants_of
from fitcheck.stack import Dimension
from fitcheck.units import LENGTH


def measure_next(
    what: str | Path | Build, /, *, workshop: Mapping[str, Any] | None = None, **inputs: Any
) -> Measurements:
    """Which part to measure next: those of a sheet or a question, ranked by what measuring each would settle.

    A part that is measured takes its size in place of its tolerance; with what chance a finding in doubt then holds, or
    fails, is told for each.

    Parameters
    ----------
    what : a build, the path of a sheet, or the name of a question
    workshop : the uncertainty of each instrument, `{"caliper": "0.02 mm"}`; that of the sheet by default, else a
        caliper of ± 0.05 mm
    inputs : those of the question, as in `ask`

    Raises `InputError` for inputs beside a sheet, and for all that `load` and `ask` refuse.

    >>> import fitcheck as fc
    >>> found = fc.measure_next("blade_depth", adds=["64 ± 0.2"], takes=["14.5 ± 0.3", "8.0 ± 0.1"], at_least="41.2 mm",
    ...                         workshop={"caliper": "0.02 mm"})
    >>> found.first.part, f"{found.first.outlooks[0][1].holds:.2f}"
    ('takes no. 1 (14.5 ± 0.3 mm)', '0.47')
    """
    if workshop is not None:
        workshop = table_of("workshop", workshop, "{'caliper': '0.02 mm'}")
    if isinstance(what, str) and what in QUESTIONS:
        asked: list[Question] = [QUESTIONS[what].read(inputs)]
        _refuse_bare({what: inputs, "workshop": workshop or {}})
        return worth_measuring(asked, Workshop.read(workshop or {}))
    build = _build(what, inputs)
    build.refuse_unset()
    if workshop is not None:
        _refuse_bare({**tomllib.loads(build.text), "workshop": workshop})
    used = build.workshop if workshop is None else Workshop.read(workshop, build.parts)
    return worth_measuring([question for _, _, question in build.questions], used)


def _refuse_bare(content: Mapping[str, Any]) -> None:
    """Raise `UnitError` for what names no unit where another value is in inches, as a sheet does."""
    for one in bare(content):
        said = f"{one.key} = {brief(one.value)} names no unit, beside inches: write {UNITS[one.kind]} behind it"
        raise UnitError(said, key=one.key)


def _build(what: str | Path | Build, inputs: Mapping[str, Any]) -> Build:
    """The build that is meant by a build or a path."""
    if isinstance(what, str) and not what.endswith(".toml") and not Path(what).exists():
        one_of("sheet or question", what, QUESTIONS)
    if inputs:
        raise InputError(f"{next(iter(inputs))}: inputs go with the name of a question, a sheet has its own")
    return what if isinstance(what, Build) else load(what)


def plan(sheet: str | Path | Build, /) -> Plan:
    """Values of what a sheet leaves open ([open]) with which all its findings hold, with the greatest least margin.

    They are rounded to what a ruler, a caliper or a catalogue offers, and every question is asked again with them. If
    nothing works, the plan names the smallest set of requirements that contradict each other, and what relaxing each
    costs. The margin of a finding counts in its own spread, half the zone of its worst case.

    sheet: a build, or the path of one. Raises `SheetError` for a sheet that cannot be used, or leaves nothing open.

    >>> import tempfile
    >>> folder = tempfile.TemporaryDirectory()
    >>> path = Path(folder.name, "wand.toml")
    >>> _ = path.write_text('''
    ... sheet = 1
    ... [parts]
    ... slug = "8.0 ± 0.1"
    ... [open]
    ... slug = "5.0 .. 9.0"
    ... [blade_depth]
    ... adds = ["64 ± 0.2"]
    ... takes = ["14.5 ± 0.3", "slug"]
    ... at_least = "41 mm"
    ... at_most = "44 mm"
    ... ''', encoding="utf-8")
    >>> plan(path).values
    {'slug': '7 ± 0.1 mm'}
    >>> folder.cleanup()
    """
    build = _build(sheet, {})
    if not (build.opened.parts or build.opened.inputs or build.opened.choices):
        raise SheetError(
            f"{build.path}: open: nothing is left for a plan to choose: a table [open] is needed, with a line such as "
            f"{_could_be_open(build)}"
        )
    with_open = reread(build, {name: size.part for name, size in build.opened.parts.items()})
    try:
        variants, sizes = variants_of(build.opened, with_open.parts, with_open.questions)
        return plan_for(variants, sizes, _as_they_are(build), build.workshop.cut_with)
    except InputError as error:
        raise SheetError(f"{build.path}: [open]: {error}") from None


def _could_be_open(build: Build) -> str:
    """Lines for [open] about this sheet: a part that is cut, else the smallest that is drawn; torque and screw."""
    cut = {*build.workshop.cut_with, *(one.cut for _, _, one in build.questions if isinstance(one, BladeDepth))}
    drawn = [d for d in build.parts.values() if d.basis is Basis.DRAWN and d.unit.kind is LENGTH and d.lower > 0]
    part = min(drawn, key=lambda d: (d.name not in cut, d.nominal), default=None)
    lines = []
    if part is not None:
        low, high = (part.unit.show(share * part.nominal, max(part.unit.decimals - 1, 0)) for share in (0.75, 1.25))
        lines.append(f"{in_short(part.name, 20)} = '{low.split()[0]} .. {high}'")
    if any(isinstance(one, SetScrew) for _, _, one in build.questions):
        lines += ["hand_torque = '0.1 .. 1.0 N·m'", "screw = ['M4x0.7', 'M4x0.5']"]
    return " or ".join(lines or ["slug = '5.0 .. 8.0'"])


def _as_they_are(build: Build) -> dict[str, Dimension]:
    """The parts that the sheet gives a size, without those that have one only to be read by."""
    return {name: d for name, d in build.parts.items() if name not in build.opened.new}
