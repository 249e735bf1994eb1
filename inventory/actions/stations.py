"""What a station is called, and where seed stands when nobody names a place."""

from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk
from inventory.actions.origin import entered, read_name
from inventory.actions.posting import post
from inventory.actions.reader import Reader
from inventory.models import Station

LONGEST_NAME = 120


@dataclass(frozen=True, kw_only=True)
class StationSettings:
    """A station's settings as they were typed.

    Args:
        floor: place of a delivery that names none.
        line_end: place of what a run gave that names none.
    """

    name: str
    floor: str
    line_end: str


@action("places")
def set_station(
    asked: StationSettings, *, station: Station, by: User, key: str = "", reason: str = "",
    now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Set what a station is called and its usual places; what was booked before stays where it was booked.

    Raises:
        Refused: the name is missing, or a place is not known.
    """
    reader = Reader(Desk(station, now))
    name = read_name(reader, asked.name, "name", "Quillmarsh Station", LONGEST_NAME)
    floor, line_end = reader.place(asked.floor, "floor"), reader.place(asked.line_end, "line_end")
    kept = {"name": name, "floor": floor.code if floor else "", "line_end": line_end.code if line_end else ""}
    draft = entered(reader, {"record": "station", **kept}, by=by, at=reader.desk.now, key=key, reason=reason)
    Station.objects.filter(pk=station.pk).update(**kept)
    return Booked((post(draft),))
