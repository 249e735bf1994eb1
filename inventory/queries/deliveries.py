"""What the books say about deliveries: field weights, and what came in on a day."""

from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from inventory.models import FieldWeight, Link, Plot, Receipt, Station
from inventory.rules.nodes import NodeKind, key_of, kind_of, node


def field_weights(plots: Iterable[Plot]) -> dict[int, FieldWeight]:
    """The newest field weight of each plot that stands; a weighing goes before an estimate (1 query)."""
    rows = (
        FieldWeight.objects.filter(plot__in=[plot.pk for plot in plots], operation__reversed_by__isnull=True)
        .order_by("-is_estimate", "operation__seq")
    )  # fmt: skip
    return {row.plot_id: row for row in rows}


def earlier_deliveries(station: Station, plot_ids: frozenset[int], day: date, zone: ZoneInfo) -> list[tuple[str, int]]:
    """Lots received that local day from just these plots: number and net [mg] (2 queries)."""
    start = datetime.combine(day, time(), zone)
    receipts = Receipt.objects.filter(
        station=station,
        operation__reversed_by__isnull=True,
        operation__at__gte=start,
        operation__at__lt=start + timedelta(days=1),
    ).select_related("lot")
    by_lot = {node(NodeKind.LOT, receipt.lot_id): receipt for receipt in receipts}
    sources: dict[int, set[int]] = {}
    for link in Link.objects.filter(child__in=by_lot, is_sowing=False):
        if kind_of(link.parent) is NodeKind.PLOT:
            sources.setdefault(link.child, set()).add(key_of(link.parent))
    return [(by_lot[child].lot.number, by_lot[child].net_mg) for child, plots in sources.items() if plots == plot_ids]
