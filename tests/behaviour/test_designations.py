"""Thread designations as people write them: what is read, what is filled in, and what is refused."""

import traceback

import pytest

from fitcheck.errors import DesignationError, InputError
from fitcheck.threads import Thread, thread

READ = [
    ("M6x1-6g", "M6x1-6g"),
    ("M6", "M6x1-6g"),
    ("M10x1.25-5H6H-LH", "M10x1.25-5H6H-LH"),
    ("1/4-20 UNC-2A", "1/4-20 UNC-2A"),
    ("#8-32 UNC-2B-LH", "#8-32 UNC-2B-LH"),
    ("0.190-32 UNF-3A", "#10-32 UNF-3A"),
    ("M8x1", "M8x1-6g"),
    ("M20x2-5g6g-LH", "M20x2-5g6g-LH"),
    ("M20x2-6g6g", "M20x2-6g"),
    ("M6x0.75-5h6h-S-LH", "M6x0.75-5h6h-S-LH"),
    ("M16xPh3P1.5", "M16xPh3P1.5-6g"),
    ("M16xPh3P1,5-6H (two starts)", "M16xPh3P1.5-6H"),
    ("m2,5×0,45", "M2.5x0.45-6g"),
    (" M 8 x 1 - 6H ", "M8x1-6H"),
    ("M6 – 6g", "M6x1-6g"),
    ("M6-7g6g-L", "M6x1-7g6g-L"),
    ("M1.2", "M1.2x0.25-6h"),
    ("M34x1.5-6g-LH special", "M34x1.5-6g-LH special"),
    ("#10-32 UNF-3B", "#10-32 UNF-3B"),
    ("10-32 UNF-3B", "#10-32 UNF-3B"),
    ("0-80", "#0-80 UNF-2A"),
    ("0.190-32", "#10-32 UNF-2A"),
    (".250-28", "1/4-28 UNF-2A"),
    ("0.312-18 UNC-2B", "5/16-18 UNC-2B"),
    ("1 1/8-12 UNF-2A-LH", "1 1/8-12 UNF-2A-LH"),
    ("1-1/8-7 unc 2b", "1 1/8-7 UNC-2B"),
    ('1/4"-20 UNC-2A', "1/4-20 UNC-2A"),
    ("1-8", "1-8 UNC-2A"),
    ("6-16 UN-2A", "6-16 UN-2A"),
    ("2-4 1/2 UNC-2A", "2-4.5 UNC-2A"),
    ("1/4-28 UNRF-3A", "1/4-28 UNRF-3A"),
    ("1 1/2-8 UNR-2A", "1 1/2-8 UNR-2A"),
    ("1-8 UN-2A", "1-8 UNC-2A"),
    ("19/64-36 UNS-2B", "19/64-36 UNS-2B"),
    ("2.0-5 UNS-2A", "2.0-5 UNS-2A"),
    ("2 1/8-4 1/3 UNS-2A", "2 1/8-4.3333 UNS-2A"),
    ("M123.4567x2 special", "M123.4567x2-6g special"),
    ("M20xPh4.5P1.5-6H-LH", "M20xPh4.5P1.5-6H-LH"),
    ("1/4-24 UNS-2A LE 12.7 mm", "1/4-24 UNS-2A LE 0.5"),
    ('1/4-24 UNS-2A-LH le .5"', "1/4-24 UNS-2A-LH LE 0.5"),
    ("1/4-24 UNS-2A LE 1.00", "1/4-24 UNS-2A LE 1"),
    ("0.3901-27 UNS-2A", "0.3901-27 UNS-2A"),
    ("#8-32 UNC-2A-RH", "#8-32 UNC-2A"),
]


@pytest.mark.parametrize(("text", "canonical"), READ)
def test_read_and_written_back(text, canonical):
    found = thread(text)
    assert found.designation == canonical == str(found)
    assert thread(found.designation) == found
    assert hash(thread(found.designation)) == hash(found)
    assert thread(found) is found


