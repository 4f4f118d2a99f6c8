"""Bounds of a function over a box of its variables, and of its derivatives, by interval arithmetic.

An `Enclosure` stands in for an argument of a vectorised function. It carries an interval that holds every value the
quantity takes over the box, and for every variable an interval that holds the partial derivative. Arithmetic and
NumPy's elementary functions pass both on, so one call of the plain function proves bounds for the whole box. What it
cannot follow (a comparison, a branch, a table look-up, a function it does not know) raises `CannotEnclose`.

Reference: R. E. Moore, R. B. Kearfott and M. J. Cloud, Introduction to Interval Analysis (2009) (from memory). Ends are
widened by a few units in the last place instead of rounding each operation outwards.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, NoReturn

import numpy as np

from fitcheck.units import FloatArray


class CannotEnclose(TypeError):  # noqa: N818 - it says what happened, and no user meets it
    """The function does something that interval arithmetic does not follow."""


_WIDEN = 4 * float(np.finfo(float).eps)


def _product(a: Any, b: Any, c: Any, d: Any) -> tuple[Any, Any]:
    """[a, b] times [c, d], for numbers or arrays."""
    every = (a * c, a * d, b * c, b * d)
    low = np.minimum(np.minimum(every[0], every[1]), np.minimum(every[2], every[3]))
    high = np.maximum(np.maximum(every[0], every[1]), np.maximum(every[2], every[3]))
    return low, high


class Enclosure:
    """An interval of values and an interval of each partial derivative."""

    __slots__ = ("dhi", "dlo", "hi", "lo")

    def __init__(self, lo: float, hi: float, dlo: FloatArray, dhi: FloatArray) -> None:
        if not (math.isfinite(lo) and math.isfinite(hi)):
            raise CannotEnclose("unbounded")
        self.lo, self.hi = float(lo - _WIDEN * abs(lo)), float(hi + _WIDEN * abs(hi))
        self.dlo, self.dhi = dlo - _WIDEN * np.abs(dlo), dhi + _WIDEN * np.abs(dhi)

    @classmethod
    def variable(cls, lo: float, hi: float, index: int, count: int) -> Enclosure:
        unit = np.zeros(count)
        unit[index] = 1.0
        return cls(lo, hi, unit, unit.copy())

    def _other(self, value: Any) -> Enclosure:
        if isinstance(value, Enclosure):
            return value
        array = np.asarray(value)
        if array.size != 1 or array.dtype.kind not in "fiu":
            raise CannotEnclose("an array beside an enclosure")
        zero = np.zeros_like(self.dlo)
        return Enclosure(float(array.item()), float(array.item()), zero, zero)

    def _chain(self, lo: float, hi: float, slope_lo: float, slope_hi: float) -> Enclosure:
        """A function of this one that takes values in [lo, hi] with its derivative in [slope_lo, slope_hi]."""
        low, high = _product(slope_lo, slope_hi, self.dlo, self.dhi)
        return Enclosure(lo, hi, low, high)

    # -- arithmetic --------------------------------------------------------------------------------------

    def __add__(self, other: Any) -> Enclosure:
        o = self._other(other)
        return Enclosure(self.lo + o.lo, self.hi + o.hi, self.dlo + o.dlo, self.dhi + o.dhi)

    __radd__ = __add__

    def __neg__(self) -> Enclosure:
        return Enclosure(-self.hi, -self.lo, -self.dhi, -self.dlo)

    def __pos__(self) -> Enclosure:
        return self

    def __sub__(self, other: Any) -> Enclosure:
        return self + (-self._other(other))

    def __rsub__(self, other: Any) -> Enclosure:
        return self._other(other) + (-self)

    def __mul__(self, other: Any) -> Enclosure:
        o = self._other(other)
        if o is self:
            return self._power(2.0)
        lo, hi = _product(self.lo, self.hi, o.lo, o.hi)
        a, b = _product(self.dlo, self.dhi, o.lo, o.hi)
        c, d = _product(o.dlo, o.dhi, self.lo, self.hi)
        return Enclosure(float(lo), float(hi), a + c, b + d)

    __rmul__ = __mul__

    def __truediv__(self, other: Any) -> Enclosure:
        return self * self._other(other)._power(-1.0)

    def __rtruediv__(self, other: Any) -> Enclosure:
        return self._other(other) * self._power(-1.0)

    def __pow__(self, exponent: Any) -> Enclosure:
        if isinstance(exponent, Enclosure):
            if exponent.lo < exponent.hi:
                return (self._log() * exponent)._exp()
            exponent = exponent.lo
        return self._power(float(exponent))

    def __rpow__(self, base: Any) -> Enclosure:
        return (self * math.log(base))._exp() if base > 0 else _refuse("a power of a negative number")

    def __abs__(self) -> Enclosure:
        if self.lo >= 0:
            return self
        if self.hi <= 0:
            return -self
        return self._chain(0.0, max(-self.lo, self.hi), -1.0, 1.0)

    def _power(self, p: float) -> Enclosure:
        lo, hi = self.lo, self.hi
        whole = p == int(p)
        if lo <= 0 and (p < 0 or not whole) and not (lo == hi == 0 and p >= 0):
            if hi < 0 and whole:
                flipped = (-self)._power(p)
                return flipped if int(p) % 2 == 0 else -flipped
            _refuse("a root or a reciprocal of an interval about 0")
        if p == 0:
            return self._other(1.0)
        ends = (lo**p, hi**p)
        slopes = [p * lo ** (p - 1), p * hi ** (p - 1)]
        low, high = min(ends), max(ends)
        if lo < 0 < hi:
            slopes.append(0.0)
            if int(p) % 2 == 0:
                low = 0.0
        return self._chain(low, high, min(slopes), max(slopes))

    # -- elementary functions ----------------------------------------------------------------------------

    def _exp(self) -> Enclosure:
        lo, hi = math.exp(self.lo), math.exp(min(self.hi, 700.0))
        return self._chain(lo, hi, lo, hi)

    def _log(self) -> Enclosure:
        if self.lo <= 0:
            _refuse("the logarithm of an interval about 0")
        return self._chain(math.log(self.lo), math.log(self.hi), 1 / self.hi, 1 / self.lo)

    def _wave(self, phase: float) -> Enclosure:
        """sin(x + phase)."""

        def bounds(shift: float) -> tuple[float, float]:
            a, b = self.lo + shift, self.hi + shift
            ends = sorted((math.sin(a), math.sin(b)))
            peak = math.ceil((a - math.pi / 2) / (2 * math.pi)) * 2 * math.pi + math.pi / 2
            trough = math.ceil((a + math.pi / 2) / (2 * math.pi)) * 2 * math.pi - math.pi / 2
            return (-1.0 if trough <= b else ends[0]), (1.0 if peak <= b else ends[1])

        return self._chain(*bounds(phase), *bounds(phase + math.pi / 2))

    def _tan(self) -> Enclosure:
        if math.floor(self.lo / math.pi + 0.5) != math.floor(self.hi / math.pi + 0.5):
            _refuse("a tangent across its pole")
        lo, hi = math.tan(self.lo), math.tan(self.hi)
        least = 0.0 if lo <= 0 <= hi else min(lo * lo, hi * hi)
        return self._chain(lo, hi, 1 + least, 1 + max(lo * lo, hi * hi))

    def _arc(self, function: Callable[[float], float], slope: Callable[[float], float]) -> Enclosure:
        """A monotonic function whose slope, of one sign, grows in size with the distance from 0."""
        if self.lo <= -1 or self.hi >= 1:
            _refuse("an inverse sine or cosine at its end")
        ends = sorted((function(self.lo), function(self.hi)))
        slopes = [slope(self.lo), slope(self.hi)] + ([slope(0.0)] if self.lo < 0 < self.hi else [])
        return self._chain(ends[0], ends[1], min(slopes), max(slopes))

    def _arctan(self) -> Enclosure:
        slopes = [1 / (1 + self.lo**2), 1 / (1 + self.hi**2)] + ([1.0] if self.lo < 0 < self.hi else [])
        return self._chain(math.atan(self.lo), math.atan(self.hi), min(slopes), max(slopes))

    def _larger(self, other: Any) -> Enclosure:
        o = self._other(other)
        if self.lo >= o.hi:
            return self
        if o.lo >= self.hi:
            return o
        return Enclosure(
            max(self.lo, o.lo), max(self.hi, o.hi), np.minimum(self.dlo, o.dlo), np.maximum(self.dhi, o.dhi)
        )

    # -- NumPy -------------------------------------------------------------------------------------------

    def __array_ufunc__(self, ufunc: Any, method: str, *inputs: Any, **options: Any) -> Enclosure:
        handler = _FUNCTIONS.get(ufunc.__name__)
        if method != "__call__" or handler is None or any(value is not None for value in options.values()):
            _refuse(f"numpy.{ufunc.__name__}")
        if len(inputs) == 2:
            first = inputs[0] if isinstance(inputs[0], Enclosure) else self._other(inputs[0])
            return handler(first, inputs[1])
        return handler(*inputs)

    def __array__(self, *_: Any, **__: Any) -> NoReturn:
        _refuse("a conversion to an array")

    def __float__(self) -> NoReturn:
        _refuse("a conversion to a number")

    def __bool__(self) -> NoReturn:
        _refuse("a branch")

    def __lt__(self, other: Any) -> NoReturn:
        _refuse("a comparison")

    __gt__ = __le__ = __ge__ = __lt__


def _refuse(what: str) -> NoReturn:
    raise CannotEnclose(what)


_FUNCTIONS: dict[str, Callable[..., Enclosure]] = {
    "add": lambda a, b: a + b,
    "subtract": lambda a, b: a - b,
    "multiply": lambda a, b: a * b,
    "divide": lambda a, b: a / b,
    "power": lambda a, b: a**b,
    "float_power": lambda a, b: a**b,
    "negative": lambda a: -a,
    "positive": lambda a: a,
    "absolute": abs,
    "fabs": abs,
    "square": lambda a: a._power(2.0),
    "sqrt": lambda a: a._power(0.5),
    "reciprocal": lambda a: a._power(-1.0),
    "exp": lambda a: a._exp(),
    "log": lambda a: a._log(),
    "sin": lambda a: a._wave(0.0),
    "cos": lambda a: a._wave(math.pi / 2),
    "tan": lambda a: a._tan(),
    "arcsin": lambda a: a._arc(math.asin, lambda x: 1 / math.sqrt(1 - x * x)),
    "arccos": lambda a: a._arc(math.acos, lambda x: -1 / math.sqrt(1 - x * x)),
    "arctan": lambda a: a._arctan(),
    "hypot": lambda a, b: (a._power(2.0) + a._other(b)._power(2.0))._power(0.5),
    "maximum": lambda a, b: a._larger(b),
    "minimum": lambda a, b: -((-a)._larger(-a._other(b))),
    "fmax": lambda a, b: a._larger(b),
    "fmin": lambda a, b: -((-a)._larger(-a._other(b))),
    "radians": lambda a: a * (math.pi / 180),
    "deg2rad": lambda a: a * (math.pi / 180),
    "degrees": lambda a: a * (180 / math.pi),
    "rad2deg": lambda a: a * (180 / math.pi),
}
