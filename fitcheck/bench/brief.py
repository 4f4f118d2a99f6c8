"""A finding in five lines of 80 columns, for the REPL: the verdict and all that decides on it, the rest in `str`.

    FAILS  With 1.8 threads in the wall (worst 1.2) the thread strips at about
           0.97 N·m; a safe hand torque is 0.29 N·m.
           required: strip torque over hand torque >= 1.00
           nominal 0.54, worst case 0.04 to 5.07, 99 % 0.17 to 1.74
           risk 0.9 ± 0.0004 (sampled), accepted 0.001; by hand torque 43%

The answer takes one line, or two; with two, the drivers share the line of the risk. An answer longer than that ends
with a clause and "…". A number is never parted, neither from its digits nor from its unit.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fitcheck.bench.finding import Finding

_INDENT = 7
_ROOM = 80 - _INDENT
_CUT = " …"
# A space that is glued does not end a line, nor a text that is cut.
_GLUE = "\u00a0"
_GLUED = re.compile(r"(?<=\d) (?=(?:[nµm]?m|in|k?N|lbf|MPa|ksi|N·m|in·lbf|deg|°C|°F|kg|%)(?![\w·]))|(?<=±) | (?=±)")
_CLAUSES = (r"[.;](?=\s)", r"[,:](?=\s)", r"(?<=\S)(?=[ ])")


def brief(finding: Finding) -> str:
    """What the REPL shows of a finding: exactly five lines of at most 80 columns."""
    answer = _wrapped(_plain(finding.answer))
    if len(answer) > 2:
        answer = _wrapped(_cut(_plain(finding.answer)))
    drivers = [(_plain(d.name), f"{d.variance_share:.0%}") for d in finding.drivers[:3] if d.variance_share >= 0.005]
    lines = [*answer, _required(finding), _numbers(finding)]
    risk = _risk(finding)
    if len(answer) > 1:
        by = f"{risk}; by " if drivers else f"{risk}; "
        lines.append(by + _leading(drivers, _ROOM - len(by)))
    else:
        lines += [risk, "driven by: " + _leading(drivers, _ROOM - len("driven by: "))]
    first, *others = (_within(line) for line in lines)
    return "\n".join([f"{finding.verdict.upper():6} {first}".rstrip(), *(" " * _INDENT + line for line in others)])


def _required(finding: Finding) -> str:
    low, high = finding.requirement.at_least, finding.requirement.at_most
    if low is not None and high is not None:
        limits = f"{_number(finding, low)} to {finding.show(high)}"
    else:
        limits = f">= {finding.show(low)}" if low is not None else f"<= {finding.show(high or 0.0)}"
    return f"required: {_short(_plain(finding.quantity), _ROOM - len(limits) - len('required:  '))} {limits}"


def _numbers(finding: Finding) -> str:
    """Nominal, worst case and interval, the unit said once; with three digits, then without the interval, if too long.

    The library's own findings never need that.
    """
    inside = (finding.nominal, *finding.worst_case, *finding.interval)
    sure = f"{100 * finding.confidence:.10g} %"
    unit = finding.unit.text
    digits = [f"{finding.unit.from_base(value):.3g}" for value in inside]
    for nominal, low, high, least, most in ([_number(finding, value) for value in inside], digits):
        line = f"nominal {nominal}, worst case {low} to {high}, {sure} {least} to {most} {unit}".rstrip()
        if len(line) <= _ROOM:
            return line
    return f"nominal {digits[0]}, worst case {digits[1]} to {digits[2]} {unit}".rstrip()


def _risk(finding: Finding) -> str:
    method = finding.probability.method
    how = "exact" if method.startswith("exact") else "sampled" if "sampling" in method else method
    return f"risk {finding.risk_value} ({_short(_plain(how), 20)}), accepted {finding.requirement.risk:.6g}"


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


def _number(finding: Finding, inside: float) -> str:
    return finding.show(inside).removesuffix(finding.unit.text).strip()


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
