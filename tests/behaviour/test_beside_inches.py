"""One who works in inches: a number alone beside inches is refused with what to write, wherever the two can meet.

Without that 1.93 is taken for 1.93 mm where 1.93 in was meant, and holds.
"""

import copy
import pickle

import numpy as np
import pint
import pytest

import fitcheck as fc
from fitcheck import stack, threads
from fitcheck.errors import InputError, UnitError
from fitcheck.units import INCH

U = pint.UnitRegistry()
SOCKET = fc.dim("2.520 ± 0.008 in", name="socket")
MODULE = fc.dim("0.571 ± 0.012 in", name="module")
GAP = SOCKET - MODULE
AREA = fc.response(lambda a, b: a - b, a=SOCKET, b=MODULE, unit=SOCKET.unit)
PUSH = fc.dim("12 ± 1 lbf", name="push")
WARM = fc.dim("104 ± 5 °F", name="warm")
DEPTH = {"adds": ["2.520 ± 0.008 in"], "takes": ["0.571 ± 0.012 in"], "at_least": "1.94 in"}

DOORS = {
    "probability, below": (lambda x: GAP.probability(below=x), 1.93),
    "probability, above": (lambda x: GAP.probability(above=x), 1.96),
    "probability of a part": (lambda x: SOCKET.probability(below=x), 2.515),
    "probability of a function": (lambda x: AREA.probability(below=x), 1.93),
    "plot": (lambda x: GAP.plot(below=x), 1.93),
    "sum": (lambda x: SOCKET + x, 0.571),
    "difference": (lambda x: SOCKET - x, 0.571),
    "difference the other way": (lambda x: x - SOCKET, 3.0),
    "require": (lambda x: fc.require(GAP, at_least=x), 1.9),
    "any fails": (lambda x: stack.any_fails([stack.Required(GAP, x)]), 1.93),
    "solve": (lambda x: stack.solve_for(GAP, MODULE, below=x), 1.93),
    "solve between": (lambda x: stack.solve_for(GAP, MODULE, below="1.93 in", between=(x, "0.6 in")), 0.5),
    "tighten": (lambda x: stack.tighten(GAP, below=x), 1.935),
    "allocate": (lambda x: stack.allocate(GAP, half_width=x), 0.01),
    "bounds": (lambda x: stack.allocate(GAP, half_width="0.01 in", bounds={"socket": (x, "0.1 in")}), 0.001),
    "in proportion": (lambda x: stack.in_proportion(GAP, ["socket", "module"], half_width=x), 0.01),
    "as built": (lambda x: stack.as_built(SOCKET, x, "0.001 in"), 2.519),
    "as built, U": (lambda x: stack.as_built(SOCKET, "2.519 in", x), 0.001),
    "inspected, nominal": (lambda x: stack.inspected([2.51 * U.inch, 2.52 * U.inch], nominal=x), 2.515),
    "measured, with a unit": (lambda x: stack.measured(x, "0.001 in", unit=INCH), 2.518),
    "measured U, with a unit": (lambda x: stack.measured("2.518 in", x, unit=INCH), 0.001),
    "identify, wear": (lambda x: fc.identify(outside="0.240 in", wear=x), 0.005),
    "identify, U": (lambda x: fc.identify(outside="0.245 in", U=x), 0.002),
    "identify, pitch": (lambda x: fc.identify(outside="0.245 in", pitch=x), 0.05),
    "identify, U of the pitch": (lambda x: fc.identify(outside="0.245 in", pitch="1/20 in", U_pitch=x), 0.001),
    "engagement": (lambda x: fc.thread("1/4-20 UNC-2A", engagement=x), 0.5),
    "shim": (lambda x: threads.clock(0, "90 deg", "1/4-20 UNC-2A", tolerance=x), 0.001),
    "over wires": (lambda x: threads.pitch_over_wires("1/4-20 UNC-2A", x), 0.258),
    "wires": (lambda x: threads.pitch_over_wires("1/4-20 UNC-2A", "0.258 measured ± 0.0002 in", x), 0.0289),
    "pitch error": (lambda x: threads.functional_pitch("1/4-20 UNC-2A", "0.2140 in", x), 0.0004),
    "decide, U": (lambda x: threads.decide(0.2140 * U.inch, x, 0.2127 * U.inch, 0.2164 * U.inch), 0.0004),
    "decide on a thread": (lambda x: threads.decide_size("1/4-20 UNC-2A", "pitch", x, "0.0004 in"), 0.2140),
    "workshop": (lambda x: fc.measure_next("blade_depth", **DEPTH, workshop={"caliper": x}), 0.001),
    "ask": (lambda x: fc.ask("blade_depth", **{**DEPTH, "at_least": x}), 1.94),
    "force": (lambda x: PUSH.probability(below=x), 11.5),
    "temperature": (lambda x: WARM.probability(above=x), 105.0),
    "temperature of a part": (lambda x: stack.at_temperature(SOCKET, "23e-6 1/K", x), 104.0),
}  # fmt: skip
_IN = {"force": "lbf", "temperature": "°F", "temperature of a part": "°F"}


