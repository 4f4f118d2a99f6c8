"""The page in a browser: silent, no wider than a phone, few pages on paper.

Skipped where there is no Chromium; `.ci/run` installs one.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from html import escape
from pathlib import Path

import pytest
from asked import DEMO, demo_findings
from report_findings import finding, sample

from fitcheck.questions.blade.findings import TubeStack
from fitcheck.questions.joint.findings import Screwed
from fitcheck.questions.set_screw.findings import StripDrawing
from fitcheck.report.card import card
from fitcheck.report.first_page import headline
from fitcheck.report.page import page
from fitcheck.sheet import load

CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine: apt-get install chromium")

QUIET = [
    *("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync"),
    *("--disable-background-networking", "--disable-component-update", "--disable-dev-shm-usage"),
    "--enable-logging=stderr",
]

# What a reader's eye would notice: how far the page can be scrolled sideways, what leaves the window, tiny text.
MEASURE = """<script>
const wide = document.documentElement.clientWidth;
// The section of the device scrolls sideways in its own box.
const seen = [...document.querySelectorAll("body *:not(svg *), svg text")].filter(e => !e.closest(".device svg"));
const out = seen.filter(e => e.getBoundingClientRect().right > wide + 0.5);
const texts = [...document.querySelectorAll("svg text")].filter(e => e.getBoundingClientRect().width > 0);
const scale = e => Math.hypot(e.getScreenCTM().a, e.getScreenCTM().b);
const sizes = texts.map(e => scale(e) * parseFloat(getComputedStyle(e).fontSize));
const reach = document.documentElement.scrollWidth;
parent.document.body.dataset.measured = [innerWidth, wide, reach, out.length, Math.min(...sizes, 99)];
</script>"""


# The smallest text of the page and that of its figures, in points, and the margins of its sheets.
MEASURE_PAPER = """<script>
const points = px => px * 0.75;
const own = e => [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim()) && e.getClientRects().length;
const size = e => parseFloat(getComputedStyle(e).fontSize);
const words = [...document.querySelectorAll("body *:not(svg *)")].filter(own).map(e => points(size(e)));
const drawn = [...document.querySelectorAll("svg text")].filter(e => e.getBoundingClientRect().width > 0)
  .map(e => points(Math.hypot(e.getScreenCTM().a, e.getScreenCTM().b) * size(e)));
