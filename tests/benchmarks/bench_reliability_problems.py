"""The reliability problems of the public library `otbenchmark`, each asked on the default path: one table.

    python tests/benchmarks/bench_reliability_problems.py [PROBLEM ...]

It needs `otbenchmark` (with OpenTURNS, a general-purpose uncertainty library) beside fitcheck in one environment, and
says so where it is missing; neither is a dependency of this project. Nothing is asserted.

Each problem is a function of random variables and the probability that it falls below a threshold. The variables
become normal members by the transformation that the library gives. "Printed" is the probability it states. A few of
these have few digits or are of one simulation, so a long run gives the reference: plain NumPy sampling of the same
function, with a normal density wider than the standard one for what is rarer than 1e-4, so that it knows of no design
point. "Apart" is the difference from the long run in combined standard errors; within 3 is as it should be.
"""

import math
import sys
import time

import numpy as np

from fitcheck.stack import Normal, dimension, response

try:
    import openturns

    if not hasattr(openturns, "ComposedDistribution"):  # its name until 1.23, which the problems still use
        openturns.ComposedDistribution = openturns.JointDistribution
    import otbenchmark
except ImportError:
    otbenchmark = None

LONG = 4_000_000
WIDE = 1.8  # standard deviations of the density that a long run of a rare problem draws from
AT_ONCE = 100_000


def two_edges(x):
    """RP110 by hand: the OpenTURNS of today no longer reads a formula with `if`."""
    first = np.where(x[:, 0] <= 3.5, 0.85 - 0.1 * x[:, 0], 4 - x[:, 0])
    second = np.where(x[:, 1] <= 2, 2.3 - x[:, 1], 0.5 - 0.1 * x[:, 1])
    return np.minimum(first, second)


def step(x):
    """RP77 by hand, for the same reason."""
    return np.where(x[:, 2] <= 5, x[:, 0] - x[:, 1] - x[:, 2], x[:, 2] - x[:, 1])


BY_HAND = {"RP110": two_edges, "RP77": step}


class Problem:
    """A problem of the library as a function of independent standard normal variables, negative where it fails."""

    def __init__(self, problem):
        event = problem.getEvent()
        self.name, self.printed = problem.getName(), problem.getProbability()
        self._function, self._threshold = event.getFunction(), event.getThreshold()
        assert event.getOperator()(0.0, 1.0), "fails below its threshold"
        variables = event.getAntecedent().getDistribution()
        self.n = variables.getDimension()
        self._transform = variables.getInverseIsoProbabilisticTransformation()

    def __call__(self, u):
        x = self._transform(openturns.Sample(u))
        own = BY_HAND.get(self.name)
        return (np.asarray(self._function(x)).ravel() if own is None else own(np.asarray(x))) - self._threshold

    def response(self):
        inputs = {f"u{i}": dimension(0.0, plus=1.0, spread=Normal(1.0), name=f"u{i}") for i in range(self.n)}
        return response(lambda **u: self(np.column_stack(list(u.values()))), name=self.name, **inputs)

    def long_run(self):
        """The probability and its standard error by sampling that shares no code with the engine."""
        wide = WIDE if self.printed < 1e-4 and self.n <= 10 else 1.0
        random, total, square = np.random.default_rng(20), 0.0, 0.0
        for _ in range(LONG // AT_ONCE):
            u = wide * random.standard_normal((AT_ONCE, self.n))
            ratio = wide**self.n * np.exp(-(u**2).sum(axis=1) / 2 * (1 - 1 / wide**2)) * (self(u) < 0)
            total, square = total + ratio.sum(), square + (ratio**2).sum()
        p = total / LONG
        return p, math.sqrt((square / LONG - p * p) / LONG)


def row(problem):
    start = time.perf_counter()
    found = problem.response().probability(below=0.0)
    took = time.perf_counter() - start
    p, error = problem.long_run()
    apart = (found - p) / math.hypot(found.standard_error, error)
    return (
        f"{problem.name:26} {problem.n:3}  {problem.printed:9.3g}  {p:9.4g} ± {100 * error / p:4.1f} %"
        f"  {float(found):9.4g} ± {100 * found.standard_error / found:4.1f} %  {apart:+5.1f}"
        f"  {found.evaluations:7}  {took:6.2f} s  {found.method}"
    )


def main(wanted):
    if otbenchmark is None:
        sys.exit("otbenchmark is not installed here (pip install otbenchmark, in an environment of its own): skipped")
    openturns.Log.Show(openturns.Log.NONE)
    print(f"{'problem':28} n    printed   long run{'found':>19}{'apart':>16}   points    time  method")
    for problem in map(Problem, otbenchmark.ReliabilityBenchmarkProblemList()):
        if not wanted or problem.name in wanted:
            print(row(problem), flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
