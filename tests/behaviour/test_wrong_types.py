"""Every public function, with what is of the wrong type in each of its places: an answer, or one line that refuses it.

A table says how each is called rightly; the test walks the public names, so that a new one has to have its line.
"""

import inspect
import math

import numpy as np
import pandas as pd
import pytest
from screw_inputs import SCREW

import fitcheck as fc
from fitcheck import fits, planning, sheet, stack, threads, units
from fitcheck.errors import InputError

A, B = fc.dim("10 ± 0.1", name="a"), fc.dim("4 ± 0.1", name="b")
GAP = A - B
AREA = fc.response(lambda a, b: a * b, a=A, b=B)
CAP = threads.coating("zinc plate")
DEPTH = {"adds": ["64 ± 0.2"], "takes": ["14.5 ± 0.3"], "at_least": "41 mm"}
WITHOUT = {key: value for key, value in SCREW.items() if key not in ("hole", "screw")}
ASKED = fc.QUESTIONS["blade_depth"].read({"adds": [A], "takes": [B]})
(FOUND,) = ASKED.findings()
SHOP = planning.Workshop.read({"caliper": "0.02 mm"})
LOT = pd.DataFrame({"a": [10.02], "b": [4.01]})

CALLS = {
    fc.add_material: ((), {"name": "wrong types", "source": "y", "tensile": 60.0, "note": "", "metal": True}),
    fc.ask: (("blade_depth",), DEPTH),
    fc.compare_pitches: ((["M4x0.7"],), WITHOUT),
    fc.describe: ((), {"what": "brass"}),
    fc.dim: ((), {"note": 5, "plus": 0.1, "minus": 0.1, "spread": "normal", "name": "x", "kind": "length"}),
    fc.fit: ((), {"text": "25 H7/g6"}),
    fc.identify: ((), {"outside": 5.9, "pitch": 1.0, "U": 0.03, "U_pitch": 0.01, "wear": 0.01, "most": 3}),
    fc.load: ((), {"path": "none.toml"}),
    fc.material: ((), {"name": "C360 brass"}),
    fc.measure_next: (("blade_depth",), {**DEPTH, "workshop": {"caliper": "0.02 mm"}}),
    fc.pair: ((), {"external": "M6-6g", "internal": "M6-6H"}),
    fc.plan: (("none.toml",), {}),
    fc.require: ((), {"quantity": GAP, "at_least": 5, "risk": 1e-3, "confidence": 0.9, "what": "gap", "name": "x"}),
    fc.response: ((lambda a: a,), {"a": A, "unit": A.unit, "name": "x"}),
    fc.strip_trials: ((["1.1 N·m"],), {**WITHOUT, "hole": "M4x0.7-6H", "screw": "M4x0.7-6g", "survived": ["1 N·m"]}),
    fc.thread: ((), {"text": "M6", "external": True, "special": False, "engagement": 5.0}),
    stack.acceptance: ((0.01,), {"lower": 1.0, "upper": 2.0}),
    stack.allocate: ((GAP,), {"cost": None, "half_width": 0.1, "by": "rss", "risk": 0.001, "bounds": {"a": (0.01, 1)}}),
    stack.any_fails: (([stack.Required(GAP, below=5.9)],), {"method": "auto", "samples": 1024}),
    stack.as_built: ((A, 10.01, 0.01), {"k": 2.0, "degrees": 5}),
    stack.at_temperature: ((A, 23e-6, 30.0), {"reference": 20.0}),
    stack.between: ((9.9, 10.1, 10.0), {"spread": "normal", "name": "x", "unit": A.unit, "basis": "drawn"}),
    stack.capability: ((10.0, 0.01), {"lower": 9.9, "upper": 10.1}),
    stack.combine: (([(1.0, A)],), {"constant": 1.0}),
    stack.compare_intervals: (((1.0, 2.0), (1.0, 2.0), 0.1), {"digits": 2}),
    stack.conformance: ((10.0, 0.01), {"lower": 9.9, "upper": 10.1}),
    stack.correlated: (([A, B], 0.5), {}),
    stack.coverage_factor: ((0.95, 5.0), {}),
    stack.dimension: ((10.0,), {"plus": 0.1, "minus": 0.1, "spread": "normal", "name": "x", "unit": A.unit}),
    stack.effective_degrees_of_freedom: (([0.1, 0.2], [5, 6]), {}),
    stack.global_risks: ((10.0, 0.03, 0.01), {"lower": 9.9, "upper": 10.1, "g": 0.0}),
    stack.gradient: ((GAP,), {}),
    stack.guard_band: ((0.01, 0.95), {}),
    stack.in_proportion: ((GAP, ["a"]), {"half_width": 0.15, "by": "rss"}),
    stack.inspected: (([8.01, 8.02],), {"nominal": 8.0, "name": "x", "unit": A.unit}),
    stack.measured: ((10.0, 0.1), {"k": 2.0, "degrees": 5, "name": "x", "unit": A.unit}),
    stack.share_figure: ((GAP.contributions(),), {"most": 3}),
    stack.share_frame: ((GAP.contributions(),), {}),
    stack.sobol_indices: ((GAP,), {"points": 64, "seed": 0}),
    stack.solve_for: ((GAP, A), {"below": 5.9, "above": 6.9, "risk": 0.001, "between": (9.0, 11.0)}),
    stack.tighten: ((GAP,), {"below": 5.9, "above": 6.9, "risk": 0.001}),
    stack.verdict: ((10.0, 0.01), {"lower": 9.9, "upper": 10.1, "confidence": 0.95, "guard": 0.02}),
    threads.clock: ((0, "90 deg", "M6"), {"by": "shim", "tolerance": 0.1, "within": "3 deg", "every": "60 deg"}),
    threads.coat: (("M6-6g", CAP), {}),
    threads.coating: (("zinc plate", 0.01, 1.0), {}),
    threads.cut_for_coating: (("M6-6g", CAP), {}),
    threads.decide: ((5.3, 0.01, 5.2, 5.32), {"k": 2.0, "unit": "mm", "whole_U": False}),
    threads.decide_size: (("M6x1-6g", "pitch", 5.33, 0.01), {"k": 2.0}),
    threads.functional_pitch: (("M6x1-6g", 5.3, 0.01), {}),
    threads.limits_frame: (("6g",), {}),
    threads.pitch_over_wires: (("M6x1-6g", 6.16, 0.577), {}),
    threads.series_frame: (("ISO metric",), {}),
    threads.wires: (("M6x1-6g",), {}),
    threads.worn: (("M6x1-6g",), {"major": A}),
    fits.fundamental_deviation: (("g6", 25.0), {}),
    fits.grade_formula: (("IT7", 25.0), {}),
    fits.limit_deviations: (("g6", 25.0), {}),
    fits.limits: (("g6", 25.0), {}),
    fits.preferred_fits: ((), {}),
    fits.size_mean: ((25.0,), {}),
    fits.standard_tolerance: (("IT7", 25.0), {}),
    fits.tolerance_factor: ((25.0,), {}),
    sheet.schema: ((), {}),
    sheet.start: ((["blade_depth"],), {}),
    GAP.probability: ((), {"below": 5.9, "above": 6.2}),
    AREA.probability: ((), {"below": 39.0, "above": 42.0, "method": "auto", "samples": 1024}),
    GAP.interval: ((0.9,), {"shortest": False}),
    AREA.interval: ((0.9,), {"shortest": False, "samples": 1024}),
    GAP.sample: ((8,), {"seed": 0}),
    AREA.sample: ((8,), {"seed": 0}),
    GAP.plot: ((), {"ax": None, "below": 5.9, "above": 6.2}),
    GAP.as_quantity: ((6.0,), {"registry": None}),
    GAP.exact().quantile: ((0.5,), {}),
    FOUND.as_quantity: ((6.0,), {"registry": None}),
    FOUND.in_unit: (("in",), {}),
    FOUND.show: ((6.0,), {}),
    fc.thread("M6").limits().dimension: (("pitch",), {}),
    fc.pair("M6").clearance: (("pitch",), {}),
    fc.pair("M6").clearance_sum: (("pitch",), {}),
    planning.lot_of: (([ASKED], {"a": A, "b": B}, SHOP, LOT), {"processes": 1}),
    planning.match_parts: (([ASKED], {"a": A, "b": B}, SHOP, LOT, ["b"]), {"processes": 1}),
    planning.outlook: ((FOUND, {A: 0.02}), {}),
    planning.Workshop.read: (({"caliper": "0.02 mm"},), {}),
    units.unit: (("in",), {}),
    units.read: (("1 in", units.LENGTH, "wall"), {}),
    units.quantity: ((25.4, units.INCH), {}),
}
OF_PLANS = ("inputs_changed", "plan_for", "to_buy", "to_do", "to_tap", "worth_measuring")
"""Made for `Build`, `plan` and `measure_next`, which are walked."""

