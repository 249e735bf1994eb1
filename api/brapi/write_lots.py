"""Seed lots and transactions that are sent: each is a balanced act of ours, or is refused with what to send instead."""

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from typing import Any

from django.db.models import Sum

from api.brapi.asked import Asked, uuids
from api.brapi.core import place_id
from api.brapi.envelope import Rows
from api.brapi.errors import BadRequest, NoSuch
from api.brapi.germplasm import tell_unkept
from api.brapi.outside import Names, keep_names, names_of, names_sent, text_sent
from api.brapi.seedlots import HARVESTED_FROM, KG, lot_by_uid, standing_lots, tell_lots
from api.brapi.transactions import told_of
from api.brapi.writing import amount_sent, answers_in, booked_once, told_beside, too_many, when_sent
from inventory.actions.acting import Booked
from inventory.actions.adjusting import Adjustment, adjust
from inventory.actions.moving import Move, move
from inventory.actions.receiving import Delivery, receive_all
from inventory.actions.shipping import Item, Shipping, ship
from inventory.actions.sowing import Sowing, sow
from inventory.actions.splitting import Piece, Split, split
from inventory.actions.writing_off import WriteOff, write_off
from inventory.models import Cross, Line, Lot, Place, Plot, Stock
from inventory.rules.mass import kg_text, read_mass
from inventory.rules.reading import listed

Sent = Mapping[str, Any]
Do = Callable[[str], Booked]  # under a key
_KEPT = (
    "seedLotName", "amount", "units", "contentMixture", "locationDbId", "storageLocation", "createdDate",
    "sourceCollection", "externalReferences", "additionalInfo",
)  # fmt: skip
_OF_TRANSACTIONS = (
    "amount", "units", "fromSeedLotDbId", "toSeedLotDbId", "transactionDescription", "transactionTimestamp",
    "externalReferences", "additionalInfo",
)  # fmt: skip
MOVE, SPLIT, SHIP, SOW, WRITE_OFF = KINDS = ("move", "split", "ship", "sow", "write off")


def post_lots(asked: Asked) -> Rows:
    """Receive lots with what is in them, all or none."""
    sent = asked.body_objects()
    too_many(len(sent))
    for one in sent:
        tell_unkept(asked, one, _KEPT)
    ready = [(_delivery(one, asked), names_sent(one, "seedLotName")) for one in sent]

    def acts(key: str) -> Booked:
        deliveries = [delivery for delivery, _names in ready]
        booked = receive_all(
            deliveries, station=asked.station, by=asked.person, key=key, answers=answers_in(sent)
        )  # fmt: skip
        for lot, (_delivery, names) in zip(booked.lots, ready, strict=True):
            keep_names(asked.station, lot.uid, _but_harvest(names))
        return booked

    booked = booked_once(asked, acts, sent)
    rows = {row.lot_id: row for row in standing_lots(asked).filter(lot__in=[lot.pk for lot in booked.lots])}
    return [rows[lot.pk] for lot in booked.lots if lot.pk in rows]


def _but_harvest(names: Names) -> Names:
    """Leave out where it was harvested, which the books themselves tell."""
    return Names([pair for pair in names.references if pair[0] != HARVESTED_FROM], names.name, names.units)


def _delivery(sent: Sent, asked: Asked) -> Delivery:
    name, amount = text_sent(sent, "seedLotName"), amount_sent(sent)
    if not name:
        raise BadRequest("seedLotName is missing. Give the name by which you know the lot.")
    if amount is None or Decimal(0) == _number(amount):
        raise BadRequest(f"{name[:60]} has no amount. A lot is made by its seed: send amount and units with it.")
    told, at = told_beside(sent), when_sent(sent, "createdDate")
    plots = _plots([one for source, one in names_sent(sent).references if source == HARVESTED_FROM], asked)
    line, cross = _mixture(sent, name, asked)
    is_ours = bool(plots or cross)
    return Delivery(
        plots=plots, cross=cross, line=line, net=amount, unit=text_sent(sent, "units") or KG,
        sender="" if is_ours else told.get("sender") or text_sent(sent, "sourceCollection") or asked.person.username,
        their_lot="" if is_ours else name[:80], place=_place(sent, asked), at=at or None,
    )  # fmt: skip


def _number(text: str) -> Decimal | None:
    try:
        return Decimal(text)
    except ArithmeticError:
        return None  # the act says what is wrong with it


def _plots(dbids: Sequence[str], asked: Asked) -> tuple[str, ...]:
    plots = Plot.objects.filter(station=asked.station, uid__in=uuids(dbids), taken_back=False)
    codes = {str(plot.uid): plot.code for plot in plots}
    for dbid in dbids:
        if dbid.casefold() not in codes:
            raise BadRequest(f"{dbid[:60]!r} is no plot here. Give an observationUnitDbId of GET observationunits.")
    return tuple(codes[dbid.casefold()] for dbid in dbids)


