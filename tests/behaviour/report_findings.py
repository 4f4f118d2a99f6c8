"""Findings for the tests of reports. Every number is invented; the arithmetic behind them is the library's own."""

from __future__ import annotations

import math

from fitcheck.questions.blade.findings import TubeStack
from fitcheck.questions.finding import Finding, Requirement
from fitcheck.questions.judge import Topic, judge
from fitcheck.questions.plug.findings import PlugStack
from fitcheck.questions.port.drawing import BodyStack, CrossSection
from fitcheck.stack import Interval, Response, dimension
from fitcheck.units import INCH, MM, unit

TUBE = TubeStack(
    depth=46.2,
    below=(("lens", 3.0), ("gasket", 0.8), ("slug", 14.0)),
    screws=(("screw 1", 12.0), ("screw 2", 44.0)),
    blade=25.0,
    bore=25.4,
    outside=34.0,
)


def section(
    outside: float | None, bore: float, chassis: float, width: float, reach: float, what: str, port: float | None
) -> CrossSection:
    """A cross-section with the gaps that its sizes have."""
    centred = bore / 2 - math.hypot(width / 2, reach)
    shifted = centred - max(bore - chassis, 0.0) / 2
    return CrossSection(outside, bore, chassis, width, reach, what, port, shifted, centred)


SECTION = section(36.0, 32.0, 31.5, 14.0, 13.2, "plug head", 12.0)
BODY = BodyStack((("cap floor", 118.0),), (("carrier", 92.0), ("plug", 14.0)), 32.0, 36.0, 31.5)
PLUG = PlugStack(travel=8.0, seat=9.5, room=6.0, length=14.9, window=Interval(14.8, 15.1))

CAUTIONS = ("Take the cell out before filing.", "Wear eye protection.")


def finding(
    question: str = "blade depth", *, at_least: float = 9.4, members: int = 5, name: str = "", **about: object
) -> Finding:
    """A finding on the sum of equal lengths of 2 ± 0.1 mm; `at_least` decides its verdict."""
    total = sum(
        (dimension(2.0, plus=0.1, name=f"length {i}") for i in range(2, members + 1)),
        dimension(2.0, plus=0.1, name="length 1"),
    )
    known = {
        "label": "depth of the blade",
        "answer": f"The blade sits {2 * members} mm deep.",
        "change": ("cut the slug 0.30 mm shorter",),
        "assumptions": ("All dimensions vary independently.", f"{question}: uniform."),
        "sources": ("sum of lengths",),
        "cautions": CAUTIONS,
        "details": {"play": "0.3 to 0.5 mm"},
    }
    return judge(Topic(question, name), total, Requirement(at_least=at_least), **{**known, **about})  # type: ignore[arg-type]


def sample() -> list[Finding]:
    """Twelve findings on five questions: all three verdicts, four units, three drawings, exact and sampled."""
    wall = dimension(2.0, plus=0.1, name="wall")
    torque = dimension(1.5, plus=0.5, name="torque", unit=unit("N·m"))
    load = Response(lambda t, w: 900 * t * w, {"t": torque, "w": wall}, unit=unit("N"), name="load")
    inch = dimension(25.4, plus=0.127, name="spacer", unit=INCH)
    exact = dimension(3.0, name="pin", unit=MM)
    holds, likely, fails = 9.4, 9.6, 9.9
    strength = {"sources": ("a table, from memory",), "cautions": CAUTIONS[1:]}
    return [
        finding(at_least=fails, drawing=TUBE),
        finding(at_least=holds, label="blade beyond the axis of set screw 1"),
        finding(at_least=likely, label="blade beyond the axis of set screw 2"),
        finding("port clearance", at_least=likely, label="corner gap", drawing=SECTION),
        finding("port clearance", at_least=holds, label="end gap"),
        finding("port clearance", at_least=holds, label="play"),
        finding("shortened plug", at_least=holds, label="smaller margin", drawing=PLUG),
        judge(
            Topic("set screw", "front"),
            load,
            Requirement(at_least=2000),
            label="strip load",
            answer="It strips at 2700 N.",
            **strength,
        ),
        judge(
            Topic("set screw", "rear"),
            load,
            Requirement(at_least=1000),
            label="strip load",
            answer="It strips at 2700 N.",
            **strength,
        ),
        judge(
            Topic("set screw"),
            inch,
            Requirement(at_least=25.0, at_most=25.5),
            label="spacer",
            answer="One inch.",
            **strength,
        ),
        judge(Topic("joint", "pin"), exact, Requirement(at_most=3.0), label="length", answer="Exactly 3 mm."),
        finding("joint", at_least=holds, members=9, label="engaged length", name="body"),
    ]
