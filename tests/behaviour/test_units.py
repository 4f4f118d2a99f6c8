"""Units at the boundary. Factors from NIST SP 811 (2008), appendix B, exact where the table is exact."""

import math
import subprocess
import sys

import pint
import pytest

from fitcheck import units
from fitcheck.errors import InputError, UnitError
from fitcheck.units import (
    ANGLE,
    FORCE,
    INCH,
    LENGTH,
    MM,
    RATIO,
    SPEED,
    STRESS,
    TEMPERATURE,
    TORQUE,
    quantity,
    read,
    unit,
)


@pytest.mark.parametrize(
    ("value", "kind", "inside"),
    [
        (3.5, LENGTH, 3.5),
        ("3.5", LENGTH, 3.5),
        ("3,5 mm", LENGTH, 3.5),
        ("0.250 in", LENGTH, 6.35),
        ('0.250"', LENGTH, 6.35),
        ("10 µm", LENGTH, 0.01),
        ("10 μm", LENGTH, 0.01),  # Greek mu
        ("1 thou", LENGTH, 0.0254),
        ("1 lbf", FORCE, 4.4482216152605),
        ("1 ksi", STRESS, 6.894757293168361),
        ("1 in·lbf", TORQUE, 0.1129848290276167),
        ("1 in-lb", TORQUE, 0.1129848290276167),
        ("1 ft·lb", TORQUE, 1.3558179483314004),
        ("1 Nm", TORQUE, 1.0),
        ("1 N·m", TORQUE, 1.0),
        ("68 °F", TEMPERATURE, 20.0),
        ("20 °C", TEMPERATURE, 20.0),
        ("180 deg", ANGLE, 3.141592653589793),
        ("60 rpm", SPEED, 6.283185307179586),
        *[(f"60 {text}", SPEED, 6.283185307179586) for text in ("RPM", "1/min", "min^-1", "min⁻¹", "r/min", "rev/min")],
        *[(f"1 {text}", SPEED, 6.283185307179586) for text in ("rev/s", "rps", "turns/s")],
        *[(f"1 {text}", TORQUE, 0.1129848290276167) for text in ("in-lbs", "in-lbf", "lb-in", "lbf.in", "IN-LBS")],
        *[(f"1 {text}", TORQUE, 1.0) for text in ("N-m", "N.m", "N m", "N*m")],
        ("100 Ncm", TORQUE, 1.0),
        ("16 oz-in", TORQUE, 0.1129848290276167),  # 16 ozf are 1 lbf
        ("205 N/mm2", STRESS, 205.0),
        ("205 N/mm²", STRESS, 205.0),
        ("15 %", RATIO, 0.15),
        (pint.get_application_registry().Quantity(0.25, "inch"), LENGTH, 6.35),
        (pint.UnitRegistry().Quantity(2, "kN"), FORCE, 2000.0),
    ],
)
def test_values_reach_the_inside_unit(value, kind, inside):
    assert read(value, kind, "x") == pytest.approx(inside, rel=1e-12)


@pytest.mark.parametrize(
    ("value", "kind", "words"),
    [
        ("3 N", TORQUE, "x = '3 N' is a force: a torque is needed, for example '0.8 N·m'"),
        ("3 quux", LENGTH, "unknown unit 'quux'"),
        ("wide", LENGTH, "x = 'wide': a length is needed"),
        (None, LENGTH, "x = None"),
        (True, LENGTH, "x = True"),
        (float("nan"), LENGTH, "x = nan: a finite number in mm is needed"),
        ("1e999 mm", LENGTH, "finite"),
        (pint.get_application_registry().Quantity(1, "newton"), LENGTH, "a length is needed"),
        ("3 kg·m", LENGTH, "of no kind used here"),
        ("9" * 1000, LENGTH, "x = "),
    ],
)
def test_a_wrong_kind_is_refused_by_name(value, kind, words):
    with pytest.raises(InputError) as caught:
        read(value, kind, "x")
    assert words in str(caught.value)
    assert len(str(caught.value)) < 300


def test_results_in_the_users_unit_and_as_quantities():
    inch = unit("in")
    assert inch.show(6.35) == "0.250 in"
    assert inch.show(-1e-9) == "0.000 in"
    assert unit("mm").show(6.3512, 3) == "6.351 mm"
    assert quantity(6.35, inch).to("mm").magnitude == pytest.approx(6.35)
    assert quantity(0.5, unit("N·m")).to("newton*meter").magnitude == pytest.approx(0.5)
    with pytest.raises(UnitError):
        unit("parsec of")


