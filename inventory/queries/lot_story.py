"""One lot as its page tells it: what it is, what is left and where, what happened, what stands on it."""

import json
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db.models import Q, QuerySet

from inventory.models import ActiveHold, Entry, Feedback, Lot, Operation, Standing, Station, Stock, Treatment
from inventory.models.triggers import append_only_models
from inventory.queries.feedback import said_of
from inventory.queries.finding import find_lot
from inventory.queries.generations import Generation, generation_of
from inventory.queries.moistures import newest_moisture
from inventory.queries.notes import Noted, notes_in_words
from inventory.queries.promises import open_promises
from inventory.queries.uses import name_act
from inventory.rules.kinds import BLIND
from inventory.rules.mistakes import Note


@dataclass(frozen=True)
class Happened:
    """One act upon the lot.

    Args:
        change: what the lot gained (+) or lost (-) [mg]; 0 for a measurement or a move.
        where_to: lots it made, accounts it went to, in words.
        made: numbers of the lots that were made of it.
        taken_back: the reversal, if there is one.
    """

    operation: Operation
    name: str
    change: int
    where_to: str
    made: tuple[str, ...] = ()
    taken_back: Operation | None = None

    @property
    def counts(self) -> bool:
        """It stands: it was not reversed and is no reversal."""
        return self.taken_back is None and self.operation.reverses_id is None


@dataclass(frozen=True)
class Held:
    """A hold that stands on the lot."""

    reason: str
    by: str
    since: datetime


@dataclass(frozen=True)
class LotStory:
    """All that a lot's page shows of the ledger; masses in mg."""

    lot: Lot
    standing: Standing | None
    left: int
    stock: tuple[Stock, ...]
    happened: tuple[Happened, ...]
    holds: tuple[Held, ...]
    treatments: tuple[Treatment, ...]
    promised: int
    generation: Generation
    said: tuple[Feedback, ...]
    moisture: Decimal | None = None  # read last [% wet basis]
    noted: tuple[Noted, ...] = ()
    notes: tuple[Note, ...] = ()

    @property
    def is_made(self) -> bool:
        """Its making stands."""
        return self.standing is not None and self.standing.made_by_id is not None


def lot_story(station: Station, typed: str) -> LotStory:
    """Tell a lot's story (15 queries, however long it is).

    Raises:
        Mistake: the number cannot be read, does not check, or is unknown.
    """
    lot, notes = find_lot(station, typed, whole=True)
    stock = tuple(Stock.objects.filter(lot=lot, mg__gt=0).select_related("place").order_by("place__code", "bag_no"))
    standing = getattr(lot, "standing", None)  # none where its making was never projected
    is_treated = standing is not None and standing.treated
    live = Q(lot=lot, operation__reversed_by__isnull=True)
    return LotStory(
        lot=lot,
        standing=standing,
        left=sum(row.mg for row in stock),
        stock=stock,
        happened=_happened(lot),
        holds=_holds(lot),
        treatments=tuple(Treatment.objects.filter(live).order_by("operation__seq")) if is_treated else (),
        promised=sum(promise.mg for promise in open_promises([lot.pk]).get(lot.pk, [])),
        generation=generation_of(lot),
        said=tuple(said_of(lot, standing.line if standing else None)),
        moisture=newest_moisture(lot),
        noted=tuple(notes_in_words(lot)),
        notes=notes,
    )


def _happened(lot: Lot) -> tuple[Happened, ...]:
    keys = _acts_upon(lot)
    wanted = Operation.objects.filter(Q(pk__in=keys) | Q(reverses__in=keys))
    acts = list(wanted.select_related("by", "run", "shipment", "reverses").order_by("at", "seq"))
    reversals = {act.reverses_id: act for act in acts if act.reverses_id is not None}
    hidden = untold(acts, reversals)
    acts = [act for act in acts if act.pk not in hidden]
    entries: dict[int, list[Entry]] = defaultdict(list)
    for entry in (
        Entry.objects.filter(operation__in=[act.pk for act in acts]).select_related("lot").order_by("position")
    ):
        entries[entry.operation_id].append(entry)
    return tuple(_one(lot, act, entries[act.pk], reversals.get(act.pk)) for act in acts)


