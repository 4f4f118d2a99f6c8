"""Prevailing torques of self-locking threads against their printed tables."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fitcheck.basis import Basis
from fitcheck.errors import TableError
from fitcheck.mechanics import prevailing_torque, prevailing_torque_names

# ISO 2320, class 04: size, first on max, first off min, fifth off min, N·m (a public copy of the table)
ISO_2320 = [
    ("M3", 0.43, 0.12, 0.08),
    ("M4", 0.9, 0.18, 0.12),
    ("M5", 1.6, 0.29, 0.2),
    ("M6", 3, 0.45, 0.3),
    ("M7", 4.5, 0.65, 0.45),
    ("M8", 6, 0.85, 0.6),
    ("M10", 10.5, 1.5, 1),
]

# US Army TM 55-1520-240-23-1 sect. 1-13 and TM 10-5430-237-12P table 2: least breakaway torque, N·m beside lbf·in
US_LEAST = [("#10", 0.23), ("1/4", 0.40), ("5/16", 0.73)]


@pytest.mark.parametrize(("size", "on", "off", "used"), ISO_2320)
def test_iso_2320(size: str, on: float, off: float, used: float, tally: Callable[..., None]) -> None:
    found = prevailing_torque(size)
    assert (found.first_on_max, found.first_off_min, found.used_off_min) == (on, off, used)
    assert found.rests_on is Basis.PRINTED
    tally("ISO 2320, prevailing torques", 3)


@pytest.mark.parametrize(("size", "printed"), US_LEAST)
def test_us_tables_print_the_same_in_newton_metres(size: str, printed: float, tally: Callable[..., None]) -> None:
    assert round(prevailing_torque(size).used_off_min, 2) == printed
    tally("US Army manuals, breakaway torques", 1)


def test_a_thread_locks_more_when_new_and_less_than_it_may_take() -> None:
    for name in prevailing_torque_names():
        found = prevailing_torque(name)
        assert 0 < found.used_off_min <= found.first_off_min < found.first_on_max


@pytest.mark.parametrize("size", ["M2", "M4x0.7", 4, "#6"])
def test_a_size_without_limits_is_refused_with_those_there_are(size: object) -> None:
    with pytest.raises(TableError, match=r"prevailing torque .*: one of M3, M4"):
        prevailing_torque(size)  # type: ignore[arg-type]
