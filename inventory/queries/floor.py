"""What the intake has to see to: wet seed, and what came in today and has no place, sample or label yet."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from inventory.models import Entry, Label, Moisture, Standing, Station, Stock
from inventory.queries.today import today_at
from inventory.queries.uses import in_parts
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
    """List lots in store that are too wet to keep, the longest first (3 queries, more by 500 lots)."""
    standing_at: dict[int, tuple[int, set[str]]] = {}
    for lot, place, mg in Stock.objects.filter(station=station, mg__gt=0).values_list("lot", "place__code", "mg"):
        before, places = standing_at.get(lot, (0, set()))
        standing_at[lot] = (before + mg, places | {place})
    wet = {lot: run for lot, run in _wet_runs(list(standing_at)).items() if run}
    found = []
    for row in _standings(wet):
        percent, since = wet[row.lot_id][-1][0], wet[row.lot_id][0][1]
        mg, places = standing_at[row.lot_id]
        found.append(WetLot(row, percent, since, str(storage_advice(percent)), mg, tuple(sorted(places))))
    return sorted(found, key=lambda one: (one.since, one.standing.lot_id))


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


def _wet_runs(lots: Sequence[int]) -> dict[int, list[tuple[Decimal, datetime]]]:
    """The readings of each lot from its last dry one on: empty for a lot that is dry now."""
    runs: dict[int, list[tuple[Decimal, datetime]]] = {}
    for some in in_parts(lots):
        readings = Moisture.objects.filter(lot__in=some, operation__reversed_by__isnull=True)
        rows = readings.order_by("operation__at", "operation__seq")
        for lot, text, at in rows.values_list("lot", "wet_basis_pct", "operation__at"):
            percent = Decimal(text)
            runs[lot] = [*runs.get(lot, []), (percent, at)] if storage_advice(percent) else []
    return runs


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
