"""The handover card: it says what the sheet knows, in words that cannot be taken wrongly, and no more."""

from __future__ import annotations

import math
import re
from html import unescape
from pathlib import Path

from asked import DEMO, demo_findings
from hypothesis import given
from hypothesis import strategies as st

from fitcheck.__main__ import main
from fitcheck.mechanics import hand_torque, set_screw
from fitcheck.questions.set_screw.sentences import hand_words
from fitcheck.questions.set_screw.torque_limits import advised_torque
from fitcheck.report.card import card, rounded_down
from fitcheck.report.page import page
from fitcheck.sheet import load
from fitcheck.units import unit

ROOT = Path(__file__).parents[2]

JOINT = """
[[thread_engagement]]
name = "{name}"
external = "M36x1.5-6g{hand}"
internal = "M36x1.5-6H{hand}"
length = "7.5 ± 0.4 mm"
external_material = "6061-T6"
internal_material = "6061-T6"
load = "2000 N"
"""
SCREW = """
[[set_screw]]
name = "front wall"
hole = "#8-32 UNC-2B{hand}"
screw = "#8-32 UNC-2A{hand}"
outside = "1.250 ± 0.004 in"
bore = "1.000 ± 0.002 in"
blade = "0.990 ± 0.003 in"
wall_material = "6061-T6"
screw_material = "45H"
friction_thread = "0.15 ± 0.05"
friction_point = "0.30 ± 0.10"
friction_bore = "0.30 ± 0.10"
hand_torque = "4 ± 1 in·lbf"
pull = "40 N"
screws = 2
"""
PLUG = """
[plug_length]
travel = "4.0 ± 0.2 mm"
seat = "{seat} ± 0.2 mm"
adds = ["16.5 ± 0.3 mm"]
"""


def built(tmp_path: Path, text: str):
    path = tmp_path / "build.toml"
    path.write_text("sheet = 1\ntitle = 'Lamp <b> & blade'\n" + text, encoding="utf-8")
    return load(path)


def said(tmp_path: Path, text: str) -> str:
    """What is read on the card of a sheet."""
    build = built(tmp_path, text)
    return read(card(build, build.findings()))


def read(html: str) -> str:
    body = html[html.index("<body>") :]
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", body)).split())


def test_the_card_of_the_demo_says_what_its_user_needs():
    build, findings = load(DEMO), demo_findings()
    text = read(card(build, findings, made="2025-01-31"))
    screw = next(q for table, _, q in build.questions if table == "set_screw")
    torque = advised_torque(screw).torque
    for words in (
        "Marshalling wand, museum set, no. 3",
        "2025-01-31",
        f"Not yet to be handed over: {sum(f.verdict == 'fails' for f in findings)} of {len(findings)} findings fail",
        "2 × M4x0.7 × 4.0 mm, cup point, 45H",
        f"hexagon, {set_screw('M4').socket:g} mm",
        f"no more than {unit('N·m').down(torque)} ({unit('in·lbf').down(torque)})",
        "less than fingers alone can give",
        "turns anticlockwise, ",
        "LEFT-HAND: turn clockwise to loosen",
        "plug, cut to 23.10 mm",
        "with a meter",
    ):
        assert words in text, words
    for finding in findings:
        assert all(caution in text for caution in finding.cautions)


def test_the_card_of_a_failing_build_does_not_look_like_a_release(tmp_path):
    mended = SCREW.format(hand="").replace("4 ± 1", "1.0 ± 0.2").replace("40 N", "4 N")
    for sheet, releases in ((SCREW.format(hand=""), False), (mended, True)):
        build = built(tmp_path, sheet)
        page = card(build, build.findings())
        kind = "handover card" if releases else "draft, no handover card yet"
        assert f"<title>Lamp &lt;b&gt; &amp; blade: {kind}</title>" in page
        text = read(page)
        assert text.startswith(f"Lamp <b> & blade {kind[:1].upper()}{kind[1:]} ")
        assert ("Not yet to be handed over" in text) is not releases
        assert ("Not settled it fails as the sheet stands" in text) is not releases
        assert ("Spares set screws: 2 × #8-32 UNC" in text) is releases  # of what is to change nothing is stocked


def test_backing_off_covers_the_largest_bore_and_the_smallest_blade(tmp_path):
    # By hand: (1.002 - 0.987) in / (1/32 in) = 0.48 turns at the most, (1.000 - 0.990) 32 = 0.32 at nominal sizes.
    text = said(tmp_path, SCREW.format(hand=""))
    assert "Backing off 0.3 turns anticlockwise, 0.5 at the most, before the blade is pulled: its tip is flush" in text


def test_the_dent_is_that_of_the_torque_on_the_card_not_of_a_heavier_hand(tmp_path):
    turns = []
    for torque in ("20 ± 5 in·lbf", "30 ± 5 in·lbf"):  # both would strip it
        sheet = SCREW.format(hand="").replace("4 ± 1 in·lbf", torque) + 'blade_material = "polycarbonate"\n'
        turns.append(
            re.search(r"Backing off ([\d.]+) turns anticlockwise, ([\d.]+) at the most", said(tmp_path, sheet))
        )
    assert turns[0]
    assert turns[1]
    assert turns[0].groups() == turns[1].groups()
    assert float(turns[0][1]) > 0.3  # without a dent


