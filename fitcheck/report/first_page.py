"""The first page of the report: ready or not, what to do now, where, and every requirement on one scale."""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Sequence
from typing import Any, NamedTuple

from fitcheck.planning.outlook import outlook
from fitcheck.planning.workshop import USUAL_CALIPER
from fitcheck.planning.worth import WORTH_A_WORD, Measurements
from fitcheck.questions.finding import Finding, Station, Verdict
from fitcheck.questions.moves import Besides, Effect, in_a_row
from fitcheck.questions.several import ORDER, in_verdicts
from fitcheck.questions.words import listed
from fitcheck.report import figures
from fitcheck.report.colours import INK, OF_VERDICT, PALE, RULE
from fitcheck.report.figures.device import Mark, shows_device
from fitcheck.report.html import mark, safe
from fitcheck.report.summary import numbered, required, shortened, tightest, uncapital
from fitcheck.units import LENGTH, MM, RATIO, Unit

_STATIONS = tuple(Station)
_FIRST, _LAST = -2.0, 6.0
"""The part of the common scale that is drawn: margins in tolerances of the result."""
_WIDE, _HIGH = 200, 14
"""Of the bar of a row, in px at 100 %."""


_A_SHARE = 0.2
"""Of the variance: a part that drives less settles little when it is measured."""


_MARKS = 6
"""On the drawing of the device, each with a row of its own."""


_TASKS, _LINKS = 8, 8
"""What the first page has room for: lines of what to do, and findings named in a line. What goes beyond is counted
there; lines follow after it."""
_LINES, _OF_DEVICE, _ROWS = 32, 13, 6
"""Of a sheet of paper: lines in all, those the device takes without its marks, and the fewest rows of the table."""
_FEW = 16
"""Findings that always stand in one table."""
_SPARE = 2
"""Nothing is left out for so few: the line that counts them is no shorter."""


class Task(NamedTuple):
    """A line of what to do now: where, what, for which findings (numbers from 1), and whether it must be done.

    then: what becomes of the findings when it is done, where that is promised.
    """

    station: Station
    words: str
    numbers: tuple[int, ...]
    verdict: Verdict
    then: str = ""


def headline(findings: Sequence[Finding]) -> str:
    """Whether the build is ready, in a line.

    >>> headline([])
    'Nothing was asked'
    """
    if not findings:
        return "Nothing was asked"
    n = {verdict: sum(one.verdict is verdict for one in findings) for verdict in ORDER}
    fails, likely = n[Verdict.FAILS], n[Verdict.LIKELY]
    said = [f"{fails} of {len(findings)} {'fails' if fails == 1 else 'fail'}"] if fails else []
    if likely:
        said.append(f"{likely} {'likely' if fails else f'of {len(findings)} likely, within the accepted risk'}")
    if not said:
        said = [f"all {len(findings)} hold" if len(findings) > 1 else "it holds"]
    return f"{'Not ready' if fails else 'Ready'}: {', '.join(said)}"


def tasks(findings: Sequence[Finding]) -> list[Task]:
    """What to do now: first what makes the failing findings hold, then the likely ones, then what holds as advised.

    One that is likely asks for what it rests on, where it says so, and else names what would be surer. Within each in
    the order of the bench. The same words at the same station are said once; so is one size that several findings want
    changed the same way, by the most that any of them needs.
    """
    found: dict[Any, tuple[Task, float]] = {}
    numbered = list(enumerate(findings, start=1))
    for verdict in ORDER:
        for number, one in sorted(numbered, key=lambda each: _STATIONS.index(each[1].station)):
            if one.verdict is not verdict:
                continue
            settled = verdict is Verdict.HOLDS or (verdict is Verdict.LIKELY and one.do)
            words, then, about, by = (one.do, "", one.do, 0.0) if settled else _advice(one)
            key = (one.station, about)
            if key in found:
                task, most = found[key]
                task = task._replace(numbers=(*task.numbers, number), words=words if by > most else task.words)
                found[key] = task, max(by, most)
            elif words:
                found[key] = Task(one.station, words, (number,), verdict, then), by
    return [task for task, _ in found.values()]


