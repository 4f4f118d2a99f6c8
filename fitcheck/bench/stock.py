"""A property of a material as a dimension: its value, its bounds, and where they are printed."""

from __future__ import annotations

from fitcheck.mechanics import Material
from fitcheck.stack import Dimension, dimension
from fitcheck.units import unit

_NAMES = {"yield": "yield strength", "tensile": "tensile strength", "expansion": "expansion", "modulus": "modulus"}


def material_property(material: Material, which: str) -> Dimension:
    """The property `which` ("yield", "expansion", ...) of a material, uniform between its bounds.

    `TableError` if no source gives it.
    """
    found = material.get(which)
    return dimension(
        found.value,
        plus=found.upper - found.value,
        minus=found.value - found.lower,
        name=f"{_NAMES.get(which, which)} of {material.name}",
        unit=unit(found.unit),
        origin=f"{material.name}: {found.basis}; {found.source}",
    )
