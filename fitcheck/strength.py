"""Where the models of `fitcheck.strength` went: `fitcheck.mechanics`. This face goes with version 0.3."""

from __future__ import annotations

import warnings
from typing import Any


def __getattr__(name: str) -> Any:
    from fitcheck import mechanics

    found = getattr(mechanics, name)  # before the warning: a name that never was here is no move
    warnings.warn(
        f"fitcheck.strength.{name} is now fitcheck.mechanics.{name}; fitcheck.strength goes with version 0.3",
        DeprecationWarning,
        stacklevel=2,
    )
    return found
