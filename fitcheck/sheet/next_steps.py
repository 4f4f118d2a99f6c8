"""What to do next, asked of a sheet or of one question at the REPL."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from fitcheck.errors import InputError, one_of
from fitcheck.planning import Measurements, Workshop, worth_measuring
from fitcheck.questions import QUESTIONS, Question
from fitcheck.sheet.build import Build, load


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
    if isinstance(what, str) and what in QUESTIONS:
        asked: list[Question] = [QUESTIONS[what].read(inputs)]
        return worth_measuring(asked, Workshop.read(workshop or {}))
    build = _build(what, inputs)
    used = build.workshop if workshop is None else Workshop.read(workshop, build.parts)
    return worth_measuring([question for _, _, question in build.questions], used)


def _build(what: str | Path | Build, inputs: Mapping[str, Any]) -> Build:
    """The build that is meant by a build or a path."""
    if isinstance(what, str) and not what.endswith(".toml") and not Path(what).exists():
        one_of("sheet or question", what, QUESTIONS)
    if inputs:
        raise InputError(f"{next(iter(inputs))}: inputs go with the name of a question, a sheet has its own")
    return what if isinstance(what, Build) else load(what)
