"""Flanks of a screw that lies on one side of its hole, laid together and integrated around it."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from screw_inputs import SCREW
from shapely import Point

from fitcheck.mechanics import (
    crushing_shares,
    drill_oversize,
    evenly_borne,
    flank_area,
    flank_area_aside,
    sideways_play,
    slanted_engagement,
)
from fitcheck.mechanics.tapping import BELL_MOUTH_BY_HAND, SLANT_BY_HAND
from fitcheck.questions import SetScrew

TURN = (np.arange(200_000) + 0.5) * 2 * math.pi / 200_000


@given(st.floats(0.001, 2), st.floats(0, 3))
def test_the_mean_of_the_lesser_of_opposite_places_is_integrated_around_the_hole(middle, swing):
    here, opposite = middle + swing * np.cos(TURN), middle - swing * np.cos(TURN)
    lesser = np.maximum(np.minimum(here, opposite), 0.0)
    assert evenly_borne(middle, swing) == pytest.approx(lesser.mean(), rel=1e-4, abs=1e-9)
    assert evenly_borne(middle, -swing) == evenly_borne(middle, swing)
    # What bears evenly leaves no moment about either axis.
    assert abs((lesser * np.cos(TURN)).mean()) < 1e-12
    assert abs((lesser * np.sin(TURN)).mean()) < 1e-12


@given(st.floats(-0.5, 2), st.floats(0, 3), st.floats(0, 1))
def test_more_overlap_never_bears_less_and_more_play_never_more(middle, swing, step):
    found = evenly_borne(middle, swing)
    assert 0 <= found <= max(middle, 0) + 1e-12
    assert evenly_borne(middle + step, swing) >= found - 1e-12
    assert evenly_borne(middle, swing + step) <= found + 1e-12
    assert evenly_borne(middle, 0.0) == pytest.approx(max(middle, 0.0))


@given(st.floats(3.7, 4.0), st.floats(3.2, 3.69), st.floats(0.0, 0.3))
def test_the_area_that_bears_evenly_is_that_of_circles_moved_apart(d, D1, play):
    P, d2 = 0.7, 3.45
    D2 = d2 + play
    e = sideways_play(d2, D2)
    assert e == pytest.approx(play / 2)
    radius = np.sqrt((d / 2) ** 2 - (e * np.sin(TURN)) ** 2) + e * np.cos(TURN)  # of the screw, from the hole's axis
    ring = np.maximum(radius**2 - (D1 / 2) ** 2, 0.0) / 2  # area for an angle
    # The two circles themselves have as much in common as the integral says.
    screw, hole = Point(e, 0).buffer(d / 2, 2048), Point(0, 0).buffer(D1 / 2, 2048)
    assert ring.mean() * 2 * math.pi == pytest.approx(screw.difference(hole).area, abs=2e-5)
    lesser = np.minimum(ring, np.roll(ring, len(ring) // 2))
    exact = lesser.mean() * 2 * math.pi
    assert flank_area_aside(P, P, d, d2, D1, D2) == pytest.approx(exact, abs=2 * e**2 + 1e-5)
    assert flank_area_aside(P, P, d, d2, D1, d2) == pytest.approx(flank_area(P, P, d, D1))


def test_of_half_a_thread_the_flanks_hold_most_and_of_little_they_hold_in_proportion():
    sizes = {"P": 0.7, "d": 3.9, "d2": 3.48, "D2": 3.48, "bearing_wall": 2.96, "bearing_screw": 3.33}
    full, _ = crushing_shares(**sizes, D1=3.33)
    assert full == 1
    thin, thinner = (crushing_shares(**sizes, D1=D1)[0] for D1 in (3.8, 3.85))
    assert thin / thinner == pytest.approx((3.9**2 - 3.8**2) / (3.9**2 - 3.85**2))
    assert crushing_shares(**sizes, D1=3.95) == (0.0, 0.0)


def test_a_wider_hole_strips_sooner_without_a_jump():
    """From the standard's hole to one that leaves a twentieth of the thread: physics has no step there."""
    holes = np.linspace(3.33, 3.95, 125)
    strips = []
    for size in holes:
        question = SetScrew.read({**SCREW, "hole_minor": f"{size:.4f}"})
        strips.append(float(question.torque_to_strip(**question.nominal)))
    steps = np.diff(strips)
    assert (steps <= 1e-12).all()
    assert strips[-1] == 0
    assert -steps.min() < 0.05 * strips[0]
    assert strips[0] > strips[60] > strips[90] > strips[110] > 0


@given(st.floats(1, 4), st.floats(0, 0.08), st.floats(0, math.pi), st.floats(0.2, 2))
def test_a_slanted_hole_bears_what_its_poorer_sides_have(r, slant, towards, deep):
    """A hole through the middle of the wall, slanted along or across the tube, its thread ending at the screw's point.

    On its generator at φ it ends where y² + z² = Ro². A slant across turns the hole round the tube and is next to none.
    """
    Ri, Ro = 12.7, 15.0
    foot = Ro - deep  # height of the screw's first full thread, square to the hole
    axis = np.array([math.sin(slant) * math.cos(towards), math.sin(slant) * math.sin(towards), math.cos(slant)])
    one = np.cross(axis, [0.0, 1.0, 0.0])
    one /= np.linalg.norm(one)
    other = np.cross(axis, one)
    turn = TURN[::200]
    start = r * (np.cos(turn)[:, None] * one + np.sin(turn)[:, None] * other)
    start += np.array([0.0, 0.0, (Ri + Ro) / 2]) - axis * ((Ri + Ro) / 2 - foot)  # on the plane of the first thread
    a, b, c = axis[1] ** 2 + axis[2] ** 2, start[:, 1] * axis[1] + start[:, 2] * axis[2], np.sum(start[:, 1:] ** 2, 1)
    length = (-b + np.sqrt(b**2 - a * (c - Ro**2))) / a
    borne = np.maximum(np.minimum(length, np.roll(length, len(length) // 2)), 0.0).mean()
    square = np.maximum(np.sqrt(Ro**2 - (r * np.sin(turn)) ** 2) - foot, 0.0).mean()
    found = slanted_engagement(square, r, slant)
    assert found <= borne + 0.02 * deep + 2 * (r * slant) ** 2
    if abs(math.sin(towards)) < 0.1 and deep > r**2 / Ro:  # along the tube, all around in the wall
        assert found == pytest.approx(borne, abs=0.01 * r * slant + 2e-3 + slant**2)


def test_a_tap_that_rocks_leaves_thread_in_the_bell_mouth_that_is_not_counted():
    """Rocking by 1° opens the thread by z tan 1° at the height z; its sheared width is integrated over the mouth."""
    d, D2, P, deep = 3.9, 3.6, 0.7, BELL_MOUTH_BY_HAND * 0.7
    z = np.linspace(0, deep, 1001)
    tan30 = math.tan(math.pi / 6)
    width = P / 2 + (d - D2) * tan30 - 2 * z * math.tan(SLANT_BY_HAND) * tan30
    lost = deep * (1 - width.mean() / width[0])
    assert 0 < lost < deep


def test_a_drill_cuts_larger_than_it_is_and_the_more_the_larger_it_is():
    mean, most = drill_oversize(np.array([1.0, 25.4 / 8, 3.3, 6.35, 30.0]))
    assert (most > mean).all()
    assert (mean > 0).all()
    assert (mean[1], most[1]) == pytest.approx((0.003 * 25.4, 0.0045 * 25.4))
    assert most[0] == pytest.approx(0.002 / 0.0625)  # mm, in proportion below the first row
    assert (np.diff(most) > 0).all()
