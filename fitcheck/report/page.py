"""The report as one page: HTML with its style and its figures inside, nothing to fetch and nothing to run."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence, Set
from typing import Any

from fitcheck.questions.finding import Finding, Verdict
from fitcheck.questions.port.drawing import BodySection
from fitcheck.report import figures
from fitcheck.report.html import bullets, document, mark, safe
from fitcheck.report.summary import by_question, counts, once, required
from fitcheck.units import LENGTH, MM, Unit

_DRIVERS = 3  # in the table of a finding; the rest are added up


def page(
    findings: Sequence[Finding],
    *,
    title: str,
    subtitle: str = "",
    notes: Sequence[str] = (),
    sheet_text: str | None = None,
    made: str | None = None,
) -> str:
    """The findings as one HTML page: verdicts first, then every finding with its figures, then the sheet.

    Parameters
    ----------
    findings : in the order in which they are to be read
    title, subtitle : of the build, plain text
    notes : sentences said under the verdicts
    sheet_text : the sheet as it was read, shown on demand at the end
    made : when it was made, for the title block; without it the same findings give the same page
    """
    throughout = _throughout(findings)
    sources = {source: i for i, source in enumerate(once(s for f in findings for s in f.sources), start=1)}
    parts = [
        _header(findings, title, subtitle, made),
        "<main>",
        _verdicts(findings, throughout),
        bullets(notes, "notes"),
        '<div class="questions">',
        *_questions(findings, throughout, sources),
        _references(sources),
        "</div>",
        "</main>",
    ]
    if sheet_text is not None:
        parts.append(f"<details><summary>The sheet</summary><pre>{safe(sheet_text)}</pre></details>")
    parts.append(
        "<footer>Computed by fitcheck from the sizes given. An estimate, not a certificate: measure the real parts, "
        "and let local codes and licensed practice come first.</footer>"
    )
    body = "\n".join(part for part in parts if part)
    return document(title, body, "page")


def _header(findings: Sequence[Finding], title: str, subtitle: str, made: str | None) -> str:
    under = f'<p class="subtitle">{safe(subtitle)}</p>' if subtitle else ""
    when = f"<span>{safe(made)}</span>" if made else ""
    return f'<header><h1>{safe(title)}</h1>{under}<p class="counts">{counts(findings)}{when}</p></header>'


def _throughout(findings: Sequence[Finding]) -> list[str]:
    """What every finding assumes that assumes anything, if there are several questions: it is said once, on top."""
    known = [finding for finding in findings if finding.assumptions]
    if len(by_question(findings)) < 2 or len(known) < 2:
        return []
    return [a for a in once(known[0].assumptions) if all(a in finding.assumptions for finding in known)]


def _verdicts(findings: Sequence[Finding], throughout: Sequence[str]) -> str:
    rows = "\n".join(
        f'<tr><td>{mark(finding.verdict)}</td><th scope="row"><a href="#finding-{i}">{safe(finding.title)}</a></th>'
        f"<td>{safe(required(finding))}</td></tr>"
        for i, finding in enumerate(findings, start=1)
    )
    meanings = "".join(f"<dt>{mark(verdict)}</dt><dd>{verdict.meaning}</dd>" for verdict in Verdict)
    return (
        '<section aria-labelledby="verdicts"><h2 id="verdicts">Verdicts</h2>\n'
        '<table class="all"><thead><tr><th scope="col">verdict</th><th scope="col">finding</th>'
        f'<th scope="col">required</th></tr></thead>\n<tbody>\n{rows}\n</tbody></table>\n'
        f'<div class="reading"><dl>{meanings}</dl>'
        "<p>Strips: the white bar spans the worst case, the filled bar the interval, the black line is nominal; what "
        "the requirement excludes is hatched. Where it is not met at worst case, "
        f"the spread stands over the bars.</p>{_sentences('Assumed throughout', throughout)}</div></section>"
    )


def _questions(findings: Sequence[Finding], throughout: Sequence[str], sources: dict[str, int]) -> Iterator[str]:
    cautioned: set[str] = set()
    for question, group in by_question(findings).items():
        yield _question(question, group, throughout, sources, cautioned)
        cautioned.update(caution for _, finding in group for caution in finding.cautions)


def _question(
    question: str,
    group: Sequence[tuple[int, Finding]],
    throughout: Sequence[str],
    sources: dict[str, int],
    cautioned: Set[str],
) -> str:
    """All findings of a question, and what is said of all of them once.

    A caution stands under every question it belongs to; paper, which is read as a whole, leaves out those that earlier
    questions have had (`cautioned`).
    """
    first = group[0][1]
    shared = [a for a in once(first.assumptions) if len(group) > 1 and all(a in f.assumptions for _, f in group)]
    said = {*shared, *throughout}
    articles = "\n".join(_finding(number, finding, said, sources) for number, finding in group)
    cautions = once(caution for _, finding in group for caution in finding.cautions)
    foot = _sentences("Assumed for all of these", [a for a in shared if a not in throughout])
    if cautions:
        hidden = {True: ' class="again"', False: ""}
        rows = "".join(f"<li{hidden[one in cautioned]}>{safe(one)}</li>" for one in cautions)
        again = " again" if cautioned >= set(cautions) else ""
        foot += f'<div class="cautions{again}"><h3>Cautions</h3><ul>{rows}</ul></div>'
    heading = question[:1].upper() + question[1:]
    return f"<section><h2>{safe(heading)}</h2>\n{articles}\n{foot}</section>"


def _references(sources: dict[str, int]) -> str:
    if not sources:
        return ""
    rows = "".join(f'<li id="source-{i}">{safe(source)}</li>' for source, i in sources.items())
    return f'<section class="sources"><h2>Sources</h2><ol>{rows}</ol></section>'


def _finding(number: int, finding: Finding, said: Set[str], sources: dict[str, int]) -> str:
    """One finding: words on the left, figures on the right, one below the other where there is no room."""
    sizes = {
        "nominal": finding.show(finding.nominal),
        "worst case": finding.span(finding.worst_case),
        # On paper the interval is known by its percentage alone, as in its figure.
        f'{100 * finding.confidence:.6g} %<span class="wide"> interval</span>': finding.span(finding.interval),
    }
    facts = [
        ("Required", required(finding)),
        ("Probability of failing", finding.risk_words),
        *((label[:1].upper() + label[1:], value) for label, value in finding.details.items()),
    ]
    name = f"{finding.name}: " if finding.name else ""
    cited = ", ".join(f'<a href="#source-{i}">{i}</a>' for i in sorted({sources[s] for s in finding.sources}))
    drawing = _drawings(number, finding)
    words = [
        f'<div class="said"><p class="answer">{safe(finding.answer)}</p>',
        _change(finding),
        '<dl class="sizes">',
        *(f"<div><dt>{label}</dt> <dd>{safe(value)}</dd></div>" for label, value in sizes.items()),
        '</dl><dl class="facts">',
        # Paper has the meanings of the verdicts on top, and no link to lead away from them.
        f'<div class="meaning"><dt>{finding.verdict.value.capitalize()}</dt> <dd>{finding.verdict.meaning}</dd></div>',
        *(f"<div><dt>{safe(label)}</dt> <dd>{safe(value)}</dd></div>" for label, value in facts),
        "</dl></div>",
        _small(
            _labelled("Assumed", [a for a in once(finding.assumptions) if a not in said]),
            f"<b>Sources:</b> {cited}" if cited else "",
        ),
    ]
    seen = [drawing, _strip(number, finding)]
    # A drawing is tall: beside it there is room under the words.
    (words if drawing else seen).append(_drivers(finding))
    return (
        f'<article id="finding-{number}"><div class="title"><h3>{safe(name + finding.quantity)}</h3>'
        f'{mark(finding.verdict)}</div>\n<div class="beside"><div>{"".join(words)}</div>\n'
        f"<div>{''.join(seen)}</div></div></article>"
    )


def _change(finding: Finding) -> str:
    if not finding.change:
        return ""
    return f'<div class="change"><h4>What would meet it</h4>{bullets(finding.change)}</div>'


def _drawings(number: int, finding: Finding) -> str:
    """The figure of a finding, and the profiles of the pair of threads that its drawing carries, if it does."""
    unit = finding.unit if finding.unit.kind is LENGTH else MM
    drawn = {
        f"drawing-{number}": (_figure(finding, unit), "Figure for"),
        f"threads-{number}": (figures.draw(getattr(finding.drawing, "pair", None)), "Thread profiles for"),
    }
    return "".join(
        f"<figure>{figures.svg(ax, name, f'{what} {finding.title}')}</figure>"
        for name, (ax, what) in drawn.items()
        if ax is not None
    )


def _figure(finding: Finding, unit: Unit) -> Any:
    """The figure of a finding; one of nominal sizes also says the worst case that the answer names."""
    if isinstance(finding.drawing, BodySection):
        return figures.bodies(finding.drawing, unit=unit, worst=finding.worst_case.min)
    return figures.draw(finding.drawing, unit=unit)


def _strip(number: int, finding: Finding) -> str:
    """Where the quantity can lie against what is required."""
    description = (
        f"{finding.quantity}: nominal {finding.show(finding.nominal)}, "
        f"worst case {finding.span(finding.worst_case)}, required {required(finding)}"
    )
    picture = figures.svg(figures.where(finding), f"where-{number}", description)
    return f'<figure class="strip">{picture}</figure>'


def _drivers(finding: Finding) -> str:
    table = [d for d in finding.drivers if max(d.variance_share, d.worst_case_share) >= 0.005]
    if not table:
        return '<p class="small">Nothing varies.</p>'
    # One more row says no more than the dimension it would stand for.
    shown = len(table) if len(table) == _DRIVERS + 1 else _DRIVERS
    rows = [(d.name, d.variance_share, d.worst_case_share) for d in table[:shown]]
    rest = table[shown:]
    if rest:
        rows.append((f"{len(rest)} more", sum(d.variance_share for d in rest), sum(d.worst_case_share for d in rest)))
    cells = "\n".join(
        f'<tr><th scope="row">{safe(name)}</th><td>{_bar(variance)}</td><td>{_bar(worst)}</td></tr>'
        for name, variance, worst in rows
    )
    return (
        '<table class="drivers"><thead><tr><th scope="col">driven by</th><th scope="col">of variance</th>'
        f'<th scope="col">of worst case</th></tr></thead>\n<tbody>\n{cells}\n</tbody></table>'
    )


def _bar(share: float) -> str:
    """A share in words, with a bar that repeats it."""
    long = f"{100 * share:.1f}"
    return (
        '<svg viewBox="0 0 100 12" preserveAspectRatio="none" aria-hidden="true">'
        '<rect width="100" height="12" fill="#e6e9ec"/>'
        f'<rect width="{long}" height="12" fill="#1f5a99"/></svg>{share:.0%}'
    )


def _sentences(label: str, sentences: Iterable[str]) -> str:
    return _small(_labelled(label, sentences))


def _labelled(label: str, sentences: Iterable[str]) -> str:
    joined = " ".join(safe(s if s.endswith((".", "?", "!")) else s + ".") for s in sentences)
    return f"<b>{label}:</b> {joined}" if joined else ""


def _small(*parts: str) -> str:
    """A paragraph in small type; each part starts a line on a screen, and follows the one before it on paper."""
    spans = " ".join(f"<span>{part}</span>" for part in parts if part)
    return f'<p class="small">{spans}</p>' if spans else ""
