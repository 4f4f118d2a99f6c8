"""A pressed tube: the closed forms of the ring against frames of straight beams, its width against a shell's series."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate

from fitcheck.errors import InputError
from fitcheck.mechanics.ring import (
    in_balance,
    pressed_width,
    ring_deflection,
    ring_moment,
    ring_stress,
    tube_flattening,
)


def frame(theta, loads, parts=720):
    """Bending moment at the nodes of a ring of straight beams (radius 1, E I = 1, nearly without stretch), and how far
    they move inwards; the loads press inwards at the nodes nearest to `theta`. Not the formulas of the library.
    """
    at = 2 * np.pi * np.arange(parts) / parts
    x = np.column_stack([np.cos(at), np.sin(at)])
    stiff, push = np.zeros((3 * parts, 3 * parts)), np.zeros(3 * parts)
    long, stretch = 2 * np.sin(np.pi / parts), 1e8
    local = np.zeros((6, 6))
    local[np.ix_([0, 3], [0, 3])] = stretch / long * np.array([[1, -1], [-1, 1]])
    bend = [[12, 6 * long, -12, 6 * long], [6 * long, 4 * long**2, -6 * long, 2 * long**2]]
    bend += [[-12, -6 * long, 12, -6 * long], [6 * long, 2 * long**2, -6 * long, 4 * long**2]]
    local[np.ix_([1, 2, 4, 5], [1, 2, 4, 5])] = np.array(bend) / long**3
    turned, nodes = [], []
    for i in range(parts):
        j = (i + 1) % parts
        c, s = (x[j] - x[i]) / long
        one = np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]])
        turn = np.block([[one, np.zeros((3, 3))], [np.zeros((3, 3)), one]])
        which = [3 * i, 3 * i + 1, 3 * i + 2, 3 * j, 3 * j + 1, 3 * j + 2]
        stiff[np.ix_(which, which)] += turn.T @ local @ turn
        turned.append(turn)
        nodes.append(which)
    for angle, load in zip(theta, loads, strict=True):
        i = round(angle / (2 * np.pi) * parts) % parts
        push[3 * i : 3 * i + 2] -= load * x[i]
    # Held as a body by the least squares solution, which shifts and turns as little as it can.
    moved = np.linalg.lstsq(stiff + 1e-6 * np.eye(3 * parts), push, rcond=None)[0]
    moment = [(local @ turn @ moved[which])[2] for turn, which in zip(turned, nodes, strict=True)]
    inwards = -(moved.reshape(-1, 3)[:, :2] * x).sum(axis=1)
    shift = [(inwards * wave).mean() * 2 * wave for wave in (np.cos(at), np.sin(at))]
    return at, np.array(moment), inwards - sum(shift) - inwards.mean()


@pytest.mark.parametrize(
    "screws",
    [
        [0, 180],
        [0, 45, 200],
        *(pytest.param(one, marks=pytest.mark.long) for one in ([0], [0, 90], [0, 120], [0, 120, 240])),
    ],
)
def test_the_ring_is_that_of_a_frame_of_beams(screws):
    theta, loads = in_balance(np.radians(screws))
    # The bore may press between two nodes of the frame: the nearest one tips the balance by little.
    at, moment, inwards = frame(theta, loads)
    assert moment == pytest.approx(ring_moment(np.radians(screws), at), abs=0.006)
    assert inwards == pytest.approx(ring_deflection(np.radians(screws), at), abs=0.001)


def test_the_printed_cases_of_a_ring():
    """Roark, 7th ed., table 9.2, cases 1 and 7: from memory."""
    assert ring_moment([0.0], [0.0, np.pi / 2]) == pytest.approx([0.3183, -0.1817], abs=5e-5)
    top, side, bottom = ring_deflection([0.0], [0.0, np.pi / 2, np.pi])
    assert (top + bottom, -2 * side) == pytest.approx((0.1488, 0.1366), abs=5e-5)
    for n in (2, 3, 4, 6):
        alpha = np.pi / n
        under, between = ring_moment(2 * alpha * np.arange(n), [0.0, alpha])
        assert under == pytest.approx((1 / alpha - 1 / np.tan(alpha)) / 2)
        assert between == pytest.approx(-(1 / np.sin(alpha) - 1 / alpha) / 2)


@given(st.lists(st.floats(0, 6.28), min_size=1, max_size=4), st.floats(0, 6.28))
def test_moment_and_deflection_are_the_sums_of_their_harmonics(screws, at):
    theta, loads = in_balance(screws)
    n = np.arange(2, 4000)
    waves = np.cos(np.outer(at - theta, n)) * loads[:, None]
    assert ring_moment(screws, [at])[0] == pytest.approx((waves / (n**2 - 1)).sum() / np.pi, abs=1e-3)
    assert ring_deflection(screws, [at])[0] == pytest.approx((waves / (n**2 - 1) ** 2).sum() / np.pi, abs=1e-6)
    assert abs((loads * np.exp(1j * theta)).sum()) < 1e-6, "what presses is in balance"


def shell(R, t, c, nu):
    """Deflection at, and bending stress around under, a unit load on a square patch of side c, and its opposite, on a
    long shell of modulus 1: Morley's equation by double series.
    """
    D, beta = t**3 / 12 / (1 - nu**2), c / 2 / R
    n = np.arange(2.0, 500.0, 2.0)
    lam = np.concatenate([np.geomspace(1e-6, 1, 1500), np.linspace(1, 500, 5000)[1:]])[:, None]
    p = 4 / np.pi * np.sin(n * beta) / n * 2 / np.pi * np.sin(lam * beta) / lam / c**2
    a = lam**2 + n**2
    w = R**4 / D * p * a**2 / (a**2 * (a - 1) ** 2 + 12 * (1 - nu**2) * (R / t) ** 2 * lam**4)
    moment = D / R**2 * (n**2 - 1 + nu * lam**2) * w
    deflection, around = (integrate.trapezoid(one.sum(axis=1), lam[:, 0]) for one in (w, moment))
    return deflection, 6 * around / t**2


@pytest.mark.parametrize("nu", [0.3, 0.38])
@pytest.mark.parametrize(
    ("slender", "part"),
    [(2.5, 0.28), (3.8, 0.16), (3.8, 0.3), (5.75, 0.16), (5.75, 0.3), (11.5, 0.08), (11.5, 0.3), (25, 0.04), (25, 0.3)],
)
def test_the_width_gives_the_stress_of_a_shell(slender, part, nu):
    R = 10.0
    t, c = R / slender, part * R
    r = c / np.sqrt(np.pi)
    # The patch whose radius, as the wall feels it, is r.
    patch = 2 * r if 2 * r >= t else np.sqrt(((r + 0.675 * t) ** 2 - t**2) / 0.4)
    bending = 6 / np.pi * R / (pressed_width(R, t, patch) * t**2)
    assert 1.0 < bending / shell(R, t, c, nu)[1] < 1.12


@pytest.mark.parametrize("nu", [0.3, 0.4])
@pytest.mark.parametrize("slender", [4.0, 5.75, 11.5, 25.0])
def test_a_long_tube_is_flattened_by_no_more(slender, nu):
    R = 10.0
    t = R / slender
    exact = 2 * shell(R, t, R / 6, nu)[0]
    assert 1.1 < tube_flattening(1.0, R, t, 1.0) / exact < 1.4


def test_a_tube_is_flattened_in_proportion_to_the_load():
    assert tube_flattening(50.0, 10.0, 2.0, 2380.0) == pytest.approx(50 / 2380 * tube_flattening(1.0, 10.0, 2.0, 1.0))
    assert tube_flattening(0.0, 10.0, 2.0, 2380.0) == 0


def test_near_an_end_half_the_tube_is_missing():
    whole = pressed_width(11.5, 2.0, 1.9)
    assert pressed_width(11.5, 2.0, 1.9, to_end=0.0) == pytest.approx(whole / 2)
    assert pressed_width(11.5, 2.0, 1.9, to_end=whole) == whole


@given(st.floats(5, 30), st.floats(0.005, 0.02), st.floats(1, 20))
@settings(max_examples=30)
def test_a_thin_ring_is_bent_like_a_straight_bar(R, part, width):
    t = part * R
    thin = 6 * R / np.pi / (width * t**2)
    assert ring_stress(1.0, R, t, width, [0.0]) == pytest.approx(thin, rel=0.02)
    assert ring_stress(3.0, R, t, width, [0.0]) == pytest.approx(3 * ring_stress(1.0, R, t, width, [0.0]))


def test_a_thick_ring_is_that_of_a_curved_bar():
    """Stress at the inner face under the load, by integrating σ r-weighted strain ε0 + κ (r - r_c)/r over the wall."""
    R, t = 10.0, 8.0
    r = np.linspace(R - t / 2, R + t / 2, 200_001)
    m, push = 1 / np.pi, 1 / np.pi - 1 / np.pi  # under the load the ring is bent, not pushed
    # σ = a + b/r with ∫σ dr = N and ∫σ (r - R) dr = -M, M = m R pulling on the inside.
    lines = np.array([[t, np.log(r[-1] / r[0])], [0.0, t - R * np.log(r[-1] / r[0])]])
    a, b = np.linalg.solve(lines, [push, -m * R])
    assert ring_stress(1.0, R, t, 1.0, [0.0]) == pytest.approx(np.abs(a + b / r).max(), rel=1e-6)


def test_what_is_no_ring_is_refused():
    with pytest.raises(InputError, match="t = 20 mm, R = 10 mm: a wall thinner"):
        ring_stress(1.0, 10.0, 20.0, 1.0, [0.0])
    with pytest.raises(InputError, match="at least one screw"):
        ring_moment([], [0.0])
    with pytest.raises(InputError, match="patch"):
        pressed_width(10.0, 2.0, -1.0)
