"""What is found of a stuck tube: how hard it may be turned."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np

from fitcheck.printed import rounded_down
from fitcheck.questions.finding import Finding, Requirement, Verdict
from fitcheck.questions.judge import judge
from fitcheck.questions.moves import Besides
from fitcheck.questions.question import answers
from fitcheck.questions.stuck_tube.held import held_finding
from fitcheck.questions.stuck_tube.question import StuckTube
from fitcheck.questions.stuck_tube.strength import AtMost, Loosening, Twist
from fitcheck.questions.threaded_tube import clamp_caution, how_to_hold
from fitcheck.questions.words import ELECTRICAL_CAUTIONS, STRENGTH_CAUTIONS, assumed_spreads, hand, turning
from fitcheck.stack import Response
from fitcheck.threads import Thread
from fitcheck.units import PLAIN, Number, Unit

ADVICE = (
    "Before torque: clean the gap, penetrant oil and a day of time, light taps around the thread, then gentle heat on "
    "the outer half only, with the cell, module and all plastic taken out. This is advice; no number stands behind it."
)


@dataclass(frozen=True, slots=True)
class TurnedLoose:
    """What is handed over of a joint that may be stuck."""

    thread: Thread
    torque: float
    """Not to be passed, N·m."""
    unit: Unit


def _margin(twist: Twist, loosening: Loosening, **v: Any) -> Number:
    return np.asarray(twist.weakest(v) / loosening.takes(v))


@answers(StuckTube)
def findings(asked: StuckTube) -> tuple[Finding, ...]:
    """The torque its weakest section bears over the torque that turns it loose."""
    twist, loosening = asked.twist, asked.loosening
    ratio = Response(
        partial(_margin, twist, loosening),
        {**twist.inputs, **loosening.inputs},
        unit=PLAIN,
        name="torque it bears over torque to loosen it",
    )
    show, down, length = loosening.unit.show, loosening.unit.down, asked.bore.unit.show
    safe = rounded_down(loosening.unit, asked.safe_torque)
    nominal = {key: value.nominal for key, value in twist.inputs.items()}
    borne = {where: float(torque) for where, torque in twist.bears(nominal).items()}
    where = min(borne, key=lambda one: borne[one])
    low, high = loosening.torque.worst_case()
    (root, bore), (outside, major) = twist.inner.nominal_section, twist.outer.nominal_section
    left = asked.external.left_hand
    turn = f"{turning(left, loosen=True)}, it is {hand(left)}"
    yields, loose = f"the {where} yields at about {show(borne[where])}", show(loosening.torque.nominal)
    vain = asked.in_vain is not None
    turns = f"about {loose} turns it loose"
    if vain:
        turns = f"more than {show(loosening.torque.nominal)} turns it loose, and nothing says how much more"
    finding = judge(
        asked,
        AtMost(ratio, "a torque that did not turn it says only what it takes at the least") if vain else ratio,
        Requirement(at_least=1.0, risk=asked.risk),
        label="torque it bears over torque to loosen it",
        answer=f"Turn {turn}, with up to {safe}; {yields}, and {turns}.",
        change=(
            Besides(ADVICE),
            f"stop at {safe}; past that, cut the half that is easier to replace",
        ),
        assumptions=(
            *assumed_spreads(*ratio.inputs.values()),
            "The tube is twisted evenly, by a strap or a fitted clamp: jaws that flatten a thin tube lock the "
            "thread and dent the wall long before this torque.",
            "Sections away from the thread are as thick or thicker.",
            _about_holes(asked),
            "Friction says what a clean thread takes; corrosion, galling and adhesive are in 'harder' alone.",
        ),
        sources=(
            "torsion of a round tube; yielding at 1/sqrt(3) of the tensile yield strength: von Mises",
            "root of the external thread: 5/8 H (ASME B1.1) to 0.616 P (ISO 965-1) under its pitch diameter; of the "
            "internal thread: 3/4 H (ISO 68-1) to 11/12 H (Machinery's Handbook) over it",
            *(["groove: Neuber, Kerbspannungslehre; Peterson, chapter 2, from memory"] if asked.neck else []),
            twist.inner.strength.origin,
            twist.outer.strength.origin,
        ),
        cautions=(
            *STRENGTH_CAUTIONS,
            *ELECTRICAL_CAUTIONS,
            clamp_caution(twist.outer, min(high, asked.safe_torque), loosening.unit),
            "Heat weakens age-hardened aluminium for good and softens plastic; never heat a tube with a cell.",
        ),
        details={
            **{f"{one} yields at": show(torque) for one, torque in borne.items()},
            "wall left under the thread": f"{length((root - bore) / 2)} of the screwed-in half, "
            f"{length((outside - major) / 2)} of the half around it",
            "torque to loosen it": f"{'more than ' if vain else ''}{loose}, {down(low)} to {loosening.unit.up(high)}",
            "safe torque": f"{safe} at a risk of {asked.risk:g}",
            "hold it with": how_to_hold(twist.outer, min(high, asked.safe_torque), loosening.unit),
            "first": ADVICE,
        },
        handover=TurnedLoose(asked.external, asked.safe_torque, loosening.unit),
        do=f"unscrew the tube {turning(left, loosen=True)}, with no more than {safe}",
    )
    if finding.verdict is Verdict.FAILS:
        # The reason stands first: it must be read before anybody turns, and where an answer is cut it stays.
        first = "Do not count on torque:" if vain else "Do not force it:"
        tried = f"No more than {safe} is safe; turn {turn}."
        means = "The tube can yield before it turns loose"
        finding = replace(finding, answer=f"{first} {turns}; {yields}. {tried}", means=means)
    return (finding,) if asked.held is None else (finding, held_finding(asked, asked.held))


def _about_holes(asked: StuckTube) -> str:
    """What set-screw holes leave of the torque."""
    if asked.holes is None:
        return (
            "No set-screw hole is counted: at the edge of one, yielding begins at about a quarter of the torque of its "
            "section (safe side; 43 % for a smooth hole in a flat wall: Kirsch, from memory). Give holes to count them."
        )
    return (
        "Set-screw holes are taken to lie in the thinnest section, and the stress at their edge to be 4 times that "
        "beside them (Kirsch, from memory; the safe side)."
    )
