"""What the books say about deliveries: field weights, and what came in on a day."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime

from inventory.models import FieldWeight, Link, Plot, Receipt, Sender, Station
from inventory.queries.uses import in_parts
from inventory.rules.nodes import NodeKind, key_of, kind_of, node


def field_weights(plots: Iterable[Plot]) -> dict[int, FieldWeight]:
    """The newest field weight of each plot that stands; a weighing goes before an estimate (1 query)."""
    rows = (
        FieldWeight.objects.filter(plot__in=[plot.pk for plot in plots], operation__reversed_by__isnull=True)
        .order_by("-is_estimate", "operation__seq")
    )  # fmt: skip
    return {row.plot_id: row for row in rows}


def deliveries_from(station: Station, plot_ids: Iterable[int]) -> list[tuple[frozenset[int], datetime, str, int]]:
    """Deliveries that stand and came from any of these plots: all their plots, when, lot number, net [mg]."""
    lot_nodes: set[int] = set()
    for some in in_parts([node(NodeKind.PLOT, plot_id) for plot_id in plot_ids]):
        children = Link.objects.filter(station=station, parent__in=some, is_sowing=False).values_list(
            "child", flat=True
        )
        lot_nodes.update(children)
    return [found for some in in_parts(sorted(lot_nodes)) for found in _deliveries_into(some)]


def deliveries_of_sender(station: Station, name: str, their_lot: str) -> list[tuple[datetime, str, int]]:
    """Deliveries that stand of one lot of a sender: when, lot number, net [mg] (3 queries)."""
    senders = Sender.objects.filter(station=station, name__iexact=name, their_lot__iexact=their_lot)
    parents = [node(NodeKind.SENDER, key) for key in senders.values_list("pk", flat=True)]
    lots = [key_of(child) for child in Link.objects.filter(parent__in=parents).values_list("child", flat=True)]
    receipts = Receipt.objects.filter(lot_id__in=lots, operation__reversed_by__isnull=True)
    return [
        (receipt.operation.at, receipt.lot.number, receipt.net_mg)
        for receipt in receipts.select_related("lot", "operation").order_by("pk")
    ]


def _deliveries_into(lot_nodes: Sequence[int]) -> Iterator[tuple[frozenset[int], datetime, str, int]]:
    sources: dict[int, set[int]] = {}
    for link in Link.objects.filter(child__in=lot_nodes, is_sowing=False):
        if kind_of(link.parent) is NodeKind.PLOT:
            sources.setdefault(key_of(link.child), set()).add(key_of(link.parent))
    receipts = Receipt.objects.filter(lot_id__in=list(sources), operation__reversed_by__isnull=True)
    for receipt in receipts.select_related("lot", "operation"):
        yield frozenset(sources[receipt.lot_id]), receipt.operation.at, receipt.lot.number, receipt.net_mg


def last_deliveries(station: Station, most: int = 5) -> list[Receipt]:
    """The deliveries that were logged last and stand, the newest first (1 query)."""
    rows = Receipt.objects.filter(station=station, operation__reversed_by__isnull=True)
    return list(rows.select_related("lot__standing__line", "operation").order_by("-operation__seq", "-pk")[:most])
