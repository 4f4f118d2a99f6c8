"""What a user meets when a size, a letter, a grade or a fit cannot be used, and how a fit prints."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import pytest

from fitcheck import fits
from fitcheck.errors import InputError, NotationError, TableError, UnitError


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Js9", "'JS9' for a hole, 'js9' for a shaft"),
        ("Za7", "'ZA7' for a hole, 'za7' for a shaft"),
        ("o6", "'o' is no letter of ISO 286-1"),
        ("L7", "'L' is no letter of ISO 286-1"),
        ("IT7", "a grade without a position"),
        ("H19", "grade '19' is none of 01, 0, 1, 2 to 18"),
        ("H07", "grade '07'"),
        ("H", "a letter and a grade are needed"),
        ("7", "a letter and a grade are needed"),
        ("7H", "capitals for a hole ('H7'), small letters for a shaft ('g6')"),
        ("H 7", "a letter and a grade are needed"),
        ("25 H7", "a letter and a grade are needed"),
        ("H7/g6", "a letter and a grade are needed"),
        ("H٧", "a letter and a grade are needed"),
        ("", "a letter and a grade are needed"),
        (None, "a letter and a grade are needed"),
        (["H7"], "a letter and a grade are needed"),
    ],
)
def test_a_class_that_cannot_be_read(text: Any, said: str) -> None:
    with pytest.raises(NotationError) as caught:
        fits.limits(text, 25.0)
    message = str(caught.value)
    assert said in message
    assert repr(text) in message
    assert "\n" not in message


@pytest.mark.parametrize(
    ("text", "size", "said"),
    [
        ("H7", 0.0, "nominal size 0 mm: ISO 286-1 is held for sizes over 0 mm up to and including 500 mm"),
        ("H7", -5.0, "nominal size -5 mm"),
        ("H7", 500.001, "nominal size 500.001 mm"),
        ("H7", "25 in", "nominal size 635 mm"),
        ("t6", 24.0, "t6 at 24 mm: t is held for this grade from over 24 mm"),
        ("T7", 24.0, "T7 at 24 mm: T is held for this grade from over 24 mm"),
        ("v6", 14.0, "from over 14 mm"),
        ("y6", 18.0, "from over 18 mm"),
        ("cd7", 10.1, "cd7 at 10.1 mm: cd is held for this grade from over 0 mm up to and including 10 mm"),
        ("EF7", 10.1, "up to and including 10 mm"),
        ("j8", 3.1, "up to and including 3 mm"),
        ("j9", 2.0, "the standard gives j for j5, j6, j7, j8 only"),
        ("J5", 2.0, "the standard gives J for J6, J7, J8 only"),
        ("K9", 3.1, "K9 at 3.1 mm: coarser than IT8, K is given up to and including 3 mm; K8 or finer"),
        ("P2", 25.0, "from IT3 on, not IT2"),
        ("N01", 25.0, "from IT3 on, not IT01"),
        ("a11", 1.0, "a is not used for sizes up to and including 1 mm"),
        ("B11", 0.8, "B11 at 0.8 mm"),
        ("N9", 1.0, "N coarser than IT8 is not used"),
        ("H14", 1.0, "IT14 at 1 mm: for sizes up to and including 1 mm IT13 or finer is used"),
        ("js18", 0.5, "IT18 at 0.5 mm"),
    ],
)
def test_a_size_or_grade_the_standard_does_not_give(text: str, size: Any, said: str) -> None:
    with pytest.raises(TableError) as caught:
        fits.limits(text, size)
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("text", "size"),
    [
        *(("t6", 24.001), ("v6", 14.001), ("y6", 18.001), ("cd7", 10.0), ("j8", 3.0), ("K9", 3.0), ("P3", 25.0)),
        *(("a11", 1.001), ("N9", 1.001), ("H14", 1.001), ("H01", 0.001), ("zc18", 500.0), ("JS18", 500.0)),
    ],
)
def test_the_first_size_beyond_each_refusal_is_given(text: str, size: float) -> None:
    assert math.isfinite(fits.limits(text, size).min)


@pytest.mark.parametrize("size", [math.nan, math.inf, "x", None, True, "25 kg"])
def test_a_nominal_that_is_no_length(size: Any) -> None:
    with pytest.raises(InputError, match="nominal size"):
        fits.limits("H7", size)


def test_arrays_are_refused_by_their_first_bad_element() -> None:
    with pytest.raises(TableError, match=r"t6 at 20 mm"):
        fits.limit_deviations("t6", [30.0, 20.0, 10.0])
    with pytest.raises(TableError, match=r"nominal size 600 mm"):
        fits.standard_tolerance("IT7", [30.0, 600.0])
    with pytest.raises(InputError, match="nominal size = nan"):
        fits.fundamental_deviation("g6", [30.0, math.nan])


@pytest.mark.parametrize("grade", ["IT19", "7", 7, "it7", None])
def test_a_grade_that_is_none(grade: Any) -> None:
    for function in (fits.standard_tolerance, fits.grade_formula):
        with pytest.raises(TableError, match=r"one of IT01, IT0, IT1, .* is needed"):
            function(grade, 25.0)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("25 g6/H7", "names the shaft first: write '25 H7/g6'"),
        ("25 mm g6/H7", "names the shaft first: write '25 mm H7/g6'"),
        ("25 H7/G6", "has two holes (capitals)"),
        ("25 h7/g6", "has two shafts (small letters)"),
        ("H7/g6", "a size, the class of the hole"),
        ("25 H7", "a size, the class of the hole"),
        ("25 H7-g6", "a size, the class of the hole"),
        ("25 H7/o6", "'o' is no letter"),
        ("25 H7/Js6", "'js6' for a shaft"),
        (25, "a size, the class of the hole"),
        ("9" * 500 + " H7/g6", "a size, the class of the hole"),
    ],
)
def test_a_fit_that_cannot_be_read(text: Any, said: str) -> None:
    with pytest.raises(NotationError) as caught:
        fits.fit(text)
    assert said in str(caught.value)
    assert len(str(caught.value)) < 300


def test_a_fit_of_a_wrong_unit_or_size() -> None:
    with pytest.raises(UnitError, match="is a mass"):
        fits.fit("25 kg H7/g6")
    with pytest.raises(TableError, match="nominal size 600 mm"):
        fits.fit("600 H7/g6")


@pytest.mark.parametrize("text", ["12.5 H8/f7", "12,5 H8/f7", "Ø12.5 mm H8/f7", "⌀ 12.5H8/f7", " 12.5 mm H8 / f7 "])
def test_spellings_of_one_fit(text: str) -> None:
    assert fits.fit(text) == fits.fit("12.5 H8/f7")


def test_a_size_with_its_unit() -> None:
    import pint

    inch = fits.limits("H7", "1 in")
    assert inch.nominal == 25.4
    assert (inch.min, inch.max) == (25.4, 25.421)
    assert fits.limits("H7", pint.get_application_registry().Quantity(1.0, "inch")) == inch


def test_capitals_are_holes_and_small_letters_shafts() -> None:
    assert fits.limits("H7", 25.0).internal
    assert not fits.limits("h7", 25.0).internal
    assert fits.limits("H7", 25.0).min == fits.limits("h7", 25.0).max == 25.0


def test_limits_are_frozen_plain_floats() -> None:
    found = fits.limits("H7", 25)
    for value in (found.nominal, found.lower_deviation, found.upper_deviation, found.min, found.max):
        assert type(value) is float
    assert math.copysign(1.0, found.lower_deviation) == 1.0
    with pytest.raises(dataclasses.FrozenInstanceError):
        found.nominal = 26.0  # type: ignore[misc]
    for value in (fits.standard_tolerance("IT7", 25.0), fits.tolerance_factor(25.0), fits.size_mean(25.0)):
        assert type(value) is float


def test_how_limits_and_fits_print() -> None:
    assert str(fits.limits("g6", 25.0)) == "25 g6 shaft: -0.02 / -0.007 mm, 24.9800 to 24.9930 mm (printed)"
    assert str(fits.limits("JS9", 3.0)) == "3 JS9 hole: -0.0125 / +0.0125 mm, 2.9875 to 3.0125 mm (rule)"
    assert (
        str(fits.fit("25 H7/g6"))
        == "25 H7/g6, clearance fit: clearance 0.0070 to 0.0410 mm (limits as printed in the tables of ISO 286)"
    )
    assert str(fits.fit("25 H7/k6")) == (
        "25 H7/k6, transition fit: from clearance 0.0190 to interference 0.0150 mm "
        "(limits as printed in the tables of ISO 286)"
    )
    assert (
        str(fits.fit("25 H7/p6"))
        == "25 H7/p6, interference fit: interference 0.0010 to 0.0350 mm (limits as printed in the tables of ISO 286)"
    )


def test_up_to_3_mm_the_press_fit_may_be_loose() -> None:
    # ANSI B4.2 (from memory) notes it: H7/p6 is a transition fit for sizes up to 3 mm.
    assert fits.fit("3 H7/p6").kind == "transition"
    assert fits.fit("3.1 H7/p6").kind == "interference"


@pytest.mark.parametrize(
    ("text", "backing"),
    [
        ("25 H7/g6", "(limits as printed in the tables of ISO 286)"),
        ("25 H13/h12", "(limits by a rule of ISO 286 from its printed tables)"),
        ("25 H7/zc6", "(limits of ISO 286, from memory)"),
    ],
)
def test_a_fit_says_of_what_its_backing_speaks(text: str, backing: str) -> None:
    assert str(fits.fit(text)).endswith(backing)
