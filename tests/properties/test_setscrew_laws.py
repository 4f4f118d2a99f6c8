"""Laws of the set-screw models: more screw never holds less, strength scales, nothing drawn from a tail breaks them."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ndtr, ndtri
from screw_inputs import SCREW as ASKED

from fitcheck.mechanics import bench_error, short_model, wall_length_range
from fitcheck.mechanics.short_engagement import strip_loads, textbook_loads
from fitcheck.mechanics.wall import engaged_length, standing_tip
from fitcheck.questions import SetScrew, StuckTube
from fitcheck.stack import Interval, Method, Response, dimension
from fitcheck.stack.probability.quantile import low_quantile
from fitcheck.stack.results import Probability

SCREW = SetScrew.read(ASKED)
NOMINAL = {**SCREW.nominal, "hand_torque": 0.4, "friction_bore": 0.3}
TUBE = StuckTube.read(
    {
        "external": "M36x1.5-6g",
        "internal": "M36x1.5-6H",
        "bore": "32 ± 0.1",
        "outside": "40 ± 0.1",
        "external_material": "6061-T6",
        "internal_material": "6061-T6",
        "seized": "25 N·m",
        "friction_tightened": "0.15",
        "friction_loosened": "0.15",
    }
)

walls = st.fixed_dictionaries(
    {
        "outside": st.floats(20, 60),
        "bore": st.floats(12, 19),
        "d": st.floats(1, 8),
        "tip": st.floats(0, 15),
        "screw_length": st.floats(0.5, 30),
        "point_length": st.floats(0, 3),
        "countersink": st.floats(0, 3),
        "countersink_inside": st.floats(0, 3),
        "socket_end": st.floats(0, 2),
    }
)
more = st.floats(0, 5)


@given(walls, more)
def test_more_screw_and_less_countersink_never_engage_less(wall, step):
    length = engaged_length(**wall)
    assert engaged_length(**{**wall, "screw_length": wall["screw_length"] + step}) >= length - 1e-9
    for key in ("point_length", "countersink", "countersink_inside", "socket_end"):
        assert engaged_length(**{**wall, key: wall[key] + step}) <= length + 1e-9


@given(walls)
def test_never_more_than_the_screw_has_nor_than_the_wall_has(wall):
    length = engaged_length(**wall)
    assert 0 <= length <= max(wall["screw_length"] - wall["point_length"] - wall["socket_end"], 0) + 1e-9
    whole = wall_length_range(wall["d"] / 2, wall["bore"] / 2, wall["outside"] / 2)[1]
    assert length <= whole + 1e-9
    # A screw that fills the wall engages all of it.
    full = {
        **wall,
        "tip": 0.0,
        "point_length": 0.0,
        "screw_length": 60.0,
        "countersink": 0.0,
        "countersink_inside": 0.0,
        "socket_end": 0.0,
    }
    assert engaged_length(**full) == pytest.approx(whole, rel=1e-12)


@given(st.lists(st.floats(-50, 50), min_size=9, max_size=9))
def test_what_a_tail_may_draw_holds_nothing_rather_than_failing(values):
    outside, bore, hole, tip, screw_length, point_length, outer, inner, end = values
    sizes = (abs(outside) + 0.1, abs(bore) + 0.1, abs(hole) + 0.1, tip, screw_length, point_length, outer, inner, end)
    assert 0 <= engaged_length(*sizes) <= 60


@given(st.floats(10, 30), st.floats(0.5, 1.5))
def test_the_tip_stands_on_the_blade_and_never_outside_the_bore(bore, part):
    tip = standing_tip(bore * part, bore)
    assert tip == pytest.approx(min(bore * part, bore) - bore / 2)
    assert tip <= bore / 2


@given(st.floats(0.1, 6), st.floats(50, 400), st.floats(0.5, 2), st.floats(-3, 3), st.floats(-2, 2))
def test_strip_loads_scale_with_strength_level_and_scatter(threads, tau, factor, scatter, level):
    sizes = (threads * 0.7, 0.7, 3.9, 3.47, 3.33, 3.6)
    hole, screw = strip_loads(*sizes, tau, 2 * tau, level, scatter)
    more_hole, more_screw = strip_loads(*sizes, factor * tau, factor * 2 * tau, level, scatter)
    assert (more_hole, more_screw) == pytest.approx((factor * hole, factor * screw))
    plain, _ = strip_loads(*sizes, tau, 2 * tau)
    assert hole == pytest.approx(plain * math.exp(scatter + level))
    # Never more than the textbook, whatever the number of threads.
    book, book_screw = textbook_loads(*sizes, tau, 2 * tau)
    median, median_screw = strip_loads(*sizes, tau, 2 * tau)
    assert median < book
    assert median_screw < book_screw
    assert hole / screw == pytest.approx(book / book_screw)


@given(st.floats(0.1, 6), st.floats(-2, 2), st.floats(0.01, 1))
def test_a_better_bench_holds_more_and_more_threads_hold_more(threads, level, step):
    def hole(n, level):
        return strip_loads(n * 0.7, 0.7, 3.9, 3.47, 3.33, 3.6, 174.0, 870.0, level)[0]

    assert hole(threads, level + step) > hole(threads, level)
    assert hole(threads + step, level) > hole(threads, level)
    assert bench_error(threads) > bench_error(threads + step) > short_model().bench.value


@given(st.floats(0.05, 5))
def test_load_and_hold_grow_with_torque_and_the_strip_torque_makes_the_strip_load(torque):
    load = SCREW.load({**NOMINAL, "hand_torque": torque})
    assert load == pytest.approx(SCREW.load(NOMINAL) * torque / 0.4)
    assert SCREW.hold(**{**NOMINAL, "hand_torque": torque}) == pytest.approx(0.6 * load)
    strips = float(SCREW.torque_to_strip(**SCREW.nominal))
    assert SCREW.load({**NOMINAL, "hand_torque": strips}) == pytest.approx(min(SCREW.both_loads(SCREW.nominal)))


@given(st.sampled_from(["friction_thread", "friction_point"]), st.floats(0.01, 0.3))
def test_more_friction_strips_later(which, step):
    rough = {**SCREW.nominal, which: SCREW.nominal[which] + step}
    assert SCREW.torque_to_strip(**rough) > SCREW.torque_to_strip(**SCREW.nominal)


@given(st.floats(-5, -0.001), st.sampled_from(["friction_thread", "friction_point", "point_diameter"]))
def test_a_friction_drawn_below_zero_counts_as_none(value, which):
    none = SCREW.torque_to_strip(**{**SCREW.nominal, which: 0.0})
    assert SCREW.torque_to_strip(**{**SCREW.nominal, which: value}) == none


def test_no_corner_lies_beyond_the_worst_case():
    low, high = SCREW.strip_torque.worst_case()
    rng = np.random.default_rng(3)
    ends = {key: (d.lower, d.upper) for key, d in SCREW.strip_inputs.items()}
    corners = {key: np.array(pair)[rng.integers(0, 2, 20_000)] for key, pair in ends.items()}
    strips = SCREW.torque_to_strip(**corners)
    assert low * (1 - 1e-9) <= strips.min()
    assert strips.max() <= high * (1 + 1e-9)
    # The weakest corner by reasoning: least metal in both threads, least friction, most point, least strength.
    weak = {key: pair[0] for key, pair in ends.items()}
    for key in ("bore", "D1", "D2", "point_length", "countersink", "socket_end"):
        weak[key] = ends[key][1]
    tried = [
        float(SCREW.torque_to_strip(**{**weak, "blade": blade, "bore": bore, "screw_length": length}))
        for blade in ends["blade"]
        for bore in ends["bore"]
        for length in ends["screw_length"]
    ]
    assert low == pytest.approx(min(tried), rel=1e-6)


@settings(max_examples=6, deadline=None)
@given(st.sampled_from([0.01, 1e-3, 1e-5, 1e-7]), st.floats(0.1, 0.5), st.floats(0.2, 20))
def test_the_low_quantile_of_a_lognormal_is_exact(risk, s, median):
    z = dimension(0.0, plus=2.0, spread="normal 2 sigma", name="z")
    strength = Response(lambda z: median * np.exp(s * z), {"z": z}, name="strength", samples=50_000)
    found = math.log(low_quantile(strength, risk) / median) / s
    # Sampling down to 1e-4, importance sampling beyond: both to within a few hundredths of a standard deviation.
    assert found == pytest.approx(float(ndtri(risk)), abs=0.06)


@pytest.mark.parametrize("risk", [1e-3, 1e-5, 1e-7, 1e-9])
def test_the_low_quantile_near_the_end_of_a_zone_is_never_unsafe(risk):
    """Two uniform parts: below 2 + e lies e²/8, so the value of a risk is 2 + √(8 risk), and 2 at worst case."""
    a, b = (dimension(2.0, plus=1.0, spread="uniform", name=name) for name in "ab")
    found = low_quantile(Response(lambda a, b: a + b, {"a": a, "b": b}, name="strength"), risk)
    assert 2.0 <= found <= (2 + math.sqrt(8 * risk)) * 1.002


class Known:
    """A strength whose probabilities are known: `weak` of all pieces bear `least`, the others are lognormal about 1."""

    members = ()

    def __init__(self, weak, least, none):
        self.weak, self.least, self.none = weak, least, none

    def low_end(self, risk):
        share = (risk - self.weak) / (1 - self.weak)
        return math.exp(0.1 * float(ndtri(share))) if share > 0 else self.least

    def worst_case(self):
        return Interval(0.0, math.inf)

    def outside(self, below, above, method="auto"):
        others = float(ndtr(10 * math.log(below))) if below > 0 else 0.0
        p = (self.weak if below > self.least else 0.0) + (1 - self.weak) * others
        return Probability(p, Method.IMPORTANCE, 0.01 * p) if p > 1e-15 else self.none


@pytest.mark.parametrize("weak", [0.0, 2e-6, 3e-5])
@pytest.mark.parametrize("least", [0.05, 0.5])
@pytest.mark.parametrize("none", [Probability(0.0, Method.WORST_CASE), Probability(0.0, Method.SAMPLING, 1e-6)])
def test_a_strength_with_a_few_weak_pieces_is_never_overrated(weak, least, none):
    # Between the weak pieces and the others lies a gap over which the probability does not change; below, none fails.
    strength = Known(weak, least, none)
    for risk in (1e-5, 1e-6, 1e-8):  # those that are searched for; between them the value is interpolated
        found = low_quantile(strength, risk)
        assert strength.outside(found, None) <= 1.03 * risk
        assert found >= 0


def test_less_risk_never_gives_more_torque():
    borne = TUBE.torque_borne
    risks = [1e-3, 2e-4, 1.01e-4, 9.9e-5, 5e-5, 3e-5, 2e-5, 1e-5, 5e-6, 1e-6, 1e-8, 1e-20]
    found = [low_quantile(borne, risk) for risk in risks]
    assert found == sorted(found, reverse=True)
    assert found[-1] == pytest.approx(borne.worst_case().min)
    for risk, value in zip(risks[:9], found, strict=False):
        assert borne.probability(below=value) == pytest.approx(risk, rel=0.2)


@given(st.floats(1, 60), st.floats(0.5, 2))
def test_a_clean_thread_takes_less_to_loosen_than_it_was_tightened_with(seized, harder):
    inputs = {**TUBE.twist.inputs, **TUBE.loosening.inputs}
    v = {**{k: d.nominal for k, d in inputs.items()}, "seized": seized, "harder": harder}
    taken = float(TUBE.loosening.takes(v))
    assert taken < seized * harder
    # T = F (P/2pi + f) on, F (f - P/2pi) off, with f the friction arm: their difference over their sum is P/2pi over f.
    f = 0.15 * v["d2"] / (2 * math.cos(math.pi / 6)) + 0.15 * (v["wall_n"] + 36) / 4
    lift = 1.5 / (2 * math.pi)
    assert taken == pytest.approx(seized * harder * (f - lift) / (f + lift))
    doubled = {**v, "Rp_s": 2 * v["Rp_s"], "Rp_n": 2 * v["Rp_n"]}
    for where, torque in TUBE.twist.bears(v).items():
        assert TUBE.twist.bears(doubled)[where] == pytest.approx(2 * torque)
