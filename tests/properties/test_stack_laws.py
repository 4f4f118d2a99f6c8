"""Laws that hold for every stack, whatever its dimensions."""

import contextlib
import math

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from fitcheck.errors import UnresolvedError
from fitcheck.stack import (
    Arcsine,
    Beta,
    Distribution,
    Method,
    Normal,
    Trapezoidal,
    Triangular,
    TruncatedNormal,
    Uniform,
    combine,
    dimension,
)
from fitcheck.stack.exact.convolution import Convolution

SPREADS = st.sampled_from([Uniform(), Triangular(), Normal(3.0), Normal(2.0), Trapezoidal(0.5)])
EVERY_SPREAD = [
    Uniform(),
    Normal(3.0),
    Trapezoidal(0.3),
    TruncatedNormal(3.0),
    TruncatedNormal(0.7),
    Arcsine(),
    Beta(2.0, 3.0),
    Beta(0.3, 0.8),
    Beta(15.0, 0.5),
]
NOMINALS = st.floats(-100, 100).map(lambda x: round(x, 3))
WIDTHS = st.floats(0.001, 2.0).map(lambda x: round(x, 4))
FACTORS = st.sampled_from([-2.0, -1.0, -0.5, 1.0, 1.5, 3.0])


@st.composite
def dimensions(draw):
    minus = draw(WIDTHS)
    return dimension(draw(NOMINALS), plus=draw(WIDTHS), minus=minus, spread=draw(SPREADS), name="d")


def stacks(least=2, most=7):
    return st.lists(st.tuples(FACTORS, dimensions()), min_size=least, max_size=most)


@given(stacks(), st.randoms(use_true_random=False))
@settings(deadline=None, max_examples=60)
def test_order_does_not_matter(parts, random):
    shuffled = list(parts)
    random.shuffle(shuffled)
    one, other = combine(parts), combine(shuffled)
    assert one.worst_case() == pytest.approx(other.worst_case(), rel=1e-12, abs=1e-12)
    assert one.rss() == pytest.approx(other.rss(), rel=1e-12, abs=1e-12)
    x = one.middle + one.exact().std
    assert one.probability(above=x) == pytest.approx(other.probability(above=x), rel=1e-9)


@given(dimensions())
@settings(deadline=None, max_examples=60)
def test_a_dimension_less_itself_is_nothing(d):
    nothing = d - d
    assert nothing.worst_case() == (0.0, 0.0)
    assert nothing.rss() == (0.0, 0.0)
    assert nothing.members == ()
    assert nothing.exact().variance == 0
    assert not np.any(nothing.sample(5))


@given(stacks())
@settings(deadline=None, max_examples=60)
def test_a_sum_less_itself_is_nothing(parts):
    total = combine(parts)
    assert (total - total).worst_case() == pytest.approx((0.0, 0.0), abs=1e-9)
    assert (total - total).members == ()


@given(stacks(), st.sampled_from([-4.0, -1.0, 0.25, 2.0]), NOMINALS)
@settings(deadline=None, max_examples=60)
def test_scaling_and_shifting_pass_through(parts, factor, shift):
    total = combine(parts)
    moved = factor * total + shift
    scale = 1 + abs(shift) + max(map(abs, total.worst_case())) * abs(factor)
    ends = sorted(factor * x + shift for x in total.worst_case())
    assert list(moved.worst_case()) == pytest.approx(ends, abs=1e-13 * scale)
    assert moved.exact().variance == pytest.approx(factor**2 * total.exact().variance, rel=1e-12)
    x = total.middle + 0.7 * total.exact().std
    y = factor * x + shift
    expected = total.probability(above=x)
    found = moved.probability(above=y) if factor > 0 else moved.probability(below=y)
    assert found == pytest.approx(expected, rel=1e-8)


@given(stacks())
@settings(deadline=None, max_examples=30)
def test_the_worst_case_lies_where_it_is_said_to(parts):
    total = combine(parts)
    ends = total.extremes()
    scale = 1 + max(map(abs, total.worst_case()))
    assert total.at(ends.at_low[None, :]) == pytest.approx([ends.low], abs=1e-12 * scale)
    assert total.at(ends.at_high[None, :]) == pytest.approx([ends.high], abs=1e-12 * scale)
    assert (ends.low, ends.high) == total.worst_case()


