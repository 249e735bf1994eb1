"""What was written down since a day: who did it, and why, the newest first."""

from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from inventory.models import Operation, Station


def written_since(
    station: Station, since: date, *, before: int | None = None, most: int = 100
) -> tuple[list[Operation], int | None]:  # fmt: skip
    """List acts written down on a day or later, the newest first (1 query).

    Args:
        before: number of the act behind which the list goes on.

    Returns:
        At most `most` acts, and the number behind which the next page begins; None at the end.
    """
    start = datetime.combine(since, time(), ZoneInfo(station.zone))
    acts = Operation.objects.filter(station=station, recorded_at__gte=start)
    if before is not None:
        acts = acts.filter(seq__lt=before)
    related = ("by", "run", "shipment", "reverses", "load")
    rows = list(acts.select_related(*related).order_by("-seq")[: most + 1])
    return rows[:most], rows[most - 1].seq if len(rows) > most else None
