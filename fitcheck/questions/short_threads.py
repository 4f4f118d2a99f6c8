"""What a few threads hold, as dimensions: strength, level of the bench and scatter, and what is assumed of them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from fitcheck import threads
from fitcheck.basis import Basis
from fitcheck.later import special
from fitcheck.mechanics import (
    NO_TAPPED_TESTS,
    Material,
    shear_area_external,
    shear_area_internal,
    short_engagement_bounds,
    short_model,
)
from fitcheck.stack import Dimension, Interval, Normal, Spread, StudentT, between, dimension
from fitcheck.stack.trials import Bench
from fitcheck.tables import table
from fitcheck.threads import Thread
from fitcheck.units import PLAIN, unit

TESTED_THREADS = (0.9, 7.5)
"""Threads engaged in the tests of the short-thread model: `fitcheck.mechanics.short_engagement_factor`."""


def _off_the_model(name: str, spread: Spread, plus: float) -> Dimension:
    return dimension(
        0.0,
        plus=plus,
        spread=spread,
        name=name,
        unit=PLAIN,
        origin=short_model().source,
        basis=short_model().rests_on,
    )


def strip_scatter() -> Dimension:
    """Logarithm of the strip load of one joint over what joints of its bench hold: normal, its zone two deviations."""
    return _off_the_model("scatter of strip tests", Normal(2), 2 * short_model().next_scatter)


def bench_level() -> Dimension:
    """How far a bench lies off the median of benches, in the units of `mechanics.bench_error`: Student t.

    95 of 100 lie in its zone, as of the scatter; the worst case ends there.
    """
    freedom = short_model().bench.freedom
    k = float(special.stdtrit(freedom, 0.975))
    return _off_the_model("level of this bench", StudentT(freedom, k), k)


def own_level(bench: Bench) -> Dimension:
    """Logarithm of the strip torque of the next hole over what published tests predict, by own trials."""
    zone = 2 * math.hypot(bench.level_error, bench.piece_scatter)
    return dimension(
        bench.level,
        plus=zone,
        spread=bench.next_piece(zone),
        name="own trials",
        unit=PLAIN,
        origin="own trials, with what published tests say of other benches",
        basis=Basis.MEASURED,
    )


_TESTED_SHEAR = 0.6
"""Shear over tensile strength, as the tests were reckoned with."""


def strip_strength(material: Material, rule: str | None) -> Dimension:
    """The shear strength that a strip load is reckoned with, as the tests were: 0.6 times the least tensile strength.

    Or the least shear strength, where that is less. Exact: by how much a piece passes its least is part of the scatter
    of the tests. Raises `TableError` where neither is known.
    """
    shear = material.shear_strength(rule)
    least, source, basis = shear.lower, shear.source, shear.weakest
    if material.tensile is not None and _TESTED_SHEAR * material.tensile.lower < least:
        tensile = material.tensile
        least, source, basis = _TESTED_SHEAR * tensile.lower, tensile.source, tensile.weakest
    return between(
        least,
        least,
        name=f"least shear strength of {material.name}",
        unit=unit(shear.unit),
        origin=f"{material.name}: {_TESTED_SHEAR:g} times the least tensile strength, or the least shear strength; "
        f"{source}",
        basis=basis,
    )


@lru_cache(maxsize=256)
def limits_share(thread: Thread) -> tuple[float, float]:
    """Shear areas of the worst limits over those of the middle sizes, of the internal and the external thread.

    The tests were compared with the areas of the worst limits, and sizes as made have larger ones. thread: either
    of the pair; the limits are those of the class that the standard takes for its size and pitch (mostly 6H/6g, 2B/2A),
    whatever its own.
    """
    screw, hole = (threads.thread(thread.size_and_pitch, external=one, special=True).limits() for one in (True, False))
    P = thread.pitch
    worst = (
        shear_area_internal(P, P, screw.dimension("major").lower, hole.dimension("pitch").upper),
        shear_area_external(P, P, hole.dimension("minor").upper, screw.dimension("pitch").lower),
    )
    middle = (
        shear_area_internal(P, P, screw.dimension("major").middle, hole.dimension("pitch").middle),
        shear_area_external(P, P, hole.dimension("minor").middle, screw.dimension("pitch").middle),
    )
    return float(worst[0] / middle[0]), float(worst[1] / middle[1])


def strip_assumptions(threads: Interval) -> tuple[str, ...]:
    """What every finding on a strip load assumes of the model behind it; `threads` engage."""
    said = (
        NO_TAPPED_TESTS,
        "How far a new bench lies off the tests, and how single joints scatter on it, are part of the spread; the "
        "tests knew only the least strength of their plates, so the least of the wall is reckoned with.",
    )
    least, most = TESTED_THREADS
    if least <= threads.min and threads.max <= most:
        return said
    return (
        *said,
        f"The tests had {least:g} to {most:g} threads, here {threads.min:.1f} to {threads.max:.1f} engage: more than "
        "were tested are taken to near the textbook load, fewer rest on the least load that was seen.",
    )


class StripChart(NamedTuple):
    """Load over the textbook load against threads engaged: the short-thread model, its 90 % band, and the tests."""

    threads: tuple[float, ...]
    low: tuple[float, ...]
    middle: tuple[float, ...]
    high: tuple[float, ...]
    tests: Mapping[str, tuple[tuple[float, float], ...]]
    """By metal: threads and ratio of each test in which the thread gave way (`tables/strip_tests.csv`)."""


@lru_cache(maxsize=4)
def strip_chart(most: float = 7.8) -> StripChart:
    """The chart from 0.3 threads to `most`.

    >>> chart = strip_chart(7.5)
    >>> chart.threads[0], round(chart.middle[-1], 2)
    (0.3, 0.86)
    """
    n = np.linspace(0.3, most, 200)
    low, middle, high = (tuple(np.asarray(one).tolist()) for one in short_engagement_bounds(n))
    rows = table("strip_tests", {"threads": float, "ratio": float}).rows
    tests = {
        metal: tuple((r["threads"], r["ratio"]) for r in rows if r["metal"] == metal and r["gave_way"] == "thread")
        for metal in dict.fromkeys(row["metal"] for row in rows)
    }
    return StripChart(tuple(n.tolist()), low, middle, high, tests)
