"""A blade that is a tube under its set screws. All numbers are invented."""

import math
import re

import numpy as np
import pytest
from screw_inputs import SCREW

import fitcheck as fc
from fitcheck.errors import InputError, TableError
from fitcheck.mechanics.ring import pressed_width, ring_stress, tube_flattening
from fitcheck.questions import SetScrew, Verdict
from fitcheck.questions.set_screw.torque_limits import Gives, advised_torque, torque_limits

TUBE = {
    **SCREW,
    "blade_material": "polycarbonate",
    "blade_bore": "21.0 ± 0.15",
    "hand_torque": "0.04 ± 0.01 N·m",
    "pull": "5 N",
}
R, T = 11.5, 2.0


def _tube(**change):
    return fc.ask("set_screw", **{**TUBE, **change})[2]


def test_the_wall_gives_way_at_the_stress_of_a_pressed_ring():
    question = SetScrew.read(TUBE)
    stress = float(ring_stress(1.0, R, T, pressed_width(R, T, 1.9), [0.0]))
    load = 62.1 / stress
    # One screw: bending 6 R/(π b t²) but for the curvature of the bar, a few percent.
    assert stress == pytest.approx(6 * R / (math.pi * pressed_width(R, T, 1.9) * T**2), rel=0.08)
    torque = load * float(np.asarray(question.lever(question.nominal))) / 1000
    assert question.blade_torque.nominal == pytest.approx(torque, rel=1e-6)
    limits = {limit.basis: limit for limit in torque_limits(question)}
    assert limits["the tube begins to yield, nominal"].kind is Gives.BLADE
    assert limits["the tube begins to yield, nominal"].torque == pytest.approx(torque, rel=1e-6)
    found = _tube()
    flat = float(tube_flattening(question.load({**question.nominal, "hand_torque": 0.04}), R, T, 2380.0))
    assert f"{flat:.2f} mm at 0.04 N·m" in found.details["flattened"]
    assert found.nominal == pytest.approx(torque / 0.04, rel=1e-6)


def test_what_is_safe_for_the_blade_is_so_by_plain_sampling():
    question = SetScrew.read(TUBE)
    drawn = question.blade_torque.sample(300_000, seed=9)
    missed = (drawn < question.safe_for_blade).mean()
    assert missed <= 0.001 + 5 * math.sqrt(0.001 / 300_000)
    assert (drawn < 1.1 * question.safe_for_blade).mean() > 0.001
    assert advised_torque(question).kind is Gives.BLADE


def test_the_advised_torque_meets_the_blade_and_the_hold_is_judged_at_it():
    strong = fc.ask("set_screw", **{**TUBE, "hand_torque": "0.30 ± 0.02 N·m"})
    strip, hold, tube = strong[:3]
    assert tube.verdict is Verdict.FAILS
    assert "the blade gives way before the thread, so no more than" in strip.answer
    assert "since the hand torque is too much for the blade" in hold.answer
    safe = SetScrew.read(TUBE).safe_for_blade
    again = _tube(hand_torque=f"{0.99 * safe} N·m")
    assert again.verdict is not Verdict.FAILS
    assert tube.change[0].startswith("glue a plug into the blade")
    # What the wall gives way by is told at either torque, and is in proportion to it.
    told = re.findall(r"([\d.]+) mm at ([\d.]+) N·m", tube.details["flattened"])
    (by_hand, hand), (by_safe, advised) = ((float(by), float(torque)) for by, torque in told)
    assert hand == 0.3
    assert 0.95 * safe < advised <= safe
    assert by_safe == pytest.approx(by_hand * advised / hand, abs=0.01)
    # Where the hand puts on less than that, there is nothing to turn down to.
    assert "and" not in _tube().details["flattened"].split(",")[0]


def test_a_blade_without_a_bore_is_solid_and_that_is_said():
    strip, hold = fc.ask("set_screw", **{key: value for key, value in TUBE.items() if key != "blade_bore"})
    assert any("for a tube give blade_bore" in line for line in hold.assumptions)
    assert not any("give blade_bore" in line for line in fc.ask("set_screw", **TUBE)[1].assumptions)
    assert "blade gives way" not in strip.answer


