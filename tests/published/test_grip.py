"""A thin tube gripped by strap, collet or jaws, against independent solutions of the ring.

The strap: a ring cut open, its loads summed from the cut, and the moments at the cut found from what closes it again
(no harmonics). The pinched ring: Roark's two numbers by the unit-load method. Friction: the rope on a bollard, summed.
"""

import math

import numpy as np
import pytest

from fitcheck.errors import InputError
from fitcheck.mechanics.grip import (
    STRAP_ARC,
    collet_pressure,
    collet_torque,
    jaw_torque,
    plug_play,
    strap_bending,
    strap_pull,
    strap_torque,
)

Do, Di, Rp, MU = 40.0, 37.0, 200.0, 0.2
R, T = 19.25, 1.5


def cut_ring(mu: float, arc: float, *, head: bool, pieces: int = 7200) -> float:
    """Greatest moment in a ring of radius 1 under a strap of pull 1: statics from a cut, closed by three moments."""
    at = (np.arange(pieces) + 0.5) / pieces * 2 * np.pi
    step = 2 * np.pi / pieces
    x = np.exp(1j * at)
    p = np.where(at < arc, np.exp(-mu * at), 0.0)
    # The tight end pulls backwards, and the strap creeps after it: so points the friction on the tube.
    load = -p * (1 + 1j * mu) * x * step
    if head:
        middle = (arc + 2 * np.pi) / 2
        under = int(middle / (2 * np.pi) * pieces)
        load[under] -= (load.sum() * np.exp(-1j * middle)).real * x[under]
    # The tube beside the strap bears what is left: a force as sinusoidal shear around it, a torque as even shear.
    rest, turn = load.sum(), (np.conj(x) * load).imag.sum()
    shear = -(rest * np.conj(1j * x)).real / np.pi - turn / (2 * np.pi)
    load = load + shear * 1j * x * step
    assert abs(load.sum()) < 1e-9
    assert abs((np.conj(x) * load).imag.sum()) < 1e-9
    moment = np.cumsum((np.conj(x) * load).imag) - (np.conj(x) * np.cumsum(load)).imag
    for close in (np.ones(pieces), np.cos(at), np.sin(at)):  # no turn and no gap at the cut
        moment = moment - close * (moment @ close) / (close @ close)
    return float(np.abs(moment).max())


@pytest.mark.parametrize("mu", [0.0, 0.1, 0.2, 0.4, 0.8])
@pytest.mark.parametrize("arc", [3.2, STRAP_ARC, 6.0])
def test_a_strap_bends_the_ring_as_a_cut_ring_says(mu, arc):
    both = max(cut_ring(mu, arc, head=head) for head in (False, True))
    assert strap_bending(mu, arc) == pytest.approx(both, rel=0.005)


def test_a_strap_all_around_without_friction_bends_nothing():
    assert strap_bending(0.0, 6.28) < 0.001
    with pytest.raises(InputError, match=r"arc = 6.3 rad: less than the whole circle"):
        strap_bending(0.2, 6.3)


def test_a_strap_passes_what_its_friction_sums_to():
    """Each piece of the arc takes mu times what it presses with; the wall yields under S/t and 6 k S R/t²."""
    S = T * Rp / (1 + 6 * strap_bending(MU) * R / T)
    assert S / T + 6 * strap_bending(MU) * S * R / T**2 == pytest.approx(Rp)
    pull, torque, n = S, 0.0, 100_000
    for _ in range(n):
        friction = MU * pull * STRAP_ARC / n
        torque, pull = torque + friction * R, pull - friction
    assert strap_torque(Do, Di, Rp, MU) == pytest.approx(torque / 1e3, rel=1e-4)
    # Nothing bends over a plug: the whole of t Rp.
    assert strap_torque(Do, Di, Rp, MU, plugged=True) == pytest.approx(T * Rp * torque / S / 1e3, rel=1e-4)


def test_what_a_grip_clamps_with_at_yield_is_what_yields_the_ring():
    """The torques were found from these loads [thin ring: p = Rp t/R; over a plug, S = t Rp]: found back from them."""
    length = 12.0
    passed = length * collet_torque(Do, Di, Rp, MU)
    assert collet_pressure(passed, Do, Di, MU, length) == pytest.approx(Rp * T / R)
    pulled = length * strap_torque(Do, Di, Rp, MU, plugged=True)
    assert strap_pull(pulled, Do, Di, MU) == pytest.approx(length * T * Rp)
    for bad in ({"mu": 0.0}, {"torque": -1.0}, {"Do": 0.0}):
        with pytest.raises(InputError, match=next(iter(bad))):
            collet_pressure(**{"torque": 1.0, "Do": Do, "Di": Di, "mu": MU, "length": length} | bad)
        with pytest.raises(InputError, match=next(iter(bad))):
            strap_pull(**{"torque": 1.0, "Do": Do, "Di": Di, "mu": MU} | bad)


def test_a_collet_presses_a_half_ring_together():
    """A ring cut in half bears 2 t Rp against p 2 R."""
    p = 2 * T * Rp / (2 * R)
    assert collet_torque(Do, Di, Rp, MU) == pytest.approx(MU * p * 2 * math.pi * R * R / 1e3)
    assert collet_torque(Do, Di, Rp, MU, plugged=True) == pytest.approx(MU * Rp * 2 * math.pi * R * R / 1e3)
    # Pressed by p from both faces and by q around, no wall yields below p = Rp while q is no more than Rp.
    q = np.linspace(0, Rp, 201)
    mises = np.sqrt((Rp**2 + q**2 + (Rp - q) ** 2) / 2)
    assert np.all(mises <= Rp * (1 + 1e-12))


def test_a_plug_bears_where_the_ring_has_come_to_it():
    """A pinched ring by the unit-load method: moments from 1/2 W R (cos - 2/pi), its diameter from their work."""
    E = 69_000.0
    at = (np.arange(20_000) + 0.5) / 20_000 * np.pi / 2  # from the side of the ring to a load
    m = 0.5 * (np.cos(at) - 2 / np.pi)  # moment over W R, on a quarter that neither end turns
    assert np.abs(0.5 * (np.cos(np.pi / 2) - 2 / np.pi)) == pytest.approx(1 / np.pi)
    flattens = 4 * np.sum(m * m) * np.pi / 2 / 20_000  # per W R³/(E I)
    W = T**2 * Rp / 6 / (R / np.pi)
    assert plug_play("soft jaws", Do, Di, Rp, E) == pytest.approx(flattens * W * R**3 / (E * T**3 / 12), rel=1e-6)
    assert plug_play("collet", Do, Di, Rp, E) == pytest.approx(2 * R * Rp / E) == plug_play("strap", Do, Di, Rp, E)
    assert jaw_torque(Do, Di, Rp, MU, plugged=True) == pytest.approx(MU * T * Rp * Do / 1e3)
    with pytest.raises(InputError, match=r"grip = 'vice'"):
        plug_play("vice", Do, Di, Rp, E)


def test_the_gentle_ways_come_first():
    for Di_ in (30.0, 37.0, 39.0):
        each = [way(Do, Di_, Rp, MU) for way in (collet_torque, strap_torque, jaw_torque)]
        assert each == sorted(each, reverse=True)
        plugged = [way(Do, Di_, Rp, MU, plugged=True) for way in (collet_torque, strap_torque, jaw_torque)]
        assert all(more > less for more, less in zip(plugged, each, strict=True))
