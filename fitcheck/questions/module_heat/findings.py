"""What is found of the module's heat: the temperatures of module, blade end and grip."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.judge import judge
from fitcheck.questions.module_heat.question import ModuleHeat
from fitcheck.questions.question import answers
from fitcheck.questions.words import Meaning, assumed_spreads
from fitcheck.stack import Response
from fitcheck.units import Unit


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
            _less(asked),
        )
    if asked.held_for is not None:
        yield _finding(
            asked, tube, asked.held_for.nominal, "temperature of the grip",
            Meaning("The grip stays cool enough", "The grip gets too hot to hold"), _less(asked),
            sources=(asked.held_for.origin,),
        )  # fmt: skip


def _module(asked: ModuleHeat, limit: float) -> Finding:
    shortest = asked.shortest(limit)
    length = asked.contact.unit
    change: list[str] = []
    if shortest is None:
        change.append(
            "no length of contact does it: less power, paste in the gap, a closer fit or more surface is needed"
        )
    elif shortest > asked.contact.nominal:
        change.append(f"let {length.show(shortest)} of the slug sit in the bore, with the same tolerance, and it holds")
        change.append("fill the gap with paste, or fit the slug closer")
    else:
        change.append("keep the slug, and use less power or more surface")
    words = "none does" if shortest is None else f"{length.show(shortest)}, with its tolerance, at worst case"
    return _finding(
        asked, asked.module(), limit, "temperature of the module",
        Meaning("The module stays cool enough", "The module gets too hot"), change,
        details={"shortest contact that keeps the module's limit": words},
    )  # fmt: skip


def _less(asked: ModuleHeat) -> tuple[str, ...]:
    return ("use less power, a longer or larger tube, or a dark surface: the length of the slug changes nothing here",)


def _finding(
    asked: ModuleHeat,
    quantity: Response,
    limit: float,
    label: str,
    means: Meaning,
    change: Sequence[str],
    *,
    sources: Sequence[str] = (),
    details: dict[str, str] | None = None,
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
        decimals=0,
    )
