"""A threaded tube pulled, bent, squeezed and drilled, against independent solutions.

Lamé's ring is solved here as a boundary value problem (scipy) and by finite differences, from equilibrium and Hooke's
law alone; von Mises from the stress tensor; bending and the open ring by summing fibres. One case by hand, the socket
of a hand-held tube: M36x1.5 on a wall of 1.03 mm, 6061-T6.
"""

import itertools
import math

import numpy as np
import pytest
from scipy.integrate import solve_bvp
from scipy.optimize import brentq

from fitcheck.errors import InputError
from fitcheck.mechanics import bending_pull, flank_pressure, grip_to_hold, hole_share, squeezed_pull_limit
from fitcheck.mechanics.tube import largest_hole, pinch_limit, pull_limit

E, NU = 69_000.0, 0.33


def ring(Ri, Ro, inside, outside):
    """Hoop and radial stress at Ri and Ro under two pressures, plane stress: u'' = u/r² - u'/r with both pressures."""
    k = E / (1 - NU**2)

    def radial(r, u, du):
        return k * (du + NU * u / r)

    solved = solve_bvp(
        lambda r, y: np.vstack((y[1], y[0] / r**2 - y[1] / r)),
        lambda a, b: np.array([radial(Ri, *a) + inside, radial(Ro, *b) + outside]),
        np.linspace(Ri, Ro, 41),
        np.zeros((2, 41)),
        tol=1e-9,
    )
    assert solved.success
    ends = (Ri, solved.y[:, 0]), (Ro, solved.y[:, -1])
    return [(k * (u / r + NU * du), radial(r, u, du)) for r, (u, du) in ends]


def ring_by_differences(Ri, Ro, inside, outside, n=4001):
    """The same by second-order finite differences on Lamé's own unknown, the radial stress: (r³ σr')' = 0."""
    r = np.linspace(Ri, Ro, n)
    middle = ((r[1:] + r[:-1]) / 2) ** 3
    flux = (inside - outside) / np.sum(1 / middle)  # of a chain of conductances in series
    radial = -inside + np.concatenate(([0.0], np.cumsum(flux / middle)))
    return radial, r


def mises(*principal):
    tensor = np.diag(principal)
    rest = tensor - np.trace(tensor) / 3 * np.eye(3)
    return math.sqrt(1.5 * np.sum(rest * rest))


def limit_by_search(Do, Di, d2, LE, Rp, external):
    area = math.pi * (Do**2 - Di**2) / 4

    def over(F):
        p = F * math.tan(math.radians(30)) / (math.pi * d2 * LE)
        ends = ring(Di / 2, d2 / 2, 0.0, p) if external else ring(d2 / 2, Do / 2, p, 0.0)
        return max(mises(F / area, hoop, radial) for hoop, radial in ends) - Rp

    return brentq(over, 1.0, 1e6, rtol=1e-7)


CASES = [
    (34.11, 32.05, 34.95, 7.5, 275.0, True),
    (34.11, 28.0, 34.95, 4.0, 275.0, True),
    (34.11, 5.0, 34.95, 12.0, 145.0, True),
    (38.0, 36.1, 35.03, 7.5, 275.0, False),
    (60.0, 36.1, 35.03, 3.0, 240.0, False),
]


@pytest.mark.parametrize("case", CASES)
def test_first_yield_is_that_of_a_ring_solved_from_equilibrium(case):
    *sizes, external = case
    assert squeezed_pull_limit(*sizes, external=external) == pytest.approx(limit_by_search(*case), rel=1e-5)


def test_two_solutions_of_the_ring_agree():
    for (Ri, Ro), (inside, outside) in itertools.product([(16.0, 17.5), (2.0, 17.5)], [(10.0, 0.0), (0.0, 10.0)]):
        radial, r = ring_by_differences(Ri, Ro, inside, outside)
        hoop = radial + r * np.gradient(radial, r, edge_order=2)  # equilibrium
        solved = ring(Ri, Ro, inside, outside)
        assert (hoop[0], hoop[-1]) == pytest.approx((solved[0][0], solved[1][0]), rel=1e-3)


def test_the_socket_by_hand():
    """Wall of 1.03 mm: at 29 289 N the flanks press with 20.5 MPa and the bore bears -258 MPa around, 275 along."""
    d2, LE, Di = 34.95, 7.5, 32.05
    p = flank_pressure(29_289, d2, LE)
    assert p == pytest.approx(20.5, abs=0.05)
    hoop = -2 * p * d2**2 / (d2**2 - Di**2)
    assert hoop == pytest.approx(-258, abs=1)
    Do = math.sqrt(106.5 * 4 / math.pi + Di**2)
    assert pull_limit(Do, Di, 275.0) == pytest.approx(29_288, abs=1)
    assert math.sqrt(275**2 + 275 * 258 + 258**2) == pytest.approx(461.7, abs=0.1)
    first = squeezed_pull_limit(Do, Di, d2, LE, 275.0, external=True)
    assert first == pytest.approx(29_288 * 275 / 461.7, rel=2e-3)
    assert first == pytest.approx(17_450, abs=50)


