"""What was measured of a lot, as a laboratory writes it: a column a part, in the unit of the heading or the cell.

module [in]   socket            numbers under "module [in]" are inches; without a unit in the heading they are in
0.571         2.521             the unit that the sheet gives the part. A text with its unit, or a pint quantity,
0.568         64.01 mm          says its own. An empty cell is a part that was not measured.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from fitcheck.errors import InputError, UnitError, brief, did_you_mean
from fitcheck.stack import Dimension
from fitcheck.units import Unit, is_quantity, read_stated, unit

if TYPE_CHECKING:
    import pandas

_FARTHEST = 2.0
"""A reading of more than this times the size, or less than its inverse, is another part or another unit."""
_HEADING = re.compile(r"\s*(?P<name>.*?)\s*(?:\[(?P<unit>[^\[\]]*)\])?\s*", re.DOTALL)


def heading(said: Any) -> tuple[str, str]:
    """The name and the unit of a column, "" for none: "module [in]".

    >>> heading("module [in]"), heading("module")
    (('module', 'in'), ('module', ''))
    """
    match = _HEADING.fullmatch(str(said))
    assert match is not None
    return match["name"], (match["unit"] or "").strip()


def in_parts(readings: Any, parts: Mapping[str, Dimension]) -> pandas.DataFrame:
    """The readings as numbers in the inside unit (mm) under the names of the parts; NaN where there is none.

    readings: a row a device, a column a part; the rows keep their names. parts: by name. Raises `InputError` for what
    is no frame, a column that is no part or there twice, and for a reading that cannot be one.
    """
    import pandas as pd

    if not hasattr(readings, "itertuples"):
        raise InputError(f"readings = {brief(readings)}: a pandas DataFrame, a row a device, is needed")
    columns: dict[str, list[float]] = {}
    for place, said in enumerate(readings.columns):
        name, text = heading(said)
        if name not in parts:
            raise InputError(f"{said}: no part has this name{did_you_mean(name, parts)}")
        if name in columns:
            raise InputError(f"{said}: there are two columns of this part: one is needed")
        part = parts[name]
        used = _unit_of(said, text, part)
        cells = zip(readings.index, readings.iloc[:, place], strict=True)
        columns[name] = [_inside(x, part, used, f"{name}, row {row}") for row, x in cells]
    return pd.DataFrame(columns, index=readings.index, dtype=float)


def _unit_of(said: Any, text: str, part: Dimension) -> Unit:
    """The unit of a column's numbers."""
    if not text:
        return part.unit
    try:
        used = unit(text)
    except UnitError as error:
        raise UnitError(f"{said}: {error}") from None
    if used.kind is not part.unit.kind:
        kind = part.unit.kind
        raise UnitError(f"{said}: its unit is of {used.kind.with_article}: {kind.with_article} is needed")
    return used


def _inside(value: Any, part: Dimension, column: Unit, where: str) -> float:
    """A reading in the inside unit; NaN for an empty cell."""
    if _is_empty(value):
        return float("nan")
    plain = isinstance(value, (int, float, np.integer, np.floating)) and not isinstance(value, bool)
    if not plain and not isinstance(value, str) and not is_quantity(value):
        raise InputError(f"{where} = {brief(value)}: a reading such as '{part.unit.show(part.middle)}' is needed")
    inside, used = read_stated(value, part.unit.kind, where, bare=True)
    if used is None:
        inside, used = float(column.to_base(inside)), column
    if part.nominal > 0 and not part.nominal / _FARTHEST <= inside <= part.nominal * _FARTHEST:
        raise InputError(f"{where} = {brief(value)}: cannot be a reading of {part}, in {used.text}")
    return inside


def _is_empty(value: Any) -> bool:
    number = getattr(value, "magnitude", value)
    if isinstance(number, (float, np.floating)):
        return bool(np.isnan(number))
    return number is None or str(number).strip() in ("", "<NA>", "NaT")
