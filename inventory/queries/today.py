"""Which day it is at a station."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from inventory.models import DataMark, Station


def today_at(station: Station) -> date:
    """Say the station's day: the demo's own where the data are the demo's, else the clock's (1 query)."""
    mark = DataMark.objects.first()
    if mark is not None and mark.today is not None:
        return mark.today
    return datetime.now(UTC).astimezone(ZoneInfo(station.zone)).date()