def test_a_thick_wall_a_long_thread_and_nothing_at_all():
    # Long engagement: no squeeze is left, and the tension alone counts.
    long = squeezed_pull_limit(34.11, 32.05, 34.95, 1e6, 275.0, external=True)
    assert long == pytest.approx(pull_limit(34.11, 32.05, 275.0), rel=1e-4)
    short = squeezed_pull_limit(34.11, 32.05, 34.95, np.array([1.0, 2.0, 4.0, 8.0]), 275.0, external=True)
    assert np.all(np.diff(short) > 0)
    for nothing in ((32.0, 32.05, 34.95, 7.5), (34.1, 32.05, 34.95, 0.0), (34.1, 32.05, 31.0, 7.5)):
        assert squeezed_pull_limit(*nothing, 275.0, external=True) == 0
    assert squeezed_pull_limit(36.0, 36.1, 35.0, 7.5, 275.0, external=False) == 0


def fibres(Do, Di, n=400):
    """Places and areas of small pieces of a ring."""
    r = np.linspace(Di / 2, Do / 2, n + 1)
    r, dr = (r[1:] + r[:-1]) / 2, np.diff(r)
    phi = (np.arange(n) + 0.5) * 2 * np.pi / n
    return r[:, None] * np.cos(phi), (r * dr)[:, None] * np.full(n, 2 * np.pi / n)


@pytest.mark.parametrize(("Do", "Di"), [(34.11, 32.05), (40.0, 10.0), (20.0, 0.0)])
def test_bending_as_the_sum_of_fibres(Do, Di):
    y, area = fibres(Do, Di)
    worst = 30e3 * (Do / 2) / np.sum(y**2 * area)
    assert bending_pull(30.0, Do, Di) == pytest.approx(worst * np.sum(area), rel=1e-4)
    assert bending_pull(30.0, Do, Do) == pytest.approx(4 * 30e3 / Do)
    with pytest.raises(InputError, match="Di = 50 mm"):
        bending_pull(30.0, Do, 50.0)


@pytest.mark.parametrize(("hole", "n"), [(0.0, 1), (4.0, 1), (4.0, 2), (10.0, 1), (6.0, 4), (25.0, 1)])
def test_holes_as_the_sum_of_fibres(hole, n):
    d = 34.0
    alpha = n * hole / d
    phi = alpha + (np.arange(200_000) + 0.5) * (2 * np.pi - 2 * alpha) / 200_000
    y, area = d / 2 * np.cos(phi), np.full(200_000, (2 * np.pi - 2 * alpha) / 200_000 * d / 2)
    middle = np.average(y, weights=area)
    second = np.sum((y - middle) ** 2 * area)
    at_edge = d / 2 * math.cos(alpha)
    stress = 1 / np.sum(area) + (0 - middle) * (at_edge - middle) / second
    assert hole_share(d, hole, n) == pytest.approx(1 / (np.pi * d) / stress, rel=1e-6)


def test_small_holes_take_three_times_their_area():
    assert hole_share(1000.0, 1.0) == pytest.approx(1 - 3 * 1e-3 / np.pi, abs=1e-5)
    assert hole_share(34.0, 0.0) == 1
    assert hole_share(34.0, 34.0, 2) == 0


def test_jaws_that_hold_a_torque():
    """15 N·m on 40 mm at a friction of 0.2: two jaws at 20 mm, 1875 N each; a 2 mm wall is flattened by 30 N a mm."""
    assert grip_to_hold(15.0, 40.0, 0.2) == pytest.approx(1875)
    assert grip_to_hold(15.0, 40.0, 0.2) * 0.2 * 20e-3 * 2 == pytest.approx(15)
    assert pinch_limit(40.0, 36.0, 275.0) == pytest.approx(30.3, abs=0.1)


@pytest.mark.parametrize(
    "call",
    [
        lambda: flank_pressure(-1.0, 35.0, 7.0),
        lambda: flank_pressure(1.0, 35.0, 0.0),
        lambda: bending_pull(-1.0, 35.0, 30.0),
        lambda: hole_share(0.0, 4.0),
        lambda: hole_share(35.0, -4.0),
        lambda: grip_to_hold(15.0, 40.0, 0.0),
    ],
)
def test_what_cannot_be_is_refused(call):
    with pytest.raises(InputError):
        call()


def test_the_hole_that_a_flat_wall_stands_for_is_as_wide_as_twice_the_root_of_radius_and_wall():
    """2 sqrt(R t) [Peterson's, chapter 4, from memory]: R = 18, t = 2 give 12 mm."""
    assert largest_hole(38.0, 34.0) == pytest.approx(12.0)
    assert largest_hole(38.0, 38.0) == 0.0
