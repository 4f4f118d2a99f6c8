"""Where a key stands in a TOML text, so that an error can name the line.

The TOML reader of the standard library gives values without their places. This follows table headers and plain
`key = ...` lines, which is how people write sheets; for anything else it gives no line rather than a wrong one.
"""

from __future__ import annotations

import re

_HEADER = re.compile(r"\s*(\[\[?)\s*([A-Za-z0-9_.-]+)\s*\]\]?")
_KEY = re.compile(r"""\s*(?:"([^"\n]+)"|'([^'\n]+)'|([A-Za-z0-9_-]+))\s*=""")


_ITEM = re.compile(r"(?P<key>.*?)\[(?P<item>\d+)\]")


def line_of(text: str, table: str, key: str = "", index: int = 0) -> int | None:
    """Line, from 1, of `key` in the `index`-th (from 0) table called `table`; of its header if `key` is empty.

    `table` is "" for the keys above the first header. A key such as "bodies[2]" is the second item of a list, which may
    stand on a line of its own. None if it cannot be told.
    """
    current, seen = "", {"": 0}
    if not table and not key:
        return None
    of_list = _ITEM.fullmatch(key)
    if of_list:
        key = of_list["key"]
    lines = text.splitlines()
    for number, line in enumerate(lines, start=1):
        header = _HEADER.match(line)
        if header:
            current = header[2]
            seen[current] = seen.get(current, -1) + 1
            if not key and current == table and seen[current] == index:
                return number
            continue
        found = _KEY.match(line)
        if found and key and found[found.lastindex or 0] == key and current == table and seen[current] == index:
            return _line_of_item(lines, number, found.end(), int(of_list["item"])) if of_list else number
    return None


def _line_of_item(lines: list[str], number: int, start: int, item: int) -> int:
    """Line of the `item`-th item, from 1, of the list that begins on line `number` from column `start`.

    That of the list itself where its end is not found: a text over several lines, say.
    """
    depth, now, fresh = 0, 0, True
    for at in range(number, len(lines) + 1):
        line = lines[at - 1][start if at == number else 0 :]
        for token in _TOKEN.findall(line):
            if token.startswith("#"):
                break
            if token == "," and depth == 1:
                fresh = True
            elif not (token in ("]", "}") or (token == "[" and depth == 0)) and depth == 1 and fresh:
                now, fresh = now + 1, False
                if now == item:
                    return at
            depth += {"[": 1, "{": 1, "]": -1, "}": -1}.get(token, 0)
            if depth <= 0:
                return number
    return number


_TOKEN = re.compile(r""""(?:[^"\\]|\\.)*"|'[^']*'|#.*|[][{},]|[^][{},"'#\s]+""")