def _advice(one: Finding) -> tuple[str, str, Any, float]:
    """The words of what meets a requirement best, what it promises, what they are about, and by how much it is moved.

    What meets it at worst case comes first, in at most two ways; else the first way that is told. About a size that is
    moved one way for one limit, more of it is as good.
    """
    moves = [move for move in one.moves if move.effect is Effect.HOLDS] or list(one.moves)
    whole = list(dict.fromkeys(move.do or move.words for move in moves))[:2]
    if not whole:
        words = next((line for line in one.change if not isinstance(line, Besides)), one.answer)
        return words, "", words, 0.0
    said, first = in_a_row(whole), moves[0]
    then = first.effect.value if all(move.do for move in moves) else ""
    limits = (one.requirement.at_least, one.requirement.at_most)
    if len(whole) == 1 and len(first.edits) == 1 and first.edits[0].by and None in limits:
        ((key, _, by),) = first.edits
        return said, then, (one.question, one.name, key, by > 0, first.effect), abs(by)
    return said, then, said, 0.0


_MOST_TOLD, _TRIED, _MOST_ASKED = 4, 4, 60
"""Sizes that are named to be measured first, beyond which measuring is no first step; findings of each that are asked
whether a reading may settle them; and findings in doubt that are asked what drives them, which takes long: more than
any build has."""


def worth_reading(findings: Sequence[Finding]) -> list[str]:
    """What is worth measuring first: of each finding in doubt, the part that drives it most, if one does; said once.

    One that no size within its limits can make hold is in no doubt: there measuring does not help. Nor is a part named
    that no reading of it, be it as close as may be, would settle one of the findings with.
    """
    found: dict[tuple[str, str], list[tuple[float, int]]] = {}
    called: dict[tuple[str, str], str] = {}
    askers: dict[tuple[str, str], set[str]] = {}
    for one in findings:
        for size in one.sizes:
            askers.setdefault((size.name, size.note), set()).add(one.name or one.question)
    in_doubt = ((n, f) for n, f in tightest(findings) if f.verdict is not Verdict.HOLDS and f.margin.most >= 0)
    for number, one in itertools.islice(in_doubt, _MOST_ASKED):
        shares = {driver.name: driver.variance_share for driver in one.drivers}
        parts = [size for size in one.sizes if size.measurable and shares.get(size.name, 0.0) >= _A_SHARE]
        if parts:
            first = max(parts, key=lambda size: shares[size.name])
            found.setdefault((first.name, first.note), []).append((shares[first.name], number))
            called[first.name, first.note] = first.called
    said, several = [], len(set().union(*askers.values())) > 1
    for part, drives in sorted(found.items(), key=lambda each: -max(each[1])[0])[: 2 * _MOST_TOLD]:
        ranked = sorted(drives, key=lambda each: (-each[0], each[1]))[:_TRIED]
        settled = [each for each in ranked if _may_settle(findings[each[1] - 1], part[0])]
        if not settled:
            continue
        (share, number), *others = settled
        of = f", {next(iter(askers[part]))}" if several and len(askers[part]) == 1 else ""
        rest = sorted(n for _, n in others)
        which = listed([str(n) for n in rest]) if len(rest) <= _LINKS else numbered(rest)
        more = f"; also of {which}" if rest else ""
        said.append(f"{called[part]}{of} ({share:.0%} of the spread of finding {number}{more})")
    return said[:_MOST_TOLD]


def _may_settle(finding: Finding, name: str) -> bool:
    """Whether a close reading of a part may make a finding hold, or one in doubt fail."""
    members = () if finding.of is None else finding.of.members
    part = next((d for d in members if d.name == name), None)
    if part is None:
        return False
    U = min(USUAL_CALIPER, part.half_width / 2)
    return outlook(finding, {part: U}).turns(finding.verdict) >= WORTH_A_WORD


def _parted(asked: list[Task], findings: Sequence[Finding]) -> tuple[list[Task], list[Task]]:
    """What to do for the tightest findings, as far as the first page has room, and the rest; both in their order."""
    if len(asked) <= _TASKS + _SPARE:
        return asked, []
    rank = {number: i for i, (number, _) in enumerate(tightest(findings))}
    first = sorted(asked, key=lambda task: min(rank[number] for number in task.numbers))[:_TASKS]
    return [task for task in asked if task in first], [task for task in asked if task not in first]


def first_page(
    findings: Sequence[Finding],
    *,
    planned: Sequence[str] = (),
    to_do: Collection[str] = (),
    measure: Measurements | None = None,
    shoulder: float | None = None,
) -> str:
    """The box, the device and the table.

    Parameters
    ----------
    findings : in their order in the report
    planned, to_do : the lines of a plan for the build, and those of them that are to be done
    measure : what is worth measuring, as `measure_next` finds it; without it the parts that drive what does not hold
    shoulder : mm from the mouth of the socket to the shoulder in the body, if it is known
    """
    parts = [_box(findings, planned, to_do, measure), _device(findings, shoulder), _table(findings, planned)]
    return "\n".join(part for part in parts if part)


