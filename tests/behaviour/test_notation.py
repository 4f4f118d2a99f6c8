"""Drawing notes: what is read, and what is refused with one clear line."""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.errors import InputError, NotationError, UnitError
from fitcheck.notation import dim
from fitcheck.units import STRESS, TORQUE

IN = 25.4


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
