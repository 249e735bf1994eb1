"""What tests of health, variety and purity say of lots, held against the limits that the station set."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any, NamedTuple, TypeVar
from zoneinfo import ZoneInfo

from django.db.models import Model, QuerySet, Value

from grading.models import HealthTest, PurityTest, SeedLimit, VarietyTest
from grading.queries.finding import day_of
from grading.queries.in_store import InStore, keys_in_store, lots_in_store
from grading.rules.counts import OFF_TYPES
from grading.rules.purity import WORDS, Purity, Weighed, purity
from grading.stats.against_limit import Judged, Judgement, judge
from inventory.models import Station
from inventory.queries.uses import Keys, for_statements

Row = TypeVar("Row", bound=Model)
ALARMS = (Judgement.OVER, Judgement.TOO_NEAR)


@dataclass(frozen=True)
class Counted:
    """The newest count of a pathogen or of off-types in a lot.

    Attributes:
        name: the pathogen, or off-types.
        how: the method, or what was looked at.
        on: the day.
        judged: with its upper limit, against the limit in force.
    """

    lot_id: int
    name: str
    how: str
    on: date
    judged: Judged

    @property
    def says(self) -> str:
        """The plain sentence."""
        judged = self.judged
        limit = "" if judged.most_pct is None else f"; limit {float(judged.most_pct):g} %"
        found = f"{judged.found} of {judged.upper.n} ({self.how}, {self.on}), at most {judged.upper_pct} %{limit}"
        return f"{found}: {judged.judgement}"


@dataclass(frozen=True)
class WatchedCount:
    """A lot in store with a count that is over its limit or too near to call."""

    lot: InStore
    counted: Counted


def limits_in_force(station: Station, until: date | None = None) -> dict[str, Fraction]:
    """Give the limits of a day by folded name, the newest of each (1 query).

    Args:
        until: the day; later limits do not count.
    """
    rows = _standing(SeedLimit.objects.filter(station=station)).order_by("operation__at", "operation__seq")
    limits: dict[str, Fraction] = {}
    for row in rows:
        if until is not None and day_of(row.operation, station) > until:
            continue
        limits.pop(row.name.casefold(), None)
        if row.most_pct:
            limits[row.name.casefold()] = Fraction(row.most_pct)
    return limits


def counts_of(station: Station, lot_ids: Keys, until: date | None = None) -> dict[int, list[Counted]]:
    """Give the newest count of each pathogen and of off-types of these lots.

    It costs 1 query for 5,000 keys, or for a query of keys, and 1 for limits.

    Args:
        until: only tests of this day and before.
    """
    rows = [row for some in for_statements(lot_ids) for row in _counts(station, some)]
    limits = limits_in_force(station, until) if rows else {}
    zone, newest = ZoneInfo(station.zone), dict[tuple[int, str], Counted]()
    for row in rows:
        counted = _counted(row, zone, limits)
        if until is None or counted.on <= until:
            newest[counted.lot_id, counted.name.casefold()] = counted
    by_lot: dict[int, list[Counted]] = {}
    for (lot_id, _name), counted in sorted(newest.items()):
        by_lot.setdefault(lot_id, []).append(counted)
    return by_lot


def counts_to_watch(
    station: Station, today: date, lots: Sequence[InStore] | None = None
) -> dict[Judgement, list[WatchedCount]]:  # fmt: skip
    """List lots in store with a newest count over its limit, or too near to call (4 queries)."""
    lots = lots_in_store(station) if lots is None else lots
    counts = counts_of(station, keys_in_store(station), today)
    watched = [WatchedCount(lot, counted) for lot in lots for counted in counts.get(lot.lot_id, [])]
    return {alarm: [each for each in watched if each.counted.judged.judgement is alarm] for alarm in ALARMS}


def purity_of(station: Station, lot_id: int) -> tuple[date, Purity] | None:
    """Give the newest purity analysis of a lot, worked out again from its weights (1 query)."""
    row = _oldest_first(PurityTest.objects.filter(station=station, lot=lot_id)).last()
    if row is None:
        return None
    parts = {part: Decimal(row.parts_g.get(part, "0")) for part in WORDS if part != "pure_seed" or part in row.parts_g}
    return day_of(row.operation, station), purity(Weighed(Decimal(row.working_g), parts))


def alarm_words(counts: Sequence[Counted]) -> str:
    """Say in a few words which counts are over their limit or too near to call; "" where none is."""
    return ", ".join(
        f"{counted.name} {counted.judged.judgement}" for counted in counts if counted.judged.judgement in ALARMS
    )


class _Count(NamedTuple):
    lot_id: int
    name: str
    how: str
    looked_at: int
    found: int
    at: datetime
    seq: int


def _counts(station: Station, lots: Sequence[int] | QuerySet[Any, Any]) -> list[_Count]:
    """The counts of health tests and of variety tests, the oldest first, read together (1 query)."""
    health = HealthTest.objects.filter(station=station, lot__in=lots, operation__reversed_by__isnull=True)
    variety = VarietyTest.objects.filter(station=station, lot__in=lots, operation__reversed_by__isnull=True)
    act = ("operation__at", "operation__seq")
    rows = health.values_list("lot_id", "pathogen", "method", "tested", "found", *act).union(
        variety.annotate(name=Value(OFF_TYPES)).values_list(
            "lot_id", "name", "counted", "looked_at", "off_types", *act
        ),
        all=True,
    )
    return sorted(map(_Count._make, rows), key=lambda row: (row.at, row.seq))


def _counted(row: _Count, zone: ZoneInfo, limits: dict[str, Fraction]) -> Counted:
    judged = judge(row.found, row.looked_at, limits.get(row.name.casefold()))
    return Counted(row.lot_id, row.name, row.how, row.at.astimezone(zone).date(), judged)


def _standing(rows: QuerySet[Row]) -> QuerySet[Row]:
    return rows.filter(operation__reversed_by__isnull=True).select_related("operation")


def _oldest_first(rows: QuerySet[Row]) -> QuerySet[Row]:
    return _standing(rows).order_by("operation__at", "operation__seq")
