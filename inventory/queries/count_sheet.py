"""The sheet of a count: what the books have at a place, in the order in which one walks along it."""

from dataclasses import dataclass

from inventory.models import Place, Stock


@dataclass(frozen=True)
class CountRow:
    """A lot's loose seed, or one bag of it, as the books have it at a place [mg]."""

    lot: str
    line: str
    bag_no: int
    mg: int


def count_sheet(place: Place) -> list[CountRow]:
    """List what the books have at a place, by lot and bag (1 query)."""
    rows = Stock.objects.filter(place=place, mg__gt=0).order_by("lot__number", "bag_no")
    wanted = rows.values_list("lot__number", "lot__standing__line__name", "bag_no", "mg")
    return [CountRow(lot, line or "", bag, mg) for lot, line, bag, mg in wanted]