def _mixture(sent: Sent, name: str, asked: Asked) -> tuple[str, str]:
    """Read the line or the cross that a lot is of."""
    mixture = sent.get("contentMixture") or []
    if not isinstance(mixture, list) or not all(isinstance(one, Mapping) for one in mixture):
        raise BadRequest("contentMixture is an array of objects. Send it so.")
    if len(mixture) > 1:
        says = f"{name[:60]} is a mixture of {len(mixture)}. Receive each part as a lot of its own and blend them here"
        raise BadRequest(f"{says}, so that the shares are those of the seed.")
    if not mixture:
        return "", ""
    dbid = text_sent(mixture[0], "crossDbId") or text_sent(mixture[0], "germplasmDbId")
    if not dbid:
        return text_sent(mixture[0], "germplasmName"), ""
    if line := Line.objects.filter(station=asked.station, uid__in=uuids([dbid])).first():
        return line.name, ""
    if cross := Cross.objects.filter(station=asked.station, uid__in=uuids([dbid])).first():
        return "", cross.code
    raise BadRequest(f"{dbid[:60]!r} is no germplasm here. Give a germplasmDbId of GET germplasm.")


def _place(sent: Sent, asked: Asked) -> str:
    """Read a place of the store by its DbId or its code; "" for the floor."""
    dbid = text_sent(sent, "locationDbId")
    places = Place.objects.filter(station=asked.station)
    if dbid and (found := [one.code for one in places if place_id(asked.station, one.pk) == dbid]):
        return found[0]
    return text_sent(sent, "storageLocation")


def put_lot(asked: Asked, dbid: str) -> Any:
    """Adjust a lot to another amount, which is an act with its reason, and keep other names; nothing is overwritten."""
    sent = asked.body_object()
    lot = lot_by_uid(asked, [dbid]).get(dbid.casefold())
    if lot is None:
        raise NoSuch("seed lot", dbid)
    tell_unkept(asked, sent, (*_KEPT, "seedLotDbId"), tell_lots([standing_lots(asked).get(lot=lot)], asked)[0])
    names, amount = _but_harvest(names_sent(sent, "seedLotName")), amount_sent(sent)
    units = names.units or names_of([lot.uid]).get(lot.uid, Names()).units or KG
    change = 0 if amount is None else read_mass(amount, unit=units, field="amount").mg - _left(lot)
    if names.name == lot.number:
        names.name = ""

    def acts(key: str) -> Booked:
        booked = Booked(())
        if change:
            why = told_beside(sent).get("reason") or f"A program said that it is {amount} {units}."
            signed = f"{'+' if change > 0 else '-'}{kg_text(abs(change))}"
            words = Adjustment(lot=lot.number, mass=signed, place=told_beside(sent).get("fromPlace", ""))
            booked = adjust(words, station=asked.station, by=asked.person, reason=why, key=key)
        keep_names(asked.station, lot.uid, names, instead=True)
        return booked

    booked_once(asked, acts, [sent])
    return standing_lots(asked).get(lot=lot)


def _left(lot: Lot) -> int:
    return int(Stock.objects.filter(lot=lot).aggregate(sum=Sum("mg"))["sum"] or 0)


def post_transactions(asked: Asked) -> Rows:
    """Book transactions, all or none, in the order that they are sent."""
    sent = asked.body_objects()
    too_many(len(sent))
    for one in sent:
        tell_unkept(asked, one, _OF_TRANSACTIONS)
    lots = lot_by_uid(asked, [text_sent(one, side) for one in sent for side in ("fromSeedLotDbId", "toSeedLotDbId")])
    ready = [(_transaction(one, lots, asked), names_sent(one)) for one in sent]

    def acts(key: str) -> Booked:
        operations: list[Any] = []
        for do, names in ready:
            booked = do(key)
            operations += booked.operations
            for operation in booked.operations:
                keep_names(asked.station, operation.uid, names)
        return Booked(tuple(operations))

    booked = booked_once(asked, acts, sent)
    return told_of(asked, [operation.uid for operation in booked.operations])


