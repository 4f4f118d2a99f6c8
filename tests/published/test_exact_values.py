"""Exact distributions of sums against closed forms and against mpmath.

Source: `tests/reference/stack_examples.json`, section `exact_distributions`: closed forms evaluated with 60 digits and
checked there by a second method; and JCGM 101:2008 clause 9.2 (recalled).
Required by the project: absolute error of the cumulative probability at most 1e-12, relative error of a tail
at most 1e-9.
"""

import json
import math
from pathlib import Path

import pytest

from fitcheck.stack import Distribution, Normal, Triangular, Uniform

REFERENCE = json.loads((Path(__file__).parents[1] / "reference" / "stack_examples.json").read_text())
EXACT = {case["id"]: case for case in REFERENCE["exact_distributions"]}
JCGM = {case["id"]: case for case in REFERENCE["jcgm101"]}


def boxes(*half_widths):
    return Distribution(0.0, [(float(a), Uniform()) for a in half_widths])


@pytest.mark.parametrize("case", [c for c in EXACT if c.startswith("IH_n")])
def test_sum_of_equal_uniforms(case):
    n, x = EXACT[case]["inputs"]["n"], float(EXACT[case]["inputs"]["x"])
    made = boxes(*[0.5] * n)
    assert made.cdf(x - n / 2) == pytest.approx(float(EXACT[case]["value"]), rel=1e-9)
    assert made.sf(n / 2 - x) == pytest.approx(float(EXACT[case]["value"]), rel=1e-9)


@pytest.mark.parametrize("case", [c for c in EXACT if c.startswith("IH_tail")])
def test_tail_beyond_k_sigma(case):
    n, k = EXACT[case]["inputs"]["n"], EXACT[case]["inputs"]["k"]
    made = boxes(*[0.5] * n)
    expected = float(EXACT[case]["value"])
    if expected == 0:
        # Three sigma of three uniforms, and four of four, is exactly the end of the support.
        assert made.cdf(-k * made.std * (1 + 1e-12)) == 0
    else:
        assert made.cdf(-k * made.std) == pytest.approx(expected, rel=1e-9)


def test_a_sum_in_a_smaller_unit_has_the_same_probabilities():
    """Widths 1024 times as large are the same binary numbers but for their exponents, and so are the tails."""
    for n in (8, 12):
        plain, large = boxes(*[0.5] * n), boxes(*[512.0] * n)
        for k in (0.5, 1.0, 3.0):
            y = k * plain.std
            assert large.sf(1024 * y) == pytest.approx(plain.sf(y), rel=2e-14, abs=0), (n, k)


@pytest.mark.parametrize("case", [c for c in EXACT if c.startswith("IH_q")])
def test_quantile_of_equal_uniforms(case):
    n, p = EXACT[case]["inputs"]["n"], float(EXACT[case]["inputs"]["p"])
    assert boxes(*[0.5] * n).quantile(p) + n / 2 == pytest.approx(float(EXACT[case]["value"]), rel=1e-11)


@pytest.mark.parametrize("case", [c for c in EXACT if c.startswith("UU_") and "x" in EXACT[c]["inputs"]])
def test_sum_of_unequal_uniforms(case):
    made = boxes(*EXACT[case]["inputs"]["a"])
    assert made.sf(float(EXACT[case]["inputs"]["x"])) == pytest.approx(float(EXACT[case]["value"]), rel=1e-9)


@pytest.mark.parametrize("case", [c for c in EXACT if c.startswith(("UN_", "UUN_", "TN_"))])
def test_uniform_or_triangular_with_normal(case):
    given = EXACT[case]["inputs"]
    widths = given["a"] if isinstance(given["a"], list) else [given["a"]]
    spread = Triangular() if case.startswith("TN_") else Uniform()
    members = [(float(a), spread) for a in widths] + [(float(given["sigma"]), Normal(1.0))]
    made = Distribution(0.0, members)
    assert made.sf(float(given["x"])) == pytest.approx(float(EXACT[case]["value"]), rel=1e-9)
    assert made.cdf(-float(given["x"])) == pytest.approx(float(EXACT[case]["value"]), rel=1e-9)


def test_triangular():
    one = Distribution(0.0, [(1.0, Triangular())])
    two = Distribution(0.0, [(1.0, Triangular())] * 2)
    assert one.sf(0.9) == pytest.approx(float(EXACT["T_gt"]["value"]), rel=1e-12)
    assert two.sf(1.5) == pytest.approx(float(EXACT["TT_gt1.5"]["value"]), rel=1e-12)
    # 1.998 is not a binary number, so the distance to the end of the support carries a rounding of 1e-13.
    assert two.sf(1.998) == pytest.approx(float(EXACT["TT_gt1.998"]["value"]), rel=1e-9)


@pytest.mark.parametrize("case", [c for c in EXACT if c.startswith("Q_")])
def test_normal_tail(case):
    normal = Distribution(0.0, [(0.6, Normal(1.0)), (0.8, Normal(1.0))])
    assert normal.sf(EXACT[case]["inputs"]["x"]) == pytest.approx(float(EXACT[case]["value"]), rel=1e-12)


@pytest.mark.parametrize("case", [c for c in EXACT if c.startswith("Qinv_")])
def test_normal_quantile(case):
    normal = Distribution(0.0, [(0.6, Normal(1.0)), (0.8, Normal(1.0))])
    expected = float(EXACT[case]["value"])
    assert -normal.quantile(float(EXACT[case]["inputs"]["p"])) == pytest.approx(expected, rel=1e-12)


def test_jcgm_101_four_normal_inputs(tally):
    # JCGM 101:2008, 9.2.2: Y = X1 + ... + X4, each N(0, 1); printed [-3.92, 3.92].
    made = Distribution(0.0, [(1.0, Normal(1.0))] * 4)
    low, high = made.interval(0.95)
    assert (f"{low:.2f}", f"{high:.2f}") == ("-3.92", "3.92")
    assert high == pytest.approx(float(JCGM["J1"]["computed"]["half_width_95"]), rel=1e-10)
    tally("JCGM 101, examples", 2, how="as remembered")


def test_jcgm_101_four_rectangular_inputs(tally):
    # JCGM 101:2008, 9.2.3: four R(-sqrt 3, sqrt 3); analytic 2 sqrt 3 (2 - (3/5)^(1/4)) = 3.88.
    made = boxes(*[math.sqrt(3)] * 4)
    assert made.interval(0.95).max == pytest.approx(2 * math.sqrt(3) * (2 - 0.6**0.25), rel=1e-12)
    assert made.interval(0.95).max == pytest.approx(float(JCGM["J2"]["computed"]["half_width_95"]), rel=1e-12)
    assert f"{made.interval(0.95).max:.2f}" == "3.88"
    tally("JCGM 101, examples", 1, how="as remembered")


def test_jcgm_101_one_dominant_rectangular_input(tally):
    # JCGM 101:2008, 9.2.4: three inputs of standard deviation 1 and one of 10.
    made = boxes(*[math.sqrt(3)] * 3, 10 * math.sqrt(3))
    assert made.quantile(0.975) == pytest.approx(float(EXACT["UU_jcgm924_q975"]["value"]), rel=1e-12)
    assert f"{made.quantile(0.975):.1f}" == "17.0"
    tally("JCGM 101, examples", 1, how="as remembered")
