"""What differs between two sheets: the sizes of parts, the inputs of questions and the rest, before and after."""

from __future__ import annotations

import dataclasses
import tomllib
from collections.abc import Mapping
from typing import Any

from fitcheck.basis import Basis
from fitcheck.errors import brief
from fitcheck.questions import QUESTIONS
from fitcheck.sheet.build import Build
from fitcheck.stack import Dimension

_Place = tuple[str, ...]
_WORDS = ("title", "notes", "sheet")
"""What says something to people and changes no finding."""


def inputs_changed(before: Build, now: Build) -> list[str]:
    r"""What was written otherwise in an older sheet and means something else now, a line each.

    Parts by their names, inputs of questions by the names of the questions; how a number is written is no change.

    >>> import tempfile
    >>> from pathlib import Path
    >>> from fitcheck.sheet import load
    >>> folder = tempfile.TemporaryDirectory()
    >>> text = 'sheet = 1\n[parts]\nslug = "8.0 ± 0.1"\n[blade_depth]\nadds = ["64 ± 0.2"]\nat_least = "40 mm"\n'
    >>> old, new = Path(folder.name, "old.toml"), Path(folder.name, "new.toml")
    >>> _ = old.write_text(text, encoding="utf-8")
    >>> _ = new.write_text(text.replace("8.0", "6.0").replace("64 ±", "64.0 ±"), encoding="utf-8")
    >>> inputs_changed(load(old), load(new))
    ['slug: 8 ± 0.1 mm before, 6 ± 0.1 mm now']
    >>> folder.cleanup()
    """
    old, new = _values(before), _values(now)
    was, is_now = _meanings(before), _meanings(now)
    found = []
    for place in dict.fromkeys((*new, *old)):
        one, other = old.get(place), new.get(place)
        if one == other or (place in was and place in is_now and _same(was[place], is_now[place])):
            continue
        found.append(f"{', '.join(place)}: {_said(one, 'not given')} before, {_said(other, 'not given')} now")
    return found


def _values(build: Build) -> dict[_Place, Any]:
    """What is written in a sheet, by its place: a part by its name, an input by its question."""
    found: dict[_Place, Any] = {}
    for table, value in tomllib.loads(build.text).items():
        if table in QUESTIONS:
            for place, inputs in _asked(table, value if isinstance(value, list) else [value]):
                found |= {(*place, key): one for key, one in inputs.items() if key != "name"}
        elif table == "parts":
            found |= {(name,): _part(build.parts[name]) for name in value}
        elif isinstance(value, Mapping):
            found |= {(table, key): one for key, one in value.items()}
        elif table not in _WORDS:
            found[(table,)] = value
    return found


def _asked(table: str, questions: list[dict[str, Any]]) -> list[tuple[_Place, dict[str, Any]]]:
    """The questions of a table with their places: by name, numbered where several have it."""
    found: list[tuple[_Place, dict[str, Any]]] = []
    for values in questions:
        place: _Place = tuple(one for one in (QUESTIONS[table].title, str(values.get("name", ""))) if one)
        again = sum(one[: len(place)] == place for one, _ in found)
        found.append(((*place, f"no. {again + 1}") if again else place, values))
    return found


def _meanings(build: Build) -> dict[_Place, Any]:
    """What was read of it, by the same places."""
    found: dict[_Place, Any] = {(name,): part for name, part in build.parts.items()}
    content = tomllib.loads(build.text)
    for table in dict.fromkeys(table for table, _, _ in build.questions):
        asked = content[table] if isinstance(content[table], list) else [content[table]]
        read = [question for name, _, question in build.questions if name == table]
        for (place, values), question in zip(_asked(table, asked), read, strict=True):
            found |= {(*place, key): getattr(question, key, None) for key in values}
    return found


def _part(part: Dimension) -> str:
    return f"{part}, measured" if part.basis is Basis.MEASURED else str(part)


def _same(a: Any, b: Any) -> bool:
    """Whether two inputs are alike, the same part or not."""
    if isinstance(a, Dimension) and isinstance(b, Dimension):
        ends = ((one.nominal, one.lower, one.upper, one.spread, one.basis) for one in (a, b))
        return next(ends) == next(ends)
    if isinstance(a, tuple) and isinstance(b, tuple):
        return len(a) == len(b) and all(_same(x, y) for x, y in zip(a, b, strict=True))
    if dataclasses.is_dataclass(a) and type(a) is type(b) and not isinstance(a, type):
        return all(_same(getattr(a, f.name), getattr(b, f.name)) for f in dataclasses.fields(a) if f.compare)
    return bool(a == b)


def _said(value: Any, none: str) -> str:
    if value is None:
        return none
    if isinstance(value, list):
        return ", ".join(str(one) for one in value) or none
    return value if isinstance(value, str) else brief(value)
