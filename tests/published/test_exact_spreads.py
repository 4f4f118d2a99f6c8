"""Single spreads and mixed sums against scipy.stats, exact rational arithmetic and mpmath.

Sources: closed forms; mpmath quadrature with 30 digits; scipy.stats for single spreads; the truncated normal values of
`tests/reference/stack_examples.json` (exact, computed there by two methods).
"""

import itertools
import json
import math
import random
from fractions import Fraction
from pathlib import Path

import mpmath as mp
import numpy as np
import pytest
from scipy import special, stats
from scipy.integrate import quad

import fitcheck as fc
from fitcheck.stack import (
    Arcsine,
    Beta,
    CurvilinearTrapezoid,
    Distribution,
    Empirical,
    Method,
    Normal,
    Trapezoidal,
    Triangular,
    TruncatedNormal,
    Uniform,
    dimension,
)

REFERENCE = json.loads((Path(__file__).parents[1] / "reference" / "stack_examples.json").read_text())
EXACT = {case["id"]: case for case in REFERENCE["exact_distributions"]}

SINGLE = [
    (Uniform(), stats.uniform(-1, 2)),
    (Triangular(), stats.triang(0.5, -1, 2)),
    (Trapezoidal(0.4), stats.trapezoid(0.3, 0.7, -1, 2)),
    (Normal(2.0), stats.norm(0, 0.5)),
    (TruncatedNormal(3.0), stats.truncnorm(-3, 3, 0, 1 / 3)),
    (TruncatedNormal(1.0), stats.truncnorm(-1, 1, 0, 1)),
    (Arcsine(), stats.arcsine(-1, 2)),
    (Beta(2.0, 3.5), stats.beta(2, 3.5, -1, 2)),
    (Beta(0.6, 1.4), stats.beta(0.6, 1.4, -1, 2)),
]


@pytest.mark.parametrize(("ours", "theirs"), SINGLE, ids=lambda s: getattr(s, "name", ""))
def test_single_spread_against_scipy(ours, theirs):
    z = np.linspace(-0.999, 0.999, 41)
    p = np.array([1e-9, 1e-4, 0.03, 0.4, 0.5, 0.77, 0.999])
    np.testing.assert_allclose(ours.pdf(z), theirs.pdf(z), rtol=1e-10)
    np.testing.assert_allclose(ours.cdf(z), theirs.cdf(z), rtol=1e-9, atol=1e-15)
    np.testing.assert_allclose(ours.sf(z), theirs.sf(z), rtol=1e-9, atol=1e-15)
    np.testing.assert_allclose(ours.quantile(p), theirs.ppf(p), rtol=1e-9, atol=1e-12)
    np.testing.assert_allclose(ours.variance, theirs.var(), rtol=1e-10)
    # scipy integrates high moments numerically: of the triangular one it gives 0.035714287 for 1/28.
    np.testing.assert_allclose(ours.moments, [theirs.moment(n) for n in range(1, 7)], rtol=1e-6, atol=1e-8)
    drawn = ours.sample(np.random.default_rng(7), 20_000)
    assert stats.kstest(drawn, theirs.cdf).pvalue > 1e-4


@pytest.mark.parametrize(("ours", "theirs"), SINGLE, ids=lambda s: getattr(s, "name", ""))
def test_shape_of_a_scaled_and_shifted_member(ours, theirs):
    made = Distribution(5.0, [(0.3, ours)])
    mean, var, skew, excess = (float(x) for x in theirs.stats("mvsk"))
    assert made.mean == pytest.approx(5 + 0.3 * mean, rel=1e-12)
    assert made.variance == pytest.approx(0.09 * var, rel=1e-9)
    assert made.skewness == pytest.approx(skew, abs=1e-7)
    assert made.kurtosis == pytest.approx(3 + excess, rel=1e-7)
    assert made.sf(5.2) == pytest.approx(theirs.sf(2 / 3), rel=1e-9)
    assert made.cdf(4.85) == pytest.approx(theirs.cdf(-0.5), rel=1e-9)
    assert made.pdf(4.85) == pytest.approx(theirs.pdf(-0.5) / 0.3, rel=1e-9)
    assert made.quantile(0.2) == pytest.approx(5 + 0.3 * theirs.ppf(0.2), rel=1e-10)


