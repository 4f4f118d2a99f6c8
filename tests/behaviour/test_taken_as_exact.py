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
