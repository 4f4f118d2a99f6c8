"""A set screw whose point stands in a dimple or a drilled hole of the blade. All numbers here are invented.

Checks: areas and thrusts integrated by small pieces, statics by hand, and the question asked again.
"""

import numpy as np
import pytest
from screw_inputs import SCREW

import fitcheck as fc
from fitcheck.errors import InputError
from fitcheck.mechanics.spot import (
    levered_on_thread,
    point_strength,
    spot_bearing,
    spot_depth,
    spot_width,
    tear_out,
)
from fitcheck.questions import SetScrew, Verdict
from fitcheck.questions.set_screw.findings import hold_finding
from fitcheck.questions.set_screw.spotted import (
    Part,
    _bears,
    lock_at,
    lock_borne,
    lock_demand,
    spot_finding,
    spot_offer,
)
from fitcheck.questions.set_screw.torque_limits import dented, turns_off

DOG = {
    **SCREW, "point": "dog", "point_diameter": "2.4 ± 0.1", "spotted": "0.8 ± 0.1", "blade_material": "polycarbonate",
    "hand_torque": "0.10 ± 0.02 N·m",
}  # fmt: skip


def by_shape(asked):
    """The finding on the hold of a blade that is spotted."""
    q = SetScrew.read(asked)
    return spot_finding(q, q.put_on, np.inf)


def test_the_side_of_a_hole_is_the_area_seen_along_the_load():
    """A cone, a cup and a dog: the outline seen from the side, summed in 100,000 strips."""
    z = (np.arange(100_000) + 0.5) / 100_000 * 0.8  # height over the tip
    for kind, end, angle in (("cone", 0.0, np.pi / 2), ("cone", 0.0, 2.0), ("cup", 1.9, np.pi / 2), ("dog", 2.4, 1.0)):
        wide = np.full_like(z, end) if kind == "dog" else end + 2 * z * np.tan(angle / 2)
        width = spot_width(kind, end, 0.8, cone_angle=angle)
        assert width == pytest.approx(end if kind == "dog" else wide[-1], rel=1e-4)
        assert spot_bearing(end, width, 0.8, 100.0) == pytest.approx(100 * wide.mean() * 0.8, rel=1e-6)


def test_a_cone_that_is_pushed_aside_is_pushed_out():
    """An even pressure over half the side of a cone: its push along and out, summed over small faces."""
    theta = (np.arange(2000) + 0.5) / 2000 * np.pi - np.pi / 2
    for angle in (np.pi / 2, 2.0):
        a = angle / 2
        # A face of the cone from 0 to h has the area h²/2 tan(a)/cos(a) dθ, and its normal leans by a out of the plane.
        faces = np.tan(a) / np.cos(a) * np.pi / 2000 / 2
        along, out = (faces * np.cos(a) * np.cos(theta)).sum(), (faces * np.sin(a) * np.ones_like(theta)).sum()
        found = levered_on_thread("cone", 0.0, 3.5, cone_angle=angle)
        assert found == pytest.approx(out / along, rel=1e-6)
        assert found > np.tan(a)  # one line that bears
    # The moment F arm on a line of d2: greatest at its side, M/(π r²) along the line, times its length 2π r.
    r, arm = 3.5 / 2, 2.0
    assert levered_on_thread("dog", arm, 3.5) == pytest.approx(arm / (np.pi * r**2) * 2 * np.pi * r)


def test_the_sides_of_a_round_blade_fall_away():
    assert spot_depth(0.8, 0.0, 25.0) == pytest.approx(0.8)
    assert spot_depth(0.8, 2.4, 25.0) == pytest.approx(0.8 - 2.4**2 / (4 * 25.0), rel=1e-3)  # w²/(8 R), flat arcs
    assert spot_depth(0.05, 2.4, 25.0) == 0.0
    with pytest.raises(InputError, match=r"width = 26 mm: at most the blade of 25 mm"):
        spot_depth(0.8, 26.0, 25.0)


def test_a_point_shears_as_a_pin_and_bends_as_a_bar():
    assert point_strength("dog", 2.5, 0.0, 870.0) == pytest.approx(np.pi / 4 * 2.5**2 * 870)
    # Long: σ = 32 F l/(π d³) reaches √3 τ.
    assert point_strength("dog", 2.5, 100.0, 870.0) == pytest.approx(
        np.pi / 32 * 2.5**3 * np.sqrt(3) * 870 / 100, rel=1e-3
    )
    assert point_strength("cup", 2.5, 0.3, 870.0) == point_strength("dog", 2.5, 0.3, 870.0) / 2
    assert tear_out(3.0, 0.8, 41.4) == pytest.approx(2 * 3 * 0.8 * 41.4)
    assert tear_out(-1.0, 0.8, 41.4) == 0


