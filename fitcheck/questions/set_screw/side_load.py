"""A push or knock across the blade, at its tip: it levers on a screw, whose thread bears it beside the clamp load."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping
from functools import partial
from typing import Any, NamedTuple

import numpy as np

from fitcheck.mechanics.holding import side_leverage
from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.judge import judge
from fitcheck.questions.moves import Besides, Change, Edit, Effect
from fitcheck.questions.readers import stated_in
from fitcheck.questions.set_screw.remedies import MOST_SCREWS, between_axes, each_turned, torque_to_hold, turned_with
from fitcheck.questions.set_screw.strength import POINTS, SetScrew
from fitcheck.questions.set_screw.torque_limits import advised_torque, places, set_to
from fitcheck.questions.words import BLADE_CAUTIONS, STRENGTH_CAUTIONS, Meaning, assumed_spreads, listed
from fitcheck.stack import Dimension, Response
from fitcheck.stack.grown import Grown, Growth
from fitcheck.stack.probability.quantile import advised_quantile
from fitcheck.stack.synthesis import moved as resized
from fitcheck.units import FORCE, Number, Rounding

KNOCK = 50.0
"""A knock of the tip on a door frame, N, or more (estimate, no source)."""


def _placed(q: SetScrew) -> dict[str, Dimension]:
    """Where blade and screws stand; empty where it is not known."""
    if q.blade_out is None or q.seated is None or q.screws_at is None:
        return {}
    return {"blade_out": q.blade_out, "seated": q.seated, **{f"at_{i}": at for i, at in enumerate(q.screws_at)}}


def _leverage(q: SetScrew, v: Mapping[str, Any]) -> Number:
    at = [v[f"at_{i}"] for i in range(q.screws)]
    # In line, every screw is on one side and the seat behind them on the other; else another screw may be the pivot.
    in_line = q.screws == 1 or (q.angles is not None and q.share > _IN_LINE)
    return side_leverage(v["blade_out"], v["seated"], at, in_line=in_line, apart=q.screw.nominal)


_IN_LINE = 0.9999
"""Part of their thrust that screws in line press on the bore, by which they are known as such."""


def tip_force(q: SetScrew, torque: Dimension, passes: float) -> Response | None:
    """The force across the tip that strips a screw already turned with `torque`, N; None where blade and screws stand
    nobody knows.

    torque: a dimension, N·m inside. passes: what key and socket pass, N·m.
    """
    placed = _placed(q)
    if not placed:
        return None
    inputs = {**q.strip_inputs, **placed, "hand_torque": torque}
    used = stated_in(q.side if q.side is not None else q.pull, FORCE)
    return Grown(
        partial(_strips_at, q, passes),
        inputs,
        along=q.level_key,
        beside="scatter",
        law=partial(_grows, q, passes),
        unit=used,
        name="force across the tip",
        samples=POINTS,
    )


def _strips_at(q: SetScrew, passes: float, **v: Any) -> Number:
    return np.asarray(np.maximum(q.load_relied_on(v) - _clamp(q, passes, v), 0.0) / _leverage(q, v))


def _grows(q: SetScrew, passes: float, **v: Any) -> Growth:
    return q.load_grows(v)._replace(offset=-_clamp(q, passes, v), per=_leverage(q, v))


def _clamp(q: SetScrew, passes: float, v: Mapping[str, Any]) -> Number:
    return q.load({**v, "hand_torque": np.minimum(v["hand_torque"], passes)})


def borne_at_tip(q: SetScrew, force: Response) -> float:
    """The force across the tip that no screw strips at but at the accepted risk, N."""
    return max(advised_quantile(force, q.risk_a_screw), 0.0)


class ScrewRow(NamedTuple):
    """Screws in one row that bear a force across the tip: how many, how deep, and their torque as printed, N·m."""

    number: int
    at: tuple[Dimension, ...]
    torque: float


def row_for_side(q: SetScrew, side: float) -> ScrewRow | None:
    """The fewest screws in one row that bear `side` N at the accepted risk and hold the blade besides; None beyond a
    dozen.

    They stand evenly from where the first stands now to a diameter above the seat. What they clamp, their thread lacks,
    so that they may have to be turned with less than is safe.
    """
    if q.seated is None or q.screws_at is None:
        return None
    first = min(q.screws_at, key=lambda at: at.middle)
    last, near = q.seated.lower - first.half_width - q.screw.nominal, between_axes(q)
    for number in range(2, MOST_SCREWS + 1):
        step = (last - first.middle) / (number - 1)
        if step < near:
            return None
        at = tuple(_printed(first, first.nominal + step * i) for i in range(number))
        more = dataclasses.replace(q, screws=number, angles=(0.0,) * number, screws_at=at)
        for torque in _torques(q, more):
            force = tip_force(more, more.put_on_up_to(torque * (1 + (q.driver or 0.0))), np.inf)
            if force is not None and borne_at_tip(more, force) >= side:
                return ScrewRow(number, at, torque)
    return None


def _torques(q: SetScrew, more: SetScrew) -> Iterator[float]:
    """Torques as printed, N·m, that strip none of `more` screws and hold the blade at worst case, the greatest first.

    Of a driver what it is set to.
    """
    safe = min(advised_torque(more).torque, q.put_on.upper)
    if not safe > 0:
        return
    part: float | None = 0.0
    if q.spotted is None and more.demand > 0:
        part = torque_to_hold(more, q.put_on, safe)
    if part is None:
        return
    used, least = q.put_on.unit, part * q.put_on.upper
    for share in _SHARES:
        torque = set_to(q, least + share * (safe - least))
        way = Rounding.DOWN if share else Rounding.UP
        printed = float(used.to_base(used.rounded(torque, places(used, torque), way)))
        if printed > 0 and least <= printed * (1 + (q.driver or 0.0)) <= safe:
            yield printed


_SHARES = 1.0, 0.5, 0.25, 0.0
"""Torques that are tried, over the way from what holds the blade to what is safe."""


def _printed(like: Dimension, at: float) -> Dimension:
    """A depth as it is printed, rounded towards the mouth, with the tolerance of another."""
    return resized(like, float(like.unit.to_base(like.unit.rounded(at, rounding=Rounding.DOWN))))


def _more_screws(q: SetScrew, force: Response, side: float) -> Iterator[str | Change]:
    """How many screws in one row bear the force, where those that are there do not."""
    if borne_at_tip(q, force) >= side:
        return
    row = row_for_side(q, side)
    if row is None:
        yield Besides(
            "no number of such screws in one row bears it and holds the blade: the first of them takes the lever alone"
        )
        return
    depths = listed([row.at[0].unit.show(at.nominal) for at in row.at])
    yield Change.of(
        f"use {row.number} screws in one row at depths of {depths}, {each_turned(q, row.torque)}",
        Effect.WITHIN_RISK,
        [
            Edit("screws", row.number),
            Edit("angles", (0.0,) * row.number),
            Edit("screws_at", row.at),
            turned_with(q, row.torque),
        ],
    )


def side_finding(q: SetScrew, torque: Dimension, passes: float, side: float) -> Finding:
    """What the thread bears of a force across the tip beside its clamp load.

    torque: that the screws are turned with, N·m inside. passes: what key and socket pass, N·m. side: asked for, N.
    """
    force = tip_force(q, torque, passes)
    assert force is not None
    show = force.unit.show
    times = _times(q)
    borne = borne_at_tip(q, force)
    return judge(
        q,
        force,
        Requirement(at_least=side, risk=q.risk / q.screws),
        label="force across the tip that strips a screw",
        answer=(
            f"{show(side)} across the tip puts {show(side * times)} on one screw, beside its clamp load; its thread "
            f"strips at about {show(force.nominal)} at the tip, and bears {force.unit.down(borne)}."
        ),
        means=Meaning("The screws bear that push at the tip", "That push at the tip can strip a screw"),
        change=(
            *_more_screws(q, force, side),
            "set the screws farther apart, or the blade deeper",
            "turn the screws with less torque, if they still hold the blade: their clamp load is a part of what the "
            "thread bears",
            "use a shorter blade, a thicker wall or a larger thread",
        ),
        assumptions=(
            *assumed_spreads(*force.inputs.values()),
            "The blade is rigid, and pushed in the worst direction: it turns about its seat, about the mouth or about "
            "another screw, without help from friction.",
            "Side load and clamp load are added, which is the safe side: the bore gives a part of the clamp back.",
            "The force is steady; a knock is taken as the greatest force it reaches.",
        ),
        sources=("levers on one screw: statics",),
        cautions=(*BLADE_CAUTIONS, *STRENGTH_CAUTIONS),
        details={"leverage": f"{times:.3g} times the force at the tip on one screw"},
        least_risk=q.least_risk / q.screws,
    )


def _times(q: SetScrew) -> float:
    return float(_leverage(q, {key: value.nominal for key, value in _placed(q).items()}))


def side_caution(q: SetScrew, torque: Dimension, passes: float) -> tuple[str, ...]:
    """The caution on a knock where no force across the tip is asked about, with the leverage where it is known."""
    if q.side is not None:
        return ()
    force = tip_force(q, torque, passes)
    if force is None:
        return (
            "A push or knock at the blade's tip levers on one screw, by tens of times its force; it is not counted: "
            "give side, blade_out, seated and screws_at.",
        )
    return (
        f"A push or knock at the blade's tip levers on one screw, {_times(q):.3g} times its force: the thread bears "
        f"{force.unit.down(borne_at_tip(q, force))} there beside the clamp load, and a knock can be "
        f"{force.unit.show(KNOCK)} and more (estimate).",
    )
