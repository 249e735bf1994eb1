"""What the ledger moved, told as transactions between seed lots: every act that has entries, also its reversal."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, overload
from uuid import UUID

from django.db.models import Q, QuerySet

from api.brapi.asked import Asked, read_query, uuids
from api.brapi.counted import counted
from api.brapi.envelope import Page, Rows, page_of
from api.brapi.errors import BadRequest, NoSuch
from api.brapi.filters import CROP_AND_PROGRAM, Narrow, by_told, keepable
from api.brapi.movements import Movement, movements_of
from api.brapi.outside import Names, names_of
from api.brapi.routes import Route
from api.brapi.seedlots import GERMPLASM, KG, amount_in, lot_by_uid, standing_lots
from api.brapi.things import Things
from api.brapi.told import extra, instant, references
from api.models import ForeignName
from inventory.models import Entry, Lot, Operation, Station
from inventory.queries.uses import in_parts, name_act
from inventory.rules.mass import kg_text

RUN, ACT = "process-run", "operation"
TO, FROM, BOTH = DIRECTIONS = ("TO", "FROM", "BOTH")


def told_acts(acts: "QuerySet[Operation]") -> list[dict[str, Any]]:
    """Tell acts as transactions in the order of the chain (5 queries, however many there are)."""
    rows = list(acts.select_related("run", "shipment").order_by("seq"))
    entries = _entries([act.pk for act in rows])
    lots = _uids({lot for some in entries.values() for lot, _place, _account, _mg in some if lot})
    names = names_of(act.uid for act in rows)
    return [
        _told(act, place, movement, lots, names.get(act.uid, Names()))
        for act in rows
        for place, movement in enumerate(movements_of(entries.get(act.pk, ())), 1)
    ]


def _entries(acts: Sequence[int]) -> dict[int, list[tuple[int | None, int | None, str, int]]]:
    found: dict[int, list[tuple[int | None, int | None, str, int]]] = defaultdict(list)
    for some in in_parts(acts):
        rows = Entry.objects.filter(operation__in=some).order_by("operation_id", "position")
        for act, lot, place, account, mg in rows.values_list("operation_id", "lot_id", "place_id", "account", "mg"):
            found[act].append((lot, place, account, mg))
    return found


def _uids(lots: Iterable[int]) -> dict[int, tuple[str, str]]:
    found: dict[int, tuple[str, str]] = {}
    for some in in_parts(sorted(lots)):
        found.update({row.pk: (str(row.uid), row.number) for row in Lot.objects.filter(pk__in=some)})
    return found


def _told(
    act: Operation, place: int, movement: Movement, lots: Mapping[int, tuple[str, str]], names: Names
) -> dict[str, Any]:
    run = getattr(act, "run", None)
    giver, taker = lots.get(movement.giver, ("", "")), lots.get(movement.taker, ("", ""))
    shared = (RUN, run.number) if run else (ACT, str(act.uid))
    units = names.units or KG
    return {
        "transactionDbId": f"{act.uid}-{place}",
        "transactionDescription": f"{name_act(act)}: {act.reason}" if act.reason else name_act(act),
        "transactionTimestamp": instant(act.at),
        "fromSeedLotDbId": giver[0],
        "toSeedLotDbId": taker[0],
        "amount": amount_in(movement.mg, units),
        "units": units,
        "externalReferences": references(shared, *names.references),
        "additionalInfo": extra(
            movementType=act.kind, account=movement.account, operation=act.seq, fromLot=giver[1], toLot=taker[1],
            exactAmount=f"{kg_text(movement.mg)} kg",
        ),
    }  # fmt: skip


def acts_with_seed(asked: Asked, *, lots: Iterable[int] | None = None) -> "QuerySet[Operation]":
    """Give the acts that moved seed, or those that moved seed of some lots."""
    entries = Entry.objects.filter(station=asked.station, lot__isnull=False)
    wanted = entries if lots is None else entries.filter(lot__in=list(lots))
    return Operation.objects.filter(station=asked.station, pk__in=wanted.values("operation"))


class InOrder(Sequence[Any]):
    """All transactions of a station, of which only those of a page are told."""

    def __init__(self, station: Station) -> None:
        self._station, self._counted = station, counted(station)

    def __len__(self) -> int:
        return self._counted.total

    @overload
    def __getitem__(self, wanted: int) -> Any: ...

    @overload
    def __getitem__(self, wanted: slice) -> Sequence[Any]: ...

    def __getitem__(self, wanted: int | slice) -> Any:
        """Tell a page, or one (6 queries)."""
        if isinstance(wanted, int):
            return self[wanted : wanted + 1][0]
        start, end, _step = wanted.indices(len(self))
        seqs, before = self._counted.acts_of(start, end)
        if not seqs:
            return []
        acts = Operation.objects.filter(station=self._station, seq__in=seqs)
        return told_acts(acts)[start - before : end - before]


_OF_ACTS = ("seedLotDbId", "transactionDbId", "externalReferenceId", "externalReferenceID", *GERMPLASM)


def _rows(asked: Asked) -> Sequence[Any]:
    """Tell all transactions, or those of the lots and acts that are asked for, so that not all are read for one."""
    words = asked.words
    if not any(name in words for name in _OF_ACTS):
        return InOrder(asked.station)
    acts = acts_with_seed(asked)
    if "seedLotDbId" in words:
        lots = lot_by_uid(asked, words["seedLotDbId"])
        acts = acts_with_seed(asked, lots=[lot.pk for lot in lots.values()])
    for name in GERMPLASM:
        if name in words:
            lots_of = GERMPLASM[name](standing_lots(asked), words[name], asked)
            acts = acts.filter(pk__in=Entry.objects.filter(lot__in=_lots_in(lots_of)).values("operation"))
    if "transactionDbId" in words:
        acts = acts.filter(uid__in=uuids(one.rpartition("-")[0] for one in words["transactionDbId"]))
    for name in ("externalReferenceId", "externalReferenceID"):
        if name in words:
            acts = acts.filter(_referred_to(keepable(words[name]), asked))
    return told_acts(acts)


def _lots_in(lots: Rows) -> "QuerySet[Any, Any]":
    if not isinstance(lots, QuerySet):
        raise TypeError("a filter of lots narrows a query")
    return lots.order_by().values("lot")


def _referred_to(values: Sequence[str], asked: Asked) -> Q:
    """Keep acts that go by a reference: that of a run, of the act itself, or what their sender calls them."""
    called = ForeignName.objects.filter(station=asked.station, name__in=values)
    return Q(run__number__in=values) | Q(uid__in=uuids(values)) | Q(uid__in=called.values("uid"))


def _of_lot(rows: Any, values: Sequence[str], _asked: Asked) -> list[Any]:
    wanted = {value.casefold() for value in values}
    return [row for row in rows if wanted & {row["fromSeedLotDbId"], row["toSeedLotDbId"]}]


def _of_germplasm(narrow: Narrow) -> Narrow:
    """Keep transactions of the lots that a filter of lots keeps."""

    def kept(rows: Any, values: Sequence[str], asked: Asked) -> list[Any]:
        lots = Lot.objects.filter(pk__in=_lots_in(narrow(standing_lots(asked), values, asked)))
        return list(_of_lot(rows, [str(uid) for uid in lots.values_list("uid", flat=True)], asked))

    return kept


def _reference(part: str) -> Narrow:
    def kept(rows: Any, values: Sequence[str], _asked: Asked) -> list[Any]:
        return [row for row in rows if any(one[part] in values for one in row["externalReferences"] or ())]

    return kept


def _of_one(asked: Asked, dbid: str) -> Page:
    """Tell the transactions of one lot, to it and from it."""
    read_query(asked, ("transactionDbId", "transactionDirection"))
    lot = lot_by_uid(asked, [dbid]).get(dbid.casefold())
    if lot is None:
        raise NoSuch("seed lot", dbid)
    direction = asked.one("transactionDirection").upper() or BOTH
    if direction not in DIRECTIONS:
        raise BadRequest(f"transactionDirection reads {direction[:40]!r}. Give TO, FROM or BOTH.")
    uid = str(lot.uid)
    rows = [
        row for row in told_acts(acts_with_seed(asked, lots=[lot.pk]))
        if (direction != FROM and row["toSeedLotDbId"] == uid) or (direction != TO and row["fromSeedLotDbId"] == uid)
    ]  # fmt: skip
    if "transactionDbId" in asked.words:
        rows = [row for row in rows if row["transactionDbId"] in asked.words["transactionDbId"]]
    return Page(*page_of(rows, asked))


def told_of(asked: Asked, uids: Iterable[UUID]) -> list[dict[str, Any]]:
    """Tell the acts of these uids as transactions."""
    return told_acts(Operation.objects.filter(station=asked.station, uid__in=list(uids)))


def transactions(**writes: Any) -> Things:
    """Give the list of transactions with what is written there."""
    return Things(
        "seedlots/transactions", "transaction", "transactionDbId", _rows, lambda rows, _asked: rows,
        {
            **CROP_AND_PROGRAM, **{name: _of_germplasm(narrow) for name, narrow in GERMPLASM.items()},
            "transactionDbId": by_told("transactionDbId"), "seedLotDbId": _of_lot,
            "externalReferenceId": _reference("referenceId"), "externalReferenceID": _reference("referenceId"),
            "externalReferenceSource": _reference("referenceSource"),
        },
        has_one=False, **writes,
    )  # fmt: skip


OF_ONE = Route("seedlots/{seedLotDbId}/transactions", _of_one)
