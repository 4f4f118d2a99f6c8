"""The bodies on a chassis, as the port question takes them in: blocks and round bodies with toleranced sizes."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np

from fitcheck.basis import Basis
from fitcheck.errors import InputError, brief, did_you_mean
from fitcheck.mechanics.cross_section import Point, block_corners, furthest_shift, gap_at, least_gaps, turned
from fitcheck.questions.named import CellSize
from fitcheck.questions.readers import Parts, Reader, Sign, Toleranced
from fitcheck.stack import Dimension, Response, between, dimension
from fitcheck.stack.system import Least
from fitcheck.units import ANGLE, LENGTH, PLAIN, FloatArray, Number, Unit, unit

_BLOCK = ("width", "reach", "offset", "angle", "depth")
_ROUND = ("diameter", "offset", "angle")
_ACROSS = CellSize("diameter", usual=("port", "cell", "speaker"))
_CORNERS = ("left outer corner", "right outer corner", "left inner corner", "right inner corner")


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """One body on the chassis: a block if it has a width, else round."""

    name: str
    sizes: Mapping[str, Dimension]

    @property
    def is_round(self) -> bool:
        return "diameter" in self.sizes

    def points(self, sizes: Mapping[str, Number]) -> tuple[list[Point], Number]:
        """Its points seen from the chassis axis, and the radius about them, at given sizes."""
        angle = sizes.get("angle", 0.0)
        if self.is_round:
            offset = np.asarray(sizes.get("offset", 0.0))
            return [turned(0.0 * offset, offset, angle)], np.asarray(sizes["diameter"]) / 2
        corners = block_corners(sizes["width"], sizes["reach"], sizes.get("offset", 0.0), angle, sizes.get("depth"))
        return corners, 0.0

    def where(self, point: int, x: float, y: float) -> str:
        """Its point in words: which corner, and in which direction from the axis."""
        which = f"the {_CORNERS[point]} of the {self.name}" if not self.is_round else f"the {self.name}"
        degrees = round(math.degrees(math.atan2(x, y)))
        if math.hypot(x, y) < 1e-9 or degrees == 0:
            return which if math.hypot(x, y) < 1e-9 else f"{which}, straight up"
        return f"{which}, {abs(degrees)}° {'clockwise' if degrees > 0 else 'anticlockwise'} from up"


@dataclass(frozen=True, slots=True)
class BodyTable:
    """Reads a body: `{ name, width, reach }` or `{ name, diameter }`, with offset, angle and depth if they matter."""

    @property
    def expects(self) -> str:
        return (
            "a body: { name, width, reach } for a block, with offset, angle and depth if they matter, or "
            "{ name, diameter }, with offset and angle"
        )

    def read(self, value: Any, where: str, parts: Parts) -> Body:
        if isinstance(value, Body):
            return value
        if not isinstance(value, Mapping) or not isinstance(value.get("name"), str) or not value["name"].strip():
            raise InputError(f"{where} = {brief(value)}: {self.expects} is needed")
        accepted = _ROUND if "diameter" in value else _BLOCK
        for key in value:
            if key not in accepted and key != "name":
                hint = did_you_mean(key, (*_BLOCK, *_ROUND))
                raise InputError(f"{where}.{key}: unknown{hint}; accepted are name, {', '.join(accepted)}")
        for key in ("diameter",) if "diameter" in value else ("width", "reach"):
            if key not in value:
                raise InputError(f"{where}.{key}: missing: {self.expects} is needed")
        sizes = {}
        for key in accepted:
            if key not in value:
                continue
            reader: Reader = Toleranced(ANGLE) if key == "angle" else _ACROSS
            read = reader.read(value[key], f"{where}.{key}", parts)
            shared = any(read is part for part in parts.values()) or read is value[key]
            sizes[key] = read if shared else dataclasses.replace(read, name=f"{value['name']} {key}")
            if key in ("width", "diameter", "depth"):
                Sign.POSITIVE.check(f"{where}.{key}", sizes[key], LENGTH)
        return Body(value["name"].strip(), sizes)

    def schema(self) -> dict[str, Any]:
        size = Toleranced().schema()
        keys = dict.fromkeys((*_BLOCK, "diameter"), size)
        return {
            "type": "object",
            "properties": {"name": {"type": "string"}, **keys},
            "required": ["name"],
            "additionalProperties": False,
        }


@dataclass(frozen=True)
class Section:
    """A cross-section: bore, chassis (its diameter, or its width and height) and the bodies on it."""

    bore: Dimension
    chassis: tuple[Dimension, ...]
    bodies: tuple[Body, ...]

    def gap_of(self, body: Body) -> Response:
        """The least gap of one body to the wall, wherever the chassis lies."""
        gap = partial(self._gap, self.bodies.index(body))
        return Response(gap, self._inputs([body]), unit=self.bore.unit, name=f"gap of the {body.name}")

    def _gap(self, place: int, **v: Number) -> Number:
        points, r = self.bodies[place].points(_own(v, place))
        return np.asarray(np.min(least_gaps(v["bore"], self._sides(v), points, r), axis=0))

    @property
    def gap(self) -> Least:
        """The least gap of any body, wherever the chassis lies."""
        return Least([self.gap_of(body) for body in self.bodies], name="smallest gap")

    def gaps_at_random(self, n: int = 100_000, *, seed: int = 0) -> FloatArray:
        """`n` gaps with sizes and shifts taken at random: any direction, any share of the way to the wall."""

        def gap(direction: Number, share: Number, **v: Number) -> Number:
            way = share * furthest_shift(v["bore"], self._sides(v), direction)
            sx, sy = turned(0.0, way, direction)
            found = []
            for i, body in enumerate(self.bodies):
                points, r = body.points(_own(v, i))
                found += [gap_at(v["bore"], x, y, r, sx, sy) for x, y in points]
            return np.asarray(np.min(np.stack(np.broadcast_arrays(*found)), axis=0))

        free: dict[str, Any] = {
            "direction": dimension(
                0.0, plus=math.pi, spread="uniform", name="direction of the shift", unit=unit("rad")
            ),
            "share": between(0.0, 1.0, spread="uniform", name="share of the shift", unit=PLAIN, basis=Basis.ASSUMED),
        }
        return Response(gap, free | self._inputs(self.bodies), unit=self.bore.unit, name="gap").sample(n, seed=seed)

    def nearest(self, body: Body) -> str:
        """The point of a body that comes nearest to the wall with nominal sizes, in words."""
        nominal = {key: d.nominal for key, d in body.sizes.items()}
        points, r = body.points(nominal)
        gaps = least_gaps(self.bore.nominal, [d.nominal for d in self.chassis], points, r)
        at = int(np.argmin(gaps))
        x, y = points[at]
        return body.where(at, float(x), float(y))

    def _inputs(self, bodies: Sequence[Body]) -> dict[str, Dimension]:
        inputs = {"bore": self.bore} | {f"side{i}": d for i, d in enumerate(self.chassis)}
        for body in bodies:
            i = self.bodies.index(body)
            inputs |= {f"body{i}_{key}": d for key, d in body.sizes.items()}
        return inputs

    def _sides(self, v: Mapping[str, Number]) -> list[Number]:
        return [v[f"side{i}"] for i in range(len(self.chassis))]


def _own(v: Mapping[str, Number], i: int) -> dict[str, Number]:
    mark = f"body{i}_"
    return {key.removeprefix(mark): value for key, value in v.items() if key.startswith(mark)}


def drawn(body: Body) -> dict[str, float]:
    """Nominal sizes of a body, for its figure."""
    return {key: size.nominal for key, size in body.sizes.items()}


def shown_size(body: Body, used: Unit) -> str:
    """The size of a body in words."""
    if body.is_round:
        return f"⌀ {used.show(body.sizes['diameter'].nominal)}"
    return f"{used.show(body.sizes['width'].nominal)} wide, {used.show(body.sizes['reach'].nominal)} from the axis"
