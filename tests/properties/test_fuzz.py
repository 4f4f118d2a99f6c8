"""Whatever is put in, it is answered or refused: no foreign exception, no warning, no NaN, no long or broken message.

Seeded: input number i of a door is the same in every run, so that `OF_DOOR["note"](random.Random("note 17"))` repeats
number 17. A run tries 5,000 inputs; `pytest tests/properties/test_fuzz.py --fuzz 200000` tries as many as it says.
"""

import json
import math
import random
import re
import traceback
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
import pint
import pytest
from asked import EVERY_QUESTION
from screw_inputs import SCREW

import fitcheck as fc
from fitcheck.report.table import json as as_json

USUAL = 5_000
LONGEST = 300
"""Characters of a message: what a terminal shows in four lines."""

Q = pint.UnitRegistry().Quantity
NUMBERS = (
    "0", "-0", "0.0", "1", "2", "4", "5.0", "6", "12", "25", "25.4", "25,4", "1,000", "1'000", "1 000", ".25", "25.",
    "1/4", "1 1/2", "1-1/4", "1/0", "3/16", "¼", "1e3", "1.65e1", "1e-3", "1e15", "1e16", "1e150", "1e308", "1e309",
    "1e-320", "-3", "+3", "--3", "0x10", "1_0", "nan", "inf", "-inf", "٣", "１２", "1" * 20, "9" * 310, "9" * 4400,
    "0.1" + "0" * 40 + "1", "16.5", "9.0", "32", "36", "40", "118.0",
)  # fmt: skip
UNITS = (
    "", " mm", "mm", " in", '"', "″", " inch", " inches", " ft", " m", " µm", " um", " thou", " th", " mil", " N",
    " lbf", " kN", " N·m", " Nm", " in·lbf", " MPa", " psi", " deg", "°", " rad", " rpm", " Hz", " 1/s", " °C",
    " °F", " K", " %", " kg", " g", " oz", "%°F", "deg °C", " u", " Grad", " Mm", " N/mm2", " 1/K", " measured", " MM",
    " furlong", "'", " mm mm",
)  # fmt: skip
TOLERANCES = (
    "", " ± 0.1", "±0.05", " +/- 0.1", "+-0.05", " +0.1/-0.05", " +0.1 -0", " -0.1", " +0.1", " +\t0.1/-0.05", "-\t.1",
    " +0/-0", " 0/-0.1", " +0.1/+0.05", " ± 1e308", " ± 1e14", " ± -1", " ±", " ± nan", " .. 30", "..1", " to 99", "…7",
    " H7", "H7", " g6", " e9", " zz99", " H7/g6", " measured ± 0.02", " measured", " ± 10 %", " ± 2 thou", " −0.002",
    " –0.1",
)  # fmt: skip
SPREADS = (
    "", "", "", ", normal", ", normal 2 sigma", ", normal 0 sigma", ", normal 1e308 sigma",
    ", truncated normal 3 sigma", ", uniform", ", triangular", ", trapezoidal 0.5", ", trapezoidal 2",
    ", beta 2 3", ", beta 0 0", ", beta 1e308 2", ", arcsine", ", Student t, 4 degrees of freedom",
    ", Student t, 0 degrees of freedom", ", plateau",
    " (normal)", ", ", ", beta 1e-9 1e-9", ", Normal", ", triangular triangular",
)  # fmt: skip
THREADS = (
    "M6", "M6x1", "M6x1-6g", "M6x1-6H", "M4x0.7-6H", "M4x0.7-6g", "M10x1.25-5H6H-LH", "M36x1.5-6g", "M6×0.75", "m6 X 1",
    "M6.5x1", "M0", "M1000x6-6g", "M-3", "M6x-1", "M6x0", "M6x1e308", "1/4-20", "1/4-20 UNC-2A", "#8-32 UNC-2B-LH",
    "0.190-32 UNF-3A", "1.4375-16 UN-2B", "#8", "8-32", "1/0-20", "G1/4", "1/4 NPT", "Tr10x2", "M6x1-9z", "M6x1-6g6g6g",
)  # fmt: skip
MATERIALS = ("6061-T6", "6061", "45H", "polycarbonate", "brass", "A2-70", "unobtainium", "", "6061-T6 ", "EN AW-6082")
SIGNS = " \t\n\r\v\f\u00a0\u2009\u200b\u2028\ufeff\x00\x1b+-−–±.,/×x*()[]{}'\"⌀øØ°%µ²³=;:#_\\eE0123456789mHgUNCé漢😀"


