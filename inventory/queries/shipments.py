"""What left under a shipment's code, and what of it came back."""

from collections.abc import Sequence

from django.db.models import Q

from inventory.models import Entry, Lot, Shipment, Station


def find_shipments(station: Station, code: str) -> list[Shipment]:
    """The acts that shipped under a code and stand, the newest first (1 query)."""
    rows = Shipment.objects.filter(station=station, code=code.strip(), operation__reversed_by__isnull=True)
    return list(rows.select_related("operation").order_by("-operation__seq"))


def still_out(shipments: Sequence[Shipment], lot: Lot) -> dict[int, int]:
    """What of a lot left with these shipments and has not come back, by bag [mg]; 0 is loose seed (1 query)."""
    acts = [shipment.operation_id for shipment in shipments]
    back = Q(operation__about__in=acts, operation__kind="return", operation__reversed_by__isnull=True)
    out: dict[int, int] = {}
    for bag, mg in Entry.objects.filter(Q(operation__in=acts) | back, lot=lot).values_list("bag_no", "mg"):
        out[bag] = out.get(bag, 0) - mg
    return out


def shipped_with(shipments: Sequence[Shipment], lot: Lot) -> Shipment | None:
    """The newest of these shipments that took seed of a lot (1 query)."""
    acts = set(Entry.objects.filter(lot=lot, operation__shipment__in=shipments).values_list("operation_id", flat=True))
    return next((shipment for shipment in shipments if shipment.operation_id in acts), None)
