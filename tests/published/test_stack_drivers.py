"""Sobol' indices and shares against functions whose indices are known in closed form.

Sources: T. Ishigami and T. Homma, ISUMA 1990 (a = 7, b = 0.1); I. M. Sobol's g-function (A. Saltelli and Sobol', 1995);
A. B. Owen, SIAM/ASA J. Uncertainty Quantification 2 (2014) 245-251 (Shapley values of a variance); all from memory, the
indices and shares computed here from their closed forms.
"""

import itertools
import math

import numpy as np
import pytest
from scipy import integrate, stats

from fitcheck.errors import InputError
from fitcheck.stack import StudentT, correlated, dimension, gradient, response, share_figure, share_frame, sobol_indices

PI = math.pi


def test_ishigami():
    a, b = 7.0, 0.1
    made = response(
        lambda x, y, z: np.sin(x) + a * np.sin(y) ** 2 + b * z**4 * np.sin(x),
        **{n: dimension(0.0, plus=PI, name=n) for n in "xyz"},
    )
    variance = a**2 / 8 + b * PI**4 / 5 + b**2 * PI**8 / 18 + 0.5
    first = {"x": 0.5 * (1 + b * PI**4 / 5) ** 2 / variance, "y": a**2 / 8 / variance, "z": 0.0}
    both = 8 * b**2 * PI**8 / 225 / variance
    rows = {row.name: row for row in sobol_indices(made)}
    for name, expected in first.items():
        total = expected + (both if name in "xz" else 0.0)
        assert rows[name].first == pytest.approx(expected, abs=4 * rows[name].first_error + 1e-3)
        assert rows[name].total == pytest.approx(total, abs=4 * rows[name].total_error + 1e-3)
    assert [row.name for row in sobol_indices(made)] == ["x", "y", "z"]


def test_g_function():
    weights = [0.0, 1.0, 4.5, 9.0]
    made = response(
        lambda **x: np.prod([(abs(4 * v - 2) + w) / (1 + w) for v, w in zip(x.values(), weights, strict=True)], axis=0),
        **{f"x{i}": dimension(0.5, plus=0.5, name=f"x{i}") for i in range(4)},
    )
    parts = [1 / (3 * (1 + w) ** 2) for w in weights]
    variance = math.prod(1 + p for p in parts) - 1
    rows = {row.name: row for row in sobol_indices(made)}
    for i, p in enumerate(parts):
        row = rows[f"x{i}"]
        assert row.first == pytest.approx(p / variance, abs=4 * row.first_error + 1e-3)
        total = p * math.prod(1 + q for j, q in enumerate(parts) if j != i) / variance
        assert row.total == pytest.approx(total, abs=4 * row.total_error + 1e-3)


def test_a_sum_has_the_shares_of_its_contributions():
    a, b = dimension(10.0, plus=0.1, name="a"), dimension(5.0, plus=0.3, name="b")
    rows = sobol_indices(response(lambda a, b: a - 2 * b, a=a, b=b))
    known = {row.name: row.variance_share for row in (a - 2 * b).contributions()}
    for row in rows:
        assert row.first == pytest.approx(known[row.name], abs=4 * row.first_error + 1e-4)
        assert row.total == pytest.approx(known[row.name], abs=4 * row.total_error + 1e-4)


def shapley(worth, n):
    """Shapley values of a game by its definition: the mean of what each adds over all orders."""
    found = np.zeros(n)
    for order in itertools.permutations(range(n)):
        for k, i in enumerate(order):
            found[i] += worth(order[: k + 1]) - worth(order[:k])
    return found / math.factorial(n)


def shares(made):
    return {row.name: row.variance_share for row in made.contributions()}


@pytest.mark.parametrize("rho", [None, 0.6, -0.9])
@pytest.mark.parametrize("spread", ["uniform", "normal", "beta 2 3"])
def test_shares_of_a_straight_function_are_those_of_the_sum(spread, rho):
    parts = [dimension(10.0, plus=0.1, name="a", spread=spread), dimension(5.0, plus=0.3, minus=0.1, name="b")]
    a, b = parts if rho is None else correlated(parts, rho)
    c, fixed = dimension(2.0, plus=1e-4, name="c", spread=spread), dimension(7.0, name="fixed")
    made = response(lambda x, y, z, w: 3 + x - 2 * y / 7 - z + w, x=a, y=b + c, z=c - 3, w=fixed)
    known = {row.name: row for row in (a - (2 / 7) * (b + c) - c + fixed).contributions()}
    assert list(known) == [row.name for row in made.contributions()]
    for row in made.contributions():
        assert row.variance_share == pytest.approx(known[row.name].variance_share, abs=1e-9)
        assert row.worst_case_share == pytest.approx(known[row.name].worst_case_share, abs=1e-9)
        if row.name != "fixed":
            assert row.sensitivity == pytest.approx(known[row.name].sensitivity, rel=1e-9)


