"""Which lots wait to be cleaned, and what went over the line last."""

from collections import defaultdict

from django.db.models import Sum

from inventory.models import RunRecord, Standing, Station, Stock
from inventory.queries.runs import standing_runs
from inventory.queries.stocking import hold_reasons
from inventory.rules.work_order import Waits

MOST = 200


def waits_to_be_cleaned(station: Station, least_mg: int) -> list[Waits]:
    """List lots that came in and never went over the line, with seed left (4 queries).

    Args:
        least_mg: lots with less are left out [mg]: trial bags are cleaned by hand.
    """
    fed = RunRecord.objects.filter(station=station, operation__reversed_by__isnull=True).values("feed_lot")
    came_in = Standing.objects.filter(station=station, made_by__kind="receive").exclude(lot__in=fed)
    left = came_in.annotate(left=Sum("lot__stock__mg")).filter(left__gte=max(1, least_mg))
    rows = list(left.select_related("lot", "line", "market_class").order_by("made_at", "lot_id")[:MOST])
    places: dict[int, list[str]] = defaultdict(list)
    where = Stock.objects.filter(lot__in=[row.lot_id for row in rows], mg__gt=0).order_by("place__code")
    for lot, code in where.values_list("lot_id", "place__code").distinct():
        places[lot].append(code)
    holds = hold_reasons(station)
    return [_waits(row, ", ".join(places[row.lot_id]), holds.get(row.lot_id, "")) for row in rows]


def last_over_line(station: Station) -> tuple[str, str]:
    """Name line and class of the lot that was fed last; "" for what is not known (1 query)."""
    last = standing_runs(station).last()
    if last is None:
        return "", ""
    standing = last.feed_lot.standing
    return str(standing.line or "a blend"), str(standing.market_class or "")


def _waits(row: Standing, places: str, hold: str) -> Waits:
    left: int = getattr(row, "left", 0)
    return Waits(
        row.lot.number, row.line.name if row.line else "", row.market_class.name if row.market_class else "",
        left, places, hold,
    )  # fmt: skip
