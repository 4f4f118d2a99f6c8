"""What is found of the module's heat: the temperatures of module, blade end and grip."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from operator import attrgetter

import numpy as np

from fitcheck.mechanics import heat_surface
from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.judge import judge
from fitcheck.questions.module_heat.question import ModuleHeat
from fitcheck.questions.moves import Besides, Change, Edit, Effect, Resizing
from fitcheck.questions.question import answers
from fitcheck.questions.remedy import change_by, holds
from fitcheck.questions.words import Meaning, assumed_spreads
from fitcheck.stack import Response
from fitcheck.stack.synthesis import moved as resized
from fitcheck.units import Unit

_PLACES = 9
"""Lengths at which the figure's line is reckoned."""


@dataclass(frozen=True, slots=True)
class HeatOverContact:
    """How warm the module becomes over the length of the slug in its bore; lengths in mm, temperatures in °C."""

    lengths: tuple[float, ...]
    nominal: tuple[float, ...]
    worst: tuple[float, ...]
    contact: float
    shortest: float | None
    """The shortest contact that keeps the limit; None where none does."""
    limit: float
    tube: float
    around: float
    degrees: Unit
    """What temperatures are shown in."""


def cautions(shown: Unit) -> tuple[str, ...]:
    """What to heed, its temperatures in the unit `shown`."""
    hot, charged = (shown.show(limit, 0) for limit in (60.0, 45.0))
    return (
        "An estimate to a third or so: run it for an hour on the bench, watched, and measure module and tube with a "
        "thermometer before it is handed over.",
        f"A cell in the tube must stay below the limit of its maker, often {hot}, or {charged} while it is charged; "
        "nothing here says how warm it becomes.",
        "Bright light heats what lies close in front of it, a blade or a finger, by its light alone: that is not "
        "counted.",
        "A covered or pocketed device gives off far less heat than in still air: do not leave it switched on there.",
    )


@answers(ModuleHeat)
def findings(asked: ModuleHeat) -> tuple[Finding, ...]:
    """The temperatures that have a limit."""
    return tuple(_all(asked))


def _all(asked: ModuleHeat) -> Iterator[Finding]:
    if asked.module_limit is not None:
        yield _module(asked, asked.module_limit)
    tube = asked.tube
    if asked.blade_limit is not None:
        yield _finding(
            asked,
            tube,
            asked.blade_limit,
            "temperature of the blade's end",
            Meaning("The end of the blade stays cool enough", "The end of the blade gets too hot"),
            _less(asked, asked.blade_limit),
        )
    if asked.held_for is not None:
        most = asked.held_for.nominal
        yield _finding(
            asked, tube, most, "temperature of the grip",
            Meaning("The grip stays cool enough", "The grip gets too hot to hold"), _less(asked, most),
            sources=(asked.held_for.origin,),
        )  # fmt: skip


def _module(asked: ModuleHeat, limit: float) -> Finding:
    shortest, need = asked.shortest(limit), Requirement(at_most=limit, risk=asked.risk)
    length, found = asked.contact.unit, asked.module()
    change: list[str | Change] = []
    if shortest is not None and shortest > asked.contact.nominal and not holds(found, need):
        do = f"let {length.show(shortest)} of the slug sit in the bore, with the same tolerance"
        edit = Edit("contact", resized(asked.contact, shortest))
        change.append(Change.doing(do, Effect.HOLDS, [edit], pause=","))
    change += _less_power(asked, ModuleHeat.module, need)
    change.append("fill the gap with paste, fit the slug closer, or give the tube more surface")
    if shortest is None:
        change.append(Besides("no length of contact does it"))
    words = "none does" if shortest is None else f"{length.show(shortest)}, with its tolerance, at worst case"
    return _finding(
        asked, found, limit, "temperature of the module",
        Meaning("The module stays cool enough", "The module gets too hot"), change,
        details={"shortest contact that keeps the module's limit": words},
        drawing=_heat_over_contact(asked, limit, shortest),
    )  # fmt: skip


def _heat_over_contact(asked: ModuleHeat, limit: float, shortest: float | None) -> HeatOverContact:
    contact = asked.contact
    ends = (
        max(0.3 * contact.nominal, 1.5 * contact.half_width, 0.5),
        max(2.2 * contact.nominal, 1.2 * (shortest or 0.0)),
    )
    lengths = tuple(float(one) for one in np.geomspace(*ends, _PLACES))
    found = [asked.module(resized(contact, one)) for one in lengths]
    return HeatOverContact(
        lengths,
        tuple(one.nominal for one in found),
        tuple(one.worst_case().max for one in found),
        contact.nominal,
        shortest,
        limit,
        asked.tube.nominal,
        asked.around.nominal,
        found[0].unit,
    )


def _less(asked: ModuleHeat, limit: float) -> tuple[str | Change, ...]:
    return (
        *_less_power(asked, attrgetter("tube"), Requirement(at_most=limit, risk=asked.risk)),
        f"use a longer or larger tube{_darker(asked)}: the length of the slug changes nothing here",
    )


def _darker(asked: ModuleHeat) -> str:
    """A dark surface as another way, where it gives off more heat than the one that is there."""
    return ", or a dark surface" if heat_surface(_DARK).middle > asked.surface.nominal else ""


_DARK = "dark in still air"


def _less_power(asked: ModuleHeat, quantity: Callable[[ModuleHeat], Response], need: Requirement) -> Iterator[Change]:
    """How much less power keeps the limit; nothing where it is kept, or where none does."""
    way = Resizing("power", asked.power, -1.0)
    return change_by(asked, "lower the power by {}", way, quantity, need, asked.power.lower)


def _finding(
    asked: ModuleHeat,
    quantity: Response,
    limit: float,
    label: str,
    means: Meaning,
    change: Sequence[str | Change],
    *,
    sources: Sequence[str] = (),
    details: dict[str, str] | None = None,
    drawing: HeatOverContact | None = None,
) -> Finding:
    shown, (low, high) = quantity.unit, quantity.worst_case()
    return judge(
        asked,
        quantity,
        Requirement(at_most=limit, risk=asked.risk),
        label=label,
        answer=f"it becomes {shown.show(quantity.nominal, 0)} in a steady state, {shown.down(low, 0)} to "
        f"{shown.up(high, 0)}.",
        means=means,
        change=change,
        assumptions=(
            *assumed_spreads(*quantity.inputs.values()),
            "The state is steady, after an hour or so; all heat goes through the slug into the tube, none into the air "
            "within it or the blade.",
            "The gap is even all around, the worst place; the tube is plain, its far end gives off nothing.",
        ),
        sources=("conduction through a cylindrical gap; fins of uniform section: Incropera, from memory", *sources),
        cautions=cautions(quantity.unit),
        details=details,
        drawing=drawing,
        decimals=0,
    )
