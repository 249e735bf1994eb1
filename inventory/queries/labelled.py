"""The thing whose label carries a number."""

from inventory.models import Bag, Container, Cross, Line, Place, Plant, Plot, Shipment, Station
from inventory.rules.label_codes import Card, LabelKind, read_label_code

_NAMED = {
    LabelKind.PLOT: (Plot, "code"),
    LabelKind.PLACE: (Place, "code"),
    LabelKind.CONTAINER: (Container, "code"),
    LabelKind.LINE: (Line, "name"),
    LabelKind.CROSS: (Cross, "code"),
    LabelKind.PLANT: (Plant, "number"),
}


def name_on_label(station: Station, text: str) -> str:
    """Give the name of the thing whose label carries a number (1 query); "" where it is no label's number.

    Raises:
        LabelMisread: the number does not check.
    """
    read = read_label_code(text)
    if read is None:
        return ""
    kind, key = read
    if kind is LabelKind.BAG:
        bag = Bag.objects.filter(pk=key, lot__station=station).select_related("lot").first()
        return f"{bag.lot.number}/{bag.number}" if bag else ""
    if kind is LabelKind.SHIPMENT:
        return str(Shipment.objects.filter(pk=key, station=station).values_list("code", flat=True).first() or "")
    if kind not in _NAMED:
        return ""
    model, column = _NAMED[kind]
    return str(model._default_manager.filter(pk=key, station=station).values_list(column, flat=True).first() or "")


def card_on_label(text: str) -> Card | None:
    """Name the card for the wall that a number stands on; None where it is none.

    Raises:
        LabelMisread: the number does not check.
    """
    read = read_label_code(text)
    is_card = read is not None and read[0] is LabelKind.CARD and read[1] in set(Card)
    return Card(read[1]) if read and is_card else None
