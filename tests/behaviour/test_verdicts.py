"""What a verdict claims: no more than worst case and probability carry together."""

import pytest

import fitcheck as fc
from fitcheck.questions import Verdict
from fitcheck.questions.finding import Requirement
from fitcheck.questions.judge import Topic, judge
from fitcheck.stack import dimension

UNBOUNDED = ["normal", "normal 2 sigma"]
BOUNDED = ["uniform", "triangular", "arcsine", "truncated normal"]


def verdict(spread, requirement):
    d = dimension(40.0, plus=0.5, spread=spread, name="a")
    return judge(Topic("q"), d + 0.0, requirement, label="length", answer="It is so long.").verdict


@pytest.mark.parametrize("spread", UNBOUNDED)
def test_a_worst_case_with_tails_beyond_it_does_not_hold_alone(spread):
    """The zone of a normal spread ends at 2 or 3 sigma: met there, it is still missed once in 40 or 700 times."""
    edge = Requirement(at_least=39.5, risk=1e-4)
    assert edge.met_by((dimension(40.0, plus=0.5) + 0.0).worst_case())
    assert verdict(spread, edge) is Verdict.FAILS
    assert verdict(spread, Requirement(at_least=39.5, risk=0.05)) is Verdict.HOLDS
    assert verdict(spread, Requirement(at_least=38.0, risk=1e-4)) is Verdict.HOLDS


@pytest.mark.parametrize("spread", BOUNDED)
def test_a_worst_case_of_spreads_with_ends_holds(spread):
    assert verdict(spread, Requirement(at_least=39.5, risk=1e-12)) is Verdict.HOLDS
    assert verdict(spread, Requirement(at_least=39.6, risk=1e-12)) is Verdict.FAILS


def test_a_measured_size_at_the_end_of_its_zone_fails_and_says_what_lies_outside():
    (finding,) = fc.ask("blade_depth", adds=["40 measured ± 0.5"], at_least="39.5 mm")
    assert finding.verdict is Verdict.FAILS
    assert float(finding.probability) == pytest.approx(0.02275, rel=1e-3)  # of a normal variable beyond 2 sigma
    assert any("4.6 % lie outside it" in line for line in finding.assumptions)
    assert finding.change


def test_the_change_that_is_advised_covers_the_tails():
    (finding,) = fc.ask("blade_depth", adds=["40 measured ± 0.5"], at_least="39.5 mm", risk=1e-3)
    (moved,) = fc.ask("blade_depth", adds=["40.28 measured ± 0.5"], at_least="39.5 mm", risk=1e-3)
    assert "0.2" in finding.change[0]
    assert moved.verdict is Verdict.HOLDS
