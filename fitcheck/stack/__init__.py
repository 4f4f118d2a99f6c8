"""Toleranced dimensions; sums and functions of them; how they spread."""

from fitcheck.stack.dimension import Contribution, Dimension, Linear, Probability, Sum, combine, dimension
from fitcheck.stack.exact import Distribution, Interval
from fitcheck.stack.kinds import as_built, at_temperature, correlated, inspected, measured
from fitcheck.stack.response import Moments, Response, response
from fitcheck.stack.series import Required, any_fails
from fitcheck.stack.shapes import Arcsine, Beta, Empirical, TruncatedNormal
from fitcheck.stack.spreads import Normal, Spread, Trapezoidal, Triangular, Uniform

__all__ = [
    "Arcsine",
    "Beta",
    "Contribution",
    "Dimension",
    "Distribution",
    "Empirical",
    "Interval",
    "Linear",
    "Moments",
    "Normal",
    "Probability",
    "Required",
    "Response",
    "Spread",
    "Sum",
    "Trapezoidal",
    "Triangular",
    "TruncatedNormal",
    "Uniform",
    "any_fails",
    "as_built",
    "at_temperature",
    "combine",
    "correlated",
    "dimension",
    "inspected",
    "measured",
    "response",
]
