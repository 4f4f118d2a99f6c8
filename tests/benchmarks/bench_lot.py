"""A lot of 1,000 devices against its devices asked one by one: `python tests/benchmarks/bench_lot.py`.

The lot shares what does not change between devices; both times are taken in one run, and the ratio is printed.
"""

import tempfile
import time
from pathlib import Path

import numpy as np
import pandas as pd

import fitcheck as fc

TEXT = """sheet = 1
[workshop]
caliper = "0.02 mm"
[parts]
socket = "64.0 ± 0.2"
module = "14.5 ± 0.3"
slug = "8.0 ± 0.1"
screw = "36.5 ± 0.2"
bore = "32.0 +0.1/-0.0"
chassis = "31.5 ± 0.1"
floor = "118.0 ± 0.3"
carrier = "92.0 ± 0.3"
port = "9.5 ± 0.1"
[blade_depth]
adds = ["socket"]
takes = ["module", "slug"]
at_least = "41.2 mm"
screws = ["screw"]
[port_clearance]
bore = "bore"
chassis = "chassis"
width = "14.0 ± 0.2"
reach = "13.2 ± 0.2"
gap = "0.75 mm"
[plug_length]
travel = "4.0 ± 0.2"
seat = "5.6 ± 0.2"
adds = ["floor"]
takes = ["carrier", "port"]
bought = "23.0 ± 0.5"
"""
DEVICES, ALONE = 1000, 20


def main():
    path = Path(tempfile.mkdtemp()) / "s.toml"
    path.write_text(TEXT, encoding="utf-8")
    build = fc.load(path)
    g = np.random.default_rng(0)
    parts = [build.parts[name] for name in ("module", "socket", "chassis", "floor")]
    frame = pd.DataFrame({d.name: (d.middle + d.half_width * g.uniform(-1, 1, DEVICES)).round(2) for d in parts})
    start = time.perf_counter()
    build.lot(frame, processes=1)
    lot = time.perf_counter() - start
    start = time.perf_counter()
    for _ in range(ALONE):
        fc.load(path).findings()
    alone = (time.perf_counter() - start) / ALONE
    share = lot / DEVICES / alone
    print(f"{DEVICES:,} devices in one process: {lot:.1f} s, {share:.2f} of the time of a sheet a device")


if __name__ == "__main__":
    main()
