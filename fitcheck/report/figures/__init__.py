"""Figures: functions that take `ax` or make one, and return it.

`draw` chooses the figure by the type of the drawing, so a new question adds one function and one line here.
"""

from __future__ import annotations

from functools import singledispatch
from typing import TYPE_CHECKING

from fitcheck.questions.blade.findings import MissedScrew, TubeStack
from fitcheck.questions.finding import Finding
from fitcheck.questions.module_heat.findings import HeatOverContact
from fitcheck.questions.plug.findings import PlugStack
from fitcheck.questions.port.drawing import BodySection, CrossSection
from fitcheck.questions.set_screw.compare import PitchTable
from fitcheck.questions.set_screw.findings import StripDrawing
from fitcheck.questions.sliding_fit.findings import FitZones
from fitcheck.report.figures.body_section import bodies
from fitcheck.report.figures.chassis_fit import chassis_fit
from fitcheck.report.figures.chassis_section import cross_section
from fitcheck.report.figures.density import density
from fitcheck.report.figures.device import device
from fitcheck.report.figures.module_heat import module_heat
from fitcheck.report.figures.plug import plug
from fitcheck.report.figures.profiles import profiles
from fitcheck.report.figures.quantity import spread, where
from fitcheck.report.figures.shares import drivers, shares
from fitcheck.report.figures.strip_torque import pitches, short_threads, strip_risk, torques
from fitcheck.report.figures.svg import svg
from fitcheck.report.figures.tube_stack import missed_screw, tube_stack
from fitcheck.threads.pair import Pair
from fitcheck.units import LENGTH, MM, Unit

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = [
    "bodies",
    "chassis_fit",
    "cross_section",
    "density",
    "device",
    "draw",
    "drawing_of",
    "drivers",
    "missed_screw",
    "module_heat",
    "pitches",
    "plug",
    "profiles",
    "shares",
    "short_threads",
    "spread",
    "strip_risk",
    "svg",
    "torques",
    "tube_stack",
    "where",
]


@singledispatch
def draw(drawing: object, ax: Axes | None = None, unit: Unit = MM) -> Axes | None:
    """The figure of `drawing`, sizes shown in `unit`; nothing if there is no figure for its type."""
    return None


draw.register(TubeStack, tube_stack)
draw.register(MissedScrew, missed_screw)
draw.register(CrossSection, cross_section)
draw.register(BodySection, bodies)
draw.register(PlugStack, plug)
draw.register(StripDrawing, strip_risk)
draw.register(PitchTable, pitches)
draw.register(Pair, profiles)
draw.register(FitZones, chassis_fit)
draw.register(HeatOverContact, module_heat)


def drawing_of(finding: Finding, ax: Axes | None = None) -> Axes | None:
    """The figure of a finding with the numbers that it argues with, in the unit of its lengths; nothing without one."""
    drawing = finding.drawing
    lengths = [d.unit for d in finding.of.members if d.unit.kind is LENGTH] if finding.of is not None else []
    unit = finding.unit if finding.unit.kind is LENGTH else next(iter(lengths), MM)
    match drawing:
        case BodySection():
            needed = finding.requirement.at_least
            return bodies(drawing, ax, unit, worst=finding.worst_case.min, needed=needed)
        case StripDrawing():
            return strip_risk(drawing, ax, unit, risk=finding.risk_value)
        case TubeStack():
            return tube_stack(drawing, ax, unit, judged=finding)
        case MissedScrew():
            return missed_screw(drawing, ax, unit, judged=finding)
        case FitZones():
            return chassis_fit(drawing, ax, unit, decimals=finding.decimals)
    return draw(drawing, ax, unit)
