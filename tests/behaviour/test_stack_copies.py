"""What is copied, pickled or sent to another process answers as before."""

import copy
import multiprocessing
import pickle
from concurrent.futures import ProcessPoolExecutor

import numpy as np
import pytest
from asked import EVERY_QUESTION, findings_of

import fitcheck as fc
from fitcheck.stack import Beta, Method, Required, any_fails, combine, correlated, dimension, inspected, measured
from fitcheck.stack.system import Least, LeastOfSums
from fitcheck.units import KINDS


def pickled(what):
    return pickle.loads(pickle.dumps(what))


BOTH = pytest.mark.parametrize("again", [pickled, copy.deepcopy])


def product(a, b):
    return a * b


def np_sum(a, b):
    return np.add(a, b)


@BOTH
def test_a_dimension_stays_a_length_of_an_assumed_spread(again):
    made = again(fc.dim("10 ± 0.1"))
    assert (made - fc.dim("1 ± 0.1")).worst_case() == pytest.approx((8.8, 9.2))
    assert made.assumed == (made,)
    assert "spread assumed uniform" in made.probability(below=9.95).reason
    assert again(fc.dim("10 ± 0.1, uniform")).assumed == ()
    assert [again(kind) is kind for kind in KINDS] == [True] * len(KINDS)


@BOTH
@pytest.mark.parametrize(
    "d",
    [
        dimension(10.0, plus=0.1, spread="truncated normal"),
        dimension(10.0, plus=0.1, spread=Beta(2.0, 3.0)),
        inspected([9.9, 10.0, 10.05]),
        measured(10.0, 0.02),
    ],
)
def test_every_spread_and_its_sum(d, again):
    total = d - dimension(2.0, plus=0.3, spread="arcsine") + 1.0
    asked = total.probability(below=8.9), total.interval(0.9), total.worst_case(), total.rss()  # fills what is kept
    made = again(total)
    assert (made.probability(below=8.9), made.interval(0.9), made.worst_case(), made.rss()) == asked
    assert repr(made) == repr(total)


@BOTH
def test_what_is_copied_together_stays_together(again):
    a, b = correlated([dimension(1.0, plus=0.1, spread="normal", name=n) for n in "ab"], 0.8)
    total, first, second = again((a - b, a, b))
    assert (total - first + second).worst_case() == (0.0, 0.0)
    assert total.exact().std == pytest.approx((a - b).exact().std)
    alone = again(a)
    assert (alone - a).worst_case().max == pytest.approx(0.2)  # a copy is another dimension


@BOTH
def test_a_probability_keeps_how_it_was_found(again):
    p = fc.response(product, a=fc.dim("2 ± 0.1"), b=fc.dim("3 ± 0.1")).probability(below=5.9)
    made = again(p)
    assert made == p
    assert type(made) is type(p)
    assert vars(made) == vars(p)
    assert made.method is Method.SAMPLING


@BOTH
def test_responses_of_module_functions(again):
    a, b = fc.dim("2 ± 0.1"), fc.dim("3 ± 0.1")
    first = fc.response(product, a=a, b=b)
    other = fc.response(np_sum, a=a, b=b)
    for what in (first, Least([first, other], name="least"), LeastOfSums([a, b - 1], name="least")):
        asked = what.worst_case(), what.interval(0.9), what.nominal, what.sample(5).tolist()
        made = again(what)
        assert (made.worst_case(), made.interval(0.9), made.nominal, made.sample(5).tolist()) == asked
    assert len(pickle.dumps(first)) < 5000  # without the samples


def risk(parts):
    total, made = parts
    return total.probability(below=4.9), made.probability(below=5.9), any_fails([Required(total, below=4.9)])


def test_a_process_pool():
    a, b = fc.dim("2 ± 0.1"), fc.dim("3 ± 0.1")
    parts = combine([(1, a), (1, b)]), fc.response(product, a=a, b=b)
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        there = list(pool.map(risk, [parts, parts]))
    here = risk(parts)
    assert there == [here, here]
    assert [p.words for p in there[0]] == [p.words for p in here]


@pytest.mark.parametrize("which", EVERY_QUESTION)
def test_every_finding_goes_through_pickle_and_deepcopy(which):
    found = findings_of(which)
    for again in (pickled(found), copy.deepcopy(found)):
        assert [str(one) for one in again] == [str(one) for one in found]
        assert again[0].of.nominal == found[0].of.nominal
