"""Where a key stands in a TOML text, so that an error can name the line.

The TOML reader of the standard library gives values without their places. This follows table headers and plain
`key = ...` lines, which is how people write sheets; for anything else it gives no line rather than a wrong one.
"""

from __future__ import annotations

import re

_HEADER = re.compile(r"\s*(\[\[?)\s*([A-Za-z0-9_.-]+)\s*\]\]?")
_KEY = re.compile(r"\s*([A-Za-z0-9_-]+)\s*=")


def line_of(text: str, table: str, key: str = "", index: int = 0) -> int | None:
    """Line, from 1, of `key` in the `index`-th (from 0) table called `table`; of its header if `key` is empty.

    `table` is "" for the keys above the first header. None if it cannot be told.
    """
    current, seen = "", {"": 0}
    if not table and not key:
        return None
    for number, line in enumerate(text.splitlines(), start=1):
        header = _HEADER.match(line)
        if header:
            current = header[2]
            seen[current] = seen.get(current, -1) + 1
            if not key and current == table and seen[current] == index:
                return number
            continue
        found = _KEY.match(line)
        if found and key and found[1] == key and current == table and seen[current] == index:
            return number
    return None
