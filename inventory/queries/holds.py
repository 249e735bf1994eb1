"""The holds that stand: each with its lots, why, since when and by whom."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import Sum

from inventory.models import ActiveHold, Operation, Standing, Station, Stock


@dataclass(frozen=True)
class HeldLot:
    """A lot on hold, and what of it is in store [mg]."""

    standing: Standing
    mg: int


@dataclass(frozen=True)
class Hold:
    """A hold that stands, with the lots that it is on."""

    operation: Operation
    lots: tuple[HeldLot, ...]

    @property
    def mg(self) -> int:
        """All seed that it holds [mg]."""
        return sum(lot.mg for lot in self.lots)


def standing_holds(station: Station) -> list[Hold]:
    """List the holds that stand, the oldest first (3 queries)."""
    rows = ActiveHold.objects.filter(station=station)
    stock = Stock.objects.filter(lot__in=rows.values("lot")).order_by()
    left = dict(stock.values_list("lot").annotate(Sum("mg")))
    standings = Standing.objects.filter(lot__in=rows.values("lot")).select_related("lot", "line", "market_class")
    by_lot = {row.lot_id: row for row in standings}
    held: dict[int, list[HeldLot]] = defaultdict(list)
    acts: dict[int, Operation] = {}
    for row in rows.select_related("hold__by").defer("hold__content").order_by("hold__seq", "lot"):
        acts[row.hold_id] = row.hold
        held[row.hold_id] += _held(by_lot, left, row.lot_id)
    return [Hold(act, tuple(held[key])) for key, act in acts.items()]


def _held(by_lot: Mapping[int, Standing], left: Mapping[int, int], lot: int) -> list[HeldLot]:
    return [HeldLot(by_lot[lot], left.get(lot, 0))] if lot in by_lot else []
