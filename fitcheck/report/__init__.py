"""Findings as people read them: a terminal, one HTML page, a handover card, figures, a table.

Imported by module; matplotlib and pandas are loaded when first used.

    from fitcheck.report.page import page              one HTML page
    from fitcheck.report.card import card              one HTML page for whoever gets the device
    from fitcheck.report.terminal import text          plain text
    from fitcheck.report.table import frame, csv, markdown
    from fitcheck.report import figures                functions that take and return an Axes
    from fitcheck.report.write import write            the whole file or none of it
"""