@pytest.mark.parametrize(
    "spread", [TruncatedNormal(3.0), TruncatedNormal(0.4), Beta(2.0, 3.5), Beta(0.4, 9.0), Arcsine()]
)
@pytest.mark.parametrize("s", [0.3, 4 + 7j, 40 + 30j, 1 + 58j, 2 + 400j, -30 + 5j, -2 + 90j])
def test_generating_function_against_mpmath(spread, s):
    with mp.workdps(40):
        if isinstance(spread, Arcsine):
            expected, peak = mp.besseli(0, s), mp.besseli(0, complex(s).real)
        elif isinstance(spread, Beta):
            a, b = spread.alpha, spread.beta
            expected = mp.exp(-mp.mpc(s)) * mp.hyp1f1(a, a + b, 2 * mp.mpc(s))
            peak = mp.exp(-complex(s).real) * mp.hyp1f1(a, a + b, 2 * complex(s).real)
        else:

            def truncated(s):
                t, k = (
                    abs(s.real) / spread.k + 1j * abs(s.imag) / spread.k * (1 if s.real * s.imag >= 0 else -1),
                    spread.k,
                )
                edges = mp.erfc((mp.mpc(t) - k) / mp.sqrt(2)) - mp.erfc((mp.mpc(t) + k) / mp.sqrt(2))
                return mp.exp(mp.mpc(t) ** 2 / 2) * edges / 2 / mp.erf(k / mp.sqrt(2))

            expected, peak = truncated(complex(s)), truncated(complex(complex(s).real))
        found = mp.exp(mp.mpc(complex(spread.cumulant(s))))
        assert abs(found - expected) <= 1e-13 * abs(peak)


def polynomial_tail(half_widths, y):
    """P(sum of uniforms > y) by the sum over all corners in rational arithmetic."""
    points = [(Fraction(0), 1)]
    for a in map(Fraction, half_widths):
        points = [(p + a, s) for p, s in points] + [(p - a, -s) for p, s in points]
    m = len(half_widths)
    total = sum((s * (p - Fraction(y)) ** m for p, s in points if p > Fraction(y)), Fraction(0))
    return float(total / (math.factorial(m) * math.prod(2 * Fraction(a) for a in half_widths)))


@pytest.mark.parametrize("decades", [0.5, 1, 2, 3, 4, 6])
def test_many_uniforms_of_very_different_widths(decades):
    source = random.Random(f"widths over {decades} decades")
    for _ in range(4):
        widths = [10 ** (-decades * source.random()) for _ in range(source.randint(7, 10))]
        made = Distribution(0.0, [(a, Uniform()) for a in widths])
        for z in (0.0, 0.4, 1.5, 2.5, 4.0):
            y = min(z * made.std, (0.9 + 0.02 * z) * sum(widths))
            expected = polynomial_tail(widths, y)
            assert made.cdf(-y) == pytest.approx(expected, rel=1e-9, abs=0)
            assert made.sf(y) == pytest.approx(expected, rel=1e-9, abs=0)
            assert abs(made.sf(y) - expected) <= 1e-12


@pytest.mark.parametrize("unit", [1.0, 1e-3, 1e3])
def test_twelve_unequal_uniforms_down_to_1e_minus_15_in_any_unit(unit):
    widths = [0.1 * unit * (1 + 0.37 * i) for i in range(12)]
    made = Distribution(0.0, [(a, Uniform()) for a in widths])
    for y in (0.0, 1.0, 2.5, 3.0, 3.2, 3.4, 3.5):
        assert made.sf(y * unit) == pytest.approx(polynomial_tail(widths, y * unit), rel=3e-13, abs=0)


@pytest.mark.parametrize("case", ["TRN2_k3_gt5", "TRN2_k3_gt5.9", "TRN1_k3_gt2.9"])
def test_truncated_normals(case):
    k, x, n = EXACT[case]["inputs"]["k"], EXACT[case]["inputs"]["x"], EXACT[case]["inputs"].get("n", 1)
    made = Distribution(0.0, [(float(k), TruncatedNormal(float(k)))] * n)
    assert made.sf(float(x)) == pytest.approx(float(EXACT[case]["value"]), rel=1e-9)


def test_variance_of_a_truncated_normal():
    found = 16 * TruncatedNormal(4.0).variance
    assert found == pytest.approx(float(EXACT["TRN_var_4"]["value"]), rel=1e-12)


