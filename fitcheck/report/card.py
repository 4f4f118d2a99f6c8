"""The handover card: one page for whoever gets the device.

It says what the sheet knows and no more: set screws with their key and torque, which way threads turn, how the blade
comes out, what the plug does, what to keep in stock, and the cautions.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import accumulate

from fitcheck.printed import rounded_down
from fitcheck.questions import Finding, PortClearance, Verdict
from fitcheck.questions.blade.findings import TubeStack
from fitcheck.questions.cells import OfCell
from fitcheck.questions.joint.findings import Screwed
from fitcheck.questions.plug.cutting import window_words
from fitcheck.questions.plug.findings import CutPlug
from fitcheck.questions.set_screw.findings import BenchCard, StripDrawing
from fitcheck.questions.stuck_tube.findings import TurnedLoose
from fitcheck.questions.words import hand, turning
from fitcheck.report.html import bullets, document, safe
from fitcheck.report.summary import once, shortened, uncapital
from fitcheck.sheet.build import Build
from fitcheck.threads import Thread
from fitcheck.units import INCH, PLAIN, Unit, unit

Facts = list[tuple[str, str]]


def card(build: Build, findings: Sequence[Finding], *, made: str | None = None) -> str:
    """The handover card of a build as one HTML page that prints on one side of A4 or Letter.

    Parameters
    ----------
    build : the sheet that has been read
    findings : its findings, `build.findings()`
    made : when it was made, for the title block; without it the same build gives the same card
    """
    screws = [
        (f.name, [*_unsettled(f, findings), *_screw(f.drawing.bench), *_backing(f.drawing.bench)])
        for f in _with_screws(findings)
    ]
    blades = [
        (f.name, [*_unsettled(f, findings), *_blade(f, f.drawing)])
        for f in findings
        if isinstance(f.drawing, TubeStack)
    ]
    plugs = [(f.name, _plug(f.handover, _fails(f, findings))) for f in findings if isinstance(f.handover, CutPlug)]
    said = {"Set screws": screws, "Blade": blades, "Screwed joints": _joints(findings), "Plug": plugs}
    side = _Side(
        _failing(findings),
        {heading: _alike(groups) for heading, groups in said.items() if groups},
        _spares(build, findings),
        once(caution for finding in findings for caution in finding.cautions),
    )
    side.fit()
    when = f"<span>{safe(made)}</span>" if made else ""
    # What is not to be handed over does not look as if it were.
    kind = "Draft, no handover card yet" if side.failing else "Handover card"
    parts = [
        f'<header><div class="about"><h1>{safe(shortened(build.title, _TITLE))}</h1></div>'
        f'<p class="counts">{kind}{when}</p></header>\n<main{side.css}>',
        _not_met(side.failing, findings),
        side.section("Set screws"),
        '<div class="pair">',
        *(side.section(heading) for heading in ("Blade", "Screwed joints", "Plug")),
        _listed("Spares", side.spares),
        "</div>",
        _listed("Cautions", side.cautions),
        "</main>",
        "<footer>Computed by fitcheck from the sizes in the sheet; the report says how sure each number is. An "
        "estimate, not a certificate: local codes and licensed practice come first.</footer>",
    ]
    body = "\n".join(part for part in parts if part)
    return document(f"{build.title}: {uncapital(kind)}", body, "page", "card")


# -- what is said ------------------------------------------------------------------------------------------


def _with_screws(findings: Iterable[Finding]) -> list[Finding]:
    return [f for f in findings if isinstance(f.drawing, StripDrawing)]


def _unsettled(about: Finding, findings: Sequence[Finding]) -> Facts:
    """That what follows is about a thing that fails; nothing where it does not."""
    if not _fails(about, findings):
        return []
    return [
        ("Not settled", "it fails as the sheet stands, and these numbers may change with what mends it: see the report")
    ]


def _screw(one: BenchCard) -> Facts:
    length, torque, used = one.length, one.torque, one.unit
    each = length.unit.show(length.nominal, 3 if length.unit is INCH else 1)
    facts = [("Screw", f"{one.screws} × {plain(one.screw)} × {each}, {one.point} point, {one.material}")]
    if (key := _key(one)) is not None:
        facts.append(("Key", f"hexagon, {key}; push it home before it is turned"))
    tighten, loosen = (turning(one.screw.left_hand, loosen=loosen) for loosen in (False, True))
    if one.screw.left_hand:
        facts.append(("Hand", f"{hand(True).upper()}: turn {tighten} to tighten, {loosen} to loosen"))
    else:
        facts.append(("Hand", f"{hand(False)}: turn {tighten} to tighten, {loosen} to loosen"))
    if not torque > 0 or _is_zero(used, torque):
        return [*facts, ("Torque", "none is safe on this thread: do not tighten it, and read the report")]
    other = unit("in·lbf") if used.text == "N·m" else unit("N·m")
    facts.append(("Torque", f"no more than {used.down(torque)} ({other.down(torque)})"))
    return [*facts, ("By hand", one.by_hand)]


def _backing(one: BenchCard) -> Facts:
    """Turns that free the blade, and what then still holds the screw; nothing for a blade as large as its bore."""
    if not one.turns.most > 0:
        return []
    way = turning(one.screw.left_hand, loosen=True)
    low = one.left
    then = (
        "then it can fall out, so catch it" if low <= 0 else f"at the least {PLAIN.down(low, 1)} threads then hold it"
    )
    turns = (
        f"{one.turns.nominal:.1f} turns {way}, {PLAIN.up(one.turns.most, 1)} at the most, before the blade is pulled: "
        "its tip is flush with the bore"
    )
    return [("Backing off", f"{turns}; {then}")]


def _key(one: BenchCard) -> str | None:
    """Width of the key in words; None where neither sheet nor standard says it."""
    if one.key is None:
        return None
    if one.screw.unit == "mm":
        return f"{one.key:g} mm"
    inches = one.key / 25.4
    sixty_fourths = Fraction(round(64 * inches), 64)
    # The standards print 5/64 as 0.0781 or 0.078.
    return f"{sixty_fourths} in" if abs(sixty_fourths - inches) < 0.0006 else f"{inches:.4g} in"


def _joints(findings: Iterable[Finding]) -> list[tuple[str, Facts]]:
    """Which way each joint turns; a joint asked about twice is said once."""
    joints: dict[str, Facts] = {}
    threads: dict[str, str] = {}
    stated = [(f.name, f.handover) for f in findings]
    for named, joint in stated:
        if isinstance(joint, Screwed):
            name = _joint(named, joint.thread)
            threads[name] = plain(joint.thread)
            facts = joints.setdefault(name, [("Hand", _hand(joint.thread))])
            facts.append(("To unscrew", f"{PLAIN.up(joint.turns, 1)} turns at the most"))
    for named, stuck in stated:
        if not isinstance(stuck, TurnedLoose):
            continue
        thread = plain(stuck.thread)
        alike = [name for name, one in threads.items() if one == thread]
        # Without a name it is the joint of its thread, if there is only one.
        name = alike[0] if not named and len(alike) == 1 else _joint(named, stuck.thread)
        threads[name] = thread
        facts = joints.setdefault(name, [("Hand", _hand(stuck.thread))])
        torque = rounded_down(stuck.unit, stuck.torque)
        words = f"no more than {torque}, as pure twist: a clamp crushes a thin tube long before; try first what the"
        facts.append(("If it is stuck", f"{words} report says"))
    return list(joints.items())


def _joint(name: str, thread: Thread) -> str:
    return f"{shortened(name, _NAME)}: {plain(thread)}" if name else plain(thread)


def _hand(thread: Thread) -> str:
    tighten, loosen = (turning(thread.left_hand, loosen=one) for one in (False, True))
    turn = f"turn {loosen} to loosen, {tighten} to tighten"
    if thread.left_hand:
        return f"{hand(True).upper()}: {turn}, seen from the part that is turned"
    return f"{hand(False)}: {turn}"


def _blade(depth: Finding, stack: TubeStack) -> Facts:
    show = depth.unit.show
    facts = [
        (
            "Home",
            f"{show(depth.nominal)} deep, {depth.span(depth.worst_case)}; once home, mark the blade at the mouth",
        ),
        ("Each time", "clear the socket, push the blade home to its mark, tighten, then pull and twist it by hand"),
    ]
    if stack.screws:
        facts.append(("Screws", f"{', '.join(show(at) for _, at in stack.screws)} from the mouth"))
    return facts


def _plug(plug: CutPlug, fails: bool) -> Facts:
    if fails:
        return [
            ("Do not rely on it", "this length is not sure to keep the power cut under the closed cap; read the report")
        ]
    low, high = plug.window
    length = plug.unit.exactly(plug.length)
    if low <= high:
        length += f"; {window_words(plug.unit, plug.window)} work"
    return [
        ("Length", length),
        ("For", "carriage, storage, and before anything inside is unplugged"),
        ("Use", "push it home, then close the cap: with the plug in, the power is cut"),
        ("Check", "with a meter that it is, with the plug pushed home and drawn back to the cap"),
    ]


def _spares(build: Build, findings: Sequence[Finding]) -> list[str]:
    """What to keep in stock; a plug and a screw that are not to be relied on are not copied."""
    spares: list[str] = []
    for one in _with_screws(findings):
        if _fails(one, findings):
            continue
        (_, screw), *_ = _screw(one.drawing.bench)
        key = _key(one.drawing.bench)
        spares += [f"set screws: {screw}", *([f"hexagon key, {key}"] if key else [])]
    for one in findings:
        if isinstance(one.handover, CutPlug) and not _fails(one, findings):
            spares.append(f"plug, cut to {one.handover.unit.exactly(one.handover.length)}")
    for _, _, port in build.questions:
        if isinstance(port, PortClearance):
            spares += [f"cell {one.cell}" for one in (port.cell, *port.takes) if isinstance(one, OfCell)]
    return once(spares)


# -- helpers -----------------------------------------------------------------------------------------------


def plain(thread: Thread) -> str:
    """What a screw is asked for by, without its tolerance class: "M4x0.7", "#8-32 UNC-LH"."""
    return thread.size_and_pitch + ("-LH" if thread.left_hand else "")


def _is_zero(used: Unit, torque: float) -> bool:
    return used.show(torque) == used.show(0.0)


def _fails(about: Finding, findings: Iterable[Finding]) -> bool:
    """Whether a finding on the same question fails; questions of one kind are told apart by their names."""
    alike = (f for f in findings if f.question == about.question and f.name == about.name)
    return any(f.verdict is Verdict.FAILS for f in alike)


# -- how it is laid out ------------------------------------------------------------------------------------

_TITLE, _NAME, _NAMES = 150, 60, 320
"""Letters of the title of a build, of a name and of the names of what is alike that a card has room for."""
_FAILING = 6
"""Findings that fail and are named on a card; the report names all."""
_ROOMY, _CLOSE = 2700, 3100
"""Letters that fit on one side in rows at 10 pt, and at 9 pt."""
_LINES = 132
"""Lines that fit on one side of Letter, the shorter paper, at 9 pt in two columns."""
_WIDE, _BESIDE = 54, 44
"""Letters in a line of such a column, and of what stands beside its label."""


@dataclass(slots=True)
class _Side:
    """What one side of paper is to hold, and how it is set on it."""

    failing: list[str]
    groups: dict[str, list[tuple[list[str], Facts]]]
    """By the heading of their section: the names of what is alike, and what is said of them."""
    spares: list[str]
    cautions: list[str]
    css: str = ""
    left_out: Counter[str] = field(default_factory=Counter)

    def fit(self) -> None:
        """Choose type and columns; of what no side can hold leave out the last of the longest sections, and say so.

        The type is never smaller than 9 pt, and no caution is left out.
        """
        letters = sum(map(len, self._texts()))
        if letters <= _CLOSE:
            self.css = "" if letters <= _ROOMY else ' class="long"'
            return
        self.css = ' class="longest"'
        while self._lines() > _LINES:
            lines = {heading: self._lines_of(heading) for heading, groups in self.groups.items() if len(groups) > 1}
            if lines and (len(self.failing) == 1 or max(lines.values()) > 2 * len(self.failing)):
                heading = max(lines, key=lambda one: lines[one])
                names, _ = self.groups[heading].pop()
                self.left_out[heading] += len(names)
            elif len(self.failing) > 1:
                self.failing.pop()
            else:
                return

    def section(self, heading: str) -> str:
        """A section of the card; nothing where there is nothing to say."""
        return _section(heading, self.groups.get(heading, ()), self.left_out[heading])

    def _texts(self) -> Iterator[str]:
        yield from (*self.failing, *self.spares, *self.cautions)
        for heading, groups in self.groups.items():
            yield heading
            for names, facts in groups:
                yield from names
                yield from (text for fact in facts for text in fact)

    def _lines(self) -> int:
        """Lines of both columns, as far as they can be told without setting them."""
        across = 2 * sum(_lines(line, 2 * _WIDE) for line in self.failing) + (6 if self.failing else 0)
        listed = sum(_lines(line, _WIDE) for line in (*self.spares, *self.cautions)) + 6
        return across + listed + sum(map(self._lines_of, self.groups))

    def _lines_of(self, heading: str) -> int:
        lines = 3 + (1 if self.left_out[heading] else 0)
        for names, facts in self.groups[heading]:
            lines += _lines(_named(names), _WIDE) + sum(_lines(words, _BESIDE) for _, words in facts) + 1
        return lines


def _lines(text: str, wide: int) -> int:
    return -(-len(text) // wide)


def _alike(groups: Sequence[tuple[str, Facts]]) -> list[tuple[list[str], Facts]]:
    """What the same is said of together, under all its names."""
    together: dict[tuple[tuple[str, str], ...], list[str]] = {}
    for name, facts in groups:
        together.setdefault(tuple(facts), []).append(name)
    return [(names, list(facts)) for facts, names in together.items()]


def _named(names: Sequence[str]) -> str:
    """The names of what is alike, as many as are read; what has none is not named."""
    named = [shortened(name[:1].upper() + name[1:], _NAME) for name in once(names) if name]
    ends = accumulate(len(name) + 2 for name in named)
    shown = max(sum(end <= _NAMES for end in ends), 1)
    more = f" and {len(named) - shown} more" if len(named) > shown else ""
    return "; ".join(named[:shown]) + more


def _failing(findings: Sequence[Finding]) -> list[str]:
    """What fails, with the first way to meet it; no more of them than are read on a card."""
    failing = [finding for finding in findings if finding.verdict is Verdict.FAILS]
    return [
        f"{f.question}{f' ({shortened(f.name, _NAME)})' if f.name else ''}: {f.quantity}"
        + "".join(f". {line[:1].upper()}{line[1:]}." for line in f.change[:1])
        for f in failing[:_FAILING]
    ]


def _not_met(named: Sequence[str], findings: Sequence[Finding]) -> str:
    if not named:
        return ""
    failing = sum(finding.verdict is Verdict.FAILS for finding in findings)
    items = list(named)
    if failing > len(items):
        items.append(f"{failing - len(items)} more: the first page of the report has them all.")
    head = f"Not yet to be handed over: {failing} of {len(findings)} findings fail"
    return f'<section class="stop"><h2>{head}</h2>{bullets(items)}</section>'


def _section(heading: str, groups: Sequence[tuple[Sequence[str], Facts]], left_out: int = 0) -> str:
    if not groups:
        return ""
    articles = "\n".join(_article(_named(names), facts) for names, facts in groups)
    more = f"<p>{left_out} more: the report has them all.</p>" if left_out else ""
    return f'<section><h2>{safe(heading)}</h2><div class="cards">\n{articles}\n{more}</div></section>'


def _article(name: str, facts: Facts) -> str:
    head = f"<h3>{safe(name)}</h3>" if name else ""
    rows = "".join(f"<div><dt>{safe(label)}</dt><dd>{safe(words)}</dd></div>" for label, words in facts)
    return f"<article>{head}<dl>{rows}</dl></article>"


def _listed(heading: str, items: Sequence[str]) -> str:
    return f'<section class="{heading.lower()}"><h2>{heading}</h2>{bullets(items)}</section>' if items else ""
