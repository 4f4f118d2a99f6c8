"""What every HTML of the report is made of: safe text, lists, marks of the verdicts, and the document around them."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from html import escape
from importlib.resources import files

from fitcheck.questions.finding import Verdict
from fitcheck.report.summary import printable

# A shape for each verdict, so that neither colour nor the word is needed to tell them apart.
_MARKS = {
    Verdict.HOLDS: '<circle cx="8" cy="8" r="8" fill="currentColor"/>'
    '<path d="M4 8.5l3 3 5-6.5" fill="none" stroke="#fff" stroke-width="2"/>',
    Verdict.LIKELY: '<circle cx="8" cy="8" r="7" fill="none" stroke="currentColor" stroke-width="2"/>'
    '<path d="M8 1a7 7 0 0 0 0 14z" fill="currentColor"/>',
    Verdict.FAILS: '<path d="M1 1h14v14h-14z" fill="none" stroke="currentColor" stroke-width="2"/>'
    '<path d="M4 4l8 8M12 4l-8 8" stroke="currentColor" stroke-width="2.4"/>',
}


def safe(text: object) -> str:
    """`text` for HTML: markup escaped, what no page may contain replaced.

    >>> safe("a < b & c")
    'a &lt; b &amp; c'
    """
    return escape(printable(str(text)))


def mark(verdict: Verdict) -> str:
    """A verdict as its shape and its word."""
    shape = f'<svg viewBox="0 0 16 16" aria-hidden="true">{_MARKS[verdict]}</svg>'
    return f'<span class="verdict {verdict.value}">{shape}{verdict.value}</span>'


def bullets(items: Iterable[str], css: str = "") -> str:
    """A list of plain texts; nothing for no item."""
    rows = "".join(f"<li>{safe(item)}</li>" for item in items)
    attribute = f' class="{css}"' if css else ""
    return f"<ul{attribute}>{rows}</ul>" if rows else ""


def document(title: str, body: str, *styles: str) -> str:
    """A whole document with its style sheets inside, nothing to fetch and nothing to run."""
    style = "".join(_style(name) for name in styles)
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f'<title>{safe(title)}</title>\n<link rel="icon" href="data:,">\n<style>\n{style}</style>\n</head>\n'
        f"<body>\n{body}\n</body>\n</html>\n"
    )


@cache
def _style(name: str) -> str:
    return files("fitcheck.report").joinpath(f"{name}.css").read_text(encoding="utf-8")
