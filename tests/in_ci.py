"""In CI a skipped PostgreSQL test is a failure: there the server is promised."""

import os
from collections.abc import Generator
from typing import Any

import pytest


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, Any, Any]:
    """Turn the skip of a test marked `postgres` into a failure where CI=true."""
    report = yield
    is_promised = os.environ.get("CI") == "true" and item.get_closest_marker("postgres") is not None
    if is_promised and report.skipped and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"CI promises PostgreSQL, yet this test was skipped: {report.longrepr}"
    return report
