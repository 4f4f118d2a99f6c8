"""Laws that hold for every thread, diameter, pitch, grade and class."""

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from fitcheck.errors import DesignationError, InputError
from fitcheck.notation import dim
from fitcheck.threads import (
    asme_b1_1,
    catalogue,
    coating,
    cut_for_coating,
    iso965,
    measuring,
    pair,
    profile,
    thread,
)
from fitcheck.threads.clocking import advance_of, angle_of, clock
from fitcheck.threads.series import metric_sizes, unified_arrays, unified_sizes

METRIC = [(d, P) for d, size in metric_sizes().items() for P in size.pitches]
UNIFIED = list(unified_sizes().values())
hands = st.sampled_from(["", "-LH"])


@st.composite
def metric_texts(draw):
    cls = draw(st.sampled_from(catalogue.METRIC_CLASSES))
    every, _ = catalogue.limit_arrays(cls)
    k = draw(st.integers(0, len(every.size) - 1))
    return f"{every.size[k]}x{every.pitch[k]:g}-{cls}{draw(hands)}"


@st.composite
def unified_texts(draw):
    one = draw(st.sampled_from(UNIFIED))
    rounded = draw(st.booleans())
    series = one.series.replace("UN", "UNR") if rounded else one.series
    return f"{one.size}-{one.tpi:g} {series}-{draw(st.sampled_from(catalogue.UNIFIED_CLASSES))}{draw(hands)}"


@st.composite
def special_texts(draw):
    d = draw(st.integers(10, 3500) | st.integers(10_000, 3_500_000).map(lambda d: d / 1000)) / 10
    P = draw(st.integers(5, 300) | st.integers(500, 30_000).map(lambda P: P / 100)) / 50
    # Coarser leaves no core, finer no thread outside its tolerance; both are refused (see below).
    assume(1.6 * P < d <= 355)
    assume(iso965.pitch_tolerance(d, P, 7, external=False) < 1000 * profile.ADDENDUM * P)
    starts = draw(st.integers(1, 5))
    pitch = f"{P:.4f}" if starts == 1 else f"Ph{starts * round(P * 10_000) / 10_000:.4f}P{P:.4f}"
    group = draw(st.sampled_from(["", "-S", "-L"]))
    return f"M{d:.4f}x{pitch}-{draw(st.sampled_from(['6g', '4h', '6H', '5g6g', '7G']))}{group}{draw(hands)} special"


@st.composite
def special_inch_texts(draw):
    # Whole inches may be taken for number sizes when read back.
    D = draw(st.integers(600, 60_000) | st.integers(1, 12).map(lambda inches: 10_000 * inches))
    n = draw(st.integers(4, 80) | st.integers(400, 8000).map(lambda n: n / 100))
    LE = draw(st.none() | st.integers(5000, 30_000).map(lambda LE: LE / 10_000))
    assume(n * D > 14_000)
    assume(LE is None or LE < 20 * D / 10_000)
    assume(1.96 * asme_b1_1.pitch_tolerance(D / 10_000, LE or 9 / n, n) < profile.ADDENDUM / n)
    cls = draw(st.sampled_from(catalogue.UNIFIED_CLASSES))
    return f"{D / 10_000:.4f}-{n:g} UNS-{cls}{draw(hands)}{'' if LE is None else f' LE {LE:.4f}'}"


texts = st.one_of(metric_texts(), unified_texts(), special_texts(), special_inch_texts())


@given(texts)
def test_reading_what_was_written_gives_the_same_thread(text):
    one = thread(text)
    again = thread(one.designation)
    assert again == one
    assert again.designation == one.designation


def test_every_thread_of_the_catalogue_is_read_back_as_itself():
    for cls in (*catalogue.METRIC_CLASSES, *catalogue.UNIFIED_CLASSES):
        every, _ = catalogue.limit_arrays(cls)
        for size, P, n, series in zip(every.size, every.pitch, every.tpi, every.series, strict=True):
            text = f"{size}x{P:g}-{cls}" if size.startswith("M") else f"{size}-{n:g} {series}-{cls}"
            one = thread(text)
            assert one.designation == text
            assert one.tolerance_class == cls


@given(texts)
def test_the_largest_is_at_least_the_least(text):
    found = thread(text).limits()
    for size in (found.major, found.pitch, found.minor):
        if size.max is not None and size.min is not None:
            assert size.max >= size.min
    assert found.pitch.max > found.pitch.min
    for key, value in found.as_printed().items():
        assert math.isfinite(float(value)), key


@given(texts, st.booleans())
def test_the_diameters_keep_their_order(text, mirrored):
    one = thread(text).mirrored() if mirrored else thread(text)
    found = one.limits()
    assert found.as_printed() == thread(text).limits().as_printed()
    major = found.major.max if one.external else found.major.min
    assert major > found.pitch.max > (found.minor.max if one.external else found.minor.min)


