"""What a user meets who gives a stack what it cannot use: one line with name, value and what is needed."""

import math

import numpy as np
import pytest

from fitcheck.errors import InputError, UnitError
from fitcheck.stack import Dimension, Normal, combine, dimension, response
from fitcheck.units import quantity, unit

A = dimension(10.0, plus=0.1, name="spacer")
B = dimension(4.0, plus=0.05, minus=0.02, name="washer")


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: dimension(math.nan, plus=0.1, name="spacer"), ["spacer", "nominal", "nan", "finite"]),
        (lambda: dimension(math.inf, plus=0.1, name="spacer"), ["spacer", "nominal", "inf"]),
        (lambda: dimension(10.0, plus=math.nan, name="spacer"), ["spacer", "plus", "nan"]),
        (lambda: dimension(10.0, plus=-0.1, name="spacer"), ["spacer", "-0.2", "at least 0"]),
        (lambda: dimension(10.0, plus=0.1, minus=-0.2, name="spacer"), ["spacer", "at least 0"]),
        (lambda: dimension(10.0, plus="wide", name="spacer"), ["spacer", "wide", "number"]),
        (lambda: Dimension(10.0, 10.2, 10.1, name="spacer"), ["spacer", "10.2", "10.1"]),
        (lambda: dimension(10.0, plus=0.1, spread="unifrom"), ["unifrom", "did you mean 'uniform'"]),
        (lambda: dimension(10.0, plus=0.1, spread="normal x sigma"), ["normal x sigma"]),
        (lambda: dimension(10.0, plus=0.1, spread=3), ["3", "uniform"]),
        (lambda: Normal(0.0), ["k", "greater than 0"]),
        (lambda: A * B, ["product", "response"]),
        (lambda: A / 0, ["divided", "0"]),
        (lambda: A + "1 mm", ["1 mm"]),
        (lambda: A + math.nan, ["nan", "finite"]),
        (lambda: A.probability(), ["below", "above"]),
        (lambda: A.probability(below=math.nan), ["below", "nan"]),
        (lambda: A.probability(below=2, above=1), ["below", "above"]),
        (lambda: A.exact().quantile(0.0), ["p = 0", "between 0 and 1"]),
        (lambda: A.exact().quantile(math.nan), ["p", "nan"]),
        (lambda: A.interval(1.0), ["confidence", "between 0 and 1"]),
        (lambda: A.exact().cdf("x"), ["x"]),
        (lambda: (A - A).exact().pdf(0.0), ["no density"]),
        (lambda: A.sample(-1), ["n", "-1"]),
        (lambda: A.sample(2.5), ["n", "2.5"]),
        (lambda: combine([]), ["nothing", "at least one"]),
    ],
)
def test_one_clear_line(make, words):
    with pytest.raises(InputError) as caught:
        make()
    message = str(caught.value)
    assert "\n" not in message
    for word in words:
        assert word in message, message


def test_kinds_do_not_mix():
    torque = dimension(0.8, plus=0.1, unit=unit("N·m"))
    with pytest.raises(UnitError, match="length and a torque"):
        A + torque


class NoSuchTableError(RuntimeError):
    """An exception of the user's own."""


def looks_up(a, b):
    raise NoSuchTableError("no table\nfor this alloy")


def changes_its_argument(a, b):
    a += b
    return a


@pytest.mark.parametrize("ask", [lambda r: r.nominal, lambda r: r.worst_case(), lambda r: r.contributions(), repr])
@pytest.mark.parametrize(
    ("function", "words"),
    [
        (lambda a, b: np.sum(a + b), ["shape ()", "element by element"]),
        (lambda a, b: (a + b)[:, None], ["shape", "element by element"]),
        (lambda a, b: [1.0, 2.0, 3.0], ["shape (3,)", "element by element"]),
        (lambda a, b: [[1.0], [1.0, 2.0]], ["[[1.0], [1.0, 2.0]]", "element by element"]),
        (lambda a, b: (a, b), ["shape", "element by element"]),
        (lambda a, b: 3.0, ["shape ()", "element by element"]),
        (lambda a, b: a if a > b else b, ["ValueError", "np.where in place of if"]),
        (lambda a, b: max(a, b), ["ValueError", "element by element"]),
        (lambda a, b: math.sqrt(a), ["TypeError", "np.sqrt in place of math.sqrt"]),
        (lambda a, b: a - np.mean(a), ["element by element", "a = 10"]),
        (lambda a, b: np.sort(a), ["element by element"]),
        (lambda a, b: a + np.random.default_rng().normal(size=a.shape), ["and then", "without chance"]),
        (lambda a, b: np.log(a - b - 6.0), ["not a finite number", "a = "]),
        (lambda a, b: 1 / (b - b), ["not a finite number"]),
        (lambda a, b: "text", ["'text'", "real numbers"]),
        (lambda a, b: np.full(a.shape, "1.0"), ["'1.0'", "real numbers"]),
        (lambda a, b: None, ["None", "real numbers"]),
        (lambda a, b: a * 1j, ["real numbers"]),
        (lambda a, b: quantity(1.0, unit("mm")) * a, ["millimeter", "without a unit"]),
        (lambda a, b: np.ma.masked_greater(a, 0.0), ["masked", "real numbers"]),
        (lambda a, c: a, ["TypeError", "'b'"]),
        (looks_up, ["NoSuchTableError: no table for this alloy", "first called at a = "]),
        (lambda a, b: 1 / int(0 * b[0]), ["ZeroDivisionError"]),
        (changes_its_argument, ["must not change its arguments"]),
    ],
)
def test_a_function_that_cannot_be_used(function, words, ask):
    with pytest.raises(InputError) as caught:
        ask(response(function, name="gap", a=A, b=B))
    message = str(caught.value)
    assert "\n" not in message
    for word in ["response gap", *words]:
        assert word in message


def test_an_exception_of_the_function_is_the_cause():
    with pytest.raises(InputError) as caught:
        response(looks_up, a=A, b=B).worst_case()
    assert isinstance(caught.value.__cause__, NoSuchTableError)

    def refuses(a):
        raise UnitError("wall = 3 N: a length is needed")

    # What this library or its user refuses by name passes as it is.
    with pytest.raises(UnitError, match=r"^wall = 3 N"):
        response(refuses, a=A).worst_case()


def test_a_condition_and_an_iteration_may_be_used_in_an_element_by_element_function():
    def root(a):
        x = a
        for _ in range(60):
            x = (x + a / x) / 2
        return np.where(a > 10, x, np.sqrt(a))

    assert response(root, a=A).worst_case() == pytest.approx((math.sqrt(9.9), math.sqrt(10.1)), rel=1e-9)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: response(3, a=A), ["3", "cannot be called"]),
        (lambda: response(lambda: 1), ["no dimensions"]),
        (lambda: response(lambda a: a, a=3.0), ["a = 3.0", "dimension"]),
        (lambda: response(lambda a: a, a=A).interval(0.0), ["confidence"]),
        (lambda: response(lambda a: a, a=A).probability(), ["below"]),
    ],
)
def test_a_response_that_cannot_be_made(make, words):
    with pytest.raises(InputError) as caught:
        make()
    for word in words:
        assert word in str(caught.value)


def test_every_error_is_a_value_error():
    with pytest.raises(ValueError, match="finite"):
        dimension(math.nan)
