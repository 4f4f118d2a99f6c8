"""What is wrong with a sheet that is no TOML, in the words of a workshop: line, text, and what to write instead."""

from __future__ import annotations

import re
from typing import NamedTuple

from fitcheck.errors import in_short

_MOST = 60  # characters of a line that are shown
_PLACE = re.compile(r"\s*\(at (?:line (\d+), column \d+|end of document)\)$")
_PLAIN = re.compile(r'\s*(?:"[^"]*"|[\w.-]+)\s*=\s*(?P<value>[^"\'\s][^#]*?)\s*(?:#.*)?$')
_SPACED = re.compile(r"\s*(?P<key>[\w-]+(?:\s+[\w-]+)+)\s*=")
_COLON = re.compile(r"\s*(?P<key>[\w-]+)\s*:")
_EMPTY = re.compile(r"\s*(?P<key>[\w-]+)\s*=\s*(?:#.*)?$")
_HEADER = re.compile(r"\s*\[\[?\s*(?P<table>[^\]]*?)\s*\]?\]?\s*$")


def explain(text: str, error: str) -> tuple[int | None, str]:
    """The line, from 1, and a sentence for an `error` of the TOML reader on the sheet `text`."""
    place = _PLACE.search(error)
    said = error[: place.start()] if place else error
    lines = text.splitlines()
    number = int(place[1]) if place and place[1] else len(lines) if place else None
    # A value at the end of a line is noticed at the start of the next.
    if number is None or not 1 <= number <= len(lines):
        return None, f"not valid TOML: {in_short(said, 2 * _MOST)}"
    line = lines[number - 1]
    shown = line.strip() if len(line.strip()) <= _MOST else line.strip()[: _MOST - 1].rstrip() + "…"
    return number, f"{shown!r} is not valid TOML: {_correction(line, said)}"


class Empty(NamedTuple):
    """Keys of a table that have no value yet, as in a sheet to fill in; the line is that of the first one, from 1."""

    line: int
    table: str
    keys: tuple[str, ...]


def still_empty(text: str) -> list[Empty]:
    """The keys without a value, table by table in the order of the sheet `text`; "" is what stands above the tables."""
    found: list[Empty] = []
    table, fresh = "", True
    for number, line in enumerate(text.splitlines(), start=1):
        if header := _HEADER.match(line):
            table, fresh = header["table"], True
        elif key := _EMPTY.match(line):
            if fresh:
                found.append(Empty(number, table, (key["key"],)))
            else:
                found[-1] = found[-1]._replace(keys=(*found[-1].keys, key["key"]))
            fresh = False
    return found


def _correction(line: str, said: str) -> str:
    """What to write in place of `line`."""
    header = _HEADER.match(line)
    if said.startswith("Cannot declare") and header:
        table = in_short(header["table"])
        return f"the table [{table}] stands here a second time: to ask a question twice, write [[{table}]] both times"
    if said.startswith("Cannot overwrite"):
        key = in_short(line.split("=")[0])
        return f"{key} is written twice in this table: leave one of the two out"
    if colon := _COLON.match(line):
        return f"a key and its value are joined by '=': write {in_short(colon['key'])} = ..."
    if spaced := _SPACED.match(line):
        return f"a key is one word: write {in_short('_'.join(spaced['key'].split()))} = ..."
    if line.count('"') % 2 or (line.count("'") % 2 and '"' not in line):
        return "a text has no closing quotation mark on its line"
    plain = _PLAIN.match(line)
    if plain and not plain["value"].startswith(("[", "{")):
        note = re.sub(r"(?<=\d),(?=\d)", ".", plain["value"])  # a decimal comma
        return f'a note stands between quotation marks: write "{in_short(note, _MOST)}"'
    if line.lstrip().startswith("[") and line.count("[") != line.count("]"):
        return "a table is named between square brackets: one of them is missing"
    return in_short(said, 2 * _MOST)