def test_inch_screws_are_named_as_they_are_bought(tmp_path):
    text = said(tmp_path, SCREW.format(hand=""))
    assert re.search(r"2 × #8-32 UNC × 0\.\d+ in, cup point", text)
    assert "hexagon, 5/64 in" in text
    assert "right-hand: turn clockwise to tighten, anticlockwise to loosen" in text
    assert re.search(r"no more than [\d.]+ in·lbf \([\d.]+ N·m\)", text)


def test_a_left_hand_set_screw_turns_the_other_way(tmp_path):
    text = said(tmp_path, SCREW.format(hand="-LH"))
    assert "LEFT-HAND: turn anticlockwise to tighten, clockwise to loosen" in text
    assert "turns clockwise, " in text
    assert "turns anticlockwise" not in text


def test_each_joint_says_its_hand(tmp_path):
    text = said(tmp_path, JOINT.format(name="front", hand="-LH") + JOINT.format(name="rear", hand=""))
    front, rear = text.index("Front: M36x1.5-LH"), text.index("Rear: M36x1.5")
    assert front < text.index("turn clockwise to loosen") < rear < text.index("turn anticlockwise to loosen")


STUCK = """
[handling]
{name}
external = "M36x1.5-6g-LH"
internal = "M36x1.5-6H-LH"
bore = "30 ± 0.1"
outside = "40 ± 0.1"
external_material = "6061-T6"
internal_material = "6061-T6"
seized = "{seized}"
"""


def test_a_joint_that_may_be_stuck_is_said_once_with_a_torque_a_hand_can_follow(tmp_path):
    joint = JOINT.format(name="front", hand="-LH")
    for name in ("", 'name = "front"'):
        sheet = STUCK.format(name=name, seized="25 ± 5 N·m") + joint
        text = said(tmp_path, sheet)
        assert text.count("LEFT-HAND") == 1
        assert text.count("M36x1.5-LH") == 1
        (stuck,) = (q for table, _, q in built(tmp_path, sheet).questions if table == "handling")
        told = re.search(r"If it is stuck no more than (\d+) N·m, as pure twist: a clamp crushes a thin tube", text)
        assert told
        assert int(told[1]) == math.floor(stuck.safe_torque / 10) * 10  # between 100 and 1000 N·m
        assert 100 <= stuck.safe_torque < 1000
    # Of two joints with this thread none is guessed.
    text = said(tmp_path, STUCK.format(name="", seized="25 ± 5 N·m") + joint + JOINT.format(name="rear", hand="-LH"))
    assert "Front: M36x1.5-LH; Rear: M36x1.5-LH" in text  # alike, so they are told together
    assert text.count("LEFT-HAND") == 2


@given(st.floats(1e-3, 1e5), st.sampled_from(["N·m", "in·lbf", "N·mm"]))
def test_a_limit_is_rounded_down_to_two_digits_and_never_up(torque, text):
    used = unit(text)
    said = rounded_down(used, torque)
    number, exact = float(said.removesuffix(text)), used.from_base(torque)
    assert number <= exact
    assert exact - number < 0.1 * number
    assert re.fullmatch(r"0\.0*\d\d|\d\.\d|\d\d+", said.removesuffix(text).strip())
    assert re.fullmatch(r"0*(\d\d)0*", said.removesuffix(text).strip().replace(".", ""))


def test_round_numbers_stay_as_they_are():
    assert [rounded_down(unit("N·m"), x) for x in (311.65, 310.0, 0.42, 0.29, 7.0, 1.0e4, -1.0)] == [
        *("310 N·m", "310 N·m", "0.42 N·m", "0.29 N·m", "7.0 N·m", "10000 N·m", "0 N·m"),
    ]


def test_no_name_of_code_stands_on_card_or_page(tmp_path):
    build = built(tmp_path, JOINT.format(name="front", hand="") + 'internal_coating = "hard anodic"\n')
    findings = build.findings()
    assert any("cut to its limits less the film" in change for one in findings for change in one.change)
    for html in (card(build, findings), page(findings, title=build.title)):
        assert "cut to its limits less the film" in read(html)
        assert "fitcheck." not in read(html).replace("by fitcheck.", "")


def test_what_the_sheet_does_not_know_is_left_out(tmp_path):
    text = said(tmp_path, PLUG.format(seat="9.0"))
    assert "Plug" in text
    for heading in ("Set screws", "Screwed joints", "Blade", "hexagon", "Not yet"):
        assert heading not in text
    text = said(tmp_path, JOINT.format(name="rear", hand=""))
    for heading in ("Set screws", "Plug", "Blade", "Spares", "the power is cut"):
        assert heading not in text


