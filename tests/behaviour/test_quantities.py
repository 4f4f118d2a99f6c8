"""Every public function is handed pint quantities: each is converted or refused by name, and no unit is ever lost."""

import inspect
import math
import re

import numpy as np
import pint
import pytest

import fitcheck as fc
from fitcheck import fits, mechanics, stack, threads
from fitcheck.errors import InputError
from fitcheck.stack import measured
from fitcheck.threads.coating import Coating

MM, N, MPA, NM, RAD = ("mm", "inch"), ("N", "lbf"), ("MPa", "ksi"), ("N*m", "inch*lbf"), ("rad", "deg")
KG, SPEED, MM2, PER_MM = ("kg", "oz"), ("rad/s", "rpm"), ("mm**2", "inch**2"), ("mm**2/mm", "inch**2/inch")
ONE = ("dimensionless", "percent")

# What the arguments of the models are called: inside unit, another unit, and a usual value.
_NAMED = {
    MM: "P:.7 d2:4.5 r_p:1 D1_max:4.2 d2_min:4.4 d_min:4.8 D2_max:4.6 D1:4.1 d:5 LE:5 diameter:5 bore:10 blade:9 "
    "tip_at:4 length:4 incomplete:.5 outside:15 hole:4.2 depth:.2 radius:15 height:5 stop:4 arm:5 clearance:.1 "
    "most_out:1 tip:1 dog_length:2 offset:.1 dent:.1 Do:20 Di:15 r:2 Ri:10 Ro:15 inside:.3 centre:6 L:5 dm:5 lead:.7 "
    "middle:.3 swing:.1 drill:3.3 D2:4.6 screw_from:11 screw_to:14 "
    "shoulder_radius:3 minor_outside:38 major_inside:34 lengths:4,5,6 socket_end:.2",
    N: "F:100 pull:100 axial:100",
    MPA: "Rm:500 Rm_s:900 Rm_n:400 Rm_external:800 Rm_internal:400 shear_strength:200 compressive_yield:200 Rp:200 "
    "tau_internal:200 tau_external:500",
    NM: "T:2 twist:2 torque:2",
    RAD: "arc:3 half_angle:.5 cone_angle:1.5 angle:1.5 theta:.3 slant:.02 angles:0,2,4",
    KG: "mass:.3",
    SPEED: "omega:10",
    MM2: "As:8.78 area:10 AS_s:11 AS_n:13",
    PER_MM: "internal_per_mm:9 external_per_mm:7 area_per_mm:9",
    ONE: "mu:.2 mu_t:.15 mu_p:.15 mu_s:.1 mu_point:.2 mu_wall:.2 n_threads:5 turns_gone:.2 part_gone:.2 constraint:1.5 "
    "bearing_wall:2.9 bearing_screw:3.3 "
    "notch:1 J:1 Rs:1.2 coverage:.9 C1:1 share:1 least_turns:1 half:1.2 decay:.5 n:2",
}
NAMES = {
    key: (unit, [float(x) for x in value.split(",")] if "," in value else float(value))
    for unit, words in _NAMED.items()
    for key, value in (word.split(":") for word in words.split())
}
TEXTS = {"kind": "cone", "convention": "basic", "system": "metric", "plugged": True}
# Where a name means another thing in one function than in most.
OWN = {
    "jam_length": {"e": (MM, 4.0)},
    "sag": {"m": (KG, 0.2), "L": (MM, 200.0), "E": (MPA, 70_000.0)},
    "dilation_factor": {"s": (MM, 8.0)},
    "key_torque": {"s": (MM, 2.0)},
    "bending_pull": {"M": (NM, 20.0)},
    "grip_to_hold": {"D": (MM, 40.0), "mu": (ONE, 0.2)},
    "hole_share": {"d": (MM, 34.0), "n": (ONE, 2.0), "hole": (MM, 4.0)},
    "squeezed_pull_limit": {"d2": (MM, 19.0), "external": True},
    "key_test_torque": {"s": (MM, 2.0)},
    "key_yield_torque": {"s": (MM, 2.0)},
    "load_share": {"n": 3},
    "threaded_section": {"outside": (MM, 40.0), "bore": (MM, 32.0)},
    "wall_length": {"outside": (MM, 0.5)},
    "wall_length_range": {"outside": (MM, 0.5)},
    "groove_factor": {"radius": (MM, 15.0)},
    "worn_engagement": {"part_gone": (ONE, 0.2)},
}
WITHOUT_NUMBERS = {
    *("measure_next", "plan", "strip_trials"),
    *("heat_gap", "heat_metal", "heat_names", "heat_surface", "touch_limit"),
    *("fin_resistance", "gap_conductance"),  # of heat, whose units are their own: `test_heat_is_converted`
    *("ask", "compare_pitches", "describe", "fit", "load", "material", "pair", "response", "thread", "any_fails"),
    *("correlated", "share_frame", "gradient", "share_figure", "sobol_indices", "coat", "cut_for_coating"),
    *(
        "limits_frame",
        "series_frame",
        "worn",
        "friction",
        "friction_names",
        "clamp_kept",
        "clamp_kept_names",
        "hand_torque",
        "hand_torque_names",
        "material_names",
    ),
    *("set_screw", "set_screw_names", "shear_rules", "preferred_fits", "prevailing_torque", "prevailing_torque_names"),
    *("measure_next", "plan", "wires", "pitch_over_wires", "functional_pitch", "outlook"),
}
"""Public functions that take names, dimensions or notes, whose readers are tested in test_notation."""