def test_shares_of_what_acts_together():
    a, b = 7.0, 0.1
    made = response(
        lambda x, y, z: np.sin(x) + a * np.sin(y) ** 2 + b * z**4 * np.sin(x),
        **{n: dimension(0.0, plus=PI, name=n) for n in "xyz"},
    )
    variance = a**2 / 8 + b * PI**4 / 5 + b**2 * PI**8 / 18 + 0.5
    both = 8 * b**2 * PI**8 / 225 / variance
    known = {"x": 0.5 * (1 + b * PI**4 / 5) ** 2 / variance + both / 2, "y": a**2 / 8 / variance, "z": both / 2}
    assert shares(made) == pytest.approx(known, abs=0.01)
    # Nothing but acting together: each alone, the other in the middle, changes nothing.
    product = response(lambda x, y: x * y, **{n: dimension(0.0, plus=1.0, name=n) for n in "xy"})
    assert shares(product) == pytest.approx({"x": 0.5, "y": 0.5}, abs=0.01)


def test_shares_of_a_product():
    # Var E[f | T] of a product of means 1 is prod(1 + v_i) - 1 over T.
    widths = [0.9, 0.6, 0.6, 0.3, 0.1]
    worth = lambda group: math.prod(1 + widths[i] ** 2 / 3 for i in group) - 1  # noqa: E731
    known = shapley(worth, 5) / worth(range(5))
    made = response(
        lambda **x: math.prod(x.values()),
        **{f"x{i}": dimension(1.0, plus=w, name=f"x{i}") for i, w in enumerate(widths)},
    )
    assert shares(made) == pytest.approx({f"x{i}": share for i, share in enumerate(known)}, abs=0.01)


def test_the_smaller_of_two_margins_has_all_its_drivers():
    # A plug cut to the middle of its window: each of its sizes enters one of the two margins, or both with two signs.
    sizes = {"length": (23.0, 0.2), "room": (16.5, 0.6), "travel": (4.0, 0.2), "seat": (9.0, 0.2)}
    parts = {name: dimension(x, plus=t, name=name) for name, (x, t) in sizes.items()}
    made = response(
        lambda length, room, travel, seat: np.minimum(length - room - travel, room + seat - length), **parts
    )
    rows = {row.name: row for row in made.contributions()}
    # An independent sample of the changes in all 24 orders.
    generator = np.random.default_rng(11)
    a, b = ({n: generator.uniform(x - t, x + t, 200_000) for n, (x, t) in sizes.items()} for _ in range(2))
    known, far = dict.fromkeys(sizes, 0.0), made.function(**a)
    for order in itertools.permutations(sizes):
        at, y = dict(b), made.function(**b)
        for name in order:
            at[name] = a[name]
            new = made.function(**at)
            known[name] += float(np.mean((far - far.mean()) * (new - y))) / float(far.var()) / 24
            y = new
    assert {n: row.variance_share for n, row in rows.items()} == pytest.approx(known, abs=0.015)
    assert min(known.values()) > 0.1
    assert math.fsum(row.variance_share for row in rows.values()) == pytest.approx(1, abs=1e-12)
    # The room alone (in 16 steps), the others at the corner where it changes most: 1.0, as the last 0.2 of its 1.2
    # lead back again.
    most = {"length": 0.4, "room": 1.0, "travel": 0.4, "seat": 0.4}
    assert {n: row.worst_case_share for n, row in rows.items()} == pytest.approx(
        {n: w / 2.2 for n, w in most.items()}, abs=0.01
    )
    assert made.contributions() == made.contributions()


@pytest.mark.parametrize("degrees", [2, 2.001, 3, 4, 30, 1e6])
def test_a_students_t_counts_within_its_central_99_percent(degrees):
    # By quadrature of its density in SciPy: with 2 degrees of freedom it has no variance, and the report must be made.
    t = stats.t(degrees)
    end = t.ppf(0.995)
    variance = integrate.quad(lambda x: x**2 * t.pdf(x), -end, end, epsabs=1e-12)[0] + 0.01 * end**2
    mean = dimension(25.0, plus=0.06, name="mean", spread=StudentT(degrees, 3.0))  # a standard uncertainty of 0.02
    other = dimension(5.0, plus=0.1, name="other", spread="uniform")
    known = 0.02**2 * variance / (0.02**2 * variance + 0.1**2 / 3)
    assert shares(mean - other)["mean"] == pytest.approx(known, rel=1e-8)
    assert shares(response(lambda a, b: a - b, a=mean, b=other))["mean"] == pytest.approx(known, rel=1e-8)


