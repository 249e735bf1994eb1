"""What was said of seed that left."""

from django.db.models import Q

from inventory.models import Feedback, Line, Lot, Shipment


def said_of(lot: Lot, line: Line | None) -> list[Feedback]:
    """What was said of a lot, of the shipments that took seed of it, and of its line, the newest first (1 query).

    What was taken back is kept and listed too: `operation.reversed_by` says so.
    """
    shipments = Shipment.objects.filter(operation__entries__lot=lot, operation__reversed_by__isnull=True)
    about = Q(lot=lot) | (~Q(shipment="") & Q(shipment__in=shipments.values("code")))
    if line is not None:
        names = {line.pk, line.merged_into_id or line.pk}
        about |= Q(line__in=names) | Q(line__merged_into__in=names)
    rows = Feedback.objects.filter(about, station=lot.station_id)
    wanted = ("lot", "line", "operation__by", "operation__reversed_by__by")
    return list(rows.select_related(*wanted).order_by("-operation__at", "-operation__seq"))
