"""The problems of `bench_stack.py` by OpenTURNS; run by it in an interpreter that has that library.

Reads a job as JSON from its input and prints the result as JSON. Times are the best of several runs.
"""

import json
import math
import sys
import time

import openturns as ot

PITCH = 0.7


def best(work, repeat):
    least, result = float("inf"), None
    for _ in range(repeat):
        start = time.perf_counter()
        result = work()
        least = min(least, time.perf_counter() - start)
    return least, result


def tail(job):
    sums = getattr(ot, "LinearCombinationDistribution", None) or ot.RandomMixture
    widths = job["tail"]
    return [
        best(lambda y=y: sums([ot.Uniform(-a, a) for a in widths]).computeComplementaryCDF(y), 1000) for y in job["at"]
    ]


def screw(job):
    import numpy as np

    def margin(x):
        d, L, tau, mu_t, mu_p, dp, d2, hand = np.asarray(x).T
        load = math.pi * d * L * (0.5 + (d - d2) / (math.sqrt(3) * PITCH)) * tau * 0.6
        torque = load * (PITCH / (2 * math.pi) + mu_t * d2 / (2 * math.cos(math.pi / 6)) + mu_p * dp / 3) / 1000
        return (torque - hand)[:, None]

    rows = []
    for hand in job["hands"]:
        laws = []
        for name, (spread, middle, half) in job["screw"].items():
            at = hand if name == "hand" else middle
            laws.append(ot.Uniform(at - half, at + half) if spread == "uniform" else ot.Normal(at, half / 3))
        joint = ot.JointDistribution(laws) if hasattr(ot, "JointDistribution") else ot.ComposedDistribution(laws)

        def run(joint=joint):
            ot.RandomGenerator.SetSeed(1)
            function = ot.PythonFunction(8, 1, func_sample=margin)
            event = ot.ThresholdEvent(ot.CompositeRandomVector(function, ot.RandomVector(joint)), ot.Less(), 0.0)
            solver = ot.AbdoRackwitz()
            if hasattr(solver, "setStartingPoint"):
                solver.setStartingPoint(joint.getMean())
            try:
                form = ot.FORM(solver, event)
            except TypeError:
                form = ot.FORM(solver, event, joint.getMean())
            form.run()
            result = form.getResult()
            point = result.getStandardSpaceDesignPoint()
            standard = ot.StandardEvent(event)
            experiment = ot.ImportanceSamplingExperiment(ot.Normal(point, ot.CovarianceMatrix(8)))
            simulation = ot.ProbabilitySimulationAlgorithm(standard, experiment)
            simulation.setMaximumCoefficientOfVariation(0.05)
            simulation.setMaximumOuterSampling(200)
            simulation.setBlockSize(100)
            simulation.run()
            found = simulation.getResult()
            calls = function.getEvaluationCallsNumber()
            p = found.getProbabilityEstimate()
            return p, found.getCoefficientOfVariation(), calls, result.getEventProbability()

        took, (p, cov, calls, form) = best(run, 10)
        rows.append((took, p, cov, calls, form))
    return rows


if __name__ == "__main__":
    ot.Log.Show(ot.Log.NONE)
    asked = json.load(sys.stdin)
    print(json.dumps(tail(asked) if "tail" in asked else screw(asked)))
