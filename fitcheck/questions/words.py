"""Sentences that several questions say: cautions and assumptions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from fitcheck.basis import Basis
from fitcheck.questions.finding import Verdict
from fitcheck.stack import Dimension, Linear, Uniform

STRENGTH_CAUTIONS = (
    "An estimate for hand tools, not a certificate; try it on scrap of the same material first.",
    "Wear eye protection: a loaded blade can fly out and a hard screw can shatter.",
    "Where people or lifted loads depend on a joint, ask a licensed engineer; local codes come first.",
)
REMOVAL_CAUTIONS = (
    "Take cells and anything that melts or burns out before a joint is warmed.",
    "Grip with a strap or a padded clamp close to the joint; a clamp over an empty tube crushes it.",
    "Try penetrant, warmth and time before more torque; stop where the tube itself begins to turn or to ring.",
)
BLADE_CAUTIONS = (
    "A blade that is not held by its screws can fly out; pull and twist it by hand before every use.",
    "Clear swarf out of the socket before seating the blade.",
)
ELECTRICAL_CAUTIONS = (
    "Take the cell out before cutting or filing: swarf across a cell can start a fire.",
    "A chassis or wire that touches the metal tube can short the cell; insulate it and look again after closing.",
    "Lithium cells are charged and handled as their maker and local rules say.",
)


class Meaning(NamedTuple):
    """What a finding means at the bench where it holds, and where it fails: the words that its sentence starts with."""

    holds: str
    fails: str

    def said(self, verdict: Verdict, numbers: str) -> str:
        """The sentence: what the verdict means, and the numbers behind it.

        >>> Meaning("The cap closes", "The cap may not close").said(Verdict.LIKELY, "0.20 mm are left.")
        'The cap closes, but not at worst case: 0.20 mm are left.'
        """
        return f"{self.words(verdict)}: {numbers}"

    def words(self, verdict: Verdict) -> str:
        """What the verdict means, without numbers."""
        means = self.fails if verdict is Verdict.FAILS else self.holds
        return f"{means}{', but not at worst case' if verdict is Verdict.LIKELY else ''}"


def hand(left: bool) -> str:
    """Which hand a thread is of."""
    return "left-hand" if left else "right-hand"


def turning(left: bool, *, loosen: bool) -> str:
    """Which way a thread turns to come loose or to tighten, as seen from the part that is turned."""
    return "clockwise" if left is loosen else "anticlockwise"


class OfSpreads(str):
    """A sentence on how sizes are spread: a page that lists the sizes with their spreads need not say it again."""

    __slots__ = ()


def assumed_spreads(*quantities: Linear, also: Iterable[Dimension] = ()) -> tuple[str, ...]:
    """One sentence a spread: which dimensions are taken to lie in their zones how, and whether anybody said so."""
    dimensions = dict.fromkeys([d for quantity in quantities for d in quantity.members] + list(also))
    names: dict[str, list[str]] = {}
    for d in dimensions:
        if d.half_width:
            names.setdefault(_how(d), []).append(d.called)
    lines = [OfSpreads(f"{', '.join(dict.fromkeys(members))}: {how}.") for how, members in names.items()]
    return (*lines, "All dimensions vary independently of each other.") if lines else ()


def taken_as_exact(members: Iterable[Dimension]) -> tuple[str, ...]:
    """The sentence on what was given without a tolerance; nothing where every size that is there has one.

    A size of 0 is none: a countersink that is not there, a place to start from.
    """
    exact = [d for d in members if not d.half_width and d.nominal and d.basis is Basis.DRAWN]
    names = list(dict.fromkeys(d.called or "an unnamed size" for d in exact))
    if not names:
        return ()
    what = "it is" if len(names) == 1 else "each is"
    return (f"No tolerance was given for {listed(names)}: {what} taken as exact.",)


def _how(d: Dimension) -> str:
    """How a dimension is taken to be spread, and of a spread without end what the worst case leaves out."""
    if d.assumed:
        return "taken as uniform over the zone, as for parts of unknown process"
    if not d.spread.bounded:
        outside = float(d.spread.sf(1.0) + d.spread.cdf(-1.0))
        return (
            f"taken as {d.spread.name} about the middle of the zone; {100 * outside:.2g} % lie outside it, where the "
            "worst case does not look"
        )
    return (
        "uniform over the zone, as stated"
        if isinstance(d.spread, Uniform)
        else f"taken as {d.spread.name} over the zone"
    )


def listed(words: Sequence[str], last: str = "and") -> str:
    """Words in a row: "a", "a and b", "a, b and c"."""
    return f" {last} ".join(filter(None, [", ".join(words[:-1]), *words[-1:]]))
