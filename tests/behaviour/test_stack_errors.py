"""What a user meets who gives a stack what it cannot use: one line with name, value and what is needed."""

import math

import numpy as np
import pint
import pytest

from fitcheck.errors import InputError, UnitError
from fitcheck.stack import (
    Cost,
    Dimension,
    Distribution,
    Normal,
    Required,
    acceptance,
    allocate,
    any_fails,
    as_built,
    at_temperature,
    capability,
    combine,
    conformance,
    correlated,
    dimension,
    effective_degrees_of_freedom,
    global_risks,
    gradient,
    guard_band,
    in_proportion,
    inspected,
    measured,
    response,
    share_figure,
    share_frame,
    sobol_indices,
    solve_for,
    tighten,
)
from fitcheck.stack.results import Method, Probability
from fitcheck.stack.shapes import CurvilinearTrapezoid, Empirical, TruncatedNormal
from fitcheck.stack.spreads import Uniform
from fitcheck.stack.system import Least
from fitcheck.stack.trials import Bench
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
        (lambda: A + "1 N", ["1 N", "is a force"]),
        (lambda: A + "washer", ["washer", "a length"]),
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


FIXED = dimension(3.0, name="fixed")
SEAT = dimension(5.0, plus=0.1, spread="normal", name="seat")
AIR = dimension(20.0, plus=5.0, name="air", unit=unit("°C"))
TOTAL = A - B + FIXED
AREA = response(lambda a, b: a * b, name="area", a=A, b=B)
COSTS = {"spacer": Cost(1.0), "washer": Cost(2.0)}


