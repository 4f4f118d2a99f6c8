"""The figures: drawn to scale, with the right numbers on them, readable, and without a trace outside themselves."""

from __future__ import annotations

import dataclasses
import itertools
import math
import re
import xml.etree.ElementTree as ET
from unicodedata import east_asian_width

import matplotlib
import numpy as np
import pytest
import shapely
from figure_words import boxes, on_each_other, under_lines, words
from hypothesis import Phase, given
from hypothesis import settings as settings_of_law
from hypothesis import strategies as st
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Polygon, Rectangle
from matplotlib.text import Annotation, Text
from report_findings import BODY, PLUG, SECTION, TUBE, finding, sample, section
from screw_inputs import SCREW

import fitcheck as fc
from fitcheck.errors import InputError
from fitcheck.mechanics.cross_section import least_gaps, worst_shift
from fitcheck.questions import SetScrew
from fitcheck.questions.blade.findings import TubeStack
from fitcheck.questions.finding import Requirement, Station, Verdict
from fitcheck.questions.judge import Topic, judge
from fitcheck.questions.plug.findings import PlugStack
from fitcheck.questions.port.drawing import BodySection, BodyStack, CrossSection, body_section
from fitcheck.questions.port.question import PortClearance
from fitcheck.questions.shape import shape
from fitcheck.report import figures
from fitcheck.report.figures.device import Mark
from fitcheck.report.figures.drafting import PALE_BLUE, apart, width_of, wrapped_to
from fitcheck.report.figures.profiles import outlines
from fitcheck.report.figures.svg import settings
from fitcheck.report.page import page
from fitcheck.stack import Interval, Response, dimension, inspected
from fitcheck.threads.pair import pair
from fitcheck.units import INCH, MM, unit

SEVERAL = (
    ("plug head", {"width": 14.0, "reach": 13.2, "offset": 0.5, "angle": 0.17, "depth": 5.0}),
    ("nut", {"diameter": 14.0, "offset": 8.0, "angle": 1.57}),
    ("port barrel", {"diameter": 12.0, "offset": 8.0, "angle": 1.57}),
    ("room for the wires of the port", {"width": 6.0, "reach": 15.0, "angle": -2.1, "depth": 3.0}),
)
BODIES = body_section(36.0, 32.0, (31.5,), SEVERAL, first=3)

DRAWINGS = {
    "tube": TUBE,
    "tube, nothing below": TubeStack(30.0, (), (("screw 1", 10.0),), 20.0, 20.3, 26.0),
    "tube, no diameters": TubeStack(30.0, (("slug", 12.0),), (), None, None, None),
    "tube, long and thin": TubeStack(
        150.0, (("a", 0.3), ("b", 0.3), ("c", 0.4)), (("screw 1", 6.0),), 12.0, 12.2, 16.0
    ),
    "tube, many parts": TubeStack(
        40.0,
        tuple((f"spacer number {i} of brass", 1.0) for i in range(9)),
        tuple((f"screw {i}", 8.0 * i) for i in (1, 2, 3, 4)),
        25,
        25.4,
        30,
    ),
    "tube, blade stands out": TubeStack(-3.0, (("slug", 20.0),), (("screw 1", 9.0),), 25.0, 25.4, 32.0),
    "section": SECTION,
    "section, overlap": section(None, 30.4, 29.0, 13.0, 14.2, "port", None),
    "section, chassis too large": section(34.0, 30.0, 30.5, 8.0, 9.0, "switch", 6.0),
    "section, corner on the axis": section(34.0, 30.0, 29.5, 8.0, 0.0, "switch", None),
    "bodies": BODIES,
    "bodies, rectangular chassis": body_section(None, 32.0, (24.0, 20.0), SEVERAL, first=3),
    "bodies, one in the middle": body_section(36.0, 32.0, (31.5,), (("speaker", {"diameter": 20.0}),)),
    "bodies, overlap": body_section(36.0, 30.0, (29.0,), (("plug", {"width": 14.0, "reach": 14.2}),)),
    "bodies, chassis too large": body_section(
        36.0, 30.0, (28.0, 16.0), (("nut", {"diameter": 9.0, "offset": 6.0, "angle": -2.0}),)
    ),
    "bodies, many": body_section(
        36.0,
        32.0,
        (31.5,),
        tuple((f"post number {i} of the cage", {"diameter": 3.0, "offset": 13.0, "angle": 0.6 * i}) for i in range(10)),
    ),
    "plug": PLUG,
    "plug, no window": PlugStack(8.0, 9.0, 6.0, 14.8, Interval(15.0, 14.6)),
    "plug, far outside": PlugStack(8.0, 9.5, 6.0, 24.0, Interval(14.8, 15.1)),
    "pair": pair("M36x1.5-6H/6g-LH"),
    "pair, inch": pair("#8-32 UNC-2A/2B"),
    "pair, two systems": pair("M5-6g", "#10-32 UNF-2B"),
    "pair, coarse and fine": pair("M10x1.5-6g", "M10x1-6H"),
    "pair, drops through": pair("M5-6g", "M10-6H"),
    "plug, no room": PlugStack(8.0, 9.5, 0.4, 9.5, Interval(8.7, 9.7)),
}


