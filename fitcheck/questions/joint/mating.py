"""Do the halves of a screwed joint go together, and do their flanks still meet? Worn, coated, or of unlike pitches."""

from __future__ import annotations

from functools import partial

import numpy as np

from fitcheck.mechanics.flank_bearing import LEAST_OVERLAP
from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.joint.question import ThreadEngagement
from fitcheck.questions.judge import judge
from fitcheck.questions.out_of_class import out_of_class, worn_sizes
from fitcheck.questions.words import Meaning, assumed_spreads, hand, turning
from fitcheck.stack import Dimension, Response, Sum
from fitcheck.stack.dimension import combine
from fitcheck.threads.coating import PITCH_FACTOR, coat
from fitcheck.threads.pair import axial_play
from fitcheck.threads.profile import TRIANGLE, flank_overlap, thread_height
from fitcheck.threads.thread import limit_places
from fitcheck.units import PERCENT, PLAIN, Number

_CAUTION = "A thread that binds is not forced: a seized aluminium thread does not come apart again."


def _coated(q: ThreadEngagement, v: dict[str, Number]) -> dict[str, Number]:
    """The four diameters under the films that are still to come, `film_external` and `film_internal` in `v`."""
    sizes = {key: np.asarray(v[key]) for key in ("d", "d2", "D1", "D2")}
    for half, film in q.films.items():
        grown, sense = film.growth * np.asarray(v[f"film_{half}"]), 1 if half == "external" else -1
        pitch, crest = ("d2", "d") if half == "external" else ("D2", "D1")
        sizes[pitch] = sizes[pitch] + sense * PITCH_FACTOR * grown
        if half not in q.measured_crests:  # what was measured has its film on
            sizes[crest] = sizes[crest] + sense * 2 * grown
    return dict(sizes)


def _inputs(q: ThreadEngagement) -> dict[str, Dimension]:
    return {**q.pair_sizes, **{f"film_{half}": film.thickness for half, film in q.films.items()}}


def play_between(q: ThreadEngagement) -> Sum:
    """The play between the flanks, on the pitch diameter."""
    films = [(-PITCH_FACTOR * film.growth, film.thickness) for film in q.films.values()]
    return combine([(1.0, q.pair_sizes["D2"]), (-1.0, q.pair_sizes["d2"]), *films])


def _height(q: ThreadEngagement, **v: Number) -> Number:
    return flank_overlap(**_coated(q, v), P=q.external.pitch, P_nut=q.internal.pitch)


def flanks_of(q: ThreadEngagement) -> Response:
    """The radial height over which flanks meet."""
    return Response(partial(_height, q), _inputs(q), unit=q.pair_sizes["D2"].unit, name="overlap of the flanks")


def least_overlap(q: ThreadEngagement) -> float:
    """The height over which flanks must meet before their joint is trusted with a load, mm."""
    return LEAST_OVERLAP * float(thread_height(q.external.pitch))


def flanks_meet(q: ThreadEngagement) -> bool:
    """Whether the flanks meet over enough of their height, at worst case."""
    return flanks_of(q).worst_case().min >= least_overlap(q)


def mating_findings(q: ThreadEngagement) -> list[Finding]:
    """Whether the halves go together with play, and whether what is worn still reaches its mate.

    The second is said only where it is in doubt; a play that is only large is then no good news and is left out.
    """
    if flanks_meet(q):
        return [_play_finding(q)]
    missing = _flanks_finding(q, flanks_of(q))
    return [_play_finding(q), missing] if play_between(q).worst_case().min < 0 else [missing]


def _places(q: ThreadEngagement) -> int:
    return limit_places(q.pair_sizes["D2"].unit.text)


def out_of_limits(q: ThreadEngagement) -> dict[str, str]:
    """The measured diameters that lie outside the limits of their class, as rows: worn ones have lost metal."""
    return out_of_class([
        ("external", q.external, {"major": q.external_major, "pitch": q.external_pitch}),
        ("internal", q.internal, {"minor": q.internal_minor, "pitch": q.internal_pitch}),
    ])  # fmt: skip


def worn_words(q: ThreadEngagement) -> str:
    """What `out_of_limits` finds as a sentence, with a space before it; nothing where all is within limits.

    Crests do not wear alone: where a pitch diameter beside a crest out of its limits was not measured, it says so.
    """
    rows = out_of_limits(q)
    if not rows:
        return ""
    crests = {"external": ("major", q.external_pitch), "internal": ("minor", q.internal_pitch)}
    unmeasured = "".join(
        f" The {half} pitch diameter was not measured: it is taken to be within its class, and flanks wear with crests."
        for half, (crest, pitch) in crests.items()
        if f"{half} {crest} diameter" in rows and pitch is None
    )
    return f" Measured, {worn_sizes(rows)}.{unmeasured}"


