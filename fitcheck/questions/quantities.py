"""Thread sizes, strengths and roots as dimensions, for every question that needs them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from fitcheck.basis import Basis
from fitcheck.mechanics import Material, shear_rules
from fitcheck.questions.readers import stated_in
from fitcheck.stack import Dimension, between
from fitcheck.threads import Thread
from fitcheck.threads.profile import EXTERNAL_ROOTS, INTERNAL_ROOTS
from fitcheck.units import PLAIN, STRESS, Unit, unit

SHEAR_RULE = "bolting 0.6"
"""What stands in for a shear strength that is printed nowhere, unless it is refused."""


def thread_size(thread: Thread, which: str, name: str) -> Dimension:
    """The `which` diameter ("major", "pitch" or "minor") of a thread as made: uniform between its limits of size.

    Its nominal is the middle of the zone, not the basic size at one end of it, so that a nominal strength is that of an
    average part.
    """
    size = thread.limits().dimension(which)
    return replace(size, nominal=size.middle, name=name, origin=f"{which} diameter of {thread.designation}")


def pair_sizes(
    external: Thread, internal: Thread, measured: Mapping[str, Dimension | None], called: tuple[str, str]
) -> dict[str, Dimension]:
    """Major and pitch diameter d and d2 of a screw, minor and pitch diameter D1 and D2 of its nut.

    As `measured` under the same keys, else by their standard. called: what results call the two threads.
    """
    screw, nut = called
    return {
        "d": measured["d"] or thread_size(external, "major", f"{screw} major diameter"),
        "d2": measured["d2"] or thread_size(external, "pitch", f"{screw} pitch diameter"),
        "D1": measured["D1"] or thread_size(internal, "minor", f"{nut} minor diameter"),
        "D2": measured["D2"] or thread_size(internal, "pitch", f"{nut} pitch diameter"),
    }


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


def bearing_ratio(material: Material, rule: str | None = SHEAR_RULE) -> float:
    """Bearing strength of flanks over shear strength: a weak piece is weak in both, so that one of them is spread.

    The lesser of that between the values and that between the lower bounds. Errors as `of_property`.
    """
    shear, bearing = material.shear_strength(rule), material.bearing_strength()
    return min(bearing.value / shear.value, bearing.lower / shear.lower)


def bearing_assumption(*materials: Material, beside: Unit) -> tuple[str, ...]:
    """The sentences to say what flanks of these materials are taken to bear, in a unit that goes with `beside`."""
    show = stated_in(None, STRESS, beside=beside).show
    said = []
    for one in dict.fromkeys(materials):
        found = one.bearing_strength()
        said.append(
            f"Flanks of {one.name} crush at {show(found.value, 0)} ({found.basis}; {found.source}); the screw lies on "
            "one side of its hole, and two opposite places bear no more than the lesser of them."
        )
    return tuple(said)


def root_depth(external: bool) -> Dimension:
    """How far the root lies beyond the pitch diameter, in H on the diameter, uniform between the forms it may have.

    External: the forms of `EXTERNAL_ROOTS`. Internal: those of `INTERNAL_ROOTS`.
    """
    low, usual, high = EXTERNAL_ROOTS if external else INTERNAL_ROOTS
    name = f"root of the {'external' if external else 'internal'} thread"
    return between(low, high, usual, name=name, unit=PLAIN, origin="thread profile", basis=Basis.STANDARD)


_NAMES = {"yield": "yield strength", "tensile": "tensile strength", "shear": "shear strength"}
_NAMES |= {"compressive": "compressive strength"}


def of_property(material: Material, which: str, rule: str | None = SHEAR_RULE) -> Dimension:
    """The property `which` ("yield", "shear", "expansion", ...) of a material as a dimension, uniform in its bounds.

    A material whose shear strength is printed nowhere gets the ratio `rule` to its tensile strength. `TableError` if no
    source gives the property, and for that strength where the rule is None.
    """
    found = material.shear_strength(rule) if which == "shear" else material.get(which)
    return between(
        found.lower,
        found.upper,
        found.value,
        name=f"{_NAMES.get(which, which)} of {material.name}",
        unit=unit(found.unit),
        origin=f"{material.name}: {found.basis}; {found.source}",
        basis=found.weakest,
    )
