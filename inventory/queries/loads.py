"""Find loads: by the name people read, or by the bytes that were loaded."""

import re

from django.db.models import QuerySet

from inventory.models import Load, Operation, Station
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import plain, quoted


class UnknownLoad(Mistake):
    """No load is called so."""

    code = "unknown_load"

    def __init__(self, typed: str, newest: Load | None) -> None:
        hint = f" The newest is {newest} ({newest.file_name})." if newest else " No sheet was loaded yet."
        super().__init__(f"{quoted(typed)} is no load here.{hint}", field="load")


def live_load(station: Station, sha256: str, kind: str) -> Load | None:
    """The load of the same bytes as the same kind that stands (1 query)."""
    return Load.objects.filter(station=station, sha256=sha256, kind=kind, unloaded_at__isnull=True).first()


def find_load(station: Station, typed: str) -> Load:
    """Find a load by its name: L12, l12 or 12.

    Raises:
        UnknownLoad: there is none, with the newest there is.
    """
    loads = Load.objects.filter(station=station)
    read = re.fullmatch(r"[Ll]?0*([1-9][0-9]{0,8})", plain(typed))
    load = loads.filter(number=int(read[1])).first() if read else None
    if load is None:
        raise UnknownLoad(typed, loads.order_by("-number").first())
    return load


def loads_of(station: Station) -> QuerySet[Load]:
    """All sheets that were saved, the newest first; those taken back stay listed (1 query)."""
    return Load.objects.filter(station=station).select_related("by").order_by("-number")


def booked_by(load: Load) -> list[tuple[Operation, bool]]:
    """All that a load booked, in its order, each with whether it was taken back (1 query)."""
    acts = Operation.objects.filter(load=load, reverses__isnull=True).order_by("seq")
    return [(act, hasattr(act, "reversed_by")) for act in acts.select_related("run", "shipment", "reversed_by")]


def acts_of(load: Load) -> list[Operation]:
    """The acts of a load that stand, in their order (1 query)."""
    acts = Operation.objects.filter(load=load, reverses__isnull=True, reversed_by__isnull=True)
    return list(acts.select_related("run", "shipment").order_by("seq"))