# Every way in which what a stack is given can be no number, out of range, of the wrong kind or of the wrong form.
@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: dimension([10, 11], plus=0.1, name="spacer"), "spacer: nominal = [10, 11]: a number in mm"),
        (lambda: dimension(10, plus=[0.1, 0.2], name="spacer"), "spacer: plus = [0.1, 0.2]"),
        (lambda: dimension(10, plus=True, name="spacer"), "spacer: plus = True"),
        (lambda: dimension("10 mm", plus=0.1, name="spacer"), "spacer: nominal = '10 mm'"),
        (lambda: dimension(None, name="spacer"), "spacer: nominal = None"),
        (lambda: dimension(10, minus=math.inf, name="spacer"), "spacer: minus = inf"),
        (lambda: dimension(10, plus=0.1, spread="normal 0 sigma", name="spacer"), "spacer: k = 0"),
        (lambda: dimension(10, plus=0.1, spread="beta -1 2", name="spacer"), "spacer: alpha = -1"),
        (lambda: dimension(10, plus=0.1, spread="even", name="spacer"), "spacer: spread = 'even'"),
        (lambda: dimension(10, plus=0.1, unit="mm", name="spacer"), "spacer: unit = 'mm': a unit is needed"),
        (lambda: Dimension(10, 9, "11", name="spacer"), "spacer: upper = '11'"),
        (lambda: Dimension(10, [9], 11, name="spacer"), "spacer: lower = [9]"),
        (lambda: Dimension(10, 9, 11, spread="uniform", name="spacer"), "spacer: spread = 'uniform': a spread is"),
        (lambda: measured(12.4, -0.02, name="bore"), "bore: U = -0.02: a number in mm of at least 0"),
        (lambda: measured(12.4, 0.02, k=0, name="bore"), "bore: k = 0: a number greater than 0"),
        (lambda: measured(12.4, 0.02, k=-2, name="bore"), "bore: k = -2"),
        (lambda: measured([1, 2], 0.02, name="bore"), "bore: value = [1, 2]"),
        (lambda: measured("12.4", 0.02, name="bore"), "bore: value = '12.4'"),
        (lambda: as_built(A, math.nan), "spacer: value = nan"),
        (lambda: as_built(A, 3.0, -1), "spacer: U = -1"),
        (lambda: as_built(TOTAL, 3.0), "a single dimension is needed"),
        (lambda: inspected([], name="slug"), "slug: measured: a row of at least 2 numbers"),
        (lambda: inspected([3.0], name="slug"), "slug: measured: a row of at least 2 numbers"),
        (lambda: inspected([[1, 2], [3, 4]], name="slug"), "slug: measured: a row"),
        (lambda: inspected([1, 2, math.inf], name="slug"), "slug: measured = inf"),
        (lambda: inspected("abc", name="slug"), "slug: measured = 'abc'"),
        (lambda: inspected([1, 2], nominal=math.nan, name="slug"), "slug: nominal = nan"),
        (lambda: correlated([A], 0.5), "two or more different dimensions"),
        (lambda: correlated([A, A], 0.5), "two or more different dimensions"),
        (lambda: correlated(A, 0.5), "two or more different dimensions"),
        (lambda: correlated([A, TOTAL], 0.5), "a single dimension is needed"),
        (lambda: correlated([A, B], 2), "correlation of spacer, washer: numbers from -1 to 1"),
        (lambda: correlated([A, B], "x"), "correlation of spacer, washer = 'x'"),
        (lambda: correlated([A, B], math.nan), "correlation of spacer, washer = nan"),
        (lambda: correlated([A, B, SEAT], 0.5), "3 rows and columns"),
        (lambda: correlated([A, B], [[1, 0.5], [0.5]]), "correlation of spacer, washer"),
        (lambda: correlated([correlated([A, B], 0.5)[0], SEAT], 0.3), "spacer is correlated already"),
        (lambda: at_temperature(A, 23e-6, math.nan), "temperature = nan"),
        (lambda: at_temperature(A, 23e-6, "40 mm"), "temperature = '40 mm' is a length"),
        (lambda: at_temperature(A, 23e-6, -300), "absolute zero"),
        (lambda: at_temperature(A, AIR, 40), "alpha: a thermal expansion is needed, not a temperature"),
        (lambda: at_temperature(A, "x", 40), "alpha = 'x'"),
        (lambda: at_temperature(AIR, 23e-6, 40), "a length is needed"),
        (lambda: at_temperature(3.0, 23e-6, 40), "3.0: a dimension or a sum"),
        (lambda: A.probability(below="2 N"), "below = '2 N' is a force"),
        (lambda: A.interval("x"), "confidence = 'x'"),
        (lambda: AREA.interval(math.nan), "confidence = nan"),
        (lambda: AREA.interval(0.9, samples=-1), "samples = -1"),
        (lambda: AREA.probability(above=1, samples=0), "samples = 0"),
        (lambda: AREA.probability(above=1, samples=10**12), "samples = 1,000,000,000,000: at most"),
        (lambda: AREA.sample("x"), "n = 'x'"),
        (lambda: AREA.sample(5, seed=-1), "seed = -1"),
        (lambda: A.sample(5, seed="x"), "seed = 'x'"),
        (lambda: solve_for(TOTAL, A), "below=, above= or both"),
        (lambda: solve_for(TOTAL, SEAT, below=1), "seat: not a member; the members are spacer, washer, fixed"),
        (lambda: solve_for(TOTAL, "spacer", below=1), "'spacer': one dimension among the members"),
        (lambda: solve_for(TOTAL, TOTAL, below=1), "one dimension among the members"),
        (lambda: solve_for(3.0, A, below=1), "3.0 has no dimensions"),
        (lambda: solve_for(TOTAL, A, below=2, above=1), "below = 2 must not exceed above = 1"),
        (lambda: solve_for(TOTAL, A, below=1, risk=-0.1), "risk = -0.1: a probability from 0"),
        (lambda: solve_for(TOTAL, A, below=1, risk=0.7), "risk = 0.7"),
        (lambda: solve_for(TOTAL, A, below=1, risk="x"), "risk = 'x'"),
        (lambda: solve_for(TOTAL, A, below=1, between=(5, 4)), "between = (5, 4): the least must not exceed"),
        (lambda: solve_for(TOTAL, A, below=1, between=3), "between = 3: two numbers"),
        (lambda: solve_for(AREA, A, below=1, between=(5,)), "between = (5,): two numbers"),
        (lambda: solve_for(AREA, A, below=1, between=(math.nan, 2)), "between = nan"),
        (lambda: tighten(3.0, below=1), "3.0 has no dimensions"),
        (lambda: tighten(TOTAL), "below=, above= or both"),
        (lambda: tighten(TOTAL, below=1, risk=1), "risk = 1"),
        (lambda: allocate(TOTAL, COSTS, half_width=0), "half_width = 0"),
        (lambda: allocate(TOTAL, COSTS, half_width="x"), "half_width = 'x'"),
        (lambda: allocate(TOTAL, {}, half_width=0.1), "no dimension to be toleranced"),
        (lambda: allocate(FIXED + 1, half_width=0.1), "no dimension to be toleranced"),
        (lambda: allocate(TOTAL, {"spcer": Cost(1)}, half_width=0.1), "did you mean 'spacer'"),
        (lambda: allocate(TOTAL, {"spacer": 3}, half_width=0.1), "cost of spacer = 3"),
        (lambda: allocate(TOTAL, 3, half_width=0.1), "cost = 3: the costs by name"),
        (lambda: allocate(AREA, COSTS, half_width=0.1), "a sum of dimensions is needed"),
        (lambda: allocate(TOTAL, COSTS, half_width=0.1, bounds={"spacer": (0, 1)}), "bounds of spacer: the least = 0"),
        (lambda: allocate(TOTAL, COSTS, half_width=0.1, bounds={"spacer": 3}), "bounds of spacer = 3: two numbers"),
        (
            lambda: allocate(TOTAL, COSTS, half_width=0.1, bounds={"spacer": (0.2, 0.1)}),
            "bounds of spacer = (0.2, 0.1)",
        ),
        (lambda: allocate(TOTAL, COSTS, half_width=0.1, bounds={"spacer": (0.1, math.nan)}), "bounds of spacer = nan"),
        (lambda: allocate(TOTAL, COSTS, half_width=0.1, by="probability", risk=0), "risk = 0"),
        (lambda: allocate(TOTAL, {"spacer": lambda t: t}, half_width=0.2), "cost of spacer: it must fall"),
        (lambda: allocate(TOTAL, {"spacer": lambda t: "x"}, half_width=0.2), "cost of spacer at a tolerance of"),
        (lambda: allocate(TOTAL, {"spacer": lambda t: math.nan}, half_width=0.2), "cost of spacer at a tolerance of"),
        (
            lambda: allocate(TOTAL, {"spacer": lambda t: 2 * math.exp(-t / 0.1), "washer": Cost(1)}, half_width=0.2),
            "cost of spacer: the least cost leaves it no tolerance at all: give bounds",
        ),
        (lambda: Cost(0), "cost: b = 0"),
        (lambda: Cost(1, k=-1), "cost: k = -1"),
        (lambda: Cost(1, a=math.nan), "cost: a = nan"),
        (lambda: Cost(1, a=[1, 2]), "cost: a = [1, 2]: a number is needed"),
        (lambda: in_proportion(TOTAL, ["fixed"], half_width=0.1), "weight of fixed = 0"),
        (lambda: in_proportion(AREA, ["spacer"], half_width=0.1), "a sum of dimensions is needed"),
        (lambda: in_proportion(TOTAL, ["spacer"], half_width=0.01), "already exceed it"),
        (lambda: conformance([1, 2], 0.1, upper=2), "value = [1, 2]"),
        (lambda: conformance(1, 0.1, upper="x"), "upper = 'x'"),
        (lambda: guard_band(-1), "u = -1"),
        (lambda: guard_band(0.1, "x"), "confidence = 'x'"),
        (lambda: acceptance(math.nan, lower=0, upper=1), "g = nan"),
        (lambda: global_risks(0, 1, 0, upper=1), "u = 0"),
        (lambda: global_risks(0, 1, 0.1, lower=1, upper=1), "lower = 1 must lie below upper = 1"),
        (lambda: capability(0, 0, lower=-1, upper=1), "sd = 0"),
        (lambda: capability(0, 1), "a lower limit, an upper limit or both"),
        (lambda: any_fails([]), "no requirement"),
        (lambda: any_fails(A), "a list such as [Required"),
        (lambda: any_fails([A]), "a requirement is needed"),
        (lambda: any_fails([(A, 1)]), "a requirement is needed"),
        (lambda: any_fails([Required(3, below=1)]), "3: a dimension, a sum or a response"),
        (lambda: any_fails([Required(A)]), "below=, above= or both"),
        (lambda: any_fails([Required(A, below=1)], samples=0), "samples = 0"),
        (lambda: sobol_indices(3), "3: a response"),
        (lambda: sobol_indices(AREA, points=0), "points = 0"),
        (lambda: gradient(3), "3: a response"),
        (lambda: share_frame([1, 2]), "no rows"),
        (lambda: combine([(1, 3)]), "3 cannot take part in a sum"),
        (lambda: combine([(math.nan, A)]), "nan"),
        (lambda: combine(3), "pairs of a number and a dimension"),
        (lambda: A**2, "a power of a dimension"),
        (lambda: 1 / A, "a quotient by a dimension"),
        (lambda: np.array([1.0, 2.0]) * A, "cannot take part in a sum"),
        (lambda: response(lambda a: a, a=A, unit="mm"), "unit = 'mm': a unit is needed"),
        (lambda: response(lambda a: a, a=[A]), "a dimension or a sum of dimensions"),
    ],
)
def test_what_a_stack_is_asked(make, words):
    with pytest.raises(InputError) as caught:
        make()
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)


