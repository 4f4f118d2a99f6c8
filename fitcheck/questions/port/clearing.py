"""What clears a body from the wall: which of its sizes to make smaller, and by how much."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from fitcheck.later import optimize
from fitcheck.questions.finding import Requirement
from fitcheck.questions.moves import Besides, Change, Edit, Effect
from fitcheck.questions.port.bodies import Body, Section
from fitcheck.questions.remedy import enough, holds
from fitcheck.stack import Response
from fitcheck.stack.synthesis import moved

_STEPS = 8
"""Steps in which a size is tried from what it is down to nothing, before the step that is enough is divided."""


@dataclass(frozen=True, slots=True)
class Clearing:
    """A size of a body that is made smaller by `by` (mm), and the body after it."""

    body: Body
    key: str
    by: float
    after: Body

    def words(self, by: str) -> str:
        """What to do; `by` is how much, as text."""
        name = self.body.name
        return {
            "reach": f"bring the outer face of the {name} {by} nearer to the axis",
            "width": f"make the {name} {by} narrower",
            "offset": f"bring the {name} {by} nearer to the axis",
            "diameter": f"make the {name} {by} smaller in diameter",
        }[self.key]


def clearing(section: Section, body: Body, requirement: Requirement) -> Clearing | None:
    """The change of one size of `body` after which its gap meets `requirement`, as it is printed.

    Of a block its face is brought nearer before it is made narrower, a round body is brought nearer before it is made
    smaller. None where no size alone does it.
    """
    for key in ("offset", "diameter") if body.is_round else ("reach", "width"):
        size = body.sizes.get(key)
        if size is None:
            continue
        most = size.lower if key in ("width", "diameter") else abs(size.nominal)
        sign = -1.0 if size.nominal > 0 else 1.0
        unit = section.bore.unit

        def smaller(by: float, key: str = key, sign: float = sign) -> Body:
            old = body.sizes[key]
            return replace(body, sizes={**body.sizes, key: moved(old, old.nominal + sign * by)})

        def gap(by: float, key: str = key, sign: float = sign) -> Response:
            changed = smaller(by, key, sign)
            return replace(section, bodies=(changed,)).gap_of(changed)

        def over(by: float, key: str = key, sign: float = sign) -> float:
            return gap(by, key, sign).worst_case().min - (requirement.at_least or 0.0)

        # No size may reach 0: the last step leaves a hundredth of it.
        tried = [0.0, *(0.99 * most * np.arange(1, _STEPS + 1) / _STEPS).tolist()]
        found = next((i for i, by in enumerate(tried) if over(by) >= 0), None)
        if found is None:
            continue
        first = float(optimize.brentq(over, tried[found - 1], tried[found], xtol=1e-7)) if found else 0.0
        by = enough(lambda x, gap=gap: [gap(x)], requirement, first, unit, 0.99 * most)  # type: ignore[misc]
        if by is not None:
            return Clearing(body, key, by, smaller(by))
    return None


def cleared(section: Section, requirement: Requirement, keys: Mapping[Body, str]) -> list[str | Change]:
    """What to do with every body that comes too near to the wall; that it holds is said of all of it together.

    keys: what comes before the name of a size in the input that a body is, "bodies[1]."; nothing if it has no key.
    """
    near = [body for body in section.bodies if not holds(section.gap_of(body), requirement)]
    found = {body: clearing(section, body, requirement) for body in near}
    done = [one for one in found.values() if one is not None]
    lines = [one.words(section.bore.unit.up(one.by)) for one in done]
    stuck = [Besides(f"no size of the {body.name} alone is enough") for body, one in found.items() if one is None]
    changed = {one.body: one.after for one in done}
    after = replace(section, bodies=tuple(changed.get(body, body) for body in section.bodies))
    if not stuck and lines and holds(after.gap, requirement):
        both = "; all of it together" if len(lines) > 1 else ""
        edits = [Edit(f"{keys.get(one.body, '')}{one.key}", one.after.sizes[one.key]) for one in done]
        do = f"{', '.join(lines)}{both}"
        return [Change.of(f"{do} and it holds", Effect.HOLDS, edits, do=do)]
    together = [f"{', '.join(lines)}{', all of it together' if len(lines) > 1 else ''}"] if lines else []
    return [*together, *stuck]
