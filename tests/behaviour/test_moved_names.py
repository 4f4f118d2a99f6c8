"""What moved says where it went."""

import pytest

import fitcheck.strength
from fitcheck import fits, mechanics, stack, threads


def test_the_old_name_of_the_models_answers_and_says_where_they_are():
    with pytest.warns(DeprecationWarning, match=r"fitcheck.strength.axial_load is now fitcheck.mechanics.axial_load"):
        old = fitcheck.strength.axial_load
    assert old is mechanics.axial_load


@pytest.mark.parametrize("name", mechanics.__all__)
def test_every_model_is_found_under_its_old_name(name):
    with pytest.warns(DeprecationWarning, match=name):
        assert getattr(fitcheck.strength, name) is getattr(mechanics, name)


def test_what_never_was_there_is_no_move():
    with pytest.raises(AttributeError, match="axial_lode"):
        _ = fitcheck.strength.axial_lode


@pytest.mark.parametrize(
    ("package", "old", "new"),
    [(fits, "Limits", "PlainLimits"), (stack, "frame", "share_frame"), (threads, "check", "decide_size")],
)
def test_a_name_that_was_changed_answers_and_says_the_new_one(package, old, new):
    with pytest.warns(DeprecationWarning, match=rf"{package.__name__}.{old} is now {package.__name__}.{new}"):
        assert getattr(package, old) is getattr(package, new)
    with pytest.raises(AttributeError, match="no attribute 'never'"):
        _ = package.never
