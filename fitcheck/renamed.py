"""Names that were changed: the old one answers for a while, and says the new one."""

from __future__ import annotations

import importlib
import warnings
from collections.abc import Callable, Mapping
from typing import Any


def answer_old_names(package: str, names: Mapping[str, str], until: str) -> Callable[[str], Any]:
    """The `__getattr__` of a package that answers the old `names` with what they are called now, and warns.

    package: "fitcheck.threads". names: the new name of each old one, in the same package. until: the version in which
    the old names go.
    """

    def answer(name: str) -> Any:
        if name not in names:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        warnings.warn(
            f"{package}.{name} is now {package}.{names[name]}; the old name goes with version {until}",
            DeprecationWarning,
            stacklevel=2,
        )
        return getattr(importlib.import_module(package), names[name])

    return answer
