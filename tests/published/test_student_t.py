"""Student's t as a spread, alone and in sums, against scipy.stats, mpmath and the guide.

Sources: JCGM 101:2008, 6.4.9 (from memory: the scaled and shifted distribution, variance v / (v - 2), of a certificate
the scale U / k) and 9.5 (end gauge, from memory: estimate 838 nm, standard uncertainty 36 nm, shortest 99 % interval
745 nm to 932 nm); scipy.stats.t; quadrature of the convolution.
"""

import math
import pickle

import mpmath as mp
import numpy as np
import pytest
from scipy import special, stats
from scipy.integrate import quad

import fitcheck as fc
from fitcheck import stack
from fitcheck.errors import InputError
from fitcheck.stack import Beta, Distribution, Method, Normal, StudentT, Triangular, Uniform
from fitcheck.stack.correlation import correlation_of
from fitcheck.stack.exact.heavy_tails import HeavyTails

DEGREES = [2, 2.5, 3, 4, 9, 16, 50, 123.4, 200]


@pytest.mark.parametrize("degrees", [*DEGREES, 1e6])
def test_one_member_against_scipy(degrees):
    ours, theirs = StudentT(degrees, 2.87), stats.t(degrees, scale=1 / 2.87)
    z = np.array([-40.0, -3.0, -1.0, -0.2, 0.0, 1e-6, 0.7, 2.0, 30.0])
    p = np.array([1e-30, 1e-9, 0.01, 0.2499, 0.2501, 0.4, 0.5, 0.77, 0.999])
    np.testing.assert_allclose(ours.pdf(z), theirs.pdf(z), rtol=1e-8, atol=1e-300)
    np.testing.assert_allclose(ours.cdf(z), theirs.cdf(z), rtol=1e-9, atol=1e-300)
    np.testing.assert_allclose(ours.sf(z), theirs.sf(z), rtol=1e-9, atol=1e-300)
    # Older SciPy has fewer digits of its own quantiles than of its probabilities.
    np.testing.assert_allclose(theirs.cdf(ours.quantile(p)), p, rtol=1e-9)
    assert ours.quantile(0) == -math.inf == -ours.quantile(1)
    assert stats.kstest(ours.sample(np.random.default_rng(7), 20_000), theirs.cdf).pvalue > 1e-4
    if degrees > 2:
        assert ours.variance == pytest.approx(degrees / (degrees - 2) / 2.87**2, rel=1e-14)
    if degrees > 6:
        assert ours.moments == pytest.approx([theirs.moment(n) for n in range(1, 7)], rel=1e-6, abs=1e-12)


@pytest.mark.parametrize("degrees", DEGREES)
@pytest.mark.parametrize("s", [0.1j, 2j, 40j, 0.5 + 0.2j, 3 + 0.01j, 1e-5j])
def test_transform_against_mpmath(degrees, s):
    spread = StudentT(degrees, 1.5)
    with mp.workdps(30):
        m, z = mp.mpf(degrees) / 2, -1j * mp.mpc(s) * mp.sqrt(degrees) / mp.mpf(1.5)
        expected = complex(mp.log(2 ** (1 - m) / mp.gamma(m) * z**m * mp.besselk(m, z)).real)
    assert complex(spread.continued(s)).real == pytest.approx(expected.real, rel=1e-11, abs=1e-12)
    if s.real == 0:
        assert complex(spread.cumulant(-s)).real == pytest.approx(expected.real, rel=1e-11, abs=1e-12)


@pytest.mark.parametrize("degrees", DEGREES)
def test_the_path_along_the_cut_gives_back_one_member_to_the_last_digits(degrees):
    # One member is answered by its own tail; here it goes the way that sums go.
    sum_of_one, theirs = HeavyTails([], 0.0, [], [(2.0, StudentT(degrees, 2.0))]), stats.t(degrees)
    for y in (0.0, 0.01, 0.3, 1.0, 3.0, 10.0, 50.0, 1000.0):
        if theirs.sf(y) > 1e-200:
            assert sum_of_one.tail(y, 0) == pytest.approx(theirs.sf(y), rel=1e-11, abs=0)
            assert sum_of_one.tail(y, -1) == pytest.approx(theirs.pdf(y), rel=1e-11, abs=0)


@pytest.mark.parametrize("degrees", [2, 3, 4.7, 30, 150])
@pytest.mark.parametrize(("wide", "other"), [(1.0, Uniform()), (0.03, Triangular()), (5.0, Beta(2, 3))])
def test_a_sum_with_a_bounded_member_is_exact_down_to_small_tails(degrees, wide, other):
    heavy = StudentT(degrees)
    made = Distribution(5.0, [(wide, heavy), (1.0, other)])
    assert made.method == "exact (inversion of the transform, along its cut)"
    for y in (0.2, 0.9, 1.3, 4.0, 40.0):
        expected = quad(
            lambda z, y=y: float(other.pdf(z)) * float(heavy.sf((y - z) / wide)), -1, 1, epsabs=0, epsrel=1e-12,
            points=[0.0, min(y, 0.99)], limit=300,
        )[0]  # fmt: skip
        if expected > 1e-200:
            assert made.sf(5 + y) == pytest.approx(expected, rel=1e-10, abs=0)
            if 1e-12 < expected < 0.5:
                assert made.upper_quantile(expected) == pytest.approx(5 + y, rel=1e-9)


