"""Drawing notes: what is read, and what is refused with one clear line."""

import dataclasses

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.errors import InputError, NotationError, UnitError
from fitcheck.notation import dim, read_note
from fitcheck.stack import Trapezoidal, spread_names
from fitcheck.units import ANGLE, MASS, SPEED, STRESS, TEMPERATURE, TORQUE, read

IN = 25.4


@pytest.mark.parametrize(
    ("note", "shown"),
    [
        ("12 ± 0.1", "12 ± 0.1 mm"),
        ("12 +0.1", "12 +0.1/-0 mm"),
        ("12 -0.1", "12 +0/-0.1 mm"),
        ("12 +0.1/-0.05", "12 +0.1/-0.05 mm"),
        ("12 -0.1/-0.2", "12 -0.1/-0.2 mm"),
        ("12 +0.2/+0.1", "12 +0.2/+0.1 mm"),
        ("1.000 +0.002/-0.000 in", "1 +0.002/-0 in"),
        ("25 g6", "25 -0.007/-0.02 mm"),
        ("12", "12 mm"),
    ],
)
def test_a_dimension_is_shown_as_a_note_that_reads_the_same(note, shown):
    made = dim(note)
    assert str(made) == shown
    again = dim(shown)
    assert (again.nominal, again.lower, again.upper) == pytest.approx((made.nominal, made.lower, made.upper), abs=1e-9)


@pytest.mark.parametrize(
    ("note", "nominal", "lower", "upper"),
    [
        ("25.4 ± 0.05", 25.4, 25.35, 25.45),
        ("25,4 ±0,05", 25.4, 25.35, 25.45),
        ("25.4 +- 0.05 mm", 25.4, 25.35, 25.45),
        ("25.4 +/- 0.05", 25.4, 25.35, 25.45),
        ("12 +0.1/-0.0 mm", 12, 12.0, 12.1),
        ("12 +0.1/-0.05", 12, 11.95, 12.1),
        ("12 +0.1 -0.05 mm", 12, 11.95, 12.1),
        ("12 +0.1/0 mm", 12, 12.0, 12.1),
        ("12 0/-0.1 mm", 12, 11.9, 12.0),
        ("12 +0/-0.1", 12, 11.9, 12.0),
        ("12 -0.1", 12, 11.9, 12.0),
        ("12 +0.1", 12, 12.0, 12.1),
        ("12 -0.1/-0.2", 12, 11.8, 11.9),
        ("12 +0.2/+0.1", 12, 12.1, 12.2),
        ("1.000 +0.002/-0.000 in", IN, IN, IN * 1.002),
        ('0.5 ± 0.001"', 12.7, 12.6746, 12.7254),
        ("24.9 .. 25.1", 25.0, 24.9, 25.1),
        ("24.9 to 25.1 mm", 25.0, 24.9, 25.1),
        ("25 H7", 25, 25.0, 25.021),  # ISO 286-2, H7 of 18 to 30 mm: +21/0
        ("25 g6", 25, 24.980, 24.993),  # g6: -7/-20
        ("12.43 measured ± 0.02", 12.43, 12.41, 12.45),
        ("6.35", 6.35, 6.35, 6.35),
        ("0.250 in", 6.35, 6.35, 6.35),
        ("-3 ± 0.5", -3, -3.5, -2.5),
        ("1/4 in", 6.35, 6.35, 6.35),
        ('3/16" ± 0.002"', 4.7625, 4.7117, 4.8133),
        ("1 1/2 in ± 0.01", 38.1, 37.846, 38.354),
        ("8 mm ± 0.1 mm", 8, 7.9, 8.1),
        ("24.9 mm to 25.1 mm", 25, 24.9, 25.1),
        ("1e1 ± 1e-2", 10, 9.99, 10.01),
        ("∅25", 25, 25, 25),
        ("Ø12 H7", 12, 12, 12.018),  # ISO 286-2, H7 of 10 to 18 mm: +18/0
        ("1.5 in H7", 38.1, 38.1, 38.125),  # H7 of 30 to 50 mm: +25/0
        ("1 in ± 2 thou", IN, IN * 0.998, IN * 1.002),
        ("12 in +2 thou/-1 thou", 12 * IN, 11.999 * IN, 12.002 * IN),
        ("12 mm ± 5 µm", 12, 11.995, 12.005),
        ("1/2 in ± 1/64", 12.7, 12.7 - IN / 64, 12.7 + IN / 64),
        ("0.571 in measured ± 0.012 in", 0.571 * IN, 0.559 * IN, 0.583 * IN),
        ("6 INCH", 6 * IN, 6 * IN, 6 * IN),
        ("25 MM", 25, 25, 25),
        ("12 +\t0.1/-\n0.05", 12, 11.95, 12.1),  # as a spreadsheet pastes it
        ("1.000 +0.001/\u22120.002 in", IN, IN * 0.998, IN * 1.001),
        ("25,400 ± 0,050", 25.4, 25.35, 25.45),
        ("25 e8", 25, 24.927, 24.96),  # ISO 286-2, e8: -40/-73
    ],
)
def test_notes_are_read(note, nominal, lower, upper):
    d = dim(note)
    assert (d.nominal, d.lower, d.upper) == pytest.approx((nominal, lower, upper), abs=1e-9)