D = fc.dim("10 ± 0.1", name="a") + fc.dim("5 ± 0.1", name="b")
BOTH = {"lower": (MM, 12.0), "upper": (MM, 13.0)}
# The other rooms: what is given as it is, and the numbers.
GIVEN = {
    stack.acceptance: ({}, {"g": (MM, 0.1), **BOTH}),
    stack.allocate: ({"total": D}, {"half_width": (MM, 0.15)}),
    stack.as_built: ({"drawing": fc.dim("12 ± 1")}, {"value": (MM, 12.5), "U": (MM, 0.02)}),
    stack.at_temperature: (
        {"part": fc.dim("12 ± 1")},
        {"alpha": (("1/K", "1/delta_degF"), 2e-5), "temperature": (("degC", "degF"), 40.0)},
    ),
    stack.between: ({}, {"low": (MM, 12.0), "high": (MM, 13.0), "nominal": (MM, 12.5)}),
    stack.capability: ({}, {"mean": (MM, 12.5), "sd": (MM, 0.1), **BOTH}),
    stack.combine: ({"parts": [(1.0, fc.dim("12 ± 1"))]}, {"constant": (MM, 1.0)}),
    stack.compare_intervals: (
        {},
        {"propagated": (MM, (1.0, 3.0)), "simulated": (MM, (1.0, 3.0)), "u": (MM, 0.5)},
    ),
    stack.conformance: ({}, {"value": (MM, 12.5), "u": (MM, 0.1), **BOTH}),
    stack.coverage_factor: ({}, {"confidence": (ONE, 0.95), "degrees": (ONE, 16.0)}),
    stack.dimension: ({}, {"nominal": (MM, 12.5), "plus": (MM, 0.2), "minus": (MM, 0.1)}),
    stack.effective_degrees_of_freedom: (
        {"degrees": [18.0, 50.0]},
        {"uncertainties": (MM, [0.02, 0.01])},
    ),
    stack.global_risks: ({}, {"mean": (MM, 12.5), "sd": (MM, 0.1), "u": (MM, 0.05), **BOTH, "g": (MM, 0.01)}),
    stack.guard_band: ({}, {"u": (MM, 0.1), "confidence": (ONE, 0.95)}),
    stack.in_proportion: ({"total": D, "free": ["a", "b"]}, {"half_width": (MM, 0.15)}),
    stack.inspected: ({}, {"values": (MM, [12.4, 12.5, 12.6]), "nominal": (MM, 12.5)}),
    stack.measured: ({}, {"value": (MM, 12.5), "U": (MM, 0.02), "k": (ONE, 2.0)}),
    stack.solve_for: ({"what": D, "dimension": D.members[0]}, {"below": (MM, 14.0), "above": (MM, 17.0)}),
    stack.tighten: ({"what": D}, {"below": (MM, 14.9), "above": (MM, 15.1)}),
    stack.verdict: ({}, {"value": (MM, 12.5), "u": (MM, 0.1), **BOTH, "confidence": (ONE, 0.95)}),
    threads.decide_size: ({"thread": "M6x1-6g", "which": "pitch"}, {"measured": (MM, 5.3), "U": (MM, 0.01)}),
    threads.clock: (
        {"thread": "M6x1-6g"},
        {"now": (RAD, 0.0), "wanted": (RAD, 1.5), "tolerance": (MM, 0.1), "within": (RAD, 0.1), "every": (RAD, 3.0)},
    ),
    threads.coating: ({"name": "film"}, {"thickness": (MM, 0.02), "growth": (ONE, 0.5)}),
    threads.decide: ({}, {"measured": (MM, 12.5), "U": (MM, 0.1), **BOTH, "k": (ONE, 2.0)}),
    fc.identify: (
        {},
        {"outside": (MM, 5.9), "pitch": (MM, 1.0), "U": (MM, 0.03), "U_pitch": (MM, 0.02), "wear": (MM, 0.0)},
    ),
    fc.require: ({"quantity": D}, {"at_least": (MM, 14.0), "at_most": (MM, 17.0)}),
    fc.dim: ({}, {"note": (MM, 12.5), "plus": (MM, 0.2), "minus": (MM, 0.1)}),
    fc.add_material: (
        {"name": "of the test", "source": "made up"},
        {
            **dict.fromkeys(("tensile", "yield_", "shear", "compressive", "modulus", "bearing"), (MPA, 310.0)),
            "expansion": (("1/K", "1/delta_degF"), 2e-5),
        },
    ),
    mechanics.new_material: (
        {"name": "of the test", "source": "made up"},
        {
            **dict.fromkeys(("tensile", "yield_", "shear", "compressive", "modulus", "bearing"), (MPA, 310.0)),
            "expansion": (("1/K", "1/delta_degF"), 2e-5),
        },
    ),
    fits.fundamental_deviation: ({"tolerance_class": "k6"}, {"nominal": (MM, 38.1)}),
    fits.grade_formula: ({"grade": "IT7"}, {"D": (MM, 38.1)}),
    fits.limit_deviations: ({"tolerance_class": "k6"}, {"nominal": (MM, 38.1)}),
    fits.limits: ({"tolerance_class": "k6"}, {"nominal": (MM, 38.1)}),
    fits.size_mean: ({}, {"nominal": (MM, 38.1)}),
    fits.standard_tolerance: ({"grade": "IT7"}, {"nominal": (MM, 38.1)}),
    fits.tolerance_factor: ({}, {"D": (MM, 38.1)}),
}


