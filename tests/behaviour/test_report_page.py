"""The HTML page: what it says, that it says it safely, and that it needs nothing but itself."""

from __future__ import annotations

import dataclasses
import hashlib
import importlib.metadata
import re
import subprocess
import sys
from collections import Counter
from functools import partial
from html.parser import HTMLParser
from itertools import pairwise

import pytest
from asked import DEMO, HEAT, SLIDING
from report_findings import CAUTIONS, PLUG, SECTION, TUBE, finding, sample
from screw_inputs import SCREW

import fitcheck as fc
from fitcheck.questions.finding import Requirement, Station, Verdict
from fitcheck.questions.judge import Topic, judge
from fitcheck.questions.moves import Effect
from fitcheck.questions.several import ORDER
from fitcheck.report import colours
from fitcheck.report.figures import drafting
from fitcheck.report.first_page import tasks, worth_reading
from fitcheck.report.html import mark
from fitcheck.report.page import page
from fitcheck.report.summary import numbered, required
from fitcheck.report.trace import release
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
        "Not ready: 3 of 12 fail, 2 likely",
        "measured by",
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


def test_every_requirement_comes_first_the_tightest_first_with_what_was_found_beside_it(text, findings):
    table = text[: text.index("<article")]
    rows = re.findall(r'<tr class="(\w+)">(.*?)</tr>', table, re.DOTALL)
    assert sorted(int(re.search(r"#finding-(\d+)", row)[1]) for _, row in rows) == list(range(1, len(findings) + 1))
    order = []
    for verdict, row in rows:
        number = int(re.search(r"#finding-(\d+)", row)[1])
        about, said = findings[number - 1], Reader(row).text
        assert verdict == about.verdict.value
        for words in (about.verdict.value, about.quantity, about.question, about.name, required(about)):
            assert words in said
        assert about.at_worst in said
        order.append((["fails", "likely", "holds"].index(verdict), about.margin.least))
    assert order == sorted(order)


def test_what_to_do_now_fails_first_in_the_order_of_the_bench(findings):
    build = [
        finding(at_least=9.4),
        dataclasses.replace(finding(at_least=9.9, change=("cut the slug",)), station=Station.PLUG),
        dataclasses.replace(finding(at_least=9.9, change=("turn less",)), station=Station.SCREW),
        dataclasses.replace(finding(at_least=9.4), station=Station.SAW, do="cut it to 9 mm"),
        dataclasses.replace(finding(at_least=9.9, change=("turn less",)), station=Station.SCREW),
        dataclasses.replace(finding(at_least=9.6, change=("file it",)), station=Station.SAW),
    ]
    assert [(task.words, task.numbers) for task in tasks(build)] == [
        ("turn less", (3, 5)),
        ("cut the slug", (2,)),
        ("file it", (6,)),
        ("cut it to 9 mm", (4,)),
    ]
    said = Reader(page(build, title="wand")).text
    assert "At the screw: turn less (findings 3 , 5 , fails)" in said
    # It drives 2, 3 and 5 as much, but no reading of one part in five would make these hold.
    assert "Measure first: length 1 (20% of the spread of finding 6)" in said
    # A plan's lines come first, a tick where there is something to do, and say themselves what is done for what holds.
    lines = ["slug: 6 mm", "1 of 2 likely:", "  depth of the blade", "Cut slug"]
    planned = page(build, title="wand", planned=lines, to_do=["Cut slug"])
    assert "The plan: slug: 6 mm 1 of 2 likely: depth of the blade Cut slug At the screw: turn less" in (
        " ".join(Reader(planned).text.split())
    )
    assert "cut it to 9 mm (" not in Reader(planned).text
    assert planned.count('class="tick"') == 1 + 3 + 1
    assert '<span class="tick"></span><span>Cut slug' in planned
    ready = Reader(page([finding(at_least=9.4)], title="wand")).text
    assert "Ready: it holds" in ready


def test_the_scale_of_all_requirements_is_in_tolerances_of_the_result():
    one = finding(at_least=9.6)  # 10 ± 0.5: 0.4 inside, of which 0.5 may be lost
    assert (one.margin.least, one.margin.nominal, one.margin.most) == pytest.approx((-0.2, 0.8, 1.8))
    both = dataclasses.replace(one, requirement=Requirement(at_least=9.0, at_most=10.25))
    assert (both.margin.least, both.margin.nominal, both.margin.most) == pytest.approx((-0.5, 0.5, 1.25))
    assert both.worst == both.worst_case.max
    exact = sample()[10]
    assert exact.margin == (0.0, 0.0, 0.0)


