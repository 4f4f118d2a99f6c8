"""Own trials against closed forms, plain sampling and simulation.

Sources: Gelman et al., Bayesian Data Analysis, 3rd ed. (2013), sections 2.5 (normal with known variance) and 10.2
(importance sampling); Talts et al., Validating Bayesian inference algorithms with simulation-based calibration,
arXiv:1804.06788 (2018), from memory: ranks of the true value among draws of its posterior are uniform.
"""

import math

import numpy as np
import pytest
from scipy import integrate, stats

from fitcheck.errors import InputError
from fitcheck.mechanics import short_model
from fitcheck.mechanics.short_engagement import new_bench_below
from fitcheck.stack.mixture import NormalMixture
from fitcheck.stack.trials import Bench, Piece

TRIED = (0.1, -0.1, 0.3)


@pytest.mark.parametrize("shared", [0.0, 0.1])
@pytest.mark.parametrize("spread", [0.0, 0.08])
def test_the_conjugate_case_in_closed_form(shared, spread, tally):
    error, scatter = 0.2, 0.19
    bench = Bench(error, math.inf, scatter=scatter, shared=shared, broke=[Piece(off, spread) for off in TRIED])
    prior, each = error**2 + shared**2, scatter**2 + spread**2
    precision = 1 / prior + len(TRIED) / each
    level, variance = sum(TRIED) / each / precision, 1 / precision
    assert bench.level == pytest.approx(level, abs=1e-9)
    assert bench.level_error == pytest.approx(math.sqrt(variance), rel=1e-7)
    law = stats.norm(level, math.sqrt(variance + scatter**2))
    for off in (-1.0, -0.5, 0.0, 0.4):
        assert bench.below(off) == pytest.approx(law.cdf(off), rel=1e-7)
    for p in (0.001, 0.05, 0.5):
        assert bench.quantile(p) == pytest.approx(law.ppf(p), abs=1e-6)
        wider = stats.norm(level, math.sqrt(variance + scatter**2 + 0.05**2))
        assert bench.quantile(p, 0.05) == pytest.approx(wider.ppf(p), abs=1e-6)
    tally("Bayesian Data Analysis, normal with known variance", 12, how="by its formula")


def test_without_trials_it_is_what_published_tests_predict():
    model = short_model()
    bench = Bench(0.186, model.bench.freedom, scatter=model.scatter.value, scatter_degrees=model.scatter.freedom)
    for off in (-1.5, -1.0, -0.5, 0.0, 0.5):
        # There the scatter is taken as normal with the standard deviation of its Student t.
        predicted = float(new_bench_below(off, 0.186, model.next_scatter, model.bench.freedom))
        assert bench.below(off) == pytest.approx(predicted, rel=0.03)


def test_trials_that_held_against_importance_sampling():
    """Level and scatter drawn before the trials, weighed by how likely the trials came out as they did."""
    rng = np.random.default_rng(5)
    n = 2_000_000
    level = 0.186 * rng.standard_t(4, n) + 0.1 * rng.standard_normal(n)
    scatter = 0.19 * np.sqrt(21 / rng.chisquare(21, n))
    weight = stats.norm.pdf(0.3, level, np.hypot(scatter, 0.05))
    for held in (-0.2, 0.4, 0.6):
        weight = weight * stats.norm.sf(held, level, np.hypot(scatter, 0.05))
    weight /= weight.sum()
    bench = Bench(
        0.186, 4, 0.19, 21, shared=0.1, broke=[Piece(0.3, 0.05)], held=[Piece(x, 0.05) for x in (-0.2, 0.4, 0.6)]
    )
    error = math.sqrt((weight**2).sum())
    assert bench.level == pytest.approx(weight @ level, abs=5 * error * bench.level_error)
    assert bench.level_error == pytest.approx(math.sqrt(weight @ (level - bench.level) ** 2), rel=0.01)
    for off in (-0.3, 0.2, 0.7):
        exact = weight @ stats.norm.cdf(off, level, scatter)
        assert bench.below(off) == pytest.approx(exact, abs=5 * error * math.sqrt(exact))


