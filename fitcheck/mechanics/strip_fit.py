"""The fit behind the short-thread model: pull-out tests of several laboratories, each with a level of its own.

    ln(test / textbook) = ln g(n) + level of the laboratory + scatter,   g(n) = n / (n + half)

The levels are normal with the standard deviation `bench`, the scatter with `scatter`. `fit_strip_tests` made
`tables/strip_model.csv` of `tables/strip_tests.csv`; with rows of your own bench it makes your own. What the fit is
worth is seen by `left_out`: each laboratory is predicted from the others alone.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.errors import InputError, positive
from fitcheck.later import optimize, special
from fitcheck.mechanics.short_engagement import (
    Coefficient,
    level_error,
    new_bench_below,
    short_engagement_factor,
)
from fitcheck.tables import table
from fitcheck.units import FloatArray


@dataclass(frozen=True, slots=True)
class StripTests:
    """Pull-out tests: threads engaged, load over the textbook load, and who tested, an entry a test."""

    threads: FloatArray
    ratio: FloatArray
    laboratory: tuple[str, ...]
    metal: tuple[str, ...]

    def but(self, laboratory: str) -> StripTests:
        """The tests of all other laboratories."""
        return self._picked([one != laboratory for one in self.laboratory])

    def of(self, laboratory: str) -> StripTests:
        """The tests of one laboratory."""
        return self._picked([one == laboratory for one in self.laboratory])

    def _picked(self, kept: Sequence[bool]) -> StripTests:
        where = np.array(kept)
        return StripTests(
            self.threads[where],
            self.ratio[where],
            tuple(one for one, keep in zip(self.laboratory, kept, strict=True) if keep),
            tuple(one for one, keep in zip(self.metal, kept, strict=True) if keep),
        )


def strip_tests() -> StripTests:
    """The tests of `tables/strip_tests.csv` in which the thread gave way.

    >>> len(strip_tests().threads)
    45
    """
    rows = [r for r in table("strip_tests", {"threads": float, "ratio": float}).rows if r["gave_way"] == "thread"]
    return StripTests(
        np.array([r["threads"] for r in rows]),
        np.array([r["ratio"] for r in rows]),
        tuple(r["laboratory"] for r in rows),
        tuple(r["metal"] for r in rows),
    )


@dataclass(frozen=True, slots=True)
class BenchFit:
    """What was fitted.

    half: in threads, half_error: its standard error. bench, scatter: standard deviations of logarithms, each with its
    degrees of freedom.
    """

    half: float
    half_error: float
    bench: float
    scatter: float
    bench_freedom: float
    scatter_freedom: float

    @property
    def next_scatter(self) -> float:
        """As `ShortModel.next_scatter`."""
        return Coefficient(self.scatter, 0.0, self.scatter_freedom).of_one_more


_STEP = 1e-6
_ROUNDS = 100
_FARTHEST = math.log(1e4)
"""Of ln(half), either way: beyond it the ratios do not depend on the threads, or are in proportion to them."""


def fit_strip_tests(tests: StripTests) -> BenchFit:
    """Threads that hold half of the textbook load, how benches differ, and how single tests scatter on a bench.

    Restricted maximum likelihood [1]_ of the model on top of this file, ln(half) being fitted; its standard error is
    that of generalized least squares, with the tests of one laboratory correlated as the fit found. The degrees of
    freedom of `bench` are one less than the laboratories. Those of `scatter` are the ones that make the deviations of
    the laboratories differ as they do (each a draw of an inverse chi-square, by maximum likelihood [2]_).

    tests: at least 3 laboratories; ratios above 0. Raises `InputError` for fewer, and where no half fits them.

    References
    ----------
    .. [1] Patterson, H. D., Thompson, R.: Recovery of inter-block information when block sizes are unequal,
       Biometrika 58 (1971) 545.
    .. [2] Smyth, G. K.: Linear models and empirical Bayes methods, Stat. Appl. Genet. Mol. Biol. 3 (2004), section 6.1,
       from memory.
    """
    names = sorted(set(tests.laboratory))
    if len(names) < 3:
        raise InputError(f"tests of {len(names)} laboratories: at least 3 are needed to tell how benches differ")
    n, y = positive("threads", tests.threads), np.log(positive("ratio", tests.ratio))
    same = np.equal.outer(np.array(tests.laboratory), np.array(tests.laboratory)).astype(float)

    def mean(log_half: float) -> FloatArray:
        return np.asarray(np.log(short_engagement_factor(n, np.exp(log_half))))

    def slope(log_half: float) -> FloatArray:
        return (mean(log_half + _STEP) - mean(log_half - _STEP)) / (2 * _STEP)

    def parts(logs: FloatArray, log_half: float) -> tuple[float, float, float]:
        """Restricted log-likelihood with its sign turned, information on ln(half), and the step to the better one."""
        covariance = np.exp(2 * logs[1]) * np.eye(len(y)) + np.exp(2 * logs[0]) * same
        left, by = y - mean(log_half), slope(log_half)
        solved = np.linalg.solve(covariance, np.column_stack([left, by]))
        information = float(by @ solved[:, 1])
        score = float(by @ solved[:, 0])
        criterion = np.linalg.slogdet(covariance)[1] + np.log(information) + left @ solved[:, 0]
        return float(criterion) / 2, information, score / information

    log_half, logs, step, rounds = 0.0, np.log([0.2, 0.2]), math.inf, 0
    while not abs(step) < 1e-8:
        if rounds == _ROUNDS or not abs(log_half) < _FARTHEST:
            raise InputError(
                "tests: their ratios do not rise with the threads as n / (n + half) does: no half fits them"
            )
        found = optimize.minimize(
            lambda x, at=log_half: parts(x, at)[0],
            logs,
            method="Nelder-Mead",
            options={"xatol": 1e-7, "fatol": 1e-10},
        )
        logs = found.x
        _, information, step = parts(logs, log_half)
        log_half, rounds = log_half + step, rounds + 1
    half = float(np.exp(log_half))
    left = y - mean(log_half)
    groups = [left[[one == name for one in tests.laboratory]] for name in names]
    return BenchFit(
        half,
        half / float(np.sqrt(information)),
        float(np.exp(logs[0])),
        float(np.exp(logs[1])),
        len(names) - 1.0,
        _freedom(groups),
    )


def _freedom(groups: Sequence[FloatArray]) -> float:
    """Degrees of freedom of the inverse chi-square that the variances of the groups are drawn from, 3 to 200."""
    known = [(len(g) - 1, float(np.square(g - g.mean()).sum())) for g in groups if len(g) > 1]

    def against(x: FloatArray) -> float:
        nu, total = np.exp(x[1]), np.exp(x[1] + 2 * x[0])
        likelihood = sum(
            special.gammaln((nu + m) / 2)
            - special.gammaln(nu / 2)
            + nu / 2 * np.log(total)
            - (nu + m) / 2 * np.log(total + squares)
            for m, squares in known
        )
        return -float(likelihood)

    found = optimize.minimize(against, np.log([0.2, 10.0]), method="Nelder-Mead", options={"xatol": 1e-6})
    return float(np.clip(np.exp(found.x[1]), 3, 200))


def left_out(tests: StripTests) -> FloatArray:
    """Where each test lies in the prediction from all laboratories but its own: its probability there, an array.

    Were the prediction right, these would be spread evenly from 0 to 1: nine of ten between 0.05 and 0.95.

    tests: as for `fit_strip_tests`, at least 4 laboratories; raises `InputError` for fewer.
    """
    found = np.empty(len(tests.threads))
    for laboratory in sorted(set(tests.laboratory)):
        fit, own = fit_strip_tests(tests.but(laboratory)), tests.of(laboratory)
        off = np.log(own.ratio) - np.log(short_engagement_factor(own.threads, fit.half))
        bench = level_error(own.threads, fit.bench, fit.half, fit.half_error)
        below = new_bench_below(off, bench, fit.next_scatter, fit.bench_freedom)
        found[[one == laboratory for one in tests.laboratory]] = below
    return found