def untold(acts: Iterable[Operation], reversals: Collection[int | None]) -> set[int]:
    """Acts that were booked blind and wait for the one that follows: whoever does it may not know the lot."""
    blind = {act.pk for act in acts if BLIND in act.content and json.loads(act.content)["facts"].get(BLIND)}
    waiting = blind - set(reversals)
    if not waiting:
        return set()
    followed = Operation.objects.filter(about__in=waiting, reverses__isnull=True, reversed_by__isnull=True)
    return waiting - set(followed.values_list("about_id", flat=True))


def _acts_upon(lot: Lot) -> set[int]:
    """Every act with an entry or record of this lot, and those that hold or lift it."""
    return acts_upon(lot.station_id, [lot.pk])


def acts_upon(station_id: int, lots: Sequence[int]) -> set[int]:
    """Give every act with an entry or record of one of these lots, and those that hold or lift one (2 queries).

    Args:
        lots: their keys, at most some hundreds.
    """
    first, *others = _records_of(lots)
    keys: set[int] = set(first.union(*others))
    wanted = set(lots)
    said = Operation.objects.filter(station=station_id, kind__in=("hold", "lift"))
    for key, content in said.values_list("pk", "content"):
        if wanted & set(json.loads(content)["facts"].get("lot_ids", ())):
            keys.add(key)
    return keys


def _records_of(lots: Sequence[int]) -> Iterator["QuerySet[Any, int]"]:
    """The acts of each table that has a column for a lot; asked together, they are one query."""
    for model in append_only_models():
        names = {field.name for field in model._meta.concrete_fields}
        for name in sorted(names & {"lot", "feed_lot"}):
            rows = model._default_manager.filter(**{f"{name}__in": list(lots)})
            yield rows.order_by().values_list("operation_id", flat=True)


def _one(lot: Lot, act: Operation, entries: Iterable[Entry], taken_back: Operation | None) -> Happened:
    change = sum(entry.mg for entry in entries if entry.lot_id == lot.pk)
    others = [entry for entry in entries if entry.lot_id != lot.pk and entry.mg > 0]
    made = tuple(dict.fromkeys(entry.lot.number for entry in others if entry.lot)) if change < 0 else ()
    accounts = [entry.account for entry in others if entry.account] if change < 0 and not made else []
    name = name_act(act) if act.reverses is None else f"reversal of {name_act(act.reverses)}"
    return Happened(act, name, change, ", ".join((*made, *dict.fromkeys(accounts))), made, taken_back)


def _holds(lot: Lot) -> tuple[Held, ...]:
    holds = ActiveHold.objects.filter(lot=lot).select_related("hold__by").order_by("hold__seq")
    return tuple(Held(row.hold.reason.rstrip("."), row.hold.by.get_username(), row.hold.at) for row in holds)


def has_lots(station: Station) -> bool:
    """Say whether any lot was ever made here (1 query)."""
    return Lot.objects.filter(station=station).exists()


def lots_in_store(
    station: Station, *, most: int, place: str = ""
) -> tuple[list[Standing], dict[int, int], bool]:  # fmt: skip
    """List lots with seed left, newest first (2 queries).

    Args:
        most: how many at most.
        place: code of the one place that counts; "" for all.

    Returns:
        The standings, what is left by lot key [mg], and whether there are more.
    """
    stock = Stock.objects.filter(station=station, mg__gt=0, **({"place__code": place} if place else {}))
    wanted = Standing.objects.filter(station=station, made_by__isnull=False, lot__in=stock.values("lot"))
    rows = list(wanted.select_related("lot", "line", "market_class").order_by("-made_at", "-lot_id")[: most + 1])
    left: dict[int, int] = defaultdict(int)
    for lot_id, mg in stock.filter(lot__in=[row.lot_id for row in rows]).values_list("lot_id", "mg"):
        left[lot_id] += mg
    return rows[:most], dict(left), len(rows) > most
