"""Laws of limits and fits that hold for every size and class (ISO 286-1)."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from fitcheck import fits
from fitcheck.errors import InputError, NotationError
from fitcheck.fits.classes import GRADES, LETTERS, read_class
from fitcheck.tables import table

SIZES = st.floats(min_value=1e-3, max_value=500.0)
SHAFTS = st.sampled_from(LETTERS)
NUMBERS = st.sampled_from([grade.removeprefix("IT") for grade in GRADES])
CLASSES = st.builds(
    lambda letter, grade, hole: (letter.upper() if hole else letter) + grade, SHAFTS, NUMBERS, st.booleans()
)
BOUNDS = [float(row["upto_incl"]) for row in table("iso286_shaft_deviations").rows]
LOOSE = [letter for letter in LETTERS if letter <= "h"]


def limits_or_none(text: str, size: float) -> fits.PlainLimits | None:
    """The limits, or None where the standard gives none and the library says so."""
    try:
        return fits.limits(text, size)
    except InputError:
        return None


@given(CLASSES, SIZES)
def test_width_is_the_standard_tolerance(text: str, size: float) -> None:
    found = limits_or_none(text, size)
    assume(found is not None)
    assert found is not None
    width = fits.standard_tolerance(read_class(text).grade, size)
    assert found.tolerance == pytest.approx(width, abs=1e-12)
    assert found.upper_deviation - found.lower_deviation == pytest.approx(width, abs=1e-12)
    assert found.min == pytest.approx(size + found.lower_deviation, abs=1e-9)
    assert found.max == pytest.approx(size + found.upper_deviation, abs=1e-9)
    assert found.min < found.max


@given(CLASSES, SIZES)
def test_the_fundamental_deviation_is_a_limit_and_the_nearer_one(text: str, size: float) -> None:
    found = limits_or_none(text, size)
    assume(found is not None)
    assert found is not None
    fundamental = fits.fundamental_deviation(text, size)
    assert fundamental in (found.lower_deviation, found.upper_deviation)
    if found.lower_deviation * found.upper_deviation >= 0:
        assert abs(float(fundamental)) == min(abs(found.lower_deviation), abs(found.upper_deviation))


@given(st.sampled_from(LOOSE), NUMBERS, SIZES)
def test_loose_holes_mirror_loose_shafts(letter: str, grade: str, size: float) -> None:
    shaft = limits_or_none(letter + grade, size)
    hole = limits_or_none(letter.upper() + grade, size)
    assert (hole is None) == (shaft is None)
    if hole is not None and shaft is not None:
        assert (hole.lower_deviation, hole.upper_deviation) == (-shaft.upper_deviation, -shaft.lower_deviation)


TIGHT = [letter for letter in LETTERS if letter > "h" and letter != "js"]
STEPS_OVER_3_MM = np.array(BOUNDS[1:])


@pytest.mark.parametrize(
    ("letter", "n"),
    [(letter, n) for letter in TIGHT for n in range(6 if letter == "j" else 3, 9)],  # j begins at IT5
)
def test_a_fit_of_either_system_has_the_same_clearance(letter: str, n: int) -> None:
    # The reason for delta: H7/p6 and P7/h6 play alike in every step over 3 mm, for holes J, K, M, N to IT8 and for
    # those from P on to IT7; with it the tables of J, from memory, are checked cell by cell against those of j.
    first = {"t": 24.0, "v": 14.0, "y": 18.0}.get(letter, 3.0)
    sizes = STEPS_OVER_3_MM[np.greater(STEPS_OVER_3_MM, first)]
    if letter == "m" and n == 6:  # the standard's own exception
        sizes = sizes[(sizes <= 250) | (sizes > 315)]
    ei, es = fits.limit_deviations(f"{letter}{n - 1}", sizes)
    EI, ES = fits.limit_deviations(f"{letter.upper()}{n}", sizes)
    H, h = fits.standard_tolerance(f"IT{n}", sizes), fits.standard_tolerance(f"IT{n - 1}", sizes)
    if letter == "k":  # k3 begins at 0 and K4 mirrors k4; k4 to k7 begin alike
        ei, es = fits.fundamental_deviation("k6", sizes), fits.fundamental_deviation("k6", sizes) + h
    if n == 8 and letter not in "jkmn":
        assert np.allclose(ES, -np.asarray(ei), atol=1e-12)  # from IT8 on P to ZC mirror the shaft
        return
    assert np.allclose(-np.asarray(es), EI, atol=1e-12)  # smallest clearance of H/letter and of LETTER/h
    assert np.allclose(H - np.asarray(ei), ES + h, atol=1e-12)  # largest


def test_k_begins_alike_from_it4_to_it7_and_at_the_nominal_size_otherwise() -> None:
    # ISO 286-1: k has one lower deviation for IT4 to IT7, and 0 for grades to IT3 and from IT8 on.
    sizes = STEPS_OVER_3_MM
    begins = np.asarray(fits.fundamental_deviation("k6", sizes))
    assert np.all(begins > 0)
    for n in range(3, 10):
        low, high = fits.limit_deviations(f"k{n}", sizes)
        assert np.array_equal(low, begins if 4 <= n <= 7 else 0 * begins), n
        assert np.allclose(np.asarray(high) - low, fits.standard_tolerance(f"IT{n}", sizes), atol=1e-12)


WIDE_LETTERS = list("defghkmnp")


@pytest.mark.parametrize("text", [*(f"{letter}7" for letter in WIDE_LETTERS), "j6", "j7", "J6", "J7", "J8", "M6"])
def test_letters_tabulated_by_wide_steps_are_constant_within_them(text: str) -> None:
    bounds = [0.0, *(float(row["upto_incl"]) for row in table("iso286_grades").rows)]
    for over, upto in pairwise(bounds):
        inside = [over + 1e-3, *(bound for bound in BOUNDS if over < bound <= upto)]
        assert len(set(np.asarray(fits.fundamental_deviation(text, inside)).tolist())) == 1, (text, upto)


@given(SIZES, st.integers(0, len(GRADES) - 2))
def test_a_coarser_grade_is_wider(size: float, index: int) -> None:
    assume(size > 1)
    assert fits.standard_tolerance(GRADES[index], size) < fits.standard_tolerance(GRADES[index + 1], size)


@given(SIZES, SIZES, st.sampled_from(GRADES[:15]))
def test_a_larger_size_is_never_held_closer(a: float, b: float, grade: str) -> None:
    small, large = sorted((a, b))
    assert fits.standard_tolerance(grade, small) <= fits.standard_tolerance(grade, large)


@given(SIZES, st.sampled_from(["5", "6", "7"]))
def test_the_letters_climb_from_loose_to_tight(size: float, grade: str) -> None:
    # j and js straddle the nominal size and stand outside the order.
    deviations = [
        found.upper_deviation
        for letter in LETTERS
        if letter not in ("j", "js") and (found := limits_or_none(letter + grade, size)) is not None
    ]
    assert len(deviations) >= 20
    assert deviations == sorted(deviations)


@given(SIZES, st.integers(0, 18))
def test_js_is_centred(size: float, n: int) -> None:
    for letter in ("js", "JS"):
        found = limits_or_none(f"{letter}{n}", size)
        if found is not None:
            assert found.lower_deviation == -found.upper_deviation


@pytest.mark.parametrize("bound", BOUNDS)
@given(CLASSES)
def test_a_bound_belongs_to_the_step_below(bound: float, text: str) -> None:
    at = limits_or_none(text, bound)
    for near in (np.nextafter(bound, 0), bound - 1e-3, min(np.nextafter(bound, 1e9), 500.0)):
        found = limits_or_none(text, float(near))
        assert (found is None) == (at is None)
        if found is not None and at is not None:
            assert (found.lower_deviation, found.upper_deviation) == (at.lower_deviation, at.upper_deviation)


@pytest.mark.parametrize("bound", BOUNDS[:-1])
def test_a_size_over_a_bound_belongs_to_the_step_above(bound: float) -> None:
    below, above = (fits.fundamental_deviation("zc7", size) for size in (bound, bound + 1e-6))
    assert above > below


@given(CLASSES, st.lists(st.floats(min_value=4.0, max_value=500.0), min_size=1, max_size=20))
def test_arrays_give_what_floats_give(text: str, sizes: list[float]) -> None:
    one_by_one = [limits_or_none(text, size) for size in sizes]
    if any(found is None for found in one_by_one):
        with pytest.raises(InputError):
            fits.limit_deviations(text, np.array(sizes))
        return
    lower, upper = fits.limit_deviations(text, np.array(sizes)[:, np.newaxis])
    assert np.shape(lower) == np.shape(upper) == (len(sizes), 1)
    assert np.ravel(lower).tolist() == [found.lower_deviation for found in one_by_one if found]
    assert np.ravel(upper).tolist() == [found.upper_deviation for found in one_by_one if found]


@given(SIZES, SHAFTS, NUMBERS, SHAFTS, NUMBERS)
def test_a_fit_says_where_its_clearance_lies(size: float, above: str, n: str, letter: str, m: str) -> None:
    hole, shaft = above.upper() + n, letter + m
    assume(limits_or_none(hole, size) is not None and limits_or_none(shaft, size) is not None)
    pair = fits.fit(f"{size!r} {hole}/{shaft}")
    assert pair.clearance_max - pair.clearance_min == pytest.approx(pair.span, abs=1e-9)
    assert (pair.interference_min, pair.interference_max) == (-pair.clearance_max, -pair.clearance_min)
    assert pair.clearance_min == pytest.approx(pair.hole.min - pair.shaft.max, abs=3e-9)
    assert pair.clearance_max == pytest.approx(pair.hole.max - pair.shaft.min, abs=3e-9)
    expected = "clearance" if pair.clearance_min >= 0 else "interference" if pair.clearance_max <= 0 else "transition"
    assert pair.kind == expected


@given(st.sampled_from(fits.preferred_fits()), st.floats(min_value=3.0001, max_value=500.0))
def test_preferred_fits_are_of_the_kind_they_are_listed_under(preferred: fits.PreferredFit, size: float) -> None:
    assert fits.fit(f"{size!r} {preferred.pair}").kind == preferred.kind


@given(st.text(max_size=12))
def test_any_other_text_is_refused_as_notation(text: str) -> None:
    try:
        fits.limits(text, 25.0)
    except NotationError:
        with pytest.raises(NotationError):
            read_class(text)
    except InputError:
        read_class(text)  # readable, but the standard gives no value
