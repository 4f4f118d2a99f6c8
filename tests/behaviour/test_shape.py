"""What a finding keeps of how its quantity is spread: enough to draw it, and no more than a figure shows."""

import numpy as np
import pytest
from screw_inputs import SCREW

import fitcheck as fc
from fitcheck.questions import SetScrew
from fitcheck.questions.finding import Requirement, Verdict
from fitcheck.questions.judge import Topic, judge
from fitcheck.questions.shape import bars, shape
from fitcheck.questions.short_threads import strip_chart


def judged(quantity, at_least):
    return judge(Topic(""), quantity, Requirement(at_least=at_least), label="", answer="")


def test_a_finding_keeps_a_shape_where_it_does_not_hold_and_something_varies():
    total = fc.dim("10 ± 0.1") + fc.dim("2 ± 0.1")
    assert judged(total, 11.7).verdict is Verdict.HOLDS
    assert judged(total, 11.7).shape is None
    assert judged(fc.dim("10") + 1.0, 12.0).shape is None
    found = judged(total, 11.9).shape
    assert found == shape(total)
    assert len(found.places) == len(found.heights) == 241


@pytest.mark.parametrize("quantity", [
    fc.dim("10 ± 0.1") + fc.dim("2 ± 0.05"),
    fc.response(lambda a, b: a * b, a=fc.dim("10 ± 0.1"), b=fc.dim("2 ± 0.05")),
])  # fmt: skip
def test_a_shape_is_a_density_and_its_tail_the_probability(quantity):
    places, heights = map(np.array, shape(quantity))
    assert np.all(np.diff(places) >= 0)
    assert np.trapezoid(heights, places) == pytest.approx(1.0, abs=2e-3)
    at = quantity.nominal * 0.998
    below = places <= at
    area = np.trapezoid(heights[below], places[below])
    assert area == pytest.approx(float(quantity.probability(below=at)), abs=0.015)


def test_bars_hold_every_draw_but_the_highest_few_of_the_first():
    first = fc.response(lambda a: a**2, a=fc.dim("3 ± 0.5"))
    second = fc.dim("4 ± 1")
    found = bars(first, second, at_least=5.0)
    assert len(found.edges) == 90
    assert [len(row) for row in found.heights] == [89, 89]
    # To one scale: the areas under both are equal, but for what lies beyond the last bar; the sum is exact and flat.
    assert max(map(max, found.heights)) == 1.0
    first_area, second_area = (sum(row) for row in found.heights)
    assert first_area == pytest.approx(second_area, rel=0.01)
    inner = [height for height in found.heights[1] if height > 0][1:-1]
    assert max(inner) == pytest.approx(min(inner), rel=1e-9)
    middle = (np.array(found.edges[1:]) + found.edges[:-1]) / 2
    for row, quantity in zip(found.heights, (first, second), strict=True):
        low, high = quantity.worst_case()
        drawn = middle[np.array(row) > 0]
        step = found.edges[1]
        assert low - step <= drawn.min()
        assert drawn.max() <= high + step
    assert bars(first, second, at_least=50.0).edges[-1] == pytest.approx(52.5)


def test_a_strip_finding_is_drawn_from_itself_alone():
    drawing = SetScrew.read(SCREW).findings()[0].drawing
    assert drawing.unit.text == "N·m"
    strip, hand = drawing.spreads.heights
    middle = (np.array(drawing.spreads.edges[1:]) + drawing.spreads.edges[:-1]) / 2
    asked = SetScrew.read(SCREW)
    assert np.average(middle, weights=strip) == pytest.approx(asked.strip_torque.sample(50_000).mean(), rel=0.02)
    assert np.average(middle, weights=hand) == pytest.approx(asked.hand_torque.nominal, rel=0.02)


def test_the_chart_of_short_threads_is_the_model_and_the_tests():
    chart = strip_chart()
    assert all(low < middle < high for low, middle, high in zip(chart.low, chart.middle, chart.high, strict=True))
    assert set(chart.tests) == {"aluminium", "steel"}
    every = [test for own in chart.tests.values() for test in own]
    inside = [np.interp(n, chart.threads, chart.low) < r < np.interp(n, chart.threads, chart.high) for n, r in every]
    assert np.mean(inside) > 0.8
