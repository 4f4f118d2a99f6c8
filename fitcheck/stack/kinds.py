"""Dimensions that come from no drawing note: measured, as built, inspected, correlated, at another temperature."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Sequence
from typing import Any

from fitcheck.errors import InputError, finite, not_negative, positive
from fitcheck.stack.dimension import Dimension, Linear, Sum
from fitcheck.stack.shapes import Empirical
from fitcheck.stack.spreads import Normal
from fitcheck.stack.ties import Tie
from fitcheck.units import LENGTH, MM, TEMPERATURE, Unit


def measured(value: float, U: float, *, k: float = 2.0, name: str = "", unit: Unit = MM) -> Dimension:
    """A measured value with its expanded uncertainty U and coverage factor k (JCGM 100:2008, 6.2): normal, U / k.

    `value` and `U` are in the inside unit of `unit.kind`.
    """
    where = name or "measured dimension"
    value, U = finite(f"{where}: value", value), not_negative(f"{where}: U", U)
    return Dimension(
        value, value - U, value + U, Normal(positive(f"{where}: k", k)), name, unit, f"measured, U = {U:g} (k = {k:g})"
    )


def as_built(drawing: Dimension, value: float, U: float = 0.0, *, k: float = 2.0) -> Dimension:
    """The dimension of one part that was measured: the measurement replaces the drawing, the name stays."""
    found = measured(value, U, k=k, name=drawing.name, unit=drawing.unit)
    return dataclasses.replace(found, origin=f"{found.origin}, in place of {drawing.origin or drawing}")


def inspected(values: Iterable[float], *, nominal: float | None = None, name: str = "", unit: Unit = MM) -> Dimension:
    """A dimension known by a row of measured parts, each as likely as the others.

    The nominal defaults to the mean of the parts. Nothing is said about parts beyond the smallest and the largest:
    a probability of 0 means that no combination of the inspected parts reaches the limit.
    """
    where = name or "inspected dimension"
    try:
        low, high, spread = Empirical.of(values)
    except InputError as error:
        raise InputError(f"{where}: {error}") from None
    mean = (low + high) / 2 + (high - low) / 2 * spread.moments[0]
    middle = mean if nominal is None else finite(f"{where}: nominal", nominal)
    return Dimension(middle, low, high, spread, name, unit, f"{spread.values.size} inspected parts")


def correlated(parts: Sequence[Dimension], correlation: Any) -> tuple[Dimension, ...]:
    """The same dimensions, varying together: two faces cut in one set-up.

    Parameters
    ----------
    parts : two or more dimensions
    correlation : one number for a pair, or a symmetric matrix with 1 on its diagonal; for normal spreads the ordinary
        correlation, for others that of the normal variables behind them (`fitcheck.stack.ties`)

    Returns new dimensions to use in place of the old ones. Worst cases do not change. Raises `InputError` for a matrix
    that no set of dimensions can have.
    """
    if len(parts) < 2 or len(set(map(id, parts))) < len(parts):
        raise InputError("correlated: two or more different dimensions are needed")
    if len(parts) == 2 and isinstance(correlation, (int, float)):
        correlation = [[1.0, correlation], [correlation, 1.0]]
    tie = Tie(correlation, [part.name or "dimension" for part in parts])
    return tuple(dataclasses.replace(part, tie=(tie, i)) for i, part in enumerate(parts))


def at_temperature(part: Linear, alpha: float | Linear, temperature: float | Linear, *, reference: float = 20.0) -> Sum:
    """A length at another temperature: L (1 + alpha (T - reference)), ISO 1 giving 20 °C as the reference.

    Parameters
    ----------
    part : the length at the reference temperature
    alpha : coefficient of thermal expansion in 1/K, a number or a dimension
    temperature : in °C, a number or a dimension; parts given the same dimension share their temperature

    The spreads of alpha and temperature enter by their first-order terms, L (T - reference) and L alpha at the
    nominals; what is left out is the product of two small spreads.
    """
    if part.unit.kind is not LENGTH:
        raise InputError(f"at_temperature: a length is needed, not a {part.unit.kind.name}")
    if isinstance(temperature, Linear) and temperature.unit.kind is not TEMPERATURE:
        raise InputError(f"temperature: a temperature is needed, not a {temperature.unit.kind.name}")
    rate = alpha.nominal if isinstance(alpha, Linear) else finite("alpha", alpha, "1/K")
    warm = temperature.nominal if isinstance(temperature, Linear) else finite("temperature", temperature, "°C")
    rise = warm - finite("reference", reference, "°C")
    if abs(rate) > 1e-3:
        raise InputError(f"alpha = {rate:g}: a coefficient of at most 1e-3 1/K is needed, for example 23e-6")
    coefficients: dict[Dimension, float] = {}
    offset = part.constant * (1 + rate * rise)
    length = part.nominal
    weighted: list[tuple[Linear, float]] = [(part, 1 + rate * rise)]
    if isinstance(alpha, Linear):
        weighted.append((alpha, length * rise))
        offset += length * rise * (alpha.constant - rate)
    if isinstance(temperature, Linear):
        weighted.append((temperature, length * rate))
        offset += length * rate * (temperature.constant - warm)
    for source, factor in weighted:
        for d, c in source.members:
            coefficients[d] = coefficients.get(d, 0.0) + factor * c
    terms = tuple((d, c) for d, c in coefficients.items() if c != 0)
    return Sum(terms, offset, length * (1 + rate * rise), part.unit)