@pytest.mark.parametrize(
    ("note", "spread", "variance"),
    [
        ("10 ± 0.3", "uniform", 0.09 / 3),
        ("10 ± 0.3, normal", "normal", 0.01),
        ("10 ± 0.3 mm normal 2 sigma", "normal", 0.0225),
        ("10 ± 0.3 triangular", "triangular", 0.09 / 6),
        ("10 measured ± 0.3", "normal", 0.0225),
        ("10 ± 0.3, arcsine", "arcsine", 0.045),
        ("10 ± 0.3 beta 2 2", "beta", 0.09 / 5),
        ("10 ± 0.3 truncated normal 3 sigma", "truncated normal", 0.01 * 0.973337),
        ("10 ± 0.3 (normal)", "normal", 0.01),
        ("10 ± 0.3, Normal 2 Sigma", "normal", 0.0225),
    ],
)
def test_a_note_may_name_its_spread(note, spread, variance):
    d = dim(note)
    assert d.spread.name == spread
    assert d.variance == pytest.approx(variance)


def test_other_kinds_than_lengths():
    torque = dim("7 ± 2 in·lbf", kind=TORQUE)
    assert torque.nominal == pytest.approx(7 * 0.1129848290276167)  # 1 in·lbf in N·m, NIST SP 811 appendix B
    assert torque.unit.text == "in·lbf"
    assert dim("30 ksi", kind=STRESS).nominal == pytest.approx(206.8427, abs=1e-4)  # 1 ksi = 6.894757 MPa, SP 811
    assert dim(pint.get_application_registry().Quantity(1, "inch")).nominal == pytest.approx(25.4)


def test_a_number_with_plus_and_minus():
    d = dim(12.0, plus=0.1, minus=0.05, spread="uniform", name="slug")
    assert (d.lower, d.upper, d.name) == (11.95, 12.1, "slug")


@pytest.mark.parametrize(
    "note",
    [
        *[
            "",
            "abc",
            "25.4 ±",
            "± 0.05",
            "25.4 ± -0.05",
            "25..4",
            "25.1 .. 24.9",
            "25 Q7",
            "25 H99",
            "12 +0.1/-0.05/-0.1",
        ],
        *["nan", "inf", "1e999", "25.4 ± 0.05 furlongs per", "٢٥ ± ١", "25 ± 0.1, gaussian", "9" * 5000],
        *[None, True, [1], float("nan")],
    ],
)
def test_what_cannot_be_read_gets_one_clear_line(note):
    with pytest.raises(InputError) as caught:
        dim(note, name="slug")
    message = str(caught.value)
    assert "\n" not in message
    assert len(message) < 500
    assert "slug" in message or "25" in message


def test_a_wrong_kind_is_refused_by_name():
    with pytest.raises(UnitError, match="hand_torque = '3 N' is a force: a torque is needed"):
        dim("3 N", name="hand_torque", kind=TORQUE)
    with pytest.raises(NotationError, match="carries its own tolerances"):
        dim("12 ± 0.1", plus=0.1)


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused(text):
    try:
        d = dim(text)
    except InputError:
        return
    assert d.lower <= d.upper


_NUMBERS = st.decimals(min_value=0, max_value=9999, places=3, allow_nan=False).map(lambda x: f"{x.normalize():f}")


