"""What is found of a blade: how deep it sits, whether the screws meet it, whether it goes in, binds or wanders."""

from __future__ import annotations

import math
from dataclasses import dataclass

from fitcheck.mechanics.blade import play_at, wedging_depth
from fitcheck.questions.blade.question import BladeDepth
from fitcheck.questions.blade.slug import Slug, working_lengths
from fitcheck.questions.blade.wander import Wander
from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.judge import judge
from fitcheck.questions.lengths import length_finding, said
from fitcheck.questions.quantities import of_property
from fitcheck.questions.question import answers
from fitcheck.questions.remedy import needed_shift
from fitcheck.questions.words import BLADE_CAUTIONS, assumed_spreads, listed
from fitcheck.stack import Interval, Response, Sum


@dataclass(frozen=True, slots=True)
class TubeStack:
    """What the figure of the tube stack draws, nominal sizes in mm, lengths measured from the mouth."""

    depth: float
    below: tuple[tuple[str, float], ...]
    """What lies under the blade, from the blade's seat downwards: name and length."""
    screws: tuple[tuple[str, float], ...]
    blade: float | None
    bore: float | None
    outside: float | None


_SUM = ("sum of the lengths of the tube stack",)


@answers(BladeDepth)
def findings(asked: BladeDepth) -> tuple[Finding, ...]:
    found = [_depth(asked), *(_landing(asked, i) for i in range(1, len(asked.screws) + 1))]
    if asked.slug is not None:
        found += [_retained(asked, asked.slug, True), _retained(asked, asked.slug, False)]
    if asked.temperature is not None:
        found.append(_warm(asked))
    if asked.wander_at_most is not None:
        if asked.temperature is None:
            found.append(_goes_in(asked))
        found.append(_wander(asked, asked.wander_at_most))
    return tuple(found)


def _depth(asked: BladeDepth) -> Finding:
    depth, requirement = lengths_asked(asked)[0]
    return length_finding(
        asked,
        depth,
        requirement,
        label="depth of the blade",
        answer=_sits(depth),
        change=_change(asked, depth, requirement),
        sources=_SUM,
        cautions=BLADE_CAUTIONS,
        details=_details(asked),
        drawing=_drawing(asked),
    )


def _sits(depth: Sum) -> str:
    """Where the seat of the blade lies, in words; one above the mouth is no depth."""
    if depth.nominal > 0:
        return said(depth, "The blade sits {} deep, between {} and {}.")
    above = depth.unit.show(-depth.nominal)
    return (
        f"The blade does not reach into its socket: its seat lies {above} above the mouth, because the lengths "
        "under the blade exceed those that make it deeper."
    )


def lengths_asked(asked: BladeDepth) -> list[tuple[Sum, Requirement]]:
    """Every requirement on a length of the stack, that on the depth first."""
    about = [(asked.depth, Requirement(at_least=asked.at_least, at_most=asked.at_most, risk=asked.risk))]
    about += [(asked.depth - screw, Requirement(at_least=asked.cover, risk=asked.risk)) for screw in asked.screws]
    if asked.slug is not None:
        about.append((asked.slug.above_axis, asked.slug.requirement))
    return about


def _details(asked: BladeDepth) -> dict[str, str]:
    show = asked.depth.unit.show
    details = {}
    if asked.blade and asked.bore:
        play = asked.bore - asked.blade
        details["play of the blade in the bore"] = (
            f"{play.unit.show(play.worst_case().min)} to {play.unit.show(play.worst_case().max)}"
        )
    part = asked.cut_part
    if part is not None:
        details[f"depth gained for 1 mm cut off {part.name}"] = show(asked.gain)
        details |= working_lengths(part, lengths_asked(asked))
    if asked.friction_bore is not None and asked.blade is not None:
        wedges = float(wedging_depth(asked.friction_bore.upper, asked.blade.upper))
        details["can wedge askew"] = f"while less than {show(wedges)} deep"
    return details


def _landing(asked: BladeDepth, number: int) -> Finding:
    beyond, requirement = lengths_asked(asked)[number]
    show = beyond.unit.show
    low, _ = beyond.worst_case()
    which = f"set screw {number}" if len(asked.screws) > 1 else "the set screw"
    reach = f"reaches {show(beyond.nominal)} beyond" if beyond.nominal >= 0 else "ends short of"
    return length_finding(
        asked,
        beyond,
        requirement,
        label=f"blade beyond the axis of {which}",
        answer=f"The blade {reach} the axis of {which}, at the least {show(low)}.",
        change=_change(asked, beyond, requirement),
        sources=_SUM,
        cautions=BLADE_CAUTIONS,
    )


