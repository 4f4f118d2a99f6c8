"""What is found of a chassis that slides in the tube."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from operator import attrgetter

from fitcheck.errors import InputError
from fitcheck.fits import limits, preferred_fits
from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.judge import judge
from fitcheck.questions.lengths import how_to_meet, length_finding, said
from fitcheck.questions.moves import Besides, Change, Effect, Resizing
from fitcheck.questions.question import answers
from fitcheck.questions.remedy import allowed_lengths, amount, change_by
from fitcheck.questions.sliding_fit.question import SlidingFit
from fitcheck.questions.words import ELECTRICAL_CAUTIONS, Meaning, assumed_spreads
from fitcheck.stack import Dimension, Interval, Response, Sum


@dataclass(frozen=True, slots=True)
class Zone:
    """Where a diameter may lie, mm."""

    name: str
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class FitZones:
    """The zones of bore and chassis beside each other, as in a chart of fits, and of the fits that are offered."""

    bore: Zone
    chassis: Zone
    offered: tuple[Zone, ...]
    play: Interval
    """The least and the greatest, mm."""


INSULATION = (
    "Insulation between cell and tube is measured with a meter, not assumed: an anodised layer that is rubbed thin by "
    "sliding insulates nothing, nor does one that is scratched at an edge or a hole. Measure with the chassis in place "
    "and the cell out, and again after sliding it in and out some times.",
)


@answers(SlidingFit)
def findings(asked: SlidingFit) -> tuple[Finding, ...]:
    """The play, the room for wires, the play warm and cold, jamming and sag: those that were asked for."""
    return tuple(_all(asked))


def _all(asked: SlidingFit) -> Iterator[Finding]:
    yield _play(asked)
    if asked.room_for_wires is not None:
        yield _wires(asked, asked.room_for_wires)
    if asked.warm_play is not None:
        yield _warm(asked, asked.warm_play)
    if asked.beyond_jam is not None:
        yield _jam(asked, asked.beyond_jam)
    if asked.sag_room is not None:
        yield _sag(asked, asked.sag_room)


def _cautions(asked: SlidingFit) -> tuple[str, ...]:
    return (*ELECTRICAL_CAUTIONS, *INSULATION)


def _required(asked: SlidingFit) -> Requirement:
    return Requirement(at_least=asked.at_least, at_most=asked.at_most, risk=asked.risk)


def _resized(asked: SlidingFit, length: Sum, need: Requirement, *, larger: bool = False) -> list[str | Change]:
    """What the chassis is to be for one of its lengths; where wires lie beside it, one size for them and the play."""
    how, rate = ("larger", 1.0) if larger else ("smaller", -1.0)
    chassis, wires = asked.chassis, asked.room_for_wires
    alone = how_to_meet(length, need, f"make the chassis {{0}} {how}", Resizing("chassis", chassis, rate))
    if wires is None or not alone:
        return alone
    room = Requirement(at_least=0.0, risk=asked.risk)
    both = allowed_lengths(chassis, [(asked.play, _required(asked)), (wires, room)])
    found: dict[str, Change] = {}
    for sizes, effect in ((both.at_worst_case, Effect.HOLDS), (both.within_risk, Effect.WITHIN_RISK)):
        nearest = min(max(chassis.nominal, sizes.min), sizes.max)
        if sizes.min > sizes.max or nearest == chassis.nominal:
            continue
        how, rate, end = ("larger", 1.0, sizes.max) if nearest > chassis.nominal else ("smaller", -1.0, sizes.min)
        by = amount(chassis.unit, abs(nearest - chassis.nominal), abs(end - chassis.nominal))
        do, edit = f"make the chassis {by.text} {how}", Resizing("chassis", chassis, rate).by(by.inside)
        found.setdefault(by.text, Change.doing(do, effect, [edit]))
    if found:
        return list(found.values())
    neither = Besides("no size of the chassis gives the wires room and keeps its play within its limits")
    return [neither] if length is wires else [*alone, neither]


def _play(asked: SlidingFit) -> Finding:
    play, need = asked.play, _required(asked)
    low, _ = play.worst_case()
    loose = asked.at_most is not None and play.nominal > (asked.at_least + asked.at_most) / 2
    offered = _offered(asked)
    fits = _fits(asked, offered)
    return length_finding(
        asked,
        play,
        need,
        label="play of the chassis in the tube, on the diameter",
        answer=said(play, "it has {} play on the diameter, {} to {}" + (": below 0 it binds." if low < 0 else ".")),
        means=Meaning(
            "The chassis slides",
            "The chassis can bind in the tube"
            if low < 0
            else f"The chassis can be too {'loose' if loose else 'tight'}",
        ),
        change=_resized(asked, play, need, larger=loose),
        sources=(
            "difference of two diameters",
            *(["preferred fits and their names: tables/iso286_preferred_fits.csv, from memory"] if fits else []),
        ),
        cautions=_cautions(asked),
        details={
            **({"comes out at": said(asked.made, "{}, {} to {}")} if asked.printed is not None else {}),
            **({"turned to a shaft of ISO 286, in this bore": fits} if fits else {}),
            "printed parts": "an allowance holds for the printer, material, layer height and way up of its coupon; "
            "print and measure one again after any change, and round parts across and along the layers",
            "not counted": "burrs, seams of a print, dirt, a bore that is not round or straight",
        },
        drawing=FitZones(
            Zone("bore", asked.bore.lower, asked.bore.upper),
            Zone("chassis", *asked.around.worst_case()),
            tuple(Zone(shaft.name, shaft.lower, shaft.upper) for _, shaft in offered),
            play.worst_case(),
        ),
    )


def _offered(asked: SlidingFit) -> list[tuple[str, Dimension]]:
    """The shafts of the preferred sliding fits by their names; none beyond ISO 286."""
    found = []
    for one in preferred_fits():
        if one.basis_system != "hole" or one.kind != "clearance" or not one.name:
            continue
        shaft_class = one.pair.partition("/")[2]
        try:
            shaft = limits(shaft_class, asked.bore.nominal).dimension()
        except InputError:
            return []
        found.append((one.name, replace(shaft, name=shaft_class)))
    return found


def _fits(asked: SlidingFit, offered: list[tuple[str, Dimension]]) -> str:
    """What the shafts that are offered would have for play in this bore."""
    places = asked.bore.unit.decimals + 1  # fits are told apart by hundredths of a millimetre
    show, said = asked.bore.unit, []
    for name, shaft in offered:
        play: Sum = asked.bore - shaft
        low, high = play.worst_case()
        said.append(f"{name}, {shaft.name}: play {show.down(low, places)} to {show.up(high, places)}")
    return "; ".join(said)


def _wires(asked: SlidingFit, room: Sum) -> Finding:
    need = Requirement(at_least=0.0, risk=asked.risk)
    return length_finding(
        asked,
        room,
        need,
        label="room for the thickest wire beside the chassis",
        answer=said(room, "with the chassis pushed aside the thickest wire has {} to spare, {} to {}."),
        means=Meaning("The wires find room", "A wire can be pinched"),
        change=(
            *_resized(asked, room, need),
            "cut a groove along it for the wire, with round edges",
        ),
        sources=("difference of diameters; the gap opposite the place where the two touch: plane geometry",),
        cautions=(
            *_cautions(asked),
            "A wire that is pinched or rubbed loses its insulation: pull it through by hand with the chassis in place.",
        ),
    )


def _warm(asked: SlidingFit, play: Response) -> Finding:
    low, _ = play.worst_case()
    shown, range_ = asked.bore.unit, asked.temperature
    assert range_ is not None
    need = Requirement(at_least=asked.at_least, risk=asked.risk)
    cold, hot = (range_.unit.show(end) for end in (range_.lower, range_.upper))
    return judge(
        asked,
        play,
        need,
        label="play of the chassis, warm and cold",
        answer=f"from {cold} to {hot} the chassis keeps {shown.show(play.nominal)} play, "
        f"at the least {shown.down(low)}.",
        means=Meaning(
            "The chassis slides, warm and cold",
            "The chassis can bind, warm or cold" if low < 0 else "Too little play is left, warm or cold",
        ),
        change=(
            *change_by(
                asked, "make the chassis {} smaller", Resizing("chassis", asked.chassis, -1.0), _WARM, need, _FARTHEST
            ),
            "make the chassis of a material that grows as the tube does",
        ),
        assumptions=(
            *assumed_spreads(*play.inputs.values()),
            f"Sizes hold at {range_.unit.show(20.0, 0)} (ISO 1); tube and chassis are at one temperature, and the "
            "worse end counts. A chassis that is warmer than the tube, by its electronics, needs more.",
        ),
        sources=("free expansion, α ΔT",),
        cautions=(*_cautions(asked), "A printed part softens and creeps far below the melting point of its plastic."),
    )


_WARM, _JAM, _SAG = attrgetter("warm_play"), attrgetter("beyond_jam"), attrgetter("sag_room")
_FARTHEST = 500.0
"""mm: no part is offered to be changed by more."""


def _jam(asked: SlidingFit, room: Response) -> Finding:
    low, _ = room.worst_case()
    shown = room.unit
    need = Requirement(at_least=0.0, risk=asked.risk)
    at = "at its rim" if asked.pushed_at is None else f"{asked.pushed_at} off its axis"
    return judge(
        asked,
        room,
        need,
        label="guided length beyond that at which it jams",
        answer=f"pushed {at}, it is guided {shown.show(room.nominal)} longer than where it jams, "
        f"at the least {shown.down(low)}{': below 0 it jams, however hard it is pushed' if low < 0 else ''}.",
        means=Meaning("The chassis does not jam", "The chassis can jam askew"),
        change=(
            *(
                ()
                if asked.guided is None
                else change_by(asked, "guide it {} longer", Resizing("guided", asked.guided), _JAM, need, _FARTHEST)
            ),
            *(
                ()
                if asked.pushed_at is None
                else change_by(
                    asked,
                    "push it {} nearer to its axis",
                    Resizing("pushed_at", asked.pushed_at, -1.0),
                    _JAM,
                    need,
                    _FARTHEST,
                )
            ),
            "push or pull it nearer to its axis, or let it slide on something smoother",
        ),
        assumptions=(
            *assumed_spreads(*room.inputs.values()),
            "The part is rigid and its play small against the guided length; at the mouth of the tube guided length "
            "begins at nothing, so it is led in straight by hand.",
        ),
        sources=("drawer effect, L = 2 μ e: statics, from memory; Whitney 1982, from memory",),
        cautions=(
            *_cautions(asked),
            "Straighten a chassis that jams and draw it back; never drive it: cells are in it.",
        ),
    )


def _sag(asked: SlidingFit, room: Response) -> Finding:
    need = Requirement(at_least=0.0, risk=asked.risk)
    low, _ = room.worst_case()
    shown = room.unit
    return judge(
        asked,
        room,
        need,
        label="room under the middle of the chassis as it lies",
        answer=f"lying on its rings, the chassis keeps {shown.show(room.nominal)} under its middle, "
        f"at the least {shown.down(low)}.",
        means=Meaning("The chassis keeps clear as it lies", "The chassis can sag onto the tube"),
        change=(
            *(
                ()
                if asked.span is None
                else change_by(
                    asked,
                    "set the rings {} nearer to each other",
                    Resizing("span", asked.span, -1.0),
                    _SAG,
                    need,
                    _FARTHEST,
                )
            ),
            "add a ring in the middle, or make the chassis stiffer",
        ),
        assumptions=(
            *assumed_spreads(*room.inputs.values()),
            "The load is even, the rings carry without clamping, nothing has crept; slots and holes are not counted.",
        ),
        sources=("beam on two supports: Roark, table 8.1, from memory",),
        cautions=(
            *_cautions(asked),
            "With time and warmth plastic sags two to three times as far as on day one.",
        ),
    )
