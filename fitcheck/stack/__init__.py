"""Toleranced dimensions; sums and functions of them; how they spread."""

from typing import TYPE_CHECKING

from fitcheck.renamed import answer_old_names
from fitcheck.stack.allocation import Allocation, Cost, allocate, in_proportion
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
from fitcheck.stack.coverage import Agreement, compare_intervals, coverage_factor, effective_degrees_of_freedom
from fitcheck.stack.dimension import Dimension, Linear, Sum, between, combine, dimension
from fitcheck.stack.ends import Interval
from fitcheck.stack.exact.distribution import Distribution
from fitcheck.stack.measured import as_built, at_temperature, correlated, inspected, measured
from fitcheck.stack.response import Moments, Response, response
from fitcheck.stack.results import Contribution, Method, Probability
from fitcheck.stack.shapes import Arcsine, Beta, CurvilinearTrapezoid, Empirical, TruncatedNormal
from fitcheck.stack.sobol import Index, gradient, share_figure, share_frame, sobol_indices
from fitcheck.stack.spreads import Normal, Spread, Trapezoidal, Triangular, Uniform
from fitcheck.stack.student_t import StudentT
from fitcheck.stack.synthesis import Tightening, Window, solve_for, tighten
from fitcheck.stack.system import Required, any_fails

__all__ = [
    "Agreement",
    "Allocation",
    "Arcsine",
    "Beta",
    "Capability",
    "Contribution",
    "Cost",
    "CurvilinearTrapezoid",
    "Dimension",
    "Distribution",
    "Empirical",
    "Index",
    "Interval",
    "Linear",
    "Method",
    "Moments",
    "Normal",
    "Probability",
    "Required",
    "Response",
    "Risks",
    "Spread",
    "StudentT",
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
    "between",
    "capability",
    "combine",
    "compare_intervals",
    "conformance",
    "correlated",
    "coverage_factor",
    "dimension",
    "effective_degrees_of_freedom",
    "global_risks",
    "gradient",
    "guard_band",
    "in_proportion",
    "inspected",
    "measured",
    "response",
    "share_figure",
    "share_frame",
    "sobol_indices",
    "solve_for",
    "tighten",
    "verdict",
]

if not TYPE_CHECKING:
    __getattr__ = answer_old_names("fitcheck.stack", {"frame": "share_frame"}, until="0.3")
