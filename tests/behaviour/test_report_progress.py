"""Progress: on a terminal, after two seconds, gone at the end. The clock is faked, the terminal a pseudo-terminal."""

from __future__ import annotations

import os
import select
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

import fitcheck.report.progress as shown
from fitcheck.__main__ import main
from fitcheck.errors import InputError

pty = pytest.importorskip("pty", reason="this system has no pseudo-terminals")

END = "\x1e"
ROOT = Path(__file__).parents[2]
SHEET = """sheet = 1
[[blade_depth]]
name = "front"
adds = ["40 ± 0.1"]
at_least = "39 mm"
[[blade_depth]]
name = "rear"
adds = ["30 ± 0.1"]
at_least = "29 mm"
"""


@pytest.fixture
def sheet(tmp_path):
    path = tmp_path / "build.toml"
    path.write_text(SHEET, encoding="utf-8")
    return path


@pytest.fixture
def terminal(monkeypatch):
    """A function that reads what has arrived on a terminal that stands in for the standard error."""
    reader, writer = pty.openpty()

    def arrived(until: str = END) -> str:
        """What has been written; the terminal hands it on in its own time, so the end is marked."""
        if until == END:
            stream.write(END)
            stream.flush()
        got = ""
        while until not in got and select.select([reader], [], [], 30)[0]:
            got += os.read(reader, 4096).decode(errors="replace")
        return got.replace(END, "")

    with open(writer, "w", encoding="utf-8", buffering=1) as stream:
        # pytest keeps sys.stderr to itself.
        monkeypatch.setattr(shown, "sys", SimpleNamespace(stderr=stream))
        yield arrived
    os.close(reader)


@pytest.fixture
def clock(monkeypatch):
    """What the progress bar takes for the time."""
    now = [1000.0]
    monkeypatch.setattr("tqdm.std.time", lambda: now[0])
    return now


def last_line(text: str) -> str:
    """What is left on the line when all has been written, as a terminal overwrites it."""
    line: list[str] = []
    for part in text.split("\r"):
        line[: len(part)] = part
    return "".join(line).strip()


def test_patience_is_two_seconds():
    assert shown.PATIENCE == 2.0


def test_nothing_is_shown_before_two_seconds_and_then_what_comes_next(terminal, clock):
    with shown.progress(4) as begin:
        begin("first")
        clock[0] += 1.9
        begin("second")
        assert terminal() == ""
        clock[0] += 0.2
        begin("third")
        third = terminal()
        assert last_line(third).startswith("third |")
        assert last_line(third).endswith("| 00:02")
        clock[0] += 0.01
        begin("fourth")
        assert "fourth |" in terminal()
    assert last_line(third + terminal()) == ""


def test_work_of_less_than_two_seconds_leaves_no_trace(terminal, clock):
    with shown.progress(2) as begin:
        begin("first")
        clock[0] += 1.0
        begin("second")
    assert terminal() == ""


def test_one_long_step_is_shown_while_it_runs(terminal, monkeypatch):
    monkeypatch.setattr(shown, "PATIENCE", 0.01)
    with shown.progress(1) as begin:
        begin("the only question")
        # The step lasts until something is shown.
        assert "the only question |" in terminal(until="the only question |")


def test_an_error_leaves_an_empty_line_for_its_message(terminal, clock):
    def fail():
        with shown.progress(2) as begin:
            begin("first")
            clock[0] += 3
            begin("second")
            raise InputError("no")

    with pytest.raises(InputError):
        fail()
    text = terminal()
    assert "second" in text
    assert last_line(text) == ""


def test_the_command_shows_its_questions_and_the_drawing(sheet, tmp_path, terminal, clock, monkeypatch, capsys):
    def later() -> float:
        clock[0] += 1.5  # each look at the clock is that much later
        return clock[0]

    monkeypatch.setattr("tqdm.std.time", later)
    assert main([str(sheet), "--report", str(tmp_path / "page.html")]) == 0
    text = terminal()
    assert "question 2 of 2: blade depth |" in text
    assert "drawing the report |" in text
    assert last_line(text) == ""
    out = capsys.readouterr().out
    assert "question 2 of 2" not in out
    assert "2 findings: 2 hold" in out


def test_the_command_is_silent_while_it_is_quick(sheet, terminal, clock):
    assert main([str(sheet)]) == 0
    assert terminal() == ""


RUN = (
    "import sys, fitcheck.report.progress as p; from fitcheck.__main__ import main; p.PATIENCE = 0.0; "
    "status = main(sys.argv[1:]); print('tqdm' in sys.modules, status)"
)
"""The command without its patience."""


def test_a_terminal_that_does_not_know_its_size_is_shown_it_as_well(sheet):
    reader, writer = pty.openpty()
    done = subprocess.run(
        [sys.executable, "-c", RUN, str(sheet)], stdout=subprocess.PIPE, stderr=writer, check=True, cwd=ROOT
    )
    os.write(writer, END.encode())
    text = ""
    while END not in text:
        text += os.read(reader, 4096).decode(errors="replace")
    os.close(writer)
    os.close(reader)
    assert "question 1 of 2: blade depth |" in text
    assert last_line(text.replace(END, "")) == ""
    assert done.stdout.decode().splitlines()[-1] == "True 0"


def test_what_is_no_terminal_gets_nothing_and_loads_nothing(sheet, tmp_path):
    command = [sys.executable, "-c", RUN, str(sheet), "--report", str(tmp_path / "page.html")]
    done = subprocess.run(command, capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stderr == ""
    assert done.stdout.splitlines()[-1] == "False 0"
