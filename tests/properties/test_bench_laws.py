"""Laws of the geometry behind the bench questions, for every input; plane geometry checked against shapely."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import Point, Polygon, box

import fitcheck as fc
from fitcheck.mechanics.blade import pressed_offset, tilt, tip_offset
from fitcheck.mechanics.cross_section import block_corners, furthest_shift, gap_at, least_gaps, turned, worst_shift
from fitcheck.questions import PlugLength
from fitcheck.questions.finding import Requirement
from fitcheck.questions.judge import Topic, judge
from fitcheck.questions.remedy import allowed_lengths

ORIGIN = Point(0, 0)


def sizes(low, high):
    return st.floats(low, high, allow_nan=False).map(lambda x: round(x, 3))


@st.composite
def blocks(draw):
    """A block as the library's corners, and the same as a polygon built by shapely."""
    width, reach, offset = draw(sizes(0.5, 20)), draw(sizes(-5, 14)), draw(sizes(-6, 6))
    angle, depth = draw(sizes(-3.1, 3.1)), draw(sizes(0.5, 20))
    upright = box(offset - width / 2, reach - depth, offset + width / 2, reach)
    polygon = affinity.rotate(upright, -angle, origin=(0, 0), use_radians=True)
    return block_corners(width, reach, offset, angle, depth), polygon


@st.composite
def chassis(draw):
    """A bore and the sides of a round or rectangular chassis that fits, with its outline."""
    D = draw(sizes(10, 60))
    if draw(st.booleans()):
        d = D * draw(st.floats(0.3, 1.0))
        return D, [d], ORIGIN.buffer(d / 2, quad_segs=512)
    w, lean = D * draw(st.floats(0.2, 0.95)), draw(st.floats(0.05, 1.0))
    h = lean * math.sqrt(D * D - w * w)
    return D, [w, h], box(-w / 2, -h / 2, w / 2, h / 2)


def shapely_gap(D, shape, shift=(0.0, 0.0)):
    """Radius of the bore less the distance of the farthest point of the shape."""
    return D / 2 - affinity.translate(shape, *shift).hausdorff_distance(ORIGIN)


@given(blocks(), sizes(10, 60), sizes(-3, 3), sizes(-3, 3))
def test_the_gap_of_a_block_is_shapelys(block, D, sx, sy):
    points, polygon = block
    ours = min(gap_at(D, x, y, 0.0, sx, sy) for x, y in points)
    assert ours == pytest.approx(shapely_gap(D, polygon, (sx, sy)), abs=1e-9)


@given(sizes(0.5, 20), sizes(-8, 8), sizes(-3.1, 3.1), sizes(10, 60), sizes(-3, 3))
def test_the_gap_of_a_round_body_is_shapelys(d, offset, angle, D, sx):
    x, y = turned(0.0, offset, angle)
    away = affinity.rotate(Point(0, offset), -angle, origin=(0, 0), use_radians=True)
    ours = gap_at(D, x, y, d / 2, sx, 0.0)
    # A round body is drawn with 4096 corners, so it reaches up to 3e-7 of its radius less far.
    assert ours == pytest.approx(shapely_gap(D, away.buffer(d / 2, quad_segs=1024), (sx, 0.0)), abs=1e-5)


@given(chassis(), sizes(-3.1, 3.1))
def test_a_chassis_shifts_until_it_touches_and_no_further(section, direction):
    D, sides, outline = section
    way = furthest_shift(D, sides, direction)
    at = (way * math.sin(direction), way * math.cos(direction))
    assert way >= 0
    assert shapely_gap(D, outline, at) == pytest.approx(0.0, abs=1e-4 if len(sides) == 1 else 1e-7)


