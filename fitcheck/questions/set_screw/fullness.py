"""How full the thread of a set screw is in its hole, in percent and in the overlap of its flanks."""

from __future__ import annotations

from fitcheck.mechanics import percent_thread, sideways_play
from fitcheck.questions.set_screw.strength import SetScrew
from fitcheck.threads.profile import flank_overlap


def thread_words(q: SetScrew) -> dict[str, str]:
    """How full the thread is, by both ways to count it, and what its flanks overlap."""
    v, P, show = q.nominal, q.screw.pitch, q.sizes["D1"].unit.show
    hole = [q.sizes["D1"].upper, q.sizes["D1"].lower]
    table, basic = (
        " to ".join(f"{percent_thread(q.hole.nominal, size, P, convention=which):.0f}" for size in hole)
        for which in ("drill table", "basic")
    )
    sizes = (v["d"], v["d2"], v["D1"], v["D2"])
    middle = max(float(flank_overlap(*sizes, P, P)), 0.0)
    least = max(middle - float(sideways_play(v["d2"], v["D2"])), 0.0)
    drill = "" if q.tap_drill is None else f"with a tap drill of {q.tap_drill} "
    words = f"{drill}{table} % as drill tables count it, {basic} % of the overlap of the basic profile"
    return {
        "percent of thread": words,
        "flanks": f"overlap by {show(middle)}, on one side by {show(least)} with the screw lying on the other",
    }
