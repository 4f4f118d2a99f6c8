"""A finding in a notebook: a small table and where the quantity can lie."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import TYPE_CHECKING

from fitcheck.questions.finding import Finding
from fitcheck.questions.moves import in_a_row
from fitcheck.questions.several import ORDER
from fitcheck.report import figures
from fitcheck.report.summary import counts, required
from fitcheck.shown import ShownTable

if TYPE_CHECKING:
    from matplotlib.axes import Axes


def findings_cell(findings: Sequence[Finding]) -> str:
    """Several findings as HTML for the output cell of a notebook: a row each, what fails first."""
    rows = [
        (one.verdict.value, one.title, one.at_worst, required(one), in_a_row(one.change))
        for one in sorted(findings, key=lambda one: ORDER.index(one.verdict))
    ]
    return ShownTable(counts(findings), rows, ("verdict", "what", "at worst", "needed", "change")).html()


def plotted(finding: Finding, ax: Axes | None = None) -> Axes:
    """The drawing of a finding to scale, in its unit; where its quantity can lie, for one that has no drawing.

    finding: any. ax: to draw on; axes of its own without.
    """
    drawn = figures.drawing_of(finding, ax)
    return figures.where(finding, ax=ax) if drawn is None else drawn


def output_cell(finding: Finding) -> str:
    """One finding as HTML for the output cell of a notebook."""
    rows = [
        ("required", f"{finding.quantity} {required(finding)}"),
        ("nominal", finding.show(finding.nominal)),
        ("worst case", finding.span(finding.worst_case)),
        (f"{100 * finding.confidence:.6g} % interval", finding.span(finding.interval)),
        ("probability of failing", finding.risk_words),
        *([("what would meet it", in_a_row(finding.change))] if finding.change else []),
    ]
    # Several cells share a notebook page, so the ids inside the figure carry the finding's title.
    name = "cell-" + "".join(letter for letter in finding.title.casefold() if letter.isalnum())
    picture = figures.svg(figures.where(finding), name, finding.title)
    said = f"<p><b>{finding.verdict.value}</b>: {escape(finding.answer)}</p>"
    return said + ShownTable("", rows).html() + picture
