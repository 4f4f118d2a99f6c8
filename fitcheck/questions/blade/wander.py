"""Tilt and tip wander of one blade in one socket, its sizes uncertain, before and after the screws are tight."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from fitcheck.later import optimize
from fitcheck.mechanics.blade import bow_offset, pressed_offset, tilt, tip_offset
from fitcheck.stack import Dimension, Linear, Response
from fitcheck.units import Number, unit


def _loose(D: Number, d: Number, H: Number, b: Number, bow: Number = 0.0) -> Number:
    return tip_offset(D, d, H, b) + bow_offset(bow, H, b)


def _tight(D: Number, d: Number, H: Number, b: Number, bow: Number = 0.0) -> Number:
    return pressed_offset(D, d) + bow_offset(bow, H, b)


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

    def sleeve(self, limit: float, *, tight: bool) -> float | None:
        """How much of the play on the diameter must be taken up for the tip to stay within `limit` at worst case.

        0 where it does already; None where the bow alone is more than that.
        """
        D, d = self.bore.upper, self.blade.lower
        H, b = self.depth.worst_case().min, self.length.upper
        bow = self.bow.upper if self.bow is not None else 0.0

        def over(taken: float) -> float:
            return float((_tight if tight else _loose)(D - taken, d, H, b, bow)) - limit

        play = D - d
        if over(0.0) <= 0:
            return 0.0
        if play <= 0 or over(play) > 0:
            return None
        return float(optimize.brentq(over, 0.0, play))
