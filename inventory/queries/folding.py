"""Fold the ledger again from nothing, and compare stock, standings, links and holds with it."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from inventory.models import ActiveHold, Bag, Link, Lot, Operation, Place, Standing, Station, Stock
from inventory.rules.contents import Content
from inventory.rules.mass import kg_words
from inventory.rules.nodes import NodeKind, key_of, node

SAYS = ("line_id", "market_class_id", "opening_mg", "crop_year", "generation")


@dataclass
class Made:
    """What a lot is by the fold."""

    operation_id: int | None
    at: datetime | None
    says: tuple[Any, ...]
    inherits_treatment: bool
    treated: bool


_NOT_MADE = Made(None, None, (None, None, 0, None, None), inherits_treatment=False, treated=False)


@dataclass
class Fold:
    """The books as the acts alone make them; acts that were reversed count for stock only."""

    reversed_ids: set[int] = field(default_factory=set)
    stock: dict[tuple[int, int, int], int] = field(default_factory=lambda: defaultdict(int))
    lots: dict[int, Made] = field(default_factory=dict)
    into: dict[int, list[tuple[Any, ...]]] = field(default_factory=dict)
    sowings: set[tuple[Any, ...]] = field(default_factory=set)
    holds: set[tuple[int, int]] = field(default_factory=set)

    def take(self, operation: Operation, content: Content | None) -> None:
        """Take in the next act, in the order of the chain; a text that cannot be read says nothing."""
        if content is None:
            return
        for lot, place, bag, account, _stream, mg in content.entries:
            if not account and lot is not None and place is not None:
                self.stock[(lot, place, bag)] += mg
        if operation.pk in self.reversed_ids or operation.reverses_id:
            return
        self._link(operation, content.links)
        for label, row in content.rows:
            if label == "inventory.Identity":
                self._stand(operation, row)
            if label == "inventory.Treatment" and row["lot_id"] in self.lots:
                self.lots[row["lot_id"]].treated = True
        self._hold(operation, content.lot_ids)

    def _link(self, operation: Operation, links: Sequence[Sequence[Any]]) -> None:
        for child in {link[1] for link in links if not link[4]}:
            self.into[child] = []
        for parent, child, weight, total, is_sowing, is_assumed in links:
            row = (operation.pk, parent, child, weight, total, is_sowing, is_assumed)
            if is_sowing:
                self.sowings.add(row)
            else:
                self.into[child].append(row)

    def _stand(self, operation: Operation, row: Mapping[str, Any]) -> None:
        lot_id = row["lot_id"]
        says = tuple(row.get(name) for name in SAYS)
        if lot_id in self.lots:
            self.lots[lot_id].says = says
            return
        links = self.into.get(node(NodeKind.LOT, lot_id), [])
        parents = [key_of(link[1]) for link in links if link[1] == node(NodeKind.LOT, key_of(link[1]))]
        inherits = any(self.lots[parent].treated for parent in parents if parent in self.lots)
        self.lots[lot_id] = Made(operation.pk, operation.at, says, inherits, inherits)
        self.holds |= {(lot_id, hold) for held, hold in self.holds if held in parents}

    def _hold(self, operation: Operation, lot_ids: Sequence[int]) -> None:
        """Lay or lift; a hold on a lot whose making was reversed went with it."""
        if operation.kind == "hold":
            self.holds |= {(lot_id, operation.pk) for lot_id in lot_ids if lot_id in self.lots}
        if operation.kind == "lift":
            self.holds -= {(lot_id, operation.about_id or 0) for lot_id in lot_ids}


def compare_standing(station: Station, fold: Fold) -> list[str]:
    """Compare what is kept for quick reading with the fold, in sentences."""
    return [
        *_compare_stations(station),
        *_compare_stock(station, fold),
        *_compare_bags(station, fold),
        *_compare_lots(station, fold),
        *_compare_links(station, fold),
        *_compare_shares(fold),
        *_compare_holds(station, fold),
    ]


def _compare_stations(station: Station) -> list[str]:
    """What is kept of a lot or an act of this station, under another station."""
    astray = (
        ("stock", Stock.objects.filter(lot__station=station, mg__gt=0)),
        ("lots", Standing.objects.filter(lot__station=station)),
        ("links", Link.objects.filter(operation__station=station)),
        ("holds", ActiveHold.objects.filter(lot__station=station)),
    )
    counts = [(name, rows.exclude(station=station).count()) for name, rows in astray]
    return [f"{count} rows of {name} are kept under another station." for name, count in counts if count]


def _compare_shares(fold: Fold) -> list[str]:
    """Shares into a lot sum to one, in each act that made it."""
    wrong = [
        child
        for child, links in fold.into.items()
        if links and any(total != sum(link[3] for link in links) for _op, _parent, _child, _weight, total, *_ in links)
    ]
    return [f"Lot row {key_of(child)}: the shares of its sources do not sum to one." for child in sorted(wrong)]


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


def _compare_bags(station: Station, fold: Fold) -> list[str]:
    """Every bag that an act ever filled has its row, and no other."""
    kept = set(Bag.objects.filter(station=station).values_list("lot_id", "number"))
    filled = {(lot, bag) for lot, _place, bag in fold.stock if bag}
    lots = Lot.objects.in_bulk({lot for lot, _bag in kept ^ filled})
    return [
        f"Bag {lots.get(lot, lot)}/{bag}: {'no act filled it' if (lot, bag) in kept else 'its row is gone'}."
        for lot, bag in sorted(kept ^ filled)
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
        kept = Made(standing.made_by_id, standing.made_at, says, standing.inherits_treatment, standing.treated)
        expected = made or _NOT_MADE
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
