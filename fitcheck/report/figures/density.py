"""How a quantity is spread, with its tails, and how much of it lies outside two limits."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from fitcheck.errors import InputError, brief
from fitcheck.questions.shape import Tails
from fitcheck.report.colours import BLUE, GREY, INK, ORANGE, PALE_BLUE, PALE_ORANGE
from fitcheck.report.figures.drafting import SMALL, density_label, drafted, new_axes, numbers_along, with_unit
from fitcheck.report.summary import shortened
from fitcheck.units import FloatArray, Unit

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_WIDTH, _HIGH = 350.0, 150.0
_LEFT, _RIGHT, _TOP, _FOOT, _LINE = 46.0, 54.0, 8.0, 38.0, 13.0
_LOWEST = 1e-12  # of the right scale


@drafted
def density(found: Tails, ax: Axes | None = None) -> Axes:
    """Draw how a quantity is spread: its density, and over it, on the right scale, how likely it lies further out.

    The right scale counts by tens, so that the tails are seen. What lies beyond the limits is hatched, and its
    probability written. found: `fitcheck.questions.shape.tails(quantity, below, above)`. ax: to draw on; axes of its
    own without. `x.plot(below=, above=)` does both at once.
    """
    if not isinstance(found, Tails):
        raise InputError(f"density of {brief(found)}: the tails of a quantity that varies are needed")
    unit, drawn = found.unit, found.curve
    x, dense = unit.from_base(drawn.places), drawn.heights * unit.scale
    if ax is None:
        height = _TOP + _HIGH + _FOOT + _LINE * (4 + len(found.beyond)) + 4
        ax = new_axes(height, _WIDTH)
        ax.set_position((_LEFT / _WIDTH, 1 - (_TOP + _HIGH) / height, 1 - (_LEFT + _RIGHT) / _WIDTH, _HIGH / height))
    ax.fill_between(x, 0, dense, fc=PALE_BLUE, ec=BLUE, lw=1.1, label="density", zorder=2)
    for one in found.beyond:
        edge = unit.from_base(one.limit)
        beyond = np.sort(np.append(x[x < edge] if one.side == "below" else x[x > edge], edge))
        words = f"{one.side} {unit.exactly(one.limit, _places(unit, one.limit, drawn))}: {one.probability.said}"
        look: dict[str, Any] = {"fc": PALE_ORANGE, "ec": ORANGE, "hatch": "////", "lw": 1.1, "zorder": 3}
        ax.fill_between(beyond, 0, np.interp(beyond, x, dense), label=words, **look)
        ax.axvline(edge, color=ORANGE, lw=1.4, zorder=4)
    if found.nominal is not None:
        words = f"nominal {unit.exactly(found.nominal, _places(unit, found.nominal, drawn))}"
        ax.axvline(unit.from_base(found.nominal), color=INK, lw=1.2, label=words, zorder=4)
    if found.worst_case is not None:
        low, high = found.worst_case
        places = max(_places(unit, end, drawn) for end in (low, high))
        ends = f"{unit.down(low, places).partition(' ')[0]} to {unit.up(high, places)}"
        for end, label in ((low, f"worst case {ends}"), (high, None)):
            ax.axvline(unit.from_base(end), color=GREY, lw=1.0, ls=":", label=label, zorder=1)
    further = _further(ax, found, x)
    room = 0.02 * (x[-1] - x[0])  # what stands at an end would lie on the frame
    ax.set_xlim(float(x[0] - room), float(x[-1] + room))
    ax.set_ylim(0, 1.1 * float(dense.max()))
    numbers_along(ax, _WIDTH - _LEFT - _RIGHT)
    ax.locator_params(axis="y", nbins=5)
    ax.set_xlabel(with_unit(shortened(found.name, 60), unit))
    ax.set_ylabel(density_label(unit))
    ax.spines["top"].set_visible(False)
    (handles, labels), (line, name) = ax.get_legend_handles_labels(), further.get_legend_handles_labels()
    place: dict[str, Any] = {"loc": "upper left", "bbox_to_anchor": (-0.02, -_FOOT / _HIGH), "borderaxespad": 0}
    ax.legend([*handles, *line], [*labels, *name], frameon=False, fontsize=SMALL, **place)
    return ax


def _further(ax: Axes, found: Tails, x: FloatArray) -> Axes:
    """The tails on a scale by tens at the right: how likely the quantity lies further out than each place."""
    right = ax.twinx()
    right.set_yscale("log")
    nearer = np.minimum(found.curve.below, found.curve.above)
    nearer[~(nearer > 0)] = np.nan
    right.plot(x, nearer, color=INK, lw=1.0, ls="--", label="probability further out (right)")
    least = 1e-6
    for one in found.beyond:
        if one.probability > 0:
            right.plot(found.unit.from_base(one.limit), one.probability, "o", ms=4, color=ORANGE, zorder=5)
            least = min(least, max(one.probability / 3, _LOWEST))
    ticks = [10.0**k for k in range(0, math.floor(math.log10(least)) - 1, -1 if least > 1e-7 else -2)]
    right.set_yticks(ticks, [f"{one:g}" for one in ticks])
    right.set_ylim(least, 1.0)
    right.minorticks_off()
    right.set_ylabel("probability further out")
    right.spines["top"].set_visible(False)
    return right


def _places(unit: Unit, inside: float, drawn: Any) -> int:
    """Decimals enough to tell a value from the others along the curve."""
    return unit.decimals_of(*drawn.places[[0, -1]].tolist(), inside)
