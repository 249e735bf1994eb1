"""What is promised, and what of it still stands."""

from collections.abc import Iterable

from inventory.models import Promise, Stock


def open_promises(lot_ids: Iterable[int]) -> dict[int, list[Promise]]:
    """Promises of lots that were not released, oldest first, by lot (1 query)."""
    by_lot: dict[int, list[Promise]] = {}
    rows = Promise.objects.filter(lot_id__in=list(lot_ids), operation__reversed_by__isnull=True)
    for row in rows.select_related("lot", "operation").order_by("operation__seq"):
        by_lot.setdefault(row.lot_id, []).append(row)
    return by_lot


def left_of(lot_id: int) -> int:
    """What is left of a lot, loose and in bags [mg] (1 query)."""
    return sum(Stock.objects.filter(lot_id=lot_id).values_list("mg", flat=True))