def _retained(asked: BladeDepth, slug: Slug, towards_mouth: bool) -> Finding:
    beyond = slug.above_axis if towards_mouth else slug.below_axis
    show, name = beyond.unit.show, slug.part.name
    low = beyond.worst_case().min
    side = "towards the mouth" if towards_mouth else "on the far side"
    reach = f"reaches {show(beyond.nominal)} beyond" if beyond.nominal >= 0 else "ends short of"
    move = needed_shift(beyond, slug.requirement).at_worst_case or 0.0
    if towards_mouth:
        change = f"make {name} {show(move)} longer or set its screw {show(move)} deeper and it holds at worst case"
    else:
        change = f"set the screw of {name} {show(move)} nearer to the mouth and it holds at worst case"
    return length_finding(
        asked,
        beyond,
        slug.requirement,
        label=f"{name} beyond the axis of its screw {side}",
        answer=f"The {name} {reach} the axis of its screw {side}, at the least {show(low)}."
        + (f" {slug.cut_words()}" if towards_mouth else ""),
        change=[change],
        sources=_SUM,
        cautions=BLADE_CAUTIONS,
    )


def _goes_in(asked: BladeDepth) -> Finding:
    assert asked.blade is not None
    assert asked.bore is not None
    play = asked.bore - asked.blade
    show = play.unit.show
    low, high = play.worst_case()
    requirement = Requirement(at_least=asked.play_at_least, risk=asked.risk)
    move = needed_shift(play, requirement).at_worst_case or 0.0
    return length_finding(
        asked,
        play,
        requirement,
        label="play of the blade in the bore",
        answer=f"The blade has {show(play.nominal)} play in the bore, between {show(low)} and {show(high)}."
        if play.nominal >= 0
        else f"The blade is {show(-play.nominal)} too large for the bore.",
        change=[f"take {show(move)} off the blade's diameter and it holds at worst case"],
        sources=("difference of two diameters",),
        cautions=BLADE_CAUTIONS,
    )


def _warm(asked: BladeDepth) -> Finding:
    assert asked.temperature is not None
    assert asked.blade is not None
    assert asked.bore is not None
    assert asked.blade_material is not None
    assert asked.socket_material is not None
    inputs = {
        "D": asked.bore,
        "d": asked.blade,
        "alpha_D": of_property(asked.socket_material, "expansion"),
        "alpha_d": of_property(asked.blade_material, "expansion"),
        "T": asked.temperature,
    }
    play = Response(play_at, inputs, unit=asked.bore.unit, name="play of the blade")
    show = play.unit.show
    low, high = play.worst_case()
    cold, warm = (asked.temperature.unit.show(t, 0) for t in (asked.temperature.lower, asked.temperature.upper))
    missing = asked.play_at_least - low
    binds = f"It binds by {show(-low)} at worst" if low < 0 else f"At the least {show(low)} is left"
    return judge(
        asked,
        play,
        Requirement(at_least=asked.play_at_least, risk=asked.risk),
        label=f"play of the blade in the bore from {cold} to {warm}",
        answer=f"{binds} between {cold} and {warm}, at the most {show(high)}.",
        change=[f"take {show(missing)} off the blade's diameter and it holds at worst case"],
        assumptions=(
            *assumed_spreads(*inputs.values()),
            "Blade and socket are equally warm and free to expand; drawing sizes hold at 20 °C.",
        ),
        sources=(
            "free expansion; reference temperature: ISO 1",
            *(inputs[key].origin for key in ("alpha_D", "alpha_d")),
        ),
        cautions=(*BLADE_CAUTIONS, "A clear blade that is squeezed by its socket or screws can craze and crack."),
    )


