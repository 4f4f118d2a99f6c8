"""What becomes of a set screw's torque and clamp load: a locking, creep, cold. All numbers are invented."""

import re

import numpy as np
import pytest
from screw_inputs import SCREW

import fitcheck as fc
from fitcheck.errors import InputError, TableError
from fitcheck.mechanics.clamp import clamp_left, contact_stiffness, shrunk_away
from fitcheck.questions import SetScrew, Verdict

EXACT = {
    **SCREW,
    "friction_thread": "0.15",
    "friction_point": "0.3",
    "friction_bore": "0.3",
    "point_diameter": "1.9",
    "hand_torque": "0.4 N·m",
    "kept": 1,
}


def _hold(**change):
    return fc.ask("set_screw", **{**EXACT, **change})[1]


def test_what_the_locking_takes_clamps_nothing():
    """0.1 of 0.4 N·m: the clamp load is that of 0.3, the torque that strips is higher by it, and so is the safe one."""
    free, locked = (SetScrew.read({**EXACT, **change}) for change in ({}, {"prevailing": "0.1 N·m"}))
    assert locked.load({**locked.nominal, "hand_torque": 0.4}) == pytest.approx(
        free.load({**free.nominal, "hand_torque": 0.3})
    )
    assert locked.strip_torque.nominal == pytest.approx(free.strip_torque.nominal + 0.1)
    assert locked.safe_torque == pytest.approx(free.safe_torque + 0.1, rel=0.01)
    assert _hold(prevailing="0.1 N·m").nominal == pytest.approx(_hold(hand_torque="0.3 N·m").nominal)
    strip = fc.ask("set_screw", **EXACT, prevailing="0.1 N·m")[0]
    assert any("The locking takes 0.10 N·m" in line for line in strip.assumptions)


def test_a_patch_that_takes_all_of_the_torque_holds_nothing():
    """ISO 2320, M4: up to 0.9 N·m the first time, as printed in tables/prevailing_torque.csv."""
    hold = _hold(prevailing="patch, first time")
    assert (hold.verdict, hold.worst_case.min) == (Verdict.FAILS, 0.0)
    assert "The locking takes up to 0.90 N·m of that, so a screw may never clamp" in hold.answer
    new, used = (SetScrew.read({**EXACT, "prevailing": name}).clamping["prevailing"] for name in
                 ("patch, first time", "Patch, used"))  # fmt: skip
    assert (new.lower, new.upper) == pytest.approx((0.18, 0.9))
    assert (used.lower, used.upper) == pytest.approx((0.12, 0.9))
    inch = SetScrew.read({**EXACT, "screw": "#8-32 UNC", "hole": "#8-32 UNC", "prevailing": "patch, used"})
    assert inch.clamping["prevailing"].upper == pytest.approx(15 * 0.1129848, rel=1e-5)


