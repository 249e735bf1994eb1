"""Fold the ledger again from nothing, and compare stock, standings, links and holds with it."""

import json
from collections import defaultdict
from dataclasses import dataclass, field
from typing import Any

from inventory.models import ActiveHold, Link, Lot, Operation, Place, Standing, Station, Stock
from inventory.rules.mass import kg_words
from inventory.rules.nodes import NodeKind, key_of, kind_of, node

SAYS = ("line_id", "market_class_id", "opening_mg", "crop_year", "generation")


@dataclass
class Made:
    """What a lot is by the fold."""

    operation_id: int
    says: tuple[Any, ...]
    inherits_treatment: bool
    treated: bool


@dataclass
class Fold:
    """The books as the acts alone make them; acts that were reversed count for stock only."""

    reversed_ids: set[int] = field(default_factory=set)
    stock: dict[tuple[int, int, int], int] = field(default_factory=lambda: defaultdict(int))
    lots: dict[int, Made] = field(default_factory=dict)
    into: dict[int, list[tuple[Any, ...]]] = field(default_factory=dict)
    sowings: set[tuple[Any, ...]] = field(default_factory=set)
    holds: set[tuple[int, int]] = field(default_factory=set)

    def take(self, operation: Operation) -> None:
        """Take in the next act, in the order of the chain."""
        try:
            content = json.loads(operation.content)
        except ValueError:
            return
        for lot, place, bag, account, _stream, mg in content["entries"]:
            if not account:
                self.stock[(lot, place, bag)] += mg
        if operation.pk in self.reversed_ids or operation.reverses_id:
            return
        self._link(operation, content["links"])
        for label, row in content["rows"]:
            if label == "inventory.Identity":
                self._stand(operation, row)
            if label == "inventory.Treatment" and row["lot_id"] in self.lots:
                self.lots[row["lot_id"]].treated = True
        self._hold(operation, content["facts"])

    def _link(self, operation: Operation, links: list[list[Any]]) -> None:
        for child in {link[1] for link in links if not link[4]}:
            self.into[child] = []
        for parent, child, weight, total, is_sowing, is_assumed in links:
            row = (operation.pk, parent, child, weight, total, is_sowing, is_assumed)
            if is_sowing:
                self.sowings.add(row)
            else:
                self.into[child].append(row)

    def _stand(self, operation: Operation, row: dict[str, Any]) -> None:
        lot_id = row["lot_id"]
        says = tuple(row[name] for name in SAYS)
        if lot_id in self.lots:
            self.lots[lot_id].says = says
            return
        links = self.into.get(node(NodeKind.LOT, lot_id), [])
        parents = [key_of(link[1]) for link in links if kind_of(link[1]) is NodeKind.LOT]
        inherits = any(self.lots[parent].treated for parent in parents if parent in self.lots)
        self.lots[lot_id] = Made(operation.pk, says, inherits, inherits)
        self.holds |= {(lot_id, hold) for held, hold in self.holds if held in parents}

    def _hold(self, operation: Operation, facts: dict[str, Any]) -> None:
        lot_ids = facts.get("lot_ids", [])
        if operation.kind == "hold":
            self.holds |= {(lot_id, operation.pk) for lot_id in lot_ids}
        if operation.kind == "lift":
            self.holds -= {(lot_id, operation.about_id or 0) for lot_id in lot_ids}


def compare_standing(station: Station, fold: Fold) -> list[str]:
    """Compare what is kept for quick reading with the fold, in sentences."""
    return [
        *_compare_stock(station, fold),
        *_compare_lots(station, fold),
        *_compare_links(station, fold),
        *_compare_holds(station, fold),
    ]


def _compare_stock(station: Station, fold: Fold) -> list[str]:
    kept = {(row.lot_id, row.place_id, row.bag_no): row.mg for row in Stock.objects.filter(station=station)}
    wrong = [key for key in kept.keys() | fold.stock.keys() if kept.get(key, 0) != fold.stock.get(key, 0)]
    lots = Lot.objects.in_bulk({lot for lot, _place, _bag in wrong})
    places = Place.objects.in_bulk({place for _lot, place, _bag in wrong})
    return [
        f"{lots.get(lot, lot)}{f'/{bag}' if bag else ''} at {places.get(place, place)}: stock says "
        f"{kg_words(kept.get((lot, place, bag), 0))} kg, its entries {kg_words(fold.stock.get((lot, place, bag), 0))}."
        for lot, place, bag in sorted(wrong)
    ]


def _compare_lots(station: Station, fold: Fold) -> list[str]:
    differences = []
    for standing in Standing.objects.filter(station=station).select_related("lot"):
        made = fold.lots.get(standing.lot_id)
        says = (
            standing.line_id,
            standing.market_class_id,
            standing.opening_mg,
            standing.crop_year,
            standing.generation,
        )
        kept = (standing.made_by_id, says, standing.inherits_treatment, standing.treated)
        nothing = (None, (None, None, 0, None, None), False, False)
        expected = (made.operation_id, made.says, made.inherits_treatment, made.treated) if made else nothing
        if kept != expected:
            differences.append(f"{standing.lot}: what is kept of the lot is not what its acts say.")
    missing = set(fold.lots) - set(Standing.objects.filter(station=station).values_list("lot_id", flat=True))
    return differences + [f"Lot row {lot_id}: it was made and is not kept." for lot_id in sorted(missing)]


def _compare_links(station: Station, fold: Fold) -> list[str]:
    kept = set(
        Link.objects.filter(station=station).values_list(
            "operation_id", "parent", "child", "weight", "total", "is_sowing", "is_assumed"
        )
    )
    expected = fold.sowings | {link for links in fold.into.values() for link in links}
    return [f"Lineage: {len(kept ^ expected)} links are not as the acts say."] if kept != expected else []


def _compare_holds(station: Station, fold: Fold) -> list[str]:
    kept = set(ActiveHold.objects.filter(station=station).values_list("lot_id", "hold_id"))
    return [f"Holds: {len(kept ^ fold.holds)} are not as the acts say."] if kept != fold.holds else []
