"""Coatings of threads as a sheet names them."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fitcheck.bench.inputs import Fraction, Parts
from fitcheck.errors import InputError
from fitcheck.threads.coating import Coating, coating, coatings

_KEYS = ("name", "thickness", "growth")


@dataclass(frozen=True, slots=True)
class CoatingName:
    """Reads a coating: a name of the table, or `{ name, thickness, growth }`."""

    @property
    def expects(self) -> str:
        return f"a coating ({', '.join(coatings())}), or {{ name, thickness, growth }} with the film on each surface"

    def read(self, value: Any, where: str, parts: Parts) -> Coating:
        if isinstance(value, Coating):
            return value
        about = {"name": value} if isinstance(value, str) else value
        if not isinstance(about, Mapping) or not isinstance(about.get("name"), str):
            raise InputError(f"{where} = {value!r}: {self.expects} is needed")
        for key in about:
            if key not in _KEYS:
                raise InputError(f"{where}.{key}: unknown; accepted are {', '.join(_KEYS)}")
        growth = about.get("growth")
        if growth is not None and growth != 1:
            growth = Fraction().read(growth, f"{where}.growth", parts)
        try:
            found = coating(about["name"], about.get("thickness"), growth)
        except InputError as error:
            raise type(error)(f"{where}: {error}") from None
        # A film of its own: two parts are not coated alike because one name stands for both.
        return dataclasses.replace(found, thickness=dataclasses.replace(found.thickness, name=f"film, {where}"))

    def schema(self) -> dict[str, Any]:
        size: dict[str, Any] = {"type": ["string", "number"]}
        table = {
            "type": "object",
            "properties": {"name": {"type": "string"}, "thickness": size, "growth": {"type": "number"}},
            "required": ["name"],
            "additionalProperties": False,
        }
        return {"anyOf": [{"type": "string", "examples": list(coatings())}, table]}
