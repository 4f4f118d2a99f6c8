"""The packages carry what they must and nothing else, and name what they need; the wheel runs outside the checkout."""

import ast
import os
import re
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def run(*command, cwd, ok=(0,), path=None):
    environment = {k: v for k, v in os.environ.items() if k not in ("PYTHONPATH", "PYTHONHOME", "VIRTUAL_ENV")}
    if path is not None:
        environment["PYTHONPATH"] = str(path)
    done = subprocess.run(command, cwd=cwd, capture_output=True, text=True, env=environment, check=False)
    assert done.returncode in ok, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """A folder with the source archive, and the wheel that is built from it."""
    folder = tmp_path_factory.mktemp("dist")
    run(sys.executable, "-m", "build", "--no-isolation", "--outdir", str(folder), str(ROOT), cwd=folder)
    return folder


@pytest.fixture(scope="module")
def wheel(built):
    (found,) = built.glob("*.whl")
    return found


def parts(path, suffixes=(".py", ".css", ".csv", ".ipynb", ".json", ".md", ".png", ".toml", ".txt", ".typed")):
    """The files of the checkout below `path` that belong into a package."""
    found = {str(one.relative_to(ROOT)) for one in (ROOT / path).rglob("*") if one.suffix in suffixes}
    return {one for one in found if "/." not in one}  # what an editor of notebooks keeps beside them


def test_the_wheel_holds_library_tables_and_licence(wheel):
    held = set(zipfile.ZipFile(wheel).namelist())
    about = f"{'-'.join(wheel.name.split('-')[:2])}.dist-info"
    tables = {f"fitcheck/_{one}" for one in parts("tables", (".csv",))}
    said = {f"{about}/{name}" for name in ("METADATA", "RECORD", "WHEEL", "licenses/LICENSE")}
    assert held == parts("fitcheck", (".py", ".css", ".typed")) | tables | said


def test_the_source_archive_holds_what_the_tests_need(built):
    (archive,) = built.glob("*.tar.gz")
    with tarfile.open(archive) as opened:
        held = {one.name.partition("/")[2] for one in opened.getmembers() if one.isfile()}
    assert {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", ".ci/run", ".ci/pages/conf.py"} <= held
    for folder in ("fitcheck", "tables", "tests", "notebooks"):
        assert {one for one in held if one.startswith(f"{folder}/")} == parts(folder)
    top = {one.split("/")[0] for one in held}
    listed = {"fitcheck", "tables", "tests", "notebooks", ".ci", "README.md", "DEVELOPERS.md", "LICENSE"}
    assert top == listed | {"pyproject.toml", "PKG-INFO", ".gitignore"}


def runs_the_demo(python, folder, installed, path=None):
    """The demo gives its report, by the files and the tables that were installed in a folder and no others."""
    sheet = folder / "wand.toml"
    sheet.write_bytes((ROOT / "notebooks" / "wand.toml").read_bytes())
    out = run(python, "-m", "fitcheck", "wand.toml", "--report", "wand.html", cwd=folder, ok=(1,), path=path)
    assert "cut the plug to" in out.lower()
    assert (folder / "wand.html").stat().st_size > 10_000
    asked = "import fitcheck.tables as t; print(t.__file__); print(t.folder())"
    module, tables = map(Path, run(python, "-c", asked, cwd=folder, path=path).splitlines())
    assert installed in module.parents
    assert installed in tables.parents
    assert {one.name for one in tables.glob("*.csv")} == {one.name for one in (ROOT / "tables").glob("*.csv")}
    assert (module.parent / "py.typed").exists()


def test_the_wheel_runs_the_demo_outside_the_checkout(wheel, tmp_path):
    """Beside the packages that are here; `test_what_is_imported_is_declared` says that they would have come along."""
    installed = tmp_path / "installed"
    install = ("-m", "pip", "install", "-q", "--disable-pip-version-check", "--no-deps", "--target", str(installed))
    run(sys.executable, *install, str(wheel), cwd=tmp_path)
    runs_the_demo(sys.executable, tmp_path, installed, path=installed)


@pytest.mark.long
def test_the_wheel_brings_what_it_needs_into_an_empty_environment(wheel, tmp_path):
    venv = tmp_path / "venv"
    run(sys.executable, "-m", "venv", str(venv), cwd=tmp_path)
    python = str(venv / ("Scripts" if os.name == "nt" else "bin") / "python")
    run(python, "-m", "pip", "install", "-q", "--disable-pip-version-check", str(wheel), cwd=tmp_path)
    runs_the_demo(python, tmp_path, venv)


def test_what_is_imported_is_declared(wheel, tmp_path):
    run(sys.executable, "-m", "zipfile", "-e", str(wheel), str(tmp_path), cwd=tmp_path)
    (metadata,) = tmp_path.glob("*.dist-info/METADATA")
    needs = [line for line in metadata.read_text(encoding="utf-8").splitlines() if line.startswith("Requires-Dist: ")]
    declared = {re.match(r"Requires-Dist: ([\w-]+)", line)[1] for line in needs if "extra ==" not in line}
    imported = set()
    for module in (tmp_path / "fitcheck").rglob("*.py"):
        for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                imported |= {alias.name.partition(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and not node.level:
                imported.add(str(node.module).partition(".")[0])
            elif isinstance(node, ast.Call) and ast.unparse(node.func) == "_Later":  # fitcheck/later.py
                imported.add(node.args[0].value.partition(".")[0])
    assert imported - sys.stdlib_module_names - {"fitcheck"} == declared
