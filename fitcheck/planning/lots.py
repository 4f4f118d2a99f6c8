"""A lot of devices, each with parts that were measured: the verdicts and margins of all, and which part goes where.

The readings of a row stand in place of the drawing, as one measured part in a sheet does. A finding on a sum keeps its
spread from device to device and is only moved, so that all its verdicts come from one interval of moves, exactly; a
function is sampled for each device at the same points. A question that picks a size itself is asked for each device.
What rests on a torque that is advised takes the torque advised for parts as drawn.
"""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from fitcheck.errors import InputError, brief, did_you_mean
from fitcheck.expected import items_of, one_kind, table_of
from fitcheck.later import optimize
from fitcheck.planning.bounds import room_within
from fitcheck.planning.readings import heading, in_parts
from fitcheck.planning.replaced import parts_of, with_parts
from fitcheck.planning.workshop import Workshop
from fitcheck.questions import Finding, Question, Verdict
from fitcheck.questions.finding import Quantity, Requirement
from fitcheck.questions.remedy import allowed_moves
from fitcheck.stack import Dimension, Interval, Linear, Response
from fitcheck.stack.measured import with_reading
from fitcheck.stack.probability.sampling import even_blocks
from fitcheck.stack.synthesis import substituted
from fitcheck.stack.system import LeastOfSums
from fitcheck.units import FloatArray

if TYPE_CHECKING:
    import pandas

_FEW, _MANY = 512, 4096
"""Points of each of the eight scrambles: to tell what fails by far, and for the rest."""
_FEWEST_JOBS = 64
"""Jobs for which other processes are not worth starting."""
_RANK = {Verdict.HOLDS: 0, Verdict.LIKELY: 1, Verdict.FAILS: 2}


class Judged(NamedTuple):
    """A verdict, and how far the worst case is from the limit, in the inside unit of the finding (mm, N)."""

    verdict: Verdict
    margin: float


_UNKNOWN = Judged(Verdict.FAILS, float("nan"))


def lot_of(
    questions: Sequence[Question],
    parts: Mapping[str, Dimension],
    workshop: Workshop,
    readings: pandas.DataFrame,
    *,
    processes: int | None = None,
) -> pandas.DataFrame:
    """The verdicts and margins of a lot of devices: one row a device, in the order of `readings`.

    Parameters
    ----------
    questions : those of a sheet
    parts : its parts by name
    workshop : how closely the parts were measured
    readings : a row a device and a column a measured part; numbers in the unit of the part in the sheet, or in that of
        the heading, "module [in]"; texts with their unit, or pint quantities; an empty cell is a part that was not
        measured
    processes : how many work at once; as many as there are processors by default

    The columns are `verdict`, the worst of the device; `least`, the finding with the least margin in its own spread;
    and for each finding its verdict and, in its unit, its margin: how far its worst case is from its limit. Raises
    `InputError` for a column that is no part and a reading that cannot be one.

    >>> import fitcheck as fc
    >>> import pandas as pd
    >>> from fitcheck.questions import BladeDepth
    >>> parts = {"socket": fc.dim("64 ± 0.5", name="socket"), "slug": fc.dim("8 ± 0.1", name="slug")}
    >>> asked = BladeDepth.read({"adds": [parts["socket"]], "takes": [parts["slug"]], "at_least": "56 mm"})
    >>> readings = pd.DataFrame({"socket": [64.2, 63.8]}, index=["no. 1", "no. 2"])
    >>> lot_of([asked], parts, Workshop.read({"caliper": "0.02 mm"}), readings, processes=1)["verdict"].to_dict()
    {'no. 1': 'holds', 'no. 2': 'fails'}
    """
    import pandas as pd

    lot = _Lot(questions, parts, workshop, processes)
    readings = in_parts(readings, lot.parts)
    judged = lot.judged(readings)
    columns: dict[str, list[Any]] = {"verdict": [], "least": []}
    titles = _titles(judged.findings)
    for row in judged.rows:
        columns["verdict"].append(str(max((one.verdict for one in row), key=_RANK.__getitem__)))
        columns["least"].append(titles[_least(row, judged.findings)])
    for i, (title, finding) in enumerate(zip(titles, judged.findings, strict=True)):
        columns[title] = [str(row[i].verdict) for row in judged.rows]
        unit = f" [{finding.unit.text}]" if finding.unit.text else ""
        columns[f"{title}: margin{unit}"] = [row[i].margin / finding.unit.scale for row in judged.rows]
    return pd.DataFrame(columns, index=readings.index)