def test_a_dog_in_a_drilled_hole_by_hand():
    q = SetScrew.read(DOG)
    lock = lock_at(q, q.put_on, np.inf)
    v = {key: value.nominal for key, value in lock.inputs.items()}
    parts = _bears(q, np.inf, v)
    sides = 0.8 - 12.5 + np.sqrt(12.5**2 - 1.2**2)
    assert parts[Part.HOLE] == pytest.approx(2.4 * sides * 86.2)
    # The tilted screw: from the middle of its thread, under the outside of the tube, to the middle of the hole's depth.
    length = q.threads_engaged.nominal * 0.7
    bore = 25.4
    arm = 15.0 - length / 2 - (25.0 - bore / 2) + 0.4
    free = np.minimum(*q.both_loads(v)) - q.load(v)
    assert parts[Part.THREAD] == pytest.approx(free / (4 * arm / v["d2"]), rel=1e-4)
    assert lock.nominal == pytest.approx(min(parts.values()))
    assert Part.END not in parts


def test_the_verdict_is_that_of_one_point_and_no_more():
    """Two screws hold no more by shape than one; a twist acts at the bottom of the hole; friction is not added."""
    one, two = (by_shape({**DOG, **more}) for more in ({}, {"screws": 2, "angles": ["0 deg", "90 deg"]}))
    assert one.nominal == pytest.approx(two.nominal)
    assert one.quantity == "hold of a point in the blade"
    assert "By friction alone" in one.answer
    assert one.requirement.at_least == 60
    twisted = SetScrew.read({**DOG, "twist": "0.5 N·m", "pull": "0 N"})
    assert lock_demand(twisted) == pytest.approx(2 * 500 / (24.85 - 2 * 0.9))
    assert one.verdict is Verdict.LIKELY  # a thread has no least strength, so at worst case none is promised
    said = " ".join(one.cautions)
    assert "polycarbonate that bends without a hole breaks at one" in said
    metal = by_shape({**DOG, "blade_material": "6061-T6"})
    assert "polycarbonate" not in " ".join(metal.cautions)
    assert metal.nominal > one.nominal


def test_a_screw_in_a_spot_stands_deeper_and_is_backed_off_farther():
    plain, spotted = (SetScrew.read({key: value for key, value in DOG.items() if key != no}) for no in ("spotted", ""))
    # The tip lies 0.8 mm deeper, and so does the screw's full thread.
    assert spotted.threads_engaged.nominal != pytest.approx(plain.threads_engaged.nominal)
    assert turns_off(spotted).nominal - turns_off(plain).nominal == pytest.approx(0.8 / 0.7)
    assert turns_off(spotted).most - turns_off(plain).most == pytest.approx(0.9 / 0.7)


def test_less_torque_leaves_more_to_the_thread_and_a_deeper_hole_bears_more():
    def nominal(**more):
        q = SetScrew.read({**DOG, "blade_material": "6061-T6", **more})
        return lock_at(q, q.put_on, np.inf).nominal

    tight, light = nominal(hand_torque="0.4 N·m"), nominal(hand_torque="0.05 N·m")
    assert tight < light
    loose = [nominal(hand_torque="0.0001 N·m", blade_material="PMMA", spotted=f"{deep} mm") for deep in (0.2, 0.4, 0.8)]
    assert loose == sorted(loose)


def test_nothing_asked_is_held_even_where_nothing_may_be_borne():
    """No pull: what a thread bears falls to 0 and no lower, on a plateau at the limit itself."""
    found = by_shape({**DOG, "pull": "0 N"})
    assert found.verdict is Verdict.HOLDS


def test_the_end_of_the_blade_tears_out_where_it_is_near():
    near = {**DOG, "seated": "38 ± 0.2", "blade_out": "600 ± 2", "screws_at": ["36.5 ± 0.1"]}
    found = by_shape(near)
    assert found.details[f"gives way at, {Part.END}"] == "18 N"  # 2 (38 - 36.5 - 1.2) 0.742 · 41.4 = 18.4
    assert "two diameters" not in " ".join(found.assumptions)
    assert "two diameters" in " ".join(by_shape(DOG).assumptions)


