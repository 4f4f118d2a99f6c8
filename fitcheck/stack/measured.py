"""Dimensions that come from no drawing note: measured, as built, inspected, correlated, at another temperature."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, Protocol, runtime_checkable

import numpy as np

from fitcheck.basis import Basis, weakest
from fitcheck.errors import InputError, UnitError, brief, finite, not_negative, positive
from fitcheck.expected import degrees_of_freedom, text_of
from fitcheck.keywords import keywords_named
from fitcheck.stack.correlation import Tie
from fitcheck.stack.dimension import Dimension, Linear, Sum
from fitcheck.stack.results import unit_of_given
from fitcheck.stack.shapes import Empirical
from fitcheck.stack.spreads import Normal, Spread
from fitcheck.stack.student_t import StudentT
from fitcheck.units import (
    EXPANSION,
    LENGTH,
    TEMPERATURE,
    Kind,
    Number,
    Unit,
    is_quantity,
    read,
    read_beside,
    read_stated,
    refuse_mixed,
)
from fitcheck.units import unit as unit_of


@keywords_named
def measured(
    value: Any, U: Any, *, k: float = 2.0, degrees: float = math.inf, name: str = "", unit: Unit | None = None
) -> Dimension:
    """A measured value with its expanded uncertainty U and coverage factor k: normal, standard deviation U / k [1]_.

    degrees: degrees of freedom of the uncertainty, a number from 2 up; infinite unless given. With them the value is of
    Student's t, in units of U / k [2]_.

    `value` and `U` are numbers in the inside unit of `unit.kind` (mm without a unit), texts with their unit ("6.304
    in") or pint quantities of any registry; both name their unit, or neither, and with a `unit` that is not the inside
    one, such as inches, both do. k: coverage factor. `name` is what tables
    and messages call it. The dimension is shown in `unit`, or else in that of `value`. Raises `InputError` for a U
    below 0, a k not above 0, degrees below 2 and a value of another kind.

    >>> from fitcheck.stack import measured
    >>> measured(6.304, 0.004, name="bore")
    <bore: 6.304 ± 0.004 mm, normal>
    >>> measured(6.304, 0.004, k=2.78, degrees=4, name="bore")
    <bore: 6.304 ± 0.004 mm, Student t, 4 degrees of freedom>

    References
    ----------
    .. [1] JCGM 100:2008, 6.2.
    .. [2] JCGM 101:2008, 6.4.9.7.
    """
    where = text_of("name", name) or "measured dimension"
    shown = unit_of_given(f"{where}: unit", unit, value)
    if unit is not None:
        read_beside(value, shown.kind, f"{where}: value", shown, what="a unit")
        read_beside(U, shown.kind, f"{where}: U", shown, what="a unit", difference=True)
    return _measured(where, value, U, k, degrees, name, shown)


def _measured(where: str, value: Any, U: Any, k: float, degrees: float, name: str, shown: Unit) -> Dimension:
    """`measured`, of numbers in the inside unit of `shown` or with their own."""
    x, used = read_stated(value, shown.kind, f"{where}: value", bare=True)
    if isinstance(value, str) and used is None:
        raise UnitError(f"{where}: value = {brief(value)} names no unit: a number, or a text with its unit, is needed")
    half, used_U = read_stated(U, shown.kind, f"{where}: U", difference=True, bare=True)
    refuse_mixed(where, {"value": used, "U": used_U}, {"value": value, "U": U})
    value, U, k = x, not_negative(f"{where}: U", half, shown.kind.base, one=True), positive(f"{where}: k", k, one=True)
    spread: Spread = Normal(k)
    few = ""
    degrees = degrees_of_freedom(f"{where}: degrees", degrees)
    if degrees != math.inf:
        try:
            spread = StudentT(degrees, k)
        except InputError as error:
            raise InputError(f"{where}: {error}") from None
        few = f", {degrees:g} degrees of freedom"
    origin = f"measured, U = {U:g} (k = {k:g}{few})"
    return Dimension(value, value - U, value + U, spread, name, shown, origin, Basis.MEASURED)


@keywords_named
def as_built(drawing: Dimension, value: Any, U: Any = 0.0, *, k: float = 2.0, degrees: float = math.inf) -> Dimension:
    """The dimension of one part that was measured: the measurement replaces the drawing, name and unit stay.

    `drawing` is the dimension it replaces; `value`, `U`, `k` and errors as `measured`, and a number alone in the place
    of a size in another unit than the inside one, such as inches, is refused. degrees: degrees of freedom, as there, a
    number.

    >>> import fitcheck as fc
    >>> print(as_built(fc.dim("8.0 ± 0.1", name="slug"), 8.03, 0.02))
    8.03 ± 0.02 mm
    """
    _single("as_built", drawing)
    for key, given in (("value", value), ("U", U)):
        read_beside(
            given, drawing.unit.kind, f"{drawing.name or 'as_built'}: {key}", drawing.unit, difference=key == "U"
        )
    return with_reading(drawing, value, U, k=k, degrees=degrees)


def with_reading(drawing: Dimension, value: Any, U: Any, *, k: float = 2.0, degrees: float = math.inf) -> Dimension:
    """`as_built` of a reading that has been read: numbers in the inside unit of the drawing (mm, N, MPa)."""
    found = _measured(drawing.name or "measured dimension", value, U, k, degrees, drawing.name, drawing.unit)
    origin = f"{found.origin}, in place of {drawing.origin or drawing}"
    return dataclasses.replace(found, origin=origin, title=drawing.title)


@keywords_named
def inspected(values: Iterable[Any], *, nominal: Any = None, name: str = "", unit: Unit | None = None) -> Dimension:
    """A dimension known by a row of measured parts, each as likely as the others.

    The nominal defaults to the mean of the parts. Nothing is said about parts beyond the smallest and the largest:
    a probability of 0 means that no combination of the inspected parts reaches the limit.

    `values` and `nominal` are numbers in the inside unit of `unit.kind` (mm without a unit) or pint quantities, which a
    unit other than the inside one needs: a row of them, or one of an array. `name` is what tables and messages call it.
    The dimension is shown in `unit`, or else in that of the first value. Raises `InputError` for fewer than two values,
    and for a value of another kind.

    >>> print(inspected([8.02, 8.05, 7.98, 8.01], name="slug"))
    8.015 ± 0.035 mm
    """
    where = text_of("name", name) or "inspected dimension"
    if isinstance(values, Iterator):
        values = list(values)
    first = values[0] if isinstance(values, (list, tuple)) and len(values) else values
    unit = unit_of_given(f"{where}: unit", unit, first)
    if unit.is_inside is False and not is_quantity(first):
        raise UnitError(
            f"{where}: values = {brief(values)} name no unit, and are to be shown in {unit.text}: a row of quantities "
            "is needed, such as [2.51, 2.52] * inch of pint"
        )
    if is_quantity(first):
        values = finite(f"{where}: values", values, unit.kind.base)
        if nominal is not None:
            nominal = read_beside(nominal, unit.kind, f"{where}: nominal", unit, what="values")
    try:
        low, high, spread = Empirical.of(values)
    except InputError as error:
        raise InputError(f"{where}: {error}") from None
    mean = (low + high) / 2 + (high - low) / 2 * spread.moments[0]
    middle = mean if nominal is None else finite(f"{where}: nominal", nominal, unit.kind.base, one=True)
    return Dimension(middle, low, high, spread, name, unit, f"{spread.values.size} inspected parts", Basis.MEASURED)


def correlated(parts: Sequence[Dimension], correlation: Any) -> tuple[Dimension, ...]:
    """The same dimensions, varying together: two faces cut in one set-up.

    Parameters
    ----------
    parts : two or more dimensions
    correlation : one number for a pair, or a symmetric matrix with 1 on its diagonal; for normal spreads the ordinary
        correlation, for others that of the normal variables behind them (`fitcheck.stack.correlation`)

    Returns new dimensions to use in place of the old ones. Worst cases do not change. Raises `InputError` for a matrix
    that no set of dimensions can have, and for parts that are fewer than two, twice the same, or correlated already.

    >>> import fitcheck as fc
    >>> a, b = correlated([fc.dim("10 ± 0.1", name="a"), fc.dim("4 ± 0.1", name="b")], 1.0)
    >>> round((a - b).rss().max, 3)
    6.0
    """
    if not isinstance(parts, Sequence) or len(parts) < 2 or len(set(map(id, parts))) < len(parts):
        raise InputError("correlated: two or more different dimensions are needed")
    for part in parts:
        _single("correlated", part)
        if part.tie is not None:
            raise InputError(
                f"correlated: {part.name or 'dimension'} is correlated already: give all dimensions that vary together "
                "in one matrix"
            )
    if len(parts) == 2 and isinstance(correlation, (int, float)):
        correlation = [[1.0, correlation], [correlation, 1.0]]
    tie = Tie(correlation, [part.name or "dimension" for part in parts])
    return tuple(dataclasses.replace(part, tie=(tie, i)) for i, part in enumerate(parts))


def _single(where: str, part: Any) -> None:
    if not isinstance(part, Dimension):
        raise InputError(f"{where}: {brief(part)}: a single dimension is needed")


@runtime_checkable
class Bounded(Protocol):
    """A number of a table with its bounds, such as a property of a material."""

    @property
    def value(self) -> float: ...
    @property
    def lower(self) -> float: ...
    @property
    def upper(self) -> float: ...
    @property
    def unit(self) -> str: ...
    @property
    def basis(self) -> str: ...
    @property
    def rests_on(self) -> tuple[Basis, ...]: ...


REFERENCE = 20.0
"""Temperature at which drawings hold, °C (ISO 1)."""


def expanded(length: Number, alpha: Number, temperature: Number, reference: Number = REFERENCE) -> Number:
    """A length at another temperature, in its own unit: L (1 + alpha (T - reference)). The definition of alpha.

    length: in mm, or in any one unit. alpha: coefficient of thermal expansion, 1/K. temperature, reference: °C. Floats
    or arrays that broadcast. Free expansion, the coefficient the same over the whole range.
    """
    return np.asarray(length * (1 + alpha * (np.asarray(temperature) - reference)))[()]


@keywords_named
def at_temperature(
    part: Linear,
    alpha: float | str | Linear | Bounded,
    temperature: float | str | Linear,
    *,
    reference: float | str = REFERENCE,
) -> Sum:
    """A length at another temperature, `expanded`, as a sum of what it depends on.

    Parameters
    ----------
    part : the length at the reference temperature
    alpha : coefficient of thermal expansion in 1/K: a number, a text with its unit ("23e-6 1/K"), a dimension (parts
        given the same one share it), or what a material says, `fitcheck.material("6061-T6").expansion`, which varies
        between its bounds
    temperature : in °C, a number, a text with its unit ("104 °F") or a dimension; parts given the same dimension share
        their temperature
    reference : temperature at which the length holds, °C, or a text with its unit; that of drawings by default [1]_

    The spreads of alpha and temperature enter by their first-order terms, L (T - reference) and L alpha at the
    nominals; what is left out is the product of two small spreads. Raises `InputError` for a part that is no length, a
    temperature below absolute zero and an alpha beyond 1e-3 1/K, and for a number without unit beside a length in
    inches.

    >>> import fitcheck as fc
    >>> from fitcheck.stack import at_temperature
    >>> f"{at_temperature(fc.dim('100 ± 0.1'), 23e-6, 40).nominal:.4f}"
    '100.0460'

    References
    ----------
    .. [1] ISO 1.
    """
    if isinstance(alpha, Bounded):
        alpha = Dimension(
            alpha.value,
            alpha.lower,
            alpha.upper,
            name="alpha",
            unit=unit_of(alpha.unit),
            origin=alpha.basis,
            basis=weakest(*alpha.rests_on),
        )
    if not isinstance(part, Linear):
        raise InputError(f"at_temperature: {brief(part)}: a dimension or a sum of dimensions is needed")
    if part.unit.kind is not LENGTH:
        raise InputError(f"at_temperature: a length is needed, not a {part.unit.kind.name}")
    rate = _nominal("alpha", alpha, EXPANSION, part.unit)
    warm = _nominal("temperature", temperature, TEMPERATURE, part.unit)
    start = REFERENCE if reference is REFERENCE else _nominal("reference", reference, TEMPERATURE, part.unit)
    if min(warm, start) < -273.15:
        raise InputError(f"temperature = {min(warm, start):g} °C: a temperature above absolute zero is needed")
    rise = warm - start
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
        for d, c in source.terms:
            coefficients[d] = coefficients.get(d, 0.0) + factor * c
    terms = tuple((d, c) for d, c in coefficients.items() if c != 0)
    return Sum(terms, offset, float(expanded(length, rate, warm, start)), part.unit)


def _nominal(name: str, value: Any, kind: Kind, length: Unit) -> float:
    """The number behind a value or a dimension of the kind; beside a length in inches it names its unit."""
    if isinstance(value, Linear):
        if value.unit.kind is not kind:
            article = "an" if kind.name[0] in "aeiou" else "a"
            raise InputError(f"{name}: {article} {kind.name} is needed, not a {value.unit.kind.name}")
        return value.nominal
    return read_beside(value, kind, name, length, what="a length") if length.inch else read(value, kind, name)