def garbled(r: random.Random, text: str) -> str:
    """The text with some characters lost, doubled, swapped or put in."""
    letters = list(text)
    for _ in range(r.choice((0, 0, 1, 1, 2, 4))):
        at = r.randrange(len(letters) + 1)
        what = r.randrange(4)
        if what == 0:
            letters.insert(at, r.choice(SIGNS))
        elif what == 1 and letters:
            del letters[at % len(letters)]
        elif what == 2 and letters:
            letters[at % len(letters)] = r.choice(SIGNS)
        elif letters:
            letters[at:at] = letters[: r.randrange(1, 9)]
    return "".join(letters)


def note(r: random.Random) -> str:
    return garbled(r, r.choice(NUMBERS) + r.choice(UNITS[:12]) * r.randrange(2) + r.choice(TOLERANCES) + r.choice(UNITS)
                   * r.randrange(2) + r.choice(SPREADS))  # fmt: skip


def designation(r: random.Random) -> str:
    return garbled(
        r, r.choice(THREADS) + r.choice(("", "", "", "-6g", "-6H", "-LH", " 2A", "-2B", "/6H", " LH", "-6g-LH"))
    )


CONSTANTS = (
    None, True, False, 0, 1, -1, 2.5, 25, 1e-300, 1e14, 1e150, 1e308, math.nan, math.inf, 10**400, 10**5000, 1j,
)  # fmt: skip
COLLECTIONS = (
    [], [1], [None], ["4 ± 0.1"], (), (1, 2, 3), ("M4", "M4"), {}, {"note": "4"}, {"name": 1}, {1}, b"4 mm",
)  # fmt: skip
OBJECTS: tuple[Callable[[random.Random], Any], ...] = (
    note, note, note, designation, lambda r: r.choice(MATERIALS),
    lambda r: r.choice(CONSTANTS), lambda r: r.choice(COLLECTIONS),
    lambda r: r.uniform(-5, 60), lambda r: r.randrange(-3, 60), lambda r: 10.0 ** r.uniform(-12, 18),
    lambda r: np.array(r.choice((1.0, [1, 2], [[1.0]], ["4"], [], [None]))), lambda r: np.float32(r.uniform(0, 40)),
    lambda r: Q(r.choice((25.0, [1, 2], 1, math.nan)), r.choice(("mm", "inch", "N", "degC", "deg", "", "kg"))),
    lambda r: fc.dim(r.uniform(0, 40), plus=0.1), lambda r: fc.thread("M6x1-6g"), lambda r: fc.material("6061-T6"),
    lambda r: object, lambda r: "a" * 10_000, lambda r: 25.4 * r.randrange(1, 9), lambda r: [note(r), note(r)],
)  # fmt: skip


def anything(r: random.Random) -> Any:
    return r.choice(OBJECTS)(r)


def _some(r: random.Random, **choices: Callable[[random.Random], Any]) -> dict[str, Any]:
    return {key: make(r) for key, make in choices.items() if r.random() < 0.4}


def a_note(r: random.Random) -> Any:
    found = fc.dim(note(r), name=r.choice(("", "", "slug")))
    return found, found.worst_case(), found.nominal, found.rss(), found.interval(0.99), str(found)


def a_dimension(r: random.Random) -> Any:
    spread = r.choice(("uniform", "normal", "normal 2 sigma", "triangular", "beta 2 3", "what", 3, None))
    found = fc.dim(anything(r), **_some(r, plus=anything, minus=anything, spread=lambda r: spread, name=anything))
    return found, found.worst_case(), found.nominal, str(found)


def a_sum(r: random.Random) -> Any:
    found = fc.dim(note(r)) + fc.dim(note(r)) - r.choice((0, 2, 0.5)) * fc.dim(note(r))
    return found.worst_case(), found.interval(0.99), found.probability(below=anything(r)), found.contributions()


