"""The report for a terminal, the tables, and writing a file: the whole of it or none."""

from __future__ import annotations

import dataclasses
import io
import os
import re
import stat

import pandas
import pytest
from report_findings import CAUTIONS, finding, sample

import fitcheck as fc
from fitcheck.errors import InputError, UnitError
from fitcheck.questions import Findings, Verdict
from fitcheck.questions.moves import in_a_row
from fitcheck.questions.several import counts
from fitcheck.questions.words import STRENGTH_CAUTIONS
from fitcheck.report.table import COLUMNS, csv, frame, markdown
from fitcheck.report.terminal import encodable, text
from fitcheck.report.write import write


@pytest.fixture(scope="module")
def findings():
    return sample()


# -- terminal ----------------------------------------------------------------------------------------------


def squeezed(words: str) -> str:
    """`words` without its line breaks."""
    return " ".join(words.split())


def test_the_full_report_says_all_of_every_finding_within_80_columns(findings):
    said = text(findings, "Marshalling wand, museum set", full=True)
    assert max(map(len, said.splitlines())) <= 80
    for about in findings:
        for words in (
            about.title, about.answer, *about.change, *about.details.values(), *about.assumptions, *about.sources,
            about.show(about.interval.max), about.how_found, f"risk {about.risk_value}",
        ):  # fmt: skip
            assert words in squeezed(said), words
    assert said.startswith("Marshalling wand, museum set\n====")


def test_the_count_comes_first_then_what_fails_then_a_line_for_the_rest(findings):
    blocks = text(findings, "wand").split("\n\n")
    assert blocks[1] == "12 findings: 3 fail, 2 likely, 7 hold"
    failing, likely = blocks[2:5], blocks[5:7]
    for block, about in zip(failing, [f for f in findings if f.verdict == "fails"], strict=True):
        assert block.startswith("FAILS  ")
        assert block == about.text(80) == str(about) == repr(about)
        for change in about.change:
            assert f"change: {change}" in squeezed(block)
    for block, about in zip(likely, [f for f in findings if f.verdict == "likely"], strict=True):
        assert block.startswith("LIKELY ")
        assert "change: " not in block
        assert f"accepted as it is; surer: {in_a_row(about.change[:1])}" in squeezed(block).replace("either ", "")
    assert [line[:7] for line in blocks[7].splitlines()] == ["HOLDS  "] * 7


def test_the_terminal_report_says_cautions_once_and_ends_with_the_count(findings):
    said = text(findings, "wand")
    for caution in CAUTIONS:
        assert said.count(caution) == 1
    assert said.endswith("\n12 findings: 3 fail, 2 likely, 7 hold; --full says how each was found\n")
    assert "\x1b" not in said


def test_print_repr_and_the_command_agree():
    found = fc.ask("blade_depth", adds=["40 ± 0.1"], at_least="45 mm", screws=["12 ± 0.2"])
    assert isinstance(found, Findings)
    assert str(found) == repr(found)
    assert str(found) in text(found, "")
    assert "change: seat the blade 5.10 mm deeper" in repr(found)
    assert "change: seat the blade 5.10 mm deeper" in repr(found[0])


def test_colour_only_repeats_what_the_words_say(findings):
    coloured = text(findings, "wand", colour=True)
    assert coloured.count("\x1b[1;31mFAILS\x1b[0m") == 3
    assert re.sub(r"\x1b\[[\d;]*m", "", coloured) == text(findings, "wand")


@pytest.mark.parametrize(
    ("encoding", "said"),
    [("ascii", "0.3 +/- 0.1 N m, ?ber"), ("cp437", "0.3 ± 0.1 N·m, über"), ("utf-8", "0.3 ± 0.1 N·m, über")],
)
def test_signs_that_a_terminal_lacks_are_written_out(encoding, said):
    assert encodable("0.3 ± 0.1 N·m, über", encoding).encode(encoding, "replace").decode(encoding) == said


def test_an_encoding_that_nobody_knows_is_left_to_the_stream():
    assert encodable("0.3 ± 0.1 N·m", "wand-8") == "0.3 ± 0.1 N·m"


def test_without_cautions_there_is_no_heading_for_them():
    assert "Cautions" not in text([finding(cautions=())], "wand")
    assert "Cautions" in text([finding()], "wand")


@pytest.mark.parametrize("width", [40, 60, 120])
def test_the_terminal_report_fits_any_width(findings, width):
    assert max(map(len, text(findings, "A build with a title of some length", width=width).splitlines())) <= width


def test_no_control_character_of_a_sheet_reaches_the_terminal():
    said = text([finding(name="\x1b[31mred", answer="beep\x07")], "title\x1b[2J")
    assert "\x1b" not in said
    assert "\x07" not in said


