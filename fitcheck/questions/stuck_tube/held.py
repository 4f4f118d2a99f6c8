"""What is found of the grip on a stuck tube: whether the tube stands the hold that turning it loose needs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from typing import Any

import numpy as np

from fitcheck.mechanics import collet_pressure, grip_to_hold, strap_pull
from fitcheck.mechanics.grip import GRIPS, STRAP_ARC
from fitcheck.printed import rounded_down
from fitcheck.questions.finding import Finding, Quantity, Requirement
from fitcheck.questions.judge import judge
from fitcheck.questions.moves import Change, Edit, Effect
from fitcheck.questions.readers import stated_in
from fitcheck.questions.remedy import enough, holds
from fitcheck.questions.stuck_tube.gripped import CLEAR, HOLE_UNDER_GRIP, Held
from fitcheck.questions.stuck_tube.question import StuckTube
from fitcheck.questions.stuck_tube.strength import AtMost, Loosening
from fitcheck.questions.words import ELECTRICAL_CAUTIONS, STRENGTH_CAUTIONS, Meaning, assumed_spreads
from fitcheck.stack import Dimension, Response, between
from fitcheck.stack.probability.quantile import advised_quantile
from fitcheck.stack.synthesis import moved as resized
from fitcheck.units import FORCE, PERCENT, PLAIN, STRESS, Number, Rounding

_LONGEST = 300.0
"""mm: a longer grip is not offered."""
_NAMES = {GRIPS[0]: "a collet", GRIPS[1]: "a strap", GRIPS[2]: "two soft jaws"}


def held_finding(asked: StuckTube, held: Held) -> Finding:
    """The torque that the grip passes before the tube under it yields, over the torque that turns the tube loose."""
    loosening, used = asked.loosening, asked.loosening.unit
    need, ratio = Requirement(at_least=1.0, risk=asked.risk), _margin(asked, held)
    vain = asked.in_vain is not None
    borne = held.borne(used)
    safe = max(advised_quantile(borne, asked.risk), 0.0)
    most = rounded_down(used, min(safe, asked.safe_torque))
    takes = used.show(loosening.torque.nominal)
    does = holds(ratio, need) and not vain
    long = f"{_NAMES[held.by]} {held.grip} long"
    answer = (
        f"{long} on the {asked.held_half} may pass up to {rounded_down(used, safe)} before the tube under "
        f"{'them' if held.by == GRIPS[2] else 'it'} yields; {'more than' if vain else 'about'} {takes} turns it loose."
    )
    if not does:
        answer += f" Held so, turn it by no more than {most}."
    change = [] if vain or does else list(_changes(asked, held, ratio, need))
    return judge(
        asked,
        AtMost(ratio, "a torque that did not turn it says only what it takes at the least") if vain else ratio,
        need,
        label="torque the grip passes over torque to loosen it",
        answer=answer,
        means=Meaning("The tube stands its grip", "The grip can crush the tube before it turns"),
        change=(*change, f"held so, turn it by no more than {most}"),
        assumptions=(
            *assumed_spreads(*ratio.inputs.values()),
            *_taken(asked, held),
        ),
        sources=(
            "collet: thin ring under even pressure; strap: Euler and Eytelwein, and the bending of a thin ring "
            "(Timoshenko, from memory); jaws: Roark, table 9.2, case 1, from memory",
            held.strength.origin,
        ),
        cautions=(
            "Both halves are held, and each takes the whole torque: ask about the other with held_half.",
            "Grip plain tube, not the thread: what presses on a thread locks it.",
            *STRENGTH_CAUTIONS,
            *ELECTRICAL_CAUTIONS,
        ),
        details={
            "it stands": _clamp_words(held, float(borne.nominal)),
            "share of what the tube stands": _shares(asked, held),
        },
    )


def _margin(asked: StuckTube, held: Held) -> Response:
    inputs = {**held.inputs, **asked.loosening.inputs}
    name = "torque the grip passes over torque to loosen it"
    return Response(partial(_over, held, asked.loosening), inputs, unit=PLAIN, name=name)


def _over(held: Held, loosening: Loosening, **v: Any) -> Number:
    return np.asarray(held.passes(v) / loosening.takes(v))


def _changes(asked: StuckTube, held: Held, ratio: Response, need: Requirement) -> Iterator[Change]:
    """Single changes after which a grip that does not hold does: another way to grip, a longer grip, a plug inside.

    ratio: `_margin` of the grip as it is.
    """
    gentle = _gentlest(asked, [held.by_another(by) for by in GRIPS if by != held.by], need)
    if gentle is not None:
        way = gentle.by if gentle.by == GRIPS[2] else f"a {gentle.by}"
        do = f"use {way} in its place"
        yield Change.doing(do, Effect.HOLDS, [Edit("held_by", gentle.by)])

    def longer(by: float) -> list[Quantity]:
        return [_margin(asked, replace(held, grip=resized(held.grip, held.grip.nominal + by)))]

    low = ratio.worst_case().min
    if low > 0:
        by = enough(longer, need, held.grip.lower * (1 / low - 1), held.grip.unit, _LONGEST)
        if by is not None:
            do = f"grip it {held.grip.unit.up(by)} longer"
            longest = resized(held.grip, held.grip.nominal + by)
            yield Change.doing(do, Effect.HOLDS, [Edit("grip", longest)])
    if (plug := _plug(held)) is not None and holds(_margin(asked, replace(held, plug=plug)), need):
        show = plug.unit.show
        places = plug.unit.decimals + 1
        do = f"put a plug of {show(plug.lower, places)} to {show(plug.upper, places)} inside"
        yield Change.doing(do, Effect.HOLDS, [Edit("plug_inside", plug)])


def _gentlest(asked: StuckTube, ways: list[Held], need: Requirement) -> Held | None:
    """Of the ways that hold at worst case the one that uses least of what the tube stands."""
    doing = [one for one in ways if holds(_margin(asked, one), need)]
    return max(doing, key=lambda one: _margin(asked, one).nominal, default=None)


def _plug(held: Held) -> Dimension | None:
    """A plug that goes in and bears before the tube yields, as a dimension in whole last digits; None where none."""
    if held.bore is None or held.plug is not None or (play := held.play) is None:
        return None
    used = held.bore.unit
    places = used.decimals + 1
    low = float(used.to_base(used.rounded(held.bore.upper - play, places, Rounding.UP)))
    high = float(used.to_base(used.rounded(held.bore.lower, places, Rounding.DOWN)))
    return between(low, high, name="plug", unit=used) if 0 < low < high else None


def _taken(asked: StuckTube, held: Held) -> Iterator[str]:
    where = "at the root of its thread" if held.bore is None else "as given"
    yield f"The section under the grip is {where}, and the wall under it yields first; a tool that fails first is none."
    if held.by == GRIPS[1]:
        yield (
            f"The strap lies on {np.degrees(STRAP_ARC):.0f}° and pulls evenly over its width; the head of the "
            "wrench presses on a line, or nothing does: the worse of both."
        )
    if held.by == GRIPS[0]:
        yield "The collet or split clamp fits all around: one of another size grips on lines, as jaws do."
    if held.plug is not None:
        yield (
            "The plug is solid, as long as the grip and no softer than the tube; it counts where it bears before the "
            "tube yields."
        )
    if asked.holes is None:
        yield "No hole lies under the grip; give holes to count them."
    elif held.holed:
        yield (
            f"A hole lies under the grip, and the stress at its edge is {HOLE_UNDER_GRIP:g} times that beside it "
            f"(Kirsch, from memory). Keep the grip off it by {CLEAR:g} of its diameters, and give hole_clear."
        )
    else:
        yield f"The grip is {CLEAR:g} diameters and more away from the holes, which do not count there."


def _clamp_words(held: Held, torque: float) -> str:
    """What clamps at the nominal torque that it passes, by the way it grips."""
    v = {key: one.nominal for key, one in held.inputs.items()}
    Do = float(v["held_outside"])
    Di = float(v["held_bore"]) if held.bore is not None else held.tube.nominal_section[1]
    mu = float(v["mu_grip"])
    force = stated_in(None, FORCE, beside=held.grip.unit)
    if mu == 0 or torque == 0:
        return "nothing: a grip without friction, or none of it, passes no torque"
    if held.by == GRIPS[0]:
        pressure = stated_in(None, STRESS, beside=held.grip.unit)
        return (
            f"a pressure of {pressure.show(float(collet_pressure(torque, Do, Di, mu, held.grip.nominal)))} all around"
        )
    if held.by == GRIPS[1]:
        return f"a pull of {force.show(float(strap_pull(torque, Do, Di, mu)), 0)} on the tight end of the strap"
    return f"a grip of {force.show(float(grip_to_hold(torque, Do, mu)), 0)} between the jaws"


def _shares(asked: StuckTube, held: Held) -> str:
    """What each way to grip uses of what the tube stands, the gentlest first."""
    shares = []
    for by in GRIPS:
        margin = _margin(asked, held.by_another(by)).nominal
        shares.append((1 / margin if margin > 0 else np.inf, _NAMES[by]))
    return "; ".join(
        f"{name} {PERCENT.up(share, 0)}" if np.isfinite(share) else f"{name}: no torque"
        for share, name in sorted(shares)
    )
