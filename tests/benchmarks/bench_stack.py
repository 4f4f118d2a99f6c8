"""Speed and accuracy of the stack engine, as ratios against baselines in the same run.

    python tests/benchmarks/bench_stack.py [PYTHON]

Nothing is asserted. PYTHON is an interpreter that has OpenTURNS, a general-purpose uncertainty library with a C++ core;
it runs the same problems in a process of its own (`bench_stack_other.py`). Without it only NumPy is compared with.

1. The tail of a sum of 12 unequal uniforms at 8e-8 and 2e-11, against exact rational arithmetic.
2. The probability that a hand torque strips a set screw, a function of 8 variables, near 1e-3, 1e-5, 1e-7 and 1e-9, to
   5 % standard error; the true value is a long run of plain importance sampling that shares no code with the engine.
3. The tail and the interval of a sum of 15 unequal beta members, against NumPy drawing 1e5 of them.
4. Plain sampling of a 12-member sum, against the bare generator producing as many variates.
"""

import json
import math
import subprocess
import sys
import time
from fractions import Fraction
from pathlib import Path

import numpy as np

from fitcheck.stack import Beta, Distribution, Normal, Uniform, combine, dimension, response

WIDTHS = [0.1 * (1 + 0.37 * i) for i in range(12)]
LEVELS = (8e-8, 2e-11)

# name: (spread, middle, half zone); a normal zone is 3 sigma
SCREW = {
    "d": ("uniform", 3.92, 0.06),
    "L": ("uniform", 1.9, 0.15),
    "tau": ("normal", 190.0, 45.0),
    "mu_t": ("uniform", 0.15, 0.05),
    "mu_p": ("uniform", 0.15, 0.05),
    "dp": ("uniform", 1.9, 0.1),
    "d2": ("uniform", 3.5, 0.05),
    "hand": ("normal", 0.0, 0.24),
}
HANDS = (0.63, 0.48, 0.36, 0.27)  # mean hand torque in N·m for the four levels
PITCH = 0.7
# The clock of a shared machine changes from one second to the next, so what is compared runs in turn, and the best of
# each counts.
ROUNDS = 5


def margin(d, L, tau, mu_t, mu_p, dp, d2, hand):
    """Torque to strip the wall's thread less the hand torque, N·m: d, L, dp, d2 in mm, tau in MPa."""
    load = math.pi * d * L * (0.5 + (d - d2) / (math.sqrt(3) * PITCH)) * tau * 0.6
    return load * (PITCH / (2 * math.pi) + mu_t * d2 / (2 * math.cos(math.pi / 6)) + mu_p * dp / 3) / 1000 - hand


def seconds(work, repeat):
    """The best of `repeat` runs, and the last result."""
    best, result = float("inf"), None
    for _ in range(repeat):
        start = time.perf_counter()
        result = work()
        best = min(best, time.perf_counter() - start)
    return best, result


def exact_tail(y):
    points = [(Fraction(0), 1)]
    for a in map(Fraction, WIDTHS):
        points = [(p + a, s) for p, s in points] + [(p - a, -s) for p, s in points]
    total = sum((s * (p - Fraction(y)) ** 12 for p, s in points if p > Fraction(y)), Fraction(0))
    return float(total / (math.factorial(12) * math.prod(2 * Fraction(a) for a in WIDTHS)))


def screw(hand):
    spreads = {"uniform": Uniform(), "normal": Normal(3.0)}
    inputs = {}
    for name, (spread, middle, half) in SCREW.items():
        inputs[name] = dimension(hand if name == "hand" else middle, plus=half, spread=spreads[spread], name=name)
    return response(margin, name="margin", **inputs)


