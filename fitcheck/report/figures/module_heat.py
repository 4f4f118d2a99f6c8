"""How warm the module becomes over the length of slug that sits in its bore."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from fitcheck.questions.module_heat.findings import HeatOverContact
from fitcheck.report.figures.drafting import (
    BLUE,
    GREY,
    INK,
    ORANGE,
    PALE_BLUE,
    PALE_ORANGE,
    SMALL,
    drafted,
    new_axes,
    with_unit,
)
from fitcheck.units import MM, Unit

if TYPE_CHECKING:
    from matplotlib.axes import Axes


@drafted
def module_heat(drawing: HeatOverContact, ax: Axes | None = None, unit: Unit = MM) -> Axes:
    """Draw nominal and worst temperature of the module over the contact, lengths in `unit`, and what its limit leaves.

    Beside them stand the tube's temperature, this slug, and the shortest that keeps the limit where one does.
    """
    if ax is None:
        ax = new_axes(228)
        ax.set_position((0.15, 0.43, 0.82, 0.53))
    # The gap resists by one over the length, and so does the temperature between two places, nearly.
    places = np.linspace(drawing.lengths[0], drawing.lengths[-1], 121)
    between = [np.interp(-1 / places, -1 / np.array(drawing.lengths), row) for row in (drawing.nominal, drawing.worst)]
    lengths, warm, show = unit.from_base(places), drawing.degrees.from_base, drawing.degrees.show
    nominal, worst = (warm(row) for row in between)
    limit, around, tube = (float(warm(one)) for one in (drawing.limit, drawing.around, drawing.tube))
    ax.fill_between(lengths, nominal, worst, fc=PALE_BLUE, ec="none", zorder=2, label="to worst case")
    ax.plot(lengths, nominal, color=BLUE, lw=1.6, zorder=3, label="module, nominal")
    top = max(float(nominal.max()) + 0.08 * (limit - around), limit + 0.15 * (limit - around))
    ax.axhspan(limit, top, fc=PALE_ORANGE, ec=ORANGE, hatch="////", lw=0, zorder=1, label="over the limit")
    ax.axhline(limit, color=ORANGE, lw=1.4, zorder=4, label=f"limit {show(drawing.limit, 0)}")
    ax.axhline(tube, color=GREY, lw=1.2, ls=(0, (4, 2)), zorder=2, label=f"tube {show(drawing.tube, 0)}")
    ax.axvline(
        unit.from_base(drawing.contact), color=INK, lw=1.4, zorder=4, label=f"this slug {unit.show(drawing.contact)}"
    )
    if drawing.shortest is not None and drawing.shortest >= drawing.lengths[0]:
        name = f"shortest {unit.show(drawing.shortest)}"
        ax.axvline(unit.from_base(drawing.shortest), color=INK, lw=1.1, ls=":", zorder=4, label=name)
    ax.set_xlim(0, lengths[-1])
    ax.set_ylim(around, top)
    ax.set_xlabel(f"length of the slug in its bore, {unit.text}", fontsize=SMALL, labelpad=2)
    ax.set_ylabel(with_unit("module", drawing.degrees), fontsize=SMALL, labelpad=2)
    for side in ("top", "right"):
        ax.spines[side].set_visible(False)
    ax.legend(
        loc="upper left", bbox_to_anchor=(-0.16, -0.24), ncols=2, frameon=False, fontsize=SMALL, borderaxespad=0,
        handlelength=1.6, columnspacing=1.0,
    )  # fmt: skip
    return ax
