"""What the books say about a lot's moisture."""

from decimal import Decimal

from inventory.models import Lot, Moisture


def newest_moisture(lot: Lot) -> Decimal | None:
    """The moisture that was read last [% wet basis], of acts that stand; None where there is none (1 query)."""
    readings = Moisture.objects.filter(lot=lot, operation__reversed_by__isnull=True)
    newest = readings.order_by("operation__at", "operation__seq").last()
    return Decimal(newest.wet_basis_pct) if newest else None
