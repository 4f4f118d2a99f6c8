"""Settings that every test shares."""

import pytest
from hypothesis import settings

from fitcheck.mechanics import materials

# No test is judged by its time (the benchmarks are there for that), and every run sees the same examples. Others are
# tried by `pytest tests/properties --hypothesis-profile explore`, which says how to repeat one that fails.
settings.register_profile("fitcheck", deadline=None, derandomize=True)
settings.register_profile("explore", deadline=None, derandomize=False, print_blob=True)
settings.load_profile("fitcheck")


def pytest_addoption(parser: pytest.Parser) -> None:
    """How many inputs `tests/properties/test_fuzz.py` tries."""
    parser.addoption("--fuzz", type=int, default=5_000, metavar="N", help="inputs of the fuzz tests [5000]")


@pytest.fixture(autouse=True)
def _no_material_outlives_its_test(monkeypatch):
    """A material that a test adds would stand in the schema and the messages of the next one."""
    monkeypatch.setattr(materials, "_added", {})
