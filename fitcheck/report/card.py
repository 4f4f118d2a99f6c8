"""The handover card: one page for whoever gets the device.

It says what the sheet knows and no more: set screws with their key and torque, which way threads turn, how the blade
comes out, what the plug does, what to keep in stock, and the cautions.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from decimal import Decimal
from fractions import Fraction

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
from fitcheck.report.summary import once
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
    screws = [(f.name, [*_screw(f.drawing.bench), *_backing(f.drawing.bench)]) for f in _with_screws(findings)]
    blades = [(f.name, _blade(f, f.drawing)) for f in findings if isinstance(f.drawing, TubeStack)]
    plugs = [(f.name, _plug(f.handover, _fails(f, findings))) for f in findings if isinstance(f.handover, CutPlug)]
    when = f"<span>{safe(made)}</span>" if made else ""
    parts = [
        f'<header><div class="about"><h1>{safe(build.title)}</h1></div>'
        f'<p class="counts">Handover card{when}</p></header>\n<main>',
        _not_met(findings),
        _section("Set screws", screws),
        '<div class="pair">',
        _section("Blade", blades),
        _section("Screwed joints", _joints(findings)),
        _section("Plug", plugs),
        _listed("Spares", _spares(build, findings)),
        "</div>",
        _listed("Cautions", once(caution for finding in findings for caution in finding.cautions)),
        "</main>",
        "<footer>Computed by fitcheck from the sizes in the sheet; the report says how sure each number is. An "
        "estimate, not a certificate: local codes and licensed practice come first.</footer>",
    ]
    body = "\n".join(part for part in parts if part)
    return document(
        f"{build.title}: handover card", body.replace("<main>", f"<main{_fitted(body)}>", 1), "page", "card"
    )


# -- what is said ------------------------------------------------------------------------------------------


def _with_screws(findings: Iterable[Finding]) -> list[Finding]:
    return [f for f in findings if isinstance(f.drawing, StripDrawing)]


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
    return f"{name}: {plain(thread)}" if name else plain(thread)


def rounded_down(used: Unit, torque: float) -> str:
    """A torque in N·m that is not to be passed, in the unit `used`, rounded down to the two digits a hand can follow.

    >>> rounded_down(unit("N·m"), 311.65)
    '310 N·m'
    """
    shown = Decimal(repr(used.from_base(torque)))
    if not shown > 0:
        return used.show(0.0, 0)
    step = Decimal(1).scaleb(shown.adjusted() - 1)
    down = shown // step * step
    return f"{down:f} {used.text}" if step < 1 else f"{int(down)} {used.text}"


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
    """What to keep in stock; a plug that is not to be relied on is not copied."""
    spares: list[str] = []
    for one in _with_screws(findings):
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


def _fitted(body: str) -> str:
    """A class for the main part of a long card, by which its type is set smaller on paper and it stays on one side."""
    letters = len(re.sub(r"<[^>]*>", "", body))
    sizes = ((2700, ""), (3300, ' class="long"'), (4800, ' class="longest"'))
    return next((css for most, css in sizes if letters <= most), ' class="crowded"')


_FAILING = 6
"""Findings that fail and are named on a card; the report names all."""


def _not_met(findings: Sequence[Finding]) -> str:
    failing = [finding for finding in findings if finding.verdict is Verdict.FAILS]
    if not failing:
        return ""
    items = [f.title + "".join(f". {line[:1].upper()}{line[1:]}." for line in f.change[:1]) for f in failing[:_FAILING]]
    if len(failing) > _FAILING:
        items.append(f"{len(failing) - _FAILING} more: the first page of the report has them all.")
    head = f"Not yet to be handed over: {len(failing)} of {len(findings)} findings fail"
    return f'<section class="stop"><h2>{head}</h2>{bullets(items)}</section>'


def _section(heading: str, groups: Sequence[tuple[str, Facts]]) -> str:
    if not groups:
        return ""
    articles = "\n".join(_article(name, facts) for name, facts in groups)
    return f'<section><h2>{safe(heading)}</h2><div class="cards">\n{articles}\n</div></section>'


def _article(name: str, facts: Facts) -> str:
    head = f"<h3>{safe(name[:1].upper() + name[1:])}</h3>" if name else ""
    rows = "".join(f"<div><dt>{safe(label)}</dt><dd>{safe(words)}</dd></div>" for label, words in facts)
    return f"<article>{head}<dl>{rows}</dl></article>"


def _listed(heading: str, items: Sequence[str]) -> str:
    return f'<section class="{heading.lower()}"><h2>{heading}</h2>{bullets(items)}</section>' if items else ""
