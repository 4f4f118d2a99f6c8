"""The report for a terminal: what `python -m fitcheck SHEET.toml` prints."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from shutil import get_terminal_size

from fitcheck.questions.finding import Finding, Verdict
from fitcheck.questions.several import counts, told
from fitcheck.questions.words import STRENGTH_CAUTIONS
from fitcheck.questions.wrapping import wrapped
from fitcheck.report.summary import once

_STYLES = {Verdict.FAILS: "1;31", Verdict.LIKELY: "1;33", Verdict.HOLDS: "36"}
"""Bold red, bold yellow and cyan: what fails is the heaviest word, and the word says it without colour too."""

_ASCII = str.maketrans({
    "±": "+/-", "·": " ", "µ": "u", "μ": "u", "×": "x", "…": "...", "°": " deg", "⌀": "dia ", "−": "-", "²": "^2",
    "³": "^3", "≥": ">=", "≤": "<=", "—": "-", "–": "-",
})  # fmt: skip


def text(
    findings: Sequence[Finding],
    title: str,
    *,
    width: int = 80,
    full: bool = False,
    whole: bool = False,
    colour: bool = False,
    asked: Sequence[tuple[str, Sequence[str]]] = (),
) -> str:
    """The findings in plain text at most `width` wide: the count, what fails with what would change it, then the rest.

    Parameters
    ----------
    findings : those of a sheet, `build.findings()`, or of one question
    title : what stands on top, underlined; nothing for ""
    width : of the text, characters
    full : every finding with all that is known of it, where one that holds has a line otherwise
    whole : the line of one that holds is not cut at the width but goes on below, as for a file or another program
    colour : the verdicts in bold and colour, by the escape sequences of ECMA-48
    asked : what was asked for besides, such as a plan: headings, each with its lines; they stand before the findings

    Each caution is said once, after the findings. While something fails those stand there that belong to what is to be
    done about it, and how many more there are; once all holds, or with `full`, all of them.

    >>> import fitcheck as fc
    >>> found = fc.ask("plug_length", travel="4 ± 0.2", seat="9 ± 0.2", adds=["16 ± 0.2"])
    >>> print(text(found, "Wand").splitlines()[3])
    1 finding: 1 holds
    """
    blocks = [*wrapped(title, width), "=" * min(len(title), width), ""] if title else []
    for head, lines in asked:
        blocks += [*_section(head, lines, width), ""]
    if asked:
        blocks += _headed("Findings")
    blocks += [told(findings, width, full=full, whole=whole, mark=_coloured if colour else _word)]
    every = once(caution for finding in findings for caution in finding.cautions)
    cautions = every if full else _cautions_now(findings)
    left = len(every) - len(cautions)
    if cautions:
        blocks += ["", *_headed("Cautions")]
        blocks += [line for caution in cautions for line in wrapped(f"- {caution}", width)]
    more = "" if full else "; --full says how each was found"
    if left:
        more += f" and has {left} more caution{'' if left == 1 else 's'} for the finished device"
    return "\n".join([*blocks, "", *wrapped(counts(findings) + more, width), ""])


def _cautions_now(findings: Sequence[Finding]) -> list[str]:
    """The cautions of what is still to be done, while something fails; those for all work with loads are among them."""
    if all(one.verdict is not Verdict.FAILS for one in findings):
        return once(caution for one in findings for caution in one.cautions)
    every = {caution for one in findings for caution in one.cautions}
    general = [caution for caution in STRENGTH_CAUTIONS if caution in every]
    now = [one for one in findings if one.verdict is not Verdict.HOLDS or one.do]
    return once([*general, *(caution for one in now for caution in one.cautions)])


def _section(head: str, lines: Sequence[str], width: int) -> list[str]:
    """Lines of advice below a heading, wrapped; what is indented stays so."""
    body = _headed(head)
    for line in lines:
        indent = " " * (len(line) - len(line.lstrip()))
        body += [indent + part for part in wrapped(line, width - len(indent))]
    return body


def _headed(head: str) -> list[str]:
    return [head, "-" * len(head)]


def width_of_terminal() -> int:
    """Characters in a line: COLUMNS, or the width of the terminal; 80 where there is none."""
    return max(get_terminal_size((80, 24)).columns, 40)


def is_cut() -> bool:
    """Whether a line is cut at the width of the terminal: what goes to a file or another program is whole."""
    return sys.stdout is not None and sys.stdout.isatty()


def shows_colour() -> bool:
    """Whether standard output is a terminal that shows colour, and nobody has asked for none (NO_COLOR)."""
    if sys.stdout is None or os.environ.get("NO_COLOR") or os.environ.get("TERM", "") == "dumb":
        return False
    return sys.stdout.isatty()


def encodable(words: str, encoding: str | None) -> str:
    """`words` with what `encoding` has no character for written out: "+/-" for "±".

    >>> encodable("0.3 ± 0.1 N·m", "ascii")
    '0.3 +/- 0.1 N m'
    """
    try:
        words.encode(encoding or "utf-8")
    except UnicodeEncodeError:
        return "".join(one if _has(one, encoding) else one.translate(_ASCII) for one in words)
    except LookupError:  # an encoding that nobody knows: it is left to the stream
        return words
    return words


def _has(character: str, encoding: str | None) -> bool:
    try:
        character.encode(encoding or "utf-8")
    except UnicodeEncodeError:
        return False
    return True


def _word(verdict: Verdict) -> str:
    return verdict.upper()


def _coloured(verdict: Verdict) -> str:
    return f"\x1b[{_STYLES[verdict]}m{verdict.upper()}\x1b[0m"
