"""Thread sizes, material strengths and named ranges as dimensions, and what makes two threads a pair."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Any, ClassVar

from fitcheck.bench.inputs import Parts, Toleranced
from fitcheck.errors import InputError, did_you_mean, one_of
from fitcheck.mechanics import NO_TAPPED_TESTS, Material, Range, shear_rules, short_model
from fitcheck.stack import Dimension, Interval, dimension
from fitcheck.threads import Thread
from fitcheck.units import PLAIN, Kind, unit

TESTED_THREADS = (0.9, 7.5)
"""Threads engaged in the tests of the short-thread model: `fitcheck.mechanics.short_engagement_factor`."""

SHEAR_RULE = "bolting 0.6"
"""What stands in for a shear strength that is printed nowhere, unless it is refused."""


def thread_size(thread: Thread, which: str, name: str) -> Dimension:
    """The `which` diameter ("major", "pitch" or "minor") of a thread as made: uniform between its limits of size.

    Its nominal is the middle of the zone, not the basic size at one end of it, so that a nominal strength is that of an
    average part.
    """
    size = thread.limits().dimension(which)
    return replace(size, nominal=size.middle, name=name, origin=f"{which} diameter of {thread.designation}")


def shear_strength(material: Material, name: str, rule: str | None = SHEAR_RULE) -> Dimension:
    """Shear strength of a material, MPa, uniform between its bounds.

    A material whose shear strength is printed nowhere gets the ratio `rule` to its tensile strength; `TableError` where
    the rule is None.
    """
    strength = material.shear_strength(rule)
    return dimension(
        strength.value,
        plus=strength.upper - strength.value,
        minus=strength.value - strength.lower,
        name=name,
        unit=unit("MPa"),
        origin=f"{material.name}: {strength.basis}; {strength.source}",
    )


def shear_assumption(material: Material, rule: str | None) -> tuple[str, ...]:
    """The sentence to say where a rule stands in for a printed shear strength; nothing where one is printed."""
    if material.shear is not None or rule is None:
        return ()
    low, ratio, high, source = shear_rules()[rule]
    spread = "" if low == high else f" ({low:g} to {high:g})"
    return (
        f"No source prints the shear strength of {material.name}: {ratio:g}{spread} of its tensile strength is taken, "
        f"by the rule '{rule}' ({source}).",
    )


def strip_scatter() -> Dimension:
    """Logarithm of a strip test over the short-thread model: normal, its zone two standard deviations."""
    return dimension(
        0.0,
        plus=2 * short_model().scatter.value,
        spread="normal 2 sigma",
        name="scatter of strip tests",
        unit=PLAIN,
        origin=short_model().source,
    )


def strip_fit() -> Dimension:
    """Error of the short-thread model's fitted coefficients, in their standard errors: normal, zone two of them."""
    return dimension(
        0.0,
        plus=2.0,
        spread="normal 2 sigma",
        name="fit to the strip tests",
        unit=PLAIN,
        origin=short_model().source,
    )


def strip_assumptions(threads: Interval) -> tuple[str, ...]:
    """What every finding on a strip load assumes of the model behind it; `threads` engage."""
    said = (
        NO_TAPPED_TESTS,
        "How single tests scatter about the model, and how well it is fitted to them, are part of the spread.",
    )
    least, most = TESTED_THREADS
    if least <= threads.min and threads.max <= most:
        return said
    return (
        *said,
        f"The tests had {least:g} to {most:g} threads, here {threads.min:.1f} to {threads.max:.1f} engage: more than "
        "were tested are taken to near the textbook load, fewer rest on the least load that was seen.",
    )


def refuse_other_hand(external: Thread | None, internal: Thread | None) -> None:
    """Refuse a left-hand thread with a right-hand one; None is a thread that is not known."""
    if external is None or internal is None or external.left_hand is internal.left_hand:
        return
    left, right = (external, internal) if external.left_hand else (internal, external)
    raise InputError(
        f"{external.designation} in {internal.designation}: {left.designation} is left-hand, {right.designation} "
        "right-hand: both must be alike"
    )


def check_friction(name: str, value: Dimension) -> None:
    """Refuse a coefficient of friction below 0, or above 1: that is a percentage without its sign."""
    if value.lower < 0:
        raise InputError(f"{name} = {value}: a friction of at least 0 over its whole zone is needed")
    if value.upper > 1:
        plain, percent = f"{value.nominal / 100:g}", f"{value.nominal:g}"
        slip = value.nominal > 1 and value.unit.text != "%"
        hint = f": write {plain} or '{percent} %' for {percent} percent" if slip else ""
        raise InputError(f"{name} = {value}: a coefficient of friction of at most 1 is needed{hint}")


def same_thread(external: Thread, internal: Thread) -> None:
    """Refuse a pair that cannot be screwed together, and say why."""
    refuse_other_hand(external, internal)
    pair = f"{external.designation} in {internal.designation}"
    if abs(external.pitch - internal.pitch) > 1e-6 or abs(external.nominal - internal.nominal) > 1e-6:
        raise InputError(f"{pair}: nominal diameter and pitch must be equal")


@dataclass(frozen=True, slots=True)
class NamedRange:
    """A toleranced dimension, or the name of a range of a table such as a friction class; parts come first."""

    kind: Kind
    names: Callable[[], Iterable[str]]
    find: Callable[[str], Range]

    @property
    def expects(self) -> str:
        return f"a {self.kind.name} with its tolerance, the name of a part, or one of {', '.join(self.names())}"

    def read(self, value: Any, where: str, parts: Parts) -> Dimension:
        if (
            isinstance(value, str)
            and value not in parts
            and value.strip().casefold() in map(str.casefold, self.names())
        ):
            found = self.find(value)
            return dimension(
                found.middle,
                plus=found.high - found.middle,
                minus=found.middle - found.low,
                name=where.replace("_", " "),
                unit=unit(self.kind.base),
                origin=f"{found.name}: {found.meaning} ({found.source})",
            )
        if isinstance(value, str) and value not in parts and not any(letter.isdigit() for letter in value):
            # Not a note; the names of the table are the likelier meaning, so they are listed with the parts.
            known = [*self.names(), *parts]
            raise InputError(f"{where} = {value!r}: {self.expects} is needed{did_you_mean(value, known)}")
        return Toleranced(self.kind).read(value, where, parts)

    def schema(self) -> dict[str, Any]:
        return {"type": ["string", "number"], "examples": list(self.names())}


@dataclass(frozen=True, slots=True)
class ShearRule:
    """A rule for the shear strength of a material that has none printed; None or "none" refuses such a material."""

    expects: ClassVar[str] = "the name of a shear rule such as 'bolting 0.6', or 'none'"

    def read(self, value: Any, where: str, parts: Parts) -> str | None:
        if value is None or value == "none":
            return None
        return one_of(where, value, (*shear_rules(), "none"))

    def schema(self) -> dict[str, Any]:
        return {"enum": [*shear_rules(), "none"]}
