"""The bench questions. Each is a class whose inputs are declared with how they are read; `QUESTIONS` lists them."""

from fitcheck.bench.blade import BladeDepth
from fitcheck.bench.finding import Finding, Findings, Requirement, Verdict, judge
from fitcheck.bench.handling import StuckTube
from fitcheck.bench.inputs import Question
from fitcheck.bench.joint import ThreadEngagement
from fitcheck.bench.pitches import PitchRow, PitchTable, compare_pitches
from fitcheck.bench.plug import PlugLength
from fitcheck.bench.port import PortClearance
from fitcheck.bench.setscrew import SetScrew

QUESTIONS: dict[str, type[Question]] = {
    "thread_engagement": ThreadEngagement,
    "set_screw": SetScrew,
    "blade_depth": BladeDepth,
    "port_clearance": PortClearance,
    "plug_length": PlugLength,
    "handling": StuckTube,
}
"""The questions by the name their table has in a sheet."""

__all__ = [
    "QUESTIONS",
    "BladeDepth",
    "Finding",
    "Findings",
    "PitchRow",
    "PitchTable",
    "PlugLength",
    "PortClearance",
    "Question",
    "Requirement",
    "SetScrew",
    "StuckTube",
    "ThreadEngagement",
    "Verdict",
    "compare_pitches",
    "judge",
]
