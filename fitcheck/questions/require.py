"""A requirement on a quantity of one's own, in one call: `require(gap, at_least="0.2 mm")`."""

from __future__ import annotations

from typing import Any

from fitcheck.errors import InputError, brief, fraction
from fitcheck.expected import text_of
from fitcheck.keywords import keywords_named
from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.judge import Topic, judge
from fitcheck.questions.moves import Effect
from fitcheck.questions.remedy import amount, needed_shift
from fitcheck.questions.words import Meaning, assumed_spreads
from fitcheck.stack import Linear, Response
from fitcheck.units import read_beside


@keywords_named
def require(
    quantity: Linear | Response,
    *,
    at_least: Any = None,
    at_most: Any = None,
    risk: float = 1e-3,
    confidence: float = 0.99,
    what: str = "",
    name: str = "",
) -> Finding:
    """The finding on a dimension, a sum or a function of one's own: whether it meets its limits, and how surely.

    Parameters
    ----------
    quantity : a dimension, a sum (`a - b`) or a response (`fitcheck.response`)
    at_least, at_most : its limits, numbers in its inside unit (mm, N, N·m), texts with their unit ("0.2 mm") or
        quantities; one may be left out. Of a quantity in inches, in·lbf or °F they name their unit.
    risk : the accepted probability of missing them
    confidence : a probability, of the interval that is reported
    what : what the quantity is called in the answer, "gap"; its own name by default
    name : what it is about, where several findings are of one kind

    What it says is arithmetic on what the quantity answers. Raises `InputError` for no limit, for limits of another
    kind, and for what is no quantity.

    >>> import fitcheck as fc
    >>> gap = fc.dim("10.2 ± 0.1", name="room") - fc.dim("10.0 ± 0.05", name="part")
    >>> found = require(gap, at_least="0.1 mm", what="gap")
    >>> found.verdict.value, found.answer
    ('fails', 'The gap can be too small: it is 0.20 mm, between 0.05 mm and 0.35 mm.')
    >>> found.change[0]
    'make it 0.05 mm larger and it holds at worst case'
    """
    if not isinstance(quantity, Linear | Response):
        raise InputError(f"quantity = {brief(quantity)}: a dimension, a sum of dimensions or a response is needed")
    what, name = text_of("what", what), text_of("name", name)
    unit = quantity.unit
    label = what or getattr(quantity, "name", "") or "quantity"
    limits = {"at_least": at_least, "at_most": at_most}
    inside = {key: None if x is None else read_beside(x, unit.kind, key, unit) for key, x in limits.items()}
    requirement = Requirement(at_least=inside["at_least"], at_most=inside["at_most"], risk=risk)
    low, high = quantity.worst_case()
    return judge(
        Topic("requirement", name, fraction("confidence", confidence)),
        quantity,
        requirement,
        label=label,
        answer=f"it is {unit.show(quantity.nominal)}, between {unit.down(low)} and {unit.up(high)}.",
        means=_meaning(label, requirement),
        change=_changes(quantity, requirement) if isinstance(quantity, Linear) else (),
        assumptions=assumed_spreads(*quantity.members),
    )


def _meaning(label: str, requirement: Requirement) -> Meaning:
    if requirement.at_most is None:
        return Meaning(f"The {label} is large enough", f"The {label} can be too small")
    if requirement.at_least is None:
        return Meaning(f"The {label} is small enough", f"The {label} can be too large")
    return Meaning(f"The {label} stays within its limits", f"The {label} can leave its limits")


def _changes(quantity: Linear, requirement: Requirement) -> list[str]:
    """How much larger or smaller it must be, at worst case and within the risk; or that its spread is too wide."""
    shift = needed_shift(quantity, requirement)
    found: dict[str, str] = {}
    for move, effect in ((shift.at_worst_case, Effect.HOLDS), (shift.within_risk, Effect.WITHIN_RISK)):
        if move:
            by = amount(quantity.unit, abs(move)).text
            found.setdefault(by, f"make it {by} {'larger' if move > 0 else 'smaller'} and it {effect}")
    return list(found.values()) or ["tighten its members: it varies by more than its limits allow"]
