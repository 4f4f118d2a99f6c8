"""What a finding keeps of how its quantity is spread: enough to draw it, and no more than a figure shows."""

import numpy as np
import pytest
from asked import TUBE
from scipy import integrate
from screw_inputs import SCREW

import fitcheck as fc
from fitcheck.questions import SetScrew
from fitcheck.questions.finding import Requirement, Verdict
from fitcheck.questions.judge import Topic, judge
from fitcheck.questions.shape import hills, shape, tails
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
    assert len(found.places) == len(found.heights) > 200


@pytest.mark.parametrize("quantity", [
    fc.dim("10 ± 0.1") + fc.dim("2 ± 0.05"),
    fc.response(lambda a, b: a * b, a=fc.dim("10 ± 0.1"), b=fc.dim("2 ± 0.05")),
])  # fmt: skip
def test_a_shape_is_a_density_and_its_tail_the_probability(quantity):
    places, heights = map(np.array, shape(quantity))
    assert np.all(np.diff(places) >= 0)
    assert integrate.trapezoid(heights, places) == pytest.approx(1.0, abs=2e-3)
    at = quantity.nominal * 0.998
    below = places <= at
    area = integrate.trapezoid(heights[below], places[below])
    assert area == pytest.approx(float(quantity.probability(below=at)), abs=0.015)


def rough(heights):
    """The largest bend of a curve between neighbours, of its height; the corners of a triangle bend by 0.02."""
    inner = np.array(heights)[4:-4]
    return np.abs(np.diff(inner, 2)).max() / inner.max()


def test_a_function_has_a_smooth_density_without_the_noise_of_samples():
    a, b = fc.dim("10 ± 0.3, normal"), fc.dim("9 ± 0.3, normal")
    known, found = (a - b).exact(), shape(fc.response(lambda a, b: a - b, a=a, b=b, unit=fc.units.MM))
    at = np.array(found.places)
    assert np.array(found.heights)[2:-2] == pytest.approx(known.pdf(at)[2:-2], abs=0.02 * max(found.heights))
    flat = shape(fc.response(lambda x: x + 0.0, x=fc.dim("5 ± 1"), unit=fc.units.MM))
    assert [h for h in flat.heights if h > 0] == pytest.approx([0.5] * 200, rel=1e-3)
    for one in (found, shape(SetScrew.read(SCREW).strip_torque), shape(SetScrew.read(SCREW).strip_margin)):
        assert rough(one.heights) < 0.03


def test_two_hills_are_true_densities_with_the_end_of_both():
    borne, put_on = fc.response(lambda a: a**2, a=fc.dim("3 ± 0.5"), unit=fc.units.MM), fc.dim("4 ± 1")
    found = hills(borne, put_on)
    for one in (found.borne, found.put_on):
        assert integrate.trapezoid(one.heights, one.places) == pytest.approx(1.0, abs=0.01)
    # The share 0.995 of 2.5 to 3.5 lies below 3.495.
    assert found.most == pytest.approx(3.495**2, rel=1e-3)
    assert hills(borne, fc.dim("40 ± 1")).most == 41.0
    still = hills(borne, fc.dim("4"))
    assert (still.put_on, still.put_on_at) == (None, 4.0)
    assert hills(fc.response(lambda a: 0 * a, a=fc.dim("3 ± 0.5"), unit=fc.units.MM), put_on).borne is None


def test_a_strip_finding_is_drawn_from_itself_alone():
    drawing = SetScrew.read(SCREW).findings()[0].drawing
    assert drawing.unit.text == "N·m"
    strip, hand = drawing.spreads()[:2]
    asked = SetScrew.read(SCREW)
    drawn = np.sort(asked.strip_torque.sample(50_000))
    x, dense = map(np.array, strip)
    below = np.cumsum(np.diff(x, prepend=x[0]) * (dense + np.append(dense[0], dense[:-1])) / 2)
    for share in (0.1, 0.5, 0.9):
        assert np.interp(share, below, strip.places) == pytest.approx(np.quantile(drawn, share), rel=0.02)
    assert np.average(hand.places, weights=hand.heights) == pytest.approx(asked.hand_torque.nominal, rel=0.02)


def test_the_chart_of_short_threads_is_the_model_and_the_tests():
    chart = strip_chart()
    assert all(low < middle < high for low, middle, high in zip(chart.low, chart.middle, chart.high, strict=True))
    assert set(chart.tests) == {"aluminium", "steel"}
    every = [test for own in chart.tests.values() for test in own]
    inside = [np.interp(n, chart.threads, chart.low) < r < np.interp(n, chart.threads, chart.high) for n, r in every]
    assert np.mean(inside) > 0.8


def test_what_is_known_from_one_side_only_has_no_shape():
    """A torque that was in vain is the least it takes: how far the tube is from coming loose has no density."""
    body = {key: value for key, value in TUBE.items() if key != "seized"}
    vain, *_ = fc.ask("handling", **body, in_vain="60 ± 5 N·m")
    assert vain.verdict is Verdict.FAILS
    assert vain.shape is None
    known, *_ = fc.ask("handling", **body, seized="200 ± 50 N·m")
    assert known.shape is not None


def test_a_spread_and_what_lies_beyond_a_limit_agree():
    for quantity in (fc.dim("10 ± 0.3"), fc.dim("10 ± 0.3").exact()):
        found = tails(quantity, below=9.8, above=10.2)
        assert [one.side for one in found.beyond] == ["below", "above"]
        assert [float(one.probability) for one in found.beyond] == pytest.approx([1 / 6, 1 / 6])