@settings(max_examples=60)
@given(chassis(), blocks(), sizes(0, 3))
def test_the_least_gap_is_that_of_the_worst_shift(section, block, r):
    """No shift gives less, and the worst of many shifts along the edge of what is reachable gives nearly as little."""
    D, sides, _ = section
    points, polygon = block
    least = float(np.min(least_gaps(D, sides, points, r)))
    directions = np.concatenate([np.arange(0.0, 2 * np.pi, np.pi / 720), np.arange(4) * np.pi / 2])
    way = furthest_shift(D, sides, directions)
    sx, sy = turned(0.0, way, directions)
    scanned = np.min([gap_at(D, x, y, r, sx, sy) for x, y in points], axis=0)
    assert np.all(scanned >= least - 1e-9)
    assert scanned.min() == pytest.approx(least, abs=2e-4 * D)
    worst = int(np.argmin(scanned))
    shape = polygon.buffer(r, quad_segs=256) if r > 0.01 else polygon
    if r == 0 or r > 0.01:
        assert scanned[worst] == pytest.approx(shapely_gap(D, shape, (sx[worst], sy[worst])), abs=1e-4)


@given(chassis(), sizes(-20, 20), sizes(-20, 20))
def test_the_worst_shift_is_what_a_search_over_all_directions_finds(section, x, y):
    """A shift that is possible, and no worse one among 7200 directions."""
    D, sides, outline = section
    shift = worst_shift(D, sides, x, y)
    assert shapely_gap(D, outline, shift) >= -1e-4 if len(sides) == 1 else shapely_gap(D, outline, shift) >= -1e-9
    directions = np.linspace(0.0, 2 * np.pi, 7200, endpoint=False)
    sx, sy = turned(0.0, furthest_shift(D, sides, directions), directions)
    searched = np.min(gap_at(D, x, y, 0.0, sx, sy))
    assert gap_at(D, x, y, 0.0, *shift) <= searched + 1e-9
    assert gap_at(D, x, y, 0.0, *shift) == pytest.approx(searched, abs=1e-3 * D)


@pytest.mark.parametrize(("right", "up"), [(1, 1), (1, -1), (-1, -1), (-1, 1)])
def test_what_stands_out_beyond_the_corner_of_a_chassis_reaches_as_far_beyond_the_wall(right, up):
    # The corner at (8, 6) touches the wall in the direction in which the point stands out, at 45°.
    assert least_gaps(26.0, (16.0, 12.0), [(9.0 * right, 7.0 * up)], 0.0) == pytest.approx(-math.sqrt(2))


def test_of_worst_shifts_that_are_alike_the_first_clockwise_from_up_is_taken():
    assert worst_shift(32.0, (31.0,), 0.0, 0.0) == (0.0, 0.5)
    assert worst_shift(32.0, (20.0, 20.0), 0.0, 0.0) == pytest.approx((0.0, math.sqrt(156) - 10))
    assert worst_shift(32.0, (20.0, 22.0), 0.0, -3.0) == pytest.approx((0.0, 11 - math.sqrt(156)))


@pytest.mark.parametrize("right", [1, -1])
@pytest.mark.parametrize("up", [1, -1])
def test_a_point_straight_beyond_a_corner_passes_the_wall_by_as_much_as_it_stands_beyond(right, up):
    """Where the corner at (10, 8) touches a bore of 32, at (12.8, 9.6), the wall lies across the way (4, 3) to it."""
    x, y = (10 + 0.8 * 1.5) * right, (8 + 0.6 * 1.5) * up
    assert worst_shift(32.0, (20.0, 16.0), x, y) == pytest.approx((2.8 * right, 1.6 * up))
    assert least_gaps(32.0, (20.0, 16.0), [(x, y)], 0.25) == pytest.approx([-1.75])


@given(chassis(), blocks(), st.floats(0.1, 30))
def test_gaps_scale_with_the_drawing(section, block, k):
    D, sides, _ = section
    points, _ = block
    scaled = least_gaps(k * D, [k * s for s in sides], [(k * x, k * y) for x, y in points], 0.0)
    assert scaled == pytest.approx(k * least_gaps(D, sides, points, 0.0), rel=1e-6, abs=1e-6 * k * D)


@given(sizes(5, 60), st.floats(1e-4, 0.03), st.floats(0.6, 8), st.floats(1, 20))
def test_tilt_and_wander_obey_their_geometry(d, play, deep, longer):
    D, H = d * (1 + play), deep * d
    b = longer * H
    angle = float(tilt(D, d, H))
    assert 0 < angle < 0.2
    assert D * math.cos(angle) == pytest.approx(d + (H - d * math.sin(angle)) * math.sin(angle), rel=1e-12)
    assert tilt(D, d, 1.1 * H) < angle < tilt(D + 0.1 * d * play, d, H)
    assert tip_offset(D, d, H, b) >= pressed_offset(D, d) - 1e-12
    # A rod as long as its socket is deep stays in it.
    assert tip_offset(D, d, H, H) == pytest.approx(pressed_offset(D, d), rel=0.2)


