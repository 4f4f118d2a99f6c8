"""What locks the screw: a patch or nothing, by name or by the torque it takes, and the torque of a size."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any, ClassVar

from fitcheck.errors import InputError, TableError, brief, did_you_mean
from fitcheck.mechanics import prevailing_torque
from fitcheck.questions.readers import Parts, Sign, Toleranced
from fitcheck.stack import Dimension, between
from fitcheck.threads import Thread
from fitcheck.units import TORQUE, unit


class Locking(StrEnum):
    """A locking by name; what it takes depends on the size of the screw."""

    NONE = "none"
    FIRST = "patch, first time"
    USED = "patch, used"


@dataclass(frozen=True, slots=True)
class LockingTorque:
    """Reads a prevailing torque: with its tolerance, or a locking by name."""

    expects: ClassVar[str] = f"a torque with its tolerance, the name of a part, or one of {'; '.join(Locking)}"
    plain: ClassVar[Toleranced] = Toleranced(TORQUE, Sign.NOT_NEGATIVE)
    kind: ClassVar = TORQUE

    def read(self, value: Any, where: str, parts: Parts) -> Dimension | Locking:
        if isinstance(value, str) and value not in parts and not any(letter.isdigit() for letter in value):
            named = {str(one): one for one in Locking}
            if value.strip().casefold() not in named:
                hint = did_you_mean(value, [*named, *parts])
                raise InputError(f"{where} = {brief(value)}: {self.expects} is needed{hint}")
            return named[value.strip().casefold()]
        return self.plain.read(value, where, parts)

    def schema(self) -> dict[str, Any]:
        return {"type": ["string", "number"], "examples": [str(one) for one in Locking]}


def torque_taken(locking: Dimension | Locking | None, screw: Thread) -> Dimension | None:
    """What the locking takes of the torque on the key, from the least that is left of it to the most when new, N·m.

    None without one. Raises `InputError` for a torque below 0, `TableError` for a size that the table of prevailing
    torques does not have.
    """
    if isinstance(locking, Dimension):
        Sign.NOT_NEGATIVE.check("prevailing", locking, TORQUE)
        return locking if locking.upper > 0 else None
    if locking is None or locking is Locking.NONE:
        return None
    size = f"M{screw.nominal:g}" if screw.unit == "mm" else screw.size_and_pitch.partition("-")[0]
    try:
        found = prevailing_torque(size)
    except TableError as error:
        raise TableError(f"prevailing = {str(locking)!r}: {error}; give it as a torque", key="prevailing") from None
    least = found.first_off_min if locking is Locking.FIRST else found.used_off_min
    return between(
        least,
        found.first_on_max,
        name="prevailing torque",
        unit=unit("N·m" if screw.unit == "mm" else "in·lbf"),
        origin=f"{locking} of {size}: {found.source}, limits of nuts",
        basis=found.rests_on,
    )