@pytest.mark.parametrize("door", DOORS)
def test_a_number_alone_beside_inches_is_refused_and_one_with_its_unit_read(door):
    call, number = DOORS[door]
    for bare in (number, np.float64(number)):
        with pytest.raises(UnitError, match="names no unit") as caught:
            call(bare)
        assert len(str(caught.value)) < 300
        assert "np." not in str(caught.value)
    unit = _IN.get(door, "in")
    call(f"{number} {unit}")
    call(U.Quantity(number, {"in": "inch", "°F": "degF"}.get(unit, unit)))


def test_what_to_write_is_said():
    with pytest.raises(
        UnitError, match=r"^below = 1.93 names no unit, beside .* in inches: write '1.93 in' or '1.93 mm'"
    ):
        GAP.probability(below=1.93)
    with pytest.raises(UnitError, match=r"write '11\.5 lbf' or '11\.5 N'"):
        PUSH.probability(below=11.5)


def test_nothing_is_nothing_in_inches_and_in_mm():
    assert GAP.probability(below=0) == 0
    assert (SOCKET + 0).nominal == sum([SOCKET, MODULE]).nominal - MODULE.nominal == SOCKET.nominal
    assert str(fc.require(GAP, at_least=0).verdict) == "holds"
    with pytest.raises(UnitError, match="names no unit"):  # but 0 °C is not 0 °F
        WARM.probability(below=0)


def test_a_metric_gap_takes_numbers_in_mm_as_before():
    gap = fc.dim("25.4 ± 0.05") - fc.dim("25.2 ± 0.02")
    assert gap.probability(below=0.15) == gap.probability(below="0.15 mm") == gap.probability(below=0.15 * U.mm) > 0
    assert (gap - 0.1).nominal == pytest.approx(0.1)
    assert (
        fc.thread("M6", engagement=5).limits().as_printed() == fc.thread("M6", engagement="5 mm").limits().as_printed()
    )


def test_an_answer_in_inches_is_the_one_in_mm():
    same = fc.dim("64.008 ± 0.2032") - fc.dim("14.5034 ± 0.3048")
    assert GAP.probability(below="1.94 in") == pytest.approx(same.probability(below=1.94 * 25.4), rel=1e-9)
    assert (SOCKET - "0.571 in").nominal == pytest.approx(SOCKET.nominal - 0.571 * 25.4)


def test_a_quantity_may_stand_on_the_left():
    for other in (pint.UnitRegistry(), pint.get_application_registry()):
        shim = 0.571 * other.inch
        assert (shim + SOCKET).nominal == (SOCKET + shim).nominal == pytest.approx(3.091 * 25.4)
        assert (shim - SOCKET).nominal == -(SOCKET - shim).nominal
        assert (14.5 * other.mm + GAP).unit is GAP.unit
        with pytest.raises(InputError, match="product of two sizes"):
            shim * SOCKET
        with pytest.raises(InputError, match="is a force"):
            3 * other.lbf + SOCKET
        with pytest.raises(InputError, match="a length is needed"):
            np.array([0.5, 0.6]) * other.inch + SOCKET


def test_a_quantity_with_an_uncertainty_is_refused_with_what_to_write():
    pytest.importorskip("uncertainties")
    with pytest.raises(UnitError, match=r"uncertainty of its own: write a number with plus= .*measured\(value, U\)"):
        fc.dim((2.52 * U.inch).plus_minus(0.008))


def test_a_registry_in_the_wrong_place_is_told_where_it_goes():
    for made in (GAP, AREA, fc.require(GAP, at_least=0)):
        with pytest.raises(UnitError, match="write registry="):
            made.as_quantity(U)
        assert made.as_quantity("1.9 in", registry=U).to("inch").magnitude == pytest.approx(1.9)
        with pytest.raises(UnitError, match="is a force"):
            made.as_quantity("3 N")


