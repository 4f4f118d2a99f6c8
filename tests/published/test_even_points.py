"""Scrambled Sobol points: the direction numbers of Joe and Kuo (2008), and SciPy's own engine as the oracle."""

import math
import warnings

import numpy as np
import pytest
from scipy import stats

import fitcheck as fc
from fitcheck.stack import dimension, sobol
from fitcheck.stack.probability import even_points as module
from fitcheck.stack.probability.even_points import even_points, scrambling
from fitcheck.stack.probability.sampling import even_blocks, quantiles, size


def points_of(n, points, seed=0):
    return np.concatenate(list(even_points(n, points, scrambling([seed, 1]))))


def scipys(n, points, seed=0):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # it is asked for blocks, which together are complete
        engine = stats.qmc.Sobol(n, scramble=True, seed=np.random.default_rng([seed, 1]))
        return np.concatenate([engine.random(min(points, 1 << 15)) for _ in range(max(1, points >> 15))])


@pytest.mark.parametrize(
    ("n", "points"), [(1, 1), (2, 2), (3, 16), (5, 1 << 18), (17, 1 << 12), (200, 1 << 10), (1024, 1 << 12)]
)
def test_points_are_those_of_scipy_to_the_last_bit(n, points):
    for seed in (0, 7):
        assert np.array_equal(points_of(n, points, seed), scipys(n, points, seed))


def test_so_are_the_matrices_before_they_are_scrambled():
    # The i-th point of the sequence as it was printed first, without scramble: the columns of the matrices in turn.
    plain = stats.qmc.Sobol(1024, scramble=False).random(1 << 13)
    matrix = module._directions(1024)
    for k in range(13):
        before = (1 << (k + 1)) - 1  # the Gray codes of 2^(k+1) - 1 is 2^k alone
        assert np.array_equal(plain[before], matrix[:, k] * 0.5**30)


@pytest.mark.parametrize("n", [1, 6, 1500])
def test_every_coordinate_has_one_point_in_each_slice(n):
    u = points_of(n, 1 << 8)
    assert u.shape == (256, n)
    assert (u >= 0).all()
    assert (u < 1).all()
    slices = np.sort((u[:, :1024] * 256).astype(int), axis=0)
    assert np.array_equal(slices, np.broadcast_to(np.arange(256)[:, None], slices.shape))


def test_coordinates_beyond_the_table_are_uniform_and_fill_no_memory():
    blocks = [block.mean(axis=0) for block in even_points(2000, 1 << 14, scrambling([0, 0]))]
    assert len(blocks) > 1  # not all 2^14 rows of 2,000 columns at once
    mean = np.mean(blocks, axis=0)
    assert np.abs(mean[:1024] - 0.5).max() < 1e-4
    assert np.abs(mean[1024:] - 0.5).max() < 5 / math.sqrt(12 * (1 << 14))


def test_the_mean_over_the_points_is_unbiased_and_far_better_than_random():
    # Sobol's g-function with a = (0, 0.5, 3, 9, 99), whose mean is 1 (Saltelli and Sobol, 1995).
    a = np.array([0, 0.5, 3, 9, 99])

    def g(u):
        return ((np.abs(4 * u - 2) + a) / (1 + a)).prod(axis=1)

    means = np.array([g(points_of(5, 1 << 10, seed)).mean() for seed in range(64)])
    random = math.sqrt((((1 / 3) / (1 + a) ** 2 + 1).prod() - 1) / (1 << 10))
    assert abs(means.mean() - 1) < 4 * means.std(ddof=1) / 8
    assert means.std() < random / 10


def test_indices_are_by_the_estimators_of_scipy(monkeypatch):
    parts = {name: fc.dim("1 ± 0.5", spread="uniform", name=name) for name in "abc"}
    what = fc.response(lambda a, b, c: a * b + np.sin(3 * c), name="f", **parts)
    n, members = 256, what.members

    def of_scipy(what, n, seed):
        both = np.concatenate(list(even_points(6, n, scrambling(seed))))
        a, b = (sobol.to_zone(members, half, tied=False) for half in (both[:, :3], both[:, 3:]))
        mixed = [what.at(np.column_stack([a[:, :i], b[:, i], a[:, i + 1 :]])) for i in range(3)]
        values = {"f_A": what.at(a)[None], "f_B": what.at(b)[None], "f_AB": np.array(mixed)[:, None]}
        found = stats.sobol_indices(func=values, n=n)
        return np.array([found.first_order, found.total_order])

    ours = sobol.sobol_indices(what, points=n)
    constant = fc.response(lambda a: 0 * a + 0.1, a=parts["a"])
    nothing = sobol.sobol_indices(constant, points=16)
    monkeypatch.setattr(sobol, "_one_scramble", of_scipy)
    for row, other in zip(ours, sobol.sobol_indices(what, points=n), strict=True):
        assert row.name == other.name
        assert row[1:] == pytest.approx(other[1:], rel=1e-12)
    assert [row[1:] for row in nothing] == [(0, 0, 0, 0)]


@pytest.mark.parametrize("pilot", ["near", "beside", "beyond"])
def test_quantiles_of_more_points_than_are_kept_are_those_of_all_of_them(pilot):
    # Only what lies between two values of a smaller sample is kept; where they miss, others are taken.
    members = [dimension(0.0, plus=1.0, name=name, spread="uniform") for name in "ab"]

    def values(z):
        return z[:, 0] + z[:, 1] ** 3

    every = np.concatenate([values(z) for _, z in even_blocks(members, size(1 << 14))])
    few = {"near": np.sort(every[::32]), "beside": np.sort(every[::32]) + 0.5, "beyond": np.full(512, 9.0)}[pilot]
    ends = [0.001, 0.3, 0.5, 0.975]
    assert quantiles(values, members, 1 << 14, ends, few) == pytest.approx(np.quantile(every, ends), abs=1e-12)
