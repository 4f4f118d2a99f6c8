"""Measuring threads: over wires, percentages of thread height, and the corrections.

Sources: Machinery's Handbook 31 p. 2129, 2130 and 2155, F. D. Jones (`tests/reference/three_wires.csv`,
`tap_percent.csv`); the lead correction and the angle errors against an independent numerical model of a
helicoid and of two flanks.
"""

import math

import numpy as np
import pytest
from scipy.optimize import brentq, minimize
from threadtables import rows

from fitcheck.threads import measuring, profile

TAN = math.tan(math.pi / 6)
WIRES = rows("three_wires.csv")


def plain(d2, w, P):
    """The reading without the correction for lead, which the printed table leaves out."""
    return measuring.over_wires(d2, w, P) - measuring.lead_correction(w, P, d2)


@pytest.mark.parametrize("column", ["printed_V", "printed_US"])
def test_the_table_of_readings_over_wires(column, tally):
    known = {"2.28211"}  # a misprint for 2.8211, as the row says
    cells = [row for row in WIRES if row[column] and row[column] not in known]
    assert len(cells) == 37
    for row in cells:
        D, P, w = float(row["D"]), 1 / float(row["n"]), float(row["W"])
        d2 = D - (1.0 if column == "printed_V" else 0.75) * float(profile.triangle_height(P))
        # The handbook reckons with 1.5155 / n where the exact constant is 1.515544.
        shortened = (1.75 * math.sqrt(3) / 2 - 1.5155) * P if column == "printed_US" else 0.0
        assert plain(d2, w, P) + shortened == pytest.approx(float(row[column]), abs=0.501e-4)
    misprints = sum(row[column] in known for row in WIRES)
    tally("Machinery's Handbook 31, three wires", len(cells) + misprints, misprints)


@pytest.mark.parametrize(
    ("n", "printed"),
    [(8, 0.10825), (10, 0.08660), (13, 0.06662), (16, 0.05413), (20, 0.04330), (24, 0.03608), (32, 0.02706),
     (40, 0.02165), (80, 0.01083)],
)  # fmt: skip
def test_the_wire_constant(n, printed):
    """Machinery's Handbook 31 p. 2129: E = M + 0.866025 P - 3 W."""
    assert round(float(profile.triangle_height(1 / n)), 5) == printed


def test_best_wire():
    """US Army Ordnance course OD1645 p. 124: 0.57735 / n."""
    assert measuring.best_wire(1 / 8) == pytest.approx(0.57735 / 8, rel=1e-5)


def test_percent_of_full_thread():
    cells = [row for row in rows("tap_percent.csv") if not row["note"]]
    assert len(cells) == 38
    for row in cells:
        size, n = row["thread"].split("-")
        D = 0.060 + 0.013 * int(size)
        percent = profile.percent_thread(D, float(row["hole"]), 1 / float(n), convention="3/4 H")
        assert int(row["percent"]) - 0.5 <= percent < int(row["percent"]) + 1  # rounded or truncated


def distance_to_flank(R, d2, P, tilt):
    """Least distance from a straight line, tangent to the helix, to the upper flank of a screw's groove."""
    direction = np.array([0.0, math.cos(tilt), math.sin(tilt)])

    def square(point):
        r, turn = point
        flank = np.array([
            r * math.cos(turn), r * math.sin(turn), P / 4 + (r - d2 / 2) * TAN + P * turn / (2 * math.pi),
        ])  # fmt: skip
        away = flank - np.array([R, 0.0, 0.0])
        away = away - direction * (away @ direction)
        return away @ away

    found = minimize(
        square, [d2 / 2, 0.0], method="Nelder-Mead", options={"xatol": 1e-10, "fatol": 1e-16, "maxiter": 4000}
    )
    return math.sqrt(found.fun)


@pytest.mark.parametrize(("d2", "P"), [(5.350, 1.0), (2.675, 0.5), (9.026, 1.5), (4.0, 1.0), (3.35, 1.0)])
def test_the_lead_correction_against_a_numerical_helicoid(d2, P):
    w = measuring.best_wire(P)
    tilt = float(profile.lead_angle(d2, P))
    centre = brentq(lambda R: distance_to_flank(R, d2, P, tilt) - w / 2, d2 / 2, d2 / 2 + P)
    exact = 2 * centre + w - plain(d2, w, P)
    # The next term of the series is of the order of tan² of the lead angle.
    assert measuring.lead_correction(w, P, d2) == pytest.approx(exact, rel=4 * math.tan(tilt) ** 2 + 0.02)


def test_the_uncertainty_over_wires_is_that_of_the_derivatives():
    """JCGM 100:2008, 5.1.2, the derivatives of the pitch diameter by differences; the lead correction is left out."""
    P, U = 1.25, {"M": 0.002, "w": 0.0005, "P": 0.001}
    at = {"M": 8.5, "w": measuring.best_wire(P), "P": P}

    def d2(M, w, P):
        return M - 3 * w + math.sqrt(3) / 2 * P

    h = 1e-6
    slopes = {key: (d2(**{**at, key: at[key] + h}) - d2(**{**at, key: at[key] - h})) / (2 * h) for key in at}
    exact = math.sqrt(sum((slopes[key] * U[key]) ** 2 for key in at))
    assert measuring.over_wires_uncertainty(U["M"], U["w"], U["P"]) == pytest.approx(exact, rel=1e-6)


def test_the_angle_effect_against_flanks_laid_on_each_other():
    """Raise a perfect flank along the whole overlap until a wrong one clears it everywhere, on a screw and on a nut."""
    P, H = 1.25, float(profile.triangle_height(1.25))
    h = np.linspace(-H / 4, 3 * H / 8, 20_001)
    perfect = -h * math.tan(math.pi / 6)
    for error in (math.radians(1.0), math.radians(-1.0), math.radians(0.2)):
        wrong = -h * math.tan(math.pi / 6 + error)
        for external in (True, False):
            # A screw's flank must stay below the nut's; both pass through one point of the pitch line.
            screw, nut = (wrong, perfect) if external else (perfect, wrong)
            diametral = 2 * float(np.max(screw - nut)) / math.tan(math.pi / 6)
            effect = measuring.angle_error_effect(P, (error, error), external=external)
            assert effect == pytest.approx(diametral, rel=1e-6)


def test_the_angle_effect_is_that_of_gauging_practice():
    """0.073 P (k1 |δ1| + k2 |δ2|) µm, δ in minutes, k = 2 for a flank too blunt, 3 for one too sharp (from memory)."""
    minute = math.pi / 180 / 60
    found = measuring.angle_error_effect(1.0, (20 * minute, -20 * minute))
    assert found * 1000 == pytest.approx(0.073 * (2 * 20 + 3 * 20), rel=0.01)


def test_the_usable_wires():
    """0.505 P to 1.010 P for a basic 60° screw (from memory of gauging tables)."""
    smallest, largest = measuring.wire_range(6.0, float(profile.pitch_diameter(6.0, 1.0)), 1.0)
    assert (round(smallest, 3), round(largest, 2)) == (0.505, 1.01)
