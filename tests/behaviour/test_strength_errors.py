"""What a user of the strength models reads when an input cannot be used: one line, naming the value."""

import dataclasses

import numpy as np
import pytest

from fitcheck import mechanics
from fitcheck.errors import InputError, TableError
from fitcheck.mechanics.holding import side_leverage
from fitcheck.mechanics.spot import spot_depth
from fitcheck.mechanics.strip_fit import fit_strip_tests, strip_tests

M4 = {"P": 0.7, "d_min": 3.838, "D2_max": 3.663}


ALL = strip_tests()
FEW = dataclasses.replace(ALL, laboratory=tuple("ab"[i % 2] for i in range(len(ALL.laboratory))))

FLAT = dataclasses.replace(ALL, ratio=np.ones(len(ALL.ratio)))
"""Short threads that bear as much as long ones, for their length."""


def to_break(**other):
    given = {"internal_per_mm": 16.8, "tau_internal": 180.0, "external_per_mm": 12.2, "tau_external": 624.0}
    return mechanics.engagement_to_break_screw(36.6, 1040.0, **{**given, **other})


def that_fit(**other):
    given = {"outside": 25.4, "bore": 20.0, "blade": 19.8, "P": 0.7, "incomplete": 0.7}
    return mechanics.lengths_that_fit((2.0, 3.0), **{**given, **other})


