"""What the page of a long report costs: a thousand findings on blades, on set screws, and on whole wands.

    python tests/benchmarks/bench_report.py [FINDINGS]

Processor times of the page alone, without the findings, beside their ratio to a million normal draws of NumPy in the
same run; and the peak of each process, findings and all. The sizes are drawn by a seed. A hundred findings and more are
asked for; they come again under other names until there are so many. The goal: 30 s and 500 MiB for a thousand.
"""

import dataclasses
import resource
import subprocess
import sys
import tempfile
import time
import tomllib
from pathlib import Path

import numpy as np
from bench_set_screws import sheet as screw_sheet
from bench_set_screws import timed

import fitcheck as fc
from fitcheck.report.page import MOST_DRAWN, page

FINDINGS = 1000
ASKED = 100
DEMO = Path(__file__).parents[2] / "notebooks" / "wand.toml"
VARIED = {
    "thread_engagement": ("length", 4.0, 8.0, "± 0.4"),
    "set_screw": ("hand_torque", 0.4, 2.0, "± 0.2 N·m"),
    "port_clearance": ("reach", 12.5, 13.6, "± 0.2"),
    "plug_length": ("travel", 3.5, 4.5, "± 0.2"),
}
"""An input of each question of the demo, and what it is drawn from."""


def blades(g: np.random.Generator) -> str:
    """A sheet on as many blades, with other depths, slugs and requirements."""
    lines = ["sheet = 1"]
    for i in range(ASKED):
        depth, slug, need = g.uniform(60, 66), g.uniform(5, 9), g.uniform(35, 41)
        lines += [
            "[[blade_depth]]",
            f'name = "wand {i}"',
            f'adds = ["{depth:.2f} ± 0.2"]',
            f'takes = ["3.0 ± 0.1", "14.5 ± 0.3", "{slug:.2f} ± 0.1"]',
            f'at_least = "{need:.1f} mm"',
            'bore = "25.4 H9"\noutside = "30 ± 0.1"\nblade = "25.0 ± 0.15"',
        ]
    return "\n".join(lines)


def wands(g: np.random.Generator) -> str:
    """A sheet with the questions of the demo about several wands."""
    text = DEMO.read_text(encoding="utf-8")
    parts = text[text.index("\n[parts]") : text.index("\n[thread_engagement]")]
    asked = tomllib.loads(text)
    lines = ["sheet = 1", "risk = 0.001", parts]
    for i in range(ASKED // 13 + 1):
        for question, (key, low, high, rest) in {**VARIED, "blade_depth": ("at_least", 35.0, 40.0, "mm")}.items():
            inputs = {**asked[question], "name": f"wand {i}", key: f"{g.uniform(low, high):.2f} {rest}"}
            lines += [f"[[{question}]]", *(f"{name} = {_toml(value)}" for name, value in inputs.items())]
    return "\n".join(lines)


def _toml(value: object) -> str:
    return f'"{value}"' if isinstance(value, str) else str(value).replace("'", '"')


def one(mix: str, count: int) -> str:
    """What the page of one mix costs, in words."""
    if mix == "set screws":
        asked = fc.load(screw_sheet(ASKED // 2))
    else:
        path = Path(tempfile.mkdtemp()) / "wands.toml"
        path.write_text({"blades": blades, "wands": wands}[mix](np.random.default_rng(1)), encoding="utf-8")
        asked = fc.load(path)
    first = asked.findings()
    found = [dataclasses.replace(first[i % len(first)], name=f"no. {i}") for i in range(count)]
    begin = time.process_time()
    text = page(found, title=mix, sheet_text=asked.text, sheet_name="wands.toml")
    taken = time.process_time() - begin
    draws = min(timed(np.random.default_rng(0).standard_normal, 1_000_000)[0] for _ in range(5))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return (
        f"{mix:12}{taken:8.1f}{taken / draws:10.0f}{len(text) / 2**20:10.1f}{text.count('<figure'):10}{peak:10.0f}   "
        f"of {len(first)} asked"
    )


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else FINDINGS
    print(f"{count:,} findings, {MOST_DRAWN} of them with figures")
    print(f"{'':12}       s  of draws  MiB page   figures  MiB peak")
    for mix in ("blades", "set screws", "wands"):
        subprocess.run([sys.executable, __file__, str(count), mix], check=True)  # a process each, for its peak


if __name__ == "__main__":
    if len(sys.argv) > 2:
        print(one(sys.argv[2], int(sys.argv[1])), flush=True)
    else:
        main()
