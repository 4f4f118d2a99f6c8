"""A finding: the answer to one bench question about one quantity, with everything behind it.

`judge` is the one place where a verdict is made. Every question builds a quantity (a sum or a response), states
a requirement, and lets `judge` say where the quantity can lie, how it is spread, how likely it misses the
requirement and what drives it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import TYPE_CHECKING, Any, NamedTuple, Protocol

from fitcheck.basis import Basis
from fitcheck.errors import InputError, UnitError, brief, finite
from fitcheck.later import from_above
from fitcheck.printed import Says, printed, span
from fitcheck.questions.moves import Move, ways
from fitcheck.questions.wrapping import wrapped
from fitcheck.shown import Shown, shown
from fitcheck.stack import Contribution, Dimension, Interval, Method, Probability
from fitcheck.units import Rounding, Unit, read, unit
from fitcheck.units import quantity as as_quantity

if TYPE_CHECKING:
    import pandas


class Verdict(StrEnum):
    """What a finding concludes; `meaning` says it in a sentence.

    >>> Verdict.LIKELY.value
    'likely'
    """

    HOLDS = "holds"
    LIKELY = "likely"
    FAILS = "fails"

    @property
    def meaning(self) -> str:
        """What the verdict says, in a sentence; a definition."""
        return {
            "holds": "the requirement is met at worst case, and the probability of failing is within the stated risk",
            "likely": "not met at worst case, but the probability of failing is within the stated risk",
            "fails": "the probability of failing is above the stated risk",
        }[self.value]


class Station(StrEnum):
    """Where at the bench something is done, in the order in which it is done there.

    >>> list(Station).index(Station.SAW) < list(Station).index(Station.PLUG)
    True
    """

    SAW = "at the saw"
    TUBE = "at the tube"
    JOINT = "at the joint"
    SCREW = "at the screw"
    PLUG = "at the plug"
    BENCH = "at the bench"
    """Nowhere in particular."""


@shown
class SizeUsed(NamedTuple):
    """A size, or another number that varies, behind a finding: what a page lists, and has measured.

    name, note: as in the sheet, and as on a drawing. called: what people call it. basis, origin: what it rests on.
    spread: the name of the spread within its limits; assumed: whether nobody stated it; outside: the fraction beyond
    the limits. measurable: whether a reading of the part can replace it.
    """

    name: str
    note: str
    basis: Basis
    origin: str
    spread: str
    assumed: bool
    outside: float
    measurable: bool
    called: str

    @property
    def exact(self) -> bool:
        """Whether it is taken as exact because nobody gave it a tolerance."""
        return not self.spread and self.basis is Basis.DRAWN


@shown
class Margin(NamedTuple):
    """How far a quantity stays inside its requirement, in tolerances of the result: half the width of its worst case.

    least, nominal, most: plain numbers; below 0 the requirement is not met. A quantity that does not vary has a margin
    of plus or minus infinity, or 0.
    """

    least: float
    nominal: float
    most: float


class Quantity(Protocol):
    """What a sum and a response have in common."""

    @property
    def unit(self) -> Unit: ...
    @property
    def nominal(self) -> float: ...
    @property
    def members(self) -> Sequence[Dimension]: ...
    def worst_case(self) -> Interval: ...
    def interval(self, confidence: float = ...) -> Interval: ...
    def outside(self, low: float | None, high: float | None) -> Probability: ...
    def contributions(self) -> list[Contribution]: ...


@dataclass(frozen=True, slots=True, repr=False)
class Requirement(Shown):
    """What a quantity must satisfy, in the inside unit, and the risk of missing it that is accepted, from 0 to below 1.

    Raises `InputError` where neither limit is given, where at_most lies below at_least, and for another risk.

    >>> from fitcheck.units import MM
    >>> Requirement(at_least=0.3, at_most=1.2).words(MM)
    'at least 0.30 mm and at most 1.20 mm'
    """

    at_least: float | None = None
    at_most: float | None = None
    risk: float = 1e-3
    asked_risk: float | None = None
    """The risk that was to be accepted, where the evidence cannot tell one so small and `risk` is the least it can."""

    def __post_init__(self) -> None:
        if self.at_least is None and self.at_most is None:
            raise InputError("requirement: give at_least=, at_most= or both")
        if self.at_least is not None and self.at_most is not None and self.at_least > self.at_most:
            raise InputError(
                f"at_most = {self.at_most:g} lies below at_least = {self.at_least:g}: no value can meet both"
            )
        if not 0 <= finite("risk", self.risk, one=True) < 1:
            raise InputError(f"risk = {self.risk:g}: a probability from 0 to below 1 is needed, for example 0.001")

    def met_by(self, interval: Interval) -> bool:
        """Whether every value of the interval meets it, to within the rounding of binary numbers.

        0.1 + 0.2 is not 0.3 in binary; a stack that meets its limit exactly on paper must meet it here.
        """
        low = self.at_least is None or interval.min >= self.at_least - _rounding(self.at_least)
        return low and (self.at_most is None or interval.max <= self.at_most + _rounding(self.at_most))

    def told_by(self, worst: Interval, unit: Unit, decimals: int | None) -> int | None:
        """Decimals with which the worst case, rounded outwards, says beside the limits whether it meets them.

        worst: in the inside unit. decimals: those to begin with, None for the customary ones of `unit`; up to three
        more are added, and none where that does not say it either.
        """
        first = unit.decimals if decimals is None else decimals
        pairs = ((self.at_least, worst.min, 1), (self.at_most, worst.max, -1))
        for places in range(first, first + 4):
            if all(limit is None or _tells(limit, end, sense, unit, places) for limit, end, sense in pairs):
                return decimals if places == first else places
        return decimals

    @property
    def eased(self) -> tuple[float | None, float | None]:
        """Its limits, wider by a hundredth of what `met_by` leaves to rounding, to solve for what just meets them."""
        low, high = self.at_least, self.at_most
        return (
            None if low is None else low - _rounding(low) / 100,
            None if high is None else high + _rounding(high) / 100,
        )

    def accepts(self, probability: float) -> bool:
        """Whether a probability of missing it is within the risk, to within the rounding of binary numbers.

        probability: of missing the requirement, a fraction from 0 to 1.
        """
        return probability <= self.risk * (1 + 1e-9)

    def words(self, unit: Unit, decimals: int | None = None) -> str:
        """The requirement in words, without its subject: "at least 0.30 mm".

        unit: the unit to show it in. decimals: their number; None for those customary for the unit.
        """
        parts = []
        if self.at_least is not None:
            parts.append(f"at least {printed(Says.AT_LEAST, self.at_least, unit, decimals)}")
        if self.at_most is not None:
            parts.append(f"at most {printed(Says.AT_MOST, self.at_most, unit, decimals)}")
        return " and ".join(parts)


def _tells(limit: float, end: float, sense: int, unit: Unit, places: int) -> bool:
    """Whether an end and the limit that it must not pass, both as printed, compare as they do in truth."""
    out, strict = (Rounding.DOWN, Rounding.UP) if sense > 0 else (Rounding.UP, Rounding.DOWN)
    exact = unit.exact_places(limit, places)
    shown = unit.rounded(limit, places, strict) if exact is None else unit.rounded(limit, exact)
    apart = unit.rounded(end, places, out) - shown
    return (sense * apart >= 0) is (sense * (end - limit) >= -_rounding(limit))


def _rounding(limit: float) -> float:
    return 1e-10 * max(1.0, abs(limit))


class Shape(NamedTuple):
    """How a quantity is spread: places in the inside unit, ascending, and the density at each."""

    places: tuple[float, ...]
    heights: tuple[float, ...]


class RuleOfThumb(NamedTuple):
    """What is told of such a part, beside what was found of this one: a row of words.

    rule: as it is told. says: what it asks or promises here. here: what was found of it. why: why the two differ.
    source: of the rule.
    """

    rule: str
    says: str
    here: str
    why: str
    source: str


@dataclass(frozen=True, slots=True, repr=False)
class Finding:
    """The answer to one question; lengths and other numbers are in the inside unit of `unit.kind`.

    question, name: what was asked, and about what. answer: one sentence with the numbers. quantity: what was judged, in
    words. unit: that it is shown in. requirement, verdict: what was to be met, and whether it is. nominal: mm for a
    length, the inside unit for another kind, as worst_case: its bounds, and interval: at `confidence`, a probability.
    probability: of missing the requirement. change: what would meet the requirement, each line a way of its own unless
    it is `Besides`; moves: the same as data, where it is an amount. assumptions, sources, cautions: a sentence each.
    details: words by their heading. drawing: what a figure draws; None for nothing.
    station: where at the bench it is met. do: what is done there though it holds, as words after "to". at: where on the
    drawing of the device it lies, mm from the mouth or the shoulder. sizes: what varies behind it. certain: whether no
    stated size can make it fail.

    >>> import fitcheck as fc
    >>> plug, = fc.ask("plug_length", travel="4 ± 0.2", seat="9 ± 0.2", adds=["16.5 ± 0.6"])
    >>> print(plug.verdict, f"{plug.worst_case.min:.2f} {plug.unit.text}", sep=", ")
    holds, 1.30 mm
    """

    question: str
    name: str
    answer: str
    quantity: str
    unit: Unit
    requirement: Requirement
    verdict: Verdict
    nominal: float
    worst_case: Interval
    confidence: float
    interval: Interval
    probability: Probability
    change: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    details: Mapping[str, str] = field(default_factory=dict)
    drawing: Any = None
    station: Station = Station.BENCH
    do: str = ""
    at: float | None = None
    sizes: tuple[SizeUsed, ...] = ()
    certain: bool = False
    rules: tuple[RuleOfThumb, ...] = ()
    """What handbooks and the trade say of the same, beside what was found."""
    decimals: int | None = None
    """Decimals of its numbers; None for those customary for the unit."""
    of: Quantity | None = field(default=None, compare=False)
    """The quantity judged, to ask it more; None for a finding made by hand. No report needs it."""
    moves: tuple[Move, ...] = field(default=(), compare=False)
    """What carries out the lines of `change` that name an amount; each can be made of the question and asked again."""
    handover: Any = None
    """What the handover card says of it; None for nothing."""
    shaped: Callable[[], Shape | None] | None = field(default=None, compare=False, repr=False)
    """What finds `shape`, kept as a call that can be copied: many findings are read and never drawn."""
    driven: Callable[[], Sequence[Contribution]] | None = field(default=None, compare=False, repr=False)
    """What finds `drivers`, for the same reason; None where nothing varies."""
    means: str = ""
    """What the verdict means at the bench, in words without numbers; "" where the answer says it another way."""
    worn: str = ""
    """The measured threads behind it that lie outside their class, in words: "the hole minor diameter is worn: ..."."""
    _drivers: tuple[Contribution, ...] | None = field(default=None, init=False, compare=False, repr=False)

    @property
    def shape(self) -> Shape | None:
        """How the quantity is spread, for figures, found anew each time; None where it holds, or nothing varies."""
        return None if self.shaped is None else self.shaped()

    @property
    def drivers(self) -> tuple[Contribution, ...]:
        """The members by their share of the variance, found when first asked: the longest reckoning of a finding."""
        if self._drivers is None:
            object.__setattr__(self, "_drivers", () if self.driven is None else tuple(self.driven()))
        assert self._drivers is not None
        return self._drivers

    def plot(self, ax: Any = None) -> Any:
        """The finding drawn to scale, or where its quantity can lie, as matplotlib axes: `finding.plot().figure`.

        ax: axes to draw on; some of its own without.
        """
        return from_above["plot"](self, ax)

    def frame(self) -> pandas.DataFrame:
        """The finding as a pandas DataFrame of one row: see `fitcheck.report.table.frame`."""
        return from_above["frame"]([self])

    def _repr_html_(self) -> str:
        return str(from_above["cell"](self))

    def show(self, inside: float) -> str:
        """A value of the quantity as text, to the nearest, in the unit and with the decimals of this finding.

        An end of the worst case is rounded outwards instead: `span` and `at_worst` do.

        inside: the value in the inside unit (mm for a length), or a text with its unit. Raises `UnitError` for what is
        none.
        """
        return printed(Says.SIZE, read(inside, self.unit.kind, "inside", bare=True), self.unit, self.decimals)

    def as_quantity(self, inside: float | None = None, *, registry: Any = None) -> Any:
        """A value of what was judged as a pint quantity, in the unit it is shown in.

        inside: the value in mm, or in the inside unit of its kind; the nominal one if not given. registry: the
        caller's own pint registry; that of the application if it is not given. Raises `UnitError` for what is none.
        """
        return as_quantity(self.nominal if inside is None else inside, self.unit, registry)

    def in_unit(self, text: str) -> Finding:
        """The same finding with its numbers shown in the unit `text`, such as "in", to about the same resolution.

        Inside nothing changes. What was said in words (answer, change, details) keeps the unit it names: its numbers
        are rounded already, some of them to the safe side, and rounding them again could turn a limit to the unsafe
        one. For sentences in another unit, ask with notes in that unit. Raises `UnitError` for a unit of another kind.
        """
        used, kind = unit(text), self.unit.kind
        if used.kind is not kind:
            raise UnitError(
                f"unit = {brief(text)} is {used.kind.with_article}: "
                f"{kind.with_article} is needed, for example {kind.example}"
            )
        shown = self.unit.decimals if self.decimals is None else self.decimals
        # 0.01 mm is shown as 0.001 in: as many decimals more as the unit is times ten larger.
        places = max(0, round(shown + math.log10(used.scale / self.unit.scale)))
        return replace(
            self,
            unit=used,
            decimals=self.requirement.told_by(self.worst_case, used, places),
            worst_case=self.worst_case.with_unit(used),
            interval=self.interval.with_unit(used),
        )

    @property
    def title(self) -> str:
        """Question, name and quantity: what this finding is about."""
        return f"{self.question}{f' ({self.name})' if self.name else ''}: {self.quantity}"

    @property
    def requirement_words(self) -> str:
        """The requirement with its subject: "depth at least 0.30 mm"."""
        return f"{self.quantity} {self.requirement.words(self.unit, self.decimals)}"

    @property
    def risk_value(self) -> str:
        """The probability of missing the requirement, in the two digits that a person can use."""
        p = self.probability
        if self.certain and not p > 0 and p.method is not Method.EVIDENCE:
            return "none within the stated sizes"
        return p.said

    @property
    def risk_words(self) -> str:
        """The probability of missing the requirement, beside the one that is accepted."""
        return f"{self.risk_value}; accepted {self._accepted}"

    @property
    def how_found(self) -> str:
        """How the risk was found, in words for the bench; `probability.words` are those for a statistician."""
        tried = f"{self.probability.evaluations:,} cases drawn at random"
        return {
            Method.EXACT: "reckoned exactly",
            Method.NO_VARIATION: "none, for nothing varies",
            Method.WORST_CASE: "searched for at worst case",
            Method.SAMPLING: f"counted in {tried}",
            Method.AVERAGE: f"averaged over {tried}",
            Method.IMPORTANCE: f"counted in {tried}, most where it fails first",
            Method.FIRST_ORDER: "estimated from the likeliest way to fail",
            Method.EVIDENCE: "as small as the tests can tell",
        }[self.probability.method]

    @property
    def _accepted(self) -> str:
        """The accepted risk, and the smaller one that was asked for, where the evidence cannot tell one so small."""
        accepted, asked = self.requirement.risk, self.requirement.asked_risk
        said = f"{accepted:.2g}"
        return said if asked is None else f"{said} ({asked:.2g} asked for; the tests can tell no less)"

    @property
    def worst(self) -> float:
        """The end of the worst case that lies nearest to a limit, or furthest beyond it, in the inside unit."""
        return self.worst_case.min if self._worst_is_least else self.worst_case.max

    @property
    def at_worst(self) -> str:
        """`worst` as text, rounded away from what is required."""
        says = Says.LEAST_FOUND if self._worst_is_least else Says.MOST_FOUND
        return printed(says, self.worst, self.unit, self.decimals)

    @property
    def _worst_is_least(self) -> bool:
        low, high = self.worst_case
        limits = self.requirement
        if limits.at_least is None or limits.at_most is None:
            return limits.at_least is not None
        return low - limits.at_least <= limits.at_most - high

    @property
    def margin(self) -> Margin:
        """How far it stays inside its requirement, in tolerances of the result."""
        low, high = self.worst_case
        half, limits = (high - low) / 2, self.requirement
        at_least = -math.inf if limits.at_least is None else limits.at_least
        at_most = math.inf if limits.at_most is None else limits.at_most

        def inside(value: float) -> float:
            room = min(value - at_least, at_most - value)
            return room / half if half > 0 else math.copysign(math.inf, room) if room else 0.0

        # Furthest inside two limits lies what is nearest to the middle between them.
        best = min(max((at_least + at_most) / 2, low), high) if math.isfinite(at_least + at_most) else None
        ends = inside(low), inside(high)
        return Margin(min(ends), inside(self.nominal), max(ends) if best is None else inside(best))

    def span(self, interval: Interval) -> str:
        """A range of the quantity as text, its unit said once: "45.65 to 46.75 mm"; its ends are rounded outwards.

        interval: its ends in the inside unit: mm for a length.
        """
        return span(interval.min, interval.max, self.unit, self.decimals)

    def text(self, width: int = 80, *, full: bool = False, mark: str = "") -> str:
        """The finding for a terminal `width` characters wide: what it is about, the answer, what was found, what to do.

        full: with how the risk was found, details, assumptions and sources. mark: the verdict as it is to be shown, for
        one in colour; its own word otherwise.

        >>> import fitcheck as fc
        >>> found = fc.ask("plug_length", travel="4 ± 0.2", seat="9 ± 0.2", adds=["16 ± 0.2"])
        >>> print(found[0].text(width=70).splitlines()[0])
        HOLDS  shortened plug: the smaller margin, to the contact or to the
        """
        room = max(width, 30) - _INDENT
        first, *rest = [line for said in self._said(full) for line in wrapped(said, room)]
        head = mark or self.verdict.upper()
        return "\n".join([f"{head}{' ' * (_INDENT - len(self.verdict))}{first}", *(" " * _INDENT + s for s in rest)])

    def _said(self, full: bool) -> list[str]:
        """What `text` says, a paragraph each."""
        leading = [f"{d.called} {d.variance_share:.0%}" for d in self.drivers[:3] if d.variance_share >= 0.005]
        return [
            self.title,
            self.answer,
            f"required: {self.requirement.words(self.unit, self.decimals)}; "
            f"worst case {self.span(self.worst_case)}, nominal {self.show(self.nominal)}",
            f"risk {self.risk_value}, accepted {self._accepted}",
            f"driven by: {', '.join(leading) or 'nothing varies'}",
            *_changes(self.change, "change" if self.verdict is Verdict.FAILS else SURER),
            *(self._rest() if full else ()),
        ]

    def _rest(self) -> list[str]:
        """How it was found, details, assumptions and sources."""
        return [
            f"{100 * self.confidence:.10g} % interval {self.span(self.interval)}; risk {self.how_found}",
            *(f"{label}: {words}" for label, words in self.details.items()),
            *(f"assumed: {sentence}" for sentence in dict.fromkeys(self.assumptions)),
            *(f"source: {sentence}" for sentence in self.sources),
        ]

    def __str__(self) -> str:
        return self.text()

    def __repr__(self) -> str:
        """What the REPL shows: the same as `print` and the command say, in lines of at most 80 columns."""
        return self.text()


SURER = "accepted as it is; surer"
"""What stands before the changes of a finding within its risk, which asks for none."""


def _changes(lines: Sequence[str], head: str) -> list[str]:
    """What would meet the requirement, a paragraph each; of several ways it is said that one is enough."""
    said = {"either": f"{head}: either ", "or": "or ", "": f"{head}: "}
    return [f"{said[word]}{line}" for word, line in ways(lines)]


_INDENT = 7
"""Where the text of a finding starts, after its verdict."""