def density(spread):
    """Density by distances from the two limits, in mpmath."""
    if isinstance(spread, Arcsine):
        return lambda low, high: 1 / (mp.pi * mp.sqrt(low * high))
    if isinstance(spread, Beta):
        a, b = mp.mpf(spread.alpha), mp.mpf(spread.beta)
        norm = mp.beta(a, b) * mp.mpf(2) ** (a + b - 1)
        return lambda low, high: low ** (a - 1) * high ** (b - 1) / norm
    norm = mp.erf(spread.k / mp.sqrt(2))
    return lambda low, high: spread.k * mp.npdf((low - 1) * spread.k) / norm


def tail(spread, z):
    if isinstance(spread, Normal):
        return mp.erfc(z * spread.k / mp.sqrt(2)) / 2
    if z >= 1 or z <= -1:
        return mp.mpf(z <= -1)
    if isinstance(spread, Uniform):
        return (1 - z) / 2
    return mp.acos(z) / mp.pi  # arcsine


@pytest.mark.parametrize(
    ("wide", "narrow", "scale"),
    [
        (Arcsine(), Normal(3.0), 1e-6),
        (Arcsine(), Normal(3.0), 1e-2),
        (Arcsine(), Uniform(), 0.5),
        (Arcsine(), Arcsine(), 1.0),
        (Beta(2.0, 3.0), Uniform(), 1e-5),
        (Beta(0.5, 3.5), Normal(3.0), 1e-2),
        (Beta(5.0, 2.0), Normal(3.0), 0.4),
        (TruncatedNormal(3.0), Uniform(), 1e-4),
        (TruncatedNormal(2.0), Arcsine(), 1.0),
    ],
)
@pytest.mark.parametrize("z", [-1.5, 0.3, 1.3, 2.4])
def test_two_members_against_mpmath(wide, narrow, scale, z):
    made = Distribution(0.0, [(1.0, wide), (scale, narrow)])
    x = made.mean + z * made.std
    f = density(wide)

    def integrand(angle):  # w = -cos(angle)
        mass = f(2 * mp.sin(angle / 2) ** 2, 2 * mp.cos(angle / 2) ** 2) * mp.sin(angle)
        return mass * tail(narrow, (mp.mpf(x) + mp.cos(angle)) / mp.mpf(scale))

    with mp.workdps(30):
        edges = [(x - e * scale) for e in (-3, -2, -1, -0.5, 0, 0.5, 1, 2, 3)]
        knots = [mp.mpf("1e-50"), mp.pi - mp.mpf("1e-25"), *(mp.acos(-mp.mpf(w)) for w in edges if abs(w) < 1)]
        expected = float(mp.quad(integrand, sorted(knots), maxdegree=8))
    assert abs(made.sf(x) - expected) <= 1e-12
    if expected > 1e-15:
        assert made.sf(x) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("y", [0.0, 0.4, 1.0, 1.7, 2.6, 2.999, 2.9999999])
def test_three_equal_arcsines_against_the_elliptic_density_of_two(y):
    # The density of the sum of two is K(m) / pi^2 with m = 1 - z^2 / 4, K being the complete elliptic integral of the
    # first kind, pi / 2 over the arithmetic-geometric mean of 1 and |z| / 2; integrated against the tail of the third.
    with mp.workdps(30):

        def integrand(z):
            left = mp.mpf(y) - z
            rest = mp.acos(left) / mp.pi if -1 < left < 1 else mp.mpf(left <= -1)
            return rest / (2 * mp.pi * mp.agm(1, abs(z) / 2))

        knots = sorted({mp.mpf(-2), mp.mpf(0), mp.mpf(2), *(mp.mpf(y) + e for e in (-1, 1) if abs(y + e) < 2)})
        expected = mp.quad(integrand, [k for k in knots if k >= mp.mpf(y) - 1], maxdegree=10)
    made = Distribution(0.0, [(1.0, Arcsine())] * 3)
    assert abs(made.sf(y) - expected) <= 1e-12
    # 3 - 2.9999999 is known to the last digit of 2.9999999 only, and the tail falls as its power 1.5.
    assert made.sf(y) == pytest.approx(float(expected), rel=1e-9)
    assert made.cdf(-y) == pytest.approx(float(expected), rel=1e-9)
    assert made.method.startswith("exact")


