"""Toleranced dimensions; sums and functions of them; how they spread."""

from fitcheck.stack.allocate import Allocation, Cost, allocate, in_proportion
from fitcheck.stack.change import Tightening, Window, solve_for, tighten
from fitcheck.stack.conformity import (
    Capability,
    Risks,
    acceptance,
    capability,
    conformance,
    global_risks,
    guard_band,
    verdict,
)
from fitcheck.stack.dimension import Dimension, Linear, Sum, combine, dimension
from fitcheck.stack.drivers import Index, frame, gradient, share_figure, sobol_indices
from fitcheck.stack.exact import Distribution, Interval
from fitcheck.stack.kinds import as_built, at_temperature, correlated, inspected, measured
from fitcheck.stack.response import Moments, Response, response
from fitcheck.stack.results import Contribution, Probability
from fitcheck.stack.series import Required, any_fails
from fitcheck.stack.shapes import Arcsine, Beta, Empirical, TruncatedNormal
from fitcheck.stack.spreads import Normal, Spread, Trapezoidal, Triangular, Uniform

__all__ = [
    "Allocation",
    "Arcsine",
    "Beta",
    "Capability",
    "Contribution",
    "Cost",
    "Dimension",
    "Distribution",
    "Empirical",
    "Index",
    "Interval",
    "Linear",
    "Moments",
    "Normal",
    "Probability",
    "Required",
    "Response",
    "Risks",
    "Spread",
    "Sum",
    "Tightening",
    "Trapezoidal",
    "Triangular",
    "TruncatedNormal",
    "Uniform",
    "Window",
    "acceptance",
    "allocate",
    "any_fails",
    "as_built",
    "at_temperature",
    "capability",
    "combine",
    "conformance",
    "correlated",
    "dimension",
    "frame",
    "global_risks",
    "gradient",
    "guard_band",
    "in_proportion",
    "inspected",
    "measured",
    "response",
    "share_figure",
    "sobol_indices",
    "solve_for",
    "tighten",
    "verdict",
]
