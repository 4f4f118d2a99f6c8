"""Settings that every test shares."""

import os

import pytest
from hypothesis import settings

from fitcheck.mechanics import materials

# No test is judged by its time (the benchmarks are there for that), and CI sees the same examples every time.
settings.register_profile("fitcheck", deadline=None, derandomize=bool(os.environ.get("CI")))
settings.load_profile("fitcheck")


@pytest.fixture(autouse=True)
def _no_material_outlives_its_test(monkeypatch):
    """A material that a test adds would stand in the schema and the messages of the next one."""
    monkeypatch.setattr(materials, "_added", {})
