"""Where a button or a screw hole of a screwed part comes to rest, and the cut or shim that puts it in its place."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from functools import cached_property

from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.judge import Asker, judge
from fitcheck.questions.words import Meaning, assumed_spreads
from fitcheck.stack import Dimension, Sum, dimension
from fitcheck.stack.dimension import combine
from fitcheck.threads import Thread
from fitcheck.threads.clocking import TURN, Clocked, least_cut
from fitcheck.units import ANGLE, Unit, unit

DEGREES = Unit("deg", ANGLE, TURN / 360)


@dataclass(frozen=True)
class Clocking:
    """A part that rests at the angle `now` and should rest at `wanted`, or at any of `places` equal steps from it."""

    thread: Thread
    now: Dimension
    wanted: float
    by: str
    cut: Dimension
    """How exactly the shoulder can be faced or the shim made: a tolerance about 0, mm."""
    places: int

    def amount(self, by: str) -> Clocked:
        """The least cut or shim that does it."""
        return least_cut(
            self.now.nominal,
            self.wanted,
            self.thread.lead,
            left_hand=self.thread.left_hand,
            by=by,
            every=TURN / self.places,
        )

    @cached_property
    def error(self) -> Sum:
        """How far off its place the part comes to rest, radians clockwise."""
        rate = TURN / self.thread.lead
        cut = dimension(
            self.cut.nominal * rate,
            plus=(self.cut.upper - self.cut.nominal) * rate,
            minus=(self.cut.nominal - self.cut.lower) * rate,
            spread=self.cut.spread,
            name=f"{self.by} cut" if self.by == "facing" else "thickness of the shim",
            unit=DEGREES,
            origin=self.cut.origin,
            basis=self.cut.basis,
        )
        now = dataclasses.replace(self.now, unit=DEGREES)
        # Too much off the shoulder lets a right-hand part go on clockwise; a shim or the other hand turns that round.
        sense = (1.0 if self.by == "facing" else -1.0) * (-1.0 if self.thread.left_hand else 1.0)
        return combine([(1.0, now), (sense, cut)], constant=-self.now.nominal)

    def words(self) -> str:
        """What to do, in one sentence."""
        show, other = unit(self.thread.unit).show, "shim" if self.by == "facing" else "facing"
        doing = {"facing": "face {} off the shoulder", "shim": "put a shim of {} under the shoulder"}
        instead = {"facing": "facing off {}", "shim": "a shim of {}"}
        places = 3 if self.thread.unit == "in" else 2
        now, best = self.amount(self.by), self.amount(other)
        if now.amount == 0:
            return "it comes to rest in its place as it is"
        return (
            f"{doing[self.by].format(show(now.amount, places))} and it comes to rest at "
            f"{DEGREES.show(now.angle, 0)} ({instead[other].format(show(best.amount, places))} does it too)"
        )

    def finding(self, asked: Asker, requirement: Requirement) -> Finding:
        """Whether it comes to rest near enough to its place."""
        error, used = self.error, unit(self.thread.unit)
        low, high = error.worst_case()
        assert requirement.at_most is not None
        slack = requirement.at_most - (self.now.upper - self.now.lower) / 2
        fine = 1 if self.thread.unit == "in" else 0
        change = (
            f"cut to ± {used.show(slack / TURN * self.thread.lead, 3 + fine)} and it holds"
            if slack > 0
            else "find where it rests more exactly: screw it home twice and mark both places"
        )
        return judge(
            asked,
            error,
            requirement,
            label="angle off its place",
            answer=f"{self.words()}, between {DEGREES.down(low, 1)} and {DEGREES.up(high, 1)} off.",
            means=Meaning("It comes to rest as it should", "It can come to rest too far off"),
            change=[change],
            assumptions=(
                *assumed_spreads(error),
                "The torque that seats the shoulder turns it a little further: the last degrees are fitted by trial.",
                "Angles are clockwise as seen by whoever screws the part in.",
            ),
            sources=("geometry of the helix",),
            cautions=("A shoulder that is faced too far cannot be put back: leave the last bit for fitting.",),
            decimals=1,
            details={
                "facing": used.show(self.amount("facing").amount, 3 + fine),
                "shim": used.show(self.amount("shim").amount, 3 + fine),
                "1 degree is": f"{used.show(self.thread.lead / 360, 4 + fine)} of facing or shim",
            },
        )
