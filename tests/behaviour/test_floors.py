"""The floors of the design: imports only go down, and `import fitcheck` stays light."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
FLOORS = [
    "__main__", "__init__", "report", "sheet", "questions", "strength", "mechanics", "threads", "notation", "fits",
    "stack", "tables", "units", "errors", "later",
]  # fmt: skip
MODULES = sorted((ROOT / "fitcheck").rglob("*.py"))
HEAVY = ("matplotlib", "pandas", "pint", "scipy", "tqdm")


def floor_of(module: str) -> str:
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else "__init__"


def imported_modules(tree: ast.AST) -> list[str]:
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            if node.module == "fitcheck":
                # `from fitcheck import fits` names a floor; anything else is the package itself.
                found += [f"fitcheck.{a.name}" if a.name in FLOORS else "fitcheck" for a in node.names]
            else:
                found.append(node.module)
    return [name for name in found if name.split(".")[0] == "fitcheck"]


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_imports_only_go_down(path):
    here = floor_of(".".join(path.relative_to(ROOT).with_suffix("").parts))
    for module in imported_modules(ast.parse(path.read_text(encoding="utf-8"))):
        there = floor_of(module)
        assert FLOORS.index(there) >= FLOORS.index(here), f"{path.name} ({here}) imports {module} ({there})"


def test_files_have_one_subject():
    long = {str(path.relative_to(ROOT)): n for path in MODULES if (n := len(path.read_text().splitlines())) > 450}
    assert not long


def test_import_loads_nothing_heavy():
    code = f"import fitcheck, sys; print([m for m in {HEAVY!r} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout.strip() == "[]"


def test_top_level_is_the_design_cards():
    listed = subprocess.run(["git", "ls-files"], capture_output=True, text=True, cwd=ROOT, check=False)
    if listed.returncode:
        pytest.skip("not a git checkout")
    top = {line.split("/")[0] for line in listed.stdout.splitlines()}
    allowed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "fitcheck", "tables", "notebooks", "tests", "LICENSE"}
    assert {name for name in top if not name.startswith(".")} <= allowed
