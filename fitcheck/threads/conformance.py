"""Is a measured thread inside its limits? The decision rule of ISO 14253-1, and sizes of a worn thread."""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.special import ndtr

from fitcheck import units
from fitcheck.errors import InputError, finite, one_of, positive
from fitcheck.stack import Dimension
from fitcheck.threads import resolve
from fitcheck.threads.definition import Thread
from fitcheck.threads.limits import DIAMETERS, Size, SizedThread
from fitcheck.threads.shown import length


@dataclass(frozen=True, slots=True)
class Decision:
    """What a measurement proves.

    verdict: "inside", "outside" or "cannot be decided". probability_inside: that the true size lies within the
    limits, for a normal error of standard uncertainty U / k. needed: the largest expanded uncertainty with which
    this same reading would have decided it; 0 if the reading lies on a limit.
    """

    verdict: str
    measured: float
    U: float
    lower: float | None
    upper: float | None
    probability_inside: float
    needed: float
    unit: str = "mm"

    @property
    def risk(self) -> float:
        """Probability of being wrong if the part is taken for what the reading says, in or out."""
        within = (self.lower is None or self.measured >= self.lower) and (
            self.upper is None or self.measured <= self.upper
        )
        return 1 - self.probability_inside if within else self.probability_inside

    def __str__(self) -> str:
        def show(value: float | None) -> str:
            return "open" if value is None else f"{length(value, self.unit)} {self.unit}"

        head = f"{show(self.measured)} with U = {show(self.U)} against {show(self.lower)} to {show(self.upper)}"
        head += f": {self.verdict}"
        if self.verdict == "cannot be decided":
            head += f" with this instrument (U of at most {show(self.needed)} is needed)"
        return f"{head}; the risk in going by the reading is {self.risk:.2%}."


def decide(
    measured: float, U: float, lower: float | None, upper: float | None, *, k: float = 2.0, unit: str = "mm"
) -> Decision:
    """Decide by ISO 14253-1 whether a size conforms, all in mm.

    measured: the reading. U: its expanded uncertainty, coverage factor k. lower, upper: the limits, None for
    an open side. unit: "mm" or "in", for display. Conformance is proved if reading ± U lies within the limits,
    and non-conformance if reading ± U lies wholly beyond one of them; between, the measurement decides nothing.
    The guard band is the whole U (ISO 14253-1:1998 and 2013; the 2017 edition lets 1.65 U / k do for a one-sided
    limit, so this is the strict rule).
    """
    y, U, k = finite("measured", measured, "mm"), positive("U", U, "mm"), positive("k", k)
    if lower is None and upper is None:
        raise InputError("decide: at least one limit is needed")
    low = -math.inf if lower is None else finite("lower", lower, "mm")
    high = math.inf if upper is None else finite("upper", upper, "mm")
    if low > high:
        raise InputError(f"lower = {low}: must not exceed upper = {high}")
    if low + U <= y <= high - U:
        verdict = "inside"
    elif y < low - U or y > high + U:
        verdict = "outside"
    else:
        verdict = "cannot be decided"
    u = U / k
    # The smaller of both tails is exact, the difference of two numbers near 1 is not.
    probability = max(0.0, 1 - float(ndtr((low - y) / u) + ndtr((y - high) / u)))
    return Decision(
        verdict, float(y), float(U), lower, upper, probability, float(min(abs(y - low), abs(high - y))), unit
    )


def check(thread: Thread | str, which: str, measured: str | float, U: str | float, *, k: float = 2.0) -> Decision:
    """Decide on the major, pitch or minor diameter of a thread against its standard limits.

    measured, U: mm, or texts with their unit ("0.2458 in"). The pitch diameter decides on the functional size
    only if it was measured as such (gauge, or `functional_diameter`).
    """
    thread = resolve.thread(thread)
    size: Size = getattr(thread.limits(), one_of("diameter", which, DIAMETERS))
    if size.min is None and size.max is None:
        raise InputError(f"{thread}: {thread.standard} sets no limit to the {which} diameter")
    y = units.read(measured, units.LENGTH, f"{which} diameter")
    return decide(y, units.read(U, units.LENGTH, "U"), size.min, size.max, k=k, unit=thread.unit)


def worn(thread: Thread | str, **measured: Dimension) -> SizedThread:
    """A measured, worn thread: the sizes given replace the standard limits, and the others stay.

    measured: `major`, `pitch`, `minor` as dimensions, for example `major=dim("5.71 measured ± 0.02")`; both ends
    of the interval are kept. The result makes a pair like any thread, and its sizes go to the shear areas of
    `fitcheck.strength`, so that both play and strength that remain can be asked for.
    """
    thread = resolve.thread(thread)
    limits = thread.limits()
    sizes = {which: getattr(limits, which) for which in DIAMETERS}
    for which, found in measured.items():
        one_of("diameter", which, DIAMETERS)
        if not isinstance(found, Dimension):
            raise InputError(f"{which} = {found!r}: a dimension is needed, for example dim('5.71 measured ± 0.02')")
        sizes[which] = Size(found.upper, found.lower)
    return SizedThread(thread, **sizes, note="as measured")