@given(x=_NUMBERS, up=_NUMBERS, down=_NUMBERS, gap=st.sampled_from(["", " "]))
def test_every_form_gives_back_its_numbers(x, up, down, gap):
    """No split of the digits between two numbers, whatever the numbers are."""
    nominal, plus, minus = float(x), float(up), float(down)
    forms = {
        f"{x}{gap}±{gap}{up}": (nominal - plus, nominal + plus),
        f"{x}{gap}+{up}{gap}/{gap}-{down} mm": (nominal - minus, nominal + plus),
        f"{x} +{up} -{down}": (nominal - minus, nominal + plus),
        f"{x} 0/-{down}": (nominal - minus, nominal),
        f"{x} +{up}/0": (nominal, nominal + plus),
        # A tolerance larger than the size is refused, as limits written with a stroke.
        **({f"{x}{gap}-{down}": (nominal - minus, nominal)} if minus <= nominal or nominal == 0 else {}),
        f"{x}{gap}+{up}": (nominal, nominal + plus),
        f"{x}{gap}mm": (nominal, nominal),
    }
    for note, limits in forms.items():
        d = dim(note)
        assert (d.lower, d.upper) == pytest.approx(limits, abs=1e-9), note


@pytest.mark.parametrize("note", ["24.9 - 25.1", "24.9-25.1", "10 -10.5 mm"])
def test_limits_with_a_stroke_are_no_tolerance(note):
    with pytest.raises(NotationError, match=r"limits are written .* \.\. "):
        dim(note, name="lens")


@pytest.mark.parametrize("note", ["25.02 measured", "25.02 ± 0.02 measured", "25.02 measured 0.02"])
def test_a_measurement_without_its_uncertainty_is_told_how_to_write_it(note):
    with pytest.raises(NotationError, match=r"behind the word, .*12\.43 measured ± 0\.02 mm"):
        dim(note, name="blade")


@pytest.mark.parametrize(
    ("note", "words"),
    [
        ("1.65e1", "may be the number 16.5 or 1.65 in the class e1: write 16.5, or '1.65 e1' for a fit"),
        ("1e3", "write 1000, or '1 e3' for a fit"),
        ("1,000 mm", "1,000 may be read in two ways: write 1000 or 1.000"),
        ("12,500,000", "12,500,000 may be read in two ways: write 12500000"),
        ("25 Mm", "unit 'Mm' is 1e+09 mm, no unit of a workshop"),
        ("25 Grad", "no unit of a workshop"),
        ("25 nm", "write N·m for a torque, µm for a length"),
        ("10 mil", "write thou for a thousandth of an inch, mrad for an angle"),
        ("10 ± 1, gaussian", "spread = 'gaussian': one of 'uniform', "),
        ("10 ± 1, beta 2", "spread = 'beta 2': 'beta 2 3' is needed"),
        ("10 ± 1, normal 2", "'normal' or 'normal 2 sigma' is needed"),
        ("10 mm ± 1 °F", "mm and °F cannot stand in one note"),
        ("2 Hz", "write rpm, rev/s or rad/s"),
        ("68%°F", "of no kind used here"),
        ("1e300", "a number of at most 1e+15 is needed"),
    ],
)
def test_what_may_mean_two_things_is_told_what_to_write(note, words):
    with pytest.raises(InputError) as caught:
        dim(note, name="lens")
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("note", "named", "inch"),
    [
        ("0.560 ± 0.010, arcsine", False, False),
        ("0.560 ± 0.010 in, arcsine", True, True),
        ("0.315 ± 0.004, beta 2 3", False, False),
        ("0.315 ± 0.004 truncated normal 3 sigma", False, False),
        ("0.315 +0.004/\u22120.002", False, False),
        ("0.315 measured ± 0.001", False, False),
        ("0.315 measured ± 0.001 in", True, True),
        ("315 ± 4 thou", True, True),
        ("2 ft", True, True),
        ("5 in-lbs", True, True),
        ("30 ksi", True, False),
        ("8 mm ± 0.1", True, False),
        ("25 H7", True, False),
        ("12", False, False),
    ],
)
def test_a_note_says_whether_it_names_its_unit(note, named, inch):
    read = read_note(note)
    assert (read.unit_named, read.inch) == (named, inch)


def test_a_new_spread_is_a_class_and_one_name(monkeypatch):
    @dataclasses.dataclass(frozen=True, slots=True)
    class Plateau(Trapezoidal):
        top: float = 0.8

    monkeypatch.setitem(spread_names.NAMES, "plateau", Plateau)
    assert dim("10 ± 1, plateau").spread == Plateau(0.8)
    assert dim("10 ± 1 mm (Plateau 0.7)").spread == Plateau(0.7)
    assert dim(10, plus=1, spread="plateau").spread == Plateau(0.8)
    assert not read_note("10 ± 1, plateau").unit_named


U = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("value", "plus", "shown"),
    [
        ((5, "inch"), (0.1, "inch"), "5 ± 0.1 in"),
        ((5, "inch"), (0.254, "mm"), "5 ± 0.01 in"),
        ((5, "lbf"), None, "5 lbf"),
        ((5, "inch * lbf"), (1, "inch * lbf"), "5 ± 1 in·lbf"),
        ((5, "newton * meter"), (0.5, "newton * meter"), "5 ± 0.5 N·m"),
        ((20, "degC"), None, "20 °C"),
        ((68, "degF"), (9, "delta_degF"), "68 ± 9 °F"),
        ((90, "deg"), None, "90 deg"),
        ((12, "oz"), None, "12 oz"),
    ],
)
@pytest.mark.parametrize("registry", [U, pint.get_application_registry()])
def test_a_quantity_of_any_registry_keeps_its_unit(registry, value, plus, shown):
    d = dim(registry.Quantity(*value), plus=None if plus is None else registry.Quantity(*plus))
    assert str(d) == shown


@pytest.mark.parametrize(
    ("value", "plus", "kind", "words"),
    [
        (U.Quantity(5, "inch"), 0.1, None, "plus = 0.1 names no unit, beside "),
        (5, U.Quantity(0.1, "inch"), None, "lens = 5 names no unit, beside plus = 0.1 in"),
        (U.Quantity(5, "inch"), U.Quantity(1, "N"), None, "plus = 1 N is a force: a length is needed"),
        (U.Quantity([1, 2], "mm"), None, None, "lens = [1 2] mm: a length is needed"),
        (U.Quantity(2, "Hz"), None, None, "write rpm, rev/s or rad/s"),
        (U.Quantity(2, ""), None, ANGLE, "lens = 2 is a ratio: an angle is needed"),
        (U.Quantity(2, "1/s"), None, SPEED, "an angular speed is needed"),
        (U.Quantity(20, "delta_degC"), None, None, "is a difference of temperatures"),
        (10**400, None, None, "a number of at most 1e+15 is needed"),
        pytest.param(10**5000, None, None, "a number of at most 1e+15 is needed", id="5000 digits"),
        (5, None, ANGLE, "lens = 5 names no unit: an angle is needed"),
        ("5", None, ANGLE, "lens = '5' names no unit: an angle is needed"),
        ("0 ± 3", None, ANGLE, "names no unit: an angle is needed"),
        ("5 ± 1", None, TORQUE, "names no unit: a torque is needed"),
        (0.4, None, MASS, "names no unit: a mass is needed"),
        ("12", None, SPEED, "names no unit: an angular speed is needed"),
    ],
)
def test_a_quantity_that_mixes_or_cannot_be_meant_is_refused(value, plus, kind, words):
    with pytest.raises(InputError) as caught:
        dim(value, plus=plus, kind=kind, name="lens")
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 300


def test_no_angle_needs_no_unit():
    assert dim(0, kind=ANGLE).nominal == dim("0", kind=ANGLE).nominal == 0


@pytest.mark.parametrize(
    ("note", "lower", "upper"),
    [
        ("20 °C ± 5 K", 15, 25),
        ("20 °C +5 K/-2 K", 18, 25),
        ("68 °F ± 9 Δ°F", 15, 25),
        ("20 °C ± 9 °F", 15, 25),
        ("293.15 K ± 2 °C", 18, 22),
    ],
)
def test_a_tolerance_of_a_temperature_is_a_difference(note, lower, upper):
    assert dim(note).worst_case() == pytest.approx((lower, upper))


@pytest.mark.parametrize("note", ["10 Δ°C", "10 delta_degF ± 1", "10 Δ°C .. 20 Δ°C"])
def test_a_difference_of_temperatures_is_no_temperature(note):
    with pytest.raises(UnitError, match="is a difference of temperatures"):
        dim(note)


@pytest.mark.parametrize(
    ("note", "write"), [("0.4 J", "N·m for a torque"), ("5 sr", "rad or deg"), ("20 °C .. 300 K", "cannot stand")]
)
def test_a_unit_that_means_something_else_is_refused(note, write):
    with pytest.raises(UnitError, match=write):
        dim(note)


@pytest.mark.parametrize("said", ["10 Δ°C", "10 delta_degF", U.Quantity(10, "delta_degC")])
def test_nor_where_one_temperature_is_asked_for(said):
    with pytest.raises(UnitError, match=r"t = .*is a difference of temperatures: a temperature is needed"):
        read(said, TEMPERATURE, "t")
    assert read(said, TEMPERATURE, "t", difference=True) == pytest.approx(10 if "F" not in str(said) else 10 / 1.8)
