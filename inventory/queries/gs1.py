"""Which GS1 numbers a station has."""

from inventory.models import Gs1Numbers, Station
from inventory.rules.gs1 import TradeNumbers, begins_with


def trade_numbers(station: Station) -> TradeNumbers:
    """Give what a station stated, the newest of each, without what was taken back (1 query).

    A GTIN rests while no prefix that it begins with stands: the act that stated one may be taken back alone.
    """
    prefix, gln, gtins = "", "", dict[int | None, str]()
    stated = Gs1Numbers.objects.filter(station=station, operation__reversed_by__isnull=True)
    for row in stated.order_by("operation__seq"):
        prefix, gln = row.prefix or prefix, row.gln or gln
        if row.gtin:
            gtins[row.market_class_id] = row.gtin
    own = {key: gtin for key, gtin in gtins.items() if prefix and begins_with(gtin, prefix)}
    return TradeNumbers(prefix, gln, own)


def is_elsewhere(station: Station, **number: str) -> bool:
    """Say whether another station states this `gtin` or `gln` (1 query)."""
    others = Gs1Numbers.objects.filter(**number, operation__reversed_by__isnull=True)
    return others.exclude(station=station).exists()
