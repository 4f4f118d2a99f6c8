"""What is found of a chassis in its tube: its play, the gap of what stands out, what lies along the tube."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import numpy as np
from numpy.typing import NDArray

from fitcheck.mechanics.cross_section import corner_gap, rectangle_play
from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.judge import judge
from fitcheck.questions.lengths import how_to_meet, length_finding, said
from fitcheck.questions.moves import Resizing
from fitcheck.questions.port.bodies import Body, Section, drawn, shown_size
from fitcheck.questions.port.clearing import cleared
from fitcheck.questions.port.drawing import BodyStack, CrossSection, body_section
from fitcheck.questions.port.question import PortClearance
from fitcheck.questions.question import answers
from fitcheck.questions.remedy import enough, holds
from fitcheck.questions.words import ELECTRICAL_CAUTIONS, Meaning, assumed_spreads
from fitcheck.stack import Dimension, Response, Sum
from fitcheck.stack.dimension import combine

_PRESSED = "The chassis shifts with every movement: it is taken as pressed to the wall on the worst side."
_ALONG = "sum of the lengths along the tube"


@answers(PortClearance)
def findings(asked: PortClearance) -> tuple[Finding, ...]:
    found = [] if asked.cell_alone else [_slides(asked)]
    # The simple form is one block on a round chassis, straight up.
    if asked.chassis is not None and asked.width is not None and asked.reach is not None:
        found.append(_corner(asked, asked.chassis, asked.width, asked.reach))
    if asked.section.bodies:
        found.append(_bodies(asked))
    if asked.cell is not None and asked.cell_bore is not None:
        found.append(_cell(asked, asked.cell, asked.cell_bore))
    if asked.spring_free is not None and asked.spring_solid is not None:
        found += [_pressed(asked, asked.spring_free), _not_solid(asked, asked.spring_solid)]
    elif asked.adds:
        found.append(_end(asked))
    return tuple(found)


def _slides(asked: PortClearance) -> Finding:
    label, sentence = "play of the chassis in the tube", "it has {} play in the tube, between {} and {}."
    means = Meaning("The chassis slides in", "The chassis can jam in the tube")
    if asked.chassis is not None:
        how, source = "take {} off the chassis diameter", "difference of two diameters"
        way = Resizing("chassis", asked.chassis, -1.0)
        return _length(asked, asked.bore - asked.chassis, asked.slide, label, sentence, means, how, [way], source)
    assert asked.chassis_width is not None
    assert asked.chassis_height is not None
    sizes = {"bore": asked.bore, "width": asked.chassis_width, "height": asked.chassis_height}
    play = Response(rectangle_play, sizes, unit=asked.bore.unit, name="play")

    def broken(by: float) -> list[Response]:
        return [Response(partial(rectangle_play, broken=by), sizes, unit=play.unit, name=play.name)]

    requirement = Requirement(at_least=asked.slide, risk=asked.risk)
    unit, (low, high) = play.unit, play.worst_case()
    off = None
    if not holds(play, requirement):
        off = enough(broken, requirement, asked.slide - low, unit, asked.chassis_width.lower)
    return judge(
        asked,
        play,
        requirement,
        label=label,
        answer=sentence.format(unit.show(play.nominal), unit.down(low), unit.up(high)),
        means=means,
        change=[f"take {unit.up(off)} off the diagonal, by breaking its edges, and it holds"] if off else [],
        assumptions=assumed_spreads(*sizes.values()),
        sources=("diagonal of a rectangle",),
        cautions=ELECTRICAL_CAUTIONS,
    )


def _corner(asked: PortClearance, chassis: Dimension, width: Dimension, reach: Dimension) -> Finding:
    sizes = {"bore": asked.bore, "chassis": chassis, "width": width, "reach": reach}
    gap = Response(partial(corner_gap, shift=1.0), sizes, unit=asked.bore.unit, name="corner gap")
    centred = float(corner_gap(asked.bore.nominal, chassis.nominal, width.nominal, reach.nominal, 0.0))
    show, down = gap.unit.show, gap.unit.down
    low, high = gap.worst_case()
    if high < 0:
        answer, does = f"its corner overlaps by {down(-high)} at best.", "does not clear the wall"
    elif low < 0:
        does = "can touch the wall"
        answer = f"its corner has a gap of {show(gap.nominal)} with the chassis pressed there, at worst {down(low)}."
    else:
        does = "can come too near the wall"
        answer = f"its corner is {down(low)} from it at the least, {show(centred)} when centred."
    requirement = Requirement(at_least=asked.gap, risk=asked.risk)
    block = Body(asked.what, {"width": width, "reach": reach})
    section = Section(asked.bore, (chassis,), (block,))
    return judge(
        asked,
        gap,
        requirement,
        label=f"gap between the corner of the {asked.what} and the wall",
        answer=answer,
        means=Meaning(f"The {asked.what} clears the wall by enough", f"The {asked.what} {does}"),
        change=[] if holds(gap, requirement) else cleared(section, requirement, {block: ""}),
        assumptions=(*assumed_spreads(asked.bore, chassis, width, reach), _PRESSED),
        sources=("plane geometry of a circle and a rectangle",),
        cautions=ELECTRICAL_CAUTIONS,
        details={"worst case": gap.worst_case_method},
        drawing=CrossSection(
            outside=asked.outside.nominal if asked.outside else None,
            bore=asked.bore.nominal,
            chassis=chassis.nominal,
            width=width.nominal,
            reach=reach.nominal,
            what=asked.what,
            port=asked.port.nominal if asked.port else None,
            gap=gap.nominal,
            centred=centred,
            worst=low,
            needed=asked.gap,
        ),
    )


def _bodies(asked: PortClearance) -> Finding:
    section, gap = asked.section, asked.section.gap
    unit, show = gap.unit, gap.unit.show
    low = gap.worst_case().min
    each = dict(zip(section.bodies, (one.worst_case().min for one in gap.each), strict=True))
    first = min(each, key=lambda body: each[body])
    nearest = section.nearest(first)
    at_random = section.gaps_at_random()
    ends = f"the worst gap is {unit.down(low)}" if low >= 0 else f"it can overlap the wall by {unit.up(-low)}"
    requirement = Requirement(at_least=asked.gap, risk=asked.risk)
    return judge(
        asked,
        gap,
        requirement,
        label="smallest gap between the bodies and the wall",
        answer=f"nearest to it is {nearest}; {ends}, and nominal parts pressed there leave {show(gap.nominal)}.",
        means=Meaning(
            "Everything clears the wall by enough",
            f"The {first.name} can {'touch the wall' if low < 0 else 'come too near the wall'}",
        ),
        change=[] if holds(gap, requirement) else cleared(section, requirement, _keys(asked)),
        assumptions=(
            *assumed_spreads(asked.bore, *section.chassis, *(d for b in section.bodies for d in b.sizes.values())),
            _PRESSED,
            "The tube is round, so it does not matter how the chassis as a whole is turned in it.",
        ),
        sources=("plane geometry of a circle, rectangles and circles",),
        cautions=ELECTRICAL_CAUTIONS,
        details={
            **{f"{b.name} ({shown_size(b, unit)})": f"at the least {unit.down(worst)}" for b, worst in each.items()},
            "probability of touching, sizes and shift at random": _share(at_random < 0),
            f"probability of less than {show(asked.gap)}, sizes and shift at random": _share(at_random < asked.gap),
        },
        drawing=body_section(
            asked.outside.nominal if asked.outside else None,
            asked.bore.nominal,
            [d.nominal for d in section.chassis],
            [(body.name, drawn(body)) for body in section.bodies],
            first=section.bodies.index(first),
        ),
    )


def _keys(asked: PortClearance) -> dict[Body, str]:
    """What comes before the name of a size in the input that a body is: nothing for the block of the simple form."""
    return {body: f"bodies[{i}]." for i, body in enumerate(asked.bodies, start=1)}


def _cell(asked: PortClearance, cell: Dimension, bore: Dimension) -> Finding:
    sleeve = [(-2.0, asked.sleeve)] if asked.sleeve is not None else []
    return _length(
        asked,
        combine([(1.0, bore), (-1.0, cell), *sleeve]),
        asked.cell_play,
        "play of the cell in the chassis",
        f"{'sleeved, ' if sleeve else ''}it has {{}} play, between {{}} and {{}}.",
        Meaning("The cell slides in", "The cell can jam"),
        "open the bore for the cell by {}",
        [Resizing("cell_bore", bore)],
        "difference of diameters",
        cell.origin,
    )


def _end(asked: PortClearance) -> Finding:
    low = asked.room.worst_case().min
    return _length(
        asked,
        asked.room,
        asked.end_gap,
        "gap to the floor of the end cap",
        "the stack ends {} before it, between {} and {}.",
        Meaning("The cap closes", "The cap may not close" if low < 0 else "The cap closes with too little room"),
        "shorten the stack by {}",
        _shorter(asked),
        _ALONG,
        drawing=_along(asked),
    )


def _pressed(asked: PortClearance, free: Dimension) -> Finding:
    return _length(
        asked,
        free - asked.room,
        asked.spring_press,
        "travel by which the spring is pressed",
        "the cap presses it by {}, between {} and {}.",
        Meaning("The spring is pressed", "The spring may not be pressed enough"),
        "lengthen the stack or the spring by {}",
        [Resizing("takes[1]", asked.takes[0]), Resizing("spring_free", free)],
        _ALONG,
        drawing=_along(asked),
    )


def _not_solid(asked: PortClearance, solid: Dimension) -> Finding:
    return _length(
        asked,
        asked.room - solid,
        asked.spring_spare,
        "travel left until the spring is solid",
        "it is {} short of solid, between {} and {}.",
        Meaning("The spring keeps its travel", "The spring can be pressed solid"),
        "shorten the stack by {}",
        _shorter(asked),
        _ALONG,
    )


def _shorter(asked: PortClearance) -> list[Resizing]:
    """What shortens the stack: the longest length in it, from which the most can be taken."""
    place, longest = max(enumerate(asked.takes, start=1), key=lambda one: one[1].lower)
    return [Resizing(f"takes[{place}]", longest, -1.0)]


def _length(
    asked: PortClearance,
    length: Sum,
    least: float,
    label: str,
    sentence: str,
    means: Meaning,
    how: str,
    ways: Sequence[Resizing],
    *sources: str,
    drawing: BodyStack | None = None,
) -> Finding:
    requirement = Requirement(at_least=least, risk=asked.risk)
    return length_finding(
        asked,
        length,
        requirement,
        label=label,
        answer=said(length, sentence),
        means=means,
        change=how_to_meet(length, requirement, how, *ways),
        sources=tuple(filter(None, sources)),
        cautions=ELECTRICAL_CAUTIONS,
        drawing=drawing,
    )


def _along(asked: PortClearance) -> BodyStack:
    """What the drawing of the device shows of the body."""
    stacked = [tuple((d.called.removesuffix(f" ({d})"), d.nominal) for d in each) for each in (asked.adds, asked.takes)]
    return BodyStack(
        adds=stacked[0],
        takes=stacked[1],
        bore=asked.bore.nominal,
        outside=asked.outside.nominal if asked.outside else None,
        chassis=asked.chassis.nominal if asked.chassis else None,
    )


def _share(hits: NDArray[np.bool_]) -> str:
    """The share of samples that hit; no hit is a bound, not 0."""
    share, n = float(np.mean(hits)), hits.size
    return f"{share:.2g} ({n:,} samples)" if share else f"below {1 / n:.0e} (none of {n:,} samples)"
