"""What is found of a shortened plug: where to cut it, whether what is bought is long enough, what is left about it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.judge import judge
from fitcheck.questions.lengths import length_finding, moved, said
from fitcheck.questions.plug.cutting import share_words, tightened_words, unmeasured, was_measured
from fitcheck.questions.plug.question import PlugLength
from fitcheck.questions.question import answers
from fitcheck.questions.words import ELECTRICAL_CAUTIONS, assumed_spreads, listed
from fitcheck.stack import Dimension, Interval

_FINEST = 0.01
"""No tolerance finer than ± this, mm, is asked of a plug or a room (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class PlugStack:
    """What the figure of the plug draws, nominal sizes in mm."""

    travel: float
    seat: float
    room: float
    length: float
    window: Interval


@answers(PlugLength)
def findings(asked: PlugLength) -> tuple[Finding, ...]:
    chosen, smaller = asked.chosen, asked.smaller_margin
    requirement = Requirement(at_least=0.0, risk=asked.risk)
    found = [
        judge(
            asked,
            smaller,
            requirement,
            label="the smaller margin, to the contact or to the cap",
            answer=_answer(asked),
            change=_change(asked),
            assumptions=(
                *assumed_spreads(chosen, asked.room, asked.travel, asked.seat),
                "A loose plug can back out until the cap stops it; the cap does not give.",
            ),
            sources=("sum of the lengths along the axis",),
            cautions=(
                *ELECTRICAL_CAUTIONS,
                "Check with a meter that the power is cut, with the plug pushed home and drawn back to the cap.",
            ),
            details=_details(asked),
            drawing=PlugStack(
                asked.travel.nominal, asked.seat.nominal, asked.room.nominal, chosen.nominal, asked.window
            ),
        ),
    ]
    if asked.room.worst_case().min < 0:
        found.append(_room_left(asked))
    # A plug that was measured after cutting needs no more length.
    if asked.bought is not None and asked.length is None:
        found.append(_long_enough(asked, asked.bought))
    return tuple(found)


def _room_left(asked: PlugLength) -> Finding:
    """Whether any room is left under the cap, where that is in doubt: the port must not stand out of the tube."""
    requirement = Requirement(at_least=0.0, risk=asked.risk)
    return length_finding(
        asked,
        asked.room,
        requirement,
        label="room between port and cap",
        answer=said(asked.room, "The room between port and cap is {}, {} to {}: below 0 the takes exceed it."),
        change=moved(asked.room, requirement, "make {} more room"),
        sources=("sum of the lengths along the axis",),
        cautions=ELECTRICAL_CAUTIONS,
    )


def _long_enough(asked: PlugLength, bought: Dimension) -> Finding:
    """Whether the plug as bought leaves the length to cut, with what sawing and facing take."""
    over = bought - asked.chosen - (asked.facing or 0.0) - (asked.kerf or 0.0)
    show = over.unit.show
    low, _ = over.worst_case()
    verb = "is long enough by" if over.nominal >= 0 else "is too short by"
    return length_finding(
        asked,
        over,
        Requirement(at_least=0.0, risk=asked.risk),
        label="length of the plug as bought over what is needed",
        answer=f"The plug as bought {verb} {show(abs(over.nominal))}, at the least {show(low)} over.",
        change=(f"buy a plug at least {show(-low)} longer",),
        sources=("difference of two lengths",),
        cautions=ELECTRICAL_CAUTIONS,
    )


def _answer(asked: PlugLength) -> str:
    show = asked.chosen.unit.show
    low, high = asked.window
    chosen = asked.chosen
    if asked.length is not None:
        inside = low <= chosen.lower and chosen.upper <= high
        verb = "lies inside" if inside else "does not lie inside"
        limits = f"{show(low)} to {show(high)}" if low <= high else "which is empty"
        return f"The plug length {chosen} {verb} the window that works at worst case, {limits}."
    if low > high:
        first, last = asked.nominal_window
        if first > last:
            return (
                f"No length works: the plug must exceed {show(first)} to keep the contact open and stay under "
                f"{show(last)} for the cap to close, even with nominal parts."
            )
        return (
            f"No length works for every part: the worst parts need at least {show(low)} to keep the contact "
            f"open and at most {show(high)} for the cap to close."
        )
    return f"Cut the plug to {show(chosen.nominal)}; lengths from {show(low)} to {show(high)} work at worst case."


def _change(asked: PlugLength) -> list[str]:
    show = asked.chosen.unit.show
    low, high = asked.window
    chosen = asked.chosen
    if high - low >= chosen.upper - chosen.lower and not (low <= chosen.lower and chosen.upper <= high):
        first, last = low + chosen.nominal - chosen.lower, high - (chosen.upper - chosen.nominal)
        lines = [f"cut to between {show(first)} and {show(last)} with the same tolerance and it holds"]
        if chosen.nominal > last:
            lines.append(f"take another {show(chosen.nominal - last)} to {show(chosen.nominal - first)} off this one")
        elif chosen.nominal < first:
            lines.append(
                f"this one is too short by {show(first - chosen.nominal)}: cut another, or fix a disc from "
                f"{show(first - chosen.nominal)} to {show(last - chosen.nominal)} thick to its end"
            )
        return lines
    missing = (chosen.upper - chosen.lower) - (high - low)
    if missing <= 0:
        return []
    lines = [
        f"tighten the cut and the lengths of the room by {show(missing)} together, measure the real parts "
        "and give their sizes, or choose a port whose plug goes in deeper after the contact opens"
    ]
    # A measurement is as good as the caliper; only what is still as drawn can be made better by making it better.
    alone = [tightened_words(d, share) for d, share in asked.margins.tighten(_FINEST) if not was_measured(d)]
    if alone:
        lines.append(f"one tolerance alone would do, and the length in the middle: {listed(alone, 'or')}")
    else:
        lines.append("no single tolerance is enough: several must come down, or the parts must be measured")
    return lines


def _details(asked: PlugLength) -> dict[str, str]:
    show = asked.chosen.unit.show
    low, high = asked.window
    first, last = asked.nominal_window
    chosen, margins = asked.chosen, asked.margins
    details = {
        "window with nominal parts": f"{show(first)} to {show(last)}",
        "window at worst case": f"{show(low)} to {show(high)}" if low <= high else "empty",
    }
    if low <= high:
        left = min(chosen.nominal - low, high - chosen.nominal)
        details["tolerance that remains about the length"] = f"± {show(left)}" if left > 0 else "none"
    details["cuts that work"] = _yield_words(asked)
    if margins.slack < 0 and asked.length is None and margins.exclusive:
        best = margins.best(asked.step, abs(last - first) / 2 + asked.step)
        details["length that works most often"] = f"{show(chosen.nominal + best)}: {share_words(margins.failing(best))}"
    details |= _marking(asked)
    return details | _second_look(asked)


def _yield_words(asked: PlugLength) -> str:
    """The share of cuts that work: exact where a part cannot miss both limits, else sampled."""
    if asked.margins.exclusive:
        return share_words(asked.margins.failing())
    missed = float(np.mean(asked.smaller_margin.sample(100_000) < 0))
    return f"{share_words(missed)} (100,000 samples)"


def _marking(asked: PlugLength) -> dict[str, str]:
    """Where to mark and to saw."""
    show = asked.chosen.unit.show
    facing, kerf = asked.facing or 0.0, asked.kerf or 0.0
    details = {}
    cut_already = asked.length is not None and was_measured(asked.length)
    if (asked.kerf is not None or asked.facing is not None) and not cut_already:
        details["mark out from the tip"] = show(asked.chosen.nominal + facing)
        details["saw beyond the mark"] = f"the kerf takes {show(kerf)}, facing takes {show(facing)}"
    if asked.bought is not None:
        off = asked.bought.nominal - asked.chosen.nominal
        details["to cut off"] = show(off) if off >= 0 else f"nothing: the plug is {show(-off)} too short"
        spare = asked.bought.lower - asked.chosen.nominal - facing - kerf
        if spare < 0 <= off and kerf:
            details["to cut off"] += ", which the saw may not leave a chip of: file or face it off"
        elif kerf:
            details["offcut"] = f"at the least {show(spare)}"
    return details


def _second_look(asked: PlugLength) -> dict[str, str]:
    """What has been measured, and what would be worth measuring next."""
    show = asked.chosen.unit.show
    losses = asked.margins.losses()
    known = [loss.part.name for loss in losses if was_measured(loss.part)]
    details = {"measured": listed(known)} if known else {}
    if next_one := unmeasured(losses, [asked.chosen])[:1]:
        part, amount = next_one[0]
        details["worth measuring next"] = f"{part.name}: its tolerance takes {show(amount)} of the window"
    return details