TOLERANCE = st.floats(0, 0.4).map(lambda x: round(x, 3))


@given(
    st.lists(st.tuples(sizes(1, 40), TOLERANCE), min_size=2, max_size=4),
    st.integers(0, 1),
    sizes(-60, 60),
    sizes(0, 3),
    st.integers(-2, 2).filter(bool),
)
def test_lengths_that_are_allowed_meet_the_limits_at_every_corner(members, which, least, width, factor):
    parts = [fc.dim(x, plus=t, name=f"part {i}") for i, (x, t) in enumerate(members)]
    total = sum((p for i, p in enumerate(parts) if i != which), start=0.0) + factor * parts[which]
    worst, _ = allowed_lengths(parts[which], [(total, Requirement(at_least=least, at_most=least + width))])

    def meets(length):
        ends = [(x - t, x + t) for x, t in members]
        ends[which] = (length - members[which][1], length + members[which][1])
        values = [
            sum((factor if i == which else 1) * x for i, x in enumerate(corner)) for corner in itertools.product(*ends)
        ]
        return least - 1e-9 <= min(values) and max(values) <= least + width + 1e-9

    if worst.min <= worst.max:
        for length in (worst.min, worst.max, (worst.min + worst.max) / 2):
            assert meets(length)
        for outside in (worst.max + 1e-3, worst.min - 1e-3):
            assert outside < 0 or not meets(outside)
    else:
        for length in np.linspace(0, 100, 41):
            assert not meets(length)


@settings(max_examples=40)
@given(sizes(2, 6), TOLERANCE, sizes(0.5, 4), TOLERANCE, sizes(5, 30), TOLERANCE, sizes(0.0, 0.5), sizes(0.0, 0.5))
def test_the_plug_window_is_that_of_the_enumerated_corners(travel, tt, more, ts, room, tr, hold, free):
    seat = travel + more
    assume(seat - ts > travel + tt)
    question = PlugLength.read(
        {
            "travel": fc.dim(travel, plus=tt, name="travel"),
            "seat": fc.dim(seat, plus=ts, name="seat"),
            "adds": [fc.dim(room, plus=tr, name="room")],
            "hold": hold,
            "free": free,
        }
    )
    low, high = question.window
    corners = list(itertools.product((travel - tt, travel + tt), (seat - ts, seat + ts), (room - tr, room + tr)))
    assert low == pytest.approx(max(r + t + hold for t, s, r in corners))
    assert high == pytest.approx(min(r + s - free for t, s, r in corners))


@given(blocks())
def test_corners_are_those_of_the_polygon(block):
    points, polygon = block
    ours = Polygon([points[i] for i in (0, 1, 3, 2)])
    assert ours.symmetric_difference(polygon).area == pytest.approx(0.0, abs=1e-9)


texts = st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), max_size=300)
numbers = st.floats(-1e12, 1e12, allow_nan=False)
zones = st.just(0.0) | st.floats(1e-140, 1e6)  # of less the squares are lost: what is refused in one line


@given(texts, texts, texts, numbers, zones, numbers, st.sampled_from(["mm", "in", "N·m", "deg"]), st.booleans())
def test_any_finding_prints_within_80_columns(answer, label, name, nominal, plus, least, unit, both):
    length = fc.stack.dimension(nominal, plus=plus, name=name, unit=fc.units.unit(unit))
    requirement = Requirement(at_least=least, at_most=abs(least) + 1 if both else None)
    finding = judge(Topic("q"), length, requirement, label=label, answer=answer)
    for one in (finding, finding.in_unit("µm") if unit in ("mm", "in") else finding):
        for said in (repr(one), repr(fc.questions.Findings([one])), one.text(full=True)):
            assert max(map(len, said.split("\n"))) <= 80
