"""What is found of a chassis in its tube: its play, the gap of what stands out, what lies along the tube."""

from __future__ import annotations

from functools import partial

import numpy as np
from numpy.typing import NDArray

from fitcheck.mechanics.cross_section import corner_gap, rectangle_play
from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.judge import judge
from fitcheck.questions.lengths import length_finding, moved, said
from fitcheck.questions.port.bodies import drawn, free_shift, shown_size
from fitcheck.questions.port.drawing import CrossSection, body_section
from fitcheck.questions.port.question import PortClearance
from fitcheck.questions.question import answers
from fitcheck.questions.words import ELECTRICAL_CAUTIONS, assumed_spreads
from fitcheck.stack import Dimension, Response, Sum
from fitcheck.stack.dimension import combine

_SHIFT = (
    "The {} is taken as uniform, straight to the worst side by a share of the way, from the middle to the wall; the "
    "details say what the risk is with the chassis always pressed to that side."
)
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
    label, sentence = "play of the chassis in the tube", "The chassis has {} play in the tube, between {} and {}."
    if asked.chassis is not None:
        how, source = "take {} off the chassis diameter", "difference of two diameters"
        return _length(asked, asked.bore - asked.chassis, asked.slide, label, sentence, how, source)
    assert asked.chassis_width is not None
    assert asked.chassis_height is not None
    sizes = {"bore": asked.bore, "width": asked.chassis_width, "height": asked.chassis_height}
    play = Response(rectangle_play, sizes, unit=asked.bore.unit, name="play")
    show, (low, high) = play.unit.show, play.worst_case()
    return judge(
        asked,
        play,
        Requirement(at_least=asked.slide, risk=asked.risk),
        label=label,
        answer=sentence.format(show(play.nominal), show(low), show(high)),
        change=[f"take {show(asked.slide - low)} off the diagonal, by breaking its edges, and it holds"],
        assumptions=assumed_spreads(*sizes.values()),
        sources=("diagonal of a rectangle",),
        cautions=ELECTRICAL_CAUTIONS,
    )


def _corner(asked: PortClearance, chassis: Dimension, width: Dimension, reach: Dimension) -> Finding:
    shift = free_shift("shift towards the corner")
    sizes = {"bore": asked.bore, "chassis": chassis, "width": width, "reach": reach}
    gap = Response(corner_gap, {**sizes, "shift": shift}, unit=asked.bore.unit, name="corner gap")
    pressed = Response(partial(corner_gap, shift=1.0), sizes, unit=asked.bore.unit, name="corner gap, pressed")
    show = gap.unit.show
    low, high = gap.worst_case()
    if high < 0:
        answer = f"The corner of the {asked.what} cannot clear the wall: it overlaps by {show(-high)} at best."
    elif low < 0:
        answer = f"The corner of the {asked.what} can touch the wall: gap {show(gap.nominal)}, worst {show(low)}."
    else:
        centred = show(float(gap.function(**{key: d.nominal for key, d in gap.inputs.items()} | {"shift": 0.0})))
        answer = f"The corner of the {asked.what} clears the wall by {show(low)} at the least, {centred} when centred."
    missing = asked.gap - low
    # Taking material off the face moves the corner by the cosine of the angle between face normal and corner.
    corner = float(np.hypot(width.nominal / 2, reach.nominal))
    off = missing * corner / reach.nominal if reach.nominal > 0 else missing
    return judge(
        asked,
        gap,
        Requirement(at_least=asked.gap, risk=asked.risk),
        label=f"gap between the corner of the {asked.what} and the wall",
        answer=answer,
        change=[f"bring the outer face of the {asked.what} about {show(off)} nearer to the axis and it holds"],
        assumptions=(
            *assumed_spreads(asked.bore, chassis, width, reach),
            _SHIFT.format(shift.name),
        ),
        sources=("plane geometry of a circle and a rectangle",),
        cautions=ELECTRICAL_CAUTIONS,
        details={"worst case": gap.worst_case_method, **_pressed_risk(asked, pressed)},
        drawing=CrossSection(
            outside=asked.outside.nominal if asked.outside else None,
            bore=asked.bore.nominal,
            chassis=chassis.nominal,
            width=width.nominal,
            reach=reach.nominal,
            what=asked.what,
            port=asked.port.nominal if asked.port else None,
            gap=pressed.nominal,
            centred=float(corner_gap(asked.bore.nominal, chassis.nominal, width.nominal, reach.nominal, 0.0)),
        ),
    )


