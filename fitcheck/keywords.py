"""An unknown keyword of a public function is told with the nearest one that there is, as an unknown input is."""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable
from typing import ParamSpec, TypeVar

from fitcheck.errors import KeywordError, did_you_mean, in_short, name_some

P = ParamSpec("P")
R = TypeVar("R")


def keywords_named(function: Callable[P, R]) -> Callable[P, R]:
    """The function, with an error for an unknown keyword that names the nearest one it has.

    >>> keywords_named(lambda at_least=0: at_least)(at_lest=1)
    Traceback (most recent call last):
        ...
    fitcheck.errors.KeywordError: at_lest: unknown (did you mean 'at_least'?); accepted are at_least
    """
    known = [name for name, one in inspect.signature(function).parameters.items() if one.kind in _BY_KEYWORD]

    @functools.wraps(function)
    def checked(*args: P.args, **kwargs: P.kwargs) -> R:
        for key in kwargs:
            if key not in known:
                listed = name_some(name for name in known if name != "self")
                raise KeywordError(
                    f"{in_short(key)}: unknown{did_you_mean(key, known)}; accepted are {listed}", key=key
                )
        return function(*args, **kwargs)

    return checked


_BY_KEYWORD = (inspect.Parameter.POSITIONAL_OR_KEYWORD, inspect.Parameter.KEYWORD_ONLY)
