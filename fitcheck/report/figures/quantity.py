"""Where a quantity can lie, how it is spread, and what drives it: the figures every finding has."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import numpy as np

from fitcheck.errors import InputError
from fitcheck.printed import Says, printed
from fitcheck.questions.finding import Finding, Requirement, Shape, Verdict
from fitcheck.report.figures.drafting import (
    BLUE,
    INK,
    ORANGE,
    PALE,
    PALE_BLUE,
    PALE_ORANGE,
    SMALL,
    WIDTH,
    drafted,
    new_axes,
)
from fitcheck.report.summary import shortened
from fitcheck.units import MM, FloatArray, Unit

if TYPE_CHECKING:
    from matplotlib.axes import Axes


@drafted
def where(finding: Finding, ax: Axes | None = None) -> Axes:
    """Draw where the quantity of a finding can lie: worst case, interval and nominal, and what is required.

    What the requirement excludes is hatched. Over a finding that does not hold at worst case stands the density of its
    quantity, since there it matters how much of it lies beyond the limit.
    """
    shown = finding.unit.from_base
    rows: list[tuple[str, Any, Any]] = [
        ("worst case", shown(finding.worst_case.min), shown(finding.worst_case.max)),
        (f"{100 * finding.confidence:.6g} %", shown(finding.interval.min), shown(finding.interval.max)),
    ]
    nominal = shown(finding.nominal)
    limits = _limits(finding.requirement)
    over = None if finding.verdict is Verdict.HOLDS else finding.shape
    top = 1.6 if over is None else 3.9  # one row of a bar is 1
    if ax is None:
        high = 28 / 2.2 * (top + 0.6)
        ax = new_axes(high + 32)
        ax.set_position((58 / WIDTH, 18 / (high + 32), 1 - 70 / WIDTH, high / (high + 32)))
    _scale_axis(
        ax, [x for _, low, high in rows for x in (low, high)] + [nominal, *(shown(limit) for limit in limits.values())]
    )
    _excluded(ax, limits, finding.unit, finding.decimals)
    for y, (_, low, high), face, thick in zip((1, 0), rows, ("white", PALE_BLUE), (0.5, 0.5), strict=True):
        ax.barh(y, high - low, left=low, height=thick, fc=face, ec=BLUE, lw=1.1, zorder=3)
        ax.plot([low, low, np.nan, high, high], [y - 0.25, y + 0.25, np.nan, y - 0.25, y + 0.25], color=BLUE, lw=1.1)
    names = [name for name, _, _ in rows]
    ax.plot([nominal, nominal], [-0.5, top - 0.1], color=INK, lw=1.2, zorder=4)
    if over is not None:
        base, (x, dense) = 1.7, map(np.array, over)
        _hill(ax, x, base + (top - base - 0.15) * dense / dense.max(), limits, finding.unit, base)
        names = ["spread", *names]
    ax.set_ylim(-0.6, top)
    ax.set_yticks([2.5, 1, 0][-len(names) :], names)
    ax.tick_params(axis="y", length=0)
    _own_axis(ax, finding.unit)
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
    if ax is None:
        ax = new_axes(120)
        ax.set_position((12 / WIDTH, 20 / 120, 1 - 36 / WIDTH, 82 / 120))
    _scale_axis(ax, [*unit.from_base(x[[0, -1]]), *(unit.from_base(limit) for limit in limits.values())])
    _hill(ax, x, dense, limits, unit)
    if nominal is not None:
        ax.plot([unit.from_base(nominal)] * 2, [0, dense.max()], color=INK, lw=1.2, zorder=4)
    ax.set_ylim(0, dense.max() * 1.12)
    _excluded(ax, limits, unit)
    ax.set_yticks([])
    _own_axis(ax, unit)
    return ax


def _hill(ax: Axes, x: FloatArray, y: FloatArray, limits: dict[str, float], unit: Unit, base: float = 0.0) -> None:
    """A density over `base`, hatched where the limits are missed."""
    shown = unit.from_base(x)
    ax.fill_between(shown, base, y, fc=PALE_BLUE, ec=BLUE, lw=1.1, zorder=3)
    misses = np.zeros(len(x), dtype=bool)
    for word, limit in limits.items():
        misses |= x < limit if word == "at least" else x > limit
    ax.fill_between(shown, base, y, where=misses, fc=PALE_ORANGE, ec=ORANGE, hatch="////", lw=1.1, zorder=3.5)


@drafted
def drivers(finding: Finding, ax: Axes | None = None, most: int = 8) -> Axes:
    """Draw the shares of the variance and of the worst case that each dimension has, the largest on top."""
    table = finding.drivers[:most]
    height = 30.0 + 24 * max(len(table), 1)
    if ax is None:
        names = 6 + 4.9 * max((min(len(d.called), 40) for d in table), default=10)
        wide = max(WIDTH, names + 160)  # names are whole, and there is room for the bars beside them
        ax = new_axes(height, wide)
        ax.set_position((names / wide, 24 / height, 1 - (names + 30) / wide, 1 - 30 / height))
    places = np.arange(len(table))[::-1]
    rows: tuple[tuple[float, list[float], dict[str, Any]], ...] = (
        (0.2, [100 * d.variance_share for d in table], {"fc": BLUE, "ec": BLUE, "label": "of the variance"}),
        (
            -0.2,
            [100 * d.worst_case_share for d in table],
            {"fc": PALE_ORANGE, "ec": ORANGE, "hatch": "////", "label": "of the worst case"},
        ),
    )
    for offset, shares, look in rows:
        ax.barh(places + offset, shares, height=0.36, lw=0.7, **look)
        for y, share in zip(places + offset, shares, strict=True):
            ax.text(share, y, f" {share:.0f} %", va="center", ha="left", fontsize=SMALL)
    ax.set_yticks(places, [shortened(d.called, 40) for d in table])
    ax.tick_params(axis="y", length=0)
    ax.set_xlim(0, 1.02 * max([share for _, shares, _ in rows for share in shares], default=100.0) or 100.0)
    ax.set_ylim(-0.6, max(len(table), 1) - 0.4)
    ax.set_xticks([])
    for side in ("top", "right", "bottom"):
        ax.spines[side].set_visible(False)
    if table:
        ax.legend(loc="upper left", bbox_to_anchor=(0, 0), ncols=2, frameon=False, fontsize=SMALL, borderaxespad=0.3)
    else:
        ax.text(0, 0, " nothing varies", va="center", fontsize=SMALL)
    return ax


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


def _excluded(ax: Axes, limits: dict[str, float], unit: Unit, decimals: int | None = None) -> None:
    """Hatch what the limits exclude, and name each limit above the axes."""
    for word, inside in limits.items():
        limit = unit.from_base(inside)
        edge = ax.get_xlim()[0 if word == "at least" else 1]
        ax.axvspan(*sorted((edge, limit)), fc=PALE, ec="#9aa0a6", hatch="////", lw=0, zorder=0)
        ax.axvline(limit, color=ORANGE, lw=1.6, zorder=2)
        if len(limits) == 2:  # they may be close together, so their names lead away from each other
            side = "right" if word == "at least" else "left"
        else:
            low, high = ax.get_xlim()
            side = "left" if limit < (low + high) / 2 else "right"
        ax.annotate(
            f"{word} {printed(_SAYS[word], inside, unit, decimals, bare=True)}",
            (limit, 1),
            xycoords=("data", "axes fraction"),
            xytext=(0, 2),
            textcoords="offset points",
            ha=side,
            va="bottom",
            fontsize=SMALL,
            color=ORANGE,
        )


def _own_axis(ax: Axes, unit: Unit) -> None:
    """Nothing around the figure but the axis of the quantity, its unit before the first number."""
    for side in ("top", "left", "right"):
        ax.spines[side].set_visible(False)
    low, high = ax.get_xlim()
    ax.locator_params(axis="x", nbins=6 if max(abs(low), abs(high)) < 1e4 else 4)
    edge = 0.05 * (high - low)  # a number nearer to an end would run out of the axis
    ticks = [tick for tick in ax.get_xticks() if low + edge <= tick <= high - edge]
    if len(ticks) < 2:  # one number is no scale
        ticks = [float(f"{low + part * (high - low):.3g}") for part in (0.15, 0.85)]
    ax.set_xticks(ticks)
    ax.annotate(
        unit.text,
        (0, 0),
        xycoords="axes fraction",
        xytext=(-10, -4),
        textcoords="offset points",
        ha="right",
        va="top",
        fontsize=SMALL,
    )