def functions():
    """Every public function, each once."""
    found = {getattr(room, name) for room in (fc, stack, threads, fits, mechanics) for name in room.__all__}
    return sorted((one for one in found if inspect.isfunction(one)), key=lambda one: (one.__module__, one.__name__))


def arguments(function):
    """What is given as it is, and its numbers with their units."""
    if function in GIVEN:
        return GIVEN[function]
    given, numbers, own = {}, {}, OWN.get(function.__name__, {})
    for name in inspect.signature(function).parameters:
        value = own.get(name, TEXTS.get(name, NAMES.get(name)))
        assert value is not None, f"{function.__name__}: what is {name}? It has no line in this test"
        (numbers if isinstance(value, tuple) else given)[name] = value
    return given, numbers


CASES = [
    pytest.param(function, name, id=f"{function.__name__}-{name}")
    for function in functions()
    if function.__name__ not in WITHOUT_NUMBERS
    for name in arguments(function)[1]
]


def plain(result):
    """The numbers in a result, and the text of what else is in it; a quantity left among them is a failure."""
    assert not hasattr(result, "units"), f"a unit got through: {result!r}"
    if isinstance(result, stack.Dimension):
        return [result.nominal, result.lower, result.upper]
    if isinstance(result, fits.PlainLimits):  # which is told in the unit of its size
        return [result.min, result.max, result.lower_deviation, result.upper_deviation]
    if isinstance(result, Coating):
        return [*plain(result.thickness), *plain(result.growth)]
    if isinstance(result, (float, int, np.ndarray, np.number)):
        return np.asarray(result, dtype=float).ravel().tolist()
    if isinstance(result, (tuple, list)) and not hasattr(result, "_fields"):
        return [x for one in result for x in plain(one)]
    assert "Quantity" not in repr(result), f"a unit got through: {result!r}"
    return [re.sub(r"-?\d+\.\d+(?:e[-+]?\d+)?", lambda number: f"{float(number[0]) + 0.0:.9g}", repr(result))]


