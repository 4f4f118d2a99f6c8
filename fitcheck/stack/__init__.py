"""Toleranced dimensions; sums and functions of them; how they spread."""

from fitcheck.stack.dimension import Contribution, Dimension, Interval, Linear, Probability, Sum, combine, dimension
from fitcheck.stack.exact import Distribution
from fitcheck.stack.response import Response, response
from fitcheck.stack.spreads import Normal, Spread, Triangular, Uniform

__all__ = [
    "Contribution",
    "Dimension",
    "Distribution",
    "Interval",
    "Linear",
    "Normal",
    "Probability",
    "Response",
    "Spread",
    "Sum",
    "Triangular",
    "Uniform",
    "combine",
    "dimension",
    "response",
]
