"""Lot numbers: the next of the year, or one that a label already carries."""

from django.db.models import F
from django.db.models.functions import Greatest

from inventory.models import Lot, LotCounter, Station
from inventory.rules.lot_number import LotNumber


def number_lot(station: Station, year: int, wanted: LotNumber | None = None) -> Lot:
    """Make or find the row of a lot number and keep the year's counter at the highest used.

    Args:
        year: two digits of the local year, for the next number.
        wanted: the number that a label or sheet already carries.
    """
    number = wanted or LotNumber(year, _next(station, year))
    if wanted:
        _raise_counter(station, wanted)
    lot, _made = Lot.objects.get_or_create(
        station=station, year=number.year, running=number.running, defaults={"number": number.text}
    )
    return lot


def _next(station: Station, year: int) -> int:
    """Count up by one UPDATE: two acts at once wait for each other and get two numbers."""
    LotCounter.objects.get_or_create(station=station, year=year)
    LotCounter.objects.filter(station=station, year=year).update(last=F("last") + 1)
    return LotCounter.objects.get(station=station, year=year).last


def _raise_counter(station: Station, number: LotNumber) -> None:
    LotCounter.objects.get_or_create(station=station, year=number.year)
    counter = LotCounter.objects.filter(station=station, year=number.year)
    counter.update(last=Greatest(F("last"), number.running))
