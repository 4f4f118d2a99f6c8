"""A chassis in its tube as a chart of fits: where bore and chassis may lie, and the shafts that are offered."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitcheck.printed import span
from fitcheck.questions.sliding_fit.findings import FitZones, Zone
from fitcheck.report.figures.drafting import (
    BLUE,
    GREY,
    INK,
    ORANGE,
    PALE,
    PALE_BLUE,
    PALE_ORANGE,
    SMALL,
    drafted,
    new_axes,
)
from fitcheck.units import MM, Unit

if TYPE_CHECKING:
    from matplotlib.axes import Axes


@drafted
def chassis_fit(drawing: FitZones, ax: Axes | None = None, unit: Unit = MM, *, decimals: int | None = None) -> Axes:
    """Draw the zones of bore and chassis beside each other on one scale of diameters, in `unit`; play in words.

    The shafts of the fits that are offered stand beside them. Where the zones overlap, the chassis can bind. decimals:
    of the play, as the finding says it.
    """
    if ax is None:
        ax = new_axes(202)
        ax.set_position((0.17, 0.26, 0.80, 0.70))
    shown = unit.from_base
    looks = ((drawing.bore, PALE, INK), (drawing.chassis, PALE_BLUE, BLUE))
    offered = [(zone, "white", GREY) for zone in drawing.offered]
    everything: list[tuple[Zone, str, str]] = [*looks, *offered]
    for i, (zone, face, edge) in enumerate(everything):
        low, high = shown(zone.low), shown(zone.high)
        ax.bar(i, high - low, bottom=low, width=0.62, fc=face, ec=edge, lw=1.1, zorder=3)
        ax.plot(
            [i - 0.31, i + 0.31], [low, low], color=edge, lw=1.1, zorder=3
        )  # of a zone that is no taller than a line
    least, most = drawing.play
    binds = least < 0
    if binds:
        low, high = shown(drawing.bore.low), shown(drawing.chassis.high)
        ax.axhspan(low, high, fc=PALE_ORANGE, ec=ORANGE, hatch="////", lw=0, zorder=1)
    ends = [shown(end) for zone, _, _ in everything for end in (zone.low, zone.high)]
    room = max(max(ends) - min(ends), 10.0**-unit.decimals)
    ax.set_ylim(min(ends) - 0.08 * room, max(ends) + 0.12 * room)
    ax.set_xlim(-0.6, len(everything) - 0.4)
    ax.set_xticks(range(len(everything)), [zone.name for zone, _, _ in everything])
    ax.tick_params(axis="x", length=0)
    ax.ticklabel_format(axis="y", useOffset=False)
    ax.set_ylabel(f"diameter, {unit.text}", fontsize=SMALL, labelpad=2)
    words = f"play {span(least, most, unit, decimals)}" + ("; hatched: it binds" if binds else "")
    if drawing.offered:
        words += "\nwhite: shafts of fits that slide, for this bore"
    ax.set_xlabel(words, fontsize=SMALL, labelpad=4)
    for side in ("top", "right"):
        ax.spines[side].set_visible(False)
    return ax