@pytest.mark.parametrize(
    ("limits", "said"),
    [
        ([], "0 findings"),
        ([9.4], "1 finding: 1 holds"),
        ([9.9], "1 finding: 1 fails"),
        ([9.4, 9.4, 9.6], "3 findings: 1 likely, 2 hold"),
        ([9.4, 9.6, 9.6, 9.9, 9.9], "5 findings: 2 fail, 2 likely, 1 holds"),
    ],
)
def test_counts_agree_in_number(limits, said):
    assert counts([finding(at_least=limit) for limit in limits]) == said


# -- tables ------------------------------------------------------------------------------------------------


def test_the_frame_has_a_row_a_finding_in_the_unit_it_names(findings):
    table = frame(findings)
    assert tuple(table.columns) == COLUMNS
    assert list(table["verdict"]) == [f.verdict.value for f in findings]
    inch = table[table["unit"] == "in"].iloc[0]
    assert (inch["nominal"], inch["worst_max"]) == pytest.approx((1.0, 1.005))
    assert (inch["at_least"], inch["at_most"]) == pytest.approx((25.0 / 25.4, 25.5 / 25.4))
    sampled = table[table["unit"] == "N"].iloc[0]
    assert sampled["standard_error"] > 0
    assert sampled["method"] == findings[7].how_found
    assert pandas.isna(table.iloc[10]["at_least"])
    assert table.iloc[0]["change"] == "cut the slug 0.30 mm shorter"


def test_the_frame_of_nothing_has_its_columns():
    assert tuple(frame([]).columns) == COLUMNS


def test_csv_reads_back_to_the_same_numbers(findings):
    back = pandas.read_csv(io.StringIO(csv(findings)), keep_default_na=False, na_values={"at_least": "", "at_most": ""})
    numbers = frame(findings).select_dtypes("number")
    pandas.testing.assert_frame_equal(back[numbers.columns].astype(float), numbers.astype(float), rtol=1e-15)
    assert list(back["answer"]) == [f.answer for f in findings]


def test_markdown_stays_a_table_whatever_the_names_are():
    lines = markdown([finding(name="a|b *c* <d>\nsecond `line`")]).splitlines()
    assert len(lines) == 3
    assert {line.replace("\\|", "").count("|") for line in lines} == {8}
    assert "\\*c\\*" in lines[2]
    assert "&lt;d>" in lines[2]


# -- writing -----------------------------------------------------------------------------------------------


def test_writing_makes_or_replaces_the_file_and_leaves_nothing_else(tmp_path):
    path = tmp_path / "report.html"
    for words in ("first ± µ", "second"):
        assert write(path, words) == path
        assert path.read_bytes() == words.encode()
    assert os.listdir(tmp_path) == ["report.html"]


def test_a_new_file_has_the_mode_of_any_new_file_and_an_old_one_keeps_its_own(tmp_path):
    (tmp_path / "plain").touch()
    assert write(tmp_path / "new", "x").stat().st_mode == (tmp_path / "plain").stat().st_mode
    old = tmp_path / "old"
    old.touch()
    old.chmod(0o640)
    write(old, "x")
    assert stat.S_IMODE(old.stat().st_mode) == 0o640


def test_a_link_stays_a_link(tmp_path):
    (tmp_path / "folder").mkdir()
    link, real = tmp_path / "link.html", tmp_path / "folder" / "real.html"
    real.write_text("old")
    link.symlink_to(real)
    write(link, "new")
    assert link.is_symlink()
    assert real.read_text() == "new"


def test_a_device_is_written_to_and_not_replaced():
    write("/dev/null", "x")
    assert stat.S_ISCHR(os.stat("/dev/null").st_mode)


@pytest.mark.parametrize("failing", ["replace", "fsync"])
def test_a_failure_leaves_the_old_report_and_no_other_file(tmp_path, monkeypatch, failing):
    path = tmp_path / "report.html"
    path.write_text("old")

    def fail(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, failing, fail)
    with pytest.raises(InputError, match=r"report\.html' cannot be written: No space left on device"):
        write(path, "new" * 100_000)
    assert path.read_text() == "old"
    assert os.listdir(tmp_path) == ["report.html"]


def test_an_interrupt_leaves_no_other_file(tmp_path, monkeypatch):
    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "replace", stop)
    with pytest.raises(KeyboardInterrupt):
        write(tmp_path / "report.html", "new")
    assert os.listdir(tmp_path) == []


def test_text_that_is_no_unicode_is_refused_before_anything_is_replaced(tmp_path):
    path = tmp_path / "report.html"
    path.write_text("old")
    with pytest.raises(InputError, match="cannot be written"):
        write(path, "\ud800")
    assert path.read_text() == "old"
    assert os.listdir(tmp_path) == ["report.html"]


