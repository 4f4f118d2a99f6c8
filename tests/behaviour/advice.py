"""Advice is made and asked again, and random builds to be advised on. All numbers here are invented."""

import numpy as np
from screw_inputs import SCREW

import fitcheck as fc
from fitcheck.questions import QUESTIONS, SetScrew, Verdict
from fitcheck.questions.moves import Effect
from fitcheck.stack import Dimension
from fitcheck.units import Unit, unit

# Findings that are made only where they are in doubt: after a move that mends them they are gone.
ONLY_IN_DOUBT = ("play of the blade in the bore", "room between port and cap", "overlap of the flanks")


def made_and_asked(question):
    """Every move that is advised on a question, made and asked again; how many there were."""
    tried = 0
    for finding in question.findings():
        assert bool(finding.moves) <= bool(finding.change)
        for move in finding.moves:
            said = f"{question}\n{finding.quantity}: {move}"
            assert move.words in finding.change, said
            for edit in move.edits:
                assert _is_said(move.words, edit.value, _old(question, edit.key)), said
            after = {one.quantity: one for one in move.made(question).findings()}
            if finding.quantity in after or finding.quantity not in ONLY_IN_DOUBT:
                verdict = after[finding.quantity].verdict
                good = {Effect.HOLDS: (Verdict.HOLDS,), Effect.WITHIN_RISK: (Verdict.HOLDS, Verdict.LIKELY)}
                assert verdict in good[move.effect], f"{said}\nafter it: {after[finding.quantity]}"
            if isinstance(question, SetScrew):  # nothing is advised that strips the thread
                strip = after["strip torque over hand torque"]
                assert strip.verdict is not Verdict.FAILS, f"{said}\nafter it: {strip}"
            tried += 1
    return tried


def _old(question, key):
    name, _, rest = key.partition("[")
    value = getattr(question, name)
    if not rest:
        return value
    place, _, size = rest.partition("]")
    one = value[int(place) - 1]
    return one.sizes[size[1:]] if size else one


def _is_said(words, new, old):
    """Whether the line names the number that the edit is made of: the new size, its tolerance, or how much it moves."""
    if isinstance(new, tuple) and isinstance(new[0], Dimension):
        return all(_is_said(words, one, None) for one in new)
    if isinstance(new, tuple):  # directions of screws that all point one way
        return not any(new) and f"{len(new)} screws in one row" in words
    if isinstance(new, float):  # how far a driver is off
        return f"± {100 * new:g} % " in words
    if new is None or not isinstance(new, Dimension):
        return new is None or str(new) in words
    sizes = [new.nominal, new.lower, new.upper, new.upper - new.nominal, new.half_width]
    if isinstance(old, Dimension):
        sizes += [new.nominal - old.nominal, (new.nominal - old.nominal) * 2]
    shown = {new.unit.show(abs(x), places) for x in sizes for places in range(13)}
    numbers = {text.split()[0] for text in shown}
    return bool(numbers & {word.strip(",;:+/-") for word in words.replace("/-", " ").split()})


class Notes:
    """Notes of random sizes in one unit."""

    def __init__(self, seed: int, text: str):
        self.rng = np.random.default_rng(seed)
        self.unit: Unit = unit(text)
        self.text = text

    def bare(self, mm):
        """A length without tolerance."""
        return f"{mm / self.unit.scale:.{self.unit.decimals + 2}f} {self.text}"

    def size(self, mm, half=None):
        """A size in mm as a note: symmetric, two-sided, limits, measured or with a spread."""
        rng, places = self.rng, self.unit.decimals + 1
        half = rng.choice([0.0, 0.02, 0.1, 0.3]) if half is None else half
        x, t = mm / self.unit.scale, half / self.unit.scale
        some = rng.uniform(0.2, 1.0) * t
        forms = [
            f"{x:.{places}f} ± {t:.{places}f}",
            f"{x:.{places}f} +{t:.{places}f}/-{some:.{places}f}",
            f"{x - t:.{places}f} .. {x + t:.{places}f}",
            f"{x:.{places}f} ± {t:.{places}f}",
            f"{x:.{places}f} measured ± {t / 4:.{places}f}",
        ]
        form = forms[rng.integers(len(forms))]
        spread = rng.choice(["", "", ", normal", ", triangular", ", normal 2 sigma"]) if "±" in form else ""
        # The unit stands behind the numbers and before the spread.
        return f"{form} {self.text}{spread}"

    def maybe(self, part, key, value):
        """The input in a share of the builds."""
        return {key: value} if self.rng.uniform() < part else {}


