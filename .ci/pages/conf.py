"""What Sphinx is told, and how our docstrings, inputs and names reach it. The sources it reads: `__main__.py` here."""

import dataclasses
import inspect
import re
import sys
from importlib.metadata import version as installed
from pathlib import Path

from docutils import nodes
from sphinx import addnodes
from sphinx.application import Sphinx

sys.path.insert(0, str(Path(__file__).parent))
from docstrings import marked, plain

from fitcheck.questions import Question

project = "fitcheck"
version = release = installed("fitcheck")
author = copyright = "the fitcheck authors"
root_doc = "index"

extensions = ["sphinx.ext.autodoc", "numpydoc", "myst_nb"]
nb_execution_mode = "off"  # a notebook is shown with the outputs it is stored with; the tests run it
nb_merge_streams = True
myst_heading_anchors = 3
numpydoc_show_class_members = False
autodoc_member_order = "bysource"
autodoc_preserve_defaults = True
autodoc_type_aliases = {name: name for name in ("Number", "FloatArray", "ArrayLike", "NDArray")}
python_maximum_signature_line_length = 240
nitpicky = False  # names in backticks that are no public name, such as an argument, are shown as code

html_theme = "furo"
html_static_path = ["static"]
html_css_files = ["pages.css"]
html_title = f"fitcheck {release}"
html_copy_source = False
html_show_sphinx = False


_LINKED = ("function", "class", "exception", "module", "data")


def _names(thing: object) -> list[str]:
    if dataclasses.is_dataclass(thing):
        return [one.name for one in dataclasses.fields(thing)]
    if hasattr(thing, "_fields"):
        return list(thing._fields)
    try:
        return list(inspect.signature(thing).parameters)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        return []


def _inputs(question: type[Question]) -> list[str]:
    """The inputs of a question as a table: what its declarations say, which is what `describe` prints."""
    rows = [".. list-table:: Inputs", "   :header-rows: 1", "   :widths: 22 56 22", ""]
    rows += ["   * - input", "     - what it is; what is accepted", "     - taken otherwise"]
    for key, declared in question.inputs().items():
        about = declared.metadata
        text, default = f"{about['doc']}; {about['reader'].expects}", about["default"]
        needed = declared.default is dataclasses.MISSING and declared.default_factory is dataclasses.MISSING
        taken = "**needed**" if needed else "" if default in (None, [], "") else f"``{default}``"
        rows += [f"   * - ``{key}``", f"     - {plain(text)}", f"     - {taken}"]
    return [*rows, "", *([f"Needed besides: {'; '.join(question.alternatives)}.", ""] if question.alternatives else [])]


def _mark(app: Sphinx, what: str, name: str, thing: object, options: object, lines: list[str]) -> None:
    lines[:] = marked(lines, _names(thing))
    if inspect.isclass(thing) and issubclass(thing, Question) and thing is not Question:
        lines += ["", *_inputs(thing)]


def _shorten(
    app: Sphinx, what: str, name: str, thing: object, options: object, signature: str | None, gives: str | None
) -> tuple[str | None, str | None]:
    """A question shows its inputs as a table, not as a signature of fifty names; `Number` is shown as `Number`."""
    if inspect.isclass(thing) and issubclass(thing, Question):
        return "", None
    alias, made = re.compile(r"TypeAliasForwardRef\('(\w+)'\)"), re.compile(r"= ?<[^>]+>")
    shown = made.sub("= ...", alias.sub(r"\1", signature)) if signature else signature
    return shown, alias.sub(r"\1", gives) if gives else gives


def _skip(app: Sphinx, what: str, name: str, thing: object, skip: bool, options: object) -> bool | None:
    """Leave out what Python itself writes of the fields of a named tuple: the class explains them."""
    return True if (inspect.getdoc(thing) or "").startswith("Alias for field number") else None


def _find(app: Sphinx, env: object, node: addnodes.pending_xref, text: object) -> object:
    """A name by the place where it is shown, if only one public name ends so: `lever_arm`, `torque.lever_arm`."""
    if node.get("refdomain") != "py":
        return None
    domain = app.env.domains.python_domain
    last = node["reftarget"].removesuffix("()").rpartition(".")[2]
    found = {
        full: held
        for full, held in domain.objects.items()
        if full.rpartition(".")[2] == last and held.objtype in _LINKED and not held.aliased
    }
    if len(found) > 1 and "." in node["reftarget"]:
        found = {full: held for full, held in found.items() if full.endswith(f".{node['reftarget']}")}
    if not found and (page := "api/" + node["reftarget"].removeprefix("fitcheck.")) in app.env.found_docs:
        link = app.builder.get_relative_uri(node["refdoc"], page)
        return nodes.reference("", "", text, refuri=link, internal=True)
    if len(found) != 1:
        return None
    (full,) = found
    return domain.resolve_xref(app.env, node["refdoc"], app.builder, "obj", full, node, text)


def setup(app: Sphinx) -> None:
    """Called by Sphinx."""
    app.connect("autodoc-process-docstring", _mark, priority=100)  # before numpydoc
    app.connect("autodoc-process-signature", _shorten)
    app.connect("autodoc-skip-member", _skip)
    app.connect("missing-reference", _find)
