"""Every published example of the stack is run: each id of `tests/reference/stack_examples.json` is claimed by a test.

An id is claimed by a test file in this folder that names it, or that has a test with it as a parameter.
"""

import importlib.util
import json
import re
from pathlib import Path

import pytest

HERE = Path(__file__).parent
REFERENCE = json.loads((HERE.parent / "reference" / "stack_examples.json").read_text())
IDS = [case["id"] for section in REFERENCE.values() if isinstance(section, list) for case in section]
FILES = sorted({*HERE.glob("test_stack_*.py"), *HERE.glob("test_exact_*.py"), *HERE.glob("test_reliability_*.py")})


def parameters(path):
    """Every text that is a parameter of a test of the file."""
    spec = importlib.util.spec_from_file_location(f"claims_of_{path.stem}", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    found = set()
    for test in vars(module).values():
        for mark in getattr(test, "pytestmark", []):
            if mark.name == "parametrize":
                for row in mark.args[1]:
                    found |= {x for x in (row if isinstance(row, tuple) else (row,)) if isinstance(x, str)}
    return found


@pytest.fixture(scope="module")
def claims():
    """Which files claim an id."""
    found = {}
    for path in FILES:
        if path == Path(__file__):
            continue
        named = set(re.findall(r"""["']([^"'\n]+)["']""", path.read_text())) | parameters(path)
        for one in named & set(IDS):
            found.setdefault(one, []).append(path.name)
    return found


def test_no_id_is_used_twice():
    assert len(IDS) == len(set(IDS)) > 100


@pytest.mark.parametrize("case", IDS)
def test_every_example_is_run(claims, case):
    assert claims.get(case), f"no test runs {case}"