def same(one, other):
    pairs = list(zip(one, other, strict=True))
    return all(a == b if isinstance(a, str) else math.isclose(a, b, rel_tol=1e-9, abs_tol=1e-12) for a, b in pairs)


def quantity(registry, value, unit, into=None):
    """One quantity, or one of an array."""
    found = registry.Quantity(np.asarray(value) if isinstance(value, list) else value, unit)
    return found.to(into) if into else found


def alone(function, value, units):
    """A number as a caller writes it without a quantity; `clock` takes no angle but 0 without its unit."""
    return f"{value} rad" if function is threads.clock and units is RAD and value else value


REGISTRIES = [
    pytest.param(pint.get_application_registry(), id="application"),
    pytest.param(pint.UnitRegistry(), id="own"),
]


@pytest.mark.parametrize("registry", REGISTRIES)
@pytest.mark.parametrize(("function", "name"), CASES)
def test_a_quantity_is_converted_or_refused_by_name(function, name, registry):
    given, numbers = arguments(function)
    floats = {key: alone(function, value, units) for key, (units, value) in numbers.items()}
    expected = plain(function(**given, **floats))
    (inside, other), value = numbers[name]
    # All of them as quantities, so that nothing mixes; then this one alone.
    every = {key: quantity(registry, x, *units) for key, (units, x) in numbers.items()}
    for handed in (every, {**floats, name: quantity(registry, value, inside, other)}):
        try:
            found = function(**given, **handed)
        except InputError as error:
            said = str(error)
            assert (
                any(key.rstrip("_") in said for key in (name, *numbers)) or "number in a sum" in said or "sum" in said
            )
            assert "\n" not in said
            continue
        assert same(plain(found), expected)
    # A kind that no argument of these functions is of.
    with pytest.raises(InputError) as caught:
        function(**given, **{**floats, name: quantity(registry, value, "candela")})
    assert "\n" not in str(caught.value)


def test_the_walk_is_not_empty():
    assert len(CASES) > 200
    assert len({case.values[0] for case in CASES}) > 70


U = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("function", "expected"),
    [
        # The calls that lost their unit, each by hand: 1 in = 25.4 mm, 1 lbf = 4.448222 N, 1 ksi = 6.894757 MPa.
        (lambda: measured(6.304 * U.inch, 0.001 * U.inch).nominal, 160.1216),
        (lambda: stack.as_built(fc.dim("160 ± 1"), 6.304 * U.inch, 0.001 * U.inch).nominal, 160.1216),
        (lambda: stack.inspected(np.array([0.5, 0.51]) * U.inch).nominal, 12.827),
        (lambda: stack.inspected([0.5 * U.inch, 0.51 * U.inch]).nominal, 12.827),
        (lambda: stack.dimension(1.333 * U.inch, plus=0.001 * U.inch).upper, 33.8836),
        (lambda: fits.standard_tolerance("IT7", 1.5 * U.inch), 0.025),  # ISO 286-1, IT7 of 30 to 50 mm
        (lambda: fits.limit_deviations("k6", 1.5 * U.inch), (0.002, 0.018)),  # ISO 286-2, k6 of 30 to 50 mm
        (lambda: mechanics.strip_load(0.0155 * U.inch**2, 29 * U.ksi), 0.0155 * 29000 * 4.4482216152605),
        (lambda: mechanics.weight_pull(12 * U.oz), 12 * 0.028349523125 * 9.80665),
        (
            lambda: mechanics.tensile_stress_area(0.25 * U.inch, 0.05 * U.inch),
            mechanics.tensile_stress_area(6.35, 1.27),
        ),
        (lambda: threads.clock(0 * U.deg, 90 * U.deg, "M6x1").amount, 0.25),
        (lambda: fc.add_material("hard brass", source="made up", tensile=60 * U.ksi).tensile.value, 413.6854),
        (lambda: fc.add_material("hard brass", source="made up", tensile="60 ksi").tensile.value, 413.6854),
        (lambda: stack.allocate(D, half_width=0.01 * U.inch).total.worst_case()[1] - 15, 0.254),
    ],
)
def test_a_unit_that_was_lost_is_kept(function, expected):
    assert function() == pytest.approx(expected, rel=1e-6)


def test_a_result_is_shown_in_the_unit_of_the_quantity():
    assert str(measured(6.304 * U.inch, 0.001 * U.inch)) == "6.304 ± 0.001 in"
    assert str(stack.dimension(1.333 * U.inch, plus=0.001 * U.inch)) == "1.333 ± 0.001 in"
    assert stack.inspected(np.array([0.5, 0.51]) * U.inch).unit.text == "in"
    assert str(measured("6.304 in", "0.001 in")) == "6.304 ± 0.001 in"