BODY_SECTIONS = [d for d in DRAWINGS.values() if isinstance(d, BodySection)]


# -- every figure ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("drawing", DRAWINGS.values(), ids=DRAWINGS)
def test_a_drawing_is_to_scale_and_its_words_stay_apart(drawing):
    is_bodies = isinstance(drawing, BodySection)
    ax = figures.bodies(drawing, worst=-0.25, needed=0.3) if is_bodies else figures.draw(drawing)
    placed = boxes(ax)
    (x0, x1), (y0, y1) = ax.transData.transform([(0, 0), (1, 1)]).T
    assert x1 - x0 == pytest.approx(y1 - y0)
    assert on_each_other(ax) == []
    assert under_lines(ax) == []
    # A figure much wider than a phone would be shrunk there until its text cannot be read.
    wide = max(b[2] for b in placed.values()) - min(b[0] for b in placed.values())
    assert wide < 330


@pytest.mark.parametrize("drawing", DRAWINGS.values(), ids=DRAWINGS)
def test_a_figure_draws_on_the_axes_it_is_given(drawing):
    ax = Figure(figsize=(6, 4)).add_subplot()
    assert figures.draw(drawing, ax) is ax
    assert words(ax)
    (x0, x1), (y0, y1) = ax.transData.transform([(0, 0), (1, 1)]).T
    assert x1 - x0 == pytest.approx(y1 - y0)


def test_a_drawing_of_another_type_draws_nothing():
    assert figures.draw(object()) is None
    assert figures.draw(None) is None


def test_figures_ignore_the_settings_of_the_session_and_leave_them_alone():
    about = finding(drawing=TUBE)

    def all_of_it() -> list[str]:
        return [figures.svg(ax, "a", "a") for ax in (figures.draw(TUBE), figures.where(about), figures.drivers(about))]

    plain = all_of_it()
    mine = {"font.size": 31.0, "axes.facecolor": "black", "text.color": "white", "svg.fonttype": "path"}
    with matplotlib.rc_context(mine):
        before = dict(matplotlib.rcParams)
        assert all_of_it() == plain
        assert dict(matplotlib.rcParams) == before


# -- the tube stack ----------------------------------------------------------------------------------------


def test_the_tube_stack_shows_each_length_where_it_is():
    ax = figures.tube_stack(TUBE)
    blade = next(p for p in ax.patches if isinstance(p, Polygon))
    assert blade.get_xy()[:, 0].max() == TUBE.depth
    assert np.ptp(blade.get_xy()[:, 1]) == pytest.approx(TUBE.blade)
    rectangles = [p for p in ax.patches if isinstance(p, Rectangle)]
    below = [(p.get_x(), p.get_width()) for p in rectangles if p.get_height() == TUBE.bore]
    assert np.array(below) == pytest.approx(np.array([(46.2, 3.0), (49.2, 0.8), (50.0, 14.0)]))
    walls = [p for p in rectangles if p.get_x() == 0]
    assert [p.get_height() for p in walls] == pytest.approx([(TUBE.outside - TUBE.bore) / 2] * 2)
    said = words(ax)
    for word in ("depth 46.20", "screw 1: 12.00", "screw 2: 44.00", "⌀ 25.00", "⌀ 25.40", "⌀ 34.00", "1", "2", "3"):
        assert word in said
    assert "1 lens: 3.00;  2 gasket: 0.80;  3 slug: 14.00" in said
    assert "Nominal sizes (mm)." in said


def test_the_drawing_of_what_fails_says_what_was_found_and_needed():
    inputs = {"adds": ["64 ± 0.2"], "takes": ["14.5 ± 0.3", "11 ± 0.1"], "at_least": "36 mm", "screws": ["36.5 ± 0.2"]}
    depth, landing = fc.ask("blade_depth", **inputs, cover="3 mm")
    assert (depth.verdict.value, landing.verdict.value) == ("holds", "fails")
    said = " ".join(words(landing.plot()))
    assert "Dark: 2.00 mm beyond, 1.20 mm at worst, at least" in said
    assert "3.00 mm needed" in said
    assert "14.5 ± 0.3 mm" in said
    assert landing.at == 36.5


def test_metal_meets_metal_only_where_it_does_so_beyond_the_rounding_of_the_tables():
    assert not any("they meet in metal" in line for line in words(figures.profiles("#8-32 UNC-2B/3A")))
    assert any("limits rounded in print; they touch" in line for line in words(figures.profiles("#8-32 UNC-2B/3A")))
    assert any("they meet in metal" in line for line in words(figures.profiles(("M6-6g", "M6x0.75-6H"))))


