"""Fine against coarse in one wall: the paired comparison against the published pairs, closed forms and its own sample.

Source of the pairs: makers' laboratory tables (document EAH680-I, p. 3: the finer of two 1/4 in screws in 6061-T6; and
a pair of another maker's table, of which the ratios alone were read).
"""

import math

import numpy as np
import pytest
from screw_inputs import SCREW

from fitcheck import compare_pitches
from fitcheck.errors import InputError
from fitcheck.mechanics import short_engagement_factor, short_model
from fitcheck.questions.set_screw.paired import rivals

WALL = {key: value for key, value in SCREW.items() if key not in ("hole", "screw", "pull", "screw_length")}


def test_the_published_pairs_scatter_about_the_model_as_is_said():
    # Basic areas are equal at equal wall and diameter, so the model's ratio is that of the factors. Inches.
    residuals = []
    for wall, measured in ((3 / 32, 1.26), (1 / 8, 1.11), (3 / 16, 1.03)):
        model = short_engagement_factor(20 * wall) / short_engagement_factor(14 * wall)
        residuals.append(math.log(measured / model))
    # A coarser pitch held 8 to 16 % more; the walls were not read, so the model's ratio of the first pair is taken.
    typical = short_engagement_factor(20 / 8) / short_engagement_factor(14 / 8)
    residuals += [math.log(1 / 1.08 / typical), math.log(1 / 1.16 / typical)]
    root_mean_square = math.sqrt(np.mean(np.square(residuals)))
    assert short_model().pair.value == pytest.approx(root_mean_square, abs=0.01)


@pytest.fixture(scope="module")
def table():
    return compare_pitches(["M4x0.7", "M4x0.5", "M5x0.8"], **WALL)


def test_a_thread_against_itself_is_known_but_for_what_pitches_hide(table):
    """The same question twice: the sizes cancel as they are the same dimensions, and the pair's spread is left."""
    same = rivals(table.asked[0], table.asked[0])
    assert same.ratio == pytest.approx(1)
    assert same.stronger == pytest.approx(0.5, abs=0.01)
    assert not same.decided


def test_what_both_share_cancels(table):
    """The ratio is known far better than either torque, and no worse than their own sizes and the pair allow."""
    found = table.against(table[1], table[0])
    apart = math.log(found.interval.max / found.interval.min)
    alone = [math.log(q.strip_torque.interval(0.9).max / q.strip_torque.interval(0.9).min) for q in table.asked[:2]]
    assert apart < 0.9 * math.hypot(*alone)
    assert apart > 2 * 1.6448 * short_model().pair.value


def test_fine_against_coarse_is_not_decided_by_the_evidence(table):
    assert "not decided by the evidence" in str(table.against(table[1], table[2]))
    assert "not decided by the evidence" in table.why()
    assert "backed off" in table.why()


def test_a_larger_thread_is_stronger_beyond_doubt():
    walls = {**WALL, "screw_length": "3.0 ± 0.05", "point_length": "1.0 ± 0.05", "point_diameter": "2.0"}
    decided = compare_pitches(["M6x1", "M4x0.5"], **walls, socket_end="1.0")
    found = decided.against(decided[0], decided[1])
    assert found.decided
    assert found.stronger > 0.95
    assert "not decided" not in str(found)


def test_trials_of_one_thread_are_of_that_thread_alone():
    tried = compare_pitches(["M4x0.7", "M4x0.5"], trials={"M4x0.5": ["1.6 N·m", "1.7 N·m", "1.5 N·m"]}, **WALL)
    plain = compare_pitches(["M4x0.7", "M4x0.5"], **WALL)
    assert tried[0].safe_torque == pytest.approx(plain[0].safe_torque)
    assert tried[1].safe_torque > 1.5 * plain[1].safe_torque
    assert tried.against(tried[1], tried[0]).stronger > plain.against(plain[1], plain[0]).stronger


def test_the_rows_say_what_else_decides(table):
    coarse, fine, _ = table
    assert coarse.turns_off < fine.turns_off
    assert coarse.threads_left < fine.threads_left
    assert coarse.sold
    assert coarse.tool_torque > 0
    assert coarse.play > 0
    assert "below 0.01" in str(compare_pitches(["M4x0.5"], **{**WALL, "hand_torque": "0.1 ± 0.05 N·m"}))


@pytest.mark.parametrize(
    ("trials", "words"),
    [(["1 N·m"], "by the thread they were made with"), ({"M4": ["1 N·m"]}, "'M4' is none of the threads")],
)
def test_trials_of_nobody_knows_which_thread_are_refused(trials, words):
    with pytest.raises(InputError, match=words):
        compare_pitches(["M4x0.7", "M4x0.5"], trials=trials, **WALL)