def test_two_of_student_and_a_normal_one():
    made = Distribution(0.0, [(1.0, StudentT(3, 1.0)), (-1.0, StudentT(7, 2.0)), (1.0, Normal(1.0))])
    # The normal one and the narrower one first, on a grid of quantiles of the latter; then the wider one.
    x, w = np.polynomial.legendre.leggauss(700)
    u = np.sinh(6 * x)  # the narrower one, to its last 1e-16
    weight = w * 6 * np.cosh(6 * x) * stats.t.pdf(2 * u, 7) * 2
    for y in (0.5, 2.0, 8.0):
        v = np.sinh(14 * x)
        inner = 14 * np.cosh(14 * x) * w * stats.t.pdf(v, 3)
        expected = float(weight @ special.ndtr(-(y - u[:, None] - v[None, :])) @ inner)
        assert made.sf(y) == pytest.approx(expected, rel=1e-9)
    assert made.cdf(-1.3) == pytest.approx(made.sf(1.3), rel=1e-12)
    area = quad(lambda x: float(made.pdf(x)), 0.5, 2.0, epsrel=1e-10)[0]
    assert area == pytest.approx(made.sf(0.5) - made.sf(2.0), rel=1e-9)


@pytest.mark.parametrize("degrees", [2, 3, 9])
def test_a_narrow_zone_has_the_quantiles_of_a_wide_one(degrees):
    narrow, wide = (Distribution(0.0, [(w, StudentT(degrees)), (w / 2, Uniform())]) for w in (1e-6, 1.0))
    for p in (0.2, 1e-3, 1e-6):
        assert narrow.upper_quantile(p) == pytest.approx(1e-6 * wide.upper_quantile(p), rel=1e-12)


def test_what_is_too_narrow_or_has_too_many_degrees_is_sampled_and_says_so():
    flat = fc.dim("0 ± 1, uniform", name="flat")
    fine = flat + fc.dim("0 ± 0.0001, Student t, 3 degrees of freedom")
    found = fine.probability(above=0.9)
    assert found.method is not Method.EXACT
    assert "narrower than the others" in found.reason
    assert found == pytest.approx(0.05, abs=4 * found.standard_error + 1e-6)
    many = flat + fc.dim("0 ± 1, Student t, 500 degrees of freedom")
    assert "at most 200 degrees of freedom" in many.probability(above=1.5).reason
    assert many.interval(0.99).max == pytest.approx(
        (flat + fc.dim("0 ± 1, normal 2 sigma")).interval(0.99).max, rel=0.02
    )


@pytest.mark.parametrize(
    ("note", "degrees", "coverage"),
    [
        ("25 ± 0.05, Student t, 4 degrees of freedom", 4, 2),
        ("25 ± 0.05 mm (Student's t, 4 degrees of freedom, k = 2.87)", 4, 2.87),
        ("0.984 ± 0.002 in student t 16.5", 16.5, 2),
        ("25 ± 0.05; student t 4 2.87", 4, 2.87),
        ("12.43 measured ± 0.02 mm, Student t, 9 degrees of freedom", 9, 2),
    ],
)
def test_a_note_names_it(note, degrees, coverage):
    d = fc.dim(note, name="bore")
    assert d.spread == StudentT(degrees, coverage)
    # What it prints can be read again.
    assert fc.dim(repr(d).removeprefix("<bore: ").removesuffix(">")).spread.degrees == degrees
    assert pickle.loads(pickle.dumps(d)).spread == d.spread
    # The worst case is the zone, as for every spread without end.
    assert d.worst_case() == (d.lower, d.upper)


def test_a_certificate_with_its_degrees_of_freedom():
    # JCGM 101:2008, 6.4.9.7: U = 0.05 with k = 2.87 and 4 degrees of freedom hold 95.45 % of a t of scale U / k.
    d = stack.measured(25.0, 0.05, k=2.87, degrees=4)
    assert d.probability(below=24.95, above=25.05) == pytest.approx(2 * stats.t.sf(2.87, 4), rel=1e-12)
    assert "4 degrees of freedom" in d.origin
    assert stack.as_built(fc.dim("25 ± 0.5", name="bore"), 25.0, 0.05, degrees=7).spread == StudentT(7)


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: StudentT(1), "degrees = 1: from 2"),
        (lambda: StudentT(math.inf), "degrees"),
        (lambda: StudentT(4, 0), "coverage = 0"),
        (lambda: fc.dim("25 ± 0.05, Student t"), "'student t 4' is needed"),
        (lambda: fc.dim("25 ± 0.05, student t 4 2 3"), "'student t 4' is needed"),
        (lambda: stack.measured(25, 0.05, degrees=1.5, name="bore"), "bore: degrees = 1.5"),
        (lambda: StudentT(4).cumulant(0.3), "imaginary s only"),
        (lambda: fc.dim("2 ± 1, student t 2", name="bore").variance, "bore: Student t with 2 degrees"),
        (lambda: fc.dim("2 ± 1, student t 2").exact().std, "no standard deviation"),
        (lambda: fc.dim("2 ± 1, student t 3").exact().skewness, "no skewness: more than 3 are needed"),
        (lambda: fc.dim("2 ± 1, student t 4").exact().kurtosis, "no kurtosis: more than 4 are needed"),
    ],
)
def test_what_it_does_not_have_is_refused_in_one_line(ask, words):
    with pytest.raises(InputError) as caught:
        ask()
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)


