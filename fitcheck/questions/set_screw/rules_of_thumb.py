"""What handbooks and the trade say of a thread in a wall, beside what is found of this one, and why they differ."""

from __future__ import annotations

import numpy as np

from fitcheck.mechanics import (
    engagement_handbook,
    shear_area_external,
    shear_area_internal,
    strength_ratio_J,
    strip_load_nasa,
    tensile_stress_area,
    tensile_stress_area_unified,
)
from fitcheck.mechanics.short_engagement import textbook_loads
from fitcheck.questions.finding import RuleOfThumb
from fitcheck.questions.set_screw.hands import ways_of_turning
from fitcheck.questions.set_screw.strength import SetScrew
from fitcheck.questions.set_screw.torque_limits import advised_torque, down

_BOLTING = 0.6
"""Shear strength over tensile strength, as the handbooks take it for bolting."""
_WORKMANSHIP = "a workmanship standard whose issuer was not seen, section 15.8"


def rules_of_thumb(q: SetScrew) -> tuple[RuleOfThumb, ...]:
    """The rules that are told of such a screw, each with what it asks or promises here."""
    return (*_lengths(q), *_torques(q))


def in_one_line(q: SetScrew) -> str:
    """What the rules for the length ask, against what there is: a line for the details."""
    d, P, has = q.screw.nominal, q.screw.pitch, q.threads_engaged.nominal
    used = q.sizes["screw_length"].unit
    one, more, three, here = (
        used.show(length, 3 if used.text == "in" else 1) for length in (d, 1.5 * d, 3 * P, has * P)
    )
    return (
        f"1 d in steel is {one}, 1.5 d in aluminium {more}, three threads {three}; of this wall {here} engages, "
        f"{has:.1f} threads"
    )


def _lengths(q: SetScrew) -> list[RuleOfThumb]:
    d, P, n = q.screw.nominal, q.screw.pitch, q.threads_engaged.nominal
    show = q.sizes["screw_length"].unit.show
    here = f"{show(n * P)}, {n:.1f} threads"
    to_break = "made for screws that are to break before the thread strips; a set screw need only press"
    rules = [
        RuleOfThumb("1 d of thread in steel and hard metals", f"asks {show(d)}", here, to_break, _WORKMANSHIP),
        RuleOfThumb("1.5 d of thread in aluminium", f"asks {show(1.5 * d)}", here, to_break, _WORKMANSHIP),
        RuleOfThumb(
            "at least three threads",
            f"asks {show(3 * P)}",
            here,
            "below about two and a half the incomplete ends weigh most, which the model counts and a limit cannot",
            _WORKMANSHIP,
        ),
        RuleOfThumb(
            "a wall of at least two pitches",
            f"asks {show(2 * P)}",
            show((q.outside.nominal - q.bore.nominal) / 2),
            "counts the wall, of which point, countersink and mouth take their share",
            "common practice, no source",
        ),
    ]
    if (length := _to_break_the_screw(q)) is not None:
        source = "FED-STD-H28/2; ASME B1.1, appendix B; its use of J from memory"
        rules.append(RuleOfThumb("length that breaks the screw first", f"asks {show(length)}", here, to_break, source))
    return rules


def _to_break_the_screw(q: SetScrew) -> float | None:
    """The handbooks' length of engagement, mm; None where a tensile strength is not known."""
    wall, screw = q.wall_material.tensile, q.screw_material.tensile
    if wall is None or screw is None:
        return None
    P, s = q.screw.pitch, q.strip_inputs
    area = tensile_stress_area if q.screw.unit == "mm" else tensile_stress_area_unified
    As, D1, D2, d, d2 = area(q.screw.nominal, P), s["D1"].upper, s["D2"].upper, s["d"].lower, s["d2"].lower
    external, internal = shear_area_external(P, P, D1, d2), shear_area_internal(P, P, d, D2)
    if not (float(external) > 0 and float(internal) > 0):
        return None
    J = strength_ratio_J(external, screw.value, internal, wall.value)
    return float(engagement_handbook(As, P, D1, d2, J=J))


def _torques(q: SetScrew) -> list[RuleOfThumb]:
    v, show, used = q.nominal, q.hand_torque.unit.show, q.hand_torque.unit
    n, lever = q.threads_engaged.nominal, float(np.asarray(q.lever(v)))
    LE = n * q.screw.pitch
    model = f"strips at about {show(q.strip_torque.nominal)}"
    rules = []
    if (tensile := q.wall_material.tensile) is not None:
        tau = _BOLTING * tensile.value
        hole, _ = textbook_loads(LE, q.screw.pitch, v["d"], v["d2"], v["D1"], v["D2"], tau, tau)
        rules.append(
            RuleOfThumb(
                "0.6 Rm on the sheared area",
                f"promises {show(float(np.asarray(hole)) * lever / 1000)}",
                model,
                f"takes every thread as whole and stiff; tests of {n:.1f} threads hold less of it"
                if n < 3
                else "takes every thread as whole and stiff",
                "FED-STD-H28/2; E. M. Alexander, SAE 770420 (1977)",
            )
        )
    shear = q.wall_material.shear_strength(q.shear_rule).value
    load = float(np.asarray(strip_load_nasa(v["d2"], shear, LE)))
    rules.append(
        RuleOfThumb(
            "π dm τ L / 3",
            f"promises {show(load * lever / 1000)}",
            model,
            "its third is a habit for unlike threads, whatever their number",
            "NASA RP-1228 (1990), p. 23",
        )
    )
    light = ways_of_turning()[0]
    safe = advised_torque(q).torque
    rules.append(
        RuleOfThumb(
            "finger tight is enough, and safe",
            f"is {show(light.low)} to {show(light.high)} with {light.how}",
            f"{down(used, safe)} is safe" if safe > 0 else "no torque is safe",
            f"fingers differ by more than their name says; what is called safe here is safe at a risk of {q.risk:g}",
            f"common practice, no source; torque of the hand: {light.source}",
        )
    )
    return rules