def following(findings: Sequence[Finding], *, planned: Sequence[str] = ()) -> str:
    """What the first page counts for want of room: the rest of what to do, and of the table; nothing where it has all.

    findings, planned: those of the first page.
    """
    _, tasks_left = _parted(_asked(findings, planned), findings)
    _, rows_left = _rows(findings, planned)
    parts = []
    if tasks_left:
        lines = "".join(map(_task, tasks_left))
        parts.append(f'<section><h2 id="more-to-do">What is left to do</h2>\n<ul class="now">{lines}</ul></section>')
    if rows_left:
        heading = f'<h2 id="more-requirements">{len(rows_left)} more requirements, the tightest first</h2>'
        parts.append(f"<section>{heading}\n{_scaled(rows_left)}</section>")
    return "\n".join(parts)


# -- what to do now ----------------------------------------------------------------------------------------


def _box(
    findings: Sequence[Finding], planned: Sequence[str], to_do: Collection[str], measure: Measurements | None
) -> str:
    first, rest = _parted(_asked(findings, planned), findings)
    rows = _plan(planned, to_do) + "".join(map(_task, first))
    if rest:
        left = [task.verdict for task in rest for _ in task.numbers]
        which = f"{len(left)} findings: {in_verdicts(left)}"
        rows += f'<li><span><a href="#more-to-do">{len(rest)} more to do</a> <small>({which})</small></span></li>'
    rows += _worn(findings) + _measuring(findings, measure)
    state = "stop" if any(one.verdict is Verdict.FAILS for one in findings) else "go"
    done = "<p>Nothing is left to do for these findings.</p>" if not rows else f'<ul class="now">{rows}</ul>'
    return f'<section class="{state}"><h2>{safe(headline(findings))}</h2>\n{done}</section>'


def _worn(findings: Sequence[Finding]) -> str:
    """What was measured to be worn, where the rest of the box would name its parts as if they were new."""
    found: dict[str, int] = {}
    for number, one in enumerate(findings, start=1):
        if one.worn:
            found.setdefault(f"{one.name or one.question}: {one.worn}", number)
    if not found:
        return ""
    said = "; ".join(
        f'{safe(words)} <small>(finding <a href="#finding-{number}">{number}</a>)</small>'
        for words, number in itertools.islice(found.items(), _MOST_TOLD)
    )
    more = f"; and {len(found) - _MOST_TOLD} more" if len(found) > _MOST_TOLD else ""
    return f'<li><span class="none"></span><span><b>As measured:</b> {said}{more}</span></li>'


def _measuring(findings: Sequence[Finding], measure: Measurements | None) -> str:
    """What to measure first, with a box to tick; that it is nothing, where something is not met; else nothing."""
    if measure is not None:
        first, lines = measure.first is not None, measure.lines()
    elif said := worth_reading(findings):
        first, lines = True, ["; ".join(said)]
    elif any(one.verdict is not Verdict.HOLDS for one in findings):
        first, lines = (
            False,
            ["no reading of the part that drives it most settles what is not met; --measure looks at each part"],
        )
    else:
        return ""
    head, tick = ("Measure first", "tick") if first else ("Nothing to measure first", "none")
    told = "".join(f"<span>{safe(line)}</span> " for line in lines)
    return f'<li><span class="{tick}"></span><span><b>{head}:</b> {told}</span></li>'


def _asked(findings: Sequence[Finding], planned: Sequence[str]) -> list[Task]:
    """The tasks; but a plan says itself what is done for what holds."""
    return [task for task in tasks(findings) if not planned or task.verdict is not Verdict.HOLDS]


def _plan(lines: Sequence[str], to_do: Collection[str]) -> str:
    """The lines of a plan; what is to be done has a box to tick, and what belongs to a line stands under it."""
    rows: list[str] = []
    for line in lines:
        if line.startswith(" ") and rows:
            rows[-1] += f"<br>{safe(line.strip())}"
        else:
            tick = f'<span class="{"tick" if line in to_do else "none"}"></span>'
            rows.append(f"{tick}<span>{'' if rows else '<b>The plan:</b> '}{safe(line)}")
    return "".join(f"<li>{row}</span></li>" for row in rows)


