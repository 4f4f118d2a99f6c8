"""A size without a tolerance is taken as exact, and every finding that rests on one says so. Numbers invented."""

import pytest
from asked import JOINT, TUBE

import fitcheck as fc


def exact_lines(question, **given):
    return [line for one in fc.ask(question, **given) for line in one.assumptions if "No tolerance was given" in line]


def test_untoleranced_parts_do_not_hold_without_a_word():
    lines = exact_lines("blade_depth", adds=["40"], at_least="39.5 mm")
    assert lines
    assert all(line.endswith("it is taken as exact.") for line in lines)
    assert not exact_lines("blade_depth", adds=["40 ± 0.1"], at_least="39.5 mm")


def test_each_is_named_once():
    body = {**JOINT, "length": "7.5", "external_pitch": "34.9"}
    said = exact_lines("thread_engagement", **body)
    assert any("external pitch" in line and "each is taken as exact" in line for line in said)
    assert all(line.count("length") <= 1 for line in said)


@pytest.mark.parametrize("seized", ["25 N·m", "25 ± 10 N·m"])
def test_a_torque_counts_too(seized):
    assert any("seized" in line for line in exact_lines("handling", **{**TUBE, "seized": seized})) is (
        "±" not in seized
    )


def test_the_short_text_says_once_what_it_rests_on():
    slide = {
        "adds": ["64"],
        "takes": ["8", "14.5 ± 0.3"],
        "at_least": "41 mm",
        "screws": ["36.5 ± 0.2"],
        "cover": "2 mm",
    }
    found = fc.ask("blade_depth", **slide)
    said = " ".join(str(found).split())
    assert len(found) == 2
    assert said.endswith(
        "No tolerance was given for adds no. 1 (64 mm) and takes no. 1 (8 mm): each is taken as exact, and what holds "
        "rests on it."
    )
    assert "exact" not in str(fc.ask("blade_depth", adds=["64 ± 0.1"], takes=["8 ± 0.1"], at_least="41 mm"))
    # What fails with it does so all the more without it.
    assert "exact" not in str(fc.ask("blade_depth", adds=["40"], at_least="41 mm"))


def test_many_exact_sizes_are_counted():
    found = fc.ask("blade_depth", adds=["64"], takes=[str(n) for n in range(1, 9)], at_least="20 mm")
    assert "takes no. 5 (5 mm) and 3 more: each is taken as exact" in " ".join(str(found).split())
