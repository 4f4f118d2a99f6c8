"""A lot of 1,000 devices against its devices asked one by one: `python tests/benchmarks/bench_lot.py`.

The lot shares what does not change between devices; both times are taken in one run, and the ratio is printed.
"""

import sys
import tempfile
import time
from pathlib import Path

import fitcheck as fc

sys.path.append(str(Path(__file__).parents[1]))
from lot_inputs import TEXT, readings

DEVICES, ALONE = 1000, 20


def main():
    path = Path(tempfile.mkdtemp()) / "s.toml"
    path.write_text(TEXT, encoding="utf-8")
    build = fc.load(path)
    frame = readings(build, ["module", "socket", "chassis", "floor"], DEVICES)
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