def _task(task: Task) -> str:
    place = f"{task.station.value[:1].upper()}{task.station.value[1:]}"
    which = "finding" if len(task.numbers) == 1 else "findings"
    shown = task.numbers if len(task.numbers) <= _LINKS + _SPARE else task.numbers[:_LINKS]
    links = ", ".join(f'<a href="#finding-{n}">{n}</a>' for n in shown)
    if more := len(task.numbers) - len(shown):
        links += f" and {more} more"
    state = {Verdict.FAILS: "fails", Verdict.LIKELY: "likely, accepted as it is", Verdict.HOLDS: "holds"}[task.verdict]
    if task.then:
        state += f"; then {task.then}"
    return (
        f'<li class="{task.verdict.value}"><span class="tick"></span><span><b>{place}:</b> {safe(task.words)} '
        f"<small>({which} {links}, {state})</small></span></li>"
    )


# -- where -------------------------------------------------------------------------------------------------


def _device(findings: Sequence[Finding], shoulder: float | None) -> str:
    marks, left = _marks(findings)
    drawings = [one.drawing for one in findings]
    if not shows_device(drawings):
        return ""
    ax = figures.device(drawings, unit=lengths_in(findings), marks=marks, shoulder=shoulder)
    told = "; ".join(f"{m.number} {m.verdict.value} {m.station.value}: {m.words}" for m in marks) or "nothing fails"
    picture = figures.svg(ax, "device", f"The device in section, to scale. {told}")
    return (
        "<section><h2>The device, to scale, and where it matters</h2>\n"
        f'<figure class="device" tabindex="0">{picture}</figure>{_unmarked(left)}</section>'
    )


def _unmarked(places: int) -> str:
    return f'<p class="small">{places} more places where a requirement is not met are not marked.</p>' if places else ""


def _marks(findings: Sequence[Finding]) -> tuple[list[Mark], int]:
    """What is not met, by its place, and how many places are left out.

    Where there are many, those at one place share a mark, that of the tightest, and only the tightest places have one.
    """
    unmet = [(number, one) for number, one in tightest(findings) if one.verdict is not Verdict.HOLDS]
    places: dict[Any, list[tuple[int, Finding]]] = {}
    for number, one in unmet:
        together = (one.station, one.at) if len(unmet) > _MARKS else number
        places.setdefault(together, []).append((number, one))
    marks = []
    for group in sorted([*places.values()][:_MARKS], key=lambda group: group[0][0]):
        number, one = group[0]
        more = f"; {len(group) - 1} more here" if len(group) > 1 else ""
        words = f"{_unmet(one)}{more}"
        marks.append(Mark(str(number), one.verdict, one.station, one.at, words))
    return marks, max(len(places) - _MARKS, 0)


def _unmet(one: Finding) -> str:
    """What is not met, and by how much; of a ratio what that means at the bench, for a number there says little."""
    quantity = shortened(one.quantity, 60)
    if _is_ratio(one):
        return f"{uncapital(one.means)} ({quantity})"
    return f"{quantity}: {one.at_worst} at worst, {required(one)} needed"


def _is_ratio(one: Finding) -> bool:
    """Whether a finding that is not met is a ratio, whose words say more than its number."""
    return one.unit.kind is RATIO and one.verdict is not Verdict.HOLDS and bool(one.means)


def lengths_in(findings: Sequence[Finding]) -> Unit:
    """The unit of the lengths of a build: that of its first length."""
    return next((one.unit for one in findings if one.unit.kind is LENGTH), MM)


# -- every requirement on one scale ------------------------------------------------------------------------


def _table(findings: Sequence[Finding], planned: Sequence[str]) -> str:
    if not findings:
        return ""
    first, rest = _rows(findings, planned)
    heading = "Every requirement on one scale, the tightest first"
    more = ""
    if rest:
        heading = f"The {len(first)} tightest requirements on one scale"
        which = in_verdicts([one.verdict for _, one in rest])
        more = f'<p class="small"><a href="#more-requirements">{len(rest)} more</a>: {which}.</p>'
    return (
        f'<section><h2 id="requirements">{heading}</h2>\n{_scaled(first)}\n{more}'
        '<p class="small">Scale: how far inside its limit, in tolerances of the result (half the width of its worst '
        "case); left of the line it is not met. The bar spans the worst case, the stroke in it is nominal.</p>"
        "</section>"
    )


