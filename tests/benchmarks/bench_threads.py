"""Speed of the thread limits: the whole catalogue from arrays against single threads, in one run.

    python tests/benchmarks/bench_threads.py

Nothing is asserted. Every text of the catalogue is read and its limits are asked for, each once:

* first time: no text, thread or limit is kept from before; only the tables are loaded and the limits of a class are
  worked out (once for all its threads), as after any earlier question about that class;
* alone: the same for special threads, which stand in no series and are worked out one by one;
* again: the same texts a second time, from the caches.
"""

import time

from fitcheck.threads import catalogue, resolve, thread
from fitcheck.threads.thread import limits


def seconds(work, repeat):
    """The best of `repeat` runs, in processor time of this process, so that other work on the machine shows less."""
    best = float("inf")
    for _ in range(repeat):
        start = time.process_time()
        work()
        best = min(best, time.process_time() - start)
    return best


def main():
    classes = (*catalogue.METRIC_CLASSES, *catalogue.UNIFIED_CLASSES)

    def arrays():
        for name in classes:
            catalogue.limit_arrays(name)

    arrays()
    texts = []
    for name in classes:
        every, _ = catalogue.limit_arrays(name)
        if name in catalogue.UNIFIED_CLASSES:
            rows = zip(every.size, every.tpi, every.series, strict=True)
            texts += [f"{size}-{n:g} {series}-{name}" for size, n, series in rows]
        else:
            texts += [f"{size}x{P:g}-{name}" for size, P in zip(every.size, every.pitch, strict=True)]
    sample = texts[::7]

    special = [f"M{d / 10:g}x{P:g}-6g special" for d in range(101, 300, 4) for P in (0.55, 0.65, 1.05, 1.55)]

    def first(texts):
        resolve._thread.cache_clear()
        limits.cache_clear()
        for text in texts:
            thread(text).limits()

    def again():
        for text in sample:
            thread(text).limits()

    first(sample)
    whole = seconds(arrays, 60)
    single = seconds(lambda: first(sample), 15) / len(sample)
    alone = seconds(lambda: first(special), 3) / len(special)
    first(sample)
    kept = seconds(again, 5) / len(sample)
    print(
        f"all limits from arrays: {len(texts)} threads in {whole * 1e3:.1f} ms, {whole / len(texts) * 1e6:.2f} µs each"
    )
    print(f"single threads, first time: {single * 1e6:.1f} µs each; ratio {single * len(texts) / whole:.0f}")
    print(f"special threads, alone: {alone * 1e6:.0f} µs each; ratio {alone * len(texts) / whole:.0f}")
    print(f"single threads, again: {kept * 1e6:.2f} µs each")


if __name__ == "__main__":
    main()
