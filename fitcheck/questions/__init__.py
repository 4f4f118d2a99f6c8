"""The bench questions. Each is a class whose inputs are declared with how they are read; `QUESTIONS` lists them."""

# What answers a question registers itself when its file is imported.
import fitcheck.questions.blade.findings
import fitcheck.questions.joint.findings
import fitcheck.questions.module_heat.findings
import fitcheck.questions.plug.findings
import fitcheck.questions.port.findings
import fitcheck.questions.set_screw.findings
import fitcheck.questions.sliding_fit.findings
import fitcheck.questions.stuck_tube.findings  # noqa: F401
from fitcheck.questions.blade.question import BladeDepth
from fitcheck.questions.finding import Finding, Requirement, Verdict
from fitcheck.questions.joint.question import ThreadEngagement
from fitcheck.questions.judge import judge
from fitcheck.questions.module_heat.question import ModuleHeat
from fitcheck.questions.plug.question import PlugLength
from fitcheck.questions.port.question import PortClearance
from fitcheck.questions.question import Question
from fitcheck.questions.require import require
from fitcheck.questions.set_screw.compare import PitchRow, PitchTable, compare_pitches
from fitcheck.questions.set_screw.own_trials import StripTrials, strip_trials
from fitcheck.questions.set_screw.strength import SetScrew
from fitcheck.questions.several import TABLES, Findings
from fitcheck.questions.sliding_fit.question import SlidingFit
from fitcheck.questions.stuck_tube.question import StuckTube

QUESTIONS: dict[str, type[Question]] = {
    "thread_engagement": ThreadEngagement,
    "set_screw": SetScrew,
    "blade_depth": BladeDepth,
    "port_clearance": PortClearance,
    "plug_length": PlugLength,
    "handling": StuckTube,
    "sliding_fit": SlidingFit,
    "module_heat": ModuleHeat,
}
"""The questions by the name their table has in a sheet."""
TABLES.update({name: question.title for name, question in QUESTIONS.items()})

__all__ = [
    "QUESTIONS",
    "BladeDepth",
    "Finding",
    "Findings",
    "ModuleHeat",
    "PitchRow",
    "PitchTable",
    "PlugLength",
    "PortClearance",
    "Question",
    "Requirement",
    "SetScrew",
    "SlidingFit",
    "StripTrials",
    "StuckTube",
    "ThreadEngagement",
    "Verdict",
    "compare_pitches",
    "judge",
    "require",
    "strip_trials",
]