def _rows(
    findings: Sequence[Finding], planned: Sequence[str]
) -> tuple[list[tuple[int, Finding]], list[tuple[int, Finding]]]:
    """The findings in the table of the first page, the tightest, as many as there is room for, and the others."""
    order = tightest(findings)
    above = len(planned) + len(_parted(_asked(findings, planned), findings)[0])
    if shows_device([one.drawing for one in findings]):
        above += _OF_DEVICE + len(_marks(findings)[0])
    room = max(_LINES - above, _ROWS)
    most = len(order) if len(order) <= max(room, _FEW) else room
    return order[:most], order[most:]


def _scaled(numbered: Sequence[tuple[int, Finding]]) -> str:
    """A table with a row a finding, and its bar on the common scale."""
    rows = "\n".join(_row(number, one) for number, one in numbered)
    return (
        '<table class="all"><thead><tr><th scope="col"></th><th scope="col">verdict</th><th scope="col">what</th>'
        '<th scope="col">at worst</th><th scope="col">needed</th>'
        f'<th scope="col" class="scale">{_axis()}</th></tr></thead>\n<tbody>\n{rows}\n</tbody></table>'
    )


def _row(number: int, one: Finding) -> str:
    about = f"{safe(one.quantity)}<small>{safe(_about(one))}</small>"
    return (
        f'<tr class="{one.verdict.value}"><td class="no">{number}</td><td>{mark(one.verdict)}</td>'
        f'<th scope="row"><a href="#finding-{number}">{about}</a></th>'
        f'<td class="found">{safe(one.at_worst)}</td><td class="needed">{safe(required(one))}</td>'
        f'<td class="scale">{_bar(one)}</td></tr>'
    )


def _about(one: Finding) -> str:
    about = f"{one.question}{f', {one.name}' if one.name else ''}"
    return f"{about}: {uncapital(one.means)}" if _is_ratio(one) else about


def _at(margin: float) -> float:
    """Where a margin lies on the bar of a row, px, within its ends."""
    return (min(max(margin, _FIRST), _LAST) - _FIRST) / (_LAST - _FIRST) * _WIDE


def _bar(one: Finding) -> str:
    margin, colour, zero = one.margin, OF_VERDICT[one.verdict], _at(0.0)
    low, high = _at(margin.least), _at(margin.most)
    solid = one.verdict is Verdict.FAILS
    shapes = [
        f'<rect width="{zero:.1f}" height="{_HIGH}" fill="{PALE}"/>',
        f'<path d="M{zero:.1f} 0V{_HIGH}" stroke="{INK}" stroke-width="1.6"/>',
    ]
    if margin.least >= _LAST:
        far = "" if math.isinf(margin.least) else f"{margin.least:.0f} "
        shapes.append(
            f'<text x="{_WIDE - 12}" y="11" text-anchor="end" font-size="10" fill="{colour}">{far}</text>'
            f'<path d="M{_WIDE - 10} 7H{_WIDE - 1}M{_WIDE - 5} 3L{_WIDE - 1} 7L{_WIDE - 5} 11" fill="none" '
            f'stroke="{colour}" stroke-width="1.4"/>'
        )
    else:
        shapes.append(
            f'<rect x="{low:.1f}" y="2.5" width="{max(high - low, 1.5):.1f}" height="{_HIGH - 5}" '
            f'fill="{colour if solid else "#fff"}" stroke="{colour}" stroke-width="{1.2 if solid else 1.3}"/>'
        )
        if _FIRST <= margin.nominal <= _LAST:
            x = _at(margin.nominal)
            shapes.append(
                f'<path d="M{x:.1f} 2.5V{_HIGH - 2.5}" stroke="{"#fff" if solid else INK}" stroke-width="1.8"/>'
            )
    return f'<svg viewBox="0 0 {_WIDE} {_HIGH}" aria-hidden="true">{"".join(shapes)}</svg>'


def _axis() -> str:
    ticks = "".join(_tick(value) for value in range(int(_FIRST), int(_LAST) + 1, 2))
    return (
        f'<svg viewBox="0 0 {_WIDE} {_HIGH}" role="img" aria-label="margin in tolerances of the result">'
        f'<path d="M0 {_HIGH - 0.5}H{_WIDE}" stroke="{RULE}"/>{ticks}</svg>'
    )


def _tick(value: int) -> str:
    x = _at(float(value))
    anchor = "start" if value == _FIRST else "end" if value == _LAST else "middle"
    return (
        f'<path d="M{x:.1f} {_HIGH - 3}v3" stroke="{INK}"/>'
        f'<text x="{x:.1f}" y="9" text-anchor="{anchor}" font-size="10">{value}</text>'
    )