def test_what_fails_is_the_heaviest_mark_and_what_holds_the_lightest():
    """In grey: by the lightness of the colours, and by how much of a mark is filled."""
    lightness = [luminance(colours.OF_VERDICT[verdict]) for verdict in ORDER]
    assert lightness == sorted(lightness)
    assert lightness[0] < 0.7 * lightness[2]
    for colour in colours.OF_VERDICT.values():
        assert 1.05 / (luminance(colour) + 0.05) >= 4.5
    # A failing mark is solid, a likely one half filled, one that holds an outline on white.
    fails, likely, holds = (mark(verdict) for verdict in ORDER)
    assert fails.count('fill="currentColor"') == likely.count('fill="currentColor"') == 1
    assert 'fill="#fff"' in likely
    assert 'fill="currentColor"' not in holds


# What eyes without one kind of cone see, in linear red, green, blue: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes,
# IEEE Transactions on Visualization and Computer Graphics 15 (2009), table of severity 1.0 (from memory).
EYES = {
    "no long": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216), (-0.003882, -0.048116, 1.051998)),
    "no middle": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413), (-0.011820, 0.042940, 0.968881)),
    "no short": ((1.255528, -0.076749, -0.178779), (-0.078411, 0.930809, 0.147602), (0.004733, 0.691367, 0.303900)),
}


@pytest.mark.parametrize("seen", EYES.values(), ids=EYES)
def test_colour_blind_eyes_read_every_verdict_and_see_what_fails_darkest(seen):
    weights = [sum(w * row[i] for w, row in zip((0.2126, 0.7152, 0.0722), seen, strict=True)) for i in range(3)]
    light = {}
    for verdict, colour in colours.OF_VERDICT.items():
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
        light[verdict] = sum(w * c for w, c in zip(weights, linear, strict=True))
        assert 1.05 / (light[verdict] + 0.05) >= 4.5, verdict
    assert light[Verdict.FAILS] < min(light[Verdict.LIKELY], light[Verdict.HOLDS])


