"""Settings that every test shares."""

import os

from hypothesis import settings

# No test is judged by its time (the benchmarks are there for that), and CI sees the same examples every time.
settings.register_profile("fitcheck", deadline=None, derandomize=bool(os.environ.get("CI")))
settings.load_profile("fitcheck")
