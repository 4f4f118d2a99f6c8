"""The bench questions. Each is a class whose inputs are declared with how they are read; `QUESTIONS` lists them."""

from fitcheck.bench.blade import BladeDepth
from fitcheck.bench.finding import Finding, Requirement, Verdict, judge
from fitcheck.bench.inputs import Question
from fitcheck.bench.joint import ThreadEngagement
from fitcheck.bench.plug import PlugLength
from fitcheck.bench.port import PortClearance
from fitcheck.bench.setscrew import SetScrew

QUESTIONS: dict[str, type[Question]] = {
    "thread_engagement": ThreadEngagement,
    "set_screw": SetScrew,
    "blade_depth": BladeDepth,
    "port_clearance": PortClearance,
    "plug_length": PlugLength,
}
"""The questions by the name their table has in a sheet."""

__all__ = [
    "QUESTIONS",
    "BladeDepth",
    "Finding",
    "PlugLength",
    "PortClearance",
    "Question",
    "Requirement",
    "SetScrew",
    "ThreadEngagement",
    "Verdict",
    "judge",
]
