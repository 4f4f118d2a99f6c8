"""The tally: how many printed values each published source has, how many are met, and how many are not.

A test that compares printed values takes the fixture `tally` and tells it what it has compared, and how: in the digits
that are printed; in those remembered, where no print was at hand; or, where print and model do not speak of the very
same thing, within a floor or a band. The run ends with one table; `pytest tests/published -m tally` runs those tests
alone. README keeps the table (`test_readme.py`).
"""

from collections.abc import Callable

import pytest

Tally = Callable[..., None]
AS_PRINTED = "as printed"
_SUMS: dict[tuple[str, str], list[int]] = {}


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

    def told(source: str, compared: int, known: int = 0, how: str = AS_PRINTED) -> None:
        assert 0 <= known <= compared
        record_property("tally", (source, how, compared, known))

    return told


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """Count what a test that passed has told; what several processes run arrives here, too."""
    if report.when == "call" and report.passed:
        for name, told in report.user_properties:
            if name == "tally":
                source, how, compared, known = told  # type: ignore[misc]
                sums = _SUMS.setdefault((source, how), [0, 0])
                sums[0] += compared
                sums[1] += known


def table() -> list[str]:
    """The tally as the lines of a Markdown table, by source."""
    by_kind = sorted(_SUMS.items(), key=lambda row: row[0][::-1])
    rows = [(*of, compared, known) for of, (compared, known) in by_kind]
    printed = [row for row in rows if row[1] == AS_PRINTED]
    others = [row for row in rows if row[1] != AS_PRINTED]
    for which, how in ((printed, AS_PRINTED), (others, "otherwise")):
        which.append(("all", how, sum(row[2] for row in which), sum(row[3] for row in which)))
    head = ["| Source | compared | values | met | known differences |", "| --- | --- | --: | --: | --: |"]
    return head + [
        f"| {source} | {how} | {compared:,} | {compared - known:,} | {known} |"
        for source, how, compared, known in printed + others
    ]


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    if _SUMS:
        terminalreporter.section("printed values")
        for line in table():
            terminalreporter.line(line)
