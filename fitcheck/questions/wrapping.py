"""Lines of a text for a terminal: wrapped, cut at a clause, and never between a number and its unit."""

from __future__ import annotations

import re
import textwrap

_CUT = " …"

# A space that is glued does not end a line, nor a text that is cut.
_GLUE = "\u00a0"

_GLUED = re.compile(r"(?<=\d) (?=(?:[nµm]?m|in|k?N|lbf|MPa|ksi|N·m|in·lbf|deg|°C|°F|kg|%)(?![\w·]))|(?<=±) | (?=±)")

_CLAUSES = (r"[.;](?=\s)", r"[,:](?=\s)", r"(?<=\S)(?=[ ])")

_UNPRINTABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff]")


def printable(text: str) -> str:
    """`text` with a replacement sign for every character that no page or terminal can show."""
    return _UNPRINTABLE.sub("\ufffd", text)


def wrapped(text: str, width: int) -> list[str]:
    """The lines of `text`, at most `width` characters each, those after the first indented by two; one at least.

    >>> wrapped("it lies 12.5 mm off the axis", 14)
    ['it lies', '  12.5 mm off', '  the axis']
    """
    lines = textwrap.wrap(_plain(text), width, break_on_hyphens=False, subsequent_indent="  ") or [""]
    return [line.replace(_GLUE, " ") for line in lines]


def one_line(text: str, width: int) -> str:
    """`text` on one line of at most `width` characters: cut at the end of a clause or of a word, and marked, if longer.

    >>> one_line("cut it to 23.1 mm; 21.9 to 24.3 mm work", 30)
    'cut it to 23.1 mm; …'
    """
    text = _plain(text)
    if len(text) > width:
        text = _cut(text, width)
    return text.replace(_GLUE, " ")


def _cut(text: str, width: int) -> str:
    room = width - len(_CUT)
    for ends in _CLAUSES:
        fitting = [match.end() for match in re.finditer(ends, text) if match.end() <= room]
        if fitting and fitting[-1] > width // 2:
            return text[: fitting[-1]] + _CUT
    return text[:room] + _CUT  # one endless word


def _plain(text: str) -> str:
    return _GLUED.sub(_GLUE, " ".join(printable(text).split()))