def test_the_device_is_drawn_to_scale_with_a_number_where_it_fails():
    marks = [
        Mark("8", Verdict.FAILS, Station.SAW, 44.0, "1.10 mm"),
        Mark("10", Verdict.LIKELY, Station.TUBE, None, "0.54 mm"),
    ]
    ax = figures.device([TUBE, BODY], marks=marks)
    assert ax.get_aspect() == 1.0
    said = words(ax)
    assert {
        "8",
        "10",
        "fails: 1.10 mm",
        "likely: 0.54 mm",
        "carrier",
        "depth 46.20",
        "shoulder to cap 118.00 mm",
    } <= set(said)
    dots = [tuple(line.get_xdata()) for line in ax.lines if line.get_marker() == "o"]
    assert dots[0] == (44.0,)  # on the outside of the socket
    # With the distance known it is drawn without a break, the shoulder where it is.
    whole = figures.device([TUBE, BODY], marks=marks, shoulder=80.0)
    caps = [p for p in whole.patches if isinstance(p, Rectangle) and p.get_x() == 80.0 + 118.0]
    assert caps
    with pytest.raises(InputError, match="a socket or of a body"):
        figures.device([PLUG])
    # What fails at a part that is not drawn has no mark: it would point at another.
    for drawn, left_out in ((TUBE, "10"), (BODY, "8")):
        said = words(figures.device([drawn], marks=marks))
        assert left_out not in said
        assert {"8", "10"} - {left_out} <= set(said)


LONG = "светодиодный модуль с радиатором, в сборе"
WORDS = "blade beyond the axis of set screw 2: 1.10 mm at worst, at least 3.00 mm needed; 3 more here"
_MARKS = [
    Mark("8", Verdict.FAILS, Station.SAW, 44.0, WORDS),
    Mark("4", Verdict.FAILS, Station.SCREW, None, "0.02 at worst"),
    Mark("1000", Verdict.LIKELY, Station.TUBE, None, "0.54 mm"),
    *(Mark(str(i), Verdict.FAILS, Station.SCREW, 12.0, f"{i} {WORDS} {'x' * 100}") for i in range(20, 25)),
]
_LONG_TUBE = TubeStack(
    46.2,
    (("gasket", 0.8), (LONG, 8.0), ("電池台(18×65セル付)", 14.0)),
    tuple((f"screw {i}", 12.0 + 11 * i) for i in range(3)),
    25.0,
    25.4,
    34.0,
)
_LONG_BODY = BodyStack((("cap", 118.0),), (("carrier", 60.0), (LONG, 10.0), ("plug out", 44.0)), 32.0, 36.0, 31.5)
_SHORT = TubeStack(8.0, (("a", 2.0),), (("screw", 3.0),), 25.0, 25.4, 34.0)
_FLAT = BodyStack((("cap", 12.0),), (("carrier", 11.0), ("port", 4.0)), 32.0, 36.0, None)
_PAIR = pair("M36x1.5-6H/6g-LH")
DEVICES = {
    "socket and body": ([TUBE, BODY, _PAIR], 3, None),
    "no break": ([TUBE, BODY, _PAIR], 3, 72.0),
    "long names, many marks": ([_LONG_TUBE, _LONG_BODY, _PAIR], 8, None),
    "socket alone": ([TUBE, _PAIR], 2, None),
    "body alone": ([BODY, _PAIR], 0, None),
    "short socket": ([_SHORT, BODY, _PAIR], 3, 10.0),
    "flat body, too full": ([_LONG_TUBE, _FLAT, _PAIR], 3, None),
    "long body": ([_SHORT, BodyStack((("cap", 900.0),), (("carrier", 899.0),), 20.0, 22.0, None), _PAIR], 8, None),
    "names of one letter": (
        [TubeStack(30.0, tuple((c, 3.0) for c in "abcdefgh"), (), None, None, None), _FLAT],
        1,
        None,
    ),
}


@pytest.mark.parametrize("inches", [False, True])
@pytest.mark.parametrize("case", DEVICES.values(), ids=DEVICES)
def test_no_words_on_the_device_lie_on_a_line_or_on_others(case, inches):
    drawings, many, shoulder = case
    nothing_is_covered(figures.device(drawings, marks=_MARKS[:many], shoulder=shoulder, unit=INCH if inches else MM))


@settings_of_law(max_examples=12, phases=[Phase.explicit, Phase.generate])
@given(
    st.lists(st.floats(0.5, 60), max_size=6),
    st.lists(st.floats(0.5, 90), min_size=1, max_size=5),
    st.lists(st.floats(0.02, 0.98), max_size=4),
    st.floats(2, 90),
    st.sampled_from(["slug", "lens, upper", LONG, "電池台(18×65セル付)"]),
)
def test_no_words_on_any_device_lie_on_a_line_or_on_others(below, takes, screws, depth, name):
    tube = TubeStack(
        depth,
        tuple((name, one) for one in below),
        tuple(("screw", depth * one) for one in screws),
        25.0,
        25.4,
        30.0,
    )
    body = BodyStack((("cap", sum(takes) * 1.1),), tuple((name, one) for one in takes), 32.0, 36.0, 31.5)
    marks = [Mark(str(i), Verdict.FAILS, Station.SCREW, depth * one, WORDS) for i, one in enumerate(screws, start=9)]
    nothing_is_covered(figures.device([tube, body, _PAIR], marks=[*marks, _MARKS[2]]))


