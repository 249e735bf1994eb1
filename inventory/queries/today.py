"""Which day and moment it is at a station."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Max

from inventory.models import DataMark, Operation, Station

# What the data say of themselves, once it was read; empty before, and None outside of a request.
_read: ContextVar[list[DataMark | None] | None] = ContextVar("mark of this request's data", default=None)


@contextmanager
def mark_read_once() -> Iterator[None]:
    """Ask the data once what they are, however often a request asks for its day; only commands change it."""
    token = _read.set([])
    try:
        yield
    finally:
        _read.reset(token)


def mark_of_data() -> DataMark | None:
    """Give what the data say of themselves: the demo's, a practice copy, or nothing (1 query, one for a request)."""
    known = _read.get()
    if known is None:
        return DataMark.objects.first()
    if not known:
        known.append(DataMark.objects.first())
    return known[0]


def today_at(station: Station) -> date:
    """Say the station's day: the demo's own where the data are the demo's, else the clock's (at most 1 query)."""
    mark = mark_of_data()
    if mark is not None and mark.today is not None:
        return mark.today
    return datetime.now(UTC).astimezone(ZoneInfo(station.zone)).date()


def moment_shown(mark: DataMark | None, station: Station) -> datetime:
    """Say the moment from which pages count how long something waits: in the demo the clock's time on its own day."""
    clock = datetime.now(UTC)
    if mark is None or mark.today is None:
        return clock
    zone = ZoneInfo(station.zone)
    return datetime.combine(mark.today, clock.astimezone(zone).time(), zone)


def now_at(station: Station) -> datetime:
    """Say when it is for acts: the clock's moment, in the demo the clock's time on the demo's own day.

    What is done in the demo belongs to the day that its pages call today, wherever the clock stands; it never comes
    before the newest act, so that an evening's acts do not stand behind the next morning's (2 queries at most).
    """
    mark = mark_of_data()
    shown = moment_shown(mark, station)
    if mark is None or mark.today is None:
        return shown
    newest: datetime | None = Operation.objects.filter(station=station).aggregate(newest=Max("at"))["newest"]
    return max(shown, newest or shown)