def test_shares_of_the_exponential_of_a_students_t():
    # The level of a bench of five, in a strip load. Uncut it has no variance: its share was what the points reached.
    rate, width = 0.2, 0.6
    t = stats.t(4)
    end = t.ppf(0.995)

    def moment(power):
        inside = integrate.quad(lambda x: math.exp(power * rate * x) * t.pdf(x), -end, end)[0]
        return inside + 0.01 * math.cosh(power * rate * end)

    varies = moment(2) / moment(1) ** 2 - 1, width**2 / 3  # of factors with the mean 1
    both = varies[0] * varies[1]
    known = (varies[0] + both / 2) / (sum(varies) + both)
    level = dimension(0.0, plus=2.0, name="level", spread=StudentT(4, 2.0))
    size = dimension(1.0, plus=width, name="size", spread="uniform")
    made = response(lambda x, y: y * np.exp(rate * x), x=level, y=size)
    assert shares(made)["level"] == pytest.approx(known, abs=0.02)
    rows = {row.name: row for row in sobol_indices(made)}
    first = varies[0] / (sum(varies) + both)
    assert rows["level"].first == pytest.approx(first, abs=4 * rows["level"].first_error + 1e-3)


def test_shares_lie_between_the_two_indices():
    from fitcheck.mechanics.cross_section import corner_gap

    zones = {
        "bore": (32.0, 0.1),
        "chassis": (31.5, 0.1),
        "width": (14.0, 0.4),
        "reach": (13.2, 0.3),
        "shift": (0.5, 0.5),
    }
    made = response(corner_gap, **{name: dimension(m, plus=h, name=name) for name, (m, h) in zones.items()})
    found = shares(made)
    for row in sobol_indices(made):
        assert row.first - 0.005 < found[row.name] < row.total + 0.005


def test_nothing_varies():
    made = response(lambda x, y: x - x + 0 * y, x=dimension(1e6, plus=1.0, name="x"), y=dimension(3.0, name="y"))
    assert [row[1:4] for row in made.contributions()] == [(0.0, 0.0, 0.0)] * 2


def test_gradient():
    a, b = dimension(3.0, plus=0.1, minus=0.3, name="a"), dimension(4.0, plus=0.2, name="b")
    assert gradient(a - 2 * b) == {"a": 1.0, "b": -2.0}
    found = gradient(response(lambda a, b: a**2 * b, a=a, b=b))
    assert found == pytest.approx({"a": 24.0, "b": 9.0}, rel=1e-7)


def test_table_and_figure():
    made = dimension(3.0, plus=0.1, name="a") + dimension(4.0, plus=0.2, name="b")
    table = share_frame(made.contributions())
    assert list(table.index) == ["b", "a"]
    assert table["variance_share"].sum() == pytest.approx(1)
    axes = share_figure(made.contributions())
    assert [label.get_text() for label in axes.get_yticklabels()] == ["b", "a"]
    drawn = {bars.get_label(): [round(bar.get_width()) for bar in bars] for bars in axes.containers}
    assert drawn == {"of the variance": [80, 20], "of the worst case": [67, 33]}
    assert axes._repr_svg_().startswith("<svg")
    rows = sobol_indices(response(lambda a, b: a * b, a=dimension(3.0, plus=0.1, name="a"), b=dimension(4.0, plus=1.0)))
    assert list(share_frame(rows).columns) == ["first", "total", "first_error", "total_error"]
    assert share_figure(rows, most=1).get_yticklabels()[-1].get_text() == "1 more"


def test_correlated_dimensions_have_no_such_indices():
    a, b = correlated([dimension(3.0, plus=0.1, name="a"), dimension(4.0, plus=0.2, name="b")], 0.5)
    with pytest.raises(InputError, match="independent"):
        sobol_indices(response(lambda a, b: a * b, a=a, b=b))
    with pytest.raises(InputError, match="no rows"):
        share_frame([])


def test_a_gradient_needs_a_name_for_each_dimension():
    a, b = dimension(5.0, plus=0.1, name="s"), dimension(5.0, plus=0.1, name="s")
    with pytest.raises(InputError, match="2 dimensions are called 's'"):
        gradient(2 * a - b)
    with pytest.raises(InputError, match="2 dimensions have no name"):
        gradient(response(lambda x, y: x * y, x=dimension(1.0, plus=0.1), y=dimension(2.0, plus=0.1)))


def test_the_gradient_takes_a_size_that_does_not_vary_as_fixed():
    product = response(lambda a, b: a * b, a=dimension(10.0, plus=0.1, name="a"), b=dimension(3.0, name="b"))
    assert gradient(product) == pytest.approx({"a": 3.0, "b": 0.0})
