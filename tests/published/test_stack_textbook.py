"""Linear stacks of textbooks, lecture notes and calibration guides.

Source of every case: `tests/reference/stack_examples.json`, section `linear_stacks`, which names the book or note,
the example, and whether the printed value was read or recalled. Printed values are compared at the decimals
they are printed with; those that contradict their own inputs stand in `KNOWN_DIFFERENCES` with the evidence.
"""

import json
import math
from pathlib import Path

import pytest

from fitcheck.stack import Normal, combine, dimension

CASES = json.loads((Path(__file__).parents[1] / "reference" / "stack_examples.json").read_text())["linear_stacks"]
BY_ID = {case["id"]: case for case in CASES}
TOLERANCED = [case["id"] for case in CASES if all("tol_plus" in d for d in case["dims"])]

KNOWN_DIFFERENCES = {
    ("L09", "variance"): "prints 4 (0.1^2) + 4 (0.2^2) = 0.0416; the sum is 0.2, to which its probability belongs",
    ("L08", "P_D_lt_5_9"): "table read at z = -0.82 instead of -0.8165: 0.206 for 0.2071",
    ("L24", "P_within"): "table read at z = 2.36 instead of 2.3570: 0.98172 for 0.98158",
    ("L10", "P_T_gt_4_3"): "table read at z = 2.12 instead of 2.1213: 0.0170 for 0.01695",
}


def member(d):
    """A dimension of the case; a sigma becomes a normal zone of 3 sigma."""
    if "tol_plus" in d:
        return dimension(d["nominal"], plus=d["tol_plus"], minus=d["tol_minus"], name=d["name"])
    if d["dist"] == "uniform":
        middle = (d["low"] + d["high"]) / 2
        return dimension(middle, plus=d["high"] - middle, name=d["name"])
    return dimension(d["nominal"], plus=3 * d["sigma"], spread=Normal(3.0), name=d["name"])


def stack(case):
    return combine([(d["coef"], member(d)) for d in case["dims"]])


@pytest.mark.parametrize("case", TOLERANCED)
def test_worst_case_and_rss(case):
    total, known = stack(BY_ID[case]), BY_ID[case]["computed"]
    low, high = total.worst_case()
    assert total.nominal == pytest.approx(known["nominal"], abs=1e-9)
    assert total.middle == pytest.approx(known["mean"], abs=1e-9)
    assert (low, high) == pytest.approx((known["wc_min"], known["wc_max"]), abs=1e-9)
    assert (high - low) / 2 == pytest.approx(known["wc_half"], rel=1e-9)
    assert (total.rss().max - total.rss().min) / 2 == pytest.approx(known["rss_half"], rel=1e-9)
    shares = {row.name: 100 * row.variance_share for row in total.contributions()}
    assert shares == pytest.approx(known["percent_contribution"], rel=1e-8)


def test_printed_results_of_toleranced_stacks(tally):
    def half(case, interval):
        low, high = getattr(stack(BY_ID[case]), interval)()
        return (high - low) / 2

    assert f"{half('L01', 'worst_case'):.2f}" == BY_ID["L01"]["printed"]["worst_case"]
    assert f"{half('L01', 'rss'):.2f}" == BY_ID["L01"]["printed"]["rss"]
    assert f"{stack(BY_ID['L02']).nominal:.3f} ± {half('L02', 'worst_case'):.3f} in" == BY_ID["L02"]["printed"]["w"]
    assert f"{2 * half('L03', 'rss'):.4f}" == BY_ID["L03"]["printed"]["rss_full_band"]
    low, high = stack(BY_ID["L04"]).worst_case()
    assert f"{low:.6f} mm" == BY_ID["L04"]["printed"]["min_clearance"]
    assert f"{high:.6f} mm" == BY_ID["L04"]["printed"]["max_clearance"]
    for case in ("L05", "L06"):
        low, high = stack(BY_ID[case]).worst_case()
        assert f"{-low:.6f} mm" == BY_ID[case]["printed"]["max_interference"]
        assert f"{-high:.6f} mm" == BY_ID[case]["printed"]["min_interference"]
    tally("textbooks, limits and moments of stacks", 11)


def test_unequal_tolerances_are_centred_as_printed(tally):
    # L03: "A 3.522±0.003", the equal bilateral form of 3.520 +0.005 -0.001.
    for d in BY_ID["L03"]["dims"]:
        made = member(d)
        assert f"{made.middle:.3f}±{made.half_width:.3f}" == BY_ID["L03"]["printed"]["bilateral"][made.name]
        tally("textbooks, limits and moments of stacks", 2)


