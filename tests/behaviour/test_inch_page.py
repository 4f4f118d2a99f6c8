"""A sheet in inches is answered in inches: the whole text of its page, its card and its terminal report is walked."""

import re
from html import unescape
from pathlib import Path

import pytest

import fitcheck as fc
from fitcheck.report.card import card
from fitcheck.report.page import page
from fitcheck.report.terminal import text

SHEET = Path(__file__).parents[1] / "inch.toml"
OF_METRES = re.compile(r"\d (?:n|µ|k)?(?:mm|m|MPa|GPa|N·m|N|°C|kg)(?![\w·])|newton|metre")


@pytest.fixture(scope="module")
def build():
    return fc.load(SHEET)


@pytest.fixture(scope="module")
def findings(build):
    return build.findings()


def shown(html):
    """What a reader sees of a page, without its sources, which quote their tables as these are printed."""
    html = re.sub(r"<(style|pre)\b.*?</\1>|<h2>Sources</h2>.*?</ol>|<title>.*?</title>", " ", html, flags=re.DOTALL)
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", html)).split())


def metric(words):
    return [words[max(found.start() - 50, 0) : found.end() + 20] for found in OF_METRES.finditer(words)]


def test_the_sheet_asks_every_question(build):
    assert {table for table, _, _ in build.questions} == {*fc.QUESTIONS}


def test_a_page_in_inches_speaks_of_no_metre(build, findings):
    words = shown(page(findings, title=build.title, notes=build.notes, sheet_text=build.text))
    assert len(words) > 20_000
    for unit in (" in", " lbf", " ksi", " in·lbf", " °F"):
        assert re.search(rf"\d{unit}\b", words), unit
    assert metric(words) == []


def test_a_terminal_in_inches_speaks_of_no_metre(build, findings):
    assert metric(text(findings, build.title)) == []
    for one in findings:
        assert metric("\n".join([one.text(), *one.details.values(), *one.assumptions])) == []


def test_a_card_in_inches_gives_a_torque_in_newton_metres_beside_it_only(build, findings):
    words = re.sub(r"in·lbf \([\d.]+ N·m\)", "in·lbf", shown(card(build, findings)))
    assert metric(words) == []
