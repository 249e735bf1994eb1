"""What stands at each place now, and what stands at one of them, lot by lot."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db.models import QuerySet

from inventory.drawing.floorplan import Stand
from inventory.models import ActiveHold, Container, Entry, Place, Standing, Station, Stock
from inventory.queries.floor import newest_moistures
from inventory.queries.stocking import hold_reasons
from inventory.queries.today import today_at
from inventory.rules.deliveries import TARE_MAX_AGE
from inventory.rules.moisture import storage_advice


@dataclass(frozen=True)
class StandsHere:
    """A lot at a place: loose seed and bags [mg], what is known of it."""

    standing: Standing
    loose_mg: int
    bags: tuple[int, ...]
    bags_mg: int
    moisture: Decimal | None
    advice: str
    hold: str
    since: datetime | None

    @property
    def mg(self) -> int:
        """All of it here."""
        return self.loose_mg + self.bags_mg


@dataclass(frozen=True)
class ContainerNow:
    """A container, and whether its tare was checked too long ago."""

    container: Container
    is_old: bool


def stands(station: Station) -> list[Stand]:
    """Say of every place what stands there, empty ones too (5 queries)."""
    mass: dict[int, int] = defaultdict(int)
    lots: dict[int, set[int]] = defaultdict(set)
    bags: dict[int, int] = defaultdict(int)
    rows = Stock.objects.filter(station=station, mg__gt=0)
    for place, lot, bag, mg in rows.values_list("place", "lot", "bag_no", "mg"):
        mass[place] += mg
        bags[place] += bag > 0
        lots[place].add(lot)
    wet = {lot for lot, percent in newest_moistures(rows).items() if storage_advice(percent)}
    held = set(ActiveHold.objects.filter(station=station).values_list("lot", flat=True))
    tested = _tested(rows)
    return [
        Stand(
            place.code, place.name, mass[place.pk], len(lots[place.pk]), bags[place.pk], len(lots[place.pk] & tested),
            is_wet=bool(lots[place.pk] & wet), is_held=bool(lots[place.pk] & held),
        )
        for place in Place.objects.filter(station=station).order_by("code")
    ]  # fmt: skip


def stands_at(place: Place) -> list[StandsHere]:
    """List what stands at a place, lot by lot, the newest first (6 queries)."""
    loose: dict[int, int] = defaultdict(int)
    bags: dict[int, dict[int, int]] = defaultdict(dict)
    stock = Stock.objects.filter(place=place, mg__gt=0)
    for lot, bag, mg in stock.values_list("lot", "bag_no", "mg"):
        if bag:
            bags[lot][bag] = mg
        else:
            loose[lot] += mg
    keys = sorted({*loose, *bags})
    standings = Standing.objects.filter(lot__in=keys).select_related("lot", "line", "market_class")
    moistures, holds, since = newest_moistures(stock), hold_reasons(place.station), _since(place, keys)
    return [
        StandsHere(
            row, loose[row.lot_id], tuple(sorted(bags[row.lot_id])), sum(bags[row.lot_id].values()),
            moistures.get(row.lot_id), _advice(moistures.get(row.lot_id)), holds.get(row.lot_id, ""),
            since.get(row.lot_id),
        )
        for row in standings.order_by("-made_at", "-lot_id")
    ]  # fmt: skip


def containers_now(station: Station) -> list[ContainerNow]:
    """List the containers with their tares, those to be weighed again first (2 queries)."""
    today = today_at(station)
    rows = [ContainerNow(row, is_old(row, today)) for row in Container.objects.filter(station=station).order_by("code")]
    return sorted(rows, key=lambda row: not row.is_old)


def is_old(container: Container, today: date) -> bool:
    """Say whether a tare was checked over a year ago, or never."""
    return container.checked_on is None or today - container.checked_on > TARE_MAX_AGE


def _advice(percent: Decimal | None) -> str:
    return str(storage_advice(percent)) if percent is not None else ""


def _since(place: Place, lots: Iterable[int]) -> dict[int, datetime]:
    """When seed of each lot came here last (1 query)."""
    came = Entry.objects.filter(place=place, lot__in=list(lots), mg__gt=0, operation__reversed_by__isnull=True)
    return dict(came.order_by("operation__at").values_list("lot", "operation__at"))


def _tested(stock: QuerySet[Stock]) -> set[int]:
    """Lots of which the bench has drawn a sample or taken seed for a test (1 query)."""
    drawn = Entry.objects.filter(
        lot__in=stock.values("lot"), operation__entries__account__in=("sampled", "tested"),
        operation__reversed_by__isnull=True,
    )  # fmt: skip
    return set(drawn.values_list("lot", flat=True))