def test_density_of_two_equal_arcsines_is_the_elliptic_one():
    made = Distribution(0.0, [(1.0, Arcsine())] * 2)
    for z in (0.001, 0.5, 1.3, 1.9999):
        assert made.pdf(z) == pytest.approx(float(mp.ellipk(1 - mp.mpf(z) ** 2 / 4) / mp.pi**2), rel=1e-10)
    assert made.pdf(0.0) == math.inf


def nested(members, y):
    """P(sum > y) by doubly exponential quadrature over all members but the last, between places where a limit shows.

    It shares nothing with the library but the arithmetic: all terms are positive, and each is a product of densities.
    """
    (a, spread), *others = members
    t = 0.06 * np.arange(-62, 63)
    near = 1 / (1 + np.exp(math.pi * np.sinh(np.abs(t))))
    weight = 0.06 * math.pi * np.cosh(t) * near * (1 - near)
    corners = {y - sum(s * b for s, (b, _) in zip(signs, others, strict=True)) for signs in SIGNS[len(others)]}
    knots = sorted({-a, a, *(k for k in corners if -a < k < a)})
    total = 0.0
    for left, right in itertools.pairwise(knots):
        below = np.where(t < 0, near, 1 - near) * (right - left)
        above = np.where(t < 0, 1 - near, near) * (right - left)
        density = spread_density(spread, (left + a + below) / a, (a - right + above) / a) / a
        w = np.where(t < 0, left + below, right - above)
        if len(others) == 1:
            last, narrow = others[0]
            rest = narrow.sf(np.clip((y - w) / last, -1.0, 1.0))
        else:
            rest = [nested(others, y - each) for each in w]
        total += float(np.sum(weight * (right - left) * density * rest))
    return total


SIGNS = {n: list(itertools.product((-1, 1), repeat=n)) for n in (1, 2)}


def spread_density(spread, low, high):
    """Density over the standard zone by the distances from its limits."""
    if isinstance(spread, Arcsine):
        return 1 / (math.pi * np.sqrt(low * high))
    if isinstance(spread, Beta):
        a, b = spread.alpha, spread.beta
        return low ** (a - 1) * high ** (b - 1) / (special.beta(a, b) * 2 ** (a + b - 1))
    if isinstance(spread, TruncatedNormal):
        return (
            spread.k
            * np.exp(-(((low - 1) * spread.k) ** 2) / 2)
            / math.sqrt(2 * math.pi)
            / special.erf(spread.k / 2**0.5)
        )
    return np.full_like(low, 0.5)


@pytest.mark.parametrize(
    "members",
    [
        [(1.0, Arcsine()), (0.6, Beta(2.0, 3.5)), (0.3, Arcsine())],
        [(1.0, Beta(0.5, 3.0)), (0.9, Uniform()), (0.002, Arcsine())],
        [(0.7, TruncatedNormal(1.0)), (0.5, Beta(20.0, 0.6)), (0.4, Beta(0.6, 1.4))],
        [(1.0, TruncatedNormal(3.0)), (1e-3, Arcsine()), (1e-3, Beta(3.0, 0.5))],
    ],
    ids=lambda members: "+".join(spread.name for _, spread in members),
)
@pytest.mark.parametrize("share", [0.35, 0.5, 0.7, 0.99])
def test_three_rough_members_against_nested_quadrature(members, share):
    made = Distribution(0.0, members)
    y = (2 * share - 1) * sum(a for a, _ in members)
    expected = nested(members, y)
    assert made.method.startswith("exact")
    assert abs(made.sf(y) - expected) <= 1e-12
    assert made.sf(y) == pytest.approx(expected, rel=1e-9)


def test_two_hundred_mixed_members_against_mpmath():
    # Independent arithmetic: the same integral with 25 digits on a line and grid of mpmath's own.
    source = random.Random(200)
    kinds = [Uniform(), Normal(3.0), Triangular(), Arcsine()]
    members = [(10 ** (-6 * source.random()), kinds[i % 4]) for i in range(200)]
    made = Distribution(0.0, members)
    y = 5.2 * made.std
    with mp.workdps(25):

        def log_mgf(s):
            total = mp.mpf(0)
            for a, spread in members:
                if isinstance(spread, Normal):
                    total += (a * s / spread.k) ** 2 / 2
                elif isinstance(spread, Arcsine):
                    total += mp.log(mp.besseli(0, a * s))
                else:
                    b = a if isinstance(spread, Uniform) else a / 2
                    total += (1 if isinstance(spread, Uniform) else 2) * mp.log(mp.sinh(b * s) / (b * s))
            return total

        c = mp.mpf(5.5 / made.std)
        h = mp.mpf(0.5 / made.std)
        terms = [mp.exp(log_mgf(c + 1j * h * k) - (c + 1j * h * k) * y) / (c + 1j * h * k) for k in range(40)]
        assert abs(terms[-1]) < 1e-14 * abs(terms[0])
        expected = float((terms[0].real / 2 + sum(t.real for t in terms[1:])) * h / mp.pi)
    assert expected < 1e-6
    assert made.sf(y) == pytest.approx(expected, rel=1e-9)


