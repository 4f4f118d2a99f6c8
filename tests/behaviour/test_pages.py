"""The pages: every public name has its place, and a docstring's layout becomes that of a page, without a warning.

Whether Sphinx builds them without one is the business of `.ci/run-pages`, which takes minutes; what docutils has to say
of every docstring is known in seconds.
"""

import importlib
import importlib.util
import inspect
import io
import re
from pathlib import Path

import pytest

PAGES = Path(__file__).parents[2] / ".ci" / "pages"


@pytest.fixture
def load(monkeypatch):
    monkeypatch.syspath_prepend(str(PAGES))

    def module(name):
        spec = importlib.util.spec_from_file_location(f"pages_{name}", PAGES / f"{name}.py")
        loaded = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(loaded)
        return loaded

    return module


def test_every_public_name_is_on_one_page(load):
    pages = load("__main__")
    text = "\n".join(pages.api().values())
    shown = [
        getattr(importlib.import_module(one.rpartition(".")[0]), one.rpartition(".")[2])
        for one in re.findall(r"^\.\. auto(?:class|exception|function|data):: (\S+)$", text, re.M)
    ]
    assert len({id(one) for one in shown}) == len(shown)
    for package in ("fitcheck", *(f"fitcheck.{short}" for short in pages.PACKAGES)):
        module = importlib.import_module(package)
        missing = [
            name
            for name in module.__all__
            if name != "report" and not any(getattr(module, name) is one for one in shown)
        ]
        assert not missing, package


def documented(thing):
    """The public functions, classes and properties of a class or a module, by name."""
    for name in getattr(thing, "__all__", [name for name in vars(thing) if not name.startswith("_")]):
        one = inspect.getattr_static(thing, name) if inspect.isclass(thing) else getattr(thing, name)
        if callable(one) or isinstance(one, property | classmethod | staticmethod):
            yield f"{thing.__name__}.{name}", one
            if inspect.isclass(one) and inspect.ismodule(thing):
                yield from documented(one)


def test_no_docstring_would_get_a_warning(load):
    core = pytest.importorskip("docutils.core", reason="docutils is not installed: pip install '.[test]'")
    from docutils import nodes
    from docutils.parsers.rst import roles

    def link(name, raw, text, line, inliner, options=None, content=()):
        return [nodes.literal(raw, text)], []

    roles.register_local_role("py:obj", link)
    marked = load("docstrings").marked

    def warnings(said, names):
        heard = io.StringIO()
        settings = {"warning_stream": heard, "report_level": 2, "halt_level": 6}
        core.publish_doctree("\n".join(marked(said.splitlines(), names)), settings_overrides=settings)
        return heard.getvalue()

    assert "Unknown target name" in warnings("A law that nobody states [7]_.\n", ())
    told = 0
    for package in ("fitcheck", *(f"fitcheck.{short}" for short in load("__main__").PACKAGES)):
        for called, one in documented(importlib.import_module(package)):
            said = inspect.getdoc(one) or ""
            try:
                names = tuple(inspect.signature(one).parameters)
            except (TypeError, ValueError):
                names = ()
            assert not warnings(said, names), called
            told += bool(said)
    assert told > 500


def test_a_class_shows_what_it_has_from_a_base_without_a_page(load):
    shown = load("__main__").entry
    assert "automethod:: plot" in shown("fitcheck.stack", "Linear")
    assert "automethod:: plot" not in shown("fitcheck.stack", "Dimension")  # which names Linear as its base
    assert ":show-inheritance:" in shown("fitcheck.stack", "Dimension")


def test_every_page_is_in_a_list(load):
    pages = load("__main__").api()
    listed = set(re.findall(r"^   /api/(\S+)$", "\n".join(pages.values()), re.M))
    assert listed == set(pages) - {"fitcheck", "others", *load("__main__").PACKAGES}


def test_the_command_and_each_table_are_told(load):
    pages = load("__main__")
    assert "--report PAGE.html" in pages.command()
    assert "friction.csv\n------------\n\n- title: Friction" in pages.tables()


def test_a_docstring_is_laid_out(load):
    marked = load("docstrings").marked
    said = """The load of `n` screws.

F = T / |K| d   [1]_

T: torque, N·m (as `lever_arm`). d, K: diameter, mm; nut factor: a ratio. Floats or arrays. Unknown: no name.

    steel   2 * d
    brass   3 * d

>>> 2 * 3
6

References
----------
.. [1] A. Nobody, Screws * and bolts.
"""
    assert "\n".join(marked(said.splitlines(), ("T", "d", "K"))).splitlines() == [
        "The load of :py:obj:`n` screws.",
        "",
        "| ``F = T / |K| d`` [1]_",
        "",
        "- **T**: torque, N·m (as :py:obj:`lever_arm`).",
        "- **d**, **K**: diameter, mm; nut factor: a ratio.",
        "",
        "Floats or arrays. Unknown: no name.",
        "",
        "::",
        "",
        "        steel   2 * d",
        "        brass   3 * d",
        "",
        ">>> 2 * 3",
        "6",
        "",
        "References",
        "----------",
        r".. [1] \A. Nobody, Screws \* and bolts.",
    ]


def test_a_page_without_text_is_found(load, tmp_path):
    html = "<article><h1>stack</h1><dl><dt class='sig' id=\"stack.a\">a()</dt>\n<dd></dd></dl></article>"
    (tmp_path / "stack.html").write_text(html.replace("'", '"'), encoding="utf-8")
    assert load("__main__").without_text(tmp_path) == ["stack.html: no text", "stack.html: stack.a: no text"]
