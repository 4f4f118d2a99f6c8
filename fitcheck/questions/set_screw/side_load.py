"""A push or knock across the blade, at its tip: it levers on a screw, whose thread bears it beside the clamp load."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

import numpy as np

from fitcheck.mechanics.holding import side_leverage
from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.judge import judge
from fitcheck.questions.readers import stated_in
from fitcheck.questions.set_screw.strength import SetScrew
from fitcheck.questions.words import BLADE_CAUTIONS, STRENGTH_CAUTIONS, Meaning, assumed_spreads
from fitcheck.stack import Dimension, Response
from fitcheck.stack.probability.quantile import advised_quantile
from fitcheck.units import FORCE, Number

KNOCK = 50.0
"""A knock of the tip on a door frame, N, or more (estimate, no source)."""
_POINTS = 1 << 15
"""Samples behind it: what is known of a thread is not worth more."""


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
    return Response(partial(_strips_at, q, passes), inputs, unit=used, name="force across the tip", samples=_POINTS)


def _strips_at(q: SetScrew, passes: float, **v: Any) -> Number:
    clamp = q.load({**v, "hand_torque": np.minimum(v["hand_torque"], passes)})
    return np.asarray(np.maximum(q.load_relied_on(v) - clamp, 0.0) / _leverage(q, v))


def borne_at_tip(q: SetScrew, force: Response) -> float:
    """The force across the tip that no screw strips at but at the accepted risk, N."""
    return max(advised_quantile(force, q.risk_a_screw), 0.0)


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