@given(stacks(1, 3), NOMINALS)
@settings(deadline=None, max_examples=30)
def test_numbers_are_added_and_taken_away_from_either_side(parts, number):
    total = combine(parts)
    low, high = total.worst_case()
    slack = 1e-12 * (1 + abs(low) + abs(high) + abs(number))
    for found, ends, nominal in (
        (total + number, (low + number, high + number), total.nominal + number),
        (number + total, (low + number, high + number), total.nominal + number),
        (total - number, (low - number, high - number), total.nominal - number),
        (number - total, (number - high, number - low), number - total.nominal),
        (total / 4, (low / 4, high / 4), total.nominal / 4),
        (-total, (-high, -low), -total.nominal),
        (+total, (low, high), total.nominal),
    ):
        assert list(found.worst_case()) == pytest.approx(list(ends), abs=slack)
        assert found.nominal == pytest.approx(nominal, abs=slack)


@given(stacks(), st.floats(1e-9, 1 - 1e-9))
@example([(-2.0, dimension(0.0, plus=0.0625, minus=1.8125)), (-2.0, dimension(0.0, plus=0.001))], 1e-9)
@settings(deadline=None, max_examples=40)
def test_quantile_lies_inside_worst_case_and_inverts_the_probability(parts, p):
    bounded = [(c, d) for c, d in parts if d.spread.bounded]
    assume(bounded)
    total = combine(bounded)
    low, high = total.worst_case()
    x = total.exact().quantile(p)
    assert low - 1e-12 <= x <= high + 1e-12
    # The quantile is searched to 9e-16 of itself and as much of the half zone, both counted from the mean; adding the
    # mean, and taking it away again for the probability, rounds four times. So p lies between the probabilities this
    # far to either side, each known to 1e-9 of itself. Near an end they may well differ by more than that: within d of
    # it the probability of two uniform members goes with d².
    step = 2 * 9e-16 * (high - low) + 4 * math.ulp(max(abs(low), abs(high)))
    made = total.exact()
    assert made.cdf(x - step) * (1 - 1e-9) <= p
    if x + step < high:
        assert p <= made.cdf(x + step) * (1 + 1e-9)


@given(stacks())
@settings(deadline=None, max_examples=60)
def test_rss_is_the_standard_deviation_when_every_zone_is_so_many_sigma(parts):
    total = combine([(c, dimension(d.nominal, plus=d.half_width, spread=Normal(3.0))) for c, d in parts])
    half = (total.rss().max - total.rss().min) / 2
    assert half == pytest.approx(3 * total.exact().std, rel=1e-9)


@given(stacks())
@settings(deadline=None, max_examples=30)
def test_rss_never_exceeds_worst_case(parts):
    total = combine(parts)
    low, high = total.worst_case()
    assert low - 1e-9 <= total.rss().min <= total.rss().max <= high + 1e-9


@given(stacks(), st.integers(0, 2**32 - 1))
@settings(deadline=None, max_examples=25)
def test_sampling_agrees_with_the_exact_distribution(parts, seed):
    total = combine(parts)
    n = 20_000
    drawn = total.sample(n, seed=seed)
    x = total.middle + 0.5 * total.exact().std
    p = float(total.probability(above=x))
    # Six standard errors: one false alarm in 5e8.
    assert abs(np.mean(drawn > x) - p) < 6 * math.sqrt(p * (1 - p) / n)
    assert abs(drawn.mean() - total.exact().mean) < 6 * total.exact().std / math.sqrt(n)


@given(stacks(), st.floats(0.1, 0.95))
@settings(deadline=None, max_examples=60)
def test_tightening_a_member_never_widens_the_result(parts, share):
    factor, wide = parts[0]
    tight = dimension(wide.middle, plus=share * wide.half_width, spread=wide.spread)
    before, after = combine(parts), combine([(factor, tight), *parts[1:]])
    assert after.worst_case().min >= before.worst_case().min - 1e-9
    assert after.worst_case().max <= before.worst_case().max + 1e-9
    assert after.exact().variance <= before.exact().variance * (1 + 1e-12)
    width = before.interval(0.99).max - before.interval(0.99).min
    assert after.interval(0.99).max - after.interval(0.99).min <= width * (1 + 1e-9)


@given(stacks())
@settings(deadline=None, max_examples=60)
def test_shares_add_up(parts):
    table = combine(parts).contributions()
    assert math.fsum(row.variance_share for row in table) == pytest.approx(1, abs=1e-12)
    assert math.fsum(row.worst_case_share for row in table) == pytest.approx(1, abs=1e-12)
    assert [row.variance_share for row in table] == sorted((row.variance_share for row in table), reverse=True)


@given(stacks(), st.floats(-1.5, 1.5))
@settings(deadline=None, max_examples=40)
def test_probabilities_of_both_sides_add_up_and_the_density_is_their_slope(parts, z):
    exact = combine(parts).exact()
    x = exact.mean + z * exact.std
    assert exact.cdf(x) + exact.sf(x) == pytest.approx(1, abs=1e-12)
    nodes, weights = np.polynomial.legendre.leggauss(24)
    half = 0.02 * exact.std
    mass = half * sum(w * exact.pdf(x + half * t) for t, w in zip(nodes, weights, strict=True))
    # The density of one or two members has corners, which a quadrature rule only half sees.
    assert mass == pytest.approx(exact.cdf(x + half) - exact.cdf(x - half), rel=0.05 if len(parts) < 4 else 1e-3)


