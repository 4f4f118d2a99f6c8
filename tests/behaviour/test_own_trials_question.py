"""A set screw with trials of one's own: what they narrow, what they allow, and what they may not."""

import math

import numpy as np
import pytest
from screw_inputs import SCREW

import fitcheck as fc
from fitcheck.errors import InputError
from fitcheck.questions import SetScrew, Verdict

TRIALS = ["1.1 N·m", "0.95 N·m", "1.2 N·m"]


@pytest.fixture(scope="module")
def alone():
    return SetScrew.read(SCREW)


@pytest.fixture(scope="module")
def tried():
    return SetScrew.read({**SCREW, "trials": TRIALS})


def test_three_trials_narrow_by_what_the_variances_say(alone, tried):
    """Of the level's and the friction's variance a third of that of one trial is left, or less; the scatter stays."""
    before, after = alone.strip_torque.interval(0.9), tried.strip_torque.interval(0.9)
    assert math.log(after.max / after.min) < 0.85 * math.log(before.max / before.min)
    one = tried.bench.piece_scatter**2 + tried.piece({})(1.0).spread ** 2
    assert tried.bench.level_error**2 < one / 3
    assert tried.safe_torque > 1.5 * alone.safe_torque
    assert {d.name for d in tried.strip_torque.members} >= {"own trials"}
    assert "level of this bench" not in {d.name for d in tried.strip_torque.members}


def test_the_prediction_is_that_of_the_posterior(tried):
    """Sizes drawn, level and scatter drawn of the posterior: the strip torque of the next hole."""
    n, rng = 200_000, np.random.default_rng(4)
    inputs = tried.published_inputs
    v = {k: d.middle + d.half_width * d.spread.sample(rng, n) for k, d in inputs.items() if k in tried.sizes}
    v |= {k: inputs[k].nominal for k in ("friction_thread", "friction_point", "tau_wall", "tau_screw")}
    v["point_diameter"] = inputs["point_diameter"].nominal
    v |= {"bench": 0.0, "scatter": 0.0}
    level, scatter = tried.bench.draw(rng, n)
    torque = tried.torque_to_strip(**v) * np.exp(level + scatter * rng.standard_normal(n))
    for p in (0.05, 0.5, 0.95):
        ours = tried.strip_torque.interval(abs(1 - 2 * p) or 1e-3)[int(p > 0.5)]
        assert ours == pytest.approx(np.quantile(torque, p), rel=0.02)


def test_what_held_and_what_was_proved(alone):
    held = SetScrew.read({**SCREW, "survived": ["0.6 N·m", "0.6 N·m"]})
    assert alone.safe_torque < held.safe_torque
    proved = SetScrew.read({**SCREW, "proved": "0.5 N·m", "hand_torque": "0.45 ± 0.05 N·m"})
    strip = proved.findings()[0]
    assert strip.verdict is Verdict.HOLDS
    assert strip.probability == 0
    assert "costs only its wear" in strip.details["proved"]
    beyond = SetScrew.read({**SCREW, "proved": "0.5 N·m", "hand_torque": "0.9 ± 0.3 N·m"}).findings()[0]
    assert beyond.verdict is Verdict.FAILS


def test_poor_scrap_lowers_what_is_safe(alone):
    poor = SetScrew.read({**SCREW, "trials": ["0.3 N·m", "0.28 N·m", "0.31 N·m"]})
    assert poor.safe_torque < alone.safe_torque
    assert poor.bench.level < -0.3


def test_scrap_of_another_size_is_compared_with_its_own_prediction(tried):
    thick = SetScrew.read({**SCREW, "trials": TRIALS, "trial_outside": "34 ± 0.1"})
    assert thick.bench.level < tried.bench.level  # thicker scrap should have borne more
    flat = SetScrew.read({**SCREW, "trials": TRIALS, "trial_wall": "2.3 ± 0.05"})
    assert flat.bench.level < tried.bench.level
    other = SetScrew.read({**SCREW, "trials": TRIALS, "trial_bore": "25.4", "trial_outside": "30.0"})
    assert other.bench.level == pytest.approx(tried.bench.level, abs=0.1)


