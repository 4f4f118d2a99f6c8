"""Heat of the module: through the slug and its gap into the tube, and from the tube into air or hand.

    module = around + P (R_module + R_slug + R_tube)        blade end, grip = around + P R_tube

in a steady state. The slug gives its heat off along its contact, and the tube along its length: both are fins. The
grip is taken where the tube is hottest, and the end of the blade as warm as the tube around it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any, ClassVar

import numpy as np

from fitcheck.errors import InputError
from fitcheck.mechanics import fin_resistance, gap_conductance, heat_gap, heat_metal, heat_surface, touch_limit
from fitcheck.questions.finding import Requirement, Station
from fitcheck.questions.named import RangeByName
from fitcheck.questions.question import Question, given
from fitcheck.questions.readers import Exact, Sign, Toleranced
from fitcheck.questions.remedy import enough
from fitcheck.stack import Dimension, Response
from fitcheck.stack.synthesis import moved as resized
from fitcheck.units import POWER, RATIO, TEMPERATURE, Number

_SIZE = Toleranced(sign=Sign.POSITIVE)
_METAL = RangeByName("heat_metals", heat_metal)
_SOME = 1e-6
"""What a spread without end leaves of a size that cannot be nothing."""
_SHORTEST, _LONGEST = 1.0, 300.0
"""mm: contacts that are looked at for the shortest that will do."""


@dataclass(frozen=True, kw_only=True, repr=False)
class ModuleHeat(Question):
    """How warm do module, blade end and grip become, and how short may the slug be cut for it?

    >>> import fitcheck as fc
    >>> asked = {"power": "3 W", "slug": "24.9", "socket": "25.1", "contact": "15", "gap": "air"}
    >>> asked |= {"outside": "32", "tube_length": "150", "around": "25 °C", "module_limit": "85 °C"}
    >>> asked |= {"slug_metal": "aluminium", "tube_metal": "aluminium", "surface": "dark in still air"}
    >>> fc.ask("module_heat", **asked)[0].verdict.value
    'holds'
    """

    title: ClassVar[str] = "heat of the module"
    station: ClassVar[Station] = Station.TUBE
    example: ClassVar[Mapping[str, Any]] = {
        "power": "3 W", "slug": "24.9 ± 0.02", "socket": "25.1 ± 0.02", "contact": "15 ± 0.2", "gap": "air",
        "slug_metal": "aluminium", "tube_metal": "aluminium", "outside": "32", "tube_length": "150",
        "surface": "dark in still air", "around": "25 °C", "module_limit": "85 °C",
    }  # fmt: skip
    alternatives: ClassVar[tuple[str, ...]] = ("at least one of module_limit, blade_limit, held_for",)

    power: Dimension = given(
        Toleranced(POWER, Sign.POSITIVE), "power that the module turns into heat: volts times amperes, on the safe side"
    )
    slug: Dimension = given(_SIZE, "diameter of the slug")
    socket: Dimension = given(_SIZE, "bore that the slug sits in")
    contact: Dimension = given(_SIZE, "length of the slug inside that bore")
    gap: Dimension = given(RangeByName("heat_gaps", heat_gap), "what fills the gap between them")
    slug_metal: Dimension = given(_METAL, "metal of the slug")
    tube_metal: Dimension = given(_METAL, "metal of the tube")
    outside: Dimension = given(_SIZE, "outside diameter of the tube")
    tube_length: Dimension = given(_SIZE, "length of the tube that gives off heat, from the module on")
    surface: Dimension = given(RangeByName("heat_surfaces", heat_surface), "what the tube gives its heat to")
    around: Dimension = given(Toleranced(TEMPERATURE), "temperature around the device")
    module_resistance: Dimension = given(
        Toleranced(RATIO, Sign.NOT_NEGATIVE),
        "from where the module's limit holds to the slug, K per W, by its maker; 0 where it holds at its base",
        default="0",
    )
    module_limit: float | None = given(
        Exact(TEMPERATURE), "greatest temperature of the module, by its maker", default=None
    )
    blade_limit: float | None = given(Exact(TEMPERATURE), "greatest temperature of the blade's material", default=None)
    held_for: Dimension | None = given(
        RangeByName("touch_limits", touch_limit, TEMPERATURE), "how long the bare metal is held at a time", default=None
    )

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.socket.lower <= self.slug.upper:
            raise InputError(
                f"slug = {self.slug}: it must be below socket = {self.socket} over both zones; a pressed slug has no "
                "gap, and no model here",
                key="slug",
            )
        if self.outside.lower <= self.socket.upper:
            raise InputError(f"outside = {self.outside}: more than socket = {self.socket} is needed", key="outside")
        show = self.around.unit.show
        if not -40 <= self.around.lower <= self.around.upper <= 60:
            raise InputError(
                f"around = {self.around}: from {show(-40.0, 0)} to {show(60.0, 0)} is needed",
                key="around",
            )
        if self.module_limit is None and self.blade_limit is None and self.held_for is None:
            raise InputError(f"{self.alternatives[0]}: none is given", key="module_limit")
        for key, limit in (("module_limit", self.module_limit), ("blade_limit", self.blade_limit)):
            if limit is not None and not self.around.upper < limit <= 200:
                raise InputError(f"{key}: above around = {self.around} and up to {show(200.0, 0)} is needed", key=key)

    @property
    def _tube(self) -> dict[str, Dimension]:
        return {
            "power": self.power,
            "around": self.around,
            "surface": self.surface,
            "tube_metal": self.tube_metal,
            "outside": self.outside,
            "socket": self.socket,
            "tube_length": self.tube_length,
        }

    @property
    def tube(self) -> Response:
        """Temperature of the tube where it is hottest, °C."""
        return Response(_tube_temperature, self._tube, unit=self.around.unit, name="temperature of the tube")

    def module(self, contact: Dimension | None = None) -> Response:
        """Temperature of the module, °C. contact: in place of its own. Raises `InputError` for a size that is none."""
        inputs = {
            **self._tube,
            "slug": self.slug,
            "gap": self.gap,
            "slug_metal": self.slug_metal,
            "contact": contact or self.contact,
            "module_resistance": self.module_resistance,
        }
        return Response(_module_temperature, inputs, unit=self.around.unit, name="temperature of the module")

    def shortest(self, limit: float) -> float | None:
        """The shortest contact, mm, as printed, with which the module keeps its limit when asked again, or None.

        Found by halving, no source. limit: its greatest temperature, °C. Raises `InputError` where a temperature cannot
        be found.
        """
        need = Requirement(at_most=limit, risk=self.risk)

        def warmest(length: float) -> float:
            return self.module(self._of(length)).worst_case().max

        low, high = max(_SHORTEST, 1.01 * self.contact.half_width), _LONGEST
        if warmest(high) > limit:
            return None
        if warmest(low) <= limit:
            return enough(lambda x: [self.module(self._of(x))], need, low, self.contact.unit, high)
        while high - low > 0.01:
            middle = (low + high) / 2
            low, high = (low, middle) if warmest(middle) <= limit else (middle, high)
        return enough(lambda x: [self.module(self._of(x))], need, high, self.contact.unit, _LONGEST)

    def _of(self, length: float) -> Dimension:
        return resized(self.contact, length)


def _tube_temperature(**v: Any) -> Number:
    some = partial(np.maximum, _SOME)
    outside = some(v["outside"])
    bore = np.clip(v["socket"], 0.0, outside - _SOME / 2)
    R = fin_resistance(some(v["surface"]), some(v["tube_metal"]), outside, bore, some(v["tube_length"]))
    return np.asarray(v["around"] + v["power"] * R)


def _module_temperature(**v: Any) -> Number:
    some = partial(np.maximum, _SOME)
    slug = some(v["slug"])
    h = gap_conductance(some(v["gap"]), slug, np.maximum(v["socket"], slug + _SOME))
    R = fin_resistance(h, some(v["slug_metal"]), slug, 0.0, some(v["contact"]))
    return np.asarray(_tube_temperature(**v) + v["power"] * (R + v["module_resistance"]))
