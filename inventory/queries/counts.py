"""What the books say stands at a place, to hold a count against."""

from datetime import datetime

from django.db.models import Sum

from inventory.models import Entry, Lot, Place, Stock


def standing_at(place: Place, until: datetime | None = None) -> dict[tuple[int, int], int]:
    """All seed at a place: (lot, bag number) -> mass [mg] (1 query).

    Args:
        until: a moment that is past, for a count that is entered late; None is now.
    """
    if until is None:
        rows = Stock.objects.filter(place=place, mg__gt=0).values_list("lot_id", "bag_no", "mg")
        return {(lot, bag): mg for lot, bag, mg in rows}
    entries = Entry.objects.filter(
        place=place, operation__at__lte=until, operation__reversed_by__isnull=True, operation__reverses__isnull=True
    )
    sums = entries.values("lot_id", "bag_no").annotate(sum=Sum("mg")).order_by("lot_id", "bag_no")
    return {(row["lot_id"], row["bag_no"]): row["sum"] for row in sums if row["sum"]}


def numbers_of(lot_ids: set[int]) -> dict[int, str]:
    """The numbers of lots (1 query)."""
    return dict(Lot.objects.filter(pk__in=lot_ids).values_list("pk", "number"))
