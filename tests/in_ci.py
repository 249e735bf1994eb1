"""In CI a skipped PostgreSQL or browser test is a failure: there both are promised."""

import os
from collections.abc import Generator
from typing import Any

import pytest

PROMISED = {"postgres": "PostgreSQL", "browser": "a browser"}


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, Any, Any]:
    """Turn the skip of a test whose mark is promised into a failure where CI=true."""
    report = yield
    promised = [what for mark, what in PROMISED.items() if item.get_closest_marker(mark) is not None]
    if os.environ.get("CI") == "true" and promised and report.skipped and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"CI promises {promised[0]}, yet this test was skipped: {report.longrepr}"
    return report
