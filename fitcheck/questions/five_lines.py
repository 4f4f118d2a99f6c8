"""Five lines of at most 80 columns: how what a finding says is laid out in the REPL."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence

_INDENT = 7

_ROOM = 80 - _INDENT

_CUT = " …"

# A space that is glued does not end a line, nor a text that is cut.
_GLUE = "\u00a0"

_GLUED = re.compile(r"(?<=\d) (?=(?:[nµm]?m|in|k?N|lbf|MPa|ksi|N·m|in·lbf|deg|°C|°F|kg|%)(?![\w·]))|(?<=±) | (?=±)")

_CLAUSES = (r"[.;](?=\s)", r"[,:](?=\s)", r"(?<=\S)(?=[ ])")


def five_lines(
    *,
    verdict: str,
    answer: str,
    quantity: str,
    limits: str,
    numbers: Sequence[str],
    risk: str,
    drivers: Sequence[tuple[str, str]],
) -> str:
    """Exactly five lines of at most 80 columns; what is too long loses words at its end.

    verdict: one word. answer: a sentence, on one line or two. quantity, limits: what is required, and within what.
    numbers: ways to say the numbers, the fullest first, of which the first that fits is taken. risk: how likely the
    requirement is missed. drivers: names with their shares, the largest first.
    """
    said = _wrapped(_plain(answer))
    if len(said) > 2:
        said = _wrapped(_cut(_plain(answer)))
    shares = [(_plain(name), share) for name, share in drivers]
    required = f"required: {_short(_plain(quantity), _ROOM - len(limits) - len('required:  '))} {limits}"
    lines = [*said, required, next((line for line in numbers if len(line) <= _ROOM), numbers[-1])]
    if len(said) > 1:
        by = f"{risk}; by " if shares else f"{risk}; "
        lines.append(by + _leading(shares, _ROOM - len(by)))
    else:
        lines += [risk, "driven by: " + _leading(shares, _ROOM - len("driven by: "))]
    first, *others = (_within(line) for line in lines)
    return "\n".join([f"{verdict:6} {first}".rstrip(), *(" " * _INDENT + line for line in others)])


def _leading(drivers: Sequence[tuple[str, str]], room: int) -> str:
    """As many of the drivers as there is room for; the first one always, its name shortened if it must be."""
    if not drivers:
        return "nothing varies"
    (name, share), *others = drivers
    said = f"{_short(name, room - len(share) - 1)} {share}"
    for name, share in others:
        if len(said) + len(f", {name} {share}") > room:
            break
        said += f", {name} {share}"
    return said


def _plain(text: str) -> str:
    return _GLUED.sub(_GLUE, " ".join(text.split()))


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, _ROOM, break_on_hyphens=False) or [""]


def _cut(text: str) -> str:
    """The longest beginning of `text` that takes two lines with the mark of a cut and ends with a clause, or a word."""
    for ends in _CLAUSES:
        at = [match.end() for match in re.finditer(ends, text)]
        fitting = [end for end in at if len(_wrapped(text[:end] + _CUT)) <= 2]
        if fitting and fitting[-1] > _ROOM // 2:
            return text[: fitting[-1]] + _CUT
    return text[: 2 * _ROOM - len(_CUT)] + _CUT  # one endless word


def _short(text: str, room: int) -> str:
    """`text` with the words at its end left out if it is longer than `room`; a word too long for that is cut."""
    if len(text) <= room:
        return text
    kept = text[: max(room, 2) - 1]
    if text[len(kept)] != " ":
        kept = kept.rpartition(" ")[0] or kept
    return kept.rstrip(" ,;:") + "…"


def _within(line: str) -> str:
    return _short(line, _ROOM).replace(_GLUE, " ")