# Each text, the spot the error points at (counted from 1), and words of the message.
REFUSED = [
    ("M", 2, "diameter in mm"),
    ("M6x", 4, "pitch in mm"),
    ("M6x1-6k", 6, "position 'k'"),
    ("1/4-20-2C", 8, "'2C' is unknown"),
    ("#13-20", 1, "no number size"),
    ("#00-90", 1, "inch size"),
    ("M6x1-06g", 6, "not understood"),
    ("M16xPh3", 5, "M16xPh3P1.5"),
    ("M16x3P1.5", 6, "'P1.5' is not understood"),
    ("M6x1-6g6h6h", 6, "two parts at most"),
    ("M0", 2, "1 mm to 300 mm"),
    ("M-6", 2, "diameter in mm"),
    ("M6x0", 4, "0.05 mm to 15 mm"),
    ("M6x-1", 4, "pitch in mm"),
    ("0-0", 3, "threads per inch"),
    ("nan", 1, "inch size"),
    ("inf", 1, "begins with M"),
    ("", 1, "begins with M"),
    ("   ", 4, "begins with M"),
    ("M٦", 2, "diameter in mm"),
    ("M６", 2, "diameter in mm"),
    ("\u202eM6", 1, "begins with M"),
    ("M6\x00", 3, "not understood"),
    ("1/0-20", 1, "no proper fraction"),
    ("5/4-20", 1, "no proper fraction"),
    ("1/4", 4, "threads per inch"),
    ("1/4-", 5, "threads per inch"),
    ("1/4-20 UNC-2A-2A", 15, "stated twice"),
    ("1/4-20 UNC-2A-", 14, "nothing follows"),
    ("M6x1-6G6g", 6, "mixes positions"),
    ("M6x1-3g", 6, "no grade 3"),
    ("M6x1-7g", 6, "crest"),
    ("M6x1-6g-6H", 9, "stated twice"),
    ("M6x1.1", 4, "it has 1, 0.75"),
    ("M34x1", 2, "nearest: M33, M35, M36"),
    ("M72", 2, "no coarse pitch"),
    ("M6x1x2", 5, "not understood"),
    ("M16xPh3P2", 5, "no multiple"),
    ("M16xPh3P1.5-6H (three starts)", 16, "do not make 3 starts"),
    ("1/4-24 UNC-2A", 8, "28 UNF"),
    ("1/4-25", 5, "28 UNF"),
    ("10-30 UNS", 1, "#10 or 10 inches"),
    ("1/4-20 UNX-2A", 8, "'UNX' is not understood"),
    ("1/4-20 UNC-2A LE 99", 15, "length of engagement 99 in"),
    # ASME B1.1: 0.0015 (1 + 5^(1/2) + 10/80^(2/3)) = 0.00566 in, more than half the height of the sharp profile.
    ("1.0-80 UNS-2A LE 5", 5, "the tolerance of 2A, 0.0057 in, eats the thread"),
    ("1/4-20 UNC-2A LE 0", 15, "length of engagement 0 in: over 0"),
    ("M6-6H/6g", 7, "names a pair"),
    ("M6x6 special", 4, "too coarse"),
    ("thread M6", 1, "begins with M"),
    # The length of engagement stands after the class (ISO 965-1); an L elsewhere may be meant for the hand.
    ("M36x1.5L", 8, "LH is needed for left-hand, 'M36x1.5-LH'"),
    ("M36x1.5-L-6g", 9, "LH is needed for left-hand, 'M36x1.5-LH'"),
    ("m36 × 1,5 l", 11, "after a tolerance class, such as '6g-L'"),
    ("M6L", 3, "'M6-LH'"),
    ("M36x1.5-LH-L", 12, "the length of engagement L is written after a tolerance class"),
    ("M36x1.5-S", 9, "the length of engagement S is written after a tolerance class"),
    ("36x1.5", 3, "a metric thread begins with M: 'M36x1.5' is needed"),
    ("36 x 1,5 LH", 3, "a metric thread begins with M: 'M36x1.5' is needed"),
    ("1/4x20", 4, "'1/4-20' is needed"),
    ("#8x32", 3, "'#8-32' is needed"),
    ("10x1", 3, "'M10x1' for a metric thread or '10-1' for an inch thread is needed"),
]