def match_parts(
    questions: Sequence[Question],
    parts: Mapping[str, Dimension],
    workshop: Workshop,
    readings: pandas.DataFrame,
    moved: str | Sequence[str],
    *,
    processes: int | None = None,
) -> pandas.DataFrame:
    """Which of the parts goes to which body, so that most devices hold, then most are likely, then with most room.

    Parameters
    ----------
    questions, parts, workshop, processes : as for `lot_of`
    readings : a row a body and part as they lie now; a body without a part, or a spare part, leaves the other's cells
        empty
    moved : the columns that belong to the part; the others belong to the body

    Findings that are the same for every pair do not count. One row a body that gets a part: `part`, the row the part
    comes from; `verdict`; `least`, the finding with the least margin; and `room`, that margin in spreads. By an
    assignment [1]_. Raises `InputError` where `moved` names no column, or leaves none.

    References
    ----------
    .. [1] D. F. Crouse, IEEE Trans. Aerospace and Electronic Systems 52 (2016) 1679-1696, as scipy has it; from memory.

    Examples
    --------
    >>> import fitcheck as fc
    >>> import pandas as pd
    >>> from fitcheck.questions import BladeDepth
    >>> parts = {"socket": fc.dim("64 ± 0.5", name="socket"), "slug": fc.dim("8 ± 0.5", name="slug")}
    >>> asked = BladeDepth.read({"adds": [parts["socket"]], "takes": [parts["slug"]], "at_least": "56 mm"})
    >>> readings = pd.DataFrame({"socket": [64.2, 63.8], "slug": [7.7, 8.1]}, index=["no. 1", "no. 2"])
    >>> caliper = Workshop.read({"caliper": "0.02 mm"})
    >>> match_parts([asked], parts, caliper, readings, ["slug"], processes=1)["part"].to_dict()
    {'no. 1': 'no. 2', 'no. 2': 'no. 1'}
    """
    import pandas as pd

    lot = _Lot(questions, parts, workshop, processes)
    readings = in_parts(readings, lot.parts)
    given = [moved] if isinstance(moved, str) else items_of("moved", moved, "a list of columns")
    moved = [heading(name)[0] for name in given]
    kept = [name for name in readings.columns if name not in moved]
    for name in moved:
        if name not in readings.columns:
            hint = did_you_mean(str(name), map(str, readings.columns))
            raise InputError(f"moved = {brief(name)}: a column is needed{hint}")
    if not kept or not moved:
        raise InputError("moved: columns of the part are needed, and others of the body")
    bodies = readings[kept][readings[kept].notna().any(axis=1)]
    mates = readings[moved][readings[moved].notna().any(axis=1)]
    if bodies.empty or mates.empty:
        raise InputError("match: at least one body and one part with a reading are needed")
    pairs = pd.DataFrame(
        [{**body, **mate} for body in bodies.to_dict("records") for mate in mates.to_dict("records")],
        columns=list(readings.columns),
    )
    judged = _borne_on(lot.judged(pairs))
    titles = _titles(judged.findings)
    shape = len(bodies), len(mates)
    worst = np.array([max(_RANK[one.verdict] for one in row) for row in judged.rows]).reshape(shape)
    least = [_least(row, judged.findings) for row in judged.rows]
    room = np.array([_room(row[i], judged.findings[i]) for row, i in zip(judged.rows, least, strict=True)]).reshape(
        shape
    )
    # A device that holds outweighs all the room there is, and one that is likely all that is left below that.
    n = min(shape) + 1.0
    gain = np.where(worst == 0, n * n, np.where(worst == 1, n, 0.0)) + np.tanh(np.nan_to_num(room, nan=-10.0) / 4) / n
    rows, columns = optimize.linear_sum_assignment(gain, maximize=True)
    at = [int(i * shape[1] + j) for i, j in zip(rows, columns, strict=True)]
    return pd.DataFrame(
        {
            "part": [mates.index[j] for j in columns],
            "verdict": [str(list(_RANK)[worst[i, j]]) for i, j in zip(rows, columns, strict=True)],
            "least": [titles[least[k]] for k in at],
            "room": [float(room[i, j]) for i, j in zip(rows, columns, strict=True)],
        },
        index=bodies.index[rows],
    )


def _borne_on(judged: _Answers) -> _Answers:
    """The findings that are not the same for every row; all of them if there is none such."""
    places = [i for i in range(len(judged.findings)) if len({row[i] for row in judged.rows}) > 1]
    if not places:
        return judged
    rows = [[row[i] for i in places] for row in judged.rows]
    return _Answers(tuple(judged.findings[i] for i in places), rows)


def _titles(findings: Sequence[Finding]) -> list[str]:
    """A heading for each finding; those of one title are numbered."""
    titles = [finding.title for finding in findings]
    return [f"{one} ({titles[:i].count(one) + 1})" if titles.count(one) > 1 else one for i, one in enumerate(titles)]


