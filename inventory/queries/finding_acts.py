"""Find an act by what people call it: its number, its run, its shipment, or the lot that it made."""

import re

from django.db.models import QuerySet

from inventory.models import Operation, Standing, Station
from inventory.rules.lot_number import NotALotNumber, read_lot_number
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import plain, quoted, typed_text, uid_in


class UnknownAct(Mistake):
    """No act is called so."""

    code = "unknown_act"

    def __init__(self, typed: str, *, field: str = "act") -> None:
        super().__init__(
            f"No act {quoted(typed)} is in the books. Name it by its number (#12), its run, its shipment or the lot "
            "it made.",
            field=field,
        )


def find_act(station: Station, typed: object, *, field: str = "act") -> Operation:
    """Find an act (up to 4 queries); of several with one run number the newest that stands.

    Args:
        typed: "#12", "12", a uid, "R14", "S1", "24-0016-5", or the name it is given in answers: "clean R14 of …".

    Raises:
        Mistake: none is called so, or the lot number does not check.
    """
    text = plain(typed_text(typed))
    name = _own_name(text)
    acts = Operation.objects.filter(station=station).select_related("run", "shipment")
    number = re.fullmatch(r"#?([0-9]{1,12})", name)
    if number and len(number[1]) != len("2400165"):
        found = acts.filter(seq=int(number[1])).first()
    else:
        found = _by_name(acts, station, name, field)
    if found is None:
        raise UnknownAct(text, field=field)
    return found


def _by_name(acts: QuerySet[Operation], station: Station, name: str, field: str) -> Operation | None:
    if uid := uid_in(name):
        return acts.filter(uid=uid).first()
    for wanted in ({"run__number": name}, {"shipment__code": name}):
        found = acts.filter(**wanted).order_by("reversed_by", "-seq").filter(reversed_by__isnull=True).first()
        found = found or acts.filter(**wanted).order_by("-seq").first()
        if found is not None:
            return found
    return _by_lot(station, name, field)


def _by_lot(station: Station, name: str, field: str) -> Operation | None:
    try:
        number = read_lot_number(name, field=field).value.text
    except NotALotNumber:
        return None
    standing = Standing.objects.filter(station=station, lot__number=number).select_related("made_by").first()
    return standing.made_by if standing else None


def _own_name(text: str) -> str:
    """Take the own name out of the name we give: "clean R14 of 2024-10-08" -> "R14"."""
    named = re.fullmatch(r"[a-z ]+ (\S+) of \d{4}-\d\d-\d\d", text)
    return named[1] if named else text