def _wander(asked: BladeDepth, limit: float) -> Finding:
    assert asked.blade is not None
    assert asked.bore is not None
    assert asked.blade_length is not None
    wander = Wander(asked.bore, asked.blade, asked.depth, asked.blade_length, asked.bow)
    loose, tight, tilt = wander.loose, wander.tight, wander.tilt
    judged, state = (tight, "screws tight") if asked.screws else (loose, "loose")
    show = judged.unit.show
    assumptions = [
        *assumed_spreads(*wander.sizes.values()),
        "Blade and socket are rigid and straight but for the bow given.",
    ]
    if asked.screws:
        assumptions.append("The screws stand in one row and press the blade against the wall opposite.")
    if asked.bore.lower < asked.blade.upper:
        assumptions.append("The largest blade does not go into the least bore; such a pair counts as without play.")
    sleeve = wander.sleeve(limit, tight=bool(asked.screws))
    change = (
        f"take up {show(sleeve)} of the play on the diameter, with a sleeve or tape, and it holds at worst case"
        if sleeve is not None
        else "the bow alone puts the tip off by more than that: straighten the blade, or use a shorter one"
    )
    return judge(
        asked,
        judged,
        Requirement(at_most=limit, risk=asked.risk),
        label=f"tip wander, {state}",
        answer=(
            f"The tip lies up to {show(loose.worst_case().max)} off the axis with the blade loose"
            + (f", up to {show(tight.worst_case().max)} with the screws tight" if asked.screws else "")
            + f"; loose, the blade tilts up to {tilt.unit.show(tilt.worst_case().max)}."
        ),
        change=[change],
        assumptions=assumptions,
        sources=("plane geometry of a rod in a bore",),
        cautions=BLADE_CAUTIONS,
        details={
            "tip off the axis, loose": f"{show(loose.nominal)}, at the most {show(loose.worst_case().max)}",
            "tip off the axis, screws tight on one side": f"{show(tight.nominal)}, at the most "
            f"{show(tight.worst_case().max)}",
            "tilt, loose": f"{tilt.unit.show(tilt.nominal)}, at the most {tilt.unit.show(tilt.worst_case().max)}",
            "tilt, screws tight on one side": "none: the blade lies along the wall",
        },
    )


def _change(asked: BladeDepth, quantity: Sum, requirement: Requirement) -> list[str]:
    shift = needed_shift(quantity, requirement)
    show = quantity.unit.show
    how = (
        (f"cut {asked.cut} {{}} shorter", f"make {asked.cut} {{}} longer")
        if asked.cut
        else ("seat the blade {} deeper", "seat the blade {} higher")
    )
    if shift.at_worst_case is None and shift.within_risk is None:
        return ["no change of a length alone does it: the tolerances are wider than the requirement; tighten them"]
    lines, too_much = [], []
    moves = (
        (shift.at_worst_case, "and it holds at worst case", "to hold at worst case"),
        (shift.within_risk, "and it is within the risk", "to be within the risk"),
    )
    for (move, effect, aim), most in zip(moves, _most_cut(asked), strict=True):
        amount = abs(move or 0.0) / asked.gain
        if move and move > 0 and amount > most + 1e-9:
            too_much.append(f"{show(amount)} {aim}")
        elif move:
            lines.append(f"{how[0 if move > 0 else 1].format(show(amount))} {effect}")
    if too_much and not lines:
        allows = (
            f"that its screw allows for {asked.cut}" if asked.slug is not None else f"of {asked.cut}, {asked.cut_part},"
        )
        lines.append(f"no cut {allows} does it: {listed(too_much)} would have to come off")
    if (lines or too_much) and asked.slug is not None:
        lines.append(asked.slug.cut_words())
        if too_much:
            lines.append(f"set the screw of {asked.cut} deeper, or take the rest off another part under the blade")
    return lines


def _most_cut(asked: BladeDepth) -> Interval:
    """The most that may come off the part that may be cut, at worst case and within the risk."""
    if asked.cut_part is None:
        return Interval(math.inf, math.inf)
    whole = asked.cut_part.lower
    worst, likely = asked.slug.most_cut if asked.slug is not None else (whole, whole)
    return Interval(min(worst, whole), min(likely, whole))


def _drawing(asked: BladeDepth) -> TubeStack:
    return TubeStack(
        depth=asked.depth.nominal,
        below=tuple((d.name.removesuffix(f" ({d})"), d.nominal) for d in asked.takes),  # its size is drawn anyway
        screws=tuple((f"screw {i}", d.nominal) for i, d in enumerate(asked.screws, start=1)),
        blade=asked.blade.nominal if asked.blade else None,
        bore=asked.bore.nominal if asked.bore else None,
        outside=asked.outside.nominal if asked.outside else None,
    )
