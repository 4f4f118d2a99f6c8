"""Findings as they are read: for a terminal, a page, a card, tables and figures. Each file is loaded when named."""

from __future__ import annotations

from importlib import import_module
from typing import Any

_FILES = ("card", "figures", "first_page", "notebook", "page", "slip", "table", "terminal", "write")


def __getattr__(name: str) -> Any:
    """`fitcheck.report.table` and its like, loaded when first named."""
    if name in _FILES:
        return import_module(f"{__name__}.{name}")
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return list(_FILES)