def _play_finding(q: ThreadEngagement) -> Finding:
    films, play, places, which = q.films, play_between(q), _places(q), hand(q.external.left_hand)
    # A film raises both crests by its growth.
    raised = [(film.growth, film.thickness) for half, film in films.items() if half not in q.measured_crests]
    overlap = combine([(0.5, q.pair_sizes["d"]), (-0.5, q.pair_sizes["D1"]), *raised])
    height = float(thread_height(q.external.pitch))
    show = play.unit.show
    low, high = play.worst_case()
    few, most = overlap.worst_case()
    change = "chase the threads with a tap or die of this size and measure again"
    if films:
        change = "mask the thread or have it cut to its limits less the film"
    return judge(
        q,
        play,
        Requirement(at_least=q.play, risk=q.risk),
        label="play between the flanks",
        worn=worn_sizes(out_of_limits(q)),
        answer=(
            f"the {which} pair has {show(play.nominal, places)} play on the pitch diameter, "
            f"at the least {play.unit.down(low, places)}, at the most {play.unit.up(high, places)}."
            if low >= 0
            else f"the pitch diameters of the {which} pair overlap by {play.unit.up(-low, places)} at worst."
        )
        + worn_words(q),
        means=Meaning(
            "The halves go together", "The halves go together too tight" if low >= 0 else "The halves can jam"
        ),
        change=(change,),
        assumptions=(
            *assumed_spreads(play),
            "Lead and angle errors of worn threads are left out.",
            *(("The limits of size hold before coating; a film takes four times its growth.",) if films else ()),
        ),
        decimals=places,
        sources=(
            q.external.standard,
            "thread height 5/8 H: ISO 68-1, ASME B1.1",
            *(f"{film.name}: {film.note}" for film in films.values() if film.note),
        ),
        cautions=(_CAUTION,),
        details={
            **out_of_limits(q),
            "radial overlap": f"{play.unit.down(few, places)} to {play.unit.up(most, places)}, "
            f"{PERCENT.down(few / height, 0)} to {PERCENT.up(most / height, 0)} of the basic thread height",
            "together": q.pair.verdict(),
            **{f"coating, {half}": coat(getattr(q, half), film).verdict() for half, film in films.items()},
            "to unscrew": f"turn {turning(q.external.left_hand, loosen=True)}, as seen from the side of the part that "
            f"is turned; {PLAIN.up(q.length.upper / q.external.lead, 1)} turns at the most",
        },
        drawing=q.pair,
    )


def _flanks_finding(q: ThreadEngagement, flanks: Response) -> Finding:
    """The halves of which the flanks may pass each other."""
    play, places, show, which = play_between(q), _places(q), flanks.unit.show, hand(q.external.left_hand)
    low, high = flanks.worst_case()
    H, least, height = TRIANGLE * q.external.pitch, least_overlap(q), float(thread_height(q.external.pitch))
    if low > 0:
        share = PERCENT.down(low / height, 0)
        does = f"meet on {share} of the basic thread height only: their flanks reach into each other"
        much = f"{flanks.unit.down(low, places)} at the least"
    elif high <= 0:
        does = "drop through each other: even the best of them miss"
        much = flanks.unit.down(-high, places)
    else:
        does = "can drop through each other: at worst the flanks miss"
        much = flanks.unit.up(max(-low, 0.0), places)
    return judge(
        q,
        flanks,
        Requirement(at_least=least, risk=q.risk),
        label="height over which the flanks meet",
        worn=worn_sizes(out_of_limits(q)),
        answer=f"the {which} halves {does} by {much}. The pitch diameters stand {show(play.nominal, places)} apart."
        + worn_words(q),
        means=Meaning("The worn threads still hold", "The worn threads can slip"),
        change=("replace the worn half: no thread is left that holds", "measure the pitch diameters again"),
        assumptions=(
            *assumed_spreads(*flanks.inputs.values()),
            "The halves stay on one axis: pushed to one side they hold less on the other.",
            f"Worn flanks keep their 60°: a ridge ends {show(H / 2, places)} over its pitch line at the latest.",
        ),
        decimals=places,
        sources=(
            q.external.standard,
            f"flanks that meet on {LEAST_OVERLAP:.0%} of the basic thread height at least: common practice, no source",
            "apex of the ridge, H/2 over the pitch line: geometry of 60° flanks",
        ),
        cautions=("A thread that drops through, or nearly does, holds nothing; do not trust it with any load.",),
        details={
            **out_of_limits(q),
            "play on the pitch diameter": f"{show(play.nominal, places)}; the flanks pass each other at "
            f"{show(2 * H, places)}, sooner with worn crests",
        },
        drawing=q.pair,
    )


def _turns(q: ThreadEngagement, starts: bool, **v: Number) -> Number:
    outer, inner, sizes = q.external, q.internal, _coated(q, v)
    clearance = np.asarray(sizes["D2"] - np.asarray(sizes["d2"]))
    play = np.maximum(axial_play(clearance, outer.pitch, inner.pitch), 0.0)  # type: ignore[arg-type]
    ridges_meet = np.asarray(flank_overlap(**sizes, P=outer.pitch, P_nut=inner.pitch)) > 0
    return np.where(ridges_meet & starts, play / abs(outer.lead - inner.lead), 0.0)


def binds_finding(q: ThreadEngagement) -> Finding:
    """How far halves of unlike pitches screw together."""
    pair, outer, inner = q.pair, q.external, q.internal
    starts = pair.start != "does not start"
    found = Response(partial(_turns, q, starts), _inputs(q), unit=PLAIN, name="turns until it binds")
    low, high = found.worst_case()
    home = q.length.upper / outer.lead
    return judge(
        q,
        found,
        Requirement(at_least=home, risk=q.risk),
        label="turns until it binds",
        worn=worn_sizes(out_of_limits(q)),
        answer=f"the halves are unlike. {pair.verdict()} It takes {home:.1f} turns to screw it home." + worn_words(q),
        means=Meaning("It screws home", "It does not screw home"),
        change=("replace the other half as well, or recut one of them to the pitch of the other",),
        assumptions=(*assumed_spreads(*found.inputs.values()), "The threads are rigid and of true form."),
        sources=(outer.standard, inner.standard, "geometry of 60° flanks"),
        cautions=(_CAUTION, "Halves of unlike pitches rest on two flanks only; do not trust them with any load."),
        details={**out_of_limits(q), "turns until it binds": f"{PLAIN.down(low, 1)} to {PLAIN.up(high, 1)}"},
    )