@pytest.mark.parametrize(("text", "spot", "words"), REFUSED)
def test_refused_with_one_line_that_points_at_the_spot(text, spot, words):
    with pytest.raises(DesignationError) as caught:
        thread(text)
    message = str(caught.value)
    assert isinstance(caught.value, ValueError)
    assert "\n" not in message
    assert repr(text) in message
    assert f"character {spot}:" in message
    assert words in message


def test_a_traceback_shows_a_caret_below_the_spot():
    with pytest.raises(DesignationError) as caught:
        thread("M6x1-6k")
    shown = "".join(traceback.format_exception_only(caught.value)).splitlines()
    assert shown[-2:] == ["    M6x1-6k", "         ^"]


@pytest.mark.parametrize("value", [None, 6, 6.0, float("nan"), b"M6", ["M6"], {}, True, object()])
def test_what_is_no_text(value):
    with pytest.raises(DesignationError, match="a text is needed, for example 'M6x1-6g'"):
        thread(value)


@pytest.mark.parametrize(
    "text", ["M" + "6" * 10_000, "9" * 10_000, "1 " * 5_000, "M6" + "-" * 10_000, "M6x1-" + "6g" * 9_999]
)
def test_long_text_is_refused_before_it_is_read(text):
    with pytest.raises(DesignationError, match="characters are too many") as caught:
        thread(text)
    assert len(str(caught.value)) < 300


@pytest.mark.parametrize(
    "text",
    ["1 " * 40, "M6" + " -" * 39, "1/4-20 UNC" + " " * 69 + "?", "#" + " " * 79, "M6x" + "1" * 77, "1/4-20 (" * 10],
)
def test_no_pattern_runs_away_on_the_longest_text_that_is_read(text):
    with pytest.raises(DesignationError):
        thread(text)


def test_what_the_text_leaves_out_is_said():
    said = " / ".join(thread("M6").assumed)
    assert "coarse pitch of ISO 261" in said
    assert "external=False asks for the nut" in said
    assert "class 6g: what ISO 965-1 recommends" in said
    assert "group N (3 mm to 9 mm)" in said
    said = " / ".join(thread("10-32").assumed)
    assert "10 is read as number size #10" in said
    assert "series UNF" in said
    assert "class 2A: common practice, no source" in said
    assert thread("M6").assumed != thread("M6x1-6g").assumed
    assert thread("M6") == thread("M6x1-6g")


def test_the_nut_may_be_asked_for():
    assert thread("M6", external=False).designation == "M6x1-6H"
    assert thread("M1.4", external=False).designation == "M1.4x0.3-5H"
    assert thread("1/4-20", external=False).designation == "1/4-20 UNC-2B"
    assert thread("M6-6H", external=False) == thread("M6-6H")
    with pytest.raises(DesignationError, match=r"'6H' is of an internal \(nut\) thread: an external \(screw\) thread"):
        thread("M6-6H", external=True)


@pytest.mark.parametrize("external", ["no", 0, 1])
def test_external_is_yes_or_no(external):
    with pytest.raises(InputError, match=r"True \(screw\), False \(nut\) or None"):
        thread("M6", external=external)


def test_special_is_yes_or_no():
    with pytest.raises(InputError, match="True or False is needed"):
        thread("M6", special=["M6"])