def nothing_is_covered(ax) -> None:
    """No text lies on another, on a line or outside the figure; behind the name of a part its axis is broken."""
    with settings():
        texts = [t for t in ax.figure.findobj(Text) if t.get_text().strip()]
        for text in texts:
            # The font that measures here lacks these letters, which a reader's own font draws as wide as high.
            text.set_text("".join("W" if east_asian_width(letter) in "WF" else letter for letter in text.get_text()))
        ax.figure.draw_without_rendering()
        placed = [Text.get_window_extent(t) for t in texts]
        badges = [(t, t.get_bbox_patch().get_window_extent()) for t in texts if t.get_bbox_patch() is not None]
        whole = ax.figure.bbox
        lines = [ax.transData.transform(line.get_xydata()) for line in ax.lines if line.get_marker() != "o"]
        lines += [ax.transData.transform([a.xy, a.xyann]) for a in ax.texts if isinstance(a, Annotation)]
    axis = lines[0]
    assert len(texts) >= 3
    for (one, a), (other, b) in itertools.combinations(zip(texts, placed, strict=True), 2):
        # A hair, for the rounding of the letters to dots.
        over = min(a.x1, b.x1) - max(a.x0, b.x0), min(a.y1, b.y1) - max(a.y0, b.y0)
        assert min(over) < 0.5, f"{one.get_text()!r} lies on {other.get_text()!r}"
    for text, box in zip(texts, placed, strict=True):
        assert whole.x0 - 0.5 <= box.x0, text.get_text()
        assert box.x1 <= whole.x1 + 0.5, text.get_text()
        assert whole.y0 <= box.y0, text.get_text()
        assert box.y1 <= whole.y1, text.get_text()
        shape = shapely.box(*box.extents)
        for line in lines:
            own = text.get_fontweight() == "bold" or (line is axis and text.get_bbox_patch() is not None)
            crossed = shapely.LineString(line).intersection(shape).length if not own else 0.0
            assert crossed < 0.5, f"a line crosses {text.get_text()!r}"
    for (one, a), (other, b) in itertools.combinations(badges, 2):
        over = min(a.x1, b.x1) - max(a.x0, b.x0), min(a.y1, b.y1) - max(a.y0, b.y0)
        assert min(over) < 1.0, f"the box of {one.get_text()!r} lies on that of {other.get_text()!r}"


def test_what_is_too_long_for_a_part_is_told_whole_below_it():
    said = " ".join(words(figures.device([_LONG_TUBE, _LONG_BODY])))
    for part in (f"a {LONG}", "b 電池台(18×65セル付)", f"c {LONG}", "plug out"):
        assert part in said
    assert "…" not in said


def test_dimension_lines_end_where_the_parts_do():
    ax = figures.tube_stack(TUBE)
    arrows = [t for t in ax.texts if isinstance(t, Annotation) and not t.get_text()]
    spans = {tuple(sorted((a.xy[0], a.xyann[0]))) for a in arrows if a.xy[1] == a.xyann[1]}
    assert {(0, 12.0), (0, 44.0), (0, 46.2)} <= spans
    heights = {round(abs(a.xy[1] - a.xyann[1]), 6) for a in arrows if a.xy[0] == a.xyann[0]}
    assert heights == {25.0, 25.4, 34.0}


def test_sizes_are_shown_in_the_unit_asked_for():
    said = words(figures.draw(TUBE, unit=INCH))
    assert "depth 1.819" in said
    assert "Nominal sizes (in)." in said


def test_a_diameter_that_is_not_known_is_admitted():
    assert any("not to scale" in word for word in words(figures.tube_stack(DRAWINGS["tube, no diameters"])))
    assert not any("not to scale" in word for word in words(figures.tube_stack(TUBE)))


# -- the cross-section -------------------------------------------------------------------------------------


@pytest.mark.parametrize("drawing", [d for d in DRAWINGS.values() if isinstance(d, CrossSection)])
def test_the_cross_section_shows_the_gap_that_its_shapes_have(drawing):
    """The smallest gap between the drawn corners and the drawn bore is the one that is written beside them."""
    ax = figures.cross_section(drawing)
    circles = [p for p in ax.patches if isinstance(p, Circle)]
    assert drawing.bore / 2 in [p.radius for p in circles]
    ghost = (
        next(p for p in circles if p.radius == drawing.chassis / 2 and p.center != (0, 0))
        if (drawing.chassis < drawing.bore)
        else None
    )
    if ghost:  # shifted until it touches the wall
        assert math.hypot(*ghost.center) + ghost.radius == pytest.approx(drawing.bore / 2)
    blocks = [p.get_xy() for p in ax.patches if isinstance(p, Polygon)]
    assert len(blocks) == 2
    assert all(np.ptp(block[:, 0]) == pytest.approx(drawing.width) for block in blocks)
    for name, block in zip(("centred", "shifted"), blocks, strict=True):
        # The two corners of the outer face; the block's foot is drawn only as far as the axis.
        gap = drawing.bore / 2 - max(math.hypot(*corner) for corner in block[1:3])
        text = next(word for word in words(ax) if word.startswith(name))
        value = float(re.search(r"[\d.]+", text)[0])
        assert value == pytest.approx(abs(gap), abs=0.00501)
        assert ("overlap" in text) == (gap < 0)


# -- several bodies --------------------------------------------------------------------------------------


