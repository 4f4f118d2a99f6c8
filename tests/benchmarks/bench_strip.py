"""The probability of stripping by the library against plain sampling of ten million screws, in one run.

    python tests/benchmarks/bench_strip.py

Nothing is asserted. For several hand torques it prints both probabilities with their standard errors, how many of those
they are apart, and how much longer the plain sampling took. The sampling shares no code with the stack engine: it draws
from `numpy.random` and calls the model.
"""

import math
import sys
import time
from pathlib import Path

import numpy as np

from fitcheck.mechanics import short_model
from fitcheck.questions import SetScrew

sys.path.append(str(Path(__file__).parents[1]))
from screw_inputs import SCREW

N = 10_000_000
BLOCK = 250_000

TORQUES = ("1.0 ± 0.5 N·m", "0.6 ± 0.2 N·m", "0.4 ± 0.1 N·m", "0.3 ± 0.1 N·m", "0.2 ± 0.05 N·m")


def plain(questions, seed):
    """Hits among N screws for each question's hand torque; the same screws for all."""
    rng = np.random.default_rng(seed)
    first = questions[0]
    hits = np.zeros(len(questions), dtype=int)
    for _ in range(N // BLOCK):
        v = {
            key: rng.uniform(d.lower, d.upper, BLOCK)
            for key, d in first.strip_inputs.items()
            if key not in ("scatter", "bench")
        }
        v["scatter"] = short_model().next_scatter * rng.standard_normal(BLOCK)
        v["bench"] = rng.standard_t(short_model().bench.freedom, BLOCK)
        strip = first.torque_to_strip(**v)
        for i, question in enumerate(questions):
            hand = rng.uniform(question.hand_torque.lower, question.hand_torque.upper, BLOCK)
            hits[i] += np.count_nonzero(strip < hand)
    return hits


def main():
    questions = [SetScrew.read({**SCREW, "hand_torque": torque}) for torque in TORQUES]
    questions[0].torque_to_strip(**questions[0].nominal)  # tables are read once, before the clock starts
    start = time.perf_counter()
    hits = plain(questions, seed=20261125)
    sampled = time.perf_counter() - start
    print(f"plain sampling, {N:,} screws: {sampled:.1f} s for all hand torques together")
    print("hand torque       library            plain sampling     apart  plain/library time  method")
    for torque, question, count in zip(TORQUES, questions, hits, strict=True):
        start = time.perf_counter()
        p = question.strip_margin.probability(below=1.0)
        took = time.perf_counter() - start
        share = count / N
        error = math.sqrt(max(share * (1 - share), 1 / N) / N)
        apart = abs(p - share) / math.hypot(error, p.standard_error)
        print(
            f"{torque:16}  {p:.3e} ± {p.standard_error:.0e}  {share:.3e} ± {error:.0e}  {apart:5.2f}  "
            f"{sampled / took:17.1f}  {p.words}"
        )


if __name__ == "__main__":
    main()
