"""The words for a set screw: what its torque means at the bench, dent, backing off, lengths, what was filled in."""

from __future__ import annotations

import math

from fitcheck.mechanics import (
    protrusion,
    self_locking_friction,
)
from fitcheck.questions.moves import Change, Effect
from fitcheck.questions.set_screw.hands import too_low_for_hands, ways_of_turning
from fitcheck.questions.set_screw.remedies import longer_screw, turned_with
from fitcheck.questions.set_screw.standard import (
    INCOMPLETE_TAKEN,
    SOCKET_END_TAKEN,
    fitting_lengths,
    length_taken,
    point_taken,
)
from fitcheck.questions.set_screw.strength import SetScrew, tip_stands
from fitcheck.questions.set_screw.tapped import BELL_MOUTH_TAKEN, BY_HAND
from fitcheck.questions.set_screw.torque_limits import (
    advised_torque,
    dented,
    down,
    most_used,
    printed_down,
    set_to,
    turns_off,
)
from fitcheck.units import PLAIN

_DEEP = 0.3
"""A dent deeper than this, mm, gets a caution unless a deeper one is accepted (common practice, no source)."""


def at_the_bench(q: SetScrew) -> str:
    """What a machinist would say of the strip risk."""
    show, safe, strip = q.hand_torque.unit.show, advised_torque(q).torque, q.strip_torque.nominal
    ways = ways_of_turning()
    gentle = [one for one in ways if one.high <= safe]
    rough = [one for one in ways if one.middle >= strip]
    n = f"{q.threads_engaged.nominal:.1f} threads of {q.screw.size_and_pitch} in {q.wall_material.name}"
    if gentle:
        start = f"{n}: {gentle[-1].how} is as hard as it may be turned ({show(gentle[-1].high)} at most)"
    else:
        start = f"{n}: not even {ways[0].how} is safe ({show(ways[0].high)} at most)"
    return start + (f"; {rough[0].how} would strip it." if rough else "; no hand on a short key strips it as a rule.")


def hand_words(torque: float) -> str:
    """How hard a hand may turn a screw to stay at or under `torque` N·m, in words.

    The hardest way of turning whose usual range ends at or under it (`tables/hand_torque.csv`, mostly estimates), and
    the lightest that can pass it.
    """
    ways = ways_of_turning()
    gentle = [one.how for one in ways if one.high <= torque]
    rough = [one.how for one in ways if one.high > torque]
    if not gentle:
        return "less than fingers alone can give: use a torque driver, set to no more than this"
    if not rough:
        return f"{gentle[-1]} is not too much"
    return f"{gentle[-1]}; {rough[0]} can be too much"


def dent_cautions(q: SetScrew) -> tuple[str, ...]:
    """A caution where the point goes deep into the blade at the most torque that may be used."""
    if q.blade_material is None:
        return ()
    torque = most_used(q)
    depth = dented(q, torque)
    if torque <= 0 or (depth is not None and depth <= max(_DEEP, q.dent or 0.0)):
        return ()
    how = "without end" if depth is None else q.bore.unit.show(depth)
    return (
        f"At {q.hand_torque.unit.show(torque)} the point sinks {how} into the blade of {q.blade_material.name}, which "
        f"can crack from there: use less torque, a flat point or a pad under it (caution above "
        f"{q.bore.unit.show(_DEEP)}: common practice, no source).",
    )


def changes(q: SetScrew, advised: float) -> tuple[str | Change, ...]:
    change: list[str | Change] = []
    if 0 < advised < q.put_on.upper:  # a hand that is never stronger has met it already
        most = set_to(q, advised_torque(q).torque)
        change.append(Change.of(torque_advice(q), Effect.WITHIN_RISK, [turned_with(q, printed_down(q, most))]))
    if (longer := longer_screw(q)) is not None:
        used = q.sizes["screw_length"].unit
        named = used.show(longer.length, 3 if used.text == "in" else 1)
        was = q.threads_engaged.nominal
        change.append(f"use a screw of {named}: {longer.threads:.1f} threads in the wall in place of {was:.1f}")
    if q.nominal["countersink"] + q.nominal["countersink_inside"] > 0:
        change.append("use less countersink")
    change.append("compare other pitches in this wall, or use a thicker wall")
    return tuple(change)


def torque_advice(q: SetScrew) -> str:
    """The torque that is advised, rounded down: of a driver what it is set to, of a hand what it never passes.

    Where it is too low for hands, that it takes a driver.
    """
    used, torque = q.hand_torque.unit, advised_torque(q).torque
    most = down(used, set_to(q, torque))
    if q.driver is not None:
        return f"set the driver to no more than {most}"
    lightest = too_low_for_hands(q, torque)
    why = "" if lightest is None else f", which takes a torque driver: fingers can reach {used.show(lightest.high)}"
    return f"turn the key with no more than {most}{why}"


def life_words(q: SetScrew) -> str:
    """What the risk is of: every screw, and every time it is tightened."""
    screws = "the screw" if q.screws == 1 else f"{q.screws} screws"
    times = "once" if q.tightenings == 1 else f"{q.tightenings} times"
    return f"{screws}, tightened {times}"