def outline(patch):
    """A drawn shape as a shapely one."""
    if isinstance(patch, Circle):
        return shapely.Point(patch.center).buffer(patch.radius, quad_segs=256)
    return shapely.Polygon(patch.get_xy() if isinstance(patch, Polygon) else patch.get_corners())


@pytest.mark.parametrize("drawing", BODY_SECTIONS)
def test_bodies_are_drawn_where_they_are_and_the_smallest_gap_is_the_one_that_is_drawn(drawing):
    """Independent: distances of the drawn shapes by shapely; circles as polygons, so to a few micrometres."""
    ax = figures.bodies(drawing)
    shapes = [p for p in ax.patches if p.get_facecolor()[:3] == to_rgb(PALE_BLUE)]
    assert len(shapes) == len(drawing.bodies)
    solid = sorted(outline(p).area for p in shapes)
    wanted = [
        math.pi / 4 * s["diameter"] ** 2 if "diameter" in s else s["width"] * s.get("depth", max(s["reach"], 0))
        for s in (body.sizes for body in drawing.bodies)
    ]
    assert solid == pytest.approx(sorted(wanted), rel=1e-4)
    *_, chassis, nearest = [p for p in ax.patches if p.get_linestyle() not in ("-", "solid")]
    far = outline(nearest).hausdorff_distance(shapely.Point(0, 0))
    gap = drawing.bore / 2 - far
    said = next(word for word in words(ax) if word.startswith("worst shift: "))
    assert ("overlap" in said) is (gap < 0)
    assert float(re.search(r"[\d.]+", said)[0]) == pytest.approx(abs(gap), abs=0.006)
    if "too large" not in next(name for name, one in DRAWINGS.items() if one is drawing):
        # Shifted until the chassis touches the wall.
        assert outline(chassis).hausdorff_distance(shapely.Point(0, 0)) == pytest.approx(drawing.bore / 2, abs=1e-3)
    # The line in the enlarged detail leads over the gap.
    (inset,) = ax.child_axes
    line = next(line for line in inset.lines if len(line.get_xdata()) == 2)
    assert math.dist(*line.get_xydata()) == pytest.approx(abs(gap), abs=1e-3)
    assert math.hypot(*line.get_xydata()[1]) == pytest.approx(drawing.bore / 2)
    (x0, x1), (y0, y1) = inset.get_xlim(), inset.get_ylim()
    assert all(x0 < x < x1 and y0 < y < y1 for x, y in line.get_xydata())


@pytest.mark.parametrize("unit_text", ["mm", "in"])
def test_every_body_is_named_with_its_size_and_its_own_least_gap(unit_text):
    said = words(figures.draw(BODIES, unit=unit(unit_text)))
    if unit_text == "mm":
        assert "1 plug head, 14.00 wide, face at 13.20: gap 0.57" in said
        assert "    5.00 deep, 0.50 to the right, turned 9.74°" in said
        assert "2 nut, ⌀ 14.00: gap 0.75" in said  # by hand: 31.5 / 2 - 8 - 7
        assert {"tube ⌀ 36.00", "bore ⌀ 32.00", "chassis ⌀ 31.50", "109° anticlockwise"} <= set(said)
    else:
        assert "2 nut, ⌀ 0.551: gap 0.030" in said
    assert f"Nominal sizes ({unit_text})." in said


@given(st.floats(-20, 20), st.floats(-20, 20), st.booleans())
def test_the_worst_shift_brings_a_point_as_near_to_the_wall_as_the_model_says(x, y, is_round):
    bore, chassis = 32.0, (31.0,) if is_round else (24.0, 20.0)
    shift = worst_shift(bore, chassis, x, y)
    found = bore / 2 - math.hypot(x + shift[0], y + shift[1])
    assert found == pytest.approx(float(least_gaps(bore, chassis, [(x, y)], 0.0)[0]), abs=1e-12)


def test_the_finding_on_several_bodies_has_its_figure():
    head, nut = {"name": "plug head", "width": "14", "reach": "13.2"}, {"name": "nut", "diameter": "14", "offset": "8"}
    question = PortClearance.read({"bore": "32", "chassis": "31.5", "bodies": [head, nut]})
    (about,) = [one for one in question.findings() if one.drawing is not None]
    ax = figures.draw(about.drawing, unit=about.unit)
    assert f"worst shift: gap {about.show(about.drawing.named.gap)}" in words(ax)
    assert any(word.startswith("2 nut") for word in words(ax))


