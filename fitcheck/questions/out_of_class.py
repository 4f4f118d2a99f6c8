"""Which measured diameters of threads lie outside the limits of their class: worn ones have lost metal."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from fitcheck.questions.words import listed
from fitcheck.stack import Dimension
from fitcheck.threads import Thread
from fitcheck.threads.thread import limit_places

_SOME = 0.001
"""mm: what lies no further out than half of this is a matter of rounding."""


def out_of_class(halves: Iterable[tuple[str, Thread, Mapping[str, Dimension | None]]]) -> dict[str, str]:
    """How far each measured diameter lies outside its limits, in words by its name; nothing of those within.

    halves: what a half of the pair is called, its thread, and the diameters measured of it by `major`, `pitch` or
    `minor`, mm; None for one that was not.
    """
    rows = {}
    for half, thread, sizes in halves:
        for which, measured in sizes.items():
            if measured is None:
                continue
            limits, size = getattr(thread.limits(), which), measured.nominal
            places = limit_places(measured.unit.text)
            for off, side in ((limits.min - size, "below"), (size - limits.max, "above")):
                if off > _SOME / 2:
                    worn = (side == "below") is thread.external
                    rows[f"{half} {which} diameter"] = (
                        f"{'worn' if worn else 'outside its class'}: {measured.unit.show(off, places)} {side} the "
                        f"{thread.tolerance_class} limit"
                    )
    return rows


def worn_sizes(rows: Mapping[str, str]) -> str:
    """What `out_of_class` finds in a row, "the external major diameter is worn: ..."; "" where all is within limits."""
    return listed([f"the {what} is {how}" for what, how in rows.items()])
