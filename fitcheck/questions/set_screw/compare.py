"""The same wall with other threads: `compare_pitches` puts set screws of several pitches side by side.

A fine pitch has more threads in the wall, and the incomplete ends take less of it. But its thread is lower while its
tolerances are nearly those of a coarse pitch, so they eat more of the overlap; and its smaller lead makes more axial
load of the same torque. Which of the three wins depends on the wall.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields
from typing import Any, overload

import numpy as np

from fitcheck.errors import DesignationError, InputError, brief, in_short
from fitcheck.mechanics import effective_engagement, overlap, short_model
from fitcheck.questions.set_screw.paired import Rivals, rivals
from fitcheck.questions.set_screw.strength import SetScrew
from fitcheck.questions.set_screw.torque_limits import passes, turns_off
from fitcheck.questions.words import listed
from fitcheck.shown import Shown
from fitcheck.stack import Dimension, Probability
from fitcheck.threads import Thread, pair, thread
from fitcheck.threads.profile import thread_height


@dataclass(frozen=True, slots=True, repr=False)
class PitchRow(Shown):
    """One thread in the wall. Lengths in mm, loads in N, torques in N·m; nominal unless it says otherwise.

    screw, hole: the designations. pitch: in mm. threads: that engage, a number; threads_worst: at worst case.
    overlap: radial, of the crests as made; overlap_eaten: the part of the basic overlap (5/8 H) that the tolerances
    take at mid-zone, overlap_eaten_worst: at the limits. effective_threads: full threads that would hold the same by
    the textbook; load_per_thread: that strips one of them; load: that strips all; arm: torque for a newton of load, mm.
    The strip torque is effective_threads * load_per_thread * arm / 1000; strip_torque: that value, nominal, N·m;
    strip_low, strip_high: ends of its interval at the stated confidence. textbook_torque: the same by
    `textbook_loads`. safe_torque: at the stated risk. risk: probability that the hand torque strips it. weaker: which
    thread strips first, "hole" or "screw". turns_off: from standing on the blade to flush with the bore; threads_left:
    threads that hold it then. play: on the pitch diameter, mm, middle of the zones. tool_torque: what key or socket
    pass, N·m; None where it is not known. sold: whether a standard set screw has that diameter and pitch.
    """

    screw: str
    hole: str
    pitch: float
    threads: float
    threads_worst: float
    overlap: float
    overlap_eaten: float
    overlap_eaten_worst: float
    effective_threads: float
    load_per_thread: float
    load: float
    arm: float
    strip_torque: float
    strip_low: float
    strip_high: float
    textbook_torque: float
    safe_torque: float
    risk: Probability
    weaker: str
    turns_off: float
    threads_left: float
    play: float
    tool_torque: float | None
    sold: bool

    @property
    def risk_error(self) -> float:
        """Standard error of `risk`; 0 where it is exact."""
        return self.risk.standard_error


@dataclass(frozen=True, repr=False)
class PitchTable(Sequence[PitchRow], Shown):
    """Rows of `compare_pitches` in the order asked; `frame` makes a pandas table of them.

    rows: one a thread. hand: the torque of the hand, N·m inside. risk: the accepted probability that it strips.
    confidence: a probability, that of the interval strip_low to strip_high. asked: the questions behind the rows.
    """

    rows: tuple[PitchRow, ...]
    hand: Dimension
    risk: float
    confidence: float
    asked: tuple[SetScrew, ...] = field(default=(), compare=False)

    @overload
    def __getitem__(self, index: int) -> PitchRow: ...
    @overload
    def __getitem__(self, index: slice) -> tuple[PitchRow, ...]: ...
    def __getitem__(self, index: int | slice) -> PitchRow | tuple[PitchRow, ...]:
        return self.rows[index]

    def __len__(self) -> int:
        return len(self.rows)

    def __iter__(self) -> Iterator[PitchRow]:
        return iter(self.rows)

    @property
    def least_risk(self) -> float:
        """The smallest probability that the tests behind the rows can tell."""
        return min((q.least_risk for q in self.asked), default=short_model().least_risk)

    @property
    def best(self) -> PitchRow:
        """The row with the highest safe torque."""
        return max(self.rows, key=lambda row: row.safe_torque)

    def frame(self) -> Any:
        """The rows as a pandas DataFrame, one a thread, with the standard error of the risk beside it."""
        import pandas as pd

        return pd.DataFrame(
            [
                {
                    **{f.name: getattr(row, f.name) for f in fields(row)},
                    "risk": float(row.risk),
                    "risk_error": row.risk_error,
                }
                for row in self.rows
            ]
        )

    def why(self) -> str:
        """Why the best thread beats the worst, factor by factor: their product is the ratio of the strip torques."""
        best, worst = self.best, min(self.rows, key=lambda row: row.safe_torque)
        if not best.safe_torque > 0:
            threads = listed([row.screw for row in self.rows], "or")
            return f"No hand torque is safe on {threads} in this wall, at a risk of {self.risk:g} that it strips."
        if best is worst or not worst.strip_torque > 0:
            return f"{best.screw} bears most: {self._torque(best.safe_torque)} is safe."
        threads = f"{best.threads:.1f} threads against {worst.threads:.1f}"
        eaten = f"{best.overlap_eaten:.0%} of the overlap eaten by tolerance against {worst.overlap_eaten:.0%}"
        return (
            f"{self.against(best, worst)}. By the model its strip load is {best.load / worst.load:.2f} times as "
            f"high ({threads}, {eaten}), and the same load takes {best.arm / worst.arm:.2f} times the torque. What "
            f"decides besides: backed off, {best.screw} is held by {best.threads_left:.1f} threads after "
            f"{best.turns_off:.1f} turns, {worst.screw} by {worst.threads_left:.1f} after {worst.turns_off:.1f}; a "
            "worn hole can be cut for a larger thread, and for a finer one of the same size only where it is not worn."
        )

    def against(self, first: PitchRow, second: PitchRow) -> Rivals:
        """Two of the rows compared in the same wall, with what they share cancelled; see `Rivals`.

        Raises `InputError` for rows of another table.
        """
        for row in (first, second):
            if row not in self.rows:
                raise InputError(f"{row.screw}: a row of this table is needed")
        return rivals(*(self.asked[self.rows.index(row)] for row in (first, second)))

    def _torque(self, inside: float) -> str:
        return self.hand.unit.show(inside)

    def __repr__(self) -> str:
        return str(self)

    def __str__(self) -> str:
        unit = self.hand.unit
        head = ("screw", "threads", "worst", "overlap mm", "eaten", f"strips {unit.text}", "textbook", "safe", "risk")
        lines = [
            (
                row.screw,
                f"{row.threads:.2f}",
                f"{row.threads_worst:.2f}",
                f"{row.overlap:.3f}",
                f"{row.overlap_eaten:.0%}",
                *(f"{unit.from_base(t):.2f}" for t in (row.strip_torque, row.textbook_torque, row.safe_torque)),
                f"below {self.least_risk:g}" if row.risk < self.least_risk else f"{row.risk:.2g}",
            )
            for row in self.rows
        ]
        widths = [max(len(line[i]) for line in (head, *lines)) for i in range(len(head))]
        table = [
            "  ".join([line[0].ljust(widths[0]), *(c.rjust(w) for c, w in zip(line[1:], widths[1:], strict=True))])
            for line in (head, *lines)
        ]
        return "\n".join([*table, f"risk: that {self.hand} strips it; safe: at a risk of {self.risk:g}", self.why()])


def compare_pitches(threads: Sequence[str | tuple[str, str]], /, **inputs: Any) -> PitchTable:
    """Several threads in the same wall, each as a set-screw question asked with the same `inputs`.

    threads: designations such as "M4x0.7", "#8-36" (class 6g in 6H, 2A in 2B), of a pair such as "M4x0.7-5H/6g", or
    (screw, hole). inputs: those of the question `set_screw` other than screw and hole; pull may be left out, and
    `trials` are torques by the thread: {"M4x0.5": ["1.1 N·m"]}. Raises
    `InputError` that names the thread which cannot be used, and why.

    >>> import fitcheck as fc
    >>> screw = dict(outside="30 ± 0.1", bore="25.4 ± 0.05", blade="25 ± 0.1", wall_material="6061-T6",
    ...     screw_material="45H", friction_thread="0.15 ± 0.05", friction_point="0.3 ± 0.1", friction_bore="0.3 ± 0.1",
    ...     hand_torque="0.4 ± 0.1 N·m")
    >>> coarse, fine = fc.compare_pitches(["M4x0.7", "M4x0.5"], **screw)
    >>> round(coarse.threads, 1), round(fine.threads, 1)
    (1.7, 3.0)
    """
    if not isinstance(threads, (list, tuple)) or not threads:
        raise InputError(f"threads = {brief(threads)}: a list of designations such as ['M4x0.7', 'M4x0.5'] is needed")
    for name in ("screw", "hole"):
        if name in inputs:
            raise InputError(f"{name}: is taken from the list of threads; leave it out")
    if "pull" not in inputs and "mass" not in inputs:
        inputs = {**inputs, "pull": 0.0}
    tried = inputs.pop("trials", None) or {}
    if not isinstance(tried, Mapping):
        raise InputError(
            f"trials = {brief(tried)}: torques by the thread they were made with, such as "
            "{'M4x0.7': ['1.1 N·m', '0.9 N·m']}, are needed"
        )
    for name in tried:
        if name not in threads:
            raise InputError(f"trials: {brief(name)} is none of the threads {brief(list(threads))}")
    asked = []
    for one in threads:
        own = tried.get(one) if isinstance(one, str) else None
        asked.append(_question(one, inputs if own is None else {**inputs, "trials": own}))
    first = asked[0]
    rows = tuple(map(_row, asked))
    return PitchTable(rows, first.hand_torque, first.claimed_risk, first.confidence, tuple(asked))


def _question(one: str | tuple[str, str], inputs: Mapping[str, Any]) -> SetScrew:
    try:
        screw, hole = _both(one)
        return SetScrew.read({**inputs, "screw": screw, "hole": hole})
    except InputError as error:
        raise type(error)(f"{in_short(one) if isinstance(one, str) else brief(one)}: {error}") from None


def _both(one: str | tuple[str, str]) -> tuple[Thread, Thread]:
    if not isinstance(one, str):
        if not isinstance(one, (tuple, list)) or len(one) != 2:
            raise InputError("a designation such as 'M4x0.7', or (screw, hole), is needed")
        screw, hole = one
        return thread(screw, external=True), thread(hole, external=False)
    try:
        return thread(one, external=True), thread(one, external=False)
    except DesignationError as error:
        try:  # a text such as M4x0.7-5H/6g names both
            found = pair(one)
        except InputError:
            raise error from None
        return found.external.thread, found.internal.thread


def _row(q: SetScrew) -> PitchRow:
    nominal, limits = q.nominal, (q.strip_inputs["d"], q.strip_inputs["D1"])
    basic = float(thread_height(q.screw.pitch))
    least = float(overlap(limits[0].lower, limits[1].upper))
    middle = float(overlap(nominal["d"], nominal["D1"]))
    hole, screw = (float(np.asarray(load)) for load in q.both_loads(nominal))
    low, high = q.strip_torque.interval(q.confidence)
    load, turns = min(hole, screw), q.threads_engaged.nominal
    effective = float(effective_engagement(turns, 1.0))
    return PitchRow(
        screw=q.screw.designation,
        hole=q.hole.designation,
        pitch=q.screw.pitch,
        threads=turns,
        threads_worst=q.threads_engaged.worst_case().min,
        overlap=middle,
        overlap_eaten=1 - middle / basic,
        overlap_eaten_worst=1 - least / basic,
        effective_threads=effective,
        load_per_thread=load / effective if effective > 0 else 0.0,
        load=load,
        arm=float(np.asarray(q.lever(nominal))),
        strip_torque=q.strip_torque.nominal,
        strip_low=low,
        strip_high=high,
        textbook_torque=float(q.torque_to_strip(textbook=True, **nominal)),
        safe_torque=q.safe_torque,
        risk=q.strip_margin.outside(1.0, None),
        weaker="hole" if hole <= screw else "screw",
        turns_off=turns_off(q).nominal,
        threads_left=q.threads_backed_off.nominal,
        play=nominal["D2"] - nominal["d2"],
        tool_torque=None if (tool := passes(q)) is None else tool.torque,
        sold=q.size is not None,
    )
