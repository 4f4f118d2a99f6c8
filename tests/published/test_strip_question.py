"""The set-screw question against arithmetic of its own, closed forms, and the published pull-out tests it rests on.

Sources: ISO 965-1 limits of M4 (tests/reference/iso_limits.csv checks them), `tests/reference/strip_tests.csv` (makers'
laboratory tables, cited row by row there), VDI 2230-1, 5.4.1. Statistics: the ratio of two lognormal quantities is
lognormal (any textbook of probability). `pytest -s` prints the ratio table.
"""

import csv
import math
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import ndtr
from scipy.stats import t as student_t

from fitcheck.mechanics import bench_error, hand_torque, material, short_engagement_factor, short_model
from fitcheck.mechanics.strip_fit import strip_tests
from fitcheck.questions import SetScrew
from fitcheck.stack import Response, dimension
from fitcheck.tables import table

LBF = 4.4482216152605
REFERENCE = Path(__file__).parent.parent / "reference"

EXACT = {
    "hole": "M4x0.7-6H",
    "screw": "M4x0.7-6g",
    "outside": "30.0",
    "bore": "25.4",
    "blade": "25.0",
    "screw_length": "4.0",
    "point_length": "1.2",
    "point_diameter": "1.9",
    "countersink": "0.2",
    "countersink_inside": "0.1",
    "tapped": "guided",
    "wall_material": "6061-T6",
    "screw_material": "45H",
    "friction_thread": "0.15",
    "friction_point": "0.3",
    "friction_bore": "0.3",
    "hand_torque": "0.8 N·m",
    "pull": "60 N",
}


@pytest.fixture(scope="module")
def question():
    return SetScrew.read(EXACT)


def test_the_strip_torque_by_arithmetic_of_its_own(question):
    """The whole chain for one screw, from ISO 965-1 limits (mm) to newton metres."""
    d, d2 = (3.978 + 3.838) / 2, (3.523 + 3.433) / 2
    D1, D2 = (3.422 + 3.242) / 2, (3.663 + 3.545) / 2
    r, Ri, Ro, tip = d / 2, 12.7, 15.0, 25.0 - 12.7

    def length(angle):
        y2 = (r * math.sin(angle)) ** 2
        top = min(math.sqrt(Ro**2 - y2), Ro - 0.2, tip + 4.0)
        bottom = max(math.sqrt(Ri**2 - y2), math.sqrt(Ri**2 - r**2) + 0.1, tip + 1.2)
        return max(top - bottom, 0.0)

    LE = float(np.mean([length(angle) for angle in (np.arange(10_000) + 0.5) * math.pi / 20_000]))
    area = math.pi * LE / 0.7 * d * (0.35 + (d - D2) / math.sqrt(3))
    n = LE / 0.7
    assert question.threads_engaged.nominal == pytest.approx(n, rel=1e-5)
    model = short_model()
    # As the tests were reckoned: 0.6 of the least tensile strength, and the area of the worst limits.
    tau = 0.6 * 289.6
    limits = 3.838 * (0.35 + (3.838 - 3.663) / math.sqrt(3)) / (d * (0.35 + (d - D2) / math.sqrt(3)))
    load = tau * area * limits * n / (n + model.half.value)
    arm = 0.7 / (2 * math.pi) + 0.15 * d2 / (2 * math.cos(math.pi / 6)) + 0.3 * 0.95
    assert question.torque_to_strip(**question.nominal) == pytest.approx(load * arm / 1000, rel=1e-5)
    assert question.torque_to_strip(textbook=True, **question.nominal) == pytest.approx(
        tau * area * arm / 1000, rel=1e-5
    )
    # The screw's own thread, of 0.6 times the least of its tensile strength, holds more.
    screw = math.pi * LE / 0.7 * D1 * (0.35 + (d2 - D1) / math.sqrt(3)) * 0.6 * material("45H").tensile.lower
    assert question.both_loads(question.nominal, textbook=True)[1] == pytest.approx(screw, rel=1e-5)
    assert screw > tau * area


def fixed(question, *spread):
    """The inputs of the strip torque without their zones, but for those named."""
    return {
        key: d if key in spread else dimension(d.nominal, name=key, unit=d.unit)
        for key, d in question.strip_inputs.items()
    }


@pytest.mark.parametrize("torque", [0.5, 0.8, 1.2])
def test_lognormal_strength_against_a_fixed_torque(question, torque):
    strip = Response(question.torque_to_strip, fixed(question, "scatter"), name="strip torque")
    s = short_model().next_scatter
    exact = float(ndtr(math.log(torque / strip.nominal) / s))
    found = strip.probability(below=torque)
    assert found == pytest.approx(exact, abs=max(5 * found.standard_error, 1e-3 * exact))


@pytest.mark.parametrize("median", [0.3, 0.5, 0.9])
def test_lognormal_torque_against_lognormal_strength(question, median):
    """P(strip < hand) = Φ(-ln(strip/hand) / sqrt(s² + t²)), from a few per cent down to one in ten thousand."""
    t = 0.15
    hand = dimension(0.0, plus=2.0, spread="normal 2 sigma", name="hand")

    def margin(hand, **v):
        return question.torque_to_strip(**v) / (median * np.exp(t * hand))

    ratio = Response(margin, {**fixed(question, "scatter"), "hand": hand}, name="margin")
    exact = float(ndtr(-math.log(ratio.nominal) / math.hypot(short_model().next_scatter, t)))
    found = ratio.probability(below=1.0)
    assert found == pytest.approx(exact, abs=max(5 * found.standard_error, 1e-3 * exact))
    assert found.standard_error < 0.15 * exact


