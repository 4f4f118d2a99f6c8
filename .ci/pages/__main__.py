"""python .ci/pages: the pages of fitcheck, from README, docstrings, notebooks and tables, into build/pages/html.

A page a file that holds public names: what the file says of itself, then each name as a user imports it. No page is
written by hand, and nothing outside build/ is written. Any warning fails the build, and so does a page without text.
"""

import ast
import contextlib
import importlib
import inspect
import io
import os
import re
import shutil
import sys
import time
from collections.abc import Iterable
from functools import cache
from pathlib import Path

from docstrings import plain

import fitcheck.__main__
from fitcheck.tables import folder

ROOT = Path(__file__).resolve().parents[2]

PACKAGES = {
    "questions": "Questions",
    "sheet": "Sheets",
    "planning": "Plans",
    "stack": "Dimensions and stacks",
    "threads": "Threads",
    "fits": "Fits",
    "mechanics": "Formulas",
}
WITHOUT_LIST = {  # files that have no __all__: what of them is for users
    "report.table": ("frame", "csv", "from_csv", "markdown", "json"),
    "report.figures": ("draw", "svg"),
    "report.page": ("page",),
    "report.card": ("card",),
    "report.terminal": ("text",),
    "report.write": ("write",),
    "errors": ("DesignationError", "NotationError", "UnitError", "UnresolvedError", "TableError", "SheetError"),
    "tables": ("Table", "table", "folder"),
}

Shown = list[tuple[str, str]]
"""Names of one page, each with the module that it is imported from."""


def headed(text: str) -> str:
    return f"{text}\n{'=' * len(text)}\n\n"


def said_by(module: str) -> str:
    return f".. automodule:: {module}\n   :no-members:\n   :no-index:\n\n"


@cache
def public() -> frozenset[type]:
    """The classes that have a place on a page."""
    modules = [importlib.import_module(f"fitcheck.{short}") for short in PACKAGES]
    things = [getattr(module, name) for module in modules for name in module.__all__]
    return frozenset(one for one in things if inspect.isclass(one))


def from_hidden_bases(thing: type) -> list[str]:
    """Methods that a class has from bases of ours that are on no page."""
    shown = [base for base in thing.__mro__[1:] if base in public()]
    hidden = [base for base in thing.__mro__[1:] if base.__module__.startswith("fitcheck") and base not in shown]
    new = [base for base in hidden if not any(issubclass(one, base) for one in shown)]
    names = dict.fromkeys(name for base in new for name in vars(base) if not name.startswith("_"))
    return [name for name in names if name not in vars(thing) and inspect.isfunction(getattr(thing, name))]


def entry(module: str, name: str) -> str:
    """The directive that shows one public name."""
    thing = getattr(importlib.import_module(module), name)
    if inspect.isclass(thing):
        kind = "exception" if issubclass(thing, Exception) else "class"
        bases = "   :show-inheritance:\n" if any(base in public() for base in thing.__bases__) else ""
        methods = "".join(f"\n   .. automethod:: {one}\n" for one in from_hidden_bases(thing))
        return f".. auto{kind}:: {module}.{name}\n   :members:\n{bases}{methods}"
    if callable(thing):
        return f".. autofunction:: {module}.{name}\n"
    return f".. autodata:: {module}.{name}\n   :no-value:\n"


def home(package: str, name: str) -> str:
    """The file in which a public name of a package is written."""
    thing = getattr(importlib.import_module(package), name)
    if callable(thing):
        return str(inspect.unwrap(thing).__module__)
    # A constant does not know; its docstring is read from the file that assigns it.
    for module in sorted(one for one in sys.modules if one == package or one.startswith(f"{package}.")):
        path = inspect.getsourcefile(sys.modules[module])
        body = ast.parse(Path(path).read_text(encoding="utf-8")).body if path else []
        targets = [one for node in body if isinstance(node, ast.Assign) for one in node.targets]
        targets += [node.target for node in body if isinstance(node, ast.AnnAssign)]
        if any(isinstance(one, ast.Name) and one.id == name for one in targets):
            return module
    raise LookupError(f"{package}.{name} is assigned nowhere")


def by_file(package: str, taken: set[int]) -> dict[str, Shown]:
    """The public names of a package that have no page yet, by the file in which they are written."""
    files: dict[str, Shown] = {}
    for name in importlib.import_module(package).__all__:
        thing = getattr(importlib.import_module(package), name)
        if id(thing) not in taken and not inspect.ismodule(thing):
            taken.add(id(thing))
            module = home(package, name)
            files.setdefault(module, []).append((package if callable(thing) else module, name))
    return files


def title(module: str) -> str:
    """How a file is called in the lists: its path, and of what answers a question only the question."""
    short = module.removeprefix("fitcheck.")
    return re.sub(r"^(questions\.\w+)\.(question|strength)$", r"\1", short)


def first_words(thing: object) -> str:
    """The first paragraph of a docstring, for a list."""
    said = " ".join((inspect.getdoc(thing) or "").split("\n\n")[0].split())
    return plain(re.sub(r",? \[\d+\]_", "", said))


def listed(modules: Iterable[str]) -> str:
    """A line a page, with what its file says first; and the same for the side bar."""
    lines, pages = [], []
    for module in modules:
        pages.append(f"   /api/{title(module)}\n")
        lines.append(f":doc:`/api/{title(module)}`\n    {first_words(importlib.import_module(module))}\n")
    return "\n".join(lines) + "\n.. toctree::\n   :hidden:\n\n" + "".join(pages)