def test_a_locking_that_is_none_takes_nothing_and_one_that_nobody_named_is_cautioned():
    plain, none = _hold(), _hold(prevailing="none")
    assert none.nominal == plain.nominal
    assert any("give prevailing" in line for line in plain.cautions)
    assert not any("give prevailing" in line for line in none.cautions)
    assert any(line.startswith("Shaking loosens screws") for line in none.cautions)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"prevailing": "glue"}, r"prevailing = 'glue': a torque with its tolerance, .*patch, first time.* is needed"),
        ({"prevailing": "0.1"}, r"prevailing = .*0\.1.* names no unit"),
        ({"prevailing": "-0.1 N·m"}, r"prevailing = -0\.1 N·m: a torque of at least 0"),
        ({"kept": "120 %"}, r"kept = 120 %: a part of at most 1 over its whole zone is needed"),
        ({"kept": "-0.1"}, r"kept = -0.1: a ratio of at least 0"),
        ({"kept": "wood"}, r"kept = 'wood': .*polycarbonate, plastic, metal is needed"),
        ({"cold": "25 K"}, r"blade_material: missing: .* how it shrinks in the cold"),
        ({"cold": "-25 K", "blade_material": "polycarbonate"}, r"cold = '-25 K': a difference of temperatures"),
        ({"cold": "25 mm", "blade_material": "polycarbonate"}, r"cold = '25 mm'"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(change, words):
    with pytest.raises(InputError, match=words) as caught:
        fc.ask("set_screw", **{**SCREW, **change})
    assert "\n" not in str(caught.value)


def test_a_patch_of_a_size_without_a_printed_torque_is_refused():
    small = {**SCREW, "screw": "M2x0.4-6g", "hole": "M2x0.4-6H", "point_diameter": "0.9 ± 0.1"}
    with pytest.raises(TableError, match=r"prevailing = 'patch, used': .*M2.* is needed; give it as a torque"):
        fc.ask("set_screw", **small, prevailing="patch, used")


def test_a_plastic_blade_keeps_a_part_of_the_clamp_and_a_metal_one_all():
    whole = _hold().worst_case.min
    asked = {key: value for key, value in EXACT.items() if key != "kept"}
    least = {
        blade: fc.ask("set_screw", **asked, **({"blade_material": blade} if blade else {}))[1].worst_case.min / whole
        for blade in ("polycarbonate", "PMMA", "6061-T6", None)
    }
    assert least == pytest.approx({"polycarbonate": 0.5, "PMMA": 0.4, "6061-T6": 1.0, None: 0.4})
    unknown = fc.ask("set_screw", **asked)[1]
    assert any("give blade_material or kept" in line for line in unknown.assumptions)
    assert any("turn them again after a day and after the first cold" in line for line in unknown.cautions)
    assert _hold(kept="70 ± 10 %").worst_case.min == pytest.approx(0.6 * whole)


def test_a_plastic_of_the_user_creeps_as_a_plastic():
    with_plastic = fc.add_material("house resin", source="own test", compressive=80.0, metal=False)
    assert not with_plastic.metal
    assert fc.material("6061-T6").metal
    assert not fc.material("POM").metal
    asked = {key: value for key, value in EXACT.items() if key != "kept"}
    found = fc.ask("set_screw", **asked, blade_material="house resin")[1]
    assert found.worst_case.min == pytest.approx(0.4 * _hold().worst_case.min)


def test_cold_takes_the_load_by_which_the_blade_shrinks_away():
    """Polycarbonate of 25 mm in 6061-T6, 25 K colder: by hand 0.027 mm at 5.4 N/µm, 148 N of each screw."""
    shrunk = 25.0 * (67.5e-6 - 23.6e-6) * 25
    stiffness = 2380 * 1.9 / (1 - 0.4**2)
    assert shrunk_away(25.0, 67.5e-6, 23.6e-6, 25.0) == pytest.approx(shrunk)
    assert contact_stiffness(2380.0, 1.9) == pytest.approx(stiffness)
    warm, cold = (_hold(blade_material="polycarbonate", **change) for change in ({}, {"cold": "25 K"}))
    assert warm.nominal - cold.nominal == pytest.approx(0.6 * shrunk * stiffness, rel=1e-6)
    assert cold.nominal == pytest.approx(_hold(blade_material="polycarbonate", cold="45 °F").nominal)
    assert _hold(blade_material="polycarbonate", cold=25).nominal == pytest.approx(cold.nominal)
    assert _hold(blade_material="polycarbonate", cold="200 K").worst_case.min == 0.0
    assert any("25 K colder" in line for line in cold.assumptions)
    # A blade of aluminium shrinks as its tube does.
    alike = {"blade_material": "7075-T6", "cold": "40 K"}
    with pytest.raises(TableError):
        _hold(blade_material="45H", cold="40 K")
    assert _hold(**alike).nominal == pytest.approx(_hold().nominal)


def test_the_clamp_that_is_left_is_never_below_zero_and_broadcasts():
    assert np.asarray(clamp_left(np.array([100.0, 400.0]), 0.5, 5000.0, 0.02)) == pytest.approx([0.0, 100.0])


def test_several_screws_are_tightened_in_turns():
    assert not any("in turns" in line for line in _hold().cautions)
    assert any("tighten all of them in turns" in line for line in _hold(screws=2).cautions)


@pytest.mark.parametrize("change", [{"prevailing": "0.05 ± 0.02 N·m"}, {"blade_material": "polycarbonate", "cold": 1}])
def test_the_torque_that_is_advised_to_hold_holds(change):
    asked = {**EXACT, **change, "hand_torque": "0.08 ± 0.01 N·m", "pull": "70 N"}
    hold = fc.ask("set_screw", **asked)[1]
    assert hold.verdict is Verdict.FAILS
    (line,) = (c for c in hold.change if c.startswith("turn every screw with at least"))
    least, most = (float(x) for x in re.findall(r"[\d.]+(?= N·m)", line))
    again = {**asked, "hand_torque": f"{(least + most) / 2} ± {(most - least) / 2} N·m"}
    strip, hold = fc.ask("set_screw", **again)[:2]
    assert strip.verdict is not Verdict.FAILS
    assert hold.verdict is Verdict.HOLDS
    below = {**asked, "hand_torque": f"{0.9 * least} N·m"}
    assert fc.ask("set_screw", **below)[1].verdict is not Verdict.HOLDS
