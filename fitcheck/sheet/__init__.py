"""A whole build from a TOML file, and the findings on it."""

from fitcheck.sheet.build import Build, load
from fitcheck.sheet.compared import inputs_changed
from fitcheck.sheet.next_steps import measure_next, plan
from fitcheck.sheet.schema import schema
from fitcheck.sheet.start import start

__all__ = ["Build", "inputs_changed", "load", "measure_next", "plan", "schema", "start"]
