"""Strength and stiffness of the materials of the trade, each number with its spread and source.

`material("6061-T6")` reads `tables/materials.csv`. A property has a value and the bounds between which nearly
all stock lies. Sources rank: a design allowable or a standard's minimum sets the lower bound; a maker's or
handbook's typical value is the value; a number from memory is used only where nothing printed was at hand, and
says so. Where a bound is printed nowhere it is the value less or more a customary share
(`tables/material_scatter.csv`, common practice, no source), and the basis says that too.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any, ParamSpec, TypeVar

from fitcheck import units
from fitcheck.basis import Basis, weakest
from fitcheck.errors import InputError, TableError, brief, did_you_mean, name_some, positive
from fitcheck.expected import flag
from fitcheck.keywords import keywords_named
from fitcheck.shown import Shown
from fitcheck.tables import number, rests_on, table

_FIELDS = {
    "tensile": ("MPa", 1.0),
    "yield": ("MPa", 1.0),
    "shear": ("MPa", 1.0),
    "compressive": ("MPa", 1.0),
    "bearing": ("MPa", 1.0),
    "modulus": ("MPa", 1.0),
    "expansion": ("1/K", 1e-6),  # the table prints 1e-6/K
}

BEARING_RATIO = 2.0
"""Bearing strength over tensile strength, where none is printed: the low end of 2.0 to 2.3 for wrought alloys at an
edge two diameters away (MIL-HDBK-5, from memory)."""

RANKS = ("design allowable", "minimum", "typical", "range", "estimate")
"""Kinds of printed value, the most binding first."""


P = ParamSpec("P")
R = TypeVar("R")


def _with_parameters_of(other: Callable[P, R]) -> Callable[[Callable[..., R]], Callable[P, R]]:
    """A function that passes all it is given to `other` has its parameters, for readers, `inspect` and mypy alike."""

    def with_them(function: Callable[..., R]) -> Callable[P, R]:
        function.__signature__ = inspect.signature(other)  # type: ignore[attr-defined]
        return function

    return with_them


@dataclass(frozen=True, slots=True, repr=False)
class Property(Shown):
    """One number of a material. value: in `unit`. lower, upper: the bounds between which nearly all stock lies, in
    `unit`. unit: "MPa" or "1/K". basis: what they rest on. source: where they
    are printed. rests_on: the kinds of those sources.
    """

    value: float
    lower: float
    upper: float
    unit: str
    basis: str
    source: str
    rests_on: tuple[Basis, ...] = (Basis.DRAWN,)
    """What value and bounds rest on: of each part of the source, and of a bound by habit."""

    @property
    def weakest(self) -> Basis:
        """The least firm of what it rests on."""
        return weakest(*self.rests_on)

    def __post_init__(self) -> None:
        for name in ("lower", "value", "upper"):
            object.__setattr__(self, name, positive(name, getattr(self, name), self.unit, one=True))
        if not self.lower <= self.value <= self.upper:
            raise TableError(
                f"{self.lower} to {self.upper} {self.unit} does not hold the value {self.value}: "
                "lower <= value <= upper is needed"
            )

    def times(
        self, low: float, middle: float, high: float, basis: str, source: str, rests_on: tuple[Basis, ...]
    ) -> Property:
        """This property times a ratio that itself lies between two bounds.

        low, middle, high: the ratio, without unit. basis, source: what the product rests on, and where the ratio is
        printed. rests_on: the kinds of those sources. Raises `TableError` where the bounds do not hold the value.
        """
        return Property(
            self.value * middle,
            self.lower * low,
            self.upper * high,
            self.unit,
            basis,
            f"{source}; {self.source}",
            (*rests_on, *self.rests_on),
        )


@dataclass(frozen=True, slots=True, repr=False)
class Material(Shown):
    """A material. A property that no source gives is None; `shear_strength` and `get` say so in words.

    name: with its temper. tensile, yield_, shear, compressive, bearing: strengths, MPa, each a `Property`. modulus: of
    elasticity, MPa. expansion: thermal, 1/K. note: free text.
    """

    name: str
    tensile: Property | None = None
    yield_: Property | None = None
    shear: Property | None = None
    compressive: Property | None = None
    modulus: Property | None = None
    expansion: Property | None = None
    note: str = field(default="", compare=False)
    bearing: Property | None = None
    metal: bool = True
    """False for a plastic, which creeps."""
    assumed: str = ""
    """What it takes for granted, a sentence: that it is the weakest of its kind. "" for nothing."""

    def __repr__(self) -> str:
        """What the REPL shows: each property with its bounds and what they rest on, and the sources, numbered."""
        given = {name: self._given(name) for name in _FIELDS}
        sources = list(dict.fromkeys(found.source for found in given.values() if found))
        lines = [self.name]
        for name, found in given.items():
            if found is None:
                lines.append(f"  {name:11}         -")
                continue
            recalled = [one is Basis.MEMORY for one in found.rests_on if one is not Basis.NO_SOURCE]
            memory = f" ({'' if all(recalled) else 'partly '}from memory)" if any(recalled) else ""
            lines.append(
                f"  {name:11} {found.value:>9.4g}  ({found.lower:.4g} to {found.upper:.4g}) {found.unit}  "
                f"[{sources.index(found.source) + 1}]{memory}"
            )
            lines.append(f"{'':15}{found.basis}")
        lines += [f"  {self.assumed}"] if self.assumed else []
        return "\n".join([*lines, *(f"  [{i}] {source}" for i, source in enumerate(sources, start=1))])

    def _given(self, name: str) -> Property | None:
        found: Property | None = getattr(self, "yield_" if name == "yield" else name)
        return found

    def get(self, name: str) -> Property:
        """The property `name` ('tensile', 'yield', 'shear', ...); `TableError` if no source gives it."""
        if name not in _FIELDS:
            every = ", ".join(repr(known) for known in _FIELDS)
            raise TableError(f"property {brief(name)}: one of {every} is needed{did_you_mean(name, _FIELDS)}")
        found = self._given(name)
        if found is None:
            raise TableError(f"material {self.name!r} has no {name} value: give one with add_material")
        return found

    def shear_strength(self, rule: str | None = None) -> Property:
        """Shear strength, MPa. Without a printed value it is an error unless a ratio rule is asked for by name.

        rule: a name of `shear_rules()`, for example 'bolting 0.6': tensile strength times the rule's ratio. A
        printed value is preferred to any rule. The result's basis names the rule. Raises `TableError` without a value
        or rule.
        """
        if self.shear is not None:
            return self.shear
        rules = shear_rules()
        if rule is None:
            every = ", ".join(repr(name) for name in rules)
            raise TableError(
                f"material {self.name!r} has no printed shear strength: give one with add_material, or ask for a "
                f"ratio to the tensile strength by name: {every}"
            )
        if rule not in rules:
            every = ", ".join(repr(name) for name in rules)
            raise TableError(f"shear rule {brief(rule)}: one of {every} is needed{did_you_mean(rule, rules)}")
        low, middle, high, source = rules[rule]
        return self.get("tensile").times(
            low, middle, high, f"tensile strength by the rule {brief(rule)}", source, _rules_rest_on()[rule]
        )

    def bearing_strength(self) -> Property:
        """Bearing strength, MPa, of flanks that press on each other: printed, or `BEARING_RATIO` times the tensile one.

        A material of which only the shear strength is known gets that ratio of it, as none is stronger in shear than in
        tension. Raises `TableError` where neither is known.
        """
        if self.bearing is not None:
            return self.bearing
        found = self.tensile or self.shear or self.get("tensile")
        words = f"{BEARING_RATIO:g} times the {'tensile' if self.tensile else 'shear'} strength"
        ratio = (BEARING_RATIO,) * 3
        return found.times(*ratio, words, "MIL-HDBK-5, from memory: 2 to 2.3 times Rm", (Basis.MEMORY,))


def material(name: str) -> Material:
    """The material `name`, for example "6061-T6"; case, spaces and hyphens do not matter.

    "aluminium, unknown" (or steel, brass, stainless) is the weakest of its kind in each strength. Materials of
    `add_material` come before those of the table. `TableError` lists the nearest names; an alloy
    without its temper ("6061") is refused too, because the temper decides how strong it is.

    >>> material("6061 T6").get("yield").value
    275.0
    """
    if not isinstance(name, str):
        raise TableError(f"material {brief(name)}: the name of a material as text is needed, for example '6061-T6'")
    key = _key(name)
    if key in _added:
        return _added[key]
    known = _shipped()
    if key in known:
        return known[key]
    if key in _unknown():
        return _unknown()[key]
    names = material_names()
    if tempers := _tempers(name, names):
        only = f"only {tempers[0]} is" if len(tempers) == 1 else f"{', '.join(tempers)} are"
        raise TableError(
            f"material {brief(name)}: which temper? {only} known here; annealed or softer stock is far weaker, "
            f"so look at its marking or paper; add_material adds other tempers"
        )
    near = did_you_mean(name, [*names, *_aliases().values(), *(one.name for one in _unknown().values())])
    for word in (key, *(() if near else map(_key, name.split()))):  # "steel", and "alloy steel" too
        if (kind := _FAMILY_NAMES.get(word, word)) in _families():
            raise TableError(f"material {brief(name)}: which? '{kind}, unknown' is the weakest of {_listed(kind)}")
    listing = near or f": {name_some(names)} (material_names)"
    added = "add_material adds yours, [materials] in a sheet"
    raise TableError(f"material {brief(name, 30)} is not known{listing}; {added}")


def material_names() -> list[str]:
    """Names of the shipped and added materials, in the order of the table.

    >>> material_names()[0]
    '6061-T6'
    """
    return list(dict.fromkeys(m.name for m in (*_shipped().values(), *_added.values())))


def material_kinds() -> dict[str, tuple[str, ...]]:
    """The kinds of material, and the names of those of each.

    >>> material_kinds()["brass"][0] in material_names()
    True
    """
    return {family: tuple(one.name for one in members) for family, members in _families().items()}


def new_material(
    name: str,
    *,
    source: str,
    tensile: float | tuple[float, float, float] | None = None,
    yield_: float | tuple[float, float, float] | None = None,
    shear: float | tuple[float, float, float] | None = None,
    compressive: float | tuple[float, float, float] | None = None,
    modulus: float | tuple[float, float, float] | None = None,
    expansion: float | tuple[float, float, float] | None = None,
    bearing: float | tuple[float, float, float] | None = None,
    metal: bool = True,
    note: str = "",
) -> Material:
    """A material of one's own, which is not kept by its name. All is as of `add_material`, `InputError` too.

    >>> rod = new_material("test rod", source="own pull tests", tensile=(400, 420, 440))
    >>> rod.get("tensile").value, "test rod" in material_names()
    (420.0, False)
    """
    for which, text in (("name", name), ("source", source)):
        if not isinstance(text, str):
            raise InputError(f"{which} of a material = {brief(text)}: a text is needed")
    if not name.strip() or not source.strip():
        raise TableError(f"material {brief(name)}: a name and a source are needed")
    given = {
        "tensile": tensile,
        "yield": yield_,
        "shear": shear,
        "compressive": compressive,
        "modulus": modulus,
        "expansion": expansion,
        "bearing": bearing,
    }
    kind = "metal" if flag("metal", metal) else "plastic"
    read: dict[str, Property | None] = {}
    for field_name, numbers in given.items():
        if numbers is None:
            continue
        unit = _FIELDS[field_name][0]
        three: tuple[Any, Any, Any] = numbers if isinstance(numbers, tuple) else (None, numbers, None)
        if len(three) != 3:
            raise InputError(f"{field_name} = {brief(numbers)}: a value or (lower, value, upper) is needed")
        low, value, high = (None if n is None else _in_base(n, unit, field_name) for n in three)
        read[field_name] = _property(
            field_name, kind, value, low, high, unit, "given by the user", source, (Basis.DRAWN,)
        )
    return _build(name, read, note, metal)


@keywords_named
@_with_parameters_of(new_material)
def add_material(name: str, **about: Any) -> Material:
    """Add or replace a material for this session and return it.

    name: as it will be asked for. source: where the numbers come from, one line. tensile, yield_, shear, compressive:
    strengths, MPa. modulus: MPa. expansion: 1/K. bearing: strength of pressed flanks, MPa. metal: False for a plastic.
    note: free text. Each property is a value, or (lower, value, upper): numbers in these units, texts with a unit
    ("60 ksi") or pint quantities. A value alone gets the customary share of tables/material_scatter.csv for a metal
    or a plastic. Raises `TableError` without a name or source and for bounds that do not hold the value, `InputError`
    for a value not above 0.

    >>> petg = add_material("printed PETG", source="own pull tests", tensile=(38, 44, 50), metal=False)
    >>> petg.get("tensile").lower, material("printed petg").metal
    (38.0, False)
    """
    added = new_material(name, **about)
    _added[_key(name)] = added
    return added


def _in_base(value: Any, unit: str, name: str) -> float:
    """A property that a user gives: a number in `unit`, a text with its unit or a pint quantity."""
    return units.read(value, units.unit(unit).kind, name)


@lru_cache(maxsize=1)
def shear_rules() -> Mapping[str, tuple[float, float, float, str]]:
    """The ratios of shear to tensile strength by name: (low, middle, high, source),
    tables/shear_ratio.csv.

    >>> low, middle, high, source = shear_rules()["bolting 0.6"]
    >>> middle
    0.6
    """
    read = table("shear_ratio", {"low": float, "ratio": float, "high": float})
    return {row["rule"]: (row["low"], row["ratio"], row["high"], row["source"]) for row in read.rows}


@lru_cache(maxsize=1)
def _rules_rest_on() -> Mapping[str, tuple[Basis, ...]]:
    return {row["rule"]: row["rests_on"] for row in table("shear_ratio", {"rests_on": rests_on}).rows}


_added: dict[str, Material] = {}


def _key(name: str) -> str:
    return "".join(letter for letter in name.casefold() if letter.isalnum())


_ALLOY = re.compile(r"\s*(?:EN\s*|AA\s*)?(?:AW[\s-]*)?(?P<number>\d{4})(?:\s+alumini?um)?\s*", re.IGNORECASE)


def _tempers(name: str, names: list[str]) -> list[str]:
    """The known tempers of an aluminium alloy that is named without one; none for any other name."""
    alloy = _ALLOY.fullmatch(name)
    return [] if alloy is None else [known for known in names if known.startswith(f"{alloy['number']}-")]


@lru_cache(maxsize=1)
def _aliases() -> Mapping[str, str]:
    return {_key(row["also"]): row["material"] for row in table("material_names").rows}


@lru_cache(maxsize=1)
def _shipped() -> Mapping[str, Material]:
    columns: dict[str, Callable[[str], Any]] = {**dict.fromkeys(("value", "lower", "upper"), number)}
    columns["rests_on"] = rests_on
    grouped: dict[str, dict[str, Property | None]] = {}
    kinds: dict[str, str] = {}
    for row in table("materials", columns).rows:
        unit, scale = _FIELDS[row["property"]]
        value, low, high = (None if row[c] is None else row[c] * scale for c in ("value", "lower", "upper"))
        texts = row["basis"], row["source"], row["rests_on"]
        found = _property(row["property"], row["kind"], value, low, high, unit, *texts)
        grouped.setdefault(row["material"], {})[row["property"]] = found
        kinds[row["material"]] = row["kind"]
    shipped = {_key(name): _build(name, read, "", kinds[name] == "metal") for name, read in grouped.items()}
    return {**shipped, **{also: shipped[_key(name)] for also, name in _aliases().items()}}


_FAMILY_NAMES = {"aluminum": "aluminium", "stainlesssteel": "stainless"}
"""Other ways to write a kind."""
_STRENGTHS = ("tensile", "yield", "shear", "compressive", "bearing")


@lru_cache(maxsize=1)
def _families() -> Mapping[str, tuple[Material, ...]]:
    """The materials of each kind."""
    found: dict[str, list[Material]] = {}
    for row in table("material_families").rows:
        found.setdefault(row["family"], []).append(_shipped()[_key(row["material"])])
    return {family: tuple(members) for family, members in found.items()}


def _listed(family: str) -> str:
    return ", ".join(one.name for one in _families()[family])


@lru_cache(maxsize=1)
def _unknown() -> Mapping[str, Material]:
    """The weakest of each kind, by the keys of "aluminium, unknown" and of the other ways to write it."""
    known = {family: _weakest(family, members) for family, members in _families().items()}
    written = {**{family: family for family in known}, **_FAMILY_NAMES}
    return {_key(f"{also}, unknown"): known[family] for also, family in written.items()}


def _weakest(family: str, members: tuple[Material, ...]) -> Material:
    """The least of each strength; stiffness and expansion anywhere between those of the members.

    A strength that one member lacks is left out: that of a stronger one would pass for the least.
    """
    read: dict[str, Property | None] = {}
    for name in _FIELDS:
        found = [(one, one._given(name)) for one in members]
        given = [(one, held) for one, held in found if held is not None]
        if len(given) < len(found):
            continue
        held = [one for _, one in given]
        if name in _STRENGTHS:
            low, value, high = (min(getattr(one, end) for one in held) for end in ("lower", "value", "upper"))
            basis = f"the least of its kind: value and bounds each the lowest of {len(held)} materials"
        else:
            low, high = min(one.lower for one in held), max(one.upper for one in held)
            value, basis = (low + high) / 2, f"range of its kind: {len(held)} materials"
        kinds = dict.fromkeys(kind for one in held for kind in one.rests_on)
        source = "; ".join(dict.fromkeys(one.source for one in held))
        read[name] = Property(value, low, high, held[0].unit, basis, source, (Basis.ASSUMED, *kinds))
    name = f"{family}, unknown"
    said = (
        f"{name}: taken as the weakest of {_listed(family)}; annealed or softer stock is weaker still, and no number "
        "here covers it."
    )
    return replace(_build(name, read, "", True), assumed=said)


@lru_cache(maxsize=1)
def _scatter() -> Mapping[tuple[str, str], float]:
    read = table("material_scatter", {"share": float})
    return {(row["kind"], row["property"]): row["share"] for row in read.rows}


def _property(
    name: str,
    kind: str,
    value: float | None,
    low: float | None,
    high: float | None,
    unit: str,
    basis: str,
    source: str,
    backing: tuple[Basis, ...],
) -> Property:
    """A property with the bounds that are not printed filled in by the customary share."""
    share = _scatter()[kind, name]
    notes = [basis]
    if value is None and low is not None and high is not None:
        value = (low + high) / 2
        notes.append("value: middle of the range")
    if value is None:
        raise TableError(f"{name} of a material: a value is needed, for example 310 or (290, 310, 340) in {unit}")
    value = positive(name, value, unit, one=True)
    binding = basis.startswith(RANKS[:2])  # the value itself is the least that may be delivered
    if low is None and binding:
        low = value
    if low is None or high is None:
        backing = (*backing, Basis.NO_SOURCE)  # the bound that is filled in
    if high is None and binding:
        high = value * (1 + 2 * share)
        notes.append(f"upper bound: {2 * share:.0%} more, common practice, no source")
    if low is None:
        low = value * (1 - share)
        notes.append(f"lower bound: {share:.0%} less, common practice, no source")
    if high is None:
        high = value * (1 + share)
        notes.append(f"upper bound: {share:.0%} more, common practice, no source")
    return Property(value, low, high, unit, "; ".join(notes), source, backing)


def _build(name: str, read: Mapping[str, Property | None], note: str, metal: bool) -> Material:
    return Material(
        name,
        read.get("tensile"),
        read.get("yield"),
        read.get("shear"),
        read.get("compressive"),
        read.get("modulus"),
        read.get("expansion"),
        note,
        read.get("bearing"),
        metal,
    )
