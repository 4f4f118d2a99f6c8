"""The one way in: a designation and what may be said beside it, to a thread."""

from __future__ import annotations

from functools import lru_cache

from fitcheck import units
from fitcheck.errors import InputError
from fitcheck.threads.definition import Thread
from fitcheck.threads.designation import Parts, read
from fitcheck.threads.metric import metric_thread
from fitcheck.threads.unified import unified_thread


def thread(
    text: str | Thread,
    *,
    external: bool | None = None,
    special: bool = False,
    engagement: float | str | None = None,
) -> Thread:
    """The thread that a designation names.

    text: an ISO metric or Unified designation, such as "M6x1-6g", "M6", "1/4-20 UNC-2A", "#8-32 UNC-2B-LH".
    external: whether a text without class means the screw or the nut. Left open, the screw is assumed, and
        `assumed` says so. It must agree with a class that is stated.
    special: allow a diameter or pitch outside ISO 261, or outside the series of ASME B1.1. In the text the word
            "special" asks for the same, and "UNS" for a Unified thread.
    engagement: length of engagement, mm or a text with its unit. It selects the group of a metric thread and
        the tolerance of a Unified one, where it lies outside the span that the standard tolerance is good for.

    What the text leaves out is the standard's default: coarse pitch, 6g/6H (6h/5H up to 1.4 mm; of group S and
    L the classes that ISO 965-1 recommends), the series of a standard Unified size. Class 2A/2B is common
    practice, no source. Raises `DesignationError`, which points at the spot.
    """
    if isinstance(text, Thread):
        return text
    if external is not None and not isinstance(external, bool):
        raise InputError(f"external = {external!r}: True (screw), False (nut) or None is needed")
    if not isinstance(special, bool):
        raise InputError(f"special = {special!r}: True or False is needed")
    length = None if engagement is None else units.read(engagement, units.LENGTH, "engagement")
    if length is not None and length <= 0:
        raise InputError(f"engagement = {length:g}: a length greater than 0 is needed")
    return _thread(text, external, special, length) if isinstance(text, str) else resolve(read(text), None, False, None)


@lru_cache(maxsize=4096)
def _thread(text: str, external: bool | None, special: bool, engagement: float | None) -> Thread:
    return resolve(read(text), external, special, engagement)


def resolve(parts: Parts, external: bool | None, special: bool, engagement: float | None) -> Thread:
    """The thread of a designation that names one class at most."""
    if len(parts.classes) > 1:
        parts.refuse("second class", f"'{'/'.join(parts.classes)}' names a pair: fitcheck.threads.pair reads it")
    return (metric_thread if parts.metric else unified_thread)(parts, external, special or parts.special, engagement)
