"""What a set-screw question costs, alone and by the thousand, and the report on them.

    python tests/benchmarks/bench_set_screws.py [QUESTIONS]

Processor times, as ratios to a million normal draws of NumPy in the same run. The questions differ in their numbers, as
those of a sheet of many screws do. Memory is what the findings keep, and the peak of the process.
"""

import resource
import sys
import tempfile
import time
import tracemalloc
from pathlib import Path

import numpy as np

import fitcheck as fc
from fitcheck.report.page import page

sys.path.append(str(Path(__file__).parents[1]))
from screw_inputs import SCREW

KNOCKED = {"blade_out": "700 mm", "seated": "38.5 ± 0.7", "screws": 2, "angles": ["0 deg", "0 deg"]}
QUESTIONS = 1000


def timed(call, *arguments):
    start = time.process_time()
    found = call(*arguments)
    return time.process_time() - start, found


def peak() -> float:
    """The most memory of the process, and of the largest that it has started, so far, MiB."""
    return sum(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)) / 1024


def sheet(count: int) -> Path:
    """A sheet of so many set screws whose torque, length, wall and pull differ."""
    g = np.random.default_rng(0)
    lines = ["sheet = 1"]
    for i in range(count):
        torque, length, outside, pull = (float(g.uniform(*ends)) for ends in ((0.4, 2), (3.6, 5), (29.5, 31), (10, 60)))
        inputs = {
            **SCREW,
            **KNOCKED,
            "name": f"screw no. {i}",
            "screws_at": ["12.0 ± 0.2", "36.5 ± 0.2"],
            "hand_torque": f"{torque:.3f} ± {torque / 4:.3f} N·m",
            "screw_length": f"{length:.2f} ± 0.2",
            "outside": f"{outside:.2f} ± 0.1",
            "pull": f"{pull:.0f} N",
        }
        lines += ["[[set_screw]]", *(f"{key} = {_toml(value)}" for key, value in inputs.items())]
    path = Path(tempfile.mkdtemp()) / "screws.toml"
    path.write_text("\n".join(lines), encoding="utf-8")
    return path


def _toml(value) -> str:
    return str(value).replace("'", '"') if isinstance(value, (list, int)) else f'"{value}"'


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else QUESTIONS
    few = fc.load(sheet(8))
    few.findings()  # loads what it needs
    draws = min(timed(np.random.default_rng(0).standard_normal, 1_000_000)[0] for _ in range(5))
    one = min(timed(fc.load(sheet(1)).findings)[0] for _ in range(5))
    print(f"one question: {one:.3f} s, {one / draws:.1f} times a million normal draws")

    tracemalloc.start()
    before, _ = tracemalloc.get_traced_memory()
    asked = fc.load(sheet(16))
    found = [asked.findings()]
    kept = tracemalloc.get_traced_memory()[0] - before
    tracemalloc.stop()
    print(f"kept of a question of a sheet of 16, with its sheet: {kept / 16 / 2**20:.2f} MiB")

    asked = fc.load(sheet(count))
    all_of_them, found = timed(asked.findings)
    print(f"{count:,} questions: {all_of_them:.0f} s, {all_of_them / count / draws:.1f} times the draws each")
    print(f"peak so far, with all of their findings kept: {peak():.0f} MiB")
    report, text = timed(lambda: page(found, title="screws", sheet_text=asked.text, sheet_name="screws.toml"))
    print(f"a report of their {len(found):,} findings: {report:.1f} s, {len(text) / 2**20:.0f} MiB of page")
    print(f"peak with the report: {peak():.0f} MiB")


if __name__ == "__main__":
    main()
