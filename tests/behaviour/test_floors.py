"""The floors of the design: imports only go down, and `import fitcheck` stays light."""

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

import fitcheck

ROOT = Path(__file__).parents[2]
FLOORS = [
    "__main__", "__init__", "report", "sheet", "planning", "questions", "strength", "mechanics", "threads", "notation",
    "fits", "stack", "tables", "printed", "units",
    "keywords", "expected", "errors", "basis", "shown", "later", "renamed",
]  # fmt: skip
MODULES = sorted((ROOT / "fitcheck").rglob("*.py"))
HEAVY = ("matplotlib", "pandas", "pint", "scipy", "tqdm", "importlib.metadata")
HEAVIER = ("pandas", "pint", "scipy.stats", "tqdm")
"""What the demo does not load either."""


MOST_SUBJECTS = 15
"""Public functions and classes a file may define: more means a second subject; length alone means nothing."""


def module_name(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


NAMES = {module_name(path): path for path in MODULES}
FACES = {
    (name, bound)
    for name, path in NAMES.items()
    if path.name == "__init__.py"
    for node in ast.parse(path.read_text(encoding="utf-8")).body
    if isinstance(node, ast.ImportFrom)
    for bound in (alias.asname or alias.name for alias in node.names)
}
"""What a package offers under its own name, such as the function `thread` beside the file thread.py."""


def files_imported(path: Path) -> set[str]:
    """The files of the library that one of them imports, wherever in it; a package stands for its own file."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            for alias in node.names:
                deeper = f"{node.module}.{alias.name}"
                found.add(deeper if deeper in NAMES and (node.module, alias.name) not in FACES else node.module)
    return (found & set(NAMES)) - {module_name(path)}


def ring(imports: dict[str, set[str]]) -> list[str]:
    """Files that import each other in a ring, or none: what is left when files that lead nowhere are taken away."""
    left = dict(imports)
    while ends := [name for name, others in left.items() if not others & set(left)]:
        for name in ends:
            del left[name]
    return sorted(left)


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


def test_no_files_import_each_other_in_a_ring():
    assert not ring({name: files_imported(path) for name, path in NAMES.items()})


def test_a_ring_is_seen():
    assert ring({"a": {"b"}, "b": {"c"}, "c": {"b", "d"}, "d": set()}) == ["a", "b", "c"]
    assert ring({"a": {"b", "c"}, "b": {"c"}, "c": set()}) == []


def public_definitions(path: Path) -> list[str]:
    """Public functions and classes; error kinds, which are a line each, count as one."""
    body = ast.parse(path.read_text(encoding="utf-8")).body
    defined = [node for node in body if isinstance(node, (ast.FunctionDef, ast.ClassDef))]
    return sorted({"errors" if node.name.endswith("Error") else node.name for node in defined if node.name[0] != "_"})


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_file_has_one_subject(path):
    found = public_definitions(path)
    assert len(found) <= MOST_SUBJECTS, found


ONE_SUBJECT_EACH = {"question", "findings", "strength"}
"""Files that every question has one of, and the function in it."""
ONE_STANDARD_EACH = {"external_limits", "internal_limits", "pitch_tolerance"}
"""The same by ISO 965-1 and by ASME B1.1."""


def test_no_name_stands_for_two_things():
    stems = [path.stem for path in MODULES if not path.stem.startswith("_")]
    assert {stem for stem in stems if stems.count(stem) > 1} <= ONE_SUBJECT_EACH
    names = [name for path in MODULES for name in public_definitions(path) if name != "errors"]
    assert {name for name in names if names.count(name) > 1} <= ONE_SUBJECT_EACH | ONE_STANDARD_EACH


def test_every_file_is_found_in_the_list_of_rooms():
    rooms = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    stems = {path.stem for path in MODULES if not path.stem.startswith("_")} - {"strength"}
    missing = {stem for stem in stems if not re.search(rf"\b{stem}\b", rooms)}
    assert not missing, f"say under 'Which room' of DEVELOPERS.md what is in {missing}"


def test_names_that_are_loaded_later_are_those_that_readers_of_the_file_see():
    whole = ast.parse((ROOT / "fitcheck" / "__init__.py").read_text(encoding="utf-8")).body
    seen = {
        node.module: [alias.name for alias in node.names]
        for block in whole
        if isinstance(block, ast.If) and ast.unparse(block.test) == "TYPE_CHECKING"
        for node in block.body
        if isinstance(node, ast.ImportFrom) and node.module != "fitcheck"
    }
    assert seen == fitcheck._HOMES
    later = {name for names in seen.values() for name in names}
    assert set(fitcheck.__all__) - {"InputError", "ask", "describe", "report"} == later - {"QUESTIONS", "Findings"}
    assert all(getattr(fitcheck, name) for name in [*later, *fitcheck._FLOORS, *dir(fitcheck)])
    inner = {"__main__", "__init__", "strength", "errors", "expected", "keywords", "later", "printed", "renamed"}
    assert set(FLOORS) - inner - {"shown"} == set(fitcheck._FLOORS)


def test_star_and_unknown_names():
    told = "from fitcheck import *; print(thread, dim, Finding, report.table)\nimport fitcheck\ntry: fitcheck.wand"
    told += "\nexcept AttributeError as error: print(error)"
    done = subprocess.run([sys.executable, "-c", told], capture_output=True, encoding="utf-8", check=True, cwd=ROOT)
    assert done.stdout.splitlines()[-1] == "module 'fitcheck' has no attribute 'wand'"
    with pytest.raises(ImportError, match="cannot import name 'wand' from 'fitcheck'"):
        exec("from fitcheck import wand")


def loaded_by(code: str, *arguments: str) -> set[str]:
    """The modules that a fresh process has loaded after it ran `code`."""
    command = [sys.executable, "-c", f"{code}\nimport sys; print(*sys.modules)", *arguments]
    done = subprocess.run(command, capture_output=True, encoding="utf-8", check=True, cwd=ROOT)
    return set(done.stdout.splitlines()[-1].split())


@pytest.mark.parametrize(
    "code",
    [
        "import fitcheck",
        "import fitcheck; fitcheck.thread('M6x1-6g').limits().as_printed()",
        "import fitcheck as fc; (fc.dim('5 ± 0.1 mm') - fc.dim('0.15 in ± 0.01')).probability(below=0.9)",
    ],
)
def test_what_answers_at_once_loads_nothing_heavy(code):
    loaded = loaded_by(code)
    assert not loaded & set(HEAVY)
    assert not (loaded - loaded_by("import numpy")) & {"numpy.ma", "numpy.polynomial"}  # older ones load them always
    assert not {f"fitcheck.{floor}" for floor in ("questions", "planning", "sheet", "report")} & loaded


def test_the_demo_loads_what_it_needs_only(tmp_path):
    asked = "import sys; from fitcheck.__main__ import main; main(['notebooks/wand.toml', *sys.argv[1:]])"
    twice = asked.replace("*sys.argv[1:]", "") + "; assert 'matplotlib' not in sys.modules; " + asked
    assert not loaded_by(twice, "--report", str(tmp_path / "page.html")) & {*HEAVIER, "matplotlib.pyplot"}


def test_top_level_is_the_design_cards():
    listed = subprocess.run(["git", "ls-files"], capture_output=True, text=True, cwd=ROOT, check=False)
    if listed.returncode:
        pytest.skip("not a git checkout")
    top = {line.split("/")[0] for line in listed.stdout.splitlines()}
    allowed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "fitcheck", "tables", "notebooks", "tests", "LICENSE"}
    assert {name for name in top if not name.startswith(".")} <= allowed
