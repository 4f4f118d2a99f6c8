"""python -m fitcheck SHEET.toml [--report PAGE.html] [--card CARD.html] [--full | --csv | --markdown | --json]"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from datetime import date

from fitcheck.errors import InputError
from fitcheck.questions import Findings, Verdict
from fitcheck.report.progress import progress
from fitcheck.report.terminal import encodable, is_cut, shows_colour, text, width_of_terminal
from fitcheck.report.write import refuse_paths, write_all
from fitcheck.sheet import inputs_changed, load, measure_next, plan, start


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
    parser.add_argument("sheet", metavar="SHEET.toml", nargs="?", help="the build sheet")
    parser.add_argument(
        "--start", metavar="QUESTION", nargs="*", help="print a sheet to fill in, with every key of these questions"
    )
    parser.add_argument("--report", metavar="PAGE.html", help="also write a self-contained page")
    parser.add_argument("--card", metavar="CARD.html", help="also write a handover card for whoever gets the device")
    parser.add_argument(
        "--measure", action="store_true", help="first say which part to measure next, and what it settles"
    )
    parser.add_argument(
        "--plan", action="store_true", help="first choose what the sheet leaves open, then answer the questions with it"
    )
    parser.add_argument("--to-do", action="store_true", help="first list what to buy and to cut, a line each")
    parser.add_argument(
        "--since",
        metavar="OLD",
        help="first say what has changed since an older sheet, OLD.toml, or a table of findings, OLD.csv (of --csv)",
    )
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--full", action="store_true", help="say of every finding all that is known of it")
    for name, what in (("csv", "a table in CSV"), ("markdown", "a table in Markdown"), ("json", "JSON")):
        form.add_argument(f"--{name}", action="store_true", help=f"print the findings as {what} in place of text")
    asked = parser.parse_args(arguments)
    if asked.start is not None:
        return _start(asked.start)
    if asked.sheet is None:
        parser.error("the path of a build sheet is needed; --start prints one to fill in")
    wanted = {what: path for what in ("report", "card") if (path := getattr(asked, what)) is not None}
    as_table = next((name for name in ("csv", "markdown", "json") if getattr(asked, name)), None)
    try:
        build = load(asked.sheet)
        older = load(asked.since) if asked.since is not None and asked.since.lower().endswith(".toml") else None
        before = None
        if asked.since is not None and older is None:
            from fitcheck.report.since import read_before

            before = read_before(asked.since)
        refuse_paths(wanted, {"sheet": asked.sheet})
        made = f"{date.today():%Y-%m-%d}"
        pages: dict[str, tuple[str, str]] = {}
        steps = len(build.questions) + (0 if older is None else len(older.questions)) + ("report" in wanted)
        with progress(steps) as begin:
            chosen = plan(build) if asked.plan else None
            works = chosen is None or chosen.works
            # Without a plan the answers are about the sheet as it stands; only if it gives a part no size, about what
            # comes nearest, which is no size of the device.
            of_plan = chosen.findings if chosen is not None and (works or build.opened.new) else None
            findings = build.findings(progress=begin) if of_plan is None else Findings(of_plan)
            device = works or of_plan is None
            read = asked.measure and (as_table is None or "report" in wanted)
            measure = measure_next(build) if read else None
            if older is not None:
                from fitcheck.report.table import frame

                before = frame(older.findings(progress=begin))
            if "report" in wanted:
                from fitcheck.report.page import page  # only where a page is asked for, as is the card below

                begin("drawing the report")
                whole = page(
                    findings,
                    title=build.title,
                    notes=build.notes if device else (*build.notes, _NEAREST),
                    sheet_text=build.text,
                    sheet_name=build.path.name,
                    made=made,
                    planned=chosen.lines() if chosen is not None else (),
                    to_do=chosen.to_do if chosen is not None else (),
                    measure=measure,
                    shoulder=build.shoulder.nominal if build.shoulder is not None else None,
                )
                pages["report"] = (wanted["report"], whole)
        if "card" in wanted and device:
            from fitcheck.report.card import card

            pages["card"] = (wanted["card"], card(build, findings, made=made))
        if as_table is not None:
            from fitcheck.report import table

            unsaid = _say(getattr(table, as_table)(findings))
        else:
            # What a flag asks for comes first; the findings are a long way down behind it.
            first = [("The plan", chosen.lines())] if chosen is not None else []
            if asked.to_do and of_plan is None:  # a plan has its own
                first.append(("To do", build.to_do() or ["Nothing is to buy or to cut."]))
            if measure is not None:
                first.append(("Measure next", measure.lines()))
            if before is not None:
                from fitcheck.report.since import changes_since

                lines = [] if older is None else inputs_changed(older, build)
                lines = [*lines, *changes_since(before, findings)] or ["Nothing has changed."]
                first.append((f"Since {asked.since}", lines))
            told = text(
                findings,
                build.title,
                width=width_of_terminal(),
                full=asked.full,
                whole=not is_cut(),
                colour=shows_colour(),
                asked=first,
            )
            unsaid = _say(told)
        write_all(pages)
        written = "".join(f"\n{what.capitalize()} written to {path}\n" for what, (path, _) in pages.items())
        if "card" in wanted and not device:
            written += "\nNo card is written: there is no plan, so there is no device to hand over.\n"
        if as_table is not None:  # what is printed is the table alone
            sys.stderr.write(written.lstrip())
        else:
            unsaid = unsaid or _say(written)
        if unsaid:
            raise InputError(unsaid)
    except InputError as error:
        for line in str(error).splitlines():
            print(encodable(f"fitcheck: {line}", getattr(sys.stderr, "encoding", None)), file=sys.stderr)
        return 2
    # A plan that finds no values has no findings either.
    return 0 if works and findings and all(finding.verdict is Verdict.HOLDS for finding in findings) else 1


_NEAREST = (
    "There is no plan: what follows is reckoned with the sizes that come nearest to one, none of which may be cut."
)


def _start(questions: Sequence[str]) -> int:
    """Print a sheet to fill in."""
    try:
        unsaid = _say(start(questions))
        if unsaid:
            raise InputError(unsaid)
    except InputError as error:
        print(encodable(f"fitcheck: {error}", getattr(sys.stderr, "encoding", None)), file=sys.stderr)
        return 2
    return 0


def _say(words: str) -> str:
    """Print; what went wrong, in a line, if standard output cannot take it. The pages are written all the same."""
    if sys.stdout is None:
        return "the findings cannot be shown: standard output is closed"
    try:
        sys.stdout.write(encodable(words, getattr(sys.stdout, "encoding", None)))
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
        # A letter of a name that the terminal cannot show is "?", and no error; signs are written out.
        sys.stdout.reconfigure(errors="replace")
    sys.exit(main())
