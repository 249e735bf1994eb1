"""What the intake has to see to: wet seed, and what came in today and has no place, sample or label yet."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from decimal import Decimal
from itertools import takewhile
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from inventory.models import Entry, Label, Moisture, Standing, Station, Stock
from inventory.queries.today import today_at
from inventory.rules.moisture import storage_advice


@dataclass(frozen=True)
class WetLot:
    """A lot in store whose newest reading is too wet to keep.

    Attributes:
        percent: newest reading [% wet basis].
        since: when the first of the wet readings at its end was taken.
        mg: what is in store of it [mg].
    """

    standing: Standing
    percent: Decimal
    since: datetime
    advice: str
    mg: int
    places: tuple[str, ...]


@dataclass(frozen=True)
class CameIn:
    """A lot that was received today, and what is still missing."""

    standing: Standing
    mg: int
    places: tuple[str, ...]
    is_on_the_floor: bool
    has_sample: bool
    has_label: bool


def wet_lots(station: Station) -> list[WetLot]:
    """List lots in store that are too wet to keep, the longest first (3 queries)."""
    stock = Stock.objects.filter(station=station, mg__gt=0)
    wet = {lot: run for lot, readings in _readings(stock).items() if (run := _wet_run(readings))}
    if not wet:
        return []
    here: dict[int, dict[str, int]] = {}
    for lot, place, mg in stock.filter(lot__in=list(wet)).values_list("lot", "place__code", "mg"):
        places = here.setdefault(lot, {})
        places[place] = places.get(place, 0) + mg
    found = [_wet(row, wet[row.lot_id], here[row.lot_id]) for row in _standings(wet) if row.lot_id in here]
    return sorted(found, key=lambda one: (one.since, one.standing.lot_id))


def _wet(row: Standing, run: list[tuple[Decimal, datetime]], here: dict[str, int]) -> WetLot:
    percent = run[-1][0]
    return WetLot(row, percent, run[0][1], str(storage_advice(percent)), sum(here.values()), tuple(sorted(here)))


def came_in_today(station: Station) -> list[CameIn]:
    """List the lots received today that are in store, the newest first, with what each still lacks (5 queries)."""
    zone = ZoneInfo(station.zone)
    start = datetime.combine(today_at(station), time(), zone)
    rows = Standing.objects.filter(
        station=station, made_by__kind="receive", made_at__gte=start, made_at__lt=start + timedelta(days=1)
    )
    made = list(rows.select_related("lot", "line", "market_class").order_by("-made_at", "-lot_id"))
    keys = [row.lot_id for row in made]
    stock: dict[int, dict[str, int]] = {}
    for lot, place, mg in Stock.objects.filter(lot__in=keys, mg__gt=0).values_list("lot", "place__code", "mg"):
        here = stock.setdefault(lot, {})
        here[place] = here.get(place, 0) + mg
    sampled, labelled = _sampled(keys), _labelled(keys)
    return [_came(row, stock[row.lot_id], station.floor, sampled, labelled) for row in made if row.lot_id in stock]


def _came(row: Standing, stock: dict[str, int], floor: str, sampled: set[int], labelled: set[int]) -> CameIn:
    places = tuple(sorted(stock))
    return CameIn(row, sum(stock.values()), places, floor in stock, row.lot_id in sampled, row.lot_id in labelled)


def newest_moistures(stock: QuerySet[Stock]) -> dict[int, Decimal]:
    """The newest reading of each lot in some stock that has one [% wet basis] (1 query)."""
    return {lot: run[-1][0] for lot, run in _readings(stock).items()}


def _readings(stock: QuerySet[Stock]) -> dict[int, list[tuple[Decimal, datetime]]]:
    """All readings of lots in some stock, of acts that stand, in the order of their days (1 query)."""
    read: dict[int, list[tuple[Decimal, datetime]]] = {}
    rows = Moisture.objects.filter(lot__in=stock.values("lot"), operation__reversed_by__isnull=True)
    in_order = rows.order_by("operation__at", "operation__seq")
    for lot, text, at in in_order.values_list("lot", "wet_basis_pct", "operation__at"):
        read.setdefault(lot, []).append((Decimal(text), at))
    return read


def _wet_run(readings: list[tuple[Decimal, datetime]]) -> list[tuple[Decimal, datetime]]:
    """Keep the readings behind the last dry one: none for a lot that is dry now."""
    return list(takewhile(lambda reading: storage_advice(reading[0]), reversed(readings)))[::-1]


def _standings(lots: dict[int, list[tuple[Decimal, datetime]]]) -> list[Standing]:
    rows = Standing.objects.filter(lot__in=list(lots), made_by__isnull=False)
    return list(rows.select_related("lot", "line", "market_class"))


def _sampled(lots: Sequence[int]) -> set[int]:
    drawn = Entry.objects.filter(
        lot__in=lots, operation__entries__account="sampled", operation__reversed_by__isnull=True, mg__lt=0
    )
    return set(drawn.values_list("lot", flat=True))


def _labelled(lots: Sequence[int]) -> set[int]:
    printed = Label.objects.filter(lot__in=lots, what="lot", operation__reversed_by__isnull=True)
    return set(printed.values_list("lot", flat=True))