def test_inspected_parts_alone_are_counted():
    low, high, parts = Empirical.of([4.0, 4.1, 4.1, 4.4])
    with pytest.raises(ValueError, match="read-only"):
        parts.values[0] = 0.0
    made = Distribution((low + high) / 2, [((high - low) / 2, parts)] * 2)
    # Two draws of deviations -0.2, -0.1, -0.1, +0.2 from the middle 4.2: all 16 pairs.
    sums = [a + b for a, b in itertools.product((4.0, 4.1, 4.1, 4.4), repeat=2)]
    for x in (-0.05, 0.05, 0.15):
        expected = sum(s - 4.2 > 4.0 + x for s in sums) / 16
        assert made.sf(4.0 + x) == pytest.approx(expected, rel=1e-12)
        assert made.cdf(4.0 + x) == pytest.approx(1 - expected, rel=1e-12)
    assert made.mean == pytest.approx(2 * 4.15 - 4.2, rel=1e-12)


def test_inspected_parts_with_a_uniform_member_are_a_mixture():
    low, high, parts = Empirical.of([1.0, 1.2, 1.9])
    made = Distribution(1.45, [((high - low) / 2, parts), (0.3, Uniform())])
    for x in (0.9, 1.15, 1.55, 2.1):
        expected = sum(min(max((v + 0.3 - x) / 0.6, 0.0), 1.0) for v in (1.0, 1.2, 1.9)) / 3
        assert made.sf(x) == pytest.approx(expected, abs=1e-12)


def within_arcsine(d):
    """Probability of an arcsine member within d of its upper limit."""
    return 2 / mp.pi * mp.asin(mp.sqrt(mp.mpf(d) / 2))


@pytest.mark.parametrize("share", [1e-3, 1e-6, 1e-9])
def test_arcsine_and_uniform_near_the_end_against_mpmath(share):
    made = Distribution(0.0, [(0.5, Arcsine()), (0.25, Uniform())])
    x = 0.75 * (1 - share)
    with mp.workdps(30):
        d = mp.mpf(0.75) - mp.mpf(x)
        expected = float(mp.quad(lambda h: within_arcsine(h / 0.5), [0, d]) / 0.5)
        density = float(within_arcsine(d / 0.5) / 0.5)
    assert made.sf(x) == pytest.approx(expected, rel=1e-9, abs=0)
    assert made.cdf(-x) == pytest.approx(expected, rel=1e-9, abs=0)
    assert made.pdf(x) == pytest.approx(density, rel=1e-8)


@pytest.mark.parametrize("share", [1e-3, 1e-6, 1e-9, 1e-10])
def test_density_of_truncated_normal_and_uniform_near_the_end_against_mpmath(share):
    k = 5.976820143722906
    made = Distribution(0.0, [(1e4, TruncatedNormal(k)), (1e4, Uniform())])
    x = 2e4 * (1 - share)
    with mp.workdps(30):
        d = (mp.mpf(2e4) - mp.mpf(x)) / 10**4
        inside = mp.erf(mp.mpf(k) / mp.sqrt(2))
        expected = float((mp.ncdf(-k + k * d) - mp.ncdf(-mp.mpf(k))) / inside / 2e4)
    assert made.pdf(x) == pytest.approx(expected, rel=1e-8, abs=0)


@pytest.mark.parametrize("share", [1e-1, 1e-2, 1e-4])
def test_low_tail_of_members_without_flat_parts_keeps_its_digits(share):
    made = Distribution(0.0, [(1.0, Beta(4.0, 2.0)), (0.5, Arcsine())])
    x = -1.5 * (1 - share)
    with mp.workdps(30):
        d = mp.mpf(1.5) + mp.mpf(x)
        # On [0, 1] the beta density is 20 v^3 (1 - v).
        expected = float(mp.quad(lambda v: 20 * v**3 * (1 - v) * within_arcsine((d - 2 * v) / 0.5), [0, d / 2]))
    assert made.cdf(x) == pytest.approx(expected, rel=1e-9, abs=0)


