"""Tilt and tip wander of one blade in one socket, its sizes uncertain, before and after the screws are tight."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from fitcheck.later import optimize
from fitcheck.mechanics.blade import bow_offset, pressed_offset, tilt, tip_offset
from fitcheck.questions.finding import Requirement
from fitcheck.questions.remedy import enough
from fitcheck.stack import Dimension, Linear, Response
from fitcheck.stack.synthesis import moved
from fitcheck.units import Number, unit


def _loose(D: Number, d: Number, H: Number, b: Number, bow: Number = 0.0) -> Number:
    return tip_offset(D, d, H, b) + _bowed(bow, H, b)


def _tight(D: Number, d: Number, H: Number, b: Number, bow: Number = 0.0) -> Number:
    return pressed_offset(D, d) + _bowed(bow, H, b)


def _bowed(bow: Number, H: Number, b: Number) -> Number:
    """What the bow puts the tip off; one that a spread draws below 0 is none."""
    return bow_offset(np.maximum(bow, 0.0), H, b)


def _leaning(D: Number, d: Number, H: Number, b: Number, bow: Number = 0.0) -> Number:
    return tilt(D, d, H)


@dataclass(frozen=True)
class Wander:
    """How far the blade leans and its tip strays from the axis of the bore."""

    bore: Dimension
    blade: Dimension
    depth: Linear
    length: Dimension
    bow: Dimension | None

    @property
    def sizes(self) -> dict[str, Linear]:
        sizes: dict[str, Linear] = {"D": self.bore, "d": self.blade, "H": self.depth, "b": self.length}
        return sizes | ({"bow": self.bow} if self.bow is not None else {})

    @cached_property
    def loose(self) -> Response:
        """Offset of the tip with the screws loose."""
        return Response(_loose, self.sizes, unit=self.bore.unit, name="tip off the axis, loose")

    @cached_property
    def tight(self) -> Response:
        """Offset of the tip with the screws tight on one side."""
        return Response(_tight, self.sizes, unit=self.bore.unit, name="tip off the axis, screws tight")

    @cached_property
    def tilt(self) -> Response:
        """Tilt with the screws loose; tight, there is none."""
        return Response(_leaning, self.sizes, unit=unit("deg"), name="tilt of the blade")

    def sleeve(self, requirement: Requirement, *, tight: bool) -> float | None:
        """How much of the play on the diameter must be taken up for the tip to meet `requirement`, as it is printed.

        By a sleeve in the bore or by tape on the blade. None where that does not help: the bow alone is too much.
        """

        def after(taken: float) -> list[Response]:
            sleeved = replace(self, bore=moved(self.bore, self.bore.nominal - taken))
            taped = replace(self, blade=moved(self.blade, self.blade.nominal + taken))
            return [one.tight if tight else one.loose for one in (sleeved, taped)]

        D, d = self.bore.upper, self.blade.lower
        H, b = self.depth.worst_case().min, self.length.upper
        bow = self.bow.upper if self.bow is not None else 0.0

        def over(taken: float) -> float:
            return float((_tight if tight else _loose)(D - taken, d, H, b, bow)) - (requirement.at_most or 0.0)

        play = D - d
        if play <= 0 or over(play) > 0:
            return None
        first = float(optimize.brentq(over, 0.0, play)) if over(0.0) > 0 else 0.0
        # A printed step more than the play leaves none either.
        return enough(after, requirement, first, self.bore.unit, play + self.bore.unit.to_base(0.1))
