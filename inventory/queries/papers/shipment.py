"""The paper that goes with a shipment: bags by number, kilos, what is left here, and what must be said of the seed."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import Sum
from django.utils.translation import gettext

from inventory.models import Entry, Lot, Shipment, Standing, Station, Stock
from inventory.papers.paper import Blanks, Facts, Heading, Paper, Part, Table, Words
from inventory.queries.label_texts import LotsRead, read_lots, scan_address, with_day
from inventory.queries.papers.common import day, foot, kg, who
from inventory.queries.shipments import find_shipments
from inventory.queries.treated import caution_words, treatments_on, warning_words
from inventory.rules.label_codes import LabelKind, label_code
from inventory.rules.reading import plain, typed_text
from inventory.rules.shipping import UnknownShipment

OLD_DAYS = 366  # a test of more than a year before is said to be old: the practice of the trade, no source


def shipment_paper(station: Station, typed: str, address: str) -> tuple[str, Paper]:
    """Write a shipment's paper (about 18 queries).

    Returns:
        The shipment's code, and the paper.

    Raises:
        UnknownShipment: nothing left under that code.
    """
    shipments = find_shipments(station, plain(typed_text(typed)))
    if not shipments:
        raise UnknownShipment(plain(typed_text(typed)), instead="look at the list of shipments")
    first = min(shipments, key=lambda one: one.operation.seq)
    gone = _gone(shipments)
    digits = label_code(LabelKind.SHIPMENT, first.pk)
    paper = Paper(
        title=gettext("Shipment %(code)s") % {"code": first.code},
        under=f"{station.name} · {gettext('to %(who)s') % {'who': first.recipient}}",
        parts=(*_warnings(gone), _head(station, shipments, gone), *_lots(station, gone, first), *_signed()),
        foot=foot(station),
        digits=digits,
        address=scan_address(address, digits),
    )
    return first.code, paper


Gone = Mapping[int, list[tuple[int, int]]]  # lot -> bag number (0 is loose) and what left [mg]


def _gone(shipments: Sequence[Shipment]) -> Gone:
    gone: dict[int, list[tuple[int, int]]] = {}
    entries = Entry.objects.filter(operation__shipment__in=shipments, lot__isnull=False).order_by("lot_id", "bag_no")
    for lot, bag, mg in entries.values_list("lot_id", "bag_no", "mg"):
        gone.setdefault(lot, []).append((bag, -mg))
    return gone


def _warnings(gone: Gone) -> list[Part]:
    treated = Standing.objects.filter(lot__in=gone, treated=True).select_related("lot")
    if not treated:
        return []
    named = ", ".join(standing.lot.number for standing in treated)
    caution = caution_words(treatments_on([standing.lot_id for standing in treated]))
    return [Words(f"{warning_words()}: {named}.\n{caution}", is_loud=True)]


def _head(station: Station, shipments: Sequence[Shipment], gone: Gone) -> Facts:
    first = min(shipments, key=lambda one: one.operation.seq)
    days = sorted({day(one.operation.at, station) for one in shipments})
    bags = sum(1 for rows in gone.values() for bag, _mg in rows if bag)
    rows = (
        (gettext("Left on"), ", ".join(days)),
        (gettext("For"), first.purpose),
        (gettext("In all"), f"{kg(sum(mg for rows in gone.values() for _bag, mg in rows))}, {bags} {gettext('bags')}"),
        (gettext("Trace code"), label_code(LabelKind.SHIPMENT, first.pk)),
        (gettext("Booked by"), who(first.operation)),
    )
    return Facts(rows)


def _lots(station: Station, gone: Gone, first: Shipment) -> Iterable[Part]:
    read = read_lots(station, list(gone))
    left = dict(Stock.objects.filter(lot__in=gone).values_list("lot_id").annotate(Sum("mg")))
    left_on = first.operation.at.astimezone(ZoneInfo(station.zone)).date()
    for key, rows in gone.items():
        standing = read.standings[key]
        known = read.facts.get(standing.lot.number, {})
        yield Heading(f"{standing.lot.number} · {standing.line.name if standing.line else gettext('blend')}")
        yield Facts(tuple(_of_lot(read, standing.lot, rows, left.get(key, 0))))
        if old := _old_test(known, left_on):
            yield Words(old, is_loud=True)
        if any(bag for bag, _mg in rows):
            table = tuple((str(bag) if bag else gettext("loose"), kg(mg)) for bag, mg in rows)
            yield Table((gettext("Bag"), gettext("Mass")), table, frozenset({1}))


def _of_lot(read: LotsRead, lot: Lot, rows: Sequence[tuple[int, int]], left: int) -> Iterable[tuple[str, str]]:
    station, known, origins = read.station, read.facts.get(lot.number, {}), read.origins.get(lot.pk, [])
    yield gettext("Shipped"), kg(sum(mg for _bag, mg in rows))
    yield gettext("Left here of %(lot)s") % {"lot": lot.number}, kg(left)
    if grade := with_day(known, "last_grade", station):
        yield gettext("Grade, in-house"), grade
    if germination := with_day(known, "last_germination", station, dated=gettext("tested %(day)s")):
        yield gettext("Germination"), germination
    if origins:
        yield gettext("Made from"), ", ".join(origins)


def _old_test(known: Mapping[str, str], left_on: date) -> str:
    if "last_germination" not in known:
        return gettext("Germination was not tested.")
    tested = known.get("last_germination_on", "")
    if not tested or (left_on - date.fromisoformat(tested)).days <= OLD_DAYS:
        return ""
    return gettext("The germination test is more than a year older than this shipment. Test again before sowing.")


def _signed() -> list[Part]:
    return [Blanks((gettext("Handed over by"), gettext("Received by")))]