@pytest.mark.parametrize(("broke", "held"), [(3, 0), (1, 2), (0, 3)])
def test_ranks_among_draws_of_the_posterior_are_uniform(broke, held):
    """Simulation-based calibration: level and scatter drawn, trials simulated, and the truth ranked among 19 draws."""
    rng = np.random.default_rng(100 + 10 * broke + held)
    runs, draws = 400, 19
    ranks = np.zeros((2, draws + 1))
    for _ in range(runs):
        level = 0.2 * rng.standard_t(4) + 0.1 * rng.standard_normal()
        scatter = 0.19 * math.sqrt(21 / rng.chisquare(21))
        values = level + np.hypot(scatter, 0.05) * rng.standard_normal(broke + held)
        turned = rng.normal(-0.2, 0.3, held)
        bore = values[broke:] > turned  # one that did not hold gave way somewhere below: it is told as broken
        bench = Bench(
            0.2, 4, 0.19, 21, shared=0.1,
            broke=[Piece(off, 0.05) for off in (*values[:broke], *values[broke:][~bore])],
            held=[Piece(off, 0.05) for off in turned[bore]],
        )  # fmt: skip
        levels, scatters = bench.draw(rng, draws)
        ranks[0, np.count_nonzero(levels < level)] += 1
        # Scatters are drawn at nodes, so that the truth is ranked within the step between two of them.
        ranks[1, np.count_nonzero(scatters * np.exp(0.04 * rng.uniform(-1, 1, draws)) < scatter)] += 1
    for row in ranks:
        assert stats.chisquare(row).pvalue > 1e-3, row


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        (((0.5, 0.5), (0.0,), (1.0,)), "as many weights as means"),
        (((), (), ()), "at least one"),
        ((((0.5, 0.5),), ((0.0, 0.0),), ((1.0, 1.0),)), "as many weights as means"),
        (((0.5, 0.0), (0.0, 0.1), (1.0, 1.0)), "above 0"),
        (((0.5, 0.5), (0.0, 0.1), (1.0, -1.0)), "above 0"),
    ],
)
def test_a_mixture_that_is_none_is_refused(rows, words):
    with pytest.raises(InputError, match=words):
        NormalMixture(*rows)


def test_a_mixture_of_normal_laws_against_its_own_sample():
    mixture = NormalMixture((0.7, 0.3), (-0.2, 0.5), (0.1, 0.3))
    drawn = mixture.sample(np.random.default_rng(1), 1_000_000)
    p = np.array([1e-4, 0.01, 0.3, 0.7, 0.99])
    assert mixture.cdf(mixture.quantile(p)) == pytest.approx(p, rel=1e-3)
    assert mixture.sf(mixture.quantile(1 - p)) == pytest.approx(p, rel=1e-3)
    assert mixture.cdf(0.1) + mixture.sf(0.1) == pytest.approx(1)
    assert mixture.mirrored.cdf(-0.1) == pytest.approx(mixture.sf(0.1))
    assert drawn.var() == pytest.approx(mixture.variance, rel=0.01)
    for n, moment in enumerate(mixture.moments, start=1):
        assert (drawn**n).mean() == pytest.approx(moment, abs=5 * (drawn**n).std() / 1000)
    # The logarithm of the mean of exp(s Z), of each normal law in closed form.
    s = 0.7
    exact = math.log(0.7 * math.exp(-0.2 * s + 0.005 * s**2) + 0.3 * math.exp(0.5 * s + 0.045 * s**2))
    assert complex(mixture.cumulant(s)).real == pytest.approx(exact)
    assert mixture.quantile(0.0) == -math.inf
    grid = np.linspace(-3, 3, 20_001)
    assert integrate.trapezoid(mixture.pdf(grid), grid) == pytest.approx(1, abs=1e-9)