def api() -> dict[str, str]:
    """The pages of all public names: the text of each by its name, the pages of the packages first in their order."""
    taken: set[int] = set()
    packages: dict[str, str] = {"fitcheck": ""}
    pages: dict[str, str] = {}

    def page(module: str, shown: Shown) -> None:
        pages[title(module)] = headed(title(module)) + said_by(module) + "\n".join(entry(*one) for one in shown)

    for short, about in PACKAGES.items():
        package = f"fitcheck.{short}"
        files = by_file(package, taken)
        own = files.pop(package, [])
        for module, shown in files.items():
            page(module, shown)
        text = headed(f"{about}: {package}") + said_by(package) + "\n".join(entry(*one) for one in own)
        packages[short] = f"{text}\n{listed(sorted(files))}"
    for short, names in WITHOUT_LIST.items():
        page(f"fitcheck.{short}", [(f"fitcheck.{short}", name) for name in names])
    intro = "What findings are shown with, how an input is refused, and what reads the tables.\n\n"
    packages["others"] = headed("Reports, errors, tables") + intro + listed(f"fitcheck.{one}" for one in WITHOUT_LIST)
    rest = [entry(*one) for shown in by_file("fitcheck", taken).values() for one in shown]
    packages["fitcheck"] = headed("Everyday names: fitcheck") + said_by("fitcheck") + everyday() + "\n".join(rest)
    return packages | pages


def everyday() -> str:
    """The names of `fitcheck` itself, with what each says first; most have their page where they are written."""
    names = [name for name in fitcheck.__all__ if not inspect.ismodule(getattr(fitcheck, name))]
    return "".join(
        f":py:obj:`{name} <fitcheck.{name}>`\n    {first_words(getattr(fitcheck, name))}\n\n" for name in names
    )


def command() -> str:
    """The page of the command: what it says of itself."""
    os.environ["COLUMNS"] = "90"
    with contextlib.redirect_stdout(io.StringIO()) as told, contextlib.suppress(SystemExit):
        fitcheck.__main__.main(["--help"])
    shown = "".join(f"    {line}\n" for line in told.getvalue().splitlines())
    return (
        headed("The command")
        + "Every option of the command, as it prints them itself.\n\n.. code-block:: text\n\n"
        + shown
    )


def tables() -> str:
    """The page of the tables: what each says on top."""
    text = headed("Tables and their sources") + "What the tables of standard values say of themselves.\n\n"
    for path in sorted(folder().glob("*.csv")):
        lines = path.read_text(encoding="utf-8").splitlines()
        about = [line[1:].strip() for line in lines if line.startswith("#")]
        text += f"{path.name}\n{'-' * len(path.name)}\n\n" + "".join(f"- {plain(line)}\n" for line in about)
        text += f"- rows: {sum(not line.startswith('#') for line in lines) - 1}\n\n"
    return text


def write_sources(source: Path) -> None:
    """All that Sphinx reads."""
    (source / "api").mkdir(parents=True)
    pages = api()
    for name, text in pages.items():
        (source / "api" / f"{name}.rst").write_text(text, encoding="utf-8")
    (source / "command.rst").write_text(command(), encoding="utf-8")
    (source / "sources.rst").write_text(tables(), encoding="utf-8")
    shutil.copytree(ROOT / "notebooks", source / "notebooks", ignore=shutil.ignore_patterns(".*"))
    for name in ("DEVELOPERS.md", "LICENSE"):
        shutil.copy(ROOT / name, source)
    notebooks = sorted(
        (path.stem for path in (ROOT / "notebooks").glob("*.ipynb")), key=lambda name: (name != "tour", name)
    )
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    for caption, names in (
        ("Notebooks", [f"notebooks/{name}" for name in notebooks]),
        ("Names", ["command", *(f"api/{name}" for name in ("fitcheck", *PACKAGES, "others"))]),
        ("More", ["sources", "DEVELOPERS"]),
    ):
        readme += f"\n```{{toctree}}\n:hidden:\n:caption: {caption}\n\n" + "\n".join(names) + "\n```\n"
    (source / "index.md").write_text(readme, encoding="utf-8")


def without_text(html: Path) -> list[str]:
    """Pages that say nothing, and names on them that say nothing."""
    found = []
    for path in sorted(html.rglob("*.html")):
        name = str(path.relative_to(html))
        if name in ("search.html", "genindex.html"):
            continue
        (article,) = re.findall(r"<article[^>]*>(.*?)</article>", path.read_text(encoding="utf-8"), re.S)
        if len(re.sub(r"<h1>.*?</h1>|<[^>]+>|\s+", "", article, flags=re.S)) < 40:
            found.append(f"{name}: no text")
        found += [
            f"{name}: {id}: no text"
            for id in re.findall(r'<dt [^>]*id="([^"]+)">(?:(?!</dt>).)*</dt>\s*<dd></dd>', article, re.S)
        ]
    return found


def main() -> int:
    """Build all anew; 0 if there was no warning and no page without text."""
    from sphinx.cmd.build import build_main  # only here, so that the tests need no Sphinx

    started = time.perf_counter()
    out = ROOT / "build" / "pages"
    shutil.rmtree(out, ignore_errors=True)
    source, html = out / "source", out / "html"
    write_sources(source)
    here = str(Path(__file__).parent)
    status = build_main(["-q", "-W", "--keep-going", "-c", here, "-d", str(out / "read"), str(source), str(html)])
    empty = without_text(html)
    print("\n".join([*empty, f"{html / 'index.html'}: {len(list(html.rglob('*.html')))} pages"]), end="")
    print(f" in {time.perf_counter() - started:.0f} s")
    return status or int(bool(empty))


if __name__ == "__main__":
    sys.exit(main())