def test_arcsine_generating_function_far_out_against_mpmath():
    for s in (40 + 3j, 3e4 + 2e5j, 4e9 + 1e9j):
        with mp.workdps(40):
            expected = mp.log(mp.besseli(0, mp.mpc(s)) * mp.exp(-mp.mpc(s))).real
        assert float(np.real(Arcsine().cumulant(s)) - s.real) == pytest.approx(float(expected), rel=1e-6)


def test_two_hundred_triangular_members_dwarfed_by_a_normal_one():
    # Their fourth cumulant is below 1e-13 of the square of the variance: the sum is normal to that many digits.
    made = Distribution(0.0, [(1e-3, Triangular())] * 200 + [(3.0, Normal(3.0))])
    for z in (0.0, 1.0, 5.0):
        assert made.sf(z * made.std) == pytest.approx(float(special.ndtr(-z)), rel=1e-10)


@pytest.mark.parametrize(("w", "d"), [(0.4, 0.1), (1.0, 0.5), (2.0, 0.05), (1.0, 0.95)])
def test_curvilinear_trapezoid_of_jcgm_101(w, d):
    # JCGM 101:2008, 6.4.3: limits ± w known to ± d; variance w²/3 + d²/9, density log((w + d) / max(|x|, w - d)) / 4d.
    spread = CurvilinearTrapezoid((w - d) / (w + d))
    made = dimension(5.0, plus=w + d, spread=spread)
    assert made.variance == pytest.approx(w**2 / 3 + d**2 / 9, rel=1e-12)
    for x in (0.0, 0.5 * (w - d), w, w + 0.9 * d):
        assert made.exact().pdf(5 + x) == pytest.approx(math.log((w + d) / max(x, w - d)) / (4 * d), rel=1e-9)
        inner = max(w - d, x)
        tail = (w + d - inner - inner * math.log((w + d) / inner)) / (4 * d)
        tail += (inner - x) * math.log((w + d) / (w - d)) / (4 * d)
        assert made.probability(above=5 + x) == pytest.approx(tail, rel=1e-9)
        assert made.exact().quantile(1 - tail) == pytest.approx(5 + x, abs=1e-9)
    drawn = spread.sample(np.random.default_rng(0), 200_000)
    assert drawn.var() == pytest.approx(spread.variance, rel=0.01)
    assert (np.abs(drawn) <= 1).all()


@pytest.mark.parametrize("other", ["normal", "triangular", "curvilinear trapezoid 0.3"])
def test_a_sum_with_a_curvilinear_trapezoid_is_exact(other):
    a, b = dimension(0.0, plus=1.0, spread="curvilinear trapezoid 0.6"), dimension(0.0, plus=0.4, spread=other)
    total = a + b
    found = total.probability(above=0.9)
    assert found.method is Method.EXACT
    # The convolution by quadrature, with the seams of both densities as its ends.
    cuts = sorted({-1.0, -0.6, 0.6, 1.0, *(x for x in (0.5, 0.78, 0.9) if x < 1)})
    expected = sum(
        quad(lambda x: float(a.spread.pdf(x)) * float(b.spread.sf((0.9 - x) / 0.4)), *ends, epsabs=1e-13, limit=200)[0]
        for ends in itertools.pairwise(cuts)
    )
    assert found == pytest.approx(expected, rel=1e-6)
    # Far in the transform nothing overflows.
    assert np.isfinite(a.spread.cumulant(np.array([0.0, 1e-9, 5e3, -5e3, 1e4j]))).all()


@pytest.mark.parametrize("top", [0.01, 0.6, 0.97])
@pytest.mark.parametrize("other", [Uniform(), Arcsine(), CurvilinearTrapezoid(0.3)])
def test_a_curvilinear_trapezoid_beside_one_other_member_with_edges(top, other):
    wide = CurvilinearTrapezoid(top)
    made = Distribution(0.0, [(1.0, wide), (0.4, other)])
    assert made.method == "exact (inversion of the transform, member by member)"
    for y in (0.3, 0.9, 1.26, 1.399):
        cuts = sorted({-1.0, -top, top, 1.0, *(x for x in (y - 0.4, y - 0.12, y + 0.12, y + 0.4) if abs(x) < 1)})
        expected = sum(
            quad(lambda z, y=y: float(wide.pdf(z)) * float(other.sf((y - z) / 0.4)), *ends, epsabs=0, epsrel=1e-11)[0]
            for ends in itertools.pairwise(cuts)
        )
        assert made.sf(y) == pytest.approx(expected, rel=1e-9, abs=0)