def test_the_detail_shows_the_body_and_the_gap_that_the_finding_names():
    """Of two bodies the one whose sizes vary more is nearest at worst case, the other with nominal sizes."""
    nut = {"name": "nut", "width": "13.0 ± 0.2", "reach": "16.0 ± 0.2"}
    wires = {"name": "wires", "width": "6 ± 0.5", "reach": "17.0 ± 0.3", "angle": "180 deg"}
    question = PortClearance.read(
        {"bore": "38.0 +0.1/-0", "chassis": "37.6 ± 0.1", "bodies": [{"name": "nut wi", "diameter": "9"}, nut, wires]}
    )
    (about,) = [one for one in question.findings() if isinstance(one.drawing, BodySection)]
    # By hand: D = d at worst, so that the bore drops out: 37.5 / 2 - hypot(17.3, 3.25) and 37.6 / 2 - hypot(17, 3).
    worst, wires_nominal = 37.5 / 2 - math.hypot(17.3, 3.25), 37.6 / 2 - math.hypot(17, 3)
    nut_nominal = 37.6 / 2 - math.hypot(16, 6.5)
    assert nut_nominal < wires_nominal
    assert about.worst_case.min == pytest.approx(worst)
    assert "of the wires, 170° clockwise" in about.answer
    said = words(figures.drawing_of(about))
    assert any(word.startswith("3 wires, ") and word.endswith("× larger") for word in said)
    assert f"nominal: gap {wires_nominal:.2f} mm" in said
    assert f"at worst: gap {about.at_worst}" in said
    assert f"needed: {question.gap:.2f} mm" in said
    assert "170° clockwise" in said
    assert "Least gaps: each at its worst shift, that of 3 dashed." in said
    text = page([about], title="Wand")
    assert f">at worst: gap {about.at_worst}<" in text


def test_a_body_is_found_by_its_place_and_not_by_a_word_of_the_answer():
    """Found: a body named "corner" was marked where the finding meant the left outer corner of the nut."""
    round_one = {"name": "corner", "diameter": "8 ± 0.1", "offset": "2 ± 0.1"}
    nut = {"name": "nut", "width": "14 ± 0.2", "reach": "13.2 ± 0.2"}
    question = PortClearance.read({"bore": "32 +0.1/-0", "chassis": "31.5 ± 0.1", "bodies": [round_one, nut]})
    (about,) = [one for one in question.findings() if isinstance(one.drawing, BodySection)]
    assert "corner of the nut" in about.answer
    assert about.drawing.named.name == "nut"
    said = words(figures.bodies(about.drawing, worst=about.worst_case.min))
    assert any(word.startswith("2 nut, ") and word.endswith("× larger") for word in said)
    assert "Least gaps: each at its worst shift, that of 2 dashed." in said


# -- the thread profiles -------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["M36x1.5-6H/6g-LH", "M4-6H/6g", "M10x1.25-5H6H/6g", "1/4-20 UNC-2A/2B"])
def test_the_profiles_are_as_far_apart_as_the_pair_says(text):
    about = pair(text)
    P = about.external.thread.pitch
    screw, nut = outlines(about.external), outlines(about.internal)
    crest, root, flank = np.array([0.0]), np.array([P / 2]), np.array([P / 4 + 0.01 * P])
    gaps = [about.clearance(which) for which in ("major", "pitch", "minor")]
    for place, gap in zip((crest, flank, root), gaps, strict=True):
        tight = nut[0].radius(place, P) - screw[0].radius(place, P)
        assert 2 * tight == pytest.approx(gap.min, abs=1e-9)
        loose = nut[1].radius(place, P) - screw[1].radius(place, P)
        if gap.max is not None:
            assert 2 * loose == pytest.approx(gap.max, abs=1e-9)
    # ISO 68-1: flanks at 30° to a plane square to the axis, and at its pitch diameter a ridge is P/2 wide.
    for one in (*screw, *nut):
        assert one.radius(np.array([P / 4]), P) == pytest.approx(one.pitch / 2)
        rise = one.radius(np.array([0.24 * P]), P) - one.radius(np.array([0.26 * P]), P)
        assert math.degrees(math.atan(0.02 * P / rise[0])) == pytest.approx(30.0)
        assert one.radius(np.array([0.1 * P]), P) == pytest.approx(one.radius(np.array([3.1 * P]), P))


def test_the_profiles_say_the_clearances_and_where_metal_meets_metal():
    tight, free = words(figures.draw(pair("M5-6g", "#10-32 UNF-2B"))), words(figures.draw(pair("M36x1.5-6H/6g-LH")))
    assert "2 pitch diameter: clearance 0.032 to 0.382" in free
    assert "1 major diameter: clearance 0.032 or more" in free
    assert "Hatched: they meet in metal." in tight
    assert "Hatched: they meet in metal." in words(figures.draw(pair("M10x1.5-6g", "M10x1-6H")))
    assert "Hatched: they meet in metal." not in free
    # By hand: (10 - 1.082532 x 1.5 - (5 - 0.024)) / 2 = 1.70 at the least.
    apart_by = next(word for word in words(figures.profiles(("M5-6g", "M10-6H"))) if "pass each other" in word)
    assert apart_by.startswith("The ridges pass each other by 1.700 to ")
    assert words(figures.profiles("M36x1.5-6H/6g-LH")) == free
    assert words(figures.profiles(("M5-6g", "#10-32 UNF-2B"))) == tight
    assert "To scale (in)." in words(figures.profiles("1/4-20 UNC-2A/2B"))[-1]


