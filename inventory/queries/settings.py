"""Screens, air and deck as past runs had them: offered when the same line goes over the same machines again."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from inventory.models import RunRecord, Standing, Station
from inventory.queries.runs import balances, standing_runs

_LOOK_BACK = 20  # runs of a line or class over the same machines; older settings are no longer offered


@dataclass(frozen=True)
class Remembered:
    """Settings of a past run that lost no more than it may.

    Attributes:
        of: the line's name, or the class's where the line itself never ran so.
    """

    settings: str
    run: str
    at: datetime
    of: str


def last_settings(station: Station, standing: Standing, machines: Sequence[str]) -> Remembered | None:
    """Find the last good settings for a lot's line over these machines, else for its class (6 queries at most).

    Args:
        standing: the lot that will be fed.
        machines: in the order of the line.
    """
    same = standing_runs(station).filter(machines=" + ".join(machines)).reverse()
    line, market_class = standing.line, standing.market_class
    found = _good(same.filter(feed_lot__standing__line=line)[:_LOOK_BACK], line.name) if line else None
    if found is None and market_class:
        of_class = same.filter(feed_lot__standing__market_class=market_class)[:_LOOK_BACK]
        found = _good(of_class, market_class.name)
    return found


def settings_of(run: RunRecord) -> str:
    """Give the settings a run was booked with; "" where none were written."""
    return str(json.loads(run.operation.content).get("facts", {}).get("settings") or "")


def _good(runs: Iterable[RunRecord], of: str) -> Remembered | None:
    written = [run for run in runs if settings_of(run)]
    for run, balance in zip(written, balances(written), strict=True):
        if not balance.is_over:
            return Remembered(settings_of(run), run.number, run.operation.at, of)
    return None
