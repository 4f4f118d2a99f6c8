"""A chassis that slides in the tube: turned, milled or printed, with what the process adds to the size that is drawn.

    play = bore - (chassis + printed) - 2 sleeve

on the diameter. What lies beside it, a wire, needs that much; pushed off its axis the chassis jams where it is guided
too short; a chassis between rings sags by its weight.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property, partial
from typing import Any, ClassVar

import numpy as np

from fitcheck.errors import InputError, TableError
from fitcheck.mechanics import Material, jam_length, sag
from fitcheck.questions.checks import check_friction
from fitcheck.questions.finding import Station
from fitcheck.questions.named import FRICTION, MaterialName
from fitcheck.questions.quantities import of_property
from fitcheck.questions.question import Question, given
from fitcheck.questions.readers import Exact, Several, Sign, Toleranced
from fitcheck.stack import Dimension, Response, Sum
from fitcheck.stack.dimension import combine
from fitcheck.stack.measured import expanded
from fitcheck.units import MASS, TEMPERATURE, Number

_SIZE = Toleranced(sign=Sign.POSITIVE)
_SOME = 1e-6
"""What a spread without end leaves of a size that cannot be nothing, mm."""


@dataclass(frozen=True, kw_only=True, repr=False)
class SlidingFit(Question):
    """Does the chassis slide in the tube without jamming, with room for its wires, warm and cold?

    >>> import fitcheck as fc
    >>> fc.ask("sliding_fit", bore="32 +0.1/-0", chassis="31.5 ± 0.1")[0].answer
    'The chassis slides: it has 0.50 mm play on the diameter, 0.40 mm to 0.70 mm.'
    """

    title: ClassVar[str] = "sliding fit"
    station: ClassVar[Station] = Station.TUBE
    example: ClassVar[Mapping[str, Any]] = {"bore": "32 +0.1/-0", "chassis": "31.5 ± 0.1"}

    bore: Dimension = given(_SIZE, "inside diameter of the tube, where it is narrowest")
    chassis: Dimension = given(_SIZE, "diameter over the chassis or its rings: as drawn, or as measured")
    printed: Dimension | None = given(
        Toleranced(),
        "how much larger on the diameter it comes out than drawn, with its scatter, from a coupon of the same printer, "
        "material and way up: '0.12 ± 0.08'",
        default=None,
    )
    sleeve: Dimension | None = given(
        Toleranced(sign=Sign.NOT_NEGATIVE), "thickness of a sleeve or tape around the chassis", default=None
    )
    at_least: float = given(Exact(), "play required on the diameter at the least", default="0 mm")
    at_most: float | None = given(Exact(), "play allowed at the most, so that it does not rattle", default=None)
    wires: tuple[Dimension, ...] = given(
        Several(_SIZE), "diameters of wires that lie beside it, one at a place around", default=[]
    )
    guided: Dimension | None = given(
        _SIZE, "length over which it is guided by the tube while it is pushed", default=None
    )
    pushed_at: Dimension | None = given(
        Toleranced(sign=Sign.NOT_NEGATIVE), "how far off the axis it is pushed; the rim if left out", default=None
    )
    friction: Dimension | None = given(FRICTION, "friction of the chassis in the tube", default=None)
    temperature: Dimension | None = given(Toleranced(TEMPERATURE), "range of temperature of both", default=None)
    material: Material | None = given(MaterialName(), "material of the chassis", default=None)
    tube_material: Material | None = given(MaterialName(), "material of the tube", default=None)
    relief: Dimension | None = given(
        Toleranced(sign=Sign.NOT_NEGATIVE), "how much less radius it has between its rings", default=None
    )
    span: Dimension | None = given(_SIZE, "distance between the rings it lies on", default=None)
    hollow: Dimension | None = given(_SIZE, "inside diameter of the chassis; solid if left out", default=None)
    mass: Dimension | None = given(
        Toleranced(MASS, Sign.POSITIVE), "mass of the chassis and what it carries between the rings", default=None
    )

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.at_most is not None and self.at_most <= self.at_least:
            raise InputError("at_most: more than at_least is needed", key="at_most")
        if self.made.worst_case().min <= 0:
            raise InputError(f"printed = {self.printed}: nothing is left of the chassis", key="printed")
        self._together("temperature", "material", "tube_material")
        self._together("guided", "friction")
        self._together("span", "relief", "mass", "material")
        if self.friction is not None:
            check_friction("friction", self.friction)
        for key, value, which in (
            ("material", self.material, "expansion" if self.temperature else ""),
            ("tube_material", self.tube_material, "expansion" if self.temperature else ""),
            ("material", self.material, "modulus" if self.span else ""),
        ):
            if value is not None and which:
                try:
                    value.get(which)
                except TableError as error:
                    raise TableError(f"{key}: {error}", key=key) from None
        if self.relief is not None and self.body.worst_case().min <= 0:
            raise InputError(f"relief = {self.relief}: nothing is left of the chassis between its rings", key="relief")
        if self.hollow is not None and self.hollow.upper >= self.body.worst_case().min:
            raise InputError(f"hollow = {self.hollow}: a bore inside the chassis is needed", key="hollow")

    def _together(self, first: str, *others: str) -> None:
        """Refuse `first` without the inputs that it cannot be answered without."""
        if getattr(self, first) is not None:
            for other in others:
                if getattr(self, other) is None:
                    raise InputError(f"{other}: missing: {first} and {other} go together", key=other)

    @cached_property
    def made(self) -> Sum:
        """Diameter of the chassis as it comes out."""
        return combine([(1.0, self.chassis), *([(1.0, self.printed)] if self.printed is not None else [])])

    @cached_property
    def around(self) -> Sum:
        """Diameter over the sleeve."""
        return self.made if self.sleeve is None else self.made + 2 * self.sleeve

    @cached_property
    def play(self) -> Sum:
        """Between tube and chassis, on the diameter, mm."""
        return self.bore - self.around

    @cached_property
    def thickest(self) -> Dimension | None:
        """The wire that needs most room."""
        return max(self.wires, key=lambda wire: wire.upper, default=None)

    @cached_property
    def room_for_wires(self) -> Sum | None:
        """What the thickest wire has to spare with the chassis pushed aside, mm; None without wires."""
        return None if self.thickest is None else self.play - self.thickest

    @cached_property
    def warm_play(self) -> Response | None:
        """The play over the range of temperature, at its worst; the sleeve goes with the chassis."""
        if self.temperature is None or self.material is None or self.tube_material is None:
            return None
        inputs = {
            "bore": self.bore,
            "around": self.around,
            "alpha_tube": of_property(self.tube_material, "expansion"),
            "alpha": of_property(self.material, "expansion"),
        }
        ends = (self.temperature.lower, self.temperature.upper)
        return Response(partial(_least_play, ends), inputs, unit=self.bore.unit, name="play, warm and cold")

    @cached_property
    def beyond_jam(self) -> Response | None:
        """Guided length beyond that at which it jams, mm."""
        if self.guided is None or self.friction is None:
            return None
        at = {"pushed_at": self.pushed_at} if self.pushed_at is not None else {"around": self.around}
        return Response(
            _beyond_jam,
            {"guided": self.guided, "friction": self.friction, **at},
            unit=self.guided.unit,
            name="guided length beyond the jam",
        )

    @cached_property
    def body(self) -> Sum:
        """Diameter between the rings."""
        return self.made if self.relief is None else self.made - 2 * self.relief

    @cached_property
    def sag_room(self) -> Response | None:
        """What is left under the middle of the chassis as it lies on its rings, mm."""
        if self.span is None or self.relief is None or self.mass is None or self.material is None:
            return None
        inputs = {
            "relief": self.relief,
            "span": self.span,
            "mass": self.mass,
            "made": self.made,
            "modulus": of_property(self.material, "modulus"),
            **({} if self.hollow is None else {"hollow": self.hollow}),
        }
        return Response(_sag_room, inputs, unit=self.bore.unit, name="room under the middle")


def _least_play(ends: tuple[float, float], bore: Number, around: Number, alpha_tube: Number, alpha: Number) -> Number:
    """The play at the worse end of the range, as drawings refer to 20 °C (ISO 1)."""
    cold, warm = (expanded(bore, alpha_tube, T) - expanded(around, alpha, T) for T in ends)
    return np.asarray(np.minimum(cold, warm))


def _beyond_jam(guided: Number, friction: Number, pushed_at: Number = 0.0, around: Number = 0.0) -> Number:
    e = np.maximum(np.asarray(pushed_at) + np.asarray(around) / 2, 0.0)
    return np.asarray(guided - jam_length(np.maximum(friction, 0.0), e))


def _sag_room(
    relief: Number, span: Number, mass: Number, made: Number, modulus: Number, hollow: Number = 0.0
) -> Number:
    body = np.maximum(made - 2 * np.asarray(relief), _SOME)
    bore = np.clip(hollow, 0.0, body - _SOME / 2)
    sagged = sag(np.maximum(mass, 0.0), np.maximum(span, _SOME), body, bore, np.maximum(modulus, _SOME))
    return np.asarray(relief - sagged)
