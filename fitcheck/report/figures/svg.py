"""A figure as SVG that can stand inside a page."""

from __future__ import annotations

import io
import re
import warnings
from html import escape
from typing import TYPE_CHECKING

from fitcheck.report.figures.drafting import settings
from fitcheck.report.summary import printable

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_ID = re.compile(r'\sid="([^"]*)"')
_USE = re.compile(r'(url\(#|href="#)([^")]+)')


def svg(ax: Axes, name: str, description: str) -> str:
    """The figure of `ax` as an SVG element with text as text.

    The same figure gives the same text. Ids that nothing refers to are dropped and the others start with `name`, so
    that figures with different names can share a page. `description` is what a reader who cannot see it is told.
    """
    from matplotlib.text import Text

    buffer = io.StringIO()
    whole = ax.figure.figure
    for words in whole.findobj(Text):
        words.set_text(printable(words.get_text()))
    with settings(), warnings.catch_warnings():
        # The font used for measuring may lack a letter of a part's name; the reader's own font then shows it.
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        whole.savefig(
            buffer,
            format="svg",
            bbox_inches="tight",
            pad_inches=0.03,
            metadata=dict.fromkeys(("Date", "Creator", "Format", "Type")),
        )
    text = buffer.getvalue()
    text = text[text.index("<svg") :].strip()
    text = re.sub(r"<metadata>.*?</metadata>\s*", "", text, flags=re.DOTALL)
    used = {match[2] for match in _USE.finditer(text)}
    text = _ID.sub(lambda m: f' id="{name}-{m[1]}"' if m[1] in used else "", text)
    text = _USE.sub(rf"\1{name}-\2", text)
    return text.replace("<svg", f'<svg role="img" aria-label="{escape(printable(description))}"', 1)