def _room(one: Judged, finding: Finding) -> float:
    """A margin in spreads: halves of the zone of the worst case as drawn."""
    half = (finding.worst_case.max - finding.worst_case.min) / 2
    return one.margin / half if half > 0 else one.margin


def _least(row: Sequence[Judged], findings: Sequence[Finding]) -> int:
    """The place of the finding with the worst verdict, and of these with the least room."""
    return min(
        range(len(row)),
        key=lambda i: (-_RANK[row[i].verdict], np.nan_to_num(_room(row[i], findings[i]), nan=-np.inf)),
    )


class _Answers(NamedTuple):
    findings: tuple[Finding, ...]
    rows: list[list[Judged]]


class _Lot:
    def __init__(
        self, questions: Sequence[Question], parts: Mapping[str, Dimension], workshop: Workshop, processes: int | None
    ) -> None:
        asked = items_of("questions", questions, "a list of questions")
        self.questions = [one_kind("questions", one, Question, "a list of questions") for one in asked]
        if not self.questions:
            raise InputError("questions: none: at least one is needed to judge a lot by")
        self.parts = table_of("parts", parts, "{'slug': fc.dim('8 ± 0.1', name='slug')}")
        for name, part in self.parts.items():
            one_kind(f"parts: {name}", part, Dimension, "a dimension")
        self.workshop = one_kind("workshop", workshop, Workshop, "a workshop, Workshop.read({'caliper': '0.02 mm'}),")
        self.processes = processes if processes is not None else os.cpu_count() or 1

    def judged(self, readings: pandas.DataFrame) -> _Answers:
        """readings: as `in_parts` made them."""
        names = [*readings.columns]
        values = readings.to_numpy(dtype=float).reshape(len(readings), len(names))
        base = [question.findings() for question in self.questions]
        findings = tuple(finding for found in base for finding in found)
        rows: list[list[Judged]] = [[_UNKNOWN] * len(findings) for _ in range(len(values))]
        known = ~np.isnan(values)
        for pattern in np.unique(known, axis=0):
            places = np.flatnonzero((known == pattern).all(axis=1))
            read_in = {self.parts[n]: values[places, k] for k, n in enumerate(names) if pattern[k]}
            start = 0
            for question, found in zip(self.questions, base, strict=True):
                for i, column in enumerate(self._of_question(question, found, read_in, len(places))):
                    for place, one in zip(places.tolist(), column, strict=True):
                        rows[place][start + i] = one
                start += len(found)
        return _Answers(findings, rows)

    def _of_question(
        self, question: Question, found: Sequence[Finding], read_in: Mapping[Dimension, FloatArray], n: int
    ) -> list[list[Judged]]:
        """For each finding of a question what is judged of each device."""
        own = {d: m for d, m in read_in.items() if any(d is one for one in parts_of(question))}
        U = {d: self.workshop.reading(d.name)[1] for d in own}
        if own and question.chooses:
            jobs = [_Again(question, len(found), own, U, i) for i in range(n)]
            return [list(column) for column in zip(*_each(jobs, self.processes), strict=True)]
        return [self._of_finding(finding, own, U, n) for finding in found]

    def _of_finding(
        self, finding: Finding, own: Mapping[Dimension, FloatArray], U: Mapping[Dimension, float], n: int
    ) -> list[Judged]:
        what = finding.of
        members = () if what is None else what.members
        inside = {d: m for d, m in own.items() if any(d is one for one in members)}
        if not inside or not isinstance(what, Linear | Response):  # of a torque turned in vain no reading tells more
            return [Judged(finding.verdict, room_within(finding.worst_case, finding.requirement))] * n
        if isinstance(what, Linear):
            return _of_sum(what, finding.requirement, inside, U, n)
        device = _Function(what, finding.requirement, inside, U)
        return _each([_Device(device, i) for i in range(n)], self.processes)


def _judged(what: Quantity, requirement: Requirement) -> Judged:
    """The verdict on a quantity, without the rest of a finding.

    The least of several sums misses its limit no oftener than all of them together, which is exact and soon found.
    """
    worst = what.worst_case()
    low = requirement.at_least
    accepted = False
    if isinstance(what, LeastOfSums) and requirement.at_most is None:
        accepted = requirement.accepts(sum(one.outside(low, None) for one in what.sums))
    if not accepted:
        accepted = requirement.accepts(what.outside(low, requirement.at_most))
    verdict = (Verdict.HOLDS if requirement.met_by(worst) else Verdict.LIKELY) if accepted else Verdict.FAILS
    return Judged(verdict, float(room_within(worst, requirement)))