def test_each_finding_says_all_of_it(text, findings):
    for number, about in enumerate(findings, start=1):
        said = article(text, number)
        show = about.show
        expected = [
            about.quantity,
            about.answer,
            required(about),
            about.verdict.value,
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
    assert "6 more 67%" in article(text, len(findings))


def test_what_never_varies_says_so(text, findings):
    assert findings[10].worst_case == (3.0, 3.0)
    assert "nothing varies." in article(text, 11)


def test_cautions_and_assumptions_are_said_once_a_page(read, findings):
    said = read.text
    for words in (*CAUTIONS, *{sentence for about in findings for sentence in about.assumptions}):
        assert said.count(words) == 1
    who = [str(i) for i, about in enumerate(findings, start=1) if "blade depth: uniform." in about.assumptions]
    assert f"blade depth: uniform. {', '.join(who)}" in said


def test_the_table_of_sizes_has_a_place_to_write_and_says_how_each_is_spread():
    (depth,) = fc.ask("blade_depth", adds=["64.0 ± 0.2"], takes=["8.0 measured ± 0.1", "3.0"], at_least="40 mm")
    strength = judge(Topic("joint"), sample()[7].of, Requirement(at_least=0.0), label="load", answer="It bears.")
    text = page([depth, strength], title="wand")
    table = re.search(r'<table class="used">.*?</table>', text, re.DOTALL)[0]
    assert table.count('<td class="write"></td>') == 3
    said = Reader(table).text
    assert "64 ± 0.2 mm uniform, not stated drawn 1" in said
    assert "8 ± 0.1 mm normal, 4.6 % outside measured 1" in said
    assert "wall 2 ± 0.1 mm" in said
    rest = Reader(re.search(r'<table class="used taken">.*?</table>', text, re.DOTALL)[0]).text
    assert "torque 1.5 ± 0.5 N·m" in rest


def test_a_page_can_be_traced_to_its_sheet():
    text = page([finding()], title="wand", sheet_text="sheet = 1\n", sheet_name="wand.toml", made="2025-01-31")
    said = Reader(text).text
    assert f"sheet wand.toml hash of the sheet {hashlib.sha256(b'sheet = 1' + bytes([10])).hexdigest()[:12]}" in said
    assert f"made 2025-01-31 fitcheck {release()}" in said
    assert "counter(page)" in text
    assert 'content: "wand · wand.toml · 2025-01-31"' in text
    # The foot of a sheet says the title as it is, and no title ends the text, the style or the page.
    nasty = page([finding()], title='№ 3 — "a" \\ </style> 航空機')
    assert 'content: "№ 3 — \\22 a\\22  \\5c  \\3c /style\\3e  航空機"' in nasty
    assert nasty.count("</style>") == 1


def test_a_page_made_by_a_checkout_says_so_in_place_of_a_version(monkeypatch):
    def unknown(name):
        raise importlib.metadata.PackageNotFoundError(name)

    monkeypatch.setattr(importlib.metadata, "version", unknown)
    said = Reader(page([finding()], title="wand", made="2025-01-31")).text
    assert "made 2025-01-31 fitcheck (checkout)" in said
    assert "Computed by fitcheck (checkout) from the sizes given" in said


def slip_of(**blade: object) -> str:
    """The part of a page that is cut out and laid on the metal."""
    text = page(list(fc.ask("blade_depth", **blade)), title="wand")
    return re.search(r'<section class="slip">.*?</section>', text, re.DOTALL)[0] if 'class="slip"' in text else ""


def test_a_length_that_no_paper_holds_is_left_off_the_slip():
    """A4 is 297 mm high and Letter 11 in (279.4 mm); the slip lies across, where 180 mm have room."""
    inputs = {"adds": ["400 ± 0.5"], "takes": [fc.dim("12 ± 0.1", name="slug")], "at_least": "300 mm"}
    long = slip_of(**inputs)
    assert "slug: 12" in long
    assert "from the mouth of the socket" not in long
    assert "from the mouth of the socket: 48" in slip_of(**{**inputs, "adds": ["60 ± 0.5"], "at_least": "30 mm"})
    # Nothing to lay on the metal is no slip, and a bar to check by is of no use.
    assert not slip_of(adds=["400 ± 0.5"], at_least="300 mm")


def test_a_blade_that_ends_before_the_mouth_has_no_mark_off_the_slip():
    said = slip_of(adds=["10 ± 0.2"], takes=[fc.dim("15 ± 0.2", name="slug")], at_least="0 mm", screws=["6 ± 0.2"])
    assert "screw 1" in said
    assert "blade ends" not in said
    assert all(float(at) >= 0 for at in re.findall(r'<path d="M(-?[\d.]+)', said))


def test_every_source_is_listed_once_and_cited_by_number(read, findings):
    for source in {source for f in findings for source in f.sources}:
        assert read.text.count(source) == 1
    assert {"#source-1", "#source-2"} <= set(read.attributes("href"))


def test_a_detail_that_is_called_like_a_figure_replaces_nothing():
    about = finding(details={"nominal": "searched", "worst case": "at a corner", "required": "by the sheet"})
    said = article(page([about], title="wand"), 1)
    for words in ("10.00 mm", "9.50 to 10.50 mm", required(about), "at a corner", "by the sheet"):
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
    assert sum(a.get("role") == "img" for a in pictures) == 5 + 3 + 1 + 1 + 6


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
    driven = partial(tuple, [Contribution(NASTY, 1.0, 1.0, 1.0)])
    evils = [
        dataclasses.replace(
            evil, driven=driven, drawing=dataclasses.replace(TUBE, below=((NASTY, 3.0),), screws=((NASTY, 5.0),))
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
    assert "Nothing was asked" in Reader(page([], title="wand")).text


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.1 (W3C, 2018), section "relative luminance"."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def test_text_is_dark_enough_on_white(text):
    """WCAG 2.1, success criterion 1.4.3: a contrast of at least 4.5 to 1."""
    variables = dict(re.findall(r"--(\w+): (#[0-9a-f]{6});", text))
    used = {name: variables[name] for name in re.findall(r"(?<![-\w])color: var\(--(\w+)\)", text)}
    assert {"soft", "blue", "fails", "likely", "holds"} <= set(used)
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


def test_a_drawing_that_carries_a_pair_of_threads_shows_their_profiles_as_well():
    @dataclasses.dataclass(frozen=True)
    class Carries:
        pair: object

    said = article(page([finding(drawing=Carries(pair("M4-6H/6g")))], title="wand"), 1)
    for words in ("internal", "external", "2 pitch diameter: clearance 0.022 to 0.230", "To scale (mm)."):
        assert words in said


def many(count: int) -> list:
    """Findings that fail, are likely and hold, each at a place of its own with something else to do."""
    base = {need: finding(at_least=need, drawing=TUBE) for need in (9.9, 9.6, 9.4)}
    needs = [9.9, 9.4, 9.4, 9.6]
    return [
        dataclasses.replace(
            base[needs[i % 4]],
            name=f"wand {i}",
            at=float(i),
            change=(f"cut the slug {i} mm shorter",),
            requirement=Requirement(at_least=needs[i % 4] - i / 1e6),
            station=Station.SAW,
        )
        for i in range(count)
    ]


def test_the_first_page_of_a_thousand_findings_is_a_page():
    findings = many(1000)
    text = page(findings, title="wands", sheet_name="wands.toml", most_drawn=2)
    first = text.split('<section class="cautions">')[0]
    assert first.count("<li") <= 12
    assert first.count("<tr") <= 20
    assert "Not ready: 250 of 1000 fail, 250 likely" in first
    # What is counted there is all there, after it: each line to be ticked, and each row.
    assert text.count('class="tick"') == 500
    assert text.count("<tr class=") == 1000
    assert [text.count(f'<article id="finding-{n}"') for n in (1, 500, 1000)] == [1, 1, 1]
    read = Reader(text)
    ids = Counter(read.attributes("id"))
    assert max(ids.values()) == 1
    assert {href[1:] for href in read.attributes("href") if href.startswith("#")} <= set(ids)
    tightest = [int(number) for number in re.findall(r'<td class="no">(\d+)</td>', text)]
    assert sorted(tightest) == list(range(1, 1001))
    margins = [(ORDER.index(findings[n - 1].verdict), findings[n - 1].margin.least) for n in tightest]
    assert margins == sorted(margins)


def test_of_a_thousand_findings_those_that_fail_or_come_nearest_to_it_have_figures():
    findings = many(8)
    text = page(findings, title="wands", sheet_name="wands.toml", most_drawn=3)
    drawn = {int(number) for number in re.findall(r'id="drawing-(\d+)-', text)}
    assert drawn == {1, 4, 5}
    assert "Figures, and what drives it: of the 3 findings that fail or come nearest to it; 5 have none." in text
    assert "fitcheck.load(&#x27;wands.toml&#x27;).findings()[n - 1].plot() draws that of finding n" in text
    assert text.count("Driven by:") == 3  # what takes longest, and is asked of few
    whole = page(findings, title="wands")
    assert "Figures, and" not in whole
    assert whole.count("Driven by:") == 8
    assert all(f"drawing-{n}" in whole for n in range(1, 9))


def test_a_list_of_numbers_stays_a_line():
    assert numbered([3, 5, 6, 7]) == "3, 5, 6, 7"
    assert numbered(range(1, 1001)) == "1 to 1000"
    assert numbered(range(1, 1000, 2)) == "1, 3, 5, 7, 9, 11, 13, 15, 17, 19, 21, 23 and 488 more"


def test_rules_of_thumb_stand_beside_what_was_found():
    """What the handbook and the trade say of the set screw, a row each."""
    text = page(fc.ask("set_screw", **SCREW), title="a screw")
    assert text.count("rule of thumb</th>") == 1
    table = text.split("rule of thumb</th>")[1].split("</table>")[0]
    assert table.count("<tr><th") >= 5
    assert "common practice, no source" in table


def test_a_size_that_several_findings_want_moved_is_said_once_by_the_most_any_needs():
    """And that one move mends all that the line names, asked again."""
    warm = {**HEAT, "power": "8 ± 1 W", "module_resistance": "2 ± 0.5", "blade_limit": "80 °C"}
    tight = {**SLIDING, "chassis": "32.0 ± 0.1", "wires": ["0.5 ± 0.05"]}
    merged = 0
    for name, inputs in (("module_heat", warm), ("sliding_fit", tight)):
        asked = fc.QUESTIONS[name].read(inputs)
        found = asked.findings()
        for task in (one for one in tasks(found) if len(one.numbers) > 1):
            moves = [move for n in task.numbers for move in found[n - 1].moves if task.words == move.do]
            after = moves[0].made(asked).findings()
            assert all(after[n - 1].verdict is Verdict.HOLDS for n in task.numbers), task
            assert task.then == Effect.HOLDS.value
            merged += 1
    assert merged == 2


def test_what_is_measured_first_says_whose_size_it_is_and_says_it_once():
    two = fc.ask("port_clearance", bore="32 +0.1/-0", chassis="31.5 ± 0.1", width="14 ± 0.2", reach="13.2 ± 0.2",
                 gap="0.55 mm", what="plug head", risk=1e-5)  # fmt: skip
    assert worth_reading(two) == ["reach of the plug head (87% of the spread of finding 2)"]
    tip = fc.load(DEMO.parents[1] / "tests" / "inch.toml").findings()
    said = worth_reading(tip)
    # The length of the point drives two findings that no reading of it would settle: it is not named.
    assert [line.partition(",")[0] for line in said] == ["reach of the plug head"]
    assert worth_reading([*two, *two]) == ["reach of the plug head (87% of the spread of finding 2; also of 4)"]


@pytest.mark.parametrize("sheet", [DEMO, DEMO.parents[1] / "tests" / "inch.toml"])
def test_what_is_measured_first_is_what_a_workshop_would_find_too(sheet):
    build = fc.load(sheet)
    first = fc.measure_next(build, workshop={"caliper": "0.05 mm"}).first
    assert first is not None
    (said,) = worth_reading(build.findings())
    assert said.startswith(first.called)


def test_what_is_accepted_asks_for_no_change_but_for_what_it_rests_on():
    """A thread that is likely to bear the hand is turned with no more than is safe; a better screw is no order."""
    screw = {**fc.QUESTIONS["set_screw"].example, "hand_torque": "0.15 ± 0.03 N·m", "pull": "10 N"}
    strip, hold = fc.ask("set_screw", **screw)
    assert (strip.verdict.value, hold.verdict.value) == ("likely", "holds")
    (task,) = tasks((strip, hold))
    assert task.words == strip.do
    assert strip.do.startswith("turn the key with no more than 0.")
    assert "likely, accepted as it is)" in page((strip, hold), title="wand")


def test_where_there_is_nothing_to_measure_the_page_says_that_in_place_of_an_order():
    far, met = [finding(at_least=20.0)], [finding(at_least=9.4)]
    assert worth_reading(far) == []
    text = page(far, title="wand")
    assert "Nothing to measure first: no reading of the part that drives it most settles what is" in Reader(text).text
    assert "--measure looks at each part" in text
    assert text.count('class="tick"') == page(met, title="wand").count('class="tick"') + 1  # that of the change
    assert "easure first" not in Reader(page(met, title="wand")).text


@pytest.mark.parametrize(("at_least", "head"), [("41.2 mm", "Measure first:"), ("44 mm", "Nothing to measure first:")])
def test_what_was_found_of_each_part_has_a_box_to_tick_only_where_one_is_to_be_measured(at_least, head):
    blade = fc.QUESTIONS["blade_depth"].example | {"adds": ["64 ± 0.2"], "takes": ["14.5 ± 0.3", "8 ± 0.1"]}
    blade |= {"at_least": at_least}
    found = fc.measure_next("blade_depth", **blade)
    read = Reader(text := page(fc.ask("blade_depth", **blade), title="wand", measure=found))
    assert f"{head} {found.lines()[0]}" in read.text
    assert (f'<span class="tick"></span><span><b>{head}' in text) is (found.first is not None)


def test_a_ratio_that_is_not_met_is_told_by_what_it_means_at_the_bench():
    """ "0.00 at worst" says nothing to who holds the key."""
    thin = {**SCREW, "outside": "28.6 ± 0.1", "hand_torque": "1.8 ± 0.8 N·m"}
    build = [*fc.ask("set_screw", **thin), *fc.ask("blade_depth", **fc.QUESTIONS["blade_depth"].example)]
    assert (build[0].at_worst, build[0].verdict) == ("0.00", Verdict.FAILS)
    text = page(build, title="wand")
    told = Reader(text).text
    # Once at the mark in the drawing, for who sees it and for who hears it, and once in the table beside the number.
    assert text.count("strips before the key is tight (strip torque over hand torque)") == 2
    assert "set screw: strips before the key is tight 0.00 at least 1.00" in told
    assert "strip torque over hand torque: 0.00 at worst" not in text


def test_a_worn_thread_is_named_among_what_to_do():
    joint = {**fc.QUESTIONS["thread_engagement"].example, "name": "cap on tube"}
    joint |= {"external": "M32x1-6g-LH special", "internal": "M32x1-6H-LH special", "length": "6 ± 0.3"}
    joint["external_major"] = "31.78 measured ± 0.02"
    hole = {**SCREW, "hole_minor": "3.48 measured ± 0.01"}
    build = [*fc.ask("thread_engagement", **joint), *fc.ask("set_screw", **hole)]
    box = page(build, title="wand").partition('<h2 id="requirements"')[0]
    (row,) = re.findall(r"<b>As measured:</b>.*?</li>", box)
    said = " ".join(re.sub("<.*?>", " ", row).split())
    # 31.78 against the least major diameter of M32x1-6g, 31.794; 3.48 against the largest minor of M4x0.7-6H, 3.422.
    assert "cap on tube: the external major diameter is worn: 0.014 mm below the 6g limit" in said
    assert "set screw: the hole minor diameter is worn: 0.058 mm above the 6H limit" in said
    new = [*fc.ask("set_screw", **SCREW)]
    assert "As measured" not in page(new, title="wand")
