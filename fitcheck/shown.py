"""What an object says of itself: in a line of the REPL, and as a small table in a notebook.

The table has no colour and no font of its own, so that it reads on a light page and on a dark one; everything that
stands in it is escaped.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from html import escape
from typing import Any, NamedTuple, TypeVar

_DIGITS = 8  # of a number: what a person can use
_LONGEST = 60  # characters of a value inside a line
_MOST = 4  # values of a row inside a line
_FIELDS = 8  # of an object in a line


class ShownTable(NamedTuple):
    """What a notebook shows of an object: a line above, rows of texts, and the heads of their columns.

    Without heads the first text of each row names it.
    """

    title: str
    rows: Sequence[Sequence[str]]
    heads: Sequence[str] = ()

    def html(self) -> str:
        """For the output cell of a notebook; everything is escaped.

        >>> ShownTable("a < b", [("least", "0.1 mm")]).html().count("&lt;")
        1
        """
        body = "".join(_line(row, 0 if self.heads else 1) for row in self.rows)
        head = f"<thead>{_line(self.heads, len(self.heads))}</thead>" if self.heads else ""
        said = f"<p>{escape(self.title)}</p>" if self.title else ""
        return f"{said}<table>{head}<tbody>{body}</tbody></table>"


def _line(texts: Sequence[str], names: int) -> str:
    """A row of a table, of whose cells the first ones are headings."""
    tags = ["th" if i < names else "td" for i in range(len(texts))]
    cells = (f'<{tag} style="text-align:left">{escape(text)}</{tag}>' for tag, text in zip(tags, texts, strict=True))
    return f"<tr>{''.join(cells)}</tr>"


def fields_of(one: Any) -> dict[str, Any]:
    """The fields of a dataclass or of a named tuple, those left out that its line leaves out."""
    if dataclasses.is_dataclass(one):
        return {field.name: getattr(one, field.name) for field in dataclasses.fields(one) if field.repr}
    return dict(one._asdict()) if hasattr(one, "_asdict") else {}


def in_a_line(one: Any) -> str:
    """A dataclass or a named tuple as its class and fields, numbers with the digits that a person can use."""
    given = [f"{name}={brief_value(value)}" for name, value in fields_of(one).items()]
    more = [f"… {len(given)} in all"] if len(given) > _FIELDS else []
    return f"{type(one).__name__}({', '.join([*given[:_FIELDS], *more])})"


def brief_value(value: Any) -> str:
    """A value inside a line: a number in eight digits, a long text or row shortened.

    >>> brief_value((1 / 3, "a"))
    "(0.33333333, 'a')"
    """
    if isinstance(value, float):
        return repr(float(f"{float(value):.{_DIGITS}g}"))
    if isinstance(value, str):
        return repr(str(value) if len(value) <= _LONGEST else value[: _LONGEST - 1] + "…")
    if isinstance(value, Mapping):
        return _row([f"{key}: {brief_value(item)}" for key, item in value.items()], "{}")
    if hasattr(value, "tolist"):
        return brief_value(value.tolist())
    if isinstance(value, (tuple, list)) and not hasattr(value, "_asdict"):
        return _row([brief_value(item) for item in value], "()")
    said = (text for text in (repr(value), str(value)) if "\n" not in text and len(text) <= _LONGEST)
    return next(said, f"<{type(value).__name__}>")


def _row(items: list[str], ends: str) -> str:
    kept = items if len(items) <= _MOST else [*items[:_MOST], f"… {len(items)} in all"]
    return f"{ends[0]}{', '.join(kept)}{ends[1]}"


def _words(value: Any) -> str:
    """A value in a cell of a table, where there is room for a whole text."""
    if value is None:
        return "-"
    if isinstance(value, float):
        return f"{float(value):.6g}"
    return str(value) if isinstance(value, str) else brief_value(value)


def in_a_notebook(one: Any) -> str:
    """Any object as HTML: by its own `_table()`, as the text that it prints, or field by field."""
    if hasattr(one, "_table"):
        found: ShownTable = one._table()
        return found.html()
    said = next((text for text in (repr(one), str(one)) if "\n" in text), repr(one))
    if "\n" in said:
        return f"<pre>{escape(said)}</pre>"
    rows = [(name.strip("_").replace("_", " "), _words(value)) for name, value in fields_of(one).items()]
    own = type(one).__name__
    return ShownTable(own if said.startswith(own) else said.removeprefix("<").removesuffix(">"), rows).html()


One = TypeVar("One")


class Shown:
    """What says itself in a line, and shows as a table in a notebook; a class may have a better line of its own."""

    __slots__ = ()

    def __repr__(self) -> str:
        own = type(self).__str__ is not object.__str__
        return f"<{self}>" if own else in_a_line(self)

    def _repr_html_(self) -> str:
        return in_a_notebook(self)


def shown(one: type[One]) -> type[One]:
    """A named tuple that says itself as `Shown` does: it can have no base for that."""
    one.__repr__ = Shown.__repr__  # type: ignore[method-assign, assignment]
    one._repr_html_ = Shown._repr_html_  # type: ignore[attr-defined]
    return one
