"""The README's REPL session shows what the library prints, and its pictures and files exist."""

import doctest
import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
README = ROOT / "README.md"


def test_the_repl_session_prints_what_it_shows():
    result = doctest.testfile(str(README), module_relative=False, optionflags=doctest.NORMALIZE_WHITESPACE)
    assert result.attempted >= 10
    assert result.failed == 0


def test_the_package_docstring_prints_what_it_shows():
    import fitcheck

    assert doctest.testmod(fitcheck).failed == 0


def test_every_file_it_points_to_exists():
    text = README.read_text(encoding="utf-8")
    for target in re.findall(r"\]\(([^)#]+)\)", text):
        assert (ROOT / target).exists(), target


def test_every_notebook_is_in_its_list():
    text = README.read_text(encoding="utf-8")
    missing = [path.name for path in (ROOT / "notebooks").glob("*.ipynb") if f"](notebooks/{path.name})" not in text]
    assert not missing, "each notebook has a row under 'Notebooks and pages' of README"


def test_the_tally_of_printed_values_is_what_the_tests_count():
    command = [sys.executable, "-m", "pytest", "tests/published", "-m", "tally", "-p", "no:cacheprovider"]
    said = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=500)
    assert said.returncode == 0, said.stdout[-2000:]
    counted = [line for line in said.stdout.splitlines() if line.startswith("| ")]
    assert len(counted) > 10
    assert "\n".join(counted) in README.read_text(encoding="utf-8")


def test_ci_runs_the_test_command_it_prints():
    commands = re.findall(r"^python3.* -m pytest.*$", README.read_text(encoding="utf-8"), flags=re.MULTILINE)
    assert len(commands) == 1
    assert "grep -m 1 -E '^python3.* -m pytest' README.md" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")
