"""What a workshop measures with, and what it cuts with: an uncertainty for each instrument, a tolerance for each tool.

[workshop]
caliper = "0.02 mm"                             expanded uncertainty of a reading, coverage factor 2
depth_gauge = "0.05 mm"
pins = "0.01 mm"                                over wires or pins: pitch diameters
saw = "± 0.2"                                   what it holds
lathe = "± 0.05"
measured_with = { socket_depth = "depth_gauge" }    a caliper where nothing is said
cut_with = { slug = "saw" }                     the tolerance of its own note where nothing is said
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from fitcheck.errors import InputError, brief, did_you_mean, in_short, name_some
from fitcheck.expected import table_of
from fitcheck.notation import dim
from fitcheck.shown import Shown
from fitcheck.stack import Dimension
from fitcheck.units import LENGTH, MM, Unit, read_stated

INSTRUMENTS = ("caliper", "micrometer", "depth_gauge", "pins")
TOOLS = ("saw", "file", "lathe", "mill", "printer")
USUAL_CALIPER = 0.05
"""Expanded uncertainty, mm, of a caliper of which nothing is said (common practice, no source)."""


@dataclass(frozen=True, slots=True, repr=False)
class Workshop(Shown):
    """What is measured and cut with, and what for.

    uncertainty: of a reading, expanded with coverage factor 2, in mm, by instrument. tolerance: about 0, in mm, by
    tool. measured_with, cut_with: the instrument, and the tool, of a part by the name of the part. unit: that a sheet
    states them in.

    >>> Workshop.read({"caliper": "0.02 mm", "saw": "± 0.2"}).reading("module")
    ('caliper', 0.02)
    """

    uncertainty: Mapping[str, float] = field(default_factory=dict)
    tolerance: Mapping[str, Dimension] = field(default_factory=dict)
    measured_with: Mapping[str, str] = field(default_factory=dict)
    cut_with: Mapping[str, str] = field(default_factory=dict)
    unit: Unit = MM

    @classmethod
    def read(cls, values: Mapping[str, Any], parts: Iterable[str] = ()) -> Workshop:
        """A workshop from the notes of a table.

        values: the notes by instrument and tool, and the tables `measured_with` and `cut_with`. parts: the names of
        parts that may stand there; any name without them. Raises `InputError` that names the key.
        """
        values = table_of("workshop", values, "{'caliper': '0.02 mm'}")
        known = (*INSTRUMENTS, *TOOLS, "measured_with", "cut_with")
        uncertainty, tolerance, units = {}, {}, []
        for key, value in values.items():
            if key not in known:
                hint = did_you_mean(key, known)
                raise InputError(f"{in_short(key)}: unknown{hint}; accepted are {name_some(known)}", key=key)
            if key in INSTRUMENTS:
                uncertainty[key], used = _uncertainty(key, value)
                units.append(used)
            elif key in TOOLS:
                tolerance[key] = _tolerance(key, value)
                units.append(tolerance[key].unit)
        names = set(parts)
        measured_with = _by_part("measured_with", values.get("measured_with", {}), tuple(uncertainty), names)
        cut_with = _by_part("cut_with", values.get("cut_with", {}), tuple(tolerance), names)
        return cls(uncertainty, tolerance, measured_with, cut_with, units[0] if units else MM)

    def reading(self, part: str) -> tuple[str, float]:
        """The instrument a part is measured with, and the expanded uncertainty of a reading in mm.

        part: its name. The instrument named for it, or else a caliper, or else the first there is; of a workshop that
        names none a caliper of usual uncertainty.
        """
        if not self.uncertainty:
            return "caliper", USUAL_CALIPER
        usual = "caliper" if "caliper" in self.uncertainty else next(iter(self.uncertainty))
        instrument = self.measured_with.get(part, usual)
        return instrument, self.uncertainty[instrument]

    @property
    def over_pins(self) -> float | None:
        """The expanded uncertainty of a pitch diameter in mm; None where there is nothing to measure one with."""
        return self.uncertainty.get("pins")


def _uncertainty(key: str, value: Any) -> tuple[float, Unit]:
    found, used = read_stated(value, LENGTH, key)
    if not found > 0:
        raise InputError(
            f"{key} = {brief(value)}: the uncertainty of a reading, a length above 0 such as '0.02 mm', is needed",
            key=key,
        )
    return found, used or MM


def _tolerance(key: str, value: Any) -> Dimension:
    needed = f"{key} = {brief(value)}: what the tool holds, a tolerance such as '± 0.2' or '+0.1/-0.0 mm', is needed"
    if not isinstance(value, str) or not value.strip().startswith(("±", "+", "-")):
        raise InputError(needed, key=key)
    try:
        found = dim(f"0 {value.strip()}", name=key, kind=LENGTH)
    except InputError:
        raise InputError(needed, key=key) from None
    if not found.half_width:
        raise InputError(needed, key=key)
    return found


def _by_part(key: str, values: Any, means: tuple[str, ...], parts: set[str]) -> dict[str, str]:
    if not isinstance(values, Mapping):
        raise InputError(f"{key} = {brief(values)}: a table of parts such as {{ slug = 'saw' }} is needed", key=key)
    for part, by in values.items():
        if parts and part not in parts:
            raise InputError(f"{key}.{part}: no part has this name{did_you_mean(part, parts)}", key=key)
        if by not in means:
            said = f"one of {', '.join(means)}" if means else "a line for it in this table, such as saw = '± 0.2',"
            raise InputError(f"{key}.{part} = {brief(by)}: {said} is needed", key=key)
    return dict(values)