@pytest.mark.parametrize("s", [35 + 0j, 3 + 30j, 0.1 + 300j, -5 + 40j])
def test_ends_of_a_curvilinear_trapezoid_make_its_transform(s):
    spread = CurvilinearTrapezoid(0.6)
    found = sum(np.exp(s * place) * end for place, end in zip(spread.places, spread.ends(s), strict=True))
    with mp.workdps(30):
        expected = complex((mp.shi(s) - mp.shi(0.6 * s)) / (0.4 * s))
    assert abs(found - expected) <= 1e-12 * abs(expected)


def test_near_its_end_a_sum_with_a_narrow_flank_is_found_from_few_points(monkeypatch):
    """The ends of the flank lie close to what is asked, on either side: a path that does not turn would be endless."""
    wide, other, y = CurvilinearTrapezoid(0.99), Arcsine(), 1.394
    made, asked, ends = Distribution(0.0, [(1.0, wide), (0.4, other)]), [], CurvilinearTrapezoid.ends

    def counted(self, s):
        asked.append(np.size(s))
        assert sum(asked) < 20_000
        return ends(self, s)

    monkeypatch.setattr(CurvilinearTrapezoid, "ends", counted)
    # The arcsine density is infinite at y - 0.4, where the quadrature begins.
    expected = quad(lambda z: float(wide.sf(z)) * float(other.pdf((y - z) / 0.4)) / 0.4, y - 0.4, 1.0, epsrel=1e-9)[0]
    assert made.sf(y) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("s", [0.02, 0.06, 20.0, 299.0, 301.0, 650.0])
def test_the_transform_of_a_curvilinear_trapezoid_has_no_step_where_it_is_found_otherwise(s):
    with mp.workdps(40):
        expected = mp.log((mp.shi(s) - mp.shi(0.6 * s)) / (0.4 * s))
    assert float(CurvilinearTrapezoid(0.6).cumulant(s).real) == pytest.approx(float(expected), rel=1e-11)


@pytest.mark.parametrize(
    "spread", ["uniform", "triangular", "trapezoidal 0.4", "arcsine", "curvilinear trapezoid 0.6", "beta 2 3.5"]
)
def test_what_lies_within_its_zone_ends_with_it(spread):
    """So what holds at worst case holds for every part."""
    total = fc.dim(f"10 ± 0.5, {spread}") + fc.dim(f"3 ± 0.25, {spread}")
    assert total.exact().support == total.worst_case()


@pytest.mark.parametrize(("alpha", "beta"), [(0.3, 7.0), (2.0, 3.5), (20.0, 0.2)])
def test_a_beta_spread_on_an_even_line_is_what_it_is_point_by_point(alpha, beta):
    spread = Beta(alpha, beta)
    line = 0.4 + 0.07j * np.arange(700)  # near and far, and no whole number of rows
    each = np.array([complex(spread.cumulant(complex(s))) for s in line])
    peak = np.exp(complex(spread.cumulant(0.4)).real)
    np.testing.assert_allclose(np.exp(spread.cumulant(line)) / peak, np.exp(each) / peak, rtol=0, atol=1e-14)


def test_fifteen_unequal_beta_members_against_numpy():
    members = [(0.1 * (1 + 0.37 * i), Beta(2 + 0.3 * i, 3 + 0.2 * i)) for i in range(15)]
    made = Distribution(0.0, members)
    random = np.random.default_rng(3)
    drawn = sum(a * spread.sample(random, 400_000) for a, spread in members)
    for y in (made.mean, made.mean + 2 * made.std):
        p = made.sf(y)
        assert np.mean(drawn > y) == pytest.approx(p, abs=4 * math.sqrt(p * (1 - p) / 400_000))


def test_a_truncated_normal_spread_ends_where_its_zone_does():
    for k in np.linspace(0.5, 6.0, 200):
        assert TruncatedNormal(k).quantile([0.0, 0.5, 1.0]) == pytest.approx([-1.0, 0.0, 1.0], abs=1e-12)


