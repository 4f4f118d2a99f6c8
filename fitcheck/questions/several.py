"""Several findings: counted, picked by what they are about, and printed with what fails first."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Any, SupportsIndex, overload

from fitcheck.errors import InputError, brief, did_you_mean, in_short, name_some, spelled
from fitcheck.later import from_above
from fitcheck.questions.finding import Finding, Verdict
from fitcheck.questions.words import listed
from fitcheck.questions.wrapping import one_line, wrapped

if TYPE_CHECKING:
    import pandas

ORDER = (Verdict.FAILS, Verdict.LIKELY, Verdict.HOLDS)
"""Of verdicts, the one that matters most first."""


TABLES: dict[str, str] = {}
"""What a question is called in a finding, by the name of its table in a sheet; the questions put themselves in."""


class Findings(tuple[Finding, ...]):
    """The findings on a question or on a whole sheet: a tuple that is also picked from by name.

    `findings["blade depth"]` are those on a question, about a thing of that name, or of a quantity, however it is
    spelled, or by the name of its table in a sheet ("plug_length"); `findings.failing` those that fail. They print as
    the command prints them: counted, what fails first and what would change it, then a line for each that holds.

    >>> import fitcheck as fc
    >>> found = fc.ask("blade_depth", adds=["64 ± 0.2"], takes=["14.5 ± 0.3", "8.0 ± 0.1"], at_least="41 mm")
    >>> len(found), len(found.failing), found["blade depth"][0].verdict.value
    (1, 1, 'fails')
    """

    __slots__ = ()

    @overload
    def __getitem__(self, at: SupportsIndex) -> Finding: ...
    @overload
    def __getitem__(self, at: slice | str) -> Findings: ...
    def __getitem__(self, at: Any) -> Finding | Findings:
        if isinstance(at, slice):
            return Findings(tuple.__getitem__(self, at))
        if not isinstance(at, str):
            one: Finding = tuple.__getitem__(self, at)
            return one
        wanted = {spelled(at), *(title for table, title in TABLES.items() if spelled(table) == spelled(at))}
        found = Findings(one for one in self if at.strip() and not wanted.isdisjoint(map(spelled, _about(one))))
        if found:
            return found
        known = list(dict.fromkeys(words for one in self for words in _about(one) if words))
        asked = {one.question for one in self}
        known += [table for table, title in TABLES.items() if title in asked and spelled(table) != title]
        if not known:
            raise InputError(f"findings[{brief(at)}]: there are no findings")
        raise InputError(
            f"findings[{brief(in_short(at))}]: there is none of that name{did_you_mean(at, known)}; there are "
            f"{name_some(known)}"
        )

    def __add__(self, other: Iterable[Any]) -> Findings:
        """Those of both, as findings again."""
        return Findings((*self, *other))

    @property
    def failing(self) -> Findings:
        """Those that fail."""
        return Findings(one for one in self if one.verdict is Verdict.FAILS)

    def frame(self) -> pandas.DataFrame:
        """The findings as a pandas DataFrame, one row a finding: see `fitcheck.report.table.frame`."""
        return from_above["frame"](self)

    def _repr_html_(self) -> str:
        return str(from_above["cells"](self))

    def __str__(self) -> str:
        return told(self)

    __repr__ = __str__


def _about(finding: Finding) -> tuple[str, str, str]:
    return finding.question, finding.name, finding.quantity


def counts(findings: Sequence[Finding]) -> str:
    """How many findings there are and what they conclude: "7 findings: 1 fails, 2 likely, 4 hold".

    >>> counts([])
    '0 findings'
    """
    total = f"{len(findings)} finding{'' if len(findings) == 1 else 's'}"
    return f"{total}: {in_verdicts([one.verdict for one in findings])}" if findings else total


def in_verdicts(verdicts: Sequence[Verdict]) -> str:
    """How often each verdict is among some: "1 fails, 2 likely, 4 hold".

    >>> in_verdicts([Verdict.HOLDS, Verdict.FAILS, Verdict.HOLDS])
    '1 fails, 2 hold'
    """
    forms = {Verdict.HOLDS: ("holds", "hold"), Verdict.LIKELY: ("likely", "likely"), Verdict.FAILS: ("fails", "fail")}
    many = {verdict: verdicts.count(verdict) for verdict in ORDER}
    return ", ".join(f"{n} {forms[verdict][n > 1]}" for verdict, n in many.items() if n)


def _word(verdict: Verdict) -> str:
    return verdict.upper()


def told(
    findings: Sequence[Finding],
    width: int = 80,
    *,
    full: bool = False,
    whole: bool = False,
    mark: Callable[[Verdict], str] = _word,
) -> str:
    """The findings for a terminal `width` characters wide: the count, what fails and is likely, a line for the rest.

    full: every finding with all that is known of it. whole: what holds is said in as many lines as it takes. mark: how
    a verdict is shown, its own word by default.
    """
    blocks, lines = [counts(findings)], []
    for verdict in ORDER:
        for one in findings:
            if one.verdict is not verdict:
                continue
            if full or verdict is not Verdict.HOLDS:
                blocks.append(one.text(width, full=full, mark=mark(verdict)))
            else:
                room = max(width, 30) - _INDENT
                said = wrapped(one.answer, room) if whole else [one_line(one.answer, room)]
                lines.append(f"{mark(verdict)}{' ' * (_INDENT - len(verdict))}{said[0]}")
                lines += [" " * _INDENT + more for more in said[1:]]
    exact = "" if full else _taken_as_exact(findings)
    more = (lines, wrapped(exact, max(width, 30)) if exact else [])
    return "\n\n".join([*blocks, *("\n".join(each) for each in more if each)])


def _taken_as_exact(findings: Sequence[Finding]) -> str:
    """On which sizes without a tolerance it rests that something holds or is likely to; nothing where on none."""
    met = [one for one in findings if one.verdict is not Verdict.FAILS]
    names = list(dict.fromkeys(size.called or "an unnamed size" for one in met for size in one.sizes if size.exact))
    if not names:
        return ""
    shown = [*names[:_EXACT], *([f"{len(names) - _EXACT} more"] if len(names) > _EXACT else [])]
    what = "it is" if len(names) == 1 else "each is"
    return f"No tolerance was given for {listed(shown)}: {what} taken as exact, and what holds rests on it."


_INDENT = 7
"""Where what is said starts, after its verdict."""
_EXACT = 6
"""Sizes without a tolerance that are named in the short text."""
