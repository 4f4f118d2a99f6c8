"""What is found of a shortened plug: where to cut it, whether what is bought is long enough, what is left about it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.judge import judge
from fitcheck.questions.lengths import how_to_meet, length_finding, said
from fitcheck.questions.moves import Besides, Change, Edit, Effect, Move, Resizing
from fitcheck.questions.plug.cutting import NOISE, Tighter, share_words, unmeasured, was_measured, window_words
from fitcheck.questions.plug.question import PlugLength
from fitcheck.questions.question import answers
from fitcheck.questions.words import ELECTRICAL_CAUTIONS, Meaning, assumed_spreads, listed
from fitcheck.stack import Dimension, Interval, Sum
from fitcheck.stack.synthesis import moved as resized
from fitcheck.units import Rounding, Unit

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


@dataclass(frozen=True, slots=True)
class CutPlug:
    """What is handed over of the plug; mm."""

    length: float
    window: Interval
    """The lengths that work at worst case; `min` above `max` if there are none."""
    unit: Unit


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
            means=_means(asked),
            change=_change(asked),
            do=_to_do(asked),
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
            handover=CutPlug(chosen.nominal, asked.window, chosen.unit),
        ),
    ]
    if asked.room.worst_case().min < 0:
        found.append(_room_left(asked))
    if asked.over is not None and asked.bought is not None:
        found.append(_long_enough(asked, asked.over, asked.bought))
    return tuple(found)


def _room_left(asked: PlugLength) -> Finding:
    """Whether any room is left under the cap, where that is in doubt: the port must not stand out of the tube."""
    requirement = Requirement(at_least=0.0, risk=asked.risk)
    return length_finding(
        asked,
        asked.room,
        requirement,
        label="room between port and cap",
        answer=said(asked.room, "the room between port and cap is {}, {} to {}: below 0 the takes exceed it."),
        means=Meaning("There is room under the cap", "There may be no room under the cap"),
        change=how_to_meet(asked.room, requirement, "make {} more room", Resizing("adds[1]", asked.adds[0])),
        sources=("sum of the lengths along the axis",),
        cautions=ELECTRICAL_CAUTIONS,
    )


def _long_enough(asked: PlugLength, over: Sum, bought: Dimension) -> Finding:
    """Whether the plug as bought leaves the length to cut, with what sawing and facing take."""
    requirement = Requirement(at_least=0.0, risk=asked.risk)
    show, low = over.unit.show, over.worst_case().min
    needed = asked.chosen.unit.up(asked.chosen.nominal + (asked.facing or 0.0) + (asked.kerf or 0.0))
    if over.nominal >= 0:
        answer = f"it is long enough by {show(over.nominal)}, at the least {over.unit.down(low)} over."
    else:
        answer = f"{needed} is needed; it is too short by {show(-over.nominal)}, at the most by {over.unit.up(-low)}."
    return length_finding(
        asked,
        over,
        requirement,
        label="length of the plug as bought over what is needed",
        answer=answer,
        means=Meaning(
            "The plug as bought can be cut",
            f"The plug as bought {'is too short' if over.nominal < 0 else 'may be too short'}",
        ),
        change=how_to_meet(over, requirement, "buy a plug at least {0} longer", Resizing("bought", bought)),
        sources=("difference of two lengths",),
        cautions=ELECTRICAL_CAUTIONS,
    )


def _answer(asked: PlugLength) -> str:
    chosen, unit = asked.chosen, asked.chosen.unit
    low, high = asked.window
    work = f"lengths from {window_words(unit, asked.window)} work at worst case."
    if low == high:
        work = f"only {unit.exactly(low)} works at worst case."
    if asked.length is not None:
        if low > high:
            return f"No length works for every part: the one of this plug, {chosen}, does not either."
        if asked.works:
            if low == high:
                return f"its length is {chosen}, and {work}"
            return f"its length {chosen} lies inside {window_words(unit, asked.window)}, which work at worst case."
        ends = (
            (low - chosen.nominal, low - chosen.lower, "short"),
            (chosen.nominal - high, chosen.upper - high, "long"),
        )
        off = [f"{'is' if by > NOISE else 'can be'} too {what}" for by, most, what in ends if most > NOISE]
        return f"{work} This one, {chosen}, {listed(off) or 'does not lie inside'}."
    if low > high:
        first, last = asked.nominal_window
        if first > last:
            return (
                f"No length works: the plug must exceed {unit.up(first)} to keep the contact open and stay under "
                f"{unit.down(last)} for the cap to close, even with nominal parts."
            )
        return (
            f"No length works for every part: the worst parts need at least {unit.up(low)} to keep the contact "
            f"open and at most {unit.down(high)} for the cap to close."
        )
    return f"Cut the plug to {unit.exactly(chosen.nominal)}: {work}"


def _means(asked: PlugLength) -> Meaning | None:
    """What a length that was given means, where some length works; the length to cut to comes first."""
    if asked.length is None or asked.window.min > asked.window.max:
        return None
    fails = "This plug does not work for every part"
    if (better := _better(asked)) is not None:
        fails = f"Cut {_which(asked, better)} to {asked.chosen.unit.exactly(better)}"
    return Meaning("The plug works as it is", fails)


def _better(asked: PlugLength) -> float | None:
    """The length to cut to in place of one that was given and does not work, with its tolerance; None if there is none.

    It is the one that would be chosen if none were given, mm.
    """
    holding = asked.moves_that_hold
    length = replace(asked, length=None).chosen.nominal
    by = length - asked.chosen.nominal
    return length if holding.min <= by <= holding.max and not holding.min <= 0 <= holding.max else None


def _which(asked: PlugLength, length: float) -> str:
    """Which plug is cut to a length, mm: what is too short is made no longer."""
    return "another plug" if asked.chosen.nominal < length else "the plug"


def _to_do(asked: PlugLength) -> str:
    """The length to cut to, and which others work; nothing for a plug that was measured after cutting."""
    if asked.length is not None and was_measured(asked.length):
        return ""
    unit, (low, high) = asked.chosen.unit, asked.window
    some = window_words(unit, asked.window) if low < high else f"only {unit.exactly(low)}"
    works = f"; {some} works" if low <= high else ""
    return f"cut the plug to {unit.exactly(asked.chosen.nominal)}{works}"


def _printed(unit: Unit, window: Interval) -> tuple[float, float]:
    """The ends of a window as `_window` prints them, in the inside unit."""
    places = unit.decimals_between(*window)
    ends = unit.rounded(window.min, places, Rounding.UP), unit.rounded(window.max, places, Rounding.DOWN)
    return float(unit.to_base(ends[0])), float(unit.to_base(ends[1]))


def _change(asked: PlugLength) -> list[str | Change]:
    chosen, unit, margins = asked.chosen, asked.chosen.unit, asked.margins
    holding = asked.moves_that_hold
    if holding.min <= holding.max:
        if holding.min <= 0 <= holding.max:
            return []

        def cut(line: str, lengths: Iterable[float]) -> Change:
            """The line with a move to each of the lengths."""
            ways = ([Edit("length", resized(chosen, length))] for length in lengths)
            return Change.of(line, Effect.HOLDS, *ways)

        last = Interval(chosen.nominal + holding.min, chosen.nominal + holding.max)
        better, ends = _better(asked), _printed(unit, last)
        between = f"between {window_words(unit, last, 'and')} with the same tolerance"
        if better is None:
            lines: list[str | Change] = [cut(f"cut to {between} and it holds", ends)]
        else:
            said_so = f"cut {_which(asked, better)} to {unit.exactly(better)}, or to {between}, and it holds"
            lines = [cut(said_so, (better, *ends))]
        if holding.max < 0:
            off = Interval(-holding.max, -holding.min)
            after = (chosen.nominal - by for by in _printed(unit, off))
            lines.append(cut(f"take another {window_words(unit, off)} off this one", after))
        else:
            after = (chosen.nominal + by for by in _printed(unit, holding))
            lines.append(
                cut(
                    f"fix a disc from {window_words(unit, holding)} thick to its end, for this one is too short by "
                    f"{unit.up(holding.min)}",
                    after,
                )
            )
        return lines
    missing = -margins.slack
    if missing <= 0:
        return ["no length is within the risk: what was measured must be measured more closely, or the rest tightened"]
    # What travel and seat take of the window is the port's own, and nobody's to tighten.
    theirs = sum(loss.amount for loss in margins.losses() if loss.part not in (asked.travel, asked.seat))
    tighten = (
        f"tighten the cut and the lengths of the room by {unit.up(missing)} together, " if missing < theirs else ""
    )
    lines = [
        f"{tighten}measure the real parts and give their sizes, or choose a port whose plug goes in deeper after the "
        "contact opens"
    ]
    alone: list[tuple[str, str, list[Edit]]] = []
    for one in margins.tighten(asked.risk, _FINEST):
        # A measurement is as good as the caliper; only what is still as drawn can be made better by making it better.
        if was_measured(one.part):
            continue
        edits = _tightened(asked, one)
        made = Move("", tuple(edits), Effect.HOLDS).made(asked)
        # A length that is chosen is a round one, for which what is just enough in the middle may not be.
        if made.works:
            alone.append((one.words(), f"the plug cut to {unit.exactly(made.chosen.nominal)}", edits))
    if alone:
        cuts = {cut for _, cut, _ in alone}
        if len(cuts) == 1:
            line = f"one tolerance alone would do, with {cuts.pop()}: {listed([words for words, _, _ in alone], 'or')}"
        else:
            each = [f"{words} with {cut}" for words, cut, _ in alone]
            line = f"one tolerance alone would do: {listed(each, 'or')}"
        lines.append(Change.of(line, Effect.HOLDS, *(edits for _, _, edits in alone)))
    else:
        lines.append(Besides("no single tolerance is enough: several must come down, or the parts must be measured"))
    return lines


def _tightened(asked: PlugLength, one: Tighter) -> list[Edit]:
    """The edits that hold a part closer, and cut the plug to the middle with the tolerance that it has."""
    closer = replace(one.part, lower=one.part.nominal - one.minus, upper=one.part.nominal + one.plus)
    if one.part is asked.chosen:
        if asked.length is None:
            return [Edit("cut_tolerance", replace(resized(closer, 0.0), name=asked.cut_tolerance.name))]
        return [Edit("length", _in_the_middle(closer, asked.window))]
    places = {"travel": asked.travel, "seat": asked.seat}
    places |= {f"{key}[{i}]": d for key in ("adds", "takes") for i, d in enumerate(getattr(asked, key), start=1)}
    edit = Edit(next(key for key, part in places.items() if part is one.part), closer)
    if asked.length is None:
        return [edit]
    window = Move("", (edit,), Effect.HOLDS).made(asked).window
    return [edit, Edit("length", _in_the_middle(asked.length, window))]


def _in_the_middle(length: Dimension, window: Interval) -> Dimension:
    """A length with its zone about the middle of a window, in digits that can be printed."""
    middle, unit = length.nominal + sum(window) / 2 - length.middle, length.unit
    return resized(length, float(unit.to_base(unit.rounded(middle, unit.decimals + 3))))


def _details(asked: PlugLength) -> dict[str, str]:
    low, high = asked.window
    first, last = asked.nominal_window
    chosen, margins, unit = asked.chosen, asked.margins, asked.chosen.unit
    details = {
        "window with nominal parts": window_words(unit, asked.nominal_window) if first <= last else "empty",
        "window at worst case": window_words(unit, asked.window) if low <= high else "empty",
    }
    if low <= high:
        left = min(chosen.nominal - low, high - chosen.nominal)
        some = unit.rounded(left, None, Rounding.DOWN) > 0
        details["tolerance that remains about the length"] = f"± {unit.down(left)}" if some else "none"
    details["cuts that work"] = _yield_words(asked)
    if margins.slack < 0 and asked.length is None and margins.exclusive:
        best = margins.best(asked.step, abs(last - first) / 2 + asked.step)
        details["length that works most often"] = (
            f"{unit.show(chosen.nominal + best)}: {share_words(margins.failing(best))}"
        )
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
        details["mark out from the tip"] = asked.chosen.unit.exactly(asked.chosen.nominal + facing)
        details["saw beyond the mark"] = f"the kerf takes {show(kerf)}, facing takes {show(facing)}"
    if asked.bought is not None:
        off = asked.bought.nominal - asked.chosen.nominal
        details["to cut off"] = show(off) if off >= 0 else f"nothing: the plug is {show(-off)} too short"
        spare = asked.bought.lower - asked.chosen.nominal - facing - kerf
        if spare < 0 <= off and kerf:
            details["to cut off"] += ", which the saw may not leave a chip of: file or face it off"
        elif kerf:
            details["offcut"] = f"at the least {asked.chosen.unit.down(spare)}"
    return details


def _second_look(asked: PlugLength) -> dict[str, str]:
    """What has been measured, and what would be worth measuring next."""
    show = asked.chosen.unit.show
    losses = asked.margins.losses()
    known = [loss.part.called for loss in losses if was_measured(loss.part)]
    details = {"measured": listed(known)} if known else {}
    if next_one := unmeasured(losses, [asked.chosen])[:1]:
        part, amount = next_one[0]
        details["worth measuring next"] = f"{part.called}: its tolerance takes {show(amount)} of the window"
    return details
