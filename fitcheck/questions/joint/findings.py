"""What is found of a screwed joint: how much engages, whether the halves mate, what it bears, how it comes apart."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np

from fitcheck.mechanics import short_model
from fitcheck.mechanics.tube import HOLE_FACTOR, twist_limit
from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.joint.mating import binds_finding, flanks_meet, mating_findings, worn_words
from fitcheck.questions.joint.question import ThreadEngagement
from fitcheck.questions.joint.rest_angle import Clocking
from fitcheck.questions.judge import judge
from fitcheck.questions.moves import Change, Effect, Resizing
from fitcheck.questions.quantities import SHEAR_RULE, bearing_assumption, shear_assumption
from fitcheck.questions.question import answers
from fitcheck.questions.remedy import enough, holds, needed_shift
from fitcheck.questions.short_threads import strip_assumptions
from fitcheck.questions.threaded_tube import clamp_caution
from fitcheck.questions.words import REMOVAL_CAUTIONS, STRENGTH_CAUTIONS, Meaning, assumed_spreads, listed
from fitcheck.stack import Dimension, Response, Sum
from fitcheck.stack.synthesis import moved as resized
from fitcheck.stack.system import Least
from fitcheck.threads import Thread
from fitcheck.units import PLAIN, Number


@dataclass(frozen=True, slots=True)
class Screwed:
    """What is handed over of a screwed joint."""

    thread: Thread
    turns: float
    """To unscrew it, at the most."""


@answers(ThreadEngagement)
def findings(asked: ThreadEngagement) -> tuple[Finding, ...]:
    found = [_engaged(asked), *([binds_finding(asked)] if asked.unlike else mating_findings(asked))]
    # What cannot be screwed together, or rests on two flanks or on the edges of its ridges, bears nothing to be told.
    if not asked.unlike and asked.pair.start != "does not start" and flanks_meet(asked):
        found.append(_carries(asked))
    if asked.removal_torque is not None:
        found.append(_unscrews(asked, asked.removal_torque))
    if asked.clock_now is not None:
        found.append(_clocks(asked, asked.clock_now))
    return tuple(found)


def _engaged(asked: ThreadEngagement) -> Finding:
    turns, pitch = asked.turns, asked.external.pitch
    low, high = turns.worst_case()
    length = Resizing("length", asked.length)

    def longer(by: float) -> list[Sum]:
        """The turns of a length that is longer by so much."""
        return [resized(asked.length, asked.length.nominal + by) / pitch]

    requirement = Requirement(at_least=asked.threads, risk=asked.risk)
    change = []
    if not holds(turns, requirement):
        # The risk can ask for more than the worst case: of a spread without end.
        full = Requirement(at_least=asked.threads * pitch, risk=asked.risk)
        short = needed_shift(asked.length, full).at_worst_case or 0.0
        more = enough(longer, requirement, short, asked.length.unit, math.inf)
        if more is not None:
            do = f"engage {asked.length.unit.up(more)} more of full thread"
            change.append(Change.doing(do, Effect.HOLDS, [length.by(more)]))
    return judge(
        asked,
        turns,
        requirement,
        label="engaged threads",
        answer=f"{turns.nominal:.1f} turns of {asked.external.designation}, {PLAIN.down(low, 1)} to "
        f"{PLAIN.up(high, 1)}.",
        means=Meaning("Enough thread engages", "Too little thread engages"),
        change=change,
        assumptions=assumed_spreads(asked.length),
        sources=("three threads at least: common practice, no source",),
        cautions=STRENGTH_CAUTIONS,
        handover=Screwed(asked.external, asked.length.upper / asked.external.lead),
    )


def _carries(asked: ThreadEngagement) -> Finding:
    load, strip = asked.load_borne, asked.load_borne.strip
    tubes = {half: pulled.response(load.shown) for half, pulled in load.pulled.items()}
    weakest = Least([strip, *tubes.values()], name="load of the joint") if tubes else strip
    hole, screw = load.strip_both(**{key: value.nominal for key, value in load.strip_inputs.items()})
    limits = {"internal thread strips": float(hole), "external thread strips": float(screw)}
    yields = {f"tube under the {half} thread yields": tube.nominal for half, tube in tubes.items()}
    limits |= yields
    first = min(limits, key=lambda what: limits[what])
    show = weakest.unit.show
    low, _ = weakest.worst_case()
    cannot, about = first in yields, "about " if first in yields else ""
    across = {f"tube under the {half} thread, pulled and nothing else": one.across for half, one in load.pulled.items()}
    return judge(
        asked,
        weakest,
        Requirement(at_least=asked.load, risk=asked.risk),
        label="load that the joint bears" if tubes else "strip load",
        answer=f"the {first} first, at {about}{show(weakest.nominal)}, at the least {weakest.unit.down(low)}.",
        means=Meaning("The joint bears its load", "The joint can give way under its load"),
        change=(
            "a thicker wall at the root of that thread or a stronger tube is needed; more engaged thread spreads the "
            "squeeze of its flanks, and helps no further than the section beside it bears"
            if cannot
            else "engage more thread, or make the weaker half of a stronger material",
        ),
        assumptions=(
            *assumed_spreads(*weakest.inputs.values()),
            *shear_assumption(asked.external_material, SHEAR_RULE),
            *shear_assumption(asked.internal_material, SHEAR_RULE),
            *bearing_assumption(asked.internal_material, asked.external_material, beside=asked.length.unit),
            *strip_assumptions(asked.turns.worst_case()),
            "The tube walls do not give way; a thin wall that widens holds less.",
            *_about_walls(asked, list(tubes)),
            *_about_yielding(asked),
            *filter(None, [worn_words(asked).strip()]),
        ),
        sources=(
            "shear areas: FED-STD-H28/2, ASME B1.1 appendix B",
            f"short threads: {short_model().source}",
            load.internal.shear.origin,
            load.external.shear.origin,
            *(["tube: tension, flanks of 30° and Lamé's ring, von Mises; bending: elementary"] if tubes else []),
            *(tube.strength.origin for tube in load.tubes.values()),
        ),
        cautions=STRENGTH_CAUTIONS,
        details={f"{what} at": show(at) for what, at in (limits | across).items()},
        least_risk=short_model().least_risk,
    )


def _about_walls(asked: ThreadEngagement, known: list[str]) -> list[str]:
    """What is assumed of the walls under the threads."""
    keys = {"external": "external_bore", "internal": "internal_outside"}
    unknown = [half for half in keys if half not in known]
    said = []
    if unknown:
        said.append(
            f"The wall under the {listed(unknown, 'and the')} thread is not known: a thin tube can yield across "
            f"the root of its thread at less than this. Give {listed([keys[half] for half in unknown])} to see."
        )
    if known and asked.holes is None:
        said.append(
            "Set screw holes and slots in the wall are not counted; each takes its share of the section: give holes."
        )
    return said


def _about_yielding(asked: ThreadEngagement) -> list[str]:
    """What is taken of the squeeze, the bending and the holes, and what a first yielding means."""
    said = []
    if asked.load_borne.tubes:
        said.append(
            "A tube yields first, in one place, where the whole pull and the squeeze of the flanks, even along the "
            "thread and without friction, meet; it comes apart later, no later than its section alone would yield."
        )
    if asked.load_borne.moment is None:
        said.append(
            "No bending is counted: a weight or a knock at the end of a long part loads its joint as a pull of four "
            "times the moment over the diameter does. Give moment to see."
        )
    else:
        said.append("The moment loads thread and tube as a pull does that is everywhere as great as at its worst side.")
    if asked.holes is not None:
        said.append(
            f"Holes: {asked.holes_abreast} side by side, in the thinnest section of each wall, take their share of it; "
            "at their edges a little metal yields at a third of that, which shaking turns into cracks."
        )
    return said


def _to_spare(borne: Callable[..., Number], torque: Number, **v: Number) -> Number:
    return borne(**v) - torque


def _unscrews(asked: ThreadEngagement, torque: Dimension) -> Finding:
    halves = asked.load_borne.tubes
    limit = twist_limit if asked.holes is None else _holed_twist
    tubes = {half: tube.response(limit, torque.unit) for half, tube in halves.items()}
    weakest = Least(list(tubes.values()), name="torque that twists the tube")
    inputs = {**weakest.inputs, "torque": torque}
    spare = Response(partial(_to_spare, weakest.function), inputs, unit=torque.unit, name="torque to spare")
    show = spare.unit.show
    half = list(tubes)[weakest.weakest]
    return judge(
        asked,
        spare,
        Requirement(at_least=0.0, risk=asked.risk),
        label="torque to spare before the tube twists",
        answer=(
            f"the one under the {half} thread twists at {show(weakest.nominal)}, at the least "
            f"{torque.unit.down(weakest.worst_case().min)}; unscrewing takes up to {torque.unit.up(torque.upper)}."
        ),
        means=Meaning("The tube survives unscrewing", "Unscrewing can twist the tube"),
        change=("free the joint by penetrant, warmth and time before any more torque",),
        assumptions=(
            *assumed_spreads(*inputs.values()),
            *_about_walls(asked, list(tubes)),
            "At the edge of a set screw hole yielding begins at about a quarter of the torque that twists its section"
            f"{'.' if asked.holes is None else ', which is counted: wherever they are.'}",
        ),
        sources=(
            "torsion of a tube, von Mises",
            *(tube.strength.origin for tube in halves.values()),
        ),
        cautions=(
            *REMOVAL_CAUTIONS,
            *([clamp_caution(halves["internal"], torque.upper, torque.unit)] if "internal" in halves else []),
            *STRENGTH_CAUTIONS,
        ),
        details={f"tube under the {half} thread twists at": show(tube.nominal) for half, tube in tubes.items()},
    )


def _holed_twist(Do: Number, Di: Number, Rp: Number) -> Number:
    return np.asarray(twist_limit(Do, Di, Rp) / HOLE_FACTOR)


def _clocks(asked: ThreadEngagement, now: Dimension) -> Finding:
    part = Clocking(asked.external, now, asked.clock_wanted, asked.clock_by, asked.clock_cut, asked.clock_places)
    requirement = Requirement(at_least=-asked.clock_within, at_most=asked.clock_within, risk=asked.risk)
    return part.finding(asked, requirement)