def blade(notes):
    rng, size, bare = notes.rng, notes.size, notes.bare
    inputs = {
        "adds": [size(rng.uniform(40, 70)), size(rng.uniform(2, 6))],
        "takes": [size(rng.uniform(2, 5)), size(rng.uniform(6, 20)), size(rng.uniform(1, 3))],
        "at_least": bare(rng.uniform(20, 50)),
        **notes.maybe(0.3, "at_most", bare(rng.uniform(50, 60))),
        **notes.maybe(0.7, "screws", [size(rng.uniform(8, 45)) for _ in range(rng.integers(1, 3))]),
        **notes.maybe(0.5, "cover", bare(rng.uniform(1, 4))),
    }
    if rng.uniform() < 0.5:
        inputs["cut"] = "takes[2]"
        inputs |= notes.maybe(0.7, "slug_screw", size(rng.uniform(40, 62)))
    if rng.uniform() < 0.5:
        bore = rng.uniform(24, 30)
        inputs |= {
            "bore": size(bore, 0.05),
            "blade": size(bore - rng.uniform(-0.1, 0.5), 0.1),
            "blade_length": size(rng.uniform(200, 500), 1.0),
            **notes.maybe(0.6, "wander_at_most", bare(rng.uniform(0.1, 4))),
            **notes.maybe(0.4, "bow", size(0.3, 0.1)),
        }
        if rng.uniform() < 0.4:
            inputs |= {"temperature": "-10 .. 45 °C", "blade_material": "polycarbonate", "socket_material": "6061-T6"}
            inputs |= notes.maybe(0.5, "play_at_least", bare(rng.uniform(0, 0.1)))
    return "blade_depth", inputs


def port(notes):
    rng, size, bare = notes.rng, notes.size, notes.bare
    bore = rng.uniform(28, 40)
    inputs = {"bore": size(bore, 0.05), **notes.maybe(0.4, "gap", bare(rng.uniform(0.1, 0.6)))}
    if rng.uniform() < 0.7:
        chassis = bore - rng.uniform(-0.1, 0.8)
        inputs["chassis"] = size(chassis, 0.1)
    else:
        wide = rng.uniform(0.5, 0.8) * bore
        inputs["chassis_width"] = size(wide, 0.1)
        inputs["chassis_height"] = size(np.sqrt(bore**2 - wide**2) - rng.uniform(-0.1, 1.0), 0.1)
    width = rng.uniform(8, 16)
    inputs["width"] = size(width, 0.2)
    inputs["reach"] = size(np.sqrt((bore / 2) ** 2 - (width / 2) ** 2) - rng.uniform(-0.2, 1.2), 0.2)
    if rng.uniform() < 0.4:
        out = rng.uniform(6, 9)
        inputs["bodies"] = [
            {"name": "nut", "diameter": size(10, 0.1), "offset": size(bore / 2 - 5 - rng.uniform(-0.2, 1.0), 0.1)},
            {
                "name": "switch",
                "width": size(out, 0.1),
                "reach": size(bore / 2 - rng.uniform(0.2, 2), 0.1),
                "angle": "90 ± 2 deg",
            },
        ][: rng.integers(1, 3)]
    if rng.uniform() < 0.4:
        inputs |= {"cell": size(18.5, 0.1), "cell_bore": size(18.5 + rng.uniform(-0.1, 0.6), 0.05)}
    if rng.uniform() < 0.6:
        room = rng.uniform(-1, 12)
        inputs |= {"adds": [size(110)], "takes": [size(65, 0.2), size(45 - room)]}
        if rng.uniform() < 0.5:
            free = rng.uniform(6, 14)
            inputs |= {"spring_free": size(free, 0.3), "spring_solid": size(free * rng.uniform(0.2, 0.7), 0.2)}
    return "port_clearance", inputs


def plug(notes):
    rng, size, bare = notes.rng, notes.size, notes.bare
    travel, room = rng.uniform(2, 6), rng.uniform(8, 20)
    seat = travel + rng.uniform(0.8, 5)
    inputs = {
        "travel": size(travel, 0.1),
        "seat": size(seat, 0.1),
        "adds": [size(100 + room)],
        "takes": [size(70), size(30)],
        **notes.maybe(0.4, "hold", bare(rng.uniform(0.1, 0.6))),
        **notes.maybe(0.4, "free", bare(rng.uniform(0.0, 0.4))),
        **notes.maybe(0.5, "length", size(room + rng.uniform(travel - 1, seat + 1))),
        **notes.maybe(0.3, "bought", size(room + seat + rng.uniform(-3, 6))),
        **notes.maybe(0.3, "kerf", bare(0.8)),
        **notes.maybe(0.3, "cut_tolerance", size(0.0, 0.2)),
    }
    return "plug_length", inputs


