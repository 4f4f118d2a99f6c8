"""Thread sizes and material strengths as dimensions, and what makes two threads a pair."""

from __future__ import annotations

from dataclasses import replace

from fitcheck.errors import InputError
from fitcheck.stack import Dimension, dimension
from fitcheck.strength import Material, short_model
from fitcheck.threads import Thread
from fitcheck.units import PLAIN, unit


def thread_size(thread: Thread, which: str, name: str) -> Dimension:
    """The `which` diameter ("major", "pitch" or "minor") of a thread as made: uniform between its limits of size.

    Its nominal is the middle of the zone, not the basic size at one end of it, so that a nominal strength is that of an
    average part.
    """
    size = thread.limits().dimension(which)
    return replace(size, nominal=size.middle, name=name, origin=f"{which} diameter of {thread.designation}")


def shear_strength(material: Material, name: str) -> Dimension:
    """Shear strength of a material, MPa, uniform between its bounds.

    A material whose shear strength is printed nowhere gets the bolting ratio to its tensile strength.
    """
    strength = material.shear_strength("bolting 0.6")
    return dimension(
        strength.value,
        plus=strength.upper - strength.value,
        minus=strength.value - strength.lower,
        name=name,
        unit=unit("MPa"),
        origin=f"{material.name}: {strength.basis}; {strength.source}",
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


def same_thread(external: Thread, internal: Thread) -> None:
    """Refuse a pair that cannot be screwed together, and say why."""
    pair = f"{external.designation} in {internal.designation}"
    if external.left_hand is not internal.left_hand:
        left, right = (external, internal) if external.left_hand else (internal, external)
        raise InputError(f"{pair}: {left.designation} is left-hand, {right.designation} right-hand: both must be alike")
    if abs(external.pitch - internal.pitch) > 1e-6 or abs(external.nominal - internal.nominal) > 1e-6:
        raise InputError(f"{pair}: nominal diameter and pitch must be equal")