def test_a_plug_that_may_not_cut_the_power_is_not_promised_to(tmp_path):
    text = said(tmp_path, PLUG.format(seat="4.2"))
    assert "not sure to keep the power cut" in text
    assert "the power is cut under" not in text
    assert "with the plug in, the power is cut" not in text
    assert "plug, cut to" not in text


def test_a_cell_of_the_sheet_is_a_spare(tmp_path):
    text = said(
        tmp_path,
        '[port_clearance]\nbore = "32.0 +0.1/-0.0"\nchassis = "31.5 ± 0.1"\nwidth = "14 ± 0.2"\nreach = "13 ± 0.2"\n'
        'adds = ["118 ± 0.3"]\ntakes = ["cell 18650", "20 ± 0.5"]\n',
    )
    assert "Spares cell 18650" in text


@given(st.floats(0.01, 20.0))
def test_the_words_never_allow_a_hand_that_can_exceed_the_torque(torque):
    """Every way of turning that is allowed ends at or under the torque; the one warned of does not."""
    names = {
        "small driver": "finger driver",
        "short arm": "fingers",
        "short key": "short key",
        "full pull": "full pull",
    }
    allowed, _, warned = hand_words(torque).partition(";")
    for words, name in names.items():
        if words in allowed:
            assert hand_torque(name).high <= torque
        if words in warned:
            assert hand_torque(name).high > torque


def test_no_torque_is_named_where_none_is_safe(tmp_path):
    # A wall this thin lets no full thread of the screw engage.
    thin = SCREW.format(hand="").replace("1.250 ± 0.004 in", "1.020 ± 0.004 in")
    text = said(tmp_path, thin + 'screw_length = "0.125 ± 0.01 in"\n')
    assert "none is safe on this thread" in text
    assert "no more than 0" not in text


def test_no_text_of_a_sheet_becomes_markup(tmp_path):
    build = built(tmp_path, JOINT.format(name="<script>alert(1)</script>", hand=""))
    html = card(build, build.findings())
    assert "<script" not in html
    assert "Lamp &lt;b&gt; &amp; blade" in html
    assert not re.search(r"https?://|url\(|@import", html)


def test_the_command_writes_page_and_card_or_neither(tmp_path, capsys):
    build = built(tmp_path, PLUG.format(seat="9.0"))
    report, written = tmp_path / "page.html", tmp_path / "card.html"
    assert main([str(build.path), "--card", str(written)]) == 0
    assert "Card written to" in capsys.readouterr().out
    assert "handover card" in written.read_text(encoding="utf-8")
    assert not report.exists()
    for bad in (tmp_path / "missing" / "card.html", report):
        assert main([str(build.path), "--report", str(report), "--card", str(bad)]) == 2
        err = capsys.readouterr().err
        assert len(err.splitlines()) == 1
        assert f"card {str(bad)!r}" in err
        assert not report.exists()
    assert sorted(p.name for p in tmp_path.iterdir()) == ["build.toml", "card.html"]


def test_a_blade_is_home_at_its_depth_and_nowhere_else():
    """A drawing of a screw that the blade misses is no depth."""
    said = card(load(DEMO), demo_findings())
    assert said.count(">Home<") == 1
    assert "38.50 mm deep" in said


def test_a_screw_without_a_known_key_has_no_line_for_one(tmp_path):
    """M7 is no size of ISO 4026 to 4029, so that no standard says its socket."""
    usual = said(tmp_path, SCREW.format(hand=""))
    rare = SCREW.format(hand="").replace("#8-32 UNC-2B", "M7x1-6H").replace("#8-32 UNC-2A", "M7x1-6g")
    rare += 'screw_length = "5.0 ± 0.2 mm"\npoint_diameter = "3.5 ± 0.1 mm"\n'
    assert "Key hexagon" in usual
    text = said(tmp_path, rare)
    assert "M7x1" in text
    assert "hexagon" not in text
    assert "key hexagon, 5 mm" in said(tmp_path, rare + 'key = "5 mm"\n').lower()


def test_a_blade_as_large_as_its_bore_needs_no_turn_back(tmp_path):
    tight = SCREW.format(hand="").replace("1.000 ± 0.002 in", "1.000 in").replace("0.990 ± 0.003 in", "1.000 in")
    assert "Backing off" in said(tmp_path, SCREW.format(hand=""))
    assert "Backing off" not in said(tmp_path, tight)


def test_a_plug_that_is_only_likely_to_work_has_no_range_of_lengths_that_do(tmp_path):
    """At worst case no length works; with the spreads and the risk stated one is likely enough to."""
    sure, likely = (
        said(tmp_path, PLUG.format(seat="9.0")),
        said(tmp_path, PLUG.format(seat="5.38").replace('± 0.2 mm"', '± 0.2 mm, normal"') + "risk = 0.05\n"),
    )
    assert re.search(r"Length [\d.]+ mm; .* work", sure)
    assert "Do not rely on it" not in likely
    assert re.search(r"Length [\d.]+ mm For", likely)
