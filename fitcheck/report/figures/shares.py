"""What drives a quantity: the shares of its dimensions as bars."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from fitcheck.questions.finding import Finding
from fitcheck.report.figures.drafting import BLUE, ORANGE, PALE_ORANGE, SMALL, WIDTH, drafted, new_axes
from fitcheck.stack import Contribution, Index

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_NAME = 32
"""Letters in a line of a name."""
_AFTER = 36.0
"""Points after the longest bar, for its number."""


@drafted
def drivers(finding: Finding, ax: Axes | None = None, most: int = 8) -> Axes:
    """Draw the shares of the variance and of the worst case that each dimension has, the largest on top.

    most: bars before the rest, which is added up in one.
    """
    rows = finding.drivers
    return _shares(rows, ax, len(rows) if len(rows) == most + 1 else most)  # one more name says no less than "1 more"


@drafted
def shares(rows: Sequence[Contribution] | Sequence[Index], ax: Axes | None = None, most: int = 12) -> Axes:
    """Draw contributions or Sobol' indices, the largest on top; see `fitcheck.stack.share_figure`."""
    return _shares(rows, ax, most)


def _shares(rows: Sequence[Contribution] | Sequence[Index], ax: Axes | None, most: int) -> Axes:
    every: list[Any] = list(rows)
    columns = {"variance_share": "of the variance", "worst_case_share": "of the worst case"}
    if every and isinstance(every[0], Index):
        columns = {"total": "with all it acts with", "first": "alone"}
    shown, rest = every[:most], every[most:]
    names = [(row.called if isinstance(row, Contribution) else row.name) or "unnamed" for row in shown]
    names += [f"{len(rest)} more"] if rest else []
    values = {
        words: [100 * getattr(row, column) for row in shown]
        + ([100 * sum(getattr(row, column) for row in rest)] if rest else [])
        for column, words in columns.items()
    }
    return _bars(ax, [textwrap.fill(name, _NAME) for name in names], values)


def _bars(ax: Axes | None, names: Sequence[str], values: Mapping[str, Sequence[float]]) -> Axes:
    """Bars of percents, one of each of two kinds a name; names are whole, and figure and rows grow with them."""
    highest = max((value for row in values.values() for value in row), default=0.0)
    rows = [max(24.0, 11.0 * (name.count("\n") + 1) + 4) for name in names] if highest > 0 else [24.0]
    height = 30.0 + sum(rows)
    before = 0.0  # of the axes, how far left of them the names begin
    if ax is None:
        left = 8 + 5.2 * max((len(line) for name in names for line in name.splitlines()), default=10)
        wide = max(WIDTH, left + 160)
        before = (left - 4) / (wide - left - _AFTER)
        ax = new_axes(height, wide)
        ax.set_position((left / wide, 24 / height, 1 - (left + _AFTER) / wide, 1 - 30 / height))
    for side in ("top", "right", "bottom"):
        ax.spines[side].set_visible(False)
    ax.set_xticks([])
    ax.tick_params(axis="y", length=0)
    if not highest > 0:
        ax.set_yticks([])
        ax.text(0, 0.5, " nothing varies", va="center", fontsize=SMALL, transform=ax.transAxes)
        return ax
    ends = np.cumsum(rows)
    places = ends[-1] - ends + np.array(rows) / 2
    looks: tuple[tuple[float, dict[str, Any]], ...] = (
        (5.0, {"fc": BLUE, "ec": BLUE}),
        (-5.0, {"fc": PALE_ORANGE, "ec": ORANGE, "hatch": "////"}),
    )
    for (words, row), (offset, look) in zip(values.items(), looks, strict=True):
        ax.barh(places + offset, row, height=9.0, lw=0.7, label=words, **look)
        for y, value in zip(places + offset, row, strict=True):
            ax.text(max(value, 0.0), y, f" {value:.0f} %", va="center", ha="left", fontsize=SMALL)
    ax.set_yticks(places, names)
    # A share of correlated dimensions that work against each other can be below 0.
    ax.set_xlim(min(0.0, *(value for row in values.values() for value in row)), 1.02 * highest)
    ax.set_ylim(0, ends[-1])
    ax.legend(loc="upper left", bbox_to_anchor=(-before, 0), ncols=2, frameon=False, fontsize=SMALL, borderaxespad=0.3)
    return ax