BAD = (
    "no such thing", "", None, [], {}, [None], object(), math.nan, math.inf, -1, True, 1j, b"x",
    np.array(["x"]), np.array([]), A, fc.thread("M6"), len, int,
)  # fmt: skip


def test_every_public_function_is_walked():
    known = {id(getattr(one, "__func__", one)) for one in CALLS}
    for package in (fc, stack, threads, fits, sheet, planning):
        for name in package.__all__:
            one = getattr(package, name)
            if inspect.isfunction(one) and name not in OF_PLANS:
                assert id(one) in known, f"{package.__name__}.{name} has no line here"


def _tried(call, args, kwargs):
    try:
        call(*args, **kwargs)
    except InputError as error:
        said = str(error)
        if len(said.splitlines()) != 1 or not said.strip() or (len(said) > 300 and call is not fc.material):
            return f"message of {len(said)}: {said[:120]!r}"
    except Exception as error:
        return f"{type(error).__name__}: {str(error)[:100]}"
    return None


@pytest.mark.parametrize("call", CALLS, ids=lambda one: getattr(one, "__qualname__", repr(one)))
def test_what_is_of_the_wrong_type_is_refused_in_one_line_or_read(call):
    args, kwargs = CALLS[call]
    if call not in (fc.load, fc.plan):
        call(*args, **kwargs)  # the line of the table is right
    asked = (*kwargs, *range(len(args)))
    if call is units.read:
        asked = (0,)  # what it is called with is the caller's
    if len(asked) > 9:  # the inputs of a question are asked in test_odd_values.py
        asked = (*range(len(args)), *[key for key in kwargs if key in ("trials", "survived")])
    wrong = {}
    for place in asked:
        for bad in BAD:
            if isinstance(place, str):
                problem = _tried(call, args, {**kwargs, place: bad})
            else:
                problem = _tried(call, (*args[:place], bad, *args[place + 1 :]), kwargs)
            if problem:
                wrong.setdefault(f"{place}: {problem}", repr(bad)[:60])
    assert not wrong, "\n".join(f"{one}  <- {bad}" for one, bad in wrong.items())