def test_more_trials_say_what_they_would_have_to_show():
    """The torque that three more must reach lets the hand torque be, once it is reached."""
    asked = {**SCREW, "hand_torque": "0.35 ± 0.1 N·m"}
    words = SetScrew.read(asked).findings()[0].details["more trials"]
    needed = words.split("should all of them bear ")[1].split(" N·m")[0]
    enough = SetScrew.read({**asked, "trials": [f"{needed} N·m"] * 3})
    assert enough.findings()[0].verdict is not Verdict.FAILS
    short = SetScrew.read({**asked, "trials": [f"{0.9 * float(needed):.3f} N·m"] * 3})
    assert short.safe_torque < 0.45  # the most that the hand may put on


def test_inches_say_the_same(tried):
    named = {key: f"{SCREW[key]} mm" for key in ("outside", "blade", "screw_length", "point_diameter")}
    torques = [f"{float(t.split()[0]) * 8.850745767:.6f} in·lbf" for t in TRIALS]
    inches = SetScrew.read({**SCREW, **named, "trials": torques})
    assert inches.bench.level == pytest.approx(tried.bench.level, abs=1e-6)


def test_at_the_repl():
    inputs = {key: value for key, value in SCREW.items() if key != "pull"}
    found = fc.strip_trials(TRIALS, survived=["0.6 N·m"], **inputs)
    assert found.safe > found.safe_before
    assert "with own trials" in repr(found)
    assert "3 screws stripped scrap at 0.95 N·m to 1.20 N·m" in repr(found)
    assert fc.strip_trials(TRIALS, **inputs).asked.survived is None
    held = fc.strip_trials(survived=["0.6 N·m"], **inputs)
    assert held.asked.trials is None
    assert "1 screw in scrap held 0.60 N·m or more" in repr(held)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"trials": ["1.1"]}, r"trials\[1\] = '1.1' names no unit"),
        ({"trials": ["1.1 N"]}, r"trials\[1\] = '1.1 N' is a force"),
        ({"trials": ["0 N·m"]}, r"trials\[1\] = "),
        ({"survived": "0.6 N·m"}, "survived = '0.6 N·m': a list"),
        ({"proved": "-0.4 N·m"}, "proved"),
        ({"trials": ["1 N·m"], "trial_wall": "0.2", "countersink": "0.3 ± 0.01"}, "no thread engages"),
    ],
)
def test_bad_trials_are_one_clear_line(given, words):
    with pytest.raises(InputError, match=words) as caught:
        SetScrew.read({**SCREW, **given}).findings()
    assert "\n" not in str(caught.value)


def test_no_trials_at_all():
    with pytest.raises(InputError, match="at least one torque"):
        fc.strip_trials(**SCREW)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"trials": ["1.0 N·m", "110 N·m"]}, r"trials\[2\] = 110.00 N·m: 1\d\d times what published tests have"),
        ({"trials": ["0.01 N·m"]}, r"trials\[1\] = 0.01 N·m: 0.012 times"),
        ({"survived": ["60 N·m"]}, r"survived\[1\] = 60.00 N·m: 71 times"),
        ({"proved": "40 N·m"}, r"proved = 40.00 N·m: 47 times .* strip at about 0.85 N·m"),
    ],
)
def test_a_trial_of_another_unit_is_not_believed(change, words):
    """110 N·cm written as N·m: a safe torque of forty would follow from it."""
    with pytest.raises(InputError, match=words) as caught:
        fc.ask("set_screw", **{**SCREW, **change})
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) <= 300


def test_a_screw_that_held_a_little_says_little():
    plain, little = (SetScrew.read({**SCREW, **more}).safe_torque for more in ({}, {"survived": ["0.0001 N·m"]}))
    assert little == pytest.approx(plain, rel=0.03)


def test_a_screw_holds_flat_scrap_by_no_more_than_its_length():
    """In 50 mm of scrap a screw of 4 mm has no more thread than in 4 mm."""
    four, fifty = (
        SetScrew.read({**SCREW, "trials": ["1 N·m"], "screw_length": "4.0", "trial_wall": wall}).bench.level
        for wall in ("4.0", "50")
    )
    assert four == pytest.approx(fifty)
