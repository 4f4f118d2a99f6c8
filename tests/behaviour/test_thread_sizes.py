"""Limits of size as a user asks for them: numbers, text, roots, dimensions, the catalogue."""

import pytest

from fitcheck.errors import InputError
from fitcheck.threads import catalogue, limits_frame, series_frame, thread


def test_as_printed_has_the_keys_of_the_standards_table():
    keys = {
        "M6x1-6g": {"major_max", "major_min", "pitch_max", "pitch_min", "minor_max", "minor_min"},
        "M6x1-6H": {"major_min", "pitch_max", "pitch_min", "minor_max", "minor_min"},
        "1/4-20 UNC-2A": {"major_max", "major_min", "pitch_max", "pitch_min", "unr_minor_max"},
        "1/4-20 UNC-2B": {"major_min", "pitch_max", "pitch_min", "minor_max", "minor_min"},
    }
    for text, expected in keys.items():
        assert set(thread(text).limits().as_printed()) == expected


def test_what_the_standard_does_not_limit_is_none():
    assert thread("M6x1-6H").limits().major.max is None
    assert thread("1/4-20 UNC-2A").limits().minor.min is None
    with pytest.raises(InputError, match="sets no largest major diameter"):
        thread("M6x1-6H").limits().dimension("major")


def test_the_hand_changes_no_limit():
    for text in ("M6x1-6g", "1/4-20 UNC-2B"):
        one = thread(text)
        assert one.mirrored().limits().as_printed() == one.limits().as_printed()
        assert one.mirrored().mirrored() == one


def test_a_diameter_is_a_dimension_of_a_stack():
    found = thread("M6x1-6g").limits().dimension("pitch")
    assert found.worst_case() == pytest.approx((5.212, 5.324))
    assert found.nominal == pytest.approx(5.3505, abs=1e-4)
    assert found.origin == "ISO 965-1:1998"
    inch = thread("1/4-20 UNC-2B").limits().dimension("minor")
    assert inch.unit.text == "in"
    assert inch.worst_case() == pytest.approx((0.196 * 25.4, 0.207 * 25.4))
    with pytest.raises(InputError, match="one of 'major', 'pitch', 'minor'"):
        thread("M6").limits().dimension("root")


def test_limits_as_quantities():
    found = thread("1/4-20 UNC-2A").limits().quantities()
    assert found["major_max"].to("mm").magnitude == pytest.approx(0.2489 * 25.4)
    assert str(thread("M6").limits().quantities()["pitch_min"].units) == "millimeter"


def test_the_root_has_three_conventions_by_name():
    found = thread("M6x1-6g").limits()
    assert found.root("flat").max == found.minor.max == 4.891
    assert found.root("0.125 P").min == found.minor.min == 4.596
    assert found.root("H/6").max == 4.747
    with pytest.raises(InputError, match=r"one of 'flat', 'H/6', '0\.125 P'"):
        found.root("round")
    with pytest.raises(InputError, match="internal"):
        thread("M6-6H").limits().root("flat")
    assert thread("1/4-20 UNRC-2A").limits().minor.max == pytest.approx(0.1894 * 25.4)
    assert thread("1/4-20 UNC-2A").limits().minor.max == pytest.approx(0.1948 * 25.4)


def test_the_two_unified_procedures():
    found = thread("1/2-28 UNEF-2A").limits()
    assert found.differences() == {"unr_minor_max": ("0.4563", "0.4564")}
    assert thread("M6").limits().differences() == {}
    with pytest.raises(InputError, match="one of 'table', 'worked'"):
        thread("1/4-20").limits(procedure="new")


def test_limits_of_one_class_as_a_table():
    frame = limits_frame("6H")
    row = frame[(frame["size"] == "M6") & (frame["pitch"] == 1)].iloc[0]
    assert (row["pitch_max"], row["minor_max"]) == (5.5, 5.153)
    assert set(frame["unit"]) == {"mm"}
    with pytest.raises(ValueError, match="6k"):
        limits_frame("6k")


def test_the_whole_catalogue_agrees_with_single_threads():
    frame = limits_frame()
    assert len(frame) > 10_000
    assert set(frame["system"]) == {"ISO metric", "Unified"}
    for _, row in frame.iloc[::97].iterrows():
        metric = row["system"] == "ISO metric"
        text = f"{row['size']}x{row['pitch']:g}" if metric else f"{row['size']}-{row['tpi']:g} {row['series']}"
        printed = thread(f"{text}-{row['class']}").limits().as_printed()
        shown = {key: row[key] for key in printed}
        assert shown == pytest.approx({key: float(value) for key, value in printed.items()}, abs=1e-9)


def test_the_series_as_a_table():
    frame = series_frame()
    assert len(frame) == len(catalogue.standard("ISO metric").size) + len(catalogue.standard("Unified").size)
    assert len(series_frame("Unified")) == 473
    with pytest.raises(InputError, match="one of 'ISO metric', 'Unified'"):
        series_frame("whitworth")
