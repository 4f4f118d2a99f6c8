"""What every HTML of the report is made of: safe text, lists, marks of the verdicts, and the document around them."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from html import escape
from importlib.resources import files

from fitcheck.questions.finding import Verdict
from fitcheck.report.colours import SOFT, variables
from fitcheck.report.summary import printable

# A shape for each verdict, so that neither colour nor the word is needed to tell them apart: what fails is heaviest,
# solid with a cross; what is likely is half filled; what holds is a thin ring with a tick.
_MARKS = {
    Verdict.HOLDS: '<circle cx="8" cy="8" r="7.3" fill="#fff" stroke="currentColor" stroke-width="1.2"/>'
    '<path d="M4.5 8.3l2.6 2.6 4.4-5.6" fill="none" stroke="currentColor" stroke-width="1.3"/>',
    Verdict.LIKELY: '<circle cx="8" cy="8" r="7" fill="#fff" stroke="currentColor" stroke-width="1.8"/>'
    '<path d="M8 1a7 7 0 0 0 0 14z" fill="currentColor"/>',
    Verdict.FAILS: '<path d="M0 0h16v16H0z" fill="currentColor"/>'
    '<path d="M4 4l8 8M12 4l-8 8" stroke="#fff" stroke-width="2.6"/>',
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


def document(title: str, body: str, *styles: str, footing: str = "") -> str:
    """A whole document with its style sheets inside, nothing to fetch and nothing to run.

    footing: what stands at the foot of every sheet of paper, beside its number.
    """
    style = variables() + "".join(_style(name) for name in styles)
    if footing:
        style += _foot(footing)
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f'<title>{safe(title)}</title>\n<link rel="icon" href="data:,">\n<style>\n{style}</style>\n</head>\n'
        f"<body>\n{body}\n</body>\n</html>\n"
    )


def _foot(words: str) -> str:
    """The style of the foot of a sheet: what it belongs to, and page n of m."""
    # A sign that could end the text, the style or the element is told by its number.
    plain = "".join(f"\\{ord(sign):x} " if sign in '"\\<>&\n' else sign for sign in printable(words))
    font = f'font: 9pt "Helvetica Neue", Arial, "Liberation Sans", sans-serif; color: {SOFT}'
    return (
        f'@page {{ @bottom-left {{ content: "{plain}"; {font} }} '
        f'@bottom-right {{ content: "page " counter(page) " of " counter(pages); {font} }} }}\n'
    )


@cache
def _style(name: str) -> str:
    return files("fitcheck.report").joinpath(f"{name}.css").read_text(encoding="utf-8")
