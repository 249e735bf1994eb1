"""What came and went of lots, by the days on which it happened."""

from collections.abc import Sequence
from zoneinfo import ZoneInfo

from inventory.models import Entry
from inventory.rules.histories import DayMass

_AT_ONCE = 500  # SQLite takes about a thousand parameters in one statement


def masses_by_day(lot_ids: Sequence[int], zone: ZoneInfo) -> dict[int, list[DayMass]]:
    """List lots' masses by local day and slot; acts that were reversed never happened (1 query for 5,000 lots)."""
    days: dict[int, list[DayMass]] = {lot_id: [] for lot_id in lot_ids}
    for start in range(0, len(lot_ids), _AT_ONCE):
        entries = Entry.objects.filter(
            lot__in=lot_ids[start : start + _AT_ONCE],
            operation__reversed_by__isnull=True,
            operation__reverses__isnull=True,
        ).values_list("lot_id", "operation__at", "place_id", "bag_no", "mg")
        for lot_id, at, place, bag, mg in entries:
            if lot_id is not None and place is not None:
                days[lot_id].append(DayMass(at.astimezone(zone).date(), (place, bag), mg))
    return days