def test_a_hold_by_friction_that_fails_says_what_a_spot_would_hold():
    """What is offered is asked again: as deep, as lightly turned, it bears what was said."""
    asked = {**SCREW, "point": "dog", "point_diameter": "2.4 ± 0.1", "blade_material": "6061-T6", "pull": "120 N"}
    asked |= {"hand_torque": "0.2 ± 0.05 N·m"}
    hold = hold_finding(SetScrew.read(asked), strips=False)
    (line,) = (line for line in hold.change if "spotted" in line)
    assert "stand 0.8 ± 0.1 mm deep in a hole of the blade" in line
    assert "which is within the risk" in line
    torque = line.split("no more than ")[1].split(" N·m")[0]
    again = SetScrew.read({**asked, "spotted": "0.8 ± 0.1", "hand_torque": f"{torque} N·m"})
    borne = lock_borne(again, lock_at(again, again.put_on, np.inf))
    assert float(line.split("then bears ")[1].split(" N")[0]) == pytest.approx(borne, rel=0.1)
    assert again.findings()[1].verdict is Verdict.LIKELY
    inch = {
        **asked,
        "bore": "1.000 ± 0.001 in",
        "outside": "1.180 in",
        "blade": "0.985 in",
        "point_diameter": "0.095 in",
    }
    inch |= {"screw_length": "0.16 in", "screw": "#8-32 UNC-2A", "hole": "#8-32 UNC-2B", "hand_torque": "1 in·lbf"}
    assert "stand 0.03 ± 0.005 in deep" in " ".join(hold_finding(SetScrew.read(inch), strips=False).change)


def test_the_same_in_inches():
    inch = {
        "outside": "1.1811024 ± 0.0039370 in", "bore": "1.0010236 ± 0.0010236 in", "blade": "0.9842520 ± 0.0059055 in",
        "screw_length": "0.1574803 ± 0.0078740 in", "point_diameter": "0.0944882 ± 0.0039370 in",
        "spotted": "0.0314961 ± 0.0039370 in", "hand_torque": "0.8850746 ± 0.1770149 in·lbf", "pull": "13.488537 lbf",
    }  # fmt: skip
    metric = by_shape({**DOG, "bore": "25.426 ± 0.026"})
    imperial = by_shape({**DOG, **inch})
    assert imperial.nominal == pytest.approx(metric.nominal, rel=1e-3)
    assert "lbf across it" in imperial.answer


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"point": "flat"}, r"point = 'flat': a cup, cone or dog is needed for a blade that is spotted"),
        ({"spotted": "2 mm"}, r"spotted = 2 mm: at most the .* that the dog is long"),
        (
            {"point": "cup", "point_diameter": "1.9", "spotted": "1.2"},
            r"spotted = 1.2 mm: at most the 1.05 mm that the",
        ),
        ({"blade_material": None}, r"blade_material: missing"),
        ({"blade_bore": "18 ± 0.1"}, r"spotted = .*, blade_bore = .*glue a plug into it"),
        ({"dent": "0.3 mm"}, r"spotted = .*, dent = 0.3 mm: a plain blade or no dent"),
        ({"spotted": "0"}, r"spotted = 0 mm: a length above 0"),
        ({"spotted": "0.8 N"}, r"spotted = '0.8 N' is a force"),
    ],
)
def test_what_cannot_be_spotted_is_refused_in_one_line(change, words):
    asked = {key: value for key, value in {**DOG, **change}.items() if value is not None}
    with pytest.raises(InputError, match=words) as caught:
        fc.ask("set_screw", **asked)
    assert "\n" not in str(caught.value)


def test_no_spot_is_offered_that_the_point_is_too_small_for_or_where_no_torque_is_safe():
    """The cup of an M2 is not 0.8 mm deep, and worn crests that hardly meet bear nothing in a spot either."""
    weak = {**SCREW, "blade_material": "6061-T6", "pull": "120 N", "hand_torque": "0.2 ± 0.05 N·m"}
    small = {"screw": "M2x0.4-6g", "hole": "M2x0.4-6H", "screw_length": "3 ± 0.2", "point_diameter": "0.9 ± 0.1"}
    worn = {"screw_major": "3.85 ± 0.02", "hole_minor": "3.9 ± 0.02", "hole_pitch": "3.7 ± 0.02"}
    assert spot_offer(SetScrew.read(weak))
    for more in (small, worn):
        assert spot_offer(SetScrew.read({**weak, **more})) == ()


def test_a_cup_in_a_dimple_dents_no_further():
    plain = {**SCREW, "blade_material": "6061-T6"}
    assert dented(SetScrew.read(plain), 0.4) > 0
    assert dented(SetScrew.read({**plain, "spotted": "0.6 ± 0.1"}), 0.4) == 0