@pytest.mark.parametrize(
    ("call", "names"),
    [
        (lambda: mechanics.wall_length_range(2, 15, 15), ["Ri = 15 mm", "Ro = 15 mm", "no wall"]),
        (lambda: mechanics.wall_length_range(2, 17, 15), ["Ri = 17 mm", "Ro = 15 mm", "outer radius greater"]),
        (lambda: mechanics.wall_length(0.0, 15, 12, 14), ["r = 15 mm", "bore radius 12 mm"]),
        (lambda: mechanics.wall_length_range(2, 15, 17, outside=1.2, inside=1.0), ["countersinks meet", "2 mm"]),
        (lambda: mechanics.wall_length_range(2, 15, 17, outside=-0.1), ["outside = -0.1", "at least 0"]),
        (lambda: mechanics.countersink_depth(5, 4, angle=np.pi), ["angle = 3.142", "90°"]),
        (lambda: mechanics.edge_left(1.5, 4.0), ["centre = 1.5 mm", "breaks out", "2 mm"]),
        (lambda: mechanics.axial_load(1.0, 0.7, 3.5, -0.1, 0.1, 1.0), ["mu_t = -0.1", "at least 0"]),
        (lambda: mechanics.axial_load(float("nan"), 0.7, 3.5, 0.1, 0.1, 1.0), ["T = nan", "N·m"]),
        (lambda: mechanics.axial_load("8 N", 0.7, 3.5, 0.1, 0.1, 1.0), ["T = '8 N'", "N·m"]),
        (lambda: mechanics.axial_load("8", 0.7, 3.5, 0.1, 0.1, 1.0), ["T = '8'", "N·m"]),
        (lambda: mechanics.axial_load(True, 0.7, 3.5, 0.1, 0.1, 1.0), ["T = True", "N·m"]),
        (lambda: mechanics.axial_load(2 + 1j, 0.7, 3.5, 0.1, 0.1, 1.0), ["T = (2+1j)", "N·m"]),
        (lambda: mechanics.axial_load(np.array([1j]), 0.7, 3.5, 0.1, 0.1, 1.0), ["T = array([0.+1.j])", "N·m"]),
        (lambda: mechanics.axial_load(np.timedelta64(3, "s"), 0.7, 3.5, 0.1, 0.1, 1.0), ["T = ", "N·m"]),
        (lambda: mechanics.axial_load(None, 0.7, 3.5, 0.1, 0.1, 1.0), ["T = None", "N·m"]),
        (lambda: mechanics.tightening_torque(-5, 0.7, 3.5, 0.1, 0.1, 1.0), ["F = -5", "N"]),
        (lambda: mechanics.lever_arm(0.7, 3.5, 0.1, 0.1, 1.0, half_angle=30), ["half_angle = 30", "radians"]),
        (lambda: mechanics.lever_arm(0.7, 3.5, 0.1, 0.1, 1.0, half_angle=np.pi / 2), ["half_angle = 1.571", "π/2"]),
        (lambda: mechanics.point_radius("cupp", 2.0), ["kind = 'cupp'", "'cup'", "did you mean"]),
        (lambda: mechanics.shear_area_internal(1.0, 0.7, 38.38, 3.663), ["d_min - D2_max", "one thread pair"]),
        (lambda: mechanics.shear_area_internal(-1.0, **M4), ["LE = -1", "mm"]),
        (lambda: mechanics.tensile_stress_area(0.5, 0.7), ["P = 0.7", "0.5 mm", "no core"]),
        (lambda: mechanics.engagement_for_load(100, 200, 0.0), ["area_per_mm = 0", "greater than 0"]),
        (lambda: mechanics.short_engagement_factor(-1), ["n_threads = -1"]),
        (lambda: mechanics.short_engagement_factor(2.0, half=0.0), ["half = 0", "greater than 0"]),
        (lambda: mechanics.short_engagement_bounds(2.0, coverage=95), ["coverage = 95", "0.9"]),
        (lambda: mechanics.short_engagement_bounds(2.0, coverage=1), ["coverage = 1", "between 0 and 1"]),
        (lambda: mechanics.short_engagement_bounds(2.0, coverage=0), ["coverage = 0", "between 0 and 1"]),
        (lambda: mechanics.axial_hold(100, 0.2, 0.2, 0), ["n = 0"]),
        (lambda: mechanics.axial_hold(100, 0.2, 0.2, share=1.2), ["share = 1.2"]),
        (lambda: mechanics.wall_share([]), ["angles = []", "at least one screw"]),
        (lambda: mechanics.dent_depth(2000, "flat", 2.5, 86), ["F = 2000 N", "sinks", "422"]),
        (lambda: mechanics.drop_pull(0.3, 1000, 0), ["stop = 0"]),
        (lambda: mechanics.tip_height(25.4, 25.0), ["blade = 25.4 mm", "bore of 25 mm"]),
        (lambda: mechanics.tip_height(10.0, 10.2, offset=6.0), ["offset = 6 mm", "beside a blade of 10 mm"]),
        (lambda: mechanics.screw_span(12.0, 3.0, 3.5), ["incomplete = 3.5 mm", "3 mm has no full thread"]),
        (lambda: mechanics.torsion_limit(25.0, 25.0, 250), ["Di = 25 mm", "no wall"]),
        (lambda: mechanics.torsion_limit(30.0, 25.0, 250, notch=0.5), ["notch = 0.5"]),
        (lambda: mechanics.groove_factor(0.5, 0.0), ["radius = 0"]),
        (lambda: mechanics.worn_engagement(3.0, 0.7, part_gone=1.2), ["part_gone = 1.2"]),
        (lambda: mechanics.percent_thread(4, 3.3, 0.7, convention="us"), ["convention = 'us'", "'drill table'"]),
        (lambda: mechanics.key_torque(0.0, 2000), ["s = 0"]),
        (lambda: mechanics.short_engagement_bounds(2.0, coverage=[0.5, 0.9]), ["coverage", ": a number"]),
        (lambda: mechanics.shoulder_torque(5000, 1.5, 35.0, 0.2, -0.2, 18.5), ["mu_s = -0.2"]),
        (lambda: mechanics.shoulder_torque(5000, 1.5, 35.0, 0.2, 0.2, -1), ["shoulder_radius = -1"]),
        (lambda: to_break(internal_per_mm=0.0), ["internal_per_mm = 0"]),
        (lambda: to_break(tau_external=-1.0), ["tau_external = -1"]),
        (lambda: that_fit(most_out=[0.0, 1.0]), ["most_out", ": a number"]),
        (lambda: that_fit(outside=[25.4, 26.0]), ["outside", ": a number"]),
        (lambda: that_fit(clearance=-0.1), ["clearance = -0.1"]),
        (lambda: mechanics.gap_conductance(0.026, [25.0, 25.2], 25.1), ["D = 25.1 mm", "slug of 25.2 mm"]),
        (lambda: mechanics.fin_resistance(10.0, 165.0, 32.0, 32.0, 150.0), ["Di = 32 mm", "less than Do = 32 mm"]),
        (lambda: mechanics.fin_resistance(10.0, 165.0, 32.0, -1.0, 150.0), ["Di = -1 mm", "from 0"]),
        (lambda: mechanics.sag(0.3, 250.0, 20.0, 20.0, 3000.0), ["Di = 20 mm", "less than Do = 20 mm"]),
        (lambda: fit_strip_tests(FEW), ["tests of 2 laboratories", "at least 3"]),
        (lambda: fit_strip_tests(FLAT), ["tests: their ratios do not rise with the threads", "no half fits"]),
        (lambda: spot_depth(0.8, 25.1, 25.0), ["width = 25.1 mm", "at most the blade of 25 mm"]),
        (lambda: side_leverage(700.0, 38.5, [12.0, 38.5], in_line=True), ["at = 38.5 mm", "seat of 38.5 mm"]),
        (lambda: mechanics.slanted_engagement(1.4, 2.0, -0.8), ["slant = 0.8 rad", "below π/4"]),
        (lambda: mechanics.point_radius("cone", 1.0, cone_angle=4.0), ["cone_angle = 4 rad", "up to π"]),
        (lambda: mechanics.power_screw_torque(100.0, 8.0, 3.0, 1.5), ["mu_t = 1.5", "no torque raises the load"]),
    ],
)
def test_bad_input_gets_one_line_that_names_it(call, names):
    with pytest.raises(InputError) as caught:
        call()
    message = str(caught.value)
    assert "\n" not in message
    for part in names:
        assert part in message


