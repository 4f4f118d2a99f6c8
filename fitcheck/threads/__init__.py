"""ISO metric and Unified screw threads: designations, limits of size, pairs, coating, measuring."""

from fitcheck.threads.catalogue import limits_frame, series_frame
from fitcheck.threads.clocking import Clocked, clock
from fitcheck.threads.coatings import Coated, Coating, coat, coating, cut_for_coating
from fitcheck.threads.conformance import Decision, check, decide, worn
from fitcheck.threads.definition import Thread
from fitcheck.threads.identification import Candidate, Identified, identify
from fitcheck.threads.limits import Limits, Size, SizedThread
from fitcheck.threads.pairs import Gap, Pair, pair
from fitcheck.threads.resolve import thread

__all__ = [
    "Candidate",
    "Clocked",
    "Coated",
    "Coating",
    "Decision",
    "Gap",
    "Identified",
    "Limits",
    "Pair",
    "Size",
    "SizedThread",
    "Thread",
    "check",
    "clock",
    "coat",
    "coating",
    "cut_for_coating",
    "decide",
    "identify",
    "limits_frame",
    "pair",
    "series_frame",
    "thread",
    "worn",
]
