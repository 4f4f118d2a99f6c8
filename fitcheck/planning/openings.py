"""What a plan may choose: sizes between two ends, and the marks that a ruler, a caliper or a driver has for them."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass

from fitcheck.shown import Shown
from fitcheck.stack import Dimension
from fitcheck.stack.synthesis import moved
from fitcheck.units import TORQUE

_MARKS = (50.0, 10.0, 5.0, 1.0, 0.5, 0.1)
"""Steps, in the last printed decimal: 0.5 mm of a ruler, then 0.1, 0.05 and 0.01 mm of a caliper, and finer."""


@dataclass(frozen=True, slots=True, repr=False)
class OpenSize(Shown):
    """A size that a plan chooses.

    name: of the part or input. part: the dimension that stands for it in the questions, with the tolerance that the
    bench holds. least, most: the nominals to choose between, in the inside unit of the part (mm, N·m). tool: what it is
    cut with, "" where its own note says the tolerance. now: the nominal as it is, in the inside unit; None where there
    is no such part yet.
    """

    name: str
    part: Dimension
    least: float
    most: float
    tool: str = ""
    now: float | None = None

    def at(self, nominal: float) -> Dimension:
        """The part with another nominal; the scatter of a torque grows with it, the tolerance of a length does not.

        nominal: in the inside unit (mm, N·m).
        """
        d = self.part
        if d.unit.kind is TORQUE and d.nominal > 0:
            sides = (d.upper - d.nominal, d.nominal - d.lower)
            plus, minus = (_up(float(d.unit.from_base(one * nominal / d.nominal))) for one in sides)
            plus, minus = float(d.unit.to_base(plus)), float(d.unit.to_base(minus))
            return dataclasses.replace(d, nominal=nominal, lower=nominal - minus, upper=nominal + plus)
        return moved(d, nominal)

    def marks(self, nominal: float) -> list[list[float]]:
        """The marks next to a nominal on both sides, within the two ends: a list for each step, the coarsest first.

        nominal: in the inside unit (mm, N·m).
        """
        unit = self.part.unit
        shown = float(unit.from_base(nominal))
        found = []
        for mark in _MARKS:
            step = mark * 10.0**-unit.decimals
            places = max(0, math.ceil(-math.log10(step) - 1e-9)) + (1 if mark in (50.0, 5.0, 0.5) else 0)
            down = math.floor(shown / step + 1e-9)
            near = sorted({round(down * step, places), round((down + 1) * step, places)}, key=lambda x: abs(x - shown))
            inside = [float(unit.to_base(x)) for x in near]
            found.append([x for x in inside if self.least - 1e-12 <= x <= self.most + 1e-12])
        return found

    def step(self, part: float) -> float:
        """The least step between marks that is no less than a part of the range; the part itself where marks are wider.

        A question that cuts to marks moves by as much, so that its rounding is no change of its margin. part: a
        fraction; the step is in the inside unit (mm, N·m).
        """
        unit, wide = self.part.unit, self.most - self.least
        coarse, usual, *finer = (float(unit.to_base(mark * 10.0**-unit.decimals)) for mark in _MARKS)
        return next((one for one in (usual, coarse, *finer) if part * wide <= one <= wide / 4), part * wide)

    def on_scale(self, nominal: float) -> float:
        """The nominal as it is usually shown, to tell people where it lies; within the two ends.

        nominal: in the inside unit (mm, N·m).
        """
        unit = self.part.unit
        return min(max(float(unit.to_base(unit.rounded(nominal, unit.decimals))), self.least), self.most)

    def note(self, nominal: float) -> str:
        """What a sheet says of the part at a nominal, as a drawing note.

        nominal: in the inside unit (mm, N·m).
        """
        return str(self.at(nominal))


def _up(width: float) -> float:
    """A tolerance with three figures, not less than it was."""
    if width <= 0:
        return width
    step = 10.0 ** (math.floor(math.log10(width)) - 2)
    return math.ceil(width / step - 1e-6) * step
