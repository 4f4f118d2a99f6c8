"""Where a quantity can lie, and how it is spread: the figures every finding has."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import numpy as np

from fitcheck.errors import InputError
from fitcheck.printed import Says, printed
from fitcheck.questions.finding import Finding, Requirement, Shape, Verdict
from fitcheck.report.figures.drafting import (
    BLUE,
    INK,
    LINE,
    ORANGE,
    PALE,
    PALE_BLUE,
    PALE_ORANGE,
    SMALL,
    WIDTH,
    density_label,
    drafted,
    new_axes,
    numbers_along,
    readable,
    with_unit,
)
from fitcheck.units import MM, FloatArray, Unit

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_LETTERS = 50
"""Letters in a line below a figure."""
_BEFORE, _BESIDE = 58.0, 70.0
"""Points left of a strip, for the names of its rows, and on both sides together."""


@drafted
def where(finding: Finding, ax: Axes | None = None) -> Axes:
    """Draw where the quantity of a finding can lie: worst case, interval and nominal, and what is required.

    What the requirement excludes is hatched. Over a finding that does not hold at worst case stands the density of its
    quantity, since there it matters how much of it lies beyond the limit.
    """
    unit = readable(finding.unit, *finding.worst_case, finding.nominal)
    shown = unit.from_base
    rows: list[tuple[str, Any, Any]] = [
        ("worst case", shown(finding.worst_case.min), shown(finding.worst_case.max)),
        (f"{100 * finding.confidence:.6g} %", shown(finding.interval.min), shown(finding.interval.max)),
    ]
    nominal = shown(finding.nominal)
    limits = _limits(finding.requirement)
    over = None if finding.verdict is Verdict.HOLDS else finding.shape
    top = 1.6 if over is None else 3.9  # one row of a bar is 1
    *about, last = with_unit(finding.quantity, unit).split()
    lines = textwrap.wrap(" ".join(about) + "\N{NO-BREAK SPACE}" * bool(about) + last, _LETTERS)
    found = f"worst case {finding.span(finding.worst_case)}"
    risk = [] if over is None else [f"risk of missing it {finding.risk_value}"]
    lines += [one] if len(one := "; ".join([found, *risk])) <= _LETTERS else [found, *risk]
    if ax is None:
        high, above, below = 28 / 2.2 * (top + 0.6), 2 + LINE * len(limits), 18 + LINE * len(lines)
        total = high + above + below
        ax = new_axes(total)
        ax.set_position((_BEFORE / WIDTH, below / total, 1 - _BESIDE / WIDTH, high / total))
    _scale_axis(
        ax, [x for _, low, high in rows for x in (low, high)] + [nominal, *(shown(limit) for limit in limits.values())]
    )
    _excluded(ax, limits, unit, finding.unit, finding.decimals)
    for y, (_, low, high), face, thick in zip((1, 0), rows, ("white", PALE_BLUE), (0.5, 0.5), strict=True):
        ax.barh(y, high - low, left=low, height=thick, fc=face, ec=BLUE, lw=1.1, zorder=3)
        ax.plot([low, low, np.nan, high, high], [y - 0.25, y + 0.25, np.nan, y - 0.25, y + 0.25], color=BLUE, lw=1.1)
    names = [name for name, _, _ in rows]
    ax.plot([nominal, nominal], [-0.5, top - 0.1], color=INK, lw=1.2, zorder=4)
    if over is not None:
        base, (x, dense) = 1.7, map(np.array, over)
        _hill(ax, x, base + (top - base - 0.15) * dense / dense.max(), limits, unit, base)
        names = ["spread", *names]
    ax.set_ylim(-0.6, top)
    ax.set_yticks([2.5, 1, 0][-len(names) :], names)
    ax.tick_params(axis="y", length=0)
    _own_axis(ax, "\n".join(lines))
    return ax


@drafted
def spread(
    shape: Shape | None,
    requirement: Requirement | None = None,
    ax: Axes | None = None,
    *,
    unit: Unit = MM,
    nominal: float | None = None,
) -> Axes:
    """Draw how a quantity is spread, `fitcheck.questions.shape.shape(quantity)` or the `shape` of a finding, in `unit`.

    With the nominal and what is required where they are given, in the inside unit. Raises `InputError` for a quantity
    that does not vary, which has no shape.
    """
    if not isinstance(shape, Shape):
        raise InputError(f"spread of {shape!r}: the shape of a quantity that varies is needed")
    x, dense = map(np.array, shape)
    limits = _limits(requirement) if requirement else {}
    stated, unit = unit, readable(unit, *x[[0, -1]])
    if ax is None:
        total = 124.0 + LINE * len(limits)
        ax = new_axes(total)
        ax.set_position((48 / WIDTH, 36 / total, 1 - 60 / WIDTH, 86 / total))
    _scale_axis(ax, [*unit.from_base(x[[0, -1]]), *(unit.from_base(limit) for limit in limits.values())])
    dense = dense * unit.scale
    _hill(ax, x, dense, limits, unit)
    if nominal is not None:
        ax.plot([unit.from_base(nominal)] * 2, [0, dense.max()], color=INK, lw=1.2, zorder=4)
    ax.set_ylim(0, dense.max() * 1.12)
    _excluded(ax, limits, unit, stated)
    ax.locator_params(axis="y", nbins=4)
    ax.set_ylabel(density_label(unit), fontsize=SMALL, labelpad=2)
    _own_axis(ax, with_unit("nominal dark; what misses the limits hatched" if limits else "value", unit), left=True)
    return ax


def _hill(ax: Axes, x: FloatArray, y: FloatArray, limits: dict[str, float], unit: Unit, base: float = 0.0) -> None:
    """A density over `base`, hatched where the limits are missed."""
    shown = unit.from_base(x)
    ax.fill_between(shown, base, y, fc=PALE_BLUE, ec=BLUE, lw=1.1, zorder=3)
    misses = np.zeros(len(x), dtype=bool)
    for word, limit in limits.items():
        misses |= x < limit if word == "at least" else x > limit
    ax.fill_between(shown, base, y, where=misses, fc=PALE_ORANGE, ec=ORANGE, hatch="////", lw=1.1, zorder=3.5)


_SAYS = {"at least": Says.AT_LEAST, "at most": Says.AT_MOST}


def _limits(requirement: Requirement) -> dict[str, float]:
    """The limits that a requirement has, in the inside unit."""
    both = {"at least": requirement.at_least, "at most": requirement.at_most}
    return {word: limit for word, limit in both.items() if limit is not None}


def _scale_axis(ax: Axes, values: Iterable[float]) -> None:
    """Limits of the axis that show all `values` with room beside them."""
    values = list(values)
    low, high = min(values), max(values)
    room = 0.12 * (high - low) or 0.1 * abs(high) or 1.0
    ax.set_xlim(low - room, high + room)


def _excluded(ax: Axes, limits: dict[str, float], unit: Unit, stated: Unit, decimals: int | None = None) -> None:
    """Hatch what the limits exclude, and name each limit above the axes, in the unit and words of the requirement."""
    low, high = ax.get_xlim()
    for row, (word, inside) in enumerate(limits.items()):
        limit = unit.from_base(inside)
        edge = low if word == "at least" else high
        ax.axvspan(*sorted((edge, limit)), fc=PALE, ec="#9aa0a6", hatch="////", lw=0, zorder=0)
        ax.axvline(limit, color=ORANGE, lw=1.6, zorder=2)
        text = f"{word} {printed(_SAYS[word], inside, stated, decimals)}"
        side = "left" if limit < (low + high) / 2 else "right"
        if len(limits) == 2:
            # The second name stands over the first, since they may be close together, and its line leads up to it; the
            # first keeps clear of that line where there is room.
            room = _BEFORE + (WIDTH - _BESIDE) * (limit - low) / (high - low)
            side = "right" if row or 5.2 * len(text) <= room else "left"
        where: dict[str, Any] = {"xycoords": ("data", "axes fraction"), "textcoords": "offset points"}
        if row:
            line = {"arrowstyle": "-", "color": ORANGE, "lw": 1.6, "shrinkA": 0, "shrinkB": 0}
            ax.annotate("", (limit, 1), xytext=(0, LINE * row + 10), arrowprops=line, **where)
        ax.annotate(
            text,
            (limit, 1),
            xytext=(-3 if len(limits) == 2 and side == "right" else 0, 2 + LINE * row),
            ha=side,
            va="bottom",
            fontsize=SMALL,
            color=ORANGE,
            **where,
        )


def _own_axis(ax: Axes, words: str, *, left: bool = False) -> None:
    """Nothing around the figure but the axis of the quantity, with its name; `left` keeps the axis of densities."""
    for side in ("top", "right") if left else ("top", "left", "right"):
        ax.spines[side].set_visible(False)
    numbers_along(ax, WIDTH - _BESIDE)
    ax.set_xlabel(words, fontsize=SMALL, labelpad=2)
