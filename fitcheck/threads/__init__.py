"""ISO metric and Unified screw threads: designations, limits of size, pairs, coating, measuring."""

from typing import TYPE_CHECKING

from fitcheck.renamed import answer_old_names
from fitcheck.threads.catalogue import limits_frame, series_frame
from fitcheck.threads.clocking import Clocked, clock
from fitcheck.threads.coating import Coated, Coating, coat, coating, cut_for_coating
from fitcheck.threads.identification import Candidate, Identified, identify
from fitcheck.threads.measuring import Decision, decide, decide_size, worn
from fitcheck.threads.old_threads import OldThread
from fitcheck.threads.pair import Gap, Pair, pair
from fitcheck.threads.resolve import thread
from fitcheck.threads.thread import Limits, Size, SizedThread, Thread
from fitcheck.threads.wires import Wires, functional_pitch, pitch_over_wires, wires

__all__ = [
    "Candidate",
    "Clocked",
    "Coated",
    "Coating",
    "Decision",
    "Gap",
    "Identified",
    "Limits",
    "OldThread",
    "Pair",
    "Size",
    "SizedThread",
    "Thread",
    "Wires",
    "clock",
    "coat",
    "coating",
    "cut_for_coating",
    "decide",
    "decide_size",
    "functional_pitch",
    "identify",
    "limits_frame",
    "pair",
    "pitch_over_wires",
    "series_frame",
    "thread",
    "wires",
    "worn",
]

if not TYPE_CHECKING:
    __getattr__ = answer_old_names("fitcheck.threads", {"check": "decide_size"}, until="0.3")