def filled_in(q: SetScrew) -> tuple[str, ...]:
    """What was not given and comes from the standards."""
    used = {**q.sizes, **q.torque_inputs}
    taken: dict[str, str] = {}
    if q.size is not None and q.screw_length is None:
        taken["screw_length"] = length_taken(q.size)
    if q.point_length is None:
        taken["point_length"] = INCOMPLETE_TAKEN
    if q.socket_end is None and q.sinks:
        taken["socket_end"] = SOCKET_END_TAKEN
    if q.bell_mouth is None and q.tapped == BY_HAND:
        taken["bell_mouth"] = BELL_MOUTH_TAKEN
    if q.size is not None and q.point_diameter is None:
        taken["point_diameter"] = point_taken(q.size, q.point)
    lines = [f"The {used[key].called} is not given: {used[key]} is taken ({words})." for key, words in taken.items()]
    if q.slant:
        lines.append(
            f"The thread stands up to {math.degrees(q.slant):.3g}° off square, and the side with less of it decides"
            f"{' (by hand: common practice, no source)' if q.tap_slant is None else ''}."
        )
    if q.blade.upper > q.bore.lower:
        lines.append("A blade larger than the bore is taken as filed until it enters.")
    lines += not_measured(q)
    if q.angles is not None and q.share < 1:
        lines.append("Each screw is counted with the blade pressed to its far side, as by the first one turned.")
    return tuple(lines)


def not_measured(q: SetScrew) -> list[str]:
    """What a measured crest says nothing of: the flanks below it."""
    pairs = (("hole", q.hole_minor, q.hole_pitch), ("screw", q.screw_major, q.screw_pitch))
    return [
        f"The pitch diameter of the {part} was not measured: it is taken as new, though the crest is not."
        for part, crest, flanks in pairs
        if crest is not None and flanks is None
    ]


def strip_words(q: SetScrew) -> str:
    show, between = q.hand_torque.unit.show, q.strip_torque.interval(q.confidence)
    return (
        f"{show(q.strip_torque.nominal)} nominal, {100 * q.confidence:.4g} % of screws between {show(between.min)} and "
        f"{show(between.max)}"
    )


def textbook_words(q: SetScrew, textbook: float) -> str:
    show, model = q.hand_torque.unit.show, q.strip_torque.nominal
    if not model > 0:
        return f"{show(textbook)}: no thread engages at nominal sizes, or too little of it"
    n = q.threads_engaged.nominal
    why = f"it promises too much for {n:.1f} threads" if n < 3 else "it is for ideal threads"
    return f"{show(textbook)}, {textbook / model:.2f} times the model: {why}"


def dent_words(q: SetScrew) -> dict[str, str]:
    if q.blade_material is None:
        return {}
    show, torque = q.bore.unit.show, q.hand_torque.unit.show
    parts = []
    for words, at in (("hand", q.hand_torque.nominal), ("safe", advised_torque(q).torque)):
        depth = dented(q, at)
        parts.append(f"{'sinks in' if depth is None else show(depth)} at the {words} torque of {torque(at)}")
    return {"dent in the blade": "; ".join(parts)}


def backing_words(q: SetScrew) -> dict[str, str]:
    left = q.threads_backed_off
    low, _ = left.worst_case()
    v, show = q.nominal, q.bore.unit.show
    out = float(protrusion(tip_stands(v), v["screw_length"], v["outside"]))
    falls = "; it can fall out" if low <= 0 else ""
    return {
        "backing off": (
            f"{turns_off(q).nominal:.1f} turns until it is flush with the bore; {left.nominal:.1f} threads then hold "
            f"it, at the least {PLAIN.down(low, 1)}{falls}"
        ),
        "outer end": f"{show(abs(out))} {'above' if out > 0 else 'under'} the surface with the screw on the blade",
        "standard lengths": fitting_words(q),
    }


def fitting_words(q: SetScrew) -> str:
    if q.size is None:
        return f"no standard set screw is as large as {q.screw.designation}"
    v = q.nominal
    tube = (v["outside"], v["bore"], min(v["blade"], v["bore"]) - v.get("spotted", 0.0))
    fit = fitting_lengths(q.size, q.point, q.screw, *tube, incomplete=v["point_length"], socket_end=v["socket_end"])
    used = q.sizes["screw_length"].unit
    named = ", ".join(used.show(length, 3 if used.text == "in" else 1) for length in fit)
    if named:
        return f"{named} neither stands out on the blade nor drops out when backed off"
    return "none stays under the surface on the blade and keeps one thread when backed off"


def socket_words(q: SetScrew) -> dict[str, str]:
    """Socket and key of the standard screw, and its usual torque in steel, which a thin wall may not bear."""
    if q.size is None:
        return {}
    length, show = q.sizes["screw_length"], q.hand_torque.unit.show
    places = 4 if length.unit.text == "in" else 2
    depth = q.size.depth(length.nominal, q.point)
    deep = (
        "of a depth that no table seen here prints for so short a screw (measure it)"
        if depth is None
        else f"at least {length.unit.show(depth, places)} deep"
    )
    words = f"{length.unit.show(q.size.socket, places)} across flats, {deep}; push the key home before it is turned"
    if depth is None or depth < q.size.key_depth[1]:
        words += "; the key bears on less of a short screw's socket, which rounds sooner"
    seating = q.size.seating_torque
    if seating is not None and seating > q.safe_torque:
        words += f"; the {show(seating)} that tables print for seating it in steel are not for this wall"
    return {"socket": words}


def locking_words(q: SetScrew) -> str:
    locking = float(self_locking_friction(q.screw.lead, q.nominal["d2"]))
    if q.friction_thread.lower > locking:
        return f"yes, by the friction of the thread alone (above {locking:.3f}); shaking can still loosen it"
    return f"only above a thread friction of {locking:.3f}"
