"""The intake ticket: what stood on the scale, for the store and for the field crew."""

import json
from decimal import Decimal

from django.utils.translation import gettext

from inventory.models import Entry, Lot, Moisture, Receipt, Standing, Station
from inventory.papers.paper import Facts, Paper, Part, Words
from inventory.queries.finding import find_lot
from inventory.queries.label_texts import origins_of, scan_address
from inventory.queries.papers.common import digits_of, foot, kg, moment
from inventory.queries.showing import shown_number
from inventory.rules.mistakes import Mistake
from inventory.rules.moisture import storage_advice


class NoTicket(Mistake):
    """A lot that never stood on the intake scale."""

    code = "no_ticket"

    def __init__(self, lot: str) -> None:
        super().__init__(
            f"{lot} did not come in over the scale, or that was taken back: it has no intake ticket. "
            "Print its dossier instead.",
            field="lot",
        )


def ticket_papers(station: Station, typed: str, address: str) -> tuple[str, list[Paper]]:
    """Write a delivery's ticket twice, for the store and for the field crew (about 10 queries).

    Returns:
        The lot's number, and the papers.

    Raises:
        Mistake: the lot is not known, or did not come in.
    """
    lot, _notes = find_lot(station, typed)
    receipt = Receipt.objects.filter(lot=lot, operation__reversed_by__isnull=True)
    newest = receipt.select_related("operation__by").order_by("operation__seq").last()
    if newest is None:
        raise NoTicket(lot.number)
    parts, small = _parts(station, lot, newest), foot(station)
    digits = digits_of(lot)
    copies = (gettext("for the store"), gettext("for the field crew"))
    return lot.number, [
        Paper(
            title=gettext("Intake %(lot)s") % {"lot": lot.number},
            under=f"{station.name} · {copy}",
            parts=parts,
            foot=small,
            digits=digits,
            address=scan_address(address, digits),
        )
        for copy in copies
    ]


def _parts(station: Station, lot: Lot, receipt: Receipt) -> tuple[Part, ...]:
    standing = Standing.objects.select_related("line", "market_class").get(lot=lot)
    wet = _moisture(receipt)
    advice = str(storage_advice(wet)) if wet is not None else ""
    place = Entry.objects.filter(operation=receipt.operation, lot=lot).select_related("place").first()
    bins = json.loads(receipt.operation.content)["facts"].get("typed", {}).get("containers", [])
    rows = [
        (gettext("Came in"), moment(receipt.operation.at, station)),
        (gettext("Line"), standing.line.name if standing.line else gettext("blend")),
        (gettext("Class"), standing.market_class.name if standing.market_class else ""),
        (gettext("From"), ", ".join(origins_of([lot.pk]).get(lot.pk, []))),
        (gettext("Gross"), kg(receipt.gross_mg)),
        (gettext("Tare"), kg(receipt.tare_mg)),
        (gettext("In"), ", ".join(bins) if isinstance(bins, list) else str(bins)),
        (gettext("Net"), kg(receipt.net_mg)),
        (gettext("Moisture, wet basis"), f"{shown_number(wet)} %" if wet is not None else ""),
        (gettext("Place"), place.place.code if place and place.place else ""),
        (gettext("Taken in by"), receipt.operation.by.get_username()),
        (gettext("Act"), f"#{receipt.operation.seq}"),
    ]
    said = Facts(tuple((name, found) for name, found in rows if found))
    return (*([Words(advice, is_loud=True)] if advice else []), said)


def _moisture(receipt: Receipt) -> Decimal | None:
    """The moisture that was read when it came in [% wet basis]; what was read later is not of this ticket."""
    read = Moisture.objects.filter(operation=receipt.operation, lot=receipt.lot).order_by("pk").last()
    return Decimal(read.wet_basis_pct) if read else None
