"""What the numerics need of a dimension, so that they do not import it: its zone, its spread, what it varies with."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from fitcheck.stack.spreads import Spread
from fitcheck.units import FloatArray


class Tied(Protocol):
    """Several dimensions that vary together."""

    @property
    def matrix(self) -> FloatArray:
        """Their correlations, one row a dimension."""
        ...


class Member(Protocol):
    """One dimension of a sum or of a function; the same one only if it is the same object."""

    @property
    def name(self) -> str: ...
    @property
    def called(self) -> str:
        """What people call it."""
        ...

    @property
    def half_width(self) -> float:
        """Half the zone between its limits."""
        ...

    @property
    def spread(self) -> Spread:
        """How it is spread over the standard zone from -1 to 1."""
        ...

    @property
    def variance(self) -> float: ...
    @property
    def tie(self) -> tuple[Tied, int] | None:
        """What it varies with and its row there; None if it varies alone."""
        ...

    @property
    def assumed(self) -> Sequence[Member]:
        """Itself if nobody stated its spread, so that one is assumed; else nothing."""
        ...