def test_two_degrees_answer_what_needs_no_standard_deviation():
    total = fc.dim("10 ± 1, student t 2") + fc.dim("2 ± 1, triangular")
    low, high = total.interval(0.99)
    assert total.probability(below=low) == pytest.approx(0.005, rel=1e-9)
    assert total.probability(above=high) == pytest.approx(0.005, rel=1e-9)
    assert np.isfinite(total.sample(1000)).all()
    area = fc.response(lambda a, b: a * b, a=fc.dim("10 ± 1, student t 2"), b=fc.dim("2 ± 0.1, uniform"))
    assert 0 < area.probability(above=40) < 0.1


def test_varying_together():
    a, b = stack.correlated([fc.dim("1 ± 1, student t 3"), fc.dim("1 ± 1, student t 3")], 1.0)
    assert correlation_of(a, b) == pytest.approx(1.0, abs=1e-6)
    found = (a + b).probability(above=2 + 2 * 3)  # twice the same: a tail of one
    assert found == pytest.approx(stats.t.sf(6, 3), abs=4 * found.standard_error)
    c, d = stack.correlated([fc.dim("1 ± 1, student t 9"), fc.dim("1 ± 1, normal 2 sigma")], 0.6)
    draws = np.random.default_rng(0).multivariate_normal([0, 0], [[1, 0.6], [0.6, 1]], 400_000)
    drawn = np.corrcoef(stats.t.ppf(stats.norm.cdf(draws[:, 0]), 9), draws[:, 1])[0, 1]
    assert correlation_of(c, d) == pytest.approx(drawn, abs=0.004)


def test_importance_sampling_goes_out_into_the_tail():
    # A product with a number just above 1 as its only other member: the tail of the t, by rare-event sampling.
    made = fc.response(lambda a, b: a * b, a=fc.dim("0 ± 2, student t 5"), b=fc.dim("1 ± 0.0001, uniform"))
    found = made.probability(above=30, method="design point")
    assert found.method is Method.IMPORTANCE
    assert found == pytest.approx(stats.t.sf(30, 5), rel=4 * found.standard_error / found + 1e-3)


def test_moments_of_a_function_say_when_a_tail_is_too_heavy():
    x = fc.dim("10 ± 1, student t 4", name="bore")
    assert fc.response(lambda x: 2 * x, x=x).moments().variance == pytest.approx(4 * x.variance, rel=1e-9)
    assert "bore are so heavy" in fc.response(lambda x: x * x, x=x).moments().method
    # One of two that are so heavy stands on a straight line: what the other does still has no variance.
    y = fc.dim("10 ± 1, student t 4", name="pin")
    assert "bore, pin are so heavy" in fc.response(lambda x, y: x + y * y, x=x, y=y).moments().method


def test_end_gauge_of_the_guide(tally):
    # JCGM 101:2008, 9.5, from memory: the inputs in nm, and t18, t24, t5, t8, R, N, U, CTrap, CTrap as their spreads.
    def t(x, u, v):
        return stack.dimension(x, plus=u, spread=StudentT(v, 1.0))

    def trapezoid(half, known_to):
        spread = stack.CurvilinearTrapezoid((half - known_to) / (half + known_to))
        return stack.dimension(0.0, plus=half + known_to, spread=spread)

    def deviation(Ls, D, d1, d2, a, t0, cycle, da, dt):
        return (Ls * (1 + a * (t0 + cycle - dt)) + D + d1 + d2) / (1 + (a + da) * (t0 + cycle)) - 50e6

    made = fc.response(
        deviation, Ls=t(50_000_623, 25, 18), D=t(215, 6, 24), d1=t(0, 4, 5), d2=t(0, 7, 8),
        a=stack.dimension(11.5e-6, plus=2e-6, spread="uniform"), t0=stack.dimension(-0.1, plus=0.2, spread=Normal(1.0)),
        cycle=stack.dimension(0.0, plus=0.5, spread="arcsine"), da=trapezoid(1e-6, 0.1e-6), dt=trapezoid(0.05, 0.025),
    )  # fmt: skip
    mean, variance, _ = made.moments()
    assert (round(mean), round(math.sqrt(variance))) == (838, 36)
    # The ends of a shortest interval wander by a nanometre or two; what the printed one holds does not.
    assert made.probability(below=745, above=932) == pytest.approx(0.01, abs=5e-4)
    low, high = made.interval(0.99, shortest=True)
    assert high - low == pytest.approx(932 - 745, abs=1)
    tally("JCGM 101, examples", 3, how="as remembered")
