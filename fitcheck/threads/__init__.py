"""ISO metric and Unified screw threads: designations, limits of size, pairs, coating, measuring."""

from fitcheck.threads.definition import Thread
from fitcheck.threads.limits import Limits, Size, limits
from fitcheck.threads.resolve import thread

__all__ = ["Limits", "Size", "Thread", "limits", "thread"]
