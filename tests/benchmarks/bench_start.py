"""What a fresh process costs until fitcheck has answered, as ratios to NumPy's own import in the same run.

    python tests/benchmarks/bench_start.py [RUNS]

Each line is the least processor time of RUNS (5) fresh processes, with compiled files in place as after the first use.
The parts of scipy are shown beside: special is needed for a normal spread, optimize for the extremes of a function.
"""

import os
import resource
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
ASKED = {
    "python alone": "pass",
    "import numpy": "import numpy",
    "import fitcheck": "import fitcheck",
    "a thread's limits": "import fitcheck; fitcheck.thread('M6x1-6g').limits().as_printed()",
    "a sum of two notes": "import fitcheck as fc; (fc.dim('5 ± 0.1') - fc.dim('4 ± 0.1')).probability(below=0.9)",
    "import scipy.special": "import scipy.special",
    "import scipy.optimize": "import scipy.optimize",
}
DEMO = ["-m", "fitcheck", str(ROOT / "notebooks" / "wand.toml")]


def seconds(arguments: list[str], runs: int, environment: dict[str, str], folder: str) -> float:
    """The least processor time of some fresh processes; the first one, which may compile, is not counted."""
    taken = []
    for _ in range(runs + 1):
        begin = _spent()
        done = subprocess.run(
            [sys.executable, *arguments], env=environment, cwd=folder, capture_output=True, check=False
        )
        taken.append(_spent() - begin)
        assert done.returncode in (0, 1), done.stderr.decode()
    return min(taken[1:])


def _spent() -> float:
    """Processor time of all processes started so far, s; other work on the machine hardly shows in it."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    with tempfile.TemporaryDirectory() as folder:
        environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONPYCACHEPREFIX": folder}
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        asked = {name: ["-c", code] for name, code in ASKED.items()}
        asked["the demo"] = DEMO
        asked["the demo, with report"] = [*DEMO, "--report", str(Path(folder) / "page.html")]
        taken = {name: seconds(arguments, runs, environment, folder) for name, arguments in asked.items()}
    bare = taken["python alone"]
    numpy = taken["import numpy"] - bare
    print(f"{'':24}{'s':>8}{'of numpy':>10}")
    for name, time_taken in taken.items():
        print(f"{name:24}{time_taken:8.3f}{(time_taken - bare) / numpy:10.1f}")


if __name__ == "__main__":
    main()