def test_paths_that_cannot_be_written_are_refused_by_name(tmp_path):
    (tmp_path / "file").touch()
    cases = {
        "": "the path of a file is needed",
        str(tmp_path): "is a folder: the path of a file is needed",
        str(tmp_path / "missing" / "r.html"): "there is no folder .*missing': a file in a folder that exists is needed",
        str(tmp_path / "file" / "r.html"): "is no folder: a file in a folder that exists is needed",
        str(tmp_path / "nul\0.html"): "null (byte|character)",  # Python 3.11, 3.13
        str(tmp_path / ("x" * 300)): "(?i)name too long",
    }
    for path, said in cases.items():
        with pytest.raises(InputError, match=said) as raised:
            write(path, "x")
        assert "\n" not in str(raised.value)
    assert os.listdir(tmp_path) == ["file"]


def may(path, mode):
    """Whether the owner of a file has the rights `mode` to it: the superuser, who has all, is told the same."""
    return os.stat(path).st_mode >> 6 & mode == mode


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="rights of files are other ones there")
def test_write_protection_is_respected(tmp_path, monkeypatch):
    if os.geteuid() == 0:
        monkeypatch.setattr(os, "access", may)
    path = tmp_path / "report.html"
    path.write_text("old")
    path.chmod(0o400)
    with pytest.raises(InputError, match="write-protected"):
        write(path, "new")
    assert path.read_text() == "old"
    folder = tmp_path / "folder"
    folder.mkdir(mode=0o500)
    with pytest.raises(InputError, match="the folder is write-protected"):
        write(folder / "report.html", "new")
    assert not any(folder.iterdir())


def test_a_finding_is_shown_in_another_unit_and_stays_what_it_is():
    about = finding()
    inches = about.in_unit("in")
    assert (inches.nominal, inches.worst_case, inches.verdict) == (about.nominal, about.worst_case, about.verdict)
    # 10 mm = 0.3937 in, 9.4 mm = 0.3701 in: 25.4 mm to the inch (ISO 31-1, exact).
    assert "nominal 0.394 in" in squeezed(str(inches))
    # What is asked for is rounded to its strict side, and the worst case outwards: 9.5 mm = 0.37402 in.
    assert "at least 0.371 in; worst case 0.374 to 0.414 in" in squeezed(str(inches))
    assert "0.394" in markdown([inches])
    assert inches.in_unit("mm").show(10.0) == "10.00 mm"
    assert about.in_unit("µm").show(10.0) == "10000 µm"
    # Limits of threads: three decimals in mm, four in inches (ISO 965-3, ASME B1.1).
    assert dataclasses.replace(about, decimals=3).in_unit("in").show(25.4) == "1.0000 in"
    row = frame([inches]).iloc[0]
    assert (row["unit"], row["nominal"]) == ("in", pytest.approx(10.0 / 25.4))
    with pytest.raises(UnitError, match="unit = 'N' is a force: a length is needed"):
        about.in_unit("N")


def test_while_something_fails_the_cautions_are_those_of_what_is_to_be_done():
    saw, glue = "Wear gloves at the saw.", "Do not breathe the glue."
    cut = finding(at_least=9.9, change=("cut it",), cautions=(saw, *STRENGTH_CAUTIONS[:1]))
    glued = finding(at_least=9.4, cautions=(glue, STRENGTH_CAUTIONS[2]))
    assert cut.verdict is Verdict.FAILS
    assert glued.verdict is Verdict.HOLDS
    said = squeezed(text([cut, glued], "wand"))
    assert saw in said
    assert glue not in said
    assert all(caution in said for caution in (STRENGTH_CAUTIONS[0], STRENGTH_CAUTIONS[2])), "for all work with loads"
    assert "--full says how each was found and has 1 more caution for the finished device" in said
    assert all(caution in squeezed(text([cut, glued], "wand", full=True)) for caution in (saw, glue))
    # What holds and is to be done is done now; once nothing fails the device is put together and used.
    assert glue in squeezed(text([cut, dataclasses.replace(glued, do="glue it")], "wand"))
    assert glue in squeezed(text([glued], "wand"))


def test_what_goes_to_a_file_is_not_cut():
    found = [finding(answer="The blade sits 10 mm deep, between 9.50 mm and 10.50 mm, however it is turned.")]
    cut, whole = text(found, "wand", width=50), text(found, "wand", width=50, whole=True)
    assert "…" in cut
    for one in found:
        assert squeezed(one.answer) in squeezed(whole)
    assert max(map(len, whole.splitlines())) <= 50