def test_a_flat_point_leaves_no_dent_until_it_sinks_in():
    assert mechanics.dent_depth(np.array([100.0, 420.0]), "flat", 2.5, 86).tolist() == [0.0, 0.0]


def test_an_unknown_material_lists_near_names():
    with pytest.raises(TableError, match=r"'6061-T66' is not known \(did you mean '6061-T6'"):
        mechanics.material("6061-T66")
    with pytest.raises(TableError, match="polycarbonate"):
        mechanics.material("policarbonate")
    with pytest.raises(TableError, match=r"6061-T6, .* more \(material_names\)"):
        mechanics.material("zzz")  # nothing near: all names
    with pytest.raises(TableError, match="name of a material as text"):
        mechanics.material(6061)


@pytest.mark.parametrize(
    ("name", "known"),
    [
        ("6061", "only 6061-T6 is known"),
        ("EN AW-6082", "only 6082-T6 is known"),
        ("6063", "6063-T5, 6063-T6 are known"),
        ("7075 aluminium", "only 7075-T6 is known"),
        ("2024", "only 2024-T4 is known"),
    ],
)
def test_an_alloy_without_its_temper_is_asked_for_it(name, known):
    """An annealed tube yields at about a fifth of what one in T6 does."""
    with pytest.raises(TableError, match=rf"material '{name}': which temper\? {known} here; annealed .* far weaker"):
        mechanics.material(name)


