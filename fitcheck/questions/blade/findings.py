"""What is found of a blade: how deep it sits, whether the screws meet it, whether it goes in, binds or wanders."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fitcheck.mechanics.blade import play_at, wedging_depth
from fitcheck.questions.blade.question import BladeDepth
from fitcheck.questions.blade.slug import Slug, working_lengths
from fitcheck.questions.blade.wander import Wander
from fitcheck.questions.finding import Finding, Requirement, Verdict
from fitcheck.questions.judge import judge
from fitcheck.questions.lengths import how_to_meet, length_finding, said
from fitcheck.questions.moves import Besides, Change, Effect, Resizing
from fitcheck.questions.quantities import of_property
from fitcheck.questions.question import answers
from fitcheck.questions.remedy import allowed_lengths, allowed_moves, amount, enough, holds
from fitcheck.questions.words import BLADE_CAUTIONS, Meaning, assumed_spreads, listed
from fitcheck.stack import Dimension, Interval, Response, Sum
from fitcheck.stack.synthesis import moved


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
    notes: tuple[str, ...] = ()
    """The sizes of what lies under the blade, as on a drawing; without them the nominal ones are drawn."""


@dataclass(frozen=True, slots=True)
class MissedScrew:
    """What the figure of a screw draws that the blade does not reach far enough beyond.

    stack: the tube stack. at: the axis of the screw, mm from the mouth. words: what was found and needed.
    """

    stack: TubeStack
    at: float
    words: str


_SUM = ("sum of the lengths of the tube stack",)


@answers(BladeDepth)
def findings(asked: BladeDepth) -> tuple[Finding, ...]:
    found = [_depth(asked), *(_landing(asked, i) for i in range(1, len(asked.screws) + 1))]
    if asked.slug is not None:
        found += [_retained(asked, asked.slug, True), _retained(asked, asked.slug, False)]
    if asked.blade is not None and asked.bore is not None:
        goes_in = _goes_in(asked, asked.blade, asked.bore)
        # Said where the play matters, and wherever it is in doubt: a blade that does not go in has no depth.
        matters = asked.wander_at_most is not None and asked.temperature is None
        if matters or goes_in.verdict is not Verdict.HOLDS:
            found.append(goes_in)
    if asked.temperature is not None:
        found.append(_warm(asked))
    if asked.wander_at_most is not None:
        found.append(_wander(asked, asked.wander_at_most))
    return tuple(found)


def _depth(asked: BladeDepth) -> Finding:
    depth, requirement = lengths_asked(asked)[0]
    change = _change(asked, depth, requirement)
    return length_finding(
        asked,
        depth,
        requirement,
        label="depth of the blade",
        answer=_sits(depth),
        means=_deep_enough(depth, requirement, change) if depth.nominal > 0 else None,
        change=change,
        sources=_SUM,
        cautions=BLADE_CAUTIONS,
        details=_details(asked),
        drawing=_drawing(asked),
    )


def _sits(depth: Sum) -> str:
    """Where the seat of the blade lies, in words; one above the mouth is no depth."""
    if depth.nominal > 0:
        return said(depth, "the blade sits {} deep, between {} and {}.")
    above = depth.unit.show(-depth.nominal)
    return (
        f"The blade does not reach into its socket: its seat lies {above} above the mouth, because the lengths "
        "under the blade exceed those that make it deeper."
    )


def _deep_enough(depth: Sum, requirement: Requirement, change: Sequence[str | Change]) -> Meaning:
    """What the depth means: what is to be cut, where that mends it, or else on which side it misses its limits."""
    (low, high), least, most = depth.worst_case(), requirement.at_least, requirement.at_most
    missed = ["too shallow"] if least is not None and low < least else []
    missed += ["too deep"] if most is not None and high > most else []
    fits = (
        "Deep enough" if most is None else "Neither too shallow nor too deep" if least is not None else "Not too deep"
    )
    return Meaning(fits, _first_do(change) or f"It can be {' or '.join(missed)}")


def _first_do(change: Sequence[str | Change]) -> str:
    """What the first change says is to be done, as the beginning of a sentence; nothing where it says no amount."""
    do = next((one.do for one in change[:1] if isinstance(one, Change)), "")
    return do[:1].upper() + do[1:]


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
            f"{play.unit.down(play.worst_case().min)} to {play.unit.up(play.worst_case().max)}"
        )
    part = asked.cut_part
    if part is not None:
        unit = asked.depth.unit
        details[f"depth gained by cutting {part.called}"] = f"{asked.gain:g} {unit.text} for each {unit.text}"
        details |= working_lengths(part, lengths_asked(asked))
    if asked.friction_bore is not None and asked.blade is not None:
        wedges = float(wedging_depth(asked.friction_bore.upper, asked.blade.upper))
        details["can wedge askew"] = f"while less than {show(wedges)} deep"
    return details


def _landing(asked: BladeDepth, number: int) -> Finding:
    beyond, requirement = lengths_asked(asked)[number]
    show = beyond.unit.show
    low = beyond.unit.down(beyond.worst_case().min)
    which = f"set screw {number}" if len(asked.screws) > 1 else "the set screw"
    screw, change = f"{which[:1].upper()}{which[1:]}", _change(asked, beyond, requirement)
    reach = f"reaches {show(beyond.nominal)} beyond" if beyond.nominal >= 0 else "ends short of"
    return length_finding(
        asked,
        beyond,
        requirement,
        label=f"blade beyond the axis of {which}",
        answer=f"the blade {reach} the axis of {which}, at the least {low}.",
        means=Meaning(f"{screw} lands on the blade", _first_do(change) or f"{screw} can miss the blade"),
        change=change,
        sources=_SUM,
        cautions=BLADE_CAUTIONS,
        at=asked.screws[number - 1].nominal,
        drawing=None if holds(beyond, requirement) else _missed(asked, number, beyond, requirement),
    )


def _missed(asked: BladeDepth, number: int, beyond: Sum, requirement: Requirement) -> MissedScrew:
    """What the drawing of a screw that the blade does not reach says."""
    show, low = beyond.unit.show, beyond.worst_case().min
    ends = f"{show(beyond.nominal)} beyond" if beyond.nominal >= 0 else f"{show(-beyond.nominal)} short of the screw"
    words = f"{ends}, {beyond.unit.down(low)} at worst, {requirement.words(beyond.unit)} needed"
    return MissedScrew(_drawing(asked), asked.screws[number - 1].nominal, words)


def _retained(asked: BladeDepth, slug: Slug, towards_mouth: bool) -> Finding:
    beyond = slug.above_axis if towards_mouth else slug.below_axis
    show, name = beyond.unit.show, slug.part.called
    low = beyond.unit.down(beyond.worst_case().min)
    side = "towards the mouth" if towards_mouth else "on the far side"
    reach = f"reaches {show(beyond.nominal)} beyond" if beyond.nominal >= 0 else "ends short of"
    ways: tuple[Resizing, ...]
    if towards_mouth:
        how = f"make {name} {{0}} longer or set its screw {{0}} deeper"
        ways = (Resizing(_key_of(asked, slug.part), slug.part), Resizing("slug_screw", slug.screw))
    else:
        how, ways = f"set the screw of {name} {{0}} nearer to the mouth", (Resizing("slug_screw", slug.screw, -1.0),)
    return length_finding(
        asked,
        beyond,
        slug.requirement,
        label=f"{name} beyond the axis of its screw {side}",
        answer=f"it {reach} the axis of its screw {side}, at the least {low}."
        + (f" {slug.cut_words()}" if towards_mouth else ""),
        means=Meaning(f"The screw lands on the {name}", f"The screw can miss the {name}"),
        change=how_to_meet(beyond, slug.requirement, how, *ways),
        sources=_SUM,
        cautions=BLADE_CAUTIONS,
    )


def _goes_in(asked: BladeDepth, blade: Dimension, bore: Dimension) -> Finding:
    play = bore - blade
    show = play.unit.show
    requirement = Requirement(at_least=asked.play_at_least, risk=asked.risk)
    if play.nominal >= 0:
        answer = said(play, "it has {} play in the bore, between {} and {}.")
    else:
        answer = f"it is {show(-play.nominal)} too large for the bore."
    low, does = play.worst_case().min, "does not go in" if play.nominal < 0 else "may not go in"
    return length_finding(
        asked,
        play,
        requirement,
        label="play of the blade in the bore",
        answer=answer,
        means=Meaning("The blade goes in", f"The blade {does if low < 0 else 'goes in too tight'}"),
        change=how_to_meet(play, requirement, "take {0} off the blade's diameter", Resizing("blade", blade, -1.0)),
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

    def turned_down(by: float) -> list[Response]:
        """The play of a blade that is smaller by so much."""
        assert asked.blade is not None
        less = {**inputs, "d": moved(asked.blade, asked.blade.nominal - by)}
        return [Response(play_at, less, unit=play.unit, name=play.name)]

    play = Response(play_at, inputs, unit=asked.bore.unit, name="play of the blade")
    up, down = play.unit.up, play.unit.down
    low, high = play.worst_case()
    requirement = Requirement(at_least=asked.play_at_least, risk=asked.risk)
    cold, warm = (asked.temperature.unit.show(t, 0) for t in (asked.temperature.lower, asked.temperature.upper))
    binds = f"it binds by {up(-low)} at worst" if low < 0 else f"at the least {down(low)} is left"
    off = None
    if not holds(play, requirement):
        off = enough(turned_down, requirement, asked.play_at_least - low, play.unit, asked.blade.lower / 2)
    change = []
    if off:
        do, edit = f"take {up(off)} off the blade's diameter", Resizing("blade", asked.blade, -1.0).by(off)
        change.append(Change.doing(do, Effect.HOLDS, [edit]))
    return judge(
        asked,
        play,
        requirement,
        label=f"play of the blade in the bore from {cold} to {warm}",
        answer=f"{binds} between {cold} and {warm}, at the most {up(high)}.",
        means=Meaning(
            "The blade stays free, warm and cold",
            "The blade can bind as it warms or cools" if low < 0 else "Too little play is left, warm or cold",
        ),
        change=change,
        assumptions=(
            *assumed_spreads(*inputs.values()),
            "Blade and socket are equally warm and free to expand; drawing sizes hold at "
            f"{asked.temperature.unit.show(20.0, 0)}.",
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
    show, up, tilts = judged.unit.show, judged.unit.up, tilt.unit
    assumptions = [
        *assumed_spreads(*wander.sizes.values()),
        "Blade and socket are rigid and straight but for the bow given.",
    ]
    if asked.screws:
        assumptions.append("The screws stand in one row and press the blade against the wall opposite.")
    if asked.bore.lower < asked.blade.upper:
        assumptions.append("The largest blade does not go into the least bore; such a pair counts as without play.")
    requirement = Requirement(at_most=limit, risk=asked.risk)
    sleeve = None if holds(judged, requirement) else wander.sleeve(requirement, tight=bool(asked.screws))
    change: str | Change = (
        "the bow alone puts the tip off by more than that: straighten the blade, or use a shorter one"
    )
    if sleeve is not None:
        do = f"take up {up(sleeve)} of the play on the diameter, with a sleeve or tape"
        ways = Resizing("bore", asked.bore, -1.0), Resizing("blade", asked.blade)
        change = Change.doing(do, Effect.HOLDS, *([way.by(sleeve)] for way in ways), pause=",")
    return judge(
        asked,
        judged,
        requirement,
        label=f"tip wander, {state}",
        answer=(
            f"it lies up to {up(loose.worst_case().max)} off the axis with the blade loose"
            + (f", up to {up(tight.worst_case().max)} with the screws tight" if asked.screws else "")
            + f"; loose, the blade tilts up to {tilts.up(tilt.worst_case().max)}."
        ),
        means=Meaning("The tip stays near the axis", "The tip can wander too far"),
        change=[change],
        assumptions=assumptions,
        sources=("plane geometry of a rod in a bore",),
        cautions=BLADE_CAUTIONS,
        details={
            "tip off the axis, loose": f"{show(loose.nominal)}, at the most {up(loose.worst_case().max)}",
            "tip off the axis, screws tight on one side": f"{show(tight.nominal)}, at the most "
            f"{up(tight.worst_case().max)}",
            "tilt, loose": f"{tilts.show(tilt.nominal)}, at the most {tilts.up(tilt.worst_case().max)}",
            "tilt, screws tight on one side": "none: the blade lies along the wall",
        },
    )


def _key_of(asked: BladeDepth, part: Dimension) -> str:
    """The input that a part under the blade is."""
    return f"takes[{next(i for i, one in enumerate(asked.takes, start=1) if one is part)}]"


def _deepened(asked: BladeDepth) -> Resizing | None:
    """What makes the blade sit deeper: less of the part that may be cut, else more of a length above it."""
    if asked.cut_part is not None:
        return Resizing(_key_of(asked, asked.cut_part), asked.cut_part, -1.0)
    rates = dict(asked.depth.terms)
    deeper = (Resizing(f"adds[{i}]", d, 1 / rates[d]) for i, d in enumerate(asked.adds, start=1) if rates.get(d, 0) > 0)
    return next(deeper, None)


def _change(asked: BladeDepth, quantity: Sum, requirement: Requirement) -> list[str | Change]:
    moves = allowed_moves(quantity, requirement)
    if all(window.min > window.max for window in moves):
        return ["no change of a length alone does it: the tolerances are wider than the requirement; tighten them"]
    deeper, higher = (
        (f"cut {part.called} {{}} shorter", f"make {part.called} {{}} longer")
        if (part := asked.cut_part) is not None
        else ("seat the blade {} deeper", "seat the blade {} higher")
    )
    lines: dict[str, Change] = {}
    together = {} if part is None else dict(zip(Effect, allowed_lengths(part, lengths_asked(asked)), strict=True))
    too_much = []
    effects = ((Effect.HOLDS, "to hold at worst case"), (Effect.WITHIN_RISK, "to be within the risk"))
    for window, (effect, aim), most in zip(moves, effects, _most_cut(asked), strict=True):
        if window.min > window.max or window.min <= 0 <= window.max:
            continue
        ends = (window.min, window.max) if window.min > 0 else (-window.max, -window.min)
        least, greatest = (end / asked.gain for end in ends)
        if part is not None:
            least, greatest = _for_all(part, together[effect], least, greatest)
        by = amount(quantity.unit, least, greatest)
        if window.min > 0 and least > most + 1e-9:
            too_much.append(f"{by.text} {aim}")
        else:
            # Where the risk asks for as much as the worst case does, the first line says it all.
            what, sense = (deeper, 1.0) if window.min > 0 else (higher, -1.0)
            resizing = _deepened(asked)
            ways = [[resizing.by(sense * by.inside)]] if resizing is not None else []
            do = what.format(by.text)
            lines.setdefault(do, Change.doing(do, effect, *ways))
    called = part.called if part is not None else ""
    said_so: list[str | Change] = list(lines.values())
    if too_much and not said_so:
        allows = f"that its screw allows for {called}" if asked.slug is not None else f"of {called}, {asked.cut_part},"
        said_so.append(f"no cut {allows} does it: {listed(too_much)} would have to come off")
    if asked.slug is not None and said_so:
        said_so.append(Besides(asked.slug.cut_words()))
        if too_much:
            said_so.append(f"set the screw of {called} deeper, or take the rest off another part under the blade")
    return said_so


def _for_all(part: Dimension, window: Interval, least: float, greatest: float) -> tuple[float, float]:
    """By how much a part must be cut, or made longer, at the least and at the most, so that the lengths in `window`,
    with which every requirement of the question is met, are reached; as it was where there are none.
    """
    if window.min > window.max:
        return least, greatest
    first, last = sorted(abs(end - part.nominal) for end in window)
    return first, last


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
        below=tuple((d.called.removesuffix(f" ({d})"), d.nominal) for d in asked.takes),  # its size is drawn anyway
        screws=tuple((f"screw {i}", d.nominal) for i, d in enumerate(asked.screws, start=1)),
        blade=asked.blade.nominal if asked.blade else None,
        bore=asked.bore.nominal if asked.bore else None,
        outside=asked.outside.nominal if asked.outside else None,
        notes=tuple(map(str, asked.takes)),
    )
