"""Count the checks against the outside and name their sources at the end of a test run.

A check is one test case marked `@pytest.mark.outside("title, year, clause")`; the source may also stand on one
parameter: `pytest.param(…, marks=pytest.mark.outside("…"))`. "from memory" is said in the source where it is so.
"""

from collections import Counter
from collections.abc import Iterable

import pytest

_PROPERTY = "outside"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Carry each check's source along with its report, across processes too."""
    for item in items:
        item.user_properties.extend((_PROPERTY, source) for source in _sources(item))


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    """Say how many checks against the outside passed; with `-m outside` also against which sources."""
    passed = [_of(report) for report in terminalreporter.getreports("passed")]
    counts = Counter(source for sources in passed for source in sources[:1])
    if not counts:
        return
    terminalreporter.write_line(
        f"{counts.total()} checks against {len(counts)} sources outside of this project passed."
    )
    if "outside" in (config.getoption("-m") or ""):
        for source, checks in sorted(counts.items(), key=lambda pair: pair[0].casefold()):
            terminalreporter.write_line(f"{checks:5d}  {source}")


def _sources(item: pytest.Item) -> Iterable[str]:
    for mark in item.iter_markers("outside"):
        if len(mark.args) != 1 or not str(mark.args[0]).strip():
            raise pytest.UsageError(
                f'{item.nodeid}: name the source, as in @pytest.mark.outside("title, year, clause").'
            )
        yield str(mark.args[0])


def _of(report: pytest.TestReport) -> list[str]:
    return [str(value) for name, value in report.user_properties if name == _PROPERTY]
