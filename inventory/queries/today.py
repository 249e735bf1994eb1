"""Which day and moment it is at a station."""

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

from inventory.models import DataMark, Station


def today_at(station: Station) -> date:
    """Say the station's day: the demo's own where the data are the demo's, else the clock's (1 query)."""
    mark = DataMark.objects.first()
    if mark is not None and mark.today is not None:
        return mark.today
    return datetime.now(UTC).astimezone(ZoneInfo(station.zone)).date()


def now_at(station: Station) -> datetime:
    """Say when it is for acts: the clock's moment, but noon of the demo's own day where the clock stands before it.

    The demo's season may lie in the clock's future; an act of today would come before the seed it takes (1 query).
    """
    mark = DataMark.objects.first()
    clock = datetime.now(UTC)
    if mark is None or mark.today is None:
        return clock
    return max(clock, datetime.combine(mark.today, time(12), ZoneInfo(station.zone)))
