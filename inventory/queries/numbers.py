"""The number that the next lot will most likely get, read without waiting for anybody."""

from inventory.models import LotCounter, Station
from inventory.queries.today import today_at
from inventory.rules.lot_number import LAST_RUNNING, LotNumber


def next_number(station: Station) -> str:
    """Give the next lot number of the station's year; "" once a year's numbers are used up (2 queries).

    Another act may take it first: what a lot is called is known once it is saved.
    """
    year = today_at(station).year % 100
    last = LotCounter.objects.filter(station=station, year=year).values_list("last", flat=True).first() or 0
    return LotNumber(year, last + 1).text if last < LAST_RUNNING else ""