@pytest.mark.parametrize(
    ("function", "words"),
    [
        (lambda: measured(6.304 * U.inch, 0.001), "U = 0.001 names no unit, beside value = 6.304 in"),
        (lambda: stack.dimension(5 * U.inch, plus=0.1), "plus = 0.1 names no unit, beside nominal = 5 in"),
        (
            lambda: threads.decide_size("1 3/8-18 UNEF-2A", "pitch", 1.3330, 0.0004),
            "the limits of 1 3/8-18 UNEF-2A are in inches: write it with its unit, for example '1.333 in'",
        ),
        (lambda: threads.decide_size("1 3/8-18 UNEF-2A", "pitch", 34.0, 0.01), "for example '34 in'"),
        (lambda: threads.clock(90, 0, "M6x1"), "now = 90 names no unit: an angle is needed, for example '120 deg'"),
        (lambda: threads.clock(0, 1.57, "M6x1"), "wanted = 1.57 names no unit: an angle is needed"),
        (lambda: threads.clock(0, 0, "M6x1", within=5), "within = 5 names no unit: an angle is needed"),
        (lambda: threads.clock(0, 0, "M6x1", every=60), "every = 60 names no unit: an angle is needed"),
        (
            lambda: threads.decide_size("1 3/8-18 UNEF-2A", "pitch", "1.3330 in", 0.0004),
            "U = 0.0004 names no unit, beside",
        ),
        (lambda: threads.coating("hard anodic", 20), "at most 1 mm is needed; micrometres are written with their unit"),
        (lambda: mechanics.strip_load(10, 29 * U.kg), "shear_strength = 29 kg: a number in MPa is needed"),
        (lambda: mechanics.swing_pull(0.3, 2 * U.Hz, 100), "omega = 2 Hz: a number in rad/s is needed"),
        (lambda: mechanics.power_screw_torque(1, 1, 5, 0.1, half_angle=U.Quantity(0.5, "")), "half_angle = 0.5"),
        (lambda: fc.add_material(1, source="x"), "name of a material = 1: a text is needed"),
        (lambda: fc.add_material("x", source=1), "source of a material = 1: a text is needed"),
        (lambda: fc.add_material("x", source="y", tensile=np.array([1, 2, 3]) * U.ksi), "tensile = [1 2 3]"),
        (lambda: fc.identify(outside=5.9, tpi=[1]), "tpi = [1]: a number is needed"),
        (lambda: fc.identify(outside=5.9, tpi=True), "tpi = True: a number is needed"),
        (lambda: fc.compare_pitches([None]), "None: a designation such as 'M4x0.7', or (screw, hole), is needed"),
        (lambda: fc.compare_pitches([0.0]), "0.0: a designation such as"),
        (lambda: fc.compare_pitches([["M4"]]), "a designation such as 'M4x0.7', or (screw, hole), is needed"),
        (lambda: fc.compare_pitches(None), "threads = None: a list of designations"),
        (lambda: mechanics.weight_pull(1e150), "mass = 1e+150: a number of at most 1e+15 is needed"),
        (lambda: mechanics.weight_pull(10**400), "a number of at most 1e+15 is needed"),
        (lambda: fc.fit("1e300 H7/g6"), "a number of at most 1e+15 is needed"),
        (lambda: fc.identify(bore=1e308, pitch=1), "bore = 1e+308: a number of at most 1e+15 is needed"),
    ],
)
def test_what_mixes_or_cannot_be_meant_is_refused(function, words):
    with pytest.raises(InputError) as caught:
        function()
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 300


class _Unprintable:
    def __repr__(self):
        raise ValueError("two\nlines")


@pytest.mark.parametrize(
    "bad",
    [
        *[pytest.param(10**5000, id="5000 digits"), pytest.param(_Unprintable(), id="unprintable"), None, 0, 1.5],
        *[np.array([1, 2]), fc.thread("M6"), fc.material("6061-T6"), pytest.param("a" * 1_000_000, id="long"), ["M6"]],
    ],
)
@pytest.mark.parametrize(
    "function",
    [
        *[
            fc.thread,
            fc.fit,
            fc.material,
            fc.describe,
            fc.pair,
            fc.dim,
            fc.ask,
            mechanics.set_screw,
            mechanics.friction,
        ],
        *[threads.coating, lambda bad: fc.dim(5, name=bad), lambda bad: fits.limits(bad, 25)],
        *[lambda bad: fc.identify(outside=5.9, most=bad), lambda bad: fc.compare_pitches([bad])],
        lambda bad: fc.add_material(bad, source="x", tensile=bad),
    ],
)
def test_whatever_is_handed_in_gets_one_short_line(function, bad):
    said = ""
    try:
        function(bad)
    except InputError as error:
        said = str(error)
    assert "\n" not in said
    assert len(said) < 700  # the longest lists the materials there are


LEFT = ["M6x1 left", "M6x1-6g left", "M6x1-6g-left hand", "M6x1 LEFT-HANDED", "1/4-20 UNC-2A left"]


@pytest.mark.parametrize("text", LEFT)
def test_a_thread_may_be_left_in_words(text):
    assert fc.thread(text).left_hand
    assert not fc.thread(text.lower().replace("left", "right")).left_hand


