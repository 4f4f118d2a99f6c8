"""A slip at 1:1 to cut out and lay on the metal: plug, what lies under the blade, screws, and a bar to check by."""

from __future__ import annotations

from collections.abc import Sequence

from fitcheck.questions.blade.findings import TubeStack
from fitcheck.questions.plug.findings import PlugStack
from fitcheck.report.colours import INK, PALE
from fitcheck.report.html import safe
from fitcheck.report.summary import shortened, without_unit
from fitcheck.units import MM, Unit

_LONGEST = 180.0
"""mm that fit on a sheet of A4 or Letter between its margins."""
_ROW = 11.0


def slip(drawings: Sequence[object], unit: Unit = MM) -> str:
    """The slip for the drawings of some findings; nothing where none has a length to lay on.

    unit: that lengths are shown in. A length that no sheet of paper holds is left out.
    """
    rows: list[str] = []
    for one in drawings:
        if isinstance(one, PlugStack):
            rows.append(_strip("plug", one.length, [], unit))
        elif isinstance(one, TubeStack):
            marks = [(at, name) for name, at in one.screws]
            marks.append((one.depth, "blade ends"))
            rows.append(_strip("from the mouth of the socket", max(at for at, _ in marks), marks, unit))
            rows += [_strip(name, length, [], unit) for name, length in one.below]
    drawn = [row for row in dict.fromkeys(rows) if row]
    if not drawn:
        return ""
    body = "".join(drawn)
    check = 50.8 if unit.inch else 50.0
    bar = unit.show(check, 0)
    return (
        '<section class="slip"><h2>Slip at 1:1, to cut out and lay on the metal</h2>\n'
        f"<p>Print without fitting to the page. Measure the bar first: it is {bar} long, or the slip is not to be "
        "used. Nominal sizes; mark out from the drawing or the page, not from paper, where it matters.</p>\n"
        f"{_strip('check bar', check, [], unit, solid=True)}{body}</section>"
    )


def _strip(name: str, length: float, marks: Sequence[tuple[float, str]], unit: Unit, *, solid: bool = False) -> str:
    """A strip `length` mm long with a mark at each place; nothing for one that is longer than the paper."""
    if not 0 < length <= _LONGEST:
        return ""
    marks = sorted(marks)
    wide, high = _LONGEST + 2, _ROW + 3.4 * len(marks)
    label = f"{shortened(name.replace('_', ' '), 40)}: {unit.show(length)}"
    top = high - _ROW + 4.2
    shapes = [
        f'<text x="0.5" y="3" font-size="3">{safe(label)}</text>',
        f'<rect x="0.5" y="{top}" width="{length:.3f}" height="5" fill="{INK if solid else PALE}" stroke="{INK}" '
        'stroke-width="0.15"/>',
    ]
    for row, (at, what) in enumerate(reversed(marks)):
        if 0 <= at <= _LONGEST:
            # A row of its own for each name, the last at the bottom, so that no line of another crosses it.
            y = top - 1.4 - 3.4 * row
            shapes.append(
                f'<path d="M{at + 0.5:.3f} {y - 2:.2f}V{top + 6.5:.2f}" stroke="{INK}" stroke-width="0.2"/>'
                f'<text x="{at + 1.2:.3f}" y="{y:.2f}" font-size="2.8">{safe(shortened(what, 24))} '
                f"{without_unit(unit, at)}</text>"
            )
    return (
        f'<svg width="{wide}mm" height="{high + 1}mm" viewBox="0 0 {wide} {high + 1}" role="img" '
        f'aria-label="{safe(label)}">{"".join(shapes)}</svg>'
    )