_PAIRS = [("M36x1.5-6g", "M36x1.5-6H"), ("M30x1.5-6g-LH", "M30x1.5-6H-LH"), ("1 3/8-18 UNEF-2A", "1 3/8-18 UNEF-2B")]


def joint(notes):
    rng, size = notes.rng, notes.size
    external, internal = _PAIRS[rng.integers(len(_PAIRS))]
    inputs = {
        "external": external,
        "internal": internal,
        "length": size(rng.uniform(2, 9)),
        "external_material": "6061-T6",
        "internal_material": "6063-T5",
        "load": f"{rng.uniform(500, 30000):.0f} N",
        "threads": float(rng.integers(2, 6)),
    }
    if rng.uniform() < 0.3:
        inputs |= {"clock_now": f"{rng.uniform(0, 360):.1f} ± {rng.uniform(0.2, 4):.1f} deg"}
        inputs |= {"clock_within": f"{rng.uniform(1, 6):.1f} deg"}
    return "thread_engagement", inputs


def screw(notes):
    rng, size = notes.rng, notes.size
    inch = notes.text != "mm"
    thread, d = [("M3x0.5", 3.0), ("M4x0.7", 4.0), ("M5x0.8", 5.0), ("M4x0.5", 4.0)][rng.integers(4)]
    if inch:
        thread, d = [("#6-32 UNC", 3.5), ("#8-32 UNC", 4.17), ("#10-32 UNF", 4.83)][rng.integers(3)]
    bore, wall = rng.uniform(20, 32), rng.uniform(1.5, 5)
    most, part = rng.uniform(0.05, 3) * (d / 4) ** 3, rng.uniform(0.4, 0.95)
    torque, shown = (most / 0.1129848, "in·lbf") if inch else (most, "N·m")
    ends = ("-2A", "-2B") if inch else ("-6g", "-6H")
    hand = f"{torque * (1 + part) / 2:.3f} ± {torque * (1 - part) / 2:.3f} {shown}"
    driver = {"driver": "6 %"} if rng.uniform() < 0.3 else {}
    screws = int(rng.integers(1, 4))
    blade = bore - rng.uniform(0.1, 0.5)
    acts = notes.maybe(0.3, "prevailing", f"{0.05 * torque:.3f} ± {0.03 * torque:.3f} {shown}")
    if rng.uniform() < 0.3:
        acts |= {"blade_material": "polycarbonate", "blade_bore": size(blade - rng.uniform(4, 10), 0.1)}
    if rng.uniform() < 0.3:
        acts |= {"blade_out": size(600), "seated": size(60, 0.5), "side": "1 N"}
        acts |= {"screws_at": [size(10 + 18 * i, 0.2) for i in range(screws)]}
    return "set_screw", {
        **{key: SCREW[key] for key in ("friction_thread", "friction_point", "friction_bore", "screw_material")},
        "screw": thread + ends[0],
        "hole": thread + ends[1],
        "outside": size(bore + 2 * wall, 0.05),
        "bore": size(bore, 0.03),
        "blade": size(blade, 0.05),
        "wall_material": str(rng.choice(["6061-T6", "6063-T5", "304"])),
        "hand_torque": f"{torque:.3f} {shown}" if driver else hand,
        **driver,
        "screws": screws,
        **acts,
        "pull": f"{rng.uniform(20, 600):.0f} N",
    }


def tube(notes):
    rng, size = notes.rng, notes.size
    external, internal = _PAIRS[rng.integers(len(_PAIRS))]
    most = 36.0 if "36" in external else 30.0 if "30" in external else 34.925
    return "handling", {
        "external": external,
        "internal": internal,
        "bore": size(most - rng.uniform(3, 8), 0.1),
        "outside": size(most + rng.uniform(2, 6), 0.1),
        "external_material": "6061-T6",
        "internal_material": str(rng.choice(["6063-T5", "304"])),
        **notes.maybe(0.3, "holes", size(rng.uniform(2, 4), 0.05)),
        str(rng.choice(["seized", "in_vain"])): f"{rng.uniform(5, 200):.1f} ± 4 N·m",
    }


LENGTHS = (blade, port, plug, joint)
"""What is quick to ask."""
TORQUES = (screw, tube)


def random_build(seed, units, builds):
    """A question about a random build, in one of the units; with a part to be cut that has a name."""
    notes = Notes(seed, units[seed % len(units)])
    name, inputs = builds[seed // len(units) % len(builds)](notes)
    if inputs.get("cut") == "takes[2]":
        takes = list(inputs["takes"])
        takes[1] = fc.dim(takes[1], name="slug")
        inputs = {**inputs, "takes": takes, "cut": "slug"}
    return QUESTIONS[name].read(inputs)
