"""How far long work has come: on a terminal, once it takes longer than a person waits without wondering."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from shutil import get_terminal_size
from threading import Timer

PATIENCE = 2.0
"""Seconds before anything is shown."""


@contextmanager
def progress(steps: int) -> Iterator[Callable[[str], None]]:
    """Show on the standard error how many of `steps` are done; the function it gives says in words what comes next.

    Only a terminal is told, and only after `PATIENCE` seconds, in the middle of a step too; at the end the line is
    empty again. A file or a pipe gets nothing, and tqdm is not loaded for it.
    """
    if not sys.stderr.isatty():
        yield lambda words: None
        return
    from tqdm import tqdm

    wide, high = get_terminal_size()  # a terminal that does not know its size would be shown nothing
    with tqdm(
        total=steps,
        delay=PATIENCE,
        mininterval=0,
        miniters=0,
        leave=False,
        file=sys.stderr,
        ncols=wide - 1,
        nrows=high,
        bar_format="{desc} |{bar:20}| {elapsed}",
    ) as bar:
        begun = 0

        def begin(words: str) -> None:
            nonlocal begun
            bar.set_description_str(words, refresh=False)
            bar.update(min(begun, 1))
            begun += 1

        # A bar looks at the clock only when it is told of a step, and one step may take long.
        late = Timer(PATIENCE + 0.05, bar.update, (0,))  # the two clocks may differ a little
        late.daemon = True
        late.start()
        try:
            yield begin
        finally:
            late.cancel()
            late.join()
