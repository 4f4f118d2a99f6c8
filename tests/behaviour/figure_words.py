"""The words of a figure: what they say, where they lie, and what lies on them."""

import functools
import itertools

from matplotlib.axes import Axes
from matplotlib.colors import to_rgba
from matplotlib.text import Text

from fitcheck.report.figures.svg import settings


def texts(ax):
    """The texts of a figure that are seen, as they are drawn."""
    return [t for t in ax.figure.figure.findobj(Text) if t.get_text().strip() and t.get_visible()]


def words(ax) -> list[str]:
    """Every text of a figure."""
    return [t.get_text() for t in ax.figure.findobj(Text) if t.get_text() and t.get_visible()]


@functools.cache
def placed(ax):
    """Each text of a figure with its box in points, once all is laid out."""
    figure = ax.figure.figure
    with settings():
        figure.draw_without_rendering()
        # An annotation's own box would include its arrow.
        found = [(t, Text.get_window_extent(t)) for t in texts(ax)]
    hidden = set(_never_drawn(figure))
    return [(text, tuple(box.extents * 72 / figure.dpi)) for text, box in found if text not in hidden]


def _never_drawn(figure):
    """Numbers outside their axis, which are made all the same, and those of axes that are off."""
    for axes in figure.findobj(Axes):
        for axis, (low, high) in ((axes.xaxis, sorted(axes.get_xlim())), (axes.yaxis, sorted(axes.get_ylim()))):
            room = 1e-9 * (high - low)
            for tick in (*axis.get_major_ticks(), *axis.get_minor_ticks()):
                if not axes.axison or not low - room <= tick.get_loc() <= high + room:
                    yield from (tick.label1, tick.label2)


def boxes(ax) -> dict[str, tuple[float, float, float, float]]:
    """Where each text of a figure lies, in points."""
    return {f"{t.get_text()} @ {box[0]:.0f} {box[1]:.0f}": box for t, box in placed(ax)}


def on_each_other(ax) -> list[tuple[str, str]]:
    """Texts of which one lies on another by more than a point."""
    return [
        (one, other)
        for (one, a), (other, b) in itertools.combinations(boxes(ax).items(), 2)
        if min(min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])) >= 1
    ]


def under_lines(ax) -> list[str]:
    """Texts, without a ground of their own to be read on, that a line of their axes goes through."""
    figure, found = ax.figure.figure, []
    for text, box in placed(ax):
        if text.axes is None or text.get_bbox_patch() is not None:
            continue
        inner = [side * figure.dpi / 72 for side in (box[0] + 1, box[1] + 2, box[2] - 1, box[3] - 2)]
        for axes in figure.findobj(Axes):
            for line in axes.get_lines():
                path = line.get_transform().transform_path(line.get_path())
                if line.get_linestyle() != "None" and to_rgba(line.get_color())[3] > 0 and _crosses(path, inner):
                    found.append(text.get_text())
    return found


def _crosses(path, box) -> bool:
    from matplotlib.transforms import Bbox

    return bool(path.intersects_bbox(Bbox([box[:2], box[2:]]), filled=False))
