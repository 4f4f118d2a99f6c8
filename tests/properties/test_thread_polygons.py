"""Screw and nut of different pitch laid into each other as polygons (shapely), against the formulas of a false pair.

Only the two end ridges of the engaged length decide whether a rigid pair binds. Each is a trapezium of true 60° form;
in the axial section at its own angle round the thread, the screw's ridge lies N P along and the nut's groove N P_nut.
Nothing of the formulas is used: the polygons are built from the diameters and shifted until they fit.
"""

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq
from shapely import Polygon
from shapely.affinity import translate

from fitcheck.threads import pair, thread
from fitcheck.threads.pair import axial_play, turns_to_bind

TAN30 = 1 / math.sqrt(3)


def ridge(d, d2, root, P):
    """A ridge of a screw, z along, r out: P/2 wide on the pitch diameter, between its root and its crest."""

    def half(diameter):
        return P / 4 - (diameter - d2) / 2 * TAN30

    return Polygon([(-half(root), root / 2), (-half(d), d / 2), (half(d), d / 2), (half(root), root / 2)])


def nut(D1, D2, P, far):
    """The metal of a nut to the left and to the right of one groove, open outwards."""

    def half(diameter):
        return P / 4 + (diameter - D2) / 2 * TAN30 * -1

    inner, outer = half(D1), half(far)
    left = Polygon([(-inner, D1 / 2), (-outer, far / 2), (-9, far / 2), (-9, D1 / 2)])
    right = Polygon([(inner, D1 / 2), (outer, far / 2), (9, far / 2), (9, D1 / 2)])
    return left, right


def room(shape, walls):
    """How far `shape` may be shifted left and right before it cuts the metal; negative if it must be shifted."""
    left, right = walls

    def travel(wall, sign):
        def cut(s):
            moved = translate(shape, sign * s, 0)
            overlap = moved.intersection(wall).area
            return overlap if overlap > 0 else -moved.distance(wall)

        return brentq(cut, -3.0, 3.0, xtol=1e-12)

    return travel(left, -1), travel(right, 1)


def fits(N, screw, P, walls, P_nut):
    """Whether one shift lets the first ridge and the one N turns on lie in their grooves together."""
    left, right = room(screw, walls)
    far_left, far_right = left + N * (P - P_nut), right - N * (P - P_nut)
    return min(right, far_right) + min(left, far_left)


def turns_by_polygons(d, d2, P, D1, D2, P_nut):
    far = d + 0.02
    walls, screw = nut(D1, D2, P_nut, far), ridge(d, d2, min(D1 - 0.05, d2 - 0.1), P)
    if fits(0.0, screw, P, walls, P_nut) <= 0:
        return 0.0
    return brentq(lambda N: fits(N, screw, P, walls, P_nut), 0.0, 1000.0, xtol=1e-9)


FALSE_PAIRS = [
    ("#10-32 UNF-2A", "M5-6H"),
    ("M4-6g", "#8-36 UNF-2B"),
    ("M6-6g", "1/4-28 UNF-2B"),
    ("M5-6g", "#10-32 UNF-2B"),
    ("M8-6g", "M8x1-6H"),
    ("M3-6g", "#4-48 UNF-2B"),
]


@pytest.mark.parametrize(("screw", "nut_text"), FALSE_PAIRS)
def test_the_turns_until_a_false_pair_binds(screw, nut_text):
    a, b = thread(screw), thread(nut_text)
    one, other = a.limits(), b.limits()
    found = pair(a, b).turns()
    for turns, d, d2, D1, D2 in (
        (found.min, one.major.max, one.pitch.max, other.minor.min, other.pitch.min),
        (found.max, one.major.min, one.pitch.min, other.minor.max, other.pitch.max),
    ):
        assert turns == pytest.approx(turns_by_polygons(d, d2, a.pitch, D1, D2, b.pitch), rel=1e-6, abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.3, 3), st.floats(0.9, 1.1), st.floats(-0.05, 0.2), st.floats(0.85, 1.0))
def test_play_and_turns_of_any_two_pitches(P, ratio, slack, crest):
    P_nut = P * ratio
    assume(abs(P - P_nut) > 1e-3 * P)
    d2, H = 10 * P, math.sqrt(3) / 2 * P
    d, D2 = d2 + 0.75 * H * crest, d2 + slack * P
    # Ridge and groove must touch along their flanks for the pitch line to say anything.
    D1 = d2 - 0.4 * H
    turns = turns_to_bind(axial_play(D2 - d2, P, P_nut), P, P_nut)
    assert turns == pytest.approx(turns_by_polygons(d, d2, P, D1, D2, P_nut), rel=1e-6, abs=1e-6)


@given(st.floats(0.3, 3), st.floats(0, 0.1), st.floats(-0.02, 0.02))
def test_a_pitch_error_uses_up_what_the_functional_diameter_says(P, clearance, error):
    """With one thread of the right width, N turns of a wrong lead bind just when 1.732 N δP takes the clearance."""
    assume(abs(error) > 1e-6)
    turns = turns_to_bind(axial_play(clearance, P, P), P, P + error)
    assert math.sqrt(3) * turns * abs(error) == pytest.approx(clearance, abs=1e-9)