def test_where_nothing_varies():
    alone = FIXED + 0.0
    assert (alone.probability(below=3.0), alone.probability(above=3.0)) == (0.0, 0.0)
    assert (alone.probability(below=3.1), alone.probability(above=2.9)) == (1.0, 1.0)
    # 0.1 + 0.2 is not 0.3 in binary; on paper it is.
    assert (0.1 + dimension(0.2)).probability(above=0.3) == 0.0
    assert alone.interval(0.9) == (3.0, 3.0)
    for made in (response(lambda a: 2 * a, a=FIXED), response(lambda a: 2 * a, a=A - A + FIXED)):
        assert made.worst_case() == made.interval() == (6.0, 6.0)
        assert (made.probability(above=5.9), made.moments().variance) == (1.0, 0.0)
    empty = response(lambda a: a + 1.0, a=A - A)
    assert empty.worst_case() == empty.interval() == (1.0, 1.0)
    assert empty.probability(above=0.5) == 1.0
    # What lies at its limit meets it.
    assert (empty.probability(below=1.0), empty.probability(above=1.0)) == (0.0, 0.0)
    assert (empty.contributions(), sobol_indices(empty), empty.moments().mean) == ([], [], 1.0)
    assert solve_for(alone, FIXED, below=9.0).nominal == pytest.approx(9.0)
    assert tighten(alone, below=9.0) == [("fixed", None, None, None)]


