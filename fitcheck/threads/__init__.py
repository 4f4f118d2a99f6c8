"""ISO metric and Unified screw threads: designations, limits of size, pairs, coating, measuring."""

from fitcheck.threads.catalogue import limits_frame, series_frame
from fitcheck.threads.clocking import Clocked, clock
from fitcheck.threads.coating import Coated, Coating, coat, coating, cut_for_coating
from fitcheck.threads.identification import Candidate, Identified, identify
from fitcheck.threads.measuring import Decision, check, decide, worn
from fitcheck.threads.pair import Gap, Pair, pair
from fitcheck.threads.resolve import thread
from fitcheck.threads.thread import Limits, Size, SizedThread, Thread

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