def _transaction(sent: Sent, lots: Mapping[str, Lot], asked: Asked) -> Do:
    told, amount = told_beside(sent), amount_sent(sent)
    giver, taker = (_lot(sent, side, lots) for side in ("fromSeedLotDbId", "toSeedLotDbId"))
    if giver is None:
        raise BadRequest(_NO_GIVER if taker else "fromSeedLotDbId is missing. Say which lot the seed was taken of.")
    if amount is None:
        raise BadRequest("amount is missing. Say how much went, with its units.")
    kind = told.get("movementType") or (MOVE if giver == taker else "")
    if taker is not None and taker != giver:
        raise BadRequest(
            f"{taker.number} is made up already, and nothing is put into a lot that is. Leave toSeedLotDbId out and "
            'send "movementType": "split" in additionalInfo: the answer names the new lot.'
        )
    if kind not in KINDS or (kind != MOVE and taker is not None) or (kind == MOVE and taker is None):
        raise BadRequest(_WHICH)
    common = {
        "station": asked.station, "by": asked.person, "answers": answers_in([sent]),
        "reason": text_sent(sent, "transactionDescription"),
    }  # fmt: skip
    words = {
        "amount": amount,
        "unit": text_sent(sent, "units") or KG,
        "at": when_sent(sent, "transactionTimestamp") or None,
    }
    return _ACTS[kind](giver, words, told, common, asked)


_NO_GIVER = (
    "Nothing is put into a lot that is made up already. Send seed that comes in as a new lot, by POST seedlots; "
    "to put right what a lot holds, PUT its amount."
)
_WHICH = (
    'Say in additionalInfo what was done, as "movementType": "split" or "move" with "toPlace", "ship" with '
    '"recipient" and "shipment", "sow" with "observationUnitDbIds" of plots, or "write off". '
    "A move names the same lot as from and to."
)
Words = Mapping[str, Any]
Told = Mapping[str, str]


def _move(lot: Lot, words: Words, told: Mapping[str, str], common: dict[str, Any], _asked: Asked) -> Do:
    if not told.get("toPlace"):
        raise BadRequest(f"From and to are both {lot.number}. To move it, name the place as toPlace in additionalInfo.")
    asked = Move(
        lot=lot.number, to=told["toPlace"], mass=words["amount"], unit=words["unit"], place=told.get("fromPlace", ""),
        at=words["at"],
    )  # fmt: skip
    return lambda key: move(asked, key=key, **common)


def _split(lot: Lot, words: Words, told: Mapping[str, str], common: dict[str, Any], _asked: Asked) -> Do:
    if not told.get("toPlace"):
        raise BadRequest(f"Say where the new lot split from {lot.number} lies, as toPlace in additionalInfo.")
    piece = Piece(mass=words["amount"], place=told.get("toPlace", ""))
    asked = Split(
        lot=lot.number, pieces=(piece,), unit=words["unit"], place=told.get("fromPlace", ""), at=words["at"]
    )  # fmt: skip
    return lambda key: split(asked, key=key, **common)


def _ship(lot: Lot, words: Words, told: Mapping[str, str], common: dict[str, Any], _asked: Asked) -> Do:
    missing = [name for name in ("shipment", "recipient") if not told.get(name)]
    if missing:
        raise BadRequest(f"{lot.number} is shipped without {listed(missing, 'and')}. Send that in additionalInfo.")
    item = Item(lot=lot.number, mass=words["amount"], place=told.get("fromPlace", ""))
    asked = Shipping(
        code=told.get("shipment", ""), recipient=told.get("recipient", ""), items=(item,), unit=words["unit"],
        purpose=told.get("purpose", "seed"), at=words["at"],
    )  # fmt: skip
    return lambda key: ship(asked, key=key, **common)


def _sow(lot: Lot, words: Words, told: Told, common: dict[str, Any], asked: Asked) -> Do:
    plots = _plots([one.strip() for one in told.get("observationUnitDbIds", "").split(",") if one.strip()], asked)
    if not plots:
        raise BadRequest(
            f"{lot.number} is sown without a plot. Send observationUnitDbIds in additionalInfo, with commas between."
        )
    sowing = Sowing(
        lot=lot.number, plots=plots, mass=words["amount"], unit=words["unit"], place=told.get("fromPlace", ""),
        at=words["at"],
    )  # fmt: skip
    return lambda key: sow(sowing, key=key, **common)


def _off(lot: Lot, words: Words, told: Mapping[str, str], common: dict[str, Any], _asked: Asked) -> Do:
    asked = WriteOff(
        lot=lot.number, mass=words["amount"], unit=words["unit"], place=told.get("fromPlace", ""), at=words["at"]
    )  # fmt: skip
    return lambda key: write_off(asked, key=key, **common)


_ACTS = {MOVE: _move, SPLIT: _split, SHIP: _ship, SOW: _sow, WRITE_OFF: _off}


def _lot(sent: Sent, side: str, lots: Mapping[str, Lot]) -> Lot | None:
    dbid = text_sent(sent, side)
    if not dbid:
        return None
    lot = lots.get(dbid.casefold())
    if lot is None:
        raise BadRequest(f"{side} {dbid[:60]!r} is no seed lot here. Give a seedLotDbId of GET seedlots.")
    return lot
