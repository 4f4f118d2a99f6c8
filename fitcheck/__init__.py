"""fitcheck: screw threads, fits and tolerance stacks, checked before metal is cut.

>>> import fitcheck as fc
>>> gap = fc.dim("25.4 ± 0.05") - fc.dim("25.2 ± 0.02")
>>> gap
<sum of 2: 0.20 mm, worst case 0.13 mm to 0.27 mm; all spreads assumed uniform>
>>> fc.thread("M6x1-6g").limits().as_printed()["pitch_max"]
'5.324'
"""

from typing import TYPE_CHECKING, Any

from fitcheck import later
from fitcheck.errors import InputError, one_of

if TYPE_CHECKING:
    import pandas

    from fitcheck import report
    from fitcheck.fits import fit
    from fitcheck.mechanics import add_material, material
    from fitcheck.notation import dim
    from fitcheck.questions import QUESTIONS, Finding, Findings, Verdict, compare_pitches, strip_trials  # noqa: F401
    from fitcheck.questions.require import require
    from fitcheck.sheet import load, measure_next, plan
    from fitcheck.stack import Dimension, Response, Sum, response
    from fitcheck.threads import Thread, identify
    from fitcheck.threads.pair import pair
    from fitcheck.threads.resolve import thread

    __version__: str

# The same for the running program, which loads what is asked for: a thread's limits need no question and no sheet.
_HOMES = {
    "fitcheck.fits": ["fit"],
    "fitcheck.mechanics": ["add_material", "material"],
    "fitcheck.notation": ["dim"],
    "fitcheck.questions": ["QUESTIONS", "Finding", "Findings", "Verdict", "compare_pitches", "strip_trials"],
    "fitcheck.questions.require": ["require"],
    "fitcheck.sheet": ["load", "measure_next", "plan"],
    "fitcheck.stack": ["Dimension", "Response", "Sum", "response"],
    "fitcheck.threads": ["Thread", "identify"],
    "fitcheck.threads.pair": ["pair"],
    "fitcheck.threads.resolve": ["thread"],
}
_FLOORS = ["report", "sheet", "planning", "questions", "mechanics", "threads", "notation", "fits", "stack", "tables"]
_FLOORS += ["units", "basis"]

if not TYPE_CHECKING:
    _named = later.names_of("fitcheck", _HOMES, _FLOORS)

    def __getattr__(name: str) -> Any:
        """A public name or a floor, loaded when first asked for; `__version__` too, as looking it up is slow."""
        return _version() if name == "__version__" else _named(name)


def _version() -> str:
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("fitcheck")
    except PackageNotFoundError:  # a checkout that is not installed
        return "0+checkout"


def ask(question: str, /, **inputs: Any) -> "Findings":
    """The findings on one bench question, its inputs given as notes: `ask("plug_length", travel="4 ± 0.2", ...)`.

    The questions and their inputs are those of a sheet: a number without a unit is in mm, N or the inside unit of its
    kind, and beside a note in inches it is refused. Raises `InputError` for an unknown question and for an unknown,
    missing or unreadable input.

    >>> plug, = ask("plug_length", travel="4 ± 0.2", seat="9 ± 0.2", adds=["16.5 ± 0.6"])
    >>> plug.answer
    'Cut the plug to 23.10 mm: lengths from 21.60 mm to 24.60 mm work at worst case.'
    """
    from fitcheck.questions import QUESTIONS, Findings

    return Findings(QUESTIONS[one_of("question", question, QUESTIONS)].read(inputs).findings())


def _in_a_notebook(finding: "Finding") -> str:
    # The report floor draws with matplotlib, so it is loaded only when a notebook shows a finding.
    from fitcheck.report.notebook import output_cell

    return output_cell(finding)


def _table_in_a_notebook(findings: "Findings") -> str:
    from fitcheck.report.notebook import findings_cell

    return findings_cell(findings)


def _plotted(finding: "Finding", ax: Any) -> Any:
    from fitcheck.report.notebook import plotted

    return plotted(finding, ax)


def _frame(findings: Any) -> "pandas.DataFrame":
    from fitcheck.report.table import frame

    return frame(findings)


def _density(quantity: Any, ax: Any, below: Any, above: Any) -> Any:
    from fitcheck.questions.shape import tails
    from fitcheck.report.figures import density

    return density(tails(quantity, below, above), ax)


def _shares(rows: Any, ax: Any, most: int) -> Any:
    from fitcheck.report.figures import shares

    return shares(rows, ax, most)


# What the report floor makes of findings and of stacks is given to them here, since nothing below may import it.
later.from_above.update(
    cell=_in_a_notebook, cells=_table_in_a_notebook, plot=_plotted, frame=_frame, density=_density, shares=_shares
)


def describe(what: str = "") -> str:
    """What is known by a name, in words and numbers, to be printed; without a name, what may be asked for.

    what: a question as in a sheet, "materials", "friction", "hands", "fits", "identify" and the like, or one of their
    names: "set_screw", "brass", "short key", "H7", "M6-6g", "set screw M4". Raises `InputError`, with the nearest
    names, for any other.

    >>> print(describe("plug_length").splitlines()[1])
    needed
    >>> print(describe("short key").splitlines()[0])
    short key: 1 to 3 N·m, usually 1.8: short key, long arm of 45 to 80 mm, one or two fingers (20 to 40 N)
    """
    from fitcheck.questions import QUESTIONS
    from fitcheck.questions.described import described

    return described(what, QUESTIONS)


__all__ = [
    "Dimension",
    "Finding",
    "InputError",
    "Response",
    "Sum",
    "Thread",
    "Verdict",
    "add_material",
    "ask",
    "compare_pitches",
    "describe",
    "dim",
    "fit",
    "identify",
    "load",
    "material",
    "measure_next",
    "pair",
    "plan",
    "report",
    "require",
    "response",
    "strip_trials",
    "thread",
]


def __dir__() -> list[str]:
    """What is meant to be used: the names above, and the packages with the plain models."""
    return sorted([*__all__, "__version__", "fits", "mechanics", "stack", "threads", "units"])