parent.document.body.dataset.measured = [Math.min(...words), Math.min(...drawn, 99), words.length, drawn.length];
</script>"""


def on_paper(text: str, wide: float = 210 - 24) -> str:
    """A page that shows `text` with the style of paper, as wide (mm) as paper is between its margins."""
    printed_style = text.replace("@media print", "@media all").replace("@media screen and", "@media not all and")
    return (
        f"<!doctype html><html><body style='margin: 0'><iframe style='width: {wide}mm; height: 800px; border: 0' "
        f'srcdoc="{escape(printed_style + MEASURE_PAPER)}"></iframe></body></html>'
    )


def on_a_phone(text: str) -> str:
    """A page that shows `text` in a frame 360 pixels wide, because a window of Chromium cannot be that narrow."""
    return (
        "<!doctype html><html><body style='margin: 0'><iframe style='width: 360px; height: 800px; border: 0' "
        f'srcdoc="{escape(text + MEASURE)}"></iframe></body></html>'
    )


def chromium(tmp_path: Path, text: str, *flags: str) -> subprocess.CompletedProcess[str]:
    """Open a page of `text` in a browser of its own."""
    file = tmp_path / "page.html"
    file.write_text(text, encoding="utf-8")
    command = [str(CHROMIUM), *QUIET, f"--user-data-dir={tmp_path / 'profile'}", *flags, file.as_uri()]
    return subprocess.run(command, capture_output=True, text=True, timeout=120, check=True)


def complaints(done: subprocess.CompletedProcess[str]) -> list[str]:
    return [line for line in done.stderr.splitlines() if "CONSOLE" in line]


def measured(done: subprocess.CompletedProcess[str]) -> list[float]:
    """Window, width of the page, width that can be scrolled to, boxes that stick out, smallest text of a figure."""
    found = re.search(r'data-measured="([^"]*)"', done.stdout)
    assert found, "the measuring script did not run"
    return [float(value) for value in found[1].split(",")]


@pytest.fixture(scope="module")
def text() -> str:
    sheet = "\n".join(f'part_{i} = "25.4 ± 0.05 mm"  # {"a long remark " * 12}' for i in range(30))
    return page(sample(), title="Marshalling wand", subtitle="museum set", notes=["A note."] * 3, sheet_text=sheet)


def test_a_phone_of_360_pixels_shows_the_page_without_scrolling_sideways_or_complaint(tmp_path, text):
    text = text.replace("<details>", "<details open>")
    done = chromium(tmp_path, on_a_phone(text), "--dump-dom")
    window, wide, reach, out, smallest = measured(done)
    assert (window, reach - wide, out) == (360, 0, 0)
    assert smallest >= 9.5  # pixels; smaller than that is not read on a phone
    assert complaints(done) == []


def test_the_demo_is_read_on_a_phone_and_its_first_sheet_of_paper_says_what_matters(tmp_path):
    build, findings = load(DEMO), demo_findings()
    text = page(findings, title=build.title, notes=build.notes, sheet_text=build.text, made="2025-01-31")
    window, wide, reach, out, smallest = measured(chromium(tmp_path, on_a_phone(text), "--dump-dom"))
    assert (window, reach - wide, out) == (360, 0, 0)
    assert smallest >= 9.5
    for paper in ("A4", "Letter"):
        assert len(printed(tmp_path, text, paper)) <= 9
        first = words_of_sheet(tmp_path / f"{paper}.pdf", 1)
        for words in (headline(findings), "At the saw:", "the stroke in it is nominal", "page 1 of"):
            assert words in first
        strip = next(one for one in findings if one.quantity == "strip torque over hand torque")
        assert re.search(rf"strip torque over hand torque.*{re.escape(strip.at_worst)}\s+at least 1\.00", first)


def test_nothing_on_paper_is_smaller_than_a_bench_reads(tmp_path):
    """Body at least 9 pt, figures at least 7 pt, margins at least 12 mm; A4, the narrower, decides."""
    build, findings = load(DEMO), demo_findings()
    for text, figures in (
        (page(findings, title=build.title, sheet_text=build.text), True),
        (card(build, findings), False),
    ):
        body, figure, many, drawn = measured(chromium(tmp_path, on_paper(text), "--dump-dom"))
        assert many > 30
        assert (drawn > 50) == figures
        assert body >= 9 - 1e-3
        assert figure >= 7
        margins = [float(side) for side in re.search(r"@page \{ margin: ([^;]*);", text)[1].replace("mm", "").split()]
        assert min(margins) >= 12
        foot = re.findall(r"@bottom-\w+ \{ content: [^}]* font: (\d+)pt", text)
        assert all(int(size) >= 9 for size in foot)


def test_the_bar_of_the_slip_is_as_long_on_paper_as_it_says(tmp_path):
    """Its rectangle is drawn in the PDF itself: 50 mm, or 2 in, on either paper."""
    build, findings = load(DEMO), demo_findings()
    text = page(findings, title=build.title)
    for paper in ("A4", "Letter"):
        printed(tmp_path, text, paper)
        lengths = rectangles(tmp_path / f"{paper}.pdf")
        for length in (50.0, 38.5, 14.5, 8.0, 3.0, 23.1):
            assert min(abs(one - length) for one in lengths) < 0.05, (paper, length)


def rectangles(pdf: Path) -> list[float]:
    """How wide the rectangles 5 mm high are that a PDF draws, in mm."""
    if shutil.which("pdftocairo") is None:
        pytest.skip("no pdftocairo on this machine: apt-get install poppler-utils")
    svg = pdf.with_suffix(".svg")
    pages = len(re.findall(rb"/Type\s*/Page\b", pdf.read_bytes()))
    subprocess.run(["pdftocairo", "-svg", "-f", str(pages), "-l", str(pages), str(pdf), str(svg)], check=True)
    wide = []
    for path, matrix in re.findall(r'<path[^>]* d="([^"]*)"[^>]*transform="matrix\(([^)]*)\)"', svg.read_text()):
        a, _, _, d, _, _ = (abs(float(one)) for one in matrix.split(","))
        points = [tuple(map(float, pair)) for pair in re.findall(r"(-?[\d.]+) (-?[\d.]+)", path)]
        xs, ys = ([each[i] for each in points] for i in (0, 1))
        if len(set(points)) == 4 and abs((max(ys) - min(ys)) * d / 72 * 25.4 - 5) < 0.02:
            wide.append((max(xs) - min(xs)) * a / 72 * 25.4)
    return wide


def words_of_sheet(pdf, number):
    """What is printed on a sheet of paper, its lines joined."""
    if shutil.which("pdftotext") is None:
        pytest.skip("no pdftotext on this machine: apt-get install poppler-utils")
    command = ["pdftotext", "-layout", "-f", str(number), "-l", str(number), str(pdf), "-"]
    return " ".join(subprocess.run(command, capture_output=True, text=True, check=True).stdout.split())


def test_a_long_list_does_not_leave_the_first_sheet_blank(tmp_path):
    many = [finding(name=f"a long name of number {i} of many", label="quantity of some length") for i in range(43)]
    for paper in ("A4", "Letter"):
        printed(tmp_path, page(many, title="wand"), paper)
        assert len(words_of_sheet(tmp_path / f"{paper}.pdf", 1).split()) > 200


def test_the_card_of_the_demo_is_one_page_and_read_on_a_phone(tmp_path):
    text = card(load(DEMO), demo_findings(), made="2025-01-31")
    done = chromium(tmp_path, on_a_phone(text), "--dump-dom")
    window, wide, reach, out, _ = measured(done)
    assert (window, reach - wide, out) == (360, 0, 0)
    assert complaints(done) == []
    for paper in ("A4", "Letter"):
        assert len(printed(tmp_path, text, paper)) == 1


@pytest.mark.parametrize("more", [6, *(pytest.param(one, marks=pytest.mark.long) for one in (1, 2, 25))])
@pytest.mark.parametrize("alike", [True, False])
def test_the_card_of_a_larger_device_is_one_page_too(tmp_path, more, alike):
    """The demo with further screws and joints of long names: what is alike is said once, and of the rest less."""
    findings = list(demo_findings())
    for i in range(more):
        for one in demo_findings():
            drawing, joint, name = one.drawing, one.handover, f"the other one, no. {i} of the ones with long names"
            if isinstance(drawing, StripDrawing) and not alike:
                drawing = replace(drawing, bench=replace(drawing.bench, torque=drawing.bench.torque * 0.9**i))
            if isinstance(joint, Screwed) and not alike:
                joint = replace(joint, turns=joint.turns + i)
            if isinstance(drawing, StripDrawing) or isinstance(joint, Screwed):
                findings.append(replace(one, name=name, drawing=drawing, handover=joint))
    larger = card(load(DEMO), findings, made="2025-01-31")
    shown = larger.count("The other one, no. ")
    left_out = sum(map(int, re.findall(r"(\d+) more: the report has them all", larger)))
    as_those = sum(map(int, re.findall(r" and (\d+) more</h3>", larger)))
    assert shown + left_out + as_those == 2 * more
    assert as_those == 0 or alike
    assert left_out == 0 or not alike
    if more == 6:
        assert left_out > 0 or alike
    for caution in {one for f in demo_findings() for one in f.cautions}:
        assert escape(caution) in larger
    for paper in ("A4", "Letter"):
        assert len(printed(tmp_path, larger, paper)) == 1


def test_words_without_a_break_do_not_widen_the_page(tmp_path):
    long = "X" * 90
    about = finding(
        question=long,
        name=long,
        label=long,
        answer=long,
        at_least=9.9,
        change=(long,),
        sources=(long,),
        cautions=(long,),
        assumptions=(long,),
        details={long: long},
        drawing=TubeStack(30.0, ((long, 12.0),), ((long, 9.0),), 25.0, 25.4, 30.0),
    )
    text = page([about, about], title=long, subtitle=long, notes=[long], sheet_text=long, made=long)
    done = chromium(tmp_path, on_a_phone(text), "--dump-dom")
    window, wide, reach, out, smallest = measured(done)
    assert (window, reach - wide, out) == (360, 0, 0)
    assert smallest >= 8


def test_the_measures_notice_what_they_are_for(tmp_path):
    """The two tests above would see a page that is too wide and a script that complains."""
    bad = "<!doctype html><body><p style='width: 500px'>wide</p><script>console.error('seen')</script>"
    bad += "<svg viewBox='0 0 720 10' width='180'><text style='font-size: 12px'>x</text></svg>"
    done = chromium(tmp_path, on_a_phone(bad), "--dump-dom")
    _, wide, reach, out, smallest = measured(done)
    assert reach > wide
    assert out == 1
    assert smallest == pytest.approx(3.0)
    assert any("seen" in line for line in complaints(done))


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_it_prints_on_few_pages(tmp_path, text, paper):
    sides = {"A4": (210, 297), "Letter": (216, 279)}[paper]
    pages = printed(tmp_path, text, paper)
    assert 2 <= len(pages) <= 7
    assert set(pages) == {sides}


def printed(tmp_path: Path, text: str, paper: str) -> list[tuple[int, int]]:
    """The pages of `text` printed on `paper`: the sides of each, in mm."""
    out = tmp_path / f"{paper}.pdf"
    # The page leaves the choice of paper to the reader; here it is made.
    sized = text.replace("</style>", f"@page {{ size: {paper}; }}</style>", 1)
    done = chromium(tmp_path, sized, "--no-pdf-header-footer", f"--print-to-pdf={out}")
    assert complaints(done) == []
    pages = re.findall(rb"/Type\s*/Page\b.*?/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]", out.read_bytes(), re.DOTALL)
    return [(round(float(wide) / 72 * 25.4), round(float(high) / 72 * 25.4)) for wide, high in pages]