def a_thread(r: random.Random) -> Any:
    found = fc.thread(designation(r) if r.random() < 0.9 else anything(r))
    return found.limits().as_printed(), str(found), repr(found.limits())


def a_fit(r: random.Random) -> Any:
    size = r.choice(NUMBERS) + r.choice(("", "", " mm", " in"))
    hole, shaft = (r.choice("ABCDEFGHJKMNPRSTUXZ") + str(r.randrange(-1, 20)) for _ in range(2))
    asked = garbled(r, f"{size} {hole}/{shaft.lower()}") if r.random() < 0.9 else anything(r)
    return repr(fc.fit(asked))


def a_pair(r: random.Random) -> Any:
    return repr(fc.pair(anything(r), anything(r)) if r.random() < 0.3 else fc.pair(designation(r), designation(r)))


def a_material(r: random.Random) -> Any:
    return repr(fc.material(garbled(r, r.choice(MATERIALS)) if r.random() < 0.7 else anything(r)))


def an_added_material(r: random.Random) -> Any:
    named = _some(r, tensile=anything, yield_=anything, shear=anything, modulus=anything, expansion=anything)
    name, source = (anything(r) if r.random() < 0.3 else "brass of mine" for _ in range(2))
    added = fc.add_material(name, source=source, **named)
    sizes = (added.tensile, added.yield_, added.shear, added.modulus, added.expansion)
    return [(one.value, one.lower, one.upper) for one in sizes if one is not None]


def a_description(r: random.Random) -> Any:
    return fc.describe(anything(r))


def an_identified(r: random.Random) -> Any:
    across = {r.choice(("outside", "bore")): r.choice((r.uniform(0, 40), note(r), anything(r)))}
    more = _some(r, pitch=anything, tpi=anything, U=anything, U_pitch=anything, wear=anything, most=anything)
    kept = dict(list(more.items())[: r.randrange(3)])
    return repr(fc.identify(**across, **kept))


def a_comparison(r: random.Random) -> Any:
    base = {key: value for key, value in SCREW.items() if key not in ("hole", "screw")}
    for key in r.sample(list(base), r.randrange(4)):
        base.pop(key) if r.random() < 0.3 else base.update({key: anything(r)})
    threads = r.choice((["M4x0.7", "M4x0.5"], [designation(r)], anything(r), [anything(r)]))
    return repr(fc.compare_pitches(threads, **base))


def a_question(r: random.Random) -> Any:
    question, inputs = EVERY_QUESTION[r.choice(list(EVERY_QUESTION))]
    asked = dict(inputs)
    declared = list(fc.questions.QUESTIONS[question].inputs())
    for _ in range(r.choice((1, 1, 1, 2, 3))):
        key = r.choice(list(asked)) if asked and r.random() < 0.7 else r.choice(declared)
        what = r.randrange(8)
        if what == 0:
            asked.pop(key, None)
        elif what == 1:
            asked[garbled(r, key)] = anything(r)
        elif what in (2, 3) and isinstance(asked.get(key), str):
            asked[key] = garbled(r, asked[key])
        elif what == 4 and isinstance(asked.get(key), list):
            asked[key] = [*asked[key], anything(r)]
        else:
            asked[key] = anything(r)
    found = fc.ask(question if r.random() < 0.97 else anything(r), **asked)
    numbers = [(one.worst_case, one.interval, one.nominal) for one in found]
    if re.search(r"\b(nan|inf|infinity)\b", repr(asked), re.IGNORECASE):  # a part that is called "inf" is told so
        return numbers
    return json.loads(as_json(found)), str(found), numbers


SHEET = """sheet = 1
title = "A wand"
notes = ["invented"]
risk = 0.001
[parts]
socket = "60 ± 0.2"
slug = { note = "8 ± 0.1", measured = "8.02 measured ± 0.02" }
cell = "cell 18650 length"
[workshop]
caliper = "0.02 mm"
[blade_depth]
adds = ["socket"]
takes = ["slug", "14.5 ± 0.3"]
at_least = "36 mm"
[[plug_length]]
travel = "4 ± 0.2"
seat = "9 ± 0.2"
adds = ["16.5 ± 0.6"]
"""


