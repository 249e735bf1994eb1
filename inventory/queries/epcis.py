"""A lot's history as EPCIS 2.0: every act in its ancestry and descent as an event of one document."""

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Q

from inventory.models import Entry, Lot, Operation, Station
from inventory.queries.anything import Thing, ThingKind
from inventory.queries.epcis_names import Names, read_names
from inventory.queries.finding import find_lot
from inventory.queries.lot_story import acts_upon, untold
from inventory.queries.starting import lineage_back, lineage_forward
from inventory.queries.uses import in_parts
from inventory.queries.walking import MOST_NODES
from inventory.rules.contents import Content, read_content
from inventory.rules.epcis import NAMESPACE, Act, Mass, document
from inventory.rules.epcis_history import tell
from inventory.rules.kinds import CORRECTING
from inventory.rules.mistakes import Mistake
from inventory.rules.nodes import NodeKind, kind_of

Slot = tuple[int, int, int]  # lot, place, bag number
_ABOUT_SEED = (*CORRECTING, "grade", "lift")  # acts that may speak of a lot only through the act they are about
_TYPES = {NodeKind.PLOT: "location", NodeKind.SENDER: "possessing_party"}
_LOTS_AT_ONCE = 200  # each stands once for every table that knows lots
_NOT_TOLD = ("inventory.Identity", "inventory.Promise", "inventory.Feedback", "inventory.Label", "grading.Portion")


class TooLongToTell(Mistake):
    """More lots hang together than one document holds."""

    code = "too_long_to_tell"

    def __init__(self, lot: str) -> None:
        says = f"More than {MOST_NODES:,} lots and plots hang together with {lot}: too many for one document."
        super().__init__(f"{says} Ask for a lot with a shorter history, or take everything out with manage.py package.")


def lot_events(station: Station, typed: str, *, address: str, now: datetime) -> dict[str, Any]:
    """Write a lot's history as an EPCISDocument (about 27 queries, however long it is).

    Args:
        address: of this site, "http://10.0.0.5:8000"; things are named by it and their label's number, where the
            station stated no GS1 numbers for them.

    Returns:
        The document. Of the lots that it is about its events tell every act, so that they add up to the ledger; others
        are named where they came of the same acts.

    Raises:
        Mistake: the number cannot be read, does not check, or is unknown; or the history is too long.
    """
    lot, _notes = find_lot(station, typed)
    family = _family(lot)
    acts, entries = _read(station, family)
    names = read_names(station, address, acts.values(), entries)
    told = tell(_Reading(station, names, acts, entries).acts())
    whole = [names.number(key) for key in family if names.knows(key)]
    about = {"station": station.code, "lot": lot.number, "address": names.lot(lot.pk), "lots": whole}
    return document(told, made_at=now, about=about)


def _family(lot: Lot) -> list[int]:
    """The lot, all it came from and all that came of it, over sowings too."""
    thing = Thing(ThingKind.LOT, lot.number, (lot.pk,))
    lineages = lineage_back(thing), lineage_forward(thing)
    if any(lineage.is_truncated for lineage in lineages):
        raise TooLongToTell(lot.number)
    return sorted({lot.pk, *(key for lineage in lineages for key in lineage.rows("lot"))})


def _read(station: Station, lots: Sequence[int]) -> tuple[dict[int, Operation], dict[int, list[Entry]]]:
    """Read the acts upon lots in the order of the books, those that follow them up or take them back, and entries."""
    keys = {key for some in in_parts(lots, _LOTS_AT_ONCE) for key in acts_upon(station.pk, some)}
    for wanted in (Q(kind__in=_ABOUT_SEED), Q(reverses__isnull=False)):
        for some in in_parts(sorted(keys)):
            more = Operation.objects.filter(wanted & (Q(about__in=some) | Q(reverses__in=some)))
            keys |= set(more.values_list("pk", flat=True))
    rows = [act for some in in_parts(sorted(keys)) for act in Operation.objects.filter(pk__in=some)]
    acts = {act.pk: act for act in sorted(rows, key=lambda act: act.seq)}
    entries: dict[int, list[Entry]] = {key: [] for key in acts}
    for some in in_parts(sorted(keys)):
        for entry in Entry.objects.filter(operation__in=some).order_by("operation_id", "position"):
            entries[entry.operation_id].append(entry)
    hidden = untold(acts.values(), {act.reverses_id for act in acts.values()})
    return {key: act for key, act in acts.items() if entries[key] or key not in hidden}, entries


