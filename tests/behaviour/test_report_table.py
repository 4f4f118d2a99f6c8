"""Findings as CSV and back, and as Markdown: the same table, whatever the parts are called."""

from __future__ import annotations

import dataclasses
import io

import pandas
import pytest
from pandas.testing import assert_frame_equal
from report_findings import finding, sample

from fitcheck.report.table import COLUMNS, csv, frame, from_csv, markdown
from fitcheck.stack import Method, Probability


@pytest.mark.parametrize(
    "name", ["", "NA", "nan", "3", "1e5", "true", 'a "b", c', "two\nlines", " spaced ", "é ± 挡圈"]
)
def test_csv_reads_back_as_the_frame_it_was_made_of(name):
    findings = [*sample(), finding(name=name, change=(name, "second"))]
    assert_frame_equal(from_csv(csv(findings)), frame(findings), check_exact=True)


def test_a_table_of_one_or_no_finding_reads_back_too():
    one = [finding(name="")]
    assert_frame_equal(from_csv(csv(one)), frame(one), check_exact=True)
    assert tuple(from_csv(csv([])).columns) == COLUMNS
    assert len(from_csv(csv([]))) == 0


def test_pandas_reads_the_numbers_without_help():
    made = frame(sample())
    numbers = list(made.select_dtypes("number"))
    assert {"nominal", "worst_min", "probability", "driver_share"} <= set(numbers)
    plain = pandas.read_csv(io.StringIO(csv(sample())))
    assert_frame_equal(plain[numbers].astype(float), made[numbers], rtol=1e-15)


def test_markdown_has_a_row_a_finding_with_the_verdict_first():
    rows = markdown(sample()).splitlines()[2:]
    assert [row.split("|")[1].strip() for row in rows] == [str(about.verdict) for about in sample()]


@pytest.mark.parametrize(
    ("risk", "error", "words"),
    [(0.0, 4e-6, "below 4e-06"), (3.6e-289, 0.0, "below 1e-12"), (0.0, 0.0, "0"), (0.012, 0.0, "0.012")],
)
def test_a_tiny_risk_is_said_in_markdown_as_in_the_report_and_in_full_in_the_table(risk, error, words):
    probability = Probability(risk, Method.SAMPLING, standard_error=error)
    one = dataclasses.replace(finding(), probability=probability, certain=False)
    assert markdown([one]).splitlines()[-1].split("|")[-3].strip() == words
    assert words in one.risk_words
    assert frame([one])["probability"][0] == risk
    assert from_csv(csv([one]))["standard_error"][0] == error