@pytest.mark.parametrize("words", sorted(units._DEFINED))
def test_what_is_known_by_its_definition_is_what_pint_makes_of_it(words):
    known = units._DEFINED[words]
    found = units._unit_of(pint.get_application_registry().Quantity(1.0, words), words)
    assert (known.text, known.kind, known.inch) == (words, found.kind, found.inch)
    assert known.scale == pytest.approx(found.scale, rel=1e-13)
    assert known.offset == pytest.approx(found.offset, abs=1e-12)


def test_a_limit_of_risk_may_name_its_unit():
    import fitcheck as fc

    stack = fc.dim("1.30 ± 0.02 in") - fc.dim("0.10 ± 0.01 in")
    assert stack.probability(below="1.18 in") == stack.probability(below=quantity(1.18 * 25.4, INCH)) > 0
    with pytest.raises(UnitError, match="below = '3 N' is a force"):
        stack.probability(below="3 N")


@pytest.mark.parametrize("text", ["36 ± 1 mm", "36 1 mm", "30 +1 mm", "36 ± 2 mm", "0.5 -1 mm"])
def test_a_plain_value_has_no_tolerance(text):
    # pint takes a number in a unit for a factor: "36 ± 1 mm" was 36 mm, and its tolerance was lost.
    with pytest.raises(UnitError, match=r"gap = .* a length without tolerance is needed"):
        read(text, LENGTH, "gap")


@pytest.mark.parametrize("text", ["1 mm", "± 1 mm", "m 1", "/4 in", "2"])
def test_a_unit_stands_alone(text):
    with pytest.raises(UnitError, match="is no unit"):
        unit(text)


@pytest.mark.parametrize(("text", "mm"), [("1/4 in", 6.35), ('1 1/2"', 38.1), ("0.25 in", 6.35)])
def test_a_plain_value_may_be_a_fraction_of_an_inch(text, mm):
    assert read(text, LENGTH, "gap") == pytest.approx(mm, rel=1e-12)


def test_turns_a_minute_are_an_angular_speed():
    assert read("60 rev/min", SPEED, "swing") == pytest.approx(2 * math.pi, rel=1e-12)
    with pytest.raises(UnitError, match=r"swing = '3 mn': unknown unit 'mn': .*; an angular speed is needed"):
        read("3 mn", SPEED, "swing")


@pytest.mark.parametrize("unit", ["Hz", "kHz", "1/s", "s^-1", "cps"])
def test_a_frequency_is_no_angular_speed(unit):
    """2 Hz taken for 2 rad/s is a sixth of two turns a second, and a swing to and fro is no turn."""
    with pytest.raises(UnitError, match="write rpm, rev/s or rad/s"):
        read(f"2 {unit}", SPEED, "swing")


def test_threads_of_a_process_may_start_cold():
    """pint builds its registry at its first use; seven of eight threads found half of it."""
    code = """
import threading
from concurrent.futures import ThreadPoolExecutor
from fitcheck.units import unit
begin = threading.Barrier(8)
def ask(text):
    begin.wait()
    return unit(text).scale
with ThreadPoolExecutor(8) as pool:
    print(len(list(pool.map(ask, ["arcmin", "bar", "atm", "hPa", "yd", "dm", "kgf", "stone"]))))
"""
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "8\n"


@pytest.mark.parametrize(
    ("text", "places"),
    [("mm", 2), ("in", 3), ("inch", 3), ("cm", 3), ("m", 5), ("ft", 4), ("µm", 0), ("thou", 0), ("N", 0), ("lbf", 0),
     ("kN", 3), ("MPa", 0), ("ksi", 1), ("N·m", 2), ("in·lbf", 1), ("deg", 2), ("°C", 2), ("kg", 2), ("%", 2)],
)  # fmt: skip
def test_decimals_follow_the_size_of_the_unit(text, places):
    assert unit(text).decimals == places


@pytest.mark.parametrize("text", ["mm", "in", "m", "ft"])
@pytest.mark.parametrize("inside", [23.1, 23.10000001, 0.0153, -0.004, 1 / 3, 0.1 + 0.2, 25.4, 1e5])
def test_a_number_that_is_advised_is_rounded_to_the_safe_side(text, inside):
    used = unit(text)
    noise = 1e-9 * used.scale
    up, down = (float(used.to_base(float(shown.split()[0]))) for shown in (used.up(inside), used.down(inside)))
    step = used.scale * 10.0**-used.decimals
    assert inside - noise <= up < inside + step
    assert inside - step < down <= inside + noise


def test_a_narrow_window_gets_the_decimals_it_needs():
    assert MM.decimals_between(1.001, 1.2) == 2
    places = MM.decimals_between(1.0012, 1.0049)
    assert (MM.up(1.0012, places), MM.down(1.0049, places)) == ("1.002 mm", "1.004 mm")