def test_a_kind_may_be_named():
    assert fc.dim("5 in", kind="length").nominal == pytest.approx(127)
    with pytest.raises(UnitError, match="a torque is needed"):
        fc.dim("5 in", kind="torque")
    with pytest.raises(InputError, match=r"kind = 'lenght': one of 'length', .* \(did you mean 'length'\?\)"):
        fc.dim("5 in", kind="lenght")


def test_a_pitch_may_be_one_inch_in_so_many():
    assert fc.identify(outside="0.247 in", pitch="1/20 in").best == fc.identify(outside="0.247 in", tpi=20).best
    assert fc.dim("1/18 in").nominal == pytest.approx(25.4 / 18)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (
            lambda: fc.identify(outsid="0.245 in"),
            "outsid: unknown (did you mean 'outside'?); accepted are outside, bore",
        ),
        (lambda: fc.require(GAP, atleast="1 in"), "atleast: unknown (did you mean 'at_least'?)"),
        (lambda: fc.dim("5 in", knd="length"), "knd: unknown (did you mean 'kind'?)"),
        (lambda: fc.thread("M6", engagment=5), "engagment: unknown (did you mean 'engagement'?)"),
        (lambda: GAP.probability(blow="1 in"), "blow: unknown (did you mean 'below'?); accepted are below, above"),
        (lambda: GAP.plot(bellow="1 in"), "bellow: unknown (did you mean 'below'?)"),
        (lambda: fc.add_material("x", source="y", tensil=3), "tensil: unknown (did you mean 'tensile'?)"),
    ],
)
def test_an_unknown_keyword_names_the_near_one(call, said):
    with pytest.raises(InputError) as caught:
        call()
    assert said in str(caught.value)
    assert isinstance(caught.value, TypeError)


def test_ends_say_the_unit_they_are_shown_in_and_are_tuples_in_mm_all_the_same():
    worst = GAP.worst_case()
    assert repr(worst) == "Interval(min=48.9966, max=50.0126; 1.929 to 1.969 in)"
    assert str(worst) == "1.929 to 1.969 in"
    low, high = worst
    assert (low, high) == worst == stack.Interval(low, high)
    assert hash(worst) == hash((low, high))
    assert [one.to("inch").magnitude for one in worst.as_quantities(registry=U)] == pytest.approx([1.929, 1.969])
    assert "1.929 in" in worst._repr_html_()
    room = stack.solve_for(GAP, MODULE, below="1.90 in", above="2.00 in")
    assert str(room) == "0.570 in, 0.540 in to 0.600 in"
    clearance = fc.pair("1/4-20 UNC-2B/2A").clearance("major")
    assert str(clearance) == "at least 0.001 in"
    assert clearance.as_quantities()[1] is None
    assert str(PUSH.interval(0.5)) == "11.5 to 12.5 lbf"
    for one in (worst, room, clearance, GAP.rss(), AREA.interval(), fc.require(GAP, at_least=0).worst_case):
        for copied in (pickle.loads(pickle.dumps(one)), copy.deepcopy(one), one._replace()):
            assert copied == one
            assert type(copied) is type(one)
            assert str(copied) == str(one)
            assert " in" in repr(copied)
    assert repr(fc.dim("10 ± 0.1").worst_case()) == str(stack.Interval(9.9, 10.1)) == "Interval(min=9.9, max=10.1)"


def test_one_finding_and_what_was_identified_are_tables_too():
    found = fc.ask("blade_depth", **DEPTH)
    assert found[0].frame().equals(found.frame())
    table = fc.identify(outside="0.1875 in", most=100).frame()
    assert table["probability"].sum() == pytest.approx(1, abs=0.01)
    assert table["thread"].iloc[-1] == "a thread on no list"


def test_findings_are_picked_by_the_table_of_their_question_too():
    found = fc.ask("plug_length", travel="4 ± 0.2", seat="9 ± 0.2", adds=["16 ± 0.2"])
    assert found["plug_length"] == found["Plug length"] == found["shortened plug"]
    with pytest.raises(InputError, match=r"did you mean 'plug_length'\?\); there are shortened plug, .*, plug_length$"):
        found["plug_lenght"]
    with pytest.raises(InputError, match="none of that name"):
        found["blade_depth"]


