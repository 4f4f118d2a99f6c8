"""What is asked every day in one call: a requirement of one's own, the clearance of a pair, a thread over wires."""

import numpy as np
import pytest

import fitcheck as fc
from fitcheck import threads
from fitcheck.errors import InputError, UnitError
from fitcheck.stack import Normal


def test_a_requirement_of_ones_own_is_a_finding_like_any():
    gap = fc.dim("10.2 ± 0.1", name="room") - fc.dim("10.0 ± 0.05", name="part")
    found = fc.require(gap, at_least="0.02 mm", what="gap", name="lid")
    assert (str(found.verdict), found.question, found.name, found.quantity) == ("holds", "requirement", "lid", "gap")
    assert found.change == ()
    likely = fc.require(gap, at_least="0.051 mm")
    assert str(likely.verdict) == "likely"
    assert fc.require(gap, at_least=0.051).probability == likely.probability


@pytest.mark.parametrize("at_least", ["0.1 mm", "0.19 mm", "0.3 mm"])
def test_the_change_that_is_advised_meets_the_requirement(at_least):
    gap = fc.dim("10.2 ± 0.1", name="room") - fc.dim("10.0 ± 0.05", name="part")
    found = fc.require(gap, at_least=at_least)
    by = float(found.change[0].split()[2])
    assert str(fc.require(gap + by, at_least=at_least).verdict) == "holds"
    assert str(fc.require(gap + (by - 0.011), at_least=at_least).verdict) != "holds"


def test_a_function_and_two_limits():
    area = fc.response(lambda a, b: a * b, a=fc.dim("10 ± 0.1"), b=fc.dim("5 ± 0.1"), name="area")
    assert str(fc.require(area, at_least=48, at_most=52).verdict) == "holds"
    assert str(fc.require(area, at_most=50.5).verdict) == "fails"
    wide = fc.require(fc.dim("10 ± 0.2"), at_least=9.9, at_most=10.1)
    assert wide.change == ("tighten its members: it varies by more than its limits allow",)


def test_what_is_no_requirement_is_refused():
    gap = fc.dim("10.2 ± 0.1") - fc.dim("10.0 ± 0.05")
    with pytest.raises(InputError, match="give at_least=, at_most= or both"):
        fc.require(gap)
    with pytest.raises(UnitError, match="at_least"):
        fc.require(gap, at_least="2 N")
    with pytest.raises(InputError, match="a dimension, a sum of dimensions or a response"):
        fc.require(3.0, at_least=1)


def test_the_clearance_of_a_pair_has_the_limits_of_the_pair():
    pair = fc.pair("M6-6H/6g")
    gap = pair.clearance_sum("pitch")
    assert tuple(gap.worst_case()) == pytest.approx(tuple(pair.clearance("pitch")))
    with_shim = gap + fc.dim("0.02 ± 0.01")
    assert with_shim.worst_case().min == pytest.approx(gap.worst_case().min + 0.01)
    with pytest.raises(InputError, match="no largest major diameter"):
        pair.clearance_sum("major")


def test_a_coated_pair_has_its_films_in_the_clearance():
    film = threads.coating("hard anodic", "20 ± 3 µm")
    bare, coated = threads.thread("M30x1-6g"), threads.coat("M30x1-6g", film)
    nut = threads.coat(threads.thread("M30x1-6H"), film)
    gap = threads.pair(coated, nut).clearance_sum()
    assert tuple(gap.worst_case()) == pytest.approx(tuple(threads.pair(coated, nut).clearance("pitch")))
    # One film on both, so that they are as thick as each other: the sampled sum of all four parts.
    g = np.random.default_rng(0)
    D2, d2 = threads.thread("M30x1-6H").limits().pitch, bare.limits().pitch
    n = 400_000
    t = g.uniform(0.017, 0.023, n)
    sampled = g.uniform(D2.min, D2.max, n) - g.uniform(d2.min, d2.max, n) - 2 * 4 * 0.5 * t
    assert gap.probability(below=0) == pytest.approx(np.mean(sampled < 0), abs=0.002)


