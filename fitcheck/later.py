"""What is loaded when first asked for: the parts of scipy, which take longer than all else, and the names of a package.

from fitcheck.later import special
special.ndtr(0.0)  # scipy.special is loaded here
"""

from __future__ import annotations

import importlib
import sys
from collections.abc import Callable, Mapping, Sequence
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


def names_of(package: str, homes: Mapping[str, Sequence[str]], files: Sequence[str]) -> Callable[[str], Any]:
    """The `__getattr__` of a package that loads a name, or a file of the package, when it is first asked for.

    package: "fitcheck". homes: the names by the module they come from. files: the files and folders of the package.
    """
    home = {name: module for module, names in homes.items() for name in names}

    def answer(name: str) -> Any:
        if name in home:
            found = getattr(importlib.import_module(home[name]), name)
        elif name in files:
            found = importlib.import_module(f"{package}.{name}")
        else:
            raise AttributeError(f"module {package!r} has no attribute {name!r}", name=name, obj=sys.modules[package])
        setattr(sys.modules[package], name, found)  # so that the next use costs nothing
        return found

    return answer


from_above: dict[str, Callable[..., Any]] = {}
"""What the top of the library gives to the floors below, which may not import it: how a finding is shown, by name."""