SCREW_IN = {
    "hole": "#8-32 UNC-2B", "screw": "#8-32 UNC-3A", "outside": "1.250 ± 0.002 in", "bore": "1.000 +0.002/-0.000 in",
    "blade": "0.985 ± 0.006 in", "wall_material": "6061-T6", "screw_material": "45H", "pull": "10 lbf",
    "friction_thread": "0.15 ± 0.05", "friction_point": "0.3 ± 0.1", "friction_bore": "0.3 ± 0.1",
}  # fmt: skip


def test_a_hand_by_its_name_is_told_in_inch_pounds_beside_inches():
    found = fc.ask("set_screw", **SCREW_IN, hand_torque="short key")
    noted = fc.ask("set_screw", **SCREW_IN, hand_torque="1 .. 3 N·m")
    said = " ".join([found[0].answer, *found[0].change, found[1].answer])
    assert "in·lbf" in said
    assert "lbf" in found[1].requirement_words
    assert "N·m" not in said
    assert "N·m" in noted[0].answer, "what names its unit keeps it"
    metric = {
        **SCREW_IN,
        "hole": "M4-6H",
        "screw": "M4-6g",
        "outside": "30",
        "bore": "25.4",
        "blade": "25",
        "pull": "50",
    }
    assert "N·m" in fc.ask("set_screw", **metric, hand_torque="short key")[0].answer


def test_a_key_that_does_not_fit_is_told_in_its_own_unit():
    with pytest.raises(InputError, match=r"key = 0.05 in: the socket of #8 is 0.07812 in across flats"):
        fc.ask("set_screw", **SCREW_IN, hand_torque="short key", key="0.050 in")


def test_trials_are_offered_where_they_are_expected_to_pay_and_the_hand_is_explained():
    (hard, *_), (gentle, *_) = (
        fc.ask("set_screw", **SCREW_IN, hand_torque=hand) for hand in ("short key", "2.6 ± 0.3 in·lbf")
    )
    offered = [any("in scrap of the same stock" in line for line in one.change) for one in (hard, gentle)]
    hopeless = ["none that is to be hoped for" in one.details["more trials"] for one in (hard, gentle)]
    assert (offered, hopeless) == ([False, True], [True, False])
    assert any("at the least it puts on 33% of its most. A steadier one needs fewer" in one for one in hard.assumptions)
    assert any("at the least it puts on 79% of its most" in one for one in gentle.assumptions)


def test_a_row_shown_in_inches_names_its_unit():
    with pytest.raises(UnitError, match=r"values = \[2.51, 2.52\] name no unit, and are to be shown in in"):
        stack.inspected([2.51, 2.52], unit=INCH)
    assert str(stack.inspected([2.51, 2.52] * U.inch)) == "2.515 ± 0.005 in"


def test_trials_may_be_quantities_beside_texts():
    trials = [9 * U.inch * U.lbf, "11 in·lbf"]
    found = fc.strip_trials(trials, **SCREW_IN, hand_torque="5 ± 1 in·lbf")
    assert found.asked.trials == pytest.approx((9 * 0.112985, 11 * 0.112985), rel=1e-4)


def test_tolerances_that_were_allocated_are_told_in_inches():
    assert repr(stack.allocate(GAP, half_width="0.01 in")).startswith(
        "<allocation: socket ± 0.005 in, module ± 0.005 in"
    )


def test_a_fit_in_inches_is_told_in_inches():
    said = str(fc.fit("1.5 in H7/g6"))
    assert said.startswith("1.5 in H7/g6, clearance fit: clearance 0.00035 to 0.00197 in (")
    assert fc.fit("1.5 in H7/g6") == fc.fit("38.1 H7/g6")
    assert fc.describe("1.5 in H7").startswith("1.5 in H7 hole: 0 / +0.00098 in, 1.50000 to 1.50098 in")
    assert str(fc.fit("1.5 in H7/g6").clearance_sum().worst_case()) == "0.0003 to 0.0020 in"


def test_a_tolerance_that_was_converted_has_no_more_digits_than_it_is_worth():
    assert str(fc.dim("2.52 in ± 0.05 mm")) == "2.52 ± 0.001969 in"
    assert str(fc.dim("1/2 in ± 1/64")) == "0.5 ± 0.015625 in"
    assert str(fc.dim("25.4 ± 0.0123")) == "25.4 ± 0.0123 mm"
