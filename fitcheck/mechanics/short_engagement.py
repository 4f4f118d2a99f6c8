"""Short engagement: what is left of the textbook strip load when only a few threads hold.

The textbook load is `shear area * shear strength`, proportional to the engaged length. Pull-out tests say it
is too high below about three threads: the first and the last thread are incomplete and bend. The coefficients
are data (`tables/strip_model.csv`), fitted to the tests in `tables/strip_tests.csv` by `strip_fit.py` with the
laboratories as clusters: half of the variance between tests is the laboratory, so what a new bench will find is
known far less well than what one more test of a known bench would show.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from fitcheck.basis import Basis
from fitcheck.errors import InputError, finite, not_negative, positive
from fitcheck.later import special
from fitcheck.mechanics.shear_areas import shear_area_external, shear_area_internal
from fitcheck.shown import Shown
from fitcheck.tables import table
from fitcheck.units import FloatArray, Number

NO_TAPPED_TESTS = (
    "The short-thread loss is fitted to pull-out tests of self-drilling screws in plate. No published tests of "
    "tapped M2 to M6 holes with one to three threads were found: it shows a trend with a wide spread and "
    "calibrates no design value. Test your own joint on scrap."
)
"""The sentence every finding on a short thread must carry."""

_FARTHEST = 20.0
"""Logarithm of a load over its median, beyond which one is as impossible as another: a factor of 500 million."""


@dataclass(frozen=True, slots=True, repr=False)
class Coefficient(Shown):
    """A fitted number, its standard error, and the degrees of freedom that it is known with (0: not stated)."""

    value: float
    error: float
    freedom: float = 0.0

    @property
    def of_one_more(self) -> float:
        """A standard deviation of so many degrees of freedom as that of one more draw: of Student t, a number."""
        return self.value * float(np.sqrt(self.freedom / (self.freedom - 2)))


@dataclass(frozen=True, slots=True, repr=False)
class ShortModel(Shown):
    """The fitted coefficients of the short-thread model.

    half: threads that hold half of the textbook load. bench: standard deviation of ln(level) between benches.
    scatter: standard deviation of ln(test / model) within one bench, as it was estimated. pair: of ln(ratio / model) of
    two pitches in one wall. least_risk: the smallest probability that the tests can tell. source: where they come from.
    rests_on: the kind of that source.
    """

    half: Coefficient
    bench: Coefficient
    scatter: Coefficient
    pair: Coefficient
    least_risk: float
    source: str
    rests_on: Basis

    @property
    def next_scatter(self) -> float:
        """Standard deviation of the logarithm of one more joint on its bench: the estimate, and its error.

        That of Student t with the degrees of freedom of the scatter; with a score of them the two hardly differ else.
        """
        return self.scatter.of_one_more


@lru_cache(maxsize=1)
def short_model() -> ShortModel:
    """The model of `tables/strip_model.csv`.

    >>> round(short_model().half.value, 2), short_model().bench.freedom
    (1.22, 4.0)
    """
    read = table("strip_model", {"value": float, "standard_error": float, "freedom": float})
    rows = {row["coefficient"]: Coefficient(row["value"], row["standard_error"], row["freedom"]) for row in read.rows}
    return ShortModel(
        rows["half"], rows["bench"], rows["scatter"], rows["pair"], rows["least risk"].value, read.source, read.rests_on
    )


def short_engagement_factor(n_threads: Number, half: Number | None = None) -> Number:
    """Fraction of the textbook strip load (area from the worst limits) that n threads hold, median of the benches.

    g(n) = n / (n + half)   [1]_

    n_threads: number of engaged full threads, LE/P. half: number of threads that hold half of the textbook load;
    left out, the fitted value of `short_model()`. Floats or arrays that broadcast. Below 1; grows with n; tends to 1.

    Valid for through-threads of 0.9 to 7.5 threads (the tests). Other forms fit those as well (a lost length with a
    floor, 1 - exp(-n/N)); this one was chosen because it alone predicts a laboratory that it was not fitted to. Tests
    are self-drilling screws, not tapped holes: see `NO_TAPPED_TESTS`. Nine joints of ten on a new bench lie within a
    factor of 1.7 of it either way: use `short_engagement_bounds` for a design.
    Raises `InputError` for n below 0 and half not above 0.

    >>> round(float(short_engagement_factor(2.0)), 2)
    0.62

    References
    ----------
    .. [1] Makers' laboratory tables, tests/reference/strip_tests.csv; fit in tables/strip_model.csv.
    """
    n = not_negative("n_threads", n_threads)
    half = positive("half", short_model().half.value if half is None else half)
    return np.asarray(n / (n + half))[()]


def bench_error(n_threads: Number) -> Number:
    """Standard error of ln(level) of a bench that was never tested, with n threads; a number.

    sqrt(s_bench² + (s_half / (n + half))²), how benches differ, and how well the fit knows their median. In these
    units a new bench lies off by Student's t with `short_model().bench.freedom` degrees of freedom, one less than the
    laboratories behind the fit [1]_.

    n_threads: number of engaged full threads; floats or arrays. Raises `InputError` for n below 0.

    References
    ----------
    .. [1] Prediction for a new cluster of a mixed model with few clusters: any text on mixed models; the degrees of
       freedom as in JCGM 100:2008, G.3.

    Examples
    --------
    >>> print(round(bench_error(2.0), 2))
    0.19
    """
    model = short_model()
    return level_error(not_negative("n_threads", n_threads), model.bench.value, model.half.value, model.half.error)


def level_error(n_threads: Number, bench: float, half: float, half_error: float) -> Number:
    """`bench_error` of any fit, whose coefficients are given; n_threads is not checked. Floats or arrays."""
    return np.asarray(np.sqrt(bench**2 + (half_error / (n_threads + half)) ** 2))[()]


def short_engagement_bounds(n_threads: Number, coverage: float = 0.9) -> tuple[Number, Number, Number]:
    """Lower, median and upper fraction of the textbook load for one joint of a new bench, that hold `coverage`.

    The bounds are g(n) exp(q), g of `short_engagement_factor` and q the quantiles of the sum of a Student t, of the
    bench (`bench_error`), and a normal one, of single joints on it (`ShortModel.next_scatter`). The upper bound may
    pass 1.

    n_threads: number of engaged full threads; floats or arrays. coverage: a fraction between 0 and 1, one for all.
    Raises `InputError` for any other, and n below 0. References as `short_engagement_factor`.

    >>> [round(float(one), 2) for one in short_engagement_bounds(2.0)]
    [0.37, 0.62, 1.04]
    """
    coverage = finite("coverage", coverage, one=True)
    if not 0 < coverage < 1:
        raise InputError(f"coverage = {coverage}: a fraction between 0 and 1 is needed, for example 0.9")
    n = not_negative("n_threads", n_threads)
    median = short_engagement_factor(n)
    off = _off_the_median(bench_error(n), 0.5 + coverage / 2)
    return median * np.exp(-off), median, median * np.exp(off)


def new_bench_below(x: Number, bench: Number, scatter: Number, freedom: float) -> FloatArray:
    """Probability that bench T + scatter N lies below `x`, T being Student t with `freedom` and N normal.

    x, bench, scatter: numbers or arrays that broadcast; bench and scatter above 0. The heavy tail of the bench is
    integrated over t = sinh(w), which makes its density fall like an exponential; the trapezium rule is then good to
    1e-10.
    """
    t = np.sinh(np.linspace(-9.0, 9.0, 301))
    density = (1 + t**2 / freedom) ** (-(freedom + 1) / 2) * np.sqrt(1 + t**2)
    x, bench, scatter = (np.asarray(one, dtype=float)[..., None] for one in (x, bench, scatter))
    return np.asarray(special.ndtr((x - bench * t) / scatter) @ (density / density.sum()))


def _off_the_median(bench: Number, probability: float) -> FloatArray:
    """The quantile of what `new_bench_below` tells, by bisection: it has no closed form."""
    model = short_model()
    bench = np.asarray(bench, dtype=float)
    low, high = np.zeros(bench.shape), np.full(bench.shape, 1e3)
    for _ in range(60):
        middle = (low + high) / 2
        below = new_bench_below(middle, bench, model.next_scatter, model.bench.freedom)
        enough = below >= probability
        low, high = np.where(enough, low, middle), np.where(enough, middle, high)
    return np.asarray(high)


def effective_engagement(LE: Number, P: Number, half: Number | None = None) -> Number:
    """Length that carries the textbook stress when LE is engaged, mm: LE times `short_engagement_factor(LE/P)`.

    LE: engaged length, mm. P: pitch, mm. half: number of threads. Floats or arrays that broadcast. Raises `InputError`
    for LE below 0, P or half not above 0. References as `short_engagement_factor`.

    >>> print(round(effective_engagement(1.4, 0.7), 2))
    0.87
    """
    LE, P = not_negative("LE", LE, "mm"), positive("P", P, "mm")
    return LE * short_engagement_factor(LE / P, half)


def strip_loads(
    LE: Number,
    P: float,
    d: Number,
    d2: Number,
    D1: Number,
    D2: Number,
    tau_wall: Number,
    tau_screw: Number,
    level: Number = 0.0,
    scatter: Number = 0.0,
) -> tuple[Number, Number]:
    """Loads that strip the hole's and the screw's thread, N, for few threads.

        F_n = tau_n AS_n(LE) g(LE/P) exp(level + scatter), and the same with tau_s AS_s(LE)

    LE: engaged length; d, d2: major and pitch diameter of the screw; D1, D2: minor and pitch diameter of the hole, mm,
    as made. tau_*: shear strengths as the tests reckon them, MPa: 0.6 times the least tensile strength, times the area
    of the worst limits over that of the sizes as made. g: `short_engagement_factor`. level: logarithm of this bench
    over the median of benches, which lies off by `bench_error`. scatter: logarithm of one joint over its bench. The
    arguments broadcast. Sources as in `fitcheck.mechanics`.
    """
    hole, screw = textbook_loads(LE, P, d, d2, D1, D2, tau_wall, tau_screw)
    # The tail of a Student t reaches where no load is: a search along it must find a number all the same.
    off = np.clip(np.asarray(level) + np.asarray(scatter), -_FARTHEST, _FARTHEST)
    less = short_engagement_factor(np.asarray(LE) / P) * np.exp(off)
    return hole * less, screw * less


def textbook_loads(
    LE: Number, P: float, d: Number, d2: Number, D1: Number, D2: Number, tau_wall: Number, tau_screw: Number
) -> tuple[Number, Number]:
    """Loads of `strip_loads` as textbooks have them: shear area times shear strength, whatever the number of threads.

    For fewer than about three threads they are too high; they are there to be compared with.
    """
    hole = tau_wall * shear_area_internal(LE, P, d, D2, D1_max=D1)
    screw = tau_screw * shear_area_external(LE, P, D1, d2, d_min=d)
    return hole, screw


def worn_engagement(LE: Number, P: Number, *, turns_gone: Number = 0.0, part_gone: Number = 0.0) -> Number:
    """Length of full thread that still holds, mm: max(LE - turns_gone P, 0) (1 - part_gone). Geometry.

    LE: engaged length, mm. P: pitch, mm. turns_gone: turns torn out or crossed. part_gone: part of the circumference
    on which the thread is gone (a keyway, a flat, a gall), 0 to 1. Floats or arrays that broadcast. The area is
    proportional to the length left, and so is the number of threads of `short_engagement_factor`; a thread lost on one
    side also tilts the screw, which is not in here.
    Raises `InputError` for a pitch not above 0, the others below 0, a part_gone above 1.

    >>> print(round(worn_engagement(2.8, 0.7, turns_gone=1.0, part_gone=0.25), 3))
    1.575
    """
    LE, P = not_negative("LE", LE, "mm"), positive("P", P, "mm")
    turns_gone, part_gone = not_negative("turns_gone", turns_gone), not_negative("part_gone", part_gone)
    if np.any(np.greater(part_gone, 1)):
        raise InputError(f"part_gone = {np.max(part_gone):.4g}: a fraction from 0 to 1 is needed")
    left: Number = np.maximum(LE - turns_gone * P, 0.0) * (1 - part_gone)
    return left