def long_run(hand, n=4_000_000):
    """Importance sampling with a normal density moved towards failure, in plain NumPy; probability and its error."""
    from scipy import optimize, special

    def g(u):
        x = {}
        for (name, (spread, middle, half)), column in zip(SCREW.items(), u.T, strict=True):
            at = hand if name == "hand" else middle
            x[name] = at + half * (column / 3 if spread == "normal" else 2 * special.ndtr(column) - 1)
        return margin(**x)

    start = np.full(8, -0.5)
    start[7] = 1.0
    found = optimize.minimize(
        lambda u: u @ u / 2, start, constraints={"type": "eq", "fun": lambda u: 10 * g(u[None, :])[0]}, method="SLSQP"
    )
    point, random = found.x, np.random.default_rng(11)
    total = square = 0.0
    for _ in range(n // 200_000):
        u = point + random.standard_normal((200_000, 8))
        ratio = np.where(g(u) < 0, np.exp(point @ point / 2 - u @ point), 0.0)
        total, square = total + ratio.sum(), square + (ratio**2).sum()
    p = total / n
    return p, math.sqrt((square / n - p * p) / n)


def other(interpreter, job):
    """The same job by the other library, or nothing."""
    if interpreter is None:
        return None
    script = Path(__file__).with_name("bench_stack_other.py")
    done = subprocess.run([interpreter, str(script)], input=json.dumps(job), capture_output=True, text=True, check=True)
    return json.loads(done.stdout.splitlines()[-1])


def tails(interpreter):
    made = Distribution(0.0, [(a, Uniform()) for a in WIDTHS])
    places = [made.quantile(1 - p) if p > 1e-9 else -made.quantile(p) for p in LEVELS]
    rounds = []
    for _ in range(ROUNDS):
        theirs = other(interpreter, {"tail": WIDTHS, "at": places})
        ours = [seconds(lambda y=y: Distribution(0.0, [(a, Uniform()) for a in WIDTHS]).sf(y), 1000) for y in places]
        rounds.append((ours, theirs))
    print("tail of a sum of 12 unequal uniforms, construction and one tail")
    for i, y in enumerate(places):
        took, found = min(ours[i] for ours, _ in rounds)
        true = exact_tail(y)
        line = f"  p = {true:.3e}: {1e3 * took:.3f} ms, relative error {abs(found / true - 1):.1e}"
        if rounds[0][1]:
            t, p = min(theirs[i] for _, theirs in rounds)
            line += f"; OpenTURNS {1e3 * t:.3f} ms, {abs(p / true - 1):.1e}; time ratio {took / t:.2f}"
        print(line)
    random = np.random.default_rng(0)
    took, hits = seconds(
        lambda: sum(
            int(np.count_nonzero(random.uniform(-1, 1, (100_000, 12)) @ WIDTHS > places[0])) for _ in range(100)
        ),
        1,
    )
    print(f"  NumPy, 1e7 samples: {took:.2f} s, {hits} beyond the first limit, so neither is resolved")


def betas():
    """The sum of fifteen unequal beta members: a tail, and a 99 % interval."""
    members = [(a, Beta(2 + 0.3 * i, 3 + 0.2 * i)) for i, a in enumerate([*WIDTHS, 0.6, 0.64, 0.68])]
    random = np.random.default_rng(0)
    base, drawn = seconds(lambda: sum(a * (2 * random.beta(b.alpha, b.beta, 100_000) - 1) for a, b in members), 3)
    place = Distribution(0.0, members).mean + 2 * float(drawn.std())
    tail, found = seconds(lambda: Distribution(0.0, members).sf(place), 5)
    both, _ = seconds(lambda: Distribution(0.0, members).interval(0.99), 3)
    print(f"sum of 15 unequal betas: a tail of {found:.5f} in {1e3 * tail:.0f} ms, an interval in {1e3 * both:.0f} ms")
    print(
        f"  NumPy, 1e5 samples: {np.mean(drawn > place):.5f} in {1e3 * base:.0f} ms; ratio of a tail {tail / base:.2f}"
    )


def rare(interpreter):
    print("strip torque against hand torque, 8 variables, 5 % standard error")
    rounds = []
    for _ in range(ROUNDS):
        theirs = other(interpreter, {"screw": SCREW, "hands": HANDS})
        made = [screw(hand) for hand in HANDS]
        ours = [seconds(lambda m=m: m.probability(below=0.0, method="design point"), 10) for m in made]
        rounds.append((ours, theirs))
    for i, hand in enumerate(HANDS):
        took, found = min((ours[i] for ours, _ in rounds), key=lambda one: one[0])
        true, error = long_run(hand)
        apart = (found - true) / math.hypot(found.standard_error, error)
        share = 100 * found.standard_error / found
        line = (
            f"  p = {true:.3e} (± {100 * error / true:.1f} %): {found:.3e} ± {share:.1f} %, "
            f"{apart:+.1f} errors off, {found.evaluations} evaluations, {1e3 * took:.1f} ms"
        )
        if rounds[0][1]:
            t, p, cov, calls, form = min((theirs[i] for _, theirs in rounds), key=lambda one: one[0])
            line += f"; OpenTURNS {p:.3e} ± {100 * cov:.1f} %, {calls} evaluations, {1e3 * t:.1f} ms (FORM {form:.1e})"
            line += f"; time ratio {took / t:.2f}"
        print(line)


def sampling():
    n = 1_000_000
    print(f"sampling a sum of 12 members, {n:,} values")
    for spread, bare in (
        (Uniform(), lambda r: r.uniform(-1.0, 1.0, n)),
        (Normal(3.0), lambda r: r.normal(0.0, 1 / 3, n)),
    ):
        total = combine([(1.0, dimension(10.0, plus=a, spread=spread)) for a in WIDTHS])
        random = np.random.default_rng(0)
        took = base = math.inf
        for _ in range(ROUNDS):
            took = min(took, seconds(lambda t=total: t.sample(n), 2)[0])
            base = min(base, seconds(lambda b=bare, r=random: [b(r) for _ in range(12)], 2)[0])
        print(f"  {spread.name}: {took:.3f} s, bare generator {base:.3f} s; ratio {took / base:.2f}")


if __name__ == "__main__":
    with_other = sys.argv[1] if len(sys.argv) > 1 else None
    tails(with_other)
    betas()
    rare(with_other)
    sampling()
