"""What was moved last, and which bags a lot stands in."""

from dataclasses import dataclass

from inventory.models import Entry, Operation, Station, Stock


@dataclass(frozen=True)
class Moved:
    """A move that stands: what of which lot, and to where."""

    operation: Operation
    lot: str
    bags: int
    mg: int
    to: str


def last_moves(station: Station, most: int) -> list[Moved]:
    """List the moves that were made last and stand, the newest first (2 queries)."""
    acts = list(
        Operation.objects.filter(station=station, kind="move", reversed_by__isnull=True)
        .select_related("by").defer("content").order_by("-seq")[:most]
    )  # fmt: skip
    arrived: dict[int, list[Entry]] = {act.pk: [] for act in acts}
    entries = Entry.objects.filter(operation__in=list(arrived), mg__gt=0).select_related("lot", "place")
    for entry in entries.order_by("position"):
        arrived[entry.operation_id].append(entry)
    return [_moved(act, arrived[act.pk]) for act in acts if arrived[act.pk]]


def _moved(act: Operation, entries: list[Entry]) -> Moved:
    lot, place = entries[0].lot, entries[0].place
    bags = sum(entry.bag_no > 0 for entry in entries)
    return Moved(act, lot.number if lot else "", bags, sum(entry.mg for entry in entries), place.code if place else "")


def bags_of_all(station: Station, lot: str, place: str = "") -> str:
    """Name all bags of a lot that stands in bags alone, "1, 2, 3"; "" where some of it is loose (1 query).

    Args:
        place: the one place that counts; "" for all.
    """
    stock = Stock.objects.filter(station=station, lot__number=lot, mg__gt=0)
    if place:
        stock = stock.filter(place__code=place)
    bags = sorted(stock.values_list("bag_no", flat=True))
    return ", ".join(map(str, bags)) if bags and bags[0] else ""
