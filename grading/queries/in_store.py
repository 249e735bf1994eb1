"""What is in store, as the lists of grading need it."""

from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet, Sum

from inventory.models import Standing, Station, Stock


@dataclass(frozen=True)
class InStore:
    """A lot of which seed is left."""

    lot_id: int
    number: str
    line: str
    mg: int


def keys_in_store(station: Station) -> QuerySet[Any, Any]:
    """Say which lots hold seed, as a subquery: a list of all lots then costs one statement, however many they are."""
    return Stock.objects.filter(station=station, mg__gt=0).values("lot")


def lots_in_store(station: Station) -> list[InStore]:
    """List lots of which seed is left, by number (2 queries)."""
    rows = Stock.objects.filter(station=station, mg__gt=0).values("lot_id", "lot__number").annotate(left=Sum("mg"))
    names = Standing.objects.filter(station=station, lot__stock__mg__gt=0).values_list("lot_id", "line__name")
    lines = {lot: name or "" for lot, name in names.distinct()}
    found = [InStore(row["lot_id"], row["lot__number"], lines.get(row["lot_id"], ""), row["left"]) for row in rows]
    return sorted(found, key=lambda each: each.number)