def test_a_thicker_wall_bears_more_and_a_near_end_less():
    thin, thick = (SetScrew.read({**TUBE, "blade_bore": bore}).blade_torque.nominal for bore in ("22", "19"))
    assert thick > 3 * thin
    placed = {"screws_at": ["36.5"], "seated": "38.5", "blade_out": "700"}
    inside, ending = (SetScrew.read({**TUBE, **placed, **at}).blade_torque.nominal for at in ({"seated": "90"}, {}))
    width = float(pressed_width(R, T, 1.9))
    assert ending / inside == pytest.approx((width / 2 + 2.0) / width)


def test_screws_at_one_place_share_the_wall():
    def bears(**change):
        return SetScrew.read({**TUBE, **change}).blade_torque.nominal

    one, line = bears(), {"screws": 2, "angles": ["0 deg", "0 deg"]}
    apart = {"seated": "90", "blade_out": "700", "screws_at": ["12", "40"]}
    # The curvature adds the same to each, so that two in one place bear half, not less.
    assert bears(screws=2) == pytest.approx(one / 2)
    assert bears(**line) == pytest.approx(one / 2)
    assert bears(**line, **apart) == pytest.approx(one)
    assert bears(**line, **{**apart, "screws_at": ["12", "16"]}) == pytest.approx(one / 2)
    around = {"screws": 3, "angles": ["0 deg", "120 deg", "240 deg"]}
    assert bears(**around) == pytest.approx(one), "three at 120° bend it less than one against the bore"


def test_a_brittle_blade_cracks():
    assert "it cracks from about" in _tube(blade_material="PMMA").answer
    assert "it yields from about" in _tube(blade_material="6061-T6").answer


def test_in_inches_it_is_the_same():
    inch = {"blade": "0.984252 ± 0.005906 in", "blade_bore": "0.826772 ± 0.005906 in", "bore": "1.0000 ± 0.0010 in",
            "outside": "1.1811 ± 0.004 in", "hand_torque": "0.3540 ± 0.0885 in·lbf", "screw_length": "4.0 ± 0.2 mm",
            "point_diameter": "1.9 ± 0.1 mm"}  # fmt: skip
    metric = {"bore": "25.4 ± 0.0254", "outside": "30.0 ± 0.1"}
    assert _tube(**inch).nominal == pytest.approx(_tube(**metric).nominal, rel=1e-3)
    assert "in·lbf on" in _tube(**inch).answer


def test_a_tube_gives_the_cold_less_to_take():
    """It is softer than the contact on a thick blade, so that the same shrinkage takes less of the load."""
    asked = {**TUBE, "cold": "25 K", "hand_torque": "0.06 N·m"}
    tube = fc.ask("set_screw", **asked)[1]
    solid = fc.ask("set_screw", **{key: value for key, value in asked.items() if key != "blade_bore"})[1]
    assert solid.nominal < tube.nominal


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"blade_bore": "25 ± 0.1"}, r"blade_bore = 25 ± 0.1 mm, blade = 25 ± 0.15 mm: no wall is left"),
        ({"blade_bore": "-21"}, r"blade_bore = -21 mm: a length above 0"),
        ({"blade_material": None}, r"blade_material: missing: .* what its wall bears"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(change, words):
    asked = {key: value for key, value in {**TUBE, **change}.items() if value is not None}
    with pytest.raises(InputError, match=words) as caught:
        fc.ask("set_screw", **asked)
    assert "\n" not in str(caught.value)


def test_a_material_without_stiffness_is_refused():
    fc.add_material("soft stuff", source="own test", compressive=20.0, yield_=15.0, metal=False)
    with pytest.raises(TableError, match=r"blade_material: material 'soft stuff' has no modulus value"):
        fc.ask("set_screw", **{**TUBE, "blade_material": "soft stuff"})