def _bodies(asked: PortClearance) -> Finding:
    section, gap, pressed = asked.section, asked.section.gap_shifted, asked.section.gap
    show = gap.unit.show
    low = gap.worst_case().min
    each = dict(zip(section.bodies, (one.worst_case().min for one in pressed.each), strict=True))
    first = min(each, key=lambda body: each[body])
    nearest = section.nearest(first)
    at_random = section.gaps_at_random()
    ends = f"the worst gap is {show(low)}" if low >= 0 else f"it can overlap the wall by {show(-low)}"
    return judge(
        asked,
        gap,
        Requirement(at_least=asked.gap, risk=asked.risk),
        label="smallest gap between the bodies and the wall",
        answer=f"Nearest to the wall is {nearest}: {ends}; nominal parts pressed there: {show(pressed.nominal)}.",
        change=[
            f"bring {section.nearest(body)}, {show(asked.gap - worst)} nearer to the axis and it holds"
            for body, worst in each.items()
            if worst < asked.gap
        ],
        assumptions=(
            *assumed_spreads(asked.bore, *section.chassis, *(d for b in section.bodies for d in b.sizes.values())),
            _SHIFT.format(section.shift.name),
            "The tube is round, so it does not matter how the chassis as a whole is turned in it.",
        ),
        sources=("plane geometry of a circle, rectangles and circles",),
        cautions=ELECTRICAL_CAUTIONS,
        details={
            **{f"{b.name} ({shown_size(b, gap.unit)})": f"at the least {show(worst)}" for b, worst in each.items()},
            **_pressed_risk(asked, pressed),
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


def _pressed_risk(asked: PortClearance, pressed: Response) -> dict[str, str]:
    """The risk where the chassis always lies at the worst place, whatever shakes it there."""
    risk = pressed.probability(below=asked.gap)
    words = f"{risk:.2g}" if risk or not risk.standard_error else f"below {risk.standard_error:.1g}"
    return {"risk with the chassis always pressed to the worst side": words}


def _cell(asked: PortClearance, cell: Dimension, bore: Dimension) -> Finding:
    sleeve = [(-2.0, asked.sleeve)] if asked.sleeve is not None else []
    return _length(
        asked,
        combine([(1.0, bore), (-1.0, cell), *sleeve]),
        asked.cell_play,
        "play of the cell in the chassis",
        f"The {'sleeved ' if sleeve else ''}cell has {{}} play, between {{}} and {{}}.",
        "open the bore for the cell by {}",
        "difference of diameters",
        cell.origin,
    )


def _end(asked: PortClearance) -> Finding:
    return _length(
        asked,
        asked.room,
        asked.end_gap,
        "gap to the floor of the end cap",
        "The stack ends {} before the end cap, between {} and {}.",
        "shorten the stack by {}",
        _ALONG,
    )


def _pressed(asked: PortClearance, free: Dimension) -> Finding:
    return _length(
        asked,
        free - asked.room,
        asked.spring_press,
        "travel by which the spring is pressed",
        "The cap presses the spring by {}, between {} and {}.",
        "lengthen the stack or the spring by {}",
        _ALONG,
    )


def _not_solid(asked: PortClearance, solid: Dimension) -> Finding:
    return _length(
        asked,
        asked.room - solid,
        asked.spring_spare,
        "travel left until the spring is solid",
        "The spring is {} short of solid, between {} and {}.",
        "shorten the stack by {}",
        _ALONG,
    )


def _length(
    asked: PortClearance, length: Sum, least: float, label: str, sentence: str, how: str, *sources: str
) -> Finding:
    requirement = Requirement(at_least=least, risk=asked.risk)
    return length_finding(
        asked,
        length,
        requirement,
        label=label,
        answer=said(length, sentence),
        change=moved(length, requirement, how),
        sources=tuple(filter(None, sources)),
        cautions=ELECTRICAL_CAUTIONS,
    )


def _share(hits: NDArray[np.bool_]) -> str:
    """The share of samples that hit; no hit is a bound, not 0."""
    share, n = float(np.mean(hits)), hits.size
    return f"{share:.2g} ({n:,} samples)" if share else f"below {1 / n:.0e} (none of {n:,} samples)"