def a_sheet(r: random.Random, folder: Any) -> Any:
    lines = SHEET.splitlines()
    for _ in range(r.choice((1, 1, 2, 3))):
        at = r.randrange(len(lines))
        what = r.randrange(5)
        if what == 0 and len(lines) > 1:
            del lines[at]
        elif what == 1:
            lines[at] = garbled(r, lines[at])
        elif what == 2:
            key = lines[at].partition("=")[0]
            plain = r.choice(
                ("1e400", "nan", "[]", "{}", "true", "1979-05-27", "9" * 5000, '""', "0x" + "f" * 400, "-1")
            )
            value = r.choice((json.dumps(note(r), ensure_ascii=False), plain))
            lines[at] = f"{key}= {value}"
        elif what == 3:
            lines.insert(at, r.choice(lines))
        else:
            lines.insert(at, f"{r.choice(('open', 'risk', 'confidence', 'screws', '[open]', 'x' * 500))} = {note(r)!r}")
    path = folder / "s.toml"
    path.write_text("\n".join(lines), encoding="utf-8", errors="replace")
    found = fc.load(path).findings()
    return json.loads(as_json(found)), str(found)


OF_DOOR: Mapping[str, tuple[float, Callable[..., Any]]] = {
    "note": (0.365, a_note), "dimension": (0.12, a_dimension), "sum": (0.05, a_sum), "thread": (0.16, a_thread),
    "fit": (0.08, a_fit), "pair": (0.05, a_pair), "material": (0.03, a_material), "added": (0.04, an_added_material),
    "described": (0.01, a_description), "identified": (0.03, an_identified), "pitches": (0.005, a_comparison),
    "question": (0.02, a_question), "sheet": (0.04, a_sheet),
}  # fmt: skip
"""What is asked, and its share of all inputs."""


def not_finite(value: Any) -> bool:
    """Whether NaN or an infinity is in what was answered."""
    if isinstance(value, (float, np.floating)):
        return not math.isfinite(value)
    if isinstance(value, np.ndarray):
        return value.dtype.kind == "f" and not np.isfinite(value).all()
    if isinstance(value, str):
        words = value.casefold().replace(",", " ").replace("(", " ").replace("=", " ").split()
        return not {"nan", "inf", "-inf", "infinity"}.isdisjoint(words)
    if isinstance(value, Mapping):
        return any(map(not_finite, value.values()))
    return isinstance(value, (list, tuple)) and any(map(not_finite, value))


def escape(door: str, number: int, *more: Any) -> str | None:
    """What is wrong with how input `number` of a door is met, or nothing."""
    try:
        answered = OF_DOOR[door][1](random.Random(f"{door} {number}"), *more)
    except fc.InputError as error:
        lines = (
            str(error).splitlines() if door == "sheet" else [str(error)]
        )  # a sheet is told all its errors, a line each
        if any(len(line.replace(str(more[0]) if more else "", "")) > LONGEST for line in lines):
            return f"message of {max(map(len, lines))} characters: {str(error)[:160]!r}"
        if len(str(error).splitlines()) != len(lines) or any(not line.isprintable() for line in lines) or not lines:
            return f"message of several lines, or with signs that cannot be printed: {str(error)[:160]!r}"
        return None
    except Exception as error:
        frame = traceback.extract_tb(error.__traceback__)[-1]
        ours = [one for one in traceback.extract_tb(error.__traceback__) if "/fitcheck/" in one.filename]
        at = (
            f"{ours[-1].filename.split('/fitcheck/')[-1]}:{ours[-1].lineno}" if ours else f"{frame.name}:{frame.lineno}"
        )
        return f"{type(error).__name__} at {at}: {str(error)[:120]}"
    return "NaN or an infinity in the answer" if not_finite(answered) else None


@pytest.mark.parametrize("door", OF_DOOR)
def test_every_input_is_answered_or_refused(door: str, request: pytest.FixtureRequest, tmp_path: Any) -> None:
    tries = math.ceil(OF_DOOR[door][0] * request.config.getoption("--fuzz"))
    more = [tmp_path] if door == "sheet" else []
    met: dict[str, str] = {}
    for number in range(tries):
        if (wrong := escape(door, number, *more)) is not None:
            met.setdefault(re.sub(r"\d+ characters", "", wrong.split(": ")[0]), f"{door} {number}: {wrong}")
    assert not met, "\n".join(met.values())
