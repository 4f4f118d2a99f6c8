"""Findings as a table: a pandas DataFrame, CSV, Markdown, JSON."""

from __future__ import annotations

import io
import json as notation
import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from fitcheck.questions.finding import Finding
from fitcheck.questions.moves import in_a_row
from fitcheck.report.summary import required

if TYPE_CHECKING:
    import pandas

COLUMNS = (
    "question",
    "name",
    "quantity",
    "verdict",
    "answer",
    "unit",
    "at_least",
    "at_most",
    "nominal",
    "worst_min",
    "worst_max",
    "confidence",
    "interval_min",
    "interval_max",
    "probability",
    "standard_error",
    "method",
    "risk",
    "driver",
    "driver_share",
    "change",
)
_NUMBERS = {column for column in COLUMNS if column.startswith(("at_", "worst_", "interval_"))} | {
    "nominal",
    "confidence",
    "probability",
    "standard_error",
    "risk",
    "driver_share",
}


def frame(findings: Sequence[Finding]) -> pandas.DataFrame:
    """One row a finding. Sizes are numbers in the unit named in the row, a limit that is not set is NaN.

    `probability` is that of missing the requirement, as it was computed: a sampling that found no case has 0, an exact
    method may have 1e-289, where the report in words says "below 4e-06" or "below 1e-12". `driver` is the dimension
    with the largest share of the variance.

    >>> import fitcheck as fc
    >>> rows = frame(fc.ask("plug_length", travel="4 ± 0.2", seat="9 ± 0.2", adds=["16 ± 0.2"]))
    >>> rows.loc[0, "verdict"], rows.loc[0, "unit"], float(rows.loc[0, "at_least"])
    ('holds', 'mm', 0.0)
    """
    import pandas

    return pandas.DataFrame([_row(finding) for finding in findings], columns=list(COLUMNS))


def csv(findings: Sequence[Finding]) -> str:
    """The table of `frame` as CSV, numbers in full and as computed, as it says there. `from_csv` reads it back.

    >>> csv([]).split(",")[:3]
    ['question', 'name', 'quantity']
    """
    return str(frame(findings).to_csv(index=False, lineterminator="\n"))


def from_csv(text: str) -> pandas.DataFrame:
    """The table that `csv` wrote, the same as `frame` made it: an empty name stays empty, one like "NA" or "3" text."""
    import pandas

    read = pandas.read_csv(io.StringIO(text), dtype=str, keep_default_na=False)
    # By Python's own reading of a number, which no version of pandas rounds in its last digit.
    return read.assign(**{name: [float(said or "nan") for said in read[name]] for name in _NUMBERS if name in read})


def json(findings: Sequence[Finding]) -> str:
    """A list of objects, one a finding, in JSON: the columns of `frame`, and what a table has no room for.

    A limit that is not set is null. `change`, `assumptions`, `sources` and `cautions` are lists of sentences,
    `drivers` one of objects with a name and its shares of the variance and of the worst case.

    >>> json([])
    '[]\\n'
    """
    rows = []
    for one in findings:
        row = {key: None if isinstance(v, float) and math.isnan(v) else v for key, v in _row(one).items()}
        for key in ("change", "assumptions", "sources", "cautions"):
            row[key] = list(getattr(one, key))
        row["details"] = dict(one.details)
        row["drivers"] = [
            {"name": d.name, "variance_share": d.variance_share, "worst_case_share": d.worst_case_share}
            for d in one.drivers
        ]
        rows.append(row)
    return notation.dumps(rows, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def markdown(findings: Sequence[Finding]) -> str:
    """A short table in Markdown: verdict, what, required, nominal, worst case, probability of failing, change.

    Numbers stand in the unit of each finding, which is said behind them.

    >>> print(markdown([]).splitlines()[0])
    | verdict | finding | required | nominal | worst case | probability of failing | change |
    """
    head = ("verdict", "finding", "required", "nominal", "worst case", "probability of failing", "change")
    body = [
        (
            str(finding.verdict),
            finding.title,
            required(finding),
            finding.show(finding.nominal),
            finding.span(finding.worst_case),
            finding.risk_value,
            in_a_row(finding.change),
        )
        for finding in findings
    ]
    rows = [head, ("---",) * len(head), *body]
    return "\n".join("| " + " | ".join(_cell(cell) for cell in row) + " |" for row in rows) + "\n"


def _cell(text: str) -> str:
    """`text` so that it stays within a cell and is not read as markup."""
    text = " ".join(text.split()).replace("\\", "\\\\").replace("|", "\\|")
    return text.replace("<", "&lt;").replace("*", "\\*").replace("`", "\\`")


def _row(finding: Finding) -> dict[str, Any]:
    shown = finding.unit.from_base
    limits = finding.requirement
    first = finding.drivers[0] if finding.drivers else None
    return {
        "question": finding.question,
        "name": finding.name,
        "quantity": finding.quantity,
        "verdict": str(finding.verdict),
        "answer": finding.answer,
        "unit": finding.unit.text,
        "at_least": float("nan") if limits.at_least is None else shown(limits.at_least),
        "at_most": float("nan") if limits.at_most is None else shown(limits.at_most),
        "nominal": shown(finding.nominal),
        "worst_min": shown(finding.worst_case.min),
        "worst_max": shown(finding.worst_case.max),
        "confidence": finding.confidence,
        "interval_min": shown(finding.interval.min),
        "interval_max": shown(finding.interval.max),
        "probability": float(finding.probability),
        "standard_error": finding.probability.standard_error,
        "method": finding.how_found,
        "risk": limits.risk,
        "driver": first.name if first else "",
        "driver_share": first.variance_share if first else float("nan"),
        "change": in_a_row(finding.change),
    }
