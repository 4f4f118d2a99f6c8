"""A finding in a notebook: a small table and where the quantity can lie."""

from __future__ import annotations

from html import escape

from fitcheck.questions.finding import Finding
from fitcheck.report import figures
from fitcheck.report.summary import required


def output_cell(finding: Finding) -> str:
    """One finding as HTML for the output cell of a notebook."""
    rows = {
        "required": f"{finding.quantity} {required(finding)}",
        "nominal": finding.show(finding.nominal),
        "worst case": finding.span(finding.worst_case),
        f"{100 * finding.confidence:.6g} % interval": finding.span(finding.interval),
        "probability of failing": finding.risk_words,
        **({"what would meet it": "; ".join(finding.change)} if finding.change else {}),
    }
    cells = "".join(
        f'<tr><th scope="row" style="text-align:left">{escape(label)}</th>'
        f'<td style="text-align:left">{escape(value)}</td></tr>'
        for label, value in rows.items()
    )
    # Several cells share a notebook page, so the ids inside the figure carry the finding's title.
    name = "cell-" + "".join(letter for letter in finding.title.casefold() if letter.isalnum())
    picture = figures.svg(figures.where(finding), name, finding.title)
    return f"<p><b>{finding.verdict.value}</b>: {escape(finding.answer)}</p><table>{cells}</table>{picture}"