def test_a_printed_material_says_what_each_number_rests_on():
    said = repr(mechanics.material("6061-T6"))
    lines = said.splitlines()
    (tensile,) = (i for i, line in enumerate(lines) if line.startswith("  tensile"))
    assert "310  (289.6 to 341) MPa  [1] (partly from memory)" in lines[tensile]
    assert "typical; lower bound: design allowable of sheet; upper bound: 10% more" in lines[tensile + 1]
    (expansion,) = (line for line in lines if line.startswith("  expansion"))
    assert expansion.endswith("[4] (from memory)")
    modulus = next(line for line in lines if line.startswith("  modulus"))
    assert modulus.endswith("[3]")  # a printed source
    for name in ("tensile", "yield", "shear", "compressive", "modulus", "expansion"):
        assert mechanics.material("6061-T6").get(name).source in said
        assert mechanics.material("6061-T6").get(name).basis in said
    assert "[1] Selection and Application of Aluminium Alloys" in said
    assert "  yield               -" in repr(mechanics.material("PMMA"))


def test_a_material_without_shear_strength_is_named_and_the_rule_must_be_asked_for():
    stainless = mechanics.material("316")
    with pytest.raises(TableError, match=r"'316' has no printed shear strength.*'bolting 0.6'"):
        stainless.shear_strength()
    ruled = stainless.shear_strength("bolting 0.6")
    assert ruled.value == pytest.approx(0.6 * stainless.get("tensile").value)
    assert ruled.lower == pytest.approx(0.6 * stainless.get("tensile").lower)
    assert "bolting 0.6" in ruled.basis
    with pytest.raises(TableError, match=r"shear rule 'bolting'.*did you mean 'bolting 0.6'"):
        stainless.shear_strength("bolting")
    with pytest.raises(TableError, match="'PMMA' has no yield"):
        mechanics.material("PMMA").get("yield")
    with pytest.raises(TableError, match=r"'tensil'.*did you mean 'tensile'"):
        mechanics.material("PMMA").get("tensil")


def test_names_are_forgiving_but_not_vague():
    assert mechanics.material(" 6061 t6 ") is mechanics.material("6061-T6")
    assert mechanics.material("EN AW-6082 T6").name == "6082-T6"
    assert mechanics.material("acrylic").name == "PMMA"


def test_users_add_their_own_material():
    added = mechanics.add_material(
        "test rod", source="own tensile test, 5 pieces", tensile=(400, 420, 440), shear=250, modulus=70_000
    )
    try:
        assert mechanics.material("Test Rod") is added
        assert (added.shear.lower, added.shear.value, added.shear.upper) == pytest.approx((225, 250, 275))
        assert "common practice, no source" in added.shear.basis
        assert "common practice" not in added.tensile.basis
        assert "test rod" in mechanics.material_names()
    finally:
        mechanics.materials._added.clear()
    with pytest.raises(InputError, match="shear = -3"):
        mechanics.add_material("bad", source="x", shear=-3)
    with pytest.raises(TableError, match="lower <= value <= upper"):
        mechanics.add_material("bad", source="x", shear=(300, 250, 275))
    with pytest.raises(TableError, match="a source"):
        mechanics.add_material("bad", source=" ", shear=250)


def test_every_shipped_material_is_whole_and_sourced():
    for name in mechanics.material_names():
        found = mechanics.material(name)
        for wanted in ("tensile", "modulus", "expansion"):
            prop = found.get(wanted)
            assert 0 < prop.lower <= prop.value <= prop.upper
            assert prop.source
            assert prop.basis
        if found.shear is not None:
            assert 0.35 < found.shear.value / found.tensile.value < 1.1, name
        if found.yield_ is not None:
            assert found.yield_.value <= found.tensile.value, name


def test_unknown_friction_and_hand_list_what_there_is():
    with pytest.raises(TableError, match=r"friction 'steel on aluminum dry'.*did you mean 'steel on aluminium dry'"):
        mechanics.friction("steel on aluminum dry")
    with pytest.raises(TableError, match=r"hand torque 'finger'.*'fingers'"):
        mechanics.hand_torque("finger")
    for name in mechanics.friction_names():
        assert 0 < mechanics.friction(name).low < mechanics.friction(name).middle < mechanics.friction(name).high
    middles = [mechanics.hand_torque(name).middle for name in mechanics.hand_torque_names()]
    assert middles == sorted(middles)
    assert mechanics.hand_torque("fingers").unit == "N·m"