def test_a_part_exactly_at_the_limit_does_not_fail():
    slug = inspected([3.0, 3.1, 3.2], name="slug")
    assert (slug.probability(below=3.0), slug.probability(above=3.2)) == (0.0, 0.0)
    assert slug.probability(below=3.1) == pytest.approx(1 / 3)


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


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: allocate(A, half_width=0.1, bounds=3), "bounds = 3: pairs by name"),
        (lambda: effective_degrees_of_freedom(None, [1]), "uncertainties = None: a list of numbers"),
        (lambda: effective_degrees_of_freedom([1.0], 3), "degrees = 3: a list of numbers"),
        (lambda: sobol_indices(A, seed=-1), "seed = -1: a whole number of at least 0"),
        (lambda: share_figure([3]), "contributions or Sobol' indices are needed"),
        (lambda: share_figure(A.contributions(), most=2.5), "most = 2.5: a whole number"),
    ],
)
def test_what_is_no_list_or_no_whole_number_is_told_by_name(make, words):
    with pytest.raises(InputError, match=words) as caught:
        make()
    assert "\n" not in str(caught.value)


def test_every_error_is_a_value_error():
    with pytest.raises(ValueError, match="finite"):
        dimension(math.nan)


def test_tolerances_beside_a_quantity_name_their_unit_too():
    moment = pint.UnitRegistry().Quantity(1.0, "newton * meter")
    with pytest.raises(UnitError, match=r"plus = 0\.1 names no unit, beside nominal = 1.*: both with their unit"):
        dimension(moment, plus=0.1, unit=unit("N·m"))


C = dimension(4.0, plus=0.05, name="spacer")  # another of the same name
PILES = [inspected(np.linspace(-1.0, 1.0, 60) ** (2 * i + 1), name=f"pile {i}") for i in range(6)]


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: A.exact().upper_quantile(1.0), "p = 1: a number between 0 and 1"),
        (lambda: A.exact().interval(1.0), "confidence = 1: a number between 0 and 1"),
        (lambda: Distribution(0.0, [(math.nan, Normal(3.0))]), "half-widths: finite numbers"),
        (
            lambda: dimension(0.0, plus=4e-170).exact().sf(0.0),
            "half-widths up to 4e-170: one of 1e-150 or more is needed",
        ),
        (lambda: (A - A).exact().pdf(0.0), "no member varies"),
        (lambda: in_proportion(A + B, "spacer", half_width=[0.1, 0.2]), r"half_width = \[0.1, 0.2\]: a length"),
        (lambda: allocate(A + B, half_width=[0.1, 0.2]), r"half_width = \[0.1, 0.2\]: a length"),
        (lambda: Bench(0.2, 0.0, scatter=0.1), r"degrees = 0: degrees of freedom above 0"),
        (lambda: Bench(0.2, 4.0, scatter=0.1, scatter_degrees=math.nan), "scatter_degrees = nan: degrees of freedom"),
        (lambda: Least([response(abs, a=A), response(abs, a=B)], name="gap"), "the input a means two different things"),
        (lambda: TruncatedNormal(0.1), r"k = 0.1: from 0.2 to 12 standard deviations"),
        (lambda: CurvilinearTrapezoid(1.0), r"top = 1: a share of the zone from 0.01 to 0.99"),
        (lambda: Empirical([0.2, 1.01]), "values: a row of numbers from -1 to 1"),
        (lambda: Empirical([]), "values: a row of numbers from -1 to 1"),
        (lambda: Uniform().quantile([0.5, 1.5]), "p = 1.5: a probability from 0 to 1"),
        (lambda: Empirical([0.0]).pdf(0.0), "single values and have no density"),
        (lambda: sum(PILES[1:], PILES[0]).exact().sf(0.1), "combinations of inspected parts are too many to count"),
        (lambda: in_proportion(A + C, ["spacer"], half_width=0.1), "a name of its own"),
        (lambda: in_proportion(A + B, "spacer", half_width=0.01), "half_width = 0.01: the tolerances that are fixed"),
        (lambda: allocate(A + B, half_width=0.1, bounds={"spacer": (0.2, 1.0)}), "at their least already take 0.2"),
        (
            lambda: allocate(A + B, half_width=0.1, by="probability", risk=0.01, bounds={"spacer": (0.2, 1.0)}),
            "already exceed the risk of 0.01",
        ),
    ],
)
def test_what_a_distribution_and_an_allocation_refuse(ask, words):
    with pytest.raises(InputError, match=words):
        ask()


