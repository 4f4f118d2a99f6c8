"""python -m fitcheck SHEET.toml [--report PAGE.html] [--card CARD.html]"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from datetime import date

from fitcheck.errors import InputError
from fitcheck.questions import Verdict
from fitcheck.report.card import card
from fitcheck.report.page import page
from fitcheck.report.progress import progress
from fitcheck.report.terminal import section, text
from fitcheck.report.write import refuse_paths, write_all
from fitcheck.sheet import load, measure_next


def main(arguments: Sequence[str] | None = None) -> int:
    """Answer the questions of a sheet: 0 if every finding holds, 1 if one does not, 2 if it cannot be done.

    That is, if the sheet cannot be used, or its answers cannot be written: to the report, the card or the terminal.
    """
    parser = argparse.ArgumentParser(
        prog="python -m fitcheck",
        description="Answer the bench questions of a build sheet before metal is cut.",
        epilog="exit status: 0 every finding holds; 1 at least one does not; 2 the sheet cannot be used, "
        "or its answers cannot be written",
    )
    parser.add_argument("sheet", metavar="SHEET.toml", help="the build sheet")
    parser.add_argument("--report", metavar="PAGE.html", help="also write a self-contained page")
    parser.add_argument("--card", metavar="CARD.html", help="also write a handover card for whoever gets the device")
    parser.add_argument(
        "--measure", action="store_true", help="also say which part to measure next, and what it settles"
    )
    asked = parser.parse_args(arguments)
    wanted = {what: path for what in ("report", "card") if (path := getattr(asked, what)) is not None}
    try:
        build = load(asked.sheet)
        refuse_paths(wanted, {"sheet": asked.sheet})
        made = f"{date.today():%Y-%m-%d}"
        pages: dict[str, tuple[str, str]] = {}
        with progress(len(build.questions) + ("report" in wanted)) as begin:
            findings = build.findings(progress=begin)
            if "report" in wanted:
                begin("drawing the report")
                whole = page(findings, title=build.title, notes=build.notes, sheet_text=build.text, made=made)
                pages["report"] = (wanted["report"], whole)
        if "card" in wanted:
            pages["card"] = (wanted["card"], card(build, findings, made=made))
        unsaid = _say(text(findings, build.title))
        if asked.measure:
            unsaid = unsaid or _say(section("Measure next", measure_next(build).lines()))
        write_all(pages)
        written = "".join(f"\n{what.capitalize()} written to {path}\n" for what, (path, _) in pages.items())
        unsaid = unsaid or _say(written)
        if unsaid:
            raise InputError(unsaid)
    except InputError as error:
        print(f"fitcheck: {error}", file=sys.stderr)
        return 2
    return 0 if all(finding.verdict is Verdict.HOLDS for finding in findings) else 1


def _say(words: str) -> str:
    """Print; what went wrong, in a line, if standard output cannot take it. The pages are written all the same."""
    if sys.stdout is None:
        return "the findings cannot be shown: standard output is closed"
    try:
        sys.stdout.write(words)
        sys.stdout.flush()
    except BrokenPipeError:  # the reader of our output (a pager, say) has gone; that is no fault of the sheet
        _turn_away()
    except (OSError, ValueError) as error:  # ValueError: it was closed from within Python
        _turn_away()
        return f"the findings cannot be written to standard output: {getattr(error, 'strerror', None) or error}"
    return ""


def _turn_away() -> None:
    """Let what is still to be printed go nowhere, so that Python does not try once more when it ends."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


if __name__ == "__main__":
    if hasattr(sys.stdout, "reconfigure"):
        # A terminal that cannot show "±" shows "?" instead of ending in an error.
        sys.stdout.reconfigure(errors="replace")
    sys.exit(main())
