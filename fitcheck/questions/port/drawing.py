"""What the figures of a cross-section draw: where everything lies with nominal sizes, and the worst shift."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fitcheck.mechanics.cross_section import block_corners, gap_at, least_gaps, turned, worst_shift


@dataclass(frozen=True, slots=True)
class BodyStack:
    """What lies along the body from its shoulder to the end cap, nominal sizes in mm: a name and a length each."""

    adds: tuple[tuple[str, float], ...]
    takes: tuple[tuple[str, float], ...]
    bore: float
    outside: float | None
    chassis: float | None


@dataclass(frozen=True, slots=True)
class CrossSection:
    """What the figure of the cross-section draws, nominal sizes in mm."""

    outside: float | None
    bore: float
    chassis: float
    width: float
    reach: float
    what: str
    port: float | None
    gap: float
    """Of the corner, with the chassis shifted towards it until it touches the wall."""
    centred: float
    """Of the corner, with the chassis in the middle."""
    worst: float | None = None
    """The gap at worst case, and needed: the least that is required; None where they are not known."""
    needed: float | None = None


@dataclass(frozen=True, slots=True)
class PlacedBody:
    """A body with nominal sizes: its points seen from the chassis axis, the radius about them, its least gap; mm."""

    name: str
    sizes: Mapping[str, float]
    """Width, reach, perhaps offset, angle, depth of a block; diameter, offset, angle of a round one; radians."""
    points: tuple[tuple[float, float], ...]
    radius: float
    gap: float
    """With the chassis shifted to the worst side."""
    nearest: tuple[float, float]
    """The point that comes nearest to the wall."""

    @property
    def is_round(self) -> bool:
        return "diameter" in self.sizes


@dataclass(frozen=True, slots=True)
class BodySection:
    """What a figure of a cross-section with several bodies draws, nominal sizes in mm and radians."""

    outside: float | None
    bore: float
    chassis: tuple[float, ...]
    """Its diameter, or its width and height."""
    bodies: tuple[PlacedBody, ...]
    first: int
    """Which body the finding names: the nearest to the wall at worst case, which need not be so with nominal sizes."""
    shift: tuple[float, float]
    """The shift of the chassis that brings that body nearest to the wall."""
    centred: float
    """The gap of that body with the chassis in the middle."""

    @property
    def named(self) -> PlacedBody:
        """The body that the finding names."""
        return self.bodies[self.first]


def body_section(
    outside: float | None,
    bore: float,
    chassis: Sequence[float],
    bodies: Sequence[tuple[str, Mapping[str, float]]],
    first: int | None = None,
) -> BodySection:
    """The drawing of `bodies`, each a name and its sizes in mm and radians.

    first: the place of the body that is named, from 0; without it that of the least gap.

    >>> bodies = [("nut", {"diameter": 14.0}), ("post", {"diameter": 3.0, "offset": 13.0})]
    >>> found = body_section(36.0, 32.0, (31.5,), bodies)
    >>> found.named.name, found.named.gap, found.centred
    ('post', 1.25, 1.5)
    """
    placed = tuple(_placed(bore, chassis, name, sizes) for name, sizes in bodies)
    if first is None:  # the first of those that are alike
        first = min(range(len(placed)), key=lambda i: round(placed[i].gap, 9))
    named = placed[first]
    outermost = max(named.points, key=lambda point: math.hypot(*point))
    centred = float(gap_at(bore, *outermost, named.radius, 0.0, 0.0))
    shift = worst_shift(bore, chassis, *named.nearest)
    return BodySection(outside, bore, tuple(chassis), placed, first, shift, centred)


def _placed(bore: float, chassis: Sequence[float], name: str, sizes: Mapping[str, float]) -> PlacedBody:
    offset, angle = sizes.get("offset", 0.0), sizes.get("angle", 0.0)
    radius = sizes.get("diameter", 0.0) / 2
    if "diameter" in sizes:
        found = [turned(0.0, offset, angle)]
    else:
        found = block_corners(sizes["width"], sizes["reach"], offset, angle, sizes.get("depth"))
    points = tuple((float(x), float(y)) for x, y in found)
    gaps = least_gaps(bore, list(chassis), list(points), radius)
    at = int(np.argmin(gaps))
    return PlacedBody(name, sizes, points, radius, float(gaps[at]), points[at])