def _of_sum(
    what: Linear,
    requirement: Requirement,
    readings: Mapping[Dimension, FloatArray],
    U: Mapping[Dimension, float],
    n: int,
) -> list[Judged]:
    """By the moves of the sum that meet its requirement: those of a device are what its readings move it by."""
    after: Linear | Response = what
    rates, move = dict(what.terms), np.zeros(n)
    for d, m in readings.items():
        after = substituted(after, d, with_reading(d, d.middle, U[d]))
        move += rates[d] * (m - d.middle)
    assert isinstance(after, Linear)
    low, high = after.worst_case()
    holds, accepted = allowed_moves(after, requirement)
    noise = 1e-10
    found = []
    for x in move.tolist():
        if holds.min - noise <= x <= holds.max + noise:
            verdict = Verdict.HOLDS
        else:
            verdict = Verdict.LIKELY if accepted.min <= x <= accepted.max else Verdict.FAILS
        found.append(Judged(verdict, float(room_within(Interval(low + x, high + x), requirement))))
    return found


class _Function:
    """A function for one device after the other, sampled at the same points for all."""

    def __init__(
        self,
        what: Response,
        requirement: Requirement,
        readings: Mapping[Dimension, FloatArray],
        U: Mapping[Dimension, float],
    ) -> None:
        self.what, self.requirement, self.readings, self.U = what, requirement, readings, U
        members = self.after(0).members
        self.points = [np.concatenate([z for _, z in even_blocks(members, size)]) for size in (_FEW, _MANY)]
        ends = what.extremes()
        self.corners = np.stack([ends.at_low, ends.at_high])

    def after(self, i: int) -> Response:
        what: Linear | Response = self.what
        for d, m in self.readings.items():
            what = substituted(what, d, with_reading(d, float(m[i]), self.U[d]))
        assert isinstance(what, Response)
        return what

    def judged(self, i: int) -> Judged:
        after, requirement = self.after(i), self.requirement
        few, many = self.points
        p = self._missed(after, few)
        # Far above the risk a few points say so: five standard errors of their count.
        if p - 5 * np.sqrt(p / len(few)) <= requirement.risk:
            p = self._missed(after, many)
        if requirement.accepts(p):
            worst = after.worst_case()
            verdict = Verdict.HOLDS if requirement.met_by(worst) else Verdict.LIKELY
        else:
            # What fails is not searched for its very worst: where it lay for parts as drawn is near enough.
            low, high = after.at(self.corners).tolist()
            worst, verdict = Interval(low, high), Verdict.FAILS
        return Judged(verdict, float(room_within(worst, requirement)))

    def _missed(self, after: Response, z: FloatArray) -> float:
        y, low, high = after.at(z), self.requirement.at_least, self.requirement.at_most
        return float(np.mean((y < (-np.inf if low is None else low)) | (y > (np.inf if high is None else high))))


@dataclass(frozen=True)
class _Device:
    function: _Function
    row: int

    def __call__(self) -> Judged:
        return self.function.judged(self.row)


@dataclass(frozen=True)
class _Again:
    """A question asked again for a device."""

    question: Question
    count: int
    readings: Mapping[Dimension, FloatArray]
    U: Mapping[Dimension, float]
    row: int

    def __call__(self) -> list[Judged]:
        try:
            new = {d: with_reading(d, float(m[self.row]), self.U[d]) for d, m in self.readings.items()}
            again = with_parts(self.question, new)
            asked = again.judged()
            if asked is None:
                found = again.findings()
                judged = [Judged(f.verdict, float(room_within(f.worst_case, f.requirement))) for f in found]
            else:
                judged = [_judged(quantity, requirement) for quantity, requirement in asked]
        except InputError:  # readings with which the question makes no sense
            return [_UNKNOWN] * self.count
        return (judged + [_UNKNOWN] * self.count)[: self.count]


_JOBS: Sequence[Callable[[], Any]] = ()


def _job(i: int) -> Any:
    return _JOBS[i]()


def _each(jobs: Sequence[Callable[[], Any]], processes: int) -> list[Any]:
    """What the jobs give; by several processes where the system can copy this one, and there are enough jobs."""
    global _JOBS
    if processes < 2 or len(jobs) < _FEWEST_JOBS or "fork" not in multiprocessing.get_all_start_methods():
        return [job() for job in jobs]
    _JOBS = jobs
    try:
        with multiprocessing.get_context("fork").Pool(processes) as pool:
            return pool.map(_job, range(len(jobs)), chunksize=max(1, len(jobs) // (8 * processes)))
    finally:
        _JOBS = ()