@dataclass
class _Reading:
    """Acts read one after another, with what stood where before each."""

    station: Station
    names: Names
    operations: Mapping[int, Operation]
    entries: Mapping[int, Sequence[Entry]]

    def acts(self) -> Iterator[Act]:
        """Give each act as its event needs it."""
        zone, stock = ZoneInfo(self.station.zone), dict[Slot, int]()
        contents = {key: read_content(act.content) for key, act in self.operations.items()}
        for key, operation in self.operations.items():
            content = contents[key]
            if content is None:
                continue
            lots = self._lots(content, contents.get(operation.about_id or 0))
            stood = self._stood(key, lots, stock)
            yield Act(
                key=key, uid=str(operation.uid), kind=operation.kind,
                at=operation.at.astimezone(zone), recorded_at=operation.recorded_at.astimezone(zone),
                masses=tuple(self._masses(key, stock)), stood=stood,
                named=tuple(self.names.lot(lot) for lot in lots if self.names.knows(lot)),
                makes=tuple(self.names.number(lot) for lot in _made(content)),
                sources=tuple(self._sources(operation, content, contents)),
                destinations=tuple(self._destinations(operation, content)),
                ilmd=self._ilmd(content), records=tuple(_records(content)),
                about=operation.about_id, reverses=operation.reverses_id, station=self.names.address,
            )  # fmt: skip

    def _masses(self, key: int, stock: dict[Slot, int]) -> Iterator[Mass]:
        for entry in self.entries[key]:
            if entry.lot_id is None or entry.place_id is None:
                yield Mass(entry.mg, account=entry.account, stream=entry.stream)
                continue
            slot = (entry.lot_id, entry.place_id, entry.bag_no)
            before = stock.get(slot, 0)
            stock[slot] = before + entry.mg
            is_whole = bool(entry.bag_no) and 0 in (before, stock[slot])
            yield self._mass(slot, entry.mg, is_whole=is_whole)

    def _mass(self, slot: Slot, mg: int, *, is_whole: bool = False) -> Mass:
        lot, place, bag_no = slot
        return Mass(
            mg, seed=self.names.lot(lot), lot=self.names.number(lot), bag=self.names.bag(lot, bag_no), bag_no=bag_no,
            is_whole=is_whole, place=self.names.place(place), place_code=self.names.places[place],
        )  # fmt: skip

    def _stood(self, key: int, lots: Iterable[int], stock: Mapping[Slot, int]) -> tuple[Mass, ...]:
        """What stood in the slots that an act touches, or of the lots it names where it touches none."""
        touched = {(e.lot_id, e.place_id, e.bag_no) for e in self.entries[key] if e.lot_id is not None}
        named = set() if touched else set(lots)
        return tuple(self._mass(slot, mg) for slot, mg in stock.items() if mg and (slot in touched or slot[0] in named))

    def _lots(self, content: Content, about: Content | None) -> list[int]:
        """The lots that an act's records speak of, or those of the act that it is about."""
        rows = [row.get(name) for _label, row in content.rows for name in ("lot_id", "feed_lot_id")]
        lots = dict.fromkeys(key for key in (*content.lot_ids, *rows) if isinstance(key, int))
        return list(lots) or (self._lots(about, None) if about else [])

    def _sources(
        self, operation: Operation, content: Content, contents: Mapping[int, Content | None]
    ) -> Iterator[tuple[str, str]]:
        for parent, _child, *_share in content.links:
            if kind_of(parent) is not NodeKind.LOT:
                yield _TYPES.get(kind_of(parent), f"{NAMESPACE}{kind_of(parent).name.lower()}"), self.names.node(parent)
        if operation.kind == "return" and (shipped := contents.get(operation.about_id or 0)):
            yield from self._recipients(shipped)

    def _destinations(self, operation: Operation, content: Content) -> Iterator[tuple[str, str]]:
        yield from self._recipients(content)
        if operation.kind == "sow":
            yield from (("location", self.names.node(child)) for _parent, child, *_share in content.links)

    def _recipients(self, content: Content) -> Iterator[tuple[str, str]]:
        for label, row in content.rows:
            if label == "inventory.Shipment":
                yield "possessing_party", self.names.party(str(row["recipient"]))

    def _ilmd(self, content: Content) -> dict[str, Any]:
        row = next((row for label, row in content.rows if label == "inventory.Identity"), None)
        if row is None:
            return {}
        words = {
            "line": self.names.lines.get(row.get("line_id") or 0),
            "marketClass": self.names.classes.get(row.get("market_class_id") or 0),
            "cropYear": row.get("crop_year"),
        }
        return {name: word for name, word in words.items() if word}


def _made(content: Content) -> list[int]:
    return [row["lot_id"] for label, row in content.rows if label == "inventory.Identity"]


def _records(content: Content) -> Iterator[dict[str, Any]]:
    """What was found out and written down, without the keys of rows."""
    for label, row in content.rows:
        if label not in _NOT_TOLD:
            told = {name: value for name, value in row.items() if not name.endswith("_id") and value not in ("", None)}
            yield {"record": label.rpartition(".")[2], **json.loads(json.dumps(told))}
