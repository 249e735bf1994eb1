"""Which GS1 numbers a station has."""

from inventory.models import Gs1Numbers, Station
from inventory.rules.gs1 import TradeNumbers


def trade_numbers(station: Station) -> TradeNumbers:
    """Give what a station stated, the newest of each, without what was taken back (1 query)."""
    prefix, gln, gtins = "", "", dict[int | None, str]()
    stated = Gs1Numbers.objects.filter(station=station, operation__reversed_by__isnull=True)
    for row in stated.order_by("operation__seq"):
        prefix, gln = row.prefix or prefix, row.gln or gln
        if row.gtin:
            gtins[row.market_class_id] = row.gtin
    return TradeNumbers(prefix, gln, gtins)


def is_gtin_elsewhere(station: Station, gtin: str) -> bool:
    """Say whether another station states this GTIN (1 query)."""
    others = Gs1Numbers.objects.filter(gtin=gtin, operation__reversed_by__isnull=True)
    return others.exclude(station=station).exists()
