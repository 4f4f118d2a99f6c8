"""A plot of any spread, sum or response in one call: where it lies, its tails, and what is outside two limits."""

import math
from functools import partial

import numpy as np
import pytest
from matplotlib.text import Text

import fitcheck as fc
from fitcheck import stack
from fitcheck.errors import InputError, UnitError
from fitcheck.stack.curve import curve
from fitcheck.units import MM, unit

TIED = stack.correlated([fc.dim("10 ± 0.3"), fc.dim("5 ± 0.3")], 0.9)


def product(a, b):
    return a * b


def difference(a, b):
    return a - b


def area(found):
    return float(np.sum(found.heights) * np.median(np.diff(found.places)))


def words(ax):
    return [text.get_text() for text in ax.figure.findobj(Text) if text.get_text()]


KINDS = {
    "dimension": lambda: fc.dim("10 ± 0.1", name="spacer"),
    "sum": lambda: fc.dim("40 H7") - fc.dim("40 k6"),
    "normal and uniform": lambda: fc.dim("10 ± 0.1, normal") + fc.dim("0.5 ± 0.002 in"),
    "inspected": lambda: stack.inspected([0.5, 0.51, 0.52, 0.55, 0.5]),
    "inspected among others": lambda: stack.inspected([0.5, 0.51, 0.52, 0.55, 0.5]) + fc.dim("2 ± 0.1"),
    "measured": lambda: fc.dim("12.43 measured ± 0.02"),
    "correlated, not normal": lambda: TIED[0] + TIED[1],
    "response": lambda: fc.response(product, a=fc.dim("10 ± 0.1"), b=fc.dim("5 ± 0.1, normal")),
    "distribution": lambda: (fc.dim("40 H7") - fc.dim("40 k6")).exact(),
    **{kind.__name__: kind for kind in (stack.Uniform, stack.Triangular, stack.Arcsine)},
    "beta": partial(stack.Beta, 0.5, 3.0),
    "Student t": partial(stack.StudentT, 3.0),
    "normal": partial(stack.Normal, 3.0),
}


@pytest.mark.parametrize("made", KINDS.values(), ids=KINDS)
def test_whatever_is_spread_is_plotted_in_one_call(made):
    quantity = made()
    found = curve(quantity)
    assert area(found) == pytest.approx(1, abs=0.01)
    assert np.all(np.diff(found.places) > 0)
    ax = quantity.plot()
    assert ax._repr_svg_().startswith("<svg")
    said = words(ax)
    assert {"density", "probability further out", "probability further out (right)"} <= {
        one.partition(",")[0] for one in said
    }
    assert all(math.isfinite(end) for end in (*ax.get_xlim(), *ax.get_ylim()))


def test_the_density_of_a_sum_is_exact():
    gap = KINDS["sum"]()
    found = curve(gap)
    inside = found.heights > 0
    assert not found.sampled
    middle = np.flatnonzero(inside)[1:-1]  # the first and last are means of their steps
    assert found.heights[middle] == pytest.approx(gap.exact().pdf(found.places[middle]), rel=1e-12)
    assert found.below[inside] == pytest.approx(gap.exact().cdf(found.places[inside]), rel=1e-9)


def test_the_density_of_a_function_is_smooth_and_its_tails_are_right():
    a, b = fc.dim("10 ± 0.3, normal"), fc.dim("9 ± 0.2, uniform")
    known, found = (a - b).exact(), curve(fc.response(difference, a=a, b=b, unit=MM))
    inside = found.heights > 0
    assert found.sampled
    highest = found.heights.max()
    assert found.heights[inside] == pytest.approx(known.pdf(found.places[inside]), rel=0.002, abs=0.002 * highest)
    for told, true in ((found.below, known.cdf), (found.above, known.sf)):
        kept = np.isfinite(told) & (told > 0) & (told < 0.5)
        assert told[kept].min() < 3e-6
        assert told[kept] == pytest.approx(true(found.places[kept]), rel=0.08)  # the width of a line


def test_a_flat_density_of_a_function_is_flat():
    found = curve(fc.response(lambda x: x + 0.0, x=fc.dim("5 ± 1"), unit=MM))
    inside = found.heights[found.heights > 0]
    assert inside == pytest.approx(np.full(len(inside), 0.5), rel=1e-4)


def test_what_lies_outside_is_written_with_its_probability():
    gap = KINDS["sum"]()
    said = words(gap.plot(below=0, above="0.0005 in"))
    assert f"below 0.000 mm: {gap.probability(below=0).said}" in said
    assert "below 0.000 mm: 0.40" in said
    assert f"above 0.0127 mm: {gap.probability(above='0.0005 in').said}" in said
    assert {"sum of 2, mm", "density, 1/mm", "nominal 0.000 mm", "worst case -0.018 to 0.023 mm"} <= set(said)


def test_a_plot_is_in_the_unit_of_the_quantity():
    ax = fc.dim("0.500 ± 0.002 in", name="collar").plot(below="12.67 mm")
    assert ax.get_xlim() == pytest.approx((0.498, 0.502), abs=2e-4)
    assert max(line.get_ylim()[1] for line in ax.figure.axes) == pytest.approx(1.1 * 250, rel=0.01)
    assert {"collar, in", "density, 1/in"} <= set(words(ax))
    force = fc.response(product, a=fc.dim("10 ± 0.1"), b=fc.dim("5 ± 0.1"), unit=unit("lbf"), name="pull")
    assert "pull, lbf" in words(force.plot())


def test_a_limit_far_outside_is_shown_too():
    assert fc.dim("5 ± 1").plot(above=50).get_xlim()[1] > 50
    rare = fc.dim("10 ± 0.3, normal") - fc.dim("9 ± 0.3, normal")
    right = rare.plot(below=0.05).figure.axes[1]
    assert right.get_ylim()[0] < rare.probability(below=0.05) < 1e-8


def test_what_cannot_be_plotted_is_refused_in_a_line():
    with pytest.raises(InputError, match="nothing varies"):
        fc.dim("5").plot()
    with pytest.raises(InputError, match="nothing varies"):
        (fc.dim("5") + 2).plot()
    with pytest.raises(InputError, match="nothing varies"):
        fc.response(lambda a: 0.0 * a, a=fc.dim("5 ± 1")).plot()
    with pytest.raises(InputError, match="cannot be plotted: a dimension, a sum"):
        curve("5 ± 1")
    with pytest.raises(UnitError, match="below = '3 N' is a force"):
        fc.dim("5 ± 1").plot(below="3 N")
    with pytest.raises(InputError, match="must not exceed above"):
        fc.dim("5 ± 1").plot(below=6, above=5)