# (case, printed key, how it is asked)
PROBABILITIES = [
    ("L08", "P_D_lt_5_9", lambda t: t.probability(below=5.9)),
    ("L09", "P_Y_gt_14_5", lambda t: t.probability(above=14.5)),
    ("L10", "P_T_gt_4_3", lambda t: t.probability(above=4.3)),
    ("L14", "P_fit_sleeve_1002_5", lambda t: 1 - t.probability(above=1002.5)),
    ("L15", "P_gt_150_2", lambda t: t.probability(above=150.2)),
    ("L15", "P_149_83_150_21", lambda t: 1 - t.probability(below=149.83, above=150.21)),
    ("L17", "P_55_7_56_3", lambda t: 1 - t.probability(below=55.7, above=56.3)),
    ("L18", "P_conform", lambda t: 1 - t.probability(below=0.2485, above=0.2515)),
    ("L19", "percent_scrapped", lambda t: 100 * t.probability(below=2.99, above=3.01)),
    ("L24", "P_within", lambda t: 1 - t.probability(below=11.9, above=12.1)),
]


@pytest.mark.parametrize(("case", "key", "ask"), PROBABILITIES)
def test_probability_of_normal_stacks(case, key, ask, tally):
    value, printed, known = float(ask(stack(BY_ID[case]))), BY_ID[case]["printed"][key], BY_ID[case]["computed"]
    assert value == pytest.approx(known.get(key, known.get("P", math.nan)), rel=2e-9)
    tally("textbooks, probabilities of stacks", 1, int((case, key) in KNOWN_DIFFERENCES))
    if (case, key) not in KNOWN_DIFFERENCES:
        # Tables are read to two decimals of z, so the last printed digit may be off by one.
        last = 10.0 ** -len(printed.partition(".")[2])
        assert value == pytest.approx(float(printed), abs=1.01 * last)


def test_known_differences_do_differ():
    for (case, key), why in KNOWN_DIFFERENCES.items():
        printed = BY_ID[case]["printed"][key]
        exact = BY_ID[case]["computed"].get(key, BY_ID[case]["computed"].get("P", math.nan))
        if math.isnan(exact):
            exact = BY_ID[case]["computed"]["P_within"]
        places = len(printed.partition(".")[2])
        assert f"{exact:.{places}f}" != printed, why


def test_moments_of_normal_and_uniform_stacks(tally):
    assert stack(BY_ID["L08"]).exact().std == pytest.approx(0.1225, abs=5e-5)
    assert stack(BY_ID["L10"]).exact().std == pytest.approx(0.1414, abs=5e-5)
    assert stack(BY_ID["L09"]).exact().variance == pytest.approx(0.2, rel=1e-12)
    assert stack(BY_ID["L14"]).exact().std == pytest.approx(1.2, rel=1e-12)
    uniform = stack(BY_ID["L20"]).exact()
    assert f"{uniform.mean:.4f} {uniform.std:.6f}" == "0.5004 0.000231"
    after = dimension(0.5005, plus=0.0003).exact()
    assert f"{after.mean:.4f} {after.std:.6f}" == "0.5005 0.000173"
    tally("textbooks, limits and moments of stacks", 7, 1)


def test_quantile_of_a_rod(tally):
    rod = dimension(250.0, plus=1.8, spread=Normal(3.0))
    assert f"{rod.exact().quantile(0.9):.2f} mm" == BY_ID["L14"]["printed"]["rod_90th_percentile"]
    tally("textbooks, limits and moments of stacks", 1)


@pytest.mark.parametrize("case", ["L29", "L30"])
def test_calibration_budgets(case, tally):
    # Recalled from EA-4/02; the combined standard uncertainty is the root sum square of the budget.
    dims = BY_ID[case]["dims"]
    total = combine([(d["coef"], dimension(0.0, plus=d["u"], spread=Normal(1.0), name=d["name"])) for d in dims])
    printed = float(BY_ID[case]["printed"]["u"].split()[0])
    assert total.exact().std == pytest.approx(printed, abs=0.05)
    assert 2 * total.exact().std == pytest.approx(float(BY_ID[case]["printed"]["U"].split()[0]), abs=0.5)
    tally("EA-4/02, calibration budgets", 2, how="as remembered")
