"""The paper of every figure: its settings, axes of its own, and a figure as SVG for a page or a notebook.

A figure function takes `ax` or makes axes on a `Figure` of its own, never through pyplot: nothing is kept open, and no
setting of the session leaks in or out.
"""

from __future__ import annotations

import functools
import inspect
import io
import re
import warnings
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from html import escape
from typing import TYPE_CHECKING, Any, ParamSpec, TypeVar

from fitcheck.errors import InputError, brief
from fitcheck.report.colours import INK
from fitcheck.report.summary import printable

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.text import Text
    from matplotlib.transforms import Bbox

WIDTH = 270.0
"""Width of a figure in points: that of a phone, so that nothing is shrunk there until it cannot be read."""

TEXT = 9.0
SMALL = 8.5

_SETTINGS: dict[str, Any] = {
    "font.family": ["sans-serif"],
    "font.sans-serif": ["DejaVu Sans", "Verdana", "Arial", "Helvetica"],
    "font.size": TEXT,
    "text.color": INK,
    "text.parse_math": False,  # a part may be called "$5 washer"
    "text.usetex": False,
    "axes.edgecolor": INK,
    "axes.labelcolor": INK,
    "axes.linewidth": 0.7,
    "xtick.color": INK,
    "ytick.color": INK,
    "xtick.labelsize": SMALL,
    "ytick.labelsize": SMALL,
    "hatch.linewidth": 0.6,
    "svg.fonttype": "none",
    "svg.hashsalt": "fitcheck",
}

P = ParamSpec("P")
R = TypeVar("R")


@contextmanager
def settings() -> Iterator[None]:
    """matplotlib's own defaults with the settings above, whatever the session has set."""
    from matplotlib import style

    with style.context(["default", _SETTINGS]):
        yield


@contextmanager
def any_letters() -> Iterator[None]:
    """No warning of a letter that the font used for measuring lacks: the reader's own font then shows it."""
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        yield


def drafted(figure: Callable[P, R]) -> Callable[P, R]:
    """Run a figure function, of which one argument is `ax`, under `settings`."""
    place = list(inspect.signature(figure).parameters).index("ax")

    @functools.wraps(figure)
    def inside(*args: P.args, **kwargs: P.kwargs) -> R:
        ax = kwargs.get("ax", args[place] if len(args) > place else None)
        if ax is not None and not hasattr(ax, "fill_between"):
            raise InputError(f"ax = {brief(ax)}: matplotlib axes are needed, or none for some of its own")
        with settings():
            return figure(*args, **kwargs)

    return inside


_ID = re.compile(r'\sid="([^"]*)"')
_USE = re.compile(r'(url\(#|href="#)([^")]+)')


def svg(ax: Axes, name: str, description: str) -> str:
    """The figure of `ax` as an SVG element with text as text.

    The same figure gives the same text. Ids that nothing refers to are dropped and the others start with `name`, so
    that figures with different names can share a page; with none, by a number made of what is drawn. `description` is
    what a reader who cannot see it is told.
    """
    buffer = io.StringIO()
    whole = ax.figure.figure
    for words in _texts(whole):
        words.set_text(printable(words.get_text()))
    with settings(), any_letters():
        whole.savefig(
            buffer,
            format="svg",
            bbox_inches=_extent(whole).padded(0.03),
            metadata=dict.fromkeys(("Date", "Creator", "Format", "Type")),
        )
    text = buffer.getvalue()
    text = text[text.index("<svg") :].strip()
    text = re.sub(r"<metadata>.*?</metadata>\s*", "", text, flags=re.DOTALL)
    name = name or f"figure{zlib.crc32(text.encode()):08x}"
    used = {match[2] for match in _USE.finditer(text)}
    text = _ID.sub(lambda m: f' id="{name}-{m[1]}"' if m[1] in used else "", text)
    text = _USE.sub(rf"\1{name}-\2", text)
    return text.replace("<svg", f'<svg role="img" aria-label="{escape(printable(description))}"', 1)


def _texts(artist: Artist) -> Iterator[Text]:
    """The texts of a figure but for the numbers on its axes, which would be made only to be looked at."""
    from matplotlib.axis import Axis
    from matplotlib.text import Text

    for part in artist.get_children():
        if isinstance(part, Text):
            yield part
        elif isinstance(part, Axis):
            yield part.label
        else:
            yield from _texts(part)


def _extent(whole: Figure) -> Bbox:
    """What a figure takes up, in inches, as it will be drawn: `savefig` would draw all of it once more to find out."""
    from matplotlib.backends.backend_svg import RendererSVG

    dpi = whole.dpi
    whole.dpi = 72.0  # that of an SVG
    try:
        width, height = 72.0 * whole.get_size_inches()
        paper = RendererSVG(width, height, io.StringIO())  # type: ignore[no-untyped-call]
        return whole.get_tightbbox(paper)
    finally:
        whole.dpi = dpi


def new_axes(height: float, width: float = WIDTH) -> Axes:
    """Axes that fill a figure of their own; sizes in points. In a notebook they and their figure show as SVG."""
    from matplotlib.figure import Figure

    ax = Figure(figsize=(width / 72, height / 72)).add_axes((0.0, 0.0, 1.0, 1.0))
    for shown in (ax, ax.figure):
        shown._repr_svg_ = functools.partial(_in_a_notebook, ax)  # type: ignore[union-attr]
    return ax


def _in_a_notebook(ax: Axes) -> str:
    """The figure as SVG, told apart from those of other cells by what is drawn."""
    return svg(ax, "", ax.get_xlabel() or "figure")
