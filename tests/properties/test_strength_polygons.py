"""Shear areas against the two thread profiles drawn as polygons (shapely), cut by the sheared cylinder and revolved.

The construction shares no formula with the models: it knows only the 60° profile, where its pitch diameter lies (groove
and thread are equally wide there) and how crests and roots are cut off.
"""

import numpy as np
import pytest
from shapely.affinity import translate
from shapely.geometry import Point, Polygon, box

import fitcheck as fc
from fitcheck.mechanics import flank_area, shear_area_external, shear_area_internal

TAN30 = np.tan(np.pi / 6)
METRIC = ("M1.6", "M2", "M2.5", "M3", "M4", "M4x0.5", "M5", "M6", "M8", "M8x1", "M10", "M12x1.5", "M16", "M24")
UNIFIED = ("#4-40 UNC", "#8-32 UNC", "#8-36 UNF", "#10-32 UNF", "1/4-20 UNC", "1/2-13 UNC")
SIZES = [(f"{size}-6g", f"{size}-6H") for size in METRIC] + [(f"{size}-2A", f"{size}-2B") for size in UNIFIED]


def _pair(screw: str, hole: str) -> tuple[float, float, float, float, float]:
    """Pitch, and the limits that hold least: screw major and pitch diameter, hole minor and pitch diameter."""
    external, internal = fc.thread(screw), fc.thread(hole)
    small, large = external.limits(), internal.limits()
    return external.pitch, small.major.min, small.pitch.min, large.minor.max, large.pitch.max


def _thread(P: float, pitch_radius: float, crest: float, base: float, outwards: bool) -> Polygon:
    """One pitch of thread in the half plane (z, r): flanks of 30°, P/2 thick at the pitch radius, cut at the crest.

    outwards: a screw (crest outside, base towards the axis) or a hole (crest inside, base outside).
    """
    sign = 1 if outwards else -1
    # Half thickness at radius r: P/4 at the pitch radius, less towards the crest.
    half = [P / 4 - sign * (r - pitch_radius) * TAN30 for r in (base, crest)]
    wide, narrow = half
    assert 0 < narrow < wide < P / 2, "not a thread"
    return Polygon([(-wide, base), (-narrow, crest), (narrow, crest), (wide, base)])


def _revolved(material: Polygon, radius: float, turns: float) -> float:
    """Area of the band in which a thin cylinder of that radius cuts the material, over the given turns."""
    thin = 1e-6 * radius
    cut = material.intersection(box(-1e3, radius - thin, 1e3, radius + thin))
    volume = 2 * np.pi * cut.centroid.y * cut.area  # Pappus
    return volume / (2 * thin) * turns


@pytest.mark.parametrize(("screw", "hole"), SIZES)
def test_areas_are_those_of_the_drawn_profiles(screw, hole):
    P, d, d2, D1, D2 = _pair(screw, hole)
    turns = 2.3
    inner = _thread(P, D2 / 2, D1 / 2, d / 2 + 0.05 * P, outwards=False)
    outer = _thread(P, d2 / 2, d / 2, D1 / 2 - 0.05 * P, outwards=True)
    assert shear_area_internal(turns * P, P, d, D2) == pytest.approx(_revolved(inner, d / 2, turns), rel=1e-5)
    assert shear_area_external(turns * P, P, D1, d2) == pytest.approx(_revolved(outer, D1 / 2, turns), rel=1e-5)


@pytest.mark.parametrize(("screw", "hole"), SIZES)
def test_the_profiles_have_room_for_each_other(screw, hole):
    # The screw's thread in the middle of the hole's groove must not cut into the hole's thread: the sizes are a pair.
    P, d, d2, D1, D2 = _pair(screw, hole)
    inner = _thread(P, D2 / 2, D1 / 2, d / 2, outwards=False)
    outer = _thread(P, d2 / 2, d / 2, D1 / 2, outwards=True)
    assert inner.intersection(translate(outer, P / 2)).area < 1e-9
    # Seen along the axis they overlap in the ring between the crests.
    ring = Point(0, 0).buffer(d / 2, 4096).difference(Point(0, 0).buffer(D1 / 2, 4096))
    assert flank_area(P, P, d, D1) == pytest.approx(ring.area, rel=1e-5)