@pytest.mark.parametrize("measured", [{}, {"hole_minor": "3.42 ± 0.01", "screw_pitch": "3.40 ± 0.01"}])
def test_the_finding_on_a_set_screw_carries_hole_and_screw_at_their_limits(measured):
    strip = SetScrew.read({**SCREW, **measured}).findings()[0]
    said = words(figures.draw(strip.drawing.pair))
    standard = pair("M4-6H/6g")
    if measured:
        # By hand: M4 6H has a pitch diameter of 3.545 to 3.663, and 4 - 0.022 - 0.140 = 3.838 is the least 6g crest.
        assert "2 pitch diameter: clearance 0.135 to 0.273" in said
        assert any(word.startswith("4 ridges overlap 0.204 to 0.284") for word in said)
    else:
        assert strip.drawing.pair.clearance("pitch") == standard.clearance("pitch")
        assert "2 pitch diameter: clearance 0.022 to 0.230" in said
    html = page([strip], title="wand")
    assert 'aria-label="Thread profiles for set screw' in html


# -- the plug ----------------------------------------------------------------------------------------------


def test_the_plug_ends_where_its_length_says():
    ax = figures.plug(PLUG)
    pin = next(p for p in ax.patches if isinstance(p, Rectangle) and p.get_width() == PLUG.length)
    assert pin.get_x() == -PLUG.seat
    cap = next(p for p in ax.patches if isinstance(p, Rectangle) and p.get_x() == PLUG.room)
    assert cap.get_x() >= pin.get_x() + pin.get_width()
    said = words(ax)
    for word in ("contact opens 8.00", "plug stops 9.50", "room 6.00", "length 14.90", "works: 14.80 to 15.10"):
        assert word in said


@pytest.mark.parametrize(("length", "inside"), [(14.9, True), (14.7, False), (15.2, False)])
def test_the_marker_of_a_length_lies_in_the_window_if_it_works(length, inside):
    ax = figures.plug(PlugStack(8.0, 9.5, 6.0, length, Interval(14.8, 15.1)))
    marker = next(line.get_xdata()[0] for line in ax.lines if line.get_marker() == "v")
    window = [p for p in ax.patches if isinstance(p, Rectangle)][-1]
    assert bool(window.get_x() <= marker <= window.get_x() + window.get_width()) is inside


def test_an_empty_window_says_what_the_two_ends_ask_for():
    assert "none works: at least 15.00, at most 14.60" in words(figures.plug(DRAWINGS["plug, no window"]))


# -- where, spread, drivers --------------------------------------------------------------------------------


@pytest.mark.parametrize("about", sample(), ids=lambda f: f.title)
def test_the_strip_shows_the_numbers_of_its_finding_in_its_unit(about):
    ax = figures.where(about)
    shown = about.unit.from_base
    bars = [(p.get_x(), p.get_x() + p.get_width()) for p in ax.containers[0].patches + ax.containers[1].patches]
    assert bars == [
        pytest.approx([shown(x) for x in about.worst_case]),
        pytest.approx([shown(x) for x in about.interval]),
    ]
    low, high = ax.get_xlim()
    for x in (*about.worst_case, about.nominal, about.requirement.at_least, about.requirement.at_most):
        assert x is None or low < shown(x) < high
    excluded = sorted(float(np.atleast_2d(p.get_xy())[:, 0].min()) for p in ax.patches if p.get_hatch())
    limits = []
    if about.requirement.at_least is not None:
        limits.append(low)
    if about.requirement.at_most is not None:
        limits.append(shown(about.requirement.at_most))
    assert excluded == pytest.approx(limits)
    said = " ".join(ax.get_xlabel().split())
    assert f"{about.quantity}, {about.unit.text}".rstrip(", ") in said
    assert f"worst case {about.span(about.worst_case)}" in said
    assert on_each_other(ax) == []


def test_the_spread_of_a_sum_and_of_a_response_have_an_area_of_one():
    a, b = dimension(10.0, plus=0.1, name="a"), dimension(2.0, plus=0.1, name="b", unit=INCH)
    for quantity in (a + b, Response(lambda a, b: a * b, {"a": a, "b": b}, unit=unit("mm"))):
        ax = figures.spread(shape(quantity), Requirement(at_least=11.9, at_most=20.1), nominal=quantity.nominal)
        outline = ax.collections[0].get_paths()[0].vertices
        x, y = outline[:, 0], outline[:, 1]
        area = 0.5 * abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1)))
        assert area == pytest.approx(1.0, abs=2e-3)
    for bad in (3.0, shape(dimension(2.0, name="exact") + 1.0)):
        with pytest.raises(InputError, match="the shape of a quantity that varies is needed"):
            figures.spread(bad)


