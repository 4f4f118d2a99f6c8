"""Speed of the thread limits: the whole catalogue from arrays against single threads, in one run.

    python tests/benchmarks/bench_threads.py

Nothing is asserted. The baseline is the same limits through `fc.thread(...).limits()`, each thread read and computed
once, without the caches (they are emptied before); the time with warm caches is shown beside it.
"""

import time

from fitcheck.threads import catalogue, limits, resolve, thread


def seconds(work, repeat):
    """The best of `repeat` runs."""
    best = float("inf")
    for _ in range(repeat):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
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

    def cold():
        resolve._thread.cache_clear()
        limits.limits.cache_clear()
        for text in sample:
            thread(text).limits()

    def warm():
        for text in sample:
            thread(text).limits()

    whole = seconds(arrays, 5)
    single = seconds(cold, 2) / len(sample)
    cold()
    kept = seconds(warm, 5) / len(sample)
    print(
        f"all limits from arrays: {len(texts)} threads in {whole * 1e3:.1f} ms, {whole / len(texts) * 1e6:.2f} µs each"
    )
    print(f"single threads, caches empty: {single * 1e6:.0f} µs each; ratio {single * len(texts) / whole:.0f}")
    print(f"single threads, caches warm: {kept * 1e6:.2f} µs each")


if __name__ == "__main__":
    main()
