"""A whole build from a TOML file, and the findings on it."""

from fitcheck.sheet.build import Build, load

__all__ = ["Build", "load"]
