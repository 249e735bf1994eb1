"""Ship seed: bags and loose seed of one or more lots leave under a code, to somebody, for something."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft, outside
from inventory.actions.guarding import hold_mistakes
from inventory.actions.leaving import note_promises
from inventory.actions.origin import read_name
from inventory.actions.posting import post
from inventory.actions.reader import Missing, Reader
from inventory.actions.taking import Taken, take
from inventory.models import Shipment, Station
from inventory.queries.shipments import find_shipments
from inventory.rules.shipping import PURPOSES, CodeShipped, UnknownUse, treated_mistakes

LONGEST_CODE, LONGEST_RECIPIENT = 40, 160


@dataclass(frozen=True, kw_only=True)
class Item:
    """Seed of one lot in a shipment: bags by their numbers, loose seed by its mass, or all its loose seed."""

    lot: Typed
    mass: Typed = None
    bags: Typed = ""
    place: str = ""


@dataclass(frozen=True, kw_only=True)
class Shipping:
    """A shipment as it was typed."""

    code: str = field(metadata={"looks": "the shipment's own code, such as S3"})
    recipient: str
    items: Sequence[Item]
    purpose: str = "seed"
    unit: str = "kg"
    at: Typed = None


@action("ship")
def ship(
    shipping: Shipping, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Ship seed of one or more lots in one act; all or none.

    Raises:
        Refused: a lot is on hold, treated seed would be eaten, or there is less than is shipped.
    """
    reader = Reader(Desk(station, now), answers)
    return Booked((post(plan_shipping(reader, shipping, by=by, key=key, reason=reason)),))


def plan_shipping(reader: Reader, shipping: Shipping, *, by: User, key: str = "", reason: str = "") -> Draft:
    """Plan a shipment on the reader's desk.

    Raises:
        Refused: all that stands in the way of this shipment.
    """
    at = reader.when(shipping.at)
    reader.note_typed(code=shipping.code, recipient=shipping.recipient, purpose=shipping.purpose)
    code = read_name(reader, shipping.code, "shipment", "S2", LONGEST_CODE)
    recipient = read_name(reader, shipping.recipient, "recipient", "a grower's name", LONGEST_RECIPIENT)
    station = reader.desk.station
    for before in find_shipments(station, code)[:1]:
        reader.add(CodeShipped(code, before.recipient, reader.desk.local_day(before.operation.at)))
    if shipping.purpose not in PURPOSES:
        reader.add(UnknownUse(shipping.purpose))
    if not shipping.items:
        reader.add(Missing("lot", "24-0016-5"))
    taken = reader.each("items", shipping.items, lambda item: _item(reader, shipping, item, recipient))
    facts = reader.finish()
    facts["items"] = [{"lot": each.known.lot.number, "mg": each.mg} for each in taken]
    return Draft(
        kind="ship", station=station, by=by, at=at, reason=reason, key=key, facts=facts,
        entries=[entry for each in taken for entry in (*each.entries, outside("shipped", each.mg))],
        rows=[Shipment(station=station, code=code, recipient=recipient, purpose=shipping.purpose)],
    )  # fmt: skip


def _item(reader: Reader, shipping: Shipping, item: Item, recipient: str) -> Taken | None:
    known = reader.lot(item.lot)
    if known is None:
        return None
    reader.note_typed(**{str(item.lot): [item.mass or "", item.bags]})
    reader.add(*hold_mistakes(reader.desk.station, [known.lot.pk]))
    reader.add(*treated_mistakes([(known.lot.number, known.treated)], shipping.purpose))
    mass = reader.positive(item.mass, "mass", shipping.unit) if item.mass not in (None, "") else None
    if mass is None and item.mass not in (None, ""):
        return None
    taken = take(reader, known, mass.mg if mass else None, place=item.place, bags=item.bags)
    if taken is None:
        return None
    note_promises(reader, known, taken.mg, recipient=recipient)
    for slot, mg in taken.slots.items():
        reader.desk.stock(known.lot)[slot] -= mg  # the next item of the same lot sees what this one left
    return taken
