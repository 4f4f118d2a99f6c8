"""What a hand can keep to as it turns a small screw, and which torques are too low for any."""

from __future__ import annotations

from fitcheck.mechanics import Range, hand_torque, hand_torque_names
from fitcheck.questions.set_screw.strength import SetScrew


def ways_of_turning() -> list[Range]:
    """The ways of turning a screw by hand, the lightest first (`tables/hand_torque.csv`, mostly estimates)."""
    return sorted((hand_torque(name) for name in hand_torque_names()), key=lambda one: one.middle)


def too_low_for_hands(q: SetScrew, torque: float) -> Range | None:
    """The lightest way of turning a screw by hand, where even that can pass a torque, N·m: no hand feels so little.

    None where that way keeps to the torque, and where a driver turns the screws already.
    """
    lightest = ways_of_turning()[0]
    return None if q.driver is not None or lightest.high <= torque else lightest


def takes_driver(q: SetScrew, torque: float) -> str:
    """What is said behind a torque, N·m, that is too low for hands; nothing behind another."""
    return ", by a torque driver" if too_low_for_hands(q, torque) else ""
