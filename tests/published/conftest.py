"""The tally: how many printed values each published source has, how many are met as printed, and how many are not.

A test that compares printed values takes the fixture `tally` and tells it what it has compared. The run ends with one
table; `pytest tests/published -m tally` runs those tests alone. README keeps the table (`test_readme.py`).
"""

from collections.abc import Callable

import pytest

Tally = Callable[..., None]
_SUMS: dict[str, list[int]] = {}


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "tally: compares printed values and counts them")
    _SUMS.clear()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if "tally" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.tally)


@pytest.fixture
def tally(record_property: Callable[[str, object], None]) -> Tally:
    """Tell the tally of a source: `tally("ISO 286-1", compared=56, known=2)`; `known` differences are listed beside."""

    def told(source: str, compared: int, known: int = 0) -> None:
        assert 0 <= known <= compared
        record_property("tally", (source, compared, known))

    return told


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """Count what a test that passed has told; what several processes run arrives here, too."""
    if report.when == "call" and report.passed:
        for name, told in report.user_properties:
            if name == "tally":
                source, compared, known = told  # type: ignore[misc]
                sums = _SUMS.setdefault(source, [0, 0])
                sums[0] += compared
                sums[1] += known


def table() -> list[str]:
    """The tally as the lines of a Markdown table, by source."""
    rows = [(source, compared, known) for source, (compared, known) in sorted(_SUMS.items())]
    rows.append(("all", sum(row[1] for row in rows), sum(row[2] for row in rows)))
    head = ["| Source | printed values | met as printed | known differences |", "| --- | --: | --: | --: |"]
    return head + [f"| {name} | {compared:,} | {compared - known:,} | {known} |" for name, compared, known in rows]


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    if _SUMS:
        terminalreporter.section("printed values")
        for line in table():
            terminalreporter.line(line)