def test_a_sum_that_does_not_vary_is_a_single_value():
    single = (A - A + 3.0).exact()
    assert single.quantile(0.2) == single.upper_quantile(0.2) == 3.0
    assert single.interval(0.9) == single.support == (3.0, 3.0)
    assert (single.sf(2.9), single.sf(3.1), single.cdf(2.9), single.cdf(3.1)) == (1.0, 0.0, 0.0, 1.0)


def test_a_normal_spread_alone_has_its_density_and_no_end():
    normal = dimension(10.0, plus=0.3, spread=Normal(3.0)).exact()
    assert normal.support == (-math.inf, math.inf)
    assert normal.pdf(10.1) == pytest.approx(math.exp(-0.5) / math.sqrt(2 * math.pi) / 0.1)


def test_inspected_parts_are_drawn_and_counted_one_by_one():
    parts = Empirical([-1.0, 0.25, 0.25, 1.0])
    at = np.array([-1.1, -1.0, 0.0, 0.25, 1.0])
    assert parts.cdf(at).tolist() == [0.0, 0.25, 0.25, 0.75, 1.0]
    assert (parts.cdf(at) + parts.sf(at)).tolist() == [1.0] * 5
    # The smallest part up to which at least the share lies, also where the share is met exactly.
    assert parts.quantile([0.0, 0.25, 0.26, 0.75, 0.76, 1.0]).tolist() == [-1.0, -1.0, 0.25, 0.25, 1.0, 1.0]
    drawn = parts.sample(np.random.default_rng(1), 4000)
    assert set(drawn.tolist()) == {-1.0, 0.25, 1.0}
    assert np.mean(drawn == 0.25) == pytest.approx(0.5, abs=0.04)  # five standard errors


def test_a_small_probability_is_said_no_smaller_than_a_model_can_be_trusted():
    assert Probability(1e-13, Method.EXACT).said == "below 1e-12"
    assert Probability(0.0, Method.EXACT).said == "0"
    assert Probability(0.0, Method.SAMPLING, standard_error=4e-6).said == "below 4e-06"


def test_a_sum_that_is_shown_names_its_largest_drivers_and_counts_the_others():
    shown = combine([(1.0, dimension(5.0, plus=0.01 * i, name=f"part {i}")) for i in range(1, 21)])._repr_html_()
    named = [i for i in range(1, 21) if f">part {i}<" in shown]
    assert named == list(range(21 - len(named), 21))
    assert f">{20 - len(named)} more<" in shown


def test_members_drawn_together_and_alone_keep_their_own_spread():
    a, b = correlated([dimension(0.0, plus=0.3, name=name, spread=Normal(3.0)) for name in "ab"], 0.8)
    total = a + b + dimension(0.0, plus=0.3, name="c")
    drawn = total.sample(40_000, seed=3)
    # 2 (1 + 0.8) 0.1² of the pair and 0.3²/3 of the uniform one
    assert drawn.var() == pytest.approx(0.036 + 0.03, rel=0.05)
    assert not np.array_equal(total.sample(5, seed=None), total.sample(5, seed=None))


def test_a_name_alone_is_one_dimension_to_be_toleranced():
    assert in_proportion(A + B, "spacer", half_width=0.2) == pytest.approx({"spacer": 0.2 - B.half_width})
