"""Short engagement: what is left of the textbook strip load when only a few threads hold.

The textbook load is `shear area * shear strength`, proportional to the engaged length. Pull-out tests say it
is too high below about two and a half threads: the first and the last thread are incomplete and bend, so a
part of the length is lost however long the thread is, and below one thread some load is still held. The
coefficients are data (`tables/strip_model.csv`), fitted to the tests in `tests/reference/strip_tests.csv`;
`tests/published/test_strip_tests.py` refits them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from fitcheck.basis import Basis
from fitcheck.errors import InputError, finite, not_negative, one_of, positive
from fitcheck.later import special
from fitcheck.mechanics.shear_areas import shear_area_external, shear_area_internal
from fitcheck.tables import table
from fitcheck.units import Number

NO_TAPPED_TESTS = (
    "The short-thread loss is fitted to pull-out tests of self-drilling screws in plate. No published tests of "
    "tapped M2 to M6 holes with one to three threads were found: it shows a trend with a wide spread and "
    "calibrates no design value. Test your own joint on scrap."
)
"""The sentence every finding on a short thread must carry."""


@dataclass(frozen=True, slots=True)
class Coefficient:
    """A fitted number and its standard error."""

    value: float
    error: float


@dataclass(frozen=True, slots=True)
class ShortModel:
    """The fitted coefficients of the short-thread model.

    loss: lost length in pitches. floor: least fraction of the textbook load. scatter: standard deviation of
    ln(test / model), one test against the median. levels: median of test over model for long threads, by the
    sizes the shear area was computed with (see `level_for`). source: where they come from. rests_on: the kind of
    that source.
    """

    loss: Coefficient
    floor: Coefficient
    scatter: Coefficient
    levels: dict[str, Coefficient]
    source: str
    rests_on: Basis

    def level_for(self, sizes: str) -> Coefficient:
        """The level for shear areas from `sizes`, a factor.

        sizes: 'limits' (largest hole, smallest screw), 'mean' or 'basic'; raises `InputError` for any other. The tests
        were compared with the area of the worst limits, where the level is 1. An area of mean or
        basic sizes is larger and must be multiplied by its own level, or the model promises too much.
        """
        return self.levels[one_of("sizes", sizes, self.levels)]


@lru_cache(maxsize=1)
def short_model() -> ShortModel:
    """The model of `tables/strip_model.csv`."""
    read = table("strip_model", {"value": float, "standard_error": float})
    rows = {row["coefficient"]: Coefficient(row["value"], row["standard_error"]) for row in read.rows}
    levels = {name.removeprefix("level "): c for name, c in rows.items() if name.startswith("level ")}
    return ShortModel(rows["loss"], rows["floor"], rows["scatter"], levels, read.source, read.rests_on)


def short_engagement_factor(n_threads: Number, loss: Number | None = None, floor: Number | None = None) -> Number:
    """Fraction of the textbook strip load (area from the worst limits) that n threads hold, median of the tests.

    g(n) = max(1 - loss/n, floor)   [1]_

    n_threads: number of engaged full threads, LE/P. loss: lost length in pitches. floor: least fraction. Left out, both
    are the fitted values of `short_model()`. Floats or arrays that broadcast. Never above 1; grows with n; tends to 1.

    Valid for through-threads of 0.9 to 7.5 threads (the tests); below 0.9 it rests on the floor, which is an
    extrapolation. Tests are self-drilling screws, not tapped holes: see `NO_TAPPED_TESTS`. One test lies
    around the median with a lognormal scatter of about 25 %: use `short_engagement_bounds` for a design.
    Raises `InputError` for n or loss below 0 and a floor outside 0 to 1.

    References
    ----------
    .. [1] Makers' laboratory tables, tests/reference/strip_tests.csv; fit in tables/strip_model.csv.
    """
    fitted = short_model()
    n = not_negative("n_threads", n_threads)
    loss = not_negative("loss", fitted.loss.value if loss is None else loss)
    floor = not_negative("floor", fitted.floor.value if floor is None else floor)
    if np.any(np.greater(floor, 1)):
        raise InputError(f"floor = {np.max(floor):.4g}: a fraction from 0 to 1 is needed")
    straight = _straight(n, loss)
    return np.maximum(straight, floor)[()]


def short_engagement_bounds(n_threads: Number, coverage: float = 0.9) -> tuple[Number, Number, Number]:
    """Lower, median and upper fraction of the textbook load for one joint, holding `coverage` of the tests.

    The bounds are g(n) exp(± z s), g of `short_engagement_factor`, z of the normal distribution for the coverage, s
    from the scatter of the tests and the standard errors of loss, floor and level. The upper bound may pass 1.

    n_threads: number of engaged full threads; floats or arrays. coverage: a fraction between 0 and 1; raises
    `InputError` for any other. References as `short_engagement_factor`.
    """
    coverage = finite("coverage", coverage)
    if not 0 < coverage < 1:
        raise InputError(f"coverage = {coverage}: a fraction between 0 and 1 is needed, for example 0.9")
    fitted = short_model()
    n = not_negative("n_threads", n_threads)
    median = short_engagement_factor(n)
    on_floor = np.less(_straight(n, fitted.loss.value), fitted.floor.value)
    # d ln g: loss error over n where the line rules, floor error where the floor rules.
    from_loss = np.divide(fitted.loss.error, np.maximum(n, fitted.loss.value)) / median
    from_fit = np.where(on_floor, fitted.floor.error / fitted.floor.value, from_loss)
    spread = np.sqrt(fitted.scatter.value**2 + from_fit**2 + fitted.levels["limits"].error ** 2)
    z = float(special.ndtri(0.5 + coverage / 2))
    return median * np.exp(-z * spread), median, median * np.exp(z * spread)


def effective_engagement(LE: Number, P: Number, loss: Number | None = None, floor: Number | None = None) -> Number:
    """Length that carries the textbook stress when LE is engaged, mm: LE times `short_engagement_factor(LE/P)`.

    LE: engaged length, mm. P: pitch, mm. loss, floor: pitches and fraction, with errors and references as
    `short_engagement_factor`. Floats or arrays that broadcast.
    """
    LE, P = not_negative("LE", LE, "mm"), positive("P", P, "mm")
    return LE * short_engagement_factor(LE / P, loss, floor)


def _straight(n: Number, loss: Number) -> Number:
    """1 - loss/n, and 0 where n does not exceed the loss."""
    enough = np.greater(n, loss)
    straight: Number = np.where(enough, 1 - loss / np.where(enough, n, 1.0), 0.0)
    return straight


def strip_loads(
    LE: Number,
    P: float,
    d: Number,
    d2: Number,
    D1: Number,
    D2: Number,
    tau_wall: Number,
    tau_screw: Number,
    scatter: Number = 0.0,
    fit: Number = 0.0,
) -> tuple[Number, Number]:
    """Loads that strip the hole's and the screw's thread, N, for few threads.

        F_n = tau_n AS_n(LE) g(LE/P) k exp(scatter), and the same with tau_s AS_s(LE)

    LE: engaged length; d, d2: major and pitch diameter of the screw; D1, D2: minor and pitch diameter of the hole, mm,
    as made. tau_*: shear strengths, MPa. g: `short_engagement_factor`. k: `short_model().level_for("mean")`, since
    sizes as made give a larger area than the limits the tests were compared with. scatter: logarithm of one test over
    the median. fit: how many standard errors the fitted coefficients are off, all to the same side, which is on the
    safe side of leaving them independent; below 0 the model holds less. The arguments broadcast. Sources as in
    `fitcheck.mechanics`.
    """
    hole, screw = textbook_loads(LE, P, d, d2, D1, D2, tau_wall, tau_screw)
    model, fit = short_model(), np.asarray(fit)
    level = model.level_for("mean")
    less = (
        short_engagement_factor(
            np.asarray(LE) / P,
            np.maximum(model.loss.value - fit * model.loss.error, 0.0),
            np.clip(model.floor.value + fit * model.floor.error, 0.0, 1.0),
        )
        * level.value
        * np.exp(np.asarray(scatter) + fit * level.error / level.value)
    )
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
    """
    LE, P = not_negative("LE", LE, "mm"), positive("P", P, "mm")
    turns_gone, part_gone = not_negative("turns_gone", turns_gone), not_negative("part_gone", part_gone)
    if np.any(np.greater(part_gone, 1)):
        raise InputError(f"part_gone = {np.max(part_gone):.4g}: a fraction from 0 to 1 is needed")
    left: Number = np.maximum(LE - turns_gone * P, 0.0) * (1 - part_gone)
    return left
