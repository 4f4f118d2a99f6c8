"""Blade depth: how deep the blade sits in the tube stack, and whether the set screws land on it.

The depth is a sum of lengths from the mouth of the socket to the seat of the blade. A set screw lands on the blade if
the blade's end lies far enough beyond the screw's axis. A slug under the blade that may be cut has a screw of its own,
which it must not lose. The blade's play in the bore lets it tilt; screws push it to one side.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, ClassVar

from fitcheck.errors import InputError, brief, did_you_mean
from fitcheck.mechanics import Material
from fitcheck.questions.blade.slug import Slug
from fitcheck.questions.checks import check_blade, check_friction, check_wall
from fitcheck.questions.finding import Requirement, Station
from fitcheck.questions.named import FRICTION, MaterialName
from fitcheck.questions.question import Question, given
from fitcheck.questions.readers import Exact, Several, Sign, Toleranced, Words
from fitcheck.questions.words import listed
from fitcheck.stack import Dimension, Sum
from fitcheck.stack.dimension import combine
from fitcheck.units import TEMPERATURE


@dataclass(frozen=True, kw_only=True, repr=False)
class BladeDepth(Question):
    """How deep does the blade sit, and do the set screws land on it?

    >>> asked = BladeDepth.read({"adds": ["64 ± 0.2"], "takes": ["14.5 ± 0.3", "8.0 ± 0.1"], "at_least": "40 mm"})
    >>> print(asked.findings()[0].answer)
    Deep enough: the blade sits 41.50 mm deep, between 40.90 mm and 42.10 mm.
    """

    title: ClassVar[str] = "blade depth"
    station: ClassVar[Station] = Station.SAW
    example: ClassVar[Mapping[str, Any]] = {"adds": ["64 ± 0.2"]}

    adds: tuple[Dimension, ...] = given(
        Several(Toleranced(sign=Sign.STACKED)),
        "lengths from the mouth down that make it deeper: tubes, spacers, shoulders, a gasket as thick as when pressed",
    )
    takes: tuple[Dimension, ...] = given(
        Several(Toleranced(sign=Sign.STACKED)),
        "lengths under the blade that make it shallower, from the blade down",
        default=[],
    )
    at_least: float = given(Exact(), "the least depth; it need only reach in where nothing is asked", default="0 mm")
    at_most: float | None = given(Exact(), "the greatest depth", default=None)
    screws: tuple[Dimension, ...] = given(
        Several(Toleranced(sign=Sign.NOT_NEGATIVE)), "distance from the mouth to each set screw's axis", default=[]
    )
    cover: float = given(
        Exact(sign=Sign.NOT_NEGATIVE), "how far the blade must reach beyond a screw's axis", default="2 mm"
    )
    cut: str = given(Words(), "the part among `takes` that may be cut shorter", default="")
    slug_screw: Dimension | None = given(
        Toleranced(sign=Sign.NOT_NEGATIVE),
        "distance from the mouth to the axis of the screw that retains the part to be cut",
        default=None,
    )
    slug_cover: float = given(
        Exact(sign=Sign.NOT_NEGATIVE), "how far that part must reach beyond its screw's axis", default="1 mm"
    )
    blade: Dimension | None = given(Toleranced(sign=Sign.POSITIVE), "diameter of the blade", default=None)
    bore: Dimension | None = given(Toleranced(sign=Sign.POSITIVE), "bore of the socket", default=None)
    outside: Dimension | None = given(Toleranced(sign=Sign.POSITIVE), "outside diameter of the socket", default=None)
    blade_length: Dimension | None = given(
        Toleranced(sign=Sign.POSITIVE), "length of the blade from its seat to its tip", default=None
    )
    bow: Dimension | None = given(
        Toleranced(sign=Sign.NOT_NEGATIVE),
        "bow of the blade against a straight edge over its whole length",
        default=None,
    )
    wander_at_most: float | None = given(
        Exact(sign=Sign.POSITIVE), "how far the blade's tip may lie off the axis of the socket", default=None
    )
    temperature: Dimension | None = given(
        Toleranced(TEMPERATURE), "the temperatures of use, for example -10 .. 45 °C", default=None
    )
    blade_material: Material | None = given(MaterialName(), "material of the blade, for its expansion", default=None)
    socket_material: Material | None = given(MaterialName(), "material of the socket, for its expansion", default=None)
    play_at_least: float = given(Exact(), "the least play of the blade at these temperatures", default="0 mm")
    friction_bore: Dimension | None = given(FRICTION, "friction of the blade on the bore", default=None)

    def __post_init__(self) -> None:
        super().__post_init__()
        _check(self)

    @property
    def depth(self) -> Sum:
        """Depth of the seat below the mouth."""
        return combine([(1.0, d) for d in self.adds] + [(-1.0, d) for d in self.takes])

    @cached_property
    def slug(self) -> Slug | None:
        """The part to cut with the screw that retains it."""
        if self.slug_screw is None:
            return None
        at = [d.name for d in self.takes].index(self.cut)
        requirement = Requirement(at_least=self.slug_cover, risk=self.risk)
        return Slug(self.takes[at], self.adds, self.takes[at + 1 :], self.slug_screw, requirement)

    @property
    def cut_part(self) -> Dimension | None:
        """The part among `takes` that may be cut; None where `cut` names none."""
        return next((d for d in self.takes if d.name == self.cut), None) if self.cut else None

    @property
    def gain(self) -> float:
        """Depth gained for each mm cut off the part that may be cut."""
        return -dict(self.depth.terms).get(self.cut_part, 0.0) if self.cut_part is not None else 1.0


def _check(q: BladeDepth) -> None:
    """Raise `InputError` naming the first input of `q` that cannot be."""
    if not q.adds:
        raise InputError("adds = []: at least one length is needed", key="adds")
    _check_cut(q)
    _needs(q, "wander_at_most", "blade", "bore", "blade_length")
    _needs(q, "temperature", "blade", "bore", "blade_material", "socket_material")
    check_wall(q.bore, q.outside)
    if q.friction_bore is not None:
        check_friction("friction_bore", q.friction_bore)
    if q.blade is not None and q.bore is not None:
        check_blade(q.blade, q.bore)
    if q.wander_at_most is not None and q.depth.worst_case().min <= 0:
        raise InputError(
            "wander_at_most: the blade may not reach into its socket: a depth above 0 is needed", key="wander_at_most"
        )


def _check_cut(q: BladeDepth) -> None:
    names = [d.name for d in q.takes]
    if q.cut and q.cut not in names:
        hint = did_you_mean(q.cut, names)
        raise InputError(f"cut = {brief(q.cut)}: the name of a part among takes is needed{hint}", key="cut")
    if q.cut and q.gain <= 0:
        raise InputError(
            f"cut = {brief(q.cut)}: it is among adds too, so that cutting it makes the blade no deeper", key="cut"
        )
    if q.slug_screw is not None and not q.cut:
        raise InputError(
            "slug_screw: cut is needed too, the name of the part among takes that this screw retains", key="slug_screw"
        )


def _needs(q: BladeDepth, key: str, *others: str) -> None:
    missing = [other for other in others if getattr(q, other) is None]
    if getattr(q, key) is not None and missing:
        raise InputError(f"{key}: {listed(missing)} must be given too", key=key)
