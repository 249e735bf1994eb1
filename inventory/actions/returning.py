"""What comes back from a shipment goes back into its own lot, on hold until somebody has looked at it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Known, Typed
from inventory.actions.drafts import Draft, EntryDraft, outside, seed
from inventory.actions.posting import post_all
from inventory.actions.reader import Missing, Reader, sure
from inventory.models import Place, Shipment, Station
from inventory.queries.shipments import find_shipments, shipped_with, still_out
from inventory.rules.bag_numbers import read_bags
from inventory.rules.mass import kg_words
from inventory.rules.mistakes import Mistake
from inventory.rules.shipping import UnknownShipment


class NotShipped(Mistake):
    """More came back than went out."""

    code = "not_shipped"

    def __init__(self, lot: str, shipment: str, out_mg: int, back_mg: int) -> None:
        super().__init__(
            f"{kg_words(back_mg)} kg of {lot} came back, but {kg_words(out_mg)} kg of it are out with {shipment}. "
            "Weigh it again, or check the lot.",
            field="mass",
        )


class NotInShipment(Mistake):
    """Nothing of the lot left with the shipment."""

    code = "not_in_shipment"

    def __init__(self, lot: str, shipment: str) -> None:
        super().__init__(f"Nothing of {lot} left with {shipment}. Check the lot and the shipment.", field="lot")


class BagNotOut(Mistake):
    """A bag that did not leave in this shipment, or is back already."""

    code = "bag_not_out"

    def __init__(self, lot: str, bag: int, shipment: str) -> None:
        super().__init__(f"Bag {lot}/{bag} is not out with {shipment}. Check its label.", field="bags")


@dataclass(frozen=True, kw_only=True)
class Returning:
    """What came back of a lot, as it was typed: bags whole by their numbers, or loose seed by its mass."""

    shipment: str
    lot: Typed
    place: str
    mass: Typed = None
    bags: Typed = ""
    unit: str = "kg"
    at: Typed = None


@action("return")
def take_back(
    returning: Returning, *, station: Station, by: User, reason: str = "", key: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Take shipped seed back into its lot, and hold the lot in the same act.

    Returns:
        The return and the hold.

    Raises:
        Refused: the shipment is not known, or less of the lot is out with it than came back.
    """
    reader = Reader(Desk(station, now), answers)
    at, why = reader.when(returning.at), reader.reason(reason, "a return")
    reader.note_typed(**vars(returning))
    known, place = reader.lot(returning.lot), reader.place(returning.place)
    shipments = find_shipments(station, returning.shipment)
    if not shipments:
        reader.add(UnknownShipment(returning.shipment, instead="receive the seed from its sender"))
    shipment = shipped_with(shipments, known.lot) if known else None
    if known and shipments and shipment is None:
        reader.add(NotInShipment(known.lot.number, shipments[0].code))
    entries: list[EntryDraft] = []
    if known and place and shipment:
        entries = _entries(reader, returning, known, place, shipments)
    facts = reader.finish()
    back = Draft(
        kind="return", station=station, by=by, at=at, reason=why, key=key, facts=facts, entries=entries,
        about=sure(shipment).operation,
    )  # fmt: skip
    held = Draft(
        kind="hold", station=station, by=by, at=at, key=key, facts={"lot_ids": [sure(known).lot.pk]},
        reason=f"came back from {sure(shipment).code}: {why}",
    )  # fmt: skip
    return Booked(tuple(post_all([back, held])))


def _entries(
    reader: Reader, returning: Returning, known: Known, place: Place, shipments: Sequence[Shipment]
) -> list[EntryDraft]:  # fmt: skip
    lot, code = known.lot, shipments[0].code
    out = still_out(shipments, lot)
    if returning.bags not in ("", None):
        numbers = reader.attempt(lambda: read_bags(returning.bags)) or []
        reader.add(*(BagNotOut(lot.number, number, code) for number in numbers if out.get(number, 0) <= 0))
        slots = {number: out.get(number, 0) for number in numbers}
    else:
        mass = reader.positive(returning.mass, "mass", returning.unit)
        slots = {0: mass.mg} if mass else {}
    total, out_mg = sum(slots.values()), sum(out.values())
    if total > out_mg:
        reader.add(NotShipped(lot.number, code, out_mg, total))
    if not slots and not reader.has_errors:
        reader.add(Missing("mass", "25.0 kg"))
    return [outside("shipped", -total), *(seed(lot.pk, place.pk, mg, bag) for bag, mg in slots.items() if mg)]
