"""A page of the lots in store: of a line, a class, a place, or those that a question found, by a keyset cursor."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from inventory.models import Standing, Station, Stock
from inventory.queries.stocking import hold_reasons, promised_by_lot, stock_wanted
from inventory.queries.today import today_at

After = tuple[datetime, int]
MOST_FOUND = 20_000  # lots that a question may hand over; SQLite takes no more than 32,766 values in one statement


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """Which lots are listed; "" and None keep all.

    Args:
        numbers: those that a question found.
    """

    line: str = ""
    market_class: str = ""
    place: str = ""
    numbers: Collection[str] | None = None


@dataclass(frozen=True)
class Listed:
    """A lot of the list.

    Args:
        left, promised: of what is wanted [mg].
        places: where it stands, in order.
        hold: why nothing of it may leave; "" where it may.
    """

    standing: Standing
    left: int
    promised: int
    places: tuple[str, ...]
    hold: str


def lot_list(
    station: Station, wanted: Wanted, *, after: After | None = None, most: int = 100
) -> tuple[list[Listed], After | None]:  # fmt: skip
    """List lots in store, newest first, from behind a cursor on (made at, lot key) (5 queries, 1 more for each name).

    Returns:
        At most `most` lots, and the cursor of the next page; None at the end.

    Raises:
        Mistake: no line, class or place is called so, with the nearest.
    """
    here = Stock.objects.filter(
        stock_wanted(station, wanted.line, wanted.market_class, wanted.place), station=station, mg__gt=0
    )
    found = Standing.objects.filter(station=station, made_by__isnull=False, lot__in=here.values("lot"))
    if wanted.numbers is not None:
        found = found.filter(lot__number__in=sorted(wanted.numbers)[-MOST_FOUND:])
    if after is not None:
        moment, key = after
        found = found.filter(Q(made_at__lt=moment) | Q(made_at=moment, lot_id__lt=key))
    rows = list(found.select_related("lot", "line", "market_class").order_by("-made_at", "-lot_id")[: most + 1])
    page = _listed(station, rows[:most])
    last = rows[most - 1] if len(rows) > most else None
    return page, (last.made_at, last.lot_id) if last and last.made_at else None


def _listed(station: Station, rows: list[Standing]) -> list[Listed]:
    left: dict[int, int] = {}
    places: dict[int, set[str]] = {}
    stock = Stock.objects.filter(lot__in=[row.lot_id for row in rows], mg__gt=0)
    for lot, place, mg in stock.values_list("lot", "place__code", "mg"):
        left[lot] = left.get(lot, 0) + mg
        places.setdefault(lot, set()).add(place)
    promised, holds = promised_by_lot(station, today_at(station)), hold_reasons(station)
    return [
        Listed(
            row, left.get(row.lot_id, 0), promised.get(row.lot_id, 0), tuple(sorted(places.get(row.lot_id, ()))),
            holds.get(row.lot_id, ""),
        )
        for row in rows
    ]  # fmt: skip