def test_special_threads_are_special_on_request_only():
    assert thread("M34x1.5-6g", special=True) == thread("M34x1.5-6g special")
    assert thread("M34x1.5-6g", special=True).series == "special"
    assert thread("M6x1-6g", special=True) == thread("M6x1-6g")
    assert thread("1/4-25", special=True).designation == "1/4-25 UNS-2A"


def test_length_of_engagement():
    assert thread("M6", engagement=12).designation == "M6x1-7g6g-L"
    assert thread("M6", engagement="2 mm", external=False).designation == "M6x1-5H-S"
    assert thread("M6-6g", engagement=5).designation == "M6x1-6g"
    standard = thread("1/2-20 UNF-2A").limits()
    assert thread("1/2-20 UNF-2A", engagement="0.7 in").limits() == standard
    longer = thread("1/2-20 UNF-2A", engagement="1.5 in")
    assert longer.designation == "1/2-20 UNF-2A LE 1.5"
    assert longer.limits().pitch.min < standard.pitch.min
    with pytest.raises(InputError, match="engagement"):
        thread("M6", engagement=-1)


def test_the_fixed_attributes():
    metric, inch = thread("M6x1-6g"), thread("#8-32 UNC-2B-LH")
    assert (metric.nominal, metric.pitch, metric.external, metric.left_hand, metric.unit) == (6, 1, True, False, "mm")
    assert (inch.nominal, inch.pitch, inch.external, inch.left_hand, inch.unit) == (
        pytest.approx(0.164 * 25.4), 25.4 / 32, False, True, "in",
    )  # fmt: skip
    assert isinstance(metric, Thread)
    with pytest.raises(AttributeError):
        metric.pitch = 2


def test_a_thread_and_its_limits_print_as_tables_in_their_own_unit():
    assert repr(thread("1/4-20 UNC-2A").limits()) == (
        "1/4-20 UNC-2A: limits of size, ASME B1.1-1989\n"
        "  in            max     min\n"
        "  major      0.2489  0.2408\n"
        "  pitch      0.2164  0.2127\n"
        "  UNR minor  0.1894       -"
    )
    assert repr(thread("M6x1-6g").limits()) == (
        "M6x1-6g: limits of size, ISO 965-1:1998\n"
        "  mm       max    min\n"
        "  major  5.974  5.794\n"
        "  pitch  5.324  5.212\n"
        "  minor  4.891  4.596\n"
        "  minor max: flat root, which the nut must clear; min: least root radius, 0.125 P; "
        "root() has each by its name, and H/6"
    )
    assert repr(thread("M6x1-6H")) == (
        "M6x1-6H: internal, right-hand, ISO metric coarse, lead angle 3.40°\n"
        "  basic              mm\n"
        "  major diameter  6.000\n"
        "  pitch diameter  5.350\n"
        "  minor diameter  4.917\n"
        "  pitch           1.000\n"
        "  assumed: length of engagement of group N (3 mm to 9 mm)"
    )


@pytest.mark.parametrize(
    "text",
    [
        *(
            "1/2 NPT",
            "1/2-14 NPT",
            "1/2 npt",
            "1 1/4 NPT",
            "2-11.5 NPT",
            "3/8 NPTF",
            "1/2 NPS",
            '3/4" NPT',
            "1/8-27 NPT",
        ),
        *("1-11 1/2 NPT", "G1/2", "G 1/2", "G1", "g1/2A", "R1/2", "Rp 3/4", "Rc1/2", "1/2 BSP", "1/2 BSPT", "BSP 1/2"),
    ],
)
def test_a_pipe_thread_is_said_to_be_one(text):
    with pytest.raises(DesignationError, match=r"a pipe thread .* seals .* not handled here") as refused:
        thread(text)
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize("text", ["1/2-13", "1/2", "G", "R", "NPT", "1/2-13 NPX", "1/2 G"])
def test_what_is_no_pipe_thread_is_not_called_one(text):
    problem = ""
    try:
        thread(text, external=True)
    except DesignationError as error:
        problem = str(error)
    assert "pipe" not in problem