@given(metric_texts(), st.sampled_from(["4H", "5H", "6H", "7H", "6G"]))
def test_metric_go_limits_never_interfere(text, internal):
    screw = thread(text)
    assume(screw.external)
    assume(iso965.tabulated(screw.nominal, screw.pitch, (int(internal[0]), int(internal[0])), internal[1]))
    nut = thread(f"M{screw.size}x{screw.pitch:g}-{internal}{'-LH' if screw.left_hand else ''}")
    one = pair(screw, nut)
    assert all(one.clearance(which).min >= -1e-9 for which in ("major", "pitch", "minor"))
    assert one.start == "starts"
    assert one.turns() == (math.inf, math.inf) or one.clearance("pitch").min == pytest.approx(0, abs=1e-9)


@given(unified_texts(), st.sampled_from(["1B", "2B", "3B"]))
def test_unified_go_limits_never_interfere(text, internal):
    screw = thread(text)
    assume(screw.external)
    nut = thread(f"{screw.size}-{screw.tpi:g} {screw.series}-{internal}{'-LH' if screw.left_hand else ''}")
    one = pair(screw, nut)
    for which in ("major", "pitch"):
        assert one.clearance(which).min >= -1e-9
    # Minor diameters of 1B to 3B have three printed decimals, which may lie half a unit below the basic size.
    assert one.clearance("minor").min >= -0.00051 * 25.4


def test_tolerances_grow_with_grade():
    d, P = (np.array(column) for column in zip(*METRIC, strict=True))
    for external in (True, False):
        grades = sorted(iso965.grades()["Td2" if external else "TD2"])
        rows = [iso965.pitch_tolerance(d, P, grade, external=external) for grade in grades]
        assert (np.diff(rows, axis=0) > 0).all()
        grades = sorted(iso965.grades()["Td" if external else "TD1"])
        rows = [iso965.crest_tolerance(P, grade, external=external) for grade in grades]
        assert (np.diff(rows, axis=0) > 0).all()


@given(st.floats(1, 355), st.floats(1, 355), st.floats(0.2, 8), st.floats(0.2, 8), st.sampled_from([True, False]))
def test_tolerances_grow_with_pitch_and_diameter(d, other, P, other_P, external):
    """Away from the tabulated exceptions, which break the smooth progression on purpose."""
    (d, other), (P, other_P) = sorted((d, other)), sorted((P, other_P))
    assert iso965.pitch_tolerance(d, P, 6, external=external) <= iso965.pitch_tolerance(
        other, other_P, 6, external=external
    )
    assert iso965.crest_tolerance(P, 6, external=external) <= iso965.crest_tolerance(other_P, 6, external=external) or (
        0.8 < other_P < 1  # between the two formulas of TD1
    )


@given(st.integers(600, 60_000), st.integers(600, 60_000), st.integers(4, 80), st.integers(4, 80))
def test_unified_tolerances_grow_with_pitch_and_diameter_and_fall_with_the_class(D, other, n, other_n):
    """For UNS of equal engagement; a class is coarser, and its tolerance larger, the smaller its number."""
    (D, other), (n, other_n) = sorted((D / 10_000, other / 10_000)), sorted((n, other_n), reverse=True)

    def tolerance(D, n, cls):
        find = asme_b1_1.external_limits if cls.endswith("A") else asme_b1_1.internal_limits
        found = find(asme_b1_1.Sizes(D, n, 1.0, D, asme_b1_1.SERIES.index("UNS")), cls)
        return int(found["pitch_max"] - found["pitch_min"])

    for cls in catalogue.UNIFIED_CLASSES:
        assert tolerance(D, n, cls) <= tolerance(other, other_n, cls)
    for letter in "AB":
        assert tolerance(D, n, f"3{letter}") < tolerance(D, n, f"2{letter}") < tolerance(D, n, f"1{letter}")


@given(st.sampled_from(UNIFIED), st.sampled_from(catalogue.UNIFIED_CLASSES), st.integers(20, 400))
def test_inches_and_millimetres_ask_for_the_same_unified_thread(one, cls, length):
    """A size in inches with its length of engagement in mm, and the same in other words, have the same limits."""
    assume(length / 100 < 20 * one.diameter / 10_000)
    text = f"{one.size}-{one.tpi:g} {one.series}-{cls}"
    in_mm = thread(text, engagement=f"{length / 100 * 25.4} mm").limits()
    assert in_mm == thread(text, engagement=f"{length / 100} in").limits()
    assert in_mm.as_printed() == thread(f"{text} LE {length / 100}").limits().as_printed()
    for key, quantity in in_mm.quantities().items():
        assert float(in_mm.as_printed()[key]) == pytest.approx(quantity.to("mm").magnitude / 25.4, abs=1e-9)


@given(st.sampled_from(UNIFIED), st.sampled_from(catalogue.UNIFIED_CLASSES))
def test_unified_limits_in_mm_are_those_in_inches(one, cls):
    found = thread(f"{one.size}-{one.tpi:g} {one.series}-{cls}").limits()
    D, n = np.array([one.diameter / 10_000]), np.array([one.tpi])
    find = asme_b1_1.external_limits if cls.endswith("A") else asme_b1_1.internal_limits
    inches = find(unified_arrays(D, n, [one.series]), cls)
    assert found.pitch.max / 25.4 == pytest.approx(inches["pitch_max"][0] / 10_000, rel=1e-14)
    assert found.pitch.min / 25.4 == pytest.approx(inches["pitch_min"][0] / 10_000, rel=1e-14)