def test_a_worn_pair_keeps_the_spread_of_its_measurement():
    worn = threads.worn("M6x1-6g", pitch=fc.dim("5.20 measured ± 0.02"))
    gap = threads.pair(worn, "M6-6H").clearance_sum()
    assert isinstance(gap.members[1].spread, Normal)
    assert gap.members[1].middle == pytest.approx(5.2)
    assert tuple(gap.worst_case()) == pytest.approx(tuple(threads.pair(worn, "M6-6H").clearance("pitch")))


def test_the_clearance_of_a_fit():
    fit = fc.fit("40 H7/k6")
    gap = fit.clearance_sum()
    assert tuple(gap.worst_case()) == pytest.approx((fit.clearance_min, fit.clearance_max))
    assert gap.probability(below=0) == pytest.approx(0.4, abs=1e-9)  # by areas: 18 x 16 / 2 over 25 x 16, less a corner


def test_over_wires_and_back():
    table = threads.wires("1/4-20 UNC-2A")
    assert table.best == pytest.approx(0.57735 / 20 * 25.4, rel=1e-5)
    low, high = table.reads
    for reading, d2 in ((low, 0.2127), (high, 0.2164)):
        found = threads.pitch_over_wires("1/4-20 UNC-2A", f"{reading} measured ± 0.004 mm")
        assert found.middle == pytest.approx(d2 * 25.4, abs=1e-6)
    with_wires = threads.pitch_over_wires("M6x1-6g", "6.16 measured ± 0.003", "0.577 ± 0.001")
    assert with_wires.half_width == pytest.approx(np.hypot(0.003, 0.003))
    assert threads.worn("M6x1-6g", pitch=with_wires).dimension("pitch") is with_wires


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: threads.wires(threads.thread("M6-6H")), "a nut is not measured over wires"),
        (lambda: threads.pitch_over_wires("M6x1-6g", "6.16 measured ± 0.01", "0.3"), "wires of 0.5"),
        (lambda: threads.pitch_over_wires("M6x1-6g", "8 measured ± 0.01"), "is read over such wires on a good"),
        (lambda: threads.functional_pitch("M6x1-6g", "5.3", "0.01 ± 0.02"), "at least 0 over its whole zone"),
        (lambda: threads.functional_pitch(3, "5.3", "0.01"), "thread 3"),
        (lambda: threads.wires(None), "thread None"),
    ],
)
def test_wires_that_cannot_be_are_refused(call, said):
    with pytest.raises(InputError, match=said):
        call()


def test_a_functional_diameter_grows_on_a_screw_and_shrinks_in_a_nut():
    screw = threads.functional_pitch("M6x1-6g", "5.30 measured ± 0.004", "0.010")
    nut = threads.functional_pitch("M6x1-6H", "5.40 measured ± 0.004", "0.010")
    assert screw.nominal - 5.30 == pytest.approx(0.01732, abs=1e-5)
    assert nut.nominal - 5.40 == pytest.approx(-0.01732, abs=1e-5)


def test_the_depth_of_a_blade_needs_no_requirement():
    (depth,) = fc.ask("blade_depth", adds=["64 ± 0.2"], takes=["14.5 ± 0.3"])
    assert depth.nominal == pytest.approx(49.5)
    assert str(depth.verdict) == "holds"


@pytest.mark.parametrize("limit", [1.61, "1.61"])
def test_a_bare_limit_of_a_quantity_in_inches_is_refused(limit):
    """1.61 would be taken as 1.61 mm, and hold."""
    depth = fc.dim("2.520 ± 0.008 in") - fc.dim("0.571 ± 0.012 in") - fc.dim("0.315 ± 0.004 in")
    for key in ("at_least", "at_most"):
        with pytest.raises(
            UnitError, match=rf"{key} = 1.61 names no unit, beside a quantity in inches: write '1.61 in' or '1.61 mm'"
        ):
            fc.require(depth, **{key: limit})
    assert str(fc.require(depth, at_least="1.61 in").verdict) == "holds"
    assert str(fc.require(depth, at_least=0).verdict) == "holds"
