"""Lot numbers: the next of the year, or one that a label already carries."""

from collections.abc import Iterable

from django.db.models import F
from django.db.models.functions import Greatest

from inventory.models import Lot, LotCounter, Station
from inventory.queries.uses import in_parts
from inventory.rules.lot_number import LotNumber


def number_lot(station: Station, year: int, wanted: LotNumber | None = None) -> tuple[Lot, bool]:
    """Make or find the row of a lot number and keep the year's counter at the highest used.

    Args:
        year: two digits of the local year, for the next number.
        wanted: the number that a label or sheet already carries.

    Returns:
        The row, and whether it was made here: then nothing in the books can hang on it yet.
    """
    number = wanted or LotNumber(year, _next(station, year))
    if wanted:
        _raise_counter(station, wanted)
    return Lot.objects.get_or_create(
        station=station, year=number.year, running=number.running, defaults={"number": number.text}
    )


def number_lots(station: Station, wanted: Iterable[LotNumber]) -> dict[str, Lot]:
    """Make or find the rows of many numbers that a sheet already carries, by number (a few queries in all).

    Numbers are made at once; the counter of each year rises to the highest.
    """
    numbers = sorted(set(wanted))
    Lot.objects.bulk_create(
        [Lot(station=station, year=n.year, running=n.running, number=n.text) for n in numbers],
        ignore_conflicts=True,
        batch_size=500,
    )
    for highest in {number.year: number for number in numbers}.values():
        _raise_counter(station, highest)
    texts = [number.text for number in numbers]
    parts = (Lot.objects.filter(station=station, number__in=some) for some in in_parts(texts))
    return {lot.number: lot for part in parts for lot in part}


def _next(station: Station, year: int) -> int:
    """Count up by one UPDATE: two acts at once wait for each other and get two numbers."""
    counter = LotCounter.objects.filter(station=station, year=year)
    if not counter.update(last=F("last") + 1):  # the year's first number
        LotCounter.objects.get_or_create(station=station, year=year)
        counter.update(last=F("last") + 1)
    return LotCounter.objects.get(station=station, year=year).last


def _raise_counter(station: Station, number: LotNumber) -> None:
    LotCounter.objects.get_or_create(station=station, year=number.year)
    counter = LotCounter.objects.filter(station=station, year=number.year)
    counter.update(last=Greatest(F("last"), number.running))
