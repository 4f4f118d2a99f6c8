"""What everything that is spread has in common: it shows and plots itself."""

from __future__ import annotations

from typing import Any

from fitcheck.keywords import keywords_named
from fitcheck.later import from_above
from fitcheck.shown import Shown


class Plotted(Shown):
    """A dimension, a sum, a response, a distribution or a spread."""

    __slots__ = ()

    @keywords_named
    def plot(self, ax: Any = None, *, below: Any = None, above: Any = None) -> Any:
        """How it is spread, with its tails, as matplotlib axes: see `fitcheck.report.figures.density`.

        ax: axes to draw on; some of its own without. below, above: limits, numbers in mm (in the inside unit of its
        kind), quantities or texts with their unit, which what is shown in another unit needs; what lies beyond is
        hatched and its probability written. Raises `InputError` for what does not vary, `UnitError` for a limit of
        another kind.
        """
        return from_above["density"](self, ax, below, above)
