"""What is said about a set screw: strip risk, hold, and, where a limit is given, loose screw and dent."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any

import numpy as np

from fitcheck.mechanics import dent_depth, dent_load, short_model, torsional_hold
from fitcheck.mechanics.flank_bearing import LEAST_OVERLAP
from fitcheck.questions.finding import Finding, Requirement, Verdict
from fitcheck.questions.judge import judge
from fitcheck.questions.moves import Besides, Change, Edit, Effect
from fitcheck.questions.out_of_class import out_of_class, worn_sizes
from fitcheck.questions.quantities import bearing_assumption, of_property, shear_assumption
from fitcheck.questions.question import answers
from fitcheck.questions.readers import stated_in
from fitcheck.questions.set_screw.backed_off import staying_screw
from fitcheck.questions.set_screw.clamp_load import clamp_assumptions, clamp_cautions, locking_assumption, scatter_taken
from fitcheck.questions.set_screw.fullness import thread_words
from fitcheck.questions.set_screw.hands import takes_driver
from fitcheck.questions.set_screw.own_trials import TRY_SOME, trial_words, worth_trying
from fitcheck.questions.set_screw.remedies import (
    MOST_SCREWS,
    Screws,
    a_driver,
    each_turned,
    other_screws,
    placed,
    screws_to_hold,
    torque_window,
    turned_with,
    with_drivers,
)
from fitcheck.questions.set_screw.rules_of_thumb import in_one_line, rules_of_thumb
from fitcheck.questions.set_screw.sentences import (
    at_the_bench,
    backing_words,
    changes,
    dent_cautions,
    dent_words,
    filled_in,
    hand_words,
    life_words,
    locking_words,
    not_measured,
    socket_words,
    strip_words,
    textbook_words,
    torque_advice,
)
from fitcheck.questions.set_screw.side_load import side_caution, side_finding
from fitcheck.questions.set_screw.spotted import spot_finding, spot_offer
from fitcheck.questions.set_screw.strength import SetScrew
from fitcheck.questions.set_screw.torque_limits import (
    Gives,
    Limit,
    TurnsOff,
    advised_torque,
    down,
    passes,
    torque_limits,
    turns_off,
)
from fitcheck.questions.set_screw.tube_blade import SOLID, tube_finding
from fitcheck.questions.shape import Hills, hills
from fitcheck.questions.short_threads import strip_assumptions
from fitcheck.questions.words import BLADE_CAUTIONS, STRENGTH_CAUTIONS, Meaning, assumed_spreads
from fitcheck.stack import Dimension, Response
from fitcheck.threads import Pair, Thread
from fitcheck.units import PERCENT, PLAIN, TORQUE, Number, Unit


@dataclass(frozen=True, slots=True)
class BenchCard:
    """What is handed over with the device: the screw, its torque, and how it is backed off."""

    screw: Thread
    screws: int
    length: Dimension
    point: str
    material: str
    key: float | None
    """Width of the key, mm; None where neither sheet nor standard says it."""
    unit: Unit
    """What torques are shown in."""
    torque: float
    """Not to be passed, N·m; not above 0 where none is safe."""
    by_hand: str
    turns: TurnsOff
    left: float
    """Threads that hold it at the least when it is backed off; 0 where it can fall out."""


_OFF = 1.0
"""How far a hole drilled by hand is soon beside the axis, mm (common practice, no source)."""
_HALF = {Gives.HOLE: "hole", Gives.SCREW: "screw"}


@dataclass(frozen=True, slots=True)
class StripDrawing:
    """What the figure of the strip risk shows: strip torque against hand torque, and the threads that engage."""

    spreads: Callable[[], Hills] = field(compare=False, repr=False)
    """Of the strip torque and the hand torque, N·m: found when they are drawn."""
    unit: Unit
    """What torques are shown in."""
    safe: float
    textbook: float
    limits: tuple[Limit, ...]
    threads: tuple[float, float, float]
    """Engaged threads: worst case low, nominal, worst case high."""
    pair: Pair
    """The screw in its hole, as made or as measured, for the figure of their profiles."""
    bench: BenchCard


def _nothing_holds(q: SetScrew) -> tuple[Meaning, str]:
    """What it means, and the numbers, where no torque strips the thread because none of it holds at nominal sizes."""
    turns = q.threads_engaged.nominal
    if not turns > 0:
        none = "No thread of the screw engages in the wall"
        return Meaning(none, none), "nothing holds it, and no torque is safe."
    none, overlap = "Nothing holds the screw", PERCENT.show(q.flank_overlap.nominal, 0)
    return Meaning(none, none), (
        f"its {turns:.1f} threads in the wall overlap by {overlap} of a new profile's, less "
        f"than the {PERCENT.show(LEAST_OVERLAP, 0)} that is relied on; no torque is safe."
    )


def strip_finding(q: SetScrew) -> Finding:
    """Strip torque over hand torque."""
    used, show = q.hand_torque.unit, q.hand_torque.unit.show
    strip, threads, first = q.strip_torque, q.threads_engaged, torque_limits(q)
    few, many = threads.worst_case()
    band = strip.interval(0.9)
    safe, textbook = q.safe_torque, float(q.torque_to_strip(textbook=True, **q.nominal))
    advised = advised_torque(q)
    hand = f"a safe hand torque is {down(used, advised.torque)}"
    if advised.kind is not Gives.THREAD:
        hand = f"the {advised.kind} gives way before the thread, so no more than {down(used, advised.torque)} is safe"
    strips = "Strips before the key is tight" if q.strip_margin.nominal < 1 else "Can strip as the key is turned"
    means = Meaning("The thread holds the hand torque", strips)
    answer = (
        f"with {threads.nominal:.1f} threads in the wall (worst {PLAIN.down(few, 1)}) the thread strips at "
        f"{used.down(band.min)} to {used.up(band.max)}, nine times in ten; for {life_words(q)}, {hand}."
    )
    if not q.strip_margin.nominal > 0:
        means, answer = _nothing_holds(q)
    return judge(
        q,
        q.strip_margin,
        Requirement(at_least=1.0, risk=q.risk / q.screws),
        label="strip torque over hand torque",
        answer=answer,
        means=means,
        change=(*changes(q, advised.torque), *((TRY_SOME,) if worth_trying(q) else ())),
        do=torque_advice(q) if advised.torque > 0 else "",
        assumptions=(
            *assumed_spreads(*q.strip_inputs.values(), q.put_on),
            *filled_in(q),
            *shear_assumption(q.wall_material, q.shear_rule),
            *shear_assumption(q.screw_material, q.shear_rule),
            *bearing_assumption(q.wall_material, q.screw_material, beside=q.bore.unit),
            *strip_assumptions(threads.worst_case()),
            "The blade is pressed against the far side of the bore; its dent is left out of the engaged length.",
            "The threads are sound but for what is stated; a soft thread wears each time a hard screw is turned home.",
            _off_the_axis(q),
            *scatter_taken(q),
            "The wall is stiff: one that bulges around the hole holds less.",
            *locking_assumption(q),
        ),
        sources=(
            "shear areas: FED-STD-H28/2, ASME B1.1 appendix B",
            f"short threads: {short_model().source}",
            "torque and load: VDI 2230-1, 5.4.1, with the point in place of the head",
            *(q.strip_inputs[key].origin for key in ("tau_wall", "tau_screw")),
            *([f"set screw: {q.size.source}"] if q.size is not None else []),
        ),
        cautions=(*STRENGTH_CAUTIONS, *dent_cautions(q)),
        details={
            "at the bench": at_the_bench(q),
            "threads in the wall": f"{threads.nominal:.2f}, worst case {few:.2f} to {many:.2f}",
            **thread_words(q),
            "strip torque": strip_words(q),
            "safe torque": f"{down(used, safe)} at a risk of {q.claimed_risk:g} for {life_words(q)}",
            "risk": _risk_words(q),
            **trial_words(q, strips=q.safe_torque < q.put_on.upper),
            "textbook strip torque": textbook_words(q, textbook),
            "rules of thumb": in_one_line(q),
            "limits first": "; ".join(f"{one.kind} {show(one.torque)} ({one.basis})" for one in first),
            "weaker thread": next(_HALF[one.kind] for one in first if one.kind in _HALF),
            **dent_words(q),
            **backing_words(q),
            **socket_words(q),
            "self-locking": locking_words(q),
        },
        rules=rules_of_thumb(q),
        drawing=StripDrawing(
            partial(hills, strip, q.put_on),
            q.hand_torque.unit,
            safe,
            textbook,
            first,
            (few, threads.nominal, many),
            q.pair,
            bench_card(q),
        ),
        least_risk=q.least_risk / q.screws,
        worn=worn_sizes(
            out_of_class(
                [
                    ("screw", q.screw, {"major": q.screw_major, "pitch": q.screw_pitch}),
                    ("hole", q.hole, {"minor": q.hole_minor, "pitch": q.hole_pitch}),
                ]
            )
        ),
    )


def _off_the_axis(q: SetScrew) -> str:
    """How little it matters that a hole is drilled beside the axis of the tube, for this tube."""
    outer, inner, off = q.outside.nominal / 2, q.bore.nominal / 2, min(_OFF, q.bore.nominal / 8)
    more = (math.sqrt(outer**2 - off**2) - math.sqrt(inner**2 - off**2)) / (outer - inner) - 1
    return (
        f"The hole points at the axis of the tube: one that misses it by {q.bore.unit.show(off)} goes through "
        f"{more:.1%} more wall, which is not counted."
    )


def _risk_words(q: SetScrew) -> str:
    said = f"{q.risk_a_screw:g} is accepted of each screw, which is {q.claimed_risk:g} for {life_words(q)}"
    if q.risk < q.least_risk:
        said += f"; {q.risk:g} is asked for, and the published tests can tell no risk below {q.least_risk:g}"
    return said


def bench_card(q: SetScrew) -> BenchCard:
    """What the card says of the screw, by the torque that is advised."""
    torque = advised_torque(q).torque
    left, _ = q.threads_backed_off.worst_case()
    key = q.key if q.key is not None or q.size is None else q.size.socket
    return BenchCard(
        q.screw, q.screws, q.sizes["screw_length"], q.point, q.screw_material.name, key, q.hand_torque.unit,
        torque, hand_words(torque), turns_off(q), left,
    )  # fmt: skip


def _turned(q: SetScrew, *, too_much: bool) -> tuple[Dimension, float]:
    """The torque that every screw is turned with, the safe one where the hand's is too much, and what key and socket
    pass of it, N·m.
    """
    tool = passes(q)
    used = q.put_on_up_to(max(advised_torque(q).torque, 0.0)) if too_much else q.put_on
    return used, math.inf if tool is None else tool.torque


def hold_finding(q: SetScrew, *, strips: bool, crushes: bool = False) -> Finding:
    """Friction that holds the blade at the hand torque, or at the safe torque where the hand torque strips the thread.

    `strips` says which. A stripped thread holds nothing, so a hold at a torque that strips it would be a promise nobody
    can keep; nor can it be kept by a blade whose wall gives way, which `crushes` says.
    """
    safe = advised_torque(q).torque
    tool = passes(q)
    used, cap = _turned(q, too_much=strips or crushes)
    hold = q.hold_at(used, cap)
    show, torque = hold.unit.show, q.hand_torque.unit.show
    low, _ = hold.worst_case()
    least = hold.unit.down(low)
    pull, why = q.pulled
    twist = stated_in(q.twist, TORQUE).show if q.twist else torque
    if strips or crushes:
        zone = f"{torque(used.lower)} to {down(used.unit, used.upper)}"
        reason = "strips the thread" if strips else "is too much for the blade"
        at = f"at the safe torque, {zone}, since the hand torque {reason}"
    elif used.upper > cap and tool is not None:
        at = f"at the hand torque of {used}, of which the {tool.kind} passes {down(used.unit, cap)}"
    else:
        at = f"at the hand torque of {used}"
    screws = "1 screw holds" if q.screws == 1 else f"{q.screws} screws hold"
    means: Meaning | None = Meaning("The blade stays", "The blade can come out")
    answer = f"{screws} it with {show(hold.nominal)}, at the least {least}, {at}."
    if (taken := q.clamping.get("prevailing")) is not None and used.lower <= taken.upper:
        answer += (
            f" The locking takes up to {taken.unit.up(taken.upper)} of that, so a screw may never clamp: it is counted "
            "for nothing."
        )
    if strips and not safe > 0:
        means, answer = None, "No torque is safe on this thread, so friction can be counted on for nothing."
    if q.mass is not None and q.swing is None and q.drop is None:
        answer += " It is asked for a weight that hangs still: give swing and arm, or drop and stop, if it is moved."
    unknown = q.angles is None and q.screws > 1
    if unknown:
        example = ", ".join(['"0 deg"'] * q.screws)
        answer += (
            f" The screws' directions are not given, so the worst is taken: for one side give angles = [{example}]."
        )
    directions = f"The bore takes {q.share:.0%} of the screws' thrust, by their directions."
    if unknown:
        directions = "The screws are taken to press against each other, so that the bore holds nothing."
    return judge(
        q,
        hold,
        Requirement(at_least=q.demand, risk=q.risk),
        label="friction hold on the blade",
        answer=answer,
        means=means,
        change=_to_hold_more(q, used, low, strips=strips) if low < q.demand else ("use less pull, or more friction",),
        assumptions=(
            *assumed_spreads(*hold.inputs.values()),
            "No thread has stripped: see the finding on the strip torque.",
            "Friction alone holds; the bite of the point is left out.",
            directions if q.angles is not None or q.screws > 1 else "The screws press from one side.",
            *clamp_assumptions(q),
            *scatter_taken(q),
            *([SOLID] if q.blade_bore is None else []),
        ),
        sources=("friction at the points and at the far side of the bore: statics",),
        cautions=(*BLADE_CAUTIONS, *clamp_cautions(q), *side_caution(q, used, cap), *STRENGTH_CAUTIONS),
        details={
            "pull": f"{show(pull)} ({why})" + (f", with a twist of {twist(q.twist)}" if q.twist else ""),
            **(_screws_words(q) if low < q.demand and safe > 0 else {}),
            **({"margin": f"{low / q.demand:.3g} times what is asked for, at the least"} if q.demand > 0 else {}),
            "hold against twist": twist(float(torsional_hold(hold.nominal, q.blade.nominal))),
        },
    )


def _to_hold_more(q: SetScrew, put_on: Dimension, low: float, *, strips: bool) -> tuple[str | Change, ...]:
    """What makes the screws hold at worst case what is asked, and no more torque than is safe."""
    change: list[str | Change] = []
    safe = advised_torque(q).torque
    others = other_screws(q)
    ways = [(screws.number, _with_screws(q, screws)) for screws in others]
    if (harder := _turned_harder(q, put_on, safe)) is not None:
        change.append(harder)
    elif safe > 0 and (by_driver := _by_driver(q, safe, others)) is not None:
        ways.insert(0, by_driver)
    change += [way for _, way in sorted(ways, key=lambda way: way[0])]
    change += spot_offer(q)
    if safe > 0:  # the torque is said already where it is the advice on a thread that strips
        said = strips and not ways
        change.append(f"find more friction or a thicker wall{'' if said else f', and {torque_advice(q)}'}")
    else:
        change.append("use other screws: no torque is safe on this thread")
    if safe > 0 and not ways and q.screws < MOST_SCREWS:
        change.append(Besides(f"not even {MOST_SCREWS} such screws hold it by friction, and more hardly find room"))
    return tuple(change)


def _turned_harder(q: SetScrew, put_on: Dimension, safe: float) -> Change | None:
    """Between which torques the screws hold at worst case what is asked and strip nothing; None where at none.

    put_on: what is put on the key, N·m. safe: not to be passed, N·m.
    """
    window = torque_window(q, put_on, safe)
    if window is None:
        return None
    lowest, highest, between, _ = window
    how = "turn every screw with" if q.driver is None else "set the driver to"
    # The least of a hand that scatters is the lowest, so that the most of it lies above.
    weak = lowest if q.driver is not None else lowest * put_on.upper / put_on.lower
    return Change.of(
        f"{how} {between}{takes_driver(q, highest)}",
        Effect.HOLDS,
        *([turned_with(q, torque)] for torque in (weak, highest)),
    )


def _by_driver(q: SetScrew, safe: float, others: Sequence[Screws]) -> tuple[int, Change] | None:
    """What a torque driver would do where that which turns the screws scatters too much; with the number of screws.

    safe: not to be passed, N·m. others: screws that do without it; as many are not offered again.
    """
    drivers = [*with_drivers(q)]
    for driven in drivers:
        window = torque_window(driven, driven.put_on, safe)
        # What lies between two marks of a driver is not set.
        if window is not None and window.marks:
            line = f"turn every screw with {a_driver(driven)}, set to {window.between}"
            ends = dict.fromkeys((window.lowest, window.highest))
            edits = ([Edit("driver", driven.driver), turned_with(driven, torque)] for torque in ends)
            return q.screws, Change.of(line, Effect.HOLDS, *edits)
    if not drivers:
        return None
    usual, fewest = drivers[0], min((screws.number for screws in others), default=MOST_SCREWS + 1)
    fewer = min(other_screws(q, usual), key=lambda screws: screws.number, default=None)
    return None if fewer is None or fewer.number >= fewest else (fewer.number, _with_screws(q, fewer, usual))


def _with_screws(q: SetScrew, screws: Screws, driven: SetScrew | None = None) -> Change:
    """The line that offers so many screws, and the move that asks again with them.

    driven: the question with the torque driver that is bought for them; None where they are turned as now.
    """
    by = driven or q
    turned = each_turned(by, screws.torque) if driven is None else each_turned(by, screws.torque, f"{a_driver(by)},")
    line = f"use {screws.number} screws {screws.where}, {turned}"
    unplaced = (Edit(key, None) for key in placed(q) if key != "angles")
    edits = [Edit("screws", screws.number), Edit("angles", screws.angles), *unplaced, turned_with(by, screws.torque)]
    return Change.of(line, Effect.HOLDS, edits if driven is None else [Edit("driver", by.driver), *edits])


def _screws_words(q: SetScrew) -> dict[str, str]:
    """How many screws each of the pulls and the twist would take, where those that are there do not hold them."""
    causes = [(q.slips(pull, 0.0), "the pull" if q.mass is None else why) for pull, why in q.pulls if pull > 0]
    if q.twist:
        causes += [(q.slips(0.0, q.twist), "the twist"), (q.demand, "pull and twist together")]
    said = []
    for demand, why in causes:
        around, row = (screws_to_hold(q, demand, in_row=in_row) for in_row in (False, True))
        words = f"more than {MOST_SCREWS}" if around is None else str(around.number)
        if row is not None and (around is None or row.number < around.number):
            words += f", or {row.number} in one row"
        said.append(f"{why}: {words}")
    return {"screws it takes, each at its safe torque": "; ".join(said)} if said else {}


def overlap_finding(q: SetScrew) -> Finding:
    """Whether the crests of a worn screw or hole still overlap enough for their flanks to hold."""
    found = q.flank_overlap
    low, _ = found.worst_case()
    return judge(
        q,
        found,
        Requirement(at_least=LEAST_OVERLAP, risk=q.risk),
        label="overlap of the flanks",
        answer=" ".join(
            [
                f"the crests overlap by {found.nominal:.0%} of a new profile's, at the least {PERCENT.down(low, 0)}.",
                *not_measured(q),
            ]
        ),
        means=Meaning("Enough flank is left", "Too little flank is left"),
        change=(
            ("use a smaller tap drill",)
            if q.tap_drill is not None
            else ("cut the hole for a larger thread, or sleeve it", "measure the pitch diameters")
        ),
        assumptions=(
            *assumed_spreads(*found.inputs.values()),
            f"Below {LEAST_OVERLAP:.0%} of the basic overlap the flanks bear on their edges and can climb over; "
            "such a thread is counted as holding nothing.",
        ),
        sources=(f"least overlap of {LEAST_OVERLAP:.0%}: common practice, no source",),
        cautions=STRENGTH_CAUTIONS,
    )


def loose_finding(q: SetScrew, threads: float) -> Finding:
    """Threads that keep the screw in the wall when it is backed off to let the blade in."""
    left = q.threads_backed_off
    low, _ = left.worst_case()
    return judge(
        q,
        left,
        Requirement(at_least=threads, risk=q.risk),
        label="threads that hold the loose screw",
        answer=(
            f"backed off {turns_off(q).nominal:.1f} turns, until it is flush with the bore, the screw is held by "
            f"{left.nominal:.1f} threads, at the least {PLAIN.down(low, 1)}."
        ),
        means=Meaning(
            "The loose screw stays in the wall",
            "The loose screw can fall out" if low <= 0 else "The loose screw hangs on too little thread",
        ),
        change=() if low >= threads else tuple(_to_stay(q, threads)),
        assumptions=(*assumed_spreads(*left.inputs.values()), *filled_in(q)),
        sources=("geometry; one thread at least: common practice, no source",),
        cautions=STRENGTH_CAUTIONS,
    )


def _to_stay(q: SetScrew, threads: float) -> Iterator[str]:
    """What keeps more thread of a screw that is backed off."""
    used = q.sizes["screw_length"].unit
    if (other := staying_screw(q, threads)) is not None:
        named = used.show(other.length, 3 if used.text == "in" else 1)
        out = f"; on the blade it stands out by up to {q.bore.unit.up(other.out)}" if other.out > 0 else ""
        yield f"use a screw of {named}: at the least {PLAIN.down(other.threads, 1)} threads hold it backed off{out}"
    else:
        yield Besides("no standard screw that is longer keeps enough thread when it is backed off")
    sunk = q.nominal["countersink"] + q.nominal["countersink_inside"] > 0
    yield "use a thicker wall, or less countersink" if sunk else "use a thicker wall"
    yield "back it off only until the blade just enters"


def dent_finding(q: SetScrew, accepted: float) -> Finding:
    """Depth of the dent that the point leaves in the blade at the hand torque."""
    material = q.blade_material
    assert material is not None
    strength = of_property(material, "compressive")
    inputs = {
        **q.clamping,
        "hand_torque": q.put_on,
        "pressure": strength,
    }
    tool = passes(q)
    cap = math.inf if tool is None else tool.torque
    at = "at the hand torque"
    if tool is not None and q.put_on.upper > cap:
        at += f", of which the {tool.kind} passes {down(q.put_on.unit, cap)}"
    flat = q.point in ("flat", "dog")
    label = "pressure under the point over the blade's strength" if flat else "dent in the blade"
    found = Response(partial(_sunk, q, cap), inputs, unit=PLAIN if flat else q.bore.unit, name=label)
    limit = 1.0 if flat else accepted
    show = found.unit.show
    does = f"dents the blade of {material.name} by {show(found.nominal)}"
    if flat:
        does = f"presses on the blade of {material.name} with {show(found.nominal)} of what it bears"
    return judge(
        q,
        found,
        Requirement(at_most=limit, risk=q.risk),
        label=label,
        answer=f"a {q.point} point {does} {at}, at the most {found.unit.up(found.worst_case().max)}.",
        means=Meaning(
            "The point stays on the blade" if flat else "The dent stays small enough",
            "The point can sink into the blade" if flat else "The dent can be too deep",
        ),
        change=(
            "use a flat point, or a pad under the point",
            "use more screws, turn each with less torque, and ask again with both",
        ),
        assumptions=(
            *assumed_spreads(*inputs.values()),
            "The blade bears its compressive strength under the point, which is a deep estimate for a dent.",
            "A plastic creeps: the dent grows with time, and the screw loosens.",
        ),
        sources=("force balance under the point", strength.origin),
        cautions=(*BLADE_CAUTIONS, *STRENGTH_CAUTIONS),
    )


def _sunk(q: SetScrew, passes: float, **v: Any) -> Number:
    """Depth of the dent, mm; of a flat or dog point, which stands on the surface or sinks without end, the part of what
    the blade bears. `passes` is what key and socket pass at the most, N·m.
    """
    load = q.load({**v, "hand_torque": np.minimum(v["hand_torque"], passes)})
    end = v["point_diameter"] if q.point != "cone" else 0.0
    if q.point in ("flat", "dog"):
        return np.asarray(load / dent_load(q.point, end, v["pressure"]))
    return np.asarray(dent_depth(load, q.point, end, v["pressure"]))


def _agreed(q: SetScrew, strip: Finding, hold: Finding, tube: list[Finding]) -> list[Finding]:
    """The findings on one torque, their advice made one: a torque at which the screws do not hold is none to turn with.

    What makes the screws hold is asked at a torque that strips nothing, and so mends both.
    """
    if hold.verdict is Verdict.HOLDS:
        return [strip, hold, *tube]
    both = tuple(dict.fromkeys(move.words for move in hold.moves))
    if both and strip.verdict is not Verdict.HOLDS:
        alone = {move.words for move in strip.moves}
        change = (*both, *(line for line in strip.change if line not in alone))
        strip = replace(strip, change=change, moves=tuple(replace(m, effect=Effect.WITHIN_RISK) for m in hold.moves))
    torque = torque_advice(q)
    tube = [replace(one, change=tuple(line for line in one.change if line != torque)) for one in tube]
    return [replace(strip, do=""), hold, *tube]


@answers(SetScrew)
def findings(q: SetScrew) -> tuple[Finding, ...]:
    """Does the thread strip, do the screws hold the blade, and what was asked besides."""
    strip = strip_finding(q)
    strips = strip.verdict is Verdict.FAILS
    margin = q.blade_margin(_turned(q, too_much=False)[1])
    tube = [] if margin is None else [tube_finding(q, margin)]
    crushes = any(one.verdict is Verdict.FAILS for one in tube)
    if q.spotted is None:
        found = _agreed(q, strip, hold_finding(q, strips=strips, crushes=crushes), tube)
    else:
        found = [strip, spot_finding(q, *_turned(q, too_much=strips or crushes)), *tube]
    if q.side is not None:
        found.append(side_finding(q, *_turned(q, too_much=strips or crushes), q.side))
    if q.own_thread:
        found.append(overlap_finding(q))
    if q.stays is not None:
        found.append(loose_finding(q, q.stays))
    if q.dent is not None:
        found.append(dent_finding(q, q.dent))
    return tuple(found)
