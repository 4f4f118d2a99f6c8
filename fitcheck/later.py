"""The parts of scipy that the library uses, loaded when first asked for: they take longer to load than all else.

from fitcheck.later import special
special.ndtr(0.0)  # scipy.special is loaded here
"""

from __future__ import annotations

import importlib
from types import ModuleType
from typing import Any


class _Later(ModuleType):
    """A module that is loaded when one of its names is first used."""

    def __getattr__(self, name: str) -> Any:
        found = getattr(importlib.import_module(self.__name__), name)
        setattr(self, name, found)  # so that the next use costs nothing
        return found


special: Any = _Later("scipy.special")
optimize: Any = _Later("scipy.optimize")