@given(st.sampled_from(METRIC), st.sampled_from(["4h", "6g", "6H", "7H"]))
def test_arrays_and_single_threads_agree(size, cls):
    d, P = size
    found = thread(f"M{d:g}x{P:g}-{cls}").limits()
    find = iso965.external_limits if cls.islower() else iso965.internal_limits
    many = find(np.full(5, d), np.full(5, P), (int(cls[0]), int(cls[0])), cls[-1])
    for key, values in many.items():
        assert (values == found.values[key]).all()


@given(
    st.floats(1, 300),
    st.floats(0.2, 6),
    st.floats(-0.05, 0.05),
    st.floats(-0.1, 0.1),
    st.floats(-0.1, 0.1),
    st.booleans(),
)
def test_errors_of_form_use_up_clearance(d2, P, pitch_error, left, right, external):
    found = measuring.functional_diameter(d2, P, pitch_error=pitch_error, angle_errors=(left, right), external=external)
    assert found >= d2 if external else found <= d2


@given(st.floats(0.2, 6), st.floats(3, 40), st.floats(0.51, 1.0))
def test_over_wires_and_back(P, ratio, wire):
    d2, w = ratio * P, wire * P
    M = measuring.over_wires(d2, w, P)
    assert measuring.pitch_diameter_over_wires(M, w, P) == pytest.approx(d2, rel=1e-9)


@given(metric_texts(), st.floats(0, 0.02), st.floats(0, 1), st.floats(0.1, 1), st.data())
def test_a_thread_cut_for_its_coating_lies_within_its_limits_coated(text, thickness, scatter, growth, data):
    """Whatever size it is cut to within the limits for cutting, and however thick the film is within its own."""
    wanted = thread(text).limits()
    film = coating("any film", dim(thickness, plus=scatter * thickness), growth)
    factors = (("major", 2), ("pitch", 4), ("minor", 2))
    spread = 2 * scatter * thickness * growth
    tolerances = ((getattr(wanted, which).tolerance, times) for which, times in factors)
    # Equality, at the last bit, may go either way.
    assume(all(tolerance is None or abs(times * spread - tolerance) > 1e-9 for tolerance, times in tolerances))
    if any((getattr(wanted, which).tolerance or 1) < times * spread for which, times in factors):
        with pytest.raises(InputError, match="more than its tolerance"):
            cut_for_coating(wanted, film)
        return
    cut = cut_for_coating(wanted, film)
    sense = 1 if wanted.thread.external else -1
    for which, times in factors:
        before, limits, after = getattr(cut.before, which), getattr(wanted, which), getattr(cut, which)
        if before.max is None or before.min is None:
            continue
        size = data.draw(st.floats(before.min, before.max))
        skin = data.draw(st.floats(film.thickness.lower, film.thickness.upper))
        coated = size + sense * times * growth * skin
        assert limits.min - 1e-9 <= coated <= limits.max + 1e-9
        assert (after.min, after.max) == pytest.approx((limits.min, limits.max))


@given(st.floats(0.1, 5), st.floats(1, 200), st.integers(1, 4))
def test_the_lead_angle_unrolls_to_the_lead(P, d2, starts):
    assert math.tan(profile.lead_angle(d2, P, starts)) * math.pi * d2 == pytest.approx(starts * P)


@given(st.floats(-10, 10), st.floats(-10, 10), st.sampled_from(["M36x1.5-6g", "1-8 UNC-2A"]), st.booleans())
def test_clocking_is_mirrored_by_the_hand(now, wanted, text, shim):
    one = thread(text)
    by, other = ("shim", "facing") if shim else ("facing", "shim")
    now, wanted_text = f"{now} rad", f"{wanted} rad"
    found = clock(now, wanted_text, one, by=by)
    assert 0 <= found.amount < one.lead
    assert math.cos(found.angle - wanted) == pytest.approx(1)
    assert clock(now, wanted_text, one.mirrored(), by=other).amount == pytest.approx(found.amount)


@given(st.floats(-5, 5), st.floats(0.2, 6), st.booleans())
def test_angle_and_advance_are_inverse(axial, lead, left_hand):
    angle = angle_of(axial, lead, left_hand=left_hand)
    assert advance_of(angle, lead, left_hand=left_hand) == pytest.approx(axial)
    assert angle_of(axial, lead, left_hand=not left_hand) == -angle


@settings(max_examples=400)
@given(st.text(max_size=90) | st.text("M#x.-/ 0123456789UNCFESABghLHPhe×,٦", max_size=40))
def test_whatever_is_typed_gives_a_thread_or_one_clear_error(text):
    try:
        found = thread(text)
    except DesignationError as error:
        message = str(error)
    else:
        assert thread(found.designation) == found
        found.limits()
        return
    assert message.startswith("thread ")
    assert "\n" not in message
