"""The HTML page: what it says, that it says it safely, and that it needs nothing but itself."""

from __future__ import annotations

import dataclasses
import re
import subprocess
import sys
from collections import Counter
from html.parser import HTMLParser
from itertools import pairwise

import pytest
from report_findings import CAUTIONS, PLUG, SECTION, TUBE, finding, sample

from fitcheck.questions.finding import Verdict
from fitcheck.report.figures import drafting
from fitcheck.report.page import page
from fitcheck.report.summary import required
from fitcheck.stack import Contribution
from fitcheck.threads.pair import pair

VOID = {"meta", "link", "br", "hr", "img", "input"}


class Reader(HTMLParser):
    """Elements, text, ids and links of a page; refuses tags that do not nest."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert len(dict(attrs)) == len(attrs), f"an attribute twice in <{tag}>"
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] != "style":
            self.words.append(data)

    @property
    def text(self) -> str:
        """What is read, between spaces."""
        return " ".join(" ".join(self.words).split())

    def attributes(self, name: str) -> list[str]:
        return [value for _, attributes in self.elements if (value := attributes.get(name)) is not None]

    def count(self, tag: str) -> int:
        return sum(name == tag for name, _ in self.elements)


@pytest.fixture(scope="module")
def findings():
    return sample()


@pytest.fixture(scope="module")
def text(findings):
    return page(
        findings,
        title="Marshalling wand",
        subtitle="museum set",
        notes=["Measured on the bench."],
        sheet_text='a = "25 ± 0.1" # <mm>\n',
        made="2025-01-31",
    )


@pytest.fixture(scope="module")
def read(text):
    return Reader(text)


def article(text: str, number: int) -> str:
    """What is read in the article of one finding."""
    whole = re.search(rf'<article id="finding-{number}">.*?</article>', text, re.DOTALL)
    assert whole
    return Reader(whole[0]).text


def test_the_sample_shows_every_verdict(findings):
    assert Counter(f.verdict for f in findings) == {Verdict.HOLDS: 7, Verdict.LIKELY: 2, Verdict.FAILS: 3}


def test_the_page_nests_and_names_itself(text, read):
    assert text.startswith("<!doctype html>")
    assert ("html", {"lang": "en"}) in read.elements
    assert read.count("title") == read.count("h1") == read.count("main") == 1
    for said in (
        "Marshalling wand",
        "museum set",
        "Measured on the bench.",
        "2025-01-31",
        "12 findings: 3 fail, 2 likely, 7 hold",
    ):
        assert said in read.text


def test_headings_never_skip_a_level(read):
    levels = [int(tag[1]) for tag, _ in read.elements if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))


def test_ids_are_unique_and_every_link_inside_leads_somewhere(text, read):
    ids = Counter(read.attributes("id"))
    assert ids
    assert max(ids.values()) == 1
    targets = [href[1:] for href in read.attributes("href") + read.attributes("xlink:href") if href.startswith("#")]
    targets += re.findall(r"url\(#([^)]+)\)", text)
    assert len(targets) > 50
    assert set(targets) <= set(ids)


def test_nothing_is_fetched_and_nothing_runs(text, read):
    assert read.count("script") == read.count("img") == read.count("iframe") == read.count("object") == 0
    links = [value for name in ("href", "xlink:href", "src", "srcset", "data") for value in read.attributes(name)]
    assert all(link.startswith(("#", "data:,")) for link in links)
    assert set(re.findall(r"url\((.)", text)) == {"#"}
    assert "@import" not in text
    assert not [a for _, attributes in read.elements for a in attributes if a.startswith("on")]
    # The only addresses in it are the names of the SVG and XLink vocabularies.
    assert set(re.findall(r"https?://[^\"'\s<]+", text)) == {
        "http://www.w3.org/2000/svg",
        "http://www.w3.org/1999/xlink",
    }


def test_verdicts_come_first_with_a_link_to_each_finding(text, findings):
    table = text[: text.index("<article")]
    rows = re.findall(r"<tr><td>.*?</tr>", table, re.DOTALL)
    assert len(rows) == len(findings)
    for number, (row, about) in enumerate(zip(rows, findings, strict=True), start=1):
        said = Reader(row).text
        assert said.startswith(about.verdict.value)
        assert about.title in said
        assert about.requirement.words(about.unit, about.decimals) in said
        assert f'href="#finding-{number}"' in row


def test_each_finding_says_all_of_it(text, findings):
    for number, about in enumerate(findings, start=1):
        said = article(text, number)
        show = about.show
        expected = [
            about.quantity,
            about.answer,
            f"Required {required(about)}",
            about.verdict.value,
            about.verdict.meaning,
            show(about.nominal),
            show(about.worst_case.max),
            show(about.interval.max),
            "99 % interval",
            about.risk_words,
            *about.change,
            *about.details.values(),
        ]
        if about.worst_case.min < about.worst_case.max:
            expected += [about.drivers[0].name, f"{about.drivers[0].variance_share:.0%}"]
        for words in expected:
            assert words in said, (number, words)


def test_drivers_left_out_are_added_up(text, findings):
    assert len(findings[-1].drivers) == 9
    assert "6 more 67% 67%" in article(text, len(findings))


def test_what_never_varies_says_so(text, findings):
    assert findings[10].worst_case == (3.0, 3.0)
    assert "Nothing varies." in article(text, 11)


def test_cautions_and_what_all_findings_of_a_question_assume_are_said_once_a_question(text):
    section = re.search(r"<section><h2>Blade depth</h2>.*?</section>", text, re.DOTALL)
    assert section
    said = Reader(section[0]).text
    for words in (*CAUTIONS, "blade depth: uniform."):
        assert said.count(words) == 1


def test_what_every_finding_assumes_is_said_once_a_page(findings):
    independent = "All dimensions vary independently."
    assuming = [about for about in findings if independent in about.assumptions]
    assert len(assuming) < len(findings)
    whole = page(assuming, title="wand")
    assert Reader(whole).text.count(independent) == 1
    assert f"Assumed throughout: {independent}" in Reader(whole).text
    # One more that assumes something else: then it is said of each question it is true of.
    other = finding("another question", assumptions=("Nothing is known.",))
    said = Reader(page([*assuming, other], title="wand")).text
    assert "Assumed throughout" not in said
    assert said.count(independent) == len({about.question for about in assuming})
    # A page on one question has no other place for it than the question.
    alone = [about for about in assuming if about.question == "blade depth"]
    assert f"Assumed for all of these: {independent}" in Reader(page(alone, title="wand")).text


def test_every_source_is_listed_once_and_cited_by_number(read, findings):
    for source in {source for f in findings for source in f.sources}:
        assert read.text.count(source) == 1
    assert {"#source-1", "#source-2"} <= set(read.attributes("href"))


def test_a_detail_that_is_called_like_a_figure_replaces_nothing():
    about = finding(details={"nominal": "searched", "worst case": "at a corner", "required": "by the sheet"})
    said = article(page([about], title="wand"), 1)
    for words in ("10.00 mm", "9.50 to 10.50 mm", f"Required {required(about)}", "at a corner", "by the sheet"):
        assert words in said


def test_the_sheet_is_shown_as_it_was_read(text, read):
    assert 'a = "25 ± 0.1" # <mm>' in read.text
    assert read.count("details") == 1
    assert Reader(page([], title="wand")).count("details") == 0


def test_tables_and_pictures_can_be_read_aloud(read):
    heads = [attributes for tag, attributes in read.elements if tag == "th"]
    assert heads
    assert all(attributes.get("scope") in ("col", "row") for attributes in heads)
    pictures = [attributes for tag, attributes in read.elements if tag == "svg"]
    assert all(a.get("aria-hidden") == "true" or (a.get("role") == "img" and a.get("aria-label")) for a in pictures)
    assert sum(a.get("role") == "img" for a in pictures) == 12 + 3


NASTY = '<script>alert("1")</script> & $x^ 5 \\frac{ \x00\ud800'


def test_no_text_of_a_sheet_becomes_markup():
    evil = finding(
        question=NASTY,
        name=NASTY,
        label=NASTY,
        answer=NASTY,
        at_least=9.9,
        change=(NASTY,),
        assumptions=(NASTY,),
        sources=(NASTY,),
        cautions=(NASTY,),
        details={NASTY: NASTY},
    )
    drivers = (Contribution(NASTY, 1.0, 1.0, 1.0),)
    evils = [
        dataclasses.replace(
            evil, drivers=drivers, drawing=dataclasses.replace(TUBE, below=((NASTY, 3.0),), screws=((NASTY, 5.0),))
        ),
        dataclasses.replace(evil, drawing=dataclasses.replace(SECTION, what=NASTY)),
    ]
    text = page(evils, title=NASTY, subtitle=NASTY, notes=[NASTY], sheet_text=NASTY, made=NASTY)
    text.encode("utf-8")
    assert "\x00" not in text
    read = Reader(text)
    assert read.count("script") == 0
    shown = NASTY.replace("\x00", "\ufffd").replace("\ud800", "\ufffd")
    assert read.text.count(shown) > 15


def test_the_same_findings_give_the_same_page(text, findings):
    again = {"title": "Marshalling wand", "subtitle": "museum set", "notes": ["Measured on the bench."]}
    assert page(findings, **again, sheet_text='a = "25 ± 0.1" # <mm>\n', made="2025-01-31") == text


def test_a_finding_may_be_listed_twice_and_a_list_may_be_empty():
    about = finding(drawing=PLUG)
    read = Reader(page([about, about], title="wand"))
    assert max(Counter(read.attributes("id")).values()) == 1
    assert "0 findings" in Reader(page([], title="wand")).text


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.1 (W3C, 2018), section "relative luminance"."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def test_text_is_dark_enough_on_white(text):
    """WCAG 2.1, success criterion 1.4.3: a contrast of at least 4.5 to 1."""
    variables = dict(re.findall(r"--(\w+): (#[0-9a-f]{6});", text))
    used = {name: variables[name] for name in re.findall(r"(?<![-\w])color: var\(--(\w+)\)", text)}
    assert {"soft", "blue", "orange"} <= set(used)
    for colour in (*used.values(), drafting.INK, drafting.GREY, drafting.BLUE, drafting.ORANGE):
        assert 1.05 / (luminance(colour) + 0.05) >= 4.5, colour


def test_matplotlib_is_loaded_when_a_page_is_made_and_pyplot_never():
    code = (
        "import sys; sys.path.insert(0, 'tests/behaviour')\n"
        "import fitcheck.report.page, fitcheck.report.terminal, fitcheck.report.write, fitcheck.report.table\n"
        "assert not {'matplotlib', 'pandas', 'pint'} & set(sys.modules)\n"
        "from report_findings import sample\n"
        "fitcheck.report.page.page(sample()[:4], title='wand')\n"
        "assert 'matplotlib.figure' in sys.modules and 'matplotlib.pyplot' not in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True, cwd=__file__.split("/tests/")[0], timeout=120)


def test_paper_leaves_out_a_caution_only_if_an_earlier_question_has_it(text):
    boxes = re.findall(r'<div class="cautions( again)?">(.*?)</div>', text, re.DOTALL)
    seen: set[str] = set()
    for again, box in boxes:
        rows = re.findall(r'<li( class="again")?>(.*?)</li>', box)
        assert [bool(hidden) for hidden, _ in rows] == [caution in seen for _, caution in rows]
        assert bool(again) is all(hidden for hidden, _ in rows)
        seen.update(caution for _, caution in rows)
    assert seen == set(CAUTIONS)
    assert any(again for again, _ in boxes)


def test_a_drawing_that_carries_a_pair_of_threads_shows_their_profiles_as_well():
    @dataclasses.dataclass(frozen=True)
    class Carries:
        pair: object

    said = article(page([finding(drawing=Carries(pair("M4-6H/6g")))], title="wand"), 1)
    for words in ("internal", "external", "2 pitch diameter: clearance 0.022 to 0.230", "To scale (mm)."):
        assert words in said