@pytest.mark.parametrize("at_least", [9.4, 9.6, 9.9])
def test_the_spread_stands_over_a_finding_that_does_not_hold_and_hatches_what_fails(at_least):
    about = finding(at_least=at_least)
    ax = figures.where(about)
    assert ("spread" in words(ax)) is (about.verdict is not Verdict.HOLDS)
    if about.verdict is Verdict.HOLDS:
        return
    areas = []
    for hill in ax.collections[:2]:
        x, y = hill.get_paths()[0].vertices.T
        areas.append(0.5 * abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))))
    assert areas[1] / areas[0] == pytest.approx(float(about.probability), rel=0.12, abs=1e-4)
    # Parts inspected one by one have no density, but a histogram.
    parts = inspected([2.0, 2.1, 2.4, 1.9], name="parts")
    for quantity in (parts + 1.0, parts + dimension(1.0, plus=0.2, name="shim")):
        drawn = judge(Topic(""), quantity, Requirement(at_least=3.3), label="", answer="")
        assert "spread" in words(figures.where(drawn))
    # The quantity itself is not needed. A finding made by hand, or of what does not vary, has its bars.
    assert "spread" in words(figures.where(dataclasses.replace(about, of=None)))
    assert "spread" not in words(figures.where(dataclasses.replace(about, shaped=None)))
    still = judge(Topic(""), dimension(2.0, name="a") + 1.0, Requirement(at_least=4.0), label="", answer="")
    assert "spread" not in words(figures.where(still))


def test_the_bars_of_the_drivers_are_their_shares():
    about = finding(members=5)
    ax = figures.drivers(about)
    wide = [[100 * getattr(d, share) for d in about.drivers] for share in ("variance_share", "worst_case_share")]
    assert [[p.get_width() for p in bars] for bars in ax.containers] == [pytest.approx(row) for row in wide]
    assert {d.name for d in about.drivers} <= set(words(ax))
    assert " nothing varies" in words(figures.drivers(dataclasses.replace(sample()[10], driven=None)))


# -- inline SVG --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("drawing", DRAWINGS.values(), ids=DRAWINGS)
def test_an_svg_is_well_formed_the_same_each_time_and_its_text_is_text(drawing):
    text = figures.svg(figures.draw(drawing), "d1", 'a "drawing" <of> & with parts')
    assert text == figures.svg(figures.draw(drawing), "d1", 'a "drawing" <of> & with parts')
    root = ET.fromstring(text)
    assert root.attrib["aria-label"] == 'a "drawing" <of> & with parts'
    assert root.attrib["role"] == "img"
    read = ["".join(t.itertext()) for t in root.iter("{http://www.w3.org/2000/svg}text")]
    assert sorted(read) == sorted(line for word in words(figures.draw(drawing)) for line in word.splitlines())
    assert "<metadata" not in text
    ids = re.findall(r'\sid="([^"]*)"', text)
    assert len(ids) == len(set(ids))
    assert all(i.startswith("d1-") for i in ids)
    used = set(re.findall(r"url\(#([^)]+)\)", text)) | set(re.findall(r'href="#([^"]+)"', text))
    assert used == set(ids)


def test_names_of_any_script_and_with_signs_of_mathematics_are_shown_as_they_are():
    names = ("$x^{2$ washer", "挡圈", "Scheibe <b> & Co", "🔩", "a\\frac{b}")
    text = figures.svg(figures.draw(TubeStack(30.0, tuple((n, 4.0) for n in names), (), 20.0, 20.3, 26.0)), "d", "d")
    said = " ".join("".join(t.itertext()) for t in ET.fromstring(text).iter("{http://www.w3.org/2000/svg}text"))
    for name in names:
        assert name in said


# -- labels ------------------------------------------------------------------------------------------------


@given(st.lists(st.floats(-1e3, 1e3), max_size=12).map(sorted), st.floats(0.01, 50))
def test_labels_are_moved_apart_in_order_and_no_more_than_needed(positions, gap):
    moved = apart(positions, gap)
    assert len(moved) == len(positions)
    assert all(b - a >= gap * (1 - 1e-9) - 1e-9 for a, b in itertools.pairwise(moved))
    # Least squares leaves the centre where it was, and what needs no move unmoved.
    assert sum(moved) == pytest.approx(sum(positions), abs=1e-6)
    if all(b - a >= gap for a, b in itertools.pairwise(positions)):
        assert moved == pytest.approx(positions, abs=1e-9)


@pytest.mark.parametrize("text", ["pressure plate behind the slug", "x" * 90, "a " + "plate-" * 20, "挿" * 40])
def test_lines_below_a_drawing_are_no_wider_than_their_room_and_lose_no_letter(text):
    lines = wrapped_to(text, 120)
    assert all(width_of(line) <= 120 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert all(lines), "no empty line"


def test_screws_around_the_tube_are_counted_beside_the_one_mark_that_shows_them():
    screw = {**SCREW, "screws": 3, "angles": ["0 deg", "120 deg", "240 deg"]}
    three = fc.ask("set_screw", **screw)[0].drawing
    one_depth = dataclasses.replace(TUBE, screws=(("screw 1", 12.0),))
    marks = [Mark("4", Verdict.FAILS, Station.SCREW, None, "strips")]
    assert "×3" in words(figures.device([one_depth, three], marks=marks))
    nothing_is_covered(figures.device([one_depth, three], marks=marks))
    # Named by the tube itself, at one depth; of screws in a row each has its own mark, and one alone is not counted.
    around = dataclasses.replace(TUBE, screws=(("a", 12.0), ("b", 12.0), ("c", 36.0)))
    assert [word for word in words(figures.device([around])) if word.startswith("×")] == ["×2"]
    for drawn in ([TUBE, three], [one_depth]):
        assert not any(word.startswith("×") for word in words(figures.device(drawn)))