@pytest.mark.parametrize("spread", [Uniform(), Triangular(), Trapezoidal(0.4), Normal(3.0), Arcsine(), Beta(2.0, 3.5)])
@pytest.mark.parametrize("s", [-3.0, 0.2, 5.0])
def test_the_cumulant_of_every_spread_is_the_logarithm_of_a_mean(spread, s):
    p = (np.arange(200_000) + 0.5) / 200_000
    mean = np.exp(s * spread.quantile(p)).mean()  # a normal one lacks what lies beyond 5 standard deviations
    assert float(np.real(spread.cumulant(s))) == pytest.approx(math.log(mean), rel=1e-3)


@pytest.mark.parametrize("width", [1e-60, 1.7e-109, 1e-150])
def test_a_tiny_zone_has_the_moments_of_a_large_one(width):
    """Two uniform parts; the cube of a tiny standard deviation is no number of a float, its ratio is (exact)."""
    made, large = (
        (fc.dim(0.0, plus=w, spread="uniform") + fc.dim(0.0, plus=w, spread="uniform")).exact() for w in (width, 1.0)
    )
    assert (made.skewness, made.kurtosis) == pytest.approx((0.0, 2.4), abs=1e-12)
    assert made.interval(0.99).max / width == pytest.approx(large.interval(0.99).max, rel=1e-9)


@pytest.mark.parametrize(
    "members", [[(1.0, Arcsine()), (0.4, CurvilinearTrapezoid(0.3))], [(1.0, Arcsine()), (0.1, Normal(3.0))]]
)
def test_what_was_asked_before_changes_no_answer(members):
    # What is kept of one question serves the next, and is given up for it again when there is too much of it.
    asked = Distribution(0.0, members)
    x = 1.4 - np.geomspace(1.2, 1e-7, 60) if members[1][1].bounded else np.linspace(0.2, 1.2, 40)
    first = [asked.sf(one) for one in x.tolist()]
    assert first == sorted(first, reverse=True)
    again = [asked.sf(one) for one in x[::-1].tolist()][::-1]
    alone = [Distribution(0.0, members).sf(one) for one in x[::13].tolist()]
    assert again == pytest.approx(first, rel=1e-11)
    assert alone == pytest.approx(first[::13], rel=1e-11)


@pytest.mark.parametrize("sigma", [0.1, 0.01])
def test_far_beyond_a_normal_member_nothing_is_left(sigma):
    # 40 sigma beyond the limits ± 1 a normal tail is 4e-350; below 2e-308 a number of a float loses its digits.
    rough = Distribution(0.0, [(1.0, Arcsine()), (3 * sigma, Normal(3.0))])
    tails = [rough.sf(1 + k * sigma) for k in (30, 37, 37.8, 38, 40)]
    assert tails == sorted(tails, reverse=True)
    assert 0 < tails[0] < 1e-195
    assert 0 <= tails[2] < 1e-300
    assert tails[-1] == rough.pdf(1 + 40 * sigma) == 0.0


def test_a_normal_sum_is_the_same_at_each_place_of_an_array():
    made = Distribution(1.0, [(0.3, Normal(3.0)), (0.4, Normal(2.0))])
    x = np.array([[0.8, 1.0], [1.2, 3.0]])
    assert made.sf(x) == pytest.approx(special.ndtr(-(x - 1.0) / math.hypot(0.1, 0.2)), rel=1e-13)
    assert made.method == "exact (normal)"
    assert Distribution(1.0, []).method == "no member varies"


@pytest.mark.parametrize("y", [-1.05, -1.0, -0.9, -0.5, 0.5])
def test_a_very_skewed_member_beside_a_normal_one(y):
    # Beta(0.2, 20) is nearly all at the lower limit, with a long way to the upper one; SciPy integrates over it.
    made = Distribution(0.0, [(1.0, Beta(0.2, 20.0)), (0.05, Normal(1.0))])
    over, _ = quad(
        lambda x: special.ndtr((2 * x - 1 - y) / 0.05), 0, 1, weight="alg", wvar=(-0.8, 19.0), epsabs=0, epsrel=1e-11
    )
    assert made.sf(y) == pytest.approx(over / special.beta(0.2, 20.0), rel=1e-9)
