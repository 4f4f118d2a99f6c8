"""python -m fitcheck SHEET.toml [--report PAGE.html] [--card CARD.html]"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from datetime import date

from fitcheck.errors import InputError
from fitcheck.questions import Verdict
from fitcheck.report.card import card
from fitcheck.report.page import page
from fitcheck.report.progress import progress
from fitcheck.report.terminal import text
from fitcheck.report.write import write_all
from fitcheck.sheet import load


def main(arguments: Sequence[str] | None = None) -> int:
    """Answer the questions of a sheet: 0 if every finding holds, 1 if one does not, 2 if the sheet cannot be used."""
    parser = argparse.ArgumentParser(
        prog="python -m fitcheck",
        description="Answer the bench questions of a build sheet before metal is cut.",
        epilog="exit status: 0 every finding holds; 1 at least one does not; 2 the sheet cannot be used",
    )
    parser.add_argument("sheet", metavar="SHEET.toml", help="the build sheet")
    parser.add_argument("--report", metavar="PAGE.html", help="also write a self-contained page")
    parser.add_argument("--card", metavar="CARD.html", help="also write a handover card for whoever gets the device")
    asked = parser.parse_args(arguments)
    try:
        build = load(asked.sheet)
        made = f"{date.today():%Y-%m-%d}"
        pages: dict[str, tuple[str, str]] = {}
        with progress(len(build.questions) + bool(asked.report)) as begin:
            findings = build.findings(progress=begin)
            if asked.report:
                begin("drawing the report")
                whole = page(findings, title=build.title, notes=build.notes, sheet_text=build.text, made=made)
                pages["report"] = (asked.report, whole)
        if asked.card:
            pages["card"] = (asked.card, card(build, findings, made=made))
        print(text(findings, build.title), end="")
        write_all(pages)
        for what, (path, _) in pages.items():
            print(f"\n{what.capitalize()} written to {path}")
    except InputError as error:
        print(f"fitcheck: {error}", file=sys.stderr)
        return 2
    return 0 if all(finding.verdict is Verdict.HOLDS for finding in findings) else 1


if __name__ == "__main__":
    if hasattr(sys.stdout, "reconfigure"):
        # A terminal that cannot show "±" shows "?" instead of ending in an error.
        sys.stdout.reconfigure(errors="replace")
    try:
        status = main()
        sys.stdout.flush()
    except BrokenPipeError:
        # The reader of our output (a pager, say) has gone; that is no fault of the sheet.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        status = 1
    sys.exit(status)
