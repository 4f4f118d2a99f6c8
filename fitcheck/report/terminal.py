"""The report for a terminal: what `python -m fitcheck SHEET.toml` prints."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from fitcheck.questions.finding import Finding
from fitcheck.report.summary import by_question, counts, once, printable

_INDENT = 7
"""Where the text of a finding starts, after its verdict."""


def text(findings: Sequence[Finding], title: str, *, width: int = 80) -> str:
    """The findings in plain text at most `width` wide, without colour.

    Each finding comes with what would meet its requirement; each caution is said once, at the end, before the count.

    Parameters
    ----------
    findings : those of a sheet, `build.findings()`, or of one question
    title : what stands on top, underlined; nothing for ""
    width : of the text, characters

    >>> import fitcheck as fc
    >>> found = fc.ask("plug_length", travel="4 ± 0.2", seat="9 ± 0.2", adds=["16 ± 0.2"])
    >>> print(text(found, "Wand").splitlines()[0], "...", text(found, "Wand").splitlines()[-1])
    Wand ... 1 finding: 1 holds
    """
    blocks = [_lines(title, width, 0), "=" * min(len(title), width)] if title else []
    for question, group in by_question(findings).items():
        blocks.append("")
        blocks.append(_lines(question[:1].upper() + question[1:], width, 0))
        blocks.append("-" * min(len(question), width))
        named = len({finding.name for _, finding in group}) > 1
        for i, (_, finding) in enumerate(group):
            if i:
                blocks.append("")
            if named and finding.name and (not i or group[i - 1][1].name != finding.name):
                blocks.append(_lines(f"{finding.name}:", width, 0))
            blocks.append(_finding(finding, width))
    cautions = once(caution for finding in findings for caution in finding.cautions)
    if cautions:
        blocks += ["", "Cautions", "--------"]
        blocks += [_lines(f"- {caution}", width, 2) for caution in cautions]
    return "\n".join([*blocks, "", counts(findings), ""])


def section(head: str, lines: Sequence[str], *, width: int = 80) -> str:
    """Lines of advice below a heading, wrapped; what is indented stays so.

    head: the heading. lines: one a piece of advice. width: of the text, characters.

    >>> print(section("Measure next", ["Measure the slug first."]))
    <BLANKLINE>
    Measure next
    ------------
    Measure the slug first.
    <BLANKLINE>
    """
    body = [_lines(line, width, len(line) - len(line.lstrip()) + 2) for line in lines]
    return "\n".join(["", head, "-" * len(head), *body, ""])


def _finding(finding: Finding, width: int) -> str:
    lines = [_lines(line, width, _INDENT + (0 if i == 0 else 2)) for i, line in enumerate(str(finding).splitlines())]
    lines += [_lines(f"{' ' * _INDENT}change: {change}", width, _INDENT + 2) for change in finding.change]
    return "\n".join(lines)


def _lines(line: str, width: int, indent: int) -> str:
    """`line` wrapped, what follows the first line indented; an indent of its own is kept."""
    return textwrap.fill(printable(line), width, subsequent_indent=" " * indent, break_on_hyphens=False)
