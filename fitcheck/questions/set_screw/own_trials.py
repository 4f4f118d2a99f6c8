"""What own trials say of a set screw, and what more of them would: the words, and what they would have to show."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from fitcheck.errors import InputError
from fitcheck.expected import items_of
from fitcheck.questions.set_screw.strength import SetScrew
from fitcheck.questions.set_screw.torque_limits import down
from fitcheck.shown import Shown
from fitcheck.stack import Interval
from fitcheck.stack.trials import Bench, Piece
from fitcheck.units import Rounding

_MORE = 3
"""Screws that are soon stripped in scrap."""
_LIKELY = 0.95
"""A trial that strips later than nineteen of twenty would is not to be hoped for."""


class MoreTrials(NamedTuple):
    """What more trials would change. Torques in N·m."""

    trials: int
    safe: float
    """Torque that would be safe, should they strip where this bench is expected to."""
    needed: float | None
    """What all of them must reach, so that the hand torque is safe; None where that is not to be hoped for."""
    factor_now: float
    """Nine of ten holes strip within that factor of the median, either way."""
    factor_then: float


def worth_of(q: SetScrew, trials: int = _MORE) -> MoreTrials:
    """What so many more screws, stripped in scrap of the same stock, would change. trials: a number from 1 up."""
    here = q.here(1.0)
    risk = q.claimed_risk / q.screws

    def safe(bench: Bench) -> float:
        return math.exp(bench.quantile(risk, here.spread) - here.off)

    def after(off: float) -> Bench:
        return q.bench.after([Piece(off, here.spread)] * trials)

    def enough(off: float) -> bool:
        """Whether the hand torque is safe when they strip there: no more than the risk lies below it."""
        return after(off).below(wanted, here.spread) <= risk

    now, then = q.bench, after(q.bench.level)
    wanted = math.log(q.put_on.upper) + here.off
    best = now.quantile(_LIKELY, here.spread)
    needed = None
    if enough(best):
        low, high = now.level - 3.0, best
        for _ in range(9):
            middle = (low + high) / 2
            low, high = (low, middle) if enough(middle) else (middle, high)
        needed = math.exp(high - here.off)
    return MoreTrials(trials, safe(then), needed, _factor(now, here.spread), _factor(then, here.spread))


def _factor(bench: Bench, spread: float) -> float:
    return math.exp((bench.quantile(0.95, spread) - bench.quantile(0.05, spread)) / 2)


def trial_words(q: SetScrew, *, strips: bool, worth: MoreTrials | None = None) -> dict[str, str]:
    """What was tried, and what more trials would show; strips: whether the hand torque is not safe as it stands."""
    said = {}
    used, show = q.hand_torque.unit, q.hand_torque.unit.show
    if q.trials:
        bench = q.bench
        n = len(q.trials)
        screws = "1 screw stripped scrap" if n == 1 else f"{n} screws stripped scrap"
        at = show(q.trials[0]) if n == 1 else f"{show(min(q.trials))} to {show(max(q.trials))}"
        said["own trials"] = (
            f"{screws} at {at}: this bench holds {math.exp(bench.level):.2f} times what published tests have for it, "
            f"known to {bench.level_error:.0%}; single holes scatter by {bench.piece_scatter:.0%}"
        )
    if q.survived:
        many = "1 screw" if len(q.survived) == 1 else f"{len(q.survived)} screws"
        said["survived"] = f"{many} in scrap held {show(min(q.survived))} or more"
    if q.proved is not None:
        said["proved"] = (
            f"every hole has been turned to {show(q.proved)} and held: turning it again to no more costs only its wear"
        )
    if not q.strip_torque.nominal > 0:
        return said
    worth = worth or worth_of(q)
    words = (
        f"{worth.trials} more screws stripped in scrap of this stock would narrow where nine of ten holes strip from a "
        f"factor of {worth.factor_now:.2f} either way to {worth.factor_then:.2f}, and make about "
        f"{down(used, worth.safe)} safe if they strip where that is expected"
    )
    if strips and worth.needed is not None:
        words += f"; should all of them bear {used.show(_up(q, worth.needed))}, the hand torque would be safe"
    elif strips:
        words += "; none that is to be hoped for would make the hand torque safe"
    said["more trials"] = words
    return said


def _up(q: SetScrew, torque: float) -> float:
    used = q.hand_torque.unit
    return float(used.to_base(used.rounded(torque, used.decimals, Rounding.UP)))


TRY_SOME = "strip three such screws in scrap of the same stock and give what they took as trials"
"""What to do where published tests alone do not let the hand torque be."""


def worth_trying(q: SetScrew) -> bool:
    """Whether screws stripped in scrap are offered: none was yet, and what they may show makes the hand torque safe."""
    return not q.tried and q.strip_torque.nominal > 0 and worth_of(q).needed is not None


@dataclass(frozen=True, repr=False)
class StripTrials(Shown):
    """What own trials say. Torques in N·m; `str` says it in words.

    asked: the set-screw question with the trials in it. published, own: between which two torques nine of ten holes
    strip, by published tests alone and with the trials. safe_before, safe: the torque that is safe at the risk,
    likewise. level: this bench over what published tests have for it, a ratio; level_error: standard deviation of its
    logarithm. scatter: of single holes, a standard deviation of logarithms. worth: what more trials would change.
    """

    asked: SetScrew
    published: Interval
    own: Interval
    safe_before: float
    safe: float
    level: float
    level_error: float
    scatter: float
    worth: MoreTrials

    def __repr__(self) -> str:
        used, show = self.asked.hand_torque.unit, self.asked.hand_torque.unit.show
        words = trial_words(self.asked, strips=self.safe < self.asked.put_on.upper, worth=self.worth)
        return "\n".join(
            [
                f"by published tests nine of ten strip at {show(self.published.min)} to {show(self.published.max)}; "
                f"{down(used, self.safe_before)} is safe at a risk of {self.asked.claimed_risk:g}",
                f"with own trials at {show(self.own.min)} to {show(self.own.max)}; {down(used, self.safe)} is safe",
                *words.values(),
            ]
        )


def strip_trials(trials: Sequence[Any] = (), *, survived: Sequence[Any] = (), **inputs: Any) -> StripTrials:
    """What a few screws, stripped in scrap or turned and held, say of a set screw, beside what published tests say.

    trials: torques that stripped screws, such as ["1.1 N·m", "0.95 N·m"]. survived: torques that were held. inputs:
    those of the question `set_screw`; pull may be left out. Raises `InputError` as the question does, and where there
    are no trials at all. The statistics are those of `fitcheck.stack.trials` [1]_.

    References
    ----------
    .. [1] Gelman, A. et al.: Bayesian Data Analysis, 3rd ed. (2013), section 3.2.

    >>> import fitcheck as fc
    >>> screw = dict(hole="M4x0.7-6H", screw="M4x0.7-6g", outside="30 ± 0.1", bore="25.4 ± 0.05", blade="25.0 ± 0.1",
    ...     wall_material="6061-T6", screw_material="45H", friction_thread="0.15 ± 0.05", friction_point="0.3 ± 0.1",
    ...     friction_bore="0.3 ± 0.1", hand_torque="0.4 ± 0.1 N·m")
    >>> found = fc.strip_trials(["1.1 N·m", "0.95 N·m", "1.2 N·m"], **screw)
    >>> found.safe > 1.5 * found.safe_before
    True
    """
    torques = "a list of torques such as ['1.1 N·m']"
    trials, survived = items_of("trials", trials, torques), items_of("survived", survived, torques)
    if not trials and not survived and inputs.get("proved") is None:
        raise InputError("trials = []: at least one torque such as '1.1 N·m', or one that was survived, is needed")
    if "pull" not in inputs and "mass" not in inputs:
        inputs = {**inputs, "pull": 0.0}
    given = {key: value for key, value in (("trials", trials), ("survived", survived)) if value}
    asked = SetScrew.read({**inputs, **given})
    alone = dataclasses.replace(asked, trials=None, survived=None, proved=None)
    return StripTrials(
        asked,
        alone.strip_torque.interval(0.9),
        asked.strip_torque.interval(0.9),
        alone.safe_torque,
        asked.safe_torque,
        math.exp(asked.bench.level),
        asked.bench.level_error,
        asked.bench.piece_scatter,
        worth_of(asked),
    )
