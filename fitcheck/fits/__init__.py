"""Limits and fits of plain holes and shafts: ISO 286-1:2010, nominal sizes to 500 mm."""

from typing import TYPE_CHECKING

from fitcheck.fits.deviations import fundamental_deviation, limit_deviations
from fitcheck.fits.grades import grade_formula, size_mean, standard_tolerance, tolerance_factor
from fitcheck.fits.pairs import Fit, PreferredFit, fit, preferred_fits
from fitcheck.fits.plain import PlainLimits, limits
from fitcheck.renamed import answer_old_names

__all__ = [
    "Fit",
    "PlainLimits",
    "PreferredFit",
    "fit",
    "fundamental_deviation",
    "grade_formula",
    "limit_deviations",
    "limits",
    "preferred_fits",
    "size_mean",
    "standard_tolerance",
    "tolerance_factor",
]

if not TYPE_CHECKING:
    __getattr__ = answer_old_names("fitcheck.fits", {"Limits": "PlainLimits"}, until="0.3")
