"""Strip torque against hand torque, short threads against their tests, and several pitches in one wall."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from fitcheck.questions.finding import Shape
from fitcheck.questions.set_screw.compare import PitchTable
from fitcheck.questions.set_screw.findings import StripDrawing
from fitcheck.questions.set_screw.torque_limits import Gives, down
from fitcheck.questions.short_threads import strip_chart
from fitcheck.report.figures.drafting import (
    BLUE,
    GREY,
    INK,
    ORANGE,
    PALE,
    PALE_BLUE,
    PALE_ORANGE,
    SMALL,
    density_label,
    drafted,
    new_axes,
    with_unit,
)
from fitcheck.units import MM, Unit

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_BARE = ("top", "right")
_BOTH = 384.0
"""Points that both figures of a strip risk take, one over the other, each with its legend below."""
_TALLEST_HILL = 6.0
"""Times the lower of two hills that the higher one is drawn, at the most: all of it would flatten the lower."""


@drafted
def strip_risk(drawing: StripDrawing, ax: Axes | None = None, unit: Unit = MM, *, risk: str = "") -> Axes:
    """Draw strip torque against hand torque, and below it the threads in the wall against tests and textbook.

    `unit` is that of lengths and is not used: torques are shown in the unit of the hand torque. risk: the probability
    that the thread strips, in words, to be said beside it.
    """
    if ax is None:
        ax = new_axes(_BOTH)
    ax.set_axis_off()
    torques(drawing, ax.inset_axes((0.15, 272 / _BOTH, 0.81, 96 / _BOTH)), risk=risk)
    short_threads(drawing.threads, ax.inset_axes((0.15, 90 / _BOTH, 0.81, 96 / _BOTH)))
    return ax


@drafted
def torques(drawing: StripDrawing, ax: Axes | None = None, *, risk: str = "") -> Axes:
    """Draw the densities of strip torque and hand torque, and what safe and textbook are.

    A hand torque that does not vary is a line. One so narrow that nothing would be seen of the strip torque beside it
    runs out of the figure, and its name says so. risk: the probability that the thread strips, in words, to be said
    beside it.
    """
    used, spreads = drawing.unit, drawing.spreads()
    shown, show = used.from_base, used.show
    right = 1.05 * shown(max(spreads.most, drawing.textbook))
    if ax is None:
        ax = new_axes(170)
        ax.set_position((0.15, 0.36, 0.81, 0.54))
    drawn: list[tuple[str, Shape, dict[str, Any]]] = [
        (name, one, look)
        for name, one, look in (
            ("strips the thread", spreads.borne, {"fc": PALE_BLUE, "ec": BLUE}),
            ("the hand turns with", spreads.put_on, {"fc": PALE_ORANGE, "ec": ORANGE, "hatch": "////"}),
        )
        if one is not None
    ]
    peaks = [used.scale * max(one.heights) for _, one, _ in drawn]
    top = min(max(peaks, default=1.0), _TALLEST_HILL * min(peaks, default=1.0))
    for (name, one, look), peak in zip(drawn, peaks, strict=True):
        label = name if peak <= top else f"{name}, higher than drawn"
        x, dense = shown(np.array(one.places)), used.scale * np.array(one.heights)
        ax.fill_between(x, 0, dense, lw=1.0, alpha=0.85, label=label, zorder=3, **look)
    if spreads.put_on is None:
        label = f"the hand turns with {show(spreads.put_on_at)}"
        ax.axvline(shown(spreads.put_on_at), color=ORANGE, lw=2.2, zorder=4, label=label)
    ax.axvline(shown(drawing.safe), color=INK, lw=1.6, zorder=4, label=f"safe {down(used, drawing.safe)}")
    textbook = f"textbook {show(drawing.textbook)}"
    ax.axvline(shown(drawing.textbook), color=GREY, lw=1.2, ls=(0, (4, 2)), zorder=4, label=textbook)
    for limit, style in zip(
        (one for one in drawing.limits if one.kind in (Gives.KEY, Gives.SOCKET)), (":", "-."), strict=False
    ):
        if shown(limit.torque) < right:
            name = f"{limit.kind} {show(limit.torque)}"
            ax.axvline(shown(limit.torque), color=BLUE, lw=1.1, ls=style, zorder=4, label=name)
    if risk:
        ax.text(1, 1.03, f"risk of stripping {risk}", transform=ax.transAxes, ha="right", va="bottom", fontsize=SMALL)
    ax.set_xlim(0, right)
    ax.set_ylim(0, 1.08 * top)
    ax.locator_params(axis="x", nbins=6)
    ax.locator_params(axis="y", nbins=4)
    ax.set_xlabel(with_unit("torque on the key", used), fontsize=SMALL, labelpad=2)
    ax.set_ylabel(density_label(used), fontsize=SMALL, labelpad=2)
    _bare(ax, _BARE)
    _named(ax, -0.36, left=-0.17)
    return ax


@drafted
def short_threads(threads: tuple[float, float, float] | None = None, ax: Axes | None = None) -> Axes:
    """Draw pull-out tests over the textbook load against threads in the wall, with the model and its 90 % band.

    threads: worst, nominal and best number of threads of a joint, to be marked.
    """
    if ax is None:
        ax = new_axes(190)
        ax.set_position((0.15, 0.36, 0.81, 0.58))
    right = max(7.8, 1.05 * threads[-1] if threads else 0.0)
    chart = strip_chart(right)
    ax.fill_between(chart.threads, chart.low, chart.high, fc=PALE_BLUE, ec="none", zorder=1, label="nine tests in ten")
    ax.plot(chart.threads, chart.middle, color=BLUE, lw=1.6, zorder=3, label="model")
    ax.axhline(1.0, color=GREY, lw=1.2, ls=(0, (4, 2)), zorder=2, label="textbook")
    for metal, mark in (("aluminium", "o"), ("steel", "s")):
        x, y = zip(*chart.tests[metal], strict=True)
        ax.plot(x, y, mark, ms=3.4, mfc="white", mec=INK, mew=0.8, zorder=4, label=f"test, {metal}")
    if threads is not None:
        worst, nominal, best = threads
        ax.axvspan(worst, best, fc=PALE, ec="none", zorder=0, label="this wall, worst to best")
        ax.axvline(nominal, color=ORANGE, lw=1.6, zorder=2, label="this wall, nominal")
    ax.set_xlim(0, right)
    ax.set_ylim(0, 1.65)
    ax.set_xlabel("threads in the wall", fontsize=SMALL, labelpad=2)
    ax.set_ylabel("measured / textbook", fontsize=SMALL, labelpad=2)
    _bare(ax, _BARE)
    _named(ax, -0.34, left=-0.17)
    return ax


@drafted
def pitches(drawing: PitchTable, ax: Axes | None = None, unit: Unit = MM) -> Axes:
    """Draw the strip torque of several threads in one wall, and below it why they differ.

    The three factors (threads that hold, load a thread, torque for a newton) are those of each thread over the first;
    their product is the ratio of the strip torques. `unit` is that of lengths and is not used.
    """
    from matplotlib.ticker import FuncFormatter, NullLocator

    n = len(drawing)
    high = 46.0 + 19 * n
    total = 2 * high + 42
    if ax is None:
        ax = new_axes(total)
    ax.set_axis_off()
    bars = ax.inset_axes((0.28, (high + 74) / total, 0.68, (19 * n + 8) / total))
    why = ax.inset_axes((0.28, 56 / total, 0.68, (19 * n + 8) / total))
    shown, places = drawing.hand.unit.from_base, np.arange(n)[::-1]
    names = [row.screw for row in drawing]
    bars.axvspan(shown(drawing.hand.lower), shown(drawing.hand.upper), fc=PALE_ORANGE, ec=ORANGE, hatch="////", lw=0,
                 label="the hand turns with")  # fmt: skip
    for y, row in zip(places, drawing, strict=True):
        ends = shown(row.strip_low), shown(row.strip_high)
        first: dict[str, Any] = {} if y else {"label": "strips the thread"}
        bars.barh(y, ends[1] - ends[0], left=ends[0], height=0.5, fc=PALE_BLUE, ec=BLUE, lw=1.1, zorder=3, **first)
        bars.plot([shown(row.strip_torque)] * 2, [y - 0.25, y + 0.25], color=INK, lw=1.4, zorder=4)
    for values, mark, name in (
        ([row.safe_torque for row in drawing], "v", "safe"),
        ([row.textbook_torque for row in drawing], "D", "textbook"),
    ):
        bars.plot(shown(np.array(values)), places, mark, ms=4.5, mfc="white", mec=INK, mew=0.9, zorder=5, label=name)
    bars.set_xlim(0, None)
    bars.set_xlabel(f"torque on the key, {drawing.hand.unit.text}", fontsize=SMALL, labelpad=2)
    base = drawing[0]
    for factor, mark, colour, name in (
        ("effective_threads", "o", BLUE, "threads that hold"),
        ("load_per_thread", "s", ORANGE, "load a thread"),
        ("arm", "^", INK, "torque for one load"),
    ):
        if all(getattr(row, factor) > 0 for row in drawing):
            ratios = [getattr(row, factor) / getattr(base, factor) for row in drawing]
            why.plot(ratios, places, mark, ms=4.5, mfc="white", mec=colour, mew=1.2, zorder=4, label=name)
    why.axvline(1.0, color=GREY, lw=1.0, ls=(0, (4, 2)), zorder=2)
    why.set_xscale("log")
    why.set_xlim(min(0.62, why.get_xlim()[0]), max(1.62, why.get_xlim()[1]))
    low, top = why.get_xlim()
    why.set_xticks([tick for tick in (0.25, 0.4, 0.5, 0.7, 1.0, 1.4, 2.0, 2.5, 4.0) if low <= tick <= top])
    why.xaxis.set_minor_locator(NullLocator())
    why.xaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
    why.set_xlabel(f"times that of {base.screw}", fontsize=SMALL, labelpad=2)
    for panel in (bars, why):
        panel.set_ylim(-0.7, n - 0.3)
        panel.set_yticks(places, names)
        panel.tick_params(axis="y", length=0)
        _bare(panel, (*_BARE, "left"))
        _named(panel, -32 / (19 * n + 8), left=-0.38, columns=4)
    return ax


def _bare(ax: Axes, sides: tuple[str, ...]) -> None:
    for side in sides:
        ax.spines[side].set_visible(False)
    ax.tick_params(labelsize=SMALL)


def _named(ax: Axes, below: float, *, left: float, columns: int = 2) -> None:
    """The names of what is drawn, under the axis, two or three in a row."""
    ax.legend(
        loc="upper left",
        bbox_to_anchor=(left, below),
        ncol=columns,
        fontsize=SMALL,
        frameon=False,
        handlelength=1.4,
        columnspacing=1.0,
        labelspacing=0.25,
        borderaxespad=0.0,
        handletextpad=0.5,
    )