MIXED = st.lists(
    st.tuples(FACTORS, st.sampled_from(EVERY_SPREAD), st.one_of(WIDTHS, st.floats(-6, 0).map(lambda e: 10.0**e))),
    min_size=2,
    max_size=5,
)


@given(MIXED, st.floats(-1.5, 3.0))
@settings(deadline=None, max_examples=40)
def test_every_spread_keeps_order_sides_and_mirror(parts, z):
    def total(chosen, sign):
        return combine([(sign * c, dimension(0.0, plus=w, spread=spread)) for c, spread, w in chosen])

    one, other, mirrored = total(parts, 1), total(parts[::-1], 1), total(parts, -1)
    x = one.exact().mean + z * one.exact().std
    p = one.probability(above=x)
    assert p.method is Method.EXACT
    assert other.probability(above=x) == pytest.approx(p, rel=1e-9, abs=1e-13)
    assert mirrored.probability(below=-x) == pytest.approx(p, rel=1e-9, abs=1e-13)
    assert one.probability(below=x) + p == pytest.approx(1, abs=1e-12)


@given(MIXED, st.floats(0.0, 6.0), st.sampled_from([0, -1]))
@settings(deadline=None, max_examples=40)
def test_the_line_of_integration_does_not_matter(parts, z, power):
    # Two lines share no point of the plane, no rule and no ray; and where plain inversion settles, it agrees too.
    whole = Convolution.of([(c * w, spread) for c, spread, w in parts])
    assume(whole.width > 0)
    y = z * whole.width
    assume(y < 0.9999 * whole.end)
    transform, branches = whole._transform, whole._branches
    c = transform.saddle(y, power)
    found = branches.tail(y, power, c)
    assume(found > 1e-15)
    for other in (c / 1.2, c * 1.15):
        assert branches.tail(y, power, other) == pytest.approx(found, rel=1e-9, abs=1e-12 if power == 0 else 0)
    with contextlib.suppress(UnresolvedError):
        assert transform.tail(y, power, 2048) == pytest.approx(found, rel=1e-9)


LEANING = [(0.1, Beta(2.0, 5.0)), (-0.3, Beta(0.5, 3.0)), (0.1, Arcsine())]


def test_nothing_lies_at_the_ends_of_the_support_or_beyond():
    made = Distribution(1.0, LEANING)
    for x in (*made.support, made.support.min - 1, made.support.max + 1):
        assert made.pdf(x) == 0
        assert made.sf(x) in (0, 1)


def test_a_strongly_leaning_member_less_its_like_is_as_often_above_as_below():
    made = Distribution(0.0, [(1e-4, Beta(0.2, 1.0)), (-1e-4, Beta(0.2, 1.0))])
    assert made.sf(0.0) == pytest.approx(0.5, abs=1e-12)
    assert made.cdf(0.0) == pytest.approx(0.5, abs=1e-12)


@pytest.mark.parametrize("share", [0.9, 0.99, 0.999, 1 - 1e-6, 1 - 1e-9])
def test_two_hundred_members_near_the_worst_case_are_too_seldom_to_be_a_number(share):
    half = [1 + 0.01 * i for i in range(100)]
    made = Distribution(0.0, [(a, spread) for a in half for spread in (Triangular(), Arcsine())])
    for probability in (made.sf(share * made.support.max), made.cdf(-share * made.support.max)):
        assert 0 <= probability < 1e-60


def test_beyond_the_bounded_members_a_small_normal_one_leaves_nothing():
    members = [(0.3 + 0.1 * i, spread) for i in range(7) for spread in (Uniform(), TruncatedNormal(3.0))]
    made = Distribution(0.0, [*members, (1e-5, Normal(3.0))])
    end = sum(a for a, _ in members)
    for x in (1.001 * end, 1.1 * end, 3 * end):
        assert made.sf(x) == 0
        assert made.pdf(x) == 0
        assert made.cdf(-x) == 0


def test_few_values_are_kept_however_many_are_asked():
    whole = Convolution.of([(1 + 0.1 * i, Uniform()) for i in range(12)])
    wide = Convolution.of([(1.0, Arcsine()), (0.3, Uniform()), (0.2, Uniform())])
    for y in np.linspace(0.0, 0.999, 500).tolist():
        whole.above(y * whole.end)
        wide.above(y * wide.end)
    assert len(whole._transform._kept) <= 256
    lines = wide._branches._lines.values()
    assert sum(len(stage._kept) for line in lines for stage in line._stages) < 2000
