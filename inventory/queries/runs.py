"""What the books say about runs over the line."""

from collections.abc import Sequence
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from inventory.models import Lot, RunRecord, Station


def runs_of_day(
    station: Station, feed_lot: Lot, machines: Sequence[str], at: datetime, zone: ZoneInfo
) -> list[tuple[str, int]]:
    """Runs of a lot over these machines on that local day that stand: number and feed [mg] (1 query)."""
    start = datetime.combine(at.astimezone(zone).date(), time(), zone)
    runs = RunRecord.objects.filter(
        station=station,
        feed_lot=feed_lot,
        machines=" + ".join(machines),
        operation__reversed_by__isnull=True,
        operation__at__gte=start,
        operation__at__lt=start + timedelta(days=1),
    )
    return list(runs.values_list("number", "feed_mg"))