def test_results_are_handed_out_in_the_callers_registry():
    own, other = pint.UnitRegistry(), pint.UnitRegistry()
    size = 0.315 * own.inch
    part = stack.dimension(size, plus=0.001 * own.inch, name="part")
    gap = fc.dim("0.320 ± 0.001 in") - part
    area = fc.response(lambda d: math.pi / 4 * d**2, d=part)
    (finding, *_) = fc.ask("plug_length", travel="4 ± 0.2", seat="9 ± 0.2", adds=["16 ± 0.2"])
    for registry in (own, other):
        room = gap.as_quantity(registry=registry) + 1 * registry.mm
        assert room.to("mm").magnitude == pytest.approx(1.127)
        assert (part.as_quantity(part.upper, registry=registry) - 1 * registry.mm).units == registry.inch
        assert area.as_quantity(registry=registry)._REGISTRY is registry
        least = finding.as_quantity(finding.worst_case.min, registry=registry)
        assert (least + 0 * registry.inch).to("mm").magnitude == pytest.approx(finding.worst_case.min)
        limits = fc.thread("1/4-20 UNC-2A").limits().quantities(registry=registry)
        assert (limits["major_max"] + 1 * registry.mm).to("inch").magnitude == pytest.approx(0.2489 + 1 / 25.4)
    assert gap.as_quantity()._REGISTRY is pint.get_application_registry().get()
    with pytest.raises(ValueError, match="registries"):
        gap.as_quantity(registry=own) + 1 * other.mm
    with pytest.raises(InputError, match=r"registry = 5: a pint.UnitRegistry is needed"):
        gap.as_quantity(registry=5)


def test_a_bare_number_beside_inches_is_refused_in_one_question_as_in_a_sheet():
    asked = {"adds": ["2.165 in"], "takes": ["16"], "at_least": "30"}
    for bad in ({}, {"adds": [2.165 * U.inch]}, {"adds": [fc.dim("2.165 in")]}):
        with pytest.raises(InputError) as caught:
            fc.ask("blade_depth", **{**asked, **bad})
        said = str(caught.value)
        assert said.startswith("takes = '16' names no unit, beside adds = ")
        assert said.endswith("write mm or in behind it")
        assert caught.value.key == "takes"
    (found,) = fc.ask("blade_depth", adds=["2.165 in"], takes=["16 mm"], at_least="30 mm")
    assert found.nominal == pytest.approx(2.165 * 25.4 - 16)
    assert fc.ask("blade_depth", adds=["55"], takes=["16"], at_least=30)[0].nominal == 39
    body = {"name": "nut", "width": "0.4 in", "reach": 12}
    with pytest.raises(InputError, match=r"bodies.reach = 12 names no unit, beside bore = '1.26 in'"):
        fc.ask("port_clearance", bore="1.26 in", chassis="1.24 in", bodies=[body])
    again = fc.QUESTIONS["blade_depth"].read({"adds": ["2.165 in"], "at_least": "1 in"})
    given = {key: getattr(again, key) for key in ("adds", "at_least", "cover")}
    assert fc.ask("blade_depth", **given)[0].nominal == again.findings()[0].nominal, "what has been read has its unit"


def test_heat_is_converted():
    """Conductivities and what a surface gives off have units of their own."""
    registry = pint.UnitRegistry()
    h, k, L = registry.Quantity(10, "W/(m**2*K)"), registry.Quantity(1.5, "W/(cm*K)"), registry.Quantity(10, "cm")
    plain = mechanics.fin_resistance(10.0, 150.0, 20.0, 15.0, 100.0)
    assert mechanics.fin_resistance(h, k, 20.0, registry.Quantity(1.5, "cm"), L) == pytest.approx(plain)
    gap = registry.Quantity(0.00026, "W/(cm*K)")
    assert mechanics.gap_conductance(gap, 25.0, 25.2) == pytest.approx(mechanics.gap_conductance(0.026, 25.0, 25.2))
    with pytest.raises(InputError, match=r"h = .*W/"):
        mechanics.fin_resistance(registry.Quantity(10, "mm"), 150.0, 20.0, 15.0, 100.0)
