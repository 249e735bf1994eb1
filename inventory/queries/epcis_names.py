"""Addresses of things as events name them: this site's, ending in the number that the thing's label carries.

Where the station stated GS1 numbers, lots and bags of classes that have a GTIN, and places where it has a location
number, are named by these instead.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from urllib.parse import quote

from inventory.models import Bag, Entry, Line, Lot, MarketClass, Operation, Place, Sender, Standing, Station
from inventory.queries.gs1 import trade_numbers
from inventory.queries.label_texts import scan_address
from inventory.queries.uses import in_parts
from inventory.rules.contents import read_content
from inventory.rules.gs1 import TradeNumbers, bag_link, lot_link, place_link
from inventory.rules.label_codes import LabelKind, label_code
from inventory.rules.nodes import NodeKind, key_of, kind_of

_LABELS = {NodeKind.PLOT: LabelKind.PLOT, NodeKind.PLANT: LabelKind.PLANT, NodeKind.CROSS: LabelKind.CROSS}


@dataclass(frozen=True)
class Names:
    """What is called how, by the keys of rows."""

    address: str
    lots: Mapping[int, str]
    bags: Mapping[tuple[int, int], int]
    places: Mapping[int, str]
    lines: Mapping[int, str]
    classes: Mapping[int, str]
    senders: Mapping[int, str]
    stated: TradeNumbers = field(default_factory=TradeNumbers)
    gtins: Mapping[int, str] = field(default_factory=dict)

    def knows(self, lot: int) -> bool:
        """Say whether a lot was read."""
        return lot in self.lots

    def number(self, lot: int) -> str:
        """Give a lot's number."""
        return self.lots[lot]

    def lot(self, lot: int) -> str:
        """Name a lot as a class of goods, or by the address that its QR code has."""
        if gtin := self.gtins.get(lot):
            return lot_link(gtin, self.lots[lot])
        return scan_address(self.address, self.lots[lot].replace("-", ""))

    def bag(self, lot: int, number: int) -> str:
        """Name a bag as one of its goods, or by the address that its QR code has; nothing for loose seed."""
        key, gtin = self.bags.get((lot, number)), self.gtins.get(lot)
        if not key:
            return ""
        named = bag_link(gtin, self.lots[lot], number) if gtin else ""
        return named or scan_address(self.address, label_code(LabelKind.BAG, key))

    def place(self, place: int) -> str:
        """Name a place as a part of the station's location, or by the address that its QR code has."""
        named = place_link(self.stated.gln, self.places[place]) if self.stated.gln else ""
        return named or scan_address(self.address, label_code(LabelKind.PLACE, place))

    def node(self, number: int) -> str:
        """Give the address of a plot, plant, cross or sender."""
        kind, key = kind_of(number), key_of(number)
        if kind is NodeKind.LOT:
            return self.lot(key)
        if kind is NodeKind.SENDER:
            return f"{self.address}/of/sender/{quote(self.senders[key], safe='')}/"
        return scan_address(self.address, label_code(_LABELS[kind], key))

    def party(self, name: str) -> str:
        """Give an address for whoever got seed; no page stands there."""
        return f"{self.address}/parties/{quote(name, safe='')}"


def read_names(
    station: Station, address: str, acts: Iterable[Operation], entries: Mapping[int, Sequence[Entry]]
) -> Names:  # fmt: skip
    """Read what acts and their entries name (7 queries, 8 where the station has GTINs)."""
    stated = trade_numbers(station)
    contents = [content for act in acts if (content := read_content(act.content)) is not None]
    rows = [row for content in contents for _label, row in content.rows]
    each = [entry for some in entries.values() for entry in some]
    lots = sorted({*(e.lot_id for e in each if e.lot_id), *(row["lot_id"] for row in rows if row.get("lot_id"))})
    ends = {end for content in contents for link in content.links for end in link[:2]}
    senders = [key_of(end) for end in ends if kind_of(end) is NodeKind.SENDER]
    return Names(
        address=address.rstrip("/"),
        lots={key: number for some in in_parts(lots) for key, number in _pairs(Lot, "number", some)},
        bags={
            (lot, number): key
            for some in in_parts(lots)
            for key, lot, number in Bag.objects.filter(lot__in=some).values_list("pk", "lot_id", "number")
        },
        places=dict(_pairs(Place, "code", {e.place_id for e in each if e.place_id})),
        lines=dict(_pairs(Line, "name", {row["line_id"] for row in rows if row.get("line_id")})),
        classes=dict(
            _pairs(MarketClass, "name", {row["market_class_id"] for row in rows if row.get("market_class_id")})
        ),
        senders={
            row.pk: f"{row.name} {row.their_lot}"
            for row in Sender.objects.filter(pk__in=senders)
        },
        stated=stated,
        gtins=_gtins(stated, lots),
    )  # fmt: skip


def _gtins(stated: TradeNumbers, lots: Sequence[int]) -> dict[int, str]:
    """Give the GTIN of each lot that has one, by the class that it is of today, also where that was put right."""
    if not stated.gtins:
        return {}
    pairs = [
        pair for some in in_parts(lots)
        for pair in Standing.objects.filter(lot__in=some).values_list("lot_id", "market_class_id")
    ]  # fmt: skip
    return {lot: gtin for lot, market_class in pairs if (gtin := stated.gtin_of(market_class))}


def _pairs(model: type[Lot | Place | Line | MarketClass], column: str, keys: Iterable[int]) -> list[tuple[int, str]]:
    return list(model._default_manager.filter(pk__in=list(keys)).values_list("pk", column))
