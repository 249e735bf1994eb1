"""Which labels were printed, how often, and which lots still wait for theirs."""

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from inventory.models import Label, Standing, Station, Stock
from inventory.queries.today import now_at
from inventory.queries.uses import in_parts

WAITS_DAYS = 7  # a lot without a label after a week carries another; common practice, no source


def printed_before(station: Station, what: str, names: Sequence[str]) -> dict[str, int]:
    """Count the prints of each label that were not taken back (1 query for 5,000 names)."""
    counted: Counter[str] = Counter()
    for some in in_parts(names):
        rows = Label.objects.filter(station=station, what=what, name__in=some, operation__reversed_by__isnull=True)
        counted.update(rows.values_list("name", flat=True))
    return dict(counted)


def labels_of(operation_id: int) -> list[Label]:
    """List what one act printed, in the order in which it was printed (1 query)."""
    return list(Label.objects.filter(operation=operation_id).select_related("lot", "operation").order_by("pk"))


def without_label(station: Station, now: datetime | None = None) -> list[Standing]:
    """List lots made this week that hold seed and have no label yet, the oldest first (2 queries).

    Lots that a sheet brought in carry the label of whoever wrote the sheet.

    Args:
        now: the moment from which the week is counted back; the station's own where none is given.
    """
    since = (now or now_at(station)) - timedelta(days=WAITS_DAYS)
    printed = Label.objects.filter(station=station, what="lot", operation__reversed_by__isnull=True)
    made = Standing.objects.filter(station=station, made_by__isnull=False, made_by__load__isnull=True)
    waiting = made.filter(made_at__gte=since).exclude(lot__in=printed.values("lot"))
    holding = waiting.filter(lot__in=Stock.objects.filter(station=station, mg__gt=0).values("lot"))
    return list(holding.select_related("lot", "line").order_by("made_at", "lot_id"))


def names_of(rows: Iterable[Label]) -> str:
    """Name some labels in a few words: the first three, and how many more."""
    names = [row.name for row in rows]
    return ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")
