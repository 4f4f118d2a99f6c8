"""Whatever stands in the place of an input is read, or refused in one short line that names it."""

import math
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest
from asked import EVERY_QUESTION

import fitcheck as fc
from fitcheck.errors import InputError
from fitcheck.questions import QUESTIONS

ODD = {
    **{repr(text): text for text in ("", "  ", "\n", "\x00", "±", "5 ±", "five", "5 parsec", "5 measured", "6 .. 5")},
    **{repr(text): text for text in ("1e6 in", "1e-9 mm", "25 ± 0", "5 ± 1e9", "-5 ± 1", "nan", "1e400", "M4-6H-LH")},
    **{repr(one): one for one in (0, -1, 1e6, 1e-12, 1e308, math.nan, -math.inf, True, None, 5j, b"5", [], {}, [1])},
    "a digit too many": 10**400,
    "a long text": "5 ± 0.1 " * 5000,
    "an object": object(),
    "numpy float": np.float32(5.5),
    "numpy int": np.int64(5),
    "numpy truth": np.bool_(True),
    "numpy nan": np.float64("nan"),
    "an array": np.array([5.0, 6.0]),
    "an empty array": np.array([]),
    "an array of one": np.array(5.0),
    "a fraction": Fraction(11, 2),
    "a decimal": Decimal("5.5"),
    "no decimal": Decimal("NaN"),
    "a length": fc.dim("5 ± 0.1"),
    "a force": fc.dim("5 ± 0.1 N"),
    "a thread": fc.thread("M4"),
    "a material": fc.material("6061-T6"),
    "a function": lambda: 5,
}
LABELS = ("coated", "screw", "warm blade", "port", "plug given", "stuck")
KEYS = [(label, key) for label in LABELS for key in QUESTIONS[EVERY_QUESTION[label][0]].inputs()]


def refusal(call):
    """The error that a call ends with; None for one that answers."""
    try:
        call()
    except InputError as error:
        return error
    return None


@pytest.mark.parametrize(("label", "key"), KEYS)
def test_an_odd_value_is_read_or_refused_in_one_line(label, key):
    name, inputs = EVERY_QUESTION[label]
    listed = isinstance(inputs.get(key), list)
    for about, value in ODD.items():
        for one in (value, [value]) if listed else (value,):
            error = refusal(lambda one=one: QUESTIONS[name].read({**inputs, key: one}))
            said = str(error or "")
            assert "\n" not in said, about
            assert len(said) < 700, about  # the longest lists the materials there are
            assert error is None or key in said or error.key or " in " in said, about
            assert error is not None or not isinstance(one, bool | np.bool_), f"{about} is taken for {key}"


@pytest.mark.parametrize(
    ("label", "change"),
    [
        ("plug", dict.fromkeys(("travel", "seat"), "0 ± 0") | {"seat": "1e-6 ± 0", "travel": "0 ± 0"}),
        ("plug", {"adds": ["1e6 ± 1e-9"], "takes": ["999999 ± 0"]}),
        ("plug", {"travel": np.float64(4.0), "seat": np.int64(9), "adds": [np.float32(16.5)], "takes": []}),
        ("plug", {"adds": ["1e6 ± 1e5, normal"], "takes": []}),
        ("blade", {"adds": ["1e6 ± 1"], "takes": ["8 ± 0.1"], "cut": "", "slug_screw": "1"}),
        ("bent blade", {"bow": "0.2 ± 0.1, normal 1 sigma", "screws": []}),  # one below 0 is none
        ("port", {"bore": "1e6 ± 1", "chassis": "1 ± 0.1", "bodies": []}),
        ("port", {"bore": "1e-3 ± 0", "chassis": "1e-4 ± 0", "width": "1e-5", "reach": "1e-5", "bodies": []}),
    ],
)
def test_huge_tiny_and_exact_sizes_are_answered_or_refused(label, change):
    name, inputs = EVERY_QUESTION[label]
    asked = {**inputs, **change}
    error = refusal(lambda: fc.ask(name, **asked))
    assert "\n" not in str(error or "")
    for finding in fc.ask(name, **asked) if error is None else ():
        numbers = (finding.nominal, *finding.worst_case, *finding.interval)
        assert all(map(math.isfinite, numbers)), finding
        assert finding.worst_case.min <= finding.nominal <= finding.worst_case.max
        assert 0 <= finding.probability <= 1
        assert "nan" not in finding.text(full=True).split()
