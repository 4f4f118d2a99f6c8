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
from scipy.special import ndtri

from fitcheck.errors import InputError, finite, not_negative, one_of
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
    ln(test / model), one test against the median. level: median of test over model for long threads, by the
    sizes the shear area was computed with (see `level_for`). source: where they come from.
    """

    loss: Coefficient
    floor: Coefficient
    scatter: Coefficient
    levels: dict[str, Coefficient]
    source: str

    def level_for(self, sizes: str) -> Coefficient:
        """The level for shear areas from `sizes`: 'limits' (largest hole, smallest screw), 'mean' or 'basic'.

        The tests were compared with the area of the worst limits, where the level is 1. An area of mean or
        basic sizes is larger and must be multiplied by its own level, or the model promises too much.
        """
        return self.levels[one_of("sizes", sizes, self.levels)]


@lru_cache(maxsize=1)
def short_model() -> ShortModel:
    """The model of `tables/strip_model.csv`."""
    read = table("strip_model", {"value": float, "standard_error": float})
    rows = {row["coefficient"]: Coefficient(row["value"], row["standard_error"]) for row in read.rows}
    levels = {name.removeprefix("level "): c for name, c in rows.items() if name.startswith("level ")}
    return ShortModel(rows["loss"], rows["floor"], rows["scatter"], levels, read.source)


def short_engagement_factor(n_threads: Number, loss: Number | None = None, floor: Number | None = None) -> Number:
    """Fraction of the textbook strip load (area from the worst limits) that n threads hold, median of the tests.

    g(n) = max(1 - loss/n, floor)

    n_threads: engaged full threads, LE/P. loss: lost length in pitches; floor: least fraction. Left out, both
    are the fitted values of `short_model()`. Arrays broadcast. Never above 1; grows with n; tends to 1.

    Valid for through-threads of 0.9 to 7.5 threads (the tests); below 0.9 it rests on the floor, which is an
    extrapolation. Tests are self-drilling screws, not tapped holes: see `NO_TAPPED_TESTS`. One test lies
    around the median with a lognormal scatter of about 25 %: use `short_engagement_bounds` for a design.
    `InputError` for n or loss below 0 and a floor outside 0 to 1.
    Source: makers' laboratory tables, `tests/reference/strip_tests.csv`; fit in `tables/strip_model.csv`.
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

    The bounds are g(n) exp(± z s), z of the normal distribution for the coverage, s from the scatter of the
    tests and the standard errors of loss, floor and level. The upper bound may pass 1. Arrays broadcast.
    `InputError` for a coverage outside 0 to 1.
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
    z = float(ndtri(0.5 + coverage / 2))
    return median * np.exp(-z * spread), median, median * np.exp(z * spread)


def effective_engagement(LE: Number, P: Number, loss: Number | None = None, floor: Number | None = None) -> Number:
    """Length that carries the textbook stress when LE is engaged, mm: LE times `short_engagement_factor(LE/P)`."""
    LE = not_negative("LE", LE, "mm")
    return LE * short_engagement_factor(LE / P, loss, floor)


def _straight(n: Number, loss: Number) -> Number:
    """1 - loss/n, and 0 where n does not exceed the loss."""
    enough = np.greater(n, loss)
    straight: Number = np.where(enough, 1 - loss / np.where(enough, n, 1.0), 0.0)
    return straight
