"""The report as one page: HTML with its style and its figures inside, nothing to fetch and nothing to run."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Collection, Iterator, Mapping, Sequence

from fitcheck.basis import Basis
from fitcheck.planning.worth import Measurements
from fitcheck.questions.finding import Finding, SizeUsed, Verdict
from fitcheck.questions.moves import ways
from fitcheck.questions.several import ORDER
from fitcheck.questions.words import OfSpreads
from fitcheck.report import figures
from fitcheck.report.first_page import first_page, following, lengths_in
from fitcheck.report.html import bullets, document, mark, safe
from fitcheck.report.slip import slip
from fitcheck.report.summary import by_question, numbered, once, required, shortened, tightest
from fitcheck.report.trace import release, title_block

_DRIVERS = 3  # of a finding; the rest are added up
_LONG = 2000
"""Letters of the words of a finding, with their marks, which with a figure fill a column of paper."""
_FIGURE = re.compile(r"<figure[^>]*>")

MOST_DRAWN = 60
"""Findings with figures and drivers: all of a build; of a thousand so many that they are looked at, in seconds."""


def page(
    findings: Sequence[Finding],
    *,
    title: str,
    subtitle: str = "",
    notes: Sequence[str] = (),
    sheet_text: str | None = None,
    sheet_name: str = "",
    made: str | None = None,
    planned: Sequence[str] = (),
    to_do: Collection[str] = (),
    measure: Measurements | None = None,
    shoulder: float | None = None,
    most_drawn: int = MOST_DRAWN,
) -> str:
    """The findings as one HTML page: what to do now, where, and every requirement; then the details and the sizes used.

    Parameters
    ----------
    findings : in the order in which they are to be read
    title, subtitle : of the build, plain text
    notes : sentences said after the first page
    sheet_text, sheet_name : the sheet as it was read, shown on demand at the end, and the name of its file
    made : when it was made, for the title block; without it the same findings give the same page
    planned, to_do : the lines of a plan for the build, and those of them that are to be done
    measure : what is worth measuring, as `measure_next` finds it; without it the parts that drive what does not hold
    shoulder : mm from the mouth of the socket to the shoulder in the body, for the drawing of the device
    most_drawn : how many findings have their figures and drivers; where there are more, those that fail, those that are
        likely and those that hold most tightly have them, in this order. The page says so; `finding.plot()` draws and
        `finding.drivers` finds the others
    """
    sources = {source: i for i, source in enumerate(once(s for f in findings for s in f.sources), start=1)}
    asked = f"{len(findings)} requirement{'' if len(findings) == 1 else 's'} checked"
    digest = hashlib.sha256(sheet_text.encode("utf-8", "replace")).hexdigest()[:12] if sheet_text is not None else ""
    drawn = {number for number, _ in tightest(findings)[:most_drawn]}
    first = first_page(findings, planned=planned, to_do=to_do, measure=measure, shoulder=shoulder)
    parts = [
        title_block(title, subtitle or asked, made=made, sheet=sheet_name, digest=digest),
        "<main>",
        f'<div class="first">{first}</div>',
        _cautions(findings),
        _reading(findings, notes, drawn, "" if planned else sheet_name),
        following(findings, planned=planned),
        '<div class="questions">',
        *_questions(findings, sources, drawn),
        _assumed(findings),
        _references(sources),
        "</div>",
        _sizes(findings),
        slip([finding.drawing for n, finding in enumerate(findings, start=1) if n in drawn], lengths_in(findings)),
        "</main>",
    ]
    if sheet_text is not None:
        parts.append(f"<details><summary>The sheet</summary><pre>{safe(sheet_text)}</pre></details>")
    parts.append(
        f"<footer>Computed by fitcheck {safe(release())} from the sizes given. An estimate, not a certificate: measure "
        "the real parts, and let local codes and licensed practice come first.</footer>"
    )
    return document(
        title,
        "\n".join(part for part in parts if part),
        "page",
        footing=" · ".join(filter(None, (shortened(title, 64), sheet_name and shortened(sheet_name, 20), made))),
    )


# -- said once ---------------------------------------------------------------------------------------------


def _cautions(findings: Sequence[Finding]) -> str:
    cautions = once(caution for finding in findings for caution in finding.cautions)
    if not cautions:
        return ""
    return f'<section class="cautions"><h2>Cautions</h2>{bullets(cautions)}</section>'


def _reading(findings: Sequence[Finding], notes: Sequence[str], drawn: Collection[int], sheet: str) -> str:
    """What the verdicts mean, the notes of the sheet, and which findings have no figure and drivers, if that is so."""
    meanings = " ".join(f"<span>{mark(one)} {one.meaning}.</span>" for one in ORDER)
    undrawn = len(findings) - len(drawn)
    if undrawn > 0:
        which = safe(f"fitcheck.load({sheet!r}).findings()" if sheet else "findings")
        meanings += (
            f"<span>Figures, and what drives it: of the {len(drawn)} findings that fail or come nearest to it; "
            f"{undrawn} have none. In Python, {which}[n - 1].plot() draws that of finding n, and .drivers in place of "
            ".plot() says what drives it.</span>"
        )
    return f'{bullets(notes, "notes")}<p class="small reading">{meanings}</p>' if findings else bullets(notes, "notes")


def _assumed(findings: Sequence[Finding]) -> str:
    """Every assumption once, with the findings that rest on it; how sizes are spread stands in their table."""
    numbers: dict[str, list[int]] = {}
    for number, finding in enumerate(findings, start=1):
        for sentence in once(finding.assumptions):
            if not isinstance(sentence, OfSpreads):
                numbers.setdefault(sentence, []).append(number)
    if not numbers:
        return ""
    every = list(range(1, len(findings) + 1))
    rows = "".join(
        f"<li>{safe(sentence)} <small>{'all' if who == every else numbered(who)}</small></li>"
        for sentence, who in numbers.items()
    )
    head = '<h2>Assumed</h2><p class="small">Behind each: the findings.</p>'
    return f'<section class="once">{head}<ul>{rows}</ul></section>'


def _references(sources: Mapping[str, int]) -> str:
    if not sources:
        return ""
    rows = "".join(f'<li id="source-{i}">{safe(source)}</li>' for source, i in sources.items())
    return f'<section class="once"><h2>Sources</h2><ol>{rows}</ol></section>'


def _sizes(findings: Sequence[Finding]) -> str:
    """What varies behind the findings, with a column to write in what was measured."""
    used: dict[tuple[str, str], tuple[SizeUsed, list[int]]] = {}
    for number, finding in enumerate(findings, start=1):
        for size in finding.sizes:
            used.setdefault((size.name, size.note), (size, []))[1].append(number)
    if not used:
        return ""
    parts = [each for each in used.values() if each[0].measurable or each[0].basis is Basis.MEASURED]
    rest = [each for each in used.values() if each not in parts]
    return (
        '<section class="sizes-used"><h2>Sizes used</h2>\n'
        f"{_used(parts, write=True)}{_used(rest, write=False)}</section>"
    )


def _used(sizes: Sequence[tuple[SizeUsed, list[int]]], *, write: bool) -> str:
    """A table of sizes, with a column to write in where they can be measured, or of the other numbers behind them."""
    if not sizes:
        return ""
    cell = '<td class="write"></td>' if write else ""
    rows = "".join(
        f'<tr><th scope="row">{safe(size.called)}</th><td>{safe(size.note)}</td><td>{_spread(size)}</td>'
        f'<td class="short">{safe(size.basis.value)}</td><td>{numbered([*dict.fromkeys(who)])}</td>{cell}</tr>'
        for size, who in sizes
    )
    heads = ["part" if write else "other numbers taken", "size" if write else "value", "spread within it", "rests on"]
    heads += ["findings", *(["measured"] if write else [])]
    head = "".join(f'<th scope="col">{words}</th>' for words in heads)
    css = "used" if write else "used taken"
    return f'<table class="{css}"><thead><tr>{head}</tr></thead>\n<tbody>{rows}</tbody></table>\n'


def _spread(size: SizeUsed) -> str:
    if not size.spread:
        return "exact"
    words = f"{size.spread}{', not stated' if size.assumed else ''}"
    return words + (f", {100 * size.outside:.2g} % outside" if size.outside else "")


# -- the findings ------------------------------------------------------------------------------------------


def _questions(findings: Sequence[Finding], sources: Mapping[str, int], drawn: Collection[int]) -> Iterator[str]:
    for question, group in by_question(findings).items():
        heading = f"<h2>{safe(question[:1].upper() + question[1:])}</h2>"
        articles = (
            _finding(number, finding, sources, number in drawn, heading="" if i else heading)
            for i, (number, finding) in enumerate(group)
        )
        yield "<section>{}</section>".format("\n".join(articles))


def _finding(number: int, finding: Finding, sources: Mapping[str, int], draws: bool, *, heading: str = "") -> str:
    """One finding: words on the left, figures on the right, one below the other where there is no room.

    heading: of the question, in the first of its findings, since not every browser keeps a heading with what follows.
    """
    facts = [
        ("Found", f"{finding.span(finding.worst_case)}, nominal {finding.show(finding.nominal)}"),
        ("Needed", required(finding)),
        ("Risk of failing", finding.risk_words),
        *((label[:1].upper() + label[1:], value) for label, value in finding.details.items()),
    ]
    name = f"{finding.name}: " if finding.name else ""
    cited = ", ".join(f'<a href="#source-{i}">{i}</a>' for i in sorted({sources[s] for s in finding.sources}))
    how = f"{100 * finding.confidence:.6g} % interval {finding.span(finding.interval)}; risk {finding.how_found}"
    words = [
        _change(finding),
        '<dl class="facts">',
        *(f"<div><dt>{safe(label)}</dt> <dd>{safe(value)}</dd></div>" for label, value in facts),
        "</dl>",
        _drivers(finding) if draws else "",
        f'<p class="small">{safe(how)}.{f" Sources {cited}." if cited else ""}</p>',
    ]
    said, rules = "".join(words), _rules(finding)
    drawn = _drawings(number, finding) if draws else ""
    if draws and finding.verdict is not Verdict.HOLDS:
        drawn += _strip(number, finding)
    long = ""
    if drawn.count("<figure") > 2 or (drawn and len(said) > _LONG):
        # What is as long as a column of paper may be parted, between its words and its figures, which then say whose
        # they are.
        long = ' class="long"'
        whose = f'<p class="of">{number} {safe(finding.quantity)}</p>'
        drawn = _FIGURE.sub(lambda figure: figure[0] + whose, drawn)
        rules = f"{whose}{rules}" if rules else ""
    body = f'<div class="beside"><div>{said}</div>\n<div>{drawn}</div></div>' if drawn else said
    return (
        f'<article id="finding-{number}"{long}><div class="start">{heading}<div class="title"><h3><a class="no" '
        f'href="#requirements">{number}</a> {safe(name + finding.quantity)}</h3>{mark(finding.verdict)}</div>\n'
        f'<p class="answer">{safe(finding.answer)}</p></div>\n{body}{rules}</article>'
    )


def _rules(finding: Finding) -> str:
    """What is told of such a part, beside what was found of this one."""
    if not finding.rules:
        return ""
    rows = "".join(
        f'<tr><th scope="row">{safe(one.rule)}</th><td class="says">{safe(one.says)}</td>'
        f'<td class="here">{safe(one.here)}</td><td class="why">{safe(one.why)} ({safe(one.source)})</td></tr>'
        for one in finding.rules
    )
    head = "".join(f'<th scope="col">{words}</th>' for words in ("rule of thumb", "says", "here", "why they differ"))
    return f'<table class="used rules"><thead><tr>{head}</tr></thead>\n<tbody>{rows}</tbody></table>'


def _change(finding: Finding) -> str:
    if not finding.change:
        return ""
    rows = "".join(f"<li>{f'<b>{word}</b> ' if word else ''}{safe(line)}</li>" for word, line in ways(finding.change))
    head = "What would meet it" if finding.verdict is Verdict.FAILS else "Accepted as it is; surer would be"
    return f'<div class="change"><h4>{head}</h4><ul>{rows}</ul></div>'


def _drawings(number: int, finding: Finding) -> str:
    """The figure of a finding, and the profiles of the pair of threads that its drawing carries, if it does."""
    drawn = {
        f"drawing-{number}": (figures.drawing_of(finding), "Drawing"),
        f"threads-{number}": (figures.draw(getattr(finding.drawing, "pair", None)), "Thread profiles"),
    }
    return "".join(
        f"<figure>{figures.svg(ax, name, f'{what} for {finding.title}: {finding.answer}')}</figure>"
        for name, (ax, what) in drawn.items()
        if ax is not None
    )


def _strip(number: int, finding: Finding) -> str:
    """Where the quantity can lie against what is required."""
    description = (
        f"{finding.quantity}: nominal {finding.show(finding.nominal)}, "
        f"worst case {finding.span(finding.worst_case)}, required {required(finding)}"
    )
    picture = figures.svg(figures.where(finding), f"where-{number}", description)
    return f'<figure class="strip">{picture}</figure>'


def _drivers(finding: Finding) -> str:
    """What drives it, with the shares of the variance."""
    table = [d for d in finding.drivers if max(d.variance_share, d.worst_case_share) >= 0.005]
    if not table:
        return '<p class="drivers"><b>Driven by:</b> nothing varies.</p>'
    # One more name says no more than the dimension it would stand for.
    shown = len(table) if len(table) == _DRIVERS + 1 else _DRIVERS
    rows = [f"{d.called} {d.variance_share:.0%}" for d in table[:shown]]
    if rest := table[shown:]:
        rows.append(f"{len(rest)} more {sum(d.variance_share for d in rest):.0%}")
    return f'<p class="drivers"><b>Driven by:</b> {safe(", ".join(rows))} <small>of the variance</small></p>'
