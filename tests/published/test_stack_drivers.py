"""Sobol' indices against functions whose indices are known in closed form.

Sources: T. Ishigami and T. Homma, ISUMA 1990 (a = 7, b = 0.1); I. M. Sobol's g-function (A. Saltelli and Sobol', 1995);
both from memory, the indices computed here from their closed forms.
"""

import math

import numpy as np
import pytest

from fitcheck.errors import InputError
from fitcheck.stack import correlated, dimension, frame, gradient, response, share_figure, sobol_indices

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


def test_gradient():
    a, b = dimension(3.0, plus=0.1, minus=0.3, name="a"), dimension(4.0, plus=0.2, name="b")
    assert gradient(a - 2 * b) == {"a": 1.0, "b": -2.0}
    found = gradient(response(lambda a, b: a**2 * b, a=a, b=b))
    assert found == pytest.approx({"a": 24.0, "b": 9.0}, rel=1e-7)


def test_table_and_figure():
    made = dimension(3.0, plus=0.1, name="a") + dimension(4.0, plus=0.2, name="b")
    table = frame(made.contributions())
    assert list(table.index) == ["b", "a"]
    assert table["variance_share"].sum() == pytest.approx(1)
    axes = share_figure(made.contributions())
    assert [label.get_text() for label in axes.get_yticklabels()] == ["b", "a"]
    assert [round(bar.get_width()) for bar in axes.containers[1]] == [80, 20]
    rows = sobol_indices(response(lambda a, b: a * b, a=dimension(3.0, plus=0.1, name="a"), b=dimension(4.0, plus=1.0)))
    assert list(frame(rows).columns) == ["first", "total", "first_error", "total_error"]
    assert share_figure(rows, most=1).get_yticklabels()[-1].get_text() == "1 more"


def test_correlated_dimensions_have_no_such_indices():
    a, b = correlated([dimension(3.0, plus=0.1, name="a"), dimension(4.0, plus=0.2, name="b")], 0.5)
    with pytest.raises(InputError, match="independent"):
        sobol_indices(response(lambda a, b: a * b, a=a, b=b))
    with pytest.raises(InputError, match="no rows"):
        frame([])
