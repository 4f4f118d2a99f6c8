"""Findings as people read them: a terminal, one HTML page, figures, a table.

Imported by module (`from fitcheck.report import page`); matplotlib and pandas are loaded when first used.
"""
