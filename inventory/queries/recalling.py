"""The recall question: a thing is bad; what shares its seed, where that stands, who got it, and is all of it found?"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import Any

from django.db.models import Q

from inventory.models import ActiveHold, Entry, Operation, Shipment, Station, Stock
from inventory.queries.anything import Thing, ThingKind, find_anything
from inventory.queries.describing import Described, describe
from inventory.queries.lineage import Key, Lineage, Step
from inventory.queries.starting import lineage_forward
from inventory.rules.mass import kg_text
from inventory.rules.mistakes import Mistake
from inventory.rules.rounding import half_up, half_up_int
from inventory.rules.shares import forward_shares

NOTHING = Fraction(0)
BROUGHT_IN = ("harvested", "received")


class AlreadyGone(Mistake):
    """A shipment holds nothing that is still ours."""

    code = "already_gone"

    def __init__(self, code: str) -> None:
        super().__init__(f"{code} has left the station. Trace it back, and ask for the lots and bags that were in it.")


class TooLarge(Mistake):
    """More shares the seed than one answer may hold."""

    code = "too_large"

    def __init__(self, ref: str) -> None:
        super().__init__(f"Too much came of {ref} for one answer. Ask for its lots one by one, the newest first.")


@dataclass(frozen=True)
class RecalledLot:
    """A lot that shares the seed: which part of it is from the asked thing, and what of the lot still stands [mg]."""

    number: str
    label: str
    share: Fraction
    in_store_mg: int
    is_held: bool


@dataclass(frozen=True)
class RecalledPart:
    """A bag in store, a plot that was sown, or a shipment that left [mg]."""

    id: str
    label: str
    mg: int | None
    day: date | None = None
    who: str = ""


@dataclass
class Recall:
    """Everything that shares the seed of a thing.

    Args:
        lots, bags, plots, shipments: what shares it; masses are whole, not only the part from the thing.
        in_store_mg: all that stands in store and shares it.
        ended: account -> what of the thing's own seed ended there [mg]; "in store" is what still stands.
    """

    ref: str
    lots: list[RecalledLot] = field(default_factory=list)
    bags: list[RecalledPart] = field(default_factory=list)
    plots: list[RecalledPart] = field(default_factory=list)
    shipments: list[RecalledPart] = field(default_factory=list)
    in_store_mg: int = 0
    ended: dict[str, Fraction] = field(default_factory=dict)

    @property
    def gone_mg(self) -> int:
        """All that left and shares the seed."""
        return sum(shipment.mg or 0 for shipment in self.shipments)

    @property
    def accounted_share(self) -> Fraction | None:
        """Which part of the thing's seed is known to stand or to have ended somewhere; None where it had none."""
        whole = sum(self.ended.values(), NOTHING)
        return 1 - self.ended.get("unaccounted", NOTHING) / whole if whole else None

    def as_json(self) -> dict[str, Any]:
        """Write it with exact numbers as text; the per cent has two decimals."""
        share = self.accounted_share
        return {
            "ref": self.ref,
            "lots": [_lot_json(lot) for lot in self.lots],
            "bags": [{"bag": bag.id, "place": bag.who, "kg": _kg(bag.mg)} for bag in self.bags],
            "plots": [{"plot": plot.id, "date": _iso(plot.day), "kg": _kg(plot.mg)} for plot in self.plots],
            "shipments": [
                {"shipment": gone.id, "recipient": gone.who, "date": _iso(gone.day), "kg": _kg(gone.mg)}
                for gone in self.shipments
            ],
            "in_store_kg": _kg(self.in_store_mg),
            "gone_kg": _kg(self.gone_mg),
            "ended_kg": {account: kg_text(half_up_int(mg)) for account, mg in self.ended.items()},
            "accounted_pct": None if share is None else str(half_up(share * 100, 2)),
        }


def recall(station: Station, ref: str) -> Recall:
    """Answer the recall question for a lot, bag, plot, plant, line, cross, season or sender.

    Args:
        ref: what is bad, as forgivingly as it reads.

    Raises:
        Mistake: nothing is called so; it is a shipment; or more came of it than one answer may hold.
    """
    thing = find_anything(station, ref)
    if thing.kind is ThingKind.SHIPMENT:
        raise AlreadyGone(thing.id)
    lineage = lineage_forward(thing)
    if lineage.is_truncated:
        raise TooLarge(thing.id)
    described = describe(station, lineage)
    parts = _Parts(thing, _made_of_it(lineage))
    answer = Recall(thing.id)
    _tell_store(answer, parts, described)
    answer.plots = [_plot(step, described) for step in _sowings(lineage, parts)]
    answer.shipments = _shipments(station, lineage, parts, described)
    answer.ended = {**answer.ended, **_ended(parts)}
    return answer


@dataclass(frozen=True)
class _Parts:
    """Which fraction of each lot's seed is from the thing; of a bag's own lot only the bag is."""

    thing: Thing
    of_lots: dict[int, Fraction]

    def of(self, lot: int | None, bag_no: int) -> Fraction:
        if self.thing.kind is ThingKind.BAG and lot == self.thing.keys[0]:
            return Fraction(bag_no == self.thing.bag_no)
        return self.of_lots.get(lot or 0, NOTHING)

    @property
    def lots(self) -> list[int]:
        own = self.thing.keys if self.thing.kind is ThingKind.BAG else ()
        return sorted({*self.of_lots, *own})


