"""Pages of lots by a keyset cursor: the next page costs the same however far one has read."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from inventory.models import ActiveHold, Standing, Station, Stock

After = tuple[datetime, int]


@dataclass(frozen=True)
class LotRow:
    """One lot of a page.

    Args:
        left: what is left of it [mg].
    """

    standing: Standing
    left: int
    is_held: bool


def lots_after(station: Station, after: After | None, *, most: int) -> tuple[list[LotRow], After | None]:
    """List lots that are made, newest first, from behind a cursor on (made at, lot key) (3 queries).

    Returns:
        At most `most` rows, and the cursor of the next page; None at the end.
    """
    wanted = Standing.objects.filter(station=station, made_by__isnull=False)
    if after is not None:
        moment, key = after
        wanted = wanted.filter(Q(made_at__lt=moment) | Q(made_at=moment, lot_id__lt=key))
    rows = list(wanted.select_related("lot", "line", "market_class").order_by("-made_at", "-lot_id")[: most + 1])
    keys = [row.lot_id for row in rows[:most]]
    left: dict[int, int] = defaultdict(int)
    for lot_id, mg in Stock.objects.filter(lot__in=keys).values_list("lot_id", "mg"):
        left[lot_id] += mg
    held = set(ActiveHold.objects.filter(lot__in=keys).values_list("lot_id", flat=True))
    page = [LotRow(row, left[row.lot_id], row.lot_id in held) for row in rows[:most]]
    last = page[-1].standing if page else None
    following = (last.made_at, last.lot_id) if len(rows) > most and last and last.made_at else None
    return page, following