def test_the_level_of_the_bench_by_quadrature(question):
    """With the level of the bench unknown as well, the probability is an integral over Student t."""
    strip = Response(question.torque_to_strip, fixed(question, "scatter", "bench"), name="strip torque")
    s, torque = short_model().next_scatter, 0.4
    error = float(bench_error(question.threads_engaged.nominal))

    def given(bench):
        median = strip.nominal * math.exp(bench * error)
        return float(student_t(4).pdf(bench)) * float(ndtr(math.log(torque / median) / s))

    exact = quad(given, -60, 60, limit=400)[0]
    found = strip.probability(below=torque)
    assert found == pytest.approx(exact, abs=max(5 * found.standard_error, 1e-3 * exact))
    # Knowing the bench less well makes stripping likelier.
    assert exact > float(ndtr(math.log(torque / strip.nominal) / s))


def test_the_table_behind_the_figure_is_that_of_the_tests():
    """tables/strip_tests.csv holds, rounded, what the references give with areas of 2A/2B limits.

    Of spaced threads, with the area of the basic profile.
    """
    sizes = {"1/4-20": (20, 0.2408, 0.2224), "#12-24": (24, 0.2078, 0.1933), "5/16-18": (18, 0.3026, 0.2817)}
    shown = {row["id"]: row for row in table("strip_tests", {"threads": float, "ratio": float}).rows}
    compared = 0
    with (REFERENCE / "strip_tests.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            if not row["stated_min_tensile_MPa"]:
                assert row["id"] not in shown
                continue
            tpi, d_min, D2_max = sizes[row["thread"]]
            P, wall = 25.4 / tpi, float(row["wall_mm"])
            area = math.pi * wall / P * 25.4 * d_min * (P / 2 + 25.4 * (d_min - D2_max) / math.sqrt(3))
            ratio = float(row["pull_out_load"]) * LBF / (0.6 * float(row["stated_min_tensile_MPa"]) * area)
            assert shown[row["id"]]["ratio"] == pytest.approx(ratio, abs=6e-4)
            assert shown[row["id"]]["threads"] == pytest.approx(wall / P, abs=6e-4)
            compared += 1
    diameters = {"#10-16": 0.190, "#12-14": 0.216, "1/4-14": 0.25}
    with (REFERENCE / "strip_tests_spaced.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            P, wall = float(row["pitch_mm"]), 25.4 * float(Fraction(row["wall_in"]))
            # The basic profile: d - d2 = 3/4 H, so the tooth is P/2 + 3/8 P = 7/8 P thick at d.
            area = math.pi * wall / P * 25.4 * diameters[row["thread"]] * 0.875 * P
            ratio = float(row["pull_out_load"]) * LBF / (0.6 * float(row["stated_min_tensile_MPa"]) * area)
            assert shown[row["id"]]["ratio"] == pytest.approx(ratio, abs=6e-4)
            assert shown[row["id"]]["threads"] == pytest.approx(wall / P, abs=2e-3)
            compared += 1
    assert compared == len(shown) == 51
    assert len({row["laboratory"] for row in shown.values()}) == 5


def test_ratio_table_of_tests_model_and_textbook_by_threads():
    tests = strip_tests()
    lines = ["threads  tests  test/textbook  test/model"]
    for low, high in ((0.8, 1.3), (1.3, 1.7), (1.7, 2.3), (2.3, 2.7), (2.7, 4.0), (4.0, 8.0)):
        own = (low < tests.threads) & (tests.threads <= high)
        book = tests.ratio[own]
        model = book / short_engagement_factor(tests.threads[own])
        lines.append(f"{low:.1f}-{high:.1f} {own.sum():8d} {book.mean():14.2f} {model.mean():11.2f}")
        assert 0.75 < np.exp(np.log(model).mean()) < 1.3, (low, high)
    print("\n" + "\n".join(lines))
    assert tests.threads.max() < 8


def test_common_practice_of_fingers_and_of_a_full_pull():
    """Common practice, no source: finger-tight in two threads of M4 in 6061-T6 is safe; a full pull is not.

    The tests of other benches say so with no more than a few in a thousand or a hundred: a bench may be a poor one.
    """
    asked = {**EXACT, "countersink": "0", "countersink_inside": "0", "blade": "25.0 ± 0.1", "screw_length": "4.0 ± 0.2"}
    asked |= {"friction_thread": "C", "friction_point": "C"}
    driver, fingers, pull = (
        SetScrew.read({**asked, "hand_torque": name}) for name in ("finger driver", "fingers", "full pull")
    )
    assert 1.9 < fingers.threads_engaged.nominal < 2.7
    assert driver.strip_margin.probability(below=1.0) < 0.005
    assert fingers.strip_margin.probability(below=1.0) < 0.03
    assert pull.strip_margin.probability(below=1.0) > 0.99
    assert hand_torque("fingers").middle < fingers.strip_torque.nominal / 2