def _made_of_it(lineage: Lineage) -> dict[int, Fraction]:
    """Carry the thing's seed forward: with all masses alike, a forward share is the fraction of the node itself."""
    edges: dict[Key, list[tuple[Key, Fraction | None]]] = {}
    for step in lineage.steps.values():
        edges.setdefault(step.source, []).append((step.target, step.share))
    shares = forward_shares(lineage.ref, edges, dict.fromkeys(lineage.met, 1))
    return {int(row): share for (kind, row), share in shares.items() if kind == "lot" and share}


def _tell_store(answer: Recall, parts: _Parts, described: Mapping[Key, Described]) -> None:
    """Say what stands in store, lot by lot and bag by bag (2 queries)."""
    held = set(ActiveHold.objects.filter(lot__in=parts.lots).values_list("lot_id", flat=True))
    kept: dict[int, int] = {}
    in_store = NOTHING
    for row in Stock.objects.filter(lot__in=parts.lots, mg__gt=0).select_related("lot", "place").order_by("pk"):
        share = parts.of(row.lot_id, row.bag_no)
        if not share:
            continue
        in_store += share * row.mg
        answer.in_store_mg += row.mg
        kept[row.lot_id] = kept.get(row.lot_id, 0) + row.mg
        if row.bag_no:
            number = f"{row.lot.number}/{row.bag_no}"
            answer.bags.append(RecalledPart(number, number, row.mg, who=row.place.code))
    for lot, share in parts.of_lots.items():
        words = described[("lot", lot)]
        answer.lots.append(RecalledLot(words.id, words.label, share, kept.get(lot, 0), lot in held))
    answer.ended = {"in store": in_store}


def _sowings(lineage: Lineage, parts: _Parts) -> list[Step]:
    shared = {("lot", lot) for lot in parts.of_lots} | {lineage.ref}
    return [
        step
        for step in lineage.steps.values()
        if step.share is None and step.target[0] == "plot" and step.operation and step.source in shared
    ]


def _plot(step: Step, described: Mapping[Key, Described]) -> RecalledPart:
    words = described[step.target]
    return RecalledPart(words.id, words.label, _mg(step.mg), words.day)


def _shipments(
    station: Station, lineage: Lineage, parts: _Parts, described: Mapping[Key, Described]
) -> list[RecalledPart]:
    """Say what left and is not back, and to whom, a row for each shipment (2 queries)."""
    gone: dict[Key, Fraction] = {}
    for step in lineage.steps.values():
        if step.target[0] == "shipment" and (step.source == lineage.ref or step.source[1] in parts.of_lots):
            gone[step.target] = gone.get(step.target, NOTHING) + (step.mg or NOTHING)
    codes = [code for _kind, code in gone]
    rows = Shipment.objects.filter(station=station, code__in=codes, operation__reversed_by__isnull=True)
    recipients = dict(rows.values_list("code", "recipient"))
    back = _came_back(station, parts)
    return [
        RecalledPart(words.id, words.label, _mg(mg - back.get(words.id, 0)), words.day, recipients[words.id])
        for key, mg in gone.items()
        for words in (described[key],)
    ]


def _came_back(station: Station, parts: _Parts) -> dict[str, int]:
    """What came back of each shipment [mg]."""
    returned = Entry.objects.filter(
        station=station, lot__in=parts.lots, operation__kind="return", operation__reversed_by__isnull=True
    )
    back: dict[str, int] = {}
    for entry in returned.select_related("operation__about__shipment"):
        if entry.operation.about is not None and parts.of(entry.lot_id, entry.bag_no):
            code = entry.operation.about.shipment.code
            back[code] = back.get(code, 0) + entry.mg
    return back


def _ended(parts: _Parts) -> dict[str, Fraction]:
    """Follow the thing's seed through every act to the accounts in which it ended (2 queries).

    An act's outputs all have the make-up of what went in; a late addition has that of the act it belongs to.
    """
    touching = Q(entries__lot__in=parts.lots) | Q(about__entries__lot__in=parts.lots)
    acts = Operation.objects.filter(touching, reversed_by__isnull=True, reverses__isnull=True)
    about = dict(acts.values_list("pk", "about_id").distinct())
    entries: dict[int, list[Entry]] = {act: [] for act in about}
    for entry in Entry.objects.filter(operation__in=list(about)):
        entries[entry.operation_id].append(entry)
    ended: dict[str, Fraction] = {}
    for act, rows in entries.items():
        share = _share_in(rows, parts)
        if share is None:
            share = _share_in(entries.get(about[act] or 0, []), parts) or NOTHING
        for row in rows:
            if share and row.account and row.account not in BROUGHT_IN:
                ended[row.account] = ended.get(row.account, NOTHING) + share * row.mg
    return {account: mg for account, mg in sorted(ended.items()) if mg}


def _share_in(entries: list[Entry], parts: _Parts) -> Fraction | None:
    """Which fraction of what went into an act was the thing's; None where no seed moved."""
    seed = [entry for entry in entries if entry.lot_id is not None]
    went_in = [entry for entry in seed if entry.mg < 0] or seed
    if not went_in:
        return None
    own = sum((parts.of(entry.lot_id, entry.bag_no) * entry.mg for entry in went_in), NOTHING)
    return own / sum(entry.mg for entry in went_in)


def _lot_json(lot: RecalledLot) -> dict[str, Any]:
    share = f"{lot.share.numerator}/{lot.share.denominator}"
    return {"lot": lot.number, "share": share, "in_store_kg": kg_text(lot.in_store_mg), "hold": lot.is_held}


def _mg(mass: Fraction | None) -> int | None:
    return None if mass is None else half_up_int(mass)


def _kg(mg: int | None) -> str | None:
    return None if mg is None else kg_text(mg)


def _iso(day: date | None) -> str | None:
    return day.isoformat() if day else None
